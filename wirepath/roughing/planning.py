"""The plan of roughing: ways compared, one chosen, its cuts worked out in the order of work."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.errors import Fault, FitError
from wirepath.geometry import polygons
from wirepath.model import (
    Blank,
    Level,
    RoughingCut,
    RoughingPlan,
    RoughingRow,
    WireDirection,
)
from wirepath.roughing.choosing import choose
from wirepath.roughing.directions import FLAT, OUTLINE, across_plane, shadow, slanting, too_long
from wirepath.roughing.grid import Bools, Grid, freed, line_hull_share, make_grid
from wirepath.roughing.paths import Way, way_along, way_round
from wirepath.roughing.sections import depth_map
from wirepath.roughing.slab_cuts import worked_slab
from wirepath.roughing.slabs import slab_blanks
from wirepath.roughing.stack import (
    clipped,
    grown_volume_mm3,
    hollows,
    least_volume_mm3,
    volume_mm3,
    with_few_corners,
)
from wirepath.roughing.tools import Tools
from wirepath.roughing.working import Roughed, Seam, in_order, roughed, worked_out
from wirepath.units import litres

Floats = NDArray[np.float64]

MOST_CUTS = 9
"""Cuts on one blank, the outline among them: greedy plans level off by then (docs)."""

LEAST_GAIN = 0.003
"""A cut must free this share of the whole form's removable bulk, or it is not made."""

CUT_WORTH = 0.002
SEAM_WORTH = 0.005
"""When ways are compared, each cut and each m2 of seam must pay for itself with this share of
the removable bulk (our own weights: change them where a shop's figures say otherwise)."""

FLAT_TURNS = tuple(15.0 * k for k in range(12))
TILTED_TURNS = tuple(30.0 * k for k in range(12))
TILTS = (15.0, 30.0, 45.0, 60.0, 75.0)
CORNER_RISES = (0.0, 20.0, 35.0, 50.0, 65.0, 90.0)

LOW_BOUND = 0.9
"""Where straight wires could take less than this of the bulk, the form is called hollow."""

STRIPS = (2, 3, 4, 6, 8)
LEAST_STRIP_MM = 150.0
COARSE_CELL_MM = 20.0
MOST_PARTINGS = 3
"""Strips are ranked on a coarse grid; so many of the best are worked out."""

LEVEL_TOLERANCE_MM = 1.0
"""How far out a contour may be straightened before its silhouettes are taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One way to rough the whole form."""

    way: str
    results: tuple[Roughed, ...]
    seam_m2: float = 0.0
    foam_litres: float
    fits: bool = True


def plan_roughing(
    levels: Sequence[Level],
    blank: Blank,
    tools: Tools,
    *,
    allowance_mm: float,
    name: str = "",
    way: str | None = None,
    pieces: Sequence[Blank] = (),
    slab_mm: float = 100.0,
    most_cuts: int = MOST_CUTS,
    seams: Sequence[Seam] = (),
    map_cell_mm: float = 50.0,
) -> RoughingPlan:
    """Return how to rough a form out of `blank`: ways compared, the best one worked out.

    `levels` are the form raised step by step (`stack.raised`), in the blank's frame. `way`
    picks a way of the comparison by its name; None takes the one with the fewest cuts among
    those that take nearly as much as the best. `pieces` are the blocks the form is glued
    from, if it is roughed before gluing; without them a grid that fits the wire is tried.
    `seams` are glue lines in a blank that is glued already.

    Raises FitError where the form with its allowance does not stand inside the blank, or
    no way fits the wire. The same input gives the same plan.
    """
    form = tuple(levels)
    _refuse_outside(form, blank)
    levels = with_few_corners(form, LEVEL_TOLERANCE_MM)
    grid = make_grid(levels, blank, allowance_mm)
    kept_mm3 = grown_volume_mm3(form, allowance_mm, blank)
    removable = litres(blank.volume_mm3 - kept_mm3)
    whole_share = line_hull_share(grid)
    trials = list(
        _trials(
            levels,
            blank,
            tools,
            grid,
            allowance_mm=allowance_mm,
            pieces=pieces,
            slab_mm=slab_mm,
            most_cuts=most_cuts,
            least_litres=LEAST_GAIN * removable,
            hollow=whole_share < LOW_BOUND,
        )
    )
    rows = tuple(_row(trial, blank, form) for trial in trials)
    picked = _pick(rows, removable, way)
    trial = trials[picked]
    trial = replace(
        trial, results=tuple(worked_out(one, tools, seams=seams) for one in trial.results)
    )
    blanks = tuple(one.blank for one in trial.results)
    cuts = _numbered(trial.results)
    left = litres(sum(one.left_mm3 for one in trial.results))
    share = whole_share
    if len(blanks) > 1 and blanks[0].thickness_mm == blank.thickness_mm:
        share = _blanks_share(levels, blanks, allowance_mm)
    elif len(blanks) > 1:
        share = 1.0
    return RoughingPlan(
        name=name,
        way=trial.way,
        blanks=blanks,
        cuts=cuts,
        kerf_mm=tools.kerf_mm,
        allowance_mm=allowance_mm,
        block_litres=litres(blank.volume_mm3),
        removable_litres=removable,
        bound_litres=whole_share * removable,
        blanks_bound_litres=share * removable,
        litres_off=litres(blank.volume_mm3) - left,
        carve_most_litres=left - litres(least_volume_mm3(form)),
        carve_least_litres=left - litres(volume_mm3(form)),
        rows=rows,
        depth=depth_map(form, [(one.blank, one.blades) for one in trial.results], map_cell_mm),
        notes=tuple(_plan_notes(form, whole_share, trial, rows, tools)),
    )


def litres_by_cut(plan: RoughingPlan) -> tuple[tuple[int, float], ...]:
    """Return (cuts made, litres off so far) in the order of work, for a plot; starts at 0, 0."""
    total, found = 0.0, [(0, 0.0)]
    for count, cut in enumerate(plan.cuts, 1):
        total += cut.litres
        found.append((count, total))
    return tuple(found)


def carving_hours(plan: RoughingPlan, litres_per_hour: float) -> tuple[float, float]:
    """Return the least and most hours of carving at a rate of the user's own measuring."""
    return plan.carve_least_litres / litres_per_hour, plan.carve_most_litres / litres_per_hour


def snug_blank(levels: Sequence[Level], *, margin_mm: float, front_mm: float) -> Blank:
    """Return the smallest blank round a form with `margin_mm` on the four sides and
    `front_mm` over its highest point."""
    x0, y0, x1, y1 = shapely.total_bounds([level.region for level in levels])
    return Blank(
        x_mm=float(x0 - margin_mm),
        y_mm=float(y0 - margin_mm),
        width_mm=float(x1 - x0 + 2 * margin_mm),
        height_mm=float(y1 - y0 + 2 * margin_mm),
        thickness_mm=max(level.to_mm for level in levels) + front_mm,
    )


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


# --- One blank ------------------------------------------------------------------------


def rough_blank(
    levels: Sequence[Level],
    blank: Blank,
    tools: Tools,
    directions: Sequence[WireDirection],
    *,
    allowance_mm: float,
    grid: Grid | None = None,
    most_cuts: int = MOST_CUTS,
    least_litres: float = 0.0,
) -> Roughed:
    """Return a blank roughed along the best of `directions`, the outline first in the choice."""
    own = clipped(levels, blank, allowance_mm + tools.kerf_mm)
    grid = grid or make_grid(own, blank, allowance_mm)
    chosen, _ = chosen_directions(
        grid, tools, directions, most_cuts=most_cuts, least_litres=least_litres
    )
    ways = []
    for direction in chosen:
        way = way_round(
            own,
            blank,
            direction,
            reach_mm=allowance_mm + tools.kerf_mm / 2,
            wire_mm=tools.wire_mm,
            by_hand=tools.by_hand,
        )
        if way is not None:
            ways.append(way)
    return roughed(in_order(ways), blank, grid, tools)


def chosen_directions(
    grid: Grid,
    tools: Tools,
    directions: Sequence[WireDirection],
    *,
    most_cuts: int,
    least_litres: float,
) -> tuple[list[WireDirection], float]:
    """Return the directions to cut along, in the order of choice, and the litres they free by
    the grid. The outline comes first where it frees anything."""
    usable = [one for one in directions if _allowed(one, grid.blank, tools)]
    gains = [freed(grid, one, tools.wire_mm) for one in usable]
    costs = [1.0 if tools.by_hand else _area_m2(grid.blank, one) for one in usable]
    forced = [k for k, one in enumerate(usable) if one == OUTLINE and gains[k].any()]

    def pick(among: Sequence[int], first: Sequence[int]) -> list[int]:
        found = choose(
            [gains[k] for k in among],
            [costs[k] for k in among],
            forced=[among.index(k) for k in first],
            most=most_cuts,
            least_cells=least_litres / grid.cell_litres,
        )
        return [among[k] for k in found]

    every = list(range(len(usable)))
    flat = [k for k in every if abs(usable[k].wire[2]) < FLAT or usable[k] == OUTLINE]
    chosen = pick(every, forced)
    if len(flat) < len(every):
        # Greedy is no better for having more to choose from: see what flat cuts lead to.
        again = pick(every, pick(flat, forced))
        chosen = max((again, chosen), key=lambda ones: _taken(gains, ones))
    return [usable[k] for k in chosen], _taken(gains, chosen) * grid.cell_litres


def _taken(gains: Sequence[Bools], chosen: Sequence[int]) -> int:
    """Return how many cells the chosen cuts free together."""
    if not chosen:
        return 0
    return int(np.count_nonzero(np.logical_or.reduce([gains[k] for k in chosen])))


def corner_blank(
    levels: Sequence[Level],
    blank: Blank,
    tools: Tools,
    *,
    allowance_mm: float,
    grid: Grid,
    most_cuts: int = MOST_CUTS,
    least_litres: float = 0.0,
) -> Roughed:
    """Return a blank roughed by flat cuts alone, for those who work along a straight edge."""
    reach = allowance_mm + tools.kerf_mm / 2
    points = _corner_points(levels)
    planes: list[tuple[tuple[float, float, float], float]] = []
    for rise in CORNER_RISES:
        for turn in FLAT_TURNS if rise < 90 else (0.0,):
            for side in (0.0, 180.0) if rise < 90 else (0.0,):
                a, b = math.radians(turn + side), math.radians(rise)
                normal = (math.cos(a) * math.cos(b), math.sin(a) * math.cos(b), math.sin(b))
                planes.append((normal, float((points @ np.array(normal)).max()) + reach))
    gains = [_beyond(grid, normal, support) for normal, support in planes]
    least = least_litres / grid.cell_litres
    chosen = choose(gains, [1.0] * len(planes), most=most_cuts, least_cells=least)
    ways = []
    for k in chosen:
        normal, support = planes[k]
        found = _flat_way(normal, support, blank, tools.wire_mm)
        if found is not None:
            ways.append(found)
    return roughed(ways, blank, grid, tools, corner=True)


def _flat_way(
    normal: tuple[float, float, float], support: float, blank: Blank, wire_mm: float
) -> Way | None:
    """Return the flat cut with the shortest wire that fits, or None."""
    best: Way | None = None
    for spin in range(0, 180, 15):
        direction = across_plane(normal, float(spin))
        u0, v0, u1, v1 = shapely.buffer(shadow(blank, direction), 100.0).bounds
        kept = shapely.box(u0, v0, u1, support)
        if support >= v1 - 100.0:
            return None
        way = way_along([kept], blank, direction)
        shorter = way is not None and (
            best is None or way.longest_wire_mm < best.longest_wire_mm - 1.0
        )
        if shorter:
            best = way
    return best if best is not None and best.longest_wire_mm <= wire_mm else None


def _beyond(grid: Grid, normal: tuple[float, float, float], support: float) -> Bools:
    """Return which removable cells lie beyond a plane, (n,)."""
    flat = grid.xs[None, :] * normal[0] + grid.ys[:, None] * normal[1]
    least = (support - grid.zs * normal[2])[:, None, None]
    return np.asarray((flat[None] > least).ravel()[grid.free])


def _corner_points(levels: Sequence[Level]) -> Floats:
    """Return the corners of all levels at their tops and backs, (n, 3), mm."""
    found = []
    for level in levels:
        flat = shapely.get_coordinates(shapely.convex_hull(level.region))
        for z in (level.from_mm, level.to_mm):
            found.append(np.column_stack([flat, np.full(len(flat), z)]))
    return np.concatenate(found)


# --- Ways compared --------------------------------------------------------------------


def flat_directions() -> list[WireDirection]:
    """Return the outline and the flat profiles that are tried."""
    return [OUTLINE, *(slanting(turn) for turn in FLAT_TURNS)]


def all_directions() -> list[WireDirection]:
    """Return the flat directions and the tilted ones that are tried."""
    return [
        *flat_directions(),
        *(slanting(turn, tilt) for tilt in TILTS for turn in TILTED_TURNS),
    ]


def _trials(
    levels: tuple[Level, ...],
    blank: Blank,
    tools: Tools,
    grid: Grid,
    *,
    allowance_mm: float,
    pieces: Sequence[Blank],
    slab_mm: float,
    most_cuts: int,
    least_litres: float,
    hollow: bool,
) -> Iterator[Trial]:
    foam = litres(blank.volume_mm3)
    axis_profiles = [OUTLINE, slanting(0.0), slanting(90.0)]
    ways = [
        ("outline", [OUTLINE]),
        ("outline and two profiles", axis_profiles),
        ("with diagonals", flat_directions()),
    ]
    if tools.tilt_deg > 0:
        ways.append(("with tilted profiles", all_directions()))
    for name, directions in ways:
        one = rough_blank(
            levels,
            blank,
            tools,
            directions,
            allowance_mm=allowance_mm,
            grid=grid,
            most_cuts=most_cuts,
            least_litres=least_litres,
        )
        yield Trial(way=name, results=(one,), foam_litres=foam)
    yield Trial(
        way="flat cuts only",
        results=(
            corner_blank(
                levels,
                blank,
                tools,
                allowance_mm=allowance_mm,
                grid=grid,
                most_cuts=most_cuts + 1,
                least_litres=least_litres,
            ),
        ),
        foam_litres=foam,
    )
    yield _slab_trial(levels, blank, tools, slab_mm, allowance_mm, slanted=False)
    if tools.slanted_slabs:
        yield _slab_trial(levels, blank, tools, slab_mm, allowance_mm, slanted=True)
    partings = _partings(
        levels, blank, tools, pieces, allowance_mm, most_cuts, least_litres, hollow=hollow
    )
    for name, parts in partings:
        yield _pieces_trial(
            levels, blank, tools, name, parts, allowance_mm, most_cuts, least_litres
        )


def _partings(
    levels: tuple[Level, ...],
    blank: Blank,
    tools: Tools,
    pieces: Sequence[Blank],
    allowance_mm: float,
    most_cuts: int,
    least_litres: float,
    *,
    hollow: bool,
) -> Iterator[tuple[str, tuple[Blank, ...]]]:
    """Yield ways to part the blank before roughing: as asked, so that the wire spans it, and
    for hollow forms in strips."""
    if pieces:
        yield f"{len(pieces)} pieces, then profiles", tuple(pieces)
    else:
        across = math.ceil(blank.width_mm / tools.wire_mm - 1e-9)
        up = math.ceil(blank.height_mm / tools.wire_mm - 1e-9)
        if across * up > 1:
            parts = grid_pieces(blank, across, up)
            yield f"{len(parts)} pieces, then profiles", parts
    if hollow:
        yield from _best_strips(levels, blank, tools, allowance_mm, most_cuts, least_litres)


def _best_strips(
    levels: tuple[Level, ...],
    blank: Blank,
    tools: Tools,
    allowance_mm: float,
    most_cuts: int,
    least_litres: float,
) -> list[tuple[str, tuple[Blank, ...]]]:
    """Return the partings into strips that promise most, by a coarse grid."""
    directions = all_directions() if tools.tilt_deg > 0 else flat_directions()
    ranked: list[tuple[float, int, str, tuple[Blank, ...]]] = []
    for count in STRIPS:
        for name, size, across, up in (
            ("across", blank.height_mm, 1, count),
            ("upright", blank.width_mm, count, 1),
        ):
            if size / count < LEAST_STRIP_MM:
                continue
            cuts, taken = 0, 0.0
            parts = grid_pieces(blank, across, up)
            for part in parts:
                own = clipped(levels, part, allowance_mm + tools.kerf_mm)
                grid = make_grid(own, part, allowance_mm, cell_mm=COARSE_CELL_MM)
                chosen, freed_litres = chosen_directions(
                    grid, tools, directions, most_cuts=most_cuts, least_litres=least_litres
                )
                cuts, taken = cuts + len(chosen), taken + freed_litres
            seam = (count - 1) * blank.volume_mm3 / size / 1e6
            removable = least_litres / LEAST_GAIN
            worth = taken / removable - CUT_WORTH * cuts - SEAM_WORTH * seam
            ranked.append((-worth, len(ranked), f"{count} strips {name}, then profiles", parts))
    return [(name, parts) for _, _, name, parts in sorted(ranked)[:MOST_PARTINGS]]


def _pieces_trial(
    levels: tuple[Level, ...],
    blank: Blank,
    tools: Tools,
    name: str,
    parts: tuple[Blank, ...],
    allowance_mm: float,
    most_cuts: int,
    least_litres: float,
) -> Trial:
    directions = all_directions() if tools.tilt_deg > 0 else flat_directions()
    results = tuple(
        rough_blank(
            levels,
            part,
            tools,
            directions,
            allowance_mm=allowance_mm,
            most_cuts=most_cuts,
            least_litres=least_litres,
        )
        for part in parts
    )
    xs = {round(p.x_mm, 3) for p in parts} - {round(blank.x_mm, 3)}
    ys = {round(p.y_mm, 3) for p in parts} - {round(blank.y_mm, 3)}
    seam = (len(xs) * blank.height_mm + len(ys) * blank.width_mm) * blank.thickness_mm / 1e6
    return Trial(
        way=name,
        results=results,
        seam_m2=seam,
        foam_litres=litres(sum(p.volume_mm3 for p in parts)),
    )


def _slab_trial(
    levels: tuple[Level, ...],
    blank: Blank,
    tools: Tools,
    slab_mm: float,
    allowance_mm: float,
    *,
    slanted: bool,
) -> Trial:
    results = tuple(
        worked_slab(levels, slab, tools, allowance_mm=allowance_mm, slanted=slanted)
        for slab in slab_blanks(blank, slab_mm)
    )
    foam = seam = 0.0
    for one in results:
        kept = [part for cut in one.cuts for part in cut.kept]
        if kept:
            x0, y0, x1, y1 = shapely.total_bounds(kept)
            foam += (x1 - x0) * (y1 - y0) * one.blank.thickness_mm
            if one.blank.from_mm > blank.from_mm:
                seam += one.left_mm3 / one.blank.thickness_mm
    kind = "slanted" if slanted else "straight"
    longest = max((cut.longest_wire_mm for r in results for cut in r.cuts), default=0.0)
    return Trial(
        way=f"slabs of {slab_mm:g} mm, {kind} edges",
        results=results,
        seam_m2=seam / 1e6,
        foam_litres=litres(foam),
        # A slab is parted from its block by a wire along the shorter side of its face.
        fits=max(longest, min(blank.width_mm, blank.height_mm)) <= tools.wire_mm,
    )


def _row(trial: Trial, blank: Blank, levels: Sequence[Level]) -> RoughingRow:
    cuts = [step for one in trial.results for step in one.steps]
    left = litres(sum(one.left_mm3 for one in trial.results))
    return RoughingRow(
        way=trial.way,
        blanks=len(trial.results),
        foam_litres=trial.foam_litres,
        litres_off=litres(blank.volume_mm3) - left,
        litres_left=left - litres(volume_mm3(levels)),
        cuts=len(cuts),
        metres=sum(cut.length_mm for cut in cuts) / 1000,
        longest_wire_mm=max((cut.longest_wire_mm for cut in cuts), default=0.0),
        seam_m2=trial.seam_m2,
        fits=trial.fits and bool(cuts),
    )


def _pick(rows: Sequence[RoughingRow], removable: float, way: str | None) -> int:
    """Return the place of the row to work out."""
    if way is not None:
        names = [row.way for row in rows]
        if way not in names:
            raise FitError(
                Fault(
                    f"there is no way of roughing called {way!r} for this form",
                    "roughing.way",
                    f"use one of: {', '.join(names)}",
                )
            )
        return names.index(way)
    fitting = [k for k, row in enumerate(rows) if row.fits]
    if not fitting:
        raise FitError(
            Fault(
                "no cut fits the wire",
                "wire.length_mm",
                "use a longer wire, or part the form into smaller pieces",
            )
        )

    def worth(k: int) -> float:
        row = rows[k]
        return row.litres_off / removable - CUT_WORTH * row.cuts - SEAM_WORTH * row.seam_m2

    return max(fitting, key=worth)


def _numbered(results: Sequence[Roughed]) -> tuple[RoughingCut, ...]:
    """Return the cuts of all blanks, numbered through; offcuts too."""
    found: list[RoughingCut] = []
    lumps = 0
    for one in results:
        for cut in one.cuts:
            offcuts = tuple(
                replace(lump, number=lumps + place) for place, lump in enumerate(cut.offcuts, 1)
            )
            lumps += len(offcuts)
            found.append(replace(cut, number=len(found) + 1, offcuts=offcuts))
    return tuple(found)


def _blanks_share(levels: Sequence[Level], blanks: Sequence[Blank], allowance_mm: float) -> float:
    """Return the line hull's share of the removable bulk, each blank taken by itself."""
    reached = total = 0.0
    for blank in blanks:
        grid = make_grid(clipped(levels, blank, allowance_mm), blank, allowance_mm)
        amount = len(grid.free) * grid.cell_litres
        total += amount
        reached += amount * line_hull_share(grid)
    return reached / total if total else 1.0


def _area_m2(blank: Blank, direction: WireDirection) -> float:
    """Return about how much a cut of this direction cuts: the block's shadow is as wide as the
    path is long, and the wire as long as the block's volume over its shadow's area."""
    shade = shadow(blank, direction)
    u0, _, u1, _ = shade.bounds
    return float((u1 - u0) * blank.volume_mm3 / shade.area / 1e6)


def _allowed(direction: WireDirection, blank: Blank, tools: Tools) -> bool:
    """Return whether the rig can hold this direction and its path has room on the table."""
    rise = math.degrees(math.asin(min(1.0, abs(direction.wire[2]))))
    if min(rise, 90.0 - rise) > FLAT and rise > tools.tilt_deg + FLAT:
        return False
    shade = shadow(blank, direction)
    if too_long(blank, direction, tools.wire_mm).area >= 0.999 * shade.area:
        return False
    if tools.travel_mm is None:
        return True
    u0, v0, u1, v1 = shade.bounds
    wide, high = max(u1 - u0, v1 - v0), min(u1 - u0, v1 - v0)
    return wide <= tools.travel_mm[0] and high <= tools.travel_mm[1]


def _refuse_outside(levels: Sequence[Level], blank: Blank) -> None:
    if not levels or not any(polygons(level.region) for level in levels):
        raise FitError(Fault("there is no form to rough", "roughing", "check the contours"))
    x0, y0, x1, y1 = shapely.total_bounds([level.region for level in levels])
    top = max(level.to_mm for level in levels)
    outside = max(
        blank.x_mm - x0,
        blank.y_mm - y0,
        x1 - blank.x_mm - blank.width_mm,
        y1 - blank.y_mm - blank.height_mm,
        top - blank.from_mm - blank.thickness_mm,
    )
    if outside > 1e-6:
        raise FitError(
            Fault(
                f"the form stands {outside:.0f} mm out of its block",
                "roughing",
                "take a larger block, or check where the form lies in it",
            )
        )


def _plan_notes(
    levels: Sequence[Level],
    whole_share: float,
    trial: Trial,
    rows: Sequence[RoughingRow],
    tools: Tools,
) -> Iterator[str]:
    for amount, place in hollows(levels):
        if amount >= 1.0:
            x, y = shapely.get_coordinates(shapely.point_on_surface(place))[0]
            yield (
                f"a hollow of {amount:.0f} litres near x {x:.0f}, y {y:.0f} mm: no straight wire "
                "reaches its bottom from outside"
            )
    if whole_share < LOW_BOUND:
        yield (
            f"the form is hollow: straight wires could take at most {whole_share:.0%} of the bulk "
            "from the whole block; seams through the hollow, or slabs, open it to the wire"
        )
    if any(ring_holes(levels)):
        yield (
            "the form has holes right through: each needs a slit to glue, or a threaded wire; "
            "they are left in by roughing"
        )
    too_short = [row.way for row in rows if not row.fits]
    if too_short:
        yield f"with {tools.wire_mm:.0f} mm of wire these ways do not go: {', '.join(too_short)}"


def ring_holes(levels: Sequence[Level]) -> list[float]:
    """Return the areas, mm2, of holes that go right through the form."""
    return [
        float(shapely.Polygon(ring).area)
        for part in polygons(shapely.union_all([level.region for level in levels]))
        for ring in part.interiors
    ]
