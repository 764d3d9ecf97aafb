"""What no order can do with less of: valid against every order there is, and strong."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box
from test_nesting import KERF, WEB, piece, rectangles, shop, star, stock

from wirepath.checking.laying import check_laying
from wirepath.checking.scene import Scene
from wirepath.model import Layout, Piece, Placement
from wirepath.nesting import lay_out, least_order
from wirepath.nesting.scales import counted, plain, stepped, without_small
from wirepath.workshop import Order, RackPiece, Stock

GAP = KERF + WEB
UNIT = 100.0
"""Sizes are whole units less the clearance, so that what fits is counted on squared paper."""


# --- Dual feasible functions ----------------------------------------------------------


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.integers(1, 60), min_size=1, max_size=12),
    st.integers(1, 12),
    st.integers(1, 29),
)
def test_values_of_what_fits_a_bin_fit_it_too(parts: list[int], steps: int, least: int) -> None:
    shares = np.array(list(itertools.takewhile(lambda _: True, parts)), dtype=float)
    shares = shares[np.cumsum(shares) <= 60] / 60
    for scale in (plain, stepped(steps), without_small(least / 60), counted(least / 60)):
        assert scale(shares).sum() <= 1 + 1e-9
        risen = np.linspace(0, 1, 241)
        assert (np.diff(scale(risen)) >= -1e-9).all()


# --- Strength -------------------------------------------------------------------------


def test_thirds_that_are_a_little_too_wide_count_as_halves() -> None:
    # Three of 335 mm need 1025 of the 1000 mm: two to a slab, though by area three fit.
    pieces = rectangles(*[(335, 500)] * 5, turning="none")
    only = shop(stock(thickness_mm=123), wire_mm=600)
    assert least_order(pieces, only).blocks == 3
    assert len(lay_out(pieces, only)[0]) == 3


def test_pieces_as_high_as_the_face_but_for_rounding_may_share_it() -> None:
    high = 500 + 4e-7
    left = Polygon([(0, 0), (700, 0), (200, high), (0, high)])
    right = Polygon([(500, 0), (700, 0), (700, high), (0, high)])
    only = shop(stock(thickness_mm=123), wire_mm=600)
    pieces = tuple(piece(one, n, turning="none") for n, one in enumerate((left, right), 1))
    assert least_order(pieces, only).blocks == len(lay_out(pieces, only)[0]) == 1


def test_slabs_too_thick_to_share_a_block_are_counted_by_depth() -> None:
    # 209 deep: 120 mm slabs need a block each, whatever their area.
    pieces = tuple(piece(box(0, 0, 300, 300), n, thickness_mm=t) for n, t in ((1, 120), (2, 130)))
    assert least_order(pieces, shop(stock(), wire_mm=520)).blocks == 2


def test_the_cheapest_mix_of_sizes_is_the_bound() -> None:
    # One slab of 1000 x 500 is full; the small piece needs a small block at least.
    big = stock(name="big", price=100, thickness_mm=123)
    small = stock(520, 520, 123, name="small", price=60)
    pieces = rectangles((1000, 500), (1000, 500), (400, 400))
    workshop = replace(
        shop(big, small), order=Order(delivery_price=7.0, spare_share=0.1, hour_price=0)
    )
    # 2 big and 1 small would need a spare of each: 420. 3 big need one spare: 400.
    assert least_order(pieces, workshop).price == pytest.approx(4 * 100 + 7, rel=1e-5)
    assert [one.stock for one in lay_out(pieces, workshop)[0]] == ["big"] * 3
    without = replace(workshop, order=Order(delivery_price=7.0))
    assert least_order(pieces, without).price == pytest.approx(2 * 100 + 60 + 7, rel=1e-5)


def test_a_rack_that_may_hold_everything_leaves_no_least_price() -> None:
    workshop = shop(stock())
    shelf = RackPiece(name="R1", foam="EPS 20", length_mm=900, width_mm=450, thickness_mm=100)
    workshop = replace(workshop, rack=(shelf,), order=Order(delivery_price=7.0))
    assert least_order(rectangles((900, 440)), workshop).price == 0
    bound = least_order(rectangles((900, 440), (900, 440)), workshop)
    assert bound.blocks == 1
    assert bound.price == pytest.approx(17.0, rel=1e-5)


# --- A squared square -----------------------------------------------------------------

ROWS = (
    (50, 35, 27),
    (8, 19),
    (15, 17, 11),
    (6, 24),
    (29, 25, 9, 2),
    (7, 18),
    (16,),
    (42,),
    (4, 37),
    (33,),
)
"""The square of 112 from 21 unlike squares, the fewest there can be (Duijvestijn 1978, J.
Combin. Theory B 25; its code after Bouwkamp, from memory): each row hangs from the highest
level that is free, at its left end."""


def squares() -> Iterator[tuple[int, int, int]]:
    """Yield x, depth below the top, and side of each square."""
    reach = [0] * 112
    for row in ROWS:
        x = reach.index(min(reach))
        for side in row:
            yield x, reach[x], side
            assert len(set(reach[x : x + side])) == 1
            reach[x : x + side] = [reach[x] + side] * side
            x += side
    assert reach == [112] * 112


def test_a_squared_square_needs_one_block_and_fills_it_exactly() -> None:
    side = 112 * 10 - GAP
    pieces = tuple(
        piece(box(0, 0, 10 * s - GAP, 10 * s - GAP), n) for n, (_, _, s) in enumerate(squares(), 1)
    )
    block = stock(side, side, 100, trim_mm=0)
    assert least_order(pieces, shop(block, wire_mm=1200)).blocks == 1
    # One square more, and no block can hold them all.
    more = (*pieces, piece(box(0, 0, 90, 90), len(pieces) + 1))
    assert least_order(more, shop(block, wire_mm=1200)).blocks == 2
    placements = tuple(
        Placement(piece=n, x_mm=10 * x, y_mm=10 * y) for n, (x, y, _) in enumerate(squares(), 1)
    )
    assert check_laying([_scene(pieces, placements, side)], GAP, 2.0).passed
    moved = (replace(placements[0], x_mm=1e-5), *placements[1:])
    assert not check_laying([_scene(pieces, moved, side)], GAP, 2.0).passed


def _scene(pieces: tuple[Piece, ...], placements: tuple[Placement, ...], side: float) -> Scene:
    from wirepath.geometry import place

    layout = Layout(
        number=1,
        block=1,
        from_mm=0,
        thickness_mm=100,
        width_mm=side,
        height_mm=side,
        trim_mm=0,
        placements=placements,
    )
    return Scene(
        layout=layout,
        half_kerf_mm=KERF / 2,
        widest_mm=KERF / 2,
        half_widths_mm=np.zeros(0),
        off_mm=np.zeros(0),
        share=0.0,
        weight=1.0,
        face=box(0, 0, side, side),
        usable=box(0, 0, side, side),
        blocked=(),
        pieces=pieces,
        placed=tuple(place(pieces[p.piece - 1].outline, p) for p in placements),
        passes=(),
        moves=(),
        slot=shapely.Point(),
        parts=(),
    )


# --- Every order there is -------------------------------------------------------------

Size = tuple[int, int]
Box = tuple[int, int, int, float]
"""Length, width and depth in units, and the price."""


@cache
def holds(sizes: tuple[Size, ...], width: int, height: int) -> bool:
    """Whether rectangles, turned by quarters, lie on squared paper without overlap."""
    if sum(w * h for w, h in sizes) > width * height:
        return False

    def lay(rest: tuple[Size, ...], taken: int) -> bool:
        if not rest:
            return True
        (w, h), *others = rest
        for a, b in {(w, h), (h, w)}:
            row = (1 << a) - 1
            shape = sum(row << (width * y) for y in range(b))
            for y, x in itertools.product(range(height - b + 1), range(width - a + 1)):
                mask = shape << (width * y + x)
                if not mask & taken and lay(tuple(others), taken | mask):
                    return True
        return False

    return lay(tuple(sorted(sizes, reverse=True)), 0)


def partitions(items: list[int]) -> Iterator[list[list[int]]]:
    if not items:
        yield []
        return
    first, *others = items
    for rest in partitions(others):
        yield [[first], *rest]
        for k in range(len(rest)):
            yield [*rest[:k], [first, *rest[k]], *rest[k + 1 :]]


def cheapest(sizes: list[Size], thick: list[int], boxes: list[Box]) -> tuple[float, int]:
    """Return the least price, and the fewest blocks, of all orders that hold the pieces."""
    rooms = []
    for length, width, depth, price in boxes:
        for a, b, c in ((length, width, depth), (length, depth, width), (width, depth, length)):
            rooms.append((max(a, b), min(a, b), c, price))
    best, fewest = math.inf, 10**9
    for blocks in partitions(list(range(len(sizes)))):
        # Each block by itself: its pieces on slabs of one room.
        prices = []
        for own in blocks:
            able = [
                price
                for w, h, deep, price in rooms
                if any(
                    all(len({thick[k] for k in slab}) == 1 for slab in slabs)
                    and sum(thick[slab[0]] for slab in slabs) <= deep
                    and all(holds(tuple(sorted(sizes[k] for k in slab)), w, h) for slab in slabs)
                    for slabs in partitions(own)
                )
            ]
            if not able:
                break
            prices.append(min(able))
        else:
            best, fewest = min(best, sum(prices)), min(fewest, len(prices))
    return best, fewest


def units(n: int, gap: float) -> float:
    return n * UNIT - gap


@settings(max_examples=30, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(1, 4), st.integers(1, 3), st.integers(1, 2)), min_size=1, max_size=4
    ),
    st.lists(
        st.tuples(st.integers(3, 5), st.integers(2, 4), st.integers(2, 3), st.integers(3, 9)),
        min_size=1,
        max_size=2,
    ),
)
def test_no_order_at_all_beats_the_bound(
    pieces: list[tuple[int, int, int]], boxes: list[tuple[int, int, int, int]]
) -> None:
    # Faces are whole units less the clearance, depths whole units less the kerf.
    stocks = []
    for n, (length, width, depth, price) in enumerate(boxes):
        # All three sizes serve as face and as depth: less the kerf only, which is more room.
        sides = sorted((length, width, depth), reverse=True)
        stocks.append(
            Stock(
                name=f"s{n}",
                foam="EPS 20",
                length_mm=units(sides[0], KERF),
                width_mm=units(sides[1], KERF),
                thickness_mm=units(sides[2], KERF),
                price=price,
            )
        )
    made = tuple(
        piece(box(0, 0, units(w, KERF), units(h, KERF)), n, thickness_mm=units(t, KERF))
        for n, (w, h, t) in enumerate(pieces, 1)
    )
    workshop = shop(*stocks, wire_mm=10_000)
    workshop = replace(workshop, cutting=replace(workshop.cutting, web_mm=0.0))
    price, blocks = cheapest(
        [(w, h) for w, h, _ in pieces], [t for *_, t in pieces], [(*b[:3], b[3]) for b in boxes]
    )
    if blocks == 10**9:
        return
    bound = least_order(made, workshop)
    assert bound.blocks <= blocks
    assert bound.price <= price + 1e-6
    found, _ = lay_out(made, workshop, seconds=0)
    assert len(found) >= bound.blocks
    assert sum(workshop.stock_named(one.stock).price for one in found) >= bound.price - 1e-6


@settings(max_examples=10, deadline=None)
@given(
    st.lists(st.tuples(st.integers(3, 7), st.integers(80, 260)), min_size=2, max_size=8),
    st.sampled_from(["none", "quarter", "any"]),
    st.integers(0, 1000),
)
def test_no_layout_of_ragged_pieces_beats_the_bound(
    shapes: list[tuple[int, int]], turning: str, seed: int
) -> None:
    pieces = tuple(
        piece(star(n, size / 2, size, seed + k), k, turning=turning, thickness_mm=60 + 40 * (k % 2))  # type: ignore[arg-type]
        for k, (n, size) in enumerate(shapes, 1)
    )
    workshop = shop(stock(), stock(620, 520, 123, name="small", price=3))
    workshop = replace(workshop, order=Order(delivery_price=5.0))
    blocks, _ = lay_out(pieces, workshop, seconds=0)
    bound = least_order(pieces, workshop)
    price = 5.0 + sum(workshop.stock_named(one.stock).price for one in blocks)
    assert bound.blocks <= len(blocks)
    assert bound.price <= price + 1e-6
