"""Whether a piece is what was drawn: its outline, its faces, and the allowance round them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from shapely import Polygon
from shapely.affinity import translate

from wirepath import overlay
from wirepath.checking.bare import Bare
from wirepath.checking.finding import CRUMB_MM2, DEPTH_MM, EXACT_MM
from wirepath.checking.levels import ALL_ROUND, least_grown, most_grown
from wirepath.checking.solids import depths, section
from wirepath.errors import Fault
from wirepath.model import Outline, Piece, Plan, Taper


def same_region(drawn: Polygon, finished: Polygon) -> bool:
    """Return whether two outlines bound the same area, but for a crumb."""
    if finished.equals_exact(drawn, EXACT_MM):
        return True
    return float(shapely.area(overlay.symmetric_difference(drawn, finished))) <= CRUMB_MM2


def grown(finished: Polygon, outline: Polygon, allowance_mm: float, bare: Bare = ALL_ROUND) -> bool:
    """Return whether an outline lies the allowance outside the finished one.

    Between the least and the most that count as widened; in `bare` no foam is left on.
    """
    if not allowance_mm and outline.equals_exact(finished, EXACT_MM):
        return True
    least = least_grown(finished, allowance_mm, bare)
    most = most_grown(finished, allowance_mm, bare)
    return bool(
        shapely.area(overlay.difference(least, outline)) <= CRUMB_MM2
        and shapely.area(overlay.difference(outline, most)) <= CRUMB_MM2
    )


def taper_faults(
    plan: Plan, piece: Piece, taper: Taper, drawn: Sequence[Outline], where: str
) -> list[Fault]:
    """Return where a taper's faces are not those drawn, or its outline does not hold it."""
    near, far = (section(taper.finished, share) for share in (0.0, 1.0))
    faults = []
    if drawn and not any(same_region(outline.polygon, near) for outline in drawn):
        faults.append(Fault("its near face is not the outline that was read", where))
    if not _is_far_face(plan, taper, near, far):
        faults.append(Fault("its far face is not what the drawing or the job says", where))
    for word, share in (("near", 0.0), ("far", 1.0)):
        if not grown(section(taper.finished, share), section(taper.cut, share), piece.allowance_mm):
            what = f"its {word} face is not the finished one plus {piece.allowance_mm:g} mm"
            faults.append(Fault(what, where))
    for share, _ in depths(taper.cut.thickness_mm):
        for solid, seen in ((taper.finished, piece.finished), (taper.cut, piece.outline)):
            beside = shapely.area(overlay.difference(section(solid, share), seen))
            if beside > CRUMB_MM2:
                what = f"its outline seen from the front misses {beside:.1f} mm2 of it"
                return [*faults, Fault(what, where)]
    return faults


def _is_far_face(plan: Plan, taper: Taper, near: Polygon, far: Polygon) -> bool:
    """Return whether a far face is the outline of its name, or a draft that the job asks for."""
    if taper.far is not None:
        drawn = [
            one.polygon
            for one in (*plan.traced.far, *plan.traced.outlines)
            if one.name == taper.far
        ]
        moved = any(one.align != "as drawn" for one in plan.job.tapers)
        return any(
            same_region(one, far) or (moved and same_region(_onto(one, far), far)) for one in drawn
        )
    drafts = [
        one.draft_mm
        if one.draft_mm is not None
        else math.tan(math.radians(one.draft_deg or 0.0)) * taper.finished.thickness_mm
        for one in plan.job.tapers
        if one.far is None
    ]
    return any(_is_drafted(near, far, draft) for draft in drafts)


def _onto(drawn: Polygon, far: Polygon) -> Polygon:
    """Return an outline moved, not turned, to where a face lies."""
    return translate(drawn, far.bounds[0] - drawn.bounds[0], far.bounds[1] - drawn.bounds[1])


def _is_drafted(near: Polygon, far: Polygon, draft_mm: float) -> bool:
    """Return whether every edge of a far face lies the draft inside the near one.

    Measured from the middles of its edges to the other face's outline, square to them.
    """
    ring = shapely.get_coordinates(far.exterior)
    middles = shapely.points((ring[1:] + ring[:-1]) / 2)
    away = shapely.distance(near.exterior, middles)
    inside = shapely.contains(near, middles)
    if abs(draft_mm) > EXACT_MM and not (inside if draft_mm > 0 else ~inside).all():
        return False
    # Near a sharp hollow the outline may bend closer to an edge than the edge it came from.
    return bool((away <= abs(draft_mm) + DEPTH_MM).all() and away.max() >= abs(draft_mm) - DEPTH_MM)
