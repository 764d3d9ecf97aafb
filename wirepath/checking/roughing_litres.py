"""Promise 5: the litres that roughing leaves and takes add up. Counted by points spread evenly."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

from wirepath import overlay
from wirepath.checking.cut_plane import corner, part_way, places
from wirepath.checking.finding import Finding, found
from wirepath.checking.spread import spread_points
from wirepath.errors import Fault
from wirepath.model import Blank, RoughingCut, RoughingPlan

Floats = NDArray[np.float64]

SPREAD_POINTS = 60_000
"""Points in a block for the volume balance: so many err by 0.1 % at most where cuts are plane."""

RULED_LAYERS = 60
"""Slanted edges change evenly with height: they are looked at in so many layers."""

VOLUME_SHARE = 0.005
"""How far litres left may be from what points tell, as a share of the block."""


def check_litres(plan: RoughingPlan) -> Finding:
    """Return whether the litres left agree with points spread evenly, and the cuts' with both."""
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
    if plan.litres_off > plan.blanks_bound_litres + 1e-6 * block:
        what = (
            f"the cuts take {plan.litres_off:.1f} litres, and {plan.blanks_bound_litres:.1f} are "
            "said to be the most that they can"
        )
        faults.append(Fault(what, "roughing"))
    if abs(block - plan.block_litres) > 1e-6 * block:
        faults.append(Fault("the blanks do not add up to the block", "roughing"))
    text = f"{plan.left_litres:.1f} litres left by sections, {left:.1f} by points"
    return found(5, "Roughing litres add up", text, faults)


def _is_waste(blank: Blank, plan: RoughingPlan) -> bool:
    """Return whether a blank is a slab over the form, which is not cut and goes off whole."""
    uncut = not any(cut.blank == blank.number for cut in plan.cuts)
    over = blank.from_mm > min(one.from_mm for one in plan.blanks)
    return uncut and over and not blank.foam


def _share_left(blank: Blank, cuts: Sequence[RoughingCut], kerf_mm: float) -> float:
    """Return the share of points spread over the block that are foam no cut parts off."""
    shares = spread_points(SPREAD_POINTS)
    points = corner(blank) + shares * [blank.width_mm, blank.height_mm, blank.thickness_mm]
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
        seen = places(points, cut)
        for layer in range(RULED_LAYERS):
            here = layers == layer
            share = (layer + 0.5) / RULED_LAYERS
            rims = [part_way(a, b, share) for a, b in zip(cut.kept, cut.upper, strict=True)]
            stays[here] &= _inside(rims, kerf_mm, seen[here])
    return float(stays.mean())


def parted_off(points: Floats, cuts: Sequence[RoughingCut], kerf_mm: float) -> NDArray[np.bool_]:
    """Return which points (n, 3) of the form's frame cuts with a straight wire part off."""
    off = np.zeros(len(points), dtype=bool)
    for cut in cuts:
        seen = places(points, cut)
        off |= ~_inside(cut.kept, kerf_mm, seen)
    return off


def _inside(rims: Sequence[Geometry], kerf_mm: float, seen: Floats) -> NDArray[np.bool_]:
    kept = shapely.buffer(overlay.union(list(rims)), -kerf_mm / 2, join_style="mitre")
    shapely.prepare(kept)
    return shapely.contains_xy(kept, seen[:, 0], seen[:, 1])
