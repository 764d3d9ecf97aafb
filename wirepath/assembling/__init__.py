"""Pieces of parted forms put together again: in which order, by which marks and pins.

    step    two lumps of pieces glued to each other, one push
    mark    a short line across a seam, on both pieces
    pin     a wooden dowel through a seam

`assemble` works all three out; `glue_steps`, `seam_marks` and `pins` one each.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wirepath.assembling.marks import seam_marks
from wirepath.assembling.order import glue_steps
from wirepath.assembling.pins import pins
from wirepath.model import Assembly, LaterWire, Piece, Seam
from wirepath.slicing import Core
from wirepath.workshop import Glue

__all__ = ["assemble", "glue_steps", "pins", "seam_marks"]


def assemble(
    pieces: Sequence[Piece],
    seams: Sequence[Seam],
    cores: Mapping[str, Core],
    glue: Glue,
    *,
    later: Mapping[str, Sequence[LaterWire]] | None = None,
) -> Assembly:
    """Return how the parted forms among `pieces` are put together.

    `cores` are each part's (`slicing.form_cores`); parts without get no pins: nobody knows
    what of their foam stays. `later` names, by form, the wire
    that will still cut it once it is glued: pins keep off.
    """
    steps = glue_steps(pieces, seams)
    return Assembly(
        steps=steps,
        marks=seam_marks(seams),
        pins=pins(pieces, seams, steps, cores, glue, later=later or {}),
    )
