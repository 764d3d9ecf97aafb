"""Promise 1: every piece lies inside its block less trim, and pieces keep their clearance."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Geometry, Polygon, STRtree

from wirepath import overlay
from wirepath.checking.finding import EXACT_MM, Finding, found, place_of
from wirepath.checking.scene import Scene, inside_point, objects
from wirepath.errors import Fault

SHARED_MM = 50.0
"""Least length of a slot that two pieces share."""

ENDS = 10.0
"""Clearances of outline nearer than the clearance that may lie beside a shared slot."""


def check_laying(scenes: Sequence[Scene], clearance_mm: float, kerf_mm: float) -> Finding:
    """Return whether pieces lie inside and apart; `clearance_mm` is kerf + web.

    Nearer than that, though no nearer than the kerf, pieces may come only beside straight
    edges that they share one slot along.
    """
    faults: list[Fault] = []
    least_trim, least_gap = float("inf"), float("inf")
    sharing = 0
    for scene in scenes:
        if not scene.placed:
            continue
        outside, room = _outside(scene)
        close, gap, shared = _too_close(scene, clearance_mm, kerf_mm)
        faults += scene.told([*outside, *_off_the_foam(scene), *_on_blocked(scene), *close])
        sharing += shared
        least_trim, least_gap = min(least_trim, room), min(least_gap, gap)
    gap_words = f"{least_gap:.3f} mm" if least_gap < float("inf") else "farther than asked"
    return found(
        1,
        "Pieces lie inside their block less trim and keep their clearance",
        f"nearest to the trim: {least_trim:.3f} mm; nearest to each other: {gap_words} "
        f"({clearance_mm:.3f} mm asked)"
        + (f"; {sharing} pairs share a slot along straight edges" if sharing else ""),
        faults,
    )


def _outside(scene: Scene) -> tuple[list[Fault], float]:
    """Return pieces that reach out of the usable face, and the least room left, in mm.

    Of an upright rectangle the pieces' bounds tell it exactly; of other foam, of the box round it.
    """
    left, bottom, right, top = shapely.bounds(scene.usable)
    bounds = shapely.bounds(objects(scene.placed))
    room = np.column_stack(
        (bounds[:, 0] - left, bounds[:, 1] - bottom, right - bounds[:, 2], top - bounds[:, 3])
    )
    faults = []
    for index in np.flatnonzero(room.min(axis=1) < -EXACT_MM):
        side = ("left", "lower", "right", "upper")[int(room[index].argmin())]
        faults.append(
            Fault(
                f"the piece reaches {-room[index].min():.3f} mm over the trimmed {side} edge",
                place_of(scene.layout.number, piece=scene.pieces[index].number),
            )
        )
    return faults, float(room.min())


def _off_the_foam(scene: Scene) -> list[Fault]:
    """Return pieces that reach over the trimmed edge of foam that is no full rectangle.

    As what of a piece lies farther out than rounding: the farthest point tells how far.
    """
    if scene.layout.outline is None:
        return []
    room = shapely.buffer(scene.usable, EXACT_MM, join_style="mitre")
    return [
        Fault(
            f"the piece reaches {_farthest(placed, scene.usable):.3f} mm over the trimmed edge of "
            "the foam",
            place_of(scene.layout.number, piece=piece.number),
        )
        for piece, placed in zip(scene.pieces, scene.placed, strict=True)
        if not shapely.covers(room, placed)
    ]


def _farthest(placed: Polygon, usable: Geometry) -> float:
    corners = shapely.points(shapely.get_coordinates(placed))
    return float(np.max(shapely.distance(corners, usable)))


def _on_blocked(scene: Scene) -> list[Fault]:
    """Return pieces that cover a blocked area by more than rounding."""
    faults = []
    placed = objects(scene.placed)
    for area in scene.blocked:
        core = shapely.buffer(area, -EXACT_MM, join_style="mitre")
        for index in np.flatnonzero(shapely.intersects(placed, core)):
            at = inside_point(overlay.intersection(placed[index], core))
            where = place_of(scene.layout.number, piece=scene.pieces[index].number, at=at)
            faults.append(Fault("the piece covers a blocked area", where))
    return faults


def _too_close(scene: Scene, clearance_mm: float, kerf_mm: float) -> tuple[list[Fault], float, int]:
    """Return pairs of pieces nearer than they may be, the least distance of pairs that share
    no slot, in mm, and how many pairs share one."""
    placed = objects(scene.placed)
    if len(placed) < 2:
        return [], float("inf"), 0
    one, other = STRtree(placed).query(placed, predicate="dwithin", distance=clearance_mm)
    one, other = one[one < other], other[one < other]
    gaps = shapely.distance(placed[one], placed[other])
    faults = []
    sharing = 0
    apart = np.ones(len(gaps), dtype=bool)
    for index, (i, j, gap) in enumerate(zip(one, other, gaps, strict=True)):
        if gap >= clearance_mm - EXACT_MM:
            continue
        if _share_a_slot(placed[i], placed[j], clearance_mm, kerf_mm):
            sharing += 1
            apart[index] = False
            continue
        at = shapely.get_coordinates(shapely.shortest_line(placed[i], placed[j]))[0]
        where = place_of(
            scene.layout.number, piece=scene.pieces[i].number, at=(float(at[0]), float(at[1]))
        )
        other_number = scene.pieces[j].number
        faults.append(
            Fault(
                f"stands {gap:.3f} mm from piece {other_number}; {clearance_mm:.3f} mm are needed"
                if gap > 0
                else f"overlaps piece {other_number}",
                where,
            )
        )
    return faults, float(gaps[apart].min()) if apart.any() else float("inf"), sharing


def _share_a_slot(one: Polygon, other: Polygon, clearance_mm: float, kerf_mm: float) -> bool:
    """Return whether two pieces come nearer than the clearance only beside a shared slot.

    Wherever the outline of one is that near, most of it must run exactly one kerf from the
    other for as far as a slot is worth sharing; what is left are the short ends where the
    outlines part.
    """
    if shapely.distance(one, other) < kerf_mm - EXACT_MM:
        return False
    rim = shapely.boundary(one)
    near = overlay.intersection(rim, shapely.buffer(other, clearance_mm - EXACT_MM))
    runs = shapely.get_parts(shapely.line_merge(near))
    slot = overlay.intersection(rim, shapely.buffer(other, kerf_mm + 10 * EXACT_MM))
    for run in runs:
        length = shapely.length(overlay.intersection(slot, shapely.buffer(run, EXACT_MM)))
        if length < SHARED_MM or shapely.length(run) - length > ENDS * clearance_mm:
            return False
    return True
