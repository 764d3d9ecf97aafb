"""Strips of pieces that may be turned by any angle: quarter turns first, then wider."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely

from wirepath.nesting.fields import Effort
from wirepath.nesting.maps import Maps
from wirepath.nesting.solids import Floats
from wirepath.nesting.strip import Strip, shortest_strip
from wirepath.nesting.turning import press_turning

SQUARE_SHARE, ROUND_SHARE = 0.85, 0.4
"""Most of the work that goes into quarter turns; share of what is left in each later round."""

PRESS_SHARE = 0.15
"""Most of the work with quarter turns that goes into pressing what was found meanwhile."""

FIRST_PRESS = 0.25
"""Share of the work before which nothing is pressed: strips still get shorter quickly."""

LEAST_ROUND = 0.02
"""With less than this share of the work left the last round takes it all."""

NEW_ANGLES = 8
"""Angles taken by chance for a round, all kinds together, but one for each."""

GAIN = 1e-4
"""A strip shorter by less than this share is not pressed once more."""


def shortest_of_any_angle(
    maps: Maps,
    kinds: Sequence[int],
    *,
    height_mm: float,
    seed: int,
    effort: Effort,
    begin: Strip | None = None,
    tell: Callable[[Strip], None] = lambda strip: None,
) -> Strip:
    """Return the shortest strip found, pieces of free kinds at any angle.

    As `shortest_strip`, which it is where no kind is free. The strip found with quarter
    turns is pressed together with turning. Each round then searches on from there: a free
    piece may have any angle that is in use for its kind, a quarter turn, or a new angle. Whatever
    these come to, the strip is no wider than the one found with quarter turns.
    """

    def search(
        among: Maps,
        start: Strip | None,
        again: int,
        tell: Callable[[Strip], None] = tell,
    ) -> Strip:
        return shortest_strip(
            among,
            kinds,
            height_mm=height_mm,
            seed=seed + again,
            effort=effort,
            begin=start,
            tell=tell,
        )

    if not maps.free:
        return search(maps, begin, 0)
    all_of_it = effort.left
    best: Strip | None = None
    pressing = 0.0

    def press(strip: Strip) -> None:
        """Press a strip of quarter turns together with turning, if work so far allows."""
        nonlocal best, pressing
        before = effort.left
        spent = all_of_it - before
        if spent > FIRST_PRESS * all_of_it and pressing < PRESS_SHARE * spent:
            with effort.only(PRESS_SHARE):
                strip = _pressed(maps, strip, height_mm, effort)
            pressing += before - effort.left
        if best is None or strip.width_mm < best.width_mm:
            best = strip
            tell(best)

    with effort.only(SQUARE_SHARE):
        square = search(maps, begin, 0, press)
    assert best is not None
    best = min(best, _pressed(maps, square, height_mm, effort), key=_width)
    tell(best)
    again, chance = 0, np.random.default_rng([seed, 1])
    while not effort.spent:
        again += 1
        among = maps.offering(offered(maps, kinds, best.variants, chance))
        with effort.only(ROUND_SHARE if effort.left > LEAST_ROUND * all_of_it else 1.0):
            best = min(best, search(among, best, again), key=_width)
        best = min(best, _pressed(maps, best, height_mm, effort), key=_width)
        tell(best)
    return best


def _width(strip: Strip) -> float:
    return strip.width_mm


def _pressed(maps: Maps, strip: Strip, height_mm: float, effort: Effort) -> Strip:
    """Return the strip pressed together with turning, again while that gains."""
    best = strip
    while not effort.spent:
        found = press_turning(
            maps,
            best.variants,
            np.array(best.spots),
            height_mm=height_mm,
            step_mm=maps.cell_mm,
            effort=effort,
        )
        if found is None or found[2] >= best.width_mm:
            break
        variants, spots, width_mm = found
        gain = 1.0 - width_mm / best.width_mm
        best = Strip(variants, tuple((x, y) for x, y in spots.tolist()), width_mm)
        if gain < GAIN:
            break
    return best


def offered(
    maps: Maps, kinds: Sequence[int], variants: Sequence[int], chance: np.random.Generator
) -> list[list[int]]:
    """Return the variants of each kind to search among: given ones, those in use, new ones.

    `variants` are in use, one for each of `kinds`. Only free kinds get new ones: an edge of it
    along an edge of another piece or of the face, and by chance any angle.
    """
    lists = [list(some) for some in maps.of_kind]
    for kind, variant in sorted(set(zip(kinds, variants, strict=True))):
        if variant not in lists[kind]:
            lists[kind].append(variant)
    directions = [_directions(maps, variant) for variant in variants]
    there = np.concatenate([*directions, np.array([0.0, 90.0, 180.0, 270.0])])
    free = sorted(maps.free.intersection(kinds))
    for kind in free:
        given = maps.of_kind[kind][0]
        along = chance.choice(there) + 180.0 - chance.choice(_directions(maps, given))
        some = [along, *chance.uniform(0.0, 360.0, max(NEW_ANGLES // len(free), 1))]
        lists[kind] += [maps.regions.turned(given, float(by)) for by in some]
    return lists


def _directions(maps: Maps, variant: int) -> Floats:
    """Return the directions of the edges of a variant's hull, in degrees."""
    ring = shapely.get_coordinates(maps.variants[variant].outline.convex_hull)
    along = np.diff(ring, axis=0)
    return np.asarray(np.degrees(np.arctan2(along[:, 1], along[:, 0])))
