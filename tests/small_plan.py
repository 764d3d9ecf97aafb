"""A small plan made of real stages: pieces placed by hand, then wire lines, passes, estimate."""

from __future__ import annotations

import re
from dataclasses import fields, replace

from shapely import Point, Polygon, box

from wirepath.estimating import estimate
from wirepath.kerf import piece_misses, wire_lines
from wirepath.model import (
    PLAN_VERSION,
    Block,
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
from wirepath.workshop import Cutting, Foam, Language, Order, Rig, Stock, Wire, Workshop

BRACKET = Polygon([(0, 0), (400, 0), (400, 100), (100, 100), (100, 300), (0, 300)])
"""An angle of 400 x 300 mm, arms 100 mm wide: six corners."""

RING = Point(120, 120).buffer(120, quad_segs=64).difference(Point(120, 120).buffer(60))
"""A ring, 240 mm across, its hole 120 mm across."""


def workshop(*, rig: str = "table", kerf_mm: float = 2.0) -> Workshop:
    return Workshop(
        name="Paper workshop",
        wire=Wire(length_mm=1200.0, diameter_mm=0.5),
        rig=Rig(kind=rig),
        cutting=Cutting(kerf_mm=kerf_mm, web_mm=8.0),
        foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
        stock=(
            Stock(
                name="block",
                foam="EPS 15",
                length_mm=1000.0,
                width_mm=500.0,
                thickness_mm=200.0,
                price=30.0,
                trim_mm=10.0,
            ),
        ),
        order=Order(currency="crowns", delivery_price=12.0, hour_price=60.0),
    )


def piece(number: int, name: str, part: str, shape: Polygon, *, allowance_mm: float = 0.0) -> Piece:
    outline = shape.buffer(allowance_mm, quad_segs=16) if allowance_mm else shape
    return Piece(
        number=number,
        name=name,
        part=part,
        finished=shape,
        outline=outline,
        thickness_mm=180.0,
        allowance_mm=allowance_mm,
        foam="EPS 15",
    )


def plan_of(
    *blocks: tuple[tuple[Piece, Placement], ...],
    shop: Workshop | None = None,
    name: str = "Brackets",
) -> Plan:
    """Return a plan with one whole block for each group of placed pieces."""
    shop = shop or workshop()
    pieces = tuple(one for group in blocks for one, _ in group)
    made = tuple(
        Block(number=n, stock="block", wire_axis="thickness") for n in range(1, len(blocks) + 1)
    )
    layouts = tuple(
        Layout(
            number=n,
            block=n,
            from_mm=0.0,
            thickness_mm=200.0,
            width_mm=1000.0,
            height_mm=500.0,
            trim_mm=10.0,
            placements=tuple(placement for _, placement in group),
        )
        for n, group in enumerate(blocks, 1)
    )
    passes = tuple(
        one
        for layout in layouts
        for one in route(layout, wire_lines(layout, pieces, shop.cutting), pieces, shop.cutting)
    )
    return Plan(
        version=PLAN_VERSION,
        job=Job(
            name=name,
            drawing="paper.dxf",
            workshop="workshop.toml",
            invented=True,
            form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=180.0),
        ),
        workshop=shop,
        traced=Traced(
            outlines=tuple(Outline(name=one.part, polygon=one.finished) for one in pieces),
            notes=(Note(kind="repair", text="closed a gap of 0.04 mm", at=(12.0, 5.0)),),
        ),
        pieces=pieces,
        blocks=made,
        layouts=layouts,
        passes=passes,
        misses=piece_misses(pieces, shop.cutting),
        estimate=estimate(shop, pieces, made, layouts, passes, fewest_blocks=1),
    )


def two_blocks(shop: Workshop | None = None) -> Plan:
    """Return two brackets and a ring on block 1, a ring and a square on block 2."""
    return plan_of(
        (
            (piece(1, "Bracket 1", "Bracket", BRACKET), Placement(piece=1, x_mm=20.0, y_mm=20.0)),
            (
                piece(2, "Bracket 2", "Bracket", BRACKET),
                Placement(piece=2, x_mm=540.0, y_mm=440.0, angle_deg=180.0),
            ),
            (piece(3, "Ring 1", "Ring", RING), Placement(piece=3, x_mm=640.0, y_mm=40.0)),
        ),
        (
            (piece(4, "Ring 2", "Ring", RING), Placement(piece=4, x_mm=20.0, y_mm=20.0)),
            (
                piece(5, "Foot", "Foot", box(0, 0, 150, 150)),
                Placement(piece=5, x_mm=300.0, y_mm=20.0),
            ),
        ),
        shop=shop,
    )


def one_piece(shape: Polygon, *, allowance_mm: float = 0.0, rig: str = "table") -> Plan:
    """Return a plan of one piece that lies clear of the trim on one block."""
    made = piece(1, "One", "One", shape, allowance_mm=allowance_mm)
    west, south, _, _ = made.outline.bounds
    placed = Placement(piece=1, x_mm=30.0 - west, y_mm=30.0 - south)
    return plan_of(((made, placed),), shop=workshop(rig=rig))


def renamed(plan: Plan, name: str) -> Plan:
    """Return the plan of a job with another name."""
    return replace(plan, job=replace(plan.job, name=name))


def spoken(plan: Plan, language: Language) -> Plan:
    """Return the plan of a workshop whose paper is in `language`."""
    paper = replace(plan.workshop.paper, language=language)
    return replace(plan, workshop=replace(plan.workshop, paper=paper))


def places(words: object) -> dict[str, list[list[str]]]:
    """Return, for every text of a table of words, the {places} in each of its lines."""
    found = {}
    for field in fields(words):
        value = getattr(words, field.name)
        texts = [value] if isinstance(value, str) else [str(one) for one in value]
        found[field.name] = [sorted(re.findall(r"{\w+}", text)) for text in texts]
    return found
