"""Pages as matplotlib figures, for pictures of them: the sheets themselves are `sheets.printing`'s.

The axes cover the page and count in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import groupby
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.backend_bases import RendererBase
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Path2D

from wirepath.sheets.lettering import MM_PER_POINT, points
from wirepath.sheets.page import Page, Points, Text, pen
from wirepath.sheets.typeface import typeface

MM_PER_INCH = 25.4

# It would move points of long lines.
SETTINGS: Any = {"path.simplify": False}


def figure(page: Page) -> Figure:
    """Return the page as a matplotlib figure of its exact size."""
    picture = Figure(figsize=(page.width_mm / MM_PER_INCH, page.height_mm / MM_PER_INCH))
    axes = picture.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_autoscale_on(False)
    axes.set_xlim(0, page.width_mm)
    axes.set_ylim(0, page.height_mm)
    for (width_mm, dashes), strokes in groupby(sorted(page.strokes, key=pen), key=pen):
        # Dashes count in line widths: divide that out again.
        pattern = (0.0, tuple(dash / width_mm for dash in dashes)) if dashes else "solid"
        axes.add_artist(
            PathPatch(
                _joined([stroke.points for stroke in strokes]),
                fill=False,
                edgecolor="black",
                linewidth=width_mm / MM_PER_POINT,
                linestyle=pattern,
                capstyle="butt",
                joinstyle="miter",
                zorder=2,
            )
        )
    for black in (False, True):
        areas = [fill.points for fill in page.fills if fill.black == black]
        if areas:
            colour = "black" if black else "white"
            axes.add_collection(
                PolyCollection(areas, facecolors=colour, edgecolors="none", zorder=3),
                autolim=False,
            )
    axes.add_artist(_Lettering(page.texts))
    return picture


def _joined(lines: Sequence[Points]) -> Path2D:
    """Return all lines as one path: to draw each by itself takes several times as long."""
    codes = [code for line in lines for code in (Path2D.MOVETO, *[Path2D.LINETO] * (len(line) - 1))]
    return Path2D(np.concatenate(lines), codes)


class _Lettering(Artist):
    """All texts of a page at once: a matplotlib text each would take most of the time."""

    def __init__(self, texts: Sequence[Text]) -> None:
        super().__init__()
        self._texts = texts
        self.set_zorder(4)

    def draw(self, renderer: RendererBase) -> None:
        """Write each text from the left end of its baseline."""
        per_mm = float(renderer.points_to_pixels(1.0)) / MM_PER_POINT  # type: ignore[arg-type]
        height = float(renderer.get_canvas_width_height()[1])
        graphics = renderer.new_gc()
        graphics.set_foreground("black")
        for text in self._texts:
            x, y = text.origin
            renderer.draw_text(
                graphics,
                x * per_mm,
                height - y * per_mm if renderer.flipy() else y * per_mm,
                text.text,
                _font(text.bold, points(text.cap_mm)),
                90 if text.upwards else 0,
            )
        graphics.restore()


@cache
def _font(bold: bool, size: float) -> FontProperties:
    return FontProperties(fname=str(typeface(bold).file), size=size)
