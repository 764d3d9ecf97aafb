"""Tapers in a pass: the wire leans over, goes round with its ends apart, and stands up again.

A pass is first led round a taper as round any other piece: square to the face, along a
ring that stands off the wire's line (`kerf.standing_off`). Here each stretch along that
ring becomes the same stretch of the ruled line. Where the wire comes to the ring or
leaves it, it leans over, or stands up, while it moves: an end that stood still would
burn a hole. Leaned, it moves sideways to its line, both ends alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from wirepath.errors import Fault, FitError
from wirepath.geometry import place_ruled
from wirepath.kerf import KerfLaw, TaperLine, law_of, standing_off, taper_line
from wirepath.kerf.taper import STAND_OFF_KERFS
from wirepath.model import Layout, Move, MoveKind, Pass, Piece, WireLine
from wirepath.routing.reaching import at_ends, refuse_out_of_reach
from wirepath.routing.touring import DECIMALS, Ring
from wirepath.workshop import Cutting, Workshop

Points = NDArray[np.float64]

ON_RING_MM = 0.01
"""A move this near a ring all along runs on it."""

LEAN_SHARES = (0.0, 0.35, -0.35, 0.5, -0.5, 0.75, -0.75, 1.0, -1.0, 1.5, -1.5, 2.5, -2.5, 4.0, -4.0)
"""How far the wire goes along the ring while it leans over, as shares of its lean: tried
in turn. The further, the less its slower end lags."""

DEPTHS = 9
"""Depths at which leaning over is looked at, both faces among them."""

SLACK_MM = 0.02
"""How far leaning over may come nearer to a piece than its slot may: far less than shows."""


@dataclass(frozen=True, slots=True)
class _Approach:
    """How the wire comes from a point of the ring, square, to its line, leaned."""

    ruling: float
    """Where on the line it arrives, counted in rulings."""
    near: Points
    """The near end's three points: on the ring, leaned, on the line. (3, 2)."""
    far: Points


def lean(
    passes: Sequence[Pass], layout: Layout, pieces: Sequence[Piece], workshop: Workshop
) -> tuple[Pass, ...]:
    """Return the passes of a layout with its tapers cut as tapers.

    Raises FitError where the wire finds no way to lean over without entering the piece,
    and where wire or table do not reach so far.
    """
    cutting = workshop.cutting
    ways = [
        _Way(pieces[one.piece - 1], taper_line(ruled, cutting), ruled.section, cutting)
        for one in layout.placements
        if (taper := pieces[one.piece - 1].taper) is not None
        for ruled in [place_ruled(taper.cut, one)]
    ]
    if not ways:
        return tuple(passes)
    leaned = tuple(replace(one, moves=tuple(_leaned(one, ways))) for one in passes)
    refuse_out_of_reach(leaned, layout, workshop)
    return leaned


def leaning_ends(
    layout: Layout, pieces: Sequence[Piece], workshop: Workshop
) -> dict[int, tuple[LineString, LineString]]:
    """Return where the wire's two ends go round each taper of a layout, by piece.

    Raises FitError as `lean` does.
    """
    found = {}
    for one in layout.placements:
        taper = pieces[one.piece - 1].taper
        if taper is None:
            continue
        ruled = taper_line(place_ruled(taper.cut, one), workshop.cutting).line
        near, far = at_ends(LineString(ruled.near), LineString(ruled.far), layout, workshop.rig)
        found[one.piece] = (LineString(near), LineString(far))
    return found


def in_depth(
    layout: Layout,
    lines: Sequence[WireLine],
    passes: Sequence[Pass],
    pieces: Sequence[Piece],
    cutting: Cutting,
) -> Iterator[tuple[tuple[WireLine, ...], tuple[Pass, ...]]]:
    """Give the lines and the leaned passes of a layout as they are at each of several depths.

    Once as they are where nothing tapers.
    """
    ruled = {
        one.piece: taper_line(place_ruled(taper.cut, one), cutting).line
        for one in layout.placements
        if (taper := pieces[one.piece - 1].taper) is not None
    }
    for share in np.linspace(0, 1, DEPTHS).tolist() if ruled else [0.0]:
        yield (
            tuple(
                replace(line, ring=LineString(ruled[line.piece].section(share).exterior))
                if line.piece in ruled
                else line
                for line in lines
            ),
            tuple(
                replace(one, moves=tuple(_at_depth(move, share) for move in one.moves))
                for one in passes
            ),
        )


def _at_depth(move: Move, share: float) -> Move:
    if move.far is None:
        return move
    near, far = (shapely.get_coordinates(way) for way in (move.line, move.far))
    return replace(move, line=LineString(near + share * (far - near)), far=None)


def _leaned(one: Pass, ways: Sequence[_Way]) -> Iterator[Move]:
    """Yield the moves of a pass, those along a taper's ring turned into those of its line."""
    along = [next((way for way in ways if way.is_along(move)), None) for move in one.moves]
    begun: set[tuple[int, tuple[float, ...]]] = set()
    closes: dict[int, tuple[tuple[float, ...], float]] = {}
    ruling = 0.0
    for index, (move, way) in enumerate(zip(one.moves, along, strict=True)):
        if way is None:
            yield move
            continue
        before = along[index - 1] if index else None
        after = along[index + 1] if index + 1 < len(along) else None
        start, end = move.line.coords[0], move.line.coords[-1]
        feed = move.feed_mm_per_s
        if before is not way:
            approach = way.approach(start)
            ruling = approach.ruling
            kind: MoveKind = "slot" if (id(way), start) in begun else "link"
            begun.add((id(way), start))
            closes.setdefault(id(way), (start, ruling + way.count))
            yield from _run(kind, approach.near, approach.far, feed)
        to = way.onward(ruling, move.line)
        if move.kind == "outline" and end == closes[id(way)][0]:
            to = closes[id(way)][1]
        elif after is not way:
            to = way.lifted(way.approach(end).ruling, to)
        cut: MoveKind = "slot" if move.kind == "outline" and to < ruling else move.kind
        near, far = way.stretch(ruling, to)
        yield from _run(cut, near, far, feed, move.piece)
        ruling = to
        if after is not way:
            leave = way.approach(end)
            kind = "slot" if (id(way), end) in begun else "link"
            begun.add((id(way), end))
            yield from _run(kind, leave.near[::-1], leave.far[::-1], feed)


def _run(
    kind: MoveKind, near: Points, far: Points, feed: float, piece: int | None = None
) -> Iterator[Move]:
    """Yield the move along two ways, in rounded points; nothing where neither end moves."""
    near, far = (np.round(way, DECIMALS) + 0.0 for way in (near, far))
    moved = np.any(np.diff(np.hstack((near, far)), axis=0) != 0, axis=1)
    if not moved.any():
        return
    keep = np.concatenate(([True], moved))
    yield Move(
        kind=kind,
        line=LineString(near[keep]),
        far=LineString(far[keep]),
        feed_mm_per_s=feed,
        piece=piece,
    )


class _Way:
    """The line of one taper where it lies, and how it goes with the ring round it."""

    def __init__(self, piece: Piece, line: TaperLine, section: object, cutting: Cutting) -> None:
        self.piece = piece
        self.cutting = cutting
        self.law: KerfLaw = law_of(cutting)
        near, far = np.array(line.line.near), np.array(line.line.far)
        self.count = len(near)
        self.near, self.far = (np.concatenate((ring, ring[:1])) for ring in (near, far))
        self.thick_mm = line.line.thickness_mm
        self.ring = Ring(standing_off(line.line, cutting))
        self.near_ring = shapely.buffer(self.ring.line, ON_RING_MM)
        shapely.prepare(self.near_ring)
        # As far as this neighbours keep off the ring too: see `kerf.with_room`.
        self.most_mm = (STAND_OFF_KERFS + 0.5) * cutting.kerf_mm
        self.shares = np.linspace(0, 1, DEPTHS)
        assert callable(section)
        self.sections: list[Polygon] = [section(float(share)) for share in self.shares]
        self.approaches: dict[tuple[float, ...], _Approach] = {}
        self._pair_with_ring()

    def _pair_with_ring(self) -> None:
        """Find how far round the ring each ruling's outer end lies, in rising order."""
        outer = self._outer(self.near[:-1], self.far[:-1])
        at = np.asarray(shapely.line_locate_point(self.ring.line, shapely.points(outer)))
        length = self.ring.length
        steps = (np.diff(at) + length / 2) % length - length / 2
        rising = np.maximum.accumulate(np.concatenate(([0.0], np.cumsum(steps))))
        self.first = float(at[0])
        self.positions = np.concatenate((np.minimum(rising, length), [length]))

    def _outer(self, near: Points, far: Points) -> Points:
        """Return the end of each ruling that lies nearer to the ring, (n, 2)."""
        gaps = np.array(
            [shapely.distance(self.ring.line, shapely.points(ends)) for ends in (near, far)]
        )
        return np.where((gaps[0] <= gaps[1] + 1e-9)[:, None], near, far)

    def is_along(self, move: Move) -> bool:
        """Return whether a move runs along the ring, on behalf of this piece or back again."""
        if move.kind not in ("outline", "overrun", "slot") or move.line.length == 0:
            return False
        return bool(self.near_ring.covers(move.line))

    # --- Ring and rulings ---

    def _ruling_at(self, position: float) -> float:
        """Return the ruling, 0 up to the count, that belongs to a position on the ring."""
        way = (position - self.first) % self.ring.length
        return float(np.interp(way, self.positions, np.arange(self.count + 1)))

    def onward(self, ruling: float, line: LineString) -> float:
        """Return the ruling that the wire comes to from `ruling` while it would go along `line`."""
        ends = shapely.get_coordinates(line)[[0, -1]]
        start, end = (self.ring.position((float(x), float(y))) for x, y in ends)
        way = (end - start) % self.ring.length
        if self.ring.length - line.length < 1.0:
            return ruling + self.count
        turn = self._ruling_at(end) - self._ruling_at(start)
        if abs(way - line.length) < abs(self.ring.length - way - line.length):
            return ruling + turn % self.count
        return ruling - (-turn) % self.count

    def lifted(self, ruling: float, nearest: float) -> float:
        """Return `ruling` plus as many whole turns as bring it nearest to another."""
        return ruling + self.count * round((nearest - ruling) / self.count)

    def stretch(self, start: float, end: float) -> tuple[Points, Points]:
        """Return both ends' points from one ruling to another, both included, (n, 2) each."""
        low, high = min(start, end), max(start, end)
        between = np.arange(np.floor(low) + 1, np.ceil(high))
        rulings = np.concatenate(([low], between, [high])) % self.count
        if end < start:
            rulings = rulings[::-1]
        return self._at(rulings, self.near), self._at(rulings, self.far)

    def _at(self, rulings: NDArray[np.float64], ends: Points) -> Points:
        places = np.arange(self.count + 1)
        return np.column_stack([np.interp(rulings, places, axis) for axis in ends.T])

    # --- Leaning over ---

    def approach(self, point: Sequence[float]) -> _Approach:
        """Return how the wire comes from a point of the ring to its line. Raises FitError."""
        key = tuple(point)
        if key not in self.approaches:
            self.approaches[key] = self._found(np.array(key))
        return self.approaches[key]

    def _found(self, point: Points) -> _Approach:
        start = self.ring.position((float(point[0]), float(point[1])))
        here = self._ruling_at(start)
        near, far = self.stretch(here, here)
        leaning = math.dist(near[0], far[0])
        for share in LEAN_SHARES:
            tried = self._approach_over(point, start, share * leaning)
            if self._spares(tried):
                return tried
        raise FitError(
            Fault(
                "the wire finds no room to lean over beside the piece",
                f"piece {self.piece.number} {self.piece.name!r}, layout near x {point[0]:.0f}, "
                f"y {point[1]:.0f} mm",
                "make the taper smaller, or turn or part the piece",
            )
        )

    def _approach_over(self, point: Points, start: float, along_mm: float) -> _Approach:
        ruling = self._ruling_at(start + along_mm)
        near, far = self._at(np.array([ruling]), self.near), self._at(np.array([ruling]), self.far)
        outer = self._outer(near, far)[0]
        on_ring = self.ring.line.interpolate(self.ring.position((outer[0], outer[1])))
        out = np.array([on_ring.x, on_ring.y]) - outer
        return _Approach(
            ruling,
            np.vstack((point, near + out, near)),
            np.vstack((point, far + out, far)),
        )

    def _spares(self, tried: _Approach) -> bool:
        """Return whether the slot of an approach keeps off the piece at every depth looked at."""
        spans = [np.hypot(*np.diff(way, axis=0).T) for way in (tried.near, tried.far)]
        longer = np.maximum(np.maximum(*spans), 1e-9)
        tilt = np.hypot(*(tried.far[-1] - tried.near[-1])) / self.thick_mm
        for share, section in zip(self.shares, self.sections, strict=True):
            way = tried.near + share * (tried.far - tried.near)
            span = np.hypot(*np.diff(way, axis=0).T)
            speeds = self.cutting.feed_mm_per_s * np.maximum(span / longer, 1e-3)
            for step, speed in enumerate(speeds):
                if longer[step] < 10**-DECIMALS:
                    continue
                radius = self.law.kerf_mm(float(speed)) / 2 * np.sqrt(1 + tilt**2)
                # Where it ends the wire is on its line, which is set off for its own radius.
                least = min(radius, self.law.kerf_mm(self.cutting.feed_mm_per_s) / 2)
                wanted = radius if step == 0 else least
                if wanted > self.most_mm:
                    return False
                if section.distance(LineString(way[step : step + 2])) < wanted - SLACK_MM:
                    return False
        return True
