"""Edges that the drawing marks to be cut finished: read, kept bare, proved and shown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box
from shapely.ops import substring
from small_plan import plan_of

from wirepath.checking.bare import before_edges
from wirepath.checking.drawn import grown
from wirepath.checking.dropped import check_nothing_dropped
from wirepath.errors import DrawingError, SettingsError
from wirepath.forming import finished_notes, make_pieces
from wirepath.model import (
    FormSettings,
    Job,
    Outline,
    Placement,
    Reading,
    TaperSettings,
    Traced,
)
from wirepath.sheets.figures import cut_finished
from wirepath.tracing import Curve, Drawing, trace
from wirepath.tracing.edges import run_along
from wirepath.widening import widen

PLATE = box(0, 0, 100, 50)
BASE = LineString([(0, 0), (100, 0)])


def marked(*lines: LineString, outline: Polygon = PLATE, within_mm: float = 1.0):
    return run_along(list(lines), [Outline(name="A", polygon=outline)], within_mm)


def lengths(*lines: LineString, outline: Polygon = PLATE) -> list[float]:
    return [round(one.length, 6) for one in marked(*lines, outline=outline).stretches]


def proved(finished: Polygon, outline: Polygon, allowance_mm: float, lines) -> bool:
    return grown(finished, outline, allowance_mm, before_edges(finished, lines, allowance_mm))


@st.composite
def marked_outlines(draw):
    """Give an outline, a stretch of it and an allowance."""
    points = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(40, 160), min_size=points, max_size=points))
    turns = 2 * np.pi * np.arange(points) / points + draw(st.floats(0, 6))
    outline = Polygon(np.c_[np.cos(turns), np.sin(turns)] * np.array(radii)[:, None])
    if draw(st.booleans()):
        outline = outline.buffer(12, quad_segs=8)
    if draw(st.booleans()):
        outline = outline.difference(Point(0, 0).buffer(9, quad_segs=6))
    ring = LineString(shapely.orient_polygons(outline).exterior.coords)
    start = draw(st.floats(0, 0.6))
    share = draw(st.floats(0.05, 0.35))
    drawn = substring(ring, start, start + share, normalized=True)
    (line,) = run_along([drawn], [Outline(name="A", polygon=outline)], 1.0).stretches
    return outline, line, draw(st.floats(2, 15))


@settings(max_examples=30, deadline=None)
@given(marked_outlines())
def test_the_outline_as_cut_lies_on_the_drawing_where_marked_and_the_allowance_away_elsewhere(case):
    outline, line, allowance = case
    cut = widen(outline, allowance, along=[line])
    assert cut.is_valid
    rest = shapely.difference(outline.boundary, line.buffer(1e-6))
    on_line = shapely.points(shapely.get_coordinates(line.segmentize(2.0)))
    away = shapely.distance(cut.boundary, on_line)
    bare = shapely.distance(rest, on_line) > allowance * 1.01
    assert (away[bare] < 1e-6).all()
    carved = shapely.points(shapely.get_coordinates(rest.segmentize(2.0)))
    clear = shapely.distance(line, carved) > 2.1 * allowance
    short = shapely.distance(cut.boundary, carved[clear]) < allowance * 0.99
    assert list(carved[clear][short]) == []
    assert shapely.difference(cut, outline.buffer(allowance * 1.001, quad_segs=64)).area < 0.1
    assert proved(outline, cut, allowance, [line])


def test_a_base_has_nothing_under_it_and_the_foam_beside_it_ends_in_line():
    cut = widen(PLATE, 10.0, along=[BASE])
    assert cut.bounds == pytest.approx((-10, 0, 110, 60))
    # 120 x 60 less two quarter rounds of 10 mm, by hand.
    assert cut.area == pytest.approx(120 * 60 - 2 * (100 - 25 * np.pi), abs=1.0)


def test_a_mark_within_an_edge_ends_with_square_steps():
    cut = widen(PLATE, 10.0, along=[LineString([(20, 0), (60, 0)])])
    notch = box(20, -10, 60, 0)
    assert shapely.intersection(cut, notch).area < 1e-6
    assert cut.covers(box(0, -10, 20, 0))
    assert cut.covers(box(60, -10, 100, 0))


def test_in_an_inner_corner_the_other_edge_keeps_its_allowance_whole():
    step = Polygon([(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)])
    cut = widen(step, 10.0, along=[LineString([(100, 40), (40, 40)])])
    assert cut.covers(box(40, 40, 50, 100))
    assert shapely.intersection(cut, box(50, 40, 120, 60)).area < 1e-6


def test_an_allowance_is_not_left_through_a_thin_wall():
    assert widen(box(0, 0, 100, 3), 10.0, along=[BASE]).bounds[1] == 0.0


def test_a_marked_hole_and_ring_keep_their_size():
    ring = Point(0, 0).buffer(80).difference(Point(0, 0).buffer(30))
    cut = widen(ring, 10.0, along=[LineString(ring.interiors[0].coords)])
    assert Polygon(cut.interiors[0]).area == pytest.approx(Point(0, 0).buffer(30).area)
    assert cut.bounds[2] == pytest.approx(90, abs=0.02)


def test_a_line_near_an_edge_marks_the_edge_itself_from_corner_to_corner():
    (stretch,) = marked(LineString([(0.7, 0.4), (99.5, -0.6)])).stretches
    assert stretch.equals(BASE)


def test_a_line_round_a_corner_and_pieces_that_nearly_meet_mark_one_stretch():
    bent = LineString([(60, 0), (100, 0), (100, 50)])
    assert lengths(bent) == [90.0]
    assert lengths(LineString([(0, 0), (30, 0)]), LineString([(30.5, 0), (80, 0)])) == [80.0]


def test_marks_across_the_start_of_a_ring_are_one_stretch():
    # The ring of a box begins at its lower right corner.
    assert lengths(LineString([(80, 0), (100, 0)]), LineString([(100, 0), (100, 20)])) == [40.0]


def test_a_line_from_foot_to_foot_marks_both_feet_and_what_lies_between_is_told():
    arch = box(0, 0, 200, 150).difference(box(40, -1, 160, 100))
    found = marked(LineString([(0, 0), (200, 0)]), outline=arch)
    assert [one.length for one in found.stretches] == [40.0, 40.0]
    assert [note.text for note in found.notes] == [
        "118 mm of a line on a finished layer run along no outline and mark nothing"
    ]


def test_an_arc_flattened_otherwise_marks_as_much_of_a_circle_as_it_runs_along():
    disc = Point(0, 0).buffer(100, quad_segs=40)
    arc = substring(LineString(Point(0, 0).buffer(100, quad_segs=23).exterior.coords), 100, 300)
    assert lengths(arc, outline=disc) == pytest.approx([200], abs=0.2)


def test_lines_that_run_along_nothing_are_flaws_all_at_once_with_their_places():
    across = LineString([(50, -30), (50, 30)])
    far = LineString([(0, 90), (100, 90)])
    flaws = marked(across, BASE, far).flaws
    assert [flaw.at for flaw in flaws] == [(50, 0), (50, 90)]
    assert "60 mm long, runs along no outline: it strays by 30 mm" in flaws[0].what
    assert "finished_within_mm" in flaws[0].mend


def test_an_edge_that_two_outlines_share_is_marked_on_both():
    pair = [Outline(name=n, polygon=box(x, 0, x + 50, 50)) for n, x in (("A", 0), ("B", 50))]
    found = run_along([LineString([(50, 0), (50, 50)])], pair, 1.0)
    assert [one.length for one in found.stretches] == [50.0, 50.0]


@pytest.mark.parametrize("wrong", ["allowance under the base", "none beside it", "a step too far"])
def test_the_check_refuses_foam_before_a_marked_edge_and_a_lack_of_it_elsewhere(wrong):
    line = LineString([(0, 0), (60, 0)])
    cut = {
        "allowance under the base": widen(PLATE, 10.0),
        "none beside it": PLATE,
        "a step too far": widen(PLATE, 10.0, along=[LineString([(0, 0), (62, 0)])]),
    }[wrong]
    assert proved(PLATE, widen(PLATE, 10.0, along=[line]), 10.0, [line])
    assert not proved(PLATE, cut, 10.0, [line])


def drawn(times: float = 1.0, **keys) -> Traced:
    """Return a plate with a marked base, drawn in figures `times` smaller."""
    curves = [
        Curve(line=shapely.transform(line, lambda p: p / times), layer=layer, kind="LINE", source=k)
        for k, (layer, line) in enumerate(
            [("EDGE", LineString(PLATE.exterior.coords)), ("BASE", BASE)]
        )
    ]
    reading = Reading(outline_layers=("EDGE",), finished_layers=("B*",), units="mm", **keys)
    return trace(Drawing(name="a.dxf", curves=tuple(curves)), reading)


def test_marks_are_read_at_finished_size_and_count_as_read():
    traced = drawn(20.0, scale=20.0)
    assert [one.length for one in traced.finished_lines] == pytest.approx([100.0])
    assert [(one.found, one.read) for one in traced.counts] == [(2, 2)]


def test_a_layer_without_lines_is_a_flaw():
    with pytest.raises(DrawingError, match=r"no visible curve lies on a finished layer \(B\*\)"):
        trace(
            Drawing(
                name="a.dxf",
                curves=(
                    Curve(
                        line=LineString(PLATE.exterior.coords), layer="EDGE", kind="LINE", source=0
                    ),
                ),
            ),
            Reading(outline_layers=("EDGE",), finished_layers=("B*",), units="mm"),
        )


def job(**form) -> Job:
    keys = {"kind": "flat", "foam": "EPS 15", "thickness_mm": 100.0, "allowance_mm": 10.0}
    return Job(
        name="Plate", drawing="a.dxf", workshop="w.toml", form=FormSettings(**{**keys, **form})
    )


def test_the_piece_is_cut_finished_along_the_marks_and_the_sheet_says_so():
    traced = drawn()
    (piece,) = make_pieces(job(), traced)
    assert piece.outline.bounds == pytest.approx((-10, 0, 110, 60))
    plan = plan_of(((piece, Placement(piece=1, x_mm=60.0, y_mm=60.0, angle_deg=0.0)),))
    plan = replace(
        plan,
        job=job(),
        traced=replace(plan.traced, outlines=traced.outlines, finished_lines=traced.finished_lines),
    )
    assert [edge.length for edge in cut_finished(plan, piece)] == [100.0]
    assert not [f for f in check_nothing_dropped(plan).faults if "outline plus" in f.what]
    bare = replace(plan, traced=replace(plan.traced, finished_lines=()))
    assert [f for f in check_nothing_dropped(bare).faults if "outline plus" in f.what]


def test_marks_without_an_allowance_and_marks_under_another_one_are_told():
    traced = drawn()
    (note,) = finished_notes(make_pieces(job(allowance_mm=0.0), traced), traced.finished_lines)
    assert "change nothing" in note.text
    step = Polygon([(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)])
    outlines = (Outline(name="Step", polygon=step),)
    traced = Traced(outlines=outlines, finished_lines=(LineString([(100, 40), (40, 40)]),))
    (note,) = finished_notes(make_pieces(job(), traced), traced.finished_lines)
    assert note.text.startswith("10 mm of edges of 'Step' to be cut finished stand under")


def test_a_taper_with_a_marked_edge_is_refused():
    tapered = replace(job(), tapers=(TaperSettings(near="EDGE", draft_mm=5.0),))
    with pytest.raises(SettingsError, match="no edge of 'EDGE' can be cut finished"):
        make_pieces(tapered, drawn())
