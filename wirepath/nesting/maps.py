"""Penetration-depth maps: how deep two variants overlap, for every offset on a grid."""

from __future__ import annotations

import math
from collections.abc import Sequence
from copy import copy
from itertools import combinations_with_replacement
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt
from shapely import Geometry

from wirepath.geometry import polygons
from wirepath.nesting.cache import Cache
from wirepath.nesting.minkowski import minkowski_sums
from wirepath.nesting.regions import Regions
from wirepath.nesting.solids import Floats

Map = NDArray[np.float32]
"""Depths in cells, (nx, ny); 0 where two variants keep their clearance."""

FINENESS = 64.0
"""Depths are whole multiples of 1/64 cell, so that float32 sums of them are exact and
adding a map and taking it away again leaves no dust."""

MOST_MAP_BYTES = 2**28
"""Most memory for maps: some 5000 of them at the default fineness."""

MAP_COST, CONVEX_COST, SUM_COST = 2_000_000, 600_000, 80_000
"""Work of making a map of a region, one of two convex outlines, and a region's share for each
Minkowski sum in it, in cells: 2 ms, 0.5 ms and 0.06 ms."""


NEAR, EDGE_CELLS = 2.0, 4.0
"""Cells from the edge up to which depths are exact; longer edges are looked at in pieces."""

FORGIVEN = 0.5
"""Cells of overlap that the search ignores and the exact finish takes out."""

CELLS, CELLS_EACH, MOST_CELLS = 100, 14, 400
"""Grid cells across the shorter side, and across a piece of mean size, at least; and how
many at most across the shorter side. Finer grids were no denser in the same time."""


def cell_size_mm(short_mm: float, mean_area_mm2: float) -> float:
    """Return the grid's cell for a face with this shorter side and pieces of this mean area."""
    cell = min(short_mm / CELLS, math.sqrt(mean_area_mm2) / CELLS_EACH)
    return max(cell, short_mm / MOST_CELLS)


class Outlines(NamedTuple):
    """Convex polygons, as corners (n, m, 2), outward normals (n, m, 2) of the edges after them,

    how far each edge's line lies from 0, 0 (n, m), and the boxes round them (n, 2), in mm.
    """

    corners: Floats
    normals: Floats
    reaches: Floats
    low: Floats
    high: Floats


class Maps:
    """Depth maps of every pair of variants that is asked for, on a grid of `cell_mm`.

    `forgiven` cells of depth count as none: positions stand on the grid and may be
    half a cell off either way; the exact finish sets that right.
    """

    def __init__(self, regions: Regions, *, cell_mm: float, forgiven: float) -> None:
        self.regions = regions
        self.variants = regions.variants
        self.of_kind: Sequence[Sequence[int]] = regions.of_kind
        self.free: frozenset[int] = frozenset()
        """Kinds that may be turned by any angle."""
        self.clearance_mm = regions.clearance_mm
        self.cell_mm = cell_mm
        self.forgiven = forgiven
        self._owed = 0.0
        self._maps: Cache[tuple[int, int], tuple[Map, int, int]] = Cache(MOST_MAP_BYTES)
        self._outlines: Cache[tuple[int, int], Outlines] = Cache(MOST_MAP_BYTES)

    def kind_of(self, variant: int) -> int:
        """Return the kind that a variant is of."""
        return self.regions.kind_of[variant]

    def unforgiving(self) -> Maps:
        """Return maps of the same variants that forgive nothing; regions are shared."""
        strict = copy(self)
        strict.forgiven = 0.0
        strict._maps = Cache(MOST_MAP_BYTES)
        return strict

    def offering(self, of_kind: Sequence[Sequence[int]]) -> Maps:
        """Return the same maps for a search among these variants of each kind."""
        other = copy(self)
        other.of_kind = of_kind
        return other

    def __call__(self, fixed: int, moving: int) -> tuple[Map, int, int]:
        """Return the map for `moving` seen from `fixed`, and the offset, in cells, of its 0, 0."""
        if fixed > moving:
            depth, x, y = self(moving, fixed)
            nx, ny = depth.shape
            return depth[::-1, ::-1], 1 - nx - x, 1 - ny - y
        found = self._maps.get((fixed, moving))
        if found is None:
            found = self._made(fixed, moving)
            self._owed += found[0].size
            self._maps.put((fixed, moving), found, found[0].nbytes)
        return found

    def _made(self, fixed: int, moving: int) -> tuple[Map, int, int]:
        one, other = self.variants[fixed].parts, self.variants[moving].parts
        if len(one) == len(other) == 1:
            self._owed += CONVEX_COST
            (ring,) = minkowski_sums(one, [-other[0]])
            return convex_depth_map(
                ring,
                clearance_mm=self.clearance_mm,
                cell_mm=self.cell_mm,
                forgiven=self.forgiven,
            )
        before = self.regions.work
        region = self.regions(fixed, moving)
        self._owed += MAP_COST + SUM_COST * (self.regions.work - before)
        return depth_map(region, cell_mm=self.cell_mm, forgiven=self.forgiven)

    def owed(self) -> float:
        """Return the work, in cells, that went into maps since this was last asked."""
        owed, self._owed = self._owed, 0.0
        return owed

    def dues(self, variants: Sequence[int]) -> float:
        """Return about the work, in cells, that maps between all of `variants` take which are
        not made yet; turned alike, pairs share most of it."""
        pairs = combinations_with_replacement(sorted(set(variants)), 2)
        due = [(one, other) for one, other in pairs if (one, other) not in self._maps]
        return MAP_COST * len(due) + SUM_COST * self.regions.work_due(due)

    def outlines(self, fixed: int, moving: int) -> Outlines:
        """Return the no-fit polygons of all pairs of convex parts, without clearance."""
        found = self._outlines.get((fixed, moving))
        if found is None:
            one, other = self.variants[fixed], self.variants[moving]
            found = outlines_between(one.parts, other.parts)
            self._outlines.put((fixed, moving), found, sum(one.nbytes for one in found))
        return found


def outlines_between(some: Sequence[Floats], others: Sequence[Floats]) -> Outlines:
    """Return the no-fit polygons of all pairs of convex parts, those of `some` fixed."""
    corners = minkowski_sums(some, [-part for part in others])
    along = np.roll(corners, -1, axis=1) - corners
    length = np.hypot(along[..., 0], along[..., 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        normal = np.stack([along[..., 1], -along[..., 0]], axis=2) / length[..., None]
    reach = (normal * corners).sum(axis=2)
    dust = length < 1e-9
    normal[dust], reach[dust] = 0.0, np.inf  # never the best edge
    return Outlines(corners, normal, reach, corners.min(axis=1), corners.max(axis=1))


def depth_map(region: Geometry, *, cell_mm: float, forgiven: float) -> tuple[Map, int, int]:
    """Return how deep each grid point lies in `region`, in cells, and the first point's place.

    Exact within two cells of the edge, by the grid's distance further in.
    Depth less than `forgiven` is 0; deeper, that much is taken off.
    """
    edges = _edges(region) / cell_mm
    first = np.ceil(edges.min(axis=0).reshape(2, 2).min(axis=0) - 1e-9).astype(int)
    last = np.floor(edges.max(axis=0).reshape(2, 2).max(axis=0) + 1e-9).astype(int)
    nx, ny = np.maximum(last - first + 1, 1)
    edges -= np.tile(first, 2)
    inside = _filled(edges, int(nx), int(ny))
    depth = distance_transform_edt(np.pad(inside, 1))[1:-1, 1:-1]
    near = inside & (depth <= NEAR)
    depth -= 0.5
    depth[near] = _distances_near(edges, int(nx), int(ny))[near]
    depth[~inside] = 0.0
    return _steps(depth - forgiven), int(first[0]), int(first[1])


def convex_depth_map(
    ring: Floats, *, clearance_mm: float, cell_mm: float, forgiven: float
) -> tuple[Map, int, int]:
    """Return the same for a convex region, (n, 2) counter-clockwise, widened by the clearance.

    Exact everywhere, and several times quicker: inside, the nearest edge's line is the
    nearest edge.
    """
    corners, clearance = ring / cell_mm, clearance_mm / cell_mm
    first = np.ceil(corners.min(axis=0) - clearance - 1e-9).astype(int)
    last = np.floor(corners.max(axis=0) + clearance + 1e-9).astype(int)
    nx, ny = np.maximum(last - first + 1, 1)
    edges = np.hstack([corners, np.roll(corners, -1, axis=0)]) - np.tile(first, 2)
    along = edges[:, 2:] - edges[:, :2]
    length = np.hypot(along[:, 0], along[:, 1])
    edges, along = edges[length > 1e-9], along[length > 1e-9]
    outward = np.column_stack([along[:, 1], -along[:, 0]]) / length[length > 1e-9, None]
    reach = (outward * edges[:, :2]).sum(axis=1)
    outside = (
        outward[:, :1, None] * np.arange(nx)[:, None]
        + outward[:, 1:, None] * np.arange(ny)
        - reach[:, None, None]
    ).max(axis=0)
    if clearance > 0:
        # Beyond a corner the way to it is longer than the way to any edge's line.
        near = np.argwhere((outside > 0) & (outside < clearance))
        outside[near[:, 0], near[:, 1]] = _distances(near.astype(float), edges)
    return _steps(clearance - outside - forgiven), int(first[0]), int(first[1])


def _steps(depth: Floats) -> Map:
    """Return the depths, those below 0 as 0, rounded up to whole steps."""
    steps = np.ceil(np.maximum(depth - 1e-6, 0.0) * FINENESS) / FINENESS
    return np.asarray(steps, dtype=np.float32)


def _edges(region: Geometry) -> Floats:
    """Return the edges of all rings as (n, 4): x, y of one end, then of the other."""
    rings = [
        np.asarray(ring.coords)[:, :2]
        for polygon in polygons(region)
        for ring in (polygon.exterior, *polygon.interiors)
    ]
    return np.concatenate([np.hstack([ring[:-1], ring[1:]]) for ring in rings])


def _filled(edges: Floats, nx: int, ny: int) -> NDArray[np.bool_]:
    """Return which grid points (whole numbers) lie inside the rings, even-odd."""
    x0, y0, x1, y1 = edges.T
    first = np.ceil(np.minimum(x0, x1)).astype(int)
    count = np.ceil(np.maximum(x0, x1)).astype(int) - first  # half open: each x counts once
    which = np.repeat(np.arange(len(edges)), count)
    x = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count) + first[which]
    share = (x - x0[which]) / (x1 - x0)[which]
    y = y0[which] + share * (y1 - y0)[which]
    crossings = np.zeros((nx, ny + 1), dtype=np.int32)
    keep = (x >= 0) & (x < nx)
    np.add.at(crossings, (x[keep], np.clip(np.ceil(y[keep]), 0, ny).astype(int)), 1)
    return np.asarray(np.cumsum(crossings, axis=1)[:, :ny] % 2 == 1)


def _distances_near(edges: Floats, nx: int, ny: int) -> Floats:
    """Return each grid point's distance to the nearest edge where that is NEAR or less.

    Elsewhere it may be more, or infinite: an edge is only looked at from the points around.
    """
    along = edges[:, 2:] - edges[:, :2]
    # Long edges in short pieces: the boxes round those hold few points.
    count = np.maximum(np.ceil(np.abs(along).max(axis=1) / EDGE_CELLS), 1).astype(int)
    which = np.repeat(np.arange(len(edges)), count)
    place = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    step = along[which] / count[which, None]
    start = edges[which, :2] + step * place[:, None]
    most = np.array([nx, ny]) - 1
    low = np.clip(np.ceil(np.minimum(start, start + step) - NEAR).astype(int), 0, most + 1)
    high = np.clip(np.floor(np.maximum(start, start + step) + NEAR).astype(int), -1, most)
    wide, high_cells = np.maximum(high - low + 1, 0).T
    each = wide * high_cells
    piece = np.repeat(np.arange(len(which)), each)
    spot = np.arange(len(piece)) - np.repeat(np.cumsum(each) - each, each)
    x, y = low[piece, 0] + spot // high_cells[piece], low[piece, 1] + spot % high_cells[piece]
    away = np.column_stack([x, y]) - start[piece]
    square = np.maximum((step * step).sum(axis=1), 1e-18)[piece]
    foot = np.clip((away * step[piece]).sum(axis=1) / square, 0.0, 1.0)
    away -= foot[:, None] * step[piece]
    least = np.full(nx * ny, math.inf)
    np.minimum.at(least, x * ny + y, np.hypot(away[:, 0], away[:, 1]))
    return least.reshape(nx, ny)


def _distances(points: Floats, edges: Floats) -> Floats:
    """Return each point's distance to the nearest edge."""
    start, along = edges[:, :2], edges[:, 2:] - edges[:, :2]
    square = np.maximum((along * along).sum(axis=1), 1e-18)
    least = np.full(len(points), math.inf)
    for low in range(0, len(points), 512):
        some = points[low : low + 512, None, :] - start[None]
        foot = np.clip((some * along).sum(axis=2) / square, 0.0, 1.0)
        gap = some - foot[..., None] * along
        least[low : low + 512] = np.sqrt((gap * gap).sum(axis=2).min(axis=1))
    return least
