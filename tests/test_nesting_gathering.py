"""The wire's way on a face, and layouts as dense with a shorter one."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import box
from test_nesting_search import UPRIGHT, maps_of

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


def test_an_edge_that_two_pieces_can_share_counts_once() -> None:
    # Just the clearance of 10 apart along 100 of edge: 800 - 100 + 20 + 10.
    squares = [box(20, 80, 120, 180), box(130, 80, 230, 180)]
    assert wire_way_mm(squares, EDGE, CUTTING) == pytest.approx(730)


def test_pieces_strewn_within_a_width_are_gathered_and_stay_in_it() -> None:
    maps = maps_of([box(0, 0, 100, 100)], UPRIGHT, short_mm=300, clearance_mm=10.0)
    strewn = np.array([[15.0, 30.0], [140.0, 150.0], [290.0, 90.0]])
    spots = gathered(maps, [0, 0, 0], strewn, FACE, CUTTING, Effort(1e12))
    laid = [shifted(maps.variants[0].outline, x, y) for x, y in spots]
    # Strewn: 1200, 15 from the left edge, 10 from the right, hypot(25, 20) between two.
    assert wire_way_mm(
        [shifted(maps.variants[0].outline, x, y) for x, y in strewn], EDGE, CUTTING
    ) == pytest.approx(1257.02, abs=0.01)
    assert wire_way_mm(laid, EDGE, CUTTING) < 1100
    assert max(one.bounds[2] for one in laid) <= 390 + 1e-6
    assert min(laid[0].distance(laid[1]), laid[1].distance(laid[2])) >= 10 - 1e-6


def test_a_layout_without_a_shorter_way_is_left_as_it_is() -> None:
    maps = maps_of([box(0, 0, 100, 100)], UPRIGHT, short_mm=300, clearance_mm=10.0)
    row = np.array([[0.0, 0.0], [110.0, 0.0]])
    spots = gathered(maps, [0, 0], row, FACE, CUTTING, Effort(1e12))
    assert (spots == row).all()
