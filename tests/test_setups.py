"""Blocks moved on a table between setups: reached, whole, proved, told; each promise fails."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, affinity, box
from sweeping import lies, setup_complaints
from taper_specimens import KEYSTONE_BACK, KEYSTONE_FRONT, job, outline, shop, traced

from wirepath.checking import check_files, check_plan
from wirepath.checking.costs import check_costs
from wirepath.checking.record import check_numbers
from wirepath.checking.scene import scenes
from wirepath.checking.setups import check_setups
from wirepath.coordinates import read_coordinates, write_coordinates
from wirepath.errors import FitError, SettingsError
from wirepath.fitting import all_rooms, refuse_misfits, within_travel
from wirepath.geometry import on_table, place
from wirepath.model import Layout, Plan, Setup, WireLine
from wirepath.plan_folder import write_folder
from wirepath.planning import make_plan
from wirepath.report import plan_lines
from wirepath.routing.covering import choices
from wirepath.sheets import sheet_pages
from wirepath.sheets.pencil_lines import pencil_lines
from wirepath.sheets.steps import steps
from wirepath.view.contents import contents
from wirepath.view.wording import LANGUAGES as VIEW_WORDS
from wirepath.wording import ENGLISH, LANGUAGES
from wirepath.wording.setups import SETUPS
from wirepath.workshop import Clamp, Files, Rig, Stock
from wirepath.workshop_file import read_workshop

LENGTH, WIDTH, TRAVEL = 3000.0, 600.0, 1400.0
LETTERS = [
    outline("L", Polygon([(0, 0), (380, 0), (380, 120), (120, 120), (120, 500), (0, 500)])),
    outline("A", Polygon([(0, 0), (420, 0), (260, 500), (160, 500)])),
    outline("N", box(0, 0, 400, 480)),
    outline(
        "T",
        Polygon(
            [(140, 0), (260, 0), (260, 380), (400, 380), (400, 500), (0, 500), (0, 380), (140, 380)]
        ),
    ),
    outline("E", box(0, 0, 360, 500)),
    outline("R", box(0, 0, 340, 460)),
]


def long_shop(*, rig=None, cutting=None, trim_mm=0.0, **table):
    """A table with 1400 mm of travel along x, and blocks of 3000 x 600 x 300 mm."""
    table = {"travel_x_mm": TRAVEL, "block_may_shift": True, **table}
    made = shop(rig=rig or Rig(**table))
    block = Stock(
        name="long block",
        foam="EPS 15",
        length_mm=LENGTH,
        width_mm=WIDTH,
        thickness_mm=300.0,
        price=30.0,
        trim_mm=trim_mm,
    )
    return replace(made, stock=(block,), cutting=cutting or made.cutting)


def row_plan(outlines=LETTERS, **changes) -> Plan:
    return make_plan(job(), long_shop(**changes), traced(outlines), seconds=0.0)


@pytest.fixture(scope="module")
def row():
    return row_plan()


def faults(one):
    return "\n".join(str(fault) for finding in check_plan(one) for fault in finding.faults)


def clear_mm(one, clamp):
    """Return how far each piece of the first layout lies from a clamp at the datum corner."""
    return [
        place(one.piece(placed.piece).outline, placed).distance(clamp.polygon)
        for placed in one.layouts[0].placements
    ]


def told_of_setups(one):
    return "\n".join(str(fault) for fault in check_setups(one, scenes(one)).faults)


def swept(one: Plan, folder: Path) -> list[str]:
    """Return what a wire that knows only the files of the first layout's setups complains of."""
    rig, (layout, *_) = one.workshop.rig, one.layouts
    paths = [path for path in write_coordinates(one, folder) if "-layout-01-" in path.name]
    away = one.workshop.cutting.lead_in_mm
    far = 1e5
    west, south = (min(-away, at) for at in rig.waits_at or (0.0, 0.0))
    east, north = west + (rig.travel_x_mm or far), south + (rig.travel_y_mm or far)
    return setup_complaints(
        [path for path in paths if path.suffix == ".csv"],
        face=box(0, 0, layout.width_mm, layout.height_mm),
        pieces={lie.piece: place(one.piece(lie.piece).outline, lie) for lie in layout.placements},
        kerf_mm=one.workshop.cutting.kerf_mm,
        lead_in_mm=away,
        reach=(west, south - far * (rig.travel_y_mm is None), east, north),
        clamps=[clamp.polygon for clamp in rig.clamps],
        error_mm=rig.shift_error_mm,
    )


def test_a_row_twice_as_long_as_the_travel_is_cut_in_two_setups(row, tmp_path):
    (layout,) = row.layouts
    assert [setup.turn_deg for setup in layout.setups] == [0, 0]
    assert layout.setups[0] == Setup()
    assert [one.setup for one in row.passes] == [1, 2]
    assert faults(row) == ""
    assert swept(row, tmp_path) == []


AT_THE_LEFT_END = Clamp(x_mm=-60, y_mm=200, width_mm=160, height_mm=100)
BELOW = Clamp(x_mm=20, y_mm=-60, width_mm=120, height_mm=100)


@pytest.mark.parametrize(
    ("table", "turns"),
    [
        ({"travel_x_mm": 1750.0, "block_may_turn": "half", "clamps": (AT_THE_LEFT_END,)}, [0, 180]),
        ({"block_may_turn": "half", "clamps": (BELOW,)}, [0, 180]),
        (
            {"travel_y_mm": 3100.0, "block_may_shift": False, "block_may_turn": "quarter"},
            [90],
        ),
        ({"travel_x_mm": 1500.0, "waits_at": (-80.0, -90.0)}, [0, 0]),
        ({"travel_x_mm": 1500.0, "travel_y_mm": 580.0}, [0, 0, 0]),
        ({"travel_x_mm": 1500.0, "wire_lies": "level"}, [0, 0]),
    ],
)
def test_turned_pushed_and_clamped_blocks_are_cut_as_their_files_say(table, turns, tmp_path):
    made = row_plan(**table)
    assert [setup.turn_deg for setup in made.layouts[0].setups] == turns
    assert told_of_setups(made) == ""
    assert swept(made, tmp_path) == []


def test_a_clamp_over_a_piece_is_brought_off_it_by_turning_a_block_within_the_travel(tmp_path):
    """Within the travel no block is moved but for its clamps."""
    over = Clamp(x_mm=20, y_mm=-60, width_mm=160, height_mm=120)
    table = {"travel_x_mm": None, "block_may_shift": False, "clamps": (over,)}
    kept_off = row_plan(LETTERS[:2], **table)
    assert kept_off.layouts[0].setups == ()
    assert min(clear_mm(kept_off, over)) > 0
    made = row_plan(LETTERS[:2], block_may_turn="half", **table)
    assert min(clear_mm(made, over)) == 0
    assert [setup.turn_deg for setup in made.layouts[0].setups] == [180]
    assert told_of_setups(made) == ""
    assert swept(made, tmp_path) == []


def test_tapers_are_cut_in_setups_with_both_ends_within_the_travel(tmp_path):
    copies = ["key", "other"]
    front, back = (
        [
            outline(name, affinity.translate(affinity.scale(face, 3, 2, origin=(0, 0)), 700 * at))
            for at, name in enumerate(copies)
        ]
        for face in (KEYSTONE_FRONT, KEYSTONE_BACK)
    )
    table = Rig(
        travel_x_mm=1000.0,
        block_may_shift=True,
        two_ended=True,
        ends_apart_mm=900.0,
        near_gap_mm=100.0,
    )
    made = make_plan(job(), long_shop(rig=table), traced(front, far=back), seconds=0.0)
    assert len(made.layouts[0].setups) == 2
    assert told_of_setups(made) == ""
    files = [read_coordinates(path) for path in write_coordinates(made, tmp_path)]
    assert [file.gaps is not None for file in files] == [True] * len(made.layouts[0].setups)
    filed = [point for file in files for one in file.passes for point in points_of(one)]
    planned = [point for one in made.passes for point in points_of(one)]
    assert np.abs(np.array(filed) - np.array(planned)).max() < 0.006


def points_of(one):
    """Return the points of a pass at both faces, one after the other."""
    return [
        point
        for move in one.moves
        for line in (move.line, move.far or move.line)
        for point in line.coords
    ]


@settings(max_examples=20, deadline=None)
@given(
    places=st.lists(st.tuples(st.integers(0, 300), st.integers(50, 900)), min_size=1, max_size=7)
)
def test_pieces_in_a_row_take_as_few_setups_as_intervals_take_windows(places):
    """Each window from the first interval that is not held yet, left to right: the known best
    (Cormen and others, *Introduction to Algorithms*, exercise on unit intervals; from memory).
    Blocks are pushed by whole mm: a window may hold one mm less."""
    boxes, at = [], 0.0
    for gap, width in places:
        at += gap + 20
        boxes.append((at, at + width))
        at += width
    lines = [
        WireLine(piece=n, is_hole=False, ring=LineString(box(a, 50, b, 300).exterior.coords))
        for n, (a, b) in enumerate(boxes, 1)
    ]
    chosen = choices(layout_of(at + 100), lines, long_shop())
    assert windows(boxes, TRAVEL) <= len(chosen) <= windows(boxes, TRAVEL - 1)
    assert sorted(index for one in chosen for index in one.lines) == list(range(len(lines)))
    for one in chosen:
        for index in one.lines:
            west, _, east, _ = on_table(lines[index].ring, one.setup).bounds
            assert west >= -20
            assert east <= TRAVEL - 20


def windows(boxes, wide_mm):
    count, end = 0, -1.0
    for low, high in boxes:
        if high > end:
            count, end = count + 1, low + wide_mm
    return count


def layout_of(width: float) -> Layout:
    return Layout(
        number=1,
        block=1,
        from_mm=0.0,
        thickness_mm=300.0,
        width_mm=width,
        height_mm=WIDTH,
        trim_mm=0.0,
        placements=(),
    )


def test_a_table_that_reaches_all_cuts_in_one_setup_as_if_nothing_could_be_moved():
    free, fixed = (row_plan(travel_x_mm=3040.0, block_may_shift=may) for may in (True, False))
    assert free.layouts[0].setups == ()
    assert free.passes == fixed.passes
    assert free.layouts == fixed.layouts


def test_each_setup_costs_its_time(row):
    alone = row_plan(travel_x_mm=None)
    cutting = row.workshop.cutting
    assert row.estimate.setup_min == alone.estimate.setup_min + cutting.setup_min
    cheap = replace(row, estimate=replace(row.estimate, setup_min=alone.estimate.setup_min))
    assert "setup_min" in str(check_costs(cheap).faults)


def test_a_plan_in_setups_is_written_read_back_and_proved(row, tmp_path):
    assert all(one.passed for one in write_folder(row, tmp_path / "plan", replace_old=False))
    first, second = sorted((tmp_path / "plan" / "coordinates").iterdir())
    assert first.name == "block-01-layout-01-setup-1.csv"
    text = second.read_text()
    x = row.layouts[0].setups[1].x_mm
    second.write_text(text.replace(f"corner at x {x:.3f}", f"corner at x {x + 100:.3f}"))
    files = [read_coordinates(path) for path in (first, second)]
    passes = {1: files[0].passes + files[1].passes}
    lie = [(one.layout, one.setup, one.lies) for one in files]
    told = check_files(row, passes, (), (), (), setups=lie)[0]
    assert "other setups than the plan" in str(told.faults)


def test_files_say_figures_of_the_table_in_every_format(row, tmp_path):
    asked = replace(row, workshop=replace(row.workshop, files=Files(also=("DXF", "words"))))
    paths = write_coordinates(asked, tmp_path)
    setup = row.layouts[0].setups[1]
    (csv,) = [path for path in paths if path.name.endswith("setup-2.csv")]
    file = read_coordinates(csv)
    assert (file.setup, file.lies) == (2, setup)
    assert file.passes == tuple(one for one in row.passes if one.setup == 2)
    assert lies(csv) == (0, setup.x_mm, setup.y_mm)
    x, y = file.passes[0].moves[0].line.coords[0]
    words = csv.with_suffix(".txt").read_text()
    assert f"# lies: as drawn, pushed {-setup.x_mm:g} mm left from the datum" in csv.read_text()
    assert f"X{x + setup.x_mm:.3f} Y{y + setup.y_mm:.3f}" in words
    assert f"{x + setup.x_mm:.3f}"[:6] in csv.with_suffix(".dxf").read_text()


def test_a_form_larger_than_the_travel_is_parted_by_a_seam():
    made = row_plan([outline("long", box(0, 0, 1500, 400))])
    assert [piece.section_of for piece in made.pieces] == ["long", "long"]
    assert faults(made) == ""


def test_a_piece_larger_than_the_travel_is_refused_with_what_the_table_reaches():
    (piece, *_) = row_plan(LETTERS[:1]).pieces
    long = replace(piece, outline=box(0, 0, 1500, 400), finished=box(0, 0, 1500, 400))
    with pytest.raises(FitError, match=r"larger than the 1398\.8 x 600 mm that the table reaches"):
        refuse_misfits([long], long_shop())
    line = WireLine(piece=1, is_hole=False, ring=LineString(box(9, 9, 1500, 400).exterior.coords))
    with pytest.raises(FitError, match="1491 x 391 mm with its slot, is reached in no setup"):
        choices(layout_of(LENGTH), [line], long_shop())


def test_a_long_piece_is_not_laid_across_a_table_that_reaches_no_further():
    (piece, *_) = row_plan(LETTERS[:1]).pieces
    long = replace(piece, outline=box(0, 0, 1200, 400), turning="quarter")
    table = long_shop(travel_y_mm=640.0)
    assert within_travel(long, table).turning == "half"
    assert within_travel(piece, table).turning == "quarter"
    assert within_travel(long, long_shop(block_may_shift=False)).turning == "quarter"


@pytest.mark.parametrize(("hour_price", "bought"), [(0.0, ["long block"]), (90.0, ["short"] * 2)])
def test_blocks_that_need_no_moving_are_bought_where_that_costs_less(hour_price, bought):
    """Two short blocks cost 6 more than the long one; two more setups of 10 minutes 30."""
    made = long_shop()
    short = replace(made.stock[0], name="short", length_mm=1300.0, price=18.0)
    order = replace(made.order, hour_price=hour_price)
    both = replace(made, stock=(*made.stock, short), order=order)
    plan = make_plan(job(), both, traced(LETTERS[2:]), seconds=0.0)
    assert [block.stock for block in plan.blocks] == bought


def test_the_screen_tells_how_each_block_is_moved(row):
    x = row.layouts[0].setups[1].x_mm
    (told,) = [line for line in plan_lines(row) if "setups" in line]
    assert told == (f"layout 1 is cut in 2 setups: 1 at the datum corner; 2 pushed {-x:g} mm left")


def test_slabs_are_not_sawn_from_a_block_longer_than_the_travel():
    made = long_shop(trim_mm=5.0)
    told = [one.limit(200.0, made) for one in all_rooms("EPS 15", made) if one.lies]
    assert told[0] is not None
    assert told[0].startswith("slabs are to be sawn from it")
    whole = long_shop()
    assert [one.limit(300.0, whole) for one in all_rooms("EPS 15", whole) if one.lies] == [None]


def test_a_bow_moves_no_blocks(tmp_path):
    text = (
        'name = "w"\n[wire]\nlength_mm = 1200\n[cutting]\nkerf_mm = 2\n[rig]\nkind = "bow"\n'
        'block_may_shift = true\n[[foams]]\nname = "f"\nkind = "EPS"\ndensity_kg_per_m3 = 15\n'
        '[[stock]]\nname = "b"\nfoam = "f"\nlength_mm = 900\nwidth_mm = 600\n'
        "thickness_mm = 300\nprice = 1\n"
    )
    (tmp_path / "workshop.toml").write_text(text)
    with pytest.raises(SettingsError, match="only a block on a table is moved"):
        read_workshop(tmp_path / "workshop.toml")


# --- Each promise fails ---


def changed(one: Plan, **changes) -> Plan:
    (layout, *rest) = one.layouts
    return replace(one, layouts=(replace(layout, **changes), *rest))


def with_rig(one: Plan, **changes) -> Plan:
    return replace(one, workshop=replace(one.workshop, rig=replace(one.workshop.rig, **changes)))


def test_a_setup_out_of_the_travel_is_told(row):
    first, second = row.layouts[0].setups
    far = changed(row, setups=(first, replace(second, x_mm=second.x_mm - 700)))
    assert "past the travel along x" in told_of_setups(far)


def test_a_block_turned_or_pushed_as_it_may_not_be_is_told(row):
    first, _ = row.layouts[0].setups
    turned = changed(row, setups=(first, Setup(turn_deg=180, x_mm=LENGTH, y_mm=WIDTH)))
    assert "may not be turned by 180" in told_of_setups(turned)
    assert "may not be pushed" in told_of_setups(with_rig(row, block_may_shift=False))


def test_a_block_pushed_into_a_clamp_beside_it_is_told(row):
    post = Clamp(x_mm=-80, y_mm=200, width_mm=60, height_mm=50)
    assert "pushed into clamp 1" in told_of_setups(with_rig(row, clamps=(post,)))


def test_a_block_that_no_clamp_holds_any_more_is_told():
    made = row_plan(block_may_turn="half", clamps=(BELOW,))
    (first, second) = made.layouts[0].setups
    off = changed(made, setups=(replace(first, y_mm=50.0), second))
    assert "no clamp holds the block" in told_of_setups(off)


def test_a_piece_come_near_to_in_two_setups_is_told(row, tmp_path):
    near = with_rig(row, shift_error_mm=20.0)
    assert "slots of setups 1, 2 come within" in told_of_setups(near)
    assert any("off its marks it bites piece" in one for one in swept(near, tmp_path))


def test_a_block_that_falls_in_two_before_it_is_moved_is_told(row):
    """A cut right across the block, between pieces of the second setup, in the first one."""
    first, second = row.passes
    west = min(
        place(row.piece(lie.piece).outline, lie).bounds[0]
        for lie in row.layouts[0].placements
        if any(move.piece == lie.piece for move in second.moves)
    )
    others = sorted(
        place(row.piece(lie.piece).outline, lie).bounds[0] for lie in row.layouts[0].placements
    )
    x = next(at for at in others if at > west) - 4.6
    air = first.moves[0].line.coords[0]
    across = [air, (air[0], -20.0), (x, -20.0), (x, WIDTH + 20)]
    move = replace(first.moves[0], kind="link", line=LineString(across[::-1]), piece=None)
    wrong = replace(row, passes=(replace(first, moves=(move, *first.moves)), second))
    assert "the block lies in parts" in told_of_setups(wrong)


def test_passes_of_no_setup_and_in_no_order_are_told(row):
    first, second = row.passes
    missing = replace(row, passes=(first, replace(second, setup=3)))
    assert "there is no setup of a pass" in str(check_numbers(missing).faults)
    swapped = replace(row, passes=(replace(first, setup=2), replace(second, setup=1)))
    assert "go back to an earlier setup" in told_of_setups(swapped)
    idle = replace(row, passes=(first, replace(second, setup=1)))
    assert "there are 2" in told_of_setups(idle)


# --- Told on paper ---


def test_steps_tell_each_setup_with_pencil_lines_that_stand_on_foam(row):
    (layout,) = row.layouts
    told = [step for step in steps(row, layout, ENGLISH) if step.setup is not None]
    assert [step.setup for step in told] == [1, 2]
    (line,) = pencil_lines(row, layout, 2)
    assert f"B: bottom edge, {line.along_mm:.0f} mm across" in told[0].text
    assert "Take out every piece" in told[1].text
    pieces = [place(row.piece(lie.piece).outline, lie) for lie in layout.placements]
    gone = {move.piece for one in row.passes if one.setup == 1 for move in one.moves}
    for lie, area in zip(layout.placements, pieces, strict=True):
        if lie.piece in gone:
            assert area.distance(LineString([(line.along_mm, -1), (line.along_mm, 5)])) > 5
    assert line.at[0] == line.along_mm + layout.setups[1].x_mm


def test_the_view_tells_each_setup_among_the_steps(row):
    (shown,) = contents(row, VIEW_WORDS["en"], ENGLISH)["layouts"]
    told = [step["text"] for step in shown["steps"] if step["kind"] == "setup"]
    assert [text[:12] for text in told] == ["Setup 1 of 2", "Setup 2 of 2"]


@pytest.mark.parametrize("language", ["en", "de", "nl"])
def test_sheets_draw_the_table_for_each_setup_in_every_language(row, language):
    paper = replace(row.workshop.paper, language=language)
    here = replace(row, workshop=replace(row.workshop, paper=paper))
    texts = {text.text for page in sheet_pages(here, LANGUAGES[language]) for text in page.texts}
    own = SETUPS[language]
    for number in (1, 2):
        head = (own.at_datum, own.clear)[number - 1].format(number=number, count=2)
        assert any(text.startswith(head[:20]) for text in texts)


def test_texts_of_setups_name_the_same_places_in_every_language():
    import re
    from dataclasses import fields

    for field in fields(type(SETUPS["en"])):
        named = {
            language: sorted(re.findall(r"\{(\w+)\}", getattr(words, field.name)))
            for language, words in SETUPS.items()
        }
        assert len(set(map(tuple, named.values()))) == 1, field.name
    assert set(SETUPS) == set(LANGUAGES)
