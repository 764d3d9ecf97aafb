"""What would change if one setting did: the plan made again with each change, side by side."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity

from wirepath.checking import check_plan
from wirepath.errors import DrawingError, FitError, ProofError, SettingsError
from wirepath.model import Job, PartSettings, Plan, SeamSettings, Traced, Zone
from wirepath.planning import LAYOUT_SECONDS, Tell, make_plan
from wirepath.slicing import shaped
from wirepath.workshop import Stock, Workshop

Bounds = NDArray[np.float64]

STRAIGHT_MM = 0.01
"""A seam that strays less than this from upright or level counts as such."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing changed, in words, and what the plan is then made from."""

    name: str
    job: Job
    workshop: Workshop
    traced: Traced


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow:
    """What a plan comes to after one change. Prices in the workshop's currency."""

    name: str
    blocks: int = 0
    foam_m3: float = 0.0
    """Bought, spare blocks not counted."""
    price: float = 0.0
    waste_share: float = 0.0
    """Of the foam bought."""
    pieces: int = 0
    seams: int = 0
    wire_m: float = 0.0
    """Cut through foam, slab cuts included."""
    refused: str | None = None
    """Why there is no plan with this change; the figures are then 0."""


def compare_changes(
    job: Job,
    workshop: Workshop,
    traced: Traced,
    *,
    share: float,
    seed: int = 0,
    seconds: float = LAYOUT_SECONDS,
    workers: int = 2,
    tell: Tell = lambda text: None,
) -> tuple[ChangeRow, ...]:
    """Return the plan as it is, then with each change by itself; every plan is proved.

    `share` is how much sizes change, 0.05 for 5 %. A change after which there is no
    plan keeps its row and says why. Roughing is left out of all rows. Raises as `make_plan`
    does where there is no plan even without a change, ProofError where a plan does not
    prove sound.
    """
    # Roughing takes longest to plan and differs least between the rows.
    job = replace(job, roughing=replace(job.roughing, on=False))
    now = make_plan(job, workshop, traced, seed=seed, seconds=seconds, tell=tell)
    rows = [_row("as it is", now)]
    asked = tuple(changes(now, share=share))
    with ProcessPoolExecutor(max_workers=workers) as pool:
        made = [pool.submit(_try, change, seed, seconds) for change in asked]
        for change, coming in zip(asked, made, strict=True):
            tell(f"planning it with {change.name}")
            rows.append(coming.result())
    return tuple(rows)


def changes(plan: Plan, *, share: float) -> Iterator[Change]:
    """Give the changes worth a look: scale, allowance, block sizes, seams.

    Scaled are the outlines, and of a relief its heights too; the thickness of flat forms
    and the length of profiles stay. Blocks that grow or shrink cost by their volume.
    """
    job, workshop = plan.job, plan.workshop
    now = Change(name="", job=job, workshop=workshop, traced=plan.traced)
    factors = (1 - share, 1 + share)
    for factor in factors:
        yield _scaled(now, factor)
    if job.form.allowance_mm:
        for factor in factors:
            mm = job.form.allowance_mm * factor
            form = replace(job.form, allowance_mm=mm)
            yield replace(now, name=f"allowance {mm:.4g} mm", job=replace(job, form=form))
    for factor in factors:
        stock = tuple(_resized(one, factor) for one in workshop.stock)
        name = f"blocks {_percent(factor)} each way"
        yield replace(now, name=name, workshop=replace(workshop, stock=stock))
    yield from _one_size_only(now)
    if plan.seams:
        yield from _other_seams(now, plan, share)


def _scaled(now: Change, factor: float) -> Change:
    job, traced = now.job, now.traced
    relief = job.form.kind == "relief"
    high = factor if relief else 1.0

    def grown(mm: float | None) -> float | None:
        return None if mm is None else mm * high

    def part(one: PartSettings) -> PartSettings:
        x, y = one.entry_at or (0.0, 0.0)
        return replace(
            one,
            thickness_mm=grown(one.thickness_mm) if relief else one.thickness_mm,
            entry_at=(x * factor, y * factor) if one.entry_at else None,
        )

    def zone(one: Zone) -> Zone:
        places = ("x_mm", "y_mm", "width_mm", "height_mm")
        return replace(one, **{key: getattr(one, key) * factor for key in places})

    seams = replace(
        job.seams,
        at_x_mm=tuple(x * factor for x in job.seams.at_x_mm),
        at_y_mm=tuple(y * factor for y in job.seams.at_y_mm),
        keep_clear=tuple(zone(one) for one in job.seams.keep_clear),
    )
    grow = (factor, factor, 1.0, (0, 0, 0))
    return replace(
        now,
        name=f"scale {_percent(factor)}",
        job=replace(
            job,
            read=replace(job.read, mesh_plate_mm=job.read.mesh_plate_mm * factor),
            form=replace(job.form, peak_mm=grown(job.form.peak_mm)),
            parts=tuple(part(one) for one in job.parts),
            seams=seams,
        ),
        traced=replace(
            traced,
            scale=traced.scale * factor,
            outlines=tuple(
                replace(one, polygon=affinity.scale(one.polygon, *grow)) for one in traced.outlines
            ),
            far=tuple(
                replace(one, polygon=affinity.scale(one.polygon, *grow)) for one in traced.far
            ),
            seam_lines=tuple(affinity.scale(one, *grow) for one in traced.seam_lines),
            finished_lines=tuple(affinity.scale(one, *grow) for one in traced.finished_lines),
            keep_clear=tuple(affinity.scale(one, *grow) for one in traced.keep_clear),
            marks=tuple(
                replace(
                    one,
                    at=(one.at[0] * factor, one.at[1] * factor),
                    to=(one.to[0] * factor, one.to[1] * factor) if one.to else None,
                )
                for one in traced.marks
            ),
            views=tuple(
                replace(one, region=affinity.scale(one.region, *grow)) for one in traced.views
            ),
            meshes=tuple(
                replace(one, points=tuple(map(tuple, (np.array(one.points) * factor).tolist())))
                for one in traced.meshes
            ),
            contours=tuple(
                replace(
                    one,
                    region=affinity.scale(one.region, *grow),
                    height_mm=one.height_mm * high,
                )
                for one in traced.contours
            ),
        ),
    )


def _resized(stock: Stock, factor: float) -> Stock:
    return replace(
        stock,
        length_mm=stock.length_mm * factor,
        width_mm=stock.width_mm * factor,
        thickness_mm=stock.thickness_mm * factor,
        price=stock.price * factor**3,
    )


def _one_size_only(now: Change) -> Iterator[Change]:
    """Give each size of the job's foam as the only one that can be had."""
    foam = now.job.form.foam
    sizes = [one for one in now.workshop.stock if one.foam == foam]
    if len(sizes) < 2:
        return
    for size in sizes:
        left = tuple(one for one in now.workshop.stock if one.foam != foam or one is size)
        name = f"only {size.name}"
        yield replace(now, name=name, workshop=replace(now.workshop, stock=left))


def _other_seams(now: Change, plan: Plan, share: float) -> Iterator[Change]:
    asked = plan.job.seams

    def with_seams(name: str, seams: SeamSettings) -> Change:
        return replace(now, name=name, job=replace(now.job, seams=seams))

    if asked.at_x_mm or asked.at_y_mm:
        yield with_seams("no seams asked for", replace(asked, at_x_mm=(), at_y_mm=()))
    for axis, at in _moved(plan, share):
        fixed = replace(asked, at_x_mm=(at,)) if axis == "x" else replace(asked, at_y_mm=(at,))
        yield with_seams(f"seam at {axis} = {at:.0f} mm", fixed)
    if asked.staggered:
        yield with_seams("seams not staggered", replace(asked, staggered=False))
    if asked.lift != "one person":
        yield with_seams("pieces for one person", replace(asked, lift="one person"))


def _moved(plan: Plan, share: float) -> Iterator[tuple[Literal["x", "y"], float]]:
    """Give where the longest upright or level seam stands if moved by `share` of its form."""
    straight = [
        seam
        for seam in plan.seams
        if seam.kind == "edge" and min(_sides(shapely.bounds(seam.place))) < STRAIGHT_MM
    ]
    if not straight:
        return
    longest = max(straight, key=lambda seam: float(shapely.length(seam.place)))
    bounds = shapely.bounds(longest.place)
    axis: Literal["x", "y"] = "x" if _sides(bounds)[0] < STRAIGHT_MM else "y"
    first = 0 if axis == "x" else 1
    form = plan.piece(longest.pieces[0]).section_of
    own = shapely.total_bounds(
        [piece.finished for piece in plan.pieces if piece.section_of == form]
    )
    step = share * float(own[first + 2] - own[first])
    for at in (bounds[first] - step, bounds[first] + step):
        yield axis, float(at)


def _sides(bounds: Bounds) -> tuple[float, float]:
    return float(bounds[2] - bounds[0]), float(bounds[3] - bounds[1])


def _percent(factor: float) -> str:
    return f"{(factor - 1) * 100:+.3g} %"


def _try(change: Change, seed: int, seconds: float) -> ChangeRow:
    try:
        job, traced = change.job, change.traced
        if job.form.kind == "full round":  # its layers go by scale and allowance
            job, traced = shaped(job, traced)
        plan = make_plan(job, change.workshop, traced, seed=seed, seconds=seconds)
    except (DrawingError, FitError, SettingsError) as error:
        return ChangeRow(name=change.name, refused=error.faults[0].what)
    return _row(change.name, plan)


def _row(name: str, plan: Plan) -> ChangeRow:
    broken = [fault for one in check_plan(plan) if not one.passed for fault in one.faults]
    if broken:
        raise ProofError(broken)
    estimate = plan.estimate
    return ChangeRow(
        name=name,
        blocks=len(plan.blocks),
        foam_m3=float(estimate.foam.bought) / 1000,
        price=estimate.price,
        waste_share=float(estimate.foam.waste_share),
        pieces=len(plan.pieces),
        seams=len(plan.seams),
        wire_m=(estimate.wire.foam_mm + estimate.slab_cut_mm) / 1000,
    )
