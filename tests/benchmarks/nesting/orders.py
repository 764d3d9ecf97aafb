# ruff: noqa: T201
"""What orders cost against the least that any can, and how long they take to lay out.

    python tests/benchmarks/nesting/orders.py [--jobs 20] [--seconds 0] [--no-rack]
        [--sizes 10,20,40]

Generated jobs of 6 to 24 pieces (discs with corners, bars with an arm, frames) in two
thicknesses, on five sizes of block and board and a rack of two. Every answer is measured
against `least_order`. With --sizes, so many pieces of unlike outlines, one thickness, no rack.
"""

from __future__ import annotations

import argparse
import math
import time
from dataclasses import replace

import numpy as np
from generated import outline, pieces_of
from shapely import Polygon, box

from wirepath.model import Piece
from wirepath.nesting import lay_out, least_order
from wirepath.workshop import Cutting, Foam, Order, RackPiece, Stock, Wire, Workshop


def stock(name: str, size: tuple[float, float, float], price: float, trim: float = 0.0) -> Stock:
    length, width, thickness = size
    return Stock(
        name=name,
        foam="EPS 20",
        length_mm=length,
        width_mm=width,
        thickness_mm=thickness,
        price=price,
        trim_mm=trim,
    )


SHOP = Workshop(
    name="invented",
    wire=Wire(length_mm=1400.0),
    cutting=Cutting(kerf_mm=1.2, web_mm=8.0),
    foams=(Foam(name="EPS 20", kind="EPS", density_kg_per_m3=20.0),),
    stock=(
        stock("block 2500", (2500, 1250, 500), 75, 10),
        stock("block 2000", (2000, 1000, 500), 50, 10),
        stock("half block", (2500, 1250, 320), 50, 10),
        stock("board", (2500, 1250, 100), 19),
        stock("half board", (1250, 600, 100), 5),
    ),
    rack=(
        RackPiece(name="R1", foam="EPS 20", length_mm=900, width_mm=500, thickness_mm=120),
        RackPiece(
            name="R2",
            foam="EPS 20",
            thickness_mm=100,
            outline=((0, 0), (1100, 0), (1100, 300), (700, 620), (0, 620)),
        ),
    ),
    order=Order(delivery_price=45.0),
)


def shape(chance: np.random.Generator) -> Polygon:
    """Return a disc with corners, an angle or a frame, 100 to 500 mm across."""
    return outline(chance, sizes=(50, 250), corners=(6, 14), waist=0.6, bar=(0.3, 0.6), frame=frame)


def frame(size: float) -> Polygon:
    return box(0, 0, 2 * size, 1.5 * size) - box(0.4 * size, 0.4 * size, size, size)


def job(seed: int) -> tuple[Piece, ...]:
    """Return pieces of three to six kinds, one to five of each."""
    chance = np.random.default_rng(seed)
    outlines: list[Polygon] = []
    thick: list[float] = []
    for _ in range(int(chance.integers(3, 7))):
        copies = int(chance.integers(1, 6))
        outlines += [shape(chance)] * copies
        thick += [float(chance.choice([60.0, 100.0]))] * copies
    return pieces_of(outlines, thick)


def costs(jobs: int, seconds: float, shop: Workshop) -> None:
    print("| job | pieces | to buy | least | rack | order | least | ratio | cpu s |")
    print("|---|---|---|---|---|---|---|---|---|")
    ratios = []
    counts = np.zeros(2, dtype=int)
    for seed in range(1, jobs + 1):
        pieces = job(seed)
        begin = time.process_time()
        blocks, _ = lay_out(pieces, shop, seconds=seconds)
        took = time.process_time() - begin
        bought = [one.stock for one in blocks if not shop.in_rack(one.stock)]
        price = sum(shop.stock_named(name).price for name in bought) + (45.0 if bought else 0.0)
        least = least_order(pieces, shop)
        ratio = price / least.price if least.price else math.inf
        if least.price:
            ratios.append(ratio)
        counts += len(bought), least.blocks
        print(
            f"| {seed} | {len(pieces)} | {len(bought)} | {least.blocks} | "
            f"{len(blocks) - len(bought)} | {price:.0f} | {least.price:.0f} | {ratio:.3f} | "
            f"{took:.1f} |",
            flush=True,
        )
    print(
        f"ratio over {len(ratios)} jobs: mean {np.mean(ratios):.3f}, most {max(ratios):.3f}; "
        f"{counts[0]} blocks bought, {counts[1]} at least"
    )


def times(sizes: list[int], seconds: float) -> None:
    print("| pieces | lay out, cpu s | exponent | bound, cpu s |")
    print("|---|---|---|---|")
    last: tuple[int, float] | None = None
    for size in sizes:
        chance = np.random.default_rng(size)
        pieces = pieces_of([shape(chance) for _ in range(size)], [80.0] * size)
        begin = time.process_time()
        lay_out(pieces, replace(SHOP, rack=()), seconds=seconds)
        took = time.process_time() - begin
        begin = time.process_time()
        least_order(pieces, replace(SHOP, rack=()))
        bound = time.process_time() - begin
        exponent = math.log(took / last[1]) / math.log(size / last[0]) if last else math.nan
        print(f"| {size} | {took:.1f} | {exponent:.2f} | {bound:.2f} |", flush=True)
        last = size, took


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--jobs", type=int, default=20)
    reader.add_argument("--seconds", type=float, default=0.0)
    reader.add_argument("--sizes", default="")
    reader.add_argument("--no-rack", action="store_true")
    asked = reader.parse_args()
    if asked.sizes:
        times([int(size) for size in asked.sizes.split(",")], asked.seconds)
    else:
        costs(asked.jobs, asked.seconds, replace(SHOP, rack=()) if asked.no_rack else SHOP)


if __name__ == "__main__":
    main()
