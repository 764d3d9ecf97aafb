"""Forms roughed once they are glued: pins and glue keep off every cut that is still to come."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from test_roughing_pieces import SHOP, faults_of, hill, job, planned

from wirepath.assembling import assemble
from wirepath.checking.pinned import pin_faults
from wirepath.forming import form_levels
from wirepath.model import Pin, Plan, RoughingSettings
from wirepath.roughing import cuts_after_gluing
from wirepath.workshop import Glue

GLUED = RoughingSettings(way="glued, then profiles", most_cuts=4)


@cache
def plan() -> Plan:
    """The hill in two halves of 300 x 300 mm, glued, then roughed by tilted profiles."""
    return planned(job(roughing=GLUED))


def pinned(clear_mm: float, *, kept_off: bool = True) -> Plan:
    """Return the plan with pins that keep so far from the cuts, or know nothing of them."""
    glue = Glue(pin_clear_mm=clear_mm)
    levels = form_levels(job(), hill())
    later = cuts_after_gluing(plan().roughing) if kept_off else {}
    return replace(
        plan(),
        workshop=replace(SHOP, glue=glue),
        assembly=assemble(plan().pieces, plan().seams, levels, glue, later=later),
    )


def told(plan: Plan) -> list[str]:
    return [str(fault) for fault in pin_faults(plan)]


def from_the_wire(pin: Pin, points: int = 41) -> float:
    """Return how near a pin comes to any later cut: places on the wire and on the pin, in space.

    The wire at a place of its way is a straight line; a point's distance to a line is by the
    cross product (Euclid; any textbook of vectors).
    """
    axis = np.linspace(pin.start, pin.end, points)
    least = np.inf
    for cut in plan().roughing[0].cuts:
        wire = np.array(cut.direction.wire)
        for line in cut.lines:
            places = shapely.get_coordinates(shapely.segmentize(line, 5.0)) + cut.datum
            on_wire = places @ np.array([cut.direction.right, cut.direction.up])
            apart = np.cross(axis[:, None] - on_wire, wire)
            least = min(least, float(np.linalg.norm(apart, axis=2).min()))
    return least


def test_a_form_roughed_once_glued_is_proved_with_its_pins() -> None:
    assert {cut.kind for cut in plan().roughing[0].cuts} == {"profile", "tilted profile"}
    assert faults_of(plan()) == ""
    assert plan().assembly.pins


@pytest.mark.parametrize("clear_mm", [70.0, 80.0])
def test_pins_keep_off_cuts_made_after_gluing(clear_mm: float) -> None:
    made = pinned(clear_mm)
    assert told(made) == []
    assert min(from_the_wire(pin) for pin in made.assembly.pins) >= clear_mm
    unaware = pinned(clear_mm, kept_off=False)
    assert min(from_the_wire(pin) for pin in unaware.assembly.pins) < clear_mm


def test_a_pin_in_the_way_of_a_later_cut_is_told() -> None:
    (first, *_) = told(pinned(70.0, kept_off=False))
    near = from_the_wire(pinned(70.0, kept_off=False).assembly.pins[0])
    assert "70 mm are asked" in first
    assert f"it lies {near:.1f} mm from the wire" in first


def test_pieces_roughed_before_they_are_glued_have_no_cut_after() -> None:
    assert cuts_after_gluing(planned(job()).roughing) == {}
