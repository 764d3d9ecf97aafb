"""A closed line moved outward edge by edge: every point keeps its place in the order."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

STRAIGHT = 1e-4
"""Sine of a turn below which two edges count as one straight line."""


def normals(ring: Points) -> Points:
    """Return the outward normals of a counter-clockwise ring's edges, (n, 2)."""
    steps = np.roll(ring, -1, axis=0) - ring
    steps = steps / np.maximum(np.hypot(*steps.T), 1e-12)[:, None]
    return np.column_stack((steps[:, 1], -steps[:, 0]))


def turns(ring: Points) -> NDArray[np.float64]:
    """Return the turn at each point, radians, left positive."""
    after = normals(ring)
    before = np.roll(after, 1, axis=0)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    angles: NDArray[np.float64] = np.arctan2(cross, (before * after).sum(axis=1))
    return angles


def set_off(ring: Points, offsets: NDArray[np.float64]) -> Points:
    """Return the ring with each edge set off outward by its own offset, corners sharp, (n, 2).

    A point lies where its two edges meet again; between edges in one line it takes the
    larger offset. Edges that have no room turn round: see `turned_round`.
    """
    after = normals(ring)
    before = np.roll(after, 1, axis=0)
    d_after, d_before = offsets, np.roll(offsets, 1)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    straight = np.abs(cross) < STRAIGHT
    safe = np.where(straight, 1.0, cross)
    meet = np.column_stack(
        (
            (d_before * after[:, 1] - d_after * before[:, 1]) / safe,
            (d_after * before[:, 0] - d_before * after[:, 0]) / safe,
        )
    )
    larger = np.where(np.abs(d_before) > np.abs(d_after), d_before, d_after)
    meet[straight] = after[straight] * larger[straight, None]
    return ring + meet


def turned_round(ring: Points, line: Points) -> NDArray[np.bool_]:
    """Return which edges of `line` run against those of the `ring` it was set off from, (n,)."""
    edges = np.roll(ring, -1, axis=0) - ring
    steps = np.roll(line, -1, axis=0) - line
    against: NDArray[np.bool_] = (edges * steps).sum(axis=1) < -1e-9
    return against
