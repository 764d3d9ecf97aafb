"""Meshes cut into layers: what a form may fill from one height to another.

All that a layer's part of the surface covers, seen from the front, is its region, filled
where the mesh is solid. So the levels nowhere lie inside the form.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, MultiPolygon, Polygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Level
from wirepath.simplifying import few_corners

Floats = NDArray[np.float64]

STRAY_MM = 0.2
"""How far outward a section may be straightened: triangles give it a corner each."""

LEAST_HOLE_MM2 = 100.0
"""Smaller holes of a section are filled: no wire gets there."""

SPECK_MM = 1.0
"""A lump of a section smaller than a square of this counts as so much wider all round."""


LEAST_WALL_MM = 0.01
"""Upright faces reach at least so far into a layer, or they only touch it."""

LEAST_SHADE_MM2 = 0.01
"""Faces that cover less than this, seen from the front, count as upright."""


def mesh_levels(faces: Floats, *, spacing_mm: float) -> tuple[Level, ...]:
    """Return levels that hold a closed mesh, from its lowest point up, `spacing_mm` high.

    The mesh's lowest point is taken to lie at the back, z = 0. A layer holds everything
    that the mesh holds anywhere between its heights.
    """
    low = float(faces[:, :, 2].min())
    faces = faces - np.array([0.0, 0.0, low])
    top = float(faces[:, :, 2].max())
    count = max(1, math.ceil(top / spacing_mm - 1e-9))
    edges = np.linspace(0.0, top, count + 1)
    levels = []
    for a, b in itertools.pairwise(edges):
        shades = covered(faces, a, b)
        # Inside the solid no face is seen: what lies within at one height there lies within at all.
        region = _sound([*shades, section_between(faces, a, b)])
        if region.area > 0:
            levels.append(Level(from_mm=float(a), to_mm=float(b), region=region))
    return tuple(levels)


def relief_levels(faces: Floats, *, spacing_mm: float, plate_mm: float = 0.0) -> tuple[Level, ...]:
    """Return levels that hold all between a surface and the flat back below it, z = 0.

    The surface need not be closed. Undercuts are filled: a relief has one height a place.
    With a plate the surface stands so much higher, on foam.
    """
    faces = faces + np.array([0.0, 0.0, plate_mm])
    low, top = (float(value) for value in (faces[:, :, 2].min(), faces[:, :, 2].max()))
    low = max(low, 0.0)
    count = max(2, math.ceil((top - low) / spacing_mm - 1e-9))
    edges = np.linspace(low, top, count + 1)
    above: Geometry = Polygon()
    levels: list[Level] = []
    for a, b in zip(edges[-2::-1], edges[:0:-1], strict=True):
        room = overlay.union([above, *covered(faces, a, b)])
        above = _sound([room, *_sheets(faces, a, b, shapely.buffer(room, SPECK_MM / 100))])
        levels.append(Level(from_mm=float(a), to_mm=float(b), region=above))
    levels[-1] = replace(levels[-1], from_mm=0.0)
    return tuple(level for level in reversed(levels) if not shapely.is_empty(level.region))


def _sound(regions: Sequence[Geometry]) -> MultiPolygon:
    """Return regions as one, nowhere smaller, without hair cracks, specks and needless corners."""
    parts = []
    for part in polygons(overlay.union(np.asarray(regions, dtype=object))):
        holes = [ring for ring in part.interiors if Polygon(ring).area >= LEAST_HOLE_MM2]
        whole = Polygon(part.exterior, holes)
        if whole.area < SPECK_MM**2:
            whole = Polygon(shapely.buffer(whole, SPECK_MM).exterior)
        parts.append(few_corners(whole, tolerance_mm=STRAY_MM))
    return MultiPolygon(polygons(overlay.union(parts)))


def covered(faces: Floats, low: float, high: float) -> NDArray[np.object_]:
    """Return what the parts of triangles between two heights cover, seen from the front, (m,)."""
    near = faces[(faces[:, :, 2].max(axis=1) >= low) & (faces[:, :, 2].min(axis=1) <= high)]
    shades = []
    for z in (low, high):
        shades.append(_crossings(near, z))
    corners = np.where(
        ((near[:, :, 2] >= low) & (near[:, :, 2] <= high))[:, :, None], near[:, :, :2], np.nan
    )
    spots = np.concatenate([corners, *shades], axis=1)
    # A missing spot gives way to one that is there: a hull does not mind.
    there = ~np.isnan(spots[:, :, 0])
    keep = there.any(axis=1)
    spots, there = spots[keep], there[keep]
    first = spots[np.arange(len(spots)), there.argmax(axis=1)]
    spots = np.where(there[:, :, None], spots, first[:, None])
    hulls = np.asarray(shapely.convex_hull(shapely.multipoints(spots)))
    solid: NDArray[np.object_] = hulls[shapely.area(hulls) > 0]
    return solid


def _sheets(faces: Floats, low: float, high: float, room: Geometry) -> NDArray[np.object_]:
    """Return upright faces that stand free of `room`, lines from the front, `SPECK_MM` wide on
    either side: a mesh that is not closed may have walls and no lid."""
    z = np.clip(faces[:, :, 2], low, high)
    sides = faces[:, 1:, :2] - faces[:, :1, :2]
    areas = np.abs(sides[:, 0, 0] * sides[:, 1, 1] - sides[:, 0, 1] * sides[:, 1, 0])
    upright = (np.ptp(z, axis=1) > LEAST_WALL_MM) & (areas / 2 < LEAST_SHADE_MM2)
    lines = shapely.convex_hull(shapely.multipoints(faces[upright][:, :, :2]))
    shapely.prepare(room)
    free = np.asarray(lines)[~shapely.covers(room, lines)]
    wide: NDArray[np.object_] = shapely.buffer(free, SPECK_MM, cap_style="square")
    return wide


def _crossings(faces: Floats, z: float) -> Floats:
    """Return where the three edges of each triangle cross a height, (n, 3, 2); nan where not.

    Each edge is taken from its lower end, so that both its faces get the very same point.
    """
    one, other = faces, np.roll(faces, -1, axis=1)
    upward = (one[:, :, 2] <= other[:, :, 2])[:, :, None]
    low, high = np.where(upward, one, other), np.where(upward, other, one)
    rise = high[:, :, 2] - low[:, :, 2]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (z - low[:, :, 2]) / rise
    share = np.where((share >= 0) & (share <= 1) & (rise > 0), share, np.nan)
    spots: Floats = low[:, :, :2] + share[:, :, None] * (high - low)[:, :, :2]
    return spots


def section_between(faces: Floats, low: float, high: float) -> shapely.Geometry:
    """Return a section of a closed mesh between two heights: all that its faces go round.

    At the height farthest from all corners: through a corner the section's lines would not
    close.
    """
    levels = np.unique(faces[:, :, 2])
    levels = np.concatenate([[low], levels[(levels > low) & (levels < high)], [high]])
    widest = int(np.argmax(np.diff(levels)))
    cells, times = section_cells(faces, float(levels[widest] + levels[widest + 1]) / 2)
    whole: shapely.Geometry = overlay.union(cells[times > 0])
    return whole


def section_cells(faces: Floats, z: float) -> tuple[NDArray[np.object_], NDArray[np.intp]]:
    """Return the cells that a level cut of a closed mesh falls into, and how often faces go
    round each: 0 in a hollow, 1 in foam, 2 where two shells overlap. No corner may lie at `z`.

    By the winding number (Sunday 2001, from memory): lines that pass a cell upward on its right
    count up, downward ones down; foam lies to the left of each.
    """
    spots = _crossings(faces, z)
    there = ~np.isnan(spots[:, :, 0])
    cut = there.sum(axis=1) == 2
    ends = spots[cut][there[cut]].reshape(-1, 2, 2)
    if not len(ends):
        return np.empty(0, dtype=object), np.empty(0, dtype=np.intp)
    a, b, c = np.moveaxis(faces[cut], 1, 0)
    out = np.cross(b - a, c - a)[:, :2]
    along = ends[:, 1] - ends[:, 0]
    back = along[:, 1] * out[:, 0] - along[:, 0] * out[:, 1] < 0
    ends[back] = ends[back][:, ::-1]
    lines = shapely.node(shapely.multilinestrings(list(ends)))
    cells = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    places = shapely.get_coordinates(shapely.point_on_surface(cells))
    times = np.array([_times_round(place, ends) for place in places], dtype=np.intp)
    return cells, times


def _times_round(place: Floats, lines: Floats) -> int:
    """Return how often directed lines (n, 2, 2) go round a place, anticlockwise."""
    one, other = (lines - place).swapaxes(0, 1)
    up, down = (one[:, 1] <= 0) & (other[:, 1] > 0), (one[:, 1] > 0) & (other[:, 1] <= 0)
    left = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    return int((up & (left > 0)).sum() - (down & (left < 0)).sum())
