"""Stations of a taper: numbered marks that two people call out at the two ends of the wire."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wirepath.geometry import place_ruled
from wirepath.kerf.taper import taper_line
from wirepath.model import Piece, Placement, Ruled
from wirepath.tapering import turns
from wirepath.workshop import Cutting

Point = tuple[float, float]
Points = NDArray[np.float64]

SPACINGS_MM = (20.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0)
MOST_STATIONS = 40
"""A taper gets the closest spacing that needs no more than this many, corners aside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """One mark: its number, and where the wire's two ends are."""

    number: int
    near: Point
    far: Point
    corner: bool


def piece_stations(piece: Piece, cutting: Cutting) -> tuple[Station, ...]:
    """Return the stations along the wire's line round a taper, in the frame of its drawing.

    They begin at the corner of the near line nearest to the lower left, run
    anticlockwise and end where they began.
    """
    assert piece.taper is not None
    line = taper_line(piece.taper.cut, cutting).line
    near = np.array(line.near)
    corners = np.flatnonzero(_corners(line))
    start = int(corners[near[corners].sum(axis=1).argmin()])
    rolled = Ruled(
        near=line.near[start:] + line.near[:start],
        far=line.far[start:] + line.far[:start],
        thickness_mm=line.thickness_mm,
    )
    length = float(np.maximum(*(_spans(np.array(way)) for way in (line.near, line.far))).sum())
    every = next((s for s in SPACINGS_MM if length / s <= MOST_STATIONS), SPACINGS_MM[-1])
    return stations(rolled, every)


def placed_stations(piece: Piece, placement: Placement, cutting: Cutting) -> tuple[Station, ...]:
    """Return a taper's stations where it lies: near is the end in front, as it lies."""
    marks = piece_stations(piece, cutting)
    ruled = Ruled(
        near=tuple(mark.near for mark in marks),
        far=tuple(mark.far for mark in marks),
        thickness_mm=piece.thickness_mm,
    )
    placed = place_ruled(ruled, placement)
    near, far = placed.near, placed.far
    if placement.flipped:
        # A mirrored ring is turned round to run anticlockwise; stations keep their numbers.
        near, far = ((ring[0], *ring[:0:-1]) for ring in (near, far))
    return tuple(
        Station(number=mark.number, near=a, far=b, corner=mark.corner)
        for mark, a, b in zip(marks, near, far, strict=True)
    )


def _corners(line: Ruled) -> NDArray[np.bool_]:
    rings = np.array(line.near), np.array(line.far)
    found = np.any([np.abs(turns(ring)) > math.radians(20) for ring in rings], axis=0)
    return found if found.any() else np.ones(len(rings[0]), dtype=bool)


def _spans(ring: Points) -> NDArray[np.float64]:
    spans: NDArray[np.float64] = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    return spans


def stations(ruled: Ruled, every_mm: float) -> tuple[Station, ...]:
    """Return numbered marks on both lines: all corners, and between them at most `every_mm`.

    Counted from 0 at the first point, in step at both ends; the last is the first again.
    A corner turns by more than 20 degrees on either line.
    """
    near, far = np.array(ruled.near), np.array(ruled.far)
    corners = np.any([np.abs(turns(ring)) > math.radians(20) for ring in (near, far)], axis=0)
    corners[0] = True
    lengths = np.maximum(*(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T) for ring in (near, far)))
    along = np.concatenate(([0.0], np.cumsum(lengths)))
    starts = along[:-1][corners]
    marks: list[tuple[float, bool]] = []
    for start, end in zip(starts, [*starts[1:], along[-1]], strict=True):
        count = max(1, math.ceil((end - start) / every_mm - 1e-9))
        marks += [(start + (end - start) * i / count, i == 0) for i in range(count)]
    marks.append((along[-1], True))
    closed = [np.concatenate((ring, ring[:1])) for ring in (near, far)]
    return tuple(
        Station(number=number, near=_at(closed[0], along, at), far=_at(closed[1], along, at),
                corner=corner)
        for number, (at, corner) in enumerate(marks)
    )  # fmt: skip


def _at(points: Points, along: NDArray[np.float64], at: float) -> Point:
    x, y = (float(np.interp(at, along, axis)) for axis in points.T)
    return x, y
