"""Clamps on a table: the wire keeps out, in foam and in air; proved, swept, refused."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box
from sweeping import clamp_complaints
from taper_specimens import KEYSTONE_BACK, KEYSTONE_FRONT, job, outline, shop, traced

from wirepath.checking import check_plan
from wirepath.coordinates import write_coordinates
from wirepath.errors import FitError, SettingsError
from wirepath.geometry import place
from wirepath.planning import make_plan
from wirepath.sheets import sheet_pages
from wirepath.wording import ENGLISH
from wirepath.workshop import Clamp, Rig
from wirepath.workshop_file import read_workshop


def clamped(*clamps, drawn=None, rig=None):
    """Two plates on a block of 1200 x 600 mm, with clamps: x, y, width, height."""
    held = tuple(Clamp(x_mm=x, y_mm=y, width_mm=w, height_mm=h) for x, y, w, h in clamps)
    rig = replace(rig or Rig(), clamps=held)
    drawn = drawn or traced(
        [outline("one", box(0, 0, 300, 200)), outline("two", box(400, 0, 600, 150))]
    )
    return make_plan(job(), shop(rig=rig), drawn, seconds=0.0)


def faults(one):
    return "\n".join(str(fault) for finding in check_plan(one) for fault in finding.faults)


def entries(one):
    return [move.line.coords[0] for p in one.passes for move in p.moves if move.kind == "entry"]


def test_the_wire_enters_elsewhere_where_a_clamp_stands_on_its_way():
    free = clamped()
    x, y = entries(free)[0]
    assert y == 0
    held = clamped((x - 30, -60, 60, 65))
    assert faults(held) == ""
    (other_x, other_y), *_ = entries(held)
    assert max(abs(other_x - x), abs(other_y - y)) > 30


@settings(max_examples=5, deadline=None)
@given(
    places=st.lists(
        st.sampled_from(
            [(-60, 200), (-60, 400), (1160, 100), (500, -60), (900, -60), (300, 590), (800, 590)]
        ),
        max_size=3,
        unique=True,
    )
)
def test_no_swept_file_enters_a_clamp_wherever_they_stand(places, tmp_path_factory):
    folder = tmp_path_factory.mktemp("clamps")
    try:
        made = clamped(*((x, y, 100, 70) for x, y in places))
    except FitError:
        # Clamps on every side that a way leads from: told by a test of its own.
        return
    assert faults(made) == ""
    clamps = [clamp.polygon for clamp in made.workshop.rig.clamps]
    for path in write_coordinates(made, folder):
        assert clamp_complaints(path, clamps=clamps, kerf_mm=1.2) == []


@pytest.mark.parametrize("gap_mm", [0.5, 5.0, 15.0, 19.0])
@pytest.mark.parametrize("side", ["left", "lower", "upper"])
def test_clamps_that_all_but_touch_the_foam_are_gone_round_or_told(gap_mm, side, tmp_path):
    """Within the lead-in's distance, where ways round the block would run."""
    x, y, width, height = {
        "left": (-gap_mm - 40, 100, 40, 90),
        "lower": (150, -gap_mm - 40, 90, 40),
        "upper": (150, 600 + gap_mm, 90, 40),
    }[side]
    made = clamped((x, y, width, height))
    assert faults(made) == ""
    (clamp,) = (one.polygon for one in made.workshop.rig.clamps)
    for path in write_coordinates(made, tmp_path):
        assert clamp_complaints(path, clamps=[clamp], kerf_mm=1.2) == []


def test_a_clamp_that_all_but_touches_the_foam_is_gone_round_from_the_waiting_place(tmp_path):
    made = clamped((-41, 100, 40, 90), rig=Rig(waits_at=(-120.0, 145.0)))
    assert faults(made) == ""
    (clamp,) = (one.polygon for one in made.workshop.rig.clamps)
    (path,) = write_coordinates(made, tmp_path)
    assert clamp_complaints(path, clamps=[clamp], kerf_mm=1.2) == []


def test_a_taper_keeps_both_ends_of_the_wire_out_of_clamps():
    drawn = traced([outline("key", KEYSTONE_FRONT)], far=[outline("key", KEYSTONE_BACK)])
    made = clamped(
        (-60, 400, 100, 70),
        drawn=drawn,
        rig=Rig(two_ended=True, ends_apart_mm=900.0, near_gap_mm=100.0),
    )
    assert faults(made) == ""


def test_a_clamp_put_on_the_way_afterwards_is_told_with_its_place(tmp_path):
    made = clamped()
    x, _ = entries(made)[0]
    late = (Clamp(x_mm=x - 30, y_mm=-60, width_mm=60, height_mm=65),)
    rig = replace(made.workshop.rig, clamps=late)
    wrong = replace(made, workshop=replace(made.workshop, rig=rig))
    assert "too near to clamp 1" in faults(wrong)
    (path,) = write_coordinates(made, tmp_path)
    assert clamp_complaints(path, clamps=[late[0].polygon], kerf_mm=1.2)


@settings(max_examples=6, deadline=None)
@given(x=st.floats(-40.0, 1140.0), y=st.floats(-40.0, 540.0))
def test_pieces_are_laid_off_a_clamp_wherever_it_stands_on_the_foam(x, y):
    made = clamped((x, y, 100, 100))
    assert faults(made) == ""
    clamp = made.workshop.rig.clamps[0].polygon
    for layout in made.layouts:
        for one in layout.placements:
            assert place(made.piece(one.piece).outline, one).distance(clamp) >= 1.2


def test_clamps_that_leave_no_room_for_a_piece_are_refused_with_the_reason():
    with pytest.raises(FitError, match="To mend: move the clamps"):
        clamped((5, 5, 3000, 3000))


def test_clamps_of_a_bow_are_a_fault_of_the_workshop_file(tmp_path):
    text = (
        'name = "w"\n[wire]\nlength_mm = 1200\n[cutting]\nkerf_mm = 2\n[rig]\nkind = "bow"\n'
        "[[rig.clamps]]\nx_mm = -20\ny_mm = 100\nwidth_mm = 60\nheight_mm = 40\n"
        '[[foams]]\nname = "f"\nkind = "EPS"\ndensity_kg_per_m3 = 15\n[[stock]]\n'
        'name = "b"\nfoam = "f"\nlength_mm = 900\nwidth_mm = 600\nthickness_mm = 300\nprice = 1\n'
    )
    (tmp_path / "workshop.toml").write_text(text)
    with pytest.raises(SettingsError, match="clamps are for a table"):
        read_workshop(tmp_path / "workshop.toml")
    (tmp_path / "workshop.toml").write_text(text.replace('"bow"', '"table"'))
    assert read_workshop(tmp_path / "workshop.toml").rig.clamps[0].x_mm == -20


def test_clamps_are_drawn_on_the_layout_and_in_its_key():
    made = clamped((-60, 400, 100, 70))
    (page,) = [page for page in sheet_pages(made, ENGLISH) if "lines to cut" in page.title]
    assert any(text.text == ENGLISH.key_clamp for text in page.texts)
