"""Threading: where the wire is put through the foam to cut a hole that no slit may reach.

The wire is unhooked, threaded through a hole drilled or melted in the hole's waste, and
hooked up again. From there it cuts its way to the hole's line and comes back.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Piece, WireLine
from wirepath.routing.linking import OUTSIDE, Link, ends
from wirepath.workshop import Cutting

SEARCH_MM = 0.1
"""How near to the roomiest point of a narrow hole its threading point lies."""


def is_threaded(piece: Piece, cutting: Cutting) -> bool:
    """Return whether the wire is threaded into the holes of `piece`."""
    return (piece.holes or cutting.holes) == "thread"


def thread_link(
    lines: Sequence[WireLine], hole: int, inside: Sequence[int], cutting: Cutting
) -> Link:
    """Return the way from the threading point to the line of `hole`.

    The point keeps `thread_clear_mm` off that line and the lines of the pieces
    `inside`; of all such points it is one of those nearest to the hole's line, then the
    one nearest to the datum corner. A hole too small for that is threaded where it has
    the most room.
    """
    islands = [Polygon(lines[index].ring) for index in inside]
    waste = overlay.difference(Polygon(lines[hole].ring), overlay.union(islands))
    clear = polygons(waste.buffer(-cutting.thread_clear_mm))
    if clear:
        x, y = shapely.get_coordinates(clear).T
        gaps = np.round(shapely.distance(shapely.points(x, y), lines[hole].ring), 1)
        best = np.lexsort((x, np.round(x + y, 3), gaps))[0]
        start = shapely.Point(x[best], y[best])
    else:
        roomiest = max(polygons(waste), key=lambda part: part.area)
        radius = shapely.maximum_inscribed_circle(roomiest, tolerance=SEARCH_MM)
        start = shapely.Point(radius.coords[0])
    at, end = ends(shapely.shortest_line(start, lines[hole].ring))
    return Link(parent=OUTSIDE, child=hole, kind="thread", start=at, end=end)


def inner_first(lines: Sequence[WireLine], holes: Sequence[int]) -> list[int]:
    """Return `holes` in the order they are threaded: those inside others first, then small ones."""
    if not holes:
        return []
    areas = [Polygon(lines[hole].ring) for hole in holes]
    depth = np.zeros(len(holes), dtype=int)
    for at, other in shapely.STRtree(areas).query(areas, predicate="covered_by").T:
        depth[at] += at != other
    return [
        hole
        for _, _, hole in sorted(
            (-int(depth[at]), areas[at].area, hole) for at, hole in enumerate(holes)
        )
    ]
