"""Sides that the wire cuts finished: no allowance there, proved and shown."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely import Point, Polygon, box
from small_plan import plan_of

from wirepath.checking.dropped import check_nothing_dropped
from wirepath.errors import SettingsError
from wirepath.forming import make_pieces
from wirepath.model import FormSettings, Job, Outline, PartSettings, Placement, Plan, Traced
from wirepath.sheets import sheet_pages
from wirepath.sheets.figures import cut_finished
from wirepath.sheets.key import key_samples
from wirepath.sheets.picture import TICK_IN_MM
from wirepath.widening import widen
from wirepath.wording import ENGLISH

ARCH = box(0, 0, 200, 150).difference(Point(100, 0).buffer(60))
"""An arch that stands on two feet, each 40 mm wide."""


def job(*sides: str) -> Job:
    form = FormSettings(
        kind="flat", foam="EPS 15", thickness_mm=180.0, allowance_mm=10.0, finished_sides=sides
    )
    return Job(name="Arch", drawing="a.dxf", workshop="w.toml", form=form)


def planned(*sides: str, outline: Polygon | None = None) -> Plan:
    traced = Traced(outlines=(Outline(name="Arch", polygon=ARCH),))
    (piece,) = make_pieces(job(*sides), traced)
    if outline is not None:
        piece = replace(piece, outline=outline)
    plan = plan_of(((piece, Placement(piece=1, x_mm=60.0, y_mm=60.0, angle_deg=0.0)),))
    return replace(plan, job=job(*sides), traced=replace(plan.traced, outlines=traced.outlines))


def faults(plan: Plan) -> list[str]:
    return [str(fault) for fault in check_nothing_dropped(plan).faults if "piece 1" in str(fault)]


def test_a_finished_side_has_no_allowance_and_the_others_keep_theirs():
    assert widen(ARCH, 10.0, ("lower",)).bounds == pytest.approx((-10, 0, 210, 160))
    assert widen(ARCH, 10.0, ("lower", "left")).bounds == pytest.approx((0, 0, 210, 160))


def test_the_foam_beside_a_finished_side_ends_in_line_with_it():
    # 10 mm wide on either side of the feet, down to the floor, square: no round corner.
    grown = widen(box(0, 0, 100, 50), 10.0, ("lower",))
    assert grown.covers(box(-10, 0, 110, 50))


def test_an_edge_that_is_straight_but_for_rounding_is_cut_finished_and_proved_so():
    tooth = Polygon([(0, 1e-9), (40, 0), (60, 80), (-20, 80)])
    traced = Traced(outlines=(Outline(name="Arch", polygon=tooth),))
    (piece,) = make_pieces(job("lower"), traced)
    assert piece.outline.bounds[1] == pytest.approx(0, abs=1e-6)
    plan = plan_of(((piece, Placement(piece=1, x_mm=60.0, y_mm=60.0, angle_deg=0.0)),))
    plan = replace(plan, job=job("lower"), traced=replace(plan.traced, outlines=traced.outlines))
    assert faults(plan) == []


def test_the_piece_is_proved_against_the_sides_asked_for():
    assert faults(planned("lower")) == []
    all_round = faults(planned("lower", outline=widen(ARCH, 10.0)))
    assert any("is not its finished outline plus 10 mm" in fault for fault in all_round)
    too_little = faults(planned(outline=widen(ARCH, 10.0, ("lower",))))
    assert any("is not its finished outline plus 10 mm" in fault for fault in too_little)


def test_outlines_without_a_straight_edge_there_and_parts_that_say_so_keep_their_allowance():
    disc = Outline(name="Disc", polygon=Point(500, 0).buffer(50))
    traced = Traced(outlines=(Outline(name="Arch", polygon=ARCH), disc))
    arch, round_one = make_pieces(job("lower"), traced)
    assert arch.outline.bounds[1] == 0
    assert round_one.outline.bounds[1] == pytest.approx(-60, abs=0.1)
    own = PartSettings(name="Arch", finished_sides=("upper",))
    arch, _ = make_pieces(replace(job("lower"), parts=(own,)), traced)
    assert arch.outline.bounds == pytest.approx((-10, -10, 210, 150), abs=0.1)


def test_a_side_without_a_straight_edge_is_refused():
    traced = Traced(outlines=(Outline(name="Disc", polygon=Point(0, 0).buffer(50)),))
    with pytest.raises(SettingsError, match="no outline has a straight edge along its lower side"):
        make_pieces(job("lower"), traced)


def test_edges_cut_finished_are_marked_and_explained_in_the_key():
    plan = planned("lower")
    edges = cut_finished(plan, plan.pieces[0])
    assert sorted(edge.length for edge in edges) == pytest.approx([40, 40])
    texts = [sample.text for sample in key_samples(plan, plan.layouts[0], 5.0, ENGLISH)]
    assert "cut finished: not carved" in texts
    plain = planned()
    texts = [sample.text for sample in key_samples(plain, plain.layouts[0], 5.0, ENGLISH)]
    assert "cut finished: not carved" not in texts


def test_the_marks_are_drawn_inside_the_edges_on_paper():
    ticks = {}
    for sides in ((), ("lower",)):
        pages = [one for one in sheet_pages(planned(*sides), ENGLISH) if "1 : " in one.scale]
        ticks[sides] = sum(
            len(stroke.points) == 2
            and abs(math.dist(*stroke.points) - TICK_IN_MM) < 1e-6
            and stroke.points[1][1] > stroke.points[0][1]
            for page in pages
            for stroke in page.strokes
        )
    assert ticks[("lower",)] > ticks[()]
