"""Cuts put in the order of work, with what each frees, its marks, and what to look out for."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import (
    Blank,
    RoughingCut,
    RoughingKind,
    RoughingNote,
    RoughingOffcut,
    Seam,
    WireDirection,
)
from wirepath.roughing.directions import FLAT, chords, datum, in_plane, shadow, stands_on
from wirepath.roughing.grid import Bools, Grid, clear_lump
from wirepath.roughing.paths import EVEN_MM, Way, marks, shifted
from wirepath.roughing.sections import Blade, blade, cells_left, volumes_mm3
from wirepath.roughing.tools import Tools
from wirepath.units import kilograms, litres

Floats = NDArray[np.float64]

THIN_MM = 40.0
"""Foam left thinner than this bends and breaks while it is handled (common practice)."""

LEAST_OFFCUT_LITRES = 0.5
"""Smaller lumps are swept up, not listed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Roughed:
    """One blank with its ways in the order of work and what they leave, not yet worked out.

    Slabs come with their cuts worked out instead of ways.
    """

    blank: Blank
    left: tuple[float, ...]
    """Foam standing before the first cut and after each, mm3."""
    blades: tuple[Blade, ...] = ()
    ways: tuple[Way, ...] = ()
    grid: Grid | None = None
    corner: bool = False
    cuts: tuple[RoughingCut, ...] = ()

    @property
    def left_mm3(self) -> float:
        """Foam standing after the last cut."""
        return self.left[-1]

    @property
    def steps(self) -> tuple[Way | RoughingCut, ...]:
        """The ways or the cuts, whichever there are: both know their lengths."""
        return self.cuts or self.ways


def roughed(
    ways: Sequence[Way], blank: Blank, grid: Grid, tools: Tools, *, corner: bool = False
) -> Roughed:
    """Return what is left of a blank by `ways`, which are in the order of work."""
    blades = tuple(blade(way.direction, way.kept, tools.kerf_mm) for way in ways)
    return Roughed(
        blank=blank,
        left=tuple(float(one) for one in volumes_mm3(blank, blades)),
        blades=blades,
        ways=tuple(ways),
        grid=grid,
        corner=corner,
    )


def kind_of(direction: WireDirection) -> RoughingKind:
    """Return how the wire lies on a cut round a silhouette."""
    rise = abs(direction.wire[2])
    if rise > 1 - FLAT:
        return "outline"
    if stands_on(direction) is not None:
        return "standing profile"
    return "profile" if rise < FLAT else "tilted profile"


def in_order(ways: Sequence[Way]) -> list[Way]:
    """Return the ways in the order of work.

    Profiles first, those square to a face before the diagonal ones and these before the
    tilted ones: marks need faces, and offcuts laid back keep the faces square. Standing ones
    come edge by edge, so that the block is stood up twice at most. The outline last, from the
    back, when its marks are no longer needed.
    """

    def rank(way: Way) -> tuple[int, float]:
        wire = np.abs(np.array(way.direction.wire))
        if wire[2] > 1 - FLAT:
            return 3, 0.0
        if wire[2] > FLAT:
            return 2, 1.0 if stands_on(way.direction) == "left" else 0.0
        return (0 if wire.max() > 1 - FLAT else 1), 0.0

    return [ways[k] for k in sorted(range(len(ways)), key=lambda k: (*rank(ways[k]), k))]


def worked_out(one: Roughed, tools: Tools, *, seams: Sequence[Seam] = ()) -> Roughed:
    """Return the same with its cuts: litres, offcuts, marks, notes."""
    if one.grid is None:
        return one
    blank = one.blank
    standing = cells_left(blank, one.blades, one.grid.xs, one.grid.ys, one.grid.zs)
    loose = standing[:-1] & ~standing[1:]
    cuts = []
    for k, (way, cells) in enumerate(zip(one.ways, loose, strict=True)):
        freed_litres = litres(one.left[k] - one.left[k + 1])
        offcuts = _offcuts(way, blank, one.grid, cells, freed_litres, tools)
        kind: RoughingKind = "corner" if one.corner else kind_of(way.direction)
        mirrored = tools.by_hand and kind == "outline"
        cuts.append(
            RoughingCut(
                number=k + 1,
                blank=blank.number,
                kind=kind,
                direction=way.direction,
                datum=datum(blank, way.direction),
                lines=tuple(_shift_line(line, blank, way.direction) for line in way.lines),
                kept=tuple(_shift_polygon(part, blank, way.direction) for part in way.kept),
                turn_deg=turn_of(way.direction),
                tilt_deg=tilt_of(way.direction),
                length_mm=way.length_mm,
                area_m2=way.area_m2,
                longest_wire_mm=way.longest_wire_mm,
                litres=freed_litres,
                marks=marks(way, blank) if tools.by_hand else (),
                offcuts=offcuts,
                mirrored=mirrored,
                notes=tuple(_notes(way, blank, seams, mirrored=mirrored)),
            )
        )
    return replace(one, cuts=tuple(cuts))


def turn_of(direction: WireDirection) -> float:
    """Return how far the block is turned clockwise, seen from the front, so that `right`, or
    its part in the face, lies along x: in degrees, 0 to 360."""
    return round(math.degrees(math.atan2(direction.right[1], direction.right[0])) % 360, 6)


def tilt_of(direction: WireDirection) -> float:
    """Return how far the wire rises out of the plane of the face, in degrees."""
    return round(math.degrees(math.asin(max(-1.0, min(1.0, abs(direction.wire[2]))))), 6)


def _shift_line(line: LineString, blank: Blank, direction: WireDirection) -> LineString:
    moved = shifted(line, blank, direction)
    assert isinstance(moved, LineString)
    return moved


def _shift_polygon(part: Polygon, blank: Blank, direction: WireDirection) -> Polygon:
    moved = shifted(part, blank, direction)
    assert isinstance(moved, Polygon)
    return moved


def _offcuts(
    way: Way, blank: Blank, grid: Grid, cells: Bools, freed_litres: float, tools: Tools
) -> tuple[RoughingOffcut, ...]:
    """Return the lumps a cut frees, the largest first: one for each stretch of waste that the
    path parts off in the cutting plane. They share `freed_litres` by their cells."""
    waste = polygons(
        overlay.difference(shadow(blank, way.direction), overlay.union(list(way.kept)))
    )
    k, j, i = np.nonzero(cells)
    if not len(k):
        return ()
    points = np.stack([grid.xs[i], grid.ys[j], grid.zs[k]], axis=1)
    places = in_plane(points, way.direction)
    shapely.prepare(waste)
    within = [shapely.contains_xy(lump, places[:, 0], places[:, 1]) for lump in waste]
    cells_inside = max(1, sum(int(inside.sum()) for inside in within))
    found = []
    for inside in within:
        amount = freed_litres * float(inside.sum()) / cells_inside
        if amount < LEAST_OFFCUT_LITRES:
            continue
        own = np.zeros_like(cells)
        own[k[inside], j[inside], i[inside]] = True
        size = np.ptp(points[inside], axis=0) + np.array(grid.cell)
        found.append(lump_of(amount, size, own, grid.cell, tools))
    return by_size(found)


def lump_of(
    amount: float, size: Floats, cells: Bools, cell: tuple[float, float, float], tools: Tools
) -> RoughingOffcut:
    """Return a lump of so many litres that fits a box of `size` (3,) and fills `cells`."""
    length, width, thickness = sorted((float(one) for one in size), reverse=True)
    weight = kilograms(amount * 1e6, tools.density_kg_per_m3)
    least = (tools.keep.keep_length_mm, tools.keep.keep_width_mm, tools.keep.keep_thickness_mm)
    people = 1 if weight <= tools.lift.one_person_kg else 2
    return RoughingOffcut(
        number=0,
        litres=amount,
        weight_kg=weight,
        length_mm=length,
        width_mm=width,
        thickness_mm=thickness,
        keep=clear_lump(cells, cell, least),
        people=people if weight <= tools.lift.two_people_kg else 0,
    )


def by_size(lumps: list[RoughingOffcut]) -> tuple[RoughingOffcut, ...]:
    """Return the lumps numbered from 1, the largest first."""
    ranked = sorted(lumps, key=lambda one: -one.litres)
    return tuple(replace(one, number=number) for number, one in enumerate(ranked, 1))


def _notes(
    way: Way,
    blank: Blank,
    seams: Sequence[Seam],
    *,
    mirrored: bool,
) -> Iterator[RoughingNote]:
    if mirrored:
        yield RoughingNote(kind="mirrored")
    if way.holes_m2 > 0.01:
        yield RoughingNote(kind="seen through", values=(way.holes_m2,))
    thin = _thin_places(way, blank)
    if thin:
        yield RoughingNote(kind="thin", values=(thin, THIN_MM))
    for seam in seams:
        if seam.kind == "edge" and _crosses(way, blank, seam):
            yield RoughingNote(kind="glue line", values=seam.pieces)


def _thin_places(way: Way, blank: Blank) -> int:
    """Return at how many places what is kept is thinner than `THIN_MM` in the cutting plane."""
    shade = shadow(blank, way.direction)
    kept = overlay.intersection(overlay.union(list(way.kept)), shade)
    # Edges of the block are no thin place: look at the foam as if it went on beyond them.
    beyond = overlay.difference(shapely.buffer(shade, THIN_MM), shade)
    solid = overlay.union([kept, overlay.intersection(beyond, shapely.buffer(kept, THIN_MM))])
    wide = shapely.buffer(shapely.buffer(solid, -THIN_MM / 2), THIN_MM / 2 * 1.05)
    thin = overlay.intersection(overlay.difference(solid, wide), kept)
    return sum(1 for part in polygons(thin) if part.area > THIN_MM**2 / 2)


def _crosses(way: Way, blank: Blank, seam: Seam) -> bool:
    """Return whether the wire lies across an edge seam, or passes through it, in the foam."""
    for line in way.lines:
        places = shapely.get_coordinates(
            shapely.segmentize(overlay.intersection(line, shadow(blank, way.direction)), EVEN_MM)
        )
        one, other = chords(blank, way.direction, places)
        there = np.isfinite(one).all(axis=1) & np.isfinite(other).all(axis=1)
        wires = np.stack([one[there], other[there]], axis=1)
        if len(wires) < 2:
            continue
        swept = np.concatenate([wires[:-1], wires[1:]], axis=1)
        low, high = swept[:, :, 2].min(axis=1), swept[:, :, 2].max(axis=1)
        hulls = shapely.convex_hull(shapely.multipoints(swept[:, :, :2]))
        met = shapely.intersects(hulls, seam.place)
        if (met & (low < seam.to_mm) & (high > seam.from_mm)).any():
            return True
    return False
