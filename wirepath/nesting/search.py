"""Guided local search on the grid: pieces move to where they overlap least until none does.

Every container's field for a variant is the sum of the maps of all pieces that lie in
it: how deep the variant would overlap them, wherever its lower left corner stood. A
piece that overlaps goes to the least of its field, over all containers and turns; pairs
that stay in conflict weigh more and more (guided local search after Voudouris and Tsang
1999, for laying out outlines after Egeblad, Nielsen and Odgaard 2007).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wirepath.nesting.maps import Map, Maps
from wirepath.nesting.shapes import Floats

Ints = NDArray[np.int64]
Floats32 = NDArray[np.float32]

CALL_COST = 3000
"""Work of one numpy call on a map, in cells: measured about equal to adding so many."""

MOST_TURNS = 8
"""Variants tried in one move: of any angle there are dozens."""


@dataclass(slots=True)
class Effort:
    """Work allowed and done, in cells of maps added up: the same on every machine."""

    allowed: float
    done: float = 0.0

    @property
    def spent(self) -> bool:
        """Whether the allowed work is done."""
        return self.done >= self.allowed


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


def add_map(
    maps: Maps, total: Map, variant: int, fixed: int, x: int, y: int, weight: float = 1.0
) -> int:
    """Add to a field the map of `fixed` standing at x, y; return how many cells that were."""
    depth, from_x, from_y = maps(fixed, variant)
    x += from_x
    y += from_y
    x0, y0 = max(x, 0), max(y, 0)
    x1, y1 = min(x + depth.shape[0], total.shape[0]), min(y + depth.shape[1], total.shape[1])
    if x0 >= x1 or y0 >= y1:
        return 0
    part = depth[x0 - x : x1 - x, y0 - y : y1 - y]
    target = total[x0:x1, y0:y1]
    if weight == 1.0:
        np.add(target, part, out=target)
    elif weight == -1.0:
        np.subtract(target, part, out=target)
    else:
        target += part * np.float32(weight)
    return part.size


@dataclass(slots=True)
class Stand:
    """Where every piece stands: its variant, its container, its grid position."""

    variant: list[int]
    box: list[int]
    x: list[int]
    y: list[int]

    def copy(self) -> Stand:
        """Return an independent copy."""
        return Stand(self.variant[:], self.box[:], self.x[:], self.y[:])


@dataclass(slots=True)
class _Field:
    """A container's unweighted field for one variant, and how much of its log is in it."""

    depth: Map
    seen: int = 0


@dataclass(slots=True)
class Search:
    """The search's state. `rooms` are width and height of the containers, in cells."""

    maps: Maps
    kinds: Sequence[int]
    rooms: list[tuple[float, float]]
    stand: Stand
    effort: Effort
    chance: np.random.Generator
    weight: Floats32 = field(init=False)
    depth: Floats32 = field(init=False)
    _fields: dict[tuple[int, int], _Field] = field(init=False)
    _log: list[list[tuple[float, int, int, int]]] = field(init=False)
    _most: list[tuple[float, float]] = field(init=False)

    def __post_init__(self) -> None:
        count = len(self.kinds)
        self._most = list(self.rooms)
        self._fields = {}
        self._log = [[] for _ in self.rooms]
        self.weight = np.ones((count, count), dtype=np.float32)
        self.depth = np.zeros((count, count), dtype=np.float32)
        self.put(self.stand)

    def put(self, stand: Stand) -> None:
        """Take over a whole stand; conflicts are counted anew, weights are kept."""
        self.stand = stand
        self._fields.clear()
        self._log = [[] for _ in self.rooms]
        for piece in range(len(self.kinds)):
            self._clamp(piece)
            self._note(1.0, piece)
        self.depth[:] = 0.0
        for piece in range(1, len(self.kinds)):
            self._measure(piece, range(piece))

    def reach(self, variant: int, box: int) -> tuple[int, int]:
        """Return how many grid positions a variant has in a container, along x and y."""
        return grid_reach(self.maps, variant, *self.rooms[box])

    def narrow(self, box: int, width: float) -> None:
        """Make a container narrower (or as wide as it began); pieces beyond are moved back."""
        self.rooms[box] = (width, self.rooms[box][1])
        stand = self.stand
        for piece in range(len(self.kinds)):
            if stand.box[piece] != box:
                continue
            nx, ny = self.reach(stand.variant[piece], box)
            x, y = min(stand.x[piece], nx - 1), min(stand.y[piece], ny - 1)
            if nx == 0:
                found = self.best(piece)
                if found is None:
                    raise AssertionError("the container is narrower than a piece")
                self.move(piece, *found[1:])
            elif (x, y) != (stand.x[piece], stand.y[piece]):
                self.move(piece, stand.variant[piece], box, x, y)

    def _clamp(self, piece: int) -> None:
        stand = self.stand
        nx, ny = self.reach(stand.variant[piece], stand.box[piece])
        stand.x[piece] = min(max(stand.x[piece], 0), nx - 1)
        stand.y[piece] = min(max(stand.y[piece], 0), ny - 1)

    def _note(self, sign: float, piece: int) -> None:
        stand = self.stand
        self._log[stand.box[piece]].append(
            (sign, stand.variant[piece], stand.x[piece], stand.y[piece])
        )

    def move(self, piece: int, variant: int, box: int, x: int, y: int) -> None:
        """Move a piece and measure its conflicts anew."""
        self._note(-1.0, piece)
        stand = self.stand
        stand.variant[piece], stand.box[piece], stand.x[piece], stand.y[piece] = variant, box, x, y
        self._note(1.0, piece)
        self.depth[piece] = 0.0
        self.depth[:, piece] = 0.0
        self._measure(piece, range(len(self.kinds)))

    def _measure(self, piece: int, others: Sequence[int]) -> None:
        stand = self.stand
        box, mine = stand.box[piece], stand.variant[piece]
        x, y = stand.x[piece], stand.y[piece]
        self.effort.done += CALL_COST * len(others) / 5
        for other in others:
            if other == piece or stand.box[other] != box:
                continue
            depth, from_x, from_y = self.maps(stand.variant[other], mine)
            dx, dy = x - stand.x[other] - from_x, y - stand.y[other] - from_y
            if 0 <= dx < depth.shape[0] and 0 <= dy < depth.shape[1]:
                self.depth[piece, other] = self.depth[other, piece] = depth[dx, dy]

    def field(self, piece: int, variant: int, box: int) -> Map:
        """Return the weighted depth of `piece` in every grid position, (nx, ny); (0, 0) none."""
        nx, ny = self.reach(variant, box)
        if nx == 0:
            return np.zeros((0, 0), dtype=np.float32)
        total = self._unweighted(variant, box)[:nx, :ny].copy()
        self.effort.done += CALL_COST + total.size + self.maps.owed()
        stand = self.stand
        if stand.box[piece] == box:
            self._apply(total, variant, stand.variant[piece], stand.x[piece], stand.y[piece], -1.0)
        weights = self.weight[piece]
        for other in np.flatnonzero(weights > 1.0).tolist():
            if other != piece and stand.box[other] == box:
                more = float(weights[other]) - 1.0
                self._apply(
                    total, variant, stand.variant[other], stand.x[other], stand.y[other], more
                )
        return total

    def _unweighted(self, variant: int, box: int) -> Map:
        found = self._fields.get((variant, box))
        log = self._log[box]
        if found is None:
            nx, ny = grid_reach(self.maps, variant, *self._most[box])
            found = _Field(np.zeros((nx, ny), dtype=np.float32))
            self._fields[variant, box] = found
        for sign, fixed, x, y in log[found.seen :]:
            self._apply(found.depth, variant, fixed, x, y, sign)
        found.seen = len(log)
        return found.depth

    def _apply(self, total: Map, variant: int, fixed: int, x: int, y: int, weight: float) -> None:
        self.effort.done += CALL_COST + add_map(self.maps, total, variant, fixed, x, y, weight)

    def best(self, piece: int) -> tuple[float, int, int, int, int] | None:
        """Return the least weighted depth of a piece, its variant, container, x and y."""
        found: tuple[float, int, int, int, int] | None = None
        for box in range(len(self.rooms)):
            for variant in self._turns(piece):
                depth = self.field(piece, variant, box)
                if depth.size == 0:
                    continue
                spot = int(depth.argmin())
                x, y = divmod(spot, depth.shape[1])
                least = float(depth[x, y])
                if found is None or least < found[0]:
                    found = least, variant, box, x, y
        return found

    def _turns(self, piece: int) -> Sequence[int]:
        """Return the variants to try: all of a few, of many its own and some by chance."""
        own = self.maps.of_kind[self.kinds[piece]]
        if len(own) <= MOST_TURNS:
            return own
        # Of many turns only a few may fit at all: those must not be missed by chance.
        own = [v for v in own if any(self.reach(v, box)[0] for box in range(len(self.rooms)))]
        if len(own) <= MOST_TURNS:
            return own
        some = self.chance.choice(own, size=MOST_TURNS - 1, replace=False).tolist()
        return [self.stand.variant[piece], *some]

    def swap(self, area: Floats) -> None:
        """Let two pieces change places; a large one is chosen more often."""
        count = len(self.kinds)
        if count < 2:
            return
        one, other = self.chance.choice(count, size=2, replace=False, p=area / area.sum()).tolist()
        stand = self.stand
        at = [(stand.box[k], stand.x[k], stand.y[k]) for k in (other, one)]
        for piece, (box, x, y) in zip((one, other), at, strict=True):
            variant = stand.variant[piece]
            nx, ny = self.reach(variant, box)
            if nx > 0:
                self.move(piece, variant, box, min(x, nx - 1), min(y, ny - 1))

    def separate(self, *, tries: int) -> bool:
        """Move pieces until no pair overlaps; False when `tries` sweeps in a row gain nothing.

        The stand with the least total depth met is kept.
        """
        self.weight[:] = 1.0
        least, kept, idle = float(self.depth.sum()), self.stand.copy(), 0
        while idle < tries and not self.effort.spent:
            if least == 0.0:
                return True
            self.effort.done += CALL_COST * len(self.kinds)
            conflicts = np.flatnonzero(self.depth.any(axis=1))
            for piece in self.chance.permutation(conflicts).tolist():
                if not self.depth[piece].any():
                    continue
                found = self.best(piece)
                if found is not None:
                    _, variant, box, x, y = found
                    self.move(piece, variant, box, x, y)
            total = float(self.depth.sum())
            if total < least * 0.98 or total == 0.0:
                idle = 0
            else:
                idle += 1
            if total < least:
                least, kept = total, self.stand.copy()
            self._weigh()
        if least > 0.0:
            self.put(kept)
        return least == 0.0

    def _weigh(self) -> None:
        """Raise the weights of pairs in conflict, let the others fade back to 1."""
        deepest = float(self.depth.max())
        if deepest > 0.0:
            inside = self.depth > 0.0
            self.weight[inside] *= 1.2 + 0.8 * self.depth[inside] / deepest
        fade = ~(self.depth > 0.0) & (self.weight > 1.0)
        self.weight[fade] *= 0.95
        self.weight[self.weight < 1.05] = 1.0
