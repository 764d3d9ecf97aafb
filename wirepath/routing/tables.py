"""The table under a block: its travel and clamps, as they lie in a setup, in the layout's frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely import Polygon, box
from shapely.geometry import Point

from wirepath.geometry import off_table, on_table
from wirepath.model import Layout, Setup
from wirepath.workshop import Clamp, Cutting, Rig, Side, Workshop

FAR_MM = 1e5
"""Further than any table reaches: the travel where none is given."""

ROUND: tuple[Side, ...] = ("lower", "right", "upper", "left")
"""The sides of a face, counter-clockwise."""


def away_mm(cutting: Cutting) -> float:
    """Return how far outside the block ways in air run."""
    return max(cutting.lead_in_mm, cutting.kerf_mm)


def window(rig: Rig, cutting: Cutting) -> Polygon:
    """Return where the wire gets on the table, from the datum corner of the block at first."""
    spans = []
    for axis, travel in enumerate((rig.travel_x_mm, rig.travel_y_mm)):
        least = -away_mm(cutting)
        if rig.waits_at is not None:
            least = min(least, rig.waits_at[axis])
        if rig.travel_from is not None:
            least = rig.travel_from[axis]
        spans.append((-FAR_MM, FAR_MM) if travel is None else (least, least + travel))
    (west, east), (south, north) = spans
    return box(west, south, east, north)


def laid(layout: Layout, turn_deg: float, pushed_mm: Sequence[float]) -> Setup:
    """Return the setup of a block turned, laid against the datum corner, and pushed.

    `pushed_mm` is how far it is pushed to the left and down from there.
    """
    turned = on_table(box(0, 0, layout.width_mm, layout.height_mm), Setup(turn_deg=turn_deg))
    west, south, _, _ = turned.bounds
    return Setup(
        turn_deg=turn_deg,
        x_mm=round(-west - pushed_mm[0], 3) + 0.0,
        y_mm=round(-south - pushed_mm[1], 3) + 0.0,
    )


def seen_from_block(workshop: Workshop, layout: Layout, setup: Setup) -> Workshop:
    """Return the workshop with its clamps, waiting place, travel and entry sides as they lie
    round the block in a setup, in the layout's frame."""
    rig, quarters = workshop.rig, round(setup.turn_deg / 90)
    clamps = []
    for clamp in rig.clamps:
        west, south, east, north = off_table(clamp.polygon, setup).bounds
        clamps.append(Clamp(x_mm=west, y_mm=south, width_mm=east - west, height_mm=north - south))
    waits = rig.waits_at
    if waits is not None:
        at = off_table(Point(waits), setup)
        waits = (round(at.x, 3), round(at.y, 3))
    travel = (rig.travel_x_mm, rig.travel_y_mm)
    if quarters % 2:
        travel = travel[::-1]
    sides = tuple(
        ROUND[(ROUND.index(side) - quarters) % 4] for side in workshop.cutting.entry_sides
    )
    return replace(
        workshop,
        rig=replace(
            rig,
            clamps=tuple(clamps),
            waits_at=waits,
            travel_x_mm=travel[0],
            travel_y_mm=travel[1],
        ),
        cutting=replace(workshop.cutting, entry_sides=sides),
    )


def sides_within(layout: Layout, reach: Polygon, away: float) -> tuple[Side, ...]:
    """Return the sides of the face, in the layout's frame, outside which the wire gets."""
    west, south, east, north = reach.bounds
    free = {
        "left": west <= -away + 1e-6,
        "right": layout.width_mm + away <= east + 1e-6,
        "lower": south <= -away + 1e-6,
        "upper": layout.height_mm + away <= north + 1e-6,
    }
    sides: tuple[Side, ...] = ("left", "right", "lower", "upper")
    return tuple(side for side in sides if free[side])


def is_within_travel(layout: Layout, workshop: Workshop) -> bool:
    """Return whether the wire gets outside all sides of a layout's face as it lies at first."""
    if workshop.rig.kind != "table":
        return True
    rig = replace(workshop.rig, waits_at=None, travel_from=None)
    away = away_mm(workshop.cutting)
    return len(sides_within(layout, window(rig, workshop.cutting), away)) == len(ROUND)
