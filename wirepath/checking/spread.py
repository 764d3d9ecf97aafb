"""Points spread evenly in a box, to measure a volume by how many of them lie in it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

BASES = (2, 3, 5)


@lru_cache(maxsize=4)
def spread_points(count: int) -> NDArray[np.float64]:
    """Return `count` points in the unit cube, (count, 3), the same ones every time.

    Halton's sequence (Numerische Mathematik 2, 1960, 84-90): along each axis the digits of
    1, 2, 3 ... to a prime base, mirrored at the point. Its share in any box errs by some
    (log n)^3 / n; multiples of irrational numbers do worse wherever these are nearly
    commensurable: those of the root of x^4 = x + 1 put 60,000 points on 35 planes.
    """
    points = np.zeros((count, len(BASES)))
    for axis, base in enumerate(BASES):
        rest, share = np.arange(1, count + 1), 1.0
        while rest.any():
            share /= base
            rest, digit = np.divmod(rest, base)
            points[:, axis] += digit * share
    points.flags.writeable = False
    return points
