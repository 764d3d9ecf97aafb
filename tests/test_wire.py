"""The wire against published tables, standards and the physics of a cylinder in still air."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from wirepath.errors import FitError, SafetyError
from wirepath.wire import (
    HOT_FACTOR,
    air_current_a,
    area_mm2,
    awg_mm,
    bow_mm,
    fixed_sag_mm,
    gauge_mm,
    hot_factor,
    is_class_2,
    load_n_per_m,
    longest_mm,
    refuse_high_voltage,
    resistance_ohm,
    safe_tension_n,
    stretch_mm,
    supply_class,
    weight_n_per_m,
    wire_card,
)
from wirepath.workshop import Wire

FT_MM = 304.8
INCH_MM = 25.4

WIRE = Wire(alloy="NiCr 80/20", diameter_mm=awg_mm(24), length_mm=1200.0, supply_v=24.0)


# --- Gauge: ASTM B258 --------------------------------------------------------------


@pytest.mark.parametrize(
    ("number", "mm"), [(24, 0.5106), (26, 0.4049), (36, 0.1270), (16, 1.2908), (-3, 11.684)]
)
def test_american_gauges_have_the_diameters_of_astm_b258(number, mm):
    assert awg_mm(number) == pytest.approx(mm, abs=5e-5 if number > 0 else 5e-4)


def test_six_gauges_halve_the_diameter_as_the_standard_says():
    assert awg_mm(10) / awg_mm(16) == pytest.approx(92 ** (6 / 39))
    assert awg_mm(10) / awg_mm(16) == pytest.approx(2.0050, abs=1e-4)


# --- Resistance --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("inch", "ohm_80", "ohm_60"),
    [
        (0.1285, 0.0394, 0.0409),
        (0.1144, 0.0497, 0.0516),
        (0.1019, 0.0626, 0.0650),
        (0.0907, 0.0790, 0.0821),
        (0.0808, 0.0996, 0.1034),
        (0.0720, 0.1254, 0.1302),
    ],
)
def test_ohms_per_foot_are_those_of_a_wire_makers_table(inch, ohm_80, ohm_60):
    # Nominal ohm/ft of two alloys, pelicanwire.com alloy 650 and 675.
    diameter = inch * INCH_MM
    assert resistance_ohm("NiCr 80/20", diameter, FT_MM) == pytest.approx(ohm_80, rel=0.002)
    assert resistance_ohm("NiCr 60/15", diameter, FT_MM) == pytest.approx(ohm_60, rel=0.002)


@pytest.mark.parametrize(
    ("mm", "ohm_per_m"),
    [
        (1.626, 0.520), (0.914, 1.65), (0.711, 2.72), (0.559, 4.40), (0.457, 6.60),
        (0.376, 9.7), (0.315, 13.9), (0.274, 18.3), (0.193, 37.0),
    ],
)  # fmt: skip
def test_ohms_per_metre_are_those_of_a_second_handbook(mm, ohm_per_m):
    # engineeringtoolbox.com/electric-resistance-wires-d_1890.html, nickel-chromium.
    assert resistance_ohm("NiCr 80/20", mm, 1000) == pytest.approx(ohm_per_m, rel=0.006)


def test_a_hot_wires_resistance_is_the_makers_factor_times_its_cold_one():
    # hltegang.com (Cr20Ni80) and valleydesign.com (304); straight lines in between.
    assert hot_factor("NiCr 80/20", 20) == 1.0
    assert hot_factor("NiCr 80/20", 300) == pytest.approx(1.018)
    assert hot_factor("NiCr 80/20", 350) == pytest.approx(1.0215)
    assert hot_factor("NiCr 60/15", 300) == pytest.approx(1.038)
    assert hot_factor("304 stainless", 400) == pytest.approx(1.389)
    assert hot_factor("NiCr 80/20", 600) == pytest.approx(1.018)


def test_at_constant_voltage_stainless_loses_28_percent_of_its_power_and_nichrome_2_4():
    lost = {alloy: 1 - 1 / hot_factor(alloy, 400) for alloy in HOT_FACTOR}
    assert lost["304 stainless"] == pytest.approx(0.28, abs=0.001)
    assert lost["NiCr 80/20"] == pytest.approx(0.024, abs=0.001)


def test_beyond_the_tables_nothing_is_made_up():
    with pytest.raises(FitError, match="nothing is known of the wire at 700 C"):
        hot_factor("NiCr 80/20", 700)
    with pytest.raises(FitError, match="no currents are known for a wire of 1 mm"):
        air_current_a("NiCr 80/20", 1.0, 300)


# --- Current -----------------------------------------------------------------------

MAKERS_AMPERES = {
    # pelicanwire.com, alloy 650, "Amperage vs. Temperature": 200 to 600 C, by AWG.
    20: (3.85, 4.70, 5.80, 6.90, 8.20),
    22: (2.85, 3.55, 4.25, 5.10, 6.00),
    24: (2.16, 2.75, 3.40, 3.90, 4.60),
    26: (1.61, 2.00, 2.48, 2.90, 3.40),
    28: (1.21, 1.53, 1.84, 2.18, 2.60),
    30: (0.90, 1.15, 1.40, 1.67, 1.97),
    32: (0.66, 0.86, 1.05, 1.22, 1.42),
    34: (0.50, 0.63, 0.79, 0.92, 1.06),
    36: (0.37, 0.49, 0.59, 0.70, 0.80),
}


@pytest.mark.parametrize("number", MAKERS_AMPERES)
def test_currents_are_within_3_5_percent_of_the_makers_table(number):
    for temperature, amperes in zip(range(200, 601, 100), MAKERS_AMPERES[number], strict=True):
        ours = air_current_a("NiCr 80/20", awg_mm(number), temperature)
        assert ours == pytest.approx(amperes, rel=0.035)


def test_a_wire_of_0_404_mm_takes_2_02_amperes_for_300_c():
    assert air_current_a("NiCr 80/20", 0.404, 300) == pytest.approx(2.02, abs=0.01)


def heat_of_a_cylinder_w_per_m(diameter_m: float, wire_c: float) -> float:
    """Heat lost by a horizontal cylinder in still air at 20 C.

    Churchill and Chu 1975 for natural convection and radiation at an emissivity of 0.8;
    air by Sutherland's law: all from memory of the textbook.
    """
    hot, cold = wire_c + 273.15, 293.15
    film = (hot + cold) / 2
    viscosity = 1.716e-5 * (film / 273.15) ** 1.5 * (273.15 + 110.4) / (film + 110.4)
    density = 101_325 / (287.05 * film)
    conductivity = 0.0241 * (film / 273.15) ** 0.81
    prandtl = 0.70
    nu = viscosity / density
    rayleigh = 9.81 / film * (hot - cold) * diameter_m**3 / nu**2 * prandtl
    nusselt = (
        0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    ) ** 2
    convection = math.pi * conductivity * nusselt * (hot - cold)
    radiation = 0.8 * 5.670e-8 * math.pi * diameter_m * (hot**4 - cold**4)
    return convection + radiation


@pytest.mark.parametrize("number", [22, 24, 26, 28])
@pytest.mark.parametrize("temperature", [300, 400, 500])
def test_currents_lie_up_to_12_percent_over_the_physics_of_a_cylinder(number, temperature):
    diameter = awg_mm(number)
    per_m = resistance_ohm("NiCr 80/20", diameter, 1000, temperature)
    physics = math.sqrt(heat_of_a_cylinder_w_per_m(diameter / 1000, temperature) / per_m)
    ratio = physics / air_current_a("NiCr 80/20", diameter, temperature)
    assert 0.88 < ratio < 1.03


def test_two_amperes_through_26_gauge_at_300_c_give_34_35_w_per_m():
    per_m = resistance_ohm("NiCr 80/20", 0.0159 * INCH_MM, 1000, 300)
    assert 2.00**2 * per_m == pytest.approx(34.35, abs=0.02)


def test_stainless_of_the_same_size_is_heated_by_the_same_watts():
    diameter = awg_mm(24)
    watts = [
        air_current_a(alloy, diameter, 300) ** 2 * resistance_ohm(alloy, diameter, 1000, 300)
        for alloy in ("NiCr 80/20", "304 stainless")
    ]
    assert watts[0] == pytest.approx(watts[1])


# --- Volts and classes -------------------------------------------------------------


@pytest.mark.parametrize(
    ("inch", "length_m", "amperes", "temperature", "ohm", "volts", "watts"),
    [
        (0.0201, 1.2, 2.75, 300, 6.448, 17.7, 48.8),
        (0.0320, 2.0, 5.80, 400, 4.269, 24.8, 143.6),
        (0.0100, 3.0, 1.15, 300, 65.1, 74.9, 86.1),
    ],
)
def test_worked_examples_of_volts_and_watts(
    inch, length_m, amperes, temperature, ohm, volts, watts
):
    # 24, 20 and 30 AWG with the diameters as the maker's table of amperes rounds them.
    hot = resistance_ohm("NiCr 80/20", inch * INCH_MM, length_m * 1000, temperature)
    assert hot == pytest.approx(ohm, rel=0.002)
    assert amperes * hot == pytest.approx(volts, rel=0.003)
    assert amperes**2 * hot == pytest.approx(watts, rel=0.003)


@pytest.mark.parametrize(
    ("volts", "supply", "named"),
    [
        (24.0, "AC", "touchable dry"),
        (25.0, "AC", "touchable dry"),
        (30.0, "AC", "SELV, guard"),
        (50.0, "AC", "SELV, guard"),
        (50.1, "AC", "refused"),
        (60.0, "DC", "touchable dry"),
        (120.0, "DC", "SELV, guard"),
        (121.0, "DC", "refused"),
    ],
)
def test_voltages_are_classed_by_the_limits_of_iec_61558_1(volts, supply, named):
    assert supply_class(volts, supply) == named
    if named == "refused":
        with pytest.raises(SafetyError, match="can kill"):
            refuse_high_voltage(volts, supply)
    else:
        refuse_high_voltage(volts, supply)


def test_class_2_holds_to_30_volts_and_100_va():
    assert is_class_2(30, 100)
    assert not is_class_2(30, 101)
    assert not is_class_2(30.1, 50)
    assert not is_class_2(24.8, 143.6)


# --- Stretch, sag, tension ---------------------------------------------------------


def test_a_wire_of_1_2_m_grows_6_4_mm_to_400_c_and_would_hang_54_mm():
    stretch = stretch_mm("NiCr 80/20", 1200, 400)
    assert stretch == pytest.approx(6.4, abs=0.05)
    assert fixed_sag_mm(1200, stretch) == pytest.approx(54, abs=0.5)


def test_the_sag_of_a_stretched_wire_is_that_of_a_measured_parabola():
    # Length of y = 4 f x (L - x) / L^2 summed over 20 000 straight steps.
    span, sag, steps = 1200.0, 54.0, 20_000
    xs = [span * i / steps for i in range(steps + 1)]
    ys = [4 * sag * x * (span - x) / span**2 for x in xs]
    arc = sum(math.hypot(span / steps, ys[i + 1] - ys[i]) for i in range(steps))
    assert fixed_sag_mm(span, arc - span) == pytest.approx(sag, rel=0.005)


def test_side_load_and_weight_bow_a_tensioned_wire_as_statics_says():
    # q L^2 / 8 T: 3 N/m, 1.2 m, 30 N gives 18 mm; its own weight 0.10 mm.
    assert bow_mm(3.0, 1200, 30) == pytest.approx(18.0)
    assert load_n_per_m(18.0, 1200, 30) == pytest.approx(3.0)
    assert weight_n_per_m("NiCr 80/20", 0.5) == pytest.approx(0.0162, abs=5e-5)
    assert bow_mm(weight_n_per_m("NiCr 80/20", 0.5), 1200, 30) == pytest.approx(0.10, abs=0.005)


def test_half_a_millimetre_of_nichrome_may_be_pulled_with_34_newton():
    assert area_mm2(0.5) == pytest.approx(0.196, abs=5e-4)
    assert safe_tension_n("NiCr 80/20", 0.5) == pytest.approx(34, abs=0.3)


# --- Card --------------------------------------------------------------------------


def test_the_card_of_a_24_gauge_wire_of_1_2_m():
    card = wire_card(WIRE, 300)
    assert card.hot_ohm == pytest.approx(6.448, rel=0.002)
    assert card.volts == pytest.approx(card.current_a * card.hot_ohm)
    assert card.power_w == pytest.approx(card.power_w_per_m * 1.2)
    assert card.supply_class == "touchable dry"
    assert card.class_2
    assert any("burns at once" in caution for caution in card.cautions)


def test_the_longest_wire_takes_just_the_supplys_volts():
    longest = longest_mm(WIRE, 300)
    assert longest > 1200
    card = wire_card(replace(WIRE, length_mm=longest), 300)
    assert card.volts == pytest.approx(24.0)


def test_a_wire_too_long_for_its_supply_is_told():
    card = wire_card(replace(WIRE, length_mm=2000.0), 300)
    assert card.volts > 24
    assert any("cannot heat this length" in caution for caution in card.cautions)


def test_a_thin_long_wire_that_needs_75_volts_is_refused():
    wire = Wire(diameter_mm=awg_mm(30), length_mm=3000.0, supply_v=48.0)
    with pytest.raises(SafetyError, match=r"7[456]\.\d V AC"):
        wire_card(wire, 300)


def test_a_wire_hot_enough_to_light_the_vapour_is_refused_and_a_cold_one_told():
    # Melting 160 < flammable vapour 230 < ignition 450 C.
    with pytest.raises(SafetyError, match="light the foam's vapour"):
        wire_card(WIRE, 450)
    with pytest.raises(FitError, match="does not melt foam"):
        wire_card(WIRE, 160)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("AWG 24", 0.5106), ("awg 36", 0.1270), ("AWG 0000", 11.684), ("SWG 24", None), ("24", None)],
)
def test_gauges_are_read_as_people_write_them(text, mm):
    # ASTM B258: 24, 36 and 4/0.
    assert gauge_mm(text) == (None if mm is None else pytest.approx(mm, abs=5e-4))


def test_the_card_tells_the_longest_touchable_wire_and_the_load_that_bows_it_too_far():
    card = wire_card(WIRE, 300.0)
    assert card.touchable_mm == pytest.approx(1200 * 25 / card.volts)
    # q = 8 T f / L^2 with f = L / 100: 0.08 T / L.
    assert card.bow_load_n_per_m == pytest.approx(0.08 * card.tension_n / 1.2)
    assert bow_mm(card.bow_load_n_per_m, 1200.0, card.tension_n) == pytest.approx(12)
