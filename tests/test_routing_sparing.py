"""Lines begin off seams and finished sides, unasked; where none can, the plan says so."""

from __future__ import annotations

from dataclasses import replace

import pytest
import sweeping
from foam_layouts import CUTTING, laid, plan_of
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from wirepath.checking.scars import check_scars
from wirepath.checking.scene import scenes
from wirepath.coordinates import write_coordinates
from wirepath.geometry import place
from wirepath.kerf import wire_lines
from wirepath.model import Placement
from wirepath.routing import good_edges, route, scarred
from wirepath.sectioning import seams
from wirepath.workshop import Cutting, Rig

UPRIGHT = Rig()


def parted(columns, rows, *, gap=20.0, margin=40.0, size=100.0):
    """Return a square form in columns x rows pieces, laid apart as drawn, with its seams."""
    cells = [
        box(size * i, size * j, size * (i + 1), size * (j + 1))
        for j in range(rows)
        for i in range(columns)
    ]
    layout, pieces = laid(
        cells,
        2 * margin + columns * (size + gap) - gap,
        2 * margin + rows * (size + gap) - gap,
    )
    pieces = tuple(replace(one, section_of="form") for one in pieces)
    placements = tuple(
        Placement(piece=1 + i + columns * j, x_mm=margin + gap * i, y_mm=margin + gap * j)
        for j in range(rows)
        for i in range(columns)
    )
    return replace(layout, placements=placements), pieces


def routed(layout, pieces, cutting=CUTTING, rig=UPRIGHT):
    """Return the plan of a layout, told where lines begin on seams all the same."""
    spared = good_edges(pieces, seams(pieces))
    lines = wire_lines(layout, pieces, cutting)
    passes = route(layout, lines, pieces, cutting, rig, spared=spared)
    scars = scarred(layout, lines, passes, spared, cutting.widest_kerf_mm)
    plan = plan_of(layout, pieces, cutting=cutting)
    return replace(plan, passes=passes, layouts=(replace(layout, scarred=scars),))


def faults(plan):
    return [str(fault) for fault in check_scars(plan, scenes(plan)).faults]


@pytest.mark.parametrize("rig", [Rig(), Rig(wire_lies="level")])
def test_four_pieces_of_one_form_begin_on_their_outer_sides(rig, tmp_path):
    plan = routed(*parted(2, 2), rig=rig)
    assert faults(plan) == []
    assert plan.layouts[0].scarred == ()
    (path,) = write_coordinates(plan, tmp_path)
    told = sweeping.complaints(
        path,
        face=box(0, 0, plan.layouts[0].width_mm, plan.layouts[0].height_mm),
        pieces={n: place_outline(plan, n) for n in range(1, 5)},
        kerf_mm=3.0,
        lead_in_mm=CUTTING.lead_in_mm,
    )
    assert told == []


def place_outline(plan, number):
    placement = plan.layouts[0].placements[number - 1]
    return place(plan.pieces[number - 1].outline, placement)


def test_pieces_that_share_a_cut_along_their_seam_begin_at_its_corner():
    # One kerf apart: the link has no length, and moves along the slot to the seam's end.
    cutting = Cutting(kerf_mm=3.0, web_mm=0.0)
    plan = routed(*parted(3, 1, gap=3.0), cutting)
    assert faults(plan) == []
    links = [m.line.length for one in plan.passes for m in one.moves if m.kind == "link"]
    assert sum(links) < 1.0


def test_a_finished_side_is_spared_and_sides_with_an_allowance_are_not():
    # The shortest way in comes from below, where nothing is left on.
    layout, pieces = laid([box(100, 30, 200, 130)], 400, 400)
    pieces = (replace(pieces[0], finished=box(110, 30, 190, 120), allowance_mm=10.0),)
    spared = good_edges(pieces, ())
    # The 10 mm beside it on either end come off in carving.
    assert spared[1].length == pytest.approx(320, abs=0.1)
    plan = routed(layout, pieces)
    begin = Point(next(m for m in plan.passes[0].moves if m.kind == "outline").line.coords[0])
    assert begin.distance(spared[1]) < 1.6
    assert faults(plan) == []


def test_a_line_that_begins_on_a_seam_is_a_fault_unless_it_is_told():
    layout, pieces = parted(2, 2)
    without = route(layout, wire_lines(layout, pieces, CUTTING), pieces, CUTTING)
    plan = replace(plan_of(layout, pieces), passes=without)
    told = faults(plan)
    assert told
    assert all("begins on a seam or a finished side" in one for one in told)
    spared = good_edges(pieces, seams(pieces))
    scars = scarred(layout, wire_lines(layout, pieces, CUTTING), without, spared, 3.0)
    assert len(scars) == len(told)
    assert faults(replace(plan, layouts=(replace(layout, scarred=scars),))) == []


def test_a_middle_piece_with_seams_all_round_begins_anywhere():
    layout, pieces = parted(3, 3)
    assert 5 not in good_edges(pieces, seams(pieces))
    plan = routed(layout, pieces)
    assert faults(plan) == []


@settings(max_examples=15, deadline=None)
@given(
    columns=st.integers(1, 4),
    rows=st.integers(1, 3),
    gap=st.sampled_from([3.0, 8.0, 20.0]),
    margin=st.sampled_from([0.0, 5.0, 60.0]),
    level=st.booleans(),
)
def test_whatever_is_parted_begins_off_its_seams_or_says_so(columns, rows, gap, margin, level):
    cutting = Cutting(kerf_mm=3.0, web_mm=0.0)
    rig = Rig(wire_lies="level" if level else "upright")
    assert faults(routed(*parted(columns, rows, gap=gap, margin=margin), cutting, rig)) == []
