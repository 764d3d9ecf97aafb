# ruff: noqa: T201
"""How many blocks jobs need, against filling block after block with the library `spyrrow`.

    python tests/benchmarks/nesting/blocks.py [--jobs 20] [--seconds 5]

Generated jobs of 15 to 40 pieces (stars, letters' bars, frames with a hole) on one stock size
that gives one slab a block, quarter turns. The library knows no blocks: it lays what is left
on a strip as high as a block, what lies within the block's width is taken, and so on; the
outlines are widened by half the clearance first. It knows no holes either. It gets the
seconds for each block, ours once in work units.
"""

from __future__ import annotations

import argparse
import math
import time

import numpy as np
import shapely
import spyrrow
from generated import outline, pieces_of
from shapely import Polygon, box

from wirepath.model import Piece
from wirepath.nesting import lay_out, least_order
from wirepath.workshop import Cutting, Foam, Stock, Wire, Workshop

WIDTH, HEIGHT, TRIM = 1240.0, 620.0, 10.0
CUTTING = Cutting(kerf_mm=3.0, web_mm=7.0)
CLEARANCE = CUTTING.kerf_mm + CUTTING.web_mm
SHOP = Workshop(
    name="invented",
    wire=Wire(length_mm=1300.0),
    cutting=CUTTING,
    foams=(Foam(name="EPS 20", kind="EPS", density_kg_per_m3=20.0),),
    stock=(
        Stock(
            name="board",
            foam="EPS 20",
            length_mm=WIDTH,
            width_mm=HEIGHT,
            thickness_mm=120.0,
            price=10.0,
            trim_mm=TRIM,
        ),
    ),
)


def job(seed: int) -> tuple[Piece, ...]:
    chance = np.random.default_rng(seed)
    outlines: list[Polygon] = []
    for _ in range(int(chance.integers(4, 9))):
        shape = outline(
            chance, sizes=(60, 200), corners=(5, 14), waist=0.5, bar=(0.3, 0.5), frame=frame
        )
        outlines += [shape] * int(chance.integers(1, 7))
    return pieces_of(outlines, [100.0] * len(outlines))


def frame(size: float) -> Polygon:
    outer = box(0, 0, 2 * size, 1.6 * size)
    return outer - outer.buffer(-0.2 * size, join_style="mitre")


def library_blocks(pieces: tuple[Piece, ...], seconds: float) -> int:
    width, height = WIDTH - 2 * TRIM + CLEARANCE, HEIGHT - 2 * TRIM + CLEARANCE
    left = {
        str(piece.number): Polygon(piece.outline.exterior).buffer(CLEARANCE / 2, quad_segs=2)
        for piece in pieces
    }
    blocks = 0
    while left:
        items = [
            spyrrow.Item(name, list(one.exterior.coords), 1, [0.0, 90.0, 180.0, 270.0])
            for name, one in left.items()
        ]
        answer = spyrrow.StripPackingInstance("block", height, items).solve(
            spyrrow.StripPackingConfig(
                early_termination=False,
                total_computation_time=math.ceil(seconds),
                num_workers=1,
                seed=1,
            )
        )
        taken = [
            placed.id
            for placed in answer.placed_items
            if shapely.affinity.rotate(left[placed.id], placed.rotation, origin=(0, 0)).bounds[2]
            + placed.translation[0]
            <= width
        ]
        if not taken:
            raise RuntimeError("the library laid no piece within the block")
        for name in taken:
            del left[name]
        blocks += 1
    return blocks


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--jobs", type=int, default=20)
    reader.add_argument("--seconds", type=float, default=5)
    asked = reader.parse_args()
    print("| job | pieces | bound | bottom-left | ours | library | ours, cpu s |")
    print("|---|---|---|---|---|---|---|")
    totals = np.zeros(4, dtype=int)
    for seed in range(1, asked.jobs + 1):
        pieces = job(seed)
        first = len(lay_out(pieces, SHOP, seconds=0.0)[0])
        start = time.process_time()
        ours = len(lay_out(pieces, SHOP, seconds=asked.seconds)[0])
        took = time.process_time() - start
        row = least_order(pieces, SHOP).blocks, first, ours, library_blocks(pieces, asked.seconds)
        totals += row
        print(f"| {seed} | {len(pieces)} | {' | '.join(map(str, row))} | {took:.1f} |", flush=True)
    print(f"| all | | {' | '.join(map(str, totals))} | |")


if __name__ == "__main__":
    main()
