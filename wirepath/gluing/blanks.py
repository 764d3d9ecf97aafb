"""Cells -> blanks: the form laid on its blank, and glue kept off the wire's way round it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely import Geometry, MultiLineString, MultiPolygon, Polygon

from wirepath import overlay
from wirepath.geometry import polygons, put_back
from wirepath.gluing.foam import balance
from wirepath.model import GluedBlank, Layout, Offcut, Pass, Piece, Placement, Seam
from wirepath.workshop import Workshop

SLACK = 0.02
"""Share of an offset by which it may err: GEOS straightens lines by 1 % before it offsets."""

HELD_MM = 1.0
"""Glue along less than this holds nothing (and 1 mm2 of a layer); it may be rounding."""

TOUCH_MM = 1e-4
"""Nearer than this touches: seams and outlines are cut by rounding numbers."""


def blank_layouts(
    forms: Sequence[Piece], pieces: Sequence[Piece], *, blocks: int, layouts: int
) -> tuple[tuple[Piece, ...], tuple[Layout, ...]]:
    """Return the forms that `pieces` hold the cells of, numbered after these, and layouts of them.

    `blocks` and `layouts` are how many there are already.
    """
    cells = _cells(pieces)
    glued = tuple(
        # Foam of shared slabs may stand over a relief: the wire cuts through all of it.
        replace(form, number=number, thickness_mm=max(map(_top_mm, cells[form.name])))
        for number, form in enumerate(
            (form for form in forms if form.name in cells), len(pieces) + 1
        )
    )
    return glued, tuple(
        _layout(form, cells[form.name], layouts + number, blocks + number)
        for number, form in enumerate(glued, 1)
    )


def glued_blanks(
    forms: Sequence[Piece],
    layouts: Sequence[Layout],
    passes: Sequence[Pass],
    pieces: Sequence[Piece],
    workshop: Workshop,
) -> tuple[tuple[GluedBlank, ...], tuple[Offcut, ...]]:
    """Return the blank of each form on its layout, and their offcuts, which are not numbered yet.

    Nothing is known of glue: `dry_seams` tells which cells it does not hold.
    """
    cells = _cells(pieces)
    blanks: list[GluedBlank] = []
    offcuts: list[Offcut] = []
    for number, (form, layout) in enumerate(zip(forms, layouts, strict=True), 1):
        own = tuple(one for one in passes if one.layout == layout.number)
        foam, kept = balance(form, cells[form.name], layout, own, workshop)
        offcuts += kept
        blanks.append(
            GluedBlank(
                number=number,
                form=form,
                cells=tuple(cell.number for cell in cells[form.name]),
                layout=layout,
                passes=own,
                foam=foam,
            )
        )
    return tuple(blanks), tuple(offcuts)


def _cells(pieces: Sequence[Piece]) -> dict[str, list[Piece]]:
    """Return the cells of each form by its name."""
    found: dict[str, list[Piece]] = defaultdict(list)
    for piece in pieces:
        if piece.section_of is not None:
            found[piece.section_of].append(piece)
    return dict(found)


def _top_mm(piece: Piece) -> float:
    return piece.from_mm + piece.thickness_mm


def _layout(form: Piece, cells: Sequence[Piece], number: int, block: int) -> Layout:
    """Return the layout of a form on the rectangle around its cells, longer along x."""
    x0, y0, x1, y1 = shapely.total_bounds([cell.outline for cell in cells]).tolist()
    is_lying = x1 - x0 >= y1 - y0
    placement = (
        Placement(piece=form.number, x_mm=0.0 - x0, y_mm=0.0 - y0)
        if is_lying
        else Placement(piece=form.number, x_mm=y1, y_mm=0.0 - x0, angle_deg=90.0)
    )
    sides = (x1 - x0, y1 - y0) if is_lying else (y1 - y0, x1 - x0)
    return Layout(
        number=number,
        block=block,
        from_mm=0.0,
        thickness_mm=form.thickness_mm,
        width_mm=sides[0],
        height_mm=sides[1],
        trim_mm=0.0,
        placements=(placement,),
    )


# --- Glue ---------------------------------------------------------------------------


def dry_seams(
    seams: Sequence[Seam],
    blanks: Sequence[GluedBlank],
    pieces: Sequence[Piece],
    dry_mm: float,
) -> tuple[tuple[Seam, ...], tuple[GluedBlank, ...]]:
    """Return the seams with what of them stays dry, and the blanks with their loose cells.

    A blank's seams are glued inside the form only, `dry_mm` off the way the wire will
    take: glue does not melt, and the waste needs none. Other seams stay as they are.
    """
    found = list(seams)
    told = []
    for blank in blanks:
        cells = set(blank.cells)
        held = _held(blank, dry_mm)
        own = [k for k, seam in enumerate(found) if cells.issuperset(seam.pieces)]
        for k in own:
            dry = overlay.difference(found[k].place, held)
            if found[k].kind == "layer":
                dry = MultiPolygon(polygons(dry))
            found[k] = replace(found[k], dry=dry)
        told.append(replace(blank, loose=_loose(blank, [found[k] for k in own], pieces)))
    return tuple(found), tuple(told)


def way_of(blank: GluedBlank) -> Geometry:
    """Return where the wire goes through the blank, in the drawing's frame."""
    (placement,) = blank.layout.placements
    lines = [move.line for one in blank.passes for move in one.moves if move.kind != "air"]
    return put_back(MultiLineString(lines), placement)


def _held(blank: GluedBlank, dry_mm: float) -> Geometry:
    """Return where glue may be: in the form, off the wire's way."""
    near = shapely.buffer(way_of(blank), dry_mm * (1 + SLACK))
    held: Geometry = overlay.difference(blank.form.outline, near)
    return held


def _loose(blank: GluedBlank, seams: Sequence[Seam], pieces: Sequence[Piece]) -> tuple[int, ...]:
    """Return the cells that hold a lump of the form which no glue joins to the largest part."""
    lumps = [
        (number, lump)
        for number in blank.cells
        for lump in polygons(overlay.intersection(pieces[number - 1].outline, blank.form.outline))
        if lump.area > HELD_MM
    ]
    team = list(range(len(lumps)))

    def leader(k: int) -> int:
        while team[k] != k:
            k = team[k]
        return k

    for seam in seams:
        glued = seam.glued
        sides = [
            [k for k, (cell, lump) in enumerate(lumps) if cell == number and _holds(glued, lump)]
            for number in seam.pieces
        ]
        for one in sides[0]:
            for other in sides[1]:
                shared = overlay.intersection(_near(lumps[one][1]), _near(lumps[other][1]))
                if _size(overlay.intersection(glued, shared)) > HELD_MM:
                    team[leader(one)] = leader(other)
    volumes: dict[int, float] = defaultdict(float)
    for k, (number, lump) in enumerate(lumps):
        volumes[leader(k)] += lump.area * pieces[number - 1].thickness_mm
    main = max(volumes, key=lambda k: (volumes[k], -k), default=0)
    return tuple(sorted({lumps[k][0] for k in range(len(lumps)) if leader(k) != main}))


def _holds(glued: Geometry, lump: Polygon) -> bool:
    return _size(overlay.intersection(glued, _near(lump))) > HELD_MM


def _near(lump: Polygon) -> Polygon:
    near: Polygon = shapely.buffer(lump, TOUCH_MM)
    return near


def _size(glued: Geometry) -> float:
    """Return the area of a layer's glue, the length of an edge's."""
    return float(shapely.area(glued) or shapely.length(glued))
