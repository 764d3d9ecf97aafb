"""The reliefs of a job, roughed: out of blocks of their own, or piece by piece of a plan."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely import Geometry, Polygon

from wirepath import overlay
from wirepath.forming import form_levels, refuse_faults
from wirepath.model import (
    Blank,
    GluedBlank,
    Job,
    Level,
    Piece,
    RoughingNote,
    RoughingPlan,
    Seam,
    Traced,
)
from wirepath.roughing.planning import plan_pieces, plan_roughing, snug_blank
from wirepath.roughing.stack import sloped
from wirepath.roughing.tools import Tools, tools_of
from wirepath.slicing import measured
from wirepath.workshop import Workshop

MARGIN_MM = 10.0
"""Foam outside form and allowance on the four sides, so that the outline's way stays in foam."""


def rough_forms(
    job: Job,
    workshop: Workshop,
    traced: Traced,
    *,
    way: str | None = None,
    compare: bool = True,
) -> tuple[RoughingPlan, ...]:
    """Return the roughing of each relief or full-round form of the job, in the order of the
    drawing; nothing for flat forms and profiles, which the wire cuts to size.

    Each is roughed out of the smallest block that holds it with its allowance and
    `MARGIN_MM` on the sides; full-round forms have their allowance behind them too. With
    `compare` off only the `way` asked for is worked out. Raises FitError as `plan_roughing`
    does; of reliefs SettingsError and DrawingError as `forming.make_pieces` does, for a contour
    that counts for nothing would have the wire cut into the form.
    """
    tools, allowance = tools_of(workshop, job.form.foam), allowance_of(job)
    if job.form.kind == "relief":
        refuse_faults(job, traced)
        forms, back = roughed_levels(job, traced), 0.0
    else:
        forms, back = section_levels(traced), allowance
    volumes = _volumes(traced)
    plans = (
        plan_roughing(
            levels,
            snug_blank(levels, margin_mm=allowance + MARGIN_MM, front_mm=allowance, back_mm=back),
            tools,
            allowance_mm=allowance,
            name=name,
            way=way,
            compare=compare,
            stop=job.roughing,
            form_mm3=volumes.get(name) if job.form.kind == "full round" else None,
        )
        for name, levels in forms.items()
    )
    return tuple(_told(job, plan) for plan in plans)


def _volumes(traced: Traced) -> dict[str, float]:
    """Return the volume of each mesh that is a solid, by its name."""
    figures = [measured(mesh) for mesh in traced.meshes if mesh.is_form]
    return {one.name: one.volume_mm3 for one in figures if one.volume_mm3 is not None}


def section_levels(traced: Traced) -> dict[str, tuple[Level, ...]]:
    """Return the levels of each full-round form, by its name."""
    found: dict[str, tuple[Level, ...]] = {}
    for one in traced.sections:
        level = Level(from_mm=one.from_mm, to_mm=one.to_mm, region=one.region)
        found[one.form] = (*found.get(one.form, ()), level)
    return found


def rough_pieces(
    job: Job,
    workshop: Workshop,
    traced: Traced,
    pieces: Sequence[Piece],
    seams: Sequence[Seam] = (),
    blanks: Sequence[GluedBlank] = (),
) -> tuple[RoughingPlan, ...]:
    """Return the roughing of the pieces of a plan's reliefs, a plan for each outline.

    The pieces come out of their slabs by their outlines first, as the layouts cut them. Cells
    of `blanks` are glued by then, and the form cut from them: it is roughed as one.
    Copies are pieces alike, so they are roughed alike, and told once. Nothing for other
    forms, or where the job asks for none. Raises FitError as `plan_pieces` does.
    """
    if job.form.kind != "relief" or not job.roughing.on:
        return ()
    tools = tools_of(workshop, job.form.foam)
    levels = roughed_levels(job, traced)
    by_part: dict[str, dict[str, list[Piece]]] = defaultdict(lambda: defaultdict(list))
    for piece in pieces:
        by_part[piece.part][piece.section_of or piece.name].append(piece)
    cut_from = {blank.form.name: blank.form.outline for blank in blanks}
    return tuple(
        _of_part(job, tools, part, levels[part], copies, seams, cut_from.get(next(iter(copies))))
        for part, copies in by_part.items()
    )


def roughed_levels(job: Job, traced: Traced) -> dict[str, tuple[Level, ...]]:
    """Return the levels of each relief as the job wants the surface between contours taken."""
    steps = form_levels(job, traced)
    if job.roughing.between_contours == "steps":
        return steps
    return {name: sloped(one, allowance_mm=allowance_of(job)) for name, one in steps.items()}


def _told(job: Job, plan: RoughingPlan) -> RoughingPlan:
    """Return a plan of a relief that says how the surface between contours was taken."""
    if job.form.kind != "relief" or job.roughing.between_contours == "steps":
        return plan
    return replace(plan, notes=(RoughingNote(kind="slopes"), *plan.notes))


def allowance_of(job: Job) -> float:
    """Return the foam that no roughing cut may touch, over the finished form."""
    own = job.roughing.allowance_mm
    return job.form.allowance_mm if own is None else own


def _of_part(
    job: Job,
    tools: Tools,
    part: str,
    levels: Sequence[Level],
    copies: dict[str, list[Piece]],
    seams: Sequence[Seam],
    cut_out: Polygon | None,
) -> RoughingPlan:
    """Return the roughing of one part; `cut_out` is cut from its pieces once glued."""
    first = next(iter(copies.values()))
    numbers = {piece.number for piece in first}
    plan = plan_pieces(
        levels,
        [blank_of(piece, number, cut_out) for number, piece in enumerate(first, 1)],
        tools,
        allowance_mm=allowance_of(job),
        name=part,
        forms=tuple(copies),
        way=job.roughing.way,
        stop=job.roughing,
        seams=[seam for seam in seams if numbers.issuperset(seam.pieces)],
        glued_first=cut_out is not None,
    )
    return _told(job, plan)


def blank_of(piece: Piece, number: int = 1, cut_out: Polygon | None = None) -> Blank:
    """Return a piece, or what a form `cut_out` leaves of it, as a blank: the box it lies in, the
    piece itself its foam."""
    region: Geometry = piece.outline
    if cut_out is not None:
        region = overlay.intersection(piece.outline, cut_out)
    x0, y0, x1, y1 = shapely.bounds(region).tolist()
    top = piece.from_mm + piece.thickness_mm
    return Blank(
        number=number,
        x_mm=x0,
        y_mm=y0,
        width_mm=x1 - x0,
        height_mm=y1 - y0,
        thickness_mm=piece.thickness_mm,
        from_mm=piece.from_mm,
        foam=(Level(from_mm=piece.from_mm, to_mm=top, region=region),),
        pieces=(piece.number,),
    )
