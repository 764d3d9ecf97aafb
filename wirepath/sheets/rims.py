"""What stands round the picture of a layout: running dimensions and ways in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.geometry import place_all
from wirepath.model import Layout, Plan
from wirepath.sheets.figures import beside, whole
from wirepath.sheets.lettering import NOTE, width_mm
from wirepath.sheets.steps import Step, entry_place
from wirepath.wording import Words
from wirepath.workshop import Paper

TICK_MM = 7.0
"""From the foam's rim to the figures of the running dimensions."""
PITCH_MM = 4.6
"""Least distance between the middles of two such figures."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A running dimension: a place along an edge, and its figure."""

    at_mm: float
    text: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Rims:
    """Running dimensions along the bottom and left edge; entries on the other two."""

    bottom: tuple[Mark, ...]
    left: tuple[Mark, ...]
    is_top_used: bool
    is_right_used: bool

    @property
    def left_mm(self) -> float:
        """Width needed left of the foam."""
        return TICK_MM + 1.0 + _longest(self.left)

    @property
    def bottom_mm(self) -> float:
        """Height needed below the foam."""
        return TICK_MM + 1.0 + _longest(self.bottom)

    @property
    def right_mm(self) -> float:
        """Width needed right of the foam: entries, then numbers of the squares."""
        return 6.5 + (6.0 if self.is_right_used else 0.0)

    @property
    def top_mm(self) -> float:
        """Height needed above the foam: entries, then letters of the squares."""
        return 5.0 + (6.0 if self.is_top_used else 0.0)


def _longest(marks: Sequence[Mark]) -> float:
    return max((width_mm(mark.text, NOTE, bold=mark.bold) for mark in marks), default=0.0)


def rims(plan: Plan, layout: Layout, steps: Sequence[Step], scale: float, words: Words) -> Rims:
    """Return what stands around the picture at 1 : `scale`.

    Both ends of every piece are dimensioned; where the figures crowd, only the end
    nearer to the datum; where these crowd too, only entries, threadings and the foam itself.
    """
    bounds = shapely.bounds(np.array(place_all(layout, plan.pieces), dtype=object)).reshape(-1, 4)
    entries: list[list[Mark]] = [[], [], [], []]
    for step in steps:
        if step.entry is not None:
            edge, distance, _, _ = entry_place(layout, step.start)
            figure = beside(whole(distance), distance, plan.workshop.paper)
            text = words.in_mark.format(number=step.entry, distance=figure)
            entries[edge].append(Mark(distance, text, bold=True))

    threads: list[list[Mark]] = [[], []]
    for step in steps:
        if step.threading is not None:
            for axis, at in enumerate(step.start):
                figure = beside(whole(at), at, plan.workshop.paper)
                text = words.thread_mark.format(number=step.threading, distance=figure)
                threads[axis].append(Mark(at, text, bold=True))

    def along(
        low: NDArray[np.float64], high: NDArray[np.float64], size: float, edge: int
    ) -> tuple[Mark, ...]:
        bold = [*entries[edge], *threads[1 - edge]]
        for values in ([*low, *high], [*low], []):
            marks = _marks([0.0, size, *values], bold, plan.workshop.paper)
            if len(marks) * PITCH_MM <= size / scale + PITCH_MM:
                break
        return marks

    return Rims(
        bottom=along(bounds[:, 0], bounds[:, 2], layout.width_mm, 1),
        left=along(bounds[:, 1], bounds[:, 3], layout.height_mm, 0),
        is_top_used=bool(entries[3]),
        is_right_used=bool(entries[2]),
    )


def _marks(values: Sequence[float], entries: Sequence[Mark], paper: Paper) -> tuple[Mark, ...]:
    """Return one mark for each whole mm, entries beside them, in rising order."""
    figures = {whole(value): float(value) for value in values}
    marks = [
        *(Mark(value, beside(text, value, paper)) for text, value in figures.items()),
        *entries,
    ]
    return tuple(sorted(marks, key=lambda mark: (mark.at_mm, mark.bold)))
