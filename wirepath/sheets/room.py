"""Room for labels: places where a text crosses no line and no other text."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, STRtree

from wirepath.sheets.lettering import Box

CLEAR_MM = 0.5
"""White kept around a label."""

Boxes = NDArray[np.float64]
"""Rectangles: (n, 4), x0 y0 x1 y1, mm."""


class Room:
    """Keeps count of what a picture holds, and tells where a label still fits."""

    def __init__(self, lines: Sequence[Geometry], within: Box) -> None:
        """Begin with `lines` that no label may touch; all labels stay `within`."""
        self._within = within
        parts = shapely.get_parts(np.asarray(lines, dtype=object)) if lines else np.array([])
        self._lines = STRtree(_segments(parts))
        self._boxes: list[tuple[float, float, float, float]] = []

    @property
    def taken(self) -> Boxes:
        """The boxes of all labels so far, (n, 4)."""
        return np.array(self._boxes).reshape(-1, 4)

    def take(self, box: Box) -> None:
        """Keep later labels off `box`."""
        self._boxes.append((box.x0, box.y0, box.x1, box.y1))

    def free(self, boxes: Boxes) -> NDArray[np.bool_]:
        """Return which of `boxes` cover no line and no label, rims of `CLEAR_MM` included."""
        grown = boxes + np.array([-CLEAR_MM, -CLEAR_MM, CLEAR_MM, CLEAR_MM])
        w = self._within
        ok: NDArray[np.bool_] = (
            (grown[:, 0] >= w.x0)
            & (grown[:, 1] >= w.y0)
            & (grown[:, 2] <= w.x1)
            & (grown[:, 3] <= w.y1)
        )
        t = self.taken
        low, high = grown[:, :2].min(axis=0), grown[:, 2:].max(axis=0)
        t = t[(t[:, 0] < high[0]) & (t[:, 1] < high[1]) & (t[:, 2] > low[0]) & (t[:, 3] > low[1])]
        if len(t):
            ok &= ~(
                (grown[:, None, 0] < t[None, :, 2])
                & (t[None, :, 0] < grown[:, None, 2])
                & (grown[:, None, 1] < t[None, :, 3])
                & (t[None, :, 1] < grown[:, None, 3])
            ).any(axis=1)
        left = np.flatnonzero(ok)
        if len(left):
            hit, _ = self._lines.query(shapely.box(*grown[left].T), predicate="intersects")
            ok[left[hit]] = False
        return ok

    def crosses_label(self, line: Geometry) -> bool:
        """Return whether a line runs through a label."""
        x0, y0, x1, y1 = shapely.bounds(line)
        t = self.taken
        t = t[(t[:, 0] <= x1) & (t[:, 1] <= y1) & (t[:, 2] >= x0) & (t[:, 3] >= y0)]
        return bool(len(t)) and bool(shapely.intersects(shapely.box(*t.T), line).any())


def _segments(lines: NDArray[np.object_]) -> NDArray[np.object_]:
    """Return the straight parts of lines, (n,): a box test on a whole ring would be slow."""
    found = [np.empty((0, 2, 2))]
    for line in lines:
        points = shapely.get_coordinates(shapely.simplify(line, 0.02))
        found.append(np.stack([points[:-1], points[1:]], axis=1))
    pairs = np.concatenate(found)
    return np.asarray(shapely.linestrings(pairs), dtype=object) if len(pairs) else np.array([])


def spread(wanted: Sequence[float], pitch: float, low: float, high: float) -> list[float] | None:
    """Return places as near to `wanted` (rising) as may be, at least `pitch` apart.

    None where they do not fit between `low` and `high`. Pools neighbours that crowd
    each other and centres each pool on what it wants (pool adjacent violators).
    """
    if not wanted:
        return []
    if (len(wanted) - 1) * pitch > high - low + 1e-9:
        return None
    shifted = [place - i * pitch for i, place in enumerate(wanted)]
    pools: list[tuple[float, int]] = []
    for value in shifted:
        total, count = value, 1
        while pools and pools[-1][0] / pools[-1][1] >= total / count:
            before, number = pools.pop()
            total, count = total + before, count + number
        pools.append((total, count))
    level = [total / count for total, count in pools for _ in range(count)]
    top = high - (len(wanted) - 1) * pitch
    return [min(max(value, low), top) + i * pitch for i, value in enumerate(level)]
