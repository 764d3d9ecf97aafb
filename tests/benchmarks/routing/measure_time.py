# ruff: noqa: T201
"""How the time for wire lines and passes grows with the number of pieces and of points.

    python tests/benchmarks/routing/measure_time.py

Processor time, so that other work on the machine counts little. Prints a table for
docs/performance.md; the ratio of two rows says more than any row.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np
from shapely import Polygon
from shapely.affinity import translate

sys.path.insert(0, str(Path(__file__).parents[2]))

from foam_layouts import CUTTING, laid, scattered

from wirepath.kerf import wire_lines
from wirepath.model import Layout, Piece
from wirepath.routing import route


def flowers(count: int, points: int) -> tuple[Layout, tuple[Piece, ...]]:
    """Return wavy outlines of many points, a hole in each."""
    angles = np.linspace(0, 2 * np.pi, points, endpoint=False)
    radii = 400 + 12 * np.sin(23 * angles)
    ring = np.column_stack((radii * np.cos(angles), radii * np.sin(angles)))
    flower = Polygon(ring, [(0.5 * ring)[::-1]])
    return laid(
        [translate(flower, 450 + 850 * index, 450) for index in range(count)],
        850 * count + 50,
        900,
    )


def main() -> None:
    """Measure and print the table."""
    print("| layout | lines | points | wire lines, s | passes, s |")
    print("|---|---|---|---|---|")
    for name, (layout, pieces) in (
        ("50 ragged pieces", scattered(50, 1)),
        ("100 ragged pieces", scattered(100, 1)),
        ("200 ragged pieces", scattered(200, 1)),
        ("400 ragged pieces", scattered(400, 1)),
        ("3 outlines of 1000 points", flowers(3, 1000)),
        ("3 outlines of 5000 points", flowers(3, 5000)),
    ):
        start = time.process_time()
        lines = wire_lines(layout, pieces, CUTTING)
        middle = time.process_time()
        route(layout, lines, pieces, CUTTING)
        end = time.process_time()
        points = sum(len(line.ring.coords) for line in lines)
        print(f"| {name} | {len(lines)} | {points} | {middle - start:.2f} | {end - middle:.2f} |")


if __name__ == "__main__":
    main()
