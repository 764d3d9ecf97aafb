"""How far a leaning wire stays off a taper at most, at any depth, from the moves as written.

Of each point of the face that is looked at, with the nearest place of the wire: both go
straight from face to face, so what parts them changes linearly with depth, and its length
(a convex function) is between two depths at most what it is at one of them.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.checking.solids import Points, depths, ways
from wirepath.geometry import turn_matrix
from wirepath.model import Layout, Piece, Plan

NEARBY = 8.0
"""Steps of the wire within so many half kerfs are looked at."""


def tapered_miss(
    plan: Plan, layout: Layout, piece: Piece, most_mm: float
) -> tuple[float, tuple[float, float]]:
    """Return by how much the wire misses a taper at most, and near where on its layout.

    Along the faces points lie `most_mm` apart at most; between two of them the miss is
    greater by less than half of that. Infinite where no wire comes near.
    """
    cutting = plan.workshop.cutting
    half = cutting.kerf_mm / 2
    base = min(cutting.kerf_base_mm or 0.0, cutting.kerf_mm) / 2
    own = [
        ways(move)
        for one in plan.passes
        if one.layout == layout.number
        for move in one.moves
        if move.piece == piece.number and move.kind == "outline"
    ]
    front, back = _rulings(layout, piece, most_mm)
    if not own:
        return float("inf"), (float(front[0, 0]), float(front[0, 1]))
    near = np.concatenate([np.stack((a[:-1], a[1:]), axis=1) for a, _ in own])
    far = np.concatenate([np.stack((b[:-1], b[1:]), axis=1) for _, b in own])
    longer = np.maximum(*(np.hypot(*(way[:, 1] - way[:, 0]).T) for way in (near, far)))
    worst, place = 0.0, (float(front[0, 0]), float(front[0, 1]))
    for (low, _), (high, _) in pairwise(depths(layout.thickness_mm)):
        here, there = ((1 - s) * near + s * far for s in (low, high))
        points, later = ((1 - s) * front + s * back for s in (low, high))
        spans = np.maximum(*(np.hypot(*(way[:, 1] - way[:, 0]).T) for way in (here, there)))
        melted = base + (half - base) * longer / np.maximum(spans, 1e-9)
        point, step = shapely.STRtree(np.asarray(shapely.linestrings(here))).query(
            np.asarray(shapely.points(points)), predicate="dwithin", distance=NEARBY * half
        )
        lines = np.asarray(shapely.linestrings(here[step]))
        along = shapely.line_locate_point(
            lines, np.asarray(shapely.points(points[point])), normalized=True
        )[:, None]
        apart = np.maximum(
            *(
                np.hypot(*(at[point] - (1 - along) * way[step, 0] - along * way[step, 1]).T)
                for at, way in ((points, here), (later, there))
            )
        )
        bounds = np.full(len(points), np.inf)
        np.minimum.at(bounds, point, apart - melted[step])
        at = int(bounds.argmax())
        if bounds[at] > worst:
            worst, place = float(bounds[at]), (float(points[at, 0]), float(points[at, 1]))
    return worst, place


def _rulings(layout: Layout, piece: Piece, most_mm: float) -> tuple[Points, Points]:
    """Return ends of rulings round a placed taper, (n, 2) each: on the front, on the back."""
    assert piece.taper is not None
    (placement,) = (one for one in layout.placements if one.piece == piece.number)
    near, far = (np.array(ring) for ring in (piece.taper.cut.near, piece.taper.cut.far))
    after = np.roll(near, -1, axis=0), np.roll(far, -1, axis=0)
    longest = np.maximum(np.hypot(*(after[0] - near).T), np.hypot(*(after[1] - far).T))
    counts = np.maximum(np.ceil(longest / most_mm), 1).astype(int)
    shares = np.concatenate([np.arange(count) / count for count in counts])[:, None]
    facet = np.repeat(np.arange(len(counts)), counts)
    ends = [
        ring[facet] + shares * (onward - ring)[facet]
        for ring, onward in zip((near, far), after, strict=True)
    ]
    a, b, d, e = turn_matrix(placement.angle_deg)
    mirror = -1.0 if placement.flipped else 1.0
    turn: NDArray[np.float64] = np.array([[a, d], [b, e]])
    one, other = ((ring * (mirror, 1.0)) @ turn + (placement.x_mm, placement.y_mm) for ring in ends)
    # Face down its own far face comes to the front.
    return (other, one) if placement.flipped else (one, other)
