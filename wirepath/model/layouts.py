"""Blocks and what lies on them."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import Polygon

from wirepath.model.passes import FenceCut, Rest
from wirepath.workshop import Axis

FENCE_MM = 0.1
"""A fence that need not move further than this is left where it is (common practice, no
source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where a piece lies on its layout.

    Its outline in the drawing's frame is flipped left to right first if `flipped`
    (x -> -x), then turned by `angle_deg` counter-clockwise about 0, 0, then shifted
    by `x_mm`, `y_mm`. `geometry.place` does it.
    """

    piece: int
    x_mm: float
    y_mm: float
    angle_deg: float = 0.0
    flipped: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A block that will be bought, or a piece from the rack; `stock` names which.

    `wire_axis` is the edge the wire lies along.

    The layout's face is spanned by the other two edges, the longer one along x.
    `slabs` lie in order from the datum face along `wire_axis`.
    """

    number: int
    stock: str
    wire_axis: Axis


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """How a block lies on the table while some passes of its layout are cut.

    Turned by `turn_deg`, a number of quarter turns counter-clockwise, with the datum corner
    of the layout at `x_mm`, `y_mm` from the table's: where that corner lies in the first
    place. `geometry.on_table` takes points there.
    """

    turn_deg: float = 0.0
    x_mm: float = 0.0
    y_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Pieces placed on the face of one slab, which is cut as one.

    The frame has its datum corner at the lower left of the face *as bought*, x to
    the right, y up, seen from the front. `from_mm` to `from_mm + thickness_mm` is
    the slab's place in the block along the wire, measured from the datum face. A
    slab as thick as its block is the block itself and needs no slab cut.
    """

    number: int
    block: int
    from_mm: float
    thickness_mm: float
    width_mm: float
    height_mm: float
    trim_mm: float
    placements: tuple[Placement, ...]
    held: tuple[int, ...] = ()
    """Pieces that come free after something they stand on, where the wire is level: to be
    held by hand."""
    drawn_out: tuple[int, ...] = ()
    """Pieces that parted waste holds all the same: to be drawn out along the wire."""
    scarred: tuple[int, ...] = ()
    """Pieces whose line begins on a seam or a finished side, since no way led elsewhere."""
    thin_waste: tuple[tuple[float, float], ...] = ()
    """Places on entries and links beside which waste stands thinner than `web_mm`, since no
    way led elsewhere."""
    outline: Polygon | None = None
    """The edge of the foam on this face, where it is no full rectangle."""
    blocked: tuple[Polygon, ...] = ()
    """Areas of the face that no piece may cover."""
    fence_cuts: tuple[FenceCut, ...] = ()
    """Where a fence guides the foam: the cuts in order, each the pass of the same number."""
    setups: tuple[Setup, ...] = ()
    """How the block lies for the passes of setup 1, 2, ...; empty where it lies at the datum
    and is cut in one setup, within the table's travel."""
    rests: tuple[Rest, ...] = ()
    """Of a bow: where to rest on passes that are too long for one go, in order."""

    def setup(self, number: int) -> Setup:
        """Return how the block lies in a setup; counted from 1."""
        return self.setups[number - 1] if self.setups else Setup()

    @property
    def fence_settings(self) -> tuple[tuple[FenceCut, ...], ...]:
        """The cuts along the fence, those together for which it stays where it is."""
        groups: list[list[FenceCut]] = []
        for cut in self.fence_cuts:
            if not groups or abs(cut.fence_mm - groups[-1][0].fence_mm) > FENCE_MM:
                groups.append([])
            groups[-1].append(cut)
        return tuple(tuple(group) for group in groups)
