"""Finished outlines -> outlines as cut: foam left on for carving, but for edges cut finished."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LinearRing, LineString, Polygon, box

from wirepath import overlay
from wirepath.geometry import QUAD_SEGS, polygons
from wirepath.workshop import Side

Points = NDArray[np.float64]

LINE_MM = 1e-5
"""What lies nearer to a line than this lies on it."""

CORNER_RAD = math.radians(30.0)
"""An outline that turns further than this has a corner there (common practice, no source)."""

CLEAR_REACH = 3.0
"""How many allowances of outline, from the corner where it meets an edge cut finished, leave no
foam beyond the line of that edge."""

CRUMB_MM2 = 1e-3
"""Rings smaller than this are gaps between fans, not holes."""


@dataclass(frozen=True, slots=True)
class _Ring:
    """One ring, foam at its left: where its edges begin, where they run, which are finished."""

    points: Points
    steps: Points
    is_finished: NDArray[np.bool_]

    @property
    def outward(self) -> Points:
        """A unit vector for each edge, square to it, away from the foam: (n, 2)."""
        outward: Points = np.c_[self.steps[:, 1], -self.steps[:, 0]] / self.lengths[:, None]
        return outward

    @property
    def lengths(self) -> Points:
        lengths: Points = np.hypot(*self.steps.T)
        return lengths

    @property
    def turns(self) -> Points:
        """How far the ring turns at each point, in radians, left positive: (n,)."""
        heading = np.arctan2(self.steps[:, 1], self.steps[:, 0])
        turn: Points = (heading - np.roll(heading, 1) + np.pi) % (2 * np.pi) - np.pi
        return turn


def widen(
    finished: Polygon,
    allowance_mm: float,
    sides: Sequence[Side] = (),
    along: Sequence[LineString] = (),
) -> Polygon:
    """Return `finished` with foam left on all round, corners round; holes shrink or close.

    Beyond the extent of `finished` on `sides` nothing is left on: edges there stay as they
    are, and the foam beside them ends in line with them.

    Nor is it before edges that a line of `along` lies on. Where such an edge ends at a
    corner that stands out, the foam beside it ends in line with it; where it ends within a
    side, square to the side. Every other edge keeps its allowance whole: what of it stands
    before a finished edge, in an inner corner, stays.
    """
    if allowance_mm == 0.0:
        return finished
    if along:
        turned = shapely.orient_polygons(finished)
        rings = [_ring(ring, along) for ring in (turned.exterior, *turned.interiors)]
        if any(ring.is_finished.any() for ring in rings):
            return _widened_beside(finished, rings, allowance_mm)
    widened: Geometry = finished.buffer(allowance_mm, quad_segs=QUAD_SEGS)
    if sides:
        west, south, east, north = finished.bounds
        out_west, out_south, out_east, out_north = shapely.bounds(widened)
        room = box(
            west if "left" in sides else out_west,
            south if "lower" in sides else out_south,
            east if "right" in sides else out_east,
            north if "upper" in sides else out_north,
        )
        widened = overlay.intersection(widened, room)
    (whole,) = polygons(shapely.orient_polygons(widened))
    return whole


def cut_as_drawn(outline: Polygon, along: Sequence[LineString]) -> list[LineString]:
    """Return the stretches of an outline that lie on one of the lines, run together."""
    if not along:
        return []
    edges: list[Geometry] = []
    for one in (outline.exterior, *outline.interiors):
        ring = _ring(one, along)
        ends = np.stack([ring.points, ring.points + ring.steps], axis=1)[ring.is_finished]
        edges += _shapes(shapely.linestrings(ends)) if len(ends) else []
    if not edges:
        return []
    merged = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(edges)))
    return [line for line in merged if isinstance(line, LineString)]


def _ring(drawn: LinearRing, along: Sequence[LineString]) -> _Ring:
    """Return a ring with the ends of lines that lie on it among its points."""
    ring = LineString(drawn.coords)
    tips = np.concatenate([shapely.get_coordinates(one)[[0, -1]] for one in along])
    ends = np.asarray(shapely.points(tips))
    near = ends[shapely.dwithin(ring, ends, LINE_MM)]
    points = shapely.get_coordinates(ring)[:-1]
    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    more = np.unique(shapely.line_locate_point(ring, near))
    apart = np.abs(more[:, None] - np.append(at, ring.length)).min(axis=1)
    more = more[apart > LINE_MM]
    between = shapely.get_coordinates(shapely.line_interpolate_point(ring, more))
    order = np.argsort(np.concatenate([at, more]), kind="stable")
    points = np.concatenate([points, between])[order]
    points = points[np.hypot(*(np.roll(points, -1, axis=0) - points).T) > 0]
    steps = np.roll(points, -1, axis=0) - points
    middles = np.asarray(shapely.points(points + steps / 2))
    lines = shapely.multilinestrings(list(along))
    shapely.prepare(lines)
    return _Ring(points, steps, np.asarray(shapely.dwithin(lines, middles, LINE_MM)))


def _widened_beside(finished: Polygon, rings: Sequence[_Ring], allowance_mm: float) -> Polygon:
    spared = shapely.multilinestrings(
        [edge for ring in rings for edge in _edges(ring)[ring.is_finished]]
    )
    # With the ends of finished edges among its corners, strips share whole edges with it.
    finished = Polygon(rings[0].points, [ring.points for ring in rings[1:]])
    foam = [part for ring in rings for part in _beside(ring, finished, spared, allowance_mm)]
    widened = polygons(overlay.union([finished, *foam]))
    whole = max(widened, key=lambda part: part.area)
    holes = [ring for ring in whole.interiors if Polygon(ring).area > CRUMB_MM2]
    return shapely.orient_polygons(Polygon(whole.exterior, holes))


def _edges(ring: _Ring) -> NDArray[np.object_]:
    return np.asarray(shapely.linestrings(np.stack([ring.points, ring.points + ring.steps], 1)))


def _beside(
    ring: _Ring, finished: Polygon, spared: Geometry, allowance_mm: float
) -> Iterator[Geometry]:
    """Give the foam before the edges of a ring that are not cut finished."""
    out, turns, count = ring.outward * allowance_mm, ring.turns, len(ring.points)
    before = np.roll(np.arange(count), 1)
    carved = ~ring.is_finished
    parts: list[tuple[Geometry, Geometry, int]] = []
    ends = ring.points + ring.steps
    strips = _shapes(
        shapely.polygons(np.stack([ring.points, ends, ends + out, ring.points + out], axis=1))
    )
    edges = _edges(ring)
    parts += [(strips[k], edges[k], k) for k in np.flatnonzero(carved).tolist()]
    corners = _shapes(shapely.points(ring.points))
    for k in np.flatnonzero(carved & carved[before] & (turns > 1e-9)).tolist():
        parts.append((_fan(ring.points[k], out[before[k]], turns[k]), corners[k], k))
    clear: list[tuple[int, Polygon]] = []
    for k in np.flatnonzero((carved != carved[before]) & (turns > CORNER_RAD)).tolist():
        here, turn = ring.points[k], turns[k]
        over = turn - math.pi / 2
        if carved[k]:  # the finished edge comes before it, and runs on ahead
            on, aside = ring.steps[before[k]], out[before[k]]
            if over > 0:
                parts.append((_fan(here, out[k], -over), corners[k], k))
        else:
            on, aside = -ring.steps[k], out[k]
            if over > 0:
                parts.append((_fan(here, out[before[k]], over), corners[k], int(before[k])))
        on = on / np.hypot(*on) * allowance_mm * 2
        beyond = [here, here + on, here + on + 2 * aside, here + 2 * aside]
        clear.append((k, Polygon(beyond)))
    at = np.concatenate([[0.0], np.cumsum(ring.lengths)])
    shapely.prepare(spared)
    touching = shapely.intersects(spared, [part for part, _, _ in parts])
    for (part, edge, k), touches in zip(parts, touching, strict=True):
        seen = _seen(part, edge, finished, spared) if touches else part
        near = [
            gone
            for corner, gone in clear
            if _apart(at[corner], at[k : k + 2], at[-1]) < CLEAR_REACH * allowance_mm
        ]
        yield overlay.difference(seen, overlay.union(near)) if near else seen


def _apart(one: float, others: Points, round_mm: float) -> float:
    """Return how far two places of a ring lie apart along it, the shorter way, at least."""
    away = np.abs(others - one)
    return float(np.minimum(away, round_mm - away).min())


def _fan(middle: Points, arm: Points, turn_rad: float) -> Polygon:
    """Return the sector that `arm` sweeps when it turns, left positive."""
    count = max(1, math.ceil(abs(turn_rad) / (math.pi / 2) * QUAD_SEGS))
    turn = np.linspace(0.0, turn_rad, count + 1)
    arms = np.c_[
        arm[0] * np.cos(turn) - arm[1] * np.sin(turn), arm[0] * np.sin(turn) + arm[1] * np.cos(turn)
    ]
    return Polygon([middle, *(middle + arms)])


def _seen(part: Geometry, edge: Geometry, finished: Polygon, spared: Geometry) -> Geometry:
    """Return what of a strip is seen from its edge: through a thin wall it is no allowance."""
    if shapely.length(overlay.intersection(part, spared)) <= LINE_MM:
        return part
    parts = polygons(overlay.difference(part, finished))
    seen: Geometry = overlay.union([one for one in parts if shapely.dwithin(one, edge, LINE_MM)])
    return seen


def _shapes(made: Any) -> list[Geometry]:
    """Return an array of geometry as a list that types can follow."""
    return list(np.asarray(made))
