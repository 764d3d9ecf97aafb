"""Pins through the layers of full-round forms: in foam that the carver leaves."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, box
from shapely.affinity import translate
from small_plan import two_blocks
from test_mesh_jobs import bust, read, trimesh
from test_views import KEYS, discs, drawn

from wirepath.assembling import assemble
from wirepath.checking.assembled import check_assembled
from wirepath.checking.carved import carved_glue_faults
from wirepath.forming import form_levels, make_pieces
from wirepath.gluing import glue_off_carving
from wirepath.model import Plan
from wirepath.sectioning import seams
from wirepath.sheets.gluing_sheet import how_to_glue
from wirepath.sheets.lettering import Box
from wirepath.sheets.marks import hatch, hatching
from wirepath.sheets.page import Page
from wirepath.slicing import MeshCore, form_cores
from wirepath.slicing.rounded import Views, rounded
from wirepath.wording import LANGUAGES

RADIUS = 300.0
AROUND = 24.0
"""From a pin's axis to where its cover ends: 4 + 20 mm."""


def joined(path: Path) -> Plan:
    """Return a small plan with a full-round form's pieces, seams and assembly for its own:
    what is neither cut nor laid out here."""
    job, shop, traced = read(path)
    pieces = make_pieces(job, traced)
    met = glue_off_carving(seams(pieces), pieces, traced, behind_mm=job.form.allowance_mm)
    cores = form_cores(job, traced, form_levels(job, traced))
    made = assemble(pieces, met, cores, shop.glue)
    return replace(
        two_blocks(), job=job, workshop=shop, traced=traced, pieces=pieces, seams=met, assembly=made
    )


@pytest.fixture(scope="module")
def ball(tmp_path_factory):
    """Return the plan of a ball of 600 mm in layers of 100 mm, ten millimetres left on it."""
    solid = trimesh.creation.icosphere(subdivisions=3, radius=RADIUS)
    path, _ = bust(tmp_path_factory.mktemp("ball"), solid=solid, layer="layer_mm = 100", step=50)
    return joined(path)


@pytest.fixture(scope="module")
def drum(tmp_path_factory):
    """Return the plan of what discs from the front and the side allow: rounded, a ball."""
    shapes = {name: disc.simplify(0.1) for name, disc in discs().items() if name != "TOP"}
    keys = KEYS.replace('top_layers = ["TOP"]\ntop_front = "bottom"\n', "")
    return joined(drawn(tmp_path_factory.mktemp("drum"), keys=keys, form="layer_mm = 80", **shapes))


def out_mm(plan: Plan, middle: tuple[float, float, float]) -> float:
    """Return how far the farthest covered point of any pin lies from a ball's middle.

    A pin stands upright: farthest are its ends' rims, 20 mm on.
    """
    found = []
    for pin in plan.assembly.pins:
        for end in (pin.start, pin.end):
            across = np.hypot(end[0] - middle[0], end[1] - middle[1]) + 4.0
            found.append(np.hypot(across, end[2] - middle[2]) + 20.0)
    return max(found)


def moved(plan: Plan, by: tuple[float, float, float]) -> Plan:
    """Return the plan with its first pin elsewhere."""
    first, *others = plan.assembly.pins
    ends = {
        key: tuple(float(v) for v in np.add(getattr(first, key), by)) for key in ("start", "end")
    }
    return replace(plan, assembly=replace(plan.assembly, pins=(replace(first, **ends), *others)))


def told(plan: Plan) -> str:
    return "\n".join(str(fault) for fault in check_assembled(plan).faults)


def test_two_pins_go_through_each_face_of_a_balls_layers_within_the_ball(ball):
    assert told(ball) == ""
    counts = Counter(pin.seam for pin in ball.assembly.pins)
    # Faces lie 210, 110, 10 mm behind the middle and 90, 190, 290 before it: the last in the skin.
    assert [counts[seam] for seam in range(1, 7)] == [2, 2, 2, 2, 2, 0]
    middle = ball.traced.outlines[3].polygon.centroid
    assert out_mm(ball, (middle.x, middle.y, RADIUS + 10.0)) <= RADIUS + 0.1
    for pin in ball.assembly.pins:
        assert pin.start[:2] == pin.end[:2]
        assert (pin.start[2] + pin.end[2]) / 2 == ball.seams[pin.seam - 1].from_mm


def test_pins_of_one_face_stand_far_apart_and_of_successive_faces_pass_each_other(ball):
    for seam in range(2, len(ball.seams)):
        one, other = (np.array(p.start[:2]) for p in ball.assembly.pins if p.seam == seam)
        assert np.hypot(*(one - other)) > 150
    for k, pin in enumerate(ball.assembly.pins):
        for other in ball.assembly.pins[:k]:
            beside = np.hypot(*np.subtract(pin.start[:2], other.start[:2]))
            above = max(pin.start[2], other.start[2]) - min(pin.end[2], other.end[2])
            assert max(beside, above) >= 27.9


def test_pins_of_a_form_known_by_outlines_stand_within_its_rounded_sections(drum):
    assert told(drum) == ""
    assert drum.assembly.pins
    middle = drum.traced.views[0].region.centroid
    assert out_mm(drum, (middle.x, middle.y, 150.0 + 10.0)) <= 150.0 + 0.2
    for words in LANGUAGES.values():
        assert words.gluing_rounded in how_to_glue(drum, words)


@pytest.mark.parametrize(
    ("by", "words"),
    [
        ((0.0, 60.0, 0.0), "of finished foam cover it"),
        ((0.0, 400.0, 0.0), "it lies outside the mesh"),
        ((0.0, 0.0, 15.0), "its middle lies off seam"),
    ],
)
def test_a_pin_that_the_carver_of_a_mesh_would_meet_is_told(ball, by, words):
    first = ball.assembly.pins[0]
    out = 1.0 if first.start[1] > RADIUS else -1.0
    assert words in told(moved(ball, (by[0], out * by[1], by[2])))


def test_a_pin_that_the_carver_of_outlines_would_meet_is_told(drum):
    first = drum.assembly.pins[0]
    out = 60.0 if first.start[1] > 150.0 else -60.0
    assert "once every section is rounded" in told(moved(drum, (0.0, out, 0.0)))


def test_pins_of_successive_faces_that_meet_are_told(ball):
    pins = list(ball.assembly.pins)
    low = next(k for k, pin in enumerate(pins) if pin.seam == 3)
    high = next(k for k, pin in enumerate(pins) if pin.seam == 4)
    x, y, _ = pins[low].start
    pins[high] = replace(
        pins[high], start=(x, y, pins[high].start[2]), end=(x, y, pins[high].end[2])
    )
    faults = told(replace(ball, assembly=replace(ball.assembly, pins=tuple(pins))))
    assert f"it lies within 20 mm of pin {high + 1}" in faults


def test_the_core_of_a_stepped_block_is_what_stands_under_its_step_and_over_it():
    # A block of 200 x 100 mm, 60 mm high, and on its right half one of 40 mm more.
    low = trimesh.creation.box(bounds=[[0, 0, 0], [200, 100, 60]])
    high = trimesh.creation.box(bounds=[[100, 0, 60], [200, 100, 100]])
    core = MeshCore(np.concatenate([low.triangles, high.triangles]))
    areas = np.array([box(10, 10, 90, 90), box(110, 10, 190, 90), box(190, 10, 210, 90)])
    for heights, held in (
        ((5.0, 55.0), [True, True, False]),
        ((65.0, 95.0), [False, True, False]),
        ((-5.0, 55.0), [False] * 3),
        ((65.0, 105.0), [False] * 3),
    ):
        assert core.holds(areas, *heights).tolist() == held


def test_a_box_seen_from_two_sides_is_taken_for_an_elliptic_post():
    views = Views(box(0, 0, 200, 300), box(0, 0, 100, 300), None)
    found = rounded(views, 20.0, 80.0)
    # x^2 / 100^2 + 30^2 / 50^2 = 1 off the middle: x = 80.
    assert found.bounds == pytest.approx((20.0, 0.0, 180.0, 300.0), abs=5.0)
    assert found.bounds[0] >= 20.0
    assert rounded(views, 20.0, 101.0).is_empty


# --- Glue ----------------------------------------------------------------------------


def with_dry(plan, number, dry):
    seams = tuple(
        replace(seam, dry=dry) if k == number else seam for k, seam in enumerate(plan.seams, 1)
    )
    return replace(plan, seams=seams)


def test_glue_ends_where_the_form_does_and_leaves_none_of_it_out(ball):
    # Sections are 50 mm high: at 290 mm off the ball's middle that from 0 to 50 mm counts.
    middle = ball.traced.outlines[3].polygon.centroid
    for seam in ball.seams[:5]:
        height = seam.from_mm - 10.0 - RADIUS
        ring = Point(middle).buffer(np.sqrt(RADIUS**2 - height**2) - 2.0)
        assert seam.glued.buffer(0.01).covers(ring)
        assert not seam.dry.is_empty
        assert seam.area_mm2 == pytest.approx(seam.place.area - seam.dry.area)


def test_glue_left_out_of_the_form_or_spread_beside_it_is_told(ball):
    third = ball.seams[2]
    half = third.place.intersection(box(0, 0, 300, 1000))
    assert "of the form stay without glue" in told(with_dry(ball, 3, half))
    assert "where the carver takes all foam away" in told(with_dry(ball, 3, Polygon()))
    off = translate(third.dry, 2000.0)
    assert "lies beside it" in told(with_dry(ball, 3, off))


# --- Drawn ---------------------------------------------------------------------------


def test_hatching_that_touches_a_corner_in_one_point_draws_nothing_there():
    frame = Box(0.0, 0.0, 10.0, 10.0)
    line = shapely.get_parts(hatching(frame))[4]
    x, y = line.interpolate(0.5, normalized=True).coords[0]
    touching = Polygon([(x, y), (x + 1.0, y), (x + 1.0, y + 0.5)])
    assert shapely.get_type_id(shapely.intersection(line, touching)) == shapely.GeometryType.POINT
    page = Page(20.0, 20.0)
    hatch(page, touching.union(box(0, 0, 3, 3)), frame)
    assert page.strokes
    assert all(len(stroke.points) == 2 for stroke in page.strokes)


def test_a_section_that_ends_a_hair_under_a_face_is_glued_as_the_check_asks(ball):
    """A mesh in inches is read to single precision: its sections end beside the faces."""
    # Sections end at 50, 100 ... mm, layers at 90, 190 ... mm of the form.
    lower = tuple(
        replace(one, from_mm=one.from_mm - 10.000002, to_mm=one.to_mm - 10.000002)
        for one in ball.traced.sections
    )
    traced = replace(ball.traced, sections=lower)
    met = glue_off_carving(seams(ball.pieces), ball.pieces, traced, behind_mm=10.0)
    plan = replace(ball, traced=traced, seams=met)
    assert [str(fault) for fault in carved_glue_faults(plan)] == []
