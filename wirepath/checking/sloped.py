"""The form a roughing was asked to keep off, where its surface is taken as straight slopes.

Between two contours a point stands as high as its distances to both say. In squares of
`CELL_MM`: one counts up to a height only if all four corners stand higher, so the prisms lie
inside the slopes, by no more than a square and a sixth of the contours' distance.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, box

from wirepath import overlay
from wirepath.checking.prisms import Prism
from wirepath.geometry import polygons
from wirepath.model import Contour

CELL_MM = 10.0
PARTS = 6
"""Heights looked at between two contours."""


def widest_gap_mm(contours: Sequence[Contour], *, peak_mm: float) -> float:
    """Return the largest distance in height between two contours, back and peak among them."""
    heights = sorted({0.0, peak_mm, *(c.height_mm for c in contours if 0 < c.height_mm < peak_mm)})
    return max(high - low for low, high in pairwise(heights))


def sloped_prisms(
    outline: Geometry, contours: Sequence[Contour], *, peak_mm: float
) -> tuple[Prism, ...]:
    """Return what a relief fills if its surface runs straight from contour to contour.

    A hill without a higher contour in it is taken to stand as high as the next one, the
    highest as high as the peak.
    """
    heights = sorted({c.height_mm for c in contours if 0 < c.height_mm < peak_mm})
    regions = [outline] + [
        overlay.intersection(
            overlay.union([c.region for c in contours if c.height_mm >= height]), outline
        )
        for height in heights
    ]
    found = []
    steps = [0.0, *heights, peak_mm]
    for k, (low, high) in enumerate(pairwise(steps)):
        upper = regions[k + 1] if k + 1 < len(regions) else None
        for part in polygons(regions[k]):
            inside = None if upper is None else overlay.intersection(upper, part)
            if inside is None or not polygons(inside):
                found.append(Prism(low_mm=0.0, high_mm=high, region=part))
                continue
            if low:
                found.append(Prism(low_mm=0.0, high_mm=low, region=part))
            found += _between(part, inside, low, high)
    return tuple(found)


def _between(lower: Geometry, upper: Geometry, low: float, high: float) -> Iterator[Prism]:
    x0, y0, x1, y1 = shapely.bounds(lower)
    xs, ys = (np.arange(a, b + CELL_MM, CELL_MM) for a, b in ((x0, x1), (y0, y1)))
    x, y = np.meshgrid(xs, ys)
    points = shapely.points(x, y)
    shapely.prepare(lower)
    inside = shapely.contains_xy(lower, x, y)
    rim = np.where(inside, shapely.distance(points, shapely.boundary(lower)), 0.0)
    away = shapely.distance(points, upper)
    share = np.divide(rim, rim + away, out=np.zeros_like(rim), where=rim + away > 0)
    least = np.minimum.reduce([share[:-1, :-1], share[1:, :-1], share[:-1, 1:], share[1:, 1:]])
    for k in range(1, PARTS):
        cells = _squares(least >= k / PARTS, xs, ys)
        region = overlay.intersection(overlay.union(cells), lower) if len(cells) else None
        if region is not None and polygons(region):
            yield Prism(low_mm=0.0, high_mm=low + (high - low) * k / PARTS, region=region)


def _squares(
    chosen: NDArray[np.bool_], xs: NDArray[np.float64], ys: NDArray[np.float64]
) -> list[Geometry]:
    """Return chosen squares of a lattice, those beside each other in a row as one box."""
    rows = []
    for row, flags in enumerate(chosen):
        edges = np.flatnonzero(np.diff(np.r_[False, flags, False].astype(int)))
        for first, last in edges.reshape(-1, 2):
            rows.append(box(xs[first], ys[row], xs[last], ys[row + 1]))
    return rows
