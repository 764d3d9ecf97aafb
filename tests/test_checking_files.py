"""Promises 6 and 7, each fault shown: what was written says what the plan says, every time."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString
from test_checking_specimen import MOVES, PLAN, move, with_moves

from wirepath import checking
from wirepath.checking import Finding
from wirepath.model import Move, Pass

ORDER = {
    "stock": "small block",
    "foam": "EPS 15",
    "length_mm": "400",
    "width_mm": "300",
    "thickness_mm": "100",
    "needed": "1",
    "spare": "1",
    "to_order": "2",
    "price_each": "12.00",
    "price": "24.00",
    "volume_m3": "0.024",
    "weight_kg": "0.36",
}
FRAME = {
    "number": "1",
    "name": "frame",
    "part": "frame",
    "block": "1",
    "layout": "1",
    "x_mm": "20.0",
    "y_mm": "20.0",
    "angle_deg": "0",
    "flipped": "no",
    "width_mm": "100.0",
    "height_mm": "100.0",
    "thickness_mm": "50.0",
    "allowance_mm": "0.0",
    "miss_mm": "0.414",
    "miss_x_mm": "30",
    "miss_y_mm": "30",
    "foam": "EPS 15",
    "volume_litres": "0.42",
    "weight_kg": "0.006",
}
BAR = FRAME | {
    "number": "2",
    "name": "bar",
    "part": "bar",
    "x_mm": "200.0",
    "y_mm": "-100.0",
    "angle_deg": "90",
    "height_mm": "60.0",
    "miss_mm": "0",
    "miss_x_mm": "",
    "miss_y_mm": "",
    "volume_litres": "0.30",
    "weight_kg": "0.005",
}
SHEET = {
    "number": "1",
    "name": "R1",
    "block": "1",
    "layout": "1",
    "x_mm": "202.0",
    "y_mm": "10.0",
    "width_mm": "188.0",
    "height_mm": "280.0",
    "from_mm": "10.0",
    "thickness_mm": "50.0",
    "volume_litres": "2.63",
    "roughing_cut": "",
    "weight_kg": "0.039",
}
SLAB = SHEET | {
    "number": "2",
    "name": "R2",
    "layout": "",
    "x_mm": "10",
    "width_mm": "380",
    "from_mm": "62",
    "thickness_mm": "28",
    "volume_litres": "2.98",
    "weight_kg": "0.045",
}


def checked(
    passes: dict[int, tuple[Pass, ...]] | None = None,
    order: list[dict[str, str]] | None = None,
    pieces: list[dict[str, str]] | None = None,
    offcuts: list[dict[str, str]] | None = None,
) -> tuple[Finding, ...]:
    """Return the findings of the right files, some of them changed."""
    return checking.check_files(
        PLAN,
        {1: PLAN.passes} if passes is None else passes,
        [ORDER] if order is None else order,
        [FRAME, BAR] if pieces is None else pieces,
        [SHEET, SLAB] if offcuts is None else offcuts,
    )


def told(proof: tuple[Finding, ...]) -> str:
    assert all(finding.promise == 6 for finding in proof)
    assert all(finding.passed is not bool(finding.faults) for finding in proof)
    return "\n".join(str(fault) for finding in proof for fault in finding.faults)


def file_of(*moves: Move) -> dict[int, tuple[Pass, ...]]:
    return {1: (Pass(layout=1, number=1, moves=moves),)}


def test_files_that_say_what_the_plan_says_pass() -> None:
    proof = checked()
    assert told(proof) == ""
    assert [finding.measured for finding in proof] == [
        "1 files, 45 points compared to 0.006 mm",
        "1 rows compared",
        "0 rows compared",
        "2 rows compared",
        "2 rows compared",
    ]


# --- Coordinates -------------------------------------------------------------------


def test_coordinates_rounded_to_hundredths_pass_a_tenth_does_not() -> None:
    assert told(checked(file_of(move("air", (-20.004, 70), (0, 70)), *MOVES[1:]))) == ""
    text = told(checked(file_of(move("air", (-20.1, 70), (0, 70)), *MOVES[1:])))
    assert text == (
        "layout 1, pass 1, near x -20.0, y 70.0: another point in the file than in the plan"
    )


def test_a_dropped_point_another_feed_kind_or_piece_are_told() -> None:
    assert "29 straight moves in the file, 30 in the plan" in told(checked(file_of(*MOVES[:14])))
    slow = replace(MOVES[8], feed_mm_per_s=4)
    assert "near x 139.0, y 70.0: another feed in the file" in (
        told(checked(file_of(*MOVES[:8], slow, *MOVES[9:])))
    )
    lifted = replace(MOVES[7], kind="air")
    assert "near x 121.0, y 70.0: another kind or piece in the file" in (
        told(checked(file_of(*MOVES[:7], lifted, *MOVES[8:])))
    )
    other = replace(MOVES[8], piece=1)
    assert "near x 139.0, y 70.0: another kind or piece in the file" in (
        told(checked(file_of(*MOVES[:8], other, *MOVES[9:])))
    )


def test_moves_of_one_kind_may_be_written_as_one() -> None:
    """The file may join or part moves: the wire's way is what counts."""
    first, second = move("entry", (0, 70), (19, 70)).line.coords
    middle = (9.5, 70.0)
    plan = with_moves(
        MOVES[0], move("entry", first, middle), move("entry", middle, second), *MOVES[2:]
    )
    joined = file_of(
        MOVES[0],
        Move(kind="entry", line=LineString([first, middle, second]), feed_mm_per_s=5),
        *MOVES[2:],
    )
    assert checking.check_files(plan, joined, [ORDER], [FRAME, BAR], [SHEET, SLAB])[0].passed


def test_missing_and_surplus_files_and_passes_are_told() -> None:
    assert "layout 1: passes [] in the file, [1] in the plan" in told(checked({}))
    assert "layout 2: there is a coordinate file, but no such layout" in (
        told(checked({1: PLAN.passes, 2: PLAN.passes}))
    )
    assert "layout 1: passes [1] in the file, [1] in the plan" in (
        told(checked({1: PLAN.passes * 2}))
    )
    elsewhere = (replace(PLAN.passes[0], layout=3),)
    assert "layout 1, pass 1: the file states layout 3" in told(checked({1: elsewhere}))


# --- Tables ------------------------------------------------------------------------


@pytest.mark.parametrize("column", sorted(set(ORDER) - {"stock"}))
def test_every_column_of_the_order_is_compared(column: str) -> None:
    wrong = ORDER | {column: ORDER[column] + "1"}
    text = told(checked(order=[wrong]))
    if column in ("volume_m3", "weight_kg", "price", "price_each"):
        wrong = ORDER | {column: str(float(ORDER[column]) + 0.06)}
        text = told(checked(order=[wrong]))
    assert f"order list, stock small block, {column}: " in text


@pytest.mark.parametrize("column", sorted(set(FRAME) - {"number"}))
def test_every_column_of_the_pieces_is_compared(column: str) -> None:
    right = FRAME[column]
    wrong = str(float(right) + 0.06) if "." in right else {"no": "yes"}.get(right, right + "1")
    assert f"piece list, number 1, {column}: {wrong!r} in the list" in (
        told(checked(pieces=[FRAME | {column: wrong}, BAR]))
    )


@pytest.mark.parametrize("column", sorted(set(SHEET) - {"number"}))
def test_every_column_of_the_offcuts_is_compared(column: str) -> None:
    right = SHEET[column]
    wrong = str(float(right) + 0.06) if "." in right else right + "1"
    assert f"offcut list, number 1, {column}: {wrong!r} in the list" in (
        told(checked(offcuts=[SHEET | {column: wrong}, SLAB]))
    )


def test_a_piece_may_be_told_by_where_it_lies() -> None:
    """The turned bar's lower left corner is 140, 20; it lies 60 wide and 100 high."""
    lying = BAR | {"x_mm": "140.0", "y_mm": "20", "width_mm": "60", "height_mm": "100.0"}
    assert told(checked(pieces=[FRAME, lying])) == ""


@pytest.mark.parametrize("text", ["", "many", "nan", "1e400"])
def test_a_figure_that_is_no_number_is_told(text: str) -> None:
    assert "weight_kg" in told(checked(order=[ORDER | {"weight_kg": text}]))


def test_a_missing_column_is_told() -> None:
    less = {column: text for column, text in FRAME.items() if column != "weight_kg"}
    assert "piece list, number 1, weight_kg: None in the list, 0.0063 in the plan" in (
        told(checked(pieces=[less, BAR]))
    )


def test_missing_double_and_unknown_rows_are_told() -> None:
    assert "piece list, number 2: is in the plan, but not in the list" in (
        told(checked(pieces=[FRAME]))
    )
    assert "piece list, number 1: stands there twice" in (told(checked(pieces=[FRAME, BAR, FRAME])))
    assert "piece list, row 3, number '9': is not in the plan" in (
        told(checked(pieces=[FRAME, BAR, FRAME | {"number": "9"}]))
    )
    assert "order list, stock small block: is in the plan, but not in the list" in (
        told(checked(order=[]))
    )
    assert "offcut list, number 1: is in the plan, but not in the list" in told(checked(offcuts=[]))


def test_the_whole_proof_runs_on_passes_read_from_files() -> None:
    read = {1: (Pass(layout=1, number=1, moves=MOVES),)}
    again = replace(PLAN, passes=tuple(one for passes in read.values() for one in passes))
    assert all(finding.passed for finding in checking.check_plan(again))


# --- Promise 7 ---------------------------------------------------------------------


def test_equal_runs_that_wrote_the_same_bytes_pass() -> None:
    files = {"plan.json": b"{}", "order.csv": b"stock\n"}
    assert checking.check_repeats(files, dict(files)).passed


@pytest.mark.parametrize(
    ("second", "text"),
    [
        ({"a": b"12", "b": b"x"}, "b: two equal runs differ from byte 0 on"),
        ({"a": b"123", "b": b"y"}, "a: two equal runs differ from byte 2 on"),
        ({"a": b"12"}, "b: only one of two equal runs wrote this file"),
    ],
)
def test_a_file_that_changed_between_equal_runs_is_told(
    second: dict[str, bytes], text: str
) -> None:
    finding = checking.check_repeats({"a": b"12", "b": b"y"}, second)
    assert not finding.passed
    assert finding.promise == 7
    assert [str(fault) for fault in finding.faults] == [text]
