"""Ways to rough a whole form: cuts on one block, slabs, pieces before they are glued."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import shapely

from wirepath.model import Blank, WireDirection
from wirepath.roughing.blanks import (
    Task,
    all_directions,
    corner_blank,
    flat_directions,
    rough_blank,
    standing_directions,
    stands_up,
    usable_directions,
)
from wirepath.roughing.directions import OUTLINE, slanting
from wirepath.roughing.grid import CELL_MM, Grid
from wirepath.roughing.slab_cuts import worked_slab
from wirepath.roughing.slabs import slab_blanks
from wirepath.roughing.strips import partings
from wirepath.roughing.working import Roughed
from wirepath.units import litres

GLUED = "glued, then profiles"
GLUED_FLAT = "glued, then flat cuts"
PLANNED_FLAT = ("pieces as planned, then flat cuts", GLUED_FLAT)
"""Ways of planned pieces for those with a straight edge only: worked out where asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One way to rough the whole form."""

    way: str
    results: tuple[Roughed, ...]
    seam_m2: float = 0.0
    foam_litres: float
    parting_wire_mm: float = 0.0
    """How long a wire must be to part the block first."""
    fits: bool = True
    may_be_left: bool = False
    """Whether it is an answer to cut nothing at all."""


Try = Callable[[], Trial]


def whole_ways(task: Task, blank: Blank, grid: Grid) -> dict[str, Try]:
    """Return the ways to rough the block whole, by name."""
    choices = {
        "outline": [OUTLINE],
        "outline and two profiles": [OUTLINE, slanting(0.0), slanting(90.0)],
        "with diagonals": flat_directions(),
    }
    if task.tools.tilt_deg > 0:
        choices["with tilted profiles"] = all_directions()
    if stands_up(task, blank):
        choices["with standing profiles"] = usable_directions(task, blank)
    foam = litres(blank.volume_mm3)

    def along(name: str) -> Trial:
        one = rough_blank(task, blank, choices[name], grid)
        return Trial(way=name, results=(one,), foam_litres=foam)

    def flat() -> Trial:
        one = corner_blank(replace(task, most_cuts=task.most_cuts + 1), blank, grid)
        return Trial(way="flat cuts only", results=(one,), foam_litres=foam)

    if task.tools.by_fence:
        return {"flat cuts only": flat}
    return {**{name: partial(along, name) for name in choices}, "flat cuts only": flat}


def slab_ways(task: Task, blank: Blank, slab_mm: float) -> dict[str, Try]:
    """Return the ways to saw the block into slabs and cut each one round, by name."""
    if blank.thickness_mm <= slab_mm or task.tools.by_fence:
        return {}
    kinds = ("straight", "slanted") if task.tools.slanted_slabs else ("straight",)
    names = {f"slabs of {slab_mm:g} mm, {kind} edges": kind == "slanted" for kind in kinds}
    return {
        name: partial(_slab_trial, name, task, blank, slab_mm, slanted=slanted)
        for name, slanted in names.items()
    }


def pieces_of(task: Task, blank: Blank, pieces: Sequence[Blank]) -> tuple[Blank, ...]:
    """Return the pieces given, or else a grid of them that the wire spans."""
    if pieces:
        return tuple(pieces)
    across = math.ceil(blank.width_mm / task.tools.wire_mm - 1e-9)
    up = math.ceil(blank.height_mm / task.tools.wire_mm - 1e-9)
    return grid_pieces(blank, across, up)


def piece_ways(task: Task, blank: Blank, pieces: Sequence[Blank]) -> dict[str, Try]:
    """Return the way to rough pieces before gluing, by name: those given, or else a grid
    that the wire spans; none where the block needs no parting."""
    parts = pieces_of(task, blank, pieces)
    if len(parts) < 2 or task.tools.by_fence:
        return {}
    name = f"{len(parts)} pieces, then profiles"
    return {name: partial(_pieces_trial, name, task, parts)}


def flat_ways(task: Task, parts: Sequence[Blank], *, way: str | None) -> dict[str, Try]:
    """Return `way` if it is to cut pieces along a straight edge before they are glued, by its
    name: worked out where it is asked for, for others take more off with as many cuts, or before
    a fence, which allows no others."""
    name = f"{len(parts)} pieces, then flat cuts"
    if len(parts) < 2 or (way != name and not task.tools.by_fence):
        return {}

    def flat() -> Trial:
        return Trial(
            way=name,
            results=tuple(corner_blank(task, part, task.grid(part, CELL_MM)) for part in parts),
            seam_m2=_seam_m2(parts),
            foam_litres=litres(sum(part.volume_mm3 for part in parts)),
        )

    return {name: flat}


def planned_flat_ways(
    task: Task, pieces: Sequence[Blank], glued: Grid, seam_m2: float, *, way: str | None
) -> dict[str, Try]:
    """Return `way` if it is to cut planned pieces, or the form glued from them, along a straight
    edge, by its name."""
    foam = litres(glued.blank.volume_mm3)
    each, at_once = PLANNED_FLAT

    def one_by_one() -> Trial:
        results = tuple(corner_blank(task, part, task.grid(part, CELL_MM)) for part in pieces)
        return Trial(way=each, results=results, seam_m2=seam_m2, foam_litres=foam)

    def whole() -> Trial:
        one = corner_blank(task, glued.blank, glued)
        return Trial(way=at_once, results=(one,), seam_m2=seam_m2, foam_litres=foam)

    known: dict[str, Try] = {each: one_by_one, at_once: whole}
    if task.tools.by_fence:
        return known if len(pieces) > 1 else {each: one_by_one}
    return {way: known[way]} if way in known else {}


def strip_ways(task: Task, blank: Blank, *, way: str | None) -> dict[str, Try]:
    """Return the ways to part a hollow form into strips, by name: those that promise most by a
    coarse grid, or just `way` where it is one of them."""
    if task.tools.by_fence:
        return {}
    found = partings(task, blank, only=way or "")
    return {one.way: partial(_pieces_trial, one.way, task, one.strips) for one in found}


def planned_ways(
    task: Task, pieces: Sequence[Blank], glued: Grid, seam_m2: float
) -> dict[str, Try]:
    """Return the ways to rough pieces that are cut out of their slabs already, by name.

    `glued` is the grid of the form glued from them.
    """
    choices = {
        "pieces as planned": [],
        "pieces as planned, then two profiles": [slanting(0.0), slanting(90.0)],
        "pieces as planned, then profiles": flat_directions()[1:],
    }
    if task.tools.tilt_deg > 0:
        choices["pieces as planned, then tilted profiles"] = all_directions()[1:]
    if any(stands_up(task, part) for part in pieces):
        choices["pieces as planned, then standing profiles"] = [
            *flat_directions()[1:],
            *standing_directions(),
        ]
    if task.tools.by_fence:
        choices = {"pieces as planned": []}
    foam = litres(glued.blank.volume_mm3)
    grids: dict[int, Grid] = {}

    def grid_of(part: Blank) -> Grid:
        if part.number not in grids:
            grids[part.number] = task.grid(part, CELL_MM)
        return grids[part.number]

    def one_by_one(name: str) -> Trial:
        return Trial(
            way=name,
            results=tuple(rough_blank(task, part, choices[name], grid_of(part)) for part in pieces),
            seam_m2=seam_m2,
            foam_litres=foam,
            may_be_left=True,
        )

    found: dict[str, Try] = {name: partial(one_by_one, name) for name in choices}
    if len(pieces) > 1 and not task.tools.by_fence:
        found[GLUED] = glued_ways(task, glued, seam_m2)[GLUED]
    return found


def glued_ways(task: Task, glued: Grid, seam_m2: float) -> dict[str, Try]:
    """Return the ways to rough a form that is glued already, by name; `glued` is its grid."""
    choices: dict[str, list[WireDirection]] = {"glued form as cut": []}
    if not task.tools.by_fence:
        choices[GLUED] = usable_directions(task, glued.blank)[1:]

    def at_once(name: str) -> Trial:
        return Trial(
            way=name,
            results=(rough_blank(task, glued.blank, choices[name], glued),),
            seam_m2=seam_m2,
            foam_litres=litres(glued.blank.volume_mm3),
            may_be_left=not choices[name],
        )

    return {name: partial(at_once, name) for name in choices}


def grid_pieces(blank: Blank, across: int, up: int) -> tuple[Blank, ...]:
    """Return the blank parted into equal pieces, `across` by `up`, from the lower left."""
    width, height = blank.width_mm / across, blank.height_mm / up
    return tuple(
        replace(
            blank,
            number=j * across + i + 1,
            x_mm=blank.x_mm + i * width,
            y_mm=blank.y_mm + j * height,
            width_mm=width,
            height_mm=height,
        )
        for j in range(up)
        for i in range(across)
    )


def _pieces_trial(name: str, task: Task, parts: tuple[Blank, ...]) -> Trial:
    results = tuple(
        rough_blank(task, part, usable_directions(task, part), task.grid(part, CELL_MM))
        for part in parts
    )
    return Trial(
        way=name,
        results=results,
        seam_m2=_seam_m2(parts),
        foam_litres=litres(sum(part.volume_mm3 for part in parts)),
    )


def _seam_m2(parts: Sequence[Blank]) -> float:
    """Return the area glued between parts that fill a block in rows and columns."""
    xs = {round(part.x_mm, 3) for part in parts}
    ys = {round(part.y_mm, 3) for part in parts}
    x0, y0 = min(xs), min(ys)
    width = max(part.x_mm + part.width_mm for part in parts) - x0
    height = max(part.y_mm + part.height_mm for part in parts) - y0
    seam = (len(xs) - 1) * height + (len(ys) - 1) * width
    return seam * parts[0].thickness_mm / 1e6


def _slab_trial(name: str, task: Task, blank: Blank, slab_mm: float, *, slanted: bool) -> Trial:
    results = tuple(
        worked_slab(task.levels, slab, task.tools, allowance_mm=task.allowance_mm, slanted=slanted)
        for slab in slab_blanks(blank, slab_mm)
    )
    foam = seam = 0.0
    for one in results:
        kept = [part for cut in one.cuts if cut.kind != "hole" for part in cut.kept]
        if kept:
            x0, y0, x1, y1 = shapely.total_bounds(kept)
            foam += (x1 - x0) * (y1 - y0) * one.blank.thickness_mm
            if one.blank.from_mm > blank.from_mm:
                seam += one.left_mm3 / one.blank.thickness_mm
    longest = max((cut.longest_wire_mm for one in results for cut in one.cuts), default=0.0)
    # A slab is parted from its block by a wire along the shorter side of its face.
    parting = min(blank.width_mm, blank.height_mm)
    return Trial(
        way=name,
        results=results,
        seam_m2=seam / 1e6,
        foam_litres=litres(foam),
        parting_wire_mm=parting,
        fits=max(longest, parting) <= task.tools.wire_mm,
    )
