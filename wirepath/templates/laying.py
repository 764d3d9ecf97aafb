"""How the lines of a part are laid on paper: sheets, and what each shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from wirepath.errors import Fault, FitError
from wirepath.sheets.lettering import Box
from wirepath.sheets.page import MARGIN_MM, lying, upright
from wirepath.templates.parts import Face, Part
from wirepath.templates.tiling import Cell, Tiling, tile

PaperChoice = Literal["A4", "A3", "roll"]
STRIP_MM = 19.0
"""Height of the strip below the picture: what the sheet is, and the bar across."""
SIDE_MM = 10.0
"""Width of the strip left of the picture: up, front, and the bar upwards."""
RIM_MM = 16.0
"""Paper kept round the outermost line, for station numbers."""
ROLL_LEAST_MM = 200.0
LONGEST_PAGE_MM = 14400 / 72 * 25.4
"""The longest page PDF allows at one unit to the point (ISO 32000-1, annex C)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet to draw: a window of a face, and where its picture stands on the page."""

    face: Face
    tiling: Tiling
    cell: Cell
    number: int
    width_mm: float
    height_mm: float

    @property
    def window(self) -> Box:
        """The part of the picture it shows."""
        return Box(*self.tiling.window(self.cell))

    @property
    def shift(self) -> tuple[float, float]:
        """What is added to a point of the picture to get a point of the page."""
        window = self.window
        return MARGIN_MM + SIDE_MM - window.x0, MARGIN_MM + STRIP_MM - window.y0


def laid_on_paper(part: Part, face: Face, paper: PaperChoice) -> tuple[float, float, Tiling]:
    """Return width and height of the sheets, and the tiling with the fewest."""
    beside = 2 * MARGIN_MM + SIDE_MM, 2 * MARGIN_MM + STRIP_MM
    if paper != "roll":
        laid = []
        for width, height in (upright(paper), lying(paper)):
            window = width - beside[0], height - beside[1]
            laid.append((width, height, tile(face.lines, window, RIM_MM)))
        return min(laid, key=lambda one: len(one[2].cells))
    _, _, east, north = face.lines.bounds
    width = max(ROLL_LEAST_MM, float(np.ceil(east + 2 * RIM_MM + 2 + beside[0])))
    height = max(ROLL_LEAST_MM, float(np.ceil(north + 2 * RIM_MM + 2 + beside[1])))
    if max(width, height) > LONGEST_PAGE_MM:
        raise FitError(
            Fault(
                f"its template is {max(width, height) / 1000:.2f} m long, "
                f"a PDF page at most {LONGEST_PAGE_MM / 1000:.2f} m",
                f"part {part.name!r}",
                "print it in sheets: A3",
            )
        )
    return width, height, tile(face.lines, (width - beside[0], height - beside[1]), RIM_MM)
