"""A first stand on the grid: pieces one after the other, each as far left as it goes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wirepath.nesting.maps import Map, Maps
from wirepath.nesting.search import Effort, Stand, add_map, grid_reach


def filled_from_left(
    maps: Maps,
    kinds: Sequence[int],
    order: Sequence[int],
    rooms: Sequence[tuple[float, float]],
    *,
    effort: Effort,
) -> tuple[Stand, list[int]]:
    """Return a stand without overlap, and the pieces that found no room (put at 0, 0).

    Each piece goes to the first container with room, turned so that its right edge lies
    farthest left, then lowest. `rooms` are widths and heights in cells.
    """
    count = len(kinds)
    stand = Stand([maps.of_kind[kind][0] for kind in kinds], [0] * count, [0] * count, [0] * count)
    fields: dict[tuple[int, int], Map] = {}
    laid: list[list[int]] = [[] for _ in rooms]
    left: list[int] = []
    full: set[tuple[int, int]] = set()  # kind and container: what found no room never will
    for piece in order:
        for box, (width, height) in enumerate(rooms):
            if (kinds[piece], box) in full:
                continue
            best: tuple[float, int, int, int] | None = None
            for variant in maps.of_kind[kinds[piece]]:
                total = fields.get((variant, box))
                if total is None:
                    reach = grid_reach(maps, variant, width, height)
                    total = np.zeros(reach, dtype=np.float32)
                    for other in laid[box]:
                        add_map(
                            maps,
                            total,
                            variant,
                            stand.variant[other],
                            stand.x[other],
                            stand.y[other],
                        )
                    fields[variant, box] = total
                    effort.done += total.size * (1 + len(laid[box]))
                free = (total == 0.0).ravel()
                effort.done += free.size
                if free.size == 0 or not free[spot := int(free.argmax())]:
                    continue
                x, y = divmod(spot, total.shape[1])
                far = x + maps.variants[variant].width_mm / maps.cell_mm
                if best is None or far < best[0]:
                    best = far, variant, x, y
            if best is None:
                full.add((kinds[piece], box))
            else:
                _, variant, x, y = best
                stand.variant[piece], stand.box[piece] = variant, box
                stand.x[piece], stand.y[piece] = x, y
                laid[box].append(piece)
                for (moving, where), total in fields.items():
                    if where == box:
                        effort.done += add_map(maps, total, moving, variant, x, y)
                break
        else:
            left.append(piece)
    return stand, left
