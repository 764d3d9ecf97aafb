"""Promise 2, of waste beside links: none stands so thin that it breaks, or the sheets say so.

Each entry and link is walked in steps of a millimetre. At each, the way square to it, to
either side, meets a slot or the edge of the foam: what stands up to there must be as wide
as the web that the workshop asks for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree

from wirepath.checking.finding import FLAKE_MM, Finding, found, place_of
from wirepath.checking.scene import Scene, lines_of
from wirepath.errors import Fault

ENDS = 1.5
"""Nearer to a link's ends than this, in kerfs and webs, its own two lines stand beside it."""

LEAST_WEBS = 2.0
"""A thin strip is longer than so many webs; shorter ones are corners, which do not break off."""

SLACK_MM = 4.0
"""How much longer before a strip that is not told is a fault: it is looked for in steps."""

BESIDE = 0.87
"""Cosine of the angle between a link and an edge of the foam up to which it runs beside it."""


def check_thin(scenes: Sequence[Scene], web_mm: float) -> Finding:
    """Return whether waste beside entries and links is `web_mm` wide, where nothing is told."""
    faults: list[Fault] = []
    count = told = 0
    for scene in scenes:
        if not scene.is_first:
            continue
        told += len(scene.layout.thin_waste)
        spots = shapely.points(np.array(scene.layout.thin_waste, dtype=float).reshape(-1, 2))
        walls = STRtree(lines_of(tuple(m for m in scene.moves if m.kind in ("outline", "hole"))))
        for move in scene.moves:
            if move.kind not in ("entry", "link") or web_mm <= 0:
                continue
            count += 1
            thin = np.concatenate(
                list(_thin(scene, shapely.get_coordinates(move.line), walls, web_mm))
            )
            if len(thin) <= LEAST_WEBS * web_mm + SLACK_MM:
                continue
            if not shapely.dwithin(move.line, spots, FLAKE_MM).any():
                x, y = thin[len(thin) // 2]
                what = f"thin waste stands {len(thin)} mm along a cut through waste, not told"
                faults.append(Fault(what, place_of(scene.layout.number, at=(float(x), float(y)))))
    return found(
        2,
        "Waste beside links is thick enough",
        f"{count} entries and links; {told} places with thinner waste are told",
        faults,
    )


def _thin(
    scene: Scene, points: NDArray[np.float64], walls: STRtree, web_mm: float
) -> Iterator[NDArray[np.float64]]:
    """Give the places, each standing for 1 mm, (n, 2), beside which thin waste stands."""
    kerf = 2 * scene.half_kerf_mm
    edge = shapely.boundary(scene.face)
    for start, end in pairwise(points):
        length = float(np.hypot(*(end - start)))
        along = np.arange(0.5, length, 1.0)
        at = start + (end - start) * (along / max(length, FLAKE_MM))[:, None]
        inner = np.minimum(along, length - along) > ENDS * (kerf + web_mm)
        thin = np.zeros(len(at), dtype=bool)
        if inner.any():
            near = walls.query_nearest(
                shapely.points(at[inner]),
                max_distance=kerf + web_mm - FLAKE_MM,
                return_distance=True,
                all_matches=False,
            )
            thin[np.flatnonzero(inner)[near[0][0]]] = near[1] > kerf + 2 * FLAKE_MM
        if len(at):
            feet = shapely.get_coordinates(shapely.shortest_line(shapely.points(at), edge)).reshape(
                -1, 2, 2
            )
            off = feet[:, 1] - feet[:, 0]
            far = np.hypot(*off.T)
            square = np.abs(off @ (end - start)) < (1 - BESIDE**2) ** 0.5 * far * length
            standing = far - scene.half_kerf_mm
            inside = shapely.contains(scene.face, shapely.points(at))
            thin |= square & inside & (standing > 2 * FLAKE_MM) & (standing < web_mm - FLAKE_MM)
        yield at[thin]
