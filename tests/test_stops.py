"""Where the wire stops, and how much wider its slot gets there."""

from __future__ import annotations

from dataclasses import replace

import pytest
from foam_layouts import CUTTING, laid, plan_of
from shapely import box

from wirepath.kerf import dwell_widening_mm
from wirepath.stops import (
    melted_at_rest_mm2_per_s,
    piece_stops,
    stop_widening_mm,
    widened_mm,
)
from wirepath.workshop import Cutting, Rig

# Two test slots, 1.60 mm at 4 mm/s and 1.00 mm at 8 mm/s: a 0.40 mm, b 4.80 mm2/s, 1.20 mm at
# 6 mm/s; worked by hand.
FITTED = Cutting(kerf_mm=1.2, feed_mm_per_s=6.0, kerf_base_mm=0.4)


def test_what_melts_at_rest_is_b_of_the_kerf_law():
    assert melted_at_rest_mm2_per_s(FITTED) == pytest.approx(4.8)


def test_a_kerf_stated_at_the_corners_feed_gives_b_in_place_of_the_base():
    slowed = Cutting(kerf_mm=1.0, feed_mm_per_s=8.0, corner_feed_mm_per_s=4.0, corner_kerf_mm=1.6)
    assert melted_at_rest_mm2_per_s(slowed) == pytest.approx(4.8)


def test_a_stop_takes_the_time_to_brake_and_speed_up_and_melts_that_much_more():
    # 6 / 100 s late, 0.288 mm2 more: sqrt(1.44 + 4 / pi 0.288) - 1.2, on paper.
    assert stop_widening_mm(FITTED, 100.0) == pytest.approx(0.144, abs=0.001)


@pytest.mark.parametrize("seconds", [1, 10])
def test_a_long_rest_comes_to_what_heat_reaches_by_conduction(seconds):
    # sqrt(4 alpha t) in EPS of 20 kg/m3: 2.3 mm after 1 s, 7.1 mm after 10 s, by another way.
    by_law = widened_mm(1.2, 4.8, seconds)
    assert by_law == pytest.approx(dwell_widening_mm(seconds, 20), rel=1 / 3)


def test_no_time_lost_is_no_wider_slot():
    assert widened_mm(1.2, 4.8, 0.0) == 0.0


def test_inner_corners_and_the_place_where_the_way_in_meets_the_line_are_stops():
    notch = box(60, 60, 160, 160).difference(box(100, 130, 120, 161))
    square, notched = (
        piece_stops(plan_of(*laid([outline], 220, 220)))[0].count
        for outline in (box(60, 60, 160, 160), notch)
    )
    assert notched == square + 2


def test_by_hand_no_stops_are_told():
    plan = plan_of(*laid([box(60, 60, 160, 160)], 220, 220), cutting=CUTTING)
    assert piece_stops(plan)
    bow = replace(plan, workshop=replace(plan.workshop, rig=Rig(kind="bow")))
    assert piece_stops(bow) == ()
