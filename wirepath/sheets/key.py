"""The key below a picture: a sample of every line and mark, and what it means."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from wirepath.model import Layout, Plan
from wirepath.sheets.figures import cut_finished
from wirepath.sheets.lettering import NOTE, Box, width_mm
from wirepath.sheets.marks import draw_threading, draw_waiting
from wirepath.sheets.page import CHAIN, DASHES, HAIR, HEAVY, MEDIUM, THICK, THIN, Page
from wirepath.sheets.picture import APART_MM, FAR_DASHES, SEAM_DASHES
from wirepath.wording import Words

SAMPLE_MM = 11.0
ROW_MM = 5.4
GAP_MM = 5.0

Draw = Callable[[Page, float, float], None]
"""Draws a sample `SAMPLE_MM` long, from x on, centred on the height y."""


@dataclass(frozen=True, slots=True)
class Sample:
    """A sample of a line or mark, and its meaning."""

    text: str
    draw: Draw

    @property
    def width_mm(self) -> float:
        """Width of sample and words."""
        return SAMPLE_MM + 1.5 + width_mm(self.text, NOTE)


def key_samples(plan: Plan, layout: Layout, scale: float, words: Words) -> list[Sample]:
    """Return the samples for what the picture of a layout shows."""
    gap = plan.workshop.cutting.kerf_mm / 2
    apart = any(
        (gap + plan.piece(one.piece).allowance_mm) / scale >= APART_MM for one in layout.placements
    )
    samples = [
        Sample(words.key_datum, _datum),
        Sample(words.key_in, _entry),
        Sample(words.key_wire, _wire),
        Sample(words.key_way, line_sample(THICK, CHAIN)),
        Sample(words.key_step, _step),
        Sample(words.key_waste, hatched_sample),
    ]
    if any(one.layout == layout.number and one.is_threaded for one in plan.passes):
        samples.append(Sample(words.key_thread, _threading))
    if any(plan.piece(one.piece).taper for one in layout.placements):
        samples.append(Sample(words.key_far, line_sample(MEDIUM, FAR_DASHES)))
    if apart:
        samples.insert(3, Sample(words.key_finished, line_sample(MEDIUM, DASHES)))
    if any(
        plan.piece(one.piece).allowance_mm and cut_finished(plan, plan.piece(one.piece))
        for one in layout.placements
    ):
        samples.append(Sample(words.key_cut_finished, _cut_finished))
    if plan.blank_of(layout) is not None:
        samples.append(Sample(words.key_seam, line_sample(MEDIUM, SEAM_DASHES)))
    if layout.outline is not None:
        samples.append(Sample(words.key_foam_edge, line_sample(HEAVY, ())))
    if layout.blocked:
        samples.append(Sample(words.key_blocked, _blocked))
    if plan.workshop.rig.clamps and not layout.setups:
        samples.append(Sample(words.key_clamp, _clamp))
    if plan.workshop.rig.waits_at is not None and not layout.setups:
        samples.append(Sample(words.key_waits, _waiting))
    if layout.trim_mm / scale >= APART_MM:
        samples.append(Sample(words.key_trim, line_sample(THIN, (0.6, 0.8))))
    if any(plan.piece(one.piece).section_of is not None for one in layout.placements):
        samples.append(Sample(words.key_seam_mark, _seam_mark))
        samples.append(Sample(words.key_up, _up))
    if any(one.layout == layout.number for one in plan.estimate.offcuts):
        samples.append(Sample(words.key_offcut, line_sample(MEDIUM, (3.0, 1.0))))
    return samples


def key_height_mm(samples: Sequence[Sample], room_mm: float) -> float:
    """Return the height the key takes in `room_mm`."""
    return len(_rows(samples, room_mm)) * ROW_MM + 1.5


def draw_key(page: Page, box: Box, samples: Sequence[Sample]) -> float:
    """Draw the key at the top of `box`; return where it ends."""
    y = box.y1 - 1.5
    for row in _rows(samples, box.width):
        x = box.x0
        y -= ROW_MM
        for sample in row:
            sample.draw(page, x, y + ROW_MM / 2)
            page.text(x + SAMPLE_MM + 1.5, y + ROW_MM / 2 - NOTE / 2, sample.text)
            x += sample.width_mm + GAP_MM
    return y


def _rows(samples: Sequence[Sample], room_mm: float) -> list[list[Sample]]:
    rows: list[list[Sample]] = [[]]
    used = 0.0
    for sample in samples:
        if rows[-1] and used + sample.width_mm > room_mm:
            rows.append([])
            used = 0.0
        rows[-1].append(sample)
        used += sample.width_mm + GAP_MM
    return rows


def line_sample(width_mm: float, dashes: tuple[float, ...]) -> Draw:
    """Return what draws a sample of a line."""

    def draw(page: Page, x: float, y: float) -> None:
        page.line([(x, y), (x + SAMPLE_MM, y)], width_mm, dashes)

    return draw


def _wire(page: Page, x: float, y: float) -> None:
    page.line([(x, y), (x + SAMPLE_MM, y)], THICK)
    page.arrow_head(x + 7.0, y, 0.0, 2.8, 0.75)


def _entry(page: Page, x: float, y: float) -> None:
    page.arrow_head(x + SAMPLE_MM, y, 0.0, 5.0, 0.7)


def _seam_mark(page: Page, x: float, y: float) -> None:
    middle = x + SAMPLE_MM - 4.0
    page.line([(x, y), (x + SAMPLE_MM - 1.0, y)], THICK)
    page.line([(middle, y - 2.0), (middle, y + 2.0)], HEAVY)


def _up(page: Page, x: float, y: float) -> None:
    page.line([(x + SAMPLE_MM - 3.0, y - 2.2), (x + SAMPLE_MM - 3.0, y + 1.0)], 0.6)
    page.arrow_head(x + SAMPLE_MM - 3.0, y + 2.4, np.pi / 2, 2.6, 0.8)


def _threading(page: Page, x: float, y: float) -> None:
    draw_threading(page, x + SAMPLE_MM - 2.5, y)


def _datum(page: Page, x: float, y: float) -> None:
    turn = np.linspace(np.pi, 1.5 * np.pi, 13)
    x, y = x + SAMPLE_MM - 3.0, y + 1.5
    page.fill(np.vstack([np.c_[x + 3.6 * np.cos(turn), y + 3.6 * np.sin(turn)], [(x, y)]]))
    page.line([(x, y + 0.5), (x, y), (x + 3.0, y)], 0.7)


def _step(page: Page, x: float, y: float) -> None:
    page.circle(x + SAMPLE_MM - 2.2, y, 2.2)
    page.text(x + SAMPLE_MM - 2.2, y - NOTE / 2, "1", NOTE, bold=True, align="center")


def _blocked(page: Page, x: float, y: float) -> None:
    page.box(Box(x, y - 1.8, x + SAMPLE_MM, y + 1.8), MEDIUM)
    for at in np.arange(x - 3.2, x + SAMPLE_MM, 1.2):
        low, high = max(at, x), min(at + 3.6, x + SAMPLE_MM)
        if high > low:
            for rise in (1.0, -1.0):
                ends = [(low, y + rise * (low - at - 1.8)), (high, y + rise * (high - at - 1.8))]
                page.line(ends, HAIR)


def _waiting(page: Page, x: float, y: float) -> None:
    draw_waiting(page, x + SAMPLE_MM / 2, y)


def _clamp(page: Page, x: float, y: float) -> None:
    low, high = y - 1.8, y + 1.8
    page.fill([(x, low), (x + SAMPLE_MM, low), (x + SAMPLE_MM, high), (x, high)])


def hatched_sample(page: Page, x: float, y: float) -> None:
    """Draw a sample of an area that is hatched."""
    page.box(Box(x, y - 1.8, x + SAMPLE_MM, y + 1.8), THIN)
    for at in np.arange(x - 2.0, x + SAMPLE_MM, 2.4):
        low, high = max(at, x), min(at + 3.6, x + SAMPLE_MM)
        page.line([(low, y - 1.8 + low - at), (high, y - 1.8 + high - at)], HAIR)


def _cut_finished(page: Page, x: float, y: float) -> None:
    page.line([(x, y - 0.8), (x + SAMPLE_MM, y - 0.8)], THICK)
    for at in np.arange(x + 1.5, x + SAMPLE_MM, 2.5):
        page.line([(at, y - 0.8), (at, y + 0.8)], MEDIUM)
