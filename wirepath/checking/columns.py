"""Meshes as solids, measured along upright columns: where faces enclose foam, and how often.

A column passes into the mesh where a face looks down and out where one looks up. Where it has
passed in twice and not out again two shells overlap; that foam is there once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

from wirepath.checking.finding import EDGE_MM
from wirepath.errors import Fault
from wirepath.model import Mesh

Floats = NDArray[np.float64]

ACROSS = 200
"""Columns each way over the box round the mesh."""

OFF = (0.5 + 0.0137, 0.5 - 0.0271)
"""Where in its cell a column stands: off the middle, where faces of drawn things meet."""

LEAST_SHARE = 1e-9
"""Overlaps of less of the volume are rounding."""

SLACK = 2e-3
"""What columns may miss of the volume where shells overlap, as a share of it."""


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """Where columns pass through faces, from the lowest passage up, column by column."""

    places: Floats
    """Of every column, (n, 2)."""
    column: NDArray[np.intp]
    """The column of each passage, (m,)."""
    z: Floats
    """Its height."""
    into: NDArray[np.intp]
    """1 where it passes into foam, -1 where out of it."""
    cell_mm2: float
    """What each column stands for."""

    def times(self, z: float) -> NDArray[np.intp]:
        """Return how often the mesh goes round each column at a height, (n,)."""
        below = self.z < z
        weights = self.into[below]
        found = np.bincount(self.column[below], weights=weights, minlength=len(self.places))
        return np.rint(found).astype(np.intp)


def columns(mesh: Mesh) -> Columns:
    """Return the columns of a closed mesh, faces fanned from their first corners."""
    points = np.array(mesh.points)
    faces = points[[(f[0], one, other) for f in mesh.faces for one, other in pairwise(f[1:])]]
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    step = (high - low) / ACROSS
    x, y = (low[k] + step[k] * (np.arange(ACROSS) + OFF[k]) for k in (0, 1))
    places = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    sides = faces[:, 1:] - faces[:, :1]
    normal = np.cross(sides[:, 0], sides[:, 1])
    faces, normal = faces[normal[:, 2] != 0], normal[normal[:, 2] != 0]
    tree = shapely.STRtree(np.asarray(shapely.points(places)))
    rings = shapely.linearrings(np.concatenate([faces, faces[:, :1]], axis=1)[:, :, :2])
    face, column = tree.query(shapely.polygons(rings), predicate="intersects")
    off = places[column] - faces[face, 0, :2]
    z = faces[face, 0, 2] - (off * normal[face, :2]).sum(axis=1) / normal[face, 2]
    into = np.where(normal[face, 2] < 0, 1, -1)
    # A column that meets an edge passes two faces there, and comes out of nothing: it is let be.
    sound = np.bincount(column, weights=into, minlength=len(places))[column] == 0
    order = np.lexsort((z[sound], column[sound]))
    return Columns(
        places=places,
        column=column[sound][order],
        z=z[sound][order],
        into=into[sound][order],
        cell_mm2=float(step.prod()),
    )


def overlap_mm3(mesh: Mesh) -> float:
    """Return what shells of a closed mesh hold more than once, by columns; a close estimate."""
    found = columns(mesh)
    if not len(found.z):
        return 0.0
    total = np.cumsum(found.into)
    starts = np.concatenate([[True], found.column[1:] != found.column[:-1]])
    first = np.maximum.accumulate(np.where(starts, np.arange(len(total)), 0))
    times = total - (total - found.into)[first]
    same = ~starts[1:]
    more = np.maximum(times[:-1] - 1, 0)
    return float((np.diff(found.z) * more * same).sum() * found.cell_mm2)


def hollow(
    mesh: Mesh, bands: Sequence[tuple[float, float, Geometry]], where: str
) -> Iterator[Fault]:
    """Give the first band (from, to, region) that leaves out foam the mesh encloses in it.

    Looked at halfway between its heights, where columns stand.
    """
    found = columns(mesh)
    for start, end, region in bands:
        places = found.places[found.times((start + end) / 2) > 0]
        room = shapely.buffer(region, EDGE_MM)
        shapely.prepare(room)
        out = ~shapely.contains_xy(room, places)
        if out.any():
            x, y = places[out][0]
            yield Fault(
                f"the mesh is solid where nothing is kept from {start:g} to {end:g} mm",
                f"{where}, near x {x:.1f}, y {y:.1f} mm",
            )
            return
