"""The picture of a layout, to scale: foam, pieces, wire, squares, marks and figures."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

import numpy as np
import shapely
from shapely import Geometry, LineString, MultiLineString, Polygon
from shapely import box as rectangle

from wirepath.geometry import (
    foam_face,
    outline_at,
    place,
    place_all,
    place_line,
    polygons,
    turn_matrix,
    usable_face,
)
from wirepath.model import Layout, Placement, Plan
from wirepath.sheets import lettering
from wirepath.sheets.figures import beside, cut_finished, whole
from wirepath.sheets.lettering import BIG, HEAD, HUGE, NOTE, TEXT, Box
from wirepath.sheets.marks import (
    DOT_MM,
    THREAD_MM,
    UP_MM,
    View,
    draw_threading,
    draw_up,
    draw_waiting,
    hatching,
    label_beside,
    ring_beside,
)
from wirepath.sheets.page import (
    CHAIN,
    DASHES,
    HAIR,
    HEAVY,
    MEDIUM,
    THICK,
    THIN,
    Align,
    Page,
    Points,
    Text,
    arrow_head,
)
from wirepath.sheets.rims import PITCH_MM, TICK_MM, Rims
from wirepath.sheets.room import CLEAR_MM, Room, spread
from wirepath.sheets.squares import column_name
from wirepath.sheets.steps import Step, entry_place
from wirepath.wording import Words

FAR_DASHES = (1.2, 0.8)
"""Of the far face of a taper, which lies behind: shorter than those of finished lines."""
APART_MM = 0.7
"""Lines nearer on paper are drawn as one."""
AHEAD_MM = 0.05
"""A step along a line that tells which way it runs."""
TICK_IN_MM, TICK_APART_MM = 1.6, 2.5
"""Ticks along an edge that is cut finished: how long, how far apart."""
BLOCKED_MM = 0.9
"""Between the crossed lines over a blocked area: a tone no other area of the picture has."""
ARROW_MM = 5.0
CLAMP_RIM_MM = 4.0
"""How far beyond the foam clamps are drawn."""
LEAST_NAMED_MM = 6.0
"""A strip of squares narrower than this on paper, at the foam's far edge, goes without name."""
SEAM_TICK_MM = 2.2
"""Half of a mark across a seam."""
SEAM_DASHES = (1.2, 1.2)
WAY_LABEL_MM = 5.0
"""Links shorter than this on paper get no step number."""


def draw_layout(
    page: Page,
    plan: Plan,
    layout: Layout,
    steps: Sequence[Step],
    view: View,
    around: Rims,
    side: float,
    words: Words,
) -> list[str]:
    """Draw the layout on `page`; return the labels that found no room."""
    return _Picture(page, plan, layout, steps, view, around, side, words).draw()


class _Picture:
    def __init__(
        self,
        page: Page,
        plan: Plan,
        layout: Layout,
        steps: Sequence[Step],
        view: View,
        around: Rims,
        side: float,
        words: Words,
    ) -> None:
        self.page, self.plan, self.layout, self.steps = page, plan, layout, steps
        self.view, self.around, self.side, self.words = view, around, side, words
        corner = view.points([(layout.width_mm, layout.height_mm)])[0]
        self.face = Box(view.x0, view.y0, float(corner[0]), float(corner[1]))
        self.placed = [view.area(one) for one in place_all(layout, plan.pieces)]
        self.offcuts = [one for one in plan.estimate.offcuts if one.layout == layout.number]
        self.cuts = [(step, LineString(view.points(step.points))) for step in _cuts(steps)]
        self.finished = self._finished()
        self.foam = view.area(foam_face(layout))
        self.blocked = [view.area(one) for one in layout.blocked]
        # What stands beside the foam is drawn as far as there is paper round it. Round a block
        # that is moved it stands elsewhere in each setup: small pictures show it there.
        near_foam = rectangle(*self.face_with_rim(CLAMP_RIM_MM))
        self.clamps = [
            part
            for clamp in (() if layout.setups else plan.workshop.rig.clamps)
            for part in polygons(shapely.intersection(view.area(clamp.polygon), near_foam))
        ]
        self.far = [
            LineString(view.points(shapely.get_coordinates(outline_at(piece, one, 1.0).exterior)))
            for one in layout.placements
            if (piece := plan.piece(one.piece)).taper is not None
        ]
        self.cells = [view.area(one) for one in placed_cells(plan, layout)]
        self.seams = _inner_edges(self.cells)
        self.missing: list[str] = []

    def face_with_rim(self, mm: float) -> tuple[float, float, float, float]:
        """Return the face on the page, widened all round."""
        face = self.face
        return face.x0 - mm, face.y0 - mm, face.x1 + mm, face.y1 + mm

    def draw(self) -> list[str]:
        """Draw everything; lines first, then labels where they leave room, squares last."""
        offcuts = [self._offcut_box(i) for i in range(len(self.offcuts))]
        lines: list[Geometry] = [line for _, line in self.cuts]
        lines += [ring for one in self.finished for ring in _lines_of(one)]
        lines += [shapely.boundary(rectangle(b.x0, b.y0, b.x1, b.y1)) for b in offcuts]
        lines += [shapely.boundary(one) for one in (*self.blocked, *self.clamps)]
        lines += [shapely.boundary(self.foam)] if self.layout.outline is not None else []
        lines += self.far
        trim = self._trim()
        lines += [shapely.boundary(trim)] if trim else []
        lines += self.seams
        heads = self._arrow_heads()
        lines += [LineString([*head, head[0]]) for head in heads]
        lines += [LineString(tick) for tick in self._ticks()]
        lines += [
            shapely.Point(*self.view.points([step.start])[0]).buffer(THREAD_MM)
            for step in self.steps
            if step.threading is not None
        ]
        seam_ticks = self._seam_ticks()
        lines += [tick for _, tick in seam_ticks]
        self.room = Room(lines, self.face)

        self._draw_lines(offcuts, trim, heads)
        for index, placed in enumerate(self.placed):
            self._piece_label(self.layout.placements[index].piece, placed)
        for name, tick in seam_ticks:
            self._seam_tick(name, tick)
        for one, placed in zip(self.layout.placements, self.placed, strict=True):
            if self.plan.piece(one.piece).section_of is not None:
                self._up_mark(one, placed)
        for index, box in enumerate(offcuts):
            self._offcut_label(index, box)
        for step, line in self.cuts:
            if step.kind in ("outline", "hole") or line.length >= WAY_LABEL_MM:
                self._step_label(step, line)
        self._squares_and_hatch()
        self._entries(heads)
        self._dimensions()
        self._datum()
        self._waiting()
        return self.missing

    # --- Lines ---

    def _finished(self) -> list[Polygon]:
        """Return the finished outlines where they can be told from the wire lines."""
        gap = self.plan.workshop.cutting.kerf_mm / 2
        return [
            self.view.area(place(self.plan.piece(one.piece).finished, one))
            for one in self.layout.placements
            if self.plan.piece(one.piece).taper is None
            and (gap + self.plan.piece(one.piece).allowance_mm) / self.view.scale >= APART_MM
        ]

    def _ticks(self) -> list[Points]:
        """Return ticks along the edges that the wire cuts finished, square to each, inward."""
        ticks: list[Points] = []
        for one in self.layout.placements:
            piece = self.plan.piece(one.piece)
            if not piece.allowance_mm:
                continue
            placed = self.view.area(place(piece.outline, one))
            for edge in cut_finished(self.plan, piece):
                points = self.view.points(shapely.get_coordinates(place_line(edge, one)))
                line = shapely.LineString(points)
                for share in np.arange(TICK_APART_MM, line.length, TICK_APART_MM):
                    foot, ahead = (
                        shapely.get_coordinates(line.interpolate(at))[0]
                        for at in (share, min(share + AHEAD_MM, line.length))
                    )
                    along = (ahead - foot) / np.hypot(*(ahead - foot))
                    inward = np.array([-along[1], along[0]]) * TICK_IN_MM
                    # Foam lies on one side only: a step that way tells which.
                    if not placed.contains(shapely.Point(*(foot + inward * AHEAD_MM))):
                        inward = -inward
                    ticks.append(np.array([foot, foot + inward]))
        return ticks

    def _trim(self) -> Polygon | None:
        if self.layout.trim_mm / self.view.scale < APART_MM:
            return None
        return self.view.area(max(polygons(usable_face(self.layout)), key=lambda one: one.area))

    def _offcut_box(self, index: int) -> Box:
        one = self.offcuts[index]
        low, high = self.view.points(
            [(one.x_mm, one.y_mm), (one.x_mm + one.width_mm, one.y_mm + one.height_mm)]
        )
        return Box(float(low[0]), float(low[1]), float(high[0]), float(high[1])).grown(-0.4)

    def _arrow_heads(self) -> list[Points]:
        heads = []
        for step, line in self.cuts:
            closed = step.kind in ("outline", "hole")
            if line.length < (3.0 if closed else 6.0):
                continue
            count = max(1, round(line.length / 40)) if closed else 1
            for i in range(count):
                heads.append(_head_on(line, (i + 0.55) / count * line.length))
        return heads

    def _draw_lines(
        self, offcuts: Sequence[Box], trim: Polygon | None, heads: list[Points]
    ) -> None:
        for step, line in self.cuts:
            dashes = () if step.kind in ("outline", "hole") else CHAIN
            self.page.line(shapely.get_coordinates(line), THICK, dashes)
        for head in heads:
            self.page.fill(head)
        for step in self.steps:
            if step.threading is not None:
                draw_threading(self.page, *map(float, self.view.points([step.start])[0]))
        for one in self.finished:
            for ring in _lines_of(one):
                self.page.line(shapely.get_coordinates(ring), MEDIUM, DASHES)
        for tick in self._ticks():
            self.page.line(tick, MEDIUM)
        for line in self.far:
            self.page.line(shapely.get_coordinates(line), MEDIUM, FAR_DASHES)
        for seam in self.seams:
            self.page.line(shapely.get_coordinates(seam), MEDIUM, SEAM_DASHES)
        if trim:
            self.page.line(shapely.get_coordinates(trim.exterior), THIN, (0.6, 0.8))
        for one in self.blocked:
            self.page.line(shapely.get_coordinates(one.exterior), MEDIUM)
        for one in self.clamps:
            self.page.fill(shapely.get_coordinates(one.exterior))
        for box in offcuts:
            self.page.box(box, MEDIUM, (3.0, 1.0))
        if self.layout.outline is not None:
            self.page.box(self.face, HAIR)
        self.page.line(shapely.get_coordinates(self.foam.exterior), HEAVY)

    def _squares_and_hatch(self) -> None:
        """Draw squares and hatching, left off under every label."""
        taken = self.room.taken
        labels = shapely.union_all(
            shapely.box(*(taken + np.array([-CLEAR_MM, -CLEAR_MM, CLEAR_MM, CLEAR_MM])).T)
        )
        width, height = self.layout.width_mm, self.layout.height_mm
        columns = np.arange(1, math.ceil(width / self.side - 1e-9)) * self.side
        rows = np.arange(1, math.ceil(height / self.side - 1e-9)) * self.side
        grid = [self.view.points([(x, 0), (x, height)]) for x in columns]
        grid += [self.view.points([(0, y), (width, y)]) for y in rows]
        self._background(MultiLineString(list(grid)), labels)
        gap = self.plan.workshop.cutting.kerf_mm / 2 / self.view.scale
        face = self.face
        kept = shapely.union_all(
            [
                *(shapely.buffer(one, gap) for one in self.placed),
                *(rectangle(*_bounds(self._offcut_box(i))) for i in range(len(self.offcuts))),
            ]
        )
        blocked = shapely.intersection(shapely.union_all(self.blocked), self.foam)
        foam = shapely.union_all(self.cells) if self.cells else self.foam
        waste = shapely.difference(foam, shapely.union_all([kept, blocked]))
        self._background(shapely.intersection(hatching(face), waste), labels)
        if self.blocked:
            for crossed in (
                hatching(face, BLOCKED_MM),
                hatching(face, BLOCKED_MM, falling=True),
            ):
                self._background(shapely.intersection(crossed, blocked), labels)
        for index, x in enumerate([0.0, *columns]):
            middle = (x + min(x + self.side, width)) / 2
            if (min(x + self.side, width) - x) / self.view.scale < LEAST_NAMED_MM:
                continue
            self._rim_name(column_name(index), self.view.points([(middle, height)])[0], top=True)
        for index, y in enumerate([0.0, *rows]):
            middle = (y + min(y + self.side, height)) / 2
            if (min(y + self.side, height) - y) / self.view.scale < LEAST_NAMED_MM:
                continue
            self._rim_name(str(index + 1), self.view.points([(width, middle)])[0], top=False)

    def _rim_name(self, name: str, at: Points, *, top: bool) -> None:
        x, y = float(at[0]), float(at[1])
        if top:
            self.page.text(x, y + self.around.top_mm - 3.6, name, align="center")
        else:
            x += self.around.right_mm - 3.2
            self.page.text(x, y - lettering.NOTE / 2, name, align="center")

    def _background(self, lines: Geometry, labels: Geometry) -> None:
        for part in shapely.get_parts(shapely.difference(lines, labels)):
            if part.length > 0.3:
                self.page.line(shapely.get_coordinates(part), HAIR)

    # --- Labels inside the foam ---

    def _piece_label(self, number: int, placed: Polygon) -> None:
        """Write the number as large as fits, the name below it where that fits too."""
        piece = self.plan.piece(number)
        name = lettering.shorten(piece.name, 60, NOTE) if piece.name != str(number) else ""
        sizes = [(cap, cap_name) for cap in (HUGE, BIG, HEAD) for cap_name in (TEXT, NOTE)]
        tries = [(cap, cap_name, name) for cap, cap_name in sizes if name]
        tries += [(cap, NOTE, "") for cap in (HUGE, BIG, HEAD, TEXT, NOTE)]
        # A leader may end in a dot on any line: keep clear of that as well, where there is room.
        for margin_mm, (cap, cap_name, below) in product((DOT_MM / 2, 0.0), tries):
            texts = [Text(0, 0, str(number), cap, bold=True, align="center")]
            if below:
                texts.append(Text(0, -1.45 * cap_name - 0.8, below, cap_name, align="center"))
            spot = self.room.spot(placed, _hull(texts).grown(margin_mm))
            if spot is not None:
                for text in texts:
                    self._write(text, *spot)
                return
        x, y = placed.representative_point().coords[0]
        if not label_beside(self.page, self.room, str(number), (x, y)):
            self.missing.append(self.words.piece.format(number=number))

    def _seam_ticks(self) -> list[tuple[str, LineString]]:
        """Return the marks across the seams of each piece, with the seams' letters."""
        marks = self.plan.assembly.marks
        half = SEAM_TICK_MM * self.view.scale
        ticks = []
        for one in self.layout.placements:
            for mark in marks:
                if one.piece in self.plan.seams[mark.seam - 1].pieces:
                    turn = math.radians(mark.across_deg)
                    way = np.array([math.cos(turn), math.sin(turn)]) * half
                    drawn = place_line(LineString([mark.at - way, mark.at + way]), one)
                    points = self.view.points(shapely.get_coordinates(drawn))
                    ticks.append((column_name(mark.seam - 1), LineString(points)))
        return ticks

    def _seam_tick(self, name: str, tick: LineString) -> None:
        """Draw a mark across a seam, its letter beside it where there is room."""
        self.page.line(shapely.get_coordinates(tick), HEAVY)
        text = Text(0, 0, name, NOTE, align="center")
        x, y = tick.interpolate(0.5, normalized=True).coords[0]
        spot = self.room.near(x, y, 1.5, text.box)
        if spot is not None and math.dist(spot, (x, y)) < 4 * SEAM_TICK_MM:
            self._write(text, *spot)

    def _up_mark(self, one: Placement, placed: Polygon) -> None:
        """Draw the arrow to the form's top and say which face is seen."""
        word = self.words.back_mark if one.flipped else self.words.front_mark
        text = Text(0, -UP_MM / 2 - 1.0 - NOTE, word, NOTE, align="center")
        half = UP_MM / 2 + 0.4
        spot = self.room.spot(placed, _union(Box(-half, -half, half, half), text.box))
        if spot is None:
            self.missing.append(self.words.up_missing.format(number=one.piece))
            return
        _, sine, _, cosine = turn_matrix(one.angle_deg)
        draw_up(self.page, spot, (sine, cosine), word)
        x, y = spot
        marked = _union(Box(-half, -half, half, half), text.box)
        self.room.take(Box(x + marked.x0, y + marked.y0, x + marked.x1, y + marked.y1))

    def _step_label(self, step: Step, line: LineString) -> None:
        """Write a step's number in a circle beside where it begins."""
        at = line.interpolate(min(2.5, line.length / 3))
        if not ring_beside(self.page, self.room, str(step.number), (at.x, at.y)):
            self.missing.append(str(step.number))

    def _offcut_label(self, index: int, box: Box) -> None:
        one = self.offcuts[index]
        label = self.words.offcut_mark.format(
            name=one.name,
            width=beside(whole(one.width_mm), one.width_mm, self.plan.workshop.paper),
            height=beside(whole(one.height_mm), one.height_mm, self.plan.workshop.paper),
        )
        area = rectangle(*_bounds(box))
        for cap, upwards in ((TEXT, False), (NOTE, False), (TEXT, True), (NOTE, True)):
            text = Text(0, 0, label, cap, align="center", upwards=upwards)
            spot = self.room.spot(area, text.box)
            if spot is not None:
                self._write(text, *spot)
                return
        self.missing.append(label)

    def _write(self, text: Text, x: float, y: float) -> None:
        written = self.page.text(
            text.x + x,
            text.y + y,
            text.text,
            text.cap_mm,
            bold=text.bold,
            align=text.align,
            upwards=text.upwards,
        )
        self.room.take(written.box)

    # --- Around the foam ---

    def _entries(self, heads: Sequence[Points]) -> None:
        """Draw an arrow at the rim for each way in; label those right and above here."""
        entries = []
        # The way along the foam's rim has arrow heads that reach out of it.
        taken = [_box_of(head) for head in heads]
        for step in self.steps:
            if step.entry is not None:
                edge, distance, x, y = entry_place(self.layout, step.start)
                px, py = map(float, self.view.points([(x, y)])[0])
                angle = (0.0, math.pi / 2, math.pi, -math.pi / 2)[edge]
                arrow = arrow_head(px, py, angle, ARROW_MM, 0.7)
                self.page.fill(arrow)
                taken.append(_box_of(arrow))
                if edge not in (0, 1):
                    entries.append((step, edge, distance, px, py))
        for step, edge, distance, px, py in entries:
            figure = beside(whole(distance), distance, self.plan.workshop.paper)
            label = self.words.in_mark.format(number=step.entry, distance=figure)
            upwards = edge == 2
            for gap in range(0, 60):
                sign, off = (1, -1)[gap % 2], 2.6 + (gap // 2) * 2.0
                along = off * sign
                align: Align = "left" if sign > 0 else "right"
                if upwards:
                    text = Text(px + 4.2, py + along, label, NOTE, True, align, True)
                else:
                    text = Text(px + along, py + 1.8, label, NOTE, True, align)
                box = text.box
                inside = (
                    self.face.y0 <= box.y0 and box.y1 <= self.face.y1
                    if upwards
                    else self.face.x0 <= box.x0 and box.x1 <= self.face.x1
                )
                if inside and not any(box.grown(0.4).meets(other) for other in taken):
                    self.page.texts.append(text)
                    taken.append(box)
                    break
            else:
                self.missing.append(label)

    def _dimensions(self) -> None:
        """Draw the running dimensions below and left of the foam, all from the datum corner."""
        view, face = self.view, self.face
        bottom = [view.x0 + mark.at_mm / view.scale for mark in self.around.bottom]
        left = [view.y0 + mark.at_mm / view.scale for mark in self.around.left]
        xs = spread(bottom, PITCH_MM, face.x0, face.x1 + PITCH_MM)
        ys = spread(left, PITCH_MM, face.y0, face.y1 + PITCH_MM)
        near, far = 0.8, TICK_MM
        # The middle of a figure lies half a capital beside its baseline.
        half = NOTE / 2
        for mark, at, to in zip(self.around.bottom, bottom, xs or bottom, strict=True):
            y = face.y0
            self.page.line([(at, y - near), (at, y - 3), (to, y - far + 1), (to, y - far)], THIN)
            label = (to + half, y - far - 0.6, mark.text, NOTE)
            self.page.text(*label, bold=mark.bold, align="right", upwards=True)
        for mark, at, to in zip(self.around.left, left, ys or left, strict=True):
            x = face.x0
            self.page.line([(x - near, at), (x - 3, at), (x - far + 1, to), (x - far, to)], THIN)
            self.page.text(x - far - 0.6, to - half, mark.text, NOTE, bold=mark.bold, align="right")

    def _datum(self) -> None:
        """Draw a black quarter disc outside the datum corner: no mark on a rim can hide it."""
        turn = np.linspace(math.pi, 1.5 * math.pi, 13)
        x, y, radius = self.face.x0, self.face.y0, 4.0
        disc = np.c_[x + radius * np.cos(turn), y + radius * np.sin(turn)]
        self.page.fill(np.vstack([disc, [(x, y)]]))

    def _waiting(self) -> None:
        """Draw where the wire waits; far off at the rim, on the side it lies."""
        waits = self.plan.workshop.rig.waits_at
        if waits is None or self.layout.setups:
            return
        west, south, east, north = self.face_with_rim(CLAMP_RIM_MM)
        (spot,) = self.view.points([waits])
        x, y = min(max(spot[0], west), east), min(max(spot[1], south), north)
        draw_waiting(self.page, float(x), float(y))


def placed_cells(plan: Plan, layout: Layout) -> list[Polygon]:
    """Return the cells of a blank as they lie on its layout; none where that is a block."""
    blank = plan.blank_of(layout)
    if blank is None:
        return []
    (placement,) = layout.placements
    return [place(plan.piece(number).outline, placement) for number in blank.cells]


def _inner_edges(cells: Sequence[Polygon]) -> list[Geometry]:
    """Return the rims of the cells, each line once."""
    lines = shapely.union_all([shapely.boundary(cell) for cell in cells], grid_size=1e-3)
    return list(shapely.get_parts(shapely.line_merge(lines))) if cells else []


def _cuts(steps: Sequence[Step]) -> list[Step]:
    """Return the steps that cut foam: the ways back and through air are left out."""
    kinds = ("entry", "thread", "outline", "hole", "link", "slit", "parting", "fence")
    return [step for step in steps if step.kind in kinds and LineString(step.points).length]


def _lines_of(area: Polygon) -> list[Geometry]:
    return [area.exterior, *area.interiors]


def _head_on(line: LineString, at: float) -> Points:
    """Return an arrow head on a line with its middle `at` mm along it."""
    tip = line.interpolate(min(line.length, at + 1.4))
    foot = line.interpolate(max(0.0, at - 1.4))
    return arrow_head(tip.x, tip.y, math.atan2(tip.y - foot.y, tip.x - foot.x), 2.8, 0.75)


def _box_of(points: Points) -> Box:
    return Box(*map(float, (*points.min(axis=0), *points.max(axis=0))))


def _bounds(box: Box) -> tuple[float, float, float, float]:
    return box.x0, box.y0, box.x1, box.y1


def _union(one: Box, other: Box) -> Box:
    return Box(
        min(one.x0, other.x0),
        min(one.y0, other.y0),
        max(one.x1, other.x1),
        max(one.y1, other.y1),
    )


def _hull(texts: Sequence[Text]) -> Box:
    boxes = [text.box for text in texts]
    return Box(
        min(box.x0 for box in boxes),
        min(box.y0 for box in boxes),
        max(box.x1 for box in boxes),
        max(box.y1 for box in boxes),
    )
