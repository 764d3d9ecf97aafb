"""What a rig's wire could take at most: against closed forms, and against what cuts do take."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Point, box

from wirepath.checking.roughing_proof import check_roughing
from wirepath.model import Blank, Level, RoughingSettings
from wirepath.roughing import Tools, grid_pieces, plan_roughing, snug_blank
from wirepath.roughing.blanks import Task
from wirepath.roughing.bounds import reach_share, rig_directions
from wirepath.roughing.directions import slanting, stands_on
from wirepath.roughing.grid import line_hull_share, make_grid
from wirepath.roughing.working import Roughed

BOW = Tools(kerf_mm=1.0, wire_mm=5000.0, by_hand=True, tilt_deg=75.0)
TABLE = Tools(kerf_mm=1.0, wire_mm=5000.0, by_hand=False, tilt_deg=0.0, slanted_slabs=False)
TILTING = replace(TABLE, tilt_deg=30.0)
TWO_ENDED = replace(TABLE, slanted_slabs=True)
R = 200.0
CUBE = Blank(x_mm=-R, y_mm=-R, width_mm=2 * R, height_mm=2 * R, thickness_mm=2 * R)


def share(levels, blanks, tools):
    task = Task(levels=levels, tools=tools, allowance_mm=0.0, most_cuts=9, least_litres=0.0)
    return reach_share(task, [Roughed(blank=blank, left=(blank.volume_mm3,)) for blank in blanks])


def turned(radius_at, steps=40):
    """Return a body of revolution about z, from its radius over its height's share."""
    shares = (np.arange(steps) + 0.5) / steps
    return tuple(
        Level(
            from_mm=2 * R * (s - 0.5 / steps),
            to_mm=2 * R * (s + 0.5 / steps),
            region=Point(0, 0).buffer(float(radius_at(s)), quad_segs=16),
        )
        for s in shares
    )


@pytest.mark.parametrize("tools", [BOW, TABLE, TILTING], ids=["bow", "table", "tilting"])
@pytest.mark.parametrize(
    "form",
    [
        turned(lambda s: R * math.sqrt(1 - (2 * s - 1) ** 2)),
        turned(lambda s: R * (1 - s)),
        (Level(from_mm=0, to_mm=2 * R, region=box(-R, -R / 3, R / 2, R / 2)),),
    ],
    ids=["ball", "cone", "prism"],
)
def test_any_rig_with_wire_enough_could_take_all_round_a_convex_form(form, tools):
    # Its sections are convex, so a point outside one lies on a line in the plane of the face that
    # misses it: no tilt is needed (separation of convex sets: Minkowski).
    assert share(form, [CUBE], tools) > 0.99


@pytest.mark.parametrize("tools", [BOW, TABLE, TILTING], ids=["bow", "table", "tilting"])
def test_a_rings_hole_is_the_share_that_no_rig_could_take_but_its_halves_lie_open(tools):
    ring = Point(0, 0).buffer(R).difference(Point(0, 0).buffer(R / 2))
    form = (Level(from_mm=0, to_mm=2 * R, region=ring),)
    hole = math.pi * (R / 2) ** 2 / (4 * R**2 - ring.area)
    assert share(form, [CUBE], tools) == pytest.approx(1 - hole, abs=0.01)
    assert share(form, grid_pieces(CUBE, 2, 1), tools) > 0.99


def test_slits_lead_to_the_holes_of_a_slab():
    ring = Point(0, 0).buffer(R).difference(Point(0, 0).buffer(R / 2))
    grid = make_grid((Level(from_mm=0, to_mm=2 * R, region=ring),), CUBE, 0.0)
    assert line_hull_share(grid, slits=True) > 0.99


def test_in_the_plane_of_the_face_a_short_bow_takes_an_astroid_off_each_upright_edge():
    # Segments of length L between two legs at right angles cover what lies under the astroid
    # x^(2/3) + y^(2/3) = L^(2/3); its quarter holds 3 pi L^2 / 32 (E. H. Lockwood, A Book of
    # Curves, 1961, from memory). Thicker than the wire is long, so that no cut square to it fits.
    wire = 150.0
    form = (Level(from_mm=0, to_mm=2 * R, region=box(-1, -1, 1, 1)),)
    bow = replace(BOW, wire_mm=wire, tilt_deg=0.0)
    astroids = 4 * 3 * math.pi * wire**2 / 32
    assert share(form, [CUBE], bow) == pytest.approx(astroids / (2 * R) ** 2, rel=0.06)
    # On a table the whole block must pass between the ends of the wire: it takes nothing.
    assert share(form, [CUBE], replace(TABLE, wire_mm=wire)) == 0.0


def test_a_table_reaches_along_the_edges_that_a_block_can_stand_on_and_a_bow_everywhere():
    block = replace(CUBE, width_mm=500.0)
    found = list(rig_directions(TABLE, block))
    assert {stands_on(one) for one in found} == {None, "bottom", "left"}
    wires = [one.wire for one in found]
    # 24 flat ones, one square to the face, seven tilts each way along two edges.
    assert len(wires) == 24 + 1 + 2 * 7 * 2
    assert all(min(abs(x), abs(y), abs(z)) < 1e-9 for x, y, z in wires)
    everywhere = [one.wire for one in rig_directions(BOW, block)]
    assert np.isclose(everywhere, slanting(15.0, 35.0).wire).all(axis=1).any()


@st.composite
def forms(draw):
    """Return steps on one another, some of them rings, at most 400 x 300 x 200 mm."""
    region = box(0, 0, draw(st.integers(200, 400)), draw(st.integers(150, 300)))
    levels = []
    for k in range(draw(st.integers(1, 4))):
        if k and draw(st.booleans()):
            spot = Point(draw(st.integers(60, 200)), draw(st.integers(60, 150)))
            region = shapely.difference(region, spot.buffer(draw(st.integers(20, 90))))
        elif k:
            region = shapely.buffer(region, -draw(st.integers(5, 25)), join_style="mitre")
        parts = [one for one in shapely.get_parts(region) if one.area > 2000]
        if not parts:
            break
        region = shapely.multipolygons(parts)
        levels.append(Level(from_mm=50.0 * k, to_mm=50.0 * (k + 1), region=region))
    return tuple(levels)


RIGS = [BOW, TABLE, TILTING, TWO_ENDED, *(replace(one, wire_mm=330.0) for one in (BOW, TABLE))]
MANY = RoughingSettings(most_cuts=40, least_litres_per_cut=0.02)


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(levels=forms(), tools=st.sampled_from(RIGS), kind=st.integers(0, 2))
def test_no_cuts_take_more_than_the_rig_is_said_to_reach(levels, tools, kind):
    blank = snug_blank(levels, margin_mm=25, front_mm=25)
    edges = "slanted" if tools.slanted_slabs else "straight"
    way = ("with diagonals", "4 pieces, then profiles", f"slabs of 60 mm, {edges} edges")[kind]
    if kind == 2 and blank.thickness_mm <= 60:
        return
    plan = plan_roughing(
        levels,
        blank,
        tools,
        allowance_mm=10.0,
        way=way,
        compare=False,
        slab_mm=60.0,
        pieces=grid_pieces(blank, 2, 2),
        stop=MANY,
    )
    task = Task(levels=levels, tools=tools, allowance_mm=10.0, most_cuts=9, least_litres=0.0)
    results = [
        Roughed(
            blank=one,
            left=(0.0,),
            cuts=tuple(cut for cut in plan.cuts if cut.blank == one.number),
        )
        for one in plan.blanks
    ]
    reached = reach_share(task, results) * plan.removable_litres
    # The directions that the cuts were moved to are not among those tried here; cells are 10 mm.
    assert plan.litres_off < reached + 0.02 * plan.removable_litres
    assert plan.litres_off <= plan.blanks_bound_litres


def test_a_plan_that_takes_more_than_it_says_can_be_taken_is_told():
    levels = (Level(from_mm=0, to_mm=60, region=box(0, 0, 200, 150)),)
    plan = plan_roughing(
        levels,
        snug_blank(levels, margin_mm=20, front_mm=20),
        TABLE,
        allowance_mm=5.0,
        way="outline and two profiles",
        compare=False,
    )
    told = replace(plan, blanks_bound_litres=0.9 * plan.litres_off)
    faults = [
        [str(fault) for one in check_roughing(p, ()) for fault in one.faults] for p in (plan, told)
    ]
    assert not any("the most that they can" in fault for fault in faults[0])
    assert any("the most that they can" in fault for fault in faults[1])


def test_a_small_forms_cuts_must_pay_for_half_a_litre_each_where_no_rate_is_known():
    # Half a ball of 300 mm: what diagonal cuts take more than two profiles is less than that a cut.
    form = tuple(
        Level(
            from_mm=15.0 * k,
            to_mm=15.0 * (k + 1),
            region=Point(0, 0).buffer(math.sqrt(150**2 - (15.0 * k) ** 2)),
        )
        for k in range(10)
    )
    blank = snug_blank(form, margin_mm=15, front_mm=10)

    def picked(**settings):
        stop = RoughingSettings(**settings)
        return plan_roughing(form, blank, TABLE, allowance_mm=5.0, stop=stop)

    rows = {row.way: row for row in picked().rows}
    more, fewer = rows["with diagonals"], rows["outline and two profiles"]
    assert 0 < more.litres_off - fewer.litres_off < 0.5 * (more.cuts - fewer.cuts)
    assert picked().way == "outline and two profiles"
    assert picked(least_litres_per_cut=0.01).way == "with diagonals"
