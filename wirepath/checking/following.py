"""Straight stretches that run along others: told by their ends, for all that lies between."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree

Floats = NDArray[np.float64]
Places = NDArray[np.intp]


def straight_steps(lines: NDArray[np.object_]) -> tuple[Floats, Places]:
    """Return both ends of each straight step of the lines, (m, 2, 2), and its line, (m,)."""
    points, line = shapely.get_coordinates(lines, return_index=True)
    same = line[:-1] == line[1:]
    return np.stack([points[:-1], points[1:]], axis=1)[same], line[:-1][same]


def follows(
    edges: Floats,
    steps: Floats,
    within_mm: Floats,
    *,
    before: tuple[Places, Places] | None = None,
) -> NDArray[np.bool_]:
    """Return which edges (n, 2, 2) lie all along within so much of one single step (m, 2, 2).

    `within_mm` (m,) is each step's. `before` gives the turn of each edge and of each step: only
    steps of an earlier turn count. Distance to a straight step is convex along an edge, so no
    place between its two ends is farther off than the farther one. An edge that several steps
    accompany together is not told.
    """
    found = np.zeros(len(edges), dtype=bool)
    if not len(edges) or not len(steps):
        return found
    ends, lines = shapely.points(edges), np.asarray(shapely.linestrings(steps))
    starts = np.asarray(ends)[:, 0]
    edge, step = STRtree(lines).query(starts, predicate="dwithin", distance=float(within_mm.max()))
    if before is not None:
        earlier = before[1][step] < before[0][edge]
        edge, step = edge[earlier], step[earlier]
    away = shapely.distance(np.asarray(ends)[edge], lines[step][:, None])
    found[edge[(away <= within_mm[step][:, None]).all(axis=1)]] = True
    return found
