"""The first pages: job, order, where the foam goes, cautions, repairs, lists."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wirepath.kerf import kerf_basis
from wirepath.model import FoamBalance, Plan
from wirepath.sheets import lettering
from wirepath.sheets.figures import (
    beside,
    blank_weight_kg,
    fixed,
    kilos,
    layout_name,
    piece_name,
    range_mm,
    sentence,
    short,
    who_lifts,
    whole,
)
from wirepath.sheets.flow import Boxed, Flow, Frame, Item, Paragraph, Space, Table, heading
from wirepath.sheets.lettering import HEAD, NOTE, TEXT, Box
from wirepath.sheets.page import MEDIUM, Page
from wirepath.sheets.strip import body, columns, text_page
from wirepath.units import kilograms
from wirepath.wording import Words

LIST_COLUMN_MM = 150.0


def front_pages(plan: Plan, titles: Sequence[str], words: Words) -> list[Page]:
    """Return the first pages; `titles` are those of the sheets that follow, in order."""
    first, pages = 1, _pages(plan, titles, 1, words)
    while len(pages) != first - 1:
        first = len(pages) + 1
        pages = _pages(plan, titles, first, words)
    return pages


def _pages(plan: Plan, titles: Sequence[str], first: int, words: Words) -> list[Page]:
    """Return the first pages, were the sheet after them number `first`."""
    pages: list[Page] = []

    def more() -> Sequence[Frame]:
        title = words.front_more_title if pages else words.front_title
        pages.append(text_page(plan, title))
        return columns(pages[-1], body(pages[-1]), LIST_COLUMN_MM)

    flow = Flow([], more)
    for item in _head(plan, words):
        flow.add(item)
    _order(flow, plan, words)
    flow.add(cautions(words))
    _foam(flow, plan, words)
    _work(flow, plan, words)
    _ways(flow, plan, words)
    _lifts(flow, plan, words)
    _drawing(flow, plan, words)
    _pieces(flow, plan, words)
    _offcuts(flow, plan, words)
    rows = [
        (str(first + i), title)
        for i, title in enumerate(titles)
        if i == 0 or title != titles[i - 1]
    ]
    table = Table(words.sheets_heads, rows, "rl", wraps=(1,))
    flow.table(table, before=(heading(words.sheets_title),))
    return pages


def _head(plan: Plan, words: Words) -> Iterator[Item]:
    job, shop = plan.job, plan.workshop
    yield Paragraph(job.name, cap_mm=HEAD, bold=True, after_mm=1.5)
    if job.invented:
        yield Paragraph(words.invented, cap_mm=TEXT, bold=True, after_mm=1.5)
    texts = [
        words.drawing.format(
            file=job.drawing, units=plan.traced.units, scale=short(plan.traced.scale, 4)
        )
    ]
    if plan.traced.contours:
        heights = [contour.height_mm for contour in plan.traced.contours]
        texts.append(
            words.drawing_contours.format(
                count=len(heights), low=short(min(heights)), high=short(max(heights))
            )
        )
    if job.date:
        texts.append(words.dated.format(date=job.date))
    texts.append(
        words.workshop.format(
            name=shop.name,
            alloy=shop.wire.alloy,
            diameter=short(shop.wire.diameter_mm, 2),
            length=short(shop.wire.length_mm),
            volts=short(shop.wire.supply_v),
            kind=shop.wire.supply,
        )
    )
    texts.append(
        words.cutting.format(
            kerf=short(shop.cutting.kerf_mm, 2), feed=short(shop.cutting.feed_mm_per_s)
        )
    )
    basis = kerf_basis(shop, job.form.foam)
    if basis.fit:
        texts.append(
            words.cutting_fitted.format(
                count=len(basis.fit.cuts), miss=short(basis.fit.worst_mm, 2)
            )
        )
    if job.form.allowance_mm:
        texts.append(words.allowance.format(allowance=short(job.form.allowance_mm)))
    yield Paragraph(" ".join(texts))
    if basis.estimate:
        text = words.cutting_estimate.format(**range_mm(basis.estimate))
        yield Paragraph(text, cap_mm=TEXT, bold=True)


def _order(flow: Flow, plan: Plan, words: Words) -> None:
    lines = plan.estimate.order
    rows: list[tuple[str, ...]] = [
        (
            line.stock,
            line.foam,
            words.size.format(
                length=beside(short(line.length_mm), line.length_mm, plan.workshop.paper),
                width=beside(short(line.width_mm), line.width_mm, plan.workshop.paper),
                thickness=beside(short(line.thickness_mm), line.thickness_mm, plan.workshop.paper),
            ),
            str(line.needed),
            str(line.spare),
            str(line.count),
            fixed(line.price_each, 2),
            fixed(line.price, 2),
            fixed(line.volume_m3, 2),
            fixed(line.weight_kg),
        )
        for line in lines
    ]
    if len(lines) > 1:
        rows.append(
            (
                words.order_total,
                "",
                "",
                *(str(sum(getattr(line, key) for line in lines)) for key in _COUNTS),
                "",
                fixed(sum(line.price for line in lines), 2),
                fixed(sum(line.volume_m3 for line in lines), 2),
                fixed(sum(line.weight_kg for line in lines)),
            )
        )
    if rows:
        table = Table(words.order_heads, rows, "lllrrrrrrr", wraps=(0, 1, 2), gap_mm=3.0)
        flow.table(table, before=(heading(words.order_title),))
        flow.add(Paragraph(_bounds(plan, words), before_mm=1.5))
    else:
        flow.add(heading(words.order_title), Paragraph(words.order_none, cap_mm=TEXT, bold=True))
    _rack(flow, plan, words)


def _bounds(plan: Plan, words: Words) -> str:
    """Return how near the order comes to what no order can do with less of."""
    estimate = plan.estimate
    needed = sum(line.needed for line in estimate.order)
    texts = [words.bound.format(needed=needed, fewest=estimate.fewest_blocks)]
    if estimate.least_order_price > 0:
        # Rounded up: it is not to promise too much.
        share = math.ceil(estimate.over_least * 1000 - 1e-6) / 10
        price, least = fixed(estimate.order_price, 2), fixed(estimate.least_order_price, 2)
        texts.append(words.bound_price.format(price=price, share=short(share), least=least))
    texts.append(words.order_note.format(currency=estimate.currency))
    return " ".join(texts)


def _rack(flow: Flow, plan: Plan, words: Words) -> None:
    """List the rack pieces to fetch, apart from what is bought."""
    rows = [
        (
            line.name,
            line.foam,
            words.size.format(
                length=beside(short(line.length_mm), line.length_mm, plan.workshop.paper),
                width=beside(short(line.width_mm), line.width_mm, plan.workshop.paper),
                thickness=beside(short(line.thickness_mm), line.thickness_mm, plan.workshop.paper),
            ),
            str(line.count),
            fixed(line.volume_m3, 2),
            fixed(line.weight_kg),
        )
        for line in plan.estimate.rack
    ]
    if rows:
        table = Table(words.rack_heads, rows, "lllrrr", wraps=(0, 1, 2), gap_mm=5.0)
        flow.table(table, before=(heading(words.rack_title), Paragraph(words.rack_note)))


_COUNTS = ("needed", "spare", "count")


def cautions(words: Words) -> Item:
    """Return the box of cautions that stands on every first page."""
    items: list[Item] = [Paragraph(words.cautions_title, cap_mm=TEXT, bold=True)]
    heads = [lettering.width_mm(head, NOTE, bold=True) for head, _ in words.cautions]
    items += [
        Paragraph(text, label=head, indent_mm=max(heads) + 3.0, after_mm=0.6)
        for head, text in words.cautions
    ]
    return _Set((Space(3.0), Boxed(tuple(items))))


@dataclass(frozen=True, slots=True)
class _Set:
    """Items that stay together."""

    items: tuple[Item, ...]

    def height_mm(self, width_mm: float) -> float:
        return sum(item.height_mm(width_mm) for item in self.items)

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        for item in self.items:
            item.draw(page, x, top, width_mm)
            top -= item.height_mm(width_mm)


@dataclass(frozen=True, slots=True)
class _FoamBar:
    """The foam taken as one bar, parted as it is used: pieces white, waste hatched or black."""

    foam: FoamBalance
    words: Words

    def height_mm(self, width_mm: float) -> float:
        return 10.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        high, low = top - 1.0, top - 8.0
        parts = (
            ("", self.foam.pieces),
            ("dots", self.foam.offcuts),
            ("hatch", self.foam.scrap),
            ("cross", self.foam.trim),
            ("black", self.foam.kerf),
        )
        at = x
        for pattern, value in parts:
            end = at + width_mm * value / self.foam.taken if self.foam.taken else at
            _pattern(page, Box(at, low, end, high), pattern)
            page.line([(end, low), (end, high)], MEDIUM)
            at = end
        page.box(Box(x, low, x + width_mm, high), MEDIUM)


def _pattern(page: Page, box: Box, pattern: str) -> None:
    """Fill a box with a pattern that a photocopier keeps apart from the others."""
    if pattern == "black":
        page.fill([(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)])
    if pattern in ("hatch", "cross"):
        for rise in (1, -1) if pattern == "cross" else (1,):
            _hatch(page, box, rise)
    if pattern == "dots":
        y = box.y0 + 1.0
        while y < box.y1 - 0.5:
            page.line([(box.x0, y), (box.x1, y)], 0.35, (0.35, 1.4))
            y += 1.5


def _hatch(page: Page, box: Box, rise: int) -> None:
    at = box.x0 - box.height
    while at < box.x1:
        low, high = max(at, box.x0), min(at + box.height, box.x1)
        if high > low:
            ends = [(low, box.y0 + low - at), (high, box.y0 + high - at)]
            if rise < 0:
                ends = [(x, box.y0 + box.y1 - y) for x, y in ends]
            page.line(ends, 0.13)
        at += 1.6


@dataclass(frozen=True, slots=True)
class _Swatches:
    """A table beside samples of the bar's patterns."""

    row: tuple[str, str, str]
    pattern: str | None
    bold: bool = False

    def height_mm(self, width_mm: float) -> float:
        return 4.9

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        name, amount, share = self.row
        if self.pattern is not None:
            box = Box(x, top - 4.4, x + 8.0, top - 0.8)
            _pattern(page, box, self.pattern)
            page.box(box, MEDIUM)
        y = top - 3.9
        page.text(x + 10.5, y, name, bold=self.bold)
        page.text(x + 120.0, y, amount, bold=self.bold, align="right")
        page.text(x + 178.0, y, share, bold=self.bold, align="right")


def _foam(flow: Flow, plan: Plan, words: Words) -> None:
    foam = plan.estimate.foam

    def row(name: str, litres: float) -> tuple[str, str, str]:
        share = 100 * litres / foam.taken if foam.taken else 0.0
        return name, fixed(litres), fixed(share)

    from_rack = (
        _Swatches(row(words.foam_rack, foam.rack), None),
        _Swatches(row(words.foam_taken, foam.taken), None, True),
    )
    if not foam.rack:
        from_rack = ()  # type: ignore[assignment]
    parts = (
        _Swatches(words.foam_heads, None, True),  # type: ignore[arg-type]
        _Swatches(row(words.foam_pieces, foam.pieces), ""),
        _Swatches(row(words.foam_offcuts, foam.offcuts), "dots"),
        _Swatches(row(words.foam_scrap, foam.scrap), "hatch"),
        _Swatches(row(words.foam_trim, foam.trim), "cross"),
        _Swatches(row(words.foam_kerf, foam.kerf), "black"),
        _Swatches(row(words.foam_bought, foam.bought), None, not foam.rack),
        *from_rack,
        _Swatches(row(words.foam_waste, foam.waste), None, True),
    )
    flow.add(_Set((heading(words.foam_title), _FoamBar(foam, words), *parts)))
    if plan.estimate.carve_litres is not None:
        carve = words.carve.format(litres=fixed(plan.estimate.carve_litres))
        flow.add(Paragraph(carve, before_mm=1.5))


def _work(flow: Flow, plan: Plan, words: Words) -> None:
    estimate, wire = plan.estimate, plan.estimate.wire
    total = (wire.foam_mm + wire.slot_mm + wire.air_mm) / 1000
    texts = [
        words.wire_total.format(total=fixed(total)),
        words.wire_split.format(
            foam=fixed(wire.foam_mm / 1000),
            slot=fixed(wire.slot_mm / 1000),
            air=fixed(wire.air_mm / 1000),
        ),
    ]
    if estimate.slab_cut_mm:
        texts.append(words.slab_cuts_length.format(slabs=fixed(estimate.slab_cut_mm / 1000)))
    texts.append(
        words.time.format(cutting=whole(estimate.cutting_min), setup=whole(estimate.setup_min))
    )
    flow.add(heading(words.work_title), Paragraph(" ".join(texts)))
    rows = [
        (words.price_foam, fixed(estimate.foam_price, 2)),
        (words.price_delivery, fixed(estimate.delivery_price, 2)),
        (words.price_labour, fixed(estimate.labour_price, 2)),
        (words.price_total, fixed(estimate.price, 2)),
    ]
    heads = [head.format(currency=estimate.currency) for head in words.price_heads]
    flow.table(Table(heads, rows, "lr", gap_mm=12.0), before=(Space(1.0),))


def _ways(flow: Flow, plan: Plan, words: Words) -> None:
    """Compare the two ways to make forms larger than a block."""
    if not plan.ways:
        flow.add(Paragraph(words.ways_same, before_mm=1.5))
        return
    names = {"cut first": words.way_cut_first, "glue first": words.way_glue_first}
    made = "glue first" if plan.blanks else "cut first"
    columns_of = [
        (
            str(row.blocks),
            fixed(row.foam_price, 2),
            fixed(row.hands_min / 60),
            fixed(row.price, 2),
            fixed(100 * row.waste_share),
            fixed(row.wire_mm / 1000),
            str(row.seams),
            fixed(row.seam_mm / 1000),
            fixed(row.glue_mm2 / 1e6, 2),
            kilos(row.heaviest_kg),
            "-" if row.carve_litres is None else whole(row.carve_litres),
        )
        if row.blocks
        else ("-",) * len(words.ways_labels)
        for row in plan.ways
    ]
    labels = [label.format(currency=plan.estimate.currency) for label in words.ways_labels]
    heads = ("", *(names[row.way] + " *" * (row.way == made) for row in plan.ways))
    rows = list(zip(labels, *columns_of, strict=True))
    table = Table(heads, rows, "l" + "r" * len(plan.ways), gap_mm=6.0)
    flow.table(table, before=(heading(words.ways_title),))
    texts = [words.ways_note]
    texts += [
        words.way_cannot.format(way=sentence(names[row.way]), why=row.why_not)
        for row in plan.ways
        if row.why_not
    ]
    flow.add(Paragraph(" ".join(texts), before_mm=1.5))


def _lifts(flow: Flow, plan: Plan, words: Words) -> None:
    """List what is too heavy for one person: blocks, then pieces, like ones in one line."""
    rows: list[str] = []
    for line in plan.estimate.order:
        density = plan.workshop.foam(line.foam).density_kg_per_m3
        weight = kilograms(line.length_mm * line.width_mm * line.thickness_mm, density)
        who = who_lifts(plan, weight, words)
        if who:
            rows.append(
                words.lift_block.format(stock=line.stock, weight=kilos(weight)) + f": {who}"
            )
    for number, weight in plan.estimate.piece_weights_kg:
        who = who_lifts(plan, weight, words)
        if who:
            name = piece_name(plan.piece(number), words)
            rows.append(words.lift_piece.format(piece=name, weight=kilos(weight)) + f": {who}")
    for blank in plan.blanks:
        weight = blank_weight_kg(plan, blank)
        who = who_lifts(plan, weight, words)
        if who:
            name = words.blank.format(blank=blank.number)
            rows.append(words.blank_lift.format(blank=name, weight=kilos(weight)) + f": {who}")
    one = short(plan.workshop.lift.one_person_kg)
    texts = [f"{sentence(row)}." for row in rows] or [words.lifts_none.format(one=one)]
    first, *others = (Paragraph(text) for text in texts)
    flow.add(heading(words.lifts_title), first)
    for other in others:
        flow.add(other)


def _drawing(flow: Flow, plan: Plan, words: Words) -> None:
    """List every repair, doubt and omission, and what became of every entity."""
    templates = {
        "repair": words.note_repair,
        "warning": words.note_warning,
        "ignored": words.note_ignored,
    }
    texts = []
    for kind, template in templates.items():
        for note in plan.traced.notes:
            if note.kind == kind:
                place = ""
                if note.at is not None:
                    place = words.at_place.format(x=whole(note.at[0]), y=whole(note.at[1]))
                texts.append(template.format(text=note.text.rstrip("."), place=place))
    first, *others = (Paragraph(text) for text in texts or [words.repairs_none])
    flow.add(heading(words.repairs_title), first)
    for other in others:
        flow.add(other)
    rows = [
        (
            count.kind,
            *map(str, (count.found, count.read, count.ignored, count.refused)),
            count.why,
        )
        for count in plan.traced.counts
    ]
    if rows:
        table = Table(words.counts_heads, rows, "lrrrrl", wraps=(0, 5))
        flow.table(table, before=(heading(words.counts_title),))


def _pieces(flow: Flow, plan: Plan, words: Words) -> None:
    on = {one.piece: layout for layout in plan.layouts for one in layout.placements}
    weights = dict(plan.estimate.piece_weights_kg)

    def figure(mm: float) -> str:
        return beside(short(mm), mm, plan.workshop.paper)

    rows = []
    for piece in plan.pieces:
        west, south, east, north = piece.outline.bounds
        layout = on.get(piece.number)
        rows.append(
            (
                str(piece.number),
                piece.name,
                layout_name(plan, layout, words) if layout else "",
                figure(east - west),
                figure(north - south),
                figure(piece.thickness_mm),
                piece.foam,
                kilos(weights.get(piece.number, 0.0)),
            )
        )
    table = Table(words.pieces_heads, rows, "rllrrrlr", wraps=(1, 2, 3, 4, 5, 6))
    note = Paragraph(words.pieces_note)
    flow.table(table, before=(heading(words.pieces_title), note))
    if plan.misses:
        flow.add(Paragraph(_misses(plan, words), before_mm=1.5))


MOST_MISSES = 12
"""Parts whose largest miss is told on paper; pieces.csv has them all."""


def _misses(plan: Plan, words: Words) -> str:
    """Return where the slot leaves foam in inner corners, the worst part first."""
    whole_plan = plan.with_blanks()
    parts = {whole_plan.piece(miss.piece).part: miss for miss in reversed(plan.misses)}
    worst = sorted(parts.items(), key=lambda part: (-part[1].miss_mm, part[0]))
    places = [
        words.miss_at.format(
            piece=name, miss=short(miss.miss_mm, 2), x=whole(miss.at[0]), y=whole(miss.at[1])
        )
        for name, miss in worst[:MOST_MISSES]
    ]
    cutting = plan.workshop.cutting
    radius = (cutting.corner_kerf_mm or cutting.kerf_mm) / 2
    return words.misses.format(radius=short(radius, 2), places="; ".join(places))


def _offcuts(flow: Flow, plan: Plan, words: Words) -> None:
    layouts = {layout.number: layout for layout in plan.with_blanks().layouts}
    rows = []
    for one in plan.estimate.offcuts:
        where = (
            words.block.format(block=one.block)
            if one.layout is None
            else layout_name(plan, layouts[one.layout], words)
        )
        paper = plan.workshop.paper
        size = words.size.format(
            length=beside(short(one.width_mm), one.width_mm, paper),
            width=beside(short(one.height_mm), one.height_mm, paper),
            thickness=beside(short(one.thickness_mm), one.thickness_mm, paper),
        )
        rows.append((str(one.number), one.name, where, size, fixed(one.volume_mm3 / 1e6)))
    if not rows:
        flow.add(heading(words.offcuts_title), Paragraph(words.offcuts_none))
        return
    table = Table(words.offcuts_heads, rows, "rlllr", wraps=(2,))
    flow.table(table, before=(heading(words.offcuts_title), Paragraph(words.offcuts_note)))
