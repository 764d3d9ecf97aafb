"""How far the melted-back shape of a taper misses its faces, on them and at every depth between.

The faces of a taper are cut into cells: a stretch of outline by a stretch of depth. Over a
cell a point of the ruled face is bilinear in both, and so is the point of the wire that is
told off for it along one straight step of the wire; so is what parts them, whose length
is greatest at one of the cell's four corners. That less the least the wire melts there
bounds the miss on the whole cell, not at the sampled points alone.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.kerf.taper import law_of, taper_line
from wirepath.model import Ruled
from wirepath.workshop import Cutting

Points = NDArray[np.float64]

PER_KERF = 4
"""Cells to a kerf along the outline."""

DEEP_MM = 15.0
"""A cell is no deeper than this; nor are there fewer than `FEWEST_DEEP`."""

FEWEST_DEEP = 8

REACH_KERFS = 4.0
"""Steps of the wire further off than this are not looked at: none is that far off its face."""


def taper_miss(ruled: Ruled, cutting: Cutting) -> tuple[float, tuple[float, float]]:
    """Return what the wire leaves on a taper at most, in mm, and where.

    `ruled` is the taper as cut. A leaning wire counts as round across the slab, which it
    melts more than. The place is in the ruled lines' frame, at whatever depth it lies.
    """
    line, law = taper_line(ruled, cutting).line, law_of(cutting)
    cells = _cells(ruled, cutting.kerf_mm / PER_KERF)
    wire = _Both(line)
    steps = [np.hypot(*step.T) for step in (wire.after(0) - wire.at(0), wire.after(1) - wire.at(1))]
    longer = np.maximum(np.maximum(*steps), 1e-9)
    count = max(FEWEST_DEEP, int(np.ceil(ruled.thickness_mm / DEEP_MM)))
    worst, place = 0.0, ruled.near[0]
    for low, high in np.linspace(0, 1, count + 1)[np.arange(count)[:, None] + [0, 1]]:
        middle = (low + high) / 2
        strips = _lines(cells.at(middle), cells.after(middle))
        found = shapely.STRtree(_lines(wire.at(middle), wire.after(middle))).query(
            strips, predicate="dwithin", distance=REACH_KERFS * cutting.kerf_mm
        )
        cell, step = found
        begin, way = wire.at(middle)[step], (wire.after(middle) - wire.at(middle))[step]
        square = np.maximum((way**2).sum(axis=1), 1e-18)
        apart, spans = [], []
        for ends in (cells.at, cells.after):
            along = np.clip(((ends(middle)[cell] - begin) * way).sum(axis=1) / square, 0, 1)
            for share in (low, high):
                first = wire.at(share)[step]
                partner = first + along[:, None] * (wire.after(share)[step] - first)
                apart.append(np.hypot(*(ends(share)[cell] - partner).T))
        for share in (low, high):
            spans.append(np.hypot(*(wire.after(share) - wire.at(share)).T))
        # What a step melts goes down as it goes faster; the faster end of the cell counts.
        feeds = cutting.feed_mm_per_s * np.maximum(np.maximum(*spans) / longer, 1e-3)
        melted = (law.a_mm + law.b_mm2_per_s / feeds) / 2
        bounds = np.full(len(strips), np.inf)
        np.minimum.at(bounds, cell, np.max(apart, axis=0) - melted[step])
        at = int(bounds.argmax())
        if bounds[at] > worst:
            x, y = cells.at(middle)[at]
            worst, place = float(bounds[at]), (float(x), float(y))
    return worst, place


class _Both:
    """Stretches of two lines in step: where each begins and ends, at any depth."""

    def __init__(self, ruled: Ruled) -> None:
        self.near, self.far = np.array(ruled.near), np.array(ruled.far)
        self.near_after, self.far_after = (np.roll(r, -1, axis=0) for r in (self.near, self.far))

    def at(self, share: float) -> Points:
        found: Points = self.near + share * (self.far - self.near)
        return found

    def after(self, share: float) -> Points:
        found: Points = self.near_after + share * (self.far_after - self.near_after)
        return found


def _cells(ruled: Ruled, most_mm: float) -> _Both:
    """Return the stretches of a ruled solid's outline, none longer than `most_mm` on a face."""
    both = _Both(ruled)
    longest = np.maximum(
        *(np.hypot(*step.T) for step in (both.after(0) - both.at(0), both.after(1) - both.at(1)))
    )
    counts = np.maximum(np.ceil(longest / most_mm), 1).astype(int)
    facet = np.repeat(np.arange(len(counts)), counts)
    share = (np.arange(len(facet)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[facet]
    rings = (
        (both.at(s)[facet] + share[:, None] * (both.after(s) - both.at(s))[facet]) for s in (0, 1)
    )
    near, far = (tuple((float(x), float(y)) for x, y in ring) for ring in rings)
    return _Both(Ruled(near=near, far=far, thickness_mm=ruled.thickness_mm))


def _lines(starts: Points, ends: Points) -> NDArray[np.object_]:
    return np.asarray(shapely.linestrings(np.stack((starts, ends), axis=1)))
