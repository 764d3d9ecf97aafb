"""Weak places that seams make: necks, tips and slivers that break before they are glued."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, Polygon

from wirepath import overlay
from wirepath.geometry import polygons

WEAK_PIECES = 3
"""How many more pieces a weak place counts for: the time to stiffen it, or to mend what
broke (common practice, no source)."""

_SEAM_MM = 1e-3
"""Rounding between a seam and the pieces beside it."""

_ARC_MM = 0.5
"""An opened shape is drawn with chords: nearer to it than this is not left over."""


def weak_places(shapes: Sequence[Polygon], seams: Sequence[LineString], least_mm: float) -> int:
    """Return how many places weaker than `least_mm` the seams make.

    A place is weak where a seam runs across the whole form on less than `least_mm`, and
    where a part of a piece, narrower than that, lies at a seam: as a neck between two
    wider parts, or reaching farther than `least_mm` beyond them. Corners do not count,
    nor pieces that are narrow everywhere, nor what is narrow away from the seams.
    """
    if not seams:
        return 0
    net = shapely.buffer(overlay.union(seams), _SEAM_MM)
    return _necks(seams, least_mm) + sum(_thin(shape, net, least_mm) for shape in shapes)


def _necks(seams: Sequence[LineString], least_mm: float) -> int:
    """Return how many seams, met by no other, are shorter than the least."""
    lines = np.array(seams, dtype=object)
    short = lines[shapely.length(lines) < least_mm]
    ones, _ = shapely.STRtree(lines).query(short, predicate="dwithin", distance=1.0)
    return int((np.bincount(ones, minlength=len(short)) == 1).sum())


def _thin(shape: Polygon, net: Geometry, least_mm: float) -> int:
    """Return how many parts of the shape at a seam are narrower than the least.

    Narrow is what no circle of that width covers from inside: the shape less its opening
    (Serra 1982, Image Analysis and Mathematical Morphology, chapter 2).
    """
    wide = polygons(shape.buffer(-least_mm / 2))
    if not wide:
        return 0
    opened = shapely.buffer(np.array(wide), least_mm / 2 + _ARC_MM)
    rest = np.array(polygons(overlay.difference(shape, overlay.union(list(opened)))), dtype=object)
    at_seam: NDArray[np.object_] = rest[shapely.intersects(rest, net)]
    if not len(at_seam):
        return 0
    around = shapely.buffer(at_seam, 2 * _ARC_MM)
    between = shapely.intersects(around[:, None], opened).sum(axis=1) > 1
    out = overlay.difference(at_seam, shapely.buffer(overlay.union(list(opened)), least_mm))
    return int((between | ~shapely.is_empty(out)).sum())
