"""Job and workshop files: what is taken, and what each fault says."""

import re
from pathlib import Path

import pytest

from wirepath.errors import FileError, SafetyError, SettingsError
from wirepath.job_file import read_job
from wirepath.workshop_file import read_workshop

START = Path(__file__).parent.parent / "wirepath" / "start_files"


@pytest.fixture
def folder(tmp_path):
    for name in ("job.toml", "workshop.toml"):
        (tmp_path / name).write_text((START / name).read_text(encoding="utf-8"), encoding="utf-8")
    return tmp_path


def change(path: Path, pattern: str, replacement: str) -> Path:
    text = path.read_text(encoding="utf-8")
    changed, times = re.subn(pattern, replacement, text, count=1, flags=re.MULTILINE)
    assert times == 1
    path.write_text(changed, encoding="utf-8")
    return path


def faults_of(path: Path, kind=SettingsError, read=read_workshop) -> list[str]:
    with pytest.raises(kind) as caught:
        read(path)
    return [f"{fault.where}: {fault.what}" for fault in caught.value.faults]


def test_the_start_files_are_a_job_and_a_workshop(folder):
    job, workshop = read_job(folder / "job.toml")
    assert job.form.thickness_mm == 100
    assert [stock.name for stock in workshop.stock] == ["block 2440", "board 100"]


def test_a_number_in_quotes_is_refused_with_its_key(folder):
    path = change(folder / "workshop.toml", "^kerf_mm = 1.2", 'kerf_mm = "1.2"')
    assert faults_of(path) == [f"{path}, cutting.kerf_mm: must be a number, is '1.2'"]


def test_true_is_not_taken_for_one(folder):
    path = change(folder / "workshop.toml", "^price = 100", "price = true")
    assert faults_of(path) == [f"{path}, stock[0].price: must be a number, is True"]


def test_a_misspelt_key_is_told_with_the_nearest_known_one(folder):
    path = change(folder / "workshop.toml", "^kerf_mm = 1.2", "kerf_mm = 1.2\nweb = 3")
    assert faults_of(path) == [f"{path}, cutting: unknown key 'web' (did you mean 'web_mm'?)"]


def test_a_missing_key_is_told(folder):
    path = change(folder / "workshop.toml", "^length_mm = 1400.*$", "")
    assert faults_of(path) == [f"{path}, wire.length_mm: this key is missing"]


@pytest.mark.parametrize(
    ("value", "complaint"),
    [
        ("-5", "must be more than 0, is -5"),
        ("0", "must be more than 0, is 0"),
        ("1e9", "must be at most 100000, is 1e+09"),
        ("nan", "must be a finite number, is nan"),
        ("inf", "must be a finite number, is inf"),
    ],
)
def test_a_negative_or_absurd_size_is_refused(folder, value, complaint):
    path = change(folder / "workshop.toml", "^thickness_mm = 610", f"thickness_mm = {value}")
    assert faults_of(path) == [f"{path}, stock[0].thickness_mm: {complaint}"]


def test_all_faults_of_a_file_come_at_once(folder):
    path = change(folder / "workshop.toml", "^price = 100", "price = -1")
    change(path, "^setup_min = 10", "setup_min = 'ten'")
    change(path, "^kind = .table.", "kind = 'crane'")
    assert len(faults_of(path)) == 3


def test_faults_of_job_and_workshop_come_at_once(folder):
    change(folder / "job.toml", "^# scale = 10", "scale = 10\nfinished_width_mm = 5")
    change(folder / "workshop.toml", "^price = 100", "price = -1")
    told = faults_of(folder / "job.toml", read=read_job)
    assert [re.sub(r"^.*?, ", "", text) for text in told] == [
        "read: scale and finished_width_mm are all given, but each fixes the size",
        "stock[0].price: must be at least 0, is -1",
    ]


@pytest.mark.parametrize(("supply", "volts"), [("AC", 50), ("DC", 120)])
def test_extra_low_voltage_is_taken_up_to_its_limit(folder, supply, volts):
    # IEC 61558-1:2005, 3.7.16: at most 50 V AC rms or 120 V ripple-free DC.
    change(folder / "workshop.toml", "^supply_v = 24", f"supply_v = {volts}")
    change(folder / "workshop.toml", "^supply = .AC.", f'supply = "{supply}"')
    assert read_workshop(folder / "workshop.toml").wire.supply_v == volts


@pytest.mark.parametrize(("supply", "volts"), [("AC", 50.1), ("DC", 121), ("AC", 230)])
def test_a_higher_voltage_is_refused_as_dangerous(folder, supply, volts):
    change(folder / "workshop.toml", "^supply_v = 24", f"supply_v = {volts}")
    change(folder / "workshop.toml", "^supply = .AC.", f'supply = "{supply}"')
    (told,) = faults_of(folder / "workshop.toml", SafetyError)
    assert "can kill" in told


@pytest.mark.parametrize(
    ("kind", "reason"),
    [
        ("PUR", "isocyanates"),
        ("PIR", "hydrogen cyanide"),
        ("PVC", "hydrogen chloride"),
        ("phenolic", "formaldehyde"),
        ("mystery", "unknown foam"),
    ],
)
def test_a_foam_that_must_not_be_hot_cut_is_refused_with_the_reason(folder, kind, reason):
    path = change(folder / "workshop.toml", '^kind = "EPS"', f'kind = "{kind}"')
    (told,) = faults_of(path, SafetyError)
    assert reason in told


def test_stock_of_an_unknown_foam_is_refused(folder):
    path = change(folder / "workshop.toml", '^foam = "EPS 15"', 'foam = "EPS 99"')
    assert faults_of(path) == [f"{path}, stock[0].foam: foam 'EPS 99' is not in the file"]


def test_trims_that_leave_nothing_are_refused(folder):
    path = change(folder / "workshop.toml", "^trim_mm = 10", "trim_mm = 305")
    (told,) = faults_of(path)
    assert "leave nothing of 610 mm" in told


def test_a_kerf_narrower_than_its_wire_is_refused(folder):
    path = change(folder / "workshop.toml", "^kerf_mm = 1.2", "kerf_mm = 0.4")
    (told,) = faults_of(path)
    assert "narrower than the wire" in told


def test_a_job_with_an_unknown_foam_is_refused_with_the_known_ones(folder):
    path = change(folder / "job.toml", '^foam = "EPS 15"', 'foam = "EPS 30"')
    with pytest.raises(SettingsError) as caught:
        read_job(path)
    assert caught.value.faults[0].mend == "use one of: EPS 15"


def test_a_form_without_its_depth_is_refused(folder):
    path = change(folder / "job.toml", '^kind = "flat"', 'kind = "relief"')
    told = faults_of(path, read=read_job)
    assert f"{path}, form: a relief form needs peak_mm" in told


def test_a_text_where_a_list_belongs_is_refused(folder):
    path = change(folder / "job.toml", "^# outline_layers = .*$", 'outline_layers = "CUT"')
    (told,) = faults_of(path, read=read_job)
    assert "must be a list" in told


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(FileError, match="there is no such file"):
        read_job(tmp_path / "nothing.toml")


def test_a_file_that_is_no_toml_is_told_with_the_line(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text("name = Pear\n", encoding="utf-8")
    with pytest.raises(FileError, match="line 1"):
        read_job(path)


def test_a_file_that_is_no_text_is_told(tmp_path):
    path = tmp_path / "job.toml"
    path.write_bytes(b"\xff\xfe\x00\x01")
    with pytest.raises(FileError, match="not plain text"):
        read_job(path)


def test_a_gauge_gives_the_diameter_of_the_wire(folder):
    path = change(folder / "workshop.toml", "^diameter_mm = 0.5", 'gauge = "AWG 26"')
    assert read_workshop(path).wire.diameter_mm == pytest.approx(0.4049)


def test_a_gauge_nobody_knows_and_one_for_steel_are_refused(folder):
    path = change(folder / "workshop.toml", "^diameter_mm = 0.5", 'gauge = "thick"')
    assert faults_of(path) == [f"{path}, wire.gauge: 'thick' is no American wire gauge"]
    change(path, '^gauge = "thick"', 'gauge = "AWG 24"')
    change(path, '^alloy = "NiCr 80/20"', 'alloy = "304 stainless"')
    assert faults_of(path) == [f"{path}, wire.gauge: steel wire is sold by other gauges than AWG"]


def test_edges_marked_in_the_drawing_go_with_no_finished_sides_nor_a_form_worked_out(folder):
    path = change(folder / "job.toml", r"\[read\]", '[read]\nfinished_layers = ["BASE"]')
    change(path, "allowance_mm = 0", 'allowance_mm = 5\nfinished_sides = ["lower"]')
    with pytest.raises(SettingsError, match="finished_sides and finished_layers are both given"):
        read_job(path)
    change(path, r'finished_sides = \["lower"\]', "")
    change(path, r"drawing\.dxf", "figure.stl")
    with pytest.raises(SettingsError, match="outline is worked out, not drawn"):
        read_job(path)


def test_a_feed_for_slots_is_for_tables_only(folder):
    change(folder / "workshop.toml", 'kind = "table"', 'kind = "bow"')
    change(folder / "workshop.toml", r"\[cutting\]", "[cutting]\nslot_feed_mm_per_s = 9")
    with pytest.raises(SettingsError, match="a feed of their own on a table only"):
        read_job(folder / "job.toml")
