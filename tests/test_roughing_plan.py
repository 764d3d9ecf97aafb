"""The plan of roughing: what it promises, for reliefs of known and of random shape."""

import itertools
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import relief_shapes
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from wirepath.checking.prisms import Prism, raised_prisms
from wirepath.checking.roughing_proof import check_roughing
from wirepath.drawing_file import read_traced
from wirepath.errors import FitError
from wirepath.job_file import drawing_path, read_job
from wirepath.model import Blank, Contour, Level, RoughingNote, RoughingPlan, Seam
from wirepath.report import roughing_lines
from wirepath.roughing import (
    Tools,
    carving_hours,
    grid_pieces,
    litres_by_cut,
    plan_roughing,
    raised,
    rough_forms,
    snug_blank,
)
from wirepath.roughing.choosing import choose
from wirepath.roughing.slabs import _leaned

BOW = Tools(kerf_mm=2.0, wire_mm=3000.0, by_hand=True, tilt_deg=75.0)
TABLE = Tools(kerf_mm=2.0, wire_mm=3000.0, by_hand=False, tilt_deg=0.0)
ALLOWANCE = 20.0


@cache
def dome_contours() -> tuple[Contour, ...]:
    """Return half an ellipsoid, 800 x 500 mm, 200 mm high, in contours 25 mm apart."""
    return tuple(
        Contour(
            height_mm=25.0 * k,
            region=shapely.affinity.scale(
                Point(0, 0).buffer(1, quad_segs=16),
                400 * math.sqrt(1 - (k / 8) ** 2),
                250 * math.sqrt(1 - (k / 8) ** 2),
            ),
        )
        for k in range(8)
    )


def dome() -> tuple[Level, ...]:
    return raised(dome_contours()[0].region, dome_contours(), peak_mm=200.0)


DOME_BLOCK = Blank(x_mm=-430, y_mm=-280, width_mm=860, height_mm=560, thickness_mm=230)


@cache
def dome_plan(way: str | None = None, tools: Tools = BOW) -> RoughingPlan:
    return plan_roughing(
        dome(), DOME_BLOCK, tools, allowance_mm=ALLOWANCE, way=way, compare=way is None
    )


def proof_of(plan: RoughingPlan, wire_mm: float = 3000.0):
    prisms = raised_prisms(dome_contours()[0].region, dome_contours(), peak_mm=200.0)
    return check_roughing(plan, prisms, wire_mm=wire_mm)


WAYS = [
    "outline",
    "outline and two profiles",
    "with diagonals",
    "with tilted profiles",
    "slabs of 100 mm, straight edges",
    "slabs of 100 mm, slanted edges",
    "flat cuts only",
]


@pytest.mark.parametrize("way", WAYS)
def test_every_way_keeps_off_the_form_and_its_litres_add_up(way):
    plan = dome_plan(way)
    assert [str(fault) for finding in proof_of(plan) for fault in finding.faults] == []


def test_few_cuts_take_nearly_all_that_straight_wires_can_from_a_dome():
    plan = dome_plan()
    assert len(plan.cuts) <= 9
    assert plan.litres_off > 0.95 * plan.bound_litres
    assert plan.bound_litres <= plan.removable_litres
    assert plan.litres_off < plan.removable_litres
    assert sorted(row.way for row in plan.rows) == sorted(WAYS)


def test_what_is_left_to_carve_is_what_is_left_less_the_form():
    plan = dome_plan()
    exact = 2 / 3 * math.pi * 400 * 250 * 200 / 1e6
    left = plan.block_litres - plan.litres_off
    assert plan.carve_least_litres < left - exact < plan.carve_most_litres
    assert sum(cut.litres for cut in plan.cuts) == pytest.approx(plan.litres_off)
    least, most = carving_hours(plan, 2.0)
    assert (least, most) == (plan.carve_least_litres / 2, plan.carve_most_litres / 2)


def test_litres_against_cuts_rise_from_nothing_to_all():
    points = litres_by_cut(dome_plan())
    assert points[0] == (0, 0.0)
    assert points[-1] == (len(dome_plan().cuts), pytest.approx(dome_plan().litres_off))
    assert all(b[1] >= a[1] for a, b in itertools.pairwise(points))


def test_profiles_come_first_while_faces_are_square_and_the_outline_last_mirrored():
    kinds = [cut.kind for cut in dome_plan("with tilted profiles").cuts]
    assert kinds[-1] == "outline"
    order = ["profile", "tilted profile", "outline"]
    assert kinds == sorted(kinds, key=order.index)
    last = dome_plan("with tilted profiles").cuts[-1]
    assert last.mirrored
    assert any(note.kind == "mirrored" for note in last.notes)


def test_a_table_cuts_the_outline_as_it_is_seen_from_the_front():
    last = dome_plan("with diagonals", TABLE).cuts[-1]
    assert last.kind == "outline"
    assert not last.mirrored
    assert not any(note.kind == "mirrored" for note in last.notes)


def test_cuts_of_a_shop_without_tilt_lie_in_the_face_or_square_to_it():
    assert {cut.tilt_deg for cut in dome_plan("with diagonals", TABLE).cuts} <= {0.0, 90.0}
    with pytest.raises(FitError, match="no way of roughing called 'with tilted profiles'"):
        dome_plan("with tilted profiles", TABLE)


def test_a_table_gets_no_marks_and_a_bow_gets_pairs_it_can_call_out():
    assert all(cut.marks == () for cut in dome_plan("with diagonals", TABLE).cuts)
    for cut in dome_plan("with diagonals").cuts:
        assert 2 <= len(cut.marks) <= 60
        assert [pair.number for pair in cut.marks] == list(range(1, len(cut.marks) + 1))


FACES = {"left": (0, 0), "right": (0, 1), "bottom": (1, 0), "top": (1, 1), "back": (2, 0)}
FACES["front"] = (2, 1)


def in_space(mark, blank: Blank) -> np.ndarray:
    axis, far = FACES[mark.face]
    size = (blank.width_mm, blank.height_mm, blank.thickness_mm)
    point = np.empty(3)
    rest = [a for a in range(3) if a != axis]
    point[axis] = far * size[axis]
    point[rest] = mark.along_mm, mark.height_mm
    return point + np.array([blank.x_mm, blank.y_mm, blank.from_mm])


def test_a_wire_from_mark_to_mark_lies_on_the_path():
    plan = dome_plan("with tilted profiles")
    for cut in plan.cuts:
        path = shapely.union_all(list(cut.lines))
        for pair in cut.marks:
            ends = np.array([in_space(m, DOME_BLOCK) for m in (pair.first, pair.second)])
            size = (DOME_BLOCK.width_mm, DOME_BLOCK.height_mm, DOME_BLOCK.thickness_mm)
            inside = ends - [DOME_BLOCK.x_mm, DOME_BLOCK.y_mm, 0]
            assert (inside > -1e-6).all()
            assert (inside < np.array(size) + 1e-6).all()
            places = ends @ np.array([cut.direction.right, cut.direction.up]).T - cut.datum
            assert shapely.distance(shapely.points(places), path).max() < 1e-6
            along = ends[1] - ends[0]
            if np.linalg.norm(along) > 1:
                assert along / np.linalg.norm(along) == pytest.approx(cut.direction.wire, abs=1e-6)


def test_every_corner_of_the_path_in_the_block_has_its_mark():
    for cut in dome_plan("with diagonals").cuts:
        if cut.kind != "profile":
            continue
        marked = np.array(
            [
                in_space(pair.first, DOME_BLOCK)
                @ np.array([cut.direction.right, cut.direction.up]).T
                - cut.datum
                for pair in cut.marks
            ]
        )
        (line,) = cut.lines
        for corner in line.coords:
            if 0 < corner[1] < DOME_BLOCK.thickness_mm and corner[0] > 0:
                assert np.hypot(*(marked - corner).T).min() < 1.0 + 1e-6


def test_offcuts_weigh_what_they_should_and_heavy_ones_are_told():
    heavy = Tools(
        kerf_mm=2.0, wire_mm=3000.0, by_hand=True, tilt_deg=75.0, density_kg_per_m3=1500.0
    )
    plan = plan_roughing(
        dome(), DOME_BLOCK, heavy, allowance_mm=ALLOWANCE, way="with diagonals", compare=False
    )
    lumps = [lump for cut in plan.cuts for lump in cut.offcuts]
    assert [lump.number for lump in lumps] == list(range(1, len(lumps) + 1))
    for lump in lumps:
        assert lump.weight_kg == pytest.approx(lump.litres * 1.5)
        assert lump.people == (1 if lump.weight_kg <= 16 else 2 if lump.weight_kg <= 33 else 0)
    assert sum(lump.litres for lump in lumps) <= plan.litres_off + 1e-6
    assert sum(lump.litres for lump in lumps) > 0.97 * plan.litres_off
    assert any(note.kind == "two people" for cut in plan.cuts for note in cut.notes)


def test_a_prism_is_cut_out_whole_by_its_outline():
    prism = (Level(from_mm=0, to_mm=100, region=box(0, 0, 600, 400)),)
    blank = Blank(x_mm=-40, y_mm=-40, width_mm=680, height_mm=480, thickness_mm=100)
    plan = plan_roughing(prism, blank, TABLE, allowance_mm=0.0)
    assert plan.way == "outline"
    # Two sides give way by up to 2 mm where corners are round and the path has few of them.
    assert plan.carve_most_litres - plan.block_litres < 0
    assert plan.carve_least_litres < 0.01 * 24


def test_a_short_wire_cuts_the_corners_or_parts_the_block_but_never_lies_longer_in_foam():
    short = Tools(kerf_mm=2.0, wire_mm=500.0, by_hand=True, tilt_deg=75.0)
    plan = plan_roughing(dome(), DOME_BLOCK, short, allowance_mm=ALLOWANCE)
    assert all(finding.passed for finding in proof_of(plan, 500.0))
    assert max(cut.longest_wire_mm for cut in plan.cuts) <= 500.5
    assert plan.bulk_share > 0.9
    named = {row.way: row for row in plan.rows}
    assert named["4 pieces, then profiles"].blanks == 4
    slabs = named["slabs of 100 mm, straight edges"]
    assert not slabs.fits
    # Sawing the block into slabs takes a wire as long as its shorter side.
    assert slabs.longest_wire_mm == pytest.approx(min(DOME_BLOCK.width_mm, DOME_BLOCK.height_mm))


def test_flat_cuts_go_by_a_short_wire_on_the_block_and_on_pieces():
    short = replace(BOW, wire_mm=300.0)
    for way in ("flat cuts only", "6 pieces, then flat cuts"):
        plan = plan_roughing(
            dome(), DOME_BLOCK, short, allowance_mm=ALLOWANCE, way=way, compare=False
        )
        assert {cut.kind for cut in plan.cuts} == {"corner"}
        assert max(cut.longest_wire_mm for cut in plan.cuts) <= 300
        assert [str(f) for found in proof_of(plan, 300.0) for f in found.faults] == []


def test_flat_cuts_of_a_table_without_tilt_lie_in_the_face_or_square_to_it():
    plan = dome_plan("flat cuts only", TABLE)
    assert plan.cuts
    assert {round(cut.tilt_deg, 3) for cut in plan.cuts} <= {0.0, 90.0}


def test_flat_cuts_keep_off_as_their_files_round_them():
    prism = (Level(from_mm=0, to_mm=50.0464, region=box(0.0003, 0, 600.0004, 400)),)
    blank = Blank(x_mm=-40, y_mm=-40, width_mm=680, height_mm=480, thickness_mm=100)
    plan = plan_roughing(prism, blank, TABLE, allowance_mm=5.0, way="flat cuts only", compare=False)
    filed = [
        replace(c, lines=tuple(shapely.transform(x, lambda p: p.round(3)) for x in c.lines))
        for c in plan.cuts
    ]
    prisms = raised_prisms(prism[0].region, (), peak_mm=50.0464)
    findings = check_roughing(replace(plan, cuts=tuple(filed)), prisms)
    assert [str(fault) for one in findings for fault in one.faults] == []


def test_a_piece_of_the_block_that_no_cut_is_worth_making_on_stays_whole():
    slab = (
        Level(from_mm=0, to_mm=100, region=box(0, 0, 400, 400)),
        Level(from_mm=0, to_mm=20, region=box(400, 0, 800, 400)),
    )
    blank = Blank(x_mm=0, y_mm=0, width_mm=800, height_mm=400, thickness_mm=100)
    way = "2 pieces, then profiles"
    tools = replace(TABLE, wire_mm=500.0)
    plan = plan_roughing(slab, blank, tools, allowance_mm=0.0, way=way, compare=False)
    assert {cut.blank for cut in plan.cuts} == {2}
    assert 16 + 3.2 <= plan.left_litres < 22
    prisms = [Prism(low_mm=0, high_mm=one.to_mm, region=one.region) for one in slab]
    findings = check_roughing(plan, prisms, wire_mm=500.0)
    assert [str(fault) for one in findings for fault in one.faults] == []


def test_a_wire_too_short_for_anything_is_refused():
    tiny = Tools(kerf_mm=2.0, wire_mm=20.0, by_hand=False, tilt_deg=0.0)
    form = (Level(from_mm=0, to_mm=60, region=box(0, 0, 100, 100)),)
    block = Blank(x_mm=-30, y_mm=-30, width_mm=160, height_mm=160, thickness_mm=90)
    with pytest.raises(FitError, match="no cut fits the wire"):
        plan_roughing(form, block, tiny, allowance_mm=ALLOWANCE, pieces=(block,))


def test_a_form_that_stands_out_of_its_block_is_refused_with_how_far():
    low = Blank(x_mm=-430, y_mm=-280, width_mm=860, height_mm=560, thickness_mm=180)
    with pytest.raises(FitError, match="stands 20 mm out of its block"):
        plan_roughing(dome(), low, BOW, allowance_mm=ALLOWANCE)


def test_an_unknown_way_is_refused_and_the_ways_are_named():
    with pytest.raises(FitError, match="outline and two profiles"):
        dome_plan("by teeth")


def test_a_ring_is_told_to_need_a_slit():
    ring = Point(0, 0).buffer(300).difference(Point(0, 0).buffer(150))
    levels = (Level(from_mm=0, to_mm=100, region=ring),)
    blank = Blank(x_mm=-330, y_mm=-330, width_mm=660, height_mm=660, thickness_mm=110)
    plan = plan_roughing(levels, blank, TABLE, allowance_mm=0.0, way="outline", compare=False)
    assert plan.bound_litres < 0.8 * plan.removable_litres
    assert any(note.kind == "holes" for note in plan.notes)
    assert any(note.kind == "seen through" for note in plan.cuts[-1].notes)


def test_a_ring_in_slabs_is_cut_out_by_a_slit_that_is_drawn():
    ring = Point(0, 0).buffer(300).difference(Point(0, 0).buffer(150))
    levels = (Level(from_mm=0, to_mm=100, region=ring),)
    blank = Blank(x_mm=-330, y_mm=-330, width_mm=660, height_mm=660, thickness_mm=100)
    plan = plan_roughing(
        levels,
        blank,
        TABLE,
        allowance_mm=0.0,
        way="slabs of 50 mm, straight edges",
        compare=False,
        slab_mm=50,
    )
    kinds = [cut.kind for cut in plan.cuts]
    assert kinds == ["slab", "hole", "slab", "hole"]
    hole = plan.cuts[1]
    (slit,) = hole.slits
    assert slit.length == pytest.approx(150, abs=6)
    # The ring's own volume and a little more stays.
    left = plan.block_litres - plan.litres_off
    assert ring.area / 1e4 < left < ring.area / 1e4 * 1.05
    # Foam to buy: the square of 600 mm round the ring, two slabs; the holes add nothing to it.
    (row,) = plan.rows
    assert row.foam_litres == pytest.approx(0.36 * 100, rel=0.01)


def test_a_hollow_form_is_told_and_seams_or_slabs_open_it():
    bowl = next(one for one in relief_shapes.RELIEFS if one.name == "bowl")
    contours = bowl.contours(50.0, 20.0)
    levels = raised(bowl.outline(50.0), contours, peak_mm=bowl.peak_mm)
    blank = snug_blank(levels, margin_mm=30, front_mm=30)
    way = "3 strips across, then profiles"
    plan = plan_roughing(levels, blank, TABLE, allowance_mm=ALLOWANCE, way=way, compare=False)
    assert plan.bound_litres < 0.8 * plan.removable_litres
    assert plan.bound_litres < plan.litres_off < plan.blanks_bound_litres
    assert f"{plan.blanks_bound_litres:.0f} from its 3 blocks each" in "".join(roughing_lines(plan))
    assert {"hollow", "hollow form"} <= {note.kind for note in plan.notes}


def test_pieces_keep_the_allowance_of_what_stands_beyond_the_seam():
    # A ledge 150 mm high right behind the seam: its side face needs its 20 mm as well.
    contours = [
        Contour(height_mm=0, region=box(0, 0, 800, 400)),
        Contour(height_mm=50, region=box(400, 0, 800, 400)),
    ]
    levels = raised(contours[0].region, contours, peak_mm=200)
    blank = Blank(x_mm=-30, y_mm=-30, width_mm=860, height_mm=460, thickness_mm=230)
    pieces = (
        Blank(number=1, x_mm=-30, y_mm=-30, width_mm=425, height_mm=460, thickness_mm=230),
        Blank(number=2, x_mm=395, y_mm=-30, width_mm=435, height_mm=460, thickness_mm=230),
    )
    plan = plan_roughing(
        levels,
        blank,
        BOW,
        allowance_mm=ALLOWANCE,
        pieces=pieces,
        way="2 pieces, then profiles",
        compare=False,
    )
    prisms = raised_prisms(contours[0].region, contours, peak_mm=200)
    assert all(finding.passed for finding in check_roughing(plan, prisms))
    first = [cut for cut in plan.cuts if cut.blank == 1]
    assert first
    # On piece 1 foam stands at x = 390, z = 150: 10 mm off the ledge.
    point = np.array([[390.0, 200.0, 150.0]])
    for cut in first:
        place = point @ np.array([cut.direction.right, cut.direction.up]).T - cut.datum
        assert any(part.contains(Point(*place[0])) for part in cut.kept)


def glue_line(x_mm):
    line = LineString([(x_mm, -300), (x_mm, 300)])
    return Seam(pieces=(1, 2), kind="edge", place=line, from_mm=0.0, to_mm=230.0)


def test_a_glue_line_across_the_wire_is_told():
    plan = plan_roughing(
        dome(),
        DOME_BLOCK,
        BOW,
        allowance_mm=ALLOWANCE,
        way="outline and two profiles",
        compare=False,
        seams=(glue_line(0.0),),
    )
    along_y, along_x, outline = plan.cuts
    assert {along_y.kind, along_x.kind, outline.kind} == {"profile", "outline"}
    assert all(RoughingNote(kind="glue line", values=(1, 2)) in cut.notes for cut in plan.cuts)
    far = plan_roughing(
        dome(),
        DOME_BLOCK,
        BOW,
        allowance_mm=ALLOWANCE,
        way="outline and two profiles",
        compare=False,
        seams=(glue_line(5000.0),),
    )
    assert not any(note.kind == "glue line" for cut in far.cuts for note in cut.notes)


def test_the_depth_map_tells_how_deep_the_carver_goes():
    depth = dome_plan("outline").depth
    assert depth is not None
    rows = np.array(depth.rows)
    middle = rows[rows.shape[0] // 2, rows.shape[1] // 2]
    # The block is 230 high there, the form between 175 and 200: at most 55 to go.
    assert middle == pytest.approx(55, abs=5)
    assert (rows == -1).any()
    assert depth.cell_mm == 50


def test_the_same_input_gives_the_same_plan():
    again = dome_plan.__wrapped__("with diagonals")
    assert again == dome_plan("with diagonals")


def test_the_choice_frees_most_with_the_forced_cut_first():
    cells = [np.zeros(10, bool) for _ in range(4)]
    cells[0][:3] = cells[1][2:9] = cells[2][3:6] = cells[3][5:10] = True
    assert choose(cells, [1] * 4, forced=[2], most=2, least_cells=1) == [2, 1]
    assert choose(cells, [1] * 4, most=9, least_cells=1) == [1, 0, 3]
    assert choose(cells, [1] * 4, most=9, least_cells=2) == [1, 0]
    assert choose(cells, [1, 10, 10, 1], most=2, least_cells=1, swaps=0) == [3, 0]
    # A swap takes cut 1, which frees more beside cut 3 than cut 0 does... or beside cut 0.
    assert set(choose(cells, [1, 10, 10, 1], most=2, least_cells=1)) == {0, 1}


# --- Never below the form, whatever its shape -----------------------------------------


@st.composite
def contour_stacks(draw: st.DrawFn) -> tuple[tuple[Contour, ...], float]:
    """Return random contours, one inside the other, with dips, islands and ledges, and a peak."""
    seed = draw(st.integers(0, 10_000))
    count = draw(st.integers(1, 4))
    rng = np.random.default_rng(seed)
    heights = np.cumsum(rng.uniform(15, 60, count + 1))
    region = star(rng, 0, 0, 180, 300)
    contours = [Contour(height_mm=0.0, region=region)]
    for height in heights[:count]:
        if rng.random() < 0.7:  # else a ledge: several contours run along the same line
            smaller = shapely.affinity.scale(region, *rng.uniform(0.55, 0.98, 2))
            region = shapely.intersection(region, smaller)
        if rng.random() < 0.4:
            dip = star(rng, *rng.uniform(-80, 80, 2), 20, 90)
            region = shapely.difference(region, dip)
        if rng.random() < 0.4:
            cut = box(*np.sort(rng.uniform(-250, 250, (2, 2)), axis=0).ravel())
            region = shapely.difference(region, cut)
        parts = [part for part in shapely.get_parts(region) if part.area > 900]
        contours += [Contour(height_mm=float(height), region=part) for part in parts]
        region = shapely.union_all(parts)
        if region.is_empty:
            break
    return tuple(contours), float(heights[-1])


def star(rng: np.random.Generator, x: float, y: float, least: float, most: float) -> Polygon:
    turns = np.sort(rng.uniform(0, 2 * np.pi, 14))
    radii = rng.uniform(least, most, 14)
    ring = np.c_[x + radii * np.cos(turns), y + radii * np.sin(turns)]
    found = Polygon(ring).buffer(0)
    return max(shapely.get_parts(found), key=lambda part: part.area)


def surface_points(contours, peak: float, rng: np.random.Generator, count: int) -> np.ndarray:
    """Return points of random surfaces that fit the contours, most of them as high as can be,
    carried off by up to the allowance."""
    heights = sorted({c.height_mm for c in contours})
    tops = dict(zip(heights, [*heights[1:], peak], strict=True))
    outline = contours[0].region
    x0, y0, x1, y1 = outline.bounds
    x, y = rng.uniform(x0, x1, count), rng.uniform(y0, y1, count)
    # Half the points lie on contours themselves: there a vertical ledge may stand.
    rims = [shapely.get_coordinates(c.region.exterior.segmentize(15)) for c in contours]
    rims = np.concatenate(rims)
    x[: count // 2], y[: count // 2] = rims[rng.integers(0, len(rims), count // 2)].T
    low, high = np.full(count, -1.0), np.full(count, -1.0)
    for contour in contours:
        inside = shapely.covers(shapely.buffer(contour.region, 1e-6), shapely.points(x, y))
        low = np.where(inside, np.maximum(low, contour.height_mm), low)
        high = np.where(inside, np.maximum(high, tops[contour.height_mm]), high)
    share = np.where(rng.random(count) < 0.7, 1.0, rng.random(count))
    points = np.c_[x, y, low + (high - low) * share][low >= 0]
    ways = rng.normal(size=points.shape)
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    return points + ways * (0.999 * ALLOWANCE * rng.random(len(points)) ** 0.2)[:, None]


STACK_WAYS = (
    "with diagonals",
    "with tilted profiles",
    "flat cuts only",
    "slabs of 60 mm, straight edges",
    "slabs of 60 mm, slanted edges",
    "2 strips across, then profiles",
)


@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
@given(stack=contour_stacks(), way=st.sampled_from(STACK_WAYS), by_hand=st.booleans())
def test_no_cut_goes_below_any_surface_that_fits_the_contours(stack, way, by_hand):
    contours, peak = stack
    tools = Tools(kerf_mm=3.0, wire_mm=700.0, by_hand=by_hand, tilt_deg=60.0)
    levels = raised(contours[0].region, contours, peak_mm=peak)
    blank = snug_blank(levels, margin_mm=35, front_mm=35)
    plan = plan_roughing(
        levels, blank, tools, allowance_mm=ALLOWANCE, way=way, slab_mm=60, compare=False
    )
    prisms = raised_prisms(contours[0].region, contours, peak_mm=peak)
    found = check_roughing(plan, prisms, wire_mm=700.0)
    assert [str(fault) for finding in found for fault in finding.faults] == []
    rng = np.random.default_rng(len(contours))
    points = surface_points(contours, peak, rng, 400)
    assert not taken_away(plan, points).any()


def taken_away(plan: RoughingPlan, points: np.ndarray) -> np.ndarray:
    """Return which points some cut takes from the blank they lie in, (n,)."""
    gone = np.zeros(len(points), bool)
    for cut in plan.cuts:
        if cut.kind in ("slanted slab", "hole"):
            continue
        blank = next(one for one in plan.blanks if one.number == cut.blank)
        low = np.array([blank.x_mm, blank.y_mm, blank.from_mm])
        high = low + np.array([blank.width_mm, blank.height_mm, blank.thickness_mm])
        inside = ((points > low) & (points < high)).all(axis=1)
        places = points @ np.array([cut.direction.right, cut.direction.up]).T - cut.datum
        kept = shapely.union_all(list(cut.kept))
        slot = shapely.union_all([LineString(line).buffer(1.5) for line in cut.lines])
        stays = shapely.contains_xy(kept, *places.T) & ~shapely.contains_xy(slot, *places.T)
        gone |= inside & ~stays
    return gone


def test_grid_pieces_fill_the_block():
    parts = grid_pieces(DOME_BLOCK, 3, 2)
    assert [part.number for part in parts] == [1, 2, 3, 4, 5, 6]
    assert sum(part.volume_mm3 for part in parts) == pytest.approx(DOME_BLOCK.volume_mm3)


@pytest.mark.parametrize("seed", range(3))
def test_leaning_wires_keep_off_the_form_in_space(seed):
    """Every leaning wire, many between each two corners, against points of the form's ledges."""
    rng = np.random.default_rng(seed)
    contours, peak = bowl_like(rng)
    levels = raised(contours[0].region, contours, peak_mm=peak)
    blank = snug_blank(levels, margin_mm=35, front_mm=35)
    way = "slabs of 60 mm, slanted edges"
    plan = plan_roughing(
        levels, blank, BOW, allowance_mm=ALLOWANCE, way=way, slab_mm=60, compare=False
    )
    prisms = raised_prisms(contours[0].region, contours, peak_mm=peak)
    assert all(finding.passed for finding in check_roughing(plan, prisms))
    points = []
    for level in levels:
        ring = shapely.get_coordinates(shapely.segmentize(shapely.boundary(level.region), 12.0))
        for z in np.linspace(level.from_mm, level.to_mm, 3):
            points.append(np.c_[ring, np.full(len(ring), z)])
    points = np.concatenate(points)
    kinds = set()
    for cut in plan.cuts:
        slab = next(one for one in plan.blanks if one.number == cut.blank)
        for lower, upper in zip(cut.lines, cut.upper_lines, strict=True):
            kinds.add(cut.kind)
            low, high = (np.asarray(line.coords) for line in (lower, upper))
            share = np.linspace(0, 1, 5)[:-1, None, None]
            low, high = ((a[:-1] + share * np.diff(a, axis=0)).reshape(-1, 2) for a in (low, high))
            corner = np.array([slab.x_mm, slab.y_mm])
            a = np.c_[low + corner, np.full(len(low), slab.from_mm)]
            b = np.c_[high + corner, np.full(len(high), slab.from_mm + slab.thickness_mm)]
            assert nearest(points, a, b) >= ALLOWANCE + BOW.kerf_mm / 2 - 1e-6
    assert kinds == {"slanted slab", "hole"}


def nearest(points: np.ndarray, a: np.ndarray, b: np.ndarray) -> float:
    """Return the least distance of points (n, 3) from the straight pieces a to b, (m, 3)."""
    way = b - a
    along = np.einsum("nmk,mk->nm", points[:, None] - a, way) / (way**2).sum(axis=1)
    feet = a + np.clip(along, 0, 1)[..., None] * way
    return float(np.linalg.norm(points[:, None] - feet, axis=2).min())


def bowl_like(rng: np.random.Generator) -> tuple[tuple[Contour, ...], float]:
    """Return contours of a bowl with a ragged rim and walls that slope both ways."""
    outer = star(rng, 0, 0, 260, 320)
    heights = [0.0, 40.0, 75.0, 110.0, 150.0]
    contours = [Contour(height_mm=0.0, region=outer)]
    for k, height in enumerate(heights[1:]):
        rim = shapely.affinity.scale(outer, 1 - 0.05 * k, 1 - 0.04 * k)
        dip = shapely.affinity.scale(star(rng, 0, 0, 120, 130), 1 + 0.12 * k, 1 + 0.1 * k)
        region = shapely.intersection(shapely.difference(rim, dip), contours[-1].region)
        part = max(shapely.get_parts(region), key=lambda one: one.area)
        contours.append(Contour(height_mm=height, region=part))
    return tuple(contours), 180.0


DEMO = Path(__file__).parents[1] / "demo_shapes"


def test_the_demos_pear_is_roughed_and_proved_and_flat_forms_are_not():
    path = DEMO / "pear.toml"
    job, workshop = read_job(path)
    traced = read_traced(drawing_path(path, job), job.read)
    (plan,) = rough_forms(job, workshop, traced, way="outline and two profiles", compare=False)
    prisms = raised_prisms(traced.outlines[0].polygon, traced.contours, peak_mm=300)
    found = check_roughing(plan, prisms, wire_mm=workshop.wire.length_mm)
    assert [str(fault) for finding in found for fault in finding.faults] == []
    # The wire of 1400 mm spans the pear's width but not its height: one profile falls away.
    assert [cut.kind for cut in plan.cuts] == ["profile", "outline"]
    letters, _ = read_job(DEMO / "letters.toml")
    assert rough_forms(letters, workshop, traced) == ()


def test_a_seam_between_strips_lies_where_it_opens_the_hollow():
    # A bay in the upper part of a bank: only a wire from above a seam at its foot gets in.
    whole = box(0, 0, 600, 900)
    contours = [
        Contour(height_mm=0, region=whole),
        Contour(height_mm=100, region=whole.difference(box(100, 540, 500, 900))),
    ]
    levels = raised(whole, contours, peak_mm=250)
    blank = snug_blank(levels, margin_mm=30, front_mm=30)
    way = "2 strips across, then profiles"
    plan = plan_roughing(levels, blank, TABLE, allowance_mm=5.0, way=way, compare=False)
    # Sixteenths of the block are 60 mm here: the one in the bay that is nearest to its foot.
    assert plan.blanks[1].y_mm == pytest.approx(570)


@pytest.mark.parametrize("start", range(8))
def test_both_ends_of_a_slanted_edge_have_corner_for_corner_where_corners_meet(start):
    # All eight corners lean to one of the three of a small triangle.
    ring = shapely.get_coordinates(shapely.segmentize(box(0, 0, 200, 200), 100.0).exterior)[:-1]
    lower = Polygon(np.roll(ring, start, axis=0))
    slab = Blank(x_mm=0, y_mm=0, width_mm=200, height_mm=200, thickness_mm=200)
    goal = Polygon([(99, 99), (101, 99), (100, 101)])
    upper = _leaned((), slab, lower, goal, 0.0)
    assert upper is None or len(upper.exterior.coords) == len(lower.exterior.coords)
