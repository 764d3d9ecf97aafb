"""Agreement within a plan, safety, and promise 8, each fault shown."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString, Polygon, box
from test_checking_specimen import (
    BAR,
    ESTIMATE,
    JOB,
    LAYOUT,
    MOVES,
    PIECES,
    PLAN,
    WORKSHOP,
    told,
    with_layout,
    with_move,
)

from wirepath import checking
from wirepath.model import Block, EntityCount, Layout, PartSettings, Pass, Piece, Placement, Plan
from wirepath.workshop import Rig, Stock

FRAME_ON, BAR_ON = LAYOUT.placements
STRANGER = Placement(piece=9, x_mm=0, y_mm=0)


def with_workshop(**changes: object) -> Plan:
    return replace(PLAN, workshop=replace(WORKSHOP, **changes))  # type: ignore[arg-type]


def with_stock(**changes: object) -> Plan:
    stock = replace(WORKSHOP.stock[0], **changes)  # type: ignore[arg-type]
    return with_workshop(stock=(stock,))


def with_bar(**changes: object) -> Plan:
    return replace(PLAN, pieces=(PIECES[0], replace(PIECES[1], **changes)))  # type: ignore[arg-type]


# --- Numbers -----------------------------------------------------------------------


def test_numbers_with_a_gap_are_the_only_finding() -> None:
    proof = checking.check_plan(with_bar(number=3))
    assert len(proof) == 1
    assert not proof[0].passed
    assert "piece numbers do not count from 1 without gaps: [1, 3]" in str(proof[0].faults[0])


@pytest.mark.parametrize(
    ("plan", "text"),
    [
        (replace(PLAN, blocks=(replace(PLAN.blocks[0], number=2),)), "block numbers do not"),
        (with_layout(number=2), "layout numbers do not"),
        (
            with_layout(placements=(FRAME_ON, BAR_ON, STRANGER)),
            "there is no piece of a placement 9",
        ),
        (with_layout(block=2), "there is no block of a layout 2"),
        (
            replace(PLAN, blocks=(*PLAN.blocks, replace(PLAN.blocks[0], number=2))),
            "block 2: nothing is laid on this block",
        ),
        (replace(PLAN, passes=()), "layout 1: no pass cuts this layout"),
        (
            replace(PLAN, passes=(Pass(layout=1, number=2, moves=MOVES),)),
            "pass of layout 1 numbers do not count from 1 without gaps: [2]",
        ),
        (replace(PLAN, passes=(Pass(layout=4, number=1, moves=MOVES),)), "no layout of a pass 4"),
        (
            replace(PLAN, blocks=(replace(PLAN.blocks[0], stock="big block"),)),
            "there is no stock 'big block'",
        ),
        (with_bar(foam="EPS 20"), "there is no foam 'EPS 20'"),
        (
            replace(
                PLAN,
                estimate=replace(
                    ESTIMATE, offcuts=(replace(ESTIMATE.offcuts[0], layout=5), ESTIMATE.offcuts[1])
                ),
            ),
            "there is no layout of an offcut 5",
        ),
        (
            with_bar(outline=Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])),
            "piece 2: the outline is no valid region: Self-intersection",
        ),
        (with_bar(finished=Polygon()), "piece 2, finished: the outline is no valid region"),
        (
            with_move(2, replace(MOVES[1], line=LineString())),
            "layout 1, pass 1, move 2: the move has no line that can be followed",
        ),
        (
            with_move(2, replace(MOVES[1], line=LineString([(0, 0), (float("inf"), 1)]))),
            "move 2: the move has no line that can be followed",
        ),
    ],
)
def test_what_points_at_nothing_is_told_and_nothing_else_is_measured(plan: Plan, text: str) -> None:
    proof = checking.check_plan(plan)
    assert len(proof) == 1
    assert text in "\n".join(str(fault) for fault in proof[0].faults)


# --- Agreement ---------------------------------------------------------------------


def test_a_piece_placed_twice_or_never_is_told() -> None:
    twice = (FRAME_ON, BAR_ON, replace(BAR_ON, x_mm=300))
    assert "piece 2: the piece is placed 2 times" in told(with_layout(placements=twice), 0)
    assert "piece 2: the piece is placed 0 times" in told(with_layout(placements=(FRAME_ON,)), 0)


@pytest.mark.parametrize(
    ("plan", "text"),
    [
        (with_stock(available=0), "stock small block: 1 blocks are used, 0 can be had"),
        (
            with_layout(from_mm=9),
            "the slab from 9 to 59 mm leaves the block less trim, 10 to 90 mm",
        ),
        (with_layout(from_mm=41), "the slab from 41 to 91 mm leaves the block less trim"),
        (with_layout(width_mm=410), "layout 1: the width is 410 mm, the block's is 400 mm"),
        (with_layout(height_mm=310), "layout 1: the height is 310 mm, the block's is 300 mm"),
        (with_layout(trim_mm=8), "layout 1: the trim is 8 mm, the block's is 10 mm"),
        (with_bar(thickness_mm=48), "piece 2: the piece is 48 mm thick, its slab 50 mm"),
        (with_bar(turning="none"), "the piece is turned by 90 deg; allowed: none"),
        (with_bar(turning="half"), "the piece is turned by 90 deg; allowed: half"),
        (
            with_layout(placements=(FRAME_ON, replace(BAR_ON, angle_deg=89.9))),
            "the piece is turned by 89.9 deg; allowed: quarter",
        ),
        (
            with_layout(placements=(FRAME_ON, replace(BAR_ON, flipped=True))),
            "the piece lies face down, which the job does not allow",
        ),
        (
            with_workshop(wire=replace(WORKSHOP.wire, length_mm=45)),
            "layout 1: the slab is 50 mm deep, the wire 45 mm long",
        ),
        (
            with_workshop(wire=replace(WORKSHOP.wire, length_mm=290)),
            "block 1: slabs are sawn 300 mm across with a wire of 290 mm",
        ),
        # The wire goes from x -20 to 201, from y 19 to 121.
        (
            with_workshop(rig=Rig(travel_x_mm=220.9)),
            "layout 1: the wire goes 221.0 mm along x, the rig 220.9 mm",
        ),
        (
            with_workshop(rig=Rig(travel_y_mm=101.9)),
            "layout 1: the wire goes 102.0 mm along y, the rig 101.9 mm",
        ),
    ],
)
def test_what_does_not_fit_is_told(plan: Plan, text: str) -> None:
    assert text in told(plan, 0)


def test_what_only_just_fits_is_no_fault() -> None:
    assert told(with_stock(available=1), 0) == ""
    assert told(with_workshop(wire=replace(WORKSHOP.wire, length_mm=300)), 0) == ""
    assert told(with_workshop(rig=Rig(travel_x_mm=221, travel_y_mm=102)), 0) == ""
    assert told(with_bar(turning="any"), 0) == ""


def test_slabs_nearer_than_a_kerf_are_told() -> None:
    plan = _two_slabs(from_mm=61)
    assert "only 1 mm lie between this slab and that of layout 2; the kerf takes 2 mm" in (
        told(plan, 0)
    )
    assert told(_two_slabs(from_mm=62), 0) == ""


def _two_slabs(*, from_mm: float) -> Plan:
    """Return the plan with the bar on a slab of its own, 20 mm thick."""
    first = replace(LAYOUT, placements=(FRAME_ON,))
    second = replace(LAYOUT, number=2, from_mm=from_mm, thickness_mm=20, placements=(BAR_ON,))
    return replace(
        with_bar(thickness_mm=20),
        layouts=(first, second),
        passes=(*PLAN.passes, Pass(layout=2, number=1, moves=MOVES)),
    )


def test_a_piece_on_a_block_of_another_foam_is_told() -> None:
    dense = replace(WORKSHOP.foams[0], name="EPS 30")
    plan = replace(
        with_bar(foam="EPS 30"), workshop=replace(WORKSHOP, foams=(*WORKSHOP.foams, dense))
    )
    assert "the piece is to be of 'EPS 30', the block is 'EPS 15'" in told(plan, 0)


# --- Safety ------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["PUR", "PIR", "PVC", "phenolic", "", "eps"])
def test_only_eps_and_xps_pass(kind: str) -> None:
    """Foams never cut hot: polyurethanes give off isocyanates and HCN, PVC gives off HCl."""
    plan = with_workshop(foams=(replace(WORKSHOP.foams[0], kind=kind),))
    assert f"foam of the kind {kind!r} is to be cut hot; only EPS and XPS may be" in told(plan, 0)


def test_xps_passes_and_a_foam_nobody_uses_does_not_matter() -> None:
    foams = (
        replace(WORKSHOP.foams[0], kind="XPS"),
        replace(WORKSHOP.foams[0], name="old mattress", kind="PUR"),
    )
    assert told(with_workshop(foams=foams), 0) == ""


@pytest.mark.parametrize(
    ("volts", "supply", "passes"),
    [
        (24, "AC", True),
        (50, "AC", True),
        (50.1, "AC", False),
        (60, "DC", True),
        (120, "DC", True),
        (121, "DC", False),
        (230, "AC", False),
        (-24, "DC", False),
    ],
)
def test_the_supply_is_extra_low_voltage(volts: float, supply: str, passes: bool) -> None:
    """IEC 61558-1:2005, 3.7.16: at most 50 V AC rms or 120 V ripple-free DC."""
    wire = replace(WORKSHOP.wire, supply_v=volts, supply=supply)  # type: ignore[arg-type]
    text = told(with_workshop(wire=wire), 0)
    assert (text == "") is passes
    assert passes or f"wire: {volts:g} V {supply} is not extra-low voltage" in text


def test_a_voltage_above_what_may_be_touched_is_said_though_it_passes() -> None:
    wire = replace(WORKSHOP.wire, supply_v=36)
    proof = checking.check_plan(with_workshop(wire=wire))
    measured = [finding.measured for finding in proof if "voltage" in finding.title]
    assert measured == ["EPS 15; 36 V AC, above what may be touched bare"]


# --- Promise 8 ---------------------------------------------------------------------


def with_count(**changes: object) -> Plan:
    count = EntityCount(kind="LWPOLYLINE", found=3, read=3, ignored=0, refused=0)
    changed = replace(count, **changes)  # type: ignore[arg-type]
    return replace(PLAN, traced=replace(PLAN.traced, counts=(changed,)))


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"found": 4}, "4 found, but 3 read + 0 ignored + 0 refused = 3"),
        ({"read": 4, "ignored": -1}, "3 found, but 4 read + -1 ignored + 0 refused = 3"),
        ({"read": 2, "ignored": 1}, "some were not read and it is not said why"),
        ({"read": 2, "refused": 1, "why": " "}, "some were not read and it is not said why"),
        (
            {"read": 0, "ignored": 3, "why": "on a hidden layer"},
            "there are outlines, but no entity is counted as read",
        ),
    ],
)
def test_entities_that_are_not_all_accounted_for_are_told(
    changes: dict[str, object], text: str
) -> None:
    assert text in told(with_count(**changes), 8)


def test_entities_left_out_with_a_reason_pass() -> None:
    assert told(with_count(read=2, ignored=1, why="on a hidden layer"), 8) == ""


def test_an_outline_without_its_piece_is_told() -> None:
    lost = replace(PLAN, pieces=PIECES[:1], layouts=(replace(LAYOUT, placements=(FRAME_ON,)),))
    assert "outline 'bar': 0 forms are made, 1 asked for" in told(lost, 8)


def test_copies_are_counted_against_the_job() -> None:
    three = replace(PLAN, job=replace(JOB, parts=(PartSettings(name="b*", copies=3),)))
    assert told(three, 8) == "outline 'bar': 1 forms are made, 3 asked for"


def test_a_piece_of_no_outline_is_told() -> None:
    text = told(with_bar(part="shelf"), 8)
    assert "piece of part 'shelf': no outline is called 'shelf'" in text
    assert "outline 'bar': 0 forms are made" in text


def test_a_piece_that_is_not_as_drawn_is_told() -> None:
    wider = box(120, 0, 220.1, 60)
    assert "its finished outline is not the one that was read" in (
        told(with_bar(finished=wider, outline=wider), 8)
    )


def test_a_copy_that_lost_its_hole_is_told() -> None:
    filled = replace(PIECES[0], finished=box(0, 0, 100, 100), outline=box(0, 0, 100, 100))
    assert "piece 1: its finished outline is not the one that was read" in (
        told(replace(PLAN, pieces=(filled, PIECES[1])), 8)
    )


def with_allowance(asked: float, piece: Piece) -> str:
    form = replace(JOB.form, allowance_mm=asked)
    pieces = (
        replace(PIECES[0], allowance_mm=asked, outline=PIECES[0].outline.buffer(asked)),
        piece,
    )
    return told(replace(PLAN, job=replace(JOB, form=form), pieces=pieces), 8)


@pytest.mark.parametrize("join", ["round", "mitre", "bevel"])
def test_an_allowance_may_have_round_or_sharp_corners_but_not_cut_ones(join: str) -> None:
    grown = replace(PIECES[1], allowance_mm=10, outline=BAR.buffer(10, join_style=join))
    assert ("not its finished outline plus 10 mm" in with_allowance(10, grown)) is (join == "bevel")


def test_an_allowance_a_tenth_short_is_told_hundredths_are_not() -> None:
    short = replace(PIECES[1], allowance_mm=3, outline=BAR.buffer(2.8))
    assert "piece 2: it is not its finished outline plus 3 mm" in with_allowance(3, short)
    nearly = replace(PIECES[1], allowance_mm=3, outline=BAR.buffer(2.97))
    assert with_allowance(3, nearly) == ""


def test_another_allowance_than_asked_is_told() -> None:
    other = replace(PIECES[1], allowance_mm=5, outline=BAR.buffer(5))
    assert with_allowance(3, other) == "piece 2: its allowance is 5 mm, 3 mm asked"


@pytest.mark.parametrize(
    ("plan", "text"),
    [
        (with_bar(thickness_mm=40), "piece 2: it is 40 mm thick, 50 mm asked"),
        (with_bar(turning="any"), "piece 2: it may be turned or flipped otherwise than the job"),
        (with_bar(flip=True), "piece 2: it may be turned or flipped otherwise than the job"),
        (
            replace(PLAN, job=replace(JOB, form=replace(JOB.form, foam="EPS 30"))),
            "piece 2: it is of 'EPS 15', 'EPS 30' asked",
        ),
        (
            replace(PLAN, job=replace(JOB, parts=(PartSettings(name="bar", thickness_mm=30),))),
            "piece 2: it is 50 mm thick, 30 mm asked",
        ),
        (
            replace(PLAN, job=replace(JOB, parts=(PartSettings(name="bar", turning="none"),))),
            "piece 2: it may be turned or flipped otherwise than the job",
        ),
        (
            replace(PLAN, job=replace(JOB, form=replace(JOB.form, kind="profile", length_mm=900))),
            "piece 1: it is 50 mm thick, 900 mm asked",
        ),
        (
            replace(
                PLAN,
                job=replace(JOB, form=replace(JOB.form, kind="relief", peak_mm=40, allowance_mm=5)),
            ),
            "piece 1: it is 50 mm thick, 45 mm asked",
        ),
    ],
)
def test_a_piece_that_is_not_as_the_job_asks_is_told(plan: Plan, text: str) -> None:
    assert text in told(plan, 8)


def test_a_block_stands_with_its_longer_edge_along_x_whatever_the_wire_axis() -> None:
    """Wire along the length of a 400 x 300 x 500 mm block: face 500 x 300, depth 400."""
    stock = Stock(
        name="small block",
        foam="EPS 15",
        length_mm=400,
        width_mm=300,
        thickness_mm=500,
        price=12,
        trim_mm=10,
    )
    layout: Layout = replace(LAYOUT, width_mm=500)
    plan = replace(
        with_workshop(stock=(stock,)),
        blocks=(Block(number=1, stock="small block", wire_axis="length"),),
        layouts=(layout,),
    )
    assert told(plan, 0) == ""
    assert "the width is 400 mm, the block's is 500 mm" in told(replace(plan, layouts=(LAYOUT,)), 0)
