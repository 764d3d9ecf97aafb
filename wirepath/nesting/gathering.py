"""The last step on a face: of layouts as dense, the one with the shortest way for the wire."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from scipy.sparse.csgraph import minimum_spanning_tree
from shapely import Polygon, box

from wirepath.nesting.edge_sharing import pushed_together, shared_mm
from wirepath.nesting.fields import Effort
from wirepath.nesting.finish import press
from wirepath.nesting.maps import Maps
from wirepath.nesting.shapes import shifted
from wirepath.nesting.solids import Floats
from wirepath.workshop import Cutting

PULLS = ((1.0, 1.0), (1.0, -1.0), (1.0, 0.1), (0.1, 1.0), (0.1, -1.0))
"""Ways in which the pieces of a face are pulled together, against x and y."""

MOST_PIECES = 200
"""Faces with more pieces are left as they are: every pair is measured."""

GAIN_MM = 1.0
"""What a way must be shorter by to be taken."""

HAIR_MM = 1e-6
"""Least gap that counts as a link: scipy takes what is below 1e-8 for none."""


def wire_way_mm(outlines: Sequence[Polygon], face: Polygon, cutting: Cutting) -> float:
    """Return about how far the wire cuts: outlines, shared edges once, and least links.

    Links are the minimum spanning tree over the pieces and the outside of the face.
    """
    pieces = np.array(outlines, dtype=object)
    count = len(pieces)
    gaps = np.zeros((count + 1, count + 1))
    gaps[:count, :count] = shapely.distance(pieces[:, None], pieces[None])
    gaps[:count, count] = shapely.distance(pieces, face.exterior)
    np.fill_diagonal(gaps, 0.0)
    # Up to 1e-8 means no link to the tree, so what touches is a hair away.
    gaps[:count] = np.maximum(gaps[:count], HAIR_MM)
    links = minimum_spanning_tree(np.triu(gaps, 1)).sum()
    return float(shapely.length(pieces).sum() - shared_mm(outlines, cutting) + links)


def gathered(
    maps: Maps,
    variants: Sequence[int],
    spots: Floats,
    face: tuple[float, float],
    cutting: Cutting,
    effort: Effort,
    *,
    sharing: bool = True,
) -> Floats:
    """Return spots, (n, 2), no farther right than those given, with the shortest way found.

    The pieces are pulled together in several ways; turns and their right edge stay. Where
    none is shorter, the spots given come back. With `sharing` the way is measured as it
    is once pieces are pushed together that can share an edge.
    """
    if len(variants) > MOST_PIECES or len(variants) < 2:
        return spots
    some = [maps.variants[v] for v in variants]
    right = max(x + one.width_mm for one, x in zip(some, spots[:, 0], strict=True))

    def way(at: Floats) -> float:
        there = [shifted(one.outline, x, y) for one, (x, y) in zip(some, at, strict=True)]
        room = box(0.0, 0.0, *face)
        if sharing:
            there, _ = pushed_together(there, room, cutting)
        return wire_way_mm(there, room, cutting)

    best, least = spots, way(spots)
    for pull in PULLS:
        if effort.spent:
            break
        answer = press(
            maps,
            variants,
            spots,
            height_mm=face[1],
            width_mm=right,
            step_mm=4 * maps.cell_mm,
            effort=effort,
            pull=pull,
        )
        if answer is not None and (length := way(answer[0])) < least - GAIN_MM:
            best, least = answer[0], length
    return best
