"""A form thicker than any block: parted into layers, flat on flat, each a body by itself."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise, product

import numpy as np
import shapely
from shapely import Geometry, MultiPolygon

from wirepath import overlay
from wirepath.fitting import DUST_MM, Room
from wirepath.geometry import polygons
from wirepath.model import Level, Piece
from wirepath.sectioning.raster import Body
from wirepath.widening import widen

Steps = tuple[tuple[Geometry, float], ...]


def steps_of(piece: Piece, levels: Sequence[Level]) -> Steps:
    """Return (region, height) from the bottom to the top of the foam the form needs.

    Regions are widened by the allowance, heights raised by what the piece is thicker
    than the form: that is all the foam that roughing must leave.
    """
    over = piece.thickness_mm - levels[-1].to_mm
    steps: list[tuple[Geometry, float]] = [(piece.outline, levels[0].to_mm + over)]
    for level in levels[1:]:
        widened = [widen(part, piece.allowance_mm) for part in polygons(level.region)]
        region = overlay.intersection(overlay.union(widened), steps[-1][0])
        steps.append((region, level.to_mm + over))
    return tuple(steps)


def depths(steps: Steps, rooms: Sequence[Room], least_mm: float) -> list[tuple[float, ...]]:
    """Return ways to part a form into layers: heights from 0 to its top, the fewest layers first.

    One layer is the only way where blocks lying on their largest face are thick enough.
    Otherwise there is the way with the fewest layers, for which blocks may have to stand
    on end, and the cheapest, judged by the foam the footprints take, of equal layers and
    of full ones of each depth to be had with a rest.
    """
    top = steps[-1][1]
    deepest = max(room.depth_mm for room in rooms)
    lying = max((room.depth_mm for room in rooms if room.lies), default=0.0)
    if top <= lying + DUST_MM:
        return [(0.0, top)]
    tries: list[tuple[float, ...]] = []
    for deep in sorted({room.depth_mm for room in rooms}):
        count = math.ceil(top / deep - 1e-9)
        tries.append(tuple(top * k / count for k in range(count + 1)))
        if count > 1 and top - (count - 1) * deep >= least_mm:
            tries.append((*(deep * k for k in range(count)), top))
    fewest = math.ceil(top / deepest - 1e-9)

    def price(cuts: tuple[float, ...]) -> float:
        total = 0.0
        for low, high in pairwise(cuts):
            footprint = shapely.area(region_at(steps, low))
            total += footprint * min(_face_price(room, high - low) for room in rooms)
        return total

    ranked = sorted(tries, key=lambda cuts: (round(price(cuts), 6), len(cuts)))
    few = next(cuts for cuts in ranked if len(cuts) == fewest + 1)
    return list(dict.fromkeys([few, ranked[0]]))


def _face_price(room: Room, thick_mm: float) -> float:
    """Return what a square millimetre of a slab this thick costs, cut from this room."""
    slabs = math.floor((room.depth_mm + DUST_MM) / thick_mm)
    if not slabs:
        return math.inf
    return room.stock.price / (slabs * room.width_mm * room.height_mm)


def region_at(steps: Steps, height_mm: float) -> Geometry:
    """Return where the form stands higher than `height_mm`."""
    for region, top in steps:
        if top > height_mm + DUST_MM:
            return region
    return steps[-1][0]


def layer(steps: Steps, low_mm: float, high_mm: float) -> list[Body]:
    """Return the bodies of the layer between two heights, one for each separate hill."""
    reached = [
        (region, min(top, high_mm) - low_mm) for region, top in steps if top > low_mm + DUST_MM
    ]
    until = next(
        (k for k, (_, height) in enumerate(reached, 1) if height >= high_mm - low_mm), len(reached)
    )
    bodies = []
    for outline in polygons(reached[0][0]):
        inside = [(overlay.intersection(r, outline), h) for r, h in reached[1:until]]
        own = [(outline, reached[0][1]), *((r, h) for r, h in inside if shapely.area(r) > 1e-3)]
        bodies.append(Body(outline=outline, steps=tuple(own)))
    return bodies


def covered(bodies: Sequence[Body], lines: Sequence[Geometry], over_mm: float) -> list[Body]:
    """Return the hills of a layer as one body for square cells to cover, parted by `lines`.

    The boxes of two hills might overlap, so all are covered at once. The rim grows by
    `over_mm`, at the height of the lowest step, as room for the cut. `lines` run upright
    or level, right through.
    """
    rim = overlay.union([body.outline for body in bodies])
    grown = shapely.buffer(rim, over_mm, join_style="mitre") if over_mm else rim
    x0, y0, x1, y1 = shapely.bounds(grown).tolist()
    places = np.array([shapely.bounds(line)[:2] for line in lines]).reshape(-1, 2)
    wide = np.array([np.ptp(shapely.bounds(line)[[0, 2]]) for line in lines])
    upright = wide <= DUST_MM
    xs = np.unique(np.clip([x0, *places[upright, 0], x1], x0, x1))
    ys = np.unique(np.clip([y0, *places[~upright, 1], y1], y0, y1))
    tops: dict[float, list[Geometry]] = defaultdict(list)
    for region, top in (step for body in bodies for step in body.steps[1:]):
        tops[top].append(region)
    higher = [(overlay.union(tops[top]), top) for top in sorted(tops)]
    found = []
    for (south, north), (west, east) in product(pairwise(ys), pairwise(xs)):
        face = shapely.box(west, south, east, north)
        outline = MultiPolygon(polygons(overlay.intersection(grown, face)))
        if shapely.area(outline) > 1e-3:
            own = [(overlay.intersection(region, face), top) for region, top in higher]
            steps = [
                (outline, bodies[0].steps[0][1]),
                *(one for one in own if shapely.area(one[0]) > 1e-3),
            ]
            found.append(Body(outline=outline, steps=tuple(steps)))
    return found
