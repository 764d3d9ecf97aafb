"""Tapers: two outlines, one on each face of a block, and the wire ruled between them.

The two ends of the wire follow different outlines in step, so that it sweeps a ruled
surface. Every corner of either outline gets a partner on the other; between two pairs
of partners lies a *facet*. Each facet's wire line is set off so that the round slot
just touches the facet: further the more the facet leans, and further on the side where
the wire goes slower and melts a wider slot.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from wirepath.errors import Fault, FitError
from wirepath.kerf.law import KerfLaw
from wirepath.workshop import Cutting

Point = tuple[float, float]
Points = NDArray[np.float64]

SNAP_MM = 0.5
"""Corners of the two outlines whose shares of the way differ by less become partners."""

SLOWEST_SHARE = 0.2
"""The slower end goes at least at this share of the feed: slower, it burns a hole rather
than cuts. Common practice, no source."""

MITRE = 2.0
"""A sharper outer corner than this many offsets long is cut across."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruled:
    """Two closed lines, paired point by point, `thickness_mm` apart along the wire.

    Points are not repeated at the end. `near` lies on the front face, `far` behind it;
    both run counter-clockwise seen from the front.
    """

    near: tuple[Point, ...]
    far: tuple[Point, ...]
    thickness_mm: float

    def section(self, share: float) -> Polygon:
        """Return the section at `share` of the thickness, 0 at the near face."""
        near, far = np.array(self.near), np.array(self.far)
        return Polygon(near + share * (far - near))

    @property
    def volume_mm3(self) -> float:
        """The volume between the faces: Simpson's rule, exact for a prismatoid."""
        areas = [self.section(share).area for share in (0.0, 0.5, 1.0)]
        return self.thickness_mm * float(areas[0] + 4 * areas[1] + areas[2]) / 6


@dataclass(frozen=True, slots=True, kw_only=True)
class TaperLine:
    """The wire's way round a taper, kerf included: one feed for each end and each facet.

    `near_feeds[i]` and `far_feeds[i]` hold from point i to the next; both ends take the
    same time, so the longer side goes at the feed asked for.
    """

    line: Ruled
    near_feeds: tuple[float, ...]
    far_feeds: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A numbered mark that two people call out at the two ends of the wire."""

    number: int
    near: Point
    far: Point
    corner: bool


def paired(
    near: Polygon, far: Polygon, thickness_mm: float, marks: Sequence[tuple[Point, Point]] = ()
) -> Ruled:
    """Return the two outlines paired point by point, by their shares of the way round.

    `marks` are pairs of places, near and far, that belong together; each is taken to
    the nearest corner, and shares are counted from mark to mark. Without marks the
    corners are matched so that the wire turns least. Raises FitError for outlines with
    holes, and for marks out of order.
    """
    if near.interiors or far.interiors:
        raise FitError(
            Fault("a taper cannot have holes", "taper", "cut the hole as a piece of its own")
        )
    rings = [_corners(near), _corners(far)]
    if marks:
        places = [[_nearest(ring, mark[side]) for mark in marks] for side, ring in enumerate(rings)]
    else:
        places = [[0], [_best_start(rings[0], rings[1])]]
    order = np.argsort((np.array(places[0]) - places[0][0]) % len(rings[0]))
    places = [[side[i] for i in order] for side in places]
    for ring, side in zip(rings, places, strict=True):
        turns = (np.diff([*side, side[0]]) - 1) % len(ring) + 1
        if turns.sum() != len(ring):
            raise FitError(
                Fault(
                    "the marks do not follow each other in the same order on both outlines",
                    "taper",
                    "number them in one direction, and no two at one corner",
                )
            )
    pairs: list[tuple[Points, Points]] = []
    for index in range(len(order)):
        stretches = [
            _stretch(ring, side[index], side[(index + 1) % len(side)])
            for ring, side in zip(rings, places, strict=True)
        ]
        pairs.append(_by_share(*stretches))
    return Ruled(
        near=_tuples(np.concatenate([pair[0] for pair in pairs])),
        far=_tuples(np.concatenate([pair[1] for pair in pairs])),
        thickness_mm=thickness_mm,
    )


def taper_line(ruled: Ruled, cutting: Cutting, law: KerfLaw | None = None) -> TaperLine:
    """Return the wire's way round a taper, kerf included at both ends.

    `law` tells the kerf at the slower end's feed; without one the kerf is taken to go
    with 1 / feed, the balance of energy, which leaves rather too much foam than too
    little. Raises FitError where one end would hardly move, or an inner corner is too
    tight for the kerf.
    """
    law = law or KerfLaw(a_mm=0.0, b_mm2_per_s=cutting.kerf_mm * cutting.feed_mm_per_s)
    near, far = np.array(ruled.near), np.array(ruled.far)
    lengths = [np.hypot(*(np.roll(ring, -1, axis=0) - ring).T) for ring in (near, far)]
    longer = np.maximum(*lengths)
    feeds = [cutting.feed_mm_per_s * length / longer for length in lengths]
    _refuse_standing(ruled, feeds, cutting)
    lean = (far - near) / ruled.thickness_mm
    offsets = [
        _offsets(ring, lean, np.array([law.kerf_mm(feed) for feed in side]) / 2)
        for ring, side in zip((near, far), feeds, strict=True)
    ]
    cut_across = np.any([_is_spike(ring) for ring in (near, far)], axis=0)
    lines, owners = [], np.arange(0)
    for ring, offset in zip((near, far), offsets, strict=True):
        line, owners = _set_off(ring, offset, cut_across)
        lines.append(line)
    _refuse_tight(ruled, lines, owners)
    spans = [np.hypot(*(np.roll(line, -1, axis=0) - line).T) for line in lines]
    span = np.maximum(np.maximum(*spans), 1e-9)
    return TaperLine(
        line=Ruled(near=_tuples(lines[0]), far=_tuples(lines[1]), thickness_mm=ruled.thickness_mm),
        near_feeds=tuple(float(f) for f in cutting.feed_mm_per_s * spans[0] / span),
        far_feeds=tuple(float(f) for f in cutting.feed_mm_per_s * spans[1] / span),
    )


def stations(ruled: Ruled, every_mm: float) -> tuple[Station, ...]:
    """Return numbered marks on both lines: all corners, and between them at most `every_mm`.

    Counted from 0 at the first point, in step at both ends; the last is the first again.
    A corner turns by more than 20 degrees on either line.
    """
    near, far = np.array(ruled.near), np.array(ruled.far)
    corners = np.any([np.abs(_turns(ring)) > math.radians(20) for ring in (near, far)], axis=0)
    corners[0] = True
    lengths = np.maximum(*(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T) for ring in (near, far)))
    along = np.concatenate(([0.0], np.cumsum(lengths)))
    starts = along[:-1][corners]
    marks: list[tuple[float, bool]] = []
    for start, end in zip(starts, [*starts[1:], along[-1]], strict=True):
        count = max(1, math.ceil((end - start) / every_mm - 1e-9))
        marks += [(start + (end - start) * i / count, i == 0) for i in range(count)]
    marks.append((along[-1], True))
    closed = [np.concatenate((ring, ring[:1])) for ring in (near, far)]
    return tuple(
        Station(number=number, near=_at(closed[0], along, at), far=_at(closed[1], along, at),
                corner=corner)
        for number, (at, corner) in enumerate(marks)
    )  # fmt: skip


def at_carriages(line: Ruled, near_gap_mm: float, far_gap_mm: float) -> Ruled:
    """Return where the wire's two ends go that lie outside the faces by the two gaps."""
    near, far = np.array(line.near), np.array(line.far)
    lean = (far - near) / line.thickness_mm
    return Ruled(
        near=_tuples(near - lean * near_gap_mm),
        far=_tuples(far + lean * far_gap_mm),
        thickness_mm=line.thickness_mm + near_gap_mm + far_gap_mm,
    )


# --- Pairing -----------------------------------------------------------------------


def _corners(outline: Polygon) -> Points:
    """Return the outer ring's points, counter-clockwise, the first not repeated."""
    points: Points = shapely.get_coordinates(shapely.orient_polygons(outline).exterior)
    return points[:-1]


def _tuples(points: Points) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in points)


def _nearest(ring: Points, place: Point) -> int:
    return int(np.hypot(*(ring - place).T).argmin())


def _best_start(near: Points, far: Points) -> int:
    """Return the corner of `far` that turns the wire least as partner of `near`'s first.

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


def _stretch(ring: Points, start: int, end: int) -> Points:
    """Return the points of a ring from corner `start` to corner `end`, both included."""
    count = (end - start - 1) % len(ring) + 1
    return ring[(start + np.arange(count + 1)) % len(ring)]


def _shares(way: Points) -> NDArray[np.float64]:
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(way, axis=0).T))))
    shares: NDArray[np.float64] = along / along[-1]
    return shares


def _by_share(near: Points, far: Points) -> tuple[Points, Points]:
    """Return two ways with partners for all their points but the last, (n, 2) each."""
    one, other = _shares(near), _shares(far)
    snap = SNAP_MM / max(np.hypot(*np.diff(way, axis=0).T).sum() for way in (near, far))
    # A corner of `far` within the snap of one of `near` becomes its partner.
    gaps = np.abs(other[:, None] - one[None, :])
    close = gaps.min(axis=1) < snap
    close[[0, -1]] = True
    other = np.where(close, one[gaps.argmin(axis=1)], other)
    other = np.maximum.accumulate(other)
    shares = np.unique(np.concatenate((one, other)))[:-1]
    return (
        np.column_stack([np.interp(shares, one, axis) for axis in near.T]),
        np.column_stack([np.interp(shares, other, axis) for axis in far.T]),
    )


def _at(points: Points, along: NDArray[np.float64], at: float) -> Point:
    x, y = (float(np.interp(at, along, axis)) for axis in points.T)
    return x, y


# --- Offset ------------------------------------------------------------------------


def _normals(ring: Points) -> Points:
    """Return the outward normals of a counter-clockwise ring's edges, (n, 2)."""
    steps = np.roll(ring, -1, axis=0) - ring
    steps = steps / np.maximum(np.hypot(*steps.T), 1e-12)[:, None]
    return np.column_stack((steps[:, 1], -steps[:, 0]))


def _turns(ring: Points) -> NDArray[np.float64]:
    """Return the turn at each point, radians, left positive."""
    after = _normals(ring)
    before = np.roll(after, 1, axis=0)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turns: NDArray[np.float64] = np.arctan2(cross, (before * after).sum(axis=1))
    return turns


def _is_spike(ring: Points) -> NDArray[np.bool_]:
    return np.asarray(1 / np.maximum(np.cos(np.maximum(_turns(ring), 0) / 2), 1e-9) > MITRE)


def _offsets(ring: Points, lean: Points, radii: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far each facet's line is set off in its face, (n,).

    A facet leans by s, its shift along the outline's normal per mm of depth. A wire that
    touches it with radius r runs r sqrt(1 + s^2) from the outline, measured in the face.
    """
    normals = _normals(ring)
    slopes = np.maximum(
        np.abs((lean * normals).sum(axis=1)),
        np.abs((np.roll(lean, -1, axis=0) * normals).sum(axis=1)),
    )
    offsets: NDArray[np.float64] = radii * np.sqrt(1 + slopes**2)
    return offsets


def _set_off(
    ring: Points, offsets: NDArray[np.float64], cut_across: NDArray[np.bool_]
) -> tuple[Points, NDArray[np.int_]]:
    """Return the line set off from `ring`, (m, 2), and which point each belongs to, (m,).

    Corners are where the set-off edges meet; one that is `cut_across` gets two points.
    """
    after, before = _normals(ring), np.roll(_normals(ring), 1, axis=0)
    d_after, d_before = offsets, np.roll(offsets, 1)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    straight = np.abs(cross) < 1e-4
    safe = np.where(straight, 1.0, cross)
    meet = np.column_stack(
        (
            (d_before * after[:, 1] - d_after * before[:, 1]) / safe,
            (d_after * before[:, 0] - d_before * after[:, 0]) / safe,
        )
    )
    meet[straight] = after[straight] * np.maximum(d_before, d_after)[straight, None]
    points, owners = [], []
    for i, corner in enumerate(ring):
        if cut_across[i]:
            past = np.array([-before[i, 1], before[i, 0]])
            back = np.array([after[i, 1], -after[i, 0]])
            points += [
                corner + d_before[i] * (before[i] + past),
                corner + d_after[i] * (after[i] + back),
            ]
            owners += [i, i]
        else:
            points.append(corner + meet[i])
            owners.append(i)
    return np.array(points), np.array(owners)


def _refuse_standing(ruled: Ruled, feeds: Sequence[NDArray[np.float64]], cutting: Cutting) -> None:
    slowest = np.minimum(*feeds) / cutting.feed_mm_per_s
    at = int(slowest.argmin())
    if slowest[at] < SLOWEST_SHARE:
        x, y = ruled.near[at]
        raise FitError(
            Fault(
                f"one end of the wire would go at {slowest[at]:.0%} of the feed and burn a hole",
                f"taper, near x {x:.1f}, y {y:.1f} mm",
                f"make the shorter outline longer there, or the taper less than 1 : "
                f"{1 / SLOWEST_SHARE:g}; or mark which corners belong together",
            )
        )


def _refuse_tight(ruled: Ruled, lines: Sequence[Points], owners: NDArray[np.int_]) -> None:
    """Raise FitError where an edge has turned round: the kerf is too wide for a hollow."""
    for ring, line in zip((np.array(ruled.near), np.array(ruled.far)), lines, strict=True):
        steps = np.roll(line, -1, axis=0) - line
        edges = np.roll(ring, -1, axis=0) - ring
        own = np.roll(owners, -1) != owners
        turned = own & ((steps * edges[owners]).sum(axis=1) < -1e-9)
        if turned.any() or not Polygon(line).is_valid:
            x, y = ring[owners[int(np.argmax(turned))]]
            raise FitError(
                Fault(
                    "a hollow is too tight for the kerf",
                    f"taper, near x {x:.1f}, y {y:.1f} mm",
                    "open it, or cut with a smaller kerf",
                )
            )
