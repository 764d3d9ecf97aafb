"""The kerf law: fits to test cuts one can check on paper, and the balance of energy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wirepath.errors import FitError, SettingsError
from wirepath.kerf import (
    KerfLaw,
    dwell_widening_mm,
    estimate_kerf,
    feed_for_estimate_mm_per_s,
    fit_kerf,
)
from wirepath.workshop import TestCut


def cuts(*pairs: tuple[float, float]) -> list[TestCut]:
    return [TestCut(feed_mm_per_s=feed, kerf_mm=kerf) for feed, kerf in pairs]


def test_two_slots_give_the_law_worked_out_by_hand():
    # Synthetic: 1.60 = a + b/4 and 1.00 = a + b/8, so b = 4.80 and a = 0.40.
    fit = fit_kerf(cuts((4, 1.60), (8, 1.00)))
    assert fit.law.a_mm == pytest.approx(0.40)
    assert fit.law.b_mm2_per_s == pytest.approx(4.80)
    assert fit.law.kerf_mm(6) == pytest.approx(1.20)
    assert fit.law.feed_mm_per_s(1.20) == pytest.approx(6)
    assert fit.worst_mm == pytest.approx(0, abs=1e-12)
    assert any("Two slots fit any law" in caution for caution in fit.cautions)


@given(
    a=st.floats(0.2, 1.0),
    b=st.floats(1.0, 20.0),
    feeds=st.lists(st.integers(2, 30), min_size=3, max_size=8, unique=True),
    errors=st.lists(st.floats(-0.1, 0.1), min_size=8, max_size=8),
)
def test_the_fit_is_numpys_least_squares(a, b, feeds, errors):
    widths = [a + b / feed + error for feed, error in zip(feeds, errors, strict=False)]
    slope, offset = np.polyfit([1 / feed for feed in feeds], widths, 1)
    if slope <= 1e-9 or min(widths) <= 0:
        return
    fit = fit_kerf(cuts(*zip(feeds, widths, strict=True)))
    assert fit.law.b_mm2_per_s == pytest.approx(slope, rel=1e-6)
    assert fit.law.a_mm == pytest.approx(offset, rel=1e-6, abs=1e-6)
    assert sum(fit.residuals_mm) == pytest.approx(0, abs=1e-9)


def test_residuals_tell_the_slot_that_was_measured_wrong():
    fit = fit_kerf(cuts((4, 1.60), (6, 1.20), (8, 1.30), (12, 0.80)))
    assert int(np.argmax(np.abs(fit.residuals_mm))) == 2
    assert fit.worst_mm > 0.15


def test_the_law_goes_with_one_over_density():
    # Twice as dense: half of b, the same a.
    denser = KerfLaw(a_mm=0.4, b_mm2_per_s=4.8).for_density(15, 30)
    assert denser == KerfLaw(a_mm=0.4, b_mm2_per_s=2.4)


def test_a_slot_narrower_than_any_feed_gives_is_refused():
    with pytest.raises(FitError, match=r"more than 0\.40 mm however fast"):
        KerfLaw(a_mm=0.4, b_mm2_per_s=4.8).feed_mm_per_s(0.4)


@pytest.mark.parametrize(
    ("slots", "told"),
    [
        ([(4, 1.6)], "two slots at different feeds are needed"),
        ([(4, 1.6), (4, 1.5)], "two slots at different feeds are needed"),
        ([(4, 1.0), (8, 1.6)], "do not get narrower with speed"),
        ([(0, 1.0), (8, -1.6)], "test cut 1"),
    ],
)
def test_test_cuts_that_cannot_be_are_refused(slots, told):
    with pytest.raises(SettingsError, match=told):
        fit_kerf(cuts(*slots))


def test_all_impossible_slots_are_told_at_once():
    with pytest.raises(SettingsError) as caught:
        fit_kerf(cuts((0, 1.0), (8, -1.6), (float("nan"), 1)))
    assert len(caught.value.faults) == 3


def test_a_law_far_from_the_wires_diameter_is_doubted():
    fit = fit_kerf(cuts((4, 4.0), (6, 3.8), (8, 3.7)), wire_mm=0.5)
    assert any("should be near the wire's 0.5 mm" in caution for caution in fit.cautions)


# --- Balance of energy, worked examples --------------------------------------------


def test_34_35_w_per_m_cut_1_mm_wide_through_15_kg_per_m3_at_7_90_mm_per_s():
    assert feed_for_estimate_mm_per_s(34.35, 1.0, 15) == pytest.approx(7.90, abs=0.01)


@pytest.mark.parametrize(("feed", "kerf"), [(5, 1.18), (10, 0.59)])
def test_the_estimated_kerf_halves_when_the_feed_doubles(feed, kerf):
    assert estimate_kerf(34.35, feed, 20).likely_mm == pytest.approx(kerf, abs=0.005)


@pytest.mark.parametrize(
    ("density", "collapse", "melt", "flow"),
    [(15, 13.8, 7.9, 5.0), (20, 10.4, 5.9, 3.8), (30, 6.9, 3.9, 2.5)],
)
def test_the_range_of_the_estimate_is_that_from_collapse_to_full_melt(
    density, collapse, melt, flow
):
    # Feeds for a kerf of 1 mm: at each the three widths in turn are 1 mm.
    assert estimate_kerf(34.35, collapse, density).high_mm == pytest.approx(1.0, rel=0.02)
    assert estimate_kerf(34.35, melt, density).likely_mm == pytest.approx(1.0, rel=0.02)
    assert estimate_kerf(34.35, flow, density).low_mm == pytest.approx(1.0, rel=0.02)


def test_no_estimate_is_narrower_than_the_wire():
    assert estimate_kerf(34.35, 200, 30, wire_mm=0.4).low_mm == 0.4


def test_a_wire_that_stands_widens_the_slot_by_2_3_mm_in_a_second_and_7_in_ten():
    assert dwell_widening_mm(1, 20) == pytest.approx(2.3, abs=0.05)
    assert dwell_widening_mm(10, 20) == pytest.approx(7.1, abs=0.1)
