"""Order, weights, lengths, times and prices of the estimate, worked out a second time."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from itertools import product

import numpy as np
import shapely

from wirepath.checking.blank_foam import cut_off_mm3
from wirepath.checking.columns import LEAST_SHARE, SLACK, overlap_mm3
from wirepath.checking.finding import EXACT_MM, LENGTH_SHARE, SAME_SHARE, Finding, found, same
from wirepath.checking.levels import heights_asked, middle_volume_mm3
from wirepath.checking.meshes import mesh_mm3
from wirepath.checking.sawing import room_in
from wirepath.checking.solids import longer_mm, solid_mm3, ways
from wirepath.errors import Fault
from wirepath.geometry import face_size_mm
from wirepath.model import Move, OrderLine, Pass, Plan
from wirepath.units import litres
from wirepath.workshop import Rig

MM3_PER_M3 = 1e9

FENCE_MM = 0.1
"""A fence that need not move further than this is left where it is."""


def check_costs(plan: Plan) -> Finding:
    """Return whether the estimate's figures follow from the plan."""
    estimate = plan.estimate
    whole = plan.with_blanks()
    faults = [*_order(plan), *_weights(plan), *_lengths(whole), *_times(whole), *_prices(plan)]
    faults += [*_rack(plan), *_carving(plan), *_roughing(plan), *_bounds(plan)]
    return found(
        5,
        "Order, weights, lengths, times and prices are right",
        f"{sum(line.count for line in estimate.order)} blocks to order, "
        f"{estimate.wire.foam_mm / 1000:.1f} m of cuts, {estimate.price:.2f} {estimate.currency}",
        faults,
    )


def _bounds(plan: Plan) -> list[Fault]:
    """Return bounds that this very plan beats, or that buy nothing where nothing is in store."""
    estimate = plan.estimate
    bought = [block for block in plan.blocks if not _is_racked(plan, block.stock)]
    faults = []
    least = 0 if plan.workshop.rack else 1
    if not least <= estimate.fewest_blocks <= max(len(bought), least):
        faults.append(
            Fault(
                f"no plan can do with fewer than {estimate.fewest_blocks} blocks, it says; "
                f"this one uses {len(bought)}",
                "estimate, fewest_blocks",
            )
        )
    price = estimate.foam_price + estimate.delivery_price
    if not -EXACT_MM <= estimate.least_order_price <= price * (1 + SAME_SHARE) + EXACT_MM:
        faults.append(
            Fault(
                f"no order can cost less than {estimate.least_order_price:.2f}, it says; "
                f"this one costs {price:.2f}",
                "estimate, least_order_price",
            )
        )
    return faults


def _is_racked(plan: Plan, name: str) -> bool:
    return any(piece.name == name for piece in plan.workshop.rack)


def _rack(plan: Plan) -> list[Fault]:
    """Return rack pieces to fetch that are not those the plan uses."""
    used = Counter(block.stock for block in plan.blocks if _is_racked(plan, block.stock))
    told = {line.name: line for line in plan.estimate.rack}
    faults = []
    if len(told) < len(plan.estimate.rack) or set(told) != set(used):
        faults.append(
            Fault(f"{sorted(told)} are to be fetched, {sorted(used)} are used", "rack pieces")
        )
    for name, line in told.items():
        stock = plan.workshop.stock_named(name)
        density = plan.workshop.foam(stock.foam).density_kg_per_m3
        volume = used[name] * stock.volume_mm3 / MM3_PER_M3
        where = f"rack piece {name}"
        if line.foam != stock.foam:
            faults.append(Fault(f"foam {line.foam!r} stated, {stock.foam!r} in the rack", where))
        figures = (
            ("count", line.count, used[name]),
            ("length_mm", line.length_mm, stock.length_mm),
            ("width_mm", line.width_mm, stock.width_mm),
            ("thickness_mm", line.thickness_mm, stock.thickness_mm),
            ("volume_m3", line.volume_m3, volume),
            ("weight_kg", line.weight_kg, volume * density),
        )
        for figure, here, there in figures:
            faults += _off(f"{where}, {figure}", here, there)
    return faults


def _off(where: str, told: float, right: float, share: float = 1e-6) -> list[Fault]:
    """Return the fault of a figure that is not the right one to a `share` of it."""
    if same(told, right, share=share):
        return []
    return [Fault(f"{told:.6g} stated, {right:.6g} worked out", where)]


def _order(plan: Plan) -> list[Fault]:
    """Return order lines that do not buy the plan's blocks."""
    needed = Counter(b.stock for b in plan.blocks if not _is_racked(plan, b.stock))
    lines = Counter(line.stock for line in plan.estimate.order)
    faults = [
        Fault(f"{lines[name]} order lines for this stock, 1 is needed", f"order, {name}")
        for name in needed
        if lines[name] != 1
    ]
    for line in plan.estimate.order:
        faults += _order_line(plan, line, needed[line.stock])
    return faults


def _order_line(plan: Plan, line: OrderLine, needed: int) -> list[Fault]:
    where = f"order, {line.stock}"
    stock = plan.workshop.stock_named(line.stock)
    density = plan.workshop.foam(stock.foam).density_kg_per_m3
    spare = math.ceil(needed * plan.workshop.order.spare_share - EXACT_MM)
    volume = line.count * stock.volume_mm3 / MM3_PER_M3
    faults = []
    if line.needed != needed:
        faults.append(Fault(f"{line.needed} blocks needed stated, {needed} used", where))
    if line.spare != spare:
        faults.append(Fault(f"{line.spare} spare blocks stated, {spare} asked", where))
    if line.foam != stock.foam:
        faults.append(Fault(f"foam {line.foam!r} stated, {stock.foam!r} in the workshop", where))
    figures = (
        ("length_mm", line.length_mm, stock.length_mm),
        ("width_mm", line.width_mm, stock.width_mm),
        ("thickness_mm", line.thickness_mm, stock.thickness_mm),
        ("price_each", line.price_each, stock.price),
        ("volume_m3", line.volume_m3, volume),
        ("weight_kg", line.weight_kg, volume * density),
    )
    for name, told, right in figures:
        faults += _off(f"{where}, {name}", told, right)
    return faults


def _weights(plan: Plan) -> list[Fault]:
    """Return piece weights that are not volume times density."""
    told = dict(plan.estimate.piece_weights_kg)
    listed = [number for number, _ in plan.estimate.piece_weights_kg]
    if listed != [piece.number for piece in plan.pieces]:
        return [Fault("not every piece is weighed once, in order", "estimate, piece weights")]
    faults = []
    for piece in plan.pieces:
        density = plan.workshop.foam(piece.foam).density_kg_per_m3
        weight = solid_mm3(piece) * density / MM3_PER_M3
        faults += _off(f"piece {piece.number}, weight_kg", told[piece.number], weight)
    return faults


def _carving(plan: Plan) -> list[Fault]:
    """Return the fault of foam left to carve: over the middle of reliefs' bounds, over solids.

    Where several forms bear a name, or several patterns suit it, any sum of theirs is
    taken for right.
    """
    where, told = "estimate, carve_litres", plan.estimate.carve_litres
    if plan.job.form.kind not in ("relief", "full round"):
        return [] if told is None else [Fault("stated, though nothing is carved", where)]
    if told is None:
        return [Fault("not stated, though its forms are carved", where)]
    foam = sum(float(piece.outline.area) * piece.thickness_mm for piece in plan.pieces)
    if plan.job.form.kind == "full round":
        solids, slack = _solids_mm3(plan)
        right = litres(foam - solids)
        return [] if abs(told - right) < litres(slack) else _off(where, told, right)
    foam -= sum(rough.litres_off * len(rough.forms) for rough in plan.roughing) * 1e6
    foam -= sum(cut_off_mm3(plan, blank) for blank in plan.blanks)
    forms = {(piece.section_of or f"piece {piece.number}", piece.part) for piece in plan.pieces}
    counts = Counter(part for _, part in forms)
    sums = {0.0}
    for outline in plan.traced.outlines:
        named = sum(other.name == outline.name for other in plan.traced.outlines)
        each = counts[outline.name] / named
        middles = {
            middle_volume_mm3(plan, outline, height) * each
            for height in heights_asked(plan.job, outline.name)
        }
        sums = {one + middle for one, middle in product(sums, middles or {0.0})}
    rights = [litres(foam - middle) for middle in sums]
    right = min(rights, key=lambda one: abs(one - told))
    return _off(where, told, right)


def _solids_mm3(plan: Plan) -> tuple[float, float]:
    """Return the volume of all full-round forms, and how far it may be out.

    Of a mesh its own, less what several shells hold, which columns tell closely; else all its
    sections hold.
    """
    layer_of = {outline.name: outline.layer for outline in plan.traced.outlines}
    made = {(layer_of.get(piece.part, ""), piece.section_of) for piece in plan.pieces}
    forms = [mesh for mesh in plan.traced.meshes if mesh.is_form]
    shells = {mesh.layer: mesh_mm3(mesh) for mesh in forms}
    overlaps = {mesh.layer: overlap_mm3(mesh) for mesh in forms}
    slack = {
        layer: SLACK * shells[layer]
        for layer, overlap in overlaps.items()
        if overlap > LEAST_SHARE * shells[layer]
    }
    volumes = dict.fromkeys((one.form for one in plan.traced.sections), 0.0)
    for one in plan.traced.sections:
        volumes[one.form] += float(shapely.area(one.region)) * (one.to_mm - one.from_mm)
    volumes |= {layer: shells[layer] - overlaps[layer] for layer in shells}
    return (
        sum(volumes.get(layer, 0.0) for layer, _ in made),
        sum(slack.get(layer, 0.0) for layer, _ in made),
    )


def _roughing(plan: Plan) -> list[Fault]:
    """Return figures of the roughing that are not the sums over its forms and their copies."""
    told, rate = plan.estimate.roughing, plan.job.roughing.carving_litres_per_hour
    if told is None or not plan.roughing:
        if (told is None) == (not plan.roughing):
            return []
        return [Fault("stated without roughing, or roughing without it", "estimate, roughing")]
    times = [(rough, len(rough.forms)) for rough in plan.roughing]
    cuts = [(cut, count) for rough, count in times for cut in rough.cuts]
    cutting = plan.workshop.cutting
    length = sum(count * cut.length_mm for cut, count in cuts)
    least = sum(count * rough.carve_least_litres for rough, count in times)
    most = sum(count * rough.carve_most_litres for rough, count in times)
    figures: list[tuple[str, float | None, float | None]] = [
        ("cuts", told.cuts, sum(count for _, count in cuts)),
        ("foam_mm", told.foam_mm, length),
        ("litres_off", told.litres_off, sum(count * rough.litres_off for rough, count in times)),
        ("carve_least_litres", told.carve_least_litres, least),
        ("carve_most_litres", told.carve_most_litres, most),
        ("carve_least_hours", told.carve_least_hours, least / rate if rate else None),
        ("carve_most_hours", told.carve_most_hours, most / rate if rate else None),
        ("cutting_min", told.cutting_min, length / cutting.feed_mm_per_s / 60),
        ("setup_min", told.setup_min, sum(count for _, count in cuts) * cutting.setup_min),
    ]
    faults = []
    for name, here, there in figures:
        where = f"estimate, roughing, {name}"
        if here is None or there is None:
            if here is not there:
                faults.append(Fault("stated without a rate, or a rate without it", where))
        else:
            faults += _off(where, here, there)
    return faults


def _length(moves: Iterable[Move], *kinds: str) -> float:
    return sum(float(longer_mm(move).sum()) for move in moves if move.kind in kinds)


def _lengths(plan: Plan) -> list[Fault]:
    """Return wire lengths that are not those of the moves, by their labels."""
    moves = [move for one in plan.passes for move in one.moves]
    wire = plan.estimate.wire
    cut = _length(moves, "entry", "thread", "outline", "hole", "link", "slit", "parting", "fence")
    return [
        *_off("wire, foam_mm", wire.foam_mm, cut, LENGTH_SHARE),
        *_off("wire, slot_mm", wire.slot_mm, _length(moves, "slot", "overrun"), LENGTH_SHARE),
        *_off("wire, air_mm", wire.air_mm, _length(moves, "air"), LENGTH_SHARE),
        *_slab_cuts(plan),
    ]


def _slab_cuts(plan: Plan) -> list[Fault]:
    """Return the fault of slab cuts fed neither along nor across their blocks.

    Each runs along one edge of the face, less trim at least, as bought at most.
    """
    least = most = 0.0
    for block in plan.blocks:
        room = room_in(plan, block.number)
        stock = plan.workshop.stock_named(block.stock)
        least += len(room.cuts) * min(room.width_mm, room.height_mm)
        most += len(room.cuts) * (
            max(face_size_mm(stock, block.wire_axis)) + 2 * plan.workshop.cutting.lead_in_mm
        )
    told = plan.estimate.slab_cut_mm
    if least - EXACT_MM <= told <= most + EXACT_MM:
        return []
    return [Fault(f"{told:.1f} mm stated, {least:.1f} to {most:.1f} possible", "slab_cut_mm")]


def _times(plan: Plan) -> list[Fault]:
    """Return times that are not those of the moves and slab cuts, and of the set-ups.

    One set-up to a layout, and at most one more to a block that is sawn into slabs; a
    threading for every pass that begins with one; and every setting of a fence.
    """
    cutting, estimate = plan.workshop.cutting, plan.estimate
    seconds = sum(_seconds(one, plan.workshop.rig) for one in plan.passes)
    seconds += estimate.slab_cut_mm / cutting.feed_mm_per_s
    faults = _off("cutting_min", estimate.cutting_min, seconds / 60, LENGTH_SHARE)
    sawn = sum(bool(room_in(plan, block.number).cuts) for block in plan.blocks)
    threadings = sum(move.kind == "thread" for one in plan.passes for move in one.moves)
    laid = sum(max(1, len(layout.setups)) for layout in plan.layouts)
    least = laid * cutting.setup_min + threadings * cutting.thread_min
    least += _fence_settings(plan) * plan.workshop.rig.fence_min
    most = least + sawn * cutting.setup_min
    if not least - EXACT_MM <= estimate.setup_min <= most + EXACT_MM:
        what = f"{estimate.setup_min:g} min stated, {least:g} to {most:g} possible"
        faults.append(Fault(what, "setup_min"))
    return faults


def _fence_settings(plan: Plan) -> int:
    """Return how often the fence is set: for each layout anew, then where it has to move."""
    count = 0
    for layout in plan.layouts:
        set_to = math.inf
        for cut in layout.fence_cuts:
            if abs(cut.fence_mm - set_to) > FENCE_MM:
                set_to = cut.fence_mm
                count += 1
    return count


def _seconds(one: Pass, rig: Rig) -> float:
    """Return the time of a pass, simulated step by step; infinite where a feed is nought.

    From rest to rest, at rest at every turn of 30 degrees and more; between, the speed
    rises and falls at the rig's rate, and the feeds are not passed. A gentler turn is one of
    a polygon in a circle, in which that rate keeps the wire. Hands keep the feeds.
    """
    if not one.moves:
        return 0.0
    steps = np.concatenate([np.diff(np.hstack(ways(move)), axis=0) for move in one.moves])
    counts = [len(ways(move)[0]) - 1 for move in one.moves]
    feeds = np.repeat([max(move.feed_mm_per_s, 0.0) for move in one.moves], counts)
    gone = steps.any(axis=1)
    steps, feeds = steps[gone], feeds[gone]
    lengths = np.maximum(np.hypot(*steps[:, :2].T), np.hypot(*steps[:, 2:].T))
    if not feeds.all():
        return math.inf
    if rig.kind != "table" or not len(steps):
        return float((lengths / feeds).sum())
    rate = rig.acceleration_mm_per_s2
    sizes = np.linalg.norm(steps, axis=1)
    turns = (steps[:-1] * steps[1:]).sum(axis=1) / (sizes[:-1] * sizes[1:])
    # 1 - cos = 2 sin^2 of half the angle.
    half_turns = np.sqrt(np.maximum((1 - turns) / 2, 1e-20))
    round_it = np.sqrt(rate * np.minimum(lengths[:-1], lengths[1:]) / (2 * half_turns))
    most = np.minimum(np.minimum(feeds[:-1], feeds[1:]), round_it)
    most = np.where(turns > math.cos(math.radians(30)), most, 0.0)
    ends = [0.0, *most.tolist(), 0.0]
    gained = (2 * rate * lengths).tolist()
    for i, more in enumerate(gained):
        ends[i + 1] = min(ends[i + 1], math.sqrt(ends[i] ** 2 + more))
    for i in range(len(gained) - 1, -1, -1):
        ends[i] = min(ends[i], math.sqrt(ends[i + 1] ** 2 + gained[i]))
    first, last = np.array(ends[:-1]), np.array(ends[1:])
    peak = np.minimum(feeds, np.sqrt((first**2 + last**2) / 2 + rate * lengths))
    rising, falling = (peak - first) / rate, (peak - last) / rate
    changing = (peak + first) / 2 * rising + (peak + last) / 2 * falling
    return float((rising + falling + np.maximum(lengths - changing, 0.0) / peak).sum())


def _prices(plan: Plan) -> list[Fault]:
    """Return prices that do not follow from order and hours."""
    estimate, order = plan.estimate, plan.workshop.order
    needed = Counter(b.stock for b in plan.blocks if not _is_racked(plan, b.stock))
    foam = 0.0
    for name, count in needed.items():
        spare = math.ceil(count * order.spare_share - EXACT_MM)
        foam += (count + spare) * plan.workshop.stock_named(name).price
    hours = (estimate.cutting_min + estimate.setup_min) / 60
    if estimate.roughing is not None:
        hours += (estimate.roughing.cutting_min + estimate.roughing.setup_min) / 60
    faults = [
        *_off("foam_price", estimate.foam_price, foam),
        *_off("delivery_price", estimate.delivery_price, order.delivery_price if needed else 0.0),
        *_off("labour_price", estimate.labour_price, hours * order.hour_price),
    ]
    if estimate.currency != order.currency:
        faults.append(Fault(f"{estimate.currency!r} stated, {order.currency!r} asked", "currency"))
    return faults
