"""The two ways of a form with seams: cut first, or glue first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wirepath.model.estimate import FoamBalance
from wirepath.model.forms import Piece
from wirepath.model.layouts import Layout
from wirepath.model.passes import Pass


@dataclass(frozen=True, slots=True, kw_only=True)
class GluedBlank:
    """Square cells glued to one blank, from which a form larger than a block is cut.

    `cells` are numbers of pieces. Its form is numbered after the pieces, its layout after
    the layouts on blocks, and so is the block that its layout names: the blank itself,
    once glued (`Plan.with_blanks`). What `layout` holds is the rectangle around the cells.
    """

    number: int
    form: Piece
    cells: tuple[int, ...]
    layout: Layout
    passes: tuple[Pass, ...]
    foam: FoamBalance
    """Where the foam of the cells goes: `bought` is what they hold, there is no trim."""
    loose: tuple[int, ...] = ()
    """Cells whose share of the form no glue holds: to be glued on after the cut."""


WayName = Literal["cut first", "glue first"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamWay:
    """One way to make forms larger than a block, with all else the job holds: to compare.

    `hands_min` are minutes of cutting, setting up, handling the parts of such forms and
    gluing; waste is a share of the foam bought. `blocks` is 0 where no plan could be made.
    """

    way: WayName
    why_not: str = ""
    """Why it cannot be done with this stock and rig; empty where it can."""
    blocks: int = 0
    foam_price: float = 0.0
    hands_min: float = 0.0
    hands_price: float = 0.0
    waste_share: float = 0.0
    wire_mm: float = 0.0
    """Through foam, slab cuts too."""
    seams: int = 0
    seam_mm: float = 0.0
    """Length of the seams that stand square to the back."""
    glue_mm2: float = 0.0
    heaviest_kg: float = 0.0
    """The heaviest lump to lift: a piece, or a glued blank."""
    carve_litres: float | None = None
    """Reliefs: foam left for the carver, after roughing."""

    @property
    def price(self) -> float:
        """Price of foam and hands."""
        return self.foam_price + self.hands_price
