"""A form as a stack of levels: made, clipped to a blank, measured, grown by the allowance."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon, box

from wirepath import overlay
from wirepath.errors import DrawingError, Fault
from wirepath.forming import levels as levels_of
from wirepath.geometry import polygons
from wirepath.model import Blank, Contour, Level
from wirepath.simplifying import few_corners

Floats = NDArray[np.float64]

QUAD_SEGS = 6
"""Straight pieces to a quarter circle of a grown region."""

OUTWARD = 1.012 / math.cos(1.5 * math.pi / (4 * QUAD_SEGS))
"""Growing by this much more makes up for chords inside the arc, and for GEOS, which
straightens a line by up to 1 % of the distance before it offsets it. GEOS rounds the
number of chords of an arc, so one chord may span one and a half of the regular ones."""

ROUNDING_MM = 1e-6
"""What regions clipped alike may stand out of each other."""

SLICE_MM = 5.0
"""Volumes are sums of sections this far apart, at the middle of each slice."""


def raised(outline: Geometry, contours: Sequence[Contour], *, peak_mm: float) -> tuple[Level, ...]:
    """Return a relief's levels (`forming.levels`) up to its peak, without empty ones.

    Raises DrawingError where a contour stands above the peak.
    """
    highest = max((contour.height_mm for contour in contours), default=0.0)
    if highest > peak_mm:
        raise DrawingError(
            Fault(
                f"a contour stands at {highest:g} mm, above the peak of {peak_mm:g} mm",
                "form.peak_mm",
                "give the height of the highest point",
            )
        )
    stack = levels_of(outline, contours, top_mm=peak_mm)
    return tuple(level for level in stack if not shapely.is_empty(level.region))


def sloped(steps: Sequence[Level], *, allowance_mm: float, parts: int = 3) -> tuple[Level, ...]:
    """Return a relief's levels, given as steps, with the surface straight between contours.

    Each gap between two contours is parted into `parts`: a point stands where its
    distances to the lower and the upper line put it. A hill without a higher contour in it
    stays a step. The true surface may lie higher by up to the contours' spacing, so
    DrawingError is raised where that is more than the allowance: a cut could then go below
    the form itself.
    """
    widest = max(level.to_mm - level.from_mm for level in steps)
    if widest > allowance_mm + 1e-9:
        raise DrawingError(
            Fault(
                f"contours up to {widest:g} mm apart cannot be joined by straight slopes under "
                f"an allowance of {allowance_mm:g} mm: the wire could cut into the form",
                "roughing.between_contours",
                "draw more contours (of a mesh: a lower mesh_step_mm), leave more allowance, or "
                "take the contours as steps",
            )
        )
    levels: list[Level] = []
    for level, upper in zip(steps, [*steps[1:], None], strict=True):
        if upper is None:
            levels.append(level)
            continue
        rise = (level.to_mm - level.from_mm) / parts
        for k in range(parts):
            region = level.region if k == 0 else _slope(level.region, upper.region, k / parts)
            low = level.from_mm + k * rise
            levels.append(Level(from_mm=low, to_mm=low + rise, region=region))
    return tuple(levels)


def _slope(lower: Geometry, upper: Geometry, share: float) -> Geometry:
    """Return where slopes from the rims of `lower` to what of `upper` is in them reach `share`."""
    found = []
    for part in polygons(lower):
        inside = polygons(overlay.intersection(upper, part))
        found.append(_between(part, overlay.union(inside), share) if inside else part)
    return shapely.multipolygons(polygons(overlay.union(found)))


def with_few_corners(levels: Sequence[Level], tolerance_mm: float) -> tuple[Level, ...]:
    """Return levels that cover the given ones, with fewer corners, nowhere farther out."""
    return tuple(
        Level(
            from_mm=level.from_mm,
            to_mm=level.to_mm,
            region=shapely.multipolygons(
                polygons(
                    shapely.union_all(
                        [
                            few_corners(part, tolerance_mm=tolerance_mm)
                            for part in polygons(level.region)
                        ]
                    )
                )
            ),
        )
        for level in levels
    )


def frame(blank: Blank) -> Polygon:
    """Return the blank's face in the form's x, y."""
    return box(blank.x_mm, blank.y_mm, blank.x_mm + blank.width_mm, blank.y_mm + blank.height_mm)


def foam_at(blank: Blank, heights: Floats) -> NDArray[np.object_]:
    """Return where the blank is foam at each height (n,), (n,)."""
    if not blank.foam:
        return np.full(len(heights), frame(blank), dtype=object)
    low = np.array([prism.from_mm for prism in blank.foam])
    high = np.array([prism.to_mm for prism in blank.foam])
    here = (low <= heights[:, None]) & (heights[:, None] <= high)
    regions = np.array([prism.region for prism in blank.foam])
    found = {row.tobytes(): shapely.union_all(regions[row]) for row in np.unique(here, axis=0)}
    return np.array([found[row.tobytes()] for row in here])


def clipped(levels: Sequence[Level], blank: Blank, margin_mm: float) -> tuple[Level, ...]:
    """Return what of a form stands in the blank's foam or within `margin_mm` of it."""
    m = margin_mm
    foam = shapely.union_all([p.region for p in blank.foam]) if blank.foam else frame(blank)
    near = grown(foam, m) if blank.foam else shapely.buffer(foam, m, join_style="mitre")
    low, high = blank.from_mm - m, blank.from_mm + blank.thickness_mm + m
    found = []
    for level in levels:
        if level.to_mm <= low or level.from_mm >= high:
            continue
        region = shapely.intersection(level.region, near)
        if region.area > 0:
            found.append(
                Level(
                    from_mm=max(level.from_mm, low),
                    to_mm=min(level.to_mm, high),
                    region=shapely.multipolygons(polygons(region)),
                )
            )
    return tuple(found)


def grown(geometry: Geometry, by_mm: float) -> Geometry:
    """Return a region grown by at least `by_mm`, by at most 3.2 % more, with round corners."""
    if by_mm <= 0.0:
        return geometry
    return shapely.buffer(geometry, by_mm * OUTWARD, quad_segs=QUAD_SEGS)


def grown_sections(levels: Sequence[Level], by_mm: float, heights: Floats) -> NDArray[np.object_]:
    """Return the sections at heights (n,), mm, of the stack grown by a ball of radius `by_mm`."""
    regions = np.array([level.region for level in levels], dtype=object)
    low = np.array([level.from_mm for level in levels])
    high = np.array([level.to_mm for level in levels])
    z = heights[:, None]
    beyond = np.maximum(np.maximum(low - z, z - high), 0.0)
    near = (beyond < by_mm) | (beyond == 0.0)
    if (low[1:] == high[:-1]).all() and _is_nested(regions):
        # What stands on a level reaches nowhere that the level itself, nearer, does not.
        near &= (low <= z) | (np.arange(len(levels)) == 0)
    row, column = np.nonzero(near)
    radius = np.sqrt(np.maximum(by_mm**2 - beyond[row, column] ** 2, 0.0))
    discs = shapely.buffer(regions[column], radius, quad_segs=QUAD_SEGS)
    return np.array([shapely.union_all(discs[row == k]) for k in range(len(heights))], dtype=object)


def _is_nested(regions: NDArray[np.object_]) -> bool:
    """Return whether each region lies in the one before, but for rounding."""
    beside = ~shapely.covers(regions[:-1], regions[1:])
    wider = shapely.buffer(regions[:-1][beside], ROUNDING_MM)
    return bool(shapely.covers(wider, regions[1:][beside]).all())


def slices(low_mm: float, high_mm: float, thickness_mm: float = SLICE_MM) -> tuple[Floats, float]:
    """Return the middle heights of equal slices (n,), and how thick each is, in mm."""
    count = max(1, math.ceil((high_mm - low_mm) / thickness_mm - 1e-9))
    step = (high_mm - low_mm) / count
    return np.asarray(low_mm + step * (np.arange(count) + 0.5), dtype=np.float64), step


def volume_mm3(levels: Sequence[Level]) -> float:
    """Return the volume of the stack."""
    return float(sum((one.to_mm - one.from_mm) * float(shapely.area(one.region)) for one in levels))


def least_volume_mm3(levels: Sequence[Level]) -> float:
    """Return the least a relief can hold: each level only as much as the next one's region."""
    areas = [*(float(shapely.area(one.region)) for one in levels[1:]), 0.0]
    return float(sum((one.to_mm - one.from_mm) * a for one, a in zip(levels, areas, strict=True)))


def grown_volume_mm3(levels: Sequence[Level], by_mm: float, blank: Blank) -> float:
    """Return how much of the blank the stack grown by a ball fills."""
    heights, step = slices(blank.from_mm, blank.from_mm + blank.thickness_mm)
    grown_at = grown_sections(levels, by_mm, heights)
    areas = np.asarray(shapely.area(shapely.intersection(grown_at, foam_at(blank, heights))))
    return step * float(sum(areas.tolist()))


def hollows(levels: Sequence[Level]) -> tuple[tuple[float, Polygon], ...]:
    """Return hollow places as (litres below the rim, widest hole), the largest first.

    A hollow is a hole in a level's region that the level below fills: a dip with a rim all
    round. Holes that go through to the back are holes of the outline, not hollows.
    """
    through = shapely.union_all([_holes(levels[0].region)]) if levels else Polygon()
    found: list[tuple[float, Polygon]] = []
    dips: list[tuple[float, Polygon]] = []
    for level in levels[1:]:
        for hole in polygons(shapely.difference(_holes(level.region), through)):
            dips.append(((level.to_mm - level.from_mm) * hole.area / 1e6, hole))
    for place in polygons(shapely.union_all([hole for _, hole in dips])):
        litres = sum(amount for amount, hole in dips if place.intersects(hole))
        found.append((litres, place))
    return tuple(sorted(found, key=lambda one: -one[0]))


def _holes(region: Geometry) -> Geometry:
    return shapely.union_all(
        [Polygon(ring) for part in polygons(region) for ring in part.interiors]
    )


def _between(lower: Geometry, upper: Geometry, share: float) -> Geometry:
    """Return where a straight slope from the rim of `lower` to `upper` has reached `share`.

    That is where (distance to the rim) >= share * (distance to the rim + to `upper`):
    the union over s of `upper` grown by s within `lower` shrunk by s * share / (1 - share).
    Between the values of s tried, the larger one grows and the smaller one shrinks, so that
    the answer is rather too large.
    """
    tries = np.linspace(0, shapely.hausdorff_distance(lower, upper), 17)
    found = [upper]
    for less, more in itertools.pairwise(tries):
        inner = shapely.buffer(lower, -less * share / (1 - share), quad_segs=QUAD_SEGS)
        if inner.is_empty:
            break
        found.append(shapely.intersection(grown(upper, more), inner))
    return shapely.union_all(found)
