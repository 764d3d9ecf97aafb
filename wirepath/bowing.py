"""A bow in people's hands: each way in a pass of its own, and where they rest on a long one.

A table goes from one entry to the next through air without stopping. People take the
bow off, walk round and begin anew. On a way too long for their arms they rest, wire off,
best where the wire stands in waste.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from wirepath.model import Move, Pass, Rest

CORNER_DEG = 30.0
"""A turn sharper than this is a corner, where the wire waits in any case."""

WASTE = ("entry", "thread", "link", "slot", "parting", "overrun")
"""Moves that leave no mark on a piece where the wire rests at their end."""

SHORTEST_SHARE = 0.5
"""Nobody rests before half the way they can do."""

Points = NDArray[np.float64]


def taken_off(passes: Sequence[Pass]) -> tuple[Pass, ...]:
    """Return the passes parted where the wire goes through air, numbered anew.

    Of the way round through air the first and the last straight piece are left: out of the
    foam, and up to it again.
    """
    found: list[Pass] = []
    for one in passes:
        for moves in _trips(one.moves):
            found.append(Pass(layout=one.layout, number=len(found) + 1, moves=moves))
    return tuple(found)


def _trips(moves: Sequence[Move]) -> Iterator[tuple[Move, ...]]:
    """Give the moves from air to air; ways through air may be several moves on end."""
    trip: list[Move] = []
    for kind, some in groupby(moves, key=lambda move: move.kind == "air"):
        own = list(some)
        if not kind:
            trip += own
            continue
        points = np.concatenate([shapely.get_coordinates(move.line) for move in own])
        points = points[np.concatenate(([True], np.any(np.diff(points, axis=0) != 0, axis=1)))]
        if not trip:
            trip = [_air(own[0], points[-2:])]
            continue
        yield (*trip, _air(own[0], points[:2]))
        trip = [] if own[-1] is moves[-1] else [_air(own[-1], points[-2:])]
    if trip:
        yield tuple(trip)


def _air(move: Move, points: Points) -> Move:
    return Move(kind="air", line=LineString(points), feed_mm_per_s=move.feed_mm_per_s)


def rests(one: Pass, most_mm: float) -> tuple[Rest, ...]:
    """Return where to rest on a pass, so that no stretch through foam is longer than `most_mm`.

    Each as far along as may be: where a move through waste ends, else at a corner, else
    anywhere. Ways through air do not count.
    """
    points, kinds = _foam(one)
    if len(points) < 2:
        return ()
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate(([0.0], np.cumsum(steps)))
    ranks = _ranks(points, kinds)
    found: list[Rest] = []
    begin = 0.0
    while along[-1] - begin > most_mm + 1e-6:
        reach = (along > begin + most_mm * SHORTEST_SHARE) & (along <= begin + most_mm + 1e-6)
        if reach.any():
            best = np.flatnonzero(reach & (ranks == ranks[reach].min()))[-1]
            begin = float(along[best])
            x, y = points[best]
        else:
            begin += most_mm
            x, y = (np.interp(begin, along, axis) for axis in points.T)
        at = round(float(x), 3), round(float(y), 3)
        found.append(Rest(number=one.number, after_mm=begin, at=at))
    return tuple(found)


def _foam(one: Pass) -> tuple[Points, list[str]]:
    """Return the points of the near end's way through foam, and the kind of move ending at each."""
    rows: list[Points] = []
    kinds: list[str] = []
    for move in one.moves:
        if move.kind == "air":
            continue
        points = shapely.get_coordinates(move.line)
        rows.append(points if not rows else points[1:])
        # Only its end is a place to rest in waste: on the way there it goes on.
        kinds += [""] * (len(rows[-1]) - 1) + [move.kind]
    return (np.concatenate(rows) if rows else np.zeros((0, 2))), kinds


def _ranks(points: Points, kinds: Sequence[str]) -> NDArray[np.int_]:
    """Return how good each point is to rest at: 0 in waste, 1 a corner, 2 any other."""
    ranks = np.full(len(points), 2)
    steps = np.diff(points, axis=0)
    ways = steps / np.maximum(np.hypot(*steps.T), 1e-9)[:, None]
    turns = np.degrees(np.arccos(np.clip((ways[1:] * ways[:-1]).sum(axis=1), -1, 1)))
    ranks[1:-1][turns > CORNER_DEG] = 1
    ranks[[kind in WASTE for kind in kinds]] = 0
    return ranks
