"""What a plan costs and takes: order, waste, weight, wire, time, price.

The terms of the foam balance are defined in docs/checking.md; the check works them
out again on its own.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon

from wirepath import overlay
from wirepath.geometry import AXES, depth_mm, face_size_mm, place_all, usable_face
from wirepath.model import (
    Block,
    Estimate,
    FoamBalance,
    Layout,
    Offcut,
    OrderLine,
    Pass,
    Piece,
    RoughingFigures,
    RoughingPlan,
    WireLengths,
)
from wirepath.units import kilograms, litres
from wirepath.workshop import Offcuts, Workshop

OFFCUT_CELL_MM = 10.0
"""Offcut rectangles are looked for on squares of this side: a kept size errs by less than one."""


def estimate(
    workshop: Workshop,
    pieces: tuple[Piece, ...],
    blocks: tuple[Block, ...],
    layouts: tuple[Layout, ...],
    passes: tuple[Pass, ...],
    *,
    fewest_blocks: int,
    carve_litres: float | None = None,
    roughing: Sequence[RoughingPlan] = (),
    carving_litres_per_hour: float | None = None,
) -> Estimate:
    """Return order, waste, weight, wire, time and price of a finished plan.

    `fewest_blocks` is a lower bound on any plan's blocks, `carve_litres` the foam that
    pieces of reliefs hold over the form before they are roughed; both come from the
    stages that know.
    """
    slots = {layout.number: slot_area(layout, passes, workshop) for layout in layouts}
    offcuts = tuple(
        replace(offcut, number=number)
        for number, offcut in enumerate(_offcuts(workshop, pieces, blocks, layouts, slots), 1)
    )
    order = _order(workshop, blocks)
    wire = _wire_lengths(passes)
    slab_cut_mm = sum(
        face_size_mm(workshop.stock_named(block.stock), block.wire_axis)[0]
        * slab_cuts(block, workshop, layouts)
        for block in blocks
    )
    cutting_s = (
        sum(move.line.length / move.feed_mm_per_s for p in passes for move in p.moves)
        + slab_cut_mm / workshop.cutting.feed_mm_per_s
    )
    sawn = sum(1 for block in blocks if slab_cuts(block, workshop, layouts))
    setup_min = workshop.cutting.setup_min * (len(layouts) + sawn)
    setup_min += workshop.cutting.thread_min * sum(one.is_threaded for one in passes)
    rough = roughing_figures(workshop, roughing, carving_litres_per_hour)
    labour_min = cutting_s / 60 + setup_min
    if rough is not None:
        labour_min += rough.cutting_min + rough.setup_min
        carve_litres = None if carve_litres is None else carve_litres - rough.litres_off
    return Estimate(
        order=order,
        offcuts=offcuts,
        foam=_balance(workshop, pieces, blocks, layouts, slots, offcuts),
        fewest_blocks=fewest_blocks,
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
        delivery_price=workshop.order.delivery_price,
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


def slot_area(layout: Layout, passes: Sequence[Pass], workshop: Workshop) -> Geometry:
    """Return the area the wire melts on a layout, as far as it lies inside the trimmed face."""
    lines = [
        move.line
        for one in passes
        if one.layout == layout.number
        for move in one.moves
        if move.kind != "air"
    ]
    swept = overlay.union(shapely.buffer(lines, workshop.cutting.kerf_mm / 2))
    inside: Geometry = overlay.intersection(swept, usable_face(layout))
    return inside


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


def _wire_lengths(passes: Sequence[Pass]) -> WireLengths:
    lengths = {"foam": 0.0, "slot": 0.0, "air": 0.0}
    for one in passes:
        for move in one.moves:
            where = {"air": "air", "slot": "slot", "overrun": "slot"}.get(move.kind, "foam")
            lengths[where] += move.line.length
    return WireLengths(foam_mm=lengths["foam"], slot_mm=lengths["slot"], air_mm=lengths["air"])


def _balance(
    workshop: Workshop,
    pieces: Sequence[Piece],
    blocks: Sequence[Block],
    layouts: Sequence[Layout],
    slots: dict[int, Geometry],
    offcuts: Sequence[Offcut],
) -> FoamBalance:
    bought = usable = kerf = 0.0
    for block in blocks:
        stock = workshop.stock_named(block.stock)
        bought += stock.volume_mm3
        sides = [stock.size_mm(axis) - 2 * stock.trim_mm for axis in AXES]
        usable += math.prod(sides)
        face = [side - 2 * stock.trim_mm for side in face_size_mm(stock, block.wire_axis)]
        far = depth_mm(stock, block) - stock.trim_mm
        # The last plane may be thinner than the kerf, where hardly anything lies behind it.
        kerf += math.prod(face) * sum(
            min(workshop.cutting.kerf_mm, far - _end(layout))
            for layout in _of(block, layouts)
            if _end(layout) < far
        )
    for layout in layouts:
        placed = overlay.union(place_all(layout, pieces))
        cut = overlay.difference(slots[layout.number], placed)
        kerf += shapely.area(cut) * layout.thickness_mm
    in_pieces = sum(piece.volume_mm3 for piece in pieces)
    kept = sum(offcut.volume_mm3 for offcut in offcuts)
    return FoamBalance(
        bought=litres(bought),
        pieces=litres(in_pieces),
        kerf=litres(kerf),
        trim=litres(bought - usable),
        offcuts=litres(kept),
        scrap=litres(usable - in_pieces - kerf - kept),
    )


# --- Offcuts ------------------------------------------------------------------------


def _offcuts(
    workshop: Workshop,
    pieces: Sequence[Piece],
    blocks: Sequence[Block],
    layouts: Sequence[Layout],
    slots: dict[int, Geometry],
) -> Iterator[Offcut]:
    """Give what is worth keeping, block by block: from each layout, then the slabs not cut."""
    keep = workshop.offcuts
    for block in blocks:
        own = _of(block, layouts)
        for layout in own:
            if layout.thickness_mm < keep.keep_thickness_mm:
                continue
            taken = overlay.union([*place_all(layout, pieces), slots[layout.number]])
            for x, y, width, height in clear_rectangles(usable_face(layout), taken, keep):
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
        width, height = (side - 2 * stock.trim_mm for side in face_size_mm(stock, block.wire_axis))
        if left >= keep.keep_thickness_mm and _worth_keeping(width, height, keep):
            yield Offcut(
                number=0,
                block=block.number,
                layout=None,
                x_mm=stock.trim_mm,
                y_mm=stock.trim_mm,
                width_mm=width,
                height_mm=height,
                from_mm=begin,
                thickness_mm=left,
            )


def _worth_keeping(width_mm: float, height_mm: float, keep: Offcuts) -> bool:
    return (
        max(width_mm, height_mm) >= keep.keep_length_mm
        and min(width_mm, height_mm) >= keep.keep_width_mm
    )


def clear_rectangles(
    face: Polygon, taken: Geometry, keep: Offcuts
) -> Iterator[tuple[float, float, float, float]]:
    """Give clear rectangles (x, y, width, height) of `face`, the largest first, none overlapping.

    They lie on squares of OFFCUT_CELL_MM counted from the face's lower left, so each
    side may fall short of the largest possible by less than two squares.
    """
    x0, y0, x1, y1 = face.bounds
    columns = int((x1 - x0) // OFFCUT_CELL_MM)
    rows = int((y1 - y0) // OFFCUT_CELL_MM)
    x, y = np.meshgrid(
        x0 + OFFCUT_CELL_MM * np.arange(columns), y0 + OFFCUT_CELL_MM * np.arange(rows)
    )
    # A square lies in the disc round its middle. Points in a widened area are asked for
    # ten times as fast as squares that touch it, and err to the safe side.
    half = OFFCUT_CELL_MM / 2
    near = shapely.buffer(taken, half * math.sqrt(2) * 1.001)
    shapely.prepare(near)
    free = ~shapely.intersects_xy(near, x + half, y + half)
    while True:
        row, column, high, wide = _largest_rectangle(free)
        width, height = wide * OFFCUT_CELL_MM, high * OFFCUT_CELL_MM
        if not _worth_keeping(width, height, keep):
            return
        yield x0 + column * OFFCUT_CELL_MM, y0 + row * OFFCUT_CELL_MM, width, height
        free[row : row + high, column : column + wide] = False


def _largest_rectangle(free: NDArray[np.bool_]) -> tuple[int, int, int, int]:
    """Return (row, column, rows, columns) of the largest all-true rectangle of `free`.

    The known scan: the run of free cells above each cell is a histogram, whose largest
    rectangle a stack finds in one sweep of the row. Cost: one step a cell.
    """
    best = (0, 0, 0, 0)
    best_area = 0
    above = np.zeros(free.shape[1] + 1, dtype=np.int64)
    for row in range(free.shape[0]):
        above[:-1] = np.where(free[row], above[:-1] + 1, 0)
        stack: list[tuple[int, int]] = []
        for column, height in enumerate(above.tolist()):
            start = column
            while stack and stack[-1][1] >= height:
                start, tall = stack.pop()
                if tall * (column - start) > best_area:
                    best_area = tall * (column - start)
                    best = (row - tall + 1, start, tall, column - start)
            stack.append((start, height))
    return best
