"""Glue between the layers of full-round forms kept off the foam that the carver takes away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely import Geometry, MultiPolygon, Polygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Piece, Seam, Traced

LEAST_SHARE = 0.5
"""A face of which less belongs to the form is glued all over, or little would hold the layer
while it is carved (common practice, no source)."""

TOUCH_MM = 0.01
"""A section counts so far under and over it: meshes give heights in single precision."""


def glue_off_carving(
    seams: Sequence[Seam], pieces: Sequence[Piece], traced: Traced, *, behind_mm: float
) -> tuple[Seam, ...]:
    """Return the seams, those between layers dry where the form does not stand at their height.

    There the carver takes all foam off, and a blade stops at glue. `behind_mm` of foam stand
    behind the form's lowest point. Where the form may stand is told by its sections, so
    nothing of it is left without glue.
    """
    if not traced.sections:
        return tuple(seams)
    form_of = {outline.name: outline.layer for outline in traced.outlines}

    def kept_off(seam: Seam) -> Seam:
        if seam.kind == "edge":
            return seam
        form = form_of[pieces[seam.pieces[0] - 1].part]
        held = overlay.intersection(seam.place, _standing(traced, form, seam.from_mm - behind_mm))
        if shapely.area(held) < LEAST_SHARE * shapely.area(seam.place):
            return seam
        return replace(seam, dry=MultiPolygon(polygons(overlay.difference(seam.place, held))))

    return tuple(kept_off(seam) for seam in seams)


def _standing(traced: Traced, form: str, height_mm: float) -> Geometry:
    """Return where a form may stand at a height off its lowest point."""
    regions = [
        one.region
        for one in traced.sections
        if one.form == form and one.from_mm - TOUCH_MM <= height_mm <= one.to_mm + TOUCH_MM
    ]
    return overlay.union(regions) if regions else Polygon()
