"""The rack as it is once a plan is cut: what was used is off it, what is kept lies on it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from shapely import Geometry, Polygon, box

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Offcut, Plan
from wirepath.workshop import Blocked, Corners, RackPiece

SMALL_MM2 = 100.0
"""Crumbs of blocked areas, left at a lump's edge, are not told: a square of 1 cm."""


def rack_after(plan: Plan) -> tuple[RackPiece, ...]:
    """Return the rack for the next job: pieces not used, then this plan's offcuts.

    Offcuts bear the names of the offcut list. Spare blocks are not among them.
    """
    used = Counter(block.stock for block in plan.blocks)
    left = [
        replace(piece, count=piece.count - used[piece.name])
        for piece in plan.workshop.rack
        if piece.count > used[piece.name]
    ]
    whole = plan.with_blanks()
    return (*left, *(_piece(whole, offcut) for offcut in plan.estimate.offcuts))


def _piece(plan: Plan, offcut: Offcut) -> RackPiece:
    block = plan.block(offcut.block)
    stock = plan.workshop.stock_named(block.stock)
    blocked: list[Polygon] = []
    if offcut.layout is None:
        blocked = [one.polygon for one in stock.blocked]
    if offcut.outline is None and not blocked:
        sides = (offcut.width_mm, offcut.height_mm, offcut.thickness_mm)
        length, width, thickness = sorted((_round(side) for side in sides), reverse=True)
        return RackPiece(
            name=offcut.name,
            foam=stock.foam,
            length_mm=length,
            width_mm=width,
            thickness_mm=thickness,
        )
    x, y = offcut.x_mm, offcut.y_mm
    face: Geometry = offcut.outline or box(x, y, x + offcut.width_mm, y + offcut.height_mm)
    areas = [part for one in blocked for part in polygons(overlay.intersection(one, face))]
    turn = offcut.height_mm > offcut.width_mm
    length, width = sorted((offcut.width_mm, offcut.height_mm), reverse=True)
    return RackPiece(
        name=offcut.name,
        foam=stock.foam,
        length_mm=None if offcut.outline is not None else _round(length),
        width_mm=None if offcut.outline is not None else _round(width),
        thickness_mm=_round(offcut.thickness_mm),
        outline=() if offcut.outline is None else _corners(offcut.outline, offcut, turn=turn),
        blocked=tuple(
            Blocked(corners=_corners(area, offcut, turn=turn))
            for area in areas
            if area.area > SMALL_MM2
        ),
    )


def _corners(area: Polygon, offcut: Offcut, *, turn: bool) -> Corners:
    """Return an area's corners as the lump lies in the rack, turned by a quarter if asked."""
    points = np.asarray(area.exterior.coords)[:-1, :2] - (offcut.x_mm, offcut.y_mm)
    if turn:
        points = np.column_stack([points[:, 1], offcut.width_mm - points[:, 0]])
    return tuple((_round(x), _round(y)) for x, y in points.tolist())


def _round(mm: float) -> float:
    """Return a length to a thousandth of a mm, as a file tells it, never -0."""
    return round(mm, 3) + 0.0


def remarks(plan: Plan) -> Iterator[str]:
    """Give what is said at the head of the rack file."""
    yield f"The rack once the plan of {' '.join(plan.job.name.split())!r} is cut."
    if plan.job.invented:
        yield "Invented demo data."
    yield 'Name it in the workshop file when that is done: rack_file = "...". Sizes are in mm,'
    yield "of clear foam; spare blocks are not counted."
