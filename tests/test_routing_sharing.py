"""Shared edges: pieces one kerf apart, with no web between their slots."""

from __future__ import annotations

from itertools import pairwise

import pytest
import sweeping
from foam_layouts import laid, plan_of
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box, union_all

from wirepath.coordinates import write_coordinates
from wirepath.kerf import wire_lines
from wirepath.model import Move
from wirepath.routing import route
from wirepath.workshop import Cutting

TIGHT = Cutting(kerf_mm=3.0, web_mm=0.0)


def moves_of(outlines, width=600.0, height=600.0) -> list[Move]:
    layout, pieces = laid(outlines, width, height)
    (one,) = route(layout, wire_lines(layout, pieces, TIGHT), pieces, TIGHT)
    return list(one.moves)


def fresh_mm(moves: list[Move]) -> float:
    return sum(m.line.length for m in moves if m.kind in ("outline", "hole"))


def test_two_squares_one_kerf_apart_cut_the_wall_between_them_once():
    # Two lines of 400 + 3 pi mm; 100 mm of them are one and the same.
    moves = moves_of([box(50, 50, 150, 150), box(153, 50, 253, 150)])
    assert fresh_mm(moves) == pytest.approx(2 * 409.42 - 100, abs=0.3)
    assert sum(m.line.length for m in moves if m.kind == "slot" and m.piece) > 99 + 2 * 5


def test_squares_that_share_half_an_edge_cut_that_half_once():
    moves = moves_of([box(50, 50, 150, 150), box(153, 100, 253, 200)])
    assert fresh_mm(moves) == pytest.approx(2 * 409.42 - 50, abs=0.5)


def test_a_grid_of_nine_squares_cuts_each_of_twelve_walls_once():
    squares = [
        box(50 + 103 * i, 50 + 103 * j, 150 + 103 * i, 150 + 103 * j)
        for i in range(3)
        for j in range(3)
    ]
    moves = moves_of(squares)
    assert fresh_mm(moves) == pytest.approx(9 * 409.42 - 12 * 100, abs=2)


def test_pieces_with_a_web_between_them_are_cut_each_for_itself():
    moves = moves_of([box(50, 50, 150, 150), box(155, 50, 255, 150)])
    assert fresh_mm(moves) == pytest.approx(2 * 409.42, abs=0.1)


@settings(max_examples=15, deadline=None)
@given(
    columns=st.integers(1, 3),
    heights=st.lists(st.integers(40, 120), min_size=2, max_size=6),
)
def test_bricks_without_a_web_come_free_and_are_cut_once(columns, heights, tmp_path_factory):
    outlines, tops = [], [40.0] * columns
    for index, height in enumerate(heights):
        column = index % columns
        west, south = 40 + 83 * column, tops[column]
        outlines.append(box(west, south, west + 80, south + height))
        tops[column] = south + height + 3
    layout, pieces = laid(outlines, 400, 900)
    plan = plan_of(layout, pieces, cutting=TIGHT)
    (path,) = write_coordinates(plan, tmp_path_factory.mktemp("bricks"))
    told = sweeping.complaints(
        path,
        face=box(0, 0, 400, 900),
        pieces={one.number: one.outline for one in pieces},
        kerf_mm=3.0,
        lead_in_mm=TIGHT.lead_in_mm,
    )
    assert told == []
    moves = list(plan.passes[0].moves)
    for before, after in pairwise(moves):
        assert before.line.coords[-1] == after.line.coords[0]
    distinct = union_all([line.ring.buffer(0.02) for line in wire_lines(layout, pieces, TIGHT)])
    assert fresh_mm(moves) == pytest.approx(distinct.area / 0.04, rel=0.01, abs=3)
