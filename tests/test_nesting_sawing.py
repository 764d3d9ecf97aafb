"""Slabs from blocks, against cutting-stock examples whose answers are known."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wirepath.nesting import sawing
from wirepath.nesting.sawing import Depth, Sawn, sawn
from wirepath.nesting.ways import Yard
from wirepath.workshop import Stock, Workshop


def depth(length: float, price: float = 1.0, *, sizes: int, most: int | None = None) -> Depth:
    return Depth(length_mm=length, price=price, sizes=tuple(range(sizes)), most=most)


def given_slabs(blocks: list[Sawn]) -> list[int]:
    return [sum(many) for many in zip(*(pattern for _, pattern in blocks), strict=True)]


CHVATAL = [45.0, 36.0, 31.0, 14.0], [97, 610, 395, 211]
"""Chvatal, Linear Programming (1983), ch. 13, from memory: rolls of 100 in. cut to 97 of 45, 610
of 36, 395 of 31 and 211 of 14 in.; the relaxed optimum is 452.25, so 453."""

GILMORE = [2.0, 3.0, 4.0], [20, 10, 20]
STOCK = [depth(5, 6, sizes=3), depth(6, 7, sizes=3), depth(9, 10, sizes=3)]
"""Gilmore and Gomory 1961 (Oper. Res. 9, the worked example, from memory): lengths 5, 6 and 9 at
6, 7 and 10; 20 of 2, 10 of 3 and 20 of 4 wanted: 170."""


def test_chvatals_rolls_take_453() -> None:
    sizes, counts = CHVATAL
    blocks = sawn([depth(100, sizes=4)], sizes, counts)
    assert blocks is not None
    assert len(blocks) == 453
    assert given_slabs(blocks) == counts
    assert all(sum(a * b for a, b in zip(one, sizes, strict=True)) <= 100 for _, one in blocks)


def test_of_chvatals_rolls_452_are_too_few_and_three_more_to_cut_take_one_more() -> None:
    sizes, counts = CHVATAL
    assert sawn([depth(100, sizes=4, most=453)], sizes, counts) is not None
    assert sawn([depth(100, sizes=4, most=452)], sizes, counts) is None
    more = sawn([depth(100, sizes=4)], sizes, [97, 613, 395, 211])
    assert more is not None
    assert len(more) == 454


def test_gilmore_and_gomorys_three_stock_lengths_cost_170() -> None:
    blocks = sawn(STOCK, *GILMORE)
    assert blocks is not None
    assert sum(STOCK[place].price for place, _ in blocks) == pytest.approx(170)
    assert given_slabs(blocks) == [20, 10, 20]


def test_one_slab_after_the_other_costs_more_in_both_examples(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # What the two tests above would say of a sawing that lists no patterns.
    monkeypatch.setattr(sawing, "MOST_PATTERNS", 0)
    rolls, lengths = sawn([depth(100, sizes=4)], *CHVATAL), sawn(STOCK, *GILMORE)
    assert rolls is not None
    assert lengths is not None
    assert len(rolls) > 453
    assert sum(STOCK[place].price for place, _ in lengths) > 170


def test_patterns_of_one_size_each_do_not_reach_the_examples_answer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    mixed = sawing._fillings

    def alone(*given: object) -> Iterator[tuple[int, ...]]:
        return (one for one in mixed(*given) if sum(map(bool, one)) == 1)  # type: ignore[arg-type]

    monkeypatch.setattr(sawing, "_fillings", alone)
    lengths = sawn(STOCK, *GILMORE)
    assert lengths is None or sum(STOCK[place].price for place, _ in lengths) > 170


UNIT, KERF, TRIM = 50.0, 3.0, 10.0


def yard_price(workshop: Workshop, *, short_mm: float = 0.0, wire_mm: float = 1400.0) -> float:
    """The price of the example above as slabs: a unit is 50 mm, trims and kerfs on top of it."""
    stock = tuple(
        Stock(
            name=f"{units}",
            foam="EPS 15",
            length_mm=1000 + 2 * TRIM,
            width_mm=600 + 2 * TRIM,
            # Each slab but the last takes a kerf: so many less one stand between the trims.
            thickness_mm=units * UNIT - KERF + 2 * TRIM - short_mm,
            trim_mm=TRIM,
            price=price,
        )
        for units, price in ((5, 6.0), (6, 7.0), (9, 10.0))
    )
    shop = replace(
        workshop,
        stock=stock,
        wire=replace(workshop.wire, length_mm=wire_mm),
        cutting=replace(workshop.cutting, kerf_mm=KERF),
        # Hands that set blocks up are no part of the example.
        order=replace(workshop.order, hour_price=0.0),
    )
    yard = Yard("EPS 15", shop)
    slabs = {}
    for units, count in ((2, 20), (3, 10), (4, 20)):
        flat = [way for way in yard.ways(units * UNIT - KERF) if way.usable_mm == (1000, 600)]
        if not flat:
            return math.inf
        slabs[flat[0]] = count
    return yard.price(slabs)


def test_slabs_with_kerfs_and_trims_cost_what_the_example_does(workshop: Workshop) -> None:
    assert yard_price(workshop) == pytest.approx(170)


def test_blocks_a_millimetre_too_thin_for_kerfs_and_trims_cost_more(workshop: Workshop) -> None:
    assert yard_price(workshop, short_mm=1.0) > 170


def test_no_slab_is_sawn_wider_than_the_wire_is_long(workshop: Workshop) -> None:
    assert yard_price(workshop, wire_mm=625) == pytest.approx(170)
    assert yard_price(workshop, wire_mm=610) == math.inf


def test_first_fit_by_falling_size_would_take_one_block_more() -> None:
    # 4 + 3 + 3 twice fill two blocks of 10; by first fit 4 + 4, then 3 + 3 + 3, then 3.
    assert sawn([depth(10, sizes=2)], [4.0, 3.0], [2, 4]) == [(0, (1, 2)), (0, (1, 2))]


def test_blocks_that_run_out_are_made_up_by_dearer_ones() -> None:
    stock = [depth(10, 1.0, sizes=1, most=2), depth(10, 5.0, sizes=1)]
    blocks = sawn(stock, [4.0], [7])
    assert blocks is not None
    assert [place for place, _ in blocks] == [0, 0, 1, 1]
    assert sawn(stock[:1], [4.0], [7]) is None


def test_what_is_left_is_left_in_one_block() -> None:
    blocks = sawn([depth(10, sizes=1)], [3.0], [4])
    assert blocks == [(0, (3,)), (0, (1,))]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.integers(2, 12), min_size=1, max_size=3, unique=True),
    st.lists(st.integers(0, 2), min_size=3, max_size=3),
    st.integers(12, 20),
)
def test_no_way_to_share_slabs_out_takes_fewer_blocks(
    sizes: list[int], counts: list[int], length: int
) -> None:
    some = counts[: len(sizes)]
    slabs = [size for size, many in zip(sizes, some, strict=True) for _ in range(many)]
    blocks = sawn([depth(length, sizes=len(sizes))], [float(one) for one in sizes], some)
    assert blocks is not None
    fewest = next(
        n
        for n in range(len(slabs) + 1)
        if any(
            all(
                sum(s for s, b in zip(slabs, put, strict=True) if b == k) <= length
                for k in range(n)
            )
            for put in _partitions(len(slabs), n)
        )
    )
    assert len(blocks) == fewest


def _partitions(count: int, bins: int):  # type: ignore[no-untyped-def]
    if count == 0:
        yield ()
    elif bins:
        # The first slab goes to the first block, each later one no farther than one beyond.
        yield from itertools.product(*(range(min(k + 1, bins)) for k in range(count)))


def test_too_many_patterns_fall_back_on_first_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sawing, "MOST_PATTERNS", 0)
    blocks = sawn([depth(10, sizes=2, most=3)], [6.0, 4.0], [2, 3])
    assert blocks is not None
    assert given_slabs(blocks) == [2, 3]
    assert sawn([depth(10, sizes=2, most=2)], [6.0, 4.0], [2, 3]) is None
