"""Corners: slowed with a wider slot, or looped past, and the proof of both."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box
from small_plan import BRACKET, RING, piece, plan_of, workshop

from wirepath.checking.scene import scenes
from wirepath.checking.slot import check_slot
from wirepath.errors import SettingsError
from wirepath.estimating import slots_by_depth
from wirepath.kerf import kerf_basis, largest_miss
from wirepath.kerf.corners import Waste, driven, stretches
from wirepath.model import Placement, Plan
from wirepath.sheets.steps import steps
from wirepath.wording import ENGLISH
from wirepath.workshop import Cutting, TestCut

SQUARE = box(0, 0, 100, 100)

# By the law k = 0.40 + 4.80 / F: 1.00 mm at 8 mm/s, 1.60 mm at 4 mm/s.
SLOW = Cutting(kerf_mm=1.0, feed_mm_per_s=8.0, corner_feed_mm_per_s=4.0, corner_kerf_mm=1.6)
LOOPED = Cutting(kerf_mm=2.0, corner_loops=True)
ROOM = Waste(box(-500, -500, 500, 500), Point(400, 400).buffer(1), 8.0)


def planned(cutting: Cutting, *shapes: Polygon) -> Plan:
    shop = replace(workshop(), cutting=cutting)
    group = []
    for number, shape in enumerate(shapes, 1):
        made = piece(number, f"P{number}", f"P{number}", shape)
        group.append((made, Placement(piece=number, x_mm=40.0 + 450 * (number - 1), y_mm=40.0)))
    return plan_of(tuple(group), shop=shop)


def proof(plan: Plan) -> list[str]:
    cutting = plan.workshop.cutting
    found = check_slot(scenes(plan), cutting.feed_mm_per_s, cutting.corner_feed_mm_per_s)
    return [str(fault) for finding in found for fault in finding.faults]


# --- Slower ------------------------------------------------------------------------


def test_near_a_corner_the_wire_keeps_half_the_wider_kerf_off():
    way = driven(SQUARE, SLOW)
    at = {y: way.grown.boundary.intersection(LineString([(-5, y), (50, y)])).x for y in (5, 50)}
    assert at == pytest.approx({5: -0.8, 50: -0.5})


def test_the_slow_stretches_are_so_long_before_and_after_each_corner():
    way = driven(SQUARE, SLOW)
    # Each: 10 mm, an arc of a quarter with radius 0.8, 10 mm, and a little of the steps.
    assert way.slow.length == pytest.approx(4 * (20 + math.pi / 2 * 0.8), abs=0.4)


def test_slowed_corners_are_proved_with_the_width_of_their_own_feed():
    plan = planned(SLOW, BRACKET, RING)
    feeds = {move.feed_mm_per_s for move in plan.passes[0].moves if move.kind == "outline"}
    assert feeds == {4.0, 8.0}
    assert proof(plan) == []


def test_a_slot_wider_at_the_corners_than_planned_cuts_into_the_piece():
    plan = planned(SLOW, BRACKET)
    wider = replace(SLOW, corner_kerf_mm=1.9)
    faults = proof(replace(plan, workshop=replace(plan.workshop, cutting=wider)))
    assert "reaches 0.1" in faults[0]


def test_a_corner_run_at_the_usual_feed_leaves_foam_on_the_piece():
    plan = planned(SLOW, BRACKET)
    (one,) = plan.passes
    fast = tuple(replace(m, feed_mm_per_s=max(m.feed_mm_per_s, 8.0)) for m in one.moves)
    faults = proof(replace(plan, passes=(replace(one, moves=fast),)))
    assert any("the slot misses the outline by 0.30 mm" in fault for fault in faults)


def test_a_feed_nobody_knows_the_kerf_of_is_told():
    plan = planned(SLOW, BRACKET)
    (one,) = plan.passes
    odd = tuple(replace(m, feed_mm_per_s=5.0) if m.kind == "outline" else m for m in one.moves)
    faults = proof(replace(plan, passes=(replace(one, moves=odd),)))
    assert any("runs at 5 mm/s; the kerf is known at 8 mm/s" in fault for fault in faults)


def test_an_inner_corner_comes_out_rounder_where_it_is_slowed():
    # (sqrt 2 - 1) r, r half the kerf at the corner.
    made = piece(1, "B", "B", BRACKET)
    fast = replace(SLOW, corner_feed_mm_per_s=None, corner_kerf_mm=None)
    assert largest_miss(made, SLOW).miss_mm == pytest.approx((math.sqrt(2) - 1) * 0.8, abs=0.02)
    assert largest_miss(made, fast).miss_mm == pytest.approx((math.sqrt(2) - 1) * 0.5, abs=0.02)


def test_the_area_melted_counts_the_wider_slot():
    slow, fast = planned(SLOW, SQUARE), planned(replace(SLOW, corner_feed_mm_per_s=None), SQUARE)
    areas = [
        slot.area.area
        for p in (slow, fast)
        for slot in slots_by_depth(p.layouts[0], p.passes, p.workshop)
    ]
    # 4 corners: 20 mm by 0.6 mm, and a quarter of rings 1.6 and 1.0 mm wide round them.
    assert areas[0] - areas[1] == pytest.approx(48 + math.pi * (1.6**2 - 1), abs=3)


def test_a_stretch_cut_at_two_feeds_is_one_step_on_paper():
    plan = planned(SLOW, SQUARE)
    told = steps(plan, plan.layouts[0], ENGLISH)
    assert [step.kind for step in told].count("outline") == 1


@settings(deadline=None)
@given(
    at=st.lists(st.floats(0, 99), min_size=1, max_size=6),
    reach=st.floats(1, 60),
)
def test_stretches_cover_what_is_near_a_place_and_nothing_else(at, reach):
    found = stretches(at, reach, 100.0)
    for place in range(100):
        near = min(min(abs(place - a), 100 - abs(place - a)) for a in at)
        inside = any(s <= place <= e or s <= place + 100 <= e for s, e in found)
        assert inside or near >= reach - 1e-6
        assert not inside or near <= reach + 1e-6


@settings(max_examples=15, deadline=None)
@given(
    angles=st.lists(st.integers(0, 71), min_size=4, max_size=9, unique=True),
    radii=st.lists(st.floats(40, 150), min_size=9, max_size=9),
    loops=st.booleans(),
)
def test_any_star_is_cut_true_with_slow_corners_and_loops(angles, radii, loops):
    rays = [math.radians(5 * angle) for angle in sorted(angles)]
    star = Polygon(
        [(150 + r * math.cos(a), 150 + r * math.sin(a)) for a, r in zip(rays, radii, strict=False)]
    )
    if not star.is_valid or star.buffer(-3).geom_type != "Polygon" or star.buffer(-3).is_empty:
        return
    made = piece(1, "S", "S", star)
    cutting = replace(SLOW, corner_loops=loops)
    miss = largest_miss(made, cutting)
    if miss is not None and (miss.notch or miss.miss_mm > 2.0):
        return
    assert proof(planned(cutting, star)) == []


# --- Loops -------------------------------------------------------------------------


def test_a_loop_runs_on_past_the_corner_and_comes_back_on_the_new_direction():
    # The corner at 100, 0: the wire comes along y = -1 and leaves along x = 101.
    loops = driven(SQUARE, LOOPED, ROOM).loops
    assert [(101, -1), (111, -1), (101, -11), (101, -1)] in [
        [(round(x, 6), round(y, 6)) for x, y in loop.coords] for loop in loops
    ]
    assert len(loops) == 4


def test_loops_keep_off_other_pieces_the_rim_and_the_own_piece():
    # A neighbour 10 mm to the right leaves no room for slot, web and loop at two corners.
    near = replace(ROOM, others=box(111, 0, 150, 100))
    assert len(driven(SQUARE, LOOPED, near).loops) == 2
    assert driven(SQUARE, LOOPED, replace(ROOM, face=box(-2, -2, 102, 102))).loops == ()
    slotted = SQUARE.difference(box(40, 40, 46, 101))
    corners = {
        tuple(round(v) for v in loop.coords[0]) for loop in driven(slotted, LOOPED, ROOM).loops
    }
    assert (45, 101) not in corners


def test_a_corner_without_room_for_its_loop_is_slowed_instead():
    cutting = replace(SLOW, corner_loops=True)
    crowded = replace(ROOM, others=box(111, 0, 150, 100))
    way = driven(SQUARE, cutting, crowded)
    assert len(way.loops) == 2
    assert way.slow.length == pytest.approx(2 * (20 + math.pi / 2 * 0.8), abs=0.3)


def test_a_plan_with_loops_is_proved_and_its_lines_hold_them():
    plan = planned(LOOPED, SQUARE, RING)
    plain = planned(replace(LOOPED, corner_loops=False), SQUARE, RING)
    assert proof(plan) == []
    more = plan.estimate.wire.foam_mm - plain.estimate.wire.foam_mm
    # One corner is the entry's: three loops of 10 + 10 sqrt 2 + 10 mm, and sharp corners.
    assert more == pytest.approx(3 * (20 + 10 * math.sqrt(2)), abs=6)


# --- Settings ----------------------------------------------------------------------


def settle(**keys: object) -> Cutting:
    cuts = tuple(TestCut(feed_mm_per_s=f, kerf_mm=k) for f, k in ((4, 1.6), (8, 1.0)))
    given_keys = {"test_cuts": cuts, "feed_mm_per_s": 8.0, **keys}
    return kerf_basis(replace(workshop(), cutting=Cutting(**given_keys)), "EPS 15").cutting


def test_the_law_gives_the_kerf_at_the_corner_feed():
    assert settle(corner_feed_mm_per_s=4.0).corner_kerf_mm == pytest.approx(1.6)


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        ({"corner_feed_mm_per_s": 9.0}, "are not slower than the feed"),
        ({"corner_feed_mm_per_s": 4.0, "corner_kerf_mm": 0.8}, "a slower wire melts wider"),
        ({"corner_feed_mm_per_s": 4.0, "web_mm": 1.0}, "only 1 mm are left between slots"),
        ({"corner_feed_mm_per_s": 4.0, "kerf_mm": 1.0, "test_cuts": ()}, "nobody knows how wide"),
    ],
)
def test_corners_that_cannot_be_slowed_are_refused(keys, told):
    with pytest.raises(SettingsError, match=told):
        settle(**keys)
