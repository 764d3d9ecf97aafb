"""Plans for the sheets, laid out by hand; the wire's way and the estimate are worked out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely import Polygon, box
from shapely.affinity import rotate, translate

from wirepath.estimating import estimate
from wirepath.kerf import piece_misses, wire_lines
from wirepath.model import (
    PLAN_VERSION,
    Block,
    EntityCount,
    FormSettings,
    Job,
    Layout,
    Note,
    Outline,
    Piece,
    Placement,
    Plan,
    Traced,
)
from wirepath.routing import route
from wirepath.workshop import Cutting, Foam, Order, Paper, Stock, Wire, Workshop

LETTER_A = Polygon(
    [(0, 0), (90, 0), (120, 110), (280, 110), (310, 0), (400, 0), (245, 500), (155, 500)],
    [[(145, 200), (255, 200), (200, 385)]],
)
ARCH_STONE = Polygon(
    [
        (radius * math.cos(math.radians(degree)), radius * math.sin(math.radians(degree)))
        for radius, degrees in ((900, range(75, 106)), (600, range(105, 74, -1)))
        for degree in degrees
    ]
)
STONE = translate(ARCH_STONE, -ARCH_STONE.bounds[0], -ARCH_STONE.bounds[1])
DISC = shapely.Point(30, 30).buffer(30, quad_segs=32)

SHOP = Workshop(
    name="Paper workshop",
    wire=Wire(length_mm=1400.0),
    cutting=Cutting(kerf_mm=2.0),
    foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
    stock=(
        Stock(
            name="block 1000",
            foam="EPS 15",
            length_mm=1000.0,
            width_mm=600.0,
            thickness_mm=500.0,
            price=30.0,
            trim_mm=10.0,
        ),
        Stock(
            name="board",
            foam="EPS 15",
            length_mm=2440.0,
            width_mm=1220.0,
            thickness_mm=100.0,
            price=20.0,
            trim_mm=10.0,
        ),
    ),
    order=Order(delivery_price=12.0, hour_price=60.0, spare_share=0.1),
)

A4 = Paper()

Laid = tuple[str, Polygon, float, float, float]
"""Name, outline, x and y of its lower left corner on the layout, turn in degrees."""


def make(
    layouts: Sequence[tuple[str, float, float, Sequence[Laid]]],
    *,
    name: str = "Lantern Fair, gate letters",
    shop: Workshop = SHOP,
    allowance_mm: float = 0.0,
    notes: tuple[Note, ...] = (),
    invented: bool = True,
    date: str | None = None,
) -> Plan:
    """Return a plan of `layouts`: (stock, from_mm, thickness_mm, pieces); slabs of one stock
    that follow each other in depth share a block."""
    pieces: list[Piece] = []
    blocks: list[Block] = []
    made: list[Layout] = []
    for number, (stock_name, from_mm, thickness, laid) in enumerate(layouts, 1):
        stock = shop.stock_named(stock_name)
        if not (made and blocks[-1].stock == stock_name and from_mm > made[-1].from_mm):
            blocks.append(Block(number=len(blocks) + 1, stock=stock_name, wire_axis="thickness"))
        placements = []
        for label, outline, x, y, turn in laid:
            grown = outline.buffer(allowance_mm) if allowance_mm else outline
            piece = Piece(
                number=len(pieces) + 1,
                name=label,
                part=label,
                finished=outline,
                outline=grown,
                thickness_mm=thickness,
                allowance_mm=allowance_mm,
                foam="EPS 15",
            )
            pieces.append(piece)
            turned = rotate(grown, turn, origin=(0, 0))
            placements.append(
                Placement(
                    piece=piece.number,
                    x_mm=x - turned.bounds[0],
                    y_mm=y - turned.bounds[1],
                    angle_deg=turn,
                )
            )
        made.append(
            Layout(
                number=number,
                block=len(blocks),
                from_mm=from_mm,
                thickness_mm=thickness,
                width_mm=stock.length_mm,
                height_mm=stock.width_mm,
                trim_mm=stock.trim_mm,
                placements=tuple(placements),
            )
        )
    passes = tuple(
        one
        for layout in made
        for one in route(
            layout, wire_lines(layout, tuple(pieces), shop.cutting), tuple(pieces), shop.cutting
        )
    )
    return Plan(
        version=PLAN_VERSION,
        job=Job(
            name=name,
            drawing="letters.dxf",
            workshop="workshop.toml",
            invented=invented,
            date=date,
            form=FormSettings(
                kind="flat", foam="EPS 15", thickness_mm=100.0, allowance_mm=allowance_mm
            ),
        ),
        workshop=shop,
        traced=Traced(
            outlines=tuple(Outline(name=one.name, polygon=one.finished) for one in pieces),
            notes=notes,
            counts=(
                EntityCount(
                    kind="LWPOLYLINE", found=5, read=4, ignored=1, refused=0, why="1 on layer NOTES"
                ),
            ),
            units="mm (stated in the drawing)",
        ),
        pieces=tuple(pieces),
        blocks=tuple(blocks),
        layouts=tuple(made),
        passes=passes,
        misses=piece_misses(pieces, shop.cutting),
        estimate=estimate(shop, tuple(pieces), tuple(blocks), tuple(made), passes, fewest_blocks=1),
    )


def letters(paper: Paper = A4) -> Plan:
    """A board with a letter with a counter, two rectangles, an arch stone and a small disc."""
    return make(
        [
            (
                "board",
                0.0,
                100.0,
                [
                    ("A", LETTER_A, 40, 30, 0),
                    ("base", box(0, 0, 800, 300), 480, 30, 0),
                    ("upright", box(0, 0, 200, 700), 480, 360, 0),
                    ("stone", STONE, 720, 400, 0),
                    ("disc", DISC, 1300, 60, 0),
                    ("A", LETTER_A, 1350, 200, 90),
                ],
            )
        ],
        shop=replace(SHOP, paper=paper),
        notes=(
            Note(kind="repair", text="closed a gap of 0.04 mm on layer CUT", at=(120.4, 77.0)),
            Note(kind="ignored", text="1 text on layer NOTES"),
        ),
    )


def slabs(paper: Paper = A4) -> Plan:
    """Two blocks alike, each sawn into two slabs, with an allowance for carving."""
    laid = [("base", box(0, 0, 400, 200), 50, 50, 0), ("stone", STONE, 480, 60, 0)]
    one = [("block 1000", 10.0, 120.0, laid), ("block 1000", 132.0, 120.0, laid)]
    return make([*one, *one], allowance_mm=15.0, shop=replace(SHOP, paper=paper))


def crowd(paper: str = "A4") -> Plan:
    """A board crowded with small pieces whose names and numbers hardly fit."""
    pieces: list[Laid] = [
        (
            f"tile of the frieze {i}",
            box(0, 0, 60, 40),
            30 + 75 * (i % 30),
            30 + 60 * (i // 30),
            0,
        )
        for i in range(60)
    ]
    return make(
        [("board", 0.0, 100.0, pieces)], shop=replace(SHOP, paper=Paper(size=paper)), name="Frieze"
    )


def awkward() -> Plan:
    """Names and notes that a page could choke on."""
    long = "a name that goes on and on, " * 8
    return make(
        [
            (
                "block 1000",
                0.0,
                500.0,
                [
                    ("$x_1$ $", box(0, 0, 300, 200), 40, 40, 0),
                    (long, box(0, 0, 90, 60), 400, 40, 0),
                    ("灯笼 \u0007 {0} %s", box(0, 0, 300, 30), 40, 300, 0),
                ],
            )
        ],
        name=long,
        notes=tuple(Note(kind="repair", text=f"{i}: {long}") for i in range(40)),
        date="the week before the fair, " * 6,
    )
