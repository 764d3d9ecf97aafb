"""Pieces in rows, as a wall is read: the lowest row first."""

from __future__ import annotations

from collections.abc import Sequence

from shapely import Polygon


def reading_rows(shapes: Sequence[Polygon]) -> list[list[int]]:
    """Return the places of the shapes in rows from the bottom up, each from left to right.

    A shape whose lowest point lies under the middle of the row's lowest shape is of that row.
    """
    middles = [(round(s.centroid.y, 3), round(s.centroid.x, 3)) for s in shapes]
    rows: list[list[int]] = []
    for k in sorted(range(len(shapes)), key=lambda k: middles[k]):
        if rows and shapes[k].bounds[1] < middles[rows[-1][0]][0]:
            rows[-1].append(k)
        else:
            rows.append([k])
    return [sorted(row, key=lambda k: middles[k][1]) for row in rows]
