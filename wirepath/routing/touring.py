"""The tour: the tree of links walked depth first, as moves of one unbroken pass."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from types import MappingProxyType

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon, box

from wirepath.geometry import place
from wirepath.model import Layout, Move, MoveKind, Pass, Piece, WireLine
from wirepath.routing.cornering import cornered
from wirepath.routing.landing import asked_place, landed
from wirepath.routing.linking import (
    OUTSIDE,
    SIDES,
    Link,
    block_links,
    edge_way,
    hole_links,
    hosts,
    side_gaps,
    side_lines,
)
from wirepath.routing.parting import partings
from wirepath.routing.postman import walked
from wirepath.routing.sharing import cut_once
from wirepath.routing.slitting import slits
from wirepath.routing.sparing import Spared
from wirepath.routing.standing import standing_links
from wirepath.routing.threading import inner_first, is_threaded, thread_link
from wirepath.routing.walls import Walls
from wirepath.routing.webs import off_thin_waste
from wirepath.workshop import Cutting, Rig, Side

DECIMALS = 3
"""Points are given to 0.001 mm, as the coordinate files state them: plan and file agree."""

Points = NDArray[np.float64]

TABLE = Rig()


def route(
    layout: Layout,
    lines: tuple[WireLine, ...],
    pieces: tuple[Piece, ...],
    cutting: Cutting,
    rig: Rig = TABLE,
    *,
    lump_mm2: float = math.inf,
    spared: Spared = MappingProxyType({}),
    only: Collection[int] | None = None,
) -> tuple[Pass, ...]:
    """Return the passes that cut all `lines` of a layout; none where there are no lines.

    Or `only` those of some pieces, by their index: the others, and clamps, are kept off.

    Every threaded hole is a pass of its own, inner ones first; all else is the last pass.

    Foam is cut once along every line and once along every link; a link is left again
    through its own slot. Holes, and what is linked to a line from behind it, are cut
    before the line closes. Between two entries the wire goes round the block in air.
    Where the wire is level, what lies higher comes first; else the largest piece last.
    Waste that is to be parted is left in lumps of `lump_mm2` at most. Lines of pieces in
    `spared` begin on the edges that stand there, where a way leads to them.
    The cost grows with the lines' points, and with the square of their number for the
    distances of their boxes alone.
    """
    if not lines:
        return ()
    host = hosts(lines)
    threaded = [
        index
        for index, line in enumerate(lines)
        if line.is_hole
        and is_threaded(pieces[line.piece - 1], cutting)
        and (only is None or index in only)
    ]
    sides = free_sides(cutting, rig)
    links = _links(layout, lines, pieces, cutting, rig, spared, only)
    rank = {link.child: -at for at, link in enumerate(links)} if rig.wire_lies == "level" else {}
    threads = [
        thread_link(lines, hole, [i for i in host if host[i] == hole], cutting)
        for hole in inner_first(lines, threaded)
    ]
    if cutting.waste != "whole":
        links += partings(
            lines,
            [*links, *threads],
            box(0, 0, layout.width_mm, layout.height_mm),
            side_lines(layout, sides),
            kerf_mm=cutting.kerf_mm,
            lump_mm2=lump_mm2,
            first_junction=min([OUTSIDE, *(link.child for link in links)]) - 1,
        )
    tour = _Tour(layout, lines, links, cutting, sides, rank, rig.waits_at)
    trips = [tour.walk(link) for link in threads]
    return tuple(
        Pass(
            layout=layout.number,
            number=number,
            moves=_hurried(
                _joined(
                    _swept(list(moves), layout, lines, pieces, cutting, rig, spared)
                    if only is None
                    else cornered(cut_once(list(moves), lines), lines, cutting)
                ),
                [pieces[line.piece - 1] for line in lines],
                cutting,
            ),
        )
        for number, moves in enumerate([*trips, tour.moves()], 1)
    )


def _hurried(moves: Iterable[Move], pieces: Sequence[Piece], cutting: Cutting) -> tuple[Move, ...]:
    """Return the moves of a pass, those back through slots at the feed that is asked for there.

    Not beside tapers: the wire leans, and its slot is its own only where it leans the same.
    """
    feed = cutting.slot_feed_mm_per_s
    if feed is None or any(piece.taper is not None for piece in pieces):
        return tuple(moves)
    return tuple(
        replace(move, feed_mm_per_s=feed) if move.kind == "slot" else move for move in moves
    )


def _swept(
    moves: Sequence[Move],
    layout: Layout,
    lines: Sequence[WireLine],
    pieces: Sequence[Piece],
    cutting: Cutting,
    rig: Rig,
    spared: Spared,
) -> list[Move]:
    """Return the moves of a pass with shared edges cut once, walked anew, and corners run."""
    once = cut_once(moves, lines)
    if _is_free(once, lines, pieces, cutting, rig, spared) and len(once) != len(moves):
        once = walked(once, layout, lines, kerf_mm=cutting.kerf_mm, overrun_mm=cutting.overrun_mm)
    return cornered(once, lines, cutting)


def _is_free(
    moves: Sequence[Move],
    lines: Sequence[WireLine],
    pieces: Sequence[Piece],
    cutting: Cutting,
    rig: Rig,
    spared: Spared,
) -> bool:
    """Return whether lines may be cut in any order, and from anywhere.

    They may not where foam rests on foam, a line begins where it was asked to or off
    a seam, waste is parted, corners are slowed or looped, or a piece has a taper.
    """
    here = [pieces[number - 1] for number in sorted({line.piece for line in lines})]
    return (
        rig.kind == "table"
        and rig.wire_lies != "level"
        and cutting.waste == "whole"
        and not any(line.slow or line.loops for line in lines)
        and not any(move.kind in ("thread", "slit", "hole") for move in moves)
        and not any(
            one.number in spared or one.taper is not None or asked_place(one) is not None
            for one in here
        )
    )


def _links(
    layout: Layout,
    lines: Sequence[WireLine],
    pieces: Sequence[Piece],
    cutting: Cutting,
    rig: Rig,
    spared: Spared,
    only: Collection[int] | None,
) -> list[Link]:
    """Return the links of all pools; of a level wire in the order in which they are joined."""
    sides = free_sides(cutting, rig)
    outlines = [
        index
        for index, line in enumerate(lines)
        if not line.is_hole and (only is None or index in only)
    ]
    host = hosts(lines)
    in_block = [index for index in outlines if index not in host]
    level = rig.wire_lies == "level"
    walls = None
    if only is not None:
        reach = cutting.widest_kerf_mm / 2
        clamps = [clamp.polygon.buffer(reach, join_style="mitre") for clamp in rig.clamps]
        walls = Walls(lines, only, rig.shift_error_mm, clamps)
    if level:
        ways = {index: edge_way(layout, lines[index].ring, sides) for index in in_block}
        if walls is not None:
            ways = walls.edge_ways(layout, in_block, sides)
        links = standing_links(lines, OUTSIDE, in_block, ways, walls)
    else:
        links = block_links(layout, lines, in_block, sides, OUTSIDE - 1, walls)
    for hole in sorted(set(host.values())):
        inside = [index for index in outlines if host.get(index) == hole]
        if level:
            links += standing_links(lines, hole, inside, {})
            continue
        lowest = min((link.child for link in links), default=OUTSIDE)
        links += hole_links(lines, hole, inside, min(lowest, OUTSIDE) - 1)
    placements = {one.piece: one for one in layout.placements}
    for outline in outlines:
        number = lines[outline].piece
        holes = [i for i, line in enumerate(lines) if line.is_hole and line.piece == number]
        if holes and not is_threaded(pieces[number - 1], cutting):
            placed = place(pieces[number - 1].outline, placements[number])
            links += slits(lines, outline, holes, placed, cutting)
    links = landed(
        layout, lines, links, pieces, sides, cutting, spared, only=only, keep_parents=level
    )
    fixed = {
        index
        for index, line in enumerate(lines)
        if line.piece in spared or asked_place(pieces[line.piece - 1]) is not None
    }
    return off_thin_waste(layout, lines, links, sides, cutting, fixed)


def free_sides(cutting: Cutting, rig: Rig) -> tuple[Side, ...]:
    """Return the sides where the wire may enter; a block before a level wire stands on one."""
    standing = ("lower",) if rig.wire_lies == "level" else ()
    return cutting.entry_sides or tuple(side for side in SIDES if side not in standing)


def _joined(moves: Iterable[Move]) -> Iterator[Move]:
    """Yield the moves in rounded points, each starting exactly where the last one ended.

    A point worked out along a line and the same point on a link may round to
    neighbouring thousandths of a mm: the first one counts.
    """
    here: Points | None = None
    for move in moves:
        points = np.round(shapely.get_coordinates(move.line), DECIMALS) + 0.0
        if here is not None:
            assert np.abs(points[0] - here).max() < 2 * 10**-DECIMALS, "the wire would jump"
            points[0] = here
        moved = np.any(np.diff(points, axis=0) != 0, axis=1)
        if moved.any():
            points = points[np.concatenate(([True], moved))]
            here = points[-1]
            yield replace(move, line=LineString(points))


class Ring:
    """A closed line as points and their distances along it."""

    def __init__(self, ring: LineString) -> None:
        self.line = ring
        self.points: Points = shapely.get_coordinates(ring)
        steps = np.hypot(*np.diff(self.points, axis=0).T)
        self.along = np.concatenate(([0.0], np.cumsum(steps)))
        self.length = float(self.along[-1])

    def position(self, point: tuple[float, float]) -> float:
        """Return how far along the ring the point on it nearest to `point` lies."""
        return float(shapely.line_locate_point(self.line, shapely.points(point)))

    def ahead(self, start: float, point: tuple[float, float]) -> float:
        """Return how far after `start` the ring comes to `point`; at once where it is the start."""
        way = (self.position(point) - start) % self.length
        return 0.0 if self.length - way < 10**-DECIMALS else way

    def stretch(self, start: float, length: float) -> Points:
        """Return the points from `start` on for `length`, both ends included, (n, 2)."""
        end = start + length
        along = np.concatenate((self.along[:-1], self.along[:-1] + self.length))
        points = np.concatenate((self.points[:-1], self.points[:-1]))
        between = (along > start + 1e-9) & (along < end - 1e-9)
        ends = [self._at(start), self._at(end)]
        return np.concatenate((ends[:1], points[between], ends[1:]))

    def _at(self, position: float) -> Points:
        position %= self.length
        return np.array([np.interp(position, self.along, axis) for axis in self.points.T])


def _ranked(
    stops: Sequence[tuple[float, Link]], rank: Mapping[int, int]
) -> list[tuple[float, Link]]:
    """Return stops by rank, slits and parting cuts when the wire first comes by."""
    free = [stop for stop in stops if stop[1].kind in ("slit", "parting")]
    free.sort(key=lambda stop: stop[0])
    rest = (stop for stop in stops if stop[1].kind not in ("slit", "parting"))
    found: list[tuple[float, Link]] = []
    for stop in sorted(rest, key=lambda stop: rank[stop[1].child]):
        while free and free[0][0] <= stop[0]:
            found.append(free.pop(0))
        found.append(stop)
    return found + free


class _Tour:
    """The walk itself: `moves` gives those from air to air in order."""

    def __init__(
        self,
        layout: Layout,
        lines: Sequence[WireLine],
        links: Sequence[Link],
        cutting: Cutting,
        sides: Sequence[Side],
        rank: Mapping[int, int],
        waits_at: tuple[float, float] | None,
    ) -> None:
        """Take `rank` as the order of lines that hang on one; empty for that along the line."""
        self.waits_at = waits_at
        self.layout = layout
        self.sides, self.rank = sides, rank
        self.lines = lines
        self.cutting = cutting
        self.rings = [Ring(line.ring) for line in lines]
        self.areas = [float(Polygon(line.ring).area) for line in lines]
        self.children: dict[int, list[Link]] = {}
        for link in links:
            self.children.setdefault(link.parent, []).append(link)
        # Less than half a kerf outside the foam the wire would melt its edge.
        self.away_mm = max(cutting.lead_in_mm, cutting.kerf_mm)

    def moves(self) -> Iterator[Move]:
        """Yield all moves, from the first lead-in to the last way out."""
        here: tuple[float, float] | None = None
        for entry in self._entries():
            outside = self._outside(entry.start)
            if here is not None and here != outside:
                yield self._move("air", self._round_block(here, outside))
            yield from self._trip(entry, outside)
            here = outside

    def _trip(self, entry: Link, outside: tuple[float, float]) -> Iterator[Move]:
        """Yield the moves of one entry, from `outside` and back to it."""
        lead_in = self._move("air", [outside, entry.start])
        if lead_in.line.length > 0:
            yield lead_in
        yield from self.walk(entry)
        if lead_in.line.length > 0:
            yield self._reversed(lead_in, "air")

    def walk(self, link: Link) -> Iterator[Move]:
        """Yield the moves of a link, of its line and all behind it, and of the way back.

        A list of moves and links still to come, last first, stands in for recursion:
        a row of a thousand linked pieces is as deep.
        """
        to_come: list[Move | Link] = [link]
        while to_come:
            item = to_come.pop()
            if isinstance(item, Link):
                to_come.extend(reversed(self._expanded(item)))
            elif item.line.length > 0:
                yield item

    def _expanded(self, link: Link) -> list[Move | Link]:
        """Return the moves of a link and its line, with the links to children in between."""
        if link.child < OUTSIDE:
            way = self._move(link.kind, [link.start, link.end])
            return [way, *self._small_first(link.child), self._reversed(way, "slot")]
        line, ring = self.lines[link.child], self.rings[link.child]
        its_piece = line.piece if link.kind in ("slit", "thread") else None
        way = self._move(link.kind, [link.start, link.end], its_piece)
        start = ring.position(link.end)
        kind: MoveKind = "hole" if line.is_hole else "outline"
        items: list[Move | Link] = [way]
        done = 0.0
        for at, child in self._stops(link.child, start):
            if at >= done:
                items.append(self._move(kind, ring.stretch(start + done, at - done), line.piece))
                items.append(child)
                done = at
            else:
                # Its turn comes late: back along the line, which is open still, and on again.
                there = self._move("slot", ring.stretch(start + at, done - at), line.piece)
                items += [self._reversed(there, "slot"), child, there]
        items.append(self._move(kind, ring.stretch(start + done, ring.length - done), line.piece))
        over = min(self.cutting.overrun_mm, ring.length / 4)
        if over > 0:
            overrun = self._move("overrun", ring.stretch(start, over), line.piece)
            items += [overrun, self._reversed(overrun, "slot")]
        items.append(self._reversed(way, "slot"))
        return items

    def _small_first(self, junction: int) -> list[Link]:
        """Return the links that leave a junction, small pieces before large."""
        return sorted(self.children.get(junction, ()), key=lambda link: self._area(link.child))

    def _area(self, node: int) -> float:
        """Return the area within a line, or within all lines behind a junction."""
        if node >= 0:
            return self.areas[node]
        return sum(self._area(link.child) for link in self.children.get(node, ()))

    def _stops(self, parent: int, start: float) -> list[tuple[float, Link]]:
        """Return (distance from `start`, link) of the links that leave a line, in order.

        Where several leave at one point, holes come first, then small before large. By
        rank, where there is one, with the holes along the way.
        """
        ring = self.rings[parent]
        stops = [(ring.ahead(start, link.start), link) for link in self.children.get(parent, ())]
        if self.rank:
            return _ranked(stops, self.rank)
        return sorted(
            stops,
            key=lambda stop: (
                round(stop[0], DECIMALS),
                stop[1].kind != "slit",
                self._area(stop[1].child),
            ),
        )

    def _entries(self) -> list[Link]:
        """Return the entries in the order of one lap round the block, the largest piece last.

        Clockwise where that makes the ways in air shorter from where the wire waits, and back
        there. By rank, where there is one.
        """
        if self.rank:
            return sorted(self.children[OUTSIDE], key=lambda link: self.rank.get(link.child, 1))
        lap = sorted(
            self.children.get(OUTSIDE, ()),
            key=lambda link: (self._lap_position(self._outside(link.start)), link.child),
        )
        largest = max(range(len(lap)), key=lambda i: self._area(lap[i].child))
        onward = lap[largest + 1 :] + lap[: largest + 1]
        backward = [*onward[-2::-1], onward[-1]]
        if self.waits_at is None:
            return onward
        return min((onward, backward), key=self._air_mm)

    def _air_mm(self, entries: Sequence[Link]) -> float:
        """Return about how far the wire goes in air from where it waits, and back there."""
        assert self.waits_at is not None
        west, south, east, north = self._air_bounds()
        x, y = self.waits_at
        waits = (min(max(x, west), east), min(max(y, south), north))
        stops = [waits, *(self._outside(one.start) for one in entries), waits]
        ways = [self._round_block(one, other) for one, other in pairwise(stops) if one != other]
        return round(sum(self._air_cost(way) for way in ways), DECIMALS)

    # --- In air ---

    def _outside(self, edge: tuple[float, float]) -> tuple[float, float]:
        """Return the point straight out of the foam's edge, in air, at lead-in distance."""
        x, y = edge
        west, south, east, north = self._air_bounds()
        ways = ((west, y), (east, y), (x, south), (x, north))
        gaps = side_gaps(self.layout, np.array([edge]), self.sides)
        return ways[int(gaps.argmin())]

    def _lap_position(self, point: tuple[float, float]) -> float:
        """Return how far round the block `point` lies, counter-clockwise from the datum corner."""
        return self._lap().position(point)

    def _air_bounds(self) -> tuple[float, float, float, float]:
        """Return west, south, east, north of the way round the block, rounded outward."""
        width, height = self.layout.width_mm, self.layout.height_mm
        away, scale = self.away_mm, 10.0**DECIMALS
        out = [math.ceil(way * scale - 1e-6) / scale for way in (away, width + away, height + away)]
        return -out[0], -out[0], out[1], out[2]

    def _lap(self) -> Ring:
        west, south, east, north = self._air_bounds()
        corners = [(west, south), (east, south), (east, north), (west, north), (west, south)]
        return Ring(LineString(corners))

    def _round_block(self, here: tuple[float, float], there: tuple[float, float]) -> Points:
        """Return the shorter way round the block in air, (n, 2), past free sides if it can be."""
        lap = self._lap()
        start, end = lap.position(here), lap.position(there)
        forward = lap.stretch(start, (end - start) % lap.length)
        backward = lap.stretch(end, (start - end) % lap.length)[::-1]
        return min((forward, backward), key=self._air_cost)

    def _air_cost(self, way: Points) -> float:
        """Return the length of a way round the block; along sides not free it counts tenfold."""
        line = LineString(way)
        free = side_lines(self.layout, self.sides).buffer(self.away_mm * 1.01, cap_style="square")
        return float(line.length + 9 * line.difference(free).length)

    # --- Moves ---

    def _move(
        self,
        kind: MoveKind,
        points: Points | Sequence[tuple[float, float]],
        piece: int | None = None,
    ) -> Move:
        """Return the move along `points`, at the feed that goes with its kind."""
        feed = self.cutting.air_feed_mm_per_s if kind == "air" else self.cutting.feed_mm_per_s
        return Move(kind=kind, line=LineString(points), feed_mm_per_s=feed, piece=piece)

    def _reversed(self, move: Move, kind: MoveKind) -> Move:
        return Move(
            kind=kind,
            line=move.line.reverse(),
            feed_mm_per_s=move.feed_mm_per_s,
            piece=move.piece,
        )
