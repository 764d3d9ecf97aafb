"""Loose ends: joined over gaps, trimmed where they run past, told where they stay open."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import LineString, MultiLineString, STRtree

from wirepath.model import Note, Reading
from wirepath.tracing.faults import Flaw, open_line
from wirepath.tracing.joined import MOST_GAP_SHARE, MOST_PAIRS, Drawn, Joined
from wirepath.tracing.lines import (
    Lines,
    as_points,
    components,
    ends_of,
    graph,
    groups_of,
    has_area,
    in_mm,
    merged,
)


def rings_over_gaps(
    chains: Lines, gap_mm: float, exact_mm: float, drawn: Drawn, joined: Joined
) -> Lines:
    """Take the rings that chains make once gaps are closed; return the chains left over.

    A ring that would cross itself is left: its ends may have run past each other.
    """
    bridges = bridges_over(chains, gap_mm, exact_mm)
    if not len(bridges):
        return chains
    lines = np.concatenate([chains, bridges])
    ends, degree = graph(lines)
    label = components(len(degree), ends[:, 0], ends[:, 1])
    whole = np.ones(len(degree), dtype=bool)
    whole[label[degree != 2]] = False
    taken = np.zeros(len(lines), dtype=bool)
    own = label[ends[:, 0]]
    for members in groups_of(own, np.flatnonzero(whole[own])):
        ring = shapely.line_merge(MultiLineString(list(lines[members])))
        if not (isinstance(ring, LineString) and ring.is_simple and has_area(ring)):
            continue
        taken[members] = True
        joined.rings.append(ring)
        joined.ring_of.append(drawn.on(ring))
        joined.notes += closed_gaps(lines[members[members >= len(chains)]])
    return chains[~taken[: len(chains)]]


def bridges_over(edges: Lines, gap_mm: float, exact_mm: float) -> Lines:
    """Return straight lines over the gaps between loose ends, nearest first: (n,)."""
    none = np.zeros(0, dtype=object)
    if not len(edges) or not gap_mm:
        return none
    gap_mm += exact_mm  # a gap written as 0.1 is a little more or less in binary
    ends, degree = graph(edges)
    edge, side = np.nonzero(degree[ends] == 1)
    if len(edge) < 2:
        return none
    first, last = ends_of(edges)
    at = np.where((side == 0)[:, None], first[edge], last[edge])
    points = as_points(at)
    tree = STRtree(points)
    sample = points[:: max(1, len(points) // 200)]
    crowd = tree.query(sample, predicate="dwithin", distance=gap_mm).shape[1] / len(sample)
    if crowd * len(points) > MOST_PAIRS:
        return none
    a, b = tree.query(points, predicate="dwithin", distance=gap_mm)
    a, b = a[a < b], b[a < b]
    gaps = np.linalg.norm(at[a] - at[b], axis=1)
    lengths = shapely.length(edges)[edge]
    fits = gaps <= MOST_GAP_SHARE * np.minimum(lengths[a], lengths[b])
    a, b, gaps = a[fits], b[fits], gaps[fits]
    used = np.zeros(len(edge), dtype=bool)
    pairs: list[tuple[int, int]] = []
    for pair in np.lexsort((b, a, gaps)).tolist():
        one, other = int(a[pair]), int(b[pair])
        if not (used[one] or used[other]):
            used[[one, other]] = True
            pairs.append((one, other))
    if not pairs:
        return none
    return np.asarray(shapely.linestrings(at[np.array(pairs)]))


def closed_gaps(bridges: Lines) -> list[Note]:
    """Return a note for every gap that was closed, and where."""
    middles = shapely.get_coordinates(shapely.line_interpolate_point(bridges, 0.5, normalized=True))
    return [
        Note(kind="repair", text=f"closed a gap of {in_mm(length)}", at=(x, y))
        for length, (x, y) in zip(shapely.length(bridges), middles.tolist(), strict=True)
    ]


def trim_overshoots(edges: Lines, strokes: Lines, gap_mm: float, joined: Joined) -> Lines:
    """Return the edges without those that run past a crossing by no more than the gap.

    Nor by more than a fifth of the stroke they are the end of. What is left of a line
    once a neighbour is trimmed may be as short: so in rounds.
    """
    tree = STRtree(strokes)
    lengths_drawn = shapely.length(strokes)
    while len(edges):
        ends, degree = graph(edges)
        loose = degree[ends] == 1
        lengths = shapely.length(edges)
        short = np.flatnonzero(loose.any(axis=1) & (lengths <= gap_mm))
        middles = shapely.line_interpolate_point(edges[short], 0.5, normalized=True)
        _, stroke = tree.query_nearest(middles, all_matches=False)
        short = short[lengths[short] <= MOST_GAP_SHARE * lengths_drawn[stroke]]
        over = np.zeros(len(edges), dtype=bool)
        over[short] = True
        if not len(short):
            break
        first, last = ends_of(edges)
        for index in np.flatnonzero(over).tolist():
            x, y = (first[index] if loose[index, 0] else last[index]).tolist()
            text = f"trimmed a line that ran {in_mm(lengths[index])} past another"
            if loose[index].all():
                text = f"dropped a stray line of {in_mm(lengths[index])}"
            joined.notes.append(Note(kind="repair", text=text, at=(x, y)))
        edges = merged(edges[~over])
    return edges


def open_lines_told(dangles: list[LineString], edges: Lines, reading: Reading) -> list[Flaw]:
    """Return a flaw for every open line, the nearest gap first, where its loose end is."""
    if not dangles:
        return []
    lines = np.array(dangles, dtype=object)
    ends, degree = graph(np.concatenate([lines, edges]))
    first, last = ends_of(lines)
    line, side = np.nonzero(degree[ends[: len(lines)]] == 1)
    at = np.where((side == 0)[:, None], first[line], last[line])
    lengths = shapely.length(lines)
    flaws: list[tuple[float, Flaw]] = []
    told: set[int] = set()
    if len(line) >= 2:
        points = as_points(at)
        (one, other), gaps = STRtree(points).query_nearest(
            points, exclusive=True, return_distance=True, all_matches=False
        )
        for index in np.argsort(gaps, kind="stable").tolist():
            mine, its = int(line[one[index]]), int(line[other[index]])
            gap = float(gaps[index])
            if gap > MOST_GAP_SHARE * min(lengths[mine], lengths[its]) or gap <= reading.gap_mm:
                continue
            if mine in told and its in told:
                continue
            told |= {mine, its}
            x, y = ((at[one[index]] + at[other[index]]) / 2).tolist()
            flaws.append((gap, open_line(dangles[mine], gap, (x, y))))
    loose = dict(zip(line[::-1].tolist(), at[::-1].tolist(), strict=True))
    for index in range(len(lines)):
        if index not in told:
            x, y = loose.get(index, first[index].tolist())
            flaws.append((math.inf, open_line(dangles[index], None, (x, y))))
    return [flaw for _, flaw in flaws]
