"""Slabs sawn from a block, each cut round the form at its height: straight or slanted edges.

A slanted edge is ruled: both ends of the wire run along lines of their own, corner for
corner, evenly in between. Each ruled patch between two neighbouring corners is checked
against every level it passes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Blank, Level
from wirepath.roughing.paths import FARTHEST_MM, MOST_MARKS, TOLERANCE_MM
from wirepath.roughing.stack import grown
from wirepath.simplifying import few_corners

Floats = NDArray[np.float64]

STEEPEST_DEG = 60.0
"""No ruling leans farther from square than this: the wire would be too long, the edge thin."""

CORNER_MM = 60.0
HAND_CORNER_MM = 120.0
"""Slanted edges get a corner at least this often, so that they can lean little by little: by hand
two people must call out each of them."""

LEAST_HOLE_MM2 = 10_000.0
"""Holes smaller than a square of 100 mm are not worth a slit."""

SHARES = tuple(1.0 - k / 16 for k in range(17))
"""How much of the full lean a ruling may take, tried in turn."""

STAND_OFFS = (0.0, 0.1, 0.2, 0.35, 0.5, 0.75, 1.0)
"""How far outside the form's edge the lower end may run, in slab thicknesses."""


def slab_blanks(blank: Blank, thickness_mm: float) -> tuple[Blank, ...]:
    """Return the blank sawn into slabs from its back, the last one as thick as is left."""
    count = max(1, math.ceil(blank.thickness_mm / thickness_mm - 1e-9))
    found = []
    for k in range(count):
        low = k * thickness_mm
        found.append(
            Blank(
                number=k + 1,
                x_mm=blank.x_mm,
                y_mm=blank.y_mm,
                width_mm=blank.width_mm,
                height_mm=blank.height_mm,
                thickness_mm=min(thickness_mm, blank.thickness_mm - low),
                from_mm=blank.from_mm + low,
            )
        )
    return tuple(found)


def straight_slab(
    levels: Sequence[Level], slab: Blank, reach_mm: float, *, by_hand: bool
) -> list[Polygon]:
    """Return what the wire's centre passes round in a slab, square to it, holes included.

    Holes that hold another part of the form are left in: their plug would carry it off.
    """
    parts = polygons(_standing(levels, slab, reach_mm))
    solid = overlay.union(
        [
            few_corners(
                Polygon(part.exterior),
                tolerance_mm=TOLERANCE_MM,
                most_corners=MOST_MARKS if by_hand else 10_000,
                farthest_mm=FARTHEST_MM,
            )
            for part in parts
        ]
    )
    holes = [
        few_hole_corners(Polygon(ring))
        for part in parts
        for ring in part.interiors
        if Polygon(ring).area >= LEAST_HOLE_MM2
        and not any(other is not part and Polygon(ring).contains(other) for other in parts)
    ]
    return [
        Polygon(shell.exterior, [hole.exterior for hole in holes if shell.contains(hole)])
        for shell in polygons(solid)
    ]


def slanted_edge(
    levels: Sequence[Level], slab: Blank, shell: Polygon, reach_mm: float, *, by_hand: bool
) -> tuple[Polygon, Polygon]:
    """Return where the wire's lower and upper ends pass, corner for corner.

    The lower line runs along `shell` or somewhat outside it: over a bulge a wire that
    stands off below can lean in farther above. Of those tried the one that leaves least
    foam is taken; where no lean is possible the edge stays square.
    """
    near = [level for level in levels if level.to_mm > slab.from_mm - reach_mm]
    goal = overlay.intersection(_top(near, slab, reach_mm), shell)
    best = (shell, shell)
    if goal.is_empty:
        return best
    least = 2 * shell.area
    for off in STAND_OFFS:
        wider = shapely.buffer(shell, off * slab.thickness_mm, join_style="mitre")
        outer = shell if off == 0 else Polygon(wider.exterior)
        lower = with_corners(few_corners(outer, tolerance_mm=TOLERANCE_MM), by_hand=by_hand)
        upper = _leaned(near, slab, lower, goal, reach_mm)
        # Sections change evenly, so the volume goes nearly by the mean of both ends.
        if upper is not None and lower.area + upper.area < least - 1.0:
            best, least = (lower, upper), lower.area + upper.area
    return best


def slanted_hole(
    levels: Sequence[Level], slab: Blank, hole: Polygon, reach_mm: float, *, by_hand: bool
) -> tuple[Polygon, Polygon]:
    """Return where the wire's lower and upper ends pass in a hole, corner for corner.

    As `slanted_edge`, but the form lies outside: the hole may be narrower below and lean
    out towards the opening in what stands at the slab's front.
    """
    near = [level for level in levels if level.to_mm > slab.from_mm - reach_mm]
    opening = overlay.difference(shapely.box(*hole.buffer(1e4).bounds), _top(near, slab, reach_mm))
    best, most = (hole, hole), 2 * hole.area
    for off in STAND_OFFS:
        parts = polygons(shapely.buffer(hole, -off * slab.thickness_mm, join_style="mitre"))
        if not parts:
            break
        inner = few_hole_corners(max(parts, key=lambda part: part.area))
        lower = with_corners(inner, by_hand=by_hand)
        upper = _leaned(near, slab, lower, opening, reach_mm, outward=True)
        if upper is not None and lower.area + upper.area > most + 1.0:
            best, most = (lower, upper), lower.area + upper.area
    return best


def _top(near: Sequence[Level], slab: Blank, reach_mm: float) -> Geometry:
    """Return what stands at the slab's front, or highest in a slab that holds the peak."""
    front = slab.from_mm + slab.thickness_mm
    highest = max((level.to_mm for level in near), default=0.0)
    floor = min(front, highest) - 1e-6
    return _standing([level for level in near if level.to_mm > floor], slab, reach_mm)


def _leaned(
    near: Sequence[Level],
    slab: Blank,
    lower: Polygon,
    goal: Geometry,
    reach_mm: float,
    *,
    outward: bool = False,
) -> Polygon | None:
    """Return the upper line over `lower`, each corner leaning towards `goal` as far as is clear.

    None where some patch is not clear even when it stands square.
    """
    base = shapely.get_coordinates(lower.exterior)[:-1]
    nearest = shapely.get_coordinates(
        shapely.shortest_line(shapely.points(base), shapely.boundary(goal))
    ).reshape(-1, 2, 2)[:, 1]
    lean = nearest - base
    longest = slab.thickness_mm * math.tan(math.radians(STEEPEST_DEG))
    lean *= np.minimum(1.0, longest / np.maximum(np.hypot(*lean.T), 1e-9))[:, None]
    share = np.zeros(len(base), dtype=int)
    last = len(SHARES) - 1
    bad = np.zeros(len(base), dtype=bool)
    moved = np.arange(len(base))
    while True:
        ends = base + lean * _of(share)
        bad[moved] = ~_patches_clear(near, slab, _pairs(base)[moved], _pairs(ends)[moved], reach_mm)
        if not bad.any():
            break
        upright = share == last
        if (bad & upright & np.roll(upright, -1)).any():
            return None
        worse = (bad | np.roll(bad, 1)) & ~upright
        share = share + worse
        moved = np.flatnonzero(worse | np.roll(worse, -1))
    # Closed by hand: were the first and the last corner to meet, they would count as one.
    found = Polygon(np.concatenate([ends, ends[:1]]))
    inner, outer = (lower, found) if outward else (found, lower)
    return found if found.is_valid and outer.buffer(1e-6).covers(inner) else None


def with_corners(polygon: Polygon, *, by_hand: bool) -> Polygon:
    """Return the same polygon with corners near enough to each other to lean in between."""
    apart = HAND_CORNER_MM if by_hand else CORNER_MM
    return Polygon(shapely.segmentize(polygon.exterior, apart))


def few_hole_corners(hole: Polygon) -> Polygon:
    """Return a hole with fewer corners, nowhere larger; itself where it would close."""
    around = Polygon(shapely.box(*hole.buffer(100.0).bounds).exterior, [hole.exterior])
    simple = few_corners(around, tolerance_mm=TOLERANCE_MM)
    return Polygon(simple.interiors[0]) if simple.interiors else hole


def _of(share: NDArray[np.int_]) -> Floats:
    return np.array(SHARES)[share][:, None]


def _standing(levels: Sequence[Level], slab: Blank, reach_mm: float) -> Geometry:
    """Return how far the form grown by `reach_mm` spreads anywhere in the slab."""
    low, high = slab.from_mm, slab.from_mm + slab.thickness_mm
    regions = []
    for level in levels:
        beyond = max(0.0, level.from_mm - high, low - level.to_mm)
        if beyond < reach_mm:
            regions.append(grown(level.region, math.sqrt(reach_mm**2 - beyond**2)))
    found: Geometry = overlay.union(regions)
    return found


def _pairs(corners: Floats) -> Floats:
    """Return each corner (n, 2) of a ring and its follower, (n, 2, 2)."""
    return np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)


def _patches_clear(
    levels: Sequence[Level], slab: Blank, back: Floats, front: Floats, reach_mm: float
) -> NDArray[np.bool_]:
    """Return for each patch whether it keeps off every level; `back` and `front` (n, 2, 2) are
    its two corners at the slab's back and at its front.

    Up to a level's top the patch stays, seen from the front, within the hull of its
    corners at the slab's back and at that height. A wire that leans by an angle passes a
    point at its horizontal distance times the cosine: so far must the hull keep off. A
    level that ends below the slab is nearest to the wire's lower end, or to the wire by
    its depth times the sine more.
    """
    lean = np.hypot(*np.moveaxis(front - back, 2, 0)).max(axis=1)
    length = np.hypot(slab.thickness_mm, lean)
    cosine, sine = slab.thickness_mm / length, lean / length
    clear = np.ones(len(back), dtype=bool)
    for level in levels:
        if level.from_mm - reach_mm >= slab.from_mm + slab.thickness_mm:
            continue
        begun, reached = np.clip(
            (np.array([level.from_mm, level.to_mm]) - slab.from_mm) / slab.thickness_mm, 0, 1
        )
        low, high = back + (front - back) * begun, back + (front - back) * reached
        corners = shapely.multipoints(np.concatenate([low, high], axis=1))
        hulls = np.asarray(shapely.convex_hull(corners))
        shapely.prepare(level.region)
        close = np.asarray(shapely.dwithin(level.region, hulls, reach_mm / cosine))
        below = slab.from_mm - level.to_mm
        if below > 0.0:
            off = shapely.distance(hulls[close], level.region)
            by_wire = off * cosine[close] + below * sine[close] >= reach_mm
            by_end = (np.hypot(off, below) >= reach_mm) & (
                off * sine[close] <= below * cosine[close]
            )
            close[close] = ~(by_wire | by_end)
        clear &= ~close
    return clear
