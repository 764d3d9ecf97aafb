"""No-fit regions: where one piece may not stand as seen from another."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import Geometry, LinearRing, Polygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.nesting.minkowski import difference_of, faces_between
from wirepath.nesting.solids import Floats, Rim, Solid

ARC_STEPS = 8
CORNER_STEP_RAD = math.pi / (2 * ARC_STEPS)
"""Straight pieces for a quarter circle: they stray up to 1 % of the radius outward."""

DUST_MM = 1e-8
"""How far a widened region may fall short: a tenth of the slack that `prove` grants."""

DUST_WIDTH_MM = 5e-9
"""Holes narrower than this on the mean are rounding, however long: the grid of overlays
leaves slivers 1e-9 wide, a piece that just fits a hole has the slack of 1e-7."""


NEARLY_MM = 1e-3
"""A hole open to pieces with so much less clearance may be one that they just fit."""


LEAST_TURN_RAD = 1e-9
"""Corners that turn by less have no fan: a straight line joins the edges on either side."""


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
    of which next to nothing is left it fills; where a measurement shows that, every edge is
    moved by itself.
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
    return _without_dust(_widened_by_edges(region, by_mm))


def _lost_a_hole(region: Geometry, quick: Geometry, by_mm: float) -> bool:
    """Return whether a hole may be missing that a piece just fits, to the clearance."""
    holes = [Polygon(ring) for one in polygons(region) for ring in one.interiors]
    open_to_less = shapely.buffer(holes, -(by_mm - NEARLY_MM), join_style="mitre")
    most = sum(len(polygons(part)) for part in open_to_less)
    return most > sum(len(one.interiors) for one in polygons(quick))


def _widened_by_edges(region: Geometry, by_mm: float) -> Geometry:
    """Return the region widened: of the faces between all edges as moved, those within."""
    rim = Solid(outline=region).rim
    lines, fans = _moved_edges(rim, by_mm)
    faces = faces_between(lines)
    places = shapely.point_on_surface(faces)
    shapely.prepare(region)
    within = shapely.dwithin(region, places, by_mm)
    # A fan stands out over its arc: from anywhere in a face it is all within or all outside.
    within[shapely.STRtree(places).query(fans, predicate="contains")[1]] = True
    return shapely.coverage_union_all(faces[within])


def _moved_edges(rim: Rim, by_mm: float) -> tuple[Floats, list[Polygon]]:
    """Return the edges moved to the right and what joins them, (n, 2, 2), and fans at corners."""
    normal = np.column_stack([np.sin(rim.direction), -np.cos(rim.direction)]) * by_mm
    moved = np.stack([rim.first + normal, rim.last + normal], axis=1)
    led = rim.direction - rim.turn
    before = np.column_stack([np.sin(led), -np.cos(led)]) * by_mm
    steps = np.ceil(rim.turn / CORNER_STEP_RAD).clip(0).astype(int)
    bent = np.flatnonzero(rim.turn <= LEAST_TURN_RAD)
    lines = [moved, np.stack([rim.first[bent] + before[bent], moved[bent, 0]], axis=1)]
    fans: list[Polygon] = []
    for many in np.unique(steps[rim.turn > LEAST_TURN_RAD]).tolist():
        corner = np.flatnonzero((steps == many) & (rim.turn > LEAST_TURN_RAD))
        step = rim.turn[corner] / many
        angle = led[corner, None] + step[:, None] * (np.arange(many) + 0.5) - np.pi / 2
        arc = np.stack([np.cos(angle), np.sin(angle)], axis=2)
        at = rim.first[corner, None, :]
        arc = at + arc * (by_mm / np.cos(step / 2))[:, None, None]
        ends = at + before[corner, None, :], moved[corner, None, 0]
        way = np.concatenate([ends[0], arc, ends[1]], axis=1)
        lines.append(np.stack([way[:, :-1], way[:, 1:]], axis=2).reshape(-1, 2, 2))
        fans += np.asarray(shapely.polygons(np.concatenate([at, way], axis=1))).tolist()
    return np.concatenate(lines), fans


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
