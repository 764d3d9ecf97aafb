"""A block before and after each cut, as sections; the wire's two ends along a path; the line by
which a block is set before a table's wire."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString

from wirepath import overlay
from wirepath.model import Blank, FaceName, RoughingCut, RoughingPlan
from wirepath.roughing.directions import FLAT, chords
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
    standing = left_at(blank, blades, heights)[-1]
    return tuple(
        (float(z - step / 2), float(z + step / 2), region)
        for z, region in zip(heights, standing, strict=True)
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


@dataclass(frozen=True, slots=True)
class SettingLine:
    """A line over the front of a block, along which the wire lies: from where one looks along
    the wire to where it goes, each end on an edge of the front."""

    points: Floats
    """The two ends, (2, 2), mm from the front's left and bottom edges."""
    edges: tuple[FaceName, FaceName]
    right_mm: float | None
    """How far right of the cut's datum it lies; None where the height changes that."""

    def measures_mm(self) -> tuple[float, float]:
        """Return where on its edge each end is: from the left, or from the bottom."""
        first, second = (
            float(point[0 if edge in ("bottom", "top") else 1])
            for point, edge in zip(self.points, self.edges, strict=True)
        )
        return first, second


def setting_line(blank: Blank, cut: RoughingCut) -> SettingLine | None:
    """Return the line through the middle of a block's front by which the block is set; None
    for a wire square to the front, which has none."""
    direction = cut.direction
    along = np.array(direction.wire[:2])
    if np.hypot(*along) < FLAT:
        return None
    size = np.array([blank.width_mm, blank.height_mm])
    reach = size.sum() * along / np.hypot(*along)
    across = LineString([size / 2 - reach, size / 2 + reach])
    points = shapely.get_coordinates(overlay.intersection(across, shapely.box(0, 0, *size)))
    names: tuple[FaceName, ...] = ("left", "bottom", "right", "top")
    gaps = np.abs(np.hstack([points, size - points]))
    first, second = (names[int(gap.argmin())] for gap in gaps)
    right = None
    if abs(direction.right[2]) < FLAT:
        middle = size / 2 + (blank.x_mm, blank.y_mm)
        right = float(middle @ direction.right[:2]) - cut.datum[0]
    return SettingLine(points, (first, second), right)


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
