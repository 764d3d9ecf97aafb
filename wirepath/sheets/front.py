"""The first pages: job, order, where the foam goes, cautions, repairs, lists."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from wirepath.kerf import kerf_basis
from wirepath.model import Plan
from wirepath.sheets import lettering
from wirepath.sheets.figures import (
    fixed,
    kilos,
    measure,
    range_mm,
    sentence,
    short,
    size_text,
    whole,
)
from wirepath.sheets.flow import (
    Boxed,
    Flow,
    Frame,
    Item,
    Paragraph,
    Space,
    Table,
    Together,
    heading,
)
from wirepath.sheets.foam_bar import foam_balance
from wirepath.sheets.front_lists import drawing_notes, lifts, offcut_list, piece_list
from wirepath.sheets.lettering import HEAD, NOTE, TEXT
from wirepath.sheets.page import Page
from wirepath.sheets.strip import body, columns, text_page
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
    foam_balance(flow, plan, words)
    _work(flow, plan, words)
    _ways(flow, plan, words)
    lifts(flow, plan, words)
    drawing_notes(flow, plan, words)
    piece_list(flow, plan, words)
    offcut_list(flow, plan, words)
    rows = [
        (str(first + i), title)
        for i, title in enumerate(titles)
        if i == 0 or title != titles[i - 1]
    ]
    flow.table(_sheet_list(rows, flow.width_mm, words), before=(heading(words.sheets_title),))
    return pages


FEWEST_HALVED, MOST_HALVED = 4, 60
"""Sheets that are listed in two halves side by side: more would be read over several pages."""


def _sheet_list(rows: Sequence[tuple[str, str]], room_mm: float, words: Words) -> Table:
    """Return the list of sheets, its second half beside the first where there is room."""
    whole_list = Table(words.sheets_heads, rows, "rl", wraps=(1,))
    if not FEWEST_HALVED <= len(rows) <= MOST_HALVED:
        return whole_list
    return whole_list.halved(room_mm)


def _head(plan: Plan, words: Words) -> Iterator[Item]:
    job, shop = plan.job, plan.workshop

    def figure(mm: float) -> str:
        return measure(mm, shop.paper)

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
                count=len(heights), low=figure(min(heights)), high=figure(max(heights))
            )
        )
    if job.date:
        texts.append(words.dated.format(date=job.date))
    texts.append(
        words.workshop.format(
            name=shop.name,
            alloy=shop.wire.alloy,
            diameter=short(shop.wire.diameter_mm, 2),
            length=figure(shop.wire.length_mm),
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
        texts.append(words.allowance.format(allowance=figure(job.form.allowance_mm)))
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
            size_text(plan, (line.length_mm, line.width_mm, line.thickness_mm), words),
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
    told = words.bound if estimate.fewest_blocks else words.bound_open
    if estimate.fewest_blocks == estimate.to_buy:
        told = words.bound_met
    texts = [told.format(needed=estimate.to_buy, fewest=estimate.fewest_blocks)]
    if estimate.least_order_price > 0:
        # Rounded up: it is not to promise too much.
        share = math.ceil(estimate.over_least * 1000 - 1e-6) / 10
        price, least = fixed(estimate.order_price, 2), fixed(estimate.least_order_price, 2)
        texts.append(words.bound_price.format(price=price, share=short(share), least=least))
        if share >= 1 and plan.workshop.setup_price > 0:
            texts.append(words.bound_hands)
    texts.append(words.order_note.format(currency=estimate.currency))
    return " ".join(texts)


def _rack(flow: Flow, plan: Plan, words: Words) -> None:
    """List the rack pieces to fetch, apart from what is bought."""
    rows = [
        (
            line.name,
            line.foam,
            size_text(plan, (line.length_mm, line.width_mm, line.thickness_mm), words),
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
    return Together((Space(3.0), Boxed(tuple(items))))


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
    prices = {
        words.price_foam: estimate.foam_price,
        words.price_delivery: estimate.delivery_price,
        words.price_labour: estimate.labour_price,
        words.price_total: estimate.price,
    }
    kind, unit = words.price_heads
    table = Table(
        (kind, *prices),
        [(unit.format(currency=estimate.currency), *(fixed(one, 2) for one in prices.values()))],
        "l" + "r" * len(prices),
        gap_mm=12.0,
    )
    flow.table(table, before=(Space(1.0),))


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
