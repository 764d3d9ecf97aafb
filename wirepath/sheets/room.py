"""Room for labels: places where a text crosses no line and no other text."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, Polygon, STRtree

from wirepath.sheets.lettering import Box

CLEAR_MM = 0.5
"""White kept around a label."""

RINGS_MM = np.array([0.4, 1.2, 2.2, 3.5, 5.0, 7.0, 9.5, 12.5, 16.0, 20.0, 26.0])
"""How far from its place a label is tried, beyond the least."""

TURNS = np.array(
    [(math.cos(t), math.sin(t)) for t in np.linspace(math.pi / 4, 2.25 * math.pi, 25)[:-1]]
)
"""And in which directions, (24, 2)."""

Boxes = NDArray[np.float64]
"""Rectangles: (n, 4), x0 y0 x1 y1, mm."""


class Room:
    """Keeps count of what a picture holds, and tells where a label still fits."""

    def __init__(self, lines: Sequence[Geometry], within: Box) -> None:
        """Begin with `lines` that no label may touch; all labels stay `within`."""
        self._within = within
        parts = shapely.get_parts(np.asarray(lines, dtype=object)) if lines else np.array([])
        self._lines = STRtree(_segments(parts))
        self.taken: Boxes = np.empty((0, 4))
        """The boxes of all labels so far, (n, 4)."""

    def take(self, box: Box) -> None:
        """Keep later labels off `box`."""
        self.taken = np.vstack([self.taken, (box.x0, box.y0, box.x1, box.y1)])

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

    def spot(self, area: Polygon, box: Box) -> tuple[float, float] | None:
        """Return where a label of `box` fits inside `area`, nearest to its widest place."""
        middle = shapely.maximum_inscribed_circle(area, tolerance=0.3).coords[0]
        x0, y0, x1, y1 = area.bounds
        x, y = (
            axis.ravel() for axis in np.meshgrid(np.linspace(x0, x1, 17), np.linspace(y0, y1, 17))
        )
        shift = ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)
        spots = np.c_[np.append(middle[0], x) - shift[0], np.append(middle[1], y) - shift[1]]
        spots = spots[np.argsort(np.hypot(*(spots + shift - middle).T), kind="stable")]
        boxes = np.hstack([spots, spots]) + np.array([box.x0, box.y0, box.x1, box.y1])
        shapely.prepare(area)
        inside = np.flatnonzero(shapely.contains(area, shapely.box(*boxes.T)))
        free = inside[self.free(boxes[inside])] if len(inside) else inside
        if not len(free):
            return None
        return float(spots[free[0]][0]), float(spots[free[0]][1])

    def near(self, x: float, y: float, least: float, box: Box) -> tuple[float, float] | None:
        """Return the free place for `box` nearest to x, y, not nearer than `least`."""
        middle = ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)
        # Most labels find room in the nearest rings: those farther out are tried only after.
        for some in (RINGS_MM[:3], RINGS_MM[3:]):
            away = (least + some)[:, None, None] * TURNS
            spots = (np.array([x, y]) + away - middle).reshape(-1, 2)
            boxes = np.hstack([spots, spots]) + np.array([box.x0, box.y0, box.x1, box.y1])
            for index in np.flatnonzero(self.free(boxes)):
                to = LineString([(x, y), spots[index] + middle])
                if not self.crosses_label(to):
                    return float(spots[index][0]), float(spots[index][1])
        return None

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
