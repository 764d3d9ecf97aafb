# ruff: noqa: T201
"""What laying out costs as pieces, their corners and the grid's cells become more.

    python tests/benchmarks/nesting/costs.py [--pieces 10,30,100,300,1000]
        [--corners 10,50,200,1000,5000] [--cells 50,100,200,400]

Rounded pieces of ten kinds, 80 to 160 mm across (30 to 60 for the row of pieces), 10 mm apart,
quarter turns, on boards of 1220 x 600 mm; `--ragged` strews every corner by 1 % of the size.
Processor seconds: *first* is the layout without search, *map* one depth map of two kinds, *search*
how many units of work a second of search does, *proof* whether the layout holds, by shapely. The
last row is the exponent: a straight fit to the logarithms.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable, Sequence

import numpy as np
from blocks import CLEARANCE, HEIGHT, SHOP, TRIM
from generated import pieces_of
from shapely import Polygon

from wirepath.model import Piece
from wirepath.nesting import lay_out
from wirepath.nesting.fields import Effort
from wirepath.nesting.filling import group_of
from wirepath.nesting.laying import unproved
from wirepath.nesting.maps import FORGIVEN, Maps, cell_size_mm
from wirepath.nesting.strip import shortest_strip
from wirepath.nesting.ways import Yard

KINDS, MAPS, UNITS = 10, 40, 4e8
MOST_SEARCHED = 100
"""Pieces of a strip that is searched: its first filling takes the time it takes."""

Figures = tuple[float, float, float, float]
NAMES = ("first, s", "map, ms", "search, 1e9 units/s", "proof, s")


def outline(
    chance: np.random.Generator, sizes: tuple[float, float], corners: int, noise: float
) -> Polygon:
    """Return a disc of so many corners with two waves round its edge, and some noise."""
    size = float(chance.uniform(*sizes))
    angle = np.linspace(0, 2 * math.pi, corners, endpoint=False)
    reach = 1 + 0.25 * np.sin(2 * angle + chance.uniform(0, 6)) + 0.1 * np.sin(5 * angle)
    reach += chance.uniform(-noise, noise, corners)
    return Polygon(np.column_stack([reach * np.cos(angle), reach * np.sin(angle)]) * size / 2)


def measured(pieces: tuple[Piece, ...], cells: int | None = None) -> Figures:
    """Return the four figures for some pieces, and so many cells across the board if told."""
    begin = time.process_time()
    _, layouts = lay_out(pieces, SHOP, seconds=0.0)
    first = time.process_time() - begin
    begin = time.process_time()
    assert not unproved(pieces, layouts, SHOP)
    proof = time.process_time() - begin

    some = pieces[:MOST_SEARCHED]
    group = group_of(some, Yard("EPS 20", SHOP).ways(100.0), CLEARANCE)
    short = HEIGHT - 2 * TRIM
    area = sum(piece.outline.area for piece in some) / len(some)
    cell_mm = short / cells if cells else cell_size_mm(short, area)
    maps = Maps(group.regions, cell_mm=cell_mm, forgiven=FORGIVEN)
    count = len(maps.variants)
    pairs = [(k, (k * 7 + 3) % count) for k in range(min(MAPS, count))]
    begin = time.process_time()
    for pair in pairs:
        maps(*pair)
    each = (time.process_time() - begin) / len(pairs)

    kinds = [group.kinds.kind[piece.number] for piece in some]
    start = shortest_strip(maps, kinds, height_mm=short, seed=1, effort=Effort(0.0))
    effort = Effort(UNITS)
    begin = time.process_time()
    shortest_strip(maps, kinds, height_mm=short, seed=1, effort=effort, begin=start)
    took = time.process_time() - begin
    return first, 1e3 * each, effort.done / took / 1e9, proof


def table(
    title: str, steps: Sequence[int], figures: Callable[[int], Figures]
) -> list[tuple[int, Figures]]:
    """Print and return the figures of each step, and their exponents."""
    if not steps:
        return []
    print(f"| {title} | {' | '.join(NAMES)} |\n|{'---|' * (len(NAMES) + 1)}")
    rows: list[tuple[int, Figures]] = []
    for step in steps:
        rows.append((step, figures(step)))
        print(f"| {step} | {' | '.join(f'{one:.3g}' for one in rows[-1][1])} |", flush=True)
    if len(rows) > 1:
        logs = np.log(np.array([[step, *some] for step, some in rows]))
        fits = [np.polyfit(logs[:, 0], logs[:, k], 1)[0] for k in range(1, logs.shape[1])]
        print(f"| exponent | {' | '.join(f'{one:.2f}' for one in fits)} |\n")
    return rows


def generated(
    count: int, corners: int, *, sizes: tuple[float, float], noise: float
) -> tuple[Piece, ...]:
    """Return so many pieces of ten kinds."""
    chance = np.random.default_rng(1)
    kinds = [outline(chance, sizes, corners, noise) for _ in range(KINDS)]
    return pieces_of([kinds[k % KINDS] for k in range(count)], [100.0] * count)


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--pieces", default="10,30,100,300,1000")
    reader.add_argument("--corners", default="10,50,200,1000,5000")
    reader.add_argument("--cells", default="50,100,200,400")
    reader.add_argument("--ragged", action="store_true")
    asked = reader.parse_args()
    noise = 0.01 if asked.ragged else 0.0

    def steps(text: str) -> list[int]:
        return [int(one) for one in text.split(",") if one]

    table(
        "pieces",
        steps(asked.pieces),
        lambda n: measured(generated(n, 24, sizes=(30, 60), noise=noise)),
    )
    table(
        "corners, 20 pieces",
        steps(asked.corners),
        lambda n: measured(generated(20, n, sizes=(80, 160), noise=noise)),
    )
    table(
        "cells across, 20 pieces",
        steps(asked.cells),
        lambda n: measured(generated(20, 24, sizes=(80, 160), noise=noise), n),
    )


if __name__ == "__main__":
    main()
