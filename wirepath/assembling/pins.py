"""Pins across the seams: deep in foam that stays, away from each other and from later wires.

All pins of one step lie along the way its lumps are pushed together, or the second pin
would keep the first from going in.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

from wirepath import overlay
from wirepath.geometry import seam_line
from wirepath.model import GlueStep, LaterWire, Level, Piece, Pin, Seam
from wirepath.workshop import Glue

PITCH_MM = 10.0
"""Between places tried along a seam; twice that over the area of a layer seam."""

RISE_MM = 20.0
"""Between heights tried at a seam: a pin's cover, so that what bars one bars not the next."""

APART_MM = 400.0
"""Most between pins of one seam (common practice, no source)."""

SHORTER = (1.0, 0.75, 0.5)
"""Shares of a pin's length that are tried where foam is thin."""

ASLANT = math.cos(math.radians(30.0))
"""A seam that the push crosses more slantingly than 30 degrees off square gets no pins."""

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Sure = Sequence[tuple[Geometry, float]]
"""(region, height): what stands for sure in the region up to the height, lowest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Site:
    """One form while its pins are found."""

    pieces: Mapping[int, Piece]
    sure: Sure
    later: Sequence[LaterWire]
    glue: Glue

    @property
    def around_mm(self) -> float:
        """From a pin's axis to where its cover ends."""
        return self.glue.pin_diameter_mm / 2 + self.glue.pin_cover_mm


def pins(
    pieces: Sequence[Piece],
    seams: Sequence[Seam],
    steps: Sequence[GlueStep],
    levels: Mapping[str, Sequence[Level]],
    glue: Glue,
    *,
    later: Mapping[str, Sequence[LaterWire]],
) -> tuple[Pin, ...]:
    """Return the pins of every step, numbered through, two or more a seam where they fit.

    Seams with no room for a pin have none: they are glued only.
    """
    by_number = {piece.number: piece for piece in pieces}
    found: list[Pin] = []
    placed: dict[str, Floats] = defaultdict(lambda: np.empty((0, 2, 3)))
    for step in steps:
        part = by_number[step.moved[0]].part
        site = _Site(
            pieces=by_number,
            sure=_sure(levels.get(part, ())),
            later=later.get(step.form, ()),
            glue=glue,
        )
        push = _push([seams[number - 1] for number in step.seams])
        for number in step.seams:
            seam = seams[number - 1]
            place = _along_edge if seam.kind == "edge" else _over_layer
            others = _near(placed[step.form], seam, glue)
            new = place(site, seam, push, others)
            for pin in new:
                found.append(replace(pin, number=len(found) + 1, seam=number))
            ends = np.array([(pin.start, pin.end) for pin in new]).reshape(-1, 2, 3)
            placed[step.form] = np.concatenate([placed[step.form], ends])
    return tuple(found)


def _near(placed: Floats, seam: Seam, glue: Glue) -> Floats:
    """Return those of the pins placed, (m, 2, 3), that a pin of the seam might be too near to."""
    reach = glue.pin_length_mm + glue.pin_diameter_mm + glue.pin_cover_mm
    bounds = np.array(shapely.bounds(seam.place))
    plan = placed[:, :, :2]
    near = (plan.min(axis=1) <= bounds[2:] + reach) & (plan.max(axis=1) >= bounds[:2] - reach)
    kept: Floats = placed[near.all(axis=1)]
    return kept


def _sure(levels: Sequence[Level]) -> Sure:
    """Return where foam stands for sure once carved: a contour's region up to its height.

    A form without contours is as it is drawn; of one without levels nothing is sure.
    """
    if len(levels) == 1:
        return [(levels[0].region, levels[0].to_mm)]
    return [(upper.region, lower.to_mm) for lower, upper in pairwise(levels)]


def _push(seams: Sequence[Seam]) -> Floats:
    """Return the way two lumps are pushed together, (3,): square to their largest seam."""
    largest = max(seams, key=lambda seam: (round(seam.area_mm2), seam.pieces))
    if largest.kind == "layer":
        return np.array([0.0, 0.0, 1.0])
    return _square_to(largest)


def _square_to(seam: Seam) -> Floats:
    """Return the direction square to an edge seam's chord, (3,); nought for a closed seam."""
    points = shapely.get_coordinates(seam_line(seam.place))
    dx, dy = points[-1] - points[0]
    length = math.hypot(dx, dy)
    return np.array([-dy, dx, 0.0]) / length if length > 1e-6 else np.zeros(3)


def _along_edge(site: _Site, seam: Seam, push: Floats, others: Floats) -> list[Pin]:
    """Return pins along an edge seam: the longest that fit twice, else the most that fit."""
    line = seam_line(seam.place)
    if abs(float(_square_to(seam) @ push)) < ASLANT:
        return []
    along = np.arange(PITCH_MM, line.length, PITCH_MM)
    middles = shapely.get_coordinates(shapely.line_interpolate_point(line, along))
    best: list[Pin] = []
    for share in SHORTER:
        half = site.glue.pin_length_mm * share / 2 * push
        flat = np.c_[middles, np.zeros(len(along))]
        covered = shapely.buffer(_segments(flat - half, flat + half), site.around_mm)
        # Pins lie level, so these hold at any height.
        may = _crosses(site, seam, flat - half, flat + half)
        may &= _in_both(site, seam, covered)
        tries = []
        for region, top in site.sure:
            low, high = seam.from_mm + site.around_mm, min(seam.to_mm, top) - site.around_mm
            if low > high or not len(along):
                continue
            shapely.prepare(region)
            inside = may.copy()
            inside[inside] = shapely.covers(region, covered[inside])
            heights = _heights(low, high)
            clear: list[Flags] = []
            for height in heights:
                middle = np.c_[middles, np.full(len(along), height)]
                fit = inside.copy()
                fit[fit] = _clear(site, (middle - half)[fit], (middle + half)[fit], others)
                clear.append(fit)
                if _is_spread(along, fit, inside, 2 * site.around_mm):
                    break
            # Last each place at its own height: harder to mark, but it may hold where none does.
            level = [np.full(len(along), height) for height in heights[: len(clear)]]
            mixed = heights[np.argmax(clear, axis=0)]
            for fit, at in zip([*clear, np.any(clear, axis=0)], [*level, mixed], strict=True):
                middle = np.c_[middles, at]
                picked = _spaced(along, fit, 2 * site.around_mm)
                tries.append(
                    [_pin(middle[k] - half, middle[k] + half, float(along[k])) for k in picked]
                )
        found = _best(tries, (seam.from_mm + seam.to_mm) / 2)
        if len(found) > len(best):
            best = found
        if len(best) > 1:
            break
    return best


def _heights(low_mm: float, high_mm: float) -> Floats:
    """Return heights to try, the middle first, then ever further off it; whole mm if they can."""
    middle = float(math.floor((low_mm + high_mm) / 2))
    if middle < low_mm:
        return np.array([(low_mm + high_mm) / 2])
    steps = np.arange(RISE_MM, (high_mm - low_mm) / 2 + 1.0, RISE_MM)
    tries = np.r_[middle, np.c_[middle - steps, middle + steps].ravel()]
    return np.asarray(tries[(tries >= low_mm) & (tries <= high_mm)])


def _is_spread(along: Floats, fit: Flags, inside: Flags, least_mm: float) -> bool:
    """Return whether pins where they fit stand far enough apart to look no further.

    Half as far as all places `inside` lie apart, and far enough for two pins if these do.
    """
    if not fit.any():
        return not inside.any()
    most = float(np.ptp(along[inside]))
    return float(np.ptp(along[fit])) >= max(most / 2, min(most, least_mm))


def _crosses(site: _Site, seam: Seam, start: Floats, end: Floats) -> Flags:
    """Return which pins lie half in one of the seam's pieces and half in the other, (n,)."""
    one, other = (site.pieces[number].outline.buffer(1e-3) for number in seam.pieces)
    middle = (start + end) / 2
    first, second = (_segments(ends, middle) for ends in (start, end))
    straight: Flags = shapely.covers(one, first) & shapely.covers(other, second)
    swapped: Flags = shapely.covers(other, first) & shapely.covers(one, second)
    return straight | swapped


def _in_both(site: _Site, seam: Seam, covered: NDArray[np.object_]) -> Flags:
    """Return which pins lie in the seam's two pieces together, cover and all, (n,)."""
    both = overlay.union([site.pieces[n].outline.buffer(1e-3) for n in seam.pieces])
    shapely.prepare(both)
    fit: Flags = shapely.covers(both, covered)
    return fit


def _over_layer(site: _Site, seam: Seam, push: Floats, others: Floats) -> list[Pin]:
    """Return two pins, far apart, through the area where a piece lies on another."""
    if push[2] == 0.0:
        return []
    below, above = sorted((site.pieces[n] for n in seam.pieces), key=lambda piece: piece.from_mm)
    best: list[Pin] = []
    for share in SHORTER:
        length = site.glue.pin_length_mm * share
        low, high = seam.from_mm - length / 2, seam.from_mm + length / 2
        cover = site.glue.pin_cover_mm
        region = next((region for region, top in site.sure if top >= high + cover), None)
        if (
            region is None
            or low - cover < below.from_mm
            or high + cover > above.from_mm + above.thickness_mm
        ):
            continue
        room = overlay.intersection(seam.place, region).buffer(-site.around_mm)
        spots = _grid(room)
        if not len(spots):
            continue
        start, end = (np.c_[spots, np.full(len(spots), z)] for z in (low, high))
        fit = np.flatnonzero(_clear(site, start, end, others))
        if not len(fit):
            continue
        free = spots[fit]
        one = int(np.hypot(*(free - free.mean(axis=0)).T).argmax())
        gaps = np.hypot(*(free - free[one]).T)
        picked = [one, int(gaps.argmax())] if gaps.max() >= 2 * site.around_mm else [one]
        found = [_pin(start[fit[k]], end[fit[k]], None) for k in picked]
        if len(found) > len(best):
            best = found
        if len(best) > 1:
            break
    return best


def _grid(room: Geometry) -> Floats:
    """Return places, (n, 2), all over `room`, on whole millimetres."""
    if shapely.is_empty(room):
        return np.empty((0, 2))
    x0, y0, x1, y1 = np.ceil(shapely.bounds(room)).tolist()
    step = max(2 * PITCH_MM, math.ceil(max(x1 - x0, y1 - y0) / 100))
    xs, ys = np.meshgrid(np.arange(x0, x1 + 1, step), np.arange(y0, y1 + 1, step))
    spots = np.c_[xs.ravel(), ys.ravel()]
    shapely.prepare(room)
    return np.asarray(spots[shapely.contains_xy(room, spots)])


def _clear(site: _Site, start: Floats, end: Floats, others: Floats) -> Flags:
    """Return which pins keep off later wires and other pins, (n,)."""
    fit = np.ones(len(start), dtype=np.bool_)
    for wire in site.later:
        view = np.array([wire.right, wire.up]).T
        least = site.glue.pin_clear_mm + site.glue.pin_diameter_mm / 2
        fit &= shapely.distance(_segments(start @ view, end @ view), wire.lines) >= least
    if len(others):
        least = site.glue.pin_diameter_mm + site.glue.pin_cover_mm
        low, high = others[:, :, 2].min(axis=1), others[:, :, 2].max(axis=1)
        beside = (np.minimum(start[:, 2], end[:, 2])[:, None] < high + least) & (
            np.maximum(start[:, 2], end[:, 2])[:, None] > low - least
        )
        near = shapely.distance(
            _segments(start, end)[:, None], _segments(others[:, 0], others[:, 1])[None]
        )
        fit &= ~((near < least) & beside).any(axis=1)
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


def _segments(start: Floats, end: Floats) -> NDArray[np.object_]:
    """Return straight lines in plan between points (n, 2 or 3), (n,)."""
    return np.asarray(shapely.linestrings(np.stack([start[:, :2], end[:, :2]], axis=1)))


def _pin(start: Floats, end: Floats, along_mm: float | None) -> Pin:
    first, last = ((float(x), float(y), float(z)) for x, y, z in (start, end))
    return Pin(number=0, seam=0, start=first, end=last, along_mm=along_mm)
