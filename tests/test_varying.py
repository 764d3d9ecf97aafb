"""The plan made again with one thing changed: each row is that plan's own figures."""

from __future__ import annotations

from dataclasses import replace

import pytest
import small_plan
from matplotlib import pyplot as plt
from shapely import LineString, box

from wirepath.change_picture import change_figure
from wirepath.errors import FitError
from wirepath.model import (
    Contour,
    EntityCount,
    FormSettings,
    Job,
    Outline,
    PartSettings,
    Reading,
    SeamSettings,
    Traced,
    Zone,
)
from wirepath.planning import make_plan
from wirepath.report import change_lines
from wirepath.varying import Change, changes, compare_changes
from wirepath.workshop import Stock

PLATE = Traced(
    outlines=(Outline(name="Plate", polygon=box(0, 0, 700, 400)),),
    counts=(EntityCount(kind="LWPOLYLINE", found=1, read=1, ignored=0, refused=0),),
)


def job(**form: object) -> Job:
    settings = {"kind": "flat", "foam": "EPS 15", "thickness_mm": 100.0, **form}
    return Job(
        name="Plate",
        drawing="plate.dxf",
        workshop="shop.toml",
        read=Reading(),
        form=FormSettings(**settings),  # type: ignore[arg-type]
    )


def changes_by_name(asked: Job, traced: Traced = PLATE, **shop: object) -> dict[str, Change]:
    plan = make_plan(asked, replace(small_plan.workshop(), **shop), traced, seconds=0.1)  # type: ignore[arg-type]
    return {change.name: change for change in changes(plan, share=0.05)}


def second_size() -> tuple[Stock, ...]:
    (block,) = small_plan.workshop().stock
    return block, replace(block, name="big", length_mm=1300.0, price=50.0)


def test_scale_grows_the_outline_and_leaves_a_flat_form_as_thick_as_it_was():
    change = changes_by_name(job())["scale +5 %"]
    assert change.traced.outlines[0].polygon.bounds == pytest.approx((0, 0, 735, 420))
    assert change.job.form.thickness_mm == 100.0


def test_scale_grows_a_reliefs_heights_too():
    relief = job(kind="relief", thickness_mm=None, peak_mm=100.0)
    heights = replace(PLATE, contours=(Contour(height_mm=40.0, region=box(50, 50, 600, 300)),))
    change = changes_by_name(relief, heights)["scale -5 %"]
    assert change.job.form.peak_mm == pytest.approx(95.0)
    assert change.traced.contours[0].height_mm == pytest.approx(38.0)


def test_scale_moves_seams_and_zones_with_the_drawing():
    zone = Zone(x_mm=100, y_mm=100, width_mm=100, height_mm=50)
    asked = replace(job(), seams=SeamSettings(at_x_mm=(300.0,), keep_clear=(zone,)))
    seams = changes_by_name(asked)["scale +5 %"].job.seams
    assert seams.at_x_mm == pytest.approx((315.0,))
    assert seams.keep_clear[0].width_mm == pytest.approx(105.0)


def test_scale_takes_seams_and_zones_drawn_in_the_drawing_with_it():
    drawn = replace(
        PLATE, seam_lines=(LineString([(300, 0), (300, 400)]),), keep_clear=(box(0, 0, 100, 100),)
    )
    traced = changes_by_name(job(), drawn)["scale +5 %"].traced
    assert traced.seam_lines[0].bounds == pytest.approx((315, 0, 315, 420))
    assert traced.keep_clear[0].bounds == pytest.approx((0, 0, 105, 105))


def test_scale_takes_the_place_where_the_wire_begins_with_it():
    part = PartSettings(name="Plate", entry_at=(700.0, 400.0))
    (grown,) = changes_by_name(replace(job(), parts=(part,)))["scale +5 %"].job.parts
    assert grown.entry_at == pytest.approx((735.0, 420.0))
    assert grown.thickness_mm is None


def test_blocks_that_grow_cost_by_their_volume():
    (stock,) = changes_by_name(job())["blocks +5 % each way"].workshop.stock
    assert stock.length_mm == pytest.approx(1050.0)
    assert stock.price == pytest.approx(30.0 * 1.05**3)


def test_each_size_is_tried_as_the_only_one():
    found = changes_by_name(job(), stock=second_size())
    assert [one.name for one in found["only big"].workshop.stock] == ["big"]
    assert "only block" in found


def test_allowance_is_changed_only_where_there_is_one():
    assert not any("allowance" in name for name in changes_by_name(job()))
    assert "allowance 10.5 mm" in changes_by_name(job(allowance_mm=10.0))


def test_the_longest_seam_is_moved_by_a_share_of_the_forms_width():
    long = replace(PLATE, outlines=(Outline(name="Plate", polygon=box(0, 0, 1600, 400)),))
    asked = replace(job(), seams=SeamSettings(at_x_mm=(800.0,)))
    found = changes_by_name(asked, long)
    assert {"seam at x = 720 mm", "seam at x = 880 mm", "no seams asked for"} <= set(found)
    assert found["seam at x = 880 mm"].job.seams.at_x_mm == pytest.approx((880.0,))


def test_the_rows_hold_the_figures_of_the_plans_themselves():
    shop = replace(small_plan.workshop(), stock=second_size())
    rows = compare_changes(job(), shop, PLATE, share=0.05, seconds=0.1)
    again = {row.name: row for row in rows}
    change = changes_by_name(job(), stock=second_size())["only big"]
    plan = make_plan(change.job, change.workshop, change.traced, seconds=0.1)
    assert again["only big"].price == pytest.approx(plan.estimate.price)
    assert again["only big"].foam_m3 == pytest.approx(1.3 * 0.5 * 0.2)
    assert again["as it is"].price < again["only big"].price


def test_a_change_that_leaves_no_plan_keeps_its_row_and_says_why():
    (block,) = small_plan.workshop().stock
    one_block = replace(small_plan.workshop(), stock=(replace(block, available=1),))
    wide = replace(PLATE, outlines=(Outline(name="Plate", polygon=box(0, 0, 940, 440)),))
    rows = compare_changes(job(thickness_mm=180.0), one_block, wide, share=0.1, seconds=0.1)
    (gone,) = [row for row in rows if row.name == "scale +10 %"]
    assert gone.refused
    assert any(gone.refused in line for line in change_lines(rows, "crowns"))


def test_a_job_without_a_plan_is_refused_as_ever():
    closed = replace(
        job(),
        seams=SeamSettings(keep_clear=(Zone(x_mm=-1, y_mm=-1, width_mm=1700, height_mm=900),)),
    )
    long = replace(PLATE, outlines=(Outline(name="Plate", polygon=box(0, 0, 1600, 400)),))
    with pytest.raises(FitError):
        compare_changes(closed, small_plan.workshop(), long, share=0.05, seconds=0.1)


def test_the_plot_shows_each_row_by_name():
    rows = compare_changes(job(), small_plan.workshop(), PLATE, share=0.05, seconds=0.1)
    figure = change_figure(rows, job=job(), currency="crowns")
    (axes,) = figure.axes
    assert [one.get_text() for one in axes.get_yticklabels()] == [row.name for row in rows]
    plt.close(figure)
