"""Promise 4 for a whole plan: the roughing that its pieces get, measured from the drawing.

The proof of the cuts themselves is `roughing_proof`; here stands what ties them to the
plan: that they cut the plan's own pieces, every copy alike, with the shop's wire and rig,
and that the faces to be glued keep the foam they need.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon

from wirepath import overlay
from wirepath.checking.finding import DEPTH_MM, EXACT_MM, SAME_SHARE, Finding, found, same
from wirepath.checking.prisms import Prism
from wirepath.checking.rough_forms import asked_faults, proved, raised
from wirepath.checking.roughing_litres import parted_off
from wirepath.errors import Fault
from wirepath.model import Blank, Piece, Plan, RoughingPlan, Seam

Points = NDArray[np.float64]

FACE_MM = 10.0
"""Seam faces are looked at this often, along and up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    """A form's roughing with what it is measured against."""

    rough: RoughingPlan
    pieces: tuple[tuple[Piece, ...], ...]
    """Of each copy, in order of their numbers."""
    choices: tuple[tuple[Prism, ...], ...]
    """The raised form; more than one where several outlines or heights bear its name."""


def check_roughed(plan: Plan) -> tuple[Finding, ...]:
    """Return what was found of the roughing of a plan's pieces; nothing where none is asked."""
    asked = plan.job.form.kind == "relief" and plan.job.roughing.on
    if not asked and not plan.roughing:
        return ()
    forms = [_form(plan, rough) for rough in plan.roughing]
    faults = [
        *_whose(plan, forms, asked=asked),
        *asked_faults(plan.job, plan.workshop, plan.traced, plan.roughing),
    ]
    agreement = found(
        4,
        "Roughing cuts the plan's own pieces, every copy alike",
        f"{sum(len(one.rough.cuts) for one in forms)} cuts for {len(forms)} forms",
        faults,
    )
    if faults:
        return (agreement,)
    cuts = [finding for one in forms for finding in proved(one.rough, one.choices, plan.workshop)]
    return (agreement, *cuts, _seam_faces(plan, forms))


def _form(plan: Plan, rough: RoughingPlan) -> _Form:
    by_form: dict[str, list[Piece]] = defaultdict(list)
    for piece in plan.pieces:
        by_form[piece.section_of or piece.name].append(piece)
    return _Form(
        rough=rough,
        pieces=tuple(tuple(by_form.get(name, ())) for name in rough.forms),
        choices=raised(plan.job, plan.traced, rough.name),
    )


# --- Agreement ---------------------------------------------------------------------


def _whose(plan: Plan, forms: Sequence[_Form], *, asked: bool) -> Iterator[Fault]:
    """Give pieces that are roughed not at all, twice, or as another shape than they have."""
    if not asked:
        yield Fault("pieces are roughed, which the job does not ask for", "roughing")
    roughed = [piece.number for form in forms for copy in form.pieces for piece in copy]
    for piece in plan.pieces:
        if asked and roughed.count(piece.number) != 1:
            what = f"the piece is roughed {roughed.count(piece.number)} times"
            yield Fault(what, f"piece {piece.number}")
    for form in forms:
        where = f"roughing of {form.rough.name!r}"
        if not form.choices or not form.pieces or not all(form.pieces):
            yield Fault("there is no such form", where)
            continue
        yield from _blanks(form, _cut_out(plan, form), where)
        first = form.pieces[0]
        for name, copy in zip(form.rough.forms, form.pieces, strict=True):
            if len(copy) != len(first) or not all(map(_alike, first, copy)):
                yield Fault(f"{name!r} is not parted as {form.rough.forms[0]!r} is", where)


def _cut_out(plan: Plan, form: _Form) -> Polygon | None:
    """Return the outline that is cut from a form's pieces once they are glued, if one is."""
    names = form.rough.forms[:1]
    return next((one.form.outline for one in plan.blanks if one.form.name in names), None)


def _blanks(form: _Form, cut_out: Polygon | None, where: str) -> Iterator[Fault]:
    if cut_out is not None and len(form.rough.blanks) > 1:
        yield Fault("its pieces are roughed one by one, though they are glued first", where)
    own = {piece.number: piece for piece in form.pieces[0]}
    held = [number for blank in form.rough.blanks for number in blank.pieces]
    if sorted(held) != sorted(own):
        yield Fault(f"its blanks hold pieces {held}, the form has {sorted(own)}", where)
        return
    for number, blank in enumerate(form.rough.blanks, 1):
        spot = f"{where}, block {blank.number}"
        if blank.number != number:
            yield Fault("blocks do not count from 1", spot)
        if len(blank.foam) != len(blank.pieces):
            yield Fault(f"{len(blank.foam)} prisms for {len(blank.pieces)} pieces", spot)
            continue
        for prism, piece in zip(blank.foam, map(own.__getitem__, blank.pieces), strict=True):
            heights = (piece.from_mm, piece.from_mm + piece.thickness_mm)
            if not np.allclose((prism.from_mm, prism.to_mm), heights, rtol=0, atol=EXACT_MM):
                yield Fault(f"piece {piece.number} stands at other heights", spot)
            region: Geometry = piece.outline
            if cut_out is not None:
                region = overlay.intersection(piece.outline, cut_out)
            stray = shapely.area(overlay.symmetric_difference(prism.region, region))
            if stray > SAME_SHARE * piece.outline.area:
                yield Fault(f"piece {piece.number} has another outline", spot)
        if not _holds(blank):
            yield Fault("the foam stands out of the block", spot)


def _holds(blank: Blank) -> bool:
    x0, y0, x1, y1 = shapely.total_bounds([prism.region for prism in blank.foam])
    low = min(prism.from_mm for prism in blank.foam)
    top = max(prism.to_mm for prism in blank.foam)
    over = (
        blank.x_mm - x0,
        blank.y_mm - y0,
        blank.from_mm - low,
        x1 - blank.x_mm - blank.width_mm,
        y1 - blank.y_mm - blank.height_mm,
        top - blank.from_mm - blank.thickness_mm,
    )
    return bool(max(over) <= EXACT_MM)


def _alike(one: Piece, other: Piece) -> bool:
    return (
        one.part == other.part
        and same(one.thickness_mm, other.thickness_mm)
        and same(one.from_mm, other.from_mm, least=EXACT_MM)
        and bool(one.outline.equals_exact(other.outline, EXACT_MM))
    )


# --- Seam faces --------------------------------------------------------------------


def _seam_faces(plan: Plan, forms: Sequence[_Form]) -> Finding:
    """Return whether both faces of every seam keep the section of form and allowance.

    Looked at in points `FACE_MM` apart. Copies are cut as the first form is.
    """
    faults: list[Fault] = []
    needed = 0
    for form in forms:
        blank_of = {number: blank for blank in form.rough.blanks for number in blank.pieces}
        if len(form.rough.blanks) < 2:
            continue
        tried = [list(_lost(plan, form, prisms, blank_of)) for prisms in form.choices]
        best = min(tried, key=lambda ones: sum(fault is not None for fault, _ in ones))
        faults += [fault for fault, _ in best if fault is not None]
        needed += sum(count for _, count in best)
    return found(
        4,
        "Faces to be glued keep the foam they need",
        f"{needed} places on both faces of seams looked at, {FACE_MM:g} mm apart",
        faults,
    )


def _lost(
    plan: Plan, form: _Form, prisms: Sequence[Prism], blank_of: dict[int, Blank]
) -> Iterator[tuple[Fault | None, int]]:
    for seam in plan.seams:
        if not blank_of.keys() >= set(seam.pieces):
            continue
        points = _needed(_face_points(seam), prisms, form.rough.allowance_mm - DEPTH_MM)
        for number in seam.pieces:
            blank = blank_of[number]
            cuts = [cut for cut in form.rough.cuts if cut.blank == blank.number]
            off = parted_off(points, cuts, form.rough.kerf_mm)
            fault = None
            if off.any():
                x, y, z = points[int(off.argmax())]
                fault = Fault(
                    f"roughing takes foam off its face to piece "
                    f"{sum(seam.pieces) - number} that form and allowance need",
                    f"piece {number}, near x {x:.0f}, y {y:.0f}, {z:.0f} mm off the back",
                )
            yield fault, len(points)


def _face_points(seam: Seam) -> Points:
    """Return places on a seam's face, (n, 3), at most `FACE_MM` apart, its edges among them."""
    if seam.kind == "layer":
        x0, y0, x1, y1 = shapely.bounds(seam.place)
        xs, ys = (
            a.ravel() for a in np.meshgrid(np.arange(x0, x1, FACE_MM), np.arange(y0, y1, FACE_MM))
        )
        inside = shapely.contains_xy(seam.place, xs, ys)
        flat_face: Points = np.c_[xs[inside], ys[inside], np.full(len(xs[inside]), seam.from_mm)]
        return flat_face
    flat = shapely.get_coordinates(shapely.segmentize(seam.place, FACE_MM))
    count = max(2, int(np.ceil((seam.to_mm - seam.from_mm) / FACE_MM)) + 1)
    heights = np.linspace(seam.from_mm, seam.to_mm, count)
    upright: Points = np.c_[np.repeat(flat, count, axis=0), np.tile(heights, len(flat))]
    return upright


def _needed(points: Points, prisms: Sequence[Prism], reach_mm: float) -> Points:
    """Return the points that lie in the raised form or within `reach_mm` of it."""
    keep = np.zeros(len(points), dtype=bool)
    # Many points stand over one another on an upright face.
    flat, spot_of = np.unique(points[:, :2], axis=0, return_inverse=True)
    spots = np.asarray(shapely.points(flat))
    for prism in prisms:
        beyond = np.maximum.reduce(
            [np.zeros(len(points)), prism.low_mm - points[:, 2], points[:, 2] - prism.high_mm]
        )
        near = ~keep & (beyond <= max(reach_mm, 0.0))
        away = _distances(prism.region, spots, max(reach_mm, 0.0))[spot_of.ravel()[near]]
        keep[near] = np.hypot(away, beyond[near]) <= max(reach_mm, 0.0)
    return points[keep]


def _distances(region: Geometry, spots: NDArray[np.object_], most_mm: float) -> NDArray[np.float64]:
    """Return how far points (n,) lie from a region, (n,); infinite beyond `most_mm`."""
    shapely.prepare(region)
    away = np.where(shapely.dwithin(region, spots, most_mm), 0.0, np.inf)
    rim = np.isfinite(away) & ~shapely.intersects(region, spots)
    away[rim] = shapely.distance(region, spots[rim])
    return away
