"""Which marks of a drawing say what about which pair of faces."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence

from shapely import Point as Place
from shapely import Polygon

from wirepath.errors import Fault
from wirepath.model import Mark

Point = tuple[float, float]
Faces = tuple[Polygon, Polygon]
"""Near and far face, as drawn."""

REACH_SHARE = 0.2
"""A mark stands no further from the face it belongs to than this share of its diagonal."""


def shared_out(
    marks: Sequence[Mark], faces: Sequence[Faces]
) -> tuple[list[list[tuple[Point, Point]]], list[Fault]]:
    """Return each pair of faces' marks as pairs of places, near then far; and all faults.

    A line's ends, and the two places of a text, go to near and far whichever way they
    lie closer. A mark belongs to the faces it stands nearest to.
    """
    found: list[list[tuple[Point, Point]]] = [[] for _ in faces]
    texts: dict[tuple[int, str], list[Point]] = defaultdict(list)
    faults: list[Fault] = []
    for mark in marks:
        owner = _owner(mark, faces)
        if owner is None:
            faults.append(
                Fault(
                    f"the mark {mark.text!r} stands at no face" if mark.text
                    else "a mark's line stands at no face",
                    _near(mark.at),
                    "set it nearer to the corner it means, or take it off the mark layer",
                )
            )  # fmt: skip
        elif mark.to is not None:
            found[owner].append(_the_right_way(mark.at, mark.to, faces[owner]))
        else:
            texts[owner, mark.text].append(mark.at)
    for (owner, text), places in texts.items():
        if len(places) == 2:
            found[owner].append(_the_right_way(places[0], places[1], faces[owner]))
        else:
            faults.append(
                Fault(
                    f"the mark {text!r} stands {len(places)} times at these faces, not twice",
                    _near(places[0]),
                    "set it once at a corner of the near face and once at its partner",
                )
            )
    return found, faults


def _near(at: Point) -> str:
    return f"near x {at[0]:.1f}, y {at[1]:.1f} mm"


def _the_right_way(one: Point, other: Point, faces: Faces) -> tuple[Point, Point]:
    def off(near: Point, far: Point) -> float:
        return sum(
            min(math.dist(place, corner) for corner in face.exterior.coords)
            for place, face in zip((near, far), faces, strict=True)
        )

    return (one, other) if off(one, other) <= off(other, one) else (other, one)


def _owner(mark: Mark, faces: Sequence[Faces]) -> int | None:
    """Return which pair of faces a mark stands nearest to; None where it reaches none."""
    return min(_within_reach(mark, faces), default=(0.0, None))[1]


def _within_reach(mark: Mark, faces: Sequence[Faces]) -> Iterator[tuple[float, int]]:
    for index, pair in enumerate(faces):
        ends = [Place(mark.at)] + ([Place(mark.to)] if mark.to is not None else [])
        off = max(min(face.exterior.distance(end) for face in pair) for end in ends)
        reach = REACH_SHARE * max(math.dist(face.bounds[:2], face.bounds[2:]) for face in pair)
        if off <= reach:
            yield off, index
