"""Pieces on a strip of fixed height, as short as can be found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from wirepath.nesting.finish import press
from wirepath.nesting.maps import Maps
from wirepath.nesting.search import Effort, Search, Stand
from wirepath.nesting.shapes import Floats
from wirepath.nesting.start import filled_from_left

FIRST_SHRINK, LAST_SHRINK = 0.02, 0.002
TRIES = 60


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
    tell: Callable[[Strip], None] = lambda strip: None,
) -> Strip:
    """Return the shortest strip found within the effort. All pieces must fit its height."""
    cell = maps.cell_mm
    chance = np.random.default_rng(seed)
    area = np.array([maps.variants[maps.of_kind[k][0]].outline.area for k in kinds])
    order = np.argsort(-area, kind="stable").tolist()
    widest = max(v.width_mm for v in maps.variants)
    room = (2.0 * float(area.sum()) / height_mm + 2 * widest) / cell
    rooms = [(room, height_mm / cell)]
    stand, left = filled_from_left(maps.unforgiving(), kinds, order, rooms, effort=effort)
    assert not left
    best = _pressed(maps, stand, height_mm)
    if best is None:
        raise AssertionError("the first layout cannot be pressed apart")
    tell(best)
    search = Search(maps, kinds, rooms, _on_grid(best, maps), effort, chance)
    shrink, fails = FIRST_SHRINK, 0
    while not effort.spent:
        search.narrow(0, best.width_mm * (1 - shrink) / cell)
        if search.separate(tries=TRIES):
            found = _pressed(maps, search.stand, height_mm)
            if found is not None and found.width_mm < best.width_mm:
                best, fails = found, 0
                tell(best)
                search.put(_on_grid(best, maps))
                continue
        fails += 1
        if fails % 2 == 0:
            shrink = max(shrink / 2, LAST_SHRINK)
        search.put(_on_grid(best, maps))
        _swap(search, area, chance)
    return best


def _pressed(maps: Maps, stand: Stand, height_mm: float) -> Strip | None:
    spots = np.column_stack([stand.x, stand.y]) * maps.cell_mm
    answer = press(maps, stand.variant, spots, height_mm=height_mm, step_mm=2 * maps.cell_mm)
    if answer is None:
        return None
    spots, width_mm = answer
    return Strip(tuple(stand.variant), tuple(map(tuple, spots.tolist())), width_mm)


def _on_grid(strip: Strip, maps: Maps) -> Stand:
    """Return the strip's spots at the nearest grid points."""
    grid = np.round(np.array(strip.spots) / maps.cell_mm).astype(int)
    return Stand(
        list(strip.variants), [0] * len(strip.variants), grid[:, 0].tolist(), grid[:, 1].tolist()
    )


def _swap(search: Search, area: Floats, chance: np.random.Generator) -> None:
    """Let two pieces of different kind change places, large ones more often."""
    one, other = chance.choice(len(area), size=2, replace=False, p=area / area.sum()).tolist()
    stand = search.stand
    at = (stand.x[one], stand.y[one]), (stand.x[other], stand.y[other])
    for piece, (x, y) in zip((one, other), reversed(at), strict=True):
        nx, ny = search.reach(stand.variant[piece], 0)
        search.move(piece, stand.variant[piece], 0, min(x, nx - 1), min(y, ny - 1))
