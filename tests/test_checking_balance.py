"""Promise 5, each fault shown: foam, order, weights, lengths, times and prices."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_checking_specimen import (
    ESTIMATE,
    FOAM,
    LAYOUT,
    MOVES,
    PIECES,
    PLAN,
    SLOT_MM2,
    WORKSHOP,
    told,
    with_estimate,
    with_layout,
)

from wirepath.checking.balance import measure
from wirepath.checking.sawing import room_in
from wirepath.checking.scene import scenes
from wirepath.model import FoamBalance, Offcut, Pass, Placement, Plan

SHEET, SLAB = ESTIMATE.offcuts


def with_foam(**changes: float) -> Plan:
    return with_estimate(foam=replace(FOAM, **changes))


def with_offcuts(*offcuts: Offcut) -> Plan:
    return with_estimate(offcuts=offcuts)


def with_line(**changes: object) -> Plan:
    return with_estimate(order=(replace(ESTIMATE.order[0], **changes),))  # type: ignore[arg-type]


# --- The foam balance --------------------------------------------------------------


def test_every_term_is_measured_as_on_paper() -> None:
    """Slot by Steiner's formula: 1821.42 mm2 x 50 mm, and a slab cut of 380 x 280 x 2 mm."""
    measured = measure(PLAN, scenes(PLAN))
    assert pytest.approx(1821.425, abs=1e-3) == SLOT_MM2
    assert measured.bought == pytest.approx(12.0)
    assert measured.trim == pytest.approx(3.488)
    assert measured.pieces == pytest.approx(0.72)
    assert measured.offcuts == pytest.approx(5.6112)
    # The round corners of the slot are drawn with 32 straight pieces to a quarter.
    assert measured.kerf == pytest.approx(0.212800 + 0.091071, abs=1e-6)
    assert measured.scrap == pytest.approx(1.876929, abs=2e-6)


@pytest.mark.parametrize("term", [field.name for field in fields(FoamBalance)])
def test_every_term_stated_wrongly_is_told(term: str) -> None:
    """Wrong by 1 % of the foam bought; the other terms make up for it, so the sum holds."""
    other = "scrap" if term != "scrap" else "kerf"
    sign = 1 if term == "bought" else -1
    plan = with_foam(
        **{term: getattr(FOAM, term) + 0.12, other: getattr(FOAM, other) + sign * 0.12}
    )
    text = told(plan, 5)
    right = getattr(FOAM, term)
    assert f"foam balance, {term}: {right + 0.12:.3f} litres stated, {right:.3f} measured" in text


def test_terms_that_do_not_add_up_are_told() -> None:
    assert "the terms stated miss the foam taken by 0.100 litres" in (
        told(with_foam(scrap=FOAM.scrap - 0.1), 5)
    )


def test_kerf_may_differ_by_half_a_percent_for_the_way_it_is_drawn() -> None:
    assert told(with_foam(kerf=FOAM.kerf * 1.004, scrap=FOAM.scrap - FOAM.kerf * 0.004), 5) == ""
    assert told(with_foam(kerf=FOAM.kerf * 1.006, scrap=FOAM.scrap - FOAM.kerf * 0.006), 5) != ""


def test_leaving_a_cut_out_of_the_plan_changes_the_kerf() -> None:
    shorter = replace(PLAN, passes=(Pass(layout=1, number=1, moves=MOVES[:8]),))
    assert "foam balance, kerf" in told(shorter, 5)


@settings(max_examples=40, deadline=None)
@given(
    x=st.floats(20, 200),
    thick=st.floats(10, 80),
    trim=st.floats(0, 10),
)
def test_measured_terms_add_up_wherever_things_lie(x: float, thick: float, trim: float) -> None:
    """Area in is area out: block = pieces + kerf + trim + offcuts + scrap, none left over."""
    stock = replace(WORKSHOP.stock[0], trim_mm=trim)
    plan = replace(
        PLAN,
        workshop=replace(WORKSHOP, stock=(stock,)),
        pieces=tuple(replace(piece, thickness_mm=thick) for piece in PIECES),
        layouts=(
            replace(
                LAYOUT,
                from_mm=trim,
                thickness_mm=min(thick, 100 - 2 * trim),
                trim_mm=trim,
                placements=(
                    Placement(piece=1, x_mm=x, y_mm=20),
                    Placement(piece=2, x_mm=x - 10, y_mm=150),
                ),
            ),
        ),
    )
    thickness = plan.layouts[0].thickness_mm
    plan = replace(
        plan, pieces=tuple(replace(piece, thickness_mm=thickness) for piece in plan.pieces)
    )
    foam = measure(plan, scenes(plan))
    total = foam.pieces + foam.kerf + foam.trim + foam.offcuts + foam.scrap
    assert total == pytest.approx(foam.bought, rel=1e-9)
    assert foam.pieces == pytest.approx(14400 * thickness / 1e6)
    assert min(foam.kerf, foam.trim) >= 0


# --- Slab cuts ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("from_mm", "thickness_mm", "cuts"),
    [
        (10, 80, ((10, 10), (90, 90))),  # the rough faces are sawn off, in the trim
        (10, 50, ((10, 10), (60, 62))),  # what is left behind is freed by one cut
        (10, 79, ((10, 10), (89, 90))),  # the cut takes the last millimetre, and 1 mm of trim
        (0, 100, ()),  # the block as bought
        (0, 60, ((60, 62),)),
        (40, 50, ((38, 40), (90, 90))),  # what is left lies before the slab
        (30, 40, ((28, 30), (70, 72))),  # before and behind
    ],
)
def test_a_slab_is_freed_by_cuts_where_the_block_goes_on(
    from_mm: float, thickness_mm: float, cuts: tuple[tuple[float, float], ...]
) -> None:
    plan = with_layout(from_mm=from_mm, thickness_mm=thickness_mm)
    assert room_in(plan, 1).cuts == cuts


def test_two_slabs_a_kerf_apart_share_one_cut() -> None:
    second = replace(LAYOUT, number=2, from_mm=62, thickness_mm=28)
    room = room_in(replace(PLAN, layouts=(LAYOUT, second)), 1)
    assert room.cuts == ((10, 10), (60, 62), (90, 90))
    assert room.left_mm == pytest.approx(0)


# --- Offcuts -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("offcut", "text"),
    [
        (replace(SHEET, x_mm=190, width_mm=200), "piece 2 lies in it"),
        (replace(SHEET, x_mm=190, width_mm=200), "a slot runs through it"),
        (replace(SHEET, x_mm=201, width_mm=189), "a slot runs through it"),
        (replace(SHEET, width_mm=190), "reaches out of the block less trim"),
        (replace(SHEET, y_mm=8), "reaches out of the block less trim"),
        (replace(SHEET, width_mm=149), "is smaller than what the workshop keeps"),
        (replace(SHEET, height_mm=249), "is smaller than what the workshop keeps"),
        (replace(SHEET, thickness_mm=49), "its depth is not that of its slab"),
        (replace(SHEET, from_mm=12), "its depth is not that of its slab"),
        (replace(SHEET, layout=None), "lies in a slab that is cut, or in a slab cut"),
    ],
)
def test_an_offcut_that_is_not_there_is_told(offcut: Offcut, text: str) -> None:
    assert text in told(with_offcuts(offcut, SLAB), 5)


def test_an_uncut_slab_may_not_reach_into_the_cut_before_it_nor_the_trim() -> None:
    assert "lies in a slab that is cut, or in a slab cut" in (
        told(with_offcuts(SHEET, replace(SLAB, from_mm=61)), 5)
    )
    assert "reaches out of the block less trim" in (
        told(with_offcuts(SHEET, replace(SLAB, thickness_mm=29)), 5)
    )
    assert "is smaller than what the workshop keeps" in (
        told(with_offcuts(SHEET, replace(SLAB, thickness_mm=24)), 5)
    )


def test_foam_kept_twice_is_told() -> None:
    again = replace(SLAB, number=3, x_mm=100, width_mm=290)
    assert "offcuts 2 and 3, block 1: two offcuts share foam" in (
        told(with_offcuts(SHEET, SLAB, again), 5)
    )


# --- Order, weights, lengths, times, prices ----------------------------------------


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"needed": 2}, "order, small block: 2 blocks needed stated, 1 used"),
        ({"spare": 0}, "order, small block: 0 spare blocks stated, 1 asked"),
        ({"foam": "EPS 20"}, "foam 'EPS 20' stated, 'EPS 15' in the workshop"),
        ({"length_mm": 410}, "order, small block, length_mm: 410 stated, 400 worked out"),
        ({"width_mm": 310}, "order, small block, width_mm: 310 stated, 300 worked out"),
        ({"thickness_mm": 90}, "order, small block, thickness_mm: 90 stated, 100 worked out"),
        ({"price_each": 13}, "order, small block, price_each: 13 stated, 12 worked out"),
        ({"volume_m3": 0.012}, "order, small block, volume_m3: 0.012 stated, 0.024 worked out"),
        ({"weight_kg": 0.37}, "order, small block, weight_kg: 0.37 stated, 0.36 worked out"),
    ],
)
def test_an_order_that_does_not_buy_the_plan_s_blocks_is_told(
    changes: dict[str, object], text: str
) -> None:
    assert text in told(with_line(**changes), 5)


def test_an_order_without_a_line_or_with_two_is_told() -> None:
    assert "order, small block: 0 order lines" in told(with_estimate(order=()), 5)
    assert "order, small block: 2 order lines" in told(with_estimate(order=ESTIMATE.order * 2), 5)


@pytest.mark.parametrize(("density", "weight"), [(15, 27.2377), (20, 36.3170), (30, 54.4754)])
def test_a_full_block_weighs_what_its_measures_say(density: float, weight: float) -> None:
    """2440 x 1220 x 610 mm, a common trade size: 1.8158 m3, worked out by hand."""
    stock = replace(WORKSHOP.stock[0], length_mm=2440, width_mm=1220, thickness_mm=610)
    foam = replace(WORKSHOP.foams[0], density_kg_per_m3=density)
    plan = replace(
        with_line(spare=0, weight_kg=1),
        workshop=replace(
            WORKSHOP, stock=(stock,), foams=(foam,), order=replace(WORKSHOP.order, spare_share=0)
        ),
    )
    (line,) = [part for part in told(plan, 5).splitlines() if "block, weight_kg" in part]
    assert line == f"order, small block, weight_kg: 1 stated, {weight:g} worked out"


def test_a_tenth_of_thirty_blocks_spare_is_three_not_four() -> None:
    """30 x 0.1 is 3.0000000000000004 in double numbers: rounded up to whole blocks it is 3."""
    blocks = tuple(replace(PLAN.blocks[0], number=n) for n in range(1, 31))
    layouts = tuple(replace(LAYOUT, number=n, block=n, placements=()) for n in range(2, 31))
    passes = tuple(replace(PLAN.passes[0], layout=n) for n in range(1, 31))
    plan = replace(
        with_line(needed=30, spare=3), blocks=blocks, layouts=(LAYOUT, *layouts), passes=passes
    )
    assert "spare blocks stated" not in told(plan, 5)


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"fewest_blocks": 2}, "no plan can do with fewer than 2 blocks, it says; this one uses 1"),
        ({"fewest_blocks": 0}, "no plan can do with fewer than 0 blocks"),
        (
            {"piece_weights_kg": ((1, 0.0063), (2, 0.0046))},
            "piece 2, weight_kg: 0.0046 stated, 0.0045 worked out",
        ),
        ({"piece_weights_kg": ((1, 0.0063),)}, "not every piece is weighed once"),
        ({"wire": replace(ESTIMATE.wire, foam_mm=960)}, "wire, foam_mm: 960 stated, 957 worked"),
        ({"wire": replace(ESTIMATE.wire, slot_mm=98)}, "wire, slot_mm: 98 stated, 99 worked out"),
        ({"wire": replace(ESTIMATE.wire, air_mm=20)}, "wire, air_mm: 20 stated, 40 worked out"),
        ({"slab_cut_mm": 0}, "slab_cut_mm: 0.0 mm stated, 560.0 to 880.0 possible"),
        ({"slab_cut_mm": 881}, "slab_cut_mm: 881.0 mm stated, 560.0 to 880.0 possible"),
        ({"cutting_min": 5.0}, "cutting_min: 5 stated, 6.20889 worked out"),
        ({"setup_min": 30}, "setup_min: 30 min stated, 10 to 20 possible"),
        ({"foam_price": 12}, "foam_price: 12 stated, 24 worked out"),
        ({"delivery_price": 0}, "delivery_price: 0 stated, 5 worked out"),
        ({"labour_price": 12}, "labour_price: 12 stated, 13.1044 worked out"),
        ({"currency": "shells"}, "currency: 'shells' stated, 'crowns' asked"),
    ],
)
def test_a_figure_of_the_estimate_that_is_wrong_is_told(
    changes: dict[str, object], text: str
) -> None:
    assert text in told(with_estimate(**changes), 5)
