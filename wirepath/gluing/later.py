"""Glue kept off the roughing cuts of a form that is roughed once it is glued."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, MultiPolygon

from wirepath import overlay
from wirepath.geometry import polygons
from wirepath.gluing.blanks import SLACK
from wirepath.model import GlueStrip, LaterWire, Piece, Seam, WireDirection
from wirepath.roughing.directions import sections

STRIP_MM = 50.0
"""Longest stretch of a seam over which glue ends at one height: about a brush's width."""

STEP_MM = 10.0
"""Heights of glue are whole steps above the seam's foot, or its top."""

LAST_STEP_MM = 1.0
"""What is left of a seam above the last whole step belongs to that step if it is no higher."""

LEAST_STEPS = 2
"""Glue less high holds next to nothing, and nobody spreads it so; but a seam no higher itself is
glued all over."""

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def glue_off_cuts(
    seams: Sequence[Seam],
    pieces: Sequence[Piece],
    later: Mapping[str, Sequence[LaterWire]],
    dry_mm: float,
) -> tuple[Seam, ...]:
    """Return the seams with glue only where it stays `dry_mm` off every later cut of its form,
    and in foam that all of them leave.

    `later` is by form; seams of other forms stay as they are.
    """
    safe = {
        form: [(wire, _safe(wire, dry_mm)) for wire in wires]
        for form, wires in later.items()
        if wires
    }

    def kept_off(seam: Seam) -> Seam:
        wires = safe.get(pieces[seam.pieces[0] - 1].section_of or "")
        if not wires:
            return seam
        if seam.kind == "layer":
            return replace(seam, dry=_dry_of_layer(seam, wires))
        return replace(seam, strips=_strips(seam, [(view(wire), room) for wire, room in wires]))

    return tuple(kept_off(seam) for seam in seams)


def view(wire: LaterWire) -> Floats:
    """Return what turns points (n, 3) into points seen along the wire: (3, 2)."""
    return np.array([wire.right, wire.up]).T


def _safe(wire: LaterWire, dry_mm: float) -> Geometry:
    """Return where glue may be seen along the wire, prepared."""
    near = shapely.buffer(wire.lines, dry_mm * (1 + SLACK))
    found: Geometry = overlay.difference(wire.kept or shapely.box(*near.bounds), near)
    shapely.prepare(found)
    return found


def _dry_of_layer(seam: Seam, wires: Sequence[tuple[LaterWire, Geometry]]) -> Geometry:
    held = overlay.difference(seam.place, seam.dry)
    for wire, room in wires:
        away = np.cross(wire.right, wire.up)
        direction = WireDirection(
            right=wire.right, up=wire.up, wire=(float(away[0]), float(away[1]), float(away[2]))
        )
        (seen,) = sections(room, direction, np.array([seam.from_mm]))
        held = overlay.intersection(held, seen)
    return MultiPolygon(polygons(overlay.difference(seam.place, held)))


def _strips(seam: Seam, wires: Sequence[tuple[Floats, Geometry]]) -> tuple[GlueStrip, ...]:
    """Return the strips of an edge seam that lie in every wire's room, as high as they may be."""
    ends = _stretches(overlay.difference(seam.place, seam.dry))
    if not len(ends):
        return ()
    whole = np.arange(seam.from_mm, seam.to_mm - LAST_STEP_MM, STEP_MM).tolist()
    edges = [*whole, seam.to_mm]
    corners = np.empty((len(ends), len(edges) - 1, 4, 3))
    corners[..., :2] = ends[:, None, [0, 1, 1, 0]]
    corners[..., 2] = [[low, low, high, high] for low, high in pairwise(edges)]
    free = np.ones(corners.shape[:2], dtype=np.bool_)
    for seen, room in wires:
        cells = shapely.convex_hull(shapely.multipoints(corners @ seen))
        free &= shapely.covers(room, cells)
    first, last = _longest_runs(free)
    return _joined(
        [
            GlueStrip(line=LineString(ends[k]), from_mm=edges[first[k]], to_mm=edges[last[k]])
            for k in np.flatnonzero(last - first >= min(LEAST_STEPS, len(whole))).tolist()
        ]
    )


def _stretches(place: Geometry) -> Floats:
    """Return the ends of straight stretches of a line, none longer than `STRIP_MM`: (n, 2, 2)."""
    lines = [one for one in shapely.get_parts(place) if isinstance(one, LineString)]
    points = [shapely.get_coordinates(shapely.segmentize(line, STRIP_MM)) for line in lines]
    ends = [np.stack([one[:-1], one[1:]], axis=1) for one in points]
    return np.concatenate(ends) if ends else np.empty((0, 2, 2))


def _longest_runs(free: Flags) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return where the longest run of free places begins in each row and where it has ended."""
    run = np.zeros(len(free), dtype=np.intp)
    most, ended = run.copy(), run.copy()
    for place in range(free.shape[1]):
        run = np.where(free[:, place], run + 1, 0)
        longer = run > most
        most, ended = np.where(longer, run, most), np.where(longer, place + 1, ended)
    return ended - most, ended


def _joined(strips: Sequence[GlueStrip]) -> tuple[GlueStrip, ...]:
    """Return the strips, those of one height that follow each other as one."""
    if not strips:
        return ()
    found = [strips[0]]
    for before, strip in pairwise(strips):
        heights = (before.from_mm, before.to_mm) == (strip.from_mm, strip.to_mm)
        if heights and before.line.coords[-1] == strip.line.coords[0]:
            line = LineString([*found[-1].line.coords, strip.line.coords[1]])
            found[-1] = replace(found[-1], line=line)
        else:
            found.append(strip)
    return tuple(found)
