"""Promises 10 and 11, each fault shown: forms go together as told, and go into the van.

The forms are those of promise 9: a plate in two halves, a block in two layers, a hill.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from test_checking_parted import BLOCK, HILL, PLATE

from wirepath.assembling import assemble
from wirepath.checking.assembled import check_assembled
from wirepath.checking.loaded import check_loaded
from wirepath.forming import form_levels
from wirepath.loading import plan_loads
from wirepath.model import Plan, SeamMark
from wirepath.slicing import form_cores
from wirepath.workshop import Glue, Van

VAN = Van(
    opening_width_mm=1230,
    opening_height_mm=1030,
    length_mm=2500,
    width_mm=1300,
    height_mm=1100,
    payload_kg=200,
)


def joined(plan: Plan, **glue: float) -> Plan:
    """Return the plan with the assembly that the stage makes."""
    shop = replace(plan.workshop, glue=Glue(**glue))  # type: ignore[arg-type]
    plan = replace(plan, workshop=shop)
    cores = form_cores(plan.job, plan.traced, form_levels(plan.job, plan.traced))
    made = assemble(plan.pieces, plan.seams, cores, shop.glue)
    return replace(plan, assembly=made)


# Pins of 8 mm and cover of 20 need 48 mm: the plate and the block are 100 and more.
PLATE_JOINED = joined(PLATE)
BLOCK_JOINED = joined(BLOCK, pin_length_mm=80.0, pin_cover_mm=8.0)
HILL_JOINED = joined(HILL, pin_diameter_mm=4.0, pin_length_mm=60.0, pin_cover_mm=8.0)


def told(plan: Plan) -> str:
    finding = check_assembled(plan)
    assert finding.promise == 10
    return "\n".join(str(fault) for fault in finding.faults)


def with_assembly(plan: Plan, **changes: object) -> Plan:
    return replace(plan, assembly=replace(plan.assembly, **changes))  # type: ignore[arg-type]


def with_pin(plan: Plan, **changes: object) -> Plan:
    first, *others = plan.assembly.pins
    return with_assembly(plan, pins=(replace(first, **changes), *others))  # type: ignore[arg-type]


@pytest.mark.parametrize("plan", [PLATE_JOINED, BLOCK_JOINED, HILL_JOINED])
def test_what_the_stage_makes_holds_and_has_pins(plan: Plan) -> None:
    assert told(plan) == ""
    assert len(plan.assembly.pins) >= 2


# --- Steps -----------------------------------------------------------------------------


def test_a_seam_never_closed_is_told() -> None:
    words = told(with_assembly(PLATE_JOINED, steps=()))
    assert "seam 1: it is closed in 0 steps" in words


def test_a_step_that_joins_half_a_lump_is_told() -> None:
    one, two, three = HILL_JOINED.assembly.steps
    assert (two.moved, two.onto) == ((3,), (1, 2))
    half = replace(two, onto=(1,), seams=(2,))
    words = told(with_assembly(HILL_JOINED, steps=(one, half, three)))
    assert "step 2 of gluing: pieces (1,) are not one lump by then" in words
    assert "seam 3: it is closed in 0 steps" in words


def test_a_workshop_step_after_one_on_site_is_told() -> None:
    one, two, three = HILL_JOINED.assembly.steps
    steps = (replace(one, place="site"), two, three)
    assert "comes after one on site" in told(with_assembly(HILL_JOINED, steps=steps))


# --- Marks -----------------------------------------------------------------------------


def test_a_seam_without_marks_is_told() -> None:
    words = told(with_assembly(PLATE_JOINED, marks=()))
    assert "seam 1, pieces 1 and 2: no mark crosses it, 1000 mm long" in words


def test_a_mark_off_its_seam_or_told_elsewhere_is_told() -> None:
    first, second = PLATE_JOINED.assembly.marks
    off = with_assembly(PLATE_JOINED, marks=(replace(first, at=(1003.0, 200.0)), second))
    assert "a mark stands 3.00 mm off it" in told(off)
    wrong = with_assembly(PLATE_JOINED, marks=(replace(first, along_mm=220.0), second))
    assert "a mark is told at 220 mm, it stands at 200.0 mm along it" in told(wrong)


def test_marks_that_meet_on_a_turned_piece_are_told() -> None:
    marks = (
        SeamMark(seam=1, at=(1000.0, 200.0), across_deg=0.0, along_mm=200.0),
        SeamMark(seam=1, at=(1000.0, 798.0), across_deg=0.0, along_mm=798.0),
    )
    words = told(with_assembly(PLATE_JOINED, marks=marks))
    assert "would meet with a piece turned end for end" in words


# --- Pins ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        # Along the seam instead of across it: half of it lies in no one piece for sure.
        ((900.0, 10.0, 50.0), (1100.0, 10.0, 50.0), "20 mm of its pieces cover it"),
        ((920.0, 500.0, 50.0), (1120.0, 500.0, 50.0), "its middle lies off seam 1"),
        ((900.0, 500.0, 90.0), (1100.0, 500.0, 90.0), "20 mm of finished foam cover it"),
        ((1000.0, 400.0, 50.0), (1000.0, 560.0, 50.0), "both halves of it lie in one piece"),
        ((980.0, 500.0, -90.0), (1020.0, 500.0, 190.0), "a half of it leaves the pieces"),
    ],
)
def test_a_pin_where_no_pin_may_be_is_told(
    start: tuple[float, float, float], end: tuple[float, float, float], words: str
) -> None:
    plan = with_pin(joined(PLATE, pin_length_mm=300.0), start=start, end=end)
    assert words in told(plan)


def test_a_pin_over_a_contour_is_not_in_finished_foam_for_sure() -> None:
    # Beside the knoll the hill stands 30 mm for sure nowhere.
    pin = next(pin for pin in HILL_JOINED.assembly.pins if pin.seam == 1)
    moved = with_pin(HILL_JOINED, start=(470.0, 50.0, 15.0), end=(530.0, 50.0, 15.0))
    assert pin == HILL_JOINED.assembly.pins[0]
    assert "finished foam cover it for sure" in told(moved)


def test_pins_too_near_too_long_or_not_parallel_are_told() -> None:
    first, *rest = PLATE_JOINED.assembly.pins
    near = replace(
        first,
        number=len(rest) + 2,
        start=(first.start[0], first.start[1] + 20, first.start[2]),
        end=(first.end[0], first.end[1] + 20, first.end[2]),
    )
    words = told(with_assembly(PLATE_JOINED, pins=(first, *rest, near)))
    assert f"pin 1: it lies within 20 mm of pin {near.number}" in words
    middle = np.add(first.start, first.end) / 2
    aslant = np.array([60.0, 30.0, 0.0])
    crooked = with_pin(PLATE_JOINED, start=tuple(middle - aslant), end=tuple(middle + aslant))
    assert "step 1 of gluing: its pins are not parallel" in told(crooked)
    shop = replace(PLATE_JOINED.workshop, glue=Glue(pin_length_mm=100.0))
    assert "it is 160.0 mm long, pins are 100 mm" in told(replace(PLATE_JOINED, workshop=shop))


def test_a_pin_of_no_seam_is_told() -> None:
    assert "there is no seam 9" in told(with_pin(PLATE_JOINED, seam=9))


# --- Loads -----------------------------------------------------------------------------


def loaded(plan: Plan, **van: float) -> Plan:
    shop = replace(plan.workshop, van=replace(VAN, **van))  # type: ignore[arg-type]
    made = plan_loads(plan.pieces, plan.assembly.steps, shop, plan.job.seams)
    return replace(
        plan,
        workshop=shop,
        loads=made.loads,
        fewest_loads=made.fewest,
        assembly=replace(plan.assembly, steps=made.steps),
    )


PLATE_LOADED = loaded(PLATE_JOINED)


def load_told(plan: Plan) -> str:
    finding = check_loaded(plan)
    assert finding.promise == 11
    return "\n".join(str(fault) for fault in finding.faults)


def with_item(plan: Plan, place: int, **changes: object) -> Plan:
    (load,) = plan.loads
    items = list(load.items)
    items[place] = replace(items[place], **changes)  # type: ignore[arg-type]
    return replace(plan, loads=(replace(load, items=tuple(items)),))


def test_loads_that_the_stage_makes_hold() -> None:
    assert load_told(PLATE_LOADED) == ""
    assert load_told(loaded(HILL_JOINED)) == ""
    assert load_told(PLATE_JOINED) == ""


def test_loads_without_a_van_are_told() -> None:
    shop = replace(PLATE_LOADED.workshop, van=None)
    assert "without a van" in load_told(replace(PLATE_LOADED, workshop=shop))


def test_a_piece_left_behind_or_taken_twice_is_told() -> None:
    (load,) = PLATE_LOADED.loads
    short = replace(PLATE_LOADED, loads=(replace(load, items=load.items[:1]),))
    assert "it travels 0 times" in load_told(short)
    again = replace(PLATE_LOADED, loads=(load, replace(load, number=2)))
    assert "it travels 2 times" in load_told(again)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"x_mm": 2450.0}, "stand outside the van"),
        ({"z_mm": -1.0}, "stand outside the van"),
        ({"z_mm": 0.0, "y_mm": 0.0, "x_mm": 0.0}, "overlap"),
        ({"width_mm": 1250.0}, "do not pass the van's opening"),
        ({"length_mm": 90.0}, "what is in the box takes 100 x 1000 x 1000 mm"),
        ({"weight_kg": 1.0}, "it is told to weigh 1.00 kg, it weighs 1.50 kg"),
        ({"pieces": (1, 2)}, "are not one lump when the van is loaded"),
    ],
)
def test_a_box_that_cannot_be_so_is_told(changes: dict[str, object], words: str) -> None:
    # Half a plate: 1 x 1 x 0.1 m at 15 kg/m3 is 1.5 kg.
    assert words in load_told(with_item(PLATE_LOADED, 1, **changes))


def test_a_load_over_the_payload_is_told() -> None:
    shop = replace(PLATE_LOADED.workshop, van=replace(VAN, payload_kg=2.0))
    words = load_told(replace(PLATE_LOADED, workshop=shop))
    assert "it weighs 3.0 kg, the van may carry 2 kg" in words
    assert "no fewer than 1 loads are told, measured are 2" in words


def test_a_box_that_bars_the_way_is_told() -> None:
    (load,) = PLATE_LOADED.loads
    one, other = load.items
    deep = replace(one, x_mm=1300.0, y_mm=0.0, z_mm=0.0)
    behind = replace(other, x_mm=0.0, y_mm=0.0, z_mm=0.0)
    plan = replace(PLATE_LOADED, loads=(replace(load, items=(deep, behind)),))
    assert "loaded before, bar the way" in load_told(plan)
    assert load_told(replace(plan, loads=(replace(load, items=(behind, deep)),))) == ""
