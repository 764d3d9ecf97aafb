"""What a form may fill, raised again from the drawing: each contour a prism of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely import Geometry, box

from wirepath import overlay
from wirepath.model import Blank, Contour


@dataclass(frozen=True, slots=True, kw_only=True)
class Prism:
    """A region that the form may fill from one height to another, mm."""

    low_mm: float
    high_mm: float
    region: Geometry


def raised_prisms(
    outline: Geometry, contours: Sequence[Contour], *, peak_mm: float
) -> tuple[Prism, ...]:
    """Return what a relief may fill: each contour up to the next height, the last to the peak."""
    heights = sorted({c.height_mm for c in contours if 0 < c.height_mm < peak_mm})
    tops = dict(pairwise([*heights, peak_mm]))
    first = heights[0] if heights else peak_mm
    return (
        Prism(low_mm=0.0, high_mm=first, region=outline),
        *(
            Prism(
                low_mm=0.0,
                high_mm=tops[c.height_mm],
                region=overlay.intersection(c.region, outline),
            )
            for c in contours
            if c.height_mm in tops
        ),
    )


def near_block(prisms: Sequence[Prism], blank: Blank, margin_mm: float) -> Iterator[Prism]:
    """Yield what of the form stands in the block's foam or within the margin of it."""
    room: Geometry = box(
        blank.x_mm - margin_mm,
        blank.y_mm - margin_mm,
        blank.x_mm + blank.width_mm + margin_mm,
        blank.y_mm + blank.height_mm + margin_mm,
    )
    if blank.foam:
        foam = overlay.union([prism.region for prism in blank.foam])
        room = shapely.buffer(foam, margin_mm)
    low = blank.from_mm - margin_mm
    high = blank.from_mm + blank.thickness_mm + margin_mm
    shapely.prepare(room)
    for prism in prisms:
        bottom, top = max(prism.low_mm, low), min(prism.high_mm, high)
        if top <= bottom or not shapely.intersects(room, prism.region):
            continue
        region = prism.region
        if not shapely.covers(room, region):
            region = overlay.intersection(region, room)
        if shapely.area(region) > 0:
            yield Prism(low_mm=bottom, high_mm=top, region=region)
