"""Lines as a graph: their ends, the nodes where these meet, what hangs together. In mm."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, Polygon, STRtree

Points = NDArray[np.float64]


Ints = NDArray[np.intp]


Lines = NDArray[np.object_]


def ends_of(lines: Lines) -> tuple[Points, Points]:
    """Return the first and the last point of every line: (n, 2) each."""
    coordinates, index = shapely.get_coordinates(lines, return_index=True)
    bounds = np.searchsorted(index, np.arange(len(lines) + 1))
    return coordinates[bounds[:-1]], coordinates[bounds[1:] - 1]


def components(size: int, a: Ints, b: Ints) -> Ints:
    """Return for each of `size` things the least one it hangs together with: (size,).

    `a` and `b` are the pairs. Labels are hooked to the lower and shortened in turn, so
    that even one long chain takes only some log2(size) rounds.
    """
    label = np.arange(size)
    while True:
        low = np.minimum(label[a], label[b])
        before = label.copy()
        np.minimum.at(label, label[a], low)
        np.minimum.at(label, label[b], low)
        while True:
            shorter = label[label]
            if (shorter == label).all():
                break
            label = shorter
        if (label == before).all():
            return label


def groups_of(label: Ints, chosen: Ints) -> list[Ints]:
    """Return the chosen indexes in groups of equal label, in the order the labels begin."""
    if not len(chosen):
        return []
    chosen = chosen[np.argsort(label[chosen], kind="stable")]
    starts = np.flatnonzero(np.diff(label[chosen], prepend=-1))
    return np.split(chosen, starts[1:])


def graph(edges: Lines) -> tuple[Ints, Ints]:
    """Return the nodes at each edge's two ends, (n, 2), and how many ends meet at each."""
    first, last = ends_of(edges)
    every = np.concatenate([first, last])
    _, node = np.unique(every[:, 0] + 1j * every[:, 1], return_inverse=True)
    ends = node.reshape(2, -1).T
    return ends, np.bincount(ends.reshape(-1))


def merged(lines: Lines) -> Lines:
    """Return the lines run together wherever just two of them meet."""
    kept = [line for line in lines if isinstance(line, LineString) and not line.is_empty]
    if not kept:
        return np.zeros(0, dtype=object)
    return np.asarray(shapely.get_parts(shapely.line_merge(MultiLineString(kept))))


def as_points(at: Points) -> Lines:
    """Return places, (n, 2), as geometry: (n,)."""
    return np.asarray(shapely.points(at))


def hang_together(edges: Lines) -> list[Lines]:
    """Return the edges in groups that share nodes."""
    if not len(edges):
        return []
    ends, degree = graph(edges)
    label = components(len(degree), ends[:, 0], ends[:, 1])[ends[:, 0]]
    return [edges[members] for members in groups_of(label, np.arange(len(edges)))]


def has_area(ring: LineString) -> bool:
    """Return whether a closed line encloses anything, be it crossing itself or not."""
    points = shapely.get_coordinates(ring)
    if len(points) < 4:
        return False
    x, y = (points - points[0]).T
    signed = abs(float(x[:-1] @ y[1:] - x[1:] @ y[:-1])) / 2
    length = float(ring.length)
    if signed > 1e-5 * length:
        return True
    # A figure of eight has no signed area and yet encloses something.
    if meetings(np.array([ring])) > MOST_MEETINGS:
        return True
    return float(shapely.make_valid(Polygon(points)).area) > 1e-5 * length


def meetings(lines: Lines) -> float:
    """Return about how many pairs of straight pieces have boxes that meet, neighbours apart.

    Counted for a sample of 500 pieces, evenly picked.
    """
    coordinates, index = shapely.get_coordinates(lines, return_index=True)
    same = index[:-1] == index[1:]
    low = np.minimum(coordinates[:-1], coordinates[1:])[same]
    high = np.maximum(coordinates[:-1], coordinates[1:])[same]
    if len(low) < 4:
        return 0.0
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    sample = boxes[:: max(1, len(boxes) // 500)]
    tree = STRtree(boxes)
    hits = sum(tree.query(sample[k : k + 50]).shape[1] for k in range(0, len(sample), 50))
    own_and_next = 3 * len(sample)
    return float(max(0, hits - own_and_next) / len(sample) * len(boxes) / 2)


MOST_MEETINGS = 200_000
"""Pairs of straight pieces, not neighbours, whose boxes meet. Past this, finding all
crossings and faces takes minutes; a drawing with as many has hatching in it."""


def in_mm(length: float) -> str:
    """Return a length in words: two figures, from 10 mm on whole ones."""
    return f"{length:.2g} mm" if length < 10 else f"{length:.0f} mm"
