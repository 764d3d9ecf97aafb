"""Several searches at once, and Ctrl-C while one runs."""

import signal
import threading
from dataclasses import replace

import pytest
from shapely import box
from test_nesting import piece, rectangles, shop, stock

from wirepath import cli
from wirepath.model import Block, Placement
from wirepath.nesting import lay_out
from wirepath.nesting.fields import Effort
from wirepath.nesting.stopping import stoppable, stopped
from wirepath.nesting.workers import lay_out_by, merit, more_seeds
from wirepath.workshop import Order


def bends():
    """Twelve L-shapes: no filling in turn finds their best layout."""
    bend = box(0, 0, 110, 250) | box(0, 0, 230, 110)
    return tuple(piece(bend, number) for number in range(1, 13))


def test_two_workers_give_the_better_of_what_each_finds_alone() -> None:
    pieces, workshop = bends(), shop(stock())
    alone = [lay_out(pieces, workshop, seed=seed, seconds=0.3) for seed in (5, *more_seeds(5, 1))]
    better = min(alone, key=lambda one: merit(one, pieces, workshop))
    assert lay_out_by(2, pieces, workshop, seed=5, seconds=0.3) == better
    # Asked again the same bytes come out, and one worker is the first search alone.
    again = lay_out_by(2, pieces, workshop, seed=5, seconds=0.3)
    assert repr(again).encode() == repr(better).encode()
    one = lay_out_by(1, pieces, workshop, seed=5, seconds=0.3)
    assert repr(one).encode() == repr(alone[0]).encode()


def test_seeds_of_further_workers_follow_from_the_first_and_differ() -> None:
    assert more_seeds(5, 3) == more_seeds(5, 3)
    assert len({5, *more_seeds(5, 3), *more_seeds(6, 3)}) == 7


def test_a_cheaper_answer_beats_one_with_a_larger_offcut() -> None:
    pieces = rectangles((100, 100))
    cheap, dear = shop(stock(price=10.0)), shop(stock(price=11.0))
    blocks, layouts = lay_out(pieces, cheap, seconds=0.0)
    wider = tuple(replace(layout, width_mm=layout.width_mm + 1000) for layout in layouts)
    assert merit((blocks, wider), pieces, cheap) < merit((blocks, layouts), pieces, cheap)
    assert merit((blocks, layouts), pieces, cheap) < merit((blocks, wider), pieces, dear)


def test_spare_blocks_count_in_the_price_that_answers_are_compared_by() -> None:
    small, large = stock(name="small", price=10.0), stock(name="large", price=16.0)
    workshop = replace(shop(small, large), order=Order(spare_share=0.1, delivery_price=5.0))

    def price(name: str, count: int) -> float:
        blocks = tuple(
            Block(number=n, stock=name, wire_axis="thickness") for n in range(1, count + 1)
        )
        return merit((blocks, ()), (), workshop)[0]

    # Alone 110 and 112; with two spare ones, and one.
    assert price("small", 11) == 13 * 10 + 5
    assert price("large", 7) == 8 * 16 + 5
    assert price("none on sale", 3) == 0


def test_of_answers_with_the_same_offcut_the_shorter_way_of_the_wire_wins() -> None:
    pieces, workshop = rectangles((400, 100), (100, 100)), shop(stock())
    blocks, (layout,) = lay_out(pieces, workshop, seconds=0.0)
    layout = replace(layout, width_mm=1020, height_mm=520)

    def with_the_small_one_at(x: float, y: float) -> tuple[float, ...]:
        spots = Placement(piece=1, x_mm=10, y_mm=10), Placement(piece=2, x_mm=x, y_mm=y)
        return merit((blocks, (replace(layout, placements=spots),)), pieces, workshop)

    near, far = with_the_small_one_at(10, 120), with_the_small_one_at(200, 250)
    assert near[:-1] == far[:-1]
    # One shared edge, both touch the rim; or none, and 140 up from the wide piece.
    assert (near[-1], far[-1]) == (1000 + 400 - 100, 1000 + 400 + 140)
    assert near < far


def test_a_search_told_to_end_gives_what_it_has() -> None:
    pieces, workshop = bends(), shop(stock())
    end = threading.Event()
    end.set()
    with stoppable(end):
        assert Effort(1e12).spent
        at_once = lay_out(pieces, workshop, seconds=600.0)
        by_both = lay_out_by(2, pieces, workshop, seconds=600.0)
    assert not Effort(1e12).spent
    assert at_once == by_both == lay_out(pieces, workshop, seconds=1e-9)


def test_the_first_ctrl_c_ends_the_search_and_the_second_all() -> None:
    told: list[str] = []
    # A shell starts what runs in the background with the signal ignored.
    inherited = signal.signal(signal.SIGINT, signal.default_int_handler)
    before = signal.getsignal(signal.SIGINT)
    with cli._ctrl_c_ends_search(told.append):
        assert not stopped()
        signal.raise_signal(signal.SIGINT)
        assert stopped()
        assert "best layout so far" in told[0]
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    assert not stopped()
    assert signal.getsignal(signal.SIGINT) is before
    signal.signal(signal.SIGINT, inherited)
