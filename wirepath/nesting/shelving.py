"""Slabs filled in shelves, for a fixed wire with a fence: strips cut right across, then crosswise.

A *shelf* is a strip as high as its highest piece; in it stand *columns*, pieces of one
width or less on top of each other. Each piece counts as the rectangle round it, and
rectangles stand a kerf apart: one cut serves two. First fit by decreasing height
(Coffman, Garey, Johnson and Tarjan 1980; from memory) in several orders, both ways up; the
answer is that with the fewest slabs, then the fewest cuts and settings of the fence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from wirepath.model import Piece
from wirepath.nesting.filling import Group, Slab
from wirepath.nesting.guillotine import SAME_MM, guillotine_cuts, settings
from wirepath.nesting.ways import ROUNDING_MM, SLACK_MM, Way

Size = tuple[int, float, float]
"""A variant, its length along the shelf and its height across it."""

Order = Callable[[Size], tuple[float, ...]]

ORDERS: tuple[Order, ...] = (
    lambda size: (-size[2], -size[1]),
    lambda size: (-size[1], -size[2]),
    lambda size: (-size[1] * size[2], -size[2]),
)


@dataclass(slots=True)
class _Column:
    at: float
    length: float
    top: float = 0.0


@dataclass(slots=True)
class _Shelf:
    at: float
    height: float
    end: float = 0.0
    columns: list[_Column] = field(default_factory=list)


def shelved(
    group: Group, some: Sequence[Piece], way: Way, most: int | None, kerf_mm: float
) -> tuple[list[Slab], list[Piece]]:
    """Return slabs of one way filled in shelves, and the pieces that found no room."""
    best: tuple[tuple[float, ...], list[Slab], list[Piece]] | None = None
    for upright in (False, True):
        for order in ORDERS:
            for lying in (True, False):
                slabs, left = _filled(group, some, way, most, kerf_mm, upright, order, lying)
                area = sum(group.area[piece.number] for piece in left)
                rank = (round(area, 6), float(len(slabs)), *_labour(group, slabs, kerf_mm))
                if best is None or rank < best[0]:
                    best = rank, slabs, left
    assert best is not None
    return best[1], best[2]


def _labour(group: Group, slabs: Sequence[Slab], kerf_mm: float) -> Iterator[float]:
    """Give the number of cuts that free all pieces of the slabs, and of settings of the fence."""
    cuts: list[int] = []
    fences: list[int] = []
    known: dict[tuple[tuple[int, float, float], ...], tuple[int, int]] = {}
    for slab in slabs:
        width, height = slab.way.usable_mm
        key = tuple((variant, x, y) for _, variant, x, y in slab.laid)
        if key not in known:
            wanted = []
            for _, variant, x, y in slab.laid:
                one = group.regions.variants[variant]
                wanted.append((x, y, x + one.width_mm, y + one.height_mm))
            made = guillotine_cuts((0.0, 0.0, width, height), wanted, kerf_mm)
            assert made is not None, "a shelf is parted by straight cuts"
            known[key] = len(made), len(settings(made))
        cuts.append(known[key][0])
        fences.append(known[key][1])
    yield float(sum(cuts))
    yield float(sum(fences))


def _filled(
    group: Group,
    some: Sequence[Piece],
    way: Way,
    most: int | None,
    kerf_mm: float,
    upright: bool,
    order: Order,
    lying: bool,
) -> tuple[list[Slab], list[Piece]]:
    """Fill shelves that run along x, or along y if `upright`; new ones with pieces `lying` flat."""
    along, across = way.usable_mm[::-1] if upright else way.usable_mm
    sizes = {
        kind: _sizes(group, kind, upright, along, across) for kind in group.kinds.kind.values()
    }
    firsts = {
        kind: min(own, key=lambda size: (size[2] if lying else -size[2], size[1], size[0]))
        for kind, own in sizes.items()
        if own
    }
    kind_of = group.kinds.kind
    left = [piece for piece in some if kind_of[piece.number] not in firsts]
    able = [piece for piece in some if kind_of[piece.number] in firsts]
    able.sort(key=lambda p: (*order(firsts[kind_of[p.number]]), kind_of[p.number], p.number))
    slabs: list[list[tuple[int, int, float, float]]] = []
    shelves: list[list[_Shelf]] = []
    for piece in able:
        kind = kind_of[piece.number]
        for number, own in enumerate(shelves):
            found = _on_a_shelf(own, sizes[kind], along, kerf_mm) or _new_shelf(
                own, sizes[kind], firsts[kind], across, kerf_mm
            )
            if found:
                laid = slabs[number]
                break
        else:
            if most is not None and len(slabs) >= most:
                left.append(piece)
                continue
            laid = []
            slabs.append(laid)
            shelves.append([])
            found = _new_shelf(shelves[-1], sizes[kind], firsts[kind], across, kerf_mm)
            assert found is not None, "what fits an empty slab opens a shelf"
        variant, x, y = found
        laid.append((piece.number, variant, *((y, x) if upright else (x, y))))
    return [Slab(way, tuple(laid)) for laid in slabs], left


def _sizes(group: Group, kind: int, upright: bool, along: float, across: float) -> tuple[Size, ...]:
    """Return the ways a kind may lie in a shelf that fit the slab."""
    found = []
    for number, variant in enumerate(group.regions.variants):
        if group.regions.kind_of[number] != kind:
            continue
        size = (variant.width_mm, variant.height_mm)
        length, height = size[::-1] if upright else size
        if length <= along + ROUNDING_MM and height <= across + ROUNDING_MM:
            found.append((number, length, height))
    return tuple(found)


def _on_a_shelf(
    shelves: Sequence[_Shelf], sizes: Sequence[Size], along: float, kerf_mm: float
) -> tuple[int, float, float] | None:
    """Put a piece where it leaves least beside and above it: variant, x, y; None for no room."""
    best: tuple[tuple[float, ...], _Shelf, _Column | None, Size] | None = None
    for turn, shelf in enumerate(shelves):
        for size in sizes:
            _, length, height = size
            for column in shelf.columns:
                over = shelf.height - column.top - kerf_mm - height
                if length <= column.length + SLACK_MM and over >= -SLACK_MM:
                    rank = (column.length - length > SAME_MM, over, turn)
                    if best is None or rank < best[0]:
                        best = rank, shelf, column, size
            over = shelf.height - height
            start = shelf.end + kerf_mm if shelf.columns else 0.0
            if start + length <= along + ROUNDING_MM and over >= -SLACK_MM:
                rank = (False, over, turn)
                if best is None or rank < best[0]:
                    best = rank, shelf, None, size
    if best is None:
        return None
    _, shelf, chosen, (variant, length, height) = best
    if chosen is None:
        chosen = _Column(shelf.end + kerf_mm if shelf.columns else 0.0, length)
        shelf.columns.append(chosen)
        shelf.end = chosen.at + length
        y = shelf.at
    else:
        y = shelf.at + chosen.top + kerf_mm
    chosen.top = y + height - shelf.at
    return variant, chosen.at, y


def _new_shelf(
    shelves: list[_Shelf], sizes: Sequence[Size], first: Size, across: float, kerf_mm: float
) -> tuple[int, float, float] | None:
    """Open a shelf with a piece, the first way it lies if there is room, else any other."""
    at = shelves[-1].at + shelves[-1].height + kerf_mm if shelves else 0.0
    for variant, length, height in (first, *sizes):
        if at + height <= across + ROUNDING_MM:
            column = _Column(0.0, length, height)
            shelves.append(_Shelf(at, height, length, [column]))
            return variant, 0.0, at
    return None
