"""The links: a minimum spanning tree over the lines of one stretch of waste.

A *pool* is waste in one piece: the block round the pieces, or the plug of a hole with
the pieces inside it. Every pool has a root: the outside of the block, or the hole's
line. In a minimum spanning tree with shortest segments as edges no link crosses a
third line: the crossed line would be nearer to both ends than they are to each other.
"""

from __future__ import annotations

import functools
import heapq
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, MultiLineString, Polygon, STRtree

from wirepath.model import Layout, WireLine
from wirepath.routing.junctions import Edge, Point, with_junctions
from wirepath.workshop import Side

if TYPE_CHECKING:
    from wirepath.routing.walls import Walls

OUTSIDE = -1
"""The air round the block, as a parent in the tree of links."""

EXACT_MM = 1e-6
"""Points as near as that to an edge of the foam are equally near: rounding of turned pieces."""

TIE_MM = 0.1
"""Slits that differ by less are equally short: the tie is broken by place."""


EdgeWay = tuple[float, Point, Point]
"""A way from the outside to a line: its length, where it starts, where it ends."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A straight cut that joins line `child` to line `parent` (or to `OUTSIDE`).

    Numbers under `OUTSIDE` are junctions: points in the waste where links meet, or where a
    parting cut ends. Runs
    from `start`, on the parent (or the edge of the foam), to `end`, on the child.
    A slit runs through the child's own piece, a thread from where the wire was threaded.
    """

    parent: int
    child: int
    kind: Literal["entry", "thread", "link", "slit", "parting"]
    start: Point
    end: Point

    @property
    def length_mm(self) -> float:
        """Length of the cut."""
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))


def ends(line: LineString) -> tuple[Point, Point]:
    """Return the two ends of a straight line."""
    (x, y), (u, v) = line.coords
    return (x, y), (u, v)


def hosts(lines: Sequence[WireLine]) -> dict[int, int]:
    """Return, for every outline that lies in the hole of another piece, that hole's line.

    Of holes inside one another the smallest counts. Lines are named by their index.
    """
    holes = [index for index, line in enumerate(lines) if line.is_hole]
    outlines = [index for index, line in enumerate(lines) if not line.is_hole]
    if not holes:
        return {}
    areas = [Polygon(lines[hole].ring) for hole in holes]
    inner = [shapely.get_point(lines[outline].ring, 0) for outline in outlines]
    found: dict[int, int] = {}
    sizes: dict[int, float] = {}
    for at, where in STRtree(areas).query(inner, predicate="covered_by").T:
        outline, hole = outlines[at], holes[where]
        same_piece = lines[outline].piece == lines[hole].piece
        if not same_piece and areas[where].area < sizes.get(outline, float("inf")):
            found[outline], sizes[outline] = hole, areas[where].area
    return found


def block_links(
    layout: Layout,
    lines: Sequence[WireLine],
    members: Sequence[int],
    sides: Collection[Side],
    first_junction: int,
    walls: Walls | None = None,
) -> list[Link]:
    """Return the tree that joins the outlines `members` to each other and to the outside.

    The outside is reached through `sides` of the face only.
    Junctions, if any, are numbered downwards from `first_junction`; none where there are
    `walls` to keep off. Raises FitError where these shut a line in.
    """
    if not members:
        return []
    if walls is not None:
        return _rooted(
            OUTSIDE, _spanning_tree(lines, members, walls.edge_ways(layout, members, sides), walls)
        )
    ways = {index: edge_way(layout, lines[index].ring, sides) for index in members}
    edges = _spanning_tree(lines, members, ways)
    bodies: dict[int, Geometry] = {index: lines[index].ring for index in members}
    bodies[OUTSIDE] = side_lines(layout, sides)
    return _rooted(OUTSIDE, with_junctions(edges, bodies, first_junction))


def hole_links(
    lines: Sequence[WireLine], hole: int, members: Sequence[int], first_junction: int
) -> list[Link]:
    """Return the tree that joins the outlines `members`, inside a hole, to the hole's line."""
    edges = _spanning_tree(lines, [hole, *members], {})
    bodies = {index: lines[index].ring for index in (hole, *members)}
    return _rooted(hole, with_junctions(edges, bodies, first_junction))


def _spanning_tree(
    lines: Sequence[WireLine],
    members: Sequence[int],
    ways: Mapping[int, EdgeWay],
    walls: Walls | None = None,
) -> list[Edge]:
    """Return the edges (a, b, point on a, point on b) of the minimum spanning tree.

    `ways` are the members' ways from the outside, empty where there is no outside.
    Kruskal's rule, with the distance of two bounding boxes standing in for that of two
    lines until it is the least one left: few distances are measured. Edges keep off
    `walls`; raises FitError where these part the members from the outside.
    """
    rings = [lines[index].ring for index in members]

    @functools.cache
    def shortest(i: int, j: int) -> LineString | None:
        if walls is None:
            return shapely.shortest_line(rings[i], rings[j])
        return walls.way(members[i], members[j])

    queue = [(float(gap), False, i, j) for gap, i, j in _box_gaps(rings)]
    queue += [(ways[name][0], True, i, OUTSIDE) for i, name in enumerate(members) if name in ways]
    heapq.heapify(queue)
    team = {node: node for node in range(OUTSIDE, len(rings))}

    def leader(node: int) -> int:
        while team[node] != node:
            team[node] = team[team[node]]
            node = team[node]
        return node

    tree: list[Edge] = []
    while queue and len(tree) < len(team) - (1 if ways else 2):
        _, exact, i, j = heapq.heappop(queue)
        if leader(i) == leader(j):
            continue
        if not exact:
            way = shortest(i, j)
            if way is not None:
                heapq.heappush(queue, (float(way.length), True, i, j))
            continue
        team[leader(i)] = leader(j)
        if j == OUTSIDE:
            _, start, end = ways[members[i]]
            tree.append((OUTSIDE, members[i], start, end))
        else:
            way = shortest(i, j)
            assert way is not None, "only pairs with a way wait in the queue"
            one, other = ends(way)
            tree.append((members[i], members[j], one, other))
    if walls is not None:
        shut_in = [i for i in range(len(rings)) if leader(i) != leader(OUTSIDE)]
        if shut_in:
            raise walls.refusal([members[i] for i in shut_in])
    return tree


def _box_gaps(rings: Sequence[LineString]) -> Iterator[tuple[float, int, int]]:
    """Yield (distance of their bounding boxes, i, j) for every pair i < j."""
    if len(rings) < 2:
        return
    low, high = np.split(shapely.bounds(np.array(rings, dtype=object)), 2, axis=1)
    apart = np.maximum(low[:, None] - high[None], low[None] - high[:, None]).clip(min=0)
    gaps: NDArray[np.float64] = np.hypot(apart[..., 0], apart[..., 1])
    for i, j in zip(*np.triu_indices(len(rings), 1), strict=True):
        yield gaps[i, j], int(i), int(j)


def edge_way(layout: Layout, ring: LineString, sides: Collection[Side]) -> EdgeWay:
    """Return the shortest way to `ring` from the foam's edge at one of `sides`.

    Length, point on the edge, point on the ring. Square to the edge. Where several are
    as short, the one nearest to the datum corner. A ring that reaches out of the foam
    has a way of no length, from the air.
    """
    points = shapely.get_coordinates(ring)
    gaps = side_gaps(layout, points, sides)
    ties = np.argwhere(gaps <= gaps.min() + EXACT_MM)
    at, side = min(ties, key=lambda tie: (points[tie[0]].sum().round(3), tie[1]))
    x, y = float(points[at, 0]), float(points[at, 1])
    start = ((0.0, y), (layout.width_mm, y), (x, 0.0), (x, layout.height_mm))[side]
    gap = float(gaps[at, side])
    return (gap, start, (x, y)) if gap > 0 else (0.0, (x, y), (x, y))


SIDES: tuple[Side, ...] = ("left", "right", "lower", "upper")


def side_gaps(
    layout: Layout, points: NDArray[np.float64], sides: Collection[Side]
) -> NDArray[np.float64]:
    """Return how far points (n, 2) lie inside each of `SIDES`, (n, 4); inf at other sides."""
    x, y = points.T
    gaps = np.stack([x, layout.width_mm - x, y, layout.height_mm - y], axis=1)
    gaps[:, [side not in sides for side in SIDES]] = np.inf
    return gaps


def side_lines(layout: Layout, sides: Collection[Side]) -> MultiLineString:
    """Return the edges of the face at `sides`."""
    width, height = layout.width_mm, layout.height_mm
    edges = {
        "left": [(0.0, 0.0), (0.0, height)],
        "right": [(width, 0.0), (width, height)],
        "lower": [(0.0, 0.0), (width, 0.0)],
        "upper": [(0.0, height), (width, height)],
    }
    return MultiLineString([edges[side] for side in SIDES if side in sides])


def _rooted(root: int, edges: Sequence[Edge]) -> list[Link]:
    """Return the edges as links that lead away from `root`."""
    near: dict[int, list[Edge]] = {}
    for a, b, at_a, at_b in edges:
        near.setdefault(a, []).append((a, b, at_a, at_b))
        near.setdefault(b, []).append((b, a, at_b, at_a))
    links: list[Link] = []
    reached, front = {root}, [root]
    while front:
        for parent, child, start, end in near.get(front.pop(), ()):
            if child not in reached:
                reached.add(child)
                front.append(child)
                kind: Literal["entry", "link"] = "entry" if parent == OUTSIDE else "link"
                links.append(Link(parent=parent, child=child, kind=kind, start=start, end=end))
    return links
