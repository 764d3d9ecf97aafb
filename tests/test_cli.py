"""The command line as a user meets it: what is printed where, exit codes, nothing half-written."""

import json
import shutil
import sys
from pathlib import Path

import ezdxf
import pytest

from wirepath.cli import main

ROOT = Path(__file__).parent.parent


@pytest.fixture
def wirepath(monkeypatch, capsys):
    """Return a call of the command line that gives (exit code, stdout, stderr)."""

    def call(*arguments: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["wirepath", *map(str, arguments)])
        with pytest.raises(SystemExit) as stopped:
            main()
        printed = capsys.readouterr()
        return int(stopped.value.code or 0), printed.out, printed.err

    return call


@pytest.fixture
def commission(tmp_path, wirepath):
    """Lay down the start files with a drawing of a 300 x 200 mm plate that has a round hole."""
    folder = tmp_path / "commission"
    assert wirepath("start", folder)[0] == 0
    drawing = ezdxf.new(units=4)
    space = drawing.modelspace()
    space.add_lwpolyline([(0, 0), (300, 0), (300, 200), (0, 200)], close=True)
    space.add_circle((150, 100), 40)
    drawing.saveas(folder / "drawing.dxf")
    return folder


def left_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_start_lays_down_two_files_and_says_how_to_go_on(tmp_path, wirepath):
    code, out, _ = wirepath("start", tmp_path / "new")
    assert (code, left_in(tmp_path / "new")) == (0, ["job.toml", "workshop.toml"])
    assert "wirepath plan" in out


def test_start_never_touches_files_that_are_there(tmp_path, wirepath):
    (tmp_path / "job.toml").write_text("mine", encoding="utf-8")
    code, _, err = wirepath("start", tmp_path)
    assert code == 1
    assert "is there already" in err
    assert left_in(tmp_path) == ["job.toml"]
    assert (tmp_path / "job.toml").read_text(encoding="utf-8") == "mine"


def test_plan_writes_every_file_of_the_plan(commission, wirepath):
    code, out, err = wirepath("plan", commission / "job.toml")
    assert code == 0, err
    assert left_in(commission / "job-plan") == [
        "coordinates",
        "offcuts.csv",
        "order.csv",
        "pieces.csv",
        "plan.json",
        "rack.csv",
        "sheets.pdf",
    ]
    assert "board 100" in out
    assert "BROKEN" not in out
    assert "reading drawing.dxf" in err


def test_templates_and_view_are_added_when_asked(commission, wirepath):
    wanted = ("--templates", "a4", "--view", "--approval", "--pictures", "svg")
    code, _, err = wirepath("plan", commission / "job.toml", *wanted)
    assert code == 0, err
    asked = {"templates", "view.html", "approval.pdf", "pictures"}
    assert asked < set(left_in(commission / "job-plan"))


def test_templates_of_a_part_that_is_not_there_are_told_and_nothing_is_written(
    commission, wirepath
):
    code, _, err = wirepath("plan", commission / "job.toml", "--templates", "A4", "--parts", "Q*")
    assert code == 3
    assert "Q*" in err
    assert not (commission / "job-plan").exists()


def test_an_unknown_paper_is_a_wrong_call(commission, wirepath):
    assert wirepath("plan", commission / "job.toml", "--templates", "A9")[0] == 2


def test_a_plan_in_the_way_is_replaced_only_when_asked(commission, wirepath):
    assert wirepath("plan", commission / "job.toml")[0] == 0
    mark = commission / "job-plan" / "plan.json"
    before = mark.stat().st_mtime_ns
    code, _, err = wirepath("plan", commission / "job.toml")
    assert (code, mark.stat().st_mtime_ns) == (1, before)
    assert "--replace" in err
    assert wirepath("plan", commission / "job.toml", "--replace")[0] == 0
    assert mark.stat().st_mtime_ns > before


def test_a_folder_that_is_no_plan_is_never_replaced(commission, wirepath):
    code, _, err = wirepath("plan", commission / "job.toml", "--out", commission, "--replace")
    assert code == 1
    assert "is no plan" in err
    assert (commission / "job.toml").exists()


def test_the_same_job_gives_the_same_bytes(commission, wirepath):
    for name in ("one", "two"):
        assert wirepath("plan", commission / "job.toml", "--out", commission / name)[0] == 0
    first, second = (
        {
            path.relative_to(commission / name): path.read_bytes()
            for path in sorted((commission / name).rglob("*"))
            if path.is_file()
        }
        for name in ("one", "two")
    )
    assert first == second


def test_order_prints_blocks_and_writes_nothing(commission, wirepath):
    before = left_in(commission)
    code, out, _ = wirepath("order", commission / "job.toml")
    assert code == 0
    assert "1 block to buy" in out
    assert left_in(commission) == before


def test_order_as_json_is_one_json_value_on_stdout(commission, wirepath):
    code, out, _ = wirepath("order", commission / "job.toml", "--json", "--quiet")
    assert code == 0
    assert json.loads(out)["blocks_to_order"] == 1


def test_quiet_keeps_the_error_stream_empty(commission, wirepath):
    assert wirepath("order", commission / "job.toml", "--quiet")[2] == ""


def test_check_proves_a_written_plan_again(commission, wirepath):
    wirepath("plan", commission / "job.toml")
    code, out, _ = wirepath("check", commission / "job-plan")
    assert code == 0
    assert "kept" in out


def test_check_finds_a_coordinate_that_was_changed_by_hand(commission, wirepath):
    wirepath("plan", commission / "job.toml")
    (path,) = (commission / "job-plan" / "coordinates").glob("*.csv")
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    row = next(i for i, line in enumerate(lines) if ",outline," in line)
    cells = lines[row].split(",")
    cells[4] = f"{float(cells[4]) + 5:.3f}"
    lines[row] = ",".join(cells)
    path.write_text("".join(lines), encoding="utf-8", newline="")
    code, out, _ = wirepath("check", commission / "job-plan")
    assert code == 7
    assert "BROKEN" in out


def test_check_finds_an_order_that_was_changed_by_hand(commission, wirepath):
    wirepath("plan", commission / "job.toml")
    path = commission / "job-plan" / "order.csv"
    path.write_text(
        path.read_text(encoding="utf-8").replace(",1,0,1,", ",2,0,2,"), encoding="utf-8"
    )
    assert wirepath("check", commission / "job-plan")[0] == 7


def test_check_of_a_folder_without_a_plan_is_told(tmp_path, wirepath):
    code, _, err = wirepath("check", tmp_path)
    assert code == 1
    assert "there is no plan.json" in err


def refused(commission, wirepath, code: int, *words: str) -> None:
    """Assert that planning stops with `code`, says `words`, and leaves nothing behind."""
    before = left_in(commission)
    got, _, err = wirepath("plan", commission / "job.toml")
    assert got == code, err
    for word in words:
        assert word in err
    assert "Traceback" not in err
    assert left_in(commission) == before


def rewrite(commission: Path, name: str, old: str, new: str) -> None:
    path = commission / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def draw(commission: Path, *lines: list[tuple[float, float]], close: bool = True) -> None:
    drawing = ezdxf.new(units=4)
    for points in lines:
        drawing.modelspace().add_lwpolyline(points, close=close)
    drawing.saveas(commission / "drawing.dxf")


def test_a_missing_job_file_is_told(tmp_path, wirepath):
    code, _, err = wirepath("plan", tmp_path / "job.toml")
    assert code == 1
    assert "there is no such file" in err


def test_a_missing_drawing_is_told(commission, wirepath):
    (commission / "drawing.dxf").unlink()
    refused(commission, wirepath, 1, "drawing.dxf", "To mend")


def test_a_drawing_that_is_no_dxf_is_told(commission, wirepath):
    shutil.copy(commission / "job.toml", commission / "drawing.dxf")
    refused(commission, wirepath, 4, "drawing.dxf", "To mend")


def test_an_empty_drawing_is_told(commission, wirepath):
    draw(commission)
    refused(commission, wirepath, 4, "outline", "To mend")


def test_an_open_outline_is_told_with_place_and_gap(commission, wirepath):
    draw(commission, [(0, 3.2), (0, 200), (300, 200), (300, 0), (0, 0)], close=False)
    refused(commission, wirepath, 4, "3.2 mm", "To mend")


def test_a_kerf_wider_than_a_notch_is_told(commission, wirepath):
    draw(
        commission,
        [
            (0, 0),
            (300, 0),
            (300, 200),
            (150.5, 200),
            (150.5, 50),
            (149.5, 50),
            (149.5, 200),
            (0, 200),
        ],
    )
    refused(commission, wirepath, 5, "To mend")


def test_a_form_bigger_than_any_block_is_parted_by_seams(commission, wirepath):
    draw(commission, [(0, 0), (3000, 0), (3000, 2000), (0, 2000)])
    code, out, _ = wirepath("plan", commission / "job.toml")
    assert code == 0, out
    plan = json.loads((commission / "job-plan" / "plan.json").read_text(encoding="utf-8"))
    assert len(plan["pieces"]) > 1
    assert len(plan["seams"]) >= len(plan["pieces"]) - 1


def test_a_form_that_is_too_big_and_may_not_be_parted_is_told(commission, wirepath):
    draw(commission, [(0, 0), (3000, 0), (3000, 2000), (0, 2000)])
    with (commission / "job.toml").open("a", encoding="utf-8") as file:
        file.write("[[seams.keep_clear]]\nx_mm = 0\ny_mm = 0\n")
        file.write("width_mm = 3000\nheight_mm = 2000\n")
    refused(commission, wirepath, 5, "3000", "To mend")


def test_a_face_is_used_only_if_the_table_reaches_its_lead_ins_too(commission, wirepath):
    # Boards are 2440 long; with 20 mm of lead-in at both ends the wire goes 2480.
    rewrite(commission, "workshop.toml", "# travel_x_mm = 2600", "travel_x_mm = 2479")
    code, out, _ = wirepath("order", commission / "job.toml")
    assert (code, "board 100" in out) == (0, False)
    rewrite(commission, "workshop.toml", "travel_x_mm = 2479", "travel_x_mm = 2480")
    code, out, _ = wirepath("order", commission / "job.toml")
    assert (code, "board 100" in out) == (0, True)


def test_an_unknown_foam_is_told(commission, wirepath):
    rewrite(commission, "job.toml", 'foam = "EPS 15"', 'foam = "EPS 99"')
    refused(commission, wirepath, 3, "EPS 99", "use one of: EPS 15")


def test_polyurethane_is_refused_as_dangerous(commission, wirepath):
    rewrite(commission, "workshop.toml", 'kind = "EPS"', 'kind = "PUR"')
    refused(commission, wirepath, 6, "isocyanates")


def test_a_negative_size_is_told_with_its_key(commission, wirepath):
    rewrite(commission, "job.toml", "thickness_mm = 100", "thickness_mm = -100")
    refused(commission, wirepath, 3, "form.thickness_mm", "must be more than 0")


def test_an_unknown_key_is_told(commission, wirepath):
    rewrite(commission, "job.toml", "flip = false", "flipp = false")
    refused(commission, wirepath, 3, "did you mean 'flip'")


def test_faults_come_as_json_too(commission, wirepath):
    rewrite(commission, "job.toml", "thickness_mm = 100", "thickness_mm = -100")
    code, out, _ = wirepath("order", commission / "job.toml", "--json")
    told = json.loads(out)
    assert (code, told["exit_code"]) == (3, 3)
    assert told["faults"][0]["mend"]


def test_an_unknown_option_is_a_wrong_call(wirepath):
    assert wirepath("plan", "job.toml", "--nonsense")[0] == 2


def test_rough_writes_proved_sheets_for_a_relief(tmp_path, wirepath):
    pear = ROOT / "demo_shapes" / "pear.toml"
    code, out, err = wirepath("rough", pear, "--out", tmp_path / "pear", "--way", "outline")
    assert code == 0, err
    assert left_in(tmp_path / "pear") == ["roughing.json", "roughing.pdf"]
    assert "ways compared" in out
    assert "BROKEN" not in out


def test_rough_refuses_a_form_that_is_cut_to_size(commission, wirepath):
    before = left_in(commission)
    code, _, err = wirepath("rough", commission / "job.toml")
    assert code == 3
    assert "nothing is to be roughed" in err
    assert left_in(commission) == before


def test_kerf_fits_the_slots_given(wirepath):
    # Worked example: 1.60 mm at 4 mm/s and 1.00 mm at 8 mm/s give 0.40 mm + 4.80 mm2/s / F,
    # so 1.20 mm at 6 mm/s.
    code, out, _ = wirepath("kerf", "4:1.6", "8:1.0", "--want-mm", "1.2")
    assert code == 0
    assert "kerf = 0.40 mm + 4.80 mm2/s / feed" in out
    assert "a feed of 6.00 mm/s" in out


def test_kerf_without_slots_tells_how_to_cut_them(wirepath):
    code, out, _ = wirepath("kerf")
    assert code == 0
    assert "1. Take scrap of the foam" in out


def test_a_slot_that_cannot_be_read_is_a_wrong_call(wirepath):
    assert wirepath("kerf", "fast:wide", "4:1.6")[0] == 2


def test_wire_prints_the_card_of_the_workshops_wire(commission, wirepath):
    code, out, _ = wirepath("wire", commission / "workshop.toml")
    assert code == 0
    assert "A\n" in out
    assert "Isolating transformer" in out


def test_a_wire_hot_enough_to_light_the_foam_is_refused(commission, wirepath):
    code, _, err = wirepath("wire", commission / "workshop.toml", "--temperature-c", "460")
    assert code == 6
    assert "can light the foam" in err


def test_every_command_shows_an_example(wirepath):
    for name in ("plan", "read", "order", "rough", "start", "check", "kerf", "wire"):
        _, out, _ = wirepath(name, "--help")
        assert f"wirepath {name} " in out
