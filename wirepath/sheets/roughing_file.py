"""The sheets of a job's roughing as a file of their own."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from wirepath.model import Job, RoughingPlan
from wirepath.sheets.figures import beside, fixed
from wirepath.sheets.flow import Flow, Paragraph, Table, heading
from wirepath.sheets.front import cautions
from wirepath.sheets.lettering import HEAD, TEXT
from wirepath.sheets.page import Page, upright
from wirepath.sheets.printing import write_pdf
from wirepath.sheets.roughing_pages import Told, roughing_pages
from wirepath.sheets.strip import body, columns, draw_strips
from wirepath.wording import LANGUAGES
from wirepath.wording.roughing import ROUGHING
from wirepath.workshop import Workshop


def write_roughing(job: Job, workshop: Workshop, plans: Sequence[RoughingPlan], path: Path) -> int:
    """Write the sheets of a job's roughing as a PDF to `path`; return how many pages it has.

    The same plans give the same bytes. Raises OSError where
    `path` cannot be written.
    """
    paper, language = workshop.paper, workshop.paper.language
    words, rough_words = LANGUAGES[language], ROUGHING[language]
    told = Told(
        paper=paper, words=rough_words, litres_per_hour=job.roughing.carving_litres_per_hour
    )
    width, height = upright(paper.size)
    pages = [Page(width, height, title=rough_words.front_title)]
    flow = Flow([], lambda: columns(pages[0], body(pages[0]), 150.0))
    flow.add(Paragraph(job.name, cap_mm=HEAD, bold=True, after_mm=1.5))
    if job.invented:
        flow.add(Paragraph(words.invented, cap_mm=TEXT, bold=True, after_mm=1.5))
    flow.add(Paragraph(rough_words.front_text, cap_mm=TEXT, after_mm=3.0))
    flow.add(cautions(words))
    rows = [
        (
            plan.name,
            str(blank.number),
            *(
                beside(fixed(size, 1), size, paper)
                for size in (blank.width_mm, blank.height_mm, blank.thickness_mm)
            ),
        )
        for plan in plans
        for blank in plan.blanks
    ]
    table = Table(rough_words.blanks_heads, rows, "lrrrr")
    flow.table(table, before=(heading(rough_words.blanks),))
    for plan in plans:
        pages += roughing_pages(plan, told)
    draw_strips(pages, job, words)
    write_pdf(pages, path, title=job.name)
    return len(pages)
