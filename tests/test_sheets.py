"""The sheets as printed: sizes, scale and texts read back by pypdf, labels measured one by one."""

from __future__ import annotations

import re
from contextlib import nullcontext
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import sheet_specimens as specimens
from label_checks import faults, ink
from pypdf import PdfReader
from pypdf.generic import ContentStream

from wirepath.sheets import printing, sheet_pages, write_sheets
from wirepath.sheets.figures import inches
from wirepath.sheets.layout_sheet import alike, shared_name
from wirepath.sheets.lettering import MM_PER_POINT, points, printable
from wirepath.sheets.page import Page
from wirepath.sheets.printing import write_pdf
from wirepath.sheets.steps import steps
from wirepath.wording import ENGLISH, LANGUAGES
from wirepath.workshop import Paper

PLANS = {
    "letters": specimens.letters,
    "slabs": specimens.slabs,
    "crowd": specimens.crowd,
    "crowd on A3": lambda: specimens.crowd("A3"),
    "awkward": specimens.awkward,
    "slabs in German, with inches": lambda: specimens.slabs(Paper(language="de", inches=True)),
    "letters in Dutch": lambda: specimens.letters(Paper(language="nl")),
}


@cache
def plan_of(name):
    return PLANS[name]()


@cache
def pages_of(name):
    plan = plan_of(name)
    return sheet_pages(plan, LANGUAGES[plan.workshop.paper.language])


@pytest.fixture(scope="module")
def letters_pdf(tmp_path_factory):
    path = tmp_path_factory.mktemp("sheets") / "sheets.pdf"
    write_sheets(specimens.letters(), path)
    return path


def paths_mm(page):
    """Return the bounds in mm, (n, 4), of all straight-sided paths in a page's content."""
    found, points_now = [], []

    def done():
        if len(points_now) > 1:
            array = np.array([[float(x) for x in point] for point in points_now]) * MM_PER_POINT
            found.append([*array.min(axis=0), *array.max(axis=0)])

    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        if operator == b"m":
            done()
            points_now = [operands]
        elif operator == b"l":
            points_now.append(operands)
        elif operator in (b"S", b"s", b"f", b"B"):
            done()
            points_now = []
    return np.array(found)


def picture_page(path):
    """Return the page with the picture of the one layout: its title, and a scale."""
    (page,) = (
        page
        for page in PdfReader(path).pages
        if "Block 1: the lines to cut" in page.extract_text() and "scale 1 :" in page.extract_text()
    )
    return page


# --- Read back from the file --------------------------------------------------------


def test_as_many_pages_are_written_as_are_told(tmp_path):
    path = tmp_path / "sheets.pdf"
    assert write_sheets(specimens.slabs(), path) == len(PdfReader(path).pages)


def test_every_page_is_a4_upright_or_lying(letters_pdf):
    # ISO 216: A4 is 210 x 297 mm.
    sizes = {
        tuple(round(float(side) * MM_PER_POINT, 1) for side in (page.mediabox[2], page.mediabox[3]))
        for page in PdfReader(letters_pdf).pages
    }
    assert sizes == {(210.0, 297.0), (297.0, 210.0)}


def test_a_board_of_2440_mm_prints_244_mm_long_at_1_to_10(letters_pdf):
    page = picture_page(letters_pdf)
    assert "scale 1 : 10" in page.extract_text()
    bounds = paths_mm(page)
    sizes = bounds[:, 2:] - bounds[:, :2]
    assert np.abs(sizes - (244.0, 122.0)).max(axis=1).min() < 0.01


def test_a_piece_prints_where_its_layout_says(letters_pdf):
    """The 800 x 300 piece at 480, 30: its wire line runs 1 mm outside, so 802 x 302 at 479, 29."""
    page = picture_page(letters_pdf)
    bounds = paths_mm(page)
    sizes = bounds[:, 2:] - bounds[:, :2]
    foam = bounds[np.abs(sizes - (244.0, 122.0)).max(axis=1).argmin()]
    local = bounds - np.tile(foam[:2], 2)
    # The line is cut in stretches: together they reach all four sides.
    for side, value in ((0, 47.9), (1, 2.9), (2, 128.1), (3, 33.1)):
        assert np.abs(local[:, side] - value).min() < 0.01


def test_the_title_strip_tells_job_sheet_and_invented_data(letters_pdf):
    pages = PdfReader(letters_pdf).pages
    for number, page in enumerate(pages, 1):
        text = page.extract_text()
        assert "Lantern Fair, gate letters" in text
        assert f"sheet {number} of {len(pages)}" in text
        assert "INVENTED DATA" in text


def test_the_first_pages_tell_order_waste_cautions_and_repairs(letters_pdf):
    text = " ".join(page.extract_text() for page in PdfReader(letters_pdf).pages[:3])
    text = " ".join(text.split())
    plan = specimens.letters()
    assert "2440 x 1220 x 100" in text
    assert f"{100 * plan.estimate.foam.waste_share:.1f}" in text
    assert f"{plan.estimate.price:.2f}" in text
    for word in ("Burns.", "Fumes.", "Fire.", "Electricity.", "Lifting.", "Only EPS and XPS"):
        assert word in text
    assert "closed a gap of 0.04 mm on layer CUT (near 120 across, 77 up)" in text
    assert "Left out: 1 text on layer NOTES" in text


def test_no_date_is_printed_unless_given(tmp_path):
    path = tmp_path / "sheets.pdf"
    plan = specimens.letters()
    write_sheets(plan, path)
    assert PdfReader(path).metadata.get("/CreationDate") is None


def test_the_same_plan_gives_the_same_bytes(tmp_path):
    for name in ("one.pdf", "two.pdf"):
        write_sheets(specimens.slabs(), tmp_path / name)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_texts_shaped_once_print_as_matplotlib_alone_prints_them(tmp_path, monkeypatch):
    page = Page(210.0, 297.0)
    for place, size in enumerate((2.5, 3.5, 5.0, 2.5, 3.5)):
        page.text(20.0, 20.0 + 10 * place, "Avery To 12.5", size, bold=place % 2 == 0)
    write_pdf([page, page], tmp_path / "once.pdf", title="Lettering")
    monkeypatch.setattr(printing, "_shaped_once", nullcontext)
    write_pdf([page, page], tmp_path / "alone.pdf", title="Lettering")
    assert (tmp_path / "once.pdf").read_bytes() == (tmp_path / "alone.pdf").read_bytes()


# --- Labels -------------------------------------------------------------------------


@pytest.mark.parametrize("name", PLANS)
def test_no_text_meets_another_or_a_line_or_leaves_the_page(name):
    assert [fault for page in pages_of(name) for fault in faults(page)] == []


def test_the_check_of_labels_finds_a_text_on_a_text_on_a_line_and_off_the_page():
    page = Page(210.0, 297.0, title="bad")
    page.line([(20, 51), (40, 51)])
    page.fill([(20, 70), (40, 70), (40, 75), (20, 75)])
    for x, y, text in ((30, 50, "on"), (31, 50, "over"), (30, 71, "mark"), (200, 20, "outside")):
        page.text(x, y, text)
    assert faults(page) == [
        "bad: 'on' meets 'over'",
        "bad: 'on' meets a line",
        "bad: 'over' meets a line",
        "bad: 'mark' meets a mark",
        "bad: 'outside' leaves the page",
    ]


@pytest.mark.parametrize("name", PLANS)
def test_no_capital_is_lower_than_2_5_mm(name):
    # ISO 3098: 2.5 mm is the second smallest size of lettering on drawings.
    assert min(text.cap_mm for page in pages_of(name) for text in page.texts) >= 2.5


def test_capitals_are_as_high_as_stated():
    _, height, depth = ink("H", points(10.0), False)
    assert height - depth == pytest.approx(10.0, abs=0.05)


# --- Languages and inches -----------------------------------------------------------


@pytest.mark.parametrize("language", ["de", "nl"])
def test_the_sheets_speak_the_language_asked_for(language, tmp_path):
    path = tmp_path / "sheets.pdf"
    shop = replace(specimens.SHOP, paper=Paper(language=language))
    write_sheets(replace(specimens.slabs(), workshop=shop), path)
    text = " ".join(page.extract_text() for page in PdfReader(path).pages)
    words = LANGUAGES[language]
    assert words.step_out in " ".join(text.split())
    assert ENGLISH.cautions_title not in text
    assert words.cautions_title in text


def test_inches_to_a_sixteenth_stand_beside_the_millimetres():
    # 1 inch is 25.4 mm by definition: 200 mm are 7.874 inches, 7 7/8 to the nearest sixteenth.
    assert [inches(mm) for mm in (25.4, 12.7, 812.8, 200.0, 0.0, 1.0)] == [
        "1",
        "1/2",
        "32",
        "7 7/8",
        "0",
        "1/16",
    ]
    page = next(
        page for page in pages_of("slabs in German, with inches") if "Schnittlinien" in page.title
    )
    assert '600 (23 5/8")' in [text.text for text in page.texts]


def test_inches_stand_in_the_tables_of_squares_and_offcuts_too():
    shop = replace(specimens.SHOP, paper=Paper(inches=True))
    pages = sheet_pages(replace(specimens.slabs(), workshop=shop), ENGLISH)
    both = re.compile(r'\d+ \(\d[ \d/]*"\)')
    title = ENGLISH.layout_squares_title.format(name="").strip(": ")
    squares = [text.text for page in pages if title in page.title for text in page.texts]
    assert sum(both.fullmatch(text) is not None for text in squares) > 10
    sizes = [text.text for page in pages for text in page.texts]
    assert any(len(both.findall(text)) == 3 for text in sizes)


# --- Everything is told -------------------------------------------------------------


def test_layouts_cut_in_the_same_way_share_their_sheets():
    plan = specimens.slabs()
    assert [[one.number for one in group] for group in alike(plan)] == [[1, 3], [2, 4]]
    texts = [text.text for page in pages_of("slabs") for text in page.texts]
    assert "Cut 2 like this" in texts
    assert "block 2, slab 1" in texts
    assert "5, 6" in texts


@pytest.mark.parametrize("name", PLANS)
def test_every_step_of_every_layout_is_printed(name):
    plan = plan_of(name)
    words = LANGUAGES[plan.workshop.paper.language]
    printed = " ".join(text.text for page in pages_of(name) for text in page.texts)
    for group in alike(plan):
        for step in steps(plan, group[0], words):
            assert " ".join(printable(step.text).split()[:6]) in printed


@pytest.mark.parametrize("name", ["letters", "slabs", "crowd"])
def test_every_piece_has_its_number_in_the_picture_or_in_the_list_of_those_without_room(name):
    plan = plan_of(name)
    for group in alike(plan):
        title = ENGLISH.layout_title.format(name=shared_name(plan, group, ENGLISH))
        (page,) = (page for page in pages_of(name) if page.title == title)
        numbers = {text.text for text in page.texts if text.bold}
        printed = " ".join(text.text for one in pages_of(name) for text in one.texts)
        listed = "".join(re.findall(r"see the list: ([^.]*)\.", printed)).split(", ")
        for one in group[0].placements:
            assert str(one.piece) in numbers or f"piece {one.piece}" in listed
