"""The slits: cuts through a piece from its outline to its holes, each a seam to glue.

A slit is short, runs through sound foam on both sides, and never cuts a part off: a
tree of straight slits that joins all holes to the outline leaves the piece in one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from wirepath.geometry import polygons
from wirepath.model import WireLine
from wirepath.routing.linking import TIE_MM, Link, ends
from wirepath.workshop import Cutting

PLACES = 96
"""Places along a hole's line that are tried as the end of its slit."""

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
        gaps = shapely.distance([lines[index].ring for index in left], known)
        hole = left.pop(int(np.argmin(np.round(gaps / TIE_MM))))
        ways = _candidates(lines[hole].ring, known, rings, placed)
        slit = _best_slit(ways, placed, links, cutting)
        if slit is None:
            # The shortest of all runs from line to line and cannot cut a part off.
            slit = shapely.shortest_line(known, lines[hole].ring)
        start, end = ends(slit)
        on = shapely.distance([lines[index].ring for index in reached], shapely.points(start))
        parent = reached[int(np.argmin(on))]
        links.append(Link(parent=parent, child=hole, kind="slit", start=start, end=end))
        reached.append(hole)
    return links


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
    once = shapely.get_num_geometries(shapely.intersection(ways, placed)) == 1
    clear = shapely.intersects(between, placed) & ~shapely.intersects(between, rings)
    return np.asarray(ways[once & clear])


def _by_merit(ways: NDArray[np.object_], placed: Polygon, cutting: Cutting) -> Iterator[LineString]:
    """Yield ways, short ones through sound foam first; of equals the lowest.

    A way through a strip that is half foam counts as four times as long: along it a
    thin or ragged edge would be left, which breaks.
    """
    if not len(ways):
        return
    inside = shapely.intersection(ways, placed)
    strips = shapely.buffer(inside, cutting.kerf_mm / 2 + cutting.web_mm, cap_style="flat")
    sound = shapely.area(shapely.intersection(strips, placed)) / shapely.area(strips)
    cost = np.round(shapely.length(inside) / sound**2 / TIE_MM)
    middle = shapely.get_coordinates(shapely.line_interpolate_point(ways, 0.5, normalized=True))
    x, y = np.round(middle, 3).T
    yield from ways[np.lexsort((x, y, cost))]


def _stays_one(placed: Polygon, cuts: Sequence[LineString], radius: float) -> bool:
    """Return whether the piece is still one connected part after the slits are cut."""
    slot = shapely.union_all(shapely.buffer(np.array(cuts, dtype=object), radius))
    parts = [part for part in polygons(placed.difference(slot)) if part.area > radius * radius]
    return len(parts) == 1
