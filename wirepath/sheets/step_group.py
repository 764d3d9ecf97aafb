"""Steps with a small picture: the lines they cut, and what comes free with the last of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon

from wirepath.model import Layout
from wirepath.sheets.flow import Paragraph
from wirepath.sheets.lettering import HEAD, NOTE, TEXT, Box, width_mm
from wirepath.sheets.page import (
    CHAIN,
    DOTS,
    HAIR,
    MEDIUM,
    THICK,
    Page,
    Points,
    arrow_head,
)
from wirepath.sheets.steps import Step

MOST_HIGH_MM = 60.0
WORDS_GAP_MM = 5.0


@dataclass(frozen=True, slots=True)
class StepGroup:
    """Steps up to one with which something comes free, words beside a picture.

    `earlier` holds the closed lines, (n, 2), of what came free before; `pieces` the
    outlines of all pieces where they lie, by number.
    """

    steps: tuple[Step, ...]
    layout: Layout
    pieces: dict[int, Polygon]
    earlier: tuple[Points, ...]
    indent_mm: float
    share: float
    """Of a frame's width that the picture takes; its height follows from the foam."""

    def _words(self) -> list[Paragraph]:
        return [
            Paragraph(
                step.text,
                cap_mm=TEXT,
                after_mm=1.6,
                indent_mm=self.indent_mm,
                label=str(step.number),
            )
            for step in self.steps
        ]

    def _picture_mm(self, width: float) -> tuple[float, float]:
        """Return width and height of the picture; none where nothing is cut."""
        if not any(step.kind not in ("air", "slot") for step in self.steps):
            return 0.0, 0.0
        high = self.layout.height_mm / self.layout.width_mm
        wide = min(self.share * width, MOST_HIGH_MM / high)
        return wide, wide * high

    def height_mm(self, width_mm: float) -> float:
        """Return the height of words and picture, whichever is the more."""
        wide, high = self._picture_mm(width_mm)
        room = width_mm - (wide + WORDS_GAP_MM if wide else 0.0)
        words = sum(item.height_mm(room) for item in self._words())
        return max(words, high + 1.0) + 2.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Write the words at the left, draw the picture at the right."""
        wide, high = self._picture_mm(width_mm)
        room = width_mm - (wide + WORDS_GAP_MM if wide else 0.0)
        y = top
        for item in self._words():
            item.draw(page, x, y, room)
            y -= item.height_mm(room)
        if wide:
            x0 = x + width_mm - wide
            self._draw_picture(page, Box(x0, top - 0.5 - high, x0 + wide, top - 0.5))

    def _draw_picture(self, page: Page, box: Box) -> None:
        scale = self.layout.width_mm / box.width

        def on_page(points: Points) -> Points:
            moved: Points = points / scale + (box.x0, box.y0)
            return moved

        page.box(box, MEDIUM)
        for outline in self.pieces.values():
            for ring in (outline.exterior, *outline.interiors):
                page.line(_lean(on_page(shapely.get_coordinates(ring))), HAIR, DOTS)
        for ring in self.earlier:
            page.line(_lean(on_page(ring)), HAIR)
        cut: list[Points] = []
        for step in self.steps:
            if step.kind in ("air", "slot") or not LineString(step.points).length:
                continue
            points = _lean(on_page(step.points))
            page.line(points, THICK, () if step.kind in ("outline", "hole") else CHAIN)
            cut.append(points)
            head = _head(points)
            if head is not None:
                page.fill(head)
                cut.append(np.vstack([head, head[:1]]))
        last = self.steps[-1]
        if last.freed is not None and last.kind == "outline" and last.piece is not None:
            outline = self.pieces[last.piece]
            area = Polygon(
                on_page(shapely.get_coordinates(outline.exterior)),
                [on_page(shapely.get_coordinates(ring)) for ring in outline.interiors],
            )
            _write_number(page, last.piece, area, cut)


def _write_number(page: Page, number: int, area: Polygon, cut: Sequence[Points]) -> None:
    """Write a piece's number in the middle of it, where it fits."""
    x, y = shapely.maximum_inscribed_circle(area, tolerance=0.3).coords[0]
    lines = shapely.union_all([area.boundary, *(LineString(one) for one in cut)])
    text = str(number)
    for cap in (HEAD, TEXT, NOTE):
        half = width_mm(text, cap, bold=True) / 2 + 0.4
        room = shapely.box(x - half, y - cap / 2 - 0.4, x + half, y + cap / 2 + 0.4)
        if not shapely.intersects(lines, room):
            page.text(x, y - cap / 2, text, cap, bold=True, align="center")
            return


def _lean(points: Points) -> Points:
    """Return the line with points left off that move it by less than 0.05 mm."""
    kept: Points = shapely.get_coordinates(shapely.simplify(LineString(points), 0.05))
    return kept


def _head(points: Points) -> Points | None:
    """Return an arrow head in the middle of a line, None on a short one."""
    line = LineString(points)
    if line.length < 3.0:
        return None
    tip = line.interpolate(line.length / 2 + 0.9)
    foot = line.interpolate(line.length / 2 - 0.9)
    return arrow_head(tip.x, tip.y, math.atan2(tip.y - foot.y, tip.x - foot.x), 2.0, 0.8)
