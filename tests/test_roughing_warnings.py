"""What a maker must know before cutting, each told by a job that has it: and not by one without."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from shapely import Point, box
from test_roughing_pieces import SHOP, hill, job, plan
from test_roughing_pieces import roughed as of_pieces

from wirepath.model import Contour, Outline, RoughingPlan, SeamSettings, Traced
from wirepath.roughing import rough_forms
from wirepath.wording.roughing import ENGLISH, note_text
from wirepath.workshop import Lift, Workshop

LONG = replace(SHOP, wire=replace(SHOP.wire, length_mm=2000.0))


def drawn(*regions) -> Traced:
    """Return a relief by its outline and contours 25 mm apart."""
    return Traced(
        outlines=(Outline(name="Hill", polygon=regions[0]),),
        contours=tuple(
            Contour(height_mm=25.0 * k, region=region) for k, region in enumerate(regions[1:], 1)
        ),
    )


def ring() -> Traced:
    """Return a ring of 500 mm with a hole of 240 mm, square to its back."""
    rings = [Point(0, 0).buffer(r).difference(Point(0, 0).buffer(120)) for r in (250, 245)]
    return drawn(*rings)


def fin() -> Traced:
    """Return a plate of 400 x 200 mm with a fin 8 mm thick along its middle."""
    return drawn(box(0, 0, 400, 200), box(0, 96, 400, 104))


@cache
def roughed(traced: Traced, shop: Workshop = LONG) -> RoughingPlan:
    asked = replace(job(), seams=SeamSettings())
    (rough,) = rough_forms(asked, shop, traced, way="outline and two profiles", compare=False)
    return rough


def told(traced: Traced, shop: Workshop = LONG) -> str:
    """Return all notes of a job's roughing, in words."""
    rough = roughed(traced, shop)
    notes = [*rough.notes, *(note for cut in rough.cuts for note in cut.notes)]
    return "\n".join(note_text(note, ENGLISH) for note in notes)


def test_a_ring_that_needs_a_slit_is_told():
    assert "needs a slit" in told(ring())
    assert "slit" not in told(hill())


def test_thin_remains_are_told():
    assert "thinner than 40 mm" in told(fin())
    assert "thinner than" not in told(hill())


@pytest.mark.parametrize(
    ("one_kg", "two_kg", "words"), [(0.02, 50.0, "two people"), (0.01, 0.02, "more than two")]
)
def test_an_offcut_too_heavy_for_one_is_told(one_kg, two_kg, words):
    weak = replace(LONG, lift=Lift(one_person_kg=one_kg, two_people_kg=two_kg))
    assert words in told(hill(), weak)
    assert "people" not in told(hill())


def test_a_wire_that_crosses_a_glue_line_is_told_of_the_glued_form_only():
    (apart,), glued = plan().roughing, of_pieces(way="glued, then profiles")
    kinds = [{note.kind for cut in rough.cuts for note in cut.notes} for rough in (apart, glued)]
    assert apart.way.startswith("pieces as planned")
    assert ["glue line" in one for one in kinds] == [False, True]


def test_a_hollow_is_told_with_its_litres_and_place():
    bowl = drawn(
        box(0, 0, 500, 400),
        box(10, 10, 490, 390).difference(box(150, 150, 350, 250)),
        box(20, 20, 480, 380).difference(box(140, 140, 360, 260)),
    )
    text = told(bowl)
    # 200 x 100 x 25 mm, and under it nothing: the second contour's dip is 220 x 120 x 50 mm.
    litres = (200 * 100 * 25 + 220 * 120 * 50) / 1e6
    assert f"{litres:.1f} litres" in text or f"{litres:.0f} litres" in text


def test_offcuts_worth_keeping_are_told_by_the_size_the_shop_keeps():
    lumps = [lump for cut in roughed(hill()).cuts for lump in cut.offcuts]
    assert any(lump.keep for lump in lumps)
    picky = replace(LONG, offcuts=replace(LONG.offcuts, keep_length_mm=2000.0))
    assert not any(lump.keep for cut in roughed(hill(), picky).cuts for lump in cut.offcuts)
