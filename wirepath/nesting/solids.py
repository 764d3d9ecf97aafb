"""Outlines as sums of them are made: cut into convex parts, or as edges and corners."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon

from wirepath.geometry import polygons

Floats = NDArray[np.float64]


class Rim(NamedTuple):
    """The edges of all rings of an outline, foam on their left, mm.

    `first` and `last` are their ends, (n, 2); `direction` where they lead and `turn` how far
    the ring turned to the left at their first end, both in radians, (n,).
    """

    first: Floats
    last: Floats
    direction: Floats
    turn: Floats

    def mirrored(self) -> Rim:
        """Return the rim of the outline mirrored through 0, 0."""
        return Rim(-self.first, -self.last, self.direction + np.pi, self.turn)


@dataclass(frozen=True, eq=False, kw_only=True)
class Solid:
    """An outline of one or more parts, with or without holes."""

    outline: Geometry
    known_parts: tuple[Floats, ...] | None = None
    """The convex parts, where they follow from those of another."""

    @cached_property
    def parts(self) -> tuple[Floats, ...]:
        """(n, 2) arrays, mm: convex, counter-clockwise, together the outline.

        Worked out when first asked for: what lies on a grid or on shelves needs none.
        """
        if self.known_parts is not None:
            return self.known_parts
        return tuple(part for one in polygons(self.outline) for part in convex_parts(one))

    @cached_property
    def rim(self) -> Rim:
        """The edges and corners of all rings."""
        rings = [
            np.asarray(ring.coords)[:-1, :2]
            for one in polygons(shapely.orient_polygons(self.outline))
            for ring in (one.exterior, *one.interiors)
        ]
        last = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
        before = np.concatenate([np.roll(ring, 1, axis=0) for ring in rings])
        first = np.concatenate(rings)
        led, leads = _directions(first - before), _directions(last - first)
        return Rim(first, last, leads, (leads - led + np.pi) % (2 * np.pi) - np.pi)


def _directions(along: Floats) -> Floats:
    return np.asarray(np.arctan2(along[:, 1], along[:, 0]))


def convex_parts(polygon: Polygon) -> list[Floats]:
    """Return convex (n, 2) rings, counter-clockwise and not closed, that tile the polygon.

    Delaunay triangles (holes left out), merged across a shared edge wherever the two
    stay convex (Hertel and Mehlhorn 1983: at most four times the fewest parts).
    """
    rings = [
        np.asarray(shapely.get_coordinates(triangle)[:3])
        for triangle in shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    ]
    corners, index = np.unique(np.concatenate(rings), axis=0, return_inverse=True)
    loops = []
    for a, b, c in index.reshape(-1, 3).tolist():
        loops.append([a, b, c] if _turn(corners, a, b, c) > 0 else [a, c, b])
    owner: dict[tuple[int, int], int] = {}
    for number, loop in enumerate(loops):
        owner.update(dict.fromkeys(_edges(loop), number))
    inner = [edge for edge in owner if edge[0] < edge[1] and edge[::-1] in owner]
    length = {edge: float(np.hypot(*(corners[edge[0]] - corners[edge[1]]))) for edge in inner}
    for a, b in sorted(inner, key=lambda edge: (-length[edge], edge)):
        one, other = owner[a, b], owner[b, a]
        if one == other:
            continue
        merged = _merged(loops[one], loops[other], a, b)
        corner = zip(merged[-2:] + merged[:-2], merged[-1:] + merged[:-1], merged, strict=True)
        if all(_turn(corners, *three) >= 0 for three in corner):
            loops[one], loops[other] = merged, []
            owner.update(dict.fromkeys(_edges(merged), one))
    return [corners[loop] for loop in loops if loop]


def _edges(loop: list[int]) -> list[tuple[int, int]]:
    return list(zip(loop, loop[1:] + loop[:1], strict=True))


def _turn(corners: Floats, a: int, b: int, c: int) -> float:
    (ax, ay), (bx, by), (cx, cy) = corners[a], corners[b], corners[c]
    return float((bx - ax) * (cy - by) - (by - ay) * (cx - bx))


def _merged(one: list[int], other: list[int], a: int, b: int) -> list[int]:
    """Return the loop round both, which share the edge a-b (b-a in `other`)."""
    start = one.index(b)
    rest = other.index(a)
    return one[start:] + one[:start] + (other[rest:] + other[:rest])[1:-1]
