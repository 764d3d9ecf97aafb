"""Whether a table's two ends reach where a leaning wire wants them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from wirepath.errors import Fault, FitError
from wirepath.model import Layout, Pass
from wirepath.units import told_apart
from wirepath.workshop import Rig, Workshop


def refuse_out_of_reach(passes: Sequence[Pass], layout: Layout, workshop: Workshop) -> None:
    """Raise FitError, all faults at once, where wire, planes or travel of the ends are too short.

    Only for layouts on which the ends part: the others are looked at before they are laid out.
    """
    faults = list(_faults(passes, layout, workshop))
    if faults:
        raise FitError([fault.inside(f"layout {layout.number}") for fault in faults])


def at_ends(
    near: LineString, far: LineString, layout: Layout, rig: Rig
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return where the wire's two ends go, (n, 2) each, for its ways on the two faces.

    On the faces themselves where the rig does not say in which planes they move.
    """
    ways = shapely.get_coordinates(near), shapely.get_coordinates(far)
    if rig.ends_apart_mm is None:
        return ways
    lean = (ways[1] - ways[0]) / layout.thickness_mm
    behind = rig.ends_apart_mm - rig.near_gap_mm - layout.thickness_mm
    return ways[0] - lean * rig.near_gap_mm, ways[1] + lean * behind


def _faults(passes: Sequence[Pass], layout: Layout, workshop: Workshop) -> Iterator[Fault]:
    moves = [move for one in passes for move in one.moves]
    if all(move.far is None for move in moves):
        return
    near = shapely.get_coordinates([move.line for move in moves])
    far = shapely.get_coordinates([move.far or move.line for move in moves])
    thick, wire, rig = layout.thickness_mm, workshop.wire.length_mm, workshop.rig
    across = math.hypot(thick, float(np.hypot(*(far - near).T).max()))
    if across > wire:
        yield Fault(
            f"the wire leans so that {told_apart(across, wire, 0)} mm of it lie in the foam; "
            f"it is {wire:g} mm long",
            "",
            "use a longer wire, or taper less",
        )
    if rig.kind == "bow":
        return
    if rig.ends_apart_mm is not None:
        behind = rig.ends_apart_mm - rig.near_gap_mm - thick
        if behind < 0:
            yield Fault(
                f"foam {thick:g} mm thick, {rig.near_gap_mm:g} mm from the near end, reaches past "
                f"the far end, {rig.ends_apart_mm:g} mm away",
                "",
                "make the taper thinner, or check ends_apart_mm and near_gap_mm",
            )
            return
        lean = (far - near) / thick
        near, far = near - lean * rig.near_gap_mm, far + lean * behind
    for axis, travel in enumerate((rig.travel_x_mm, rig.travel_y_mm)):
        way = float(max(np.ptp(near[:, axis]), np.ptp(far[:, axis])))
        if travel is not None and way > travel:
            yield Fault(
                f"leaning, an end of the wire would go {told_apart(way, travel, 0)} mm along "
                f"{'xy'[axis]}; the table "
                f"moves {travel:g} mm",
                "",
                "use a smaller block, or taper less",
            )
