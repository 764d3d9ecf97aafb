"""What goes into the van: a sheet for each load, from above, from the side, and as a list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import shapely
from shapely import Geometry, LineString, Polygon
from shapely import box as rectangle

from wirepath.geometry import polygons
from wirepath.model import Load, LoadItem, Plan
from wirepath.sheets.figures import beside, kilos, runs, short, size_text, who_lifts, whole
from wirepath.sheets.flow import Flow, Frame, Paragraph, Table, heading
from wirepath.sheets.lettering import BIG, HEAD, NOTE, TEXT, Box
from wirepath.sheets.marks import SCALES
from wirepath.sheets.page import DASHES, HEAVY, MEDIUM, THIN, Page, Text, upright
from wirepath.sheets.room import Room
from wirepath.sheets.strip import body, run_on
from wirepath.wording import Words
from wirepath.workshop import Van

LONG_MM = 2000.0
"""What is longer is carried by two, however light (common practice, no source)."""

PICTURES_SHARE = 0.62
"""Most of the page's height the two pictures take."""

LEAST_MM2 = 1.0
"""Less of a box on paper is not drawn."""

SEEN_SHARE = 0.25
"""A box of which no more is seen is drawn dashed behind what hides it."""

BESIDE_MM = 0.5
"""Dashed lines nearer than this to drawn ones are left out."""

LABEL_MM = 6.0
"""Height of the line of words over a picture."""


def loads_pages(plan: Plan, words: Words) -> list[Page]:
    """Return the sheets of every load; none without a van."""
    van = plan.workshop.van
    if van is None:
        return []
    return [page for load in plan.loads for page in _load_pages(plan, load, van, words)]


def _load_pages(plan: Plan, load: Load, van: Van, words: Words) -> list[Page]:
    title = words.load_title.format(number=load.number, total=len(plan.loads))
    page = Page(*upright(plan.workshop.paper.size), title=title)
    pages = [page]
    area = body(page)
    scale = next(
        scale
        for scale in SCALES
        if van.length_mm / scale <= area.width - 4
        and (van.width_mm + van.height_mm) / scale <= PICTURES_SHARE * area.height - 2 * LABEL_MM
    )
    page.scale = words.scale.format(scale=short(scale))
    top = area.y1
    seen: set[int] = set()
    dashed = False
    for from_above in (True, False):
        picture = _Picture(page, load, van, scale, area, top, from_above=from_above, words=words)
        picture.draw()
        seen |= picture.seen
        dashed |= picture.dashed
        top = picture.bottom - 4.0

    flow = Flow([Frame(page, Box(area.x0, area.y0, area.x1, top))], run_on(pages, plan, title))
    about = words.load_about.format(
        boxes=len(load.items),
        weight=kilos(load.weight_kg),
        payload=short(van.payload_kg),
        total=len(plan.loads),
        fewest=plan.fewest_loads,
    )
    _, across, up = van.passing_mm
    tight = max(load.items, key=lambda one: (one.width_mm * one.height_mm, one.pieces))
    opening = words.load_opening.format(
        opening=f"{whole(across)} x {whole(up)}",
        box=f"{whole(tight.width_mm)} x {whole(tight.height_mm)}",
    )
    flow.add(
        Paragraph(about, cap_mm=TEXT, bold=True),
        Paragraph(opening),
        *map(Paragraph, words.load_how),
    )
    if dashed:
        flow.add(Paragraph(words.load_dashed))
    if hidden := [n for n in range(1, len(load.items) + 1) if n not in seen]:
        flow.add(Paragraph(words.load_hidden.format(numbers=runs(hidden))))
    rows = [_row(plan, number, item, words) for number, item in enumerate(load.items, 1)]
    table = Table(words.load_heads, rows, "rlrrrlrl", wraps=(1, 2, 3, 4, 5, 7))
    flow.table(table, before=(heading(words.load_list),))
    return pages


def _row(plan: Plan, number: int, item: LoadItem, words: Words) -> tuple[str, ...]:
    who = who_lifts(plan, item.weight_kg, words)
    if who is None and max(item.length_mm, item.width_mm, item.height_mm) > LONG_MM:
        who = words.lift_two

    def figure(mm: float) -> str:
        return beside(whole(mm), mm, plan.workshop.paper)

    return (
        str(number),
        runs(item.pieces),
        *(figure(mm) for mm in (item.x_mm, item.y_mm, item.z_mm)),
        size_text(plan, (item.length_mm, item.width_mm, item.height_mm), words, whole),
        kilos(item.weight_kg),
        who or "",
    )


@dataclass(slots=True)
class _Picture:
    """The van as seen from above, or from its left side; the bulkhead at the left.

    Who stands in it and faces the bulkhead has the van's left side at the page's foot.
    """

    page: Page
    load: Load
    van: Van
    scale: float
    area: Box
    top: float
    from_above: bool
    words: Words
    seen: set[int] = field(default_factory=set)
    dashed: bool = False
    """Whether a box is drawn behind another."""
    bottom: float = field(init=False)

    def __post_init__(self) -> None:
        across = self.van.width_mm if self.from_above else self.van.height_mm
        self.bottom = self.top - LABEL_MM - across / self.scale

    def draw(self) -> None:
        """Draw what is not hidden, with its number in the order of loading."""
        x0, y0 = self.area.x0 + 2.0, self.bottom
        across = self.van.width_mm if self.from_above else self.van.height_mm
        inside = Box(x0, y0, x0 + self.van.length_mm / self.scale, y0 + across / self.scale)
        shapes = self._shapes(x0, y0)
        visible, hidden = _parted(shapes)
        lines: list[Geometry] = [shapely.boundary(shape) for _, shape in visible]
        for shape in lines:
            for part in shapely.get_parts(shape):
                self.page.line(shapely.get_coordinates(part), MEDIUM)
        drawn = shapely.buffer(shapely.union_all(lines), BESIDE_MM)
        behind = [shapely.difference(shapely.boundary(shape), drawn) for _, shape in hidden]
        for shape in behind:
            for part in shapely.get_parts(shape):
                if part.length:
                    self.page.line(shapely.get_coordinates(part), THIN, DASHES)
        # The door is at the right: its side is left open.
        self.page.line(
            [
                (inside.x1, inside.y0),
                (inside.x0, inside.y0),
                (inside.x0, inside.y1),
                (inside.x1, inside.y1),
            ],
            HEAVY,
        )
        words = self.words
        name = words.load_above if self.from_above else words.load_side
        self.page.text(inside.x0, inside.y1 + 2.0, f"{name}. {words.load_ends}")
        bulkhead = LineString([(inside.x0, inside.y0), (inside.x0, inside.y1)])
        room = Room([*lines, *behind, bulkhead], inside)
        covered = shapely.union_all([shape for _, shape in hidden])
        for number, shape in visible:
            # A number inside a dashed box would be taken for that box's.
            bare = shapely.difference(shape, covered)
            for place in (bare, shape):
                if self._label(room, str(number), place, (BIG, HEAD, TEXT, NOTE)):
                    self.seen.add(number)
                    break
        for number, shape in hidden:
            if self._label(room, f"({number})", shape, (TEXT, NOTE)):
                self.seen.add(number)
        self.dashed = bool(hidden)

    def _shapes(self, x0: float, y0: float) -> list[tuple[int, Polygon]]:
        """Return the boxes, nearest first, on the page."""
        items = list(enumerate(self.load.items, 1))
        if self.from_above:
            items.sort(key=lambda pair: -(pair[1].z_mm + pair[1].height_mm))
        else:
            items.sort(key=lambda pair: pair[1].y_mm)
        found = []
        for number, item in items:
            low, size = (
                (item.y_mm, item.width_mm) if self.from_above else (item.z_mm, item.height_mm)
            )
            shape = rectangle(
                x0 + item.x_mm / self.scale,
                y0 + low / self.scale,
                x0 + (item.x_mm + item.length_mm) / self.scale,
                y0 + (low + size) / self.scale,
            )
            found.append((number, shape))
        return found

    def _label(self, room: Room, label: str, shape: Geometry, caps: Sequence[float]) -> bool:
        parts = polygons(shape)
        if not parts:
            return False
        largest = max(parts, key=lambda part: part.area)
        for cap in caps:
            text = Text(0, 0, label, cap, bold=True, align="center")
            spot = room.spot(largest, text.box)
            if spot is not None:
                room.take(self.page.text(*spot, text.text, cap, bold=True, align="center").box)
                return True
        return False


def _parted(
    shapes: Sequence[tuple[int, Polygon]],
) -> tuple[list[tuple[int, Geometry]], list[tuple[int, Polygon]]]:
    """Return what is seen of boxes, nearest first, and the boxes that others hide nearly whole."""
    before: Geometry = Polygon()
    visible: list[tuple[int, Geometry]] = []
    hidden: list[tuple[int, Polygon]] = []
    for number, shape in shapes:
        left = shapely.difference(shape, before)
        if shapely.area(left) > LEAST_MM2:
            visible.append((number, left))
        if shapely.area(left) <= max(LEAST_MM2, SEEN_SHARE * shape.area):
            hidden.append((number, shape))
        before = shapely.union_all([before, shape])
    return visible, hidden
