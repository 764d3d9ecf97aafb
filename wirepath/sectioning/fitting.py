"""Whether a piece can be cut from a block at all, by any of the turns it is allowed.

These are necessary conditions: what is refused here fits nowhere. Whether the rest can
be laid out is for the layout to say.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from wirepath.errors import Fault, FitError
from wirepath.geometry import AXES, face_size_mm, travel_needed_mm
from wirepath.model import Piece, Turning
from wirepath.workshop import Axis, Stock, Workshop

DUST_MM = 1e-6
"""Lengths that differ by less are equal."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What one block has for one slab: the usable face and the depth along the wire."""

    stock: Stock
    wire_axis: Axis
    width_mm: float
    height_mm: float
    depth_mm: float

    @property
    def lies(self) -> bool:
        """Whether the wire runs through the block's thickness, as it lies on its largest face."""
        return self.wire_axis == "thickness"

    def slabs(self, thickness_mm: float, kerf_mm: float) -> int:
        """Return how many slabs of a thickness the block gives, a kerf between them."""
        return math.floor((self.depth_mm + kerf_mm + DUST_MM) / (thickness_mm + kerf_mm))

    def is_reached(self, workshop: Workshop) -> bool:
        """Whether wire and table reach across the face, so that slabs can be sawn."""
        width, height = face_size_mm(self.stock, self.wire_axis)
        rig = workshop.rig
        wide, high = (rig.travel_x_mm, rig.travel_y_mm) if rig.kind == "table" else (None, None)
        return (
            height <= workshop.wire.length_mm
            and (wide is None or travel_needed_mm(width, workshop.cutting) <= wide)
            and (high is None or travel_needed_mm(height, workshop.cutting) <= high)
        )


def rooms(foam: str, workshop: Workshop) -> list[Room]:
    """Return the room in each block of `foam`, for each of its edges along the wire."""
    found = []
    for stock in workshop.stock:
        for axis in AXES if stock.foam == foam else ():
            width, height = (side - 2 * stock.trim_mm for side in face_size_mm(stock, axis))
            depth = stock.size_mm(axis) - 2 * stock.trim_mm
            if min(width, height, depth) > 0:
                found.append(
                    Room(
                        stock=stock,
                        wire_axis=axis,
                        width_mm=width,
                        height_mm=height,
                        depth_mm=depth,
                    )
                )
    return found


def fits(shape: Polygon, turning: Turning, width_mm: float, height_mm: float) -> bool:
    """Whether `shape` lies within a rectangle in one of the turns allowed.

    Exact for any angle too: the width of a convex shape is A cos(t - p) between the
    angles at which an edge lies square, so a fit can only begin or end at such an angle
    or where width or height just fits.
    """
    x0, y0, x1, y1 = shape.bounds
    size = (x1 - x0, y1 - y0)
    room = (width_mm + DUST_MM, height_mm + DUST_MM)
    upright = size[0] <= room[0] and size[1] <= room[1]
    if turning in ("none", "half") or upright:
        return upright
    quarter = size[1] <= room[0] and size[0] <= room[1]
    if turning == "quarter" or quarter:
        return quarter
    return bool(np.any(_any_angle_fits(shape, *room)))


def _any_angle_fits(shape: Polygon, width_mm: float, height_mm: float) -> NDArray[np.bool_]:
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
    return fit


def _extents(corners: Floats, angle: Floats) -> tuple[Floats, Floats]:
    """Return width and height of the corners (n, 2) turned by each of `angle`, radians."""
    cos, sin = np.cos(angle)[:, None], np.sin(angle)[:, None]
    x = cos * corners[:, 0] - sin * corners[:, 1]
    y = sin * corners[:, 0] + cos * corners[:, 1]
    return np.ptp(x, axis=1), np.ptp(y, axis=1)


def refuse_too_big(pieces: Sequence[Piece], workshop: Workshop) -> None:
    """Raise FitError naming every piece, copies once, that no block or wire can make."""
    firsts = {(piece.part, piece.thickness_mm, piece.foam): piece for piece in reversed(pieces)}
    faults = [fault for piece in reversed(firsts.values()) for fault in _faults(piece, workshop)]
    if faults:
        raise FitError(faults)


def _faults(piece: Piece, workshop: Workshop) -> Iterator[Fault]:
    where = f"piece {piece.number} {piece.name!r}"
    thick = piece.thickness_mm
    found = rooms(piece.foam, workshop)
    if not found:
        yield Fault(
            f"there is no stock of foam {piece.foam!r}",
            where,
            "add a [[stock]] table of that foam to the workshop file, or use another foam",
        )
        return
    if thick > workshop.wire.length_mm + DUST_MM:
        yield Fault(
            f"it is {thick:g} mm thick along the wire, but the wire is only "
            f"{workshop.wire.length_mm:g} mm long",
            where,
            "use a longer wire, or split it into layers to be glued",
        )
    deep = [room for room in found if thick <= room.depth_mm + DUST_MM]
    if any(fits(piece.outline, piece.turning, r.width_mm, r.height_mm) for r in deep):
        return
    x0, y0, x1, y1 = piece.outline.bounds
    best = max(deep or found, key=lambda room: (room.width_mm * room.height_mm, room.depth_mm))
    yield Fault(
        f"{x1 - x0:.0f} x {y1 - y0:.0f} x {thick:g} mm fits no block of {piece.foam}; the roomiest"
        f"{' that is thick enough' if deep else ''}, {best.stock.name!r}, holds "
        f"{best.width_mm:g} x {best.height_mm:g} mm, {best.depth_mm:g} mm thick",
        where,
        _advice(piece, deep),
    )


def _advice(piece: Piece, deep: Sequence[Room]) -> str:
    ways: list[str] = []
    if not deep:
        ways.append("split it into thinner layers")
    turnings: tuple[Turning, ...] = ("quarter", "any")
    for turning in turnings:
        # It did not fit as it may be turned now, so a turning that fits allows more.
        if any(fits(piece.outline, turning, room.width_mm, room.height_mm) for room in deep):
            return f"allow it to be turned: turning = {turning!r} lets it fit"
    ways += [
        "split it by seams",
        "make it smaller (scale, allowance)",
        "add a larger block to the workshop file",
    ]
    return ", or ".join(ways)
