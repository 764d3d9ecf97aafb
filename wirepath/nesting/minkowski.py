"""Minkowski sums and differences of outlines: where one meets another that is shifted."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

from wirepath import overlay
from wirepath.nesting.solids import Floats, Rim, Solid

SEGMENTS_EACH = 3
"""Segments of a convolution that take as long as one sum of convex parts."""

ALIKE_RAD = 1e-9
"""Directions that differ by less count as the same: what is taken in besides does no harm."""


def difference_of(fixed: Solid, moving: Solid) -> Geometry:
    """Return by which shifts `moving` meets `fixed`: their Minkowski difference.

    All sums of convex parts of one with those of the other mirrored through 0, 0; or, where
    that is less work, the faces of their convolution in which they meet. Curved outlines
    have many parts and few edges that can touch, combs few parts and many such edges.
    """
    segments = convolution(fixed.rim, moving.rim.mirrored())
    if len(segments) < SEGMENTS_EACH * _pairs(fixed, moving):
        return _meeting(segments, fixed, moving)
    sums = minkowski_sums(fixed.parts, [-part for part in moving.parts])
    hulls = shapely.convex_hull(shapely.polygons(sums))  # mends corners bent by float dust
    union: Geometry = overlay.union(hulls)
    return union


def work(fixed: Solid, moving: Solid) -> int:
    """Return how much work their difference is, in sums of convex parts."""
    rims = fixed.rim, moving.rim.mirrored()
    segments = sum(len(_touching(*pair)[0]) for pair in (rims, rims[::-1]))
    return min(_pairs(fixed, moving), segments // SEGMENTS_EACH + 1)


def _pairs(fixed: Solid, moving: Solid) -> int:
    return len(fixed.parts) * len(moving.parts)


def convolution(one: Rim, other: Rim) -> Floats:
    """Return segments among which is the whole edge of the Minkowski sum, (n, 2, 2), mm.

    Where two outlines touch from outside, an edge of one lies at an outward corner of the
    other, within the angle that it turns by (the reduced convolution of Behar and Lien 2011,
    "Fast and robust 2D Minkowski sum using reduced convolution").
    """
    edge, corner = _touching(one, other)
    edge_2, corner_2 = _touching(other, one)
    first = [one.first[edge] + other.first[corner], other.first[edge_2] + one.first[corner_2]]
    last = [one.last[edge] + other.first[corner], other.last[edge_2] + one.first[corner_2]]
    return np.stack([np.concatenate(first), np.concatenate(last)], axis=1)


def _touching(one: Rim, other: Rim) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return which edges of one can lie at which outward corners of the other."""
    outward = np.flatnonzero(other.turn >= -ALIKE_RAD)
    turn = other.turn[outward]
    led = other.direction[outward] - turn
    beyond = (one.direction[:, None] - led + ALIKE_RAD) % (2 * np.pi)
    edge, corner = np.nonzero(beyond <= turn + 2 * ALIKE_RAD)
    return edge, outward[corner]


def _meeting(segments: Floats, fixed: Solid, moving: Solid) -> Geometry:
    """Return the faces between the segments from anywhere in which the two meet, as one.

    The edge of all such shifts runs along segments, so one place tells of the whole face.
    """
    faces = faces_between(segments)
    places = shapely.get_coordinates(shapely.point_on_surface(faces))
    by = np.repeat(places, shapely.get_num_coordinates(moving.outline), axis=0)
    shifted = shapely.transform([moving.outline] * len(faces), lambda points: points + by)
    shapely.prepare(fixed.outline)
    return shapely.coverage_union_all(faces[shapely.intersects(fixed.outline, shifted)])


def faces_between(segments: Floats) -> NDArray[np.object_]:
    """Return the polygons that segments, (n, 2, 2), enclose between them; loose ends are none."""
    lines = overlay.union(shapely.linestrings(segments))
    faces: NDArray[np.object_] = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    return faces


def minkowski_sums(some: Sequence[Floats], others: Sequence[Floats]) -> Floats:
    """Return the sum of every convex ring of `some` with every one of `others`.

    Shape (pairs, most corners, 2), counter-clockwise, short rings with repeated points.
    The edges of both, in order of direction, from the sum of the lowest corners.
    """
    start, edges = _edges_from_lowest(some)
    start_2, edges_2 = _edges_from_lowest(others)
    shape = (len(some), len(others))
    both = np.concatenate(
        [
            np.broadcast_to(edges[:, None], (*shape, *edges.shape[1:])),
            np.broadcast_to(edges_2[None], (*shape, *edges_2.shape[1:])),
        ],
        axis=2,
    )
    direction = np.arctan2(both[..., 1], both[..., 0]) % (2 * np.pi)
    order = np.argsort(direction, axis=2, kind="stable")
    steps = np.take_along_axis(both, order[..., None], axis=2)
    first = start[:, None] + start_2[None]
    rings = first[:, :, None, :] + np.cumsum(steps, axis=2)
    return np.asarray(rings.reshape(shape[0] * shape[1], -1, 2))


def _edges_from_lowest(parts: Sequence[Floats]) -> tuple[Floats, Floats]:
    """Return each ring's lowest, then leftmost corner, and its edges from there, padded."""
    padded = _padded(parts)
    lowest = np.lexsort((padded[..., 0], padded[..., 1]), axis=1)[:, 0]
    start = padded[np.arange(len(padded)), lowest]
    return start, np.roll(padded, -1, axis=1) - padded


def _padded(parts: Sequence[Floats]) -> Floats:
    """Return the parts as one (count, most corners, 2) array, last corners repeated."""
    most = max(len(part) for part in parts)
    padded = np.empty((len(parts), most, 2))
    for row, part in zip(padded, parts, strict=True):
        row[: len(part)] = part
        row[len(part) :] = part[-1]
    return padded
