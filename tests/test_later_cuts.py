"""Forms roughed once they are glued: pins and glue keep off every cut that is still to come."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon, box
from shapely.affinity import scale, translate
from test_roughing_pieces import SHOP, faults_of, hill, job

from wirepath.assembling import assemble
from wirepath.checking.later import later_cut_faults
from wirepath.checking.roughed import check_roughed
from wirepath.forming import form_levels
from wirepath.geometry import polygons, seam_line
from wirepath.gluing import glue_off_cuts
from wirepath.model import (
    Contour,
    GlueStrip,
    LaterWire,
    Outline,
    Pin,
    Plan,
    RoughingPlan,
    RoughingSettings,
    Seam,
    SeamSettings,
    Traced,
)
from wirepath.planning import make_plan
from wirepath.report import plan_lines
from wirepath.roughing import cuts_after_gluing
from wirepath.roughing.directions import slanting
from wirepath.sectioning import seams
from wirepath.sheets.gluing_sheet import gluing_pages
from wirepath.sheets.layer_picture import seam_name
from wirepath.slicing import form_cores
from wirepath.wording import ENGLISH
from wirepath.workshop import Glue

Floats = NDArray[np.float64]
SQUARE = box(0, 0, 400, 400)


def pear() -> Traced:
    """Return a pear of 400 x 660 mm, 100 mm high at its peak, in four contours 25 mm apart."""
    disc = Point(0, 0).buffer(1, quad_segs=6)
    regions = [
        translate(scale(disc, 200 * s, 200 * s), 200, 200).union(
            translate(scale(disc, 110 * s, 180 * s), 200, 480)
        )
        for s in (1.0, 0.9, 0.75, 0.5)
    ]
    return replace(
        hill(),
        outlines=(Outline(name="Pear", polygon=regions[0]),),
        contours=tuple(
            Contour(height_mm=25.0 * k, region=part)
            for k, region in enumerate(regions[1:], 1)
            for part in polygons(region)
        ),
    )


@cache
def plan() -> Plan:
    """The pear cut from a blank of three cells, then roughed by four cuts as one."""
    asked = replace(
        job(roughing=RoughingSettings(most_cuts=4)),
        seams=SeamSettings(at_y_mm=(260.0,), way="glue first"),
    )
    return make_plan(asked, SHOP, pear(), seconds=0.0)


def pinned(clear_mm: float, *, kept_off: bool = True) -> Plan:
    """Return the plan with pins that keep so far from the cuts, or know nothing of them."""
    glue = Glue(pin_clear_mm=clear_mm)
    cores = form_cores(job(), pear(), form_levels(job(), pear()))
    later = cuts_after_gluing(plan().roughing) if kept_off else {}
    return replace(
        plan(),
        workshop=replace(SHOP, glue=glue),
        assembly=assemble(plan().pieces, plan().seams, cores, glue, later=later),
    )


def reglued(**changes: object) -> Plan:
    """Return the plan with the glue of its first seam changed."""
    first, *others = plan().seams
    return replace(plan(), seams=(replace(first, **changes), *others))  # type: ignore[arg-type]


def told(plan: Plan) -> list[str]:
    return [str(fault) for fault in later_cut_faults(plan)]


def rough_faults(*roughing: RoughingPlan) -> str:
    findings = check_roughed(replace(plan(), roughing=roughing))
    return "\n".join(str(fault) for finding in findings for fault in finding.faults)


def pin_gap(pin: Pin) -> float:
    return from_the_wire(np.linspace(pin.start, pin.end, 41))


def from_the_wire(points: Floats) -> float:
    """Return how near any of the points (n, 3) comes to a later cut, measured in space.

    The wire at a place of its way is a straight line; a point's distance to a line is by the
    cross product (Euclid; any textbook of vectors).
    """
    least = np.inf
    for cut in plan().roughing[0].cuts:
        wire = np.array(cut.direction.wire)
        for line in cut.lines:
            places = shapely.get_coordinates(shapely.segmentize(line, 5.0)) + cut.datum
            on_wire = places @ np.array([cut.direction.right, cut.direction.up])
            apart = np.cross(points[:, None] - on_wire, wire)
            least = min(least, float(np.linalg.norm(apart, axis=2).min()))
    return least


def test_a_form_roughed_once_glued_is_proved_with_its_pins() -> None:
    assert {cut.kind for cut in plan().roughing[0].cuts} == {"profile", "tilted profile"}
    assert faults_of(plan()) == ""
    assert plan().assembly.pins


@pytest.mark.parametrize(("clear_mm", "count"), [(50.0, 2), (57.0, 2), (66.0, 0)])
def test_pins_keep_off_cuts_made_after_gluing(clear_mm: float, count: int) -> None:
    made = pinned(clear_mm)
    assert told(made) == []
    assert [pin_gap(pin) >= clear_mm for pin in made.assembly.pins] == [True] * count


def test_a_pin_in_the_way_of_a_later_cut_is_told() -> None:
    (first, *_) = told(pinned(66.0, kept_off=False))
    near = min(pin_gap(pin) for pin in pinned(66.0, kept_off=False).assembly.pins)
    assert "66 mm are asked" in first
    assert f"it lies {near:.1f} mm from the wire" in first


# --- Glue ----------------------------------------------------------------------------


def glue_places(seam: Seam) -> Floats:
    """Return places all over the glue of an edge seam, (n, 3)."""
    found = []
    for strip in seam.strips or ():
        flat = shapely.get_coordinates(shapely.segmentize(strip.line, 5.0))
        heights = np.linspace(strip.from_mm, strip.to_mm, 9)
        found.append(np.c_[np.repeat(flat, 9, axis=0), np.tile(heights, len(flat))])
    return np.concatenate(found)


def test_glue_keeps_off_cuts_made_after_gluing() -> None:
    seam, _ = plan().seams
    assert from_the_wire(glue_places(seam)) >= 30.0
    # One step higher somewhere it would not: it goes as high as it may.
    higher = [replace(one, to_mm=one.to_mm + 20.0) for one in seam.strips or ()]
    assert from_the_wire(glue_places(replace(seam, strips=tuple(higher)))) < 30.0
    assert 0 < seam.area_mm2 < seam.length_mm * 110 - 1


def test_glue_too_near_a_later_cut_or_in_what_comes_off_is_told() -> None:
    seam, _ = plan().seams
    higher = tuple(replace(one, to_mm=one.to_mm + 20.0) for one in seam.strips or ())
    near = [one for one in told(reglued(strips=higher)) if "30 are asked" in one]
    gap = from_the_wire(glue_places(replace(seam, strips=higher)))
    gaps = [float(one.split("glue lies ")[1].split()[0]) for one in near]
    assert min(gaps) == pytest.approx(gap, abs=0.5)
    whole = GlueStrip(line=seam_line(seam.place), from_mm=0.0, to_mm=110.0)
    assert any("foam that comes off" in one for one in told(reglued(strips=(whole,))))


def test_glue_off_its_seam_or_none_told_of_is_told() -> None:
    aside = GlueStrip(line=LineString([(140, 270), (160, 270)]), from_mm=0.0, to_mm=40.0)
    assert "a strip of glue lies off it" in told(reglued(strips=(aside,)))[0]
    assert "its form is roughed once it is glued" in told(reglued(strips=None))[0]


def test_a_seam_left_dry_without_need_is_told() -> None:
    job = replace(plan().job, seams=replace(plan().job.seams, dry_mm=0.0))
    assert any("stays dry far from" in one for one in told(replace(reglued(strips=()), job=job)))


@pytest.mark.parametrize("top_mm", [9.0, 15.0, 39.4, 40.0, 40.5])
def test_a_seam_far_under_every_later_cut_is_glued_up_to_its_top(top_mm: float) -> None:
    first = replace(plan().seams[0], dry=Polygon(), to_mm=top_mm)
    form = str(plan().piece(first.pieces[0]).section_of)
    # Seen from the front edge of the form the wire passes level, 200 mm over its back.
    high = LineString([(-900, 200), (1200, 200)])
    wire = LaterWire(
        lines=high, kept=box(-900, -500, 1200, 200), right=(1.0, 0.0, 0.0), up=(0.0, 0.0, 1.0)
    )
    (made,) = glue_off_cuts([first], plan().pieces, {form: [wire]}, 30.0)
    assert made.area_mm2 == pytest.approx(first.length_mm * top_mm)


def test_a_layers_glue_near_a_later_cut_or_left_out_far_from_it_is_told() -> None:
    area = box(70, 130, 330, 260)
    high = reglued(kind="layer", place=area, from_mm=80.0, to_mm=80.0, strips=None)
    assert "30 are asked" in told(high)[0]
    low = reglued(kind="layer", place=area, from_mm=5.0, to_mm=5.0, strips=None)
    assert told(low) == []
    job = replace(plan().job, seams=replace(plan().job.seams, dry_mm=0.0))
    dry = replace(low, job=job, seams=(replace(low.seams[0], dry=area), *low.seams[1:]))
    assert "stays dry far from every cut" in told(dry)[0]


@pytest.mark.parametrize("tilt_deg", [0.0, 40.0])
def test_layers_are_glued_only_where_a_later_cut_passes_well_over_them(tilt_deg: float) -> None:
    parts = tuple(
        replace(
            plan().pieces[0],
            number=n,
            outline=box(0, 0, 400, 400),
            from_mm=100.0 * n - 100.0,
            thickness_mm=100.0,
        )
        for n, z in ((1, 0.0), (2, 100.0))
    )
    (seam,) = seams(parts)
    form = str(parts[0].section_of)
    direction = slanting(25.0, tilt_deg)
    # A wire that goes up to the middle and down again, over what it keeps.
    peak = LineString([(-900, -50), (150, 190), (1200, -50)])
    kept = Polygon([*peak.coords, (1200, -500), (-900, -500)])
    wire = LaterWire(lines=peak, kept=kept, right=direction.right, up=direction.up)
    (made,) = glue_off_cuts([seam], parts, {form: [wire]}, 30.0)
    spots = np.random.default_rng(1).uniform(0, 400, (4000, 2))
    seen = np.c_[spots, np.full(4000, 100.0)] @ np.array([direction.right, direction.up]).T
    points = shapely.points(seen)
    may = shapely.covers(kept, points) & (shapely.distance(points, peak) >= 30.0)
    glued = shapely.contains_xy(made.glued, spots)
    assert not (glued & ~may).any()
    assert 0 < (may & ~glued).sum() <= 0.02 * may.sum() < 80
    assert made.area_mm2 == pytest.approx(160_000 * may.mean(), rel=0.06)


def test_the_sheets_say_seam_by_seam_where_glue_goes_and_what_holds_without_pins() -> None:
    bare = replace(plan(), assembly=replace(plan().assembly, pins=()))
    told = " ".join(text.text for page in gluing_pages(bare, ENGLISH) for text in page.texts)
    seam, _ = plan().seams
    first = (seam.strips or ())[0]
    assert "it keeps 30 mm off those cuts" in told
    assert f"/ 0 to {first.to_mm:.0f}" in told
    assert told.count(ENGLISH.gluing_step_strips[:20]) == len(plan().assembly.steps)
    assert "No pin fits in A, B" in told
    assert "wide straps over boards" in told
    assert "seams that no pin fits: 2" in "\n".join(plan_lines(bare))


def test_the_sheets_say_what_one_pin_does_not_hold() -> None:
    first, *_ = plan().assembly.pins
    one = replace(plan(), assembly=replace(plan().assembly, pins=(first,)))
    told = " ".join(text.text for page in gluing_pages(one, ENGLISH) for text in page.texts)
    name = seam_name(first.seam)
    assert f"Only one pin fits in {name}" in told


def test_a_form_glued_first_is_roughed_as_one_and_not_cell_by_cell() -> None:
    (rough,) = plan().roughing
    (blank,) = plan().blanks
    assert [one.pieces for one in rough.blanks] == [blank.cells]
    assert rough.way == "glued, then profiles"
    assert rough.block_litres == pytest.approx(blank.foam.pieces)
    foam = sum(prism.region.area * (prism.to_mm - prism.from_mm) for prism in rough.blanks[0].foam)
    assert foam / 1e6 == pytest.approx(blank.foam.pieces)


def test_cells_roughed_apart_or_in_foam_cut_away_are_told() -> None:
    (rough,) = plan().roughing
    (whole,) = rough.blanks
    apart = tuple(
        replace(whole, number=k, pieces=(number,), foam=(prism,))
        for k, (number, prism) in enumerate(zip(whole.pieces, whole.foam, strict=True), 1)
    )
    assert "though they are glued first" in rough_faults(replace(rough, blanks=apart))
    uncut = tuple(
        replace(prism, region=plan().piece(number).outline)
        for number, prism in zip(whole.pieces, whole.foam, strict=True)
    )
    whole = replace(whole, foam=uncut)
    assert "piece 1 has another outline" in rough_faults(replace(rough, blanks=(whole,)))
    assert "the piece is roughed 0 times" in rough_faults()


def test_pieces_roughed_before_they_are_glued_have_no_cut_after() -> None:
    (rough,) = plan().roughing
    apart = replace(rough, blanks=tuple(replace(one, pieces=(1,)) for one in rough.blanks))
    assert cuts_after_gluing([apart]) == {}
