"""Tapers from job and drawing: which faces belong together, and what their solids hold."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box
from shapely.affinity import rotate, translate
from taper_specimens import KEYSTONE_BACK, KEYSTONE_FRONT, job, outline, traced

from wirepath.checking.solids import solid_mm3
from wirepath.errors import DrawingError, SettingsError
from wirepath.forming import make_pieces
from wirepath.geometry import place_ruled, shadow
from wirepath.model import Mark, Placement, TaperSettings
from wirepath.tapering import paired

SQUARE = box(0, 0, 200, 200)


def solid(near: Polygon, far: Polygon, thick_mm: float = 300.0):
    """The piece that the job makes of two faces drawn over each other."""
    drawn = traced([outline("stone", near)], far=[outline("stone", far)])
    (piece,) = make_pieces(job(thickness_mm=thick_mm), drawn)
    return piece


# --- Volumes -----------------------------------------------------------------------


def test_a_pyramids_frustum_holds_what_the_textbook_says():
    """h/3 (A + B + sqrt(A B)), Euclid's Elements XII and any formulary (Bronstein)."""
    piece = solid(SQUARE, box(50, 50, 150, 150))
    assert piece.volume_mm3 == pytest.approx(300 / 3 * (40_000 + 10_000 + 20_000))
    assert solid_mm3(piece) == pytest.approx(piece.volume_mm3)


def test_a_cones_frustum_of_64_sides_holds_what_the_textbook_says():
    near, far = Point(0, 0).buffer(100, 16), Point(0, 0).buffer(60, 16)
    expected = 250 / 3 * (near.area + far.area + math.sqrt(near.area * far.area))
    piece = solid(near, far, 250)
    assert piece.volume_mm3 == pytest.approx(expected)
    # A true cone's is pi h/3 (R2 + R r + r2); 64 sides hold 0.16 % less.
    assert piece.volume_mm3 == pytest.approx(math.pi * 250 / 3 * 19_600, rel=0.002)


def test_an_oblique_wedge_worked_out_by_hand():
    """200 x 100 in front, 120 x 60 behind, shifted: sides shrink along a straight line.

    Width 200 - 80 s times height 100 - 40 s, integrated: 20000 - 8000 + 3200/3.
    """
    near, far = box(0, 0, 200, 100), box(70, 5, 190, 65)
    assert solid(near, far).volume_mm3 == pytest.approx(300 * (20_000 - 8_000 + 3_200 / 3))


@settings(max_examples=30, deadline=None)
@given(
    turn=st.floats(-25, 25),
    shift=st.tuples(st.floats(-40, 40), st.floats(-40, 40)),
    angle=st.floats(0, 360),
    flipped=st.booleans(),
)
def test_the_two_ways_to_the_volume_agree_and_placing_keeps_it(turn, shift, angle, flipped):
    ruled = paired(KEYSTONE_FRONT, translate(rotate(KEYSTONE_BACK, turn), *shift), 300)
    placed = place_ruled(
        ruled, Placement(piece=1, x_mm=50, y_mm=-20, angle_deg=angle, flipped=flipped)
    )
    assert placed.volume_mm3 == pytest.approx(ruled.volume_mm3)
    for share in (0.0, 0.3, 1.0):
        assert placed.section(share).exterior.is_ccw
        assert shadow(placed).buffer(1e-5).contains(placed.section(share))


# --- Which faces belong together ---------------------------------------------------


def test_a_far_face_on_its_own_layer_goes_to_the_outline_it_lies_behind():
    drawn = traced(
        [outline("key", KEYSTONE_FRONT), outline("plate", box(300, 0, 400, 100))],
        far=[outline("something", KEYSTONE_BACK)],
    )
    key, plate = make_pieces(job(), drawn)
    assert key.taper is not None
    assert key.taper.far == "something"
    assert key.taper.finished.section(1.0).equals(KEYSTONE_BACK)
    assert key.outline.contains(KEYSTONE_BACK)
    assert plate.taper is None


def test_a_face_drawn_beside_is_named_moved_behind_by_its_middle_and_makes_no_piece():
    front, back = outline("front", SQUARE), outline("back", box(1000, 0, 1100, 100))
    by_name = job(tapers=(TaperSettings(near="front", far="back", align="middles"),))
    (piece,) = make_pieces(by_name, traced([front, back]))
    assert piece.taper is not None
    assert piece.taper.finished.section(1.0).equals(box(50, 50, 150, 150))


def test_marks_place_the_far_face_and_say_what_belongs_together():
    back = box(1000, 0, 1100, 100)
    marks = (
        Mark(at=(-3.0, -3.0), text="1"),
        Mark(at=(1100.0, 0.0), text="1"),
        Mark(at=(200.0, 200.0), text="2"),
        Mark(at=(1000.0, 100.0), text="2"),
    )
    by_marks = job(tapers=(TaperSettings(near="front", far="back", align="marks"),))
    drawn = replace(traced([outline("front", SQUARE), outline("back", back)]), marks=marks)
    with pytest.raises(DrawingError, match="run against each other"):
        # Half a turn: the rulings would all meet in a point.
        make_pieces(
            by_marks,
            replace(
                drawn,
                marks=(
                    Mark(at=(0.0, 0.0), to=(1100.0, 100.0)),
                    Mark(at=(200.0, 200.0), to=(1000.0, 0.0)),
                ),
            ),
        )
    (piece,) = make_pieces(by_marks, replace(drawn, marks=tuple(
        replace(mark, at=(1100.0 - mark.at[0] % 1000, mark.at[1])) if mark.at[0] >= 1000 else mark
        for mark in marks
    )))  # fmt: skip
    assert piece.taper is not None
    partners = dict(zip(piece.taper.finished.near, piece.taper.finished.far, strict=True))
    near_first, near_second = (0.0, 0.0), (200.0, 200.0)
    assert math.dist(partners[near_first], partners[near_second]) == pytest.approx(
        math.hypot(100, 100)
    )


def test_a_draft_sets_every_side_in_alike():
    drafted = job(tapers=(TaperSettings(near="stone", draft_mm=20.0),))
    (piece,) = make_pieces(drafted, traced([outline("stone", SQUARE)]))
    assert piece.taper is not None
    assert piece.taper.finished.section(1.0).equals(box(20, 20, 180, 180))
    # tan 45 degrees times 60 mm.
    steep = job(thickness_mm=60, tapers=(TaperSettings(near="stone", draft_deg=-45.0),))
    (wider,) = make_pieces(steep, traced([outline("stone", SQUARE)]))
    assert wider.taper is not None
    assert wider.taper.finished.section(1.0).bounds == pytest.approx((-60, -60, 260, 260))


def test_the_allowance_stands_outside_both_faces():
    drawn = traced([outline("stone", SQUARE)], far=[outline("stone", box(50, 50, 150, 150))])
    (piece,) = make_pieces(job(allowance_mm=10.0), drawn)
    assert piece.taper is not None
    assert piece.taper.cut.section(0.0).equals(box(-10, -10, 210, 210))
    assert piece.taper.cut.section(1.0).equals(box(40, 40, 160, 160))


# --- Faults ------------------------------------------------------------------------


def test_a_draft_that_swallows_an_edge_is_refused_with_its_place():
    notched = SQUARE.difference(box(90, 100, 110, 200))
    drafted = job(tapers=(TaperSettings(near="stone", draft_mm=-15.0),))
    with pytest.raises(DrawingError, match=r"leaves no room .*") as told:
        make_pieces(drafted, traced([outline("stone", notched)]))
    assert "taper 'stone', near x" in str(told.value)


def test_faces_too_far_apart_are_told_to_be_placed():
    with pytest.raises(DrawingError, match="a ruling leans by"):
        make_pieces(
            job(tapers=(TaperSettings(near="front", far="back"),)),
            traced([outline("front", SQUARE), outline("back", box(2000, 0, 2100, 100))]),
        )


def test_a_far_face_that_lies_behind_nothing_is_told():
    with pytest.raises(DrawingError, match="lies behind no outline"):
        make_pieces(
            job(),
            traced([outline("front", SQUARE)], far=[outline("b", box(900, 0, 990, 90))]),
        )


def test_wrong_names_and_holes_are_told_all_at_once():
    wrong = job(
        tapers=(TaperSettings(near="nobody", far="none"), TaperSettings(near="s", draft_mm=5))
    )
    holed = SQUARE.difference(box(90, 90, 110, 110))
    with pytest.raises(SettingsError) as told:
        make_pieces(wrong, traced([outline("s", holed)]))
    text = str(told.value)
    assert "no outline is called 'nobody'" in text
    assert "no outline is called 'none'" in text
    assert "a taper cannot have holes" in text


def test_marks_that_stand_once_or_nowhere_near_are_told():
    drawn = traced([outline("s", SQUARE)], far=[outline("s", box(50, 50, 150, 150))])
    lone = replace(drawn, marks=(Mark(at=(0.0, 0.0), text="7"), Mark(at=(2000.0, 0.0), text="9")))
    with pytest.raises(DrawingError) as told:
        make_pieces(job(), lone)
    assert "the mark '7' stands 1 times" in str(told.value)
    assert "the mark '9' stands at no face" in str(told.value)
