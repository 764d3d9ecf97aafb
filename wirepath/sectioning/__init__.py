"""Forms too large for a block: told early, or split by seams into pieces that fit.

    piece   one lump of foam cut as one
    seam    where pieces of a form meet and are glued
    body    a form, or one layer of it, as seen from the front: what is parted in plan
    room    what a block has to offer a slab: its usable face, its depth along the wire
    lump    what lies of a body in one cell of the pattern, before slivers are joined

`section` parts what is too large, `seams` tells where the parts meet, `reading_rows` in
which rows they stand.
"""

from wirepath.sectioning.buying import GLUE_MIN_PER_M2, PIECE_MIN
from wirepath.sectioning.joints import seams
from wirepath.sectioning.reading import reading_rows
from wirepath.sectioning.sectioning import section

__all__ = ["GLUE_MIN_PER_M2", "PIECE_MIN", "reading_rows", "seams", "section"]
