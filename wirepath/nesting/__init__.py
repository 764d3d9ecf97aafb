"""Pieces -> slabs and layout on blocks.

    lay_out        blocks to buy or fetch, and the layouts on them
    lay_out_by     the same by several searches at once
    share_edges    pieces pushed together where one cut then serves two
    least_order    blocks and a price that no order can do with less of
    guillotine_cuts   straight cuts through the part in hand that free rectangles

Glossary: the *yard* is what blocks of a foam there are; a *way* is a face and a thickness
that slabs may have; a *variant* is a piece turned one way; a *no-fit region* is where one
variant may not stand as seen from another.
"""

from wirepath.nesting.bounds import Least, least_order
from wirepath.nesting.edge_sharing import share_edges
from wirepath.nesting.guillotine import Cut, Rectangle, guillotine_cuts
from wirepath.nesting.laying import lay_out
from wirepath.nesting.workers import lay_out_by

__all__ = [
    "Cut",
    "Least",
    "Rectangle",
    "guillotine_cuts",
    "lay_out",
    "lay_out_by",
    "least_order",
    "share_edges",
]
