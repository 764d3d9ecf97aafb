"""Slots that share edges, walked as a net: less is run twice, and pieces come free one by one."""

from __future__ import annotations

from dataclasses import replace

import networkx
import numpy as np
import pytest
import shapely
import sweeping
from foam_layouts import laid, plan_of
from shapely import box

from wirepath.coordinates import write_coordinates
from wirepath.kerf import wire_lines
from wirepath.model import Layout, Move, Piece
from wirepath.routing import route
from wirepath.routing.postman import walked
from wirepath.sheets.steps import steps
from wirepath.wording import ENGLISH
from wirepath.workshop import Cutting

TIGHT = Cutting(kerf_mm=3.0, web_mm=0.0)
BARE = Cutting(kerf_mm=3.0, web_mm=0.0, overrun_mm=0.0)


def grid(columns: int, rows: int, margin: float = 50.0) -> tuple[Layout, tuple[Piece, ...]]:
    cells = [
        box(margin + 103 * i, margin + 103 * j, margin + 100 + 103 * i, margin + 100 + 103 * j)
        for i in range(columns)
        for j in range(rows)
    ]
    return laid(cells, 103 * columns - 3 + 2 * margin, 103 * rows - 3 + 2 * margin)


def cut(layout: Layout, pieces: tuple[Piece, ...], cutting: Cutting = BARE) -> list[Move]:
    (one,) = route(layout, wire_lines(layout, pieces, cutting), pieces, cutting)
    return list(one.moves)


def length(moves: list[Move], *kinds: str) -> float:
    return sum(move.line.length for move in moves if move.kind in kinds)


def torn_off(layout: Layout, pieces: tuple[Piece, ...], moves: list[Move]) -> list[int]:
    """Return, for each cut that parts lumps, the most pieces in a lump other than the fullest."""
    face = box(0, 0, layout.width_mm, layout.height_mm)
    cores = np.array([piece.outline.buffer(-1) for piece in pieces])
    slots, known, worst = shapely.Polygon(), 1, []
    for move in moves:
        slots = shapely.union(slots, move.line.buffer(1.5), grid_size=0.001)
        lumps = shapely.get_parts(shapely.difference(face, slots, grid_size=0.001))
        held = [int(shapely.intersects(lump, cores).sum()) for lump in lumps]
        if len(lumps) != known:
            # Sorted by what they hold: the first is what stays.
            worst.append(max([0, *sorted(held)[:-1]]))
            known = len(lumps)
    return worst


def test_in_a_grid_less_is_run_twice_than_a_third_of_what_is_cut():
    moves = cut(*grid(5, 4))
    # Line after line it is two thirds: each of the twenty lines is walked all round.
    assert length(moves, "slot") < length(moves, "outline", "hole") / 3


def test_no_less_is_run_twice_than_the_pairing_of_odd_crossings():
    layout, pieces = grid(4, 3)
    moves = cut(layout, pieces)
    # networkx: squares whose corners are points, so that rounding cannot make the bound longer.
    net = networkx.grid_2d_graph(5, 4)
    odd = [node for node, degree in net.degree() if degree % 2]
    pairs = networkx.Graph()
    for index, a in enumerate(odd):
        for b in odd[:index]:
            pairs.add_edge(a, b, weight=abs(a[0] - b[0]) + abs(a[1] - b[1]))
    walls = sum(pairs[a][b]["weight"] for a, b in networkx.min_weight_matching(pairs))
    assert 100 * walls <= length(moves, "slot") <= 3 * 103 * walls


@pytest.mark.parametrize("margin", [0.0, 50.0])
def test_pieces_are_parted_one_by_one_from_the_foam_that_stays(margin):
    layout, pieces = grid(3, 3, margin)
    torn = torn_off(layout, pieces, cut(layout, pieces))
    assert len(torn) >= 8
    assert max(torn) == 1


def test_the_file_of_a_grid_frees_every_piece_and_bites_none(tmp_path):
    layout, pieces = grid(3, 3)
    (path,) = write_coordinates(plan_of(layout, pieces, cutting=TIGHT), tmp_path)
    told = sweeping.complaints(
        path,
        face=box(0, 0, layout.width_mm, layout.height_mm),
        pieces={one.number: one.outline for one in pieces},
        kerf_mm=3.0,
        lead_in_mm=TIGHT.lead_in_mm,
    )
    assert told == []


def test_a_piece_that_is_told_where_to_begin_keeps_the_way_line_by_line():
    layout, pieces = grid(3, 2)
    asked = (replace(pieces[0], entry="lower left"), *pieces[1:])
    assert length(cut(layout, asked), "slot") > length(cut(layout, pieces), "slot")


def test_a_walk_that_saves_nothing_leaves_the_moves_as_they_are():
    layout, pieces = laid([box(50, 50, 150, 150)], 200, 200)
    lines = wire_lines(layout, pieces, BARE)
    moves = cut(layout, pieces)
    assert walked(moves, layout, lines, kerf_mm=3.0, overrun_mm=0.0) == moves


def test_the_sheet_tells_once_of_each_piece_that_it_comes_free():
    layout, pieces = grid(3, 2)
    told = steps(plan_of(layout, pieces, cutting=TIGHT), layout, ENGLISH)
    freed = [step.piece for step in told if step.freed is not None]
    assert sorted(freed) == [1, 2, 3, 4, 5, 6]
    assert sum("comes free" in step.text for step in told) == 6
