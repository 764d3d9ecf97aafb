"""A block before and after each cut, as sections; the wire's two ends along a path; the line by
which a block is set before a table's wire."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString

from wirepath import overlay
from wirepath.model import Blank, FaceName, RoughingCut, RoughingPlan
from wirepath.roughing.directions import FLAT, chords, stands_on
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
    """A line over a face of a block, along which the wire lies: from where one looks along
    the wire to where it goes, each end on an edge of the face."""

    points: Floats
    """The two ends, (2, 2), mm. On the front from its left and bottom edges, on the top from
    its left and back edges, on the right face from its back and bottom edges."""
    edges: tuple[FaceName, FaceName]
    right_mm: float | None
    """How far right of the cut's datum it lies; None where the height changes that."""
    face: Literal["front", "top", "right"] = "front"
    """Where a block stands on an edge it is the face that then lies on top."""

    def measures_mm(self) -> tuple[float, float]:
        """Return where on its edge each end is, as `points` are measured."""
        level = FRAMES[self.face].ends_up
        first, second = (
            float(point[0 if edge in level else 1])
            for point, edge in zip(self.points, self.edges, strict=True)
        )
        return first, second


@dataclass(frozen=True, slots=True)
class _Frame:
    """How places on a face are measured: along which axes of the block, and the names of its
    edges, where the first measure begins and ends, and where the second does."""

    axes: tuple[int, int]
    ends_along: tuple[FaceName, FaceName]
    ends_up: tuple[FaceName, FaceName]


FRAMES = {
    "front": _Frame((0, 1), ("left", "right"), ("bottom", "top")),
    "top": _Frame((0, 2), ("left", "right"), ("back", "front")),
    "right": _Frame((2, 1), ("back", "front"), ("bottom", "top")),
}


def setting_line(blank: Blank, cut: RoughingCut) -> SettingLine | None:
    """Return the line through the middle of a block's front by which the block is set, of a
    block that stands on an edge through the middle of its upper face; None for a wire square to
    the front, which has none."""
    direction = cut.direction
    face: Literal["front", "top", "right"] = "front"
    on = stands_on(direction)
    if on is not None:
        face = "top" if on == "bottom" else "right"
    frame = FRAMES[face]
    axes = list(frame.axes)
    along = np.array(direction.wire)[axes]
    if np.hypot(*along) < FLAT:
        return None
    block = np.array([blank.width_mm, blank.height_mm, blank.thickness_mm])
    size = block[axes]
    reach = size.sum() * along / np.hypot(*along)
    across = LineString([size / 2 - reach, size / 2 + reach])
    points = shapely.get_coordinates(overlay.intersection(across, shapely.box(0, 0, *size)))
    names = (frame.ends_along[0], frame.ends_up[0], frame.ends_along[1], frame.ends_up[1])
    gaps = np.abs(np.hstack([points, size - points]))
    first, second = (names[int(gap.argmin())] for gap in gaps)
    right = None
    if face != "front" or abs(direction.right[2]) < FLAT:
        middle = block / 2 + (blank.x_mm, blank.y_mm, blank.from_mm)
        right = float(middle @ direction.right) - cut.datum[0]
    return SettingLine(points, (first, second), right, face)


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
