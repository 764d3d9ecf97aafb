"""Pieces laid one after the other on a grid: never wrong, and cheap however ragged they are.

A face is one long whole number, a bit for each cell, so that all places of a piece are tried
by a few shifts of it. What is lost against exact no-fit regions is up to a cell on either side
of a piece. No cost grows with the corners of two pieces together.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, box

from wirepath import overlay
from wirepath.fitting import Room
from wirepath.geometry import polygons
from wirepath.nesting.bottom_left import MOST_TURNS
from wirepath.nesting.regions import Regions
from wirepath.nesting.shapes import shifted
from wirepath.nesting.ways import ROUNDING_MM, SLACK_MM

Cells = NDArray[np.bool_]
Run = tuple[int, int, int]
"""Cells on top of each other: column, lowest row, how many."""

DUST = 1e-9
"""What a line may reach into a cell without touching it, in cells."""

ARC_STEPS = 8
"""Straight pieces for a quarter circle round a corner: they stray up to 0.5 % outward."""


def touched(polygon: Polygon, cell_mm: float) -> tuple[Cells, int, int]:
    """Return which cells a polygon covers any of, (nx, ny), and the column and row of the first."""
    edges = _edges(polygon) / cell_mm
    x, y = edges[:, 0::2], edges[:, 1::2]
    first_x, first_y = math.floor(x.min() + DUST), math.floor(y.min() + DUST)
    nx = max(math.ceil(x.max() - DUST) - first_x, 1)
    ny = max(math.ceil(y.max() - DUST) - first_y, 1)
    x, y = x - first_x, y - first_y
    swap = x[:, 0] > x[:, 1]
    x[swap], y[swap] = x[swap, ::-1], y[swap, ::-1]
    # Cells whose middle lies inside: every line below a middle turns out to in and back.
    edge, column = _columns(np.ceil(x[:, 0] - 0.5), np.ceil(x[:, 1] - 0.5))
    at = np.ceil(_height(x[edge], y[edge], np.asarray(column + 0.5, float)) - 0.5).astype(int)
    parity = np.zeros((nx, ny + 1), dtype=np.int64)
    np.add.at(parity, (column, np.clip(at, 0, ny)), 1)
    inside = np.cumsum(parity, axis=1)[:, :ny] % 2 == 1
    # And cells that a line runs through.
    edge, column = _columns(np.floor(x[:, 0] + DUST), np.ceil(x[:, 1] - DUST))
    here = _height(x[edge], y[edge], np.maximum(column, x[edge, 0]))
    there = _height(x[edge], y[edge], np.minimum(column + 1, x[edge, 1]))
    upright = x[edge, 0] == x[edge, 1]
    here[upright], there[upright] = y[edge[upright]].T
    low = np.floor(np.minimum(here, there) + DUST).astype(int).clip(0, ny)
    high = np.ceil(np.maximum(here, there) - DUST).astype(int).clip(0, ny)
    crossing = high > low
    runs = np.zeros((nx, ny + 1), dtype=np.int64)
    np.add.at(runs, (column[crossing], low[crossing]), 1)
    np.add.at(runs, (column[crossing], high[crossing]), -1)
    return inside | (np.cumsum(runs, axis=1)[:, :ny] > 0), first_x, first_y


def _edges(polygon: Polygon) -> NDArray[np.float64]:
    """Return the edges of all rings, (n, 4)."""
    rings = [np.asarray(one.coords)[:, :2] for one in (polygon.exterior, *polygon.interiors)]
    return np.concatenate([np.hstack([ring[:-1], ring[1:]]) for ring in rings])


def _columns(
    first: NDArray[np.float64], end: NDArray[np.float64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return edge and column for every column of each edge, from its first to before its end."""
    many = np.maximum(end - first, 0).astype(int)
    edge = np.repeat(np.arange(len(many)), many)
    before = np.repeat(np.cumsum(many) - many, many)
    column = first[edge].astype(int) + np.arange(len(edge)) - before
    return edge, column.clip(0)


def _height(
    x: NDArray[np.float64], y: NDArray[np.float64], at: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return each edge's height at an x, the first end's where the edge is upright."""
    length = x[:, 1] - x[:, 0]
    share = (at - x[:, 0]) / np.where(length > 0, length, 1.0)
    return np.asarray(y[:, 0] + share.clip(0, 1) * (y[:, 1] - y[:, 0]))


@dataclass(slots=True)
class Grid:
    """The variants as cells of a grid: bare as they are laid, and widened as they then block."""

    regions: Regions
    cell_mm: float
    _cells: dict[int, Cells] = field(default_factory=dict)
    _bare: dict[tuple[int, bool], tuple[Run, ...]] = field(default_factory=dict)
    _widened: dict[int, tuple[Cells, int, int]] = field(default_factory=dict)

    def bare(self, variant: int, *, upward: bool) -> tuple[Run, ...]:
        """Return the runs of cells that the variant touches, its corner at 0, 0."""
        key = variant, upward
        if key not in self._bare:
            cells = self._cells.get(variant)
            if cells is None:
                outline = self.regions.variants[variant].outline
                cells, first_x, first_y = touched(outline, self.cell_mm)
                assert (first_x, first_y) == (0, 0)
                self._cells[variant] = cells
            self._bare[key] = _runs(cells.T if upward else cells)
        return self._bare[key]

    def widened(self, variant: int, *, upward: bool) -> tuple[Cells, int, int]:
        """Return the cells nearer to the variant than the clearance, and the first one's place."""
        if variant not in self._widened:
            reach = self.regions.clearance_mm + SLACK_MM
            outline = self.regions.variants[variant].outline
            if reach > 0:
                # GEOS rounds the number of chords down as well as up: one may span 1.5 steps.
                round_mm = reach / math.cos(1.5 * math.pi / (4 * ARC_STEPS))
                outline = shapely.buffer(outline, round_mm, quad_segs=ARC_STEPS)
            self._widened[variant] = touched(outline, self.cell_mm)
        cells, x, y = self._widened[variant]
        return (cells.T, y, x) if upward else (cells, x, y)


def _runs(cells: Cells) -> tuple[Run, ...]:
    """Return the runs of all columns, far apart ones first: what is taken shows after a few."""
    steps = np.diff(np.pad(cells, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    column, low = np.nonzero(steps == 1)
    high = np.nonzero(steps == -1)[1]
    runs = list(zip(column.tolist(), low.tolist(), (high - low).tolist(), strict=True))
    return tuple(runs[k] for k in _far_apart(len(runs)))


def _far_apart(count: int) -> list[int]:
    """Return 0 to `count` - 1 in the order of their bits read backwards: 0, the middle, ..."""
    bits = max(count - 1, 1).bit_length()
    order = (int(f"{k:0{bits}b}"[::-1], 2) for k in range(1 << bits))
    return [k for k in order if k < count]


class GridFace:
    """A face that is being filled on a grid; 0, 0 is the lower left corner of what is usable.

    As `Face` otherwise. Columns run across the way of filling: bit `column * rows + row`, rows
    filled up to whole bytes. Places are looked for a few columns at a time.
    """

    def __init__(
        self,
        grid: Grid,
        room: Room,
        *,
        upward: bool = False,
        most_turns: int = MOST_TURNS,
    ) -> None:
        self.placed: list[tuple[int, int, float, float]] = []
        self._grid, self._upward, self._most_turns = grid, upward, most_turns
        size = room.width_mm, room.height_mm
        self._length_mm, self._height_mm = size[::-1] if upward else size
        self._rows = max(math.ceil(self._height_mm / grid.cell_mm - DUST), 1)
        self._columns = max(math.ceil(self._length_mm / grid.cell_mm - DUST), 1)
        self._bytes = math.ceil(self._rows / 8)
        """Bytes of a column."""
        full = np.zeros((self._columns, 8 * self._bytes), dtype=np.bool_)
        full[:, : self._rows] = True
        self._open = [bytearray(np.packbits(full.ravel(), bitorder="little").tobytes())]
        """The cells that are free, alone; with the 1, 3, 7 ... above them."""
        self._masks: dict[tuple[int, int], int] = {}
        self._tried: dict[int, int] = {}
        """Columns, for each variant, before which it finds no room: it never will."""
        self._full: set[int] = set()
        if room.region is not None:
            self._block_all_but(room)

    def add(self, piece: int, kind: int) -> bool:
        """Lay the piece where its far edge is nearest to the start; False: no room."""
        if kind in self._full:
            return False
        regions, cell = self._grid.regions, self._grid.cell_mm
        best: tuple[float, int, int, int] | None = None
        tried = 0
        for variant in regions.of_kind[kind]:
            one = regions.variants[variant]
            size = one.width_mm, one.height_mm
            length, height = size[::-1] if self._upward else size
            room, across = self._length_mm - length, self._height_mm - height
            if min(room, across) < -ROUNDING_MM or tried == self._most_turns:
                continue
            tried += 1
            if best is not None:
                room = min(room, best[0] - length)
            most = max(math.floor(room / cell + DUST), -1 if best else 0)
            found = self._first(variant, most, max(math.floor(across / cell + DUST), 0))
            if found is None:
                continue
            column, row = found
            reach = round(column * cell + length, 6)
            if best is None or reach < best[0]:
                best = reach, column, row, variant
        if best is None:
            self._full.add(kind)
            return False
        _, column, row, variant = best
        cells, along, up = self._grid.widened(variant, upward=self._upward)
        self._take(cells, along + column, up + row)
        x, y = (row, column) if self._upward else (column, row)
        self.placed.append((piece, variant, x * cell, y * cell))
        return True

    def _first(self, variant: int, last_column: int, last_row: int) -> tuple[int, int] | None:
        """Return the first column, and its lowest row, where the variant's corner may stand."""
        runs = self._grid.bare(variant, upward=self._upward)
        wide = max(column for column, _, _ in runs) + 1
        bits = 8 * self._bytes
        start = self._tried.get(variant, 0)
        while start <= last_column:
            many = min(wide, last_column + 1 - start)
            free = self._mask(many, last_row)
            parts: dict[int, int] = {}
            for column, low, high in runs:
                power = high.bit_length() - 1
                part = parts.get(power)
                if part is None:
                    part = parts[power] = self._part(power, start, start + many + wide)
                at = column * bits + low
                free &= part >> at
                if high > 1 << power:
                    free &= part >> (at + high - (1 << power))
                if not free:
                    break
            if free:
                column, row = divmod((free & -free).bit_length() - 1, bits)
                self._tried[variant] = start + column
                return start + column, row
            start += many
            self._tried[variant] = start
        return None

    def _mask(self, columns: int, last_row: int) -> int:
        """Return the cells up to this row of so many columns."""
        key = columns, last_row
        if key not in self._masks:
            one = "0" * (8 * self._bytes - last_row - 1) + "1" * (last_row + 1)
            self._masks[key] = int(one * columns, 2)
        return self._masks[key]

    def _part(self, power: int, first: int, end: int) -> int:
        """Return the columns from `first` to before `end`, runs of 2^power cells that are free."""
        while power >= len(self._open):
            half = int.from_bytes(self._open[-1], "little")
            both = half & half >> (1 << (len(self._open) - 1))
            self._open.append(bytearray(both.to_bytes(len(self._open[0]), "little")))
        return int.from_bytes(self._open[power][first * self._bytes : end * self._bytes], "little")

    def _take(self, cells: Cells, column: int, row: int) -> None:
        """Block cells from there on, those beside the face left out."""
        cut = cells[
            max(-column, 0) : max(self._columns - column, 0),
            max(-row, 0) : max(self._rows - row, 0),
        ]
        column, row = max(column, 0), max(row, 0)
        full = np.zeros((cut.shape[0], 8 * self._bytes), dtype=np.bool_)
        full[:, row : row + cut.shape[1]] = cut
        taken = int.from_bytes(np.packbits(full.ravel(), bitorder="little").tobytes(), "little")
        here = slice(column * self._bytes, (column + cut.shape[0]) * self._bytes)
        for power, runs in enumerate(self._open):
            if power:
                taken |= taken >> (1 << (power - 1))
            part = int.from_bytes(runs[here], "little")
            runs[here] = (part & ~taken).to_bytes(len(runs[here]), "little")

    def _block_all_but(self, room: Room) -> None:
        """Block what is beside the foam, and what is blocked."""
        assert room.region is not None
        clear = shifted(room.region, -room.x_mm, -room.y_mm)
        walls = overlay.difference(box(0.0, 0.0, room.width_mm, room.height_mm), clear)
        for wall in polygons(shapely.buffer(walls, -SLACK_MM, join_style="mitre")):
            cells, x, y = touched(wall, self._grid.cell_mm)
            self._take(*((cells.T, y, x) if self._upward else (cells, x, y)))


def cell_mm(sizes: Sequence[tuple[float, float]], mean_mm: float, *, share: float) -> float:
    """Return a cell that is a share of a mean piece, faces of these sizes not in too many cells."""
    most = max(width * height for width, height in sizes)
    return max(mean_mm * share, math.sqrt(most / MOST_CELLS))


MOST_CELLS = 800_000
"""Cells of a face: half as many, twice, lost some 3 % of its length, four times gained 2 %."""
