"""The melted-back shape against the drawing: what round slots leave, told and proved."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from pypdf import PdfReader
from shapely import LineString
from small_plan import BRACKET, RING, one_piece, piece, two_blocks, workshop
from test_checking_specimen import PLAN

from wirepath.checking.misses import check_misses
from wirepath.checking.scene import scenes
from wirepath.geometry import place
from wirepath.kerf import piece_misses
from wirepath.lists import read_list, write_lists
from wirepath.model import Move, Plan
from wirepath.report import plan_lines
from wirepath.sheets import write_sheets


def faults(plan: Plan) -> list[str]:
    return [str(fault) for fault in check_misses(plan, scenes(plan)).faults]


def test_the_miss_of_a_square_inner_corner_stands_at_that_corner():
    pieces = piece(1, "B 1", "B", BRACKET), piece(2, "R", "R", RING), piece(3, "B 2", "B", BRACKET)
    first, copy = piece_misses(pieces, workshop().cutting)
    # Kerf 2 mm: (sqrt 2 - 1) x 1 mm, in the bracket's inner corner at 100, 100.
    assert first.miss_mm == pytest.approx(math.sqrt(2) - 1, abs=0.02)
    assert first.at == pytest.approx((100, 100), abs=0.01)
    assert copy == replace(first, piece=3)


def test_misses_told_are_measured_again_from_the_passes():
    assert faults(PLAN) == []
    assert faults(two_blocks()) == []


def test_a_miss_that_is_not_told_or_told_too_small_is_found():
    silent = faults(replace(PLAN, misses=()))
    assert "piece 1" in silent[0]
    assert "the slot misses it by 0.41 mm, 0.00 mm are told" in silent[0]
    small = replace(PLAN.misses[0], miss_mm=0.1)
    assert "0.10 mm are told" in faults(replace(PLAN, misses=(small,)))[0]


def test_a_miss_told_of_a_piece_that_is_followed_all_round_is_found():
    more = replace(PLAN.misses[0], piece=2, miss_mm=1.0)
    assert "piece 2" in faults(replace(PLAN, misses=(*PLAN.misses, more)))[0]


def test_what_a_slit_through_the_corner_takes_as_well_may_be_told():
    plan = one_piece(BRACKET)
    placement = plan.layouts[0].placements[0]
    slit = place(LineString([(95, 95), (105, 105)]), placement)
    first, *others = plan.passes
    cut = Move(kind="slit", line=slit, feed_mm_per_s=5.0, piece=1)
    plan = replace(plan, passes=(replace(first, moves=(*first.moves, cut)), *others))
    assert faults(plan) == []
    more = replace(plan.misses[0], miss_mm=0.8)
    assert "by 0.41 mm, 0.80 mm are told" in faults(replace(plan, misses=(more,)))[0]


def test_the_miss_is_told_on_screen_sheets_and_in_the_list(tmp_path):
    plan = one_piece(BRACKET)
    told = "inner corners come out rounded by 1.00 mm; largest miss 0.41 mm, at One near x 100"
    assert any(line.startswith(told) for line in plan_lines(plan))
    write_lists(plan, tmp_path)
    (row,) = read_list(tmp_path / "pieces.csv")
    assert float(row["miss_mm"]) == pytest.approx(0.414, abs=0.02)
    assert (row["miss_x_mm"], row["miss_y_mm"]) == ("100.000", "100.000")
    write_sheets(plan, tmp_path / "sheets.pdf")
    text = " ".join(page.extract_text() for page in PdfReader(tmp_path / "sheets.pdf").pages[:3])
    assert "Inner corners come out rounded by 1 mm" in text.replace("\n", " ")
