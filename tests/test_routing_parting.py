"""Parting cuts: waste that holds a piece is parted, enters no piece, and comes in lumps."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import sweeping
from foam_layouts import CUTTING, laid, layouts, plan_of, shapes
from hypothesis import HealthCheck, given, settings
from shapely import Point, Polygon, box
from shapely.affinity import translate

from wirepath.checking.scene import scenes
from wirepath.checking.waste import check_waste
from wirepath.coordinates import write_coordinates
from wirepath.kerf import wire_lines
from wirepath.model import Plan
from wirepath.routing import drawn_out, route
from wirepath.routing.lumps import Lump, free_way
from wirepath.sheets.steps import steps
from wirepath.wording import ENGLISH

OPEN = replace(CUTTING, waste="open")


def planned(layout, pieces, cutting=OPEN, lump_mm2=math.inf) -> Plan:
    lines = wire_lines(layout, pieces, cutting)
    passes = route(layout, lines, pieces, cutting, lump_mm2=lump_mm2)
    face = box(0, 0, layout.width_mm, layout.height_mm)
    layout = replace(layout, drawn_out=drawn_out(lines, passes, face, cutting.kerf_mm))
    return plan_of(layout, pieces, passes, cutting=cutting)


def kinds(plan: Plan, kind: str) -> list[float]:
    return [move.line.length for one in plan.passes for move in one.moves if move.kind == kind]


def test_a_square_in_the_middle_of_its_block_gets_one_cut_opposite_its_entry():
    plan = planned(*laid([box(100, 100, 200, 200)], 300, 300))
    # From the line, 98.5 mm off the edge of the foam, straight out.
    assert kinds(plan, "parting") == pytest.approx([98.5], abs=0.01)
    assert check_waste(plan, scenes(plan)).passed
    assert plan.layouts[0].drawn_out == ()


def test_whole_waste_gets_no_cut():
    plan = planned(*laid([box(100, 100, 200, 200)], 300, 300), cutting=CUTTING)
    assert kinds(plan, "parting") == []


def test_a_piece_on_the_edge_of_the_foam_needs_no_cut():
    # The waste lies along three sides of it at most: it comes off sideways.
    plan = planned(*laid([box(0, 100, 100, 200)], 300, 300))
    assert kinds(plan, "parting") == []


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(scene=layouts())
def test_on_any_layout_parted_waste_comes_off_and_no_piece_is_bitten(scene, tmp_path):
    layout, pieces = scene
    if not pieces:
        return
    plan = planned(layout, pieces)
    assert check_waste(plan, scenes(plan)).faults == ()
    (path,) = write_coordinates(plan, tmp_path)
    outlines = {one.number: one.outline for one in pieces}
    face = box(0, 0, layout.width_mm, layout.height_mm)
    told = sweeping.complaints(
        path, face=face, pieces=outlines, kerf_mm=3.0, lead_in_mm=OPEN.lead_in_mm
    )
    told += sweeping.waste_held(path, face=face, pieces=outlines, kerf_mm=3.0)
    drawn = plan.layouts[0].drawn_out
    assert [text for text in told if not any(f"piece {n} " in text for n in drawn)] == []


def test_lumps_are_parted_until_none_is_larger_than_asked():
    outlines = [translate(shapes()["disc"][0], 80 + 130 * i, 80) for i in range(4)]
    layout, pieces = laid(outlines, 540, 300)
    open_waste, lumps = planned(layout, pieces), planned(layout, pieces, lump_mm2=20_000)
    assert max(part.area for part in _waste(open_waste)) > 20_000
    assert max(part.area for part in _waste(lumps)) <= 20_000


def test_a_block_with_hardly_a_piece_in_it_is_parted_from_its_edges():
    layout, pieces = laid([Point(100, 100).buffer(80)], 2000, 1000)
    plan = planned(layout, pieces, lump_mm2=300_000)
    assert max(part.area for part in _waste(plan)) <= 300_000
    assert sum(move.kind == "air" for one in plan.passes for move in one.moves) > 2


def _waste(plan: Plan) -> list[Polygon]:
    (scene,) = scenes(plan)
    return [
        part for part in scene.parts if not any(part.intersects(p.buffer(-1)) for p in scene.placed)
    ]


def test_the_step_says_that_the_cut_parts_the_waste():
    plan = planned(*laid([box(100, 100, 200, 200)], 300, 300))
    texts = [step.text for step in steps(plan, plan.layouts[0], ENGLISH)]
    assert "Cut 99 mm into the waste and back: this parts it." in texts
    assert sum("Go back through the slot" in text for text in texts) == 1


@pytest.mark.parametrize(
    ("normals", "lacks"),
    [
        ([0.0], 0.0),
        ([0.0, math.pi / 2, math.pi], 0.0),
        # A quarter more than half the round: what is free is a quarter too little.
        ([0.0, math.pi / 2, math.pi, 1.25 * math.pi], math.pi / 4),
        ([0.0, math.pi / 2, math.pi, 1.5 * math.pi], math.pi / 2),
    ],
)
def test_a_body_gets_away_where_half_the_round_is_free(normals, lacks):
    assert free_way(np.array(normals))[1] == pytest.approx(lacks, abs=2e-3)


def test_the_share_that_a_cut_parts_off_is_that_of_the_area():
    lump = Lump(box(0, 0, 4, 2), np.empty(0, dtype=int))
    at = lump.places(np.array([[1.0, 0.0], [1.0, 2.0]]), 2.0)
    assert lump.share(at[None]) == pytest.approx([0.25])


# --- That the check can fail ---------------------------------------------------------


def test_waste_that_holds_a_piece_is_told():
    plan = planned(*laid([box(100, 100, 200, 200)], 300, 300), cutting=CUTTING)
    assert plan.layouts[0].drawn_out == (1,)
    assert check_waste(plan, scenes(plan)).passed
    plan = replace(plan, layouts=(replace(plan.layouts[0], drawn_out=()),))
    (fault,) = check_waste(plan, scenes(plan)).faults
    assert fault.what == "waste holds the piece fast"


def test_a_lump_too_heavy_for_one_is_told():
    layout, pieces = laid([Point(100, 100).buffer(80)], 2000, 1000)
    layout = replace(layout, thickness_mm=1200.0)
    plan = planned(layout, pieces, cutting=replace(OPEN, waste="lumps"))
    (fault,) = check_waste(plan, scenes(plan)).faults
    assert "a lump of waste weighs" in fault.what
    assert "one person lifts 16 kg" in fault.what
