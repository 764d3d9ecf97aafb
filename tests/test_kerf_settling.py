"""Which kerf a job is cut with: from test cuts, stated, or an estimate that says so."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pypdf import PdfReader
from small_plan import BRACKET, one_piece, workshop

from wirepath.checking.kerfs import check_kerf
from wirepath.coordinates.heading import heading
from wirepath.errors import SettingsError
from wirepath.kerf import good_feeds, kerf_basis, settled
from wirepath.model import Plan
from wirepath.report import plan_lines
from wirepath.sheets import write_sheets
from wirepath.sheets.test_cut_sheet import comb_feeds, comb_page, write_test_cut
from wirepath.workshop import Cutting, Foam, Paper, TestCut, Workshop
from wirepath.workshop_file import read_workshop


def cut(feed: float, kerf: float, **more: object) -> TestCut:
    return TestCut(feed_mm_per_s=feed, kerf_mm=kerf, **more)


def shop(*cuts: TestCut, **keys: object) -> Workshop:
    """Return the small workshop with no kerf stated, its wire 1200 mm long and 0.5 mm thick."""
    foams = tuple(
        Foam(name=f"EPS {density}", kind="EPS", density_kg_per_m3=density) for density in (15, 30)
    )
    return replace(workshop(), cutting=Cutting(test_cuts=cuts, **keys), foams=foams)


# Synthetic, worked out on paper: a = 0.40 mm, b = 4.80 mm2/s, k(6) = 1.20 mm.
SLOTS = cut(4, 1.60), cut(8, 1.00)


def test_test_cuts_give_the_kerf_at_the_feed():
    cutting = settled(shop(*SLOTS, feed_mm_per_s=6), "EPS 15").cutting
    assert cutting.kerf_mm == pytest.approx(1.20)


def test_a_wanted_kerf_gives_the_feed():
    cutting = settled(shop(*SLOTS, wanted_kerf_mm=1.2), "EPS 15").cutting
    assert cutting.feed_mm_per_s == pytest.approx(6)


def test_what_is_settled_stays_as_it_is():
    once = settled(shop(*SLOTS, wanted_kerf_mm=1.2), "EPS 15")
    assert settled(once, "EPS 15") == once


def test_cuts_of_the_jobs_own_foam_come_before_those_that_name_none():
    cuts = (*SLOTS, cut(4, 2.0, foam="EPS 30"), cut(8, 1.2, foam="EPS 30"))
    assert settled(shop(*cuts, feed_mm_per_s=8), "EPS 30").cutting.kerf_mm == pytest.approx(1.2)
    assert settled(shop(*cuts, feed_mm_per_s=8), "EPS 15").cutting.kerf_mm == pytest.approx(1.0)


def test_cuts_with_another_wire_or_current_say_nothing():
    cuts = (*SLOTS, cut(4, 9.0, wire_mm=0.8), cut(5, 9.0, current_a=4.0))
    made = shop(*cuts, feed_mm_per_s=6)
    made = replace(made, wire=replace(made.wire, current_a=2.5))
    assert settled(made, "EPS 15").cutting.kerf_mm == pytest.approx(1.20)


def test_a_kerf_that_does_not_agree_with_the_test_cuts_is_refused():
    assert kerf_basis(shop(*SLOTS, kerf_mm=1.25, feed_mm_per_s=6), "EPS 15").source == "test cuts"
    with pytest.raises(SettingsError, match=r"1\.4 mm is stated, but the test cuts say 1\.20 mm"):
        kerf_basis(shop(*SLOTS, kerf_mm=1.4, feed_mm_per_s=6), "EPS 15")


def test_with_nothing_known_an_estimate_is_offered_with_its_range():
    with pytest.raises(SettingsError, match="no kerf is known in foam 'EPS 15'") as caught:
        kerf_basis(shop(), "EPS 15")
    assert "estimate_kerf = true takes an estimate" in caught.value.faults[0].mend


def test_the_estimate_is_the_balance_of_energy_of_the_wire_at_300_c():
    # 0.7 x P' / (F rho h), h = 203 kJ/kg; P' of 0.5 mm NiCr 80/20 at 300 C: 2.62 A, 5.60 ohm/m.
    found = kerf_basis(shop(estimate_kerf=True, feed_mm_per_s=5), "EPS 15").estimate
    by_hand = 0.7 * 2.62**2 * 5.60 / (0.005 * 15 * 203_000) * 1000
    assert found.likely_mm == pytest.approx(by_hand, rel=0.01)
    assert found.high_mm / found.low_mm == pytest.approx(319 / 116, rel=0.01)


@pytest.mark.parametrize(
    ("feed", "told"),
    [(3.9, "slower than you tested"), (6, None), (7, "lagged"), (9, "nothing so fast")],
)
def test_a_feed_outside_the_wires_good_range_is_told(feed, told):
    cuts = cut(4, 1.60), cut(6, 1.20), cut(8, 1.00, bow_mm=13.0)
    basis = kerf_basis(shop(*cuts, feed_mm_per_s=feed), "EPS 15")
    assert good_feeds(basis.fit, workshop().wire) == pytest.approx((4, 6))
    assert (told is None and not basis.cautions) or any(told in text for text in basis.cautions)


def test_a_feed_that_melts_more_than_four_wires_wide_is_too_slow():
    cuts = cut(2, 2.8), cut(4, 1.60), cut(8, 1.00)
    basis = kerf_basis(shop(*cuts, feed_mm_per_s=2), "EPS 15")
    # 4 x 0.5 mm = 0.40 + 4.80 / 3
    assert any("Feed at 3.00 to 8.00 mm/s" in text for text in basis.cautions)


def plan_with(cutting: Cutting) -> Plan:
    plan = one_piece(BRACKET)
    made = replace(plan.workshop, cutting=cutting)
    return replace(plan, workshop=settled(made, "EPS 15"))


def test_the_check_fits_the_cuts_again_and_finds_a_kerf_that_is_not_theirs():
    plan = plan_with(Cutting(test_cuts=SLOTS, feed_mm_per_s=6))
    assert check_kerf(plan).passed
    wrong = replace(plan.workshop.cutting, kerf_mm=1.4)
    found = check_kerf(replace(plan, workshop=replace(plan.workshop, cutting=wrong)))
    assert [fault.what for fault in found.faults] == ["1.400 mm stated, 1.200 mm by the test cuts"]


def test_an_estimate_is_told_on_sheets_screen_and_coordinate_files(tmp_path):
    plan = plan_with(Cutting(estimate_kerf=True))
    write_sheets(plan, tmp_path / "sheets.pdf")
    pages = [page.extract_text() for page in PdfReader(tmp_path / "sheets.pdf").pages]
    assert "THE KERF IS AN ESTIMATE" in pages[0]
    assert any("make the test cut first" in page.replace("\n", " ") for page in pages[1:])
    assert "What to write down" in pages[-1]
    assert any("ESTIMATE" in line for line in plan_lines(plan))
    assert any("ESTIMATE" in line for line in heading(plan, plan.layouts[0]))


def test_the_sheet_of_the_test_cut_fits_one_page_in_every_language():
    for language in ("en", "de", "nl"):
        page = comb_page(
            paper=Paper(language=language), feed_mm_per_s=5, wire_mm=0.5, foam="EPS 15"
        )
        assert min(text.box.y0 for text in page.texts) >= 7.0
        assert max(text.box.x1 for text in page.texts) <= page.width_mm - 6.5


def test_the_feeds_to_try_span_more_than_twice_the_slowest():
    feeds = comb_feeds(5)
    assert feeds == (3.0, 4.0, 5.0, 6.5, 8.5)
    assert len(set(comb_feeds(1.0))) == 5


def test_the_same_test_cut_sheet_has_the_same_bytes(tmp_path):
    for name in ("a.pdf", "b.pdf"):
        write_test_cut(tmp_path / name, paper=Paper(), feed_mm_per_s=5)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_contradictory_keys_are_told_all_at_once(tmp_path):
    path = tmp_path / "workshop.toml"
    path.write_text(
        """name = "Shop"
[wire]
length_mm = 1200
[cutting]
kerf_mm = 1.2
wanted_kerf_mm = 1.2
estimate_kerf = true
[[cutting.test_cuts]]
feed_mm_per_s = 4
kerf_mm = 1.6
foam = "EPS 99"
[[foams]]
name = "EPS 15"
kind = "EPS"
density_kg_per_m3 = 15
[[stock]]
name = "block"
foam = "EPS 15"
length_mm = 1000
width_mm = 500
thickness_mm = 200
price = 1
""",
        encoding="utf-8",
    )
    with pytest.raises(SettingsError) as caught:
        read_workshop(path)
    assert [fault.where.split(", ")[1] for fault in caught.value.faults] == [
        "cutting.test_cuts[0].foam",
        "cutting.wanted_kerf_mm",
        "cutting.estimate_kerf",
    ]
