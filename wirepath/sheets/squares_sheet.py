"""Setting out by squares: tables of where each outline crosses the sides of the squares."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from wirepath.geometry import outline_at, place
from wirepath.model import Layout, Plan
from wirepath.sheets.figures import beside, measure, piece_name, sentence, short, whole
from wirepath.sheets.flow import Flow, Paragraph, Table
from wirepath.sheets.layout_sheet import shared_name
from wirepath.sheets.lettering import TEXT
from wirepath.sheets.page import Page
from wirepath.sheets.squares import Crossing, crossings, side_mm
from wirepath.sheets.strip import run_on
from wirepath.wording import Words
from wirepath.workshop import Paper

COLUMN_MM = 58.0
"""Least width of a column of the tables."""

PADS_MM = (0.5, 0.1)
"""White between rows: less where that saves a page with next to nothing on it."""


def squares_pages(plan: Plan, group: Sequence[Layout], scale: float, words: Words) -> list[Page]:
    """Return the pages for setting out layouts alike by hand, squares as in their picture."""
    lines = _lines(plan, group[0], scale, words)
    name = shared_name(plan, group, words)
    tried = [
        _laid(plan, lines, words.layout_squares_title.format(name=name), scale, words, pad_mm)
        for pad_mm in PADS_MM
    ]
    return min(tried, key=len)


def _lines(
    plan: Plan, layout: Layout, scale: float, words: Words
) -> list[tuple[str, list[tuple[str, str, str]]]]:
    """Return every line to set out: its title, and the rows of its table."""
    side = side_mm(scale, plan.workshop.paper.grid_mm)
    lines: list[tuple[str, list[tuple[str, str, str]]]] = []
    for one in layout.placements:
        piece = plan.piece(one.piece)
        called = piece_name(piece, words)
        placed = place(piece.outline, one)
        rings = [
            (
                (words.squares_hole if hole else words.squares_line).format(
                    piece=called, hole=hole
                ),
                ring,
            )
            for hole, ring in enumerate((placed.exterior, *placed.interiors))
        ]
        if piece.taper is not None:
            rings = [
                (words.squares_near.format(piece=called), outline_at(piece, one, 0.0).exterior),
                (words.squares_far.format(piece=called), outline_at(piece, one, 1.0).exterior),
            ]
        for name_of_line, ring in rings:
            title = sentence(name_of_line)
            found = crossings(shapely.get_coordinates(ring), side)
            rows = [_row(crossing, plan.workshop.paper) for crossing in found]
            lines.append((title, rows))
    return lines


def _laid(
    plan: Plan,
    lines: Sequence[tuple[str, list[tuple[str, str, str]]]],
    sheet: str,
    scale: float,
    words: Words,
    pad_mm: float,
) -> list[Page]:
    """Return the pages that the tables fill, with so much white between their rows."""
    pages: list[Page] = []
    side = side_mm(scale, plan.workshop.paper.grid_mm)
    every = [row for _, rows in lines for row in rows]
    table = Table(
        words.squares_heads, every, "lrr", wraps=(), cap_mm=TEXT, gap_mm=2.5, pad_mm=pad_mm
    )
    # Inches and other languages need more room.
    least = max(COLUMN_MM, table.columns(0.0)[-1][1])
    flow = Flow([], run_on(pages, plan, sheet, least, may_lie=True))
    half = short(plan.workshop.cutting.kerf_mm / 2, 2)
    for text in words.squares_intro:
        flow.add(
            Paragraph(
                text.format(side=measure(side, plan.workshop.paper), half=half),
                cap_mm=TEXT,
                after_mm=1.6,
            )
        )
    body, done = table.body(), 0
    for title, rows in lines:
        flow.rows(
            body[done : done + len(rows)],
            table.head(),
            before=(Paragraph(title, cap_mm=TEXT, bold=True, before_mm=3.0),),
            headed=done > 0,
        )
        done += len(rows)
    return pages


def _row(crossing: Crossing, paper: Paper) -> tuple[str, str, str]:
    across, up = (
        "" if mm is None else beside(whole(mm), mm, paper)
        for mm in (crossing.across_mm, crossing.up_mm)
    )
    return " ".join(crossing.squares), across, up
