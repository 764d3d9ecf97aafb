"""Promise 6 for the rack: the rack told for the next job is this one's, less used, plus kept."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import shapely
from shapely import Polygon

from wirepath import overlay
from wirepath.checking.finding import Finding, found
from wirepath.errors import Fault
from wirepath.model import Offcut, Plan
from wirepath.units import litres
from wirepath.workshop import RackPiece

FILE_MM = 0.0051
"""Sizes in the rack file are told to a thousandth; three of them and a turn lose no more."""

FILE_SHARE = 1e-3
"""Volumes follow from sizes told to a thousandth of a mm, of lumps some mm thick and up."""


def check_restocked(plan: Plan, rack: Sequence[RackPiece]) -> Finding:
    """Return whether `rack` is the plan's rack less what it uses, with its offcuts added."""
    used = Counter(block.stock for block in plan.blocks)
    before = {one.name: one for one in plan.workshop.rack}
    offcuts = {one.name: one for one in plan.estimate.offcuts}
    faults = [
        Fault(f"{times} rack pieces bear this name", f"rack piece {name}")
        for name, times in Counter(one.name for one in rack).items()
        if times > 1
    ]
    for one in rack:
        where = f"rack piece {one.name}"
        if one.name in offcuts:
            faults += _not_the_offcut(plan.with_blanks(), one, offcuts[one.name], where)
        elif one.name in before:
            faults += _not_what_is_left(one, before[one.name], used[one.name], where)
        else:
            faults.append(Fault("is neither left over nor an offcut of this plan", where))
    told = {one.name for one in rack}
    left = {name for name, one in before.items() if one.count > used[name]}
    faults += [
        Fault("is missing from the rack", f"rack piece {name}")
        for name in sorted((left | set(offcuts)) - told)
    ]
    was, now = (_litres(some) for some in (plan.workshop.rack, rack))
    taken = sum(used[name] * _litres([one], each=True) for name, one in before.items())
    kept = sum(litres(one.volume_mm3) for one in plan.estimate.offcuts)
    if abs(was - taken + kept - now) > FILE_SHARE * max(was, kept, now, 1e-9):
        what = f"{was:.3f} less {taken:.3f} taken plus {kept:.3f} kept is not {now:.3f} litres"
        faults.append(Fault(what, "rack"))
    return found(
        6,
        "The rack for the next job is what this one leaves",
        f"{was:.1f} litres - {taken:.1f} taken + {kept:.1f} kept = {now:.1f}, {len(rack)} entries",
        faults,
    )


def _litres(some: Sequence[RackPiece], *, each: bool = False) -> float:
    total = 0.0
    for one in some:
        length, width = one.length_mm or 0.0, one.width_mm or 0.0
        face = float(Polygon(one.outline).area) if one.outline else length * width
        total += face * one.thickness_mm * (1 if each else one.count)
    return litres(total)


def _not_what_is_left(one: RackPiece, was: RackPiece, used: int, where: str) -> list[Fault]:
    faults = []
    if one.count != was.count - used:
        faults.append(Fault(f"{one.count} are told to be left; {was.count} less {used} are", where))
    same = (one.foam, one.length_mm, one.width_mm, one.thickness_mm, one.trim_mm) == (
        was.foam,
        was.length_mm,
        was.width_mm,
        was.thickness_mm,
        was.trim_mm,
    ) and (one.outline, one.blocked) == (was.outline, was.blocked)
    return faults if same else [*faults, Fault("is not the piece it was", where)]


def _not_the_offcut(plan: Plan, one: RackPiece, offcut: Offcut, where: str) -> list[Fault]:
    stock = plan.workshop.stock_named(plan.block(offcut.block).stock)
    faults = []
    if (one.foam, one.count, one.trim_mm) != (stock.foam, 1, 0.0):
        faults.append(Fault(f"is told as {one.count} of {one.foam!r}", where))
    lump = one.stock
    told = sorted((lump.length_mm, lump.width_mm, lump.thickness_mm))
    right = sorted((offcut.width_mm, offcut.height_mm, offcut.thickness_mm))
    if any(abs(a - b) > FILE_MM for a, b in zip(told, right, strict=True)):
        faults.append(Fault(f"its sizes {told} are not the offcut's, {right}", where))
    volume = litres(lump.volume_mm3)
    if abs(volume - litres(offcut.volume_mm3)) > FILE_SHARE * volume:
        faults.append(
            Fault(f"{volume:.3f} litres, the offcut has {litres(offcut.volume_mm3):.3f}", where)
        )
    asked = 0.0
    if offcut.layout is None and stock.blocked:
        x, y = offcut.x_mm, offcut.y_mm
        face = offcut.outline or shapely.box(x, y, x + offcut.width_mm, y + offcut.height_mm)
        asked = sum(float(overlay.intersection(b.polygon, face).area) for b in stock.blocked)
    closed = sum(float(b.polygon.area) for b in one.blocked)
    # Crumbs at the edge, a square of 1 cm each, need not be told.
    if not asked - 100.0 * len(stock.blocked) - 1.0 <= closed <= asked + 1.0:
        faults.append(Fault(f"{closed:.0f} mm2 of it are blocked, {asked:.0f} must be", where))
    return faults
