"""Where the foam of a glued blank goes: measured cell by cell, for cells differ in thickness."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, box

from wirepath import overlay
from wirepath.checking.finding import DEPTH_MM, EXACT_MM, same
from wirepath.checking.scene import objects
from wirepath.errors import Fault
from wirepath.geometry import place
from wirepath.model import GluedBlank, Offcut, Piece, Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class BlankFoam:
    """What the cells of a blank hold, and what of it is form, slot, and neither."""

    cells_mm3: float
    form_mm3: float
    kerf_mm3: float
    beside_mm3: float


def cells_of(plan: Plan, blank: GluedBlank) -> list[Piece]:
    """Return the cells of a blank as pieces."""
    return [plan.piece(number) for number in blank.cells]


def placed_cells(plan: Plan, blank: GluedBlank) -> NDArray[np.object_]:
    """Return the cells' outlines in the frame of the blank's layout, (n,)."""
    (placement,) = blank.layout.placements
    return objects(tuple(place(cell.outline, placement) for cell in cells_of(plan, blank)))


def blank_foam(plan: Plan, blank: GluedBlank, slot: Geometry) -> BlankFoam:
    """Return where the blank's foam goes; `slot` is all that the wire melts on its layout."""
    (placement,) = blank.layout.placements
    form = place(blank.form.outline, placement)
    cells = placed_cells(plan, blank)
    thick = np.array([cell.thickness_mm for cell in cells_of(plan, blank)])

    def volume(shapes: NDArray[np.object_]) -> float:
        return float((shapely.area(shapes) * thick).sum())

    beside = overlay.difference(cells, form)
    return BlankFoam(
        cells_mm3=volume(cells),
        form_mm3=volume(overlay.intersection(cells, form)),
        kerf_mm3=volume(overlay.intersection(beside, slot)),
        beside_mm3=volume(overlay.difference(beside, slot)),
    )


def cut_off_mm3(plan: Plan, blank: GluedBlank) -> float:
    """Return the foam of the cells that does not stand in the form's outline."""
    return sum(
        float(shapely.area(overlay.difference(cell.outline, blank.form.outline)))
        * cell.thickness_mm
        for cell in cells_of(plan, blank)
    )


def not_in_cell(plan: Plan, blank: GluedBlank, offcut: Offcut, where: str) -> list[Fault]:
    """Return the fault of an offcut that no one cell of its blank holds."""
    core = box(
        offcut.x_mm + DEPTH_MM,
        offcut.y_mm + DEPTH_MM,
        offcut.x_mm + offcut.width_mm - DEPTH_MM,
        offcut.y_mm + offcut.height_mm - DEPTH_MM,
    )
    held = any(
        same(offcut.from_mm, cell.from_mm, least=EXACT_MM)
        and same(offcut.thickness_mm, cell.thickness_mm, least=EXACT_MM)
        and placed.covers(core)
        for cell, placed in zip(cells_of(plan, blank), placed_cells(plan, blank), strict=True)
    )
    faults = [] if held else [Fault("lies in no one cell of its blank", where)]
    if offcut.block != blank.layout.block:
        faults.append(Fault(f"its layout {blank.layout.number} is of another block", where))
    return faults
