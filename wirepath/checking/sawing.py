"""How a block is sawn into slabs: what depths slabs and cuts take, and what they leave."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import Polygon

from wirepath.checking.finding import EXACT_MM
from wirepath.geometry import depth_mm, face_size_mm
from wirepath.model import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A block less its trim: face and depth, and the depths its slabs and cuts take."""

    width_mm: float
    height_mm: float
    face_mm2: float
    """Area of the trimmed face."""
    near_mm: float
    far_mm: float
    slabs: tuple[tuple[float, float], ...]
    """(from, to) of every slab, mm from the datum face, in order."""
    cuts: tuple[tuple[float, float], ...]
    """(from, to) of every slab cut, as far as it lies in the trimmed depth: nought in the trim."""

    @property
    def left_mm(self) -> float:
        """Depth that is neither slab nor cut."""
        taken = sum(to - start for start, to in (*self.slabs, *self.cuts))
        return self.far_mm - self.near_mm - taken


def room_in(plan: Plan, number: int) -> Room:
    """Return the block less its trim, with its slabs and the cuts that free them.

    A slab has a cut on either side, but for a face of the block as bought. Where the
    next slab begins a kerf further on, they share it. A rough face is sawn off too:
    that cut lies in the trim, and takes nothing of the trimmed depth.
    """
    block = plan.block(number)
    stock = plan.workshop.stock_named(block.stock)
    width, height = face_size_mm(stock, block.wire_axis)
    depth = depth_mm(stock, block)
    trim, kerf = stock.trim_mm, plan.workshop.cutting.kerf_mm
    near, far = trim, depth - trim
    slabs = sorted(
        (layout.from_mm, layout.from_mm + layout.thickness_mm)
        for layout in plan.layouts
        if layout.block == number
    )
    cuts = []
    reached = 0.0
    for start, end in slabs:
        if start - reached > EXACT_MM:
            cuts.append((max(start - kerf, reached), start))
        reached = end
        if depth - end > EXACT_MM:
            reached = end + kerf
            cuts.append((end, reached))
    face_mm2 = (width - 2 * trim) * (height - 2 * trim)
    if stock.outline:
        inner = shapely.buffer(Polygon(stock.outline), -trim, join_style="mitre", mitre_limit=1e6)
        face_mm2 = float(shapely.area(inner))
    return Room(
        width_mm=width - 2 * trim,
        height_mm=height - 2 * trim,
        face_mm2=face_mm2,
        near_mm=near,
        far_mm=far,
        slabs=tuple(slabs),
        cuts=tuple((_within(start, near, far), _within(to, near, far)) for start, to in cuts),
    )


def _within(depth: float, near_mm: float, far_mm: float) -> float:
    return min(max(depth, near_mm), far_mm)
