"""The wire's way on a face, and layouts as dense with a shorter one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import box
from test_nesting_search import UPRIGHT, maps_of

from wirepath.nesting.edge_sharing import pushed_together
from wirepath.nesting.fields import Effort
from wirepath.nesting.gathering import gathered, wire_way_mm
from wirepath.nesting.shapes import shifted
from wirepath.workshop import Cutting

CUTTING = Cutting(kerf_mm=3.0, web_mm=7.0)
FACE = (400.0, 300.0)
EDGE = box(0, 0, *FACE)


def test_the_way_is_the_outlines_and_the_least_links_from_the_edge() -> None:
    # 20 from the left edge, then 30 more to the second square: 2 x 400 + 20 + 30.
    squares = [box(20, 80, 120, 180), box(150, 80, 250, 180)]
    assert wire_way_mm(squares, EDGE, CUTTING) == pytest.approx(850)


def test_an_edge_counts_once_that_stands_one_kerf_from_anothers() -> None:
    # The kerf of 3 apart along 100 of edge: 800 - 100 + 20 + 3.
    squares = [box(20, 80, 120, 180), box(123, 80, 223, 180)]
    assert wire_way_mm(squares, EDGE, CUTTING) == pytest.approx(723)


@pytest.mark.parametrize("gap", [3.01, 10.0, 12.0])
def test_an_edge_farther_off_than_one_kerf_counts_twice(gap: float) -> None:
    squares = [box(20, 80, 120, 180), box(120 + gap, 80, 220 + gap, 180)]
    assert wire_way_mm(squares, EDGE, CUTTING) == pytest.approx(800 + 20 + gap)


def test_gathering_measures_edges_as_they_will_be_shared_or_not() -> None:
    maps = maps_of([box(0, 0, 100, 100)], UPRIGHT, short_mm=300, clearance_mm=10.0)
    apart = np.array([[15.0, 20.0], [150.0, 60.0]])

    def way(sharing: bool) -> float:
        spots = gathered(maps, [0, 0], apart, FACE, CUTTING, Effort(1e12), sharing=sharing)
        laid = [shifted(maps.variants[0].outline, x, y) for x, y in spots]
        return wire_way_mm(pushed_together(laid, EDGE, CUTTING)[0], EDGE, CUTTING)

    assert way(True) < 800 - 60
    assert way(True) <= way(False)


def test_with_corners_slowed_no_piece_is_pushed_to_another() -> None:
    squares = [box(20, 80, 120, 180), box(130, 80, 230, 180)]
    slowed = replace(CUTTING, corner_feed_mm_per_s=1.0)
    assert not pushed_together(squares, EDGE, slowed)[1].any()
    assert pushed_together(squares, EDGE, CUTTING)[1].any()


def test_pieces_strewn_within_a_width_are_gathered_and_stay_in_it() -> None:
    maps = maps_of([box(0, 0, 100, 100)], UPRIGHT, short_mm=300, clearance_mm=10.0)
    strewn = np.array([[15.0, 30.0], [140.0, 150.0], [290.0, 90.0]])
    spots = gathered(maps, [0, 0, 0], strewn, FACE, CUTTING, Effort(1e12))
    laid = [shifted(maps.variants[0].outline, x, y) for x, y in spots]
    # Strewn: 1200, 15 from the left edge, 10 from the right, hypot(25, 20) between two.
    assert wire_way_mm(
        [shifted(maps.variants[0].outline, x, y) for x, y in strewn], EDGE, CUTTING
    ) == pytest.approx(1257.02, abs=0.01)
    assert wire_way_mm(pushed_together(laid, EDGE, CUTTING)[0], EDGE, CUTTING) < 1100
    assert max(one.bounds[2] for one in laid) <= 390 + 1e-6
    assert min(laid[0].distance(laid[1]), laid[1].distance(laid[2])) >= 10 - 1e-6


def test_a_layout_without_a_shorter_way_is_left_as_it_is() -> None:
    maps = maps_of([box(0, 0, 100, 100)], UPRIGHT, short_mm=300, clearance_mm=10.0)
    row = np.array([[0.0, 0.0], [110.0, 0.0]])
    spots = gathered(maps, [0, 0], row, FACE, CUTTING, Effort(1e12))
    assert (spots == row).all()
