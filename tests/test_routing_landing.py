"""Where a piece's line begins: at the corner or place the job asks for, or refused."""

from __future__ import annotations

from dataclasses import replace
from importlib import resources

import pytest
import sweeping
from foam_layouts import CUTTING, laid, plan_of
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box
from shapely.affinity import translate
from test_checking_specimen import PLAN, told

from wirepath.checking.passes import check_passes
from wirepath.checking.scene import scenes
from wirepath.checking.slot import check_slot
from wirepath.coordinates import write_coordinates
from wirepath.errors import FitError, SettingsError
from wirepath.geometry import place
from wirepath.job_file import read_job
from wirepath.kerf import wire_lines
from wirepath.model import Placement
from wirepath.routing import route

CORNERS = {
    "lower left": (0, 0),
    "lower right": (1, 0),
    "upper left": (0, 1),
    "upper right": (1, 1),
}


def asking(outlines, width, height, **asked):
    layout, pieces = laid(outlines, width, height)
    return layout, tuple(replace(one, **asked) for one in pieces)


def beginnings(layout, pieces):
    passes = route(layout, wire_lines(layout, pieces, CUTTING), pieces, CUTTING)
    found: dict[int, Point] = {}
    for move in (move for one in passes for move in one.moves):
        if move.kind == "outline":
            found.setdefault(move.piece, Point(move.line.coords[0]))
    return found


@pytest.mark.parametrize("corner", CORNERS)
def test_each_of_six_pieces_begins_at_the_corner_asked_for(corner, tmp_path):
    outlines = [box(50 + 150 * i, 50 + 150 * j, 150 + 150 * i, 150 + 150 * j)
                for i in range(3) for j in range(2)]  # fmt: skip
    layout, pieces = asking(outlines, 500, 350, entry=corner)
    right, up = CORNERS[corner]
    for number, at in beginnings(layout, pieces).items():
        west, south, east, north = outlines[number - 1].bounds
        assert at.distance(Point(east if right else west, north if up else south)) < 2.0
    (path,) = write_coordinates(plan_of(layout, pieces), tmp_path)
    assert (
        sweeping.complaints(
            path,
            face=box(0, 0, 500, 350),
            pieces={one.number: one.outline for one in pieces},
            kerf_mm=3.0,
            lead_in_mm=CUTTING.lead_in_mm,
        )
        == []
    )


def test_the_corner_is_that_of_the_piece_as_drawn_and_turns_with_it():
    layout, pieces = asking([box(0, 0, 100, 60)], 400, 400, entry="lower left")
    turned = Placement(piece=1, x_mm=250.0, y_mm=150.0, angle_deg=90.0)
    layout = replace(layout, placements=(turned,))
    assert place(pieces[0].outline, turned).bounds == (190, 150, 250, 250)
    assert beginnings(layout, pieces)[1].distance(Point(250, 150)) < 2.0


def test_a_place_of_the_drawing_may_be_asked_for():
    layout, pieces = asking([box(100, 100, 300, 200)], 400, 400, entry_at=(210.0, 260.0))
    assert beginnings(layout, pieces)[1].distance(Point(210, 200)) < 2.0


def test_a_place_that_no_way_with_one_bend_reaches_is_refused():
    # The bottom of a deep, bent pocket: the rest of the piece stands in every way.
    pocket = box(100, 100, 300, 300).difference(box(140, 140, 260, 160))
    pocket = pocket.difference(box(140, 140, 160, 260)).difference(box(140, 240, 301, 260))
    layout, pieces = asking([pocket], 400, 400, entry_at=(258.0, 150.0))
    with pytest.raises(FitError, match="no way through the waste"):
        beginnings(layout, pieces)


def test_no_way_leads_through_a_piece_that_stands_on_the_edge_of_the_foam():
    # Its line runs in air at the left: from there to the right side it would cross no line.
    layout, pieces = asking([box(0, 100, 200, 300)], 400, 400, entry_at=(200.0, 200.0))
    passes = route(layout, wire_lines(layout, pieces, CUTTING), pieces, CUTTING)
    (entry,) = [move for one in passes for move in one.moves if move.kind == "entry"]
    assert entry.line.coords[0] == (400.0, 200.0)


@pytest.mark.parametrize("asked", ["lower left", "left", "upper", "lower right"])
def test_round_pieces_that_stand_on_the_edge_of_the_foam_are_not_bitten(asked, tmp_path):
    rings = [Point(100 + 205 * (k % 2), 100 + 205 * (k // 2)).buffer(100, 64) for k in range(4)]
    layout, pieces = asking(rings, 405, 405, entry=asked)
    plan = plan_of(layout, pieces)
    found = [*check_slot(scenes(plan), CUTTING.feed_mm_per_s), check_passes(scenes(plan))]
    assert [str(fault) for one in found for fault in one.faults] == []


@settings(max_examples=20, deadline=None)
@given(corners=st.lists(st.sampled_from([*CORNERS, "left", "upper", None]), min_size=6, max_size=6))
def test_whatever_corners_are_asked_for_promise_3_holds(corners):
    outlines = [
        translate(box(0, 0, 80, 50), 40 + 120 * (k % 3), 40 + 90 * (k // 3)) for k in range(6)
    ]
    layout, pieces = laid(outlines, 400, 230)
    pieces = tuple(replace(one, entry=asked) for one, asked in zip(pieces, corners, strict=True))
    assert check_passes(scenes(plan_of(layout, pieces))).faults == ()


def test_an_outline_that_begins_elsewhere_is_told():
    # The frame made by hand begins at 19, 70, in the middle of its left side.
    pieces = (replace(PLAN.pieces[0], entry="upper right"), PLAN.pieces[1])
    assert told(replace(PLAN, pieces=pieces), 3) == (
        "layout 1, piece 1, near x 19.0, y 70.0 mm: its outline begins elsewhere than was asked for"
    )
    pieces = (replace(PLAN.pieces[0], entry_at=(-5.0, 50.0)), PLAN.pieces[1])
    assert told(replace(PLAN, pieces=pieces), 3) == ""


def test_a_corner_and_a_place_together_are_refused(tmp_path):
    path = tmp_path / "job.toml"
    for name in ("job.toml", "workshop.toml"):
        text = resources.files("wirepath").joinpath("start_files", name).read_text()
        (tmp_path / name).write_text(text)
    part = '\n[[parts]]\nname = "*"\nentry = "left"\nentry_at = [0, 0]\n'
    path.write_text(path.read_text() + part)
    with pytest.raises(SettingsError, match=r"parts\[\d\]: entry and entry_at are both given"):
        read_job(path)
