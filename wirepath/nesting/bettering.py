"""A filling made cheaper by search: the same pieces on fewer or cheaper slabs, larger offcuts."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np

from wirepath.nesting.fields import UNITS_PER_SECOND, Effort
from wirepath.nesting.filling import Group, Slab
from wirepath.nesting.gathering import gathered
from wirepath.nesting.improving import packed, pushed_left
from wirepath.nesting.maps import FORGIVEN, Maps, cell_size_mm
from wirepath.nesting.ways import Way, Yard

MOST_SECONDS_EACH = 0.25
"""Seconds of search for each piece that are worth while: four pieces need no minute."""

MOST_DENSE = 0.95
"""Fuller faces than this, clearance included, are not tried."""

PACKING_SHARE = 0.7
"""Share of the search spent on fewer or cheaper slabs; the rest goes to larger offcuts."""

GATHERING_SHARE = 0.1
"""Work besides, as a share of the search's, that goes into a shorter way for the wire."""

MOST_PUSHED = 4
"""Slabs, the emptiest first, whose pieces are pushed left for a larger offcut."""


def bettered(
    answer: list[list[Slab]],
    groups: Sequence[Group],
    yard: Yard,
    *,
    seed: int,
    seconds: float,
    sharing: bool,
    tell: Callable[[str], None],
) -> list[list[Slab]]:
    """Return cheaper slabs for the groups, or fewer, or with larger offcuts, or the same ones.

    One group after the other, those of the others left as they are. Slabs whose face is no
    full rectangle are left alone, and so are those from the rack.
    """
    pieces = sum(len(group.pieces) for group in groups)
    better = list(answer)
    for g, group in enumerate(groups):
        kept = [slab for slab in better[g] if not slab.way.is_plain or yard.in_rack(slab.way)]
        loose = [slab for slab in better[g] if slab.way.is_plain and not yard.in_rack(slab.way)]
        if not loose:
            continue
        others = Counter(
            slab.way for k, own in enumerate(better) for slab in (own if k != g else kept)
        )
        search = _Search(group, loose, others, yard, seed, sharing, tell)
        better[g] = kept + search.run(seconds * len(group.pieces) / pieces)
    return better


class _Search:
    """The search over one group's slabs; `others` count blocks besides, which they may share."""

    def __init__(
        self,
        group: Group,
        slabs: list[Slab],
        others: Counter[Way],
        yard: Yard,
        seed: int,
        sharing: bool,
        tell: Callable[[str], None],
    ) -> None:
        self.sharing = sharing
        self.group, self.slabs, self.others, self.yard = group, slabs, others, yard
        self.seed, self.tell = seed, tell
        laid = {number for slab in slabs for number, *_ in slab.laid}
        self.pieces = [piece for piece in group.pieces if piece.number in laid]
        self.ways = [way for way in group.ways if way.is_plain and not yard.in_rack(way)]

    def run(self, seconds: float) -> list[Slab]:
        """Return the slabs after a search worth so many seconds."""
        kinds = [self.group.kinds.kind[piece.number] for piece in self.pieces]
        areas = [float(piece.outline.area) for piece in self.pieces]
        short = min(min(slab.way.usable_mm) for slab in self.slabs)
        cell_mm = cell_size_mm(short, sum(areas) / len(areas))
        maps = Maps(self.group.regions, cell_mm=cell_mm, forgiven=FORGIVEN)
        maps.free = frozenset(
            kind for kind, one in zip(kinds, self.pieces, strict=True) if one.turning == "any"
        )
        units = min(seconds, len(self.pieces) * MOST_SECONDS_EACH) * UNITS_PER_SECOND
        spent = 0.0
        tried: set[tuple[int, ...]] = set()
        while spent < units * PACKING_SHARE:
            targets = [target for target in self._targets() if target not in tried]
            if not targets:
                break
            tried.add(targets[0])
            effort = Effort(min(units / 4, units - spent))
            faces = [self.ways[w] for w in targets[0]]
            rooms = [way.usable_mm for way in faces]
            answer = packed(maps, kinds, rooms, seed=self.seed, effort=effort)
            spent += effort.done
            if answer is not None:
                self.slabs = [
                    Slab(way, tuple((self.pieces[i].number, v, x, y) for i, v, x, y in laid))
                    for way, laid in zip(faces, answer, strict=True)
                    if laid
                ]
                sawings = (
                    self.yard.blocks(self.others + Counter(slab.way for slab in self.slabs)) or []
                )
                foam = self.yard.foam_price(sawings)
                self.tell(f"{len(self.slabs)} slabs hold all, foam {foam:g}")
        place_of = {piece.number: i for i, piece in enumerate(self.pieces)}
        loosest = sorted(
            range(len(self.slabs)),
            key=lambda k: sum(areas[place_of[n]] for n, *_ in self.slabs[k].laid),
        )
        for turn, k in enumerate(loosest[:MOST_PUSHED]):
            effort = Effort(max(units - spent, 0.0) / (min(len(self.slabs), MOST_PUSHED) - turn))
            slab = self.slabs[k]
            pushed = pushed_left(
                maps,
                kinds,
                tuple((place_of[n], v, x, y) for n, v, x, y in slab.laid),
                slab.way.usable_mm,
                seed=self.seed,
                effort=effort,
            )
            spent += effort.done
            laid = tuple((self.pieces[i].number, v, x, y) for i, v, x, y in pushed)
            self.slabs[k] = Slab(slab.way, laid)
        effort = Effort(units * GATHERING_SHARE)
        self.slabs = [self._gathered(slab, maps, effort) for slab in self.slabs]
        return self.slabs

    def _gathered(self, slab: Slab, maps: Maps, effort: Effort) -> Slab:
        """Return the slab as dense, its pieces where the wire's way is shorter."""
        spots = gathered(
            maps,
            [v for _, v, _, _ in slab.laid],
            np.array([(x, y) for _, _, x, y in slab.laid]),
            slab.way.usable_mm,
            self.yard.workshop.cutting,
            effort,
            sharing=self.sharing,
        )
        return Slab(
            slab.way,
            tuple(
                (number, v, x, y)
                for (number, v, _, _), (x, y) in zip(slab.laid, spots.tolist(), strict=True)
            ),
        )

    def _rank(self, ways: Sequence[Way]) -> tuple[float, int]:
        """Return the price of all blocks with these slabs among them, and how many these are."""
        return round(self.yard.price(self.others + Counter(ways)), 6), len(ways)

    def _targets(self) -> list[tuple[int, ...]]:
        """Return sets of slabs better than these that might hold all pieces, the roomiest first.

        As numbers of ways, one or two different ones. Better: cheaper, or as cheap with
        fewer slabs.
        """
        group, ways = self.group, self.ways
        best = self._rank([slab.way for slab in self.slabs])
        need = sum(group.area[piece.number] for piece in self.pieces) / MOST_DENSE
        size = [group.face_area(way) for way in ways]
        all_of_them = {piece.number for piece in self.pieces}
        holds = [group.holds[way] & all_of_them for way in ways]
        options: set[tuple[float, tuple[int, ...]]] = set()
        most = [math.ceil(need / one) for one in size]
        for a in range(len(ways)):
            for b in range(a, len(ways)):
                if len(holds[a] | holds[b]) < len(all_of_them):
                    continue
                for count_a in range(most[a] + 1):
                    rest = max(0, math.ceil((need - count_a * size[a]) / size[b] - 1e-9))
                    for count_b in {rest, rest + 1} if a != b else {0}:
                        target = (a,) * count_a + (b,) * count_b
                        room = count_a * size[a] + count_b * size[b]
                        if not target or room < need:
                            continue
                        if self._rank([ways[w] for w in target]) < best:
                            options.add((room / need, target))
        return [target for _, target in sorted(options, key=lambda one: (-one[0], one[1]))]
