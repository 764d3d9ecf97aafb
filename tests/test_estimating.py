"""Order, waste and price, against arithmetic one can do on paper."""

from dataclasses import replace

import pytest
from shapely import LineString, box

from wirepath.estimating import estimate
from wirepath.model import Block, Layout, Move, Pass, Piece, Placement
from wirepath.rectangles import clear_rectangles
from wirepath.report import order_lines
from wirepath.workshop import Offcuts


def piece(number=1, width=400.0, height=300.0, thickness=200.0):
    outline = box(0, 0, width, height)
    return Piece(
        number=number,
        name=f"P{number}",
        part="P",
        finished=outline,
        outline=outline,
        thickness_mm=thickness,
        allowance_mm=0.0,
        foam="EPS 15",
    )


def layout(number=1, block=1, from_mm=0.0, thickness=200.0, trim=0.0, placements=()):
    return Layout(
        number=number,
        block=block,
        from_mm=from_mm,
        thickness_mm=thickness,
        width_mm=1000.0,
        height_mm=500.0,
        trim_mm=trim,
        placements=placements,
    )


def one_cut(number=1, feed=5.0):
    """Round a 400 x 300 piece in the datum corner: 301 up at x = 401, 401 back at y = 301."""
    moves = (
        Move(kind="air", line=LineString([(401, -20), (401, 0)]), feed_mm_per_s=30.0),
        Move(kind="entry", line=LineString([(401, 0), (401, 1)]), feed_mm_per_s=feed),
        Move(
            kind="outline",
            line=LineString([(401, 1), (401, 301), (0, 301)]),
            feed_mm_per_s=feed,
            piece=1,
        ),
        Move(kind="air", line=LineString([(0, 301), (-20, 301)]), feed_mm_per_s=30.0),
    )
    return Pass(layout=number, number=1, moves=moves)


@pytest.fixture
def one_block(workshop):
    return estimate(
        workshop,
        (piece(),),
        (Block(number=1, stock="block", wire_axis="thickness"),),
        (layout(placements=(Placement(piece=1, x_mm=0.0, y_mm=0.0),)),),
        (one_cut(),),
        fewest_blocks=1,
    )


def test_the_order_names_blocks_weight_and_price(one_block):
    # 1.0 x 0.5 x 0.2 m = 0.1 m3; at 15 kg/m3 1.5 kg; 30 crowns.
    (line,) = one_block.order
    assert (line.count, line.price, line.volume_m3) == (1, 30.0, 0.1)
    assert line.weight_kg == pytest.approx(1.5)


def test_a_bound_is_told_as_what_it_proves(one_block):
    two = (replace(one_block.order[0], needed=2),)
    for estimated, told in (
        (one_block, "1 block to buy; no plan can do with fewer"),
        (replace(one_block, order=two), "2 blocks to buy; no plan can do with fewer than 1"),
        (
            replace(one_block, fewest_blocks=0),
            "1 block to buy; it is not proved that the rack alone could not do",
        ),
    ):
        assert told in list(order_lines(estimated))


def test_that_setting_up_counts_is_told_where_an_order_lies_above_its_bound(one_block):
    hands = "to set up more blocks costs hands: that counts in the choice too"
    above = replace(one_block, least_order_price=0.9 * one_block.order_price)
    met = replace(one_block, least_order_price=one_block.order_price)
    assert hands in order_lines(above, setup_price=5.0)
    assert hands not in order_lines(above)
    assert hands not in order_lines(met, setup_price=5.0)


def test_a_spare_share_is_rounded_up_to_whole_blocks(workshop):
    workshop = replace(workshop, order=replace(workshop.order, spare_share=0.1))
    result = estimate(
        workshop,
        (piece(1), piece(2)),
        tuple(Block(number=n, stock="block", wire_axis="thickness") for n in (1, 2)),
        tuple(layout(n, n, placements=(Placement(piece=n, x_mm=0.0, y_mm=0.0),)) for n in (1, 2)),
        (),
        fewest_blocks=1,
    )
    assert (result.order[0].needed, result.order[0].spare, result.foam_price) == (2, 1, 90.0)


def test_the_foam_balance_adds_up_on_paper(one_block):
    # Piece 0.4 x 0.3 x 0.2 m = 24 litres. Slot: the 2 mm band round the corner at
    # (401, 301): upright 2 x 300, level 400 x 2, and the rounded corner
    # 2 x 2 - (1 - pi/4) in the limit = 3.785 mm2, all 200 mm deep, is 0.2808 litres.
    foam = one_block.foam
    assert foam.bought == pytest.approx(100.0)
    assert foam.pieces == pytest.approx(24.0)
    assert foam.kerf == pytest.approx((600 + 800 + 3.785) * 200 / 1e6, rel=1e-4)
    assert foam.trim == 0.0
    total = foam.pieces + foam.kerf + foam.trim + foam.offcuts + foam.scrap
    assert total == pytest.approx(foam.bought)


def test_the_largest_offcut_is_kept_whole(one_block):
    # Right of the slot's edge at x = 402, on 10 mm squares from 0: 410 to 1000, full height.
    first = one_block.offcuts[0]
    assert (first.x_mm, first.y_mm, first.width_mm, first.height_mm) == (410, 0, 590, 500)


def test_the_wire_lengths_tell_foam_from_air(one_block):
    assert one_block.wire.foam_mm == pytest.approx(1 + 300 + 401)
    assert one_block.wire.air_mm == pytest.approx(40)


def test_time_and_labour_follow_from_feeds_and_setups(one_block):
    # 702 mm at 5 mm/s and 40 mm at 30 mm/s are 141.73 s; one set-up of 10 min; 60 an hour.
    assert one_block.cutting_min == pytest.approx(141.7333 / 60, rel=1e-5)
    assert one_block.setup_min == 10
    assert one_block.labour_price == pytest.approx(141.7333 / 60 + 10, rel=1e-5)
    assert one_block.price == pytest.approx(30 + 12 + one_block.labour_price)


def test_slabs_count_their_flat_cuts_and_the_rest_is_kept(workshop):
    # Block 200 mm deep, trim 10: one slab of 60 from 10 to 70, cut, the rest 72 to 190.
    workshop = replace(workshop, stock=(replace(workshop.stock[0], trim_mm=10.0),))
    result = estimate(
        workshop,
        (piece(thickness=60.0),),
        (Block(number=1, stock="block", wire_axis="thickness"),),
        (
            layout(
                from_mm=10.0,
                thickness=60.0,
                trim=10.0,
                placements=(Placement(piece=1, x_mm=10.0, y_mm=10.0),),
            ),
        ),
        (),
        fewest_blocks=1,
    )
    rest = result.offcuts[-1]
    assert (rest.layout, rest.from_mm, rest.thickness_mm) == (None, 72.0, 118.0)
    # Two cuts (the datum face's trim, under the slab), each fed 1000 mm.
    assert result.slab_cut_mm == 2000.0
    # One of them lies inside the trims: 2 x 980 x 480 mm3.
    assert result.foam.kerf == pytest.approx(2 * 980 * 480 / 1e6)
    # 100 - 0.98 x 0.48 x 0.18 m3 is lost as trim.
    assert result.foam.trim == pytest.approx(100 - 98 * 48 * 18 / 1000)


def test_a_slab_that_ends_at_the_far_trim_leaves_no_rest(workshop):
    result = estimate(
        workshop,
        (piece(),),
        (Block(number=1, stock="block", wire_axis="thickness"),),
        (layout(placements=(Placement(piece=1, x_mm=0.0, y_mm=0.0),)),),
        (),
        fewest_blocks=1,
    )
    assert all(offcut.layout == 1 for offcut in result.offcuts)
    assert result.slab_cut_mm == 0


def test_clear_rectangles_of_an_empty_face_are_the_face():
    keep = Offcuts(keep_length_mm=100.0, keep_width_mm=100.0)
    assert list(clear_rectangles(box(5, 5, 305, 205), box(900, 900, 901, 901), keep)) == [
        (5, 5, 300, 200)
    ]


def test_clear_rectangles_never_overlap_nor_touch_what_is_taken():
    keep = Offcuts(keep_length_mm=50.0, keep_width_mm=50.0)
    taken = box(100, 100, 200, 160).union(box(400, 0, 420, 300))
    found = [
        box(x, y, x + w, y + h) for x, y, w, h in clear_rectangles(box(0, 0, 600, 300), taken, keep)
    ]
    assert len(found) > 3
    for i, one in enumerate(found):
        assert one.intersection(taken).area == 0
        assert all(one.intersection(other).area == 0 for other in found[i + 1 :])
