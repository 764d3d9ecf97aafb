"""What travels as one, the box around it, and how it may lie in the van."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from wirepath import overlay
from wirepath.geometry import least_box
from wirepath.model import GlueStep, Piece
from wirepath.units import kilograms
from wirepath.workshop import Van, Workshop

Sides = tuple[float, float, float]
"""Of a box in the van, mm: along it, across it, up."""

DUST_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel:
    """What travels as one. `sides` are those of the box around it, the longest first.

    `rank` is the step in which it is first glued on: what comes first is unloaded first.
    """

    pieces: tuple[int, ...]
    sides: Sides
    turn_deg: float
    weight_kg: float
    volume_mm3: float
    rank: int

    def lies(self, van: Van) -> list[Sides]:
        """Return the ways it lies in the van that it can be slid in as it lies, flattest first."""
        longest, widest, highest = (most + DUST_MM for most in van.passing_mm)
        ways = sorted(set(itertools.permutations(self.sides)), key=lambda one: (one[2], one[1]))
        return [
            (along, across, up)
            for along, across, up in ways
            if along <= longest and across <= widest and up <= highest
        ]


def parcel(numbers: Sequence[int], pieces: Sequence[Piece], workshop: Workshop) -> Parcel:
    """Return the pieces of these numbers, where they stand in their form, as one parcel."""
    own = [pieces[number - 1] for number in numbers]
    turn, width, height = least_box(overlay.union([piece.outline for piece in own]))
    low = min(piece.from_mm for piece in own)
    top = max(piece.from_mm + piece.thickness_mm for piece in own)
    a, b, c = sorted(map(float, (width, height, top - low)), reverse=True)
    volume = sum(piece.volume_mm3 for piece in own)
    return Parcel(
        pieces=tuple(numbers),
        sides=(a, b, c),
        turn_deg=turn,
        weight_kg=sum(
            kilograms(piece.volume_mm3, workshop.foam(piece.foam).density_kg_per_m3)
            for piece in own
        ),
        volume_mm3=volume,
        rank=0,
    )


def travelling(
    pieces: Sequence[Piece],
    steps: Sequence[GlueStep],
    workshop: Workshop,
    van: Van,
    *,
    most_kg: float,
    in_groups: bool,
) -> tuple[list[Parcel], tuple[GlueStep, ...]]:
    """Return what travels as one, and the steps of gluing, those in the workshop first.

    Without groups every piece travels by itself. With them, steps are done in the order
    of gluing as long as what they make passes the van's door and weighs at most `most_kg`.
    """
    lumps: dict[int, tuple[int, ...]] = {piece.number: (piece.number,) for piece in pieces}
    at_home, on_site = [], []
    for step in steps:
        one, other = lumps[step.moved[0]], lumps[step.onto[0]]
        whole = tuple(sorted((*one, *other)))
        is_made = in_groups and (one, other) == (step.moved, step.onto)
        made = parcel(whole, pieces, workshop) if is_made else None
        if made and made.weight_kg <= min(most_kg, van.payload_kg) and made.lies(van):
            lumps |= dict.fromkeys(whole, whole)
            at_home.append(replace(step, place="workshop"))
        else:
            on_site.append(replace(step, place="site"))
    ordered = tuple(replace(s, number=n) for n, s in enumerate((*at_home, *on_site), 1))
    first = _first_steps(ordered[len(at_home) :])
    return [
        replace(
            parcel(lump, pieces, workshop), rank=min(first.get(n, len(steps) + 1) for n in lump)
        )
        for lump in dict.fromkeys(lumps.values())
    ], ordered


def _first_steps(steps: Sequence[GlueStep]) -> Mapping[int, int]:
    """Return the number of the first step in which each piece takes part."""
    found: dict[int, int] = {}
    for step in steps:
        for number in (*step.onto, *step.moved):
            found.setdefault(number, step.number)
    return found
