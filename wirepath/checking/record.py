"""Whether a plan agrees with itself: numbers, references, sizes, slabs, turns, reach."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from itertools import pairwise

import numpy as np
import shapely
from shapely import Polygon

from wirepath.checking.finding import EDGE_MM, EXACT_MM, Finding, found, place_of
from wirepath.checking.sawing import room_in
from wirepath.checking.solids import depths, is_pinched, section, ways
from wirepath.errors import Fault
from wirepath.geometry import depth_mm, face_size_mm
from wirepath.model import Layout, Pass, Piece, Plan, Turning

STEP_DEG: dict[Turning, float] = {"half": 180.0, "quarter": 90.0}


def check_numbers(plan: Plan) -> Finding:
    """Return whether numbers count from 1 without gaps and point at things that exist.

    Without this nothing else can be measured.
    """
    faults = [
        *_counted("piece", (piece.number for piece in plan.pieces)),
        *_counted("block", (block.number for block in plan.blocks)),
        *_counted("layout", (layout.number for layout in plan.layouts)),
        *_counted("blank", (blank.number for blank in plan.blanks)),
        *_counted("offcut", (offcut.number for offcut in plan.estimate.offcuts)),
        *_passes_counted(plan.passes),
        *_pointers(plan),
        *_shapes(plan),
    ]
    return found(
        0,
        "Numbers count from 1 and point at what exists",
        f"{len(plan.pieces)} pieces, {len(plan.blocks)} blocks, {len(plan.layouts)} layouts, "
        f"{len(plan.passes)} passes",
        faults,
    )


def check_agreement(plan: Plan) -> Finding:
    """Return whether blocks, slabs, pieces, turns and reach fit each other."""
    faults = [*_placed_once(plan), *_availability(plan)]
    for block in plan.blocks:
        layouts = [layout for layout in plan.layouts if layout.block == block.number]
        faults += _slabs(plan, block.number, layouts)
    for layout in plan.layouts:
        faults += _face(plan, layout) + _pieces_match(plan, layout) + _reach(plan, layout)
    return found(
        0,
        "Blocks, slabs, pieces and machine fit each other",
        "every piece placed once; slabs, foam, thickness, turns, wire and travel compared",
        faults,
    )


# --- Numbers -----------------------------------------------------------------------


def _counted(kind: str, numbers: Iterable[int]) -> list[Fault]:
    listed = list(numbers)
    if listed == list(range(1, len(listed) + 1)):
        return []
    return [Fault(f"{kind} numbers do not count from 1 without gaps: {listed[:12]}", kind)]


def _passes_counted(passes: tuple[Pass, ...]) -> list[Fault]:
    """Return faults of pass numbers, which count from 1 on every layout."""
    faults = []
    for layout in sorted({one.layout for one in passes}):
        numbers = [one.number for one in passes if one.layout == layout]
        faults += _counted(f"pass of layout {layout}", numbers)
    return faults


def _pointers(plan: Plan) -> list[Fault]:
    """Return references to things the plan does not hold, and things nothing refers to."""
    bought = {one.name for one in plan.workshop.stock}
    racked = {one.name for one in plan.workshop.rack}
    foams = {one.name for one in plan.workshop.foams}
    pieces = {piece.number for piece in plan.pieces}
    blocks = {block.number for block in plan.blocks}
    layouts = {layout.number for layout in plan.layouts}
    placed = {p.piece for layout in plan.layouts for p in layout.placements}
    pairs: list[tuple[str, Iterable[object], Iterable[object]]] = [
        ("stock", (block.stock for block in plan.blocks), bought | racked),
        ("stock of the order", (line.stock for line in plan.estimate.order), bought),
        ("rack piece to fetch", (line.name for line in plan.estimate.rack), racked),
        ("foam", (piece.foam for piece in plan.pieces), foams),
        ("foam of a stock", (one.foam for one in plan.workshop.stock), foams),
        ("foam of a rack piece", (one.foam for one in plan.workshop.rack), foams),
        ("piece of a placement", placed, pieces),
        ("piece of a seam", {number for seam in plan.seams for number in seam.pieces}, pieces),
        ("cell of a blank", {n for blank in plan.blanks for n in blank.cells}, pieces),
        ("block of a layout", (layout.block for layout in plan.layouts), blocks),
        ("block of an offcut", (one.block for one in plan.estimate.offcuts), blocks),
        (
            "layout of an offcut",
            (one.layout for one in plan.estimate.offcuts if one.layout is not None),
            layouts,
        ),
        ("layout of a pass", (one.layout for one in plan.passes), layouts),
        (
            "setup of a pass",
            ((one.layout, one.setup) for one in plan.passes if one.layout in layouts),
            {
                (layout.number, setup)
                for layout in plan.layouts
                for setup in range(1, max(len(layout.setups), 1) + 1)
            },
        ),
    ]
    faults = [
        Fault(f"there is no {what} {missing!r}", what)
        for what, named, known in pairs
        for missing in sorted(set(named) - set(known), key=str)
    ]
    idle = blocks - {layout.block for layout in plan.layouts}
    faults += [Fault("nothing is laid on this block", f"block {n}") for n in sorted(idle)]
    uncut = layouts - {one.layout for one in plan.passes}
    faults += [Fault("no pass cuts this layout", place_of(n)) for n in sorted(uncut)]
    return faults


def _shapes(plan: Plan) -> list[Fault]:
    """Return outlines that are no valid region and lines that are no lines."""
    faults = [
        Fault(f"the outline is no valid region: {shapely.is_valid_reason(polygon)}", where)
        for piece in plan.pieces
        for polygon, where in (
            (piece.outline, f"piece {piece.number}"),
            (piece.finished, f"piece {piece.number}, finished"),
        )
        if polygon.is_empty or not polygon.is_valid
    ]
    faults += [
        Fault(f"the region is no valid one: {shapely.is_valid_reason(region)}", where)
        for region, where in (
            *((one.polygon, f"outline {one.name!r}") for one in plan.traced.outlines),
            *((one.region, f"contour at {one.height_mm:g} mm") for one in plan.traced.contours),
        )
        if shapely.is_empty(region) or not shapely.is_valid(region)
    ]
    faults += [
        Fault(f"the seam's place is no valid shape: {shapely.is_valid_reason(seam.place)}", where)
        for seam in plan.seams
        if shapely.is_empty(seam.place) or not shapely.is_valid(seam.place)
        for where in (f"seam of pieces {seam.pieces[0]} and {seam.pieces[1]}",)
    ]
    faults += [fault for piece in plan.pieces for fault in _solid(piece)]
    for one in plan.passes:
        for step, move in enumerate(one.moves, 1):
            coordinates, far = ways(move)
            finite = np.isfinite(coordinates).all() and np.isfinite(far).all()
            if len(coordinates) < 2 or len(far) != len(coordinates) or not finite:
                where = f"{place_of(one.layout)}, pass {one.number}, move {step}"
                faults.append(Fault("the move has no line that can be followed", where))
    return faults


def _solid(piece: Piece) -> list[Fault]:
    """Return what is wrong with the two faces of a taper, or with what lies between them."""
    if piece.taper is None:
        return []
    faults = []
    for word, solid in (("finished", piece.taper.finished), ("cut", piece.taper.cut)):
        where = f"piece {piece.number}, {word}"
        if len(solid.near) != len(solid.far) or len(solid.near) < 3:
            faults.append(Fault("its two faces are not paired point by point", where))
            continue
        if abs(solid.thickness_mm - piece.thickness_mm) > EXACT_MM:
            what = f"its faces lie {solid.thickness_mm:g} mm apart, it is {piece.thickness_mm:g} mm"
            faults.append(Fault(what, where))
        if is_pinched(solid):
            faults.append(Fault("its section shrinks to nothing between its faces", where))
        for share, _ in depths(solid.thickness_mm):
            flat = section(solid, share)
            if not flat.is_valid or not flat.exterior.is_ccw:
                deep = f"{share * solid.thickness_mm:.0f} mm behind the near face"
                faults.append(Fault(f"its rulings cross, {deep}", where))
                break
    return faults


# --- Agreement ---------------------------------------------------------------------


def _placed_once(plan: Plan) -> list[Fault]:
    times = Counter(p.piece for layout in plan.layouts for p in layout.placements)
    return [
        Fault(f"the piece is placed {times[piece.number]} times", f"piece {piece.number}")
        for piece in plan.pieces
        if times[piece.number] != 1
    ]


def _availability(plan: Plan) -> list[Fault]:
    needed = Counter(block.stock for block in plan.blocks)
    return [
        Fault(
            f"{needed[one.name]} blocks are used, {one.available} can be had", f"stock {one.name}"
        )
        for one in (*plan.workshop.stock, *(piece.stock for piece in plan.workshop.rack))
        if one.available is not None and needed[one.name] > one.available
    ]


def _slabs(plan: Plan, number: int, layouts: list[Layout]) -> list[Fault]:
    """Return slabs that leave the block less trim or stand nearer than a kerf."""
    block = plan.block(number)
    stock = plan.workshop.stock_named(block.stock)
    kerf = plan.workshop.cutting.kerf_mm
    far = depth_mm(stock, block) - stock.trim_mm
    faults = []
    for layout in layouts:
        end = layout.from_mm + layout.thickness_mm
        if layout.from_mm < stock.trim_mm - EXACT_MM or end > far + EXACT_MM:
            faults.append(
                Fault(
                    f"the slab from {layout.from_mm:g} to {end:g} mm leaves the block less trim, "
                    f"{stock.trim_mm:g} to {far:g} mm",
                    f"block {number}, {place_of(layout.number)}",
                )
            )
    for one, after in pairwise(sorted(layouts, key=lambda layout: layout.from_mm)):
        gap = after.from_mm - one.from_mm - one.thickness_mm
        if gap < kerf - EXACT_MM:
            faults.append(
                Fault(
                    f"only {gap:g} mm lie between this slab and that of layout {after.number}; "
                    f"the kerf takes {kerf:g} mm",
                    f"block {number}, {place_of(one.number)}",
                )
            )
    wire = plan.workshop.wire.length_mm
    across = min(face_size_mm(stock, block.wire_axis))
    if room_in(plan, number).cuts and across > wire + EXACT_MM:
        what = f"slabs are sawn {across:g} mm across with a wire of {wire:g} mm"
        faults.append(Fault(what, f"block {number}"))
    return faults


def _face(plan: Plan, layout: Layout) -> list[Fault]:
    """Return where a layout's frame is not the face of its block."""
    block = plan.block(layout.block)
    stock = plan.workshop.stock_named(block.stock)
    width, height = face_size_mm(stock, block.wire_axis)
    pairs = (
        ("width", layout.width_mm, width),
        ("height", layout.height_mm, height),
        ("trim", layout.trim_mm, stock.trim_mm),
    )
    faults = [
        Fault(f"the {word} is {here:g} mm, the block's is {there:g} mm", place_of(layout.number))
        for word, here, there in pairs
        if abs(here - there) > EXACT_MM
    ]
    if (stock.outline or stock.blocked) and block.wire_axis != "thickness":
        what = f"foam with an outline or blocked areas lies with the wire along {block.wire_axis}"
        faults.append(Fault(what, place_of(layout.number)))
    own = [Polygon(stock.outline)] if stock.outline else []
    told = [layout.outline] if layout.outline is not None else []
    blocked = [one.polygon for one in stock.blocked]
    for word, here, there in (("outline", told, own), ("blocked areas", layout.blocked, blocked)):
        alike = len(here) == len(there) and all(
            shapely.equals_exact(a, b, EXACT_MM) for a, b in zip(here, there, strict=True)
        )
        if not alike:
            faults.append(
                Fault(
                    f"the {word} of the foam are not those of {stock.name!r}",
                    f"{place_of(layout.number)}",
                )
            )
    return faults


def _pieces_match(plan: Plan, layout: Layout) -> list[Fault]:
    """Return pieces whose foam, thickness, turn or flip does not suit where they lie.

    A blank that is glued first has its longer side along x: the form in it turns with it, while
    the foam of its cells lies as their own layouts say.
    """
    glued = {blank.form.number for blank in plan.blanks}
    foam = plan.workshop.stock_named(plan.block(layout.block).stock).foam
    faults = []
    for placement in layout.placements:
        piece = plan.piece(placement.piece)
        words = []
        if piece.foam != foam:
            words.append(f"is to be of {piece.foam!r}, the block is {foam!r}")
        if abs(piece.thickness_mm - layout.thickness_mm) > EDGE_MM:
            words.append(f"is {piece.thickness_mm:g} mm thick, its slab {layout.thickness_mm:g} mm")
        turning = "quarter" if piece.number in glued else piece.turning
        if not _turn_allowed(turning, placement.angle_deg):
            words.append(f"is turned by {placement.angle_deg:g} deg; allowed: {piece.turning}")
        if placement.flipped and not piece.flip:
            words.append("lies face down, which the job does not allow")
        where = place_of(layout.number, piece=piece.number)
        faults += [Fault(f"the piece {word}", where) for word in words]
    return faults


def _turn_allowed(turning: Turning, angle_deg: float) -> bool:
    if turning == "any":
        return True
    step = STEP_DEG.get(turning, 360.0)
    return abs(angle_deg - step * round(angle_deg / step)) <= 1e-9


def _reach(plan: Plan, layout: Layout) -> list[Fault]:
    """Return where the wire is too short for a slab, or the rig for the wire's way."""
    wire, rig = plan.workshop.wire.length_mm, plan.workshop.rig
    faults = []
    moves = [move for one in plan.passes if one.layout == layout.number for move in one.moves]
    near, far = (np.concatenate(way) for way in zip(*map(ways, moves), strict=True))
    leaning = float(np.hypot(*(far - near).T).max())
    if np.hypot(layout.thickness_mm, leaning) > wire + EXACT_MM:
        what = f"the slab is {layout.thickness_mm:g} mm deep, the wire {wire:g} mm long"
        faults.append(Fault(what + (", and leans" if leaning else ""), place_of(layout.number)))
    parts = any(move.far is not None for move in moves)
    if parts and rig.kind == "table" and not rig.two_ended:
        what = "the wire's ends part, which this table cannot do"
        faults.append(Fault(what, place_of(layout.number)))
    if parts and rig.ends_apart_mm is not None:
        behind = rig.ends_apart_mm - rig.near_gap_mm - layout.thickness_mm
        if behind < -EXACT_MM:
            what = f"the slab reaches {-behind:g} mm past the plane of the wire's far end"
            faults.append(Fault(what, place_of(layout.number)))
        lean = (far - near) / layout.thickness_mm
        near, far = near - lean * rig.near_gap_mm, far + lean * behind
    if layout.setups:
        # Where in its travel the table works then is told of each setup by itself.
        return faults
    spans = [np.ptp(way, axis=0) for way in (near, far)]
    for axis, way, travel in (
        ("x", float(max(span[0] for span in spans)), rig.travel_x_mm),
        ("y", float(max(span[1] for span in spans)), rig.travel_y_mm),
    ):
        if travel is not None and way > travel + EDGE_MM:
            what = f"the wire goes {way:.1f} mm along {axis}, the rig {travel:g} mm"
            faults.append(Fault(what, place_of(layout.number)))
    return faults
