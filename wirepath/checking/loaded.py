"""Promise 11: every piece goes into the van: inside it, through its door, in the order told."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from shapely.affinity import affine_transform

from wirepath import overlay
from wirepath.checking.assembled import lumps_after
from wirepath.checking.finding import DEPTH_MM, EXACT_MM, SAME_SHARE, Finding, found, same
from wirepath.errors import Fault
from wirepath.geometry import turn_matrix
from wirepath.model import Load, LoadItem, Plan
from wirepath.units import kilograms, told_apart
from wirepath.workshop import Van

Numbers = NDArray[np.float64]


def check_loaded(plan: Plan) -> Finding:
    """Return whether the loads hold every piece once and can be loaded as they are told."""
    van = plan.workshop.van
    title = "Every piece goes into the van"
    if van is None:
        faults = [Fault("loads are planned without a van", "loads")] if plan.loads else []
        return found(11, title, "the workshop has no van", faults)
    faults = [*_pieces_once(plan), *_bound(plan, van)]
    for load in plan.loads:
        faults += [Fault(what, f"load {load.number}") for what in _as_a_whole(load, van)]
        for item in load.items:
            where = f"load {load.number}, pieces {item.pieces}"
            faults += [Fault(what, where) for what in _of_one(plan, item, van)]
    heaviest = max((load.weight_kg for load in plan.loads), default=0.0)
    measured = (
        f"{len(plan.loads)} loads, the heaviest {heaviest:.1f} kg; boxes compared pair by pair"
    )
    return found(11, title, measured, faults)


def _pieces_once(plan: Plan) -> Iterator[Fault]:
    if [load.number for load in plan.loads] != list(range(1, len(plan.loads) + 1)):
        yield Fault("loads do not count from 1 without gaps", "loads")
    times = Counter(n for load in plan.loads for item in load.items for n in item.pieces)
    for number in sorted({*times, *(piece.number for piece in plan.pieces)}):
        if times[number] != 1 or number > len(plan.pieces):
            yield Fault(f"it travels {times[number]} times", f"piece {number}")
    at_home = [step for step in plan.assembly.steps if step.place == "workshop"]
    lumps = lumps_after(plan, at_home)
    torn: dict[tuple[str | None, int], set[tuple[int, ...]]] = defaultdict(set)
    for load in plan.loads:
        for item in load.items:
            for piece in (plan.piece(n) for n in item.pieces if n <= len(plan.pieces)):
                if piece.group is not None:
                    torn[piece.section_of, piece.group].add(item.pieces)
            if lumps.get(item.pieces[0]) != frozenset(item.pieces):
                what = f"pieces {item.pieces} are not one lump when the van is loaded"
                yield Fault(what, f"load {load.number}")
    for (form, group), parts in torn.items():
        if len(parts) > 1:
            yield Fault(f"it travels in {len(parts)} parts", f"group {group} of {form!r}")


def _bound(plan: Plan, van: Van) -> Iterator[Fault]:
    foam = sum(float(piece.outline.area) * piece.thickness_mm for piece in plan.pieces)
    weight = sum(_weight_kg(plan, piece.number) for piece in plan.pieces)
    shares = (foam / (van.length_mm * van.width_mm * van.height_mm), weight / van.payload_kg)
    fewest = math.ceil(max(shares) * (1 - SAME_SHARE))
    if plan.fewest_loads != fewest:
        what = f"no fewer than {plan.fewest_loads} loads are told, measured are {fewest}"
        yield Fault(what, "loads")


def _of_one(plan: Plan, item: LoadItem, van: Van) -> Iterator[str]:
    """Give what is wrong with one box: its size, its weight, its way through the door."""
    pieces = [plan.piece(number) for number in item.pieces]
    a, b, d, e = turn_matrix(item.turn_deg)
    turned = affine_transform(
        overlay.union([piece.outline for piece in pieces]), (a, b, d, e, 0.0, 0.0)
    )
    west, south, east, north = turned.bounds
    low = min(piece.from_mm for piece in pieces)
    top = max(piece.from_mm + piece.thickness_mm for piece in pieces)
    needed = sorted((east - west, north - south, top - low))
    box = sorted((item.length_mm, item.width_mm, item.height_mm))
    if any(need > have + DEPTH_MM for need, have in zip(needed, box, strict=True)):
        words = " x ".join(f"{side:.0f}" for side in needed)
        yield f"what is in the box takes {words} mm"
    weight = sum(_weight_kg(plan, piece.number) for piece in pieces)
    if not same(item.weight_kg, weight):
        yield f"it is told to weigh {item.weight_kg:.2f} kg, it weighs {weight:.2f} kg"
    if (
        item.width_mm > van.opening_width_mm - van.clear_mm + EXACT_MM
        or item.height_mm > van.opening_height_mm - van.clear_mm + EXACT_MM
    ):
        yield f"{item.width_mm:.0f} x {item.height_mm:.0f} mm do not pass the van's opening"


def _as_a_whole(load: Load, van: Van) -> Iterator[str]:
    """Give boxes outside the van, boxes that overlap or bar another's way, too great a weight."""
    if load.weight_kg > van.payload_kg * (1 + SAME_SHARE):
        yield (
            f"it weighs {told_apart(load.weight_kg, van.payload_kg)} kg, the van may carry "
            f"{van.payload_kg:g} kg"
        )
    low, high = _corners(load.items)
    inside = (van.length_mm, van.width_mm, van.height_mm)
    out = (low < -EXACT_MM).any(axis=1) | (high > np.array(inside) + EXACT_MM).any(axis=1)
    for k in np.flatnonzero(out).tolist():
        yield f"pieces {load.items[k].pieces} stand outside the van"
    # What is loaded goes straight in from the door, so nothing may stand before its place.
    shared = (np.minimum(high[:, None], high) - np.maximum(low[:, None], low)) > EXACT_MM
    for one, other in np.argwhere(np.triu(shared.all(axis=2), 1)).tolist():
        yield f"pieces {load.items[one].pieces} and {load.items[other].pieces} overlap"
    in_the_way = shared[:, :, 1:].all(axis=2) & (high[:, None, 0] > low[None, :, 0] + EXACT_MM)
    for one, other in np.argwhere(np.triu(in_the_way & ~shared.all(axis=2), 1)).tolist():
        yield (
            f"pieces {load.items[one].pieces}, loaded before, bar the way of pieces "
            f"{load.items[other].pieces}"
        )


def _corners(items: Sequence[LoadItem]) -> tuple[Numbers, Numbers]:
    """Return the nearest and the farthest corners of the boxes, (n, 3) each."""
    low = np.array([(one.x_mm, one.y_mm, one.z_mm) for one in items]).reshape(-1, 3)
    size = np.array([(one.length_mm, one.width_mm, one.height_mm) for one in items])
    return low, low + size.reshape(-1, 3)


def _weight_kg(plan: Plan, number: int) -> float:
    piece = plan.piece(number)
    density = plan.workshop.foam(piece.foam).density_kg_per_m3
    return kilograms(float(piece.outline.area) * piece.thickness_mm, density)
