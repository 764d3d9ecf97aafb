"""Promise 4: no roughing cut goes below target + allowance anywhere. Proved on vectors.

Every contour is raised to the next one's height here as well, but each stands as a
prism of its own from the back up, and no prisms are ever joined: their edges are
projected along the wire one by one, and the way is measured against each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon, STRtree, box

from wirepath import overlay
from wirepath.checking.finding import EXACT_MM, Finding, found
from wirepath.errors import Fault
from wirepath.geometry import polygons
from wirepath.model import Blank, Contour, RoughingCut, RoughingPlan
from wirepath.units import told_apart

Floats = NDArray[np.float64]

SLABS = ("slab", "slanted slab", "hole")
"""Cuts that go through one slab only, square to it or leaning."""

RIM_MM = 0.01
"""How far a line may stray from the rim of what it is said to pass round."""

LATTICE_POINTS = 60_000
"""Points in a block for the volume balance: an R3 sequence of so many errs by about 0.1 %."""

RULED_LAYERS = 60
"""Slanted edges change evenly with height: they are looked at in so many layers."""

VOLUME_SHARE = 0.005
"""How far litres left may be from the lattice's, as a share of the block."""


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
    tops = dict(zip(heights, [*heights[1:], peak_mm], strict=True))
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


def check_roughing(
    plan: RoughingPlan,
    prisms: Sequence[Prism],
    *,
    wire_mm: float = float("inf"),
    between_ends: bool = False,
) -> tuple[Finding, ...]:
    """Return what was found of promise 4, of the wire's reach and ends, and of the litres.

    `between_ends`: on a table the whole block must pass between the two ends of the wire.
    """
    blanks = {blank.number: blank for blank in plan.blanks}
    near = {
        number: tuple(_within(prisms, blank, plan.allowance_mm + plan.kerf_mm))
        for number, blank in blanks.items()
    }
    need = plan.allowance_mm + plan.kerf_mm / 2
    faults: list[Fault] = []
    least = float("inf")
    for cut in plan.cuts:
        gap, wrong = _distance(cut, blanks[cut.blank], near[cut.blank], need)
        least = min(least, gap)
        faults.extend(wrong)
    ends_mm = wire_mm if between_ends else float("inf")
    reach = [
        fault
        for cut in plan.cuts
        for fault in _reach_faults(cut, blanks[cut.blank], wire_mm, ends_mm)
    ]
    text = f"nearest way to the raised form {least:.2f} mm, needed {need:.2f} mm"
    return (
        found(4, "No roughing cut goes below target and allowance", text, faults),
        found(
            3,
            "Roughing cuts start and end in air, and the wire spans them",
            f"longest wire {max((c.longest_wire_mm for c in plan.cuts), default=0.0):.0f} mm",
            reach,
        ),
        _balance(plan),
    )


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


# --- Distance -------------------------------------------------------------------------


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
    shade = _shade(cut, blank)
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
    """Return what the prisms' walls and lids look like along the wire, piece by piece, (n,)."""
    axes = np.array([cut.direction.right, cut.direction.up]).T
    upright = abs(cut.direction.wire[2]) > 1e-9
    shapes: list[NDArray[np.object_]] = []
    for prism in prisms:
        for part in polygons(prism.region):
            for ring in (part.exterior, *part.interiors):
                flat = shapely.get_coordinates(ring)
                low = np.c_[flat, np.full(len(flat), prism.low_mm)] @ axes - cut.datum
                high = np.c_[flat, np.full(len(flat), prism.high_mm)] @ axes - cut.datum
                walls = np.stack([low[:-1], low[1:], high[1:], high[:-1]], axis=1)
                shapes.append(np.asarray(shapely.convex_hull(shapely.multipoints(walls))))
            if upright:
                for z in (prism.low_mm, prism.high_mm):
                    shapes.append(np.array([_lid(part, z, axes, cut.datum)], dtype=object))
    return np.concatenate(shapes) if shapes else np.empty(0, dtype=object)


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
        rims = [
            _part_way(a, b, share) for a, b in zip(cut.kept, cut.upper or cut.kept, strict=True)
        ]
        kept = overlay.union(rims)
        inside = overlay.intersection(
            shapely.transform(prism.region, lambda points: points - origin), face
        )
        for part in polygons(inside):
            if not shapely.intersects(kept, shapely.point_on_surface(part)):
                return True
    return False


# --- Reach and ends -------------------------------------------------------------------


def _reach_faults(
    cut: RoughingCut, blank: Blank, wire_mm: float, ends_mm: float
) -> Iterator[Fault]:
    where = f"roughing cut {cut.number} ({cut.kind})"
    shade = _shade(cut, blank)
    if cut.kind != "hole":
        inner = shapely.buffer(shade, -EXACT_MM)
        for line in cut.lines:
            points = shapely.get_coordinates(line)
            if shapely.intersects_xy(inner, points[[0, -1], 0], points[[0, -1], 1]).any():
                yield Fault("does not start and end in air", where)
    longest = _longest_wire(cut, blank)
    if longest > wire_mm + 0.5:
        yield Fault(
            f"needs {told_apart(longest, wire_mm, 0)} mm of wire, there are {wire_mm:g} mm", where
        )
    if cut.kind in ("profile", "tilted profile", "standing profile", "corner"):
        ends = _corners_along(cut, blank)
        if ends > ends_mm + 0.5:
            what = f"{told_apart(ends, ends_mm, 0)} mm of block lie along the wire, and only "
            yield Fault(f"{what}{ends_mm:g} mm pass between the table's wire ends", where)


def _corners_along(cut: RoughingCut, blank: Blank) -> float:
    """Return how far apart along the wire the outermost corners of a cut's block are."""
    size = np.array([blank.width_mm, blank.height_mm, blank.thickness_mm])
    corners = np.array(list(np.ndindex(2, 2, 2))) * size
    return float(np.ptp(corners @ np.array(cut.direction.wire)))


def _longest_wire(cut: RoughingCut, blank: Blank) -> float:
    """Return the longest wire in the block on the cut, measured every 5 mm of its way."""
    if cut.upper_lines:
        leans = [
            np.hypot(*(shapely.get_coordinates(b) - shapely.get_coordinates(a)).T).max()
            for a, b in zip(cut.lines, cut.upper_lines, strict=True)
        ]
        return float(np.hypot(blank.thickness_mm, max(leans)))
    right, up, wire = (
        np.array(one) for one in (cut.direction.right, cut.direction.up, cut.direction.wire)
    )
    places = shapely.get_coordinates(shapely.segmentize(shapely.multilinestrings(cut.lines), 5.0))
    places = places + cut.datum
    points = places[:, :1] * right + places[:, 1:] * up - _corner(blank)
    size = np.array([blank.width_mm, blank.height_mm, blank.thickness_mm])
    near, far = np.full(len(points), -np.inf), np.full(len(points), np.inf)
    for axis in range(3):
        if abs(wire[axis]) < 1e-9:
            missed = (points[:, axis] < 0) | (points[:, axis] > size[axis])
            far = np.where(missed, -np.inf, far)
            continue
        one, other = -points[:, axis] / wire[axis], (size[axis] - points[:, axis]) / wire[axis]
        near = np.maximum(near, np.minimum(one, other))
        far = np.minimum(far, np.maximum(one, other))
    lengths = np.where(far > near, far - near, 0.0)
    return float(lengths.max(initial=0.0))


# --- Volume ---------------------------------------------------------------------------


def _balance(plan: RoughingPlan) -> Finding:
    """Return whether the litres left agree with a lattice of points, and the cuts' with both."""
    block = sum(blank.volume_mm3 for blank in plan.blanks) / 1e6
    faults = []
    left = 0.0
    for blank in plan.blanks:
        cuts = [cut for cut in plan.cuts if cut.blank == blank.number]
        share = _share_left(blank, cuts, plan.kerf_mm) if cuts else 0.0
        if not cuts and not _is_waste(blank, plan):
            share = _share_left(blank, (), plan.kerf_mm)
        left += share * blank.width_mm * blank.height_mm * blank.thickness_mm / 1e6
    if abs(left - plan.left_litres) > VOLUME_SHARE * block:
        faults.append(
            Fault(f"{plan.left_litres:.1f} litres are said to be left, {left:.1f} are", "roughing")
        )
    unused = sum(blank.volume_mm3 / 1e6 for blank in plan.blanks if _is_waste(blank, plan))
    taken = sum(cut.litres for cut in plan.cuts) + unused
    if abs(taken - plan.litres_off) > 1e-6 * max(block, 1.0):
        faults.append(
            Fault(f"the cuts take {taken:.1f} litres, not {plan.litres_off:.1f}", "roughing")
        )
    if abs(block - plan.block_litres) > 1e-6 * block:
        faults.append(Fault("the blanks do not add up to the block", "roughing"))
    text = f"{plan.left_litres:.1f} litres left by sections, {left:.1f} by points"
    return found(5, "Roughing litres add up", text, faults)


def _is_waste(blank: Blank, plan: RoughingPlan) -> bool:
    """Return whether a blank is a slab over the form, which is not cut and goes off whole."""
    uncut = not any(cut.blank == blank.number for cut in plan.cuts)
    return uncut and len(plan.blanks) > 1 and not blank.foam


def _share_left(blank: Blank, cuts: Sequence[RoughingCut], kerf_mm: float) -> float:
    """Return the share of a lattice of points in the block that are foam no cut parts off.

    The points follow the R3 sequence (Roberts 2018: multiples of 1/g, 1/g^2 and 1/g^3,
    g^4 = g + 1), which fills a box evenly.
    """
    golden = 1.2207440846057596
    turns = np.arange(1, LATTICE_POINTS + 1)[:, None] / golden ** np.arange(1, 4)
    shares = (0.5 + turns) % 1
    points = _corner(blank) + shares * [blank.width_mm, blank.height_mm, blank.thickness_mm]
    layers = np.floor(shares[:, 2] * RULED_LAYERS).astype(int)
    stays = np.full(len(points), not blank.foam)
    for prism in blank.foam:
        tall = (points[:, 2] >= prism.from_mm) & (points[:, 2] <= prism.to_mm)
        shapely.prepare(prism.region)
        stays[tall] |= shapely.contains_xy(prism.region, points[tall, 0], points[tall, 1])
    for cut in cuts:
        if not cut.upper:
            stays[stays] = ~parted_off(points[stays], (cut,), kerf_mm)
            continue
        places = points @ np.array([cut.direction.right, cut.direction.up]).T - cut.datum
        for layer in range(RULED_LAYERS):
            here = layers == layer
            share = (layer + 0.5) / RULED_LAYERS
            rims = [_part_way(a, b, share) for a, b in zip(cut.kept, cut.upper, strict=True)]
            stays[here] &= _inside(rims, kerf_mm, places[here])
    return float(stays.mean())


def parted_off(points: Floats, cuts: Sequence[RoughingCut], kerf_mm: float) -> NDArray[np.bool_]:
    """Return which points (n, 3) of the form's frame cuts with a straight wire part off."""
    off = np.zeros(len(points), dtype=bool)
    for cut in cuts:
        places = points @ np.array([cut.direction.right, cut.direction.up]).T - cut.datum
        off |= ~_inside(cut.kept, kerf_mm, places)
    return off


def _inside(rims: Sequence[Geometry], kerf_mm: float, places: Floats) -> NDArray[np.bool_]:
    kept = shapely.buffer(overlay.union(list(rims)), -kerf_mm / 2, join_style="mitre")
    shapely.prepare(kept)
    return shapely.contains_xy(kept, places[:, 0], places[:, 1])


def _part_way(lower: Polygon, upper: Polygon, share: float) -> Geometry:
    if lower is upper:
        return lower
    both = zip((lower.exterior, *lower.interiors), (upper.exterior, *upper.interiors), strict=True)
    rings = [
        (1 - share) * shapely.get_coordinates(a) + share * shapely.get_coordinates(b)
        for a, b in both
    ]
    found: Geometry = shapely.make_valid(Polygon(rings[0], rings[1:]))
    return found


# --- The block ------------------------------------------------------------------------


def _corner(blank: Blank) -> Floats:
    return np.array([blank.x_mm, blank.y_mm, blank.from_mm])


def _shade(cut: RoughingCut, blank: Blank) -> Geometry:
    """Return what the block covers in the cut's plane, in the cut's own frame."""
    size = (blank.width_mm, blank.height_mm, blank.thickness_mm)
    ends = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * size
    seen = (ends + _corner(blank)) @ np.array([cut.direction.right, cut.direction.up]).T
    hull: Geometry = shapely.convex_hull(shapely.multipoints(seen - cut.datum))
    return hull


def _within(prisms: Sequence[Prism], blank: Blank, margin_mm: float) -> Iterator[Prism]:
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
    for prism in prisms:
        region = overlay.intersection(prism.region, room)
        bottom, top = max(prism.low_mm, low), min(prism.high_mm, high)
        if top > bottom and shapely.area(region) > 0:
            yield Prism(low_mm=bottom, high_mm=top, region=region)
