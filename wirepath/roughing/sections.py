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
from wirepath.roughing.directions import FLAT, across, sections, spans
from wirepath.roughing.grid import raster, rasters
from wirepath.roughing.stack import SLICE_MM, foam_at, slices

Floats = NDArray[np.float64]
Geometries = NDArray[np.object_]


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


def left_at(blank: Blank, blades: Sequence[Blade], heights: Floats) -> Geometries:
    """Return what stands at each height (n,) before the first cut and after each, (1 + cuts, n)."""
    standing = [foam_at(blank, heights)]
    for one in blades:
        kept = _kept_at(blank, one, heights)
        standing.append(np.asarray(shapely.intersection(standing[-1], kept)))
    return np.stack(standing)


def cells_left(
    blank: Blank, blades: Sequence[Blade], xs: Floats, ys: Floats, zs: Floats
) -> NDArray[np.bool_]:
    """Return which places of a lattice stand before the first cut and after each,
    (1 + cuts, nz, ny, nx)."""
    standing = [rasters(foam_at(blank, zs), xs, ys)]
    for one in blades:
        if one.ruled or abs(one.direction.wire[2]) >= FLAT:
            kept = rasters(_kept_at(blank, one, zs), xs, ys)
        else:
            kept = np.zeros_like(standing[0])
            places = across(one.direction, xs, ys)
            for k, (start, end) in zip(*spans(one.kept, one.direction, zs), strict=True):
                kept[k] |= (places >= start) & (places < end)
        standing.append(standing[-1] & kept)
    return np.stack(standing)


def volumes_mm3(blank: Blank, blades: Sequence[Blade], *, slice_mm: float = SLICE_MM) -> Floats:
    """Return what is left of the blank before the first cut and after each, (1 + n,), mm3."""
    between = [slices(*ends, slice_mm) for ends in itertools.pairwise(_ledges(blank, blades))]
    heights = np.concatenate([middles for middles, _ in between])
    steps = np.concatenate([np.full(len(middles), step) for middles, step in between])
    areas = np.asarray(shapely.area(left_at(blank, blades, heights)))
    found = np.zeros(1 + len(blades))
    for volumes in (areas * steps).T:
        found += volumes
    return found


def _ledges(blank: Blank, blades: Sequence[Blade]) -> list[float]:
    """Return the heights where the section may jump, back and front among them: where foam
    begins or ends, and where a wire in the plane of the face runs level, or nearly so."""
    low, high = blank.from_mm, blank.from_mm + blank.thickness_mm
    found = {low, high}
    for prism in blank.foam:
        found |= {z for z in (prism.from_mm, prism.to_mm) if low < z < high}
    for one in blades:
        if one.ruled or abs(one.direction.wire[2]) >= FLAT:
            continue
        # The cutting plane stands upright, but its own axes may be turned in it.
        upward = np.array([one.direction.right[2], one.direction.up[2]])
        for part in polygons(one.kept):
            points = shapely.get_coordinates(part.exterior)
            steps = np.diff(points, axis=0)
            rise = np.abs(steps @ upward)
            run = np.sqrt(np.maximum((steps**2).sum(axis=1) - rise**2, 0.0))
            level = (run > 20) & (rise < 0.25 * run) & (rise < 2 * SLICE_MM)
            heights = np.concatenate([points[:-1][level], points[1:][level]]) @ upward
            found |= {float(z) for z in heights.round(2) if low < z < high}
    return sorted(found)


def top_map(
    blank: Blank, blades: Sequence[Blade], xs: Floats, ys: Floats, *, slice_mm: float = SLICE_MM
) -> Floats:
    """Return how high foam stands at each place, (ny, nx), mm; nan where none is left.

    Good to half a slice, upwards.
    """
    heights, step = slices(blank.from_mm, blank.from_mm + blank.thickness_mm, slice_mm)
    standing = cells_left(blank, blades, xs, ys, heights)[-1]
    highest = len(heights) - 1 - np.argmax(standing[::-1], axis=0)
    return np.where(standing.any(axis=0), heights[highest] + step / 2, np.nan)


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


def _kept_at(blank: Blank, one: Blade, heights: Floats) -> Geometries:
    if not one.ruled:
        return sections(one.kept, one.direction, heights)
    shares = (heights - blank.from_mm) / blank.thickness_mm
    found = [
        shapely.union_all([between(lower, upper, float(share)) for lower, upper in one.ruled])
        for share in shares
    ]
    return np.asarray(shapely.buffer(found, -one.half_kerf_mm, join_style="mitre"))


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
