"""The roughing sheets: what stands on them is what the plan says."""

from dataclasses import fields, replace
from functools import cache
from importlib import import_module
from string import Formatter
from typing import get_args

import numpy as np
import pytest
import shapely
from shapely import box

from wirepath.model import Blank, Contour, DepthMap, RoughingNote, RoughingNoteKind, RoughingPlan
from wirepath.roughing import Tools, plan_roughing, raised
from wirepath.roughing.directions import OUTLINE, datum, slanting
from wirepath.roughing.pictures import cuts_of, layers_after, setting_line, wire_ends
from wirepath.sheets.flow import Flow, Frame, Space, heading
from wirepath.sheets.lettering import NOTE, Box, printable, width_mm
from wirepath.sheets.page import MARGIN_MM, MEDIUM, Page
from wirepath.sheets.roughing_pages import Columned, Told, roughing_pages
from wirepath.sheets.roughing_pictures import Depths, Plane, plot_within, visible_rims
from wirepath.wording import LANGUAGES
from wirepath.wording.roughing import ENGLISH, ROUGHING, RoughingWords, note_text, way_name

CONTOURS = (
    Contour(height_mm=0, region=box(0, 0, 600, 400)),
    Contour(height_mm=60, region=box(90, 60, 510, 340)),
    Contour(height_mm=120, region=box(210, 140, 390, 260)),
)
BLANK = Blank(x_mm=-40, y_mm=-40, width_mm=680, height_mm=480, thickness_mm=220)


@cache
def plan(by_hand: bool = True, way: str = "with diagonals") -> RoughingPlan:
    return plan_roughing(
        raised(CONTOURS[0].region, CONTOURS, peak_mm=180),
        BLANK,
        Tools(kerf_mm=2.0, wire_mm=1200.0, by_hand=by_hand, tilt_deg=0.0),
        allowance_mm=20.0,
        name="hill",
        way=way,
        compare=False,
        slab_mm=110,
    )


def texts(pages) -> list[str]:
    return [text.text for page in pages for text in page.texts]


@pytest.mark.parametrize("by_hand", [True, False])
@pytest.mark.parametrize("way", ["with diagonals", "slabs of 110 mm, slanted edges"])
def test_everything_drawn_lies_on_its_page(by_hand, way):
    pages = roughing_pages(plan(by_hand, way))
    assert len(pages) >= 2 + len(plan(by_hand, way).cuts)
    for page in pages:
        for stroke in page.strokes:
            assert np.isfinite(stroke.points).all()
            assert (stroke.points >= 0).all()
            assert (stroke.points <= [page.width_mm, page.height_mm]).all()
        for text in page.texts:
            assert 0 <= text.x <= page.width_mm
            assert 0 <= text.y <= page.height_mm


def test_every_cut_has_a_page_of_its_name_and_every_station_a_row():
    pages = roughing_pages(plan())
    titles = [page.title for page in pages]
    for cut in plan().cuts:
        own = [p for p in pages if p.title.startswith(f"Roughing, cut {cut.number} of")]
        assert own, titles
        found = texts(own)
        for pair in cut.marks:
            assert str(pair.number) in found
            assert f"{pair.first.along_mm:.0f}" in found or round(pair.first.along_mm, 1) % 1 == 0.5


def test_the_plot_of_litres_stands_over_the_map_where_the_first_page_has_no_room(monkeypatch):
    whole = roughing_pages(plan())
    module = import_module("wirepath.sheets.roughing_pages")  # the package's name is the function
    monkeypatch.setattr(module, "plot_within", lambda *given: None)
    pages = roughing_pages(plan())
    for one, where in ((whole, 0), (pages, -1)):
        assert [n for n, page in enumerate(one) if ENGLISH.plot in texts([page])] == [
            where % len(one)
        ]
    assert len(pages) == len(whole)


def test_a_table_gets_turn_tilt_and_points():
    cut = plan(False).cuts[0]
    found = " ".join(texts(roughing_pages(plan(False))))
    assert "degrees clockwise" in found
    u, v = cut.lines[0].coords[0]
    assert f"{u:.1f}" in found.replace("-0.0", "0.0")
    assert f"{v:.1f}" in found.replace("-0.0", "0.0")


@pytest.mark.parametrize("turn", [0.0, 17.5, 45.0, 90.0, 120.0, 275.0])
def test_the_line_to_set_a_block_by_lies_along_the_wire_and_so_far_right_of_the_datum(turn):
    cut = replace(plan(False).cuts[0], direction=slanting(turn), datum=datum(BLANK, slanting(turn)))
    line = setting_line(BLANK, cut)
    start, end = line.points
    wire = np.array(cut.direction.wire[:2])
    assert (end - start) / np.hypot(*(end - start)) == pytest.approx(wire)
    # Both ends lie on the rim of the front, where the sheet says.
    size = {"left": 0.0, "bottom": 0.0, "right": BLANK.width_mm, "top": BLANK.height_mm}
    for point, edge, along in zip(line.points, line.edges, line.measures_mm(), strict=True):
        across = 0 if edge in ("left", "right") else 1
        assert point[across] == pytest.approx(size[edge], abs=1e-6)
        assert point[1 - across] == pytest.approx(along)
    # Looking along the wire, right is a quarter turn clockwise: the furthest corner to the left
    # is the datum.
    corners = np.array([(0, 0), (680, 0), (0, 480), (680, 480)]) - start
    right = np.array([wire[1], -wire[0]])
    assert line.right_mm == pytest.approx(-(corners @ right).min())


def test_a_wire_square_to_the_front_has_no_line_to_set_a_block_by():
    cut = replace(plan(False).cuts[0], direction=OUTLINE)
    assert setting_line(BLANK, cut) is None


def removed_litres(layers, blank):
    """Return what is missing of a blank by its layers, in litres; as coarse as they are."""
    left = sum((high - low) * region.area for low, high, region in layers)
    return (blank.volume_mm3 - left) / 1e6


def test_the_pictures_layers_lose_what_the_cuts_take():
    before = layers_after(plan(), BLANK, 0, count=110)
    assert removed_litres(before, BLANK) == pytest.approx(0, abs=1e-6)
    made = len(cuts_of(plan(), BLANK))
    after = layers_after(plan(), BLANK, made, count=110)
    assert removed_litres(after, BLANK) == pytest.approx(plan().litres_off, rel=0.01)


def test_the_wires_ends_lie_on_the_blocks_faces():
    low = np.array([BLANK.x_mm, BLANK.y_mm, 0.0])
    high = low + np.array([BLANK.width_mm, BLANK.height_mm, BLANK.thickness_mm])
    for cut in plan().cuts:
        for ends in wire_ends(cut, BLANK):
            for points in ends:
                near = np.minimum(np.abs(points - low), np.abs(points - high)).min(axis=1)
                assert near.max() < 1e-6


def test_the_same_plan_gives_the_same_pages():
    assert texts(roughing_pages(plan())) == texts(roughing_pages(plan()))


@pytest.mark.parametrize("language", sorted(ROUGHING))
def test_what_is_left_to_carve_is_one_figure_where_the_volume_is_known(language):
    words = ROUGHING[language]
    solid = replace(plan(), carve_least_litres=12.6, carve_most_litres=12.7)
    told = " ".join(texts(roughing_pages(solid, Told(words=words, litres_per_hour=5.0))))
    known = words.left_known.format(litres=13), words.left_hours_known.format(hours=2.5, rate=5)
    assert told.count(" ".join(known)) == 2  # in the summary, and on the map
    apart = words.left.format(least=13, most=13)
    assert apart not in told


def test_a_table_of_points_is_read_down_its_columns():
    rows = [(str(k), f"{10 * k}.0", f"{7 * k}.0") for k in range(50)]
    table = Columned(("no", "right", "up"), rows)
    count = table.count(180.0)
    assert count > 2
    assert [row[0] for part in table._parts(180.0) for row in part.rows] == [r[0] for r in rows]
    assert table.height_mm(180.0) < 1.3 * table.height_mm(1e3) * 50


def test_a_contour_of_the_map_lies_where_the_depth_between_cells_says():
    # Depths of 0 and 50 mm in the middles of two cells 10 mm apart: 25 mm is half way, x = 10.
    page = Page(210.0, 297.0)
    Depths(DepthMap(x_mm=0.0, y_mm=0.0, cell_mm=10.0, rows=((0.0, 50.0),) * 3)).draw(
        page, 0.0, 100.0, 20.0
    )
    contours = [one.points for one in page.strokes if one.width_mm == MEDIUM]
    assert len(contours) > 0
    assert all(points[:, 0] == pytest.approx(10.0) for points in contours)
    assert "25" in [text.text for text in page.texts if text.bold]


def test_a_table_of_points_begins_on_the_page_of_its_cut():
    pages = roughing_pages(plan(by_hand=False))
    first = next(page for page in pages if "cut 1 of" in page.title)
    assert any(text.text == ENGLISH.points_heads[0] for text in first.texts)


# --- In three languages --------------------------------------------------------------------

NAMES = [field.name for field in fields(RoughingWords)]


def flat(value) -> list[str]:
    """Return the texts of a field; of (key, text) pairs the texts."""
    if isinstance(value, str):
        return [value]
    return [one if isinstance(one, str) else one[1] for one in value]


def gaps(text):
    return sorted(name for _, name, _, _ in Formatter().parse(text) if name is not None)


@pytest.mark.parametrize("language", ["de", "nl"])
@pytest.mark.parametrize("name", NAMES)
def test_a_translation_says_as_much_with_the_same_figures(language, name):
    english, other = getattr(ENGLISH, name), getattr(ROUGHING[language], name)
    assert [gaps(text) for text in flat(other)] == [gaps(text) for text in flat(english)]
    if not isinstance(english, str) and not isinstance(english[0], str):
        assert [one[0] for one in other] == [one[0] for one in english]
    long = [text for text in flat(english) if len(text.split()) > 3]
    assert not set(long) & set(flat(other))


@pytest.mark.parametrize("language", sorted(ROUGHING))
def test_every_note_and_every_way_can_be_told_and_printed(language):
    words = ROUGHING[language]
    told = [
        note_text(RoughingNote(kind=kind, values=(1, 2, 3), ways=("outline",)), words)
        for kind in get_args(RoughingNoteKind)
    ]
    told += [
        way_name(way, words)
        for way in ("slabs of 100 mm, slanted edges", "3 strips across, then profiles")
    ]
    assert all(printable(text) == text and "{" not in text for text in told)
    assert "100" in told[-2]
    assert way_name("no such way", words) == "no such way"


def test_sheets_in_another_language_hold_no_english_sentence():
    german = set(texts(roughing_pages(plan(), Told(words=ROUGHING["de"]))))
    assert {"danach", "So geht es", "Marken"} <= german
    assert not {"after it", "Do this", "Stations"} & german


def test_the_slit_to_a_hole_is_a_step_of_its_own():
    ring = box(0, 0, 600, 600).difference(box(150, 150, 450, 450))
    blank = Blank(x_mm=-30, y_mm=-30, width_mm=660, height_mm=660, thickness_mm=100)
    ringed = plan_roughing(
        raised(ring, (), peak_mm=50),
        blank,
        Tools(kerf_mm=2.0, wire_mm=3000.0, by_hand=False, tilt_deg=0.0),
        allowance_mm=0.0,
        way="slabs of 50 mm, straight edges",
        compare=False,
        slab_mm=50,
    )
    (slit,) = ringed.cuts[1].slits
    steps = " ".join(texts(roughing_pages(ringed)))
    assert "Slit to hole 1" in steps
    assert f"{slit.coords[0][0]:.1f} mm from" in steps


# --- A block as it is seen ------------------------------------------------------------

SLAB = box(0, 0, 100, 50)


def seen_lines(layers):
    """Return all lines of a block as one geometry, in mm of the block."""
    return shapely.MultiLineString(visible_rims(layers))


def test_no_line_is_drawn_between_layers_that_no_cut_parts():
    whole = seen_lines([(0.0, 40.0, SLAB)])
    parted = seen_lines([(0.0, 10.0, SLAB), (10.0, 20.0, SLAB), (20.0, 40.0, SLAB)])
    assert shapely.equals_exact(parted, whole, 1e-9, normalize=True)


def test_a_box_is_seen_with_the_nine_edges_that_nothing_hides():
    # Of a box's twelve edges three meet in the one corner that is hidden: four stand upright,
    # of which three are seen, and of the eight others six.
    c, s = np.cos(np.radians(28)), np.sin(np.radians(28))
    rise, fall = np.sin(np.radians(32)), np.cos(np.radians(32))
    across, up = np.hypot(c, s * rise), np.hypot(s, c * rise)
    expected = 3 * 40 * fall + 3 * 100 * across + 3 * 50 * up
    assert seen_lines([(0.0, 40.0, SLAB)]).length == pytest.approx(expected)


def test_an_upright_edge_ends_where_foam_before_it_hides_it():
    ring = box(0, 0, 100, 100).difference(box(30, 30, 70, 70))
    points = [np.diff(line, axis=0) for line in visible_rims([(0.0, 400.0, ring)])]
    steps = np.vstack(points)
    upright = np.abs(steps[np.abs(steps[:, 0]) < 1e-9, 1])
    # Down the corner at (30, 70), on paper, is across the hole, 28 degrees off its side: its
    # near rim is reached after 40 / cos 28 mm, which are seen from 32 degrees above.
    expected = 40 / np.cos(np.radians(28)) * np.sin(np.radians(32))
    assert np.abs(upright - expected).min() < 1e-6


# --- Pages --------------------------------------------------------------------------


@pytest.mark.parametrize("by_hand", [True, False])
def test_every_cut_names_the_cautions_and_only_the_last_lays_nothing_back(by_hand):
    made = plan(by_hand)
    pages = roughing_pages(made)
    for cut in made.cuts:
        title = ENGLISH.cut_title.format(number=cut.number, total=len(made.cuts), what="", kind="")
        own = [page for page in pages if page.title.startswith(title.split(":")[0])]
        told = " ".join(texts(own))
        assert LANGUAGES["en"].steps_caution in told
        assert (ENGLISH.lay_back in told) == (cut is not made.cuts[-1])


def test_a_cut_of_two_pages_has_its_plane_and_points_together_on_the_second():
    made = plan(by_hand=False)
    cut = made.cuts[0]
    line = shapely.segmentize(cut.lines[0], cut.lines[0].length / 150)
    long = replace(made, cuts=(replace(cut, lines=(line,)), *made.cuts[1:]))
    first, second = (page for page in roughing_pages(long) if "cut 1 of" in page.title)
    assert ENGLISH.steps in texts([first])
    assert {ENGLISH.plane, ENGLISH.points} <= set(texts([second]))
    assert not {ENGLISH.plane, ENGLISH.points} & set(texts([first]))


def test_the_way_begins_its_sentence_with_a_capital():
    first = roughing_pages(plan())[0].texts[0].text
    assert first.startswith("With diagonals")


@pytest.mark.parametrize("words", ROUGHING.values())
def test_captions_fit_below_their_pictures(words):
    share = (210.0 - 2 * MARGIN_MM) / 3 - 2
    captions = [words.before, words.after, *dict(words.line_captions).values()]
    assert max(width_mm(caption, NOTE) for caption in captions) < share
    assert width_mm(words.plane, NOTE) < 210.0 - 2 * MARGIN_MM


def test_a_plot_that_does_not_fit_its_page_is_left_out():
    points = ((0, 0.0), (1, 5.0))
    assert plot_within(points, 10.0, 60.0).high_mm > plot_within(points, 10.0, 40.0).high_mm
    assert plot_within(points, 10.0, 30.0) is None


def test_a_heading_that_leads_stays_with_what_comes_next():
    pages = []

    def more():
        pages.append(Page(100.0, 100.0))
        return [Frame(pages[-1], Box(0.0, 0.0, 100.0, 100.0))]

    flow = Flow([], more)
    flow.add(Space(85.0))
    flow.lead(heading("Steps"))
    assert texts(pages) == []
    flow.add(Space(10.0))
    assert [[text.text for text in page.texts] for page in pages] == [[], ["Steps"]]


def test_the_black_corner_of_the_plane_is_where_its_points_count_from():
    made = plan(by_hand=False)
    cut, blank = made.cuts[0], made.blanks[0]
    page = Page(210.0, 297.0)
    Plane(blank, cut, "", 62.0).draw(page, 10.0, 200.0, 190.0)
    (black,) = (fill.points for fill in page.fills)
    # The path is drawn first; from its own two ends, on paper and in mm, follows where 0, 0 is.
    drawn, real = page.strokes[0].points, shapely.get_coordinates(cut.lines[0])
    scale = np.ptp(drawn, axis=0).max() / np.ptp(real, axis=0).max()
    assert black[0] == pytest.approx(drawn[0] - real[0] * scale)
