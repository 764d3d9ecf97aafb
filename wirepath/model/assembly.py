"""Seams, marks, pins, glue-up and loads: how pieces become one form again."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import shapely
from shapely import Geometry, LineString, MultiLineString, Polygon

from wirepath import overlay


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueStrip:
    """A stretch of an edge seam, seen from the front, glued between two heights only."""

    line: LineString
    from_mm: float
    to_mm: float

    @property
    def area_mm2(self) -> float:
        """The area to glue."""
        return float(self.line.length) * (self.to_mm - self.from_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """Where two pieces of a form are glued together, by their numbers.

    An edge seam stands square to the back: `place` is its line seen from the front,
    `from_mm` to `to_mm` its heights above the form's back. A layer seam lies parallel
    to the back, at `from_mm` = `to_mm`: `place` is its area. `dry` is what of it gets no
    glue, as the wire still has to come by. `strips` are all that is glued of an edge seam
    whose form is roughed once it is glued: over its length the wire comes down to many
    heights. None where no such cut is made: then it is glued over its whole height.
    """

    pieces: tuple[int, int]
    kind: Literal["edge", "layer"]
    place: Geometry
    from_mm: float
    to_mm: float
    dry: Geometry = field(default_factory=Polygon)
    strips: tuple[GlueStrip, ...] | None = None

    @property
    def glued(self) -> Geometry:
        """What of `place` is glued, at any height."""
        if self.strips is not None:
            return MultiLineString([strip.line for strip in self.strips])
        found: Geometry = overlay.difference(self.place, self.dry)
        return found

    @property
    def length_mm(self) -> float:
        """Length of an edge seam as seen from the front; nought of a layer's."""
        return float(shapely.length(self.place)) if self.kind == "edge" else 0.0

    @property
    def area_mm2(self) -> float:
        """The area to glue."""
        if self.kind == "layer":
            return float(shapely.area(self.place) - shapely.area(self.dry))
        if self.strips is not None:
            return sum(strip.area_mm2 for strip in self.strips)
        length = shapely.length(self.place) - shapely.length(self.dry)
        return float(length) * (self.to_mm - self.from_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamMark:
    """A short line across a seam, drawn on both pieces so that they meet in one place.

    `seam` is the seam's place among the plan's, from 1. `at` stands in the drawing's
    frame, the line runs along `across_deg` there, counter-clockwise from x. An edge
    seam's mark lies `along_mm` from its left or, where it rises, lower end (`geometry.
    seam_line`); a layer seam's lies on the rim of its area and has no `along_mm`.
    """

    seam: int
    at: tuple[float, float]
    across_deg: float
    along_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A wooden dowel through a seam, half in each piece, from `start` to `end`.

    Both in the form's frame: x and y as drawn, z above the form's back. `along_mm` as
    in `SeamMark`.
    """

    number: int
    seam: int
    start: tuple[float, float, float]
    end: tuple[float, float, float]
    along_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LaterWire:
    """Where a wire will cut a form after it is glued, seen along the wire.

    A point p of the form's frame is seen at (p . right, p . up); `lines` are the wire's
    centre there. The wire square to the back is seen in the form's own x and y. What is
    not seen within `kept` comes off with the cut; None where that is of no concern.
    """

    lines: Geometry
    kept: Geometry | None = None
    right: tuple[float, float, float] = (1.0, 0.0, 0.0)
    up: tuple[float, float, float] = (0.0, 1.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueStep:
    """One joint made: the lump of pieces `moved` is glued to the lump `onto`."""

    number: int
    form: str
    moved: tuple[int, ...]
    onto: tuple[int, ...]
    seams: tuple[int, ...]
    """All seams between the two, by their place among the plan's, from 1."""
    place: Literal["workshop", "site"] = "workshop"
    """Whether it is made before or after the way in the van."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """How the pieces of parted forms are put together again."""

    steps: tuple[GlueStep, ...] = ()
    """In the order of work."""
    marks: tuple[SeamMark, ...] = ()
    pins: tuple[Pin, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadItem:
    """A piece, or pieces glued together, as a box in the van.

    The box's corner nearest to bulkhead, left side and floor stands at `x_mm` from the
    bulkhead, `y_mm` from the left side and `z_mm` over the floor; the sizes run likewise.
    It is the box around the pieces turned by `turn_deg`, laid on whichever side it lies.
    """

    pieces: tuple[int, ...]
    x_mm: float
    y_mm: float
    z_mm: float
    length_mm: float
    width_mm: float
    height_mm: float
    turn_deg: float
    weight_kg: float

    @property
    def volume_mm3(self) -> float:
        """Of the box."""
        return self.length_mm * self.width_mm * self.height_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One way of the van: what goes in, in the order of loading; the last comes out first."""

    number: int
    items: tuple[LoadItem, ...]

    @property
    def weight_kg(self) -> float:
        """Weight of all that is in it."""
        return sum(item.weight_kg for item in self.items)
