"""Clear rectangles in an area: offcuts worth keeping, room for pieces."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, box

from wirepath import overlay
from wirepath.workshop import Offcuts

CELL_MM = 10.0
"""Rectangles are looked for on squares of this side: a size errs by less than one."""


def worth_keeping(width_mm: float, height_mm: float, keep: Offcuts) -> bool:
    """Whether a rectangle is as large as the workshop keeps, lying either way."""
    return (
        max(width_mm, height_mm) >= keep.keep_length_mm
        and min(width_mm, height_mm) >= keep.keep_width_mm
    )


def clear_rectangles(
    face: Geometry, taken: Geometry, keep: Offcuts
) -> Iterator[tuple[float, float, float, float]]:
    """Give clear rectangles (x, y, width, height) of `face`, the largest first, none overlapping.

    They lie on squares of CELL_MM counted from the face's lower left, so each
    side may fall short of the largest possible by less than two squares.
    """
    x0, y0, free = _free_squares(face, taken, CELL_MM)
    while True:
        row, column, high, wide = _largest_rectangle(free)
        width, height = wide * CELL_MM, high * CELL_MM
        if not worth_keeping(width, height, keep):
            return
        yield x0 + column * CELL_MM, y0 + row * CELL_MM, width, height
        free[row : row + high, column : column + wide] = False


def largest_rectangle(area: Geometry, *, cell_mm: float) -> tuple[float, float, float, float]:
    """Return the largest upright rectangle (x, y, width, height) in an area, to two cells a side.

    Exact for an area that is an upright rectangle; width and height 0 where no cell fits.
    """
    x0, y0, x1, y1 = shapely.bounds(area).tolist()
    if shapely.area(area) >= (x1 - x0) * (y1 - y0) * (1 - 1e-12):
        return x0, y0, x1 - x0, y1 - y0
    x, y, free = _free_squares(area, shapely.Point(), cell_mm)
    row, column, high, wide = _largest_rectangle(free)
    return x + column * cell_mm, y + row * cell_mm, wide * cell_mm, high * cell_mm


def _free_squares(
    face: Geometry, taken: Geometry, cell_mm: float
) -> tuple[float, float, NDArray[np.bool_]]:
    """Return the face's lower left, and which squares from there, (rows, columns), are clear."""
    x0, y0, x1, y1 = shapely.bounds(face).tolist()
    around = box(x0, y0, x1, y1)
    if not shapely.equals(face, around):
        beside = overlay.difference(
            box(x0 - cell_mm, y0 - cell_mm, x1 + cell_mm, y1 + cell_mm), face
        )
        taken = overlay.union([taken, beside])
    columns = int((x1 - x0) // cell_mm)
    rows = int((y1 - y0) // cell_mm)
    x, y = np.meshgrid(x0 + cell_mm * np.arange(columns), y0 + cell_mm * np.arange(rows))
    # A square lies in the disc round its middle. Points in a widened area are asked for
    # ten times as fast as squares that touch it, and err to the safe side.
    half = cell_mm / 2
    near = shapely.buffer(taken, half * math.sqrt(2) * 1.001)
    shapely.prepare(near)
    free: NDArray[np.bool_] = ~shapely.intersects_xy(near, x + half, y + half)
    return x0, y0, free


def _largest_rectangle(free: NDArray[np.bool_]) -> tuple[int, int, int, int]:
    """Return (row, column, rows, columns) of the largest all-true rectangle of `free`.

    The known scan: the run of free cells above each cell is a histogram, whose largest
    rectangle a stack finds in one sweep of the row. Cost: one step for each change of height.
    """
    best = (0, 0, 0, 0)
    best_area = 0
    above = np.zeros(free.shape[1] + 1, dtype=np.int64)
    for row in range(free.shape[0]):
        above[:-1] = np.where(free[row], above[:-1] + 1, 0)
        stack: list[tuple[int, int]] = []
        changes = np.flatnonzero(np.diff(above, prepend=-1))
        for column, height in zip(changes.tolist(), above[changes].tolist(), strict=True):
            start = column
            while stack and stack[-1][1] >= height:
                start, tall = stack.pop()
                if tall * (column - start) > best_area:
                    best_area = tall * (column - start)
                    best = (row - tall + 1, start, tall, column - start)
            stack.append((start, height))
    return best
