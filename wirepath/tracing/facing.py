"""Faces of a mesh turned round so that all of them look outward, and the edges they share.

A face looks to where its corners run anticlockwise. Across an edge that two faces share, both
look the same way out where they run along it opposite ways.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from wirepath.model import Mesh, Note

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]
Flags = NDArray[np.bool_]

WELD_MM = 1e-4
"""Corners nearer than this are one: STL repeats each corner for every face, in single precision."""

INSIDE_AT = 16
"""Corners of a shell that must lie in another for it to lie in there."""

LEAST_MM3 = 1e-6
"""A shell that encloses less is flat: it has no inside."""


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Every side of every face, those of no length left out."""

    ends: Numbers
    """The places of both ends among the mesh's points, as its face runs, (m, 2)."""
    face: Numbers
    """The face it is a side of, (m,)."""
    number: Numbers
    """Sides between the same two places have the same number, counted from 0, (m,)."""
    forward: Flags
    """Whether the face runs along it one way; the others run the other way, (m,)."""

    def shared_by(self) -> Numbers:
        """Return how many sides there are of each number."""
        return np.bincount(self.number)

    def balance(self, turned: Flags | None = None) -> Numbers:
        """Return how many more faces run along each number one way than the other: 0 where a
        closed surface does; with some faces `turned` round."""
        forward = self.forward if turned is None else self.forward ^ turned[self.face]
        return np.bincount(self.number, weights=np.where(forward, 1, -1)).astype(np.intp)


def edges_of(mesh: Mesh) -> Edges:
    """Return the sides of a mesh's faces; corners within `WELD_MM` count as one."""
    counts = np.array([len(face) for face in mesh.faces], dtype=np.intp)
    corners = np.array([place for face in mesh.faces for place in face], dtype=np.intp)
    last = np.cumsum(counts) - 1
    ahead = np.arange(1, len(corners) + 1)
    ahead[last] = last - counts + 1
    ends = np.stack([corners, corners[ahead]], axis=1)
    welded = np.round(np.asarray(mesh.points, dtype=float) / WELD_MM).astype(np.int64)
    _, spots = np.unique(welded, axis=0, return_inverse=True)
    at = spots.reshape(-1)[ends]
    face = np.repeat(np.arange(len(counts)), counts)
    some = at[:, 0] != at[:, 1]
    ends, face, at = ends[some], face[some], at[some]
    _, number = np.unique(np.sort(at, axis=1), axis=0, return_inverse=True)
    return Edges(ends=ends, face=face, number=number.reshape(-1), forward=at[:, 0] < at[:, 1])


def outward(mesh: Mesh) -> tuple[Mesh, tuple[Note, ...]]:
    """Return a mesh whose faces all look outward, and a note where any had to be turned.

    Of a shell's faces those are turned that are fewer, then all of them where a shell that lies
    in no other encloses less than nothing, with what lies within it. Shells within others stay
    as they look: a hollow looks inward. A mesh that is open, or whose faces cannot be turned to
    look all one way, stays as it is.
    """
    edges = edges_of(mesh)
    if not len(edges.face) or (edges.shared_by() % 2).any():
        return mesh, ()
    turned, shell = _alike(edges, len(mesh.faces))
    if edges.balance(turned).any():
        return mesh, ()
    turned ^= _inverted(mesh, turned, shell)
    if not turned.any():
        return mesh, ()
    faces = tuple(
        face[::-1] if turns else face for face, turns in zip(mesh.faces, turned, strict=True)
    )
    note = Note(
        kind="repair",
        text=f"faces of the mesh {mesh.layer!r} turned round: {int(turned.sum())} of {len(faces)} "
        "looked the wrong way",
    )
    return replace(mesh, faces=faces), (note,)


def _alike(edges: Edges, count: int) -> tuple[Flags, Numbers]:
    """Return which faces to turn for each shell to look one way, and each face's shell.

    Neighbours are those that share an edge alone. Every face counts twice, as it is and turned;
    what agrees is joined, and each shell falls into two halves: the way it looks, and the other.
    Where a shell is not closed without edges of more faces, those join shells too.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    def parts(one: Numbers, other: Numbers, size: int) -> Numbers:
        links = coo_array((np.ones(len(one), dtype=bool), (one, other)), shape=(size, size))
        return np.asarray(connected_components(links, directed=False)[1], dtype=np.intp)

    order = np.argsort(edges.number, kind="stable")
    pairs = order[(edges.shared_by() == 2)[edges.number[order]]].reshape(-1, 2)
    one, other = edges.face[pairs].T
    crossed = edges.forward[pairs[:, 0]] == edges.forward[pairs[:, 1]]
    half = parts(
        np.concatenate([one, one + count]),
        np.concatenate([other + count * crossed, other + count * ~crossed]),
        2 * count,
    )
    turned = half[:count] > half[count:]
    _, shell = np.unique(np.minimum(half[:count], half[count:]), return_inverse=True)
    shell = shell.reshape(-1)
    sizes = np.bincount(shell)
    more = np.bincount(shell, weights=turned) * 2 > sizes
    turned = turned ^ more[shell]
    if not _are_closed(edges, turned, shell):
        same = edges.number[order[1:]] == edges.number[order[:-1]]
        near = shell[edges.face[order]]
        shell = parts(near[1:][same], near[:-1][same], len(sizes))[shell]
    return turned, shell


def _are_closed(edges: Edges, turned: Flags, shell: Numbers) -> bool:
    """Return whether every shell is closed by itself."""
    sides = edges.number * (shell.max() + 1) + shell[edges.face]
    _, own = np.unique(sides, return_inverse=True)
    return not replace(edges, number=own.reshape(-1)).balance(turned).any()


def hollows_mm3(mesh: Mesh) -> Floats:
    """Return the volume of each shell of a closed mesh that looks inward, largest first."""
    edges = edges_of(mesh)
    _, shell = _alike(edges, len(mesh.faces))
    volumes, _ = _shells(mesh, np.zeros(len(mesh.faces), dtype=np.bool_), shell)
    return np.sort(-volumes[volumes < -LEAST_MM3])[::-1]


def _inverted(mesh: Mesh, turned: Flags, shell: Numbers) -> Flags:
    """Return the faces of shells that are inside out as they look once `turned`."""
    volumes, own = _shells(mesh, turned, shell)
    wrong: Flags = np.zeros(len(volumes), dtype=np.bool_)
    if (volumes < -LEAST_MM3).any():
        within = _within(own)
        for outer in np.flatnonzero((volumes < -LEAST_MM3) & ~within.any(axis=1)):
            wrong[within[:, outer]] = True
            wrong[outer] = True
    return np.asarray(wrong[shell])


def _shells(mesh: Mesh, turned: Flags, shell: Numbers) -> tuple[Floats, list[Floats]]:
    """Return the volume that each shell encloses, as it looks once `turned`, and its triangles."""
    points = np.asarray(mesh.points, dtype=float)
    fans = np.array(
        [
            (k, face[0], one, other)
            for k, face in enumerate(mesh.faces)
            for one, other in pairwise(face[1:])
        ]
    )
    of = shell[fans[:, 0]]
    corners = points[fans[:, 1:]]
    flipped = turned[fans[:, 0]]
    corners[flipped] = corners[flipped][:, ::-1]
    a, b, c = np.moveaxis(corners - points.mean(axis=0), 1, 0)
    counted = np.bincount(
        of, weights=(a * np.cross(b, c)).sum(axis=1) / 6, minlength=shell.max() + 1
    )
    volumes = np.asarray(counted, dtype=np.float64)
    by_shell = np.argsort(of, kind="stable")
    ends = np.cumsum(np.bincount(of, minlength=len(volumes)))[:-1]
    return volumes, np.split(corners[by_shell], ends)


def _within(shells: Sequence[Floats]) -> Flags:
    """Return which shell (row) lies within which other (column), both as triangles."""
    low = np.array([one.min(axis=(0, 1), initial=np.inf) for one in shells])
    high = np.array([one.max(axis=(0, 1), initial=-np.inf) for one in shells])
    within: Flags = np.logical_and(
        (low[:, None] > low[None]).all(axis=2), (high[:, None] < high[None]).all(axis=2)
    )
    for inner, outer in np.argwhere(within):
        corners = shells[inner].reshape(-1, 3)
        corners = corners[:: max(1, len(corners) // INSIDE_AT)]
        within[inner, outer] = all(abs(winding(shells[outer], one)) > 0.5 for one in corners)
    return within


def winding(faces: Floats, point: Floats) -> float:
    """Return how often closed triangles (n, 3, 3) go round a point: the sum of the solid angles
    they are seen at (Van Oosterom and Strackee 1983) by 4 pi."""
    a, b, c = np.moveaxis(faces - point, 1, 0)
    la, lb, lc = (np.linalg.norm(one, axis=1) for one in (a, b, c))
    triple = (a * np.cross(b, c)).sum(axis=1)
    rest = la * lb * lc + (a * b).sum(1) * lc + (b * c).sum(1) * la + (c * a).sum(1) * lb
    return float(np.arctan2(triple, rest).sum() / (2 * np.pi))
