"""Shapes as plain data: lines to 0.1 mm, and solids made of upright prisms."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import Polygon

from wirepath.geometry import polygons
from wirepath.model import Level

Data = dict[str, Any]

CLOSE_MM = 0.05
"""What a line may be straightened by: less than a point of any screen."""

SLICES = (0.05, 0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.95)
"""At which shares of its depth a taper is cut into prisms, from the front."""

SOLID_MM = 0.5
"""The same for solid pictures, which are for looking only."""


def flat(points: ArrayLike) -> list[float]:
    """Return points, (n, 2) or (n, 3), one after the other, to 0.1 mm, never -0."""
    rounded: list[float] = (np.round(np.asarray(points, dtype=float), 1) + 0.0).ravel().tolist()
    return rounded


def rings(polygon: Polygon, close_mm: float) -> list[list[float]]:
    """Return the polygon's rings as flat lists, the outer one first and anticlockwise."""
    plain = shapely.orient_polygons(shapely.simplify(polygon, close_mm))
    return [flat(ring.coords) for ring in (plain.exterior, *plain.interiors)]


def label_at(polygon: Polygon) -> list[float]:
    """Return where a number has most room: the middle of the largest circle inside."""
    circle = shapely.maximum_inscribed_circle(polygon, tolerance=polygon.length / 500)
    return flat(circle.coords[0])


def prism(polygon: Polygon, from_mm: float, to_mm: float, label: str = "") -> Data:
    """Return an upright prism: x to the right, y up, z to the eye, `from_mm` to `to_mm`."""
    return {
        "from": from_mm,
        "to": to_mm,
        "rings": rings(polygon, SOLID_MM),
        "label": label,
        "at": label_at(polygon) if label else [],
    }


def piece_solid(
    sections: Sequence[Polygon], from_mm: float, to_mm: float, label: str
) -> list[Data]:
    """Return a piece as upright prisms, one for each section, equally thick, the front first."""
    step = (to_mm - from_mm) / len(sections)
    return [
        prism(one, to_mm - (k + 1) * step, to_mm - k * step, "" if k else label)
        for k, one in enumerate(sections)
    ]


def form_solid(name: str, levels: Sequence[Level], box: Sequence[float] | None = None) -> Data:
    """Return the solid of a form's levels, its back at z = 0, in `box` or in its own bounds.

    A box is its least x, y, z and its greatest.
    """
    west, south, east, north = shapely.total_bounds([level.region for level in levels]).tolist()
    own = [west, south, 0.0, east, north, max((level.to_mm for level in levels), default=0.0)]
    return {
        "name": name,
        "box": flat(own if box is None else box),
        "layers": [
            {
                "from": level.from_mm,
                "labelled": False,
                "prisms": [
                    prism(one, level.from_mm, level.to_mm) for one in polygons(level.region)
                ],
            }
            for level in levels
        ],
    }
