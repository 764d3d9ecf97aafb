"""Parting cuts: waste cut up so that it can be drawn off the pieces, and lifted.

Once the links are cut, the waste of a layout is a lump or a few, and one that hugs a
piece round more than half of it holds it fast: the piece can only be drawn out along the
wire. Short cuts from the piece's line through the waste part it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, Polygon, STRtree

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Pass, WireLine
from wirepath.routing.linking import OUTSIDE, Link, ends
from wirepath.routing.lumps import (
    STRAIGHT_KERFS,
    Body,
    Lump,
    Points,
    bodies,
    free_way,
    lacking,
    straightened,
)

END_MM = 0.01
"""How much of a cut's ends is left off when it is asked whether it crosses a line."""

LEAST_GAIN = 0.05
"""A cut must undo this share of what holds a piece, or this share of a lump too heavy."""

TRIES = 8
"""Cuts tried on a lump, the best first, until one parts it."""

CROSSINGS = 40
"""Straight cuts tried across a lump too heavy, each way."""

BOX_REACH = np.array([-1.0, -1.0, 1.0, 1.0]) * 1.001
"""What a bounding box grows by on its sides, in kerfs, to hold all within a kerf."""

MOST_CUTS = 2000
"""Parting cuts on one layout at most."""


def partings(
    lines: Sequence[WireLine],
    links: Sequence[Link],
    face: Polygon,
    edges: Geometry,
    *,
    kerf_mm: float,
    lump_mm2: float,
    first_junction: int,
) -> list[Link]:
    """Return cuts that part the waste left by `links` until it holds no piece fast.

    `edges` are the sides of the foam that a cut may run out to. No lump keeps more than
    `lump_mm2`, where a cut is found for it. The plugs of holes stay whole. Each cut ends
    in a junction of its own, numbered downwards from `first_junction`.
    """
    ways = [LineString([one.start, one.end]) for one in links]
    work = _Waste(lines, ways, face, edges, kerf_mm)
    work.open()
    work.break_up(lump_mm2)
    return [
        Link(parent=body, child=first_junction - at, kind="parting", start=start, end=end)
        for at, (body, (start, end)) in enumerate(work.cuts)
    ]


def drawn_out(
    lines: Sequence[WireLine], passes: Sequence[Pass], face: Polygon, kerf_mm: float
) -> tuple[int, ...]:
    """Return the pieces that waste holds fast when all is cut: to be drawn out along the wire."""
    ways = [
        move.line
        for one in passes
        for move in one.moves
        if move.kind in ("entry", "thread", "link", "slit", "parting")
    ]
    work = _Waste(lines, ways, face, LineString(), kerf_mm)
    held = {
        lines[body.line].piece
        for lump in work.lumps
        for body in work.touching(lump)
        if lump.holds(body, kerf_mm)
    }
    return tuple(sorted(held))


@dataclass(frozen=True, slots=True)
class _Cuts:
    """Cuts tried through one lump: (n,) lines, the lines they start on, (n,), and where they
    meet the lump's border, (n, 2)."""

    lines: NDArray[np.object_]
    bodies: NDArray[np.int_]
    ends: Points


class _Waste:
    """The waste of a layout as lumps, and the cuts made so far."""

    def __init__(
        self,
        lines: Sequence[WireLine],
        ways: Sequence[LineString],
        face: Polygon,
        edges: Geometry,
        kerf_mm: float,
    ) -> None:
        self.kerf_mm = kerf_mm
        self.bodies = {body.line: body for body in bodies(tuple(lines), kerf_mm)}
        self.rings = np.array([line.ring for line in lines], dtype=object)
        self.walls = STRtree(self.rings)
        self.edges, self.rim = edges, face.exterior
        self.goals = np.array([*self.rings, *shapely.get_parts(edges)], dtype=object)
        rings = [straightened(line.ring, kerf_mm) for line in lines]
        self.quick_goals = np.array([*rings, *shapely.get_parts(edges)], dtype=object)
        self.goal_bounds = shapely.bounds(self.quick_goals)
        around = [ring for ring, line in zip(rings, lines, strict=True) if line.is_hole]
        slots = shapely.buffer([*around, *ways], kerf_mm / 2, quad_segs=4)
        plugs = [Polygon(line.ring) for line in lines if line.is_hole]
        rest = overlay.difference(face, overlay.union([*slots, *self._solid(plugs)]))
        everything = np.arange(len(self.goals))
        self.lumps = self._lumps(rest, everything)
        self.cuts: list[tuple[int, tuple[tuple[float, float], tuple[float, float]]]] = []

    def _solid(self, plugs: Sequence[Polygon]) -> Iterator[Geometry]:
        """Yield what is no waste: pieces in their slots, plugs of holes with nothing in them."""
        areas = [body.area for body in self.bodies.values()]
        tree = STRtree(areas)
        grown = shapely.buffer(areas, self.kerf_mm / 2, quad_segs=4)
        inside: dict[int, list[Polygon]] = defaultdict(list)
        for plug, area in tree.query(np.array(plugs, dtype=object), predicate="within").T.tolist():
            inside[area].append(plugs[plug])
        for at, area in enumerate(grown):
            yield overlay.difference(area, overlay.union(inside[at])) if inside[at] else area
        for plug in plugs:
            if not tree.query(plug, predicate="within").size:
                yield plug

    def _is_lump(self, area: Polygon) -> bool:
        """Return whether an area is more than a crumb."""
        return area.area > self.kerf_mm**2

    def _lumps(
        self, area: Geometry, near: NDArray[np.int_], slot: Polygon | None = None
    ) -> list[Lump]:
        """Return the parts of an area as lumps that run along some of the goals `near`.

        With a slot, they are what it leaves of one that ran along all of these: a goal out of
        reach of the slot and of all parts but one needs no measuring.
        """
        parts = polygons(area)
        shapely.prepare(parts)
        reached = np.array([self._box_near(part, near) for part in parts])
        sure = np.zeros(len(near), dtype=bool)
        if slot is not None:
            sure = (reached.sum(axis=0) == 1) & ~self._box_near(slot, near)
        for part, found in zip(parts, reached, strict=True):
            asked = found & ~sure
            found[asked] = shapely.dwithin(part, self.quick_goals[near[asked]], self.kerf_mm)
        return [
            Lump(part, near[found])
            for part, found in zip(parts, reached, strict=True)
            if self._is_lump(part)
        ]

    def _box_near(self, area: Polygon, goals: NDArray[np.int_]) -> NDArray[np.bool_]:
        """Return of which `goals` the bounding box comes within a kerf of that of an area, (n,)."""
        west, south, east, north = self.goal_bounds[goals].T
        low_x, low_y, high_x, high_y = np.array(area.bounds) + self.kerf_mm * BOX_REACH
        found: NDArray[np.bool_] = (
            (west <= high_x) & (low_x <= east) & (south <= high_y) & (low_y <= north)
        )
        return found

    # --- What to part ---

    def open(self) -> None:
        """Part every lump that holds a piece fast, until none does or no cut is left."""
        to_do: list[tuple[Lump, frozenset[int]]] = [(lump, frozenset()) for lump in self.lumps]
        self.lumps = []
        while to_do:
            lump, loose = to_do.pop()
            for body in self.touching(lump):
                if body.line in loose:
                    continue
                # Parts of a lump hold nothing that the whole does not.
                loose |= {body.line}
                if lump.holds(body, self.kerf_mm):
                    cuts = self._tried(lump, [body])
                    parts = self._cut(lump, cuts, self._opening_cost(lump, body, cuts))
                    if parts:
                        to_do += [(part, loose - {body.line}) for part in parts]
                        break
            else:
                self.lumps.append(lump)

    def break_up(self, lump_mm2: float) -> None:
        """Part lumps larger than `lump_mm2`, as evenly as short cuts can."""
        to_do = [lump for lump in self.lumps if lump.area.area > lump_mm2]
        while to_do:
            lump = to_do.pop()
            cuts = self._across(lump)
            share = lump.share(cuts.ends)
            cost = shapely.length(cuts.lines) / np.maximum(share, 1e-9)
            parts = self._cut(lump, cuts, np.where(share > LEAST_GAIN, cost, np.inf))
            to_do += [part for part in parts if part.area.area > lump_mm2]

    def touching(self, lump: Lump) -> list[Body]:
        """Return the bodies whose line runs along a lump."""
        return [self.bodies[at] for at in lump.near.tolist() if at in self.bodies]

    # --- Cuts ---

    def _opening_cost(self, lump: Lump, body: Body, cuts: _Cuts) -> Points:
        """Return the cost of each cut, (n,): its length, more for what goes on holding."""
        touched = lump.touches(body, self.kerf_mm)
        normals = body.normals[touched]
        along = lump.places(body.at[touched], 1.001 * self.kerf_mm)
        _, before = free_way(normals)
        low, high = np.sort(cuts.ends).T[..., None]
        side = (along > low) & (along < high)
        after = lacking(normals, side) + lacking(normals, ~side)
        gains = side.any(axis=1) & ~side.all(axis=1) & (after < (1 - LEAST_GAIN) * before)
        cost = shapely.length(cuts.lines) * (0.2 + after / max(before, 1e-9))
        return np.where(gains, cost, np.inf)

    def _cut(self, lump: Lump, cuts: _Cuts, cost: Points) -> list[Lump]:
        """Make the cheapest of `cuts` and return the lump's parts; none where none parts it."""
        for choice in np.argsort(cost, kind="stable")[:TRIES]:
            if not np.isfinite(cost[choice]) or len(self.cuts) >= MOST_CUTS:
                break
            line = cuts.lines[choice]
            # Straight over a lump, no edge lies along another: without a grid, in half the time.
            slot = line.buffer(self.kerf_mm / 2)
            rest = lump.area.difference(slot)
            if sum(map(self._is_lump, polygons(rest))) > 1:
                self.cuts.append((int(cuts.bodies[choice]), ends(line)))
                return self._lumps(rest, lump.near, slot)
        return []

    def _may_be_nearest(self, at: Points, goals: NDArray[np.int_]) -> NDArray[np.bool_]:
        """Return which of `goals` may be the nearest one to any of some places (n, 2), (m,).

        Their bounding boxes are no farther off than the far corner of another's.
        """
        boxes = self.goal_bounds[goals] + STRAIGHT_KERFS * self.kerf_mm * BOX_REACH
        low, high = boxes[:, :2] - at[:, None], at[:, None] - boxes[:, 2:]
        near = np.linalg.norm(np.maximum(np.maximum(low, high), 0.0), axis=2)
        far = np.linalg.norm(np.maximum(np.abs(low), np.abs(high)), axis=2)
        found: NDArray[np.bool_] = (near <= far.min(axis=1, keepdims=True)).any(axis=0)
        return found

    def _across(self, lump: Lump) -> _Cuts:
        """Return cuts from the free edges of the foam straight in, as far as a lump goes.

        And the shortest ones from the bodies it runs along.
        """
        short = self._tried(lump, self.touching(lump))
        west, south, east, north = lump.area.bounds
        x = np.linspace(west, east, CROSSINGS + 2)[1:-1]
        y = np.linspace(south, north, CROSSINGS + 2)[1:-1]
        upright = [[(at, south - 1), (at, north + 1)] for at in x]
        level = [[(west - 1, at), (east + 1, at)] for at in y]
        parts = shapely.get_parts(
            overlay.intersection(lump.area, shapely.linestrings([*upright, *level]))
        )
        parts = parts[shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING]
        tips = shapely.get_coordinates(parts).reshape(-1, 2, 2)
        # The wire comes in over a free edge, and does not run out over one that is not.
        points = np.asarray(shapely.points(tips))
        free = np.asarray(shapely.dwithin(self.edges, points, END_MM))
        closed = np.asarray(shapely.dwithin(self.rim, points, END_MM)) & ~free
        good = free.any(axis=1) & ~closed.any(axis=1)
        tips = np.where(free[:, :1, None], tips, tips[:, ::-1])[good]
        ends = lump.places(tips.reshape(-1, 2), END_MM).reshape(-1, 2)
        return _Cuts(
            np.concatenate([short.lines, np.asarray(shapely.linestrings(tips), dtype=object)]),
            np.concatenate([short.bodies, np.full(len(tips), OUTSIDE)]),
            np.concatenate([short.ends, ends]),
        )

    def _tried(self, lump: Lump, along: Sequence[Body]) -> _Cuts:
        """Return the shortest cuts from places on bodies through a lump to another line.

        Or to the edge of the foam. They cross no line, and the lump once.
        """
        found: list[NDArray[np.object_]] = [np.empty(0, dtype=object)]
        owners: list[int] = []
        for body in along:
            at = body.at[lump.touches(body, self.kerf_mm)]
            others = lump.near[lump.near != body.line]
            if not len(others) or not len(at):
                continue
            goals = self.goals[others[self._may_be_nearest(at, others)]]
            starts = np.asarray(shapely.points(at))
            goal = shapely.multilinestrings(list(goals))
            shapely.prepare(goal)
            found.append(shapely.shortest_line(starts, goal))
            owners += [body.line] * len(starts)
        ways = np.concatenate(found)
        real = shapely.length(ways) > 3 * END_MM
        ways, own = ways[real], np.array(owners, dtype=int)[real]
        tips = shapely.get_coordinates(ways).reshape(-1, 2, 2)
        step = tips[:, 1] - tips[:, 0]
        step *= END_MM / np.maximum(np.hypot(*step.T), END_MM)[:, None]
        inner = shapely.linestrings(tips + np.stack([step, -step], axis=1))
        clear = np.ones(len(ways), dtype=bool)
        clear[self.walls.query(inner, predicate="intersects")[0]] = False
        ways, own = ways[clear], own[clear]
        once, places = lump.crossings(ways)
        return _Cuts(ways[once], own[once], places)
