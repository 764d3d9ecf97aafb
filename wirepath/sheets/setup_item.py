"""How a block is laid on the table for a setup: the words, and the table from above."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon, box

from wirepath.geometry import foam_face, on_table, place_all
from wirepath.model import Layout, Plan, Setup
from wirepath.routing.tables import window
from wirepath.sheets.figures import measure, runs
from wirepath.sheets.flow import Paragraph, Together
from wirepath.sheets.lettering import HEAD, NOTE, TEXT, Box, width_mm
from wirepath.sheets.marks import View, draw_waiting
from wirepath.sheets.page import DASHES, DOTS, HAIR, HEAVY, MEDIUM, THICK, Page
from wirepath.sheets.pencil_lines import pencil_lines
from wirepath.wording import Words
from wirepath.wording.setups import SETUPS

HIGH_MM = 42.0
"""The picture is no higher."""

RIM_MM = 5.0
"""Room round it, for the letters of pencil lines."""

TICK_MM = 4.0
"""Half of a pencil line across an edge."""

DOT_MM = 1.0
"""Radius of the dot at the table's datum corner."""

CORNER_MM = 3.5
"""Size of the filled corner that marks the block's datum corner."""


def setup_sentences(plan: Plan, layout: Layout, number: int, words: Words) -> list[str]:
    """Return what to do with the block before the passes of a setup, one action each."""
    own = SETUPS[plan.workshop.paper.language]
    setup = layout.setup(number)
    told = (
        own.clear
        if number > 1
        else own.first_pushed
        if any(_pushed(layout, setup))
        else own.at_datum
    )
    texts = [told.format(number=number, count=len(layout.setups))]
    if number == 1:
        later = range(1, len(layout.setups) + 1)
        lines = [
            line.named(plan, own, words) for n in later for line in pencil_lines(plan, layout, n)
        ]
        texts += [own.draw.format(lines="; ".join(lines))] if lines else []
    before = layout.setup(number - 1) if number > 1 else Setup()
    turned = round(setup.turn_deg - before.turn_deg) % 360
    texts += {0: [], 90: [own.left], 180: [own.half], 270: [own.right]}[turned]
    lines = [line.meets(plan, own, words) for line in pencil_lines(plan, layout, number)]
    if lines:
        both = lines[0] if len(lines) == 1 else own.both.format(one=lines[0], other=lines[1])
        texts += [own.pushed.format(lines=both), own.overhang]
    elif number > 1:
        texts.append(own.put_back)
    if number > 1 or lines:
        error = measure(plan.workshop.rig.shift_error_mm, plan.workshop.paper)
        texts.append(own.shift_error.format(mm=error))
    if setup.turn_deg:
        texts.append(own.as_drawn)
    passes = [
        one.number for one in plan.passes if (one.layout, one.setup) == (layout.number, number)
    ]
    file = f"block-{layout.block:02}-layout-{layout.number:02}-setup-{number}"
    return [*texts, own.file.format(passes=runs(passes), file=file)]


def _pushed(layout: Layout, setup: Setup) -> tuple[float, float]:
    """Return how far the block is pushed to the left and down past the datum corner."""
    west, south, _, _ = on_table(box(0, 0, layout.width_mm, layout.height_mm), setup).bounds
    return -west + 0.0, -south + 0.0


@dataclass(frozen=True, slots=True)
class SetupItem:
    """The step that lays or moves the block, with the table from above below its words."""

    number: int
    sentences: tuple[str, ...]
    plan: Plan
    layout: Layout
    setup: int
    indent_mm: float

    def _words(self) -> Together:
        return Together(
            tuple(
                Paragraph(
                    text,
                    cap_mm=TEXT,
                    bold=not at,
                    before_mm=0.0 if at else 2.0,
                    after_mm=1.6,
                    indent_mm=self.indent_mm,
                    label="" if at else str(self.number),
                )
                for at, text in enumerate(self.sentences)
            )
        )

    def _about(self) -> Paragraph:
        own, rig = SETUPS[self.plan.workshop.paper.language], self.plan.workshop.rig
        parts = [own.picture]
        parts += [own.picture_clamps] if rig.clamps else []
        parts += [own.picture_waits] if rig.waits_at is not None else []
        return Paragraph("; ".join(parts) + ".", after_mm=3.0)

    def height_mm(self, width_mm: float) -> float:
        """Return the height of words and picture together."""
        return (
            self._words().height_mm(width_mm)
            + self._size(width_mm)[1]
            + self._about().height_mm(width_mm)
        )

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Write the words, and draw the table below them."""
        self._words().draw(page, x, top, width_mm)
        y = top - self._words().height_mm(width_mm)
        wide, high = self._size(width_mm)
        x0 = x + (width_mm - wide) / 2
        self._draw_table(page, Box(x0, y - high, x0 + wide, y), self._scale(width_mm))
        self._about().draw(page, x, y - high, width_mm)

    # --- The picture ---

    def _reach(self) -> Polygon:
        """Return where the wire gets on the table, as far as the block ever lies."""
        rig, cutting = self.plan.workshop.rig, self.plan.workshop.cutting
        ever = [on_table(foam_face(self.layout), one) for one in self.layout.setups]
        west, south, east, north = window(rig, cutting).bounds
        left, lower, right, upper = shapely.total_bounds(ever).tolist()
        return box(
            max(west, left) if rig.travel_x_mm is None else west,
            max(south, lower) if rig.travel_y_mm is None else south,
            min(east, right) if rig.travel_x_mm is None else east,
            min(north, upper) if rig.travel_y_mm is None else north,
        )

    def _extent(self) -> tuple[float, float, float, float]:
        """Return what of the table is shown, the same in every setup of the layout."""
        ever = [on_table(foam_face(self.layout), one) for one in self.layout.setups]
        clamps = [clamp.polygon for clamp in self.plan.workshop.rig.clamps]
        waits = self.plan.workshop.rig.waits_at
        beside = [*clamps, *([shapely.Point(waits)] if waits is not None else [])]
        west, south, east, north = shapely.total_bounds([*ever, self._reach(), *beside]).tolist()
        return west, south, east, north

    def _scale(self, width_mm: float) -> float:
        west, south, east, north = self._extent()
        return max(
            (east - west) / (width_mm - 2 * RIM_MM), (north - south) / (HIGH_MM - 2 * RIM_MM)
        )

    def _size(self, width_mm: float) -> tuple[float, float]:
        """Return width and height of the picture, its rim included."""
        west, south, east, north = self._extent()
        scale = self._scale(width_mm)
        return (east - west) / scale + 2 * RIM_MM, (north - south) / scale + 2 * RIM_MM

    def _draw_table(self, page: Page, frame: Box, scale: float) -> None:
        west, south, _, _ = self._extent()
        view = View(frame.x0 + RIM_MM - west / scale, frame.y0 + RIM_MM - south / scale, scale)
        setup = self.layout.setup(self.setup)
        now = {
            move.piece
            for one in self.plan.passes
            if (one.layout, one.setup) == (self.layout.number, self.setup)
            for move in one.moves
        }
        outlines = place_all(self.layout, self.plan.pieces)
        for placement, outline in zip(self.layout.placements, outlines, strict=True):
            area = view.area(on_table(outline, setup))
            is_now = placement.piece in now
            for ring in (area.exterior, *area.interiors):
                points = shapely.get_coordinates(ring)
                page.line(points, MEDIUM if is_now else HAIR, () if is_now else DOTS)
            if is_now:
                _name(page, placement.piece, area)
        for clamp in self.plan.workshop.rig.clamps:
            page.fill(shapely.get_coordinates(view.area(clamp.polygon).exterior))
        reach = view.area(self._reach()).exterior
        page.line(shapely.get_coordinates(reach), MEDIUM, DASHES)
        foam = view.area(on_table(foam_face(self.layout), setup)).exterior
        page.line(shapely.get_coordinates(foam), HEAVY)
        self._marks(page, view, setup)

    def _marks(self, page: Page, view: View, setup: Setup) -> None:
        """Draw the datum corners of block and table, and the pencil lines that meet there."""
        arm = CORNER_MM * view.scale
        corner = Polygon([(0, 0), (arm, 0), (0, arm)])
        page.fill(shapely.get_coordinates(view.area(on_table(corner, setup)).exterior))
        waits = self.plan.workshop.rig.waits_at
        if waits is not None:
            (spot,) = view.points([waits])
            draw_waiting(page, float(spot[0]), float(spot[1]))
        (datum,) = view.points([(0.0, 0.0)])
        x, y = float(datum[0]), float(datum[1])
        turn = np.linspace(0, 2 * np.pi, 25)
        page.fill(np.c_[x + DOT_MM * np.cos(turn), y + DOT_MM * np.sin(turn)])
        for line in pencil_lines(self.plan, self.layout, self.setup):
            (spot,) = view.points([line.at])
            u, v = float(spot[0]), float(spot[1])
            upright = line.axis == 0
            tick = (
                [(0.0, -TICK_MM), (0.0, TICK_MM)] if upright else [(-TICK_MM, 0.0), (TICK_MM, 0.0)]
            )
            page.line([(u + dx, v + dy) for dx, dy in tick], THICK)
            label = (u + 0.9, v - TICK_MM) if upright else (u - TICK_MM, v + 0.8)
            page.text(*label, line.mark, NOTE, bold=True)


def _name(page: Page, number: int, area: Polygon) -> None:
    """Write a piece's number in the middle of it, where it fits."""
    x, y = shapely.maximum_inscribed_circle(area, tolerance=0.3).coords[0]
    for cap in (HEAD, TEXT, NOTE):
        half = width_mm(str(number), cap, bold=True) / 2 + 0.4
        if area.contains(box(x - half, y - cap / 2 - 0.4, x + half, y + cap / 2 + 0.4)):
            page.text(x, y - cap / 2, str(number), cap, bold=True, align="center")
            return
