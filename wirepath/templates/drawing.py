"""Templates as pages: an opening page that tells how, then the lines at 1 : 1, sheet by sheet."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import Geometry, LineString, MultiLineString, clip_by_rect

from wirepath.errors import Fault, FitError
from wirepath.model import Plan
from wirepath.sheets.figures import runs
from wirepath.sheets.lettering import (
    HEAD,
    HUGE,
    NOTE,
    TEXT,
    Box,
    line_mm,
    shorten,
    width_mm,
    wrap,
)
from wirepath.sheets.page import (
    DOTS,
    HAIR,
    MARGIN_MM,
    MEDIUM,
    THICK,
    THIN,
    Align,
    Page,
    Text,
    lying,
    upright,
)
from wirepath.sheets.room import Room
from wirepath.templates.parts import Face, Part
from wirepath.templates.stations import Station
from wirepath.templates.tiling import OVERLAP_MM, Cell, Tiling, tile
from wirepath.templates.wording import TemplateWords

PaperChoice = Literal["A4", "A3", "roll"]

STRIP_MM = 19.0
"""Height of the strip below the picture: what the sheet is, and the bar across."""
SIDE_MM = 10.0
"""Width of the strip left of the picture: up, front, and the bar upwards."""
RIM_MM = 16.0
"""Paper kept round the outermost line, for station numbers."""
ROLL_LEAST_MM = 200.0
LONGEST_PAGE_MM = 14400 / 72 * 25.4
"""The longest page PDF allows at one unit to the point (ISO 32000-1, annex C)."""
BAR_MM = 100.0
WIRE_DASHES = (3.0, 1.5)
FINISHED_MM = 0.35
"""Pen of the finished line, of the series of ISO 128: apart from the wire line half a kerf off."""
CROSS_MM = 5.0
"""Half the width of a register cross."""
TICK_OUT_MM, TICK_IN_MM = 3.5, 1.5
MAP_MM = (24.0, 15.0)
"""Room for the small map in a strip."""
MAP_HIGH_MM = 90.0
MAP_CELL_MM = 12.0
"""Where the sheets of a map would be smaller, it gets a page of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """One sheet to draw: a window of a face, and where its picture stands on the page."""

    face: Face
    tiling: Tiling
    cell: Cell
    number: int
    width_mm: float
    height_mm: float

    @property
    def window(self) -> Box:
        """The part of the picture it shows."""
        return Box(*self.tiling.window(self.cell))

    @property
    def shift(self) -> tuple[float, float]:
        """What is added to a point of the picture to get a point of the page."""
        window = self.window
        return MARGIN_MM + SIDE_MM - window.x0, MARGIN_MM + STRIP_MM - window.y0


def template_pages(
    plan: Plan,
    part: Part,
    part_faces: Sequence[Face],
    paper: PaperChoice,
    words: TemplateWords,
) -> list[Page]:
    """Return the pages of one part's template, in the order of their sheet numbers.

    The first page tells how to print, join and read the others. Raises FitError
    where one length of roll would be longer than a PDF page may be.
    """
    laid = [(face, *_laid(part, face, paper)) for face in part_faces]
    size = "A4" if paper == "roll" else paper
    # A map of many sheets gets a page of its own, so that its numbers can be read.
    crowded = any(_map_cell_mm(tiling, size, len(laid)) < MAP_CELL_MM for *_, tiling in laid)
    first = 2 + (len(laid) if crowded else 0)
    sheets: list[_Sheet] = []
    for face, width, height, tiling in laid:
        for cell in tiling.cells:
            sheets.append(
                _Sheet(
                    face=face,
                    tiling=tiling,
                    cell=cell,
                    number=first + len(sheets),
                    width_mm=width,
                    height_mm=height,
                )
            )
    total = first + len(sheets) - 1
    opening, below = _opening_page(plan, part, sheets, size, paper, total, words)
    pages = [opening]
    if crowded:
        pages += [
            _map_page(part, face, sheets, size, number, total, words)
            for number, face in enumerate(part_faces, 2)
        ]
    else:
        _maps(opening, below, sheets, words)
    return [*pages, *(_sheet_page(plan, part, sheet, sheets, total, words) for sheet in sheets)]


def _laid(part: Part, face: Face, paper: PaperChoice) -> tuple[float, float, Tiling]:
    """Return width and height of the sheets, and the tiling with the fewest."""
    beside = 2 * MARGIN_MM + SIDE_MM, 2 * MARGIN_MM + STRIP_MM
    if paper != "roll":
        laid = []
        for width, height in (upright(paper), lying(paper)):
            window = width - beside[0], height - beside[1]
            laid.append((width, height, tile(face.lines, window, RIM_MM)))
        return min(laid, key=lambda one: len(one[2].cells))
    _, _, east, north = face.lines.bounds
    width = max(ROLL_LEAST_MM, float(np.ceil(east + 2 * RIM_MM + 2 + beside[0])))
    height = max(ROLL_LEAST_MM, float(np.ceil(north + 2 * RIM_MM + 2 + beside[1])))
    if max(width, height) > LONGEST_PAGE_MM:
        raise FitError(
            Fault(
                f"its template is {max(width, height) / 1000:.2f} m long, "
                f"a PDF page at most {LONGEST_PAGE_MM / 1000:.2f} m",
                f"part {part.name!r}",
                "print it in sheets: A3",
            )
        )
    return width, height, tile(face.lines, (width - beside[0], height - beside[1]), RIM_MM)


# --- A sheet of the picture ----------------------------------------------------------


def _sheet_page(
    plan: Plan,
    part: Part,
    sheet: _Sheet,
    sheets: Sequence[_Sheet],
    total: int,
    words: TemplateWords,
) -> Page:
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
    for ring_marks in sheet.face.stations:
        if ring_marks and _inside(ring_marks[0], window):
            _start_arrow(page, lines, ring_marks[0], (dx, dy))
    room = Room(lines, frame)
    unplaced = [mark.label for mark in marks if not _number(page, room, mark, (dx, dy))]
    for x, y in sheet.tiling.crosses(sheet.cell):
        text = f"x {x:g}  y {y:g}"
        _label(page, room, text, NOTE, _beside(text, x + dx, y + dy), bold=False)
    for line, text, upwards in joins:
        _along_join(page, room, line, text, upwards, (dx, dy))
    number = str(sheet.number)
    _label(page, room, number, HUGE, _spread(frame, width_mm(number, HUGE, bold=True), HUGE))
    if unplaced:
        text = words.unnumbered.format(stations=", ".join(unplaced))
        _label(page, room, text, NOTE, _spread(frame, width_mm(text, NOTE), NOTE), bold=False)
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
    return _label(page, room, mark.label, cap, places)


def _label(
    page: Page,
    room: Room,
    text: str,
    cap_mm: float,
    places: Iterable[tuple[float, float]],
    *,
    bold: bool = True,
    upwards: bool = False,
    align: Align = "left",
) -> bool:
    """Write `text` at the first of `places` that is free; return whether there was one."""
    marks = [Text(x, y, text, cap_mm, bold, align, upwards) for x, y in places]
    boxes = np.array([(b.x0, b.y0, b.x1, b.y1) for b in (mark.box for mark in marks)])
    free = np.flatnonzero(room.free(boxes))
    if not len(free):
        return False
    mark = marks[int(free[0])]
    page.texts.append(mark)
    room.take(mark.box)
    return True


def _beside(text: str, x: float, y: float) -> list[tuple[float, float]]:
    """Return places for the figures of a cross: in one of its four corners."""
    left = x - 2.0 - width_mm(text, NOTE)
    return [(x + 1.5, y + 1.5), (x + 1.5, y - 4.2), (left, y + 1.5), (left, y - 4.2)]


def _spread(frame: Box, width: float, height: float) -> list[tuple[float, float]]:
    """Return places all over the picture, those at its lower left first."""
    xs = np.arange(frame.x0 + OVERLAP_MM, max(frame.x1 - width, frame.x0 + OVERLAP_MM + 1), 8.0)
    ys = np.arange(frame.y0 + OVERLAP_MM, max(frame.y1 - height, frame.y0 + OVERLAP_MM + 1), 8.0)
    return sorted(itertools.product(xs.tolist(), ys.tolist()), key=lambda p: p[0] + p[1])


Join = tuple[LineString, str, bool]
"""The line sheets join along, what is said beside it, and whether it runs upwards."""


def _joins(sheet: _Sheet, words: TemplateWords, sheets: Sequence[_Sheet]) -> Iterator[Join]:
    numbers = _numbers(sheet.face, sheets)
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
    _label(page, room, text, NOTE, places, bold=False, upwards=upwards, align="center")


# --- The strips round it ---------------------------------------------------------------


def _strips(
    page: Page,
    frame: Box,
    plan: Plan,
    part: Part,
    sheet: _Sheet,
    sheets: Sequence[_Sheet],
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
    _map(page, map_box, sheet.face, sheets, here=sheet)
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


def _numbers(face: Face, sheets: Sequence[_Sheet]) -> dict[Cell, int]:
    return {one.cell: one.number for one in sheets if one.face is face}


def _map(
    page: Page,
    box: Box,
    face: Face,
    sheets: Sequence[_Sheet],
    *,
    here: _Sheet | None = None,
) -> None:
    """Draw the map of a face's sheets in `box`; fill the sheet `here`, else number them all."""
    own = [one for one in sheets if one.face is face]
    windows = {one.number: one.window for one in own}
    x0, y0 = min(w.x0 for w in windows.values()), min(w.y0 for w in windows.values())
    width = max(w.x1 for w in windows.values()) - x0
    height = max(w.y1 for w in windows.values()) - y0
    scale = min(box.width / width, box.height / height)
    at = np.array([box.x1 - width * scale if here else box.x0, box.y1 - height * scale])
    if here is None:
        for ring in (face.finished.exterior, *face.finished.interiors):
            points = shapely.get_coordinates(shapely.simplify(ring, 0.1 / scale))
            page.line((points - (x0, y0)) * scale + at, THIN)
    half = OVERLAP_MM / 2
    boxes = {}
    for number, window in windows.items():
        rim = window.grown(-half)
        low = (np.array([rim.x0, rim.y0]) - (x0, y0)) * scale + at
        high = (np.array([rim.x1, rim.y1]) - (x0, y0)) * scale + at
        boxes[number] = Box(*map(float, (*low, *high)))
        page.box(boxes[number], HAIR if here else MEDIUM, () if here else DOTS)
        if here is not None and number == here.number:
            page.fill([low, (high[0], low[1]), high, (low[0], high[1])])
    if here is None:
        room = Room([LineString(stroke.points) for stroke in page.strokes], box.grown(1.0))
        for number, cell in boxes.items():
            _map_number(page, room, cell, str(number))


def _map_number(page: Page, room: Room, cell: Box, text: str) -> None:
    """Write a sheet's number into its cell of the map, as big as there is room for."""
    for cap in (HEAD, TEXT, NOTE, 1.8):
        width = width_mm(text, cap, bold=True)
        xs = np.linspace(cell.x0 + 1.0, max(cell.x1 - width - 1.0, cell.x0 + 1.0), 9)
        ys = np.linspace(cell.y0 + 1.0, max(cell.y1 - cap - 1.0, cell.y0 + 1.0), 9)
        if _label(page, room, text, cap, itertools.product(xs.tolist(), ys.tolist())):
            return
    page.text((cell.x0 + cell.x1) / 2, cell.y0 + 0.5, text, 1.8, bold=True, align="center")


# --- The opening page ------------------------------------------------------------------


def _opening_page(
    plan: Plan,
    part: Part,
    sheets: Sequence[_Sheet],
    size: str,
    paper: PaperChoice,
    total: int,
    words: TemplateWords,
) -> tuple[Page, Box]:
    """Return the page, and what is left of it below the text."""
    width, height = upright(size)
    page = Page(width, height)
    left, right, low = MARGIN_MM + 3.0, width - MARGIN_MM - 3.0, MARGIN_MM + 4.0
    room = right - left
    y = height - MARGIN_MM - 8.0
    sheet = words.sheet.format(number=1, total=total)
    page.text(right, y, sheet, TEXT, bold=True, align="right")
    title = words.title.format(part=part.name)
    title_room = room - width_mm(sheet, TEXT, bold=True) - 5.0
    page.text(left, y, shorten(title, title_room, HEAD, bold=True), HEAD, bold=True)
    y -= line_mm(HEAD)
    for text, bold in _about(plan, part, words):
        y = _paragraph(page, left, y, room, text, bold=bold)
    for head, steps, numbered in _sections(plan, part, sheets, paper, words):
        y -= 2.5
        page.text(left, y, head, TEXT, bold=True)
        y -= line_mm(TEXT)
        for number, text in enumerate(steps, 1):
            label = f"{number}." if numbered else ""
            indent = 6.0 if numbered else _sample(page, left, y, text, words)
            y = _paragraph(page, left, y, room, text, label=label, indent=indent)
    return page, Box(left, low, right, y - 2.5)


def _about(plan: Plan, part: Part, words: TemplateWords) -> Iterator[tuple[str, bool]]:
    if plan.job.invented:
        yield words.invented, True
    piece = part.one
    west, south, east, north = piece.finished.bounds
    pieces = runs([one.number for one in part.pieces])
    yield (
        words.for_pieces.format(
            pieces=pieces, thickness=f"{piece.thickness_mm:g}", job=plan.job.name
        ),
        False,
    )
    yield words.size.format(width=f"{east - west:.1f}", height=f"{north - south:.1f}"), False


def _sections(
    plan: Plan, part: Part, sheets: Sequence[_Sheet], paper: PaperChoice, words: TemplateWords
) -> Iterator[tuple[str, tuple[str, ...], bool]]:
    kerf, radius = plan.workshop.cutting.kerf_mm, plan.workshop.wire.diameter_mm / 2
    allowance = part.one.allowance_mm
    offset = allowance + kerf / 2
    paired = any(sheet.face.side == "far" for sheet in sheets)
    yield words.print_title, words.print_steps_roll if paper == "roll" else words.print_steps, True
    if paper != "roll":
        alone = all(len(sheet.tiling.cells) == 1 for sheet in sheets)
        yield words.join_title, (words.join_none,) if alone else words.join_steps, not alone
    wire = words.wire_line_allowance if allowance else words.wire_line
    yield (
        words.lines_title,
        (
            words.finished_line_allowance if allowance else words.finished_line,
            words.wire_line_taper
            if part.one.taper
            else wire.format(offset=f"{offset:g}", kerf=f"{kerf:g}", allowance=f"{allowance:g}"),
        ),
        False,
    )
    edge = words.edge.format(radius=f"{radius:g}", board=f"{round(offset - radius, 3):g}")
    if part.one.taper:
        edge = words.edge_taper.format(radius=f"{radius:g}")
    yield words.edge_title, (edge, words.edge_board), False
    numbers = (words.stations, words.stations_pair) if paired else (words.stations,)
    yield words.stations_title, numbers, False
    if paired:
        far: tuple[str, ...] = (words.pair_far,)
        if part.one.taper:
            frame = f"{sheets[0].face.frame_mm:.1f}"
            far = (words.pair_far_taper, words.pair_taper.format(width=frame))
        yield words.pair_title, (words.pair_near, *far), False
    if part.face_down:
        down = words.face_down.format(pieces=runs(part.face_down))
        yield words.face_down_title, (down,), False


def _sample(page: Page, x: float, y: float, text: str, words: TemplateWords) -> float:
    """Draw a sample of the line that `text` speaks of; return how far the text stands off."""
    pens = {
        words.finished_line: (FINISHED_MM, ()),
        words.finished_line_allowance: (FINISHED_MM, ()),
        words.wire_line.split("{")[0]: (THIN, WIRE_DASHES),
        words.wire_line_taper: (THIN, WIRE_DASHES),
    }
    for begin, (pen, dashes) in pens.items():
        if text.startswith(begin):
            page.line([(x, y + 1.2), (x + 12.0, y + 1.2)], pen, dashes)
            return 15.0
    return 0.0


def _paragraph(
    page: Page,
    x: float,
    y: float,
    room: float,
    text: str,
    *,
    bold: bool = False,
    label: str = "",
    indent: float = 0.0,
) -> float:
    """Write a paragraph with its first baseline at y; return the baseline after it."""
    if label:
        page.text(x, y, label, NOTE, bold=True)
    for line in wrap(text, room - indent, NOTE, bold=bold):
        page.text(x + indent, y, line, NOTE, bold=bold)
        y -= line_mm(NOTE)
    return y - 0.6


def _map_cell_mm(tiling: Tiling, size: str, faces: int) -> float:
    """Return the shorter side of a sheet in the map, as it would stand on the opening page."""
    windows = np.array([tiling.window(cell) for cell in tiling.cells])
    width, height = (windows[:, 2:].max(axis=0) - windows[:, :2].min(axis=0)).tolist()
    share = (upright(size)[0] - 2 * MARGIN_MM) / faces - 8.0
    scale = min(share / width, 0.7 * MAP_HIGH_MM / height)
    return float(scale * (min(tiling.window_mm) - OVERLAP_MM))


def _map_page(
    part: Part,
    face: Face,
    sheets: Sequence[_Sheet],
    size: str,
    number: int,
    total: int,
    words: TemplateWords,
) -> Page:
    """Return a page that holds nothing but the map of a face's sheets."""
    width, height = upright(size)
    page = Page(width, height)
    left, right, y = MARGIN_MM + 3.0, width - MARGIN_MM - 3.0, height - MARGIN_MM - 8.0
    sheet = words.sheet.format(number=number, total=total)
    page.text(right, y, sheet, TEXT, bold=True, align="right")
    room = right - left - width_mm(sheet, TEXT, bold=True) - 5.0
    title = f"{words.map_title}: {part.name}"
    page.text(left, y, shorten(title, room, HEAD, bold=True), HEAD, bold=True)
    y -= line_mm(HEAD)
    name = {"single": words.face_single, "near": words.face_near, "far": words.face_far}[face.side]
    y = _paragraph(page, left, y, right - left, name, bold=True)
    y = _paragraph(page, left, y, right - left, words.map_empty)
    _map(page, Box(left, MARGIN_MM + 3.0, right, y), face, sheets)
    return page


def _maps(page: Page, box: Box, sheets: Sequence[_Sheet], words: TemplateWords) -> None:
    """Draw a map for every face, side by side, below a heading."""
    y = box.y1
    page.text(box.x0, y, words.map_title, TEXT, bold=True)
    y -= line_mm(TEXT)
    y = _paragraph(page, box.x0, y, box.width, words.map_empty)
    shown: list[Face] = []
    for sheet in sheets:
        if sheet.face not in shown:
            shown.append(sheet.face)
    share = (box.width - 8.0 * (len(shown) - 1)) / len(shown)
    names = {"single": "", "near": words.face_near, "far": words.face_far}
    for index, face in enumerate(shown):
        x = box.x0 + index * (share + 8.0)
        top = y
        if names[face.side]:
            page.text(x, y, shorten(names[face.side], share, NOTE, bold=True), NOTE, bold=True)
            top -= 3.0
        low = max(box.y0, top - MAP_HIGH_MM)
        _map(page, Box(x, low, x + share, top + 1.5), face, sheets)
