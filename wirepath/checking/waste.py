"""Promise 2, of parted waste: no lump holds a piece fast, and one person lifts each."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon, STRtree
from shapely.affinity import translate

from wirepath import overlay
from wirepath.checking.finding import CRUMB_MM2, Finding, found, place_of
from wirepath.checking.scene import Scene, inside_point, objects
from wirepath.errors import Fault
from wirepath.model import Plan
from wirepath.units import kilograms, told_apart

WAYS = 72
"""Directions in which a lump is tried to be drawn off: every 5 degrees."""

OFF_KERFS = 3.0
"""How far it must come off: then nothing clamps it any more."""

GRAZE_KERFS = 0.2
"""How deep it may graze the piece on its way: foam gives that much."""


def check_waste(plan: Plan, scenes: Sequence[Scene]) -> Finding:
    """Return whether waste that was to be parted comes off every piece.

    Pieces told to be drawn out along the wire are left out. The plug of a hole with no
    piece in it stays whole, and waste in holes is not weighed.
    """
    faults: list[Fault] = []
    pairs, heaviest = 0, 0.0
    most_kg = plan.workshop.lift.one_person_kg
    for scene in scenes:
        held, asked = _held(scene)
        pairs += asked
        for index, at in sorted(held.items()):
            number = scene.pieces[index].number
            if number not in scene.layout.drawn_out:
                where = place_of(scene.layout.number, piece=number, at=at)
                faults.append(Fault("waste holds the piece fast", where))
        holes = [Polygon(ring) for placed in scene.placed for ring in placed.interiors]
        for lump in _lumps(scene) if scene.pieces else ():
            if any(hole.contains(lump) for hole in holes):
                continue
            foam = plan.workshop.foam(scene.pieces[0].foam)
            mm3 = float(lump.area) * scene.layout.thickness_mm
            weight = kilograms(mm3, foam.density_kg_per_m3)
            heaviest = max(heaviest, weight)
            if plan.workshop.cutting.waste == "lumps" and weight > most_kg:
                what = (
                    f"a lump of waste weighs {told_apart(weight, most_kg)} kg; one person "
                    f"lifts {most_kg:g} kg"
                )
                faults.append(Fault(what, place_of(scene.layout.number, at=inside_point(lump))))
    told = sum(len(scene.layout.drawn_out) for scene in scenes)
    return found(
        2,
        "Waste comes off the pieces",
        f"{pairs} lumps beside pieces; the heaviest lump weighs {heaviest:.1f} kg; {told} pieces "
        "are to be drawn out along the wire",
        faults,
    )


def _lumps(scene: Scene) -> NDArray[np.object_]:
    """Return the parts of the face that are waste: they hold no piece."""
    cores = shapely.buffer(objects(scene.placed), -2 * GRAZE_KERFS * scene.half_kerf_mm)
    parts = objects(scene.parts)
    taken = STRtree(parts).query(cores, predicate="intersects")[1]
    lumps = np.delete(parts, np.unique(taken))
    return objects(tuple(one for one in lumps if one.area > (2 * scene.half_kerf_mm) ** 2))


def _held(scene: Scene) -> tuple[dict[int, tuple[float, float]], int]:
    """Return the pieces that a lump holds, each with a place in the lump; and pairs asked."""
    held: dict[int, tuple[float, float]] = {}
    if not scene.placed:
        return held, 0
    kerf = 2 * scene.half_kerf_mm
    lumps = _lumps(scene)
    placed = objects(scene.placed)
    cores = shapely.buffer(placed, -GRAZE_KERFS * kerf)
    one, other = STRtree(placed).query(lumps, predicate="dwithin", distance=1.5 * kerf)
    for lump, index in zip(one.tolist(), other.tolist(), strict=True):
        area = lumps[lump]
        if any(Polygon(ring).contains(area) for ring in scene.placed[index].interiors):
            continue
        if _comes_off(area, cores[index], OFF_KERFS * kerf):
            continue
        held[index] = inside_point(area)
    return held, len(one)


def _comes_off(lump: Polygon, core: Geometry, far: float) -> bool:
    """Return whether the lump can be shifted by `far` in some direction clear of a piece.

    The piece is shifted the other way instead, which comes to the same.
    """
    angles = 2 * math.pi / WAYS * np.arange(WAYS)
    if shapely.is_empty(core):
        return True
    shapely.prepare(lump)
    free: NDArray[np.bool_] = np.ones(WAYS, dtype=bool)
    for share in (1.0, 0.5):
        steps = share * far * np.column_stack([np.cos(angles), np.sin(angles)])
        moved = [translate(core, dx, dy) for dx, dy in steps[free]]
        bites = shapely.area(overlay.intersection(lump, objects(tuple(moved))))
        free[free] = bites <= CRUMB_MM2
    return bool(free.any())
