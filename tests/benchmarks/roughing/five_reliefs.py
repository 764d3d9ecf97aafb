# ruff: noqa: T201
"""How much few straight cuts take off five generated reliefs, by each way; and how long it takes.

python tests/benchmarks/roughing/five_reliefs.py [bow|table|one-ended] [wire in mm]

A "one-ended" table moves both ends of the wire alike, so that its slabs have straight edges only.

Writes a table in Markdown for docs/performance.md. Seconds are processor time of one core.
Each plan is proved (checking.roughing_proof); a plan that fails is told and counts for nothing.
"""

from __future__ import annotations

import math
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from relief_shapes import RELIEFS, Relief, lump

from wirepath.checking.prisms import raised_prisms
from wirepath.checking.roughing_proof import check_roughing
from wirepath.model import RoughingPlan
from wirepath.roughing import Tools, grid_pieces, plan_roughing, raised, snug_blank

ALLOWANCE_MM = 20.0
LONG_MM = 6000.0


def figure(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return a relief 4 m long: three lumps and a rib across."""
    return np.maximum.reduce(
        [
            lump(x, y, 900, 900, 880, 880, 350),
            lump(x, y, 2100, 950, 900, 700, 420),
            lump(x, y, 3200, 900, 780, 820, 300),
            lump(x, y, 2000, 1000, 1950, 240, 260),
        ]
    )


LARGE = Relief(name="figure of 4 m", width_mm=4000, height_mm=1800, peak_mm=425, at=figure)


def planned(
    relief: Relief, tools: Tools, parts: tuple[int, int] | None
) -> tuple[RoughingPlan, float]:
    """Return the plan, proved, and the seconds it took."""
    contours, outline = relief.contours(), relief.outline()
    levels = raised(outline, contours, peak_mm=relief.peak_mm)
    blank = snug_blank(levels, margin_mm=30, front_mm=30)
    pieces = grid_pieces(blank, *parts) if parts else ()
    begun = time.process_time()
    plan = plan_roughing(
        levels, blank, tools, allowance_mm=ALLOWANCE_MM, name=relief.name, pieces=pieces
    )
    took = time.process_time() - begun
    prisms = raised_prisms(outline, contours, peak_mm=relief.peak_mm)
    for finding in check_roughing(plan, prisms, wire_mm=tools.wire_mm):
        if not finding.passed:
            raise SystemExit(f"{relief.name}: {finding.faults}")
    return plan, took


def main() -> None:
    """Write the tables."""
    kind = sys.argv[1] if len(sys.argv) > 1 else "bow"
    wire = float(sys.argv[2]) if len(sys.argv) > 2 else LONG_MM
    tools = Tools(
        kerf_mm=2.0,
        wire_mm=wire,
        by_hand=kind == "bow",
        tilt_deg=75.0 if kind == "bow" else 0.0,
        slanted_slabs=kind != "one-ended",
    )
    print(f"{kind}, {wire:.0f} mm of wire\n")
    print("| relief | hull / bulk | way picked | blanks | cuts | m | off / bulk | off / hull | s |")
    print("|---|---|---|---|---|---|---|---|---|")
    plans = []
    for relief in RELIEFS:
        plan, took = planned(relief, tools, None)
        plans.append(plan)
        print(_row(plan, took))
    across = math.ceil(4000 / 1000)
    plan, took = planned(LARGE, tools, (across, 3))
    print(_row(plan, took))
    print("\n| way | " + " | ".join(plan.name for plan in plans) + " |")
    print("|---|" + "---|" * len(plans))
    names = list(dict.fromkeys(row.way for plan in plans for row in plan.rows))
    for name in names:
        cells = []
        for plan in plans:
            row = next((row for row in plan.rows if row.way == name), None)
            cells.append(
                "" if row is None else f"{row.litres_off / plan.removable_litres:.1%}, {row.cuts}"
            )
        print(f"| {name} | " + " | ".join(cells) + " |")


def _row(plan: RoughingPlan, took: float) -> str:
    metres = sum(cut.length_mm for cut in plan.cuts) / 1000
    return (
        f"| {plan.name} | {plan.bound_litres / plan.removable_litres:.1%} | {plan.way} | "
        f"{len(plan.blanks)} | {len(plan.cuts)} | {metres:.0f} | {plan.bulk_share:.1%} | "
        f"{plan.bound_share:.1%} | {took:.1f} |"
    )


if __name__ == "__main__":
    main()
