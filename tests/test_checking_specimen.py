"""A plan made by hand with numbers one can check on paper, and the proof that it holds.

Other tests of the check break this plan, one thing at a time.

One block of 400 x 300 x 100 mm, 10 mm trim all round, wire along the thickness. One slab
from 10 to 60 mm deep: one cut takes the rough face off, one from 60 to 62 mm leaves 28 mm. On it a
frame (100 x 100 mm with a hole of 40 x 40 mm) from 20, 20 to 120, 120, and a bar of
100 x 60 mm turned by a quarter, from 140, 20 to 200, 120. Kerf 2 mm, web 8 mm. All invented.
"""

from __future__ import annotations

import math
from dataclasses import replace

from shapely import LineString, Polygon, box

from wirepath import checking
from wirepath.checking import Finding
from wirepath.model import (
    Block,
    EntityCount,
    Estimate,
    FoamBalance,
    FormSettings,
    Job,
    Layout,
    LayoutSettings,
    Move,
    MoveKind,
    Offcut,
    OrderLine,
    Outline,
    Pass,
    Piece,
    PieceMiss,
    Placement,
    Plan,
    Traced,
    WireLengths,
)
from wirepath.workshop import Cutting, Foam, Offcuts, Order, Rig, Stock, Wire, Workshop

FRAME = Polygon(box(0, 0, 100, 100).exterior, [box(30, 30, 70, 70).exterior])
BAR = box(120, 0, 220, 60)

WORKSHOP = Workshop(
    name="Invented shop",
    wire=Wire(length_mm=1200, supply_v=24, supply="AC"),
    rig=Rig(acceleration_mm_per_s2=1e9),  # times are lengths over feeds
    cutting=Cutting(kerf_mm=2, feed_mm_per_s=5, air_feed_mm_per_s=30, web_mm=8),
    foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15),),
    stock=(
        Stock(
            name="small block",
            foam="EPS 15",
            length_mm=400,
            width_mm=300,
            thickness_mm=100,
            price=12,
            trim_mm=10,
        ),
    ),
    offcuts=Offcuts(keep_length_mm=250, keep_width_mm=150, keep_thickness_mm=25),
    order=Order(delivery_price=5, spare_share=0.1, hour_price=30),
)

JOB = Job(
    name="Frame and bar",
    drawing="frame.dxf",
    workshop="shop.toml",
    invented=True,
    form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=50),
    layout=LayoutSettings(turning="quarter"),
)

PIECES = (
    Piece(
        number=1,
        name="frame",
        part="frame",
        finished=FRAME,
        outline=FRAME,
        thickness_mm=50,
        allowance_mm=0,
        foam="EPS 15",
    ),
    Piece(
        number=2,
        name="bar",
        part="bar",
        finished=BAR,
        outline=BAR,
        thickness_mm=50,
        allowance_mm=0,
        foam="EPS 15",
    ),
)

LAYOUT = Layout(
    number=1,
    block=1,
    from_mm=10,
    thickness_mm=50,
    width_mm=400,
    height_mm=300,
    trim_mm=10,
    placements=(
        Placement(piece=1, x_mm=20, y_mm=20),
        # Turned by a quarter, x 120..220, y 0..60 becomes x -60..0, y 120..220.
        Placement(piece=2, x_mm=200, y_mm=-100, angle_deg=90),
    ),
)


def move(kind: MoveKind, *points: tuple[float, float], piece: int | None = None) -> Move:
    """Return a move at the shop's feed for its kind."""
    feed = 30.0 if kind == "air" else 5.0
    return Move(kind=kind, line=LineString(points), feed_mm_per_s=feed, piece=piece)


MOVES = (
    move("air", (-20, 70), (0, 70)),
    move("entry", (0, 70), (19, 70)),
    move("slit", (19, 70), (51, 70), piece=1),
    move("hole", (51, 70), (51, 51), (89, 51), (89, 89), (51, 89), (51, 70), piece=1),
    move("overrun", (51, 70), (51, 65), piece=1),
    move("slot", (51, 65), (51, 70), (19, 70)),
    move("outline", (19, 70), (19, 19), (121, 19), (121, 70), piece=1),
    move("link", (121, 70), (139, 70)),
    move("outline", (139, 70), (139, 19), (201, 19), (201, 121), (139, 121), (139, 70), piece=2),
    move("overrun", (139, 70), (139, 65), piece=2),
    move("slot", (139, 65), (139, 70), (121, 70)),
    move("outline", (121, 70), (121, 121), (19, 121), (19, 70), piece=1),
    move("overrun", (19, 70), (19, 65), piece=1),
    move("slot", (19, 65), (19, 70), (0, 70)),
    move("air", (0, 70), (-20, 70)),
)

# Steiner's formula: a line round a convex region, swept by r = 1 mm outward, adds
# perimeter x r + pi r2. Frame: 102 x 102 mm line, bar: 62 x 102 mm line.
SLOT_MM2 = (
    (102 * 102 + 408 + math.pi - 100 * 100)
    + (62 * 102 + 328 + math.pi - 60 * 100)
    + (40 * 40 - 36 * 36 - (4 - math.pi))  # the hole, less its plug and its four corners
    + 8 * 2  # the entry, from the trim at 10 to the slot at 18
    + 16 * 2  # the link, from 122 to 138
)
KERF_L = (SLOT_MM2 * 50 + 380 * 280 * 2) / 1e6
FOAM = FoamBalance(
    bought=12.0,
    pieces=(8400 + 6000) * 50 / 1e6,
    kerf=KERF_L,
    trim=12.0 - 380 * 280 * 80 / 1e6,
    offcuts=2.632 + 2.9792,
    scrap=380 * 280 * 80 / 1e6 - 0.72 - KERF_L - 2.632 - 2.9792,
)

# Wire: 19 + 32 + 152 + 408 + 18 + 328 = 957 mm cut; 99 mm in slots; 40 mm in air.
CUTTING_MIN = (957 / 5 + 99 / 5 + 40 / 30 + 800 / 5) / 60

ESTIMATE = Estimate(
    order=(
        OrderLine(
            stock="small block",
            foam="EPS 15",
            length_mm=400,
            width_mm=300,
            thickness_mm=100,
            needed=1,
            spare=1,
            price_each=12,
            volume_m3=0.024,
            weight_kg=0.36,
        ),
    ),
    offcuts=(
        Offcut(
            number=1,
            name="R1",
            block=1,
            layout=1,
            x_mm=202,
            y_mm=10,
            width_mm=188,
            height_mm=280,
            from_mm=10,
            thickness_mm=50,
        ),
        Offcut(
            number=2,
            name="R2",
            block=1,
            layout=None,
            x_mm=10,
            y_mm=10,
            width_mm=380,
            height_mm=280,
            from_mm=62,
            thickness_mm=28,
        ),
    ),
    foam=FOAM,
    fewest_blocks=1,
    piece_weights_kg=((1, 0.0063), (2, 0.0045)),
    wire=WireLengths(foam_mm=957, slot_mm=99, air_mm=40),
    slab_cut_mm=800,
    cutting_min=CUTTING_MIN,
    setup_min=20,
    foam_price=24,
    delivery_price=5,
    labour_price=(CUTTING_MIN + 20) / 60 * 30,
    currency="crowns",
)

PLAN = Plan(
    version=1,
    job=JOB,
    workshop=WORKSHOP,
    traced=Traced(
        outlines=(Outline(name="frame", polygon=FRAME), Outline(name="bar", polygon=BAR)),
        counts=(
            EntityCount(kind="LWPOLYLINE", found=3, read=3, ignored=0, refused=0),
            EntityCount(
                kind="TEXT", found=2, read=0, ignored=2, refused=0, why="text makes no outline"
            ),
        ),
    ),
    pieces=PIECES,
    blocks=(Block(number=1, stock="small block", wire_axis="thickness"),),
    layouts=(LAYOUT,),
    passes=(Pass(layout=1, number=1, moves=MOVES),),
    misses=(
        # A round wire of radius 1 mm leaves (sqrt 2 - 1) mm in the hole's square corners.
        PieceMiss(piece=1, miss_mm=math.sqrt(2) - 1, at=(30, 30)),
    ),
    estimate=ESTIMATE,
)


def with_moves(*moves: Move, plan: Plan = PLAN) -> Plan:
    """Return the plan with these moves on its only pass."""
    return replace(plan, passes=(Pass(layout=1, number=1, moves=moves),))


def with_move(step: int, changed: Move) -> Plan:
    """Return the plan with the move at `step` (from 1) changed."""
    return with_moves(*MOVES[: step - 1], changed, *MOVES[step:])


def with_layout(**changes: object) -> Plan:
    """Return the plan with its only layout changed."""
    return replace(PLAN, layouts=(replace(LAYOUT, **changes),))  # type: ignore[arg-type]


def with_estimate(**changes: object) -> Plan:
    """Return the plan with its estimate changed."""
    return replace(PLAN, estimate=replace(ESTIMATE, **changes))  # type: ignore[arg-type]


def with_cutting(**changes: object) -> Plan:
    """Return the plan with other figures of cutting."""
    cutting = replace(WORKSHOP.cutting, **changes)  # type: ignore[arg-type]
    return replace(PLAN, workshop=replace(WORKSHOP, cutting=cutting))


def findings(plan: Plan, promise: int) -> list[Finding]:
    """Return what the check finds of one promise."""
    return [finding for finding in checking.check_plan(plan) if finding.promise == promise]


def told(plan: Plan, promise: int) -> str:
    """Return all faults of one promise as a user reads them; empty when it holds."""
    texts = []
    for finding in findings(plan, promise):
        assert finding.passed is not bool(finding.faults)
        texts += [str(fault) for fault in finding.faults]
    return "\n".join(texts)


def test_the_plan_made_by_hand_holds_every_promise() -> None:
    proof = checking.check_plan(PLAN)
    assert [str(fault) for finding in proof for fault in finding.faults] == []
    assert all(finding.passed for finding in proof)
    assert {finding.promise for finding in proof} == {0, 1, 2, 3, 5, 8, 9, 10, 11}


def test_every_finding_says_what_was_measured() -> None:
    proof = {finding.title: finding.measured for finding in checking.check_plan(PLAN)}
    laid = proof["Pieces lie inside their block less trim and keep their clearance"]
    # 20 mm from the edge less 10 mm trim; 20 mm between the pieces is more than 10.
    assert laid == (
        "nearest to the trim: 10.000 mm; nearest to each other: farther than asked "
        "(10.000 mm asked)"
    )
    # Slot by Steiner's formula: 0.3039 litres; scrap is what lies beside, 1.877 litres.
    assert proof["Foam adds up"] == (
        "12.0 litres bought = pieces 0.7 + kerf 0.3 + trim 3.5 + offcuts 5.6 + scrap 1.9, "
        "missing 0.0000"
    )


def test_the_check_gives_the_same_answer_twice() -> None:
    assert checking.check_plan(PLAN) == checking.check_plan(PLAN)
