"""Random layouts for the tests of the wire's way: shapes that are hard on a wire.

Every cell of a square grid holds one shape. Neighbours keep a clearance, since a
shape stays inside its cell.
"""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, box
from shapely.affinity import rotate, translate

from wirepath.geometry import polygons
from wirepath.kerf import wire_lines
from wirepath.model import (
    Block,
    Estimate,
    FoamBalance,
    FormSettings,
    Job,
    Layout,
    Pass,
    Piece,
    Placement,
    Plan,
    Traced,
    WireLengths,
)
from wirepath.routing import route
from wirepath.workshop import Cutting, Foam, Stock, Wire, Workshop

CELL_MM = 120.0
REACH_MM = 50.0
"""Shapes lie within this distance of the middle of their cell."""

CUTTING = Cutting(kerf_mm=3.0, web_mm=4.0)


def star(points: int, waist: float) -> Polygon:
    angles = np.arange(2 * points) * np.pi / points
    radii = np.where(np.arange(2 * points) % 2, waist, 1.0) * REACH_MM
    return Polygon(np.column_stack((radii * np.cos(angles), radii * np.sin(angles))))


def shapes() -> dict[str, list[Polygon]]:
    """Return the kinds of shape round 0, 0: one outline, or an outline and its islands."""
    disc = Point(0, 0).buffer(REACH_MM, 32)
    square = box(-34, -34, 34, 34)
    ring = disc.difference(Point(0, 0).buffer(36, 32))
    hook = box(-34, -34, 34, 34).difference(box(-14, -14, 35, 14))
    window = square.difference(box(-28, -28, -3, 28)).difference(box(3, -28, 28, 28))
    return {
        "disc": [disc],
        "square": [square],
        "star": [star(5, 0.45)],
        "hook": [hook],
        "window": [window],
        "thin bar": [box(-48, -4, 48, 4)],
        "ring": [ring],
        "ring with a square in it": [ring, box(-15, -15, 15, 15)],
        "ring in a ring with a disc in it": [
            ring,
            Point(2, 1).buffer(28, 16).difference(Point(2, 1).buffer(18, 16)),
            Point(4, 0).buffer(9, 16),
        ],
        "off-centre hole": [disc.difference(Point(30, 10).buffer(12, 16))],
    }


def piece(number: int, outline: Polygon, name: str = "") -> Piece:
    return Piece(
        number=number,
        name=name or f"piece {number}",
        part=name or f"piece {number}",
        finished=outline,
        outline=outline,
        thickness_mm=100.0,
        allowance_mm=0.0,
        foam="EPS 15",
    )


def laid(
    outlines: list[Polygon], width_mm: float, height_mm: float
) -> tuple[Layout, tuple[Piece, ...]]:
    """Return a layout on which `outlines` lie as drawn."""
    pieces = tuple(piece(number, outline) for number, outline in enumerate(outlines, 1))
    layout = Layout(
        number=1,
        block=1,
        from_mm=0.0,
        thickness_mm=100.0,
        width_mm=width_mm,
        height_mm=height_mm,
        trim_mm=0.0,
        placements=tuple(Placement(piece=one.number, x_mm=0.0, y_mm=0.0) for one in pieces),
    )
    return layout, pieces


@st.composite
def layouts(draw: st.DrawFn, *, most: int = 6) -> tuple[Layout, tuple[Piece, ...]]:
    """Draw a layout of up to `most` cells, some of them empty, each shape turned and shifted.

    Half of them are so tight that the outermost shapes stand on the block's edges.
    """
    kinds = shapes()
    cells = draw(st.lists(st.sampled_from([*kinds, "nothing"]), min_size=1, max_size=most))
    columns = draw(st.integers(1, 3))
    outlines = []
    for index, kind in enumerate(cells):
        angle = draw(st.integers(0, 359))
        shift = draw(st.integers(-6, 6)), draw(st.integers(-6, 6))
        for shape in kinds.get(kind, []):
            turned = rotate(shape, angle, origin=(0, 0))
            x = CELL_MM * (index % columns) + CELL_MM / 2 + shift[0]
            y = CELL_MM * (index // columns) + CELL_MM / 2 + shift[1]
            outlines.append(translate(turned, x, y))
    if outlines and draw(st.booleans()):
        west, south, east, north = MultiPolygon(outlines).bounds
        outlines = [translate(outline, -west, -south) for outline in outlines]
        return laid(outlines, east - west, north - south)
    rows = -(-len(cells) // columns)
    return laid(outlines, CELL_MM * columns, CELL_MM * rows)


def scattered(count: int, seed: int) -> tuple[Layout, tuple[Piece, ...]]:
    """Return `count` ragged shapes on a square block, every third with a hole."""
    rng = np.random.default_rng(seed)
    columns = int(np.ceil(np.sqrt(count)))
    outlines = []
    for index in range(count):
        angles = np.sort(rng.uniform(0, 2 * np.pi, 40))
        radii = rng.uniform(0.6, 1.0, 40) * REACH_MM
        ragged = Polygon(np.column_stack((np.cos(angles) * radii, np.sin(angles) * radii)))
        # Opened and closed by a disc, no notch or web is left that a 3 mm kerf could lose.
        smooth = ragged.buffer(2.0).buffer(-4.0).buffer(2.0)
        outline = max(polygons(smooth), key=lambda part: part.area)
        if index % 3 == 0:
            outline = outline.difference(outline.representative_point().buffer(8.0))
            outline = max(polygons(outline), key=lambda part: part.area)
        x = 30 + CELL_MM * (index % columns + 0.5)
        y = 30 + CELL_MM * (index // columns + 0.5)
        outlines.append(translate(outline, x, y))
    side = 60 + CELL_MM * columns
    return laid(outlines, side, side)


def plan_of(
    layout: Layout,
    pieces: tuple[Piece, ...],
    passes: tuple[Pass, ...] | None = None,
    *,
    cutting: Cutting = CUTTING,
    invented: bool = True,
) -> Plan:
    """Return a plan of one layout with its passes, routed if none are given; no estimate."""
    if passes is None:
        passes = route(layout, wire_lines(layout, pieces, cutting), pieces, cutting)
    nothing = FoamBalance(bought=0, pieces=0, kerf=0, trim=0, offcuts=0, scrap=0)
    return Plan(
        version=1,
        job=Job(
            name="Paper job",
            drawing="paper.dxf",
            workshop="workshop.toml",
            invented=invented,
            form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=100.0),
        ),
        workshop=Workshop(
            name="Paper workshop",
            wire=Wire(length_mm=1200.0),
            cutting=cutting,
            foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
            stock=(
                Stock(
                    name="block",
                    foam="EPS 15",
                    length_mm=layout.width_mm,
                    width_mm=layout.height_mm,
                    thickness_mm=100.0,
                    price=30.0,
                ),
            ),
        ),
        traced=Traced(outlines=()),
        pieces=pieces,
        blocks=(Block(number=1, stock="block", wire_axis="thickness"),),
        layouts=(layout,),
        passes=passes,
        estimate=Estimate(
            order=(),
            offcuts=(),
            foam=nothing,
            fewest_blocks=1,
            piece_weights_kg=(),
            wire=WireLengths(foam_mm=0, slot_mm=0, air_mm=0),
            slab_cut_mm=0,
            cutting_min=0,
            setup_min=0,
            foam_price=0,
            delivery_price=0,
            labour_price=0,
            currency="crowns",
        ),
    )
