"""What the pieces of a form must keep to, and the groups they travel in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import permutations

import shapely
from shapely import Geometry, Polygon

from wirepath.fitting import DUST_MM, Room, fits, rooms
from wirepath.model import Level, Piece, SeamSettings, Turning
from wirepath.sectioning.drawn import zones
from wirepath.workshop import Van, Workshop

Size = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What the pieces of a body must keep to."""

    rooms: tuple[Room, ...]
    sizes: tuple[Size, ...]
    """Most width, height and thickness: of a block's room, and of what passes the van's opening."""
    extent_mm: float
    """Longer side of the whole form: parts of it need no finer raster than it has."""
    turning: Turning
    most_mm3: float
    """Largest volume of a piece that can still be lifted."""
    kerf_mm: float
    web_mm: float
    hour_price: float
    settings: SeamSettings
    keep_clear: tuple[Polygon, ...]
    square: bool = False
    """Whether pieces are left as the boxes around what they hold of the form: a blank's cells."""
    grouped: bool = False
    """Whether what is sought are groups: of pieces from many blocks each, driven as one."""

    @property
    def may_swap(self) -> bool:
        """Whether a piece may lie a quarter turned."""
        return self.turning in ("quarter", "any")

    def hold(self, shape: Polygon, thick_mm: float) -> bool:
        """Whether a piece can be cut, lifted and driven."""
        return shape.area * thick_mm <= self.most_mm3 * (1 + 1e-9) and any(
            thick_mm <= depth + DUST_MM and fits(shape, self.turning, width, height)
            for width, height, depth in self.sizes
        )


def needs_of(
    piece: Piece,
    levels: Sequence[Level],
    workshop: Workshop,
    settings: SeamSettings,
    keep_clear: Sequence[Polygon],
    *,
    square: bool,
) -> Needs | None:
    """Return what the pieces must keep to; None where no block can be cut at all.

    A blank's cells never see the van.
    """
    wire = workshop.wire.length_mm
    found = [
        replace(room, depth_mm=min(room.depth_mm, wire))
        for room in rooms(piece.foam, workshop)
        if room.is_reached(workshop) or _taken_whole(room, piece, levels)
    ]
    if not found:
        return None
    sizes = [(*size, room.depth_mm) for room in found for size in room.pieces_mm(workshop)]
    most_kg = workshop.lift.most_kg(settings.lift)
    if workshop.van and not square:
        sizes = [
            (min(width, a), min(height, b), min(depth, c))
            for width, height, depth in sizes
            for a, b, c in permutations(workshop.van.passing_mm)
        ]
        most_kg = min(most_kg, workshop.van.payload_kg)
    return Needs(
        rooms=tuple(found),
        sizes=tuple(dict.fromkeys(sizes)),
        extent_mm=longer_side(piece.outline),
        turning=piece.turning,
        most_mm3=most_kg / workshop.foam(piece.foam).density_kg_per_m3 * 1e9,
        kerf_mm=workshop.cutting.kerf_mm,
        web_mm=workshop.cutting.web_mm,
        # Seams are never free: without a price of an hour it counts as the cheapest block.
        hour_price=workshop.order.hour_price or min(room.stock.price for room in found),
        settings=settings,
        keep_clear=(*zones(settings), *keep_clear),
        square=square,
    )


def longer_side(shape: Geometry) -> float:
    """Return the longer side of the upright rectangle around a shape, mm."""
    west, south, east, north = shapely.bounds(shape).tolist()
    return float(max(east - west, north - south))


def group_needs(needs: Needs, van: Van) -> Needs:
    """Return what groups of such pieces must keep to: any box that the van's opening lets by."""
    sizes = tuple((a, b, c) for a, b, c in permutations(van.passing_mm))
    return replace(needs, sizes=sizes, turning="any", grouped=True)


def _taken_whole(room: Room, piece: Piece, levels: Sequence[Level]) -> bool:
    """Whether a board just as thick as a flat form serves it, so that no slab need be sawn."""
    square = room.stock.trim_mm == 0 and abs(room.depth_mm - piece.thickness_mm) <= DUST_MM
    return square and len(levels) == 1
