"""Several searches at once, each a process with a seed of its own: the best answer wins."""

from __future__ import annotations

import math
import signal
from collections import Counter
from collections.abc import Sequence
from multiprocessing import get_context
from multiprocessing.synchronize import Event

import numpy as np
import shapely
from shapely import box

from wirepath.geometry import clear_face, depth_mm, place
from wirepath.model import Block, Layout, Piece
from wirepath.nesting.laying import SECONDS, Tell, lay_out
from wirepath.nesting.stopping import stop_at, stopped
from wirepath.nesting.ways import ROUNDING_MM
from wirepath.workshop import Workshop

MOST_WORKERS = 8
"""Common practice, no source: more searches of one job find little that fewer do not."""

LOOK_S = 0.1
"""How often a waiting parent looks whether the search is to end: it changes no answer."""

Answer = tuple[tuple[Block, ...], tuple[Layout, ...]]


def lay_out_by(
    workers: int,
    pieces: tuple[Piece, ...],
    workshop: Workshop,
    *,
    seed: int = 0,
    seconds: float = SECONDS,
    sharing: bool = True,
    tell: Tell = lambda text: None,
) -> Answer:
    """Return the best of as many layouts as there are workers, each searched for `seconds`.

    The first has the seed given and is made in this process, so two workers are never
    worse than one; the seeds of the others derive from it. Which finishes first changes
    nothing: the same pieces, workshop, seed, seconds and workers give the same answer.
    A script that asks for more than one must guard its start by `__name__`, for the
    others start afresh and import it. Raises as `lay_out` does.
    """
    if workers == 1 or workshop.rig.kind == "fence":
        return lay_out(pieces, workshop, seed=seed, seconds=seconds, sharing=sharing, tell=tell)
    context = get_context("spawn")
    end = context.Event()
    with context.Pool(workers - 1, initializer=_begin, initargs=(end,)) as pool:
        others = [
            pool.apply_async(_searched, (pieces, workshop, other, seconds, sharing))
            for other in more_seeds(seed, workers - 1)
        ]
        answers = [
            lay_out(pieces, workshop, seed=seed, seconds=seconds, sharing=sharing, tell=tell)
        ]
        for other in others:
            while not other.ready():
                if stopped():
                    end.set()
                other.wait(LOOK_S)
            answers.append(other.get())
    best = min(
        range(workers), key=lambda k: (merit(answers[k], pieces, workshop, sharing=sharing), k)
    )
    if best > 0:
        tell(f"search {best + 1} of {workers} found the better layout")
    return answers[best]


def more_seeds(seed: int, count: int) -> list[int]:
    """Return further seeds, independent of one another, that follow from this one."""
    return [
        int(np.random.SeedSequence([seed, k]).generate_state(1)[0]) for k in range(1, count + 1)
    ]


def merit(
    answer: Answer, pieces: tuple[Piece, ...], workshop: Workshop, *, sharing: bool = True
) -> tuple[float, ...]:
    """Return what makes an answer better, each the less the better, the first counting most.

    Price of the blocks bought, with spare ones, delivery and the hands that set blocks and
    slabs up, once each; their number, the number of slabs; minus the largest offcut that lies
    beyond all pieces of a slab, in mm2 by whole mm of length; and the way of the wire on all
    slabs in whole mm, edges once that are shared after `sharing`, 0 where a slab has too many
    pieces to measure it.
    """
    from wirepath.nesting.edge_sharing import pushed_together
    from wirepath.nesting.gathering import MOST_PIECES, wire_way_mm

    blocks, layouts = answer
    prices = {stock.name: stock.price for stock in workshop.stock}
    outlines = {piece.number: piece.outline for piece in pieces}
    offcut = way = 0.0
    measured = all(len(layout.placements) <= MOST_PIECES for layout in layouts)
    for layout in layouts:
        laid = [place(outlines[one.piece], one) for one in layout.placements]
        # A part of a millimetre of offcut is worth less than a shorter cut.
        right = math.ceil(float(shapely.total_bounds(laid)[2]) - ROUNDING_MM)
        trim = layout.trim_mm
        offcut = max(offcut, (layout.width_mm - trim - right) * layout.height_mm)
        if measured:
            face = box(trim, trim, layout.width_mm - trim, layout.height_mm - trim)
            if sharing:
                laid, _ = pushed_together(laid, clear_face(layout), workshop.cutting)
            way += wire_way_mm(laid, face, workshop.cutting)
    bought = Counter(block.stock for block in blocks if block.stock in prices)
    order = workshop.order
    price = order.delivery_price if bought else 0.0
    for stock, count in bought.items():
        price += (count + math.ceil(count * order.spare_share - 1e-9)) * prices[stock]
    sawn = sum(_is_sawn(block, layouts, workshop) for block in blocks)
    hands_min = (len(layouts) + sawn) * workshop.cutting.setup_min
    price += hands_min / 60 * order.hour_price
    return round(price, 6), len(blocks), len(layouts), -round(offcut, 3), round(way)


def _is_sawn(block: Block, layouts: Sequence[Layout], workshop: Workshop) -> bool:
    """Return whether slabs are sawn from the block, or trims off it."""
    own = [one for one in layouts if one.block == block.number]
    if not own:
        return False
    depth = depth_mm(workshop.stock_named(block.stock), block)
    return len(own) > 1 or own[0].from_mm > 0 or own[0].thickness_mm < depth - ROUNDING_MM


def _begin(end: Event) -> None:
    """Make a worker leave Ctrl-C to its parent, which tells it to end."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    stop_at(end)


def _searched(
    pieces: tuple[Piece, ...], workshop: Workshop, seed: int, seconds: float, sharing: bool
) -> Answer:
    return lay_out(pieces, workshop, seed=seed, seconds=seconds, sharing=sharing)
