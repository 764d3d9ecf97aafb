"""How many blocks a set of slabs takes, and which slabs are sawn from which block.

Cutting stock along one edge: every block is cut by a *pattern*, so many slabs of each
thickness as its depth holds with a kerf between them. All patterns worth using are
listed, and an integer programme chooses among them (Gilmore and Gomory 1961, Oper. Res.
9(6), who make patterns as they are needed: blocks are a few slabs deep, so all can stand).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from wirepath.fitting import DUST_MM

MOST_PATTERNS = 3000
"""With more patterns slabs go by falling thickness to the first block with room."""

MOST_NODES = 5000
"""Branches of the integer programme: the best answer by then is taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """A kind of block to saw: its depth plus one kerf, its price, how many there are.

    `sizes` says which of the slabs (by their place in the list of sizes) it can give.
    """

    length_mm: float
    price: float
    sizes: tuple[int, ...]
    most: int | None = None
    stock: str = ""
    """Depths of one stock, whose block lies another way, share `most`."""


Sawn = tuple[int, tuple[int, ...]]
"""A block sawn: its place among the depths, and how many slabs of each size it gives."""


def sawn(
    depths: Sequence[Depth], sizes_mm: Sequence[float], counts: Sequence[int]
) -> list[Sawn] | None:
    """Return the cheapest blocks found for `counts` slabs of each size; None: there are too few.

    Sizes are thicknesses plus one kerf. Of blocks as cheap, the fewest. The fullest stand
    first, so that what is left of a block is left in one lump. The cheapest there are, but
    for jobs of more than `MOST_PATTERNS` patterns.
    """
    if not any(counts):
        return []
    patterns = _patterns(depths, sizes_mm, counts)
    if patterns is None:
        blocks = _first_fit(depths, sizes_mm, counts)
    elif len(patterns) == 1 and depths[patterns[0][0]].most is None:
        ((depth, pattern),) = patterns
        needed = [-(-count // pattern[k]) if pattern[k] else 0 for k, count in enumerate(counts)]
        if any(count and not pattern[k] for k, count in enumerate(counts)):
            return None
        blocks = [(depth, pattern)] * max(needed, default=0)
    else:
        blocks = _programme(depths, patterns, counts)
    return None if blocks is None else _without_surplus(blocks, sizes_mm, counts)


def _patterns(
    depths: Sequence[Depth], sizes_mm: Sequence[float], counts: Sequence[int]
) -> list[Sawn] | None:
    """Return every pattern to which no slab can be added; None where there are too many."""
    found: list[Sawn] = []
    for place, depth in enumerate(depths):
        able = sorted((k for k in depth.sizes if counts[k]), key=lambda k: (-sizes_mm[k], k))
        for chosen in _fillings([sizes_mm[k] for k in able], [counts[k] for k in able], depth):
            pattern = [0] * len(sizes_mm)
            for k, many in zip(able, chosen, strict=True):
                pattern[k] = many
            found.append((place, tuple(pattern)))
            if len(found) > MOST_PATTERNS:
                return None
    return found


def _fillings(
    sizes_mm: Sequence[float], counts: Sequence[int], depth: Depth
) -> Iterator[tuple[int, ...]]:
    """Give the ways to fill a depth with sizes, largest first, that leave no room for another."""

    def fill(at: int, chosen: tuple[int, ...], room_mm: float) -> Iterator[tuple[int, ...]]:
        if at == len(sizes_mm):
            full = all(
                many == count or room_mm + DUST_MM < size
                for size, many, count in zip(sizes_mm, chosen, counts, strict=True)
            )
            if full and any(chosen):
                yield chosen
            return
        most = min(counts[at], math.floor((room_mm + DUST_MM) / sizes_mm[at]))
        last = at == len(sizes_mm) - 1
        for many in (most,) if last else range(most, -1, -1):
            yield from fill(at + 1, (*chosen, many), room_mm - many * sizes_mm[at])

    yield from fill(0, (), depth.length_mm)


def _programme(
    depths: Sequence[Depth], patterns: Sequence[Sawn], counts: Sequence[int]
) -> list[Sawn] | None:
    from scipy.optimize import Bounds, LinearConstraint, milp

    if not patterns:
        return None
    asked = [k for k, count in enumerate(counts) if count]
    gives = np.array([[pattern[k] for _, pattern in patterns] for k in asked], dtype=float)
    rules = [LinearConstraint(gives, lb=[counts[k] for k in asked])]
    for _, shared in groupby(
        sorted(range(len(depths)), key=lambda d: depths[d].stock or f"\0{d}"),
        key=lambda d: depths[d].stock or f"\0{d}",
    ):
        same = set(shared)
        most = min((m for d in same if (m := depths[d].most) is not None), default=None)
        if most is not None:
            rules.append(
                LinearConstraint(np.array([[float(d in same) for d, _ in patterns]]), ub=most)
            )
    price = np.array([depths[d].price for d, _ in patterns])
    # Blocks count a little each, so that of orders as cheap the fewest blocks win, then
    # the thinnest.
    each = max(float(price.max()), 1.0) / (1000.0 * (sum(counts) + 1))
    length = np.array([depths[d].length_mm for d, _ in patterns])
    answer = milp(
        price + each * (1.0 + 1e-3 * length / length.max()),
        constraints=rules,
        integrality=np.ones(len(patterns)),
        bounds=Bounds(0, sum(counts)),
        options={"node_limit": MOST_NODES, "mip_rel_gap": 0.0},
    )
    if answer.x is None:
        return None
    times = np.round(answer.x).astype(int).tolist()
    return [one for one, many in zip(patterns, times, strict=True) for _ in range(many)]


def _first_fit(
    depths: Sequence[Depth], sizes_mm: Sequence[float], counts: Sequence[int]
) -> list[Sawn] | None:
    """Return slabs by falling thickness, each in the first block with room, or a new one."""
    blocks: list[tuple[int, list[int], float]] = []
    taken: dict[str, int] = {}
    for k in sorted(range(len(sizes_mm)), key=lambda k: (-sizes_mm[k], k)):
        able = [d for d, depth in enumerate(depths) if k in depth.sizes]
        able.sort(key=lambda d: (depths[d].price / depths[d].length_mm, d))
        for _ in range(counts[k]):
            for at, (d, held, room_mm) in enumerate(blocks):
                if k in depths[d].sizes and sizes_mm[k] <= room_mm + DUST_MM:
                    held[k] += 1
                    blocks[at] = (d, held, room_mm - sizes_mm[k])
                    break
            else:
                for d in able:
                    name, most = depths[d].stock or str(d), depths[d].most
                    if most is None or taken.get(name, 0) < most:
                        break
                else:
                    return None
                taken[name] = taken.get(name, 0) + 1
                held = [0] * len(sizes_mm)
                held[k] = 1
                blocks.append((d, held, depths[d].length_mm - sizes_mm[k]))
    return [(d, tuple(held)) for d, held, _ in blocks]


def _without_surplus(
    blocks: Sequence[Sawn], sizes_mm: Sequence[float], counts: Sequence[int]
) -> list[Sawn]:
    """Return the blocks with no more slabs than are asked for, the fullest first."""
    left = list(counts)
    found = []
    for depth, pattern in sorted(
        blocks, key=lambda one: (one[0], -sum(np.multiply(one[1], sizes_mm)), one[1])
    ):
        taken = tuple(min(many, rest) for many, rest in zip(pattern, left, strict=True))
        left = [rest - many for rest, many in zip(left, taken, strict=True)]
        if any(taken):
            found.append((depth, taken))
    return found
