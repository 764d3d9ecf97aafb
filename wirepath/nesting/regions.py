"""No-fit regions of every pair of variants, worked out when first asked for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely import Geometry
from shapely.affinity import affine_transform

from wirepath.geometry import turn_matrix
from wirepath.nesting.cache import Cache
from wirepath.nesting.minkowski import work
from wirepath.nesting.nofit import no_fit
from wirepath.nesting.shapes import Variant, shifted, turned_on

MOST_REGION_BYTES = 2**27
"""Most memory for regions as placed, and as much again for those between pairs of kinds."""

CORNER_BYTES, REGION_BYTES = 16, 500
"""Memory of a corner, and of a region besides: a guess at what the geometry library keeps."""


Key = tuple[int, int, bool, bool, float]
"""Two kinds, which of them are flipped, and by how much the second is turned from the first."""


class Regions:
    """Variants, numbered through all kinds of piece, and where they may not stand.

    `of_kind[k]` are the numbers of kind k's variants, `kind_of[v]` is the way back.
    """

    def __init__(self, kinds: Sequence[Sequence[Variant]], *, clearance_mm: float) -> None:
        self.clearance_mm = clearance_mm
        self.variants: list[Variant] = [one for kind in kinds for one in kind]
        ends = np.cumsum([len(kind) for kind in kinds]).tolist()
        self.of_kind = [
            list(range(end - len(kind), end)) for end, kind in zip(ends, kinds, strict=True)
        ]
        self.kind_of = [number for number, kind in enumerate(kinds) for _ in kind]
        self.work = 0
        """What went into regions made so far, in Minkowski sums of convex parts."""
        self._placed: Cache[tuple[int, int], Geometry] = Cache(MOST_REGION_BYTES)
        self._between: Cache[Key, Geometry] = Cache(MOST_REGION_BYTES)

    def turned(self, variant: int, by_deg: float) -> int:
        """Return the number of a variant turned on: a new one, that `of_kind` does not list.

        It lies at a whole thousandth of a degree: 0.01 mm at half a metre, easily read.
        """
        one = self.variants[variant]
        angle = round(one.turn.angle_deg + by_deg, 3)
        if angle == one.turn.angle_deg:
            return variant
        self.variants.append(turned_on(one, angle - one.turn.angle_deg))
        self.kind_of.append(self.kind_of[variant])
        return len(self.variants) - 1

    def __call__(self, fixed: int, moving: int) -> Geometry:
        """Return where `moving` may not be, `fixed` standing at 0, 0. Pairs turned alike share."""
        placed = self._placed.get((fixed, moving))
        if placed is None:
            placed = self._made(fixed, moving)
            self._placed.put((fixed, moving), placed, _bytes(placed))
        return placed

    def work_due(self, pairs: Iterable[tuple[int, int]]) -> int:
        """Return about the work that the regions of `pairs` take, known ones none."""
        due: dict[Key, tuple[int, int]] = {}
        for fixed, moving in pairs:
            key, back = self._key(fixed, moving), self._key(moving, fixed)
            due[min(key, back)] = (fixed, moving) if key <= back else (moving, fixed)
        return sum(
            work(self.variants[fixed], self.variants[moving])
            for key, (fixed, moving) in due.items()
            if key not in self._between
        )

    def _key(self, fixed: int, moving: int) -> Key:
        """Return what pairs have alike that share a region."""
        one, other = self.variants[fixed].turn, self.variants[moving].turn
        between = round((other.angle_deg - one.angle_deg) % 360.0, 6)
        return self.kind_of[fixed], self.kind_of[moving], one.flipped, other.flipped, between

    def _made(self, fixed: int, moving: int) -> Geometry:
        one, other = self.variants[fixed], self.variants[moving]
        angle = one.turn.angle_deg
        key = self._key(fixed, moving)
        if self._key(moving, fixed) < key:
            # Seen from the other piece all is mirrored through 0, 0.
            return shapely.transform(self(moving, fixed), np.negative)
        # Kept as seen with `fixed` turned by 0, between the pieces' own origins.
        apart = np.array(other.shift) - np.array(one.shift)
        found = self._between.get(key)
        if found is None:
            self.work += work(one, other)
            region = no_fit(one, other, clearance_mm=self.clearance_mm)
            a, b, d, e = turn_matrix(-angle)
            found = affine_transform(shifted(region, *apart), (a, b, d, e, 0, 0))
            self._between.put(key, found, _bytes(found))
        a, b, d, e = turn_matrix(angle)
        return shifted(affine_transform(found, (a, b, d, e, 0, 0)), *-apart)


def _bytes(region: Geometry) -> int:
    return CORNER_BYTES * int(shapely.get_num_coordinates(region)) + REGION_BYTES
