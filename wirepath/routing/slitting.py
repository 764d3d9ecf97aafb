"""The slits: cuts through a piece from its outline to its holes, each a seam to glue.

A slit is short, runs through sound foam on both sides, and never cuts a part off: a
tree of straight slits that joins all holes to the outline leaves the piece in one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, Point, Polygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import WireLine
from wirepath.routing.linking import TIE_MM, Link, ends
from wirepath.workshop import Cutting

PLACES = 96
"""Places along a hole's line that are tried as the end of its slit."""

CHUNK = 16
"""Ways that are measured at a time, the shortest first."""

ROUGH_KERFS = 0.1
"""What the piece is straightened by, in kerfs, before it is asked how sound it is."""

LEANING = 4.0
"""A way leans at its ends by no more than runs through so many kerfs of slot."""

END_MM = 0.01
"""How much of a way's ends is left off when it is asked whether it crosses a line."""


def slits(
    lines: Sequence[WireLine], outline: int, holes: Sequence[int], placed: Polygon, cutting: Cutting
) -> list[Link]:
    """Return the slits that reach all `holes` of one piece from the line of its outline.

    `placed` is the piece's outline on the layout. The hole nearest to what is reached
    already comes next; a slit may start at another hole of the piece.
    """
    links: list[Link] = []
    rings = shapely.multilinestrings([lines[index].ring for index in (outline, *holes)])
    reached, left = [outline], list(holes)
    while left:
        known = shapely.multilinestrings([lines[index].ring for index in reached])
        hole = left.pop(_nearest([lines[index].ring for index in left], known))
        ways = _candidates(lines[hole].ring, known, rings, placed)
        slit = _best_slit(ways, placed, links, cutting)
        if slit is None:
            # The shortest of all runs from line to line and cannot cut a part off.
            slit = shapely.shortest_line(known, lines[hole].ring)
        start, end = ends(slit)
        parent = reached[_nearest([lines[index].ring for index in reached], Point(start))]
        links.append(Link(parent=parent, child=hole, kind="slit", start=start, end=end))
        reached.append(hole)
    return links


def _nearest(rings: Sequence[LineString], goal: Geometry) -> int:
    """Return which ring lies nearest to `goal`; of equals the first."""
    if len(rings) == 1:
        return 0
    return int(np.argmin(np.round(shapely.distance(rings, goal) / TIE_MM)))


def _best_slit(
    ways: NDArray[np.object_], placed: Polygon, earlier: Sequence[Link], cutting: Cutting
) -> LineString | None:
    """Return the best of `ways` that leaves the piece in one, None where none does."""
    cut = [LineString([link.start, link.end]) for link in earlier]
    for way in _by_merit(ways, placed, cutting):
        if _stays_one(placed, [*cut, way], cutting.kerf_mm / 2):
            return way
    return None


def _candidates(
    hole: LineString, known: shapely.Geometry, rings: shapely.Geometry, placed: Polygon
) -> NDArray[np.object_]:
    """Return straight ways from `known` to places on `hole`, (n,), that cross the piece once.

    `rings` are all lines of the piece: a way meets them at its two ends only.
    """
    places = hole.interpolate(np.linspace(0, 1, PLACES, endpoint=False), normalized=True)
    targets = np.array([*places, hole], dtype=object)
    ways = np.asarray(shapely.shortest_line(known, targets))
    ways = ways[shapely.length(ways) > 3 * END_MM]
    tips = shapely.get_coordinates(ways).reshape(-1, 2, 2)
    along = tips[:, 1] - tips[:, 0]
    along *= END_MM / np.hypot(*along.T)[:, None]
    between = shapely.linestrings(tips + np.stack([along, -along], axis=1))
    shapely.prepare([placed, rings])
    clear = shapely.intersects(placed, between) & ~shapely.intersects(rings, between)
    # Between the lines a way goes in over one border of the piece and out over the other.
    crossings = shapely.intersection(ways[clear], placed.boundary)
    return np.asarray(ways[clear][shapely.get_num_geometries(crossings) == 2])


def _by_merit(ways: NDArray[np.object_], placed: Polygon, cutting: Cutting) -> Iterator[LineString]:
    """Yield ways, short ones through sound foam first; of equals the lowest.

    A way through a strip that is half foam counts as four times as long: along it a
    thin or ragged edge would be left, which breaks.
    """
    # A way cannot cost less than its length, but for the slot's width at its ends.
    ways = ways[np.argsort(shapely.length(ways), kind="stable")]
    least = np.append(shapely.length(ways) - LEANING * cutting.kerf_mm, np.inf)
    rough = shapely.simplify(placed, ROUGH_KERFS * cutting.kerf_mm)
    known: list[tuple[float, float, float, LineString]] = []
    for start in range(0, len(ways), CHUNK):
        some = ways[start : start + CHUNK]
        known += zip(*_merits(some, rough, cutting), some, strict=True)
        known.sort(key=lambda way: way[:3])
        bound = least[min(start + CHUNK, len(ways))] / TIE_MM
        while known and known[0][0] < bound:
            yield known.pop(0)[3]


def _merits(
    ways: NDArray[np.object_], placed: Polygon, cutting: Cutting
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return cost, y and x of ways, (n,) each."""
    # Straight across a piece, no edge lies along another: without a grid.
    inside = shapely.intersection(ways, placed)
    reach = cutting.kerf_mm / 2 + cutting.web_mm
    parts, owner = shapely.get_parts(inside, return_index=True)
    foam = np.bincount(owner, foam_beside(parts, placed, reach), minlength=len(ways))
    length = shapely.length(inside)
    sound = foam / np.maximum(2 * reach * length, 1e-9)
    cost = np.round(length / np.maximum(sound, 1e-6) ** 2 / TIE_MM)
    middle = shapely.get_coordinates(shapely.line_interpolate_point(ways, 0.5, normalized=True))
    x, y = np.round(middle, 3).T
    return cost, y, x


def foam_beside(ways: NDArray[np.object_], placed: Polygon, reach: float) -> NDArray[np.float64]:
    """Return the foam of a piece within `reach` at both sides of straight ways, (n,), in mm2.

    By Green's theorem in each way's own frame, x along it: the area under an outline, its
    height held within the strip, summed over the edges. Overlays give the same, 20 times as
    slowly.
    """
    rings = shapely.orient_polygons(placed)
    edges = np.concatenate(
        [
            np.stack([points[:-1], points[1:]], axis=1)
            for points in map(shapely.get_coordinates, (rings.exterior, *rings.interiors))
        ]
    )
    tips = shapely.get_coordinates(ways).reshape(-1, 2, 2)
    long = shapely.length(ways)
    along = (tips[:, 1] - tips[:, 0]) / np.maximum(long, 1e-12)[:, None]
    x, y = edges[..., 0].T, edges[..., 1].T
    off_x, off_y = x[None] - tips[:, :1, :1], y[None] - tips[:, :1, 1:]
    at = off_x * along[:, :1, None] + off_y * along[:, 1:, None]
    up = off_y * along[:, :1, None] - off_x * along[:, 1:, None]
    start, end = at[:, 0], at[:, 1]
    low, high = up[:, 0], up[:, 1]
    run = np.where(end == start, 1.0, end - start)
    rise = (high - low) / run
    from_x, to_x = (np.clip(one, 0.0, long[:, None]) for one in (start, end))
    from_y, to_y = low + (from_x - start) * rise, low + (to_x - start) * rise

    def under(height: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the integral of a height held within the strip, over the height itself."""
        held = np.clip(height, -reach, reach)
        return held**2 / 2 + (height - held) * held

    climb = to_y - from_y
    level = np.abs(climb) < 1e-9
    mean = np.where(
        level,
        np.clip((from_y + to_y) / 2, -reach, reach),
        (under(to_y) - under(from_y)) / np.where(level, 1.0, climb),
    )
    found: NDArray[np.float64] = -(mean * (to_x - from_x)).sum(axis=1)
    return found


def _stays_one(placed: Polygon, cuts: Sequence[LineString], radius: float) -> bool:
    """Return whether the piece is still one connected part after the slits are cut."""
    slot = overlay.union(shapely.buffer(np.array(cuts, dtype=object), radius))
    rest = overlay.difference(placed, slot)
    parts = [part for part in polygons(rest) if part.area > radius * radius]
    return len(parts) == 1
