"""Junctions: points in the waste where three links meet, shorter than two links in a row.

The shortest net that joins three points is a star whose arms meet at 120 degrees
(Fermat, Torricelli); over bodies, each arm ends at the body's nearest point. Two links
of the tree that share a body are exchanged for such a star wherever that is shorter
and the arms run through waste alone: the local step of Steiner tree heuristics.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, STRtree

Point = tuple[float, float]
Edge = tuple[int, int, Point, Point]
"""A link without direction: (a, b, point on a, point on b)."""

LEAST_GAIN_MM = 0.5
"""A junction makes the wire turn in the waste: for less it does not pay."""

ROUNDS = 8
"""Rounds of exchanges at most; three are seldom passed."""

SETTLING = 30
"""Steps in which a star's middle and the ends of its arms settle on each other."""

END_MM = 0.01
"""How much is left off an arm's end when it is asked whether it crosses anything."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Star:
    """Three arms from `middle` to `ends` on `bodies`, instead of the two links `replaced`."""

    gain_mm: float
    replaced: tuple[int, int]
    bodies: tuple[int, int, int]
    middle: Point
    ends: tuple[Point, Point, Point]

    def arms(self) -> list[LineString]:
        """Return the arms, the last `END_MM` at each body left off."""
        ends = np.array(self.ends)
        inward = np.array(self.middle) - ends
        lengths = np.hypot(*inward.T)[:, None]
        return [
            LineString([self.middle, end])
            for end in ends + inward * np.minimum(END_MM / np.maximum(lengths, END_MM), 1)
        ]


def with_junctions(
    edges: Sequence[Edge], bodies: Mapping[int, Geometry], first_junction: int
) -> list[Edge]:
    """Return the tree `edges` over `bodies`, shortened by junctions where that pays.

    Junctions are numbered downwards from `first_junction`. No arm crosses a body or
    another link.
    """
    tree = dict(enumerate(edges))
    known = dict(bodies)
    walls = STRtree(list(bodies.values()))
    for _ in range(ROUNDS):
        done: set[int] = set()
        for star in _stars(tree, known):
            if done & set(star.replaced):
                continue
            others = [link for key, link in tree.items() if key not in star.replaced]
            if not _is_clear(star, walls, others):
                continue
            done |= set(star.replaced)
            junction = first_junction - (len(known) - len(bodies))
            known[junction] = shapely.Point(star.middle)
            for key in star.replaced:
                del tree[key]
            for body, end in zip(star.bodies, star.ends, strict=True):
                tree[max(tree, default=0) + 1] = (body, junction, end, star.middle)
        if not done:
            break
    return list(tree.values())


def _stars(tree: Mapping[int, Edge], bodies: Mapping[int, Geometry]) -> list[_Star]:
    """Return the stars that would shorten the tree, the most gainful first."""
    at_body: dict[int, list[int]] = {}
    for key, (a, b, _, _) in tree.items():
        at_body.setdefault(a, []).append(key)
        at_body.setdefault(b, []).append(key)
    length = {key: float(np.hypot(*np.subtract(p, q))) for key, (_, _, p, q) in tree.items()}
    pairs: list[tuple[int, int]] = []
    triples: list[tuple[int, int, int]] = []
    for body, keys in sorted(at_body.items()):
        for one, other in combinations(keys, 2):
            # A star is at least half as long as the three sides it spans.
            if min(length[one], length[other]) > LEAST_GAIN_MM:
                pairs.append((one, other))
                triples.append((_far_end(tree[one], body), body, _far_end(tree[other], body)))
    if not pairs:
        return []
    shapes = np.array([[bodies[name] for name in triple] for triple in triples], dtype=object)
    today = np.array([length[one] + length[other] for one, other in pairs])
    # The distance of their bounding boxes rules most pairs out.
    low, high = np.split(shapely.bounds(shapes[:, ::2]), 2, axis=2)
    gaps = np.hypot(*np.maximum(np.maximum(low, low[:, ::-1]) - high, 0.0).max(axis=1).T)
    chosen = np.flatnonzero((today - gaps) / 2 > LEAST_GAIN_MM)
    away = shapely.distance(shapes[chosen, 0], shapes[chosen, 2])
    chosen = chosen[(today[chosen] - away) / 2 > LEAST_GAIN_MM]
    middles, ends = _settled(shapes[chosen], [tree[pairs[index][0]][2] for index in chosen])
    gains = today[chosen] - np.hypot(*np.moveaxis(ends - middles[:, None], 2, 0)).sum(axis=1)
    stars = [
        _Star(
            gain_mm=float(gain),
            replaced=pairs[index],
            bodies=triples[index],
            middle=_point(middle),
            ends=(_point(end[0]), _point(end[1]), _point(end[2])),
        )
        for index, gain, middle, end in zip(chosen, gains, middles, ends, strict=True)
        if gain > LEAST_GAIN_MM
    ]
    return sorted(stars, key=lambda star: (-round(star.gain_mm, 3), star.replaced))


def _far_end(edge: Edge, body: int) -> int:
    return edge[1] if edge[0] == body else edge[0]


def _point(xy: NDArray[np.float64]) -> Point:
    return float(xy[0]), float(xy[1])


def _settled(
    shapes: NDArray[np.object_], starts: Sequence[Point]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return middles (n, 2) and ends of arms (n, 3, 2) of the shortest stars over `shapes` (n, 3).

    Nearest points for a middle, then the Fermat point of those, again and again: every
    step shortens the star.
    """
    middles = np.array(starts, dtype=float).reshape(-1, 2)
    ends = np.repeat(middles[:, None], 3, axis=1)
    for _ in range(SETTLING):
        here = np.asarray(shapely.points(middles))
        ways = shapely.shortest_line(here[:, None], shapes)
        ends = shapely.get_coordinates(ways).reshape(-1, 3, 2, 2)[:, :, 1]
        middles = fermat_points(ends)
    return middles, ends


def fermat_points(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the points (n, 2) with the least sum of distances to three corners (n, 3, 2).

    The corner itself where its angle is 120 degrees or more, or where two corners meet.
    Else with barycentric weights a / sin(A + 60 degrees) (Kimberling, X(13)).
    """
    following, last = np.roll(corners, -1, axis=1), np.roll(corners, -2, axis=1)
    sides = np.hypot(*np.moveaxis(following - last, 2, 0))  # Opposite each corner.
    one, other = following - corners, last - corners
    dots = (one * other).sum(axis=2)
    crosses = np.abs(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])
    angles = np.arctan2(crosses, dots)
    angles[sides[:, [1, 2, 0]] * sides[:, [2, 0, 1]] < 1e-12] = np.pi
    widest = angles.argmax(axis=1)
    rows = np.arange(len(corners))
    at_corner = angles[rows, widest] >= np.pi * 2 / 3
    weights = sides / np.maximum(np.sin(angles + np.pi / 3), 1e-12)
    weights[at_corner] = 0
    weights[at_corner, widest[at_corner]] = 1
    shares = weights / weights.sum(axis=1)[:, None]
    found: NDArray[np.float64] = (corners * shares[..., None]).sum(axis=1)
    return found


def _is_clear(star: _Star, walls: STRtree, links: Sequence[Edge]) -> bool:
    """Return whether a star's arms cross no body and none of `links`."""
    arms = np.array(star.arms(), dtype=object)
    if walls.query(arms, predicate="intersects").size:
        return False
    if not links:
        return True
    ends = np.array([link[2:] for link in links])
    return not shapely.intersects(shapely.multilinestrings(list(ends)), arms).any()
