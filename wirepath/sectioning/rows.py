"""Seams on a raster: rows across the form, each row parted by itself, at least cost.

Two shortest ways, one inside the other. Within a strip between two lines, the cheapest
cuts follow from the cheapest cuts of every shorter stretch (dynamic programming, exact
on the raster); the rows follow in the same way from the cost of every strip. Then the
rows are gone through once more in turn, each keeping its seams away from those of the
row before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from wirepath.fitting import DUST_MM
from wirepath.sectioning.raster import Floats, Raster

SLIVERS = 3.0
"""How many more pieces one that is narrower than the least counts for."""

CORNER_MM = 30.0
"""Where seams cannot keep the whole lap, at least no four pieces meet in a corner."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """What a piece may be, and what foam counts for.

    `rooms` (k, 3) are width, height and depth a piece must go into, one of them.
    `spread` is (cos, sin) of the angle between raster and drawing, both positive: where
    a piece may not be turned upright again, that is how its box grows.
    """

    rooms: Floats
    may_swap: bool
    spread: tuple[float, float]
    most_mm3: float
    least_mm: float
    foam_per_mm3: float
    piece_mm: float
    """What one more piece counts for, as a length of seam: handling, numbering, pins."""
    square: bool = False
    """Whether pieces are left as the boxes around what they hold of the form."""
    blocks: Floats | None = None
    """(k, 4) width, height, depth and price of the blocks that groups of pieces are cut
    from, none cheaper than `foam_per_mm3`; None where what is sought are pieces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row of the pattern: between two lines of ys, parted at some lines of xs (indices)."""

    start: int
    end: int
    cuts: tuple[int, ...]
    """Both ends included."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Strips:
    """What pieces and seams count for in e strips of n columns.

    In strip k the piece from xs[i] to xs[j + 1] costs foam[k, j, i] and counts as
    length[k, j, i] mm of seam, (e, n, n), foam inf where it is too large;
    seam (e, n + 1) is the length of the seam along each line.
    """

    foam: Floats
    length: Floats
    seam: Floats

    def parted(self, prices: Floats) -> tuple[Floats, NDArray[np.int64]]:
        """Return least costs (e, p) at p prices of a seam and the line before each, (e, p, n + 1).

        The cheapest way to part a stretch ends with one piece, and before it stands the
        cheapest way to part a shorter stretch.
        """
        strips, count, _ = self.foam.shape
        cost = np.zeros((strips, len(prices), count + 1))
        before = np.zeros(cost.shape, dtype=np.int64)
        for to in range(1, count + 1):
            length = self.seam[:, :to] + self.length[:, to - 1, :to]
            tries = cost[:, :, :to] + prices[:, None] * length[:, None]
            tries += self.foam[:, None, to - 1, :to]
            least = tries.argmin(axis=2)
            before[:, :, to] = least
            cost[:, :, to] = np.take_along_axis(tries, least[:, :, None], axis=2)[:, :, 0]
        return cost[:, :, -1], before


def best_rows(
    raster: Raster, rules: Rules, prices: Sequence[float], *, lap_mm: float
) -> list[tuple[float, list[Row]]]:
    """Return, for each price of a millimetre of seam, the cheapest pattern's cost and rows.

    Rows come from the lowest up. The cost is that of the pattern before its seams are
    moved apart by `lap_mm` (0 leaves them). Prices at which no pattern on this raster
    makes all pieces fit are left out.
    """
    per_mm = np.array(prices)
    count = len(raster.ys) - 1
    across = raster.run.sum(axis=0)
    across[raster.run_barred.any(axis=0)] = np.inf
    across[[0, -1]] = 0.0
    tallest = float(rules.rooms[:, :2].max())
    cost = np.full((len(per_mm), count + 1), np.inf)
    cost[:, 0] = 0.0
    before = np.zeros((len(per_mm), count + 1), dtype=np.int64)
    filled = (raster.top.max(axis=0) > 0).tolist()
    # No strip takes less foam than every cell at its own height, nor fewer pieces than one.
    cells = raster.top * np.diff(raster.xs)[:, None] * np.diff(raster.ys)
    least = np.concatenate([[0.0], cells.sum(axis=0).cumsum()]) * rules.foam_per_mm3
    for start in range(count):
        if not np.isfinite(across[start]) or not any(filled[start:]):
            continue
        low = raster.ys[start + filled[start:].index(True)]
        base = cost[:, start] + across[start] * per_mm
        bound = base + rules.piece_mm * per_mm - least[start]
        ends = [
            end
            for end in range(start + 1, count + 1)
            if raster.ys[end] - low <= tallest + DUST_MM
            and any(filled[start:end])
            and (bound + least[end] < cost[:, end]).any()
        ]
        if not ends:
            continue
        total = base + _strips(raster, rules, start, ends).parted(per_mm)[0]
        better = total < cost[:, ends].T
        place, price_at = np.nonzero(better)
        cost[price_at, np.array(ends)[place]] = total[better]
        before[price_at, np.array(ends)[place]] = start
    found = []
    for k, price in enumerate(prices):
        if not np.isfinite(cost[k, -1]):
            continue
        lines = _chain(before[k])
        rows: list[Row] = []
        for start, end in pairwise(lines):
            rows.append(_row(raster, rules, price, start, end, rows, lap_mm))
        found.append((float(cost[k, -1]), rows))
    return found


def _chain(before: NDArray[np.int64]) -> list[int]:
    """Return the lines from the first to the last, each being `before` the next."""
    lines = [len(before) - 1]
    while lines[-1]:
        lines.append(int(before[lines[-1]]))
    return lines[::-1]


def _row(
    raster: Raster,
    rules: Rules,
    price: float,
    start: int,
    end: int,
    rows: Sequence[Row],
    lap_mm: float,
) -> Row:
    """Return the row between two lines, its seams as far from the last row's as can be."""
    strip = _strips(raster, rules, start, [end])
    laps: Sequence[float] = ()
    gap = np.full(len(raster.xs), np.inf)
    if rows and lap_mm:
        last = np.array(rows[-1].cuts[1:-1], dtype=np.int64)
        # A seam that does not reach this row, for the form is hollow there, is no matter.
        reaching = last[raster.rise[last, start - 1] > DUST_MM]
        gap = np.abs(raster.xs[:, None] - raster.xs[reaching]).min(axis=1, initial=np.inf)
        laps = (lap_mm, lap_mm / 2, CORNER_MM)
    for lap in (*laps, 0.0):
        seam = np.where((gap < lap - DUST_MM) & (strip.seam > 0), np.inf, strip.seam)
        cost, before = replace(strip, seam=seam).parted(np.array([price]))
        if np.isfinite(cost[0, 0]):
            break
    return Row(start=start, end=end, cuts=tuple(_chain(before[0, 0])))


def _strips(raster: Raster, rules: Rules, start: int, ends: Sequence[int]) -> _Strips:
    """Return the strips from line `start` of ys to each of `ends`."""
    rows = np.array(ends) - start - 1
    top = raster.top[:, start : ends[-1]]
    bottoms = raster.ys[start : ends[-1]]
    taken = top > 0
    # Each (n, rows): the highest cell, the lowest and highest edge and the area so far up.
    thick = np.maximum.accumulate(top, axis=1)[:, rows].T
    low = np.minimum.accumulate(np.where(taken, bottoms, np.inf), axis=1)[:, rows].T
    tops = np.where(taken, raster.ys[start + 1 : ends[-1] + 1], -np.inf)
    high = np.maximum.accumulate(tops, axis=1)[:, rows].T
    heights = np.diff(raster.ys[start : ends[-1] + 1])
    area = np.add.accumulate(taken * heights, axis=1)[:, rows].T * np.diff(raster.xs)
    filled = thick > 0
    width = _running(np.maximum, np.where(filled, raster.xs[1:], -np.inf)) - _running(
        np.minimum, np.where(filled, raster.xs[:-1], np.inf)
    )
    height = _running(np.maximum, high) - _running(np.minimum, low)
    thick = np.maximum(_running(np.maximum, thick), 0.0)
    empty = thick == 0
    width[empty] = height[empty] = 0.0
    volume = (width * height if rules.square else _running(np.add, area)) * thick
    if rules.blocks is not None:
        own = np.add.accumulate(top * heights, axis=1)[:, rows].T * np.diff(raster.xs)
        volume = _running(np.add, own)
    fits = (_fits(width, height, thick, rules) & (volume <= rules.most_mm3)) | empty
    sliver = ~empty & (np.minimum(width, height) < rules.least_mm)
    foam = volume * rules.foam_per_mm3
    if rules.blocks is not None:
        foam = covering(width, height, thick, rules.blocks)
    # There is no piece that ends before it begins.
    foam[~fits | ~np.tri(foam.shape[1], dtype=np.bool_)] = np.inf
    seam = np.add.accumulate(raster.rise[:, start : ends[-1]], axis=1)[:, rows].T
    barred = np.logical_or.accumulate(raster.rise_barred[:, start : ends[-1]], axis=1)
    seam = np.where(barred[:, rows].T, np.inf, seam)
    seam[:, 0] = 0.0
    return _Strips(
        foam=foam,
        length=rules.piece_mm * (np.where(empty, 0.0, 1.0) + np.where(sliver, SLIVERS, 0.0)),
        seam=seam,
    )


def _running(combine: np.ufunc, values: Floats) -> Floats:
    """Return `combine` over the columns i to j of each strip, (e, n), at [strip, j, i]."""
    neutral = -np.inf if combine is np.maximum else np.inf if combine is np.minimum else 0.0
    begun = np.tri(values.shape[1], dtype=np.bool_)
    square = np.where(begun, values[:, :, None], neutral)
    running: Floats = combine.accumulate(square, axis=1)
    return running


def covering(width: Floats, height: Floats, thick: Floats, blocks: Floats) -> Floats:
    """Return the price of the slabs, of the cheapest blocks, that cover each box side by side."""
    prices = [
        np.minimum(
            np.ceil(width / wide - DUST_MM) * np.ceil(height / high - DUST_MM),
            np.ceil(width / high - DUST_MM) * np.ceil(height / wide - DUST_MM),
        )
        * (price * thick / deep)
        for wide, high, deep, price in blocks
    ]
    least: Floats = np.min(prices, axis=0)
    return least


def _fits(width: Floats, height: Floats, thick: Floats, rules: Rules) -> NDArray[np.bool_]:
    cos, sin = rules.spread
    wide, high = width * cos + height * sin, width * sin + height * cos
    fit = np.zeros(width.shape, dtype=np.bool_)
    for room in rules.rooms:
        across, up, deep = room + DUST_MM
        lies = (wide <= across) & (high <= up)
        if rules.may_swap:
            lies |= (high <= across) & (wide <= up)
        fit |= lies & (thick <= deep)
    return fit
