"""What pictures on sheets are made of: where they stand, arrows, leaders, hatching."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import Geometry, MultiLineString, Polygon

from wirepath.sheets.lettering import NOTE, Box
from wirepath.sheets.page import MEDIUM, THIN, Page, Points
from wirepath.sheets.room import Room

HATCH_MM = 2.4
DOT_MM = 0.45
"""Radius of the dot at a leader's end."""
THREAD_MM = 2.4
"""Width of the circle that marks a threading; its cross is twice as wide."""
UP_MM = 8.0
"""Length of the arrow to the top of a form."""


@dataclass(frozen=True, slots=True)
class View:
    """Where a layout stands on the page: its datum corner at x0, y0, drawn 1 : `scale`."""

    x0: float
    y0: float
    scale: float

    def points(self, points: ArrayLike) -> Points:
        """Return points of the layout, (n, 2), as points of the page."""
        moved: Points = np.asarray(points, dtype=float) / self.scale + (self.x0, self.y0)
        return moved

    def area(self, area: Polygon) -> Polygon:
        """Return an area of the layout where it stands on the page."""
        moved = shapely.transform(area, self.points)
        assert isinstance(moved, Polygon)
        return moved


def draw_up(page: Page, at: tuple[float, float], up: tuple[float, float], word: str) -> None:
    """Draw an arrow to the top of the form, its middle `at`, and a word below it."""
    half = UP_MM / 2
    tail = (at[0] - up[0] * half, at[1] - up[1] * half)
    tip = (at[0] + up[0] * half, at[1] + up[1] * half)
    page.line([tail, (at[0] + up[0] * (half - 1.5), at[1] + up[1] * (half - 1.5))], 0.6)
    page.arrow_head(*tip, math.atan2(up[1], up[0]), 3.2, 0.8)
    page.text(at[0], at[1] - half - 1.0 - NOTE, word, NOTE, align="center")


def draw_threading(page: Page, x: float, y: float) -> None:
    """Draw the mark of a hole to make for the wire: a circle with a cross through it."""
    page.circle(x, y, THREAD_MM / 2)
    for dx, dy in ((THREAD_MM, 0.0), (0.0, THREAD_MM)):
        page.line([(x - dx, y - dy), (x + dx, y + dy)], MEDIUM)


def draw_leader(
    page: Page, room: Room, at: tuple[float, float], label: tuple[float, float], off: float
) -> None:
    """Draw a hairline from a dot at `at` to a label, ending `off` before its middle."""
    gap = math.dist(at, label)
    turn = np.linspace(0, 2 * math.pi, 13)
    page.fill(np.c_[at[0] + DOT_MM * np.cos(turn), at[1] + DOT_MM * np.sin(turn)])
    if gap > off:
        share = (gap - off) / gap
        end = (at[0] + (label[0] - at[0]) * share, at[1] + (label[1] - at[1]) * share)
        page.line([at, end], THIN)
        for t in np.linspace(0, 1, max(2, int(gap / 1.0))):
            x, y = at[0] + (end[0] - at[0]) * t, at[1] + (end[1] - at[1]) * t
            room.take(Box(x - 0.1, y - 0.1, x + 0.1, y + 0.1))


def hatching(box: Box, apart_mm: float = HATCH_MM, *, falling: bool = False) -> Geometry:
    """Return lines at 45 degrees over `box`, so far apart, rising or falling to the right."""
    step = apart_mm * math.sqrt(2)
    starts = np.arange(box.x0 - box.height + step / 2, box.x1, step)
    ends = starts + box.height
    low, high = (box.y1, box.y0) if falling else (box.y0, box.y1)
    lines = [[(a, low), (b, high)] for a, b in zip(starts, ends, strict=True)]
    return MultiLineString(lines)
