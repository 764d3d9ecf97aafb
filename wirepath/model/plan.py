"""The whole plan, as it is proved and written."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from wirepath.model.assembly import Assembly, Load, Seam
from wirepath.model.drawing import Traced
from wirepath.model.estimate import Estimate
from wirepath.model.forms import Piece
from wirepath.model.job import Job
from wirepath.model.layouts import Block, Layout
from wirepath.model.passes import Pass, PieceMiss
from wirepath.model.roughing import RoughingPlan
from wirepath.model.ways import GluedBlank, SeamWay
from wirepath.units import kilograms
from wirepath.workshop import Stock, Workshop

PLAN_VERSION = 1
"""Raised whenever an older reader would misread a plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughedForms:
    """Forms roughed out of blocks of their own, with all that proves them: `roughing.json`."""

    version: int
    job: Job
    workshop: Workshop
    traced: Traced
    roughing: tuple[RoughingPlan, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything, from job to passes: what `plan.json` holds."""

    version: int
    job: Job
    workshop: Workshop
    traced: Traced
    pieces: tuple[Piece, ...]
    blocks: tuple[Block, ...]
    layouts: tuple[Layout, ...]
    passes: tuple[Pass, ...]
    estimate: Estimate
    misses: tuple[PieceMiss, ...] = ()
    """Of every piece that the round slot misses anywhere, in the order of the pieces."""
    seams: tuple[Seam, ...] = ()
    assembly: Assembly = field(default_factory=Assembly)
    loads: tuple[Load, ...] = ()
    """Where the workshop has a van: in the order of the ways."""
    fewest_loads: int = 0
    """No plan can do with fewer loads: a lower bound by volume of foam and by payload."""
    roughing: tuple[RoughingPlan, ...] = ()
    """Reliefs: the straight cuts that take the bulk off their pieces, unless not asked for."""
    blanks: tuple[GluedBlank, ...] = ()
    """Where blanks are glued first: forms cut from them; `pieces` hold the cells."""
    ways: tuple[SeamWay, ...] = ()
    """Both ways compared; none where nothing has to be parted: they are the same then."""

    @property
    def main_seams(self) -> tuple[int, ...]:
        """Numbers of the seams glued on site, where groups glued before travel in the van."""
        places = {step.place for step in self.assembly.steps}
        if not self.loads or "workshop" not in places:
            return ()
        on_site = [step for step in self.assembly.steps if step.place == "site"]
        return tuple(sorted(number for step in on_site for number in step.seams))

    def with_blanks(self) -> Plan:
        """Return the plan with its blanks as blocks, their forms as pieces laid on them.

        The forms are made of foam that the pieces hold already, so what adds up pieces or
        blocks needs the plan itself. A plan that has them in line already stays as it is.
        """
        if not self.blanks or len(self.layouts) >= self.blanks[0].layout.number:
            return self
        layouts = [blank.layout for blank in self.blanks]
        stock = [
            Stock(
                name=f"glued blank {blank.number}",
                foam=blank.form.foam,
                length_mm=blank.layout.width_mm,
                width_mm=blank.layout.height_mm,
                thickness_mm=blank.layout.thickness_mm,
                price=0.0,
            )
            for blank in self.blanks
        ]
        densities = {foam.name: foam.density_kg_per_m3 for foam in self.workshop.foams}
        weights = [
            (
                blank.form.number,
                kilograms(blank.foam.pieces * 1e6, densities.get(blank.form.foam, 0.0)),
            )
            for blank in self.blanks
        ]
        return replace(
            self,
            workshop=replace(self.workshop, stock=(*self.workshop.stock, *stock)),
            pieces=(*self.pieces, *(blank.form for blank in self.blanks)),
            blocks=(
                *self.blocks,
                *(
                    Block(number=layout.block, stock=own.name, wire_axis="thickness")
                    for layout, own in zip(layouts, stock, strict=True)
                ),
            ),
            layouts=(*self.layouts, *layouts),
            passes=(*self.passes, *(one for blank in self.blanks for one in blank.passes)),
            estimate=replace(
                self.estimate, piece_weights_kg=(*self.estimate.piece_weights_kg, *weights)
            ),
        )

    def blank_of(self, layout: Layout) -> GluedBlank | None:
        """Return the blank that a layout is cut from; None where that is a block."""
        return next((one for one in self.blanks if one.layout.number == layout.number), None)

    def piece(self, number: int) -> Piece:
        """Return the piece with this number (they count from 1, without gaps)."""
        return self.pieces[number - 1]

    def block(self, number: int) -> Block:
        """Return the block with this number (they count from 1, without gaps)."""
        return self.blocks[number - 1]
