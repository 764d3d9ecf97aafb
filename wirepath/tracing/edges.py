"""Lines drawn along outlines -> the stretches of outline that they mark."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, STRtree
from shapely.ops import substring

from wirepath import overlay
from wirepath.model import Note, Outline
from wirepath.tracing.faults import Flaw
from wirepath.tracing.joined import EXACT_MM
from wirepath.tracing.lines import in_mm

CORNER_RAD = math.radians(30.0)
"""A mark that ends this near to a turn sharper than this was meant to end at the corner."""

ALONG_WIDTHS = 5.0
"""A line that stays near an outline for fewer of the widths it may stray only crosses it."""

EXACT_SHARE = 0.2
"""Unless it lies nearer than this share of that width: then it was drawn on the outline."""

HAIR_MM = 1e-6

Span = tuple[float, float]
"""From where to where along a ring; the end is past the ring's length where it runs round."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """The stretches marked, and what is wrong with or to be told of the lines."""

    stretches: tuple[LineString, ...]
    flaws: tuple[Flaw, ...]
    notes: tuple[Note, ...]


def run_along(lines: Sequence[LineString], outlines: Sequence[Outline], within_mm: float) -> Marked:
    """Return the stretches of the outlines' rings that the lines run along.

    A line may stray by `within_mm`. A mark that ends that near to a corner ends at it, and
    marks that are no farther apart are one. Where outlines share an edge, each is marked.
    What of a line runs along no outline counts for nothing and is told; a line that runs
    along none at all is a flaw.
    """
    within = max(within_mm, HAIR_MM)
    rings = [
        LineString(ring.coords)
        for outline in outlines
        for ring in (outline.polygon.exterior, *outline.polygon.interiors)
    ]
    spans: list[list[Span]] = [[] for _ in rings]
    rooms = shapely.buffer(np.array(rings, dtype=object), within)
    tree = STRtree(rooms)
    flaws, notes = [], []
    for line in lines:
        kept = []
        for index in sorted(tree.query(line).tolist()):
            for part in _parts_along(line, rings[index], rooms[index], within):
                kept.append(rooms[index])
                if (span := _span(part, rings[index], within)) is not None:
                    spans[index].append(span)
        off = overlay.difference(line, overlay.union(kept)) if kept else line
        x, y = line.interpolate(0.5, normalized=True).coords[0]
        if not kept:
            flaws.append(
                Flaw(
                    what=f"a line on a finished layer, {line.length:.4g} mm long, runs along no "
                    f"outline{_how_far(line, rings)}",
                    at=(x, y),
                    mend="draw it over the edge that is to be cut finished, take it off the "
                    "layer, or let it stray further with finished_within_mm",
                )
            )
        elif shapely.length(off) > within:
            at = shapely.get_coordinates(off)[0]
            notes.append(
                Note(
                    kind="ignored",
                    text=f"{in_mm(shapely.length(off))} of a line on a finished layer run along no "
                    "outline and mark nothing",
                    at=(float(at[0]), float(at[1])),
                )
            )
    stretches = [
        _stretch(ring, span)
        for ring, own in zip(rings, spans, strict=True)
        for span in _joined(own, ring.length, within)
    ]
    return Marked(
        stretches=tuple(sorted(stretches, key=lambda one: (one.bounds, one.length))),
        flaws=tuple(flaws),
        notes=tuple(notes),
    )


def _how_far(line: LineString, rings: Sequence[LineString]) -> str:
    if not rings:
        return ""
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(line, line.length / 8)))
    away = shapely.distance(shapely.multilinestrings(list(rings)), points).max()
    return f": it strays by {in_mm(float(away))}"


def _parts_along(
    line: LineString, ring: LineString, room: shapely.Geometry, within: float
) -> Iterator[LineString]:
    """Give the parts of a line that run along a ring, and do not only cross or touch it."""
    near = line if shapely.covers(room, line) else overlay.intersection(line, room)
    for part in shapely.get_parts(shapely.line_merge(near)):
        if not isinstance(part, LineString) or part.length <= HAIR_MM:
            continue
        points = shapely.points(shapely.get_coordinates(shapely.segmentize(part, part.length / 8)))
        away = float(shapely.distance(ring, points).max())
        if part.length >= ALONG_WIDTHS * within or away <= EXACT_SHARE * within:
            yield part


def _span(part: LineString, ring: LineString, within: float) -> Span | None:
    """Return from where to where a part marks its ring; None where only a point is left."""
    length = float(ring.length)
    if part.is_closed or part.length > length - within:
        return 0.0, length
    points, corners = _corners(ring)
    ends = (float(ring.project(Point(part.coords[tip]))) for tip in (0, -1))
    start, end = sorted(
        _at_nearest(_at_nearest(one, corners, length, within), points, length, EXACT_MM)
        for one in ends
    )
    ways = [
        (one, other)
        for one, other in ((start, end), (end, start + length))
        if other - one > HAIR_MM
    ]

    def unlike(way: Span) -> float:
        stretch = _stretch(ring, way)
        apart = shapely.hausdorff_distance(stretch, part, densify=0.1)
        return float(apart + abs(stretch.length - part.length))

    best = min(ways, key=unlike, default=None)
    return best if best is not None and unlike(best) < part.length else None


def _corners(ring: LineString) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return where along a ring its points are, and which of these are corners: (n,) each."""
    points = shapely.get_coordinates(ring)[:-1]
    steps = np.roll(points, -1, axis=0) - points
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    turn = (heading - np.roll(heading, 1) + np.pi) % (2 * np.pi) - np.pi
    at = np.concatenate([[0.0], np.cumsum(np.hypot(*steps.T))])[:-1]
    return at, at[np.abs(turn) > CORNER_RAD]


def _at_nearest(at: float, places: NDArray[np.float64], length: float, within: float) -> float:
    """Return the nearest of some places along a ring, if it lies near enough."""
    if not len(places):
        return at
    away = np.abs(places - at)
    away = np.minimum(away, length - away)
    nearest = int(np.argmin(away))
    return float(places[nearest]) if away[nearest] <= within else at


def _joined(spans: Sequence[Span], length: float, within: float) -> list[Span]:
    """Return the spans of a ring, those that overlap or nearly meet as one."""
    joined: list[Span] = []
    for start, end in sorted(spans):
        if joined and start <= joined[-1][1] + within:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    while len(joined) > 1 and joined[-1][1] - length >= joined[0][0] - within:
        first = joined.pop(0)
        joined[-1] = (joined[-1][0], max(joined[-1][1], first[1] + length))
    if len(joined) == 1 and joined[0][1] - joined[0][0] >= length - within:
        return [(0.0, length)]
    return joined


def _stretch(ring: LineString, span: Span) -> LineString:
    """Return the part of a ring from one place to another."""
    start, end = span
    parts = [substring(ring, start, min(end, ring.length))]
    if end > ring.length + HAIR_MM:
        parts.append(substring(ring, 0.0, end - ring.length))
    points = [point for part in parts for point in part.coords]
    return shapely.remove_repeated_points(LineString(points), HAIR_MM)
