"""Templates as pages: how each part is laid on paper, and its pages in order."""

from __future__ import annotations

from collections.abc import Sequence

from wirepath.model import Plan
from wirepath.sheets.page import Page
from wirepath.templates.laying import PaperChoice, Sheet, laid_on_paper
from wirepath.templates.maps import MAP_CELL_MM, draw_maps, map_cell_mm, map_page
from wirepath.templates.opening import opening_page
from wirepath.templates.parts import Face, Part
from wirepath.templates.sheet import sheet_page
from wirepath.templates.wording import TemplateWords


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
    laid = [(face, *laid_on_paper(part, face, paper)) for face in part_faces]
    size = "A4" if paper == "roll" else paper
    # A map of many sheets gets a page of its own, so that its numbers can be read.
    crowded = any(
        len(tiling.cells) > 1 and map_cell_mm(tiling, size, len(laid)) < MAP_CELL_MM
        for *_, tiling in laid
    )
    first = 2 + (len(laid) if crowded else 0)
    sheets: list[Sheet] = []
    for face, width, height, tiling in laid:
        for cell in tiling.cells:
            sheets.append(
                Sheet(
                    face=face,
                    tiling=tiling,
                    cell=cell,
                    number=first + len(sheets),
                    width_mm=width,
                    height_mm=height,
                )
            )
    total = first + len(sheets) - 1
    opening, below = opening_page(plan, part, sheets, size, paper, total, words)
    pages = [opening]
    if crowded:
        pages += [
            map_page(part, face, sheets, size, number, total, words)
            for number, face in enumerate(part_faces, 2)
        ]
    else:
        draw_maps(opening, below, sheets, words)
    return [*pages, *(sheet_page(plan, part, sheet, sheets, total, words) for sheet in sheets)]
