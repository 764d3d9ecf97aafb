"""Paths with few corners: never nearer to the form, as little foam left on as can be.

Each step adds foam and takes one corner away: an inner corner is bridged, an edge between
two outer corners gives way to the point where its neighbours meet.
"""

from __future__ import annotations

import heapq
import math

import shapely
from shapely import Polygon

Point = tuple[float, float]
_Step = tuple[Point | None, float, float]
"""Where the follower of a corner goes as its edge gives way, None where the corner is bridged; how
far the path strays then; and the area added."""


def few_corners(
    polygon: Polygon,
    *,
    tolerance_mm: float,
    most_corners: int = 1_000_000,
    farthest_mm: float = 0.0,
) -> Polygon:
    """Return a polygon that covers `polygon`, with fewer corners; holes that close are left out.

    First every step that strays no farther than `tolerance_mm` is taken; then, while
    there are more than `most_corners`, the step that leaves on least foam, as long as it
    strays no farther than `farthest_mm`. The outline itself comes back where that
    would spoil it.
    """
    solid = shapely.orient_polygons(polygon)
    rings = []
    for line in (solid.exterior, *solid.interiors):
        ring = _Ring([(float(x), float(y)) for x, y in shapely.get_coordinates(line)[:-1]])
        ring.thin_out(by_area=False, farthest=tolerance_mm, most=3)
        if most_corners < ring.count:
            ring.thin_out(by_area=True, farthest=farthest_mm, most=most_corners)
        rings.append(ring.corners())
    found = Polygon(rings[0], rings[1:])
    # Half a micrometre of room: an edge kept as it is must count as covered.
    if not found.is_valid or not found.buffer(5e-7).covers(solid):
        return solid
    return found


class _Ring:
    """A ring of corners, foam on its left, that can lose corners one by one."""

    def __init__(self, points: list[Point]) -> None:
        count = len(points)
        self.points = points
        self.strayed = [0.0] * count
        self.before = [(k - 1) % count for k in range(count)]
        self.after = [(k + 1) % count for k in range(count)]
        self.alive = [True] * count
        self.version = [0] * count
        self.count = count

    def corners(self) -> list[Point]:
        return [point for point, alive in zip(self.points, self.alive, strict=True) if alive]

    def thin_out(self, *, by_area: bool, farthest: float, most: int) -> None:
        """Take the least step again and again until none is small enough or few are left."""
        queue: list[tuple[float, int, int, _Step]] = []

        def offer(k: int) -> None:
            step = self._step(k)
            if step is not None and step[1] <= farthest:
                cost = step[2] if by_area else step[1]
                heapq.heappush(queue, (cost, k, self.version[k], step))

        for k in range(len(self.points)):
            if self.alive[k]:
                offer(k)
        while queue and self.count > max(3, most):
            _, k, version, step = heapq.heappop(queue)
            if not self.alive[k] or version != self.version[k]:
                continue
            near = self._take(k, step)
            for corner in near:
                self.version[corner] += 1
            for corner in near:
                offer(corner)

    def _step(self, k: int) -> _Step | None:
        """Return the step that takes corner k away: where it is an inner one it is bridged, where
        it and its follower are outer ones the edge between them gives way; None otherwise."""
        points, follower = self.points, self.after[k]
        ax, ay = points[self.before[k]]
        bx, by = points[k]
        cx, cy = points[follower]
        into_x, into_y, edge_x, edge_y = bx - ax, by - ay, cx - bx, cy - by
        bend = into_x * edge_y - into_y * edge_x
        if bend <= 0:
            chord = math.dist((ax, ay), (cx, cy))
            if chord == 0.0:
                return None
            return None, -bend / chord + self.strayed[k], -bend / 2
        dx, dy = points[self.after[follower]]
        out_x, out_y = dx - cx, dy - cy
        if edge_x * out_y - edge_y * out_x <= 0:
            return None
        turn = into_x * out_y - into_y * out_x
        length = math.dist((bx, by), (cx, cy))
        if turn <= 1e-12 * math.hypot(into_x, into_y) * math.hypot(out_x, out_y) or length == 0.0:
            return None
        reach = (edge_x * out_y - edge_y * out_x) / turn
        meet_x, meet_y = bx + into_x * reach, by + into_y * reach
        area = abs(edge_x * (meet_y - cy) - edge_y * (meet_x - cx)) / 2
        strayed = max(self.strayed[k], self.strayed[follower])
        return (meet_x, meet_y), 2 * area / length + strayed, area

    def _take(self, k: int, step: _Step) -> list[int]:
        """Take the step; return the corners whose own steps have changed."""
        meet, strayed, _ = step
        first, last = self.before[k], self.after[k]
        changed = [self.before[first], first, last]
        if meet is None:
            for side in (first, last):
                self.strayed[side] = max(self.strayed[side], strayed)
        else:
            self.points[last] = meet
            self.strayed[last] = strayed
            changed.append(self.after[last])
        self.after[first], self.before[last] = last, first
        self.alive[k] = False
        self.count -= 1
        return changed
