# ruff: noqa: T201
"""Measure how long a hundred pages take, beside bare matplotlib pages with as much on them.

    python tests/benchmarks/printing/pages.py [BOARDS]

Prints pages and processor seconds: of composing, of printing, and of matplotlib alone
drawing the same count of lines and of texts, straight from lists, on as many pages.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from shapely import box

sys.path.insert(0, str(Path(__file__).parents[2]))
import sheet_specimens as specimens

from wirepath.sheets import sheet_pages
from wirepath.sheets.page import Page
from wirepath.sheets.printing import write_pdf
from wirepath.wording import ENGLISH


def boards(count: int) -> list[Page]:
    """Return the sheets of boards of six pieces each, no two cut alike."""
    layouts = []
    for n in range(count):
        laid = [
            ("A", specimens.LETTER_A, 40 + n, 30, 0),
            ("base", box(0, 0, 800 - n, 300), 480, 30, 0),
            ("upright", box(0, 0, 200, 700), 480, 360, 0),
            ("stone", specimens.STONE, 720, 400, 0),
            ("disc", specimens.DISC, 1300, 60, 0),
            ("A", specimens.LETTER_A, 1350, 200, 90),
        ]
        layouts.append(("board", 0.0, 100.0, laid))
    return sheet_pages(specimens.make(layouts), ENGLISH)


def bare(pages: list[Page], path: Path) -> None:
    """Draw as many lines and texts as `pages` hold with matplotlib alone."""
    with mpl.rc_context({"pdf.fonttype": 42}), PdfPages(path) as book:
        for page in pages:
            figure = Figure(figsize=(page.width_mm / 25.4, page.height_mm / 25.4))
            axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
            axes.set_axis_off()
            for stroke in page.strokes:
                axes.plot(*np.transpose(stroke.points), linewidth=0.5, color="black")
            for text in page.texts:
                axes.text(text.x, text.y, text.text, fontsize=8)
            book.savefig(figure)


def main() -> None:
    """Print the figures."""
    began = time.process_time()
    plan_pages = boards(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
    made = time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        write_pdf(plan_pages, Path(folder) / "sheets.pdf", title="boards")
        printed = time.process_time()
        bare(plan_pages, Path(folder) / "bare.pdf")
        drawn = time.process_time()
    texts = sum(len(page.texts) for page in plan_pages)
    strokes = sum(len(page.strokes) for page in plan_pages)
    print(f"{len(plan_pages)} pages, {texts} texts, {strokes} lines; processor seconds:")
    print(f"  plan and compose {made - began:.1f}, print {printed - made:.1f}")
    print(f"  matplotlib alone, each line and text by itself: {drawn - printed:.1f}")
    both = printed - began
    print(
        f"  {both * 100 / len(plan_pages):.1f} for 100 pages, {both / (drawn - printed):.2f} of it"
    )


if __name__ == "__main__":
    main()
