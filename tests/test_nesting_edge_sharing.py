"""Pieces pushed together to share straight edges: one cut for two, and nothing too near."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from foam_layouts import laid, plan_of
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.affinity import rotate

from wirepath.checking.laying import check_laying
from wirepath.checking.passes import check_passes
from wirepath.checking.scene import scenes
from wirepath.checking.slot import check_slot
from wirepath.geometry import place_all
from wirepath.nesting import share_edges
from wirepath.workshop import Cutting

CUTTING = Cutting(kerf_mm=3.0, web_mm=7.0)
GAP = CUTTING.kerf_mm + CUTTING.web_mm


def pushed(outlines: list[Polygon], side: float = 700.0) -> list[Polygon]:
    layout, pieces = laid(outlines, side, side)
    (after,) = share_edges([layout], pieces, CUTTING)
    return place_all(after, pieces)


def finding(outlines: list[Polygon]):
    plan = plan_of(*laid(outlines, 700.0, 700.0), passes=(), cutting=CUTTING)
    return check_laying(scenes(plan), GAP, CUTTING.kerf_mm)


def gaps(outlines: list[Polygon]) -> list[float]:
    return [
        round(shapely.distance(outlines[i], outlines[j]), 6)
        for i in range(len(outlines))
        for j in range(i)
    ]


def test_two_boxes_beside_each_other_come_to_stand_one_kerf_apart():
    assert gaps(pushed([box(50, 50, 150, 150), box(160, 50, 260, 150)])) == [3.0]


def test_nothing_is_pushed_where_a_slower_wire_melts_wider_at_corners():
    slow = replace(CUTTING, corner_feed_mm_per_s=2.0, corner_kerf_mm=4.0)
    layouts, pieces = laid([box(50, 50, 150, 150), box(160, 50, 260, 150)], 700.0, 700.0)
    assert share_edges([layouts], pieces, slow) == (layouts,)


def test_turned_boxes_share_their_slanting_edges_too():
    turned = [
        rotate(one, 30, origin=(0, 0)) for one in (box(200, 0, 300, 100), box(312, 0, 412, 90))
    ]
    assert gaps(pushed(turned)) == [3.0]


def test_edges_that_face_each_other_for_less_than_60_mm_are_left():
    assert gaps(pushed([box(50, 50, 150, 150), box(160, 95, 260, 195)])) == [10.0]


def test_edges_that_are_not_parallel_are_left():
    wedge = Polygon([(160, 50), (260, 50), (260, 150), (161, 150)])
    assert gaps(pushed([box(50, 50, 150, 150), wedge])) == [10.0]


def test_pieces_that_share_an_edge_move_as_one():
    row = pushed([box(50 + 110 * k, 50, 150 + 110 * k, 150) for k in range(4)])
    assert sorted(gaps(row))[:3] == [3.0, 3.0, 3.0]


def test_a_push_that_would_crowd_a_third_piece_is_not_made():
    # The second box could go left only over the bar's nose, or the first right over it.
    nose = [Polygon([(155, 152), (300, 152), (300, 300), (50, 300), (50, 165), (155, 165)])]
    first, second = box(50, 50, 140, 142), box(150, 50, 250, 142)
    after = pushed([first, second, *nose])
    assert finding(after).passed


def test_no_piece_is_pushed_off_the_face():
    after = pushed([box(0, 0, 340, 340), box(350, 0, 690, 340)], side=690.0)
    assert all(box(0, 0, 690, 690).covers(one) for one in after)


def test_a_pair_one_kerf_apart_along_a_long_edge_proves_sound_and_is_counted():
    told = finding([box(50, 50, 150, 150), box(153, 50, 253, 150)])
    assert told.passed
    assert "1 pairs share a slot" in told.measured


@pytest.mark.parametrize("gap", [2.9, 4.0, 9.9])
def test_any_other_gap_below_the_clearance_is_a_fault(gap):
    assert not finding([box(50, 50, 150, 150), box(150 + gap, 50, 250 + gap, 150)]).passed


def test_a_short_edge_one_kerf_apart_is_a_fault():
    assert not finding([box(50, 50, 150, 150), box(153, 110, 253, 210)]).passed


def test_a_point_one_kerf_away_is_a_fault():
    tip = Polygon([(153, 100), (253, 60), (253, 140)])
    assert not finding([box(50, 50, 150, 150), tip]).passed


def test_a_thin_web_beside_a_shared_edge_is_a_fault():
    step = Polygon([(153, 50), (253, 50), (253, 400), (157, 400), (157, 150), (153, 150)])
    assert not finding([box(50, 50, 150, 400), step]).passed


@settings(max_examples=40, deadline=None)
@given(
    sizes=st.lists(st.tuples(st.integers(20, 100), st.integers(20, 100)), min_size=2, max_size=12),
    lean=st.floats(0, 25),
)
def test_random_boxes_and_wedges_stay_apart_or_share(sizes, lean):
    outlines = []
    for k, (width, height) in enumerate(sizes):
        x, y = 20 + 115 * (k % 4), 20 + 115 * (k // 4)
        top = min(lean, width / 2)
        outlines.append(
            Polygon([(x, y), (x + width, y), (x + width - top, y + height), (x, y + height)])
        )
    after = pushed(outlines)
    assert finding(after).passed
    ready = scenes(plan_of(*laid(after, 700.0, 700.0), cutting=CUTTING))
    for one in (*check_slot(ready, CUTTING.feed_mm_per_s), check_passes(ready)):
        assert one.faults == ()
    assert np.isclose(sum(one.area for one in after), sum(one.area for one in outlines))
