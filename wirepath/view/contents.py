"""What the view shows: a plan as plain data, its texts ready to read, lengths to 0.1 mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict

import shapely
from shapely import LineString, Polygon

from wirepath.forming import form_levels
from wirepath.geometry import depth_mm, outline_at, place
from wirepath.model import Layout, Piece, Placement, Plan
from wirepath.sheets.figures import (
    beside,
    fixed,
    layout_name,
    layout_weight_kg,
    piece_name,
    runs,
    sentence,
    short,
    size_text,
    who_lifts,
    whole,
)
from wirepath.sheets.layout_sheet import about_blank, blank_title
from wirepath.sheets.picture import placed_cells
from wirepath.sheets.steps import steps
from wirepath.view.joining import joinings
from wirepath.view.roughing import roughing_data
from wirepath.view.shapes import (
    CLOSE_MM,
    SLICES,
    Data,
    flat,
    form_solid,
    label_at,
    piece_solid,
    rings,
)
from wirepath.view.wording import ViewWords
from wirepath.wording import Words
from wirepath.wording.roughing import ROUGHING

SPEEDS = (1, 10, 50)
"""How many times faster than the wire the picture may run."""


def contents(plan: Plan, words: ViewWords, sheet_words: Words) -> Data:
    """Return all that the page needs, in the order it is read."""
    rough_words = ROUGHING[plan.workshop.paper.language]
    full = plan.with_blanks()
    return {
        "words": asdict(words),
        "job": plan.job.name,
        "invented": plan.job.invented,
        "summary": list(_summary(plan, words)),
        "cautions": [list(pair) for pair in sheet_words.cautions],
        "lifts": _lifts(full, sheet_words),
        "notes": _notes(plan, sheet_words),
        "speeds": list(SPEEDS),
        "layouts": [_layout(full, one, words, sheet_words) for one in full.layouts],
        "pieces": [_piece(full, one, words, sheet_words) for one in full.pieces],
        "order": _order(plan, words, sheet_words),
        "offcuts": _offcuts(full, words, sheet_words),
        "solids": [*_blocks(full, sheet_words), *_whole(plan, words), *_forms(plan, words)],
        "roughing": [
            roughing_data(plan, one, words, rough_words) for one in plan.roughing if one.cuts
        ],
        "mark_heads": list(words.mark_heads),
        "joinings": joinings(plan, words, sheet_words),
    }


def _summary(plan: Plan, words: ViewWords) -> Iterator[tuple[str, str]]:
    wire, cutting, estimate = plan.workshop.wire, plan.workshop.cutting, plan.estimate
    yield words.drawing, plan.job.drawing
    if plan.job.date:
        yield words.date, plan.job.date
    yield words.workshop, plan.workshop.name
    yield (
        words.wire,
        words.wire_value.format(
            alloy=wire.alloy,
            diameter=short(wire.diameter_mm, 3),
            length=beside(whole(wire.length_mm), wire.length_mm, plan.workshop.paper),
            volts=short(wire.supply_v),
            kind=wire.supply,
        ),
    )
    yield (
        words.kerf,
        words.kerf_value.format(kerf=short(cutting.kerf_mm, 2), feed=short(cutting.feed_mm_per_s)),
    )
    if plan.job.form.allowance_mm:
        left = plan.job.form.allowance_mm
        yield words.allowance, f"{beside(short(left), left, plan.workshop.paper)} mm"
    yield words.pieces, str(len(plan.pieces))
    yield (
        words.blocks,
        (words.blocks_value if estimate.fewest_blocks else words.blocks_open).format(
            needed=estimate.to_buy, fewest=estimate.fewest_blocks
        ),
    )
    yield (
        words.time,
        words.time_value.format(
            cutting=whole(estimate.cutting_min), setup=whole(estimate.setup_min)
        ),
    )
    yield (
        words.waste,
        words.waste_value.format(
            share=fixed(100 * estimate.foam.waste_share), bought=whole(estimate.foam.taken)
        ),
    )
    yield words.price, f"{fixed(estimate.price, 2)} {estimate.currency}"


def _lifts(plan: Plan, sheet_words: Words) -> list[str]:
    found: dict[str, None] = {}
    for layout in plan.layouts:
        name = sentence(layout_name(plan, layout, sheet_words))
        for text in _lifted(plan, name, layout_weight_kg(plan, layout), sheet_words):
            found[text] = None
    for number, weight in plan.estimate.piece_weights_kg:
        name = sentence(piece_name(plan.piece(number), sheet_words))
        for text in _lifted(plan, name, weight, sheet_words):
            found[text] = None
    one = short(plan.workshop.lift.one_person_kg)
    return list(found) or [sheet_words.lifts_none.format(one=one)]


def _lifted(plan: Plan, name: str, weight_kg: float, sheet_words: Words) -> Iterator[str]:
    who = who_lifts(plan, weight_kg, sheet_words)
    if who is not None:
        yield f"{name}: {fixed(weight_kg)} kg, {who}"


def _notes(plan: Plan, sheet_words: Words) -> list[str]:
    templates = {
        "repair": sheet_words.note_repair,
        "ignored": sheet_words.note_ignored,
        "warning": sheet_words.note_warning,
    }
    texts = []
    for note in plan.traced.notes:
        place = ""
        if note.at is not None:
            place = sheet_words.at_place.format(x=whole(note.at[0]), y=whole(note.at[1]))
        texts.append(templates[note.kind].format(text=note.text, place=place))
    return texts or [sheet_words.repairs_none]


def _who(plan: Plan, weight_kg: float, sheet_words: Words) -> str:
    who = who_lifts(plan, weight_kg, sheet_words)
    return f", {who}" if who else ""


def _layout(plan: Plan, layout: Layout, words: ViewWords, sheet_words: Words) -> Data:
    stock = plan.workshop.stock_named(plan.block(layout.block).stock)
    weight = layout_weight_kg(plan, layout)
    placed = [
        (plan.piece(one.piece), place(plan.piece(one.piece).outline, one))
        for one in layout.placements
    ]
    about = words.layout_about.format(
        stock=stock.name,
        foam=stock.foam,
        width=beside(whole(layout.width_mm), layout.width_mm, plan.workshop.paper),
        height=beside(whole(layout.height_mm), layout.height_mm, plan.workshop.paper),
        thickness=beside(whole(layout.thickness_mm), layout.thickness_mm, plan.workshop.paper),
        weight=fixed(weight),
        lift=_who(plan, weight, sheet_words),
    )
    blank = plan.blank_of(layout)
    if blank is not None:
        first = sheet_words.blank_first.format(sheet=blank_title(blank, sheet_words))
        about = f"{first} {about_blank(plan, blank, sheet_words)}"
    return {
        "name": sentence(layout_name(plan, layout, sheet_words)),
        "about": about,
        "cells": [rings(cell, CLOSE_MM) for cell in placed_cells(plan, layout)],
        "width": layout.width_mm,
        "height": layout.height_mm,
        "trim": layout.trim_mm,
        "foam": rings(layout.outline, CLOSE_MM) if layout.outline is not None else [],
        "blocked": [rings(area, CLOSE_MM)[0] for area in layout.blocked],
        "lead": plan.workshop.cutting.lead_in_mm,
        "pieces": [
            {
                "number": piece.number,
                "at": label_at(outline),
                "rings": rings(outline, CLOSE_MM),
            }
            for piece, outline in placed
        ],
        "offcuts": [
            {"x": one.x_mm, "y": one.y_mm, "width": one.width_mm, "height": one.height_mm}
            for one in plan.estimate.offcuts
            if one.layout == layout.number
        ],
        "steps": _steps(plan, layout, sheet_words),
    }


def _steps(plan: Plan, layout: Layout, sheet_words: Words) -> list[Data]:
    found = []
    for step in steps(plan, layout, sheet_words):
        line = LineString(step.points).simplify(CLOSE_MM)
        is_piece = step.freed is not None and step.kind == "outline"
        found.append(
            {
                "kind": step.kind,
                "text": step.text,
                "points": flat(shapely.get_coordinates(line)),
                "seconds": round(step.seconds, 1),
                "frees": step.piece if is_piece else None,
            }
        )
    return found


def _piece(plan: Plan, piece: Piece, words: ViewWords, sheet_words: Words) -> Data:
    layout = next(
        one for one in plan.layouts if any(p.piece == piece.number for p in one.placements)
    )
    west, south, east, north = piece.outline.bounds
    weight = dict(plan.estimate.piece_weights_kg).get(piece.number, 0.0)
    return {
        "number": piece.number,
        "title": piece_name(piece, sheet_words),
        "about": words.piece_about.format(
            layout=sentence(layout_name(plan, layout, sheet_words)),
            width=beside(whole(east - west), east - west, plan.workshop.paper),
            height=beside(whole(north - south), north - south, plan.workshop.paper),
            thickness=beside(whole(piece.thickness_mm), piece.thickness_mm, plan.workshop.paper),
            foam=piece.foam,
            weight=fixed(weight),
            lift=_who(plan, weight, sheet_words),
        ),
    }


def _order(plan: Plan, words: ViewWords, sheet_words: Words) -> Data:
    estimate = plan.estimate

    def size(*lengths_mm: float) -> str:
        return size_text(plan, lengths_mm, sheet_words, whole)

    rows = [
        [
            line.stock,
            line.foam,
            size(line.length_mm, line.width_mm, line.thickness_mm),
            f"{line.count} x {fixed(line.price_each, 2)}",
            fixed(line.price, 2),
        ]
        for line in estimate.order
    ]
    rows += [
        [
            line.name,
            line.foam,
            size(line.length_mm, line.width_mm, line.thickness_mm),
            str(line.count),
            sheet_words.rack_title,
        ]
        for line in estimate.rack
    ]
    total = sum(line.price for line in estimate.order)
    count = sum(line.count for line in estimate.order)
    name = words.order_total.format(currency=estimate.currency)
    rows.append([name, "", "", str(count), fixed(total, 2)])
    return {"heads": list(words.order_heads), "rows": rows, "align": "lllrr"}


def _offcuts(plan: Plan, words: ViewWords, sheet_words: Words) -> Data:
    layouts = {one.number: one for one in plan.layouts}
    rows = []
    for one in plan.estimate.offcuts:
        layout = layouts[one.layout] if one.layout is not None else None
        place = (
            layout_name(plan, layout, sheet_words)
            if layout
            else sheet_words.block.format(block=one.block)
        )
        size = size_text(plan, (one.width_mm, one.height_mm, one.thickness_mm), sheet_words, whole)
        rows.append([one.name, place, size, whole(one.volume_mm3 / 1e6)])
    return {"heads": list(words.offcut_heads), "rows": rows, "align": "lllr"}


# --- Solid pictures --------------------------------------------------------------------
# A block's datum face is z = 0, its depth runs away from the eye.


def _blocks(plan: Plan, sheet_words: Words) -> Iterator[Data]:
    for block in plan.blocks:
        stock = plan.workshop.stock_named(block.stock)
        own = [one for one in plan.layouts if one.block == block.number]
        if not own:
            continue
        near = min(one.from_mm for one in own)
        yield {
            "name": sentence(
                sheet_words.block.format(block=block.number)
                if plan.blank_of(own[0]) is None
                else layout_name(plan, own[0], sheet_words)
            ),
            "box": [0.0, 0.0, -depth_mm(stock, block), own[0].width_mm, own[0].height_mm, 0.0],
            "layers": [
                {
                    "from": -layout.from_mm,
                    "labelled": layout.from_mm == near,
                    "prisms": [
                        part
                        for one in layout.placements
                        for part in piece_solid(
                            _placed_sections(plan.piece(one.piece), one),
                            -layout.from_mm - plan.piece(one.piece).thickness_mm,
                            -layout.from_mm,
                            str(one.piece),
                        )
                    ],
                }
                for layout in own
            ],
        }


def _whole(plan: Plan, words: ViewWords) -> Iterator[Data]:
    """Yield all pieces as they stand in the drawing; copies stand in one place, told together."""
    if len(plan.pieces) < 2:
        return
    copies: dict[tuple[bytes, float], list[Piece]] = {}
    for piece in plan.pieces:
        key = shapely.to_wkb(piece.finished), piece.from_mm
        copies.setdefault(key, []).append(piece)
    layers: dict[float, list[list[Piece]]] = {}
    for same in copies.values():
        layers.setdefault(same[0].from_mm, []).append(same)
    shapes = [same[0].finished for same in copies.values()]
    west, south, east, north = shapely.total_bounds(shapes).tolist()
    front = max(piece.from_mm + piece.thickness_mm for piece in plan.pieces)
    yield {
        "name": words.whole_shown,
        "box": flat([west, south, 0.0, east, north, front]),
        "layers": [
            {
                "from": from_mm,
                "labelled": from_mm == max(layers),
                "prisms": [
                    part
                    for same in layers[from_mm]
                    for part in piece_solid(
                        _finished_sections(same[0]),
                        from_mm,
                        from_mm + same[0].thickness_mm,
                        runs([one.number for one in same]),
                    )
                ],
            }
            for from_mm in sorted(layers)
        ],
    }


def _placed_sections(piece: Piece, placement: Placement) -> list[Polygon]:
    """Return a piece's sections where it lies, from the front; one where it does not taper."""
    if piece.taper is None:
        return [place(piece.outline, placement)]
    return [outline_at(piece, placement, share) for share in SLICES]


def _finished_sections(piece: Piece) -> list[Polygon]:
    if piece.taper is None:
        return [piece.finished]
    return [piece.taper.finished.section(share) for share in SLICES]


def _forms(plan: Plan, words: ViewWords) -> Iterator[Data]:
    if plan.job.form.kind != "relief":
        return
    for part, levels in form_levels(plan.job, plan.traced).items():
        yield form_solid(words.form_shown.format(part=part), levels)
