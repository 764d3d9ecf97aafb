"""What `rough` writes: coordinate files of a table's cuts, both ends where edges slant."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import Point
from typer.testing import CliRunner

from wirepath.checking import check_rough_forms
from wirepath.cli import app
from wirepath.coordinates import read_roughing_coordinates
from wirepath.errors import DrawingError, FileError, ProofError
from wirepath.job_file import read_job
from wirepath.model import Contour, Outline, PartSettings, Traced
from wirepath.plan_folder import prove_folder, write_roughing_folder
from wirepath.roughing import rough_forms
from wirepath.workshop import Rig

ROOT = Path(__file__).parent.parent
SLANTED = "slabs of 100 mm, slanted edges"


def dome():
    """Return half a ball of 200 mm by contours 40 mm apart."""
    rings = [
        Contour(height_mm=h, region=Point(200, 200).buffer(np.sqrt(200**2 - h**2), quad_segs=6))
        for h in (40.0, 80.0, 120.0, 160.0)
    ]
    outline = Outline(name="dome", polygon=Point(200, 200).buffer(200, quad_segs=6))
    return Traced(outlines=(outline,), contours=tuple(rings))


def told(findings):
    return [str(fault) for one in findings for fault in one.faults]


@pytest.fixture(scope="module")
def shop():
    job, workshop = read_job(ROOT / "demo_shapes" / "pear.toml")
    job = replace(job, form=replace(job.form, peak_mm=200.0))
    return job, replace(workshop, rig=Rig(kind="table", two_ended=True))


@pytest.fixture(scope="module")
def slanted(shop):
    return rough_forms(*shop, dome(), way=SLANTED, compare=False)


def test_a_table_of_two_ends_cuts_slanted_edges_and_its_files_say_both(shop, slanted, tmp_path):
    folder = tmp_path / "rough"
    findings = write_roughing_folder(*shop, dome(), slanted, folder, replace_old=False)
    assert all(one.passed for one in findings)
    files = [read_roughing_coordinates(path) for path in sorted((folder / "coordinates").iterdir())]
    assert [one.cut for one in files] == [cut.number for cut in slanted[0].cuts]
    for file, cut in zip(files, slanted[0].cuts, strict=True):
        assert cut.kind == "slanted slab"
        for one, other in zip(file.upper_lines, cut.upper_lines, strict=True):
            assert shapely.hausdorff_distance(one, other) < 0.01
        # A dome's edge leans inward: over the slab the wire's upper end runs farther in.
        assert cut.upper[0].area < cut.kept[0].area
    assert json.loads((folder / "roughing.json").read_text())["roughing"]


def test_what_rough_wrote_is_proved_again_from_its_folder_alone(shop, slanted, tmp_path):
    folder = tmp_path / "rough"
    findings = write_roughing_folder(*shop, dome(), slanted, folder, replace_old=False)
    again = CliRunner().invoke(app, ["check", str(folder), "--quiet"])
    assert again.exit_code == 0, again.output
    assert prove_folder(folder) == findings
    # What the table follows counts: one cut's file is gone, and a figure of another is changed.
    *_, first, last = sorted((folder / "coordinates").iterdir())
    last.unlink()
    assert "has no file" in "".join(told(prove_folder(folder)))
    text = first.read_text()
    moved = re.sub(r"(?m)^(\d+(?:,[^,\n]*)*?,)(\d+)(\.\d+)", r"\g<1>9\g<2>\3", text, count=1)
    assert moved != text
    first.write_text(moved)
    faults = "".join(told(prove_folder(folder)))
    assert "of the raised form, not" in faults
    assert "another point on a line in its file" in faults


def test_an_older_roughing_without_its_job_says_how_to_mend_it(tmp_path):
    (tmp_path / "roughing.json").write_text('{"version": 1, "roughing": []}')
    with pytest.raises(FileError, match="make the roughing again: wirepath rough JOB --replace"):
        prove_folder(tmp_path)


def test_the_check_fails_where_the_table_moves_both_ends_alike(shop, slanted):
    job, workshop = shop
    assert told(check_rough_forms(job, workshop, dome(), slanted)) == []
    plain = replace(workshop, rig=replace(workshop.rig, two_ended=False))
    assert "the table moves them alike" in told(check_rough_forms(job, plain, dome(), slanted))[0]


def test_a_folder_that_does_not_prove_sound_is_not_written(shop, slanted, tmp_path):
    (plan,) = slanted
    deep = replace(
        plan.cuts[0],
        lines=tuple(
            shapely.transform(one, lambda p: 200 + 0.8 * (p - 200)) for one in plan.cuts[0].lines
        ),
    )
    bad = replace(plan, cuts=(deep, *plan.cuts[1:]))
    with pytest.raises(ProofError):
        write_roughing_folder(*shop, dome(), [bad], tmp_path / "bad", replace_old=False)
    assert not (tmp_path / "bad").exists()


# --- Slopes between contours -----------------------------------------------------------


def asked(shop, *, allowance_mm=40.0, between="slopes"):
    job, workshop = shop
    form = replace(job.form, allowance_mm=allowance_mm)
    rough = replace(job.roughing, between_contours=between)
    return replace(job, form=form, roughing=rough), workshop


@pytest.fixture(scope="module")
def slopes(shop):
    (plan,) = rough_forms(*asked(shop), dome(), way="with diagonals", compare=False)
    return plan


def test_slopes_take_more_off_than_steps_and_are_told(shop, slopes):
    (steps,) = rough_forms(
        *asked(shop, between="steps"), dome(), way="with diagonals", compare=False
    )
    job, workshop = asked(shop)
    assert slopes.left_litres < steps.left_litres - 0.2
    assert slopes.notes[0].kind == "slopes"
    assert not any(note.kind == "slopes" for note in steps.notes)
    findings = check_rough_forms(job, workshop, dome(), (slopes,))
    assert told(findings) == []


def test_what_slopes_leave_does_not_pass_for_steps(shop, slopes):
    findings = check_rough_forms(*asked(shop, between="steps"), dome(), (slopes,))
    assert "of the raised form" in str([fault for one in findings for fault in one.faults])


def test_a_cut_below_the_slopes_does_not_pass_either(shop, slopes):
    _, workshop = shop
    greedy, _ = asked(shop, allowance_mm=60.0)
    findings = check_rough_forms(greedy, workshop, dome(), (replace(slopes, allowance_mm=60.0),))
    assert not all(one.passed for one in findings)


def test_slopes_are_refused_where_contours_stand_farther_apart_than_the_allowance(shop):
    with pytest.raises(DrawingError, match="contours up to 40 mm apart") as refused:
        rough_forms(*asked(shop, allowance_mm=39.0), dome())
    assert refused.value.faults[0].where == "roughing.between_contours"


@pytest.mark.parametrize(
    "parts",
    [
        (PartSettings(name="d*", thickness_mm=200.0),),
        (PartSettings(name="*", thickness_mm=170.0), PartSettings(name="dome", thickness_mm=200.0)),
    ],
    ids=["by a pattern", "by name, which beats a pattern"],
)
def test_a_form_is_proved_at_the_height_its_part_asks_for(shop, slanted, parts):
    job, workshop = shop
    asked = replace(job, form=replace(job.form, peak_mm=300.0), parts=parts)
    assert told(check_rough_forms(asked, workshop, dome(), slanted)) == []


def test_blocks_that_a_form_stands_out_of_as_its_part_asks_for_it_are_told(shop, slanted):
    job, workshop = shop
    higher = (PartSettings(name="*", thickness_mm=170), PartSettings(name="dome", thickness_mm=230))
    faults = told(check_rough_forms(replace(job, parts=higher), workshop, dome(), slanted))
    assert faults == ["roughing of 'dome': form and allowance stand 30.00 mm out of the blocks"]


def test_a_slab_left_out_is_told(shop, slanted):
    (plan,) = slanted
    gone = replace(
        plan, blanks=(plan.blanks[0], *plan.blanks[2:]), cuts=(plan.cuts[0], *plan.cuts[2:])
    )
    assert "do not fill one box" in str(told(check_rough_forms(*shop, dome(), (gone,))))


def test_a_form_that_is_not_roughed_or_with_another_allowance_is_told(shop, slanted):
    job, workshop = shop
    assert (
        "'dome': the form is not roughed" in told(check_rough_forms(job, workshop, dome(), ()))[0]
    )
    more = replace(job, form=replace(job.form, allowance_mm=25.0))
    assert (
        "allowance is 20 mm, 25 mm are asked"
        in told(check_rough_forms(more, workshop, dome(), slanted))[0]
    )


@pytest.mark.parametrize(
    ("contour", "words"),
    [
        (Contour(height_mm=230.0, region=Point(200, 200).buffer(20)), "above its peak of 200 mm"),
        (Contour(height_mm=50.0, region=Point(900, 200).buffer(20)), "lies outside all outlines"),
    ],
    ids=["above the peak", "beside the form"],
)
def test_a_contour_that_counts_for_nothing_is_refused_not_cut_into(shop, contour, words):
    traced = dome()
    traced = replace(traced, contours=(*traced.contours, contour))
    with pytest.raises(DrawingError, match=words):
        rough_forms(*shop, traced)


def test_an_outline_without_contours_is_refused(shop):
    traced = dome()
    plain = Outline(name="plain", polygon=Point(800, 200).buffer(100))
    with pytest.raises(DrawingError, match="no contour lies in the outline 'plain'"):
        rough_forms(*shop, replace(traced, outlines=(*traced.outlines, plain)))
