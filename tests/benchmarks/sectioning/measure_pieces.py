# ruff: noqa: T201
"""How long a plan takes against its number of pieces, stage by stage, with fitted exponents.

    python tests/benchmarks/sectioning/measure_pieces.py [--sizes 8,30,120,480] [--form wall]

A wall or a disc as large as so many blocks of 1180 x 680 mm, parted and laid out without
search. An exponent of 1 is a straight line; 2 would be every piece against every other.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable
from typing import TypeVar

import numpy as np
from shapely import Point, Polygon, box

from wirepath.assembling import assemble
from wirepath.checking import check_plan
from wirepath.forming import form_levels, make_pieces
from wirepath.model import FormSettings, Job, Outline, SeamSettings, Traced
from wirepath.nesting import lay_out, least_order
from wirepath.planning import make_plan
from wirepath.sectioning import seams, section
from wirepath.slicing import form_cores
from wirepath.workshop import Cutting, Foam, Stock, Wire, Workshop

Made = TypeVar("Made")

WIDTH, HEIGHT = 1180.0, 680.0

SHOP = Workshop(
    name="invented",
    wire=Wire(length_mm=1400.0),
    cutting=Cutting(kerf_mm=1.2, web_mm=8.0),
    foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
    stock=(
        Stock(
            name="block",
            foam="EPS 15",
            length_mm=WIDTH + 20,
            width_mm=HEIGHT + 20,
            thickness_mm=400.0,
            price=30.0,
            trim_mm=10.0,
        ),
    ),
)

FORMS: dict[str, Callable[[float], Polygon]] = {
    "wall": lambda blocks: box(0, 0, WIDTH * math.sqrt(blocks), HEIGHT * math.sqrt(blocks)),
    "disc": lambda blocks: Point(0, 0).buffer(math.sqrt(blocks * WIDTH * HEIGHT / math.pi)),
}

STAGES = ("part", "join", "assemble", "lay out", "bound", "whole plan", "proof")


def timed(row: list[float], made: Callable[[], Made]) -> Made:
    """Return what is made, its processor time added to the row."""
    begin = time.process_time()
    found = made()
    row.append(time.process_time() - begin)
    return found


def measured(shape: Polygon, *, whole: bool) -> tuple[int, list[float]]:
    """Return the number of pieces, and processor seconds of each stage."""
    job = Job(
        name="Form",
        drawing="form.dxf",
        workshop="workshop.toml",
        form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=380.0),
        seams=SeamSettings(lift="no limit", way="cut first"),
    )
    traced = Traced(outlines=(Outline(name="Form", polygon=shape),), counts=())
    forms, levels = make_pieces(job, traced), form_levels(job, traced)
    row: list[float] = []
    pieces = timed(row, lambda: section(forms, levels, SHOP, job.seams))
    met = timed(row, lambda: seams(pieces))
    timed(row, lambda: assemble(pieces, met, form_cores(job, traced, levels), SHOP.glue))
    timed(row, lambda: lay_out(pieces, SHOP, seconds=0.0))
    timed(row, lambda: least_order(pieces, SHOP))
    if whole:
        plan = timed(row, lambda: make_plan(job, SHOP, traced, seconds=0.0))
        timed(row, lambda: check_plan(plan))
    return len(pieces), row


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--sizes", default="8,30,120,480")
    reader.add_argument("--form", choices=list(FORMS), default="wall")
    reader.add_argument("--stages", action="store_true", help="leave the whole plan out")
    asked = reader.parse_args()
    stages = STAGES[:-2] if asked.stages else STAGES
    print(f"| pieces | {' | '.join(stages)} |")
    print(f"|---|{'---|' * len(stages)}")
    counts: list[int] = []
    rows: list[list[float]] = []
    for size in map(int, asked.sizes.split(",")):
        count, row = measured(FORMS[asked.form](size), whole=not asked.stages)
        counts.append(count)
        rows.append(row)
        print(f"| {count} | {' | '.join(f'{one:.2f}' for one in row)} |", flush=True)
    # Below a tenth of a second it is start-up that is measured.
    exponents = []
    for column in np.array(rows).T:
        seen = column > 0.1
        if seen.sum() < 2:
            exponents.append("")
            continue
        fit = np.polyfit(np.log(np.array(counts)[seen]), np.log(column[seen]), 1)
        exponents.append(f"{fit[0]:.2f}")
    print(f"| exponent | {' | '.join(exponents)} |")


if __name__ == "__main__":
    main()
