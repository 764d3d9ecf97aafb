"""A layer of what is made, seen from the front, to scale: pieces, seams, marks, overall size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Geometry, LineString, Point, Polygon

from wirepath import overlay
from wirepath.geometry import seam_line
from wirepath.model import Plan, Seam, SeamMark
from wirepath.sheets.figures import measure, short
from wirepath.sheets.lettering import Box
from wirepath.sheets.marks import (
    OVERALL_MM,
    View,
    draw_overall,
    draw_up,
    hatch,
    number_area,
    ring_beside,
    standard_scale,
)
from wirepath.sheets.page import DASHES, HAIR, HEAVY, MEDIUM, THICK, THIN, Page
from wirepath.sheets.room import Room
from wirepath.sheets.squares import column_name
from wirepath.wording import Words

PICTURE_SHARE = 0.6
"""Most of the page's height the picture takes."""

DOT_MM = 0.9
"""Radius of the dot that is a pin seen end on."""

TICK_MM = 2.2
"""Half of a mark across a seam, on paper."""

MAIN_MM = 0.7
"""From a main seam to each of the two lines that stand for it, on paper."""

CROWDED_MM = 1.6
"""A contour is left out where half of it lies nearer than this to the last one drawn."""

APART_MM = 0.6
"""And stops where it runs so near to another line: a copier would fill the white between."""

UP_ROOM_MM = 12.0
"""Kept right of the picture, for the arrow to the top."""


def seam_name(number: int) -> str:
    """Return a seam's letter: A is the first; I and O are left out, as on a map of squares."""
    return column_name(number - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """What a picture shows, in mm as the form is drawn."""

    areas: tuple[tuple[str, Polygon], ...]
    """What is written in an area, and the area."""
    behind: tuple[Polygon, ...]
    """Thin and dashed, where no area's edge covers it."""
    within: tuple[float, float, float, float]
    """West, south, east, north of all layers: they have one place and one scale on paper."""
    seams: tuple[tuple[int, Seam], ...] = ()
    """With their numbers."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a picture took of the page: all left of `right` and above `bottom`."""

    bottom: float
    right: float
    missing: tuple[str, ...]
    """Labels that found no room."""


def draw_layer(page: Page, plan: Plan, layer: Layer, area: Box, words: Words) -> Drawn:
    """Draw a layer at the top of `area`, as large as it fits."""
    west, south, east, north = layer.within
    room = (area.width - OVERALL_MM - UP_ROOM_MM, area.height * PICTURE_SHARE)
    scale = standard_scale(east - west, north - south, room)
    page.scale = words.scale.format(scale=short(scale))
    x0 = area.x0 + OVERALL_MM
    y0 = area.y1 - 1.0 - (north - south) / scale
    box = Box(x0, y0, x0 + (east - west) / scale, area.y1 - 1.0)
    view = View(x0 - west / scale, y0 - south / scale, scale)
    picture = _Picture(page, plan, layer, view, box, words)
    picture.draw()
    paper = plan.workshop.paper
    width, height = (measure(mm, paper) for mm in (east - west, north - south))
    draw_overall(page, box, width, height)
    return Drawn(y0 - OVERALL_MM, box.x1 + UP_ROOM_MM, tuple(picture.missing))


@dataclass(slots=True)
class _Picture:
    page: Page
    plan: Plan
    layer: Layer
    view: View
    box: Box
    words: Words
    missing: list[str] = field(default_factory=list)

    def draw(self) -> None:
        """Draw lines first, then labels where they leave room, contours last."""
        areas = [self.view.area(area) for _, area in self.layer.areas]
        rings: list[Geometry] = [ring for area in areas for ring in _rings(area)]
        own = {number for number, _ in self.layer.seams}
        main = self._main_seams()
        ticks = [self._tick(mark) for mark in self.plan.assembly.marks if mark.seam in own]
        pins = [
            LineString(self.view.points([pin.start[:2], pin.end[:2]]))
            for pin in self.plan.assembly.pins
            if pin.seam in own
        ]
        spots = [Point(*pin.coords[0]).buffer(DOT_MM).exterior for pin in pins if pin.length < 0.1]
        self._draw_behind(areas)
        self._hatch_glue()
        single = shapely.difference(np.array(rings, dtype=object), shapely.buffer(main, MAIN_MM))
        for part in shapely.get_parts(single[shapely.length(single) > 0]):
            self.page.line(shapely.get_coordinates(part), THICK)
        band = shapely.buffer(main, MAIN_MM, cap_style="flat")
        for part in shapely.get_parts(shapely.boundary(band)):
            if part.length:
                self.page.line(shapely.get_coordinates(part), THICK)
        for tick in ticks:
            self.page.line(shapely.get_coordinates(tick), MEDIUM)
        for pin in pins:
            if pin.length >= 0.1:
                self.page.line(shapely.get_coordinates(pin), HEAVY)
        for spot in spots:
            self.page.fill(shapely.get_coordinates(spot))
        wider = Box(self.box.x0, self.box.y0, self.box.x1 + UP_ROOM_MM - 2.0, self.box.y1)
        room = Room([*rings, *ticks, *pins, *spots, shapely.boundary(band)], wider)
        up = (self.box.x1 + UP_ROOM_MM / 2 + 1.0, self.box.y1 - 5.0)
        draw_up(self.page, up, (0.0, 1.0), self.words.up_mark)
        room.take(Box(up[0] - 4.0, up[1] - 10.0, up[0] + 4.0, up[1] + 5.0))
        for (label, _), area in zip(self.layer.areas, areas, strict=True):
            if not number_area(self.page, room, label, area):
                self.missing.append(self.words.piece.format(number=label))
        for number, seam in self.layer.seams:
            name = seam_name(number)
            if not ring_beside(self.page, room, name, self._middle(seam)):
                self.missing.append(name)
        self._draw_contours(room, [*rings, shapely.boundary(band)])

    def _hatch_glue(self) -> None:
        """Hatch what of layers is glued, where not all of it is."""
        areas = [
            shapely.transform(seam.glued, self.view.points)
            for _, seam in self.layer.seams
            if seam.kind == "layer" and not shapely.is_empty(seam.dry)
        ]
        if areas:
            hatch(self.page, overlay.union(areas), self.box)

    def _main_seams(self) -> Geometry:
        """Return the lines of all main seams on paper."""
        lines = [
            seam.place
            for number, seam in self.layer.seams
            if number in self.plan.main_seams and seam.kind == "edge"
        ]
        return shapely.transform(shapely.union_all(lines), self.view.points)

    def _draw_behind(self, areas: Sequence[Polygon]) -> None:
        drawn = shapely.union_all(areas).boundary.buffer(0.3)
        for behind in self.layer.behind:
            for ring in _rings(self.view.area(behind)):
                for part in shapely.get_parts(shapely.difference(ring, drawn)):
                    if part.length > 0.5:
                        self.page.line(shapely.get_coordinates(part), THIN, DASHES)

    def _tick(self, mark: SeamMark) -> LineString:
        (x, y) = self.view.points([mark.at])[0]
        turn = np.radians(mark.across_deg)
        way = np.array([np.cos(turn), np.sin(turn)]) * TICK_MM
        return LineString([(x - way[0], y - way[1]), (x + way[0], y + way[1])])

    def _middle(self, seam: Seam) -> tuple[float, float]:
        """Return where a seam's letter belongs, on paper."""
        if seam.kind == "edge":
            at = seam_line(seam.place).interpolate(0.5, normalized=True)
        else:
            at = shapely.point_on_surface(seam.place)
        x, y = self.view.points([(at.x, at.y)])[0]
        return float(x), float(y)

    def _draw_contours(self, room: Room, drawn: Sequence[Geometry]) -> None:
        """Draw the contours that belong to the picture, left off under labels and where they
        crowd each other or what is `drawn`."""
        taken = room.taken + np.array([-0.5, -0.5, 0.5, 0.5])
        frame = shapely.box(*self.layer.within)
        own = [one.region for one in self.plan.traced.contours if one.region.within(frame)]
        lines = [shapely.boundary(self.view.area(region)) for region in own]
        labels = shapely.union_all(shapely.box(*taken.T))
        blocked = shapely.union_all([labels, *shapely.buffer(list(drawn), APART_MM)])
        for line in uncrowded(lines, shapely.union_all(list(drawn))):
            for part in shapely.get_parts(shapely.difference(line, blocked)):
                points = shapely.get_coordinates(shapely.simplify(part, 0.02))
                if part.length > 1.0:
                    self.page.line(points, HAIR)
            blocked = blocked.union(shapely.buffer(line, APART_MM))


def uncrowded(lines: Sequence[Geometry], drawn: Geometry) -> Iterator[Geometry]:
    """Give those of `lines` that stand clear, for half of their way, of the lines given before
    and of what is `drawn`: in order, `CROWDED_MM` apart."""
    for line in lines:
        points = shapely.points(shapely.get_coordinates(shapely.segmentize(line, 1.0)))
        if np.median(shapely.distance(points, drawn)) >= CROWDED_MM:
            yield line
            drawn = shapely.union_all([drawn, line])


def _rings(area: Polygon) -> list[Geometry]:
    return [area.exterior, *area.interiors]
