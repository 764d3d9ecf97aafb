"""The wire's line: offsets against formulas and a second library, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pyclipper
import pytest
from foam_layouts import laid, piece, star
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, Point, Polygon, box
from shapely.affinity import scale

from wirepath.errors import FitError
from wirepath.kerf import largest_miss, misses, refuse_lost, wire_lines
from wirepath.units import told_apart
from wirepath.workshop import Cutting

CUTTING = Cutting(kerf_mm=3.0)


def notched(width: float, depth: float) -> Polygon:
    """A square of 100 mm with a notch in the middle of its upper edge."""
    return box(0, 0, 100, 100).difference(box(50 - width / 2, 100 - depth, 50 + width / 2, 101))


def veed(angle_deg: float, depth: float) -> Polygon:
    """A square of 100 mm with a V cut into the middle of its upper edge."""
    half = math.tan(math.radians(angle_deg / 2)) * depth
    return box(0, 0, 100, 100).difference(
        Polygon([(50, 100 - depth), (50 + half, 100), (50 - half, 100)])
    )


def line_of(outline: Polygon, kerf_mm: float) -> Polygon:
    """The area inside the wire line of the outer ring."""
    width, height = outline.bounds[2] + 10, outline.bounds[3] + 10
    layout, pieces = laid([outline], width, height)
    return Polygon(wire_lines(layout, pieces, Cutting(kerf_mm=kerf_mm))[0].ring)


@settings(deadline=None)
@given(
    points=st.lists(
        st.tuples(st.floats(0, 500), st.floats(0, 500)), min_size=5, max_size=12, unique=True
    ),
    kerf_mm=st.floats(0.5, 6),
)
def test_the_line_round_a_convex_outline_encloses_the_area_of_steiners_formula(points, kerf_mm):
    # Steiner 1840: area + perimeter r + pi r^2 for a convex set grown by r.
    convex = Polygon(points).convex_hull
    radius = kerf_mm / 2
    if convex.area == 0 or convex.buffer(-4 * radius).is_empty:
        return
    expected = convex.area + convex.length * radius + math.pi * radius**2
    # GEOS straightens a line by 1 % of the offset before it offsets it.
    assert line_of(convex, kerf_mm).area == pytest.approx(
        expected, abs=0.011 * radius * convex.length + 0.002 * radius**2
    )


@pytest.mark.parametrize(
    "outline", [star(5, 0.45), notched(5, 10), veed(60, 20), Point(0, 0).buffer(40, 64)]
)
def test_the_line_agrees_with_the_offset_of_a_second_library(outline):
    # pyclipper: Vatti's algorithm, no code in common with GEOS.
    tool = pyclipper.PyclipperOffset(arc_tolerance=10)
    tool.AddPath(
        [(round(x * 1e4), round(y * 1e4)) for x, y in outline.exterior.coords[:-1]],
        pyclipper.JT_ROUND,
        pyclipper.ET_CLOSEDPOLYGON,
    )
    (other,) = tool.Execute(1.5e4)
    layout, pieces = laid([outline], 200, 200)
    ours = Polygon(wire_lines(layout, pieces, CUTTING)[0].ring)
    theirs = Polygon(np.array(other) / 1e4)
    assert ours.symmetric_difference(theirs).area < 0.02 * ours.length
    assert ours.boundary.hausdorff_distance(theirs.boundary) < 0.5


def test_a_hole_of_20_mm_gets_a_clockwise_line_half_a_kerf_inside():
    outline = box(0, 0, 100, 100).difference(box(40, 40, 60, 60))
    layout, pieces = laid([outline], 200, 200)
    outer, hole = wire_lines(layout, pieces, CUTTING)
    assert (outer.is_hole, hole.is_hole) == (False, True)
    assert LinearRing(outer.ring.coords).is_ccw
    assert not LinearRing(hole.ring.coords).is_ccw
    assert Polygon(hole.ring).equals(box(41.5, 41.5, 58.5, 58.5))


def test_the_line_lies_where_the_piece_is_placed():
    layout, pieces = laid([box(0, 0, 100, 50)], 300, 300)
    turned = replace(layout.placements[0], x_mm=120.0, y_mm=20.0, angle_deg=90.0)
    (line,) = wire_lines(replace(layout, placements=(turned,)), pieces, CUTTING)
    assert line.ring.bounds == pytest.approx((68.5, 18.5, 121.5, 121.5))


def test_a_square_inner_corner_is_missed_by_0_414_times_half_the_kerf():
    # Right-angled corner against a circle of radius r: (sqrt 2 - 1) r.
    for miss in misses(notched(20, 10), CUTTING):
        assert miss.miss_mm == pytest.approx((math.sqrt(2) - 1) * 1.5, abs=0.02)
        assert not miss.notch


@pytest.mark.parametrize("angle_deg", [120, 90, 60, 40, 25, 18])
def test_a_sharp_inner_corner_loses_r_over_sine_of_half_its_angle_less_r(angle_deg):
    outline = veed(angle_deg, 25)
    miss = largest_miss(piece(1, outline), CUTTING)
    assert miss is not None
    expected = 1.5 * (1 / math.sin(math.radians(angle_deg / 2)) - 1)
    assert miss.miss_mm == pytest.approx(expected, abs=0.02)
    assert miss.at == pytest.approx((50, 75), abs=0.01)
    refuse_lost([piece(1, outline)], CUTTING)


@pytest.mark.parametrize("overlap", [30, 12, 6])
def test_the_crease_between_two_discs_is_a_corner_and_no_notch(overlap):
    # The sides bend away from the corner: the wire rounds it, however sharp it looks.
    discs = Point(0, 0).buffer(60, 64).union(Point(120 - overlap, 0).buffer(60, 64))
    found = misses(discs, Cutting(kerf_mm=1.2))
    assert len(found) == 2
    assert not any(miss.notch for miss in found)
    refuse_lost([piece(1, discs)], Cutting(kerf_mm=1.2))


def test_a_convex_outline_is_missed_nowhere():
    assert largest_miss(piece(1, Point(0, 0).buffer(50)), CUTTING) is None


@pytest.mark.parametrize("outline", [notched(2.9, 10), notched(1, 4), notched(2, 30)])
def test_a_notch_narrower_than_the_kerf_is_refused_with_its_place_and_width(outline):
    with pytest.raises(FitError) as caught:
        refuse_lost([piece(1, outline)], CUTTING)
    (fault,) = caught.value.faults
    assert "a notch" in fault.what
    assert "narrower than the kerf of 3 mm" in fault.what
    assert "near x" in fault.where
    assert "make it wider than 3 mm" in fault.mend


@pytest.mark.parametrize("outline", [notched(3.1, 10), notched(20, 10), notched(2, 1)])
def test_a_notch_wider_than_the_kerf_or_shallower_than_half_of_it_is_cut(outline):
    refuse_lost([piece(1, outline)], CUTTING)


def test_a_notch_a_hair_narrower_than_the_kerf_is_told_to_as_many_figures_as_show_it():
    with pytest.raises(FitError, match=r"a notch 2\.98 mm wide is narrower than the kerf of 3 mm"):
        refuse_lost([piece(1, notched(2.98, 10))], CUTTING)


@pytest.mark.parametrize(
    ("value", "limit", "told"),
    [(2.0, 3.0, "2.0"), (1.19, 1.2, "1.19"), (1.2004, 1.2, "1.2004"), (1.2, 1.2, "1.2")],
)
def test_a_figure_past_a_limit_is_never_told_as_the_limit(value, limit, told):
    assert told_apart(value, limit) == told


def test_a_hole_too_small_for_the_kerf_is_refused_with_its_size():
    outline = box(0, 0, 100, 100).difference(box(49, 20, 51, 60))
    with pytest.raises(FitError, match=r"a hole of 2\.0 x 40\.0 mm is too small for the kerf"):
        refuse_lost([piece(1, outline)], CUTTING)


def test_a_hole_with_a_neck_is_refused():
    hole = box(20, 20, 40, 40).union(box(39, 29, 61, 31)).union(box(60, 20, 80, 40))
    with pytest.raises(FitError, match="has a neck narrower than the kerf"):
        refuse_lost([piece(1, box(0, 0, 100, 60).difference(hole))], CUTTING)


def test_a_bay_behind_a_narrow_mouth_is_refused():
    outline = box(0, 0, 100, 100).difference(box(30, 30, 70, 70)).difference(box(49, 69, 51, 101))
    with pytest.raises(FitError, match="the mouth of a bay is narrower than the kerf"):
        refuse_lost([piece(1, outline)], CUTTING)


@pytest.mark.parametrize(
    ("outline", "width"),
    [
        (box(0, 0, 50, 50).union(box(49, 20, 80, 22)).union(box(79, 0, 120, 50)), "2.0"),
        (box(0, 0, 50, 1), "1.0"),
    ],
)
def test_a_web_of_foam_thinner_than_the_kerf_is_refused_with_its_width(outline, width):
    with pytest.raises(FitError, match=f"a web of foam {width} mm wide is thinner than the kerf"):
        refuse_lost([piece(1, outline)], CUTTING)


def test_all_faults_are_told_at_once_and_copies_once():
    one, two = piece(1, notched(2, 10), "letter"), piece(3, box(0, 0, 50, 2), "bar")
    copy = replace(one, number=2)
    with pytest.raises(FitError) as caught:
        refuse_lost([one, copy, two], CUTTING)
    assert [fault.where.split(",")[0] for fault in caught.value.faults] == [
        "piece 'letter'",
        "piece 'bar'",
    ]


def test_an_outline_of_5000_points_is_followed():
    angles = np.linspace(0, 2 * np.pi, 5000, endpoint=False)
    radii = 400 + 12 * np.sin(23 * angles)
    flower = Polygon(np.column_stack((radii * np.cos(angles), radii * np.sin(angles))))
    miss = largest_miss(piece(1, flower), CUTTING)
    # The tightest hollow bends with a radius of about 20 mm: no kerf of 3 mm is lost there.
    assert miss is None or miss.miss_mm < 0.05
    assert largest_miss(piece(1, scale(flower, 0.02, 0.02)), CUTTING) is not None
