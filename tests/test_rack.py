"""The rack, odd foam and blocked areas: what is taken, where pieces may lie, what is proved."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box
from small_plan import workshop
from test_nesting import assert_holds, piece, rectangles, shop, star, stock
from typer.testing import CliRunner

from wirepath.checking import check_plan, check_restocked
from wirepath.cli import app
from wirepath.errors import FitError, SettingsError
from wirepath.estimating import estimate
from wirepath.geometry import clear_face, place_all
from wirepath.kerf import wire_lines
from wirepath.model import (
    PLAN_VERSION,
    Block,
    EntityCount,
    FormSettings,
    Job,
    Layout,
    Outline,
    Piece,
    Placement,
    Plan,
    Traced,
)
from wirepath.nesting import lay_out, least_order
from wirepath.rack_file import read_rack, write_rack
from wirepath.restocking import rack_after
from wirepath.routing import route
from wirepath.workshop import Blocked, Offcuts, RackPiece, Workshop
from wirepath.workshop_file import read_workshop

CORNER = ((0.0, 0.0), (600.0, 0.0), (600.0, 200.0), (200.0, 200.0), (200.0, 400.0), (0.0, 400.0))
"""An angle of foam: 600 x 200 mm below, and 200 x 200 mm over its left end."""


def racked(*rack: RackPiece, base: Workshop | None = None) -> Workshop:
    return replace(base or shop(stock(thickness_mm=123)), rack=rack)


def offcut(
    name: str = "R1", length_mm: float = 600, width_mm: float = 400, **more: object
) -> RackPiece:
    return replace(
        RackPiece(
            name=name,
            foam="EPS 20",
            length_mm=length_mm,
            width_mm=width_mm,
            thickness_mm=100.0,
        ),
        **more,
    )


ANGLE = RackPiece(name="angle", foam="EPS 20", thickness_mm=100.0, outline=CORNER)


# --- What is taken --------------------------------------------------------------------


def test_a_rack_that_holds_everything_leaves_nothing_to_buy() -> None:
    pieces = rectangles((500, 300), (500, 300))
    blocks, layouts = lay_out(pieces, racked(offcut(count=2)))
    assert [one.stock for one in blocks] == ["R1", "R1"]
    assert_holds(pieces, blocks, layouts)
    assert least_order(pieces, racked(offcut(count=2))).blocks == 0


def test_rack_pieces_that_save_no_block_stay_in_the_rack() -> None:
    # One slab of 1000 x 500 holds both pieces, and is needed for the larger one anyway.
    pieces = rectangles((900, 240), (500, 200))
    blocks, _ = lay_out(pieces, racked(offcut()))
    assert [one.stock for one in blocks] == ["block"]


def test_a_rack_piece_is_taken_where_it_saves_a_block() -> None:
    pieces = rectangles((1000, 500), (600, 400))
    blocks, layouts = lay_out(pieces, racked(offcut()))
    assert sorted(one.stock for one in blocks) == ["R1", "block"]
    assert_holds(pieces, blocks, layouts)


def test_no_more_rack_pieces_are_taken_than_there_are() -> None:
    pieces = rectangles(*[(600, 400)] * 4)
    blocks, _ = lay_out(pieces, racked(offcut(count=2)))
    assert [one.stock for one in blocks].count("R1") <= 2


def test_slabs_of_two_thicknesses_come_from_one_rack_piece() -> None:
    # 100 deep = 60 + a kerf of 3 + 37.
    pieces = (
        piece(box(0, 0, 600, 400), 1, thickness_mm=60),
        piece(box(0, 0, 600, 400), 2, thickness_mm=37),
    )
    blocks, layouts = lay_out(pieces, racked(offcut()))
    assert [one.stock for one in blocks] == ["R1"]
    assert [(one.from_mm, one.thickness_mm) for one in layouts] == [(0, 60), (63, 37)]


# --- Odd foam -------------------------------------------------------------------------


def test_pieces_stay_on_foam_that_is_no_rectangle() -> None:
    # 380 x 200 fits the foot beside a square of 200 x 200 over its left end.
    pieces = rectangles((380, 200), (190, 400))
    blocks, (layout,) = lay_out(pieces, racked(ANGLE))
    assert [one.stock for one in blocks] == ["angle"]
    assert layout.outline == Polygon(CORNER)
    assert clear_face(layout).buffer(1e-6).contains(shapely.union_all(place_all(layout, pieces)))


def test_a_piece_that_only_fits_the_box_round_odd_foam_is_not_laid_on_it() -> None:
    pieces = rectangles((590, 390))
    blocks, _ = lay_out(pieces, racked(ANGLE))
    assert [one.stock for one in blocks] == ["block"]


def test_a_piece_that_just_fits_beside_a_blocked_area_lies_there() -> None:
    knot = Blocked(x_mm=0, y_mm=0, width_mm=100, height_mm=400)
    pieces = rectangles((500, 400), turning="none")
    blocks, (layout,) = lay_out(pieces, racked(offcut(blocked=(knot,))))
    assert [one.stock for one in blocks] == ["R1"]
    assert layout.placements[0].x_mm == pytest.approx(100, abs=1e-6)


def test_a_piece_may_surround_a_blocked_area_with_its_hole() -> None:
    frame = box(0, 0, 600, 400).difference(box(100, 100, 500, 300))
    knot = Blocked(corners=((200, 150), (400, 150), (300, 250)))
    blocks, _ = lay_out((piece(frame),), racked(offcut(blocked=(knot,))))
    assert [one.stock for one in blocks] == ["R1"]


def test_blocked_areas_of_stock_on_sale_are_kept_clear() -> None:
    knot = Blocked(x_mm=400, y_mm=0, width_mm=20, height_mm=520)
    workshop_ = shop(replace(stock(thickness_mm=123), blocked=(knot,)))
    pieces = rectangles((380, 500), (380, 500))
    blocks, layouts = lay_out(pieces, workshop_)
    assert len(blocks) == 1
    assert_holds(pieces, blocks, layouts)
    with pytest.raises(FitError):
        lay_out(rectangles((700, 400)), workshop_)


@settings(max_examples=8, deadline=None)
@given(
    st.lists(st.tuples(st.integers(3, 7), st.integers(30, 150)), min_size=1, max_size=6),
    st.integers(5, 12),
    st.integers(0, 1000),
    st.floats(0, 20),
)
def test_on_any_foam_every_piece_lies_on_it_off_what_is_blocked(
    shapes: list[tuple[int, int]], corners: int, seed: int, trim: float
) -> None:
    foam = star(corners, 300, 500, seed)
    foam = shapely.transform(foam, lambda p: (p - foam.bounds[:2]).round(3))
    if foam.bounds[3] > foam.bounds[2]:
        foam = shapely.transform(foam, lambda p: p[:, ::-1])
    x, y = foam.representative_point().coords[0]
    knot = Blocked(x_mm=x - 20, y_mm=y - 10, width_mm=50, height_mm=30)
    edge = tuple((float(a), float(b)) for a, b in list(foam.exterior.coords)[:-1])
    odd = RackPiece(
        name="odd", foam="EPS 20", thickness_mm=100, outline=edge, blocked=(knot,), trim_mm=trim
    )
    pieces = tuple(
        piece(star(count, size / 3, size, seed + n), n) for n, (count, size) in enumerate(shapes, 1)
    )
    whole = racked(odd, base=shop(stock(), stock(620, 520, 123, name="small", price=3)))
    blocks, layouts = lay_out(pieces, whole, seconds=0.05)
    assert_holds(pieces, blocks, layouts)
    for layout in layouts:
        if blocks[layout.block - 1].stock == "odd":
            for one in place_all(layout, pieces):
                assert one.intersection(knot.polygon).area < 1e-3
                assert one.difference(Polygon(edge)).area < 1e-3
                assert one.distance(foam.exterior) >= trim - 1e-5
    assert sum(one.stock != "odd" for one in blocks) >= least_order(pieces, whole).blocks


# --- What is proved -------------------------------------------------------------------

KNOT = Blocked(x_mm=450, y_mm=50, width_mm=40, height_mm=40)


def plan_on_odd_foam(
    x_mm: float = 10.0, y_mm: float = 10.0, *, outline: Polygon | None = None
) -> Plan:
    """Return a plan of one piece of 180 x 120 on the angle of foam from the rack."""
    base = workshop()
    odd = replace(ANGLE, foam="EPS 15", blocked=(KNOT,), trim_mm=5.0)
    here = replace(base, rack=(odd,))
    shape = outline or box(0, 0, 180, 120)
    one = Piece(
        number=1,
        name="One",
        part="One",
        finished=shape,
        outline=shape,
        thickness_mm=90.0,
        allowance_mm=0.0,
        foam="EPS 15",
    )
    block = Block(number=1, stock="angle", wire_axis="thickness")
    layout = Layout(
        number=1,
        block=1,
        from_mm=5.0,
        thickness_mm=90.0,
        width_mm=600.0,
        height_mm=400.0,
        trim_mm=5.0,
        placements=(Placement(piece=1, x_mm=x_mm, y_mm=y_mm),),
        outline=Polygon(CORNER),
        blocked=(KNOT.polygon,),
    )
    passes = tuple(route(layout, wire_lines(layout, (one,), here.cutting), (one,), here.cutting))
    return Plan(
        version=PLAN_VERSION,
        job=Job(
            name="Odd",
            drawing="odd.dxf",
            workshop="workshop.toml",
            form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=90.0),
        ),
        workshop=here,
        traced=Traced(
            outlines=(Outline(name="One", polygon=shape),),
            counts=(EntityCount(kind="LWPOLYLINE", found=1, read=1, ignored=0, refused=0),),
        ),
        pieces=(one,),
        blocks=(block,),
        layouts=(layout,),
        passes=passes,
        estimate=estimate(here, (one,), (block,), (layout,), passes, fewest_blocks=0),
    )


def faults(plan: Plan) -> str:
    return "\n".join(str(f) for one in check_plan(plan) for f in one.faults)


def test_a_sound_plan_on_odd_foam_is_proved() -> None:
    assert faults(plan_on_odd_foam()) == ""


def test_the_foam_of_an_angle_adds_up_on_paper() -> None:
    # 600 x 200 + 200 x 200 = 160 000 mm2, 100 mm thick: 16 litres. Less 5 mm all round:
    # 590 x 190 + 190 x 200 = 150 100 mm2, 90 mm thick: 13.509 litres.
    plan = plan_on_odd_foam()
    foam = plan.estimate.foam
    assert (foam.rack, foam.bought) == (pytest.approx(16.0), 0)
    assert foam.trim == pytest.approx(16.0 - 13.509)
    assert foam.pieces == pytest.approx(1.944)
    (line,) = plan.estimate.rack
    assert (line.name, line.count, line.weight_kg) == ("angle", 1, pytest.approx(0.24))
    assert (plan.estimate.delivery_price, plan.estimate.foam_price) == (0, 0)


@pytest.mark.parametrize(
    ("x_mm", "y_mm", "told"),
    [
        (300.0, 100.0, "over the trimmed edge of the foam"),
        (100.0, 250.0, "over the trimmed edge of the foam"),
        (400.0, 20.0, "covers a blocked area"),
    ],
)
def test_a_piece_off_the_foam_or_on_a_blocked_area_is_told(
    x_mm: float, y_mm: float, told: str
) -> None:
    assert told in faults(plan_on_odd_foam(x_mm, y_mm))


def test_foam_that_is_not_the_rack_s_is_told() -> None:
    plan = plan_on_odd_foam()
    (layout,) = plan.layouts
    for changed, told in (
        (replace(layout, outline=None), "the outline of the foam"),
        (replace(layout, blocked=()), "the blocked areas of the foam"),
    ):
        assert told in faults(replace(plan, layouts=(changed,)))
    turned = replace(plan.blocks[0], wire_axis="width")
    assert "lies with the wire along width" in faults(replace(plan, blocks=(turned,)))


def test_a_rack_line_that_is_wrong_is_told() -> None:
    plan = plan_on_odd_foam()
    (line,) = plan.estimate.rack
    for changed, told in (
        ((), "are to be fetched"),
        ((replace(line, count=2),), "count"),
        ((replace(line, weight_kg=1.0),), "weight_kg"),
        ((replace(line, foam="EPS 20"),), "foam 'EPS 20' stated"),
    ):
        wrong = replace(plan, estimate=replace(plan.estimate, rack=changed))
        assert told in faults(wrong)
    rack = replace(plan.estimate.foam, rack=15.0)
    wrong = replace(plan, estimate=replace(plan.estimate, foam=rack))
    assert "foam balance, rack" in faults(wrong)


def test_a_bound_that_the_plan_beats_is_told() -> None:
    plan = plan_on_odd_foam()
    for changed, told in (
        ({"fewest_blocks": 1}, "no plan can do with fewer than 1"),
        ({"least_order_price": 1.0}, "no order can cost less than 1.00"),
    ):
        wrong = replace(plan, estimate=replace(plan.estimate, **changed))
        assert told in faults(wrong)


# --- The files ------------------------------------------------------------------------


def test_a_rack_file_comes_back_as_it_was_written(tmp_path: Path) -> None:
    rack = (
        offcut('say "R1" \\ ä', count=3, trim_mm=2.5),
        replace(ANGLE, blocked=(KNOT, Blocked(corners=((0, 0), (9, 0), (0, 9))))),
    )
    write_rack(rack, tmp_path / "rack.toml", remarks=["invented"])
    assert read_rack(tmp_path / "rack.toml") == rack


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("length_mm = 400", "neither a size nor an outline"),
        ("outline = [[0, 0], [9, 0]]", "2 corners enclose nothing"),
        ("outline = [[0, 0], [9, 9], [9, 0], [0, 9]]", "no plain region"),
        ("outline = [[1, 0], [9, 0], [9, 9]]", "begins at 1, 0"),
        ("outline = [[0, 0], [9, 0], [0, 20]]", "wider (20 mm) than long (9 mm)"),
        ("length_mm = 8\noutline = [[0, 0], [9, 0], [0, 8]]", "the outline is 9 x 8 mm, the size"),
        (
            "length_mm = 9\nwidth_mm = 9\nblocked = [{ x_mm = 1 }]",
            "neither a rectangle nor a region",
        ),
        (
            "length_mm = 9\nwidth_mm = 9\n"
            "blocked = [{ x_mm = 90, y_mm = 0, width_mm = 5, height_mm = 5 }]",
            "lies beside the block",
        ),
    ],
)
def test_a_rack_piece_that_cannot_be_is_told(tmp_path: Path, table: str, told: str) -> None:
    path = tmp_path / "rack.toml"
    path.write_text(f'[[rack]]\nname = "R1"\nfoam = "EPS 15"\nthickness_mm = 9\n{table}\n')
    with pytest.raises(SettingsError) as caught:
        read_rack(path)
    assert told in str(caught.value)


def test_a_workshop_takes_in_the_rack_file_it_names(tmp_path: Path) -> None:
    demo = Path(__file__).parent.parent / "demo_shapes" / "workshop.toml"
    (tmp_path / "shop.toml").write_text('rack_file = "rack.toml"\n' + demo.read_text())
    write_rack([replace(ANGLE, foam="EPS 15")], tmp_path / "rack.toml")
    assert [one.name for one in read_workshop(tmp_path / "shop.toml").rack] == ["angle"]
    write_rack([replace(ANGLE, foam="EPS 15", name="board 100")], tmp_path / "rack.toml")
    with pytest.raises(SettingsError, match="'board 100' is used 2 times"):
        read_workshop(tmp_path / "shop.toml")
    write_rack([replace(ANGLE, foam="EPS 99")], tmp_path / "rack.toml")
    with pytest.raises(SettingsError, match="foam 'EPS 99' is not in the file"):
        read_workshop(tmp_path / "shop.toml")


# --- The rack after a job -------------------------------------------------------------


def plan_on_deep_odd_foam() -> Plan:
    """Return the plan on three pieces of odd foam 200 mm thick, so that a slab is left."""
    plan = plan_on_odd_foam()
    deep = replace(plan.workshop.rack[0], thickness_mm=200.0, count=3)
    here = replace(plan.workshop, rack=(deep,), offcuts=Offcuts(keep_width_mm=150))
    parts = (here, plan.pieces, plan.blocks, plan.layouts, plan.passes)
    return replace(plan, workshop=here, estimate=estimate(*parts, fewest_blocks=0))


def test_what_is_left_of_odd_foam_goes_back_with_its_outline_and_what_is_blocked() -> None:
    plan = plan_on_deep_odd_foam()
    assert faults(plan) == ""
    left, *others = rack_after(plan)
    new = others[-1]
    assert (left.name, left.count) == ("angle", 2)
    # 200 mm less 5 of trim, the slab of 90, a kerf of 2 and 5 of trim: 98 mm.
    assert new.thickness_mm == 98
    assert Polygon(new.outline).area == pytest.approx(590 * 190 + 190 * 200)
    assert Polygon(new.blocked[0].corners).bounds == (445, 45, 485, 85)
    finding = check_restocked(plan, rack_after(plan))
    assert finding.passed, finding.faults


@pytest.mark.parametrize("drop", ["left", "new"])
def test_a_rack_that_does_not_add_up_is_told(drop: str) -> None:
    plan = plan_on_deep_odd_foam()
    left, *others, new = rack_after(plan)
    kept = (*others, new) if drop == "left" else (left, *others)
    assert "is missing from the rack" in told_of(plan, *kept)
    assert "litres" in told_of(plan, *kept)
    if drop == "left":
        assert "3 are told to be left; 3 less 1 are" in told_of(
            plan, replace(left, count=3), *others, new
        )
        assert "is not the piece it was" in told_of(plan, replace(left, trim_mm=0), *others, new)
        assert "bear this name" in told_of(plan, left, left, *others, new)
    else:
        assert "are not the offcut's" in told_of(
            plan, left, *others, replace(new, thickness_mm=90.0)
        )
        assert "are blocked" in told_of(plan, left, *others, replace(new, blocked=()))
        assert "neither left over" in told_of(plan, left, *others, new, replace(new, name="R9"))
        assert "is told as 2 of" in told_of(plan, left, *others, replace(new, count=2))


def told_of(plan: Plan, *rack: RackPiece) -> str:
    return "\n".join(str(fault) for fault in check_restocked(plan, rack).faults)


def test_the_offcuts_of_one_job_serve_the_next(tmp_path: Path) -> None:
    demo = Path(__file__).parent.parent / "demo_shapes"
    (tmp_path / "workshop.toml").write_bytes((demo / "workshop.toml").read_bytes())
    for name, sizes in (("large", [(1500, 900)]), ("small", [(500, 250)] * 2)):
        drawing = ezdxf.new()
        drawing.header["$INSUNITS"] = 4
        for k, (wide, high) in enumerate(sizes):
            drawing.modelspace().add_lwpolyline(
                shapely.get_coordinates(box(700 * k, 0, 700 * k + wide, high)),
                close=True,
                dxfattribs={"layer": "OUTLINE"},
            )
        drawing.saveas(tmp_path / f"{name}.dxf")
        (tmp_path / f"{name}.toml").write_text(
            f'name = "{name}"\ndrawing = "{name}.dxf"\nworkshop = "workshop.toml"\n'
            '[form]\nkind = "flat"\nfoam = "EPS 15"\nthickness_mm = 60\n'
        )
    run = CliRunner()
    first = run.invoke(app, ["plan", str(tmp_path / "large.toml"), "--rack", "--seconds", "0"])
    assert first.exit_code == 0, first.output
    assert "The rack for the next job is what this one leaves" in first.output
    small = ("order", str(tmp_path / "small.toml"), "--json", "--seconds", "0")
    alone = json.loads(run.invoke(app, [*small]).stdout)
    text = (tmp_path / "workshop.toml").read_text()
    (tmp_path / "workshop.toml").write_text('rack_file = "large-plan/rack.toml"\n' + text)
    then = json.loads(run.invoke(app, [*small]).stdout)
    assert alone["blocks_to_order"] > then["blocks_to_order"]
    assert then["estimate"]["rack"]
    assert run.invoke(app, ["check", str(tmp_path / "large-plan")]).exit_code == 0
    rack = tmp_path / "large-plan" / "rack.toml"
    rack.write_text(re.sub(r"thickness_mm = .*", "thickness_mm = 500.0", rack.read_text(), count=1))
    broken = run.invoke(app, ["check", str(tmp_path / "large-plan")])
    assert broken.exit_code != 0
    assert "are not the offcut's" in broken.output
