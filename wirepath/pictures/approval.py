"""One page for the client: the form from its front, its size, its seams, its weight."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely import Geometry, LineString, MultiLineString, Polygon

from wirepath.model import Plan
from wirepath.pictures.wording import ApprovalWords
from wirepath.sheets.figures import beside, fixed, whole
from wirepath.sheets.lettering import BIG, HEAD, NOTE, TEXT, Box, line_mm, shorten, width_mm, wrap
from wirepath.sheets.marks import OVERALL_MM, draw_overall, standard_scale
from wirepath.sheets.page import DASHES, HAIR, MARGIN_MM, MEDIUM, THICK, THIN, Page, lying, upright

LIST_MM = 62.0
"""Height of the list and the lines to sign, below the picture."""
SAME_MM = 0.5
"""Borders nearer than this are one seam: what glue and drawing make of a joint."""


def approval_page(plan: Plan, words: ApprovalWords) -> Page:
    """Return the page, upright or lying as suits the form."""
    outlines = [one.polygon for one in plan.traced.outlines]
    west, south, east, north = shapely.total_bounds(np.array(outlines, dtype=object)).tolist()
    size = plan.workshop.paper.size
    width, height = upright(size) if north - south > 0.8 * (east - west) else lying(size)
    page = Page(width, height)
    rim = Box(MARGIN_MM, MARGIN_MM, width - MARGIN_MM, height - MARGIN_MM)
    page.box(rim, THICK)
    top = _heading(page, plan, rim, words)
    room = Box(rim.x0 + 8 + OVERALL_MM, rim.y0 + LIST_MM + OVERALL_MM + 12, rim.x1 - 8, top - 6)
    scale = standard_scale(east - west, north - south, (room.width, room.height))
    drawn = (east - west) / scale, (north - south) / scale
    x0, y0 = room.x0 + (room.width - drawn[0]) / 2, room.y0 + (room.height - drawn[1]) / 2
    at = np.array([x0, y0]) - np.array([west, south]) / scale

    def draw(shape: Geometry, pen_mm: float, dashes: tuple[float, ...] = ()) -> None:
        for line in _lines(shape):
            page.line(shapely.get_coordinates(line) / scale + at, pen_mm, dashes)

    for contour in plan.traced.contours:
        draw(contour.region.boundary, HAIR)
    seams = seam_lines(plan)
    draw(seams, MEDIUM, DASHES)
    for outline in outlines:
        draw(outline.boundary, THICK)
    form = Box(x0, y0, x0 + drawn[0], y0 + drawn[1])
    width_text, height_text = (figure(plan, mm) for mm in (east - west, north - south))
    draw_overall(page, form, width_text, height_text, TEXT)
    _bar(page, Box(rim.x0 + 8, rim.y0 + LIST_MM + 4, rim.x1 - 8, form.y0), scale, words)
    about = list(_about(plan, east - west, north - south, seams, scale, words))
    _list(page, Box(rim.x0, rim.y0, rim.x1, rim.y0 + LIST_MM), about, words)
    return page


def figure(plan: Plan, mm: float) -> str:
    """Return a length in whole mm, with inches where they are asked for."""
    return beside(whole(mm), mm, plan.workshop.paper)


def seam_lines(plan: Plan) -> Geometry:
    """Return the lines along which pieces of one form meet, seen from the front."""
    forms: dict[str, dict[bytes, Polygon]] = {}
    for piece in plan.pieces:
        if piece.section_of is not None:
            own = forms.setdefault(piece.section_of, {})
            own[shapely.to_wkb(piece.finished)] = piece.finished
    inner = [
        piece.boundary.difference(shapely.union_all(list(own.values())).boundary.buffer(SAME_MM))
        for own in forms.values()
        for piece in own.values()
    ]
    joined = shapely.union_all(inner)
    return shapely.line_merge(joined) if isinstance(joined, MultiLineString) else joined


def _lines(shape: Geometry) -> Iterator[LineString]:
    for line in shapely.get_parts(shape):
        if shapely.get_type_id(line) in (1, 2) and not shapely.is_empty(line):
            yield line


def _heading(page: Page, plan: Plan, rim: Box, words: ApprovalWords) -> float:
    low = rim.y1 - 16
    page.line([(rim.x0, low), (rim.x1, low)], THICK)
    side = width_mm(words.title, HEAD, bold=True) + 6
    page.text(rim.x1 - 4, rim.y1 - 8.5, words.title, HEAD, bold=True, align="right")
    if plan.job.invented:
        page.text(rim.x1 - 4, low + 2, words.invented, NOTE, bold=True, align="right")
    name = shorten(plan.job.name, rim.width - side - 10, BIG, bold=True)
    page.text(rim.x0 + 4, low + 5, name, BIG, bold=True)
    return low


def _bar(page: Page, room: Box, scale: float, words: ApprovalWords) -> None:
    """Draw a length one knows, at the picture's scale, in the lower right corner."""
    metre = 1000 / scale <= room.width / 2
    length = (1000 if metre else 100) / scale
    x, y = room.x1 - length, room.y0
    page.line([(x, y), (room.x1, y)], THICK)
    for end in (x, room.x1):
        page.line([(end, y - 1.5), (end, y + 1.5)], THIN)
    text = words.bar_metre if metre else words.bar_small
    page.text(x - 2, y - NOTE / 2, text, NOTE, align="right")


def _about(
    plan: Plan,
    width_mm: float,
    height_mm: float,
    seams: Geometry,
    scale: float,
    words: ApprovalWords,
) -> Iterator[tuple[str, str]]:
    depth = max(piece.from_mm + piece.thickness_mm for piece in plan.pieces)
    if plan.job.form.peak_mm is not None and plan.job.form.kind == "relief":
        depth = plan.job.form.peak_mm
    yield (
        words.size,
        words.size_value.format(
            width=figure(plan, width_mm), height=figure(plan, height_mm), depth=figure(plan, depth)
        ),
    )
    yield words.pieces, str(len(plan.pieces))
    weight = fixed(sum(kg for _, kg in plan.estimate.piece_weights_kg))
    carved = plan.job.form.kind == "relief" or plan.job.form.allowance_mm > 0
    yield words.weight, (words.weight_left if carved else words.weight_value).format(weight=weight)
    yield words.foam, ", ".join(sorted({piece.foam for piece in plan.pieces}))
    yield words.seams, words.seams_none if shapely.is_empty(seams) else words.seams_shown
    if plan.traced.contours:
        yield words.contours, words.contours_shown
    if plan.job.date:
        yield words.date, plan.job.date
    yield words.scale, f"1 : {scale:g}"


def _list(page: Page, box: Box, about: list[tuple[str, str]], words: ApprovalWords) -> None:
    page.line([(box.x0, box.y1), (box.x1, box.y1)], THICK)
    x, y = box.x0 + 4, box.y1 - 5.5
    beside = x + max(width_mm(head, NOTE, bold=True) for head, _ in about) + 5
    half = box.x0 + 0.58 * box.width
    for head, text in about:
        page.text(x, y, head, NOTE, bold=True)
        page.text(beside, y, shorten(text, half - beside - 4, NOTE), NOTE)
        y -= line_mm(NOTE) + 0.8
    page.line([(half, box.y0), (half, box.y1)], MEDIUM)
    y = box.y1 - 5.5
    for line in wrap(words.not_shown, box.x1 - half - 8, NOTE):
        page.text(half + 4, y, line, NOTE)
        y -= line_mm(NOTE)
    y -= 5.0
    for line in wrap(words.approved, box.x1 - half - 8, TEXT, bold=True):
        page.text(half + 4, y, line, TEXT, bold=True)
        y -= line_mm(TEXT)
    y += line_mm(TEXT)
    for word in (words.name, words.on):
        y -= 12.0
        page.line([(half + 4, y), (box.x1 - 4, y)], THIN)
        page.text(half + 4, y - 3.6, word, NOTE)
