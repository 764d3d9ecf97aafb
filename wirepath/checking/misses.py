"""How far the melted-back shape of each piece misses its outline, measured from the passes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiLineString, Polygon, STRtree

from wirepath.checking.finding import BUFFER_SHARE, DEPTH_MM, EXACT_MM, Finding, found, place_of
from wirepath.checking.following import follows, straight_steps
from wirepath.checking.scene import Scene, lines_of
from wirepath.checking.tapered import tapered_miss
from wirepath.errors import Fault
from wirepath.model import Plan

STEPS = 8
"""Points to half a kerf along an outline: between two of them the miss changes by a sixteenth
of a kerf at most, and its worst place is a corner, which is one of them."""


def check_misses(plan: Plan, scenes: Sequence[Scene]) -> Finding:
    """Return whether the largest miss told of each piece is the one the passes leave.

    Of tapers it is bounded at every depth, from where the wire's two ends go.
    """
    told = {miss.piece: miss.miss_mm for miss in plan.misses}
    faults: list[Fault] = []
    worst = 0.0
    for scene in scenes:
        if not scene.is_first:
            continue
        tree = STRtree(lines_of(scene.moves))
        round_pieces = np.array([move.kind in ("outline", "hole") for move in scene.moves])
        for piece, placed in zip(scene.pieces, scene.placed, strict=True):
            said = told.get(piece.number, 0.0)
            slack = DEPTH_MM + scene.widest_mm * (BUFFER_SHARE + 1 / STEPS)
            if piece.taper is not None:
                miss, at = tapered_miss(plan, scene.layout, piece, scene.widest_mm / STEPS)
                worst = max(worst, miss)
                if abs(miss - said) > slack:
                    faults.append(_wrong(scene, piece.number, miss, said, at))
                continue
            reach = 4 * scene.widest_mm + said
            near = tree.query(placed, predicate="dwithin", distance=reach)
            miss, at = _largest(scene, placed, near)
            worst = max(worst, miss)
            if said - miss > slack:
                # A slit or a link through the corner may take what the line round it leaves.
                near = near[round_pieces[near]]
                miss, at = _largest(scene, placed, near)
            if abs(miss - said) > slack:
                faults.append(_wrong(scene, piece.number, miss, said, at))
    return found(
        2,
        "What a round slot leaves in inner corners, and a wire on tapers, is told",
        f"the largest miss of all pieces is {worst:.2f} mm",
        faults,
    )


def _wrong(
    scene: Scene, piece: int, miss_mm: float, said_mm: float, at: tuple[float, float]
) -> Fault:
    what = f"the slot misses it by {miss_mm:.2f} mm, {said_mm:.2f} mm are told"
    return Fault(what, place_of(scene.layout.number, piece=piece, at=at))


def _largest(
    scene: Scene, placed: Polygon, moves: NDArray[np.int_]
) -> tuple[float, tuple[float, float]]:
    """Return how far a point of the outline lies beyond the slot of `moves` at most, and where.

    Edges that run along one straight step of the wire are told by their ends (`following`).
    Nothing is left on a piece where it stands on the block's own face.
    """
    lines, halves = lines_of(scene.moves)[moves], scene.half_widths_mm[moves]
    edges, _ = straight_steps(np.array([placed.exterior, *placed.interiors]))
    steps, line = straight_steps(lines)
    rest = edges[~follows(edges, steps, halves[line] + DEPTH_MM)]
    if not len(rest):
        return 0.0, (float(edges[0, 0, 0]), float(edges[0, 0, 1]))
    fine = shapely.segmentize(shapely.linestrings(rest), max(scene.widest_mm / STEPS, EXACT_MM))
    points = np.asarray(shapely.points(shapely.get_coordinates(fine)))
    face = scene.face.boundary
    shapely.prepare(face)
    away = np.where(shapely.dwithin(face, points, DEPTH_MM), 0.0, np.inf)
    for half in np.unique(halves):
        wire = MultiLineString(list(lines[halves == half]))
        shapely.prepare(wire)
        here = (away == 0) | shapely.dwithin(wire, points, half + DEPTH_MM)
        away[here] = 0.0
        away[~here] = np.minimum(away[~here], shapely.distance(points[~here], wire) - half)
    worst = int(away.argmax())
    return float(max(away[worst], 0.0)), (points[worst].x, points[worst].y)
