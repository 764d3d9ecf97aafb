"""The opening page of a template: how to print, join and read it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wirepath.model import Piece, Plan
from wirepath.sheets.figures import beside, runs
from wirepath.sheets.lettering import HEAD, TEXT, Box, line_mm, shorten, width_mm
from wirepath.sheets.page import MARGIN_MM, THIN, Page, upright
from wirepath.templates.labels import write_paragraph
from wirepath.templates.laying import PaperChoice, Sheet
from wirepath.templates.parts import Part
from wirepath.templates.sheet import FINISHED_MM, WIRE_DASHES
from wirepath.templates.wording import TemplateWords


def opening_page(
    plan: Plan,
    part: Part,
    sheets: Sequence[Sheet],
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
        y = write_paragraph(page, left, y, room, text, bold=bold)
    for head, steps, numbered in _sections(plan, part, sheets, paper, words):
        y -= 2.5
        page.text(left, y, head, TEXT, bold=True)
        y -= line_mm(TEXT)
        for number, text in enumerate(steps, 1):
            label = f"{number}." if numbered else ""
            indent = 6.0 if numbered else _sample(page, left, y, text, words)
            y = write_paragraph(page, left, y, room, text, label=label, indent=indent)
    return page, Box(left, low, right, y - 2.5)


def _about(plan: Plan, part: Part, words: TemplateWords) -> Iterator[tuple[str, bool]]:
    if plan.job.invented:
        yield words.invented, True
    piece = part.one
    paper = plan.workshop.paper
    west, south, east, north = piece.finished.bounds
    width, height = (beside(f"{mm:.1f}", mm, paper) for mm in (east - west, north - south))
    pieces = runs([one.number for one in part.pieces])
    yield (
        words.for_pieces.format(
            pieces=pieces,
            thickness=beside(f"{piece.thickness_mm:g}", piece.thickness_mm, paper),
            job=plan.job.name,
        ),
        False,
    )
    yield words.size.format(width=width, height=height), False


def _sections(
    plan: Plan, part: Part, sheets: Sequence[Sheet], paper: PaperChoice, words: TemplateWords
) -> Iterator[tuple[str, tuple[str, ...], bool]]:
    kerf, radius = plan.workshop.cutting.kerf_mm, plan.workshop.wire.diameter_mm / 2
    allowance = part.one.allowance_mm
    offset = allowance + kerf / 2
    paired = any(sheet.face.side == "far" for sheet in sheets)
    yield words.print_title, words.print_steps_roll if paper == "roll" else words.print_steps, True
    if paper != "roll":
        alone = all(len(sheet.tiling.cells) == 1 for sheet in sheets)
        yield words.join_title, (words.join_none,) if alone else words.join_steps, not alone
    # Seams, and sides that are cut finished, have no allowance.
    uneven = bool(allowance) and _edges_cut_finished_mm(part.one) > 1.0
    wire = words.wire_line_allowance if allowance else words.wire_line
    note = " " + words.wire_line_uneven.format(half=f"{kerf / 2:g}") if uneven else ""
    yield (
        words.lines_title,
        (
            words.finished_line_allowance if allowance else words.finished_line,
            words.wire_line_taper
            if part.one.taper
            else wire.format(offset=f"{offset:g}", kerf=f"{kerf:g}", allowance=f"{allowance:g}")
            + note,
        ),
        False,
    )
    edge = words.edge.format(radius=f"{radius:g}", board=f"{round(offset - radius, 3):g}")
    if uneven:
        least = f"{round(kerf / 2 - radius, 3):g}"
        edge += " " + words.edge_uneven.format(board=least)
    if part.one.taper:
        edge = words.edge_taper.format(radius=f"{radius:g}")
    yield words.edge_title, (edge, words.edge_board), False
    numbers = (words.stations, words.stations_pair) if paired else (words.stations,)
    yield words.stations_title, numbers, False
    joins = sheets[0].face.joins
    if joins:
        pins = (words.join_pins,) if any(one.is_pin for one in joins) else ()
        yield words.join_marks_title, (words.join_marks, *pins), False
    if paired:
        far: tuple[str, ...] = (words.pair_far,)
        if part.one.taper:
            frame = f"{sheets[0].face.frame_mm:.1f}"
            far = (words.pair_far_taper, words.pair_taper.format(width=frame))
        yield words.pair_title, (words.pair_near, *far), False
    if part.face_down:
        down = words.face_down.format(pieces=runs(part.face_down))
        yield words.face_down_title, (down,), False


def _edges_cut_finished_mm(piece: Piece) -> float:
    """Return how long the edges are that the wire cuts finished, without allowance."""
    rim = piece.outline.boundary.buffer(0.01)
    return float(piece.finished.boundary.intersection(rim).length)


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
