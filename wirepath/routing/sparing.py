"""Faces on which no line is to begin where that can be helped: seams, and sides cut finished.

Where a line closes the wire leaves a small scar. Carving takes it off where foam is left
on; on a seam it keeps the joint from closing, on a finished side it shows.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

import shapely
from shapely import Geometry, LineString

from wirepath import overlay
from wirepath.geometry import place
from wirepath.model import Layout, Pass, Piece, Seam, WireLine

TOUCH_MM = 0.01
"""Edges nearer than this run on top of each other."""

LEAST_MM = 1.0
"""Shorter stretches are rounding, or no place to begin a line at."""

OFF_SHARE = 0.03
"""Share of the offset by which a line may lie further off its outline: GEOS straightens it."""

Spared = Mapping[int, Geometry]
"""By a piece's number: the stretches of its outline, in the drawing's frame, to begin at."""


def good_edges(pieces: Sequence[Piece], seams: Sequence[Seam]) -> Spared:
    """Return where the lines of pieces with seams or finished sides are to begin.

    A side is finished where the outline keeps to the finished one, though foam is left on
    elsewhere. Pieces that have no such sides, or nothing else, are left out; so are tapers.
    """
    spared: dict[int, list[Geometry]] = defaultdict(list)
    for seam in seams:
        if seam.kind == "edge":
            for number in seam.pieces:
                spared[number].append(seam.place)
    found = {}
    for piece in pieces:
        border = piece.outline.exterior
        if piece.taper is not None:
            continue
        if piece.allowance_mm > 0:
            near = shapely.buffer(piece.finished.exterior, TOUCH_MM)
            spared[piece.number].append(overlay.intersection(border, near))
        taken = [shapely.buffer(one, TOUCH_MM) for one in spared[piece.number]]
        good = overlay.difference(LineString(border.coords), overlay.union(taken))
        if LEAST_MM < shapely.length(good) < border.length - LEAST_MM:
            found[piece.number] = good
    return found


def good_stretches(ring: LineString, edges: Geometry, half_kerf_mm: float) -> Geometry:
    """Return where the wire's line `ring` runs along `edges` of its outline, corners included.

    `edges` as they lie on the layout. At a sharp corner of the outline the line runs round
    in an arc: all of it belongs to both sides.
    """
    reach = half_kerf_mm * (1 + OFF_SHARE) + TOUCH_MM
    found: Geometry = overlay.intersection(ring, shapely.buffer(edges, reach))
    return found


def scarred(
    layout: Layout,
    lines: Sequence[WireLine],
    passes: Sequence[Pass],
    spared: Spared,
    kerf_mm: float,
) -> tuple[int, ...]:
    """Return the pieces whose line begins on a seam or a finished side all the same."""
    begins: dict[int, Geometry] = {}
    for move in (move for one in passes if not one.is_threaded for move in one.moves):
        if move.piece is not None and move.kind in ("outline", "slot"):
            begins.setdefault(move.piece, shapely.get_point(move.line, 0))
    placements = {one.piece: one for one in layout.placements}
    found = [
        line.piece
        for line in lines
        if not line.is_hole
        and line.piece in spared
        and line.piece in begins
        and not shapely.dwithin(
            begins[line.piece], place(spared[line.piece], placements[line.piece]), kerf_mm
        )
    ]
    return tuple(sorted(found))
