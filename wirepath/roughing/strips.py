"""Where to part a hollow form into strips: seams through the hollows, where they help most."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from wirepath.model import Blank
from wirepath.roughing.blanks import Task, chosen_directions, usable_directions
from wirepath.roughing.choosing import SEAM_WORTH, worth

MOST_STRIPS = 8
LEAST_STRIP_MM = 150.0

STEPS = 16
"""Seams lie on sixteenths of the block's width or height."""
WIDEST = 11
"""Sixteenths that a strip may span."""

MOST_EACH_WAY = 2
"""Partings that are worked out, of those across and of those upright."""

COARSE_CELL_MM = 20.0
"""Strips are ranked on a coarse grid."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parting:
    """A block parted into strips, and what that promises (`choosing.worth`)."""

    way: str
    strips: tuple[Blank, ...]
    promise: float


def partings(task: Task, blank: Blank, *, removable: float, only: str = "") -> list[Parting]:
    """Return the best partings into strips, `MOST_EACH_WAY` across and as many upright.

    What a strip gives does not depend on the others, so the best seams are found strip by
    strip (dynamic programming, Bellman 1957). `removable` is the bulk in litres. `only` is
    a way's name where no other is asked for.
    """
    found: list[Parting] = []
    for along, size in (("across", blank.height_mm), ("upright", blank.width_mm)):
        ways = {n: f"{n} strips {along}, then profiles" for n in range(2, MOST_STRIPS + 1)}
        if only and only not in ways.values():
            continue
        least = math.ceil(LEAST_STRIP_MM / size * STEPS - 1e-9)
        gains = {
            (start, end): _gain(task, _strip(blank, along, start, end, 1), removable)
            for start in range(STEPS)
            for end in range(start + least, min(start + WIDEST, STEPS) + 1)
        }
        seam = SEAM_WORTH * blank.volume_mm3 / size / 1e6
        own: list[Parting] = []
        for count, (promise, ends) in _best_ends(gains).items():
            strips = tuple(
                _strip(blank, along, start, end, number)
                for number, (start, end) in enumerate(zip((0, *ends), ends, strict=False), 1)
            )
            way = ways[count]
            if not only or only == way:
                promise -= seam * (count - 1)
                own.append(Parting(way=way, strips=strips, promise=promise))
        # The grid flatters one way or the other: the best of both are worked out.
        found += sorted(own, key=lambda one: -one.promise)[:MOST_EACH_WAY]
    return found


def _best_ends(
    gains: Mapping[tuple[int, int], float],
) -> dict[int, tuple[float, tuple[int, ...]]]:
    """Return for each number of strips the most they can gain, and where each of them ends."""
    best: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {(0, 0): (0.0, ())}
    for count in range(1, MOST_STRIPS + 1):
        for (start, end), gain in gains.items():
            if (count - 1, start) not in best:
                continue
            before, ends = best[count - 1, start]
            if (count, end) not in best or before + gain > best[count, end][0]:
                best[count, end] = (before + gain, (*ends, end))
    counts = range(2, MOST_STRIPS + 1)
    return {count: best[count, STEPS] for count in counts if (count, STEPS) in best}


def _gain(task: Task, strip: Blank, removable: float) -> float:
    """Return what a strip's cuts are worth by the coarse grid, as a share of the bulk.

    Every other direction tells enough to compare strips by.
    """
    outline, *others = usable_directions(task)
    chosen, freed_litres = chosen_directions(
        task, task.grid(strip, COARSE_CELL_MM), [outline, *others[::2]]
    )
    return worth(freed_litres / removable, len(chosen), 0.0)


def _strip(blank: Blank, along: str, start: int, end: int, number: int) -> Blank:
    """Return the part of the blank from one sixteenth to another, from the left or below."""
    if along == "upright":
        step = blank.width_mm / STEPS
        return replace(
            blank,
            number=number,
            x_mm=blank.x_mm + start * step,
            width_mm=(end - start) * step,
        )
    step = blank.height_mm / STEPS
    return replace(
        blank, number=number, y_mm=blank.y_mm + start * step, height_mm=(end - start) * step
    )
