"""Invented reliefs to rough: heights as formulas, contours drawn from them, 25 mm apart.

Contours are exact on a 10 mm lattice; between two of them the surface is known, so a
test can look whether a cut ever goes below it.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from contourpy import contour_generator
from numpy.typing import NDArray
from shapely import Polygon

from wirepath.geometry import polygons
from wirepath.model import Contour

Floats = NDArray[np.float64]
Height = Callable[[Floats, Floats], Floats]


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """A relief by its height in mm over x, y in mm; nothing stands where it is 0 or less."""

    name: str
    width_mm: float
    height_mm: float
    peak_mm: float
    at: Height
    hollow: bool = False

    def contours(self, spacing_mm: float = 25.0, cell_mm: float = 10.0) -> tuple[Contour, ...]:
        xs = np.arange(-2 * cell_mm, self.width_mm + 2.5 * cell_mm, cell_mm)
        ys = np.arange(-2 * cell_mm, self.height_mm + 2.5 * cell_mm, cell_mm)
        x, y = np.meshgrid(xs, ys)
        lines = contour_generator(xs, ys, self.at(x, y), fill_type="OuterOffset")
        found = []
        for level in np.arange(0.0, self.peak_mm, spacing_mm):
            for points, offsets in zip(*lines.filled(max(level, 1e-6), 1e6), strict=True):
                rings = [points[a:b] for a, b in itertools.pairwise(offsets)]
                region = Polygon(rings[0], rings[1:]).buffer(0)
                for part in polygons(region):
                    if part.area > 400:
                        found.append(Contour(height_mm=float(level), region=part))
        return tuple(found)

    def outline(self, spacing_mm: float = 25.0) -> Polygon:
        ground = [c.region for c in self.contours(spacing_mm) if c.height_mm == 0]
        return max(polygons(shapely.union_all(ground)), key=lambda part: part.area)


def lump(x: Floats, y: Floats, cx: float, cy: float, a: float, b: float, peak: float) -> Floats:
    """Return half an ellipsoid's height; below 0 outside it, falling on."""
    rest = 1 - ((x - cx) / a) ** 2 - ((y - cy) / b) ** 2
    return np.where(rest > 0, peak * np.sqrt(np.maximum(rest, 0)), peak * rest)


def pear(x: Floats, y: Floats) -> Floats:
    return np.maximum(lump(x, y, 600, 700, 570, 640, 300), lump(x, y, 600, 1350, 300, 620, 220))


def shell(x: Floats, y: Floats) -> Floats:
    turn = np.arctan2(y - 100, x - 900)
    ribs = 12 * np.cos(16 * turn)
    return lump(x, y, 900, 500, 860, 470, 260) + np.where(y > 0, ribs, 0.0)


def fish(x: Floats, y: Floats) -> Floats:
    body = lump(x, y, 850, 420, 800, 380, 240)
    tail = lump(x, y, 1750, 420, 220, 360, 110)
    return np.maximum(body, tail)


def bowl(x: Floats, y: Floats) -> Floats:
    far = np.hypot((x - 800) / 780, (y - 700) / 680)
    return np.where(far < 1, 60 + 230 * np.sin(np.pi / 2 * np.clip(far / 0.8, 0, 1)) ** 4, 0) - (
        np.where(far > 0.8, 290 * ((far - 0.8) / 0.2) ** 2, 0)
    )


def wreath(x: Floats, y: Floats) -> Floats:
    """Return a thick wreath on a low plate: its middle lies far below the crown all round."""
    far = np.hypot(x - 900, (y - 600) * 1.45)
    tube = 260**2 - (far - 590) ** 2
    plate = np.where(far < 820, 50.0, -50.0)
    return np.maximum(plate, np.sqrt(np.maximum(tube, 0.0)))


RELIEFS = (
    Relief(name="pear", width_mm=1200, height_mm=2000, peak_mm=300, at=pear),
    Relief(name="shell", width_mm=1800, height_mm=1000, peak_mm=275, at=shell),
    Relief(name="fish", width_mm=2000, height_mm=850, peak_mm=240, at=fish),
    Relief(name="bowl", width_mm=1600, height_mm=1400, peak_mm=300, at=bowl, hollow=True),
    Relief(name="wreath", width_mm=1800, height_mm=1200, peak_mm=265, at=wreath, hollow=True),
)
