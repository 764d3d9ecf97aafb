"""Seams that the user fixes, by figures or as lines of the drawing: made ready, or refused."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Geometry, LineString, Polygon

from wirepath import overlay
from wirepath.errors import DrawingError, Fault, SettingsError
from wirepath.fitting import DUST_MM
from wirepath.model import Piece, SeamSettings

REACH_MM = 0.5
"""A line that ends this near to an edge or another seam was meant to end on it: drawings are
rounded, and hands are not exact (common practice, no source)."""

ALLOWANCES = 4.0
"""How many times the allowance a line drawn to the finished edge is run on through it: enough
where it meets the edge at 15 degrees or more."""


def zones(settings: SeamSettings) -> list[Polygon]:
    """Return the rectangles the settings keep clear of seams."""
    return [
        shapely.box(z.x_mm, z.y_mm, z.x_mm + z.width_mm, z.y_mm + z.height_mm)
        for z in settings.keep_clear
    ]


def asked_lines(
    piece: Piece, settings: SeamSettings, drawn: Sequence[LineString]
) -> list[Geometry]:
    """Return the seams asked for that cross the piece, each from beyond its edge to beyond it.

    Lines `drawn` to the finished edge are run on straight through the allowance.
    """
    x0, y0, x1, y1 = piece.outline.bounds
    lines: list[Geometry] = [
        *(LineString([(x, y0 - 1), (x, y1 + 1)]) for x in settings.at_x_mm),
        *(LineString([(x0 - 1, y), (x1 + 1, y)]) for y in settings.at_y_mm),
        *(_run_on(line, piece) for line in drawn),
    ]
    return [line for line in lines if _length_inside(line, piece.outline) > DUST_MM]


def refuse_wrong(
    pieces: Sequence[Piece],
    settings: SeamSettings,
    drawn: Sequence[LineString],
    keep_clear: Sequence[Polygon],
) -> None:
    """Raise with all seams asked for that cannot be made as they are meant.

    SettingsError where settings are at fault, else DrawingError.
    """
    clear = overlay.union([*zones(settings), *keep_clear])
    in_settings = list(_setting_faults(pieces, settings, clear))
    in_settings += [
        Fault(
            f"a seam runs through the taper {piece.name!r}, which is cut whole",
            "seams",
            "move the seam, or draw the two parts as outlines of their own",
        )
        for piece in pieces
        if piece.taper is not None and asked_lines(piece, settings, drawn)
    ]
    in_drawing = list(_drawing_faults(pieces, settings, drawn, clear))
    if in_settings:
        raise SettingsError([*in_settings, *in_drawing])
    if in_drawing:
        raise DrawingError(in_drawing)


def _setting_faults(
    pieces: Sequence[Piece], settings: SeamSettings, clear: Geometry
) -> Iterator[Fault]:
    forms = overlay.union([piece.outline for piece in pieces])
    x0, y0, x1, y1 = shapely.bounds(forms).tolist()
    upright = [("x", x, LineString([(x, y0 - 1), (x, y1 + 1)])) for x in settings.at_x_mm]
    level = [("y", y, LineString([(x0 - 1, y), (x1 + 1, y)])) for y in settings.at_y_mm]
    for axis, at, line in (*upright, *level):
        inside = overlay.intersection(line, forms)
        if shapely.length(inside) <= DUST_MM:
            yield Fault(
                f"the seam at {axis} = {at:g} mm meets no form",
                f"seams.at_{axis}_mm",
                f"the forms lie between x {x0:.0f} and {x1:.0f}, y {y0:.0f} and {y1:.0f} mm",
            )
        elif shapely.length(overlay.intersection(inside, clear)) > DUST_MM:
            yield Fault(
                f"the seam at {axis} = {at:g} mm runs through a place to keep clear",
                f"seams.at_{axis}_mm",
                "move the seam, or make the place smaller",
            )


def _drawing_faults(
    pieces: Sequence[Piece],
    settings: SeamSettings,
    drawn: Sequence[LineString],
    clear: Geometry,
) -> Iterator[Fault]:
    forms = overlay.union([piece.finished.buffer(-REACH_MM) for piece in pieces])
    for line in drawn:
        if _length_inside(line, forms) <= DUST_MM:
            yield Fault(
                "a seam line runs through no form, so it parts nothing",
                _near(line),
                "draw it across the form, or move it to a layer that is not read",
            )
        elif (
            shapely.length(
                through := overlay.intersection(line, overlay.intersection(forms, clear))
            )
            > REACH_MM
        ):
            yield Fault(
                f"a seam line runs {shapely.length(through):.0f} mm through a place to keep clear",
                _near(through),
                "move the line, or make the place smaller",
            )
    told = set[bytes]()
    for piece in pieces:
        if (key := shapely.to_wkb(piece.outline)) in told or not drawn:
            continue
        told.add(key)
        for loose in _loose(piece, asked_lines(piece, settings, drawn)):
            yield Fault(
                f"{shapely.length(loose):.0f} mm of a seam line part nothing of "
                f"{piece.part!r}: it ends inside the form, or leads to a hole alone",
                _near(loose),
                "draw it on to the edge or to another seam line",
            )


def parted(outline: Polygon, lines: Sequence[Geometry]) -> list[Polygon]:
    """Return the faces that the lines part the outline into, in order of their places."""
    edges = shapely.node(overlay.union([outline.boundary, *lines]))
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(edges).tolist()))
    inside = [face for face in faces if outline.contains(shapely.point_on_surface(face))]
    return sorted(inside, key=lambda face: face.bounds)


def _loose(piece: Piece, lines: Sequence[Geometry]) -> list[Geometry]:
    """Return the stretches of the lines that bound no two faces of the piece."""
    if not lines:
        return []
    edges = shapely.node(overlay.union([piece.outline.boundary, *lines]))
    _, cuts, dangles, _ = shapely.polygonize_full(shapely.get_parts(edges).tolist())
    within = piece.finished.buffer(-REACH_MM)
    loose = overlay.intersection(overlay.union([cuts, dangles]), within)
    parts = shapely.get_parts(shapely.line_merge(loose))
    return [part for part in parts if shapely.length(part) > 2 * REACH_MM]


def _run_on(line: LineString, piece: Piece) -> Geometry:
    """Return the line with its ends run on straight: by the reach, and out of an allowance."""
    if line.is_closed:
        return line
    points = shapely.get_coordinates(line)
    kept = piece.finished.buffer(-REACH_MM)
    ends = []
    for end, before in ((points[0], points[1]), (points[-1], points[-2])):
        on = REACH_MM
        if piece.allowance_mm and not kept.intersects(shapely.Point(end)):
            on += ALLOWANCES * piece.allowance_mm
        ends.append(end + (end - before) / np.hypot(*(end - before)) * on)
    return LineString([ends[0], *points, ends[1]])


def _length_inside(line: Geometry, area: Geometry) -> float:
    return float(shapely.length(overlay.intersection(line, area)))


def _near(line: Geometry) -> str:
    x, y = shapely.get_coordinates(
        shapely.line_interpolate_point(shapely.get_parts(line)[0], 0.5, normalized=True)
    )[0]
    return f"near x {x:.0f}, y {y:.0f} mm"
