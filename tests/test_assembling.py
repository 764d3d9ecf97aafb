"""Parted forms put together again: order of gluing, marks that tell ends apart, pins in foam."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, box

from wirepath.assembling import assemble, glue_steps, pins, seam_marks
from wirepath.model import LaterWire, Level, Piece, Pin, Seam
from wirepath.sectioning import seams
from wirepath.slicing import Core, StackedCore
from wirepath.workshop import Glue

GLUE = Glue()
"""Pins of 8 x 160 mm, covered by 20 mm: 24 mm from their axis."""


def piece(number: int, shape: Polygon, thick: float = 200.0, low: float = 0.0) -> Piece:
    return Piece(
        number=number,
        name=f"Form.{number}",
        part="Form",
        finished=shape,
        outline=shape,
        thickness_mm=thick,
        allowance_mm=0.0,
        foam="EPS 15",
        section_of="Form",
        from_mm=low,
    )


def cores(shape: Polygon, thick: float) -> dict[str, Core]:
    return {"Form": StackedCore((Level(from_mm=0.0, to_mm=thick, region=shape),))}


def wall(*, layers: int = 1) -> list[Piece]:
    """Two rows of two and three pieces, 1200 x 800 mm, on as many layers as asked."""
    shapes = [
        box(0, 0, 600, 400),
        box(600, 0, 1200, 400),
        box(0, 400, 400, 800),
        box(400, 400, 800, 800),
        box(800, 400, 1200, 800),
    ]
    return [
        piece(1 + k + 5 * at, shape, low=200.0 * at)
        for at in range(layers)
        for k, shape in enumerate(shapes)
    ]


WALL = wall()


def found_pins(
    parts: Sequence[Piece], thick: float, **later: Sequence[LaterWire]
) -> tuple[Pin, ...]:
    met = seams(parts)
    shape = shapely.union_all([one.outline for one in parts])
    assert isinstance(shape, Polygon)
    return pins(parts, met, glue_steps(parts, met), cores(shape, thick), GLUE, later=later)


# --- Order -----------------------------------------------------------------------------


def test_pieces_of_a_row_come_first_then_row_on_row() -> None:
    steps = glue_steps(WALL, seams(WALL))
    assert [(step.moved, step.onto) for step in steps] == [
        ((2,), (1,)),
        ((4,), (3,)),
        ((5,), (3, 4)),
        ((3, 4, 5), (1, 2)),
    ]


def test_layer_comes_on_layer_when_both_are_whole() -> None:
    parts = wall(layers=2)
    last = glue_steps(parts, seams(parts))[-1]
    assert (last.moved, last.onto) == ((6, 7, 8, 9, 10), (1, 2, 3, 4, 5))


def test_every_seam_is_closed_in_one_step() -> None:
    parts = wall(layers=3)
    met = seams(parts)
    closed = [number for step in glue_steps(parts, met) for number in step.seams]
    assert sorted(closed) == list(range(1, len(met) + 1))


def test_a_piece_that_bridges_two_lumps_takes_two_steps() -> None:
    # Two posts that do not touch, and a lintel on both.
    posts = [piece(1, box(0, 0, 200, 400)), piece(2, box(800, 0, 1000, 400))]
    parts = [*posts, piece(3, box(0, 400, 1000, 600))]
    steps = glue_steps(parts, seams(parts))
    assert [(step.moved, step.onto) for step in steps] == [((3,), (1,)), ((2,), (1, 3))]


# --- Marks -----------------------------------------------------------------------------


def test_marks_stand_at_a_fifth_and_three_fifths_from_the_left_or_lower_end() -> None:
    first, second = seam_marks(seams(WALL))[:2]  # between pieces 1 and 2: x 600, 400 mm long
    assert (first.along_mm, *first.at) == pytest.approx((80.0, 600.0, 80.0))
    assert (second.along_mm, *second.at) == pytest.approx((240.0, 600.0, 240.0))
    assert first.across_deg == pytest.approx(0.0)


@given(length=st.floats(25.0, 5000.0))
def test_marks_tell_a_piece_turned_end_for_end(length: float) -> None:
    seam = Seam(
        pieces=(1, 2), kind="edge", place=LineString([(0, 0), (length, 0)]), from_mm=0, to_mm=100
    )
    along = np.array([mark.along_mm for mark in seam_marks([seam])])
    turned = length - along
    assert np.abs(turned[:, None] - along).min(axis=1).max() >= 4.0


def test_a_layers_marks_stand_on_the_rim_of_the_area() -> None:
    parts = [piece(1, box(0, 0, 600, 600)), piece(2, box(100, 100, 300, 200), low=200.0)]
    marks = seam_marks(seams(parts))
    rim = box(100, 100, 300, 200).exterior
    assert [rim.distance(shapely.Point(mark.at)) for mark in marks] == pytest.approx([0, 0])


def test_a_seam_too_short_for_two_marks_has_none() -> None:
    parts = [piece(1, box(0, 0, 100, 20)), piece(2, box(100, 0, 200, 20))]
    assert seam_marks(seams(parts)) == ()


# --- Pins ------------------------------------------------------------------------------


def test_pins_go_straight_across_a_seam_in_the_middle_of_its_height() -> None:
    parts = [piece(1, box(0, 0, 500, 400)), piece(2, box(500, 0, 1000, 400))]
    first, second = found_pins(parts, 200.0)
    # 24 mm from either end of 400: the nearest tens are 30 and 370.
    assert (first.along_mm, second.along_mm) == (30.0, 370.0)
    assert np.sort([first.start, first.end], axis=0) == pytest.approx(
        np.array([(420.0, 30.0, 100.0), (580.0, 30.0, 100.0)])
    )


def test_thin_foam_takes_no_pins_and_narrow_pieces_shorter_ones() -> None:
    thin = [piece(1, box(0, 0, 500, 400), 40.0), piece(2, box(500, 0, 1000, 400), 40.0)]
    assert found_pins(thin, 40.0) == ()
    narrow = [piece(1, box(0, 0, 500, 400)), piece(2, box(500, 0, 580, 400))]
    # 80 mm of foam: 20 mm of cover, so half a pin of 60 mm at most, a pin of 120.
    lengths = {abs(pin.end[0] - pin.start[0]) for pin in found_pins(narrow, 200.0)}
    assert lengths == {80.0}


def test_pins_between_layers_stand_upright_and_far_apart() -> None:
    parts = [piece(1, box(0, 0, 600, 400)), piece(2, box(0, 0, 600, 400), low=200.0)]
    found = found_pins(parts, 400.0)
    assert [(pin.start[2], pin.end[2]) for pin in found] == [(120.0, 280.0)] * 2
    assert np.hypot(*np.subtract(found[0].start[:2], found[1].start[:2])) > 500


def test_a_layer_that_lies_on_a_strip_narrower_than_a_pins_cover_gets_none() -> None:
    parts = [piece(1, box(0, 0, 600, 400)), piece(2, box(560, 0, 900, 400), low=200.0)]
    assert found_pins(parts, 400.0) == ()


def test_pins_keep_off_a_wire_that_cuts_after_gluing() -> None:
    parts = [piece(1, box(0, 0, 500, 400)), piece(2, box(500, 0, 1000, 400))]
    wire = LineString([(-10, 350), (1010, 350)])
    found = found_pins(parts, 200.0, Form=[LaterWire(lines=wire)])
    # 350 less 50 less half of 8, down to a ten.
    assert max(pin.start[1] for pin in found) == pytest.approx(290.0)
    # A wire that lies along x, 30 mm over the middle: seen along it, pins are points.
    over = LaterWire(
        lines=LineString([(0, 130), (400, 130)]), right=(0.0, 1.0, 0.0), up=(0.0, 0.0, 1.0)
    )
    found = found_pins(parts, 200.0, Form=[over])
    # 50 and half of 8 below it, in steps of 20 from the middle.
    assert [pin.start[2] for pin in found] == [60.0, 60.0]
    assert found_pins(parts, 184.0, Form=[over])[0].start[2] < 92.0
    assert (
        found_pins(parts, 96.0, Form=[replace(over, lines=LineString([(0, 50), (400, 50)]))]) == ()
    )


def test_a_wire_that_slants_over_a_seam_leaves_pins_at_two_heights() -> None:
    parts = [piece(1, box(0, 0, 500, 400), 300.0), piece(2, box(500, 0, 1000, 400), 300.0)]
    over = LaterWire(
        lines=LineString([(0, 60), (200, 150), (400, 240)]),
        right=(0.0, 1.0, 0.0),
        up=(0.0, 0.0, 1.0),
    )
    found = found_pins(parts, 300.0, Form=[over])
    (low, high) = sorted(found, key=lambda pin: pin.start[1])
    line = over.lines
    assert high.start[1] - low.start[1] > 300
    for pin in found:
        assert line.distance(shapely.Point(pin.start[1:])) >= 54.0


def test_pins_of_a_relief_stay_where_foam_stands_for_sure() -> None:
    base, knoll = box(0, 0, 1000, 400), box(200, 0, 800, 200)
    parts = [piece(1, box(0, 0, 500, 400), 150.0), piece(2, box(500, 0, 1000, 400), 150.0)]
    met = seams(parts)
    steep = StackedCore(
        (
            Level(from_mm=0.0, to_mm=100.0, region=base),
            Level(from_mm=100.0, to_mm=150.0, region=knoll),
        )
    )
    found = pins(parts, met, glue_steps(parts, met), {"Form": steep}, GLUE, later={})
    # Only the contour at 100 mm tells where foam stands: y to 200, and z to 100.
    assert max(pin.start[1] for pin in found) <= 200 - 24
    assert max(pin.start[2] for pin in found) <= 100 - 24


def test_pins_of_one_step_are_parallel_though_its_seams_are_not() -> None:
    # The upper row meets the lower one along a step: two level seams and a short upright one.
    low = [piece(1, box(0, 0, 500, 300)), piece(2, box(500, 0, 1000, 500))]
    upper = Polygon([(0, 300), (500, 300), (500, 500), (1000, 500), (1000, 900), (0, 900)])
    found = found_pins([*low, piece(3, upper)], 200.0)
    met = seams([*low, piece(3, upper)])
    last = glue_steps([*low, piece(3, upper)], met)[-1]
    ways = [np.subtract(pin.end, pin.start) for pin in found if pin.seam in last.seams]
    assert len(ways) >= 2
    assert all(np.allclose(np.cross(ways[0], way), 0.0) for way in ways)


@settings(max_examples=15, deadline=None)
@given(
    cuts=st.lists(st.integers(1, 23), min_size=1, max_size=4, unique=True),
    slant=st.integers(-150, 150),
    thick=st.integers(60, 500),
)
def test_pins_of_any_row_lie_in_their_pieces_and_apart(
    cuts: list[int], slant: int, thick: int
) -> None:
    places = [0, *(100 * cut for cut in sorted(cuts)), 2400]
    lean = [0, *([slant] * len(cuts)), 0]
    parts = [
        piece(
            k,
            Polygon([(a, 0), (b, 0), (b + j, 700), (a + i, 700)]),
            float(thick),
        )
        for k, (a, b, i, j) in enumerate(
            zip(places[:-1], places[1:], lean[:-1], lean[1:], strict=True), 1
        )
        if Polygon([(a, 0), (b, 0), (b + j, 700), (a + i, 700)]).is_valid
    ]
    if len(parts) != len(places) - 1 or any(one.outline.area < 1e4 for one in parts):
        return
    met = seams(parts)
    whole = shapely.union_all([one.outline for one in parts])
    made = assemble(parts, met, cores(whole, float(thick)), GLUE)  # type: ignore[arg-type]
    for pin in made.pins:
        axis = LineString([pin.start[:2], pin.end[:2]])
        both = shapely.union_all([parts[n - 1].outline for n in met[pin.seam - 1].pieces])
        assert both.buffer(0.01).contains(axis.buffer(23.9))
    axes = [LineString([pin.start[:2], pin.end[:2]]) for pin in made.pins]
    assert all(a.distance(b) >= 27.9 for k, a in enumerate(axes) for b in axes[:k])


def test_pieces_that_stand_alone_need_no_assembly() -> None:
    alone = replace(WALL[0], section_of=None)
    assert assemble([alone], (), cores(alone.outline, 200.0), GLUE).steps == ()
