"""Seams keep off necks, tips and spikes; the place of a seam against trying every one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate, translate

from wirepath.model import Level, Piece, SeamSettings
from wirepath.sectioning import section
from wirepath.sectioning.raster import Body, raster_of
from wirepath.sectioning.weak import weak_places
from wirepath.workshop import Workshop


def parted(shape: Polygon, workshop: Workshop, least_mm: float = 80.0) -> list[Polygon]:
    piece = Piece(
        number=1,
        name="Form",
        part="Form",
        finished=shape,
        outline=shape,
        thickness_mm=200.0,
        allowance_mm=0.0,
        foam="EPS 15",
        turning="any",
    )
    levels = {"Form": (Level(from_mm=0.0, to_mm=200.0, region=shape),)}
    found = section([piece], levels, workshop, SeamSettings(least_mm=least_mm))
    return [part.outline for part in found]


def halves(shape: Polygon, x: float) -> tuple[list[Polygon], list[LineString]]:
    left = shapely.intersection(shape, box(-9e3, -9e3, x, 9e3))
    right = shapely.difference(shape, box(-9e3, -9e3, x, 9e3))
    seam = shapely.intersection(shape, LineString([(x, -9e3), (x, 9e3)]))
    return [left, right], list(shapely.get_parts(seam))


DUMBBELL = shapely.union_all(
    [Point(0, 0).buffer(240), Point(900, 0).buffer(240), box(0, -30, 900, 30)]
)


@pytest.mark.parametrize(
    ("x", "count"),
    [
        (450.0, 3),  # across the bar: a short seam, and a stub of 210 mm on either piece
        (0.0, 0),  # through a ball; the bar is the form's own
        (240.0, 2),  # the bar's end: a short seam, and all of the bar on the one piece
        (200.0, 1),  # the ball's cap beside the seam holds by the bar alone
    ],
)
def test_a_seam_through_or_beside_a_neck_is_told(x: float, count: int) -> None:
    assert weak_places(*halves(DUMBBELL, x), 80.0) == count


def test_a_neck_no_narrower_than_the_least_is_no_weak_place() -> None:
    assert weak_places(*halves(DUMBBELL, 450.0), 59.0) == 0


def test_a_waist_with_no_length_is_a_neck() -> None:
    waist = Polygon([(0, -200), (400, -30), (800, -200), (800, 200), (400, 30), (0, 200)])
    assert weak_places(*halves(waist, 400.0), 80.0) == 1
    assert weak_places(*halves(waist, 200.0), 80.0) == 0


def test_a_spike_cut_along_or_across_by_a_seam_is_told() -> None:
    spike = shapely.union_all([box(0, 0, 600, 400), box(600, 150, 1200, 210)])
    assert weak_places(*halves(spike, 900.0), 80.0) == 2
    assert weak_places(*halves(spike, 300.0), 80.0) == 0
    level = rotate(spike, 90, origin=(0, 0))
    assert weak_places(*halves(level, -180.0), 80.0) == 2


def test_square_corners_and_bricks_are_no_weak_places() -> None:
    wall = [box(0, 0, 500, 300), box(500, 0, 1000, 300), box(0, 300, 530, 600)]
    wall.append(box(530, 300, 1000, 600))
    seams = [LineString(ends) for ends in _wall_seams()]
    assert weak_places(wall, seams, 80.0) == 0


def _wall_seams() -> list[list[tuple[float, float]]]:
    return [
        [(500, 0), (500, 300)],
        [(530, 300), (530, 600)],
        [(0, 300), (500, 300)],
        [(500, 300), (530, 300)],
        [(530, 300), (1000, 300)],
    ]


def test_on_the_raster_a_neck_counts_dearer_than_its_length() -> None:
    body = Body(outline=DUMBBELL, steps=((DUMBBELL, 200.0),))
    xs, ys = np.array([-240.0, 0.0, 450.0, 1140.0]), np.array([-240.0, 0.0, 240.0])
    raster = raster_of(body, xs, ys, least_mm=80.0, weak_mm=1000.0)
    assert raster.rise.sum(axis=1)[1:3] == pytest.approx([480, 1060], abs=1e-6)
    assert raster.rise[2] == pytest.approx([530, 530])


def test_a_dumbbell_is_parted_beside_its_bar(workshop: Workshop) -> None:
    form = shapely.union_all([box(0, 0, 500, 450), box(800, 0, 1300, 450), box(500, 200, 800, 260)])
    across = {least: _narrowest(parted(form, workshop, least), form) for least in (50.0, 80.0)}
    # The shortest seam is across the bar; with a greater least it runs through a square.
    assert across[50.0] == pytest.approx(60)
    assert across[80.0] == pytest.approx(450)


def _narrowest(parts: list[Polygon], form: Polygon) -> float:
    assert shapely.union_all(parts).area == pytest.approx(form.area, rel=1e-9)
    return (sum(part.length for part in parts) - form.length) / 2


# --- Against trying every place -------------------------------------------------------

HOUR = 60.0


def by_trying(shape: Polygon, workshop: Workshop, turns: np.ndarray) -> float:
    """Return the least cost of one straight seam, at every turn and every 20 mm.

    Written anew: two pieces, each in a block of its own unless both lie in one, ten
    minutes a piece, fifteen a square metre of glue.
    """
    (stock,) = workshop.stock
    best = np.inf
    for turn in turns:
        upright = rotate(shape, -turn, origin=(0, 0))
        x0, _, x1, _ = upright.bounds
        for x in np.arange(x0 + 20, x1, 20.0):
            parts, seam = halves(upright, float(x))
            if any(not isinstance(part, Polygon) for part in parts):
                continue
            if any(not _fits(part, stock.length_mm, stock.width_mm) for part in parts):
                continue
            glue = sum(one.length for one in seam) * 200 / 1e6
            best = min(best, 2 * stock.price + (20 + 15 * glue) / 60 * HOUR)
    return best


def _fits(part: Polygon, width: float, height: float) -> bool:
    boxes = [rotate(part, angle).bounds for angle in np.arange(0.0, 180.0, 5.0)]
    return any(x1 - x0 <= width and y1 - y0 <= height for x0, y0, x1, y1 in boxes)


@pytest.mark.parametrize("turn", [0.0, 30.0, 75.0])
@pytest.mark.parametrize(
    "shape",
    [
        # A wedge: the nearer to its point, the shorter the seam, as long as the rest fits.
        Polygon([(0, 0), (1500, 120), (1500, 280), (0, 400)]),
        # A waist that is no neck: the seam belongs into it.
        Polygon([(0, 0), (700, 100), (1500, 0), (1500, 400), (700, 300), (0, 400)]),
    ],
)
def test_no_shift_and_turn_of_one_seam_is_much_cheaper_than_that_found(
    shape: Polygon, turn: float, workshop: Workshop
) -> None:
    shop = replace(workshop, order=replace(workshop.order, hour_price=HOUR))
    form = translate(rotate(shape, turn, origin=(0, 0)), 13.0, 7.0)
    parts = parted(form, shop)
    assert len(parts) == 2
    glue = (sum(part.length for part in parts) - form.length) / 2 * 200 / 1e6
    found = 2 * shop.stock[0].price + (20 + 15 * glue) / 60 * HOUR
    least = by_trying(form, shop, np.arange(0.0, 180.0, 15.0))
    # The raster has a line every 36th of the length: within a minute's work of the best.
    assert found <= least + HOUR / 60
