"""Guided local search on the grid: pieces move to where they overlap least until none does.

A piece that overlaps goes to the least of its field, over all containers and turns; pairs
that stay in conflict weigh more and more (guided local search after Voudouris and Tsang
1999, for laying out outlines after Egeblad, Nielsen and Odgaard 2007).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wirepath.nesting.fields import TAKEN, Effort, Fields, Ints, grid_reach
from wirepath.nesting.maps import Map, Maps
from wirepath.nesting.solids import Floats

Floats32 = NDArray[np.float32]

MOVE_COST = 40_000
"""Work of moving a piece besides its field, in cells: conflicts are measured anew."""

MOST_GROUPS = 2
"""Groups of variants tried in one move: of any angle there are dozens."""


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
    _fields: Fields = field(init=False)
    _codes: Ints = field(init=False)
    """For each piece a number for where it stands."""
    _boxes: Ints = field(init=False)
    """For each piece its container, and its box there in cells: x, y, right, top."""
    _corners: Ints = field(init=False)
    _sizes: Ints = field(init=False)
    """For each variant its size in whole cells, clearance included."""

    def __post_init__(self) -> None:
        count = len(self.kinds)
        self._fields = Fields(self.maps, count, self.rooms, self.effort)
        self._codes = np.zeros(count, dtype=np.int64)
        self._boxes = np.zeros(count, dtype=np.int64)
        self._corners = np.zeros((4, count), dtype=np.int64)
        cell, clearance = self.maps.cell_mm, self.maps.clearance_mm
        self._sizes = np.array(
            [
                (
                    np.ceil((one.width_mm + clearance) / cell),
                    np.ceil((one.height_mm + clearance) / cell),
                )
                for one in self.maps.variants
            ],
            dtype=np.int64,
        )
        self.weight = np.ones((count, count), dtype=np.float32)
        self.depth = np.zeros((count, count), dtype=np.float32)
        self.put(self.stand)

    def put(self, stand: Stand) -> None:
        """Take over a whole stand; conflicts are counted anew, weights are kept."""
        self.stand = stand
        for piece in range(len(self.kinds)):
            self._clamp(piece)
            self._note(piece)
        self.depth[:] = 0.0
        for piece in range(1, len(self.kinds)):
            self._measure(piece)

    def reach(self, variant: int, box: int) -> tuple[int, int]:
        """Return how many grid positions a variant has in a container, along x and y."""
        return grid_reach(self.maps, variant, *self.rooms[box])

    def narrow(self, box: int, width: float) -> None:
        """Make a container narrower (or as wide as it began); pieces beyond are moved back."""
        self.rooms[box] = (width, self.rooms[box][1])
        self._fields.narrow(box, width)
        stand = self.stand
        for piece in range(len(self.kinds)):
            if stand.box[piece] != box:
                continue
            nx, ny = self.reach(stand.variant[piece], box)
            x, y = min(stand.x[piece], nx - 1), min(stand.y[piece], ny - 1)
            if nx == 0:
                # Weights of a search that failed may be so large that no place looks free.
                self.weight[:] = 1.0
                found = self.best(piece)
                if found is None:
                    raise AssertionError("the container is narrower than a piece")
                self.move(piece, *found[1:])
            elif (x, y) != (stand.x[piece], stand.y[piece]):
                self.move(piece, stand.variant[piece], box, x, y)

    def _clamp(self, piece: int) -> None:
        stand = self.stand
        nx, ny = self.reach(stand.variant[piece], stand.box[piece])
        # What has become wider than its container hangs over until it is narrowed or moved.
        stand.x[piece] = min(max(stand.x[piece], 0), max(nx - 1, 0))
        stand.y[piece] = min(max(stand.y[piece], 0), max(ny - 1, 0))

    def _note(self, piece: int) -> None:
        stand = self.stand
        variant, x, y = stand.variant[piece], stand.x[piece], stand.y[piece]
        self._codes[piece] = self._fields.code(variant, x, y)
        self._boxes[piece] = stand.box[piece]
        wide, high = self._sizes[variant]
        self._corners[:, piece] = x, y, x + wide, y + high

    def move(self, piece: int, variant: int, box: int, x: int, y: int) -> None:
        """Move a piece and measure its conflicts anew."""
        stand = self.stand
        if (variant, box, x, y) == (
            stand.variant[piece],
            stand.box[piece],
            stand.x[piece],
            stand.y[piece],
        ):
            return
        stand.variant[piece], stand.box[piece], stand.x[piece], stand.y[piece] = variant, box, x, y
        self._note(piece)
        self.depth[piece] = 0.0
        self.depth[:, piece] = 0.0
        self._measure(piece)

    def _measure(self, piece: int) -> None:
        stand, corners = self.stand, self._corners
        box, mine = stand.box[piece], stand.variant[piece]
        x, y = stand.x[piece], stand.y[piece]
        self.effort.done += MOVE_COST
        meet = (corners[:2] < corners[2:, piece, None]) & (corners[2:] > corners[:2, piece, None])
        near = meet[0] & meet[1] & (self._boxes == box)
        near[piece] = False
        for other in np.flatnonzero(near).tolist():
            depth = self._fields.depth(
                stand.variant[other], stand.x[other], stand.y[other], mine, x, y
            )
            if depth > 0.0:
                self.depth[piece, other] = self.depth[other, piece] = depth

    def field(self, piece: int, variant: int, box: int) -> Map:
        """Return the weighted depth of `piece` in every grid position, (nx, ny); (0, 0) none."""
        group, place = self._fields.place_of[variant]
        nx, ny = self.reach(variant, box)
        total = self._weighted(piece, group, box)[place]
        return np.array(total.reshape(-1, self._fields.columns(group))[:nx, :ny])

    def _weighted(self, piece: int, group: int, box: int) -> Map:
        inside = self._boxes == box
        inside[piece] = False
        codes = np.where(inside, self._codes, -1)
        weights = self.weight[piece]
        heavy = np.flatnonzero((weights > 1.0) & inside)
        more = weights[heavy] - np.float32(1.0)
        pairs = list(zip(codes[heavy].tolist(), more.tolist(), strict=True))
        return self._fields.weighted(group, box, codes, pairs)

    def best(self, piece: int) -> tuple[float, int, int, int, int] | None:
        """Return the least weighted depth of a piece, its variant, container, x and y."""
        found: tuple[float, int, int, int, int] | None = None
        for box in range(len(self.rooms)):
            for group in self._groups(piece):
                depth = self._weighted(piece, group, box)
                if depth.size == 0:
                    continue
                place, spot = divmod(int(depth.argmin()), depth.shape[1])
                least = float(depth[place, spot])
                if least < TAKEN / 2 and (found is None or least < found[0]):
                    x, y = divmod(spot, self._fields.columns(group))
                    found = least, self._fields.groups[group][place], box, x, y
        return found

    def _groups(self, piece: int) -> Sequence[int]:
        """Return the groups of variants to try: all of a few, of many its own and one by chance."""
        own = self._fields.groups_of_kind[self.kinds[piece]]
        if len(own) <= MOST_GROUPS:
            return own
        # Of many turns only a few may fit at all: those must not be missed by chance.
        own = [
            group
            for group in own
            if any(
                nx for box in range(len(self.rooms)) for nx, _ in self._fields.reaches(group, box)
            )
        ]
        if len(own) <= MOST_GROUPS:
            return own
        now = self._fields.place_of[self.stand.variant[piece]][0]
        others = [group for group in own if group != now]
        some = self.chance.choice(others, size=MOST_GROUPS - 1, replace=False).tolist()
        return [now, *some]

    def overlap(self) -> float:
        """Return how deep all pairs overlap together, in cells."""
        return float(self.depth.sum()) / 2

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
            self.effort.done += MOVE_COST + self.depth.size
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
