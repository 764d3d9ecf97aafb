"""Corners: where the wire goes slower, and where it loops out into the waste.

A wire pulled round a corner lags: its middle comes round later than its ends. Two cures:

slow     `corner_mm` before and after a corner the feed falls to `corner_feed_mm_per_s`.
         There the slot melts wider, so the wire's line keeps further off: half of
         `corner_kerf_mm` instead of half of `kerf_mm`.
loops    past an outer corner the wire runs straight on into the waste, turns there and
         comes back on the new direction: the corner is cut by two straight runs. Only
         where the waste has room; a corner without room is slowed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LinearRing, LineString, MultiLineString, Polygon

from wirepath import overlay
from wirepath.geometry import QUAD_SEGS, polygons
from wirepath.model import Move
from wirepath.workshop import Cutting

Points = NDArray[np.float64]

LOOP_DEG = 45.0
"""Outer corners that turn less are no corners for a loop: its legs would lie side by side."""

LOOP_SHARES = (1.0, 0.5, 0.25)
"""A loop that finds no room is tried at these shares of its length."""

STEP_MM = 0.02
"""How far inside its wider offset the wire counts as on it: its slot may reach so far into
the piece, less than half of what the check allows, where the line steps out and in."""

EXACT_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of an outline: where it is, its unit directions in and out, and its turn.

    Outer corners turn left (`turn_deg` > 0), inner ones right: foam lies to the left.
    """

    at: Points
    into: Points
    out: Points
    turn_deg: float


@dataclass(frozen=True, slots=True)
class Driven:
    """The wire's way round an outline: what its line encloses, and where it does what.

    `slow` are the stretches of the line at the corner feed. Each of `loops` starts and
    ends at a corner of the line and is to be run where the line passes it.
    """

    grown: Polygon
    slow: Geometry
    loops: tuple[LineString, ...] = ()


@dataclass(frozen=True, slots=True)
class Waste:
    """Where loops may run: inside `face`, `web_mm` clear of the slots round `others`."""

    face: Geometry
    others: Geometry
    web_mm: float


def driven(outline: Polygon, cutting: Cutting, waste: Waste | None = None) -> Driven:
    """Return the wire's way round `outline`, an outer ring counter-clockwise.

    Without `waste` no loop is laid and every corner is slowed, if any are to be.
    """
    half = cutting.kerf_mm / 2
    grown: Geometry = shapely.buffer(outline, half, quad_segs=QUAD_SEGS)
    if cutting.corner_feed_mm_per_s is None and not cutting.corner_loops:
        return Driven(_whole(grown), MultiLineString())
    loops: list[LineString] = []
    patches: list[Geometry] = []
    tips: list[Polygon] = []
    for ring in rings(outline):
        slowed = []
        for along, corner in _corners(ring, cutting.corner_from_deg):
            loop = _loop(corner, outline, cutting, waste) if waste else None
            if loop is None:
                slowed.append(along)
            else:
                loops.append(loop)
                tips.append(_mitre(corner, half))
        if cutting.corner_feed_mm_per_s is not None:
            patches += _widened(ring, slowed, cutting)
    if patches or tips:
        grown = overlay.union([grown, *patches, *tips])
    whole = _whole(grown)
    return Driven(whole, _slow(whole, outline, tips, cutting), tuple(loops))


def half_kerf_mm(move: Move, cutting: Cutting) -> float:
    """Return half the width of the slot that a move melts, at its feed."""
    slow = cutting.corner_feed_mm_per_s
    if slow is not None and cutting.corner_kerf_mm and move.feed_mm_per_s == slow:
        return cutting.corner_kerf_mm / 2
    return cutting.kerf_mm / 2


def rings(outline: Polygon) -> list[LinearRing]:
    """Return the outer ring counter-clockwise, then the holes clockwise: foam on the left."""
    outline = shapely.orient_polygons(outline)
    return [outline.exterior, *outline.interiors]


def _whole(grown: Geometry) -> Polygon:
    (part,) = polygons(shapely.orient_polygons(grown))
    return part


def _corners(ring: LinearRing, from_deg: float) -> Iterator[tuple[float, Corner]]:
    """Yield each corner that turns by `from_deg` or more, and how far along the ring it lies."""
    points = shapely.get_coordinates(ring)
    steps = np.diff(points, axis=0)
    lengths = np.hypot(*steps.T)
    along = np.concatenate(([0.0], np.cumsum(lengths)))
    ways = steps / lengths[:, None]
    before = np.roll(ways, 1, axis=0)
    cross = before[:, 0] * ways[:, 1] - before[:, 1] * ways[:, 0]
    turns = np.degrees(np.arctan2(cross, (before * ways).sum(axis=1)))
    for i in np.flatnonzero(np.abs(turns) >= from_deg):
        yield float(along[i]), Corner(points[i], before[i], ways[i], float(turns[i]))


# --- Slowing down ------------------------------------------------------------------


def _widened(ring: LinearRing, corners: Sequence[float], cutting: Cutting) -> Iterator[Geometry]:
    """Yield what the wire's line encloses beside the slow stretches of `ring`, both sides."""
    assert cutting.corner_kerf_mm is not None, "settled before"
    points = shapely.get_coordinates(ring)
    for start, end in stretches(corners, cutting.corner_mm, ring.length):
        zone = LineString(stretch(points, start, end))
        yield shapely.buffer(
            zone, cutting.corner_kerf_mm / 2, quad_segs=QUAD_SEGS, cap_style="flat"
        )


def stretches(at: Sequence[float], reach: float, length: float) -> list[tuple[float, float]]:
    """Return the stretches within `reach` of places along a ring, joined where they meet.

    A stretch starts between 0 and `length` and may end beyond it: round the ring's end.
    """
    if not at:
        return []
    found: list[tuple[float, float]] = []
    for place in sorted(at):
        if found and place - reach <= found[-1][1]:
            found[-1] = (found[-1][0], place + reach)
        else:
            found.append((place - reach, place + reach))
    first, last = found[0], found[-1]
    if last[1] - length >= first[0] and len(found) > 1:
        found = [*found[1:-1], (last[0], first[1] + length)]
    return [(start % length, start % length + min(end - start, length)) for start, end in found]


def stretch(points: Points, start: float, end: float) -> Points:
    """Return the points (n, 2) of a ring from `start` to `end` along it, also past its end."""
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    twice = np.concatenate((along[:-1], along + along[-1]))
    run = np.concatenate((points[:-1], points))
    inside = (twice > start + EXACT_MM) & (twice < end - EXACT_MM)
    ends = np.column_stack([np.interp((start, end), twice, axis) for axis in run.T])
    return np.concatenate((ends[:1], run[inside], ends[1:]))


def _slow(grown: Polygon, outline: Polygon, tips: Sequence[Polygon], cutting: Cutting) -> Geometry:
    """Return the stretches of the wire's line that keep the wider offset off the outline."""
    if cutting.corner_feed_mm_per_s is None or cutting.corner_kerf_mm is None:
        return MultiLineString()
    wide, narrow = cutting.corner_kerf_mm / 2, cutting.kerf_mm / 2
    near: Geometry = shapely.buffer(
        outline, wide - min(STEP_MM, (wide - narrow) / 2), quad_segs=4 * QUAD_SEGS
    )
    # A looped corner's tip keeps far off too, at the usual feed.
    near = overlay.union([near, *shapely.buffer(tips, STEP_MM)])
    found: Geometry = overlay.difference(shapely.boundary(grown), near)
    return found


# --- Loops -------------------------------------------------------------------------


def _mitre(corner: Corner, half: float) -> Polygon:
    """Return what a line with a sharp corner encloses beyond one with a round corner."""
    sides = [corner.at + half * _right(way) for way in (corner.into, corner.out)]
    return Polygon([corner.at, sides[0], mitre_point(corner, half), sides[1]])


def _right(way: Points) -> Points:
    return np.array([way[1], -way[0]])


def mitre_point(corner: Corner, half: float) -> Points:
    """Return where the two lines meet that run `half` outside the corner's sides."""
    middle = _right(corner.into) + _right(corner.out)
    tip: Points = corner.at + middle * (2 * half / (middle @ middle))
    return tip


def _loop(corner: Corner, outline: Polygon, cutting: Cutting, waste: Waste) -> LineString | None:
    """Return the largest loop that the waste past an outer corner has room for, or none."""
    if not cutting.corner_loops or corner.turn_deg < max(LOOP_DEG, cutting.corner_from_deg):
        return None
    half = cutting.kerf_mm / 2
    tip = mitre_point(corner, half)
    off = float(np.hypot(*(tip - corner.at)))
    for share in LOOP_SHARES:
        reach = cutting.corner_loop_mm * share
        far, back = tip + reach * corner.into, tip - reach * corner.out
        loop = LineString([tip, far, back, tip])
        turn = LineString([far, back])
        # Nothing of the piece may lie nearer to the loop than the corner itself does.
        alone = (
            shapely.distance(loop, outline) >= off - EXACT_MM
            and shapely.distance(turn, outline)
            >= shapely.distance(turn, shapely.points(corner.at)) - EXACT_MM
            and shapely.distance(turn, shapely.points(corner.at)) >= 3 * half
        )
        clear = not shapely.dwithin(loop, waste.others, 3 * half + waste.web_mm - EXACT_MM)
        if alone and clear and shapely.contains_properly(waste.face, loop):
            return loop
    return None
