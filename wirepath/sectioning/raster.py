"""A form on a raster: how high it stands in each cell, how long a seam along each line is.

The raster only serves to compare seams quickly. It errs to the safe side: a cell is as
high as the form is anywhere in it, so what fits on the raster fits in truth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, Polygon

from wirepath import overlay

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

SHUNNED_TIMES = 1000.0
"""How many times its length a seam right over another one counts: only where it must be."""

_INSIDE_MM = 1e-6
"""Cells are shrunk by this, so that a form that only touches a cell does not count in it."""

_GRAZE_MM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A form, or a layer of one, seen from the front: what is parted in plan.

    `steps` are (region, height) from the bottom to the top: nothing stands higher than
    `height` outside the regions of the later steps. Heights are above the body's back.
    A body that is covered by square cells may be in several parts.
    """

    outline: Geometry
    steps: tuple[tuple[Geometry, float], ...]

    def within(self, part: Geometry) -> Body:
        """Return what of the body stands on `part`, a share of its outline."""
        steps = [(overlay.intersection(region, part), top) for region, top in self.steps[1:]]
        own = [(part, self.steps[0][1]), *(one for one in steps if shapely.area(one[0]) > 1e-3)]
        return Body(outline=part, steps=tuple(own))

    def volume_mm3(self, part: Geometry) -> float:
        """Return the volume of what stands on `part`, each place as high as it may be."""
        regions = overlay.intersection(np.array([region for region, _ in self.steps]), part)
        rises = np.diff([0.0, *(top for _, top in self.steps)])
        return float(shapely.area(regions) @ rises)

    def height_mm(self, part: Geometry) -> float:
        """Return how high the body stands anywhere in `part`."""
        height = self.steps[0][1]
        for region, top in self.steps[1:]:
            if shapely.area(overlay.intersection(region, part)) <= 1e-3:
                break
            height = top
        return height


@dataclass(frozen=True, slots=True, kw_only=True)
class Raster:
    """n columns and m rows of cells between the lines `xs` (n + 1,) and `ys` (m + 1,), mm."""

    xs: Floats
    ys: Floats
    top: Floats
    """(n, m): height of the body in each cell, mm; 0 where there is none."""
    rise: Floats
    """(n + 1, m): length of a seam along xs[i] in row j, mm, places to avoid and necks dearer."""
    run: Floats
    """(n, m + 1): length of a seam along ys[j] in column i, mm."""
    rise_barred: Bools
    run_barred: Bools


def raster_of(
    body: Body,
    xs: Floats,
    ys: Floats,
    *,
    barred: Sequence[Polygon] = (),
    shunned: Sequence[LineString] = (),
    lap_mm: float = 0.0,
    least_mm: float = 0.0,
    weak_mm: float = 0.0,
) -> Raster:
    """Return the body on the raster of `xs` and `ys`.

    No seam may run in `barred`. A seam that runs along one of `shunned`, nearer than
    `lap_mm` to it, counts SHUNNED_TIMES its length; one that crosses it does not. Where
    a line crosses the body on less than `least_mm`, a neck or a tip, it counts `weak_mm` more.
    """
    top = np.zeros((len(xs) - 1, len(ys) - 1))
    cells = shapely.box(
        xs[:-1, None] + _INSIDE_MM,
        ys[None, :-1] + _INSIDE_MM,
        xs[1:, None] - _INSIDE_MM,
        ys[None, 1:] - _INSIDE_MM,
    )
    for region, height in body.steps:
        shapely.prepare(region)
        top[shapely.intersects(region, cells)] = height
    upright, level = _lines(xs, ys), _lines(ys, xs, swapped=True)
    closed = overlay.intersection(overlay.union(list(barred)), body.outline)
    rise = _lengths(body.outline, upright, ys, 1, least_mm, weak_mm)
    run = _lengths(body.outline, level, xs, 0, least_mm, weak_mm)
    near_rise = _near(shunned, lap_mm, upright=True)
    near_run = _near(shunned, lap_mm, upright=False)
    extra = SHUNNED_TIMES - 1
    if near_rise is not None:
        near = overlay.intersection(near_rise, body.outline)
        rise = rise + extra * _lengths(near, upright, ys, 1)
    if near_run is not None:
        near = overlay.intersection(near_run, body.outline)
        run = run + extra * _lengths(near, level, xs, 0)
    return Raster(
        xs=xs,
        ys=ys,
        top=top,
        rise=rise,
        run=run.T,
        rise_barred=_lengths(closed, upright, ys, 1) > _INSIDE_MM,
        run_barred=(_lengths(closed, level, xs, 0) > _INSIDE_MM).T,
    )


def _lines(at: Floats, span: Floats, *, swapped: bool = False) -> NDArray[np.object_]:
    ends = np.broadcast_to(span[[0, -1]], (len(at), 2))
    fixed = np.broadcast_to(at[:, None], (len(at), 2))
    corners = np.stack([ends, fixed] if swapped else [fixed, ends], axis=-1)
    return np.asarray(shapely.linestrings(corners))


def _lengths(
    area: Geometry,
    lines: NDArray[np.object_],
    cuts: Floats,
    axis: int,
    least_mm: float = 0.0,
    weak_mm: float = 0.0,
) -> Floats:
    """Return the length of each line within `area` between neighbouring `cuts`: (lines, cells).

    Stretches shorter than `least_mm` are `weak_mm` longer.
    """
    found = np.zeros((len(lines), len(cuts) - 1))
    parts, line = shapely.get_parts(overlay.intersection(area, lines), return_index=True)
    if not len(parts):
        return found
    bounds = shapely.bounds(parts)
    low, high = bounds[:, axis, None], bounds[:, axis + 2, None]
    overlap = np.clip(np.minimum(high, cuts[None, 1:]) - np.maximum(low, cuts[None, :-1]), 0, None)
    # A line that only grazes the rim crosses nothing.
    weak = (high - low < least_mm) & (high - low > _GRAZE_MM)
    longer = np.where(weak, 1.0 + weak_mm / np.maximum(high - low, _GRAZE_MM), 1.0)
    np.add.at(found, line, np.nan_to_num(overlap * longer))
    return found


def _near(lines: Sequence[LineString], lap_mm: float, *, upright: bool) -> Geometry | None:
    """Return where a seam in the direction asked for would run along one of `lines`."""
    along = []
    for line in lines:
        x0, y0, x1, y1 = line.bounds
        if (y1 - y0 > x1 - x0) == upright:
            along.append(line.buffer(lap_mm, cap_style="flat"))
    return overlay.union(along) if along else None
