"""The feed on ways back through slots: faster, in slots only, and timed so."""

from __future__ import annotations

from dataclasses import replace

import pytest
from foam_layouts import CUTTING, laid, plan_of
from shapely import Point, box
from small_plan import workshop

from wirepath.checking.scene import scenes
from wirepath.checking.slot import check_slot
from wirepath.errors import SettingsError
from wirepath.kerf import settled
from wirepath.timing import pass_seconds
from wirepath.workshop import Rig

FAST = replace(CUTTING, slot_feed_mm_per_s=4 * CUTTING.feed_mm_per_s)
SCENE = laid(
    [box(60, 60, 160, 160).difference(Point(110, 110).buffer(20)), box(200, 70, 260, 150)], 320, 220
)


def feeds(plan, kind: str) -> set[float]:
    return {move.feed_mm_per_s for one in plan.passes for move in one.moves if move.kind == kind}


def wrong(plan, **asked) -> list[str]:
    spared, _ = check_slot(scenes(plan), CUTTING.feed_mm_per_s, **asked)
    return [fault.what for fault in spared.faults if "runs at" in fault.what]


def test_only_ways_back_through_slots_go_faster():
    plan = plan_of(*SCENE, cutting=FAST)
    assert feeds(plan, "slot") == {FAST.slot_feed_mm_per_s}
    for kind in ("outline", "hole", "slit", "link", "overrun"):
        assert feeds(plan, kind) <= {CUTTING.feed_mm_per_s}


def test_the_ways_are_the_same_and_take_less_time_by_what_the_slots_are_faster():
    usual, fast = plan_of(*SCENE), plan_of(*SCENE, cutting=FAST)
    ways = [[move.line for one in plan.passes for move in one.moves] for plan in (usual, fast)]
    assert ways[0] == ways[1]
    # By hand no speeding up is counted: length / feed, so three quarters of the slots' time go.
    by_hand = Rig(kind="bow")
    times = [sum(pass_seconds(one, by_hand) for one in plan.passes) for plan in (usual, fast)]
    back = sum(m.length_mm for one in usual.passes for m in one.moves if m.kind == "slot")
    assert times[0] - times[1] == pytest.approx(0.75 * back / CUTTING.feed_mm_per_s)


def test_the_check_takes_the_feed_that_is_asked_for_and_no_other():
    plan = plan_of(*SCENE, cutting=FAST)
    assert wrong(plan, slot_feed_mm_per_s=FAST.slot_feed_mm_per_s) == []
    assert any("a move 'slot' runs at 20 mm/s" in what for what in wrong(plan))


def test_a_cut_at_the_slots_feed_is_refused():
    plan = plan_of(*SCENE, cutting=FAST)
    (one,) = plan.passes
    moves = tuple(
        replace(move, feed_mm_per_s=20.0) if move.kind == "outline" else move for move in one.moves
    )
    plan = replace(plan, passes=(replace(one, moves=moves),))
    told = wrong(plan, slot_feed_mm_per_s=20.0)
    assert any("a move 'outline' runs at 20 mm/s" in what for what in told)


def test_back_through_slots_slower_than_the_feed_is_refused():
    shop = workshop()
    with pytest.raises(SettingsError, match="slower than the feed of 5 mm/s: it would widen them"):
        settled(replace(shop, cutting=replace(shop.cutting, slot_feed_mm_per_s=4.0)), "EPS 15")
