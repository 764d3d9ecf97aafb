"""Pieces on a strip of fixed height, as short as can be found."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from wirepath.nesting.fields import Effort
from wirepath.nesting.finish import press
from wirepath.nesting.maps import Maps
from wirepath.nesting.search import Search, Stand
from wirepath.nesting.start import filled_from_left
from wirepath.nesting.ways import ROUNDING_MM

FIRST_SHRINK, AGAIN_SHRINK, LAST_SHRINK, SHRINK_FADE = 0.05, 0.03, 0.001, 0.7
"""How much narrower the strip is made: at first; again, after steps down to the last; and
what a failure leaves of it. Large steps pass by layouts that small ones are caught in."""

TRIES = 60
"""Sweeps without gain after which the search starts again from the best strip."""


NEARLY = 12.0
"""Cells of overlap, all pairs together, that the linear programme is asked to take out."""


MOST_STRAYED = 3
"""Times in a row that the search goes on from a strip that is no shorter than the best."""


@dataclass(frozen=True, slots=True)
class Strip:
    """Pieces on a strip: for each its variant and its lower left corner; the width in mm."""

    variants: tuple[int, ...]
    spots: tuple[tuple[float, float], ...]
    width_mm: float


def shortest_strip(
    maps: Maps,
    kinds: Sequence[int],
    *,
    height_mm: float,
    seed: int,
    effort: Effort,
    begin: Strip | None = None,
    tell: Callable[[Strip], None] = lambda strip: None,
) -> Strip:
    """Return the shortest strip found within the effort. All pieces must fit its height."""
    cell = maps.cell_mm
    chance = np.random.default_rng(seed)
    area = np.array([maps.variants[maps.of_kind[k][0]].outline.area for k in kinds])
    best = begin or _begun(
        maps, kinds, np.argsort(-area, kind="stable").tolist(), height_mm, effort
    )
    rooms = [(best.width_mm / cell, height_mm / cell)]
    tell(best)
    least_mm = _least_width(maps, kinds, height_mm)
    search = Search(maps, kinds, rooms, _on_grid(best, maps), effort, chance)
    shrink, strayed = FIRST_SHRINK, 0
    while not effort.spent and best.width_mm > least_mm * (1 + 1e-9):
        search.narrow(0, max(best.width_mm * (1 - shrink), least_mm) / cell)
        found: Strip | None = None
        # What little overlap is left the linear programme may still take out.
        if search.separate(tries=TRIES) or search.overlap() < NEARLY:
            found = _pressed(maps, search.stand, height_mm, effort)
        if found is not None and found.width_mm < best.width_mm:
            best, strayed = found, 0
            tell(best)
            search.put(_on_grid(best, maps))
        elif found is not None and strayed < MOST_STRAYED:
            strayed += 1
            search.put(_on_grid(found, maps))
        else:
            strayed = 0
            shrink = shrink * SHRINK_FADE if shrink > LAST_SHRINK else AGAIN_SHRINK
            search.put(_on_grid(best, maps))
            search.swap(area)
    return best


def _least_width(maps: Maps, kinds: Sequence[int], height_mm: float) -> float:
    """Return a width that no layout can do with less of: by area, and by the widest piece."""
    area = sum(maps.variants[maps.of_kind[kind][0]].outline.area for kind in kinds)
    widest = max(
        min(
            maps.variants[v].width_mm
            for v in maps.of_kind[kind]
            if maps.variants[v].height_mm <= height_mm + ROUNDING_MM
        )
        for kind in kinds
    )
    return max(widest, area / height_mm)


def _begun(
    maps: Maps, kinds: Sequence[int], order: Sequence[int], height_mm: float, effort: Effort
) -> Strip:
    """Return a first strip, filled from the left, with room enough on the right."""
    room = sum(max(maps.variants[v].width_mm for v in maps.of_kind[kind]) for kind in kinds)
    area = sum(maps.variants[maps.of_kind[kind][0]].outline.area for kind in kinds)
    widest = max(variant.width_mm for variant in maps.variants)
    room = min(room, 2.0 * area / height_mm + 2.0 * widest)
    rooms = [(room / maps.cell_mm, height_mm / maps.cell_mm)]
    whole = Effort(math.inf)  # there must be some strip, whatever it takes
    stand, left = filled_from_left(maps.unforgiving(), kinds, order, rooms, effort=whole)
    effort.done += whole.done
    if left:
        raise AssertionError("pieces taller than the strip, or no room for the first layout")
    best = _pressed(maps, stand, height_mm, effort)
    if best is None:
        raise AssertionError("the first layout cannot be pressed together")
    return best


def _pressed(maps: Maps, stand: Stand, height_mm: float, effort: Effort) -> Strip | None:
    spots = np.column_stack([stand.x, stand.y]) * maps.cell_mm
    answer = press(
        maps,
        stand.variant,
        spots,
        height_mm=height_mm,
        step_mm=2 * maps.cell_mm,
        effort=effort,
    )
    if answer is None:
        return None
    spots, width_mm = answer
    return Strip(tuple(stand.variant), tuple((x, y) for x, y in spots.tolist()), width_mm)


def _on_grid(strip: Strip, maps: Maps) -> Stand:
    """Return the strip's spots at the nearest grid points."""
    grid = np.round(np.array(strip.spots) / maps.cell_mm).astype(int)
    return Stand(
        list(strip.variants), [0] * len(strip.variants), grid[:, 0].tolist(), grid[:, 1].tolist()
    )
