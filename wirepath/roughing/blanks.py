"""One blank roughed: which directions to cut along, or which flat cuts, and their ways."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.model import Blank, Level, WireDirection
from wirepath.roughing.choosing import choose
from wirepath.roughing.directions import (
    FLAT,
    OUTLINE,
    STANDS_ON,
    across_plane,
    length_along_mm,
    shadow,
    shadow_mm,
    slanting,
    standing,
    stands_on,
)
from wirepath.roughing.grid import Bools, Grid, freed, make_grid
from wirepath.roughing.paths import Way, way_along, way_round
from wirepath.roughing.stack import clipped
from wirepath.roughing.tools import Tools
from wirepath.roughing.working import Roughed, in_order, roughed

Floats = NDArray[np.float64]

FLAT_TURNS = tuple(7.5 * k for k in range(24))
TILTED_TURNS = tuple(15.0 * k for k in range(24))
FLAT_STEP, TILTED_STEP = 2.5, 5.0
"""How far, in degrees, a chosen direction may be moved to free more: a third of the steps between
those tried."""

STANDING_TURNS = tuple(15.0 * k for k in range(1, 12) if k != 6)
"""Out of the plane of the back, of a block on its edge: neither flat nor square to the back."""

TILTS = (15.0, 30.0, 45.0, 60.0, 75.0)
CORNER_TURNS = tuple(15.0 * k for k in range(24))
FILED_MM = 0.001
"""Flat cuts keep so much more off: files round the wire's line to three decimals."""

CORNER_RISES = (0.0, 20.0, 35.0, 50.0, 65.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is to be roughed, with what, and when to stop."""

    levels: tuple[Level, ...]
    tools: Tools
    allowance_mm: float
    most_cuts: int
    """Cuts on one blank, the outline among them."""
    least_litres: float
    """What a cut must free to be made."""
    least_litres_per_m2: float = 0.0
    """And what it must free for each square metre it cuts."""
    least_litres_per_m: float = 0.0
    """What it must free besides for each metre the wire goes."""
    cut_litres: float = 0.0
    """What each cut of a way must pay for when ways are compared."""
    hollow: bool = False
    """Whether straight wires reach little of what is to go, so that more directions count."""

    @property
    def reach_mm(self) -> float:
        """How far the wire's centre keeps off the form."""
        return self.allowance_mm + self.tools.kerf_mm / 2

    def least(self, blank: Blank, direction: WireDirection) -> float:
        """Return the litres that a cut of this direction must free, by its least way."""
        wide, _, _ = shadow_mm(blank, direction)
        way_litres = self.least_litres_per_m * wide / 1000
        by_area = self.least_litres_per_m2 * _area_m2(blank, direction)
        return max(self.least_litres, by_area) + way_litres

    def own(self, blank: Blank) -> tuple[Level, ...]:
        """Return what of the form stands in a blank or so near that its allowance does."""
        return clipped(self.levels, blank, self.allowance_mm + self.tools.kerf_mm)

    def grid(self, blank: Blank, cell_mm: float) -> Grid:
        """Return a blank's grid."""
        return make_grid(self.own(blank), blank, self.allowance_mm, cell_mm=cell_mm)


def flat_directions() -> list[WireDirection]:
    """Return the outline and the flat profiles that are tried."""
    return [OUTLINE, *(slanting(turn) for turn in FLAT_TURNS)]


def all_directions() -> list[WireDirection]:
    """Return the flat directions and the tilted ones that are tried."""
    return [
        *flat_directions(),
        *(slanting(turn, tilt) for tilt in TILTS for turn in TILTED_TURNS),
    ]


def standing_directions() -> list[WireDirection]:
    """Return the directions that are tried along the edges a block can stand on."""
    return [standing(on, turn) for on in STANDS_ON for turn in STANDING_TURNS]


def usable_directions(task: Task, blank: Blank) -> list[WireDirection]:
    """Return the directions that are tried on this rig."""
    if task.tools.tilt_deg > 0:
        return all_directions()
    return [*flat_directions(), *(standing_directions() if stands_up(task, blank) else ())]


def stands_up(task: Task, blank: Blank) -> bool:
    """Return whether a block is stood on its edges for some cuts: on a table that tilts nothing,
    for a hollow form, or where the block does not pass between the wire's ends at every turn.

    Elsewhere cuts with the block on its back take as much, and standing it costs time and
    steadiness.
    """
    tools = task.tools
    if tools.by_hand or tools.by_fence or tools.tilt_deg > 0:
        return False
    return task.hollow or math.hypot(blank.width_mm, blank.height_mm) > tools.wire_mm


def rough_blank(
    task: Task, blank: Blank, directions: Sequence[WireDirection], grid: Grid
) -> Roughed:
    """Return a blank roughed along the best of `directions`, the outline first in the choice."""
    chosen, _ = chosen_directions(task, grid, directions)
    chosen = refined(task, grid, chosen)
    own = task.own(blank) if chosen else ()
    ways = []
    for direction in chosen:
        way = way_round(
            own,
            blank,
            direction,
            reach_mm=task.reach_mm,
            wire_mm=task.tools.wire_mm,
            by_hand=task.tools.by_hand,
        )
        if way is not None:
            ways.append(way)
    return roughed(in_order(ways), blank, grid, task.tools)


def chosen_directions(
    task: Task, grid: Grid, directions: Sequence[WireDirection]
) -> tuple[list[WireDirection], float]:
    """Return the directions to cut along, in the order of choice, and the litres they free by
    the grid. The outline comes first where it frees anything."""
    tools = task.tools
    usable = [one for one in directions if allowed(one, grid.blank, tools)]
    gains = [freed(grid, one, tools.wire_mm) for one in usable]
    areas = [_area_m2(grid.blank, one) for one in usable]
    costs = [1.0] * len(usable) if tools.by_hand else areas
    least = [task.least(grid.blank, one) for one in usable]
    forced = [k for k, one in enumerate(usable) if one == OUTLINE and gains[k].any()]

    def pick(among: Sequence[int], first: Sequence[int]) -> list[int]:
        found = choose(
            [gains[k] for k in among],
            [costs[k] for k in among],
            forced=[among.index(k) for k in first],
            most=task.most_cuts,
            least_cells=[least[k] / grid.cell_litres for k in among],
        )
        return [among[k] for k in found]

    every = list(range(len(usable)))
    flat = [k for k in every if abs(usable[k].wire[2]) < FLAT or usable[k] == OUTLINE]
    chosen = pick(every, forced)
    if len(flat) < len(every):
        # Greedy is no better for having more to choose from: see what flat cuts lead to.
        again = pick(every, pick(flat, forced))
        chosen = max((again, chosen), key=lambda ones: _taken(gains, ones))
    return [usable[k] for k in chosen], _taken(gains, chosen) * grid.cell_litres


def refined(task: Task, grid: Grid, chosen: Sequence[WireDirection]) -> list[WireDirection]:
    """Return the directions, each moved to a neighbour where that frees more beside the rest.

    Directions are tried some degrees apart; the best lies between them.
    """
    wire_mm, tools = task.tools.wire_mm, task.tools
    found = list(chosen)
    gains = [freed(grid, one, wire_mm) for one in found]
    for place, direction in enumerate(found):
        if direction == OUTLINE:
            continue
        rest = [gain for k, gain in enumerate(gains) if k != place]
        open_cells = ~np.logical_or.reduce(rest) if rest else np.ones(grid.removable, dtype=bool)
        most = int(np.count_nonzero(gains[place] & open_cells))
        for near in _neighbours(direction):
            if not allowed(near, grid.blank, tools):
                continue
            gain = freed(grid, near, wire_mm)
            count = int(np.count_nonzero(gain & open_cells))
            if count > most:
                found[place], gains[place], most = near, gain, count
    return found


def _neighbours(direction: WireDirection) -> list[WireDirection]:
    """Return the directions between a direction and those tried next to it."""
    on = stands_on(direction)
    if on is not None:
        out = math.degrees(math.atan2(direction.wire[2], sum(direction.wire[:2])))
        return [standing(on, out + step) for step in (-TILTED_STEP, TILTED_STEP)]
    turn = math.degrees(math.atan2(direction.right[1], direction.right[0]))
    tilt = math.degrees(math.asin(direction.wire[2]))
    if abs(tilt) < FLAT:
        return [slanting(turn + step) for step in (-FLAT_STEP, FLAT_STEP)]
    return [
        slanting(turn + across, tilt + up)
        for across, up in ((-TILTED_STEP, 0), (TILTED_STEP, 0), (0, -TILTED_STEP), (0, TILTED_STEP))
    ]


def corner_blank(task: Task, blank: Blank, grid: Grid) -> Roughed:
    """Return a blank roughed by flat cuts alone, for those who work along a straight edge.

    Only cuts that the wire spans and the rig holds are chosen from.
    """
    own = task.own(blank)
    points = _corner_points(own) if own else np.empty((0, 3))
    rises = [(turn, rise) for rise in CORNER_RISES for turn in CORNER_TURNS]
    planes: list[tuple[tuple[float, float, float], float]] = []
    for turn, rise in [*rises, (0.0, 90.0)]:
        a, b = math.radians(turn), math.radians(rise)
        normal = (math.cos(a) * math.cos(b), math.sin(a) * math.cos(b), math.sin(b))
        support = float((points @ np.array(normal)).max(initial=-np.inf))
        support += task.reach_mm + FILED_MM
        if math.isfinite(support):
            planes.append((normal, support))
    gains = [_beyond(grid, normal, support) for normal, support in planes]
    left = list(range(len(planes)))
    ways: dict[int, Way | None] = {}
    while True:
        picked = choose(
            [gains[k] for k in left],
            [1.0] * len(left),
            most=task.most_cuts,
            least_cells=task.least_litres / grid.cell_litres,
        )
        chosen = [left[k] for k in picked]
        for k in chosen:
            if k not in ways:
                ways[k] = _flat_way(*planes[k], blank, task.tools)
        if all(ways[k] is not None for k in chosen):
            break
        left = [k for k in left if ways.get(k, ...) is not None]
    found = [way for k in chosen if (way := ways[k]) is not None]
    return roughed(found, blank, grid, task.tools, corner=True)


def _flat_way(
    normal: tuple[float, float, float], support: float, blank: Blank, tools: Tools
) -> Way | None:
    """Return the flat cut with the shortest wire that the rig can hold, or None."""
    best: Way | None = None
    for direction in across_plane(normal, range(0, 180, 15)):
        if not allowed(direction, blank, tools):
            continue
        u0, v0, u1, v1 = shapely.buffer(shadow(blank, direction), 100.0).bounds
        kept = shapely.box(u0, v0, u1, support)
        if support >= v1 - 100.0:
            return None
        way = way_along([kept], blank, direction)
        shorter = way is not None and (
            best is None or way.longest_wire_mm < best.longest_wire_mm - 1.0
        )
        if shorter:
            best = way
    return best if best is not None and best.longest_wire_mm <= tools.wire_mm else None


def _beyond(grid: Grid, normal: tuple[float, float, float], support: float) -> Bools:
    """Return which removable cells lie beyond a plane, (n,)."""
    flat = grid.xs[None, :] * normal[0] + grid.ys[:, None] * normal[1]
    least = support - grid.zs * normal[2]
    return np.asarray(flat.ravel()[grid.column] > least[grid.layer])


def _corner_points(levels: Sequence[Level]) -> Floats:
    """Return the corners of all levels at their tops and backs, (n, 3), mm."""
    found = []
    for level in levels:
        flat = shapely.get_coordinates(shapely.convex_hull(level.region))
        for z in (level.from_mm, level.to_mm):
            found.append(np.column_stack([flat, np.full(len(flat), z)]))
    return np.concatenate(found)


def _taken(gains: Sequence[Bools], chosen: Sequence[int]) -> int:
    """Return how many cells the chosen cuts free together."""
    if not chosen:
        return 0
    return int(np.count_nonzero(np.logical_or.reduce([gains[k] for k in chosen])))


def _area_m2(blank: Blank, direction: WireDirection) -> float:
    """Return about how much a cut of this direction cuts: the block's shadow is as wide as the
    path is long, and the wire as long as the block's volume over its shadow's area."""
    wide, _, area = shadow_mm(blank, direction)
    size = blank.width_mm * blank.height_mm * blank.thickness_mm
    return wide * size / area / 1e6


def allowed(direction: WireDirection, blank: Blank, tools: Tools) -> bool:
    """Return whether the rig can hold this direction and its path has room on the table.

    A bow is shifted along the wire as it goes, so it only needs wire for the foam that it is
    in. On a table the whole block passes between the wire's ends. Before a fence it lies flat on
    one of its faces, so that the wire runs along its edges.
    """
    rise = math.degrees(math.asin(min(1.0, abs(direction.wire[2]))))
    if tools.by_fence and max(map(abs, direction.wire)) < 1 - FLAT:
        return False
    on_edge = not tools.by_hand and stands_on(direction) is not None
    if min(rise, 90.0 - rise) > FLAT and rise > tools.tilt_deg + FLAT and not on_edge:
        return False
    wide, high, area = shadow_mm(blank, direction)
    if shadow_mm(blank, direction, less_mm=tools.wire_mm)[2] >= 0.999 * area:
        return False
    if not tools.by_hand and length_along_mm(blank, direction) > tools.wire_mm:
        return False
    if tools.travel_mm is None:
        return True
    return max(wide, high) <= tools.travel_mm[0] and min(wide, high) <= tools.travel_mm[1]
