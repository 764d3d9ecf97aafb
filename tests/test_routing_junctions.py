"""Junctions against what is known of Fermat points and Steiner trees."""

from __future__ import annotations

import math

import networkx
import numpy as np
import pytest
from foam_layouts import CUTTING, laid, scattered
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, box

from wirepath.kerf import wire_lines
from wirepath.routing import route
from wirepath.routing.junctions import fermat_points, with_junctions

corner = st.tuples(st.integers(-100, 100), st.integers(-100, 100))


@given(corners=st.lists(corner, min_size=3, max_size=3))
def test_no_point_nearby_is_nearer_to_the_three_corners_than_the_fermat_point(corners):
    points = np.array([corners], dtype=float)
    (found,) = fermat_points(points)

    def total(at: np.ndarray) -> float:
        return float(np.hypot(*(points[0] - at).T).sum())

    for angle in np.linspace(0, 2 * np.pi, 12, endpoint=False):
        for step in (0.01, 1.0, 10.0):
            beside = found + step * np.array([math.cos(angle), math.sin(angle)])
            assert total(found) <= total(beside) + 1e-7


def test_the_arms_of_a_star_meet_at_120_degrees():
    # Torricelli: from the Fermat point every side is seen under 120 degrees.
    corners = np.array([[(0, 0), (10, 1), (3, 8)]], dtype=float)
    (middle,) = fermat_points(corners)
    arms = corners[0] - middle
    headings = np.sort(np.degrees(np.arctan2(arms[:, 1], arms[:, 0])) % 360)
    assert np.diff(headings) == pytest.approx([120, 120])


def test_an_equilateral_triangle_reaches_the_steiner_ratio():
    # Gilbert and Pollak 1968: star / tree = sqrt(3) / 2 for three points.
    side = 200.0
    corners = [(0.0, 0.0), (side, 0.0), (side / 2, side * math.sqrt(3) / 2)]
    bodies = {i: Point(at) for i, at in enumerate(corners)}
    edges = [(0, 1, corners[0], corners[1]), (1, 2, corners[1], corners[2])]
    star = with_junctions(edges, bodies, -2)
    assert {edge[1] for edge in star} == {-2}
    length = sum(math.dist(edge[2], edge[3]) for edge in star)
    assert length == pytest.approx(2 * side * math.sqrt(3) / 2)


def test_a_square_of_four_points_gets_two_junctions():
    # The Steiner tree of a unit square is 1 + sqrt(3) long, with two junctions.
    corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
    bodies = {i: Point(at) for i, at in enumerate(corners)}
    edges = [(i, i + 1, corners[i], corners[i + 1]) for i in range(3)]
    tree = with_junctions(edges, bodies, -2)
    length = sum(math.dist(edge[2], edge[3]) for edge in tree)
    assert length < 300 * 0.93
    assert length >= 100 * (1 + math.sqrt(3)) - 1e-6


def test_an_arm_never_crosses_a_body():
    # A wall stands where the star's middle would be.
    corners = [(0.0, 0.0), (200.0, 0.0), (100.0, 173.0)]
    bodies = {i: Point(at) for i, at in enumerate(corners)}
    bodies[3] = LineString([(100, 30), (100, 150)])
    edges = [
        (0, 1, corners[0], corners[1]),
        (1, 2, corners[1], corners[2]),
        (2, 3, corners[2], (100.0, 150.0)),
    ]
    for _, junction, end, middle in with_junctions(edges, bodies, -2):
        if junction <= -2:
            assert not LineString([end, middle]).crosses(bodies[3])


def test_small_pieces_far_apart_are_joined_by_a_star():
    # Three discs on a triangle of 300 mm in a block too large to enter thrice.
    middles = [(1000, 1000), (1300, 1000), (1150, 1000 + 150 * math.sqrt(3))]
    layout, pieces = laid([Point(at).buffer(8, 16) for at in middles], 2300, 2300)
    (one,) = route(layout, wire_lines(layout, pieces, CUTTING), pieces, CUTTING)
    links = [move for move in one.moves if move.kind == "link"]
    total = sum(move.line.length for move in links)
    assert len(links) == 3
    assert total == pytest.approx(3 * (300 / math.sqrt(3) - 9.5), abs=0.1)


@pytest.mark.parametrize("seed", range(6))
def test_links_are_never_longer_than_the_exact_minimum_spanning_tree(seed):
    # networkx, Kruskal over all pairs; nodes: lines and the outside of the block.
    layout, pieces = scattered(4 + 3 * seed, seed=seed)
    lines = [line for line in wire_lines(layout, pieces, CUTTING) if not line.is_hole]
    graph = networkx.Graph()
    edge = box(0, 0, layout.width_mm, layout.height_mm).boundary
    for i, line in enumerate(lines):
        graph.add_edge("outside", i, weight=edge.distance(line.ring))
        for j in range(i):
            graph.add_edge(j, i, weight=lines[j].ring.distance(line.ring))
    exact = networkx.minimum_spanning_tree(graph).size(weight="weight")
    (one,) = route(layout, wire_lines(layout, pieces, CUTTING), pieces, CUTTING)
    ours = sum(move.line.length for move in one.moves if move.kind in ("link", "entry"))
    # Points are rounded to 0.001 mm.
    assert ours <= exact + 0.002 * len(lines)
    assert ours > exact * math.sqrt(3) / 2 - 1
