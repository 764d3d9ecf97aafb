"""Promise 2, each fault shown: the slot spares pieces, follows them and sets them free."""

from __future__ import annotations

import math
from dataclasses import replace

import pyclipper
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPoint, Polygon, affinity
from test_checking_specimen import (
    BAR,
    LAYOUT,
    MOVES,
    PIECES,
    PLAN,
    move,
    told,
    with_cutting,
    with_layout,
    with_move,
    with_moves,
)

from wirepath.checking.scene import scenes
from wirepath.checking.slot import check_slot
from wirepath.model import Move, Pass, PieceMiss, Placement, Plan

FRAME_ON, BAR_ON = LAYOUT.placements


# --- The slot spares pieces --------------------------------------------------------


def test_a_piece_shifted_by_a_tenth_is_cut_into_by_a_tenth() -> None:
    shifted = Placement(piece=2, x_mm=200.1, y_mm=-100, angle_deg=90)
    text = told(with_layout(placements=(FRAME_ON, shifted)), 2)
    # The wire's right side at x 201 less half a kerf is x 200; the bar reaches 200.1.
    assert "the slot of a move 'outline' reaches 0.10 mm into the piece (0.05 mm allowed)" in text
    assert "layout 1, piece 2, near x 200." in text


def test_a_piece_shifted_by_four_hundredths_is_within_tolerance() -> None:
    shifted = Placement(piece=2, x_mm=200.04, y_mm=-100, angle_deg=90)
    assert told(with_layout(placements=(FRAME_ON, shifted)), 2) == ""


def test_a_wider_kerf_than_planned_for_cuts_into_every_piece() -> None:
    text = told(with_cutting(kerf_mm=2.2), 2)
    assert "piece 1" in text
    assert "piece 2" in text
    assert "reaches 0.10 mm into the piece" in text


@pytest.mark.parametrize("kind", ["link", "entry", "air", "outline"])
def test_no_other_move_may_run_through_a_piece(kind: str) -> None:
    """The wire does not read labels: a line through the bar cuts it, whatever it is called."""
    through = Move(
        kind=kind,  # type: ignore[arg-type]
        line=LineString([(139, 65), (201, 65), (139, 70)]),
        feed_mm_per_s=5,
        piece=2 if kind == "outline" else None,
    )
    text = told(with_moves(*MOVES[:9], through, *MOVES[9:]), 2)
    assert f"the slot of a move '{kind}' reaches" in text
    assert "piece 2, near x" in text


def test_a_slit_may_enter_its_own_piece_only() -> None:
    through = (move("slit", (139, 65), (201, 65), piece=1), move("slot", (201, 65), (139, 65)))
    text = told(with_moves(*MOVES[:9], *through, *MOVES[9:]), 2)
    assert "the slot of a move 'slit' reaches" in text
    assert "piece 2" in text


def test_a_slit_that_ends_inside_its_piece_is_told() -> None:
    blind = (move("slit", (139, 70), (160, 70), piece=2), move("slot", (160, 70), (139, 70)))
    assert told(with_moves(*MOVES[:9], *blind, *MOVES[9:]), 2) == (
        "layout 1, piece 2, near x 139.0, y 70.0 mm: a slit ends inside the piece, not in a hole"
    )


def test_a_slit_right_through_a_piece_without_a_hole_is_told() -> None:
    across = (move("slit", (139, 70), (201, 70), piece=2), move("slot", (201, 70), (139, 70)))
    text = told(with_moves(*MOVES[:9], *across, *MOVES[9:]), 2)
    assert "a slit leads to no hole of the piece" in text
    assert "piece 2, near x 170.0, y 70.0 mm: the piece falls into 2 parts" in text


def test_a_slit_in_two_moves_is_one_slit() -> None:
    halves = (move("slit", (19, 70), (30, 70), piece=1), move("slit", (30, 70), (51, 70), piece=1))
    assert told(with_moves(*MOVES[:2], *halves, *MOVES[3:]), 2) == ""


def test_going_back_beside_the_slit_cuts_the_piece_again() -> None:
    beside = move("slot", (51, 65), (51, 68), (19, 68), (19, 70))
    assert "the slot of a move 'slot' reaches" in told(with_move(6, beside), 2)


def test_a_slit_for_a_piece_that_is_not_there_is_told() -> None:
    text = told(with_move(3, replace(MOVES[2], piece=7)), 2)
    assert "a slit names no piece of this layout" in text


# --- The slot follows the outline --------------------------------------------------


def test_a_wire_two_tenths_too_far_out_leaves_foam_on_the_piece() -> None:
    wide = move(
        "outline", (139, 70), (139, 19), (201.2, 19), (201.2, 121), (139, 121), (139, 70), piece=2
    )
    text = told(with_move(9, wide), 2)
    assert "the slot misses the outline by 0.20 mm" in text
    assert "layout 1, piece 2, near x 200.0" in text


def test_a_piece_that_is_never_cut_is_told() -> None:
    first_only = (*MOVES[:7], *MOVES[11:])
    text = told(with_moves(*first_only), 2)
    assert "piece 2, near x 200.0, y 120.0 mm: the slot misses the outline altogether" in text
    assert "waste hangs on the piece" in text


def test_inner_corners_that_a_round_slot_cannot_reach_are_no_fault() -> None:
    """A step in the bar: 0.414 of half a kerf of foam stays in its inner corner."""
    step = Polygon([(120, 0), (220, 0), (220, 30), (170, 30), (170, 60), (120, 60)])
    stepped = replace(PIECES[1], finished=step, outline=step)
    # On the block: turned by a quarter, so y 0..60 lies along x 200..140 and x along y.
    line = move(
        "outline",
        (139, 70),
        (139, 19),
        (201, 19),
        (201, 121),
        (169, 121),
        (169, 71),
        (139, 71),
        (139, 70),
        piece=2,
    )
    miss = PieceMiss(piece=2, miss_mm=math.sqrt(2) - 1, at=(170, 30))
    plan = replace(with_move(9, line), pieces=(PIECES[0], stepped), misses=(*PLAN.misses, miss))
    assert told(plan, 2) == ""


def test_a_slower_feed_melts_a_wider_slot_and_is_told() -> None:
    slow = replace(MOVES[8], feed_mm_per_s=4)
    assert told(with_move(9, slow), 2) == (
        "layout 1, piece 2, near x 139.0, y 70.0 mm: a move 'outline' runs at 4 mm/s; "
        "the kerf is known at 5 mm/s only"
    )


def test_back_through_a_slot_the_wire_may_go_as_fast_as_asked_but_not_slower() -> None:
    fast = with_move(11, replace(MOVES[10], feed_mm_per_s=8))
    assert "runs at 8 mm/s" in told(fast, 2)
    shop = replace(fast.workshop, cutting=replace(fast.workshop.cutting, slot_feed_mm_per_s=8.0))
    assert told(replace(fast, workshop=shop), 2) == ""
    assert "runs at 3 mm/s" in told(with_move(11, replace(MOVES[10], feed_mm_per_s=3)), 2)


# --- Everything comes free ---------------------------------------------------------


def test_an_outline_left_open_leaves_the_waste_on_the_piece() -> None:
    # The bar's last side is cut from y 121 to 75 only: 3 mm of foam stand after two kerfs.
    opened = move("outline", (139, 70), (139, 19), (201, 19), (201, 121), (139, 121), (139, 75))
    text = told(with_moves(*MOVES[:8], opened, *MOVES[9:]), 2)
    assert "waste hangs on the piece" in text
    assert "piece 2" in text


def test_a_bridge_of_a_fifth_of_a_millimetre_is_found() -> None:
    """The wire stops 2.2 mm from where it began: less 2 mm kerf, 0.2 mm stand."""
    gap = 2.2
    opened = move(
        "outline", (139, 70), (139, 19), (201, 19), (201, 121), (139, 121), (139, 70 + gap)
    )
    moves = (*MOVES[:8], opened, *MOVES[11:])
    assert "waste hangs on the piece" in told(with_moves(*moves), 2)
    closed = move(
        "outline", (139, 70), (139, 19), (201, 19), (201, 121), (139, 121), (139, 70 + 1.0)
    )
    assert "hangs" not in told(with_moves(*MOVES[:8], closed, *MOVES[11:]), 2)


def test_a_hole_left_open_leaves_its_plug_on_the_piece() -> None:
    opened = move("hole", (51, 70), (51, 51), (89, 51), (89, 89), (51, 89), (51, 75), piece=1)
    back = move("slot", (51, 75), (51, 89), (89, 89), (89, 51), (51, 51), (51, 70), (19, 70))
    text = told(with_moves(*MOVES[:3], opened, back, *MOVES[6:]), 2)
    assert "the plug of a hole hangs on the piece" in text


def test_a_hole_that_is_not_cut_is_told_twice_over() -> None:
    """Its edge is never followed, and its plug of 40 x 40 mm hangs on the piece.

    Of the plug 0.05 + 0.05 mm all round count as tolerance, and round corners of 0.95 mm:
    39.8 x 39.8 mm less (4 - pi) 0.95 x 0.95 mm = 1583.3 mm2.
    """
    text = told(with_moves(*MOVES[:2], *MOVES[6:]), 2)
    assert "piece 1" in text
    assert "the slot misses the outline by" in text
    assert "the plug of a hole hangs on the piece, 1583.3 mm2" in text


def test_a_hole_narrower_than_the_kerf_is_told() -> None:
    pierced = Polygon(BAR.exterior, [[(150, 20), (151.9, 20), (151.9, 40), (150, 40)]])
    plan = replace(PLAN, pieces=(PIECES[0], replace(PIECES[1], finished=pierced, outline=pierced)))
    assert "a hole is narrower than the kerf of 2 mm" in told(plan, 2)


def test_two_pieces_cut_as_one_hang_together() -> None:
    round_both = move(
        "outline", (19, 70), (19, 19), (201, 19), (201, 121), (19, 121), (19, 70), piece=1
    )
    text = told(with_moves(*MOVES[:6], round_both, *MOVES[12:]), 2)
    assert "layout 1, piece 1, near x" in text
    assert "the piece hangs together with piece 2" in text
    assert "the piece hangs together with piece 1" in text


def test_a_piece_thinner_than_the_tolerance_is_gone() -> None:
    thread = affinity.scale(BAR, xfact=1, yfact=0.0015, origin=(120, 0))
    plan = replace(PLAN, pieces=(PIECES[0], replace(PIECES[1], finished=thread, outline=thread)))
    assert "the piece is gone" in told(plan, 2)


def test_without_trim_the_block_s_own_face_frees_a_side() -> None:
    """A frame in the block's corner: its wire runs half a kerf outside the foam on two sides."""
    stock = replace(PLAN.workshop.stock[0], trim_mm=0)
    layout = replace(
        LAYOUT, trim_mm=0, placements=(Placement(piece=1, x_mm=0, y_mm=0), BAR_ON), from_mm=0
    )
    corner = [
        Move(
            kind=one.kind,
            line=affinity.translate(one.line, -20, -20),
            feed_mm_per_s=one.feed_mm_per_s,
            piece=one.piece,
        )
        for one in MOVES
    ]
    moves = (
        move("air", (-40, 50), (-1, 50)),
        *corner[2:7],
        move("link", (101, 50), (139, 50)),
        move("outline", (139, 50), (139, 19), (201, 19), (201, 121), (139, 121), (139, 50)),
        move("slot", (139, 50), (101, 50)),
        corner[11],
        move("air", (-1, 50), (-40, 50)),
    )
    plan = replace(
        with_moves(*moves),
        workshop=replace(PLAN.workshop, stock=(stock,)),
        layouts=(layout,),
    )
    assert told(plan, 2) == ""


# --- An outside authority: the offset of another library ---------------------------


def _clipper_offset(piece: Polygon, distance_mm: float) -> list[tuple[float, float]]:
    """Return the outline moved outward, round corners, by pyclipper, to a nanometre."""
    scale = 1e6
    offset = pyclipper.PyclipperOffset(2.0, 0.001 * scale)
    path = [(round(x * scale), round(y * scale)) for x, y in piece.exterior.coords[:-1]]
    offset.AddPath(path, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    (ring,) = offset.Execute(distance_mm * scale)
    points = [(x / scale, y / scale) for x, y in ring]
    return [*points, points[0]]


def _cut_alone(piece: Polygon, line: list[tuple[float, float]]) -> Plan:
    """Return a plan with one piece where the specimen's bar was, cut along `line`."""
    start = line[0]
    moves = (
        Move(kind="entry", line=LineString([(start[0], -20), start]), feed_mm_per_s=5),
        Move(kind="outline", line=LineString(line), feed_mm_per_s=5, piece=1),
    )
    one = replace(PIECES[0], finished=piece, outline=piece)
    return replace(
        PLAN,
        pieces=(one,),
        layouts=(replace(LAYOUT, placements=(Placement(piece=1, x_mm=0, y_mm=0),)),),
        passes=(Pass(layout=1, number=1, moves=moves),),
    )


def _from_below(line: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return a closed line begun at its lowest point, so that a straight entry reaches it."""
    low = min(range(len(line) - 1), key=lambda index: line[index][1])
    return [*line[low:-1], *line[: low + 1]]


@st.composite
def convex_pieces(draw: st.DrawFn) -> Polygon:
    """Draw a convex outline round 150, 150 with corners 20 to 80 mm from there."""
    angles = draw(st.lists(st.floats(0, 2 * math.pi), min_size=3, max_size=9, unique=True))
    radii = [draw(st.floats(20, 80)) for _ in angles]
    points = [
        (150 + r * math.cos(a), 150 + r * math.sin(a)) for a, r in zip(angles, radii, strict=True)
    ]
    hull = MultiPoint(points).convex_hull
    assume(isinstance(hull, Polygon) and hull.buffer(-5).area > 0)
    return hull  # type: ignore[return-value]


@settings(max_examples=40, deadline=None)
@given(piece=convex_pieces())
def test_a_line_offset_by_another_library_sets_every_convex_piece_free(piece: Polygon) -> None:
    plan = _cut_alone(piece, _from_below(_clipper_offset(piece, 1.0)))
    spared, free = check_slot(scenes(plan), 5)
    assert spared.faults == ()
    assert free.faults == ()


@settings(max_examples=40, deadline=None)
@given(piece=convex_pieces(), error=st.floats(0.08, 0.9))
def test_a_line_offset_by_too_little_or_too_much_never_passes(piece: Polygon, error: float) -> None:
    for distance, word in ((1.0 - error, "into the piece"), (1.0 + error, "misses the outline")):
        plan = _cut_alone(piece, _from_below(_clipper_offset(piece, distance)))
        spared, _ = check_slot(scenes(plan), 5)
        assert any(word in fault.what for fault in spared.faults)
