"""Where no foam may be left on for carving: beyond finished sides, before finished edges.

Worked out from the lines of the plan by strips square to them, a step at a time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, Point, Polygon

from wirepath import overlay
from wirepath.checking.finding import BUFFER_SHARE, DEPTH_MM, EXACT_MM

Vectors = NDArray[np.float64]

CORNER_DEG = 30.0
"""Where an outline turns further than this out of a finished edge, no foam stands beyond it."""

NEAR_ALLOWANCES = 3.0
"""How far along the outline from such a corner that holds, in allowances."""

NOWHERE = Polygon()


@dataclass(frozen=True, slots=True, kw_only=True)
class Bare:
    """Round one outline: where foam is not asked for, where it is none the less, where barred."""

    free: Geometry = NOWHERE
    owed: Geometry = NOWHERE
    barred: Geometry = NOWHERE


@dataclass(frozen=True, slots=True)
class _Edges:
    """Straight edges with foam at one side: their ends, and unit vectors away from the foam."""

    begin: Vectors
    end: Vectors
    outward: Vectors

    def strips(self, depth_mm: float) -> NDArray[np.object_]:
        """Return the rectangles in front of the edges."""
        deep = self.outward * depth_mm
        corners = np.stack([self.begin, self.end, self.end + deep, self.begin + deep], axis=1)
        return np.asarray(shapely.polygons(corners))


def before_edges(outline: Polygon, lines: Sequence[LineString], allowance_mm: float) -> Bare:
    """Return where no foam may stand before the stretches of an outline that `lines` are.

    An edge beside them keeps its allowance, also where that stands before a finished one;
    but from a corner that stands out, nothing reaches past the finished edge's own line.
    """
    rim = shapely.buffer(outline.boundary, 10 * EXACT_MM)
    own = [line for line in lines if rim.covers(line)]
    if not own or not allowance_mm:
        return Bare()
    slack = DEPTH_MM + allowance_mm * BUFFER_SHARE
    reach = allowance_mm + slack + 1.0
    drawn = shapely.multilinestrings(own)
    tube = shapely.buffer(drawn, EXACT_MM, cap_style="flat")
    others = shapely.line_merge(overlay.difference(outline.boundary, tube))
    rest = [one for one in shapely.get_parts(others) if one.length > 10 * EXACT_MM]
    finished = _edges(own, outline)
    front = [*finished.strips(reach), *_fans(finished, reach)]
    square: list[Geometry] = []
    cleared: list[Geometry] = []
    for line in own:
        if line.is_closed:
            continue
        for corner, ahead, outward in _line_ends(line, outline):
            part, turn = _turn(corner, ahead, outward, rest)
            if 0 < turn <= CORNER_DEG:
                front.append(_sector(corner, outward, ahead, turn, reach))
            if turn <= CORNER_DEG or part is None:
                continue
            square.append(_square(corner, ahead, outward, 2 * allowance_mm + reach))
            far_off = [one for one in rest if one is not part] + _past(part, corner, allowance_mm)
            here = _square(corner, ahead, outward, allowance_mm)
            held = _held(far_off, outline, allowance_mm + slack, here)
            cleared.append(overlay.difference(here, held))
    bare = overlay.difference(overlay.union(front), outline)
    free = overlay.union([bare, *square])
    held = _held(rest, outline, allowance_mm + slack, bare)
    barred = overlay.union([overlay.difference(bare, held), *cleared])
    beside = _edges([shapely.segmentize(one, allowance_mm / 2) for one in rest], outline)
    strips = _near(beside.strips(allowance_mm - slack), free)
    seen = shapely.length(overlay.intersection(strips, drawn)) <= EXACT_MM
    owed = overlay.difference(overlay.union(strips[seen]), overlay.union(square))
    return Bare(free=free, owed=owed, barred=shapely.buffer(barred, -DEPTH_MM))


def _edges(lines: Sequence[LineString], outline: Polygon) -> _Edges:
    """Return the straight edges of lines that run along an outline."""
    pairs = [np.stack([p[:-1], p[1:]], axis=1) for p in map(shapely.get_coordinates, lines)]
    ends = np.concatenate(pairs) if pairs else np.zeros((0, 2, 2))
    ends = ends[np.hypot(*(ends[:, 1] - ends[:, 0]).T) > EXACT_MM]
    steps = ends[:, 1] - ends[:, 0]
    outward = np.c_[steps[:, 1], -steps[:, 0]] / np.hypot(*steps.T)[:, None]
    middles = ends.mean(axis=1)
    hair = np.minimum(np.hypot(*steps.T) / 8, DEPTH_MM / 10)[:, None]
    shapely.prepare(outline)
    inside = shapely.contains_xy(outline, middles + outward * hair)
    outward[inside] *= -1
    return _Edges(ends[:, 0], ends[:, 1], outward)


def _fans(edges: _Edges, reach: float) -> list[Polygon]:
    """Return the sectors in front of the points where finished edges turn outward."""
    order = {(x, y): k for k, (x, y) in enumerate(edges.begin.tolist())}
    fans = []
    for k, (x, y) in enumerate(edges.end.tolist()):
        after = order.get((x, y))
        if after is None:
            continue
        out, ahead = edges.outward[k], edges.end[k] - edges.begin[k]
        ahead = ahead / np.hypot(*ahead)
        onto = edges.outward[after]
        turn = math.degrees(math.atan2(float(onto @ ahead), float(onto @ out)))
        if turn > 0:
            fans.append(_sector(np.array([x, y]), out, ahead, turn, reach))
    return fans


def _line_ends(line: LineString, outline: Polygon) -> list[tuple[Vectors, Vectors, Vectors]]:
    """Return both ends of a finished line: where, which way it runs out, which way foam is not."""
    found = []
    points = shapely.get_coordinates(line)
    for way in (points, points[::-1]):
        end = _edges([LineString(way[-2:])], outline)
        ahead = (way[-1] - way[-2]) / math.dist(way[-1], way[-2])
        if len(end.begin):
            found.append((way[-1], ahead, end.outward[0]))
    return found


def _turn(
    corner: Vectors, ahead: Vectors, outward: Vectors, rest: Sequence[LineString]
) -> tuple[LineString | None, float]:
    """Return the outline's next part past the end of a finished line, and how far it turns.

    In degrees, positive away from the open side: at a corner that stands out.
    """
    here = Point(corner)
    part = min(rest, key=lambda one: float(one.boundary.distance(here)), default=None)
    if part is None or part.boundary.distance(here) > DEPTH_MM:
        return None, 0.0
    points = shapely.get_coordinates(part)
    if math.dist(points[0], corner) > math.dist(points[-1], corner):
        points = points[::-1]
    steps = points - corner  # the first ones are what the tube round the line left
    step = steps[np.argmax(np.hypot(*steps.T) > 10 * EXACT_MM)]
    return part, math.degrees(math.atan2(-float(step @ outward), float(step @ ahead)))


def _past(part: LineString, corner: Vectors, allowance_mm: float) -> list[LineString]:
    """Return a part of the outline without what lies near the corner that it begins at."""
    points = shapely.get_coordinates(part)
    if math.dist(points[0], corner) > math.dist(points[-1], corner):
        points = points[::-1]
    near = NEAR_ALLOWANCES * allowance_mm
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    # Edges that begin within reach belong to the corner whole.
    kept = points[np.searchsorted(run, near) :] if run[-1] > near else points[:0]
    return [LineString(kept)] if len(kept) > 1 else []


def _held(
    parts: Sequence[LineString], outline: Polygon, reach: float, region: Geometry
) -> Geometry:
    """Return the most that edges beside finished ones may hold of a region before these."""
    strips = shapely.buffer(_edges(parts, outline).strips(reach), EXACT_MM)
    inner = [shapely.get_coordinates(one)[1:-1] for one in parts]
    corners = np.concatenate([np.zeros((0, 2)), *inner])[_juts(parts)]
    discs = np.asarray(shapely.buffer(shapely.points(corners), reach))
    held: Geometry = overlay.union([*_near(strips, region), *_near(discs, region)])
    return held


def _near(shapes: NDArray[np.object_], region: Geometry) -> NDArray[np.object_]:
    shapely.prepare(region)
    found: NDArray[np.object_] = shapes[shapely.intersects(region, shapes)]
    return found


def _juts(parts: Sequence[LineString]) -> NDArray[np.bool_]:
    """Return which inner points of lines are corners at all: discs stand at those only."""
    found = []
    for part in parts:
        points = shapely.get_coordinates(part)
        steps = np.diff(points, axis=0)
        heading = np.arctan2(steps[:, 1], steps[:, 0])
        turn = (np.diff(heading) + np.pi) % (2 * np.pi) - np.pi
        found.append(np.abs(turn) > 1e-9)
    return np.concatenate(found) if found else np.zeros(0, dtype=bool)


def _sector(
    corner: Vectors, outward: Vectors, ahead: Vectors, turn_deg: float, reach: float
) -> Polygon:
    """Return the sector from one direction towards another square to it, its radius at least
    the reach."""
    turns = np.radians(np.linspace(0, turn_deg, 2 + int(turn_deg / 10)))
    arms = np.outer(np.cos(turns), outward) + np.outer(np.sin(turns), ahead)
    return Polygon([corner, *(corner + arms * reach * 1.01)])


def _square(corner: Vectors, ahead: Vectors, outward: Vectors, side: float) -> Polygon:
    on, out = ahead * side, outward * side
    return Polygon([corner, corner + on, corner + on + out, corner + out])
