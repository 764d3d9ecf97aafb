"""A first stand on the grid: pieces one after the other, each as far left as it goes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wirepath.nesting.fields import Effort, Fields, grid_reach
from wirepath.nesting.maps import Maps
from wirepath.nesting.search import Stand


def filled_from_left(
    maps: Maps,
    kinds: Sequence[int],
    order: Sequence[int],
    rooms: Sequence[tuple[float, float]],
    *,
    effort: Effort,
) -> tuple[Stand, list[int]]:
    """Return a stand without overlap, and the pieces that found no room.

    Those stand at 0, 0 of the first container that holds them at all; once the effort is
    spent no more find room. Each other piece
    goes to the first container with room, turned so that its right edge lies farthest
    left, then lowest. `rooms` are widths and heights in cells.
    """
    count = len(kinds)
    fields = Fields(maps, count, rooms, effort)
    first = [_first_place(maps, kind, rooms) for kind in kinds]
    stand = Stand([v for v, _ in first], [box for _, box in first], [0] * count, [0] * count)
    codes = np.full((len(rooms), count), -1, dtype=np.int64)
    left: list[int] = []
    full: set[tuple[int, int]] = set()  # kind and container: what found no room never will
    for piece in order:
        kind = kinds[piece]
        if effort.spent:
            left.append(piece)
            continue
        for box in range(len(rooms)):
            if (kind, box) in full:
                continue
            best: tuple[float, int, int, int] | None = None
            for group in fields.groups_of_kind[kind]:
                free = fields.weighted(group, box, codes[box].copy(), ()) == 0.0
                effort.done += free.size
                for variant, one in zip(fields.groups[group], free, strict=True):
                    if one.size == 0 or not one[spot := int(one.argmax())]:
                        continue
                    x, y = divmod(spot, fields.columns(group))
                    far = x + maps.variants[variant].width_mm / maps.cell_mm
                    if best is None or far < best[0]:
                        best = far, variant, x, y
            if best is not None:
                _, variant, x, y = best
                stand.variant[piece], stand.box[piece] = variant, box
                stand.x[piece], stand.y[piece] = x, y
                codes[box, piece] = fields.code(variant, x, y)
                break
            full.add((kind, box))
        else:
            left.append(piece)
    return stand, left


def _first_place(maps: Maps, kind: int, rooms: Sequence[tuple[float, float]]) -> tuple[int, int]:
    """Return the first variant and container that go together; the first of all if none do."""
    for box, room in enumerate(rooms):
        for variant in maps.of_kind[kind]:
            if grid_reach(maps, variant, *room)[0]:
                return variant, box
    return maps.of_kind[kind][0], 0
