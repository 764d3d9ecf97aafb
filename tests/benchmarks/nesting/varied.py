# ruff: noqa: T201
"""Strips of generated sets unlike the published ones, against the library `spyrrow`.

    python tests/benchmarks/nesting/varied.py [--seconds 10] [--seeds 1 2] [--names combs]

Slivers, combs that interlock, rings with discs that fit into them, and strokes put together
like letters. As in strips.py both get one worker and the same processor time, and every answer
of ours is proved. The library knows no holes: it gets the outer outlines, and the column
"holes" tells how much of the rings' and letters' outer area its outlines have too much.
"""

from __future__ import annotations

import argparse
import time

import numpy as np
import shapely
from shapely import Point, Polygon, box
from strips import Item, ours, prove, theirs

HALF, QUARTERS = [0.0, 180.0], [0.0, 90.0, 180.0, 270.0]


def slivers(chance: np.random.Generator) -> tuple[float, list[Item]]:
    """Forty triangles and four-sided pieces, 150 to 500 long and 8 to 40 wide."""
    found: list[Item] = []
    for _ in range(40):
        length, wide = chance.uniform(150, 500), chance.uniform(8, 40)
        lean = chance.uniform(-0.3, 0.3) * length
        corners = [(0, 0), (length, 0), (length / 2 + lean, wide)]
        if chance.random() < 0.5:
            corners = [(0, 0), (length, 0), (0.8 * length, wide), (0.1 * length + lean / 4, wide)]
        found.append((Polygon(corners), 1, QUARTERS))
    return 600.0, found


def combs(chance: np.random.Generator) -> tuple[float, list[Item]]:
    """Six kinds of comb, four each, whose teeth fit between those of another one turned."""
    found: list[Item] = []
    for _ in range(6):
        tooth, teeth, long = chance.uniform(20, 35), chance.integers(3, 6), chance.uniform(80, 180)
        pitch = 2.1 * tooth
        back = box(0, 0, pitch * (teeth - 1) + tooth, 30)
        comb = shapely.union_all(
            [back, *(box(k * pitch, 0, k * pitch + tooth, 30 + long) for k in range(teeth))]
        )
        found.append((comb, 4, HALF))
    return 700.0, found


def rings(chance: np.random.Generator) -> tuple[float, list[Item]]:
    """Eight rings and sixteen discs, half of which fit into the rings' holes."""
    found: list[Item] = []
    for _ in range(8):
        radius = chance.uniform(60, 120)
        hole = chance.uniform(0.5, 0.8) * radius
        ring = Point(0, 0).buffer(radius, quad_segs=8) - Point(0, 0).buffer(hole, quad_segs=8)
        found.append((ring, 1, [0.0]))
        for size in (0.9 * hole, chance.uniform(60, 100)):
            found.append((Point(0, 0).buffer(size, quad_segs=8), 1, [0.0]))
    return 600.0, found


STROKES: tuple[tuple[tuple[float, float, float, float], ...], ...] = (
    ((0, 0, 1, 5), (0, 0, 3, 1)),
    ((0, 0, 1, 5), (0, 0, 3, 1), (0, 2, 2.5, 3), (0, 4, 3, 5)),
    ((1, 0, 2, 5), (0, 4, 3, 5)),
    ((0, 0, 1, 5), (2, 0, 3, 5), (0, 2, 3, 3)),
    ((0, 0, 1, 5), (2, 0, 3, 5), (0, 0, 3, 1)),
    ((0, 0, 1, 5), (2, 0, 3, 5), (0, 0, 3, 1), (0, 4, 3, 5)),
    ((0, 0, 1, 5), (0, 4, 3, 5), (0, 2, 3, 3), (2, 2, 3, 5)),
)
"""Boxes x0, y0, x1, y1 of each letter's strokes, in widths of a stroke."""


def letters(chance: np.random.Generator) -> tuple[float, list[Item]]:
    """Forty-two letters of seven kinds, their strokes 12 to 40 wide."""
    found: list[Item] = []
    for strokes in STROKES * 3:
        wide = chance.uniform(12, 40)
        letter = shapely.union_all([box(*(wide * one for one in stroke)) for stroke in strokes])
        found.append((letter, 2, HALF))
    return 500.0, found


SETS = {"slivers": slivers, "combs": combs, "rings": rings, "letters": letters}


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--seconds", type=float, default=10)
    reader.add_argument("--seeds", type=int, nargs="+", default=[1, 2])
    reader.add_argument("--names", nargs="+", default=list(SETS))
    asked = reader.parse_args()
    print(
        "| set | pieces | ours | library | ratio | least | holes |\n|---|---|---|---|---|---|---|"
    )
    for name in asked.names:
        height, items = SETS[name](np.random.default_rng(1))
        area = sum(outline.area * count for outline, count, _ in items)
        solid = [(Polygon(outline.exterior), count, angles) for outline, count, angles in items]
        outer = sum(outline.area * count for outline, count, _ in solid)
        dense: list[tuple[float, float]] = []
        for seed in asked.seeds:
            start = time.process_time()
            reference = theirs(name, height, solid, asked.seconds, seed) * area / outer
            took = time.process_time() - start
            density, maps, pieces, strip = ours(height, items, took, seed)
            prove(maps, strip, height, area)
            dense.append((density, reference))
        mean, library = np.mean(dense, axis=0)
        least = min(one / other for one, other in dense)
        print(
            f"| {name} | {len(pieces)} | {mean:.2f} | {library:.2f} | {mean / library:.4f} "
            f"| {least:.4f} | {100 * (outer / area - 1):.0f} % |",
            flush=True,
        )


if __name__ == "__main__":
    main()
