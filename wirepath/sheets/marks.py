"""What pictures on sheets are made of: scales, numbers in areas, sizes, arrows, hatching."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import Geometry, MultiLineString, Polygon

from wirepath import overlay
from wirepath.sheets import lettering
from wirepath.sheets.lettering import BIG, HEAD, HUGE, NOTE, TEXT, Box
from wirepath.sheets.page import HAIR, MEDIUM, THIN, Page, Points, Text
from wirepath.sheets.room import Room

HATCH_MM = 2.4
DOT_MM = 0.45
"""Radius of the dot at a leader's end."""
THREAD_MM = 2.4
"""Width of the circle that marks a threading; its cross is twice as wide."""
WAITING_MM = 2.2
"""Radius of the ring that marks where the wire waits."""
UP_MM = 8.0
"""Length of the arrow to the top of a form."""


SCALES = (1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
"""ISO 5455, and between its steps scales that rules carry: 1 : 15, 25, 30, 40 (common practice)."""

OVERALL_MM = 10.0
"""Room beside an area for its overall size."""


def standard_scale(wide_mm: float, high_mm: float, room: tuple[float, float]) -> float:
    """Return the largest standard scale at which so much fits `room` on paper: 10 for 1 : 10."""
    needed = max(wide_mm / room[0], high_mm / room[1])
    return next((scale for scale in SCALES if scale >= needed - 1e-9), math.ceil(needed))


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


def draw_waiting(page: Page, x: float, y: float) -> None:
    """Draw the mark of the place where the wire waits: a W in a ring."""
    page.text(x, y - NOTE / 2, "W", NOTE, bold=True, align="center")
    page.circle(x, y, WAITING_MM)


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


def hatch(page: Page, area: Geometry, box: Box, labels: Geometry | None = None) -> None:
    """Draw lines at 45 degrees over an area of the page within `box`, off its labels."""
    lines = overlay.intersection(hatching(box), area)
    if labels is not None:
        lines = shapely.difference(lines, labels)
    for part in shapely.get_parts(lines):
        # A line may touch a corner of the area in one point.
        if part.length > 0:
            page.line(shapely.get_coordinates(part), HAIR)


def number_area(page: Page, room: Room, label: str, area: Polygon) -> bool:
    """Write a number as large as it fits in its area, or beside it; tell whether it found room."""
    # A leader may end in a dot on any line: keep clear of that as well, where there is room.
    for margin_mm, cap in product((DOT_MM / 2, 0.0), (HUGE, BIG, HEAD, TEXT, NOTE)):
        box = Text(0, 0, label, cap, bold=True, align="center").box
        spot = room.spot(area, box.grown(margin_mm))
        if spot is not None:
            room.take(page.text(*spot, label, cap, bold=True, align="center").box)
            return True
    x, y = area.representative_point().coords[0]
    return label_beside(page, room, label, (x, y))


def label_beside(page: Page, room: Room, label: str, at: tuple[float, float]) -> bool:
    """Write a number beside `at` on a leader; tell whether it found room."""
    text = Text(0, 0, label, NOTE, bold=True, align="center")
    off = text.box.width / 2
    spot = room.near(*at, off + 0.5, text.box)
    if spot is None:
        return False
    room.take(page.text(*spot, label, NOTE, bold=True, align="center").box)
    draw_leader(page, room, at, (spot[0], spot[1] + NOTE / 2), off + 0.6)
    return True


def ring_beside(page: Page, room: Room, label: str, at: tuple[float, float]) -> bool:
    """Write a label in a ring beside `at` on a leader; tell whether it found room."""
    width = Text(0, 0, label, NOTE, bold=True, align="center").box.width
    radius = math.hypot(width, NOTE) / 2 + 0.5
    spot = room.near(*at, radius + 0.3, Box(-radius, -radius, radius, radius))
    if spot is None:
        return False
    (x, y) = spot
    page.text(x, y - NOTE / 2, label, NOTE, bold=True, align="center")
    page.circle(x, y, radius)
    room.take(Box(x - radius, y - radius, x + radius, y + radius))
    draw_leader(page, room, at, spot, radius + 0.1)
    return True


def draw_overall(page: Page, area: Box, width: str, height: str, cap_mm: float = NOTE) -> None:
    """Draw the overall size below and left of an area, arrow to arrow, within `OVERALL_MM`.

    A figure longer than its arrow stands beside its end.
    """
    y, x = area.y0 - 5.0, area.x0 - 3.5
    for at in (area.x0, area.x1):
        page.line([(at, area.y0 - 1.0), (at, y - 1.5)], THIN)
    for at in (area.y0, area.y1):
        page.line([(area.x0 - 1.0, at), (x - 1.5, at)], THIN)
    page.line([(area.x0, y), (area.x1, y)], THIN)
    page.line([(x, area.y0), (x, area.y1)], THIN)
    for tip, angle in (
        ((area.x0, y), math.pi),
        ((area.x1, y), 0.0),
        ((x, area.y0), -math.pi / 2),
        ((x, area.y1), math.pi / 2),
    ):
        page.arrow_head(*tip, angle, 2.5, 0.4)
    if lettering.width_mm(width, cap_mm) < area.width:
        page.text((area.x0 + area.x1) / 2, y - 1.1 - cap_mm, width, cap_mm, align="center")
    else:
        page.text(area.x0, y - 2.6 - cap_mm, width, cap_mm)
    if lettering.width_mm(height, cap_mm) < area.height:
        middle = (area.y0 + area.y1) / 2
        page.text(x - 1.4, middle, height, cap_mm, align="center", upwards=True)
    else:
        page.text(x - 2.6, area.y0, height, cap_mm, upwards=True)
