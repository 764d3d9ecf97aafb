"""Dual feasible functions: sizes made unfair to small things, yet never too much for a bin.

A function f of shares of a bin is dual feasible when shares that add up to at most 1 have
values that add up to at most 1. What is packed in bins, value for value, then needs no
fewer bins than the values add up to; the best of several functions is often more than the
plain sum. The families are Lueker's (1983) and those of Fekete and Schepers (2001, New
classes of fast lower bounds for bin packing problems, Math. Program. 91), formulas from
memory; a test holds that they are dual feasible.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from wirepath.nesting.solids import Floats

Scale = Callable[[Floats], Floats]
"""Takes shares of a bin, 0 to 1, and gives their values; never falls where shares rise."""

TOUCH = 1e-7
"""Shares nearer than this to a step of a function lie on its lower side."""

MOST_STEPS = 6
"""Lueker's functions up to this many steps, and so many thresholds of each other kind."""


def plain(shares: Floats) -> Floats:
    """Return the shares themselves."""
    return shares


def stepped(steps: int) -> Scale:
    """Return Lueker's function: what is over 1/(k + 1) of a bin counts 1/k, and so on."""

    def scale(shares: Floats) -> Floats:
        multiple = (steps + 1) * shares
        on_step = np.abs(multiple - np.round(multiple)) < TOUCH
        return np.where(on_step, np.minimum(shares, 1.0), np.floor(multiple) / steps)

    return scale


def without_small(least: float) -> Scale:
    """Return the function that drops shares below `least`, and rounds up what fits no other."""

    def scale(shares: Floats) -> Floats:
        kept = np.where(shares < least + TOUCH, 0.0, shares)
        return np.where(shares > 1.0 - least + TOUCH, 1.0, kept)

    return scale


def counted(least: float) -> Scale:
    """Return the function that counts shares from `least` to a half, against what large leave."""
    most = np.floor(1.0 / least + TOUCH)

    def scale(shares: Floats) -> Floats:
        small = np.where(shares < least + TOUCH, 0.0, 1.0 / most)
        beside = np.floor((1.0 - shares) / least + TOUCH)
        return np.where(shares > 0.5 + TOUCH, 1.0 - beside / most, small)

    return scale


def scales_for(shares: Floats) -> list[Scale]:
    """Return functions worth trying on shares of a bin: thresholds just below what occurs."""
    found: list[Scale] = [plain, *(stepped(k) for k in range(1, MOST_STEPS + 1))]
    for low, high, make in ((0.0, 0.5, without_small), (0.05, 0.5, counted)):
        for least in _thresholds(shares, low, high):
            found.append(make(least))
    return found


def _thresholds(shares: Floats, low: float, high: float) -> Sequence[float]:
    """Return thresholds just under the small shares, and just over what large ones leave."""
    near = np.concatenate([shares - 3 * TOUCH, 1.0 - shares + 3 * TOUCH])
    fit = np.unique(np.round(near[(near > max(low, TOUCH)) & (near < high - TOUCH)], 9))
    if len(fit) > MOST_STEPS:
        fit = fit[np.linspace(0, len(fit) - 1, MOST_STEPS).astype(int)]
    return [float(one) for one in fit]
