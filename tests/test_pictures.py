"""Pictures: sheets as SVG and PNG, and the client's page, read back by outsiders."""

from dataclasses import replace
from xml.etree import ElementTree

import pytest
from pdf_lines import read_pages
from pypdf import PdfReader
from shapely import MultiLineString, box
from small_plan import BRACKET, one_piece, places, two_blocks

from wirepath.model import Contour, Outline
from wirepath.pictures import write_approval, write_pictures
from wirepath.pictures.approval import approval_page, seam_lines
from wirepath.pictures.wording import ENGLISH, LANGUAGES
from wirepath.sheets import sheet_pages
from wirepath.wording import ENGLISH as SHEETS


def parted_plan():
    """A form of 800 x 600 mm, parted into two pieces across, and one contour on it."""
    plan = two_blocks()
    halves = (box(0, 0, 800, 300), box(0, 300, 800, 600))
    pieces = tuple(
        replace(piece, finished=half, outline=half, section_of="Sign")
        for piece, half in zip(plan.pieces, halves, strict=False)
    )
    traced = replace(
        plan.traced,
        outlines=(Outline(name="Sign", polygon=box(0, 0, 800, 600)),),
        contours=(Contour(height_mm=50, region=box(200, 200, 600, 400)),),
    )
    return replace(plan, pieces=(*pieces, *plan.pieces[2:]), traced=traced)


@pytest.fixture(scope="module", params=["svg", "png"])
def twice(request, tmp_path_factory):
    """The sheets of one small plan, written twice."""
    folder = tmp_path_factory.mktemp(request.param)
    plan = one_piece(box(0, 0, 300, 200))
    return request.param, [
        write_pictures(plan, folder / name, kind=request.param) for name in ("a", "b")
    ]


def test_the_same_plan_gives_the_same_pictures(twice):
    _, (one, two) = twice
    assert [path.read_bytes() for path in one] == [path.read_bytes() for path in two]


def test_every_sheet_becomes_a_picture_of_its_size(twice):
    kind, (paths, _) = twice
    pages = sheet_pages(one_piece(box(0, 0, 300, 200)), SHEETS)
    assert len(paths) == len(pages)
    for path, page in zip(paths, pages, strict=True):
        assert width_in_mm(path, kind) == pytest.approx(page.width_mm, abs=0.2)


def width_in_mm(path, kind):
    if kind == "svg":
        width = ElementTree.parse(path).getroot().attrib["width"]
        return float(width.removesuffix("pt")) / 72 * 25.4
    # ISO 15948: the width in points stands in bytes 16 to 20; 150 to the inch.
    return int.from_bytes(path.read_bytes()[16:20]) / 150 * 25.4


def test_the_client_s_page_tells_size_seams_and_weight(tmp_path):
    plan = parted_plan()
    write_approval(plan, tmp_path / "approval.pdf")
    (page,) = PdfReader(tmp_path / "approval.pdf").pages
    text = page.extract_text()
    weight = sum(kg for _, kg in plan.estimate.piece_weights_kg)
    for told in ("800 x 600 x 180 mm", "800", "600", "glued there", f"{weight:.1f} kg of foam"):
        assert told in text
    for told in ("INVENTED DATA", "Brackets", "Approved as drawn", "thin lines"):
        assert told in text
    # No price on a client's page.
    assert "crowns" not in text


def test_the_form_is_drawn_to_the_scale_it_names(tmp_path):
    write_approval(parted_plan(), tmp_path / "approval.pdf")
    (page,) = read_pages(tmp_path / "approval.pdf")
    assert "1 : 10" in page.text
    thick = [one.points for one in page.strokes if abs(one.pen_mm - 0.5) < 0.01]
    sizes = [tuple((line.max(axis=0) - line.min(axis=0)).round(3)) for line in thick]
    assert (80.0, 60.0) in sizes


def test_a_seam_is_the_line_where_two_pieces_of_a_form_meet():
    seams = seam_lines(parted_plan())
    # 800 mm across, less 0.5 mm at either end that lie on the outline.
    assert seams.length == pytest.approx(799.0, abs=0.01)
    assert seams.bounds == pytest.approx((0.5, 300.0, 799.5, 300.0), abs=0.01)


def test_pieces_that_are_whole_have_no_seams():
    assert seam_lines(two_blocks()).is_empty


@pytest.mark.parametrize("language", ["de", "nl"])
def test_every_translation_has_the_places_of_the_english_text(language):
    assert places(LANGUAGES[language]) == places(ENGLISH)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("shape", [BRACKET, box(0, 0, 3000, 200), box(0, 0, 90, 2600)])
def test_no_text_of_the_page_overlaps_a_text_or_a_line(shape, language):
    plan = parted_plan()
    traced = replace(plan.traced, outlines=(Outline(name="One", polygon=shape),), contours=())
    page = approval_page(replace(plan, traced=traced), LANGUAGES[language])
    boxes = [text.box for text in page.texts]
    lines = MultiLineString([stroke.points for stroke in page.strokes])
    for i, one in enumerate(boxes):
        assert not any(one.meets(other) for other in boxes[:i]), page.texts[i].text
        assert not lines.intersects(box(one.x0, one.y0, one.x1, one.y1)), page.texts[i].text
