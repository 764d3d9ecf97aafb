"""One sheet of a template: its lines at 1 : 1, crosses, stations, and the strips round it."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Geometry, LineString, MultiLineString, clip_by_rect

from wirepath.model import Plan
from wirepath.sheets.lettering import HUGE, NOTE, TEXT, Box, shorten, width_mm
from wirepath.sheets.page import DOTS, HAIR, HEAVY, MARGIN_MM, MEDIUM, THICK, THIN, Page
from wirepath.sheets.room import Room
from wirepath.stationing import Station
from wirepath.templates.labels import write_label
from wirepath.templates.laying import STRIP_MM, Sheet
from wirepath.templates.maps import draw_map, sheet_numbers
from wirepath.templates.parts import Part
from wirepath.templates.tiling import OVERLAP_MM
from wirepath.templates.wording import TemplateWords

BAR_MM = 100.0
WIRE_DASHES = (3.0, 1.5)
FINISHED_MM = 0.35
"""Pen of the finished line, of the series of ISO 128: apart from the wire line half a kerf off."""
CROSS_MM = 5.0
"""Half the width of a register cross."""
TICK_OUT_MM, TICK_IN_MM = 3.5, 1.5
MAP_MM = (24.0, 15.0)
"""Room for the small map in a strip."""


def sheet_page(
    plan: Plan,
    part: Part,
    sheet: Sheet,
    sheets: Sequence[Sheet],
    total: int,
    words: TemplateWords,
) -> Page:
    """Return one sheet: a window of the face at 1 : 1, and the strips round it."""
    page = Page(sheet.width_mm, sheet.height_mm)
    window, (dx, dy) = sheet.window, sheet.shift
    frame = Box(window.x0 + dx, window.y0 + dy, window.x1 + dx, window.y1 + dy)
    page.box(frame, HAIR)
    lines: list[Geometry] = []

    def draw(line: Geometry, pen_mm: float, dashes: tuple[float, ...] = ()) -> None:
        for points in _clipped(line, window):
            moved = points + np.array([dx, dy])
            page.line(moved, pen_mm, dashes)
            lines.append(LineString(moved))

    for ring in (sheet.face.finished.exterior, *sheet.face.finished.interiors):
        draw(LineString(ring.coords), FINISHED_MM)
    for ring in (sheet.face.wire.exterior, *sheet.face.wire.interiors):
        draw(LineString(ring.coords), THIN, WIRE_DASHES)
    joins = list(_joins(sheet, words, sheets))
    for line, _, _ in joins:
        draw(line, MEDIUM, DOTS)
    for x, y in sheet.tiling.crosses(sheet.cell):
        draw(LineString([(x - CROSS_MM, y), (x + CROSS_MM, y)]), THIN)
        draw(LineString([(x, y - CROSS_MM), (x, y + CROSS_MM)]), THIN)
    marks = [one for ring in sheet.face.stations for one in ring if _inside(one, window)]
    for mark in marks:
        draw(_tick(mark), MEDIUM)
    for join in sheet.face.joins:
        draw(join.line, HEAVY if join.is_pin else MEDIUM)
    for ring_marks in sheet.face.stations:
        if ring_marks and _inside(ring_marks[0], window):
            _start_arrow(page, lines, ring_marks[0], (dx, dy))
    room = Room(lines, frame)
    unplaced_joins: list[str] = []
    unplaced = [mark.label for mark in marks if not _number(page, room, mark, (dx, dy))]
    for join in sheet.face.joins:
        at = join.line.interpolate(0.5, normalized=True)
        if join.label and window.x0 <= at.x <= window.x1 and window.y0 <= at.y <= window.y1:
            places = _around(join.label, at.x + dx, at.y + dy)
            if not write_label(page, room, join.label, TEXT, places):
                unplaced_joins.append(join.label)
    for x, y in sheet.tiling.crosses(sheet.cell):
        text = f"x {x:g}  y {y:g}"
        write_label(page, room, text, NOTE, _beside(text, x + dx, y + dy), bold=False)
    for line, text, upwards in joins:
        _along_join(page, room, line, text, upwards, (dx, dy))
    number = str(sheet.number)
    write_label(page, room, number, HUGE, _spread(frame, width_mm(number, HUGE, bold=True), HUGE))
    if unplaced_joins:
        text = words.unnumbered_joins.format(marks=", ".join(unplaced_joins))
        write_label(page, room, text, NOTE, _spread(frame, width_mm(text, NOTE), NOTE), bold=False)
    if unplaced:
        text = words.unnumbered.format(stations=", ".join(unplaced))
        write_label(page, room, text, NOTE, _spread(frame, width_mm(text, NOTE), NOTE), bold=False)
    _strips(page, frame, plan, part, sheet, sheets, total, words)
    return page


def _clipped(line: Geometry, window: Box) -> Iterator[np.ndarray]:
    """Yield the points (n, 2) of each stretch of `line` inside the window, exactly cut."""
    inside = clip_by_rect(line, window.x0, window.y0, window.x1, window.y1)
    merged = shapely.line_merge(inside) if isinstance(inside, MultiLineString) else inside
    for stretch in shapely.get_parts(merged):
        points = shapely.get_coordinates(stretch)
        if len(points) > 1:
            # A ring runs on by one point, so that its corner is drawn as a corner.
            closed = bool((points[0] == points[-1]).all()) and len(points) > 3
            yield np.vstack([points, points[1:2]]) if closed else points


def _inside(mark: Station, window: Box) -> bool:
    rim = 5.0
    return (
        window.x0 + rim <= mark.x <= window.x1 - rim
        and window.y0 + rim <= mark.y <= window.y1 - rim
    )


def _tick(mark: Station) -> LineString:
    ox, oy = mark.outward
    return LineString(
        [
            (mark.x - ox * TICK_IN_MM, mark.y - oy * TICK_IN_MM),
            (mark.x + ox * TICK_OUT_MM, mark.y + oy * TICK_OUT_MM),
        ]
    )


def _start_arrow(
    page: Page, lines: list[Geometry], mark: Station, shift: tuple[float, float]
) -> None:
    """Draw the small arrow at station 0, outside the line, the way the numbers rise."""
    (ox, oy), (ax, ay) = mark.outward, mark.ahead
    x, y = mark.x + shift[0] + ox * TICK_OUT_MM, mark.y + shift[1] + oy * TICK_OUT_MM
    tip = x + ax * 7.0, y + ay * 7.0
    page.line([(x, y), tip], MEDIUM)
    page.arrow_head(*tip, float(np.arctan2(ay, ax)), 3.0)
    lines.append(LineString([(x, y), (tip[0] + ax, tip[1] + ay)]).buffer(0.8).boundary)


def _number(page: Page, room: Room, mark: Station, shift: tuple[float, float]) -> bool:
    """Write a station's number beside its tick, as near as there is room."""
    (ox, oy), (ax, ay) = mark.outward, mark.ahead
    cap = TEXT
    half = width_mm(mark.label, cap, bold=True) / 2
    places = []
    for away, aside in itertools.product(
        (TICK_OUT_MM + 1, 7, 10, 14, -6, -9, -13), (0, 4, -4, 8, -8)
    ):
        # The label's middle stands far enough out that its box clears the tick's end.
        reach = away + np.copysign(abs(ox) * half + abs(oy) * cap / 2, away)
        x = mark.x + shift[0] + ox * reach + ax * aside
        y = mark.y + shift[1] + oy * reach + ay * aside
        places.append((x - half, y - cap / 2))
    return write_label(page, room, mark.label, cap, places)


def _beside(text: str, x: float, y: float) -> list[tuple[float, float]]:
    """Return places for the figures of a cross: in one of its four corners."""
    left = x - 2.0 - width_mm(text, NOTE)
    return [(x + 1.5, y + 1.5), (x + 1.5, y - 4.2), (left, y + 1.5), (left, y - 4.2)]


def _around(text: str, x: float, y: float) -> list[tuple[float, float]]:
    """Return places for a label round a mark across a seam, the nearest first."""
    wide = width_mm(text, TEXT, bold=True)
    spots = []
    for away in (2.5, 5.0, 8.0, 12.0, 17.0):
        for dx, dy in ((1, 1), (1, -1), (-1, 1), (-1, -1), (1, 0), (-1, 0), (0, 1), (0, -1)):
            left = {1: x + away, 0: x - wide / 2, -1: x - away - wide}[dx]
            foot = {1: y + away, 0: y - TEXT / 2, -1: y - away - TEXT}[dy]
            spots.append((left, foot))
    return spots


def _spread(frame: Box, width: float, height: float) -> list[tuple[float, float]]:
    """Return places all over the picture, those at its lower left first."""
    xs = np.arange(frame.x0 + OVERLAP_MM, max(frame.x1 - width, frame.x0 + OVERLAP_MM + 1), 8.0)
    ys = np.arange(frame.y0 + OVERLAP_MM, max(frame.y1 - height, frame.y0 + OVERLAP_MM + 1), 8.0)
    return sorted(itertools.product(xs.tolist(), ys.tolist()), key=lambda p: p[0] + p[1])


Join = tuple[LineString, str, bool]
"""The line sheets join along, what is said beside it, and whether it runs upwards."""


def _joins(sheet: Sheet, words: TemplateWords, sheets: Sequence[Sheet]) -> Iterator[Join]:
    numbers = sheet_numbers(sheet.face, sheets)
    window, half = sheet.window, OVERLAP_MM / 2
    column, row = sheet.cell
    left, right = window.x0 + half, window.x1 - half
    low, high = window.y0 + half, window.y1 - half
    sides = (
        ((column - 1, row), [(left, window.y0), (left, window.y1)], words.lies_on, True),
        ((column, row - 1), [(window.x0, low), (window.x1, low)], words.lies_on, False),
        ((column + 1, row), [(right, window.y0), (right, window.y1)], words.goes_under, True),
        ((column, row + 1), [(window.x0, high), (window.x1, high)], words.goes_under, False),
    )
    for cell, line, text, upwards in sides:
        if cell in numbers:
            yield LineString(line), text.format(number=numbers[cell]), upwards


def _along_join(
    page: Page,
    room: Room,
    line: LineString,
    text: str,
    upwards: bool,
    shift: tuple[float, float],
) -> None:
    """Write along a join, on the side where the paper ends, wherever it fits."""
    (x0, y0), (x1, y1) = line.coords
    places = []
    for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
        x, y = x0 + (x1 - x0) * share + shift[0], y0 + (y1 - y0) * share + shift[1]
        for aside in (-3.6, 1.4):
            places.append((x - aside - 1.4, y) if upwards else (x, y + aside))
    write_label(page, room, text, NOTE, places, bold=False, upwards=upwards, align="center")


def _strips(
    page: Page,
    frame: Box,
    plan: Plan,
    part: Part,
    sheet: Sheet,
    sheets: Sequence[Sheet],
    total: int,
    words: TemplateWords,
) -> None:
    low, left = MARGIN_MM, MARGIN_MM
    bar_x = frame.x0
    _bar(page, bar_x, low + 2.0, words, upwards=False)
    _bar(page, left + 8.0, frame.y0, words, upwards=True)
    side = sheet.face.side
    up = frame.y0 + BAR_MM + 4.0
    page.line([(left + 5.0, up), (left + 5.0, up + 10.0)], THICK)
    page.arrow_head(left + 5.0, up + 14.0, np.pi / 2, 5.0)
    page.text(left + 6.8, up + 16.0, words.up, TEXT, bold=True, upwards=True)
    word = {"single": words.side_single, "near": words.side_near, "far": words.side_far}[side]
    at = up + 16.0 + width_mm(words.up, TEXT, bold=True) + 5.0
    word = shorten(word, frame.y1 - at, TEXT, bold=True)
    page.text(left + 6.8, at, word, TEXT, bold=True, upwards=True)
    map_box = Box(frame.x1 - MAP_MM[0], low + 1.0, frame.x1, low + 1.0 + MAP_MM[1])
    draw_map(page, map_box, sheet.face, sheets, here=sheet)
    column, row = sheet.cell
    about = f"{words.sheet.format(number=sheet.number, total=total)}, {words.scale}"
    if len(sheet.tiling.cells) > 1:
        about += ", " + words.place.format(column=column + 1, row=row + 1)
    room = map_box.x0 - frame.x0 - 4.0
    face = {"single": words.face_single, "near": words.face_near, "far": words.face_far}[side]
    name = shorten(part.name, room / 2, TEXT, bold=True)
    beside = width_mm(name, TEXT, bold=True) + 4.0
    top = low + STRIP_MM - 5.2
    page.text(frame.x0, top, name, TEXT, bold=True)
    page.text(frame.x0 + beside, top, shorten(face, room - beside, NOTE, bold=True), bold=True)
    page.text(frame.x0, top - 5.0, shorten(about, room, NOTE))
    job = f"{words.invented}. {plan.job.name}" if plan.job.invented else plan.job.name
    page.text(frame.x0 + BAR_MM + 4.0, low + 1.0, shorten(job, room - BAR_MM - 4.0, NOTE))


def _bar(page: Page, x: float, y: float, words: TemplateWords, *, upwards: bool) -> None:
    """Draw a bar of 100 mm with its ends marked; exact from mark to mark."""
    if upwards:
        page.line([(x, y), (x, y + BAR_MM)], MEDIUM)
        for end in (y, y + BAR_MM):
            page.line([(x - 1.5, end), (x + 1.5, end)], HAIR)
        page.text(x - 2.4, y + BAR_MM / 2, words.bar, NOTE, align="center", upwards=True)
    else:
        page.line([(x, y), (x + BAR_MM, y)], MEDIUM)
        for end in (x, x + BAR_MM):
            page.line([(end, y - 1.5), (end, y + 1.5)], HAIR)
        page.text(x + BAR_MM / 2, y + 1.2, words.bar, NOTE, align="center")
