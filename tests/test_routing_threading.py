"""Threaded holes: where the wire is put through, in which order, what is told and proved."""

from __future__ import annotations

from dataclasses import replace

import pytest
import sweeping
from foam_layouts import CUTTING, laid, layouts, plan_of, shapes
from hypothesis import HealthCheck, given, settings
from shapely import LineString, Point, box
from shapely.affinity import translate
from small_plan import RING, piece, workshop
from small_plan import plan_of as priced_plan
from test_checking_specimen import MOVES, PLAN, told, with_moves
from test_checking_specimen import move as moved

from wirepath.coordinates import coordinate_text, read_coordinates, word_text, write_coordinates
from wirepath.kerf import wire_lines
from wirepath.model import Layout, Pass, Piece, Placement
from wirepath.routing import route
from wirepath.sheets.steps import steps
from wirepath.wording import ENGLISH
from wirepath.workshop import Cutting

THREAD = replace(CUTTING, holes="thread")


def passes_of(layout: Layout, pieces: tuple[Piece, ...], cutting: Cutting = THREAD):
    return route(layout, wire_lines(layout, pieces, cutting), pieces, cutting)


def proved(layout: Layout, pieces: tuple[Piece, ...], folder) -> list[str]:
    (path,) = write_coordinates(plan_of(layout, pieces, cutting=THREAD), folder)
    return sweeping.complaints(
        path,
        face=box(0, 0, layout.width_mm, layout.height_mm),
        pieces={one.number: one.outline for one in pieces},
        kerf_mm=THREAD.kerf_mm,
        lead_in_mm=THREAD.lead_in_mm,
    )


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(scene=layouts())
def test_on_any_layout_with_threaded_holes_the_written_file_frees_every_piece(scene, tmp_path):
    layout, pieces = scene
    if pieces:
        assert proved(layout, pieces, tmp_path) == []
        moves = [move for one in passes_of(layout, pieces) for move in one.moves]
        assert not any(move.kind == "slit" for move in moves)


def test_a_threaded_hole_is_a_pass_of_its_own_that_begins_so_far_off_its_line():
    # A hole of 80 x 80 mm, kerf 3: the line is 77 mm wide, the clear middle 77 - 2 x 15 = 47.
    frame = box(100, 100, 300, 300).difference(box(160, 160, 240, 240))
    layout, pieces = laid([frame], 400, 400)
    hole, rest = passes_of(layout, pieces)
    assert hole.is_threaded
    assert [move.kind for move in hole.moves] == ["thread", "hole", "overrun", "slot", "slot"]
    assert hole.moves[0].line.coords[0] == (176.5, 176.5)
    assert hole.moves[0].line.length == pytest.approx(15, abs=0.001)
    assert hole.moves[-1].line.coords[-1] == (176.5, 176.5)
    assert not rest.is_threaded
    assert rest.moves[0].kind == "air"


def test_a_narrow_hole_is_threaded_where_it_has_the_most_room():
    plate = box(100, 100, 300, 300).difference(Point(200, 200).buffer(10))
    layout, pieces = laid([plate], 400, 400)
    hole, _ = passes_of(layout, pieces)
    assert hole.moves[0].line.coords[0] == pytest.approx((200, 200), abs=0.2)


def test_inner_holes_are_threaded_before_those_they_lie_in():
    outlines = shapes()["ring in a ring with a disc in it"]
    layout, pieces = laid([translate(outline, 200, 200) for outline in outlines], 400, 400)
    assert [one.moves[0].piece for one in passes_of(layout, pieces)] == [2, 1, None]


def test_one_part_may_be_threaded_where_the_shop_slits():
    rings = [Point(x, 200).buffer(80).difference(Point(x, 200).buffer(40)) for x in (120, 320)]
    layout, pieces = laid(rings, 440, 400)
    pieces = (replace(pieces[0], holes="thread"), pieces[1])
    passes = passes_of(layout, pieces, CUTTING)
    assert [one.is_threaded for one in passes] == [True, False]
    assert [move.piece for move in passes[1].moves if move.kind == "slit"] == [2]


# --- What is told --------------------------------------------------------------------


def ring_plan():
    shop = workshop()
    shop = replace(shop, cutting=replace(shop.cutting, holes="thread", thread_min=7.0))
    placed = (piece(1, "Ring 1", "Ring", RING), Placement(piece=1, x_mm=20.0, y_mm=20.0))
    return priced_plan((placed,), shop=shop)


def test_the_steps_say_where_to_make_the_hole_and_that_the_power_is_off():
    plan = ring_plan()
    texts = [step.text for step in steps(plan, plan.layouts[0], ENGLISH)]
    assert texts[0].startswith(
        "Wire off, unplugged, cold. Make a hole through the foam at mark T 1"
    )
    assert "No wider than 30 mm" in texts[0]
    assert texts[1] == "Wire on. Cut 15 mm through waste to the hole in piece 1 (Ring 1)."
    assert texts[3] == ENGLISH.step_unthread
    assert texts[4].startswith("Wire on. Go in at mark IN 1")


def test_a_threading_takes_its_minutes():
    assert ring_plan().estimate.setup_min == 10 + 7


def test_the_files_say_where_the_wire_is_threaded_and_read_back_the_same(tmp_path):
    plan = ring_plan()
    text = coordinate_text(plan, plan.layouts[0])
    x, y = plan.passes[0].moves[0].line.coords[0]
    assert f"# pass 1: begins in the foam, at x {x:.3f}, y {y:.3f}: power off, wire cold" in text
    path = tmp_path / "one.csv"
    path.write_text(text, newline="")
    assert read_coordinates(path).passes[0].is_threaded
    words = word_text(plan, plan.layouts[0])
    assert words.count("M0") == 3


# --- That the check can fail ---------------------------------------------------------

HOLE = (
    moved("thread", (70, 70), (51, 70), piece=1),
    moved("hole", (51, 70), (51, 51), (89, 51), (89, 89), (51, 89), (51, 70), piece=1),
    moved("slot", (51, 70), (70, 70)),
)
REST = (*MOVES[:2], *MOVES[6:])


def threaded(*hole, holes="thread"):
    pieces = (replace(PLAN.pieces[0], holes=holes), PLAN.pieces[1])
    passes = (Pass(layout=1, number=1, moves=hole), Pass(layout=1, number=2, moves=REST))
    return replace(PLAN, pieces=pieces, passes=passes)


def test_the_plan_made_by_hand_holds_when_its_hole_is_threaded():
    assert told(threaded(*HOLE), 3) == ""
    assert told(threaded(*HOLE), 2) == ""


def test_a_hole_threaded_though_not_asked_is_told():
    assert "a hole of piece 1 is threaded, which is not asked" in told(
        threaded(*HOLE, holes=None), 3
    )


def test_a_slit_where_threading_is_asked_is_told():
    plan = replace(PLAN, pieces=(replace(PLAN.pieces[0], holes="thread"), PLAN.pieces[1]))
    assert "a hole of piece 1 is slit, which is not asked" in told(plan, 3)


def test_a_wire_threaded_through_a_piece_is_told():
    through = replace(HOLE[0], line=LineString([(30, 70), (51, 70)]))
    back = replace(HOLE[2], line=LineString([(51, 70), (30, 70)]))
    text = told(threaded(through, HOLE[1], back), 3)
    assert "the wire is threaded through piece 1" in text
    assert "the wire is threaded in no hole of piece 1" in text


def test_a_threaded_pass_that_ends_elsewhere_is_told():
    short = replace(HOLE[2], line=LineString([(51, 70), (60, 70)]))
    assert "does not end where the wire was threaded" in told(threaded(HOLE[0], HOLE[1], short), 3)


def test_threading_in_the_middle_of_a_pass_is_told():
    late = replace(MOVES[7], kind="thread", piece=1)
    assert "threaded in the middle of a pass" in told(with_moves(*MOVES[:7], late, *MOVES[8:]), 3)
