"""Promise 4: no roughing cut goes below target + allowance anywhere. Proved on vectors.

Every contour is raised to the next one's height here as well, but each stands as a
prism of its own from the back up, and no prisms are ever joined: their edges are
projected along the wire one by one, and the way is measured against each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon, STRtree, box

from wirepath import overlay
from wirepath.checking.cut_plane import block_seen, part_way
from wirepath.checking.finding import EXACT_MM, Finding, found
from wirepath.checking.prisms import Prism, near_block
from wirepath.errors import Fault
from wirepath.geometry import polygons
from wirepath.model import Blank, RoughingCut, RoughingPlan
from wirepath.units import told_apart

Floats = NDArray[np.float64]

SLABS = ("slab", "slanted slab", "hole")
"""Cuts that go through one slab only, square to it or leaning."""

RIM_MM = 0.01
"""How far a line may stray from the rim of what it is said to pass round."""


def check_clearance(plan: RoughingPlan, prisms: Sequence[Prism]) -> Finding:
    """Return whether every cut keeps off the form by the allowance, and parts off none of it."""
    blanks = {blank.number: blank for blank in plan.blanks}
    near = {
        number: tuple(near_block(prisms, blank, plan.allowance_mm + plan.kerf_mm))
        for number, blank in blanks.items()
    }
    need = plan.allowance_mm + plan.kerf_mm / 2
    faults: list[Fault] = []
    least = float("inf")
    for cut in plan.cuts:
        gap, wrong = _distance(cut, blanks[cut.blank], near[cut.blank], need)
        least = min(least, gap)
        faults.extend(wrong)
    text = f"nearest way to the raised form {least:.2f} mm, needed {need:.2f} mm"
    return found(4, "No roughing cut goes below target and allowance", text, faults)


def _distance(
    cut: RoughingCut, blank: Blank, prisms: Sequence[Prism], need: float
) -> tuple[float, Iterator[Fault]]:
    """Return how near the cut comes to the form, in mm, and every fault."""
    if cut.kind in SLABS:
        least, loose = _slab_distance(cut, blank, prisms), _slab_loose(cut, blank, prisms)
    else:
        least, loose = _straight_distance(cut, blank, prisms)
    return least, _distance_faults(cut, least, need, loose=loose)


def _distance_faults(
    cut: RoughingCut, least: float, need: float, *, loose: bool
) -> Iterator[Fault]:
    where = f"roughing cut {cut.number} ({cut.kind})"
    if least < need - EXACT_MM:
        yield Fault(
            f"comes within {told_apart(least, need, 2)} mm of the raised form, not {need:g} mm",
            where,
        )
    if loose:
        yield Fault("part of the form lies on the waste side of the way", where)


def _straight_distance(
    cut: RoughingCut, blank: Blank, prisms: Sequence[Prism]
) -> tuple[float, bool]:
    shade = block_seen(cut, blank)
    way = overlay.intersection(overlay.union(list(cut.lines)), shade)
    seen = _projected(cut, prisms)
    if not len(seen) or shapely.is_empty(way):
        return float("inf"), False
    tree = STRtree(seen)
    _, gaps = tree.query_nearest(way, return_distance=True, all_matches=False)
    kept = overlay.union(list(cut.kept))
    # What the way parts off is what lies outside `kept`, if its rim is cut all along.
    stays = shapely.buffer(kept, RIM_MM)
    shapely.prepare(stays)
    astray = seen[~shapely.covers(stays, seen)]
    outside = overlay.difference(overlay.intersection(astray, shade), stays)
    # In the block's own faces no foam is left to cut; ways filed there may lie outside them.
    rim = overlay.intersection(shapely.boundary(kept), shapely.buffer(shade, -RIM_MM))
    uncut = overlay.difference(rim, shapely.buffer(way, RIM_MM))
    loose = bool((shapely.area(outside) > RIM_MM).any() or shapely.length(uncut) > 1.0)
    return float(gaps.min()), loose


def _projected(cut: RoughingCut, prisms: Sequence[Prism]) -> NDArray[np.object_]:
    """Return what the prisms' walls and lids look like along the wire, piece by piece, (n,).

    Along a wire in the plane of the face a rim is seen edge on, as one straight stretch without
    a gap; so its walls together are what lies between the two ends of that.
    """
    axes = np.array([cut.direction.right, cut.direction.up]).T
    wire = np.array(cut.direction.wire)
    upright = abs(wire[2]) > 1e-9
    walls: list[Floats] = []
    lids: list[Geometry] = []
    for prism in prisms:
        for part in polygons(prism.region):
            for ring in (part.exterior, *part.interiors):
                flat = shapely.get_coordinates(ring)
                if not upright:
                    across = flat @ (wire[1], -wire[0])
                    flat = flat[[across.argmin(), across.argmax()]]
                low = np.c_[flat, np.full(len(flat), prism.low_mm)] @ axes - cut.datum
                high = np.c_[flat, np.full(len(flat), prism.high_mm)] @ axes - cut.datum
                walls.append(np.stack([low[:-1], low[1:], high[1:], high[:-1]], axis=1))
            if upright:
                lids += [_lid(part, z, axes, cut.datum) for z in (prism.low_mm, prism.high_mm)]
    if not walls:
        return np.empty(0, dtype=object)
    seen = shapely.convex_hull(shapely.multipoints(np.concatenate(walls)))
    return np.concatenate([np.asarray(seen), np.array(lids, dtype=object)])


def _lid(part: Polygon, z_mm: float, axes: Floats, datum: tuple[float, float]) -> Geometry:
    def seen(points: Floats) -> Floats:
        turned: Floats = np.c_[points, np.full(len(points), z_mm)] @ axes - datum
        return turned

    return shapely.transform(part, seen)


def _slab_distance(cut: RoughingCut, blank: Blank, prisms: Sequence[Prism]) -> float:
    """Return how near the wire comes to the form along a slab's edge: a bound from below.

    Between two neighbouring corners both ends run evenly, so at any height the wire's
    line covers, seen from the front, no more than the hull of its places at both ends of
    a range of heights. The wire leans off square by at most its patch's steeper ruling; a
    point at its horizontal distance times the cosine. What stands wholly under the slab, or
    over it, may be nearest to the wire's end there.
    """
    face = box(0, 0, blank.width_mm, blank.height_mm)
    origin = np.array([blank.x_mm, blank.y_mm])
    least = float("inf")
    for lower, upper in zip(cut.lines, cut.upper_lines or cut.lines, strict=True):
        a, b = shapely.get_coordinates(lower), shapely.get_coordinates(upper)
        if len(a) != len(b):
            return 0.0
        over = np.hypot(*(b - a).T)
        over = np.maximum(over[:-1], over[1:])
        length = np.hypot(blank.thickness_mm, over)
        cosine, sine = blank.thickness_mm / length, over / length
        for prism in prisms:
            heights = np.array([prism.low_mm, prism.high_mm]) - blank.from_mm
            ends = [a + (b - a) * t for t in np.clip(heights / blank.thickness_mm, 0.0, 1.0)]
            spans = np.concatenate([np.stack([e[:-1], e[1:]], axis=1) for e in ends], axis=1)
            hulls = np.asarray(shapely.convex_hull(shapely.multipoints(spans)))
            cuts_foam = shapely.intersects(hulls, face)
            away = shapely.distance(
                hulls, shapely.transform(prism.region, lambda points: points - origin)
            )
            beyond = max(0.0, -heights[1], heights[0] - blank.thickness_mm)
            by_wire = away * cosine + max(0.0, -heights[1]) * sine
            by_end = np.where(
                (beyond > 0) & (away * sine <= beyond * cosine), np.hypot(away, beyond), 0.0
            )
            gaps = np.where(cuts_foam, np.maximum(by_wire, by_end), np.inf)
            least = min(least, float(gaps.min()))
    return least


def _slab_loose(cut: RoughingCut, blank: Blank, prisms: Sequence[Prism]) -> bool:
    """Return whether some part of the form in the slab lies on the waste side of the way.

    The way keeps off the form at every height, so one point of each part tells for all.
    """
    origin = np.array([blank.x_mm, blank.y_mm])
    face = box(0, 0, blank.width_mm, blank.height_mm)
    for prism in prisms:
        if prism.high_mm <= blank.from_mm or prism.low_mm >= blank.from_mm + blank.thickness_mm:
            continue
        share = min(1.0, (prism.high_mm - blank.from_mm) / blank.thickness_mm)
        rims = [part_way(a, b, share) for a, b in zip(cut.kept, cut.upper or cut.kept, strict=True)]
        kept = overlay.union(rims)
        inside = overlay.intersection(
            shapely.transform(prism.region, lambda points: points - origin), face
        )
        for part in polygons(inside):
            if not shapely.intersects(kept, shapely.point_on_surface(part)):
                return True
    return False
