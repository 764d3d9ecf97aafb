"""The wire's way: lines, moves and passes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import LineString

from wirepath.workshop import Side


@dataclass(frozen=True, slots=True, kw_only=True)
class WireLine:
    """A closed line for the wire's centre, in the layout's frame, kerf included.

    `is_hole` lines run inside a hole of the piece, others outside its outline. `slow`
    are its stretches at the corner feed; `loops` lead out into the waste and back to a
    corner of the line, each a closed line from that corner.
    """

    piece: int
    is_hole: bool
    ring: LineString
    slow: tuple[LineString, ...] = ()
    loops: tuple[LineString, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceMiss:
    """Where the melted-back shape of a piece misses its outline most: foam left standing.

    A round slot rounds every inner corner, to a radius of half the kerf there. Of a
    taper it is a bound for all depths. `at` is in the frame of the drawing.
    """

    piece: int
    miss_mm: float
    at: tuple[float, float]


MoveKind = Literal[
    "air",
    "entry",
    "thread",
    "outline",
    "hole",
    "link",
    "slit",
    "parting",
    "slot",
    "overrun",
    "fence",
]
"""What the wire does on a move.

    air      outside the foam
    entry    from the foam's edge to the first line, through waste
    thread   from where the wire was threaded through the foam, through waste, to a hole's line
    outline  along a piece's outline
    hole     along a hole of a piece
    link     through waste, from one line to the next
    slit     through a piece, from its outline to its hole: a seam to glue
    parting  into the waste, to part it
    slot     back through a slot it has cut before
    overrun  a little past the point where a line closes, in its own slot
    fence    straight through a part of the slab that is pushed along a fence
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One move of the wire's centre along `line`, which starts where the last one ended.

    Where the wire's two ends part, `line` is where its near end goes, on the face in
    front, and `far` where the other one goes, point for point in the same time. On each
    straight step the end with the longer way keeps the feed.
    """

    kind: MoveKind
    line: LineString
    feed_mm_per_s: float
    piece: int | None = None
    far: LineString | None = None

    @property
    def length_mm(self) -> float:
        """How far the end with the longer way goes, step by step."""
        if self.far is None:
            return float(self.line.length)
        ends = (shapely.get_coordinates(line) for line in (self.line, self.far))
        return float(np.maximum(*(np.hypot(*np.diff(way, axis=0).T) for way in ends)).sum())

    @property
    def seconds(self) -> float:
        """How long the move takes."""
        return self.length_mm / self.feed_mm_per_s


@dataclass(frozen=True, slots=True, kw_only=True)
class FenceCut:
    """One straight cut right through a part of a slab, pushed along a fence past the wire.

    The slab is part 0; each cut makes new parts, counted on. Sides are those of the part as
    it lies in the layout's frame.
    """

    part: int
    against: Side
    """The side of the part that lies against the fence."""
    fence_mm: float
    """From the fence to the middle of the wire."""
    beside: int | None
    """The part made between fence and wire; None where the slot leaves nothing of it."""
    beyond: int | None
    """The part made on the wire's other side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """Where two people with a bow rest on the pass of this number, wire off, in its slot."""

    number: int
    after_mm: float
    """How far the near end has come through foam by then."""
    at: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """One unbroken trip of the wire, on one layout: from air back to air.

    A cut along a fence, and what is cut by hand of a part that such cuts freed, begins and
    ends on the rim of that part. A pass that begins with a move `thread` begins where the
    wire was threaded through a hole's waste, and ends there.
    """

    layout: int
    number: int
    moves: tuple[Move, ...]
    setup: int = 1
    """In which of the layout's setups it is cut, counted from 1."""

    @property
    def is_threaded(self) -> bool:
        """Whether the wire is threaded through the foam for this pass."""
        return bool(self.moves) and self.moves[0].kind == "thread"
