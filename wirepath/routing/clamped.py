"""A way clear of the clamps that hold the foam: sides to enter from are tried until one is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
import shapely

from wirepath.errors import Fault, FitError
from wirepath.model import Pass
from wirepath.routing.touring import free_sides
from wirepath.workshop import Cutting, Side, Workshop

Ways = tuple[tuple[Pass, ...], tuple[Pass, ...]]
"""The passes of a layout, square, and the same with the wire leaned where it tapers."""

Lead = Callable[[Cutting], Ways]
"""Leads the wire over a layout, entering from the `entry_sides` of a cutting only."""


def clear_of_clamps(lead: Lead, workshop: Workshop, layout: int) -> Ways:
    """Return the first passes found that keep out of every clamp, air ways included.

    Raises FitError, naming what runs through which clamp, where none are clear; as `lead`
    does where the first try fails.
    """
    sides = free_sides(workshop.cutting, workshop.rig)

    def met(ways: Ways) -> Iterable[Fault]:
        return hits(ways[1], workshop, layout)

    return first_clear(lead, workshop.cutting, sides, met)


def first_clear(
    lead: Lead,
    cutting: Cutting,
    sides: Sequence[Side],
    faults_of: Callable[[Ways], Iterable[Fault]],
    *,
    patient: bool = False,
) -> Ways:
    """Return the first passes found without faults, entering from some of `sides`.

    First with all of them, then with fewer and fewer. Raises FitError, with the faults of
    the first try, where none are; and where `lead` raises at the first try, unless `patient`.
    """
    first: list[Fault] = []
    for some in _choices(sides):
        try:
            ways = lead(replace(cutting, entry_sides=some))
        except FitError as error:
            if not first and not patient:
                raise
            first = first or list(error.faults)
            continue
        found = list(faults_of(ways))
        if not found:
            return ways
        first = first or found
    raise FitError(first)


def _choices(sides: Sequence[Side]) -> Iterator[tuple[Side, ...]]:
    for count in range(len(sides), 0, -1):
        yield from combinations(sides, count)


def hits(passes: Sequence[Pass], workshop: Workshop, layout: int) -> Iterator[Fault]:
    """Give each clamp that the slot of a move enters, and what runs through it first."""
    moves = [move for one in passes for move in one.moves]
    lines = np.array([line for move in moves for line in (move.line, move.far or move.line)])
    reach = workshop.cutting.widest_kerf_mm / 2
    for number, clamp in enumerate(workshop.rig.clamps, 1):
        near = np.flatnonzero(shapely.dwithin(lines, clamp.polygon, reach - 1e-6))
        if not len(near):
            continue
        met = [moves[int(index) // 2] for index in near]
        move = next((one for one in met if one.piece is not None), met[0])
        what = f"piece {move.piece}" if move.piece is not None else f"a way '{move.kind}'"
        yield Fault(
            f"clamp {number} stands in the way of {what}",
            f"layout {layout}, near x {clamp.x_mm:g}, y {clamp.y_mm:g} mm",
            "move the clamp off the lines, to waste or to another edge, or use another block",
        )
