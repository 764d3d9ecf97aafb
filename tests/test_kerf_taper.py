"""Tapers: volumes of known solids, and the slot measured in space against the ruled faces."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box
from shapely.affinity import rotate, scale, translate

from wirepath.errors import FitError
from wirepath.kerf import KerfLaw, stations
from wirepath.kerf.taper import TaperLine, taper_line
from wirepath.model import Ruled
from wirepath.tapering import paired
from wirepath.workshop import Cutting

CUTTING = Cutting(kerf_mm=3.0, feed_mm_per_s=5.0)
STEADY = KerfLaw(a_mm=3.0, b_mm2_per_s=1e-9)
"""A kerf of 3 mm at every feed, so that the slot has one radius."""

KEYSTONE_NEAR = Polygon([(40, 0), (160, 0), (200, 180), (0, 180)])
KEYSTONE_FAR = Polygon([(55, 10), (145, 10), (180, 170), (20, 170)])


def points_on_faces(ruled: Ruled, along: int = 12, deep: int = 9) -> np.ndarray:
    """Points (n, 3) on the ruled faces, z = 0 near, each facet sampled."""
    near, far = np.array(ruled.near), np.array(ruled.far)
    shares = np.linspace(0, 1, along, endpoint=False)[:, None, None]
    rims = [ring + shares * (np.roll(ring, -1, axis=0) - ring) for ring in (near, far)]
    found = []
    for depth in np.linspace(0, 1, deep):
        flat = (rims[0] + depth * (rims[1] - rims[0])).reshape(-1, 2)
        found.append(np.column_stack((flat, np.full(len(flat), depth * ruled.thickness_mm))))
    return np.concatenate(found)


def wires(line: Ruled, along: int = 48) -> tuple[np.ndarray, np.ndarray]:
    """The two ends of the wire, (n, 3) each, at many moments of its way."""
    ends = []
    for ring, z in ((line.near, 0.0), (line.far, line.thickness_mm)):
        corners = np.array(ring)
        shares = np.linspace(0, 1, along, endpoint=False)[:, None, None]
        way = (corners + shares * (np.roll(corners, -1, axis=0) - corners)).reshape(-1, 2)
        ends.append(np.column_stack((way, np.full(len(way), z))))
    return ends[0], ends[1]


def distances(points: np.ndarray, line: Ruled) -> np.ndarray:
    """Distance in space of each point from the nearest position of the wire, (n,)."""
    start, end = wires(line)
    along = end - start
    square = (along**2).sum(axis=1)
    least = np.full(len(points), np.inf)
    for a, d, q in zip(start, along, square, strict=True):
        share = np.clip((points - a) @ d / q, 0, 1)
        least = np.minimum(least, np.linalg.norm(points - (a + share[:, None] * d), axis=1))
    return least


def spared(ruled: Ruled, way: TaperLine, radius: float) -> None:
    """The slot never reaches 0.05 mm into the piece, and touches it along its faces."""
    gaps = distances(points_on_faces(ruled), way.line) - radius
    assert gaps.min() > -0.05
    # No ruling enters the piece: at every depth the wire runs outside the section.
    for share in np.linspace(0, 1, 11):
        section, wire = ruled.section(share), way.line.section(share)
        assert wire.is_valid
        assert wire.buffer(1e-6).contains(section)
        assert wire.exterior.distance(section) >= radius - 0.05
    # Positions are sampled, so a point between two of them is measured too far off.
    assert np.quantile(gaps, 0.25) < 0.05


# --- Pairing -----------------------------------------------------------------------


def test_a_frustum_has_the_volume_of_the_textbook():
    # Square pyramid's frustum: h/3 (A1 + A2 + sqrt(A1 A2)) = 300/3 (40000 + 10000 + 20000).
    ruled = paired(box(0, 0, 200, 200), box(50, 50, 150, 150), 300)
    assert len(ruled.near) == 4
    assert ruled.volume_mm3 == pytest.approx(300 / 3 * 70_000)


def test_a_cone_of_64_sides_has_the_volume_of_its_frustum():
    near, far = Point(0, 0).buffer(100, 16), Point(0, 0).buffer(60, 16)
    ruled = paired(near, far, 250)
    expected = 250 / 3 * (near.area + far.area + math.sqrt(near.area * far.area))
    assert ruled.volume_mm3 == pytest.approx(expected)


def test_a_turned_square_is_paired_so_that_the_wire_turns_least():
    far = rotate(box(50, 50, 150, 150), 20)
    ruled = paired(box(0, 0, 200, 200), far, 300)
    for near, partner in zip(ruled.near, ruled.far, strict=True):
        assert math.dist(near, partner) < 100


def test_every_corner_of_both_outlines_gets_a_partner():
    hexagon = Polygon(
        [(100 + 90 * math.cos(a), 100 + 90 * math.sin(a)) for a in np.arange(6) * math.pi / 3]
    )
    ruled = paired(box(0, 0, 200, 200), hexagon, 300)
    for ring, corners in ((ruled.near, box(0, 0, 200, 200)), (ruled.far, hexagon)):
        for corner in list(corners.exterior.coords)[:-1]:
            assert min(math.dist(corner, point) for point in ring) < 0.5


def test_marks_say_which_corners_belong_together():
    square = box(0, 0, 200, 200)
    marks = [((0.0, 0.0), (200.0, 0.0)), ((200.0, 200.0), (0.0, 200.0))]
    ruled = paired(square, square, 300, marks)
    partners = dict(zip(ruled.near, ruled.far, strict=True))
    assert partners[(0.0, 0.0)] == (200.0, 0.0)
    assert partners[(200.0, 200.0)] == (0.0, 200.0)


def test_marks_out_of_order_and_holes_are_refused():
    square = box(0, 0, 200, 200)
    swapped = [
        ((0.0, 0.0), (0.0, 0.0)),
        ((200.0, 0.0), (0.0, 200.0)),
        ((200.0, 200.0), (200.0, 200.0)),
        ((0.0, 200.0), (200.0, 0.0)),
    ]
    with pytest.raises(FitError, match="same order"):
        paired(square, square, 300, swapped)
    with pytest.raises(FitError, match="holes"):
        paired(square.difference(box(50, 50, 60, 60)), square, 300)


# --- The wire's way ----------------------------------------------------------------


def test_without_taper_the_way_is_the_plain_offset_with_sharp_corners():
    square = box(0, 0, 100, 100)
    way = taper_line(paired(square, square, 200), CUTTING)
    assert Polygon(way.line.near).equals(box(-1.5, -1.5, 101.5, 101.5))
    assert way.line.near == way.line.far
    assert way.near_feeds == way.far_feeds == (5.0,) * 4


def test_a_face_that_leans_by_45_degrees_is_kept_off_by_root_2_times_the_radius():
    ruled = paired(box(0, 0, 300, 300), box(100, 100, 200, 200), 100)
    way = taper_line(ruled, CUTTING, STEADY)
    west = min(x for x, _ in way.line.near)
    assert west == pytest.approx(-1.5 * math.sqrt(2), abs=1e-6)
    spared(ruled, way, 1.5)


def test_a_tapered_keystone_is_spared_and_touched():
    ruled = paired(KEYSTONE_NEAR, KEYSTONE_FAR, 300)
    way = taper_line(ruled, CUTTING, STEADY)
    spared(ruled, way, 1.5)


@settings(max_examples=15, deadline=None)
@given(
    size=st.floats(0.5, 1.6),
    turn=st.floats(-12, 12),
    shift=st.tuples(st.floats(-20, 20), st.floats(-20, 20)),
    kind=st.sampled_from(["keystone", "disc", "house"]),
)
def test_any_taper_is_spared(size, turn, shift, kind):
    near = {
        "keystone": KEYSTONE_NEAR,
        "disc": Point(100, 100).buffer(80, 8),
        "house": Polygon([(0, 0), (80, 0), (80, 60), (120, 60), (120, 0), (200, 0), (200, 120),
                          (100, 200), (0, 120)]),
    }[kind]  # fmt: skip
    far = translate(rotate(scale(near, size, size), turn), *shift)
    ruled = paired(near, far, 300)
    way = taper_line(ruled, CUTTING, STEADY)
    gaps = distances(points_on_faces(ruled), way.line) - 1.5
    assert gaps.min() > -0.05


def test_the_slower_end_is_kept_off_further_by_its_wider_slot():
    # Half as long a side goes half as fast: a + b / F = 0.4 + 13 / 2.5 = 5.6 mm.
    law = KerfLaw(a_mm=0.4, b_mm2_per_s=13.0)
    ruled = paired(box(0, 0, 200, 200), box(50, 50, 150, 150), 10_000)
    way = taper_line(ruled, CUTTING, law)
    assert min(x for x, _ in way.line.near) == pytest.approx(-(0.4 + 13 / 5) / 2, abs=1e-3)
    assert min(x for x, _ in way.line.far) == pytest.approx(50 - (0.4 + 13 / 2.5) / 2, abs=1e-3)
    assert max(way.near_feeds) == 5.0
    assert max(way.far_feeds) == pytest.approx(2.5, rel=0.05)


def test_both_ends_take_the_same_time():
    way = taper_line(paired(KEYSTONE_NEAR, KEYSTONE_FAR, 300), CUTTING)
    near, far = np.array(way.line.near), np.array(way.line.far)
    times = [
        np.hypot(*(np.roll(ring, -1, axis=0) - ring).T) / np.array(feeds)
        for ring, feeds in ((near, way.near_feeds), (far, way.far_feeds))
    ]
    assert times[0] == pytest.approx(times[1])


def test_a_point_at_one_end_is_refused_since_the_wire_would_stand():
    with pytest.raises(FitError, match="burn a hole"):
        taper_line(paired(box(0, 0, 200, 200), box(99, 99, 101, 101), 300), CUTTING)


def test_a_hollow_tighter_than_the_kerf_is_refused():
    notched = box(0, 0, 100, 100).difference(box(49, 50, 51, 101))
    with pytest.raises(FitError, match="too tight for the kerf"):
        taper_line(paired(notched, notched, 300), CUTTING)


def test_a_sharp_tip_is_cut_across_and_spared():
    dart = Polygon([(0, 0), (200, 15), (0, 30)])
    ruled = paired(dart, translate(dart, 5, 0), 300)
    way = taper_line(ruled, CUTTING, STEADY)
    assert max(x for x, _ in way.line.near) < 200 + 3
    assert (distances(points_on_faces(ruled), way.line) - 1.5).min() > -0.05


# --- Stations --------------------------------------------------------


def test_stations_count_from_nought_stand_at_all_corners_and_close():
    ruled = paired(box(0, 0, 200, 200), box(50, 50, 150, 150), 300)
    marks = stations(ruled, every_mm=50)
    # Four sides of 200 mm, four steps each, and the first again at the end.
    assert [mark.number for mark in marks] == list(range(17))
    assert [mark.number for mark in marks if mark.corner] == [0, 4, 8, 12, 16]
    assert marks[0].near == marks[-1].near
    assert math.dist(marks[1].near, marks[0].near) == pytest.approx(50)
    assert math.dist(marks[1].far, marks[0].far) == pytest.approx(25)
