"""Pages to paper: the only place that draws with matplotlib.

Figures have no axes, which would take long to make, and count in mm, so a millimetre drawn is
one printed (docs/sheets.md tells how that is measured).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib import _text_helpers
from matplotlib.artist import Artist
from matplotlib.backend_bases import RendererBase
from matplotlib.backends.backend_pdf import FigureCanvasPdf, PdfPages
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Path2D
from matplotlib.transforms import Affine2D

from wirepath.sheets.lettering import MM_PER_POINT, points, typeface
from wirepath.sheets.page import Page, Points, Stroke, Text

MM_PER_INCH = 25.4

# path.simplify would move points of long lines; fonttype 42 keeps texts searchable.
SETTINGS: Any = {"path.simplify": False, "pdf.fonttype": 42, "pdf.compression": 6}


def write_pdf(pages: Sequence[Page], path: Path, *, title: str) -> None:
    """Write `pages` to `path`; the same pages give the same bytes."""
    about = {"Title": title, "Creator": "wirepath", "Producer": "wirepath", "CreationDate": None}
    with mpl.rc_context(SETTINGS), _shaped_once(), PdfPages(path, metadata=about) as file:
        for page in pages:
            picture = figure(page)
            FigureCanvasPdf(picture)
            file.savefig(picture)


def figure(page: Page) -> Figure:
    """Return the page as a matplotlib figure of its exact size."""
    picture = Figure(figsize=(page.width_mm / MM_PER_INCH, page.height_mm / MM_PER_INCH))
    on_paper = Affine2D().scale(1 / MM_PER_INCH) + picture.dpi_scale_trans
    for (width_mm, dashes), strokes in groupby(sorted(page.strokes, key=_pen), key=_pen):
        # Dashes count in line widths: divide that out again.
        pattern = (0.0, tuple(dash / width_mm for dash in dashes)) if dashes else "solid"
        picture.add_artist(
            PathPatch(
                _joined([stroke.points for stroke in strokes]),
                fill=False,
                edgecolor="black",
                linewidth=width_mm / MM_PER_POINT,
                linestyle=pattern,
                capstyle="butt",
                joinstyle="miter",
                zorder=2,
                transform=on_paper,
            )
        )
    for black in (False, True):
        areas = [fill.points for fill in page.fills if fill.black == black]
        if areas:
            colour = "black" if black else "white"
            picture.add_artist(
                PolyCollection(
                    areas, facecolors=colour, edgecolors="none", zorder=3, transform=on_paper
                )
            )
    picture.add_artist(_Lettering(page.texts))
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
        shaping = getattr(_text_helpers, "layout", None)
        for text in self._texts:
            x, y = text.origin
            size = points(text.cap_mm)
            if isinstance(shaping, _Shaping):
                shaping.size = size
            renderer.draw_text(
                graphics,
                x * per_mm,
                height - y * per_mm if renderer.flipy() else y * per_mm,
                text.text,
                _font(text.bold, size),
                90 if text.upwards else 0,
            )
        graphics.restore()


class _Shaping:
    """Stands in for matplotlib's layout of a text, which it asks for whenever it draws one.

    That takes two thirds of the time of printing, and three of four texts on sheets are
    figures and words that came before: each is shaped once for each typeface and size.
    """

    def __init__(self, shape: Callable[..., Iterable[Any]]) -> None:
        self._shape = shape
        self._known: dict[Any, list[Any]] = {}
        self.size = 0.0
        """Of the text that is drawn next: a font does not tell which size is set."""

    def __call__(self, text: str, font: Any, **how: Any) -> list[Any]:
        key = (text, font.fname, self.size, *sorted(how.items()))
        if key not in self._known:
            self._known[key] = list(self._shape(text, font, **how))
        return self._known[key]


@contextmanager
def _shaped_once() -> Iterator[None]:
    """Have each text shaped once. The function is matplotlib's own business: versions without
    it print all the same, only slower."""
    shape = getattr(_text_helpers, "layout", None)
    if shape is None:
        yield
        return
    _text_helpers.layout = _Shaping(shape)  # type: ignore[assignment]
    try:
        yield
    finally:
        _text_helpers.layout = shape


@cache
def _font(bold: bool, size: float) -> FontProperties:
    return FontProperties(fname=str(typeface(bold)), size=size)


def _pen(stroke: Stroke) -> tuple[float, tuple[float, ...]]:
    return stroke.width_mm, stroke.dashes
