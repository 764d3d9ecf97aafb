"""Promise 3, each fault shown: one unbroken line from air to air."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString
from test_checking_specimen import MOVES, PLAN, move, told, with_move, with_moves

from wirepath.model import Pass


def test_a_dropped_move_leaves_a_gap_that_is_told() -> None:
    # Without the link (step 8) the outline of the bar starts 18 mm further on.
    assert "pass 1, move 8, near x 139.0, y 70.0 mm: the move starts 18.000 mm from the end" in (
        told(with_moves(*MOVES[:7], *MOVES[8:]), 3)
    )


@pytest.mark.parametrize(("gap", "passes"), [(1e-7, True), (1e-3, False)])
def test_moves_join_to_a_millionth_of_a_millimetre(gap: float, passes: bool) -> None:
    jumped = move("air", (0, 70 + gap), (-20, 70))
    assert (told(with_move(15, jumped), 3) == "") is passes


def test_a_pass_that_starts_in_the_foam_is_told() -> None:
    text = told(with_moves(*MOVES[2:]), 3)
    assert "pass 1, move 1, near x 19.0, y 70.0 mm: the pass starts in the foam" in text


def test_a_pass_that_ends_in_the_foam_is_told() -> None:
    text = told(with_moves(*MOVES[:13]), 3)
    assert "move 13, near x 19.0, y 65.0 mm: the pass ends in the foam: the wire cannot lift" in (
        text
    )


def test_lifting_the_wire_over_the_foam_is_told_as_air_in_the_foam() -> None:
    lifted = replace(MOVES[7], kind="air")
    assert told(with_move(8, lifted), 3) == (
        "layout 1, pass 1, move 8, near x 121.0, y 70.0 mm: "
        "a move 'air' runs 18.00 mm through the foam"
    )


def test_air_back_along_a_slot_is_not_air() -> None:
    assert "a move 'air' runs" in told(with_move(14, replace(MOVES[13], kind="air")), 3)


def test_a_slot_move_where_nothing_was_cut_is_told_with_its_length() -> None:
    slot = replace(MOVES[7], kind="slot")
    # 18 mm from line to line, less 0.05 mm on the frame's own earlier line.
    assert told(with_move(8, slot), 3) == (
        "layout 1, pass 1, move 8, near x 121.0, y 70.0 mm: "
        "a move 'slot' leaves the earlier slot for 17.95 mm"
    )


def test_a_slot_cut_only_later_does_not_count() -> None:
    """The way out before the way in: the same lines, in the wrong order."""
    early = move("slot", (0, 70), (19, 70))
    assert "move 2" in told(with_move(2, early), 3)


def test_an_overrun_into_fresh_foam_is_told() -> None:
    fresh = (move("overrun", (19, 70), (14, 70)), move("slot", (14, 70), (19, 70)))
    # The frame closes at 19, 70; 5 mm to the left runs in the entry's slot: fine.
    assert told(with_moves(*MOVES[:12], *fresh, move("slot", (19, 70), (0, 70)), MOVES[14]), 3) == (
        ""
    )
    # 5 x 1.414 = 7.07 mm, less 0.07 mm within 0.05 mm of the earlier line.
    stray = (move("overrun", (19, 70), (14, 75)), move("slot", (14, 75), (19, 70)))
    text = told(with_moves(*MOVES[:12], *stray, move("slot", (19, 70), (0, 70)), MOVES[14]), 3)
    assert "a move 'overrun' leaves the earlier slot for 7.00 mm" in text


@pytest.mark.parametrize("feed", [0, -5, float("nan"), float("inf")])
def test_a_feed_that_is_no_feed_is_told(feed: float) -> None:
    text = told(with_move(1, replace(MOVES[0], feed_mm_per_s=feed)), 3)
    assert text == (
        "layout 1, pass 1, move 1, near x -20.0, y 70.0 mm: "
        f"a move 'air' has a feed of {feed:g} mm/s"
    )


def test_a_cut_along_no_piece_of_the_layout_is_told() -> None:
    assert "names piece None, which is not on this layout" in (
        told(with_move(9, replace(MOVES[8], piece=None)), 3)
    )
    assert "names piece 3" in told(with_move(9, replace(MOVES[8], piece=3)), 3)


def test_a_pass_without_moves_is_told() -> None:
    empty = Pass(layout=1, number=2, moves=())
    plan = replace(PLAN, passes=(*PLAN.passes, empty))
    assert told(plan, 3) == "layout 1, pass 2: the pass has no moves"


def test_a_later_pass_may_use_the_slot_of_an_earlier_one() -> None:
    again = Pass(
        layout=1,
        number=2,
        moves=(
            move("air", (-20, 70), (0, 70)),
            move("slot", (0, 70), (19, 70), (0, 70)),
            move("air", (0, 70), (-20, 70)),
        ),
    )
    assert told(replace(PLAN, passes=(*PLAN.passes, again)), 3) == ""


def test_points_rounded_to_hundredths_as_in_a_file_still_pass() -> None:
    shifted = tuple(
        replace(one, line=LineString([(x + 0.004, y) for x, y in one.line.coords])) for one in MOVES
    )
    assert told(with_moves(*shifted), 3) == ""
    assert told(with_moves(*shifted), 2) == ""
