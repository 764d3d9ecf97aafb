"""Raw curves become outlines: joined in stages, nested, named; every repair and flaw told."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
import shapely
import shapely.affinity
import shapely.ops
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon

from wirepath.errors import DrawingError
from wirepath.model import KnownLength, LayerHeight, Reading
from wirepath.tracing import Curve, Drawing, DrawnText, survey, trace

SQUARE = [(0, 0), (100, 0), (100, 100), (0, 100)]


def drawing(*lines, layers=None, z=None, unit="mm", texts=(), kind="LINE", **more) -> Drawing:
    """Return a drawing of the given point lists, in mm unless told otherwise."""
    units = {"mm": 1.0, "inch": 25.4, "m": 1000.0}
    return Drawing(
        name="test",
        curves=tuple(
            Curve(
                line=LineString(line),
                layer=layers[index] if layers else "0",
                kind=kind,
                source=index,
                z=z[index] if z else 0.0,
            )
            for index, line in enumerate(lines)
        ),
        texts=tuple(DrawnText(text=text, at=at, layer="0") for text, at in texts),
        stated_unit=unit,
        stated_unit_mm=units.get(unit),
        **more,
    )


def ring(points):
    """Return a closed point list."""
    return [*points, points[0]]


def rectangle(x, y, width, height):
    return ring([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])


def sides(points):
    """Return each side of a closed polygon as a line of its own."""
    return [list(pair) for pair in zip(points, points[1:] + points[:1], strict=True)]


def areas(traced):
    return sorted(round(outline.polygon.area, 3) for outline in traced.outlines)


def wordings(notes):
    return " / ".join(note.text for note in notes)


def whats(faults):
    return " / ".join(fault.what for fault in faults)


# --- Joining -----------------------------------------------------------------------


def test_four_lines_that_meet_make_one_square():
    traced = trace(drawing(*sides(SQUARE)), Reading())
    assert areas(traced) == [10_000]
    assert traced.notes == ()


def test_lines_drawn_backwards_and_out_of_order_join_all_the_same():
    a, b, c, d = sides(SQUARE)
    assert areas(trace(drawing(c[::-1], a, d[::-1], b), Reading())) == [10_000]


def test_outer_rings_run_counter_clockwise_and_holes_clockwise():
    drawn = drawing(ring(SQUARE)[::-1], rectangle(20, 20, 10, 10))
    polygon = trace(drawn, Reading()).outlines[0].polygon
    assert polygon.exterior.is_ccw
    assert not polygon.interiors[0].is_ccw


def test_a_stray_line_does_not_cost_two_closed_squares():
    # A loop finder that loses both squares to one stray line is known (ezdxf edgeminer 1.4).
    left, right = sides(SQUARE), sides([(x + 200, y) for x, y in SQUARE])
    found = survey(drawing(*left, *right, [(400, 0), (450, 7)]), Reading())
    assert areas(found.traced) == [10_000, 10_000]
    assert len(found.faults) == 1
    assert "open line" in found.faults[0].what


def test_a_gap_within_the_limit_is_closed_and_told_with_its_place():
    lines = sides(SQUARE)
    lines[0] = [(0, 0), (99.95, 0)]
    traced = trace(drawing(*lines), Reading(gap_mm=0.1))
    (note,) = traced.notes
    assert note.kind == "repair"
    assert note.text == "closed a gap of 0.05 mm"
    assert note.at == pytest.approx((99.975, 0))
    assert areas(traced) == [10_000]


def test_a_gap_of_exactly_the_limit_is_closed():
    lines = sides(SQUARE)
    lines[0] = [(0.1, 0), (100, 0)]
    assert areas(trace(drawing(*lines), Reading(gap_mm=0.1))) == [10_000]


def test_a_gap_past_the_limit_is_refused_with_place_gap_and_remedy():
    lines = sides(SQUARE)
    lines[0] = [(0, 0), (96.8, 0)]
    with pytest.raises(DrawingError) as refused:
        trace(drawing(*lines), Reading())
    (fault,) = refused.value.faults
    assert str(fault) == (
        "near x 98.4, y 0.0 mm: a gap of 3.2 mm keeps the outline open\n"
        "  To mend: join the two lines in the drawing, or allow it with gap_mm = 4 in the job "
        "file (--gap-mm 4)"
    )


def test_the_remedy_for_a_gap_works():
    lines = sides(SQUARE)
    lines[0] = [(0, 0), (96.8, 0)]
    assert areas(trace(drawing(*lines), Reading(gap_mm=4))) == [10_000]


def test_all_gaps_are_told_at_once():
    first, second = sides(SQUARE), sides([(x + 200, y) for x, y in SQUARE])
    first[0] = [(0, 0), (98, 0)]
    second[2] = [(300, 100), (203, 100)]
    with pytest.raises(DrawingError) as refused:
        trace(drawing(*first, *second), Reading())
    assert sorted(fault.where for fault in refused.value.faults) == [
        "near x 201.5, y 100.0 mm",
        "near x 99.0, y 0.0 mm",
    ]


def test_a_gap_is_never_closed_where_it_is_more_than_a_fifth_of_the_chain():
    bent = [(0, 0), (10, 0), (10, 8)]
    found = survey(drawing(bent, rectangle(50, 0, 30, 30)), Reading(gap_mm=400))
    assert areas(found.traced) == [900]
    assert "open line" in whats(found.faults)


def test_the_nearest_ends_are_joined_first():
    # The end at 99.7 lies 0.3 from the corner and 0.1 from the stub's end.
    lines = sides(SQUARE)
    lines[0] = [(0, 0), (99.7, 0)]
    lines.append([(99.8, 0), (100, 0)])
    traced = trace(drawing(*lines), Reading(gap_mm=0.5))
    assert "closed a gap of 0.1 mm" in wordings(traced.notes) or areas(traced) == [10_000]


def test_open_lines_may_be_left_out_where_the_job_says_so():
    drawn = drawing(ring(SQUARE), [(10, 10), (20, 30)])
    traced = trace(drawn, Reading(open_lines="leave out"))
    assert areas(traced) == [10_000]
    assert "open lines left out" in wordings(traced.notes)


def test_ends_that_run_past_each_other_are_trimmed():
    lines = [
        [(-0.05, 0), (100.05, 0)],
        [(100, -0.05), (100, 100.05)],
        [(100.05, 100), (-0.05, 100)],
        [(0, 100.05), (0, -0.05)],
    ]
    traced = trace(drawing(*lines), Reading(gap_mm=0.1))
    assert areas(traced) == [10_000]
    assert "ran 0.05 mm past another" in wordings(traced.notes)


def test_a_piece_without_length_is_dropped_and_counted():
    traced = trace(drawing(*sides(SQUARE), [(0, 0), (0.0001, 0)]), Reading())
    assert areas(traced) == [10_000]
    (count,) = traced.counts
    assert (count.found, count.read, count.ignored, count.refused) == (5, 4, 1, 0)


def test_lines_drawn_twice_are_taken_once():
    lines = sides(SQUARE)
    traced = trace(drawing(*lines, lines[0], lines[2][::-1]), Reading())
    assert areas(traced) == [10_000]
    assert "drawn twice, taken once: 2" in wordings(traced.notes)


def test_an_outline_drawn_twice_from_another_corner_is_taken_once():
    again = [SQUARE[2], SQUARE[3], SQUARE[0], SQUARE[1]]
    traced = trace(drawing(ring(SQUARE), ring(again)), Reading())
    assert areas(traced) == [10_000]
    assert "an outline drawn twice is taken once" in wordings(traced.notes)


def test_overlapping_stretches_on_one_line_fall_together():
    lines = [
        [(0, 0), (60, 0)],
        [(40, 0), (100, 0)],
        [(100, 0), (100, 100)],
        [(100, 100), (0, 100)],
        [(0, 100), (0, 0)],
    ]
    assert areas(trace(drawing(*lines), Reading())) == [10_000]


def test_a_thin_double_outline_is_told():
    inner = rectangle(0.3, 0.3, 99.4, 99.4)
    traced = trace(drawing(ring(SQUARE), inner), Reading())
    assert "0.3 mm thick around its hole" in wordings(traced.notes)


# --- Regions -----------------------------------------------------------------------


def test_an_island_in_a_hole_is_a_part_of_its_own():
    # As on a target: 100 - 80, 60 - 40, 20; by hand 10000 - 6400, 3600 - 1600, 400.
    squares = [rectangle(50 - s / 2, 50 - s / 2, s, s) for s in (100, 80, 60, 40, 20)]
    assert areas(trace(drawing(*squares), Reading())) == [400, 2000, 3600]


def test_nesting_agrees_with_the_reference_library():
    # GEOS build_area fills rings by their depth, and shares no code with the reader.
    rng = np.random.default_rng(7)
    rings = []
    for x in range(6):
        for y in range(6):
            radius = 9.0
            while radius > 1:
                circle = shapely.Point(20 * x, 20 * y).buffer(radius)
                rings.append(circle.exterior)
                radius -= rng.uniform(0.7, 3)
    expected = shapely.build_area(shapely.MultiLineString(rings))
    traced = trace(drawing(*[list(r.coords) for r in rings]), Reading())
    shift = (-expected.bounds[0], -expected.bounds[1])
    moved = shapely.affinity.translate(expected, *shift)
    ours = shapely.union_all([outline.polygon for outline in traced.outlines])
    assert ours.symmetric_difference(moved).area < 1e-6
    assert len(traced.outlines) == len(moved.geoms)


def test_a_bow_tie_is_two_triangles():
    # Two crossing diagonals of a 100 square: each triangle is a quarter of it.
    traced = trace(drawing(ring([(0, 0), (100, 100), (100, 0), (0, 100)])), Reading())
    assert areas(traced) == [2500, 2500]
    (note,) = traced.notes
    assert "touches or crosses itself" in note.text
    assert note.at == pytest.approx((50, 50))


def test_a_square_that_shares_a_corner_with_one_inside_it_has_it_cut_out():
    # Four ends meet at the corner; the inner square is two lines in from outside.
    lines = [*sides(SQUARE), *sides([(0, 0), (50, 0.5), (50, 50), (0.5, 50)])]
    traced = trace(drawing(*lines), Reading())
    inner = Polygon([(0, 0), (50, 0.5), (50, 50), (0.5, 50)]).area
    assert areas(traced) == [round(10_000 - inner, 3)]
    assert "touches or crosses itself" in wordings(traced.notes)


def test_a_five_pointed_star_in_one_stroke_has_an_empty_middle():
    tips = [
        (100 * math.cos(math.tau * k / 5), 100 * math.sin(math.tau * k / 5))
        for k in (0, 2, 4, 1, 3)
    ]
    traced = trace(drawing(ring(tips)), Reading())
    # Ten triangles fill the star; its middle is a pentagon whose corners lie at
    # R cos 72 / cos 36 from the centre (Euclid's pentagram).
    assert len(traced.outlines) == 5
    inner = 100 * math.cos(math.radians(72)) / math.cos(math.radians(36))
    tip = inner * math.sin(math.radians(36)) * (100 - inner * math.cos(math.radians(36)))
    assert areas(traced) == pytest.approx([tip] * 5, rel=1e-3)


def test_outlines_that_partly_overlap_are_refused_with_the_place():
    with pytest.raises(DrawingError) as refused:
        trace(drawing(ring(SQUARE), rectangle(80, 80, 60, 60)), Reading())
    (fault,) = refused.value.faults
    assert fault.where == "near x 90.0, y 90.0 mm"
    assert "partly overlap" in fault.what


def test_a_hole_that_touches_its_outline_is_told():
    diamond = ring([(50, 0), (100, 50), (50, 100), (0, 50)])
    traced = trace(drawing(ring(SQUARE), diamond), Reading())
    assert areas(traced) == [1250] * 4
    assert "a hole touches its outline, so the part falls into 4" in wordings(traced.notes)


def test_two_outlines_may_touch_along_a_side():
    assert areas(trace(drawing(ring(SQUARE), rectangle(100, 0, 50, 100)), Reading())) == [
        5000,
        10_000,
    ]


def test_a_line_from_side_to_side_divides_an_outline_and_this_is_told():
    traced = trace(drawing(ring(SQUARE), [(30, 0), (30, 100)]), Reading())
    assert areas(traced) == [3000, 7000]
    assert "share borders: 2 faces are taken as parts" in wordings(traced.notes)


def test_a_border_drawn_once_for_two_parts_serves_both():
    shared = [(100, 0), (100, 100)]
    left = [(100, 100), (0, 100), (0, 0), (100, 0)]
    right = [(100, 0), (150, 0), (150, 100), (100, 100)]
    assert areas(trace(drawing(shared, left, right), Reading())) == [5000, 10_000]


# The strokes of a letter B: the middle bar ends on the stem, the upper bowl on the bar.
STROKES = [
    [(0, 0), (0, 100)],
    [(0, 0), (40, 0), (40, 50)],
    [(40, 50), (0, 50)],
    [(20, 50), (20, 100), (0, 100)],
]


def test_an_open_stroke_that_others_end_on_is_refused_at_the_t_joint():
    found = survey(drawing(*STROKES), Reading())
    assert found.traced.outlines == ()
    (fault,) = found.faults
    assert "T joint" in fault.what
    assert fault.where == "near x 0.0, y 50.0 mm"
    (count,) = found.traced.counts
    assert count.refused == 4


def test_faces_in_doubt_are_parts_where_the_job_says_so():
    assert areas(trace(drawing(*STROKES), Reading(unclear_faces="parts"))) == [1000, 2000]


def test_a_face_enclosed_by_others_is_asked_for():
    across = [[(0, y), (100, y)] for y in (30, 60)]
    across += [[(x, 30), (x, 60)] for x in (30, 60)]
    drawn = drawing(ring(SQUARE), *across)
    found = survey(drawn, Reading())
    assert "part or a hole" in whats(found.faults) or "T joint" in whats(found.faults)
    assert len(trace(drawn, Reading(unclear_faces="parts")).outlines) == 5
    assert len(trace(drawn, Reading(unclear_faces="holes")).outlines) == 4


# --- Size --------------------------------------------------------------------------


def test_the_lower_left_of_everything_read_is_the_origin():
    traced = trace(drawing(rectangle(-500, 3000, 40, 30), rectangle(-400, 3100, 40, 30)), Reading())
    assert shapely.total_bounds([o.polygon for o in traced.outlines]).tolist() == [0, 0, 140, 130]


def test_inches_become_millimetres():
    traced = trace(drawing(rectangle(0, 0, 10, 4), unit="inch"), Reading())
    assert traced.outlines[0].polygon.bounds == pytest.approx((0, 0, 254, 101.6))
    assert traced.units == "inch (stated in the drawing)"


def test_the_job_overrides_the_unit_of_the_drawing():
    traced = trace(drawing(rectangle(0, 0, 10, 4), unit="inch"), Reading(units="cm"))
    assert traced.outlines[0].polygon.bounds == pytest.approx((0, 0, 100, 40))
    assert traced.units == "cm (given in the job)"


@pytest.mark.parametrize(
    ("reading", "width"),
    [
        (Reading(scale=4), 400),
        (Reading(finished_width_mm=2500), 2500),
        (Reading(finished_height_mm=50), 100),
        (Reading(known_length=KnownLength(start=(0, 0), end=(30, 40), length_mm=100)), 200),
    ],
)
def test_the_finished_size_is_set_in_four_ways(reading, width):
    traced = trace(drawing(rectangle(0, 0, 100, 50)), reading)
    assert traced.outlines[0].polygon.bounds[2] == pytest.approx(width)
    assert traced.scale == pytest.approx(width / 100)


def test_two_ways_of_setting_the_size_at_once_are_refused():
    with pytest.raises(DrawingError, match="each fixes the size"):
        trace(drawing(ring(SQUARE)), Reading(scale=2, finished_width_mm=100))


def test_a_drawing_without_unit_is_taken_in_mm_and_told():
    traced = trace(drawing(ring(SQUARE), unit=None), Reading())
    assert "1 unit is taken as 1 mm, finished size 100 x 100 mm" in wordings(traced.notes)


@pytest.mark.parametrize("size", [3, 30_000])
def test_an_implausible_size_of_unknown_unit_is_refused(size):
    with pytest.raises(DrawingError, match="states no unit"):
        trace(drawing(rectangle(0, 0, size, size), unit=None), Reading())


def test_metres_that_nobody_chose_are_refused():
    with pytest.raises(DrawingError, match="write metre where nobody chose"):
        trace(drawing(rectangle(0, 0, 800, 600), unit="m"), Reading())


# --- Layers and names --------------------------------------------------------------


def test_layers_are_chosen_by_pattern_whatever_their_case():
    drawn = drawing(
        ring(SQUARE), rectangle(200, 0, 10, 10), layers=["Cut-1", "Notes"], kind="LWPOLYLINE"
    )
    traced = trace(drawn, Reading(outline_layers=("CUT*",)))
    assert areas(traced) == [10_000]
    assert "layer 'Notes': 1 curves are not read" in wordings(traced.notes)
    (count,) = traced.counts
    assert (count.found, count.read, count.ignored) == (2, 1, 1)


def test_lines_of_two_layers_do_not_spoil_each_others_outlines():
    guide = [(0, 0), (0, -30)]
    drawn = drawing(*sides(SQUARE), guide, layers=["a"] * 4 + ["b"])
    assert areas(survey(drawn, Reading()).traced) == [10_000]


def test_a_layer_with_one_outline_names_it():
    drawn = drawing(ring(SQUARE), rectangle(200, 0, 10, 10), layers=["arch", "key"])
    assert [o.name for o in trace(drawn, Reading()).outlines] == ["arch", "key"]


def test_outlines_of_one_layer_are_numbered_in_rows_from_the_top():
    places = [(0, 0), (300, 200), (0, 210), (300, 10), (150, 195)]
    drawn = drawing(*[rectangle(x, y, 100, 100) for x, y in places], layers=["part"] * 5)
    traced = trace(drawn, Reading())
    assert [o.name for o in traced.outlines] == [f"part {k}" for k in range(1, 6)]
    assert [round(o.polygon.bounds[0]) for o in traced.outlines] == [0, 150, 300, 0, 300]


def test_the_only_text_inside_an_outline_names_it():
    drawn = drawing(
        ring(SQUARE),
        rectangle(20, 20, 60, 60),
        rectangle(200, 0, 50, 50),
        rectangle(300, 0, 50, 50),
        texts=[("O", (10, 10)), ("E", (210, 10)), ("first", (310, 10)), ("second", (310, 20))],
    )
    assert [o.name for o in trace(drawn, Reading()).outlines] == ["O", "E", "0 1"]


def test_parts_called_alike_are_told_apart_by_number():
    drawn = drawing(
        ring(SQUARE), rectangle(200, 0, 50, 50), texts=[("A", (10, 10)), ("A", (210, 10))]
    )
    assert [o.name for o in trace(drawn, Reading()).outlines] == ["A 1", "A 2"]


# --- Contours ----------------------------------------------------------------------

HILL = [rectangle(s, s, 200 - 2 * s, 200 - 2 * s) for s in (0, 20, 40)]


def relief(reading=None, z=(0.0, 25.0, 50.0), layers=("c", "c", "c"), lines=HILL):
    return drawing(*lines, layers=list(layers), z=list(z)), reading or Reading(
        contour_layers=("c*",), heights="from the back"
    )


def test_contours_stand_at_their_elevation():
    traced = trace(*relief())
    assert [(c.height_mm, c.region.area) for c in traced.contours] == [
        (0, 40_000),
        (25, 160 * 160),
        (50, 120 * 120),
    ]


def test_the_lowest_contour_serves_as_outline_where_none_is_drawn():
    assert areas(trace(*relief())) == [40_000]


def test_elevations_are_scaled_with_the_drawing():
    reading = Reading(contour_layers=("c",), heights="from the back", scale=10)
    assert [c.height_mm for c in trace(*relief(reading)).contours] == [0, 250, 500]


def test_whether_figures_are_heights_or_depths_is_asked():
    with pytest.raises(DrawingError, match="heights or depths"):
        trace(*relief(Reading(contour_layers=("c",))))


def test_depths_from_the_front_are_taken_off_the_front():
    reading = Reading(contour_layers=("c",), heights="from the front", front_mm=120)
    traced = trace(*relief(reading, z=(-100.0, -60.0, -20.0)))
    assert [c.height_mm for c in traced.contours] == [20, 60, 100]


def test_heights_may_stand_in_layer_names():
    reading = Reading(
        contour_layers=("relief*",), heights="from the back", height_pattern="relief-{height}mm"
    )
    layers = ("relief-0mm", "relief-12.5mm", "Relief-25mm")
    traced = trace(*relief(reading, z=(0.0, 0.0, 0.0), layers=layers))
    assert [c.height_mm for c in traced.contours] == [0, 12.5, 25]


def test_heights_may_stand_in_a_table():
    reading = Reading(
        contour_layers=("*",),
        heights="from the back",
        layer_heights=(
            LayerHeight(layer="rim", height_mm=0),
            LayerHeight(layer="mid", height_mm=30),
            LayerHeight(layer="top", height_mm=80),
        ),
    )
    traced = trace(*relief(reading, z=(0.0, 0.0, 0.0), layers=("rim", "mid", "top")))
    assert [c.height_mm for c in traced.contours] == [0, 30, 80]


def test_a_hollow_is_a_hole_in_the_contour():
    lines = [HILL[0], HILL[1], HILL[2]]
    traced = trace(*relief(z=(0.0, 25.0, 25.0), lines=lines))
    assert [c.region.area for c in traced.contours] == [40_000, 160 * 160 - 120 * 120]


def test_two_hills_give_two_contours_of_one_height():
    lines = [rectangle(0, 0, 300, 100), rectangle(20, 20, 50, 50), rectangle(200, 20, 50, 50)]
    traced = trace(*relief(z=(0.0, 25.0, 25.0), lines=lines))
    assert [c.height_mm for c in traced.contours] == [0, 25, 25]


def test_crossing_contours_are_refused_with_the_place():
    lines = [rectangle(0, 0, 200, 200), rectangle(150, 50, 100, 100)]
    with pytest.raises(DrawingError) as refused:
        trace(*relief(z=(0.0, 25.0), layers=("c", "c"), lines=lines))
    (fault,) = refused.value.faults
    assert "crosses the next lower one" in fault.what
    assert fault.where == "near x 225.0, y 100.0 mm"


def test_a_contour_outside_the_lower_one_is_refused():
    lines = [rectangle(0, 0, 200, 200), rectangle(300, 50, 100, 100)]
    with pytest.raises(DrawingError, match="lies outside the next lower one"):
        trace(*relief(z=(0.0, 25.0), layers=("c", "c"), lines=lines))


def test_each_outline_has_contours_at_heights_of_its_own():
    lines = [rectangle(0, 0, 200, 200), rectangle(300, 0, 200, 200)]
    lines += [rectangle(50, 50, 100, 100), rectangle(350, 50, 100, 100)]
    traced = trace(*relief(z=(0.0, 0.0, 25.0, 40.0), layers=("o", "o", "c", "c"), lines=lines))
    assert [c.height_mm for c in traced.contours] == [25, 40]


def test_contours_of_one_outline_nest_whatever_stands_in_another():
    lines = [rectangle(0, 0, 200, 200), rectangle(300, 0, 200, 200)]
    lines += [rectangle(20, 50, 50, 50), rectangle(120, 50, 50, 50), rectangle(350, 50, 99, 99)]
    drawing = relief(z=(0.0, 0.0, 25.0, 40.0, 25.0), layers=("o", "o", "c", "c", "c"), lines=lines)
    with pytest.raises(DrawingError, match="lies outside the next lower one"):
        trace(*drawing)


def test_a_contour_that_is_not_level_is_refused():
    with pytest.raises(DrawingError, match="it is not level"):
        trace(*relief(z=(0.0, None, 50.0)))


def test_outlines_and_contours_stand_in_one_frame():
    drawn = drawing(
        rectangle(-50, -50, 300, 300), *HILL, layers=["outline", "c", "c", "c"], z=[0, 0, 25, 50]
    )
    traced = trace(drawn, Reading(contour_layers=("c",), heights="from the back"))
    assert traced.outlines[0].polygon.bounds == (0, 0, 300, 300)
    assert traced.contours[0].region.bounds == (50, 50, 250, 250)


# --- Whatever the drawing, it comes back whole --------------------------------------


@st.composite
def shapes(draw):
    """Return a star-shaped polygon round the origin with 3 to 40 corners."""
    count = draw(st.integers(3, 40))
    radii = draw(st.lists(st.floats(40, 400, allow_nan=False), min_size=count, max_size=count))
    return Polygon(
        [
            (r * math.cos(math.tau * k / count), r * math.sin(math.tau * k / count))
            for k, r in enumerate(radii)
        ]
    )


@settings(max_examples=150, deadline=None)
@given(data=st.data(), outer=shapes(), with_hole=st.booleans(), pieces=st.integers(1, 30))
def test_an_outline_cut_into_shuffled_reversed_gapped_pieces_comes_back_whole(
    data, outer, with_hole, pieces
):
    hole = shapely.affinity.scale(outer, 0.4, 0.4, origin=(0, 0)) if with_hole else None
    gap = data.draw(st.sampled_from([0.0, 1e-5, 0.02, 0.09]))
    rng = np.random.default_rng(data.draw(st.integers(0, 2**31)))
    lines = []
    for polygon in (outer, hole):
        if polygon is None:
            continue
        boundary = polygon.exterior
        cuts = np.sort(rng.uniform(0, boundary.length, pieces))
        # A gap may be at most a fifth of what it joins, so pieces must not be shorter.
        cuts = cuts[np.diff(cuts, prepend=-math.inf) > 1.0]
        if len(cuts) > 1 and cuts[0] + boundary.length - cuts[-1] < 1.0:
            cuts = cuts[:-1]
        ends = [*cuts[1:], cuts[0] + boundary.length]
        doubled = LineString([*boundary.coords, *boundary.coords[1:]])
        for start, end in zip(cuts, ends, strict=True):
            piece = shapely.ops.substring(doubled, start + gap / 2, end - gap / 2)
            coords = list(piece.coords)
            lines.append(coords[::-1] if rng.random() < 0.5 else coords)
    rng.shuffle(lines)
    traced = trace(drawing(*lines), Reading(gap_mm=0.1))
    expected = outer.difference(hole) if hole is not None else outer
    (outline,) = traced.outlines
    low_x, low_y, _, _ = shapely.total_bounds([LineString(line) for line in lines])
    moved = shapely.affinity.translate(outline.polygon, low_x, low_y)
    assert len(outline.polygon.interiors) == (1 if with_hole else 0)
    missed = shapely.symmetric_difference(moved, expected, grid_size=1e-9)
    assert missed.area <= 0.1 * expected.length


@settings(max_examples=60, deadline=None)
@given(
    points=st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=2, max_size=40),
    unclear=st.sampled_from(["refuse", "parts", "holes"]),
)
def test_any_scribble_on_a_grid_ends_with_an_answer_that_adds_up(points, unclear):
    pairs = zip(points[::2], points[1::2], strict=False)
    lines = [[(10 * a, 10 * b), (10 * c, 10 * d)] for (a, b), (c, d) in pairs]
    found = survey(drawing(*lines), Reading(unclear_faces=unclear))
    for outline in found.traced.outlines:
        assert outline.polygon.is_valid
    for count in found.traced.counts:
        assert count.found == count.read + count.ignored + count.refused
    assert sum(count.found for count in found.traced.counts) == len(lines)
    assert found.traced.outlines or found.faults
    assert len(found.places) == len(found.faults)
    assert survey(drawing(*lines), Reading(unclear_faces=unclear)) == found


# --- Seam lines and places to keep clear of seams ----------------------------------------


SEAMS = Reading(seam_layers=("SEAM*",), keep_clear_layers=("FACE",))


def test_seam_lines_are_scaled_with_the_form_and_may_run_out_of_it():
    found = drawing(
        ring(SQUARE),
        [(50, -20), (50, 60)],
        [(50, 60), (50, 120)],
        rectangle(10, 10, 20, 30),
        layers=["0", "seam-1", "Seam-2", "face"],
    )
    traced = trace(found, dataclasses.replace(SEAMS, finished_width_mm=1000))
    assert traced.outlines[0].polygon.bounds == (0, 0, 1000, 1000)
    (line,) = traced.seam_lines
    assert line.bounds == pytest.approx((500, -200, 500, 1200))
    assert traced.keep_clear[0].bounds == pytest.approx((100, 100, 300, 400))
    (count,) = traced.counts
    assert (count.found, count.read) == (4, 4)


def test_places_to_keep_clear_may_overlap_and_must_close():
    base = [ring(SQUARE), rectangle(10, 10, 20, 30), rectangle(20, 20, 20, 30)]
    found = survey(
        drawing(*base, layers=["0", "FACE", "FACE"]), dataclasses.replace(SEAMS, seam_layers=())
    )
    assert (len(found.traced.keep_clear), found.faults) == (2, ())
    with pytest.raises(DrawingError, match="closes no outline"):
        trace(
            drawing(ring(SQUARE), [(10, 10), (40, 40)], layers=["0", "FACE"]),
            Reading(keep_clear_layers=("FACE",)),
        )


def test_a_seam_layer_that_holds_nothing_is_told():
    with pytest.raises(DrawingError, match=r"no visible curve lies on a seam layer \(SEAM\*\)"):
        trace(drawing(ring(SQUARE)), Reading(seam_layers=("SEAM*",)))
