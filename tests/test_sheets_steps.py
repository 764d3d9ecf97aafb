"""The wire's way in words, against layouts small enough to follow with a finger."""

from dataclasses import replace

import pytest
import sheet_specimens as specimens
from shapely import LineString, box

from wirepath.model import Move, Pass
from wirepath.sheets.steps import steps
from wirepath.wording import ENGLISH


def told(plan, layout=0):
    return [step.text for step in steps(plan, plan.layouts[layout], ENGLISH)]


def with_moves(*moves):
    """Return a plan of one 300 x 200 piece 'p' at 50, 50, with these moves as its only pass."""
    plan = specimens.make([("block 1000", 0.0, 500.0, [("p", box(0, 0, 300, 200), 50, 50, 0)])])
    lines = [
        Move(kind=kind, line=LineString(points), feed_mm_per_s=5.0, piece=piece)
        for kind, points, piece in moves
    ]
    return replace(plan, passes=(Pass(layout=1, number=1, moves=tuple(lines)),))


RING = [(50, 50), (350, 50), (350, 250), (50, 250), (50, 50)]


def test_one_piece_is_entered_cut_round_and_left():
    plan = with_moves(
        ("air", [(50, -20), (50, 0)], None),
        ("entry", [(50, 0), (50, 50)], None),
        ("outline", RING, 1),
        ("overrun", [(50, 50), (55, 50)], 1),
        ("slot", [(55, 50), (50, 50)], None),
        ("slot", [(50, 50), (50, 0)], None),
        ("air", [(50, 0), (50, -20)], None),
    )
    assert told(plan) == [
        "Wire on. Go in at mark IN 1: bottom edge, 50 mm across. Cut in to piece 1 (p).",
        "Cut round piece 1 (p), anticlockwise, back to where you began. Run on 5 mm, then back. "
        "It comes free: support it.",
        "Go back through the slot to the edge.",
        "Leave the foam. Wire off.",
    ]


def test_a_step_takes_as_long_as_its_moves_each_at_its_own_feed():
    plan = with_moves(
        ("air", [(50, -20), (50, 0)], None),
        ("entry", [(50, 0), (50, 50)], None),
        ("outline", RING[:2], 1),
        ("outline", RING[1:], 1),
    )
    first, second, slow, fast = plan.passes[0].moves
    moves = (first, second, replace(slow, feed_mm_per_s=2.0), fast)
    plan = replace(plan, passes=(replace(plan.passes[0], moves=moves),))
    (line,) = [one for one in steps(plan, plan.layouts[0], ENGLISH) if one.kind == "outline"]
    assert line.seconds == pytest.approx(300 / 2 + 700 / 5)


def test_a_line_on_the_rim_is_entered_where_it_begins():
    plan = with_moves(
        ("air", [(50, -20), (50, 50)], None),
        ("outline", RING, 1),
        ("air", [(50, 50), (50, 0)], None),
    )
    assert told(plan)[0].startswith("Wire on. Go in at mark IN 1: left edge, 50 mm up.")
    assert told(plan)[-1] == "Leave the foam. Wire off."


def test_a_line_run_the_other_way_round_is_called_clockwise():
    plan = with_moves(("entry", [(50, 0), (50, 50)], None), ("outline", RING[::-1], 1))
    assert "clockwise, back" in told(plan)[1]
    assert "anticlockwise" not in told(plan)[1]


def test_a_piece_comes_free_only_when_its_line_closes():
    plan = with_moves(
        ("entry", [(50, 0), (50, 50)], None),
        ("outline", RING[:3], 1),
        ("link", [(350, 250), (400, 250)], None),
        ("slot", [(400, 250), (350, 250)], None),
        ("outline", RING[2:], 1),
    )
    texts = told(plan)
    assert texts[1] == "Cut along piece 1 (p), anticlockwise, as far as step 3."
    assert texts[2] == "Cut 50 mm through waste to piece 1 (p)."
    assert texts[4] == (
        "Cut on round piece 1 (p), anticlockwise, back to where its line began. "
        "It comes free: support it."
    )


def test_a_line_never_closed_frees_nothing():
    plan = with_moves(("entry", [(50, 0), (50, 50)], None), ("outline", RING[:4], 1))
    assert "free" not in " ".join(told(plan))


def test_a_heavy_piece_says_how_many_lift_it():
    plan = with_moves(("entry", [(50, 0), (50, 50)], None), ("outline", RING, 1))
    heavy = replace(plan, estimate=replace(plan.estimate, piece_weights_kg=((1, 20.0),)))
    assert "It comes free and weighs 20.0 kg: two people." in told(heavy)[1]


@pytest.mark.parametrize(
    ("start", "place"),
    [
        ((0, 120), "left edge, 120 mm up"),
        ((120, 0), "bottom edge, 120 mm across"),
        ((1000, 120), "right edge, 120 mm up"),
        ((120, 600), "top edge, 120 mm across"),
    ],
)
def test_entries_are_told_from_the_datum_corner(start, place):
    plan = with_moves(("entry", [start, (500, 300)], None), ("outline", RING, 1))
    assert place in told(plan)[0]


def test_every_metre_cut_is_told_once():
    """The lengths of the steps add up to the estimate's wire length, overruns aside."""
    plan = specimens.letters()
    found = steps(plan, plan.layouts[0], ENGLISH)
    cut = sum(
        LineString(step.points).length
        for step in found
        if step.kind in ("entry", "outline", "hole", "link", "slit")
    )
    assert cut == pytest.approx(plan.estimate.wire.foam_mm, abs=0.1)


def test_every_piece_and_every_hole_comes_free_once():
    plan = specimens.letters()
    found = steps(plan, plan.layouts[0], ENGLISH)
    freed = [(step.piece, step.kind) for step in found if step.freed is not None]
    assert sorted(freed) == [
        (1, "hole"), (1, "outline"), (2, "outline"), (3, "outline"), (4, "outline"),
        (5, "outline"), (6, "hole"), (6, "outline"),
    ]  # fmt: skip


def test_steps_count_from_1_without_gaps():
    plan = specimens.letters()
    found = steps(plan, plan.layouts[0], ENGLISH)
    assert [step.number for step in found] == list(range(1, len(found) + 1))
