"""Meshes as forms: volume, surface, what is wrong with them, and levels that hold them.

A mesh is cut into layers; all that a layer's part of the surface covers, seen from the
front, is its region, filled where the mesh is solid. So the levels nowhere lie inside the form.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.errors import DrawingError, Fault
from wirepath.geometry import polygons
from wirepath.model import Level, Mesh

Floats = NDArray[np.float64]

WELD_MM = 1e-4
"""Corners nearer than this are one: STL repeats each corner for every face, in single precision."""


def triangles(meshes: Sequence[Mesh]) -> Floats:
    """Return the faces of meshes as triangles, (n, 3, 3), mm: corner by corner, x y z.

    Faces with more corners are taken apart as fans; flat ones (no area) fall away.
    """
    found: list[Floats] = []
    for mesh in meshes:
        points = np.asarray(mesh.points, dtype=float)
        fans = [
            (face[0], face[k], face[k + 1]) for face in mesh.faces for k in range(1, len(face) - 1)
        ]
        if fans:
            found.append(points[np.array(fans)])
    if not found:
        return np.empty((0, 3, 3))
    corners = np.concatenate(found)
    return corners[_areas(corners) > 1e-12]


def surface_mm2(faces: Floats) -> float:
    """Return the area of triangles (n, 3, 3)."""
    return float(_areas(faces).sum())


def mesh_volume_mm3(faces: Floats) -> float:
    """Return the volume within closed triangles (n, 3, 3): by the divergence theorem, the sum of
    the tetrahedra that they make with one point. Negative where they are inside out."""
    base = faces.reshape(-1, 3).mean(axis=0) if len(faces) else 0.0
    a, b, c = np.moveaxis(faces - base, 1, 0)
    return float((a * np.cross(b, c)).sum() / 6)


def refuse_faulty(faces: Floats, name: str) -> None:
    """Raise DrawingError with every fault of a mesh that cannot stand for a solid."""
    faults = list(_faults(faces, name))
    if faults:
        raise DrawingError(faults)


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
        shades = _shades(faces, a, b)
        # Inside the solid no face is seen: what lies within at one height there lies within at all.
        region = shapely.union_all([*shades, _section(faces, a, b)])
        if region.area > 0:
            levels.append(
                Level(
                    from_mm=float(a), to_mm=float(b), region=shapely.multipolygons(polygons(region))
                )
            )
    return tuple(levels)


def relief_levels(faces: Floats, *, spacing_mm: float) -> tuple[Level, ...]:
    """Return levels that hold all between a surface and the flat back below it, z = 0.

    The surface need not be closed. Undercuts are filled: a relief has one height a place.
    """
    top = float(faces[:, :, 2].max())
    count = max(1, math.ceil(top / spacing_mm - 1e-9))
    edges = np.linspace(0.0, top, count + 1)
    above: shapely.Geometry = shapely.Polygon()
    levels: list[Level] = []
    for a, b in zip(edges[-2::-1], edges[:0:-1], strict=True):
        above = shapely.union_all([above, *_shades(faces, a, b)])
        levels.append(
            Level(from_mm=float(a), to_mm=float(b), region=shapely.multipolygons(polygons(above)))
        )
    return tuple(reversed(levels))


def _areas(faces: Floats) -> Floats:
    sides = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])
    areas: Floats = np.linalg.norm(sides, axis=1) / 2
    return areas


def _shades(faces: Floats, low: float, high: float) -> NDArray[np.object_]:
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


def _section(faces: Floats, low: float, high: float) -> shapely.Geometry:
    """Return a section of a closed mesh between two heights, by the even-odd rule.

    At the height farthest from all corners: through a corner the section's lines would not
    close.
    """
    levels = np.unique(faces[:, :, 2])
    levels = np.concatenate([[low], levels[(levels > low) & (levels < high)], [high]])
    widest = int(np.argmax(np.diff(levels)))
    spots = _crossings(faces, float(levels[widest] + levels[widest + 1]) / 2)
    there = ~np.isnan(spots[:, :, 0])
    cut = there.sum(axis=1) == 2
    ends = spots[cut][there[cut]].reshape(-1, 2, 2)
    if not len(ends):
        return shapely.Polygon()
    found: shapely.Geometry = shapely.build_area(shapely.node(shapely.multilinestrings(list(ends))))
    return found


def _faults(faces: Floats, name: str) -> Iterator[Fault]:
    if not len(faces):
        yield Fault("the mesh has no faces", name, "export it again as a solid")
        return
    welded = np.round(faces.reshape(-1, 3) / WELD_MM).astype(np.int64)
    _, numbers = np.unique(welded, axis=0, return_inverse=True)
    corners = numbers.reshape(-1, 3)
    ways = Counter(
        (int(a), int(b))
        for a, b in np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
        if a != b
    )
    open_edges = sum(1 for (a, b), count in ways.items() if ways[(b, a)] != count)
    if open_edges:
        yield Fault(
            f"the mesh is not closed: {open_edges} edges have a face on one side only, or faces "
            "that face opposite ways",
            name,
            "close holes and make all faces look outward, or use it as a relief",
        )
    elif mesh_volume_mm3(faces) <= 0:
        yield Fault("the mesh is inside out", name, "turn its faces round")
