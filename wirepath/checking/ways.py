"""That the comparison of cut first and glue first says of the planned way what the plan says."""

from __future__ import annotations

import shapely

from wirepath.checking.finding import LENGTH_SHARE, Finding, found, same
from wirepath.errors import Fault
from wirepath.model import FoamBalance, Plan, SeamWay


def check_ways(plan: Plan) -> tuple[Finding, ...]:
    """Return whether the planned way is the one asked for, with the plan's own figures.

    No finding where nothing is parted. The other way's plan is not kept: that this one is
    cheaper is judged by the figures told.
    """
    parted = [piece for piece in plan.pieces if piece.section_of is not None]
    if not plan.ways and not plan.blanks:
        return ()
    made = "glue first" if plan.blanks else "cut first"
    rows = {row.way: row for row in plan.ways}
    faults: list[Fault] = []
    if len(rows) != 2 or len(plan.ways) != 2 or not parted:
        faults.append(Fault("two ways are to be compared where forms are parted", "ways"))
    if made in rows:
        faults += _figures(plan, rows[made], f"way {made!r}")
    asked = plan.job.seams.way
    if asked not in ("cheaper", made):
        faults.append(Fault(f"{made!r} is planned, {asked!r} asked", "seams.way"))
    return (
        found(
            0,
            "The comparison of both ways is that of this plan",
            f"{made} planned, {len(rows)} ways compared",
            faults,
        ),
    )


def _figures(plan: Plan, row: SeamWay, where: str) -> list[Fault]:
    """Return figures of the planned way that are not the plan's."""
    estimate, foam = plan.estimate, plan.estimate.foam
    edges = [seam for seam in plan.seams if seam.kind == "edge"]
    hour = plan.workshop.order.hour_price
    weights = [kg for _, kg in estimate.piece_weights_kg]
    weights += [
        blank.foam.bought * plan.workshop.foam(blank.form.foam).density_kg_per_m3 / 1000
        for blank in plan.blanks
    ]
    terms = (
        ("blocks", row.blocks, sum(line.needed for line in estimate.order)),
        ("foam_price", row.foam_price, estimate.foam_price),
        ("hands_price", row.hands_price, row.hands_min / 60 * hour),
        ("waste_share", row.waste_share, _waste_share(foam)),
        ("wire_mm", row.wire_mm, estimate.wire.foam_mm + estimate.slab_cut_mm),
        ("seams", row.seams, len(plan.seams)),
        ("seam_mm", row.seam_mm, sum(float(shapely.length(seam.place)) for seam in edges)),
        ("glue_mm2", row.glue_mm2, sum(_glue_mm2(plan, k) for k in range(len(plan.seams)))),
        ("carve_litres", row.carve_litres or 0.0, estimate.carve_litres or 0.0),
        ("heaviest_kg", row.heaviest_kg, max(weights)),
    )
    faults = [
        Fault(f"{told:.6g} stated, {right:.6g} worked out", f"{where}, {word}")
        for word, told, right in terms
        if not same(float(told), float(right), share=LENGTH_SHARE)
    ]
    if row.hands_min < estimate.cutting_min + estimate.setup_min:
        faults.append(Fault("hands take less than cutting and setting up", where))
    if row.why_not:
        faults.append(Fault(f"it is planned, but cannot be done: {row.why_not}", where))
    return faults


def _waste_share(foam: FoamBalance) -> float:
    """Return what is thrown away as a share of what is bought and taken from the rack."""
    return (foam.kerf + foam.trim + foam.scrap) / (foam.bought + foam.rack)


def _glue_mm2(plan: Plan, index: int) -> float:
    seam = plan.seams[index]
    if seam.strips is not None:
        strips = ((strip.to_mm - strip.from_mm) * strip.line.length for strip in seam.strips)
        return float(sum(strips))
    measure = shapely.area if seam.kind == "layer" else shapely.length
    size = float(measure(seam.place) - measure(seam.dry))
    return size if seam.kind == "layer" else size * (seam.to_mm - seam.from_mm)
