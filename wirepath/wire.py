"""The hot wire itself: resistance, current, voltage, heat, stretch, sag, and what is safe.

Figures for planning, not for building a supply: resistance holds to 5 %, currents to 3 %
in still air, and a wire buried in foam runs cooler than the same wire in air. Start
from these, then make a test cut. Lengths in mm, temperatures in degrees Celsius.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from wirepath.errors import Fault, FitError, SafetyError
from wirepath.workshop import Wire

Alloy = Literal["NiCr 80/20", "NiCr 60/15", "304 stainless"]
Current = Literal["AC", "DC"]

OHM_CMIL_PER_FT = math.pi / 4 * 0.0254e-3**2 / 0.3048
"""1 ohm circular mil per foot in ohm m: a circular mil is a circle 0.001 inch across."""

RESISTIVITY_OHM_M: Mapping[str, float] = {
    # A wire maker's alloy tables: 650 and 675 ohm circular mil per foot, +/- 5 %.
    "NiCr 80/20": 650 * OHM_CMIL_PER_FT,
    "NiCr 60/15": 675 * OHM_CMIL_PER_FT,
    # A data sheet of 304: 72 microhm cm at 20 C.
    "304 stainless": 0.72e-6,
}

RESISTANCE_TOLERANCE = 0.05
"""Share by which wire as sold may differ (the same maker's least and greatest ohms)."""

HOT_FACTOR: Mapping[str, tuple[tuple[float, float], ...]] = {
    # (C, R / R at 20 C). NiCr: an alloy maker's tables, slowly cooled wire; quickly
    # cooled 80/20 wire lies 3 % higher at 400 C. 304: from its microhm cm.
    "NiCr 80/20": (
        (20, 1.0), (100, 1.006), (200, 1.012), (300, 1.018), (400, 1.025), (500, 1.026),
        (600, 1.018),
    ),
    "NiCr 60/15": (
        (20, 1.0), (100, 1.011), (200, 1.024), (300, 1.038), (400, 1.052), (500, 1.064),
        (600, 1.069),
    ),
    "304 stainless": ((20, 1.0), (100, 1.083), (200, 1.194), (400, 1.389), (600, 1.542)),
}  # fmt: skip

AIR_CURRENT: tuple[tuple[float, float, float], ...] = (
    # (C, A, B) of I = A d^B, I in A, d in mm: fitted to a wire maker's table of straight
    # bare NiCr wire in still air, 20 to 36 AWG; greatest misfit 3.3 %.
    (200, 5.025, 1.262),
    (300, 6.148, 1.231),
    (400, 7.519, 1.231),
    (500, 8.892, 1.235),
    (600, 10.626, 1.252),
)

AIR_CURRENT_MM = (0.127, 0.813)
"""Diameters that the table of currents covers: 36 to 20 AWG."""

EXPANSION_PER_K: Mapping[str, float] = {
    # NiCr to 400-500 C, from memory (13.4e-6 to 100 C is in print); 304: to 315 C, data sheet.
    "NiCr 80/20": 14e-6,
    "NiCr 60/15": 14e-6,
    "304 stainless": 17.8e-6,
}

DENSITY_KG_PER_M3: Mapping[str, float] = {
    "NiCr 80/20": 8410.0,
    "NiCr 60/15": 8250.0,
    "304 stainless": 7950.0,
}

STRENGTH_MPA: Mapping[str, float] = {
    # Annealed, at room temperature. A glowing wire keeps only a small part of it.
    "NiCr 80/20": 689.0,
    "NiCr 60/15": 655.0,
    "304 stainless": 505.0,
}

TENSION_SHARE = 0.25
"""Share of its strength to which a wire may be tensioned: common practice, no source."""

HIGHEST_V: Mapping[Current, float] = {"AC": 50.0, "DC": 120.0}
"""SELV: 50 V AC rms, 120 V ripple-free DC, from no load to full load (IEC 61558-1:2005,
3.7.16, as quoted in the IEC's glossary)."""

TOUCHABLE_V: Mapping[Current, float] = {"AC": 25.0, "DC": 60.0}
"""Bare parts that a dry hand may touch: makers' summaries of the rules for SELV."""

CLASS_2_V, CLASS_2_VA = 30.0, 100.0
"""US Class 2 supplies: at most 30 V and 100 VA (trade press on the NEC's table 11)."""

COOLEST_C, HOTTEST_C = 160.0, 450.0
"""Below, foam does not melt (XPS tests); above, its vapour may light (450-500 C, EPS
makers' association)."""

PLANNED_C = (200.0, 400.0)
"""The range to plan in. Fumes grow with heat: styrene doubles from 300 to 400 C and is five
times as much again at 500 C (DIN 53436 tube tests), so stay as cool as the feed allows."""

BOW_SHARE = 0.01
"""A wire that lags by more than this share of its length is fed too fast (common practice)."""

AIR_C = 20.0

WARM_C = 300.0
"""A wire of unknown heat is taken for this warm: the middle of the range planned in."""

SupplyClass = Literal["touchable dry", "SELV, guard", "refused"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WireCard:
    """What a wire takes at a temperature in still air, and what to keep to."""

    alloy: str
    diameter_mm: float
    length_mm: float
    temperature_c: float
    cold_ohm: float
    hot_ohm: float
    current_a: float
    volts: float
    power_w: float
    power_w_per_m: float
    supply: Current
    supply_class: SupplyClass
    class_2: bool
    """Whether a US Class 2 supply could feed it: 30 V and 100 VA."""
    longest_mm: float
    """The longest wire that the supply in the workshop file can heat so far."""
    touchable_mm: float
    """The longest wire heated so far with a voltage that a dry hand may touch."""
    stretch_mm: float
    """By how much it grows from 20 C: what a spring or weight must take up."""
    fixed_sag_mm: float
    """How far it would hang if its ends were fixed and nothing took up the stretch."""
    tension_n: float
    """The most it should be pulled with."""
    weight_sag_mm: float
    """How far its own weight pulls it down at that tension."""
    bow_load_n_per_m: float
    """The side load that bows it by a hundredth of its length at that tension: too fast a feed."""
    cautions: tuple[str, ...]


def awg_mm(number: float) -> float:
    """Return the diameter of an American wire gauge in mm; 0000 is -3.

    By definition 36 is 0.005 inch and each of 39 steps to 0000 a ratio of
    92^(1/39) (ASTM B258). Steel wire is sold by other gauges: never use it there.
    """
    return float(0.127 * 92 ** ((36 - number) / 39))


def gauge_mm(gauge: str) -> float | None:
    """Return the diameter of a gauge as people write it, "AWG 24" or "AWG 0000"; None if none."""
    found = re.fullmatch(r"AWG\s*(0{1,4}|[1-9]\d?)", gauge.strip(), re.IGNORECASE)
    if not found:
        return None
    number = found[1]
    return awg_mm(int(number) if int(number) else 1 - len(number))


def area_mm2(diameter_mm: float) -> float:
    """Return the cross section of a round wire."""
    return math.pi / 4 * diameter_mm**2


def resistance_ohm(
    alloy: str, diameter_mm: float, length_mm: float, temperature_c: float = AIR_C
) -> float:
    """Return a wire's resistance, to 5 %: R = rho L / A, times its rise with heat."""
    cold = RESISTIVITY_OHM_M[alloy] * (length_mm / 1000) / (area_mm2(diameter_mm) / 1e6)
    return cold * hot_factor(alloy, temperature_c)


def hot_factor(alloy: str, temperature_c: float) -> float:
    """Return R at `temperature_c` / R at 20 C, between table values in a straight line.

    Raises FitError outside 20 to 600 C.
    """
    return _between(HOT_FACTOR[alloy], temperature_c)


def air_current_a(alloy: str, diameter_mm: float, temperature_c: float) -> float:
    """Return the current that heats a straight bare wire in still air to `temperature_c`.

    NiCr: from the table, to 3 % (the maker prints the same amperes for both alloys).
    Stainless, an estimate: the current that gives as much heat per length as NiCr 80/20
    of the same diameter. Raises FitError outside 200 to 600 C or 0.127 to 0.813 mm.
    """
    thinnest, thickest = AIR_CURRENT_MM
    if not thinnest - 1e-3 <= diameter_mm <= thickest + 1e-3:
        raise FitError(
            Fault(
                f"no currents are known for a wire of {diameter_mm:g} mm",
                "wire.diameter_mm",
                f"use a wire of {thinnest:g} to {thickest:g} mm, or find the current by trial",
            )
        )
    nichrome = _between(
        [(c, factor * diameter_mm**power) for c, factor, power in AIR_CURRENT], temperature_c
    )
    if alloy != "304 stainless":
        return nichrome
    size = diameter_mm, 1000.0, temperature_c
    share = resistance_ohm("NiCr 80/20", *size) / resistance_ohm(alloy, *size)
    return nichrome * math.sqrt(share)


def air_power_w_per_m(alloy: str, diameter_mm: float, temperature_c: float) -> float:
    """Return the heat a metre of wire at `temperature_c` gives off in still air: I^2 R'."""
    current = air_current_a(alloy, diameter_mm, temperature_c)
    return current**2 * resistance_ohm(alloy, diameter_mm, 1000.0, temperature_c)


def _between(table: Sequence[tuple[float, float]], at: float) -> float:
    """Return the value of `table` at `at`, in a straight line between its rows."""
    keys = [key for key, _ in table]
    if not keys[0] <= at <= keys[-1]:
        raise FitError(
            Fault(
                f"nothing is known of the wire at {at:g} C",
                "temperature",
                f"plan for {PLANNED_C[0]:g} to {PLANNED_C[1]:g} C",
            )
        )
    index = min(bisect_right(keys, at), len(keys) - 1)
    (low, first), (high, last) = table[index - 1], table[index]
    return first + (last - first) * (at - low) / (high - low)


# --- Supply ------------------------------------------------------------------------


def supply_class(volts: float, supply: Current) -> SupplyClass:
    """Return whether `volts` on a bare wire may be touched, must be guarded, or is refused."""
    if volts > HIGHEST_V[supply]:
        return "refused"
    return "touchable dry" if volts <= TOUCHABLE_V[supply] else "SELV, guard"


def is_class_2(volts: float, power_w: float) -> bool:
    """Return whether a US Class 2 supply could feed it."""
    return volts <= CLASS_2_V and power_w <= CLASS_2_VA


def refuse_high_voltage(volts: float, supply: Current, where: str = "wire") -> None:
    """Raise SafetyError above extra-low voltage."""
    if supply_class(volts, supply) == "refused":
        raise SafetyError(
            Fault(
                f"{volts:.1f} V {supply} on a bare wire can kill: more than the "
                f"{HIGHEST_V[supply]:g} V {supply} of extra-low voltage (SELV, IEC 61558-1)",
                where,
                "use a shorter or a thicker wire, or one of less resistance, and a safety "
                "isolating transformer or SELV supply; never mains, a dimmer or an "
                "autotransformer",
            )
        )


def longest_mm(wire: Wire, temperature_c: float) -> float:
    """Return the longest wire that the workshop's supply heats to `temperature_c` in air.

    By the voltage alone: whether the supply gives the current is printed on its plate.
    """
    per_mm = resistance_ohm(wire.alloy, wire.diameter_mm, 1.0, temperature_c)
    current = air_current_a(wire.alloy, wire.diameter_mm, temperature_c)
    return wire.supply_v / (current * per_mm)


# --- Stretch and sag ---------------------------------------------------------------


def stretch_mm(alloy: str, length_mm: float, temperature_c: float) -> float:
    """Return by how much a wire grows from 20 C: alpha L dT."""
    return EXPANSION_PER_K[alloy] * length_mm * (temperature_c - AIR_C)


def fixed_sag_mm(length_mm: float, stretch: float) -> float:
    """Return how far a wire hangs that has grown by `stretch` between fixed ends.

    A flat parabola of span L and sag f is 8 f^2 / (3 L) longer than its span.
    """
    return math.sqrt(3 * length_mm * stretch / 8)


def bow_mm(load_n_per_m: float, length_mm: float, tension_n: float) -> float:
    """Return how far a wire bows in its middle under an even side load: q L^2 / (8 T)."""
    return load_n_per_m * (length_mm / 1000) ** 2 / (8 * tension_n) * 1000


def load_n_per_m(bow: float, length_mm: float, tension_n: float) -> float:
    """Return the even side load that bows a wire by `bow` mm: the inverse of `bow_mm`."""
    return 8 * tension_n * (bow / 1000) / (length_mm / 1000) ** 2


def weight_n_per_m(alloy: str, diameter_mm: float) -> float:
    """Return the weight of a wire, N/m (g = 9.81 m/s2)."""
    return DENSITY_KG_PER_M3[alloy] * area_mm2(diameter_mm) / 1e6 * 9.81


def safe_tension_n(alloy: str, diameter_mm: float) -> float:
    """Return a quarter of the wire's annealed strength, N. Not for a glowing wire."""
    return TENSION_SHARE * STRENGTH_MPA[alloy] * area_mm2(diameter_mm)


# --- Card --------------------------------------------------------------------------


def wire_card(wire: Wire, temperature_c: float = WARM_C) -> WireCard:
    """Return the card of the workshop's wire at `temperature_c` in still air.

    Raises SafetyError where it would need more than extra-low voltage or would be hot
    enough to light the foam, FitError where a figure lies outside the tables.
    """
    _refuse_temperature(temperature_c)
    size = wire.diameter_mm, wire.length_mm
    cold = resistance_ohm(wire.alloy, *size)
    hot = resistance_ohm(wire.alloy, *size, temperature_c)
    current = air_current_a(wire.alloy, wire.diameter_mm, temperature_c)
    volts, power = current * hot, current**2 * hot
    refuse_high_voltage(volts, wire.supply)
    stretch = stretch_mm(wire.alloy, wire.length_mm, temperature_c)
    tension = safe_tension_n(wire.alloy, wire.diameter_mm)
    weight = weight_n_per_m(wire.alloy, wire.diameter_mm)
    return WireCard(
        alloy=wire.alloy,
        diameter_mm=wire.diameter_mm,
        length_mm=wire.length_mm,
        temperature_c=temperature_c,
        cold_ohm=cold,
        hot_ohm=hot,
        current_a=current,
        volts=volts,
        power_w=power,
        power_w_per_m=power / (wire.length_mm / 1000),
        supply=wire.supply,
        supply_class=supply_class(volts, wire.supply),
        class_2=is_class_2(volts, power),
        longest_mm=longest_mm(wire, temperature_c),
        touchable_mm=wire.length_mm * TOUCHABLE_V[wire.supply] / volts,
        stretch_mm=stretch,
        fixed_sag_mm=fixed_sag_mm(wire.length_mm, stretch),
        tension_n=tension,
        weight_sag_mm=bow_mm(weight, wire.length_mm, tension),
        bow_load_n_per_m=load_n_per_m(BOW_SHARE * wire.length_mm, wire.length_mm, tension),
        cautions=_cautions(wire, temperature_c, volts),
    )


def _refuse_temperature(temperature_c: float) -> None:
    if temperature_c <= COOLEST_C:
        raise FitError(
            Fault(
                f"a wire of {temperature_c:g} C does not melt foam, which takes {COOLEST_C:g} C",
                "temperature",
                f"plan for {PLANNED_C[0]:g} to {PLANNED_C[1]:g} C",
            )
        )
    if temperature_c >= HOTTEST_C:
        raise SafetyError(
            Fault(
                f"a wire of {temperature_c:g} C can light the foam's vapour "
                f"(from {HOTTEST_C:g} C) and gives off far more styrene",
                "temperature",
                f"plan for {PLANNED_C[0]:g} to {PLANNED_C[1]:g} C and a slower feed",
            )
        )


def _cautions(wire: Wire, temperature_c: float, volts: float) -> tuple[str, ...]:
    told = [
        "Isolating transformer or SELV supply, never a dimmer or an autotransformer; fuse the "
        "secondary; emergency stop within reach. Low voltage still gives amperes: a short "
        "circuit starts fires. Local rules and a qualified electrician come first.",
        f"Any touch of a wire at {temperature_c:g} C burns at once.",
        f"Take up {stretch_mm(wire.alloy, wire.length_mm, temperature_c):.1f} mm of stretch with "
        "a spring or a weight.",
    ]
    if supply_class(volts, wire.supply) == "SELV, guard":
        told.append(
            f"More than {TOUCHABLE_V[wire.supply]:g} V {wire.supply} on a bare wire: guard it "
            "against touch."
        )
    if volts > wire.supply_v:
        told.append(
            f"The supply of {wire.supply_v:g} V cannot heat this length so far: use at most "
            f"{longest_mm(wire, temperature_c):.0f} mm of wire."
        )
    if wire.alloy == "304 stainless":
        told.append(
            "Stainless wire gains 39 % of resistance to 400 C: at a constant voltage it cools "
            "as it heats up and is hard to hold steady."
        )
    if not PLANNED_C[0] <= temperature_c <= PLANNED_C[1]:
        told.append(
            f"Outside the usual {PLANNED_C[0]:g} to {PLANNED_C[1]:g} C: fumes grow fast with heat."
        )
    return tuple(told)
