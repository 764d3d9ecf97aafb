"""A slab cut along a fence: straight cuts that free rectangles, then what is cut by hand of them.

The wire stands still; the part in hand lies against a fence and is pushed past it, so
each cut runs right through. A piece that is its own rectangle is finished with that. A
curved one is led round the wire by hand, along a template, beginning and ending on the
rim of its rectangle.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np
import shapely
from shapely import Geometry, LineString, Polygon

from wirepath.errors import Fault, FitError
from wirepath.geometry import place_all
from wirepath.kerf import wire_lines
from wirepath.model import FenceCut, Layout, Move, Pass, Piece
from wirepath.model.layouts import FENCE_MM
from wirepath.nesting import Cut, Rectangle, guillotine_cuts
from wirepath.routing import route, scarred
from wirepath.units import told_apart
from wirepath.workshop import Rig, Side, Workshop

DECIMALS = 3
"""Points are given to 0.001 mm, as the coordinate files state them."""

CRUMB_MM2 = 0.01
"""What a rectangle has over its piece, where that is arithmetic only."""

SIDES: tuple[tuple[Side, Side], ...] = (("left", "right"), ("lower", "upper"))


def fenced(
    layout: Layout,
    pieces: Sequence[Piece],
    workshop: Workshop,
    spared: Mapping[int, Geometry] = MappingProxyType({}),
) -> tuple[Layout, tuple[Pass, ...]]:
    """Return the layout with its cuts along the fence, and all its passes in order.

    Cuts with one setting of the fence follow each other as far as their parts are there.
    `spared` are sides of pieces where lines are not to begin. Raises FitError, all faults at
    once, for tapers, and where the fence cannot be set.
    """
    placed = place_all(layout, tuple(pieces))
    wanted = [_rectangle(one) for one in placed]
    slab = (0.0, 0.0, layout.width_mm, layout.height_mm)
    cuts = guillotine_cuts(slab, wanted, workshop.cutting.kerf_mm)
    assert cuts is not None, "the layout is parted by straight cuts"
    faults = [
        Fault(
            "a taper leans the wire, which a fence does not",
            f"piece {one.piece} {pieces[one.piece - 1].name!r}",
            "plan it for a bow, or a table with two_ended = true",
        )
        for one in layout.placements
        if pieces[one.piece - 1].taper is not None
    ]
    faults += [fault for cut in cuts for fault in _unset(cut, workshop.rig)]
    if faults:
        raise FitError([fault.inside(f"layout {layout.number}") for fault in faults])
    ordered = tuple(_ordered(cuts, workshop.rig))
    passes = [
        Pass(layout=layout.number, number=number, moves=(_through(cut, workshop),))
        for number, cut in enumerate(ordered, 1)
    ]
    for one, outline, rectangle in zip(layout.placements, placed, wanted, strict=True):
        alone = replace(
            layout,
            width_mm=rectangle[2] - rectangle[0],
            height_mm=rectangle[3] - rectangle[1],
            trim_mm=0.0,
            placements=(replace(one, x_mm=one.x_mm - rectangle[0], y_mm=one.y_mm - rectangle[1]),),
        )
        for moves in _by_hand(alone, outline, tuple(pieces), workshop, spared):
            here = tuple(_shifted(move, rectangle[:2]) for move in moves)
            passes.append(Pass(layout=layout.number, number=len(passes) + 1, moves=here))
    hand = passes[len(ordered) :]
    lines = wire_lines(layout, tuple(pieces), workshop.cutting) if hand and spared else ()
    scars = scarred(layout, lines, hand, spared, workshop.cutting.widest_kerf_mm)
    told = tuple(_numbered(ordered, workshop.rig))
    return replace(layout, fence_cuts=told, scarred=scars), tuple(passes)


def parts(layout: Layout, kerf_mm: float) -> dict[int, Rectangle]:
    """Return every part that the cuts along the fence make of a layout's slab, by its number."""
    found: dict[int, Rectangle] = {0: (0.0, 0.0, layout.width_mm, layout.height_mm)}
    for cut in layout.fence_cuts:
        part = found[cut.part]
        axis = 0 if cut.against in ("left", "right") else 1
        low, high = part[axis], part[axis + 2]
        from_low = cut.against in ("left", "lower")
        at = low + cut.fence_mm if from_low else high - cut.fence_mm
        sides = [(low, at - kerf_mm / 2), (at + kerf_mm / 2, high)]
        for number, (a, b) in zip(
            (cut.beside, cut.beyond), sides[:: 1 if from_low else -1], strict=True
        ):
            if number is not None:
                x0, y0, x1, y1 = part
                found[number] = (a, y0, b, y1) if axis == 0 else (x0, a, x1, b)
    return found


def _rectangle(outline: Polygon) -> Rectangle:
    x0, y0, x1, y1 = outline.bounds
    return x0, y0, x1, y1


# --- Along the fence ---------------------------------------------------------------


def _setting(cut: Cut, rig: Rig) -> tuple[Side, float]:
    """Return the side that lies against the fence, and how far that is from the wire.

    The left or lower side, so that what is between fence and wire comes out as wide as it
    is set; the other one where the fence cannot be set to that.
    """
    low = cut.at_mm - cut.part[cut.axis]
    high = cut.part[cut.axis + 2] - cut.at_mm
    most = rig.fence_most_mm or float("inf")
    if not rig.fence_least_mm <= low <= most and rig.fence_least_mm <= high <= most:
        return SIDES[cut.axis][1], high
    return SIDES[cut.axis][0], low


def _unset(cut: Cut, rig: Rig) -> Iterator[Fault]:
    """Give why a cut cannot be set."""
    side, fence = _setting(cut, rig)
    most = rig.fence_most_mm or float("inf")
    if rig.fence_least_mm <= fence <= most:
        return
    x0, y0, x1, y1 = cut.part
    far = "at least" if fence < rig.fence_least_mm else "at most"
    limit = rig.fence_least_mm if fence < rig.fence_least_mm else most
    yield Fault(
        f"the fence would stand {told_apart(fence, limit)} mm from the wire; it can be set to "
        f"{far} {limit:g} mm",
        f"a part of {x1 - x0:.0f} x {y1 - y0:.0f} mm, its {side} side against the fence",
        "use another block size, or set fence_least_mm and fence_most_mm as measured",
    )


def _ordered(cuts: Sequence[Cut], rig: Rig) -> Iterator[Cut]:
    """Give the cuts in an order that sets the fence as seldom as it finds, parts before theirs.

    Of the settings that can be used now, first one that is not needed again later; of those the
    one that serves most cuts, then the widest.
    """
    waiting = {cut.part: [other for other in cuts if other.part == cut.part] for cut in cuts}
    made = {part for cut in cuts for part in (cut.low, cut.high)}
    ready = [cut for cut in cuts if cut.part not in made]
    left = list(cuts)
    key_of = _alike({_setting(cut, rig)[1] for cut in cuts})
    while ready:
        now, later = defaultdict(list), set()
        for cut in left:
            key = key_of[_setting(cut, rig)[1]]
            if cut in ready:
                now[key].append(cut)
            else:
                later.add(key)
        key = min(now, key=lambda one: (one in later, -len(now[one]), -one))
        for cut in now[key]:
            yield cut
            left.remove(cut)
            ready.remove(cut)
            for part in (cut.low, cut.high):
                ready += waiting.get(part, []) if part is not None else []


def _alike(settings: Iterable[float]) -> dict[float, float]:
    """Return for each setting the least of those that the fence is left where it is for."""
    keys: dict[float, float] = {}
    key = -float("inf")
    for one in sorted(settings):
        # Within half of it of the least, any order of them is within it of the first.
        if one - key > FENCE_MM / 2:
            key = one
        keys[one] = key
    return keys


def _numbered(cuts: Iterable[Cut], rig: Rig) -> Iterator[FenceCut]:
    """Give the cuts as told, their parts numbered in the order in which they are made."""
    numbers: dict[Rectangle, int] = {}
    made = 0
    for cut in cuts:
        side, fence = _setting(cut, rig)
        order = (cut.low, cut.high) if side in ("left", "lower") else (cut.high, cut.low)
        parts: list[int | None] = []
        for part in order:
            if part is not None:
                made += 1
                numbers[part] = made
            parts.append(None if part is None else made)
        yield FenceCut(
            part=numbers.get(cut.part, 0),
            against=side,
            fence_mm=fence,
            beside=parts[0],
            beyond=parts[1],
        )


def _through(cut: Cut, workshop: Workshop) -> Move:
    """Return the cut as a move, from one rim of its part to the other."""
    x0, y0, x1, y1 = cut.part
    at = cut.at_mm
    ends = [(at, y0), (at, y1)] if cut.axis == 0 else [(x0, at), (x1, at)]
    line = LineString(np.round(ends, DECIMALS) + 0.0)
    return Move(kind="fence", line=line, feed_mm_per_s=workshop.cutting.feed_mm_per_s)


# --- By hand -----------------------------------------------------------------------


def _by_hand(
    alone: Layout,
    outline: Polygon,
    pieces: tuple[Piece, ...],
    workshop: Workshop,
    spared: Mapping[int, Geometry],
) -> Iterator[tuple[Move, ...]]:
    """Give what is still to be cut of one piece, on its own rectangle as if that were a block.

    Ways through air are left out: the part is in hand. Of a rectangle with holes only
    the holes are left.
    """
    if alone.width_mm * alone.height_mm - outline.area < CRUMB_MM2:
        return
    solid = Polygon(outline.exterior)
    is_free = alone.width_mm * alone.height_mm - solid.area < CRUMB_MM2
    cutting = replace(workshop.cutting, entry_sides=())
    lines = wire_lines(alone, pieces, cutting)
    for one in route(alone, lines, pieces, cutting, workshop.rig, spared=spared):
        if one.is_threaded:
            yield one.moves
        elif is_free:
            yield from _slits(one.moves)
        else:
            yield tuple(move for move in one.moves if move.kind != "air")


def _slits(moves: Iterable[Move]) -> Iterator[tuple[Move, ...]]:
    """Give each trip from the outline through a slit to a hole, or several, and back."""
    trip: list[Move] = []
    for move in moves:
        if not trip and move.kind != "slit":
            continue
        trip.append(move)
        if np.hypot(*np.subtract(move.line.coords[-1], trip[0].line.coords[0])) < 10**-DECIMALS:
            yield tuple(trip)
            trip = []


def _shifted(move: Move, by: tuple[float, ...]) -> Move:
    points = np.round(shapely.get_coordinates(move.line) + np.array(by), DECIMALS) + 0.0
    return replace(move, line=LineString(points))
