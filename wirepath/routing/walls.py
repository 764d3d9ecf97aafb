"""Walls: lines of a layout that are not cut in this setup, which its links must keep off.

In a minimum spanning tree over all lines no link crosses a line. Over some of them one could:
each link is looked at, and where the shortest one meets a wall other places are tried.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon, STRtree

from wirepath.errors import Fault, FitError
from wirepath.model import Layout, WireLine
from wirepath.routing.linking import EXACT_MM, EdgeWay, side_gaps
from wirepath.workshop import Side

PLACES = 128
"""Places along a line that are tried as the end of another link to it."""

END_MM = 0.01
"""How much of a link's ends is left off when it is asked whether it crosses a line."""


class Walls:
    """What links between the lines `members` of a layout may not cross.

    Other lines are kept off by `clear_mm` more than the wire's own width asks for, `blocked`
    areas as they are.
    """

    def __init__(
        self,
        lines: Sequence[WireLine],
        members: Collection[int],
        clear_mm: float,
        blocked: Sequence[Polygon] = (),
    ) -> None:
        self.lines = lines
        outer = [index for index, line in enumerate(lines) if not line.is_hole]
        areas = np.array([Polygon(lines[index].ring) for index in outer], dtype=object)
        grown = np.array([0.0 if index in members else clear_mm for index in outer])
        self.solids = STRtree([*shapely.buffer(areas, grown), *blocked])

    def way(self, one: int, other: int) -> LineString | None:
        """Return a short straight link between two lines that crosses none; None for none."""
        rings = self.lines[one].ring, self.lines[other].ring
        ways = [shapely.shortest_line(*rings)]
        ways += [shapely.shortest_line(at, rings[1]) for at in _places(rings[0])]
        ways += [shapely.shortest_line(rings[0], at) for at in _places(rings[1])]
        return self._first(np.array(ways, dtype=object))

    def edge_ways(
        self, layout: Layout, members: Sequence[int], sides: Collection[Side]
    ) -> dict[int, EdgeWay]:
        """Return each line's shortest clear way from the edge of the foam, where it has one."""
        found = {}
        for index in members:
            way = self._edge_way(layout, self.lines[index].ring, sides)
            if way is not None:
                found[index] = way
        return found

    def refusal(self, shut_in: Sequence[int]) -> FitError:
        """Return the error that tells of lines to which no link leads."""
        pieces = sorted({self.lines[index].piece for index in shut_in})
        return FitError(
            Fault(
                "no straight way through the waste leads there in its setup, past the pieces that "
                "are cut in others",
                f"piece {', '.join(map(str, pieces))}",
                "leave more room between the pieces (cutting.web_mm), or use smaller blocks",
            )
        )

    def _edge_way(
        self, layout: Layout, ring: LineString, sides: Collection[Side]
    ) -> EdgeWay | None:
        points = np.vstack((shapely.get_coordinates(ring), shapely.get_coordinates(_places(ring))))
        gaps = side_gaps(layout, points, sides)
        at, side = np.nonzero(np.isfinite(gaps))
        x, y = points[at].T
        feet = np.array(
            [
                [np.zeros_like(x), y],
                [np.full_like(x, layout.width_mm), y],
                [x, np.zeros_like(x)],
                [x, np.full_like(x, layout.height_mm)],
            ]
        )
        starts = feet[side, :, np.arange(len(side))]
        gap = gaps[at, side]
        # A line that reaches out of the foam is come to from the air.
        starts[gap <= 0] = points[at][gap <= 0]
        gap = gap.clip(min=0.0)
        order = np.lexsort((side, points[at].sum(axis=1).round(3), np.round(gap, 6)))
        ways = shapely.linestrings(np.stack((starts, points[at]), axis=1)[order])
        way = self._first(np.asarray(ways), ranked=True)
        if way is None:
            return None
        (u, v), (s, t) = way.coords
        return float(way.length), (u, v), (s, t)

    def _first(self, ways: NDArray[np.object_], *, ranked: bool = False) -> LineString | None:
        """Return the shortest of straight ways that crosses no line, the first if `ranked`."""
        lengths = shapely.length(ways)
        tips = shapely.get_coordinates(ways).reshape(-1, 2, 2)
        share = (END_MM / np.maximum(lengths, 3 * END_MM))[:, None]
        step = (tips[:, 1] - tips[:, 0]) * share
        inner = shapely.linestrings(np.stack((tips[:, 0] + step, tips[:, 1] - step), axis=1))
        crossing = self.solids.query(inner, predicate="intersects")[0]
        clear = np.ones(len(ways), dtype=bool)
        clear[crossing[lengths[crossing] > EXACT_MM]] = False
        if not clear.any():
            return None
        row = int(np.argmax(clear)) if ranked else int(np.where(clear, lengths, np.inf).argmin())
        found: LineString = ways[row]
        return found


def _places(ring: LineString) -> NDArray[np.object_]:
    """Return places along a line, (n,)."""
    return np.asarray(
        shapely.line_interpolate_point(ring, np.arange(PLACES) / PLACES, normalized=True)
    )
