"""Outlines and contours -> pieces of foam, and the form that a carver will find in them.

A form is known by its levels. Between two contours the drawing says only that the
surface lies somewhere between their heights, so all that is promised is promised for
the form raised step by step, each contour to the next one's height.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase

import numpy as np
import shapely
from shapely import Geometry, LineString, Polygon

from wirepath import overlay
from wirepath.errors import DrawingError, Fault, SettingsError
from wirepath.geometry import edges_along, polygons, shadow
from wirepath.model import (
    Contour,
    FormKind,
    Job,
    Level,
    Note,
    Outline,
    PartSettings,
    Piece,
    Taper,
    Traced,
)
from wirepath.slicing import measured
from wirepath.tapering import make_tapers
from wirepath.units import litres
from wirepath.widening import LINE_MM, cut_as_drawn, widen
from wirepath.workshop import Side

EDGE_MM = 1.0
"""Shorter stretches along a side are no edge to stand a form on: a curve that touches it."""

OUTLINE_SLACK_MM = 1.0
"""A contour may stray this far outside its outline: the two are often traced one by one."""

_DEPTH_KEYS: dict[FormKind, str] = {
    "flat": "thickness_mm",
    "profile": "length_mm",
    "relief": "peak_mm",
    "full round": "layer_mm",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeBounds:
    """A volume known to lie between two figures, in mm3."""

    least_mm3: float
    most_mm3: float

    @property
    def mean_mm3(self) -> float:
        """The middle between the bounds: what is printed where one figure must do."""
        return (self.least_mm3 + self.most_mm3) / 2


def make_pieces(job: Job, traced: Traced) -> tuple[Piece, ...]:
    """Return the pieces of the job, numbered from 1 in the order of the outlines.

    A piece's outline is the finished one, widened by the allowance with round corners;
    holes shrink by it, and one that closes is told by `allowance_notes`. Thickness is
    the flat form's thickness, the profile's length, or the relief's peak and allowance.
    A part's own `thickness_mm` takes the place of any of the three. An outline that
    tapers gives a piece with two faces; its far face gives none. Copies are named
    'A 1', 'A 2', or 'A 1-1', 'A 1-2' where the outline's name ends with a figure.
    The layers of a full-round form are pieces of it (`section_of`), each where it stands.

    Raises SettingsError or DrawingError with all faults of settings and drawing.
    """
    refuse_faults(job, traced)
    tapers, used_up = make_tapers(
        job,
        traced,
        {one.name: _depth_mm(job, _settings(job, one.name)) for one in traced.outlines},
    )
    outlines = [outline for outline in traced.outlines if outline.name not in used_up]
    faults = [
        fault
        for name in dict.fromkeys(outline.name for outline in outlines)
        if name in tapers
        for fault in _not_on_tapers(job, traced, name)
    ]
    if faults:
        raise SettingsError(faults)
    totals = Counter[str]()
    for outline in outlines:
        totals[outline.name] += _settings(job, outline.name).copies
    numbers = Counter[str]()
    pieces: list[Piece] = []
    for outline in outlines:
        part = _settings(job, outline.name)
        taper = tapers.get(outline.name)
        finished, widened = _seen_from_the_front(job, traced, outline, taper)
        over_front = job.form.allowance_mm if job.form.kind == "relief" else 0.0
        for copy in range(1, part.copies + 1):
            numbers[outline.name] += 1
            form, from_mm = _glued_to(job, outline, copy, part.copies)
            pieces.append(
                Piece(
                    number=len(pieces) + 1,
                    name=_piece_name(outline.name, numbers[outline.name], totals[outline.name]),
                    part=outline.name,
                    finished=finished,
                    outline=widened,
                    thickness_mm=_depth_mm(job, part) + over_front,
                    allowance_mm=job.form.allowance_mm,
                    foam=job.form.foam,
                    turning=part.turning or job.layout.turning,
                    flip=job.layout.flip,
                    holes=part.holes,
                    entry=part.entry,
                    entry_at=part.entry_at,
                    section_of=form,
                    from_mm=from_mm,
                    taper=taper,
                )
            )
    return tuple(pieces)


def _glued_to(job: Job, outline: Outline, copy: int, total: int) -> tuple[str | None, float]:
    """Return the form a layer of it is glued to, and how far off the form's back it stands.

    What is no layer is a form by itself: None, 0.
    """
    if job.form.kind != "full round":
        return None, 0.0
    return _piece_name(outline.layer, copy, total), outline.from_mm + job.form.allowance_mm


def _not_on_tapers(job: Job, traced: Traced, name: str) -> Iterator[Fault]:
    """Give what is asked for a taper and only flat pieces can have."""
    part = _settings(job, name)
    if part.entry is not None or part.entry_at is not None:
        key = "entry" if part.entry is not None else "entry_at"
        yield Fault(
            f"where the wire begins on a taper is not for the job to say: it leans over beside "
            f"{name!r} where there is room",
            f"parts {part.name!r}.{key}",
            f"leave it out, or give {name!r} a [[parts]] table of its own without it",
        )
    sides = job.form.finished_sides if part.finished_sides is None else part.finished_sides
    if sides and job.form.allowance_mm:
        yield Fault(
            f"a taper keeps its allowance all round: {name!r} cannot have finished sides",
            "form.finished_sides" if part.finished_sides is None else f"parts {part.name!r}",
            f"give {name!r} a [[parts]] table with finished_sides = []",
        )
    polygons = [one.polygon for one in traced.outlines if one.name == name]
    if job.form.allowance_mm and any(_on(polygon, traced.finished_lines) for polygon in polygons):
        yield Fault(
            f"a taper keeps its allowance all round: no edge of {name!r} can be cut finished",
            "read.finished_layers",
            "take the lines along it off the layer, or make it in a job of its own without "
            "an allowance",
        )


def _seen_from_the_front(
    job: Job, traced: Traced, outline: Outline, taper: Taper | None
) -> tuple[Polygon, Polygon]:
    """Return a piece's outline at finished size, and as cut."""
    if taper is not None:
        return shadow(taper.finished), shadow(taper.cut)
    finished = shapely.orient_polygons(outline.polygon)
    along = _on(finished, traced.finished_lines)
    return finished, widen(finished, job.form.allowance_mm, cut_sides(job, outline), along)


def _on(polygon: Polygon, lines: Sequence[LineString]) -> list[LineString]:
    """Return the lines that lie on a polygon's rings."""
    near = shapely.dwithin(polygon.boundary, np.array(lines, dtype=object), LINE_MM)
    return [line for line, touches in zip(lines, near, strict=True) if touches]


def cut_sides(job: Job, outline: Outline) -> tuple[Side, ...]:
    """Return the sides of an outline that the wire cuts finished: asked for, and straight."""
    own = _settings(job, outline.name).finished_sides
    asked = job.form.finished_sides if own is None else own
    return tuple(side for side in asked if _is_straight(outline.polygon, side))


def _is_straight(polygon: Polygon, side: Side) -> bool:
    return sum(edge.length for edge in edges_along(polygon, side)) >= EDGE_MM


def allowance_notes(pieces: Sequence[Piece]) -> tuple[Note, ...]:
    """Return what the allowance does to holes and notches, once for each part."""
    found: list[Note] = []
    for piece in {piece.part: piece for piece in pieces if not piece.taper}.values():
        drawn = [Polygon(ring) for ring in piece.finished.interiors]
        left = [Polygon(ring) for ring in piece.outline.interiors]
        for hole in drawn:
            if not shapely.intersects(hole, left).any():
                found.append(_note(piece, hole, "a hole closes, to be opened in carving; its size"))
        for hole in left:
            if not shapely.intersects(hole, drawn).any():
                found.append(_note(piece, hole, "the mouth of a notch closes; what is left of it"))
    return tuple(found)


def finished_notes(pieces: Sequence[Piece], lines: Sequence[LineString]) -> tuple[Note, ...]:
    """Return where lines along edges change nothing: once for each part, or for all of them."""
    if not lines or not pieces:
        return ()
    if not pieces[0].allowance_mm:
        text = "lines on finished layers change nothing: there is no allowance to leave away"
        return (Note(kind="warning", text=text),)
    found: list[Note] = []
    for piece in {piece.part: piece for piece in pieces if not piece.taper}.values():
        own = _on(piece.finished, lines)
        if not own:
            continue
        asked = cut_as_drawn(piece.finished, own)
        under = overlay.difference(
            shapely.MultiLineString(asked), piece.outline.boundary.buffer(LINE_MM)
        )
        if shapely.length(under) > EDGE_MM:
            x, y = shapely.get_coordinates(under)[0]
            found.append(
                Note(
                    kind="warning",
                    text=f"{shapely.length(under):.0f} mm of edges of {piece.part!r} to be cut "
                    "finished stand under the allowance of edges beside them",
                    at=(float(x), float(y)),
                )
            )
    return tuple(found)


# --- The form by its contours -------------------------------------------------------


def levels(
    outline: Geometry, contours: Sequence[Contour] = (), *, top_mm: float
) -> tuple[Level, ...]:
    """Return the form's levels from the flat back to `top_mm`.

    Contours at one height count together; any that pass outside the outline or outside
    a lower contour are clipped or carried down, so that every region holds the next.
    A form without contours has one level.
    """
    regions: dict[float, Geometry] = {}
    above: Geometry = Polygon()
    by_height: dict[float, list[Polygon]] = defaultdict(list)
    for contour in contours:
        by_height[contour.height_mm].append(contour.region)
    for height in sorted(by_height, reverse=True):
        if 0 < height < top_mm:
            above = overlay.intersection(overlay.union([above, *by_height[height]]), outline)
            regions[height] = shapely.multipolygons(polygons(above))
    steps = sorted(regions)
    return tuple(
        Level(from_mm=start, to_mm=end, region=outline if start == 0 else regions[start])
        for start, end in zip([0.0, *steps], [*steps, top_mm], strict=True)
    )


def form_levels(job: Job, traced: Traced) -> dict[str, tuple[Level, ...]]:
    """Return the levels of each part, by its outline's name: of flat forms and profiles one."""
    own, _ = _shared_out(traced) if job.form.kind == "relief" else ({}, [])
    return {
        outline.name: levels(
            outline.polygon,
            own.get(outline.name, ()),
            top_mm=_depth_mm(job, _settings(job, outline.name)),
        )
        for outline in traced.outlines
    }


def relief_volume(steps: Sequence[Level]) -> VolumeBounds:
    """Return the bounds of a form's volume by its levels, in mm3.

    The section of a relief can only shrink with height, so each step holds at most its
    own region and at least the next one: the upper and the lower Riemann sum of the
    section's area. The least a form without contours can hold is nothing.
    """
    heights = [step.to_mm - step.from_mm for step in steps]
    areas = [float(shapely.area(step.region)) for step in steps]
    return VolumeBounds(
        least_mm3=sum(h * a for h, a in zip(heights, [*areas[1:], 0.0], strict=True)),
        most_mm3=sum(h * a for h, a in zip(heights, areas, strict=True)),
    )


def contour_volumes(traced: Traced, job: Job | None = None) -> dict[str, VolumeBounds]:
    """Return the bounds of each relief's volume by its contours, by its outline's name.

    Without the job of a relief, which says how high the peak is, the foam up to the highest
    contour. Outlines without contours have none.
    """
    own, _ = _shared_out(traced)
    if job is not None and job.form.kind == "relief" and job.form.peak_mm is not None:
        return {
            name: relief_volume(steps)
            for name, steps in form_levels(job, traced).items()
            if name in own
        }
    found = {}
    for outline in traced.outlines:
        contours = own.get(outline.name, [])
        highest = max((one.height_mm for one in contours), default=0.0)
        if highest > 0:
            # The highest contour counts as a level, though nothing is known to stand on it.
            top = math.nextafter(highest, math.inf)
            found[outline.name] = relief_volume(levels(outline.polygon, contours, top_mm=top))
    return found


def carve_litres(job: Job, traced: Traced, pieces: Sequence[Piece]) -> float | None:
    """Return the foam left over finished forms that are carved, in litres; None for others.

    It is the volume of the pieces less the form's. A relief's is taken as the mean of its
    bounds (`relief_volume`); half the bounds' distance is how far it may be out. A mesh
    in the round has its own; outlines from several sides have all that they allow.
    """
    if job.form.kind == "full round":
        form = sum(
            _settings(job, layers[0].name).copies * _solid_mm3(traced, name)
            for name, layers in _layers(traced).items()
        )
    elif job.form.kind == "relief":
        form = sum(
            _settings(job, name).copies * relief_volume(steps).mean_mm3
            for name, steps in form_levels(job, traced).items()
        )
    else:
        return None
    return litres(sum(piece.volume_mm3 for piece in pieces) - form)


def _solid_mm3(traced: Traced, form: str) -> float:
    """Return the volume of a full-round form: its mesh's, or its sections'."""
    of_mesh = [
        volume
        for mesh in traced.meshes
        if mesh.is_form and mesh.layer == form
        if (volume := measured(mesh).volume_mm3) is not None
    ]
    of_sections = (
        (one.to_mm - one.from_mm) * float(shapely.area(one.region))
        for one in traced.sections
        if one.form == form
    )
    return of_mesh[0] if of_mesh else sum(of_sections)


def _layers(traced: Traced) -> dict[str, list[Outline]]:
    """Return the layers of each full-round form, by its name."""
    found: dict[str, list[Outline]] = defaultdict(list)
    for outline in traced.outlines:
        found[outline.layer].append(outline)
    return found


# --- Settings -----------------------------------------------------------------------


def _settings(job: Job, name: str) -> PartSettings:
    """Return the [[parts]] entry for the outline `name`: an exact name beats a pattern."""
    fitting = _fitting(job, name)
    return fitting[0][1] if fitting else PartSettings(name=name)


def _fitting(job: Job, name: str) -> list[tuple[int, PartSettings]]:
    """Return the entries that apply to `name`, with their places; more than one is a fault."""
    exact = [(k, part) for k, part in enumerate(job.parts) if part.name == name]
    return exact or [(k, p) for k, p in enumerate(job.parts) if fnmatchcase(name, p.name)]


def _depth_mm(job: Job, part: PartSettings) -> float:
    own = part.thickness_mm or getattr(job.form, _DEPTH_KEYS[job.form.kind])
    assert own is not None, "settings are checked first"
    return float(own)


def _piece_name(outline: str, copy: int, total: int) -> str:
    if total == 1:
        return outline
    return f"{outline}{'-' if outline[-1:].isdigit() else ' '}{copy}"


# --- Faults -------------------------------------------------------------------------


def refuse_faults(job: Job, traced: Traced) -> None:
    """Raise SettingsError or DrawingError with all that keeps a job from making its forms."""
    settings = list(_setting_faults(job, traced))
    drawing = list(_drawing_faults(job, traced))
    if settings:
        raise SettingsError([*settings, *drawing])
    if drawing:
        raise DrawingError(drawing)


def _setting_faults(job: Job, traced: Traced) -> Iterator[Fault]:
    form = job.form
    key = _DEPTH_KEYS[form.kind]
    if getattr(form, key) is None:
        yield Fault(f"a {form.kind} form needs {key}", "form", f"add {key}")
    if traced.contours and form.kind != "relief":
        yield Fault(
            f"contours are read, but a {form.kind} form makes no use of them",
            "read.contour_layers",
            "leave it out, or write kind = 'relief' and its peak_mm",
        )
    for side in form.finished_sides:
        if not any(_is_straight(outline.polygon, side) for outline in traced.outlines):
            yield Fault(
                f"no outline has a straight edge along its {side} side",
                "form.finished_sides",
                "leave the side out, or draw the edge straight",
            )
    if form.kind == "full round":
        yield from _uneven_layers(job, traced)
    names = [outline.name for outline in traced.outlines]
    for index, part in enumerate(job.parts):
        if not any(part.name == name or fnmatchcase(name, part.name) for name in names):
            yield Fault(
                f"no outline is called {part.name!r}",
                f"parts[{index}].name",
                f"use one of: {_listed(names)}; or a pattern such as {'A*'!r}",
            )
    for name in dict.fromkeys(names):
        places = [f"parts[{place}]" for place, _ in _fitting(job, name)]
        if len(places) > 1:
            yield Fault(
                f"{' and '.join(places)} both fit the outline {name!r}",
                "parts",
                f"give it one entry of its own, name = {name!r}, or narrow the patterns",
            )


def _uneven_layers(job: Job, traced: Traced) -> Iterator[Fault]:
    """Give forms whose layers are asked for in different numbers."""
    for name, layers in _layers(traced).items():
        copies = sorted({_settings(job, one.name).copies for one in layers})
        if len(copies) > 1:
            yield Fault(
                f"layers of {name!r} are asked for {' and '.join(map(str, copies))} times, but "
                "they are glued to whole forms",
                "parts",
                f"give them all one entry, name = '{name} *', with copies",
            )


def _drawing_faults(job: Job, traced: Traced) -> Iterator[Fault]:
    if not traced.outlines:
        yield Fault("there is no outline", "", "check outline_layers, and that the lines close")
        return
    if job.form.kind != "relief":
        return
    own, strays = _shared_out(traced)
    for contour, how in strays:
        x, y = shapely.get_coordinates(shapely.point_on_surface(contour.region))[0]
        yield Fault(
            f"the contour at {contour.height_mm:g} mm {how}",
            f"near x {x:.0f}, y {y:.0f} mm",
            "redraw it, or check which layers are outlines and which are contours",
        )
    for outline in traced.outlines:
        contours = own.get(outline.name, ())
        if not contours:
            yield Fault(
                f"no contour lies in the outline {outline.name!r}",
                "",
                "draw its contours, check contour_layers, or cut it in a job of its own as flat",
            )
            continue
        part = _settings(job, outline.name)
        peak = part.thickness_mm or job.form.peak_mm
        highest = max(contour.height_mm for contour in contours)
        if peak is not None and highest > peak:
            yield Fault(
                f"a contour of {outline.name!r} stands at {highest:g} mm, above its "
                f"peak of {peak:g} mm",
                "form.peak_mm" if part.thickness_mm is None else "parts",
                "give the height of the highest point, or check scale and heights",
            )


def _shared_out(
    traced: Traced,
) -> tuple[dict[str, list[Contour]], list[tuple[Contour, str]]]:
    """Return each outline's contours by its name, and those of no outline with the reason."""
    own: dict[str, list[Contour]] = defaultdict(list)
    strays: list[tuple[Contour, str]] = []
    room = [outline.polygon.buffer(OUTLINE_SLACK_MM) for outline in traced.outlines]
    shapely.prepare(room)
    for contour in traced.contours:
        holders = [
            outline
            for outline, polygon in zip(traced.outlines, room, strict=True)
            if polygon.covers(contour.region)
        ]
        if holders:
            own[_least(holders).name].append(contour)
            continue
        crossed = any(polygon.intersects(contour.region) for polygon in room)
        strays.append((contour, "crosses an outline" if crossed else "lies outside all outlines"))
    return dict(own), strays


def _least(outlines: Sequence[Outline]) -> Outline:
    return min(outlines, key=lambda outline: outline.polygon.area)


def _listed(names: Sequence[str], most: int = 12) -> str:
    told = [repr(name) for name in names[:most]]
    rest = len(names) - len(told)
    return ", ".join(told) + (f" and {rest} more" if rest else "")


def _note(piece: Piece, hole: Polygon, what: str) -> Note:
    x0, y0, x1, y1 = hole.bounds
    return Note(
        kind="warning",
        text=f"under the allowance of {piece.allowance_mm:g} mm of {piece.part!r} {what} is "
        f"{x1 - x0:.1f} x {y1 - y0:.1f} mm",
        at=((x0 + x1) / 2, (y0 + y1) / 2),
    )
