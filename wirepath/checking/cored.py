"""Pins of full-round forms lie in foam that carving leaves: measured from meshes and outlines.

Of a mesh: how far the pin's skin lies from the nearest face, and that it lies inside. Of
outlines from several sides, which tell only the most that may stand, what stays is taken to
be every section rounded to an ellipse that touches the outlines.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString

from wirepath import overlay
from wirepath.checking.finding import DEPTH_MM
from wirepath.model import Mesh, Piece, Pin, Plan

Numbers = NDArray[np.float64]

SLACK_MM = 2 * DEPTH_MM
"""Cover may be short by this, as that of all pins."""

RING = 12
"""Points of the pin's skin looked at all round."""

STEP_MM = 5.0
"""And along it."""

AT_ONCE = 100_000
"""Pairs of a point and a face measured at once."""

FAR_MM = 1e6
"""Beyond every drawing."""


def uncovered(plan: Plan, piece: Piece, pin: Pin) -> Iterator[str]:
    """Give how a pin in a layer of a full-round form is not covered by foam that stays."""
    (form,) = {one.layer for one in plan.traced.outlines if one.name == piece.part}
    start, end = np.array(pin.start), np.array(pin.end)
    behind = np.array([0.0, 0.0, plan.job.form.allowance_mm])
    cover, radius = plan.workshop.glue.pin_cover_mm, plan.workshop.glue.pin_diameter_mm / 2
    for mesh in plan.traced.meshes:
        if mesh.is_form and mesh.layer == form:
            skin = _skin(start - behind, end - behind, radius, 0.0)
            yield from _of_mesh(mesh, skin, cover)
            return
    views: dict[str, Geometry] = {
        view.seen: view.region for view in plan.traced.views if view.form == form
    }
    if not views:
        yield f"nothing tells what stays of {form!r}"
        return
    skin = _skin(start - behind, end - behind, radius, cover - SLACK_MM)
    if not (_share(views, skin) <= 1.0).all():
        yield f"less than {cover:g} mm of foam cover it once every section is rounded"


def _skin(start: Numbers, end: Numbers, radius: float, more: float) -> Numbers:
    """Return points (n, 3) all over a pin that is so much thicker and longer each way."""
    axis = (end - start) / np.linalg.norm(end - start)
    _, _, across = np.linalg.svd(axis[None])
    turn = np.linspace(0.0, 2 * np.pi, RING, endpoint=False)
    round_it = np.c_[np.cos(turn), np.sin(turn)] @ across[1:]
    count = max(2, int(np.linalg.norm(end - start) / STEP_MM) + 1)
    along = np.linspace(start, end, count)
    sides = along[:, None] + (radius + more) * round_it
    ends = np.stack([start - more * axis, end + more * axis])
    caps = ends[:, None] + radius * round_it
    return np.concatenate([sides.reshape(-1, 3), caps.reshape(-1, 3), ends])


# --- Meshes ----------------------------------------------------------------------------


def _of_mesh(mesh: Mesh, skin: Numbers, cover_mm: float) -> Iterator[str]:
    faces = _faces(mesh)
    if abs(_winding(faces, skin.mean(axis=0))) < 0.5:
        yield "it lies outside the mesh"
        return
    low, high = skin.min(axis=0) - cover_mm, skin.max(axis=0) + cover_mm
    near = ((faces.max(axis=1) >= low) & (faces.min(axis=1) <= high)).all(axis=1)
    if near.any():
        gap = _gap(skin, faces[near])
        if gap < cover_mm - SLACK_MM:
            yield f"{gap:.1f} mm of finished foam cover it, {cover_mm:g} mm are asked"


@lru_cache(maxsize=8)
def _faces(mesh: Mesh) -> Numbers:
    """Return a mesh's triangles, (n, 3, 3), its lowest point at z = 0."""
    points = np.array(mesh.points)
    fans = [(face[0], one, other) for face in mesh.faces for one, other in pairwise(face[1:])]
    faces: Numbers = points[np.array(fans)]
    faces[:, :, 2] -= faces[:, :, 2].min()
    return faces


def _winding(faces: Numbers, point: Numbers) -> float:
    """Return how often a closed mesh goes round a point: the sum of its faces' solid angles
    (Van Oosterom and Strackee 1983) by 4 pi."""
    a, b, c = np.moveaxis(faces - point, 1, 0)
    la, lb, lc = (np.linalg.norm(one, axis=1) for one in (a, b, c))
    triple = (a * np.cross(b, c)).sum(axis=1)
    below = la * lb * lc + (a * b).sum(1) * lc + (b * c).sum(1) * la + (c * a).sum(1) * lb
    return float(np.arctan2(triple, below).sum() / (2 * np.pi))


def _gap(points: Numbers, faces: Numbers) -> float:
    """Return the least distance from any of the points to any of the triangles.

    That to a triangle's plane where the foot lies within it, else to the nearest side.
    """
    a = faces[:, 0]
    normal = np.cross(faces[:, 1] - a, faces[:, 2] - a)
    size = np.linalg.norm(normal, axis=1)
    sound = size > 0
    faces, a, normal = faces[sound], a[sound], normal[sound] / size[sound][:, None]
    count = max(1, AT_ONCE // max(1, len(faces)))
    parts = np.array_split(points, range(count, len(points), count))
    return min(_least(part[:, None], faces, a, normal) for part in parts)


def _least(points: Numbers, faces: Numbers, a: Numbers, normal: Numbers) -> float:
    """Return the least distance of points (k, 1, 3) from triangles with these normals, (m, 3)."""
    height = ((points - a) * normal).sum(axis=2)
    foot = points - height[:, :, None] * normal
    within = np.ones(height.shape, dtype=np.bool_)
    least = np.inf
    for k in range(3):
        one, other = faces[:, k], faces[:, (k + 1) % 3]
        side = other - one
        within &= ((foot - one) * np.cross(normal, side)).sum(axis=2) >= 0
        length = np.maximum((side**2).sum(axis=1), 1e-12)
        share = np.clip(((points - one) * side).sum(axis=2) / length, 0, 1)
        away = np.linalg.norm(points - one - share[:, :, None] * side, axis=2)
        least = min(least, float(away.min(initial=np.inf)))
    return min(least, float(np.abs(height[within]).min(initial=np.inf)))


# --- Outlines from several sides -------------------------------------------------------


def _share(views: dict[str, Geometry], points: Numbers) -> Numbers:
    """Return how far out each point lies in the ellipses of its sections: 1 is on one."""
    x, y, z = points.T
    found = np.zeros(len(points))
    front, side, top = views["front"], views.get("side"), views.get("top")
    if side is not None:
        ellipse = _off_middle(front, y, x, 0) ** 2 + _off_middle(side, y, z, 0) ** 2
        found = np.maximum(found, ellipse)
    if top is not None:
        ellipse = _off_middle(front, x, y, 1) ** 2 + _off_middle(top, x, z, 1) ** 2
        found = np.maximum(found, ellipse)
    if side is not None and top is not None:
        ellipse = _off_middle(side, z, y, 1) ** 2 + _off_middle(top, z, x, 0) ** 2
        found = np.maximum(found, ellipse)
    return np.asarray(found)


def _off_middle(outline: Geometry, on: Numbers, at: Numbers, way: int) -> Numbers:
    """Return how far places lie off the middle of their stretch of a line, in halves of it.

    A line runs along axis `way` (0 or 1) of the outline, at `on` of the other axis; places
    on it lie `at`. Infinite where the line is outside the outline there.
    """
    found = np.full(len(on), np.inf)
    for level in np.unique(on):
        ends = [(-FAR_MM, level), (FAR_MM, level)]
        line = LineString(ends if way == 0 else [(b, a) for a, b in ends])
        own = on == level
        for part in shapely.get_parts(overlay.intersection(outline, line)):
            low, high = part.bounds[way], part.bounds[way + 2]
            if high > low:
                off = np.abs(at - (low + high) / 2) / ((high - low) / 2)
                found = np.where(own & (at >= low) & (at <= high), off, found)
    return found
