"""The exact finish: pieces pushed apart and together by a linear programme."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
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
    bounds = np.column_stack(
        [np.concatenate([low, [0.0, 0.0]]), np.concatenate([high, [np.inf, np.inf]])]
    )
    effort.done += CALL_COST + ROW_COST * (n_apart + count)
    answer = linprog(cost, A_ub=matrix, b_ub=limits, bounds=bounds, method="highs-ds")
    if answer.x is None:
        return None
    moved = np.column_stack([answer.x[:count], answer.x[count : 2 * count]])
    return moved, float((moved[:, 0] + sizes[:, 0]).max()), float(answer.x[slack])


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
        normal, reach, outside = best_lines(
            maps.outlines(variants[one], variants[other]),
            spots[other] - spots[one],
            corners=maps.clearance_mm > 0,
        )
        chosen = outside < near_mm
        normals.append(normal[chosen])
        reaches.append(reach[chosen])
        pairs.extend([(one, other)] * int(chosen.sum()))
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


def best_lines(outlines: Outlines, spot: Floats, *, corners: bool) -> tuple[Floats, Floats, Floats]:
    """Return for each convex polygon the line that parts it best from a spot.

    As outward normals (n, 2), how far the lines lie from 0, 0 (n,), and how far the spot
    lies outside of them (n,), less than 0 inside. With `corners`, lines through the
    nearest corner, square to the way there, are looked at too.
    """
    outside = outlines.normals @ spot - outlines.reaches
    part = np.arange(len(outside))
    edge = outside.argmax(axis=1)
    normal, reach = outlines.normals[part, edge], outlines.reaches[part, edge]
    best = outside[part, edge]
    if corners:
        away = spot - outlines.corners
        apart = np.hypot(away[..., 0], away[..., 1])
        corner = apart.argmin(axis=1)
        length = np.maximum(apart[part, corner], 1e-9)
        square = away[part, corner] / length[:, None]
        # It parts them only if every other corner lies behind it.
        behind = (outlines.corners * square[:, None, :]).sum(axis=2).max(axis=1)
        gap = square @ spot - behind
        better = gap > best
        normal = np.where(better[:, None], square, normal)
        reach, best = np.where(better, behind, reach), np.where(better, gap, best)
    return normal, reach, best
