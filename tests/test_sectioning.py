"""What fits no block is told at once, and nothing is refused that fits."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.affinity import rotate

from wirepath.errors import FitError
from wirepath.fitting import fits, refuse_misfits
from wirepath.model import Piece, Turning
from wirepath.workshop import Workshop


def piece(
    width: float, height: float, thick: float, turning: Turning = "quarter", number: int = 1
) -> Piece:
    shape = box(0, 0, width, height)
    return Piece(
        number=number,
        name=f"P{number}",
        part=f"P{number}",
        finished=shape,
        outline=shape,
        thickness_mm=thick,
        allowance_mm=0.0,
        foam="EPS 15",
        turning=turning,
    )


def test_a_block_filled_to_its_faces_is_not_refused(workshop: Workshop) -> None:
    refuse_misfits([piece(1000, 500, 200), piece(500, 1000, 200), piece(1000, 200, 500)], workshop)


def test_all_pieces_too_large_are_told_at_once_with_the_block_s_room(workshop: Workshop) -> None:
    pieces = [piece(1001, 400, 200), piece(100, 100, 100, number=2), piece(600, 600, 10, number=3)]
    with pytest.raises(FitError) as caught:
        refuse_misfits(pieces, workshop)
    assert [fault.where for fault in caught.value.faults] == ["piece 1 'P1'", "piece 3 'P3'"]
    assert "1001.0 x 400.0 x 200 mm thick fits no block" in caught.value.faults[0].what
    assert "block: usable face 1000 x 500 mm" in caught.value.faults[0].what


def test_copies_are_told_once(workshop: Workshop) -> None:
    pieces = [replace(piece(2000, 400, 200), number=number) for number in (1, 2, 3)]
    with pytest.raises(FitError) as caught:
        refuse_misfits(pieces, workshop)
    assert [fault.where for fault in caught.value.faults] == ["piece 1 'P1'"]


def test_trim_counts_on_every_face(workshop: Workshop) -> None:
    trimmed = replace(workshop, stock=(replace(workshop.stock[0], trim_mm=10.0),))
    refuse_misfits([piece(980, 480, 180)], trimmed)
    for too_big in (piece(981, 480, 180), piece(980, 481, 180), piece(980, 480, 181)):
        with pytest.raises(FitError):
            refuse_misfits([too_big], trimmed)


def test_a_turning_that_would_help_is_advised(workshop: Workshop) -> None:
    with pytest.raises(FitError, match="turning = 'quarter' lets it fit"):
        refuse_misfits([piece(400, 900, 200, "none")], workshop)


def test_a_wire_shorter_than_the_piece_is_thick_is_told(workshop: Workshop) -> None:
    short = replace(workshop, wire=replace(workshop.wire, length_mm=150.0))
    with pytest.raises(FitError, match="the wire, 150 mm long, is shorter"):
        refuse_misfits([piece(400, 400, 200)], short)


def test_a_foam_without_stock_is_told(workshop: Workshop) -> None:
    with pytest.raises(FitError, match="no stock of foam 'XPS'"):
        refuse_misfits([replace(piece(10, 10, 10), foam="XPS")], workshop)


# --- Fitting at any angle -------------------------------------------------------------


def test_a_bar_longer_than_the_face_fits_across_its_diagonal() -> None:
    # Published for rectangles (Carver 1957, Amer. Math. Monthly 64(3), from memory): p x q,
    # p > a, goes into a x b when b >= (2 p q a + (p^2 - q^2) sqrt(p^2 + q^2 - a^2)) / (p^2 + q^2).
    p, q, a = 1050.0, 20.0, 1000.0
    least = (2 * p * q * a + (p**2 - q**2) * math.sqrt(p**2 + q**2 - a**2)) / (p**2 + q**2)
    bar = box(0, 0, p, q)
    assert fits(bar, "any", a, least + 0.001)
    assert not fits(bar, "any", a, least - 0.001)
    assert not fits(bar, "quarter", a, least + 0.001)


triangles = st.lists(
    st.tuples(st.floats(-300, 300), st.floats(-300, 300)), min_size=3, max_size=7, unique=True
).map(lambda points: shapely.MultiPoint(points).convex_hull)


@settings(max_examples=60, deadline=None)
@given(shape=triangles, width=st.floats(50, 500), height=st.floats(50, 500))
def test_no_angle_found_by_trying_many_is_missed(
    shape: Polygon, width: float, height: float
) -> None:
    if not isinstance(shape, Polygon):
        return
    tried = [rotate(shape, angle).bounds for angle in np.arange(0.0, 180.0, 1.0)]
    by_trying = any(x1 - x0 <= width and y1 - y0 <= height for x0, y0, x1, y1 in tried)
    assert fits(shape, "any", width, height) or not by_trying


@settings(max_examples=60, deadline=None)
@given(shape=triangles, angle=st.floats(0, 180))
def test_a_shape_fits_the_box_around_it_at_any_angle(shape: Polygon, angle: float) -> None:
    if not isinstance(shape, Polygon):
        return
    x0, y0, x1, y1 = rotate(shape, angle).bounds
    assert fits(shape, "any", x1 - x0, y1 - y0)
    # The area is the least any box can have, so a smaller box must be refused.
    side = 0.999 * math.sqrt(shape.area)
    assert not fits(shape, "any", side, side)
