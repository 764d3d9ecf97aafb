"""How high a form may stand, measured from outlines and contours alone.

Contours bound a form: where it stands at least as high as one, it stands no higher than
the next. So the form lies between two stacks of regions, one level apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import lru_cache

import numpy as np
import shapely
from shapely import Geometry, Polygon, box

from wirepath import overlay
from wirepath.checking.bare import Bare, before_edges
from wirepath.checking.finding import BUFFER_SHARE, DEPTH_MM
from wirepath.geometry import polygons
from wirepath.model import Contour, Job, Outline, PartSettings, Plan

CORNER_REACH = 10.0
"""An allowance's sharp corner may stand out this many times its width: corners from 12 deg."""

ON_SIDE_MM = 1e-5
"""Corners no farther from a side of a form's extent lie on it."""

ALL_ROUND = Bare()


@dataclass(frozen=True, slots=True, kw_only=True)
class Storey:
    """Between two heights off the back, allowance included: where the form may stand.

    `region` is at finished size; foam must stand all over `least` and nowhere outside
    `most`. They are `region` widened by the allowance: round, less the tolerance, and
    sharp, plus the tolerance. Without an allowance all three are the same.
    """

    from_mm: float
    to_mm: float
    region: Geometry
    least: Geometry
    most: Geometry


def settings_of(job: Job, name: str) -> list[PartSettings]:
    """Return the job's settings for outlines called `name`: an exact name beats patterns.

    Where several patterns suit, the check takes any of them for right.
    """
    exact = [part for part in job.parts if part.name == name]
    return exact or [part for part in job.parts if fnmatchcase(name, part.name)]


def heights_asked(job: Job, name: str) -> set[float]:
    """Return how far the forms called `name` may stand off the back when finished, in mm."""
    form = job.form
    asked = {
        "flat": form.thickness_mm,
        "profile": form.length_mm,
        "relief": form.peak_mm,
        "full round": form.layer_mm,
    }[form.kind]
    own = {part.thickness_mm for part in settings_of(job, name) if part.thickness_mm is not None}
    return own or ({asked} if asked is not None else set())


def over_front_mm(plan: Plan) -> float:
    """Return the foam left on over the front: only reliefs are carved there."""
    return plan.job.form.allowance_mm if plan.job.form.kind == "relief" else 0.0


def levels(plan: Plan, outline: Outline, height_mm: float) -> list[tuple[float, float, Geometry]]:
    """Return (from, to, region) from the back up: where the finished form may stand.

    A contour that is not inside this outline bounds another form.
    """
    relief = plan.job.form.kind == "relief"
    return list(_stacked(outline.polygon, plan.traced.contours if relief else (), height_mm))


@lru_cache(maxsize=32)
def _stacked(
    outline: Polygon, contours: tuple[Contour, ...], height_mm: float
) -> tuple[tuple[float, float, Geometry], ...]:
    """Return the stack of `levels`; kept, for every piece and every pin asks for the same one."""
    own = [
        (contour.height_mm, shape)
        for contour in contours
        if 0 < contour.height_mm < height_mm and (shape := _common(contour.region, outline))
    ]
    floors: list[tuple[float, Geometry]] = []
    above: Geometry = Polygon()
    for height in sorted({height for height, _ in own}, reverse=True):
        above = overlay.union([above, *(shape for least, shape in own if least == height)])
        floors.insert(0, (height, above))
    floors.insert(0, (0.0, outline))
    tops = [height for height, _ in floors[1:]] + [height_mm]
    return tuple((low, top, region) for (low, region), top in zip(floors, tops, strict=True))


def storeys(plan: Plan, outline: Outline, height_mm: float) -> tuple[Storey, ...]:
    """Return the form called after `outline` with its allowance, from the back up."""
    allowance, over = plan.job.form.allowance_mm, over_front_mm(plan)
    return tuple(
        Storey(
            from_mm=low + over if low else 0.0,
            to_mm=top + over,
            region=region,
            least=least_grown(region, allowance, beyond(plan, outline)),
            most=most_grown(region, allowance, beyond(plan, outline)),
        )
        for low, top, region in levels(plan, outline, height_mm)
    )


def beyond(plan: Plan, outline: Outline) -> Bare:
    """Return where no foam is to be left for carving: before edges that the drawing marks, and
    beyond a form's extent at finished sides.

    A side counts where its outline runs along it for a millimetre or more.
    """
    if plan.traced.finished_lines:
        allowance = plan.job.form.allowance_mm
        return before_edges(outline.polygon, plan.traced.finished_lines, allowance)
    reach = CORNER_REACH * plan.job.form.allowance_mm + 1.0
    west, south, east, north = outline.polygon.bounds
    strips = {
        "left": box(west - reach, south - reach, west, north + reach),
        "right": box(east, south - reach, east + reach, north + reach),
        "lower": box(west - reach, south - reach, east + reach, south),
        "upper": box(west - reach, north, east + reach, north + reach),
    }
    own = settings_of(plan.job, outline.name)
    sides = own[0].finished_sides if own else None
    asked = plan.job.form.finished_sides if sides is None else sides
    found: Geometry = overlay.union(
        [strips[side] for side in asked if _length_on(outline.polygon, strips[side]) >= 1.0]
    )
    return Bare(free=found, barred=shapely.buffer(found, -DEPTH_MM))


def _length_on(polygon: Polygon, strip: Polygon) -> float:
    """Return the length of all edges of which both ends lie on a strip, but for rounding."""
    ring = shapely.get_coordinates(polygon.exterior)
    ends = np.asarray(shapely.points(ring))
    on = shapely.dwithin(strip, ends, ON_SIDE_MM)
    return float(np.hypot(*np.diff(ring, axis=0)[on[:-1] & on[1:]].T).sum())


def least_grown(region: Geometry, allowance_mm: float, bare: Bare = ALL_ROUND) -> Geometry:
    """Return the least that counts as `region` widened: round corners, less the tolerance."""
    if not allowance_mm:
        return region
    grown: Geometry = shapely.buffer(region, allowance_mm - _slack(allowance_mm))
    if shapely.is_empty(bare.free):
        return grown
    owed = overlay.intersection(grown, bare.owed)
    return _united([overlay.difference(grown, bare.free), owed, region])


def most_grown(region: Geometry, allowance_mm: float, bare: Bare = ALL_ROUND) -> Geometry:
    """Return the most that counts as `region` widened: sharp corners, plus the tolerance."""
    if not allowance_mm:
        return region
    grown: Geometry = shapely.buffer(
        region,
        allowance_mm + _slack(allowance_mm),
        join_style="mitre",
        mitre_limit=CORNER_REACH,
    )
    return grown if shapely.is_empty(bare.barred) else overlay.difference(grown, bare.barred)


def _united(regions: Sequence[Geometry]) -> Geometry:
    found: Geometry = overlay.union(regions)
    return found


def _slack(allowance_mm: float) -> float:
    return DEPTH_MM + allowance_mm * BUFFER_SHARE


def middle_volume_mm3(plan: Plan, outline: Outline, height_mm: float) -> float:
    """Return the middle between the most and the least that contours leave a form.

    Most: each region stands up to the next contour. Least: it ends at its own.
    """
    stacked = levels(plan, outline, height_mm)
    areas = [float(shapely.area(region)) for _, _, region in stacked]
    return sum(
        (top - low) * (here + above) / 2
        for (low, top, _), here, above in zip(stacked, areas, [*areas[1:], 0.0], strict=True)
    )


def _common(one: Geometry, other: Geometry) -> Geometry | None:
    """Return what two regions share, without lines and points; None for nothing."""
    shared = polygons(overlay.intersection(one, other))
    return overlay.union(shared) if shared else None
