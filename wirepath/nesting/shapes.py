"""Pieces as the search sees them: turned, cut into convex parts, simplified outward."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import shapely
from shapely import Geometry, Polygon, box

from wirepath import overlay
from wirepath.fitting import fitting_angle_deg
from wirepath.geometry import place, polygons, turn_matrix
from wirepath.model import Piece, Placement
from wirepath.nesting.simplifying import RAGGED, closed, simplified_outward
from wirepath.nesting.solids import Solid

Shape = TypeVar("Shape", bound=Geometry)

SQUARED_SAVES = 0.97
"""A piece of any angle starts from where its box is least, if that is so much smaller than
the box as drawn: what is drawn square is often meant so."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One way a piece may lie: flipped or not, then turned."""

    angle_deg: float = 0.0
    flipped: bool = False


@dataclass(frozen=True, eq=False, kw_only=True)
class Variant(Solid):
    """A piece turned one way, its bounding box's lower left corner at 0, 0.

    `shift` is what moved the turned outline there.
    """

    outline: Polygon
    turn: Turn
    width_mm: float
    height_mm: float
    shift: tuple[float, float]


def turns(piece: Piece, *, faces: Sequence[tuple[float, float]] = ()) -> list[Turn]:
    """Return every way the piece may lie; for any angle those that the search begins with.

    These are quarter turns, and an angle at which the piece fits each of the `faces` it
    fits at all.
    """
    angles: Sequence[float]
    match piece.turning:
        case "none":
            angles = [0.0]
        case "half":
            angles = [0.0, 180.0]
        case "quarter":
            angles = [0.0, 90.0, 180.0, 270.0]
        case "any":
            square = squaring_angle_deg(piece.outline)
            if _box_area(piece.outline, square) > SQUARED_SAVES * _box_area(piece.outline, 0.0):
                square = 0.0
            angles = [(square + quarter) % 360 for quarter in (0, 90, 180, 270)]
            angles += _angles_that_fit(piece.outline, angles, faces)
    flips = (False, True) if piece.flip else (False,)
    return [Turn(angle, flipped) for angle in angles for flipped in flips]


def _box_area(outline: Polygon, angle_deg: float) -> float:
    x0, y0, x1, y1 = turned(outline, Turn(angle_deg)).bounds
    return (x1 - x0) * (y1 - y0)


def _angles_that_fit(
    outline: Polygon, angles: Sequence[float], faces: Sequence[tuple[float, float]]
) -> list[float]:
    """Return one angle more for each face that the outline fits at none of the `angles`."""
    more: list[float] = []
    for width, height in faces:
        placed = (turned(outline, Turn(angle)).bounds for angle in (*angles, *more))
        if any(x1 - x0 <= width and y1 - y0 <= height for x0, y0, x1, y1 in placed):
            continue
        angle = fitting_angle_deg(outline, width, height)
        if angle is not None:
            more.append(angle)
    return more


def squaring_angle_deg(outline: Polygon) -> float:
    """Return the angle below 90 that lays the least rectangle around the outline square."""
    frame = shapely.minimum_rotated_rectangle(outline)
    if not isinstance(frame, Polygon):
        return 0.0
    (x0, y0), (x1, y1) = frame.exterior.coords[:2]
    return round(float(-np.degrees(np.arctan2(y1 - y0, x1 - x0)) % 90.0), 6)


def turned(outline: Polygon, turn: Turn) -> Polygon:
    """Return the outline flipped and turned about 0, 0."""
    return place(
        outline,
        Placement(piece=0, x_mm=0.0, y_mm=0.0, angle_deg=turn.angle_deg, flipped=turn.flipped),
    )


@dataclass(frozen=True, slots=True)
class Sorted:
    """Pieces sorted into kinds: those that are one outline, shifted, turned by the same rule.

    `kind[n]` and `offset[n]` belong to piece number n; the offset is where its outline
    stands in the drawing as seen from that of the first piece of its kind.
    """

    kinds: tuple[tuple[Variant, ...], ...]
    kind: dict[int, int]
    offset: dict[int, tuple[float, float]]

    def placement(self, piece: int, variant: Variant, x_mm: float, y_mm: float) -> Placement:
        """Return the placement that puts the variant's lower left corner at x, y."""
        dx, dy = self.offset[piece]
        a, b, d, e = turn_matrix(variant.turn.angle_deg)
        mirror = -1.0 if variant.turn.flipped else 1.0
        return Placement(
            piece=piece,
            x_mm=x_mm + variant.shift[0] - (a * mirror * dx + b * dy),
            y_mm=y_mm + variant.shift[1] - (d * mirror * dx + e * dy),
            angle_deg=variant.turn.angle_deg,
            flipped=variant.turn.flipped,
        )


def sort_out(
    pieces: Sequence[Piece],
    *,
    simplify_mm: float = 0.0,
    clearance_mm: float = 0.0,
    faces: Sequence[tuple[float, float]] = (),
) -> Sorted:
    """Return the pieces sorted into kinds, each with its variants, simplified outward.

    Ragged outlines lose what no other piece can reach that keeps the clearance.

    Of pieces that may be turned by any angle, some variant fits each of the `faces` that
    the piece fits.
    """
    numbers: dict[tuple[bytes, str, bool], int] = {}
    kinds: list[tuple[Variant, ...]] = []
    firsts: list[tuple[float, float]] = []
    kind: dict[int, int] = {}
    offset: dict[int, tuple[float, float]] = {}
    for piece in pieces:
        x, y = piece.outline.bounds[:2]
        moved = shifted(piece.outline, -x, -y)
        key = (shapely.set_precision(moved, 1e-7).normalize().wkb, piece.turning, piece.flip)
        if key not in numbers:
            numbers[key] = len(kinds)
            some = variants(piece, simplify_mm=simplify_mm, clearance_mm=clearance_mm, faces=faces)
            kinds.append(tuple(some))
            firsts.append((x, y))
        number = numbers[key]
        kind[piece.number] = number
        offset[piece.number] = (x - firsts[number][0], y - firsts[number][1])
    return Sorted(tuple(kinds), kind, offset)


def shifted(geometry: Shape, x_mm: float, y_mm: float) -> Shape:
    """Return the geometry moved by x, y."""
    by = np.array((x_mm, y_mm))
    return shapely.transform(geometry, lambda points: points + by)


def variants(
    piece: Piece,
    *,
    simplify_mm: float = 0.0,
    clearance_mm: float = 0.0,
    faces: Sequence[tuple[float, float]] = (),
) -> list[Variant]:
    """Return the piece in every way it may lie, those that look alike only once.

    The outline is simplified outward by up to `simplify_mm` first. If it stays ragged, what
    other pieces, `clearance_mm` apart, cannot reach is filled, and that simplified once more.
    """
    simple = piece.outline
    if simplify_mm > 0:
        simple = simplified_outward(simple, tolerance_mm=simplify_mm)
        if shapely.get_num_coordinates(simple) > RAGGED:
            simple = closed(simple, radius_mm=clearance_mm)
            simple = simplified_outward(simple, tolerance_mm=simplify_mm)
    return turned_variants(simple, turns(piece, faces=faces), within=piece.outline)


def turned_variants(
    outline: Polygon, some: Sequence[Turn], *, within: Polygon | None = None
) -> list[Variant]:
    """Return the outline turned in each of these ways, those that look alike only once.

    What sticks out of the box round `within`, turned alike, is cut off: a simplified
    outline must fit every face that the true one fits.
    """
    found: dict[bytes, Variant] = {}
    for turn in some:
        placed = turned(outline, turn)
        if within is not None and within is not outline:
            limits = box(*turned(within, turn).bounds)
            placed = max(polygons(overlay.intersection(placed, limits)), key=lambda part: part.area)
        x0, y0, x1, y1 = placed.bounds
        moved = shifted(placed, -x0, -y0)
        key = shapely.set_precision(moved, 1e-4).normalize().wkb
        if key not in found:
            found[key] = Variant(
                turn=turn,
                outline=moved,
                width_mm=x1 - x0,
                height_mm=y1 - y0,
                shift=(-x0, -y0),
            )
    return list(found.values())


def turned_on(variant: Variant, by_deg: float) -> Variant:
    """Return the variant turned by so much more, its box's corner at 0, 0 again."""
    a, b, d, e = turn_matrix(by_deg)
    matrix = np.array([[a, d], [b, e]])
    shift = np.array(variant.shift)
    # `shift` is where the drawing's own origin lies: placements are told from there.
    outline = shapely.transform(variant.outline, lambda points: (points - shift) @ matrix)
    x0, y0, x1, y1 = outline.bounds
    corner = np.array((x0, y0))
    return Variant(
        turn=Turn(round(variant.turn.angle_deg + by_deg, 9) % 360.0, variant.turn.flipped),
        outline=shapely.transform(outline, lambda points: points - corner),
        known_parts=tuple((part - shift) @ matrix - corner for part in variant.parts),
        width_mm=x1 - x0,
        height_mm=y1 - y0,
        shift=(-x0, -y0),
    )
