"""The search under the layouts: depth maps, fields, the exact finish, known puzzles."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from wirepath.nesting import maps as maps_module
from wirepath.nesting.cache import Cache
from wirepath.nesting.fields import Effort
from wirepath.nesting.finish import press
from wirepath.nesting.improving import packed, pushed_left
from wirepath.nesting.maps import FORGIVEN, Maps, cell_size_mm, convex_depth_map, depth_map
from wirepath.nesting.regions import Regions
from wirepath.nesting.search import Search, Stand
from wirepath.nesting.shapes import Turn, shifted, turned_variants
from wirepath.nesting.strip import Strip, shortest_strip

QUARTERS = [Turn(angle) for angle in (0.0, 90.0, 180.0, 270.0)]
EIGHTHS = [Turn(angle) for angle in np.arange(0.0, 360.0, 45.0).tolist()]
UPRIGHT = [Turn()]


def maps_of(
    outlines: list[Polygon],
    turns: list[Turn],
    *,
    short_mm: float,
    clearance_mm: float = 0.0,
    forgiven: float = FORGIVEN,
) -> Maps:
    mean = sum(one.area for one in outlines) / len(outlines)
    return Maps(
        Regions([turned_variants(one, turns) for one in outlines], clearance_mm=clearance_mm),
        cell_mm=cell_size_mm(short_mm, mean),
        forgiven=forgiven,
    )


def outlines_of(maps: Maps, strip: Strip) -> list[Polygon]:
    return [
        shifted(maps.variants[v].outline, x, y)
        for v, (x, y) in zip(strip.variants, strip.spots, strict=True)
    ]


def assert_apart(outlines: list[Polygon], width: float, height: float) -> None:
    assert sum(a.intersection(b).area for a, b in combinations(outlines, 2)) < 1e-6
    assert box(0, 0, width, height).buffer(1e-6).contains(shapely.union_all(outlines))


# --- Maps and fields -----------------------------------------------------------------


def test_the_depth_inside_a_square_is_the_distance_to_its_nearest_side() -> None:
    depth, x, y = depth_map(box(-10, -10, 10, 10), cell_mm=1.0, forgiven=0.0)
    assert depth[-x, -y] == pytest.approx(10, abs=0.6)  # deep inside: by the grid
    assert depth[-x - 9, -y] == pytest.approx(1, abs=0.02)  # at the edge: to 1/64
    assert depth[-x - 10, -y] == 0.0


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 5000))
def test_a_map_is_zero_exactly_where_the_outlines_do_not_overlap(seed: int) -> None:
    chance = np.random.default_rng(seed)
    some = [
        shapely.convex_hull(shapely.multipoints(chance.uniform(0, 100, (6, 2)))) for _ in range(2)
    ]
    maps = maps_of(some, QUARTERS, short_mm=400, forgiven=0.0)
    for fixed, moving in chance.integers(0, len(maps.variants), (6, 2)).tolist():
        depth, from_x, from_y = maps(fixed, moving)
        one, other = maps.variants[fixed].outline, maps.variants[moving].outline
        for x, y in chance.integers(-3, 3 + np.array(depth.shape), (20, 2)).tolist():
            there = shifted(other, (x + from_x) * maps.cell_mm, (y + from_y) * maps.cell_mm)
            inside = 0 <= x < depth.shape[0] and 0 <= y < depth.shape[1]
            overlap = shapely.area(shapely.intersection(one, there))
            if inside and depth[x, y] > 0:
                assert overlap > 0
            else:
                assert overlap < 1e-6


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 5000))
def test_a_convex_map_is_that_of_its_region(seed: int) -> None:
    chance = np.random.default_rng(seed)
    ring = shapely.convex_hull(shapely.multipoints(chance.uniform(0, 30, (7, 2))))
    ring = shapely.orient_polygons(ring)
    corners = np.asarray(ring.exterior.coords)[:-1]
    clearance = float(chance.choice([0.0, 2.5]))
    region = ring.buffer(clearance, quad_segs=64) if clearance else ring
    depth, x, y = convex_depth_map(corners, clearance_mm=clearance, cell_mm=1.0, forgiven=0.5)
    other, other_x, other_y = depth_map(region, cell_mm=1.0, forgiven=0.5)
    assert (x, y, depth.shape) == (other_x, other_y, other.shape)
    near = other < 0.95  # further in the other goes by the grid
    assert np.abs(depth - other)[near].max() < 0.02
    assert np.abs(depth - other).max() < 1.0


def test_a_field_is_the_weighted_sum_of_the_depths_against_all_others() -> None:
    squares = [box(0, 0, 30, 30), box(0, 0, 20, 50)]
    maps = maps_of(squares, UPRIGHT, short_mm=160)
    chance = np.random.default_rng(1)
    stand = Stand([0, 0, 1, 1], [0] * 4, [0, 5, 9, 20], [0, 8, 3, 30])
    search = Search(maps, [0, 0, 1, 1], [(80.0, 80.0)], stand, Effort(1e12), chance)
    search.weight[0, 2] = search.weight[2, 0] = 3.0
    search.move(3, 1, 0, 25, 11)
    field = search.field(0, 0, 0)
    for x, y in [(0, 0), (7, 7), (22, 10)]:
        search.move(0, 0, 0, x, y)
        weighted = float((search.weight[0] * search.depth[0]).sum())
        assert float(search.field(0, 0, 0)[x, y]) == weighted == float(field[x, y])


def test_distances_near_an_edge_are_those_to_the_polygon_s_border() -> None:
    outline = Polygon([(3.2, 2.1), (40.7, 5.3), (22.4, 18.6), (35.1, 44.9), (6.5, 30.2)])
    near = maps_module._distances_near(maps_module._edges(outline), 50, 50)
    points = shapely.points(*np.meshgrid(np.arange(50.0), np.arange(50.0), indexing="ij"))
    true = shapely.distance(points, outline.exterior)
    assert near[true <= 2.0] == pytest.approx(true[true <= 2.0])
    assert (near[true > 2.0] > 2.0).all()


def test_what_was_unused_for_longest_leaves_the_cache_when_its_bytes_run_out() -> None:
    held: Cache[str, int] = Cache(100)
    held.put("old", 1, 40)
    held.put("used", 2, 40)
    assert held.get("old") == 1
    held.put("new", 3, 40)
    assert (held.get("old"), held.get("used"), held.get("new")) == (1, None, 3)


# --- The exact finish ----------------------------------------------------------------


def test_pressing_takes_an_overlap_out_and_leaves_exactly_the_clearance() -> None:
    maps = maps_of([box(0, 0, 100, 100)], UPRIGHT, short_mm=120, clearance_mm=10.0)
    spots = np.array([[0.0, 0.0], [95.0, 5.0]])  # side by side, overlapping by 5
    answer = press(maps, [0, 0], spots, height_mm=120, step_mm=30, effort=Effort(1e12))
    assert answer is not None
    assert answer[1] == pytest.approx(210)  # 100 + 10 + 100
    assert (
        press(maps, [0, 0], spots, height_mm=120, width_mm=205, step_mm=30, effort=Effort(1e12))
        is None
    )


def test_corners_keep_the_clearance_as_the_crow_flies() -> None:
    # 3-4-5: corner to corner 30 apart along x and 40 along y is 50, just the clearance.
    maps = maps_of([box(0, 0, 100, 100)], UPRIGHT, short_mm=240, clearance_mm=50.0)
    spots = np.array([[0.0, 0.0], [130.0, 140.0]])
    answer = press(maps, [0, 0], spots, height_mm=240, step_mm=1e-3, effort=Effort(1e12))
    assert answer is not None
    assert answer[1] == pytest.approx(230, abs=2e-3)


# --- Strips and faces ----------------------------------------------------------------


def shortest(
    outlines: list[Polygon], turns: list[Turn], height: float, *, units: float, seed: int = 0
) -> tuple[Maps, Strip]:
    maps = maps_of(outlines, turns, short_mm=height)
    kinds = list(range(len(outlines)))
    effort = Effort(units)
    return maps, shortest_strip(maps, kinds, height_mm=height, seed=seed, effort=effort)


def test_two_triangles_that_make_a_square_find_each_other() -> None:
    half = Polygon([(0, 0), (100, 0), (0, 100)])
    maps, strip = shortest([half, half], [Turn(), Turn(180.0)], 100, units=2e8)
    assert strip.width_mm == pytest.approx(100)
    assert_apart(outlines_of(maps, strip), 100, 100)


def test_the_same_seed_gives_the_same_strip() -> None:
    chance = np.random.default_rng(5)
    some = [box(0, 0, *chance.integers(20, 90, 2).tolist()) for _ in range(10)]
    assert (
        shortest(some, QUARTERS, 200, units=1e8)[1] == shortest(some, QUARTERS, 200, units=1e8)[1]
    )


def test_the_tangram_s_pieces_find_into_a_square_a_twentieth_wider() -> None:
    # The seven pieces cut from one square (a puzzle of about 1800, in the public domain):
    # two large, one middle and two small right triangles, a square, a parallelogram.
    legs = [2 * 2**0.5, 2 * 2**0.5, 2, 2**0.5, 2**0.5]
    some = [Polygon([(0, 0), (leg, 0), (0, leg)]) for leg in legs]
    some += [box(0, 0, 2**0.5, 2**0.5), Polygon([(0, 0), (2, 0), (3, 1), (1, 1)])]
    assert sum(one.area for one in some) == pytest.approx(4 * 4)
    maps = maps_of(some, EIGHTHS, short_mm=4.2)
    answer = packed(maps, list(range(7)), [(4.2, 4.2)], seed=0, effort=Effort(3e9))
    assert answer is not None
    assert sorted(piece for piece, *_ in answer[0]) == list(range(7))
    laid = [shifted(maps.variants[v].outline, x, y) for _, v, x, y in answer[0]]
    assert_apart(laid, 4.2, 4.2)


PENTOMINOES = """
.X. XX. XX XX XXX XXX X.. X.. XX. .X X. X
XXX .XX XX X. .X. X.X X.. XX. .X. XX X. X
.X. .X. X. XX .X. ... XXX .XX .XX .X X. X
... ... .. .. ... ... ... ... ... .X XX X
... ... .. .. ... ... ... ... ... .. .. X
"""


def pentominoes() -> list[Polygon]:
    """The twelve (Golomb 1954), of squares of side 10."""
    rows = [line.split() for line in PENTOMINOES.split("\n") if line]
    return [
        shapely.union_all(
            [
                box(10 * x, -10 * y, 10 * x + 10, 10 - 10 * y)
                for y, row in enumerate(rows)
                for x, mark in enumerate(row[n])
                if mark == "X"
            ]
        )
        for n in range(12)
    ]


def test_the_pentominoes_lie_in_a_strip_little_longer_than_their_rectangle() -> None:
    # 6 x 10 squares hold them exactly, in 2339 ways (Haselgrove 1960); we may turn only.
    some = pentominoes()
    assert [one.area for one in some] == [500.0] * 12
    maps, strip = shortest(some, QUARTERS, 60, units=1e9)
    assert 100 - 1e-9 <= strip.width_mm <= 140 + 1e-9
    assert_apart(outlines_of(maps, strip), strip.width_mm, 60)


def test_the_squares_of_a_perfect_squared_square_lie_in_a_strip_little_longer() -> None:
    # Side 112, 21 squares: A. J. W. Duijvestijn, Simple perfect squared square of lowest
    # order, J. Combin. Theory B 25 (1978) 240-243.
    sides = [2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50]
    assert sum(side * side for side in sides) == 112 * 112
    maps, strip = shortest([box(0, 0, s, s) for s in sides], UPRIGHT, 112, units=1e9)
    assert 112 - 1e-9 <= strip.width_mm < 112 / 0.85
    assert_apart(outlines_of(maps, strip), strip.width_mm, 112)


def test_pieces_are_spread_over_faces_so_that_all_fit() -> None:
    # 60 + 40 and 55 + 45 fill two faces of 100; 60 + 45 or 55 + 40 would not leave room.
    bars = [box(0, 0, width, 50) for width in (60, 55, 45, 40)]
    maps = maps_of(bars, UPRIGHT, short_mm=50)
    faces = [(100.0, 50.0), (100.0, 50.0)]
    answer = packed(maps, [0, 1, 2, 3], faces, seed=1, effort=Effort(5e8))
    assert answer is not None
    assert sorted(sorted(p for p, *_ in one) for one in answer) == [[0, 3], [1, 2]]


def test_no_answer_comes_when_the_pieces_cannot_all_fit() -> None:
    maps = maps_of([box(0, 0, 60, 50)], UPRIGHT, short_mm=50)
    assert packed(maps, [0, 0], [(100.0, 50.0)], seed=1, effort=Effort(5e7)) is None


def test_a_piece_that_fits_only_on_its_side_is_searched_for_on_its_side() -> None:
    # Upright it is taller than the face; three lie one above the other, the fourth does not.
    posts = [box(0, 0, 30, 140)]
    maps = maps_of(posts, QUARTERS, short_mm=91)
    found = packed(maps, [0, 0, 0], [(141.0, 91.0)], seed=1, effort=Effort(5e8))
    assert found is not None
    assert packed(maps, [0, 0, 0, 0], [(141.0, 91.0)], seed=1, effort=Effort(5e7)) is None


def test_what_maps_will_cost_is_told_before_they_are_made_and_nothing_after() -> None:
    bays = [Polygon([(0, 0), (90, 0), (90, k), (45, 20), (0, k)]) for k in (60, 70, 80)]
    maps = maps_of(bays, [Turn()], short_mm=300.0, clearance_mm=5.0)
    due = maps.dues([0, 1, 2, 2])
    made = [maps(one, other)[0].size for one in range(3) for other in range(one, 3)]
    assert maps.owed() - sum(made) == due > 0
    assert maps.dues([0, 1, 2, 2]) == 0


def test_pieces_stay_where_maps_between_them_would_take_more_than_the_effort() -> None:
    bays = [Polygon([(0, 0), (90, 0), (90, k), (45, 20), (0, k)]) for k in (60, 70, 80)]
    maps = maps_of(bays, [Turn()], short_mm=300.0, clearance_mm=5.0)
    laid = tuple((k, k, 150.0 * k, 50.0) for k in range(3))
    kinds, face = [0, 1, 2], (600.0, 300.0)
    little, enough = (
        pushed_left(maps, kinds, laid, face, seed=0, effort=Effort(share * maps.dues([0, 1, 2])))
        for share in (0.1, 50.0)
    )
    assert little == laid
    assert max(x for _, _, x, _ in enough) < 300.0


def test_a_stand_with_a_piece_wider_than_the_container_has_become_can_be_taken_over() -> None:
    maps = maps_of([box(0, 0, 300, 60)], QUARTERS, short_mm=300)
    lying = next(v for v in maps.of_kind[0] if maps.variants[v].width_mm > 200)
    wide = 300 / maps.cell_mm
    stand = Stand([lying, lying], [0, 0], [0, 0], [0, int(wide / 3)])
    chance = np.random.default_rng(1)
    search = Search(maps, [0, 0], [(wide, wide)], stand.copy(), Effort(1e9), chance)
    search.narrow(0, wide / 2)
    search.put(stand.copy())
    assert min(search.stand.x) >= 0 <= min(search.stand.y)
    search.weight[0, 1] = search.weight[1, 0] = 1e18  # as a long search that failed leaves it
    search.narrow(0, wide / 2)
    assert search.separate(tries=20)
    assert all(maps.variants[v].width_mm < 200 for v in search.stand.variant)


def test_a_search_that_spends_its_effort_on_the_first_fill_ends_there() -> None:
    some = [box(0, 0, 10 + n, 20) for n in range(12)]
    maps = maps_of(some, QUARTERS, short_mm=100)
    effort = Effort(1e6)
    assert packed(maps, list(range(12)), [(100.0, 100.0)], seed=1, effort=effort) is None
    assert effort.done < 1e8


def test_no_answer_comes_for_a_piece_that_no_face_holds() -> None:
    maps = maps_of([box(0, 0, 60, 60)], UPRIGHT, short_mm=50)
    assert packed(maps, [0], [(100.0, 50.0)], seed=1, effort=Effort(5e7)) is None
