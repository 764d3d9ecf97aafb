"""Promise 3, of a block moved between setups: all is reached, whole pieces, a block in one part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Geometry, STRtree, box

from wirepath import overlay
from wirepath.checking.finding import (
    CRUMB_MM2,
    DEPTH_MM,
    EDGE_MM,
    EXACT_MM,
    Finding,
    found,
    place_of,
)
from wirepath.checking.scene import Scene, inside_point, lines_of, objects
from wirepath.checking.solids import ways
from wirepath.checking.tables import by_setup, on_table
from wirepath.errors import Fault
from wirepath.geometry import polygons
from wirepath.model import Layout, Plan, Setup

ROUNDED_MM = 0.002
"""Plans give points to 0.001 mm."""

TURNS = {"no": (0,), "half": (0, 180), "quarter": (0, 90, 180, 270)}


def check_setups(plan: Plan, scenes: Sequence[Scene]) -> Finding:
    """Return whether layouts cut in several setups can be, as the workshop file says.

    In each setup every move lies in the table's travel, and the block beside what stands
    beside it at first. No piece is come near to in two setups, so that a block off its marks
    moves whole pieces. Whenever the block is moved the pieces still to cut are in one part of it.
    """
    faults: list[Fault] = []
    least = float("inf")
    setups = 0
    for scene in (one for one in scenes if one.layout.setups):
        here: list[Fault] = []
        if scene.is_first:
            setups += len(scene.layout.setups)
            here += [*_passes(scene), *_moved(plan, scene.layout), *_travel(plan, scene)]
            here += _posts(plan, scene.layout)
        room, near = _near(plan, scene)
        least = min(least, room)
        faults += scene.told([*here, *near, *_parted(scene)])
    return found(
        3,
        "In every setup the table reaches what is cut there, whole pieces alone",
        f"{setups} setups; the nearest slot to a piece of another setup {least:.1f} mm off, "
        f"{plan.workshop.rig.shift_error_mm:g} mm asked",
        faults,
    )


def _passes(scene: Scene) -> Iterator[Fault]:
    """Give passes of no setup, or in another order than the setups, and idle setups."""
    where = place_of(scene.layout.number)
    numbers = [one.setup for one in scene.passes]
    count = len(scene.layout.setups)
    if numbers != sorted(numbers):
        yield Fault(f"passes go back to an earlier setup: {numbers}", where)
    if set(numbers) != set(range(1, count + 1)):
        yield Fault(f"passes are of setups {sorted(set(numbers))}, there are {count}", where)


def _face(layout: Layout, setup: Setup) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Return west, south, east, north of the face on the table."""
    width, height = layout.width_mm, layout.height_mm
    corners = on_table(np.array([(0, 0), (width, 0), (width, height), (0, height)]), setup)
    return np.concatenate((corners.min(axis=0), corners.max(axis=0)))


def _moved(plan: Plan, layout: Layout) -> Iterator[Fault]:
    """Give setups in which the block is turned or pushed as it may not be."""
    rig = plan.workshop.rig
    if rig.kind != "table":
        yield Fault("only a block on a table is moved between setups", place_of(layout.number))
    level = rig.wire_lies == "level"
    for number, setup in enumerate(layout.setups, 1):
        where = f"{place_of(layout.number)}, setup {number}"
        if setup.turn_deg not in TURNS["no" if level else rig.block_may_turn]:
            yield Fault(f"the block may not be turned by {setup.turn_deg:g} degrees", where)
        west, south = _face(layout, setup)[:2]
        if max(abs(west), abs(south)) > EXACT_MM and not rig.block_may_shift:
            yield Fault("the block may not be pushed off its datum corner", where)
        if level and abs(south) > EXACT_MM:
            yield Fault("the block does not stand on the table", where)


def _travel(plan: Plan, scene: Scene) -> Iterator[Fault]:
    """Give for each setup the move that leads furthest out of the travel, at either end."""
    rig, cutting, layout = plan.workshop.rig, plan.workshop.cutting, scene.layout
    out = -max(cutting.lead_in_mm, cutting.kerf_mm)
    begins = rig.travel_from or tuple(min(out, at) for at in rig.waits_at or (out, out))
    for number, setup in enumerate(layout.setups, 1):
        own = [one for one in plan.passes if (one.layout, one.setup) == (layout.number, number)]
        for move in (move for one in own for move in one.moves):
            near, far = ways(move)
            if rig.ends_apart_mm is not None:
                lean = (far - near) / layout.thickness_mm
                behind = rig.ends_apart_mm - rig.near_gap_mm - layout.thickness_mm
                near, far = near - lean * rig.near_gap_mm, far + lean * behind
            points = on_table(np.vstack((near, far)), setup)
            for axis, travel in enumerate((rig.travel_x_mm, rig.travel_y_mm)):
                if travel is None:
                    continue
                at = points[:, axis]
                past = max(begins[axis] - at.min(), at.max() - begins[axis] - travel)
                if past > EDGE_MM:
                    yield Fault(
                        f"a move '{move.kind}' leads {past:.1f} mm past the travel along "
                        f"{'xy'[axis]}",
                        f"{place_of(layout.number, piece=move.piece)}, setup {number}",
                    )


def _posts(plan: Plan, layout: Layout) -> Iterator[Fault]:
    """Give clamps that the block would be pushed into, for what stands beside it stays there;
    and setups in which no clamp holds it, though one does at first."""
    areas = [
        box(one.x_mm, one.y_mm, one.x_mm + one.width_mm, one.y_mm + one.height_mm)
        for one in plan.workshop.rig.clamps
    ]
    at_first = box(*_face(layout, Setup()))
    is_held = any(_over(area, at_first) for area in areas)
    for number, setup in enumerate(layout.setups, 1):
        where = f"{place_of(layout.number)}, setup {number}"
        face = box(*_face(layout, setup))
        for name, area in enumerate(areas, 1):
            if _over(overlay.difference(area, at_first), face):
                yield Fault(f"the block would be pushed into clamp {name}", where)
        if is_held and not any(_over(area, face) for area in areas):
            yield Fault("no clamp holds the block", where)


def _over(one: Geometry, other: Geometry) -> bool:
    return bool(shapely.area(overlay.intersection(one, other)) > CRUMB_MM2)


def _near(plan: Plan, scene: Scene) -> tuple[float, list[Fault]]:
    """Return the least room between a piece and a slot of another setup; faults of too little.

    And the faults of pieces that are cut in no setup.
    """
    asked = max(plan.workshop.rig.shift_error_mm - ROUNDED_MM, DEPTH_MM)
    placed = objects(scene.placed)
    rooms = np.full((len(scene.layout.setups), len(placed)), np.inf)
    lines = lines_of(scene.moves)
    for number, _, own in by_setup(scene):
        if len(own) and len(placed):
            apart = shapely.distance(placed[:, None], lines[own][None])
            rooms[number - 1] = (apart - scene.half_widths_mm[own]).min(axis=1)
    faults = []
    for row, piece in enumerate(scene.pieces):
        where = place_of(scene.layout.number, piece=piece.number)
        touched = np.flatnonzero(rooms[:, row] < asked) + 1
        if not len(touched):
            faults.append(Fault("is cut in no setup", where))
        if len(touched) > 1:
            named = ", ".join(str(one) for one in touched)
            what = f"slots of setups {named} come within {asked:.2f} mm of it"
            faults.append(Fault(what, where))
    rest = rooms[rooms >= asked]
    return float(rest.min()) if len(rest) else float("inf"), faults


def _parted(scene: Scene) -> Iterator[Fault]:
    """Give setups before which the pieces still to cut lie in more than one part of the block."""
    numbers = np.array([one.setup for one in scene.passes for _ in one.moves], dtype=int)
    lines = lines_of(scene.moves)
    inner = shapely.point_on_surface(objects(scene.placed))
    last = np.zeros(len(inner), dtype=int)
    for number, _, own in by_setup(scene):
        if len(own):
            near = shapely.distance(objects(scene.placed)[:, None], lines[own][None]).min(axis=1)
            last[near <= scene.widest_mm + DEPTH_MM] = number
    for number in range(2, len(scene.layout.setups) + 1):
        before = numbers < number
        slots = shapely.buffer(lines[before], scene.half_widths_mm[before])
        parts = polygons(overlay.difference(scene.face, overlay.union(slots)))
        to_come = inner[last >= number]
        if not len(to_come):
            continue
        _, which = STRtree(parts).query(to_come, predicate="intersects")
        if len(set(which.tolist())) != 1:
            yield Fault(
                f"before setup {number} the block lies in parts, with pieces to cut in more "
                "than one",
                place_of(scene.layout.number, at=inside_point(to_come[0])),
            )
