"""A layout made ready to be measured: foam, placed pieces, moves, and the slot they melt.

Where the wire stays square, one scene stands for all depths of a layout. Where its ends
part there is one for each of several depths: a flat picture of what stands and moves there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon, box

from wirepath import overlay
from wirepath.checking.solids import depths, placed_section, steps_at
from wirepath.errors import Fault
from wirepath.geometry import polygons
from wirepath.model import Layout, Move, Pass, Piece, Plan
from wirepath.workshop import Cutting

SLOT_QUAD_SEGS = 32
"""Straight pieces to a quarter of the slot's round end: 5 mm err by 0.0015 mm, inward."""

FEED_MM_PER_S = 0.001
"""Coordinate files state feeds in thousandths."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One layout, at one depth: `pieces` and `placed` run together, so do `moves` and what
    is told of each of them."""

    layout: Layout
    share: float
    """At which share of the slab's depth from the front; 0 where one is good for all."""
    weight: float
    """What share of the depth this one counts for in volumes."""
    half_kerf_mm: float
    """At the usual feed; `half_widths_mm` are those of the moves, each at its own."""
    widest_mm: float
    """Half the kerf at the slowest feed in foam that the workshop knows a kerf for."""
    half_widths_mm: NDArray[np.float64]
    """Half the width that each move melts, (n,)."""
    off_mm: NDArray[np.float64]
    """How far off its line each move may have to leave a piece, a straight wire between two
    faces, (n,): half the width, and what it cannot help beyond that."""
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

    @property
    def is_first(self) -> bool:
        """Whether this is the first scene of its layout: what is counted is counted there."""
        return self.share == 0

    def told(self, faults: Sequence[Fault]) -> list[Fault]:
        """Return faults with the depth they lie at, where it matters."""
        if self.weight == 1:
            return list(faults)
        deep = f"{self.share * self.layout.thickness_mm:.0f} mm behind the near face"
        return [replace(fault, where=f"{fault.where}, {deep}") for fault in faults]


def scenes(plan: Plan) -> tuple[Scene, ...]:
    """Return every layout of a plan whose numbers hold together, ready to be measured."""
    return tuple(one for layout in plan.layouts for one in layout_scenes(plan, layout))


def layout_scenes(plan: Plan, layout: Layout) -> Iterator[Scene]:
    """Give the scenes of one layout, from the front to the back."""
    leaning = any(p.taper for p in map(plan.piece, (p.piece for p in layout.placements))) or any(
        move.far is not None
        for one in plan.passes
        if one.layout == layout.number
        for move in one.moves
    )
    for share, weight in depths(layout.thickness_mm) if leaning else [(0.0, 1.0)]:
        yield scene(plan, layout, share, weight)


def scene(plan: Plan, layout: Layout, share: float = 0.0, weight: float = 1.0) -> Scene:
    """Return one layout ready to be measured, as it is at a share of its depth.

    The wire does not read labels: the slot is that of all moves, whatever their kind.
    """
    width, height, trim = layout.width_mm, layout.height_mm, layout.trim_mm
    cutting = plan.workshop.cutting
    half = cutting.kerf_mm / 2
    flat = [
        _flattened(one, share, layout.thickness_mm, cutting)
        for one in sorted(plan.passes, key=lambda p: p.number)
        if one.layout == layout.number
    ]
    passes = tuple(one for one, _, _ in flat)
    moves = tuple(move for one in passes for move in one.moves)
    halves = np.array([width for _, widths, _ in flat for width in widths])
    slot = overlay.union(shapely.buffer(lines_of(moves), halves, quad_segs=SLOT_QUAD_SEGS))
    face = layout.outline or box(0, 0, width, height)
    usable: Geometry = box(trim, trim, width - trim, height - trim)
    if layout.outline is not None:
        usable = shapely.buffer(face, -trim, join_style="mitre", mitre_limit=1e6) if trim else face
    pieces = tuple(plan.piece(p.piece) for p in layout.placements)
    return Scene(
        layout=layout,
        share=share,
        weight=weight,
        half_kerf_mm=half,
        widest_mm=max(half, (cutting.corner_kerf_mm or 0.0) / 2),
        half_widths_mm=halves,
        off_mm=np.array([off for _, _, offs in flat for off in offs]),
        face=face,
        usable=usable,
        blocked=layout.blocked,
        pieces=pieces,
        placed=tuple(
            placed_section(piece, placement, share)
            for piece, placement in zip(pieces, layout.placements, strict=True)
        ),
        passes=passes,
        moves=moves,
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


def _flattened(
    one: Pass, share: float, thickness_mm: float, cutting: Cutting
) -> tuple[Pass, list[float], list[float]]:
    """Return a pass as it is at one depth, and half widths and offsets of its moves.

    A move whose ends part becomes one for each stretch of one width.
    """
    moves: list[Move] = []
    halves: list[float] = []
    offs: list[float] = []
    for move in one.moves:
        if move.far is None:
            moves.append(move)
            halves.append(_half_kerf_mm(move, cutting))
            offs.append(halves[-1])
            continue
        base = min(cutting.kerf_base_mm or 0.0, cutting.kerf_mm)
        steps, widths, own = steps_at(move, share, thickness_mm, cutting.kerf_mm / 2, base / 2)
        moves += [replace(move, line=step, far=None) for step in steps]
        halves += widths
        offs += own
    return replace(one, moves=tuple(moves)), halves, offs


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
