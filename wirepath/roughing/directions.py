"""How a straight wire may lie, and what it sees of a form and of a block along itself."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon
from shapely.affinity import affine_transform, translate

from wirepath.geometry import polygons, turn_matrix
from wirepath.model import Blank, Level, WireDirection

Floats = NDArray[np.float64]
Geometries = NDArray[np.object_]

StandsOn = Literal["bottom", "left"]
STANDS_ON: tuple[StandsOn, ...] = ("bottom", "left")
"""The narrow faces that a block is stood on; on the other two it makes the same cuts."""

FLAT = 1e-9
"""A wire whose rise is smaller than this lies in the plane of the face."""

OUTLINE = WireDirection(right=(1.0, 0.0, 0.0), up=(0.0, 1.0, 0.0), wire=(0.0, 0.0, -1.0))
"""Square to the back, looked at from the front."""


def slanting(turn_deg: float, tilt_deg: float = 0.0) -> WireDirection:
    """Return the direction whose `right` lies in the face, `turn_deg` from x.

    At no turn and no tilt one looks up along y from the bottom edge; with `tilt_deg` the
    wire rises towards the front as it goes away.
    """
    c, _, s, _ = turn_matrix(turn_deg)
    k, _, m, _ = turn_matrix(tilt_deg)
    return WireDirection(right=(c, s, 0.0), up=(s * m, -c * m, k), wire=(-s * k + 0.0, c * k, m))


def standing(on: StandsOn, turn_deg: float) -> WireDirection:
    """Return the direction along the narrow face `on` that a block stands on, `turn_deg` out of
    the plane of its back: 90 is square to the back. `up` is square to that face.

    A table whose wire lies level reaches it with neither wire nor block out of level.
    """
    c, _, s, _ = turn_matrix(turn_deg)
    if on == "bottom":
        return WireDirection(right=(-s, 0.0, c), up=(0.0, 1.0, 0.0), wire=(c, 0.0, s))
    return WireDirection(right=(0.0, s, -c), up=(1.0, 0.0, 0.0), wire=(0.0, c, s))


def stands_on(direction: WireDirection) -> StandsOn | None:
    """Return the narrow face along which a wire lies aslant to the back, as `standing` makes it;
    None for any other direction."""
    if not FLAT < abs(direction.wire[2]) < 1 - FLAT:
        return None
    faces: dict[tuple[float, float, float], StandsOn] = {
        (0.0, 1.0, 0.0): "bottom",
        (1.0, 0.0, 0.0): "left",
    }
    return faces.get(direction.up)


def across_plane(
    normal: tuple[float, float, float], spins_deg: Sequence[float]
) -> list[WireDirection]:
    """Return directions whose `up` is the unit vector `normal`, their wires spun about it."""
    up = np.asarray(normal)
    first = np.cross(up, (0.0, 0.0, 1.0) if abs(up[2]) < 0.9 else (1.0, 0.0, 0.0))
    first /= np.linalg.norm(first)
    second = np.cross(up, first)
    spins = [math.radians(spin) for spin in spins_deg]
    wires = [first * math.cos(spin) + second * math.sin(spin) for spin in spins]
    return [
        WireDirection(right=_vector(right), up=_vector(up), wire=_vector(wire))
        for wire, right in zip(wires, np.cross(wires, up), strict=True)
    ]


def corners(blank: Blank) -> Floats:
    """Return the eight corners of a blank, (8, 3), mm."""
    low = np.array([blank.x_mm, blank.y_mm, blank.from_mm])
    high = low + np.array([blank.width_mm, blank.height_mm, blank.thickness_mm])
    picks = np.array([[i & 1, i >> 1 & 1, i >> 2 & 1] for i in range(8)])
    points: Floats = np.where(picks == 1, high, low)
    return points


def in_plane(points: Floats, direction: WireDirection) -> Floats:
    """Return points (n, 3) of the form's frame as (n, 2) in the cutting plane, no datum taken."""
    places: Floats = points @ np.array([direction.right, direction.up]).T
    return places


def shadow(blank: Blank, direction: WireDirection) -> Polygon:
    """Return what the blank covers in the cutting plane: a convex polygon of 4 or 6 corners."""
    corner_points = shapely.multipoints(in_plane(corners(blank), direction).round(9))
    hull = shapely.convex_hull(corner_points)
    assert isinstance(hull, Polygon)
    return hull


def datum(blank: Blank, direction: WireDirection) -> tuple[float, float]:
    """Return the left and lower end of the blank's shadow in the cutting plane."""
    u, v, _, _ = shadow(blank, direction).bounds
    return u, v


def length_along_mm(blank: Blank, direction: WireDirection) -> float:
    """Return how long a blank is along the wire, from its nearest corner to its furthest."""
    sizes = (blank.width_mm, blank.height_mm, blank.thickness_mm)
    return sum(abs(share) * size for share, size in zip(direction.wire, sizes, strict=True))


def shadow_mm(
    blank: Blank, direction: WireDirection, *, less_mm: float = 0.0
) -> tuple[float, float, float]:
    """Return how wide and how high the shadow of a blank is in the cutting plane, mm, and its
    area, mm2: where more than `less_mm` of wire lies in the blank (`too_long`).

    The shadow of a box is as long along an axis as its sizes are by their shares of it, and as
    large as its faces are by their shares of the wire.
    """
    sizes = (blank.width_mm, blank.height_mm, blank.thickness_mm)
    x, y, z = (
        size - less_mm * abs(share) for size, share in zip(sizes, direction.wire, strict=True)
    )
    if min(x, y, z) <= 1e-6:
        return 0.0, 0.0, 0.0
    wide, high = (
        abs(axis[0]) * x + abs(axis[1]) * y + abs(axis[2]) * z
        for axis in (direction.right, direction.up)
    )
    a, b, c = (abs(share) for share in direction.wire)
    return wide, high, a * y * z + b * x * z + c * x * y


def too_long(blank: Blank, direction: WireDirection, wire_mm: float) -> Polygon:
    """Return where in the cutting plane the wire would lie in more foam than `wire_mm`.

    A line lies in more than that where a point and the one `wire_mm` farther are both
    in the block: so it passes through the block cut with itself, shifted by so much.
    """
    size = np.array([blank.width_mm, blank.height_mm, blank.thickness_mm])
    step = wire_mm * np.array(direction.wire)
    left = size - np.abs(step)
    if (left <= 1e-6).any():
        return Polygon()
    low = np.array([blank.x_mm, blank.y_mm, blank.from_mm]) + np.maximum(step, 0.0)
    inner = Blank(
        x_mm=low[0],
        y_mm=low[1],
        from_mm=low[2],
        width_mm=left[0],
        height_mm=left[1],
        thickness_mm=left[2],
    )
    # The shift runs along the wire, so forward or backward makes the same shadow.
    return shadow(inner, direction)


def chords(blank: Blank, direction: WireDirection, places: Floats) -> tuple[Floats, Floats]:
    """Return both ends, (n, 3) each, of the wire in the block at `places` (n, 2).

    Places are given in the cutting plane, no datum taken. Both ends are nan where the
    wire misses the block.
    """
    right, up, wire = (np.array(one) for one in (direction.right, direction.up, direction.wire))
    start = places[:, :1] * right + places[:, 1:] * up
    low = np.array([blank.x_mm, blank.y_mm, blank.from_mm])
    high = low + np.array([blank.width_mm, blank.height_mm, blank.thickness_mm])
    level = np.abs(wire) < FLAT
    safe = np.where(level, 1.0, wire)
    one, other = (low - start) / safe, (high - start) / safe
    inside = (start >= low - 1e-6) & (start <= high + 1e-6)
    enter = np.where(level, np.where(inside, -np.inf, np.inf), np.minimum(one, other)).max(axis=1)
    leave = np.where(level, np.where(inside, np.inf, -np.inf), np.maximum(one, other)).min(axis=1)
    missed = leave < enter - 1e-6
    enter, leave = np.where(missed, np.nan, enter), np.where(missed, np.nan, leave)
    return start + enter[:, None] * wire, start + leave[:, None] * wire


def silhouette(levels: tuple[Level, ...], direction: WireDirection) -> Geometry:
    """Return what a form covers in the cutting plane, seen along the wire. Exact."""
    right, up = direction.right, direction.up
    if abs(direction.wire[2]) < FLAT:
        out, slope, rise = _flat_frame(direction)
        boxes = []
        for level in levels:
            for part in polygons(level.region):
                along = shapely.get_coordinates(part.exterior) @ out
                a, b = along.min() * slope, along.max() * slope
                low, high = level.from_mm * rise, level.to_mm * rise
                boxes.append(Polygon([a + low, b + low, b + high, a + high]))
        return shapely.union_all(boxes)
    shades = []
    for level in levels:
        low, high = (np.array([right[2], up[2]]) * z for z in (level.from_mm, level.to_mm))
        for part in polygons(level.region):
            shade = affine_transform(part, (right[0], right[1], up[0], up[1], *low))
            shades.append(swept(shapely.orient_polygons(shade), high - low))
    return shapely.union_all(shades)


def swept(polygon: Polygon, way: Floats) -> Geometry:
    """Return what `polygon` covers when it is shifted straight along `way`, (2,)."""
    if not np.hypot(*way) > FLAT:
        return polygon
    moved = translate(polygon, *way)
    sides = []
    for ring in (polygon.exterior, *polygon.interiors):
        points = shapely.get_coordinates(ring)
        sides.append(
            np.stack([points[:-1], points[1:], points[1:] + way, points[:-1] + way], axis=1)
        )
    quads = np.asarray(shapely.polygons(np.concatenate(sides)))
    return shapely.union_all([polygon, moved, *quads[shapely.area(quads) > 1e-9]])


def sections(kept: Geometry, direction: WireDirection, heights: Floats) -> Geometries:
    """Return where at each height (n,) a point is seen within `kept` along the wire, (n,).

    For a wire in the plane of the face that is a set of strips, `REACH_MM` long.
    """
    if abs(direction.wire[2]) < FLAT:
        return _strips(kept, direction, heights)
    right, up = np.array(direction.right), np.array(direction.up)
    back = np.linalg.inv(np.array([right[:2], up[:2]]))
    shifts = np.array([-back @ (np.array([right[2], up[2]]) * z_mm) for z_mm in heights])
    u, v = shapely.get_coordinates(kept).T
    flat = np.stack([back[0, 0] * u + back[0, 1] * v, back[1, 0] * u + back[1, 1] * v], axis=1)
    points = flat[None, :, :] + shifts[:, None, :]
    found = np.full(len(heights), kept, dtype=object)
    return np.asarray(shapely.set_coordinates(found, points.reshape(-1, 2)))


REACH_MM = 1e5
"""Longer than any block: 100 m (units.SizeMm)."""


def _flat_frame(direction: WireDirection) -> tuple[Floats, Floats, Floats]:
    """Return, for a wire in the plane of the face, the unit vector in x, y square to it, and
    what one step along that and one step up in z come to in the cutting plane, (2,) each."""
    right, up, wire = direction.right, direction.up, direction.wire
    out = np.array([wire[1], -wire[0]])
    slope = np.array([out @ right[:2], out @ up[:2]])
    return out, slope, np.array([right[2], up[2]])


def across(direction: WireDirection, xs: Floats, ys: Floats) -> Floats:
    """Return how far across a wire in the plane of the face each place of a lattice lies,
    (ny, nx), mm."""
    out, _, _ = _flat_frame(direction)
    found: Floats = xs[None, :] * out[0] + ys[:, None] * out[1]
    return found


def spans(
    kept: Geometry, direction: WireDirection, heights: Floats
) -> tuple[NDArray[np.intp], Floats]:
    """Return what is seen within `kept` at each height along a wire in the plane of the face:
    stretches across the wire (`across`) from one end to the other, (m, 2), and the place of each
    one's height in `heights`, (m,), in order."""
    _, slope, rise = _flat_frame(direction)
    feet = heights[:, None] * rise
    lines = shapely.linestrings(
        np.stack([feet - slope * REACH_MM, feet + slope * REACH_MM], axis=1)
    )
    parts, places = shapely.get_parts(shapely.intersection(kept, lines), return_index=True)
    points, part = shapely.get_coordinates(parts, return_index=True)
    along = (points - feet[places[part]]) @ slope
    ends = np.full((len(parts), 2), (np.inf, -np.inf))
    np.minimum.at(ends[:, 0], part, along)
    np.maximum.at(ends[:, 1], part, along)
    wide = ends[:, 1] - ends[:, 0] > FLAT
    return places[wide], ends[wide]


def _strips(kept: Geometry, direction: WireDirection, heights: Floats) -> Geometries:
    out, _, _ = _flat_frame(direction)
    places, ends = spans(kept, direction, heights)
    way = np.array(direction.wire[:2]) * REACH_MM
    a, b = ends[:, :1] * out, ends[:, 1:] * out
    strips = np.asarray(shapely.polygons(np.stack([a - way, b - way, b + way, a + way], axis=1)))
    found = np.full(len(heights), Polygon(), dtype=object)
    found[places] = strips
    counts = np.bincount(places, minlength=len(heights))
    for place in np.flatnonzero(counts > 1):
        found[place] = shapely.union_all(strips[places == place])
    return found


def _vector(array: Floats) -> tuple[float, float, float]:
    x, y, z = (float(value) + 0.0 for value in array)
    return x, y, z
