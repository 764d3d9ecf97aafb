"""Cuts along a fence: counted on paper, proved, and the proof shown to fail."""

from __future__ import annotations

from dataclasses import fields, replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from label_checks import faults as label_faults
from shapely import LineString, Point, box
from shapely.affinity import translate
from sweeping import fence_complaints
from taper_specimens import KEYSTONE_BACK, KEYSTONE_FRONT, job, outline, shop, traced

from wirepath.checking import check_plan
from wirepath.coordinates import write_coordinates
from wirepath.errors import FitError, SettingsError
from wirepath.geometry import place_all
from wirepath.nesting import guillotine_cuts
from wirepath.planning import make_plan
from wirepath.sheets import sheet_pages
from wirepath.sheets.fence_sheet import fence_pages
from wirepath.wording import ENGLISH, LANGUAGES
from wirepath.wording.fence import FENCE, FenceWords
from wirepath.workshop import Rig
from wirepath.workshop_file import read_workshop

FENCE_RIG = Rig(kind="fence", fence_least_mm=5.0)


def fenced_shop(rig=FENCE_RIG, **changes):
    return replace(shop(rig=rig), **changes)


@cache
def plan():
    """Four slats, a disc and a ring with a square hole on blocks of 1200 x 600 mm, trim 10."""
    drawn = [outline(f"slat {k}", box(0, 50 * k, 400, 50 * k + 40)) for k in range(4)]
    drawn.append(outline("disc", translate(Point(0, 0).buffer(90), 600, 100)))
    frame = box(800, 0, 1000, 200).difference(box(850, 50, 950, 150))
    drawn.append(outline("frame", frame))
    return make_plan(job(), fenced_shop(), traced(drawn), seconds=0.0)


def faults(one):
    return "\n".join(str(fault) for finding in check_plan(one) for fault in finding.faults)


def with_cut(one, number, **changes):
    """The plan with one cut of its first layout told otherwise."""
    layout = one.layouts[0]
    cuts = list(layout.fence_cuts)
    cuts[number] = replace(cuts[number], **changes)
    return replace(one, layouts=(replace(layout, fence_cuts=tuple(cuts)), *one.layouts[1:]))


# --- How many cuts -----------------------------------------------------------------


def test_the_best_pattern_of_a_known_problem_takes_eight_cuts():
    # Christofides and Whitlock, Operations Research 25 (1977), problem 1, from memory: 15 x 10,
    # value 244 at best. This pattern of that value has 8 pieces and one strip of waste, and
    # every cut makes one part of one more: 8 + 1 - 1.
    pattern = [
        (0, 0, 8, 4),
        (0, 4, 8, 8),
        (0, 8, 8, 10),
        (8, 0, 11, 7),
        (8, 7, 11, 10),
        (11, 0, 14, 4),
        (11, 4, 14, 8),
        (11, 8, 14, 10),
    ]
    values = {(8, 4): 66, (8, 2): 24, (3, 7): 35, (3, 3): 11, (3, 4): 17, (3, 2): 8}
    assert sum(values[c - a, d - b] for a, b, c, d in pattern) == 244
    wanted = [(100 * a, 100 * b, 100 * c - 2, 100 * d - 2) for a, b, c, d in pattern]
    cuts = guillotine_cuts((0, 0, 1498, 998), wanted, 2.0)
    assert len(cuts) == 8


def test_strips_and_then_pieces_take_a_cut_each_and_one_more_for_each_rim():
    # Two stages as Gilmore and Gomory cut (1965, from memory): 3 strips of 4 pieces, foam left
    # above and at the end. One cut each takes that off all; then 2 cuts for the strips and
    # 3 in each: 2 + 2 + 3 x 3.
    wanted = [(102 * i, 52 * k, 102 * i + 100, 52 * k + 50) for i in range(4) for k in range(3)]
    assert len(guillotine_cuts((0, 0, 500, 300), wanted, 2.0)) == 2 + 2 + 3 * 3


def test_five_rectangles_round_a_pinwheel_are_parted_by_no_straight_cut():
    # The least pattern that no guillotine cuts: known from the counting of floor plans.
    wheel = [(0, 0, 200, 98), (202, 0, 300, 198), (102, 200, 300, 300), (0, 100, 100, 300)]
    wheel.append((102, 100, 200, 198))
    assert guillotine_cuts((0, 0, 300, 300), wheel, 2.0) is None


@st.composite
def split(draw, slab=(0.0, 0.0, 1200.0, 800.0), deep=4):
    """A slab split by straight cuts, each leaving a kerf of 2 mm."""
    axis = draw(st.sampled_from([0, 1]))
    low, high = slab[axis] + 41, slab[axis + 2] - 41
    if not deep or high <= low or draw(st.integers(0, 4)) == 0:
        return [slab]
    at = draw(st.floats(low, high))
    one, other = list(slab), list(slab)
    one[axis + 2], other[axis] = at - 1, at + 1
    return draw(split(tuple(one), deep - 1)) + draw(split(tuple(other), deep - 1))


@settings(max_examples=40, deadline=None)
@given(parts=split())
def test_a_slab_split_without_waste_takes_one_cut_less_than_it_has_parts(parts):
    cuts = guillotine_cuts((0.0, 0.0, 1200.0, 800.0), parts, 2.0)
    assert len(cuts) == len(parts) - 1


# --- Proved ------------------------------------------------------------------------


def test_slats_a_disc_and_a_frame_are_freed_and_proved_from_the_file(tmp_path):
    made = plan()
    assert faults(made) == ""
    for layout, path in zip(made.layouts, write_coordinates(made, tmp_path), strict=True):
        pieces = dict(
            zip(
                (lie.piece for lie in layout.placements),
                place_all(layout, made.pieces),
                strict=True,
            )
        )
        face = box(0, 0, layout.width_mm, layout.height_mm)
        assert fence_complaints(path, face=face, pieces=pieces, kerf_mm=1.2) == []


def test_the_sweep_of_the_file_sees_a_cut_that_stops_short(tmp_path):
    made = plan()
    layout = made.layouts[0]
    (path,) = write_coordinates(made, tmp_path)
    pieces = dict(zip(range(1, 7), place_all(layout, made.pieces), strict=True))
    lines = path.read_text().splitlines()
    at = next(i for i, line in enumerate(lines) if ",fence," in line)
    row = lines[at + 1].split(",")
    first = lines[at].split(",")
    axis = 4 if row[4] != first[4] else 5
    row[axis] = f"{float(row[axis]) - 3:.3f}"
    lines[at + 1] = ",".join(row)
    path.write_text("\n".join(lines))
    face = box(0, 0, layout.width_mm, layout.height_mm)
    told = fence_complaints(path, face=face, pieces=pieces, kerf_mm=1.2)
    assert any("from rim to rim" in one for one in told)


def test_slats_are_finished_by_the_fence_and_only_curves_and_holes_are_left_for_hands():
    made = plan()
    by_hand = {
        move.piece
        for one in made.passes
        if one.moves[0].kind != "fence"
        for move in one.moves
        if move.piece is not None
    }
    assert {made.piece(number).name for number in by_hand} == {"disc", "frame"}
    frame = next(piece.number for piece in made.pieces if piece.name == "frame")
    kinds = [
        move.kind
        for one in made.passes
        for move in one.moves
        if one.moves[0].kind != "fence" and move.piece == frame
    ]
    assert "outline" not in kinds
    assert "slit" in kinds


def test_equal_slats_are_cut_with_one_setting_of_the_fence():
    drawn = [outline(f"slat {k}", box(0, 50 * k, 1100, 50 * k + 40)) for k in range(8)]
    made = make_plan(job(), fenced_shop(), traced(drawn), seconds=0.0)
    (layout,) = made.layouts
    # Both ends cut off all slats at once, the lower trim, and one setting for all slats.
    assert len(layout.fence_cuts) == 3 + 8
    assert len(layout.fence_settings) == 4
    assert len(layout.fence_settings[-1]) == 8
    # The slab is sawn from its block besides.
    assert made.estimate.setup_min == pytest.approx(2 * 10.0 + 4 * 1.0)


@settings(max_examples=5, deadline=None)
@given(
    sizes=st.lists(
        st.tuples(st.integers(30, 500), st.integers(30, 500), st.booleans()), min_size=1, max_size=6
    )
)
def test_any_pieces_are_laid_so_that_straight_cuts_free_them(sizes):
    drawn = []
    for k, (wide, high, round_) in enumerate(sizes):
        shape = box(0, 0, wide, high)
        if round_:
            shape = shape.buffer(-12).buffer(12)
        drawn.append(outline(f"p{k}", translate(shape, 600 * k, 0)))
    made = make_plan(job(), fenced_shop(), traced(drawn), seconds=0.0)
    assert faults(made) == ""


def test_a_piece_as_large_as_the_usable_face_fits_it_but_for_rounding():
    # Seams leave pieces that fill a block's width, off by the dust of their coordinates.
    made = make_plan(
        job(),
        fenced_shop(),
        traced([outline("post", box(0, 0, 1180 + 4e-7, 580 + 4e-7))]),
        seconds=0.0,
    )
    assert faults(made) == ""


def test_the_same_job_is_cut_the_same_way_again():
    again = make_plan(job(), fenced_shop(), plan().traced, seconds=0.0, seed=7)
    assert again.passes == plan().passes


# --- The proof can fail ------------------------------------------------------------


def test_a_fence_set_wrong_is_told():
    cut = plan().layouts[0].fence_cuts[0]
    wrong = with_cut(plan(), 0, fence_mm=cut.fence_mm + 0.5)
    assert "the fence is set to" in faults(wrong)


def test_a_part_that_is_not_there_yet_or_turned_wrong_is_told():
    assert "part 9 is not there to be cut" in faults(with_cut(plan(), 0, part=9))
    cut = plan().layouts[0].fence_cuts[0]
    other = {"left": "right", "right": "left", "lower": "upper", "upper": "lower"}[cut.against]
    assert "the fence is set to" in faults(with_cut(plan(), 0, against=other))


def test_parts_told_on_the_wrong_side_are_told():
    cut = plan().layouts[0].fence_cuts[0]
    swapped = with_cut(plan(), 0, beside=cut.beyond, beyond=cut.beside)
    assert "comes next" in faults(swapped)


def test_a_cut_that_enters_a_piece_or_stops_short_is_told():
    made = plan()
    (move,) = made.passes[1].moves
    (x0, y0), (x1, y1) = move.line.coords
    for line, what in (
        (LineString([(x0 + 3, y0 + 3), (x1 + 3, y1 + 3)]), "the fence is set to"),
        (LineString([(x0, y0), ((x0 + x1) / 2, (y0 + y1) / 2)]), "from rim to rim"),
    ):
        cut = replace(made.passes[1], moves=(replace(move, line=line),))
        wrong = replace(made, passes=(made.passes[0], cut, *made.passes[2:]))
        assert what in faults(wrong)


def test_a_pass_by_hand_that_leaves_its_part_is_told():
    made = plan()
    last = made.passes[-1]
    moves = list(last.moves)
    end = moves[-1].line.coords[-1]
    away = LineString([end, (end[0] - 300, end[1] + 5)])
    moves.append(replace(moves[-1], kind="link", line=away, piece=None))
    wrong = replace(made, passes=(*made.passes[:-1], replace(last, moves=tuple(moves))))
    assert "leaves its part" in faults(wrong)


def test_a_fence_beyond_its_reach_is_told():
    made = plan()
    near = replace(made.workshop.rig, fence_most_mm=100.0)
    assert "the fence cannot be set to" in faults(
        replace(made, workshop=replace(made.workshop, rig=near))
    )


# --- Refused -----------------------------------------------------------------------


def test_a_taper_is_refused():
    drawn = traced([outline("key", KEYSTONE_FRONT)], far=[outline("key", KEYSTONE_BACK)])
    with pytest.raises(FitError, match="a taper leans the wire"):
        make_plan(job(), fenced_shop(), drawn, seconds=0.0)


def test_a_cut_that_the_fence_cannot_be_set_to_is_refused():
    drawn = traced([outline("plate", box(0, 0, 700, 500))])
    rig = Rig(kind="fence", fence_most_mm=400.0)
    with pytest.raises(FitError, match="it can be set to at most 400 mm"):
        make_plan(job(), fenced_shop(rig), drawn, seconds=0.0)


@pytest.mark.parametrize(
    ("keys", "what"),
    [
        ("two_ended = true", "moves neither end"),
        ('wire_lies = "level"', "the foam lies flat"),
        ("fence_most_mm = 12", "cannot be set"),
    ],
)
def test_what_a_fence_cannot_do_is_a_fault_of_the_workshop_file(tmp_path, keys, what):
    text = (
        'name = "w"\n[wire]\nlength_mm = 1200\n[cutting]\nkerf_mm = 2\n[rig]\nkind = "fence"\n'
        f'{keys}\n[[foams]]\nname = "f"\nkind = "EPS"\ndensity_kg_per_m3 = 15\n[[stock]]\n'
        'name = "b"\nfoam = "f"\nlength_mm = 900\nwidth_mm = 600\nthickness_mm = 300\nprice = 1\n'
    )
    (tmp_path / "workshop.toml").write_text(text)
    with pytest.raises(SettingsError, match=what):
        read_workshop(tmp_path / "workshop.toml")


# --- On paper ----------------------------------------------------------------------


def test_the_sheet_tells_every_cut_with_its_setting_to_the_near_side_of_the_wire():
    made = plan()
    (layout,) = made.layouts
    pages = [one for one in sheet_pages(made, ENGLISH) if "along the fence" in one.title]
    told = [text.text for page in pages for text in page.texts]
    wire_mm = made.workshop.wire.diameter_mm
    for group in layout.fence_settings:
        assert f"{group[0].fence_mm - wire_mm / 2:.1f}".removesuffix(".0") in told
    assert any("block of wood" in text for text in told)


@pytest.mark.parametrize("language", ["de", "nl"])
def test_every_text_of_the_fence_is_there_in_each_language(language):
    from test_sheets_wording import places, texts

    for name in (field.name for field in fields(FenceWords)):
        one, other = (texts(getattr(FENCE[key], name)) for key in ("en", language))
        assert [places(text) for text in other] == [places(text) for text in one]
        assert one != other
    assert set(FENCE) == set(LANGUAGES)


@pytest.mark.parametrize("inches", [False, True])
@pytest.mark.parametrize("language", sorted(LANGUAGES))
def test_no_text_of_the_fence_meets_another_or_leaves_the_page(language, inches):
    made = plan()
    paper = replace(made.workshop.paper, language=language, inches=inches)
    made = replace(made, workshop=replace(made.workshop, paper=paper))
    pages = fence_pages(made, made.layouts[:1], LANGUAGES[language])
    assert [fault for page in pages for fault in label_faults(page)] == []


def test_a_piece_that_stands_on_the_faces_of_an_untrimmed_block_needs_no_cut_there():
    block = replace(fenced_shop().stock[0], trim_mm=0.0)
    slat = [outline("slat", box(0, 0, 400, 300))]
    one = make_plan(job(), fenced_shop(stock=(block,)), traced(slat), seconds=0.0)
    assert len(one.passes) == 2
    assert faults(one) == ""
    # With one of its two cuts left out the largest miss is still looked for there.
    assert "the slot misses it by" in faults(replace(one, passes=one.passes[:1]))
