"""Promise 5: foam adds up, each term measured from the geometry and compared.

docs/checking.md defines the terms. Volumes here are in mm3, in `FoamBalance` in litres.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import combinations

import numpy as np
import shapely
from shapely import Polygon, STRtree, box

from wirepath import overlay
from wirepath.checking.blank_foam import blank_foam, not_in_cell
from wirepath.checking.finding import (
    BALANCE_SHARE,
    DEPTH_MM,
    EXACT_MM,
    SAME_SHARE,
    Finding,
    found,
    place_of,
    same,
)
from wirepath.checking.sawing import room_in
from wirepath.checking.scene import Scene, inside_point, objects
from wirepath.checking.solids import solid_mm3
from wirepath.errors import Fault
from wirepath.model import FoamBalance, Offcut, Plan
from wirepath.units import litres
from wirepath.workshop import Stock

KERF_SHARE = 0.005
"""The slot's area by two ways of drawing its round ends, wire lines straightened or not."""


def check_balance(plan: Plan, scenes: Sequence[Scene]) -> Finding:
    """Return whether the foam bought is all accounted for, and as the estimate says."""
    measured = measure(plan, scenes)
    told = plan.estimate.foam
    faults = _offcut_faults(plan, scenes)
    limits = {
        "bought": SAME_SHARE * measured.bought,
        "rack": SAME_SHARE * measured.rack,
        "pieces": SAME_SHARE * measured.pieces,
        "trim": SAME_SHARE * measured.taken,
        "offcuts": SAME_SHARE * measured.taken,
        "kerf": KERF_SHARE * measured.kerf + SAME_SHARE * measured.taken,
        "scrap": KERF_SHARE * measured.kerf + SAME_SHARE * measured.taken,
    }
    for term, limit in limits.items():
        here, there = getattr(measured, term), getattr(told, term)
        if abs(here - there) > max(min(limit, BALANCE_SHARE * measured.taken), 1e-9):
            faults.append(
                Fault(f"{there:.3f} litres stated, {here:.3f} measured", f"foam balance, {term}")
            )
    if measured.scrap < -BALANCE_SHARE * measured.taken:
        faults.append(Fault("more offcuts are kept than foam is left", "foam balance"))
    errors = {"measured": _missing(measured), "stated": _missing(told)}
    for word, error in errors.items():
        if abs(error) > BALANCE_SHARE * measured.taken:
            faults.append(
                Fault(f"the terms {word} miss the foam taken by {error:.3f} litres", "foam balance")
            )
    rack = f" + {measured.rack:.1f} from the rack" if measured.rack else ""
    return found(
        5,
        "Foam adds up",
        f"{measured.bought:.1f} litres bought{rack} = pieces {measured.pieces:.1f} + kerf "
        f"{measured.kerf:.1f} + trim {measured.trim:.1f} + offcuts {measured.offcuts:.1f} + "
        f"scrap {measured.scrap:.1f}, missing {abs(errors['measured']):.4f}",
        faults,
    )


def _missing(foam: FoamBalance) -> float:
    """Return foam bought and from the rack less all terms, in litres."""
    taken = foam.bought + foam.rack
    return taken - foam.pieces - foam.kerf - foam.trim - foam.offcuts - foam.scrap


def measure(plan: Plan, scenes: Sequence[Scene]) -> FoamBalance:
    """Return the balance by geometry alone, in litres.

    Scrap is measured as what lies beside pieces and slots, and behind the slabs, less
    the offcuts; it is not what is missing from the sum.
    """
    bought = rack = inner = kerf = pieces = scrap = 0.0
    for block in plan.blocks:
        room = room_in(plan, block.number)
        volume = _as_got_mm3(plan.workshop.stock_named(block.stock))
        if any(piece.name == block.stock for piece in plan.workshop.rack):
            rack += volume
        else:
            bought += volume
        inner += room.face_mm2 * (room.far_mm - room.near_mm)
        kerf += room.face_mm2 * sum(to - start for start, to in room.cuts)
        scrap += room.face_mm2 * room.left_mm
    for scene in scenes:
        blank = plan.blank_of(scene.layout)
        if blank is not None:
            own = blank_foam(plan, blank, scene.slot)
            pieces += own.form_mm3 - own.cells_mm3
            kerf += own.kerf_mm3
            scrap += own.beside_mm3
            continue
        thick = scene.layout.thickness_mm * scene.weight
        slot_mm2, beside_mm2 = _slot_and_beside(scene)
        if scene.is_first:
            pieces += sum(solid_mm3(piece) for piece in scene.pieces)
        kerf += slot_mm2 * thick
        scrap += beside_mm2 * thick
    offcuts = sum(offcut.volume_mm3 for offcut in plan.estimate.offcuts)
    return FoamBalance(
        bought=litres(bought),
        rack=litres(rack),
        pieces=litres(pieces),
        kerf=litres(kerf),
        trim=litres(bought + rack - inner),
        offcuts=litres(offcuts),
        scrap=litres(scrap - offcuts),
    )


def _as_got_mm3(stock: Stock) -> float:
    """Return the volume of a block by its outline, or of its box."""
    if not stock.outline:
        return stock.length_mm * stock.width_mm * stock.thickness_mm
    x, y = np.array(stock.outline).T
    # The surveyor's formula: half the sum of the cross products of corner and next corner.
    area = abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2
    return area * stock.thickness_mm


def _slot_and_beside(scene: Scene) -> tuple[float, float]:
    """Return the areas of the trimmed face that are slot, and neither slot nor piece, mm2.

    Slits inside pieces count as piece: they are in the pieces' volume. Pieces meet only
    the parts they lie in, so the areas are taken part by part.
    """
    slot = overlay.intersection(scene.slot, scene.usable)
    parts = overlay.intersection(objects(scene.parts), scene.usable)
    placed = objects(scene.placed)
    cores = shapely.buffer(placed, -DEPTH_MM)
    piece_index, part_index = STRtree(parts).query(cores, predicate="intersects")
    shared = shapely.area(overlay.intersection(placed[piece_index], parts[part_index])).sum()
    in_pieces = shapely.area(placed).sum() - shared
    return float(shapely.area(slot) - in_pieces), float(shapely.area(parts).sum() - shared)


# --- Offcuts -----------------------------------------------------------------------


def _offcut_faults(plan: Plan, scenes: Sequence[Scene]) -> list[Fault]:
    """Return offcuts that are not clear, not there, too small, or counted twice."""
    faults = _names(plan)
    by_layout: dict[int, list[Scene]] = {}
    for scene in scenes:
        by_layout.setdefault(scene.layout.number, []).append(scene)
    blanks = {blank.layout.number: blank for blank in plan.blanks}
    for offcut in plan.estimate.offcuts:
        where = f"offcut {offcut.number}, block {offcut.block}"
        faults += _too_small(plan, offcut, where)
        blank = blanks.get(offcut.layout or 0)
        if blank is None:
            faults += _not_in_block(plan, offcut, where)
        else:
            faults += not_in_cell(plan, blank, offcut, where)
        if offcut.layout is not None:
            for scene in by_layout[offcut.layout]:
                faults += scene.told(_not_clear(scene, offcut, where))
    for one, other in combinations(plan.estimate.offcuts, 2):
        if one.block == other.block and _overlap(one, other):
            where = f"offcuts {one.number} and {other.number}, block {one.block}"
            faults.append(Fault("two offcuts share foam", where))
    return faults


def _names(plan: Plan) -> list[Fault]:
    """Return offcuts without a name of their own, by which the rack will know them."""
    taken = Counter(offcut.name for offcut in plan.estimate.offcuts)
    taken.update(one.name for one in plan.workshop.stock)
    taken.update(one.name for one in plan.workshop.rack)
    return [
        Fault(
            f"its name {offcut.name!r} is not its own" if offcut.name else "it has no name",
            f"offcut {offcut.number}, block {offcut.block}",
        )
        for offcut in plan.estimate.offcuts
        if not offcut.name or taken[offcut.name] > 1
    ]


def _too_small(plan: Plan, offcut: Offcut, where: str) -> list[Fault]:
    keep = plan.workshop.offcuts
    long, short = sorted((offcut.width_mm, offcut.height_mm), reverse=True)
    enough = (
        long >= keep.keep_length_mm - EXACT_MM
        and short >= keep.keep_width_mm - EXACT_MM
        and offcut.thickness_mm >= keep.keep_thickness_mm - EXACT_MM
    )
    return [] if enough else [Fault("is smaller than what the workshop keeps", where)]


def _not_in_block(plan: Plan, offcut: Offcut, where: str) -> list[Fault]:
    """Return where an offcut leaves the block less trim, or its depth is not its slab's."""
    room = room_in(plan, offcut.block)
    trim = room.near_mm
    end = offcut.from_mm + offcut.thickness_mm
    faults = []
    face = (
        min(offcut.x_mm, offcut.y_mm) >= trim - DEPTH_MM
        and offcut.x_mm + offcut.width_mm <= trim + room.width_mm + DEPTH_MM
        and offcut.y_mm + offcut.height_mm <= trim + room.height_mm + DEPTH_MM
    )
    if not face or offcut.from_mm < room.near_mm - DEPTH_MM or end > room.far_mm + DEPTH_MM:
        faults.append(Fault("reaches out of the block less trim", where))
    stock = plan.workshop.stock_named(plan.block(offcut.block).stock)
    faults += _off_the_foam(offcut, stock, where)
    if offcut.layout is None:
        taken = (*room.slabs, *room.cuts)
        if any(offcut.from_mm < to - DEPTH_MM and end > start + DEPTH_MM for start, to in taken):
            faults.append(Fault("lies in a slab that is cut, or in a slab cut", where))
        return faults
    layout = plan.layouts[offcut.layout - 1]
    if layout.block != offcut.block:
        faults.append(Fault(f"its layout {layout.number} is of block {layout.block}", where))
    if not (
        same(offcut.from_mm, layout.from_mm, least=EXACT_MM)
        and same(offcut.thickness_mm, layout.thickness_mm, least=EXACT_MM)
    ):
        faults.append(Fault("its depth is not that of its slab", where))
    return faults


def _off_the_foam(offcut: Offcut, stock: Stock, where: str) -> list[Fault]:
    """Return where an offcut reaches over the trimmed edge of foam that is no full rectangle."""
    if not stock.outline:
        return [Fault("has an outline, its block has none", where)] if offcut.outline else []
    foam = shapely.buffer(Polygon(stock.outline), DEPTH_MM - stock.trim_mm, join_style="mitre")
    x, y = offcut.x_mm, offcut.y_mm
    lump = offcut.outline or box(x, y, x + offcut.width_mm, y + offcut.height_mm)
    faults = []
    if not shapely.covers(foam, lump):
        faults.append(Fault("reaches over the trimmed edge of the foam", where))
    if offcut.outline is not None and any(
        abs(here - there) > EXACT_MM
        for here, there in zip(
            offcut.outline.bounds,
            (x, y, x + offcut.width_mm, y + offcut.height_mm),
            strict=True,
        )
    ):
        faults.append(Fault("its sizes are not those of its outline", where))
    return faults


def _not_clear(scene: Scene, offcut: Offcut, where: str) -> list[Fault]:
    """Return where an offcut, less the tolerance all round, meets a piece or a slot."""
    core = box(
        offcut.x_mm + DEPTH_MM,
        offcut.y_mm + DEPTH_MM,
        offcut.x_mm + offcut.width_mm - DEPTH_MM,
        offcut.y_mm + offcut.height_mm - DEPTH_MM,
    )
    faults = []
    for piece, placed in zip(scene.pieces, scene.placed, strict=True):
        if core.intersects(placed):
            faults.append(Fault(f"piece {piece.number} lies in it", where))
    if any(core.intersects(area) for area in scene.blocked):
        faults.append(Fault("a blocked area lies in it", where))
    if core.intersects(scene.slot):
        at = inside_point(overlay.intersection(core, scene.slot))
        faults.append(
            Fault("a slot runs through it", f"{where}, {place_of(scene.layout.number, at=at)}")
        )
    return faults


def _overlap(one: Offcut, other: Offcut) -> bool:
    """Return whether two lumps of a block share more than the tolerance on every axis."""
    spans = (
        (one.x_mm, one.width_mm, other.x_mm, other.width_mm),
        (one.y_mm, one.height_mm, other.y_mm, other.height_mm),
        (one.from_mm, one.thickness_mm, other.from_mm, other.thickness_mm),
    )
    return all(min(a + la, b + lb) - max(a, b) > DEPTH_MM for a, la, b, lb in spans)
