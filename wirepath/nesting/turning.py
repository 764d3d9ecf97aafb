"""The finish for pieces of any angle: they turn a little while they are pressed together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import csr_array

from wirepath.nesting.fields import Effort
from wirepath.nesting.finish import CALL_COST, ROW_COST, least_cost, lines_near, press
from wirepath.nesting.maps import Maps, outlines_between
from wirepath.nesting.solids import Floats

ROUNDS, STEP_FADE = 6, 0.6
"""Linear programmes in turn, and how much smaller the steps get from each to the next."""

SLACK_PRICE = 100.0
"""What a millimetre of overlap costs, next to one of width."""

PAIR_COST, LINE_COST = 400_000, 100_000
"""Work of a near pair, and of each line between two convex parts, in cells: 0.4 and 0.1 ms."""

Turned = tuple[tuple[int, ...], Floats, float]
"""Variants, new ones among them; spots, (n, 2); the width they need."""


def press_turning(
    maps: Maps,
    variants: Sequence[int],
    spots: Floats,
    *,
    height_mm: float,
    step_mm: float,
    effort: Effort,
    width_mm: float = math.inf,
) -> Turned | None:
    """Return variants and spots with no overlap, and the width they need; None if not found.

    As `press`, but pieces whose kind is free turn as well. For small turns everything is
    nearly linear: a point of a piece goes across its way to the pivot, and the line between
    two pieces turns with the one that has an edge on it. No corner moves more than some
    `step_mm` a round, less from round to round. What the programme neglects, up to
    step^2 / 2 radius, the next round and at last `press` take out, on the exact outlines.
    """
    free = np.array([maps.kind_of(v) in maps.free for v in variants])
    state = _State(maps, variants, spots)
    for _ in range(ROUNDS):
        if effort.spent or not state.step(free, (width_mm, height_mm), step_mm, effort):
            break
        step_mm *= STEP_FADE
    turned, at = state.variants()
    found = press(
        maps,
        turned,
        at,
        height_mm=height_mm,
        step_mm=step_mm,
        effort=effort,
        width_mm=width_mm,
    )
    return None if found is None else (tuple(turned), *found)


@dataclass(slots=True, init=False)
class _State:
    """Pieces about their pivots: where these stand, and by how much each has turned."""

    maps: Maps
    given: list[int]
    pivots: Floats
    """(n, 2), mm."""
    angles: Floats
    """Radians, from the variants given."""
    halves: Floats
    """Half the size of each piece as given: its pivot as seen from its corner."""

    def __init__(self, maps: Maps, variants: Sequence[int], spots: Floats) -> None:
        self.maps, self.given = maps, list(variants)
        some = [maps.variants[v] for v in variants]
        self.halves = np.array([(one.width_mm / 2, one.height_mm / 2) for one in some])
        self.pivots = spots + self.halves
        self.angles = np.zeros(len(some))

    def _turned(self, piece: int, points: Floats) -> Floats:
        """Return points of a variant as they are turned now, as seen from the pivot."""
        cos, sin = math.cos(self.angles[piece]), math.sin(self.angles[piece])
        return np.asarray((points - self.halves[piece]) @ np.array([[cos, sin], [-sin, cos]]))

    def variants(self) -> tuple[list[int], Floats]:
        """Return the variants of the pieces as they are turned now, and their corners' places."""
        found = []
        at = np.empty_like(self.pivots)
        for piece, given in enumerate(self.given):
            by = float(self.angles[piece])
            number = self.maps.regions.turned(given, math.degrees(by)) if by else given
            hull = shapely.get_coordinates(self.maps.variants[given].outline)
            at[piece] = self.pivots[piece] + self._turned(piece, hull).min(axis=0)
            found.append(number)
        return found, at

    def step(
        self,
        free: NDArray[np.bool_],
        room_mm: tuple[float, float],
        step_mm: float,
        effort: Effort,
    ) -> bool:
        """Move and turn all pieces by one linear programme; False where it has no answer."""
        count = len(self.given)
        hulls = [
            self._turned(k, shapely.get_coordinates(self.maps.variants[v].outline.convex_hull)[:-1])
            for k, v in enumerate(self.given)
        ]
        rows = _Rows(count)
        self._keep_apart(rows, hulls, step_mm, effort)
        self._keep_inside(rows, hulls, room_mm[1], step_mm)
        matrix, limits = rows.matrix()
        radius = np.array([np.hypot(*hull.T).max() for hull in hulls])
        cost = np.zeros(3 * count + 2)
        cost[:count] = 1e-4 / count
        cost[3 * count], cost[3 * count + 1] = 1.0, SLACK_PRICE
        reach = np.concatenate([np.full(2 * count, step_mm), np.where(free, step_mm / radius, 0.0)])
        low, high = np.append(-reach, [0.0, 0.0]), np.append(reach, [room_mm[0], np.inf])
        effort.done += CALL_COST + ROW_COST * len(limits)
        x = least_cost(cost, matrix, limits, low, high)
        if x is None:
            return False
        self.pivots += x[: 2 * count].reshape(2, count).T
        self.angles += x[2 * count : 3 * count]
        return True

    def _keep_inside(
        self, rows: _Rows, hulls: Sequence[Floats], height_mm: float, step_mm: float
    ) -> None:
        """Keep the corners of all hulls in the strip, and left of its width."""
        for piece, hull in enumerate(hulls):
            points = self.pivots[piece] + hull
            for axis, sign in ((0, 1.0), (0, -1.0), (1, 1.0), (1, -1.0)):
                along = sign * points[:, axis]
                near = along >= along.max() - 4 * step_mm
                # A turn moves a point by its way to the pivot, a quarter turn on.
                across = -hull[near, 1] if axis == 0 else hull[near, 0]
                limit = 0.0 if sign < 0 else height_mm if axis else np.nan
                if along.max() > limit - 4 * step_mm or np.isnan(limit):
                    rows.wall(piece, axis, sign, sign * across, along[near], limit)

    def _keep_apart(
        self, rows: _Rows, hulls: Sequence[Floats], step_mm: float, effort: Effort
    ) -> None:
        """Keep near pairs on either side of a line for each pair of their convex parts."""
        clearance = self.maps.clearance_mm
        near_mm = clearance + 4 * step_mm
        low = np.array([hull.min(axis=0) for hull in hulls]) + self.pivots - near_mm
        high = np.array([hull.max(axis=0) for hull in hulls]) + self.pivots + near_mm
        meet = (low[:, None] < high[None]).all(axis=2) & (low[None] < high[:, None]).all(axis=2)
        parts = [
            [self._turned(k, part) for part in self.maps.variants[v].parts]
            for k, v in enumerate(self.given)
        ]
        for one, other in np.argwhere(np.triu(meet, 1)).tolist():
            apart = self.pivots[other] - self.pivots[one]
            # Only convex parts near the other piece's box can come near a part of it.
            some = _near(parts[one], low[other] - self.pivots[one], high[other] - self.pivots[one])
            more = _near(
                parts[other], low[one] - self.pivots[other], high[one] - self.pivots[other]
            )
            if not some or not more:
                continue
            outlines = outlines_between(some, more)
            near, normals, _ = lines_near(outlines, apart, near_mm, corners=clearance > 0)
            effort.done += PAIR_COST + LINE_COST * len(near)
            for k, normal in zip(near.tolist(), normals, strict=True):
                a, b = some[k // len(more)], more[k % len(more)]
                rows.apart(one, other, normal, a, b, apart, clearance, 4 * step_mm)


def _near(parts: Sequence[Floats], low: Floats, high: Floats) -> list[Floats]:
    """Return the parts whose boxes meet a box."""
    return [p for p in parts if (p.max(axis=0) > low).all() and (p.min(axis=0) < high).all()]


class _Rows:
    """Rows `matrix @ unknowns <= limits`: x of all, y of all, turn of all, width, slack."""

    def __init__(self, count: int) -> None:
        self.count = count
        self._limits: list[Floats] = []
        self._values: list[Floats] = []
        self._columns: list[NDArray[np.int64]] = []

    def _add(self, columns: Sequence[int], values: Sequence[Floats | float], limit: Floats) -> None:
        size = len(limit)
        self._limits.append(limit)
        columns = [*columns, 3 * self.count + 1]
        self._columns.append(np.tile(np.array(columns), (size, 1)))
        full = [np.broadcast_to(np.asarray(value, float), size) for value in (*values, -1.0)]
        self._values.append(np.stack(full, axis=1))

    def wall(
        self, piece: int, axis: int, sign: float, across: Floats, along: Floats, limit: float
    ) -> None:
        """Keep points from going past a limit, or past the width where that is no number."""
        columns = [axis * self.count + piece, 2 * self.count + piece]
        if math.isnan(limit):
            self._add([*columns, 3 * self.count], [sign, across, -1.0], -along)
        else:
            self._add([*columns, 3 * self.count], [sign, across, 0.0], limit - along)

    def apart(
        self,
        one: int,
        other: int,
        normal: Floats,
        a: Floats,
        b: Floats,
        between: Floats,
        clearance_mm: float,
        margin_mm: float,
    ) -> None:
        """Keep convex parts `a` and `b` a clearance apart along a normal that may turn.

        Points as seen from the pivots, which are `between` apart. The line turns with the
        part that has an edge on it; where two corners meet it does not turn.
        """
        on_a, on_b = a @ normal, b @ normal
        edge_a = np.count_nonzero(on_a > on_a.max() - 1e-9 * margin_mm) > 1
        edge_b = np.count_nonzero(on_b < on_b.min() + 1e-9 * margin_mm) > 1
        if edge_a:
            a, b = a[[int(on_a.argmax())]], b[on_b < on_b.min() + margin_mm]
        elif edge_b:
            a, b = a[on_a > on_a.max() - margin_mm], b[[int(on_b.argmin())]]
        else:
            a, b = a[[int(on_a.argmax())]], b[[int(on_b.argmin())]]
        size = max(len(a), len(b))
        a, b = np.broadcast_to(a, (size, 2)), np.broadcast_to(b, (size, 2))
        quarter = np.array([-normal[1], normal[0]])
        way = between + b - a
        turn_a, turn_b = a @ quarter, -(b @ quarter)
        if edge_a:
            turn_a = turn_a + way @ quarter
        elif edge_b:
            turn_b = turn_b + way @ quarter
        n = self.count
        self._add(
            [one, n + one, other, n + other, 2 * n + one, 2 * n + other],
            [normal[0], normal[1], -normal[0], -normal[1], -turn_a, -turn_b],
            way @ normal - clearance_mm,
        )

    def matrix(self) -> tuple[csr_array, Floats]:
        """Return all rows as a sparse matrix, and their limits."""
        limits = np.concatenate(self._limits)
        width = 3 * self.count + 2
        columns = [one.ravel() for one in self._columns]
        values = [one.ravel() for one in self._values]
        sizes = [one.shape[1] for one in self._columns for _ in range(len(one))]
        rows = np.repeat(np.arange(len(limits)), sizes)
        entries = (np.concatenate(values), (rows, np.concatenate(columns)))
        return csr_array(entries, shape=(len(limits), width)), limits
