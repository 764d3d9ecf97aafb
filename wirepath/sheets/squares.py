"""Setting out by squares: the grid on the foam, and where a line crosses its sides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
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
"""A line with fewer crossings and corners, such as a small round hole, is also given by the
points where it lies furthest left, right, down and up."""

NEAR_MM = 1e-6


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
    while index:
        index, letter = divmod(index - 1, len(LETTERS))
        name = LETTERS[letter] + name
    return name


def square_name(column: int, row: int) -> str:
    """Return the name of a square; columns and rows from 0."""
    return f"{column_name(column)}{row + 1}"


def crossings(ring: Points, side: float) -> tuple[Crossing, ...]:
    """Return the crossings and corners of a closed line, in order along it.

    `ring` is (n, 2), mm, its last point the first one again. A line along a side of a
    square counts as running in the square to the right of it, or above it.
    """
    points, is_corner = _with_crossings(ring, side)
    middles = (points + np.roll(points, -1, axis=0)) / 2
    cells = np.floor(middles / side + NEAR_MM).astype(int)
    found = []
    for i, point in enumerate(points):
        before, after = cells[i - 1], cells[i]
        corner_of = point - before * side
        if tuple(before) == tuple(after):
            if is_corner[i]:
                found.append(
                    Crossing((square_name(*before),), float(corner_of[0]), float(corner_of[1]))
                )
            continue
        names = (square_name(*before), square_name(*after))
        steps_across, steps_up = before[0] != after[0], before[1] != after[1]
        local = point - np.minimum(before, after) * side
        if steps_across and steps_up:
            # Through a point of the grid: measured in the first square, as a corner is.
            found.append(Crossing(names, float(corner_of[0]), float(corner_of[1])))
        elif steps_across:
            up = float(local[1])
            across = float(corner_of[0]) if is_corner[i] else None
            found.append(Crossing(names, across if across else None, up))
        else:
            found.append(Crossing(names, float(local[0]), None))
    if len(found) < FEWEST:
        found += [_extreme(ring, side, axis, pick) for axis in (0, 1) for pick in (-1, 1)]
    return tuple(found)


def _extreme(ring: Points, side: float, axis: int, pick: int) -> Crossing:
    """Return the point of a line that lies furthest along an axis, or least far."""
    point = ring[int(np.argmax(pick * ring[:, axis]))]
    cell = np.floor(point / side + NEAR_MM).astype(int)
    across, up = point - cell * side
    return Crossing((square_name(*cell),), float(across), float(up))


def _with_crossings(ring: Points, side: float) -> tuple[Points, NDArray[np.bool_]]:
    """Return the ring's corners and its crossings with the grid, in order, no point twice.

    Points (n, 2) not closed, and whether each is a corner.
    """
    starts, ends = ring[:-1], ring[1:]
    turns = _turns_deg(starts)
    out: list[Points] = []
    corner: list[bool] = []
    for i, (start, end) in enumerate(zip(starts, ends, strict=True)):
        if turns[i] > CORNER_DEG:
            out.append(start)
            corner.append(True)
        elif _on_grid(start, side):
            out.append(start)
            corner.append(False)
        shares = []
        for axis in (0, 1):
            low, high = sorted((start[axis], end[axis]))
            if high - low < NEAR_MM:
                continue
            lines = np.arange(np.ceil(low / side - NEAR_MM), np.floor(high / side + NEAR_MM) + 1)
            shares.append((lines * side - start[axis]) / (end[axis] - start[axis]))
        if not shares:
            continue
        length = float(np.hypot(*(end - start)))
        inside = np.unique(np.concatenate(shares))
        inside = inside[(inside * length > NEAR_MM) & ((1 - inside) * length > NEAR_MM)]
        inside = inside[np.concatenate(([True], np.diff(inside) * length > NEAR_MM))[: len(inside)]]
        out.extend(start + share * (end - start) for share in inside)
        corner.extend(False for _ in inside)
    return np.array(out).reshape(-1, 2), np.array(corner, dtype=bool)


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
