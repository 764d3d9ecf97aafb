"""Pieces laid one after the other, each as far left as it goes: quick, exact, never wrong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Geometry, box

from wirepath.model import Piece, Placement
from wirepath.nesting.nofit import no_fit
from wirepath.nesting.shapes import Variant, shifted, variants
from wirepath.nesting.ways import ROUNDING_MM

SLACK_MM = ROUNDING_MM / 10
"""Given to every gap so that pieces that fit exactly are not lost to float dust."""


class Shapes:
    """Variants and no-fit regions of a set of pieces; copies share them. Filled as asked."""

    def __init__(
        self, pieces: Sequence[Piece], *, clearance_mm: float, simplify_mm: float = 0.0
    ) -> None:
        self.clearance_mm = clearance_mm
        kinds: dict[tuple[bytes, str, bool], int] = {}
        self.kind: dict[int, int] = {}
        self.variants: list[list[Variant]] = []
        for piece in pieces:
            key = (piece.outline.normalize().wkb, piece.turning, piece.flip)
            if key not in kinds:
                kinds[key] = len(self.variants)
                self.variants.append(variants(piece, simplify_mm=simplify_mm))
            self.kind[piece.number] = kinds[key]
        self._regions: dict[tuple[int, int], Geometry] = {}

    def of(self, piece: int) -> list[Variant]:
        """Return the variants of the piece with this number."""
        return self.variants[self.kind[piece]]

    def no_fit(self, fixed: Variant, moving: Variant) -> Geometry:
        """Return where `moving` may not be, `fixed` standing at 0, 0."""
        key = (id(fixed), id(moving))
        if key not in self._regions:
            self._regions[key] = no_fit(
                fixed.parts, moving.parts, clearance_mm=self.clearance_mm - SLACK_MM
            )
        return self._regions[key]


@dataclass(slots=True)
class Face:
    """A face that is being filled; 0, 0 is the lower left corner of what is usable."""

    shapes: Shapes
    width_mm: float
    height_mm: float
    upward: bool = False
    """Fill from the bottom up instead of from the left to the right."""
    placed: list[tuple[int, Variant, float, float]] = field(default_factory=list)
    _free: dict[int, tuple[int, Geometry]] = field(default_factory=dict)

    def add(self, piece: int) -> bool:
        """Lay the piece where its far edge is nearest to the start; False: no room."""
        best: tuple[float, float, float, Variant] | None = None
        for variant in self.shapes.of(piece):
            free = self._free_for(variant)
            if shapely.is_empty(free):
                continue
            spots = shapely.get_coordinates(free)
            along, across = spots.T[::-1] if self.upward else spots.T
            x, y = spots[np.lexsort((across, along.round(6)))[0]]
            x = min(max(float(x), 0.0), max(self.width_mm - variant.width_mm, 0.0))
            y = min(max(float(y), 0.0), max(self.height_mm - variant.height_mm, 0.0))
            reach = y + variant.height_mm if self.upward else x + variant.width_mm
            if best is None or round(reach, 6) < best[0]:
                best = (round(reach, 6), x, y, variant)
        if best is None:
            return False
        _, x, y, variant = best
        self.placed.append((piece, variant, x, y))
        return True

    def placements(self, trim_mm: float) -> tuple[Placement, ...]:
        """Return the placements, measured from the datum corner of the face as bought."""
        return tuple(
            variant.placement(piece, x + trim_mm, y + trim_mm)
            for piece, variant, x, y in self.placed
        )

    def _free_for(self, variant: Variant) -> Geometry:
        """Return where the variant's corner may stand, with all pieces laid so far."""
        room_x = self.width_mm - variant.width_mm
        room_y = self.height_mm - variant.height_mm
        if min(room_x, room_y) < -ROUNDING_MM:
            return shapely.Polygon()
        seen, free = self._free.get(id(variant), (0, None))
        if free is None:
            free = box(-SLACK_MM, -SLACK_MM, max(room_x, 0) + SLACK_MM, max(room_y, 0) + SLACK_MM)
        news = self.placed[seen:]
        if news and not shapely.is_empty(free):
            taken = shapely.union_all(
                [shifted(self.shapes.no_fit(other, variant), x, y) for _, other, x, y in news]
            )
            free = shapely.difference(free, taken)
        self._free[id(variant)] = (len(self.placed), free)
        return free
