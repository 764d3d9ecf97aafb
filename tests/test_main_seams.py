"""Main seams: groups glued in the workshop go through the van's opening, and blocks stay whole."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from wirepath.checking.loaded import check_loaded
from wirepath.model import FormSettings, Job, Level, Outline, Piece, Plan, SeamSettings, Traced
from wirepath.planning import make_plan
from wirepath.report import assembly_lines
from wirepath.sectioning import section
from wirepath.sheets.gluing_sheet import gluing_pages
from wirepath.sheets.layer_picture import CROWDED_MM, MAIN_MM, seam_name, uncrowded
from wirepath.sheets.marks import standard_scale
from wirepath.sheets.page import MEDIUM, THICK
from wirepath.wording import ENGLISH
from wirepath.workshop import Van, Workshop

VAN = Van(
    opening_width_mm=1130,
    opening_height_mm=1030,
    length_mm=2200,
    width_mm=1300,
    height_mm=1100,
    payload_kg=100,
)
"""Lets 1100 x 1000 mm through, 2200 mm long. Invented."""

GROUPS = SeamSettings(travel="groups")


def whole(shape: Polygon, thick: float = 180.0) -> Piece:
    return Piece(
        number=1,
        name="Form",
        part="Form",
        finished=shape,
        outline=shape,
        thickness_mm=thick,
        allowance_mm=0.0,
        foam="EPS 15",
    )


def parted(
    shape: Polygon,
    workshop: Workshop,
    asked: SeamSettings = GROUPS,
    van: Van = VAN,
    **more: Sequence[LineString],
) -> tuple[Piece, ...]:
    form = whole(shape)
    levels = {"Form": (Level(from_mm=0.0, to_mm=form.thickness_mm, region=shape),)}
    return section([form], levels, replace(workshop, van=van), asked, **more)  # type: ignore[arg-type]


def by_group(parts: Sequence[Piece]) -> dict[int | None, Polygon]:
    return {
        group: shapely.union_all([one.outline for one in parts if one.group == group])
        for group in {one.group for one in parts}
    }


def test_a_form_that_passes_as_one_has_no_main_seams(workshop: Workshop) -> None:
    parts = parted(box(0, 0, 2100, 900), workshop)
    assert len(parts) > 1
    assert {one.group for one in parts} == {None}


def test_main_seams_lie_where_blocks_end(workshop: Workshop) -> None:
    # Blocks of 1000 mm make 3000 mm in three; the van takes 2200, so two groups must do,
    # and only at 1000 or 2000 mm does the main seam cut up no block.
    parts = parted(box(0, 0, 3000, 500), workshop)
    assert len(parts) == 3
    assert sorted(round(one.bounds[2] - one.bounds[0]) for one in by_group(parts).values()) == [
        1000,
        2000,
    ]


def test_pieces_are_numbered_group_by_group(workshop: Workshop) -> None:
    parts = parted(box(0, 0, 4000, 900), workshop)
    groups = [one.group for one in parts]
    assert groups == sorted(groups)  # type: ignore[type-var]
    assert len(set(groups)) == 2
    assert [one.number for one in parts] == list(range(1, len(parts) + 1))


def test_no_four_pieces_meet_at_a_main_seam(workshop: Workshop) -> None:
    parts = parted(box(0, 0, 4000, 1000), workshop)
    assert len(by_group(parts)) == 2
    ends = [tuple(np.round(p, 3)) for one in parts for p in one.outline.exterior.coords[:-1]]
    # Where a seam ends at the side of another piece, two corners meet; in a cross, four.
    assert max(ends.count(end) for end in set(ends)) < 4


def test_a_line_asked_for_is_a_main_seam_where_the_van_wants_one(workshop: Workshop) -> None:
    parts = parted(box(0, 0, 3400, 500), workshop, replace(GROUPS, at_x_mm=(1700.0,)))
    rims = by_group(parts).values()
    assert sorted((one.bounds[0], one.bounds[2]) for one in rims) == [(0, 1700), (1700, 3400)]


def test_what_two_people_lift_limits_a_group_too(workshop: Workshop) -> None:
    # 2000 x 900 x 180 mm at 15 kg/m3 is 4.86 kg: it passes the van, but not two people.
    weak = replace(workshop, lift=replace(workshop.lift, two_people_kg=3.0, one_person_kg=2.0))
    parts = parted(box(0, 0, 2000, 900), weak)
    weights: dict[int | None, float] = {}
    for one in parts:
        weights[one.group] = weights.get(one.group, 0.0) + one.volume_mm3 * 15e-9
    assert len(weights) == 2
    assert max(weights.values()) <= 3.0


def test_no_piece_is_larger_than_passes_the_opening(workshop: Workshop) -> None:
    # The block is 1000 x 500 x 200 mm; a van that takes 700 mm parts what the block would hold.
    short = replace(VAN, length_mm=700, opening_width_mm=530, opening_height_mm=430)
    parts = parted(box(0, 0, 1000, 500), workshop, SeamSettings(), short)
    assert len(parts) == 2
    for one in parts:
        west, south, east, north = one.outline.bounds
        assert max(east - west, north - south) <= 700


@st.composite
def forms(draw: st.DrawFn) -> Polygon:
    count = draw(st.integers(5, 9))
    reach = draw(st.lists(st.floats(500.0, 1300.0), min_size=count, max_size=count).map(np.array))
    angle = np.arange(count) * math.tau / count
    return Polygon(np.round(np.stack([reach * np.cos(angle), reach * np.sin(angle)], 1), 1))


@settings(
    max_examples=2, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(form=forms())
def test_groups_of_any_form_make_it_up_and_pass_the_van(workshop: Workshop, form: Polygon) -> None:
    larger = replace(VAN, opening_width_mm=1430, opening_height_mm=1330, width_mm=1650)
    big = replace(workshop.stock[0], length_mm=2000.0, width_mm=1000.0)
    parts = parted(form, replace(workshop, stock=(big,)), GROUPS, larger)
    together = shapely.union_all([one.outline for one in parts], grid_size=1e-9)
    assert shapely.area(shapely.symmetric_difference(together, form)) < 1e-6 * form.area
    for group, shape in by_group(parts).items():
        frame = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
        sides = sorted(math.dist(*frame[k : k + 2]) for k in (0, 1))
        west, south, east, north = shape.bounds
        upright = sorted((east - west, north - south))
        assert group is None or any(a <= 1400.01 and b <= 2200.01 for a, b in (sides, upright))


# --- The whole plan -------------------------------------------------------------------


@pytest.fixture(scope="module")
def plan() -> Plan:
    import small_plan

    shape = box(0, 0, 2800, 450)
    return make_plan(
        Job(
            name="Frieze",
            drawing="frieze.dxf",
            workshop="shop.toml",
            form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=180.0),
            seams=replace(GROUPS, way="cut first"),
        ),
        replace(small_plan.workshop(), van=VAN),
        Traced(outlines=(Outline(name="Frieze", polygon=shape),), counts=()),
        seconds=0.0,
    )


def test_groups_are_glued_in_the_workshop_and_main_seams_on_site(plan: Plan) -> None:
    assert [step.place for step in plan.assembly.steps] == ["workshop", "site"]
    assert len(plan.main_seams) == 1
    boxes = [item for load in plan.loads for item in load.items]
    assert sorted(len(item.pieces) for item in boxes) == [1, 2]
    told = "\n".join(assembly_lines(plan))
    assert "main seams, glued on site: 1, 0.45 m" in told
    assert "2 boxes travel, the largest 1960 x 450 x 180 mm" in told
    assert "the van's opening lets 1100 x 1000 mm through" in told


def test_the_map_names_every_seam_and_draws_main_seams_as_two_lines(plan: Plan) -> None:
    page = gluing_pages(plan, ENGLISH)[0]
    told = [text.text for text in page.texts]
    assert ENGLISH.key_main_seam in told
    # In its ring and in the list.
    assert [told.count(seam_name(n)) for n in range(1, len(plan.seams) + 1)] == [2, 2]
    # A level line over the map meets both ends of the frieze, a seam, and the two of the main one.
    thick = [LineString(one.points) for one in page.strokes if one.width_mm == THICK]
    mark = next(one for one in page.strokes if one.width_mm == MEDIUM)
    y = mark.points[0, 1] + 1.0
    met = shapely.intersection(shapely.MultiLineString(thick), box(0, y, 999, y + 0.01))
    places = np.unique(shapely.get_coordinates(met)[:, 0].round(1))
    gaps = np.diff(places)
    assert len(places) == 5
    assert gaps.min() == pytest.approx(2 * MAIN_MM, abs=0.11)


@given(st.floats(0.3, 3.0))
def test_contours_that_crowd_each_other_are_left_out(apart_mm: float) -> None:
    # Rings of chords are up to a hundredth nearer than their radii: not on the border.
    assume(abs(CROWDED_MM / apart_mm - round(CROWDED_MM / apart_mm)) > 0.01)
    rings = [Point(0, 0).buffer(30 - apart_mm * k).exterior for k in range(1, 9)]
    drawn = Point(0, 0).buffer(30).exterior
    kept = list(uncrowded(rings, drawn))
    assert len(kept) == 8 // math.ceil(CROWDED_MM / apart_mm)
    every = [drawn, *kept]
    assert all(one.distance(other) >= 0.99 * CROWDED_MM for one, other in pairwise(every))


@pytest.mark.parametrize(("high_mm", "scale"), [(3000, 20), (3700, 25), (4000, 30), (5500, 40)])
def test_the_largest_scale_of_the_series_that_fits_is_taken(high_mm: float, scale: float) -> None:
    assert standard_scale(1683, high_mm, (160.0, 150.0)) == scale


def test_a_group_that_is_torn_is_told(plan: Plan) -> None:
    assert check_loaded(plan).passed
    pieces = tuple(replace(one, group=1) for one in plan.pieces)
    torn = check_loaded(replace(plan, pieces=pieces))
    assert any("travels in 2 parts" in fault.what for fault in torn.faults)
