"""The fewest setups in which a table reaches every piece of a block larger than its travel.

Each piece, with what lies in its holes, is cut in one setup. Places of the block are tried
where a piece just comes within the travel, or just clear of a clamp; of these the fewest are
chosen that reach all pieces (a set cover, searched by breadth, exact up to `MOST_STATES`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from types import MappingProxyType

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, Polygon, STRtree, box

from wirepath import overlay
from wirepath.errors import Fault, FitError
from wirepath.geometry import off_table, on_table, polygons
from wirepath.model import Layout, Setup, WireLine
from wirepath.routing.tables import away_mm, laid, seen_from_block, sides_within, window
from wirepath.workshop import Workshop

MOST_SETUPS = 8
"""More are not looked for: a larger table, or smaller blocks, are better by then."""

MOST_STATES = 2_000
"""Choices kept for each number of setups, those that reach most."""

MOST_PLACES = 20_000
"""Places of a block tried; with more, those beside clamps are left out."""

ROUND_MM = (1000.0, 500.0, 100.0, 50.0, 10.0, 5.0, 1.0)
"""A block is pushed by a multiple of the first of these that will do: easy to measure."""

Boxes = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Choice:
    """One setup, and the lines that are cut in it, by their index."""

    setup: Setup
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Group:
    """A piece with all that lies in its holes or runs on its line: cut in one setup."""

    lines: tuple[int, ...]
    bounds: tuple[float, float, float, float]
    rings: Geometry


@dataclass(frozen=True, slots=True)
class _Place:
    """A place of the block on the table: turned, then pushed left and down; or right and up."""

    turn_deg: float
    pushed: tuple[float, float]
    reached: int
    """The groups it reaches, as the bits of a number."""
    hangs: bool
    """Whether more than half of the block lies past the datum corner: it may tip."""

    @property
    def effort(self) -> tuple[float, float, float]:
        """How much moving it takes: hanging over counts most, then turning, then pushing."""
        turned = abs((self.turn_deg + 90) % 360 - 90)
        return float(self.hangs), turned, sum(map(abs, self.pushed))


def choices(
    layout: Layout,
    lines: Sequence[WireLine],
    workshop: Workshop,
    leaning: Mapping[int, Sequence[LineString]] = MappingProxyType({}),
) -> tuple[Choice, ...]:
    """Return the fewest setups found that reach all lines, in order, the least moves first.

    A line stands in the first setup that reaches it. `leaning` holds for tapers, by piece, where
    the wire's two ends go besides. Raises FitError naming each piece that
    no setup reaches.
    """
    table = _Table(layout, lines, workshop, leaning)
    places = list(table.places())
    missed = [
        group
        for at, group in enumerate(table.groups)
        if not any(place.reached >> at & 1 for place in places)
    ]
    if missed:
        raise FitError([table.refusal(group) for group in missed])
    chosen = _cover(places, len(table.groups))
    left = set(range(len(table.groups)))
    found = []
    for place in sorted(chosen, key=lambda one: one.effort):
        own = [at for at in sorted(left) if place.reached >> at & 1]
        left -= set(own)
        setup = table.eased(place, own)
        found.append(
            Choice(setup, tuple(sorted(index for at in own for index in table.groups[at].lines)))
        )
    return tuple(found)


def _cover(places: Sequence[_Place], count: int) -> tuple[_Place, ...]:
    """Return the fewest places that together reach all groups, of these the least effort."""
    best: dict[int, _Place] = {}
    for place in sorted(places, key=lambda one: (one.effort, one.turn_deg, one.pushed)):
        best.setdefault(place.reached, place)
    kept = [
        one
        for one in best.values()
        if not any(one.reached | other == other != one.reached for other in best)
    ]
    everything = (1 << count) - 1
    reach = [[one for one in kept if one.reached >> at & 1] for at in range(count)]
    # By what is reached so far: the places taken. One that reaches the group hardest to reach
    # must be among them, so nothing else need be tried next.
    states: dict[int, tuple[_Place, ...]] = {0: ()}
    for _ in range(MOST_SETUPS):
        more: dict[int, tuple[_Place, ...]] = {}
        for reached, taken in states.items():
            missing = [at for at in range(count) if not reached >> at & 1]
            for one in min((reach[at] for at in missing), key=len):
                other, now = (*taken, one), reached | one.reached
                if now not in more or _effort(other) < _effort(more[now]):
                    more[now] = other
        if everything in more:
            return more[everything]
        most = sorted(more, key=lambda reached: (-reached.bit_count(), _effort(more[reached])))
        states = {reached: more[reached] for reached in most[:MOST_STATES]}
    raise FitError(
        Fault(
            f"more than {MOST_SETUPS} setups would be needed to reach all its pieces",
            "",
            "use smaller blocks, or a table with more travel",
        )
    )


def _effort(places: Sequence[_Place]) -> tuple[float, ...]:
    return tuple(sum(parts) for parts in zip(*(one.effort for one in places), strict=True))


class _Table:
    """What a table reaches of a layout, wherever its block lies."""

    def __init__(
        self,
        layout: Layout,
        lines: Sequence[WireLine],
        workshop: Workshop,
        leaning: Mapping[int, Sequence[LineString]],
    ) -> None:
        self.layout, self.workshop = layout, workshop
        self.rig, cutting = workshop.rig, workshop.cutting
        self.away_mm, self.reach_mm = away_mm(cutting), cutting.widest_kerf_mm / 2
        self.window = window(self.rig, cutting)
        self.lines = lines
        self.groups = _groups(lines, self.rig.shift_error_mm, leaning)
        turns = {"no": (0.0,), "half": (0.0, 180.0), "quarter": (0.0, 90.0, 180.0, 270.0)}
        level = self.rig.wire_lies == "level"
        # A block that stands before a level wire would be cut upside down, or on its end.
        self.turns = (0.0,) if level else turns[self.rig.block_may_turn]
        self.pushes = (self.rig.block_may_shift, self.rig.block_may_shift and not level)

    def places(self) -> Iterator[_Place]:
        """Give the places that reach anything, each with what it reaches."""
        for turn in self.turns:
            boxes = self._boxes(turn)
            sides = self._face(turn, (0.0, 0.0)).bounds[2:]
            ways = [self._pushes(boxes, axis, sides, beside_clamps=True) for axis in (0, 1)]
            if len(ways[0]) * len(ways[1]) > MOST_PLACES:
                ways = [self._pushes(boxes, axis, sides, beside_clamps=False) for axis in (0, 1)]
            for pushed in product(ways[0], ways[1]):
                reached = self._reached(turn, pushed, boxes)
                if reached:
                    hangs = any(2 * one > side for one, side in zip(pushed, sides, strict=True))
                    yield _Place(turn, pushed, reached, hangs)

    def _boxes(self, turn_deg: float) -> Boxes:
        """Return the bounds of the groups, (n, 4), on the table, the block not pushed yet."""
        setup = laid(self.layout, turn_deg, (0.0, 0.0))
        return np.array([on_table(box(*one.bounds), setup).bounds for one in self.groups])

    def _pushes(
        self, boxes: Boxes, axis: int, sides: Sequence[float], *, beside_clamps: bool
    ) -> list[float]:
        """Return how far the block, of `sides`, may be pushed along an axis: those that bring a
        group just within the travel, or just past a clamp."""
        if not self.pushes[axis]:
            return [0.0]
        low, high = boxes[:, axis], boxes[:, axis + 2]
        tries = [np.zeros(1), np.floor(low - self.window.bounds[axis])]
        for clamp in self.rig.clamps if beside_clamps else ():
            bounds = clamp.polygon.bounds
            tries.append(np.floor(low - bounds[axis + 2] - self.reach_mm))
            tries.append(np.ceil(high - bounds[axis] + self.reach_mm))
        found = np.unique(np.concatenate(tries))
        # Negative: laid so far right of the corner, or above it, to come clear of a clamp.
        return [float(one) for one in found[(found > -sides[axis]) & (found < sides[axis])]]

    def _face(self, turn_deg: float, pushed: Sequence[float]) -> Polygon:
        face = box(0, 0, self.layout.width_mm, self.layout.height_mm)
        return on_table(face, laid(self.layout, turn_deg, pushed))

    def _reached(self, turn_deg: float, pushed: Sequence[float], boxes: Boxes) -> int:
        """Return the groups that can be cut with the block there, as the bits of a number."""
        face = self._face(turn_deg, pushed)
        setup = laid(self.layout, turn_deg, pushed)
        if not self._lies(face) or not self._sides(setup):
            return 0
        here = boxes - np.tile(pushed, 2)
        west, south, east, north = self.window.bounds
        slack = 1e-6
        within = (
            (here[:, 0] >= west - slack)
            & (here[:, 1] >= south - slack)
            & (here[:, 2] <= east + slack)
            & (here[:, 3] <= north + slack)
        )
        clamps = [off_table(clamp.polygon, setup) for clamp in self.rig.clamps]
        bits = 0
        for at in np.flatnonzero(within).tolist():
            if not shapely.dwithin(self.groups[at].rings, clamps, self.reach_mm - slack).any():
                bits |= 1 << at
        return bits

    def _lies(self, face: Polygon) -> bool:
        """Return whether the block can lie there: what stands beside it at first stays beside
        it, clamps and the wire where it waits; and where clamps hold it, one does there too."""
        first = box(0, 0, self.layout.width_mm, self.layout.height_mm)
        clamps = np.array([clamp.polygon for clamp in self.rig.clamps], dtype=object)
        posts = overlay.difference(clamps, first)
        if (shapely.area(overlay.intersection(posts, face)) > 0).any():
            return False
        held, holds = (shapely.area(overlay.intersection(clamps, one)) > 0 for one in (first, face))
        if held.any() and not holds.any():
            return False
        if self.rig.waits_at is None:
            return True
        place = shapely.points(self.rig.waits_at)
        kept_off = shapely.buffer(face, self.away_mm - 0.001, join_style="mitre")
        return bool(self.window.covers(place) and not kept_off.intersects(place))

    def _sides(self, setup: Setup) -> bool:
        """Return whether the wire gets into the block at any of its sides."""
        here = seen_from_block(self.workshop, self.layout, setup)
        open_sides = set(sides_within(self.layout, off_table(self.window, setup), self.away_mm))
        if here.rig.wire_lies == "level":
            open_sides -= {"lower"}
        return bool(open_sides & set(here.cutting.entry_sides or open_sides))

    def eased(self, place: _Place, own: Sequence[int]) -> Setup:
        """Return the place with its pushes rounded, as far as it still reaches groups `own`."""
        boxes = self._boxes(place.turn_deg)
        wanted = sum(1 << at for at in own)
        pushed = list(place.pushed)
        for axis in (0, 1):
            if not self.pushes[axis] or pushed[axis] < 0:
                continue
            least = float(boxes[own, axis + 2].max()) - self.window.bounds[axis + 2]
            most = float(boxes[own, axis].min()) - self.window.bounds[axis]
            middle = max((least + most) / 2, 0.0)
            tries = [0.0] if least <= 0 else []
            for step in ROUND_MM:
                near = round(middle / step) * step
                tries += [near] if max(least, 0.0) <= near <= most else []
            for one in tries:
                other = [*pushed]
                other[axis] = one
                if self._reached(place.turn_deg, other, boxes) & wanted == wanted:
                    pushed = other
                    break
        return laid(self.layout, place.turn_deg, pushed)

    def refusal(self, group: _Group) -> Fault:
        """Return the fault that tells of a piece that no setup reaches."""
        pieces = sorted({self.lines[index].piece for index in group.lines})
        x0, y0, x1, y1 = group.bounds
        west, south, east, north = self.window.bounds
        travel = " x ".join(
            "any" if span > 1e5 else f"{span:g}" for span in (east - west, north - south)
        )
        return Fault(
            f"{x1 - x0:.0f} x {y1 - y0:.0f} mm with its slot, is reached in no setup: the table "
            f"moves {travel} mm"
            + (f", with {len(self.rig.clamps)} clamps on it" if self.rig.clamps else ""),
            f"layout {self.layout.number}, piece {', '.join(map(str, pieces))}",
            "part it by a seam, "
            + ("let the block be turned (rig.block_may_turn), " if len(self.turns) == 1 else "")
            + ("move the clamps, " if self.rig.clamps else "")
            + "or use a table with more travel",
        )


def _groups(
    lines: Sequence[WireLine], error_mm: float, leaning: Mapping[int, Sequence[LineString]]
) -> list[_Group]:
    """Return the lines parted into what must be cut in one setup, in order of the first line.

    What lies in another piece's hole, and what runs nearer to another line than the block
    may lie off its marks.
    """
    outer = [index for index, line in enumerate(lines) if not line.is_hole]
    areas = shapely.buffer([Polygon(lines[index].ring) for index in outer], error_mm / 2)
    lumps = polygons(overlay.union(areas))
    inner = [shapely.get_point(line.ring, 0) for line in lines]
    at, which = STRtree(lumps).query(inner, predicate="intersects")
    order = dict(zip(at.tolist(), which.tolist(), strict=True))
    groups: dict[int, list[int]] = {}
    for index in range(len(lines)):
        groups.setdefault(order[index], []).append(index)
    found = []
    for own in groups.values():
        rings = [part for index in own for part in (lines[index].ring, *lines[index].loops)]
        rings += [way for index in own for way in leaning.get(lines[index].piece, ())]
        found.append(
            _Group(
                tuple(own),
                tuple(shapely.total_bounds(rings).tolist()),
                shapely.geometrycollections(rings),
            )
        )
    return found
