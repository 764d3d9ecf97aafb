"""How a blank is glued before its form is cut from it: where glue goes, and where it must not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Geometry, LineString, Polygon

from wirepath.geometry import place
from wirepath.model import GluedBlank, Plan, Seam
from wirepath.sheets.figures import beside, measure, sentence, short, whole
from wirepath.sheets.flow import Flow, Frame, Paragraph, Table, heading
from wirepath.sheets.key import Sample, draw_key, line_sample
from wirepath.sheets.layout_sheet import about_blank, blank_title
from wirepath.sheets.lettering import TEXT, Box
from wirepath.sheets.marks import (
    OVERALL_MM,
    View,
    draw_overall,
    hatching,
    number_area,
    standard_scale,
)
from wirepath.sheets.page import CHAIN, HAIR, MEDIUM, THICK, Page, upright
from wirepath.sheets.picture import SEAM_DASHES
from wirepath.sheets.room import Room
from wirepath.sheets.strip import body, run_on
from wirepath.wording import Words

PICTURE_SHARE = 0.5
"""Most of the page's height the picture takes."""

GLUE_MM = 1.1
"""Pen for glue: the heaviest line on the page."""


def blank_pages(plan: Plan, blank: GluedBlank, words: Words) -> list[Page]:
    """Return a page for each layer of a blank, and what its text runs on to.

    `plan` has its blanks in line (`Plan.with_blanks`).
    """
    heights = sorted({round(plan.piece(number).from_mm, 3) for number in blank.cells})
    pages: list[Page] = []
    for number, from_mm in enumerate(heights, 1):
        title = blank_title(blank, words)
        if len(heights) > 1:
            height = measure(from_mm, plan.workshop.paper)
            title += words.blank_layer.format(number=number, total=len(heights), mm=height)
        pages += _layer_pages(plan, blank, from_mm, title, words)
    return pages


def _layer_pages(
    plan: Plan, blank: GluedBlank, from_mm: float, title: str, words: Words
) -> list[Page]:
    page = Page(*upright(plan.workshop.paper.size), title=title)
    pages = [page]
    area = body(page)
    layout = blank.layout
    room = (area.width - OVERALL_MM - 2.0, area.height * PICTURE_SHARE)
    scale = standard_scale(layout.width_mm, layout.height_mm, room)
    page.scale = words.scale.format(scale=short(scale))
    view = View(area.x0 + OVERALL_MM, area.y1 - 2.0 - layout.height_mm / scale, scale)
    seams = _seams_of(plan, blank, from_mm)
    missing = _draw(page, plan, blank, from_mm, seams, view, words)
    samples = [
        Sample(words.key_glue, line_sample(GLUE_MM, ())),
        Sample(words.key_dry, line_sample(MEDIUM, SEAM_DASHES)),
        Sample(words.key_later, line_sample(THICK, CHAIN)),
    ]
    below = draw_key(page, Box(area.x0, area.y0, area.x1, view.y0 - OVERALL_MM), samples)

    flow = Flow(
        [Frame(page, Box(area.x0, area.y0, area.x1, below - 2.0))], run_on(pages, plan, title)
    )
    _add_texts(flow, plan, blank, missing, words)
    rows = list(_seam_rows(plan, seams, words))
    if rows:
        table = Table(words.blank_heads, rows, "llrrr", wraps=(1, 2, 3))
        flow.table(table, before=(heading(words.blank_seams),))
    places = Table(
        words.places_heads, list(_places(plan, blank, from_mm, words)), "rlrrl", (1, 2, 3, 4)
    )
    flow.table(places, before=(heading(words.places_title),))
    return pages


def _all_seams(plan: Plan, blank: GluedBlank) -> list[Seam]:
    cells = set(blank.cells)
    return [seam for seam in plan.seams if cells.issuperset(seam.pieces)]


def _seams_of(plan: Plan, blank: GluedBlank, from_mm: float) -> list[Seam]:
    """Return the seams within a layer of the blank, and those with the layer under it."""
    return [
        seam
        for seam in _all_seams(plan, blank)
        if abs(max(plan.piece(number).from_mm for number in seam.pieces) - from_mm) < 0.01
    ]


def _add_texts(
    flow: Flow, plan: Plan, blank: GluedBlank, missing: Sequence[str], words: Words
) -> None:
    dry = measure(plan.job.seams.dry_mm, plan.workshop.paper)
    sheet = words.layout_title.format(name=sentence(words.blank.format(blank=blank.number)))
    about = about_blank(plan, blank, words)
    if missing:
        about += " " + words.list_only.format(what=", ".join(missing))
    crossed = _crossed(plan, blank)
    flow.add(Paragraph(about, after_mm=1.5))
    if crossed:
        text = words.blank_crossed.format(count=crossed, dry=dry)
        flow.add(Paragraph(text, cap_mm=TEXT, bold=True, after_mm=2.0))
    if any(seam.strips is not None for seam in _all_seams(plan, blank)):
        text = words.blank_strips.format(sheet=words.gluing_title.format(form=blank.form.name))
        flow.add(Paragraph(text, cap_mm=TEXT, bold=True, after_mm=2.0))
    for number, step in enumerate(words.blank_steps, 1):
        text = step.format(sheet=sheet, dry=dry)
        flow.add(Paragraph(text, cap_mm=TEXT, indent_mm=7.0, label=str(number), after_mm=1.2))


def _way(blank: GluedBlank) -> list[LineString]:
    return [move.line for one in blank.passes for move in one.moves if move.kind != "air"]


def _crossed(plan: Plan, blank: GluedBlank) -> int:
    """Return how many seams of the blank the wire crosses or touches."""
    (placement,) = blank.layout.placements
    way = shapely.union_all(_way(blank))
    cells = set(blank.cells)
    places = [
        place(seam.place, placement)
        for seam in plan.seams
        if cells.issuperset(seam.pieces) and seam.kind == "edge"
    ]
    return int(shapely.intersects(np.array(places, dtype=object), way).sum()) if places else 0


def _seam_rows(
    plan: Plan, seams: Sequence[Seam], words: Words
) -> Iterator[tuple[str, str, str, str, str]]:
    paper = plan.workshop.paper
    for seam in seams:
        lengths = ("", "")
        if seam.kind == "edge":
            long_mm, glued_mm = (float(shapely.length(part)) for part in (seam.place, seam.glued))
            lengths = (
                beside(whole(long_mm), long_mm, paper),
                beside(whole(glued_mm), glued_mm, paper),
            )
        yield (
            f"{seam.pieces[0]} + {seam.pieces[1]}",
            words.blank_edge if seam.kind == "edge" else words.blank_flat,
            *lengths,
            whole(seam.area_mm2 / 100),
        )


def _places(
    plan: Plan, blank: GluedBlank, from_mm: float, words: Words
) -> Iterator[tuple[str, ...]]:
    """Give where each cell of a layer lies on the blank, and how thick it is."""
    (placement,) = blank.layout.placements
    paper = plan.workshop.paper

    def span(low: float, high: float) -> str:
        low_text, high_text = (beside(whole(one), one, paper) for one in (low, high))
        return words.from_to.format(low=low_text, high=high_text)

    for number in blank.cells:
        piece = plan.piece(number)
        if abs(piece.from_mm - from_mm) < 0.01:
            west, south, east, north = place(piece.outline, placement).bounds
            thick = words.blank_thick.format(mm=measure(piece.thickness_mm, paper))
            yield str(number), piece.name, span(west, east), span(south, north), thick


def _draw(
    page: Page,
    plan: Plan,
    blank: GluedBlank,
    from_mm: float,
    seams: Sequence[Seam],
    view: View,
    words: Words,
) -> list[str]:
    """Draw cells, glue and the wire's way; return the pieces whose number found no room."""
    layout = blank.layout
    (placement,) = layout.placements

    def drawn(shape: Geometry) -> Geometry:
        if shapely.is_empty(shape):
            return shape
        return shapely.transform(place(shape, placement), view.points)

    cells: dict[int, Polygon] = {
        number: view.area(place(plan.piece(number).outline, placement))
        for number in blank.cells
        if abs(plan.piece(number).from_mm - from_mm) < 0.01
    }
    glue, dry, flat = [], [], []
    for seam in seams:
        glued = drawn(seam.glued)
        if seam.kind == "layer":
            flat.append(glued)
        else:
            glue += _lines(glued)
            dry += _lines(drawn(shapely.difference(seam.place, seam.glued)))
    way = [shapely.transform(line, view.points) for line in _way(blank)]
    rims = [cell.exterior for cell in cells.values()]
    corner = view.points([(layout.width_mm, layout.height_mm)])[0]
    frame = Box(view.x0, view.y0, float(corner[0]), float(corner[1]))
    if flat:
        for part in _lines(shapely.intersection(hatching(frame), shapely.union_all(flat))):
            page.line(shapely.get_coordinates(part), HAIR)
    seam_lines = shapely.buffer(shapely.union_all([*glue, *dry]), 0.05)
    for rim in rims:
        for part in _lines(shapely.difference(rim, seam_lines)):
            page.line(shapely.get_coordinates(part), MEDIUM)
    for line in dry:
        page.line(shapely.get_coordinates(line), MEDIUM, SEAM_DASHES)
    for line in glue:
        page.line(shapely.get_coordinates(line), GLUE_MM)
    for line in way:
        page.line(shapely.get_coordinates(line), THICK, CHAIN)
    paper = plan.workshop.paper
    sizes = (layout.width_mm, layout.height_mm)
    width, height = (beside(whole(mm), mm, paper) for mm in sizes)
    draw_overall(page, frame, width, height)
    room = Room([*rims, *way], frame)
    missing = []
    for number, cell in cells.items():
        if not number_area(page, room, str(number), cell):
            missing.append(words.piece.format(number=number))
    return missing


def _lines(shape: Geometry) -> list[LineString]:
    """Return the lines in a shape, those left out that are too short to draw."""
    parts = shapely.get_parts(shape)
    lines = [part for part in parts if isinstance(part, LineString) and part.length > 0.05]
    return list(shapely.get_parts(shapely.line_merge(shapely.MultiLineString(lines))))
