"""The wire's way: order, slits, entries, and the promises 2 and 3 on random layouts.

Everything is proved on the written coordinate file by `sweeping`, a simulator that
shares nothing with the planner.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import sweeping
from foam_layouts import CUTTING, laid, layouts, plan_of, scattered, shapes
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box
from shapely.affinity import translate

from wirepath.coordinates import write_coordinates
from wirepath.kerf import wire_lines
from wirepath.model import Layout, Move, Piece
from wirepath.routing import route
from wirepath.routing.slitting import foam_beside
from wirepath.routing.touring import Ring
from wirepath.workshop import Cutting

FOUND = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def moves_of(layout: Layout, pieces: tuple[Piece, ...], cutting: Cutting = CUTTING) -> list[Move]:
    passes = route(layout, wire_lines(layout, pieces, cutting), pieces, cutting)
    assert len(passes) == 1
    return list(passes[0].moves)


def length(moves: Sequence[Move], *kinds: str) -> float:
    return sum(move.line.length for move in moves if move.kind in kinds)


def proved(
    layout: Layout, pieces: tuple[Piece, ...], folder: Path, cutting: Cutting = CUTTING
) -> list[str]:
    """Return what the simulator has to say of the written file."""
    (path,) = write_coordinates(plan_of(layout, pieces, cutting=cutting), folder)
    return sweeping.complaints(
        path,
        face=box(0, 0, layout.width_mm, layout.height_mm),
        pieces={one.number: one.outline for one in pieces},
        kerf_mm=cutting.kerf_mm,
        lead_in_mm=cutting.lead_in_mm,
    )


# --- Promises ----------------------------------------------------------------------


@FOUND
@given(scene=layouts())
def test_on_any_layout_the_written_file_frees_every_piece_and_bites_none(scene, tmp_path):
    layout, pieces = scene
    if pieces:
        assert proved(layout, pieces, tmp_path) == []


@FOUND
@given(scene=layouts())
def test_every_move_starts_exactly_where_the_last_one_ended(scene):
    layout, pieces = scene
    if not pieces:
        return
    moves = moves_of(layout, pieces)
    for before, after in pairwise(moves):
        assert before.line.coords[-1] == after.line.coords[0]


@FOUND
@given(scene=layouts())
def test_holes_and_islands_are_free_before_the_line_round_them_closes(scene):
    layout, pieces = scene
    if not pieces:
        return
    ends: dict[tuple[int, str], list[int]] = {}
    for step, move in enumerate(moves_of(layout, pieces)):
        if move.kind in ("outline", "hole") and move.piece is not None:
            ends.setdefault((move.piece, move.kind), []).append(step)
    outlines = {one.number: one.outline for one in pieces}
    for number, outline in outlines.items():
        if outline.interiors:
            assert ends[number, "hole"][-1] < ends[number, "outline"][-1]
        for hole in outline.interiors:
            for other, inner in outlines.items():
                if other != number and Polygon(hole).contains(inner):
                    assert ends[other, "outline"][-1] < ends[number, "hole"][-1]


def test_no_pieces_no_pass():
    layout, pieces = laid([], 100, 100)
    assert route(layout, (), pieces, CUTTING) == ()


def test_the_same_layout_gives_the_same_passes():
    layout, pieces = scattered(12, seed=3)
    assert moves_of(layout, pieces) == moves_of(layout, pieces)


def test_25_ragged_pieces_keep_every_promise(tmp_path):
    layout, pieces = scattered(25, seed=5)
    assert proved(layout, pieces, tmp_path) == []


@pytest.mark.parametrize("behind", [0.0, 1e-12, 1e-9, 1e-6])
def test_a_link_that_leaves_where_the_line_began_comes_at_once_and_not_at_the_end(behind):
    # A rounding error behind the start must not count as nearly the whole way round.
    ring = Ring(LineString([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)]))
    assert ring.ahead(50.0, (50.0 - behind, 0.0)) == 0.0
    assert ring.ahead(50.0, (60.0, 0.0)) == pytest.approx(10)
    assert ring.ahead(50.0, (40.0, 0.0)) == pytest.approx(390)


# --- Lengths -----------------------------------------------------------------------


def test_one_square_costs_its_line_and_one_way_in():
    # 100 mm square 30 mm from the edge, kerf 3: the line is 400 + 2 pi 1.5 mm long.
    layout, pieces = laid([box(30, 40, 130, 140)], 400, 400)
    moves = moves_of(layout, pieces)
    assert length(moves, "outline") == pytest.approx(400 + 3 * math.pi, abs=0.02)
    assert length(moves, "entry") == pytest.approx(28.5, abs=0.01)
    assert length(moves, "slot") == pytest.approx(28.5 + 5, abs=0.01)
    assert length(moves, "air") == pytest.approx(40, abs=0.01)
    assert [move.kind for move in moves] == [
        "air", "entry", "outline", "overrun", "slot", "slot", "air",
    ]  # fmt: skip


def test_a_row_of_three_is_entered_once_and_linked_where_nearest():
    # Squares 20 mm apart and 200 mm from the edge above: links of 17 mm, one entry.
    row = [box(50 + 120 * i, 200, 150 + 120 * i, 300) for i in range(3)]
    layout, pieces = laid(row, 480, 500)
    moves = moves_of(layout, pieces)
    assert length(moves, "link") == pytest.approx(2 * 17, abs=1e-3)
    assert length(moves, "entry") == pytest.approx(48.5, abs=0.01)


def test_every_line_is_cut_once():
    layout, pieces = scattered(12, seed=1)
    lines = wire_lines(layout, pieces, CUTTING)
    moves = moves_of(layout, pieces)
    expected = sum(line.ring.length for line in lines)
    assert length(moves, "outline", "hole") == pytest.approx(expected, rel=1e-4)


# --- Entries and air ---------------------------------------------------------------


def test_between_two_entries_the_wire_goes_round_the_block_in_air():
    # Two pieces near opposite edges of a long block: entering twice is shorter.
    outlines = [box(10, 100, 60, 150), box(940, 100, 990, 150)]
    layout, pieces = laid(outlines, 1000, 300)
    moves = moves_of(layout, pieces)
    assert sum(move.kind == "entry" for move in moves) == 2
    assert sum(move.kind == "link" for move in moves) == 0
    foam = box(0, 0, 1000, 300)
    for move in moves:
        if move.kind == "air":
            assert move.line.intersection(foam).length == 0
            assert move.feed_mm_per_s == CUTTING.air_feed_mm_per_s


def test_the_largest_piece_is_cut_last():
    outlines = [box(10, 10, 60, 60), box(400, 10, 600, 160), box(900, 10, 990, 60)]
    layout, pieces = laid(outlines, 1000, 1000)
    order = [move.piece for move in moves_of(layout, pieces) if move.kind == "outline"]
    assert order[-1] == 2


def test_a_piece_flush_with_the_blocks_edge_is_entered_from_the_air(tmp_path):
    layout, pieces = laid([box(0, 0, 100, 100), box(0, 110, 60, 200)], 200, 200)
    moves = moves_of(layout, pieces)
    assert length(moves, "entry") == 0
    assert proved(layout, pieces, tmp_path) == []


def test_a_lead_in_of_nothing_still_keeps_the_wire_off_the_foams_edge(tmp_path):
    cutting = Cutting(kerf_mm=3.0, lead_in_mm=0.0, overrun_mm=0.0)
    layout, pieces = laid([box(30, 30, 60, 60), box(440, 440, 470, 470)], 500, 500)
    moves = moves_of(layout, pieces, cutting)
    foam = box(0, 0, 500, 500)
    round_block = [m for m in moves if m.kind == "air" and m.line.length > 100]
    assert round_block
    assert min(move.line.distance(foam) for move in round_block) >= 1.5
    assert not any(move.kind == "overrun" for move in moves)
    assert proved(layout, pieces, tmp_path, cutting) == []


def test_the_wire_enters_only_where_no_clamp_is(tmp_path):
    # One piece near every edge of a large block; clamps on the lower and the right side.
    outlines = [
        box(480, 20, 520, 60), box(940, 480, 980, 520), box(480, 940, 520, 980),
        box(20, 480, 60, 520),
    ]  # fmt: skip
    layout, pieces = laid(outlines, 1000, 1000)
    cutting = Cutting(kerf_mm=3.0, web_mm=4.0, entry_sides=("left", "upper"))
    moves = moves_of(layout, pieces, cutting)
    starts = [move.line.coords[0] for move in moves if move.kind == "entry"]
    assert starts
    assert all(x == 0 or y == 1000 for x, y in starts)
    for move in moves:
        if move.kind == "air":
            assert move.line.distance(Point(500, -20)) > 100
            assert move.line.distance(Point(1020, 500)) > 100
    assert proved(layout, pieces, tmp_path, cutting) == []


# --- Slits -------------------------------------------------------------------------


def slit_lengths(outline: Polygon) -> list[float]:
    layout, pieces = laid([translate(outline, 200, 200)], 400, 400)
    return [move.line.length for move in moves_of(layout, pieces) if move.kind == "slit"]


def test_a_hole_is_slit_where_the_wall_is_thinnest_and_sound():
    # Walls of 16, 20, 30 and 40 mm round a square hole: 16 mm + 2 x half the kerf.
    outline = box(0, 0, 100, 110).difference(box(20, 30, 60, 94))
    assert slit_lengths(outline) == pytest.approx([16 + 3], abs=0.01)


def test_two_holes_side_by_side_are_reached_by_the_shortest_tree_of_slits():
    # Bar of 6 mm between the holes, walls of 30 mm: one slit in, one across the bar.
    outline = box(0, 0, 146, 100).difference(box(30, 30, 70, 70)).difference(box(76, 30, 116, 70))
    assert sorted(slit_lengths(outline)) == pytest.approx([6 + 3, 30 + 3], abs=0.05)


@pytest.mark.parametrize("kind", ["ring", "window", "off-centre hole"])
def test_a_slit_piece_stays_in_one(kind):
    (outline,) = shapes()[kind]
    layout, pieces = laid([translate(outline, 100, 100)], 200, 200)
    slots = [
        move.line.buffer(1.5) for move in moves_of(layout, pieces) if move.kind in ("slit", "hole")
    ]
    left = pieces[0].outline
    for slot in slots:
        left = left.difference(slot)
    assert left.geom_type == "Polygon" or [p.area > 1 for p in left.geoms].count(True) == 1


def test_a_hundred_islands_in_a_hole_are_linked_and_freed(tmp_path):
    frame = box(20, 20, 480, 480).difference(box(40, 40, 460, 460))
    dots = [Point(70 + 60 * (i % 7), 70 + 60 * (i // 7)).buffer(18, 8) for i in range(42)]
    layout, pieces = laid([frame, *dots], 500, 500)
    assert proved(layout, pieces, tmp_path) == []


def test_a_deep_chain_of_pieces_needs_no_deep_stack():
    # 1100 bars in a row, each linked to the one before: deeper than Python's own stack.
    bars = [box(10 + 10 * i, 500, 12 + 10 * i, 600) for i in range(1100)]
    layout, pieces = laid(bars, 11_100, 1100)
    cutting = Cutting(kerf_mm=1.0)
    moves = moves_of(layout, pieces, cutting)
    assert sum(move.kind == "link" for move in moves) >= 1000


def test_moves_are_lines():
    layout, pieces = scattered(4, seed=2)
    assert all(
        isinstance(m.line, LineString) and m.line.length > 0 for m in moves_of(layout, pieces)
    )


@settings(max_examples=30, deadline=None)
@given(st.integers(3, 12), st.floats(0, 6), st.floats(0.5, 20), st.booleans())
def test_foam_beside_a_way_is_as_much_as_an_overlay_finds(count, turn, reach, has_hole):
    # shapely's own intersection of strip and piece, which shares nothing with the sum.
    turns = turn + 2 * np.pi * np.arange(count) / count
    radii = 60 + 30 * np.sin(7 * turns)
    piece = Polygon(np.c_[np.cos(turns), np.sin(turns)] * radii[:, None])
    if has_hole:
        piece = piece.difference(Point(10, 3).buffer(12))
    ways = [
        LineString([(-70, 5), (40, 22)]),
        LineString([(3, 80), (3, -10)]),
        LineString([(0, 0), (50, 0)]),
    ]
    strips = [way.buffer(reach, cap_style="flat") for way in ways]
    found = foam_beside(np.array(ways, dtype=object), piece, reach)
    assert found == pytest.approx([piece.intersection(one).area for one in strips], abs=1e-6)
