"""Glue first, then cut: forms larger than a block, from blanks glued of square cells.

    cell    a square piece of a block, as sawn: what a blank is glued from
    blank   the cells of a form, glued; the form's outline is cut from it in one set-up
    dry     where a seam gets no glue, as the wire still has to come by
    way     cut first or glue first: two plans of one job, compared

`blank_layouts` lays forms on the cells that `sectioning` found, `glued_blanks` makes blanks
of them once the wire's way is known, `dry_seams` keeps glue off it, `with_blanks` adds what
they take to an estimate, `figures` and `choose` compare.
"""

from wirepath.gluing.blanks import blank_layouts, dry_seams, glued_blanks, way_of
from wirepath.gluing.carved import glue_off_carving
from wirepath.gluing.comparing import choose, figures, refuse_van
from wirepath.gluing.foam import with_blanks
from wirepath.gluing.later import glue_off_cuts

__all__ = [
    "blank_layouts",
    "choose",
    "dry_seams",
    "figures",
    "glue_off_carving",
    "glue_off_cuts",
    "glued_blanks",
    "refuse_van",
    "way_of",
    "with_blanks",
]
