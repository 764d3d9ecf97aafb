"""Shared edges: where two lines run on top of each other the foam is cut once.

Pieces that lie one kerf apart share the slot between them. The second time round the
wire goes back through the first one's slot: such stretches are moves of kind 'slot'.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString, STRtree
from shapely.ops import substring

from wirepath import overlay
from wirepath.model import Move, WireLine

SAME_MM = 0.01
"""Lines nearer than this run on top of each other."""

SHORTEST_MM = 1.0
"""Shorter stretches are where lines cross or touch, not where they run together."""


def cut_once(moves: Sequence[Move], lines: Sequence[WireLine]) -> list[Move]:
    """Return the moves with every stretch along an earlier cut turned into a 'slot' move."""
    rings = np.array([line.ring for line in lines], dtype=object)
    one, other = STRtree(rings).query(rings, predicate="dwithin", distance=SAME_MM)
    if not (one != other).any():
        return list(moves)
    tracks = np.array([move.line for move in moves], dtype=object)
    tree = STRtree(tracks)
    found: list[Move] = []
    for index, move in enumerate(moves):
        if move.kind not in ("outline", "hole"):
            found.append(move)
            continue
        near = tree.query(move.line, predicate="dwithin", distance=SAME_MM)
        earlier = [tracks[i] for i in near if i < index and moves[i].kind in ("outline", "hole")]
        found += _split(move, earlier)
    return found


def _split(move: Move, earlier: Sequence[LineString]) -> Iterator[Move]:
    """Yield the stretches of a move, those along `earlier` lines as 'slot'."""
    position = 0.0
    for start, end in along(move.line, earlier):
        if start > position:
            yield replace(move, line=stretch(move.line, position, start))
        yield replace(move, kind="slot", line=stretch(move.line, start, end))
        position = end
    if position < move.line.length:
        yield replace(move, line=stretch(move.line, position, move.line.length))


def stretch(line: LineString, start: float, end: float) -> LineString:
    """Return `line` from `start` to `end` along it."""
    part = substring(line, start, end)
    assert isinstance(part, LineString)
    return part


def along(
    line: LineString, earlier: Sequence[LineString], *, shortest_mm: float = SHORTEST_MM
) -> list[tuple[float, float]]:
    """Return the stretches of `line` along `earlier` lines, as distances from its start."""
    if not earlier:
        return []
    points = shapely.get_coordinates(line)
    cumulated = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    steps = shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1))
    strip = shapely.buffer(overlay.union(earlier), SAME_MM)
    spans: list[tuple[float, float]] = []
    for index, part in enumerate(np.asarray(overlay.intersection(np.asarray(steps), strip))):
        # A straight step may run along several earlier lines, or along one for a while.
        for piece in shapely.get_parts(part):
            if not isinstance(piece, LineString) or piece.is_empty:
                continue
            ends = shapely.get_coordinates(piece)[[0, -1]]
            along = np.hypot(*(ends - points[index]).T) + cumulated[index]
            spans.append((float(along.min()), float(along.max())))
    merged: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1] + SAME_MM:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return [(start, end) for start, end in merged if end - start > shortest_mm]
