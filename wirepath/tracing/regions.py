"""Closed rings -> regions with holes, by how they lie in one another. In mm.

A region an even number of regions deep is a part, an odd number deep a hole in the one
around it: an island in a hole is a part of its own.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Geometry, Polygon, STRtree

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Note
from wirepath.tracing.faults import Flaw
from wirepath.tracing.joined import MOST_PAIRS, Joined
from wirepath.tracing.lines import MOST_MEETINGS, Ints, Lines, meetings

THIN_MM = 1.0
"""A part thinner than this all along is most likely an outline drawn twice, slightly off.
Common practice, no source: no foam is cut thinner than the wire's own slot."""


@dataclass(slots=True)
class Regions:
    """Parts with their holes, the pieces each part's own outer line is made of, what to tell."""

    parts: list[Polygon] = field(default_factory=list)
    made_of: list[Ints] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    flaws: list[Flaw] = field(default_factory=list)


def regions(joined: Joined, tolerance_mm: float) -> Regions:
    """Return the parts that the rings and faces of `joined` make.

    Lines nearer than `tolerance_mm` on the whole of their length are taken as one: the
    same curve may have been flattened in two ways.
    """
    found = Regions()
    areas, made_of = _areas(joined, found)
    if not len(areas):
        return found
    areas, made_of = _without_doubles(areas, made_of, tolerance_mm, found)
    if _crowd(areas) > MOST_PAIRS:
        x, y = _middle(areas)
        found.flaws.append(
            Flaw(
                what=f"{len(areas)} closed lines lie over each other too often to be sorted out",
                at=(x, y),
                mend="erase hatching and construction lines, or name the layers to be read",
            )
        )
        return found
    tree = STRtree(areas)
    _tell_overlaps(areas, tree, tolerance_mm, found)
    depth, parent = _nest(areas, tree)
    _build(areas, made_of, depth, parent, found)
    _tell_thin(found)
    return found


def _areas(joined: Joined, found: Regions) -> tuple[Lines, list[Ints]]:
    """Return every ring and face as a valid area, and what it is made of."""
    areas: list[Polygon] = []
    made_of: list[Ints] = []
    if joined.rings:
        drawn = np.array([Polygon(ring.coords) for ring in joined.rings], dtype=object)
        sound = np.asarray(shapely.is_valid(drawn))
        for area, is_sound, of in zip(drawn, sound.tolist(), joined.ring_of, strict=True):
            parts = [area] if is_sound else _even_odd(area, found)
            areas += parts
            made_of += [of] * len(parts)
    areas += joined.faces
    made_of += joined.face_of
    return np.array(areas, dtype=object), made_of


def _even_odd(area: Polygon, found: Regions) -> list[Polygon]:
    """Return what an odd number of turns of a crossing line enclose, and tell it."""
    at = _place_in(shapely.is_valid_reason(area))
    if meetings(np.array([area.exterior])) > MOST_MEETINGS:
        found.flaws.append(
            Flaw(
                what="a line crosses itself too often to be sorted out",
                at=at,
                mend="redraw it, or put it on a layer that is not read",
            )
        )
        return []
    found.notes.append(
        Note(
            kind="repair",
            text="a line touches or crosses itself; what lies an odd number of lines in is foam",
            at=at,
        )
    )
    return polygons(shapely.make_valid(area, method="linework"))


def _place_in(reason: str) -> tuple[float, float] | None:
    """Return the place GEOS names in a reason such as 'Self-intersection[3 4]'."""
    match = re.search(r"\[(\S+) (\S+)\]", reason)
    return (float(match[1]), float(match[2])) if match else None


def _without_doubles(
    areas: Lines, made_of: list[Ints], tolerance_mm: float, found: Regions
) -> tuple[Lines, list[Ints]]:
    """Return the areas without those that repeat an earlier one."""
    middles = shapely.centroid(areas)
    size = shapely.area(areas)
    slack = np.minimum(tolerance_mm, 0.001 * np.sqrt(size)) * shapely.length(areas)
    tree = STRtree(middles)
    sample = middles[:: max(1, len(middles) // 200)]
    if tree.query(sample, predicate="dwithin", distance=tolerance_mm).shape[1] > 1000 * len(sample):
        return areas, made_of
    a, b = tree.query(middles, predicate="dwithin", distance=tolerance_mm)
    near = (a < b) & (np.abs(size[a] - size[b]) <= slack[a])
    a, b = a[near], b[near]
    differ = shapely.area(overlay.symmetric_difference(areas[a], areas[b]))
    again = np.unique(b[differ <= slack[a]])
    for x, y in shapely.get_coordinates(middles[again]).tolist():
        found.notes.append(
            Note(kind="repair", text="an outline drawn twice is taken once", at=(x, y))
        )
    keep = np.setdiff1d(np.arange(len(areas)), again)
    return areas[keep], [made_of[i] for i in keep.tolist()]


def _crowd(areas: Lines) -> float:
    """Return about how many pairs of areas have boxes that meet."""
    sample = areas[:: max(1, len(areas) // 200)]
    hits = STRtree(areas).query(sample).shape[1]
    return float(hits / len(sample) * len(areas) / 2)


def _middle(areas: Lines) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = shapely.total_bounds(areas).tolist()
    return (low_x + high_x) / 2, (low_y + high_y) / 2


def _tell_overlaps(areas: Lines, tree: STRtree, tolerance_mm: float, found: Regions) -> None:
    """Add a flaw for every two areas of which neither lies inside the other nor beside it."""
    a, b = tree.query(areas, predicate="overlaps")
    a, b = a[a < b], b[a < b]
    if not len(a):
        return
    shared = overlay.intersection(areas[a], areas[b])
    common = shapely.area(shared)
    size = np.minimum(shapely.area(areas[a]), shapely.area(areas[b]))
    length = np.minimum(shapely.length(areas[a]), shapely.length(areas[b]))
    slack = np.minimum(tolerance_mm * length, 0.01 * size)
    partly = (common > slack) & (size - common > slack)
    for part in shared[partly]:
        x, y = shapely.get_coordinates(shapely.point_on_surface(part))[0]
        found.flaws.append(
            Flaw(
                what="two outlines partly overlap, so it is unclear what is foam",
                at=(float(x), float(y)),
                mend="move them apart, or trim them to one outline in the drawing",
            )
        )


def _nest(areas: Lines, tree: STRtree) -> tuple[Ints, Ints]:
    """Return for each area how many others it lies in, and the smallest of them or -1.

    Where areas partly overlap, the one holds the other that holds a point well inside it.
    """
    size = shapely.area(areas)
    points = shapely.point_on_surface(areas)
    inner, outer = tree.query(points, predicate="within")
    holds = (size[outer] > size[inner]) | ((size[outer] == size[inner]) & (outer < inner))
    inner, outer = inner[holds], outer[holds]
    depth = np.bincount(inner, minlength=len(areas))
    parent = np.full(len(areas), -1)
    order = np.argsort(-size[outer], kind="stable")
    parent[inner[order]] = outer[order]
    return depth, parent


def _build(areas: Lines, made_of: list[Ints], depth: Ints, parent: Ints, found: Regions) -> None:
    """Fill in the parts: areas at even depth less the areas right inside them."""
    children: dict[int, list[int]] = {}
    for index in np.flatnonzero(depth % 2).tolist():
        children.setdefault(int(parent[index]), []).append(index)
    for index in np.flatnonzero(depth % 2 == 0).tolist():
        area = areas[index]
        holes = [areas[i] for i in children.get(index, ())]
        parts = _less(area, holes)
        found.parts += parts
        found.made_of += [made_of[index]] * len(parts)
        if len(parts) > 1:
            x, y = shapely.get_coordinates(shapely.shortest_line(parts[0], parts[1]))[0].tolist()
            found.notes.append(
                Note(
                    kind="warning",
                    text=f"a hole touches its outline, so the part falls into {len(parts)}",
                    at=(x, y),
                )
            )


def _less(area: Polygon, holes: list[Polygon]) -> list[Polygon]:
    """Return `area` without `holes`, outer ring counter-clockwise."""
    whole: Geometry = area
    if holes:
        plain = not area.interiors and not any(hole.interiors for hole in holes)
        whole = Polygon(area.exterior, [hole.exterior for hole in holes])
        if not (plain and shapely.is_valid(whole)):
            gone = shapely.union_all(np.array(holes, dtype=object))
            whole = overlay.difference(area, gone)
    return [shapely.orient_polygons(part) for part in polygons(whole) if part.area > 0]


def _tell_thin(found: Regions) -> None:
    """Add a warning for every part that is but a thin band around a hole."""
    for part in found.parts:
        if not part.interiors:
            continue
        thick = 2 * part.area / part.length
        if thick < THIN_MM and thick < 0.05 * part.exterior.length / 4:
            x, y = part.exterior.coords[0]
            found.notes.append(
                Note(
                    kind="warning",
                    text=f"a part is only {thick:.2g} mm thick around its hole: is its outline "
                    "drawn twice?",
                    at=(x, y),
                )
            )
