"""Forms given by outlines from the front, the side and above: from a drawing to a plan."""

from __future__ import annotations

import math
from dataclasses import replace

import ezdxf
import pytest
import shapely
from shapely import Point, Polygon
from shapely.affinity import translate
from test_mesh_jobs import job_file, read

from wirepath.checking import check_plan
from wirepath.checking.views import check_views
from wirepath.errors import DrawingError, SettingsError
from wirepath.job_file import read_job
from wirepath.planning import make_plan
from wirepath.slicing import hull_levels

R = 150.0
KEYS = (
    'units = "mm"\noutline_layers = ["FRONT"]\nside_layers = ["SIDE"]\nside_front = "right"\n'
    'top_layers = ["TOP"]\ntop_front = "bottom"\nview_step_mm = 10'
)


def volume(levels):
    return sum((one.to_mm - one.from_mm) * one.region.area for one in levels)


def drawn(tmp_path, *, keys=KEYS, kind="full round", form="layer_mm = 60", **shapes):
    """Return a job file whose drawing has outlines of these shapes, on layers of their names."""
    drawing = ezdxf.new(units=ezdxf.units.MM)
    for layer, shape in shapes.items():
        drawing.modelspace().add_lwpolyline(
            list(shape.exterior.coords)[:-1], close=True, dxfattribs={"layer": layer}
        )
    drawing.saveas(tmp_path / "views.dxf")
    path = job_file(tmp_path, drawing="views.dxf", read=keys, form=form)
    path.write_text(path.read_text().replace('"relief"', f'"{kind}"'), encoding="utf-8")
    return path


def discs(side=R, top=R):
    return {
        "FRONT": Point(0, 0).buffer(R, quad_segs=64),
        "SIDE": Point(1000, 30).buffer(side, quad_segs=64),
        "TOP": Point(-50, -900).buffer(top, quad_segs=64),
    }


# Archimedes, The Method, and Moore 1974, "Symmetrical Intersections of Right Circular
# Cylinders": two crossed cylinders share 16/3 r^3, three 8 (2 - sqrt 2) r^3.
@pytest.mark.parametrize(
    ("three", "exact"), [(False, 16 / 3 * R**3), (True, 8 * (2 - math.sqrt(2)) * R**3)]
)
def test_two_or_three_discs_are_the_steinmetz_solids(tmp_path, three, exact):
    shapes = discs()
    keys = KEYS
    if not three:
        del shapes["TOP"]
        keys = keys.replace('top_layers = ["TOP"]\ntop_front = "bottom"\n', "")
    keys = keys.replace("view_step_mm = 10", "view_step_mm = 2")
    _, _, traced = read(drawn(tmp_path, keys=keys, **shapes))
    found = volume(traced.sections)
    assert exact * 0.999 < found < exact + 2.2 * 2 * math.pi * R**2


def test_a_roof_on_a_round_plan_has_the_volume_of_its_integral():
    plan = Point(0, 0).buffer(R, quad_segs=64)
    roof = Polygon([(-R, 0), (R, 0), (R, 50), (0, 150), (-R, 50)])
    levels = hull_levels(plan, None, roof, spacing_mm=2.0, filled=True)
    # Under z = 50 + 100 (1 - |x| / R); the mean of |x| over a disc is 4 R / (3 pi).
    area = math.pi * R**2
    exact = 50 * area + 100 * (1 - 4 / (3 * math.pi)) * area
    assert exact < volume(levels) < exact + 2.0 * area
    assert levels[-1].region.bounds[2] < 5


def test_a_relief_has_its_peak_where_both_outlines_do(tmp_path):
    nose = Polygon([(0, 0), (40, 0), (40, 120), (100, 160), (40, 200), (40, 300), (0, 300)])
    plan_view = Polygon([(0, 0), (200, 0), (200, -40), (120, -100), (80, -100), (0, -40)])
    path = drawn(
        tmp_path,
        kind="relief",
        form="",
        FRONT=shapely.box(0, 0, 200, 300),
        SIDE=translate(nose, 400, 7),
        TOP=translate(plan_view, 3, -200),
    )
    job, workshop, traced = read(path)
    assert job.form.peak_mm == pytest.approx(100)
    x0, y0, x1, y1 = traced.contours[-1].region.bounds
    # At 90 mm: x within 40 / 2 + 80 / 6 of 100, y within 40 / 6 of 160.
    assert (x0, x1) == pytest.approx((100 - 100 / 3, 100 + 100 / 3), abs=0.1)
    assert (y0, y1) == pytest.approx((160 - 20 / 3, 160 + 20 / 3), abs=0.1)
    plan = make_plan(job, workshop, traced, seconds=0)
    assert [str(fault) for one in check_plan(plan) for fault in one.faults] == []


@pytest.mark.parametrize(("front", "low"), [("right", 0.0), ("left", 60.0)])
def test_the_front_is_where_the_job_says_it_is_in_the_side_outline(tmp_path, front, low):
    step = Polygon([(0, 0), (100, 0), (100, 50), (40, 50), (40, 100), (0, 100)])
    keys = KEYS.replace('top_layers = ["TOP"]\ntop_front = "bottom"\n', "").replace(
        'side_front = "right"', f'side_front = "{front}"'
    )
    path = drawn(tmp_path, keys=keys, form="", FRONT=shapely.box(0, 0, 80, 100), SIDE=step)
    _, _, traced = read(path)
    tall = [one for one in traced.sections if one.region.bounds[3] > 60]
    assert tall[0].from_mm == pytest.approx(low)
    assert tall[-1].to_mm == pytest.approx(low + 40)


def test_outlines_at_different_scales_are_refused_and_slips_are_told(tmp_path):
    with pytest.raises(DrawingError, match=r"280\.0 mm high, another one shows 300\.0 mm"):
        read(drawn(tmp_path, **discs(side=140)))
    shapes = discs()
    shapes["SIDE"] = Point(1000, 30).buffer(R * 1.01, quad_segs=64)
    _, _, traced = read(drawn(tmp_path, **shapes))
    assert any("303.0 mm high and is made 300.0 mm" in note.text for note in traced.notes)


def test_where_the_front_is_is_asked(tmp_path):
    keys = KEYS.replace('side_front = "right"\n', "").replace('top_front = "bottom"\n', "")
    with pytest.raises(DrawingError) as refused:
        read(drawn(tmp_path, keys=keys, **discs()))
    told = "\n".join(map(str, refused.value.faults))
    assert "a side outline is read, but not where the front is in it" in told
    assert "a top outline is read, but not where the front is in it" in told


def test_contours_and_a_peak_do_not_go_with_outlines_from_several_sides(tmp_path):
    keys = KEYS + '\ncontour_layers = ["C"]'
    with pytest.raises(SettingsError) as refused:
        read_job(drawn(tmp_path, keys=keys, kind="relief", form="peak_mm = 90", **discs()))
    told = "\n".join(map(str, refused.value.faults))
    assert "outlines from several sides tell the form, and so its peak" in told
    assert "contour_layers is given, but outlines from several sides tell the form" in told


def test_a_full_round_form_from_three_outlines_is_planned_and_proved(tmp_path):
    shapes = {name: disc.simplify(1.0) for name, disc in discs().items()}
    plan = make_plan(*read(drawn(tmp_path, **shapes)), seconds=0)
    assert [str(fault) for one in check_plan(plan) for fault in one.faults] == []
    assert len(plan.pieces) == math.ceil((2 * R + 20) / 60)
    assert len(plan.assembly.steps) == len(plan.pieces) - 1
    # What the outlines allow is carved: three crossed cylinders, in steps of 10 mm.
    foam = sum(piece.volume_mm3 for piece in plan.pieces)
    allowed = foam - plan.estimate.carve_litres * 1e6
    assert 1.0 < allowed / (8 * (2 - math.sqrt(2)) * R**3) < 1.12


def test_the_check_fails_where_less_stands_than_the_outlines_allow(tmp_path):
    job, _, traced = read(drawn(tmp_path, **discs()))
    assert all(one.passed for one in check_views(job, traced))
    sections = [*traced.sections]
    sections[12] = replace(sections[12], region=sections[12].region.buffer(-15))
    (finding,) = check_views(job, replace(traced, sections=tuple(sections)))
    assert "the outlines allow foam" in str(finding.faults[0])
