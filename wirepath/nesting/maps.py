"""Penetration-depth maps: how deep two variants overlap, for every offset on a grid."""

from __future__ import annotations

import math
from collections.abc import Sequence
from copy import copy

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt
from shapely import Geometry
from shapely.affinity import affine_transform

from wirepath.geometry import polygons, turn_matrix
from wirepath.nesting.nofit import minkowski_sums, no_fit
from wirepath.nesting.shapes import Floats, Variant, shifted

Map = NDArray[np.float32]
"""Depths in cells, (nx, ny); 0 where two variants keep their clearance."""

FINENESS = 64.0
"""Depths are whole multiples of 1/64 cell, so that float32 sums of them are exact and
adding a map and taking it away again leaves no dust."""


class Maps:
    """Depth maps of every pair of variants that is asked for, on a grid of `cell_mm`.

    `forgiven` cells of depth count as none: positions stand on the grid and may be
    half a cell off either way; the exact finish sets that right.
    """

    def __init__(
        self,
        kinds: Sequence[Sequence[Variant]],
        *,
        cell_mm: float,
        clearance_mm: float,
        forgiven: float,
    ) -> None:
        self.cell_mm = cell_mm
        self.clearance_mm = clearance_mm
        self.forgiven = forgiven
        self.variants: list[Variant] = [one for kind in kinds for one in kind]
        ends = np.cumsum([len(kind) for kind in kinds])
        self.of_kind = [
            list(range(end - len(kind), end)) for end, kind in zip(ends, kinds, strict=True)
        ]
        self.kind_of = [number for number, kind in enumerate(kinds) for _ in kind]
        self._maps: dict[tuple[int, int], tuple[Map, int, int]] = {}
        self._regions: dict[tuple[int, int, bool, bool, float], Geometry] = {}
        self._sums: dict[tuple[int, int], tuple[Floats, Floats]] = {}

    def unforgiving(self) -> Maps:
        """Return maps of the same variants that forgive nothing; regions are shared."""
        strict = copy(self)
        strict.forgiven = 0.0
        strict._maps = {}
        return strict

    def __call__(self, fixed: int, moving: int) -> tuple[Map, int, int]:
        """Return the map for `moving` seen from `fixed`, and the offset, in cells, of its 0, 0."""
        found = self._maps.get((fixed, moving))
        if found is None:
            depth, x, y = depth_map(
                self.region(fixed, moving), cell_mm=self.cell_mm, forgiven=self.forgiven
            )
            found = depth, x, y
            self._maps[fixed, moving] = found
            if fixed != moving:
                nx, ny = depth.shape
                turned = np.ascontiguousarray(depth[::-1, ::-1])
                self._maps[moving, fixed] = turned, 1 - nx - x, 1 - ny - y
        return found

    def region(self, fixed: int, moving: int) -> Geometry:
        """Return the no-fit region; pairs turned alike share one."""
        one, other = self.variants[fixed], self.variants[moving]
        angle = one.turn.angle_deg
        between = round((other.turn.angle_deg - angle) % 360.0, 6)
        kinds = self.kind_of[fixed], self.kind_of[moving]
        key = (*kinds, one.turn.flipped, other.turn.flipped, between)
        # Regions are kept as seen with `fixed` turned by 0, between the pieces' own origins.
        apart = np.array(other.shift) - np.array(one.shift)
        if key not in self._regions:
            region = no_fit(one.parts, other.parts, clearance_mm=self.clearance_mm)
            a, b, d, e = turn_matrix(-angle)
            self._regions[key] = affine_transform(shifted(region, *apart), (a, b, d, e, 0, 0))
        a, b, d, e = turn_matrix(angle)
        return shifted(affine_transform(self._regions[key], (a, b, d, e, 0, 0)), *-apart)

    def half_planes(self, fixed: int, moving: int) -> tuple[Floats, Floats]:
        """Return the edges of every convex part pair's no-fit polygon, without clearance.

        Outward unit normals (pairs, edges, 2) and their distances from 0, 0 (pairs, edges).
        """
        found = self._sums.get((fixed, moving))
        if found is None:
            one, other = self.variants[fixed], self.variants[moving]
            rings = minkowski_sums(one.parts, [-part for part in other.parts])
            along = np.roll(rings, -1, axis=1) - rings
            length = np.hypot(along[..., 0], along[..., 1])
            with np.errstate(divide="ignore", invalid="ignore"):
                normal = np.stack([along[..., 1], -along[..., 0]], axis=2) / length[..., None]
            reach = (normal * rings).sum(axis=2)
            dust = length < 1e-9
            normal[dust], reach[dust] = 0.0, np.inf  # never the best edge
            found = normal, reach
            self._sums[fixed, moving] = found
        return found


def depth_map(region: Geometry, *, cell_mm: float, forgiven: float) -> tuple[Map, int, int]:
    """Return how deep each grid point lies in `region`, in cells, and the first point's place.

    Exact within two cells of the region's edge, by the grid's distance further in.
    Depth less than `forgiven` is 0; deeper, that much is taken off.
    """
    edges = _edges(region) / cell_mm
    first = np.ceil(edges.min(axis=0).reshape(2, 2).min(axis=0) - 1e-9).astype(int)
    last = np.floor(edges.max(axis=0).reshape(2, 2).max(axis=0) + 1e-9).astype(int)
    nx, ny = np.maximum(last - first + 1, 1)
    edges -= np.tile(first, 2)
    inside = _filled(edges, int(nx), int(ny))
    depth = distance_transform_edt(np.pad(inside, 1))[1:-1, 1:-1]
    near = np.argwhere(inside & (depth <= 2.0))
    depth -= 0.5
    depth[near[:, 0], near[:, 1]] = _distances(near.astype(float), edges)
    depth[~inside] = 0.0
    depth = np.ceil(np.maximum(depth - forgiven - 1e-6, 0.0) * FINENESS) / FINENESS
    return depth.astype(np.float32), int(first[0]), int(first[1])


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
