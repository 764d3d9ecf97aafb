"""Which blocks can be cut to a piece's thickness, and whether the piece fits their faces.

These are necessary conditions: what is refused here fits nowhere. Whether the rest can
be laid out is for the layout to say.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon

from wirepath import overlay
from wirepath.errors import Fault, FitError
from wirepath.geometry import AXES, face_outline, face_size_mm, travel_needed_mm, trimmed
from wirepath.model import Piece, Turning
from wirepath.rectangles import largest_rectangle
from wirepath.workshop import Axis, Stock, Workshop

DUST_MM = 1e-6
"""Lengths that differ by less are equal."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What one block has for its slabs: the usable face and the depth along the wire.

    `x_mm`, `y_mm` is the usable face's lower left corner on the face as bought. Where the
    face is no full rectangle, or areas of it are blocked, pieces must stay in `region`,
    which width and height are the box around.
    """

    stock: Stock
    wire_axis: Axis
    x_mm: float = 0.0
    y_mm: float = 0.0
    width_mm: float
    height_mm: float
    depth_mm: float
    region: Geometry | None = None
    is_clamped: bool = False
    """Whether clamps take some of the face."""

    @property
    def lies(self) -> bool:
        """Whether the wire runs through the block's thickness, as it lies on its largest face."""
        return self.wire_axis == "thickness"

    def slabs(self, thickness_mm: float, kerf_mm: float) -> int:
        """Return how many slabs of a thickness the block gives, a kerf between them."""
        return math.floor((self.depth_mm + kerf_mm + DUST_MM) / (thickness_mm + kerf_mm))

    def is_whole(self, thickness_mm: float) -> bool:
        """Whether the untrimmed block is itself a slab of this thickness, so none is sawn."""
        return self.stock.trim_mm == 0 and abs(self.depth_mm - thickness_mm) <= DUST_MM

    def is_reached(self, workshop: Workshop) -> bool:
        """Whether wire and table reach across the face, so that slabs can be sawn."""
        height = face_size_mm(self.stock, self.wire_axis)[1]
        return height <= workshop.wire.length_mm and self._short_travel(workshop) is None

    def _short_travel(self, workshop: Workshop) -> str | None:
        rig = workshop.rig
        if rig.kind != "table":
            return None
        face = face_size_mm(self.stock, self.wire_axis)
        for side, travel, name in zip(face, (rig.travel_x_mm, rig.travel_y_mm), "xy", strict=True):
            needed_mm = travel_needed_mm(side, workshop.cutting)
            if travel is not None and needed_mm > travel:
                return (
                    f"the face with its lead-ins, {needed_mm:g} mm, is longer than the table's "
                    f"travel in {name}"
                )
        return None

    def pieces_mm(self, workshop: Workshop) -> tuple[tuple[float, float], ...]:
        """Return the width and height of the largest pieces that can be cut, as they lie.

        The usable face; or as much of it as the table reaches in one setup, where the block is
        moved between several.
        """
        if self._short_travel(workshop) is None or not self._is_moved(workshop):
            return ((self.width_mm, self.height_mm),)
        rig, kerf_mm = workshop.rig, workshop.cutting.kerf_mm
        across, up = (
            math.inf if travel is None else travel - kerf_mm
            for travel in (rig.travel_x_mm, rig.travel_y_mm)
        )
        turned = ((up, across),) if rig.block_may_turn == "quarter" else ()
        reaches = ((across, up), *turned)
        return tuple((min(self.width_mm, w), min(self.height_mm, h)) for w, h in reaches)

    def setups(self, workshop: Workshop) -> int:
        """Return in how many setups the table reaches all of the usable face, about."""
        counts = [
            math.ceil(self.width_mm / max(width, 1.0))
            * math.ceil(self.height_mm / max(height, 1.0))
            for width, height in self.pieces_mm(workshop)
        ]
        return max(min(counts), 1)

    def limit(self, thickness_mm: float, workshop: Workshop) -> str | None:
        """Return what forbids slabs of this thickness, in words; None: nothing does."""
        trim, wire_mm = self.stock.trim_mm, workshop.wire.length_mm
        bought_mm = self.stock.size_mm(self.wire_axis)
        if thickness_mm > bought_mm + DUST_MM:
            return f"the block is only {bought_mm:g} mm deep"
        if thickness_mm > self.depth_mm + DUST_MM:
            return f"its trim leaves a depth of {bought_mm - 2 * trim:g} mm"
        if min(self.width_mm, self.height_mm) <= 0:
            odd = self.stock.outline or self.stock.blocked
            taken = "trim and blocked areas leave" if odd else "trim leaves"
            taken = "trim and the clamps leave" if self.is_clamped else taken
            return f"its {taken} nothing of the face"
        if thickness_mm > wire_mm:
            return f"the wire, {wire_mm:g} mm long, is shorter than the piece is thick"
        height = face_size_mm(self.stock, self.wire_axis)[1]
        is_whole = self.is_whole(thickness_mm)
        if not is_whole and height > wire_mm:
            return f"the wire, {wire_mm:g} mm long, is shorter than the slab cut, {height:g} mm"
        short = self._short_travel(workshop)
        if short is None or not self._is_moved(workshop):
            return short
        # It is cut in several setups; but a slab is sawn right through in one.
        return None if is_whole else f"slabs are to be sawn from it, and {short}"

    def _is_moved(self, workshop: Workshop) -> bool:
        """Whether the block may be moved on the table so that its travel does."""
        rig = workshop.rig
        if rig.block_may_shift or rig.block_may_turn != "quarter":
            return rig.block_may_shift
        turned = replace(rig, travel_x_mm=rig.travel_y_mm, travel_y_mm=rig.travel_x_mm)
        return self._short_travel(replace(workshop, rig=turned)) is None


def room(stock: Stock, wire_axis: Axis) -> Room:
    """Return the room in one block with an edge along the wire; sizes may be 0 or less."""
    trim = stock.trim_mm
    width, height = (side - 2 * trim for side in face_size_mm(stock, wire_axis))
    found = Room(
        stock=stock,
        wire_axis=wire_axis,
        x_mm=trim,
        y_mm=trim,
        width_mm=width,
        height_mm=height,
        depth_mm=stock.size_mm(wire_axis) - 2 * trim,
    )
    outline = face_outline(stock, wire_axis)
    if (outline is None and not stock.blocked) or min(width, height) <= 0:
        return found
    region: Geometry = shapely.box(trim, trim, trim + width, trim + height)
    if outline is not None:
        region = trimmed(outline, trim)
    return _within(found, region, [b.polygon for b in stock.blocked])


def _within(found: Room, region: Geometry, blocked: Sequence[Geometry]) -> Room:
    """Return a room where pieces stay in `region`, off what is blocked of it."""
    region = overlay.difference(region, overlay.union(list(blocked)))
    if shapely.is_empty(region):
        return replace(found, width_mm=0.0, height_mm=0.0)
    x0, y0, x1, y1 = shapely.bounds(region).tolist()
    return replace(found, x_mm=x0, y_mm=y0, width_mm=x1 - x0, height_mm=y1 - y0, region=region)


def _off_clamps(found: Room, workshop: Workshop) -> Room:
    """Return a room where no piece lies so near to a clamp that its slot would enter it.

    Where blocks are moved between setups a piece may lie under a clamp: it is cut in another.
    """
    rig = workshop.rig
    if (
        rig.block_may_shift
        or rig.block_may_turn != "no"
        or min(found.width_mm, found.height_mm) <= 0
    ):
        return found
    off_mm = workshop.cutting.widest_kerf_mm + DUST_MM
    near = [shapely.buffer(one.polygon, off_mm, join_style="mitre") for one in rig.clamps]
    x, y = found.x_mm, found.y_mm
    region = found.region or shapely.box(x, y, x + found.width_mm, y + found.height_mm)
    if not any(shapely.intersects(region, one) for one in near):
        return found
    return replace(_within(found, region, near), is_clamped=True)


def axes(stock: Stock) -> tuple[Axis, ...]:
    """Return the edges that may lie along the wire: any, but for stock that is no full box."""
    return ("thickness",) if stock.outline or stock.blocked else AXES


def all_rooms(foam: str, workshop: Workshop) -> list[Room]:
    """Return the room in every rack piece, then in every block on sale, for each edge."""
    supply = (*(piece.stock for piece in workshop.rack), *workshop.stock)
    found = [room(stock, axis) for stock in supply if stock.foam == foam for axis in axes(stock)]
    return [_off_clamps(one, workshop) for one in found]


def rooms(foam: str, workshop: Workshop) -> list[Room]:
    """Return the rectangular room in each block of `foam` on sale, for each of its edges.

    Of faces that are no full rectangle, the largest clear one. Rack pieces only where no
    block is on sale: there are few of them.
    """
    found = []
    for one in all_rooms(foam, workshop):
        if one.region is not None:
            x, y, width, height = largest_rectangle(one.region, cell_mm=10.0)
            one = replace(one, x_mm=x, y_mm=y, width_mm=width, height_mm=height, region=None)
        if min(one.width_mm, one.height_mm, one.depth_mm) > 0:
            found.append(one)
    bought = [one for one in found if not workshop.in_rack(one.stock.name)]
    return bought or found


def fits(shape: Polygon, turning: Turning, width_mm: float, height_mm: float) -> bool:
    """Whether `shape` lies within a rectangle in one of the turns allowed.

    Exact for any angle too: the width of a convex shape is A cos(t - p) between the
    angles at which an edge lies square, so a fit can only begin or end at such an angle
    or where width or height just fits.
    """
    x0, y0, x1, y1 = shape.bounds
    size = (x1 - x0, y1 - y0)
    most = (width_mm + DUST_MM, height_mm + DUST_MM)
    upright = size[0] <= most[0] and size[1] <= most[1]
    if turning in ("none", "half") or upright:
        return upright
    quarter = size[1] <= most[0] and size[0] <= most[1]
    if turning == "quarter" or quarter:
        return quarter
    return bool(_any_angle_fits(shape, *most)[1].any())


def fitting_angle_deg(shape: Polygon, width_mm: float, height_mm: float) -> float | None:
    """Return an angle that lays `shape` within a rectangle; None where there is none."""
    angle, fit = _any_angle_fits(shape, width_mm + DUST_MM, height_mm + DUST_MM)
    return math.degrees(float(angle[fit][0])) if fit.any() else None


def _any_angle_fits(
    shape: Polygon, width_mm: float, height_mm: float
) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the angles that matter, in radians, and at which of them the shape fits."""
    corners = shapely.get_coordinates(shape.convex_hull)
    if len(corners) > 1 and (corners[0] == corners[-1]).all():
        corners = corners[:-1]
    edges = np.roll(corners, -1, axis=0) - corners
    square = np.mod(-np.arctan2(edges[:, 1], edges[:, 0]), math.pi / 2)
    breaks = np.unique(np.concatenate([[0.0], square, square + math.pi / 2, [math.pi]]))
    tries = [breaks]
    for (start, end), (room, turn) in itertools.product(
        itertools.pairwise(breaks), ((width_mm, 0.0), (height_mm, math.pi / 2))
    ):
        # Between two breaks the same two corners span the width: A cos(angle - phase).
        middle = (start + end) / 2 + turn
        along = np.cos(middle) * corners[:, 0] - np.sin(middle) * corners[:, 1]
        span = corners[along.argmax()] - corners[along.argmin()]
        reach, phase = math.hypot(*span), -math.atan2(span[1], span[0])
        if reach >= room > 0:
            swing = math.acos(room / reach)
            angles = np.mod(np.array([phase - swing, phase + swing]) - turn, math.tau)
            tries.append(angles[(angles > start) & (angles < end)])
    angle = np.concatenate(tries)
    width, height = _extents(corners, angle)
    fit: NDArray[np.bool_] = (width <= width_mm + DUST_MM) & (height <= height_mm + DUST_MM)
    return angle, fit


def _extents(corners: Floats, angle: Floats) -> tuple[Floats, Floats]:
    """Return width and height of the corners (n, 2) turned by each of `angle`, radians."""
    cos, sin = np.cos(angle)[:, None], np.sin(angle)[:, None]
    x = cos * corners[:, 0] - sin * corners[:, 1]
    y = sin * corners[:, 0] + cos * corners[:, 1]
    return np.ptp(x, axis=1), np.ptp(y, axis=1)


def refuse_misfits(pieces: Sequence[Piece], workshop: Workshop) -> None:
    """Raise FitError naming every piece, copies once, that no block or wire can make."""
    firsts = {(piece.part, piece.thickness_mm, piece.foam): piece for piece in reversed(pieces)}
    faults: list[Fault] = []
    for piece in reversed(firsts.values()):
        found = all_rooms(piece.foam, workshop)
        if not any(
            one.limit(piece.thickness_mm, workshop) is None and _holds(one, piece, workshop)
            for one in found
        ):
            faults.append(_misfit(piece, found, workshop))
    if faults:
        raise FitError(faults)


def _holds(one: Room, piece: Piece, workshop: Workshop) -> bool:
    sizes = one.pieces_mm(workshop)
    return any(fits(piece.outline, piece.turning, *size) for size in sizes)


def within_travel(piece: Piece, workshop: Workshop) -> Piece:
    """Return a piece that may only be turned as a table reaches round it in one setup.

    For blocks that are moved between setups: a piece longer than the travel along one axis may
    lie end for end, but not across.
    """
    rig = workshop.rig
    if rig.kind != "table" or not rig.block_may_shift or rig.block_may_turn == "quarter":
        return piece
    if piece.turning not in ("quarter", "any"):
        return piece
    reach = [
        math.inf if travel is None else travel - workshop.cutting.kerf_mm
        for travel in (rig.travel_x_mm, rig.travel_y_mm)
    ]
    upright, across = (fits(piece.outline, "none", *way) for way in (reach, reach[::-1]))
    return replace(piece, turning="half") if upright and not across else piece


def _misfit(piece: Piece, found: Sequence[Room], workshop: Workshop) -> Fault:
    where = f"piece {piece.number} {piece.name!r}"
    if not found:
        return Fault(
            f"no stock of foam {piece.foam!r} is listed",
            where=where,
            mend="add a [[stock]] of that foam to the workshop file, or choose another foam",
        )
    x0, y0, x1, y1 = piece.outline.bounds
    by_stock = itertools.groupby(found, key=lambda one: one.stock.name)
    reasons = "; ".join(
        f"{name}: {_best_reason(piece, list(some), workshop)}" for name, some in by_stock
    )
    return Fault(
        f"{x1 - x0:.1f} x {y1 - y0:.1f} x {piece.thickness_mm:g} mm thick fits no block "
        f"({reasons})",
        where=where,
        mend=_advice(piece, found, workshop),
    )


def _best_reason(piece: Piece, some: Sequence[Room], workshop: Workshop) -> str:
    """Return why the piece misses the stock, for the edge along which it comes nearest."""
    reasons: list[tuple[int, float, str]] = []
    for one in some:
        limit = one.limit(piece.thickness_mm, workshop)
        face = face_size_mm(one.stock, one.wire_axis)
        if piece.thickness_mm > one.depth_mm + DUST_MM or min(one.width_mm, one.height_mm) <= 0:
            reasons.append((0, one.depth_mm, limit or ""))
        elif not fits(piece.outline, piece.turning, one.width_mm, one.height_mm):
            bought = fits(piece.outline, piece.turning, *face)
            why = f"only its trim of {one.stock.trim_mm:g} mm is in the way" if bought else ""
            if one.region is not None:
                why = "the foam is no full rectangle, or blocked"
                why = "clamps stand in the way" if one.is_clamped else why
            text = (
                f"usable face {one.width_mm:g} x {one.height_mm:g} mm, depth {one.depth_mm:g} mm, "
                f"{why or 'too small'}"
            )
            reasons.append((2 if bought else 1, one.width_mm * one.height_mm, text))
        elif limit is None and not _holds(one, piece, workshop):
            width, height = one.pieces_mm(workshop)[0]
            text = f"larger than the {width:g} x {height:g} mm that the table reaches in one setup"
            reasons.append((3, width * height, text))
        else:
            reasons.append((3, 0.0, limit or ""))
    return max(reasons)[2]


def _advice(piece: Piece, found: Sequence[Room], workshop: Workshop) -> str:
    able = [one for one in found if one.limit(piece.thickness_mm, workshop) is None]
    turnings: tuple[Turning, ...] = ("quarter", "any")
    for turning in turnings:
        # It did not fit as it may be turned now, so a turning that fits allows more.
        if any(_holds(one, replace(piece, turning=turning), workshop) for one in able):
            return f"allow it to be turned: turning = {turning!r} lets it fit"
    return (
        "make it smaller or thinner, split it into parts by seams, "
        "or add a larger block or a longer wire to the workshop file"
    )
