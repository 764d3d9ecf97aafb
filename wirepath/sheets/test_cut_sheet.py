"""The sheet of the test cut: a comb of slots to cut, and a table to write their widths in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from wirepath.sheets.figures import short
from wirepath.sheets.flow import Boxed, Flow, Frame, Item, Paragraph, Space, heading
from wirepath.sheets.lettering import HEAD, NOTE, TEXT, Box
from wirepath.sheets.page import HEAVY, MEDIUM, THICK, THIN, Page, upright
from wirepath.sheets.printing import write_pdf
from wirepath.sheets.strip import STRIP_MM, body
from wirepath.wording.test_cut import TEST_CUT, TestCutWords
from wirepath.workshop import Paper

FEED_SHARES = (0.6, 0.8, 1.0, 1.3, 1.7)
"""Feeds to try, as shares of the one planned: widths go with 1 / feed, so they crowd less
below than above. The fastest is almost three times the slowest."""

SLOT_MM = 200.0
"""Length of a slot: long enough to run steadily before its middle is measured."""

APART_MM = 60.0
"""Between two slots: heat reaches some mm, and the foam must not break."""


def write_test_cut(
    path: Path,
    *,
    paper: Paper,
    feed_mm_per_s: float,
    wire_mm: float | None = None,
    foam: str | None = None,
) -> None:
    """Write the sheet for test cuts round `feed_mm_per_s` as a PDF of one page.

    `foam` stands in the sample of what to write into the workshop file. The same
    figures give the same bytes. Raises OSError where `path` cannot be written.
    """
    page = comb_page(paper=paper, feed_mm_per_s=feed_mm_per_s, wire_mm=wire_mm, foam=foam)
    area = body(page)
    title = Box(area.x0, area.y1 + 3.0, area.x1, area.y1 + 3.0 + STRIP_MM)
    page.box(title, THICK)
    page.text(title.x0 + 2.5, title.y0 + STRIP_MM / 2 - HEAD / 2, page.title, HEAD, bold=True)
    write_pdf([page], path, title=page.title)


def comb_page(
    *, paper: Paper, feed_mm_per_s: float, wire_mm: float | None = None, foam: str | None = None
) -> Page:
    """Return the sheet without its title strip."""
    words = TEST_CUT[paper.language]
    page = Page(*upright(paper.size), title=words.title)
    feeds = comb_feeds(feed_mm_per_s)
    flow = Flow([Frame(page, body(page))], lambda: [Frame(page, body(page))])
    flow.add(
        Paragraph(words.why, after_mm=2.0),
        Boxed((Paragraph(words.caution, bold=True, after_mm=0.0),)),
        Space(2.0),
        _Comb(feeds, words),
        heading(words.steps_title),
        *(
            Paragraph(step, label=f"{number}.", indent_mm=6.0, after_mm=0.6)
            for number, step in enumerate(words.steps, 1)
        ),
        heading(words.write_title),
        Paragraph(words.foam_line + ": ______________________     " + words.blank, after_mm=2.0),
        _Form(words, feeds),
        Paragraph(f"{words.rest} {words.lag[:1].upper()}{words.lag[1:]}.", before_mm=1.5),
        heading(words.then_title),
        *_sample(feeds[0], wire_mm, foam),
        Paragraph(words.then, before_mm=1.0),
    )
    return page


def comb_feeds(feed_mm_per_s: float) -> tuple[float, ...]:
    """Return the feeds to try round the one planned, in mm/s, each to half a mm/s or a tenth."""
    step = 0.5 if feed_mm_per_s >= 3 else 0.1
    return tuple(max(step, round(feed_mm_per_s * share / step) * step) for share in FEED_SHARES)


def _sample(feed: float, wire_mm: float | None, foam: str | None) -> Sequence[Item]:
    lines = [
        "[[cutting.test_cuts]]",
        f"feed_mm_per_s = {short(feed)}",
        "kerf_mm = ...",
        "bow_mm = ...",
        f"wire_mm = {'...' if wire_mm is None else short(wire_mm, 3)}",
        f'foam = "{foam or "..."}"',
    ]
    return [Boxed(tuple(Paragraph(line, after_mm=0.0) for line in lines))]


@dataclass(frozen=True, slots=True)
class _Comb:
    """A strip of foam with the slots cut into it from its lower edge, not to scale."""

    feeds: tuple[float, ...]
    words: TestCutWords

    def height_mm(self, width_mm: float) -> float:
        return 49.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        foam = Box(x + 22.0, top - 38.0, x + width_mm - 4.0, top - 1.0)
        page.box(foam, HEAVY)
        pitch = foam.width / (len(self.feeds) + 0.5)
        middle, end = foam.y0 + 19.0, foam.y1 - 11.0
        slots = [foam.x0 + pitch * (i + 0.75) for i in range(len(self.feeds))]
        for number, (at, feed) in enumerate(zip(slots, self.feeds, strict=True), 1):
            # Slower slots are drawn wider, as they come out: 1 mm and a share with 1 / feed.
            half = (0.5 + 2.2 * self.feeds[0] / feed) / 2
            page.fill([(at - half, foam.y0), (at + half, foam.y0), (at + half, end),
                       (at - half, end)])  # fmt: skip
            page.arrow_head(at, foam.y0 - 0.6, math.pi / 2, 3.6, 0.75)
            feed_text = self.words.feed.format(feed=short(feed))
            page.text(at, end + 1.8, feed_text, NOTE, bold=True, align="center")
            slot_text = self.words.slot.format(number=number)
            page.text(at, end + 6.4, slot_text, NOTE, align="center")
            for side in (-1, 1):
                foot = at + side * (half + 0.4)
                page.arrow_head(foot, middle, math.pi if side > 0 else 0.0, 2.6, 0.7)
                page.line([(foot + side * 2.4, middle), (foot + side * 6.0, middle)], MEDIUM)
        self._key(page, foam.x0 + 6.0, foam.y0 - 8.4)
        self._length(page, foam.x0 - 7.0, foam.y0, end, SLOT_MM)
        self._apart(page, slots[0], slots[1], foam.y0 + 6.0)

    def _key(self, page: Page, x: float, y: float) -> None:
        """Draw what the two kinds of arrows mean, one beside the other."""
        page.arrow_head(x, y + NOTE / 2 + 1.8, math.pi / 2, 3.6, 0.75)
        page.text(x + 4.0, y, self.words.cut_in, NOTE)
        x += 70.0
        page.fill([(x - 0.7, y - 1.0), (x + 0.7, y - 1.0), (x + 0.7, y + 3.5), (x - 0.7, y + 3.5)])
        page.arrow_head(x - 1.1, y + NOTE / 2, 0.0, 2.6, 0.7)
        page.arrow_head(x + 1.1, y + NOTE / 2, math.pi, 2.6, 0.7)
        page.text(x + 5.5, y, self.words.measure, NOTE)

    def _length(self, page: Page, x: float, low: float, high: float, mm: float) -> None:
        """Draw how long a slot is, left of the foam."""
        page.line([(x, low), (x, high)], THIN)
        for y, way in ((low, -math.pi / 2), (high, math.pi / 2)):
            page.arrow_head(x, y, way, 2.4, 0.6)
            page.line([(x - 1.5, y), (x + 6.0, y)], THIN)
        page.text(x - 2.2, (low + high) / 2, f"{short(mm)} mm", NOTE, align="center", upwards=True)

    def _apart(self, page: Page, left: float, right: float, y: float) -> None:
        """Draw how far two slots lie apart, between them."""
        page.line([(left + 2, y), (right - 2, y)], THIN)
        page.arrow_head(left + 1.8, y, math.pi, 2.4, 0.6)
        page.arrow_head(right - 1.2, y, 0.0, 2.4, 0.6)
        text = f"{short(APART_MM)} mm"
        page.text((left + right) / 2, y + 1.2, text, NOTE, align="center")


@dataclass(frozen=True, slots=True)
class _Form:
    """A ruled table with blank cells, high enough to write in by hand."""

    words: TestCutWords
    feeds: tuple[float, ...]

    def height_mm(self, width_mm: float) -> float:
        return 9.5 + 7.5 * len(self.feeds)

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        shares = (0.09, 0.15, 0.2, 0.2, 0.17, 0.19)
        edges = [x + width_mm * sum(shares[:i]) for i in range(len(shares) + 1)]
        rows = [top, top - 9.0, *(top - 9.0 - 7.5 * (i + 1) for i in range(len(self.feeds)))]
        for y in rows:
            page.line([(x, y), (edges[-1], y)], MEDIUM)
        for edge in edges:
            page.line([(edge, rows[0]), (edge, rows[-1])], MEDIUM)
        for head, left in zip(self.words.heads, edges, strict=False):
            for n, line in enumerate(head.split(", ")):
                page.text(left + 1.5, top - 3.9 - 4.0 * n, line, NOTE, bold=True)
        for number, feed in enumerate(self.feeds, 1):
            y = rows[number + 1] + 2.6
            page.text(edges[0] + 1.5, y, str(number), TEXT)
            page.text(edges[1] + 1.5, y, short(feed), TEXT)
