"""Pins across an edge seam: level, deep in foam that stays."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath import overlay
from wirepath.assembling.site import SHORTER, Flags, Floats, Site, clear, pin, segments
from wirepath.geometry import seam_line
from wirepath.model import Pin, Seam
from wirepath.slicing import Core

PITCH_MM = 10.0
"""Between places tried along a seam."""

RISE_MM = 20.0
"""Between heights tried at a seam: a pin's cover, so that what bars one bars not the next."""

APART_MM = 400.0
"""Most between pins of one seam (common practice, no source)."""

ASLANT = math.cos(math.radians(30.0))
"""A seam that the push crosses more slantingly than 30 degrees off square gets no pins."""


def square_to(seam: Seam) -> Floats:
    """Return the direction square to an edge seam's chord, (3,); nought for a closed seam."""
    points = shapely.get_coordinates(seam_line(seam.place))
    dx, dy = points[-1] - points[0]
    length = math.hypot(dx, dy)
    return np.array([-dy, dx, 0.0]) / length if length > 1e-6 else np.zeros(3)


def pins_along_edge(site: Site, seam: Seam, push: Floats, others: Floats) -> list[Pin]:
    """Return pins along an edge seam: the longest that fit twice, else the most that fit."""
    line = seam_line(seam.place)
    along = np.arange(PITCH_MM, line.length, PITCH_MM)
    if site.core is None or not len(along) or abs(float(square_to(seam) @ push)) < ASLANT:
        return []
    middles = shapely.get_coordinates(shapely.line_interpolate_point(line, along))
    heights = _heights(site, site.core, seam)
    best: list[Pin] = []
    for share in SHORTER:
        half = site.glue.pin_length_mm * share / 2 * push
        flat = np.c_[middles, np.zeros(len(along))]
        covered = shapely.buffer(segments(flat - half, flat + half), site.around_mm)
        # Pins lie level, so these hold at any height.
        may = _crosses(site, seam, flat - half, flat + half)
        may &= _in_both(site, seam, covered)
        fits: list[Flags] = []
        for height in heights.tolist() if may.any() else ():
            low, high = height - site.around_mm, height + site.around_mm
            fit = may.copy()
            fit[fit] = site.core.holds(covered[fit], low, high)
            middle = np.c_[middles, np.full(len(along), height)]
            fit[fit] = clear(site, (middle - half)[fit], (middle + half)[fit], others)
            fits.append(fit)
            if _is_spread(along, fit, may, 2 * site.around_mm):
                break
        if not fits:
            continue
        # Last each place at its own height: harder to mark, but it may hold where none does.
        levels = [np.full(len(along), height) for height in heights[: len(fits)]]
        levels.append(heights[np.argmax(fits, axis=0)])
        tries = []
        for fit, level in zip([*fits, np.any(fits, axis=0)], levels, strict=True):
            middle = np.c_[middles, level]
            picked = _spaced(along, fit, 2 * site.around_mm)
            tries.append([pin(middle[k] - half, middle[k] + half, float(along[k])) for k in picked])
        found = _best(tries, (seam.from_mm + seam.to_mm) / 2)
        if len(found) > len(best):
            best = found
        if len(best) > 1:
            break
    return best


def _heights(site: Site, core: Core, seam: Seam) -> Floats:
    """Return heights to try, nearest to the seam's middle first; whole millimetres if they can.

    In the middle between its foot and where less foam begins to stay, and in steps off it.
    """
    low = seam.from_mm + site.around_mm
    tries: list[float] = []
    for top in {seam.to_mm, *(top for top in core.tops if top < seam.to_mm)}:
        high = top - site.around_mm
        middle = float(math.floor((low + high) / 2))
        if middle < low <= high:
            tries.append((low + high) / 2)
        steps = np.arange(RISE_MM, (high - low) / 2 + 1.0, RISE_MM)
        levels = np.r_[middle, middle - steps, middle + steps]
        tries += levels[(levels >= low) & (levels <= high)].tolist()
    whole = (seam.from_mm + seam.to_mm) / 2
    return np.array(sorted(set(tries), key=lambda level: (abs(level - whole), level)))


def _is_spread(along: Floats, fit: Flags, may: Flags, least_mm: float) -> bool:
    """Return whether pins where they fit stand far enough apart to look no further.

    Half as far as all places where they may lie apart, and far enough for two pins if these do.
    """
    if not fit.any():
        return False
    most = float(np.ptp(along[may]))
    return float(np.ptp(along[fit])) >= max(most / 2, min(most, least_mm))


def _crosses(site: Site, seam: Seam, start: Floats, end: Floats) -> Flags:
    """Return which pins lie half in one of the seam's pieces and half in the other, (n,)."""
    one, other = (site.pieces[number].outline.buffer(1e-3) for number in seam.pieces)
    middle = (start + end) / 2
    first, second = (segments(ends, middle) for ends in (start, end))
    straight: Flags = shapely.covers(one, first) & shapely.covers(other, second)
    swapped: Flags = shapely.covers(other, first) & shapely.covers(one, second)
    return straight | swapped


def _in_both(site: Site, seam: Seam, covered: NDArray[np.object_]) -> Flags:
    """Return which pins lie in the seam's two pieces together, cover and all, (n,)."""
    both = overlay.union([site.pieces[n].outline.buffer(1e-3) for n in seam.pieces])
    shapely.prepare(both)
    fit: Flags = shapely.covers(both, covered)
    return fit


def _spaced(along: Floats, fit: Flags, least_mm: float) -> list[int]:
    """Return the first and the last place that fit and some between, none too near another."""
    free = np.flatnonzero(fit)
    if not len(free):
        return []
    span = float(along[free[-1]] - along[free[0]])
    if span < least_mm:
        return [int(free[len(free) // 2])]
    wanted = np.linspace(along[free[0]], along[free[-1]], math.ceil(span / APART_MM) + 1)
    picked: list[int] = []
    for place in wanted:
        k = int(free[np.abs(along[free] - place).argmin()])
        if not picked or along[k] - along[picked[-1]] >= least_mm:
            picked.append(k)
    return picked


def _best(tries: Sequence[list[Pin]], middle_mm: float) -> list[Pin]:
    """Return the pins nearest to the middle of the seam's height, of those spread well enough.

    Well enough is half as far as they could be.
    """
    most = max(((min(len(one), 2), _span(one)) for one in tries), default=(0, 0.0))
    good = [one for one in tries if one and len(one) >= most[0] and _span(one) >= most[1] / 2]
    return min(good, key=lambda one: abs(one[0].start[2] - middle_mm), default=[])


def _span(found: Sequence[Pin]) -> float:
    return (found[-1].along_mm or 0.0) - (found[0].along_mm or 0.0) if found else 0.0
