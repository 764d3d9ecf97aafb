"""What templates are made of: one for each distinct part, its faces as they are drawn."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fnmatch import fnmatchcase
from typing import Literal

import shapely
from shapely import LineString, MultiLineString, Point, Polygon
from shapely.affinity import affine_transform, translate

from wirepath.errors import Fault, SettingsError
from wirepath.geometry import QUAD_SEGS, polygons
from wirepath.kerf import piece_stations, taper_line
from wirepath.model import Piece, Plan, Taper
from wirepath.sheets.figures import measure
from wirepath.sheets.squares import column_name
from wirepath.stationing import Station, mirrored, stations, stations_at
from wirepath.workshop import Cutting

Side = Literal["single", "near", "far"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Pieces that are copies of one another, and what their template is drawn from."""

    name: str
    pieces: tuple[Piece, ...]
    face_down: tuple[int, ...]
    """Numbers of the pieces that lie face down on their block."""

    @property
    def one(self) -> Piece:
        """One of the copies."""
        return self.pieces[0]


JOIN_MARK_MM = 6.0
"""Half of a mark across a seam."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinMark:
    """A mark across a seam, or a pin through it, where it stands in the drawing or on a face."""

    label: str
    line: LineString
    is_pin: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """One template as it is drawn: 0, 0 is the lower left corner round its wire line.

    The two faces of a taper stand in one frame; the far one's mirrored.
    """

    side: Side
    finished: Polygon
    wire: Polygon
    stations: tuple[tuple[Station, ...], ...]
    joins: tuple[JoinMark, ...] = ()
    """Marks across its seams, and pins."""
    frame_mm: float = 0.0
    """Of a taper: the width of the frame both faces stand in, about which the far one is
    mirrored."""

    @property
    def lines(self) -> MultiLineString:
        """All lines drawn, finished and wire."""
        rings = [
            ring for one in (self.finished, self.wire) for ring in (one.exterior, *one.interiors)
        ]
        return MultiLineString([ring.coords for ring in rings])

    @property
    def width_mm(self) -> float:
        """Extent of the wire line to the right."""
        return float(self.wire.bounds[2])


def distinct_parts(plan: Plan, patterns: Sequence[str] | None) -> tuple[Part, ...]:
    """Return the plan's parts, in order of their first piece; copies of one shape are one part.

    A form cut from a glued blank is a part; the square cells of the blank need no template.

    `patterns` such as `arch-*` choose parts by name. Raises SettingsError, all at
    once, for patterns that no part answers to.
    """
    plan = plan.with_blanks()
    cells = {number for blank in plan.blanks for number in blank.cells}
    wanted = [piece for piece in plan.pieces if piece.number not in cells]
    names = sorted({piece.part for piece in wanted})
    wrong = [one for one in patterns or () if not any(fnmatchcase(n, one) for n in names)]
    if wrong:
        known = ", ".join(names[:12]) + (", ..." if len(names) > 12 else "")
        raise SettingsError(
            [Fault(f"no part is called {one!r}", "templates", f"parts: {known}") for one in wrong]
        )
    flipped = {
        placement.piece
        for layout in plan.layouts
        for placement in layout.placements
        if placement.flipped
    }
    groups: dict[tuple[str, bytes, float], list[Piece]] = {}
    for piece in wanted:
        if patterns is None or any(fnmatchcase(piece.part, one) for one in patterns):
            key = piece.part, _shape_of(piece), piece.thickness_mm
            groups.setdefault(key, []).append(piece)
    return tuple(
        Part(
            name=name,
            pieces=tuple(pieces),
            face_down=tuple(one.number for one in pieces if one.number in flipped),
        )
        for (name, _, _), pieces in groups.items()
    )


def _shape_of(piece: Piece) -> bytes:
    if piece.taper is None:
        return shapely.to_wkb(piece.outline)
    return repr(piece.taper.cut).encode()


def join_marks(plan: Plan, part: Part) -> tuple[JoinMark, ...]:
    """Return the marks and pins of a part, in mm as its form is drawn.

    A mark has its seam's letter, a pin its height off the back as well; those of copies,
    whose seams have other letters, have none.
    """
    piece, alone = part.one, len(part.pieces) == 1
    own = {n for n, seam in enumerate(plan.seams, 1) if piece.number in seam.pieces}
    found = []
    for mark in plan.assembly.marks:
        if mark.seam in own:
            turn = math.radians(mark.across_deg)
            reach = (math.cos(turn) * JOIN_MARK_MM, math.sin(turn) * JOIN_MARK_MM)
            (x, y), (dx, dy) = mark.at, reach
            line = LineString([(x - dx, y - dy), (x + dx, y + dy)])
            label = column_name(mark.seam - 1) if alone else ""
            found.append(JoinMark(label=label, line=line, is_pin=False))
    for pin in plan.assembly.pins:
        if pin.seam in own:
            line, height_mm = LineString([pin.start[:2], pin.end[:2]]), pin.start[2]
            if line.length < 1.0:
                ring = Point(*pin.start[:2]).buffer(plan.workshop.glue.pin_diameter_mm / 2)
                line = LineString(ring.exterior.coords)
                # It stands through a face: that is what a maker looks for its height.
                height_mm = plan.seams[pin.seam - 1].from_mm
            height = measure(height_mm, plan.workshop.paper)
            label = f"{column_name(pin.seam - 1)} {height}" if alone else height
            found.append(JoinMark(label=label, line=line, is_pin=True))
    return tuple(found)


def faces(
    piece: Piece, cutting: Cutting, *, paired: bool, joins: Sequence[JoinMark] = ()
) -> tuple[Face, ...]:
    """Return the faces to draw: one, or a near and a mirrored far one with equal stations.

    A taper always gives two, which differ.
    """
    if piece.taper is not None:
        return _taper_faces(piece, piece.taper, cutting)
    kerf_mm = cutting.kerf_mm
    (wire,) = polygons(
        shapely.orient_polygons(piece.outline.buffer(kerf_mm / 2, quad_segs=QUAD_SEGS))
    )
    west, south, _, _ = wire.bounds
    wire, finished = translate(wire, -west, -south), translate(piece.finished, -west, -south)
    near = Face(
        side="near" if paired else "single",
        finished=finished,
        wire=wire,
        stations=stations(finished, wire, piece.allowance_mm + kerf_mm / 2),
        joins=tuple(replace(one, line=translate(one.line, -west, -south)) for one in joins),
    )
    if not paired:
        return (near,)
    width = near.width_mm
    far = Face(
        side="far",
        finished=_mirrored(finished, width),
        wire=_mirrored(wire, width),
        stations=tuple(tuple(mirrored(s, width) for s in ring) for ring in near.stations),
        joins=tuple(
            replace(one, line=affine_transform(one.line, _mirror(width))) for one in near.joins
        ),
    )
    return near, far


def _taper_faces(piece: Piece, taper: Taper, cutting: Cutting) -> tuple[Face, Face]:
    wires = [taper_line(taper.cut, cutting).line.section(share) for share in (0.0, 1.0)]
    marks = piece_stations(piece, cutting)[:-1]
    west = min(wire.bounds[0] for wire in wires)
    south = min(wire.bounds[1] for wire in wires)
    width = max(wire.bounds[2] for wire in wires) - west
    found = []
    for far_end, wire in enumerate(wires):
        moved = translate(wire, -west, -south)
        places = [(str(mark.number), *(mark.far if far_end else mark.near)) for mark in marks]
        found.append(
            (
                translate(taper.finished.section(float(far_end)), -west, -south),
                moved,
                stations_at(moved, [(label, x - west, y - south) for label, x, y in places]),
            )
        )
    (near_finished, near_wire, near_marks), (far_finished, far_wire, far_marks) = found
    return (
        Face(
            side="near",
            finished=near_finished,
            wire=near_wire,
            stations=(near_marks,),
            frame_mm=width,
        ),
        Face(
            side="far",
            finished=_mirrored(far_finished, width),
            wire=_mirrored(far_wire, width),
            stations=(tuple(mirrored(mark, width) for mark in far_marks),),
            frame_mm=width,
        ),
    )


def _mirror(width_mm: float) -> tuple[float, ...]:
    return -1.0, 0.0, 0.0, 1.0, width_mm, 0.0


def _mirrored(polygon: Polygon, width_mm: float) -> Polygon:
    flipped: Polygon = affine_transform(polygon, _mirror(width_mm))
    return flipped
