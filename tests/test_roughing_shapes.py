"""Silhouettes and sections of roughing against solids whose volumes are known in closed form.

Sources: two equal cylinders of radius r crossing at an angle b share 16 r^3 / (3 sin b), three
at right angles 8 (2 - sqrt 2) r^3 (the Steinmetz solids; M. Moore, "Symmetrical
intersections of right circular cylinders", Math. Gazette 58, 1974; from memory); cone and
ball: Euclid XII.10, Archimedes.
"""

import itertools
import math

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, box

from wirepath.errors import DrawingError
from wirepath.model import Blank, Contour, Level
from wirepath.roughing.directions import (
    OUTLINE,
    across_plane,
    chords,
    shadow,
    shadow_mm,
    silhouette,
    slanting,
    too_long,
)
from wirepath.roughing.grid import (
    clear_lump,
    from_outside,
    line_hull_share,
    make_grid,
    raster,
)
from wirepath.roughing.sections import Blade, blade, volumes_mm3
from wirepath.roughing.stack import (
    grown,
    grown_volume_mm3,
    hollows,
    least_volume_mm3,
    raised,
    sloped,
    volume_mm3,
)
from wirepath.simplifying import few_corners

R = 100.0


def ball(layers: int = 120) -> tuple[Level, ...]:
    """Return a ball of radius R about 0, 0, R in layers, each as wide as at its middle."""
    edges = np.linspace(0, 2 * R, layers + 1)
    return tuple(
        Level(
            from_mm=float(a),
            to_mm=float(b),
            region=Point(0, 0).buffer(math.sqrt(R**2 - ((a + b) / 2 - R) ** 2), quad_segs=48),
        )
        for a, b in itertools.pairwise(edges)
    )


CUBE = Blank(x_mm=-R, y_mm=-R, width_mm=2 * R, height_mm=2 * R, thickness_mm=2 * R)
ROOM = Blank(
    x_mm=-2 * R, y_mm=-2 * R, from_mm=-R, width_mm=4 * R, height_mm=4 * R, thickness_mm=4 * R
)


def what_silhouettes_leave(levels, blank, directions, slice_mm=2.0):
    blades = [Blade(direction=one, kept=silhouette(levels, one)) for one in directions]
    return volumes_mm3(blank, blades, slice_mm=slice_mm)[-1]


def test_two_silhouettes_of_a_ball_leave_the_steinmetz_solid():
    left = what_silhouettes_leave(ball(100), CUBE, [slanting(0), slanting(90)])
    assert left == pytest.approx(16 / 3 * R**3, rel=1e-3)


def test_three_silhouettes_of_a_ball_leave_the_solid_of_three_cylinders():
    left = what_silhouettes_leave(ball(100), CUBE, [slanting(0), slanting(90), OUTLINE])
    assert left == pytest.approx(8 * (2 - math.sqrt(2)) * R**3, rel=1e-3)


@pytest.mark.parametrize(
    ("one", "other", "angle_deg"),
    [
        (slanting(0), slanting(60), 60),
        (slanting(30, 40), slanting(30, -50), 90),
        (slanting(20, 30), slanting(20, -30), 60),
        (OUTLINE, slanting(75, 30), 60),
    ],
)
def test_wires_at_any_angle_leave_two_crossing_cylinders(one, other, angle_deg):
    assert abs(np.dot(one.wire, other.wire)) == pytest.approx(
        abs(math.cos(math.radians(angle_deg)))
    )
    # Seen aslant, the layers' edges stand out like stairs, half as far with twice as many.
    few, many = (
        what_silhouettes_leave(ball(n), ROOM, [one, other], slice_mm=4 * R / n) for n in (30, 60)
    )
    exact = 16 * R**3 / (3 * math.sin(math.radians(angle_deg)))
    assert many < 1.035 * exact
    assert 2 * many - few == pytest.approx(exact, rel=3e-3)


def test_the_outline_of_a_prism_leaves_nothing_to_carve():
    prism = (Level(from_mm=0, to_mm=100, region=box(0, 0, 300, 200)),)
    blank = Blank(x_mm=-50, y_mm=-50, width_mm=400, height_mm=300, thickness_mm=100)
    left = what_silhouettes_leave(prism, blank, [OUTLINE])
    assert left == pytest.approx(300 * 200 * 100)


def test_raised_contours_of_a_cone_hold_it_and_close_in_on_its_volume():
    cone = math.pi * R**2 * 300 / 3
    spare = []
    for count in (10, 20, 40):
        contours = [
            Contour(
                height_mm=300 * k / count,
                region=Point(0, 0).buffer(R * (1 - k / count), quad_segs=64),
            )
            for k in range(count)
        ]
        levels = raised(contours[0].region, contours, peak_mm=300)
        assert least_volume_mm3(levels) < cone < volume_mm3(levels)
        spare.append(volume_mm3(levels) - cone)
    assert spare[0] / spare[1] == pytest.approx(2, rel=0.1)
    assert spare[1] / spare[2] == pytest.approx(2, rel=0.1)


@pytest.mark.parametrize(
    "levels",
    [
        ball(30),
        (Level(from_mm=0, to_mm=2 * R, region=box(-R, -R / 2, R, R / 2)),),
        tuple(
            Level(from_mm=10.0 * k, to_mm=10.0 * k + 10, region=Point(0, 0).buffer(R - 5 * k))
            for k in range(20)
        ),
    ],
    ids=["ball", "prism", "cone"],
)
def test_straight_wires_reach_all_round_a_convex_form(levels):
    # A point outside a convex form lies on a plane that misses it, and so on lines that do.
    grid = make_grid(levels, ROOM, 0.0, cell_mm=8.0)
    assert line_hull_share(grid) > 0.99


def test_no_wire_gets_into_a_ring_without_a_slit():
    ring = Point(0, 0).buffer(R).difference(Point(0, 0).buffer(R / 2))
    grid = make_grid((Level(from_mm=0, to_mm=2 * R, region=ring),), CUBE, 0.0, cell_mm=5.0)
    inside = math.pi * (R / 2) ** 2 / (4 * R**2 - ring.area)
    assert line_hull_share(grid) == pytest.approx(1 - inside, abs=0.01)


def test_a_ring_seen_from_the_edge_is_a_block():
    assert from_outside(np.array([[0, 0, 0], [0, 1, 0], [0, 0, 0]], bool)).sum() == 8
    ring = np.array([[1, 1, 1], [1, 0, 1], [1, 1, 1]], bool)
    assert not from_outside(ring).any()
    gap = np.array([[1, 1, 1], [1, 0, 0], [1, 1, 1]], bool)
    assert from_outside(gap).sum() == 2


def test_a_dip_with_a_rim_all_round_is_told_as_hollow_with_its_litres():
    outer, dip = box(0, 0, 1000, 1000), box(400, 400, 600, 600)
    contours = [Contour(height_mm=100, region=outer.difference(dip))]
    levels = raised(outer, contours, peak_mm=200)
    ((amount, place),) = hollows(levels)
    assert amount == pytest.approx(0.2 * 0.2 * 0.1 * 1000)
    assert place.equals(dip)


def test_the_form_grown_by_a_ball_has_the_volume_of_steiners_formula():
    # Steiner: V + S a + M a^2 + 4/3 pi a^3; for a box M = pi (l + w + h). (Schneider, Convex
    # Bodies, 4.2; from memory.)
    levels = (Level(from_mm=0, to_mm=60, region=box(-50, -40, 50, 40)),)
    a = 30.0
    grown_mm3 = grown_volume_mm3(
        levels,
        a,
        Blank(x_mm=-R, y_mm=-R, from_mm=-R, width_mm=2 * R, height_mm=2 * R, thickness_mm=3 * R),
    )
    volume, surface = 100 * 80 * 60, 2 * (100 * 80 + 100 * 60 + 80 * 60)
    steiner = volume + surface * a + math.pi * 240 * a**2 + 4 / 3 * math.pi * a**3
    assert grown_mm3 == pytest.approx(steiner, rel=0.01)


def test_grown_regions_are_nowhere_short_of_the_distance():
    rng = np.random.default_rng(3)
    for _ in range(40):
        angles = np.sort(rng.uniform(0, 2 * np.pi, rng.integers(5, 60)))
        radii = rng.uniform(20, 100, len(angles))
        shape = Polygon(np.c_[radii * np.cos(angles), radii * np.sin(angles)]).buffer(0)
        by = float(rng.uniform(1, 40))
        rim = shapely.boundary(grown(shape, by))
        assert shapely.distance(rim, shape) >= by
        assert shapely.distance(shapely.points(shapely.get_coordinates(rim)), shape).max() <= (
            1.035 * by
        )


def test_few_corners_cover_the_outline_and_stray_no_farther_than_told():
    star = Point(0, 0).buffer(200).difference(box(40, -10, 300, 10)).buffer(5)
    for hand, most in ((30.0, 12), (8.0, 20)):
        found = few_corners(star, tolerance_mm=0.5, most_corners=most, farthest_mm=hand)
        assert found.buffer(1e-6).covers(star)
        strayed = shapely.distance(shapely.points(found.exterior.coords), star)
        assert strayed.max() <= hand + 1e-6
        assert len(found.exterior.coords) < len(star.exterior.coords)


def test_too_long_a_wire_is_where_the_chord_is_longer():
    blank = Blank(x_mm=100, y_mm=-50, width_mm=2000, height_mm=1000, thickness_mm=300)
    rng = np.random.default_rng(1)
    for direction in (slanting(30), slanting(0), slanting(140, 35), OUTLINE):
        u0, v0, u1, v1 = shadow(blank, direction).bounds
        places = np.c_[rng.uniform(u0, u1, 400), rng.uniform(v0, v1, 400)]
        one, other = chords(blank, direction, places)
        long = np.linalg.norm(other - one, axis=1) > 900
        core = too_long(blank, direction, 900)
        assert (shapely.contains_xy(core, *places.T) == long).all()


def test_the_raster_agrees_with_the_polygon_point_by_point():
    shape = Point(3, 4).buffer(70).difference(box(-20, -20, 30, 25))
    xs, ys = np.linspace(-90.1, 90.3, 61), np.linspace(-80.2, 95.1, 47)
    x, y = np.meshgrid(xs, ys)
    assert (raster(shape, xs, ys) == shapely.contains_xy(shape, x, y)).all()


def test_a_clear_lump_is_found_only_where_it_fits():
    cells = np.zeros((3, 4, 10), bool)
    cells[1:, 1:3, 2:9] = True
    assert clear_lump(cells, (10, 10, 10), (70, 20, 20))
    assert clear_lump(cells, (10, 10, 10), (20, 20, 70))
    assert not clear_lump(cells, (10, 10, 10), (71, 20, 20))
    assert not clear_lump(cells, (10, 10, 10), (30, 30, 20))


def test_directions_are_square_to_themselves():
    for one in (OUTLINE, slanting(17, 33), slanting(90), *across_plane((0.6, 0, 0.8), [40])):
        frame = np.array([one.right, one.up, one.wire])
        assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)


@pytest.mark.parametrize("less", [0.0, 90.0, 500.0])
def test_a_shadow_is_as_large_as_its_polygon_and_where_the_wire_is_too_long(less):
    blank = Blank(x_mm=-7, y_mm=3, from_mm=11, width_mm=600, height_mm=410, thickness_mm=230)
    for direction in (OUTLINE, slanting(0), slanting(112.5), slanting(30, 45), slanting(200, 15)):
        wide, high, area = shadow_mm(blank, direction, less_mm=less)
        shade = too_long(blank, direction, less) if less else shadow(blank, direction)
        assert area == pytest.approx(shade.area, abs=1e-4)
        if area:
            u0, v0, u1, v1 = shade.bounds
            assert (wide, high) == pytest.approx((u1 - u0, v1 - v0), abs=1e-6)


def test_slopes_between_contours_are_refused_where_the_allowance_does_not_cover_the_gap():
    contours = [Contour(height_mm=0, region=box(0, 0, 400, 400))]
    contours += [Contour(height_mm=50, region=box(100, 100, 300, 300))]
    with pytest.raises(DrawingError, match="the wire could cut into the form"):
        sloped(raised(contours[0].region, contours, peak_mm=80), allowance_mm=20)


def test_slopes_between_contours_of_a_cone_come_nearer_to_it_than_steps():
    contours = [
        Contour(height_mm=20.0 * k, region=Point(0, 0).buffer(R * (1 - k / 5), quad_segs=32))
        for k in range(5)
    ]
    outline = contours[0].region
    steps = raised(outline, contours, peak_mm=100)
    slopes = sloped(steps, allowance_mm=20)
    cone = math.pi * R**2 * 100 / 3
    assert cone < volume_mm3(slopes) < volume_mm3(steps)
    assert volume_mm3(slopes) - cone < 0.6 * (volume_mm3(steps) - cone)


@pytest.mark.parametrize("turn_deg", [0.0, 30.0])
def test_a_level_cut_leaves_its_height_though_its_axes_are_turned(turn_deg):
    """A plane as flat cuts have it: its normal upright but for rounding, 16.75 mm off the back."""
    blank = Blank(x_mm=0, y_mm=0, width_mm=400, height_mm=300, thickness_mm=100)
    normal = (math.cos(math.pi / 2), 0.0, math.sin(math.pi / 2))
    one = blade(across_plane(normal, [turn_deg])[0], [box(-900, -900, 900, 18.25)], kerf_mm=3.0)
    assert volumes_mm3(blank, [one])[-1] == pytest.approx(400 * 300 * 16.75, rel=1e-3)
