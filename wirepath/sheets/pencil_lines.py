"""Pencil lines by which a block is set: across edges of it that still stand when it is moved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Geometry, LineString

from wirepath import overlay
from wirepath.geometry import foam_face, off_table, on_table, place_all, polygons
from wirepath.model import Layout, Plan
from wirepath.sheets.figures import beside, measure, whole
from wirepath.sheets.squares import column_name
from wirepath.wording import Words
from wirepath.wording.setups import SetupWords

LEAST_MM = 40.0
"""A stretch of edge shorter than this carries no pencil line."""

END_MM = 10.0
"""How far lines keep off the ends of a stretch."""

STEP_MM = 10.0
"""Lines stand on whole multiples of this along the edge, where there is room."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PencilLine:
    """A line across an edge of the block, and where it stands in its setup.

    `edge` counts left 0, bottom 1, right 2, top 3 of the face as drawn, `along_mm` is from the
    face's datum corner: across, or up. `at` is on the table, `axis` the one it is pushed along.
    """

    mark: str
    edge: int
    along_mm: float
    at: tuple[float, float]
    axis: int

    def named(self, plan: Plan, own: SetupWords, words: Words) -> str:
        """Return its letter and where it is drawn."""
        return own.drawn.format(**self._figures(plan, words))

    def meets(self, plan: Plan, own: SetupWords, words: Words) -> str:
        """Return where it stands on the table, in words."""
        off = self.at[self.axis]
        if not off:
            return own.line_at_datum.format(**self._figures(plan, words))
        template = (own.line_right, own.line_up)[self.axis]
        return template.format(mm=measure(off, plan.workshop.paper), **self._figures(plan, words))

    def _figures(self, plan: Plan, words: Words) -> dict[str, str]:
        place = words.up if self.edge in (0, 2) else words.across
        figure = beside(whole(self.along_mm), self.along_mm, plan.workshop.paper)
        return {"mark": self.mark, "edge": words.edges[self.edge], "place": place.format(mm=figure)}


def pencil_lines(plan: Plan, layout: Layout, number: int) -> list[PencilLine]:
    """Return the lines by which a block is pushed for a setup: one for each way it is pushed.

    Nearest to the table's datum corner where the edge at the stop still stands; at the corner
    itself, where it stands there. An edge that is all cut away has its line at the corner.
    """
    setup = layout.setup(number)
    foam = on_table(_standing(plan, layout, number), setup)
    west, south, east, north = on_table(foam_face(layout), setup).bounds
    stops = (LineString([(west, south), (east, south)]), LineString([(west, south), (west, north)]))
    found = []
    for axis, pushed in enumerate((-west, -south)):
        if abs(pushed) < 1e-6:
            continue
        at = [west, south]
        at[axis] = _nearest(foam, stops[axis], axis)
        spot = off_table(shapely.points(at), setup)
        edge, along = _edge(layout, (spot.x, spot.y))
        found.append(
            PencilLine(
                mark=column_name(number - 1),
                edge=edge,
                along_mm=along,
                at=(at[0], at[1]),
                axis=axis,
            )
        )
    return found


def _standing(plan: Plan, layout: Layout, number: int) -> Geometry:
    """Return what stands of the foam when the block is moved for a setup, pieces taken out."""
    before = [one for one in plan.passes if one.layout == layout.number and one.setup < number]
    moves = [move for one in before for move in one.moves]
    lines = [way for move in moves for way in (move.line, move.far or move.line)]
    freed = {move.piece for move in moves}
    placed = zip(layout.placements, place_all(layout, plan.pieces), strict=True)
    pieces = [area for one, area in placed if one.piece in freed]
    slots = shapely.buffer(lines, plan.workshop.cutting.kerf_mm / 2)
    rest = overlay.difference(foam_face(layout), overlay.union([*slots, *pieces]))
    return max(polygons(rest), key=lambda part: part.area)


def _nearest(foam: Geometry, stop: LineString, axis: int) -> float:
    """Return where along a stop the line stands: 0 for at the datum corner."""
    stretches: Sequence[Geometry] = shapely.get_parts(overlay.intersection(stop, foam)).tolist()
    best: list[float] = []
    for one in stretches:
        if shapely.length(one) < LEAST_MM:
            continue
        low, high = np.sort(shapely.get_coordinates(one)[:, axis][[0, -1]]).tolist()
        low, high = low + END_MM, high - END_MM
        near = min(max(0.0, low), high)
        tries = (float(np.ceil(near / step) * step) for step in (STEP_MM, 1.0))
        best.append(next((one for one in tries if low <= one <= high), near))
    return min(best, key=lambda at: (at < 0, abs(at)), default=0.0)


def _edge(layout: Layout, at: tuple[float, float]) -> tuple[int, float]:
    """Return the edge of the face that a place lies on, and how far along it that is."""
    x, y = at
    gaps = [abs(x), abs(y), abs(layout.width_mm - x), abs(layout.height_mm - y)]
    edge = gaps.index(min(gaps))
    return edge, y if edge in (0, 2) else x
