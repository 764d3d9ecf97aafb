"""Outlines from several sides -> what is left where every section is rounded to an ellipse."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, MultiPolygon, Polygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.slicing.hull import REACH_MM

CELL_MM = 5.0
"""Cells in which the form is looked at: a small share of a pin's cover."""

MOST_CELLS = 240
"""A form larger than so many cells one way is looked at in larger ones."""

RISE_MM = 5.0
"""Between heights looked at."""

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Views:
    """A form's outlines: front has x and y, side z and y, top x and z, off its lowest point."""

    front: Geometry
    side: Geometry | None
    top: Geometry | None


@lru_cache(maxsize=64)
def rounded(views: Views, low_mm: float, high_mm: float) -> Geometry:
    """Return where the form, its sections rounded, stands all the way between two heights.

    Two outlines that share an axis allow a box at each place on it; an ellipse inscribed in
    the box is taken to stay. All cells of a grid count whose four corners stay.
    """
    x0, y0, x1, y1 = shapely.bounds(views.front).tolist()
    step = max(CELL_MM, max(x1 - x0, y1 - y0) / MOST_CELLS)
    xs = _places(x0, x1, step, views.front, views.top, axis=0)
    ys = _places(y0, y1, step, views.front, views.side, axis=1)
    heights = np.linspace(low_mm, high_mm, max(2, int((high_mm - low_mm) / RISE_MM) + 1))
    stays = np.ones((len(ys), len(xs)), dtype=np.bool_)
    if views.side is not None:
        # At a height along y: x by the front, z by the side. At z: y by the side, x by the top.
        stays &= _within(
            _off(spans(views.front, ys, along="x"), xs),
            _off(spans(views.side, ys, along="x"), heights).max(axis=1)[:, None],
        )
    if views.top is not None:
        across = _off(spans(views.front, xs, along="y"), ys).T
        stays &= _within(across, _off(spans(views.top, xs, along="y"), heights).max(axis=1)[None])
    if views.side is not None and views.top is not None:
        up = _off(spans(views.side, heights, along="y"), ys)
        right = _off(spans(views.top, heights, along="x"), xs)
        for one, other in zip(up, right, strict=True):
            stays &= _within(one[:, None], other[None])
    return _united(stays, xs, ys)


def _places(
    low: float, high: float, step: float, one: Geometry, other: Geometry | None, *, axis: int
) -> Floats:
    """Return places no more than a step apart, every corner of the outlines among them: between
    two of them all lines are straight."""
    corners = [shapely.get_coordinates(outline)[:, axis] for outline in (one, other) if outline]
    return np.unique(np.round(np.r_[np.arange(low, high, step), high, *corners], 3))


def _within(one: Floats, other: Floats) -> Flags:
    flags: Flags = one**2 + other**2 <= 1.0
    return flags


def spans(outline: Geometry, places: Floats, *, along: str) -> list[Floats]:
    """Return for each place the stretches, (m, 2), of a line through the outline.

    Lines run along x at places on y, or along y at places on x.
    """
    flat = np.empty((len(places), 2, 2))
    at, on = (0, 1) if along == "x" else (1, 0)
    flat[:, 0, at], flat[:, 1, at] = -REACH_MM, REACH_MM
    flat[:, :, on] = places[:, None]
    met = np.asarray(overlay.intersection(outline, shapely.linestrings(flat)))
    found = []
    for one in met:
        parts = shapely.get_parts(one)
        bounds = shapely.bounds(parts[shapely.length(parts) > 0])
        found.append(bounds[:, [at, at + 2]])
    return found


def _off(stretches: list[Floats], places: Floats) -> Floats:
    """Return how far each place lies off the middle of its stretch, in halves of it: (n, m).

    1 at its ends, infinite outside all stretches.
    """
    found = np.full((len(stretches), len(places)), np.inf)
    for row, own in zip(found, stretches, strict=True):
        for start, end in own:
            inside = (places >= start) & (places <= end)
            row[inside] = np.abs(2 * places[inside] - start - end) / (end - start)
    return found


def _united(stays: Flags, xs: Floats, ys: Floats) -> Geometry:
    """Return the cells whose corners all stay as areas: row by row, each run a rectangle."""
    cells = stays[:-1, :-1] & stays[1:, :-1] & stays[:-1, 1:] & stays[1:, 1:]
    edges = np.diff(np.pad(cells, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    rows, starts = np.nonzero(edges == 1)
    _, ends = np.nonzero(edges == -1)
    if not len(rows):
        return Polygon()
    runs = shapely.box(xs[starts], ys[rows], xs[ends], ys[rows + 1])
    return MultiPolygon(polygons(overlay.union(runs)))
