"""Roughing on paper: what was compared, each cut with pictures and marks, what is left to carve."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon

from wirepath.geometry import polygons
from wirepath.model import Blank, DepthMap, FaceName, MarkPair, RoughingCut, RoughingPlan
from wirepath.roughing.directions import swept
from wirepath.roughing.pictures import cuts_of, layers_after, wire_ends
from wirepath.roughing.planning import litres_by_cut
from wirepath.sheets.figures import fixed, kilos, short, whole
from wirepath.sheets.flow import Flow, Frame, Paragraph, Space, Table, heading
from wirepath.sheets.lettering import NOTE, TEXT, Box
from wirepath.sheets.page import DASHES, HAIR, HEAVY, MEDIUM, THICK, THIN, Page, upright
from wirepath.sheets.roughing_words import ENGLISH, RoughingWords
from wirepath.sheets.strip import body, columns

Points = NDArray[np.float64]
Put = Callable[[Points], Points]

NO_NAMES: Mapping[int, str] = {}

PICTURE_MM = 68.0
FACE_MM = 62.0
TURN = math.radians(-28.0)
RISE = math.radians(32.0)
"""From where blocks are looked at: from the lower right, from above."""

DEPTH_STEPS_MM = (25.0, 50.0, 100.0, 200.0)


def roughing_pages(
    plan: RoughingPlan,
    *,
    paper: str = "A4",
    words: RoughingWords = ENGLISH,
    names: Mapping[int, str] = NO_NAMES,
) -> list[Page]:
    """Return the pages of one form's roughing, without title strips: the summary, one or
    more pages for each cut in the order of work, and the map of what is left to carve.

    `names` are those of a plan's pieces, by their numbers.
    """
    pages = _summary(plan, names, paper, words)
    for blank in plan.blanks:
        for made, cut in enumerate(cuts_of(plan, blank)):
            pages += _cut_pages(plan, blank, cut, made, names, paper, words)
    if plan.depth is not None:
        pages += _map_pages(plan, plan.depth, paper, words)
    return pages


def _called(blank: Blank, names: Mapping[int, str], words: RoughingWords) -> str:
    """Return what is cut: a piece by its name, else a block of the roughing's own."""
    if not blank.pieces:
        return words.block.format(number=blank.number)
    if len(blank.pieces) > 1:
        return words.glued_form
    return words.piece.format(
        number=blank.pieces[0], name=names.get(blank.pieces[0], str(blank.pieces[0]))
    )


def _fills_its_box(blank: Blank) -> bool:
    box = blank.width_mm * blank.height_mm * blank.thickness_mm
    return not blank.foam or blank.volume_mm3 > 0.999 * box


def _flow(pages: list[Page], title: str, paper: str) -> Flow:
    def more() -> Sequence[Frame]:
        width, height = upright(paper)
        pages.append(Page(width, height, title=title))
        return columns(pages[-1], body(pages[-1]), 150.0)

    return Flow([], more)


def _summary(
    plan: RoughingPlan, names: Mapping[int, str], paper: str, words: RoughingWords
) -> list[Page]:
    pages: list[Page] = []
    flow = _flow(pages, words.title.format(name=plan.name), paper)
    flow.add(
        Paragraph(
            words.picked.format(
                way=plan.way,
                cuts=len(plan.cuts),
                off=whole(plan.litres_off),
                removable=whole(plan.removable_litres),
                share=whole(100 * plan.bulk_share),
                hull=whole(plan.bound_litres),
            ),
            cap_mm=TEXT,
            bold=True,
        ),
        Paragraph(
            words.left.format(
                least=whole(plan.carve_least_litres), most=whole(plan.carve_most_litres)
            ),
            cap_mm=TEXT,
        ),
    )
    for note in plan.notes:
        flow.add(Paragraph(_sentence(note), cap_mm=TEXT))
    flow.add(Paragraph(words.cautions, bold=True, before_mm=1.5))
    flow.add(heading(words.ways))
    flow.table(Table(words.ways_heads, list(_way_rows(plan, words)), "lrrrrrrrl"))
    if not plan.cuts:
        flow.add(Paragraph(words.no_cuts, cap_mm=TEXT, before_mm=2.0))
        return pages
    flow.add(heading(words.order), Paragraph(_order_why(plan, words)))
    if len(plan.forms) > 1:
        flow.add(Paragraph(words.copies.format(names=", ".join(plan.forms)), bold=True))
    rows = list(_order_rows(plan, names, words))
    flow.table(Table(words.order_heads, rows, "rllrrrr", wraps=(1,)))
    flow.add(Paragraph(words.faces_named, before_mm=2.0))
    flow.add(heading(words.plot), _Plot(litres_by_cut(plan), plan.removable_litres))
    return pages


def _order_why(plan: RoughingPlan, words: RoughingWords) -> str:
    if not plan.blanks[0].pieces:
        return words.order_why
    return words.order_why_glued if len(plan.blanks[0].pieces) > 1 else words.order_why_pieces


def _way_rows(plan: RoughingPlan, words: RoughingWords) -> Iterator[tuple[str, ...]]:
    for row in plan.rows:
        yield (
            row.way,
            str(row.blanks),
            whole(row.litres_off),
            whole(row.litres_left),
            str(row.cuts),
            whole(row.metres),
            whole(row.longest_wire_mm),
            short(row.seam_m2),
            "" if row.fits else words.too_short,
        )


def _order_rows(
    plan: RoughingPlan, names: Mapping[int, str], words: RoughingWords
) -> Iterator[tuple[str, ...]]:
    called = {blank.number: _called(blank, names, words) for blank in plan.blanks}
    for cut in plan.cuts:
        yield (
            str(cut.number),
            called[cut.blank],
            dict(words.kinds)[cut.kind],
            whole(cut.litres),
            whole(cut.longest_wire_mm),
            fixed(cut.length_mm / 1000),
            ", ".join(str(lump.number) for lump in cut.offcuts),
        )


def _cut_pages(
    plan: RoughingPlan,
    blank: Blank,
    cut: RoughingCut,
    made: int,
    names: Mapping[int, str],
    paper: str,
    words: RoughingWords,
) -> list[Page]:
    pages: list[Page] = []
    title = words.cut_title.format(
        name=plan.name, number=cut.number, total=len(plan.cuts), kind=dict(words.kinds)[cut.kind]
    )
    if blank.pieces:
        title = f"{title} ({_called(blank, names, words)})"
    flow = _flow(pages, title, paper)
    before, after = (layers_after(plan, blank, count) for count in (made, made + 1))
    flow.add(
        _Pair(
            (
                _Solid(blank, before, wire_ends(cut, blank), words.before),
                _Solid(blank, after, (), words.after),
            )
        )
    )
    flow.add(heading(words.steps))
    for number, text in enumerate(_steps(blank, cut, made, names, words), 1):
        flow.add(Paragraph(text, cap_mm=TEXT, indent_mm=7.0, label=str(number), after_mm=1.2))
    for note in cut.notes:
        flow.add(Paragraph(_sentence(note), cap_mm=TEXT, bold=True))
    flow.add(Space(2.0))
    if cut.marks:
        for pictures in _face_pictures(blank, cut.marks, words):
            flow.add(_Pair(pictures))
        flow.add(heading(words.marks))
        rows = list(_mark_rows(cut.marks, words))
        flow.table(Table(words.marks_heads, rows, "rlrrlrr", wraps=(), gap_mm=7.0))
        return pages
    flow.add(_Plane(blank, cut, words.plane))
    flow.add(heading(words.points))
    if cut.upper_lines:
        flow.table(Table(words.ruled_heads, list(_ruled_rows(cut)), "rrrrr", wraps=()))
    else:
        flow.table(Table(words.points_heads, list(_point_rows(cut)), "rrr", wraps=(), gap_mm=12.0))
    return pages


def _steps(
    blank: Blank, cut: RoughingCut, made: int, names: Mapping[int, str], words: RoughingWords
) -> Iterator[str]:
    if blank.pieces and made == 0:
        size = (blank.width_mm, blank.height_mm, blank.thickness_mm)
        text = words.take_piece if _fills_its_box(blank) else words.cradle_piece
        yield text.format(
            what=_called(blank, names, words), size=" x ".join(whole(one) for one in size)
        )
    slab = cut.kind in ("slab", "slanted slab", "hole")
    if slab:
        yield words.step_slab.format(
            number=blank.number,
            thickness=short(blank.thickness_mm),
            low=short(blank.from_mm),
            high=short(blank.from_mm + blank.thickness_mm),
        )
    if cut.mirrored and cut.marks:
        yield words.step_mark_back
    if cut.marks:
        faces_called = dict(words.faces)
        first, second = (
            ", ".join(faces_called[face] for face in dict.fromkeys(faces))
            for faces in (
                [pair.first.face for pair in cut.marks],
                [pair.second.face for pair in cut.marks],
            )
        )
        yield words.step_mark.format(first=first, second=second)
        yield words.step_cut
    elif not slab:
        yield words.step_table.format(turn=short(cut.turn_deg), tilt=short(cut.tilt_deg))
    if cut.upper_lines:
        yield words.step_both
    yield words.step_wire.format(
        wire=whole(cut.longest_wire_mm), length=fixed(cut.length_mm / 1000)
    )
    for lump in cut.offcuts:
        size = (lump.length_mm, lump.width_mm, lump.thickness_mm)
        yield words.step_off.format(
            number=lump.number,
            litres=whole(lump.litres),
            weight=kilos(lump.weight_kg),
            size=" x ".join(whole(one) for one in size),
            keep=words.keep if lump.keep else "",
            people={1: "", 2: words.two}.get(lump.people, words.more),
        )
    if not cut.mirrored and cut.offcuts and not slab:
        yield words.lay_back


def _mark_rows(marks: Sequence[MarkPair], words: RoughingWords) -> Iterator[tuple[str, ...]]:
    names = dict(words.faces)
    for pair in marks:
        cells = [str(pair.number)]
        for mark in (pair.first, pair.second):
            cells += [names[mark.face], whole(mark.along_mm), whole(mark.height_mm)]
        yield tuple(cells)


def _point_rows(cut: RoughingCut) -> Iterator[tuple[str, ...]]:
    number = 0
    for line in cut.lines:
        for u, v in shapely.get_coordinates(line):
            number += 1
            yield str(number), fixed(u), fixed(v)


def _ruled_rows(cut: RoughingCut) -> Iterator[tuple[str, ...]]:
    number = 0
    for lower, upper in zip(cut.lines, cut.upper_lines, strict=True):
        ends = np.c_[shapely.get_coordinates(lower), shapely.get_coordinates(upper)]
        for row in ends:
            number += 1
            yield (str(number), *(fixed(value) for value in row))


def _map_pages(plan: RoughingPlan, depth: DepthMap, paper: str, words: RoughingWords) -> list[Page]:
    pages: list[Page] = []
    flow = _flow(pages, words.map_title.format(name=plan.name), paper)
    steps = ", ".join(whole(step) for step in DEPTH_STEPS_MM)
    flow.add(
        Paragraph(
            words.left.format(
                least=whole(plan.carve_least_litres), most=whole(plan.carve_most_litres)
            ),
            cap_mm=TEXT,
            bold=True,
        ),
        Paragraph(words.depth.format(cell=short(depth.cell_mm), steps=steps), cap_mm=TEXT),
        _Depths(depth),
    )
    return pages


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


# --- Pictures -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two pictures side by side."""

    items: Sequence[_Solid | _Face]

    def height_mm(self, width_mm: float) -> float:
        return max(item.height_mm(width_mm / 2 - 2) for item in self.items)

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        half = width_mm / 2
        for place, item in enumerate(self.items):
            item.draw(page, x + place * half + place, top, half - 2)


@dataclass(frozen=True, slots=True)
class _Solid:
    """A block in layers, seen from the lower right and above, and the wire's ends on it."""

    blank: Blank
    layers: tuple[tuple[float, float, Geometry], ...]
    ends: tuple[tuple[Points, Points], ...]
    caption: str

    def height_mm(self, width_mm: float) -> float:
        return PICTURE_MM + 6.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        b = self.blank
        size = np.array([b.width_mm, b.height_mm, b.thickness_mm])
        corner = np.array([b.x_mm, b.y_mm, b.from_mm])
        picks = np.array([[i & 1, i >> 1 & 1, i >> 2 & 1] for i in range(8)])
        corners = _seen(corner + picks * size)
        low, high = corners.min(axis=0), corners.max(axis=0)
        scale = min(width_mm / (high[0] - low[0]), PICTURE_MM / (high[1] - low[1]))
        shift = np.array([x, top - PICTURE_MM]) + np.array([width_mm, 0]) / 2
        middle = np.array([(low[0] + high[0]) / 2, low[1]])

        def put(points: Points) -> Points:
            found: Points = (_seen(points) - middle) * scale + shift
            return found

        for i in range(8):
            for bit in (1, 2, 4):
                if not i & bit:
                    edge = corner + picks[[i, i | bit]] * size
                    page.line(put(edge), HAIR, DASHES)
        for line in self._visible(put):
            page.line(line, HAIR)
        for one, other in self.ends:
            for points in (one, other):
                if len(points) > 1:
                    page.line(put(points), HEAVY)
            for k in (0, len(one) // 2, len(one) - 1):
                if len(one):
                    page.line(put(np.array([one[k], other[k]])), MEDIUM, DASHES)
        page.text(x + width_mm / 2, top - PICTURE_MM - 4.0, self.caption, align="center")

    def _visible(self, put: Put) -> Iterator[Points]:
        """Yield the layers' rims that nothing hides: only what stands higher can hide them."""
        hidden: Geometry = Polygon()
        for bottom, ceiling, region in reversed(self.layers):
            for part in polygons(region):
                top = _at_height(part, ceiling, put)
                drop = put(np.array([[0.0, 0.0, bottom], [0.0, 0.0, ceiling]]))
                whole_side = swept(shapely.orient_polygons(top), drop[0] - drop[1])
                seen = shapely.union(shapely.boundary(top), shapely.boundary(whole_side))
                yield from _lines_in(shapely.difference(seen, hidden))
                hidden = shapely.union(hidden, whole_side)


@dataclass(frozen=True, slots=True)
class _Face:
    """A face of the block with the marks of one end of the wire, to scale."""

    blank: Blank
    face: FaceName
    marks: tuple[tuple[int, float, float], ...]
    caption: str

    def height_mm(self, width_mm: float) -> float:
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
        return min((width_mm - 4) / wide, FACE_MM / high)

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw the face as one looks at it: the back is seen mirrored."""
        wide, high = self._size()
        scale = self._scale(width_mm)
        mirrored = self.face in ("back", "left", "top")
        low = top - 4.0 - high * scale
        box = Box(x + 2, low, x + 2 + wide * scale, top - 4.0)
        page.box(box, MEDIUM)
        places = np.array([[along, height] for _, along, height in self.marks])
        if mirrored:
            places[:, 0] = wide - places[:, 0]
        paper = places * scale + np.array([box.x0, box.y0])
        for run in _runs([number for number, _, _ in self.marks]):
            if len(run) > 1:
                page.line(paper[run], THICK)
        last = np.array([-100.0, -100.0])
        for (number, _, _), point in zip(self.marks, paper, strict=True):
            page.circle(float(point[0]), float(point[1]), 0.6, THIN)
            # Numbers that would lie on each other are left to the table.
            if np.hypot(*(point - last)) > 4.0:
                page.text(float(point[0]) + 0.8, float(point[1]) + 0.8, str(number), NOTE)
                last = point
        page.text(x + 2, low - 4.5, self.caption, NOTE)
        datum = box.x1 if mirrored else box.x0
        page.fill([(datum, low), (datum + (-2.5 if mirrored else 2.5), low), (datum, low + 2.5)])


def _face_pictures(
    blank: Blank, marks: Sequence[MarkPair], words: RoughingWords
) -> Iterator[list[_Face]]:
    """Yield the faces of the first end beside those of the second."""
    names = dict(words.faces)
    ends: list[list[_Face]] = []
    for caption, mine in (
        (words.first_end, [(pair.number, pair.first) for pair in marks]),
        (words.second_end, [(pair.number, pair.second) for pair in marks]),
    ):
        ends.append(
            [
                _Face(
                    blank,
                    face,
                    tuple((n, m.along_mm, m.height_mm) for n, m in mine if m.face == face),
                    caption.format(face=names[face]),
                )
                for face in dict.fromkeys(mark.face for _, mark in mine)
            ]
        )
    for place in range(max(map(len, ends))):
        yield [faces[place] for faces in ends if place < len(faces)]


@dataclass(frozen=True, slots=True)
class _Plane:
    """A table's cut in its plane: the block's outline, what stays, the path with its points."""

    blank: Blank
    cut: RoughingCut
    caption: str

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
        return min((width_mm - 10) / (wide + 40), 85.0 / (high + 40))

    def height_mm(self, width_mm: float) -> float:
        return (self._shade().bounds[3] + 40) * self._scale(width_mm) + 8.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        shade, scale = self._shade(), self._scale(width_mm)
        origin = np.array([x + 5, top - 2 - (shade.bounds[3] + 20) * scale]) + 20 * scale

        def put(points: Points) -> Points:
            found: Points = points * scale + origin - np.array([0.0, 20 * scale])
            return found

        page.line(put(shapely.get_coordinates(shade.exterior)), MEDIUM)
        kept = shapely.intersection(shapely.union_all(list(self.cut.kept)), shade)
        for line in _lines_in(_hatching(kept, 4.0 / scale, 45.0)):
            page.line(put(line), HAIR)
        for path in self.cut.upper_lines:
            page.line(put(shapely.get_coordinates(path)), MEDIUM, DASHES)
        number, last = 0, np.array([-100.0, -100.0])
        for path in (*self.cut.lines, *self.cut.slits):
            points = put(shapely.get_coordinates(path))
            page.line(points, THICK)
            for point in points:
                number += 1
                if np.hypot(*(point - last)) > 5.0:
                    page.text(float(point[0]) + 0.8, float(point[1]) + 0.8, str(number), NOTE)
                    last = point
        page.text(x, top - self.height_mm(width_mm) + 2.5, self.caption, NOTE)


@dataclass(frozen=True, slots=True)
class _Plot:
    """Litres off against cuts made, with a line where all the bulk would be off."""

    points: tuple[tuple[int, float], ...]
    most: float

    def height_mm(self, width_mm: float) -> float:
        return 48.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        left, low, wide, high = x + 14, top - 42, min(width_mm - 20, 110.0), 36.0
        cuts = max(1, self.points[-1][0])
        xs = np.array([n for n, _ in self.points]) / cuts * wide + left
        ys = np.array([v for _, v in self.points]) / max(self.most, 1e-9) * high + low
        page.line([(left, low + high + 2), (left, low), (left + wide, low)], MEDIUM)
        page.line([(left, low + high), (left + wide, low + high)], THIN, DASHES)
        page.text(left - 1.5, low + high - 1, whole(self.most), align="right")
        page.text(left - 1.5, low - 1, "0", align="right")
        page.line(np.c_[xs, ys], THICK)
        every = math.ceil(cuts / 12)
        for (number, value), px, py in zip(self.points, xs, ys, strict=True):
            page.circle(float(px), float(py), 0.7)
            if number % every == 0 or number == cuts:
                page.text(float(px), low - 4.0, str(number), align="center")
                if number:
                    page.text(float(px), float(py) + 1.6, whole(value), align="right")


@dataclass(frozen=True, slots=True)
class _Depths:
    """The map of what is left to carve: hatched the denser the deeper, with figures."""

    depth: DepthMap

    def _scale(self, width_mm: float) -> float:
        rows = self.depth.rows
        cell = self.depth.cell_mm
        return min(width_mm / (len(rows[0]) * cell), 205.0 / (len(rows) * cell))

    def height_mm(self, width_mm: float) -> float:
        return len(self.depth.rows) * self.depth.cell_mm * self._scale(width_mm) + 3.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        cells = np.array(self.depth.rows)
        side = self.depth.cell_mm * self._scale(width_mm)
        low = top - len(cells) * side
        page.box(Box(x, low, x + cells.shape[1] * side, top), HAIR, DASHES)
        for place, step in enumerate((0.0, *DEPTH_STEPS_MM)):
            j, i = np.nonzero(cells >= step)
            if not len(j):
                continue
            squares = shapely.box(
                x + i * side, low + j * side, x + (i + 1) * side, low + (j + 1) * side
            )
            area = shapely.union_all(squares)
            for line in _lines_in(shapely.boundary(area)):
                page.line(line, THICK if place == 0 else THIN)
            if place > 1:
                for line in _lines_in(_hatching(area, 3.0, 45.0 if place % 2 else 135.0)):
                    page.line(line, HAIR)
        every = max(1, math.ceil(8.0 / side))
        for row in range(every // 2, cells.shape[0], every):
            for column in range(every // 2, cells.shape[1], every):
                if cells[row, column] >= 0:
                    page.text(
                        x + (column + 0.5) * side,
                        low + (row + 0.5) * side - 0.8,
                        whole(float(cells[row, column])),
                        NOTE,
                        align="center",
                    )


def _seen(points: Points) -> Points:
    """Return points (n, 3) as they look from the lower right and above, (n, 2), y up."""
    c, s = math.cos(TURN), math.sin(TURN)
    across = points[:, 0] * c - points[:, 1] * s
    away = points[:, 0] * s + points[:, 1] * c
    seen: Points = np.c_[across, away * math.sin(RISE) + points[:, 2] * math.cos(RISE)]
    return seen


def _at_height(part: Polygon, z_mm: float, put: Put) -> Polygon:
    """Return a section as it is seen at its height."""

    def seen(points: Points) -> Points:
        return put(np.c_[points, np.full(len(points), z_mm)])

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
