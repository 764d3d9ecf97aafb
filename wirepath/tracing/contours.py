"""Contours of a relief: what height each stands at, and whether they can be true."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from wirepath import overlay
from wirepath.model import Contour, Reading
from wirepath.tracing.drawing import Curve
from wirepath.tracing.faults import Flaw
from wirepath.tracing.sizing import matches


def figures(curves: Sequence[Curve], mm_per_unit: float, reading: Reading) -> list[float | None]:
    """Return the figure of each curve in mm, as drawn or written; None where it has none.

    From the table of layers, else from the layer's name, else the elevation, which is
    scaled as x and y are.
    """
    return [_figure(curve, mm_per_unit, reading) for curve in curves]


def sense_flaws(reading: Reading) -> list[Flaw]:
    """Return what is missing to make heights of figures: never guessed."""
    if reading.heights is None:
        return [
            Flaw(
                what="contours are read, but not whether their figures are heights or depths",
                where="read.heights",
                mend="write heights = 'from the back' or heights = 'from the front'",
            )
        ]
    if reading.heights == "from the front" and reading.front_mm is None:
        return [
            Flaw(
                what="depths from the front need to know how far the front is off the back",
                where="read.front_mm",
                mend="write front_mm = that distance in mm",
            )
        ]
    return []


def height_of(figure: float, reading: Reading) -> float:
    """Return the height above the back for a contour's figure.

    From the front, depths may be written as they are or as elevations below nought.
    """
    if reading.heights == "from the front" and reading.front_mm is not None:
        return reading.front_mm - abs(figure)
    return figure


def in_order(levels: dict[float, list[Polygon]]) -> tuple[Contour, ...]:
    """Return the regions as contours, lowest first, those of a height in the order given."""
    return tuple(
        Contour(height_mm=height, region=region)
        for height in sorted(levels)
        for region in levels[height]
    )


def nesting_flaws(
    levels: dict[float, list[Polygon]], outlines: Sequence[Polygon], tolerance_mm: float
) -> list[Flaw]:
    """Return a flaw for each contour that does not lie inside the next lower ones.

    A relief has one height at every place, so what stands at least at a height stands
    at least at every lower one. Each outline is a relief of its own, at heights of its own.
    """
    heights = sorted(levels)
    flaws = [
        Flaw(
            what=f"a contour stands at {height:g} mm, behind the flat back",
            at=_inside(levels[height][0]),
            mend="check heights, front_mm and the contour's figure",
        )
        for height in heights
        if height < 0
    ]
    for own in _by_outline(levels, outlines):
        flaws += _unnested(own, tolerance_mm)
    return flaws


def _by_outline(
    levels: dict[float, list[Polygon]], outlines: Sequence[Polygon]
) -> list[dict[float, list[Polygon]]]:
    """Return the levels of each outline, and of what lies in none."""
    found: list[dict[float, list[Polygon]]] = [{} for _ in range(len(outlines) + 1)]
    holders = sorted(enumerate(outlines), key=lambda one: one[1].area)
    for height in sorted(levels):
        for region in levels[height]:
            spot = shapely.point_on_surface(region)
            place = next((k for k, outline in holders if outline.covers(spot)), -1)
            found[place].setdefault(height, []).append(region)
    return found


def _unnested(levels: dict[float, list[Polygon]], tolerance_mm: float) -> list[Flaw]:
    flaws = []
    for lower, upper in itertools.pairwise(sorted(levels)):
        ground = shapely.union_all(levels[lower])
        shapely.prepare(ground)
        for region in levels[upper]:
            if ground.covers(region):
                continue
            outside = overlay.difference(region, ground)
            if outside.area <= min(tolerance_mm * region.length, 0.01 * region.area):
                continue
            partly = ground.intersects(region) and outside.area < 0.999 * region.area
            lies = "crosses" if partly else "lies outside"
            flaws.append(
                Flaw(
                    what=f"the contour at {upper:g} mm {lies} the next lower one, at {lower:g} mm",
                    at=_inside(outside),
                    mend="redraw one of them, or check their heights",
                )
            )
    return flaws


def _figure(curve: Curve, mm_per_unit: float, reading: Reading) -> float | None:
    for entry in reading.layer_heights:
        if matches(curve.layer, (entry.layer,)):
            return entry.height_mm
    if reading.height_pattern is not None:
        before, _, after = reading.height_pattern.partition("{height}")
        match = re.fullmatch(
            re.escape(before) + r"([-+]?\d+(?:[.,_]\d+)?)" + re.escape(after),
            curve.layer,
            re.IGNORECASE,
        )
        return float(re.sub("[,_]", ".", match[1])) if match else None
    if reading.layer_heights or curve.z is None:
        return None
    # Files carry rounding: two ends of one contour may differ in the last figure.
    return round(curve.z * mm_per_unit, 4) + 0.0


def _inside(area: shapely.Geometry) -> tuple[float, float]:
    point = shapely.get_coordinates(shapely.point_on_surface(area))[0]
    x, y = (float(value) for value in np.asarray(point))
    return (x, y) if math.isfinite(x) else (0.0, 0.0)
