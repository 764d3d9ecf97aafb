"""The exact finish: pieces pushed apart and together by a linear programme."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from wirepath.nesting.fields import Effort
from wirepath.nesting.maps import Maps, Outlines
from wirepath.nesting.solids import Floats

CALL_COST, ROW_COST = 1_500_000, 12_000
"""Work of a linear programme and of each of its rows, in cells: 557 rows took as long as
8e6 cells, a few rows 2 ms."""


def press(
    maps: Maps,
    variants: Sequence[int],
    spots: Floats,
    *,
    height_mm: float,
    step_mm: float,
    effort: Effort,
    width_mm: float = math.inf,
    rounds: int = 12,
    pull: tuple[float, float] | None = None,
) -> tuple[Floats, float] | None:
    """Return spots, (n, 2), with no overlap, and the width they need; None if not found.

    All within `width_mm` and `height_mm`.

    Each pair that may touch keeps to the outer side of one edge of every convex part
    pair's no-fit polygon: the edge it is farthest outside of, or least inside. Under
    these the least width is a linear programme (Li and Milenkovic 1995); the edges are
    chosen anew and again until nothing moves. No piece moves more than `step_mm` a round.
    With `pull`, all pieces are pulled that way against x and y, instead of the width.
    """
    spots = spots.copy()
    best: tuple[Floats, float] | None = None
    least = math.inf
    sizes = np.array([(maps.variants[v].width_mm, maps.variants[v].height_mm) for v in variants])
    for _ in range(rounds):
        answer = _press_once(
            maps, variants, sizes, spots, (width_mm, height_mm), step_mm, pull, effort
        )
        if answer is None:
            return best
        spots, width, slack = answer
        if slack > 1e-7:
            continue
        goal = width if pull is None else float((spots @ pull).mean())
        if best is not None and goal > least - 1e-4 * step_mm:
            return best if least <= goal else (spots, width)
        best, least = (spots, width), goal
    return best


def _press_once(
    maps: Maps,
    variants: Sequence[int],
    sizes: Floats,
    spots: Floats,
    room_mm: tuple[float, float],
    step_mm: float,
    pull: tuple[float, float] | None,
    effort: Effort,
) -> tuple[Floats, float, float] | None:
    count = len(variants)
    rows, cols, values, limits = _apart(maps, variants, sizes, spots, 2 * step_mm)
    # Unknowns: x of all, y of all, the width, and how far any overlap is left (slack).
    wide, slack = 2 * count, 2 * count + 1
    n_apart = len(limits)
    row = np.arange(count) + n_apart
    rows = np.concatenate([rows, np.arange(n_apart), row, row])
    cols = np.concatenate([cols, np.full(n_apart, slack), np.arange(count), np.full(count, wide)])
    values = np.concatenate([values, -np.ones(n_apart), np.ones(count), -np.ones(count)])
    limits = np.concatenate([limits, -sizes[:, 0]])
    matrix = csr_array((values, (rows, cols)), shape=(n_apart + count, 2 * count + 2))
    cost = np.zeros(2 * count + 2)
    cost[wide], cost[slack] = 1.0, 100.0
    cost[:count] = 1e-4 / count
    if pull is not None:
        cost[:count], cost[count:wide], cost[wide] = pull[0] / count, pull[1] / count, 0.0
    low = np.concatenate([spots[:, 0] - step_mm, spots[:, 1] - step_mm])
    high = np.concatenate([spots[:, 0] + step_mm, spots[:, 1] + step_mm])
    room = np.concatenate([room_mm[0] - sizes[:, 0], room_mm[1] - sizes[:, 1]])
    high = np.minimum(high, np.maximum(room, 0.0))
    low = np.minimum(np.maximum(low, 0.0), high)
    low, high = np.append(low, [0.0, 0.0]), np.append(high, [np.inf, np.inf])
    effort.done += CALL_COST + ROW_COST * (n_apart + count)
    x = least_cost(cost, matrix, limits, low, high)
    if x is None:
        return None
    moved = np.column_stack([x[:count], x[count : 2 * count]])
    return moved, float((moved[:, 0] + sizes[:, 0]).max()), float(x[slack])


def least_cost(
    cost: Floats, matrix: csr_array, limits: Floats, low: Floats, high: Floats
) -> Floats | None:
    """Return x of least `cost @ x` with `matrix @ x <= limits` and low <= x <= high, or None.

    As a mixed programme without whole numbers: the same solver with half the ado, which is
    most of the time where there are few rows.
    """
    answer = milp(
        cost, constraints=LinearConstraint(matrix, -np.inf, limits), bounds=Bounds(low, high)
    )
    return None if answer.x is None else np.asarray(answer.x)


def _apart(
    maps: Maps, variants: Sequence[int], sizes: Floats, spots: Floats, reach_mm: float
) -> tuple[NDArray[np.int64], NDArray[np.int64], Floats, Floats]:
    """Return the rows `matrix @ unknowns <= limits` that keep near pairs apart."""
    count = len(variants)
    near_mm = reach_mm + maps.clearance_mm
    low, high = spots - near_mm / 2, spots + sizes + near_mm / 2
    meet = (low[:, None] < high[None]).all(axis=2) & (low[None] < high[:, None]).all(axis=2)
    normals: list[Floats] = []
    reaches: list[Floats] = []
    pairs: list[tuple[int, int]] = []
    for one, other in np.argwhere(np.triu(meet, 1)).tolist():
        outlines = maps.outlines(variants[one], variants[other])
        apart = spots[other] - spots[one]
        _, normal, reach = lines_near(outlines, apart, near_mm, corners=maps.clearance_mm > 0)
        normals.append(normal)
        reaches.append(reach)
        pairs.extend([(one, other)] * len(reach))
    if not pairs:
        none = np.zeros(0, dtype=np.int64)
        return none, none, np.zeros(0), np.zeros(0)
    normal, reach = np.concatenate(normals), np.concatenate(reaches) + maps.clearance_mm
    pair = np.array(pairs)
    row = np.arange(len(pair))
    # normal . (other - one) >= reach, as normal . one - normal . other <= -reach
    rows = np.tile(row, 4)
    cols = np.concatenate([pair[:, 0], pair[:, 0] + count, pair[:, 1], pair[:, 1] + count])
    values = np.concatenate([normal[:, 0], normal[:, 1], -normal[:, 0], -normal[:, 1]])
    return rows, cols, values, -reach


def lines_near(
    outlines: Outlines, spot: Floats, within_mm: float, *, corners: bool
) -> tuple[NDArray[np.intp], Floats, Floats]:
    """Return for convex polygons near a spot the line that parts each best from it.

    As the polygons' numbers (n,), the lines' outward normals (n, 2) and how far they lie from
    0, 0 (n,): those that the spot is less than `within_mm` outside of, or anywhere inside.
    With `corners`, lines through the nearest corner, square to the way there, are looked at too.
    """
    gap = np.maximum(outlines.low - spot, spot - outlines.high).max(axis=1)
    near = np.flatnonzero(gap < within_mm)
    outside = outlines.normals[near] @ spot - outlines.reaches[near]
    part = np.arange(len(near))
    edge = outside.argmax(axis=1)
    normal, reach = outlines.normals[near, edge], outlines.reaches[near, edge]
    best = outside[part, edge]
    if corners:
        # From inside no line is nearer than an edge's.
        beyond = np.flatnonzero((best > 0) & (best < within_mm))
        corner = outlines.corners[near[beyond]]
        away = spot - corner
        apart = np.hypot(away[..., 0], away[..., 1])
        part = np.arange(len(beyond))
        nearest = apart.argmin(axis=1)
        length = np.maximum(apart[part, nearest], 1e-9)
        square = away[part, nearest] / length[:, None]
        # It parts them only if every other corner lies behind it.
        behind = (corner * square[:, None, :]).sum(axis=2).max(axis=1)
        wider = square @ spot - behind
        better = wider > best[beyond]
        found = beyond[better]
        normal[found], reach[found], best[found] = square[better], behind[better], wider[better]
    chosen = best < within_mm
    return near[chosen], normal[chosen], reach[chosen]
