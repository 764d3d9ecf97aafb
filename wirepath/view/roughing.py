"""Roughing cuts for the view: what to do, the cutting plane, the wire in space."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, MultiPoint, Polygon

from wirepath.forming import form_levels
from wirepath.geometry import polygons
from wirepath.model import Blank, FaceMark, Plan, RoughingCut, RoughingPlan
from wirepath.roughing.directions import stands_on
from wirepath.roughing.pictures import cuts_of, layers_after
from wirepath.sheets.figures import beside, fixed, short, whole
from wirepath.view.shapes import SOLID_MM, Data, flat, form_solid, prism, rings
from wirepath.view.wording import ViewWords
from wirepath.wording.roughing import RoughingWords, blank_name, note_text, way_name
from wirepath.workshop import Paper

LAYERS = 12
"""Of a block while it is cut: as many as a phone turns at once."""

REACH_MM = 60.0
"""How far the wire is drawn beyond the block at either end."""

Points = NDArray[np.float64]


def roughing_data(
    plan: Plan, rough: RoughingPlan, words: ViewWords, rough_words: RoughingWords
) -> Data:
    """Return one form's roughing as plain data, cuts in order of work."""
    names = {piece.number: piece.name for piece in plan.pieces}
    blanks = {one.number: one for one in rough.blanks}
    levels = form_levels(plan.job, plan.traced).get(rough.name, ())
    points = np.vstack([_corners(one) for one in rough.blanks])
    box = [*points.min(axis=0), *points.max(axis=0)]
    return {
        "name": rough.name,
        "solid": form_solid(rough.name, levels, box),
        "about": [
            [words.rough_way, way_name(rough.way, rough_words)],
            [
                words.rough_off,
                words.rough_off_value.format(
                    litres=whole(rough.litres_off),
                    share=fixed(100 * rough.bulk_share),
                    bound=whole(rough.blanks_bound_litres),
                ),
            ],
            [
                words.rough_left,
                words.rough_left_value.format(
                    least=whole(rough.carve_least_litres), most=whole(rough.carve_most_litres)
                ),
            ],
        ],
        "blocks": {str(one.number): _standing(rough, one) for one in rough.blanks},
        "cuts": [
            _cut(
                one,
                cuts_of(rough, blanks[one.blank]).index(one) + 1,
                blanks[one.blank],
                blank_name(blanks[one.blank], names, rough_words),
                words,
                rough_words,
                plan.workshop.paper,
            )
            for one in rough.cuts
        ],
    }


def _standing(rough: RoughingPlan, blank: Blank) -> list[list[Data]]:
    """Return what stands of a block before its first cut and after each, as layers of prisms."""
    return [
        [
            {
                "from": low,
                "labelled": False,
                "prisms": [prism(part, low, high) for part in polygons(region)],
            }
            for low, high, region in layers_after(rough, blank, made, count=LAYERS)
        ]
        for made in range(len(cuts_of(rough, blank)) + 1)
    ]


def _cut(
    cut: RoughingCut,
    made: int,
    blank: Blank,
    called: str,
    words: ViewWords,
    rough_words: RoughingWords,
    paper: Paper,
) -> Data:
    corners = _in_plane(cut, _corners(blank))
    shadow = Polygon(shapely.get_coordinates(MultiPoint(corners).convex_hull))
    drawn: list[Geometry] = [shadow, *cut.lines, *cut.upper_lines, *cut.slits]
    low, high = _corners(blank)[0], _corners(blank)[-1]
    kind = dict(words.cut_kinds)[cut.kind]
    return {
        "number": cut.number,
        "blank": str(cut.blank),
        "made": made,
        "title": words.cut_title.format(kind=kind, what=called),
        "texts": [
            words.cut_title.format(kind=kind, what=called) + ".",
            *_texts(cut, words, rough_words, paper),
        ],
        "marks": [
            [str(pair.number), _mark(pair.first, words, paper), _mark(pair.second, words, paper)]
            for pair in cut.marks
        ],
        "frame": flat(shapely.total_bounds(drawn)),
        "shadow": flat(shadow.exterior.coords),
        "kept": [ring for one in cut.kept for ring in rings(one, SOLID_MM)],
        "lines": [flat(_thin(one)) for one in cut.lines],
        "slits": [flat(_thin(one)) for one in cut.slits],
        "box": flat([*low, *high]),
        "upper": [flat(_thin(one)) for one in cut.upper_lines],
        "strands": list(_strands(cut, blank)),
    }


def _texts(
    cut: RoughingCut, words: ViewWords, rough_words: RoughingWords, paper: Paper
) -> Iterator[str]:
    on = stands_on(cut.direction)
    if on is not None:
        yield dict(words.cut_stands)[on]
    elif cut.turn_deg:
        yield words.cut_turn.format(turn=short(cut.turn_deg))
    if cut.tilt_deg and cut.tilt_deg != 90:
        yield words.cut_tilt.format(tilt=short(cut.tilt_deg))
    if cut.mirrored:
        yield words.cut_mirrored
    wire_mm = cut.longest_wire_mm
    yield words.cut_wire.format(wire=beside(whole(wire_mm), wire_mm, paper))
    yield words.cut_off.format(litres=fixed(cut.litres))
    for lump in cut.offcuts:
        template = words.cut_lift if lump.people else words.cut_lift_more
        yield template.format(number=lump.number, weight=fixed(lump.weight_kg), people=lump.people)
    yield from (note_text(note, rough_words) for note in cut.notes)


def _mark(mark: FaceMark, words: ViewWords, paper: Paper) -> str:
    template = words.mark_flat if mark.face in ("back", "front") else words.mark
    return template.format(
        face=dict(words.faces)[mark.face],
        along=beside(whole(mark.along_mm), mark.along_mm, paper),
        height=beside(whole(mark.height_mm), mark.height_mm, paper),
    )


def _corners(blank: Blank) -> Points:
    """Return the blank's corners, (8, 3), in the form's frame."""
    low = np.array([blank.x_mm, blank.y_mm, blank.from_mm])
    size = np.array([blank.width_mm, blank.height_mm, blank.thickness_mm])
    picks = np.array([[i & 1, i >> 1 & 1, i >> 2 & 1] for i in range(8)])
    corners: Points = low + picks * size
    return corners


def _in_plane(cut: RoughingCut, points: Points) -> Points:
    """Return points (n, 3) of the form's frame in the cutting plane, (n, 2)."""
    axes = np.array([cut.direction.right, cut.direction.up])
    moved: Points = points @ axes.T - np.array(cut.datum)
    return moved


def _thin(line: LineString) -> Points:
    thin: Points = shapely.get_coordinates(line.simplify(SOLID_MM))
    return thin


def _strands(cut: RoughingCut, blank: Blank) -> Iterator[Data]:
    """Yield, for each line of a cut, where the wire's two ends pass in space."""
    if cut.upper_lines:
        # Slabs, point for point: the lower end passes the slab's back, the upper its front.
        back = np.array([0.0, 0.0, blank.from_mm])
        front = back + np.array([0.0, 0.0, blank.thickness_mm])
        for lower, upper in zip(cut.lines, cut.upper_lines, strict=True):
            ends = (_in_space(cut, shapely.get_coordinates(one)) for one in (lower, upper))
            near, far = ends
            yield {"near": flat(near + back), "far": flat(far + front)}
        return
    wire = np.array(cut.direction.wire)
    for line in cut.lines:
        start = _in_space(cut, _thin(line))
        enter, leave = _reach(start, wire, blank)
        yield {"near": flat(start + enter * wire), "far": flat(start + leave * wire)}


def _in_space(cut: RoughingCut, points: Points) -> Points:
    """Return points of the cutting plane, (n, 2), in the form's frame, (n, 3)."""
    axes = np.array([cut.direction.right, cut.direction.up])
    moved: Points = (points + np.array(cut.datum)) @ axes
    return moved


def _reach(start: Points, wire: Points, blank: Blank) -> tuple[Points, Points]:
    """Return how far along the wire it enters and leaves the blank grown by REACH_MM, (n, 1).

    Where it misses even that, it is drawn as long as the whole blank reaches.
    """
    corners = _corners(blank)
    low, high = corners[0] - REACH_MM, corners[-1] + REACH_MM
    level = np.abs(wire) < 1e-9
    along = np.where(level, 1.0, wire)
    first, second = (low - start) / along, (high - start) / along
    enter = np.where(level, -np.inf, np.minimum(first, second)).max(axis=1, keepdims=True)
    leave = np.where(level, np.inf, np.maximum(first, second)).min(axis=1, keepdims=True)
    missed = enter >= leave
    whole = corners @ wire
    return np.where(missed, whole.min(), enter), np.where(missed, whole.max(), leave)
