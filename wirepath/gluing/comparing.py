"""Cut first or glue first: what each way takes, whether it can be done, and which is cheaper."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from wirepath.errors import Fault, FitError, WirepathError
from wirepath.geometry import travel_needed_mm
from wirepath.model import GluedBlank, Plan, SeamSettings, SeamWay, WayName
from wirepath.sectioning import GLUE_MIN_PER_M2, PIECE_MIN
from wirepath.units import kilograms, told_apart
from wirepath.workshop import Workshop

DUST_MM = 1e-6
"""Lengths that differ by less are equal."""


def refuse_van(workshop: Workshop) -> None:
    """Raise FitError where a van is to take what is glued first: that is not planned."""
    if workshop.van is not None:
        what = "whether the glued form goes into the van is not planned"
        mend = "ask for pieces cut first, or take [van] out of the workshop file"
        raise FitError([Fault(what, "seams.way", mend)])


def figures(plan: Plan) -> SeamWay:
    """Return what the plan's way takes, with why it cannot be done, if it cannot.

    Hands are cutting and setting up as estimated, and the minutes a part of a larger form
    and a square metre of glue count for when seams are chosen.
    """
    estimate = plan.estimate
    parts = sum(piece.section_of is not None for piece in plan.pieces)
    glue_mm2 = float(sum(seam.area_mm2 for seam in plan.seams))
    hands_min = (
        estimate.cutting_min
        + estimate.setup_min
        + PIECE_MIN * parts
        + GLUE_MIN_PER_M2 * glue_mm2 / 1e6
    )
    weights = [weight for _, weight in estimate.piece_weights_kg]
    weights += [blank_kg(plan, blank) for blank in plan.blanks]
    return SeamWay(
        way="glue first" if plan.blanks else "cut first",
        why_not="; ".join(dict.fromkeys(_hindrances(plan))),
        blocks=estimate.to_buy,
        foam_price=estimate.foam_price,
        hands_min=hands_min,
        hands_price=hands_min / 60 * plan.workshop.order.hour_price,
        waste_share=float(estimate.foam.waste_share),
        wire_mm=estimate.wire.foam_mm + estimate.slab_cut_mm,
        seams=len(plan.seams),
        seam_mm=sum(seam.length_mm for seam in plan.seams),
        glue_mm2=glue_mm2,
        heaviest_kg=max(weights),
        carve_litres=estimate.carve_litres,
    )


def blank_kg(plan: Plan, blank: GluedBlank) -> float:
    """Return what a blank weighs before the form is cut from it."""
    density = plan.workshop.foam(blank.form.foam).density_kg_per_m3
    return kilograms(blank.foam.bought * 1e6, density)


def _hindrances(plan: Plan) -> Iterator[str]:
    """Give why a blank cannot be cut on this rig."""
    rig, wire_mm = plan.workshop.rig, plan.workshop.wire.length_mm
    lift = plan.workshop.lift
    most_kg = {
        "one person": lift.one_person_kg,
        "two people": lift.two_people_kg,
        "no limit": float("inf"),
    }[plan.job.seams.lift]
    for blank in plan.blanks:
        layout = blank.layout
        if layout.thickness_mm > wire_mm + DUST_MM:
            yield (
                f"the blank of {blank.form.name!r} is "
                f"{told_apart(layout.thickness_mm, wire_mm, 0)} mm thick, "
                f"the wire {wire_mm:g} mm long"
            )
        if rig.kind != "table":
            continue
        for axis, side, travel in (
            ("x", layout.width_mm, rig.travel_x_mm),
            ("y", layout.height_mm, rig.travel_y_mm),
        ):
            needed = travel_needed_mm(side, plan.workshop.cutting)
            # A blank that is moved between setups has been led in each of them.
            if travel is not None and not layout.setups and needed > travel + DUST_MM:
                yield (
                    f"the blank of {blank.form.name!r} takes "
                    f"{told_apart(needed, travel, 0)} mm of travel along "
                    f"{axis}, the table has {travel:g} mm"
                )
        weight = blank_kg(plan, blank)
        if weight > most_kg:
            yield (
                f"the blank of {blank.form.name!r} weighs {told_apart(weight, most_kg, 0)} kg "
                "and must be lifted "
                f"on to the table; {plan.job.seams.lift} may lift {most_kg:g} kg"
            )


def choose(made: Mapping[WayName, Plan | WirepathError], asked: SeamSettings) -> Plan:
    """Return the plan of the way asked for, or of the cheaper one that can be done.

    `made` are the plans of both ways, or what kept them from being made. Hands count by
    the hour's price, or without one by the cheapest block's, as seams do. Raises what kept
    the way asked for from being made, FitError where it cannot be done.
    """
    rows = {
        way: figures(one)
        if isinstance(one, Plan)
        else SeamWay(way=way, why_not="; ".join(fault.what for fault in one.faults))
        for way, one in made.items()
    }
    wanted = [way for way in made if asked.way in ("cheaper", way)]
    able = {
        way: one for way in wanted if isinstance(one := made[way], Plan) and not rows[way].why_not
    }
    if able:
        best = min(able, key=lambda way: (_rank(able[way], rows[way]), list(made).index(way)))
        return replace(able[best], ways=tuple(rows.values()))
    faults: list[Fault] = []
    for way in wanted:
        one = made[way]
        if isinstance(one, WirepathError):
            faults += one.faults
        else:
            mend = "ask for the other way, or change what stands in the way"
            what = f"{way} cannot be done: {rows[way].why_not}"
            faults.append(Fault(what, "seams.way", mend))
    raise FitError(list(dict.fromkeys(faults)))


def _rank(plan: Plan, row: SeamWay) -> float:
    order = plan.workshop.order
    hour = order.hour_price or min(
        stock.price for stock in plan.workshop.stock if stock.foam == plan.job.form.foam
    )
    return round(row.foam_price + row.hands_min / 60 * hour, 6)
