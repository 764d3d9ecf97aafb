"""How wide the slot gets at a feed: k = a + b / F, from the shop's own test cuts.

At one wire, current and foam the wire gives off a certain heat per length and time.
Per length of cut that is heat / feed, and the foam it melts or collapses is what the
slot is wide: hence b / F, on top of a width `a` near the wire's own diameter that no
speed takes away. No published coefficients could be vouched for, so there are none
here: fit two test cuts or more, or take the estimate for what it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wirepath.errors import Fault, FitError, SettingsError
from wirepath.workshop import TestCut

FOAM_J_PER_KG_K = 1450.0
"""Specific heat of EPS and XPS, design value (EN ISO 10456 from memory; a maker's sheet)."""

COLLAPSE_J_PER_KG = FOAM_J_PER_KG_K * (100 - 20)
"""Heat that takes a kg of foam from 20 C to its glass transition at 100 C: it collapses."""

MELT_J_PER_KG = FOAM_J_PER_KG_K * (160 - 20)
"""To 160 C, where foam was seen to melt (tests on XPS)."""

FLOW_J_PER_KG = FOAM_J_PER_KG_K * (240 - 20)
"""To 240 C, where solid polystyrene is said to melt."""

HEAT_SHARE = 0.7
"""Share of the wire's power that reaches the foam: common practice, no source; 0.5 to 0.9."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KerfLaw:
    """k = a + b / F for one wire, current and foam: `a_mm` in mm, `b_mm2_per_s` in mm2/s."""

    a_mm: float
    b_mm2_per_s: float

    def kerf_mm(self, feed_mm_per_s: float) -> float:
        """Return the width of the slot at a feed."""
        return self.a_mm + self.b_mm2_per_s / feed_mm_per_s

    def feed_mm_per_s(self, kerf_mm: float) -> float:
        """Return the feed for a width. Raises FitError where no feed gives so narrow a slot."""
        if kerf_mm <= self.a_mm:
            raise FitError(
                Fault(
                    f"no feed gives a slot of {kerf_mm:g} mm: this wire melts more than "
                    f"{self.a_mm:.2f} mm however fast it goes",
                    "kerf",
                    "ask for a wider slot, or use a thinner or cooler wire",
                )
            )
        return self.b_mm2_per_s / (kerf_mm - self.a_mm)

    def for_density(self, tested_kg_per_m3: float, wanted_kg_per_m3: float) -> KerfLaw:
        """Return the law for the same bead type at another density: b goes with 1 / density."""
        return KerfLaw(
            a_mm=self.a_mm, b_mm2_per_s=self.b_mm2_per_s * tested_kg_per_m3 / wanted_kg_per_m3
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class KerfFit:
    """A law fitted to test cuts.

    `residuals_mm` are measured less fitted widths, in the order of the cuts; with two
    cuts they are nought and prove nothing. The law holds between `slowest_mm_per_s`
    and `fastest_mm_per_s`.
    """

    law: KerfLaw
    cuts: tuple[TestCut, ...]
    residuals_mm: tuple[float, ...]
    slowest_mm_per_s: float
    fastest_mm_per_s: float
    cautions: tuple[str, ...]

    @property
    def worst_mm(self) -> float:
        """The largest residual, without its sign."""
        return max(abs(residual) for residual in self.residuals_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class KerfEstimate:
    """A kerf from the energy balance: somewhere from `low_mm` to `high_mm`.

    To be replaced by a test cut before anything is cut to size.
    """

    low_mm: float
    likely_mm: float
    high_mm: float


def fit_kerf(cuts: Sequence[TestCut], *, wire_mm: float | None = None) -> KerfFit:
    """Return the law that fits the test cuts best: least squares of widths over 1 / feed.

    Raises SettingsError, all faults at once, for figures of nought or less, and where
    fewer than two different feeds were cut or the slots grow wider with speed, which
    no hot wire does. `wire_mm`, its diameter, lets the fit be judged.
    """
    faults = list(_bad_cuts(cuts))
    if faults:
        raise SettingsError(faults)
    inverse = np.array([1 / cut.feed_mm_per_s for cut in cuts])
    widths = np.array([cut.kerf_mm for cut in cuts])
    lean = inverse - inverse.mean()
    b = float(lean @ (widths - widths.mean()) / (lean @ lean))
    a = float(widths.mean() - b * inverse.mean())
    if b <= 0:
        raise SettingsError(
            Fault(
                "the slots do not get narrower with speed",
                "test cuts",
                "cut again with the same wire, current and foam, and measure in the middle of "
                "the slot",
            )
        )
    feeds = [cut.feed_mm_per_s for cut in cuts]
    law = KerfLaw(a_mm=a, b_mm2_per_s=b)
    return KerfFit(
        law=law,
        cuts=tuple(cuts),
        residuals_mm=tuple(float(r) for r in widths - (a + b * inverse)),
        slowest_mm_per_s=min(feeds),
        fastest_mm_per_s=max(feeds),
        cautions=tuple(_doubts(law, feeds, wire_mm)),
    )


def _bad_cuts(cuts: Sequence[TestCut]) -> list[Fault]:
    faults = [
        Fault(
            f"a slot of {cut.kerf_mm:g} mm at {cut.feed_mm_per_s:g} mm/s cannot be",
            f"test cut {index}",
            "give feed and full slot width, both more than 0",
        )
        for index, cut in enumerate(cuts, 1)
        if not (0 < cut.feed_mm_per_s < math.inf and 0 < cut.kerf_mm < math.inf)
    ]
    if not faults and len({cut.feed_mm_per_s for cut in cuts}) < 2:
        faults.append(
            Fault(
                "two slots at different feeds are needed, four are better",
                "test cuts",
                "cut one slot slowly and one at twice the feed",
            )
        )
    return faults


def _doubts(law: KerfLaw, feeds: Sequence[float], wire_mm: float | None) -> list[str]:
    told = []
    if len(feeds) < 3:
        told.append("Two slots fit any law: cut a third to see how well it holds.")
    if max(feeds) < 1.5 * min(feeds):
        told.append("The feeds lie close together: a slip of 0.1 mm turns the law a lot.")
    if law.a_mm < 0:
        told.append(
            "The fitted slot vanishes at high speed, which no wire does: keep to the feeds tested."
        )
    elif wire_mm is not None and not wire_mm / 3 <= law.a_mm <= 3 * wire_mm:
        told.append(
            f"The part that no speed takes away, {law.a_mm:.2f} mm, should be near the wire's "
            f"{wire_mm:g} mm: measure again."
        )
    return told


# --- Estimate ----------------------------------------------------------------------


def estimate_kerf(
    power_w_per_m: float,
    feed_mm_per_s: float,
    density_kg_per_m3: float,
    *,
    wire_mm: float = 0.0,
    heat_share: float = HEAT_SHARE,
) -> KerfEstimate:
    """Return the kerf by the balance of energy, k = share P' / (F rho h), never under the wire.

    P' is the power per length of wire *in foam*. The range is that of h, the heat a kg
    of foam takes: from collapse to full melt, a factor of 2.75. Not checked against
    published widths: none could be read.
    """
    heat_j_per_m2 = heat_share * power_w_per_m / (feed_mm_per_s / 1000)

    def width_mm(heat_j_per_kg: float) -> float:
        return max(wire_mm, heat_j_per_m2 / (density_kg_per_m3 * heat_j_per_kg) * 1000)

    return KerfEstimate(
        low_mm=width_mm(FLOW_J_PER_KG),
        likely_mm=width_mm(MELT_J_PER_KG),
        high_mm=width_mm(COLLAPSE_J_PER_KG),
    )


def feed_for_estimate_mm_per_s(
    power_w_per_m: float,
    kerf_mm: float,
    density_kg_per_m3: float,
    *,
    heat_j_per_kg: float = MELT_J_PER_KG,
    heat_share: float = HEAT_SHARE,
) -> float:
    """Return the feed at which the balance of energy gives a kerf: a first try for a test cut."""
    return heat_share * power_w_per_m / (density_kg_per_m3 * kerf_mm / 1000 * heat_j_per_kg) * 1000


def dwell_widening_mm(
    seconds: float, density_kg_per_m3: float, conductivity_w_per_m_k: float = 0.0369
) -> float:
    """Return roughly how much wider a slot gets where the wire stands still: sqrt(4 alpha t).

    The depth heat reaches by conduction; alpha = lambda / (rho c). The conductivity is
    that of 20 kg/m3 EPS. A scale, not a measurement: keep the wire moving.
    """
    alpha_m2_per_s = conductivity_w_per_m_k / (density_kg_per_m3 * FOAM_J_PER_KG_K)
    return math.sqrt(4 * alpha_m2_per_s * seconds) * 1000
