"""Setting out by squares: crossings one can count on squared paper."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from wirepath.sheets.flow import Flow, Frame, Table
from wirepath.sheets.lettering import Box, wrap
from wirepath.sheets.page import Page
from wirepath.sheets.room import spread
from wirepath.sheets.roughing_pictures import plot_within
from wirepath.sheets.squares import LETTERS, column_name, crossings, side_mm


def ring(area):
    return shapely.get_coordinates(area.exterior)


def test_a_rectangle_is_given_by_its_four_corners():
    found = crossings(ring(box(30, 40, 250, 160)), 100.0)
    assert {(c.squares, c.across_mm, c.up_mm) for c in found} == {
        (("A1",), 30.0, 40.0),
        (("C1",), 50.0, 40.0),
        (("C2",), 50.0, 60.0),
        (("A2",), 30.0, 60.0),
    }


def test_a_circle_crosses_four_sides_round_a_grid_point():
    """Radius 50 about 100, 100: it crosses the four sides there 50 mm from the grid's point."""
    found = crossings(ring(Point(100, 100).buffer(50, quad_segs=64)), 100.0)
    assert {(c.squares, c.across_mm, c.up_mm) for c in found} == {
        (("B2", "B1"), 50.0, None),
        (("B1", "A1"), None, 50.0),
        (("A1", "A2"), 50.0, None),
        (("A2", "B2"), None, 50.0),
    }


def test_a_curve_crosses_where_pythagoras_says():
    """A circle of radius 100 about 150, 90 is at x = 200 where y = 90 +- sqrt(100^2 - 50^2)."""
    found = crossings(ring(Point(150, 90).buffer(100, quad_segs=512)), 100.0)
    ups = sorted(c.up_mm for c in found if c.squares in (("B2", "C2"), ("C2", "B2")))
    assert ups == pytest.approx([90 + math.sqrt(7500) - 100], abs=0.01)


def test_a_small_round_hole_is_given_by_its_four_furthest_points():
    found = crossings(ring(Point(50, 50).buffer(20, quad_segs=16)), 100.0)
    assert sorted((round(c.across_mm), round(c.up_mm)) for c in found) == [
        (30, 50),
        (50, 30),
        (50, 70),
        (70, 50),
    ]


def test_a_curve_between_corners_inside_one_square_keeps_its_shape():
    half = shapely.intersection(Point(50, 20).buffer(40, quad_segs=64), box(0, 20, 100, 100))
    found = crossings(ring(half), 100.0)
    again = shapely.Polygon([(c.across_mm, c.up_mm) for c in found])
    assert again.area == pytest.approx(half.area, rel=0.08)
    assert shapely.hausdorff_distance(again.exterior, half.exterior) < 4.0


def test_columns_are_named_without_i_and_o():
    # ISO 5457: the letters I and O are not used for the fields of a sheet.
    names = [column_name(i) for i in range(60)]
    assert names[:10] == list("ABCDEFGHJK")
    assert names[23:27] == ["Z", "AA", "AB", "AC"]
    assert len(set(names)) == 60
    assert not set("IO") & set(LETTERS)


def test_squares_are_9_mm_on_paper_at_least():
    assert [side_mm(scale) for scale in (1.0, 5.0, 10.0, 20.0)] == [10.0, 50.0, 100.0, 200.0]
    assert side_mm(10.0, 250.0) == 250.0


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0, 400), st.floats(0, 400), st.floats(20, 300), st.integers(3, 40),
    st.floats(0, 2 * math.pi),
)  # fmt: skip
def test_marks_lie_on_the_line_and_on_the_sides_they_name(x, y, radius, corners, turn):
    angles = turn + np.linspace(0, 2 * math.pi, corners, endpoint=False)
    points = np.c_[x + radius * (1 + np.cos(angles)), y + radius * (1 + np.sin(angles))]
    line = np.vstack([points, points[:1]])
    boundary = shapely.linestrings(line)
    names = {f"{column_name(i)}{j + 1}": (i, j) for i in range(30) for j in range(30)}
    for mark in crossings(line, 100.0):
        cells = np.array([names[name] for name in mark.squares])
        corner = cells.max(axis=0) * 100.0
        place = Point(corner + np.array([mark.across_mm or 0.0, mark.up_mm or 0.0]))
        assert boundary.distance(place) < 1e-3
        assert len(cells) == 1 or np.abs(np.diff(cells, axis=0)).max() == 1


@settings(max_examples=80, deadline=None)
@given(st.lists(st.floats(0, 100), max_size=15).map(sorted))
def test_spread_figures_keep_their_pitch_and_their_order(wanted):
    placed = spread(wanted, 5.0, 0.0, 105.0)
    assert placed is not None
    assert all(b - a >= 5.0 - 1e-6 for a, b in pairwise(placed))
    assert all(-1e-6 <= at <= 105.0 + 1e-6 for at in placed)


def test_figures_that_do_not_crowd_stay_where_they_are():
    assert spread([0.0, 10.0, 40.0], 5.0, 0.0, 50.0) == [0.0, 10.0, 40.0]
    assert spread([1.0, 2.0, 3.0], 5.0, 0.0, 8.0) is None


@settings(max_examples=50, deadline=None)
@given(st.text(max_size=80), st.floats(8, 60))
def test_wrapped_lines_keep_every_letter(text, room):
    lines = wrap(text, room, 2.5)
    assert sum(len(line.replace(" ", "")) for line in lines) == sum(
        not letter.isspace() for letter in text
    )


def test_no_line_ends_between_a_figure_and_its_unit():
    for text in (
        'a block of 1250 (49 3/16") mm',
        "run on 5 mm, then back",
        "piece 9 (Lantern 1-2)",
    ):
        for room in range(45, 90):
            ends = [line.split()[-1] for line in wrap(text, room, 3.5)[:-1]]
            assert not {"5", "(49", '3/16")', "(Lantern"} & set(ends)


def test_a_table_that_is_parted_leaves_three_rows_or_more_in_each_frame():
    """Frames as high as each number of rows: none ends or begins with a row or two."""
    table = Table(("row",), [(str(i),) for i in range(14)], "l")
    head, row = table.head()[0].height_mm(50), table.body()[0].height_mm(50)
    for fitting in range(5, 14):
        high = head + fitting * row + 0.1
        pages: list[Page] = []

        def more(high=high, pages=pages):
            pages.append(Page(50, high))
            return [Frame(pages[-1], Box(0, 0, 50, high))]

        Flow([], more).table(table)
        assert all(len(page.texts) - 1 >= 3 for page in pages)


def test_rows_that_stand_headed_already_get_their_head_only_in_the_next_frame():
    table = Table(("row",), [(str(i),) for i in range(4)], "l")
    page = Page(150, 40)
    frames = [Frame(page, Box(x, 0, x + 50, 40)) for x in (0, 50)]
    flow = Flow(frames, lambda: [])
    for headed in (False, True, True):
        flow.rows(table.body()[:2], table.head(), headed=headed)
    flow.rows(table.body(), table.head(), headed=True)
    heads = [text.origin[0] for text in page.texts if text.text == "row"]
    assert heads == [0, 50]


def test_a_table_is_halved_where_both_halves_fit_side_by_side():
    table = Table(("no", "what"), [(str(n), "word") for n in range(1, 8)], "rl")
    halves = table.halved(100.0)
    assert halves.rows[0] == ("1", "word", "", "5", "word")
    assert halves.rows[-1] == ("4", "word", "", "", "")
    assert table.halved(table.columns(0.0)[-1][1] + 5.0) is table


def test_the_plot_of_litres_gets_lower_before_it_is_left_out():
    points = ((0, 0.0), (1, 5.0))
    full = plot_within(points, 6.0, 200.0).height_mm(180.0)
    lower = plot_within(points, 6.0, full - 10.0)
    assert lower.height_mm(180.0) == pytest.approx(full - 10.0)
    assert plot_within(points, 6.0, 20.0) is None


def test_a_corner_drawn_twice_counts_once():
    once = ring(box(0, 0, 1500, 900))
    twice = np.insert(once, [2, len(once)], once[[2, 0]], axis=0)
    assert crossings(twice, 200.0) == crossings(once, 200.0)
