"""A page as data: strokes, fills and texts in mm from its lower left corner.

What is drawn is gathered here first; `printing` alone turns it into a file.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wirepath.sheets import lettering
from wirepath.sheets.lettering import Box

# Pen widths in mm, from the series of ISO 128.
HAIR, THIN, MEDIUM, THICK, HEAVY = 0.13, 0.18, 0.25, 0.5, 0.7

# Dashes: pen down, pen up, ... in mm.
DASHES = (2.0, 1.2)
DOTS = (0.4, 1.0)
CHAIN = (5.0, 1.0, 1.0, 1.0)

MARGIN_MM = 7.0
"""Blank rim of every page: desktop printers leave 3 to 5 mm unprinted (common practice)."""

Align = Literal["left", "center", "right"]
Points = NDArray[np.float64]
"""Points of a line: (n, 2), mm."""

PAPER_MM = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}
"""Width and height upright, ISO 216."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line of the pen: points (n, 2), mm."""

    points: Points
    width_mm: float
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Fill:
    """A black or white area without an edge: points (n, 2), mm."""

    points: Points
    black: bool = True


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text. `x`, `y` is where its baseline begins, is centred, or ends."""

    x: float
    y: float
    text: str
    cap_mm: float
    bold: bool = False
    align: Align = "left"
    upwards: bool = False
    """Turned a quarter counter-clockwise, to be read from the right."""

    @property
    def box(self) -> Box:
        """What the text may cover: from the lowest tail to the highest stem."""
        width = lettering.width_mm(self.text, self.cap_mm, bold=self.bold)
        em = self.cap_mm / lettering.CAP_PER_EM
        begin = {"left": 0.0, "center": -width / 2, "right": -width}[self.align]
        low, high = -lettering.DESCENT_PER_EM * em, lettering.ASCENT_PER_EM * em
        if self.upwards:
            return Box(self.x - high, self.y + begin, self.x - low, self.y + begin + width)
        return Box(self.x + begin, self.y + low, self.x + begin + width, self.y + high)

    @property
    def origin(self) -> tuple[float, float]:
        """Where the left end of the baseline stands on the page."""
        box = self.box
        return (self.x, box.y0) if self.upwards else (box.x0, self.y)


@dataclass(slots=True)
class Page:
    """A page to draw on; the one thing here that changes, until it is printed."""

    width_mm: float
    height_mm: float
    title: str = ""
    scale: str = ""
    strokes: list[Stroke] = field(default_factory=list)
    fills: list[Fill] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)

    def line(
        self, points: ArrayLike, width_mm: float = THIN, dashes: tuple[float, ...] = ()
    ) -> None:
        """Draw a line through points (n, 2)."""
        self.strokes.append(Stroke(np.asarray(points, dtype=float), width_mm, dashes))

    def box(self, box: Box, width_mm: float = THIN, dashes: tuple[float, ...] = ()) -> None:
        """Draw the rim of a rectangle."""
        corners = [(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)]
        self.line([*corners, corners[0], corners[1]], width_mm, dashes)

    def fill(self, points: ArrayLike) -> None:
        """Fill an area with black."""
        self.fills.append(Fill(np.asarray(points, dtype=float)))

    def circle(self, x: float, y: float, radius_mm: float, width_mm: float = MEDIUM) -> None:
        """Draw a circle, as a ring of 49 points: on paper its error is below 0.01 mm."""
        turn = np.linspace(0, 2 * math.pi, 49)
        self.line(np.c_[x + radius_mm * np.cos(turn), y + radius_mm * np.sin(turn)], width_mm)

    def arrow_head(
        self, x: float, y: float, angle_rad: float, length_mm: float = 2.6, spread: float = 0.6
    ) -> None:
        """Fill an arrow head with its tip at x, y, pointing along `angle_rad`."""
        self.fill(arrow_head(x, y, angle_rad, length_mm, spread))

    def text(
        self,
        x: float,
        y: float,
        text: str,
        cap_mm: float = lettering.NOTE,
        *,
        bold: bool = False,
        align: Align = "left",
        upwards: bool = False,
    ) -> Text:
        """Write one line of text; letters the typeface lacks become question marks."""
        mark = Text(x, y, lettering.printable(text), cap_mm, bold, align, upwards)
        if mark.text:
            self.texts.append(mark)
        return mark


def arrow_head(
    x: float, y: float, angle_rad: float, length_mm: float = 2.6, spread: float = 0.6
) -> Points:
    """Return the corners of an arrow head (3, 2) with its tip at x, y; `spread` is width/length."""
    ahead = np.array([math.cos(angle_rad), math.sin(angle_rad)])
    across = np.array([-ahead[1], ahead[0]]) * length_mm * spread / 2
    tip = np.array([x, y])
    foot = tip - ahead * length_mm
    return np.array([tip, foot + across, foot - across])


def upright(paper: str) -> tuple[float, float]:
    """Return width and height of the paper in mm, the longer edge up."""
    return PAPER_MM[paper]


def lying(paper: str) -> tuple[float, float]:
    """Return width and height of the paper in mm, the longer edge across."""
    width, height = PAPER_MM[paper]
    return height, width


def rings(points: Sequence[Points]) -> list[Points]:
    """Return each ring of points closed and run on by one, so that its corner is mitred."""
    return [np.vstack([ring, ring[1:2]]) for ring in points]
