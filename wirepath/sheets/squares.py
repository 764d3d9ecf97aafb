"""Setting out by squares: the grid on the foam, and where a line crosses its sides."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

Points = NDArray[np.float64]

SIDES_MM = (10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
"""Round sides to choose from: each is marked with a rule without reckoning."""

LEAST_PRINTED_MM = 9.0
"""A square on paper is no smaller, so that its name and a line in it can be told apart."""

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Without I and O, which look like figures (ISO 5457, reference fields of drawings)."""

CORNER_DEG = 15.0
"""A line that turns by more has a corner, to be marked as such. A flattened curve turns less."""

FEWEST = 4
"""A line without corners and with fewer crossings, such as a small round hole, is also given by the
points where it lies furthest left, right, down and up."""

CURVE_MM = 2.0
"""How far the points given for a curve inside one square may miss it."""

NEAR_MM = 1e-6
TINY_MM = 1e-4


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where a line leaves one square for the next, or has a corner inside a square.

    `across_mm` is measured from the left end of a level side, `up_mm` from the lower
    end of an upright one; a corner has both, from the square's lower left corner.
    """

    squares: tuple[str, ...]
    across_mm: float | None
    up_mm: float | None


def side_mm(scale: float, wish_mm: float | None = None) -> float:
    """Return the side of the squares for a picture at 1 : `scale`, or the one wished for."""
    if wish_mm is not None:
        return wish_mm
    fits = [side for side in SIDES_MM if side / scale >= LEAST_PRINTED_MM]
    return fits[0] if fits else SIDES_MM[-1]


def column_name(index: int) -> str:
    """Return the letters of a column, from 0: A ... Z, AA, AB ... without I and O."""
    name = ""
    index += 1
    while index > 0:
        index, letter = divmod(index - 1, len(LETTERS))
        name = LETTERS[letter] + name
    return name


def square_name(column: int, row: int) -> str:
    """Return the name of a square; columns and rows from 0."""
    return f"{column_name(column)}{row + 1}"


def crossings(ring: Points, side: float) -> tuple[Crossing, ...]:
    """Return the crossings and corners of a closed line, in order along it.

    `ring` is (n, 2), mm, its last point the first one again. A straight edge from corner
    to corner is given by its two corners alone; a curve from corner to corner inside one
    square by points that miss it by no more than `CURVE_MM`. A line along a side of a
    square counts as running in the square to the right of it, or above it. Points that
    repeat the one before count once.
    """
    moved = np.hypot(*np.diff(ring, axis=0).T) > 0
    ring = ring[np.r_[True, moved]]
    starts, ends = ring[:-1], ring[1:]
    is_corner = _turns_deg(starts) > CORNER_DEG
    found: list[Crossing] = []
    curve: list[Points] = []
    for i in _from_a_corner(is_corner):
        start, end = starts[i], ends[i]
        if is_corner[i]:
            found += [_within(point, side) for point in _needed(curve, start)]
            found.append(_within(start, side))
            curve = [start]
        elif found and curve:
            curve.append(start)
        if is_corner[i] and is_corner[(i + 1) % len(starts)]:
            curve = []
            continue
        events = list(_events(start, end, starts[i - 1], side, is_corner[i]))
        if events:
            curve = []
            found += events
    if curve:
        found += [_within(point, side) for point in _needed(curve, ring[0])]
    if not is_corner.any() and len(found) < FEWEST:
        found += [
            _within(ring[int(np.argmax(pick * ring[:, axis]))], side)
            for axis in (0, 1)
            for pick in (-1, 1)
        ]
    return tuple(found)


def _from_a_corner(is_corner: NDArray[np.bool_]) -> list[int]:
    """Return the places of a ring's points in order, from a corner on if it has one."""
    first = int(np.argmax(is_corner))
    return [*range(first, len(is_corner)), *range(first)]


def _needed(curve: Sequence[Points], end: Points) -> Points:
    """Return the points between the ends of a curve that show it well enough, (n, 2)."""
    if len(curve) < 2:
        return np.empty((0, 2))
    line = shapely.linestrings([*curve, end])
    kept: Points = shapely.get_coordinates(shapely.simplify(line, CURVE_MM))
    return kept[1:-1]


def _within(point: Points, side: float) -> Crossing:
    """Return a point measured from the lower left corner of its square."""
    cell = np.floor(point / side + NEAR_MM).astype(int)
    across, up = np.maximum(point - cell * side, 0.0)
    return Crossing((square_name(*cell),), float(across), float(up))


def _events(
    start: Points, end: Points, before: Points, side: float, is_corner: bool
) -> Iterator[Crossing]:
    """Give the crossings of one straight part, `start` included, `end` not."""
    ahead = (end - start) / np.hypot(*(end - start))
    if not is_corner and _on_grid(start, side):
        behind = (start - before) / np.hypot(*(start - before))
        yield from _passage(start, behind, ahead, side)
    length = float(np.hypot(*(end - start)))
    at: list[float] = []
    for axis in (0, 1):
        low, high = sorted((start[axis], end[axis]))
        if high - low < NEAR_MM:
            continue
        lines = np.arange(np.ceil(low / side), np.floor(high / side) + 1) * side
        at += [float(x) for x in (lines - start[axis]) / (end[axis] - start[axis]) * length]
    last = 0.0
    for distance in sorted(at):
        if distance - last > NEAR_MM and length - distance > NEAR_MM:
            yield from _passage(start + distance * ahead, ahead, ahead, side)
            last = distance


def _passage(point: Points, behind: Points, ahead: Points, side: float) -> Iterator[Crossing]:
    """Give the crossing at a point on a side, none where the line only touches it."""
    one = np.floor((point - behind * TINY_MM) / side + NEAR_MM / side).astype(int)
    two = np.floor((point + ahead * TINY_MM) / side + NEAR_MM / side).astype(int)
    if tuple(one) == tuple(two):
        return
    local = np.maximum(point - np.maximum(one, two) * side, 0.0)
    names = (square_name(*one), square_name(*two))
    if one[0] != two[0] and one[1] != two[1]:
        yield Crossing(names, 0.0, 0.0)
    elif one[0] != two[0]:
        yield Crossing(names, None, float(local[1]))
    else:
        yield Crossing(names, float(local[0]), None)


def _on_grid(point: Points, side: float) -> bool:
    rest = np.abs(point / side - np.round(point / side)) * side
    return bool((rest < NEAR_MM).any())


def _turns_deg(points: Points) -> NDArray[np.float64]:
    """Return how far the ring turns at each point, (n,), 0 to 180; points (n, 2) not closed."""
    ahead = np.roll(points, -1, axis=0) - points
    behind = points - np.roll(points, 1, axis=0)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    dot = (ahead * behind).sum(axis=1)
    turns: NDArray[np.float64] = np.abs(np.degrees(np.arctan2(cross, dot)))
    return turns
