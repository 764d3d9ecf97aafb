"""Pictures of the roughing sheets: blocks, faces with marks, cutting planes, plots, depths."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, MultiLineString, Point, Polygon

from wirepath.geometry import polygons
from wirepath.model import Blank, DepthMap, FaceName, MarkPair, RoughingCut
from wirepath.roughing.pictures import FRAMES, SettingLine
from wirepath.sheets.figures import whole
from wirepath.sheets.lettering import NOTE, Box
from wirepath.sheets.lettering import width_mm as width_mm_of
from wirepath.sheets.page import DASHES, HAIR, HEAVY, MEDIUM, THICK, THIN, Page
from wirepath.sheets.room import Room
from wirepath.wording.roughing import RoughingWords

Points = NDArray[np.float64]
Layers = Sequence[tuple[float, float, Geometry]]
"""What stands of a block: (from, to, section), mm."""

TURN = math.radians(-28.0)
RISE = math.radians(32.0)
"""From where blocks are looked at: from the lower right, from above."""

SAME_MM = 0.01
"""Sections of a block whose corners lie nearer than this are one: plans give points to 0.001 mm."""

SHARP = math.radians(30.0)
"""Sides that meet at less of a turn are drawn as one round one."""

LINE_END_MM = 4.0
"""Room round a front for the letters at the ends of the line over it."""

DEPTH_STEPS_MM = (25.0, 50.0, 100.0, 200.0)

WHITE_MM = 0.5
"""Left free round a label where lines run behind it."""

FARTHEST_NUMBER_MM = 8.0
"""A number farther from its place than this is not read as its own."""


@dataclass(frozen=True, slots=True)
class Row:
    """Pictures side by side, in columns of the same width."""

    items: Sequence[Solid | FacePicture | FaceLine]
    columns: int = 2

    def height_mm(self, width_mm: float) -> float:
        """Return the height with its caption."""
        return max(item.height_mm(width_mm / self.columns - 2) for item in self.items)

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw it with its upper left corner at x, top."""
        share = width_mm / self.columns
        for place, item in enumerate(self.items):
            item.draw(page, x + place * (share + 1), top, share - 2)


@dataclass(frozen=True, slots=True)
class Solid:
    """A block in layers, seen from the lower right and above, and the wire's ends on it."""

    blank: Blank
    rims: Sequence[Points]
    """Of the layers (`visible_rims`)."""
    ends: tuple[tuple[Points, Points], ...]
    caption: str
    high_mm: float

    def height_mm(self, width_mm: float) -> float:
        """Return the height with its caption."""
        return self.high_mm + 6.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw it with its upper left corner at x, top."""
        b = self.blank
        size = np.array([b.width_mm, b.height_mm, b.thickness_mm])
        corner = np.array([b.x_mm, b.y_mm, b.from_mm])
        picks = np.array([[i & 1, i >> 1 & 1, i >> 2 & 1] for i in range(8)])
        corners = _seen(corner + picks * size)
        low, high = corners.min(axis=0), corners.max(axis=0)
        scale = min(width_mm / (high[0] - low[0]), self.high_mm / (high[1] - low[1]))
        shift = np.array([x, top - self.high_mm]) + np.array([width_mm, 0]) / 2
        middle = np.array([(low[0] + high[0]) / 2, low[1]])

        def on_paper(seen: Points) -> Points:
            found: Points = (seen - middle) * scale + shift
            return found

        def put(points: Points) -> Points:
            return on_paper(_seen(points))

        for i in range(8):
            for bit in (1, 2, 4):
                if not i & bit:
                    edge = corner + picks[[i, i | bit]] * size
                    page.line(put(edge), HAIR, DASHES)
        for line in self.rims:
            page.line(on_paper(line), HAIR)
        for one, other in self.ends:
            for points in (one, other):
                if len(points) > 1:
                    page.line(put(points), HEAVY)
            for k in (0, len(one) // 2, len(one) - 1):
                if len(one):
                    page.line(put(np.array([one[k], other[k]])), MEDIUM, DASHES)
        page.text(x + width_mm / 2, top - self.high_mm - 4.0, self.caption, align="center")


def visible_rims(layers: Layers) -> tuple[Points, ...]:
    """Return the layers' rims that nothing hides, looked at as blocks are, in mm of the block:
    only what stands higher can hide them."""
    rims: list[Points] = []
    hidden: Geometry = Polygon()
    for bottom, ceiling, region in reversed(_joined(layers)):
        ends = _seen(np.array([[0.0, 0.0, bottom], [0.0, 0.0, ceiling]]))
        down = ends[0] - ends[1]
        for part in polygons(region):
            top = shapely.orient_polygons(_at_height(part, ceiling))
            fronts = list(_fronts(top))
            walls = [Polygon([*front, *(front + down)[::-1]]) for front in fronts]
            solid = shapely.union_all([top, *walls])
            edges = [edge for front in fronts for edge in _upright_edges(front, down, top)]
            seen = shapely.union_all([shapely.boundary(top), shapely.boundary(solid), *edges])
            rims += _lines_in(shapely.difference(seen, hidden))
            hidden = shapely.union(hidden, solid)
    return tuple(rims)


def _fronts(top: Polygon) -> Iterator[Points]:
    """Yield the stretches of a section's rim, (n, 2), whose sides are seen below it: with the
    foam on the left of every ring, those that run to the right."""
    for ring in (top.exterior, *top.interiors):
        points = shapely.get_coordinates(ring)
        to_right = np.diff(points[:, 0]) > 0
        begin = int(np.argmin(to_right))
        points = np.vstack([points[begin:-1], points[: begin + 1]])
        changes = np.diff(np.roll(to_right, -begin).astype(int), prepend=0, append=0)
        for first, last in zip(
            np.flatnonzero(changes > 0), np.flatnonzero(changes < 0), strict=True
        ):
            yield points[first : last + 1]


def _upright_edges(front: Points, down: Points, top: Polygon) -> Iterator[Geometry]:
    """Yield the edges that run down from the sharp corners of a front, as far as nothing of
    the section itself stands before them."""
    sides = np.diff(front, axis=0)
    turns = np.diff(np.arctan2(sides[:, 1], sides[:, 0]))
    for corner in front[1:-1][np.abs(turns) > SHARP]:
        whole = LineString([corner, corner + down])
        for part in shapely.get_parts(shapely.difference(whole, top)):
            if shapely.dwithin(part, Point(corner), SAME_MM):
                yield part


def _joined(layers: Layers) -> Layers:
    """Return the layers, those that follow each other with one section as one: no line is
    drawn where no cut is."""
    joined: list[tuple[float, float, Geometry]] = []
    for bottom, ceiling, region in layers:
        alike = joined and shapely.equals_exact(region, joined[-1][2], SAME_MM, normalize=True)
        joined.append((joined.pop()[0] if alike else bottom, ceiling, region))
    return joined


@dataclass(frozen=True, slots=True)
class FacePicture:
    """A face of the block with the marks of one end of the wire, to scale."""

    blank: Blank
    face: FaceName
    marks: tuple[tuple[int, float, float], ...]
    caption: str
    high_mm: float

    def height_mm(self, width_mm: float) -> float:
        """Return the height with its caption."""
        return self._scale(width_mm) * self._size()[1] + 12.0

    def _size(self) -> tuple[float, float]:
        b = self.blank
        if self.face in ("left", "right"):
            return b.height_mm, b.thickness_mm
        if self.face in ("bottom", "top"):
            return b.width_mm, b.thickness_mm
        return b.width_mm, b.height_mm

    def _scale(self, width_mm: float) -> float:
        wide, high = self._size()
        return min((width_mm - 4) / wide, self.high_mm / high)

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw the face as one looks at it: the back is seen mirrored."""
        wide, high = self._size()
        scale = self._scale(width_mm)
        mirrored = self.face in ("back", "left", "top")
        low = top - 4.0 - high * scale
        box = Box(x + 2, low, x + 2 + wide * scale, top - 4.0)
        places = np.array([[along, height] for _, along, height in self.marks])
        if mirrored:
            places[:, 0] = wide - places[:, 0]
        paper = places * scale + np.array([box.x0, box.y0])
        runs = [paper[run] for run in _runs([number for number, _, _ in self.marks])]
        ways = [LineString(run) for run in runs if len(run) > 1]
        for way in ways:
            page.line(shapely.get_coordinates(way), THICK)
        for point in paper:
            page.circle(float(point[0]), float(point[1]), 0.6, THIN)
        around = Box(x, low - 1.0, x + width_mm, top)
        rings = list(shapely.boundary(shapely.buffer(shapely.points(paper), 0.6)))
        corner = np.array([box.x1 if mirrored else box.x0, low])
        taken = [*ways, *rings, _black_corner(page, corner, -2.5 if mirrored else 2.5)]
        numbers = [number for number, _, _ in self.marks]
        white = _white(_number(page, numbers, paper, taken, around))
        _behind(page, [_rim(box)], MEDIUM, white)
        page.text(x + 2, low - 4.5, self.caption, NOTE)


@dataclass(frozen=True, slots=True)
class FaceLine:
    """A face of a block, what foam the front holds, and the line by which a table's block is set.

    The face lies as one sees it who stands before it, or before the block on its edge.
    """

    blank: Blank
    line: SettingLine
    caption: str
    high_mm: float

    def height_mm(self, width_mm: float) -> float:
        """Return the height with its caption."""
        return self.high_mm + 6.0

    def _size_mm(self) -> tuple[float, float]:
        size = (self.blank.width_mm, self.blank.height_mm, self.blank.thickness_mm)
        across, up = FRAMES[self.line.face].axes
        return size[across], size[up]

    def _seen(self, points: Points) -> Points:
        """Return points of the face as it is drawn: from above the back is up, from the right it
        is on the right."""
        size = np.array(self._size_mm())
        turned = {"front": (False, False), "top": (False, True), "right": (True, False)}
        seen: Points = np.where(turned[self.line.face], size - points, points)
        return seen

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw it with its upper left corner at x, top; ends A and B stand outside the face."""
        b, room = self.blank, 2 * LINE_END_MM
        wide, high = self._size_mm()
        scale = min((width_mm - room) / wide, (self.high_mm - room) / high)
        corner = np.array(
            [
                x + (width_mm - wide * scale) / 2,
                top - self.high_mm + (self.high_mm - high * scale) / 2,
            ]
        )
        sides = shapely.get_coordinates(shapely.box(0, 0, wide, high))
        page.line(sides * scale + corner, MEDIUM)
        front = self.line.face == "front"
        foam = shapely.union_all([prism.region for prism in b.foam] if front else [])
        for part in polygons(foam):
            for ring in _lines_in(shapely.boundary(part)):
                page.line((ring - (b.x_mm, b.y_mm)) * scale + corner, HAIR)
        ends = self._seen(self.line.points) * scale + corner
        page.line(ends, HEAVY)
        way = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
        tip_x, tip_y = ends.mean(axis=0)
        page.arrow_head(tip_x, tip_y, math.atan2(way[1], way[0]))
        for name, end, out in (("A", ends[0], -way), ("B", ends[1], way)):
            place = end + out * LINE_END_MM * 0.6
            page.text(place[0], place[1] - NOTE / 2, name, NOTE, bold=True, align="center")
        page.text(x + width_mm / 2, top - self.high_mm - 4.0, self.caption, align="center")


def face_pictures(
    blank: Blank, marks: Sequence[MarkPair], words: RoughingWords, high_mm: float
) -> Iterator[list[FacePicture]]:
    """Yield the faces of the first end beside those of the second."""
    names = dict(words.faces)
    ends: list[list[FacePicture]] = []
    for caption, mine in (
        (words.first_end, [(pair.number, pair.first) for pair in marks]),
        (words.second_end, [(pair.number, pair.second) for pair in marks]),
    ):
        ends.append(
            [
                FacePicture(
                    blank,
                    face,
                    tuple((n, m.along_mm, m.height_mm) for n, m in mine if m.face == face),
                    caption.format(face=names[face]),
                    high_mm,
                )
                for face in dict.fromkeys(mark.face for _, mark in mine)
            ]
        )
    for place in range(max(map(len, ends))):
        yield [faces[place] for faces in ends if place < len(faces)]


@dataclass(frozen=True, slots=True)
class Plane:
    """A table's cut in its plane: the block's outline, what stays, the path with its points."""

    blank: Blank
    cut: RoughingCut
    caption: str
    high_mm: float

    def _shade(self) -> Polygon:
        b = self.blank
        picks = np.array([[i & 1, i >> 1 & 1, i >> 2 & 1] for i in range(8)])
        size = np.array([b.width_mm, b.height_mm, b.thickness_mm])
        points = np.array([b.x_mm, b.y_mm, b.from_mm]) + picks * size
        axes = np.array([self.cut.direction.right, self.cut.direction.up])
        hull = shapely.convex_hull(shapely.multipoints(points @ axes.T - self.cut.datum))
        assert isinstance(hull, Polygon)
        return hull

    def _scale(self, width_mm: float) -> float:
        _, _, wide, high = self._shade().bounds
        return min((width_mm - 10) / (wide + 40), self.high_mm / (high + 40))

    def height_mm(self, width_mm: float) -> float:
        """Return the height with its caption."""
        return (self._shade().bounds[3] + 40) * self._scale(width_mm) + 8.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw it with its upper left corner at x, top."""
        shade, scale = self._shade(), self._scale(width_mm)
        origin = np.array([x + 5, top - 2 - (shade.bounds[3] + 20) * scale]) + 20 * scale

        def put(points: Points) -> Points:
            found: Points = points * scale + origin - np.array([0.0, 20 * scale])
            return found

        ways = [LineString(put(shapely.get_coordinates(path))) for path in self.cut.lines]
        ways += [LineString(put(shapely.get_coordinates(path))) for path in self.cut.slits]
        for way in ways:
            page.line(shapely.get_coordinates(way), THICK)
        corners = np.vstack([put(shapely.get_coordinates(path)) for path in self.cut.lines])
        around = Box(x, top - self.height_mm(width_mm) + 6.0, x + width_mm, top)
        taken = [*ways, _black_corner(page, put(np.zeros(2)), 2.5)]
        white = _white(_number(page, range(1, len(corners) + 1), corners, taken, around))
        kept = shapely.intersection(shapely.union_all(list(self.cut.kept)), shade)
        hatching = [put(line) for line in _lines_in(_hatching(kept, 4.0 / scale, 45.0))]
        _behind(page, [LineString(line) for line in hatching], HAIR, white)
        edge = LineString(put(shapely.get_coordinates(shade.exterior)))
        _behind(page, [edge], MEDIUM, white)
        upper = [LineString(put(shapely.get_coordinates(path))) for path in self.cut.upper_lines]
        _behind(page, upper, MEDIUM, white, DASHES)
        page.text(x, top - self.height_mm(width_mm) + 2.5, self.caption, NOTE)


PLOT_MM, LEAST_PLOT_MM = 36.0, 22.0
PLOT_WORDS_MM = 12.0
"""Height of the plot of litres; what its figures take above and below."""

DEPTHS_MM = 205.0
"""Most height of the map of what is left to carve."""


def plot_within(points: tuple[tuple[int, float], ...], most: float, room_mm: float) -> Plot | None:
    """Return the plot, lower where that keeps it in `room_mm` of height; None where it does
    not fit."""
    high = min(PLOT_MM, room_mm - PLOT_WORDS_MM)
    return Plot(points, most, high) if high >= LEAST_PLOT_MM else None


@dataclass(frozen=True, slots=True)
class Plot:
    """Litres off against cuts made, with a line where all the bulk would be off."""

    points: tuple[tuple[int, float], ...]
    most: float
    high_mm: float = PLOT_MM
    """From no litres to all of them."""

    def height_mm(self, width_mm: float) -> float:
        """Return the height with its captions."""
        return self.high_mm + PLOT_WORDS_MM

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw it with its upper left corner at x, top."""
        left, wide, high = x + 14, min(width_mm - 20, 110.0), self.high_mm
        low = top - high - PLOT_WORDS_MM / 2
        cuts = max(1, self.points[-1][0])
        xs = np.array([n for n, _ in self.points]) / cuts * wide + left
        ys = np.array([v for _, v in self.points]) / max(self.most, 1e-9) * high + low
        axes = [(left, low + high + 2), (left, low), (left + wide, low)]
        most = [(left, low + high), (left + wide, low + high)]
        page.line(axes, MEDIUM)
        page.line(most, THIN, DASHES)
        page.text(left - 1.5, low + high - 1, whole(self.most), align="right")
        page.text(left - 1.5, low - 1, "0", align="right")
        page.line(np.c_[xs, ys], THICK)
        every = math.ceil(cuts / 12)
        rings = shapely.get_parts(shapely.boundary(shapely.buffer(shapely.points(xs, ys), 0.7)))
        lines = [LineString(axes), LineString(most), LineString(np.c_[xs, ys]), *rings]
        room = Room(lines, Box(left, low, left + wide + 12.0, top))
        for (number, value), px, py in zip(self.points, xs.tolist(), ys.tolist(), strict=True):
            page.circle(px, py, 0.7)
            if number % every == 0 or number == cuts:
                page.text(px, low - 4.0, str(number), align="center")
                if number:
                    size = Box(0.0, 0.0, width_mm_of(whole(value), NOTE), NOTE)
                    if (spot := room.near(px, py, 1.0, size)) is not None:
                        page.text(*spot, whole(value), NOTE)
                        room.take(Box(*spot, spot[0] + size.x1, spot[1] + NOTE))


@dataclass(frozen=True, slots=True)
class Depths:
    """The map of what is left to carve: contours with their depth, hatched the denser the deeper,
    with figures."""

    depth: DepthMap
    most_mm: float = DEPTHS_MM

    def _scale(self, width_mm: float) -> float:
        rows = self.depth.rows
        cell = self.depth.cell_mm
        return min(width_mm / (len(rows[0]) * cell), self.most_mm / (len(rows) * cell))

    def height_mm(self, width_mm: float) -> float:
        """Return the height with its caption."""
        return len(self.depth.rows) * self.depth.cell_mm * self._scale(width_mm) + 3.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw it with its upper left corner at x, top."""
        cells = np.array(self.depth.rows)
        side = self.depth.cell_mm * self._scale(width_mm)
        low = top - len(cells) * side
        around = Box(x, low, x + cells.shape[1] * side, top)
        j, i = np.nonzero(cells >= 0)
        if not len(j):
            return
        squares = (x + i * side, low + j * side, x + (i + 1) * side, low + (j + 1) * side)
        foam = shapely.union_all(shapely.box(*squares))
        contours = self._contours(cells, foam, x, low, side)
        labels = _on_lines(page, contours)
        labels += self._figures(page, cells, labels, x, low, side)
        white = _white(labels)
        _behind(page, [_rim(around)], HAIR, white, DASHES)
        edges = [LineString(line) for line in _lines_in(shapely.boundary(foam))]
        _behind(page, edges, THICK, white)
        for place, (_, lines, deeper) in enumerate(contours):
            _behind(page, lines, MEDIUM, white)
            if place == 0:
                continue
            hatching = _lines_in(_hatching(deeper, 3.0, 135.0 if place % 2 else 45.0))
            _behind(page, [LineString(line) for line in hatching], HAIR, white)

    @staticmethod
    def _contours(
        cells: Points, foam: Geometry, x: float, low: float, side: float
    ) -> list[tuple[float, list[LineString], Geometry]]:
        """Return for each depth its lines on paper, and where it is deeper."""
        from contourpy import contour_generator

        known = _spread_out(cells)
        rows, columns = known.shape
        # Depths stand in the middle of their cells; one row more all round reaches the rim.
        made = contour_generator(
            x + (np.arange(columns) - 0.5) * side, low + (np.arange(rows) - 0.5) * side, known
        )
        found: list[tuple[float, list[LineString], Geometry]] = []
        for step in DEPTH_STEPS_MM:
            # Lines of a generator made without chunks are arrays (n, 2).
            lines = [LineString(line) for line in made.lines(step)]  # type: ignore[arg-type]
            inside = shapely.intersection(MultiLineString(lines), foam)
            parts = [LineString(part) for part in _lines_in(inside) if len(part) > 1]
            areas = [
                Polygon(ring, rings)
                for ring, *rings in (
                    np.split(points, offsets[1:-1].astype(int))
                    for points, offsets in zip(*made.filled(step, np.inf), strict=True)
                )
            ]
            deeper = shapely.intersection(
                shapely.union_all(shapely.make_valid(np.array(areas, dtype=object))), foam
            )
            found.append((step, parts, deeper))
        return found

    @staticmethod
    def _figures(
        page: Page, cells: Points, taken: Sequence[Box], x: float, low: float, side: float
    ) -> list[Box]:
        """Write how deep it is still to go, in mm, and return the boxes of the figures."""
        boxes = []
        every = max(1, math.ceil(8.0 / side))
        for row in range(every // 2, cells.shape[0], every):
            for column in range(every // 2, cells.shape[1], every):
                if cells[row, column] < 0:
                    continue
                text = whole(float(cells[row, column]))
                middle, foot = x + (column + 0.5) * side, low + (row + 0.5) * side - 0.8
                half = width_mm_of(text, NOTE) / 2
                box = Box(middle - half, foot, middle + half, foot + NOTE)
                if any(box.grown(1.0).meets(other) for other in taken):
                    continue
                page.text(middle, foot, text, NOTE, align="center")
                boxes.append(box)
        return boxes


LEAST_NAMED_MM = 12.0
"""Contours shorter than this on paper carry no figure."""


def _on_lines(
    page: Page, contours: Sequence[tuple[float, list[LineString], Geometry]]
) -> list[Box]:
    """Write the depth of each contour on it, bold, where no other stands; return the boxes."""
    boxes: list[Box] = []
    for depth, lines, _ in contours:
        text = whole(depth)
        half = width_mm_of(text, NOTE, bold=True) / 2
        for line in lines:
            if line.length < LEAST_NAMED_MM:
                continue
            for share in (0.5, 0.35, 0.65, 0.2, 0.8):
                at = line.interpolate(share, normalized=True)
                foot = at.y - NOTE / 2
                box = Box(at.x - half, foot, at.x + half, foot + NOTE)
                if not any(box.grown(1.0).meets(other) for other in boxes):
                    page.text(at.x, foot, text, NOTE, bold=True, align="center")
                    boxes.append(box)
                    break
    return boxes


def _spread_out(cells: Points) -> Points:
    """Return the cells with one more row all round, each cell without foam as deep as the
    deepest beside it: so that contours run on to the form's rim."""
    known = np.pad(np.where(cells < 0, np.nan, cells), 1, constant_values=np.nan)
    while np.isnan(known).any():
        around = np.pad(known, 1, constant_values=np.nan)
        near = np.stack(
            [
                around[1 + dy : around.shape[0] - 1 + dy, 1 + dx : around.shape[1] - 1 + dx]
                for dy, dx in ((0, 1), (0, -1), (1, 0), (-1, 0))
            ]
        )
        deepest = np.where(np.isnan(near), -1.0, near).max(axis=0)
        known = np.where(np.isnan(known) & (deepest >= 0), deepest, known)
    return known


def _behind(
    page: Page,
    lines: Sequence[Geometry],
    width_mm: float,
    white: Geometry,
    dashes: tuple[float, ...] = (),
) -> None:
    """Draw lines that run behind labels: they break off where `white` is left for one."""
    seen = np.array(lines, dtype=object)
    shapely.prepare(white)
    broken = shapely.intersects(white, seen)
    seen[broken] = shapely.difference(seen[broken], white)
    for line in seen:
        for part in _lines_in(line):
            page.line(part, width_mm, dashes)


def _white(labels: Sequence[Box]) -> Geometry:
    """Return what is left free round labels where lines run behind them."""
    return shapely.union_all(
        [
            shapely.box(
                label.x0 - WHITE_MM,
                label.y0 - 0.6 - WHITE_MM,
                label.x1 + WHITE_MM,
                label.y1 + WHITE_MM,
            )
            for label in labels
        ]
    )


def _black_corner(page: Page, corner: Points, wide_mm: float) -> Polygon:
    """Fill the corner that figures count from, so wide and as high; return what it covers."""
    ends = np.array([[0.0, 0.0], [wide_mm, 0.0], [0.0, abs(wide_mm)]]) + corner
    page.fill(ends)
    return Polygon(ends)


def _rim(box: Box) -> Geometry:
    return LineString(shapely.box(box.x0, box.y0, box.x1, box.y1).exterior.coords)


def _number(
    page: Page,
    numbers: Sequence[int],
    places: Points,
    lines: Sequence[Geometry],
    within: Box,
) -> list[Box]:
    """Write numbers beside their places, off the lines and off each other, and return where.

    Where they crowd, those at the ends and every fifth come first; what finds no room is
    left to the table.
    """
    taken: list[Box] = []
    if not len(numbers):
        return taken
    room = Room(lines, within)
    order = sorted(
        range(len(numbers)),
        key=lambda k: (k not in (0, len(numbers) - 1), numbers[k] % 5 != 0, k),
    )
    for k in order:
        text = str(numbers[k])
        px, py = (float(value) for value in places[k])
        spot = room.near(px, py, 1.0, Box(0.0, 0.0, width_mm_of(text, NOTE), NOTE))
        if spot is None or math.dist(spot, (px, py)) > FARTHEST_NUMBER_MM:
            continue
        box = Box(spot[0], spot[1], spot[0] + width_mm_of(text, NOTE), spot[1] + NOTE)
        room.take(box)
        taken.append(box)
        page.text(box.x0, box.y0, text, NOTE)
    return taken


def _seen(points: Points) -> Points:
    """Return points (n, 3) as they look from the lower right and above, (n, 2), y up."""
    c, s = math.cos(TURN), math.sin(TURN)
    across = points[:, 0] * c - points[:, 1] * s
    away = points[:, 0] * s + points[:, 1] * c
    seen: Points = np.c_[across, away * math.sin(RISE) + points[:, 2] * math.cos(RISE)]
    return seen


def _at_height(part: Polygon, z_mm: float) -> Polygon:
    """Return a section as it is seen at its height."""

    def seen(points: Points) -> Points:
        return _seen(np.c_[points, np.full(len(points), z_mm)])

    found = shapely.transform(shapely.simplify(part, 2.0), seen)
    assert isinstance(found, Polygon)
    return found


def _lines_in(geometry: Geometry) -> Iterator[Points]:
    for part in shapely.get_parts(shapely.line_merge(geometry)):
        for line in shapely.get_parts(part):
            points = shapely.get_coordinates(line)
            if len(points) > 1:
                yield points


def _hatching(area: Geometry, apart: float, angle_deg: float) -> Geometry:
    x0, y0, x1, y1 = shapely.bounds(area)
    if not np.isfinite(x0):
        return Polygon()
    reach = math.hypot(x1 - x0, y1 - y0)
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    along = np.array([math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))])
    across = np.array([-along[1], along[0]])
    offs = np.arange(-reach / 2, reach / 2, apart)[:, None] * across + middle
    ends = np.stack([offs - along * reach, offs + along * reach], axis=1)
    found: Geometry = shapely.intersection(shapely.multilinestrings(list(ends)), area)
    return found


def _runs(numbers: Sequence[int]) -> Iterator[list[int]]:
    """Yield the places of numbers that follow each other without a gap."""
    run: list[int] = []
    for place, number in enumerate(numbers):
        if run and number != numbers[run[-1]] + 1:
            yield run
            run = []
        run.append(place)
    if run:
        yield run
