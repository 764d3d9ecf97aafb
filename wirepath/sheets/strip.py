"""The title strip of every page, and the blank pages it stands on."""

from __future__ import annotations

from collections.abc import Sequence

from wirepath.model import Job, Plan
from wirepath.sheets.flow import Frame, NewFrames
from wirepath.sheets.lettering import NOTE, TEXT, Box, shorten, width_mm
from wirepath.sheets.page import MARGIN_MM, MEDIUM, THICK, Page, upright
from wirepath.wording import Words

STRIP_MM = 14.0
GAP_MM = 3.0
COLUMN_GAP_MM = 7.0


def body(page: Page) -> Box:
    """Return what a page leaves for its contents: all but its rim and its title strip."""
    return Box(
        MARGIN_MM,
        MARGIN_MM,
        page.width_mm - MARGIN_MM,
        page.height_mm - MARGIN_MM - STRIP_MM - GAP_MM,
    )


def text_page(plan: Plan, title: str, scale: str = "", *, lying: bool = False) -> Page:
    """Return a new page of the plan's paper, upright unless it is `lying`."""
    width, height = upright(plan.workshop.paper.size)
    if lying:
        width, height = height, width
    return Page(width, height, title=title, scale=scale)


def columns(page: Page, box: Box, least_mm: float) -> list[Frame]:
    """Return `box` as frames side by side, as many as are at least `least_mm` wide."""
    count = max(1, int((box.width + COLUMN_GAP_MM) // (least_mm + COLUMN_GAP_MM)))
    width = (box.width - (count - 1) * COLUMN_GAP_MM) / count
    lefts = [box.x0 + i * (width + COLUMN_GAP_MM) for i in range(count)]
    return [Frame(page, Box(left, box.y0, left + width, box.y1)) for left in lefts]


def run_on(
    pages: list[Page], plan: Plan, title: str, least_mm: float = 150.0, *, may_lie: bool = False
) -> NewFrames:
    """Return what begins another page of `title` at the end of `pages`, in columns.

    Pages that may lie do so where it makes much more of the columns: two short ones for a
    long one.
    """

    def more() -> Sequence[Frame]:
        page = text_page(plan, title)
        frames = columns(page, body(page), least_mm)
        if may_lie:
            lying = text_page(plan, title, lying=True)
            others = columns(lying, body(lying), least_mm)
            if _column_mm(others) > 1.2 * _column_mm(frames):
                page, frames = lying, others
        pages.append(page)
        return frames

    return more


def _column_mm(frames: Sequence[Frame]) -> float:
    """Return how long all columns are together."""
    return sum(frame.box.height for frame in frames)


def draw_strips(pages: Sequence[Page], job: Job, words: Words) -> None:
    """Draw the title strip of every page: job, contents, scale, sheet n of N, date if given."""
    for number, page in enumerate(pages, 1):
        _draw_strip(page, job, words, number, len(pages))


def _draw_strip(page: Page, job: Job, words: Words, number: int, total: int) -> None:
    top = page.height_mm - MARGIN_MM
    box = Box(MARGIN_MM, top - STRIP_MM, page.width_mm - MARGIN_MM, top)
    page.box(box, THICK)
    upper, lower = top - 5.4, top - STRIP_MM + 3.0
    sheet = words.sheet_of.format(number=number, total=total)
    scale = page.scale or words.no_scale
    right = max(width_mm(sheet, TEXT, bold=True), width_mm(scale, TEXT)) + 5.0
    x = box.x1 - right
    page.line([(x, box.y0), (x, box.y1)], MEDIUM)
    page.text(box.x1 - 2.5, upper, sheet, TEXT, bold=True, align="right")
    page.text(box.x1 - 2.5, lower, scale, TEXT, align="right")
    aside = words.invented_strip if job.invented else ""
    room = x - box.x0 - 5.0
    date = job.date or ""
    used = 0.0
    for text, cap, bold in ((aside, NOTE, True), (date, NOTE, False)):
        if text:
            text = shorten(text, room / 3, cap, bold=bold)
            page.text(x - 2.5 - used, upper, text, cap, bold=bold, align="right")
            used += width_mm(text, cap, bold=bold) + 4.0
    page.text(box.x0 + 2.5, upper, shorten(job.name, room - used, NOTE))
    cap = TEXT if width_mm(page.title, TEXT, bold=True) <= room else NOTE
    page.text(box.x0 + 2.5, lower, shorten(page.title, room, cap, bold=True), cap, bold=True)
