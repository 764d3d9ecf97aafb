"""Promise 3: a pass is one unbroken line from air to air, or from where the wire is threaded."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, MultiLineString, Polygon, STRtree, box

from wirepath import overlay
from wirepath.checking.finding import DEPTH_MM, EDGE_MM, EXACT_MM, Finding, found, place_of
from wirepath.checking.following import follows, straight_steps
from wirepath.checking.scene import Scene, lines_of
from wirepath.errors import Fault
from wirepath.geometry import place
from wirepath.model import Pass
from wirepath.workshop import HoleWay


def check_passes(scenes: Sequence[Scene], holes: HoleWay = "slit") -> Finding:
    """Return whether every pass can be run with a wire that never lifts.

    An unbroken line that starts outside the foam can only enter it through an edge,
    so continuity and the two ends prove the entries too. `holes` is how the workshop
    reaches holes whose piece does not say.
    """
    faults: list[Fault] = []
    passes = moves = threaded = 0
    for scene in scenes:
        here: list[Fault] = []
        for one in scene.passes:
            ends = _threading(scene, one, holes) if one.is_threaded else _ends_in_foam(scene, one)
            here += _broken(one) + ends + _dead_feeds(one)
        here += _false_air(scene) + _new_cuts(scene) + _strangers(scene)
        here += _unasked_ways(scene, holes) + _wrong_beginnings(scene)
        faults += scene.told(here)
        if scene.is_first:
            passes, moves = passes + len(scene.passes), moves + len(scene.moves)
            threaded += sum(one.is_threaded for one in scene.passes)
    return found(
        3,
        "Every pass is one unbroken line from air to air",
        f"{passes} passes, {moves} moves: joints, ends, air and slots measured"
        + (f"; {threaded} begin where the wire is threaded" if threaded else ""),
        faults,
    )


def _where(one: Pass, step: int, at: NDArray[np.float64]) -> str:
    x, y = at
    return f"{place_of(one.layout)}, pass {one.number}, move {step}, near x {x:.1f}, y {y:.1f} mm"


def _broken(one: Pass) -> list[Fault]:
    """Return joints where a move does not start at the end of the one before."""
    coordinates = [shapely.get_coordinates(move.line) for move in one.moves]
    faults = []
    for step, (before, after) in enumerate(pairwise(coordinates), 2):
        gap = float(np.hypot(*(after[0] - before[-1])))
        if gap > EXACT_MM:
            faults.append(
                Fault(
                    f"the move starts {gap:.3f} mm from the end of the one before",
                    _where(one, step, after[0]),
                )
            )
    return faults


def _ends_in_foam(scene: Scene, one: Pass) -> list[Fault]:
    """Return the ends of a pass that lie in the foam, as far as fence cuts left it whole."""
    if not one.moves:
        return [Fault("the pass has no moves", f"{place_of(one.layout)}, pass {one.number}")]
    foam: Geometry = scene.face
    if scene.layout.fence_cuts:
        slots = [
            shapely.buffer(move.line, scene.half_kerf_mm, cap_style="flat")
            for before in scene.passes
            if before.number < one.number
            for move in before.moves
            if move.kind == "fence"
        ]
        foam = overlay.difference(foam, overlay.union(slots))
    inner = shapely.buffer(foam, -EDGE_MM)
    ends = (
        ("starts", 1, shapely.get_coordinates(one.moves[0].line)[0]),
        ("ends", len(one.moves), shapely.get_coordinates(one.moves[-1].line)[-1]),
    )
    return [
        Fault(f"the pass {word} in the foam: the wire cannot lift", _where(one, step, at))
        for word, step, at in ends
        if inner.intersects(shapely.points(at))
    ]


def _threading(scene: Scene, one: Pass, holes: HoleWay) -> list[Fault]:
    """Return what is wrong with a pass that begins where the wire is threaded.

    Its ends lie in one point, in the waste of a hole of the piece it names, clear of the
    foam of every piece; whether this piece asks for it is told by `_unasked_ways`.
    """
    first, last = one.moves[0], one.moves[-1]
    ends = shapely.get_coordinates(first.line)[0], shapely.get_coordinates(last.line)[-1]
    where = _where(one, 1, ends[0])
    faults = []
    if np.hypot(*(ends[1] - ends[0])) > EXACT_MM:
        faults.append(Fault("the pass does not end where the wire was threaded", where))
    at = shapely.points(ends[0])
    near = [
        number
        for number, placed in zip((p.number for p in scene.pieces), scene.placed, strict=True)
        if placed.dwithin(at, scene.half_kerf_mm - DEPTH_MM)
    ]
    faults += [Fault(f"the wire is threaded through piece {number}", where) for number in near]
    rings = [
        ring
        for piece, placed in zip(scene.pieces, scene.placed, strict=True)
        if piece.number == first.piece
        for ring in placed.interiors
    ]
    if not any(Polygon(ring).contains(at) for ring in rings):
        faults.append(Fault(f"the wire is threaded in no hole of piece {first.piece}", where))
    return faults


def _wrong_beginnings(scene: Scene) -> list[Fault]:
    """Return outlines that begin elsewhere than where their piece asks for."""
    faults = []
    for piece, placement in zip(scene.pieces, scene.layout.placements, strict=True):
        if piece.entry is None and piece.entry_at is None:
            continue
        own = [
            move.line
            for one in scene.passes
            if not one.is_threaded
            for move in one.moves
            if move.piece == piece.number and move.kind in ("outline", "slot")
        ]
        corners = shapely.get_coordinates(piece.outline.exterior)
        if piece.entry_at is not None:
            border = piece.outline.exterior
            asked = shapely.get_coordinates(
                shapely.line_interpolate_point(
                    border, shapely.line_locate_point(border, shapely.points(piece.entry_at))
                )
            )
        else:
            asked = corners[_nearest_to(piece.entry or "", corners)]
        # Wherever several corners are as near, any of them is taken for right.
        tips = [place(box(x, y, x, y), placement).exterior.coords[0] for x, y in asked.tolist()]
        spots = np.asarray(shapely.points(tips))
        if not own:
            continue
        begin = shapely.get_point(own[0], 0)
        slack = shapely.distance(spots, overlay.union(own)) + DEPTH_MM
        if not (shapely.distance(spots, begin) <= slack + scene.half_kerf_mm).any():
            at = shapely.get_coordinates(begin)[0]
            faults.append(
                Fault(
                    "its outline begins elsewhere than was asked for",
                    place_of(scene.layout.number, piece=piece.number, at=(at[0], at[1])),
                )
            )
    return faults


def _nearest_to(words: str, corners: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return which of the corners (n, 2) lie nearest to a side or corner of their box, (n,)."""
    low, high = corners.min(axis=0), corners.max(axis=0)
    gaps = {
        "left": corners[:, 0] - low[0],
        "right": high[0] - corners[:, 0],
        "lower": corners[:, 1] - low[1],
        "upper": high[1] - corners[:, 1],
    }
    off = np.sqrt(np.sum([gaps[word] ** 2 for word in words.split()], axis=0))
    nearest: NDArray[np.bool_] = off <= off.min() + 0.001
    return nearest


def _unasked_ways(scene: Scene, holes: HoleWay) -> list[Fault]:
    """Return slits of pieces that ask to be threaded, threadings of others, and late ones."""
    asked = {piece.number: piece.holes or holes for piece in scene.pieces}
    faults = []
    for one in scene.passes:
        for step, move in enumerate(one.moves, 1):
            if move.kind not in ("slit", "thread") or asked.get(move.piece or 0) == move.kind:
                continue
            where = _where(one, step, shapely.get_coordinates(move.line)[0])
            what = "slit" if move.kind == "slit" else "threaded"
            faults.append(
                Fault(f"a hole of piece {move.piece} is {what}, which is not asked", where)
            )
        faults += [
            Fault(
                "the wire is threaded in the middle of a pass",
                _where(one, step, shapely.get_coordinates(move.line)[0]),
            )
            for step, move in enumerate(one.moves[1:], 2)
            if move.kind == "thread"
        ]
    return faults


def _dead_feeds(one: Pass) -> list[Fault]:
    """Return moves whose feed is nought or less."""
    return [
        Fault(
            f"a move '{move.kind}' has a feed of {move.feed_mm_per_s:g} mm/s",
            _where(one, step, shapely.get_coordinates(move.line)[0]),
        )
        for step, move in enumerate(one.moves, 1)
        if not 0 < move.feed_mm_per_s < float("inf")
    ]


def _false_air(scene: Scene) -> list[Fault]:
    """Return moves called air that run through the block, cut or not."""
    inner = scene.face.buffer(-EDGE_MM)
    shapely.prepare(inner)
    faults = []
    for one in scene.passes:
        for step, move in enumerate(one.moves, 1):
            if move.kind == "air" and inner.intersects(move.line):
                inside = overlay.intersection(inner, move.line)
                faults.append(
                    Fault(
                        f"a move 'air' runs {inside.length:.2f} mm through the foam",
                        _where(one, step, shapely.get_coordinates(inside)[0]),
                    )
                )
    return faults


def _new_cuts(scene: Scene) -> list[Fault]:
    """Return moves said to run in a slot that melt foam no earlier move has melted.

    The wire may stray `DEPTH_MM` from the earlier line; what lies off the block is air.
    """
    lines = lines_of(scene.moves)
    steps, turn = straight_steps(lines)
    said = np.array([move.kind in ("slot", "overrun") for move in scene.moves])[turn]
    open_ = said.copy()
    depths = np.full(len(steps), DEPTH_MM)
    open_[said] = ~follows(steps[said], steps, depths, before=(turn[said], turn))
    tree = STRtree(lines)
    inner = scene.face.buffer(-EDGE_MM)
    faults, index = [], -1
    for one in scene.passes:
        for step, move in enumerate(one.moves, 1):
            index += 1
            rest = steps[open_ & (turn == index)]
            if not len(rest):
                continue
            near = tree.query(move.line, predicate="dwithin", distance=DEPTH_MM)
            old = overlay.union(shapely.buffer(lines[near[near < index]], DEPTH_MM))
            left = overlay.difference(MultiLineString(list(rest)), old)
            new = overlay.intersection(left, inner)
            if new.length > EDGE_MM:
                faults.append(
                    Fault(
                        f"a move '{move.kind}' leaves the earlier slot for {new.length:.2f} mm",
                        _where(one, step, shapely.get_coordinates(new)[0]),
                    )
                )
    return faults


def _strangers(scene: Scene) -> list[Fault]:
    """Return cuts along an outline or a hole that name no piece of their layout."""
    here = {piece.number for piece in scene.pieces}
    return [
        Fault(
            f"a move '{move.kind}' names piece {move.piece}, which is not on this layout",
            _where(one, step, shapely.get_coordinates(move.line)[0]),
        )
        for one in scene.passes
        for step, move in enumerate(one.moves, 1)
        if (move.kind in ("outline", "hole") or move.piece is not None) and move.piece not in here
    ]
