# ruff: noqa: T201
"""How much foam the links cut, against an exact tree and against a tour by nearest neighbour.

    python tests/benchmarks/routing/compare_links.py

Fifty generated layouts: discs, squares and stars of 30 to 300 mm strewn over a block of
2440 x 1220 mm until a share of it is covered. For each three lengths of links, in mm:

    ours      what `route` cuts in waste: entries and links
    tree      the exact minimum spanning tree (networkx, all pairs) over lines and outside
    nearest   a tour that goes from piece to piece, each time to the nearest pierce point
              not yet visited, from the block's edge and back: what a general heuristic for
              travelling salesmen does who may not lift the wire. A pierce point is the
              middle of the lower side of the piece's box. Its way is measured outside the
              pieces only.

Prints a table for docs/performance.md; all figures are lengths, none are times.
"""

from __future__ import annotations

import sys
from pathlib import Path

import networkx
import numpy as np
import shapely
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate, scale, translate

sys.path.insert(0, str(Path(__file__).parents[2]))

from foam_layouts import CUTTING, laid, star

from wirepath.kerf import wire_lines
from wirepath.model import Layout, WireLine
from wirepath.routing import route

WIDTH, HEIGHT = 2440.0, 1220.0


def strewn(seed: int, share: float) -> list[Polygon]:
    """Return shapes strewn without overlap until they cover `share` of the block."""
    rng = np.random.default_rng(seed)
    kinds = [Point(0, 0).buffer(50, 16), box(-35, -35, 35, 35), star(5, 0.45), star(3, 0.5)]
    shapes: list[Polygon] = []
    covered, tries = 0.0, 0
    while covered < share * WIDTH * HEIGHT and tries < 20_000:
        tries += 1
        size = rng.choice([0.3, 0.6, 1.0, 3.0], p=[0.1, 0.2, 0.4, 0.3])
        shape = rotate(scale(kinds[rng.integers(len(kinds))], size, size), rng.uniform(0, 360))
        shape = translate(shape, rng.uniform(0, WIDTH), rng.uniform(0, HEIGHT))
        if not box(5, 5, WIDTH - 5, HEIGHT - 5).contains(shape):
            continue
        if shapes and shapely.distance(shape, np.array(shapes)).min() < 7:
            continue
        shapes.append(shape)
        covered += shape.area
    return shapes


def tree_mm(layout: Layout, lines: list[WireLine]) -> float:
    """Return the length of the exact minimum spanning tree over lines and outside."""
    rings = np.array([line.ring for line in lines], dtype=object)
    edge = box(0, 0, layout.width_mm, layout.height_mm).exterior
    graph = networkx.Graph()
    for i, ring in enumerate(rings):
        graph.add_edge("outside", i, weight=float(edge.distance(ring)))
        for j, gap in enumerate(shapely.distance(ring, rings[:i])):
            graph.add_edge(i, j, weight=float(gap))
    return float(networkx.minimum_spanning_tree(graph).size(weight="weight"))


def nearest_mm(layout: Layout, lines: list[WireLine]) -> float:
    """Return the length in waste of a tour from pierce point to nearest pierce point."""
    boxes = [line.ring.bounds for line in lines]
    left = [((west + east) / 2, south) for west, south, east, _ in boxes]
    here = start = (0.0, 0.0)
    ways = []
    while left:
        at = min(left, key=lambda point: (np.hypot(*np.subtract(point, here)), point))
        left.remove(at)
        ways.append(LineString([here, at]))
        here = at
    ways.append(LineString([here, start]))
    solid = shapely.union_all([Polygon(line.ring) for line in lines])
    return float(sum(way.difference(solid).length for way in ways))


def main() -> None:
    """Measure all layouts and print the table."""
    print("| covered | layouts | pieces | ours / tree | least | most | ours / nearest |")
    print("|---|---|---|---|---|---|---|")
    everything = []
    for share in (0.01, 0.02, 0.05, 0.1, 0.2):
        ratios, against, counts = [], [], []
        for seed in range(10):
            layout, pieces = laid(strewn(seed, share), WIDTH, HEIGHT)
            lines = list(wire_lines(layout, pieces, CUTTING))
            passes = route(layout, tuple(lines), pieces, CUTTING)
            ours = sum(
                move.line.length
                for one in passes
                for move in one.moves
                if move.kind in ("entry", "link")
            )
            ratios.append(ours / tree_mm(layout, lines))
            against.append(ours / nearest_mm(layout, lines))
            counts.append(len(pieces))
        everything += ratios
        print(
            f"| {share:.0%} | 10 | {min(counts)} to {max(counts)} | {np.mean(ratios):.4f} | "
            f"{min(ratios):.4f} | {max(ratios):.4f} | {np.mean(against):.3f} |"
        )
    print(f"\nall: mean {np.mean(everything):.4f}, greatest {max(everything):.4f}")


if __name__ == "__main__":
    main()
