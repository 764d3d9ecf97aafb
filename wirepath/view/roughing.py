"""Roughing cuts for the view: what to do, the cutting plane, the wire in space."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, MultiPoint, Polygon

from wirepath.forming import form_levels
from wirepath.model import Blank, FaceMark, Plan, RoughingCut, RoughingPlan
from wirepath.sheets.figures import fixed, short, whole
from wirepath.view.shapes import SOLID_MM, Data, flat, form_solid, rings
from wirepath.view.wording import ViewWords

REACH_MM = 60.0
"""How far the wire is drawn beyond the block at either end."""

Points = NDArray[np.float64]


def roughing_data(plan: Plan, rough: RoughingPlan, words: ViewWords) -> Data:
    """Return one form's roughing as plain data, cuts in order of work."""
    blanks = {one.number: one for one in rough.blanks}
    levels = form_levels(plan.job, plan.traced).get(rough.name, ())
    points = np.vstack([_corners(one) for one in rough.blanks])
    box = [*points.min(axis=0), *points.max(axis=0)]
    return {
        "name": rough.name,
        "solid": form_solid(rough.name, levels, box),
        "about": [
            [words.rough_way, rough.way],
            [
                words.rough_off,
                words.rough_off_value.format(
                    litres=whole(rough.litres_off),
                    share=fixed(100 * rough.bulk_share),
                    bound=whole(rough.bound_litres),
                ),
            ],
            [
                words.rough_left,
                words.rough_left_value.format(
                    least=whole(rough.carve_least_litres), most=whole(rough.carve_most_litres)
                ),
            ],
        ],
        "cuts": [_cut(one, blanks[one.blank], words) for one in rough.cuts],
    }


def _cut(cut: RoughingCut, blank: Blank, words: ViewWords) -> Data:
    corners = _in_plane(cut, _corners(blank))
    shadow = Polygon(shapely.get_coordinates(MultiPoint(corners).convex_hull))
    drawn: list[Geometry] = [shadow, *cut.lines, *cut.upper_lines]
    kind = dict(words.cut_kinds)[cut.kind]
    return {
        "number": cut.number,
        "title": words.cut_title.format(kind=kind, blank=cut.blank),
        "texts": list(_texts(cut, kind, words)),
        "marks": [
            [str(pair.number), _mark(pair.first, words), _mark(pair.second, words)]
            for pair in cut.marks
        ],
        "frame": flat(shapely.total_bounds(drawn)),
        "shadow": flat(shadow.exterior.coords),
        "kept": [ring for one in cut.kept for ring in rings(one, SOLID_MM)],
        "lines": [flat(_thin(one)) for one in cut.lines],
        "upper": [flat(_thin(one)) for one in cut.upper_lines],
        "strands": list(_strands(cut, blank)),
    }


def _texts(cut: RoughingCut, kind: str, words: ViewWords) -> Iterator[str]:
    yield words.cut_title.format(kind=kind, blank=cut.blank) + "."
    if cut.turn_deg:
        yield words.cut_turn.format(turn=short(cut.turn_deg))
    if cut.tilt_deg and cut.tilt_deg != 90:
        yield words.cut_tilt.format(tilt=short(cut.tilt_deg))
    if cut.mirrored:
        yield words.cut_mirrored
    yield words.cut_wire.format(wire=whole(cut.longest_wire_mm))
    yield words.cut_off.format(litres=fixed(cut.litres))
    for lump in cut.offcuts:
        template = words.cut_lift if lump.people else words.cut_lift_more
        yield template.format(number=lump.number, weight=fixed(lump.weight_kg), people=lump.people)
    yield from cut.notes


def _mark(mark: FaceMark, words: ViewWords) -> str:
    template = words.mark_flat if mark.face in ("back", "front") else words.mark
    return template.format(
        face=dict(words.faces)[mark.face],
        along=whole(mark.along_mm),
        height=whole(mark.height_mm),
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
    direction = cut.direction
    right, up, wire = (np.array(one) for one in (direction.right, direction.up, direction.wire))
    reach = _corners(blank) @ wire
    near, far = float(reach.min()) - REACH_MM, float(reach.max()) + REACH_MM
    for index, line in enumerate(cut.lines):
        # Both ends of a slanted wire go point for point: neither line may be thinned alone.
        thin = _thin(line)
        ends = (
            [shapely.get_coordinates(one) for one in (line, cut.upper_lines[index])]
            if cut.upper_lines
            else [thin, thin]
        )
        places = [one + np.array(cut.datum) for one in ends]
        start, end = (p[:, :1] * right + p[:, 1:] * up for p in places)
        if cut.upper_lines:
            # Slabs: the wire's lower end passes the slab's back, its upper end its front.
            low = np.array([0.0, 0.0, blank.from_mm])
            high = np.array([0.0, 0.0, blank.from_mm + blank.thickness_mm])
            yield {"near": flat(start + low), "far": flat(end + high)}
        else:
            yield {"near": flat(start + near * wire), "far": flat(end + far * wire)}
