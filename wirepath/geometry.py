"""Small pure helpers on shapely geometry, shared by the stages and the check."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, MultiPoint, Polygon, box
from shapely.affinity import affine_transform

from wirepath import overlay
from wirepath.model import Block, Layout, Move, Piece, Placement, Ruled, Setup
from wirepath.workshop import Axis, Cutting, Side, Stock

Shape = TypeVar("Shape", bound=Geometry)

AXES: tuple[Axis, ...] = ("length", "width", "thickness")

QUAD_SEGS = 16
"""Straight pieces a quarter circle of an offset gets: a radius of 1.5 mm errs by 0.0018 mm."""

ON_SIDE_MM = 1e-5
"""Corners no farther from a side of an outline's extent lie on it: drawings round."""


def face_axes(stock: Stock, wire_axis: Axis) -> tuple[Axis, Axis]:
    """Return the two edges that span the layout's face, the longer one (x) first."""
    first, second = (axis for axis in AXES if axis != wire_axis)
    if stock.size_mm(second) > stock.size_mm(first):
        return second, first
    return first, second


def face_size_mm(stock: Stock, wire_axis: Axis) -> tuple[float, float]:
    """Return width (x) and height (y) of the layout's face, as bought."""
    x_axis, y_axis = face_axes(stock, wire_axis)
    return stock.size_mm(x_axis), stock.size_mm(y_axis)


def travel_needed_mm(side_mm: float, cutting: Cutting) -> float:
    """Return how far a table must move along a face's side: the wire begins and ends outside."""
    return side_mm + 2 * max(cutting.lead_in_mm, cutting.kerf_mm)


def depth_mm(stock: Stock, block: Block) -> float:
    """Return the block's extent along the wire, as bought."""
    return stock.size_mm(block.wire_axis)


def turn_matrix(angle_deg: float) -> tuple[float, float, float, float]:
    """Return (cos, -sin, sin, cos); exact at whole quarter turns, so they add no dust."""
    quarter, rest = divmod(angle_deg % 360.0, 90.0)
    if rest == 0.0:
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    else:
        cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return cos, -sin, sin, cos


def place(geometry: Shape, placement: Placement) -> Shape:
    """Return `geometry` where `placement` puts it, outer rings counter-clockwise again."""
    a, b, d, e = turn_matrix(placement.angle_deg)
    mirror = -1.0 if placement.flipped else 1.0
    moved: Shape = affine_transform(
        geometry, (a * mirror, b, d * mirror, e, placement.x_mm, placement.y_mm)
    )
    return shapely.orient_polygons(moved) if placement.flipped else moved


def put_back(geometry: Shape, placement: Placement) -> Shape:
    """Return what stands where `placement` put it in the frame of the drawing again."""
    a, b, d, e = turn_matrix(-placement.angle_deg)
    mirror = -1.0 if placement.flipped else 1.0
    x, y = placement.x_mm, placement.y_mm
    moved: Shape = affine_transform(
        geometry,
        (a * mirror, b * mirror, d, e, -mirror * (a * x + b * y), -(d * x + e * y)),
    )
    return shapely.orient_polygons(moved) if placement.flipped else moved


def on_table(geometry: Shape, setup: Setup) -> Shape:
    """Return what is given in a layout's frame where it lies on the table in a setup."""
    a, b, d, e = turn_matrix(setup.turn_deg)
    moved: Shape = affine_transform(geometry, (a, b, d, e, setup.x_mm, setup.y_mm))
    return moved


def off_table(geometry: Shape, setup: Setup) -> Shape:
    """Return what is given as it lies on the table in a setup in the layout's frame."""
    a, b, d, e = turn_matrix(-setup.turn_deg)
    x, y = setup.x_mm, setup.y_mm
    moved: Shape = affine_transform(geometry, (a, b, d, e, -(a * x + b * y), -(d * x + e * y)))
    return moved


def place_line(line: LineString, placement: Placement) -> LineString:
    """Return `line`, drawn as a piece is, where `placement` puts it."""
    a, b, d, e = turn_matrix(placement.angle_deg)
    mirror = -1.0 if placement.flipped else 1.0
    moved: LineString = affine_transform(
        line, (a * mirror, b, d * mirror, e, placement.x_mm, placement.y_mm)
    )
    return moved


def place_ruled(ruled: Ruled, placement: Placement) -> Ruled:
    """Return `ruled` where `placement` puts it; face down, near and far change places."""
    a, b, d, e = turn_matrix(placement.angle_deg)
    mirror = -1.0 if placement.flipped else 1.0
    matrix = np.array([[a * mirror, b], [d * mirror, e]])
    rings = [
        np.array(ring) @ matrix.T + (placement.x_mm, placement.y_mm)
        for ring in (ruled.near, ruled.far)
    ]
    if placement.flipped:
        # Mirrored, a ring runs the other way round; its first point stays the first.
        rings = [np.roll(ring[::-1], 1, axis=0) for ring in reversed(rings)]
    near, far = (tuple((float(x), float(y)) for x, y in ring) for ring in rings)
    return Ruled(near=near, far=far, thickness_mm=ruled.thickness_mm)


def shadow(ruled: Ruled) -> Polygon:
    """Return all that a ruled solid takes up as seen from the front.

    A facet counts with the convex hull of its four corners: exact for a flat one, a
    little more for one that is twisted.
    """
    near, far = np.array(ruled.near), np.array(ruled.far)
    corners = np.stack((near, np.roll(near, -1, axis=0), np.roll(far, -1, axis=0), far), axis=1)
    facets = [MultiPoint(facet).convex_hull for facet in corners]
    lying: Geometry = overlay.union([Polygon(near), Polygon(far), *facets])
    # Hulls of facets that meet in a point may leave slivers between them.
    whole = max(polygons(lying), key=lambda part: part.area)
    return shapely.orient_polygons(Polygon(whole.exterior))


def outline_at(piece: Piece, placement: Placement, share: float) -> Polygon:
    """Return the piece's outline where it lies, at `share` of the slab's depth from the front."""
    if piece.taper is None:
        return place(piece.outline, placement)
    return place_ruled(piece.taper.cut, placement).section(share)


def line_at(move: Move, share: float) -> LineString:
    """Return the way of the wire's centre at `share` of the slab's depth from the front."""
    if move.far is None:
        return move.line
    near, far = (shapely.get_coordinates(line) for line in (move.line, move.far))
    return LineString(near + share * (far - near))


def polygons(geometry: Geometry) -> list[Polygon]:
    """Return the polygons in `geometry`, of whatever kind it is; lines and points fall away."""
    parts: NDArray[np.object_] = shapely.get_parts(geometry)
    found: list[Polygon] = []
    for part in parts:
        if isinstance(part, Polygon):
            if not part.is_empty:
                found.append(part)
        elif hasattr(part, "geoms"):
            found.extend(polygons(part))
    return found


def least_box(shape: Geometry) -> tuple[float, float, float]:
    """Return the turn in degrees that lays `shape` square, and its width and height then.

    The least rectangle around it; the upright one where that is no larger.
    """
    hull = shapely.convex_hull(shape)
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(hull))
    (x0, y0), (x1, y1) = corners[:2]
    width, height = (math.dist(*corners[k : k + 2]) for k in (0, 1))
    west, south, east, north = shapely.bounds(hull).tolist()
    if (east - west) * (north - south) <= width * height * (1 + 1e-9):
        return 0.0, east - west, north - south
    return -math.degrees(math.atan2(y1 - y0, x1 - x0)), width, height


def seam_line(place: Geometry) -> LineString:
    """Return the longest line of an edge seam, from its left or, where it rises, lower end."""
    lines = [one for one in shapely.get_parts(place) if isinstance(one, LineString)]
    line = max(lines, key=lambda one: (round(one.length, 3), one.bounds))
    (x0, y0), (x1, y1) = line.coords[0][:2], line.coords[-1][:2]
    rises = abs(y1 - y0) > abs(x1 - x0)
    backwards = y0 > y1 if rises else x0 > x1
    return line.reverse() if backwards else line


def face_outline(stock: Stock, wire_axis: Axis) -> Polygon | None:
    """Return the edge of the foam on the layout's face; None for a full rectangle."""
    return Polygon(stock.outline) if stock.outline and wire_axis == "thickness" else None


def trimmed(foam: Polygon, trim_mm: float) -> Geometry:
    """Return a face less its trim, which may leave several parts or none."""
    if trim_mm <= 0:
        return foam
    return shapely.buffer(foam, -trim_mm, join_style="mitre", mitre_limit=1e6)


def foam_face(layout: Layout) -> Polygon:
    """Return the foam of a layout, seen from the front, rough edges included."""
    return layout.outline or box(0.0, 0.0, layout.width_mm, layout.height_mm)


def usable_face(layout: Layout) -> Geometry:
    """Return the layout's face less its trims."""
    trim = layout.trim_mm
    if layout.outline is None:
        return box(trim, trim, layout.width_mm - trim, layout.height_mm - trim)
    return trimmed(layout.outline, trim)


def clear_face(layout: Layout) -> Geometry:
    """Return where pieces may lie: the face less its trims and its blocked areas."""
    face = usable_face(layout)
    return overlay.difference(face, overlay.union(layout.blocked)) if layout.blocked else face


def place_all(layout: Layout, pieces: Sequence[Piece]) -> list[Polygon]:
    """Return the outlines of the layout's pieces where they lie, in order of placement."""
    return [place(pieces[one.piece - 1].outline, one) for one in layout.placements]


def edges_along(outline: Polygon, side: Side) -> list[LineString]:
    """Return the edges of an outline that lie on a side of its extent, as drawn."""
    west, south, east, north = outline.bounds
    points = shapely.get_coordinates(outline.exterior)
    along = {
        "left": points[:, 0] - west,
        "right": east - points[:, 0],
        "lower": points[:, 1] - south,
        "upper": north - points[:, 1],
    }
    on = along[side] <= ON_SIDE_MM
    return [LineString(points[k : k + 2]) for k in np.flatnonzero(on[:-1] & on[1:])]
