"""DXF R2000 in mm: the wire's way on layers by purpose, with block and pieces to look at."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager

import ezdxf
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from wirepath.coordinates.heading import heading
from wirepath.coordinates.laying import passes_of
from wirepath.geometry import foam_face, on_table, place_all
from wirepath.model import Layout, MoveKind, Plan

LAYERS: dict[str, tuple[int, str]] = {
    # Name: colour number (1 red, 3 green, 4 cyan, 5 blue, 6 magenta, 7 black) and line type.
    "foam": (8, "CONTINUOUS"),
    "pieces": (9, "CONTINUOUS"),
    "numbers": (7, "CONTINUOUS"),
    "notes": (7, "CONTINUOUS"),
    "wire-outline": (7, "CONTINUOUS"),
    "wire-hole": (4, "CONTINUOUS"),
    "wire-link": (6, "DASHED"),
    "wire-slit": (1, "DASHED"),
    "wire-slot": (3, "DOT"),
    "wire-air": (5, "DASHDOT"),
    "far-wire": (2, "DASHED"),
}

LAYER_OF: dict[MoveKind, str] = {
    "air": "wire-air",
    "entry": "wire-link",
    "thread": "wire-link",
    "outline": "wire-outline",
    "hole": "wire-hole",
    "link": "wire-link",
    "slit": "wire-slit",
    "parting": "wire-link",
    "slot": "wire-slot",
    "overrun": "wire-slot",
    "fence": "wire-outline",
}

TEXT_MM = 12.0


def dxf_text(plan: Plan, layout: Layout, setup: int | None = None) -> str:
    """Return the text of a layout's DXF; the same plan gives the same text.

    Or that of one of its setups, by number, as the block lies on the table then.

    One polyline for each move, in the order of cutting; a wire line that is cut in one
    go is a closed polyline. Kerf included, as in the CSV. Where the wire's ends part, the
    far end's way stands on a layer of its own, after the near end's; on the foam's faces.
    """
    with _repeatable():
        document = new("R2000", units=4, setup=["linetypes"])
        for name, (colour, linetype) in LAYERS.items():
            document.layers.add(name, color=colour, linetype=linetype)
        space = document.modelspace()
        _draw_foam(space, plan, layout, setup)
        for move in (move for one in passes_of(plan, layout, setup) for move in one.moves):
            points = list(move.line.coords)
            closed = len(points) > 3 and points[0] == points[-1]
            space.add_lwpolyline(
                points[:-1] if closed else points,
                close=closed,
                dxfattribs={"layer": LAYER_OF[move.kind]},
            )
            if move.far is not None:
                space.add_lwpolyline(list(move.far.coords), dxfattribs={"layer": "far-wire"})
        return _text(document)


def _draw_foam(space: Modelspace, plan: Plan, layout: Layout, setup: int | None) -> None:
    lies = layout.setup(setup or 1)
    foam = on_table(foam_face(layout), lies)
    left, _, _, top = foam.bounds
    corners = list(foam.exterior.coords)[:-1]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "foam"})
    numbers = [placement.piece for placement in layout.placements]
    for number, polygon in zip(numbers, place_all(layout, plan.pieces), strict=True):
        polygon = on_table(polygon, lies)
        for ring in (polygon.exterior, *polygon.interiors):
            space.add_lwpolyline(list(ring.coords)[:-1], close=True, dxfattribs={"layer": "pieces"})
        middle = polygon.representative_point()
        space.add_text(str(number), height=TEXT_MM, dxfattribs={"layer": "numbers"}).set_placement(
            (middle.x, middle.y), align=TextEntityAlignment.MIDDLE_CENTER
        )
    lines = list(heading(plan, layout, setup))
    for index, line in enumerate(lines):
        at = (left, top + (len(lines) - index + 2) * 1.6 * TEXT_MM)
        space.add_text(line, height=TEXT_MM, dxfattribs={"layer": "notes"}).set_placement(at)


def _text(document: Drawing) -> str:
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


@contextmanager
def _repeatable() -> Iterator[None]:
    """Keep dates and random identifiers out of the file."""
    options = ezdxf.options  # type: ignore[attr-defined]
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
