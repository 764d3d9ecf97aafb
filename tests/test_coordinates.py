"""Coordinate files: what they say, that they read back the same, and what damage is told."""

from __future__ import annotations

import csv
import re
from dataclasses import replace
from pathlib import Path

import pytest
from foam_layouts import CUTTING, laid, plan_of, scattered
from shapely import LineString, box

from wirepath.coordinates import coordinate_text, read_coordinates, write_coordinates
from wirepath.coordinates.table import COLUMNS
from wirepath.errors import FileError
from wirepath.model import Move, Pass, Plan


@pytest.fixture
def plan() -> Plan:
    layout, pieces = scattered(6, seed=4)
    return plan_of(layout, pieces)


def written(plan: Plan, folder: Path) -> Path:
    (path,) = write_coordinates(plan, folder)
    return path


def test_a_file_is_named_by_block_and_layout(plan, tmp_path):
    assert written(plan, tmp_path).name == "block-01-layout-01.csv"


def test_what_is_read_back_is_what_was_planned(plan, tmp_path):
    file = read_coordinates(written(plan, tmp_path))
    assert file.layout == 1
    assert file.passes == plan.passes


def test_the_same_plan_gives_the_same_bytes(plan, tmp_path):
    assert written(plan, tmp_path).read_bytes() == written(plan, tmp_path).read_bytes()


def test_the_heading_says_what_the_figures_mean():
    layout, pieces = laid([box(30, 30, 60, 60)], 1000, 500)
    text = coordinate_text(plan_of(layout, pieces), layout)
    for words in (
        "job: Paper job",
        "invented demo data",
        "units: mm, mm/s",
        "lower left corner of the foam as bought",
        "x to the right along the block's length, y up along its width",
        "parallel to the block's thickness",
        "kerf: 3 mm full width at 5 mm/s is included",
        "add nothing",
        "block as bought: 1000 x 500 x 100 mm",
        "foam: EPS 15, EPS, 15 kg/m3",
        "caution: hot wire",
    ):
        assert words in text


def test_only_invented_jobs_are_called_invented():
    layout, pieces = laid([box(30, 30, 60, 60)], 100, 100)
    assert "invented" not in coordinate_text(plan_of(layout, pieces, invented=False), layout)


def test_a_job_name_with_a_line_break_stays_a_comment():
    layout, pieces = laid([box(30, 30, 60, 60)], 100, 100)
    plan = plan_of(layout, pieces)
    plan = replace(plan, job=replace(plan.job, name="pears\n1,1,air,,0,0,5"))
    text = coordinate_text(plan, layout)
    assert "# job: pears 1,1,air,,0,0,5\r\n" in text


def test_rows_follow_rfc_4180_with_fixed_decimals_and_no_minus_nought(plan, tmp_path):
    # RFC 4180: lines end with CR LF, one header row, every row as many fields.
    text = written(plan, tmp_path).read_bytes().decode()
    assert text.count("\n") == text.count("\r\n")
    lines = [line for line in text.split("\r\n") if line and not line.startswith("#")]
    assert lines[0] == ",".join(COLUMNS)
    for row in csv.DictReader(lines):
        for key in ("x_mm", "y_mm", "feed_mm_per_s"):
            assert re.fullmatch(r"-?\d+\.\d{3}", row[key])
            assert row[key] != "-0.000"


def test_minus_nought_is_written_as_nought():
    layout, pieces = laid([box(30, 30, 60, 60)], 100, 100)
    move = Move(kind="air", line=LineString([(-0.0, -0.0001), (5, 0)]), feed_mm_per_s=5.0)
    plan = plan_of(layout, pieces, (Pass(layout=1, number=1, moves=(move,)),))
    assert "1,1,air,,0.000,0.000,5.000\r\n" in coordinate_text(plan, layout)


def test_the_rows_of_a_square_are_those_one_works_out_by_hand():
    # One move of each kind, corners at whole numbers: five rows for two moves.
    layout, pieces = laid([box(30, 30, 60, 60)], 100, 100)
    moves = (
        Move(kind="air", line=LineString([(-20, 10), (0, 10)]), feed_mm_per_s=30.0),
        Move(
            kind="outline", line=LineString([(0, 10), (5, 10), (5, 20)]), feed_mm_per_s=5.0, piece=1
        ),
    )
    plan = plan_of(layout, pieces, (Pass(layout=1, number=1, moves=moves),))
    rows = coordinate_text(plan, layout).split(",".join(COLUMNS) + "\r\n")[1]
    assert rows.split("\r\n") == [
        "1,1,air,,-20.000,10.000,30.000",
        "1,1,air,,0.000,10.000,30.000",
        "1,2,outline,1,5.000,10.000,5.000",
        "1,2,outline,1,5.000,20.000,5.000",
        "",
    ]


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        (",outline,", ",jump,", "line 20: move 'jump' is unknown"),
        (",30.000\r\n", ",fast\r\n", "line 17: 'fast' is no plain decimal number"),
        (",30.000\r\n", ",-30.000\r\n", "line 17: feed_mm_per_s must be more than 0"),
        (",30.000\r\n", ",nan\r\n", "'nan' is no plain decimal number"),
        (",30.000\r\n", ",3e1\r\n", "'3e1' is no plain decimal number"),
        (",30.000\r\n", "\r\n", "line 17: has 6 fields instead of 7"),
        ("1,1,air", "1,0,air", "'0' is no number that counts from 1"),
        ("1,1,air", "2,1,air", "pass 1 is missing"),
        ("\r\n1,2,", "\r\n1,3,", "step 3 comes where step 2 should"),
        ("pass,step", "pass,stop", "the header row must read"),
        ("# layout: 1", "# layout: one", "one comment line must say the layout"),
        ("# units", '1,1,"air', "is no CSV"),
    ],
)
def test_damage_is_told_with_its_line(tmp_path, old, new, what):
    layout, pieces = laid([box(30, 30, 60, 60)], 100, 100)
    path = written(plan_of(layout, pieces), tmp_path)
    text = path.read_bytes().decode()
    assert old in text
    path.write_bytes(text.replace(old, new, 1).encode())
    with pytest.raises(FileError) as caught:
        read_coordinates(path)
    assert what in str(caught.value)
    assert "make the plan again" in str(caught.value)


@pytest.mark.parametrize(
    ("spoilt", "what"),
    [
        (lambda text: "", "the file is empty"),
        (lambda text: "\ufeff" + text, "line 1: begins with a byte order mark"),
        (lambda text: text.replace(",", ";"), "semicolons part the columns"),
        (lambda text: re.sub(r"\.(\d{3})", r",\1", text), "figures have decimal commas"),
        (
            lambda text: text.replace("# layout: 1", "# layout: " + "9" * 5000),
            "must say the layout",
        ),
        (lambda text: text.replace(",30.000", "," + "9" * 400, 1), "is no plain decimal number"),
        (lambda text: text.replace("\r\n1,2,", "\r\n\r\n1,2,", 1), "has 0 fields instead of 7"),
        (lambda text: text.replace("\r\n1,2,", "\r\n# mine\r\n1,2,", 1), "has 1 fields"),
        (lambda text: text.replace("1,1,air", "1, 1,air", 1), "is no number that counts from 1"),
        (
            lambda text: text.replace("# layout: 1", "# layout: 1\r\n# layout: 2"),
            "must say the layout",
        ),
    ],
)
def test_damage_by_hand_or_by_a_spreadsheet_is_told_in_one_message(plan, tmp_path, spoilt, what):
    path = written(plan, tmp_path)
    path.write_bytes(spoilt(path.read_bytes().decode()).encode())
    with pytest.raises(FileError) as caught:
        read_coordinates(path)
    assert len(caught.value.faults) == 1
    assert what in str(caught.value)


def test_a_file_with_newlines_alone_reads_the_same(plan, tmp_path):
    path = written(plan, tmp_path)
    whole = read_coordinates(path)
    path.write_bytes(path.read_bytes().replace(b"\r\n", b"\n"))
    assert read_coordinates(path) == whole


def test_a_file_cut_short_in_a_row_is_told(plan, tmp_path):
    path = written(plan, tmp_path)
    path.write_bytes(path.read_bytes()[:-20])
    with pytest.raises(FileError, match=r"has \d fields instead of 7"):
        read_coordinates(path)


def test_a_missing_file_and_one_that_is_no_text_are_told(tmp_path):
    with pytest.raises(FileError, match="cannot be read"):
        read_coordinates(tmp_path / "none.csv")
    (tmp_path / "noise.csv").write_bytes(b"\xff\xfe\x00\x01")
    with pytest.raises(FileError, match="cannot be read"):
        read_coordinates(tmp_path / "noise.csv")


def test_all_damaged_rows_are_told_at_once(plan, tmp_path):
    path = written(plan, tmp_path)
    path.write_bytes(path.read_bytes().replace(b",outline,", b",jump,"))
    with pytest.raises(FileError) as caught:
        read_coordinates(path)
    assert len(caught.value.faults) > 50


def test_feed_stands_in_every_row(plan, tmp_path):
    file = read_coordinates(written(plan, tmp_path))
    feeds = {move.feed_mm_per_s for one in file.passes for move in one.moves}
    assert feeds == {CUTTING.feed_mm_per_s, CUTTING.air_feed_mm_per_s}
