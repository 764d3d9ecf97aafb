"""A layout cut in several setups: the wire led through each, as the block lies there.

The setups are chosen by `covering`; here each is led like a layout of its own, past the
pieces that other setups cut, and looked at: every move within the table's travel and off
its clamps, and the block in one part whenever it is moved.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import Geometry, Polygon, STRtree

from wirepath import overlay
from wirepath.errors import Fault, FitError
from wirepath.geometry import foam_face, off_table, polygons
from wirepath.model import Layout, Pass, Piece, Setup, WireLine
from wirepath.routing.clamped import Ways, clear_of_clamps, first_clear, hits
from wirepath.routing.covering import Choice, choices
from wirepath.routing.reaching import at_ends
from wirepath.routing.tables import away_mm, is_within_travel, seen_from_block, sides_within, window
from wirepath.routing.tapered import leaning_ends
from wirepath.routing.touring import free_sides
from wirepath.workshop import Cutting, Workshop

SetupLead = Callable[[Workshop, Cutting, Collection[int] | None], Ways]
"""Leads the wire over a layout in a workshop as seen from the block: all lines, or only some."""

SLACK_MM = 0.002
"""Points are given to 0.001 mm."""


def led_on_table(
    layout: Layout,
    lines: Sequence[WireLine],
    pieces: Sequence[Piece],
    workshop: Workshop,
    lead: SetupLead,
) -> tuple[tuple[Setup, ...], Ways]:
    """Return the passes of a layout on a table, and the setups they are cut in.

    No setups where one at the datum does: the whole face within the travel, all ways off the
    clamps. Raises FitError where neither that nor several setups do.
    """
    rig = workshop.rig

    def alone(cutting: Cutting) -> Ways:
        return lead(workshop, cutting, None)

    may_move = rig.block_may_shift or rig.block_may_turn != "no"
    first: FitError | None = None
    if not may_move or is_within_travel(layout, workshop):
        try:
            return (), (
                clear_of_clamps(alone, workshop, layout.number)
                if rig.clamps
                else alone(workshop.cutting)
            )
        except FitError as error:
            if not may_move or not rig.clamps:
                raise
            first = error
    try:
        return _in_setups(layout, lines, pieces, workshop, lead)
    except FitError as error:
        raise (first or error) from error


def _in_setups(
    layout: Layout,
    lines: Sequence[WireLine],
    pieces: Sequence[Piece],
    workshop: Workshop,
    lead: SetupLead,
) -> tuple[tuple[Setup, ...], Ways]:
    if workshop.cutting.waste != "whole":
        raise FitError(
            Fault(
                "waste is not parted on a block that is moved between setups",
                f"layout {layout.number}",
                "write cutting.waste = 'whole', or use blocks within the table's travel",
            )
        )
    chosen = choices(layout, lines, workshop, leaning_ends(layout, pieces, workshop))
    square: list[Pass] = []
    led: list[Pass] = []
    for number, choice in enumerate(chosen, 1):
        is_last = number == len(chosen)
        ways = _led(layout, lines, workshop, lead, choice, led, is_last=is_last)
        for passes, own in ((square, ways[0]), (led, ways[1])):
            before = len(passes)
            passes += [replace(one, number=before + one.number, setup=number) for one in own]
    return tuple(choice.setup for choice in chosen), (tuple(square), tuple(led))


def _led(
    layout: Layout,
    lines: Sequence[WireLine],
    workshop: Workshop,
    lead: SetupLead,
    choice: Choice,
    before: Sequence[Pass],
    *,
    is_last: bool,
) -> Ways:
    """Return the first ways of one setup without faults, entering from sides within reach."""
    here = seen_from_block(workshop, layout, choice.setup)
    reach = off_table(window(workshop.rig, workshop.cutting), choice.setup)
    near = sides_within(layout, reach, away_mm(workshop.cutting))
    sides = [side for side in free_sides(here.cutting, here.rig) if side in near]
    others = [line for index, line in enumerate(lines) if index not in choice.lines]

    def faults(ways: Ways) -> Iterator[Fault]:
        yield from _out_of_reach(ways[1], layout, here, reach)
        yield from hits(ways[1], here, layout.number)
        yield from _too_near(ways[1], layout, others, here)
        if not is_last:
            cut = {lines[index].piece for index in choice.lines}
            yield from _fallen_apart([*before, *ways[1]], layout, others, here, cut)

    def some_lines(cutting: Cutting) -> Ways:
        return lead(here, cutting, choice.lines)

    return first_clear(some_lines, here.cutting, sides, faults, patient=True)


def _out_of_reach(
    passes: Sequence[Pass], layout: Layout, workshop: Workshop, reach: Polygon
) -> Iterator[Fault]:
    """Give the first move that leads out of the table's travel, at either end of the wire."""
    for one in passes:
        for move in one.moves:
            near, far = at_ends(move.line, move.far or move.line, layout, workshop.rig)
            points = np.vstack((near, far))
            low, high = np.array(reach.bounds).reshape(2, 2)
            out = np.maximum(low - points, points - high).max(axis=1)
            if out.max() > SLACK_MM:
                x, y = points[int(out.argmax())]
                yield Fault(
                    f"a way '{move.kind}' leads {out.max():.0f} mm past the table's travel",
                    f"layout {layout.number}, near x {x:.0f}, y {y:.0f} mm",
                    "use a smaller block, or a table with more travel",
                )
                return


def _too_near(
    passes: Sequence[Pass], layout: Layout, others: Sequence[WireLine], workshop: Workshop
) -> Iterator[Fault]:
    """Give pieces of other setups that a slot comes so near to that a shift off could cut them."""
    moves = [move for one in passes for move in one.moves]
    ways = STRtree([way for move in moves for way in (move.line, move.far or move.line)])
    areas = np.array([Polygon(line.ring) for line in others if not line.is_hole], dtype=object)
    numbers = [line.piece for line in others if not line.is_hole]
    least = workshop.rig.shift_error_mm - SLACK_MM
    near = ways.query(areas, predicate="dwithin", distance=max(least, 0.0))[0]
    for row in np.unique(near).tolist():
        yield Fault(
            f"a way comes within {workshop.rig.shift_error_mm:g} mm of the line round piece "
            f"{numbers[row]}, which is cut in another setup",
            f"layout {layout.number}",
            "leave more room between the pieces (cutting.web_mm), or set rig.shift_error_mm",
        )


def _fallen_apart(
    passes: Sequence[Pass],
    layout: Layout,
    others: Sequence[WireLine],
    workshop: Workshop,
    cut: Collection[int],
) -> Iterator[Fault]:
    """Give the fault of a block that is in parts before it is moved, pieces still to cut in two."""
    freed = {move.piece for one in passes for move in one.moves} | set(cut)
    to_come = [Polygon(line.ring) for line in others if line.piece not in freed]
    lines = [
        way for one in passes for move in one.moves for way in (move.line, move.far or move.line)
    ]
    slot: Geometry = overlay.union(shapely.buffer(lines, workshop.cutting.widest_kerf_mm / 2))
    parts = polygons(overlay.difference(foam_face(layout), slot))
    inner = [shapely.point_on_surface(one) for one in to_come]
    _, which = STRtree(parts).query(inner, predicate="intersects")
    if len(set(which.tolist())) > 1:
        yield Fault(
            "the block would fall in parts before it is moved, with pieces to cut in more than one",
            f"layout {layout.number}",
            "leave foam at the block's edges (stock trim_mm), or use smaller blocks",
        )
