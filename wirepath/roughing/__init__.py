"""Roughing: the bulk taken off with few straight cuts, never below the form and its allowance.

A form is a stack of levels, the blank a box; each cut is a straight wire moved along a path
in the plane square to it. Grids rank directions; paths come from exact silhouettes.
docs/roughing.md tells how cuts are found, chosen, ordered and proved.
"""

from wirepath.roughing.forms import rough_forms, rough_pieces
from wirepath.roughing.later import cuts_after_gluing
from wirepath.roughing.planning import (
    carving_hours,
    litres_by_cut,
    plan_pieces,
    plan_roughing,
    snug_blank,
)
from wirepath.roughing.stack import raised, sloped
from wirepath.roughing.tools import Tools, tools_of
from wirepath.roughing.ways import grid_pieces

__all__ = [
    "Tools",
    "carving_hours",
    "cuts_after_gluing",
    "grid_pieces",
    "litres_by_cut",
    "plan_pieces",
    "plan_roughing",
    "raised",
    "rough_forms",
    "rough_pieces",
    "sloped",
    "snug_blank",
    "tools_of",
]
