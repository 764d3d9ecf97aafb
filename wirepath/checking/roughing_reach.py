"""Promise 3: roughing cuts start and end in air, and the wire spans the block all along them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from wirepath.checking.cut_plane import block_seen, corner
from wirepath.checking.finding import EXACT_MM, Finding, found
from wirepath.errors import Fault
from wirepath.model import Blank, RoughingCut, RoughingPlan
from wirepath.units import told_apart


def check_reach(plan: RoughingPlan, wire_mm: float, *, between_ends: bool) -> Finding:
    """Return whether the wire reaches, and begins and ends each of its lines, in air.

    `between_ends`: on a table the whole block must pass between the two ends of the wire.
    """
    blanks = {blank.number: blank for blank in plan.blanks}
    ends_mm = wire_mm if between_ends else float("inf")
    return found(
        3,
        "Roughing cuts start and end in air, and the wire spans them",
        f"longest wire {max((c.longest_wire_mm for c in plan.cuts), default=0.0):.0f} mm",
        [
            fault
            for cut in plan.cuts
            for fault in _reach_faults(cut, blanks[cut.blank], wire_mm, ends_mm)
        ],
    )


def _reach_faults(
    cut: RoughingCut, blank: Blank, wire_mm: float, ends_mm: float
) -> Iterator[Fault]:
    where = f"roughing cut {cut.number} ({cut.kind})"
    shade = block_seen(cut, blank)
    if cut.kind != "hole":
        inner = shapely.buffer(shade, -EXACT_MM)
        for line in cut.lines:
            points = shapely.get_coordinates(line)
            if shapely.intersects_xy(inner, points[[0, -1], 0], points[[0, -1], 1]).any():
                yield Fault("does not start and end in air", where)
    longest = _longest_wire(cut, blank)
    if longest > wire_mm + 0.5:
        yield Fault(
            f"needs {told_apart(longest, wire_mm, 0)} mm of wire, there are {wire_mm:g} mm", where
        )
    if cut.kind in ("profile", "tilted profile", "standing profile", "corner"):
        ends = _corners_along(cut, blank)
        if ends > ends_mm + 0.5:
            what = f"{told_apart(ends, ends_mm, 0)} mm of block lie along the wire, and only "
            yield Fault(f"{what}{ends_mm:g} mm pass between the table's wire ends", where)


def _corners_along(cut: RoughingCut, blank: Blank) -> float:
    """Return how far apart along the wire the outermost corners of a cut's block are."""
    size = np.array([blank.width_mm, blank.height_mm, blank.thickness_mm])
    corners = np.array(list(np.ndindex(2, 2, 2))) * size
    return float(np.ptp(corners @ np.array(cut.direction.wire)))


def _longest_wire(cut: RoughingCut, blank: Blank) -> float:
    """Return the longest wire in the block on the cut, measured every 5 mm of its way."""
    if cut.upper_lines:
        leans = [
            np.hypot(*(shapely.get_coordinates(b) - shapely.get_coordinates(a)).T).max()
            for a, b in zip(cut.lines, cut.upper_lines, strict=True)
        ]
        return float(np.hypot(blank.thickness_mm, max(leans)))
    right, up, wire = (
        np.array(one) for one in (cut.direction.right, cut.direction.up, cut.direction.wire)
    )
    places = shapely.get_coordinates(shapely.segmentize(shapely.multilinestrings(cut.lines), 5.0))
    places = places + cut.datum
    points = places[:, :1] * right + places[:, 1:] * up - corner(blank)
    size = np.array([blank.width_mm, blank.height_mm, blank.thickness_mm])
    near, far = np.full(len(points), -np.inf), np.full(len(points), np.inf)
    for axis in range(3):
        if abs(wire[axis]) < 1e-9:
            missed = (points[:, axis] < 0) | (points[:, axis] > size[axis])
            far = np.where(missed, -np.inf, far)
            continue
        one, other = -points[:, axis] / wire[axis], (size[axis] - points[:, axis]) / wire[axis]
        near = np.maximum(near, np.minimum(one, other))
        far = np.minimum(far, np.maximum(one, other))
    lengths = np.where(far > near, far - near, 0.0)
    return float(lengths.max(initial=0.0))
