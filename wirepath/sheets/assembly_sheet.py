"""The whole as it will stand, seen from the front: for putting together, and for the client."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import LineString, Polygon

from wirepath.model import Piece, Plan
from wirepath.sheets.figures import kilos, runs, short
from wirepath.sheets.flow import Flow, Frame, Paragraph, Space, Table, heading
from wirepath.sheets.layout_sheet import SCALES
from wirepath.sheets.lettering import BIG, HEAD, HUGE, NOTE, TEXT, Box
from wirepath.sheets.marks import View, draw_leader
from wirepath.sheets.page import HAIR, MEDIUM, THICK, THIN, Page, Text, upright
from wirepath.sheets.room import Room
from wirepath.sheets.strip import body, columns, text_page
from wirepath.units import litres
from wirepath.wording import Words

PICTURE_SHARE = 0.58
"""Most of the page's height the picture takes."""
DIMENSION_MM = 9.0


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the whole, and the pieces that go there: copies share one place."""

    area: Polygon
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Layer:
    """Everything whose back stands `from_mm` off the back of the whole."""

    from_mm: float
    places: tuple[Place, ...]


def layers(plan: Plan) -> list[Layer]:
    """Return the layers of the whole from the back to the front."""
    found: dict[float, dict[bytes, list[Piece]]] = {}
    for piece in plan.pieces:
        places = found.setdefault(round(piece.from_mm, 3), {})
        places.setdefault(shapely.to_wkb(shapely.normalize(piece.finished)), []).append(piece)
    return [
        Layer(from_mm, tuple(Place(alike[0].finished, tuple(alike)) for alike in places.values()))
        for from_mm, places in sorted(found.items())
    ]


def assembly_pages(plan: Plan, words: Words) -> list[Page]:
    """Return a page for each layer of the whole; the last one has room to agree to it."""
    pages: list[Page] = []
    stack = layers(plan)
    for number, layer in enumerate(stack, 1):
        title = words.assembly_title
        if len(stack) > 1:
            title = words.assembly_layer_title.format(
                number=number, total=len(stack), mm=short(layer.from_mm)
            )
        pages += _layer_pages(plan, layer, title, words, is_last=number == len(stack))
    return pages


def _layer_pages(
    plan: Plan, layer: Layer, title: str, words: Words, *, is_last: bool
) -> list[Page]:
    page = Page(*upright(plan.workshop.paper.size), title=title)
    pages = [page]
    area = body(page)
    picture = _Picture(page, plan, layer, area, words)
    page.scale = words.scale.format(scale=short(picture.view.scale))
    picture.draw()

    def more() -> Sequence[Frame]:
        pages.append(text_page(plan, title))
        return columns(pages[-1], body(pages[-1]), 150.0)

    below = Box(area.x0, area.y0, area.x1, picture.bottom - 3.0)
    flow = Flow([Frame(page, below)], more)
    if picture.missing:
        missing = ", ".join(picture.missing)
        flow.add(Paragraph(words.list_only.format(what=missing)))
    flow.table(_forms(plan, layer, words), before=(heading(words.assembly_forms),))
    if is_last:
        weights = dict(plan.estimate.piece_weights_kg)
        total = words.assembly_total.format(
            pieces=len(plan.pieces),
            weight=kilos(sum(weights.values())),
            litres=short(litres(sum(piece.volume_mm3 for piece in plan.pieces))),
        )
        agreed = Paragraph(words.assembly_agreed, cap_mm=TEXT, before_mm=3.0)
        flow.add(Paragraph(total, before_mm=2.0), Space(2.0), agreed, Space(8.0), _Signature(words))
    return pages


def _forms(plan: Plan, layer: Layer, words: Words) -> Table:
    weights = dict(plan.estimate.piece_weights_kg)
    rows = []
    for place in layer.places:
        first = place.pieces[0]
        west, south, east, north = place.area.bounds
        thick = first.thickness_mm - first.allowance_mm * (plan.job.form.kind == "relief")
        rows.append(
            (
                runs([piece.number for piece in place.pieces]),
                first.part,
                words.size.format(
                    length=short(east - west), width=short(north - south), thickness=short(thick)
                ),
                str(len(place.pieces)),
                kilos(weights.get(first.number, 0.0)),
            )
        )
    return Table(words.assembly_heads, rows, "llrrr", wraps=(0, 1, 2))


@dataclass(frozen=True, slots=True)
class _Signature:
    """Two lines to write on: who agrees, and when."""

    words: Words

    def height_mm(self, width_mm: float) -> float:
        return 8.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        half = (width_mm - 10.0) / 2
        for i, label in enumerate((self.words.assembly_name, self.words.assembly_date)):
            left = x + i * (half + 10.0)
            page.line([(left, top), (left + half, top)], MEDIUM)
            page.text(left, top - 4.5, label)


@dataclass(slots=True)
class _Picture:
    page: Page
    plan: Plan
    layer: Layer
    area: Box
    words: Words
    missing: list[str] = field(default_factory=list)
    view: View = field(init=False)
    bottom: float = field(init=False)

    def __post_init__(self) -> None:
        areas = [piece.finished for piece in self.plan.pieces]
        west, south, east, north = shapely.total_bounds(np.array(areas, dtype=object))
        self.bounds = (float(west), float(south), float(east), float(north))
        room = (self.area.width - DIMENSION_MM - 2, self.area.height * PICTURE_SHARE)
        scale = next(
            scale
            for scale in SCALES
            if (east - west) / scale <= room[0] and (north - south) / scale <= room[1]
        )
        y0 = self.area.y1 - (north - south) / scale
        x0 = self.area.x0 + DIMENSION_MM
        self.view = View(x0 - west / scale, y0 - south / scale, scale)
        self.bottom = y0 - DIMENSION_MM

    bounds: tuple[float, float, float, float] = field(init=False)

    def draw(self) -> None:
        places = [self.view.area(place.area) for place in self.layer.places]
        rings = [ring for area in places for ring in (area.exterior, *area.interiors)]
        self._draw_whole_behind(places)
        for ring in rings:
            self.page.line(shapely.get_coordinates(ring), THICK)
        low, high = self.view.points([self.bounds[:2], self.bounds[2:]])
        box = Box(float(low[0]), float(low[1]), float(high[0]), float(high[1]))
        room = Room([LineString(ring.coords) for ring in rings], box)
        for place, area in zip(self.layer.places, places, strict=True):
            self._label(room, place, area)
        self._draw_contours(room)
        self._dimensions(box)

    def _draw_whole_behind(self, places: Sequence[Polygon]) -> None:
        """Draw the outlines of the drawing that this layer does not reach, thin and dashed."""
        drawn = shapely.union_all(places).boundary.buffer(0.3) if places else None
        for outline in self.plan.traced.outlines:
            area = self.view.area(outline.polygon)
            for ring in (area.exterior, *area.interiors):
                rest = ring if drawn is None else shapely.difference(ring, drawn)
                for part in shapely.get_parts(rest):
                    if len(self.layer.places) and part.length > 0.5:
                        self.page.line(shapely.get_coordinates(part), HAIR, (1.5, 1.0))

    def _label(self, room: Room, place: Place, area: Polygon) -> None:
        """Write the numbers of the pieces as large as they fit."""
        label = runs([piece.number for piece in place.pieces])
        for cap in (HUGE, BIG, HEAD, TEXT, NOTE):
            text = Text(0, 0, label, cap, bold=True, align="center")
            spot = room.spot(area, text.box)
            if spot is not None:
                written = self.page.text(*spot, label, cap, bold=True, align="center")
                room.take(written.box)
                return
        text = Text(0, 0, label, NOTE, bold=True, align="center")
        half = text.box.width / 2
        x, y = area.representative_point().coords[0]
        spot = room.near(x, y, half + 0.5, text.box)
        if spot is None:
            self.missing.append(self.words.piece.format(number=label))
            return
        room.take(self.page.text(*spot, label, NOTE, bold=True, align="center").box)
        draw_leader(self.page, room, (x, y), (spot[0], spot[1] + NOTE / 2), half + 0.6)

    def _draw_contours(self, room: Room) -> None:
        taken = room.taken + np.array([-0.5, -0.5, 0.5, 0.5])
        labels = shapely.union_all(shapely.box(*taken.T))
        for contour in self.plan.traced.contours:
            line = shapely.boundary(self.view.area(contour.region))
            for part in shapely.get_parts(shapely.difference(line, labels)):
                points = shapely.get_coordinates(shapely.simplify(part, 0.02))
                if len(points) > 1:
                    self.page.line(points, HAIR)

    def _dimensions(self, box: Box) -> None:
        """Draw overall width and height, arrow to arrow."""
        width = short(self.bounds[2] - self.bounds[0])
        height = short(self.bounds[3] - self.bounds[1])
        y, x = box.y0 - 5.0, box.x0 - 3.0
        for at in (box.x0, box.x1):
            self.page.line([(at, box.y0 - 1.0), (at, y - 1.5)], THIN)
        for at in (box.y0, box.y1):
            self.page.line([(box.x0 - 1.0, at), (x - 1.5, at)], THIN)
        self.page.line([(box.x0, y), (box.x1, y)], THIN)
        self.page.line([(x, box.y0), (x, box.y1)], THIN)
        for tip, angle in (
            ((box.x0, y), np.pi),
            ((box.x1, y), 0.0),
            ((x, box.y0), -np.pi / 2),
            ((x, box.y1), np.pi / 2),
        ):
            self.page.arrow_head(*tip, float(angle), 2.5, 0.4)
        middle = (box.x0 + box.x1) / 2
        self.page.text(middle, y - 3.6, width, NOTE, align="center")
        self.page.text(x - 1.0, (box.y0 + box.y1) / 2, height, NOTE, align="center", upwards=True)
