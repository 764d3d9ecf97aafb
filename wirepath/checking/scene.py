"""A layout made ready to be measured: foam, placed pieces, moves, and the slot they melt."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Geometry, Polygon, box

from wirepath import overlay
from wirepath.geometry import place, polygons
from wirepath.model import Layout, Move, Pass, Piece, Plan
from wirepath.workshop import Cutting

SLOT_QUAD_SEGS = 32
"""Straight pieces to a quarter of the slot's round end: 5 mm err by 0.0015 mm, inward."""

FEED_MM_PER_S = 0.001
"""Coordinate files state feeds in thousandths."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One layout: `pieces` and `placed` run together, so do `moves` and the lines in them."""

    layout: Layout
    half_kerf_mm: float
    """At the usual feed; `halves_mm` are those of the moves, each at its own."""
    widest_mm: float
    """Half the kerf at the slowest feed in foam that the workshop knows a kerf for."""
    face: Polygon
    usable: Geometry
    """The face less the trim."""
    blocked: tuple[Polygon, ...]
    """Areas that no piece may cover."""
    pieces: tuple[Piece, ...]
    placed: tuple[Polygon, ...]
    passes: tuple[Pass, ...]
    moves: tuple[Move, ...]
    halves_mm: tuple[float, ...]
    slot: Geometry
    """All that the wire melts on this layout, in air too."""
    parts: tuple[Polygon, ...]
    """What the slot leaves of the face, each part of its own."""


def scenes(plan: Plan) -> tuple[Scene, ...]:
    """Return every layout of a plan whose numbers hold together, ready to be measured."""
    return tuple(scene(plan, layout) for layout in plan.layouts)


def scene(plan: Plan, layout: Layout) -> Scene:
    """Return one layout ready to be measured.

    The wire does not read labels: the slot is that of all moves, whatever their kind.
    """
    width, height, trim = layout.width_mm, layout.height_mm, layout.trim_mm
    passes = tuple(
        sorted((p for p in plan.passes if p.layout == layout.number), key=lambda p: p.number)
    )
    moves = tuple(move for one in passes for move in one.moves)
    cutting = plan.workshop.cutting
    half = cutting.kerf_mm / 2
    halves = tuple(_half_kerf_mm(move, cutting) for move in moves)
    slot = overlay.union(shapely.buffer(lines_of(moves), halves, quad_segs=SLOT_QUAD_SEGS))
    face = layout.outline or box(0, 0, width, height)
    usable: Geometry = box(trim, trim, width - trim, height - trim)
    if layout.outline is not None:
        usable = shapely.buffer(face, -trim, join_style="mitre", mitre_limit=1e6) if trim else face
    pieces = tuple(plan.piece(p.piece) for p in layout.placements)
    return Scene(
        layout=layout,
        half_kerf_mm=half,
        widest_mm=max(half, (cutting.corner_kerf_mm or 0.0) / 2),
        face=face,
        usable=usable,
        blocked=layout.blocked,
        pieces=pieces,
        placed=tuple(
            place(piece.outline, placement)
            for piece, placement in zip(pieces, layout.placements, strict=True)
        ),
        passes=passes,
        moves=moves,
        halves_mm=halves,
        slot=slot,
        parts=tuple(polygons(overlay.difference(face, slot))),
    )


def _half_kerf_mm(move: Move, cutting: Cutting) -> float:
    """Return half the slot's width at a move's feed; at any other feed that of the usual one.

    A feed that no kerf is known for is told by promise 2.
    """
    slow, wide = cutting.corner_feed_mm_per_s, cutting.corner_kerf_mm
    if slow and wide and abs(move.feed_mm_per_s - slow) <= FEED_MM_PER_S:
        return wide / 2
    return cutting.kerf_mm / 2


def objects(geometries: tuple[Geometry, ...]) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
    """Return geometries as an array, (n,), also when there are none."""
    array = np.empty(len(geometries), dtype=object)
    array[:] = geometries
    return array


def lines_of(moves: tuple[Move, ...]) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
    """Return the lines of `moves` as an array, (n,)."""
    return objects(tuple(move.line for move in moves))


def inside_point(geometry: Geometry) -> tuple[float, float]:
    """Return a point that lies in the geometry, to show a fault by."""
    x, y = shapely.get_coordinates(shapely.point_on_surface(geometry))[0]
    return float(x), float(y)
