# ruff: noqa: T201
"""How much the wire runs back through its own slots, against the least it could.

    python tests/benchmarks/routing/measure_retracing.py

Slots are a graph: pieces' lines (shared ones once) and links. To cut every one and come
back to the air the wire runs twice along so much that every crossing has an even number of
ways; least is a pairing of the odd ones, shortest paths between them (the postman's problem:
Edmonds and Johnson, Mathematical Programming 5, 1973; from memory). Pairing by networkx.

    in turn  ways back where every line is closed before the wire goes on to the next
    ours     what `route` runs back through slots
    least    the bound: no order of pieces is kept, air between entries is free
    exits    the bound with straight new cuts through the waste, to odd crossings and to the
             edge, as ways too; at the same feed as ways back, lines of pieces not crossed

Thirty layouts of strewn pieces (those of `compare_links`), twenty boards parted into pieces one
kerf apart, and 200 squares; without overruns. Prints a table for docs/performance.md; minutes
are simulated.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import networkx
import numpy as np
import shapely
from shapely import LineString, Polygon, box

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parent))

from compare_links import HEIGHT, WIDTH, strewn
from foam_layouts import CUTTING, laid
from measure_ways import ways

from wirepath.kerf import wire_lines
from wirepath.model import Layout, Move, Piece
from wirepath.routing import route, touring
from wirepath.timing import pass_seconds
from wirepath.workshop import Cutting, Rig

CLOSE = replace(CUTTING, web_mm=0.0, overrun_mm=0.0)
OPEN = replace(CUTTING, overrun_mm=0.0)
GRID_MM = 0.01
OUTSIDE = (-1.0, -1.0)
NEAR_MM = 400.0
"""Longer new cuts than this are not tried."""


def parted(seed: int, least_mm: float) -> list[Polygon]:
    """Return a board of 1200 x 800 mm parted again and again, one kerf apart."""
    rng = np.random.default_rng(seed)
    to_do, parts = [(20.0, 20.0, 1160.0, 760.0)], []
    while to_do:
        x, y, width, height = to_do.pop()
        if max(width, height) < 2 * least_mm or (len(parts) > 2 and rng.random() < 0.1):
            parts.append(box(x, y, x + width, y + height))
            continue
        share, kerf = rng.choice([0.35, 0.5, 0.6]), CUTTING.kerf_mm
        if width > height:
            at = float(round(share * width))
            to_do += [(x, y, at, height), (x + at + kerf, y, width - at - kerf, height)]
        else:
            at = float(round(share * height))
            to_do += [(x, y, width, at), (x, y + at + kerf, width, height - at - kerf)]
    return parts


def slot_graph(layout: Layout, rings: Sequence[LineString], links: Sequence[Move]):
    """Return the multigraph of slots; nodes are points, all air is `OUTSIDE`."""
    lines = [*rings, *(move.line for move in links)]
    noded = shapely.get_parts(shapely.line_merge(shapely.union_all(lines, grid_size=GRID_MM)))
    graph = networkx.MultiGraph()
    for line in noded:
        ends = shapely.get_coordinates(line)[[0, -1]]
        graph.add_edge(*(_node(layout, end) for end in ends.tolist()), weight=line.length)
    return graph


def _node(layout: Layout, end: Sequence[float]) -> tuple[float, float]:
    x, y = end
    out = min(x, y, layout.width_mm - x, layout.height_mm - y) < GRID_MM
    return OUTSIDE if out else (round(x, 2), round(y, 2))


def least_mm(graph, new_cuts: Sequence[tuple] = ()) -> float:
    """Return the least that is run twice, or cut anew along `new_cuts` (node, node, mm)."""
    ways = networkx.Graph()
    for a, b, data in graph.edges(data=True):
        if a != b:
            known = ways.get_edge_data(a, b, {"weight": np.inf})["weight"]
            ways.add_edge(a, b, weight=min(data["weight"], known))
    for a, b, length in new_cuts:
        if length < ways.get_edge_data(a, b, {"weight": np.inf})["weight"]:
            ways.add_edge(a, b, weight=length)
    odd = [node for node, degree in graph.degree() if degree % 2]
    pairs = networkx.Graph()
    for index, node in enumerate(odd):
        far = networkx.single_source_dijkstra_path_length(ways, node)
        for other in odd[:index]:
            if other in far:
                pairs.add_edge(node, other, weight=far[other])
    chosen = networkx.min_weight_matching(pairs)
    return float(sum(pairs[a][b]["weight"] for a, b in chosen))


def straight_cuts(layout: Layout, graph, rings: Sequence[LineString]) -> Iterator[tuple]:
    """Yield new cuts between odd crossings, and from each to the edge, through waste alone."""
    odd = [node for node, degree in graph.degree() if degree % 2 and node != OUTSIDE]
    inner = shapely.buffer(shapely.union_all([Polygon(one) for one in rings]), -0.1)
    shapely.prepare(inner)
    ways: list[tuple] = []
    for index, (x, y) in enumerate(odd):
        for end in ((0.0, y), (layout.width_mm, y), (x, 0.0), (x, layout.height_mm)):
            ways.append(((x, y), OUTSIDE, end))
        ways += [((x, y), other, other) for other in odd[:index]]
    if not ways:
        return
    lines = shapely.linestrings([[start, end] for start, _, end in ways])
    clear = (shapely.length(lines) <= NEAR_MM) & ~shapely.intersects(inner, lines)
    for at in np.flatnonzero(clear):
        yield ways[at][0], ways[at][1], float(lines[at].length)


def measured(layout: Layout, pieces: tuple[Piece, ...], cutting: Cutting) -> list[float]:
    """Return cut, in turn, ours, least and exits in m, and the minutes in turn and of ours."""
    lines = wire_lines(layout, pieces, cutting)
    rings = [line.ring for line in lines]
    walked = touring.walked
    touring.walked = lambda moves, *_, **__: list(moves)
    in_turn = route(layout, lines, pieces, cutting)
    touring.walked = walked
    ours = route(layout, lines, pieces, cutting)
    cuts = [move for one in in_turn for move in one.moves if move.kind not in ("slot", "air")]
    graph = slot_graph(layout, rings, [m for m in cuts if m.kind in ("entry", "link", "slit")])
    back = [
        sum(move.line.length for one in passes for move in one.moves if move.kind == "slot")
        for passes in (in_turn, ours)
    ]
    exits = least_mm(graph, list(straight_cuts(layout, graph, rings)))
    minutes = [sum(pass_seconds(one, Rig()) for one in passes) / 60 for passes in (in_turn, ours)]
    lengths = np.array([sum(move.line.length for move in cuts), *back, least_mm(graph), exits])
    return [*(lengths / 1000).tolist(), *minutes]


def main() -> None:
    """Measure all layouts and print the table."""
    print("| layouts | pieces | cut, m | in turn | ours | least | exits | min in turn | ours |")
    print("|---|---|---|---|---|---|---|---|---|")
    for share in (0.01, 0.02, 0.05):
        rows = [
            [len(shapes), *measured(*laid(shapes, WIDTH, HEIGHT), OPEN)]
            for shapes in (strewn(seed, share) for seed in range(10))
        ]
        _print(f"strewn, {share:.0%}", rows)
    for least in (60, 90, 130, 180, 250):
        rows = [
            [len(shapes), *measured(*laid(shapes, 1200.0, 800.0), CLOSE)]
            for shapes in (parted(seed, least) for seed in range(4))
        ]
        _print(f"parted, from {least} mm", rows)
    layout, pieces, cutting, _ = ways()["shared edges"]
    figures = measured(layout, pieces, replace(cutting, overrun_mm=0.0))
    _print("200 squares", [[len(pieces), *figures]])


def _print(name: str, rows: list[list[float]]) -> None:
    counts = [int(row[0]) for row in rows]
    *lengths, before, after = np.array(rows)[:, 1:].sum(axis=0)
    told = " | ".join(f"{one:.1f}" for one in lengths)
    print(
        f"| {name} | {min(counts)} to {max(counts)} | {told} | {before:.0f} | {after:.0f} |",
        flush=True,
    )


if __name__ == "__main__":
    main()
