"""What no order can do with less of: blocks, and money."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import box

from wirepath.fitting import DUST_MM, Room, all_rooms, fits
from wirepath.model import Piece
from wirepath.nesting.regions import Regions
from wirepath.nesting.scales import Scale, scales_for
from wirepath.nesting.shapes import shifted, variants
from wirepath.nesting.simplifying import widened_in_stages
from wirepath.nesting.solids import Floats
from wirepath.rectangles import largest_rectangle
from wirepath.workshop import Workshop

MOST_EXCLUSIONS = 12
"""Distinct outlines compared pair by pair, largest first: the small ones exclude nothing."""

MOST_POINTS = 300
"""Outlines with more points are not asked whether they exclude each other."""

MOST_SCALES = 5
"""Pairs of dual feasible functions kept for each face, those that ask for the most slabs."""

CELLS = 64
"""Squares across a piece on which the largest rectangle inside it is looked for."""

MOST_NODES = 300
"""Branches of the integer programme; its bound holds whenever it stops."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Least:
    """Bounds that hold for every plan: blocks to buy, and the price of the order."""

    blocks: int
    price: float


def least_order(pieces: Sequence[Piece], workshop: Workshop) -> Least:
    """Return lower bounds on the blocks and the price, delivery included, of any order.

    An integer programme that any plan satisfies: pieces go to faces of blocks, in parts if
    need be; faces are slabs; slabs share the depth of blocks; of rack pieces and stock there
    is only so much. A face holds no more than its area, pieces and face widened by half
    the clearance; nor more of the rectangles inside the pieces, by dual feasible functions
    of their sides (Fekete and Schepers 2001); nor two pieces that exclude each other. A
    block's depth holds no more slabs than by such functions of their thickness.
    Pieces must fit some block.
    """
    by_foam = sorted(pieces, key=lambda piece: piece.foam)
    foams = [
        _Programme(list(same), foam, workshop)
        for foam, same in itertools.groupby(by_foam, key=lambda piece: piece.foam)
    ]
    blocks = sum(math.ceil(one.least_blocks() - 1e-4) for one in foams)
    foam_price = sum(one.least_price() for one in foams)
    delivery = workshop.order.delivery_price if blocks else 0.0
    return Least(blocks=blocks, price=max(0.0, foam_price * (1 - 1e-6)) + delivery)


@dataclass(frozen=True, slots=True)
class _Kind:
    """Pieces alike: one of them, how many, and what is known of their size."""

    piece: Piece
    copies: int
    area_mm2: float
    """Widened by half the clearance."""
    inside_mm: tuple[float, float]
    """Sides of an upright rectangle that lies inside, however the piece is turned."""

    def lying(self, room: Room, gap_mm: float) -> list[tuple[float, float]]:
        """Return the sides of the rectangle inside, each way the piece may lie on a face."""
        width, height = self.inside_mm
        ways = [(width, height)]
        if self.piece.turning in ("quarter", "any"):
            ways.append((height, width))
        over = DUST_MM
        fit = [(w, h) for w, h in ways if w <= room.width_mm + over and h <= room.height_mm + over]
        return [(w + gap_mm, h + gap_mm) for w, h in fit or ways]


@dataclass(slots=True)
class _Rows:
    """Rows of a programme under the making: matrix entries, and the least and most of each."""

    row: list[int] = field(default_factory=list)
    column: list[int] = field(default_factory=list)
    value: list[float] = field(default_factory=list)
    least: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)

    def add(self, terms: Sequence[tuple[int, float]], *, least: float, most: float) -> None:
        """Add the rule that a sum of columns, each times its factor, lies in a range."""
        number = len(self.least)
        for column, value in terms:
            if value:
                self.row.append(number)
                self.column.append(column)
                self.value.append(value)
        self.least.append(least)
        self.most.append(most)


class _Programme:
    """The integer programme of one foam."""

    def __init__(self, pieces: list[Piece], foam: str, workshop: Workshop) -> None:
        self.workshop = workshop
        self.kerf_mm = workshop.cutting.kerf_mm
        self.clearance_mm = self.kerf_mm + workshop.cutting.web_mm
        # Rectangles a clearance apart may be nearer than that along x and along y at once,
        # corner to corner: by the square root of two.
        self.gap_mm = self.clearance_mm / math.sqrt(2)
        self.rooms = [
            one
            for one in all_rooms(foam, workshop)
            if min(one.width_mm, one.height_mm, one.depth_mm) > 0
        ]
        self.bought = [not workshop.in_rack(one.stock.name) for one in self.rooms]
        self.rows = _Rows()
        self.columns = len(self.rooms)  # blocks of each room first
        self.whole = list(range(self.columns))
        slabs: dict[int, list[tuple[int, float]]] = {k: [] for k in range(len(self.rooms))}
        for thickness, same in itertools.groupby(
            sorted(pieces, key=lambda piece: piece.thickness_mm), key=lambda p: p.thickness_mm
        ):
            self._add_group(_kinds(list(same), self.clearance_mm), thickness, slabs)
        for k, some in slabs.items():
            self._add_depth(k, some)
        self._add_stock()

    def _new(self, *, whole: bool) -> int:
        if whole:
            self.whole.append(self.columns)
        self.columns += 1
        return self.columns - 1

    def _add_group(
        self, kinds: list[_Kind], thickness: float, slabs: dict[int, list[tuple[int, float]]]
    ) -> None:
        laid: list[list[tuple[int, float]]] = [[] for _ in kinds]
        able = [
            (k, one)
            for k, one in enumerate(self.rooms)
            if one.limit(thickness, self.workshop) is None
        ]
        exclude = _Exclusions(kinds, [one for _, one in able], self.clearance_mm)
        for place, (k, one) in enumerate(able):
            own = [
                (n, kind)
                for n, kind in enumerate(kinds)
                if fits(kind.piece.outline, kind.piece.turning, one.width_mm, one.height_mm)
            ]
            if not own:
                continue
            slab = self._new(whole=True)
            slabs[k].append((slab, thickness))
            column = {n: self._new(whole=False) for n, _ in own}
            for n in column:
                laid[n].append((column[n], 1.0))
            shares = [(column[n], kind.area_mm2 / self._face_mm2(one)) for n, kind in own]
            self.rows.add([*shares, (slab, -1.0)], least=-math.inf, most=0.0)
            for values in self._scaled([kind for _, kind in own], one):
                terms = [(column[n], value) for (n, _), value in zip(own, values, strict=True)]
                self.rows.add([*terms, (slab, -1.0)], least=-math.inf, most=0.0)
            alone = [n for n in exclude.clique(place) if n in column]
            if alone:
                terms = [(column[n], 1.0) for n in alone]
                self.rows.add([*terms, (slab, -1.0)], least=-math.inf, most=0.0)
        for kind, terms in zip(kinds, laid, strict=True):
            if terms:
                self.rows.add(terms, least=kind.copies, most=kind.copies)

    def _face_mm2(self, one: Room) -> float:
        if one.region is None:
            return (one.width_mm + self.clearance_mm) * (one.height_mm + self.clearance_mm)
        # Chords of a buffer's arcs lie inside them, so the radius is made longer by that.
        radius = self.clearance_mm / 2 / math.cos(math.pi / 4 / 32)
        return float(shapely.area(shapely.buffer(one.region, radius, quad_segs=16)))

    def _scaled(self, kinds: Sequence[_Kind], one: Room) -> list[Floats]:
        """Return the pieces' values by the pairs of functions that ask for the most slabs."""
        size = np.array([one.width_mm, one.height_mm]) + self.gap_mm + DUST_MM
        ways = [kind.lying(one, self.gap_mm) for kind in kinds]
        first = np.array([way[0] for way in ways]) / size
        last = np.array([way[-1] for way in ways]) / size
        first, last = np.minimum(first, 1.0), np.minimum(last, 1.0)
        copies = np.array([kind.copies for kind in kinds])
        functions: list[list[Scale]] = [
            scales_for(np.unique(np.concatenate([first[:, axis], last[:, axis]])))
            for axis in (0, 1)
        ]
        across = [(f(first[:, 0]), f(last[:, 0])) for f in functions[0]]
        up = [(g(first[:, 1]), g(last[:, 1])) for g in functions[1]]
        tried = [np.minimum(w[0] * h[0], w[1] * h[1]) for w in across for h in up]
        ranked = sorted(range(len(tried)), key=lambda k: (-float(tried[k] @ copies), k))
        return [tried[k] for k in ranked[:MOST_SCALES]]

    def _add_depth(self, k: int, slabs: Sequence[tuple[int, float]]) -> None:
        if not slabs:
            self.rows.add([(k, 1.0)], least=0.0, most=0.0)
            return
        depth = self.rooms[k].depth_mm + self.kerf_mm + DUST_MM
        shares = np.minimum(np.array([t + self.kerf_mm for _, t in slabs]) / depth, 1.0)
        for scale in scales_for(shares):
            terms = [(slab, float(v)) for (slab, _), v in zip(slabs, scale(shares), strict=True)]
            self.rows.add([*terms, (k, -1.0)], least=-math.inf, most=0.0)

    def _add_stock(self) -> None:
        """Add how many there are of each stock, and the spare blocks that are ordered on top."""
        self.spare: dict[int, float] = {}
        by_stock: dict[str, list[int]] = {}
        for k, one in enumerate(self.rooms):
            by_stock.setdefault(one.stock.name, []).append(k)
        for same in by_stock.values():
            stock = self.rooms[same[0]].stock
            if stock.available is not None:
                self.rows.add([(k, 1.0) for k in same], least=0.0, most=stock.available)
            share = self.workshop.order.spare_share
            if share > 0 and self.bought[same[0]]:
                spare = self._new(whole=True)
                self.spare[spare] = stock.price
                terms = [(spare, 1.0), *((k, -share) for k in same)]
                self.rows.add(terms, least=-1e-9, most=math.inf)

    def least_blocks(self) -> float:
        """Return the least number of blocks to buy, or a little less."""
        cost = np.zeros(self.columns)
        cost[: len(self.rooms)] = self.bought
        return self._solved(cost)

    def least_price(self) -> float:
        """Return the least price of the foam, spare blocks included, or a little less."""
        cost = np.zeros(self.columns)
        for k, one in enumerate(self.rooms):
            cost[k] = one.stock.price
        for column, price in self.spare.items():
            cost[column] = price
        return self._solved(cost)

    def _solved(self, cost: Floats) -> float:
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        rows = self.rows
        shape = (len(rows.least), self.columns)
        matrix = csr_array((rows.value, (rows.row, rows.column)), shape=shape)
        whole = np.zeros(self.columns)
        whole[self.whole] = 1
        answer = milp(
            cost,
            constraints=LinearConstraint(matrix, lb=rows.least, ub=rows.most),
            integrality=whole,
            bounds=Bounds(0, np.inf),
            options={"node_limit": MOST_NODES, "mip_rel_gap": 0.0},
        )
        bound = answer.mip_dual_bound
        return max(0.0, float(bound)) if bound is not None and math.isfinite(bound) else 0.0


def _kinds(group: Sequence[Piece], clearance_mm: float) -> list[_Kind]:
    """Return pieces alike together, the largest first."""
    copies: Counter[bytes] = Counter()
    firsts: dict[bytes, Piece] = {}
    for piece in group:
        x, y = piece.outline.bounds[:2]
        moved = shifted(piece.outline, -x, -y)
        key = shapely.set_precision(moved, 1e-7).normalize().wkb
        key += piece.turning.encode() + bytes([piece.flip])
        copies[key] += 1
        firsts.setdefault(key, piece)
    # A buffer's arcs are drawn by chords inside the true ones: the bound stays a bound.
    widened = [widened_in_stages(p.outline, clearance_mm / 2).area for p in firsts.values()]
    found = [
        _Kind(piece, copies[key], float(area), _inside(piece))
        for (key, piece), area in zip(firsts.items(), widened, strict=True)
    ]
    return sorted(found, key=lambda kind: (-kind.area_mm2, kind.piece.number))


def _inside(piece: Piece) -> tuple[float, float]:
    if piece.turning == "any":
        circle = shapely.maximum_inscribed_circle(piece.outline)
        # The square in a circle, whichever way it is turned; a little less for rounding.
        side = max(0.0, float(shapely.length(circle)) - 1e-3) * math.sqrt(2)
        return side, side
    x0, y0, x1, y1 = piece.outline.bounds
    cell_mm = max(x1 - x0, y1 - y0) / CELLS
    _, _, width, height = largest_rectangle(piece.outline, cell_mm=cell_mm)
    return width, height


def _is_hard(piece: Piece) -> bool:
    """Return whether a piece is not asked what it excludes.

    A sample of angles proves nothing; of many points the regions would take minutes.
    """
    points = int(shapely.get_num_coordinates(piece.outline))
    return piece.turning == "any" or points > MOST_POINTS


class _Exclusions:
    """Which of the largest pieces can share no face of a room, however they are turned."""

    def __init__(self, kinds: Sequence[_Kind], rooms: Sequence[Room], clearance_mm: float) -> None:
        self.kinds = kinds[:MOST_EXCLUSIONS]
        self.rooms = rooms
        hard = [_is_hard(kind.piece) for kind in self.kinds]
        self._regions = Regions(
            [
                [] if skip else variants(kind.piece)
                for skip, kind in zip(hard, self.kinds, strict=True)
            ],
            clearance_mm=clearance_mm,
        )
        self._apart: dict[tuple[int, int], list[bool]] = {}

    def clique(self, place: int) -> list[int]:
        """Return kinds of which no two pieces share a face of this room, the largest first."""
        chosen: list[int] = []
        for n, kind in enumerate(self.kinds):
            if kind.copies > 1 and not self._exclude(n, n)[place]:
                continue
            if all(self._exclude(n, other)[place] for other in chosen):
                chosen.append(n)
        return chosen if len(chosen) > 1 or any(self.kinds[n].copies > 1 for n in chosen) else []

    def _exclude(self, one: int, other: int) -> list[bool]:
        """Return for each room whether the two can share no face of it."""
        key = (min(one, other), max(one, other))
        if key not in self._apart:
            self._apart[key] = self._compared(*key)
        return self._apart[key]

    def _compared(self, one: int, other: int) -> list[bool]:
        # Seams leave pieces as large as a face but for rounding: they can be laid on it.
        faces = [(room.width_mm + DUST_MM, room.height_mm + DUST_MM) for room in self.rooms]
        some, others = (self._regions.of_kind[kind] for kind in (one, other))
        if not some or not others:
            return [False] * len(faces)
        known = self._regions.variants
        ways = [(known[a], known[b], a, b) for a in some for b in others]
        apart = [
            not any(
                max(a.width_mm, b.width_mm) <= width
                and max(a.height_mm, b.height_mm) <= height
                and (a.width_mm + b.width_mm <= width or a.height_mm + b.height_mm <= height)
                for a, b, *_ in ways
            )
            for width, height in faces
        ]
        for a, b, *pair in ways:
            region = None
            for place, (width, height) in enumerate(faces):
                if not apart[place]:
                    continue
                if max(a.width_mm, b.width_mm) > width or max(a.height_mm, b.height_mm) > height:
                    continue
                if region is None:
                    region = self._regions(*pair)
                room = box(
                    a.width_mm - width,
                    a.height_mm - height,
                    width - b.width_mm,
                    height - b.height_mm,
                )
                apart[place] = bool(shapely.contains_properly(region, room))
        return apart
