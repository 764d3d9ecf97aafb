"""The lists of the first pages: heavy things, repairs, pieces, offcuts."""

from __future__ import annotations

from collections.abc import Sequence

from wirepath.model import Plan
from wirepath.sheets.figures import (
    beside,
    blank_weight_kg,
    fixed,
    kilos,
    layout_name,
    measure,
    piece_name,
    sentence,
    short,
    size_text,
    who_lifts,
    whole,
)
from wirepath.sheets.flow import Flow, Paragraph, Table, heading
from wirepath.stops import PieceStops, piece_stops, stop_widening_mm
from wirepath.units import kilograms
from wirepath.wording import Words


def lifts(flow: Flow, plan: Plan, words: Words) -> None:
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


def drawing_notes(flow: Flow, plan: Plan, words: Words) -> None:
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
                    x, y = (beside(whole(mm), mm, plan.workshop.paper) for mm in note.at)
                    place = words.at_place.format(x=x, y=y)
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


def piece_list(flow: Flow, plan: Plan, words: Words) -> None:
    """List every piece with its size, its weight and where it is cut."""
    on = {one.piece: layout for layout in plan.layouts for one in layout.placements}
    weights = dict(plan.estimate.piece_weights_kg)

    def figure(mm: float) -> str:
        return measure(mm, plan.workshop.paper)

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
    stops = piece_stops(plan)
    if stops:
        flow.add(Paragraph(_stops(plan, stops, words), before_mm=1.5))


def _stops(plan: Plan, stops: Sequence[PieceStops], words: Words) -> str:
    """Return how much wider the slot gets where the wire stops, and on which parts it does."""
    whole_plan = plan.with_blanks()
    most: dict[str, int] = {}
    for one in stops:
        part = whole_plan.piece(one.piece).part
        most[part] = max(most.get(part, 0), one.count)
    worst = sorted(most.items(), key=lambda part: (-part[1], part[0]))
    wider = stop_widening_mm(plan.workshop.cutting, plan.workshop.rig.acceleration_mm_per_s2)
    return words.stops.format(
        wider=short(wider, 2),
        places="; ".join(
            words.stops_at.format(piece=name, count=count) for name, count in worst[:MOST_MISSES]
        ),
    )


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


def offcut_list(flow: Flow, plan: Plan, words: Words) -> None:
    """List the offcuts to keep."""
    layouts = {layout.number: layout for layout in plan.with_blanks().layouts}
    rows = []
    for one in plan.estimate.offcuts:
        where = (
            words.block.format(block=one.block)
            if one.layout is None
            else layout_name(plan, layouts[one.layout], words)
        )
        size = size_text(plan, (one.width_mm, one.height_mm, one.thickness_mm), words)
        rows.append((str(one.number), one.name, where, size, fixed(one.volume_mm3 / 1e6)))
    if not rows:
        flow.add(heading(words.offcuts_title), Paragraph(words.offcuts_none))
        return
    table = Table(words.offcuts_heads, rows, "rlllr", wraps=(2,))
    flow.table(table, before=(heading(words.offcuts_title), Paragraph(words.offcuts_note)))
