"""Pieces -> slabs and layout on blocks.

    lay_out        blocks to buy and the layouts on them
    fewest_blocks  a number of blocks that no plan can do with fewer of

Glossary: a *way* is a stock size with one edge along the wire; a *variant* is a piece
turned one way; a *no-fit region* is where one variant may not stand as seen from another.
"""

from wirepath.nesting.bounds import fewest_blocks
from wirepath.nesting.laying import lay_out

__all__ = ["fewest_blocks", "lay_out"]
