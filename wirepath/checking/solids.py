"""Volumes, moves and sections of pieces that taper, worked out from the plan's figures alone."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from wirepath.geometry import place, turn_matrix
from wirepath.model import Move, Piece, Placement, Ruled

Points = NDArray[np.float64]

DEPTH_STEP_MM = 25.0
"""Sections of a layout with tapers lie no further apart than this."""

WIDTH_STEP_MM = 0.005
"""Half widths are rounded up to this: steps of one width make one stretch."""

FEWEST_DEPTHS, MOST_DEPTHS = 9, 33


def depths(thickness_mm: float) -> list[tuple[float, float]]:
    """Return shares of the depth at which a taper is measured, and what each counts in a sum.

    Both faces among them; the weights are Simpson's, for an odd number of depths.
    """
    steps = int(np.ceil(thickness_mm / DEPTH_STEP_MM / 2)) * 2
    count = min(max(steps + 1, FEWEST_DEPTHS), MOST_DEPTHS)
    weights = np.ones(count)
    weights[1:-1:2], weights[2:-1:2] = 4, 2
    shares = np.linspace(0, 1, count)
    return [(float(s), float(w)) for s, w in zip(shares, weights / weights.sum(), strict=True)]


def solid_mm3(piece: Piece) -> float:
    """Return the volume of a piece as the wire leaves it.

    Of a taper: a section between the faces is p + s (q - p), so its area is a quadratic in
    s of the areas of p and q and the mixed one of both; integrated, h/3 of their sum.
    """
    if piece.taper is None:
        return float(piece.outline.area) * piece.thickness_mm
    near, far = np.array(piece.taper.cut.near), np.array(piece.taper.cut.far)
    areas = _mixed_area(near, near) + _mixed_area(near, far) + _mixed_area(far, far)
    return piece.taper.cut.thickness_mm * areas / 3


def is_pinched(solid: Ruled) -> bool:
    """Return whether the section of a solid shrinks to nothing somewhere between its faces.

    Its area, (1 - s)^2 A + 2 s (1 - s) M + s^2 B, has a root where M is -sqrt(A B) or less.
    """
    near, far = np.array(solid.near), np.array(solid.far)
    areas = _mixed_area(near, near), _mixed_area(far, far)
    if min(areas) <= 0:
        return True
    return _mixed_area(near, far) < -0.99 * float(np.sqrt(areas[0] * areas[1]))


def _mixed_area(one: Points, other: Points) -> float:
    """Return the mixed area of two rings paired point by point: of a ring and itself its area."""
    after, other_after = np.roll(one, -1, axis=0), np.roll(other, -1, axis=0)
    twice = _cross(one, other_after).sum() + _cross(other, after).sum()
    return float(twice) / 4


def _cross(one: Points, other: Points) -> NDArray[np.float64]:
    product: NDArray[np.float64] = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    return product


def section(solid: Ruled, share: float) -> Polygon:
    """Return the section of a ruled solid at a share of its thickness from the near face."""
    near, far = np.array(solid.near), np.array(solid.far)
    return Polygon((1 - share) * near + share * far)


def placed_section(piece: Piece, placement: Placement, share: float) -> Polygon:
    """Return where a piece stands at a share of its slab's depth from the front."""
    if piece.taper is None:
        return place(piece.outline, placement)
    # Face down its own far face comes to the front.
    own = section(piece.taper.cut, 1 - share if placement.flipped else share)
    a, b, d, e = turn_matrix(placement.angle_deg)
    mirror = -1.0 if placement.flipped else 1.0
    points = shapely.get_coordinates(own.exterior) * (mirror, 1.0)
    turned = points @ np.array([[a, d], [b, e]]) + (placement.x_mm, placement.y_mm)
    return shapely.orient_polygons(Polygon(turned))


# --- Moves -------------------------------------------------------------------------


def ways(move: Move) -> tuple[Points, Points]:
    """Return the points of both ends of the wire, (n, 2) each."""
    near = shapely.get_coordinates(move.line)
    return near, near if move.far is None else shapely.get_coordinates(move.far)


def longer_mm(move: Move) -> NDArray[np.float64]:
    """Return how far the end with the longer way goes on each straight step, (n - 1,)."""
    near, far = ways(move)
    longer: NDArray[np.float64] = np.maximum(_spans(near), _spans(far))
    return longer


def _spans(way: Points) -> NDArray[np.float64]:
    spans: NDArray[np.float64] = np.hypot(*np.diff(way, axis=0).T)
    return spans


def steps_at(
    move: Move, share: float, thickness_mm: float, half_kerf_mm: float, half_base_mm: float = 0.0
) -> tuple[list[LineString], list[float], list[float]]:
    """Return what a move is at one depth: stretches of one width, each with its slot.

    First the stretches, as far as the wire moves there at all. Then half the width each melts:
    half the kerf, wider as the wire goes slower there than the feed (with 1 / feed, but for
    the base, which no feed takes away), and as it leans across its way. Last how far off a
    straight wire must then keep that spares both faces: as far as in proportion between them.
    """
    near, far = ways(move)
    here = (1 - share) * near + share * far
    longer, own = longer_mm(move), _spans(here)
    leans = (far - near) / thickness_mm
    halves = []
    for way in (here, near, far):
        step = np.diff(way, axis=0)
        span = np.maximum(_spans(way), 1e-9)
        across = np.column_stack((-step[:, 1], step[:, 0])) / span[:, None]
        slopes = [np.abs((across * lean).sum(axis=1)) for lean in (leans[:-1], leans[1:])]
        melted = half_base_mm + (half_kerf_mm - half_base_mm) * longer / span
        halves.append(melted * np.sqrt(1 + np.maximum(*slopes) ** 2))
    asked = (1 - share) * halves[1] + share * halves[2]
    widths = np.ceil(halves[0] / WIDTH_STEP_MM) * WIDTH_STEP_MM
    ends = [*np.flatnonzero(np.diff(widths) != 0) + 1, len(widths)]
    starts = [0, *ends[:-1]]
    moving = [(a, b) for a, b in zip(starts, ends, strict=True) if own[a:b].sum() > 1e-6]
    stretches = [LineString(here[a : b + 1]) for a, b in moving]
    return (
        stretches,
        [float(widths[a]) for a, _ in moving],
        [float(asked[a:b].max()) for a, b in moving],
    )
