"""Where the foam goes: one bar, parted as it is used, and its figures."""

from __future__ import annotations

from dataclasses import dataclass

from wirepath.model import FoamBalance, Plan
from wirepath.sheets.figures import fixed
from wirepath.sheets.flow import Flow, Paragraph, Together, heading
from wirepath.sheets.lettering import Box
from wirepath.sheets.page import MEDIUM, Page
from wirepath.wording import Words


@dataclass(frozen=True, slots=True)
class _FoamBar:
    """The foam taken as one bar, parted as it is used: pieces white, waste hatched or black."""

    foam: FoamBalance
    words: Words

    def height_mm(self, width_mm: float) -> float:
        return 10.0

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        high, low = top - 1.0, top - 8.0
        parts = (
            ("", self.foam.pieces),
            ("dots", self.foam.offcuts),
            ("hatch", self.foam.scrap),
            ("cross", self.foam.trim),
            ("black", self.foam.kerf),
        )
        at = x
        for pattern, value in parts:
            end = at + width_mm * value / self.foam.taken if self.foam.taken else at
            _pattern(page, Box(at, low, end, high), pattern)
            page.line([(end, low), (end, high)], MEDIUM)
            at = end
        page.box(Box(x, low, x + width_mm, high), MEDIUM)


def _pattern(page: Page, box: Box, pattern: str) -> None:
    """Fill a box with a pattern that a photocopier keeps apart from the others."""
    if pattern == "black":
        page.fill([(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)])
    if pattern in ("hatch", "cross"):
        for rise in (1, -1) if pattern == "cross" else (1,):
            _hatch(page, box, rise)
    if pattern == "dots":
        y = box.y0 + 1.0
        while y < box.y1 - 0.5:
            page.line([(box.x0, y), (box.x1, y)], 0.35, (0.35, 1.4))
            y += 1.5


def _hatch(page: Page, box: Box, rise: int) -> None:
    at = box.x0 - box.height
    while at < box.x1:
        low, high = max(at, box.x0), min(at + box.height, box.x1)
        if high > low:
            ends = [(low, box.y0 + low - at), (high, box.y0 + high - at)]
            if rise < 0:
                ends = [(x, box.y0 + box.y1 - y) for x, y in ends]
            page.line(ends, 0.13)
        at += 1.6


@dataclass(frozen=True, slots=True)
class _Swatches:
    """A table beside samples of the bar's patterns."""

    row: tuple[str, str, str]
    pattern: str | None
    bold: bool = False

    def height_mm(self, width_mm: float) -> float:
        return 4.9

    def draw(self, page: Page, x: float, top: float, width_mm: float) -> None:
        name, amount, share = self.row
        if self.pattern is not None:
            box = Box(x, top - 4.4, x + 8.0, top - 0.8)
            _pattern(page, box, self.pattern)
            page.box(box, MEDIUM)
        y = top - 3.9
        page.text(x + 10.5, y, name, bold=self.bold)
        page.text(x + 120.0, y, amount, bold=self.bold, align="right")
        page.text(x + 178.0, y, share, bold=self.bold, align="right")


def foam_balance(flow: Flow, plan: Plan, words: Words) -> None:
    """Add the bar and its figures."""
    foam = plan.estimate.foam

    def row(name: str, litres: float) -> tuple[str, str, str]:
        share = 100 * litres / foam.taken if foam.taken else 0.0
        return name, fixed(litres), fixed(share)

    from_rack = (
        _Swatches(row(words.foam_rack, foam.rack), None),
        _Swatches(row(words.foam_taken, foam.taken), None, True),
    )
    if not foam.rack:
        from_rack = ()  # type: ignore[assignment]
    parts = (
        _Swatches(words.foam_heads, None, True),  # type: ignore[arg-type]
        _Swatches(row(words.foam_pieces, foam.pieces), ""),
        _Swatches(row(words.foam_offcuts, foam.offcuts), "dots"),
        _Swatches(row(words.foam_scrap, foam.scrap), "hatch"),
        _Swatches(row(words.foam_trim, foam.trim), "cross"),
        _Swatches(row(words.foam_kerf, foam.kerf), "black"),
        _Swatches(row(words.foam_bought, foam.bought), None, not foam.rack),
        *from_rack,
        _Swatches(row(words.foam_waste, foam.waste), None, True),
    )
    flow.add(Together((heading(words.foam_title), _FoamBar(foam, words), *parts)))
    if plan.estimate.carve_litres is not None:
        carve = words.carve.format(litres=fixed(plan.estimate.carve_litres))
        flow.add(Paragraph(carve, before_mm=1.5))
