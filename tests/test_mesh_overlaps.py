"""Meshes of several shells that overlap, against closed forms."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from wirepath.checking import check_plan
from wirepath.checking.costs import check_costs
from wirepath.checking.meshes import check_meshes
from wirepath.drawing_file import read_traced
from wirepath.job_file import read_job
from wirepath.model import Mesh, Reading
from wirepath.planning import make_plan
from wirepath.slicing import measured, mesh_levels, shaped, triangles

ROOT = Path(__file__).parent.parent
trimesh = pytest.importorskip("trimesh")


def as_mesh(*solids) -> Mesh:
    whole = trimesh.util.concatenate(list(solids))
    return Mesh(
        layer="solid",
        points=tuple(map(tuple, whole.vertices.tolist())),
        faces=tuple(map(tuple, whole.faces.tolist())),
        is_form=True,
    )


def ball(radius, at=(0, 0, 0), fineness=3):
    solid = trimesh.creation.icosphere(subdivisions=fineness, radius=radius)
    solid.apply_translation(at)
    return solid


def box(sizes, at=(0, 0, 0)):
    solid = trimesh.creation.box(sizes)
    solid.apply_translation(at)
    return solid


def lens(one, other, apart) -> float:
    """Return the volume that two balls share (Weisstein, Sphere-Sphere Intersection, MathWorld)."""
    rest = apart**2 + 2 * apart * (one + other) - 3 * (one - other) ** 2
    return np.pi * (one + other - apart) ** 2 * rest / (12 * apart)


@pytest.mark.parametrize("turn", [0.6, np.pi / 2])
def test_two_balls_that_overlap_hold_their_sum_less_the_lens(turn):
    apart = 130.0
    other = ball(80, at=(apart * np.cos(turn), 0, apart * np.sin(turn)))
    figures = measured(as_mesh(ball(100), other))
    assert figures.is_solid
    # The balls are of flat faces, a little smaller than round.
    assert figures.overlap_mm3 == pytest.approx(lens(100, 80, apart), rel=0.05)
    total = ball(100).volume + ball(80).volume
    assert figures.volume_mm3 == pytest.approx(total - lens(100, 80, apart), rel=2e-3)


@pytest.mark.parametrize("at", [(60, 50, 30), (0, 0, 100), (20, 0, 0)])
def test_two_boxes_that_overlap_hold_the_box_they_share_once(at):
    figures = measured(as_mesh(box((100, 100, 100)), box((100, 100, 100), at)))
    shared = float(np.prod([100 - abs(v) for v in at]))
    assert figures.overlap_mm3 == pytest.approx(shared, rel=1e-6, abs=1e-6)
    assert figures.volume_mm3 == pytest.approx(2e6 - shared, rel=1e-9)


def test_a_lump_within_another_adds_nothing_and_a_hollow_takes_off():
    inner = box((40, 40, 40), (5, 0, 0))
    lump = measured(as_mesh(box((100, 100, 100)), inner))
    assert lump.volume_mm3 == pytest.approx(1e6)
    inner.invert()
    hollow = measured(as_mesh(box((100, 100, 100)), inner))
    assert (hollow.volume_mm3, hollow.overlap_mm3) == (pytest.approx(1e6 - 64e3), 0.0)


def test_sections_are_filled_where_shells_overlap_and_open_where_one_is_hollow():
    tall = box((60, 60, 300), (30, 0, 0))
    cavity = box((40, 40, 290), (-40, -40, 0))
    cavity.invert()
    faces = triangles([as_mesh(box((200, 200, 300)), tall, cavity)])
    for level in mesh_levels(faces, spacing_mm=100)[1:-1]:
        assert level.region.contains(shapely.Point(30, 0))
        assert not level.region.intersects(shapely.Point(-40, -40))
        assert level.region.area == pytest.approx(200**2 - 40**2)


# --- A plan of such a mesh, and its proof --------------------------------------------------


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """Return the plan of a ball on a box that it sinks into, and the volume of both as one."""
    base, head = box((200, 200, 80), (0, 0, -90)), ball(90, (0, 0, 10), fineness=2)
    folder = tmp_path_factory.mktemp("bust")
    (folder / "bust.stl").write_bytes(
        trimesh.util.concatenate([base, head]).export(file_type="stl")
    )
    job, workshop = read_job(ROOT / "demo_shapes" / "pear.toml")
    form = replace(job.form, kind="full round", peak_mm=None, layer_mm=60.0, allowance_mm=10.0)
    job = replace(job, form=form, read=Reading(units="mm", mesh_step_mm=20.0), parts=())
    shape, traced = shaped(job, read_traced(folder / "bust.stl", job.read))
    # The base's top lies 60 mm under the ball's middle: below it the ball is a cap.
    below = head.slice_plane([0, 0, -50], [0, 0, -1]).convex_hull
    return make_plan(shape, workshop, traced, seconds=0), base.volume + head.volume - below.volume


def test_the_plan_of_shells_that_overlap_is_proved_and_carves_what_they_leave(planned):
    plan, volume = planned
    assert [str(fault) for one in check_plan(plan) for fault in one.faults] == []
    foam = sum(piece.outline.area * piece.thickness_mm for piece in plan.pieces)
    assert plan.estimate.carve_litres == pytest.approx((foam - volume) / 1e6, rel=1e-4)
    (note,) = [one.text for one in plan.traced.notes if "overlap" in one.text]
    assert "litres that several of them hold count once" in note


def test_the_check_fails_where_overlaps_count_twice_or_sections_are_hollow_in_them(planned):
    plan, _ = planned
    (mesh,) = plan.traced.meshes
    twice = plan.estimate.carve_litres - measured(mesh).overlap_mm3 / 1e6
    told = check_costs(replace(plan, estimate=replace(plan.estimate, carve_litres=twice)))
    assert "carve_litres" in str(told.faults)
    sections = tuple(
        replace(one, region=shapely.difference(one.region, shapely.Point(100, 100).buffer(5)))
        for one in plan.traced.sections
    )
    (finding,) = check_meshes(plan.job, replace(plan.traced, sections=sections))
    assert "solid where nothing is kept" in str(finding.faults)
