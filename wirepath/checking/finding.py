"""What a check found, and the tolerances all checks share, each with its reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wirepath.errors import Fault

EXACT_MM = 1e-6
"""Rounding of double numbers over a 4000 mm block (1e-12) and of turned pieces, with room."""

EDGE_MM = 0.01
"""How far into the foam a point counts as on its edge: files state hundredths of a mm."""

DEPTH_MM = 0.05
"""How deep the slot may reach into a piece, and how far it may keep off it (promise 2)."""

FLAKE_MM = 0.1
"""Foam thinner than this that hangs on a piece is no foam: the beads of EPS are 1 mm and up."""

CRUMB_MM2 = 0.01
"""A crumb smaller than this is arithmetic: a square of `FLAKE_MM`."""

BUFFER_SHARE = 0.01
"""GEOS straightens a line by up to this share of the offset before it offsets it."""

SAME_SHARE = 1e-6
"""Two ways to the same sum, weight or price may differ by this share: rounding only."""

BALANCE_SHARE = 0.001
"""Foam adds up to this share of the foam bought (promise 5)."""

LENGTH_SHARE = 0.001
"""Lengths and times: points rounded to 0.01 mm lengthen a line of 0.3 mm steps by 0.0001."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What the check of one promise found; `promise` 0 is agreement within the plan.

    `measured` says in words what was measured, also when it passed.
    """

    promise: int
    title: str
    passed: bool
    measured: str
    faults: tuple[Fault, ...] = ()


def found(promise: int, title: str, measured: str, faults: Sequence[Fault]) -> Finding:
    """Return the finding that passes when there are no `faults`."""
    return Finding(
        promise=promise,
        title=title,
        passed=not faults,
        measured=measured,
        faults=tuple(faults),
    )


def place_of(
    layout: int, *, piece: int | None = None, at: tuple[float, float] | None = None
) -> str:
    """Return a place in words: 'layout 1, piece 2, near x 10.0, y 20.0 mm'."""
    words = [f"layout {layout}"]
    if piece is not None:
        words.append(f"piece {piece}")
    if at is not None:
        words.append(f"near x {at[0]:.1f}, y {at[1]:.1f} mm")
    return ", ".join(words)


def same(one: float, other: float, *, share: float = SAME_SHARE, least: float = 1e-9) -> bool:
    """Return whether two numbers agree to a `share` of the larger, or to `least`."""
    return abs(one - other) <= max(share * max(abs(one), abs(other)), least)
