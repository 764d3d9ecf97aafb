"""Pins and glue keep off every roughing cut that is made once a form is glued.

A cut's lines are placed in space by its frame, and seen anew along its wire: there the wire is
a point, and how far it passes from a pin or from glue is a distance in a plane.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, MultiLineString, MultiPolygon

from wirepath import overlay
from wirepath.checking.finding import CRUMB_MM2, DEPTH_MM, EDGE_MM, EXACT_MM, FLAKE_MM
from wirepath.errors import Fault
from wirepath.geometry import polygons
from wirepath.model import Plan, RoughingCut, Seam

SLACK_MM = 2 * DEPTH_MM
"""A way may be short by this: round ends drawn by chords."""

NEAR_MM = 60.0
"""Seams may stay dry so much farther from a cut than asked: glue ends at one height over some
50 mm of a seam, in whole centimetres."""

STEP_MM = 10.0
"""Places on a seam that are looked at lie so far apart."""

NEEDLESS_SHARE = 0.05
"""And so much of a seam may stay dry farther still: what lies beyond a dip of the cut."""

Numbers = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Cut:
    """A cut seen along its wire: `across` (2, 3) turns points of the form into that view."""

    name: str
    across: Numbers
    lines: Geometry
    kept: Geometry

    def seen(self, points: Numbers) -> Numbers:
        """Return points (..., 3) of the form's frame as they look along the wire, (..., 2)."""
        places: Numbers = points @ self.across.T
        return places


def later_cut_faults(plan: Plan) -> Iterator[Fault]:
    """Give pins and glue that lie nearer to a cut made after gluing than they may."""
    for rough in plan.roughing:
        glued = {blank.number for blank in rough.blanks if len(blank.pieces) > 1}
        cuts = [_seen(rough.name, cut) for cut in rough.cuts if cut.blank in glued]
        if not cuts:
            continue
        for number, seam in enumerate(plan.seams, 1):
            if plan.piece(seam.pieces[0]).section_of in rough.forms:
                where = f"seam {number}, pieces {seam.pieces[0]} and {seam.pieces[1]}"
                for what in _of_seam(plan, seam, cuts):
                    yield Fault(what, where)
                yield from _of_pins(plan, number, cuts)


def _seen(name: str, cut: RoughingCut) -> _Cut:
    frame = np.array([cut.direction.right, cut.direction.up])
    _, _, axes = np.linalg.svd(np.array([cut.direction.wire]))
    across: Numbers = axes[1:]

    def anew(points: Numbers) -> Numbers:
        turned: Numbers = (points + cut.datum) @ frame @ across.T
        return turned

    return _Cut(
        name=f"roughing of {name!r}, cut {cut.number}",
        across=across,
        lines=shapely.transform(MultiLineString(cut.lines), anew),
        kept=shapely.transform(overlay.union(list(cut.kept)), anew),
    )


def _of_pins(plan: Plan, number: int, cuts: Sequence[_Cut]) -> Iterator[Fault]:
    pins = [pin for pin in plan.assembly.pins if pin.seam == number]
    if not pins:
        return
    ends = np.array([(pin.start, pin.end) for pin in pins])
    least = plan.workshop.glue.pin_clear_mm
    for cut in cuts:
        axes = np.asarray(shapely.linestrings(cut.seen(ends)))
        gaps = np.asarray(shapely.distance(axes, cut.lines))
        for k in np.flatnonzero(gaps < least - SLACK_MM).tolist():
            what = f"it lies {gaps[k]:.1f} mm from the wire, {least:g} mm are asked"
            yield Fault(f"{cut.name}: {what}", f"pin {pins[k].number}")


# --- Glue ----------------------------------------------------------------------------


def _of_seam(plan: Plan, seam: Seam, cuts: Sequence[_Cut]) -> Iterator[str]:
    """Give how a seam's glue is not as it should be, cut by cut and as a whole."""
    if seam.kind == "edge" and seam.strips is None:
        yield "no cut after gluing is told of, but its form is roughed once it is glued"
        return
    asked_mm = plan.job.seams.dry_mm
    faces = _glued_faces(seam)
    yield from _off_the_seam(seam)
    for cut in cuts:
        shown = _shown(faces, cut)
        gaps = shapely.distance(shown, cut.lines)
        if gaps.min(initial=np.inf) < asked_mm - SLACK_MM:
            yield f"{cut.name}: glue lies {gaps.min():.1f} mm from the wire, {asked_mm:g} are asked"
        kept = shapely.buffer(cut.kept, EDGE_MM)
        if not shapely.covers(kept, shown).all():
            yield f"{cut.name}: glue lies in foam that comes off"
    points, is_dry = _places(seam)
    far = is_dry & _far(points, cuts, asked_mm + NEAR_MM)
    if far.sum() > NEEDLESS_SHARE * len(points):
        x, y, z = points[int(far.argmax())]
        yield (
            f"it stays dry far from every cut, near x {x:.0f}, y {y:.0f}, {z:.0f} mm off the back"
        )


def _glued_faces(seam: Seam) -> list[Numbers]:
    """Return the corners of all glue, (n, 3) each: upright rectangles, or a layer's areas."""
    if seam.kind == "layer":
        areas = polygons(overlay.difference(seam.place, shapely.buffer(seam.dry, FLAKE_MM)))
        rings = [shapely.get_coordinates(area.exterior) for area in areas if area.area > CRUMB_MM2]
        return [np.c_[ring, np.full(len(ring), seam.from_mm)] for ring in rings]
    found = []
    for strip in seam.strips or ():
        line = shapely.get_coordinates(strip.line)
        for one, other in pairwise(line):
            flat = np.array([one, other, other, one])
            heights = [strip.from_mm, strip.from_mm, strip.to_mm, strip.to_mm]
            found.append(np.c_[flat, heights])
    return found


def _shown(faces: Sequence[Numbers], cut: _Cut) -> NDArray[np.object_]:
    """Return faces as they look along a wire; those seen edge-on are lines."""
    found = np.empty(len(faces), dtype=object)
    for k, corners in enumerate(faces):
        seen = cut.seen(corners)
        outline = shapely.Polygon(seen)
        is_area = outline.is_valid and outline.area > CRUMB_MM2
        found[k] = outline if is_area else shapely.convex_hull(shapely.multipoints(seen))
    return found


def _off_the_seam(seam: Seam) -> Iterator[str]:
    """Give strips that do not lie on their seam, and on what is to stay dry of it."""
    for strip in seam.strips or ():
        near = shapely.buffer(overlay.difference(seam.place, seam.dry), EDGE_MM)
        if not shapely.covers(near, strip.line):
            yield "a strip of glue lies off it"
        if strip.from_mm < seam.from_mm - EXACT_MM or strip.to_mm > seam.to_mm + EXACT_MM:
            yield f"a strip of glue goes up to {strip.to_mm:g} mm, it ends at {seam.to_mm:g} mm"


def _places(seam: Seam) -> tuple[Numbers, Flags]:
    """Return places all over a seam, (n, 3), but for those the outline keeps dry; and which are
    dry of them."""
    if seam.kind == "layer":
        x0, y0, x1, y1 = shapely.bounds(seam.place)
        grid = np.meshgrid(np.arange(x0, x1, STEP_MM), np.arange(y0, y1, STEP_MM))
        spots = np.column_stack([axis.ravel() for axis in grid])
        spots = spots[shapely.contains_xy(seam.place, spots)]
        dry = shapely.contains_xy(MultiPolygon(polygons(seam.dry)), spots)
        return np.c_[spots, np.full(len(spots), seam.from_mm)], np.asarray(dry)
    flat = shapely.get_coordinates(
        shapely.segmentize(overlay.difference(seam.place, seam.dry), STEP_MM)
    )
    heights = np.arange(seam.from_mm + STEP_MM / 2, seam.to_mm, STEP_MM)
    points = np.c_[np.repeat(flat, len(heights), axis=0), np.tile(heights, len(flat))]
    glued = np.zeros(len(points), dtype=np.bool_)
    spots = shapely.points(points[:, :2])
    for strip in seam.strips or ():
        beside = shapely.dwithin(spots, strip.line, EDGE_MM)
        glued |= beside & (points[:, 2] > strip.from_mm) & (points[:, 2] < strip.to_mm)
    return points, ~glued


def _far(points: Numbers, cuts: Sequence[_Cut], least_mm: float) -> Flags:
    """Return which points all cuts leave, so far from the wire of each."""
    found = np.ones(len(points), dtype=np.bool_)
    for cut in cuts:
        seen = np.asarray(shapely.points(cut.seen(points)))
        found &= shapely.distance(seen, cut.lines) >= least_mm
        found &= shapely.covers(cut.kept, seen)
    return found
