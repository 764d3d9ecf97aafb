"""Templates, measured in the PDF as an independent library reads it."""

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from pdf_lines import read_pages
from shapely import LineString, MultiLineString, MultiPoint, Point, Polygon, box
from shapely.affinity import rotate
from small_plan import BRACKET, RING, one_piece, places, spoken, two_blocks, workshop

from wirepath.errors import FitError, SettingsError
from wirepath.stationing import stations
from wirepath.templates import write_templates
from wirepath.templates.drawing import template_pages
from wirepath.templates.parts import distinct_parts, faces
from wirepath.templates.tiling import OVERLAP_MM, tile
from wirepath.templates.wording import ENGLISH, LANGUAGES
from wirepath.workshop import Cutting

EXACT_MM = 0.001
"""The promise is 0.1 mm; what is measured is a hundred times better."""


@pytest.fixture(scope="module")
def bracket(tmp_path_factory):
    """The bracket of a bow, on A4: pages as printed."""
    folder = tmp_path_factory.mktemp("templates")
    (path,) = write_templates(
        two_blocks(workshop(rig="bow")), folder, paper="A4", parts=["Bracket"]
    )
    return read_pages(path)


def finished_strokes(page):
    return [one for one in page.strokes if abs(one.pen_mm - 0.35) < 0.01]


def wire_strokes(page):
    return [one for one in page.strokes if one.dashed and abs(one.pen_mm - 0.18) < 0.01]


def bars(page):
    """Return the lines of exactly the length of a bar that are no part of the picture."""
    return [
        one.points
        for one in page.strokes
        if len(one.points) == 2
        and not one.dashed
        and abs(one.pen_mm - 0.25) < 0.01
        and abs(LineString(one.points).length - 100) < 1
    ]


def crosses(page):
    """Return the middles of the register crosses: horizontals and verticals of 10 mm that cross."""
    arms = [
        one.points
        for one in page.strokes
        if len(one.points) == 2
        and not one.dashed
        and abs(one.pen_mm - 0.18) < 0.01
        and abs(LineString(one.points).length - 10) < 0.01
    ]
    across = [arm for arm in arms if abs(arm[0][1] - arm[1][1]) < EXACT_MM]
    up = [arm for arm in arms if abs(arm[0][0] - arm[1][0]) < EXACT_MM]
    return [
        tuple(a.mean(axis=0))
        for a in across
        for u in up
        if np.allclose(a.mean(axis=0), u.mean(axis=0), atol=EXACT_MM)
    ]


def test_pages_have_the_size_of_iso_216_a4(bracket):
    for page in bracket:
        sides = sorted((page.width_mm, page.height_mm))
        assert sides == pytest.approx([210.0, 297.0], abs=EXACT_MM)


def test_both_check_bars_on_every_sheet_are_100_mm(bracket):
    for page in bracket[1:]:
        up, across = sorted(np.ptp(bar, axis=0).tolist() for bar in bars(page))
        assert up == pytest.approx([0.0, 100.0], abs=EXACT_MM)
        assert across == pytest.approx([100.0, 0.0], abs=EXACT_MM)


def test_an_arm_across_two_sheets_is_as_long_as_it_was_drawn(bracket):
    # The lower edge of the bracket, 400 mm: joined by the crosses of the sheets.
    joined = joined_lines([page for page in bracket[1:] if "NEAR" in page.text])
    west, south, east, north = MultiLineString([*joined["finished"]]).bounds
    assert (east - west, north - south) == pytest.approx((400.0, 300.0), abs=EXACT_MM)


def test_the_wire_runs_half_a_kerf_and_the_allowance_outside_the_finished_line(tmp_path):
    plan = one_piece(box(0, 0, 100, 80), allowance_mm=15.0)
    (path,) = write_templates(plan, tmp_path, paper="A4")
    (page,) = read_pages(path)[1:]
    finished = MultiLineString([one.points for one in finished_strokes(page)])
    wire = MultiLineString([one.points for one in wire_strokes(page)])
    # Kerf 2 mm: 1 mm and 15 mm. Round a corner the chords of the arc stray by
    # 16 (1 - cos(90/32 degrees)) = 0.0193 mm.
    apart = np.abs(np.subtract(finished.bounds, wire.bounds))
    assert apart == pytest.approx([16.0] * 4, abs=EXACT_MM)
    assert finished.distance(wire) == pytest.approx(16.0, abs=0.0194)


def test_a_hole_s_wire_line_runs_inside_it(tmp_path):
    (path,) = write_templates(two_blocks(), tmp_path, paper="roll", parts=["Ring"])
    (page,) = read_pages(path)[1:]
    widths = sorted(np.ptp(one.points, axis=0)[0] for one in wire_strokes(page))
    assert widths == pytest.approx([118.0, 242.0], abs=0.02)


def joined_lines(pages):
    """Lay sheets on one another, cross on cross: returns finished lines and wire lines."""
    placed = {0: np.zeros(2)}
    labels = [cross_labels(page) for page in pages]
    while len(placed) < len(pages):
        before = len(placed)
        for i, mine in enumerate(labels):
            for j in list(placed):
                shared = set(mine) & set(labels[j])
                if i not in placed and len(shared) >= 2:
                    moves = [labels[j][s] + placed[j] - mine[s] for s in sorted(shared)]
                    assert np.allclose(moves, moves[0], atol=EXACT_MM)
                    placed[i] = moves[0]
        assert len(placed) > before
    return {
        "finished": [
            one.points + placed[i] for i, page in enumerate(pages) for one in finished_strokes(page)
        ],
        "wire": [
            one.points + placed[i] for i, page in enumerate(pages) for one in wire_strokes(page)
        ],
    }


def cross_labels(page):
    """Return where each cross of the picture stands on the page, by the figures beside it."""
    figures = [
        (float(x), float(y)) for x, y in re.findall(r"x (-?[\d.]+)\s+y (-?[\d.]+)", page.text)
    ]
    places = crosses(page)
    assert len(figures) == len(places) >= 2
    # Both in the same order across and up: all crosses keep their sense on the page.
    figures.sort()
    places.sort(key=lambda p: (round(p[0], 2), p[1]))
    return {figure: np.array(place) for figure, place in zip(figures, places, strict=True)}


def test_crosses_with_the_same_figures_meet_when_sheets_are_joined(bracket):
    # `joined_lines` holds it: every shared cross asks for the same shift.
    near = [page for page in bracket[1:] if "NEAR" in page.text]
    assert len(near) > 1
    wire = joined_lines(near)["wire"]
    west, south, east, north = MultiLineString(wire).bounds
    assert (east - west, north - south) == pytest.approx((402.0, 302.0), abs=EXACT_MM)


def test_joined_lines_agree_in_the_overlap(bracket):
    near = [page for page in bracket[1:] if "NEAR" in page.text]
    lines = [LineString(one) for one in joined_lines(near)["finished"]]
    whole = MultiLineString(lines)
    west, south, _, _ = whole.bounds
    target = Polygon([(x + west, y + south) for x, y in BRACKET.exterior.coords]).boundary
    assert whole.hausdorff_distance(target) < EXACT_MM


def test_a_bow_gets_a_mirrored_far_face_with_the_same_stations():
    near, far = faces(two_blocks(workshop(rig="bow")).piece(1), Cutting(kerf_mm=2.0), paired=True)
    labels = [one.label for ring in near.stations for one in ring]
    assert [one.label for ring in far.stations for one in ring] == labels
    for a, b in zip(near.stations[0], far.stations[0], strict=True):
        assert (b.x, b.y) == pytest.approx((near.width_mm - a.x, a.y))


def test_the_far_face_says_that_it_is_mirrored(bracket):
    far = [page.text for page in bracket[1:] if "FAR" in page.text]
    assert far
    assert all("MIRRORED" in text for text in far)
    assert len(far) * 2 == len(bracket) - 1


def test_a_table_gets_one_face_only(tmp_path):
    (path,) = write_templates(two_blocks(), tmp_path, paper="A4", parts=["Foot"])
    assert not any("MIRRORED" in page.text for page in read_pages(path))


def test_sheets_are_numbered_through_and_say_what_they_are(bracket):
    total = len(bracket)
    for number, page in enumerate(bracket, 1):
        assert f"sheet {number} of {total}" in page.text
        assert "Bracket" in page.text
        assert "INVENTED DATA" in page.text
    for page in bracket[1:]:
        for text in ("100 mm: measure this", "UP", "scale 1 : 1"):
            assert text in page.text


def test_the_opening_sheet_tells_what_the_edge_of_a_template_means(bracket):
    # Wire 0.5 mm thick, kerf 2 mm: the board stands 1 - 0.25 mm off the finished edge.
    text = " ".join(bracket[0].text.split())
    assert "cut the board 0.25 mm inside the dashed line" in text
    assert "0.75 mm off the finished edge" in text


def test_copies_share_a_template_and_other_parts_do_not(tmp_path):
    paths = write_templates(two_blocks(), tmp_path, paper="A4")
    assert [path.name for path in paths] == ["bracket-A4.pdf", "ring-A4.pdf", "foot-A4.pdf"]
    assert [one.number for one in distinct_parts(two_blocks(), None)[1].pieces] == [3, 4]


def test_an_unknown_part_is_told_with_the_parts_there_are(tmp_path):
    with pytest.raises(SettingsError, match="'Rong'") as caught:
        write_templates(two_blocks(), tmp_path, paper="A4", parts=["Ring", "Rong"])
    assert "Bracket, Foot, Ring" in str(caught.value)


def test_the_same_plan_gives_the_same_bytes(tmp_path):
    one, two = (
        write_templates(two_blocks(), tmp_path / name, paper="A3", parts=["Ring"])[0].read_bytes()
        for name in ("a", "b")
    )
    assert one == two


def test_a_roll_is_one_long_page_a_face(tmp_path):
    plan = one_piece(box(0, 0, 900, 100))
    (path,) = write_templates(plan, tmp_path, paper="roll")
    _, picture = read_pages(path)
    assert picture.width_mm > 900
    points = np.vstack([one.points for one in finished_strokes(picture)])
    assert np.ptp(points, axis=0) == pytest.approx([900.0, 100.0], abs=EXACT_MM)


@pytest.mark.parametrize(("paper", "sides_mm"), [("A3", [297.0, 420.0]), ("roll", None)])
def test_a3_and_rolls_are_measured_as_a4_is(tmp_path, paper, sides_mm):
    plan = one_piece(box(0, 0, 900, 700))
    (path,) = write_templates(plan, tmp_path, paper=paper)
    pages = read_pages(path)[1:]
    for page in pages:
        if sides_mm is not None:
            size = sorted((page.width_mm, page.height_mm))
            assert size == pytest.approx(sides_mm, abs=EXACT_MM)
        up, across = sorted(np.ptp(bar, axis=0).tolist() for bar in bars(page))
        assert (up[1], across[0]) == pytest.approx((100.0, 100.0), abs=EXACT_MM)
    # A roll is one page: it has nothing to join, and no crosses.
    assert (len(pages) > 4, len(pages) == 1) == (paper == "A3", paper == "roll")
    joined = joined_lines(pages)["finished"] if len(pages) > 1 else finished_strokes(pages[0])
    whole = MultiLineString([getattr(one, "points", one) for one in joined])
    west, south, east, north = whole.bounds
    assert (east - west, north - south) == pytest.approx((900.0, 700.0), abs=EXACT_MM)
    assert whole.hausdorff_distance(box(west, south, east, north).boundary) < EXACT_MM


def test_a_roll_longer_than_a_pdf_page_may_be_is_refused(tmp_path):
    # 14400 units of 1/72 inch are 5080 mm (ISO 32000-1, annex C).
    plan = two_blocks()
    long = replace(plan.piece(5), finished=box(0, 0, 5100, 90), outline=box(0, 0, 5100, 90))
    plan = replace(plan, pieces=(*plan.pieces[:4], long))
    with pytest.raises(FitError, match=r"5\.08 m"):
        write_templates(plan, tmp_path, paper="roll", parts=["Foot"])


def test_sheets_without_a_line_are_left_out():
    # A frame of 1000 x 1000 mm on windows of 200: 6 x 6 windows, the inner ones blank.
    tiling = tile(box(0, 0, 1000, 1000).boundary.segmentize(50), (200, 200), 10)
    assert len(tiling.cells) == 6 * 6 - 4 * 4


def test_blank_sheets_that_hold_others_together_stay():
    # A small square far inside a large one: a bridge of sheets leads to it.
    lines = MultiLineString(
        [box(0, 0, 1000, 1000).exterior.coords, box(480, 480, 500, 500).exterior.coords]
    )
    tiling = tile(lines, (200, 200), 10)
    seen, edge = set(), [tiling.cells[0]]
    while edge:
        column, row = edge.pop()
        if (column, row) in set(tiling.cells) - seen:
            seen.add((column, row))
            edge += [(column - 1, row), (column + 1, row), (column, row - 1), (column, row + 1)]
    assert seen == set(tiling.cells)


@settings(max_examples=40, deadline=None)
@given(
    width=st.floats(30, 2500),
    height=st.floats(30, 2500),
    turn=st.floats(0, 6.28),
)
def test_every_line_is_on_some_sheet_well_inside_its_joins(width, height, turn):
    shape = rotate(box(0, 0, width, height), turn, use_radians=True)
    lines = MultiLineString([shape.exterior.coords])
    tiling = tile(lines, (187, 264), 16)
    half = OVERLAP_MM / 2
    joined = shapely.union_all(
        [
            box(*tiling.window(cell)).buffer(-half + 0.01, join_style="mitre")
            for cell in tiling.cells
        ]
    )
    assert lines.difference(joined).length < 1e-6


def test_every_corner_of_the_bracket_is_a_station():
    (ring,) = stations(BRACKET, BRACKET.buffer(1.0), 1.0)
    one = ring[0]
    marks = MultiPoint([(mark.x, mark.y) for mark in ring])
    assert all(Point(corner).distance(marks) < 1.5 for corner in BRACKET.exterior.coords)
    assert one.label == "0"
    assert (one.x, one.y) == pytest.approx((-0.7, -0.7), abs=0.1)


def test_stations_keep_the_same_distance_between_corners():
    (ring,) = stations(box(0, 0, 1000, 500), box(0, 0, 1000, 500).buffer(1.0), 1.0)
    line = LineString(box(-1, -1, 1001, 501).exterior.coords)
    assert len(ring) == 30  # 3000 mm at 100 mm
    gaps = np.diff(sorted(line.project(Point(mark.x, mark.y)) for mark in ring))
    assert gaps == pytest.approx(np.full(29, 100.0), abs=1.5)


def test_holes_have_a_letter_before_the_number():
    outer, hole = stations(RING, RING.buffer(1.0), 1.0)
    assert outer[0].label == "0"
    assert hole[0].label == "A0"
    # The way out of the foam leads into the hole.
    mark = hole[0]
    middle = Point(120, 120)
    here = Point(mark.x, mark.y)
    ahead = Point(mark.x + mark.outward[0], mark.y + mark.outward[1])
    assert ahead.distance(middle) < here.distance(middle)


@pytest.mark.parametrize("language", ["de", "nl"])
def test_every_translation_has_the_places_of_the_english_text(language):
    assert places(LANGUAGES[language]) == places(ENGLISH)


def test_templates_speak_the_language_of_the_paper(tmp_path):
    plan = spoken(two_blocks(), "de")
    (path,) = write_templates(plan, tmp_path, paper="A4", parts=["Foot"])
    assert "Blatt 2 von 2" in read_pages(path)[1].text


@pytest.mark.parametrize(
    ("paper", "language"), [("A4", "en"), ("A3", "en"), ("roll", "en"), ("A4", "de"), ("A4", "nl")]
)
def test_no_text_overlaps_a_text_or_a_line_or_is_clipped(paper, language):
    plan = two_blocks(workshop(rig="bow"))
    for part in distinct_parts(plan, None):
        for page in template_pages(
            plan,
            part,
            faces(part.one, Cutting(kerf_mm=2.0), paired=True),
            paper,
            LANGUAGES[language],
        ):
            boxes = [text.box for text in page.texts]
            for i, one in enumerate(boxes):
                assert one.x0 >= 3
                assert one.y0 >= 3
                assert one.x1 <= page.width_mm - 3
                assert one.y1 <= page.height_mm - 3
                assert not [page.texts[j] for j in range(i) if one.meets(boxes[j])], page.texts[i]
            lines = MultiLineString([stroke.points for stroke in page.strokes])
            crossed = [
                text.text
                for text in page.texts
                if lines.intersects(box(text.box.x0, text.box.y0, text.box.x1, text.box.y1))
            ]
            assert crossed == []


def test_a_map_of_many_sheets_gets_a_page_of_its_own():
    plan = one_piece(box(0, 0, 900, 400))
    (part,) = distinct_parts(plan, None)
    big = replace(part.one, outline=box(0, 0, 900, 2600), finished=box(0, 0, 900, 2600))
    part = replace(part, pieces=(big,))
    pages = template_pages(
        plan, part, faces(big, Cutting(kerf_mm=2.0), paired=False), "A4", ENGLISH
    )
    texts = [text.text for text in pages[1].texts]
    assert "Map of the sheets: One" in texts
    # The first sheet of the picture comes after the map, and every sheet stands on it.
    assert {str(number) for number in range(3, len(pages) + 1)} <= set(texts)
    assert "3" in [text.text for text in pages[2].texts]
