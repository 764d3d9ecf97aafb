"""The plane square to the wire of a roughing cut, in which its path is given: what a block looks
like there, and where the wire's ends have gone part of their way."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon

from wirepath.checking.finding import EXACT_MM
from wirepath.model import Blank, RoughingCut

Floats = NDArray[np.float64]


def face_stood_on(cut: RoughingCut) -> str:
    """Return the narrow face on which a block has the wire of a cut level before it, though the
    wire lies aslant to its back: the path's `up` is square to that face, and so is no part of
    the wire. Empty for cuts along the back or square to it, and for tilted ones."""
    up, wire = np.array(cut.direction.up), np.abs(cut.direction.wire)
    if not EXACT_MM < wire[2] < 1 - EXACT_MM**2:
        return ""
    for axis, face in ((0, "left"), (1, "bottom")):
        if up[axis] > 1 - EXACT_MM**2 and wire[axis] < EXACT_MM:
            return face
    return ""


def places(points: Floats, cut: RoughingCut) -> Floats:
    """Return points (n, 3) of the form's frame as the cut's path has them, (n, 2)."""
    seen: Floats = points @ np.array([cut.direction.right, cut.direction.up]).T - cut.datum
    return seen


def block_seen(cut: RoughingCut, blank: Blank) -> Geometry:
    """Return what the block covers in the cut's plane, in the cut's own frame."""
    size = (blank.width_mm, blank.height_mm, blank.thickness_mm)
    ends = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * size
    corners = places(ends + corner(blank), cut)
    hull: Geometry = shapely.MultiPoint(corners).convex_hull
    return hull


def corner(blank: Blank) -> Floats:
    """Return the corner of a block that lies nearest to the frame's origin, (3,)."""
    return np.array([blank.x_mm, blank.y_mm, blank.from_mm])


def part_way(lower: Polygon, upper: Polygon, share: float) -> Geometry:
    """Return where ruled edges have gone `share` of the way from `lower` to `upper`."""
    if lower is upper:
        return lower
    both = zip((lower.exterior, *lower.interiors), (upper.exterior, *upper.interiors), strict=True)
    rings = [
        (1 - share) * shapely.get_coordinates(a) + share * shapely.get_coordinates(b)
        for a, b in both
    ]
    found: Geometry = shapely.make_valid(Polygon(rings[0], rings[1:]))
    return found
