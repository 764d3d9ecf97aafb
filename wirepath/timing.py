"""How long the wire takes over a pass: simulated from its moves, feeds and corners.

A table speeds up and slows down at a steady rate (a trapezoid of speed over time, as in
Biagiotti and Melchiorri, *Trajectory Planning for Automatic Machines and Robots*,
Springer 2008, chapter 3; from memory). It takes a sharp corner from rest, goes round a
rounding as fast as the same rate lets it turn (v^2 / r, textbook), and looks ahead, so that
it is slow enough where it has to be. By hand, with a bow or along a fence, the feed is kept:
what hands add is in nobody's tables.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.model import Pass
from wirepath.workshop import Rig

STOP_DEG = 30.0
"""Corners that turn by this much or more are taken from rest: common practice, no source.
Steps of flattened curves turn by some degrees only."""

Floats = NDArray[np.float64]


def pass_seconds(one: Pass, rig: Rig) -> float:
    """Return the simulated time of a pass in s, from rest to rest; 0 for one without moves."""
    points, feeds = _segments(one)
    if not len(feeds):
        return 0.0
    steps = np.diff(points, axis=0)
    # Of two ends that go different ways in one time, the longer way sets the pace.
    lengths = np.maximum(np.hypot(*steps[:, :2].T), np.hypot(*steps[:, 2:].T))
    if rig.kind != "table":
        return float((lengths / feeds).sum())
    speeds = _speeds(steps, lengths, feeds, rig.acceleration_mm_per_s2)
    return float(_seconds(speeds, lengths, feeds, rig.acceleration_mm_per_s2).sum())


def stopping_places(one: Pass) -> Floats:
    """Return where a table's wire comes to rest on its way, (n, 2): at sharp corners only."""
    points, _ = _segments(one)
    steps = np.diff(points, axis=0)
    if len(steps) < 2:
        return np.zeros((0, 2))
    ways = steps / np.linalg.norm(steps, axis=1)[:, None]
    cosines = (ways[1:] * ways[:-1]).sum(axis=1)
    found: Floats = points[1:-1, :2][cosines <= np.cos(np.radians(STOP_DEG))]
    return found


def _segments(one: Pass) -> tuple[Floats, Floats]:
    """Return the points (n, 4) of a pass, both ends', and the feeds (n - 1) between them."""
    near, which = shapely.get_coordinates([move.line for move in one.moves], return_index=True)
    far = shapely.get_coordinates([move.far or move.line for move in one.moves])
    points = np.hstack((near, far))
    feeds = np.array([move.feed_mm_per_s for move in one.moves])[which]
    moved = np.concatenate(([True], np.any(np.diff(points, axis=0) != 0, axis=1)))
    return points[moved], feeds[moved][1:]


def _speeds(steps: Floats, lengths: Floats, feeds: Floats, acceleration: float) -> Floats:
    """Return the squares of the speeds at the points, (n): as high as what lies ahead allows.

    The square of the speed falls and rises by 2 a d over a distance d, so each point is
    bound by every other's limit plus that, both ways: two running minima. Short steps that
    turn a little each are chords of an arc of radius r = chord / (2 sin(turn / 2)), on which
    v^2 / r is at most the same acceleration.
    """
    ways = steps / np.linalg.norm(steps, axis=1)[:, None]
    cosines = np.clip((ways[1:] * ways[:-1]).sum(axis=1), -1.0, 1.0)
    chords = np.minimum(lengths[1:], lengths[:-1])
    radii = chords / np.maximum(2 * np.sin(np.arccos(cosines) / 2), 1e-9)
    turning = np.minimum(np.minimum(feeds[1:], feeds[:-1]), np.sqrt(acceleration * radii))
    sharp = cosines <= np.cos(np.radians(STOP_DEG))
    limits = np.concatenate(([0.0], np.where(sharp, 0.0, turning), [0.0]))
    rise = 2 * acceleration * np.concatenate(([0.0], np.cumsum(lengths)))
    ahead = np.minimum.accumulate(limits**2 - rise) + rise
    back = np.minimum.accumulate((ahead + rise)[::-1])[::-1] - rise
    return np.maximum(back, 0.0)


def _seconds(squares: Floats, lengths: Floats, feeds: Floats, acceleration: float) -> Floats:
    """Return the time on each segment: speeding up, at its top speed, slowing down."""
    start, end = squares[:-1], squares[1:]
    top = np.minimum(feeds**2, (start + end) / 2 + acceleration * lengths)
    even = lengths - (2 * top - start - end) / (2 * acceleration)
    top_speed = np.sqrt(top)
    changes = (2 * top_speed - np.sqrt(start) - np.sqrt(end)) / acceleration
    return changes + np.maximum(even, 0.0) / top_speed
