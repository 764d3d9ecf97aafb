"""Which blocks to buy or take from the rack, and what lies on each: the cheapest found."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from itertools import groupby

import numpy as np
import shapely

from wirepath.errors import Fault, FitError, ProofError
from wirepath.fitting import refuse_misfits
from wirepath.geometry import clear_face, face_outline, face_size_mm, place
from wirepath.model import Block, Layout, Piece
from wirepath.nesting.filling import Group, Slab, fill, group_of
from wirepath.nesting.refusing import refuse_unlayable
from wirepath.nesting.shelving import shelved
from wirepath.nesting.ways import ROUNDING_MM, Way, Yard
from wirepath.workshop import Workshop

Tell = Callable[[str], None]

SECONDS = 3.0
"""How long `lay_out` may search by default, all foams and thicknesses together."""

MOST_KEPT = 4
"""How many of the last blocks of a filling are tried in another size."""

REPORT = "this is a fault of the program: keep the job and report it; another seed may do"
"""What a user can do about a layout that does not hold."""

MOST_SPARED = 12
"""Rack pieces in use that are tried to be done without, the emptiest first."""


def lay_out(
    pieces: tuple[Piece, ...],
    workshop: Workshop,
    *,
    seed: int = 0,
    seconds: float = SECONDS,
    sharing: bool = True,
    tell: Tell = lambda text: None,
) -> tuple[tuple[Block, ...], tuple[Layout, ...]]:
    """Return the blocks to buy or take from the rack and the layouts on them, from 1 on.

    The cheapest blocks found hold every piece, each inside its face less trim and blocked
    areas, kerf + web apart. For a rig with a fence straight cuts part the rectangles round
    the pieces, and there is nothing to search. Rack pieces cost nothing, but one that saves
    no block stays in the rack. Slabs of all thicknesses share blocks. `sharing` tells whether
    pieces will be pushed together to share edges, which counts for the wire's way. The same pieces,
    workshop, seed and seconds give the same answer. Raises FitError naming every piece that
    fits no block or cannot be laid at all, or telling which stock runs out, and ProofError
    for a layout of ours that does not hold.
    """
    refuse_unlayable(pieces, workshop)
    refuse_misfits(pieces, workshop)
    clearance_mm = workshop.cutting.kerf_mm + workshop.cutting.web_mm
    blocks: list[Block] = []
    layouts: list[Layout] = []
    for foam, some_pieces in groupby(sorted(pieces, key=_foam), key=_foam):
        same = tuple(some_pieces)
        yard = Yard(foam, workshop)
        groups = [
            group_of(tuple(some), yard.ways(thickness), clearance_mm)
            for thickness, some in groupby(sorted(same, key=_thickness), key=_thickness)
        ]
        answers = [_with_rack(groups, yard)]
        if seconds > 0 and workshop.rig.kind != "fence":
            from wirepath.nesting.bettering import bettered

            share = seconds * len(same) / len(pieces)
            better = bettered(
                answers[0], groups, yard, seed=seed, seconds=share, sharing=sharing, tell=tell
            )
            answers.append(better)
        faults: list[Fault] = []
        while answers:
            # A searched answer that fails its proof gives way to the one it began from.
            more_blocks, more_layouts = _booked(
                answers.pop(), groups, yard, len(blocks), len(layouts)
            )
            faults = unproved(same, more_layouts, workshop)
            if not faults:
                break
            tell(f"a layout failed its proof and is dropped: {faults[0].what}")
        if faults:
            raise ProofError(faults)
        blocks += more_blocks
        layouts += more_layouts
    return tuple(blocks), tuple(layouts)


def _foam(piece: Piece) -> str:
    return piece.foam


def _thickness(piece: Piece) -> float:
    return piece.thickness_mm


Answer = list[list[Slab]]
"""The slabs of each group."""


def count(slabs: Iterable[Slab]) -> Counter[Way]:
    """Return how many slabs there are of each way."""
    return Counter(slab.way for slab in slabs)


def rank(answer: Answer, yard: Yard) -> tuple[float, int, int, int, float]:
    """Return what answers are compared by, less is better: price, blocks, slabs, and rest.

    First the price, with the delivery if anything is bought, and with the hands that set blocks
    and slabs up; then rack pieces used, blocks, slabs; then, negative, the volume of the largest
    lump that is left of a block uncut.
    """
    slabs = [slab for group in answer for slab in group]
    sawings = yard.blocks(count(slabs))
    if sawings is None:
        return (float("inf"), 0, 0, 0, 0.0)
    bought = [one for one in sawings if not yard.is_racked(one)]
    price = yard.foam_price(bought) + yard.hands_price(sawings)
    price += yard.workshop.order.delivery_price if bought else 0.0
    return (
        round(price, 6),
        len(sawings) - len(bought),
        len(sawings),
        len(slabs),
        -max((yard.rest_mm3(one) for one in sawings), default=0.0),
    )


def _with_rack(groups: Sequence[Group], yard: Yard) -> Answer:
    """Return the best filling found with the rack, or without it where it saves nothing."""
    racked = [way for group in groups for way in group.ways if yard.in_rack(way)]
    best, failed = _filled(groups, yard, [])
    if racked:
        for order in (1, -1):
            ways = sorted(racked, key=lambda way: (order * _face_mm2(way), way.face))
            found, left = _filled(groups, yard, ways)
            if found is not None:
                found = _spared(found, groups, yard, ways)
                if best is None or rank(found, yard) < rank(best, yard):
                    best = found
            elif failed is None or (left is not None and len(left) < len(failed)):
                failed = left
    if best is None:
        raise FitError(_run_out(failed or (), yard))
    return best


def _face_mm2(way: Way) -> float:
    region = way.rooms[0].region
    width, height = way.usable_mm
    return width * height if region is None else float(shapely.area(region))


def _filled(
    groups: Sequence[Group], yard: Yard, racked: Sequence[Way]
) -> tuple[Answer | None, list[Piece] | None]:
    """Return slabs for all groups, of these rack ways first and then of blocks; or what is left.

    Groups take their turn by area, the largest first; then each is looked at again with
    the slabs of the others in place, for slabs of several thicknesses share blocks.
    """
    turns = sorted(range(len(groups)), key=lambda g: (-sum(groups[g].area.values()), g))
    answer: Answer = [[] for _ in groups]
    from_rack: Answer = [[] for _ in groups]
    choices: dict[int, list[list[Slab]]] = {}
    for g in turns:
        others = [slab for k, own in enumerate(answer) if k != g for slab in own]
        own_racked = [way for way in racked if way in groups[g].holds and groups[g].holds[way]]
        from_rack[g], rest = _from_rack(groups[g], yard, own_racked, others)
        others = [*others, *from_rack[g]]
        choices[g], left = _choices(groups[g], rest, yard, count(others))
        if not choices[g]:
            return None, left
        answer[g] = from_rack[g] + min(
            choices[g], key=lambda slabs: _rank_with(slabs, others, yard)
        )
    for _ in range(3 if len(groups) > 1 else 0):
        before = rank(answer, yard)
        for g in turns:
            others = [slab for k, own in enumerate(answer) if k != g for slab in own]
            others += from_rack[g]
            answer[g] = from_rack[g] + min(
                [answer[g][len(from_rack[g]) :], *choices[g]],
                key=lambda slabs: _rank_with(slabs, others, yard),
            )
        if rank(answer, yard) >= before:
            break
    return answer, None


def _rank_with(
    slabs: list[Slab], others: list[Slab], yard: Yard
) -> tuple[float, int, int, int, float]:
    return rank([slabs, others], yard)


def _from_rack(
    group: Group,
    yard: Yard,
    ways: Sequence[Way],
    others: Sequence[Slab],
) -> tuple[list[Slab], list[Piece]]:
    """Return slabs from rack pieces, as many as hold pieces, and the pieces left over."""
    rest = list(group.pieces)
    slabs: list[Slab] = []
    for way in ways:
        while rest:
            more = count([*others, *slabs]) + Counter([way])
            if yard.blocks(more) is None:
                break
            found, left = _fill(group, rest, way, 1, yard)
            if not found:
                break
            slabs += found
            rest = left
    return slabs, rest


def _fill(
    group: Group, some: Sequence[Piece], way: Way, most: int | None, yard: Yard
) -> tuple[list[Slab], list[Piece]]:
    """Return slabs of one way with pieces on them, laid as the rig can free them."""
    if yard.workshop.rig.kind == "fence":
        return shelved(group, some, way, most, yard.kerf_mm)
    return fill(group, some, way, most)


def _spared(answer: Answer, groups: Sequence[Group], yard: Yard, ways: Sequence[Way]) -> Answer:
    """Return an answer with fewer pieces of the rack that costs no more."""
    if sum(len(group.pieces) for group in groups) > 300:
        return answer
    spare: Counter[str] = Counter()
    area = {number: a for group in groups for number, a in group.area.items()}
    load: dict[str, list[float]] = defaultdict(list)
    for slab in (slab for own in answer for slab in own if yard.in_rack(slab.way)):
        load[slab.way.rooms[0].stock.name].append(sum(area[n] for n, *_ in slab.laid))
    emptiest = sorted((full, name) for name, some in load.items() for full in some)
    for _, name in emptiest[:MOST_SPARED]:
        tried = spare + Counter([name])
        found, _ = _filled(groups, yard.without(tried), ways)
        if found is not None and rank(found, yard) < rank(answer, yard):
            answer, spare = found, tried
    return answer


def _choices(
    group: Group, some: Sequence[Piece], yard: Yard, others: Counter[Way]
) -> tuple[list[list[Slab]], list[Piece]]:
    """Return fillings of blocks on sale, whole or with the last few blocks in another size.

    And, where there is none, the pieces that found no room in the best one.
    """
    if not some:
        return [[]], []
    found = [way for way in group.ways if not yard.in_rack(way)]
    choices: list[list[Slab]] = []
    failed = list(some)

    def most(way: Way, taken: Counter[Way]) -> int | None:
        return yard.most(way, others + taken)

    cheapest = float("inf")
    fullest = 0.0

    def note(slabs: list[Slab]) -> None:
        nonlocal fullest
        fullest = max(fullest, *(group.filled_share(slab) for slab in slabs), 0.0)

    def worth(head: list[Slab], tail: Sequence[Piece], way: Way) -> bool:
        """Whether the tail on slabs of this way might be cheaper than what there is, or as cheap.

        Where faces are filled on a grid, pieces are many: what would have to be fuller than
        any face was so far is not tried, nor what would be no more than as cheap.
        """
        if group.grid is None or not choices:
            least = yard.price(count(head)) + _least_price(group, tail, way, yard)
            return least <= cheapest
        many = group.fewest(tail, way, full=fullest)
        return yard.price(count(head) + Counter({way: many})) < cheapest

    def key(way: Way) -> float:
        if group.grid is None:
            return _least_price(group, some, way, yard)
        return -group.face_area(way)

    for main in sorted(found, key=key):
        if not worth([], some, main):
            continue
        slabs, rest = _fill(group, some, main, most(main, Counter()), yard)
        note(slabs)
        if rest:
            failed = min(failed, rest, key=len)
        else:
            choices.append(slabs)
            cheapest = min(cheapest, yard.price(count(slabs)))
        each = max(1, yard.slabs_each(main))
        whole = len(slabs) // each * each
        for kept in sorted({max(0, whole - each * k) for k in range(MOST_KEPT)} | {0, len(slabs)}):
            head = slabs[:kept]
            laid = {one[0] for slab in head for one in slab.laid}
            tail = [piece for piece in some if piece.number not in laid]
            if not tail or not kept:
                continue
            for other in found:
                if other is main or not worth(head, tail, other):
                    continue
                more, unlaid = _fill(group, tail, other, most(other, count(head)), yard)
                note(more)
                if unlaid:
                    failed = min(failed, unlaid, key=len)
                    continue
                choices.append(head + more)
                cheapest = min(cheapest, yard.price(count(head + more)))
    return choices, failed


def _least_price(group: Group, some: Sequence[Piece], way: Way, yard: Yard) -> float:
    """Return what pieces cost at least by area, if only ways of this face are used."""
    return group.fewest(some, way) * yard.least_price(way)


def _run_out(failed: Sequence[Piece], yard: Yard) -> Fault:
    have = ", ".join(f"{one.available} of {one.name!r}" for one in yard.limited())
    shown = ", ".join(f"{piece.number} {piece.name!r}" for piece in failed[:5])
    more = f" and {len(failed) - 5} more" if len(failed) > 5 else ""
    where = f"foam {failed[0].foam!r}, {failed[0].thickness_mm:g} mm thick"
    if not have:
        return Fault(
            f"{len(failed)} pieces fit nowhere beside trim and blocked areas ({shown}{more})",
            where=where,
            mend="add a block with more clear foam, make them smaller, or allow them to be turned",
        )
    return Fault(
        f"stock runs out: {len(failed)} pieces are left over ({shown}{more})",
        where=where,
        mend=f"raise `available` of the stock (there are: {have}), or add another block size",
    )


def _booked(
    answer: Answer, groups: Sequence[Group], yard: Yard, last_block: int, last_layout: int
) -> tuple[list[Block], list[Layout]]:
    """Return blocks and layouts for the slabs: the fullest slabs first, the thickest on top.

    They are numbered on from the last ones there are.
    """
    blocks: list[Block] = []
    layouts: list[Layout] = []
    area = {number: a for group in groups for number, a in group.area.items()}
    waiting: dict[Way, list[tuple[Group, Slab]]] = defaultdict(list)
    for group, own in zip(groups, answer, strict=True):
        for slab in own:
            waiting[slab.way].append((group, slab))
    for some in waiting.values():
        some.sort(key=lambda one: -sum(area[number] for number, *_ in one[1].laid))
    sawings = yard.blocks(count(slab for own in answer for slab in own))
    assert sawings is not None
    for sawing in sorted(sawings, key=yard.place):
        room, stock = sawing.room, sawing.room.stock
        number = last_block + len(blocks) + 1
        blocks.append(Block(number=number, stock=stock.name, wire_axis=room.wire_axis))
        width, height = face_size_mm(stock, room.wire_axis)
        at_mm = stock.trim_mm
        for way in sawing.slabs:
            group, slab = waiting[way].pop(0)
            thickness = room.depth_mm if room.is_whole(way.thickness_mm) else way.thickness_mm
            layouts.append(
                Layout(
                    number=last_layout + len(layouts) + 1,
                    block=number,
                    from_mm=at_mm,
                    thickness_mm=thickness,
                    width_mm=width,
                    height_mm=height,
                    trim_mm=stock.trim_mm,
                    placements=tuple(
                        group.kinds.placement(
                            piece,
                            group.regions.variants[variant],
                            x + room.x_mm,
                            y + room.y_mm,
                        )
                        for piece, variant, x, y in slab.laid
                    ),
                    outline=face_outline(stock, room.wire_axis),
                    blocked=tuple(one.polygon for one in stock.blocked),
                )
            )
            at_mm += thickness + yard.kerf_mm
    return blocks, layouts


def unproved(pieces: Sequence[Piece], layouts: Sequence[Layout], workshop: Workshop) -> list[Fault]:
    """Return what does not hold of: each piece laid once, on clear foam, kerf + web from others."""
    clearance_mm = workshop.cutting.kerf_mm + workshop.cutting.web_mm
    by_number = {piece.number: piece for piece in pieces}
    laid = Counter(p.piece for layout in layouts for p in layout.placements)
    if laid != Counter(piece.number for piece in pieces):
        return [Fault("a piece is laid twice or not at all", where="layouts", mend=REPORT)]
    faults: list[Fault] = []
    for layout in layouts:
        outlines = np.array(
            [place(by_number[p.piece].outline, p) for p in layout.placements], dtype=object
        )
        low = layout.trim_mm - ROUNDING_MM
        bounds = shapely.bounds(outlines)
        where = f"layout {layout.number}"
        if (
            (bounds[:, :2] < low).any()
            or (bounds[:, 2] > layout.width_mm - low).any()
            or (bounds[:, 3] > layout.height_mm - low).any()
        ):
            faults.append(Fault("a piece sticks out of its face", where=where, mend=REPORT))
        if layout.outline is not None or layout.blocked:
            room = shapely.buffer(clear_face(layout), ROUNDING_MM, join_style="mitre")
            if not shapely.covers(room, outlines).all():
                faults.append(Fault("a piece lies off the clear foam", where=where, mend=REPORT))
        tree = shapely.STRtree(outlines)
        one, other = tree.query(outlines, predicate="dwithin", distance=clearance_mm - ROUNDING_MM)
        if (one != other).any():
            faults.append(Fault("pieces are too near each other", where=where, mend=REPORT))
    return faults
