"""One form while pins are found for its seams, and what all pins keep to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.model import LaterWire, Piece, Pin
from wirepath.slicing import Core
from wirepath.workshop import Glue

SHORTER = (1.0, 0.75, 0.5)
"""Shares of a pin's length that are tried where foam is thin."""

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """One form while its pins are found."""

    pieces: Mapping[int, Piece]
    core: Core | None
    """None where nobody knows what of its foam stays: then it gets no pins."""
    later: Sequence[LaterWire]
    glue: Glue

    @property
    def around_mm(self) -> float:
        """From a pin's axis to where its cover ends."""
        return self.glue.pin_diameter_mm / 2 + self.glue.pin_cover_mm


def clear(site: Site, start: Floats, end: Floats, others: Floats) -> Flags:
    """Return which pins keep off later wires and other pins, (n,)."""
    fit = np.ones(len(start), dtype=np.bool_)
    for wire in site.later:
        view = np.array([wire.right, wire.up]).T
        least = site.glue.pin_clear_mm + site.glue.pin_diameter_mm / 2
        fit &= shapely.distance(segments(start @ view, end @ view), wire.lines) >= least
    if len(others):
        least = site.glue.pin_diameter_mm + site.glue.pin_cover_mm
        low, high = others[:, :, 2].min(axis=1), others[:, :, 2].max(axis=1)
        beside = (np.minimum(start[:, 2], end[:, 2])[:, None] < high + least) & (
            np.maximum(start[:, 2], end[:, 2])[:, None] > low - least
        )
        near = shapely.distance(
            segments(start, end)[:, None], segments(others[:, 0], others[:, 1])[None]
        )
        fit &= ~((near < least) & beside).any(axis=1)
    return fit


def segments(start: Floats, end: Floats) -> NDArray[np.object_]:
    """Return straight lines in plan between points (n, 2 or 3), (n,)."""
    return np.asarray(shapely.linestrings(np.stack([start[:, :2], end[:, :2]], axis=1)))


def pin(start: Floats, end: Floats, along_mm: float | None) -> Pin:
    """Return a pin that is not numbered yet and knows no seam."""
    first, last = ((float(x), float(y), float(z)) for x, y, z in (start, end))
    return Pin(number=0, seam=0, start=first, end=last, along_mm=along_mm)
