"""plan.json holds the whole plan and gives it back."""

from dataclasses import replace

import pytest
from shapely import MultiPolygon, box

from wirepath.errors import FileError
from wirepath.estimating import estimate
from wirepath.model import (
    PLAN_VERSION,
    Block,
    Layout,
    Outline,
    Piece,
    Placement,
    Plan,
    Seam,
    Traced,
)
from wirepath.plan_file import read_plan, write_plan


@pytest.fixture
def plan(job, workshop):
    plate = box(0, 0, 400, 300).difference(box(100, 100, 150, 150))
    piece = Piece(
        number=1,
        name="P",
        part="P",
        finished=plate,
        outline=plate,
        thickness_mm=200.0,
        allowance_mm=0.0,
        foam="EPS 15",
    )
    blocks = (Block(number=1, stock="block", wire_axis="thickness"),)
    layout = Layout(
        number=1,
        block=1,
        from_mm=0.0,
        thickness_mm=200.0,
        width_mm=1000.0,
        height_mm=500.0,
        trim_mm=0.0,
        placements=(Placement(piece=1, x_mm=0.0, y_mm=0.1 + 0.2),),
    )
    place = MultiPolygon([box(0, 0, 1, 1), box(2, 0, 3, 1)])
    return Plan(
        version=PLAN_VERSION,
        job=job,
        workshop=workshop,
        traced=Traced(outlines=(Outline(name="P", polygon=plate),)),
        pieces=(piece,),
        blocks=blocks,
        layouts=(layout,),
        passes=(),
        estimate=estimate(workshop, (piece,), blocks, (layout,), (), fewest_blocks=1),
        seams=(Seam(pieces=(1, 1), kind="layer", place=place, from_mm=10.0, to_mm=10.0),),
    )


def test_a_plan_comes_back_from_its_file_as_it_was(plan, tmp_path):
    write_plan(plan, tmp_path / "plan.json")
    assert read_plan(tmp_path / "plan.json") == plan


def test_the_same_plan_gives_the_same_bytes(plan, tmp_path):
    for name in ("one.json", "two.json"):
        write_plan(plan, tmp_path / name)
    assert (tmp_path / "one.json").read_bytes() == (tmp_path / "two.json").read_bytes()


def test_a_plan_of_another_version_is_refused(plan, tmp_path):
    write_plan(replace(plan, version=99), tmp_path / "plan.json")
    with pytest.raises(FileError, match="version 99"):
        read_plan(tmp_path / "plan.json")


def test_a_damaged_plan_is_told_with_the_key(plan, tmp_path):
    path = tmp_path / "plan.json"
    write_plan(plan, path)
    text = path.read_text(encoding="utf-8").replace('"thickness_mm":200.0', '"thickness_mm":"x"', 1)
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileError, match="thickness_mm: must be a number"):
        read_plan(path)


def test_a_file_that_is_no_json_is_told(tmp_path):
    (tmp_path / "plan.json").write_text("{", encoding="utf-8")
    with pytest.raises(FileError, match="make the plan again"):
        read_plan(tmp_path / "plan.json")
