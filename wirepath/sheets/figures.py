"""Numbers, names and places as they are printed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import groupby

import shapely
from shapely import Geometry, LineString

from wirepath.forming import cut_sides
from wirepath.geometry import depth_mm, edges_along, foam_face
from wirepath.kerf import KerfEstimate
from wirepath.model import GluedBlank, Layout, Piece, Plan
from wirepath.units import kilograms
from wirepath.widening import cut_as_drawn
from wirepath.wording import Words
from wirepath.workshop import Paper

LONGEST_NAME = 28
"""Letters of a piece's name in a sentence; the list of pieces has it in full."""


def whole(mm: float) -> str:
    """Return a length in whole mm, halves upwards, never -0."""
    return f"{int(mm + 0.5) if mm >= 0 else -int(-mm + 0.5)}"


def short(value: float, decimals: int = 1) -> str:
    """Return a number with at most `decimals`, trailing noughts left off."""
    text = f"{round(value, decimals) + 0.0:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def fixed(value: float, decimals: int = 1) -> str:
    """Return a number with exactly `decimals`, never -0.0."""
    return f"{round(value, decimals) + 0.0:.{decimals}f}"


def piece_name(piece: Piece, words: Words) -> str:
    """Return what a piece is called in a sentence: its number, and its name if it has one."""
    if piece.name and piece.name != str(piece.number):
        name = piece.name
        if len(name) > LONGEST_NAME:
            name = name[: LONGEST_NAME - 1].rstrip() + "…"
        return words.piece_named.format(number=piece.number, name=name)
    return words.piece.format(number=piece.number)


def slab_number(plan: Plan, layout: Layout) -> int | None:
    """Return which slab of its block a layout is, from the datum face; None for a whole block."""
    block = plan.block(layout.block)
    stock = plan.workshop.stock_named(block.stock)
    if abs(layout.thickness_mm - depth_mm(stock, block)) < 1e-6:
        return None
    own = sorted(one.from_mm for one in plan.layouts if one.block == layout.block)
    return own.index(layout.from_mm) + 1


def layout_name(plan: Plan, layout: Layout, words: Words) -> str:
    """Return 'block 2' or 'block 2, slab 1'; of a glued blank 'blank 1'."""
    blank = plan.blank_of(layout)
    if blank is not None:
        return words.blank.format(blank=blank.number)
    slab = slab_number(plan, layout)
    if slab is None:
        return words.block.format(block=layout.block)
    return words.slab.format(block=layout.block, slab=slab)


def inches(mm: float) -> str:
    """Return a length in inches to the nearest sixteenth: 31 15/16."""
    sixteenths = int(abs(mm) / 25.4 * 16 + 0.5)
    full, rest = divmod(sixteenths, 16)
    share = math.gcd(rest, 16)
    parts = [str(full)] if full or not rest else []
    parts += [f"{rest // share}/{16 // share}"] if rest else []
    return ("-" if mm < 0 and sixteenths else "") + " ".join(parts)


def beside(text: str, mm: float, paper: Paper) -> str:
    """Return `text`, a length as printed, with inches beside it where they are asked for."""
    return f'{text} ({inches(mm)}")' if paper.inches else text


def measure(mm: float, paper: Paper) -> str:
    """Return a length to 0.1 mm, with inches beside it where they are asked for."""
    return beside(short(mm), mm, paper)


def size_text(
    plan: Plan, lengths_mm: Sequence[float], words: Words, show: Callable[[float], str] = short
) -> str:
    """Return `1200 x 600 x 50`, with inches beside each length where they are asked for."""
    length, width, thickness = (beside(show(mm), mm, plan.workshop.paper) for mm in lengths_mm)
    return words.size.format(length=length, width=width, thickness=thickness)


def kilos(weight_kg: float) -> str:
    """Return a weight in kg: to 10 g, light things at least 0.01."""
    return fixed(max(weight_kg, 0.01), 2 if weight_kg < 10 else 1)


def sentence(text: str) -> str:
    """Return `text` with a capital first letter."""
    return text[:1].upper() + text[1:]


def runs(numbers: Sequence[int]) -> str:
    """Return rising numbers in short: 1-3, 5."""
    parts = []
    for _, group in groupby(enumerate(sorted(numbers)), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        parts.append(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}")
    return ", ".join(parts)


def range_mm(kerf: KerfEstimate) -> dict[str, str]:
    """Return the ends of an estimate's range as texts name them."""
    return {"low": short(kerf.low_mm, 1), "high": short(kerf.high_mm, 1)}


def layout_weight_kg(plan: Plan, layout: Layout) -> float:
    """Return what the foam of a layout weighs before it is cut."""
    blank = plan.blank_of(layout)
    if blank is not None:
        return blank_weight_kg(plan, blank)
    stock = plan.workshop.stock_named(plan.block(layout.block).stock)
    volume = float(foam_face(layout).area) * layout.thickness_mm
    return kilograms(volume, plan.workshop.foam(stock.foam).density_kg_per_m3)


def blank_weight_kg(plan: Plan, blank: GluedBlank) -> float:
    """Return what a blank weighs, glued and not cut yet."""
    density = plan.workshop.foam(blank.form.foam).density_kg_per_m3
    return kilograms(blank.foam.bought * 1e6, density)


def who_lifts(plan: Plan, weight_kg: float, words: Words) -> str | None:
    """Return who must lift so much, or None where one person may."""
    lift = plan.workshop.lift
    if weight_kg <= lift.one_person_kg:
        return None
    return words.lift_two if weight_kg <= lift.two_people_kg else words.lift_more


def cut_finished(plan: Plan, piece: Piece) -> list[LineString]:
    """Return the edges of a piece that the wire cuts finished, as drawn: asked for by side,
    or marked by lines of the drawing and not under the allowance of another edge."""
    forms = [one for one in plan.traced.outlines if one.name == piece.part]
    lines = [
        line
        for form in forms
        for side in cut_sides(plan.job, form)
        for line in edges_along(form.polygon, side)
    ]
    edge = piece.finished.boundary
    parts = [part for line in lines for part in shapely.get_parts(line.intersection(edge))]
    merged = shapely.get_parts(shapely.line_merge(shapely.MultiLineString(_lines(parts))))
    return [*_lines(merged), *cut_as_drawn(piece.outline, plan.traced.finished_lines)]


def _lines(parts: Iterable[Geometry]) -> list[LineString]:
    return [part for part in parts if isinstance(part, LineString) and part.length > 0]
