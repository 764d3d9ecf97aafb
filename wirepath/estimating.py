"""What a plan costs and takes: order, waste, weight, wire, time, price.

The terms of the foam balance are defined in docs/checking.md; the check works them
out again on its own.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import Geometry

from wirepath import overlay
from wirepath.geometry import (
    clear_face,
    depth_mm,
    face_size_mm,
    line_at,
    outline_at,
    place_all,
    polygons,
    usable_face,
)
from wirepath.kerf import half_kerf_mm
from wirepath.model import (
    Block,
    Estimate,
    FoamBalance,
    Layout,
    Move,
    Offcut,
    OrderLine,
    Pass,
    Piece,
    RackLine,
    RoughingFigures,
    RoughingPlan,
    WireLengths,
)
from wirepath.rectangles import clear_rectangles, worth_keeping
from wirepath.timing import pass_seconds
from wirepath.units import kilograms, litres
from wirepath.workshop import Workshop

MOST_WIDER = 5.0
"""An end that hardly moves is taken to melt no more than so many kerfs: along a taper none
lags further."""


def estimate(
    workshop: Workshop,
    pieces: tuple[Piece, ...],
    blocks: tuple[Block, ...],
    layouts: tuple[Layout, ...],
    passes: tuple[Pass, ...],
    *,
    fewest_blocks: int,
    least_order_price: float = 0.0,
    carve_litres: float | None = None,
    roughing: Sequence[RoughingPlan] = (),
    carving_litres_per_hour: float | None = None,
) -> Estimate:
    """Return order, waste, weight, wire, time and price of a finished plan.

    `fewest_blocks` and `least_order_price` are lower bounds on any plan's blocks to buy and
    order, `carve_litres` is the foam that pieces of carved forms hold over them before they
    are roughed; all come from the stages that know.
    """
    slots = {layout.number: slots_by_depth(layout, passes, workshop) for layout in layouts}
    names = rack_names(workshop)
    offcuts = tuple(
        replace(offcut, number=number, name=next(names))
        for number, offcut in enumerate(_offcuts(workshop, pieces, blocks, layouts, slots), 1)
    )
    order = _order(workshop, blocks)
    wire = wire_lengths(passes)
    slab_cut_mm = sum(
        face_size_mm(workshop.stock_named(block.stock), block.wire_axis)[0]
        * slab_cuts(block, workshop, layouts)
        for block in blocks
    )
    cutting_s = (
        sum(pass_seconds(one, workshop.rig) for one in passes)
        + slab_cut_mm / workshop.cutting.feed_mm_per_s
    )
    sawn = sum(1 for block in blocks if slab_cuts(block, workshop, layouts))
    laid = sum(max(len(layout.setups), 1) for layout in layouts)
    setup_min = workshop.cutting.setup_min * (laid + sawn)
    setup_min += workshop.cutting.thread_min * sum(one.is_threaded for one in passes)
    setup_min += workshop.rig.fence_min * sum(len(one.fence_settings) for one in layouts)
    rough = roughing_figures(workshop, roughing, carving_litres_per_hour)
    labour_min = cutting_s / 60 + setup_min
    if rough is not None:
        labour_min += rough.cutting_min + rough.setup_min
        carve_litres = None if carve_litres is None else carve_litres - rough.litres_off
    return Estimate(
        order=order,
        rack=_from_rack(workshop, blocks),
        offcuts=offcuts,
        foam=_balance(workshop, pieces, blocks, layouts, slots, offcuts),
        fewest_blocks=fewest_blocks,
        least_order_price=least_order_price,
        piece_weights_kg=tuple(
            (
                piece.number,
                kilograms(piece.volume_mm3, workshop.foam(piece.foam).density_kg_per_m3),
            )
            for piece in pieces
        ),
        wire=wire,
        slab_cut_mm=slab_cut_mm,
        cutting_min=cutting_s / 60,
        setup_min=setup_min,
        foam_price=sum(line.price for line in order),
        delivery_price=workshop.order.delivery_price if order else 0.0,
        labour_price=labour_min / 60 * workshop.order.hour_price,
        currency=workshop.order.currency,
        carve_litres=carve_litres,
        roughing=rough,
    )


def roughing_figures(
    workshop: Workshop, roughing: Sequence[RoughingPlan], litres_per_hour: float | None
) -> RoughingFigures | None:
    """Return what roughing comes to, every copy counted; None where nothing is roughed."""
    if not roughing:
        return None

    def total(one: Callable[[RoughingPlan], float]) -> float:
        return sum(one(rough) * len(rough.forms) for rough in roughing)

    cuts = round(total(lambda rough: len(rough.cuts)))
    foam_mm = total(lambda rough: sum(cut.length_mm for cut in rough.cuts))
    least, most = total(lambda r: r.carve_least_litres), total(lambda r: r.carve_most_litres)
    return RoughingFigures(
        cuts=cuts,
        foam_mm=foam_mm,
        litres_off=total(lambda rough: rough.litres_off),
        carve_least_litres=least,
        carve_most_litres=most,
        carve_least_hours=least / litres_per_hour if litres_per_hour else None,
        carve_most_hours=most / litres_per_hour if litres_per_hour else None,
        cutting_min=foam_mm / workshop.cutting.feed_mm_per_s / 60,
        setup_min=cuts * workshop.cutting.setup_min,
    )


DEPTH_WEIGHTS = dict(
    zip(np.linspace(0, 1, 9).tolist(), [w / 24 for w in (1, 4, 2, 4, 2, 4, 2, 4, 1)], strict=True)
)
"""Shares of a slab's depth at which a layout with tapers is measured, and what each counts:
Simpson's rule over four parts."""


@dataclass(frozen=True, slots=True)
class DepthSlot:
    """What the wire melts at one depth of a layout, and what share of the depth it stands for."""

    share: float
    weight: float
    area: Geometry


def slots_by_depth(
    layout: Layout, passes: Sequence[Pass], workshop: Workshop
) -> tuple[DepthSlot, ...]:
    """Return the areas the wire melts on a layout, as far as they lie in the trimmed face.

    One, good for all depths, where the wire stays square. Where its ends part, an end
    that goes slower melts a wider slot, with 1 / feed, and a wire that leans one as
    much wider as it is longer.
    """
    moves = [
        move
        for one in passes
        if one.layout == layout.number
        for move in one.moves
        if move.kind != "air"
    ]
    depths = DEPTH_WEIGHTS if any(move.far is not None for move in moves) else {0.0: 1.0}
    half = workshop.cutting.kerf_mm / 2
    base = min(workshop.cutting.kerf_base_mm or 0.0, workshop.cutting.kerf_mm) / 2
    upright = [move for move in moves if move.far is None]
    halves = [half_kerf_mm(move, workshop.cutting) for move in upright]
    square = overlay.union(shapely.buffer([move.line for move in upright], halves))
    found = []
    for share, weight in depths.items():
        leaning = [
            _swept(m, share, half, base, layout.thickness_mm) for m in moves if m.far is not None
        ]
        area = overlay.intersection(overlay.union([square, *leaning]), usable_face(layout))
        found.append(DepthSlot(share, weight, area))
    return tuple(found)


def _swept(
    move: Move, share: float, half_kerf_mm: float, half_base_mm: float, thick_mm: float
) -> Geometry:
    """Return what a move whose ends part melts at one depth; the base is for any feed the same."""
    assert move.far is not None
    near, far = (shapely.get_coordinates(line) for line in (move.line, move.far))
    here = shapely.get_coordinates(line_at(move, share))
    longer = np.maximum(*(np.hypot(*np.diff(way, axis=0).T) for way in (near, far)))
    own = np.hypot(*np.diff(here, axis=0).T)
    slower = np.minimum(longer / np.maximum(own, 1e-9), MOST_WIDER)
    step = np.diff(here, axis=0) / np.maximum(own, 1e-9)[:, None]
    leans = (far - near) / thick_mm
    slopes = [step[:, 0] * lean[:, 1] - step[:, 1] * lean[:, 0] for lean in (leans[:-1], leans[1:])]
    halves = half_base_mm + (half_kerf_mm - half_base_mm) * slower
    radii = halves * np.sqrt(1 + np.maximum(*np.abs(slopes)) ** 2)
    steps = shapely.linestrings(np.stack((here[:-1], here[1:]), axis=1))
    swept: Geometry = overlay.union(shapely.buffer(steps, radii))
    return swept


def slab_cuts(block: Block, workshop: Workshop, layouts: Sequence[Layout]) -> int:
    """Return how many flat cuts part the block's slabs, trims on both faces included."""
    depth = depth_mm(workshop.stock_named(block.stock), block)
    own = _of(block, layouts)
    first = 1 if own and own[0].from_mm > 0 else 0
    return first + sum(1 for layout in own if _end(layout) < depth)


def _end(layout: Layout) -> float:
    return layout.from_mm + layout.thickness_mm


def _of(block: Block, layouts: Sequence[Layout]) -> list[Layout]:
    return sorted(
        (layout for layout in layouts if layout.block == block.number),
        key=lambda layout: layout.from_mm,
    )


def _order(workshop: Workshop, blocks: Sequence[Block]) -> tuple[OrderLine, ...]:
    needed = Counter(block.stock for block in blocks)
    lines = []
    for stock in workshop.stock:
        if not needed[stock.name]:
            continue
        spare = math.ceil(needed[stock.name] * workshop.order.spare_share - 1e-9)
        count = needed[stock.name] + spare
        density = workshop.foam(stock.foam).density_kg_per_m3
        lines.append(
            OrderLine(
                stock=stock.name,
                foam=stock.foam,
                length_mm=stock.length_mm,
                width_mm=stock.width_mm,
                thickness_mm=stock.thickness_mm,
                needed=needed[stock.name],
                spare=spare,
                price_each=stock.price,
                volume_m3=count * stock.volume_mm3 / 1e9,
                weight_kg=kilograms(count * stock.volume_mm3, density),
            )
        )
    return tuple(lines)


def _from_rack(workshop: Workshop, blocks: Sequence[Block]) -> tuple[RackLine, ...]:
    used = Counter(block.stock for block in blocks)
    lines = []
    for stock in (piece.stock for piece in workshop.rack if used[piece.name]):
        density = workshop.foam(stock.foam).density_kg_per_m3
        volume = used[stock.name] * stock.volume_mm3
        lines.append(
            RackLine(
                name=stock.name,
                foam=stock.foam,
                length_mm=stock.length_mm,
                width_mm=stock.width_mm,
                thickness_mm=stock.thickness_mm,
                count=used[stock.name],
                volume_m3=volume / 1e9,
                weight_kg=kilograms(volume, density),
            )
        )
    return tuple(lines)


def rack_names(workshop: Workshop) -> Iterator[str]:
    """Give names for new rack pieces: R and a number, from the first that is free on."""
    taken = {one.name for one in workshop.rack} | {one.name for one in workshop.stock}
    numbers = [int(name[1:]) for name in taken if name[:1] == "R" and name[1:].isdigit()]
    for number in itertools.count(max(numbers, default=0) + 1):
        yield f"R{number}"


def wire_lengths(passes: Sequence[Pass]) -> WireLengths:
    """Return how far the wire goes on all passes, by the labels of their moves."""
    lengths = {"foam": 0.0, "slot": 0.0, "air": 0.0}
    for one in passes:
        for move in one.moves:
            where = {"air": "air", "slot": "slot", "overrun": "slot"}.get(move.kind, "foam")
            lengths[where] += move.length_mm
    return WireLengths(foam_mm=lengths["foam"], slot_mm=lengths["slot"], air_mm=lengths["air"])


def _balance(
    workshop: Workshop,
    pieces: Sequence[Piece],
    blocks: Sequence[Block],
    layouts: Sequence[Layout],
    slots: dict[int, tuple[DepthSlot, ...]],
    offcuts: Sequence[Offcut],
) -> FoamBalance:
    bought = rack = usable = kerf = 0.0
    for block in blocks:
        stock = workshop.stock_named(block.stock)
        if workshop.in_rack(block.stock):
            rack += stock.volume_mm3
        else:
            bought += stock.volume_mm3
        own = _of(block, layouts)
        face_mm2 = float(shapely.area(usable_face(own[0])))
        far = depth_mm(stock, block) - stock.trim_mm
        usable += face_mm2 * (far - stock.trim_mm)
        # The last plane may be thinner than the kerf, where hardly anything lies behind it.
        kerf += face_mm2 * sum(
            min(workshop.cutting.kerf_mm, far - _end(layout))
            for layout in own
            if _end(layout) < far
        )
    for layout in layouts:
        for slot in slots[layout.number]:
            placed = [
                outline_at(pieces[one.piece - 1], one, slot.share) for one in layout.placements
            ]
            cut = overlay.difference(slot.area, overlay.union(placed))
            kerf += float(shapely.area(cut)) * layout.thickness_mm * slot.weight
    in_pieces = sum(piece.volume_mm3 for piece in pieces)
    kept = sum(offcut.volume_mm3 for offcut in offcuts)
    return FoamBalance(
        bought=litres(bought),
        rack=litres(rack),
        pieces=litres(in_pieces),
        kerf=litres(kerf),
        trim=litres(bought + rack - usable),
        offcuts=litres(kept),
        scrap=litres(usable - in_pieces - kerf - kept),
    )


# --- Offcuts ------------------------------------------------------------------------


def _offcuts(
    workshop: Workshop,
    pieces: Sequence[Piece],
    blocks: Sequence[Block],
    layouts: Sequence[Layout],
    slots: dict[int, tuple[DepthSlot, ...]],
) -> Iterator[Offcut]:
    """Give what is worth keeping, block by block: from each layout, then the slabs not cut."""
    keep = workshop.offcuts
    for block in blocks:
        own = _of(block, layouts)
        for layout in own:
            if layout.thickness_mm < keep.keep_thickness_mm:
                continue
            melted = [slot.area for slot in slots[layout.number]]
            taken = overlay.union([*place_all(layout, pieces), *melted])
            for x, y, width, height in clear_rectangles(clear_face(layout), taken, keep):
                yield Offcut(
                    number=0,
                    block=block.number,
                    layout=layout.number,
                    x_mm=x,
                    y_mm=y,
                    width_mm=width,
                    height_mm=height,
                    from_mm=layout.from_mm,
                    thickness_mm=layout.thickness_mm,
                )
        stock = workshop.stock_named(block.stock)
        begin = _end(own[-1]) + workshop.cutting.kerf_mm
        left = depth_mm(stock, block) - stock.trim_mm - begin
        if left < keep.keep_thickness_mm:
            continue
        face = max(polygons(usable_face(own[0])), key=lambda part: part.area)
        is_odd = own[0].outline is not None
        if is_odd and not any(clear_rectangles(face, shapely.Point(), keep)):
            continue
        x0, y0, x1, y1 = face.bounds
        if worth_keeping(x1 - x0, y1 - y0, keep):
            yield Offcut(
                number=0,
                block=block.number,
                layout=None,
                x_mm=x0,
                y_mm=y0,
                width_mm=x1 - x0,
                height_mm=y1 - y0,
                from_mm=begin,
                thickness_mm=left,
                outline=face if is_odd else None,
            )
