"""The whole way, from outlines to a proved plan: the demos, and shapes nobody chose."""

import math
from dataclasses import replace

import pytest
from demo_plans import NAMES, demo_plan
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from shapely import Polygon, box
from shapely.affinity import rotate, translate

from wirepath.checking import check_plan
from wirepath.model import EntityCount, FormSettings, LayoutSettings, Outline, PartSettings, Traced
from wirepath.plan_folder import prove_folder, write_folder
from wirepath.planning import make_plan


def broken(plan) -> list[str]:
    return [str(fault) for finding in check_plan(plan) for fault in finding.faults]


@pytest.mark.parametrize("name", NAMES)
def test_a_demo_is_planned_written_and_proved_from_its_files(name, tmp_path, shared_folder):
    plan = demo_plan(name, shared_folder)
    write_folder(plan, tmp_path / "plan", replace_old=False)
    findings = prove_folder(tmp_path / "plan")
    assert [fault for finding in findings for fault in finding.faults] == []
    # The sheets are read back by a library of its own: they name what the order names.
    pages = PdfReader(tmp_path / "plan" / "sheets.pdf").pages
    front = pages[0].extract_text()
    assert "INVENTED" in front
    for line in plan.estimate.order:
        assert line.stock in front
        assert f"{line.price:.2f}" in front


def drawn(*shapes: Polygon) -> Traced:
    count = EntityCount(
        kind="LWPOLYLINE", found=len(shapes), read=len(shapes), ignored=0, refused=0
    )
    return Traced(
        outlines=tuple(Outline(name=f"P{n}", polygon=shape) for n, shape in enumerate(shapes, 1)),
        counts=(count,),
    )


def test_an_order_agrees_with_arithmetic_on_paper(job, workshop):
    # Blocks of 1000 x 500 x 200, kerf 2, web 8, so 10 mm between pieces: of plates
    # 490 x 245 x 99 a face takes 2 x 2 (490 + 10 + 490, 245 + 10 + 245), a block two
    # slabs (99 + 2 + 99 = 200). Nine plates need three faces: two blocks, 60 crowns,
    # 0.2 m3, 3 kg at 15 kg/m3.
    job = replace(job, form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=99.0))
    plan = make_plan(job, workshop, drawn(*[box(0, 0, 490, 245)] * 9), seconds=0)
    (line,) = plan.estimate.order
    assert (line.count, line.price) == (2, 60.0)
    assert line.volume_m3 == pytest.approx(0.2)
    assert line.weight_kg == pytest.approx(3.0)
    assert len(plan.layouts) == 3
    assert plan.estimate.foam.pieces == pytest.approx(9 * 0.490 * 0.245 * 0.099 * 1000)
    assert broken(plan) == []


def test_a_thick_form_is_glued_of_layers(job, workshop):
    job = replace(job, form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=1100.0))
    plan = make_plan(job, workshop, drawn(box(0, 0, 400, 150)), seconds=0)
    assert len(plan.pieces) >= 2
    assert sum(seam.kind == "layer" for seam in plan.seams) >= 1
    assert broken(plan) == []


@st.composite
def outlines(draw) -> Polygon:
    """A star with few or many points, perhaps with a round hole; at most 400 mm across."""
    points = draw(st.integers(3, 9))
    radii = [draw(st.floats(60, 200)) for _ in range(points)]
    turn = draw(st.floats(0, 360))
    star = Polygon(
        [
            (r * math.cos(2 * math.pi * k / points), r * math.sin(2 * math.pi * k / points))
            for k, r in enumerate(radii)
        ]
    )
    if draw(st.booleans()):
        inner = star.buffer(-25)
        spot = inner.representative_point() if not inner.is_empty else None
        if spot is not None and inner.geom_type == "Polygon":
            star = star.difference(spot.buffer(draw(st.floats(8, 20))))
    star = rotate(star, turn, origin=(0, 0))
    west, south, _, _ = star.bounds
    return translate(star, -west, -south)


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    shapes=st.lists(outlines(), min_size=1, max_size=5),
    turning=st.sampled_from(["none", "half", "quarter"]),
    copies=st.integers(1, 2),
)
def test_any_outlines_give_a_plan_that_keeps_its_promises(job, workshop, shapes, turning, copies):
    job = replace(
        job,
        layout=LayoutSettings(turning=turning),
        parts=(PartSettings(name="P*", copies=copies),),
    )
    plan = make_plan(job, workshop, drawn(*shapes), seconds=0)
    assert broken(plan) == []
