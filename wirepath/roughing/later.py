"""Cuts made on a form once it is glued: what its pins and its glue must keep off."""

from __future__ import annotations

from collections.abc import Sequence

from shapely import MultiLineString
from shapely.affinity import translate

from wirepath import overlay
from wirepath.model import LaterWire, RoughingPlan


def cuts_after_gluing(plans: Sequence[RoughingPlan]) -> dict[str, list[LaterWire]]:
    """Return where the wire cuts several pieces as one, by the name of each form.

    A blank that holds one piece is roughed before gluing: nothing is in its wire's way.
    """
    found: dict[str, list[LaterWire]] = {}
    for plan in plans:
        glued = {blank.number for blank in plan.blanks if len(blank.pieces) > 1}
        wires = [
            LaterWire(
                lines=translate(MultiLineString(cut.lines), *cut.datum),
                kept=translate(overlay.union(list(cut.kept)), *cut.datum),
                right=cut.direction.right,
                up=cut.direction.up,
            )
            for cut in plan.cuts
            if cut.blank in glued
        ]
        if wires:
            found |= {form: list(wires) for form in plan.forms}
    return found
