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

import math
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, MultiLineString, Polygon, STRtree

from wirepath.model import Note, Reading
from wirepath.tracing.faults import Flaw, open_line, too_tangled

Points = NDArray[np.float64]
Ints = NDArray[np.intp]
Lines = NDArray[np.object_]

EXACT_MM = 1e-4
"""Ends this near are one: programs write coordinates to 1e-4 mm or finer. Measured on
191 real drawings: more than this and traced lettering loses loops."""

SPECK_MM = 2e-4
"""Pieces shorter than this are dropped, their ends made one."""

MOST_GAP_SHARE = 0.2
"""A gap is only closed if it is at most this share of the shorter chain it closes."""

MOST_MEETINGS = 200_000
"""Pairs of straight pieces, not neighbours, whose boxes meet. Past this, finding all
crossings and faces takes minutes; a drawing with as many has hatching in it."""

MOST_PAIRS = 3_000_000
"""Pairs of loose ends, or of outlines' boxes, that are compared one by one."""


@dataclass(slots=True)
class Joined:
    """What became of the pieces: rings and faces (closed lines), open lines, notes, flaws.

    `ring_of` and `face_of` name the pieces that each is made of, by index; `open_of` those
    of the open lines, all together.
    """

    rings: list[LineString] = field(default_factory=list)
    ring_of: list[Ints] = field(default_factory=list)
    opens: list[LineString] = field(default_factory=list)
    open_of: list[Ints] = field(default_factory=list)
    specks: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.intp))
    doubles: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.intp))
    notes: list[Note] = field(default_factory=list)
    flaws: list[Flaw] = field(default_factory=list)
    faces: list[Polygon] = field(default_factory=list)
    """Regions found in tangles; their holes are already open."""
    face_of: list[Ints] = field(default_factory=list)


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
        if _has_area(pieces[index]):
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


def ends_of(lines: Lines) -> tuple[Points, Points]:
    """Return the first and the last point of every line: (n, 2) each."""
    coordinates, index = shapely.get_coordinates(lines, return_index=True)
    bounds = np.searchsorted(index, np.arange(len(lines) + 1))
    return coordinates[bounds[:-1]], coordinates[bounds[1:] - 1]


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
        points = _points(np.column_stack([unique.real, unique.imag]))
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
    middles = shapely.get_coordinates(shapely.line_interpolate_point(pieces, 0.5, normalized=True))
    key = np.column_stack(
        [
            nodes.min(axis=1),
            nodes.max(axis=1),
            np.where(nodes[:, 0] == nodes[:, 1], groups, 0),
        ]
    )
    indexes = np.flatnonzero(alive)
    if len(indexes) < 2:
        return np.zeros(0, dtype=np.intp)
    order = indexes[np.lexsort(key[indexes].T[::-1])]
    same = (key[order][1:] == key[order][:-1]).all(axis=1)
    found: list[int] = []
    run: list[int] = []
    for index, continues in zip(order.tolist(), [False, *same.tolist()], strict=True):
        if not continues:
            run = [index]
            continue
        for earlier in run[:20]:
            closed = nodes[index, 0] == nodes[index, 1]
            if not closed and np.abs(middles[index] - middles[earlier]).max() > 10 * exact_mm:
                continue
            if shapely.equals_exact(
                pieces[index].normalize(), pieces[earlier].normalize(), tolerance=exact_mm
            ):
                found.append(index)
                break
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
    for group in _groups_of(chosen_label, np.arange(len(chosen))):
        members = chosen[group]
        ring = _chain(pieces, nodes, members)
        if not _has_area(ring):
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


def _has_area(ring: LineString) -> bool:
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


def _stroke(ring: LineString) -> LineString:
    """Return a there-and-back line as the way there: to the point farthest from its start."""
    points = shapely.get_coordinates(ring)
    far = int(np.argmax(np.linalg.norm(points - points[0], axis=1)))
    return LineString(points[: far + 1]) if far else ring


# --- What does not close of itself ---------------------------------------------------


def _untangle(pieces: Lines, left: Ints, reading: Reading, exact_mm: float, joined: Joined) -> None:
    """Join what is left: over gaps, then by cutting it where it crosses; find faces."""
    drawn = _Drawn(pieces[left], left)
    chains = _rings_over_gaps(_merged(pieces[left]), reading.gap_mm, exact_mm, drawn, joined)
    if not len(chains):
        return
    pulled = _divided_rings(chains, exact_mm, joined)
    lines = np.concatenate([chains, np.array([joined.rings[i] for i in pulled], dtype=object)])
    if pulled:
        of = np.concatenate([left, *(joined.ring_of[i] for i in pulled)])
        drawn = _Drawn(pieces[of], of)
        keep = [i for i in range(len(joined.rings)) if i not in set(pulled)]
        joined.rings = [joined.rings[i] for i in keep]
        joined.ring_of = [joined.ring_of[i] for i in keep]
    if meetings(lines) > MOST_MEETINGS:
        joined.flaws.append(too_tangled(lines))
        joined.opens += list(lines)
        joined.open_of.append(drawn.index)
        return
    edges = _cut_where_they_meet(lines, exact_mm)
    edges = _trim_overshoots(edges, lines, reading.gap_mm, joined)
    bridges = _bridges(edges, reading.gap_mm, exact_mm)
    joined.notes += [_closed_gap(bridge) for bridge in bridges]
    edges = _merged(np.concatenate([edges, bridges]))
    edges, dangles = _without_dangles(edges)
    joined.opens += dangles
    joined.open_of += [drawn.on(line) for line in dangles]
    joined.flaws += _open_lines_told(dangles, edges, reading)
    for group in _hang_together(edges):
        through = _passed_through(group, pieces[left], exact_mm)
        _close_group(group, through, drawn, reading, joined)


class _Drawn:
    """The pieces as drawn, to find those that run along a line made of them."""

    def __init__(self, pieces: Lines, index: Ints) -> None:
        self.pieces, self.index = pieces, index
        self.tree = STRtree(pieces)

    def on(self, line: Geometry) -> Ints:
        """Return the indexes of the pieces whose middle lies on `line`."""
        near = self.tree.query(line, predicate="dwithin", distance=1e-3)
        if not len(near):
            return near
        middles = shapely.line_interpolate_point(self.pieces[near], 0.5, normalized=True)
        shapely.prepare(line)
        return np.unique(self.index[near[shapely.dwithin(middles, line, 2e-3)]])


def _rings_over_gaps(
    chains: Lines, gap_mm: float, exact_mm: float, drawn: _Drawn, joined: Joined
) -> Lines:
    """Take the rings that chains make once gaps are closed; return the chains left over.

    A ring that would cross itself is left: its ends may have run past each other.
    """
    bridges = _bridges(chains, gap_mm, exact_mm)
    if not len(bridges):
        return chains
    lines = np.concatenate([chains, bridges])
    ends, degree = _graph(lines)
    label = components(len(degree), ends[:, 0], ends[:, 1])
    whole = np.ones(len(degree), dtype=bool)
    whole[label[degree != 2]] = False
    taken = np.zeros(len(lines), dtype=bool)
    own = label[ends[:, 0]]
    for members in _groups_of(own, np.flatnonzero(whole[own])):
        ring = shapely.line_merge(MultiLineString(list(lines[members])))
        if not (isinstance(ring, LineString) and ring.is_simple and _has_area(ring)):
            continue
        taken[members] = True
        joined.rings.append(ring)
        joined.ring_of.append(drawn.on(ring))
        joined.notes += [_closed_gap(lines[i]) for i in members if i >= len(chains)]
    return chains[~taken[: len(chains)]]


def _groups_of(label: Ints, chosen: Ints) -> list[Ints]:
    """Return the chosen indexes in groups of equal label, in the order the labels begin."""
    if not len(chosen):
        return []
    chosen = chosen[np.argsort(label[chosen], kind="stable")]
    starts = np.flatnonzero(np.diff(label[chosen], prepend=-1))
    return np.split(chosen, starts[1:])


def _divided_rings(chains: Lines, exact_mm: float, joined: Joined) -> list[int]:
    """Return the rings that an open chain divides: all its loose ends lie on rings."""
    if not joined.rings:
        return []
    ends, degree = _graph(chains)
    label = components(len(degree), ends[:, 0], ends[:, 1])
    first, last = ends_of(chains)
    chain, side = np.nonzero(degree[ends] == 1)
    if not len(chain):
        return []
    at = np.where((side == 0)[:, None], first[chain], last[chain])
    tree = STRtree(np.array(joined.rings, dtype=object))
    hit_end, hit_ring = tree.query(_points(at), predicate="dwithin", distance=exact_mm)
    own = label[ends[chain, 0]]
    free = np.setdiff1d(np.arange(len(chain)), hit_end)
    divides = ~np.isin(own[hit_end], own[free])
    several = np.bincount(own, minlength=len(degree))[own[hit_end]] >= 2
    return sorted(set(hit_ring[divides & several].tolist()))


def _cut_where_they_meet(lines: Lines, exact_mm: float) -> Lines:
    """Return the lines cut at every place two of them meet, each stretch once: (n,).

    Snapped to a grid of `exact_mm`, so that an end that only just misses a line meets it
    and stretches drawn twice fall together.
    """
    noded = shapely.union_all(lines, grid_size=exact_mm)
    return _merged(shapely.get_parts(noded))


def _merged(lines: Lines) -> Lines:
    """Return the lines run together wherever just two of them meet."""
    kept = [line for line in lines if isinstance(line, LineString) and not line.is_empty]
    if not kept:
        return np.zeros(0, dtype=object)
    return np.asarray(shapely.get_parts(shapely.line_merge(MultiLineString(kept))))


def _graph(edges: Lines) -> tuple[Ints, Ints]:
    """Return the nodes at each edge's two ends, (n, 2), and how many ends meet at each."""
    first, last = ends_of(edges)
    every = np.concatenate([first, last])
    _, node = np.unique(every[:, 0] + 1j * every[:, 1], return_inverse=True)
    ends = node.reshape(2, -1).T
    return ends, np.bincount(ends.reshape(-1))


def _trim_overshoots(edges: Lines, strokes: Lines, gap_mm: float, joined: Joined) -> Lines:
    """Return the edges without those that run past a crossing by no more than the gap.

    Nor by more than a fifth of the stroke they are the end of. What is left of a line
    once a neighbour is trimmed may be as short: so in rounds.
    """
    tree = STRtree(strokes)
    lengths_drawn = shapely.length(strokes)
    while len(edges):
        ends, degree = _graph(edges)
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
            text = f"trimmed a line that ran {_mm(lengths[index])} past another"
            if loose[index].all():
                text = f"dropped a stray line of {_mm(lengths[index])}"
            joined.notes.append(Note(kind="repair", text=text, at=(x, y)))
        edges = _merged(edges[~over])
    return edges


def _bridges(edges: Lines, gap_mm: float, exact_mm: float) -> Lines:
    """Return straight lines over the gaps between loose ends, nearest first: (n,)."""
    none = np.zeros(0, dtype=object)
    if not len(edges) or not gap_mm:
        return none
    gap_mm += exact_mm  # a gap written as 0.1 is a little more or less in binary
    ends, degree = _graph(edges)
    edge, side = np.nonzero(degree[ends] == 1)
    if len(edge) < 2:
        return none
    first, last = ends_of(edges)
    at = np.where((side == 0)[:, None], first[edge], last[edge])
    points = _points(at)
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
    return np.array([LineString([at[one], at[other]]) for one, other in pairs], dtype=object)


def _closed_gap(bridge: LineString) -> Note:
    x, y = shapely.get_coordinates(bridge).mean(axis=0).tolist()
    return Note(kind="repair", text=f"closed a gap of {_mm(bridge.length)}", at=(x, y))


def _without_dangles(edges: Lines) -> tuple[Lines, list[LineString]]:
    """Return the edges that lie on a way round, and the others, run together.

    Takes away ends that lead nowhere until none is left, then the bridges between two
    ways round.
    """
    if not len(edges):
        return edges, []
    polygons, cuts, dangles, _ = (
        shapely.get_parts(part) for part in shapely.polygonize_full(edges)
    )
    off = [*dangles, *cuts]
    if not off:
        return edges, []
    if not len(polygons):
        return np.zeros(0, dtype=object), list(_merged(edges))
    # polygonize gives the lines it was given, so the very same ones are taken away.
    gone = {line.wkb for line in off}
    kept = np.array([e for e in edges if e.wkb not in gone], dtype=object)
    return _merged(kept), list(_merged(np.array(off, dtype=object)))


def _hang_together(edges: Lines) -> list[Lines]:
    """Return the edges in groups that share nodes."""
    if not len(edges):
        return []
    ends, degree = _graph(edges)
    label = components(len(degree), ends[:, 0], ends[:, 1])[ends[:, 0]]
    return [edges[members] for members in _groups_of(label, np.arange(len(edges)))]


def _passed_through(edges: Lines, strokes: Lines, exact_mm: float) -> tuple[float, float] | None:
    """Return a place where three or more edges meet and an open stroke passes, if any.

    Whoever draws a border that two parts share draws it from corner to corner; a stroke
    that goes on past the place where others end is as likely a letter's.
    """
    ends, degree = _graph(edges)
    first, last = ends_of(edges)
    branching = degree[ends] >= 3
    at = np.unique(np.concatenate([first[branching[:, 0]], last[branching[:, 1]]]), axis=0)
    if not len(at):
        return None
    points = _points(at)
    node, stroke = STRtree(strokes).query(points, predicate="dwithin", distance=2 * exact_mm)
    start, end = ends_of(strokes[stroke])
    from_ends = np.minimum(
        np.linalg.norm(at[node] - start, axis=1), np.linalg.norm(at[node] - end, axis=1)
    )
    passed = node[from_ends > 4 * exact_mm]
    return (float(at[passed[0], 0]), float(at[passed[0], 1])) if len(passed) else None


def _close_group(
    edges: Lines,
    through: tuple[float, float] | None,
    drawn: _Drawn,
    reading: Reading,
    joined: Joined,
) -> None:
    """Take a ring, or the faces of a tangle, whichever `edges` make."""
    if len(edges) == 1 and edges[0].is_closed:
        joined.rings.append(edges[0])
        joined.ring_of.append(drawn.on(edges[0]))
        return
    ends, degree = _graph(edges)
    faces = np.asarray(shapely.get_parts(shapely.polygonize(edges)))
    if not len(faces):
        return
    of = drawn.on(MultiLineString(list(edges)))
    if not (degree % 2).any():
        _take_even_odd(edges, faces, of, joined)
        return
    if through is not None and reading.unclear_faces == "refuse":
        joined.opens += list(edges)
        joined.open_of += [of] * len(edges)
        joined.flaws.append(
            Flaw(
                what="lines meet in a T joint, so it is unclear what is an outline",
                at=through,
                mend="draw each outline as a line of its own that closes, or say what the faces "
                "are: unclear_faces = 'parts' or 'holes' in the job file",
            )
        )
        return
    where = _node_at(edges, ends, degree)
    _take_faces(faces, of, where, reading, joined)


def _take_even_odd(edges: Lines, faces: Lines, of: Ints, joined: Joined) -> None:
    """Take the faces an odd number of lines away from outside: a loop that touches itself."""
    inside = faces[_is_odd(faces)]
    solid = shapely.union_all(inside)
    ends, degree = _graph(edges)
    at = _node_at(edges, ends, degree, least=4)
    joined.notes.append(
        Note(
            kind="repair",
            text="a line touches or crosses itself; what lies an odd number of lines in is foam",
            at=at,
        )
    )
    for part in shapely.get_parts(solid):
        joined.faces.append(part)
        joined.face_of.append(of)


def _is_odd(faces: Lines) -> NDArray[np.bool_]:
    """Return for each face whether it lies an odd number of lines in from outside: (n,).

    From face to neighbour over each stretch of border; with an even number of ends at
    every node, all ways in count alike.
    """
    rings, face = shapely.get_rings(faces, return_index=True)
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    _, node = np.unique(corners[:, 0] + 1j * corners[:, 1], return_inverse=True)
    follows = ring[:-1] == ring[1:]
    sides = np.sort(np.column_stack([node[:-1], node[1:]])[follows], axis=1)
    owner = face[ring[:-1][follows]]
    order = np.lexsort((sides[:, 1], sides[:, 0]))
    sides, owner = sides[order], owner[order]
    twice = np.flatnonzero((sides[:-1] == sides[1:]).all(axis=1))
    once = np.ones(len(sides), dtype=bool)
    once[twice] = once[twice + 1] = False
    beside: list[list[int]] = [[] for _ in faces]
    for one, other in zip(owner[twice].tolist(), owner[twice + 1].tolist(), strict=True):
        beside[one].append(other)
        beside[other].append(one)
    depth = np.full(len(faces), -1)
    front = np.unique(owner[once]).tolist()
    level = 1
    while front:
        depth[front] = level
        level += 1
        front = sorted({o for f in front for o in beside[f] if depth[o] < 0})
    return np.asarray(depth % 2 == 1)


def _take_faces(
    faces: Lines, of: Ints, where: tuple[float, float], reading: Reading, joined: Joined
) -> None:
    """Take the faces that lines meeting in T joints enclose, if it is clear what each is."""
    whole = shapely.union_all(faces)
    rims = shapely.get_parts(whole)
    outside = shapely.multilinestrings([part.exterior for part in rims])
    shared = shapely.length(shapely.intersection(shapely.boundary(faces), outside))
    enclosed = shared < 1e-6
    if enclosed.any() and reading.unclear_faces == "refuse":
        inner = shapely.get_coordinates(shapely.point_on_surface(faces[enclosed]))
        joined.flaws += [
            Flaw(
                what="this face lies all inside others: it may be a part or a hole",
                at=(float(x), float(y)),
                mend="say which: unclear_faces = 'parts' or 'holes' in the job file",
            )
            for x, y in inner
        ]
    elif len(faces) > 1:
        text = f"lines meet in T joints and share borders: {len(faces)} faces are taken as parts"
        if enclosed.any() and reading.unclear_faces == "holes":
            text = (
                f"lines meet in T joints and share borders: {int((~enclosed).sum())} faces are "
                f"taken as parts, {int(enclosed.sum())} enclosed ones as holes"
            )
        joined.notes.append(Note(kind="warning", text=text, at=where))
    for face, is_inner in zip(faces, enclosed, strict=True):
        if not (is_inner and reading.unclear_faces == "holes"):
            joined.faces.append(face)
            joined.face_of.append(of)


def _node_at(edges: Lines, ends: Ints, degree: Ints, least: int = 3) -> tuple[float, float]:
    """Return a place where at least `least` ends meet: the lowest, then the leftmost."""
    first, last = ends_of(edges)
    branching = degree[ends] >= least
    at = np.concatenate([first[branching[:, 0]], last[branching[:, 1]]])
    if not len(at):
        at = first
    x, y = at[np.lexsort((at[:, 0], at[:, 1]))[0]]
    return float(x), float(y)


def _open_lines_told(dangles: list[LineString], edges: Lines, reading: Reading) -> list[Flaw]:
    """Return a flaw for every open line, the nearest gap first, where its loose end is."""
    if not dangles:
        return []
    lines = np.array(dangles, dtype=object)
    ends, degree = _graph(np.concatenate([lines, edges]))
    first, last = ends_of(lines)
    line, side = np.nonzero(degree[ends[: len(lines)]] == 1)
    at = np.where((side == 0)[:, None], first[line], last[line])
    lengths = shapely.length(lines)
    flaws: list[tuple[float, Flaw]] = []
    told: set[int] = set()
    if len(line) >= 2:
        points = _points(at)
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


def _points(at: Points) -> Lines:
    return np.asarray(shapely.points(at))


def _mm(length: float) -> str:
    return f"{length:.2g} mm" if length < 10 else f"{length:.0f} mm"
