"""Word and DXF files: read by the open standards' own rules, and the same way as the CSV."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import ezdxf
import numpy as np
import pytest
from foam_layouts import laid, plan_of, scattered
from shapely import box

from wirepath.coordinates import read_coordinates, word_text, write_coordinates
from wirepath.errors import SettingsError
from wirepath.model import Plan
from wirepath.workshop import Files

# The NIST RS274/NGC interpreter, version 3 (Kramer, Proctor, Messina 2000), sections
# 3.3.1 to 3.3.5, as far as these files go.
NUMBER = r"[+-]?(\d+\.?\d*|\.\d+)"
LINE = re.compile(rf"(N\d{{1,5}} )?((\([^()]*\))|([A-Z]{NUMBER}( [A-Z]{NUMBER})*))")
MODAL_GROUPS = ("G0 G1 G2 G3", "G17 G18 G19", "G90 G91", "G93 G94", "G20 G21", "M0 M1 M2 M30")


def with_files(plan: Plan, **settings: object) -> Plan:
    files = Files(also=("DXF", "words"), **settings)  # type: ignore[arg-type]
    return replace(plan, workshop=replace(plan.workshop, files=files))


@pytest.fixture
def plan() -> Plan:
    layout, pieces = scattered(5, seed=8)
    return with_files(plan_of(layout, pieces))


def interpreted(text: str) -> list[tuple[float, float, float]]:
    """Return the points (x mm, y mm, mm/s) a machine would go to, by the standard's rules."""
    points = []
    feed = 0.0
    mm = None
    absolute = per_minute = ended = False
    for line in text.split("\r\n")[:-1]:
        assert len(line) + 2 <= 256
        assert LINE.fullmatch(line), line
        assert not ended, "nothing may follow the end"
        body = re.sub(r"^N\d+ ", "", line)
        if body.startswith("("):
            continue
        words = body.split()
        for group in MODAL_GROUPS:
            assert sum(word in group.split() for word in words) <= 1
        for word in words:
            if word in ("G20", "G70", "G21", "G71"):
                mm = 25.4 if word in ("G20", "G70") else 1.0
            absolute |= word == "G90"
            per_minute |= word == "G94"
            ended |= word in ("M2", "M30")
            if word[0] == "F":
                feed = float(word[1:])
        if "G1" in words:
            assert mm is not None
            assert absolute
            assert per_minute
            assert feed > 0, "G1 needs a feed"
            at = {word[0]: float(word[1:]) * mm for word in words}
            points.append((at["X"], at["Y"], feed * mm / 60))
    assert ended
    return points


def planned(plan: Plan) -> list[tuple[float, float, float]]:
    points = []
    for one in plan.passes:
        for step, move in enumerate(one.moves):
            for x, y in list(move.line.coords)[0 if step == 0 else 1 :]:
                points.append((x, y, move.feed_mm_per_s))
    return points


@pytest.mark.parametrize(
    ("settings", "within_mm"),
    [
        ({}, 1e-9),
        ({"line_numbers": True}, 1e-9),
        ({"unit": "inch", "units_word": "G20", "decimals": 4, "end_word": "M30"}, 0.0013),
        ({"units_word": "G71", "decimals": 2}, 0.0051),
    ],
)
def test_a_machine_that_knows_the_standard_goes_the_planned_way(plan, settings, within_mm):
    plan = with_files(plan, **settings)
    points = interpreted(word_text(plan, plan.layouts[0]))
    wanted = planned(plan)
    assert len(points) == len(wanted)
    for (x, y, feed), (x_wanted, y_wanted, feed_wanted) in zip(points, wanted, strict=True):
        assert x == pytest.approx(x_wanted, abs=within_mm)
        assert y == pytest.approx(y_wanted, abs=within_mm)
        assert feed == pytest.approx(feed_wanted, rel=0.005)


def test_no_move_is_rapid_no_number_has_an_exponent_and_nought_has_no_sign(plan):
    text = word_text(plan, plan.layouts[0])
    moves = [line for line in text.split("\r\n") if line.startswith("G1")]
    assert moves
    assert not re.search(r"\bG0?0\b", text)
    assert not any(re.search(r"[XYF]-?\d*[eE]|-0\.0*\b(?!\d*[1-9])", move) for move in moves)


def test_brackets_and_letters_of_a_name_cannot_break_a_comment(plan):
    plan = replace(plan, job=replace(plan.job, name="pear (big)) G0 X0\nöü " + "long " * 80))
    points = interpreted(word_text(plan, plan.layouts[0]))
    assert len(points) == len(planned(plan))


def test_line_numbers_have_five_digits_at_most():
    layout, pieces = laid([box(30, 30, 60, 60)], 100, 100)
    plan = with_files(plan_of(layout, pieces), line_numbers=True)
    many = replace(plan.passes[0], moves=plan.passes[0].moves[:3] * 6000)
    text = word_text(replace(plan, passes=(many,)), layout)
    numbers = [int(number) for number in re.findall(r"^N(\d+) ", text, re.MULTILINE)]
    assert len(numbers) > 99_999
    assert max(numbers) == 99_999
    assert min(numbers) == 1


@pytest.mark.parametrize(
    ("settings", "where"),
    [
        ({"unit": "inch", "decimals": 4}, "files.units_word"),
        ({"units_word": "G20"}, "files.units_word"),
        ({"unit": "inch", "units_word": "G20"}, "files.decimals"),
        ({"units_word": "mm"}, "files.units_word"),
        ({"end_word": "end)"}, "files.end_word"),
        ({"ending": "../x"}, "files.ending"),
        ({"ending": "csv"}, "files.ending"),
    ],
)
def test_settings_that_contradict_each_other_are_refused(plan, tmp_path, settings, where):
    with pytest.raises(SettingsError, match=where):
        write_coordinates(with_files(plan, **settings), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_files_are_named_alike_and_the_csv_still_reads(plan, tmp_path):
    paths = write_coordinates(plan, tmp_path)
    assert [path.name for path in paths] == [
        f"block-01-layout-01.{ending}" for ending in ("csv", "dxf", "txt")
    ]
    assert read_coordinates(paths[0]).passes == plan.passes


# --- DXF ---------------------------------------------------------------------------


def test_the_dxf_is_r2000_in_mm_and_passes_the_librarys_audit(plan, tmp_path):
    paths = write_coordinates(plan, tmp_path)
    document = ezdxf.readfile(paths[1])
    assert document.dxfversion == "AC1015"
    assert document.header["$INSUNITS"] == 4
    assert document.audit().errors == []
    assert not document.modelspace().query('*[layer=="0"]')


def test_the_dxfs_polylines_are_the_moves_in_order(plan, tmp_path):
    paths = write_coordinates(plan, tmp_path)
    space = ezdxf.readfile(paths[1]).modelspace()
    lines = [line for line in space.query("LWPOLYLINE") if line.dxf.layer.startswith("wire-")]
    moves = plan.passes[0].moves
    assert len(lines) == len(moves)
    for line, move in zip(lines, moves, strict=True):
        points = [tuple(point) for point in line.get_points("xy")]
        if line.closed:
            points.append(points[0])
        assert np.array(points) == pytest.approx(np.array(move.line.coords))
        assert line.dxf.layer.removeprefix("wire-") in (
            move.kind,
            {"entry": "link", "overrun": "slot"}.get(move.kind),
        )


def test_the_same_plan_gives_the_same_dxf(plan, tmp_path):
    first = write_coordinates(plan, tmp_path)[1].read_bytes()
    assert write_coordinates(plan, tmp_path)[1].read_bytes() == first
    assert isinstance(ezdxf.read(io.StringIO(first.decode())), ezdxf.document.Drawing)
