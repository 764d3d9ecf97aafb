"""Which blocks to buy, and what lies on each: the cheapest found."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import shapely

from wirepath.errors import Fault, FitError
from wirepath.geometry import place
from wirepath.model import Block, Layout, Piece
from wirepath.nesting.bottom_left import Face
from wirepath.nesting.bounds import face_area, fewest_slabs, widened_area
from wirepath.nesting.regions import Regions
from wirepath.nesting.shapes import Sorted, sort_out
from wirepath.nesting.ways import ROUNDING_MM, SLACK_MM, Way, fits, refuse_misfits, ways
from wirepath.workshop import Workshop

Tell = Callable[[str], None]

SECONDS = 3.0
"""How long `lay_out` may search by default, all foams and thicknesses together."""

SIMPLIFY_SHARE = 0.01
"""How far a simplified outline may stand outside the true one, as a share of the side of
a square of the pieces' mean area. A circle keeps about 20 corners; no-fit regions cost
the square of the corners."""

UNITS_PER_SECOND = 7e8
"""Work counted as a second of search: what one core did when it was measured, 6 to 10e8.
Counting work, not time, makes the answer the same on every machine."""

MANY = 100
"""More pieces than this are first laid on a grid: quicker than exactly, a cell looser."""

MOST_SECONDS_EACH = 0.25
"""Seconds of search for each piece that are worth while: four pieces need no minute."""

MOST_DENSE = 0.95
"""Fuller faces than this, clearance included, are not tried."""

PACKING_SHARE = 0.7
"""Share of the search spent on fewer or cheaper slabs; the rest goes to larger offcuts."""

MOST_PUSHED = 4
"""Slabs, the emptiest first, whose pieces are pushed left for a larger offcut."""


@dataclass(frozen=True, slots=True)
class _Slab:
    """A slab of a block cut this way, and what lies on it: piece, variant, x, y in mm.

    x and y are the variant's lower left corner in the usable face.
    """

    way: Way
    laid: tuple[tuple[int, int, float, float], ...]


def lay_out(
    pieces: tuple[Piece, ...],
    workshop: Workshop,
    *,
    seed: int = 0,
    seconds: float = SECONDS,
    tell: Tell = lambda text: None,
) -> tuple[tuple[Block, ...], tuple[Layout, ...]]:
    """Return the blocks to buy and the layouts on them, both numbered from 1.

    The cheapest blocks found hold every piece, each inside its face less trim, kerf +
    web apart. The same pieces, workshop, seed and seconds give the same answer.
    Raises FitError naming every piece that fits no block, or telling which stock runs out.
    """
    refuse_misfits(pieces, workshop)
    clearance_mm = workshop.cutting.kerf_mm + workshop.cutting.web_mm
    left: Counter[str] = Counter(
        {s.name: s.available for s in workshop.stock if s.available is not None}
    )
    blocks: list[Block] = []
    layouts: list[Layout] = []
    for (foam, thickness_mm), same in groupby(sorted(pieces, key=_group), key=_group):
        group = tuple(same)
        found = ways(foam, thickness_mm, workshop)
        found = [way for way in found if any(fits(piece, way) for piece in group)]
        mean_mm = math.sqrt(sum(piece.outline.area for piece in group) / len(group))
        kinds = sort_out(group, simplify_mm=min(mean_mm * SIMPLIFY_SHARE, clearance_mm / 4))
        regions = Regions(kinds.kinds, clearance_mm=clearance_mm - SLACK_MM)
        slabs = _cheapest(group, found, kinds, regions, left)
        share = len(group) / len(pieces)
        slabs = _improved(slabs, group, found, kinds, regions, left, seed, seconds * share, tell)
        _book(slabs, kinds, regions, blocks, layouts, left, workshop)
    prove(pieces, tuple(layouts), workshop)
    return tuple(blocks), tuple(layouts)


def _group(piece: Piece) -> tuple[str, float]:
    return piece.foam, piece.thickness_mm


def _largest_first(pieces: Sequence[Piece]) -> list[Piece]:
    return sorted(pieces, key=lambda piece: (-piece.outline.area, piece.number))


def _cheapest(
    group: Sequence[Piece],
    found: Sequence[Way],
    kinds: Sorted,
    regions: Regions,
    left: Counter[str],
) -> list[_Slab]:
    """Return the slabs of the cheapest filling: blocks of one way, the last ones of another."""
    clearance_mm = regions.clearance_mm

    def most(way: Way) -> int | None:
        return left[way.stock.name] * way.slabs if way.stock.available is not None else None

    def least_price(some: Sequence[Piece], way: Way) -> float:
        slabs = fewest_slabs(some, way, clearance_mm=clearance_mm)
        return -(-slabs // way.slabs) * way.stock.price

    best: tuple[float, int, list[_Slab]] | None = None
    failed: list[Piece] = list(group)
    for main in sorted(found, key=lambda way: least_price(group, way)):
        if best and least_price(group, main) >= best[0]:
            break
        slabs, rest = _fill(group, main, kinds, regions, most(main))
        if rest:
            failed = min(failed, rest, key=len)
        for kept in range(-(-len(slabs) // main.slabs), -1, -1):
            head = slabs[: kept * main.slabs]
            laid = {one[0] for slab in head for one in slab.laid}
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
                more, unlaid = _fill(tail, other, kinds, regions, room)
                if unlaid:
                    failed = min(failed, unlaid, key=len)
                    continue
                total = price - (-len(more) // other.slabs) * other.stock.price
                if best is None or (total, kept) < best[:2]:
                    best = (total, kept, head + more)
    if best is None:
        raise FitError(_run_out(failed, found, left))
    return best[2]


def _improved(
    slabs: list[_Slab],
    group: Sequence[Piece],
    found: Sequence[Way],
    kinds: Sorted,
    regions: Regions,
    left: Counter[str],
    seed: int,
    seconds: float,
    tell: Tell,
) -> list[_Slab]:
    """Return cheaper slabs, or fewer, or with larger offcuts, or the same ones."""
    if seconds <= 0:
        return slabs
    # Imported here: scipy takes a third of a second, too long for `--help`.
    from wirepath.nesting.improving import packed, pushed_left
    from wirepath.nesting.maps import FORGIVEN, Maps, cell_size_mm
    from wirepath.nesting.search import Effort

    kind_of = [kinds.kind[piece.number] for piece in group]
    areas = [float(piece.outline.area) for piece in group]
    short = min(min(slab.way.usable_mm) for slab in slabs)
    cell_mm = cell_size_mm(short, sum(areas) / len(areas))
    maps = Maps(regions, cell_mm=cell_mm, forgiven=FORGIVEN)
    units = min(seconds, len(group) * MOST_SECONDS_EACH) * UNITS_PER_SECOND
    spent = 0.0
    tried: set[tuple[int, ...]] = set()
    while spent < units * PACKING_SHARE:
        targets = [t for t in _targets(slabs, group, found, regions, left) if t not in tried]
        if not targets:
            break
        tried.add(targets[0])
        effort = Effort(min(units / 4, units - spent))
        faces = [found[w] for w in targets[0]]
        answer = packed(maps, kind_of, [way.usable_mm for way in faces], seed=seed, effort=effort)
        spent += effort.done
        if answer is not None:
            slabs = [
                _Slab(way, tuple((group[i].number, v, x, y) for i, v, x, y in laid))
                for way, laid in zip(faces, answer, strict=True)
                if laid
            ]
            price = _price([slab.way for slab in slabs])
            tell(f"{len(slabs)} slabs hold all, foam {price:g}")
    place_of = {piece.number: i for i, piece in enumerate(group)}
    loosest = sorted(
        range(len(slabs)), key=lambda k: sum(areas[place_of[n]] for n, *_ in slabs[k].laid)
    )
    for turn, k in enumerate(loosest[:MOST_PUSHED]):
        effort = Effort(max(units - spent, 0.0) / (min(len(slabs), MOST_PUSHED) - turn))
        laid = tuple((place_of[n], v, x, y) for n, v, x, y in slabs[k].laid)
        laid = pushed_left(maps, kind_of, laid, slabs[k].way.usable_mm, seed=seed, effort=effort)
        spent += effort.done
        slabs[k] = _Slab(slabs[k].way, tuple((group[i].number, v, x, y) for i, v, x, y in laid))
    return slabs


def _targets(
    slabs: Sequence[_Slab],
    group: Sequence[Piece],
    found: Sequence[Way],
    regions: Regions,
    left: Counter[str],
) -> list[tuple[int, ...]]:
    """Return sets of slabs better than these that might hold all pieces, the roomiest first.

    As numbers of ways in `found`, one or two different ones. Better: cheaper, or as
    cheap with fewer slabs.
    """
    best = _price([slab.way for slab in slabs]), len(slabs)
    need = widened_area(group, clearance_mm=regions.clearance_mm) / MOST_DENSE
    size = [face_area(way, clearance_mm=regions.clearance_mm) for way in found]
    holds = [{piece.number for piece in group if fits(piece, way)} for way in found]
    options: list[tuple[float, tuple[int, ...]]] = []
    most = [math.ceil(need / one) for one in size]
    for a in range(len(found)):
        for b in range(a, len(found)):
            if len(holds[a] | holds[b]) < len(group):
                continue
            for count_a in range(most[a] + 1):
                rest = max(0, math.ceil((need - count_a * size[a]) / size[b] - 1e-9))
                for count_b in {rest, rest + 1} if a != b else {0}:
                    target = (a,) * count_a + (b,) * count_b
                    room = count_a * size[a] + count_b * size[b]
                    if (
                        target
                        and room >= need
                        and (_price([found[w] for w in target]), len(target)) < best
                        and _available([found[w] for w in target], left)
                    ):
                        options.append((room / need, target))
    return [target for _, target in sorted(set(options), key=lambda one: (-one[0], one[1]))]


def _blocks_of(some: Sequence[Way]) -> Iterator[tuple[Way, int]]:
    """Yield each way and how many blocks its slabs take."""
    for way, same in groupby(some):
        yield way, -(-len(list(same)) // way.slabs)


def _price(some: Sequence[Way]) -> float:
    return sum(count * way.stock.price for way, count in _blocks_of(some))


def _available(some: Sequence[Way], left: Counter[str]) -> bool:
    taken: Counter[str] = Counter()
    for way, count in _blocks_of(some):
        if way.stock.available is not None:
            taken[way.stock.name] += count
    return all(taken[name] <= left[name] for name in taken)


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
    pieces: Sequence[Piece], way: Way, kinds: Sorted, regions: Regions, most: int | None
) -> tuple[list[_Slab], list[Piece]]:
    """Return slabs of one way with the pieces on them, and the pieces that found no room."""
    fewest = fewest_slabs(pieces, way, clearance_mm=regions.clearance_mm)
    if len(pieces) > MANY:
        return _fill_on_grid(pieces, way, kinds, regions, 2 * fewest + 4 if most is None else most)
    fillings = [_fill_in_turn(pieces, way, kinds, regions, most, upward=False)]
    if fillings[0][1] or len(fillings[0][0]) > fewest:
        fillings.append(_fill_in_turn(pieces, way, kinds, regions, most, upward=True))
    return min(fillings, key=lambda one: (len(one[1]), len(one[0])))


def _fill_on_grid(
    pieces: Sequence[Piece], way: Way, kinds: Sorted, regions: Regions, most: int
) -> tuple[list[_Slab], list[Piece]]:
    from wirepath.nesting.improving import filled
    from wirepath.nesting.maps import FORGIVEN, Maps, cell_size_mm

    mean = sum(piece.outline.area for piece in pieces) / len(pieces)
    maps = Maps(regions, cell_mm=cell_size_mm(min(way.usable_mm), mean), forgiven=FORGIVEN)
    faces, left = filled(maps, [kinds.kind[p.number] for p in pieces], way.usable_mm, most)
    slabs = [
        _Slab(way, tuple((pieces[i].number, variant, x, y) for i, variant, x, y in face))
        for face in faces
    ]
    return slabs, [pieces[i] for i in left]


def _fill_in_turn(
    pieces: Sequence[Piece],
    way: Way,
    kinds: Sorted,
    regions: Regions,
    most: int | None,
    *,
    upward: bool,
) -> tuple[list[_Slab], list[Piece]]:
    width, height = way.usable_mm
    faces: list[Face] = []
    rest: list[Piece] = []
    for piece in _largest_first(pieces):
        if any(face.add(piece.number, kinds.kind[piece.number]) for face in faces):
            continue
        if not fits(piece, way) or (most is not None and len(faces) >= most):
            rest.append(piece)
            continue
        faces.append(Face(regions, width, height, upward))
        if not faces[-1].add(piece.number, kinds.kind[piece.number]):
            raise AssertionError(f"piece {piece.number} does not fit a face it should fit")
    return [_Slab(way, tuple(face.placed)) for face in faces], rest


def _book(
    slabs: Sequence[_Slab],
    kinds: Sorted,
    regions: Regions,
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
                placements=tuple(
                    kinds.placement(
                        piece,
                        regions.variants[variant],
                        x + way.stock.trim_mm,
                        y + way.stock.trim_mm,
                    )
                    for piece, variant, x, y in slab.laid
                ),
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
