"""Landing: links led to the place where a piece's line is to begin, and so to close.

Where a line closes the wire leaves a scar. A job may ask for it at a corner that is not
seen, though another link would be shorter. Unasked it keeps off seams and finished sides.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from typing import Literal

import numpy as np
import shapely
from shapely import Geometry, LineString, MultiPoint, Point, STRtree, box
from shapely.ops import substring

from wirepath import overlay
from wirepath.errors import Fault, FitError
from wirepath.geometry import place, place_all
from wirepath.model import Layout, Piece, WireLine
from wirepath.routing.linking import OUTSIDE, SIDES, Link, ends, side_lines
from wirepath.routing.sparing import Spared, good_stretches
from wirepath.routing.webs import COST, Webs
from wirepath.workshop import Cutting, Side

RAYS = 24
"""Directions in which a bend of a link is looked for."""

SHARES = (0.25, 0.5, 0.75)
"""Places tried for the bend along each of them, as shares of the way to the next line."""

PLACES = 16
"""Places along the good stretches of a line that are looked at where no straight way leads."""

BENT_PLACES = 4
"""How many of them, the nearest first, are looked at for ways with a bend."""

LEAST_ROOM_MM = 1.0
"""Directions with less room than this lead into the piece, or along it."""

GRAZE_MM = 0.02
"""How much nearer than half a kerf a way may come to a piece: lines are drawn as finely."""

END_MM = 0.01
"""How much of a link's ends is left off when it is asked whether it crosses a line."""


def asked_place(piece: Piece) -> Point | None:
    """Return where the job wants the line of `piece` to begin, in the drawing's frame.

    The corner of its outline nearest to the one asked for of the box round it, or the
    corner that reaches furthest to the side asked for; or the point nearest to a place.
    """
    border = piece.outline.exterior
    if piece.entry_at is not None:
        return border.interpolate(border.project(Point(piece.entry_at)))
    if piece.entry is None:
        return None
    words = piece.entry.split()
    x, y = shapely.get_coordinates(border)[:-1].T
    west, south, east, north = border.bounds
    gap = {"left": x - west, "right": east - x, "lower": y - south, "upper": north - y}
    off = np.hypot.reduce([gap[word] for word in words])
    at = np.lexsort((x, y, np.round(off, 3)))[0]
    return Point(x[at], y[at])


def landed(
    layout: Layout,
    lines: Sequence[WireLine],
    links: Sequence[Link],
    pieces: Sequence[Piece],
    sides: Collection[Side],
    cutting: Cutting,
    spared: Spared,
    *,
    only: Collection[int] | None = None,
    keep_parents: bool = False,
) -> list[Link]:
    """Return the links, those of pieces that ask for a place led there, in the same order.

    Such a link comes from the nearest line that does not hang on the piece, or from the
    edge of the foam, wherever it crosses no line; straight, or with one bend. Raises
    FitError, all faults at once, where none does.

    Links to pieces that ask for nothing but have edges in `spared` are led to these; where
    no way is found, they stay. With `keep_parents` they leave where they left before. Where
    `only` some lines are cut, by their index, ways come from these.
    """
    placements = {one.piece: one for one in layout.placements}
    goals: dict[int, Point] = {}
    good: dict[int, Geometry] = {}
    half_mm = cutting.widest_kerf_mm / 2
    for index, line in enumerate(lines):
        if line.is_hole or (only is not None and index not in only):
            continue
        at = asked_place(pieces[line.piece - 1])
        if at is not None:
            goals[index] = place(at, placements[line.piece])
        elif line.piece in spared:
            edges = place(spared[line.piece], placements[line.piece])
            good[index] = good_stretches(line.ring, edges, half_mm)
    arrives = {link.child: Point(link.end) for link in links}
    good = {
        index: stretches
        for index, stretches in good.items()
        if not shapely.is_empty(stretches)
        and not shapely.dwithin(stretches, arrives[index], END_MM)
    }
    if not goals and not good:
        return list(links)
    rings = [line.ring for line in lines]
    walls = STRtree(rings)
    foam = STRtree(place_all(layout, pieces))
    webs = Webs(layout, rings, cutting)
    found, faults = list(links), []

    def lead(index: int, ways: Sequence[LineString], parent: int) -> None:
        row = next(k for k, link in enumerate(found) if link.child == index)
        found[row : row + 1] = _links(found, parent, index, ways)

    for index, goal in goals.items():
        end = lines[index].ring.interpolate(lines[index].ring.project(goal))
        search = _Search(layout, lines, found, sides, (walls, foam), index, webs, only)
        ways = search.ways(end)
        if ways:
            lead(index, ways, search.parent)
            continue
        name = pieces[lines[index].piece - 1].name
        faults.append(
            Fault(
                "no way through the waste, straight or with one bend, leads to where "
                "its line is to begin, near "
                f"x {goal.x:.0f}, y {goal.y:.0f} mm of layout {layout.number}",
                f"piece {name}",
                "ask for another place with [[parts]] entry, or leave it out",
            )
        )
    if faults:
        raise FitError(faults)
    for index, stretches in good.items():
        search = _Search(layout, lines, found, sides, (walls, foam), index, webs, only)
        if keep_parents:
            search.keep(next(link.parent for link in found if link.child == index))
        ways = search.ways_to_any(stretches)
        if ways:
            lead(index, ways, search.parent)
    return _without_stubs(found)


def _links(
    links: Sequence[Link], parent: int, index: int, ways: Sequence[LineString]
) -> list[Link]:
    """Return one or two straight ways as links from `parent` to the line `index`."""
    kind: Literal["entry", "link"] = "entry" if parent == OUTSIDE else "link"
    start, bend = ends(ways[0])
    if len(ways) == 1:
        return [Link(parent=parent, child=index, kind=kind, start=start, end=bend)]
    junction = min([OUTSIDE, *(link.child for link in links)]) - 1
    _, stop = ends(ways[1])
    return [
        Link(parent=parent, child=junction, kind=kind, start=start, end=bend),
        Link(parent=junction, child=index, kind="link", start=bend, end=stop),
    ]


class _Search:
    """The search for a way to a place on the line `index`; `parent` is where it comes from."""

    def __init__(
        self,
        layout: Layout,
        lines: Sequence[WireLine],
        links: Sequence[Link],
        sides: Collection[Side],
        walls: tuple[STRtree, STRtree],
        index: int,
        webs: Webs,
        only: Collection[int] | None,
    ) -> None:
        kerf_mm = webs.kerf_mm
        self.walls, self.foam = walls
        self.reach = layout.width_mm + layout.height_mm
        self.face = box(0, 0, layout.width_mm, layout.height_mm)
        self.parent = OUTSIDE
        self.clear_mm = max(kerf_mm / 2 - GRAZE_MM, 0.0)
        self.webs = webs
        self.sides = side_lines(layout, sides)
        behind = {index}
        while more := {link.child for link in links if link.parent in behind} - behind:
            behind |= more
        cut = range(len(lines)) if only is None else sorted(only)
        self.names = [at for at in cut if at not in behind]
        self.goals: list[Geometry] = [lines[at].ring for at in self.names]
        for side in SIDES:
            if side in sides:
                self.names.append(OUTSIDE)
                self.goals.append(side_lines(layout, [side]))

    def keep(self, parent: int) -> None:
        """Look for ways from `parent` only."""
        kept = [at for at, name in enumerate(self.names) if name == parent]
        self.names = [self.names[at] for at in kept]
        self.goals = [self.goals[at] for at in kept]

    def ways_to_any(self, stretches: Geometry) -> list[LineString]:
        """Return a short way to any place of `stretches` of the line, as `ways` does."""
        in_air = overlay.difference(stretches, self.face)
        if shapely.length(in_air) > LEAST_ROOM_MM:
            middle = shapely.line_interpolate_point(
                max(shapely.get_parts(in_air), key=shapely.length), 0.5, normalized=True
            )
            if ways := self.ways(middle):
                return ways
        straight = self._straight(stretches)
        if straight is not None:
            self.parent, way = straight
            return [way]
        places = shapely.get_parts(_spread(stretches, PLACES))
        far = shapely.distance(places, shapely.geometrycollections(self.goals))
        for count, at in enumerate(np.argsort(np.round(far, 3), kind="stable")):
            straight = self._straight(places[at])
            if straight is not None:
                self.parent, way = straight
                return [way]
            if count < BENT_PLACES and (ways := self.ways(places[at])):
                return ways
        return []

    def ways(self, end: Point) -> list[LineString]:
        """Return the shortest way to `end`, as one straight line or two; none where none is."""
        if not self.face.covers(end) and self.sides.dwithin(end, 2 * self.clear_mm + LEAST_ROOM_MM):
            return [LineString([end, end])]
        straight = self._straight(end)
        if straight is not None:
            # Ways with a bend are costly to look for: thin waste beside this one is told.
            self.parent, way = straight
            return [way]
        best: tuple[float, int, list[LineString]] | None = None
        for bend in self._bends(end):
            first, last = self._straight(bend), LineString([bend, end])
            if first is None or first[1].length <= END_MM or not self._is_clear(last):
                continue
            both = [first[1], last]
            if best is not None and shapely.length(both).sum() >= best[0] - END_MM:
                continue
            cost = self._cost(both)
            if best is None or cost < best[0] - END_MM:
                best = (cost, first[0], both)
        if best is None:
            return []
        self.parent = best[1]
        return best[2]

    def _cost(self, ways: Sequence[LineString]) -> float:
        """Return the length of ways, more where thin waste is left beside them."""
        return float(shapely.length(ways).sum() + COST * self.webs.thin_mm(ways).sum())

    def _straight(self, end: Geometry) -> tuple[int, LineString] | None:
        """Return the shortest straight way to `end` that crosses no line, and its parent."""
        if not self.goals:
            return None
        # Mostly the nearest line of all is seen from there.
        (at,) = STRtree(self.goals).query_nearest(end, all_matches=False)[:1]
        way = shapely.shortest_line(self.goals[at], end)
        if self._is_clear(way):
            return self.names[at], way
        ways = np.asarray(shapely.shortest_line(np.array(self.goals, dtype=object), end))
        for at in np.argsort(np.round(shapely.length(ways), 3), kind="stable"):
            if self._is_clear(ways[at]):
                return self.names[at], ways[at]
        return None

    def _is_clear(self, way: LineString) -> bool:
        length = float(way.length)
        if length <= 2 * END_MM:
            return not self.foam.query(way, predicate="dwithin", distance=self.clear_mm).size
        inner = substring(way, END_MM, length - END_MM)
        # Where a piece stands on the edge of the foam its line runs in air: a way could
        # lead into the piece and cross no line.
        near = self.foam.query(inner, predicate="dwithin", distance=self.clear_mm)
        return not near.size and not self.walls.query(inner, predicate="intersects").size

    def _bends(self, end: Point) -> Iterator[Point]:
        """Yield places in the waste that see `end`: shares of the way to what is next."""
        for angle in 2 * math.pi / RAYS * np.arange(RAYS):
            step = np.array([math.cos(angle), math.sin(angle)])
            near, far = np.array(end.coords[0]) + np.outer([END_MM, self.reach], step)
            ray = overlay.intersection(LineString([near, far]), self.face)
            hit = self.walls.geometries[self.walls.query(ray, predicate="intersects")]
            stops = [*overlay.intersection(ray, hit), overlay.intersection(ray, self.face.exterior)]
            room = float(shapely.distance(Point(near), shapely.geometrycollections(stops)))
            if np.isfinite(room) and room > LEAST_ROOM_MM:
                for share in SHARES:
                    yield Point(near + share * room * step)


def _spread(stretches: Geometry, count: int) -> MultiPoint:
    """Return `count` places spread evenly along lines."""
    parts = shapely.get_parts(shapely.line_merge(stretches))
    starts = np.concatenate(([0.0], np.cumsum(shapely.length(parts))))
    along = starts[-1] * (np.arange(count) + 0.5) / count
    which = np.searchsorted(starts, along, side="right") - 1
    return MultiPoint(shapely.line_interpolate_point(parts[which], along - starts[which]).tolist())


def _without_stubs(links: list[Link]) -> list[Link]:
    """Return the links without those to junctions from which nothing leads on any more."""
    while True:
        parents = {link.parent for link in links}
        kept = [link for link in links if link.child >= 0 or link.child in parents]
        if len(kept) == len(links):
            return links
        links = kept
