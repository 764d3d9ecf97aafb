"""Glue between layers of full-round forms: all over where the form may stand, and not beside it."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely import Geometry

from wirepath import overlay
from wirepath.checking.finding import CRUMB_MM2, EDGE_MM
from wirepath.errors import Fault
from wirepath.model import Plan, Seam

LEAST_SHARE = 0.5
"""A face may be glued all over where less of it than this belongs to the form."""

FLAKE_SHARE = 1e-4
"""Of a face: areas that are laid over each other twice differ by rounding along their rims."""


def carved_glue_faults(plan: Plan) -> Iterator[Fault]:
    """Give faces between layers that leave part of the form without glue, or put glue where the
    carver takes all foam away."""
    if plan.job.form.kind != "full round":
        return
    for number, seam in enumerate(plan.seams, 1):
        if seam.kind == "layer":
            for what in _of_face(plan, seam):
                where = f"seam {number}, pieces {seam.pieces[0]} and {seam.pieces[1]}"
                yield Fault(what, where)


def _of_face(plan: Plan, seam: Seam) -> Iterator[str]:
    part = plan.piece(seam.pieces[0]).part
    (form,) = {one.layer for one in plan.traced.outlines if one.name == part}
    height = seam.from_mm - plan.job.form.allowance_mm
    stands: Geometry = overlay.union(
        [
            shapely.buffer(one.region, EDGE_MM)
            for one in plan.traced.sections
            if one.form == form and one.from_mm - EDGE_MM <= height <= one.to_mm + EDGE_MM
        ]
    )
    face = float(shapely.area(seam.place))
    least = max(CRUMB_MM2, FLAKE_SHARE * face)
    own = float(shapely.area(overlay.intersection(seam.place, stands)))
    glued = overlay.difference(seam.place, seam.dry)
    beside = float(shapely.area(overlay.difference(glued, stands)))
    rim = EDGE_MM * float(shapely.length(shapely.boundary(stands)))
    if shapely.area(overlay.difference(seam.dry, shapely.buffer(seam.place, EDGE_MM))) > least:
        yield "what is told to stay dry lies beside it"
    missed = own - float(shapely.area(overlay.intersection(glued, stands)))
    if missed > least + rim:
        yield f"{missed / 100:.1f} cm2 of the form stay without glue"
    if beside > least and own > LEAST_SHARE * face + least + rim:
        yield f"{beside / 100:.1f} cm2 of glue lie where the carver takes all foam away"
