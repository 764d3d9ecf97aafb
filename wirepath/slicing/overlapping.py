"""Foam that several shells of a mesh hold at once, and so counts once."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.slicing.sections import section_cells

Floats = NDArray[np.float64]

SCANNED = 48
"""Level cuts that tell whether anything overlaps at all."""

SUMMED = 128
"""Bands of level cuts whose overlaps are summed, over the whole height."""

LEAST_SHARE = 1e-3
"""Less of the volume is let be: seams between lumps, folds that graze each other."""

LEVEL_MM = 1e-4
"""Faces no higher are level: areas of cuts may change at once there."""


def overlap_mm3(faces: Floats, volume_mm3: float) -> float:
    """Return how much of a closed mesh's own volume is counted more than once; 0 for next to none.

    The overlap of level cuts, summed over the height by Gauss's rule of two points in each band
    (exact for areas that grow as a cube of the height). Bands end at level faces.
    """
    low, high = float(faces[:, :, 2].min()), float(faces[:, :, 2].max())
    scan = np.linspace(low, high, SCANNED + 1)
    if not any(_overlap_mm2(faces, (a + b) / 2) for a, b in pairwise(scan)):
        return 0.0
    is_level = np.ptp(faces[:, :, 2], axis=1) < LEVEL_MM
    ends = np.unique(np.concatenate([[low, high], faces[is_level][:, :, 2].mean(axis=1)]))
    ends = ends[np.concatenate([[True], np.diff(ends) > LEVEL_MM])]
    found = 0.0
    for start, end in pairwise(ends):
        bands = np.linspace(start, end, math.ceil(SUMMED * (end - start) / (high - low)) + 1)
        for a, b in pairwise(bands):
            off = (b - a) / (2 * math.sqrt(3))
            middle = (a + b) / 2
            cuts = _overlap_mm2(faces, middle - off) + _overlap_mm2(faces, middle + off)
            found += cuts * (b - a) / 2
    return found if found > LEAST_SHARE * volume_mm3 else 0.0


def _overlap_mm2(faces: Floats, z: float) -> float:
    """Return the area by which shells overlap at a height: what two hold once, three twice."""
    near = faces[(faces[:, :, 2].min(axis=1) <= z) & (faces[:, :, 2].max(axis=1) >= z)]
    if not len(near):
        return 0.0
    # A cut through a corner does not close: beside it, it does.
    while (np.abs(near[:, :, 2] - z) < LEVEL_MM / 1e4).any():
        z += LEVEL_MM / 1e3
    cells, times = section_cells(near, z)
    return float((shapely.area(cells) * np.maximum(times - 1, 0)).sum())
