"""What a set of pieces would cost in blocks, roughly: their boxes on shelves, slab by slab.

Only used to compare patterns of seams; the layout finds the true order. Shelves by
falling height are a classic of strip packing (Coffman, Garey, Johnson, Tarjan 1980,
SIAM J. Comput. 9(4): first-fit by decreasing height).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from wirepath.fitting import DUST_MM, Room

PIECE_MIN, GLUE_MIN_PER_M2 = 10.0, 15.0
"""Minutes to mark, pin and set a piece, and to glue a square metre: only to weigh seams
against foam (common practice, no source)."""

Box = tuple[float, float]
"""Width and height of the rectangle around a piece, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """Blocks for a set of pieces, and the thickness each piece is cut at, in their order."""

    price: float
    blocks: int
    foam_mm3: float
    thick_mm: tuple[float, ...]

    def rank(self) -> tuple[float, int, float]:
        """Return what purchases are compared by: price, then blocks, then foam taken."""
        return (round(self.price, 6), self.blocks, round(self.foam_mm3))


def hands_price(pieces: int, glued_mm2: float, hour_price: float) -> float:
    """Return what it costs to set so many pieces and glue so large an area."""
    minutes = PIECE_MIN * pieces + GLUE_MIN_PER_M2 * glued_mm2 / 1e6
    return minutes / 60 * hour_price


def purchase(
    boxes: Sequence[Box],
    thick_mm: Sequence[float],
    rooms: Sequence[Room],
    *,
    may_swap: bool,
    kerf_mm: float,
    web_mm: float,
    share_slabs: bool = True,
) -> Purchase | None:
    """Return the cheapest purchase found for pieces of the given boxes and thicknesses.

    A slab has one thickness, so pieces of near thickness are gathered where that saves
    blocks (`share_slabs`): the best split of the thicknesses, in order, into groups, each
    cut as thick as its thickest. None where a piece fits no room.
    """
    order = sorted(range(len(boxes)), key=lambda k: (thick_mm[k], k))
    # Ends of runs of equal thickness: only there may a group end.
    ends = [
        k + 1
        for k in range(len(order))
        if k + 1 == len(order) or thick_mm[order[k + 1]] > thick_mm[order[k]] + DUST_MM
    ]
    best: dict[int, tuple[tuple[float, int, float], int]] = {0: ((0.0, 0, 0.0), 0)}
    for place, end in enumerate(ends):
        starts = [0, *ends[:place]] if share_slabs else [ends[place - 1] if place else 0]
        for start in starts:
            if start not in best:
                continue
            group = [boxes[k] for k in order[start:end]]
            thick = thick_mm[order[end - 1]]
            cost = _group_cost(group, thick, rooms, may_swap, kerf_mm, web_mm)
            if cost is None:
                continue
            total = (
                best[start][0][0] + cost[0],
                best[start][0][1] + cost[1],
                best[start][0][2] + sum(w * h for w, h in group) * thick,
            )
            if end not in best or total < best[end][0]:
                best[end] = (total, start)
    if len(order) not in best:
        return None
    cut = [0.0] * len(boxes)
    end = len(order)
    while end:
        start = best[end][1]
        for k in order[start:end]:
            cut[k] = thick_mm[order[end - 1]]
        end = start
    price, blocks, foam = best[len(order)][0]
    return Purchase(price=price, blocks=blocks, foam_mm3=foam, thick_mm=tuple(cut))


def _group_cost(
    boxes: Sequence[Box],
    thick_mm: float,
    rooms: Sequence[Room],
    may_swap: bool,
    kerf_mm: float,
    web_mm: float,
) -> tuple[float, int] | None:
    """Return price and number of the cheapest blocks for boxes of one thickness.

    Blocks are of one kind, with another for the boxes that do not fit it.
    """
    best: tuple[float, int] | None = None
    for room in rooms:
        per_block = room.slabs(thick_mm, kerf_mm)
        laid = [_laid(box, room, may_swap) for box in boxes] if per_block else []
        fitting = [size for size in laid if size is not None]
        if not fitting:
            continue
        blocks = math.ceil(_slabs(fitting, room, kerf_mm + web_mm) / per_block)
        if room.stock.available is not None and blocks > room.stock.available:
            continue
        price = blocks * room.stock.price
        if best is not None and price >= best[0]:
            continue
        if len(fitting) < len(boxes):
            rest = [box for box, size in zip(boxes, laid, strict=True) if size is None]
            others = [other for other in rooms if other is not room]
            more = _group_cost(rest, thick_mm, others, may_swap, kerf_mm, web_mm)
            if more is None:
                continue
            price, blocks = price + more[0], blocks + more[1]
        best = min(best or (price, blocks), (price, blocks))
    return best


def _laid(box: Box, room: Room, may_swap: bool) -> Box | None:
    """Return height and width of the box as it lies lowest in the room; None: not at all."""
    width, height = box
    lying = [(height, width), (width, height)] if may_swap else [(height, width)]
    fitting = [
        (h, w) for h, w in lying if w <= room.width_mm + DUST_MM and h <= room.height_mm + DUST_MM
    ]
    return min(fitting, default=None)


def _slabs(laid: Sequence[Box], room: Room, gap_mm: float) -> int:
    """Return how many faces the boxes (height, width) take, on shelves."""
    slabs: list[float] = []  # height used up on each
    shelves: list[tuple[float, float]] = []  # height, length used up
    for height, width in sorted(laid, reverse=True):
        for k, (tall, used) in enumerate(shelves):
            if height <= tall and used + gap_mm + width <= room.width_mm + DUST_MM:
                shelves[k] = (tall, used + gap_mm + width)
                break
        else:
            shelves.append((height, width))
            for k, used in enumerate(slabs):
                if used + gap_mm + height <= room.height_mm + DUST_MM:
                    slabs[k] = used + gap_mm + height
                    break
            else:
                slabs.append(height)
    return len(slabs)
