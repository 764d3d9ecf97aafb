"""Curves -> points on them, close enough together. All in the curve's own units.

A tolerance is the most that a straight piece may stray from the curve. Whatever it is,
no curve is made coarser than `LEAST_SHARE` of its own size, so that small features keep
their shape when a drawing's unit is unknown, nor finer than `MOST_POINTS`.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

LEAST_SHARE = 1 / 500
"""Of a radius: 50 pieces in a full circle."""

MOST_POINTS = 20_000
"""On one curve between two knots or corners. A radius of 1 km at 0.05 mm takes 10 000."""


def sweep(
    centre: Points, u: Points, v: Points, start: float, end: float, tolerance: float
) -> Points:
    """Return points on centre + cos t u + sin t v for t from `start` to `end`: (n, 3).

    A circle or an ellipse, by its two half axes. A piece of dt strays by at most
    r (1 - cos dt/2) <= r dt^2 / 8 from it, r being the longer half axis.
    """
    radius = max(math.hypot(*u), math.hypot(*v))
    span = end - start
    if radius == 0:
        return np.array([centre, centre])
    step = math.sqrt(8 * min(tolerance, radius * LEAST_SHARE) / radius)
    pieces = min(max(1, math.ceil(abs(span) / step - 1e-9)), MOST_POINTS)
    angles = np.linspace(start, end, pieces + 1)
    points: Points = centre + np.outer(np.cos(angles), u) + np.outer(np.sin(angles), v)
    if math.isclose(abs(span), math.tau, rel_tol=1e-12):
        points[-1] = points[0]
    return points


def bulged(corners: Points, bulges: Points, closed: bool, tolerance: float) -> Points:
    """Return points along a polyline with arcs: (n, 2), closed if `closed`.

    `corners` is (n, 2), `bulges` (n,): the tangent of a quarter of the arc's angle from
    a corner to the next, positive counter-clockwise (DXF reference, LWPOLYLINE).
    """
    if closed and len(corners) > 1:
        corners = np.vstack([corners, corners[:1]])
    if not bulges.any():
        return corners
    parts = [corners[:1]]
    for start, end, bulge in zip(corners[:-1], corners[1:], bulges, strict=False):
        # A bulge this small strays from its chord by less than 1e-9 of its length.
        if abs(bulge) < 2e-9 or (start == end).all():
            parts.append(end[None, :])
            continue
        chord = end - start
        centre = (start + end) / 2 + np.array([-chord[1], chord[0]]) * (1 - bulge**2) / (4 * bulge)
        u = start - centre
        v = np.array([-u[1], u[0]])
        arc = sweep(centre, u, v, 0.0, 4 * math.atan(bulge), tolerance)
        arc[-1] = end
        parts.append(arc[1:])
    return np.concatenate(parts)


def spline(tool: Any, tolerance: float) -> Points:
    """Return points on an ezdxf BSpline: (n, 3). Raises ValueError on one without shape.

    Between knots the pieces are halved until a midpoint strays by less than the
    tolerance; all of them at once, so that a long spline costs a few array operations.
    """
    control = np.array([(p.x, p.y, p.z) for p in tool.control_points])
    size = float(np.linalg.norm(np.ptp(control, axis=0)))
    if not math.isfinite(size) or not size:
        raise ValueError("a spline without extent")
    fine = min(tolerance, size * LEAST_SHARE)
    knots = np.unique(np.array(tool.knots()))
    degree = tool.order - 1
    all_knots = np.array(tool.knots())
    first, last = all_knots[degree], all_knots[-degree - 1]
    if not first < last:
        raise ValueError("a spline without knots")
    knots = knots[(knots >= first) & (knots <= last)]
    ends = np.unique(np.concatenate([np.linspace(a, b, 5) for a, b in _pairs(knots)]))
    places = _evaluate(tool, ends)
    for _ in range(16):
        middles = (ends[:-1] + ends[1:]) / 2
        between = _evaluate(tool, middles)
        stray = np.linalg.norm(between - _nearest_on(places[:-1], places[1:], between), axis=1)
        rough = stray > fine
        if not rough.any() or len(ends) > MOST_POINTS:
            break
        at = np.flatnonzero(rough) + 1
        ends = np.insert(ends, at, middles[rough])
        places = np.insert(places, at, between[rough], axis=0)
    if not np.isfinite(places).all():
        raise ValueError("a spline that runs to infinity")
    return places


def _pairs(values: Points) -> list[tuple[float, float]]:
    return list(zip(values[:-1].tolist(), values[1:].tolist(), strict=True))


def _evaluate(tool: Any, parameters: Points) -> Points:
    return np.array([(p.x, p.y, p.z) for p in tool.points(parameters.tolist())]).reshape(-1, 3)


def _nearest_on(starts: Points, ends: Points, points: Points) -> Points:
    """Return the point of each piece that is nearest to the point of the same row."""
    along = ends - starts
    squared = np.einsum("ij,ij->i", along, along)
    share = np.einsum("ij,ij->i", points - starts, along) / np.where(squared > 0, squared, 1)
    return np.asarray(starts + np.clip(share, 0, 1)[:, None] * along)
