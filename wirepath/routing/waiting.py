"""Where the wire of a table waits between passes: the way there and back, through air only.

The way keeps a lead-in's distance off the foam and half of what the wire melts off clamps.
It is the shortest over the corners of what is kept off (a visibility graph: de Berg and
others, *Computational Geometry*, Springer 2008, chapter 15; from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, box

from wirepath import overlay
from wirepath.errors import Fault, FitError
from wirepath.model import Layout, Move, Pass
from wirepath.routing.linking import SIDES, side_lines
from wirepath.routing.touring import DECIMALS, free_sides
from wirepath.units import told_apart
from wirepath.workshop import Cutting, Workshop

HAIR_MM = 0.001
"""Ways run along the rim of what they keep off: it is looked at a hair smaller."""

FAR_MM = 1e5
"""Further than any table reaches."""

UNFREE_COST = 9
"""A mm along a side where the wire is not to enter counts this many more."""

Points = NDArray[np.float64]


def from_waiting_place(
    passes: Sequence[Pass], layout: Layout, workshop: Workshop, cutting: Cutting
) -> tuple[Pass, ...]:
    """Return the passes of a layout, each led from where the wire waits and back to it.

    As they are where no waiting place is given; a pass that is threaded begins and ends in
    the foam. Where clamps leave no way, it leads through one, for `clear_of_clamps` to tell.
    Raises FitError where foam or a clamp is in the waiting place, and where the table does
    not reach it.
    """
    if workshop.rig.waits_at is None:
        return tuple(passes)
    at = np.round(np.array(workshop.rig.waits_at), DECIMALS)
    air = _Air(layout, workshop, cutting)
    faults = list(air.faults_at(at)) or list(_travel_faults(passes, at, workshop))
    if faults:
        raise FitError([fault.inside(f"layout {layout.number}") for fault in faults])
    return tuple(one if one.is_threaded else _led(one, at, air, cutting) for one in passes)


def _led(one: Pass, at: Points, air: _Air, cutting: Cutting) -> Pass:
    first = shapely.get_coordinates(one.moves[0].line)[0]
    last = shapely.get_coordinates(one.moves[-1].line)[-1]
    feed = cutting.air_feed_mm_per_s
    there, back = (
        [Move(kind="air", line=LineString(way), feed_mm_per_s=feed)] if len(way) > 1 else []
        for way in (air.way(at, first), air.way(at, last)[::-1])
    )
    return replace(one, moves=(*there, *one.moves, *back))


def _travel_faults(passes: Sequence[Pass], at: Points, workshop: Workshop) -> Iterator[Fault]:
    rig = workshop.rig
    points = shapely.get_coordinates([move.line for one in passes for move in one.moves])
    spans = np.ptp(np.vstack((points, at)), axis=0)
    for axis, span, travel in zip("xy", spans, (rig.travel_x_mm, rig.travel_y_mm), strict=True):
        if travel is not None and span > travel:
            yield Fault(
                f"from where the wire waits it would go {told_apart(span, travel, 0)} mm "
                f"along {axis}; the table "
                f"moves {travel:g} mm",
                "",
                "let it wait nearer to the foam (rig.waits_at)",
            )


class _Air:
    """The air round a layout's foam: what the wire keeps off there, and ways round it."""

    def __init__(self, layout: Layout, workshop: Workshop, cutting: Cutting) -> None:
        # As far out as ways round the block run (`touring`).
        self.away_mm = max(cutting.lead_in_mm, cutting.kerf_mm)
        self.reach_mm = cutting.widest_kerf_mm / 2
        self.clamps = [clamp.polygon for clamp in workshop.rig.clamps]
        foam = box(0, 0, layout.width_mm, layout.height_mm)
        self.foam: Geometry = _grown(foam, self.away_mm - HAIR_MM)
        if workshop.rig.wire_lies == "level":
            # The block stands on the table: there is no way below it.
            self.foam = overlay.union([self.foam, box(-FAR_MM, -FAR_MM, FAR_MM, -HAIR_MM)])
        free = free_sides(cutting, workshop.rig)
        unfree = side_lines(layout, [side for side in SIDES if side not in free])
        self.unfree = shapely.buffer(unfree, self.away_mm * 1.01, cap_style="square")
        rims = [
            _grown(foam, self.away_mm),
            *(_grown(clamp, self.reach_mm + 2 * HAIR_MM) for clamp in self.clamps),
        ]
        self.corners: Points = np.round(shapely.get_coordinates(rims), DECIMALS) + 0.0

    def faults_at(self, at: Points) -> Iterator[Fault]:
        """Give why the wire cannot wait at a place, (2,)."""
        place = shapely.points(at)
        where = f"x {at[0]:g}, y {at[1]:g} mm"
        mend = "let it wait beside the foam, clear of clamps (rig.waits_at)"
        if shapely.intersects(self.foam, place):
            yield Fault(
                f"the wire would wait in the foam, under it or within {self.away_mm:g} mm of it",
                where,
                mend,
            )
        for number, clamp in enumerate(self.clamps, 1):
            if shapely.dwithin(clamp, place, self.reach_mm):
                yield Fault(f"the wire would wait at clamp {number}", where, mend)

    def way(self, start: Points, end: Points) -> Points:
        """Return the shortest way in air, (n, 2); a single point where it is none."""
        if np.hypot(*(end - start)) < HAIR_MM / 2:
            return start[None]
        kept_off = [self.foam, *(_grown(clamp, self.reach_mm) for clamp in self.clamps)]
        found = self._shortest(start, end, kept_off)
        if found is None:
            found = self._shortest(start, end, kept_off[:1])
        assert found is not None, "the corners round the foam lead everywhere outside it"
        return found

    def _shortest(self, start: Points, end: Points, kept_off: Sequence[Geometry]) -> Points | None:
        """Return the cheapest way over the corners, None where there is none."""
        from scipy.sparse.csgraph import dijkstra

        nodes = np.vstack((start, end, self.corners))
        i, j = np.triu_indices(len(nodes), 1)
        lines = np.asarray(shapely.linestrings(np.stack((nodes[i], nodes[j]), axis=1)))
        hit = shapely.intersects(lines[:, None], np.array(kept_off)[None]).any(axis=1)
        dear = shapely.length(overlay.intersection(lines, self.unfree))
        costs = np.zeros((len(nodes), len(nodes)))
        # Nodes in one place are told apart by a hair; no cost stands for no way.
        costs[i, j] = np.where(hit, 0.0, shapely.length(lines) + UNFREE_COST * dear + 1e-9)
        reached, before = dijkstra(costs, directed=False, indices=0, return_predecessors=True)
        if not np.isfinite(reached[1]):
            return None
        way = [1]
        while way[-1] != 0:
            way.append(int(before[way[-1]]))
        points = nodes[way[::-1]]
        moved = np.any(np.diff(points, axis=0) != 0, axis=1)
        return points[np.concatenate(([True], moved))]


def _grown(area: Geometry, by_mm: float) -> Geometry:
    return shapely.buffer(area, by_mm, join_style="mitre", mitre_limit=2.0)
