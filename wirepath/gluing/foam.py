"""Where the foam of a glued blank goes, and what blanks add to an estimate.

The cells of a blank are pieces to the blocks they are cut from. What the outline leaves
of them is the form, slot, offcuts and scrap: figured here cell by cell, as cells may differ
in thickness.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

from wirepath import overlay
from wirepath.estimating import rack_names, slots_by_depth, wire_lengths
from wirepath.geometry import place
from wirepath.model import Estimate, FoamBalance, GluedBlank, Layout, Offcut, Pass, Piece
from wirepath.rectangles import clear_rectangles
from wirepath.timing import pass_seconds
from wirepath.units import litres
from wirepath.workshop import Workshop

Floats = NDArray[np.float64]


def balance(
    form: Piece,
    cells: Sequence[Piece],
    layout: Layout,
    passes: Sequence[Pass],
    workshop: Workshop,
) -> tuple[FoamBalance, tuple[Offcut, ...]]:
    """Return where the cells' foam goes, in litres, and the offcuts worth keeping, unnumbered."""
    (placement,) = layout.placements
    shapes = np.array([place(cell.outline, placement) for cell in cells], dtype=object)
    thick = np.array([cell.thickness_mm for cell in cells])
    outline = place(form.outline, placement)
    (slot,) = slots_by_depth(layout, passes, workshop)  # no taper is cut from a blank
    beside = overlay.difference(slot.area, outline)
    bought = float((shapely.area(shapes) * thick).sum())
    in_form = float((_shared(shapes, outline) * thick).sum())
    kerf = float((_shared(shapes, beside) * thick).sum())
    taken = overlay.union([outline, slot.area])
    offcuts = tuple(
        Offcut(
            number=0,
            block=layout.block,
            layout=layout.number,
            x_mm=x,
            y_mm=y,
            width_mm=width,
            height_mm=height,
            from_mm=cell.from_mm,
            thickness_mm=cell.thickness_mm,
        )
        for cell, shape in zip(cells, shapes, strict=True)
        if cell.thickness_mm >= workshop.offcuts.keep_thickness_mm
        for x, y, width, height in clear_rectangles(
            shape, overlay.intersection(taken, shape), workshop.offcuts
        )
    )
    kept = sum(offcut.volume_mm3 for offcut in offcuts)
    foam = FoamBalance(
        bought=litres(bought),
        pieces=litres(in_form),
        kerf=litres(kerf),
        trim=0.0,
        offcuts=litres(kept),
        scrap=litres(bought - in_form - kerf - kept),
    )
    return foam, offcuts


def _shared(shapes: NDArray[np.object_], other: Geometry) -> Floats:
    areas: Floats = shapely.area(overlay.intersection(shapes, other))
    return areas


def with_blanks(
    estimate: Estimate,
    blanks: Sequence[GluedBlank],
    offcuts: Sequence[Offcut],
    workshop: Workshop,
) -> Estimate:
    """Return the estimate of the blocks with what the blanks take: foam, wire, time, price.

    `offcuts` are those of the blanks, numbered here after those of the blocks.
    """
    if not blanks:
        return estimate
    foam = estimate.foam
    for blank in blanks:
        own = blank.foam
        foam = replace(
            foam,
            pieces=foam.pieces - own.bought + own.pieces,
            kerf=foam.kerf + own.kerf,
            offcuts=foam.offcuts + own.offcuts,
            scrap=foam.scrap + own.scrap,
        )
    passes = [one for blank in blanks for one in blank.passes]
    more = wire_lengths(passes)
    cutting_min = sum(pass_seconds(one, workshop.rig) for one in passes) / 60
    laid = sum(max(len(blank.layout.setups), 1) for blank in blanks)
    setup_min = workshop.cutting.setup_min * laid
    setup_min += workshop.cutting.thread_min * sum(one.is_threaded for one in passes)
    wire = estimate.wire
    taken = {one.name for one in estimate.offcuts}
    names = (name for name in rack_names(workshop) if name not in taken)
    named = [replace(one, name=next(names)) for one in offcuts]
    carve = estimate.carve_litres
    if carve is not None:
        # The blocks' estimate takes all foam of the cells for the carver's.
        carve -= sum(blank.foam.bought - blank.foam.pieces for blank in blanks)
    return replace(
        estimate,
        carve_litres=carve,
        offcuts=tuple(
            replace(one, number=number) for number, one in enumerate((*estimate.offcuts, *named), 1)
        ),
        foam=foam,
        wire=replace(
            wire,
            foam_mm=wire.foam_mm + more.foam_mm,
            slot_mm=wire.slot_mm + more.slot_mm,
            air_mm=wire.air_mm + more.air_mm,
        ),
        cutting_min=estimate.cutting_min + cutting_min,
        setup_min=estimate.setup_min + setup_min,
        labour_price=estimate.labour_price
        + (cutting_min + setup_min) / 60 * workshop.order.hour_price,
    )
