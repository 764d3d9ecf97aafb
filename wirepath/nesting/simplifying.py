"""Outlines with fewer corners for the search: never smaller, straight edges kept as they are."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from wirepath import overlay

Floats = NDArray[np.float64]

FEW, APART = 100, 3
"""Rings of more corners are simplified in many places at once, so many corners apart: one by
one the work would grow with the square of the corners."""


RAGGED = 100
"""Outlines with more corners than this, once simplified, are ragged: a smooth one of 5000
keeps some 50."""

STAGES = (0.02, 0.08, 0.3, 1.0)
"""Shares of a width by which a ragged outline is widened in turn: at once the geometry library
takes twenty times as long for 5000 corners, whose strips all cross each other."""


def widened_in_stages(polygon: Polygon, by_mm: float) -> Polygon:
    """Return what `shapely.buffer` does, sooner where corners are many; arcs again by chords."""
    if shapely.get_num_coordinates(polygon) <= 2 * RAGGED:
        return shapely.buffer(polygon, by_mm)
    before = 0.0
    for share in STAGES:
        steps = 2 if share < 1 else 16
        polygon = shapely.buffer(polygon, (share - before) * by_mm, quad_segs=steps)
        before = share
    return polygon


def closed(polygon: Polygon, *, radius_mm: float) -> Polygon:
    """Return the polygon with all filled that no disc of this radius reaches from outside.

    Pieces that keep this clearance from each other do not lose by it: what is as near to the
    filled outline as the radius is as near to the polygon (closing, Serra 1982). Fill lies in
    the convex hull, and arcs are drawn by chords up to 0.5 % of the radius farther out.
    """
    if radius_mm <= 0:
        return polygon
    filled = polygon
    for share in (0.2, 1.0):
        filled = shapely.buffer(filled, share * radius_mm, quad_segs=8)
        filled = shapely.buffer(filled, -share * radius_mm, quad_segs=8)
    answer = overlay.union([filled, polygon])
    return answer if isinstance(answer, Polygon) else polygon


def simplified_outward(polygon: Polygon, *, tolerance_mm: float) -> Polygon:
    """Return a polygon round `polygon` with fewer corners, nowhere farther than the tolerance.

    An inner corner is bridged, an edge between two outer corners gives way to the point
    where its neighbours meet: each step adds foam and takes one corner; the least step
    goes first. The polygon itself comes back where that would spoil it.
    """
    simple = shapely.orient_polygons(polygon)
    rings = [
        _ring(np.asarray(ring.coords)[:-1, :2], tolerance_mm)
        for ring in (simple.exterior, *simple.interiors)
    ]
    if any(len(ring) < 3 for ring in rings):
        return polygon
    answer = Polygon(rings[0], rings[1:])
    # Half a micrometre of room: an edge kept as it is must count as covered.
    if not answer.is_valid or not answer.buffer(5e-7).contains(polygon):
        return polygon
    return answer


def _ring(points: Floats, tolerance_mm: float) -> Floats:
    """Return a ring, (n, 2), with material on its left, simplified towards its right."""
    strayed = np.zeros(len(points))
    while len(points) > 3:
        before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
        second = np.roll(points, -2, axis=0)
        into, along, out = points - before, after - points, second - after
        bend = _cross(into, along)
        chord = np.hypot(*(after - before).T)
        with np.errstate(divide="ignore", invalid="ignore"):
            bridge = np.where(bend <= 0, -bend / chord, np.inf)
            # Where the edges before and after this one meet, and how far from it that is.
            reach = _cross(along, out) / _cross(into, out)
            meet = points + into * reach[:, None]
            foot = ((meet - points) * along).sum(axis=1) / (along * along).sum(axis=1)
            nearest = points + along * np.clip(foot, 0, 1)[:, None]
            outside = np.hypot(*(meet - nearest).T)
        sharp = (bend > 0) & (np.roll(bend, -1) > 0) & (_cross(into, out) > 0)
        cut = np.where(sharp, outside, np.inf)
        bridge = bridge + strayed
        cut = cut + np.maximum(strayed, np.roll(strayed, -1))
        where = _least(np.minimum(bridge, cut), tolerance_mm)
        if len(where) == 0:
            break
        bridged = bridge[where] <= cut[where]
        for side in (-1, 1):
            ends = (where[bridged] + side) % len(points)
            strayed[ends] = np.maximum(strayed[ends], bridge[where[bridged]])
        moved = where[~bridged]
        followers = (moved + 1) % len(points)
        points[followers], strayed[followers] = meet[moved], cut[moved]
        points, strayed = np.delete(points, where, axis=0), np.delete(strayed, where)
    return points


def _least(steps: Floats, tolerance_mm: float) -> NDArray[np.int64]:
    """Return the corners whose step is taken next: the least, of long rings many at once.

    Each is the least of its neighbourhood and none touches what another changes; together
    they are the lesser half of what the tolerance allows.
    """
    least = float(steps.min())
    if least > tolerance_mm:
        return np.zeros(0, dtype=np.int64)
    if len(steps) <= FEW:
        return np.array([int(steps.argmin())])
    allowed = steps <= np.median(steps[steps <= tolerance_mm])
    for away in range(1, APART + 1):
        allowed &= (steps < np.roll(steps, away)) & (steps <= np.roll(steps, -away))
    found = np.flatnonzero(allowed)
    return found if len(found) else np.array([int(steps.argmin())])


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
