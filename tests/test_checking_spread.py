"""Points that volumes are measured by, against figures that are known."""

from __future__ import annotations

import numpy as np
import pytest

from wirepath.checking.spread import spread_points


def test_the_first_points_are_those_of_haltons_sequence():
    # Digits of 1, 2, 3 to the bases 2, 3, 5, mirrored at the point.
    first = [[1 / 2, 1 / 3, 1 / 5], [1 / 4, 2 / 3, 2 / 5], [3 / 4, 1 / 9, 3 / 5]]
    assert spread_points(3).tolist() == pytest.approx(np.array(first))


@pytest.mark.parametrize("axes", [(0, 1), (1, 2), (0, 2), (0, 1, 2)])
def test_a_corner_cut_off_by_a_plane_holds_its_share_of_the_points(axes):
    """A plane of equal distances along its axes cuts off a simplex: a^n / n! of the cube."""
    points = spread_points(60_000)[:, axes]
    for reach in np.linspace(0.2, 1.0, 9):
        share = reach ** len(axes) / (2 if len(axes) == 2 else 6)
        assert (points.sum(axis=1) < reach).mean() == pytest.approx(share, abs=0.001)


def test_no_slanting_plane_gathers_points():
    # 35 x - y is nearly whole for multiples of the root of x^4 = x + 1: planes stood empty.
    x, y, _ = spread_points(60_000).T
    bins = np.bincount(np.floor((35 * x - y) % 1 * 100).astype(int), minlength=100)
    assert bins.min() > 0.8 * 600
    assert bins.max() < 1.2 * 600
