"""Ways to cut a thickness from stock: faces that slabs may have, and the blocks that give them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from copy import copy
from dataclasses import dataclass

from wirepath.fitting import DUST_MM, Room, all_rooms
from wirepath.geometry import AXES, face_size_mm
from wirepath.nesting.sawing import Depth, Sawn, sawn
from wirepath.rectangles import worth_keeping
from wirepath.workshop import Stock, Workshop

Slabs = tuple[int, float, int]
"""Face, thickness and count of slabs."""

ROUNDING_MM = DUST_MM
"""Float dust: lengths that differ by less are equal, here and in the proof of a layout."""

SLACK_MM = ROUNDING_MM / 10
"""Given to every gap so that pieces that fit exactly are not lost to float dust."""


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """Slabs of one thickness with one face, and the rooms of the blocks that give them."""

    face: int
    """The face's number in the yard."""
    rooms: tuple[Room, ...]
    thickness_mm: float
    pieces_mm: tuple[tuple[float, float], ...]
    """Width and height of the largest pieces, as they lie, that can be cut from it."""
    setups: int = 1
    """How often such a slab is set up, about."""

    @property
    def usable_mm(self) -> tuple[float, float]:
        """Width and height of the face less its trims, or of the box round what is clear."""
        return self.rooms[0].width_mm, self.rooms[0].height_mm

    @property
    def is_plain(self) -> bool:
        """Whether pieces may lie anywhere on the usable face."""
        return self.rooms[0].region is None


class Yard:
    """The blocks of one foam, bought or in the rack, and what slabs cost that are sawn from them.

    Slabs are counted by way of cutting; ways of all thicknesses share blocks.
    """

    def __init__(self, foam: str, workshop: Workshop) -> None:
        self.kerf_mm = workshop.cutting.kerf_mm
        self.workshop = workshop
        order = all_rooms(foam, workshop)
        faces: dict[tuple[object, ...], list[Room]] = {}
        for one in order:
            if min(one.width_mm, one.height_mm, one.depth_mm) > 0:
                same = faces.setdefault(_face(one), [])
                # Another edge of the same block with the same face gives nothing new.
                if all(other.stock is not one.stock for other in same):
                    same.append(one)
        self._rooms = list(faces.values())
        self._spare: Counter[str] = Counter()
        self._sawn: dict[tuple[Slabs, ...], list[Sawing] | None] = {}

    def without(self, spare: Mapping[str, int]) -> Yard:
        """Return the same blocks, but so many fewer of each stock named."""
        fewer = copy(self)
        fewer._spare, fewer._sawn = Counter(spare), {}
        return fewer

    def ways(self, thickness_mm: float) -> list[Way]:
        """Return the ways to get slabs of a thickness, in the order of rack and stock.

        Along a fence only foam with a straight rim, sound all over, is cut.
        """
        found = []
        fenced = self.workshop.rig.kind == "fence"
        for face, some in enumerate(self._rooms):
            able = tuple(one for one in some if one.limit(thickness_mm, self.workshop) is None)
            if able and not (fenced and able[0].region is not None):
                sizes, setups = able[0].pieces_mm(self.workshop), able[0].setups(self.workshop)
                found.append(Way(face, able, thickness_mm, sizes, setups))
        return found

    def in_rack(self, way: Way) -> bool:
        """Whether only rack pieces give such slabs."""
        return all(self.workshop.in_rack(one.stock.name) for one in way.rooms)

    def is_racked(self, sawing: Sawing) -> bool:
        """Whether a block comes from the rack."""
        return self.workshop.in_rack(sawing.room.stock.name)

    def place(self, sawing: Sawing) -> tuple[int, int]:
        """Return a block's place in the order of rack and stock, and of its edges."""
        names = [one.name for one in self.workshop.rack]
        names += [one.name for one in self.workshop.stock]
        return names.index(sawing.room.stock.name), AXES.index(sawing.room.wire_axis)

    def limited(self) -> list[Stock]:
        """Return the stock of which there is only so much, each once."""
        stocks = {one.stock.name: one.stock for some in self._rooms for one in some}
        return [one for one in stocks.values() if one.available is not None]

    def slabs_each(self, way: Way) -> int:
        """Return how many slabs the block gives that gives the most."""
        return max(one.slabs(way.thickness_mm, self.kerf_mm) for one in way.rooms)

    def least_price(self, way: Way) -> float:
        """Return the least that one slab can cost, blocks used to the full depth by others."""
        return way.setups * self.setup_price + min(
            one.stock.price * (way.thickness_mm + self.kerf_mm) / (one.depth_mm + self.kerf_mm)
            for one in way.rooms
        )

    def most(self, way: Way, others: Mapping[Way, int]) -> int | None:
        """Return how many slabs of a way can still be had beside others; None: no limit."""
        if any(one.stock.available is None for one in way.rooms):
            return None
        low, high = (
            0,
            1
            + sum(
                (self._available(one.stock) or 0) * one.slabs(way.thickness_mm, self.kerf_mm)
                for one in way.rooms
            ),
        )
        while high - low > 1:
            middle = (low + high) // 2
            tried = Counter(others)
            tried[way] += middle
            low, high = (low, middle) if self.blocks(tried) is None else (middle, high)
        return low

    def rest_mm3(self, sawing: Sawing) -> float:
        """Return the volume of what is left of a block behind its slabs, where worth keeping."""
        room, keep = sawing.room, self.workshop.offcuts
        used = sum(way.thickness_mm + self.kerf_mm for way in sawing.slabs)
        left_mm = room.depth_mm - used
        if left_mm < keep.keep_thickness_mm:
            return 0.0
        if not worth_keeping(room.width_mm, room.height_mm, keep):
            return 0.0
        return left_mm * room.width_mm * room.height_mm

    def blocks(self, slabs: Mapping[Way, int]) -> list[Sawing] | None:
        """Return the cheapest blocks found for so many slabs of each way; None: too few."""
        ways = sorted((w for w in slabs if slabs[w]), key=lambda w: (w.face, w.thickness_mm))
        memo = tuple((way.face, way.thickness_mm, slabs[way]) for way in ways)
        if memo not in self._sawn:
            self._sawn[memo] = self._saw(ways, [slabs[way] for way in ways])
        return self._sawn[memo]

    def price(self, slabs: Mapping[Way, int]) -> float:
        """Return what blocks for so many slabs of each way cost, set up; inf: there are too few."""
        found = self.blocks(slabs)
        if found is None:
            return float("inf")
        return self.foam_price(found) + self.hands_price(found)

    def hands_price(self, sawings: Iterable[Sawing]) -> float:
        """Return what setting up costs: a block to saw once, its slabs as often as needed."""
        setups = 0
        for one in sawings:
            setups += sum(way.setups for way in one.slabs)
            setups += len(one.slabs) > 1 or not one.room.is_whole(one.slabs[0].thickness_mm)
        return setups * self.setup_price

    @property
    def setup_price(self) -> float:
        """What one setup costs in hands."""
        return self.workshop.setup_price

    def foam_price(self, sawings: Iterable[Sawing]) -> float:
        """Return what blocks cost, with the spare ones that are ordered on top."""
        bought = Counter(one.room.stock for one in sawings if not self.is_racked(one))
        share = self.workshop.order.spare_share
        return sum(
            (count + math.ceil(count * share - 1e-9)) * stock.price
            for stock, count in bought.items()
        )

    def _available(self, stock: Stock) -> int | None:
        return None if stock.available is None else stock.available - self._spare[stock.name]

    def _saw(self, ways: list[Way], counts: list[int]) -> list[Sawing] | None:
        used = [one for face in sorted({way.face for way in ways}) for one in self._rooms[face]]
        depths = [
            Depth(
                length_mm=one.depth_mm + self.kerf_mm,
                price=one.stock.price,
                sizes=tuple(
                    k for k, way in enumerate(ways) if any(one is other for other in way.rooms)
                ),
                most=self._available(one.stock),
                stock=one.stock.name,
            )
            for one in used
        ]
        found = sawn(depths, [way.thickness_mm + self.kerf_mm for way in ways], counts)
        return None if found is None else [_sawing(one, used, ways) for one in found]


@dataclass(frozen=True, slots=True)
class Sawing:
    """A block and the slabs sawn from it, thickest first."""

    room: Room
    slabs: tuple[Way, ...]


def _sawing(one: Sawn, used: list[Room], ways: list[Way]) -> Sawing:
    place, counts = one
    slabs = [way for way, many in zip(ways, counts, strict=True) for _ in range(many)]
    return Sawing(used[place], tuple(sorted(slabs, key=lambda way: -way.thickness_mm)))


def _face(one: Room) -> tuple[object, ...]:
    """Return what tells faces apart: size, what is usable, and whose it is where it is odd."""
    odd = one.stock.name if one.region is not None else ""
    bought = face_size_mm(one.stock, one.wire_axis)
    return (*bought, one.stock.trim_mm, one.width_mm, one.height_mm, odd)
