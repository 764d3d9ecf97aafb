"""Where a table's wire stops beside a piece, and how much wider its slot melts there.

A wire that turns a sharp corner, turns aside into a link or turns back comes to rest. While
it slows and speeds up again it melts on. By the kerf law k = a + b / feed a slot grows by
a feed + b of area in a second, of which b goes on at rest; a stop from `feed` takes
feed / acceleration longer than going on, so it melts b feed / acceleration more, round the
place. (Worked out from the law; nobody measured it. Standing for 1 to 10 s it comes to about
what heat reaches by conduction, `kerf.dwell_widening_mm`.)
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from wirepath.geometry import place
from wirepath.model import Plan
from wirepath.timing import stopping_places
from wirepath.workshop import Cutting

REACH_MM = 0.05
"""A stop as near as this to half a kerf from a piece is one on its line: curves are chords."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceStops:
    """How often the wire stops on the lines of a piece."""

    piece: int
    count: int


def melted_at_rest_mm2_per_s(cutting: Cutting) -> float:
    """Return b of the kerf law: the area that a resting wire goes on melting in a second.

    From the kerf at the corners' feed where one is stated, else from what of the kerf goes
    with 1 / feed; without either all of it does, which is the most there can be.
    """
    kerf, feed = cutting.kerf_mm, cutting.feed_mm_per_s
    slow, wide = cutting.corner_feed_mm_per_s, cutting.corner_kerf_mm
    if slow is not None and wide is not None and slow < feed:
        return max(wide - kerf, 0.0) / (1 / slow - 1 / feed)
    return (kerf - (cutting.kerf_base_mm or 0.0)) * feed


def widened_mm(kerf_mm: float, rest_mm2_per_s: float, seconds: float) -> float:
    """Return how much wider a slot gets round a place where the wire is `seconds` late.

    The area melted in that time spreads round: pi / 4 (w^2 - k^2) = b t.
    """
    return math.sqrt(kerf_mm**2 + 4 / math.pi * rest_mm2_per_s * seconds) - kerf_mm


def stop_widening_mm(cutting: Cutting, acceleration_mm_per_s2: float) -> float:
    """Return how much wider the slot gets where the wire stops on its way.

    Where corners are slowed it stops from their feed, in their wider slot.
    """
    feed = cutting.corner_feed_mm_per_s or cutting.feed_mm_per_s
    rest = melted_at_rest_mm2_per_s(cutting)
    return widened_mm(cutting.widest_kerf_mm, rest, feed / acceleration_mm_per_s2)


def piece_stops(plan: Plan) -> tuple[PieceStops, ...]:
    """Return the pieces on whose lines the wire stops, in order; none by hand.

    A corner of an outline that stands out is no stop: round it the wire runs in an arc.
    Tapers, whose wire leans, are left out.
    """
    if plan.workshop.rig.kind != "table":
        return ()
    return tuple(sorted(_stops(plan), key=lambda one: one.piece))


def _stops(plan: Plan) -> Iterator[PieceStops]:
    reach = plan.workshop.cutting.widest_kerf_mm / 2 + REACH_MM
    whole = plan.with_blanks()
    for layout in whole.layouts:
        passes = [one for one in whole.passes if one.layout == layout.number]
        if not passes:
            continue
        at = np.unique(
            np.round(np.concatenate([stopping_places(one) for one in passes]), 3), axis=0
        )
        points = np.asarray(shapely.points(at))
        for placement in layout.placements:
            piece = whole.piece(placement.piece)
            if piece.taper is not None:
                continue
            border = place(piece.outline, placement).boundary
            shapely.prepare(border)
            count = int(shapely.dwithin(border, points, reach).sum())
            if count:
                yield PieceStops(piece=piece.number, count=count)
