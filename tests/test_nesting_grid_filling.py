"""Faces filled on a grid, where exact no-fit regions would cost too much."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box
from test_nesting import CLEARANCE, assert_holds, piece, rectangles, shop, stock

from wirepath.nesting import filling, lay_out, regions
from wirepath.nesting.filling import EXACT_SUMS, exact_sums
from wirepath.nesting.grid_filling import touched
from wirepath.nesting.shapes import sort_out
from wirepath.nesting.simplifying import RAGGED, closed, widened_in_stages
from wirepath.workshop import Blocked


def star(chance: np.random.Generator, corners: int = 40) -> Polygon:
    angle = np.linspace(0, 2 * math.pi, corners, endpoint=False)
    reach = chance.uniform(60, 150) * (0.7 + 0.3 * np.cos(7 * angle))
    reach *= chance.uniform(0.9, 1.0, corners)
    return Polygon(np.column_stack([reach * np.cos(angle), reach * np.sin(angle)]))


@pytest.fixture
def on_grid(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fill every face on the grid, however cheap exact regions are."""
    monkeypatch.setattr(filling, "EXACT_SUMS", -1)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32), cell=st.floats(8.0, 40.0))
def test_touched_cells_are_those_that_shapely_finds_to_share_an_area(
    seed: int, cell: float
) -> None:
    outline = star(np.random.default_rng(seed), 21) - Point(0, 0).buffer(20)
    cells, column, row = touched(outline, cell)
    x, y = np.indices(cells.shape)
    boxes = shapely.box(
        (x + column) * cell, (y + row) * cell, (x + column + 1) * cell, (y + row + 1) * cell
    )
    assert (shapely.relate_pattern(boxes, outline, "T********") == cells).all()
    assert shapely.union_all(boxes).buffer(1e-6).covers(outline)


def test_a_square_on_grid_lines_touches_no_more_cells_than_it_covers() -> None:
    cells, column, row = touched(box(10, -20, 40, 0), 5.0)
    assert (cells.shape, column, row) == ((6, 4), 2, -4)
    assert cells.all()


@pytest.mark.usefixtures("on_grid")
def test_pieces_filled_on_a_grid_keep_their_clearance_and_clear_of_blocked_foam() -> None:
    knot = Blocked(x_mm=240, y_mm=140, width_mm=120, height_mm=120)
    odd = replace(stock(), blocked=(knot,))
    chance = np.random.default_rng(3)
    pieces = tuple(piece(star(chance), number) for number in range(1, 9))
    for one in (stock(), odd):
        assert_holds(pieces, *lay_out(pieces, shop(one), seconds=0.0))


@pytest.mark.usefixtures("on_grid")
def test_on_a_grid_too_a_small_piece_lies_in_the_hole_of_a_large_one() -> None:
    frame = box(0, 0, 1000, 500).difference(box(100, 100, 900, 400))
    pieces = (piece(frame, 1), piece(box(0, 0, 700, 250), 2))
    blocks, layouts = lay_out(pieces, shop(stock()), seconds=0.0)
    assert len(layouts) == 1
    assert_holds(pieces, blocks, layouts)


def test_twenty_ragged_stars_are_too_dear_for_exact_regions_and_twelve_rectangles_are_not() -> None:
    chance = np.random.default_rng(1)
    stars = tuple(piece(star(chance), number) for number in range(1, 21))
    boxes = rectangles(*[(100 + 10 * k, 80) for k in range(12)])
    face = [(1000.0, 500.0)]
    assert exact_sums(sort_out(stars), stars, face) > 2 * EXACT_SUMS
    assert exact_sums(sort_out(boxes), boxes, face) < EXACT_SUMS / 3


def test_regions_are_kept_up_to_a_limit_and_come_out_the_same_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sorted_out = sort_out(tuple(piece(star(np.random.default_rng(k), 9), k) for k in range(3)))
    kept = regions.Regions(sorted_out.kinds, clearance_mm=CLEARANCE)
    monkeypatch.setattr(regions, "MOST_REGION_BYTES", 1)
    dropped = regions.Regions(sorted_out.kinds, clearance_mm=CLEARANCE)
    pairs = [(0, 4), (4, 8), (0, 4), (0, 4)]
    assert [kept(*pair).wkb for pair in pairs] == [dropped(*pair).wkb for pair in pairs]
    assert dropped.work > kept.work


def ragged(seed: int, corners: int = 300) -> Polygon:
    chance = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * math.pi, corners, endpoint=False)
    reach = chance.uniform(60, 120) * (0.8 + 0.2 * np.cos(3 * angle))
    reach += chance.uniform(-3, 3, corners)
    return Polygon(np.column_stack([reach * np.cos(angle), reach * np.sin(angle)]))


@settings(max_examples=5, deadline=None)
@given(seed=st.integers(0, 2**32))
def test_what_is_filled_of_a_ragged_outline_no_other_piece_could_reach(seed: int) -> None:
    outline = ragged(seed)
    filled = closed(outline, radius_mm=CLEARANCE)
    assert filled.buffer(1e-6).covers(outline)
    assert filled.area > outline.area
    assert outline.convex_hull.buffer(1e-6).covers(filled)
    # As near to the fill as the clearance is as near to the outline, but for chords of arcs.
    near = outline.buffer(CLEARANCE, quad_segs=64)
    assert near.buffer(0.02 * CLEARANCE).covers(filled.buffer(CLEARANCE, quad_segs=64))


def test_widening_in_stages_comes_to_what_widening_at_once_does() -> None:
    outline = ragged(1)
    staged = widened_in_stages(outline, CLEARANCE / 2)
    assert staged.area == pytest.approx(outline.buffer(CLEARANCE / 2).area, rel=1e-3)
    assert staged.hausdorff_distance(outline.buffer(CLEARANCE / 2)) < 0.02 * CLEARANCE


def test_ragged_pieces_are_laid_as_outlines_of_few_corners_and_keep_their_clearance() -> None:
    pieces = tuple(piece(ragged(number), number) for number in range(1, 7))
    plain = sort_out(pieces, simplify_mm=1.0).kinds
    filled = sort_out(pieces, simplify_mm=1.0, clearance_mm=CLEARANCE).kinds
    for (before, *_), (now, *_) in zip(plain, filled, strict=True):
        assert shapely.get_num_coordinates(before.outline) > RAGGED
        assert len(now.parts) < len(before.parts) / 2
    assert_holds(pieces, *lay_out(pieces, shop(stock()), seconds=0.0))
