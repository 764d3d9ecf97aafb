"""Which sheets of paper a template is printed on, and where they join."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import shapely
from shapely import MultiLineString, Polygon, box

OVERLAP_MM = 15.0
"""What neighbouring sheets print twice: more than the rim a desktop printer leaves blank."""

SHIFTS = 5
"""In how many places across its play the grid is tried, each way."""

Cell = tuple[int, int]
"""Column and row, from the lower left, counted from 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """A grid of windows, each `window_mm` wide and high, laid over a picture.

    Neighbours share a band of OVERLAP_MM; they join along its middle. `cells` are
    the windows that are printed, row by row from the lower left.
    """

    origin_mm: tuple[float, float]
    window_mm: tuple[float, float]
    cells: tuple[Cell, ...]

    def window(self, cell: Cell) -> tuple[float, float, float, float]:
        """Return the window's west, south, east, north in the picture, mm."""
        (x, y), (width, height) = self.origin_mm, self.window_mm
        west = x + cell[0] * (width - OVERLAP_MM)
        south = y + cell[1] * (height - OVERLAP_MM)
        return west, south, west + width, south + height

    def crosses(self, cell: Cell) -> tuple[tuple[float, float], ...]:
        """Return the register crosses of a window: the corners of its joins with neighbours.

        Every one is at the same place of the picture on each sheet that shares it.
        """
        west, south, east, north = self.window(cell)
        half = OVERLAP_MM / 2
        column, row = cell
        found = []
        for across, up in itertools.product((-1, 1), repeat=2):
            sharing = {(column + across, row), (column, row + up), (column + across, row + up)}
            if sharing & set(self.cells):
                x = west + half if across < 0 else east - half
                y = south + half if up < 0 else north - half
                found.append((x, y))
        return tuple(found)


def tile(picture: MultiLineString, window_mm: tuple[float, float], rim_mm: float) -> Tiling:
    """Return the tiling with fewest sheets that shows `picture`, lines, `rim_mm` around it.

    Windows without a line are left out, unless they are needed to hold the others
    together. The grid stands at whole mm.
    """
    west, south, east, north = picture.bounds
    extent = east - west + 2 * rim_mm, north - south + 2 * rim_mm
    shapely.prepare(picture)
    counts = tuple(_count(extent[k], window_mm[k]) for k in (0, 1))
    play = tuple(counts[k] * (window_mm[k] - OVERLAP_MM) + OVERLAP_MM - extent[k] for k in (0, 1))
    shares = [0.5, *(k / (SHIFTS - 1) for k in range(SHIFTS))]
    tried = []
    for across, up in itertools.product(shares, repeat=2):
        origin = (
            float(math.ceil(west - rim_mm - across * play[0])),
            float(math.ceil(south - rim_mm - up * play[1])),
        )
        bare = Tiling(
            origin_mm=origin,
            window_mm=window_mm,
            cells=tuple((c, r) for r in range(counts[1]) for c in range(counts[0])),
        )
        tried.append(_only_needed(bare, picture))
    return min(tried, key=lambda tiling: len(tiling.cells))


def _count(extent_mm: float, window_mm: float) -> int:
    """Return how many windows cover `extent_mm`; 1 mm is kept for rounding the origin."""
    return max(1, math.ceil((extent_mm + 1.0 - OVERLAP_MM) / (window_mm - OVERLAP_MM)))


def _only_needed(tiling: Tiling, picture: MultiLineString) -> Tiling:
    windows: list[Polygon] = [box(*tiling.window(cell)) for cell in tiling.cells]
    crossed = shapely.intersects(picture, windows)
    kept = {cell for cell, hit in zip(tiling.cells, crossed, strict=True) if hit}
    groups = _groups(kept)
    while len(groups) > 1:
        kept |= _bridge(groups)
        groups = _groups(kept)
    cells = tuple(cell for cell in tiling.cells if cell in kept)
    return Tiling(origin_mm=tiling.origin_mm, window_mm=tiling.window_mm, cells=cells)


def _groups(cells: set[Cell]) -> list[set[Cell]]:
    """Return the cells that hang together by whole sides, group by group."""
    left = sorted(cells)
    groups: list[set[Cell]] = []
    while left:
        group, edge = set(), [left[0]]
        while edge:
            cell = edge.pop()
            if cell in group or cell not in cells:
                continue
            group.add(cell)
            c, r = cell
            edge += [(c - 1, r), (c + 1, r), (c, r - 1), (c, r + 1)]
        groups.append(group)
        left = [cell for cell in left if cell not in group]
    return groups


def _bridge(groups: list[set[Cell]]) -> set[Cell]:
    """Return the cells of a shortest way from the first group to another."""
    others = [cell for group in groups[1:] for cell in sorted(group)]
    (c0, r0), (c1, r1) = min(
        itertools.product(sorted(groups[0]), others),
        key=lambda pair: abs(pair[0][0] - pair[1][0]) + abs(pair[0][1] - pair[1][1]),
    )
    across = {(c, r0) for c in range(min(c0, c1), max(c0, c1) + 1)}
    return across | {(c1, r) for r in range(min(r0, r1), max(r0, r1) + 1)}
