"""What a leaning wire leaves on a taper, on its faces and between: bounded, told, proved."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import scale
from taper_specimens import KEYSTONE_BACK, KEYSTONE_FRONT, job, outline, shop, star, traced

from wirepath.checking.misses import check_misses
from wirepath.checking.scene import layout_scenes
from wirepath.errors import FitError
from wirepath.kerf.taper import taper_line
from wirepath.kerf.taper_misses import taper_miss
from wirepath.model import Ruled
from wirepath.planning import make_plan
from wirepath.tapering import paired
from wirepath.workshop import Cutting

HOOK = ((0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (50.0, 50.0), (50.0, 100.0), (0.0, 100.0))
STEADY = Cutting(kerf_mm=3.0, kerf_base_mm=3.0, feed_mm_per_s=5.0)


@cache
def keyed():
    drawn = traced([outline("key", KEYSTONE_FRONT)], far=[outline("key", KEYSTONE_BACK)])
    return make_plan(job(), shop(kerf_mm=3.0), drawn, seconds=0.0)


def faults(one):
    first = next(layout_scenes(one, one.layouts[0]))
    return [str(fault) for fault in check_misses(one, [first]).faults]


def test_a_square_inner_corner_of_a_prism_is_missed_as_if_it_were_no_taper():
    # (sqrt 2 - 1) half kerfs, by Pythagoras.
    miss, at = taper_miss(Ruled(near=HOOK, far=HOOK, thickness_mm=200.0), STEADY)
    assert miss == pytest.approx((math.sqrt(2) - 1) * 1.5, abs=0.001)
    assert at == pytest.approx((50, 50), abs=1)


def test_a_prism_without_inner_corners_is_missed_nowhere():
    ring = ((0.0, 0.0), (100.0, 0.0), (120.0, 90.0), (0.0, 100.0))
    assert taper_miss(Ruled(near=ring, far=ring, thickness_mm=200.0), STEADY)[0] < 1e-9


@settings(max_examples=5, deadline=None)
@given(rng=st.randoms(use_true_random=False))
def test_no_point_of_the_faces_at_any_depth_is_missed_by_more_than_is_told(rng):
    try:
        ruled = paired(star(rng, 8, 120.0, 0.3), star(rng, 8, 100.0, 0.2), 250.0)
        line = taper_line(ruled, STEADY).line
    except FitError:
        return
    told, _ = taper_miss(ruled, STEADY)
    worst = 0.0
    # Depths and points that are no bounds of cells, measured by distances of flat sections.
    for share in np.linspace(0, 1, 24):
        wire = line.section(float(share)).exterior
        points = shapely.points(ruled.section(float(share)).exterior.segmentize(0.7).coords)
        worst = max(worst, float(shapely.distance(wire, points).max()) - 1.5)
    assert worst - 1e-6 <= told <= worst + 0.2


def test_the_miss_of_a_taper_is_told_and_measured_again_from_the_passes():
    made = keyed()
    assert [miss.piece for miss in made.misses] == [1]
    assert faults(made) == []


def test_a_taper_s_miss_told_too_small_or_a_far_end_that_keeps_off_is_found():
    made = keyed()
    (miss,) = made.misses
    more = replace(made, misses=(replace(miss, miss_mm=miss.miss_mm + 0.5),))
    assert "piece 1" in faults(more)[0]
    passes = tuple(
        replace(
            one,
            moves=tuple(
                replace(move, far=scale(move.far, 1.03, 1.03))
                if move.far is not None and move.kind == "outline"
                else move
                for move in one.moves
            ),
        )
        for one in made.passes
    )
    assert "the slot misses it by" in faults(replace(made, passes=passes))[0]
