"""Which few cuts to make: by litres a cut or litres a square metre, then by swaps; and what a
way of roughing is worth beside others."""

from __future__ import annotations

import heapq
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Bools = NDArray[np.bool_]
Words = NDArray[np.uint64]

CUT_WORTH = 0.002
"""When ways are compared, each cut must pay for itself with this share of the removable bulk (our
own weight), """
CUT_LITRES = 0.5
"""and with so many litres at least, where neither the carver's rate nor the job says how many: as
small a lump is swept up, and it is carved in less time than a cut is set up in."""
SEAM_CUTS = 2.5
"""A square metre of seam must pay for as much as so many cuts do (our own weight)."""


def worth(taken: float, cuts: int, seam_m2: float, each_cut: float) -> float:
    """Return what a way is worth in litres: those `taken` off, less what cuts and glue cost at
    `each_cut` litres a cut."""
    return taken - each_cut * (cuts + SEAM_CUTS * seam_m2)


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
    cells = _packed(freed)
    least = np.broadcast_to(np.asarray(least_cells, dtype=float), (len(freed),))
    chosen = list(forced)
    covered = np.bitwise_or.reduce(cells[chosen], axis=0)
    queue = [(-np.inf, -1, k) for k in range(len(freed)) if k not in chosen]
    while queue and len(chosen) < most:
        _, seen, k = heapq.heappop(queue)
        if seen == len(chosen):
            chosen.append(k)
            covered |= cells[k]
            continue
        gain = int(_counted(cells[k] & ~covered))
        if gain >= least[k] and gain > 0:
            heapq.heappush(queue, (-gain / costs[k], len(chosen), k))
    for _ in range(swaps):
        if not _swap(cells, chosen, len(forced)):
            break
    return chosen


def _swap(cells: Words, chosen: list[int], forced: int) -> bool:
    """Swap each cut that is not forced for the one that frees most beside the others."""
    better = False
    for place in range(forced, len(chosen)):
        others = chosen[:place] + chosen[place + 1 :]
        gains = _counted(cells & ~np.bitwise_or.reduce(cells[others], axis=0))
        gains[others] = -1
        best = int(np.argmax(gains))
        if gains[best] > gains[chosen[place]]:
            chosen[place], better = best, True
    return better


def _packed(rows: Sequence[Bools]) -> Words:
    """Return rows of cells (n,) as bits in whole words, (len(rows), words)."""
    places = -(-len(rows[0]) // 64) * 8
    bits = np.zeros((len(rows), places), dtype=np.uint8)
    for row, cells in zip(bits, rows, strict=True):
        packed = np.packbits(cells)
        row[: len(packed)] = packed
    return bits.view(np.uint64)


def _counted(cells: Words) -> NDArray[np.int64]:
    """Return how many cells are set, along the last axis."""
    return np.asarray(np.bitwise_count(cells).sum(axis=-1, dtype=np.int64))
