"""Blocks that are sawn into slabs: which face is the datum, where the cuts are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wirepath.geometry import depth_mm, face_axes
from wirepath.model import Block, Layout, Plan
from wirepath.sheets.figures import (
    kilos,
    layout_name,
    measure,
    runs,
    sentence,
    short,
    size_text,
    who_lifts,
)
from wirepath.sheets.flow import Flow, Frame, Paragraph, Table, heading
from wirepath.sheets.lettering import HEAD, NOTE, TEXT, Box, shorten
from wirepath.sheets.lettering import width_mm as text_width_mm
from wirepath.sheets.marks import SCALES
from wirepath.sheets.page import CHAIN, HEAVY, MEDIUM, THICK, THIN, Page
from wirepath.sheets.room import spread
from wirepath.sheets.strip import body, columns, text_page
from wirepath.units import kilograms
from wirepath.wording import Words
from wirepath.workshop import Paper


@dataclass(frozen=True, slots=True)
class Sawing:
    """How blocks alike are sawn: `marks_mm` where the wire's centre runs, from the datum face."""

    blocks: tuple[Block, ...]
    slabs: tuple[Layout, ...]
    """The slabs of the first of these blocks."""
    depth_mm: float
    marks_mm: tuple[float, ...]


def sawings(plan: Plan) -> list[Sawing]:
    """Return how each block is sawn, blocks alike together; whole blocks are left out."""
    half = plan.workshop.cutting.kerf_mm / 2
    alike: dict[tuple[object, ...], list[Block]] = {}
    for block in plan.blocks:
        slabs = _slabs(plan, block)
        stock = plan.workshop.stock_named(block.stock)
        depth = depth_mm(stock, block)
        key = tuple((round(one.from_mm, 3), round(one.thickness_mm, 3)) for one in slabs)
        if slabs and not (len(slabs) == 1 and abs(slabs[0].thickness_mm - depth) < 1e-6):
            alike.setdefault((block.stock, block.wire_axis, key), []).append(block)
    found = []
    for blocks in alike.values():
        slabs = _slabs(plan, blocks[0])
        depth = depth_mm(plan.workshop.stock_named(blocks[0].stock), blocks[0])
        marks = [slabs[0].from_mm - half] if slabs[0].from_mm > 0 else []
        marks += [
            one.from_mm + one.thickness_mm + half
            for one in slabs
            if one.from_mm + one.thickness_mm < depth
        ]
        found.append(Sawing(tuple(blocks), tuple(slabs), depth, tuple(marks)))
    return found


def _slabs(plan: Plan, block: Block) -> list[Layout]:
    return sorted(
        (one for one in plan.layouts if one.block == block.number), key=lambda one: one.from_mm
    )


def slab_pages(plan: Plan, sawing: Sawing, words: Words) -> list[Page]:
    """Return the page that tells how one pattern of slabs is sawn, and what it runs on to."""
    name = sentence(words.block.format(block=runs([one.number for one in sawing.blocks])))
    pages: list[Page] = []

    def more() -> Sequence[Frame]:
        pages.append(text_page(plan, words.slabs_title.format(blocks=name)))
        return columns(pages[-1], body(pages[-1]), 150.0)

    flow = Flow([], more)
    stock = plan.workshop.stock_named(sawing.blocks[0].stock)
    face = face_axes(stock, sawing.blocks[0].wire_axis)
    face_text = " x ".join(measure(stock.size_mm(axis), plan.workshop.paper) for axis in face)
    size = size_text(plan, (stock.length_mm, stock.width_mm, stock.thickness_mm), words)
    flow.add(
        Paragraph(
            words.slabs_which_blocks.format(
                count=len(sawing.blocks),
                stock=stock.name,
                size=size,
                blocks=words.block.format(block=runs([one.number for one in sawing.blocks])),
            ),
            cap_mm=TEXT,
            bold=True,
            after_mm=1.5,
        )
    )
    weight = kilograms(stock.volume_mm3, plan.workshop.foam(stock.foam).density_kg_per_m3)
    who = who_lifts(plan, weight, words)
    caution = words.slabs_caution.format(weight=kilos(weight), who=f": {who}" if who else "")
    flow.add(Paragraph(caution, cap_mm=TEXT, bold=True, after_mm=3.0))
    for number, text in enumerate(words.slabs_steps, 1):
        told = text.format(
            depth_edge=measure(sawing.depth_mm, plan.workshop.paper),
            face=face_text,
            kerf=short(plan.workshop.cutting.kerf_mm, 2),
        )
        flow.add(Paragraph(told, cap_mm=TEXT, indent_mm=7.0, label=str(number), after_mm=1.5))
    picture = _picture(plan, sawing, max(stock.size_mm(axis) for axis in face), words)
    flow.add(picture)
    pages[-1].scale = words.scale.format(scale=short(picture.scale))
    rows = list(_rows(sawing, plan.workshop.paper, words))
    flow.table(Table(words.slabs_heads, rows, "rrl", wraps=(2,), gap_mm=9.0, cap_mm=TEXT))
    used = list(_uses(plan, sawing, words))
    flow.add(heading(words.slabs_uses), Paragraph(used[0], cap_mm=TEXT))
    for text in used[1:]:
        flow.add(Paragraph(text, cap_mm=TEXT))
    return pages


def _rows(sawing: Sawing, paper: Paper, words: Words) -> Iterator[tuple[str, str, str]]:
    """Give each cut, its mark, and what lies before it."""
    parts = _parts(sawing, paper, words)
    for number, (mark, part) in enumerate(zip(sawing.marks_mm, parts, strict=False), 1):
        yield str(number), measure(mark, paper), part
    if len(parts) > len(sawing.marks_mm):
        yield "", "", parts[-1]


def _parts(sawing: Sawing, paper: Paper, words: Words) -> list[str]:
    """Return what lies before each cut, from the datum face, and what is left at the end."""
    parts = [words.slabs_trim] if sawing.slabs[0].from_mm > 0 else []
    parts += [
        words.slabs_layout.format(slab=number, thickness=measure(one.thickness_mm, paper))
        for number, one in enumerate(sawing.slabs, 1)
    ]
    last = sawing.slabs[-1]
    if last.from_mm + last.thickness_mm < sawing.depth_mm:
        parts.append(words.slabs_rest)
    return parts


def _uses(plan: Plan, sawing: Sawing, words: Words) -> Iterator[str]:
    """Give what is cut from each slab: its name and its pieces."""
    for block in sawing.blocks:
        for layout in _slabs(plan, block):
            pieces = runs([one.piece for one in layout.placements])
            name = sentence(layout_name(plan, layout, words))
            yield words.slabs_use.format(name=name, pieces=pieces)


@dataclass(frozen=True, slots=True)
class _SideView:
    """The block from the side, to scale: the datum face at the left, a line for every cut."""

    sawing: Sawing
    long_mm: float
    scale: float
    paper: Paper
    words: Words

    def height_mm(self, width_mm: float) -> float:
        return min(self.long_mm / self.scale, 70.0) + 19.0 + self._longest_mark_mm()

    def _marks(self) -> list[float]:
        return [0.0, *self.sawing.marks_mm, self.sawing.depth_mm]

    def _longest_mark_mm(self) -> float:
        texts = [measure(mark, self.paper) for mark in self._marks()]
        return max(text_width_mm(text, NOTE, bold=True) for text in texts)

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        wide = self.sawing.depth_mm / self.scale
        high = min(self.long_mm / self.scale, 70.0)
        x0, y1 = x + (width_mm - wide) / 2, top - 6.0
        y0 = y1 - high
        box = Box(x0, y0, x0 + wide, y1)
        page.box(box, HEAVY)
        page.line([(x0, y0), (x0, y1)], 1.4)
        page.text(
            x0 - 3.0,
            (y0 + y1) / 2,
            self.words.datum_face,
            TEXT,
            bold=True,
            align="center",
            upwards=True,
        )
        marks = self._marks()
        at = [x0 + mark / self.scale for mark in marks]
        to = spread(at, 4.6, x0 - 20, x0 + wide + 20) or at
        for mark, a, b in zip(marks, at, to, strict=True):
            if 0 < mark < self.sawing.depth_mm:
                page.line([(a, y0), (a, y1)], THICK, CHAIN)
            page.line([(a, y0 - 0.8), (a, y0 - 3), (b, y0 - 6), (b, y0 - 7)], THIN)
            text = measure(mark, self.paper)
            page.text(b + NOTE / 2, y0 - 7.6, text, bold=True, align="right", upwards=True)
        first = 1 if self.sawing.slabs[0].from_mm > 0 else 0
        for number, one in enumerate(self.sawing.slabs):
            low, high_x = at[number + first], at[number + first + 1]
            text = str(number + 1)
            cap = next(
                (
                    c
                    for c in (HEAD, TEXT, NOTE)
                    if text_width_mm(text, c, bold=True) + 1.6 < high_x - low
                ),
                None,
            )
            if cap is not None:
                page.text(
                    (low + high_x) / 2, (y0 + y1 - cap) / 2, text, cap, bold=True, align="center"
                )
            assert one.thickness_mm > 0
        page.line([(x0, y0), (x0 + wide, y0)], MEDIUM)
        caption = shorten(self.words.along_edge, width_mm, NOTE)
        page.text(x + width_mm / 2, top - self.height_mm(width_mm) + 2.0, caption, align="center")


def _picture(plan: Plan, sawing: Sawing, long_mm: float, words: Words) -> _SideView:
    page = text_page(plan, "")
    room = body(page).width - 50.0
    scale = next(scale for scale in SCALES if sawing.depth_mm / scale <= room)
    return _SideView(sawing, long_mm, scale, plan.workshop.paper, words)
