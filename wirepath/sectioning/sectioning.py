"""Pieces too large for a block -> pieces that fit, to be glued together again."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from shapely import Geometry, LineString, Polygon

from wirepath import overlay
from wirepath.errors import Fault, FitError
from wirepath.fitting import DUST_MM, all_rooms, rooms
from wirepath.geometry import polygons
from wirepath.model import Level, Piece, SeamSettings
from wirepath.sectioning.buying import hands_price
from wirepath.sectioning.drawn import asked_lines, parted, refuse_wrong
from wirepath.sectioning.grouping import groupings, on_site_price, pass_the_van
from wirepath.sectioning.layers import Steps, covered, depths, layer, steps_of
from wirepath.sectioning.needs import Needs, group_needs, needs_of
from wirepath.sectioning.parting import inner_edges, part
from wirepath.sectioning.raster import Body
from wirepath.sectioning.reading import reading_rows
from wirepath.workshop import Van, Workshop


def section(
    pieces: Sequence[Piece],
    levels: Mapping[str, Sequence[Level]],
    workshop: Workshop,
    settings: SeamSettings,
    *,
    fixed: Sequence[LineString] = (),
    keep_clear: Sequence[Polygon] = (),
    square: bool = False,
) -> tuple[Piece, ...]:
    """Return the pieces, those too large for a block or to be lifted parted by seams.

    What fits blocks, van and lift is left alone, unless a seam asked for crosses it; tapers
    always are: a tapered form is never glued first. `levels` are each part's
    (`forming.form_levels`); the pieces of a relief are only as thick as it is inside them,
    or as the slab they share.
    `fixed` and `keep_clear` add lines and places of the drawing to those of `settings`. With
    `square`, forms are not parted but covered:
    pieces are left as the boxes around what they hold of their form, wider by kerf and web
    at its rim where that costs no block, to be glued before the form is cut from them.

    Where glued groups travel, a form that does not pass the van's opening as one is parted
    into groups by main seams first, and each group into its pieces.

    All pieces are numbered anew from 1; the pieces of a form follow each other group by
    group, from its back to its front, each layer from the bottom row up and from left to
    right, and are named after it: 'Pear.1', 'Pear.2'.

    Raises SettingsError or DrawingError where a seam asked for parts nothing or meets a
    place to keep clear, FitError, for all forms at once, where no seams make the pieces fit.
    """
    refuse_wrong(pieces, settings, fixed, keep_clear)
    found: list[Piece] = []
    faults: list[Fault] = []
    known: dict[tuple[str, float], list[Piece] | None] = {}
    for piece in pieces:
        key = (piece.part, piece.thickness_mm)
        if piece.taper is not None:
            found.append(replace(piece, number=len(found) + 1))
            continue
        if key not in known:
            own = levels[piece.part]
            needs = needs_of(piece, own, workshop, settings, keep_clear, square=square)
            lines = asked_lines(piece, settings, fixed)
            # Groups go through all of a form: layers that come as pieces make none.
            in_groups = settings.travel == "groups" and piece.section_of is None
            travels = workshop.van if in_groups and not square else None
            known[key] = _parts(piece, own, needs, lines, travels) if needs else None
            if known[key] is None:
                clear = bool(settings.keep_clear or keep_clear)
                faults.append(_fault(piece, workshop, are_places_clear=clear))
        for index, one in enumerate(known[key] or (), 1):
            number = len(found) + 1
            if one.name != one.section_of:  # it stayed whole; parts are called after their form
                found.append(replace(piece, number=number))
                continue
            found.append(
                replace(
                    one,
                    number=number,
                    name=f"{piece.name}.{index}",
                    section_of=piece.section_of or piece.name,
                    from_mm=piece.from_mm + one.from_mm,
                )
            )
    if faults:
        raise FitError(faults)
    return tuple(found)


def _parts(
    piece: Piece,
    levels: Sequence[Level],
    needs: Needs,
    lines: Sequence[Geometry],
    van: Van | None,
) -> list[Piece] | None:
    """Return what the piece is parted into, in order; itself if it may stay whole.

    With a `van`, main seams part it into groups first.
    """
    if not lines and needs.hold(piece.outline, piece.thickness_mm):
        return [piece]
    if needs.square and not all(_is_straight(line) for line in lines):
        return None
    steps = steps_of(piece, levels)
    heights = depths(steps, needs.rooms, needs.settings.least_mm)
    if van:
        groups = group_needs(needs, van)
        whole = Body(outline=piece.outline, steps=steps)
        tries = [
            replace(one, price=one.price + on_site_price(way, whole, needs))
            for way in groupings(whole, groups, lines)
            for cuts in heights
            if (one := _layered(piece, steps, cuts, needs, lines, 0.0, way))
            and pass_the_van(one.pieces, groups)
        ]
        if tries:
            return min(tries, key=_Layered.rank).pieces
    best: _Layered | None = None
    for over_mm in (needs.kerf_mm + needs.web_mm, 0.0) if needs.square else (0.0,):
        tries = [
            one for cuts in heights if (one := _layered(piece, steps, cuts, needs, lines, over_mm))
        ]
        found = min(tries, key=_Layered.rank, default=None)
        if found and (best is None or found.bought_rank() < best.bought_rank()):
            best = found
    return best.pieces if best else None


@dataclass(frozen=True, slots=True)
class _Layered:
    """A form parted into layers and these into pieces, and what that counts for."""

    pieces: list[Piece]
    slivers: int
    price: float
    bought: float

    def rank(self) -> tuple[float, float]:
        """Return what is compared: slivers, then the price of blocks and hands."""
        return self.slivers, round(self.price, 6)

    def bought_rank(self) -> tuple[float, float]:
        """Return what is compared where hands do not matter."""
        return self.slivers, round(self.bought, 6)


def _layered(
    piece: Piece,
    steps: Steps,
    heights_mm: Sequence[float],
    needs: Needs,
    lines: Sequence[Geometry],
    over_mm: float,
    groups: Sequence[Polygon] = (),
) -> _Layered | None:
    """Return the form parted into layers at the heights given; None where that cannot be.

    `over_mm` is how far square pieces reach beyond the rim of the form's back. Each of
    the `groups` is parted by itself, through all layers.
    """
    below: list[LineString] = []
    found: list[Piece] = []
    slivers, price, bought = 0, 0.0, 0.0
    lap_mm = needs.settings.lap_mm
    for low, high in pairwise(heights_mm):
        shapes: list[tuple[Polygon, float]] = []
        numbers: list[int | None] = []
        bodies = layer(steps, low, high)
        if needs.square:
            bodies = covered(bodies, lines, 0.0 if low else over_mm)
        beside: list[LineString] = []
        for group, body in _grouped(bodies, groups, () if needs.square else lines):
            shunned = [*below, *beside] if needs.settings.staggered else ()
            parting = part(body, needs, shunned)
            if parting is None:
                return None
            shapes += zip(parting.shapes, parting.bought.thick_mm, strict=True)
            numbers += [group] * len(parting.shapes)
            beside += [_run_on(line, lap_mm) for line in inner_edges(parting.shapes)]
            slivers += parting.slivers
            bought += parting.bought.price
            glued = float(shapely.area(body.outline)) if low else 0.0
            price += parting.price + hands_price(0, glued, needs.hour_price)
        outlines = [shape for shape, _ in shapes]
        order = [k for row in reading_rows(outlines) for k in row]
        found += [replace(_piece(piece, *shapes[k], low), group=numbers[k]) for k in order]
        below = inner_edges(outlines)
    found.sort(key=lambda one: one.group or 0)
    return _Layered(found, slivers, price, bought)


def _is_straight(line: Geometry) -> bool:
    """Whether a line runs upright or level."""
    x0, y0, x1, y1 = shapely.bounds(line).tolist()
    return bool(min(x1 - x0, y1 - y0) <= DUST_MM)


def _grouped(
    bodies: Sequence[Body], groups: Sequence[Polygon], lines: Sequence[Geometry]
) -> Iterator[tuple[int | None, Body]]:
    """Give the bodies of a layer parted by main seams and seams asked for, with their groups."""
    for body in bodies:
        shares: list[tuple[int | None, Geometry]] = [(None, body.outline)]
        if len(groups) > 1:
            met = overlay.intersection(body.outline, np.array(groups))
            shares = [(k, one) for k, some in enumerate(met, 1) for one in polygons(some)]
        for group, share in shares:
            faces = parted(share, lines) if lines and isinstance(share, Polygon) else [share]
            for face in faces:
                if face is body.outline:
                    yield group, body
                elif shapely.area(face) > 1e-3:
                    yield group, body.within(face)


def _run_on(line: LineString, by_mm: float) -> LineString:
    """Return the straight line made longer at both ends."""
    start, end = shapely.get_coordinates(line)[[0, -1]]
    step = (end - start) / math.dist(start, end) * by_mm
    return LineString([start - step, end + step])


def _piece(form: Piece, shape: Polygon, thick_mm: float, from_mm: float) -> Piece:
    finished = polygons(overlay.intersection(form.finished, shape))
    # Where seams leave only allowance, or the finished form in several lumps, all of the
    # piece counts as finished: nothing is lost, the carver takes off the rest.
    whole = finished[0] if len(finished) == 1 else shape
    return replace(
        form,
        finished=shapely.orient_polygons(whole),
        outline=shapely.orient_polygons(shape),
        thickness_mm=thick_mm,
        from_mm=from_mm,
        section_of=form.name,
    )


def _fault(piece: Piece, workshop: Workshop, *, are_places_clear: bool) -> Fault:
    x0, y0, x1, y1 = piece.outline.bounds
    size = f"{x1 - x0:.0f} x {y1 - y0:.0f} x {piece.thickness_mm:g} mm"
    ways = ["add a larger block to the workshop file", "allow more turning"]
    if are_places_clear:
        ways.insert(0, "make the places to keep clear smaller")
    if workshop.van:
        ways.append("take a larger van")
    if not any(room.is_reached(workshop) for room in rooms(piece.foam, workshop)):
        ways = ["add stock that wire and table reach across to the workshop file"]
    if any(room.is_clamped for room in all_rooms(piece.foam, workshop)):
        ways.insert(0, "move the clamps, which take some of every face (rig.clamps)")
    return Fault(
        f"no seams part {size} into pieces that fit the blocks of {piece.foam!r}",
        f"piece {piece.number} {piece.name!r}",
        ", or ".join(ways),
    )
