"""A level wire: what lies higher comes free first, and what cannot is told to be held."""

from __future__ import annotations

from dataclasses import replace

import pytest
import sweeping
from foam_layouts import CUTTING, laid, layouts, plan_of, scattered
from hypothesis import HealthCheck, given, settings
from shapely import Polygon, box
from small_plan import BRACKET, piece, workshop
from small_plan import plan_of as priced_plan

from wirepath.checking.scene import scenes
from wirepath.checking.standing import check_standing
from wirepath.coordinates import write_coordinates
from wirepath.kerf import wire_lines
from wirepath.model import Placement
from wirepath.routing import held, route
from wirepath.routing.standing import stands_on
from wirepath.sheets.steps import steps
from wirepath.wording import ENGLISH
from wirepath.workshop import Rig

LEVEL = Rig(wire_lies="level")


def freed(outlines, width=1000.0, height=1000.0) -> list[int | None]:
    """Return the pieces in the order in which a level wire frees them."""
    layout, pieces = laid(outlines, width, height)
    passes = route(layout, wire_lines(layout, pieces, CUTTING), pieces, CUTTING, LEVEL)
    moves = [move for one in passes for move in one.moves]
    last = {move.piece: at for at, move in enumerate(moves) if move.piece}
    return sorted(last, key=lambda number: last[number])


def test_of_two_that_share_a_slanting_edge_only_one_stands_on_the_other():
    # Sampled with some width the edge once lay both above and below itself: hooks, it seemed.
    lower = Polygon([(0, 0), (300, 0), (0, 300)]).exterior
    upper = Polygon([(300, 0), (300, 300), (0, 300)]).exterior
    assert stands_on([upper, lower]).tolist() == [[False, True], [False, False]]


def planned(layout, pieces):
    """Return the plan with its passes under a level wire, and what is to be held."""
    lines = wire_lines(layout, pieces, CUTTING)
    passes = route(layout, lines, pieces, CUTTING, LEVEL)
    layout = replace(layout, held=held(lines, passes))
    plan = plan_of(layout, pieces, passes)
    return replace(plan, workshop=replace(plan.workshop, rig=LEVEL))


def test_of_two_pieces_one_above_the_other_the_upper_one_comes_first():
    assert freed([box(100, 100, 300, 200), box(100, 240, 300, 340)]) == [2, 1]
    assert freed([box(100, 240, 300, 340), box(100, 100, 300, 200)]) == [1, 2]


def test_a_lip_of_two_mm_over_a_piece_does_not_make_it_a_hook():
    under = Polygon(
        [
            (100, 50),
            (330, 50),
            (330, 400),
            (298, 400),
            (298, 350),
            (310, 350),
            (310, 150),
            (100, 150),
        ]
    )
    outlines = [under, box(20, 200, 300, 300)]
    assert freed(outlines) == [2, 1]
    assert check_standing(scenes(planned(*laid(outlines, 1000, 1000)))).passed


def test_a_wall_of_three_courses_is_taken_down_from_the_top():
    # Stones of 180 x 80 mm, the second course half a stone over, as a wall is built.
    wall = [
        box(100 + 200 * i + shift, 100 + 100 * row, 280 + 200 * i + shift, 180 + 100 * row)
        for row, shift in enumerate((0, 100, 0))
        for i in range(3)
    ]
    order = freed(wall)
    course = {number: (number - 1) // 3 for number in order}
    for stone in (7, 8, 9):
        under = [n for n in order if course[n] < 2 and _over(wall[stone - 1], wall[n - 1])]
        assert all(order.index(stone) < order.index(n) for n in under)
    assert len(order) == 9


def _over(upper: Polygon, lower: Polygon) -> bool:
    west, east = max(upper.bounds[0], lower.bounds[0]), min(upper.bounds[2], lower.bounds[2])
    return east > west


def test_the_wire_does_not_enter_where_the_foam_stands_on_the_table():
    layout, pieces = laid([box(400, 20, 500, 120)], 1000, 1000)
    passes = route(layout, wire_lines(layout, pieces, CUTTING), pieces, CUTTING, LEVEL)
    (entry,) = [move for one in passes for move in one.moves if move.kind == "entry"]
    assert entry.line.coords[0][1] > 0


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(scene=layouts(most=9))
def test_on_any_layout_pieces_come_free_from_above_or_are_told_to_be_held(scene, tmp_path):
    layout, pieces = scene
    if not pieces:
        return
    plan = planned(layout, pieces)
    assert check_standing(scenes(plan)).faults == ()
    (path,) = write_coordinates(plan, tmp_path)
    assert (
        sweeping.complaints(
            path,
            face=box(0, 0, layout.width_mm, layout.height_mm),
            pieces={one.number: one.outline for one in pieces},
            kerf_mm=CUTTING.kerf_mm,
            lead_in_mm=CUTTING.lead_in_mm,
        )
        == []
    )


def test_of_a_hundred_ragged_pieces_none_has_to_be_held():
    layout, pieces = scattered(100, seed=4)
    plan = planned(layout, pieces)
    assert plan.layouts[0].held == ()
    finding = check_standing(scenes(plan))
    assert finding.passed
    assert int(finding.measured.split()[0]) > 100


# --- That the check can fail ---------------------------------------------------------


@pytest.mark.parametrize("by_hand", [(), (2,)])
def test_a_piece_freed_after_the_one_it_stands_on_is_told_unless_it_is_held(by_hand):
    layout, pieces = laid([box(100, 100, 300, 200), box(100, 240, 300, 340)], 1000, 1000)
    lower, upper = (
        route(layout, (line,), pieces, CUTTING)[0] for line in wire_lines(layout, pieces, CUTTING)
    )
    passes = (lower, replace(upper, number=2))
    plan = plan_of(replace(layout, held=by_hand), pieces, passes)
    told = [str(fault) for fault in check_standing(scenes(plan)).faults]
    wrong = (
        "layout 1, piece 2, near x 200.0, y 290.0 mm: comes free after piece 1, on which it stands"
    )
    assert told == ([] if by_hand else [wrong])


def test_a_piece_held_for_nothing_is_told():
    layout, pieces = laid([box(100, 100, 300, 200), box(100, 240, 300, 340)], 1000, 1000)
    plan = planned(layout, pieces)
    plan = replace(plan, layouts=(replace(plan.layouts[0], held=(1,)),))
    (fault,) = check_standing(scenes(plan)).faults
    assert fault.what == "is to be held, it says, but rests on foam that stands"


def test_the_step_of_a_held_piece_says_so():
    shop = replace(workshop(), rig=LEVEL)
    placed = (piece(1, "One", "One", BRACKET), Placement(piece=1, x_mm=30.0, y_mm=30.0))
    plan = priced_plan((placed,), shop=shop)
    plan = replace(plan, layouts=(replace(plan.layouts[0], held=(1,)),))
    texts = [step.text for step in steps(plan, plan.layouts[0], ENGLISH)]
    assert any(ENGLISH.step_hold in text for text in texts)
