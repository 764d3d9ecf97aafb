"""Pieces pushed together where that saves cutting: straight edges share one slot.

A layout keeps kerf + web between pieces. Where two of them turn straight edges of some
length to each other, one is moved until they stand exactly one kerf apart: the wire then
cuts both edges in one go. Pieces that share an edge move as one from then on.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon
from shapely.affinity import translate

from wirepath import overlay
from wirepath.geometry import clear_face, place_all
from wirepath.model import Layout, Piece
from wirepath.workshop import Cutting

Floats = NDArray[np.float64]

LEAST_SHARED_MM = 60.0
"""A shorter edge saves less than the web is worth. Common practice, no source."""

FARTHEST = 4.0
"""Pieces farther apart than so many clearances are left where they are."""

PARALLEL = 1e-7
"""Sine of the angle up to which edges count as parallel: 0.1 um over a metre."""

ROUNDING_MM = 1e-6

SHARED_MM = 1e-3
"""How far from one kerf the gap may be of edges that count as shared."""

BESIDE = 8.0
"""Clearances of foam narrower than the clearance that may lie beside a shared edge, where
the outlines part at its ends: a longer sliver would tremble before the wire."""


@dataclass(frozen=True, slots=True)
class _Push:
    """Piece `mover` moved by `by` shares `length_mm` with piece `rest`."""

    length_mm: float
    mover: int
    rest: int
    by: tuple[float, float]


def share_edges(
    layouts: Sequence[Layout], pieces: Sequence[Piece], cutting: Cutting
) -> tuple[Layout, ...]:
    """Return the layouts with pieces pushed together to share straight edges.

    Longest edges first; a push is made only if every piece then lies on clear foam and
    keeps kerf + web from all others but along the edges it shares, where it keeps exactly
    one kerf. No piece changes its turn or its layout. Where corners are slowed the slot is
    wider there than one kerf, so nothing is pushed.
    """
    return tuple(_shared(layout, pieces, cutting) for layout in layouts)


def shared_mm(outlines: Sequence[Polygon], cutting: Cutting) -> float:
    """Return how much straight edge pieces share: that stands one kerf from another's."""
    longest: dict[tuple[int, int], float] = {}
    for push in _pushes(outlines, cutting):
        if np.hypot(*push.by) <= SHARED_MM:
            pair = push.mover, push.rest
            longest[pair] = max(longest.get(pair, 0.0), push.length_mm)
    return sum(longest.values())


def _shared(layout: Layout, pieces: Sequence[Piece], cutting: Cutting) -> Layout:
    _, shifts = pushed_together(place_all(layout, pieces), clear_face(layout), cutting)
    if not shifts.any():
        return layout
    return replace(
        layout,
        placements=tuple(
            replace(one, x_mm=one.x_mm + float(dx), y_mm=one.y_mm + float(dy))
            for one, (dx, dy) in zip(layout.placements, shifts, strict=True)
        ),
    )


def pushed_together(
    outlines: Sequence[Polygon], clear: shapely.Geometry, cutting: Cutting
) -> tuple[list[Polygon], Floats]:
    """Return the outlines pushed together on clear foam as `share_edges` tells, and the shifts.

    Shifts are (n, 2), mm.
    """
    moved = list(outlines)
    groups = list(range(len(moved)))
    shifts = np.zeros((len(moved), 2))
    if cutting.corner_feed_mm_per_s is not None:
        return moved, shifts
    room = shapely.buffer(clear, ROUNDING_MM, join_style="mitre")
    shapely.prepare(room)
    for push in sorted(_pushes(moved, cutting), key=lambda p: (-p.length_mm, p.mover, p.rest)):
        if groups[push.mover] == groups[push.rest]:
            continue
        # Earlier pushes may have moved either piece: what is left to go tells.
        by = np.array(push.by) + shifts[push.rest] - shifts[push.mover]
        for mover, way in ((push.mover, by), (push.rest, -by)):
            if not _may_move(mover, way, groups, moved, room, cutting):
                continue
            for k in _members(groups, mover):
                moved[k] = translate(moved[k], *way)
                shifts[k] += way
            old, new = groups[push.mover], groups[push.rest]
            groups = [new if one == old else one for one in groups]
            break
    return moved, shifts


def _members(groups: Sequence[int], one: int) -> list[int]:
    return [k for k, group in enumerate(groups) if group == groups[one]]


def _may_move(
    mover: int,
    by: Floats,
    groups: Sequence[int],
    outlines: Sequence[Polygon],
    room: shapely.Geometry,
    cutting: Cutting,
) -> bool:
    """Return whether the mover's group may stand there, and shares an edge with what is near."""
    own = _members(groups, mover)
    moved = np.array([translate(outlines[k], *by) for k in own], dtype=object)
    if not shapely.covers(room, moved).all():
        return False
    clearance_mm = cutting.kerf_mm + cutting.web_mm
    others = [k for k in range(len(outlines)) if k not in own]
    tree = shapely.STRtree([outlines[k] for k in others])
    near = tree.query(moved, predicate="dwithin", distance=clearance_mm - ROUNDING_MM)
    return all(
        _share(moved[one], outlines[others[other]], cutting.kerf_mm, clearance_mm)
        for one, other in near.T
    )


def _share(one: Polygon, other: Polygon, kerf_mm: float, clearance_mm: float) -> bool:
    """Return whether two outlines nearer than the clearance are so along shared edges only."""
    if shapely.distance(one, other) < kerf_mm - ROUNDING_MM:
        return False
    edge = one.boundary
    near = shapely.line_merge(overlay.intersection(edge, other.buffer(clearance_mm - ROUNDING_MM)))
    tight = overlay.intersection(edge, other.buffer(kerf_mm + 10 * ROUNDING_MM))
    for part in shapely.get_parts(near):
        shared = shapely.length(overlay.intersection(tight, part.buffer(ROUNDING_MM)))
        if shared < LEAST_SHARED_MM or part.length - shared > BESIDE * clearance_mm:
            return False
    return True


def _pushes(outlines: Sequence[Polygon], cutting: Cutting) -> Iterator[_Push]:
    """Give every way in which a long straight edge of one piece could meet one of another."""
    owners, edges = _long_edges(outlines)
    reach = FARTHEST * (cutting.kerf_mm + cutting.web_mm)
    lines: NDArray[np.object_] = np.asarray(shapely.linestrings(edges), dtype=object)
    pairs = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=reach)
    for a, b in pairs.T:
        if owners[a] >= owners[b]:
            continue
        along = edges[a, 1] - edges[a, 0]
        length = np.hypot(*along)
        along = along / length
        back = edges[b, 1] - edges[b, 0]
        # Outer rings run counter-clockwise: foam to the left, so facing edges run opposite.
        if along @ back > 0 or abs(along[0] * back[1] - along[1] * back[0]) > PARALLEL * np.hypot(
            *back
        ):
            continue
        right = np.array([along[1], -along[0]])
        gap = float((edges[b, 0] - edges[a, 0]) @ right)
        ends = np.sort((edges[b] - edges[a, 0]) @ along)
        overlap = float(min(ends[1], length) - max(ends[0], 0.0))
        if gap < cutting.kerf_mm - ROUNDING_MM or overlap < LEAST_SHARED_MM:
            continue
        by = right * (gap - cutting.kerf_mm)
        yield _Push(overlap, int(owners[a]), int(owners[b]), (float(by[0]), float(by[1])))


def _long_edges(outlines: Sequence[Polygon]) -> tuple[NDArray[np.int64], Floats]:
    """Return the owner of each long straight edge, (n,), and its ends, (n, 2, 2), foam left."""
    owners: list[int] = []
    edges: list[Floats] = []
    for owner, outline in enumerate(outlines):
        # Corners on a straight line would part an edge into short ones.
        ring = shapely.orient_polygons(outline).exterior.simplify(ROUNDING_MM)
        points = shapely.get_coordinates(LineString(ring.coords))
        both = np.stack([points[:-1], points[1:]], axis=1)
        long = np.hypot(*(both[:, 1] - both[:, 0]).T) >= LEAST_SHARED_MM
        edges.append(both[long])
        owners += [owner] * int(long.sum())
    return np.array(owners, dtype=np.int64), np.concatenate(edges)
