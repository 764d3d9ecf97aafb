"""What straight wires could take: the line hull, as this rig and its wire reach it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from wirepath.model import Blank, WireDirection
from wirepath.roughing.blanks import Task, allowed
from wirepath.roughing.directions import FLAT, standing
from wirepath.roughing.grid import (
    CELL_MM,
    MOST_CELLS,
    bound_directions,
    line_hull_share,
    make_grid,
)
from wirepath.roughing.slabs import STEEPEST_DEG
from wirepath.roughing.stack import clipped
from wirepath.roughing.tools import Tools
from wirepath.roughing.working import Roughed, tilt_of

LEAST_CELLS = 100_000
"""Small blanks are looked at in so many cells, of less than `CELL_MM`."""


def reach_share(task: Task, results: Sequence[Roughed]) -> float:
    """Return the share of the removable bulk that the rig's wire could take from blanks, each by
    itself as it is cut here, with as many cuts as it would take.

    To the fineness of the directions tried, those of the cuts among them, and of a grid as fine
    as one of the whole. Slabs are opened to their holes by slits; a wire whose ends go lines of
    their own leans in them as far as slanted edges may.
    """
    slabs = len({one.blank.from_mm for one in results}) > 1
    size_mm3 = sum(math.prod(_size(one.blank)) for one in results)
    small_mm = min(CELL_MM, (size_mm3 / LEAST_CELLS) ** (1 / 3))
    cell_mm = max(small_mm, (size_mm3 / MOST_CELLS) ** (1 / 3))
    reached = total = 0.0
    for one in results:
        own = clipped(task.levels, one.blank, task.allowance_mm)
        grid = make_grid(own, one.blank, task.allowance_mm, cell_mm=cell_mm)
        amount = grid.removable * grid.cell_litres
        leaning = slabs and any(cut.upper for cut in one.cuts)
        directions = [
            *(way.direction for way in one.ways),
            *rig_directions(task.tools, one.blank, leaning=leaning),
        ]
        share = line_hull_share(grid, task.tools.wire_mm, directions, slits=slabs)
        total, reached = total + amount, reached + amount * share
    return reached / total if total else 1.0


def holds_all(tools: Tools, blank: Blank) -> bool:
    """Return whether the rig can hold every direction that the bound tries, with wire enough."""
    if math.dist((0.0, 0.0, 0.0), _size(blank)) > tools.wire_mm:
        return False
    return all(allowed(direction, blank, tools) for direction in bound_directions())


def _size(blank: Blank) -> tuple[float, float, float]:
    return blank.width_mm, blank.height_mm, blank.thickness_mm


def rig_directions(tools: Tools, blank: Blank, *, leaning: bool = False) -> Iterator[WireDirection]:
    """Yield the directions that the bound tries and the rig can hold before a blank: on a table
    by standing the blank on an edge too. With `leaning` those of a slanted edge as well."""
    for direction in bound_directions():
        on_edge = _standing(direction)
        if allowed(direction, blank, tools):
            yield direction
        elif on_edge is not None and allowed(on_edge, blank, tools):
            yield on_edge
        elif leaning and tilt_of(direction) >= 90 - STEEPEST_DEG:
            yield direction


def _standing(direction: WireDirection) -> WireDirection | None:
    """Return the same direction of a block stood on an edge, or None where there is none."""
    x, y, z = direction.wire
    if not FLAT < abs(z) < 1 - FLAT or min(abs(x), abs(y)) > FLAT:
        return None
    tilt = tilt_of(direction)
    along = x if abs(y) <= FLAT else y
    return standing("bottom" if abs(y) <= FLAT else "left", tilt if along * z > 0 else 180 - tilt)
