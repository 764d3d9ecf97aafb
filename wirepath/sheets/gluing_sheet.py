"""How parted forms go together: a map of each layer, its seams, and the steps of gluing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Geometry, LineString, Point, Polygon

from wirepath.geometry import seam_line
from wirepath.model import GlueStep, Piece, Plan, Seam, SeamMark
from wirepath.sheets.figures import beside, runs, short, whole
from wirepath.sheets.flow import Flow, Frame, Paragraph, Space, Table, heading
from wirepath.sheets.layout_sheet import SCALES
from wirepath.sheets.lettering import BIG, HEAD, NOTE, TEXT, Box
from wirepath.sheets.marks import View, draw_leader, draw_up
from wirepath.sheets.page import DASHES, HEAVY, MEDIUM, THICK, THIN, Page, Text, upright
from wirepath.sheets.room import Room
from wirepath.sheets.squares import column_name
from wirepath.sheets.strip import body, columns, text_page
from wirepath.wording import Words

TICK_MM = 2.2
"""Half of a mark across a seam, on paper."""

STEP_COLUMN_MM = 180.0

PICTURE_SHARE = 0.66
"""Most of the page's height the map takes."""

MARGIN_MM = 12.0
"""Kept beside the map, for the arrow to the top."""


def seam_name(number: int) -> str:
    """Return a seam's letter: A is the first; I and O are left out, as on a map of squares."""
    return column_name(number - 1)


@dataclass(frozen=True, slots=True)
class _Layer:
    """What is glued of one form at one height: its pieces, and the seams that lie there."""

    form: str
    from_mm: float
    pieces: tuple[Piece, ...]
    below: tuple[Piece, ...]
    seams: tuple[tuple[int, Seam], ...]
    """With their numbers: edges between its pieces, and areas on which they lie."""


def gluing_pages(plan: Plan, words: Words) -> list[Page]:
    """Return the maps and the steps of every parted form; none where no form is parted."""
    forms: dict[str, list[Piece]] = defaultdict(list)
    for piece in plan.pieces:
        if piece.section_of is not None:
            forms[piece.section_of].append(piece)
    pages: list[Page] = []
    for form, pieces in forms.items():
        layers = list(_layers(plan, form, pieces))
        for number, layer in enumerate(layers, 1):
            title = words.gluing_title.format(form=form)
            if len(layers) > 1:
                title = words.gluing_layer_title.format(
                    form=form, number=number, total=len(layers), mm=short(layer.from_mm)
                )
            pages += _map_pages(plan, layer, title, words)
        pages += _step_pages(plan, form, words)
    return pages


def _layers(plan: Plan, form: str, pieces: Sequence[Piece]) -> Iterator[_Layer]:
    heights = sorted({round(piece.from_mm, 3) for piece in pieces})
    before: tuple[Piece, ...] = ()
    for height in heights:
        own = tuple(piece for piece in pieces if round(piece.from_mm, 3) == height)
        numbers = {piece.number for piece in own}
        seams = tuple(
            (number, seam)
            for number, seam in enumerate(plan.seams, 1)
            # A seam is drawn with the later of its layers.
            if max(seam.pieces, key=lambda n: (round(plan.piece(n).from_mm, 3), n)) in numbers
        )
        yield _Layer(form, height, own, before, seams)
        before = own


# --- The map -------------------------------------------------------------------------


def _map_pages(plan: Plan, layer: _Layer, title: str, words: Words) -> list[Page]:
    page = Page(*upright(plan.workshop.paper.size), title=title)
    pages = [page]
    area = body(page)
    picture = _Map(page, plan, layer, area, words)
    page.scale = words.scale.format(scale=short(picture.view.scale))
    picture.draw()

    def more() -> Sequence[Frame]:
        pages.append(text_page(plan, title))
        return columns(pages[-1], body(pages[-1]), 150.0)

    below = Box(area.x0, area.y0, area.x1, picture.bottom - 3.0)
    flow = Flow([Frame(page, below)], more)
    flow.add(Paragraph(words.gluing_key))
    if picture.missing:
        flow.add(Paragraph(words.list_only.format(what=", ".join(picture.missing))))
    rows = [_seam_row(plan, number, seam, words) for number, seam in layer.seams]
    if rows:
        table = Table(words.gluing_heads, rows, "llrrll", wraps=(1, 2, 4, 5))
        note = Paragraph(words.gluing_note)
        flow.table(table, before=(heading(words.gluing_seams), note))
    return pages


def _seam_row(plan: Plan, number: int, seam: Seam, words: Words) -> tuple[str, ...]:
    marks = [mark for mark in plan.assembly.marks if mark.seam == number]
    pins = [pin for pin in plan.assembly.pins if pin.seam == number]

    def figure(mm: float) -> str:
        return beside(whole(mm), mm, plan.workshop.paper)

    def place(x: float, y: float) -> str:
        return words.gluing_at.format(across=figure(x), up=figure(y))

    if seam.kind == "edge":
        long = figure(float(shapely.length(seam.place)))
        told = ", ".join(figure(mark.along_mm or 0.0) for mark in marks)
        pinned = ", ".join(
            f"{figure(pin.along_mm or 0.0)} / {figure(pin.start[2])}" for pin in pins
        )
    else:
        long = ""
        told = ", ".join(place(*mark.at) for mark in marks)
        pinned = ", ".join(place(*pin.start[:2]) for pin in pins)
    if pins:
        length = float(np.linalg.norm(np.subtract(pins[0].end, pins[0].start)))
        pinned = words.gluing_pins.format(
            count=len(pins),
            diameter=short(plan.workshop.glue.pin_diameter_mm),
            length=whole(length),
            places=pinned,
        )
    return (
        seam_name(number),
        words.gluing_pair.format(one=seam.pieces[0], other=seam.pieces[1]),
        long,
        short(seam.area_mm2 / 1e4),
        told or words.gluing_none,
        pinned or words.gluing_none,
    )


@dataclass(slots=True)
class _Map:
    page: Page
    plan: Plan
    layer: _Layer
    area: Box
    words: Words
    missing: list[str] = field(default_factory=list)
    view: View = field(init=False)
    bottom: float = field(init=False)
    room: Room = field(init=False)

    def __post_init__(self) -> None:
        form = [one for one in self.plan.pieces if one.section_of == self.layer.form]
        areas = np.array([piece.outline for piece in form], dtype=object)
        west, south, east, north = map(float, shapely.total_bounds(areas))
        room = (self.area.width - MARGIN_MM, self.area.height * PICTURE_SHARE)
        scale = next(
            scale
            for scale in SCALES
            if (east - west) / scale <= room[0] and (north - south) / scale <= room[1]
        )
        y0 = self.area.y1 - (north - south) / scale - 2.0
        x0 = self.area.x0 + (self.area.width - (east - west) / scale) / 2
        self.view = View(x0 - west / scale, y0 - south / scale, scale)
        self.bottom = y0 - 2.0

    def draw(self) -> None:
        """Draw lines first, then labels where they leave room."""
        places = [self.view.area(piece.outline) for piece in self.layer.pieces]
        lines: list[Geometry] = [ring for area in places for ring in _rings(area)]
        own = {number for number, _ in self.layer.seams}
        ticks = [self._tick(mark) for mark in self.plan.assembly.marks if mark.seam in own]
        pins = [
            LineString(self.view.points([pin.start[:2], pin.end[:2]]))
            for pin in self.plan.assembly.pins
            if pin.seam in own
        ]
        spots = [Point(*pin.coords[0]).buffer(0.9).exterior for pin in pins if pin.length < 0.1]
        drawn = shapely.union_all(places).boundary.buffer(0.3)
        for piece in self.layer.below:
            for ring in _rings(self.view.area(piece.outline)):
                for part in shapely.get_parts(shapely.difference(ring, drawn)):
                    if part.length > 0.5:
                        self.page.line(shapely.get_coordinates(part), THIN, DASHES)
        for ring in lines:
            self.page.line(shapely.get_coordinates(ring), THICK)
        for tick in ticks:
            self.page.line(shapely.get_coordinates(tick), MEDIUM)
        for pin in pins:
            if pin.length >= 0.1:
                self.page.line(shapely.get_coordinates(pin), HEAVY)
        for spot in spots:
            self.page.fill(shapely.get_coordinates(spot))
        self.room = Room([*lines, *ticks, *pins, *spots], self.area)
        for piece, area in zip(self.layer.pieces, places, strict=True):
            self._number(str(piece.number), area)
        for number, seam in self.layer.seams:
            self._letter(number, seam)
        draw_up(self.page, (self.area.x0 + 5.0, self.area.y1 - 8.0), (0.0, 1.0), self.words.up_mark)

    def _tick(self, mark: SeamMark) -> LineString:
        (x, y) = self.view.points([mark.at])[0]
        turn = np.radians(mark.across_deg)
        way = np.array([np.cos(turn), np.sin(turn)]) * TICK_MM
        return LineString([(x - way[0], y - way[1]), (x + way[0], y + way[1])])

    def _number(self, label: str, area: Polygon) -> None:
        for cap in (BIG, HEAD, TEXT, NOTE):
            text = Text(0, 0, label, cap, bold=True, align="center")
            spot = self.room.spot(area, text.box)
            if spot is not None:
                self.room.take(self.page.text(*spot, label, cap, bold=True, align="center").box)
                return
        self._beside(label, *area.representative_point().coords[0])

    def _letter(self, number: int, seam: Seam) -> None:
        """Write the seam's letter in a ring beside its middle; a layer's, in its area."""
        if seam.kind == "edge":
            at = seam_line(seam.place).interpolate(0.5, normalized=True)
        else:
            at = shapely.point_on_surface(seam.place)
        (x, y) = map(float, self.view.points([(at.x, at.y)])[0])
        self._beside(seam_name(number), x, y, ringed=True)

    def _beside(self, label: str, x: float, y: float, *, ringed: bool = False) -> None:
        text = Text(0, 0, label, NOTE, bold=True, align="center")
        radius = float(np.hypot(text.box.width, NOTE)) / 2 + 0.5
        box = Box(-radius, -radius, radius, radius) if ringed else text.box
        spot = self.room.near(x, y, radius + 0.3, box)
        if spot is None:
            self.missing.append(label)
            return
        base = spot[1] - NOTE / 2 if ringed else spot[1]
        self.page.text(spot[0], base, label, NOTE, bold=True, align="center")
        if ringed:
            self.page.circle(*spot, radius)
        self.room.take(Box(spot[0] + box.x0, spot[1] + box.y0, spot[0] + box.x1, spot[1] + box.y1))
        middle = spot if ringed else (spot[0], spot[1] + NOTE / 2)
        draw_leader(self.page, self.room, (x, y), middle, radius + 0.1)


def _rings(area: Polygon) -> list[Geometry]:
    return [area.exterior, *area.interiors]


# --- The steps -----------------------------------------------------------------------


def _step_pages(plan: Plan, form: str, words: Words) -> list[Page]:
    title = words.gluing_steps_title.format(form=form)
    pages: list[Page] = []

    def more() -> Sequence[Frame]:
        pages.append(text_page(plan, title))
        return columns(pages[-1], body(pages[-1]), STEP_COLUMN_MM)

    flow = Flow([], more)
    glue = plan.workshop.glue
    time = words.gluing_label
    if glue.set_min is not None:
        time = words.gluing_minutes.format(minutes=short(glue.set_min))
    intro = [
        words.gluing_glue.format(name=glue.name) if glue.name else words.gluing_any_glue,
        *(text.format(time=time) for text in words.gluing_how),
    ]
    flow.add(Paragraph(words.gluing_caution, cap_mm=TEXT, bold=True, after_mm=2.0))
    for text in intro:
        flow.add(Paragraph(text, cap_mm=TEXT, after_mm=1.5))
    steps = [step for step in plan.assembly.steps if step.form == form]
    place = ""
    for step in steps:
        if step.place != place and plan.loads:
            place = step.place
            told = words.gluing_at_home if place == "workshop" else words.gluing_on_site
            flow.add(heading(told))
        flow.add(
            Space(0.8),
            Paragraph(
                _step_text(plan, step, words),
                cap_mm=TEXT,
                indent_mm=14.0,
                label=str(step.number),
                after_mm=1.5,
            ),
        )
    return pages


def _step_text(plan: Plan, step: GlueStep, words: Words) -> str:
    pins = sum(1 for pin in plan.assembly.pins if pin.seam in step.seams)
    area = sum(plan.seams[number - 1].area_mm2 for number in step.seams)
    return words.gluing_step.format(
        moved=_pieces(step.moved, words),
        onto=_pieces(step.onto, words),
        seams=", ".join(seam_name(number) for number in step.seams),
        area=short(area / 1e4),
        pins=words.gluing_step_pins.format(count=pins) if pins else words.gluing_step_no_pins,
    )


def _pieces(numbers: Sequence[int], words: Words) -> str:
    if len(numbers) == 1:
        return words.piece.format(number=numbers[0])
    return words.gluing_lump.format(numbers=runs(numbers))
