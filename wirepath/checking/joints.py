"""Where pieces of a parted form meet, measured from the pieces, and the seams told of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import Geometry, STRtree, box

from wirepath import overlay
from wirepath.checking.finding import (
    CRUMB_MM2,
    EXACT_MM,
    FLAKE_MM,
    LENGTH_SHARE,
    SAME_SHARE,
    same,
)
from wirepath.checking.scene import inside_point, objects
from wirepath.errors import Fault
from wirepath.model import Piece, Plan, Seam

TOUCH_MM = 0.001
"""Edges nearer than this touch: corners of slanted seams miss each other's edge by rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Where two pieces meet: a line seen from the front and its heights, or an area."""

    kind: Literal["edge", "layer"]
    place: Geometry
    from_mm: float
    to_mm: float

    @property
    def size(self) -> float:
        """Length of an edge's line in mm, area of a layer in mm2."""
        measure = shapely.length if self.kind == "edge" else shapely.area
        return float(measure(self.place))


Joints = Mapping[tuple[int, int], Joint]
"""By the numbers of the two pieces, the lower one first."""


def joints(pieces: Sequence[Piece]) -> Joints:
    """Return every place where two pieces of one form meet.

    Edges shorter than `FLAKE_MM` (corners that touch) and crumbs of area are none.
    """
    outlines = objects(tuple(piece.outline for piece in pieces))
    low = np.array([piece.from_mm for piece in pieces])
    top = low + np.array([piece.thickness_mm for piece in pieces])
    one, other = STRtree(outlines).query(outlines, predicate="dwithin", distance=TOUCH_MM)
    # Cells of two blanks may lie over each other in the drawing, yet never meet.
    forms = np.array([piece.section_of for piece in pieces], dtype=object)
    pairs = (one < other) & (forms[one] == forms[other])
    one, other = one[pairs], other[pairs]
    floor, ceiling = np.maximum(low[one], low[other]), np.minimum(top[one], top[other])
    beside = ceiling - floor > EXACT_MM
    over = np.abs(ceiling - floor) <= EXACT_MM
    places = np.empty(len(one), dtype=object)
    near = shapely.buffer(outlines, TOUCH_MM)
    places[beside] = overlay.intersection(
        shapely.boundary(outlines[one[beside]]), near[other[beside]]
    )
    places[over] = overlay.intersection(outlines[one[over]], outlines[other[over]])
    met = np.zeros(len(one), dtype=bool)
    met[beside] = shapely.length(places[beside]) > FLAKE_MM
    met[over] = shapely.area(places[over]) > CRUMB_MM2
    found: dict[tuple[int, int], Joint] = {}
    for k in np.flatnonzero(met).tolist():
        pair = sorted((pieces[one[k]].number, pieces[other[k]].number))
        found[pair[0], pair[1]] = Joint(
            kind="edge" if beside[k] else "layer",
            place=places[k],
            from_mm=float(floor[k]),
            to_mm=float(ceiling[k]),
        )
    return found


def seam_faults(plan: Plan, met: Joints) -> list[Fault]:
    """Return where the plan's seams are not exactly the places where pieces meet."""
    told: dict[tuple[int, int], list[Seam]] = defaultdict(list)
    for seam in plan.seams:
        told[min(seam.pieces), max(seam.pieces)].append(seam)
    faults = [
        Fault(
            f"they meet over {joint.size:.1f} {_unit(joint)}, but no seam is told",
            _where(pair, joint),
        )
        for pair, joint in met.items()
        if pair not in told
    ]
    for pair, seams in told.items():
        if pair not in met:
            faults.append(Fault("a seam is told, but these pieces do not meet", _where(pair)))
            continue
        faults += _pair_faults(met[pair], seams, _where(pair, met[pair]))
    return faults


def _pair_faults(joint: Joint, seams: Sequence[Seam], where: str) -> list[Fault]:
    """Return how the seams told for two pieces differ from where they meet."""
    faults = []
    for seam in seams:
        if seam.kind != joint.kind:
            return [Fault(f"the seam told is of kind {seam.kind!r}, it is {joint.kind!r}", where)]
        heights = (seam.from_mm, seam.to_mm), (joint.from_mm, joint.to_mm)
        if any(abs(a - b) > EXACT_MM for a, b in zip(*heights, strict=True)):
            words = [f"{low:g} to {top:g} mm" for low, top in heights]
            faults.append(Fault(f"a seam is told at {words[0]}, they meet at {words[1]}", where))
        if joint.kind == "edge":
            beside = shapely.buffer(joint.place, 2 * TOUCH_MM)
            off, most = float(shapely.length(overlay.difference(seam.place, beside))), FLAKE_MM
        else:
            off, most = float(shapely.area(overlay.difference(seam.place, joint.place))), CRUMB_MM2
        if off > most:
            faults.append(Fault(f"{off:.1f} {_unit(joint)} of the seam told lie elsewhere", where))
    if joint.kind == "edge":
        told = sum(float(shapely.length(seam.place)) for seam in seams)
        right = same(told, joint.size, share=LENGTH_SHARE, least=FLAKE_MM)
    else:
        told = sum(float(shapely.area(seam.place)) for seam in seams)
        right = same(told, joint.size, share=SAME_SHARE, least=CRUMB_MM2)
    if not right:
        what = f"{told:.1f} {_unit(joint)} of seam told, {joint.size:.1f} measured"
        faults.append(Fault(what, where))
    return faults


def clear_faults(plan: Plan, met: Joints) -> list[Fault]:
    """Return edges that run through a place the job keeps clear of seams.

    Layers lie behind the front, so they may pass under it.
    """
    edges = [(pair, joint) for pair, joint in met.items() if joint.kind == "edge"]
    lines = objects(tuple(joint.place for _, joint in edges))
    faults = []
    zones = [
        box(zone.x_mm, zone.y_mm, zone.x_mm + zone.width_mm, zone.y_mm + zone.height_mm)
        for zone in plan.job.seams.keep_clear
    ]
    for zone in (*zones, *plan.traced.keep_clear):
        inside = overlay.intersection(lines, zone.buffer(-TOUCH_MM))
        faults += [
            Fault(
                f"{shapely.length(inside[k]):.1f} mm of seam run through the place to keep clear "
                f"at {zone.bounds[0]:g}, {zone.bounds[1]:g}",
                _where(*edges[k]),
            )
            for k in np.flatnonzero(shapely.length(inside) > FLAKE_MM).tolist()
        ]
    return faults


def _unit(joint: Joint) -> str:
    return "mm" if joint.kind == "edge" else "mm2"


def _where(pair: tuple[int, int], joint: Joint | None = None) -> str:
    """Return two pieces in words, with a point of the drawing where they meet."""
    words = f"pieces {pair[0]} and {pair[1]}"
    if joint is None:
        return words
    x, y = inside_point(joint.place)
    return f"{words}, near x {x:.1f}, y {y:.1f} mm of the drawing"
