"""Thin webs: waste left standing beside a link so thin that it would break under the wire.

A link that runs close along another line, or along the edge of the foam, leaves a strip
between two slots, or between slot and edge. Where it is thinner than `web_mm` for some
length, it breaks off and hangs on the wire.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon, STRtree

from wirepath.geometry import foam_face
from wirepath.model import Layout, Pass, WireLine
from wirepath.routing.linking import OUTSIDE, Link, ends, side_lines
from wirepath.workshop import Cutting, Side

STEP_MM = 2.0
"""Ways are looked at in places so far apart."""

FLAKE_MM = 0.1
"""A thinner strip is none: the slot takes it, beads of foam are larger."""

ENDS = 1.5
"""Nearer to a way's ends than so many times the least distance its own two lines lie beside it."""

LEAST_WEBS = 2.0
"""Strips shorter than so many times `web_mm` are corners, which do not break off."""

LEANING = 0.5
"""A way that leads off an edge more steeply than this sine leaves no strip along it."""

COST = 10.0
"""A way beside thin waste counts as so many times its length more (our choice)."""

PLACES = 64
"""Places along a line that are tried as the end of another way to it."""

END_MM = 0.01
"""How much of a way's ends is left off when it is asked whether it crosses a line."""


class Webs:
    """Measures the thin waste beside straight ways through the waste of one layout."""

    def __init__(self, layout: Layout, rings: Sequence[LineString], cutting: Cutting) -> None:
        self.web_mm, self.kerf_mm = cutting.web_mm, cutting.kerf_mm
        self.lines = STRtree(rings)
        self.foam = foam_face(layout)
        self.edge = self.foam.exterior
        shapely.prepare([self.foam, self.edge])

    def thin_mm(self, ways: Sequence[LineString] | NDArray[np.object_]) -> NDArray[np.float64]:
        """Return how long thin waste stands beside each of straight `ways`, (n,), in mm."""
        which, at, step = self._places(ways)
        found = np.bincount(which, step * self._is_thin(ways, which, at), minlength=len(ways))
        return np.where(found >= LEAST_WEBS * self.web_mm, found, 0.0)

    def places(self, ways: Sequence[LineString]) -> list[tuple[float, float]]:
        """Return where thin waste stands beside `ways`, straight or bent.

        The middle of each such stretch, one on every straight part.
        """
        tips = [shapely.get_coordinates(way) for way in ways]
        owner = np.repeat(np.arange(len(ways)), [len(one) - 1 for one in tips])
        parts = [LineString(ends) for one in tips for ends in pairwise(one)]
        which, at, step = self._places(parts)
        thin = self._is_thin(parts, which, at)
        lengths = np.bincount(owner[which], step * thin, minlength=len(ways))
        thin &= (lengths >= LEAST_WEBS * self.web_mm)[owner[which]]
        spots = [at[thin & (which == part)] for part in np.unique(which[thin])]
        return [(float(x), float(y)) for x, y in (one[len(one) // 2].round(3) for one in spots)]

    def _places(
        self, ways: Sequence[LineString] | NDArray[np.object_]
    ) -> tuple[NDArray[np.int_], NDArray[np.float64], NDArray[np.float64]]:
        """Return the ways that places lie on, (m,), the places (m, 2), and their distances (m,)."""
        lengths = shapely.length(ways)
        counts = np.ceil(lengths / STEP_MM).astype(int)
        which = np.repeat(np.arange(len(lengths)), counts)
        order = np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)
        tips = shapely.get_coordinates(ways).reshape(-1, 2, 2)[which]
        share = ((order + 0.5) / counts[which])[:, None]
        return (
            which,
            tips[:, 0] * (1 - share) + tips[:, 1] * share,
            (lengths / counts.clip(1))[which],
        )

    def _is_thin(
        self,
        ways: Sequence[LineString] | NDArray[np.object_],
        which: NDArray[np.int_],
        at: NDArray[np.float64],
    ) -> NDArray[np.bool_]:
        """Return beside which places `at` (m, 2) of `ways` thin waste stands, (m,)."""
        if not len(at) or self.web_mm <= 0:
            return np.zeros(len(at), dtype=bool)
        tips = shapely.get_coordinates(ways).reshape(-1, 2, 2)[which]
        reach = self.kerf_mm + self.web_mm
        off_ends = np.min([np.hypot(*(at - tips[:, k]).T) for k in (0, 1)], axis=0)
        inner = np.flatnonzero(off_ends > ENDS * reach)
        thin = np.zeros(len(at), dtype=bool)
        near = self.lines.query_nearest(
            shapely.points(at[inner]), max_distance=reach, return_distance=True, all_matches=False
        )
        thin[inner[near[0][0]]] = self._breaks(near[1] - self.kerf_mm)
        feet = shapely.get_coordinates(shapely.shortest_line(shapely.points(at), self.edge))
        off = feet.reshape(-1, 2, 2)[:, 1] - at
        far, way = np.hypot(*off.T), tips[:, 1] - tips[:, 0]
        beside = np.abs((off * way).sum(axis=1)) < LEANING * far * np.hypot(*way.T)
        inside = shapely.contains_xy(self.foam, at)
        thin |= beside & inside & self._breaks(far - self.kerf_mm / 2)
        return thin

    def _breaks(self, standing_mm: NDArray[np.float64]) -> NDArray[np.bool_]:
        return (standing_mm > FLAKE_MM) & (standing_mm < self.web_mm)


def off_thin_waste(
    layout: Layout,
    lines: Sequence[WireLine],
    links: Sequence[Link],
    sides: Collection[Side],
    cutting: Cutting,
    fixed: Collection[int],
) -> list[Link]:
    """Return the links, those beside thin waste led elsewhere between the same two lines.

    Of ways to places along the line, the shortest is taken, waste that is thin counted as
    `COST` times as long. Lines in `fixed` are to begin where they do.
    """
    webs = Webs(layout, [line.ring for line in lines], cutting)
    straight = [LineString([link.start, link.end]) for link in links]
    thin = webs.thin_mm(straight)
    if not thin.any():
        return list(links)
    found = list(links)
    walls = STRtree([line.ring if line.is_hole else Polygon(line.ring) for line in lines])
    for row in np.flatnonzero(thin).tolist():
        link = links[row]
        if (
            link.kind not in ("entry", "link")
            or min(link.parent, link.child) < OUTSIDE
            or link.child in fixed
        ):
            continue
        places = shapely.line_interpolate_point(
            lines[link.child].ring, np.arange(PLACES) / PLACES, normalized=True
        )
        source = side_lines(layout, sides) if link.parent == OUTSIDE else lines[link.parent].ring
        ways = np.asarray(shapely.shortest_line(source, places))
        ways = ways[shapely.length(ways) > 3 * END_MM]
        cost = shapely.length(ways) + COST * webs.thin_mm(ways)
        least = link.length_mm + COST * thin[row] - END_MM
        for at in np.argsort(np.round(cost, 3), kind="stable"):
            if cost[at] >= least:
                break
            if not walls.query(_inner(ways[at]), predicate="intersects").size:
                start, end = ends(ways[at])
                found[row] = replace(link, start=start, end=end)
                break
    return found


def _inner(way: LineString) -> LineString:
    """Return a straight way less a little at both ends."""
    tips = shapely.get_coordinates(way)
    step = (tips[1] - tips[0]) * END_MM / way.length
    return LineString([tips[0] + step, tips[1] - step])


def thin_places(
    layout: Layout, lines: Sequence[WireLine], passes: Sequence[Pass], cutting: Cutting
) -> tuple[tuple[float, float], ...]:
    """Return where thin waste stands beside entries and links all the same, seen from the front.

    `passes` are led as they are cut: where the wire leans over beside a taper, it runs along
    that, and along an edge of the foam that the taper stands at.
    """
    moves = [move for one in passes for move in one.moves if move.line.length > 0]
    ways = [move.line for move in moves if move.kind in ("entry", "link")]
    rings = [line.ring for line in lines]
    if any(move.far is not None for move in moves):
        rings = [move.line for move in moves if move.kind in ("outline", "hole")]
    return tuple(Webs(layout, rings, cutting).places(ways))
