"""Tapers: the wire's line round a piece whose two faces differ, kerf included.

The two ends of the wire follow different lines in step, so that it sweeps a ruled
surface. Between two pairs of partners lies a *facet*. Each facet's wire line is set off
so that the round slot just touches the facet: further the more the facet leans, and
further on the side where the wire goes slower and melts a wider slot.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from wirepath.errors import Fault, FitError
from wirepath.geometry import QUAD_SEGS, shadow
from wirepath.kerf.law import KerfLaw
from wirepath.model import Piece, Ruled
from wirepath.tapering import normals, set_off, turns
from wirepath.workshop import Cutting

Point = tuple[float, float]
Points = NDArray[np.float64]

SLOWEST_SHARE = 0.2
"""The slower end goes at least at this share of the feed: slower, it burns a hole rather
than cuts. Common practice, no source."""

STAND_OFF_KERFS = 1.2
"""How many kerfs outside its line the wire leans over: an end that lags to a third of the
feed melts three times the kerf there, and still spares the piece."""

ROOM_KERFS = 1.2
"""How many kerfs lie between that line and a neighbour's wire line, besides the web: room for
what the lagging end melts on its other side."""

DEPTHS = 9
"""Depths at which it is looked at whether the slot spares the piece, both faces among them."""

ENOUGH_MM = 0.01
"""A slot that reaches no further into the piece is good: a fifth of what the proof allows."""

MOST_ROUNDS = 12
"""Rounds of setting off further: most pieces need two or three."""

MOST_LEFT_KERFS = 0.45
"""A facet set off further than this besides its own kerf would keep too much foam: the kerf is
too wide for it. The proof allows half a kerf."""

MITRE = 2.0
"""A sharper outer corner than this many offsets long is cut across."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaperLine:
    """The wire's way round a taper, kerf included: one feed for each end and each facet.

    `near_feeds[i]` and `far_feeds[i]` hold from point i to the next; both ends take the
    same time, so the longer side goes at the feed asked for.
    """

    line: Ruled
    near_feeds: tuple[float, ...]
    far_feeds: tuple[float, ...]


def taper_line(ruled: Ruled, cutting: Cutting, law: KerfLaw | None = None) -> TaperLine:
    """Return the wire's way round a taper, kerf included at both ends.

    `law` tells the kerf at the slower end's feed; without one it is `law_of` the cutting.
    Facets are set off further until the slot spares the piece at every depth
    looked at, where the lines turn against each other or are shorter than the faces'.
    Raises FitError where one end would hardly move, or an inner corner is too tight for
    the kerf.
    """
    law = law or law_of(cutting)
    near, far = np.array(ruled.near), np.array(ruled.far)
    lengths = [np.hypot(*(np.roll(ring, -1, axis=0) - ring).T) for ring in (near, far)]
    longer = np.maximum(*lengths)
    feeds = [cutting.feed_mm_per_s * length / longer for length in lengths]
    _refuse_standing(ruled, feeds, cutting)
    lean = (far - near) / ruled.thickness_mm
    offsets = [
        _offsets(ring, lean, np.array([law.kerf_mm(feed) for feed in side]) / 2)
        for ring, side in zip((near, far), feeds, strict=True)
    ]
    spikes = np.any([_is_spike(ring) for ring in (near, far)], axis=0)
    first = offsets
    for _ in range(MOST_ROUNDS):
        lines, owners = _lines(ruled, offsets, spikes)
        lacking = _lacking(ruled, lines, owners, cutting, law)
        if max(side.max() for side in lacking) < ENOUGH_MM:
            break
        offsets = [side + more for side, more in zip(offsets, lacking, strict=True)]
    else:
        raise FitError(_tight(ruled.near[int(np.maximum(*lacking).argmax())]))
    more = np.maximum(*(side - least for side, least in zip(offsets, first, strict=True)))
    if more.max() > MOST_LEFT_KERFS * cutting.kerf_mm:
        raise FitError(_tight(ruled.near[int(more.argmax())]))
    spans = [np.hypot(*(np.roll(line, -1, axis=0) - line).T) for line in lines]
    span = np.maximum(np.maximum(*spans), 1e-9)
    return TaperLine(
        line=Ruled(near=_tuples(lines[0]), far=_tuples(lines[1]), thickness_mm=ruled.thickness_mm),
        near_feeds=tuple(float(f) for f in cutting.feed_mm_per_s * spans[0] / span),
        far_feeds=tuple(float(f) for f in cutting.feed_mm_per_s * spans[1] / span),
    )


def law_of(cutting: Cutting) -> KerfLaw:
    """Return how the kerf goes with the feed: the law of the test cuts, through the kerf known.

    Where there are none, all of it goes with 1 / feed, the balance of energy: that leaves
    rather too much foam than too little.
    """
    base = min(cutting.kerf_base_mm or 0.0, cutting.kerf_mm)
    return KerfLaw(a_mm=base, b_mm2_per_s=(cutting.kerf_mm - base) * cutting.feed_mm_per_s)


def standing_off(line: Ruled, cutting: Cutting) -> LineString:
    """Return the closed line round a taper's wire line along which the wire may stand square.

    It keeps so far off that the wire can lean over there, one end lagging, without
    melting into the piece. Counter-clockwise.
    """
    seen = shadow(line).buffer(STAND_OFF_KERFS * cutting.kerf_mm, quad_segs=QUAD_SEGS)
    return LineString(shapely.orient_polygons(Polygon(seen.exterior)).exterior.coords)


def with_room(piece: Piece, cutting: Cutting) -> Piece:
    """Return the piece as it is to be laid out: a taper with the room its wire needs round it.

    Laid kerf + web from others, the line that stands off comes nowhere nearer to
    another wire line than the web.
    """
    if piece.taper is None:
        return piece
    ring = standing_off(taper_line(piece.taper.cut, cutting).line, cutting)
    room = Polygon(ring).buffer((ROOM_KERFS - 0.5) * cutting.kerf_mm, quad_segs=QUAD_SEGS)
    return replace(piece, outline=shapely.orient_polygons(room))


def _tuples(points: Points) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in points)


# --- Offset ------------------------------------------------------------------------


def _is_spike(ring: Points) -> NDArray[np.bool_]:
    return np.asarray(1 / np.maximum(np.cos(np.maximum(turns(ring), 0) / 2), 1e-9) > MITRE)


def _offsets(ring: Points, lean: Points, radii: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far each facet's line is set off in its face, (n,).

    A facet leans by s, its shift along the outline's normal per mm of depth. A wire that
    touches it with radius r runs r sqrt(1 + s^2) from the outline, measured in the face.
    """
    out = normals(ring)
    slopes = np.maximum(
        np.abs((lean * out).sum(axis=1)),
        np.abs((np.roll(lean, -1, axis=0) * out).sum(axis=1)),
    )
    offsets: NDArray[np.float64] = radii * np.sqrt(1 + slopes**2)
    return offsets


def _lines(
    ruled: Ruled, offsets: Sequence[NDArray[np.float64]], spikes: NDArray[np.bool_]
) -> tuple[list[Points], NDArray[np.int_]]:
    """Return near and far line, set off, and which facet each of their points begins."""
    lines, owners = [], np.arange(0)
    for ring, offset in zip((np.array(ruled.near), np.array(ruled.far)), offsets, strict=True):
        line, owners = _cut_across(ring, offset, spikes)
        lines.append(line)
    _refuse_tight(ruled, lines, owners)
    return lines, owners


def _lacking(
    ruled: Ruled,
    lines: Sequence[Points],
    owners: NDArray[np.int_],
    cutting: Cutting,
    law: KerfLaw,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return how much further each facet must be set off, near and far, (n,) each.

    At each depth a step of the wire melts what its speed and its lean there make it; where
    that reaches into a facet, the facet's line is moved out, more at the nearer face.
    """
    near, far = lines
    steps = [np.roll(line, -1, axis=0) - line for line in lines]
    longer = np.maximum(*(np.hypot(*step.T) for step in steps))
    leans = (far - near) / ruled.thickness_mm
    rings = np.array(ruled.near), np.array(ruled.far)
    lacking = np.zeros(len(rings[0])), np.zeros(len(rings[0]))
    for share in np.linspace(0, 1, DEPTHS):
        here = near + share * (far - near)
        step = np.roll(here, -1, axis=0) - here
        span = np.hypot(*step.T)
        slower = np.minimum(longer / np.maximum(span, 1e-9), 1 / SLOWEST_SHARE)
        across = np.column_stack((-step[:, 1], step[:, 0])) / np.maximum(span, 1e-9)[:, None]
        slopes = [np.abs((across * lean).sum(axis=1)) for lean in (leans, np.roll(leans, -1, 0))]
        widths = np.array([law.kerf_mm(cutting.feed_mm_per_s / lag) for lag in slower])
        halves = widths / 2 * np.sqrt(1 + np.maximum(*slopes) ** 2)
        edges = _edges(rings[0] + share * (rings[1] - rings[0]))
        wires = _edges(here)
        wire, edge = shapely.STRtree(edges).query(wires, predicate="dwithin", distance=halves)
        need = halves[wire] - shapely.distance(wires[wire], edges[edge])
        whole = (1 - share) ** 2 + share**2
        np.maximum.at(lacking[0], edge, need * (1 - share) / whole)
        np.maximum.at(lacking[1], edge, need * share / whole)
    return lacking


def _edges(ring: Points) -> NDArray[np.object_]:
    edges = shapely.linestrings(np.stack((ring, np.roll(ring, -1, axis=0)), axis=1))
    return np.asarray(edges)


def _cut_across(
    ring: Points, offsets: NDArray[np.float64], spikes: NDArray[np.bool_]
) -> tuple[Points, NDArray[np.int_]]:
    """Return the line set off from `ring`, (m, 2), and which point each belongs to, (m,).

    Corners are where the set-off edges meet; at a spike the line gets two points instead.
    """
    meeting = set_off(ring, offsets)
    after, before = normals(ring), np.roll(normals(ring), 1, axis=0)
    d_after, d_before = offsets, np.roll(offsets, 1)
    points, owners = [], []
    for i, corner in enumerate(ring):
        if spikes[i]:
            past = np.array([-before[i, 1], before[i, 0]])
            back = np.array([after[i, 1], -after[i, 0]])
            points += [
                corner + d_before[i] * (before[i] + past),
                corner + d_after[i] * (after[i] + back),
            ]
            owners += [i, i]
        else:
            points.append(meeting[i])
            owners.append(i)
    return np.array(points), np.array(owners)


def _refuse_standing(ruled: Ruled, feeds: Sequence[NDArray[np.float64]], cutting: Cutting) -> None:
    slowest = np.minimum(*feeds) / cutting.feed_mm_per_s
    at = int(slowest.argmin())
    if slowest[at] < SLOWEST_SHARE:
        x, y = ruled.near[at]
        raise FitError(
            Fault(
                f"one end of the wire would go at {slowest[at]:.0%} of the feed and burn a hole",
                f"near x {x:.1f}, y {y:.1f} mm",
                f"make the shorter outline longer there, or the taper less than 1 : "
                f"{1 / SLOWEST_SHARE:g}; or mark which corners belong together",
            )
        )


def _refuse_tight(ruled: Ruled, lines: Sequence[Points], owners: NDArray[np.int_]) -> None:
    """Raise FitError where an edge has turned round: the kerf is too wide for a hollow."""
    for ring, line in zip((np.array(ruled.near), np.array(ruled.far)), lines, strict=True):
        steps = np.roll(line, -1, axis=0) - line
        edges = np.roll(ring, -1, axis=0) - ring
        own = np.roll(owners, -1) != owners
        turned = own & ((steps * edges[owners]).sum(axis=1) < -1e-9)
        if turned.any() or not Polygon(line).is_valid:
            x, y = ring[owners[int(np.argmax(turned))]]
            raise FitError(_tight((x, y)))


def _tight(at: Point) -> Fault:
    return Fault(
        "a hollow is too tight for the kerf",
        f"near x {at[0]:.1f}, y {at[1]:.1f} mm",
        "open it, or cut with a smaller kerf",
    )
