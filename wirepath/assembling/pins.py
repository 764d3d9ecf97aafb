"""Pins across the seams: deep in foam that stays, away from each other and from later wires.

All pins of one step lie along the way its lumps are pushed together, or the second pin
would keep the first from going in.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely

from wirepath.assembling.edge_pins import pins_along_edge, square_to
from wirepath.assembling.layer_pins import pins_over_layer
from wirepath.assembling.site import Floats, Site
from wirepath.model import GlueStep, LaterWire, Piece, Pin, Seam
from wirepath.slicing import Core
from wirepath.workshop import Glue


def pins(
    pieces: Sequence[Piece],
    seams: Sequence[Seam],
    steps: Sequence[GlueStep],
    cores: Mapping[str, Core],
    glue: Glue,
    *,
    later: Mapping[str, Sequence[LaterWire]],
) -> tuple[Pin, ...]:
    """Return the pins of every step, numbered through, two or more a seam where they fit.

    Seams with no room for a pin have none: they are glued only.
    """
    by_number = {piece.number: piece for piece in pieces}
    found: list[Pin] = []
    placed: dict[str, Floats] = defaultdict(lambda: np.empty((0, 2, 3)))
    for step in steps:
        part = by_number[step.moved[0]].part
        site = Site(
            pieces=by_number,
            core=cores.get(part),
            later=later.get(step.form, ()),
            glue=glue,
        )
        push = _push([seams[number - 1] for number in step.seams])
        for number in step.seams:
            seam = seams[number - 1]
            place = pins_along_edge if seam.kind == "edge" else pins_over_layer
            others = _near(placed[step.form], seam, glue)
            new = place(site, seam, push, others)
            for pin in new:
                found.append(replace(pin, number=len(found) + 1, seam=number))
            ends = np.array([(pin.start, pin.end) for pin in new]).reshape(-1, 2, 3)
            placed[step.form] = np.concatenate([placed[step.form], ends])
    return tuple(found)


def _near(placed: Floats, seam: Seam, glue: Glue) -> Floats:
    """Return those of the pins placed, (m, 2, 3), that a pin of the seam might be too near to."""
    reach = glue.pin_length_mm + glue.pin_diameter_mm + glue.pin_cover_mm
    bounds = np.array(shapely.bounds(seam.place))
    plan = placed[:, :, :2]
    near = (plan.min(axis=1) <= bounds[2:] + reach) & (plan.max(axis=1) >= bounds[:2] - reach)
    kept: Floats = placed[near.all(axis=1)]
    return kept


def _push(seams: Sequence[Seam]) -> Floats:
    """Return the way two lumps are pushed together, (3,): square to their largest seam."""
    largest = max(seams, key=lambda seam: (round(seam.area_mm2), seam.pieces))
    if largest.kind == "layer":
        return np.array([0.0, 0.0, 1.0])
    return square_to(largest)
