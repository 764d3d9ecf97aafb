"""A body parted in plan: patterns of seams tried, the pieces they make, the best kept."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

import numpy as np
import shapely
from shapely import Geometry, LineString, Polygon
from shapely.affinity import affine_transform

from wirepath import overlay
from wirepath.fitting import DUST_MM, Room
from wirepath.geometry import polygons, turn_matrix
from wirepath.model import Turning
from wirepath.sectioning.buying import Box, Purchase, hands_price, purchase
from wirepath.sectioning.needs import Needs, Size, longer_side
from wirepath.sectioning.raster import Body, Floats, Raster, raster_of
from wirepath.sectioning.rows import Row, Rules, best_rows
from wirepath.sectioning.weak import WEAK_PIECES, weak_places

Shape = TypeVar("Shape", bound=Geometry)


ANY_STEP_DEG = 15.0
"""Turns of the pattern tried where pieces may be turned by any angle."""

SLANTED_SHARE = 0.9
"""Where the least rectangle around a form has less than this of the upright one's area,
patterns along it are tried even where pieces may only be turned by quarters."""

COARSE, FINE = 20, 36
"""Columns of the raster along a form's longer side: to choose turns, and to choose seams."""

FINE_TURNS = 2
"""How many turns of the pattern besides the upright are gone into on the fine raster."""

HANDS = (0.25, 1.0, 4.0)
"""Patterns are made as if hands cost so many times their price: whole blocks decide in the
end, and foam that a pattern saves may save none."""

SHARP_DEG = 30.0
"""A tip sharper than this beside a seam breaks off in handling (common practice, no source)."""

TOUCH_MM = 1e-5
"""Turned seams leave rounding of some 1e-12 mm between neighbours: nearer than this touches."""

SHARP_MM = 300.0
"""What such a tip counts for, as a length of seam."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parting:
    """A body in pieces: their outlines, heights and what the pattern counts for."""

    shapes: tuple[Polygon, ...]
    heights_mm: tuple[float, ...]
    bought: Purchase
    price: float
    """Of the blocks and of the hands that join the pieces, and stiffen what is weak."""
    seam_mm: float
    unlapped_mm: float
    """Length of the seams that run over seams of the layer beneath."""
    slivers: int

    def rank(self) -> tuple[float, ...]:
        """Return what partings are compared by: slivers, laps, then price, then seams."""
        return (
            self.slivers,
            round(self.unlapped_mm),
            round(self.price, 6),
            round(self.seam_mm, 3),
        )


def part(body: Body, needs: Needs, shunned: Sequence[LineString] = ()) -> Parting | None:
    """Return the best parting found, or None where no seams make all pieces fit.

    `shunned` are seams of the layer beneath, which these keep off.
    """
    around = shapely.box(*shapely.bounds(body.outline))
    whole = _parting(body, needs, [around] if needs.square else polygons(body.outline), ())
    if whole is not None:
        return whole
    coarse = [
        (cost, angle)
        for angle in (() if needs.square else slants(body.outline, needs.turning))
        for cost, _ in patterns(body, needs, angle, COARSE, (1.0,), shunned)
    ]
    angles = [0.0, 90.0, *(angle for _, angle in sorted(coarse)[:FINE_TURNS])]
    best: Parting | None = None
    for angle in angles:
        for _, cells in patterns(body, needs, angle, FINE, HANDS, shunned):
            shapes = absorbed(body, needs, lumps_in(body.outline, cells, needs))
            found_parting = _parting(body, needs, shapes, shunned)
            if found_parting and (best is None or found_parting.rank() < best.rank()):
                best = found_parting
    return best


def slants(outline: Geometry, turning: Turning) -> list[float]:
    """Return the turns of the pattern to try besides 0, rows along x, and 90, rows along y."""
    if turning == "any":
        return [angle for angle in np.arange(0.0, 180.0, ANY_STEP_DEG).tolist() if angle % 90]
    frame = shapely.minimum_rotated_rectangle(outline)
    (x0, y0), (x1, y1) = shapely.get_coordinates(frame)[:2]
    along = round(math.degrees(math.atan2(y1 - y0, x1 - x0)), 3) % 90.0
    slanted = shapely.area(frame) < SLANTED_SHARE * shapely.area(shapely.envelope(outline))
    return [along, along + 90.0] if slanted else []


def patterns(
    body: Body,
    needs: Needs,
    angle_deg: float,
    count: int,
    hands: Sequence[float],
    shunned: Sequence[LineString],
) -> Iterator[tuple[float, list[Polygon]]]:
    """Give the cheapest pattern of cells at each price of hands, in the drawing's frame."""
    turned = _turned_body(body, -angle_deg)
    x0, y0, x1, y1 = shapely.bounds(turned.outline).tolist()
    blocks = [(room.width_mm, room.height_mm, room.depth_mm) for room in needs.rooms]
    sizes = np.unique(_roomiest(blocks)[:, :2]).tolist()
    share = longer_side(body.outline) / needs.extent_mm
    step = max(x1 - x0, y1 - y0) / (count * share)
    thick = max(height for _, height in body.steps)
    piece_mm = hands_price(1, 0.0, 1.0) / hands_price(0, thick, 1.0)
    raster = raster_of(
        turned,
        _lines(x0, x1, step, sizes),
        _lines(y0, y1, step, sizes),
        barred=[_turned(zone, -angle_deg) for zone in needs.keep_clear],
        shunned=[_turned(line, -angle_deg) for line in shunned],
        lap_mm=needs.settings.lap_mm,
        least_mm=0.0 if needs.square else needs.settings.least_mm,
        weak_mm=WEAK_PIECES * piece_mm,
    )
    turned_upright = needs.turning == "any"
    cos, sin = (1.0, 0.0) if turned_upright else np.abs(turn_matrix(angle_deg))[[0, 2]]
    price = min(room.stock.price / _usable_mm3(room) for room in needs.rooms)
    rules = Rules(
        rooms=_roomiest(needs.sizes),
        may_swap=needs.may_swap,
        spread=(float(cos), float(sin)),
        most_mm3=needs.most_mm3,
        least_mm=needs.settings.least_mm,
        foam_per_mm3=price,
        piece_mm=piece_mm,
        square=needs.square,
        blocks=block_sizes(needs.rooms) if needs.grouped else None,
    )
    prices = [hands_price(0, thick, needs.hour_price * times) for times in hands]
    lap = needs.settings.lap_mm if needs.settings.staggered else 0.0
    for cost, rows in best_rows(raster, rules, prices, lap_mm=lap):
        yield cost, _cells(raster, rows, angle_deg)


def _lines(start: float, end: float, step_mm: float, sizes: Sequence[float]) -> Floats:
    """Return places for seams, mm: even ones, halves and thirds among them, and block ends.

    A block's ends are where whole blocks laid from either end of the form would meet.
    """
    count = max(12, 12 * math.ceil((end - start) / step_mm / 12))
    even = np.linspace(start, end, count + 1)
    # Long blocks all along, shorter ones beside the ends: a line costs time everywhere.
    ends = [
        np.arange(1, math.ceil((end - start) / size)) * size if k < 2 else np.array([size])
        for k, size in enumerate(sorted(sizes, reverse=True))
    ]
    whole = np.concatenate([np.zeros(0), *ends])
    blocks = np.unique(np.round(np.concatenate([start + whole, end - whole]), 6))
    blocks = blocks[(blocks > start + 1e-3) & (blocks < end - 1e-3)]
    # A block's end takes the place of the even line next to it.
    gaps = np.abs(even[1:-1, None] - blocks).min(axis=1, initial=np.inf)
    inner = np.union1d(even[1:-1][gaps > 0.3 * (end - start) / count], blocks)
    lines = np.concatenate([[start], inner[np.diff(inner, prepend=start) > 1e-3], [end]])
    return np.asarray(lines, dtype=np.float64)


def _usable_mm3(room: Room) -> float:
    return room.width_mm * room.height_mm * room.depth_mm


def block_sizes(rooms: Sequence[Room]) -> Floats:
    """Return (k, 4) width, height, depth and price of each room's block."""
    return np.array([(one.width_mm, one.height_mm, one.depth_mm, one.stock.price) for one in rooms])


def _roomiest(rooms: Sequence[Size]) -> Floats:
    """Return (k, 3) those of the sizes that no other one holds."""
    sizes = sorted(set(rooms))
    return np.array(
        [
            size
            for size in sizes
            if not any(
                other != size and all(a <= b for a, b in zip(size, other, strict=True))
                for other in sizes
            )
        ]
    )


def _turned_body(body: Body, angle_deg: float) -> Body:
    if angle_deg == 0.0:
        return body
    return Body(
        outline=_turned(body.outline, angle_deg),
        steps=tuple((_turned(region, angle_deg), height) for region, height in body.steps),
    )


def _turned(shape: Shape, angle_deg: float) -> Shape:
    a, b, d, e = turn_matrix(angle_deg)
    turned: Shape = affine_transform(shape, (a, b, d, e, 0.0, 0.0))
    return turned


def _cells(raster: Raster, rows: Sequence[Row], angle_deg: float) -> list[Polygon]:
    return [
        _turned(
            shapely.box(
                raster.xs[left], raster.ys[row.start], raster.xs[right], raster.ys[row.end]
            ),
            angle_deg,
        )
        for row in rows
        for left, right in pairwise(row.cuts)
    ]


# --- Cells to pieces ----------------------------------------------------------------


def lumps_in(outline: Geometry, cells: Sequence[Polygon], needs: Needs) -> list[Polygon]:
    """Return the separate lumps of the outline in each cell, or the box around them."""
    found = []
    for cell in cells:
        lumps = [one for one in polygons(overlay.intersection(outline, cell)) if one.area > 1e-3]
        if needs.square and lumps:
            lumps = [shapely.box(*shapely.total_bounds(lumps))]
        found += lumps
    return found


def absorbed(body: Body, needs: Needs, lumps: list[Polygon]) -> list[Polygon]:
    """Return the lumps, slivers joined to the neighbour with the longest seam that allows it."""
    lumps = list(lumps)
    for sliver in sorted(lumps, key=lambda lump: (lump.area, lump.bounds)):
        if not _is_sliver(sliver, needs.settings.least_mm) or not any(
            sliver is lump for lump in lumps
        ):
            continue
        rest = [lump for lump in lumps if lump is not sliver]
        edge = shapely.boundary(sliver)
        shared = shapely.length(overlay.intersection(edge, shapely.buffer(rest, TOUCH_MM)))
        for k in sorted(range(len(rest)), key=lambda k: (-shared[k], k)):
            if shared[k] <= 10 * TOUCH_MM:
                break
            joined = _joined(rest[k], sliver)
            if joined is None or (needs.square and not _is_box(joined)):
                continue
            if needs.hold(joined, body.height_mm(joined)):
                rest[k] = joined
                lumps = rest
                break
    return lumps


def _joined(one: Polygon, other: Polygon) -> Polygon | None:
    """Return both as one; where turned seams leave a hairline between them, it is closed."""
    for other_try in (other, shapely.buffer(other, TOUCH_MM / 10, join_style="mitre")):
        joined = overlay.union([one, other_try])
        if isinstance(joined, Polygon):
            return joined
    return None


def _is_box(shape: Polygon) -> bool:
    return bool(shapely.area(shapely.envelope(shape)) - shape.area <= 1e-3)


def _is_sliver(shape: Polygon, least_mm: float) -> bool:
    return bool(shape.buffer(-least_mm / 2).is_empty)


def _parting(
    body: Body, needs: Needs, shapes: Sequence[Polygon], shunned: Sequence[LineString]
) -> Parting | None:
    """Return the shapes as a parting, or None where one of them cannot be cut or lifted."""
    heights = [body.height_mm(shape) for shape in shapes]
    if not all(needs.hold(s, h) for s, h in zip(shapes, heights, strict=True)):
        return None
    bought = purchase(
        [_box(s, needs, h) for s, h in zip(shapes, heights, strict=True)],
        heights,
        needs.rooms,
        may_swap=needs.may_swap,
        kerf_mm=needs.kerf_mm,
        web_mm=needs.web_mm,
        share_slabs=needs.settings.share_slabs,
    )
    if bought is None:
        return None
    rim = overlay.union(shapes) if needs.square else body.outline
    inner = (sum(shape.length for shape in shapes) - shapely.length(rim)) / 2
    sharp = 0 if needs.square else sum(_sharp_tips(shape, body.outline) for shape in shapes)
    glued = (inner + SHARP_MM * sharp) * max(heights)
    lines = inner_edges(shapes)
    least_mm = needs.settings.least_mm
    weak = 0 if needs.square else weak_places(shapes, lines, least_mm)
    return Parting(
        shapes=tuple(shapes),
        heights_mm=tuple(heights),
        bought=bought,
        price=bought.price + hands_price(len(shapes) + WEAK_PIECES * weak, glued, needs.hour_price),
        seam_mm=inner,
        unlapped_mm=_along(lines, shunned, needs.settings.lap_mm),
        slivers=sum(_is_sliver(shape, least_mm) for shape in shapes),
    )


def inner_edges(shapes: Sequence[Polygon]) -> list[LineString]:
    """Return the straight seams between the shapes of a layer."""
    many = np.array(shapes, dtype=object)
    ones, others = shapely.STRtree(many).query(many, predicate="dwithin", distance=TOUCH_MM)
    ones, others = ones[ones > others], others[ones > others]
    near = overlay.intersection(
        shapely.boundary(many[ones]), shapely.buffer(many[others], 1e-4, join_style="mitre")
    )
    lines = shapely.get_parts(shapely.line_merge(near[shapely.length(near) > 1.0]))
    straight = shapely.simplify(lines, 0.1)
    return [line for line in straight if isinstance(line, LineString) and line.length > 1.0]


def _along(seams: Sequence[LineString], shunned: Sequence[LineString], lap_mm: float) -> float:
    """Return the length of the seams that run along one of `shunned`, within the lap."""
    length = 0.0
    for seam in seams:
        for line in shunned:
            if _is_parallel(seam, line):
                near = line.buffer(lap_mm - TOUCH_MM, cap_style="flat")
                length += float(shapely.length(overlay.intersection(seam, near)))
    return length


def _is_parallel(one: LineString, other: LineString) -> bool:
    """Whether two straight lines run within some 25 degrees of each other."""
    (a, b), (c, d) = (shapely.get_coordinates(line)[[0, -1]] for line in (one, other))
    return bool(abs((b - a) @ (d - c)) > 0.9 * math.dist(a, b) * math.dist(c, d))


def _box(shape: Polygon, needs: Needs, thick_mm: float) -> Box:
    """Return width and height of the least rectangle the piece can be laid in and that fits."""
    x0, y0, x1, y1 = shape.bounds
    boxes: list[Box] = [(x1 - x0, y1 - y0)]
    if needs.turning == "any":
        a, b, c = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))[:3]
        boxes.append((math.dist(a, b), math.dist(b, c)))
        hull = shape.convex_hull
        for angle in np.arange(ANY_STEP_DEG, 180.0, ANY_STEP_DEG):
            x0, y0, x1, y1 = _turned(hull, angle).bounds
            boxes.append((x1 - x0, y1 - y0))

    def fits_some(box: Box) -> bool:
        return any(
            thick_mm <= room.depth_mm + DUST_MM
            and min(box) <= room.height_mm + DUST_MM
            and max(box) <= room.width_mm + DUST_MM
            for room in needs.rooms
        )

    return min(boxes, key=lambda box: (not fits_some(box), box[0] * box[1]))


def _sharp_tips(shape: Polygon, outline: Geometry) -> int:
    """Return how many corners of the shape sharper than SHARP_DEG the seams have made."""
    ring = shapely.get_coordinates(shapely.get_exterior_ring(shape.simplify(1.0)))[:-1]
    back, ahead = np.roll(ring, 1, axis=0) - ring, np.roll(ring, -1, axis=0) - ring
    cross = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
    inside = np.degrees(np.arctan2(-cross, (back * ahead).sum(axis=1))) % 360
    tips = ring[inside < SHARP_DEG]
    # The outline's own tips are no fault of the seams.
    own = shapely.get_coordinates(shapely.simplify(outline, 1.0))
    return sum(1 for tip in tips if np.abs(own - tip).sum(axis=1).min() > 2.0)
