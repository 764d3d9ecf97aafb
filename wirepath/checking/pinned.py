"""Pins: half in each piece, covered by foam that stays, apart from each other and parallel."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString

from wirepath.checking.cored import uncovered
from wirepath.checking.finding import DEPTH_MM, EDGE_MM, EXACT_MM
from wirepath.checking.levels import heights_asked, levels
from wirepath.errors import Fault
from wirepath.model import Piece, Pin, Plan, Seam
from wirepath.overlay import union

PARALLEL = 1e-6
"""Sine of the angle between pins of one step: rounding only."""

SLACK_MM = 2 * DEPTH_MM
"""Cover may be short by this: round ends drawn by chords, pieces' edges rounded."""

Numbers = NDArray[np.float64]


def pin_faults(plan: Plan) -> Iterator[Fault]:
    """Give every pin that is not where a pin may be."""
    pins = plan.assembly.pins
    if [pin.number for pin in pins] != list(range(1, len(pins) + 1)):
        yield Fault("pins do not count from 1 without gaps", "assembly")
    for pin in pins:
        where = f"pin {pin.number}"
        if not 1 <= pin.seam <= len(plan.seams):
            yield Fault(f"there is no seam {pin.seam}", where)
            return
        for what in _of_one(plan, pin, plan.seams[pin.seam - 1]):
            yield Fault(what, where)
    yield from _too_near(plan)
    yield from _not_parallel(plan)


def _of_one(plan: Plan, pin: Pin, seam: Seam) -> Iterator[str]:
    """Give what is wrong with one pin by itself."""
    glue = plan.workshop.glue
    start, end = np.array(pin.start), np.array(pin.end)
    middle = (start + end) / 2
    length = float(np.linalg.norm(end - start))
    around = glue.pin_diameter_mm / 2 + glue.pin_cover_mm - SLACK_MM
    if length > glue.pin_length_mm + EXACT_MM:
        yield f"it is {length:.1f} mm long, pins are {glue.pin_length_mm:g} mm"
    at = shapely.Point(*middle[:2])
    if shapely.distance(at, seam.place) > EDGE_MM or not (
        seam.from_mm - EXACT_MM <= middle[2] <= seam.to_mm + EXACT_MM
    ):
        yield f"its middle lies off seam {pin.seam}"
    pieces = [plan.piece(number) for number in seam.pieces]
    for one in (start, end):
        half = _axis(middle, one)
        if not any(_holds(piece, half, middle, one) for piece in pieces):
            yield "a half of it leaves the pieces it joins"
    if _holds_both(pieces, start, middle, end):
        yield "both halves of it lie in one piece"
    low, high = sorted((pin.start[2], pin.end[2]))
    # Its own ends need cover along it, its sides around it.
    along_z = glue.pin_cover_mm if seam.kind == "layer" else around
    low_end, high_end = seam.from_mm, seam.to_mm
    if seam.kind == "layer":
        low_end = min(piece.from_mm for piece in pieces)
        high_end = max(piece.from_mm + piece.thickness_mm for piece in pieces)
    in_height = low - along_z >= low_end - SLACK_MM and high + along_z <= high_end + SLACK_MM
    room = union([piece.outline for piece in pieces] if seam.kind == "edge" else [seam.place])
    covered = shapely.buffer(_axis(start, end), around)
    widened = shapely.buffer(room, EDGE_MM)
    if not in_height or not shapely.covers(widened, covered):
        yield f"less than {glue.pin_cover_mm:g} mm of its pieces cover it"
    if plan.job.form.kind == "full round":
        yield from uncovered(plan, pieces[0], pin)
        return
    stands = _standing(plan, pieces[0], high + along_z - SLACK_MM)
    if not any(shapely.covers(shapely.buffer(one, EDGE_MM), covered) for one in stands):
        yield f"less than {glue.pin_cover_mm:g} mm of finished foam cover it for sure"


def _axis(start: Numbers, end: Numbers) -> Geometry:
    """Return a stretch of a pin's axis as seen from the front."""
    return LineString([start[:2], end[:2]])


def _holds(piece: Piece, half: Geometry, middle: Numbers, end: Numbers) -> bool:
    """Return whether a piece holds a half of a pin, from its middle to one end."""
    low, high = sorted((float(middle[2]), float(end[2])))
    return bool(
        shapely.covers(piece.outline.buffer(EDGE_MM), half)
        and piece.from_mm - EXACT_MM <= low
        and high <= piece.from_mm + piece.thickness_mm + EXACT_MM
    )


def _holds_both(pieces: list[Piece], start: Numbers, middle: Numbers, end: Numbers) -> bool:
    """Return whether one piece holds a pin from end to end."""
    return any(
        all(_holds(piece, _axis(middle, one), middle, one) for one in (start, end))
        for piece in pieces
    )


def _standing(plan: Plan, piece: Piece, height_mm: float) -> list[Geometry]:
    """Return where forms of the piece's part stand for sure as high as `height_mm`, finished.

    A contour's region stands as high as the contour, and no higher for sure; a form without
    contours stands as high as asked.
    """
    found: list[Geometry] = []
    relief = plan.job.form.kind == "relief"
    for outline in plan.traced.outlines:
        if outline.name != piece.part:
            continue
        for asked in heights_asked(plan.job, piece.part):
            for low, top, region in levels(plan, outline, asked):
                if (low if relief else top) >= height_mm:
                    found.append(region)
                    break
    return found


def _too_near(plan: Plan) -> Iterator[Fault]:
    """Give pins of one form that lie nearer to each other than their cover."""
    pins = plan.assembly.pins
    if len(pins) < 2:
        return
    glue = plan.workshop.glue
    least = glue.pin_diameter_mm + glue.pin_cover_mm - SLACK_MM
    ends = np.array([(pin.start, pin.end) for pin in pins])
    forms = np.array(
        [str(plan.piece(plan.seams[pin.seam - 1].pieces[0]).section_of) for pin in pins]
    )
    axes = np.asarray(shapely.linestrings(ends[:, :, :2]))
    beside = shapely.distance(axes[:, None], axes[None])
    low, high = ends[:, :, 2].min(axis=1), ends[:, :, 2].max(axis=1)
    above = np.maximum(low[:, None], low) - np.minimum(high[:, None], high)
    near = (np.maximum(beside, above) < least) & (forms[:, None] == forms)
    for one, other in np.argwhere(np.triu(near, 1)).tolist():
        what = f"it lies within {glue.pin_cover_mm:g} mm of pin {pins[other].number}"
        yield Fault(what, f"pin {pins[one].number}")


def _not_parallel(plan: Plan) -> Iterator[Fault]:
    """Give steps whose pins point different ways: they could not be pushed together."""
    for step in plan.assembly.steps:
        own = [pin for pin in plan.assembly.pins if pin.seam in step.seams]
        ways = np.array([np.subtract(pin.end, pin.start) for pin in own])
        if len(ways) < 2:
            continue
        ways /= np.linalg.norm(ways, axis=1)[:, None]
        if np.linalg.norm(np.cross(ways[0], ways[1:]), axis=1).max() > PARALLEL:
            yield Fault("its pins are not parallel", f"step {step.number} of gluing")
