"""Text on templates: a label where there is room, a paragraph."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from wirepath.sheets.lettering import NOTE, line_mm, wrap
from wirepath.sheets.page import Align, Page, Text
from wirepath.sheets.room import Room


def write_label(
    page: Page,
    room: Room,
    text: str,
    cap_mm: float,
    places: Iterable[tuple[float, float]],
    *,
    bold: bool = True,
    upwards: bool = False,
    align: Align = "left",
) -> bool:
    """Write `text` at the first of `places` that is free; return whether there was one."""
    marks = [Text(x, y, text, cap_mm, bold, align, upwards) for x, y in places]
    boxes = np.array([(b.x0, b.y0, b.x1, b.y1) for b in (mark.box for mark in marks)])
    free = np.flatnonzero(room.free(boxes))
    if not len(free):
        return False
    mark = marks[int(free[0])]
    page.texts.append(mark)
    room.take(mark.box)
    return True


def write_paragraph(
    page: Page,
    x: float,
    y: float,
    room: float,
    text: str,
    *,
    bold: bool = False,
    label: str = "",
    indent: float = 0.0,
) -> float:
    """Write a paragraph with its first baseline at y; return the baseline after it."""
    if label:
        page.text(x, y, label, NOTE, bold=True)
    for line in wrap(text, room - indent, NOTE, bold=bold):
        page.text(x + indent, y, line, NOTE, bold=bold)
        y -= line_mm(NOTE)
    return y - 0.6
