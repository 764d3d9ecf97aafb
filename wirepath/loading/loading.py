"""Pieces and the order of gluing -> loads of the van."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wirepath.errors import Fault, FitError, SettingsError
from wirepath.loading.packing import pack
from wirepath.loading.parcels import Parcel, travelling
from wirepath.model import GlueStep, Load, Piece, SeamSettings
from wirepath.units import told_apart
from wirepath.workshop import Van, Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Travel:
    """The loads, no plan can do with fewer than `fewest`, and where each step is done."""

    loads: tuple[Load, ...]
    fewest: int
    steps: tuple[GlueStep, ...]


def refuse_no_van(workshop: Workshop, settings: SeamSettings) -> None:
    """Raise SettingsError where groups are to travel, but nobody knows in what."""
    if workshop.van is None and settings.travel == "groups":
        raise SettingsError(
            Fault(
                "glued groups are to travel, but the workshop file has no van",
                "seams.travel",
                "add a [van] table to the workshop file, or write travel = 'pieces'",
            )
        )


def plan_loads(
    pieces: Sequence[Piece], steps: Sequence[GlueStep], workshop: Workshop, settings: SeamSettings
) -> Travel:
    """Return how the pieces travel. Without a van: no loads, all gluing in the workshop.

    Raises FitError for all pieces at once that do not pass the van's door or are too heavy
    for it.
    """
    van = workshop.van
    if van is None:
        return Travel(loads=(), fewest=0, steps=tuple(steps))
    parcels, ordered = travelling(
        pieces,
        steps,
        workshop,
        van,
        most_kg=workshop.lift.most_kg(settings.lift),
        in_groups=settings.travel == "groups",
    )
    if faults := list(_too_large(parcels, pieces, van)):
        raise FitError(faults)
    room = van.length_mm * van.width_mm * van.height_mm
    fewest = max(
        math.ceil(sum(one.volume_mm3 for one in parcels) / room - 1e-9),
        math.ceil(sum(one.weight_kg for one in parcels) / van.payload_kg - 1e-9),
    )
    return Travel(loads=pack(parcels, van), fewest=fewest, steps=ordered)


def _too_large(parcels: Sequence[Parcel], pieces: Sequence[Piece], van: Van) -> Iterator[Fault]:
    for one in parcels:
        first = pieces[one.pieces[0] - 1]
        where = f"piece {first.number} {first.name!r}"
        if not one.lies(van):
            sides = " x ".join(f"{side:.0f}" for side in one.sides)
            yield Fault(
                f"{sides} mm does not go into the van: the opening lets "
                f"{van.opening_width_mm - van.clear_mm:g} x "
                f"{van.opening_height_mm - van.clear_mm:g} mm through, inside are "
                f"{van.length_mm:g} x {van.width_mm:g} x {van.height_mm:g} mm",
                where,
                "part it by a seam ([seams] at_x_mm, at_y_mm, or a line on a seam layer), "
                "or take a larger van",
            )
        elif one.weight_kg > van.payload_kg:
            yield Fault(
                f"it weighs {told_apart(one.weight_kg, van.payload_kg)} kg, the van may carry "
                f"{van.payload_kg:g} kg",
                where,
                "part it by a seam, or take a larger van",
            )
