"""Where the pieces of a form meet again: the seams to be glued."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import MultiPolygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Piece, Seam

_TOUCH_MM = 1e-6
"""Faces nearer than this touch: seams at odd angles leave rounding of some 1e-12."""

_LEAST_MM = 0.01
"""Shorter seams and smaller areas are rounding."""


def seams(pieces: Sequence[Piece]) -> tuple[Seam, ...]:
    """Return every seam between pieces of one form, in order of the pieces' numbers."""
    forms: dict[str, list[Piece]] = defaultdict(list)
    for piece in pieces:
        if piece.section_of is not None:
            forms[piece.section_of].append(piece)
    found: list[Seam] = []
    for parts in forms.values():
        outlines = np.array([part.outline for part in parts], dtype=object)
        tree = shapely.STRtree(outlines)
        pairs = tree.query(outlines, predicate="dwithin", distance=_TOUCH_MM).T
        found += [seam for k, n in pairs.tolist() if k < n for seam in _meet(parts[k], parts[n])]
    return tuple(sorted(found, key=lambda seam: seam.pieces))


def _meet(one: Piece, other: Piece) -> Iterator[Seam]:
    pair = (one.number, other.number)
    low = max(one.from_mm, other.from_mm)
    high = min(one.from_mm + one.thickness_mm, other.from_mm + other.thickness_mm)
    if high - low > _LEAST_MM:
        near = overlay.intersection(
            one.outline.boundary, other.outline.buffer(_TOUCH_MM, join_style="mitre")
        )
        line = shapely.line_merge(near)
        if shapely.length(line) > _LEAST_MM:
            yield Seam(pieces=pair, kind="edge", place=line, from_mm=low, to_mm=high)
    elif abs(high - low) <= _LEAST_MM:
        area = MultiPolygon(polygons(overlay.intersection(one.outline, other.outline)))
        if shapely.area(area) > _LEAST_MM:
            yield Seam(pieces=pair, kind="layer", place=area, from_mm=low, to_mm=low)
