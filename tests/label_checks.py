"""Labels measured one by one: what they cover, and what they run into."""

from __future__ import annotations

from functools import cache

import numpy as np
import shapely
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from wirepath.sheets.lettering import MM_PER_POINT, points, typeface
from wirepath.sheets.page import MARGIN_MM

CLEAR = np.array([-0.15, -0.15, 0.15, 0.15])
"""White that must be left around every text, mm."""


@cache
def ink(text, size, bold):
    """Return width, height and depth below the baseline of a text's ink in mm.

    Measured by matplotlib from the glyphs it draws.
    """
    font = FontProperties(fname=str(typeface(bold)), size=size)
    sizes = text_to_path.get_text_width_height_descent(text, font, False)
    return tuple(MM_PER_POINT * value for value in sizes)


def ink_boxes(page):
    """Return the bounds of the ink of every text on a page, (n, 4), mm."""
    boxes = []
    for text in page.texts:
        x, y = text.origin
        width, height, depth = ink(text.text, points(text.cap_mm), text.bold)
        low, high = -depth, height - depth
        boxes.append(
            (x - high, y, x - low, y + width) if text.upwards else (x, y + low, x + width, y + high)
        )
    return np.array(boxes)


def faults(page):
    """Return what is wrong with the labels of a page, in words; empty where nothing is."""
    ink = ink_boxes(page)
    boxes = shapely.box(*(ink + CLEAR).T)
    names = [text.text for text in page.texts]
    pairs = shapely.STRtree(boxes).query(boxes, predicate="intersects").T
    found = [f"{names[i]!r} meets {names[j]!r}" for i, j in pairs if i < j]
    segments = np.concatenate(
        [np.stack([one.points[:-1], one.points[1:]], axis=1) for one in page.strokes]
    )
    lines = shapely.STRtree(shapely.linestrings(segments))
    marks = shapely.STRtree([shapely.Polygon(fill.points) for fill in page.fills])
    for what, tree in (("a line", lines), ("a mark", marks)):
        hit, _ = tree.query(boxes, predicate="intersects")
        found += [f"{names[i]!r} meets {what}" for i in np.unique(hit)]
    rim = MARGIN_MM - 0.5
    inside = shapely.box(rim, rim, page.width_mm - rim, page.height_mm - rim)
    found += [
        f"{names[i]!r} leaves the page"
        for i in np.flatnonzero(~shapely.contains(inside, shapely.box(*ink.T)))
    ]
    return [f"{page.title}: {fault}" for fault in found]
