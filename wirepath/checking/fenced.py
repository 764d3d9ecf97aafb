"""Promise 3, along a fence: every cut runs straight through the part in hand, set as told."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Geometry, Polygon, box

from wirepath import overlay
from wirepath.checking.finding import DEPTH_MM, EDGE_MM, Finding, found, place_of
from wirepath.checking.scene import Scene, inside_point
from wirepath.errors import Fault
from wirepath.geometry import polygons
from wirepath.model import FenceCut, Pass, Plan
from wirepath.workshop import Rig

ROUNDED_MM = 0.002
"""Plans and files give places to 0.001 mm: so much may two of them differ."""

OUTWARD = {"left": (0, -1), "right": (0, 1), "lower": (1, -1), "upper": (1, 1)}
"""Of each side of a part: the axis across it, and which end of the part it is."""


def check_fenced(plan: Plan, scenes: Sequence[Scene]) -> Finding:
    """Return whether the foam can be pushed along the fence as told, and frees the pieces.

    The cuts are replayed on polygons: what is in hand, what lies against the fence, where
    the wire then stands, what falls apart. What is cut by hand after that stays on its part.
    """
    faults: list[Fault] = []
    cuts = hand = 0
    for scene in scenes:
        replay = _Replay(scene, plan.workshop.rig)
        replay.run()
        faults += replay.faults
        cuts += len(scene.layout.fence_cuts)
        hand += len(scene.passes) - len(scene.layout.fence_cuts)
    return found(
        3,
        "Every cut along the fence runs through the part in hand and frees the pieces",
        f"{cuts} cuts replayed; {hand} more by hand, each on its own part",
        faults,
    )


class _Replay:
    """A slab cut along the fence again, part by part."""

    def __init__(self, scene: Scene, rig: Rig) -> None:
        self.scene, self.rig = scene, rig
        self.parts: dict[int, Polygon] = {0: scene.face}
        self.made = 0
        self.faults: list[Fault] = []

    def run(self) -> None:
        """Replay all passes of the layout; what is wrong is in `faults` then."""
        cuts = self.scene.layout.fence_cuts
        for number, one in enumerate(self.scene.passes, 1):
            if number <= len(cuts):
                self._cut(number, cuts[number - 1], one)
            else:
                self._by_hand(number, one)
        if len(self.scene.passes) < len(cuts):
            self._tell(f"{len(cuts)} cuts along the fence told, {len(self.scene.passes)} made", 0)
        self._free()

    def _tell(self, what: str, number: int, at: tuple[float, float] | None = None) -> None:
        where = place_of(self.scene.layout.number, at=at)
        self.faults.append(Fault(what, f"{where}, pass {number}" if number else where))

    def _cut(self, number: int, cut: FenceCut, one: Pass) -> None:
        points = [shapely.get_coordinates(move.line) for move in one.moves]
        if [move.kind for move in one.moves] != ["fence"] or len(points[0]) != 2:
            return self._tell("a cut along the fence is not one straight move", number)
        part = self.parts.pop(cut.part, None)
        if part is None:
            return self._tell(f"part {cut.part} is not there to be cut", number)
        bounds = part.bounds
        if abs(part.area - box(*bounds).area) > EDGE_MM * part.length:
            return self._tell(f"part {cut.part} has no straight side for the fence", number)
        axis, end = OUTWARD[cut.against]
        face = bounds[axis] if end < 0 else bounds[axis + 2]
        line = points[0]
        off = -end * (line[:, axis] - face)
        if np.abs(off - cut.fence_mm).max() > ROUNDED_MM:
            self._tell(
                f"the wire runs {off[0]:.3f} to {off[1]:.3f} mm from the {cut.against} side, "
                f"the fence is set to {cut.fence_mm:.3f} mm",
                number,
            )
        ends = np.sort(line[:, 1 - axis])
        rims = bounds[1 - axis], bounds[3 - axis]
        if np.abs(ends - rims).max() > ROUNDED_MM:
            self._tell(f"the cut does not run from rim to rim of part {cut.part}", number)
        most = self.rig.fence_most_mm or float("inf")
        if not self.rig.fence_least_mm <= cut.fence_mm <= most:
            self._tell(f"the fence cannot be set to {cut.fence_mm:.1f} mm", number)
        self._part(number, cut, part, float(line[0, axis]), axis)
        return None

    def _part(self, number: int, cut: FenceCut, part: Polygon, at: float, axis: int) -> None:
        """Take the slot out of the part and count on what is left of it."""
        half = self.scene.half_kerf_mm
        x0, y0, x1, y1 = part.bounds
        slot = box(at - half, y0, at + half, y1) if axis == 0 else box(x0, at - half, x1, at + half)
        for piece, placed in zip(self.scene.pieces, self.scene.placed, strict=True):
            bitten = overlay.intersection(slot, placed.buffer(-DEPTH_MM))
            if bitten.area > 0:
                where = inside_point(bitten)
                self._tell(f"a cut along the fence enters piece {piece.number}", number, where)
        _, end = OUTWARD[cut.against]
        rest = {}
        for one in polygons(overlay.difference(part, slot)):
            x, y = one.centroid.coords[0]
            is_beside = ((x, y)[axis] - at) * end > 0
            rest["beside" if is_beside else "beyond"] = one
        for name, told in (("beside", cut.beside), ("beyond", cut.beyond)):
            left = rest.get(name)
            # A sliver thinner than can be seen may be told or not.
            if told is None:
                if left is not None and left.area > DEPTH_MM * left.length:
                    self._tell(f"foam is left {name} the wire that no part is told of", number)
                continue
            self.made += 1
            if told != self.made or left is None:
                self._tell(f"part {told} is told {name} the wire, {self.made} comes next", number)
            if left is not None:
                self.parts[told] = left

    def _by_hand(self, number: int, one: Pass) -> None:
        """Look whether what is cut by hand stays on one part, that of the piece it names."""
        if any(move.kind == "fence" for move in one.moves):
            return self._tell("a cut along the fence is not told of", number)
        named = {move.piece for move in one.moves if move.piece is not None}
        homes = {
            piece: part
            for piece, placed in zip(self.scene.pieces, self.scene.placed, strict=True)
            for part in self.parts.values()
            if piece.number in named and part.intersects(placed.point_on_surface())
        }
        if len(named) != 1 or len(homes) != 1:
            return self._tell("a pass by hand is not of one piece, on one part", number)
        (home,) = homes.values()
        room = home.buffer(self.scene.half_kerf_mm + DEPTH_MM, join_style="mitre")
        ways: Geometry = overlay.union([move.line for move in one.moves])
        beyond = overlay.difference(ways, room)
        if beyond.length > EDGE_MM:
            x, y = shapely.get_coordinates(beyond)[0]
            self._tell("a pass by hand leaves its part", number, (float(x), float(y)))
        return None

    def _free(self) -> None:
        """Look whether each piece has a part of its own, which is the rectangle round it."""
        owners: dict[int, list[int]] = {}
        for piece, placed in zip(self.scene.pieces, self.scene.placed, strict=True):
            core = placed.buffer(-DEPTH_MM)
            own = [name for name, part in self.parts.items() if part.intersects(core)]
            if len(own) != 1:
                self._tell(f"piece {piece.number} lies on {len(own)} parts", 0)
                continue
            owners.setdefault(own[0], []).append(piece.number)
            rim = np.subtract(self.parts[own[0]].bounds, placed.bounds)
            if np.abs(rim).max() > DEPTH_MM:
                self._tell(f"piece {piece.number} is not freed as a rectangle", 0)
        for name, several in owners.items():
            if len(several) > 1:
                self._tell(f"pieces {several} stay on one part, {name}", 0)
