"""Order for a level wire: what lies higher is cut free before what it stands on.

Foam that is cut free must rest on foam that still stands, or it falls on the wire. So
the tree of links grows from below: a piece hangs on one that is cut free after it, and
the last one hangs on the edge of the foam.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon, STRtree
from shapely.ops import substring

from wirepath.model import Pass, WireLine
from wirepath.routing.linking import OUTSIDE, EdgeWay, Link, ends, hosts
from wirepath.routing.walls import Walls

COLUMN_MM = 1.0
"""Width of the upright columns in which it is asked what lies above what."""

TOUCH_MM = 0.1
"""Lines so near to each other touch: neither lies above the other."""

LEANS_MM = 4.0
"""A piece leans on what is under it over more than this; less is a corner that touches."""

HOOKS_MM = 10.0
"""Two pieces that lie over each other by more than this both ways hold one another."""

END_MM = 0.01
"""How much of a link's ends is left off when it is asked whether it crosses a line."""


def over_mm(rings: Sequence[LineString]) -> NDArray[np.float64]:
    """Return over what width the first of every two rings lies above the second, in mm, (n, n).

    It does in a column in whose middle its top is higher than the other's foot; rings that
    share a slanting edge touch there, and neither is higher.
    """
    west, _, east, _ = shapely.total_bounds(np.array(rings, dtype=object))
    count = int((east - west) / COLUMN_MM) + 1
    top = np.full((len(rings), count), -np.inf)
    foot = np.full((len(rings), count), np.inf)
    for index, ring in enumerate(rings):
        x, y = shapely.get_coordinates(ring).T
        x = (x - west) / COLUMN_MM - 0.5
        first, last = np.minimum(x[:-1], x[1:]), np.maximum(x[:-1], x[1:])
        start = np.ceil(first).astype(int)
        columns = np.maximum(np.floor(last).astype(int) - start + 1, 0)
        edge = np.repeat(np.arange(len(start)), columns)
        column = np.arange(len(edge)) - np.repeat(np.cumsum(columns) - columns, columns)
        column += start[edge]
        length = np.where(last > first, x[1:] - x[:-1], 1.0)
        height = y[edge] + (column - x[edge]) / length[edge] * (y[1:] - y[:-1])[edge]
        np.maximum.at(top[index], column, height)
        np.minimum.at(foot[index], column, height)
    width = np.array([(one > foot + TOUCH_MM).sum(axis=1) for one in top]) * COLUMN_MM
    np.fill_diagonal(width, 0.0)
    return width


def stands_on(rings: Sequence[LineString], least_mm: float = 0.0) -> NDArray[np.bool_]:
    """Return for every two rings whether the first stands on the second, (n, n).

    It does where it lies above it over more than `least_mm`, and over more than the other
    lies above it: corners may touch either way. Hooks hold each other: neither counts.
    """
    width = over_mm(rings)
    hooks = np.minimum(width, width.T) > HOOKS_MM
    found: NDArray[np.bool_] = (width > least_mm) & (width > width.T) & ~hooks
    return found


class _Growth:
    """A tree that grows from its root, pieces that must come free last joined first."""

    def __init__(
        self,
        lines: Sequence[WireLine],
        members: Sequence[int],
        ways: Mapping[int, EdgeWay],
        walls: Walls | None,
    ) -> None:
        self.rings = {index: lines[index].ring for index in members}
        self.ways = ways
        # Where a piece stands on the edge of the foam its line runs in air: a way along that
        # edge would lead through the piece and cross no line.
        self.solids = np.array(
            [ring if lines[at].is_hole else Polygon(ring) for at, ring in self.rings.items()]
        )
        self.walls = STRtree(self.solids) if walls is None else walls.solids
        self.lengths: dict[tuple[int, int], float] = {}
        self.clear: dict[tuple[int, int], LineString | None] = {}
        shapely.prepare([*self.rings.values(), *self.solids])
        low, high = np.split(shapely.bounds(self.solids), 2, axis=1)
        apart = np.maximum(low[:, None] - high[None], low[None] - high[:, None]).clip(min=0)
        gaps = np.hypot(apart[..., 0], apart[..., 1])
        self.gaps: NDArray[np.float64] = gaps
        self.rows = {name: row for row, name in enumerate(self.rings)}

    def pairs(
        self, parents: Sequence[int], children: Sequence[int]
    ) -> Iterator[tuple[float, int, int]]:
        """Yield (least length, parent, child) of all pairs, those with near boxes first."""
        least = np.empty((len(parents), len(children)))
        columns = [self.rows[child] for child in children]
        for row, parent in enumerate(parents):
            least[row] = (
                [self._way_in_mm(child) for child in children]
                if parent == OUTSIDE
                else self.gaps[self.rows[parent], columns]
            )
        for at in np.argsort(least, axis=None, kind="stable").tolist():
            row, column = divmod(at, len(children))
            yield float(least[row, column]), parents[row], children[column]

    def length(self, parent: int, child: int) -> float:
        """Return the length of the shortest link."""
        if parent == OUTSIDE:
            return self._way_in_mm(child)
        if (parent, child) not in self.lengths:
            found = float(shapely.distance(self.rings[parent], self.rings[child]))
            self.lengths[parent, child] = found
        return self.lengths[parent, child]

    def _way_in_mm(self, child: int) -> float:
        return self.ways[child][0] if child in self.ways else math.inf

    def way(self, parent: int, child: int) -> LineString | None:
        """Return the shortest link; None where it crosses another line."""
        if (parent, child) not in self.clear:
            self.clear[parent, child] = self._way(parent, child)
        return self.clear[parent, child]

    def _way(self, parent: int, child: int) -> LineString | None:
        if parent == OUTSIDE:
            _, start, end = self.ways[child]
            line = LineString([start, end])
        else:
            line = shapely.shortest_line(self.rings[parent], self.rings[child])
        length = float(line.length)
        if length > 2 * END_MM:
            inner = substring(line, END_MM, length - END_MM)
            if self.walls.query(inner, predicate="intersects").size:
                return None
        return line


def standing_links(
    lines: Sequence[WireLine],
    root: int,
    members: Sequence[int],
    ways: Mapping[int, EdgeWay],
    walls: Walls | None = None,
) -> list[Link]:
    """Return links from `root` to all `members`, in the order in which they are joined.

    Cut free in the reverse of that order, no piece comes free after one it stands on,
    as far as links allow it. `ways` lead in from the outside, where that is the root. Of
    the pieces whose supports are joined, the one nearest to the chain of the last one
    comes next: only what that chain holds is cut free later than it. Raises FitError where
    `walls` shut a piece in.
    """
    inside = [index for index in members if index != root]
    if not inside:
        return []
    growth = _Growth(lines, inside if root == OUTSIDE else [root, *inside], ways, walls)
    above = stands_on([lines[index].ring for index in inside])
    left = dict(enumerate(inside))
    chain, joined = [root], [root]
    links: list[Link] = []
    while left:
        ready = [at for at in left if not any(above[at, other] for other in left)]
        choice = (
            _nearest(growth, chain, [left[at] for at in ready])
            or _nearest(growth, joined, [left[at] for at in ready])
            or _nearest(growth, joined, list(left.values()))
        )
        if choice is None and walls is not None:
            raise walls.refusal(list(left.values()))
        assert choice is not None, "the shortest way of all crosses nothing"
        parent, child, line = choice
        start, end = ends(line)
        kind: Literal["entry", "link"] = "entry" if parent == OUTSIDE else "link"
        links.append(Link(parent=parent, child=child, kind=kind, start=start, end=end))
        chain = [*chain[: chain.index(parent) + 1], child] if parent in chain else [*chain, child]
        joined.append(child)
        del left[inside.index(child)]
    return links


def _nearest(
    growth: _Growth, parents: Sequence[int], children: Sequence[int]
) -> tuple[int, int, LineString] | None:
    """Return the shortest link from one of `parents` to one of `children` that is clear."""
    best: tuple[int, int, LineString] | None = None
    least = math.inf
    for lower, parent, child in growth.pairs(parents, children):
        if lower >= least:
            break
        length = growth.length(parent, child)
        if length < least - END_MM:
            way = growth.way(parent, child)
            if way is not None:
                best, least = (parent, child, way), length
    return best


def held(lines: Sequence[WireLine], passes: Sequence[Pass]) -> tuple[int, ...]:
    """Return the pieces that come free after one they stand on: somebody has to hold them."""
    moves = [move for one in passes for move in one.moves]
    freed = {move.piece: at for at, move in enumerate(moves) if move.piece is not None}
    host = hosts(lines)
    outlines = [index for index, line in enumerate(lines) if not line.is_hole]
    found: set[int] = set()
    for pool in sorted({host.get(index, OUTSIDE) for index in outlines}):
        here = [index for index in outlines if host.get(index, OUTSIDE) == pool]
        above = stands_on([lines[index].ring for index in here], LEANS_MM)
        for one, other in np.argwhere(above):
            upper, lower = lines[here[one]].piece, lines[here[other]].piece
            if freed[upper] > freed[lower]:
                found.add(upper)
    return tuple(sorted(found))
