"""Which kerf a job is cut with: stated, from the shop's test cuts, or an estimate.

The workshop file may leave `cutting.kerf_mm` out. Then the test cuts in the job's foam
give it at the feed, or give the feed for a kerf that is wanted. Where there are none, an
estimate by the balance of energy does, if the file allows it, and is called one on
every sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from wirepath.errors import Fault, SettingsError
from wirepath.kerf.law import KerfEstimate, KerfFit, KerfLaw, estimate_kerf, fit_kerf
from wirepath.units import told_apart
from wirepath.wire import BOW_SHARE, WARM_C, air_power_w_per_m, resistance_ohm
from wirepath.workshop import Cutting, TestCut, Wire, Workshop

KerfSource = Literal["stated", "test cuts", "estimate"]

DISAGREE_MM = 0.1
"""A kerf stated beside test cuts may differ by this much from them, besides what they
differ from their own law: the reading of a caliper in foam (common practice, no source)."""

WIDE_DIAMETERS = 4.0
"""A slot wider than this many wires is melted by a wire too slow: strings, glossy walls
(common practice, no source)."""

SAME_WIRE_MM = 0.005
"""Wires are sold by hundredths of a mm."""

AGREE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class KerfBasis:
    """What a kerf rests on. `cutting` is the workshop's, kerf and feed filled in.

    `law` says how the slot widens when the wire goes slower; None where only one kerf
    at one feed is known. `fit` goes with "test cuts", `estimate` with "estimate".
    """

    source: KerfSource
    cutting: Cutting
    law: KerfLaw | None = None
    fit: KerfFit | None = None
    estimate: KerfEstimate | None = None
    cautions: tuple[str, ...] = ()


def settled(workshop: Workshop, foam: str) -> Workshop:
    """Return the workshop with the kerf and the feed that a job in `foam` is cut with.

    A workshop settled before comes back as it is. Raises SettingsError as `kerf_basis`.
    """
    return replace(workshop, cutting=kerf_basis(workshop, foam).cutting)


def kerf_basis(workshop: Workshop, foam: str) -> KerfBasis:
    """Return the kerf for a job in `foam`, and what it rests on.

    Raises SettingsError where nothing gives a kerf, where test cuts make no sense, where
    a kerf stated beside them does not agree with them, and where corners cannot be slowed.
    """
    cutting = workshop.cutting
    cuts = cuts_for(workshop, foam)
    if cuts:
        basis = _fitted(workshop, cuts)
    elif cutting.estimate_kerf:
        basis = _estimated(workshop, foam)
    elif cutting.kerf_mm:
        basis = KerfBasis(source="stated", cutting=cutting)
    else:
        raise SettingsError(_nothing_known(workshop, foam))
    _refuse_slow_slots(basis.cutting)
    return replace(basis, cutting=_with_corners(basis))


def _refuse_slow_slots(cutting: Cutting) -> None:
    """Raise where the wire would go back through slots slower than it cuts, and widen them."""
    back = cutting.slot_feed_mm_per_s
    if back is not None and back < cutting.feed_mm_per_s:
        raise SettingsError(
            Fault(
                f"back through slots at {told_apart(back, cutting.feed_mm_per_s, 2)} mm/s is "
                f"slower than the feed of {cutting.feed_mm_per_s:g} mm/s: it would widen them",
                "cutting.slot_feed_mm_per_s",
                "make it more, or leave it out",
            )
        )


def _with_corners(basis: KerfBasis) -> Cutting:
    """Return the cutting with the kerf at its corner feed, if corners are slowed at all."""
    cutting = basis.cutting
    feed, kerf = cutting.corner_feed_mm_per_s, cutting.corner_kerf_mm
    if feed is None:
        return cutting
    if kerf is None and basis.law is not None:
        kerf = basis.law.kerf_mm(feed)
    faults = list(_corner_faults(cutting, feed, kerf))
    if faults:
        raise SettingsError(faults)
    return replace(cutting, corner_kerf_mm=kerf)


def _corner_faults(cutting: Cutting, feed: float, kerf: float | None) -> Iterator[Fault]:
    if feed >= cutting.feed_mm_per_s:
        yield Fault(
            f"corners at {feed:g} mm/s are not slower than the feed of "
            f"{cutting.feed_mm_per_s:.4g} mm/s",
            "cutting.corner_feed_mm_per_s",
            "make it less, or leave it out",
        )
    elif kerf is None:
        yield Fault(
            f"nobody knows how wide the slot gets at {feed:g} mm/s",
            "cutting.corner_feed_mm_per_s",
            "give [[cutting.test_cuts]], or corner_kerf_mm as measured at that feed",
        )
    elif kerf < cutting.kerf_mm - AGREE:
        yield Fault(
            f"a slot of {kerf:g} mm at the corners is narrower than {cutting.kerf_mm:.4g} mm "
            "elsewhere; a slower wire melts wider",
            "cutting.corner_kerf_mm",
            "measure both slots again",
        )
    elif cutting.web_mm < kerf:
        yield Fault(
            f"corners melt {told_apart(kerf, cutting.web_mm, 2)} mm wide, but only "
            f"{cutting.web_mm:g} mm are left between slots",
            "cutting.web_mm",
            f"leave {math.ceil(kerf * 100) / 100:.2f} mm or more, or do not slow corners",
        )


def cuts_for(workshop: Workshop, foam: str) -> tuple[TestCut, ...]:
    """Return the test cuts that speak for a foam: its own, else those that name none.

    Cuts with another wire, or at another current than the workshop's, say nothing.
    """
    wire = workshop.wire
    ours = [cut for cut in workshop.cutting.test_cuts if _same_wire(cut, wire)]
    own = tuple(cut for cut in ours if cut.foam == foam)
    return own or tuple(cut for cut in ours if cut.foam is None)


def good_feeds(fit: KerfFit, wire: Wire) -> tuple[float, float]:
    """Return the slowest and the fastest feed that the tests show to be good, in mm/s.

    Slower than the first, the slot is wider than `WIDE_DIAMETERS` wires; faster than the
    second nothing was cut, or the wire lagged by more than `BOW_SHARE` of its length.
    The second is below the first where the tests show no good feed at all.
    """
    straight = [
        cut.feed_mm_per_s for cut in fit.cuts if (cut.bow_mm or 0) <= BOW_SHARE * wire.length_mm
    ]
    widest = WIDE_DIAMETERS * wire.diameter_mm
    slowest = fit.slowest_mm_per_s
    if fit.law.kerf_mm(slowest) > widest > fit.law.a_mm:
        slowest = fit.law.feed_mm_per_s(widest)
    return slowest, max(straight, default=0.0)


def _same_wire(cut: TestCut, wire: Wire) -> bool:
    if cut.wire_mm is not None and abs(cut.wire_mm - wire.diameter_mm) > SAME_WIRE_MM:
        return False
    currents = cut.current_a, wire.current_a
    return None in currents or currents[0] == currents[1]


# --- Test cuts ---------------------------------------------------------------------


def _fitted(workshop: Workshop, cuts: tuple[TestCut, ...]) -> KerfBasis:
    cutting = workshop.cutting
    try:
        fit = fit_kerf(cuts, wire_mm=workshop.wire.diameter_mm)
    except SettingsError as error:
        raise SettingsError([fault.inside("cutting.test_cuts") for fault in error.faults]) from None
    feed = cutting.feed_mm_per_s
    if cutting.wanted_kerf_mm is not None:
        feed = fit.law.feed_mm_per_s(cutting.wanted_kerf_mm)
    kerf = fit.law.kerf_mm(feed)
    if cutting.kerf_mm:
        if abs(cutting.kerf_mm - kerf) > DISAGREE_MM + fit.worst_mm:
            raise SettingsError(
                Fault(
                    f"a kerf of {cutting.kerf_mm:g} mm is stated, but the test cuts say "
                    f"{kerf:.2f} mm at {feed:g} mm/s",
                    "cutting.kerf_mm",
                    "leave kerf_mm out, so that the test cuts give it, or cut the slots again",
                )
            )
        kerf = cutting.kerf_mm
    if kerf < workshop.wire.diameter_mm:
        raise SettingsError(
            Fault(
                f"by the test cuts the slot at {feed:.2f} mm/s would be "
                f"{told_apart(kerf, workshop.wire.diameter_mm, 2)} mm wide, narrower than the "
                f"wire of {workshop.wire.diameter_mm:g} mm",
                "cutting",
                "take a slower feed, within those you tested",
            )
        )
    return KerfBasis(
        source="test cuts",
        cutting=replace(
            cutting,
            kerf_mm=kerf,
            feed_mm_per_s=feed,
            kerf_base_mm=min(max(fit.law.a_mm, 0.0), kerf),
        ),
        law=fit.law,
        fit=fit,
        cautions=(*fit.cautions, *_regime(fit, feed, kerf, workshop.wire)),
    )


def _regime(fit: KerfFit, feed: float, kerf: float, wire: Wire) -> Iterator[str]:
    slowest, fastest = good_feeds(fit, wire)
    if slowest > fastest:
        yield "No feed you tested was good: at each the wire lagged or melted too wide a slot."
    elif kerf > WIDE_DIAMETERS * wire.diameter_mm:
        yield (
            f"{feed:.2f} mm/s is too slow: a slot of {kerf:.2f} mm is wider than "
            f"{WIDE_DIAMETERS:g} wires. Feed at {slowest:.2f} to {fastest:.2f} mm/s, or use "
            "less current."
        )
    elif feed > fastest * (1 + AGREE):
        tested = feed <= fit.fastest_mm_per_s * (1 + AGREE)
        why = "the wire lagged" if tested else "you tested nothing so fast, the wire may bend"
        yield f"{feed:.2f} mm/s is too fast: {why}. Feed at {slowest:.2f} to {fastest:.2f} mm/s."
    elif feed < fit.slowest_mm_per_s * (1 - AGREE):
        yield (
            f"{feed:.2f} mm/s is slower than you tested: cut a slot at it before you trust "
            f"its kerf of {kerf:.2f} mm."
        )


# --- Estimate ----------------------------------------------------------------------


def estimated(workshop: Workshop, foam: str) -> KerfEstimate:
    """Return the kerf at the workshop's feed by the balance of energy, for `foam`.

    The wire's power is that of its current, or of a wire at `WARM_C` in still air.
    """
    wire = workshop.wire
    return estimate_kerf(
        _power_w_per_m(wire),
        workshop.cutting.feed_mm_per_s,
        workshop.foam(foam).density_kg_per_m3,
        wire_mm=wire.diameter_mm,
    )


def _power_w_per_m(wire: Wire) -> float:
    if wire.current_a is None:
        return air_power_w_per_m(wire.alloy, wire.diameter_mm, WARM_C)
    return wire.current_a**2 * resistance_ohm(wire.alloy, wire.diameter_mm, 1000.0, WARM_C)


def _estimated(workshop: Workshop, foam: str) -> KerfBasis:
    cutting, found = workshop.cutting, estimated(workshop, foam)
    law = KerfLaw(a_mm=0.0, b_mm2_per_s=found.likely_mm * cutting.feed_mm_per_s)
    return KerfBasis(
        source="estimate",
        cutting=replace(cutting, kerf_mm=found.likely_mm),
        law=law,
        estimate=found,
        cautions=(
            f"The kerf of {found.likely_mm:.2f} mm is an ESTIMATE: it may be anything from "
            f"{found.low_mm:.2f} to {found.high_mm:.2f} mm. Make the test cut before you cut to "
            "size.",
        ),
    )


def _nothing_known(workshop: Workshop, foam: str) -> Fault:
    found = estimated(workshop, foam)
    others = sorted({cut.foam for cut in workshop.cutting.test_cuts if cut.foam})
    told = f"; there are test cuts in {', '.join(others)} only" if others else ""
    return Fault(
        f"no kerf is known in foam {foam!r}{told}",
        "cutting",
        "cut the slots that 'wirepath kerf' tells of and write them as [[cutting.test_cuts]], or "
        "give kerf_mm as measured; to plan before that, estimate_kerf = true takes an estimate "
        f"of {found.likely_mm:.1f} mm, which may be anything from {found.low_mm:.1f} to "
        f"{found.high_mm:.1f} mm",
    )
