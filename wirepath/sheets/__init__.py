"""The cut sheets: a plan on paper, to be read at the bench. One PDF.

write_sheets    the whole file
roughing_file   the sheets of a relief's roughing out of blocks of its own: another file

lettering, page, printing    sizes of text; a page as data; pages to PDF
flow, strip                  text that flows over pages; the title strip
figures, steps, squares      numbers and names; the wire's way in words; setting out
room, marks    where labels fit; arrows, leaders, hatching
rims, picture, key, step_group    round a layout; the layout to scale; its key; small pictures
front, front_lists, foam_bar    the first pages
assembly_sheet, slab_sheet, blank_sheet    the kinds of sheets, for a whole plan
bow_sheet, fence_sheet, layout_sheet, taper_sheet, squares_sheet    and for each layout
test_cut_sheet    how to cut and measure test slots
"""

from __future__ import annotations

from pathlib import Path

from wirepath.kerf import kerf_basis
from wirepath.model import Plan
from wirepath.sheets.assembly_sheet import assembly_pages
from wirepath.sheets.blank_sheet import blank_pages
from wirepath.sheets.bow_sheet import bow_pages
from wirepath.sheets.fence_sheet import fence_pages
from wirepath.sheets.front import front_pages
from wirepath.sheets.gluing_sheet import gluing_pages
from wirepath.sheets.layout_sheet import alike, layout_pages, layout_scale
from wirepath.sheets.loads_sheet import loads_pages
from wirepath.sheets.page import Page
from wirepath.sheets.printing import write_pdf
from wirepath.sheets.roughing_pages import Told, roughing_pages
from wirepath.sheets.slab_sheet import sawings, slab_pages
from wirepath.sheets.squares_sheet import squares_pages
from wirepath.sheets.strip import draw_strips
from wirepath.sheets.taper_sheet import taper_pages
from wirepath.sheets.test_cut_sheet import comb_page
from wirepath.wording import LANGUAGES, Words
from wirepath.wording.roughing import ROUGHING


def write_sheets(plan: Plan, path: Path) -> int:
    """Write all sheets of `plan` as a PDF to `path`; return how many pages it has.

    The same plan gives the same bytes. Raises OSError where `path` cannot be written.
    """
    pages = sheet_pages(plan, LANGUAGES[plan.workshop.paper.language])
    write_pdf(pages, path, title=plan.job.name)
    return len(pages)


def sheet_pages(plan: Plan, words: Words) -> list[Page]:
    """Return all pages: lists and cautions, the whole, then slabs, pictures, steps by block.

    Blanks come last: how each is glued, then how its form is cut from it.
    """
    work: list[Page] = assembly_pages(plan, words)
    whole = plan.with_blanks()
    sawn = sawings(plan)
    groups = alike(plan)
    for block in plan.blocks:
        for sawing in sawn:
            if sawing.blocks[0] == block:
                work += slab_pages(plan, sawing, words)
        for group in groups:
            if group[0].block == block.number:
                work += fence_pages(plan, group, words)
                work += bow_pages(plan, group, words)
                work += layout_pages(plan, group, words)
                work += taper_pages(plan, group, words)
                work += squares_pages(plan, group, layout_scale(plan, group[0], words), words)
    for blank in plan.blanks:
        work += blank_pages(whole, blank, words)
        work += fence_pages(whole, (blank.layout,), words)
        work += bow_pages(whole, (blank.layout,), words)
        work += layout_pages(whole, (blank.layout,), words)
        scale = layout_scale(whole, blank.layout, words)
        work += squares_pages(whole, (blank.layout,), scale, words)
    names = {piece.number: piece.name for piece in plan.pieces}
    for number, rough in enumerate(plan.roughing, 1):
        told = Told(
            paper=plan.workshop.paper,
            words=ROUGHING[plan.workshop.paper.language],
            names=names,
            number=number if plan.workshop.rig.kind == "table" else 0,
            litres_per_hour=plan.job.roughing.carving_litres_per_hour,
        )
        work += roughing_pages(rough, told)
    work += gluing_pages(plan, words)
    work += loads_pages(plan, words)
    work += _test_cut(plan)
    pages = [*front_pages(plan, [page.title for page in work], words), *work]
    draw_strips(pages, plan.job, words)
    return pages


def _test_cut(plan: Plan) -> list[Page]:
    """Return the sheet of the test cut where the kerf is only an estimate."""
    shop, foam = plan.workshop, plan.job.form.foam
    if not kerf_basis(shop, foam).estimate:
        return []
    return [
        comb_page(
            paper=shop.paper,
            feed_mm_per_s=shop.cutting.feed_mm_per_s,
            wire_mm=shop.wire.diameter_mm,
            foam=foam,
        )
    ]
