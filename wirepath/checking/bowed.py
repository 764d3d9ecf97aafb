"""Promise 3, with a bow: every pass begins and ends in air only, and is short enough to hold."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from wirepath.checking.finding import DEPTH_MM, Finding, found, place_of
from wirepath.errors import Fault
from wirepath.model import Pass, Plan, Rest
from wirepath.units import told_apart

ON_LINE_MM = 1.0
"""Lengths of ways rounded to 0.001 mm at every point add up to no more."""


def check_bowed(plan: Plan) -> Finding:
    """Return whether people can carry each pass: no way in air amid it, rests near enough.

    A rest lies on its pass, to 1 mm; from one to the next, and to both ends, the near end
    goes no further through foam than the workshop says.
    """
    most = plan.workshop.rig.pass_most_mm
    faults: list[Fault] = []
    passes = [one for layout in plan.layouts for one in plan.passes if one.layout == layout.number]
    longest = 0.0
    for one in passes:
        where = f"{place_of(one.layout)}, pass {one.number}"
        if any(move.kind == "air" for move in one.moves[1:-1]):
            faults.append(Fault("the bow goes through air in the middle of a pass", where))
        layout = next(layout for layout in plan.layouts if layout.number == one.layout)
        pauses = [rest for rest in layout.rests if rest.number == one.number]
        gaps = _gaps(one, pauses)
        if gaps is None:
            faults.append(Fault("a rest does not lie on its pass", where))
            continue
        longest = max([longest, *gaps])
        if max(gaps, default=0.0) > most * (1 + 1e-6) + DEPTH_MM:
            what = (
                f"{told_apart(max(gaps), most, 0)} mm through foam without a rest, "
                f"{most:g} mm are asked"
            )
            faults.append(Fault(what, where))
    numbers = {(one.layout, one.number) for one in passes}
    for layout in plan.layouts:
        for rest in layout.rests:
            if (layout.number, rest.number) not in numbers:
                where = place_of(layout.number, at=rest.at)
                faults.append(Fault(f"a rest is told on pass {rest.number}, which is none", where))
    return found(
        3,
        "People can carry every pass of the bow",
        f"{len(passes)} passes, the longest stretch without a rest {longest / 1000:.2f} m",
        faults,
    )


def _gaps(one: Pass, pauses: Sequence[Rest]) -> list[float] | None:
    """Return how far through foam it is from the start over each rest to the end, in mm.

    None where a rest is not on the line, where it says it is, or before the one before.
    """
    lines = [shapely.get_coordinates(move.line) for move in one.moves if move.kind != "air"]
    points = np.concatenate(lines) if lines else np.zeros((1, 2))
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    for rest in pauses:
        there = [float(np.interp(rest.after_mm, along, axis)) for axis in points.T]
        if np.hypot(*np.subtract(there, rest.at)) > ON_LINE_MM:
            return None
    stops = [0.0, *(rest.after_mm for rest in pauses), float(along[-1])]
    gaps = np.diff(stops)
    return None if (gaps < -ON_LINE_MM).any() else gaps.tolist()
