"""The papers of the demos: every label of every page, measured, in every language and size."""

from dataclasses import replace
from itertools import product

import pytest
from demo_plans import NAMES, demo_plan
from label_checks import faults

from wirepath.pictures.approval import approval_page
from wirepath.pictures.wording import LANGUAGES as APPROVAL
from wirepath.sheets import sheet_pages
from wirepath.templates.drawing import template_pages
from wirepath.templates.parts import distinct_parts, faces
from wirepath.templates.wording import LANGUAGES as TEMPLATES
from wirepath.wording import LANGUAGES
from wirepath.workshop import Paper

PAPERS = [
    Paper(size=size, language=language, inches=inches)
    for size, language, inches in product(("A4", "A3"), ("en", "de", "nl"), (False, True))
]
LONG = "with a name that goes on and on until no strip and no table can hold it, then further"


def papers_of(name, shared, paper):
    """Return the plan of a demo for other paper."""
    plan = demo_plan(name, shared)
    return replace(plan, workshop=replace(plan.workshop, paper=paper))


def sheets(plan):
    language = plan.workshop.paper.language
    return [*sheet_pages(plan, LANGUAGES[language]), approval_page(plan, APPROVAL[language])]


# Every kind of paper with some demo, and plain paper with all of them.
CASES = [(name, Paper()) for name in NAMES] + [
    (NAMES[n % len(NAMES)], paper) for n, paper in enumerate(PAPERS[1:])
]


@pytest.mark.parametrize(("name", "paper"), CASES, ids=str)
def test_no_label_of_the_demos_meets_another_or_a_line_or_leaves_the_page(
    name, paper, shared_folder
):
    pages = sheets(papers_of(name, shared_folder, paper))
    assert [fault for page in pages for fault in faults(page)] == []


def test_no_sheet_of_the_letters_holds_next_to_nothing(shared_folder):
    # Steps, places and squares once ended on pages with one table's last rows alone.
    for page in sheets(papers_of("letters", shared_folder, Paper())):
        low = min(float(text.origin[1]) for text in page.texts)
        assert low < 0.65 * page.height_mm, page.title


@pytest.mark.parametrize("size", ["A4", "A3", "roll"])
@pytest.mark.parametrize("language", ["en", "de", "nl"])
def test_no_label_of_a_template_meets_another_or_a_line_or_leaves_the_page(
    size, language, shared_folder
):
    # A pair that tapers, and an outline without a straight edge.
    for name, part_name in (("arch", "Keystone"), ("letters", "Lantern 1")):
        plan = papers_of(name, shared_folder, Paper(language=language, inches=True))
        (part,) = distinct_parts(plan, [part_name])
        drawn = faces(part.one, plan.workshop.cutting, paired=True)
        pages = template_pages(plan, part, drawn, size, TEMPLATES[language])
        assert [fault for page in pages for fault in faults(page)] == []


def test_long_names_are_cut_off_before_they_meet_anything(shared_folder):
    plan = demo_plan("letters", shared_folder)
    plan = replace(
        plan,
        job=replace(plan.job, name=f"A job {LONG}", date=f"on a day {LONG}"),
        pieces=tuple(replace(one, name=f"{one.name} {LONG}") for one in plan.pieces),
    )
    assert [fault for page in sheets(plan) for fault in faults(page)] == []
