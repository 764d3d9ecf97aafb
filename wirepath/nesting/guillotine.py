"""Straight cuts right through the part in hand that free rectangles: a guillotine pattern.

A fixed wire with a fence cuts a part from one side to the other, never less. Rectangles
can be freed so if a straight gap runs right through them, and through what each side
of it holds in turn. Gilmore and Gomory (*Multistage cutting stock problems of two and
more dimensions*, Operations Research 13, 1965, pages 94-120; from memory) call the
first level of such cuts, all one way, a stage.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

SAME_MM = 0.01
"""Edges nearer to each other than this lie on one line; a sliver thinner is not cut off."""

Rectangle = tuple[float, float, float, float]
"""Least x, least y, most x, most y, in mm."""

Group = tuple[float, float, tuple[int, ...]]
"""Where rectangles that stay together begin and end along an axis, and which they are."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A cut right through the part `part`: across axis 0 (x) or 1 (y), the wire's centre at `at`.

    It makes two parts: `low`, on the side of lesser figures, and `high`, each a rectangle less
    half a kerf; None where the slot leaves nothing of it.
    """

    part: Rectangle
    axis: int
    at_mm: float
    low: Rectangle | None
    high: Rectangle | None


def guillotine_cuts(
    slab: Rectangle, wanted: Sequence[Rectangle], kerf_mm: float
) -> tuple[Cut, ...] | None:
    """Return as few cuts as free all `wanted` rectangles of a slab, each part before its parts.

    Rectangles must stand a kerf apart or more. At each part either its rims are cut off one
    way, or all gaps that run right through it one way are cut and its rims; then what that
    leaves: whichever needs fewer. None where no straight gap runs through.
    """
    return _Search(tuple(wanted), kerf_mm).cuts(slab, tuple(range(len(wanted))))


class _Search:
    """The fewest cuts for any part of a slab that holds some of the rectangles."""

    def __init__(self, wanted: tuple[Rectangle, ...], kerf_mm: float) -> None:
        self.wanted, self.kerf_mm = wanted, kerf_mm
        self.found: dict[tuple[Rectangle, tuple[int, ...]], tuple[Cut, ...] | None] = {}

    def cuts(self, part: Rectangle, held: tuple[int, ...]) -> tuple[Cut, ...] | None:
        if not held:
            return ()
        key = (part, held)
        if key not in self.found:
            self.found[key] = self._best(part, held)
        return self.found[key]

    def _best(self, part: Rectangle, held: tuple[int, ...]) -> tuple[Cut, ...] | None:
        answers = [
            self._along(part, axis, groups)
            for axis in (0, 1)
            for apart in [self._groups(held, axis)]
            for groups in ([apart, [_together(apart)]] if len(apart) > 1 else [apart])
        ]
        done = [one for one in answers if one is not None]
        if done:
            return min(done, key=len)
        return () if len(held) == 1 and self._is_free(part, held[0]) else None

    def _is_free(self, part: Rectangle, index: int) -> bool:
        pairs = zip(part, self.wanted[index], strict=True)
        return all(abs(a - b) < SAME_MM for a, b in pairs)

    def _along(self, part: Rectangle, axis: int, groups: Sequence[Group]) -> tuple[Cut, ...] | None:
        """Return the cuts across one axis that part groups and cut off the rims, and what follows.

        None where there is none, or no way to go on.
        """
        half, rest = self.kerf_mm / 2, part
        made: list[Cut] = []
        inner: list[tuple[Rectangle, tuple[int, ...]]] = []
        for low, high, own in groups:
            if low - rest[axis] >= SAME_MM:
                made.append(_cut(rest, axis, low - half, half))
                rest = made[-1].high or rest
            if rest[axis + 2] - high >= SAME_MM:
                made.append(_cut(rest, axis, high + half, half))
                inner.append((made[-1].low or rest, own))
                rest = made[-1].high or rest
            else:
                inner.append((rest, own))
        if not made:
            return None
        for strip, own in inner:
            more = self.cuts(strip, own)
            if more is None:
                return None
            made += more
        return tuple(made)

    def _groups(self, held: tuple[int, ...], axis: int) -> list[Group]:
        """Return rectangles that no straight gap parts, together, in order: low, high, which."""
        groups: list[Group] = []
        for index in sorted(held, key=lambda i: (self.wanted[i][axis], i)):
            low, high = self.wanted[index][axis], self.wanted[index][axis + 2]
            if groups and low < groups[-1][1] + self.kerf_mm - SAME_MM:
                first, last, own = groups[-1]
                groups[-1] = (first, max(last, high), (*own, index))
            else:
                groups.append((low, high, (index,)))
        return [(low, high, tuple(sorted(own))) for low, high, own in groups]


def _together(groups: Sequence[Group]) -> Group:
    held = tuple(sorted(index for _, _, own in groups for index in own))
    return groups[0][0], groups[-1][1], held


def _cut(part: Rectangle, axis: int, at_mm: float, half_mm: float) -> Cut:
    low, high = list(part), list(part)
    low[axis + 2], high[axis] = at_mm - half_mm, at_mm + half_mm

    def left(sides: list[float]) -> Rectangle | None:
        x0, y0, x1, y1 = sides
        return (x0, y0, x1, y1) if min(x1 - x0, y1 - y0) >= SAME_MM else None

    return Cut(part, axis, at_mm, left(low), left(high))


def settings(cuts: Sequence[Cut]) -> set[float]:
    """Return the distances from a fence along the low side of each part to the wire's centre."""
    return {round(cut.at_mm - cut.part[cut.axis], 1) for cut in cuts}
