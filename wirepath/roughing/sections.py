"""What cuts leave standing, section by section: litres, heights, the map of what is to carve."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon

from wirepath.geometry import polygons
from wirepath.model import Blank, DepthMap, Level, WireDirection
from wirepath.roughing.directions import section
from wirepath.roughing.grid import raster
from wirepath.roughing.stack import SLICE_MM, foam_at, slices

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Blade:
    """What one cut leaves: the foam seen along the wire within `kept`, kerf taken off.

    With `ruled`, each pair is a polygon at the blank's back and one at its front, and the
    section changes evenly from one to the other, corner for corner; `kept` is not used then.
    """

    direction: WireDirection
    kept: Geometry
    ruled: tuple[tuple[Polygon, Polygon], ...] = ()
    half_kerf_mm: float = 0.0


def blade(direction: WireDirection, kept: Sequence[Polygon], kerf_mm: float) -> Blade:
    """Return what the wire's slot leaves of the inside of its centre's way."""
    inner = shapely.buffer(shapely.union_all(list(kept)), -kerf_mm / 2, join_style="mitre")
    return Blade(direction=direction, kept=inner)


def left_at(blank: Blank, blades: Sequence[Blade], z_mm: float) -> list[Geometry]:
    """Return what stands at a height before the first cut and after each, (1 + n,)."""
    standing: list[Geometry] = [foam_at(blank, z_mm)]
    for one in blades:
        kept = _kept_at(blank, one, z_mm)
        standing.append(shapely.intersection(standing[-1], kept))
    return standing


def volumes_mm3(blank: Blank, blades: Sequence[Blade], *, slice_mm: float = SLICE_MM) -> Floats:
    """Return what is left of the blank before the first cut and after each, (1 + n,), mm3."""
    found = np.zeros(1 + len(blades))
    for low, high in itertools.pairwise(_ledges(blank, blades)):
        heights, step = slices(low, high, slice_mm)
        for z in heights:
            found += step * shapely.area(left_at(blank, blades, float(z)))
    return found


def _ledges(blank: Blank, blades: Sequence[Blade]) -> list[float]:
    """Return the heights where the section may jump, back and front among them: where foam
    begins or ends, and where a wire in the plane of the face runs level, or nearly so."""
    low, high = blank.from_mm, blank.from_mm + blank.thickness_mm
    found = {low, high}
    for prism in blank.foam:
        found |= {z for z in (prism.from_mm, prism.to_mm) if low < z < high}
    for one in blades:
        if one.direction.up != (0.0, 0.0, 1.0):
            continue
        for part in polygons(one.kept):
            points = shapely.get_coordinates(part.exterior)
            run, rise = np.abs(np.diff(points, axis=0)).T
            level = (run > 20) & (rise < 0.25 * run) & (rise < 2 * SLICE_MM)
            heights = np.concatenate([points[:-1][level, 1], points[1:][level, 1]])
            found |= {float(z) for z in heights.round(2) if low < z < high}
    return sorted(found)


def top_map(
    blank: Blank, blades: Sequence[Blade], xs: Floats, ys: Floats, *, slice_mm: float = SLICE_MM
) -> Floats:
    """Return how high foam stands at each place, (ny, nx), mm; nan where none is left.

    Good to half a slice, upwards.
    """
    heights, step = slices(blank.from_mm, blank.from_mm + blank.thickness_mm, slice_mm)
    tops = np.full((len(ys), len(xs)), np.nan)
    for z in heights:
        tops[raster(left_at(blank, blades, float(z))[-1], xs, ys)] = z + step / 2
    return tops


def depth_map(
    levels: Sequence[Level], standing: Sequence[tuple[Blank, Sequence[Blade]]], cell_mm: float
) -> DepthMap:
    """Return how deep the carver has to go at each place: foam's top less the lowest the form
    may be. There the contours allow the form to lie anywhere down to the level below.
    """
    x0 = min(blank.x_mm for blank, _ in standing)
    y0 = min(blank.y_mm for blank, _ in standing)
    x1 = max(blank.x_mm + blank.width_mm for blank, _ in standing)
    y1 = max(blank.y_mm + blank.height_mm for blank, _ in standing)
    xs = np.arange(x0 + cell_mm / 2, x1, cell_mm)
    ys = np.arange(y0 + cell_mm / 2, y1, cell_mm)
    foam = np.full((len(ys), len(xs)), np.nan)
    for blank, blades in standing:
        foam = np.fmax(foam, top_map(blank, blades, xs, ys))
    lowest = np.zeros((len(ys), len(xs)))
    for level in levels:
        lowest[raster(level.region, xs, ys)] = level.from_mm
    depth = np.where(np.isnan(foam), -1.0, np.maximum(foam - lowest, 0.0))
    return DepthMap(
        x_mm=float(x0),
        y_mm=float(y0),
        cell_mm=cell_mm,
        rows=tuple(tuple(float(round(value, 1)) for value in row) for row in depth),
    )


def _kept_at(blank: Blank, one: Blade, z_mm: float) -> Geometry:
    if not one.ruled:
        return section(one.kept, one.direction, z_mm)
    share = (z_mm - blank.from_mm) / blank.thickness_mm
    found = shapely.union_all([between(lower, upper, share) for lower, upper in one.ruled])
    return shapely.buffer(found, -one.half_kerf_mm, join_style="mitre")


def between(lower: Polygon, upper: Polygon, share: float) -> Polygon:
    """Return the polygon whose corners have gone `share` of the way from `lower` to `upper`.

    Holes go from hole to hole, in their order.
    """
    rings = [
        shapely.get_coordinates(a) * (1 - share) + shapely.get_coordinates(b) * share
        for a, b in zip(
            (lower.exterior, *lower.interiors), (upper.exterior, *upper.interiors), strict=True
        )
    ]
    found = Polygon(rings[0], rings[1:])
    return found if found.is_valid else found.buffer(0)
