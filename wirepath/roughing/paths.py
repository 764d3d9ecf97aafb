"""The wire's way in the cutting plane: what it passes round, its line from air to air, marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, Polygon
from shapely.ops import substring

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Blank, FaceMark, FaceName, Level, MarkPair, WireDirection
from wirepath.roughing.directions import (
    chords,
    corners,
    datum,
    in_plane,
    shadow,
    silhouette,
    too_long,
)
from wirepath.roughing.stack import grown
from wirepath.simplifying import few_corners

Floats = NDArray[np.float64]

LEAD_MM = 20.0
"""How far outside the block a line starts and ends (common practice: 15 to 25 mm)."""

SLIVER_MM = 10.0
"""Waste nowhere thicker than this is left on: not worth a cut, and it would break."""

TOLERANCE_MM = 2.0
"""How far a path may stray outward for fewer corners, on any rig."""

FARTHEST_MM = 30.0
"""How far it may stray by hand, where it has more than `MOST_MARKS` corners otherwise."""

MOST_MARKS = 40
"""Stations on one cut by hand: two people call them out one by one (common practice)."""

EVEN_MM = 20.0
"""Places where the wire's length in the block is measured lie this far apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """How the wire moves in the cutting plane, no datum taken."""

    direction: WireDirection
    kept: tuple[Polygon, ...]
    """What the wire's centre passes round."""
    lines: tuple[LineString, ...]
    length_mm: float
    """Through the block, each place once."""
    area_m2: float
    longest_wire_mm: float
    holes_m2: float
    """Holes seen right through the form, which need a slit or a threaded wire; left in."""


def way_round(
    levels: Sequence[Level],
    blank: Blank,
    direction: WireDirection,
    *,
    reach_mm: float,
    wire_mm: float,
    by_hand: bool,
) -> Way | None:
    """Return the wire's way round the form at a distance of `reach_mm` or a little more.

    It never lies where more than `wire_mm` of it would be in the block, and leaves
    slivers on. None where nothing can be freed.
    """
    seen = grown(silhouette(tuple(levels), direction), reach_mm)
    shade = shadow(blank, direction)
    long = too_long(blank, direction, wire_mm)
    blocked = overlay.union([seen, long, _outside(long, shade)])
    solid = overlay.union([Polygon(part.exterior) for part in polygons(blocked)])
    holes = overlay.intersection(overlay.difference(solid, blocked), shade)
    kept = with_slivers(solid, shade)
    outlines = simplified(kept, shade, by_hand=by_hand)
    return way_along(outlines, blank, direction, holes_m2=float(holes.area) / 1e6)


def _outside(core: Polygon, shade: Polygon) -> Geometry:
    """Return the air beside the places of too long a wire, so that no way runs along the
    block's surface there."""
    edge = overlay.intersection(core.boundary, shapely.buffer(shade.boundary, 1e-3))
    beside = shapely.buffer(edge, 2 * LEAD_MM, cap_style="flat", join_style="mitre")
    found: Geometry = overlay.difference(beside, shade)
    return found


def way_along(
    kept: Sequence[Polygon], blank: Blank, direction: WireDirection, *, holes_m2: float = 0.0
) -> Way | None:
    """Return the wire's way along the rims of `kept`, or None where it frees nothing."""
    shade = shadow(blank, direction)
    lines = wire_lines(kept, shade)
    rims = overlay.union([overlay.intersection(part.exterior, shade) for part in kept])
    cut = overlay.union([overlay.intersection(line, shade) for line in lines])
    if not lines or rims.length == 0:
        return None
    places = shapely.get_coordinates(shapely.segmentize(cut, EVEN_MM))
    one, other = chords(blank, direction, places)
    wires = np.linalg.norm(one - other, axis=1)
    mean = float(np.nanmean(wires)) if np.isfinite(wires).any() else 0.0
    return Way(
        direction=direction,
        kept=tuple(kept),
        lines=tuple(lines),
        length_mm=float(cut.length),
        area_m2=float(cut.length) * mean / 1e6,
        longest_wire_mm=float(np.nanmax(wires)) if np.isfinite(wires).any() else 0.0,
        holes_m2=holes_m2,
    )


def with_slivers(solid: Geometry, shade: Polygon) -> Geometry:
    """Return `solid` with waste that is nowhere thicker than `SLIVER_MM` counted in."""
    waste = polygons(overlay.difference(shade, solid))
    thin = [w for w in waste if shapely.buffer(w, -SLIVER_MM / 2).is_empty]
    if not thin:
        return solid
    found: Geometry = overlay.union([solid, *shapely.buffer(thin, 1e-3, join_style="mitre")])
    return found


def simplified(solid: Geometry, shade: Polygon, *, by_hand: bool) -> tuple[Polygon, ...]:
    """Return `solid` without holes and with few corners, nowhere smaller."""
    near = overlay.intersection(solid, shapely.box(*shapely.buffer(shade, 4 * LEAD_MM).bounds))
    parts = [
        few_corners(
            Polygon(part.exterior),
            tolerance_mm=TOLERANCE_MM,
            most_corners=MOST_MARKS if by_hand else 10_000,
            farthest_mm=FARTHEST_MM,
        )
        for part in polygons(near)
    ]
    return tuple(Polygon(part.exterior) for part in polygons(overlay.union(parts)))


def wire_lines(kept: Sequence[Polygon], shade: Polygon) -> list[LineString]:
    """Return lines from air to air that run once along every rim within the block's shadow."""
    lines: list[LineString] = []
    closed: list[Polygon] = []
    for part in kept:
        ring = LineString(shapely.orient_polygons(part).exterior)
        inside = overlay.intersection(ring, shade)
        if inside.length < 1e-6:
            continue
        if shade.contains_properly(ring):
            closed.append(part)
        else:
            lines.extend(_open_runs(ring, shade))
    lines.extend(_closed_runs(closed, kept, shade))
    return lines


def _open_runs(ring: LineString, shade: Polygon) -> list[LineString]:
    """Return the runs of a ring within the shadow, each led on along the ring into the air."""
    total = ring.length
    runs = []
    for part in joined_lines(overlay.intersection(ring, shade)):
        at, half = ring.project(part.interpolate(0.5, normalized=True)), part.length / 2
        if half > 1e-3:
            runs.append((at - half, at + half))
    if not runs:
        return []
    runs.sort()
    # Begin the ring in the air, so that no run is split at its seam.
    first = runs[0][0]
    runs = [(a - first, b - first) for a, b in runs]
    merged = [runs[0]]
    for a, b in runs[1:]:
        if a <= merged[-1][1] + 2 * LEAD_MM:
            merged[-1] = (merged[-1][0], max(b, merged[-1][1]))
        else:
            merged.append((a, b))
    if len(merged) > 1 and merged[0][0] + total - merged[-1][1] <= 2 * LEAD_MM:
        a, _ = merged.pop()
        merged[0] = (a - total, merged[0][1])
    found = []
    for a, b in merged:
        lead = max(0.0, min(LEAD_MM, (total - (b - a)) / 2 - 1e-6))
        found.append(_along(ring, first + a - lead, first + b + lead))
    return found


def joined_lines(geometry: Geometry) -> list[LineString]:
    """Return the lines in `geometry`, those that touch joined."""
    merged = shapely.line_merge(
        shapely.multilinestrings(
            [part for part in shapely.get_parts(geometry) if part.geom_type == "LineString"]
        )
    )
    return [part for part in shapely.get_parts(merged) if part.length > 0]


def _along(ring: LineString, start: float, end: float) -> LineString:
    """Return the ring from `start` to `end`, distances along it, past its seam if need be."""
    total = ring.length
    shift = np.floor(start / total) * total
    start, end = start - shift, end - shift
    if end <= total:
        return LineString(shapely.get_coordinates(substring(ring, start, end)))
    head, tail = substring(ring, start, total), substring(ring, 0.0, end - total)
    points = np.concatenate([shapely.get_coordinates(head), shapely.get_coordinates(tail)[1:]])
    return LineString(points)


def _closed_runs(
    closed: list[Polygon], kept: Sequence[Polygon], shade: Polygon
) -> list[LineString]:
    """Return a line for each rim wholly in the block: in by a link, round, and out by its slot.

    Links are the shortest that join each rim to the air or to a rim that is reached
    already; a shortest link crosses no other rim.
    """
    air = overlay.difference(shade.exterior, overlay.union(list(kept)))
    reached: list[tuple[Geometry, list[Floats]]] = [(air, [])]
    waiting = list(closed)
    lines = []
    while waiting:
        gaps = [
            (shapely.distance(part, place), i, j)
            for i, part in enumerate(waiting)
            for j, (place, _) in enumerate(reached)
        ]
        _, i, j = min(gaps)
        part, (place, way) = waiting.pop(i), reached[j]
        ring = LineString(part.exterior)
        link = shapely.get_coordinates(shapely.shortest_line(place, ring))
        if not way:
            out = link[0] - link[1]
            norm = float(np.hypot(*out))
            start = link[0] + out / norm * LEAD_MM if norm > 1e-9 else link[0]
            lead = [start[None, :], link]
        else:
            walk = _shorter_way(place, way[-1][-1], link[0])
            lead = [*way, walk, link]
        at = ring.project(shapely.Point(link[1]))
        around = shapely.get_coordinates(_along(ring, at, at + ring.length))
        path = np.concatenate([*lead, around, *[piece[::-1] for piece in lead[::-1]]])
        keep = np.ones(len(path), dtype=bool)
        keep[1:] = np.hypot(*np.diff(path, axis=0).T) > 1e-9
        lines.append(LineString(path[keep]))
        reached.append((ring, lead))
    return lines


def _shorter_way(rim: Geometry, start: Floats, end: Floats) -> Floats:
    """Return the points from `start` to `end` along a closed rim, the shorter way, (n, 2)."""
    ring = LineString(shapely.get_coordinates(rim))
    a, b = ring.project(shapely.Point(start)), ring.project(shapely.Point(end))
    ahead = (b - a) % ring.length
    if ahead <= ring.length / 2:
        return shapely.get_coordinates(_along(ring, a, a + ahead))
    return shapely.get_coordinates(_along(ring, b, b + ring.length - ahead))[::-1]


def marks(way: Way, blank: Blank) -> tuple[MarkPair, ...]:
    """Return numbered pairs of marks on the block's faces: a straight wire from mark to mark
    follows the path. A mark stands at each corner of the path and wherever an end of the
    wire passes an edge of the block.
    """
    edges = _edges(blank, way.direction)
    pairs: list[MarkPair] = []
    for line in way.lines:
        places = _stations(line, edges, shadow(blank, way.direction))
        one, other = chords(blank, way.direction, places)
        for a, b in zip(one, other, strict=True):
            if np.isfinite(a).all():
                pairs.append(
                    MarkPair(
                        number=len(pairs) + 1,
                        first=face_mark(blank, a, way.direction, leaving=False),
                        second=face_mark(blank, b, way.direction, leaving=True),
                    )
                )
    return tuple(pairs)


def face_mark(blank: Blank, point: Floats, direction: WireDirection, *, leaving: bool) -> FaceMark:
    """Return the mark for a point on the blank's surface.

    On an edge the face is the one that the wire passes more squarely.
    """
    x, y, z = point - np.array([blank.x_mm, blank.y_mm, blank.from_mm])
    sign = 1.0 if leaving else -1.0
    wire = sign * np.array(direction.wire)
    far: list[tuple[float, float, FaceName]] = []
    faces: tuple[tuple[int, float, float, tuple[FaceName, FaceName]], ...] = (
        (0, x, blank.width_mm, ("left", "right")),
        (1, y, blank.height_mm, ("bottom", "top")),
        (2, z, blank.thickness_mm, ("back", "front")),
    )
    for axis, value, size, names in faces:
        if wire[axis] > 1e-9:
            far.append((round(abs(size - value), 3), -wire[axis], names[1]))
        elif wire[axis] < -1e-9:
            far.append((round(abs(value), 3), wire[axis], names[0]))
    face = min(far)[2]
    if face in ("left", "right"):
        return FaceMark(face=face, along_mm=float(y), height_mm=float(z))
    if face in ("bottom", "top"):
        return FaceMark(face=face, along_mm=float(x), height_mm=float(z))
    return FaceMark(face=face, along_mm=float(x), height_mm=float(y))


def shifted(geometry: Geometry, blank: Blank, direction: WireDirection) -> Geometry:
    """Return `geometry` in the cutting plane's own frame, measured from its datum."""
    u, v = datum(blank, direction)
    return shapely.transform(geometry, lambda points: points - np.array([u, v]))


def _edges(blank: Blank, direction: WireDirection) -> Geometry:
    """Return the twelve edges of a blank as they look along the wire."""
    points = in_plane(corners(blank), direction)
    pairs = [(i, i | bit) for i in range(8) for bit in (1, 2, 4) if not i & bit]
    lines = [points[[a, b]] for a, b in pairs if np.hypot(*(points[a] - points[b])) > 1e-9]
    found: Geometry = overlay.union(shapely.linestrings(lines))
    return found


def _stations(line: LineString, edges: Geometry, shade: Polygon) -> Floats:
    """Return the places of marks along a line, (n, 2), each once, in order."""
    crossings = shapely.get_coordinates(overlay.intersection(line, edges))
    crossings = np.concatenate(
        [crossings, shapely.get_coordinates(overlay.intersection(line, shade.exterior))]
    )
    path = shapely.get_coordinates(line)
    steps = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    extra = np.atleast_1d(shapely.line_locate_point(line, shapely.points(crossings)))
    along = np.sort(np.concatenate([steps, extra]))
    keep = np.ones(len(along), dtype=bool)
    keep[1:] = np.diff(along) > 1.0
    along = along[keep]
    places = shapely.get_coordinates(shapely.line_interpolate_point(line, along))
    inside = shapely.covers(shapely.buffer(shade, 1e-6), shapely.points(places))
    return places[inside]
