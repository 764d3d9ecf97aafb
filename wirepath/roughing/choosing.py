"""Which few cuts to make: by litres a cut or litres a square metre, then by swaps; and what a
way of roughing is worth beside others."""

from __future__ import annotations

import heapq
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]

CUT_WORTH = 0.002
SEAM_WORTH = 0.005
"""When ways are compared, each cut and each m2 of seam must pay for itself with this share of
the removable bulk (our own weights: change them where a shop's figures say otherwise)."""


def worth(taken_share: float, cuts: int, seam_m2: float) -> float:
    """Return what a way is worth, as a share of the removable bulk."""
    return taken_share - CUT_WORTH * cuts - SEAM_WORTH * seam_m2


def choose(
    freed: Sequence[Bools],
    costs: Sequence[float],
    *,
    forced: Sequence[int] = (),
    most: int,
    least_cells: float | Sequence[float],
    swaps: int = 2,
) -> list[int]:
    """Return the cuts to make, by their places in `freed`, in the order of choice.

    `freed` tells which cells each cut would free, (n,) each; `costs` what it is divided
    by. After the `forced` ones, the cut with the best ratio among those that still free
    `least_cells` (one figure, or one a cut) or more comes next, until `most` are chosen.
    Then each is swapped for any other that frees more beside the rest, at most `swaps`
    rounds. The same input gives the same answer: ties go to the earlier cut.

    A cut's gain can only shrink as others are made, so gains are worked out again only
    for those that would come next (lazy greedy, Minoux 1978, from memory).
    """
    if not len(freed) or not len(freed[0]):
        return list(forced)
    total = len(freed[0])
    least = np.broadcast_to(np.asarray(least_cells, dtype=float), (len(freed),))
    covered = np.zeros(total, dtype=bool)
    chosen = list(forced)
    for one in forced:
        covered |= freed[one]
    queue = [(-np.inf, -1, k) for k in range(len(freed)) if k not in chosen]
    while queue and len(chosen) < most:
        _, seen, k = heapq.heappop(queue)
        if seen == len(chosen):
            chosen.append(k)
            covered |= freed[k]
            continue
        gain = int(np.count_nonzero(freed[k] & ~covered))
        if gain >= least[k] and gain > 0:
            heapq.heappush(queue, (-gain / costs[k], len(chosen), k))
    for _ in range(swaps):
        if not _swap(freed, chosen, len(forced)):
            break
    return chosen


def _swap(freed: Sequence[Bools], chosen: list[int], forced: int) -> bool:
    """Swap each cut that is not forced for the one that frees most beside the others."""
    better = False
    for place in range(forced, len(chosen)):
        others = np.zeros(len(freed[0]), dtype=bool)
        for k in chosen[:place] + chosen[place + 1 :]:
            others |= freed[k]
        open_cells = np.flatnonzero(~others)
        best, most = chosen[place], int(np.count_nonzero(freed[chosen[place]][open_cells]))
        for k, cells in enumerate(freed):
            if k not in chosen:
                gain = int(np.count_nonzero(cells[open_cells]))
                if gain > most:
                    best, most = k, gain
        if best != chosen[place]:
            chosen[place], better = best, True
    return better
