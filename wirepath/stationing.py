"""Stations: numbered marks along the wire's line that two people call out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon
from shapely.affinity import translate

from wirepath.geometry import QUAD_SEGS, polygons, turn_matrix
from wirepath.model import Piece, Placement

Points = NDArray[np.float64]

SPACINGS_MM = (20.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0)
MOST_STATIONS = 40
"""A ring gets the closest spacing that needs no more than this many, corners aside."""
CORNER_DEG = 30.0
"""A turn sharper than this is a corner: the wire rests there, so it is a station."""
SMOOTH_MM = 0.5
"""What a ring may be straightened by before its turns are measured: flattened curves."""
CROWDED_MM = 8.0
"""Corners nearer than this along the line share one station."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """One mark: its label and where it stands on the wire's line."""

    label: str
    x: float
    y: float
    outward: tuple[float, float]
    """A unit vector, square to the line, away from the foam that stays."""
    ahead: tuple[float, float]
    """A unit vector along the line, towards the next station."""


def stations(finished: Polygon, wire: Polygon, offset_mm: float) -> tuple[tuple[Station, ...], ...]:
    """Return the stations of each ring of `wire`, outer ring first, then holes A, B, ...

    Numbers run as the rings do: anticlockwise round the outside, clockwise in holes,
    from the corner nearest the lower left. Every corner of `finished` gets a station,
    where its bisector meets the wire's line `offset_mm` further out; between two of
    them stations stand at equal distances.
    """
    (wire,) = polygons(shapely.orient_polygons(wire))
    rings = _rings(wire)
    corners = np.vstack(
        [_corners(ring, offset_mm) for ring in _rings(shapely.orient_polygons(finished))]
    )
    places = np.asarray(shapely.points(corners))
    # A corner belongs to the ring of the wire nearest to it.
    owner = np.argmin(shapely.distance(np.array(rings)[:, None], places[None, :]), axis=0)
    return tuple(
        _along(ring, np.asarray(shapely.line_locate_point(ring, places[owner == index])), letter)
        for index, (ring, letter) in enumerate(
            (ring, "" if index == 0 else _letter(index - 1)) for index, ring in enumerate(rings)
        )
    )


def stations_at(wire: Polygon, marks: Sequence[tuple[str, float, float]]) -> tuple[Station, ...]:
    """Return stations at given places, (label, x, y), on the outer ring of `wire`."""
    ring = LineString(shapely.orient_polygons(wire).exterior.coords)
    return tuple(_station(ring, float(ring.project(Point(x, y))), label) for label, x, y in marks)


def mirrored(station: Station, width_mm: float) -> Station:
    """Return the station as it stands in a picture mirrored left to right, `width_mm` wide."""
    (out_x, out_y), (x, y) = station.outward, station.ahead
    return replace(station, x=width_mm - station.x, outward=(-out_x, out_y), ahead=(-x, y))


def _rings(polygon: Polygon) -> list[LineString]:
    return [LineString(ring.coords) for ring in (polygon.exterior, *polygon.interiors)]


def _letter(index: int) -> str:
    """Return A to Z, then AA, AB, ... as columns of a table are called."""
    high, low = divmod(index, 26)
    return (_letter(high - 1) if high else "") + chr(ord("A") + low)


def _corners(ring: LineString, offset_mm: float) -> Points:
    """Return where the wire passes the ring's sharp turns, (n, 2): offset along the bisector."""
    points = shapely.get_coordinates(ring.simplify(SMOOTH_MM))[:-1]
    steps = np.roll(points, -1, axis=0) - points
    ahead = steps / np.hypot(*steps.T)[:, None]
    behind = np.roll(ahead, 1, axis=0)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    turn = np.abs(np.arctan2(cross, (behind * ahead).sum(axis=1)))
    sharp = turn > math.radians(CORNER_DEG)
    way = (behind + ahead)[sharp]
    # Foam lies to the left of every ring, so the way out is to the right. A turn right
    # back has no bisector: its tip itself is taken.
    outward = np.c_[way[:, 1], -way[:, 0]] / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    found: Points = points[sharp] + outward * offset_mm
    return found


def _along(ring: LineString, corners_at: Points, letter: str) -> tuple[Station, ...]:
    length = float(ring.length)
    at = _thinned(sorted({float(one) % length for one in np.round(corners_at, 6)}), length)
    if not at:
        points = shapely.get_coordinates(ring)
        at = [float(ring.project(Point(points[np.argmin(points.sum(axis=1))])))]
    begin = min(range(len(at)), key=lambda i: _lower_left(ring, at[i]))
    at = at[begin:] + [one + length for one in at[:begin]]
    spacing = next((s for s in SPACINGS_MM if length / s <= MOST_STATIONS), SPACINGS_MM[-1])
    stops: list[float] = []
    for start, end in zip(at, [*at[1:], at[0] + length], strict=True):
        count = max(1, round((end - start) / spacing))
        stops += [start + (end - start) * k / count for k in range(count)]
    return tuple(
        _station(ring, stop % length, f"{letter}{number}") for number, stop in enumerate(stops)
    )


def _thinned(at: list[float], length: float) -> list[float]:
    kept: list[float] = []
    for one in at:
        if not kept or one - kept[-1] >= CROWDED_MM:
            kept.append(one)
    if len(kept) > 1 and kept[0] + length - kept[-1] < CROWDED_MM:
        kept.pop()
    return kept


def _lower_left(ring: LineString, at: float) -> float:
    point = ring.interpolate(at)
    return float(point.x + point.y)


def _station(ring: LineString, at: float, label: str) -> Station:
    length = float(ring.length)
    reach = min(2.0, length / 8)
    here = ring.interpolate(at)
    before, after = ring.interpolate((at - reach) % length), ring.interpolate((at + reach) % length)
    # The foam that stays lies to the left of every ring, so the way out is to the right; at
    # a corner it halves the angle.
    along_x, along_y = _unit(after.x - before.x, after.y - before.y)
    return Station(
        label=label,
        x=here.x,
        y=here.y,
        outward=(along_y, -along_x),
        ahead=_unit(after.x - here.x, after.y - here.y),
    )


def _unit(x: float, y: float) -> tuple[float, float]:
    size = math.hypot(x, y) or 1.0
    return x / size, y / size


def laid_stations(
    piece: Piece, placement: Placement, kerf_mm: float
) -> tuple[tuple[Station, ...], ...]:
    """Return the stations of a piece's template where it lies on its layout, ring by ring.

    The numbers are those of its template; face down they run the other way round.
    """
    (wire,) = polygons(
        shapely.orient_polygons(piece.outline.buffer(kerf_mm / 2, quad_segs=QUAD_SEGS))
    )
    west, south, _, _ = wire.bounds
    found = stations(
        translate(piece.finished, -west, -south),
        translate(wire, -west, -south),
        piece.allowance_mm + kerf_mm / 2,
    )
    a, b, d, e = turn_matrix(placement.angle_deg)
    mirror = -1.0 if placement.flipped else 1.0

    def turned(x: float, y: float) -> tuple[float, float]:
        return a * mirror * x + b * y, d * mirror * x + e * y

    def laid(one: Station) -> Station:
        x, y = turned(one.x + west, one.y + south)
        return replace(
            one,
            x=x + placement.x_mm,
            y=y + placement.y_mm,
            outward=turned(*one.outward),
            ahead=turned(*one.ahead),
        )

    return tuple(tuple(laid(one) for one in ring) for ring in found)
