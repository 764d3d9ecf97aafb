# ruff: noqa: T201
"""How long 200 pieces take in every way of cutting, in processor time.

    python tests/benchmarks/routing/measure_ways.py [WAY ...]

Ragged pieces, every third with a hole; for shared edges 200 squares one kerf apart. Prints
a table for docs/performance.md.
"""

from __future__ import annotations

import math
import sys
import time
from dataclasses import replace
from pathlib import Path

from shapely import box

sys.path.insert(0, str(Path(__file__).parents[2]))

from foam_layouts import CUTTING, laid, scattered

from wirepath.kerf import wire_lines
from wirepath.model import Layout, Piece
from wirepath.routing import route
from wirepath.workshop import Cutting, Rig

LEVEL = Rig(wire_lies="level")
LUMP_MM2 = 90_000.0

Way = tuple[Layout, tuple[Piece, ...], Cutting, Rig]


def ways() -> dict[str, Way]:
    """Return the layout, pieces, cutting and rig of each way."""
    ragged, pieces = scattered(200, 1)
    step = 60 + CUTTING.kerf_mm
    cells = [
        box(20 + step * i, 20 + step * j, 80 + step * i, 80 + step * j)
        for j in range(10)
        for i in range(20)
    ]
    grid = laid(cells, 20 * step + 40, 10 * step + 40)
    close = replace(CUTTING, web_mm=0.0)
    asked = tuple(replace(one, entry="lower left") for one in pieces)
    slow = replace(CUTTING, corner_loops=True, corner_feed_mm_per_s=2.0, corner_kerf_mm=4.0)
    return {
        "upright": (ragged, pieces, CUTTING, Rig()),
        "level wire": (ragged, pieces, CUTTING, LEVEL),
        "waste opened": (ragged, pieces, replace(CUTTING, waste="open"), Rig()),
        "waste in lumps": (ragged, pieces, replace(CUTTING, waste="lumps"), Rig()),
        "holes threaded": (ragged, pieces, replace(CUTTING, holes="thread"), Rig()),
        "shared edges": (*grid, close, Rig()),
        "shared edges, level wire": (*grid, close, LEVEL),
        "lines begin where asked": (ragged, asked, CUTTING, Rig()),
        "corners slowed and looped": (ragged, pieces, slow, Rig()),
    }


def main() -> None:
    """Measure and print the table."""
    print("| 200 pieces | wire lines, s | passes, s | links, m | back through slots, m |")
    print("|---|---|---|---|---|")
    for name, (layout, pieces, cutting, rig) in ways().items():
        if sys.argv[1:] and name not in sys.argv[1:]:
            continue
        lump_mm2 = LUMP_MM2 if cutting.waste == "lumps" else math.inf
        start = time.process_time()
        lines = wire_lines(layout, pieces, cutting)
        middle = time.process_time()
        passes = route(layout, lines, pieces, cutting, rig, lump_mm2=lump_mm2)
        end = time.process_time()
        moves = [move for one in passes for move in one.moves]
        links, slots = (
            sum(move.line.length for move in moves if move.kind in kinds) / 1000
            for kinds in (("entry", "link"), ("slot",))
        )
        print(
            f"| {name} | {middle - start:.1f} | {end - middle:.1f} | {links:.1f} | {slots:.1f} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
