"""The plan of roughing: ways compared, one chosen, its cuts worked out in the order of work."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import shapely

from wirepath import overlay
from wirepath.errors import Fault, FitError
from wirepath.geometry import polygons
from wirepath.model import (
    Blank,
    Level,
    RoughingCut,
    RoughingNote,
    RoughingNoteKind,
    RoughingOffcut,
    RoughingPlan,
    RoughingRow,
    RoughingSettings,
    Seam,
)
from wirepath.roughing.blanks import Task
from wirepath.roughing.bounds import holds_all, reach_share
from wirepath.roughing.choosing import CUT_LITRES, CUT_WORTH, worth
from wirepath.roughing.grid import CELL_MM, Grid, line_hull_share, make_grid
from wirepath.roughing.sections import depth_map
from wirepath.roughing.stack import (
    grown_volume_mm3,
    hollows,
    least_volume_mm3,
    volume_mm3,
    with_few_corners,
)
from wirepath.roughing.tools import Tools
from wirepath.roughing.ways import (
    GLUED_FLAT,
    Trial,
    Try,
    flat_ways,
    glued_ways,
    piece_ways,
    pieces_of,
    planned_flat_ways,
    planned_ways,
    slab_ways,
    strip_ways,
    whole_ways,
)
from wirepath.roughing.working import Roughed, worked_out
from wirepath.units import litres

LEAST_GAIN = 0.003
"""A cut must free this share of the whole form's removable bulk, or it is not made; and where the
carver's rate is known, more than would be carved in the time it takes."""

Stop = RoughingSettings
"""When another cut is no longer made: only that part of the settings is looked at here."""

STOP = RoughingSettings()

LOW_BOUND = 0.9
"""Where straight wires could take less than this of the bulk, the form is called hollow."""

LEVEL_TOLERANCE_MM = 1.0
"""How far out a contour may be straightened before its silhouettes are taken."""


def plan_roughing(
    levels: Sequence[Level],
    blank: Blank,
    tools: Tools,
    *,
    allowance_mm: float,
    name: str = "",
    way: str | None = None,
    compare: bool = True,
    pieces: Sequence[Blank] = (),
    slab_mm: float = 100.0,
    stop: Stop = STOP,
    seams: Sequence[Seam] = (),
    map_cell_mm: float = 50.0,
    form_mm3: float | None = None,
) -> RoughingPlan:
    """Return how to rough a form out of `blank`: ways compared, the best one worked out.

    `levels` are the form raised step by step (`stack.raised`), in the blank's frame. `way`
    picks a way of the comparison by its name; None takes the one that is worth most
    (`choosing.worth`). With `compare` off only the way picked is worked out. `pieces` are the
    blocks the form is glued from, if it is roughed before gluing; without them a grid that
    fits the wire is tried. `seams` are those of a blank that is glued already.

    Raises FitError where the form does not stand inside the blank, where no way fits the
    wire, or where `way` is none of the ways. The same input gives the same plan. `stop`
    says when another cut is not worth making. `form_mm3` is the finished form's volume where
    it is known, and not only bounded by its levels.
    """
    form = tuple(levels)
    _refuse_outside(form, blank)
    grid = make_grid(form, blank, allowance_mm)
    removable = litres(blank.volume_mm3 - grown_volume_mm3(form, allowance_mm, blank))
    share = line_hull_share(grid)
    task = _task(form, tools, stop, allowance_mm, removable)
    task = replace(task, hollow=share < LOW_BOUND)
    tries = {
        **whole_ways(task, blank, grid),
        **slab_ways(task, blank, slab_mm),
        **piece_ways(task, blank, pieces),
        **flat_ways(task, pieces_of(task, blank, pieces), way=way),
    }
    alone = way is not None and not compare
    if (share < LOW_BOUND and not alone) or (way is not None and way not in tries):
        tries |= strip_ways(task, blank, way=None if way in tries else way)
    if way is not None and alone and way in tries:
        tries = {way: tries[way]}
    plan = _worked_out(
        name, form, blank, task, tries, way, removable, share, seams=seams, map_cell_mm=map_cell_mm
    )
    if form_mm3 is None:
        return plan
    carve = plan.left_litres - litres(form_mm3)
    return replace(plan, carve_most_litres=carve, carve_least_litres=carve)


def plan_pieces(
    levels: Sequence[Level],
    pieces: Sequence[Blank],
    tools: Tools,
    *,
    allowance_mm: float,
    name: str = "",
    forms: Sequence[str] = (),
    way: str | None = None,
    stop: Stop = STOP,
    seams: Sequence[Seam] = (),
    map_cell_mm: float = 50.0,
    glued_first: bool = False,
) -> RoughingPlan:
    """Return how to rough the pieces of a form as a plan has cut them from their slabs.

    `pieces` are blanks that hold one piece each, `Blank.foam` and all, in the form's frame:
    their edges stand already, so no cut goes round the outline. The ways are to leave them,
    to rough each by itself, and to rough the form once it is glued (`seams`: its glue
    lines); only that where the pieces are `glued_first`, and the form cut from them. `forms`
    names the copies done alike. Raises FitError as `plan_roughing` does, but leaves the pieces
    as they are where no cut fits.
    """
    form = tuple(levels)
    glued = glued_blank(pieces)
    _refuse_outside(form, glued)
    removable = litres(glued.volume_mm3 - grown_volume_mm3(form, allowance_mm, glued))
    grid = make_grid(form, glued, allowance_mm, cell_mm=2 * CELL_MM)
    share = line_hull_share(grid)
    task = _task(form, tools, stop, allowance_mm, removable)
    task = replace(task, hollow=share < LOW_BOUND)
    seam_m2 = sum(seam.area_mm2 for seam in seams) / 1e6
    plan = _worked_out(
        name,
        form,
        glued,
        task,
        _ways_of_pieces(task, pieces, grid, seam_m2, way=way, glued_first=glued_first),
        way,
        removable,
        share,
        seams=seams,
        map_cell_mm=map_cell_mm,
    )
    return replace(plan, forms=tuple(forms))


def _ways_of_pieces(
    task: Task,
    pieces: Sequence[Blank],
    grid: Grid,
    seam_m2: float,
    *,
    way: str | None,
    glued_first: bool,
) -> dict[str, Try]:
    flat = planned_flat_ways(task, pieces, grid, seam_m2, way=way)
    if not glued_first:
        return planned_ways(task, pieces, grid, seam_m2) | flat
    return glued_ways(task, grid, seam_m2) | {
        name: one for name, one in flat.items() if name == GLUED_FLAT
    }


def glued_blank(pieces: Sequence[Blank]) -> Blank:
    """Return the pieces of a form as one blank, standing where they are glued."""
    x, y, low = (min(getattr(one, key) for one in pieces) for key in ("x_mm", "y_mm", "from_mm"))
    return Blank(
        x_mm=x,
        y_mm=y,
        width_mm=max(one.x_mm + one.width_mm for one in pieces) - x,
        height_mm=max(one.y_mm + one.height_mm for one in pieces) - y,
        thickness_mm=max(one.from_mm + one.thickness_mm for one in pieces) - low,
        from_mm=low,
        foam=tuple(prism for one in pieces for prism in one.foam),
        pieces=tuple(number for one in pieces for number in one.pieces),
    )


def _task(
    form: tuple[Level, ...], tools: Tools, stop: Stop, allowance_mm: float, removable: float
) -> Task:
    least, per_m = stop.least_litres_per_cut, 0.0
    if least is None:
        least = 0.0
        if stop.least_litres_per_m2 is None:
            rate = stop.carving_litres_per_hour or 0.0
            least = max(LEAST_GAIN * removable, rate * tools.setup_min / 60)
            per_m = rate * 1000 / tools.feed_mm_per_s / 3600
    each = stop.least_litres_per_cut
    if each is None:
        hourly = stop.carving_litres_per_hour
        each = CUT_LITRES if hourly is None else hourly * tools.setup_min / 60
    return Task(
        levels=with_few_corners(form, LEVEL_TOLERANCE_MM),
        tools=tools,
        allowance_mm=allowance_mm,
        most_cuts=stop.most_cuts,
        least_litres=least,
        least_litres_per_m2=stop.least_litres_per_m2 or 0.0,
        least_litres_per_m=per_m,
        cut_litres=max(CUT_WORTH * removable, each),
    )


def _worked_out(
    name: str,
    form: tuple[Level, ...],
    blank: Blank,
    task: Task,
    tries: Mapping[str, Try],
    way: str | None,
    removable: float,
    share: float,
    *,
    seams: Sequence[Seam],
    map_cell_mm: float,
) -> RoughingPlan:
    """Return the plan of the best of `tries`, or of `way`; `share` is the line hull's."""
    if way is not None and way not in tries:
        raise FitError(
            Fault(
                f"there is no way of roughing called {way!r} for this form",
                "roughing.way",
                f"use one of: {', '.join(tries)}",
            )
        )
    tools = task.tools
    trials = {one: attempt() for one, attempt in tries.items()}
    rows = {one: _row(trial, blank, form) for one, trial in trials.items()}
    trial = trials[way or _best(rows, task)]
    results = [
        worked_out(one, tools, seams=() if len(one.blank.pieces) == 1 else seams)
        for one in trial.results
    ]
    left = litres(sum(one.left_mm3 for one in results))
    off = litres(blank.volume_mm3) - left
    whole = len(results) == 1
    reach = share if whole and holds_all(tools, blank) else reach_share(task, results)
    # What cuts have reached can be reached: the grid errs by about a hundredth.
    reach_litres = max(reach * removable, off)
    return RoughingPlan(
        name=name,
        way=trial.way,
        blanks=tuple(one.blank for one in results),
        cuts=_numbered(results),
        kerf_mm=tools.kerf_mm,
        allowance_mm=task.allowance_mm,
        block_litres=litres(blank.volume_mm3),
        removable_litres=removable,
        bound_litres=max(share * removable, reach_litres if whole else 0.0),
        blanks_bound_litres=reach_litres,
        litres_off=off,
        carve_most_litres=left - litres(least_volume_mm3(form)),
        carve_least_litres=left - litres(volume_mm3(form)),
        rows=tuple(rows.values()),
        depth=depth_map(form, [(one.blank, one.blades) for one in results], map_cell_mm),
        notes=tuple(_plan_notes(form, share, list(rows.values()), tools)),
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


def snug_blank(
    levels: Sequence[Level], *, margin_mm: float, front_mm: float, back_mm: float = 0.0
) -> Blank:
    """Return the smallest blank round a form with `margin_mm` on the four sides, `front_mm`
    over its highest point, and `back_mm` behind it for a form without a flat back."""
    x0, y0, x1, y1 = shapely.total_bounds([level.region for level in levels])
    return Blank(
        x_mm=float(x0 - margin_mm),
        y_mm=float(y0 - margin_mm),
        width_mm=float(x1 - x0 + 2 * margin_mm),
        height_mm=float(y1 - y0 + 2 * margin_mm),
        thickness_mm=max(level.to_mm for level in levels) + front_mm + back_mm,
        from_mm=-back_mm,
    )


# --- What the plan says ----------------------------------------------------------------


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
        longest_wire_mm=max([trial.parting_wire_mm, *(cut.longest_wire_mm for cut in cuts)]),
        seam_m2=trial.seam_m2,
        fits=trial.fits and (bool(cuts) or trial.may_be_left),
    )


def _best(rows: dict[str, RoughingRow], task: Task) -> str:
    """Return the name of the way that is worth most, of those the wire is long enough for."""
    fitting = [name for name, row in rows.items() if row.fits]
    if not fitting:
        raise FitError(
            Fault(
                "no cut fits the wire",
                "wire.length_mm",
                "use a longer wire, or part the form into smaller pieces",
            )
        )

    def value(name: str) -> float:
        row = rows[name]
        way_litres = task.least_litres_per_m * row.metres
        return worth(row.litres_off, row.cuts, row.seam_m2, task.cut_litres) - way_litres

    return max(fitting, key=value)


def _numbered(results: Sequence[Roughed]) -> tuple[RoughingCut, ...]:
    """Return the cuts of all blanks, numbered through; offcuts too, the heavy ones noted."""
    found: list[RoughingCut] = []
    lumps = 0
    for one in results:
        for cut in one.cuts:
            offcuts = tuple(
                replace(lump, number=lumps + place) for place, lump in enumerate(cut.offcuts, 1)
            )
            lumps += len(offcuts)
            notes = (*cut.notes, *_heavy(offcuts))
            found.append(replace(cut, number=len(found) + 1, offcuts=offcuts, notes=notes))
    return tuple(found)


def _heavy(offcuts: Sequence[RoughingOffcut]) -> Iterator[RoughingNote]:
    for lump in offcuts:
        if lump.people != 1:
            kind: RoughingNoteKind = "two people" if lump.people == 2 else "more than two"
            yield RoughingNote(kind=kind, values=(lump.number, lump.weight_kg))


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
    rows: Sequence[RoughingRow],
    tools: Tools,
) -> Iterator[RoughingNote]:
    for amount, place in hollows(levels):
        if amount >= 1.0:
            x, y = shapely.get_coordinates(shapely.point_on_surface(place))[0]
            yield RoughingNote(kind="hollow", values=(amount, float(x), float(y)))
    if whole_share < LOW_BOUND:
        yield RoughingNote(kind="hollow form", values=(100 * whole_share,))
    if any(ring_holes(levels)):
        yield RoughingNote(kind="holes")
    too_short = tuple(row.way for row in rows if not row.fits)
    if too_short:
        yield RoughingNote(kind="short wire", values=(tools.wire_mm,), ways=too_short)


def ring_holes(levels: Sequence[Level]) -> list[float]:
    """Return the areas, mm2, of holes that go right through the form."""
    return [
        float(shapely.Polygon(ring).area)
        for part in polygons(overlay.union([level.region for level in levels]))
        for ring in part.interiors
    ]
