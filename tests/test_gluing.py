"""Glue first, then cut: blanks hold their forms, glue keeps off the wire, ways are compared."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiLineString, Point, Polygon, box

from wirepath.checking import check_plan
from wirepath.errors import Fault, FitError
from wirepath.forming import form_levels, make_pieces
from wirepath.geometry import place, put_back
from wirepath.gluing import choose, figures
from wirepath.model import (
    Contour,
    EntityCount,
    FormSettings,
    Job,
    LayoutSettings,
    Outline,
    Piece,
    Placement,
    Plan,
    RoughingSettings,
    SeamSettings,
    Traced,
)
from wirepath.plan_folder import prove_folder, write_folder
from wirepath.planning import make_plan
from wirepath.report import order_data, plan_lines, way_lines
from wirepath.sectioning import section
from wirepath.workshop import Cutting, Foam, Lift, Order, RackPiece, Rig, Stock, Van, Wire, Workshop

GLUE = SeamSettings(way="glue first")
DISC = Point(400, 400).buffer(380, quad_segs=8).difference(Point(400, 400).buffer(75))


def shop(*, trim_mm: float = 0.0, rig: Rig | None = None, thick_mm: float = 200.0) -> Workshop:
    return Workshop(
        name="Paper workshop",
        wire=Wire(length_mm=1400.0),
        rig=rig or Rig(kind="bow"),
        cutting=Cutting(kerf_mm=1.2),
        foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
        stock=(
            Stock(
                name="block",
                foam="EPS 15",
                length_mm=600.0,
                width_mm=300.0,
                thickness_mm=thick_mm,
                price=20.0,
                trim_mm=trim_mm,
            ),
        ),
        order=Order(hour_price=30.0),
    )


def flat(thick_mm: float = 200.0, seams: SeamSettings = GLUE, turning: str = "quarter") -> Job:
    return Job(
        name="J",
        drawing="d.dxf",
        workshop="w.toml",
        form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=thick_mm),
        layout=LayoutSettings(turning=turning),
        seams=seams,
    )


def traced(shape: Polygon, *contours: Contour) -> Traced:
    return Traced(
        outlines=(Outline(name="F", polygon=shape),),
        contours=contours,
        counts=(EntityCount(kind="LINE", found=1, read=1, ignored=0, refused=0),),
    )


@cache
def disc_plan() -> Plan:
    return make_plan(flat(150.0), shop(trim_mm=5.0), traced(DISC), seconds=0)


def broken(plan: Plan) -> str:
    """Return the titles of what fails and all faults, as one text."""
    failed = [finding for finding in check_plan(plan) if not finding.passed]
    return "\n".join(f"{one.title}: {fault}" for one in failed for fault in one.faults)


# --- Hand-checked ---------------------------------------------------------------------


def test_a_form_of_four_blocks_takes_four_blocks_and_three_seams() -> None:
    plan = make_plan(flat(), shop(), traced(box(0, 0, 1200, 600)), seconds=0)
    assert broken(plan) == ""
    assert len(plan.blocks) == 4
    assert plan.estimate.foam.waste == pytest.approx(0.0, abs=1e-6)
    (blank,) = plan.blanks
    assert blank.foam.bought == blank.foam.pieces == pytest.approx(1.2 * 0.6 * 0.2 * 1000)
    # Three seams of 600 mm, dry 30 mm at both ends, 200 mm high.
    assert len(plan.seams) == 3
    glue = [seam.area_mm2 for seam in plan.seams]
    assert glue == pytest.approx([(600 - 2 * 30) * 200.0] * 3, rel=0.001)


@pytest.mark.parametrize(("staggered", "blocks"), [(True, 5), (False, 4)])
def test_rows_that_may_not_stand_in_columns_cost_a_block_for_the_kerf(
    staggered: bool, blocks: int
) -> None:
    job = flat(seams=replace(GLUE, staggered=staggered), turning="none")
    plan = make_plan(job, shop(), traced(box(0, 0, 1200, 600)), seconds=0)
    assert broken(plan) == ""
    assert len(plan.blocks) == blocks


def test_a_blank_is_cut_in_one_setup_on_a_layout_after_those_of_the_blocks() -> None:
    plan = disc_plan()
    (blank,) = plan.blanks
    assert blank.layout.number == len(plan.layouts) + 1
    assert blank.form.number == len(plan.pieces) + 1
    assert {one.layout for one in blank.passes} == {blank.layout.number}
    whole = plan.with_blanks()
    assert whole.with_blanks() == whole
    assert whole.blank_of(blank.layout) == blank
    assert whole.piece(blank.form.number) == blank.form


def test_a_tall_blank_lies_on_its_longer_side_though_pieces_may_not_be_turned() -> None:
    tall = box(0, 0, 280, 900).difference(Point(140, 300).buffer(60))
    plan = make_plan(flat(turning="none"), shop(), traced(tall), seconds=0)
    (blank,) = plan.blanks
    assert [one.angle_deg for one in blank.layout.placements] == [90.0]
    assert all(one.angle_deg == 0.0 for layout in plan.layouts for one in layout.placements)
    assert broken(plan) == ""


def test_the_foam_of_a_blank_is_its_cells_less_what_is_cut_away() -> None:
    plan = disc_plan()
    assert broken(plan) == ""
    (blank,) = plan.blanks
    assert blank.foam.pieces == pytest.approx(DISC.area * 150 / 1e6)
    # Steiner's formula: a slot of half a kerf on both sides of the wire's line, outside
    # the disc and inside its hole; the slit from the hole lies in the form.
    kerf = 1.2 * 2 * math.pi * (380 + 0.6 + 75 - 0.6) * 150 / 1e6
    assert blank.foam.kerf == pytest.approx(kerf, rel=0.02)
    assert plan.estimate.foam.pieces == pytest.approx(DISC.area * 150 / 1e6)


def test_the_blank_stands_over_by_kerf_and_web_where_that_costs_no_block() -> None:
    plan = disc_plan()
    west, south, east, north = shapely.total_bounds([piece.outline for piece in plan.pieces])
    assert (west, south, east, north) == pytest.approx((10.8, 10.8, 789.2, 789.2), abs=0.1)


# --- The two ways ---------------------------------------------------------------------


def test_both_ways_are_compared() -> None:
    plan = disc_plan()
    cut, glue = plan.ways
    assert (cut.way, glue.way) == ("cut first", "glue first")
    assert (cut.why_not, glue.why_not) == ("", "")
    assert glue.heaviest_kg > cut.heaviest_kg
    told = "\n".join(way_lines(plan))
    assert all(f"{row.price:.2f}" in told for row in plan.ways)
    assert "glue first *" in told
    assert [row["way"] for row in order_data(plan)["ways"]] == ["cut first", "glue first"]


def test_waste_of_a_way_counts_the_foam_of_the_rack() -> None:
    rest = RackPiece(name="R", foam="EPS 15", length_mm=600, width_mm=300, thickness_mm=200)
    plan = make_plan(
        flat(seams=SeamSettings()),
        replace(shop(), rack=(rest,)),
        traced(box(0, 0, 700, 280)),
        seconds=0,
    )
    assert plan.estimate.foam.rack > 0
    assert broken(plan) == ""


def test_the_cheaper_way_is_planned_where_none_is_asked_for() -> None:
    plan = disc_plan()
    cut = replace(plan, blanks=(), estimate=replace(plan.estimate, foam_price=1.0))
    both = {"cut first": cut, "glue first": plan}
    assert choose(both, SeamSettings()).blanks == ()
    assert choose(both, GLUE).blanks == plan.blanks
    dear = replace(cut, estimate=replace(plan.estimate, foam_price=1e4))
    assert choose({**both, "cut first": dear}, SeamSettings()).blanks == plan.blanks


def test_a_form_that_fits_a_block_is_the_same_both_ways() -> None:
    plan = make_plan(flat(), shop(), traced(box(0, 0, 450, 200)), seconds=0)
    assert plan.ways == ()
    assert plan.blanks == ()
    assert any("cut first or glue first is the same" in line for line in plan_lines(plan))


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"rig": Rig(travel_x_mm=800.0)}, "takes 818 mm of travel along x"),
        ({"rig": Rig(travel_y_mm=800.0)}, "takes 818 mm of travel along y"),
        ({"rig": Rig(), "lift": Lift(two_people_kg=1.0)}, "two people may lift 1 kg"),
        ({"wire": Wire(length_mm=140.0)}, "150 mm thick, the wire 140 mm long"),
    ],
)
def test_a_blank_the_rig_does_not_take_is_told_with_the_reason(
    changed: dict[str, object], why: str
) -> None:
    plan = disc_plan()
    workshop = replace(plan.workshop, **changed)
    unable = replace(plan, workshop=workshop)
    assert why in figures(unable).why_not
    cut = replace(plan, blanks=())
    chosen = choose({"cut first": cut, "glue first": unable}, SeamSettings())
    assert chosen.blanks == ()
    assert any(
        f"glue first cannot be done: {figures(unable).why_not}" == line
        for line in way_lines(chosen)
    )
    with pytest.raises(FitError, match=why) as caught:
        choose({"cut first": cut, "glue first": unable}, GLUE)
    assert caught.value.faults[0].where == "seams.way"


def test_a_bow_is_carried_round_a_blank_that_nobody_lifts() -> None:
    plan = disc_plan()
    heavy = replace(plan.workshop, lift=Lift(two_people_kg=1.0))
    assert figures(replace(plan, workshop=heavy)).why_not == ""


def test_a_way_that_cannot_be_planned_is_told_and_the_other_taken() -> None:
    error = FitError([Fault("no seams part it", "piece 1", "use larger blocks")])
    chosen = choose({"cut first": error, "glue first": disc_plan()}, SeamSettings())
    assert chosen.blanks
    assert "cut first cannot be done: no seams part it" in list(way_lines(chosen))
    with pytest.raises(FitError, match="no seams part it"):
        choose({"cut first": error, "glue first": disc_plan()}, SeamSettings(way="cut first"))


def test_with_a_van_nothing_is_glued_first_nor_planned_so() -> None:
    van = Van(
        opening_width_mm=2e3,
        opening_height_mm=2e3,
        length_mm=3e3,
        width_mm=2e3,
        height_mm=2e3,
        payload_kg=500.0,
    )
    said: list[str] = []
    form = traced(box(0, 0, 1200, 600))
    cheaper = flat(seams=SeamSettings())
    plan = make_plan(cheaper, replace(shop(), van=van), form, seconds=0, tell=said.append)
    assert [bool(row.why_not) for row in plan.ways] == [False, True]
    assert not any("glued first" in text for text in said)
    with pytest.raises(FitError, match="goes into the van is not planned"):
        make_plan(flat(), replace(shop(), van=van), form, seconds=0)


def test_seams_asked_for_are_kept_by_a_blank() -> None:
    seams = replace(GLUE, at_x_mm=(350.0,))
    job, form = flat(150.0, seams=seams), traced(DISC)
    forms = make_pieces(job, form)
    for piece in section(forms, form_levels(job, form), shop(trim_mm=5.0), seams, square=True):
        west, _, east, _ = piece.outline.bounds
        assert east <= 350 + 1e-6 or west >= 350 - 1e-6


# --- Reliefs and layers ---------------------------------------------------------------


def relief(peak_mm: float, radius_mm: float = 400.0) -> tuple[Job, Traced]:
    hill = Point(400, 350).buffer(radius_mm, quad_segs=6)
    job = replace(
        flat(),
        form=FormSettings(kind="relief", foam="EPS 15", peak_mm=peak_mm, allowance_mm=10.0),
        roughing=RoughingSettings(on=False),
    )
    contours = [
        Contour(
            height_mm=peak_mm * share,
            region=Point(400, 350).buffer(radius_mm * (1 - share), quad_segs=6),
        )
        for share in (0.25, 0.5, 0.75)
    ]
    return job, traced(hill, *contours)


def test_thin_rims_of_a_relief_get_thin_cells() -> None:
    job, form = relief(180.0)
    own = replace(GLUE, share_slabs=False)
    pieces = section(make_pieces(job, form), form_levels(job, form), shop(), own, square=True)
    thick = sorted({piece.thickness_mm for piece in pieces})
    assert thick[0] <= 100
    assert thick[-1] == 190


def test_a_relief_thicker_than_a_block_is_glued_in_layers() -> None:
    job, form = relief(350.0, 240.0)
    plan = make_plan(job, shop(), form, seconds=0)
    assert broken(plan) == ""
    assert len({piece.from_mm for piece in plan.pieces}) > 1
    assert any(seam.kind == "layer" for seam in plan.seams)


# --- The proof fails ------------------------------------------------------------------


def test_a_cell_taken_away_is_missed() -> None:
    plan = disc_plan()
    (blank,) = plan.blanks
    last = len(plan.pieces)
    gone = replace(
        plan,
        pieces=(*plan.pieces[:-1], replace(plan.pieces[-1], section_of=None, name="stray")),
        blanks=(replace(blank, cells=tuple(n for n in blank.cells if n != last)),),
        seams=tuple(seam for seam in plan.seams if last not in seam.pieces),
    )
    assert "of the form stand in no piece" in broken(gone)


def test_glue_on_the_cut_is_told() -> None:
    plan = disc_plan()
    k = next(k for k, seam in enumerate(plan.seams) if not seam.dry.is_empty)
    seams = list(plan.seams)
    seams[k] = replace(seams[k], dry=Polygon())
    told = broken(replace(plan, seams=tuple(seams)))
    assert "from the wire's way, 30 mm are asked" in told


def test_glue_nearer_than_asked_is_told() -> None:
    plan = disc_plan()
    job = replace(plan.job, seams=replace(plan.job.seams, dry_mm=40.0))
    assert "from the wire's way, 40 mm are asked" in broken(replace(plan, job=job))


def test_seams_dry_without_need_are_told() -> None:
    plan = disc_plan()
    seams = (replace(plan.seams[0], dry=plan.seams[0].place), *plan.seams[1:])
    assert "stay dry far from the wire's way" in broken(replace(plan, seams=seams))


def test_a_blanks_foam_that_is_not_as_measured_is_told_term_by_term() -> None:
    plan = disc_plan()
    (blank,) = plan.blanks
    terms = ("bought", "pieces", "kerf", "offcuts", "scrap", "trim")
    foam = replace(blank.foam, **{term: getattr(blank.foam, term) + 0.5 for term in terms})
    told = broken(replace(plan, blanks=(replace(blank, foam=foam),)))
    assert [term for term in terms if f"blank 1, form 'F', {term}" not in told] == []


def test_a_cell_thicker_than_the_form_is_told() -> None:
    plan = disc_plan()
    thick = replace(plan.pieces[0], thickness_mm=160.0)
    assert "the form at 150 mm" in broken(replace(plan, pieces=(thick, *plan.pieces[1:])))


def test_a_layout_that_is_not_around_its_cells_is_told() -> None:
    plan = disc_plan()
    (blank,) = plan.blanks
    wide = replace(blank.layout, width_mm=blank.layout.width_mm + 5)
    told = broken(replace(plan, blanks=(replace(blank, layout=wide),)))
    assert "the width is" in told


def test_cells_told_loose_that_are_held_are_told() -> None:
    plan = disc_plan()
    (blank,) = plan.blanks
    assert blank.loose == ()
    assert "cells [1] are told loose" in broken(replace(plan, blanks=(replace(blank, loose=(1,)),)))


def test_a_comparison_that_is_not_the_plans_is_told() -> None:
    plan = disc_plan()
    cut, glue = plan.ways
    wrong = replace(glue, glue_mm2=glue.glue_mm2 * 1.1, why_not="no")
    told = broken(replace(plan, ways=(cut, wrong)))
    assert "glue_mm2" in told
    assert "it is planned, but cannot be done: no" in told


# --- Files ----------------------------------------------------------------------------


def test_a_folder_with_a_blank_is_written_and_proves_itself(tmp_path: Path) -> None:
    plan = disc_plan()
    folder = tmp_path / "plan"
    write_folder(plan, folder, replace_old=False)
    assert all(finding.passed for finding in prove_folder(folder))
    (blank,) = plan.blanks
    name = f"block-{blank.layout.block:02}-layout-{blank.layout.number:02}.csv"
    text = (folder / "coordinates" / name).read_text(encoding="utf-8")
    assert "which is blank 1, glued of pieces 1, 2" in text
    assert "first glue, wait until it is dry, then cut" in text


# --- Any form -------------------------------------------------------------------------


@st.composite
def blobs(draw: st.DrawFn) -> Polygon:
    """Star-shaped outlines of up to some 0.9 m, some with a hole."""
    count = draw(st.integers(5, 12))
    reach = draw(st.lists(st.floats(150, 450), min_size=count, max_size=count))
    turn = np.linspace(0, 2 * math.pi, count, endpoint=False)
    shape = Polygon(np.c_[reach * np.cos(turn), reach * np.sin(turn)])
    hole = Point(0, 0).buffer(draw(st.floats(30, 100)), quad_segs=8)
    return shape.difference(hole) if draw(st.booleans()) else shape


def parts_of(shape: Polygon, *, square: bool) -> tuple[Piece, ...]:
    job, form = flat(150.0), traced(shape)
    pieces = make_pieces(job, form)
    return section(pieces, form_levels(job, form), shop(trim_mm=5.0), job.seams, square=square)


@given(blobs())
@settings(max_examples=2, deadline=None)
def test_cells_cover_any_form_and_each_holds_some_of_it(shape: Polygon) -> None:
    cells = [piece.outline for piece in parts_of(shape, square=True)]
    if len(cells) == 1:
        return
    assert shapely.area(shapely.difference(shape, shapely.union_all(cells))) <= 1e-6 * shape.area
    assert sum(cell.area for cell in cells) == pytest.approx(
        shapely.area(shapely.union_all(cells, grid_size=1e-6)), rel=1e-6
    )
    assert all(shapely.area(shapely.intersection(cell, shape)) > 0 for cell in cells)
    assert all(cell.equals(shapely.envelope(cell)) for cell in cells)


@given(blobs())
@settings(max_examples=2, deadline=None)
def test_pieces_of_any_form_make_it_up_again(shape: Polygon) -> None:
    pieces = parts_of(shape, square=False)
    volume = sum(piece.volume_mm3 for piece in pieces)
    assert volume == pytest.approx(shape.area * 150, rel=1e-6)
    whole = shapely.union_all([piece.outline for piece in pieces], grid_size=1e-6)
    assert shapely.area(shapely.symmetric_difference(whole, shape)) <= 1e-6 * shape.area


@given(blobs())
@settings(max_examples=2, deadline=None)
def test_no_four_cells_meet_in_a_corner(shape: Polygon) -> None:
    cells = [piece.outline for piece in parts_of(shape, square=True)]
    corners = shapely.points(np.concatenate([shapely.get_coordinates(one)[:4] for one in cells]))
    touching = shapely.dwithin(np.array(cells)[:, None], corners, 1e-3).sum(axis=0)
    crossings = corners[touching > 3]
    assert not any(shapely.intersects(shape, point) for point in crossings)


def test_what_is_put_back_stands_where_it_was() -> None:
    line = MultiLineString([[(1, 2), (3, 5)]])
    for angle in (0.0, 90.0, 33.0):
        for flipped in (False, True):
            at = Placement(piece=1, x_mm=7.0, y_mm=-4.0, angle_deg=angle, flipped=flipped)
            again = put_back(place(line, at), at)
            assert shapely.get_coordinates(again) == pytest.approx(
                shapely.get_coordinates(line), abs=1e-9
            )
