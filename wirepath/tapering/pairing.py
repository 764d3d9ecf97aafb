"""Two outlines paired point by point, so that a straight wire can be ruled between them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from wirepath.errors import Fault, FitError
from wirepath.model import Ruled
from wirepath.tapering.setting_off import turns

Point = tuple[float, float]
Points = NDArray[np.float64]

SNAP_MM = 0.5
"""Points of the two outlines whose shares of the way differ by less become partners."""

CORNER_SNAP_SHARE = 0.02
"""Corners whose shares of the way differ by less become partners."""

CORNER_RAD = math.radians(20)
"""An outline that turns by more at a point has a corner there."""

DEPTHS = 33
"""Sections looked at for rulings that cross, both faces among them."""

STEEPEST = math.tan(math.radians(60))
"""Rulings that lean further than this are refused: the wire would be twice as long as the
piece is thick, and the slot no longer follows. Common practice, no source."""


def paired(
    near: Polygon, far: Polygon, thickness_mm: float, marks: Sequence[tuple[Point, Point]] = ()
) -> Ruled:
    """Return the two outlines paired point by point, by their shares of the way round.

    `marks` are pairs of places, near and far, that belong together; each is taken to
    the nearest corner, and shares are counted from mark to mark. Without marks corners
    go to corners where both outlines have as many, else shares are counted from one
    point; either way so that the wire turns least. Raises FitError for outlines with
    holes, marks out of order, and rulings that cross or lean too far.
    """
    if near.interiors or far.interiors:
        raise FitError(
            Fault(
                "a taper cannot have holes",
                "",
                "cut the hole as a piece of its own, or leave it for the knife",
            )
        )
    rings = [_points(near), _points(far)]
    if marks:
        places = [[_nearest(ring, mark[side]) for mark in marks] for side, ring in enumerate(rings)]
        _refuse_disorder(rings, places)
    else:
        places = _partners(*rings)
    order = np.argsort((np.array(places[0]) - places[0][0]) % len(rings[0]))
    places = [[side[i] for i in order] for side in places]
    pairs: list[tuple[Points, Points]] = []
    for index in range(len(order)):
        stretches = [
            _stretch(ring, side[index], side[(index + 1) % len(side)])
            for ring, side in zip(rings, places, strict=True)
        ]
        pairs.append(_by_share(*stretches))
    ruled = Ruled(
        near=_tuples(np.concatenate([pair[0] for pair in pairs])),
        far=_tuples(np.concatenate([pair[1] for pair in pairs])),
        thickness_mm=thickness_mm,
    )
    faults = list(ruling_faults(ruled))
    if faults:
        raise FitError(faults)
    return ruled


def ruling_faults(ruled: Ruled) -> Iterator[Fault]:
    """Give what makes rulings unfit for a wire: that they cross, or lean too far."""
    mend = "mark which corners belong together (mark_layers), or draw the faces more alike"
    near, far = np.array(ruled.near), np.array(ruled.far)
    lean = np.hypot(*(far - near).T) / ruled.thickness_mm
    if lean.max() > STEEPEST:
        at = int(lean.argmax())
        yield Fault(
            f"a ruling leans by {math.degrees(math.atan(lean[at])):.0f} degrees, from x "
            f"{near[at, 0]:.0f}, y {near[at, 1]:.0f} to x {far[at, 0]:.0f}, y {far[at, 1]:.0f} mm; "
            "60 are the most",
            _near(near[at]),
            "place the far face behind the near one (align), or " + mend,
        )
        return
    steps = [np.roll(ring, -1, axis=0) - ring for ring in (near, far)]
    against = (steps[0] * steps[1]).sum(axis=1) < 0
    if against.any():
        yield Fault(
            "an edge of the near face and its partner on the far face run against each other: "
            "the two outlines are twisted",
            _near(near[int(against.argmax())]),
            mend,
        )
        return
    for share in np.linspace(0, 1, DEPTHS):
        section = ruled.section(float(share))
        if section.is_valid and section.exterior.is_ccw:
            continue
        words = shapely.is_valid_reason(section)
        at_words = words.partition("[")[2].rstrip("]").split()
        place = np.array([float(word) for word in at_words]) if len(at_words) == 2 else near[0]
        yield Fault(
            f"the rulings cross each other {share * ruled.thickness_mm:.0f} mm behind the near "
            "face: the two outlines are twisted against each other",
            _near(place),
            mend,
        )
        return


def _near(at: Points) -> str:
    return f"near x {at[0]:.1f}, y {at[1]:.1f} mm"


def _points(outline: Polygon) -> Points:
    """Return the outer ring's points, counter-clockwise, the first not repeated."""
    points: Points = shapely.get_coordinates(shapely.orient_polygons(outline).exterior)
    return points[:-1]


def _tuples(points: Points) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in points)


def _nearest(ring: Points, place: Point) -> int:
    return int(np.hypot(*(ring - place).T).argmin())


def _refuse_disorder(rings: Sequence[Points], places: Sequence[Sequence[int]]) -> None:
    order = np.argsort((np.array(places[0]) - places[0][0]) % len(rings[0]))
    for ring, side in zip(rings, places, strict=True):
        ways = (np.diff([side[i] for i in [*order, order[0]]]) - 1) % len(ring) + 1
        if ways.sum() != len(ring):
            raise FitError(
                Fault(
                    "the marks do not follow each other in the same order on both outlines",
                    _near(rings[0][places[0][0]]),
                    "number them in one direction, and no two at one corner",
                )
            )


# --- Where to begin ----------------------------------------------------------------


def _partners(near: Points, far: Points) -> list[list[int]]:
    """Return points of `near` and their partners on `far` between which shares are counted."""
    corners = [np.flatnonzero(np.abs(turns(ring)) > CORNER_RAD) for ring in (near, far)]
    count = len(corners[0])
    if count < 2 or count != len(corners[1]):
        return [[0], [_best_start(near, far)]]
    middles = [ring - _middle(ring) for ring in (near, far)]
    first = middles[0][corners[0]]
    second = middles[1][corners[1]]
    off = [float(((np.roll(second, -k, axis=0) - first) ** 2).sum()) for k in range(count)]
    turned = int(np.argmin(np.round(off, 6)))
    return [corners[0].tolist(), np.roll(corners[1], -turned).tolist()]


def _middle(ring: Points) -> Points:
    middle = Polygon(ring).centroid
    return np.array([middle.x, middle.y])


def _best_start(near: Points, far: Points) -> int:
    """Return the point of `far` that turns the wire least as partner of `near`'s first.

    Both rings about their own middles, sampled at equal shares of the way round.
    """
    shares = np.linspace(0, 1, 64, endpoint=False)

    def sampled(ring: Points, start: int) -> Points:
        way = _stretch(ring, start, start)
        points: Points = np.column_stack([np.interp(shares, _shares(way), axis) for axis in way.T])
        points -= points.mean(axis=0)
        return points

    first = sampled(near, 0)
    twist = [float(((sampled(far, i) - first) ** 2).sum()) for i in range(len(far))]
    return int(np.argmin(np.round(twist, 6)))


# --- By share of the way -----------------------------------------------------------


def _stretch(ring: Points, start: int, end: int) -> Points:
    """Return the points of a ring from point `start` to point `end`, both included."""
    count = (end - start - 1) % len(ring) + 1
    return ring[(start + np.arange(count + 1)) % len(ring)]


def _shares(way: Points) -> NDArray[np.float64]:
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(way, axis=0).T))))
    shares: NDArray[np.float64] = along / along[-1]
    return shares


def _by_share(near: Points, far: Points) -> tuple[Points, Points]:
    """Return two ways with partners for all their points but the last, (n, 2) each."""
    one, other = _shares(near), _shares(far)
    other = _snapped(one, other, near, far)
    shares = np.unique(np.concatenate((one, other)))[:-1]
    return (
        np.column_stack([np.interp(shares, one, axis) for axis in near.T]),
        np.column_stack([np.interp(shares, other, axis) for axis in far.T]),
    )


def _snapped(
    one: NDArray[np.float64], other: NDArray[np.float64], near: Points, far: Points
) -> NDArray[np.float64]:
    """Return the shares of `far`, those of points that lie close by one of `near` made its own.

    Two points are partners where each is the other's closest, within `SNAP_MM`; corners
    within `CORNER_SNAP_SHARE` of the longer way.
    """
    length = max(np.hypot(*np.diff(way, axis=0).T).sum() for way in (near, far))
    sharp = [_sharp(way) for way in (near, far)]
    snapped = other.copy()
    for chosen, reach in (
        ((sharp[0], sharp[1]), CORNER_SNAP_SHARE),
        ((np.ones(len(one), bool), np.ones(len(other), bool)), SNAP_MM / length),
    ):
        here, there = np.flatnonzero(chosen[0]), np.flatnonzero(chosen[1])
        gaps = np.abs(snapped[there][:, None] - one[here][None, :])
        closest, back = gaps.argmin(axis=1), gaps.argmin(axis=0)
        for k, j in enumerate(closest):
            # Not past a neighbour: the order on both ways stays the same.
            at = there[k]
            low, high = snapped[max(at - 1, 0)], snapped[min(at + 1, len(other) - 1)]
            if (
                back[j] == k
                and gaps[k, j] < reach
                and (low < one[here[j]] < high or at in (0, len(other) - 1))
            ):
                snapped[at] = one[here[j]]
    return snapped


def _sharp(way: Points) -> NDArray[np.bool_]:
    """Return which points of an open way are corners, its two ends among them, (n,)."""
    steps = np.diff(way, axis=0)
    angles = np.abs(np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))))
    return np.concatenate(([True], angles > CORNER_RAD, [True]))
