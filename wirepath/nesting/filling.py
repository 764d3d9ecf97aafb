"""Slabs of one way, filled with pieces one after the other: a first answer, quick."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import shapely

from wirepath.fitting import fits
from wirepath.model import Piece
from wirepath.nesting.bottom_left import MOST_TURNS, Face, Walls
from wirepath.nesting.grid_filling import Grid, GridFace, cell_mm
from wirepath.nesting.regions import Regions
from wirepath.nesting.shapes import Sorted, sort_out
from wirepath.nesting.simplifying import widened_in_stages
from wirepath.nesting.ways import SLACK_MM, Way

SIMPLIFY_SHARE = 0.01
"""How far a simplified outline may stand outside the true one, as a share of the side of
a square of the pieces' mean area. A circle keeps about 20 corners; no-fit regions cost
the square of the corners."""

FEW_KINDS = 24
"""Of so few kinds of piece every one is tried on every face. Of more, where one found no room
those nearly as large are passed over, so that the work grows with the number of pieces and
not with its square."""

MANY_KINDS, MANY_KINDS_TURNS = 48, 2
"""Of more kinds than this only two turns are tried, upright and lying."""

PASSED_OVER = 0.85
"""How large a piece must be, as a share of the area of one that found no room, to be passed
over."""

EXACT_SUMS = 40_000
"""Work for which a filling may use exact no-fit regions, in Minkowski sums of convex parts: some
3 s on one core. Jobs that need more are filled on a grid."""

REGION_SUMS, OVERLAY_SUMS = 20, 25
"""What a region costs besides its sums, and a piece laid on a face that has many."""

CELL_SHARE = 0.02
"""Cells of that grid, as a share of the side of a square of the pieces' mean area."""

FULLER = 1.04
"""On a grid other orders fill faces no fuller than so many times the fullest: they are tried
only where that would save a slab."""

Laid = tuple[tuple[int, int, float, float], ...]
"""What lies on a face: piece, variant, x, y of its lower left corner in the usable face."""


@dataclass(frozen=True, slots=True)
class Slab:
    """A slab cut one way, and what lies on it."""

    way: Way
    laid: Laid


@dataclass(slots=True)
class Group:
    """Pieces of one foam and thickness, and all that laying them needs.

    `ways` are those that hold any of the pieces; those of faces that are no full
    rectangle hold what fits the box around them, as far as can be said beforehand.
    """

    pieces: tuple[Piece, ...]
    ways: list[Way]
    kinds: Sorted
    regions: Regions
    area: dict[int, float]
    """Each piece's area, widened by half the clearance."""
    holds: dict[Way, frozenset[int]]
    grid: Grid | None = None
    """What faces are filled on where exact no-fit regions would cost too much."""
    _walls: dict[int, Walls] = field(default_factory=dict)

    @property
    def clearance_mm(self) -> float:
        """Least foam between two pieces."""
        return self.regions.clearance_mm

    def face(self, way: Way, *, upward: bool = False) -> Face | GridFace:
        """Return an empty face of this way."""
        most_turns = MANY_KINDS_TURNS if len(self.kinds.kinds) > MANY_KINDS else MOST_TURNS
        if self.grid is not None:
            return GridFace(self.grid, way.rooms[0], upward=upward, most_turns=most_turns)
        walls = None
        if not way.is_plain:
            walls = self._walls.get(way.face)
            if walls is None:
                walls = self._walls[way.face] = Walls(way.rooms[0], self.regions)
        return Face(self.regions, *way.usable_mm, upward, walls, most_turns)

    def face_area(self, way: Way) -> float:
        """Return the area of the way's usable face, widened by half the clearance."""
        width, height = way.usable_mm
        region = way.rooms[0].region
        if region is None:
            return (width + self.clearance_mm) * (height + self.clearance_mm)
        return float(shapely.area(shapely.buffer(region, self.clearance_mm / 2, quad_segs=32)))

    def fewest(self, some: Sequence[Piece], way: Way, *, full: float = 1.0) -> int:
        """Return how many slabs of this way pieces need by area, each filled to this share."""
        area = sum(self.area[piece.number] for piece in some)
        return math.ceil(area / (full * self.face_area(way)) - 1e-6)

    def filled_share(self, slab: Slab) -> float:
        """Return how full a slab is, pieces and face widened by half the clearance."""
        return sum(self.area[number] for number, *_ in slab.laid) / self.face_area(slab.way)


def group_of(pieces: Sequence[Piece], ways: Sequence[Way], clearance_mm: float) -> Group:
    """Return pieces of one foam and thickness made ready to be laid."""
    mean_mm = math.sqrt(sum(piece.outline.area for piece in pieces) / len(pieces))
    kinds = sort_out(
        pieces,
        simplify_mm=min(mean_mm * SIMPLIFY_SHARE, clearance_mm / 4),
        clearance_mm=clearance_mm,
        faces=[way.usable_mm for way in ways],
    )
    first: dict[int, Piece] = {}
    for piece in pieces:
        first.setdefault(kinds.kind[piece.number], piece)
    # A buffer's arcs are drawn by chords inside the true ones: bounds by area stay bounds.
    widened = {
        kind: float(shapely.area(widened_in_stages(piece.outline, clearance_mm / 2)))
        for kind, piece in first.items()
    }
    holds = {}
    for way in ways:
        able = {
            k
            for k, one in first.items()
            if any(fits(one.outline, one.turning, *size) for size in way.pieces_mm)
        }
        holds[way] = frozenset(p.number for p in pieces if kinds.kind[p.number] in able)
    regions = Regions(kinds.kinds, clearance_mm=clearance_mm - SLACK_MM)
    sizes = [way.usable_mm for way in ways]
    grid = None
    if exact_sums(kinds, pieces, sizes) > EXACT_SUMS:
        grid = Grid(regions, cell_mm(sizes, mean_mm, share=CELL_SHARE))
    return Group(
        pieces=tuple(pieces),
        ways=[way for way in ways if holds[way]],
        kinds=kinds,
        regions=regions,
        area={piece.number: widened[kinds.kind[piece.number]] for piece in pieces},
        holds=holds,
        grid=grid,
    )


def exact_sums(
    kinds: Sorted, pieces: Sequence[Piece], faces: Sequence[tuple[float, float]]
) -> float:
    """Return about how much work exact no-fit regions are for a filling, in Minkowski sums.

    Every kind meets every other in half of its turns, but no more pieces than a face holds;
    where a face holds many, each piece laid costs as much as it has corners by then.
    """
    if not faces:
        return 0.0
    turns = [min(len(some), MOST_TURNS) for some in kinds.kinds]
    if len(turns) > MANY_KINDS:
        turns = [min(many, MANY_KINDS_TURNS) for many in turns]
    area = sum(piece.outline.area for piece in pieces) / len(pieces)
    on_face = min(max(width * height for width, height in faces) / area, len(pieces))
    pairs = sum(turns) * min(on_face, len(turns)) / 2
    laid = min(len(pieces), 2 * on_face if len(turns) <= FEW_KINDS else len(pieces))
    least = laid * sum(turns) / len(turns) * OVERLAY_SUMS * on_face / 50 + pairs * REGION_SUMS
    if least > EXACT_SUMS:  # without asking for parts, which take their time
        return least
    parts = [len(some[0].parts) for some in kinds.kinds]
    return least + pairs * (sum(parts) / len(parts)) ** 2


def fill(
    group: Group, some: Sequence[Piece], way: Way, most: int | None
) -> tuple[list[Slab], list[Piece]]:
    """Return slabs of one way with pieces on them, and the pieces that found no room."""
    able = [piece for piece in some if piece.number in group.holds[way]]
    rest = [piece for piece in some if piece.number not in group.holds[way]]
    if not able:
        return [], rest
    fewest = group.fewest(able, way)
    fillings = [_fill_in_turn(group, able, way, most, _by_area, upward=False)]
    # The search does better on plain faces; on others a few orders are all there is.
    orders = (_by_area,) if way.is_plain else (_by_area, _by_length)
    if group.grid is not None and fillings[0][0]:
        fullest = max(group.filled_share(slab) for slab in fillings[0][0])
        fewest = group.fewest(able, way, full=min(FULLER * fullest, 1.0))
    for order, upward in ((_by_area, True), (_by_length, False), (_by_length, True)):
        if order in orders and (fillings[0][1] or len(fillings[0][0]) > fewest):
            fillings.append(_fill_in_turn(group, able, way, most, order, upward=upward))
    slabs, left = min(
        fillings, key=lambda one: (sum(group.area[piece.number] for piece in one[1]), len(one[0]))
    )
    return slabs, rest + left


def _by_area(piece: Piece) -> float:
    return -float(piece.outline.area)


def _by_length(piece: Piece) -> float:
    x0, y0, x1, y1 = piece.outline.bounds
    return -max(x1 - x0, y1 - y0)


def _fill_in_turn(
    group: Group,
    some: Sequence[Piece],
    way: Way,
    most: int | None,
    order: Callable[[Piece], float],
    *,
    upward: bool,
) -> tuple[list[Slab], list[Piece]]:
    """Fill face after face, pieces in an order, each where it lies nearest to the start.

    A face that the pieces left over would fill just the same again is not worked out anew,
    so any number of copies costs no more than a few.
    """
    waiting: dict[int, list[Piece]] = defaultdict(list)
    for piece in sorted(some, key=lambda piece: (order(piece), piece.number)):
        waiting[group.kinds.kind[piece.number]].append(piece)
    slabs: list[Slab] = []
    while any(waiting.values()) and (most is None or len(slabs) < most):
        face = group.face(way, upward=upward)
        taken: Counter[int] = Counter()
        room_mm2, least_mm2 = group.face_area(way), math.inf
        many_kinds = sum(map(bool, waiting.values())) > FEW_KINDS
        for kind, pieces in waiting.items():
            while taken[kind] < len(pieces):
                piece = pieces[taken[kind]]
                area = group.area[piece.number]
                if area > min(room_mm2, least_mm2):
                    break
                if not face.add(piece.number, kind):
                    if many_kinds:
                        least_mm2 = PASSED_OVER * area
                    break
                taken[kind] += 1
                room_mm2 -= area
        if not face.placed:
            break
        again = min(len(waiting[kind]) // many for kind, many in taken.items() if many)
        for _ in range(again if most is None else min(again, most - len(slabs))):
            own = {kind: iter(waiting[kind][:many]) for kind, many in taken.items() if many}
            slabs.append(
                Slab(
                    way,
                    tuple(
                        (next(own[group.regions.kind_of[variant]]).number, variant, x, y)
                        for _, variant, x, y in face.placed
                    ),
                )
            )
            for kind, many in taken.items():
                del waiting[kind][:many]
    return slabs, [piece for pieces in waiting.values() for piece in pieces]
