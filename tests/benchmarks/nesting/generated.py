"""Pieces of generated jobs: discs with corners, bars with an arm, frames."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely import Polygon, box

from wirepath.model import Piece

Span = tuple[float, float]


def outline(
    chance: np.random.Generator,
    *,
    sizes: Span,
    corners: tuple[int, int],
    waist: float,
    bar: Span,
    frame: Callable[[float], Polygon],
) -> Polygon:
    """Return an outline about twice a size of `sizes` across, mm.

    A disc's `corners` lie at `waist` to 1 of its radius; a `bar` is that share of the size
    wide; `frame` makes a frame of a size.
    """
    size = float(chance.uniform(*sizes))
    match chance.integers(0, 3):
        case 0:
            angle = np.linspace(0, 2 * math.pi, int(chance.integers(*corners)), endpoint=False)
            reach = size * chance.uniform(waist, 1.0, len(angle))
            shape = Polygon(np.column_stack([reach * np.cos(angle), reach * np.sin(angle)]))
        case 1:
            wide = size * chance.uniform(*bar)
            shape = box(0, 0, wide, 2 * size) | box(0, 0, 1.4 * size, wide)
        case _:
            shape = frame(size)
    return shapely.orient_polygons(shape)


def pieces_of(outlines: Sequence[Polygon], thick: Sequence[float]) -> tuple[Piece, ...]:
    """Return a piece of EPS 20 for each outline, numbered from 1."""
    return tuple(
        Piece(
            number=number,
            name=f"piece {number}",
            part=f"piece {number}",
            finished=shape,
            outline=shape,
            thickness_mm=thickness,
            allowance_mm=0.0,
            foam="EPS 20",
        )
        for number, (shape, thickness) in enumerate(zip(outlines, thick, strict=True), 1)
    )
