"""Blocks stood on an edge: what a table that tilts nothing reaches with a short wire."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import relief_shapes
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from wirepath.checking.cut_plane import face_stood_on
from wirepath.checking.prisms import raised_prisms
from wirepath.checking.rough_forms import _unheld
from wirepath.checking.roughing_files import _differs
from wirepath.checking.roughing_proof import check_roughing
from wirepath.coordinates.roughing import _set_up as set_up
from wirepath.coordinates.roughing import (
    read_roughing_coordinates,
    roughing_text,
)
from wirepath.model import Blank, Level, RoughingPlan
from wirepath.roughing import Tools, plan_roughing, raised, snug_blank
from wirepath.roughing.blanks import Task, flat_directions, standing_directions, stands_up
from wirepath.roughing.directions import datum, slanting, standing, stands_on
from wirepath.roughing.grid import freed, make_grid
from wirepath.roughing.pictures import setting_line
from wirepath.roughing.strips import _strips
from wirepath.sheets.roughing_pages import TOLD, _setting_steps
from wirepath.workshop import Cutting, Foam, Rig, Wire, Workshop

TABLE = Tools(kerf_mm=2.0, wire_mm=1100.0, by_hand=False, tilt_deg=0.0, slanted_slabs=False)
WREATH = next(one for one in relief_shapes.RELIEFS if one.name == "wreath")
OUTLINE, CONTOURS = WREATH.outline(50.0), WREATH.contours(50.0, 20.0)


@cache
def wreath() -> RoughingPlan:
    levels = raised(OUTLINE, CONTOURS, peak_mm=WREATH.peak_mm)
    blank = snug_blank(levels, margin_mm=30, front_mm=30)
    return plan_roughing(
        levels,
        blank,
        TABLE,
        allowance_mm=20.0,
        pieces=_strips(blank, "upright", [0, 6 / 16, 8 / 16, 10 / 16, 1]),
        way="4 pieces, then profiles",
        compare=False,
    )


def shop(kind="table", **rig) -> Workshop:
    return Workshop(
        name="invented",
        wire=Wire(alloy="NiCr 80/20", diameter_mm=0.5, length_mm=1100),
        rig=Rig(kind=kind, **rig),
        cutting=Cutting(kerf_mm=2.0, feed_mm_per_s=5.0),
        foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
        stock=(),
    )


def standing_cuts():
    return [cut for cut in wreath().cuts if cut.kind == "standing profile"]


@settings(max_examples=40)
@given(on=st.sampled_from(["bottom", "left"]), turn=st.floats(1.0, 179.0))
def test_a_standing_wire_lies_level_before_the_block_and_is_looked_along_as_any_other(on, turn):
    one = standing(on, turn)
    axes = np.array([one.right, one.up, one.wire])
    # Right and up and the way back along the wire: a right-handed frame of unit vectors.
    assert axes @ axes.T == pytest.approx(np.eye(3))
    assert np.cross(one.right, one.up) == pytest.approx(-np.array(one.wire))
    assert one.wire[1 if on == "bottom" else 0] == 0.0
    assert stands_on(one) == (None if turn == 90.0 else on)


@pytest.mark.parametrize(("on", "turn"), [("left", 0.0), ("bottom", 270.0)])
def test_it_frees_what_a_wire_tilted_as_much_frees(on, turn):
    levels = raised(OUTLINE, CONTOURS, peak_mm=WREATH.peak_mm)
    grid = make_grid(levels, snug_blank(levels, margin_mm=30, front_mm=30), 20.0, cell_mm=40.0)
    for tilt in (15.0, 45.0, 75.0):
        assert np.allclose(standing(on, tilt).wire, slanting(turn, tilt).wire)
        assert (freed(grid, standing(on, tilt)) == freed(grid, slanting(turn, tilt))).all()


def test_a_ramp_between_two_walls_is_reached_only_on_edge():
    # 400 mm long and 200 high, walls as high at both its sides and at its upper end: no wire in the
    # plane of the back gets in, nor one square to it, but one along the slope comes from the front.
    blank = Blank(x_mm=0, y_mm=0, width_mm=450, height_mm=300, thickness_mm=200)
    walls = shapely.union_all([box(400, 0, 450, 300), box(0, 0, 450, 50), box(0, 250, 450, 300)])
    steps = [(10.0 * k, 20.0 * k) for k in range(20)]
    levels = tuple(
        Level(from_mm=z, to_mm=z + 10, region=shapely.union_all([walls, box(x, 0, 450, 300)]))
        for z, x in steps
    )
    grid = make_grid(levels, blank, 0.0, cell_mm=5.0)

    def share(directions):
        return np.logical_or.reduce([freed(grid, one) for one in directions]).mean()

    assert share(flat_directions()) == 0.0
    slope = float(np.degrees(np.arctan2(200, 400)))
    # But for what is left between the steps and the line over them.
    assert share([standing("bottom", slope)]) > 0.9
    assert share(standing_directions()) > 0.5


def test_a_short_wires_table_takes_nine_tenths_of_a_hollow_form_with_blocks_on_edge():
    plan = wreath()
    assert plan.bulk_share > 0.92
    assert len(standing_cuts()) > 4
    prisms = raised_prisms(OUTLINE, CONTOURS, peak_mm=WREATH.peak_mm)
    found = check_roughing(plan, prisms, wire_mm=1100.0, between_ends=True)
    assert [str(fault) for one in found for fault in one.faults] == []


def test_blocks_are_stood_up_edge_by_edge_before_the_outline():
    for blank in wreath().blanks:
        own = [cut for cut in wreath().cuts if cut.blank == blank.number]
        order = ["profile", "standing profile", "outline"]
        assert [cut.kind for cut in own] == sorted((cut.kind for cut in own), key=order.index)
        faces = [on for cut in own if (on := stands_on(cut.direction)) is not None]
        assert faces == sorted(faces, key=["bottom", "left"].index)


def test_a_block_that_passes_the_wire_at_every_turn_is_not_stood_up():
    blank = Blank(x_mm=0, y_mm=0, width_mm=460, height_mm=360, thickness_mm=130)

    def task(tools, hollow=False):
        return Task(
            levels=(),
            tools=tools,
            allowance_mm=5.0,
            most_cuts=9,
            least_litres=0.0,
            hollow=hollow,
        )

    short = replace(TABLE, wire_mm=580.0)
    assert not stands_up(task(TABLE), blank)
    assert stands_up(task(short), blank)
    assert stands_up(task(TABLE, hollow=True), blank)
    assert not stands_up(task(replace(short, tilt_deg=45.0), hollow=True), blank)
    assert not stands_up(task(replace(short, by_hand=True), hollow=True), blank)


def test_a_table_may_stand_blocks_up_but_a_bow_is_tilted():
    assert list(_unheld(shop(), (wreath(),))) == []
    told = str(next(_unheld(shop("bow", tilt_deg=10.0), (wreath(),))))
    assert "the rig by 10 at most" in told
    leaning = replace(standing_cuts()[0], direction=slanting(20.0, 45.0))
    assert face_stood_on(leaning) == ""
    assert list(_unheld(shop(), (replace(wreath(), cuts=(leaning,)),)))


@pytest.mark.parametrize("on", ["bottom", "left"])
@pytest.mark.parametrize("turn", [20.0, 70.0, 110.0, 165.0])
def test_the_line_on_top_of_a_standing_block_lies_along_the_wire(on, turn):
    blank = Blank(x_mm=-30, y_mm=40, width_mm=680, height_mm=480, thickness_mm=300)
    direction = standing(on, turn)
    cut = replace(standing_cuts()[0], direction=direction, datum=datum(blank, direction))
    line = setting_line(blank, cut)
    axes = {"top": [0, 2], "right": [2, 1]}[line.face]
    way = line.points[1] - line.points[0]
    assert way / np.hypot(*way) == pytest.approx(np.array(direction.wire)[axes])
    size = np.array([680.0, 480.0, 300.0])[axes]
    assert line.points.mean(axis=0) == pytest.approx(size / 2)
    # Every cut is symmetric about the middle of a box: so is the block's shadow about the line.
    wide = 680 if on == "bottom" else 480
    out = np.radians(turn)
    assert line.right_mm == pytest.approx((wide * np.sin(out) + 300 * abs(np.cos(out))) / 2)


def test_paper_and_file_say_on_which_face_the_block_stands(tmp_path):
    for cut in standing_cuts():
        (blank,) = (one for one in wreath().blanks if one.number == cut.blank)
        text = " ".join(_setting_steps(blank, cut, TOLD))
        on = stands_on(cut.direction)
        assert f"Stand the block on its {on} face" in text
        assert "clockwise" not in text
        path = tmp_path / "cut.csv"
        heading = ["roughing: 1", f"cut: {cut.number}", *set_up(shop(), cut)]
        path.write_text(roughing_text(heading, cut), encoding="utf-8")
        file = read_roughing_coordinates(path)
        assert file.stands_on == on
        assert list(_differs(cut, file)) == []
        fallen = replace(file, stands_on="")
        assert "another face" in str(next(iter(_differs(cut, fallen))))


def test_before_a_fence_only_straight_cuts_along_the_blocks_edges_are_planned():
    levels = (
        Level(from_mm=0.0, to_mm=60.0, region=box(0, 0, 300, 200)),
        Level(from_mm=60.0, to_mm=120.0, region=box(100, 50, 220, 160)),
    )
    blank = snug_blank(levels, margin_mm=30, front_mm=30)
    fence = replace(TABLE, by_fence=True, wire_mm=300.0)
    plan = plan_roughing(levels, blank, fence, allowance_mm=10.0)
    assert [row.way for row in plan.rows] == ["flat cuts only", "2 pieces, then flat cuts"]
    assert plan.cuts
    for cut in plan.cuts:
        assert max(map(abs, cut.direction.wire)) == pytest.approx(1.0)
        assert all(len(line.simplify(1e-6).coords) == 2 for line in cut.lines)
    assert list(_unheld(shop("fence"), (plan,))) == []
    # What follows a curve, or has the wire aslant, does not pass for a cut along a fence.
    told = [str(fault) for fault in _unheld(shop("fence"), (wreath(),))]
    assert any("as a fence allows alone" in fault for fault in told)
