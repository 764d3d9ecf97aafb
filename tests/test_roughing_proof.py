"""The proof of roughing finds faults: each test spoils a good plan in one way."""

import json
from dataclasses import replace
from functools import cache

import pytest
import shapely
from shapely import box
from shapely.affinity import translate

from wirepath.checking.prisms import Prism, raised_prisms
from wirepath.checking.roughing_proof import check_roughing
from wirepath.model import Blank, Contour, RoughingPlan
from wirepath.plain_data import from_plain, to_plain
from wirepath.roughing import Tools, plan_roughing, raised

CONTOURS = (
    Contour(height_mm=0, region=box(0, 0, 400, 300)),
    Contour(height_mm=60, region=box(60, 60, 340, 240)),
    Contour(height_mm=120, region=box(140, 120, 260, 180)),
)
BLANK = Blank(x_mm=-40, y_mm=-40, width_mm=480, height_mm=380, thickness_mm=260)
PRISMS = raised_prisms(CONTOURS[0].region, CONTOURS, peak_mm=180)
BOW = Tools(kerf_mm=2.0, wire_mm=1000.0, by_hand=True, tilt_deg=75.0)


@cache
def good(way: str = "with tilted profiles") -> RoughingPlan:
    return plan_roughing(
        raised(CONTOURS[0].region, CONTOURS, peak_mm=180),
        BLANK,
        BOW,
        allowance_mm=20.0,
        way=way,
        compare=False,
        slab_mm=110,
    )


def faults(plan: RoughingPlan, prisms=PRISMS, wire_mm: float = 1000.0) -> str:
    found = check_roughing(plan, prisms, wire_mm=wire_mm)
    return "\n".join(str(fault) for finding in found for fault in finding.faults)


def moved(plan: RoughingPlan, place: int, dx: float, dy: float) -> RoughingPlan:
    cut = plan.cuts[place]
    spoiled = replace(
        cut,
        lines=tuple(translate(line, dx, dy) for line in cut.lines),
        kept=tuple(translate(part, dx, dy) for part in cut.kept),
    )
    return replace(plan, cuts=(*plan.cuts[:place], spoiled, *plan.cuts[place + 1 :]))


@pytest.mark.parametrize("way", ["with tilted profiles", "slabs of 110 mm, slanted edges"])
def test_good_plans_pass(way):
    assert faults(good(way)) == ""


def test_prisms_stand_as_high_as_the_next_contour():
    assert [(one.low_mm, one.high_mm) for one in PRISMS] == [(0, 60), (0, 120), (0, 180)]


@pytest.mark.parametrize("place", range(len(good().cuts)))
def test_a_way_moved_by_three_millimetres_is_too_near(place):
    spoiled = [faults(moved(good(), place, dx, dy)) for dx, dy in ((3, 0), (-3, 0), (0, -3))]
    assert any("comes within" in text for text in spoiled)


def test_a_form_wider_than_planned_is_too_near():
    wider = (*PRISMS, Prism(low_mm=0, high_mm=180, region=box(137, 117, 263, 183)))
    assert "comes within" in faults(good(), wider)


def test_a_form_on_the_waste_side_is_found_though_the_way_is_far_from_it():
    lost = (*PRISMS, Prism(low_mm=240, high_mm=245, region=box(190, 148, 200, 152)))
    assert "waste side" in faults(good("outline and two profiles"), lost)


def test_a_way_filed_a_micrometre_above_the_blocks_face_parts_off_what_is_told():
    plan = good("outline and two profiles")
    profiles = [cut for cut in plan.cuts if cut.kind == "profile"]
    # The block as low as the way over the form, which then runs in its face.
    top = max(part.bounds[3] for cut in profiles for part in cut.kept)
    lifted = tuple(
        replace(cut, lines=tuple(translate(line, 0, 0.001) for line in cut.lines))
        for cut in profiles
    )
    low = replace(plan.blanks[0], thickness_mm=top)
    assert "waste side" not in faults(replace(plan, blanks=(low,), cuts=lifted))


def test_a_way_with_a_piece_missing_parts_off_nothing_as_told():
    plan = good()
    cut = plan.cuts[0]
    (line,) = cut.lines
    half = shapely.ops.substring(line, 0, 0.6, normalized=True)
    spoiled = replace(plan, cuts=(replace(cut, lines=(half,)), *plan.cuts[1:]))
    text = faults(spoiled)
    assert "waste side" in text
    assert "start and end in air" in text


def test_litres_that_do_not_add_up_are_told():
    plan = good()
    cut = replace(plan.cuts[0], litres=plan.cuts[0].litres + 1)
    assert "the cuts take" in faults(replace(plan, cuts=(cut, *plan.cuts[1:])))
    assert "are said to be left" in faults(replace(plan, litres_off=plan.litres_off + 1))
    assert "do not add up to the block" in faults(replace(plan, block_litres=99.0))


def test_a_wire_shorter_than_the_cut_is_told():
    assert "mm of wire, there are 300 mm" in faults(good(), wire_mm=300.0)


def test_on_a_table_the_whole_block_passes_between_the_wire_s_ends():
    def told(tools):
        levels = raised(CONTOURS[0].region, CONTOURS, peak_mm=180)
        way = "with diagonals"
        plan = plan_roughing(levels, BLANK, tools, allowance_mm=20.0, way=way, compare=False)
        found = check_roughing(plan, PRISMS, wire_mm=450.0, between_ends=True)
        return plan, "\n".join(str(fault) for finding in found for fault in finding.faults)

    # The block, 480 x 380 mm, is longer than that along a diagonal; a bow takes its corners.
    hand, faults_by_hand = told(replace(BOW, wire_mm=450.0))
    table, none = told(replace(BOW, wire_mm=450.0, by_hand=False, tilt_deg=0.0))
    assert "lie along the wire, and only 450 mm pass" in faults_by_hand
    assert none == ""
    assert 1 < len(table.cuts) < len(hand.cuts)


def test_a_slanted_edge_that_leans_too_far_is_too_near():
    plan = good("slabs of 110 mm, slanted edges")
    cut = plan.cuts[0]
    assert cut.kind == "slanted slab"
    spoiled = replace(
        cut,
        upper=tuple(translate(part, -4, 0) for part in cut.upper),
        upper_lines=tuple(translate(line, -4, 0) for line in cut.upper_lines),
    )
    assert "comes within" in faults(replace(plan, cuts=(spoiled, *plan.cuts[1:])))


def test_a_roughing_plan_comes_back_from_plain_data_as_it_was():
    for way in ("with tilted profiles", "slabs of 110 mm, slanted edges"):
        plan, told = from_plain(json.loads(json.dumps(to_plain(good(way)))), RoughingPlan)
        assert told == ()
        assert plan == good(way)
