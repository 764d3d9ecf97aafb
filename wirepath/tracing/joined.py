"""What became of the pieces of a drawing, and the limits to joining them."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Geometry, LineString, Polygon, STRtree

from wirepath.model import Note
from wirepath.tracing.faults import Flaw
from wirepath.tracing.lines import Ints, Lines

EXACT_MM = 1e-4
"""Ends this near are one: programs write coordinates to 1e-4 mm or finer. Measured on
191 real drawings: more than this and traced lettering loses loops."""


MOST_GAP_SHARE = 0.2
"""A gap is only closed if it is at most this share of the shorter chain it closes."""


MOST_PAIRS = 3_000_000
"""Pairs of loose ends, or of outlines' boxes, that are compared one by one."""


@dataclass(slots=True)
class Joined:
    """What became of the pieces: rings and faces (closed lines), open lines, notes, flaws.

    `ring_of` and `face_of` name the pieces that each is made of, by index; `open_of` those
    of the open lines, all together.
    """

    rings: list[LineString] = field(default_factory=list)
    ring_of: list[Ints] = field(default_factory=list)
    opens: list[LineString] = field(default_factory=list)
    open_of: list[Ints] = field(default_factory=list)
    specks: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.intp))
    doubles: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.intp))
    notes: list[Note] = field(default_factory=list)
    flaws: list[Flaw] = field(default_factory=list)
    faces: list[Polygon] = field(default_factory=list)
    """Regions found in tangles; their holes are already open."""
    face_of: list[Ints] = field(default_factory=list)


class Drawn:
    """The pieces as drawn, to find those that run along a line made of them."""

    def __init__(self, pieces: Lines, index: Ints) -> None:
        self.pieces, self.index = pieces, index
        self.tree = STRtree(pieces)

    def on(self, line: Geometry) -> Ints:
        """Return the indexes of the pieces whose middle lies on `line`."""
        near = self.tree.query(line, predicate="dwithin", distance=1e-3)
        if not len(near):
            return near
        middles = shapely.line_interpolate_point(self.pieces[near], 0.5, normalized=True)
        shapely.prepare(line)
        return np.unique(self.index[near[shapely.dwithin(middles, line, 2e-3)]])
