"""Meshes as solids: their triangles, volume and surface, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wirepath.errors import DrawingError, Fault
from wirepath.model import Mesh
from wirepath.slicing.overlapping import overlap_mm3
from wirepath.tracing.facing import edges_of, hollows_mm3

Floats = NDArray[np.float64]

MOST_PLACES = 5
"""Open edges told by their place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshFigures:
    """What a mesh measures, in mm at finished size."""

    name: str
    faces: int
    """Triangles, those without area left out."""
    size_mm: tuple[float, float, float]
    """Width, height, and depth from back to front."""
    surface_mm2: float
    volume_mm3: float | None
    """None where the mesh is not closed. What several shells hold counts once."""
    open_edges: int
    """Edges that an odd number of faces share; where there are none, those whose faces look
    opposite ways all the same."""
    open_at: tuple[tuple[float, float, float], ...]
    """The middles of the first of them."""
    inside_out: bool
    overlap_mm3: float = 0.0
    """What more than one shell holds, and so is left out of the sum of their volumes."""
    hollows: int = 0
    """Closed shells that look inward: places within that no foam fills."""
    hollow_mm3: float = 0.0
    """What they take off the volume."""

    @property
    def is_solid(self) -> bool:
        """Whether it is closed and its faces look outward."""
        return self.volume_mm3 is not None and not self.inside_out


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


@lru_cache(maxsize=8)
def measured(mesh: Mesh) -> MeshFigures:
    """Return what a mesh measures, where it is open, and how much of it overlaps."""
    faces = triangles([mesh])
    corners = faces.reshape(-1, 3)
    middles = _open_edges(mesh) if mesh.faces else np.empty((0, 3))
    volume = mesh_volume_mm3(faces)
    is_closed = not len(middles) and len(faces) > 0
    holes = hollows_mm3(mesh) if is_closed and volume > 0 else np.empty(0)
    overlap = overlap_mm3(faces, volume) if is_closed and volume > 0 else 0.0
    width, height, depth = np.ptp(corners, axis=0).tolist() if len(corners) else (0.0, 0.0, 0.0)
    return MeshFigures(
        name=mesh.layer,
        faces=len(faces),
        size_mm=(width, height, depth),
        surface_mm2=surface_mm2(faces),
        volume_mm3=abs(volume) - overlap if is_closed else None,
        open_edges=len(middles),
        open_at=tuple((x, y, z) for x, y, z in middles[:MOST_PLACES].tolist()),
        inside_out=not len(middles) and volume < 0,
        overlap_mm3=overlap,
        hollows=len(holes),
        hollow_mm3=float(holes.sum()),
    )


def solid_faults(figures: MeshFigures) -> Iterator[Fault]:
    """Give every fault of a mesh that cannot stand for a solid."""
    if not figures.faces:
        yield Fault("the mesh has no faces", figures.name, "export it again as a solid")
    elif figures.open_edges:
        x, y, z = figures.open_at[0]
        yield Fault(
            f"the mesh is not closed: {figures.open_edges} edges have a face on one side only, or "
            "faces that cannot all look outward",
            f"{figures.name}, first near x {x:.1f}, y {y:.1f}, z {z:.1f} mm",
            "close its holes, or use it as a relief",
        )
    elif figures.inside_out:
        yield Fault("the mesh is inside out", figures.name, "turn its faces round")


def refuse_faulty(mesh: Mesh) -> None:
    """Raise DrawingError with every fault of a mesh that cannot stand for a solid."""
    faults = list(solid_faults(measured(mesh)))
    if faults:
        raise DrawingError(faults)


def _areas(faces: Floats) -> Floats:
    sides = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])
    areas: Floats = np.linalg.norm(sides, axis=1) / 2
    return areas


def _open_edges(mesh: Mesh) -> Floats:
    """Return the middles, (m, 3), of edges that close nothing.

    They are those that an odd number of faces share. Where there are none, those along which
    more faces run one way than the other: faces that cannot be turned to look all one way.
    """
    edges = edges_of(mesh)
    odd = edges.shared_by() % 2 != 0
    lone = odd if odd.any() else edges.balance() != 0
    _, first = np.unique(edges.number, return_index=True)
    ends = np.asarray(mesh.points, dtype=float)[edges.ends[first[lone]]]
    middles: Floats = ends.mean(axis=1)
    return middles
