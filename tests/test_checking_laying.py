"""Promise 1, each fault shown: pieces inside the block less trim, and apart."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_checking_specimen import LAYOUT, PLAN, told, with_cutting, with_layout

from wirepath.checking.laying import check_laying
from wirepath.checking.scene import Scene, scenes
from wirepath.model import Placement

FRAME, BAR = LAYOUT.placements


def test_a_piece_a_tenth_over_the_trim_is_told_with_its_side() -> None:
    moved = Placement(piece=1, x_mm=9.9, y_mm=20)
    assert told(with_layout(placements=(moved, BAR)), 1) == (
        "layout 1, piece 1: the piece reaches 0.100 mm over the trimmed left edge"
    )


@pytest.mark.parametrize(
    ("x", "y", "side"),
    [(290.001, 20, "right"), (20, 9.999, "lower"), (20, 190.001, "upper")],
)
def test_every_edge_of_the_trimmed_face_holds_to_a_micron(x: float, y: float, side: str) -> None:
    apart = Placement(piece=2, x_mm=200 if x > 250 else 360, y_mm=-100, angle_deg=90)
    plan = with_layout(placements=(Placement(piece=1, x_mm=x, y_mm=y), apart))
    assert told(plan, 1) == (
        f"layout 1, piece 1: the piece reaches 0.001 mm over the trimmed {side} edge"
    )


def test_a_piece_that_touches_the_trim_is_inside() -> None:
    touching = Placement(piece=1, x_mm=10, y_mm=10)
    assert told(with_layout(placements=(touching, BAR)), 1) == ""


def test_pieces_at_the_clearance_exactly_are_far_enough_apart() -> None:
    # The bar lies from x 130: 10 mm from the frame's right side at 120.
    nearer = Placement(piece=2, x_mm=190, y_mm=-100, angle_deg=90)
    assert told(with_layout(placements=(FRAME, nearer)), 1) == ""


def test_pieces_a_tenth_too_close_are_told_with_the_gap() -> None:
    nearer = Placement(piece=2, x_mm=189.9, y_mm=-100, angle_deg=90)
    assert told(with_layout(placements=(FRAME, nearer)), 1) == (
        "layout 1, piece 1, near x 120.0, y 120.0 mm: stands 9.900 mm from piece 2; "
        "10.000 mm are needed"
    )


def test_overlapping_pieces_are_told() -> None:
    over = Placement(piece=2, x_mm=150, y_mm=-100, angle_deg=90)
    assert "overlaps piece 2" in told(with_layout(placements=(FRAME, over)), 1)


def test_a_wider_web_asks_for_more_clearance() -> None:
    assert told(with_cutting(web_mm=18), 1) == ""
    # 20 mm lie between frame and bar; kerf 2 + web 18.1 asks for 20.1.
    assert "20.100 mm are needed" in told(with_cutting(web_mm=18.1), 1)


def test_a_piece_in_the_hole_of_another_keeps_its_distance_to_the_hole() -> None:
    # The bar is 60 x 100, the hole 40 x 40: it cannot lie there without overlap.
    inside = Placement(piece=2, x_mm=-90, y_mm=20)
    assert "overlaps piece 2" in told(with_layout(placements=(FRAME, inside)), 1)


@settings(max_examples=60, deadline=None)
@given(
    angle=st.floats(0, 360),
    gap=st.floats(0.01, 40),
    flipped=st.booleans(),
)
def test_the_gap_between_turned_pieces_is_the_one_trigonometry_gives(
    angle: float, gap: float, flipped: bool
) -> None:
    """The lowest corner of a turned 100 x 60 mm bar, by sine and cosine, above the frame."""
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    corners = [
        ((-x if flipped else x) * cos - y * sin, (-x if flipped else x) * sin + y * cos)
        for x in (120, 220)
        for y in (0, 60)
    ]
    low_x, low_y = min(corners, key=lambda corner: corner[1])
    bar = Placement(
        piece=2,
        x_mm=70 - low_x,
        y_mm=120 + gap - low_y,
        angle_deg=angle,
        flipped=flipped,
    )
    finding = check_laying(_scenes(FRAME, bar), 10, 2)
    tight = [fault.what for fault in finding.faults if "needed" in fault.what]
    if gap < 10 - 1e-6:
        assert tight == [f"stands {gap:.3f} mm from piece 2; 10.000 mm are needed"]
    else:
        assert tight == []


def _scenes(*placements: Placement) -> tuple[Scene, ...]:
    plan = with_layout(placements=placements)
    assert plan.pieces == PLAN.pieces
    return scenes(plan)
