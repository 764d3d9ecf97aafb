"""Simulated time against textbook kinematics, worked out on paper."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString
from small_plan import two_blocks

from wirepath.checking.costs import check_costs
from wirepath.model import Move, Pass
from wirepath.timing import pass_seconds
from wirepath.workshop import Rig

TABLE = Rig(acceleration_mm_per_s2=100.0)


def trip(*moves: tuple[float, list[tuple[float, float]]]) -> Pass:
    return Pass(
        layout=1,
        number=1,
        moves=tuple(
            Move(kind="link", line=LineString(points), feed_mm_per_s=feed) for feed, points in moves
        ),
    )


def test_a_long_straight_run_takes_its_length_over_its_feed_and_one_ramp():
    # A trapezoid: d / v + v / a = 100 / 10 + 10 / 100.
    assert pass_seconds(trip((10, [(0, 0), (100, 0)])), TABLE) == pytest.approx(10.1)


def test_a_short_run_never_reaches_its_feed():
    # A triangle: 2 sqrt(d / a) = 2 sqrt(0.25 / 100).
    assert pass_seconds(trip((10, [(0, 0), (0.25, 0)])), TABLE) == pytest.approx(0.1)


def test_a_right_angle_is_taken_from_rest_and_a_gentle_bend_at_full_feed():
    square = trip((10, [(0, 0), (100, 0), (100, 100)]))
    bend = trip((10, [(0, 0), (100, 0), (200, 10)]))
    assert pass_seconds(square, TABLE) == pytest.approx(2 * 10.1)
    assert pass_seconds(bend, TABLE) == pytest.approx((100 + math.hypot(100, 10)) / 10 + 0.1)


def test_a_rounding_of_short_steps_is_gone_round_as_fast_as_the_table_can_turn():
    # Round a circle of 1 mm: v = sqrt(a r) = 10 mm/s, however fast the feed; 2 pi r / v, and
    # half a ramp at each end of v / 2a, for over a ramp the wire goes at half its speed.
    ring = [(math.cos(t * math.pi / 90), math.sin(t * math.pi / 90)) for t in range(181)]
    assert pass_seconds(trip((30, ring)), TABLE) == pytest.approx(math.tau / 10 + 0.1, rel=1e-2)
    wide = [(100 * x, 100 * y) for x, y in ring]
    assert pass_seconds(trip((30, wide)), TABLE) == pytest.approx(
        math.tau * 100 / 30 + 0.3, rel=1e-3
    )


def test_the_table_brakes_before_a_slower_stretch_and_speeds_up_after_it():
    one = trip((10, [(0, 0), (100, 0)]), (4, [(100, 0), (120, 0)]), (10, [(120, 0), (220, 0)]))
    # Of each outer run 0.5 mm speeding up to 10 and 0.42 mm between 10 and 4 mm/s.
    outer = 0.10 + (10 - 4) / 100 + (100 - 0.5 - 0.42) / 10
    assert pass_seconds(one, TABLE) == pytest.approx(2 * outer + 20 / 4)


def test_it_looks_ahead_over_several_short_steps():
    # Twenty steps of 0.1 mm on end are one run of 2 mm: d / v + v / a.
    steps = [(i / 10, 0.0) for i in range(21)]
    assert pass_seconds(trip((10, steps)), TABLE) == pytest.approx(0.2 + 0.1)


def test_a_bow_keeps_its_feed():
    one = trip((10, [(0, 0), (100, 0), (100, 100)]))
    assert pass_seconds(one, Rig(kind="bow")) == pytest.approx(20)


@given(
    points=st.lists(
        st.tuples(st.integers(0, 50), st.integers(0, 50)), min_size=2, max_size=12, unique=True
    ),
    feeds=st.lists(st.floats(1, 30), min_size=12, max_size=12),
    acceleration=st.floats(1, 1000),
)
def test_no_pass_is_faster_than_its_feeds_nor_slower_than_with_a_stop_at_every_point(
    points, feeds, acceleration
):
    runs = list(zip(points[:-1], points[1:], feeds, strict=False))
    one = trip(*((feed, [a, b]) for a, b, feed in runs))
    least = sum(math.dist(a, b) / feed for a, b, feed in runs)
    seconds = pass_seconds(one, replace(TABLE, acceleration_mm_per_s2=acceleration))
    assert least <= seconds * (1 + 1e-9)
    # From rest to rest a run takes at most d / v + v / a if it reaches v, else 2 sqrt(d / a).
    most = sum(
        math.dist(a, b) / feed + feed / acceleration
        if math.dist(a, b) >= feed**2 / acceleration
        else 2 * math.sqrt(math.dist(a, b) / acceleration)
        for a, b, feed in runs
    )
    assert seconds <= most * (1 + 1e-9)


def test_the_check_simulates_the_time_again_and_finds_one_without_stops():
    plan = two_blocks()
    assert not [fault for fault in check_costs(plan).faults if "cutting_min" in fault.where]
    rushed = sum(m.line.length / m.feed_mm_per_s for p in plan.passes for m in p.moves) / 60
    wrong = replace(plan, estimate=replace(plan.estimate, cutting_min=rushed * 0.998))
    assert any("cutting_min" in fault.where for fault in check_costs(wrong).faults)
