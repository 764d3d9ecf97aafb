"""Moves as they lie on the table, in the setup that they are cut in."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.checking.scene import Scene
from wirepath.model import Layout, Setup

QUARTERS = ((1, 0, 0, 1), (0, -1, 1, 0), (-1, 0, 0, -1), (0, 1, -1, 0))
"""What 0, 1, 2 and 3 quarter turns counter-clockwise do: x and y of the turned point."""

Points = NDArray[np.float64]


def on_table(points: Points, setup: Setup) -> Points:
    """Return points of a layout's frame, (n, 2), where they lie on the table in a setup."""
    turn = np.array(QUARTERS[round(setup.turn_deg / 90) % 4], dtype=float).reshape(2, 2)
    moved: Points = points @ turn.T + (setup.x_mm, setup.y_mm)
    return moved


def lines_on_table(lines: NDArray[np.object_], setup: Setup) -> NDArray[np.object_]:
    """Return lines of a layout's frame, (n,), where they lie on the table in a setup."""
    moved: NDArray[np.object_] = shapely.transform(lines, lambda points: on_table(points, setup))
    return moved


def by_setup(scene: Scene) -> Iterator[tuple[int, Setup, NDArray[np.int_]]]:
    """Give each setup of a scene's layout, its number, and which moves are cut in it, (n,).

    One at the datum where the layout has none.
    """
    numbers = np.array([one.setup for one in scene.passes for _ in one.moves], dtype=int)
    for number, setup in enumerate(setups_of(scene.layout), 1):
        own = numbers == number if scene.layout.setups else np.ones(len(numbers), dtype=bool)
        yield number, setup, np.flatnonzero(own)


def setups_of(layout: Layout) -> tuple[Setup, ...]:
    """Return the setups of a layout; that at the datum where it names none."""
    return layout.setups or (Setup(),)
