"""Promise 3, of where lines begin: not on a seam or a finished side, unless the sheets say so.

Measured from the pieces and the moves as written: a seam is where a piece meets another one
of its form, a finished side where its outline keeps to the finished one though it has an
allowance.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely
from shapely import Geometry, LineString

from wirepath import overlay
from wirepath.checking.finding import EDGE_MM, Finding, found, place_of
from wirepath.checking.joints import joints
from wirepath.checking.scene import Scene
from wirepath.errors import Fault
from wirepath.geometry import place
from wirepath.model import Piece, Plan

LEAST_MM = 1.0
"""A line has elsewhere to begin only if more of the outline than this is no such side."""


def check_scars(plan: Plan, scenes: Sequence[Scene]) -> Finding:
    """Return whether lines begin off seams and finished sides, as far as the plan claims it."""
    joint_edges: dict[int, list[Geometry]] = {}
    parted = [piece for piece in plan.pieces if piece.section_of is not None]
    for pair, joint in joints(parted).items():
        if joint.kind == "edge":
            for number in pair:
                joint_edges.setdefault(number, []).append(joint.place)
    faults: list[Fault] = []
    looked = told = 0
    for scene in scenes:
        if not scene.is_first:
            continue
        told += len(scene.layout.scarred)
        for piece, begin, away_mm in _beginnings(scene, joint_edges):
            looked += 1
            if away_mm > 2 * scene.widest_mm + EDGE_MM and piece.number not in scene.layout.scarred:
                at = shapely.get_coordinates(begin)[0]
                where = place_of(scene.layout.number, piece=piece.number, at=(at[0], at[1]))
                faults.append(Fault("its line begins on a seam or a finished side", where))
    return found(
        3,
        "Lines begin off seams and finished sides",
        f"{looked} pieces that have such sides; of {told} the sheets say that they begin there",
        faults,
    )


def _beginnings(
    scene: Scene, joint_edges: dict[int, list[Geometry]]
) -> Iterator[tuple[Piece, Geometry, float]]:
    """Give pieces with sides to spare, where their lines begin, and how far off other sides."""
    for piece, placement in zip(scene.pieces, scene.layout.placements, strict=True):
        if piece.taper or piece.entry is not None or piece.entry_at is not None:
            continue
        border = LineString(piece.outline.exterior.coords)
        spared = list(joint_edges.get(piece.number, ()))
        if piece.allowance_mm > 0:
            kept = shapely.buffer(piece.finished.exterior, EDGE_MM)
            spared.append(overlay.intersection(border, kept))
        others = overlay.difference(
            border, overlay.union([shapely.buffer(one, EDGE_MM) for one in spared])
        )
        if not LEAST_MM < others.length < border.length - LEAST_MM:
            continue
        begin = next(
            (
                shapely.get_point(move.line, 0)
                for one in scene.passes
                if not one.is_threaded
                for move in one.moves
                if move.piece == piece.number and move.kind in ("outline", "slot")
            ),
            None,
        )
        if begin is not None:
            yield piece, begin, float(shapely.distance(begin, place(others, placement)))
