"""One taper on its own block: in from the nearest side, round, and out the same way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from wirepath.errors import Fault, FitError
from wirepath.kerf import Ruled, TaperLine
from wirepath.model import MoveKind
from wirepath.workshop import Cutting

Point = tuple[float, float]

SECTIONS = 11
"""Depths at which an entry is looked at, both faces among them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaperMove:
    """One straight move of both ends of the wire, to `near` and `far`, in the same time."""

    kind: MoveKind
    near: Point
    far: Point
    near_mm_per_s: float
    far_mm_per_s: float


def tapered_moves(
    way: TaperLine, width_mm: float, height_mm: float, cutting: Cutting
) -> tuple[TaperMove, ...]:
    """Return the moves that cut one taper from a face of `width_mm` x `height_mm`.

    The first one says where both ends start, `lead_in_mm` outside the foam. The entry
    is straight, square to a side at both ends, and as short as it can be without
    entering the piece at any depth. Raises FitError where there is none.
    """
    line = way.line
    near, far = np.array(line.near), np.array(line.far)
    start, side = _entry(line, width_mm, height_mm)
    near, far = np.roll(near, -start, axis=0), np.roll(far, -start, axis=0)
    feeds = [np.roll(np.array(side), -start) for side in (way.near_feeds, way.far_feeds)]
    edges = [_on_side(ring[0], side, width_mm, height_mm) for ring in (near, far)]
    air_mm = max(cutting.lead_in_mm, cutting.kerf_mm)
    outside = [edge + air_mm * OUTWARD[side] for edge in edges]

    def moves() -> Iterator[TaperMove]:
        air, feed = cutting.air_feed_mm_per_s, cutting.feed_mm_per_s
        yield _move("air", outside, outside, air)
        yield _move("air", outside, edges, air)
        yield _move("entry", edges, [near[0], far[0]], feed)
        for i in range(len(near)):
            after = (i + 1) % len(near)
            yield TaperMove(
                kind="outline",
                near=_point(near[after]),
                far=_point(far[after]),
                near_mm_per_s=float(feeds[0][i]),
                far_mm_per_s=float(feeds[1][i]),
            )
        first = max(np.hypot(*(near[1] - near[0])), np.hypot(*(far[1] - far[0])))
        share = min(1.0, cutting.overrun_mm / first) if first else 0.0
        if share:
            past = [ring[0] + share * (ring[1] - ring[0]) for ring in (near, far)]
            yield _move("overrun", [near[0], far[0]], past, feed)
            yield _move("slot", past, [near[0], far[0]], feed)
        yield _move("slot", [near[0], far[0]], edges, feed)
        yield _move("air", edges, outside, air)

    return tuple(moves())


OUTWARD: NDArray[np.float64] = np.array([(-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)])
"""Directions out of the left, right, lower and upper side."""


def _point(at: NDArray[np.float64]) -> Point:
    return float(at[0]), float(at[1])


def _move(
    kind: MoveKind,
    before: Sequence[NDArray[np.float64]],
    after: Sequence[NDArray[np.float64]],
    feed: float,
) -> TaperMove:
    """Return the move of both ends from `before` to `after`, the longer way at `feed`."""
    lengths = np.array([np.hypot(*(b - a)) for a, b in zip(before, after, strict=True)])
    longest = float(lengths.max())
    near, far = feed * lengths / longest if longest else np.array([feed, feed])
    return TaperMove(
        kind=kind,
        near=_point(after[0]),
        far=_point(after[1]),
        near_mm_per_s=float(near),
        far_mm_per_s=float(far),
    )


def _on_side(
    point: NDArray[np.float64], side: int, width_mm: float, height_mm: float
) -> NDArray[np.float64]:
    x, y = point
    return np.array([(0.0, y), (width_mm, y), (x, 0.0), (x, height_mm)][side])


def _entry(line: Ruled, width_mm: float, height_mm: float) -> tuple[int, int]:
    """Return the point of the line and the side of the face between which the wire enters."""
    rings = np.array(line.near), np.array(line.far)
    gaps = [
        np.stack([ring[:, 0], width_mm - ring[:, 0], ring[:, 1], height_mm - ring[:, 1]], axis=1)
        for ring in rings
    ]
    longest = np.maximum(*gaps)
    sections = [line.section(share) for share in np.linspace(0, 1, SECTIONS)]
    for flat in np.argsort(np.round(longest, 3), axis=None, kind="stable"):
        index, side = divmod(int(flat), 4)
        edges = [_on_side(ring[index], side, width_mm, height_mm) for ring in rings]
        if all(
            _is_clear(section, share, [ring[index] for ring in rings], edges)
            for section, share in zip(sections, np.linspace(0, 1, SECTIONS), strict=True)
        ):
            return index, side
    raise FitError(
        Fault(
            "no straight way leads in from a side without entering the piece",
            "taper",
            "turn the piece on the block, or cut it in two",
        )
    )


def _is_clear(
    section: Polygon,
    share: float,
    ends: Sequence[NDArray[np.float64]],
    edges: Sequence[NDArray[np.float64]],
) -> bool:
    """Return whether the wire, on its way in, stays outside the line at one depth."""
    end = ends[0] + share * (ends[1] - ends[0])
    edge = edges[0] + share * (edges[1] - edges[0])
    crossed = section.intersection(LineString([edge, end]))
    return bool(shapely.length(crossed) < 1e-6)
