"""Putting together, for the view: each form's steps of gluing, and each load box by box."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely import LineString

from wirepath.geometry import seam_line
from wirepath.model import GlueStep, Load, Pin, Plan, SeamMark
from wirepath.sheets.figures import beside, kilos, runs, size_text, who_lifts, whole
from wirepath.sheets.gluing_sheet import how_to_glue, step_text
from wirepath.sheets.layer_picture import seam_name
from wirepath.view.shapes import CLOSE_MM, Data, flat, label_at, rings
from wirepath.view.wording import ViewWords
from wirepath.wording import Words

LETTER_SHARE = 1.6
"""From the middle of a seam to its letter, as a share of a mark's length."""
MARK_SHARE = 0.012
"""Half of a mark across a seam, as a share of the form."""


def joinings(plan: Plan, words: ViewWords, sheet_words: Words) -> list[Data]:
    """Return the forms to glue, then the loads of the van, in the order of work."""
    forms = dict.fromkeys(one.form for one in plan.assembly.steps)
    found = [_form(plan, form, words, sheet_words) for form in forms]
    return found + [_load(plan, load, words, sheet_words) for load in plan.loads]


def _form(plan: Plan, form: str, words: ViewWords, sheet_words: Words) -> Data:
    pieces = sorted(
        (one for one in plan.pieces if one.section_of == form), key=lambda one: one.from_mm
    )
    numbers = {one.number for one in pieces}
    bounds = shapely.total_bounds(np.array([one.finished for one in pieces], dtype=object))
    west, south, east, north = map(float, bounds)
    reach = MARK_SHARE * max(east - west, north - south)
    seams = []
    for number, seam in enumerate(plan.seams, 1):
        if not numbers.issuperset(seam.pieces):
            continue
        edge = seam.kind == "edge"
        at = (
            seam_line(seam.place).interpolate(0.5, normalized=True)
            if edge
            else shapely.point_on_surface(seam.place)
        )
        if edge:
            # The letter stands beside the seam, on the larger piece: numbers keep theirs.
            small = min((plan.piece(n) for n in seam.pieces), key=lambda one: one.finished.area)
            away = np.array([at.x, at.y]) - label_at(small.finished)
            step = away / max(float(np.hypot(*away)), 1e-9) * LETTER_SHARE * 2 * reach
            at = shapely.Point(at.x + step[0], at.y + step[1])
        lines = shapely.get_parts(seam.place if edge else shapely.boundary(seam.place))
        seams.append(
            {
                "number": number,
                "name": seam_name(number),
                "at": flat([at.x, at.y]),
                "lines": [flat(shapely.get_coordinates(line)) for line in lines],
                "marks": [
                    _across(mark, reach) for mark in plan.assembly.marks if mark.seam == number
                ],
                "pins": [_pin(pin, reach) for pin in plan.assembly.pins if pin.seam == number],
            }
        )
    return {
        "kind": "form",
        "name": words.join_form.format(form=form),
        "about": [sheet_words.gluing_caution, *how_to_glue(plan, sheet_words)],
        "box": flat([west, south, east, north]),
        "pieces": [
            {
                "number": one.number,
                "rings": rings(one.finished, CLOSE_MM),
                "at": label_at(one.finished),
            }
            for one in pieces
        ],
        "seams": seams,
        "steps": [
            {
                "number": step.number,
                "texts": list(_glue_texts(plan, step, words, sheet_words)),
                "moved": list(step.moved),
                "onto": list(step.onto),
                "seams": list(step.seams),
            }
            for step in plan.assembly.steps
            if step.form == form
        ],
    }


def _across(mark: SeamMark, reach: float) -> list[float]:
    turn = np.radians(mark.across_deg)
    way = np.array([np.cos(turn), np.sin(turn)]) * reach
    return flat(shapely.get_coordinates(LineString([mark.at - way, mark.at + way])))


def _pin(pin: Pin, reach: float) -> list[float]:
    """Return a pin's line; of an upright one, seen end on, a ring."""
    if pin.start[:2] == pin.end[:2]:
        ring = shapely.Point(*pin.start[:2]).buffer(reach / 2).exterior
        return flat(shapely.get_coordinates(ring))
    return flat([*pin.start[:2], *pin.end[:2]])


def _glue_texts(plan: Plan, step: GlueStep, words: ViewWords, sheet_words: Words) -> Iterator[str]:
    yield step_text(plan, step, sheet_words)
    weights = dict(plan.estimate.piece_weights_kg)
    weight = sum(weights.get(number, 0.0) for number in step.moved)
    yield words.join_weight.format(weight=kilos(weight), lift=_who(plan, weight, sheet_words))


def _load(plan: Plan, load: Load, words: ViewWords, sheet_words: Words) -> Data:
    van, paper = plan.workshop.van, plan.workshop.paper
    assert van is not None
    total = len(plan.loads)
    about = sheet_words.load_about.format(
        boxes=len(load.items),
        weight=kilos(load.weight_kg),
        payload=f"{van.payload_kg:g}",
        total=total,
        fewest=plan.fewest_loads,
    )
    return {
        "kind": "load",
        "name": sheet_words.load_title.format(number=load.number, total=total),
        "about": [about, *sheet_words.load_how],
        "above": f"{sheet_words.load_above}. {sheet_words.load_ends}",
        "side": f"{sheet_words.load_side}. {sheet_words.load_ends}",
        "van": flat([van.length_mm, van.width_mm, van.height_mm]),
        "steps": [
            {
                "number": number,
                "texts": [
                    words.load_step.format(
                        number=number,
                        pieces=runs(item.pieces),
                        weight=kilos(item.weight_kg),
                        lift=_who(plan, item.weight_kg, sheet_words),
                    ),
                    words.load_place.format(
                        x=beside(whole(item.x_mm), item.x_mm, paper),
                        y=beside(whole(item.y_mm), item.y_mm, paper),
                        z=beside(whole(item.z_mm), item.z_mm, paper),
                        size=size_text(
                            plan,
                            (item.length_mm, item.width_mm, item.height_mm),
                            sheet_words,
                            whole,
                        ),
                    ),
                ],
                "at": flat([item.x_mm, item.y_mm, item.z_mm]),
                "size": flat([item.length_mm, item.width_mm, item.height_mm]),
            }
            for number, item in enumerate(load.items, 1)
        ],
    }


def _who(plan: Plan, weight_kg: float, sheet_words: Words) -> str:
    who = who_lifts(plan, weight_kg, sheet_words)
    return f", {who}" if who else ""
