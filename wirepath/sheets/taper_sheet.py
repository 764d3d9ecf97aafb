"""The two faces of a taper: both lines with their stations, the solid aslant, a table."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from wirepath.geometry import place_ruled
from wirepath.kerf import Station, placed_stations, taper_line
from wirepath.model import Layout, Placement, Plan, Ruled
from wirepath.sheets.figures import beside, measure, piece_name, sentence, short, whole
from wirepath.sheets.flow import Flow, Frame, Paragraph, Table
from wirepath.sheets.lettering import NOTE, TEXT, Box, width_mm
from wirepath.sheets.page import DASHES, HAIR, MEDIUM, THICK, THIN, Page
from wirepath.sheets.room import Room
from wirepath.sheets.strip import body, columns, text_page
from wirepath.wording import Words

Points = NDArray[np.float64]

COLUMN_MM = 150.0
PICTURE_MM = (122.0, 122.0)
ASLANT_MM = (58.0, 70.0)
SCALES = (1.0, 2.0, 2.5, 5.0, 10.0, 15.0, 20.0, 25.0, 50.0, 100.0)
TURN, RISE = math.radians(-30.0), math.radians(28.0)
"""From where the solid is looked at: from the lower right of the front, from above."""
TICK_MM = 1.6


def taper_pages(plan: Plan, group: Sequence[Layout], words: Words) -> list[Page]:
    """Return a page or more for each taper on layouts alike; none where nothing tapers."""
    pages: list[Page] = []
    for placement in group[0].placements:
        if plan.piece(placement.piece).taper is not None:
            _add_pages(pages, plan, group[0], placement, words)
    return pages


def _add_pages(
    pages: list[Page], plan: Plan, layout: Layout, placement: Placement, words: Words
) -> None:
    piece = plan.piece(placement.piece)
    assert piece.taper is not None
    title = sentence(words.taper_title.format(piece=piece_name(piece, words)))

    def more() -> Sequence[Frame]:
        pages.append(text_page(plan, title))
        return columns(pages[-1], body(pages[-1]), COLUMN_MM)

    flow = Flow([], more)
    for text in words.taper_intro:
        flow.add(Paragraph(text, cap_mm=TEXT, after_mm=1.5))
    if placement.flipped:
        flow.add(Paragraph(words.taper_face_down, cap_mm=TEXT, bold=True, after_mm=1.5))
    cutting = plan.workshop.cutting
    marks = placed_stations(piece, placement, cutting)
    line = taper_line(place_ruled(piece.taper.cut, placement), cutting).line
    pictures = _Pictures(line, place_ruled(piece.taper.cut, placement), marks)
    flow.add(Paragraph(words.taper_picture.format(scale=short(pictures.scale)), after_mm=1.0))
    flow.add(pictures)
    flow.add(Paragraph(words.taper_note, after_mm=1.5))
    flow.table(_table(plan, marks, words))


def _table(plan: Plan, marks: Sequence[Station], words: Words) -> Table:
    def figure(mm: float) -> str:
        return beside(whole(mm), mm, plan.workshop.paper)

    rows = []
    for before, mark in zip([None, *marks[:-1]], marks, strict=True):
        ways = (
            ("", "")
            if before is None
            else (
                measure(math.dist(before.near, mark.near), plan.workshop.paper),
                measure(math.dist(before.far, mark.far), plan.workshop.paper),
            )
        )
        number = "0" if mark is marks[-1] else str(mark.number)
        rows.append(
            (number + (" *" if mark.corner else ""), *map(figure, (*mark.near, *mark.far)), *ways)
        )
    heads = [head.replace(" ", "\n", 1) for head in words.taper_heads]
    # With inches beside them the figures need smaller letters to stand in one line.
    cap_mm = NOTE if plan.workshop.paper.inches else TEXT
    gap_mm = 2.0 if plan.workshop.paper.inches else 4.0
    return Table(heads, rows, "rrrrrrr", wraps=(), cap_mm=cap_mm, gap_mm=gap_mm)


@dataclass(frozen=True, slots=True)
class _Pictures:
    """Both lines to scale with their stations, and the solid seen aslant beside them."""

    line: Ruled
    solid: Ruled
    marks: tuple[Station, ...]

    @property
    def scale(self) -> float:
        """The scale of the lines: 5 for 1 : 5."""
        wide, high = np.ptp(self._points(), axis=0) / (np.array(PICTURE_MM) - 16.0)
        return next((one for one in SCALES if one >= max(wide, high)), SCALES[-1])

    def _points(self) -> Points:
        return np.concatenate((np.array(self.line.near), np.array(self.line.far)))

    def height_mm(self, width_mm: float) -> float:
        """Return the height of the higher of the two pictures."""
        high = float(np.ptp(self._points()[:, 1])) / self.scale + 16.0
        return max(high, ASLANT_MM[1]) + 2.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw the lines at the left, the solid at the right."""
        low = top - self.height_mm(width_mm) + 2.0
        self._draw_lines(page, Box(x, low, x + PICTURE_MM[0], top))
        right = x + width_mm
        self._draw_aslant(page, Box(right - ASLANT_MM[0], top - ASLANT_MM[1], right, top))

    def _draw_lines(self, page: Page, box: Box) -> None:
        corner = self._points().min(axis=0)

        def put(points: object) -> Points:
            moved: Points = (np.asarray(points, dtype=float) - corner) / self.scale
            placed: Points = moved + np.array([box.x0 + 8.0, box.y0 + 8.0])
            return placed

        near, far = (put([*ring, ring[0]]) for ring in (self.line.near, self.line.far))
        marks = self.marks[:-1]
        pairs = [put([mark.near, mark.far]) for mark in marks]
        page.line(near, THICK)
        page.line(far, MEDIUM, DASHES)
        for pair in pairs:
            page.line(pair, HAIR)
        room = Room([LineString(near), LineString(far), *map(LineString, pairs)], box)
        for mark, pair in zip(marks, pairs, strict=True):
            out = _outward(near, pair[0])
            # Of two lines the outer one is numbered outside, the other inside.
            sign = -1.0 if float(np.dot(pair[1] - pair[0], out)) > 0.1 else 1.0
            _number(page, room, str(mark.number), pair[0], sign * out, bold=True)
            _number(page, room, str(mark.number), pair[1], -sign * out, bold=False)

    def _draw_aslant(self, page: Page, box: Box) -> None:
        """Draw faces and rulings; what the front face hides is left off, the rest is thin."""
        ends = [np.array(ring) for ring in (self.solid.near, self.solid.far)]
        flat = [
            _aslant(ring, z) for ring, z in zip(ends, (0.0, -self.solid.thickness_mm), strict=True)
        ]
        both = np.concatenate(flat)
        low, size = both.min(axis=0), np.ptp(both, axis=0)
        scale = max(size / (np.array([box.width, box.height]) - 6.0))
        foot = np.array([box.x0 + 3.0, box.y0 + 3.0])
        near, far = ((ring - low) / scale + foot for ring in flat)
        front = shapely.polygons(near)
        shown = [LineString([*far, far[0]])]
        shown += [LineString(pair) for pair in self._edges(near, far)]
        for one in shown:
            for part in shapely.get_parts(shapely.difference(one, front)):
                if part.length > 0.2:
                    page.line(shapely.get_coordinates(part), THIN)
        page.line([*near, near[0]], THICK)

    def _edges(self, near: Points, far: Points) -> list[Points]:
        """Return the rulings at the corners of the solid; a few all round where it has none."""
        rings = [np.array(ring) for ring in (self.solid.near, self.solid.far)]
        steps = [np.roll(ring, -1, axis=0) - ring for ring in rings]
        turns = []
        for step in steps:
            before = np.roll(step, 1, axis=0)
            cross = before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0]
            turns.append(np.abs(np.arctan2(cross, (before * step).sum(axis=1))))
        chosen = np.flatnonzero(np.maximum(*turns) > math.radians(20))
        if not len(chosen):
            chosen = np.arange(0, len(near), max(1, len(near) // 12))
        return [np.vstack((near[k], far[k])) for k in chosen]


def _outward(ring: Points, at: Points) -> Points:
    """Return the direction out of a closed line run anticlockwise, at a place on it."""
    line = LineString(ring)
    here = line.project(shapely.Point(at))
    before, after = (
        shapely.get_coordinates(line.interpolate((here + step) % line.length))[0]
        for step in (-1.0, 1.0)
    )
    along = (after - before) / max(float(np.hypot(*(after - before))), 1e-9)
    return np.array([along[1], -along[0]])


def _aslant(ring: Points, z: float) -> Points:
    """Return points of a face as seen from the lower right of the front, from above, (n, 2)."""
    x, y = ring.T
    right = math.cos(TURN) * x + math.sin(TURN) * z
    deep = -math.sin(TURN) * x + math.cos(TURN) * z
    return np.column_stack((right, math.cos(RISE) * y - math.sin(RISE) * deep))


def _number(page: Page, room: Room, text: str, at: Points, away: Points, *, bold: bool) -> None:
    """Write a station's number beside its place, on the side of `away`, where it is free."""
    half = width_mm(text, NOTE, bold=bold) / 2
    out = away / max(float(np.hypot(*away)), 1e-9)
    page.line([at - out * TICK_MM / 2, at + out * TICK_MM], THIN)
    for reach in (1.2, 2.4, 4.0, 6.0):
        for aside in (0.0, 2.0, -2.0, 4.0, -4.0):
            middle = at + out * (TICK_MM + reach + abs(out[0]) * half + abs(out[1]) * NOTE / 2)
            middle = middle + np.array([-out[1], out[0]]) * aside
            box = Box(
                float(middle[0]) - half - 0.3,
                float(middle[1]) - NOTE / 2 - 0.3,
                float(middle[0]) + half + 0.3,
                float(middle[1]) + NOTE / 2 + 0.3,
            )
            if room.free(np.array([(box.x0, box.y0, box.x1, box.y1)]))[0]:
                room.take(box)
                page.text(float(middle[0]), box.y0 + 0.3, text, NOTE, bold=bold, align="center")
                return
