"""Workshop file (TOML) -> `Workshop`, checked as a whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from wirepath.errors import Fault, SafetyError, SettingsError, WirepathError
from wirepath.plain_data import from_plain, read_toml
from wirepath.rack_file import rack_faults, read_rack, shape_faults
from wirepath.wire import gauge_mm
from wirepath.workshop import Wire, Workshop

ALLOWED_FOAMS = ("EPS", "XPS")

# Why a foam is refused: facts from Becker et al. 2023 (Anal. Methods, D3AY00173C) and
# McKenna & Hull 2016 (Fire Sci. Reviews 5:3) for polyurethanes; Energy & Fuels 17(4)
# 896-900 (2003) for PVC; phenolic from memory.
REFUSED_FOAMS = {
    "PUR": "polyurethane gives off isocyanates, carbon monoxide and hydrogen cyanide",
    "PU": "polyurethane gives off isocyanates, carbon monoxide and hydrogen cyanide",
    "PIR": "polyisocyanurate gives off isocyanates, carbon monoxide and hydrogen cyanide",
    "PVC": "PVC gives off hydrogen chloride from 150 C",
    "PHENOLIC": "phenolic foam chars and gives off phenol and formaldehyde",
}

# Extra-low voltage (SELV): at most 50 V AC rms or 120 V ripple-free DC, from no load to
# full load (IEC 61558-1:2005, 3.7.16).
HIGHEST_V = {"AC": 50.0, "DC": 120.0}


def read_workshop(path: Path) -> Workshop:
    """Return the workshop that the file at `path` describes.

    Raises FileError where it cannot be read, SettingsError with every fault found,
    SafetyError where it asks for what is plainly dangerous.
    """
    workshop, faults = from_plain(read_toml(path), Workshop)
    if workshop is None:
        raise SettingsError([fault.inside(path) for fault in faults])
    workshop = replace(workshop, wire=_gauged(workshop.wire))
    dangers = list(_dangers(workshop))
    found = [fault.inside(path) for fault in (*dangers, *rack_faults(workshop.rack))]
    if workshop.rack_file is not None:
        try:
            stored = read_rack(path.parent / workshop.rack_file)
        except WirepathError as error:
            found += error.faults
        else:
            workshop = replace(workshop, rack=(*workshop.rack, *stored))
    found += [fault.inside(path) for fault in _contradictions(workshop)]
    if found:
        raise (SafetyError if dangers else SettingsError)(found)
    return workshop


def _gauged(wire: Wire) -> Wire:
    """Return the wire with the diameter of its gauge, where it has one that is known."""
    diameter = gauge_mm(wire.gauge) if wire.gauge else None
    return wire if diameter is None else replace(wire, diameter_mm=round(diameter, 4))


def _gauge_faults(wire: Wire) -> Iterator[Fault]:
    if wire.gauge is None:
        return
    if gauge_mm(wire.gauge) is None:
        yield Fault(
            f"{wire.gauge!r} is no American wire gauge",
            "wire.gauge",
            'write it as "AWG 24", or give diameter_mm',
        )
    elif wire.alloy == "304 stainless":
        yield Fault(
            "steel wire is sold by other gauges than AWG",
            "wire.gauge",
            "measure the wire and give diameter_mm",
        )


def _dangers(workshop: Workshop) -> Iterator[Fault]:
    wire = workshop.wire
    if wire.supply_v > HIGHEST_V[wire.supply]:
        yield Fault(
            f"{wire.supply_v:g} V {wire.supply} on a bare wire can kill: more than the "
            f"{HIGHEST_V[wire.supply]:g} V {wire.supply} of extra-low voltage (SELV, IEC 61558-1)",
            "wire.supply_v",
            "use a safety isolating transformer or SELV supply, at best 25 V AC or 60 V DC and "
            "less; never mains, a dimmer or an autotransformer",
        )
    for index, foam in enumerate(workshop.foams):
        kind = foam.kind.upper()
        if kind not in ALLOWED_FOAMS:
            why = REFUSED_FOAMS.get(kind, "nobody can vouch for the fumes of an unknown foam")
            yield Fault(
                f"{foam.kind!r} is refused for a hot wire: {why}",
                f"foams[{index}].kind",
                "cut EPS or XPS only; cut other foams cold (saw, knife), as their data sheet says",
            )


def _contradictions(workshop: Workshop) -> Iterator[Fault]:
    foams = {foam.name for foam in workshop.foams}
    for what, names in (
        ("foams", [foam.name for foam in workshop.foams]),
        (
            "stock",
            [one.name for one in workshop.stock] + [one.name for one in workshop.rack],
        ),
    ):
        if not names:
            yield Fault("there is none", what, f"add at least one [[{what}]] table")
        for name, times in Counter(names).items():
            if times > 1:
                yield Fault(f"the name {name!r} is used {times} times", what, "rename all but one")
    listed = [(f"stock[{index}]", one) for index, one in enumerate(workshop.stock)]
    listed += [
        (f"rack {one.name!r}", one.stock)
        for one in workshop.rack
        if one.outline or (one.length_mm and one.width_mm)
    ]
    for where, stock in listed:
        if stock.foam not in foams:
            known = ", ".join(sorted(foams)) or "none"
            yield Fault(
                f"foam {stock.foam!r} is not in the file",
                f"{where}.foam",
                f"use a name of a [[foams]] table: {known}",
            )
        thinnest = min(stock.length_mm, stock.width_mm, stock.thickness_mm)
        if 2 * stock.trim_mm >= thinnest:
            yield Fault(
                f"trims of {stock.trim_mm:g} mm on both faces leave nothing of {thinnest:g} mm",
                f"{where}.trim_mm",
                "make the trim smaller, or check the block's size",
            )
        if where.startswith("stock"):
            yield from shape_faults(stock, where)
    wire, cutting = workshop.wire, workshop.cutting
    yield from _gauge_faults(wire)
    yield from _rig_faults(workshop)
    if 0 < cutting.kerf_mm < wire.diameter_mm:
        yield Fault(
            f"a kerf of {cutting.kerf_mm:g} mm is narrower than the wire, {wire.diameter_mm:g} mm",
            "cutting.kerf_mm",
            "measure the slot of a test cut",
        )
    if cutting.kerf_base_mm and 0 < cutting.kerf_mm < cutting.kerf_base_mm:
        yield Fault(
            f"{cutting.kerf_base_mm:g} mm that no feed takes away are more than the kerf of "
            f"{cutting.kerf_mm:g} mm",
            "cutting.kerf_base_mm",
            "leave it out, or fit two test cuts: 'wirepath kerf' tells it as a",
        )
    for index, cut in enumerate(cutting.test_cuts):
        if cut.foam is not None and cut.foam not in foams:
            yield Fault(
                f"foam {cut.foam!r} is not in the file",
                f"cutting.test_cuts[{index}].foam",
                f"use a name of a [[foams]] table: {', '.join(sorted(foams)) or 'none'}",
            )
    if cutting.wanted_kerf_mm is not None and (cutting.kerf_mm or not cutting.test_cuts):
        yield Fault(
            "a kerf is wanted, but no test cuts tell the feed for it"
            if not cutting.test_cuts
            else "kerf_mm and wanted_kerf_mm are both given",
            "cutting.wanted_kerf_mm",
            "give [[cutting.test_cuts]] and wanted_kerf_mm, or kerf_mm and the feed it was "
            "measured at",
        )
    if cutting.estimate_kerf and cutting.kerf_mm:
        yield Fault(
            "kerf_mm is given, so nothing is to be estimated",
            "cutting.estimate_kerf",
            "leave out kerf_mm, or estimate_kerf",
        )
    slowed = cutting.corner_feed_mm_per_s is not None
    if workshop.rig.kind != "table" and (slowed or cutting.corner_loops):
        yield Fault(
            "corners are slowed and looped on a table only",
            "cutting.corner_feed_mm_per_s" if slowed else "cutting.corner_loops",
            "leave it out: by hand, corners are taken slowly by eye",
        )
    if workshop.rig.kind != "table" and cutting.slot_feed_mm_per_s is not None:
        yield Fault(
            "ways back through slots have a feed of their own on a table only",
            "cutting.slot_feed_mm_per_s",
            "leave it out: by hand, the way back goes as it comes",
        )
    if cutting.corner_kerf_mm is not None and not slowed:
        yield Fault(
            "a kerf at corners is given, but no feed",
            "cutting.corner_kerf_mm",
            "add corner_feed_mm_per_s, or leave it out",
        )
    # A slot wider than this is a burn, not a cut: common practice, no source.
    if cutting.kerf_mm > 20:
        yield Fault(
            f"a kerf of {cutting.kerf_mm:g} mm is not a cut",
            "cutting.kerf_mm",
            "give the full width of the slot in mm; slots are some 1 to 3 mm wide",
        )


def _rig_faults(workshop: Workshop) -> Iterator[Fault]:
    rig = workshop.rig
    if rig.kind == "fence":
        yield from _fence_faults(workshop)
    elif rig.fence_most_mm is not None:
        yield Fault(
            "there is no fence to be set",
            "rig.fence_most_mm",
            "remove it, or write kind = 'fence'",
        )
    if rig.clamps and rig.kind != "table":
        yield Fault(
            "clamps are for a table: hands go round them by eye",
            "rig.clamps",
            "leave them out, or write kind = 'table'",
        )
    if rig.waits_at is not None and rig.kind != "table":
        yield Fault(
            "only a table's wire has a place where it waits",
            "rig.waits_at",
            "leave it out, or write kind = 'table'",
        )
    if rig.kind != "table":
        moved = {
            "block_may_shift": rig.block_may_shift,
            "block_may_turn": rig.block_may_turn != "no",
            "travel_from": rig.travel_from is not None,
        }
        for key in (key for key, is_set in moved.items() if is_set):
            yield Fault(
                "only a block on a table is moved between setups: a bow goes where it is carried, "
                "and along a fence the foam moves anyway",
                f"rig.{key}",
                "leave it out, or write kind = 'table'",
            )
    if rig.two_ended and rig.kind == "bow":
        yield Fault(
            "a bow is always held at its two ends; two_ended is for a table",
            "rig.two_ended",
            "remove it, or write kind = 'table'",
        )
    if rig.ends_apart_mm is None and rig.near_gap_mm:
        yield Fault(
            "near_gap_mm means nothing without the distance between the two ends",
            "rig.near_gap_mm",
            "add ends_apart_mm",
        )
    if rig.ends_apart_mm is not None and not rig.two_ended:
        yield Fault(
            "ends_apart_mm is for a table whose ends move each by itself",
            "rig.ends_apart_mm",
            "add two_ended = true, or remove it",
        )
    if rig.ends_apart_mm is not None and rig.near_gap_mm >= rig.ends_apart_mm:
        yield Fault(
            f"a gap of {rig.near_gap_mm:g} mm leaves no room for foam between ends "
            f"{rig.ends_apart_mm:g} mm apart",
            "rig.near_gap_mm",
            "measure both again",
        )


def _fence_faults(workshop: Workshop) -> Iterator[Fault]:
    rig = workshop.rig
    if rig.two_ended:
        yield Fault("a wire that stands still moves neither end", "rig.two_ended", "remove it")
    if rig.wire_lies == "level":
        yield Fault(
            "along a fence the foam lies flat and the wire stands",
            "rig.wire_lies",
            "remove it; a level wire over a table is planned for as a table or a bow",
        )
    if workshop.cutting.waste != "whole":
        yield Fault(
            "cuts along a fence part the waste into strips by themselves",
            "cutting.waste",
            "leave it out",
        )
    if rig.fence_most_mm is not None and rig.fence_most_mm <= rig.fence_least_mm:
        yield Fault(
            f"a fence from {rig.fence_least_mm:g} to {rig.fence_most_mm:g} mm cannot be set",
            "rig.fence_most_mm",
            "give the furthest and the nearest it can be set from the middle of the wire",
        )
