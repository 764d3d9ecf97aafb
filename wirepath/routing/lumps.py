"""Lumps of waste: what they touch, whether they come off, and what a cut makes of them."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon, STRtree

from wirepath.model import WireLine

DIRECTIONS = 72
"""Ways in which a lump is tried to be drawn off: every 5 degrees."""

OFF_KERFS = 3.0
"""How far a lump must come off to count as loose: then nothing clamps it any more."""

DENT_MM = 0.05
"""How deep a lump may graze a piece on its way off."""

SAMPLE_MM = 6.0
"""Distance of the places along a line that are looked at."""

STRAIGHT_KERFS = 0.05
"""What lines are straightened by before lumps are measured, in kerfs."""

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Body:
    """A piece in the waste: its line's index, the area within the line, and places along it.

    `core` is the piece less what may be grazed; `at` (n, 2) lie on the wire's line,
    `normals` (n,) are the angles that lead away.
    """

    line: int
    area: Polygon
    core: Polygon
    at: Points
    normals: Points


@functools.lru_cache(maxsize=1)
def bodies(lines: tuple[WireLine, ...], kerf_mm: float) -> tuple[Body, ...]:
    """Return the outlines among `lines` as bodies.

    Kept, for a layout is looked at twice: before its waste is parted, and once all is cut.
    """
    return tuple(_bodies(lines, kerf_mm))


def _bodies(lines: Sequence[WireLine], kerf_mm: float) -> Iterator[Body]:
    for index, line in enumerate(lines):
        if line.is_hole:
            continue
        # A slot gives so much room that smaller dents hold nothing.
        ring = shapely.simplify(line.ring, kerf_mm / 2)
        points = shapely.get_coordinates(shapely.segmentize(ring, SAMPLE_MM))
        steps = np.diff(points, axis=0)
        middles = shapely.points((points[1:] + points[:-1]) / 2)
        shapely.prepare(line.ring)
        to_line = shapely.get_coordinates(shapely.shortest_line(line.ring, middles))
        area = Polygon(straightened(line.ring, kerf_mm))
        yield Body(
            line=index,
            area=area,
            core=area.buffer(-(0.5 + STRAIGHT_KERFS) * kerf_mm - DENT_MM, quad_segs=4),
            at=to_line[::2],
            # The ring runs counter-clockwise: away is to the right.
            normals=np.arctan2(-steps[:, 0], steps[:, 1]),
        )


class Lump:
    """One lump: its area, and its border by distance along it."""

    def __init__(self, area: Polygon, near: NDArray[np.int_]) -> None:
        """Take the area, and what lies along it: for the one who parts it to tell."""
        self.area, self.near = area, near
        self.touched: dict[int, NDArray[np.bool_]] = {}
        shapely.prepare(area)
        self.border: Points = shapely.get_coordinates(area.exterior)
        steps = np.diff(self.border, axis=0)
        self.along = np.concatenate([[0.0], np.cumsum(np.hypot(*steps.T))])
        x, y = self.border.T
        crosses = x[:-1] * y[1:] - x[1:] * y[:-1]
        self.swept = np.concatenate([[0.0], np.cumsum(crosses)]) / 2

    def _sides(
        self, things: NDArray[np.object_], reach_mm: float
    ) -> tuple[NDArray[np.int_], STRtree]:
        """Return which straight steps of the border lie about some things, (n,), and their tree."""
        west, south, east, north = shapely.bounds(shapely.geometrycollections(things))
        low = np.minimum(self.border[:-1], self.border[1:]) - reach_mm
        high = np.maximum(self.border[:-1], self.border[1:]) + reach_mm
        about = (low <= (east, north)).all(axis=1) & (high >= (west, south)).all(axis=1)
        which = np.flatnonzero(about)
        ends = np.stack([self.border[which], self.border[which + 1]], axis=1)
        return which, STRtree(np.asarray(shapely.linestrings(ends)))

    def touches(self, body: Body, kerf_mm: float) -> NDArray[np.bool_]:
        """Return which places along a body have the lump on the other side of the slot, (n,)."""
        if body.line not in self.touched:
            found = shapely.dwithin(self.area, shapely.points(body.at), kerf_mm)
            self.touched[body.line] = np.asarray(found)
        return self.touched[body.line]

    def places(self, at: Points, reach_mm: float) -> Points:
        """Return how far along the border the points on it nearest to `at` (n, 2) lie, (n,).

        All of them lie within `reach_mm` of the border.
        """
        points = np.asarray(shapely.points(at))
        which, tree = self._sides(points, reach_mm)
        sides = which[tree.query_nearest(points, all_matches=False)[1]]
        start, step = self.border[sides], self.border[sides + 1] - self.border[sides]
        length = np.maximum(np.hypot(*step.T), 1e-12)
        share = (((at - start) * step).sum(axis=1) / length).clip(0, length)
        found: Points = self.along[sides] + share
        return found

    def crossings(self, ways: NDArray[np.object_]) -> tuple[NDArray[np.int_], Points]:
        """Return which of `ways` cross the border just twice, and where along it, (n, 2)."""
        which, tree = self._sides(ways, 0.0)
        one, side = tree.query(ways, predicate="intersects")
        side = which[side]
        twice = np.flatnonzero(np.bincount(one, minlength=len(ways)) == 2)
        keep = np.isin(one, twice)
        order = np.argsort(one[keep], kind="stable")
        one, side = one[keep][order], side[keep][order]
        tips = shapely.get_coordinates(ways[one]).reshape(-1, 2, 2)
        start, step = self.border[side], self.border[side + 1] - self.border[side]
        way = tips[:, 1] - tips[:, 0]
        off = tips[:, 0] - start
        across = step[:, 0] * way[:, 1] - step[:, 1] * way[:, 0]
        share = (off[:, 0] * way[:, 1] - off[:, 1] * way[:, 0]) / np.where(across, across, 1.0)
        at = self.along[side] + share.clip(0, 1) * np.hypot(*step.T)
        return twice, at.reshape(-1, 2)

    def share(self, ends: Points) -> Points:
        """Return the share of the area that cuts between places `ends` (n, 2) part off, (n,).

        A half at most. Along a straight step of the border the swept area grows evenly.
        """
        low, high = np.sort(ends).T
        x, y = self.border.T
        (x0, y0), (x1, y1) = (
            (np.interp(at, self.along, x), np.interp(at, self.along, y)) for at in (low, high)
        )
        area = np.interp(high, self.along, self.swept) - np.interp(low, self.along, self.swept)
        area += (x1 * y0 - x0 * y1) / 2
        found: Points = np.abs(area) / self.area.area
        return np.minimum(found, 1 - found)

    def holds(self, body: Body, kerf_mm: float) -> bool:
        """Return whether the lump cannot be drawn `OFF_KERFS` off a body in any direction."""
        way, _ = free_way(body.normals[self.touches(body, kerf_mm)])
        angles = 2 * math.pi / DIRECTIONS * np.arange(DIRECTIONS)
        # The most likely one first: it seldom fails.
        angles = angles[np.argsort(-np.cos(angles - way), kind="stable")]
        ways = OFF_KERFS * kerf_mm * np.stack([np.cos(angles), np.sin(angles)], axis=1)
        return not (self._let_go(body.core, ways[:1]).any() or self._let_go(body.core, ways).any())

    def _let_go(self, core: Polygon, ways: Points) -> NDArray[np.bool_]:
        """Return by which of `ways` (n, 2) a core comes clear, halfway there too, (n,)."""
        free = np.ones(len(ways), dtype=bool)
        for share in (1.0, 0.5):
            moved = np.full(int(free.sum()), core, dtype=object)
            offsets = np.repeat(share * ways[free], shapely.get_num_coordinates(core), axis=0)
            shapely.set_coordinates(moved, shapely.get_coordinates(moved) + offsets)
            free[free] = ~shapely.intersects(self.area, moved)
        return free


def free_way(normals: Points) -> tuple[float, float]:
    """Return the angle in which a body faced on `normals` gets away best, and what lacks.

    It gets away straight where the normals leave half the round free; what lacks of that
    half is in radians, nought where nothing does. Away is the middle of what is free.
    """
    if not len(normals):
        return 0.0, 0.0
    angles = np.sort(normals)
    gaps = np.diff(np.append(angles, angles[0] + 2 * math.pi))
    widest = int(gaps.argmax())
    lacks = max(math.pi - float(gaps[widest]) - 1e-3, 0.0)
    return float(angles[widest] + gaps[widest] / 2), lacks


def lacking(normals: Points, chosen: NDArray[np.bool_]) -> Points:
    """Return what each choice (n, m) of `normals` (m,) lacks to get away, (n,): see `free_way`."""
    order = np.argsort(normals)
    angles, chosen = normals[order], chosen[:, order]
    latest = np.maximum.accumulate(np.where(chosen, angles, -np.inf), axis=1)
    lowest = np.where(chosen, angles, np.inf).min(axis=1, initial=np.inf)
    between = chosen[:, 1:] & (latest[:, :-1] > -np.inf)
    gaps = np.where(between, angles[1:] - latest[:, :-1], 0.0).max(axis=1, initial=0.0)
    widest = np.maximum(gaps, lowest + 2 * math.pi - latest[:, -1])
    found: Points = np.maximum(math.pi - widest - 1e-3, 0.0)
    return found


@functools.lru_cache(maxsize=2048)
def straightened(line: LineString, kerf_mm: float) -> LineString:
    """Return a line with fewer points, as lumps are measured with."""
    found = shapely.simplify(line, STRAIGHT_KERFS * kerf_mm)
    assert isinstance(found, LineString)
    return found
