"""No-fit regions: where one piece may not stand as seen from another."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import Geometry, LinearRing, Polygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.nesting.minkowski import difference_of
from wirepath.nesting.solids import Floats, Solid

ARC_STEPS, CORNER_STEPS = 8, 8
"""Straight pieces for a quarter circle, or round any corner: they stray up to 1 % of the
radius outward, or 2 % at 180 degrees."""

DUST_MM = 1e-8
"""How far a widened region may fall short: a tenth of the slack that `prove` grants."""

DUST_WIDTH_MM = 5e-9
"""Holes narrower than this on the mean are rounding, however long: the grid of overlays
leaves slivers 1e-9 wide, a piece that just fits a hole has the slack of 1e-7."""


NEARLY_MM = 1e-3
"""A hole open to pieces with so much less clearance may be one that they just fit."""


LAP_MM = 1e-6
"""How far the strips along edges reach over their ends: where edges bend by next to nothing,
rounding would leave cracks between them. It widens by 1e-13 at a clearance of 5 mm."""


def no_fit(fixed: Solid, moving: Solid, *, clearance_mm: float) -> Geometry:
    """Return where `moving` may not be shifted to: there it comes nearer than the clearance.

    The region is open: on its edge the pieces just keep the clearance. It has holes where
    `moving` fits inside a hole of `fixed`.
    """
    return widened(_without_dust(difference_of(fixed, moving)), clearance_mm)


def widened(region: Geometry, by_mm: float) -> Geometry:
    """Return the region widened: by `by_mm` along edges, by no less round corners.

    A rounded buffer is a polygon inside the true arcs, so it would fall short; one of
    longer radius would be too wide along edges. What lies in that and in a mitred one
    is right. Where edges bend by less than 1e-3 GEOS falls short by up to 1e-5 mm, and holes
    of which next to nothing is left it fills; where a measurement shows that, every edge gets
    a strip of its own.
    """
    if by_mm <= 0:
        return region
    # GEOS rounds the number of chords down as well as up: one may span 1.5 steps.
    round_mm = by_mm / math.cos(1.5 * math.pi / (4 * ARC_STEPS)) * (1 + 1e-6)
    rounded = shapely.buffer(region, round_mm, quad_segs=ARC_STEPS)
    with np.errstate(all="ignore"):  # GEOS divides by zero inside, and recovers
        mitred = shapely.buffer(region, by_mm, join_style="mitre", mitre_limit=1e6)
    quick = _without_dust(overlay.intersection(rounded, mitred))
    enough = shapely.distance(shapely.boundary(quick), region) >= by_mm - DUST_MM
    if enough and not _lost_a_hole(region, quick, by_mm):
        return quick
    borders: list[Geometry] = []
    for polygon in polygons(shapely.orient_polygons(region)):
        for ring in (polygon.exterior, *polygon.interiors):
            borders.extend(_border(np.asarray(ring.coords)[:-1, :2], by_mm))
    return _without_dust(overlay.union([region, *borders]))


def _lost_a_hole(region: Geometry, quick: Geometry, by_mm: float) -> bool:
    """Return whether a hole may be missing that a piece just fits, to the clearance."""
    holes = [Polygon(ring) for one in polygons(region) for ring in one.interiors]
    open_to_less = shapely.buffer(holes, -(by_mm - NEARLY_MM), join_style="mitre")
    most = sum(len(polygons(part)) for part in open_to_less)
    return most > sum(len(one.interiors) for one in polygons(quick))


def _border(ring: Floats, by_mm: float) -> list[Geometry]:
    """Return the strips and fans along the right hand side of a ring, (n, 2), not closed."""
    ends = np.roll(ring, -1, axis=0)
    along = ends - ring
    normal = np.column_stack([along[:, 1], -along[:, 0]])
    length = np.hypot(along[:, 0], along[:, 1])[:, None]
    normal *= by_mm / length
    lap = along / length * LAP_MM
    tip, tail = ring - lap, ends + lap
    strips = np.stack([tip, tip + normal, tail + normal, tail], axis=1)
    before = np.roll(normal, 1, axis=0)
    cross = before[:, 0] * normal[:, 1] - before[:, 1] * normal[:, 0]
    turn = np.arctan2(cross, (before * normal).sum(axis=1))
    outer = turn > 1e-9
    step = turn[outer] / CORNER_STEPS
    first = np.arctan2(before[outer, 1], before[outer, 0])
    angle = first[:, None] + step[:, None] * (np.arange(CORNER_STEPS) + 0.5)
    reach = by_mm / np.cos(step / 2)
    arc = np.stack([np.cos(angle), np.sin(angle)], axis=2) * reach[:, None, None]
    corner = ring[outer][:, None, :]
    first_end, last_end = before[outer][:, None, :], normal[outer][:, None, :]
    fans = np.concatenate([corner, corner + first_end, corner + arc, corner + last_end], axis=1)
    return [Polygon(one) for one in (*strips, *fans)]


def _without_dust(region: Geometry) -> Geometry:
    """Return the region without the holes and edges that float dust leaves where parts touch."""
    solid: list[Polygon] = []
    for one in polygons(region):
        rings = [_distinct(ring) for ring in (one.exterior, *one.interiors)]
        rings = [ring for ring in rings if len(ring) > 2 and _is_open(Polygon(ring))]
        if rings:
            solid.append(Polygon(rings[0], rings[1:]))
    return solid[0] if len(solid) == 1 else overlay.union(solid)


def _is_open(hole: Polygon) -> bool:
    return 2 * hole.area > DUST_WIDTH_MM * hole.length


def _distinct(ring: LinearRing) -> Floats:
    """Return the ring's corners, (n, 2), not closed, those on top of the one before left out."""
    points = np.asarray(ring.coords)[:-1, :2]
    gap = points - np.roll(points, 1, axis=0)
    return points[np.hypot(gap[:, 0], gap[:, 1]) > DUST_MM / 10]
