"""Outlines from several sides -> levels of all that they allow: the visual hull.

A point may be foam where every outline shows it. That is the most that can stand there
(Laurentini 1994): hollows that no outline shows are not known.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from shapely import Geometry, Polygon, box

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Level

REACH_MM = 1e6
"""Farther than any drawing."""

ROOM_MM = 1e-6
"""Strips are this much wider: what touches is allowed."""


def hull_levels(
    front: Geometry,
    side: Polygon | None,
    top: Polygon | None,
    *,
    spacing_mm: float,
    filled: bool,
) -> tuple[Level, ...]:
    """Return the levels of what outlines allow, from the back, z = 0, up, `spacing_mm` high.

    `side` has z to the right and y up, `top` x to the right and z up; one may lack. What is
    allowed anywhere between two heights is allowed all the way; `filled` down to the back
    too, as a relief is.
    """
    depth = max(
        side.bounds[2] if side is not None else 0.0, top.bounds[3] if top is not None else 0.0
    )
    edges = np.linspace(0.0, depth, max(2, math.ceil(depth / spacing_mm - 1e-9)) + 1)
    found = []
    for low, high in itertools.pairwise(edges):
        upper = REACH_MM if filled else float(high)
        region: Geometry = front
        if side is not None:
            band = box(low, -REACH_MM, upper, REACH_MM)
            spans = [part.bounds[1::2] for part in _parts(side, band)]
            strips = [box(-REACH_MM, a - ROOM_MM, REACH_MM, b + ROOM_MM) for a, b in spans]
            region = overlay.intersection(region, overlay.union(strips))
        if top is not None:
            band = box(-REACH_MM, low, REACH_MM, upper)
            spans = [part.bounds[0::2] for part in _parts(top, band)]
            strips = [box(a - ROOM_MM, -REACH_MM, b + ROOM_MM, REACH_MM) for a, b in spans]
            region = overlay.intersection(region, overlay.union(strips))
        whole = polygons(region)
        if whole:
            found.append(
                Level(from_mm=float(low), to_mm=float(high), region=shapely.multipolygons(whole))
            )
    return tuple(found)


def _parts(outline: Polygon, band: Polygon) -> list[Polygon]:
    return polygons(overlay.intersection(outline, band))
