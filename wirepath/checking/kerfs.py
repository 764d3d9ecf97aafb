"""Whether the kerf a plan is cut with is the one its test cuts give."""

from __future__ import annotations

import numpy as np

from wirepath.checking.finding import EXACT_MM, Finding, found
from wirepath.errors import Fault
from wirepath.model import Plan
from wirepath.workshop import TestCut

AGREE_MM = 0.1
"""A kerf stated beside test cuts may be as far off them as a caliper in foam misreads,
besides the largest miss of the cuts themselves."""

BASE_MM = 1e-4
"""Two fits of the same cuts differ by rounding only."""


def check_kerf(plan: Plan) -> Finding:
    """Return whether kerf and feed go together by the test cuts, fitted a second time."""
    cutting, wire = plan.workshop.cutting, plan.workshop.wire
    faults = []
    if not 0 < cutting.feed_mm_per_s < float("inf") or not 0 < cutting.kerf_mm < float("inf"):
        faults.append(Fault("kerf or feed is not above nought", "cutting"))
    elif cutting.kerf_mm < wire.diameter_mm - EXACT_MM:
        what = f"a kerf of {cutting.kerf_mm:g} mm is narrower than the wire"
        faults.append(Fault(what, "cutting, kerf_mm"))
    if cutting.corner_feed_mm_per_s is not None and (
        cutting.corner_kerf_mm is None or cutting.corner_kerf_mm < cutting.kerf_mm - EXACT_MM
    ):
        faults.append(Fault("slower corners are not wider", "cutting, corner_kerf_mm"))
    cuts = cuts_of(plan)
    told = "an estimate, by no test cut" if cutting.estimate_kerf and not cuts else "as stated"
    if cuts and not faults:
        law = law_of(cuts)
        misses = [abs(_width(law, cut.feed_mm_per_s) - cut.kerf_mm) for cut in cuts]
        right = _width(law, cutting.feed_mm_per_s)
        told = f"{len(cuts)} test cuts give {right:.2f} mm"
        if abs(right - cutting.kerf_mm) > AGREE_MM + max(misses):
            what = f"{cutting.kerf_mm:.3f} mm stated, {right:.3f} mm by the test cuts"
            faults.append(Fault(what, "cutting, kerf_mm"))
        base = min(max(law[1], 0.0), cutting.kerf_mm)
        if abs(base - (cutting.kerf_base_mm or 0.0)) > BASE_MM:
            what = f"{cutting.kerf_base_mm or 0.0:.3f} mm stated, {base:.3f} mm by the test cuts"
            faults.append(Fault(what, "cutting, kerf_base_mm"))
        corner, feed = cutting.corner_kerf_mm, cutting.corner_feed_mm_per_s
        if corner is not None and feed is not None:
            right = _width(law, feed)
            if abs(right - corner) > AGREE_MM + max(misses):
                what = f"{corner:.3f} mm stated, {right:.3f} mm by the test cuts"
                faults.append(Fault(what, "cutting, corner_kerf_mm"))
        wanted = cutting.wanted_kerf_mm
        if wanted is not None and abs(wanted - cutting.kerf_mm) > EXACT_MM:
            what = f"{cutting.kerf_mm:.3f} mm stated, {wanted:.3f} mm wanted"
            faults.append(Fault(what, "cutting, kerf_mm"))
    return found(
        0,
        "Kerf and feed go together",
        f"{cutting.kerf_mm:.2f} mm at {cutting.feed_mm_per_s:.2f} mm/s: {told}",
        faults,
    )


def cuts_of(plan: Plan) -> list[TestCut]:
    """Return the cuts made in the job's foam, or else in none named, with its wire and current."""
    wire, foam = plan.workshop.wire, plan.job.form.foam
    valid = [
        cut
        for cut in plan.workshop.cutting.test_cuts
        if abs((cut.wire_mm or wire.diameter_mm) - wire.diameter_mm) <= 0.005
        and (cut.current_a or wire.current_a) == (wire.current_a or cut.current_a)
    ]
    return [cut for cut in valid if cut.foam == foam] or [c for c in valid if c.foam is None]


def law_of(cuts: list[TestCut]) -> tuple[float, float]:
    """Return (b, a) of the width a + b / feed that misses the cuts least, by numpy."""
    b, a = np.polyfit([1 / cut.feed_mm_per_s for cut in cuts], [cut.kerf_mm for cut in cuts], 1)
    return float(b), float(a)


def _width(law: tuple[float, float], feed_mm_per_s: float) -> float:
    return law[1] + law[0] / feed_mm_per_s
