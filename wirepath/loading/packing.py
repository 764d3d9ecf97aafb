"""Boxes into vans: walls across the van, each of shelves one on another (first fit).

A three-dimensional kin of the shelves of strip packing (Coffman, Garey, Johnson, Tarjan
1980, SIAM J. Comput. 9(4)). Not proved to be the fewest loads; the lower bound stands beside.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field

from wirepath.loading.parcels import DUST_MM, Parcel, Sides
from wirepath.model import Load, LoadItem
from wirepath.workshop import Van

GAP_MM = 10.0
"""Left between boxes for blankets and hands (common practice, no source)."""


@dataclass(slots=True)
class _Shelf:
    z: float
    height: float
    boxes: list[tuple[Parcel, Sides]] = field(default_factory=list)

    @property
    def used(self) -> float:
        return sum(sides[1] + GAP_MM for _, sides in self.boxes)


@dataclass(slots=True)
class _Wall:
    depth: float
    shelves: list[_Shelf] = field(default_factory=list)

    @property
    def top(self) -> float:
        return self.shelves[-1].z + self.shelves[-1].height + GAP_MM if self.shelves else 0.0

    def takes(self, parcel: Parcel, sides: Sides, van: Van) -> bool:
        """Put the box on a shelf, or on a new one; return whether there was room."""
        along, across, up = sides
        if along > self.depth + DUST_MM or across > van.width_mm + DUST_MM:
            return False
        for shelf in self.shelves:
            if up <= shelf.height + DUST_MM and shelf.used + across <= van.width_mm + DUST_MM:
                shelf.boxes.append((parcel, sides))
                return True
        if self.top + up > van.height_mm + DUST_MM:
            return False
        self.shelves.append(_Shelf(self.top, up, [(parcel, sides)]))
        return True

    @property
    def rank(self) -> float:
        """Where its boxes stand in the order of gluing, on the average."""
        ranks = [parcel.rank for shelf in self.shelves for parcel, _ in shelf.boxes]
        return sum(ranks) / len(ranks)


@dataclass(slots=True)
class _Trip:
    walls: list[_Wall] = field(default_factory=list)
    weight_kg: float = 0.0

    @property
    def used(self) -> float:
        return sum(wall.depth + GAP_MM for wall in self.walls)

    def takes(self, parcel: Parcel, ways: Sequence[Sides], van: Van) -> bool:
        """Put the box in a wall that stands, or begin a new one; return whether there was room."""
        if self.weight_kg + parcel.weight_kg > van.payload_kg * (1 + 1e-9):
            return False
        for sides, wall in itertools.product(ways, self.walls):
            if wall.takes(parcel, sides, van):
                self.weight_kg += parcel.weight_kg
                return True
        for sides in ways:
            if self.used + sides[0] <= van.length_mm + DUST_MM:
                wall = _Wall(sides[0])
                wall.takes(parcel, sides, van)
                self.walls.append(wall)
                self.weight_kg += parcel.weight_kg
                return True
        return False

    @property
    def rank(self) -> float:
        """Where its boxes stand in the order of gluing, on the average."""
        return sum(wall.rank for wall in self.walls) / len(self.walls)


def pack(parcels: Sequence[Parcel], van: Van) -> tuple[Load, ...]:
    """Return the fewest loads found. Every parcel must pass the door by itself (`Parcel.lies`).

    Tried are both orders, of gluing and of size, with boxes preferably on each of their
    sides; of equally few loads those in the order of gluing, then those that take the
    least of the van's length. What is glued first lies nearest to the door.
    """
    in_order = sorted(parcels, key=lambda one: (one.rank, one.pieces))
    by_size = sorted(parcels, key=lambda one: (*(-side for side in one.sides), one.pieces))
    best: tuple[tuple[float, ...], list[_Trip]] | None = None
    for place, (order, turn) in enumerate(
        itertools.product((in_order, by_size), itertools.permutations(range(3)))
    ):
        trips = _filled(order, turn, van, keeps_order=order is in_order)
        rank = (len(trips), place // 6, round(sum(trip.used for trip in trips), 3), place)
        if best is None or rank < best[0]:
            best = (rank, trips)
    assert best is not None, "there are always twelve ways"
    return tuple(_load(number, trip) for number, trip in enumerate(_sorted(best[1]), 1))


def _filled(
    parcels: Sequence[Parcel], turn: Sequence[int], van: Van, *, keeps_order: bool
) -> list[_Trip]:
    trips: list[_Trip] = []
    for parcel in parcels:
        wished = (parcel.sides[turn[0]], parcel.sides[turn[1]], parcel.sides[turn[2]])
        ways = sorted(parcel.lies(van), key=lambda sides: sides != wished)
        begun = trips[-1:] if keeps_order else trips
        if not any(trip.takes(parcel, ways, van) for trip in begun):
            trips.append(_Trip())
            trips[-1].takes(parcel, ways, van)
    return trips


def _sorted(trips: Sequence[_Trip]) -> list[_Trip]:
    return sorted(trips, key=lambda trip: trip.rank)


def _load(number: int, trip: _Trip) -> Load:
    """Return the load, boxes in the order of loading: from the bulkhead, each wall from below."""
    items: list[LoadItem] = []
    x = 0.0
    for wall in sorted(trip.walls, key=lambda wall: -wall.rank):
        for shelf in wall.shelves:
            y = 0.0
            for parcel, (along, across, up) in shelf.boxes:
                items.append(
                    LoadItem(
                        pieces=parcel.pieces,
                        x_mm=x,
                        y_mm=y,
                        z_mm=shelf.z,
                        length_mm=along,
                        width_mm=across,
                        height_mm=up,
                        turn_deg=parcel.turn_deg,
                        weight_kg=parcel.weight_kg,
                    )
                )
                y += across + GAP_MM
        x += wall.depth + GAP_MM
    return Load(number=number, items=tuple(items))
