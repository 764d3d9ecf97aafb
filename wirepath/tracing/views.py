"""Outlines of one form from the front, the side and above, put into one frame.

They are drawn apart, at one scale. The side outline is as high as the front one, the top
outline as wide, and both are as deep as each other; which way the front looks in them is
asked, never guessed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from wirepath.model import Note, Outline, Reading, View
from wirepath.tracing.faults import Flaw
from wirepath.units import told_apart

ALIKE = 0.02
"""Sizes that must agree may differ by this share and are made alike (common practice, no
source: a slip of a drawn line); more is another scale, or another form."""

TOLD_MM = 1.0
"""Differences under this are not told."""


@dataclass(slots=True)
class Views:
    """The views of all forms, and what is to be said of them."""

    views: list[View] = field(default_factory=list)
    flaws: list[Flaw] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)


def aligned(
    fronts: Sequence[Outline], sides: Sequence[Outline], tops: Sequence[Outline], reading: Reading
) -> Views:
    """Return the views of each form: front in x and y, side in z and y, top in x and z."""
    found = Views(flaws=list(_unasked(reading)))
    if found.flaws:
        return found
    for front in fronts:
        side = _own(front, sides, fronts, "side", found) if reading.side_layers else None
        top = _own(front, tops, fronts, "top", found) if reading.top_layers else None
        x, y, east, north = front.polygon.bounds
        found.views.append(View(form=front.name, seen="front", region=front.polygon))
        depth = None
        if side is not None:
            u0, v0, u1, v1 = side.polygon.bounds
            depth = u1 - u0
            grow = _alike(side, "high", v1 - v0, north - y, front.name, found)
            back, out = (u0, 1.0) if reading.side_front == "right" else (u1, -1.0)
            region = _moved(side.polygon, (back, v0), (out, grow), (0.0, y))
            found.views.append(View(form=front.name, seen="side", region=region))
        if top is not None:
            u0, v0, u1, v1 = top.polygon.bounds
            grow = _alike(top, "wide", u1 - u0, east - x, front.name, found)
            deep = _alike(top, "deep", v1 - v0, depth, front.name, found) if depth else 1.0
            back, out = (v0, deep) if reading.top_front == "top" else (v1, -deep)
            region = _moved(top.polygon, (u0, back), (grow, out), (x, 0.0))
            found.views.append(View(form=front.name, seen="top", region=region))
    return found


def _unasked(reading: Reading) -> list[Flaw]:
    return [
        Flaw(
            what=f"a {name} outline is read, but not where the front is in it",
            where=f"read.{name}_front",
            mend=" or ".join(f"write {name}_front = {way!r}" for way in ways),
        )
        for name, layers, front, ways in (
            ("side", reading.side_layers, reading.side_front, ("left", "right")),
            ("top", reading.top_layers, reading.top_front, ("bottom", "top")),
        )
        if layers and front is None
    ]


def _own(
    front: Outline,
    others: Sequence[Outline],
    fronts: Sequence[Outline],
    which: str,
    found: Views,
) -> Outline | None:
    """Return the outline that shows the same form: of its name, or the only one of an only form."""
    named = [one for one in others if one.name == front.name]
    own = named or (list(others) if len(fronts) == 1 else [])
    if len(own) == 1:
        return own[0]
    found.flaws.append(
        Flaw(
            what=f"{front.name!r} has {len(own) or 'no'} {which} outline{'s'[: len(own) != 1]}",
            where=f"read.{which}_layers",
            mend="draw one, closed; with several forms write each one's name in its outlines",
        )
    )
    return None


def _alike(
    other: Outline, word: str, size_mm: float, wanted_mm: float, form: str, found: Views
) -> float:
    """Return what an outline must be stretched by to be as high, wide or deep as wanted."""
    share = wanted_mm / size_mm
    if abs(share - 1) > ALIKE:
        x, y = other.polygon.bounds[:2]
        found.flaws.append(
            Flaw(
                what=f"an outline of {form!r} is {told_apart(size_mm, wanted_mm)} mm {word}, "
                f"another one shows {told_apart(wanted_mm, size_mm)} mm",
                at=(x, y),
                mend="draw all outlines of a form at one scale",
            )
        )
    elif abs(wanted_mm - size_mm) > TOLD_MM:
        found.notes.append(
            Note(
                kind="repair",
                text=f"an outline of {form!r} was {size_mm:.1f} mm {word} and is made "
                f"{wanted_mm:.1f} mm, as the other one shows",
            )
        )
    return share


def _moved(
    polygon: Polygon,
    start: tuple[float, float],
    grow: tuple[float, float],
    place: tuple[float, float],
) -> Polygon:
    """Return a polygon stretched from `start`, which then lies at `place`."""

    def moved(points: NDArray[np.float64]) -> NDArray[np.float64]:
        placed: NDArray[np.float64] = (points - start) * np.array(grow) + place
        return placed

    return shapely.orient_polygons(shapely.transform(polygon, moved))
