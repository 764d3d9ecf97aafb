"""Corners on the way: stretches at the corner feed, and loops run where the line passes them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString

from wirepath.model import Move, WireLine
from wirepath.routing.sharing import along, stretch
from wirepath.workshop import Cutting

SAME_MM = 1e-6
"""A corner of the line is a loop's own corner to this much: both come from one point."""


def cornered(moves: Sequence[Move], lines: Sequence[WireLine], cutting: Cutting) -> list[Move]:
    """Return the moves along lines slowed where their line says so, with its loops run.

    A loop whose corner is where the wire turns aside, or begins and closes the line, is
    left out: two runs meet there already.
    """
    found: list[Move] = []
    for move in moves:
        own = [
            line for line in lines if move.kind in ("outline", "hole") and line.piece == move.piece
        ]
        for part in _slowed(move, [slow for line in own for slow in line.slow], cutting):
            loops = [loop for line in own for loop in line.loops]
            found.append(replace(part, line=_looped(part.line, loops)) if loops else part)
    return found


def _slowed(move: Move, slow: Sequence[LineString], cutting: Cutting) -> Iterator[Move]:
    feed = cutting.corner_feed_mm_per_s
    if feed is None or not slow:
        yield move
        return
    position = 0.0
    for start, end in along(move.line, slow, shortest_mm=0.0):
        if start > position:
            yield replace(move, line=stretch(move.line, position, start))
        yield replace(move, line=stretch(move.line, start, end), feed_mm_per_s=feed)
        position = end
    if position < move.line.length:
        yield replace(move, line=stretch(move.line, position, move.line.length))


def _looped(line: LineString, loops: Sequence[LineString]) -> LineString:
    """Return `line` with each loop put in where it passes the loop's corner, ends left out."""
    points = shapely.get_coordinates(line)
    parts, done = [], 0
    corners = np.array([loop.coords[0] for loop in loops])
    near = np.hypot(*(points[1:-1, None, :] - corners[None, :, :]).T).T <= SAME_MM
    for at, which in zip(*np.nonzero(near), strict=True):
        parts += [points[done : at + 1], shapely.get_coordinates(loops[which])]
        done = at + 2
    return LineString(np.concatenate([*parts, points[done:]])) if parts else line
