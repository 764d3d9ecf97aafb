"""Promise 4 for one form: what its roughing is measured against, and what job and rig ask of it.

Forms roughed out of blocks of their own are proved here; those whose pieces a plan has cut,
in `roughed`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from wirepath.checking.cut_plane import face_stood_on
from wirepath.checking.finding import EXACT_MM, Finding, found, same
from wirepath.checking.levels import heights_asked
from wirepath.checking.meshes import check_meshes
from wirepath.checking.prisms import Prism, raised_prisms
from wirepath.checking.roughing_proof import check_roughing
from wirepath.checking.sloped import sloped_prisms, widest_gap_mm
from wirepath.checking.views import check_views
from wirepath.errors import Fault
from wirepath.model import Contour, Job, RoughingCut, RoughingPlan, Traced
from wirepath.workshop import Workshop

BOW_TILT_DEG = 75.0
"""Steeper than this nobody holds a bow to marks (common practice, no source)."""


def check_rough_forms(
    job: Job, workshop: Workshop, traced: Traced, roughing: Sequence[RoughingPlan]
) -> tuple[Finding, ...]:
    """Return what was found of forms that are roughed out of blocks of their own.

    The blocks of a form must stand side by side in one box, which holds form and allowance.
    """
    holds = (*check_meshes(job, traced), *check_views(job, traced))
    choices = [raised(job, traced, rough.name) for rough in roughing]
    faults = [
        Fault("there is no such form", f"roughing of {rough.name!r}")
        for rough, own in zip(roughing, choices, strict=True)
        if not own
    ]
    names = {outline.name for outline in traced.outlines}
    if job.form.kind == "full round":
        names = {section.form for section in traced.sections}
    for name in sorted(names - {rough.name for rough in roughing}):
        faults.append(Fault("the form is not roughed", f"form {name!r}"))
    faults += asked_faults(job, workshop, traced, roughing)
    behind = job.form.kind == "full round"
    for rough, own in zip(roughing, choices, strict=True):
        tried = [list(_blocks(rough, prisms, behind=behind)) for prisms in own]
        fewest: list[Fault] = min(tried, key=lambda ones: len(ones), default=[])
        faults += fewest
    agreement = found(
        4,
        "Roughing is that of every form, as the job and the rig ask",
        f"{sum(len(rough.cuts) for rough in roughing)} cuts for {len(roughing)} forms: blocks, "
        "kerf, allowance, the wire's tilt, and ends that go ways of their own",
        faults,
    )
    if faults:
        return (*holds, agreement)
    cuts = [
        finding
        for rough, own in zip(roughing, choices, strict=True)
        for finding in proved(rough, own, workshop)
    ]
    return (*holds, agreement, *cuts)


def _blocks(rough: RoughingPlan, prisms: Sequence[Prism], *, behind: bool) -> Iterator[Fault]:
    """Give blocks that do not hold the form and its allowance; `behind` it too where it has no
    flat back."""
    where = f"roughing of {rough.name!r}"
    corners = np.array([[one.x_mm, one.y_mm, one.from_mm] for one in rough.blanks])
    sizes = np.array([[one.width_mm, one.height_mm, one.thickness_mm] for one in rough.blanks])
    low, high = corners.min(axis=0), (corners + sizes).max(axis=0)
    x0, y0, x1, y1 = shapely.total_bounds([one.region for one in prisms])
    least = np.array([x0, y0, min(one.low_mm for one in prisms)]) - rough.allowance_mm
    most = np.array([x1, y1, max(one.high_mm for one in prisms)]) + rough.allowance_mm
    if not behind:
        least[2] += rough.allowance_mm
    out = float(max((low - least).max(), (most - high).max()))
    if out > EXACT_MM:
        yield Fault(f"form and allowance stand {out:.2f} mm out of the blocks", where)
    if not same(float(sizes.prod(axis=1).sum()), float((high - low).prod())):
        yield Fault("its blocks do not fill one box", where)


def raised(job: Job, traced: Traced, name: str) -> tuple[tuple[Prism, ...], ...]:
    """Return what the form called `name` may fill, of each outline and height that suit."""
    if job.form.kind == "full round":
        own = tuple(
            Prism(low_mm=one.from_mm, high_mm=one.to_mm, region=one.region)
            for one in traced.sections
            if one.form == name
        )
        return (own,) if own else ()
    stand = sloped_prisms if job.roughing.between_contours == "slopes" else raised_prisms
    return tuple(
        stand(
            outline.polygon,
            [one for one in traced.contours if one.region.intersects(outline.polygon)],
            peak_mm=height,
        )
        for outline in traced.outlines
        if outline.name == name
        for height in sorted(heights_asked(job, name))
    )


def proved(
    rough: RoughingPlan, choices: Sequence[Sequence[Prism]], shop: Workshop
) -> tuple[Finding, ...]:
    """Return the proof against the form it fits best, of those that bear its name."""
    wire_mm, between = shop.wire.length_mm, shop.rig.kind != "bow"
    tried = [
        check_roughing(rough, prisms, wire_mm=wire_mm, between_ends=between) for prisms in choices
    ]
    return min(tried, key=lambda findings: sum(len(one.faults) for one in findings))


def asked_faults(
    job: Job, workshop: Workshop, traced: Traced, roughing: Sequence[RoughingPlan]
) -> Iterator[Fault]:
    """Give cuts made with another kerf or allowance than asked, or held as the rig cannot."""
    own = job.roughing.allowance_mm
    allowance = job.form.allowance_mm if own is None else own
    for rough in roughing:
        pairs = (
            ("kerf", rough.kerf_mm, workshop.cutting.kerf_mm),
            ("allowance", rough.allowance_mm, allowance),
        )
        for word, here, there in pairs:
            if not same(here, there):
                what = f"the {word} is {here:g} mm, {there:g} mm are asked"
                yield Fault(what, f"roughing of {rough.name!r}")
        if job.form.kind == "relief" and job.roughing.between_contours == "slopes":
            peaks = sorted(heights_asked(job, rough.name))
            own_lines = _contours_of(traced, rough.name)
            gap = max(widest_gap_mm(own_lines, peak_mm=peak) for peak in peaks)
            if gap > allowance + EXACT_MM:
                what = f"slopes between contours {gap:g} mm apart, under {allowance:g} mm"
                yield Fault(what, f"roughing of {rough.name!r}")
    yield from _unheld(workshop, roughing)


def _contours_of(traced: Traced, name: str) -> list[Contour]:
    own = [outline.polygon for outline in traced.outlines if outline.name == name]
    return [one for one in traced.contours if shapely.intersects(own, one.region).any()]


def _unheld(workshop: Workshop, roughing: Sequence[RoughingPlan]) -> Iterator[Fault]:
    rig = workshop.rig
    most = BOW_TILT_DEG if rig.kind == "bow" else 0.0
    if rig.tilt_deg is not None:
        most = rig.tilt_deg
    for rough in roughing:
        for cut in rough.cuts:
            where = f"roughing of {rough.name!r}, cut {cut.number}"
            tilt = float(np.degrees(np.arcsin(min(1.0, abs(cut.direction.wire[2])))))
            on_edge = rig.kind == "table" and face_stood_on(cut) != ""
            if EXACT_MM < tilt < 90 - EXACT_MM and tilt > most + EXACT_MM and not on_edge:
                what = f"the wire is tilted by {tilt:.1f} degrees, the rig by {most:g} at most"
                yield Fault(what, where)
            if rig.kind == "fence" and not _along_fence(cut):
                yield Fault("is no straight cut along an edge, as a fence allows alone", where)
            if cut.upper_lines and rig.kind == "table" and not rig.two_ended:
                yield Fault("both ends go ways of their own, the table moves them alike", where)


def _along_fence(cut: RoughingCut) -> bool:
    """Return whether a cut is one straight line, its wire along an edge of the block."""
    along = max(map(abs, cut.direction.wire)) > 1 - EXACT_MM**2
    ends = [np.array(line.coords)[[0, -1]] for line in cut.lines]
    chord = sum(float(np.hypot(*(b - a))) for a, b in ends)
    return along and float(shapely.length(cut.lines).sum()) < chord + EXACT_MM
