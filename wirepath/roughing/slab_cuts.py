"""One slab worked out: its outlines straight or slanted, its holes with their slits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.model import Blank, Level, RoughingCut, RoughingNote, RoughingOffcut
from wirepath.roughing.directions import OUTLINE, datum, shadow
from wirepath.roughing.grid import raster
from wirepath.roughing.paths import LEAD_MM, Way, marks, shifted, way_along
from wirepath.roughing.sections import Blade, blade, volumes_mm3
from wirepath.roughing.slabs import slanted_edge, slanted_hole, straight_slab
from wirepath.roughing.tools import Tools
from wirepath.roughing.working import LEAST_OFFCUT_LITRES, Roughed, by_size, lump_of
from wirepath.units import litres

Floats = NDArray[np.float64]
Shape = TypeVar("Shape", LineString, Polygon)

CELL_MM = 20.0
"""Squares on which clear lumps of a slab's waste are looked for."""


def worked_slab(
    levels: Sequence[Level], slab: Blank, tools: Tools, *, allowance_mm: float, slanted: bool
) -> Roughed:
    """Return a slab cut round the form; a slab over the form is waste, or not bought, whole."""
    reach = allowance_mm + tools.kerf_mm / 2
    kept = straight_slab(levels, slab, reach, by_hand=tools.by_hand)
    if not kept:
        return Roughed(blank=slab, left=(slab.volume_mm3, 0.0))
    shells = [Polygon(part.exterior) for part in kept]
    pairs: list[tuple[Polygon, Polygon]] = []
    if slanted:
        pairs = [
            slanted_edge(levels, slab, shell, reach, by_hand=tools.by_hand) for shell in shells
        ]
        shells = [lower for lower, _ in pairs]
    way = way_along(shells, slab, OUTLINE)
    cuts: list[RoughingCut] = []
    blades: list[Blade] = []
    if way is not None:
        round_edge = blade(OUTLINE, shells, tools.kerf_mm)
        if pairs:
            round_edge = Blade(
                direction=OUTLINE,
                kept=round_edge.kept,
                ruled=tuple(pairs),
                half_kerf_mm=tools.kerf_mm / 2,
            )
        blades.append(round_edge)
        cuts.append(_edge_cut(way, slab, pairs, tools))
    if any(part.interiors for part in kept):
        lower, upper = _opened(kept, levels, slab, tools, reach, slanted=slanted)
        blades.append(
            Blade(
                direction=OUTLINE,
                kept=lower,
                ruled=((lower, upper),),
                half_kerf_mm=tools.kerf_mm / 2,
            )
        )
        cuts.append(_hole_cut(kept, lower, upper, slab, slanted=slanted))
    left = volumes_mm3(slab, blades)
    done = []
    for k, cut in enumerate(cuts):
        freed = litres(float(left[k] - left[k + 1]))
        waste = (
            [Polygon(ring) for part in kept for ring in part.interiors]
            if cut.kind == "hole"
            else polygons(overlay.difference(shadow(slab, OUTLINE), overlay.union(shells)))
        )
        done.append(replace(cut, litres=freed, offcuts=_lumps(waste, slab, tools)))
    return Roughed(
        blank=slab, cuts=tuple(done), blades=tuple(blades), left=tuple(float(one) for one in left)
    )


def _edge_cut(
    way: Way, slab: Blank, pairs: Sequence[tuple[Polygon, Polygon]], tools: Tools
) -> RoughingCut:
    shade = shadow(slab, OUTLINE)
    lines, longest = way.lines, slab.thickness_mm
    upper_lines: tuple[LineString, ...] = ()
    if pairs:
        both = [_ruled_lines(lower, upper, shade) for lower, upper in pairs]
        lines, upper_lines = tuple(one for one, _ in both), tuple(other for _, other in both)
        lean = max(
            float(np.hypot(*(_points(upper) - _points(lower)).T).max()) for lower, upper in pairs
        )
        longest = float(np.hypot(slab.thickness_mm, lean))
    return RoughingCut(
        number=1,
        blank=slab.number,
        kind="slanted slab" if pairs else "slab",
        direction=OUTLINE,
        datum=datum(slab, OUTLINE),
        lines=tuple(_moved(line, slab) for line in lines),
        kept=tuple(_moved(part, slab) for part in way.kept),
        upper=tuple(_moved(upper, slab) for _, upper in pairs),
        upper_lines=tuple(_moved(line, slab) for line in upper_lines),
        turn_deg=0.0,
        tilt_deg=90.0,
        length_mm=way.length_mm,
        area_m2=way.length_mm * slab.thickness_mm / 1e6,
        longest_wire_mm=longest,
        litres=0.0,
        marks=marks(way, slab) if tools.by_hand and not pairs else (),
        notes=(RoughingNote(kind="both ends"),) if pairs else (),
    )


def _opened(
    kept: Sequence[Polygon],
    levels: Sequence[Level],
    slab: Blank,
    tools: Tools,
    reach: float,
    *,
    slanted: bool,
) -> tuple[Polygon, Polygon]:
    """Return the slab with its holes as the wire's lower and upper ends leave them.

    Its rim stands outside everything, so that only the holes cut.
    """
    rim = shapely.box(*shapely.buffer(shadow(slab, OUTLINE), 2 * LEAD_MM).bounds).exterior
    holes = [Polygon(ring) for part in kept for ring in part.interiors]
    pairs = [(hole, hole) for hole in holes]
    if slanted:
        by_hand = tools.by_hand
        pairs = [slanted_hole(levels, slab, hole, reach, by_hand=by_hand) for hole in holes]
    return (
        Polygon(rim, [lower.exterior for lower, _ in pairs]),
        Polygon(rim, [upper.exterior for _, upper in pairs]),
    )


def _hole_cut(
    kept: Sequence[Polygon], lower: Polygon, upper: Polygon, slab: Blank, *, slanted: bool
) -> RoughingCut:
    rings = [LineString(ring) for ring in lower.interiors]
    above = [LineString(ring) for ring in upper.interiors]
    shells = overlay.union([part.exterior for part in kept])
    slits = [shapely.shortest_line(shells, ring) for ring in rings]
    length = float(shapely.length(rings).sum() + shapely.length(slits).sum())
    lean = max(
        float(np.hypot(*(shapely.get_coordinates(b) - shapely.get_coordinates(a)).T).max())
        for a, b in zip(rings, above, strict=True)
    )
    return RoughingCut(
        number=1,
        blank=slab.number,
        kind="hole",
        direction=OUTLINE,
        datum=datum(slab, OUTLINE),
        lines=tuple(_moved(ring, slab) for ring in rings),
        kept=(_moved(lower, slab),),
        upper=(_moved(upper, slab),) if slanted else (),
        upper_lines=tuple(_moved(ring, slab) for ring in above) if slanted else (),
        slits=tuple(_moved(slit, slab) for slit in slits),
        turn_deg=0.0,
        tilt_deg=90.0,
        length_mm=length,
        area_m2=length * slab.thickness_mm / 1e6,
        longest_wire_mm=float(np.hypot(slab.thickness_mm, lean)),
        litres=0.0,
        notes=(RoughingNote(kind="ring", values=(len(rings),)),),
    )


def _ruled_lines(lower: Polygon, upper: Polygon, shade: Polygon) -> tuple[LineString, LineString]:
    """Return the lines of the wire's two ends, point for point, from air to air.

    The wire comes in square to the slab, leans over where it meets the edge, goes round,
    stands up again and leaves by its slot.
    """
    a, b = _points(lower), _points(upper)
    rim = shade.exterior
    outside = ~shapely.contains_xy(shade, a[:, 0], a[:, 1])
    if outside.any():
        start = int(np.argmax(outside))
        a, b = np.roll(a, -start, axis=0), np.roll(b, -start, axis=0)
        return LineString(np.vstack([a, a[:1]])), LineString(np.vstack([b, b[:1]]))
    gaps = shapely.distance(rim, shapely.points(a))
    start = int(np.argmin(gaps))
    a, b = np.roll(a, -start, axis=0), np.roll(b, -start, axis=0)
    edge = shapely.get_coordinates(shapely.shortest_line(rim, shapely.Point(a[0])))
    out = (edge[0] - edge[1]) / max(float(np.hypot(*(edge[0] - edge[1]))), 1e-9)
    air = edge[0] + out * LEAD_MM
    lead = np.vstack([air, a[0]])
    return (
        LineString(np.vstack([lead, a, a[:1], lead[::-1]])),
        LineString(np.vstack([lead, b, b[:1], lead[::-1]])),
    )


def _points(polygon: Polygon) -> Floats:
    points: Floats = shapely.get_coordinates(polygon.exterior)[:-1]
    return points


def _moved(shape: Shape, slab: Blank) -> Shape:
    moved = shifted(shape, slab, OUTLINE)
    assert isinstance(moved, type(shape))
    return moved


def _lumps(waste: Sequence[Polygon], slab: Blank, tools: Tools) -> tuple[RoughingOffcut, ...]:
    found = []
    for lump in waste:
        amount = litres(lump.area * slab.thickness_mm)
        if amount < LEAST_OFFCUT_LITRES:
            continue
        x0, y0, x1, y1 = lump.bounds
        xs = np.arange(x0 + CELL_MM / 2, x1, CELL_MM)
        ys = np.arange(y0 + CELL_MM / 2, y1, CELL_MM)
        cells = raster(lump, xs, ys)[None]
        size = np.array([x1 - x0, y1 - y0, slab.thickness_mm])
        found.append(lump_of(amount, size, cells, (CELL_MM, CELL_MM, slab.thickness_mm), tools))
    return by_size(found)
