"""Minkowski differences: where one outline meets another that is shifted."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Geometry, Point, Polygon, box

from wirepath import overlay
from wirepath.nesting import minkowski
from wirepath.nesting.minkowski import difference_of, work
from wirepath.nesting.regions import Regions
from wirepath.nesting.shapes import Turn, turned_variants
from wirepath.nesting.solids import Solid

BY_PARTS, BY_EDGES = 0.0, math.inf


def both_ways(one: Geometry, other: Geometry) -> tuple[Geometry, Geometry]:
    """Return the difference by convex parts, and by the edges that can touch."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(minkowski, "SEGMENTS_EACH", BY_PARTS)
        by_parts = difference_of(Solid(outline=one), Solid(outline=other))
        patch.setattr(minkowski, "SEGMENTS_EACH", BY_EDGES)
        return by_parts, difference_of(Solid(outline=one), Solid(outline=other))


def star(corners: int, low: float, seed: int) -> Polygon:
    chance = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * math.pi, corners, endpoint=False)
    reach = chance.uniform(low, 300, corners)
    return Polygon(np.column_stack([reach * np.cos(angle), reach * np.sin(angle)]))


def comb(teeth: int) -> Geometry:
    return overlay.union(
        [box(0, 0, 20 * teeth, 10)] + [box(20 * k, 0, 20 * k + 8, 60 + k) for k in range(teeth)]
    )


@settings(max_examples=40, deadline=None)
@given(
    st.integers(3, 24), st.integers(3, 24), st.floats(20, 300), st.booleans(), st.integers(0, 10**6)
)
def test_edges_that_can_touch_and_convex_parts_give_the_same_difference(
    corners: int, others: int, low: float, hollow: bool, seed: int
) -> None:
    one, other = star(corners, low, seed), star(others, low, seed + 1)
    if hollow:
        one = one.difference(Point(0, 0).buffer(15, quad_segs=2))
        other = shapely.transform(other, lambda points: points / 20)
    by_parts, by_edges = both_ways(one, other)
    assert overlay.symmetric_difference(by_parts, by_edges).area < 1e-4


def test_combs_that_fit_into_each_other_meet_alike_by_edges_and_by_parts() -> None:
    by_parts, by_edges = both_ways(comb(6), shapely.transform(comb(5), np.negative))
    hull = shapely.convex_hull(by_parts)
    assert by_parts.area < 0.98 * hull.area  # teeth reach in between teeth
    assert overlay.symmetric_difference(by_parts, by_edges).area < 1e-6


@pytest.mark.parametrize("way", [0, 1])
def test_a_triangle_meets_itself_over_six_times_its_area(way: int) -> None:
    # Rogers and Shephard 1957, "The difference body of a convex body": the volume of the
    # difference body is at most (2n over n) that of the body, and just that for a simplex.
    triangle = Polygon([(3, 1), (80, 12), (31, 64)])
    assert both_ways(triangle, triangle)[way].area == pytest.approx(6 * triangle.area)


def test_a_bar_fits_in_a_hole_wherever_its_middle_has_room() -> None:
    frame = box(0, 0, 300, 200).difference(box(50, 50, 250, 150))
    _, by_edges = both_ways(frame, box(-40, -10, 40, 10))
    (hole,) = by_edges.interiors if isinstance(by_edges, Polygon) else by_edges.geoms[0].interiors
    assert Polygon(hole).equals(box(90, 60, 210, 140))


def test_the_cheaper_of_both_ways_is_taken_and_its_work_told() -> None:
    round_one, toothed = Solid(outline=star(40, 280, 1)), Solid(outline=comb(8))
    assert work(round_one, round_one) < len(round_one.parts) ** 2
    assert work(toothed, toothed) == len(toothed.parts) ** 2


def test_a_region_seen_from_the_other_piece_is_the_same_mirrored_and_no_more_work() -> None:
    turns = [Turn(0.0), Turn(90.0)]
    regions = Regions(
        [turned_variants(star(9, 100, seed), turns) for seed in (1, 2)], clearance_mm=5.0
    )
    there = regions(3, 0)
    before = regions.work
    back = regions(0, 3)
    assert regions.work == before > 0
    assert shapely.transform(back, np.negative).equals(there)
