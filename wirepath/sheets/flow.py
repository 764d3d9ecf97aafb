"""Text that flows: headings, paragraphs and tables, from frame to frame and page to page."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import zip_longest
from typing import Protocol

from wirepath.sheets import lettering
from wirepath.sheets.lettering import NOTE, Box, line_mm, width_mm, wrap
from wirepath.sheets.page import MEDIUM, THIN, Page


@dataclass(frozen=True, slots=True)
class Frame:
    """A part of a page that text may fill, from its top down."""

    page: Page
    box: Box


class Item(Protocol):
    """Something that takes a strip of a frame as high as it needs."""

    def height_mm(self, width_mm: float) -> float:
        """Return the height it needs in a frame this wide."""

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw it with its upper left corner at x, top."""


NewFrames = Callable[[], Sequence[Frame]]
"""Begins another page and returns its frames in reading order."""


class Flow:
    """Fills frames with items; asks for another page when all are full.

    A `dry` one leaves the pages blank: it only finds out how many there are.
    """

    def __init__(self, frames: Sequence[Frame], more: NewFrames, *, dry: bool = False) -> None:
        self._frames = list(frames)
        self._more = more
        self._dry = dry
        self._used_mm = 0.0
        self._led: tuple[Item, ...] = ()

    @property
    def width_mm(self) -> float:
        """The width of the frame that is next to be filled."""
        if not self._frames:
            self._begin()
        return self._frames[0].box.width

    @property
    def left_mm(self) -> float:
        """The height that is left of that frame."""
        if not self._frames:
            self._begin()
        return self._frames[0].box.height - self._used_mm

    def _begin(self) -> None:
        self._frames = list(self._more())
        self._used_mm = 0.0

    def lead(self, *items: Item) -> None:
        """Hold items back, a heading say, to be drawn together with what is added next."""
        self._led += items

    def add(self, *items: Item) -> None:
        """Draw items one below the other, together in one frame if any frame is high enough."""
        items, self._led = (*self._led, *items), ()
        while True:
            if not self._frames:
                self._begin()
            frame = self._frames[0]
            heights = [item.height_mm(frame.box.width) for item in items]
            fits = self._used_mm + sum(heights) <= frame.box.height + 1e-6
            # A fresh frame that is last of its page is as much room as there will ever be.
            if fits or (self._used_mm == 0 and len(self._frames) == 1 and self._is_whole(frame)):
                break
            self._frames.pop(0)
            self._used_mm = 0.0
        for item, height in zip(items, heights, strict=True):
            if not self._dry:
                item.draw(frame.page, frame.box.x0, frame.box.y1 - self._used_mm, frame.box.width)
            self._used_mm += height

    @staticmethod
    def _is_whole(frame: Frame) -> bool:
        return frame.box.height > 0.6 * frame.page.height_mm

    def table(self, table: Table, *, before: Sequence[Item] = ()) -> None:
        """Draw a table row by row, its head again in every frame; `before` stays with the head.

        No frame gets fewer than `FEWEST_ROWS` of a table that is parted.
        """
        self.rows(table.body(), table.head(), before=before)

    def rows(
        self,
        rows: Sequence[Item],
        head: Sequence[Item],
        *,
        before: Sequence[Item] = (),
        headed: bool = False,
    ) -> None:
        """Draw rows as `table` does; where they stand `headed` already, their head is left out."""
        before, self._led = (*self._led, *before), ()
        whole = len(rows) <= MOST_TOGETHER
        first = rows if whole else rows[:FEWEST_ROWS]
        if headed and self._room_for(Together((*before, *first))):
            self.add(*before, *first)
        else:
            if headed:
                self.leave_frame()
            self.add(*before, *head, *first)
        if whole:
            return
        for row in [*rows[FEWEST_ROWS:-FEWEST_ROWS], Together(tuple(rows[-FEWEST_ROWS:]))]:
            if self._room_for(row):
                self.add(row)
                continue
            self.leave_frame()
            self.add(*head, row)

    def _room_for(self, item: Item) -> bool:
        if not self._frames:
            return False
        box = self._frames[0].box
        return self._used_mm + item.height_mm(box.width) <= box.height + 1e-6

    def leave_frame(self) -> None:
        """Go on in the next frame."""
        if self._frames:
            self._frames.pop(0)
        self._used_mm = 0.0


@dataclass(frozen=True, slots=True)
class Space:
    """Blank paper."""

    mm: float

    def height_mm(self, width_mm: float) -> float:
        """Return its height."""
        return self.mm

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Leave the paper blank."""


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph, its later lines set in by `indent_mm`, `label` standing in that indent."""

    text: str
    cap_mm: float = NOTE
    bold: bool = False
    before_mm: float = 0.0
    after_mm: float = 1.0
    indent_mm: float = 0.0
    label: str = ""

    def _lines(self, width_mm: float) -> tuple[str, ...]:
        return wrap(self.text, width_mm - self.indent_mm, self.cap_mm, bold=self.bold)

    def height_mm(self, width_mm: float) -> float:
        """Return the height of its lines and the space around them."""
        lines = len(self._lines(width_mm))
        return self.before_mm + lines * line_mm(self.cap_mm) + self.after_mm

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Write its lines."""
        baseline = top - self.before_mm - self._first_baseline
        if self.label:
            page.text(x, baseline, self.label, self.cap_mm, bold=True)
        for line in self._lines(width_mm):
            page.text(x + self.indent_mm, baseline, line, self.cap_mm, bold=self.bold)
            baseline -= line_mm(self.cap_mm)

    @property
    def _first_baseline(self) -> float:
        return lettering.ASCENT_PER_EM * self.cap_mm / lettering.CAP_PER_EM + 0.1


def heading(text: str) -> Paragraph:
    """Return a heading with the space that parts it from what went before."""
    return Paragraph(text, cap_mm=lettering.TEXT, bold=True, before_mm=3.5, after_mm=0.8)


@dataclass(frozen=True, slots=True)
class Together:
    """Items that stay together."""

    items: tuple[Item, ...]

    def height_mm(self, width_mm: float) -> float:
        """Return the sum of their heights."""
        return sum(item.height_mm(width_mm) for item in self.items)

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw one below the other."""
        for item in self.items:
            item.draw(page, x, top, width_mm)
            top -= item.height_mm(width_mm)


@dataclass(frozen=True, slots=True)
class Boxed:
    """Items inside a frame of their own: to be seen first."""

    items: tuple[Item, ...]
    pad_mm: float = 2.5

    def height_mm(self, width_mm: float) -> float:
        """Return the height of the items and the rim."""
        inner = width_mm - 2 * self.pad_mm
        return sum(item.height_mm(inner) for item in self.items) + 2 * self.pad_mm + 1.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Draw the rim and the items in it."""
        bottom = top - self.height_mm(width_mm) + 1.0
        page.box(Box(x, bottom, x + width_mm, top), 0.5)
        inner, y = width_mm - 2 * self.pad_mm, top - self.pad_mm
        for item in self.items:
            item.draw(page, x + self.pad_mm, y, inner)
            y -= item.height_mm(inner)


LEAST_COLUMN_MM = 12.0
MOST_TOGETHER = 5
"""Tables of so few rows are not parted."""
FEWEST_ROWS = 3
"""Of a table that is parted, at the foot of one frame and at the top of the next."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads. Columns marked `r` in `align` stand to the right, `l` to the left.

    `wraps` names the columns that are broken into lines where the table is too wide.
    """

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    align: str
    wraps: tuple[int, ...] = (0,)
    cap_mm: float = NOTE
    gap_mm: float = 4.0
    pad_mm: float = 0.5
    """White between rows."""
    _natural: tuple[float, ...] = field(default=(), init=False)

    def __post_init__(self) -> None:
        heads = [_head_width(head, self.cap_mm) for head in self.heads]
        widths = [
            max([heads[i], *(width_mm(row[i], self.cap_mm) for row in self.rows)])
            for i in range(len(self.heads))
        ]
        object.__setattr__(self, "_natural", tuple(widths))

    def halved(self, room_mm: float) -> Table:
        """Return the table with the second half of its rows beside the first, where both fit a
        frame `room_mm` wide; else the table as it is."""
        half = math.ceil(len(self.rows) / 2)
        blank = ("",) * len(self.heads)
        pairs = zip_longest(self.rows[:half], self.rows[half:], fillvalue=blank)
        both = replace(
            self,
            heads=(*self.heads, "", *self.heads),
            rows=[(*left, "", *right) for left, right in pairs],
            align=self.align + "l" + self.align,
            wraps=(),
        )
        return both if both.columns(room_mm)[-1][1] <= room_mm else self

    def columns(self, room_mm: float) -> list[tuple[float, float]]:
        """Return where each column begins and ends in a frame `room_mm` wide."""
        widths = list(self._natural)
        spare = room_mm - sum(widths) - self.gap_mm * (len(widths) - 1)
        # The widest of the columns that may be broken give way first, down to one width.
        wide = sorted(self.wraps, key=lambda i: widths[i])
        while spare < 0 and wide:
            level = (sum(widths[i] for i in wide) + spare) / len(wide)
            if widths[wide[0]] <= level:
                wide.pop(0)
                continue
            for i in wide:
                widths[i] = max(level, _head_width(self.heads[i], self.cap_mm), LEAST_COLUMN_MM)
            break
        edges, x = [], 0.0
        for width in widths:
            edges.append((x, x + width))
            x += width + self.gap_mm
        return edges

    def head(self) -> tuple[Item, ...]:
        """Return the heads with a rule below them."""
        return (_Row(self, tuple(self.heads), head=True),)

    def body(self) -> list[_Row]:
        """Return the rows."""
        return [_Row(self, tuple(row)) for row in self.rows]


def _head_width(head: str, cap_mm: float) -> float:
    return max(width_mm(line, cap_mm, bold=True) for line in head.split("\n"))


@dataclass(frozen=True, slots=True)
class _Row:
    table: Table
    cells: tuple[str, ...]
    head: bool = False

    def _lines(self, room_mm: float) -> list[Sequence[str]]:
        columns = self.table.columns(room_mm)
        cap = self.table.cap_mm
        return [
            cell.split("\n")
            if self.head
            else wrap(cell, end - begin + 0.01, cap)
            if i in self.table.wraps
            else [cell]
            for i, (cell, (begin, end)) in enumerate(zip(self.cells, columns, strict=True))
        ]

    def height_mm(self, width_mm: float) -> float:
        """Return the height of its highest cell."""
        lines = max(len(cell) for cell in self._lines(width_mm))
        return lines * line_mm(self.table.cap_mm) + (1.6 if self.head else self.table.pad_mm)

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        """Write the cells; a head gets a rule below, a row a hairline."""
        cap, columns = self.table.cap_mm, self.table.columns(width_mm)
        for i, lines in enumerate(self._lines(width_mm)):
            begin, end = columns[i]
            right = self.table.align[i] == "r"
            for n, line in enumerate(lines):
                # Capitals stand in the middle of their line; a head sits on its rule.
                baseline = top - (n + 0.5) * line_mm(cap) - cap / 2 - (0.4 if self.head else 0.1)
                page.text(
                    x + (end if right else begin),
                    baseline,
                    line,
                    cap,
                    bold=self.head,
                    align="right" if right else "left",
                )
        bottom = top - self.height_mm(width_mm) + 0.25
        page.line(
            [(x, bottom), (x + columns[-1][1], bottom)], MEDIUM if self.head else 0.05 + THIN / 4
        )
