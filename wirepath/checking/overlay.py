"""What regions share, and what they lack of each other, on a fine grid.

Without a grid GEOS 3.14 may lose a whole region where edges lie within rounding of each
other, as those of pieces and their form do: a part of a triangle came out as sharing
nothing with it. On a grid its overlay is proof against that.
"""

from __future__ import annotations

from typing import Any

import shapely

GRID_MM = 1e-7
"""A tenth of `EXACT_MM`; numbers for 4 m hold steps a hundred thousand times as fine."""


def common(one: Any, other: Any) -> Any:
    """Return what two geometries share; arrays go pair by pair."""
    return shapely.intersection(one, other, grid_size=GRID_MM)


def lacking(one: Any, other: Any) -> Any:
    """Return what of `one` is not in `other`; arrays go pair by pair."""
    return shapely.difference(one, other, grid_size=GRID_MM)


def differing(one: Any, other: Any) -> Any:
    """Return what is in one of two geometries only; arrays go pair by pair."""
    return shapely.symmetric_difference(one, other, grid_size=GRID_MM)


def joined(regions: Any) -> Any:
    """Return all regions as one."""
    return shapely.union_all(regions, grid_size=GRID_MM)
