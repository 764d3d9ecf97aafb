"""The stages, one call each: job + workshop + outlines -> plan."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from shapely import Geometry, box

from wirepath.assembling import assemble
from wirepath.beside import beside
from wirepath.bowing import rests, taken_off
from wirepath.errors import FitError, WirepathError
from wirepath.estimating import estimate
from wirepath.fencing import fenced
from wirepath.fitting import refuse_misfits, within_travel
from wirepath.forming import (
    allowance_notes,
    carve_litres,
    finished_notes,
    form_levels,
    make_pieces,
)
from wirepath.gluing import (
    blank_layouts,
    choose,
    dry_seams,
    glue_off_carving,
    glue_off_cuts,
    glued_blanks,
    refuse_van,
    way_of,
    with_blanks,
)
from wirepath.kerf import piece_misses, refuse_lost, wire_lines, with_room
from wirepath.loading import plan_loads, refuse_no_van
from wirepath.model import (
    PLAN_VERSION,
    Block,
    Job,
    LaterWire,
    Layout,
    Level,
    Pass,
    Piece,
    Plan,
    Rest,
    RoughingPlan,
    Traced,
    WayName,
    WireLine,
)
from wirepath.nesting import lay_out_by, least_order, share_edges
from wirepath.roughing import cuts_after_gluing, rough_pieces
from wirepath.routing import (
    drawn_out,
    from_waiting_place,
    good_edges,
    held,
    in_depth,
    is_within_travel,
    lean,
    led_on_table,
    route,
    scarred,
    thin_places,
)
from wirepath.sectioning import seams, section
from wirepath.slicing import form_cores
from wirepath.workshop import Cutting, Workshop

LAYOUT_SECONDS = 2.0
"""How long the layout may be improved, unless told otherwise."""

Tell = Callable[[str], None]
"""Called with a few words whenever a stage begins or has news."""

PIECES_BESIDE = 8
"""Fewer pieces are planned the second way sooner than another process starts."""


@dataclass(frozen=True, slots=True)
class _Work:
    """What both ways of a plan begin from; it can be handed to another process."""

    job: Job
    workshop: Workshop
    traced: Traced
    forms: tuple[Piece, ...]
    levels: Mapping[str, Sequence[Level]]
    seed: int
    seconds: float
    workers: int


def _silent(text: str) -> None:
    """Tell nobody."""


def make_plan(
    job: Job,
    workshop: Workshop,
    traced: Traced,
    *,
    seed: int = 0,
    seconds: float = LAYOUT_SECONDS,
    workers: int = 1,
    both_at_once: bool = False,
    tell: Tell = _silent,
) -> Plan:
    """Return the whole plan; it is not proved yet (`checking.check_plan` does that).

    The same job, workshop, outlines and seed give the same plan. `seconds` limits
    the search for a better layout, and so many `workers` search at once. Raises
    SettingsError, DrawingError or FitError with all faults of the stage that cannot go on.
    A form larger than a block is planned both ways, cut first and glue first, and the plan
    of one of them returned; a full-round one, glued of layers anyway, is cut first. With
    `both_at_once` many pieces are roughed, and planned the second way, in a process of its own
    (`beside`).
    """
    refuse_no_van(workshop, job.seams)
    forms = make_pieces(job, traced)
    told = allowance_notes(forms) + finished_notes(forms, traced.finished_lines)
    traced = replace(traced, notes=traced.notes + told)
    levels = form_levels(job, traced)
    work = _Work(job, workshop, traced, forms, levels, seed, seconds, workers)
    try:
        pieces = _parted(work)
    except FitError as error:
        if job.form.kind == "full round":
            raise
        return choose({"cut first": error, "glue first": _glue_first(work, tell)}, job.seams)
    if job.form.kind == "full round" or not any(piece.section_of for piece in pieces):
        rough = partial(rough_pieces, job, workshop, traced, pieces, seams(pieces))
        return _planned(work, tell, pieces, roughed=rough)
    apart = both_at_once and workers == 1 and len(pieces) >= PIECES_BESIDE
    made: dict[WayName, Plan | WirepathError] = {}
    with beside(when=apart) as hand_over:
        # The parts' roughing asks nothing of layouts: it is worked out while these are.
        roughed = hand_over(rough_pieces, job, workshop, traced, pieces, seams(pieces))
        glued = hand_over(_glue_first, work, _silent if apart else tell)
        try:
            made["cut first"] = _planned(work, tell, pieces, roughed=roughed)
        except FitError as error:
            made["cut first"] = error
        if workshop.van is None:
            tell("the same, were blanks glued first")
        made["glue first"] = glued()
    return choose(made, job.seams)


def _parted(work: _Work, *, square: bool = False) -> tuple[Piece, ...]:
    return section(
        work.forms,
        work.levels,
        work.workshop,
        work.job.seams,
        fixed=work.traced.seam_lines,
        keep_clear=work.traced.keep_clear,
        square=square,
    )


def _glue_first(work: _Work, tell: Tell) -> Plan | WirepathError:
    """Return the plan of forms cut from blanks that are glued first, or why there is none."""
    try:
        refuse_van(work.workshop)
        return _planned(work, tell, _parted(work, square=True))
    except FitError as error:
        return error


def _planned(
    work: _Work,
    tell: Tell,
    pieces: tuple[Piece, ...],
    *,
    roughed: Callable[[], tuple[RoughingPlan, ...]] | None = None,
) -> Plan:
    """Return the plan of forms in `pieces`: parts of them, or the cells of their blanks.

    `roughed` answers how parts are roughed; cells are glued first, and roughed as one.
    """
    job, workshop, traced = work.job, work.workshop, work.traced
    refuse_lost(pieces, workshop.cutting)
    laid_by = workshop
    if workshop.rig.kind == "fence":
        # Along a fence one cut parts two pieces: no web is left between them.
        laid_by = replace(workshop, cutting=replace(workshop.cutting, web_mm=0.0))
    refuse_misfits(pieces, laid_by)
    blocks, layouts = _laid(work, laid_by, pieces, tell)
    tell(f"leading the wire round {len(layouts)} layouts")
    joined = seams(pieces)
    spared = good_edges(pieces, joined)
    layouts, passes = _led(layouts, pieces, workshop, spared)
    glued, around = blank_layouts(
        () if roughed else work.forms, pieces, blocks=len(blocks), layouts=len(layouts)
    )
    around, round_forms = _led(around, (*pieces, *glued), workshop, good_edges(glued, ()))
    blanks, kept = glued_blanks(glued, around, round_forms, pieces, workshop)
    joined, blanks = dry_seams(joined, blanks, pieces, job.seams.dry_mm)
    if job.form.kind == "relief" and job.roughing.on:
        tell("comparing ways to rough the pieces")
    if roughed is None:
        roughed = partial(rough_pieces, job, workshop, traced, pieces, joined, blanks)
    roughing = roughed()
    later = cuts_after_gluing(roughing)
    joined = glue_off_cuts(joined, pieces, later, job.seams.dry_mm)
    joined = glue_off_carving(joined, pieces, traced, behind_mm=job.form.allowance_mm)
    for blank in blanks:
        later.setdefault(blank.form.name, []).append(LaterWire(lines=way_of(blank)))
    cores = form_cores(job, traced, work.levels)
    assembly = assemble(pieces, joined, cores, workshop.glue, later=later)
    travel = plan_loads(pieces, assembly.steps, workshop, job.seams)
    tell("working out order and waste")
    least = least_order(pieces, laid_by)
    bought = estimate(
        workshop,
        pieces,
        blocks,
        layouts,
        passes,
        fewest_blocks=least.blocks,
        least_order_price=least.price,
        carve_litres=carve_litres(job, traced, pieces),
        roughing=roughing,
        carving_litres_per_hour=job.roughing.carving_litres_per_hour,
    )
    return Plan(
        version=PLAN_VERSION,
        job=job,
        workshop=workshop,
        traced=traced,
        pieces=pieces,
        blocks=blocks,
        layouts=layouts,
        passes=passes,
        estimate=with_blanks(bought, blanks, kept, workshop),
        misses=piece_misses((*pieces, *glued), workshop.cutting),
        seams=joined,
        assembly=replace(assembly, steps=travel.steps),
        loads=travel.loads,
        fewest_loads=travel.fewest,
        roughing=roughing,
        blanks=blanks,
    )


def _laid(
    work: _Work, laid_by: Workshop, pieces: tuple[Piece, ...], tell: Tell
) -> tuple[tuple[Block, ...], tuple[Layout, ...]]:
    """Return the blocks and the layouts on them, pieces pushed together that share an edge."""
    workshop = work.workshop
    tell(f"laying {len(pieces)} pieces on blocks")
    roomy = tuple(within_travel(with_room(piece, workshop.cutting), workshop) for piece in pieces)
    sharing = work.job.layout.share_edges and workshop.rig.kind != "fence"
    blocks, layouts = lay_out_by(
        work.workers,
        roomy,
        laid_by,
        seed=work.seed,
        seconds=work.seconds,
        sharing=sharing,
        tell=tell,
    )
    if sharing:
        # A taper's wire leans over beside it, so nothing may stand so near; and pieces of two
        # setups stand apart by what the block may lie off its marks.
        layouts = tuple(
            layout
            if any(pieces[one.piece - 1].taper for one in layout.placements)
            or not is_within_travel(layout, workshop)
            else share_edges((layout,), pieces, workshop.cutting)[0]
            for layout in layouts
        )
    return blocks, layouts


def _led(
    layouts: Sequence[Layout],
    pieces: tuple[Piece, ...],
    workshop: Workshop,
    spared: Mapping[int, Geometry],
) -> tuple[tuple[Layout, ...], tuple[Pass, ...]]:
    """Return the layouts, with what is to be held on each, and the wire's way over them all."""
    cutting, rig = workshop.cutting, workshop.rig
    told: list[Layout] = []
    passes: list[Pass] = []
    for layout in layouts:
        if rig.kind == "fence":
            along, cuts = fenced(layout, pieces, workshop, spared)
            told.append(along)
            passes += cuts
            continue
        lines = wire_lines(layout, pieces, cutting)
        lead = partial(_ways, layout, lines, pieces, spared)
        setups, (square, led) = led_on_table(layout, lines, pieces, workshop, lead)
        by_hand = held(lines, square) if rig.wire_lies == "level" else ()
        face = box(0, 0, layout.width_mm, layout.height_mm)
        fast: set[int] = set()
        if cutting.waste != "whole":
            # What parts the waste ends beside a taper, not at its line: deeper down waste holds.
            for here, ways in in_depth(layout, lines, led, pieces, cutting):
                fast.update(drawn_out(here, ways, face, cutting.kerf_mm))
        scars = scarred(layout, lines, square, spared, cutting.widest_kerf_mm)
        thin = thin_places(layout, lines, led, cutting)
        pauses: list[Rest] = []
        if rig.kind == "bow":
            led = taken_off(led)
            pauses = [rest for one in led for rest in rests(one, rig.pass_most_mm)]
        told.append(
            replace(
                layout,
                held=by_hand,
                drawn_out=tuple(sorted(fast)),
                scarred=scars,
                thin_waste=thin,
                setups=setups,
                rests=tuple(pauses),
            )
        )
        passes += led
    return tuple(told), tuple(passes)


def _ways(
    layout: Layout,
    lines: tuple[WireLine, ...],
    pieces: tuple[Piece, ...],
    spared: Mapping[int, Geometry],
    workshop: Workshop,
    cutting: Cutting,
    only: Collection[int] | None,
) -> tuple[tuple[Pass, ...], tuple[Pass, ...]]:
    """Return the wire's way over a layout, square, and leaned where pieces taper.

    Over `only` some lines, by their index, in one setup of several.
    """
    square = route(
        layout,
        lines,
        pieces,
        cutting,
        workshop.rig,
        lump_mm2=_lump_mm2(workshop, layout, pieces),
        spared=spared,
        only=only,
    )
    square = from_waiting_place(square, layout, workshop, cutting)
    return square, lean(square, layout, pieces, workshop)


def _lump_mm2(workshop: Workshop, layout: Layout, pieces: Sequence[Piece]) -> float:
    """Return the area of the largest lump of waste that is to be left of a layout."""
    if workshop.cutting.waste != "lumps" or not layout.placements:
        return math.inf
    foam = workshop.foam(pieces[layout.placements[0].piece - 1].foam)
    mm3 = workshop.lift.one_person_kg / foam.density_kg_per_m3 * 1e9
    return mm3 / layout.thickness_mm
