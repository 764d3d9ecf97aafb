"""A slab cut along a fence: how to push, a picture of the cuts, and the settings in order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon, box

from wirepath.fencing import parts
from wirepath.geometry import place_all, polygons
from wirepath.model import Layout, Plan
from wirepath.sheets.figures import beside, short
from wirepath.sheets.flow import Flow, Frame, Paragraph, Table, heading
from wirepath.sheets.layout_sheet import shared_name
from wirepath.sheets.lettering import NOTE, TEXT, Box, width_mm
from wirepath.sheets.marks import SCALES
from wirepath.sheets.page import HAIR, HEAVY, MEDIUM, Page
from wirepath.sheets.room import Room
from wirepath.sheets.strip import body, columns, text_page
from wirepath.wording import Words
from wirepath.wording.fence import FENCE, FenceWords

SPOTS = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
"""Shares of a cut's length at which its number is tried."""

EDGES = {"left": 0, "lower": 1, "right": 2, "upper": 3}


def fence_pages(plan: Plan, group: Sequence[Layout], words: Words) -> list[Page]:
    """Return the pages that tell how layouts alike are cut along the fence; none without one."""
    layout = group[0]
    if not layout.fence_cuts:
        return []
    own = FENCE[plan.workshop.paper.language]
    name = shared_name(plan, group, words)
    title = own.title.format(name=name)
    pages: list[Page] = []

    def more() -> Sequence[Frame]:
        pages.append(text_page(plan, title))
        return columns(pages[-1], body(pages[-1]), 150.0)

    flow = Flow([], more)
    by_hand = _by_hand(plan, layout)
    summary = own.summary.format(
        cuts=len(layout.fence_cuts),
        settings=len(layout.fence_settings),
        pieces=len(layout.placements),
        hand=len(by_hand),
    )
    flow.add(Paragraph(summary, cap_mm=TEXT, bold=True, after_mm=2.0))
    flow.add(Paragraph(own.safety_title, cap_mm=TEXT, bold=True, after_mm=1.0))
    for text in own.safety:
        flow.add(Paragraph(text, cap_mm=TEXT, bold=True, after_mm=1.0))
    flow.add(Paragraph(own.steps_title, cap_mm=TEXT, bold=True, before_mm=1.5, after_mm=1.0))
    cutting = plan.workshop.cutting
    for number, text in enumerate(own.steps, 1):
        told = text.format(feed=short(cutting.feed_mm_per_s), kerf=short(cutting.kerf_mm, 2))
        flow.add(Paragraph(told, cap_mm=TEXT, indent_mm=7.0, label=str(number), after_mm=1.0))
    picture = _Picture(plan, layout, flow.width_mm)
    flow.add(Paragraph(own.picture.format(scale=short(picture.scale)), after_mm=1.0), picture)
    pages[0].scale = words.scale.format(scale=short(picture.scale))
    rows = list(_rows(plan, layout, by_hand, own, words))
    table = Table(own.heads, rows, "rrlllll", wraps=(1, 2, 4, 5, 6), gap_mm=2.5, cap_mm=TEXT)
    flow.table(table, before=(heading(own.table_title),))
    if by_hand:
        sheet = words.layout_title.format(name=name)
        flow.add(Paragraph(own.rest.format(sheet=sheet), cap_mm=TEXT, before_mm=2.0))
    return pages


def _by_hand(plan: Plan, layout: Layout) -> set[int]:
    """Return the pieces of a layout of which something is left to be cut by hand."""
    return {
        move.piece
        for one in plan.passes
        if one.layout == layout.number and one.number > len(layout.fence_cuts)
        for move in one.moves
        if move.piece is not None
    }


def _rows(
    plan: Plan, layout: Layout, by_hand: set[int], own: FenceWords, words: Words
) -> Iterator[tuple[str, ...]]:
    """Give each cut: setting, part, size, side, and what comes off on either side."""
    kerf, paper = plan.workshop.cutting.kerf_mm, plan.workshop.paper
    near = plan.workshop.wire.diameter_mm / 2
    shapes = parts(layout, kerf)
    cut_again = {cut.part for cut in layout.fence_cuts}
    outlines = place_all(layout, plan.pieces)
    offcuts = [one for one in plan.estimate.offcuts if one.layout == layout.number]

    def told(number: int | None) -> str:
        if number is None:
            return own.nothing
        if number in cut_again:
            return own.part.format(number=number)
        room = box(*shapes[number])
        for lie, outline in zip(layout.placements, outlines, strict=True):
            if room.intersects(outline.point_on_surface()):
                text = own.piece_by_hand if lie.piece in by_hand else own.piece
                return text.format(number=lie.piece)
        kept = [
            own.offcut.format(name=one.name)
            for one in offcuts
            if room.contains(
                box(one.x_mm, one.y_mm, one.x_mm + one.width_mm, one.y_mm + one.height_mm).centroid
            )
        ]
        return ", ".join(kept) or own.waste

    number = 0
    for group in layout.fence_settings:
        for place, cut in enumerate(group):
            number += 1
            x0, y0, x1, y1 = shapes[cut.part]
            fence = cut.fence_mm - near
            yield (
                str(number),
                beside(short(fence), fence, paper) if place == 0 else '"',
                own.part.format(number=cut.part) if cut.part else own.slab,
                f"{short(x1 - x0)} x {short(y1 - y0)}",
                words.edges[EDGES[cut.against]],
                told(cut.beside),
                told(cut.beyond),
            )


@dataclass(frozen=True, slots=True)
class _Picture:
    """The slab to scale: its pieces thin, the cuts thick with their numbers."""

    plan: Plan
    layout: Layout
    wide_mm: float

    @property
    def scale(self) -> float:
        """10 for 1 : 10."""
        room = (self.wide_mm - 4.0, 150.0)
        sizes = (self.layout.width_mm, self.layout.height_mm)
        needed = max(size / mm for size, mm in zip(sizes, room, strict=True))
        return next(one for one in SCALES if one >= needed)

    def height_mm(self, width_mm: float) -> float:
        """Return its height."""
        return self.layout.height_mm / self.scale + 4.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw it centred."""
        layout, scale = self.layout, self.scale
        left = x + (width_mm - layout.width_mm / scale) / 2
        low = top - 2.0 - layout.height_mm / scale

        def put(points: object) -> NDArray[np.float64]:
            moved: NDArray[np.float64] = np.asarray(points, dtype=float) / scale + (left, low)
            return moved

        frame = Box(left, low, left + layout.width_mm / scale, low + layout.height_mm / scale)
        page.box(frame, MEDIUM)
        outlines = place_all(layout, self.plan.pieces)
        rings = [
            LineString(put(shapely.get_coordinates(ring)))
            for outline in outlines
            for ring in (outline.exterior, *outline.interiors)
        ]
        for ring in rings:
            page.line(shapely.get_coordinates(ring), HAIR)
        cuts = [
            LineString(put(shapely.get_coordinates(one.moves[0].line)))
            for one in self.plan.passes
            if one.layout == layout.number and one.number <= len(layout.fence_cuts)
        ]
        for cut in cuts:
            page.line(shapely.get_coordinates(cut), HEAVY)
        room = Room([*cuts], frame)
        for number, cut in enumerate(cuts, 1):
            _number(page, room, str(number), cut)
        for lie, outline in zip(layout.placements, outlines, strict=True):
            _name(
                page, room, str(lie.piece), Polygon(put(shapely.get_coordinates(outline.exterior)))
            )


def _number(page: Page, room: Room, text: str, cut: LineString) -> None:
    """Write a cut's number beside it, where it is free."""
    wide = width_mm(text, TEXT, bold=True)
    upright = abs(cut.coords[0][0] - cut.coords[-1][0]) < 1e-6
    for share in SPOTS:
        at = cut.interpolate(share, normalized=True)
        for side in (1.0, -1.0):
            x = at.x + (side * (1.2 + wide / 2) if upright else 0.0)
            y = at.y - TEXT / 2 + (0.0 if upright else side * (1.2 + TEXT / 2))
            spot = Box(x - wide / 2, y, x + wide / 2, y + TEXT)
            if room.free(np.array([(spot.x0, spot.y0, spot.x1, spot.y1)]))[0]:
                room.take(spot)
                page.text(x, y, text, TEXT, bold=True, align="center")
                return


def _name(page: Page, room: Room, text: str, outline: Polygon) -> None:
    """Write a piece's number in it, in small figures, if there is room."""
    wide = width_mm(text, NOTE)
    for area in polygons(outline):
        at = room.spot(area, Box(0.0, 0.0, wide, NOTE))
        if at is not None:
            page.text(at[0], at[1], text, NOTE)
            return
