"""One walk through slots that share edges: each cut once, as little as can be run twice.

Slots that share edges form a net. Where every line is closed before the wire goes on, it
runs back along most of what it has cut; a walk through the net as a postman's runs twice
only between crossings with an odd number of ways (Edmonds and Johnson, Mathematical
Programming 5, 1973; from memory). The exact pairing does not heed the order, so the walk
is greedy: on along what is uncut, else to the nearest crossing that has some, by a handful
of rules at crossings, of which the best is kept.

What keeps the order sound: no cut may part a lump of several pieces from the foam that
stays. So a piece, a plug or a lump of waste comes free alone, and the wire never cuts
through foam that nothing holds. Some cut is always left that may be made: were every uncut
stretch the last hold between two lumps, they would hold together as a tree, which has leaves.
"""

from __future__ import annotations

import heapq
import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon, STRtree

from wirepath import overlay
from wirepath.model import Layout, Move, WireLine
from wirepath.routing.sharing import stretch

NODE_MM = 0.03
"""Crossings nearer than this are one: lines that run on top of each other differ by less."""

BESIDE_MM = 0.1
"""How far beside a stretch it is asked in which lump it lies."""

LEAST_GAIN = 0.02
"""Share of all ways through foam that another walk must save: for less it is not changed."""

NO_FOAM = -1

LEAST_MM2 = 1.0
"""Smaller lumps are crumbs."""

Xy = tuple[float, float]
Geometries = NDArray[np.object_]
_Part = tuple[int, tuple[float, int], tuple[float, int]]
"""A stretch of a line: which, and where it starts and stops, each a distance and a crossing."""


@dataclass(frozen=True, slots=True)
class _Way:
    """A stretch between two crossings: what is cut in one go, or run along once it is cut."""

    a: int
    b: int
    points: tuple[Xy, ...]
    move: Move
    sides: tuple[int, int]
    length_mm: float

    def along(self, start: int) -> tuple[Xy, ...]:
        """Return the points from the crossing `start` on."""
        return self.points if start == self.a else self.points[::-1]

    def other(self, node: int) -> int:
        """Return the crossing at the other end."""
        return self.b if node == self.a else self.a


Rule = Callable[[float, bool], float]
"""What decides at a crossing: least of the turn (left, rad) and whether a lump comes free."""

RULES: tuple[Rule, ...] = (
    lambda turn, frees: abs(turn),
    lambda turn, frees: turn,
    lambda turn, frees: -turn,
    lambda turn, frees: abs(turn) - 10 * frees,
    lambda turn, frees: turn - 10 * frees,
    lambda turn, frees: -turn - 10 * frees,
    lambda turn, frees: abs(turn) + 10 * frees,
)


def walked(
    moves: Sequence[Move],
    layout: Layout,
    lines: Sequence[WireLine],
    *,
    kerf_mm: float,
    overrun_mm: float,
) -> list[Move]:
    """Return the moves of a pass, each trip from air to air walked anew where that is shorter.

    The cuts stay the same lines, perhaps the other way round and in another order. The last
    stretch that holds a piece is told as its own, on whichever of two lines it was.
    """
    net = _Net(moves, layout, lines, kerf_mm)
    found: list[Move] = []
    trip: list[Move] = []
    for move in (*moves, None):
        if move is not None and move.kind != "air":
            trip.append(move)
            continue
        if trip:
            found += _best(net, trip, overrun_mm)
            net.cut_all(trip)
        trip = []
        if move is not None:
            found.append(move)
    return found


def _best(net: _Net, trip: Sequence[Move], overrun_mm: float) -> Sequence[Move]:
    best, least = trip, (1 - LEAST_GAIN) * sum(one.line.length for one in trip)
    for rule in RULES:
        walk = _Walk(net, trip, rule, overrun_mm)
        tried = walk.moves(least)
        if tried is not None:
            best, least = tried, sum(one.line.length for one in tried)
    return best


class _Net:
    """The crossings and stretches of all cuts of a pass, and the lumps beside them."""

    def __init__(
        self, moves: Sequence[Move], layout: Layout, outlines: Sequence[WireLine], kerf_mm: float
    ) -> None:
        self.cuts = [one for one in moves if one.kind not in ("slot", "overrun", "air")]
        lines = np.array([one.line for one in self.cuts], dtype=object)
        ends = shapely.points([line.coords[at] for line in lines for at in (0, -1)])
        self.node = _merged(ends)
        self.at: dict[int, Xy] = {}
        self.named: dict[Xy, int] = {}
        for point, node in zip(shapely.get_coordinates(ends).tolist(), self.node, strict=True):
            self.at.setdefault(node, (point[0], point[1]))
            self.named[_rounded(point)] = node
        stops: list[list[tuple[float, int]]] = [
            [(0.0, self.node[2 * i]), (float(line.length), self.node[2 * i + 1])]
            for i, line in enumerate(lines)
        ]
        at, where = STRtree(lines).query(ends, predicate="dwithin", distance=NODE_MM)
        along = shapely.line_locate_point(lines[where], ends[at])
        for end, line, position in zip(at, where, along, strict=True):
            stops[line].append((float(position), self.node[end]))
        raw = [
            (index, start, stop)
            for index, line in enumerate(lines)
            for start, stop in _stretches(sorted(stops[index]), line.length)
        ]
        lumps, cells = _lumps(lines, layout, kerf_mm)
        sides = _sides(lines, raw, cells)
        self.areas = shapely.area(lumps)
        self.piece = _pieces(lumps, outlines)
        self.ways = [
            self._way(index, start, stop, side)
            for (index, start, stop), side in zip(raw, sides, strict=True)
        ]
        self.done: set[int] = set()
        self.near: dict[int, list[int]] = defaultdict(list)
        for number, way in enumerate(self.ways):
            self.near[way.a].append(number)
            if way.b != way.a:
                self.near[way.b].append(number)

    def _way(
        self, index: int, start: tuple[float, int], stop: tuple[float, int], sides: tuple[int, int]
    ) -> _Way:
        move = self.cuts[index]
        part = stretch(move.line, start[0], stop[0])
        points = [self.at[start[1]], *part.coords, self.at[stop[1]]]
        kept = [points[0]] + [b for a, b in pairwise(points) if a != b]
        return _Way(start[1], stop[1], tuple(kept), move, sides, float(part.length))

    def cut_all(self, trip: Sequence[Move]) -> None:
        """Take note that all cuts of a trip are made."""
        own = {id(one) for one in trip}
        self.done |= {i for i, way in enumerate(self.ways) if id(way.move) in own}


def _rounded(point: Sequence[float]) -> Xy:
    return round(point[0], 6), round(point[1], 6)


def _merged(points: Geometries) -> list[int]:
    """Return for each point the first one that lies within `NODE_MM`, over chains of them."""
    first = list(range(len(points)))
    for one, other in sorted(
        STRtree(points).query(points, predicate="dwithin", distance=NODE_MM).T.tolist()
    ):
        a, b = one, other
        while first[a] != a:
            a = first[a]
        while first[b] != b:
            b = first[b]
        first[max(a, b)] = min(a, b)
    for index, root in enumerate(first):
        first[index] = first[root]
    return first


def _stretches(
    stops: Sequence[tuple[float, int]], length: float
) -> Iterator[tuple[tuple[float, int], tuple[float, int]]]:
    before = stops[0]
    for stop in stops[1:]:
        if stop[1] != before[1] or stop[0] - before[0] > 10 * NODE_MM:
            yield before, stop
            before = stop


def _lumps(lines: Geometries, layout: Layout, kerf_mm: float) -> tuple[Geometries, Geometries]:
    """Return the lumps that are left in the end, and for each the cell of lines it lies in."""
    block = shapely.box(0, 0, layout.width_mm, layout.height_mm)
    slots = overlay.union(shapely.buffer(lines, kerf_mm / 2))
    lumps = shapely.get_parts(overlay.difference(block, slots))
    lumps = lumps[shapely.area(lumps) > LEAST_MM2]
    thin = overlay.union(shapely.buffer(lines, BESIDE_MM / 2))
    around = shapely.buffer(block, 10 + kerf_mm, join_style="mitre")
    cells = shapely.get_parts(overlay.difference(around, thin))
    inside, which = STRtree(cells).query(shapely.point_on_surface(lumps), predicate="within")
    # A neck narrower than the kerf leaves two lumps in one cell: they come free together.
    largest: dict[int, int] = {}
    for lump, cell in zip(inside.tolist(), which.tolist(), strict=True):
        if lumps[lump].area > (lumps[largest[cell]].area if cell in largest else 0.0):
            largest[cell] = lump
    order = sorted(largest)
    return lumps[[largest[cell] for cell in order]], cells[order]


def _sides(lines: Geometries, raw: Sequence[_Part], cells: Geometries) -> list[tuple[int, int]]:
    """Return the lumps left and right of each stretch, `NO_FOAM` for none."""
    middles = np.array([(start[0] + stop[0]) / 2 for _, start, stop in raw])
    own = lines[[index for index, _, _ in raw]]
    here, on = (
        shapely.get_coordinates(shapely.line_interpolate_point(own, middles + by))
        for by in (-0.01, 0.01)
    )
    ahead = (on - here) / np.hypot(*(on - here).T)[:, None]
    normal = np.column_stack((-ahead[:, 1], ahead[:, 0])) * BESIDE_MM
    found = np.full((2, len(raw)), NO_FOAM)
    for row, side in enumerate((normal, -normal)):
        points = shapely.points((here + on) / 2 + side)
        at, cell = STRtree(cells).query(points, predicate="within")
        found[row, at] = cell
    return [(int(a), int(b)) for a, b in found.T]


def _pieces(lumps: Geometries, outlines: Sequence[WireLine]) -> dict[int, int]:
    """Return which lumps are pieces, and which."""
    own = [line for line in outlines if not line.is_hole]
    tree = STRtree([Polygon(line.ring) for line in own])
    at, which = tree.query(shapely.point_on_surface(lumps), predicate="within")
    return {int(lump): own[line].piece for lump, line in zip(at, which, strict=True)}


class _Walk:
    """One greedy walk through what a trip has to cut."""

    def __init__(self, net: _Net, trip: Sequence[Move], rule: Rule, overrun_mm: float) -> None:
        self.net, self.rule, self.overrun_mm = net, rule, overrun_mm
        own = {id(one) for one in trip}
        self.left = {i for i, way in enumerate(net.ways) if id(way.move) in own}
        self.done = set(net.done)
        self.start = net.named.get(_rounded(trip[0].line.coords[0]), NO_FOAM)
        # The foam that stays: what is largest. Pieces lie free on it one after the other.
        self.root = int(np.argmax(net.areas)) if len(net.areas) else NO_FOAM
        self.holds: dict[int, Counter[int]] = defaultdict(Counter)
        for number, way in enumerate(net.ways):
            one, other = way.sides
            if number not in self.done and one != other and NO_FOAM not in way.sides:
                self.holds[one][other] += 1
                self.holds[other][one] += 1
        self.found: list[Move] = []
        self.walked_mm = 0.0

    def moves(self, most_mm: float) -> list[Move] | None:
        """Return the moves of the walk, or None if they come to `most_mm` or more."""
        if self.start == NO_FOAM:
            return None
        here, ahead = self.start, (1.0, 0.0)
        while self.left:
            chosen = self._chosen(here, ahead)
            if chosen is None:
                there = self._nearest(here, lambda node: self._may_cut_at(node))
                if there is None or self.walked_mm > most_mm:
                    return None
                here, ahead = there, self._heading()
                continue
            here, ahead = self._cut(chosen, here)
        if self._nearest(here, lambda node: node == self.start) is None:
            return None
        return self.found if self.walked_mm < most_mm else None

    def _may_cut_at(self, node: int) -> bool:
        return any(
            number in self.left and self._freed(number) is not None
            for number in self.net.near[node]
        )

    def _chosen(self, here: int, ahead: Xy) -> tuple[int, list[int]] | None:
        """Return the stretch to cut next from a crossing and the lumps that it frees."""
        options = []
        for number in self.net.near[here]:
            freed = self._freed(number) if number in self.left else None
            if freed is not None:
                turn = _turn(ahead, self.net.ways[number].along(here))
                options.append((round(self.rule(turn, bool(freed)), 6), number, freed))
        if not options:
            return None
        _, number, freed = min(options)
        return number, freed

    def _freed(self, number: int) -> list[int] | None:
        """Return which lumps come free by a cut; None where it may not be made."""
        one, other = self.net.ways[number].sides
        if one == other or NO_FOAM in (one, other) or self.holds[one][other] > 1:
            return []
        parted = [self._joined(one, other), self._joined(other, one)]
        if other in parted[0]:
            return []
        loose = [part for part in parted if self.root not in part]
        return sorted(set().union(*loose)) if all(len(part) == 1 for part in loose) else None

    def _joined(self, start: int, goal: int) -> set[int]:
        """Return the lumps that hang on `start` otherwise than by `goal`; some, if it is one."""
        found, front = {start}, [start]
        while front:
            here = front.pop()
            for there, count in self.holds[here].items():
                if count and there not in found and (here, there) != (start, goal):
                    if there == goal:
                        return {start, goal}
                    found.add(there)
                    front.append(there)
        return found

    def _cut(self, chosen: tuple[int, list[int]], here: int) -> tuple[int, Xy]:
        """Cut a stretch from a crossing; return where it ends, and heading where."""
        number, freed = chosen
        way = self.net.ways[number]
        self.left.discard(number)
        self.done.add(number)
        one, other = way.sides
        if one != other and NO_FOAM not in way.sides:
            self.holds[one][other] -= 1
            self.holds[other][one] -= 1
        points = way.along(here)
        pieces = [self.net.piece[lump] for lump in freed if lump in self.net.piece]
        is_line = way.move.kind == "outline"
        self._add(replace(way.move, piece=pieces[-1]) if pieces and is_line else way.move, points)
        here = way.other(here)
        if freed and self.overrun_mm > 0:
            self._run_on(way, here, _heading(points))
        return here, _heading(points)

    def _run_on(self, way: _Way, here: int, ahead: Xy) -> None:
        """Run on in earlier slots, as straight on as they lead, and come back."""
        points, left, before = [self.net.at[here]], self.overrun_mm, way
        while left > NODE_MM:
            options = [
                (round(abs(_turn(ahead, self.net.ways[n].along(here))), 6), n)
                for n in self.net.near[here]
                if n in self.done and self.net.ways[n] is not before
            ]
            if not options:
                break
            before = self.net.ways[min(options)[1]]
            line = LineString(before.along(here))
            on_mm = min(left, line.length)
            points += [(x, y) for x, y in stretch(line, 0.0, on_mm).coords][1:]
            left -= line.length
            here, ahead = before.other(here), _heading(points)
        if len(points) > 1:
            on = LineString(points)
            self.found.append(replace(way.move, kind="overrun", line=on))
            self.found.append(replace(way.move, kind="slot", line=on.reverse()))
            self.walked_mm += 2 * on.length

    def _add(self, move: Move, points: Sequence[Xy]) -> None:
        """Add a move, or lengthen the last one if it is of the same line."""
        line = LineString(points)
        self.walked_mm += line.length
        last = self.found[-1] if self.found else None
        if last is not None and (last.kind, last.piece) == (move.kind, move.piece):
            both = LineString([*last.line.coords, *line.coords[1:]])
            self.found[-1] = replace(last, line=both)
        else:
            self.found.append(replace(move, line=line))

    def _heading(self) -> Xy:
        return _heading(list(self.found[-1].line.coords)) if self.found else (1.0, 0.0)

    def _nearest(self, here: int, is_end: Callable[[int], bool]) -> int | None:
        """Run through slots to the nearest crossing that is an end (Dijkstra); None for none."""
        best, came = {here: 0.0}, {}
        queue = [(0.0, here)]
        while queue:
            far, node = heapq.heappop(queue)
            if far > best[node]:
                continue
            if is_end(node):
                break
            for number in self.net.near[node]:
                way = self.net.ways[number]
                there, length = way.other(node), far + way.length_mm
                if number in self.done and length < best.get(there, math.inf):
                    best[there], came[there] = length, (node, number)
                    heapq.heappush(queue, (length, there))
        else:
            return None
        end, steps = node, []
        while node != here:
            node, number = came[node]
            steps.append((node, number))
        points = [self.net.at[here]]
        for start, number in reversed(steps):
            points += self.net.ways[number].along(start)[1:]
        if len(points) > 1:
            move = self.net.ways[steps[0][1]].move
            self._add(replace(move, kind="slot", piece=None), points)
        return end


def _heading(points: Sequence[Sequence[float]]) -> Xy:
    (x, y), (u, v) = points[-2], points[-1]
    return u - x, v - y


def _turn(ahead: Xy, points: Sequence[Xy]) -> float:
    """Return the turn to the left in rad, -pi to pi, from a heading into a way."""
    (x, y), (u, v) = points[0], points[1]
    turn = math.atan2(v - y, u - x) - math.atan2(ahead[1], ahead[0])
    return (turn + math.pi) % math.tau - math.pi
