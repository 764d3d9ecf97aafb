"""Fewer or cheaper slabs than bottom-left needs, and larger offcuts on those that stay."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wirepath.nesting.any_angle import offered, shortest_of_any_angle
from wirepath.nesting.fields import Effort, grid_reach
from wirepath.nesting.finish import press
from wirepath.nesting.maps import Maps
from wirepath.nesting.search import Search, Stand
from wirepath.nesting.solids import Floats
from wirepath.nesting.start import filled_from_left
from wirepath.nesting.strip import NEARLY, Strip
from wirepath.nesting.turning import press_turning

Laid = tuple[tuple[int, int, float, float], ...]
"""What lies on a face: piece (counted from 0), variant, x, y of its lower left corner in mm."""


def packed(
    maps: Maps,
    kinds: Sequence[int],
    faces: Sequence[tuple[float, float]],
    *,
    seed: int,
    effort: Effort,
) -> list[Laid] | None:
    """Return all pieces laid on faces of these sizes, or None when that was not found.

    Starts from a fill in which pieces without room lie on top of others. Where that fails
    and kinds are free, it is tried again with other angles.
    """
    if not maps.free.intersection(kinds):
        return _packed(maps, kinds, faces, seed, effort)
    chance = np.random.default_rng([seed, 1])
    with effort.only(SQUARE_SHARE):
        answer = _packed(maps, kinds, faces, seed, effort)
    first = [maps.of_kind[kind][0] for kind in kinds]
    for left in range(WIDER_TRIES, 0, -1):
        if answer is not None or effort.spent:
            break
        wider = maps.offering(offered(maps, kinds, first, chance))
        with effort.only(1.0 / left):
            answer = _packed(wider, kinds, faces, seed + left, effort)
    return answer


def _packed(
    maps: Maps,
    kinds: Sequence[int],
    faces: Sequence[tuple[float, float]],
    seed: int,
    effort: Effort,
) -> list[Laid] | None:
    cell = maps.cell_mm
    chance = np.random.default_rng(seed)
    rooms = [(width / cell, height / cell) for width, height in faces]
    area = np.array([maps.variants[maps.of_kind[k][0]].outline.area for k in kinds])
    order = np.argsort(-area, kind="stable").tolist()
    stand, left = filled_from_left(maps, kinds, order, rooms, effort=effort)
    if effort.spent:
        return None
    if any(not grid_reach(maps, stand.variant[p], *rooms[stand.box[p]])[0] for p in left):
        return None
    search = Search(maps, kinds, rooms, stand, effort, chance)
    for piece in left:
        found = search.best(piece)
        if found is None:
            return None
        search.move(piece, *found[1:])
    while not effort.spent:
        # What little overlap is left pieces that turn may still get rid of.
        if search.separate(tries=TRIES) or (maps.free and search.overlap() < NEARLY):
            answer = _pressed(maps, search.stand, faces, effort)
            if answer is not None:
                return answer
        search.swap(area)
    return None


SQUARE_SHARE, WIDER_TRIES = 0.4, 3
"""Share of the work that goes into quarter turns where any angle is allowed; how often new
angles are tried in the rest."""

MOST_DUE = 3.0
"""Maps still to be made may take so many times the effort there is: they are guessed at."""

TRIES = 100
"""Sweeps without gain before two pieces change places."""


def _pressed(
    maps: Maps, stand: Stand, faces: Sequence[tuple[float, float]], effort: Effort
) -> list[Laid] | None:
    laid: list[Laid] = []
    for box, (width, height) in enumerate(faces):
        here = [piece for piece, where in enumerate(stand.box) if where == box]
        variants = [stand.variant[piece] for piece in here]
        spots = np.array([(stand.x[piece], stand.y[piece]) for piece in here]) * maps.cell_mm
        if here:
            found = _pressed_face(maps, variants, spots, (width, height), effort)
            if found is None:
                return None
            variants, spots = found
        laid.append(
            tuple(
                (piece, variant, x, y)
                for piece, variant, (x, y) in zip(here, variants, spots.tolist(), strict=True)
            )
        )
    return laid


def _pressed_face(
    maps: Maps,
    variants: list[int],
    spots: Floats,
    face: tuple[float, float],
    effort: Effort,
) -> tuple[list[int], Floats] | None:
    """Return variants and spots without overlap on one face, turned only where that helps."""
    width, height = face
    step = 2 * maps.cell_mm
    answer = press(
        maps, variants, spots, height_mm=height, width_mm=width, step_mm=step, effort=effort
    )
    if answer is not None:
        return variants, answer[0]
    if not any(maps.kind_of(variant) in maps.free for variant in variants):
        return None
    turned = press_turning(
        maps, variants, spots, height_mm=height, width_mm=width, step_mm=step, effort=effort
    )
    return None if turned is None else (list(turned[0]), turned[1])


def pushed_left(
    maps: Maps,
    kinds: Sequence[int],
    laid: Laid,
    face: tuple[float, float],
    *,
    seed: int,
    effort: Effort,
) -> Laid:
    """Return the same pieces on the same face, their right edge as far left as found.

    They stay where maps between them would take more than all the effort: nothing could be
    searched then.
    """
    if maps.dues([variant for _, variant, _, _ in laid]) > MOST_DUE * effort.left:
        return laid
    begin = Strip(
        tuple(variant for _, variant, _, _ in laid),
        tuple((x, y) for _, _, x, y in laid),
        max(x + maps.variants[variant].width_mm for _, variant, x, _ in laid),
    )
    strip = shortest_of_any_angle(
        maps,
        [kinds[piece] for piece, _, _, _ in laid],
        height_mm=face[1],
        begin=begin,
        seed=seed,
        effort=effort,
    )
    return tuple(
        (piece, variant, x, y)
        for (piece, _, _, _), variant, (x, y) in zip(laid, strip.variants, strip.spots, strict=True)
    )
