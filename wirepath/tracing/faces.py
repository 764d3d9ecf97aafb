"""Tangles: cut where lines meet, freed of dangles, and made into faces."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, STRtree

from wirepath.model import Note, Reading
from wirepath.tracing.faults import Flaw
from wirepath.tracing.joined import Drawn, Joined
from wirepath.tracing.lines import Ints, Lines, as_points, components, ends_of, graph, merged


def divided_rings(chains: Lines, exact_mm: float, joined: Joined) -> list[int]:
    """Return the rings that an open chain divides: all its loose ends lie on rings."""
    if not joined.rings:
        return []
    ends, degree = graph(chains)
    label = components(len(degree), ends[:, 0], ends[:, 1])
    first, last = ends_of(chains)
    chain, side = np.nonzero(degree[ends] == 1)
    if not len(chain):
        return []
    at = np.where((side == 0)[:, None], first[chain], last[chain])
    tree = STRtree(np.array(joined.rings, dtype=object))
    hit_end, hit_ring = tree.query(as_points(at), predicate="dwithin", distance=exact_mm)
    own = label[ends[chain, 0]]
    free = np.setdiff1d(np.arange(len(chain)), hit_end)
    divides = ~np.isin(own[hit_end], own[free])
    several = np.bincount(own, minlength=len(degree))[own[hit_end]] >= 2
    return sorted(set(hit_ring[divides & several].tolist()))


def cut_where_they_meet(lines: Lines, exact_mm: float) -> Lines:
    """Return the lines cut at every place two of them meet, each stretch once: (n,).

    Snapped to a grid of `exact_mm`, so that an end that only just misses a line meets it
    and stretches drawn twice fall together.
    """
    noded = shapely.union_all(lines, grid_size=exact_mm)
    return merged(shapely.get_parts(noded))


def without_dangles(edges: Lines) -> tuple[Lines, list[LineString]]:
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
        return np.zeros(0, dtype=object), list(merged(edges))
    # polygonize gives the lines it was given, so the very same ones are taken away.
    gone = {line.wkb for line in off}
    kept = np.array([e for e in edges if e.wkb not in gone], dtype=object)
    return merged(kept), list(merged(np.array(off, dtype=object)))


def passed_through(edges: Lines, strokes: Lines, exact_mm: float) -> tuple[float, float] | None:
    """Return a place where three or more edges meet and an open stroke passes, if any.

    Whoever draws a border that two parts share draws it from corner to corner; a stroke
    that goes on past the place where others end is as likely a letter's.
    """
    ends, degree = graph(edges)
    first, last = ends_of(edges)
    branching = degree[ends] >= 3
    at = np.unique(np.concatenate([first[branching[:, 0]], last[branching[:, 1]]]), axis=0)
    if not len(at):
        return None
    points = as_points(at)
    node, stroke = STRtree(strokes).query(points, predicate="dwithin", distance=2 * exact_mm)
    start, end = ends_of(strokes[stroke])
    from_ends = np.minimum(
        np.linalg.norm(at[node] - start, axis=1), np.linalg.norm(at[node] - end, axis=1)
    )
    passed = node[from_ends > 4 * exact_mm]
    return (float(at[passed[0], 0]), float(at[passed[0], 1])) if len(passed) else None


def close_group(
    edges: Lines,
    through: tuple[float, float] | None,
    drawn: Drawn,
    reading: Reading,
    joined: Joined,
) -> None:
    """Take a ring, or the faces of a tangle, whichever `edges` make."""
    if len(edges) == 1 and edges[0].is_closed:
        joined.rings.append(edges[0])
        joined.ring_of.append(drawn.on(edges[0]))
        return
    ends, degree = graph(edges)
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
    ends, degree = graph(edges)
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
