"""Loose curves -> closed rings, in stages, every repair told. All in mm at finished size.

    piece   a curve as drawn, from end to end
    node    a place where ends of pieces meet, to within `EXACT_MM`
    ring    pieces that close, no end left over
    tangle  pieces that meet three or more at a node, or cross
    face    a patch that a tangle's pieces enclose, with none inside it
    dangle  a piece of a tangle with an end that meets nothing

One tolerance for everything would destroy traced lettering, so ends are first joined
where they truly meet; what closes so is done with. Only the loose ends that remain are
joined over a gap, nearest first.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, STRtree

from wirepath.model import Reading
from wirepath.tracing.faces import (
    close_group,
    cut_where_they_meet,
    divided_rings,
    passed_through,
    without_dangles,
)
from wirepath.tracing.faults import open_line, too_tangled
from wirepath.tracing.gaps import (
    bridges_over,
    closed_gaps,
    open_lines_told,
    rings_over_gaps,
    trim_overshoots,
)
from wirepath.tracing.joined import EXACT_MM, Drawn, Joined
from wirepath.tracing.lines import (
    MOST_MEETINGS,
    Ints,
    Lines,
    Points,
    as_points,
    components,
    ends_of,
    groups_of,
    hang_together,
    has_area,
    meetings,
    merged,
)


def join(pieces: Lines, groups: Ints, reading: Reading, exact_mm: float = EXACT_MM) -> Joined:
    """Return what closes among `pieces`: (n,) lines; `groups` (n,) says who belongs together.

    Pieces of a group are joined exactly among themselves first (a group is a layer);
    what is left over is joined across groups.
    """
    joined = Joined()
    if not len(pieces):
        return joined
    lengths = shapely.length(pieces)
    nodes, pieces = _meet(pieces, lengths, exact_mm)
    alive = np.ones(len(pieces), dtype=bool)
    alive[lengths < 2 * exact_mm] = False
    joined.specks = np.flatnonzero(~alive)
    joined.doubles = _doubles(pieces, nodes, groups, alive, exact_mm)
    alive[joined.doubles] = False

    is_closed = (nodes[:, 0] == nodes[:, 1]) & alive
    for index in np.flatnonzero(is_closed).tolist():
        if has_area(pieces[index]):
            joined.rings.append(pieces[index])
            joined.ring_of.append(np.array([index]))
            alive[index] = False
    # A closed line without area is a stroke drawn there and back: it closes nothing.
    flat = np.flatnonzero(is_closed & alive)
    for index in flat.tolist():
        stroke = _stroke(pieces[index])
        joined.opens.append(stroke)
        joined.open_of.append(np.array([index]))
        joined.flaws.append(open_line(stroke, None))
        alive[index] = False
    for across in (False, True):
        left = np.flatnonzero(alive)
        if len(left):
            done = _simple_rings(pieces, nodes, left, None if across else groups, joined)
            alive[done] = False
    left = np.flatnonzero(alive)
    if len(left):
        _untangle(pieces, left, reading, exact_mm, joined)
    return joined


def _meet(pieces: Lines, lengths: Points, exact_mm: float) -> tuple[Ints, Lines]:
    """Return the nodes at each piece's two ends, (n, 2), and the pieces moved onto them."""
    first, last = ends_of(pieces)
    every = np.concatenate([first, last])
    unique, node = np.unique(every[:, 0] + 1j * every[:, 1], return_inverse=True)
    node = node.reshape(-1)
    # Most ends meet to the last bit; only the rest costs a search.
    lone = np.flatnonzero(np.bincount(node) == 1)
    pairs_a = pairs_b = np.zeros(0, dtype=np.intp)
    if len(lone):
        points = as_points(np.column_stack([unique.real, unique.imag]))
        near = STRtree(points).query(points[lone], predicate="dwithin", distance=exact_mm)
        apart = lone[near[0]] != near[1]
        pairs_a, pairs_b = lone[near[0]][apart], near[1][apart]
    short = np.flatnonzero(lengths < 2 * exact_mm)
    pairs_a = np.concatenate([pairs_a, node[short]])
    pairs_b = np.concatenate([pairs_b, node[short + len(pieces)]])
    label = components(len(unique), pairs_a, pairs_b) if len(pairs_a) else np.arange(len(unique))
    ends = label[node].reshape(2, -1).T
    moved = np.flatnonzero((label[node] != node).reshape(2, -1).any(axis=0))
    if len(moved):
        pieces = pieces.copy()
        coordinates, index = shapely.get_coordinates(pieces[moved], return_index=True)
        bounds = np.searchsorted(index, np.arange(len(moved) + 1))
        for side, at in ((0, bounds[:-1]), (1, bounds[1:] - 1)):
            target = unique[ends[moved, side]]
            coordinates[at] = np.column_stack([target.real, target.imag])
        pieces[moved] = shapely.linestrings(coordinates, indices=index)
    return ends, pieces


def _doubles(
    pieces: Lines, nodes: Ints, groups: Ints, alive: NDArray[np.bool_], exact_mm: float
) -> Ints:
    """Return the pieces that repeat an earlier one, either way round."""
    closed = nodes[:, 0] == nodes[:, 1]
    ends = np.sort(nodes, axis=1)
    key = np.column_stack([ends, np.where(closed, groups, 0)])
    indexes = np.flatnonzero(alive)
    order = indexes[np.lexsort(key[indexes].T[::-1])]
    again = np.flatnonzero((key[order][1:] == key[order][:-1]).all(axis=1)) + 1
    found: list[int] = []
    run: list[int] = []
    last = -1
    for place in again.tolist():
        if place - 1 != last:
            run = [int(order[place - 1])]
        last = place
        index = int(order[place])
        whole = pieces[index].normalize()
        if any(
            shapely.equals_exact(whole, pieces[earlier].normalize(), tolerance=exact_mm)
            for earlier in run[:20]
        ):
            found.append(index)
        else:
            run.append(index)
    return np.array(sorted(found), dtype=np.intp)


def _simple_rings(
    pieces: Lines, nodes: Ints, left: Ints, groups: Ints | None, joined: Joined
) -> Ints:
    """Take the rings among the pieces `left`: every node meets exactly two. Return theirs."""
    local = nodes[left]
    if groups is not None:
        both = np.stack([local, np.broadcast_to(groups[left][:, None], local.shape)], axis=2)
        pairs = both.reshape(-1, 2)
        key = pairs[:, 0] * (int(groups.max()) + 1) + pairs[:, 1]
    else:
        key = local.reshape(-1)
    _, local = np.unique(key, return_inverse=True)
    local = local.reshape(-1, 2)
    size = int(local.max()) + 1
    degree = np.bincount(local.reshape(-1), minlength=size)
    label = components(size, local[:, 0], local[:, 1])
    whole = np.ones(size, dtype=bool)
    whole[label[degree != 2]] = False
    in_ring = whole[label[local[:, 0]]]
    if not in_ring.any():
        return np.zeros(0, dtype=np.intp)
    chosen = left[in_ring]
    chosen_label = label[local[in_ring, 0]]
    done: list[Ints] = []
    for group in groups_of(chosen_label, np.arange(len(chosen))):
        members = chosen[group]
        ring = _chain(pieces, nodes, members)
        if not has_area(ring):
            continue
        joined.rings.append(ring)
        joined.ring_of.append(np.sort(members))
        done.append(members)
    return np.concatenate(done) if done else np.zeros(0, dtype=np.intp)


def _chain(pieces: Lines, nodes: Ints, members: Ints) -> LineString:
    """Return the ring that `members` make, beginning with the first piece drawn."""
    at: dict[int, list[int]] = {}
    pairs = nodes[members].tolist()
    for place, (start, end) in enumerate(pairs):
        at.setdefault(start, []).append(place)
        at.setdefault(end, []).append(place)
    here, place = pairs[0][0], 0
    order: list[int] = []
    backwards: list[bool] = []
    for _ in pairs:
        start, end = pairs[place]
        order.append(place)
        backwards.append(start != here)
        here = end if start == here else start
        first, second = at[here]
        place = second if first == place else first
    lines = pieces[members[order]]
    turned = np.array(backwards)
    lines[turned] = shapely.reverse(lines[turned])
    coordinates, index = shapely.get_coordinates(lines, return_index=True)
    keep = np.ones(len(coordinates), dtype=bool)
    keep[np.flatnonzero(np.diff(index)) + 1] = False
    return LineString(coordinates[keep])


def _stroke(ring: LineString) -> LineString:
    """Return a there-and-back line as the way there: to the point farthest from its start."""
    points = shapely.get_coordinates(ring)
    far = int(np.argmax(np.linalg.norm(points - points[0], axis=1)))
    return LineString(points[: far + 1]) if far else ring


def _untangle(pieces: Lines, left: Ints, reading: Reading, exact_mm: float, joined: Joined) -> None:
    """Join what is left: over gaps, then by cutting it where it crosses; find faces."""
    drawn = Drawn(pieces[left], left)
    chains = rings_over_gaps(merged(pieces[left]), reading.gap_mm, exact_mm, drawn, joined)
    if not len(chains):
        return
    pulled = divided_rings(chains, exact_mm, joined)
    lines = np.concatenate([chains, np.array([joined.rings[i] for i in pulled], dtype=object)])
    if pulled:
        of = np.concatenate([left, *(joined.ring_of[i] for i in pulled)])
        drawn = Drawn(pieces[of], of)
        keep = [i for i in range(len(joined.rings)) if i not in set(pulled)]
        joined.rings = [joined.rings[i] for i in keep]
        joined.ring_of = [joined.ring_of[i] for i in keep]
    if meetings(lines) > MOST_MEETINGS:
        joined.flaws.append(too_tangled(lines))
        joined.opens += list(lines)
        joined.open_of.append(drawn.index)
        return
    edges = cut_where_they_meet(lines, exact_mm)
    edges = trim_overshoots(edges, lines, reading.gap_mm, joined)
    bridges = bridges_over(edges, reading.gap_mm, exact_mm)
    joined.notes += closed_gaps(bridges)
    edges = merged(np.concatenate([edges, bridges]))
    edges, dangles = without_dangles(edges)
    joined.opens += dangles
    joined.open_of += [drawn.on(line) for line in dangles]
    joined.flaws += open_lines_told(dangles, edges, reading)
    for group in hang_together(edges):
        through = passed_through(group, pieces[left], exact_mm)
        close_group(group, through, drawn, reading, joined)
