"""Maps of the sheets of a template: on the opening page, on a page of their own, in a strip."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString

from wirepath.sheets.lettering import HEAD, NOTE, TEXT, Box, line_mm, shorten, width_mm
from wirepath.sheets.page import DOTS, HAIR, MARGIN_MM, MEDIUM, THIN, Page, upright
from wirepath.sheets.room import Room
from wirepath.templates.labels import write_label, write_paragraph
from wirepath.templates.laying import Sheet
from wirepath.templates.parts import Face, Part
from wirepath.templates.tiling import OVERLAP_MM, Cell, Tiling
from wirepath.templates.wording import TemplateWords

MAP_HIGH_MM = 90.0
MAP_CELL_MM = 12.0
"""Where the sheets of a map would be smaller, it gets a page of its own."""


def sheet_numbers(face: Face, sheets: Sequence[Sheet]) -> dict[Cell, int]:
    """Return the number of the sheet at each place of a face's tiling."""
    return {one.cell: one.number for one in sheets if one.face is face}


def draw_map(
    page: Page,
    box: Box,
    face: Face,
    sheets: Sequence[Sheet],
    *,
    here: Sheet | None = None,
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
        if write_label(page, room, text, cap, itertools.product(xs.tolist(), ys.tolist())):
            return
    page.text((cell.x0 + cell.x1) / 2, cell.y0 + 0.5, text, 1.8, bold=True, align="center")


def map_cell_mm(tiling: Tiling, size: str, faces: int) -> float:
    """Return the shorter side of a sheet in the map, as it would stand on the opening page."""
    windows = np.array([tiling.window(cell) for cell in tiling.cells])
    width, height = (windows[:, 2:].max(axis=0) - windows[:, :2].min(axis=0)).tolist()
    share = (upright(size)[0] - 2 * MARGIN_MM) / faces - 8.0
    scale = min(share / width, 0.7 * MAP_HIGH_MM / height)
    return float(scale * (min(tiling.window_mm) - OVERLAP_MM))


def map_page(
    part: Part,
    face: Face,
    sheets: Sequence[Sheet],
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
    y = write_paragraph(page, left, y, right - left, name, bold=True)
    y = write_paragraph(page, left, y, right - left, words.map_empty)
    draw_map(page, Box(left, MARGIN_MM + 3.0, right, y), face, sheets)
    return page


def draw_maps(page: Page, box: Box, sheets: Sequence[Sheet], words: TemplateWords) -> None:
    """Draw a map for every face, side by side, below a heading."""
    y = box.y1
    page.text(box.x0, y, words.map_title, TEXT, bold=True)
    y -= line_mm(TEXT)
    y = write_paragraph(page, box.x0, y, box.width, words.map_empty)
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
        draw_map(page, Box(x, low, x + share, top + 1.5), face, sheets)
