"""Finished outline -> line of the wire's centre, and what so wide a slot cannot follow.

The wire leaves a slot with a round end. Offsetting the outline by half a kerf and
back again (a *closing* by a disc, in the words of mathematical morphology) gives the
shape that is left: the same outline, with inner corners filled to a radius of half a
kerf and with every notch too narrow for the slot filled up. `misses` measures that
difference; `refuse_lost` tells a corner that is merely round from a notch that is lost.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LinearRing, LineString, MultiPolygon, Point, Polygon, box

from wirepath.errors import Fault, FitError
from wirepath.geometry import QUAD_SEGS, place_all, place_ruled, polygons
from wirepath.kerf.corners import Driven, Waste, driven, rings
from wirepath.kerf.taper import standing_off, taper_line
from wirepath.kerf.taper_misses import taper_miss
from wirepath.model import Layout, Piece, PieceMiss, WireLine
from wirepath.units import told_apart
from wirepath.workshop import Cutting

LOST_KERFS = 0.5
"""A notch that loses more than this share of a kerf in depth is refused. A right-angled
inner corner loses 0.207 kerfs, (sqrt 2 - 1)/2, which no round wire can help."""

TIP_KERFS = 3.0
"""A sharp inner corner may lose this many kerfs off its tip: corners over 17 degrees do."""

PARALLEL_RAD = math.radians(170)
"""An inner corner that turns further than this has sides as good as parallel: a notch."""

MOUTH_SHARE = 0.7
"""A mouth narrower than this share of the arc that fits the corner is a notch's own mouth.
Room for `SLACK`, and for sides that bend away, which make a corner's mouth look narrow."""

LUMP_KERFS = 2.0
"""A lump smaller than a square of so many kerfs is a bead on a tip; no web is told for it."""

LINE_MM = 1e-6
"""What lies nearer to a line than this lies on it."""

SLACK = 0.02
"""Share of the offset by which it may err: GEOS straightens lines by 1 % before it offsets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Miss:
    """A place where the wire leaves foam standing `miss_mm` outside the outline.

    `at` is where it is worst, in the frame of the outline; `mouth_mm` the straight
    distance between the ends of the arc that the wire leaves there. `notch` is true
    where the outline turns in further than the wire can follow: a notch is lost, not
    only a corner rounded.
    """

    miss_mm: float
    at: tuple[float, float]
    mouth_mm: float
    notch: bool


def wire_lines(layout: Layout, pieces: tuple[Piece, ...], cutting: Cutting) -> tuple[WireLine, ...]:
    """Return the lines for the wire's centre that leave the layout's pieces at their size.

    Every piece gives the line of its outline, then one for each hole, in the order of
    placement; a taper gives the line that stands off it, for `routing.lean` to replace.
    Outlines run counter-clockwise, holes clockwise. Raises FitError, all
    faults at once, where so wide a slot loses a notch, a hole or a web (`refuse_lost`).
    """
    placed = tuple(pieces[one.piece - 1] for one in layout.placements)
    refuse_lost(placed, cutting)
    outlines = place_all(layout, pieces)
    stood_off: dict[int, LineString] = {}
    for index, (piece, placement) in enumerate(zip(placed, layout.placements, strict=True)):
        if piece.taper is not None:
            way = taper_line(place_ruled(piece.taper.cut, placement), cutting)
            stood_off[index] = standing_off(way.line, cutting)
            # Loops of others keep off where the wire leans over too.
            outlines[index] = Polygon(stood_off[index])
    lines: list[WireLine] = []
    for index, piece in enumerate(placed):
        if index in stood_off:
            lines.append(WireLine(piece=piece.number, is_hole=False, ring=stood_off[index]))
            continue
        others = MultiPolygon([*outlines[:index], *outlines[index + 1 :], *layout.blocked])
        waste = Waste(_loop_face(layout, cutting), others, cutting.web_mm)
        lines += _lines_of(piece, driven(outlines[index], cutting, waste))
    return tuple(lines)


def _loop_face(layout: Layout, cutting: Cutting) -> Geometry:
    """Return where loops may run: a slot and a web clear of the foam's edge."""
    face = layout.outline or box(0, 0, layout.width_mm, layout.height_mm)
    return shapely.buffer(face, -cutting.kerf_mm / 2 - cutting.web_mm)


def _lines_of(piece: Piece, way: Driven) -> Iterator[WireLine]:
    """Yield the line of the outline, then one for each hole, with what is theirs of the way."""
    rings = np.array([LineString(r.coords) for r in (way.grown.exterior, *way.grown.interiors)])
    slow = shapely.get_parts(shapely.line_merge(way.slow))
    for index, ring in enumerate(rings):
        yield WireLine(
            piece=piece.number,
            is_hole=index > 0,
            ring=ring,
            slow=tuple(slow[shapely.dwithin(slow, ring, LINE_MM)]),
            loops=tuple(
                loop
                for loop in way.loops
                if shapely.dwithin(shapely.get_point(loop, 0), ring, LINE_MM)
            ),
        )


def largest_miss(piece: Piece, cutting: Cutting) -> Miss | None:
    """Return the place where the wire misses the piece's outline most, None where nowhere.

    A round wire rounds every sharp inner corner: by 0.207 kerfs where it is square, the
    kerf being that at the corner feed where corners are slowed.
    """
    return max(misses(piece.outline, cutting), key=lambda miss: miss.miss_mm, default=None)


def piece_misses(pieces: Iterable[Piece], cutting: Cutting) -> tuple[PieceMiss, ...]:
    """Return where the melted-back shape of each piece misses it most; copies alike.

    Pieces that are followed all round are left out. Of a taper it is the most over all depths.
    """
    worst: dict[object, tuple[float, tuple[float, float]]] = {}
    found = []
    for piece in pieces:
        key = piece.taper.cut if piece.taper else shapely.to_wkb(piece.outline)
        if key not in worst:
            worst[key] = _worst(piece, cutting)
        miss_mm, at = worst[key]
        if miss_mm > 0:
            found.append(PieceMiss(piece=piece.number, miss_mm=miss_mm, at=at))
    return tuple(found)


def _worst(piece: Piece, cutting: Cutting) -> tuple[float, tuple[float, float]]:
    """Return the largest miss of a piece and its place; 0 mm where the wire follows it."""
    if piece.taper is not None:
        return taper_miss(piece.taper.cut, cutting)
    miss = largest_miss(piece, cutting)
    return (0.0, (0.0, 0.0)) if miss is None else (miss.miss_mm, miss.at)


def misses(outline: Polygon, cutting: Cutting) -> tuple[Miss, ...]:
    """Return every place where the slot cannot follow `outline`.

    Measured at points no more than an eighth of a kerf apart: how much further than
    half a kerf they lie from the wire's line. Holes too small for a wire line at all
    are not measured: `refuse_lost` tells them. A wire at one feed follows whatever is
    convex all round.
    """
    return _misses(shapely.to_wkb(outline), cutting)


@lru_cache(maxsize=1024)
def _misses(wkb: bytes, cutting: Cutting) -> tuple[Miss, ...]:
    # Asked for at three stages of both ways of a parted form: measured once.
    outline = shapely.from_wkb(wkb)
    assert isinstance(outline, Polygon)
    if cutting.corner_feed_mm_per_s is None and _is_convex(outline):
        return ()
    way = driven(outline, cutting)
    found: list[Miss] = []
    for ring in rings(outline):
        if ring.is_ccw or _lines_within(way.grown, Polygon(ring)):
            found += _ring_misses(ring, way, cutting)
    return tuple(found)


def refuse_lost(pieces: Iterable[Piece], cutting: Cutting) -> None:
    """Raise FitError, all faults at once, where the kerf is too wide for an outline.

    Refused are a notch that is lost, a hole or a bay that the wire cannot get into, a
    web of foam thinner than the kerf, and a sharp inner corner that would lose more
    than `TIP_KERFS` kerfs. Copies of a part are told once; places are the drawing's.
    """
    parts: dict[tuple[str, bytes], Piece] = {}
    for piece in pieces:
        parts.setdefault((piece.part, shapely.to_wkb(piece.outline)), piece)
    faults = [
        fault
        for piece in parts.values()
        for fault in (_taper_lost(piece, cutting) if piece.taper else _lost(piece, cutting))
    ]
    if faults:
        raise FitError(faults)


def _taper_lost(piece: Piece, cutting: Cutting) -> Iterator[Fault]:
    assert piece.taper is not None
    try:
        taper_line(piece.taper.cut, cutting)
    except FitError as error:
        yield from (fault.inside(f"piece {piece.name!r}") for fault in error.faults)


def _lost(piece: Piece, cutting: Cutting) -> Iterator[Fault]:
    kerf_mm = cutting.kerf_mm
    radius = kerf_mm / 2
    outline = piece.outline
    grown = driven(outline, cutting).grown
    mend = f"make it wider than {kerf_mm:g} mm in the drawing, or cut with a smaller kerf"

    def fault(what: str, at: tuple[float, float]) -> Fault:
        return Fault(what, f"piece {piece.name!r}, near x {at[0]:.1f}, y {at[1]:.1f} mm", mend)

    holes = [Polygon(ring) for ring in outline.interiors]
    for hole in holes:
        count = len(_lines_within(grown, hole))
        west, south, east, north = hole.bounds
        sides = (east - west, north - south)
        size = " x ".join(told_apart(side, kerf_mm) for side in sides) + " mm"
        if count == 0:
            yield fault(
                f"a hole of {size} is too small for the kerf of {kerf_mm:g} mm",
                _middle(hole.bounds),
            )
        elif count > 1:
            yield fault(
                f"a hole of {size} has a neck narrower than the kerf of {kerf_mm:g} mm",
                _middle(hole.bounds),
            )
    for ring in grown.interiors:
        if not any(hole.intersects(ring) for hole in holes):
            yield fault(
                f"the mouth of a bay is narrower than the kerf of {kerf_mm:g} mm: "
                "the wire cannot get in",
                _middle(ring.bounds),
            )
    for miss in misses(outline, cutting):
        if miss.notch and miss.miss_mm > LOST_KERFS * kerf_mm:
            room = "narrower" if miss.mouth_mm < kerf_mm else "no wider"
            yield fault(
                f"a notch {told_apart(miss.mouth_mm, kerf_mm)} mm wide is {room} than the kerf "
                f"of {kerf_mm:g} mm: {miss.miss_mm:.1f} mm of its depth would be lost",
                miss.at,
            )
        elif miss.miss_mm > TIP_KERFS * kerf_mm:
            yield fault(
                f"an inner corner is so sharp that a kerf of {kerf_mm:g} mm would lose "
                f"{miss.miss_mm:.1f} mm of it",
                miss.at,
            )
    for width_mm, at in _thin_webs(outline, radius):
        yield fault(
            f"a web of foam {told_apart(width_mm, kerf_mm)} mm wide is thinner than the kerf "
            f"of {kerf_mm:g} mm",
            at,
        )


def _is_convex(outline: Polygon) -> bool:
    if outline.interiors:
        return False
    turns = _turns(shapely.get_coordinates(outline.exterior)[:-1])
    return bool((turns >= 0).all() or (turns <= 0).all())


def _lines_within(grown: Polygon, hole: Polygon) -> list[LinearRing]:
    return [ring for ring in grown.interiors if hole.intersects(ring)]


def _middle(bounds: tuple[float, float, float, float]) -> tuple[float, float]:
    return (bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2


def _ring_misses(ring: LinearRing, way: Driven, cutting: Cutting) -> Iterator[Miss]:
    """Yield the runs of points along `ring` that the slot of the wire's line does not reach."""
    radius = cutting.kerf_mm / 2
    wide = (cutting.corner_kerf_mm or cutting.kerf_mm) / 2
    dense = shapely.get_coordinates(shapely.segmentize(ring, radius / 4))[:-1]
    points = np.asarray(shapely.points(dense))
    lines, slow = way.grown.boundary, way.slow
    shapely.prepare([lines, slow])
    far = ~shapely.dwithin(lines, points, radius * (1 + SLACK))
    far &= ~shapely.dwithin(slow, points, wide * (1 + SLACK))
    if not far.any() or far.all():
        return
    # Begin at a point that is followed, so that no run wraps round the end.
    shift = -int(np.argmin(far))
    dense, far = np.roll(dense, shift, axis=0), np.roll(far, shift)
    points = np.roll(points, shift)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], far, [False])).astype(int)))
    turns = _turns(dense)
    for first, after in edges.reshape(-1, 2):
        here = points[first:after]
        depth = shapely.distance(here, lines) - radius
        if not shapely.is_empty(slow):
            depth = np.minimum(depth, shapely.distance(here, slow) - wide)
        worst = int(np.argmax(depth))
        mouth = dense[after % len(dense)] - dense[first - 1]
        mouth_mm = float(np.hypot(*mouth))
        turn_rad = -float(turns[first:after].sum())
        x, y = dense[first + worst]
        yield Miss(
            miss_mm=float(depth[worst]),
            at=(float(x), float(y)),
            mouth_mm=mouth_mm,
            notch=_is_notch(turn_rad, mouth_mm, radius),
        )


def _is_notch(turn_rad: float, mouth_mm: float, radius: float) -> bool:
    """Return whether an arc that fills `turn_rad` of outline touches the mouth's corners.

    An arc that leaves the outline as its tangent on both sides turns as the outline
    does, so its chord is 2 r sin(turn / 2): the corner is rounded. A shorter chord
    means that the notch ended before the arc could touch its sides.
    """
    if turn_rad > PARALLEL_RAD:
        return True
    return mouth_mm < MOUTH_SHARE * 2 * radius * math.sin(max(turn_rad, 0.0) / 2)


def _turns(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the turn at each point, (n,), in radians, left positive; points: (n, 2), a ring."""
    steps = np.roll(points, -1, axis=0) - points
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    turn = heading - np.roll(heading, 1)
    return (turn + np.pi) % (2 * np.pi) - np.pi


def _thin_webs(outline: Polygon, radius: float) -> Iterator[tuple[float, tuple[float, float]]]:
    """Yield (width, place) of webs thinner than two radii that hold lumps of foam together."""
    lumps = polygons(shapely.buffer(outline, -radius, quad_segs=QUAD_SEGS))
    if not lumps:
        widest = shapely.maximum_inscribed_circle(outline, tolerance=radius / 50)
        x, y = widest.coords[0]
        yield 2 * widest.length, (x, y)
        return
    first, *rest = sorted(lumps, key=lambda lump: -lump.area)
    for lump in rest:
        if lump.area < (LUMP_KERFS * 2 * radius) ** 2:
            continue
        middle: Point = shapely.shortest_line(first, lump).interpolate(0.5, normalized=True)
        nearest = shapely.shortest_line(middle, outline.boundary)
        yield min(2 * nearest.length, 2 * radius), (float(middle.x), float(middle.y))
