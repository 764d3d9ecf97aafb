"""Promise 9: the pieces of a parted form stand up to the whole form again.

Every piece is taken as what it is, a prism: its outline from its back to its front. The
prisms of a form must not share space, must fill it, and must not stand outside it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, STRtree

from wirepath import overlay
from wirepath.checking.finding import (
    CRUMB_MM2,
    DEPTH_MM,
    EXACT_MM,
    FLAKE_MM,
    SAME_SHARE,
    Finding,
    found,
)
from wirepath.checking.joints import Joint, Joints, clear_faults, joints, seam_faults
from wirepath.checking.layered import lost_layers, own_pieces
from wirepath.checking.levels import Storey, heights_asked, storeys
from wirepath.checking.scene import inside_point, objects
from wirepath.errors import Fault
from wirepath.geometry import polygons
from wirepath.model import Piece, Plan
from wirepath.units import told_apart

SEAM_END_MM = 1.2
"""How far a seam line may stick into a piece: it ends a millimetre past another, at most."""

Flags = NDArray[np.bool_]
Numbers = NDArray[np.float64]


def check_parted(plan: Plan) -> Finding:
    """Return whether parted forms stand up again, and seams are where they are told."""
    forms: dict[str, list[Piece]] = defaultdict(list)
    for piece in plan.pieces:
        if piece.section_of is not None:
            forms[piece.section_of].append(piece)

    @cache
    def choices(part: str) -> tuple[tuple[Storey, ...], ...]:
        """Return every form that may be called `part`: outlines by thicknesses asked."""
        return tuple(
            storeys(plan, outline, height)
            for outline in plan.traced.outlines
            if outline.name == part
            for height in sorted(heights_asked(plan.job, part))
        )

    faults: list[Fault] = []
    met: dict[tuple[int, int], Joint] = {}
    covered = {blank.form.name for blank in plan.blanks}
    for name, pieces in forms.items():
        where = f"form {name!r}"
        by_outline = own_pieces(plan, pieces)
        if len(by_outline) > 1 and plan.job.form.kind != "full round":
            faults.append(Fault("its pieces are parts of different outlines", where))
            continue
        met.update(joints(pieces))
        faults += overlaps(pieces, where)
        if name in covered:  # what covers a form, to be cut later, is proved with its blank
            continue
        for part, own in by_outline.items():
            tried = [_stands(plan, form, own, where) for form in choices(part)]
            faults += sorted(tried, key=len)[0] if tried else []
    faults += lost_layers(plan)
    faults += seam_faults(plan, met) + clear_faults(plan, _in_forms(plan, met))
    faults += _asked_seams(plan) + _too_heavy(plan)
    parted = sum(len(pieces) for pieces in forms.values())
    glued = sum(
        joint.size * (joint.to_mm - joint.from_mm if joint.kind == "edge" else 1.0)
        for joint in met.values()
    )
    foam = sum(piece.volume_mm3 for pieces in forms.values() for piece in pieces)
    return found(
        9,
        "Parted forms stand up again",
        f"{len(forms)} forms in {parted} pieces, {foam / 1e6:.1f} litres; "
        f"{len(met)} places where they meet, {glued / 1e6:.2f} m2 to glue"
        if forms
        else "no form is parted",
        faults,
    )


def _in_forms(plan: Plan, met: Mapping[tuple[int, int], Joint]) -> Joints:
    """Return the joints, those of a blank's cells only as far as they run in its form."""
    outlines = {number: blank.form.outline for blank in plan.blanks for number in blank.cells}
    return {
        pair: replace(joint, place=overlay.intersection(joint.place, outlines[pair[0]]))
        if pair[0] in outlines
        else joint
        for pair, joint in met.items()
    }


def overlaps(pieces: Sequence[Piece], where: str) -> list[Fault]:
    """Return pieces of a form that stand in the same space."""
    outlines, low, top = prisms(pieces)
    one, other = STRtree(outlines).query(outlines, predicate="intersects")
    shared = np.minimum(top[one], top[other]) - np.maximum(low[one], low[other])
    keep = (one < other) & (shared > EXACT_MM)
    one, other, shared = one[keep], other[keep], shared[keep]
    twice = overlay.intersection(outlines[one], outlines[other])
    areas = shapely.area(twice)
    return [
        Fault(
            f"pieces {pieces[one[k]].number} and {pieces[other[k]].number} share "
            f"{areas[k]:.2f} mm2, {shared[k]:g} mm deep",
            near(where, twice[k]),
        )
        for k in np.flatnonzero(areas > CRUMB_MM2).tolist()
    ]


def _stands(
    plan: Plan, form: tuple[Storey, ...], pieces: Sequence[Piece], where: str
) -> list[Fault]:
    """Return where the pieces do not fill a form, or stand outside it."""
    relief = plan.job.form.kind == "relief"
    outlines, low, top = prisms(pieces)
    faults = gaps(form, outlines, low, top, where) + _outside(form, pieces, where)
    for k in np.flatnonzero(low < -EXACT_MM).tolist():
        what = f"it stands {-low[k]:g} mm behind the form's back"
        faults.append(Fault(what, _piece(where, pieces[k])))
    faults += too_tall(plan, form, pieces, where)
    return faults + _volume(form, pieces, relief, where)


def too_tall(
    plan: Plan, form: tuple[Storey, ...], pieces: Sequence[Piece], where: str
) -> list[Fault]:
    """Return pieces that stand higher than the form does in them, or where it does not stand.

    Those of a relief may where another is as thick, if slabs are shared.
    """
    outlines, low, top = prisms(pieces)
    faults = []
    need = np.max(
        [
            np.where(common_areas(one.most, outlines, low < one.to_mm) > 0, one.to_mm, -np.inf)
            for one in form
        ],
        axis=0,
    )
    thicker = top > need + DEPTH_MM
    if plan.job.form.kind == "relief" and plan.job.seams.share_slabs:
        alone = np.array([not _shares(plan, piece) for piece in pieces])
        thicker &= alone | ~np.isfinite(need)
    for k in np.flatnonzero(thicker).tolist():
        what = (
            f"it ends {top[k]:g} mm off the back, the form at {need[k]:g} mm"
            if np.isfinite(need[k])
            else f"nothing of the form stands {low[k]:g} mm off the back in it"
        )
        faults.append(Fault(what, _piece(where, pieces[k])))
    return faults


def _shares(plan: Plan, piece: Piece) -> bool:
    """Return whether another piece is as thick, so that both may lie on one slab."""
    return any(
        abs(other.thickness_mm - piece.thickness_mm) <= EXACT_MM and other.foam == piece.foam
        for other in plan.pieces
        if other.number != piece.number
    )


def gaps(
    form: tuple[Storey, ...],
    outlines: NDArray[np.object_],
    low: Numbers,
    top: Numbers,
    where: str,
) -> list[Fault]:
    """Return where, and between which heights, no piece stands though the form does.

    Pieces do not share space (or that is told), so the areas they take of a storey add up.
    """
    faults = []
    for one in form:
        area = float(shapely.area(one.least))
        passes_by = (low < one.to_mm) & (top > one.from_mm)
        taken = common_areas(one.least, outlines, passes_by)
        within = np.concatenate((low[passes_by], top[passes_by], [one.from_mm, one.to_mm]))
        heights = np.unique(np.clip(within, one.from_mm, one.to_mm))
        worst: tuple[float, Flags, float, float] | None = None
        for floor, ceiling in pairwise(heights):
            if ceiling - floor <= EXACT_MM:
                continue
            here = (low <= floor + EXACT_MM) & (top >= ceiling - EXACT_MM)
            lack = area - float(taken[here].sum())
            if lack > max(SAME_SHARE * area, CRUMB_MM2) and (worst is None or lack > worst[0]):
                worst = lack, here, float(floor), float(ceiling)
        if worst is None:
            continue
        lack, here, floor, ceiling = worst
        empty = overlay.difference(one.least, overlay.union(outlines[here]))
        faults.append(
            Fault(
                f"{lack:.2f} mm2 of the form stand in no piece "
                f"{floor:g} to {ceiling:g} mm off the back",
                near(where, empty),
            )
        )
    return faults


def _outside(form: tuple[Storey, ...], pieces: Sequence[Piece], where: str) -> list[Fault]:
    """Return pieces that reach out of the widened outline, or are finished elsewhere."""
    whole = form[0]
    faults = []
    outlines = objects(tuple(piece.outline for piece in pieces))
    over = overlay.difference(outlines, whole.most)
    for k in np.flatnonzero(shapely.area(over) > CRUMB_MM2).tolist():
        what = f"{shapely.area(over[k]):.2f} mm2 stand outside the form and its allowance"
        faults.append(Fault(what, near(_piece(where, pieces[k]), over[k])))
    return faults + finished_faults(whole.region, pieces, where)


def finished_faults(region: Geometry, pieces: Sequence[Piece], where: str) -> list[Fault]:
    """Return pieces whose finished part is not what they hold of `region`."""
    faults = []
    outlines = objects(tuple(piece.outline for piece in pieces))
    finished = objects(tuple(piece.finished for piece in pieces))
    held = overlay.intersection(outlines, region)
    # Where a piece holds the outline in parts, or none, no one polygon can say so: it counts
    # as finished whole.
    lumps = [polygons(one) for one in held]  # without the lines in which they only touch
    held = objects(
        tuple(
            own[0] if len(own) == 1 else outline
            for own, outline in zip(lumps, outlines, strict=True)
        )
    )
    off = overlay.symmetric_difference(finished, held)
    for k in np.flatnonzero(shapely.area(off) > CRUMB_MM2).tolist():
        what = "its finished part is not what it holds of the outline that was read"
        faults.append(Fault(what, near(_piece(where, pieces[k]), off[k])))
    return faults


def _volume(
    form: tuple[Storey, ...], pieces: Sequence[Piece], relief: bool, where: str
) -> list[Fault]:
    """Return the fault of foam that is less than the form's or, of one not carved, more."""
    foam = sum(piece.volume_mm3 for piece in pieces)
    least = sum((one.to_mm - one.from_mm) * float(shapely.area(one.least)) for one in form)
    most = sum((one.to_mm - one.from_mm) * float(shapely.area(one.most)) for one in form)
    if least * (1 - SAME_SHARE) <= foam and (relief or foam <= most * (1 + SAME_SHARE)):
        return []
    what = f"its pieces hold {foam / 1e6:.4f} litres, the form {least / 1e6:.4f}"
    return [Fault(what, where)]


def _asked_seams(plan: Plan) -> list[Fault]:
    """Return pieces that run across a seam the job asks for.

    A piece is one lump, so it crosses an endless line when it has foam on either side of it.
    Lines of the drawing may end a little past the edge or line they end on.
    """
    outlines = objects(tuple(piece.finished for piece in plan.pieces))
    faults = []
    for line in plan.traced.seam_lines:
        inside = shapely.length(overlay.intersection(line, shapely.buffer(outlines, -FLAKE_MM)))
        faults += [
            Fault(f"it runs {inside[k]:.1f} mm across a seam line drawn", f"piece {k + 1}")
            for k in np.flatnonzero(inside > SEAM_END_MM).tolist()
        ]
    bounds = shapely.bounds(objects(tuple(piece.finished for piece in plan.pieces)))
    asked = plan.job.seams
    lines = [("x", 0, at) for at in asked.at_x_mm] + [("y", 1, at) for at in asked.at_y_mm]
    return faults + [
        Fault(f"it runs across the seam asked for at {axis} {at:g}", f"piece {index + 1}")
        for axis, column, at in lines
        for index in np.flatnonzero(
            (bounds[:, column] < at - FLAKE_MM) & (bounds[:, column + 2] > at + FLAKE_MM)
        )
    ]


def _too_heavy(plan: Plan) -> list[Fault]:
    """Return pieces of parted forms that weigh more than the job lets be lifted."""
    lift = plan.workshop.lift
    most = {
        "one person": lift.one_person_kg,
        "two people": lift.two_people_kg,
        "no limit": float("inf"),
    }[plan.job.seams.lift]
    return [
        Fault(
            f"it weighs {told_apart(weight, most, 2)} kg, {most:g} kg may be lifted",
            f"piece {piece.number}",
        )
        for piece in plan.pieces
        if piece.section_of is not None
        and (weight := piece.volume_mm3 * plan.workshop.foam(piece.foam).density_kg_per_m3 / 1e9)
        > most * (1 + SAME_SHARE)
    ]


def prisms(pieces: Sequence[Piece]) -> tuple[NDArray[np.object_], Numbers, Numbers]:
    """Return the pieces' outlines, backs and fronts off the form's back, each (n,)."""
    low = np.array([piece.from_mm for piece in pieces])
    top = low + np.array([piece.thickness_mm for piece in pieces])
    return objects(tuple(piece.outline for piece in pieces)), low, top


def common_areas(region: Geometry, outlines: NDArray[np.object_], wanted: Flags) -> Numbers:
    """Return the area each outline shares with `region`, (n,); 0 where it is not `wanted`.

    Only outlines on the region's border need be cut.
    """
    shapely.prepare(region)
    areas = np.zeros(len(outlines))
    whole = wanted & shapely.covers(region, outlines)
    areas[whole] = shapely.area(outlines[whole])
    border = wanted & ~whole & shapely.intersects(region, outlines)
    areas[border] = shapely.area(overlay.intersection(outlines[border], region))
    return areas


def _piece(where: str, piece: Piece) -> str:
    return f"{where}, piece {piece.number}"


def near(where: str, shape: Geometry) -> str:
    """Return the place with a point in the largest part of `shape`, in the drawing's frame."""
    parts = polygons(shape)
    largest = max(parts, key=shapely.area, default=None)
    if largest is None:
        return where
    x, y = inside_point(largest)
    return f"{where}, near x {x:.1f}, y {y:.1f} mm of the drawing"
