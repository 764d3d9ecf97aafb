"""Pieces laid one after the other, each as far left as it goes: quick, exact, never wrong."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Geometry, box

from wirepath import overlay
from wirepath.fitting import Room
from wirepath.nesting.nofit import no_fit
from wirepath.nesting.regions import Regions
from wirepath.nesting.shapes import shifted
from wirepath.nesting.solids import Solid
from wirepath.nesting.ways import ROUNDING_MM, SLACK_MM

MOST_TURNS = 8
"""Turns tried, quarter turns of the squared piece first: at any angle there are dozens."""


class Walls:
    """What is closed to pieces within the box round a face: beside the foam, and blocked."""

    def __init__(self, room: Room, regions: Regions) -> None:
        self._regions = regions
        self._closed: dict[int, Geometry] = {}
        region = shifted(room.region, -room.x_mm, -room.y_mm) if room.region is not None else None
        around = box(0.0, 0.0, room.width_mm, room.height_mm)
        walls = overlay.difference(around, region) if region is not None else box(0, 0, 0, 0)
        # A little less, so that what just fits is not lost to float dust.
        self._walls = Solid(outline=shapely.buffer(walls, -SLACK_MM, join_style="mitre"))

    def __call__(self, variant: int) -> Geometry:
        """Return where a variant's lower left corner may not stand."""
        if variant not in self._closed:
            one = self._regions.variants[variant]
            self._closed[variant] = (
                shapely.Point()
                if shapely.is_empty(self._walls.outline)
                else no_fit(self._walls, one, clearance_mm=0.0)
            )
        return self._closed[variant]


@dataclass(slots=True)
class Face:
    """A face that is being filled; 0, 0 is the lower left corner of what is usable."""

    regions: Regions
    width_mm: float
    height_mm: float
    upward: bool = False
    """Fill from the bottom up instead of from the left to the right."""
    walls: Walls | None = None
    most_turns: int = MOST_TURNS
    placed: list[tuple[int, int, float, float]] = field(default_factory=list)
    _full: set[int] = field(default_factory=set)
    """Kinds that found no room: they never will."""
    _free: dict[int, tuple[int, Geometry]] = field(default_factory=dict)

    def add(self, piece: int, kind: int) -> bool:
        """Lay the piece where its far edge is nearest to the start; False: no room."""
        if kind in self._full:
            return False
        best: tuple[float, float, float, int] | None = None
        fitting = [v for v in self.regions.of_kind[kind] if self._holds(v)]
        for variant in fitting[: self.most_turns]:
            one = self.regions.variants[variant]
            free = self._free_for(variant)
            if shapely.is_empty(free):
                continue
            spots = shapely.get_coordinates(free)
            along, across = spots.T[::-1] if self.upward else spots.T
            x, y = spots[np.lexsort((across, along.round(6)))[0]]
            x = min(max(float(x), 0.0), max(self.width_mm - one.width_mm, 0.0))
            y = min(max(float(y), 0.0), max(self.height_mm - one.height_mm, 0.0))
            reach = y + one.height_mm if self.upward else x + one.width_mm
            if best is None or round(reach, 6) < best[0]:
                best = (round(reach, 6), x, y, variant)
        if best is None:
            self._full.add(kind)
            return False
        _, x, y, variant = best
        self.placed.append((piece, variant, x, y))
        return True

    def _holds(self, variant: int) -> bool:
        """Whether the variant fits the face, were it empty."""
        one = self.regions.variants[variant]
        room = min(self.width_mm - one.width_mm, self.height_mm - one.height_mm)
        return room >= -ROUNDING_MM

    def _free_for(self, variant: int) -> Geometry:
        """Return where the variant's corner may stand, with all pieces laid so far."""
        one = self.regions.variants[variant]
        room_x, room_y = self.width_mm - one.width_mm, self.height_mm - one.height_mm
        seen, free = self._free.get(variant, (0, None))
        if free is None:
            free = box(-SLACK_MM, -SLACK_MM, max(room_x, 0) + SLACK_MM, max(room_y, 0) + SLACK_MM)
            if self.walls is not None:
                free = overlay.difference(free, self.walls(variant))
        news = self.placed[seen:]
        if news and not shapely.is_empty(free):
            taken = overlay.union(
                [shifted(self.regions(other, variant), x, y) for _, other, x, y in news]
            )
            free = overlay.difference(free, taken)
        self._free[variant] = (len(self.placed), free)
        return free
