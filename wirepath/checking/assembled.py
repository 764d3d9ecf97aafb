"""Promise 10: parted forms go together as told: steps, marks across the seams, pins."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import LineString

from wirepath.checking.carved import carved_glue_faults
from wirepath.checking.finding import DEPTH_MM, EDGE_MM, EXACT_MM, Finding, found
from wirepath.checking.later import later_cut_faults
from wirepath.checking.pinned import pin_faults
from wirepath.errors import Fault
from wirepath.geometry import polygons
from wirepath.model import GlueStep, Plan, Seam, SeamMark

MARKED_MM = 25.0
"""Seams at least this long carry two marks."""

TURNED_MM = 4.0
"""Marks that meet within this look as if they met: a pencil line, and the hand's error."""

Lump = frozenset[int]


def check_assembled(plan: Plan) -> Finding:
    """Return whether steps, marks and pins suit the pieces and the seams."""
    assembly = plan.assembly
    faults = [*_step_faults(plan), *_mark_faults(plan), *pin_faults(plan)]
    if not faults:
        faults += [*later_cut_faults(plan), *carved_glue_faults(plan)]
    return found(
        10,
        "Parted forms go together as told",
        f"{len(assembly.steps)} steps close {len(plan.seams)} seams; {len(assembly.marks)} marks; "
        f"{len(assembly.pins)} pins"
        if plan.seams
        else "no form is parted",
        faults,
    )


# --- Steps ---------------------------------------------------------------------------


def lumps_after(plan: Plan, steps: Sequence[GlueStep]) -> dict[int, Lump]:
    """Return the lump each piece is part of once the steps are done."""
    lumps = {piece.number: frozenset({piece.number}) for piece in plan.pieces}
    for step in steps:
        whole = frozenset((*step.moved, *step.onto))
        lumps |= dict.fromkeys(whole, whole)
    return lumps


def _step_faults(plan: Plan) -> Iterator[Fault]:
    """Give steps that join what is no lump, and seams not closed exactly once."""
    steps = plan.assembly.steps
    if [step.number for step in steps] != list(range(1, len(steps) + 1)):
        yield Fault("steps of gluing do not count from 1 without gaps", "assembly")
    places = [step.place for step in steps]
    if places != sorted(places, key=lambda place: place == "site"):
        yield Fault("a step in the workshop comes after one on site", "assembly")
    closed: dict[int, int] = defaultdict(int)
    for done, step in enumerate(steps):
        where = f"step {step.number} of gluing"
        lumps = lumps_after(plan, steps[:done])
        for lump in (step.moved, step.onto):
            if not lump or lumps.get(lump[0]) != frozenset(lump):
                yield Fault(f"pieces {lump} are not one lump by then", where)
        sides = frozenset(step.moved), frozenset(step.onto)
        if sides[0] & sides[1]:
            yield Fault("it glues a lump to itself", where)
        met = {
            number
            for number, seam in enumerate(plan.seams, 1)
            if (seam.pieces[0] in sides[0] and seam.pieces[1] in sides[1])
            or (seam.pieces[1] in sides[0] and seam.pieces[0] in sides[1])
        }
        if set(step.seams) != met or not met:
            yield Fault(f"it closes seams {step.seams}, the lumps share {sorted(met)}", where)
        for number in step.seams:
            closed[number] += 1
    for number in range(1, len(plan.seams) + 1):
        if closed[number] != 1:
            yield Fault(f"it is closed in {closed[number]} steps", f"seam {number}")


# --- Marks ---------------------------------------------------------------------------


def _mark_faults(plan: Plan) -> Iterator[Fault]:
    """Give marks that miss their seam, and seams whose pieces could be turned unseen."""
    own: dict[int, list[SeamMark]] = defaultdict(list)
    for mark in plan.assembly.marks:
        own[mark.seam].append(mark)
    for number in own:
        if not 1 <= number <= len(plan.seams):
            yield Fault("a mark names it, but there is no such seam", f"seam {number}")
    for number, seam in enumerate(plan.seams, 1):
        where = f"seam {number}, pieces {seam.pieces[0]} and {seam.pieces[1]}"
        line = _marked_line(seam)
        if not own[number]:
            if line.length >= MARKED_MM:
                yield Fault(f"no mark crosses it, {line.length:.0f} mm long", where)
            continue
        spots = shapely.points([mark.at for mark in own[number]])
        for off in shapely.distance(spots, line)[shapely.distance(spots, line) > EDGE_MM]:
            yield Fault(f"a mark stands {off:.2f} mm off it", where)
        along = shapely.line_locate_point(line, spots)
        for mark, measured in zip(own[number], along.tolist(), strict=True):
            if mark.along_mm is not None and abs(mark.along_mm - measured) > DEPTH_MM:
                told = f"a mark is told at {mark.along_mm:g} mm, it stands at {measured:.1f} mm"
                yield Fault(f"{told} along it", where)
        if seam.kind == "edge":
            turned = line.length - along
            gaps = np.abs(turned[:, None] - along).min(axis=1)
            if gaps.max() < TURNED_MM:
                yield Fault("its marks would meet with a piece turned end for end", where)


def _marked_line(seam: Seam) -> LineString:
    """Return the line marks stand on: from the left or lower end; a layer's rim."""
    if seam.kind == "layer":
        return LineString(max(polygons(seam.place), key=shapely.area).exterior)
    lines = [one for one in shapely.get_parts(seam.place) if isinstance(one, LineString)]
    longest = max(lines, key=lambda one: (round(one.length, 3), one.bounds))
    points = shapely.get_coordinates(longest)
    way = points[-1] - points[0]
    axis = int(abs(way[1]) > abs(way[0]))
    return longest if way[axis] >= -EXACT_MM else longest.reverse()
