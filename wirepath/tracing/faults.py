"""Flaws: what is wrong in a drawing, with its place in mm, before it becomes a message."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString


@dataclass(frozen=True, slots=True, kw_only=True)
class Flaw:
    """One thing that is wrong, `at` a place in mm at finished size, if it has one."""

    what: str
    mend: str = ""
    at: tuple[float, float] | None = None
    where: str = ""
    """Said before the place: a key, a layer."""
    is_open_line: bool = False


def open_line(
    line: LineString,
    gap_mm: float | None,
    at: tuple[float, float] | None = None,
) -> Flaw:
    """Return the flaw of a line that closes nothing; `gap_mm` where joining could help."""
    x, y = at or line.coords[0]
    if gap_mm is not None and gap_mm <= 500:
        needed = _round_up(gap_mm)
        return Flaw(
            what=f"a gap of {gap_mm:.2g} mm keeps the outline open"
            if gap_mm < 10
            else f"a gap of {gap_mm:.0f} mm keeps the outline open",
            at=(x, y),
            mend="join the two lines in the drawing, or allow it with "
            f"gap_mm = {needed:g} in the job file (--gap-mm {needed:g})",
            is_open_line=True,
        )
    return Flaw(
        what=f"an open line, {line.length:.4g} mm long, closes no outline",
        at=(x, y),
        mend="close it or erase it in the drawing, put it on a layer that is not read, or "
        "leave all such lines out with open_lines = 'leave out' in the job file",
        is_open_line=True,
    )


def too_tangled(lines: NDArray[np.object_]) -> Flaw:
    """Return the flaw of lines that cross more often than can be worked out."""
    low_x, low_y, high_x, high_y = shapely.total_bounds(lines).tolist()
    return Flaw(
        what=f"{len(lines)} lines lie across each other too often to be sorted out",
        at=((low_x + high_x) / 2, (low_y + high_y) / 2),
        mend="erase hatching and construction lines, or name the layers to be read",
    )


def _round_up(value: float) -> float:
    """Return the next round figure that is a little more than `value`."""
    power = 10.0 ** math.floor(math.log10(max(value, 1e-6)))
    steps = (1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12)
    return next(step * power for step in steps if step * power > value * (1 + 1e-6))
