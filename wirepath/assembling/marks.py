"""Registration marks: two across every seam, so that pieces meet in one way only."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from wirepath.geometry import polygons, seam_line
from wirepath.model import Seam, SeamMark

Floats = NDArray[np.float64]

SHARES = (0.2, 0.6)
"""Where marks stand along a seam. Turned end for end they would stand at 0.4 and 0.8."""

LEAST_MM = 25.0
"""A shorter seam gets no marks: they would stand too near to be told apart."""


def seam_marks(seams: Sequence[Seam]) -> tuple[SeamMark, ...]:
    """Return two marks for every seam that is long enough, in order of the seams.

    Those of edge seams stand a whole number of millimetres from the end, to be measured
    with a rule; those of layer seams on the rim of the area where the pieces meet.
    """
    return tuple(mark for number, seam in enumerate(seams, 1) for mark in _marks(number, seam))


def _marks(number: int, seam: Seam) -> Iterator[SeamMark]:
    if seam.kind == "edge":
        line = seam_line(seam.place)
    else:
        line = LineString(max(polygons(seam.place), key=lambda area: area.area).exterior)
    if line.length < LEAST_MM:
        return
    for share in SHARES:
        along = float(round(share * line.length))
        at, direction = point_along(line, along)
        yield SeamMark(
            seam=number,
            at=(float(at[0]), float(at[1])),
            across_deg=(math.degrees(math.atan2(direction[1], direction[0])) + 90.0) % 180.0,
            along_mm=along if seam.kind == "edge" else None,
        )


def point_along(line: LineString, along_mm: float) -> tuple[Floats, Floats]:
    """Return the point (2,) so far along the line and the line's direction there, (2,)."""
    points = shapely.get_coordinates(line)
    steps = np.hypot(*np.diff(points, axis=0).T)
    ends = np.cumsum(steps)
    k = min(int(np.searchsorted(ends, along_mm)), len(steps) - 1)
    direction = (points[k + 1] - points[k]) / steps[k]
    return points[k] + direction * (along_mm - (ends[k] - steps[k])), direction
