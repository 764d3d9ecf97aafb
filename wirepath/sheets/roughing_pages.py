"""Roughing on paper: what was compared, each cut with pictures and marks, what is left to carve."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely

from wirepath.coordinates.roughing import file_name
from wirepath.model import Blank, DepthMap, FaceName, MarkPair, RoughingCut, RoughingPlan
from wirepath.roughing.directions import FLAT
from wirepath.roughing.pictures import cuts_of, layers_after, setting_line, wire_ends
from wirepath.roughing.planning import carving_hours, litres_by_cut
from wirepath.sheets.figures import beside, fixed, kilos, sentence, short, whole
from wirepath.sheets.flow import Flow, Frame, Paragraph, Space, Table, heading
from wirepath.sheets.lettering import TEXT
from wirepath.sheets.page import Page, upright
from wirepath.sheets.roughing_pictures import (
    DEPTH_STEPS_MM,
    DEPTHS_MM,
    LEAST_PLOT_MM,
    Depths,
    FaceLine,
    Plane,
    Plot,
    Points,
    Row,
    Solid,
    face_pictures,
    plot_within,
    visible_rims,
)
from wirepath.sheets.strip import body, columns
from wirepath.wording import LANGUAGES
from wirepath.wording.roughing import ENGLISH, RoughingWords, blank_name, note_text, way_name
from wirepath.workshop import Paper


@dataclass(frozen=True, slots=True)
class Sizes:
    """How high the pictures of a cut are: of the block, of a face with marks, of the plane.

    `apart` sets faces or plane, and the figures to them, on a page of their own.
    """

    block_mm: float
    face_mm: float
    plane_mm: float
    apart: bool = False


SIZES = (
    Sizes(52.0, 60.0, 110.0, apart=True),
    Sizes(52.0, 50.0, 80.0, apart=True),
    Sizes(52.0, 50.0, 62.0),
    Sizes(40.0, 50.0, 62.0),
    Sizes(40.0, 42.0, 52.0),
    Sizes(30.0, 36.0, 44.0),
)
"""The first, or one that saves a page."""

BETWEEN_MM = 3.4
"""White between the columns of a table of points."""

LEAST_ROWS = 4
"""Fewer rows of a table of points than this do not begin at the foot of a page."""

Rims = Sequence[Points]
"""What is seen of a block, before a cut or after it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the pages of a form's roughing need to know beside the roughing itself."""

    paper: Paper = field(default_factory=Paper)
    words: RoughingWords = ENGLISH
    names: Mapping[int, str] = field(default_factory=dict)
    """Of a plan's pieces, by their numbers."""
    number: int = 0
    """Of the form in its plan, counted from 1; 0 where no coordinate files are written."""
    litres_per_hour: float | None = None
    """What the carver takes off in an hour."""

    def figure(self, mm: float, decimals: int = 0) -> str:
        """Return a length, with inches where they are asked for."""
        return beside(fixed(mm, decimals) if decimals else whole(mm), mm, self.paper)

    def size(self, lengths_mm: Iterable[float]) -> str:
        """Return lengths multiplied: 1200 x 600 x 50."""
        return " x ".join(map(self.figure, lengths_mm))


TOLD = Told()


def roughing_pages(plan: RoughingPlan, told: Told = TOLD) -> list[Page]:
    """Return the pages of one form's roughing, without title strips: the summary, a page or
    more for each cut in the order of work, and the map of what is left to carve."""
    pages, plotted = _summary(plan, told)
    for blank in plan.blanks:
        before = visible_rims(layers_after(plan, blank, 0))
        for made, cut in enumerate(cuts_of(plan, blank)):
            after = visible_rims(layers_after(plan, blank, made + 1))
            pages += _cut_pages(plan, blank, cut, made, (before, after), told)
            before = after
    if plan.depth is not None:
        pages += _map_pages(plan, plan.depth, told, plotted=plotted)
    return pages


def _fills_its_box(blank: Blank) -> bool:
    box = blank.width_mm * blank.height_mm * blank.thickness_mm
    return not blank.foam or blank.volume_mm3 > 0.999 * box


def _flow(pages: list[Page], title: str, paper: Paper, *, dry: bool = False) -> Flow:
    def more() -> Sequence[Frame]:
        width, height = upright(paper.size)
        pages.append(Page(width, height, title=title))
        return columns(pages[-1], body(pages[-1]), 150.0)

    return Flow([], more, dry=dry)


def _summary(plan: RoughingPlan, told: Told) -> tuple[list[Page], bool]:
    """Return what was compared and the order of work, and whether the plot of litres fits on."""
    pages: list[Page] = []
    words = told.words
    flow = _flow(pages, words.title.format(name=plan.name), told.paper)
    flow.add(
        Paragraph(_picked(plan, words), cap_mm=TEXT, bold=True),
        Paragraph(_left(plan, told), cap_mm=TEXT),
    )
    for note in plan.notes:
        flow.add(Paragraph(note_text(note, words), cap_mm=TEXT))
    flow.add(Paragraph(words.cautions, bold=True, before_mm=1.5))
    ways = Table(words.ways_heads, list(_way_rows(plan, told)), "lrrrrrrrr")
    flow.table(ways, before=(heading(words.ways),))
    if not plan.cuts:
        flow.add(Paragraph(words.no_cuts, cap_mm=TEXT, before_mm=2.0))
        return pages, True
    flow.add(heading(words.order), Paragraph(_order_why(plan, words)))
    if len(plan.forms) > 1:
        flow.add(Paragraph(words.copies.format(names=", ".join(plan.forms)), bold=True))
    rows = list(_order_rows(plan, told))
    flow.table(Table(words.order_heads, rows, "rllrrrr", wraps=(1,)))
    flow.add(Paragraph(words.faces_named, before_mm=2.0))
    title = heading(words.plot)
    room_mm = flow.left_mm - title.height_mm(flow.width_mm)
    plot = plot_within(litres_by_cut(plan), plan.removable_litres, room_mm)
    if plot is not None:
        flow.add(title, plot)
    return pages, plot is not None


def _picked(plan: RoughingPlan, words: RoughingWords) -> str:
    text = words.picked.format(
        way=sentence(way_name(plan.way, words)),
        cuts=len(plan.cuts),
        off=whole(plan.litres_off),
        removable=whole(plan.removable_litres),
        share=whole(100 * plan.bulk_share),
        hull=whole(plan.bound_litres),
    )
    hull = whole(plan.blanks_bound_litres)
    if len(plan.blanks) > 1:
        return f"{text} {words.bound_blanks.format(count=len(plan.blanks), hull=hull)}"
    if hull == whole(plan.bound_litres):
        return text
    return f"{text} {words.bound_rig.format(hull=hull)}"


def _order_why(plan: RoughingPlan, words: RoughingWords) -> str:
    if not plan.blanks[0].pieces:
        return words.order_why
    return words.order_why_glued if len(plan.blanks[0].pieces) > 1 else words.order_why_pieces


def _way_rows(plan: RoughingPlan, told: Told) -> Iterator[tuple[str, ...]]:
    words = told.words
    for row in plan.rows:
        yield (
            way_name(row.way, words),
            str(row.blanks),
            whole(row.foam_litres),
            whole(row.litres_off),
            whole(row.litres_left),
            str(row.cuts),
            whole(row.metres),
            told.figure(row.longest_wire_mm),
            short(row.seam_m2),
        )


def _order_rows(plan: RoughingPlan, told: Told) -> Iterator[tuple[str, ...]]:
    words = told.words
    called = {blank.number: blank_name(blank, told.names, words) for blank in plan.blanks}
    for cut in plan.cuts:
        yield (
            str(cut.number),
            called[cut.blank],
            dict(words.kinds)[cut.kind],
            whole(cut.litres),
            told.figure(cut.longest_wire_mm),
            fixed(cut.length_mm / 1000),
            ", ".join(str(lump.number) for lump in cut.offcuts),
        )


def _cut_pages(
    plan: RoughingPlan,
    blank: Blank,
    cut: RoughingCut,
    made: int,
    seen: tuple[Rims, Rims],
    told: Told,
) -> list[Page]:
    """Return the pages of a cut, laid out in the first of the ways that take the fewest."""
    words = told.words
    title = words.cut_title.format(
        number=cut.number,
        total=len(plan.cuts),
        what=blank_name(blank, told.names, words),
        kind=dict(words.kinds)[cut.kind],
    )
    ends = wire_ends(cut, blank)
    line = None if cut.marks else setting_line(blank, cut)
    texts = list(_cut_texts(plan, blank, cut, made, told))
    heads, rows = words.points_heads, list(_point_rows(cut, told))
    if cut.upper_lines:
        heads, rows = words.ruled_heads, list(_ruled_rows(cut, told))

    def laid(sizes: Sizes, *, dry: bool = False) -> list[Page]:
        pages: list[Page] = []
        flow = _flow(pages, title, told.paper, dry=dry)
        solids = [
            Solid(blank, seen[0], ends, words.before, sizes.block_mm),
            Solid(blank, seen[1], (), words.after, sizes.block_mm),
        ]
        if line is None:
            flow.add(Row(solids))
        else:
            face = FaceLine(blank, line, dict(words.line_captions)[line.face], sizes.block_mm)
            flow.add(Row([solids[0], face, solids[1]], columns=3))
        caution = LANGUAGES[told.paper.language].steps_caution
        flow.lead(heading(words.steps), Paragraph(caution, bold=True, after_mm=1.8))
        for text in texts:
            flow.add(text)
        flow.add(Space(1.0))
        if sizes.apart:
            flow.leave_frame()
        if cut.marks:
            for pictures in face_pictures(blank, cut.marks, words, sizes.face_mm):
                flow.add(Row(pictures))
            _add_marks(flow, cut.marks, told)
        else:
            flow.add(Plane(blank, cut, words.plane, sizes.plane_mm))
            before = (Paragraph(words.points, bold=True, before_mm=1.5),)
            _add_columns(flow, before, heads, rows)
        return pages

    pages = {sizes: len(laid(sizes, dry=True)) for sizes in SIZES}
    return laid(min(pages, key=pages.__getitem__))


def _cut_texts(
    plan: RoughingPlan, blank: Blank, cut: RoughingCut, made: int, told: Told
) -> Iterator[Paragraph]:
    """Yield the steps of a cut, numbered, and what is to be minded."""
    more = made + 1 < len(cuts_of(plan, blank))
    for number, text in enumerate(_steps(blank, cut, made, told, more=more), 1):
        yield Paragraph(text, cap_mm=TEXT, indent_mm=7.0, label=str(number), after_mm=0.8)
    for note in cut.notes:
        yield Paragraph(note_text(note, told.words), cap_mm=TEXT, bold=True)


def _add_marks(flow: Flow, marks: Sequence[MarkPair], told: Told) -> None:
    """Add the tables of stations, one for each pair of faces that the wire's ends lie on."""
    words = told.words
    names = dict(words.faces)
    # In the order in which the wire comes to the faces, not by their names.
    groups: dict[tuple[FaceName, FaceName], list[MarkPair]] = {}
    for pair in marks:
        groups.setdefault((pair.first.face, pair.second.face), []).append(pair)
    before = [heading(words.marks)]
    for (first, second), own in groups.items():
        title = words.marks_on.format(first=names[first], second=names[second])
        before.append(Paragraph(title, bold=True, before_mm=1.5))
        _add_columns(flow, before, words.marks_heads, list(_mark_rows(own, told)))
        before = []


def _add_columns(
    flow: Flow, before: Sequence[Paragraph], heads: Sequence[str], rows: Sequence[tuple[str, ...]]
) -> None:
    """Add a table in as many columns as the page holds, parted where a page ends: what is
    left of a page is filled first. `before` stays with the first rows."""
    whole_table = Columned(heads, rows)
    columns, row_mm = whole_table.count(flow.width_mm), whole_table.row_mm
    lead = list(before)
    while rows:
        left = flow.left_mm - sum(item.height_mm(flow.width_mm) for item in lead)
        deep = int((left - whole_table.head_mm) // row_mm)
        if deep < min(LEAST_ROWS, -(-len(rows) // columns)):
            # Too little room for a part of it: all of it begins on the next page.
            flow.leave_frame()
            continue
        flow.add(*lead, Columned(heads, rows[: deep * columns], whole_table.wide_mm))
        rows, lead = rows[deep * columns :], []


BELOW_MM = 1.5
"""White below a table of points."""


@dataclass(frozen=True)
class Columned:
    """A table of figures in columns side by side, read down the first one first."""

    heads: Sequence[str]
    rows: Sequence[tuple[str, ...]]
    least_mm: float = 0.0
    """Width of a column at least, so that the parts of one table stand in line."""

    @cached_property
    def wide_mm(self) -> float:
        """The width of one column."""
        return max(self.least_mm, self._part(self.rows).columns(1e3)[-1][1])

    @cached_property
    def row_mm(self) -> float:
        """The height of one row."""
        return self._part(self.rows[:1]).body()[0].height_mm(1e3)

    @cached_property
    def head_mm(self) -> float:
        """The height of the head, and of the white below the table."""
        return sum(item.height_mm(1e3) for item in self._part(()).head()) + BELOW_MM

    def _part(self, rows: Sequence[tuple[str, ...]]) -> Table:
        return Table(self.heads, rows, "r" * len(self.heads), wraps=(), gap_mm=1.6)

    def count(self, width_mm: float) -> int:
        """Return how many columns a frame this wide holds."""
        return max(1, int((width_mm + BETWEEN_MM) // (self.wide_mm + BETWEEN_MM)))

    def _parts(self, width_mm: float) -> list[Table]:
        deep = -(-len(self.rows) // self.count(width_mm))
        return [self._part(self.rows[k : k + deep]) for k in range(0, len(self.rows), deep)]

    def height_mm(self, width_mm: float) -> float:
        """Return the height of the first column."""
        first = self._parts(width_mm)[0]
        return self.head_mm + len(first.rows) * self.row_mm

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw the columns from the left."""
        for place, table in enumerate(self._parts(width_mm)):
            y = top
            for item in (*table.head(), *table.body()):
                item.draw(page, x + place * (self.wide_mm + BETWEEN_MM), y, 1e3)
                y -= item.height_mm(1e3)


def _steps(blank: Blank, cut: RoughingCut, made: int, told: Told, *, more: bool) -> Iterator[str]:
    """Yield what to do for a cut, after so many `made` from its block; `more` may follow."""
    words = told.words
    if blank.pieces and made == 0:
        size = (blank.width_mm, blank.height_mm, blank.thickness_mm)
        text = words.take_piece if _fills_its_box(blank) else words.cradle_piece
        yield text.format(what=blank_name(blank, told.names, words), size=told.size(size))
    slab = cut.kind in ("slab", "slanted slab", "hole")
    if slab:
        yield words.step_slab.format(
            number=blank.number,
            thickness=told.figure(blank.thickness_mm),
            low=told.figure(blank.from_mm),
            high=told.figure(blank.from_mm + blank.thickness_mm),
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
        yield from _setting_steps(blank, cut, told)
    for number, slit in enumerate(cut.slits, 1):
        (x0, y0), (x1, y1) = slit.coords[0], slit.coords[-1]
        yield words.step_slit.format(
            number=number,
            x0=told.figure(x0, 1),
            y0=told.figure(y0, 1),
            x1=told.figure(x1, 1),
            y1=told.figure(y1, 1),
            length=told.figure(slit.length),
        )
    if cut.upper_lines:
        yield words.step_both
    yield words.step_wire.format(
        wire=told.figure(cut.longest_wire_mm), length=fixed(cut.length_mm / 1000)
    )
    for lump in cut.offcuts:
        size = (lump.length_mm, lump.width_mm, lump.thickness_mm)
        yield words.step_off.format(
            number=lump.number,
            litres=fixed(lump.litres),
            weight=kilos(lump.weight_kg),
            size=told.size(size),
            keep=words.keep if lump.keep else "",
            people={1: "", 2: words.two}.get(lump.people, words.more),
        )
    rest = cut.litres - sum(lump.litres for lump in cut.offcuts)
    if rest > 0.05:
        yield words.step_off_small.format(litres=fixed(rest))
    if more and not cut.mirrored and cut.offcuts and not slab:
        yield words.lay_back


def _setting_steps(blank: Blank, cut: RoughingCut, told: Told) -> Iterator[str]:
    """Yield how a table's block is set before the wire, and where the points stand."""
    words, line = told.words, setting_line(blank, cut)
    if line is None:
        text = words.step_square
    else:
        places = {(face, edge): text for face, edge, text in words.edge_places}
        first, second = (
            places[line.face, edge].format(mm=told.figure(mm))
            for edge, mm in zip(line.edges, line.measures_mm(), strict=True)
        )
        yield dict(words.step_lines)[line.face].format(first=first, second=second)
        is_flat = abs(cut.direction.wire[2]) < FLAT
        right = None if line.right_mm is None else told.figure(line.right_mm, 1)
        template = (
            words.step_table if line.face == "front" else dict(words.step_standing)[line.face]
        )
        text = template.format(
            turn=short(cut.turn_deg),
            tilt="" if is_flat else words.step_tilt.format(tilt=short(cut.tilt_deg)),
            beside="" if right is None else words.step_beside.format(right=right),
        )
    if told.number:
        text += " " + words.step_file.format(file=file_name(told.number, cut.number))
    yield text


def _mark_rows(marks: Sequence[MarkPair], told: Told) -> Iterator[tuple[str, ...]]:
    for pair in marks:
        ends = (pair.first, pair.second)
        figures = [value for end in ends for value in (end.along_mm, end.height_mm)]
        yield (str(pair.number), *map(told.figure, figures))


def _point_rows(cut: RoughingCut, told: Told) -> Iterator[tuple[str, ...]]:
    number = 0
    for line in cut.lines:
        for u, v in shapely.get_coordinates(line):
            number += 1
            yield str(number), told.figure(u, 1), told.figure(v, 1)


def _ruled_rows(cut: RoughingCut, told: Told) -> Iterator[tuple[str, ...]]:
    number = 0
    for lower, upper in zip(cut.lines, cut.upper_lines, strict=True):
        ends = np.c_[shapely.get_coordinates(lower), shapely.get_coordinates(upper)]
        for row in ends:
            number += 1
            yield (str(number), *(told.figure(value, 1) for value in row))


def _map_pages(plan: RoughingPlan, depth: DepthMap, told: Told, *, plotted: bool) -> list[Page]:
    """Return the map of what is left to carve, under the plot of litres where none is yet."""
    pages: list[Page] = []
    words = told.words
    flow = _flow(pages, words.map_title.format(name=plan.name), told.paper)
    steps = ", ".join(map(told.figure, DEPTH_STEPS_MM))
    flow.add(Paragraph(_left(plan, told), cap_mm=TEXT, bold=True))
    high_mm = DEPTHS_MM
    if not plotted:
        title = heading(words.plot)
        plot = Plot(litres_by_cut(plan), plan.removable_litres, LEAST_PLOT_MM)
        flow.add(title, plot)
        high_mm -= title.height_mm(flow.width_mm) + plot.height_mm(flow.width_mm)
    flow.add(
        Paragraph(words.depth.format(cell=told.figure(depth.cell_mm), steps=steps), cap_mm=TEXT),
        Depths(depth, high_mm),
    )
    return pages


def _left(plan: RoughingPlan, told: Told) -> str:
    """Return what is left to carve, in litres and, at a rate, in hours."""
    words, rate = told.words, told.litres_per_hour
    least, most = whole(plan.carve_least_litres), whole(plan.carve_most_litres)
    text = words.left_known.format(litres=most)
    if least != most:
        text = words.left.format(least=least, most=most)
    if rate is None:
        return text
    least, most = map(fixed, carving_hours(plan, rate))
    hours = words.left_hours_known.format(hours=most, rate=short(rate))
    if least != most:
        hours = words.left_hours.format(least=least, most=most, rate=short(rate))
    return f"{text} {hours}"
