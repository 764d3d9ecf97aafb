"""Fields: how deep a piece would overlap all others, wherever in a container it stood.

A field is the sum of the depth maps of the pieces that lie in the container. It is kept
from one question to the next, and only what has moved since is taken out and added. Rows
of field and map are equally long, so that a map is added as one run of numbers: several
times faster than row by row.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wirepath.nesting.cache import Cache
from wirepath.nesting.maps import Map, Maps
from wirepath.nesting.stopping import stopped

Ints = NDArray[np.int64]

UNITS_PER_SECOND = 1.2e9
"""Work counted as a second of search: what one core did when it was measured, 0.7 to 1.6e9.
Counting work, not time, makes the answer the same on every machine."""

MOST_TOGETHER = 4
"""Variants whose fields are kept and searched as one array."""

ALIKE = 1.3
"""Variants go together whose boxes are alike to this factor: the tallest sets the rows."""

CALL_COST = 8000
"""Work of one numpy call on a run, in cells: its own time next to what it adds."""

MOST_STACK_BYTES = 2**28
"""Most memory for maps laid out for the fields; those unused for longest go first."""

MOST_FIELD_BYTES = 2**28
"""Most memory for fields."""

TAKEN = np.float32(1e9)
"""Depth where a variant would stick out of its container: more than any sum of maps."""


@dataclass(slots=True)
class Effort:
    """Work allowed and done, in cells of maps added up: the same on every machine.

    `spent` also when the search is to end, see `stopping`.
    """

    allowed: float
    done: float = 0.0

    @property
    def left(self) -> float:
        """How much of the allowed work is left."""
        return self.allowed - self.done

    @property
    def spent(self) -> bool:
        """Whether the allowed work is done."""
        return self.left <= 0.0 or stopped()

    @contextmanager
    def only(self, share: float) -> Iterator[None]:
        """Allow inside only a share of what is left."""
        kept = (1.0 - share) * max(self.left, 0.0)
        self.allowed -= kept
        try:
            yield
        finally:
            self.allowed += kept


def grid_reach(maps: Maps, variant: int, width: float, height: float) -> tuple[int, int]:
    """Return how many grid positions a variant has in a room of so many cells, along x and y.

    Half a cell too far is forgiven, if the maps forgive; what does not fit at all is not.
    """
    one, cell = maps.variants[variant], maps.cell_mm
    free_x, free_y = width - one.width_mm / cell, height - one.height_mm / cell
    if min(free_x, free_y) < -1e-6:
        return 0, 0
    over = 0.5 if maps.forgiven else 1e-6
    return math.floor(free_x + over) + 1, math.floor(free_y + over) + 1


def groups_of(maps: Maps, kind: int) -> list[tuple[int, ...]]:
    """Return the kind's variants in groups of at most MOST_TOGETHER, their boxes alike."""
    groups: list[list[int]] = []
    for variant in maps.of_kind[kind]:
        one = maps.variants[variant]
        for group in groups:
            first = maps.variants[group[0]]
            wide, high = one.width_mm / first.width_mm, one.height_mm / first.height_mm
            if len(group) < MOST_TOGETHER and max(wide, high, 1 / wide, 1 / high) <= ALIKE:
                group.append(variant)
                break
        else:
            groups.append([variant])
    return [tuple(group) for group in groups]


class Run(NamedTuple):
    """Maps of a group's variants seen from one fixed variant, rows as long as the field's."""

    depths: Map
    """(variants, cells)."""
    x: int
    y: int
    """Where the first cell lies, as seen from the fixed variant's corner."""
    columns: int
    rows: int


@dataclass(slots=True)
class _Total:
    """A container's field for one group, what pieces are in it, and what is out of reach."""

    depth: Map
    held: Ints
    """For each piece the code of its place in this field, -1 for none."""
    barrier: Map
    """0 where a variant may stand in the container, TAKEN elsewhere."""
    version: int = -1
    """Which of the container's widths the barrier is for."""


class Fields:
    """The fields of all groups of variants in all containers.

    `rooms` are width and height of the containers, in cells: the most they ever have.
    """

    def __init__(
        self, maps: Maps, count: int, rooms: Sequence[tuple[float, float]], effort: Effort
    ) -> None:
        self.maps = maps
        self.effort = effort
        self._count = count
        self._most = list(rooms)
        self._rooms = list(rooms)
        self._versions = [0] * len(rooms)
        self.groups_of_kind: list[list[int]] = []
        self.groups: list[tuple[int, ...]] = []
        self.place_of: dict[int, tuple[int, int]] = {}
        """For each variant its group and its place in it."""
        for kind in range(len(maps.of_kind)):
            own = groups_of(maps, kind)
            self.groups_of_kind.append(list(range(len(self.groups), len(self.groups) + len(own))))
            for variants in own:
                for place, variant in enumerate(variants):
                    self.place_of[variant] = len(self.groups), place
                self.groups.append(variants)
        self._columns = [self._row_length(variants) for variants in self.groups]
        self._totals: Cache[tuple[int, int], _Total] = Cache(MOST_FIELD_BYTES)
        self._runs: Cache[tuple[int, int], Run] = Cache(MOST_STACK_BYTES)
        self._scratch = np.zeros(0, dtype=np.float32)
        self._part = np.zeros(0, dtype=np.float32)
        self._size_x = max(math.ceil(width) + 2 for width, _ in rooms)
        self._size_y = max(math.ceil(height) + 2 for _, height in rooms)

    def _row_length(self, variants: Sequence[int]) -> int:
        """Return how long rows must be so that no map reaches over into a neighbouring row.

        A map hangs over a field by the moving variant's height at most, below or above;
        both overhangs fall into the unused end of a row.
        """
        maps, cell = self.maps, self.maps.cell_mm
        high = [maps.variants[v].height_mm for v in variants]
        room = max(height for _, height in self._most) * cell
        tallest = min(max(one.height_mm for one in maps.variants), room)
        most = max(room - min(high), tallest) + max(high) + 2 * maps.clearance_mm
        return math.ceil(most / cell) + 4

    def code(self, variant: int, x: int, y: int) -> int:
        """Return a number for a place: the same for the same variant at the same spot."""
        return (variant * self._size_x + x) * self._size_y + y

    def _place(self, code: int) -> tuple[int, int, int]:
        rest, y = divmod(code, self._size_y)
        variant, x = divmod(rest, self._size_x)
        return variant, x, y

    def narrow(self, box: int, width: float) -> None:
        """Take over a container's new width, no more than the most it had."""
        self._rooms[box] = (width, self._rooms[box][1])
        self._versions[box] += 1

    def run(self, fixed: int, group: int) -> Run:
        """Return the group's maps seen from `fixed`, as one run of numbers each."""
        found = self._runs.get((fixed, group))
        if found is None:
            found = self._made(fixed, group)
            self._runs.put((fixed, group), found, found.depths.nbytes)
            self.effort.done += found.depths.size + self.maps.owed()
        return found

    def _made(self, fixed: int, group: int) -> Run:
        maps = [self.maps(fixed, variant) for variant in self.groups[group]]
        x0, y0 = min(x for _, x, _ in maps), min(y for _, _, y in maps)
        rows = max(x + depth.shape[0] for depth, x, _ in maps) - x0
        columns = max(y + depth.shape[1] for depth, _, y in maps) - y0
        stack = np.zeros((len(maps), rows, self._columns[group]), dtype=np.float32)
        for one, (depth, x, y) in zip(stack, maps, strict=True):
            one[x - x0 : x - x0 + depth.shape[0], y - y0 : y - y0 + depth.shape[1]] = depth
        flat = stack.reshape(len(maps), -1)
        used = (rows - 1) * self._columns[group] + columns
        return Run(flat[:, :used], x0, y0, columns, rows)

    def depth(self, fixed: int, x: int, y: int, moving: int, at_x: int, at_y: int) -> float:
        """Return how deep two variants overlap that stand at these grid positions."""
        group, place = self.place_of[moving]
        run = self.run(fixed, group)
        dx, dy = at_x - x - run.x, at_y - y - run.y
        if 0 <= dx < run.rows and 0 <= dy < run.columns:
            return float(run.depths[place, dx * self._columns[group] + dy])
        return 0.0

    def _add(self, depth: Map, group: int, code: int, weight: float) -> None:
        """Add to the run of a field the map of what stands at a place."""
        variant, x, y = self._place(code)
        run = self.run(variant, group)
        start = (x + run.x) * self._columns[group] + y + run.y
        part = run.depths
        if start < 0:
            part = part[:, -start:]
            start = 0
        target = depth[:, start : start + part.shape[1]]
        if target.shape[1] < part.shape[1]:
            part = part[:, : target.shape[1]]
        self.effort.done += CALL_COST + part.size
        if weight == 1.0:
            np.add(target, part, out=target)
        elif weight == -1.0:
            np.subtract(target, part, out=target)
        else:
            if self._part.size < part.size:
                self._part = np.zeros(2 * part.size, dtype=np.float32)
            weighted = self._part[: part.size].reshape(part.shape)
            np.multiply(part, np.float32(weight), out=weighted)
            np.add(target, weighted, out=target)

    def total(self, group: int, box: int, codes: Ints) -> _Total:
        """Return the field of pieces that stand at these places (-1: not in this container)."""
        total = self._totals.get((group, box))
        if total is None:
            width, height = self._most[box]
            most = max(grid_reach(self.maps, v, width, height)[0] for v in self.groups[group])
            cells = most * self._columns[group]
            depth = np.zeros((len(self.groups[group]), cells), dtype=np.float32)
            held = np.full(self._count, -1, dtype=np.int64)
            total = _Total(depth, held, np.zeros((0, 0), dtype=np.float32))
            self._totals.put((group, box), total, 3 * depth.nbytes)
        moved = np.flatnonzero(total.held != codes)
        if moved.size == 0:
            return total
        there = codes >= 0
        if 2 * moved.size > np.count_nonzero(there) + 4:
            # Cheaper anew.
            total.depth[:] = 0.0
            self.effort.done += total.depth.size
            for code in codes[there].tolist():
                self._add(total.depth, group, code, 1.0)
        else:
            for old, new in zip(total.held[moved].tolist(), codes[moved].tolist(), strict=True):
                if old >= 0:
                    self._add(total.depth, group, old, -1.0)
                if new >= 0:
                    self._add(total.depth, group, new, 1.0)
        total.held = codes
        return total

    def reaches(self, group: int, box: int) -> list[tuple[int, int]]:
        """Return how many grid positions each of the group's variants has in the container."""
        room = self._rooms[box]
        return [grid_reach(self.maps, v, *room) for v in self.groups[group]]

    def weighted(
        self, group: int, box: int, codes: Ints, heavy: Sequence[tuple[int, float]]
    ) -> Map:
        """Return the field with some pieces weighing more: (variants, cells), TAKEN out of reach.

        `heavy` are the places and how much more than 1 they weigh. Rows are of
        `columns(group)`; the array is overwritten by the next call.
        """
        total = self.total(group, box, codes)
        if total.version != self._versions[box]:
            total.version = self._versions[box]
            reaches = self.reaches(group, box)
            most_x = max(nx for nx, _ in reaches)
            barrier = np.full((len(reaches), most_x, self._columns[group]), TAKEN, np.float32)
            for one, (nx, ny) in zip(barrier, reaches, strict=True):
                one[:nx, :ny] = 0.0
            total.barrier = barrier.reshape(len(reaches), most_x * self._columns[group])
        barrier = total.barrier
        if self._scratch.size < barrier.size:
            self._scratch = np.zeros(barrier.size, dtype=np.float32)
        answer = self._scratch[: barrier.size].reshape(barrier.shape)
        np.add(total.depth[:, : barrier.shape[1]], barrier, out=answer)
        self.effort.done += CALL_COST + 2 * answer.size
        for code, more in heavy:
            self._add(answer, group, code, more)
        return answer

    def columns(self, group: int) -> int:
        """Return the length of the group's rows, in cells."""
        return self._columns[group]
