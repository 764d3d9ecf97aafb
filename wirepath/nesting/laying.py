"""Which blocks to buy, and what lies on each: the cheapest found."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import shapely

from wirepath.errors import Fault, FitError
from wirepath.geometry import place
from wirepath.model import Block, Layout, Piece, Placement
from wirepath.nesting.bottom_left import Face, Shapes
from wirepath.nesting.bounds import fewest_slabs
from wirepath.nesting.ways import ROUNDING_MM, Way, fits, refuse_misfits, ways
from wirepath.workshop import Workshop

Tell = Callable[[str], None]

SECONDS = 3.0
"""How long `lay_out` may search by default, all foams and thicknesses together."""

SIMPLIFY_SHARE = 0.002
"""How far a simplified outline may stand outside the true one, as a share of the face's
shorter side. On 1.2 m a circle of 200 mm radius keeps about 20 corners; no-fit regions
cost the square of the corners."""


@dataclass(frozen=True, slots=True)
class _Slab:
    """A face laid out on one slab of a block cut this way."""

    way: Way
    placements: tuple[Placement, ...]


def lay_out(
    pieces: tuple[Piece, ...],
    workshop: Workshop,
    *,
    seed: int = 0,
    seconds: float = SECONDS,
    tell: Tell | None = None,
) -> tuple[tuple[Block, ...], tuple[Layout, ...]]:
    """Return the blocks to buy and the layouts on them, both numbered from 1.

    The cheapest blocks found hold every piece, each inside its face less trim, kerf +
    web apart. The same pieces, workshop, seed and seconds give the same answer.
    Raises FitError naming every piece that fits no block, or telling which stock runs out.
    """
    refuse_misfits(pieces, workshop)
    left: Counter[str] = Counter(
        {s.name: s.available for s in workshop.stock if s.available is not None}
    )
    blocks: list[Block] = []
    layouts: list[Layout] = []
    for (foam, thickness_mm), same in groupby(sorted(pieces, key=_group), key=_group):
        group = tuple(same)
        slabs = _cheapest(group, ways(foam, thickness_mm, workshop), workshop, left)
        _book(slabs, blocks, layouts, left, workshop)
    prove(pieces, tuple(layouts), workshop)
    return tuple(blocks), tuple(layouts)


def _group(piece: Piece) -> tuple[str, float]:
    return piece.foam, piece.thickness_mm


def _largest_first(pieces: Sequence[Piece]) -> list[Piece]:
    return sorted(pieces, key=lambda piece: (-piece.outline.area, piece.number))


def _cheapest(
    group: Sequence[Piece], found: Sequence[Way], workshop: Workshop, left: Counter[str]
) -> list[_Slab]:
    """Return the slabs of the cheapest filling: blocks of one way, the last ones of another."""
    clearance_mm = workshop.cutting.kerf_mm + workshop.cutting.web_mm
    smallest = min(min(way.usable_mm) for way in found)
    shapes = Shapes(group, clearance_mm=clearance_mm, simplify_mm=smallest * SIMPLIFY_SHARE)
    limited = {stock.name for stock in workshop.stock if stock.available is not None}

    def most(way: Way) -> int | None:
        return left[way.stock.name] * way.slabs if way.stock.name in limited else None

    def least_price(some: Sequence[Piece], way: Way) -> float:
        slabs = fewest_slabs(some, way, clearance_mm=clearance_mm)
        return -(-slabs // way.slabs) * way.stock.price

    best: tuple[float, int, list[_Slab]] | None = None
    failed: list[Piece] = list(group)
    for main in sorted(found, key=lambda way: least_price(group, way)):
        slabs, rest = _fill(group, main, shapes, most(main))
        if rest:
            failed = min(failed, rest, key=len)
        for kept in range(-(-len(slabs) // main.slabs), -1, -1):
            head = slabs[: kept * main.slabs]
            laid = {p.piece for slab in head for p in slab.placements}
            tail = [piece for piece in group if piece.number not in laid]
            price = kept * main.stock.price
            if not tail:
                if best is None or (price, len(head)) < best[:2]:
                    best = (price, len(head), head)
                continue
            for other in found:
                if other is main or (best and price + least_price(tail, other) >= best[0]):
                    continue
                room = most(other)
                if room is not None and other.stock.name == main.stock.name:
                    room -= kept * other.slabs
                more, unlaid = _fill(tail, other, shapes, room)
                if unlaid:
                    failed = min(failed, unlaid, key=len)
                    continue
                total = price - (-len(more) // other.slabs) * other.stock.price
                if best is None or (total, kept) < best[:2]:
                    best = (total, kept, head + more)
    if best is None:
        raise FitError(_run_out(failed, found, left))
    return best[2]


def _run_out(failed: Sequence[Piece], found: Sequence[Way], left: Counter[str]) -> Fault:
    names = list(dict.fromkeys(way.stock.name for way in found))
    have = ", ".join(f"{left[name]} of {name!r}" for name in names)
    shown = ", ".join(f"{piece.number} {piece.name!r}" for piece in failed[:5])
    more = f" and {len(failed) - 5} more" if len(failed) > 5 else ""
    return Fault(
        f"stock runs out: {len(failed)} pieces are left over ({shown}{more})",
        where=f"foam {failed[0].foam!r}, {failed[0].thickness_mm:g} mm thick",
        mend=f"raise `available` of the stock (left: {have}), or add another block size",
    )


def _fill(
    pieces: Sequence[Piece], way: Way, shapes: Shapes, most: int | None
) -> tuple[list[_Slab], list[Piece]]:
    """Return slabs of one way with the pieces on them, and the pieces that found no room."""
    fillings = [_fill_in_turn(pieces, way, shapes, most, upward=up) for up in (False, True)]
    return min(fillings, key=lambda one: (len(one[1]), len(one[0])))


def _fill_in_turn(
    pieces: Sequence[Piece], way: Way, shapes: Shapes, most: int | None, *, upward: bool
) -> tuple[list[_Slab], list[Piece]]:
    width, height = way.usable_mm
    faces: list[Face] = []
    rest: list[Piece] = []
    for piece in _largest_first(pieces):
        if any(face.add(piece.number) for face in faces):
            continue
        if not fits(piece, way) or (most is not None and len(faces) >= most):
            rest.append(piece)
            continue
        faces.append(Face(shapes, width, height, upward))
        if not faces[-1].add(piece.number):
            raise AssertionError(f"piece {piece.number} does not fit a face it should fit")
    trim = way.stock.trim_mm
    return [_Slab(way, face.placements(trim)) for face in faces], rest


def _book(
    slabs: Sequence[_Slab],
    blocks: list[Block],
    layouts: list[Layout],
    left: Counter[str],
    workshop: Workshop,
) -> None:
    """Append blocks and layouts for the slabs, those of one way next to each other."""
    taken = 0
    previous: Way | None = None
    for slab in slabs:
        way = slab.way
        if way is not previous or taken == way.slabs:
            block = Block(number=len(blocks) + 1, stock=way.stock.name, wire_axis=way.wire_axis)
            blocks.append(block)
            if way.stock.available is not None:
                left[way.stock.name] -= 1
            previous, taken = way, 0
        width, height = way.face_mm
        layouts.append(
            Layout(
                number=len(layouts) + 1,
                block=len(blocks),
                from_mm=way.first_mm + taken * (way.thickness_mm + workshop.cutting.kerf_mm),
                thickness_mm=way.thickness_mm,
                width_mm=width,
                height_mm=height,
                trim_mm=way.stock.trim_mm,
                placements=slab.placements,
            )
        )
        taken += 1


def prove(pieces: Sequence[Piece], layouts: Sequence[Layout], workshop: Workshop) -> None:
    """Crash unless every piece is laid once, inside its face, kerf + web from the others."""
    clearance_mm = workshop.cutting.kerf_mm + workshop.cutting.web_mm
    by_number = {piece.number: piece for piece in pieces}
    laid = Counter(p.piece for layout in layouts for p in layout.placements)
    if laid != Counter(by_number.keys()):
        raise AssertionError("a layout lost or doubled a piece")
    for layout in layouts:
        outlines = np.array(
            [place(by_number[p.piece].outline, p) for p in layout.placements], dtype=object
        )
        low, high = layout.trim_mm - ROUNDING_MM, layout.trim_mm - ROUNDING_MM
        bounds = shapely.bounds(outlines)
        if (
            (bounds[:, :2] < low).any()
            or (bounds[:, 2] > layout.width_mm - high).any()
            or (bounds[:, 3] > layout.height_mm - high).any()
        ):
            raise AssertionError(f"a piece of layout {layout.number} sticks out of its face")
        tree = shapely.STRtree(outlines)
        one, other = tree.query(outlines, predicate="dwithin", distance=clearance_mm - ROUNDING_MM)
        if (one != other).any():
            raise AssertionError(f"pieces of layout {layout.number} are too near each other")
