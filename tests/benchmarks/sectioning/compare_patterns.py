# ruff: noqa: T201
"""What the seams found cost, against plain grids of whole blocks and against the lower bound.

    python tests/benchmarks/sectioning/compare_patterns.py

Twenty generated reliefs, 1.5 to 5 m across: a star-shaped outline of 6 to 12 corners,
rounded, its contours its own offsets, 12 steps to a peak of 150 to 480 mm. The workshop
is the demo's. Each form is parted twice and both ways laid out by the same layout, on
blocks 3 mm larger each way, so that a piece as wide as its block is no trouble to it:

    ours    `section`
    grid    cells as large as the roomiest face that is deep enough, from the lower left,
            each piece as thick as the form is inside it

Prints, for docs/performance.md: price of the blocks, price with the hands that join the
pieces, number of pieces and metres of seam, each ours over the grid's; the price of the
blocks over that of the pieces' foam at the cheapest price a litre, which no order can
reach; then processor seconds for forms of growing size.
"""

from __future__ import annotations

import math
import time
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import shapely
from shapely import Polygon, box

from wirepath.fitting import Room, rooms
from wirepath.forming import levels
from wirepath.geometry import polygons
from wirepath.model import Contour, Level, Piece, SeamSettings
from wirepath.nesting import lay_out
from wirepath.sectioning import seams, section
from wirepath.sectioning.buying import hands_price
from wirepath.sectioning.layers import layer, steps_of
from wirepath.workshop import Rig, Workshop
from wirepath.workshop_file import read_workshop

ROOT = Path(__file__).parents[3]
STEPS = 12


def relief(seed: int, size_mm: float) -> tuple[Piece, tuple[Level, ...]]:
    """Return a rounded star of about `size_mm` across, and its levels."""
    rng = np.random.default_rng(seed)
    corners = int(rng.integers(6, 13))
    reach = size_mm / 2 * rng.uniform(0.5, 1.0, corners)
    angle = np.arange(corners) * math.tau / corners
    rough = Polygon(np.stack([reach * np.cos(angle), reach * np.sin(angle)], axis=1))
    soft = size_mm / 20
    outline = polygons(rough.buffer(-soft).buffer(2 * soft).buffer(-soft))[0]
    peak = float(rng.uniform(150, 480))
    inner = 0.8 * shapely.maximum_inscribed_circle(outline).length
    contours = [
        Contour(height_mm=peak * k / STEPS, region=part)
        for k in range(1, STEPS)
        for part in polygons(outline.buffer(-inner * (k / STEPS) ** 2))
    ]
    piece = Piece(
        number=1,
        name="Form",
        part="Form",
        finished=outline,
        outline=outline,
        thickness_mm=peak,
        allowance_mm=0.0,
        foam="EPS 15",
    )
    return piece, levels(outline, contours, top_mm=peak)


def grid(piece: Piece, steps: tuple[Level, ...], workshop: Workshop) -> list[Piece]:
    """Return the form parted by a plain grid of the roomiest face that is deep enough."""
    (body,) = layer(steps_of(piece, steps), 0.0, piece.thickness_mm)
    deep = [room for room in rooms(piece.foam, workshop) if room.depth_mm >= piece.thickness_mm]
    deep = [room for room in deep if room.is_reached(workshop)]
    face: Room = max(deep, key=lambda room: room.width_mm * room.height_mm)
    x0, y0, x1, y1 = piece.outline.bounds
    xs = [*np.arange(x0, x1, face.width_mm), x1]
    ys = [*np.arange(y0, y1, face.height_mm), y1]
    cells = [box(a, c, b, d) for c, d in pairwise(ys) for a, b in pairwise(xs)]
    lumps = [p for cell in cells for p in polygons(shapely.intersection(piece.outline, cell))]
    return [
        replace(
            piece,
            number=number,
            name=f"Form.{number}",
            outline=lump,
            finished=lump,
            thickness_mm=body.height_mm(lump),
            section_of="Form",
        )
        for number, lump in enumerate((lump for lump in lumps if lump.area > 1), 1)
    ]


def price(pieces: tuple[Piece, ...], workshop: Workshop) -> float:
    """Return what the blocks for the pieces cost, as laid out."""
    larger = tuple(
        replace(
            stock,
            length_mm=stock.length_mm + 3,
            width_mm=stock.width_mm + 3,
            thickness_mm=stock.thickness_mm + 3,
        )
        for stock in workshop.stock
    )
    blocks, _ = lay_out(pieces, replace(workshop, stock=larger, rig=Rig()), seed=0, seconds=0.5)
    return sum(workshop.stock_named(block.stock).price for block in blocks)


def seam_m(pieces: tuple[Piece, ...]) -> float:
    """Return the length of all seams, m."""
    return sum(float(shapely.length(seam.place)) for seam in seams(pieces)) / 1000


def hands(pieces: tuple[Piece, ...], hour_price: float) -> float:
    """Return what it costs to join the pieces."""
    return hands_price(len(pieces), sum(seam.area_mm2 for seam in seams(pieces)), hour_price)


def main() -> None:
    """Print both tables."""
    workshop = read_workshop(ROOT / "demo_shapes" / "workshop.toml")
    least_per_mm3 = min(
        stock.price / stock.volume_mm3 for stock in workshop.stock if stock.foam == "EPS 15"
    )
    rows = []
    for seed in range(20):
        piece, steps = relief(seed, 1500.0 + 3500.0 * seed / 19)
        ours = section([piece], {"Form": steps}, workshop, SeamSettings())
        plain = tuple(grid(piece, steps, workshop))
        body_mm3 = sum(part.volume_mm3 for part in ours)
        bought, bought_plain = price(ours, workshop), price(plain, workshop)
        hour = workshop.order.hour_price
        rows.append(
            (
                bought / bought_plain,
                (bought + hands(ours, hour)) / (bought_plain + hands(plain, hour)),
                len(ours) / len(plain),
                seam_m(ours) / seam_m(plain) if len(plain) > 1 else 1.0,
                bought / (body_mm3 * least_per_mm3),
            )
        )
        print(seed, len(ours), len(plain), *(f"{value:.3f}" for value in rows[-1]), flush=True)
    table = np.array(rows)
    print("| | blocks | blocks and hands | pieces | seam | blocks / least by volume |")
    for name, row in (
        ("mean", table.mean(axis=0)),
        ("least", table.min(axis=0)),
        ("most", table.max(axis=0)),
    ):
        print(f"| {name} | " + " | ".join(f"{value:.2f}" for value in row) + " |")
    print("| size, m | pieces | s |")
    for size in (2000.0, 4000.0, 8000.0, 12000.0):
        piece, steps = relief(3, size)
        start = time.process_time()
        parts = section([piece], {"Form": steps}, workshop, SeamSettings())
        print(f"| {size / 1000:g} | {len(parts)} | {time.process_time() - start:.1f} |", flush=True)


if __name__ == "__main__":
    main()
