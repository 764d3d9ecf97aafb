"""Quantities: units of length, and numbers that carry their allowed range.

Lengths inside are millimetres, always; other units are converted where they come in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

LengthUnit = Literal["mm", "cm", "m", "inch", "foot"]

# Exact by definition: 1 inch = 25.4 mm (international yard and pound agreement, 1959).
MM_PER_UNIT: dict[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "inch": 25.4, "foot": 304.8}


@dataclass(frozen=True, slots=True)
class Range:
    """The range a number in a settings file must lie in; `over` excludes its bound."""

    least: float = float("-inf")
    most: float = float("inf")
    over: float | None = None

    def complaint(self, value: float) -> str | None:
        """Return what is wrong with `value`, or None when it lies in the range."""
        if value != value:
            return "is not a number"
        if self.over is not None and value <= self.over:
            return f"must be more than {self.over:g}, is {value:g}"
        if value < self.least:
            return f"must be at least {self.least:g}, is {value:g}"
        if value > self.most:
            return f"must be at most {self.most:g}, is {value:g}"
        return None


# 100 m: larger than any block, piece or hall floor; past it a wrong unit is more likely.
SizeMm = Annotated[float, Range(over=0, most=100_000)]
LengthMm = Annotated[float, Range(least=0, most=100_000)]
SmallMm = Annotated[float, Range(least=0, most=500)]
Positive = Annotated[float, Range(over=0, most=1e9)]
NotNegative = Annotated[float, Range(least=0, most=1e9)]
Share = Annotated[float, Range(least=0, most=1)]
Count = Annotated[int, Range(least=1, most=100_000)]
CountOrNone = Annotated[int, Range(least=0, most=100_000)]


def told_apart(value: float, limit: float, decimals: int = 1) -> str:
    """Return `value` to `decimals`, or to as many more as tell it from `limit`.

    For messages that one figure is past another: both rounded, they would read the same.
    Equal figures, and those nearer than 1e-6, are told as they are.
    """
    shown = float(f"{limit:g}")
    for places in range(decimals, 7):
        text = f"{value:.{places}f}"
        if value == limit or (float(text) != shown and (float(text) < shown) == (value < limit)):
            return text
    return f"{value:.{decimals}f}"


def litres(mm3: float) -> float:
    """Return cubic millimetres as litres (1 litre = 1e6 mm3)."""
    return mm3 / 1e6


def kilograms(mm3: float, density_kg_per_m3: float) -> float:
    """Return the mass of `mm3` of foam in kg (1 m3 = 1e9 mm3)."""
    return mm3 * density_kg_per_m3 / 1e9
