"""Whether a plan keeps off what is plainly dangerous: foam and supply."""

from __future__ import annotations

from wirepath.checking.finding import Finding, found
from wirepath.errors import Fault
from wirepath.model import Plan

CUTTABLE = ("EPS", "XPS")
"""Polyurethane and its kin give off isocyanates and hydrogen cyanide, PVC hydrogen chloride."""

EXTRA_LOW_V = {"AC": 50.0, "DC": 120.0}
"""Safety extra-low voltage: 50 V AC rms, 120 V ripple-free DC (IEC 61558-1:2005, 3.7.16)."""

TOUCHABLE_V = {"AC": 25.0, "DC": 60.0}
"""Bare conductors that may be touched when dry (makers' summaries of IEC 60364-4-41)."""


def check_safety(plan: Plan) -> Finding:
    """Return whether only EPS and XPS are cut, with an extra-low supply voltage."""
    wire = plan.workshop.wire
    used = {piece.foam for piece in plan.pieces}
    used |= {plan.workshop.stock_named(block.stock).foam for block in plan.blocks}
    faults = [
        Fault(
            f"foam of the kind {foam.kind!r} is to be cut hot; only EPS and XPS may be",
            f"foam {foam.name}",
        )
        for foam in plan.workshop.foams
        if foam.name in used and foam.kind not in CUTTABLE
    ]
    most = EXTRA_LOW_V[wire.supply]
    if not 0 < wire.supply_v <= most:
        faults.append(
            Fault(
                f"{wire.supply_v:g} V {wire.supply} is not extra-low voltage, "
                f"at most {most:g} V {wire.supply}",
                "wire",
            )
        )
    guard = "" if wire.supply_v <= TOUCHABLE_V[wire.supply] else ", above what may be touched bare"
    return found(
        0,
        "Only EPS and XPS are cut, with an extra-low voltage",
        f"{', '.join(sorted(used))}; {wire.supply_v:g} V {wire.supply}{guard}",
        faults,
    )
