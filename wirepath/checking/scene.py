"""A layout made ready to be measured: foam, placed pieces, moves, and the slot they melt."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Geometry, Polygon, box

from wirepath import overlay
from wirepath.geometry import place, polygons
from wirepath.model import Layout, Move, Pass, Piece, Plan

SLOT_QUAD_SEGS = 32
"""Straight pieces to a quarter of the slot's round end: 5 mm err by 0.0015 mm, inward."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One layout: `pieces` and `placed` run together, so do `moves` and the lines in them."""

    layout: Layout
    half_kerf_mm: float
    face: Polygon
    usable: Geometry
    """The face less the trim."""
    blocked: tuple[Polygon, ...]
    """Areas that no piece may cover."""
    pieces: tuple[Piece, ...]
    placed: tuple[Polygon, ...]
    passes: tuple[Pass, ...]
    moves: tuple[Move, ...]
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
    half = plan.workshop.cutting.kerf_mm / 2
    slot = overlay.union(shapely.buffer(lines_of(moves), half, quad_segs=SLOT_QUAD_SEGS))
    face = layout.outline or box(0, 0, width, height)
    usable: Geometry = box(trim, trim, width - trim, height - trim)
    if layout.outline is not None:
        usable = shapely.buffer(face, -trim, join_style="mitre", mitre_limit=1e6) if trim else face
    pieces = tuple(plan.piece(p.piece) for p in layout.placements)
    return Scene(
        layout=layout,
        half_kerf_mm=half,
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
        slot=slot,
        parts=tuple(polygons(overlay.difference(face, slot))),
    )


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
