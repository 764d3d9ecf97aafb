"""A block before and after each cut, as sections; the wire's two ends along a path."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

from wirepath.model import Blank, RoughingCut, RoughingPlan
from wirepath.roughing.directions import chords
from wirepath.roughing.sections import Blade, blade, left_at
from wirepath.roughing.stack import slices

Floats = NDArray[np.float64]


def cuts_of(plan: RoughingPlan, blank: Blank) -> tuple[RoughingCut, ...]:
    """Return the cuts of one blank, in the order of work."""
    return tuple(cut for cut in plan.cuts if cut.blank == blank.number)


def layers_after(
    plan: RoughingPlan, blank: Blank, made: int, *, count: int = 16
) -> tuple[tuple[float, float, Geometry], ...]:
    """Return what stands of a blank after its first `made` cuts, in `count` layers from the
    back: (from, to, section at the middle), mm, in the form's frame."""
    blades = [_blade_of(cut, plan.kerf_mm) for cut in cuts_of(plan, blank)[:made]]
    heights, step = slices(
        blank.from_mm, blank.from_mm + blank.thickness_mm, blank.thickness_mm / count
    )
    return tuple(
        (float(z - step / 2), float(z + step / 2), left_at(blank, blades, float(z))[-1])
        for z in heights
    )


def wire_ends(cut: RoughingCut, blank: Blank) -> tuple[tuple[Floats, Floats], ...]:
    """Return for each line of a cut where the wire's two ends run on the block's faces,
    (n, 3) each, mm, in the form's frame; only where the wire is in the block."""
    found = []
    for k, line in enumerate(cut.lines):
        if cut.upper_lines:
            corner = np.array([blank.x_mm, blank.y_mm])
            low = shapely.get_coordinates(line) + corner
            high = shapely.get_coordinates(cut.upper_lines[k]) + corner
            back, front = blank.from_mm, blank.from_mm + blank.thickness_mm
            found.append(
                (np.c_[high, np.full(len(high), front)], np.c_[low, np.full(len(low), back)])
            )
            continue
        places = shapely.get_coordinates(shapely.segmentize(line, 10.0)) + cut.datum
        one, other = chords(blank, cut.direction, places)
        inside = np.isfinite(one).all(axis=1)
        found.append((one[inside], other[inside]))
    return tuple(found)


def _blade_of(cut: RoughingCut, kerf_mm: float) -> Blade:
    def back(points: Floats) -> Floats:
        moved: Floats = points + np.array(cut.datum)
        return moved

    kept = [shapely.transform(part, back) for part in cut.kept]
    found = blade(cut.direction, kept, kerf_mm)
    if not cut.upper:
        return found
    upper = [shapely.transform(part, back) for part in cut.upper]
    return Blade(
        direction=cut.direction,
        kept=found.kept,
        ruled=tuple(zip(kept, upper, strict=True)),
        half_kerf_mm=kerf_mm / 2,
    )
