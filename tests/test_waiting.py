"""Where a table's wire waits: passes begin and end there through air; proved, swept, refused."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString, box
from sweeping import waiting_complaints
from taper_specimens import KEYSTONE_BACK, KEYSTONE_FRONT, job, outline, shop, traced

from wirepath.checking import check_plan
from wirepath.coordinates import read_coordinates, write_coordinates
from wirepath.errors import FitError, SettingsError
from wirepath.kerf import wire_lines
from wirepath.model import Layout, Piece, Placement
from wirepath.planning import make_plan
from wirepath.routing import from_waiting_place, route
from wirepath.sheets import sheet_pages
from wirepath.sheets.steps import steps
from wirepath.wording import ENGLISH
from wirepath.workshop import Clamp, Cutting, Rig
from wirepath.workshop_file import read_workshop

FACE = box(0, 0, 600, 320)


def waiting(at, *, clamps=(), drawn=None, **rig):
    """Two plates on a face of 600 x 320 mm."""
    held = tuple(Clamp(x_mm=x, y_mm=y, width_mm=w, height_mm=h) for x, y, w, h in clamps)
    drawn = drawn or traced(
        [outline("one", box(0, 0, 300, 200)), outline("two", box(400, 0, 600, 150))]
    )
    its = Rig(waits_at=at, clamps=held, **rig)
    return make_plan(job(), shop(rig=its), drawn, seconds=0.0)


def faults(one):
    return "\n".join(str(fault) for finding in check_plan(one) for fault in finding.faults)


def complaints(one, folder):
    (path,) = write_coordinates(one, folder)
    clamps = [clamp.polygon for clamp in one.workshop.rig.clamps]
    at = one.workshop.rig.waits_at
    return waiting_complaints(path, at=at, face=FACE, clamps=clamps, kerf_mm=1.2)


@pytest.mark.parametrize(
    ("at", "clamps"),
    [
        ((300, 420), [(300, 321, 100, 60)]),
        ((660.5, -40.25), [(601, -20, 50, 200), (-90, -12, 300, 11)]),
        ((-100, 150), [(-60, 100, 59, 100), (-60, 0, 59, 99)]),
    ],
)
def test_no_way_from_or_to_the_waiting_place_meets_foam_or_clamps(at, clamps, tmp_path):
    made = waiting(at, clamps=clamps)
    assert faults(made) == ""
    assert complaints(made, tmp_path) == []


def test_the_way_to_the_far_corner_goes_round_the_block_and_no_further_than_it_must():
    made = waiting((700.0, 420.0))
    first = made.passes[0].moves[0]
    assert first.kind == "air"
    start, end = first.line.coords[0], first.line.coords[-1]
    assert start == (700.0, 420.0)
    away = Cutting(kerf_mm=1.2).lead_in_mm
    # Round one corner of the block, whichever is nearer: known by hand.
    corners = [(600 + away, -away), (-away, 320 + away)]
    round_one = min(LineString([start, corner, end]).length for corner in corners)
    assert first.line.length == pytest.approx(round_one, abs=0.01)


def test_a_taper_s_wire_comes_from_the_waiting_place_square():
    drawn = traced([outline("key", KEYSTONE_FRONT)], far=[outline("key", KEYSTONE_BACK)])
    made = waiting(
        (-80.0, 300.0), drawn=drawn, two_ended=True, ends_apart_mm=900.0, near_gap_mm=100.0
    )
    assert [move.far for move in made.passes[0].moves[:2]] == [None, None]
    assert made.passes[0].moves[0].line.coords[0] == made.passes[0].moves[-1].line.coords[-1]


def test_a_pass_that_ends_elsewhere_or_cuts_the_corner_is_told(tmp_path):
    made = waiting((-100.0, 300.0))
    (one,) = made.passes
    short = replace(made, passes=(replace(one, moves=one.moves[:-1]),))
    assert "from where the wire waits" in faults(short)
    assert any("does not end" in told for told in complaints(short, tmp_path))
    first = one.moves[0]
    end = first.line.coords[-1]
    through = replace(first, line=LineString([(-100, 300), (-0.3, 300), (-0.3, 0), end]))
    near = replace(made, passes=(replace(one, moves=(through, *one.moves[1:])),))
    assert "too near to the foam" in faults(near)
    assert any("meets foam" in told for told in complaints(near, tmp_path))


@pytest.mark.parametrize(
    ("at", "rig", "match"),
    [
        ((300.0, 300.0), {}, "wait in the foam"),
        ((-20.0, 300.0), {"clamps": [(-60, 200, 59, 200)]}, "wait at clamp 1"),
        ((-300.0, 300.0), {"travel_x_mm": 660.0}, "would go .* along x; the table moves 660"),
        ((-100.0, -50.0), {"wire_lies": "level"}, "under it"),
    ],
)
def test_a_waiting_place_that_cannot_be_is_refused(at, rig, match):
    with pytest.raises(FitError, match=match):
        waiting(at, **rig)


def test_before_a_level_wire_no_way_leads_under_the_block():
    made = waiting((700.0, 5.0), wire_lies="level")
    assert faults(made) == ""
    assert min(made.passes[0].moves[0].line.bounds[1], made.passes[0].moves[-1].line.bounds[1]) >= 0


def test_entries_are_come_to_in_the_sense_that_takes_less_way_in_air():
    """From above the middle of a row that is entered from below, with the largest piece last:
    one sense comes by both ends of the block, the other twice by one."""
    at = (750.0, 400.0)
    rects = [box(0, 0, 300, 200), *(box(310 + 190 * n, 0, 490 + 190 * n, 150) for n in range(4))]
    pieces = tuple(piece_of(n, one) for n, one in enumerate(rects, 1))
    layout = Layout(
        number=1,
        block=1,
        from_mm=0.0,
        thickness_mm=300.0,
        width_mm=1200.0,
        height_mm=320.0,
        trim_mm=0.0,
        placements=tuple(Placement(piece=n, x_mm=0, y_mm=0) for n in range(1, 6)),
    )
    made = shop(rig=Rig(waits_at=at))
    lines = wire_lines(layout, pieces, made.cutting)
    air = []
    for rig in (made.rig, Rig()):
        passes = route(layout, lines, pieces, made.cutting, rig)
        (one,) = from_waiting_place(passes, layout, made, made.cutting)
        air.append(sum(move.length_mm for move in one.moves if move.kind == "air"))
        assert [move.piece for move in one.moves if move.kind == "outline"][-1] == 1
    assert air[0] < air[1]


def piece_of(number, outline):
    return Piece(
        number=number,
        name=str(number),
        part=str(number),
        finished=outline,
        outline=outline,
        thickness_mm=300.0,
        allowance_mm=0.0,
        foam="EPS 15",
        turning="none",
        flip=False,
    )


def test_where_the_wire_waits_is_drawn_on_the_layout_and_in_its_key():
    made = waiting((-100.0, 300.0))
    (page,) = [page for page in sheet_pages(made, ENGLISH) if "lines to cut" in page.title]
    told = [text.text for text in page.texts]
    assert ENGLISH.key_waits in told
    assert told.count("W") == 2


def test_sheet_and_file_tell_where_the_wire_waits(tmp_path):
    made = waiting((-100.0, 300.0))
    told = [step.text for step in steps(made, made.layouts[0], ENGLISH)]
    assert "x -100 and y 300 mm" in told[0]
    assert "x -100, y 300 mm" in told[-1]
    (path,) = write_coordinates(made, tmp_path)
    assert "# waits: x -100.000, y 300.000" in path.read_text()
    assert read_coordinates(path).passes == made.passes


def test_a_waiting_place_of_a_bow_is_a_fault_of_the_workshop_file(tmp_path):
    text = (
        'name = "w"\n[wire]\nlength_mm = 1200\n[cutting]\nkerf_mm = 2\n[rig]\nkind = "bow"\n'
        'waits_at = [-80, -40]\n[[foams]]\nname = "f"\nkind = "EPS"\ndensity_kg_per_m3 = 15\n'
        '[[stock]]\nname = "b"\nfoam = "f"\nlength_mm = 900\nwidth_mm = 600\n'
        "thickness_mm = 300\nprice = 1\n"
    )
    (tmp_path / "workshop.toml").write_text(text)
    with pytest.raises(SettingsError, match="only a table's wire"):
        read_workshop(tmp_path / "workshop.toml")
    (tmp_path / "workshop.toml").write_text(text.replace('"bow"', '"table"'))
    assert read_workshop(tmp_path / "workshop.toml").rig.waits_at == (-80, -40)
