"""The faces on which layers are glued, each drawn small and to scale: its pins, measured.

A layer's face has no edge to measure from but its own rim: two boards, one along the left and
one under the lower piece as cut, are what all pins of the face are measured from.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Geometry, LineString, MultiPolygon, Point

from wirepath import overlay
from wirepath.geometry import place, polygons
from wirepath.model import Layout, Pin, Placement, Plan, Seam, SeamMark
from wirepath.sheets.figures import beside, measure, short, whole
from wirepath.sheets.flow import Flow, Paragraph, Table, Together, heading
from wirepath.sheets.key import Sample, draw_key, hatched_sample, line_sample
from wirepath.sheets.layer_picture import DOT_MM, TICK_MM, seam_name
from wirepath.sheets.lettering import NOTE, TEXT, Box, width_mm
from wirepath.sheets.marks import View, draw_up, hatch, label_beside, standard_scale
from wirepath.sheets.page import DASHES, HAIR, MEDIUM, THICK, THIN, Page, Points, upright
from wirepath.sheets.room import Room, spread
from wirepath.sheets.strip import body
from wirepath.wording import Words

COLUMNS = 2
FEW, MANY = 2, 3
"""Rows on a page: so few are drawn larger."""
GAP_MM = 6.0
HEAD_GAP_MM = 6.0
"""Between these: a pin's number may stand over its face."""
RIGHT_MM = 14.0
"""Right of each drawing, for the arrow to the top."""
LEAD_MM = 4.5
"""From a drawing to its measures."""
FIGURE_PITCH_MM = 3.4
"""Least between two measures beside each other."""


@dataclass(frozen=True, slots=True)
class _Face:
    """Where one piece lies on another."""

    number: int
    """The seam's."""
    seam: Seam
    lower: int
    upper: int
    pins: tuple[Pin, ...]


def corner_of(plan: Plan, seam: Seam) -> tuple[float, float]:
    """Return where the two boards meet that a layer seam is measured from, in the drawing."""
    west, south, _, _ = plan.piece(lower_and_upper(plan, seam)[0]).outline.bounds
    return west, south


def lower_and_upper(plan: Plan, seam: Seam) -> tuple[int, int]:
    """Return the piece below a layer seam and the one on it."""
    low, high = sorted(seam.pieces, key=lambda number: plan.piece(number).from_mm)
    return low, high


def face_pages(plan: Plan, form: str, words: Words) -> list[Page]:
    """Return pages with every face between a form's layers that has pins or stays dry in part."""
    faces = [
        _Face(number, seam, *lower_and_upper(plan, seam), _pins(plan, number))
        for number, seam in enumerate(plan.seams, 1)
        if seam.kind == "layer" and plan.piece(seam.pieces[0]).section_of == form
    ]
    shown = [one for one in faces if one.pins or not shapely.is_empty(one.seam.dry)]
    shown.sort(key=lambda one: (one.seam.from_mm, one.number))
    rows = FEW if len(shown) <= FEW * COLUMNS else MANY
    pages: list[Page] = []
    while shown:
        page = Page(*upright(plan.workshop.paper.size), title=words.faces_title.format(form=form))
        pages.append(page)
        area = body(page)
        below = draw_key(page, area, _key(shown, words))
        note = Paragraph(words.faces_note, after_mm=2.0)
        note.draw(page, area.x0, below - 1.0, area.width)
        left = Box(area.x0, area.y0, area.x1, below - note.height_mm(area.width) - 2)
        cells = list(_cells(left, rows))
        for face, cell in zip(shown, cells, strict=False):
            head_mm = HEAD_GAP_MM + _head(plan, face, 1.0, words).height_mm(cell.width)
            room = Box(cell.x0, cell.y0, cell.x1, cell.y1 - head_mm)
            scale = _scale(plan, face, room)
            _head(plan, face, scale, words).draw(page, cell.x0, cell.y1, cell.width)
            _Drawing(page, plan, face, room, scale, words).draw()
        shown = shown[len(cells) :]
    return pages


def _pins(plan: Plan, number: int) -> tuple[Pin, ...]:
    return tuple(pin for pin in plan.assembly.pins if pin.seam == number)


def _cells(area: Box, rows: int) -> Iterator[Box]:
    """Give the places for drawings on a page, row by row from the top."""
    width = (area.width - (COLUMNS - 1) * GAP_MM) / COLUMNS
    height = (area.height - (rows - 1) * GAP_MM) / rows
    for row in range(rows):
        top = area.y1 - row * (height + GAP_MM)
        for column in range(COLUMNS):
            left = area.x0 + column * (width + GAP_MM)
            yield Box(left, top - height, left + width, top)


def _head(plan: Plan, face: _Face, scale: float, words: Words) -> Together:
    """Return what stands over a drawing: which face it is, and its pins."""
    paper = plan.workshop.paper
    title = words.face_head.format(seam=seam_name(face.number), upper=face.upper, lower=face.lower)
    told = [words.scale.format(scale=short(scale))]
    told.append(words.face_height.format(mm=measure(face.seam.from_mm, paper)))
    if not shapely.is_empty(face.seam.dry):
        wide = _dry_rim_mm(face.seam)
        told.append(words.face_dry.format(mm=beside(whole(wide), wide, paper)))
    if face.pins:
        length = face.pins[0].end[2] - face.pins[0].start[2]
        told.append(
            words.face_pins.format(
                diameter=measure(plan.workshop.glue.pin_diameter_mm, paper),
                length=measure(length, paper),
                half=measure(length / 2, paper),
            )
        )
    if len(face.pins) > 1:
        apart = math.dist(face.pins[0].start[:2], face.pins[-1].start[:2])
        told.append(words.face_apart.format(mm=beside(whole(apart), apart, paper)))
    return Together((Paragraph(title, cap_mm=TEXT, bold=True), Paragraph("; ".join(told))))


def _dry_rim_mm(seam: Seam) -> float:
    """Return how wide the strip kept dry is along the rim, at its widest."""
    rim = shapely.segmentize(shapely.boundary(seam.glued), 5.0)
    spots = shapely.points(shapely.get_coordinates(rim))
    return float(np.max(shapely.distance(spots, shapely.boundary(seam.place)), initial=0.0))


def _scale(plan: Plan, face: _Face, room: Box) -> float:
    west, south, east, north = plan.piece(face.lower).outline.bounds
    beside_mm = _measures_mm(plan, face)
    within = (room.width - beside_mm - RIGHT_MM, room.height - beside_mm)
    return standard_scale(east - west, north - south, within)


def _measures_mm(plan: Plan, face: _Face) -> float:
    """Return how much room the measures of a face take to the left of it, and below."""
    told = [text for axis in (0, 1) for text in _told(plan, face, axis)]
    return LEAD_MM + max((width_mm(text, NOTE) for text in told), default=0.0)


def _told(plan: Plan, face: _Face, axis: int) -> list[str]:
    """Return how far each pin stands from the board on the left (0) or from that below (1)."""
    corner = corner_of(plan, face.seam)
    lengths = [pin.start[axis] - corner[axis] for pin in face.pins]
    return [beside(whole(mm), mm, plan.workshop.paper) for mm in lengths]


def _key(faces: Sequence[_Face], words: Words) -> list[Sample]:
    samples = [
        Sample(words.key_face, line_sample(THICK, ())),
        Sample(words.key_face_lower, line_sample(THIN, DASHES)),
        Sample(words.key_boards, line_sample(MEDIUM, ())),
    ]
    if any(not shapely.is_empty(face.seam.dry) for face in faces):
        samples.append(Sample(words.key_hatched, hatched_sample))
    return samples


@dataclass(frozen=True, slots=True)
class _Drawing:
    page: Page
    plan: Plan
    face: _Face
    cell: Box
    scale: float
    words: Words

    def draw(self) -> None:
        """Draw the face with its pins, measured from two boards."""
        lower = self.plan.piece(self.face.lower).outline
        west, south, east, north = lower.bounds
        x0, y1 = self.cell.x0 + _measures_mm(self.plan, self.face), self.cell.y1
        y0 = y1 - (north - south) / self.scale
        view = View(x0 - west / self.scale, y0 - south / self.scale, self.scale)
        x1 = x0 + (east - west) / self.scale
        rim = shapely.transform(lower, view.points)
        place = shapely.transform(self.face.seam.place, view.points)
        glued: Geometry = MultiPolygon()
        if not shapely.is_empty(self.face.seam.dry):
            glued = shapely.transform(self.face.seam.glued, view.points)
        edges = [shapely.boundary(area) for area in (place, rim, glued)]
        for part in _rings(glued):
            self.page.line(shapely.get_coordinates(part), THIN)
        for part in _rings(place):
            self.page.line(shapely.get_coordinates(part), THICK)
        beside_it = overlay.difference(shapely.boundary(rim), shapely.boundary(place).buffer(0.3))
        for part in shapely.get_parts(beside_it):
            if part.length > 0.5:
                self.page.line(shapely.get_coordinates(part), THIN, DASHES)
        ticks = [_tick(mark.at, mark.across_deg, view) for mark in self._marks()]
        for tick in ticks:
            self.page.line(shapely.get_coordinates(tick), MEDIUM)
        # The two boards, a little longer than the piece.
        self.page.line([(x0, y1 + 1.5), (x0, y0), (x1 + 1.5, y0)], MEDIUM)
        ends = np.array([pin.start[:2] for pin in self.face.pins]).reshape(-1, 2)
        spots = view.points(ends)
        dots = [Point(*spot).buffer(DOT_MM).exterior for spot in spots]
        leads = [
            LineString(ends)
            for x, y in spots
            for ends in ([(x, y - DOT_MM), (x, y0 - 1.0)], [(x - DOT_MM, y), (x0 - 1.0, y)])
        ]
        for lead in leads:
            self.page.line(shapely.get_coordinates(lead), HAIR)
        for dot in dots:
            self.page.fill(shapely.get_coordinates(dot))
        self._measures(spots, x0, y0)
        up = (x1 + RIGHT_MM / 2 + 2.0, y1 - 5.0)
        draw_up(self.page, up, (0.0, 1.0), self.words.up_mark)
        room = Room([*edges, *ticks, *dots, *leads], Box(x0, y0, x1, y1 + HEAD_GAP_MM - 1.0))
        for pin, (x, y) in zip(self.face.pins, spots.tolist(), strict=True):
            if not label_beside(self.page, room, str(pin.number), (x, y)):
                # On its lines is still better than nowhere.
                self.page.text(x + 1.2, y + 1.2, str(pin.number), NOTE, bold=True)
        labels = shapely.box(*(room.taken + np.array([-0.6, -0.6, 0.6, 0.6])).T)
        hatch(self.page, glued, Box(x0, y0, x1, y1), shapely.union_all(labels))

    def _marks(self) -> list[SeamMark]:
        return [mark for mark in self.plan.assembly.marks if mark.seam == self.face.number]

    def _measures(self, spots: Points, x0: float, y0: float) -> None:
        """Write how far each pin stands from the two boards, at the ends of hairlines."""
        for axis, base in ((0, y0), (1, x0)):
            told = _told(self.plan, self.face, axis)
            order = np.argsort(spots[:, axis], kind="stable")
            at = spots[order, axis].tolist()
            put = spread(at, FIGURE_PITCH_MM, at[0] - 20.0, at[-1] + 20.0) if at else []
            for k, wanted, found in zip(order.tolist(), at, put or at, strict=True):
                if axis == 0:
                    self.page.line([(wanted, base - 1.0), (found, base - 3.0)], HAIR)
                    place = (found + NOTE / 2, base - 3.5)
                    self.page.text(*place, told[k], NOTE, align="right", upwards=True)
                else:
                    self.page.line([(base - 1.0, wanted), (base - 3.0, found)], HAIR)
                    self.page.text(base - 3.5, found - NOTE / 2, told[k], NOTE, align="right")


def _rings(area: Geometry) -> list[Geometry]:
    return [ring for one in polygons(area) for ring in (one.exterior, *one.interiors)]


def _tick(at: tuple[float, float], across_deg: float, view: View) -> LineString:
    x, y = view.points([at])[0]
    turn = math.radians(across_deg)
    dx, dy = math.cos(turn) * TICK_MM, math.sin(turn) * TICK_MM
    return LineString([(x - dx, y - dy), (x + dx, y + dy)])


# --- On the block, before it is cut ----------------------------------------------------


def add_pins_to_mark(flow: Flow, plan: Plan, group: Sequence[Layout], words: Words) -> None:
    """List the pins between layers whose pieces lie on layouts alike, from the datum corner.

    There both faces of a piece have straight edges to measure from; cut out, it has none.
    """
    rows = [
        row for layout in group for one in layout.placements for row in _to_mark(plan, one, words)
    ]
    if rows:
        table = Table(words.pins_heads, rows, "rlrlrrr", wraps=(3, 4, 5, 6))
        note = Paragraph(words.pins_note)
        flow.table(table, before=(heading(words.pins_title), note))


def has_pins_to_mark(plan: Plan, layout: Layout) -> bool:
    """Return whether pins between layers go into pieces on a layout."""
    pieces = {one.piece for one in layout.placements}
    seams = (plan.seams[pin.seam - 1] for pin in plan.assembly.pins)
    return any(seam.kind == "layer" and pieces & set(seam.pieces) for seam in seams)


def _to_mark(plan: Plan, one: Placement, words: Words) -> Iterator[tuple[str, ...]]:
    paper = plan.workshop.paper
    for number, seam in enumerate(plan.seams, 1):
        if seam.kind != "layer" or one.piece not in seam.pieces:
            continue
        is_lower = lower_and_upper(plan, seam)[0] == one.piece
        side = words.pins_front if is_lower != one.flipped else words.pins_back
        for pin in _pins(plan, number):
            spot = place(Point(*pin.start[:2]), one)
            right, up = (beside(whole(mm), mm, paper) for mm in (spot.x, spot.y))
            depth = measure((pin.end[2] - pin.start[2]) / 2, paper)
            yield str(one.piece), seam_name(number), str(pin.number), side, right, up, depth
