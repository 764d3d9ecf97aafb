"""Where to part a hollow form into strips: seams through the hollows, where they help most."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from wirepath.model import Blank
from wirepath.roughing.blanks import Task, chosen_directions, usable_directions
from wirepath.roughing.choosing import worth

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


def partings(task: Task, blank: Blank, *, only: str = "") -> list[Parting]:
    """Return the best partings into strips, `MOST_EACH_WAY` across and as many upright.

    What a strip gives does not depend on the others, so the best seams are found strip by
    strip (dynamic programming, Bellman 1957); even strips are kept where they promise as
    much. `only` is a way's name where no other is asked for.
    """
    found: list[Parting] = []
    for along, size in (("across", blank.height_mm), ("upright", blank.width_mm)):
        ways = {n: f"{n} strips {along}, then profiles" for n in range(2, MOST_STRIPS + 1)}
        if only and only not in ways.values():
            continue
        least = math.ceil(LEAST_STRIP_MM / size * STEPS - 1e-9)
        gains = {
            (start, end): _gain(task, _strips(blank, along, (start / STEPS, end / STEPS))[0])
            for start in range(STEPS)
            for end in range(start + least, min(start + WIDEST, STEPS) + 1)
        }
        seam = -worth(0.0, 0, blank.volume_mm3 / size / 1e6, task.cut_litres)
        best = _best_ends(gains)
        own: list[Parting] = []
        for count, way in ways.items():
            if (only and only != way) or size / count < LEAST_STRIP_MM:
                continue
            shares = [k / count for k in range(count + 1)]
            promise = sum(_gain(task, one) for one in _strips(blank, along, shares))
            if count in best and best[count][0] > promise:
                promise, ends = best[count]
                shares = [0.0, *(end / STEPS for end in ends)]
            strips = _strips(blank, along, shares)
            own.append(Parting(way=way, strips=strips, promise=promise - seam * (count - 1)))
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


def _gain(task: Task, strip: Blank) -> float:
    """Return what a strip's cuts are worth by the coarse grid, as litres.

    Every other direction tells enough to compare strips by.
    """
    outline, *others = usable_directions(task, strip)
    chosen, freed_litres = chosen_directions(
        task, task.grid(strip, COARSE_CELL_MM), [outline, *others[::2]]
    )
    return worth(freed_litres, len(chosen), 0.0, task.cut_litres)


def _strips(blank: Blank, along: str, shares: Sequence[float]) -> tuple[Blank, ...]:
    """Return the parts of the blank between `shares` of its width from the left, or of its
    height from below."""
    found = []
    for number, (start, end) in enumerate(pairwise(shares), 1):
        if along == "upright":
            x, width = blank.x_mm + start * blank.width_mm, (end - start) * blank.width_mm
            found.append(replace(blank, number=number, x_mm=x, width_mm=width))
        else:
            y, height = blank.y_mm + start * blank.height_mm, (end - start) * blank.height_mm
            found.append(replace(blank, number=number, y_mm=y, height_mm=height))
    return tuple(found)
