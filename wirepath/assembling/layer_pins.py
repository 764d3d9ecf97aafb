"""Pins through the face where a layer lies on another: upright, far apart."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

from wirepath.assembling.site import SHORTER, Floats, Site, clear, pin
from wirepath.model import Pin, Seam
from wirepath.workshop import Glue

Numbers = NDArray[np.intp]

PITCH_MM = 20.0
"""Between places tried over a face."""

SHORTEST = (0.375, 0.25)
"""Further shares of a pin's length that are tried between layers, which may be thin boards."""

LEAST_DIAMETERS = 5.0
"""Least length of those, in diameters: shorter they lean (common practice, no source)."""


def pins_over_layer(site: Site, seam: Seam, push: Floats, others: Floats) -> list[Pin]:
    """Return two pins, far apart, through the area where a piece lies on another."""
    if push[2] == 0.0 or site.core is None:
        return []
    below, above = sorted((site.pieces[n] for n in seam.pieces), key=lambda piece: piece.from_mm)
    cover = site.glue.pin_cover_mm
    spots = _grid(shapely.buffer(seam.place, -site.around_mm))
    if not len(spots):
        return []
    widest = float(np.hypot(*np.ptp(spots, axis=0)))
    covered = np.asarray(shapely.buffer(shapely.points(spots), site.around_mm))
    tries: list[list[Pin]] = []
    for length in _lengths(site.glue):
        low, high = seam.from_mm - length / 2, seam.from_mm + length / 2
        if low - cover < below.from_mm or high + cover > above.from_mm + above.thickness_mm:
            continue
        fit = site.core.holds(covered, low - cover, high + cover)
        start, end = (np.c_[spots, np.full(len(spots), z)] for z in (low, high))
        fit[fit] = clear(site, start[fit], end[fit], others)
        free = np.flatnonzero(fit)
        picked = free[_farthest(spots[free], 2 * site.around_mm)]
        tries.append([pin(start[k], end[k], None) for k in picked])
        if _apart(tries[-1]) >= (2, widest / 2):
            break
    # Shorter ones stand wider apart where the form narrows, and hold better against turning.
    most = max(map(_apart, tries), default=(0, 0.0))
    return next((one for one in tries if len(one) == most[0] and _apart(one)[1] >= most[1] / 2), [])


def _apart(found: Sequence[Pin]) -> tuple[int, float]:
    """Return how many pins there are, and how far from each other."""
    ends = [pin.start[:2] for pin in found]
    return len(found), math.dist(ends[0], ends[-1]) if found else 0.0


def _lengths(glue: Glue) -> list[float]:
    """Return lengths to try, the longest first: layers are thinner than pieces are wide."""
    least = LEAST_DIAMETERS * glue.pin_diameter_mm
    return [
        glue.pin_length_mm * share
        for share in (*SHORTER, *SHORTEST)
        if share in SHORTER or glue.pin_length_mm * share >= least
    ]


def _farthest(spots: Floats, least_mm: float) -> Numbers:
    """Return the two spots, (n, 2), that are about farthest apart; one, or none, if no more fit."""
    if not len(spots):
        return np.empty(0, dtype=np.intp)
    one = int(np.hypot(*(spots - spots.mean(axis=0)).T).argmax())
    gaps = np.hypot(*(spots - spots[one]).T)
    return np.array([one, gaps.argmax()] if gaps.max() >= least_mm else [one])


def _grid(room: Geometry) -> Floats:
    """Return places, (n, 2), all over `room`, on whole millimetres."""
    if shapely.is_empty(room):
        return np.empty((0, 2))
    x0, y0, x1, y1 = np.ceil(shapely.bounds(room)).tolist()
    step = max(PITCH_MM, math.ceil(max(x1 - x0, y1 - y0) / 100))
    xs, ys = np.meshgrid(np.arange(x0, x1 + 1, step), np.arange(y0, y1 + 1, step))
    spots = np.c_[xs.ravel(), ys.ravel()]
    shapely.prepare(room)
    return np.asarray(spots[shapely.contains_xy(room, spots)])
