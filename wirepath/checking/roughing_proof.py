"""Promises 3 to 5 for the cuts of one roughing, measured against the form raised again."""

from __future__ import annotations

from collections.abc import Sequence

from wirepath.checking.finding import Finding
from wirepath.checking.prisms import Prism
from wirepath.checking.roughing_clearance import check_clearance
from wirepath.checking.roughing_litres import check_litres
from wirepath.checking.roughing_reach import check_reach
from wirepath.model import RoughingPlan


def check_roughing(
    plan: RoughingPlan,
    prisms: Sequence[Prism],
    *,
    wire_mm: float = float("inf"),
    between_ends: bool = False,
) -> tuple[Finding, ...]:
    """Return what was found of promise 4, of the wire's reach and ends, and of the litres.

    `between_ends`: on a table the whole block must pass between the two ends of the wire.
    """
    return (
        check_clearance(plan, prisms),
        check_reach(plan, wire_mm, between_ends=between_ends),
        check_litres(plan),
    )
