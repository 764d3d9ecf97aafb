"""Promise 9, each fault shown: parted forms stand up again, seams are where they are told.

Three forms made by hand, with numbers one can check on paper. A plate of 2000 x 1000 x
100 mm in two halves; a block of 400 x 300 x 150 mm in two layers; a relief of 1000 x 600 mm,
100 mm at its peak, with contours at 30 and 60 mm. All invented.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, box
from shapely.ops import split
from test_checking_specimen import JOB, PLAN, WORKSHOP

from wirepath import checking
from wirepath.checking import Finding
from wirepath.checking.costs import check_costs
from wirepath.checking.dropped import check_nothing_dropped
from wirepath.checking.joints import joints
from wirepath.checking.parted import check_parted
from wirepath.model import (
    Contour,
    FormKind,
    FormSettings,
    Outline,
    PartSettings,
    Piece,
    Plan,
    Seam,
    SeamSettings,
    Zone,
)
from wirepath.planning import make_plan
from wirepath.workshop import Lift


def part(number: int, form: str, outline: Polygon, low: float, thick: float) -> Piece:
    """Return a piece of a form without allowance."""
    return Piece(
        number=number,
        name=f"{form}.{number}",
        part=form,
        finished=outline,
        outline=outline,
        thickness_mm=thick,
        allowance_mm=0,
        foam="EPS 15",
        section_of=form,
        from_mm=low,
    )


def edge(one: int, other: int, *points: tuple[float, float], to_mm: float) -> Seam:
    return Seam(pieces=(one, other), kind="edge", place=LineString(points), from_mm=0, to_mm=to_mm)


def layer(one: int, other: int, place: Polygon, at_mm: float) -> Seam:
    return Seam(pieces=(one, other), kind="layer", place=place, from_mm=at_mm, to_mm=at_mm)


def plan_of(
    outline: Polygon,
    pieces: tuple[Piece, ...],
    seams: tuple[Seam, ...],
    kind: FormKind,
    height_mm: float,
    contours: tuple[Contour, ...] = (),
) -> Plan:
    """Return a plan with one parted form; how it lies on blocks is none of promise 9."""
    form = FormSettings(
        kind=kind,
        foam="EPS 15",
        thickness_mm=height_mm if kind == "flat" else None,
        length_mm=height_mm if kind == "profile" else None,
        peak_mm=height_mm if kind == "relief" else None,
    )
    outlines = (Outline(name=pieces[0].part, polygon=outline),)
    return replace(
        PLAN,
        job=replace(JOB, form=form),
        traced=replace(PLAN.traced, outlines=outlines, contours=contours),
        pieces=pieces,
        seams=seams,
    )


LEFT = part(1, "plate", box(0, 0, 1000, 1000), 0, 100)
RIGHT = part(2, "plate", box(1000, 0, 2000, 1000), 0, 100)
MIDDLE = edge(1, 2, (1000, 0), (1000, 1000), to_mm=100)
PLATE = plan_of(box(0, 0, 2000, 1000), (LEFT, RIGHT), (MIDDLE,), "flat", 100)

FACE = box(0, 0, 400, 300)
LOWER, UPPER = part(1, "block", FACE, 0, 100), part(2, "block", FACE, 100, 50)
BETWEEN = layer(1, 2, FACE, 100)
BLOCK = plan_of(FACE, (LOWER, UPPER), (BETWEEN,), "flat", 150)

# Raised to the next contour: 0.6 m2 up to 30 mm, 0.32 m2 up to 60, 0.06 m2 up to 100:
# 18 + 9.6 + 2.4 = 30 litres. As low as contours allow: 9.6 + 1.8 = 11.4. Middle: 20.7.
BASE, KNOLL, TOP = box(0, 0, 1000, 600), box(100, 100, 900, 500), box(200, 200, 400, 500)
CONTOURS = (Contour(height_mm=30, region=KNOLL), Contour(height_mm=60, region=TOP))
STACK = (
    part(1, "hill", box(0, 0, 500, 600), 0, 30),
    part(2, "hill", box(500, 0, 1000, 600), 0, 30),
    part(3, "hill", KNOLL, 30, 30),
    part(4, "hill", TOP, 60, 40),
)
HILL_SEAMS = (
    edge(1, 2, (500, 600), (500, 0), to_mm=30),
    layer(1, 3, box(100, 100, 500, 500), 30),
    layer(2, 3, box(500, 100, 900, 500), 30),
    layer(3, 4, TOP, 60),
)
HILL = plan_of(BASE, STACK, HILL_SEAMS, "relief", 100, CONTOURS)


def proof(plan: Plan) -> Finding:
    """Return the finding of promise 9."""
    finding = check_parted(plan)
    assert finding.promise == 9
    assert finding.passed is not bool(finding.faults)
    return finding


def told(plan: Plan) -> str:
    return "\n".join(str(fault) for fault in proof(plan).faults)


def changed(plan: Plan, number: int, **changes: object) -> Plan:
    """Return the plan with one piece changed; a new outline is its finished one too."""
    if "outline" in changes:
        changes.setdefault("finished", changes["outline"])
    piece = replace(plan.piece(number), **changes)  # type: ignore[arg-type]
    return replace(plan, pieces=(*plan.pieces[: number - 1], piece, *plan.pieces[number:]))


def asked(plan: Plan, **seams: object) -> Plan:
    """Return the plan with other wishes for seams."""
    return replace(plan, job=replace(plan.job, seams=SeamSettings(**seams)))  # type: ignore[arg-type]


# --- Forms made by hand hold -------------------------------------------------------


@pytest.mark.parametrize(
    ("plan", "measured"),
    [
        # 1000 mm of edge, 100 mm high.
        (PLATE, "1 forms in 2 pieces, 200.0 litres; 1 places where they meet, 0.10 m2 to glue"),
        (BLOCK, "1 forms in 2 pieces, 18.0 litres; 1 places where they meet, 0.12 m2 to glue"),
        # 600 x 30 mm2 of edge, 0.32 m2 and 0.06 m2 of layers.
        (HILL, "1 forms in 4 pieces, 30.0 litres; 4 places where they meet, 0.40 m2 to glue"),
    ],
    ids=["plate", "block", "hill"],
)
def test_forms_parted_by_hand_stand_up_again(plan: Plan, measured: str) -> None:
    assert told(plan) == ""
    assert proof(plan).measured == measured
    assert check_nothing_dropped(plan).faults == ()


def test_a_plan_without_parted_forms_says_so() -> None:
    assert proof(PLAN).measured == "no form is parted"


def test_a_profile_is_parted_along_its_length_too() -> None:
    rail = plan_of(FACE, (LOWER, UPPER), (BETWEEN,), "profile", 150)
    assert told(rail) == ""
    assert "no piece 150 to 160 mm off the back" in told(
        plan_of(FACE, (LOWER, UPPER), (BETWEEN,), "profile", 160)
    )


# --- (a) pieces fill the form and share no space -------------------------------------


def test_a_lost_piece_leaves_a_gap_that_is_told_with_its_place() -> None:
    text = told(replace(PLATE, pieces=(LEFT,), seams=()))
    assert "form 'plate', near x 1500.0, y 500.0 mm of the drawing: " in text
    assert "1000000.00 mm2 of the form stand in no piece 0 to 100 mm off the back" in text
    assert "its pieces hold 100.0000 litres, the form 200.0000" in text


def test_a_gap_of_more_than_a_millionth_of_the_area_is_told() -> None:
    """A gap 0.01 mm wide is 10 mm2 of 2 million, one of 0.001 mm is 1 mm2."""
    seams = (MIDDLE,)
    assert "10.00 mm2 of the form stand in no piece" in told(
        changed(replace(PLATE, seams=seams), 2, outline=box(1000.01, 0, 2000, 1000))
    )
    assert "stand in no piece" not in told(changed(PLATE, 2, outline=box(1000.0005, 0, 2000, 1000)))


def test_pieces_that_share_space_are_told() -> None:
    text = told(changed(PLATE, 2, outline=box(999, 0, 2000, 1000)))
    assert "pieces 1 and 2 share 1000.00 mm2, 100 mm deep" in text
    text = told(changed(BLOCK, 1, thickness_mm=101))
    assert "pieces 1 and 2 share 120000.00 mm2, 1 mm deep" in text


def test_an_overlap_does_not_make_up_for_a_gap() -> None:
    text = told(changed(PLATE, 2, outline=box(900, 0, 1900, 1000)))
    assert "pieces 1 and 2 share 100000.00 mm2" in text


def test_a_piece_too_thin_leaves_the_front_bare() -> None:
    assert "1000000.00 mm2 of the form stand in no piece 99 to 100 mm" in told(
        changed(PLATE, 1, thickness_mm=99)
    )
    assert "120000.00 mm2 of the form stand in no piece 99 to 100 mm" in told(
        changed(BLOCK, 1, thickness_mm=99)
    )


def test_a_flat_piece_thicker_than_asked_is_told() -> None:
    text = told(changed(PLATE, 1, thickness_mm=101))
    assert "form 'plate', piece 1: it ends 101 mm off the back, the form at 100 mm" in text
    assert "its pieces hold 201.0000 litres, the form 200.0000" in text


def test_a_piece_behind_the_back_is_told() -> None:
    text = told(changed(PLATE, 1, from_mm=-5, thickness_mm=105))
    assert "piece 1: it stands 5 mm behind the form's back" in text


# --- (a) reliefs ---------------------------------------------------------------------


def test_a_relief_needs_every_region_raised_to_the_next_contour() -> None:
    """The knoll's region may stand up to 60 mm: a piece that ends at 59 is too thin."""
    text = told(changed(HILL, 3, thickness_mm=29))
    assert "320000.00 mm2 of the form stand in no piece 59 to 60 mm off the back" in text
    text = told(changed(HILL, 4, thickness_mm=39))
    assert "60000.00 mm2 of the form stand in no piece 99 to 100 mm off the back" in text


def test_a_piece_thicker_than_its_form_is_right_on_a_shared_slab_only() -> None:
    """Piece 4 ends at 100 mm; with 41 mm it needs another of 41 mm to share a slab with."""
    text = told(changed(HILL, 4, thickness_mm=41))
    assert "piece 4: it ends 101 mm off the back, the form at 100 mm" in text
    alike = replace(part(5, "hill", box(0, 0, 50, 50), 0, 41), section_of=None)
    thick = changed(HILL, 4, thickness_mm=41)
    assert told(replace(thick, pieces=(*thick.pieces, alike))) == ""
    unshared = asked(replace(thick, pieces=(*thick.pieces, alike)), share_slabs=False)
    assert "piece 4: it ends 101 mm off the back" in told(unshared)


def test_a_piece_where_nothing_of_the_form_stands_is_told() -> None:
    """Below 30 mm the base reaches to x = 1000, above it nothing does beyond x = 900."""
    text = told(replace(HILL, pieces=(*STACK, part(5, "hill", box(920, 0, 980, 100), 30, 30))))
    assert "piece 5: nothing of the form stands 30 mm off the back in it" in text


def test_a_relief_carries_its_allowance_over_the_front_too() -> None:
    """10 mm all round and 10 mm over the front: the base up to 40 mm, the knoll to 70."""
    form = replace(HILL.job.form, allowance_mm=10)
    wide = replace(HILL, job=replace(HILL.job, form=form))

    def with_tops(base: float, knoll: float) -> Plan:
        outlines = (
            (box(-10, -10, 500, 610), 0, base),
            (box(500, -10, 1010, 610), 0, base),
            (KNOLL.buffer(10), base, knoll - base),
            (TOP.buffer(10), knoll, 110 - knoll),
        )
        pieces = tuple(
            replace(
                part(number, "hill", outline, low, thick),
                finished=outline.intersection(BASE),
                allowance_mm=10,
            )
            for number, (outline, low, thick) in enumerate(outlines, 1)
        )
        return replace(wide, pieces=pieces)

    def without_seams(plan: Plan) -> str:
        return "\n".join(line for line in told(plan).splitlines() if "seam" not in line)

    assert without_seams(with_tops(40, 70)) == ""
    assert "stand in no piece 39 to 40 mm off the back" in without_seams(with_tops(39, 70))
    assert "stand in no piece 69 to 70 mm off the back" in without_seams(with_tops(40, 69))


# --- (b) nothing outside ---------------------------------------------------------------


def test_a_piece_outside_the_form_is_told() -> None:
    text = told(changed(PLATE, 2, outline=box(1000, 0, 2001, 1000)))
    assert "piece 2, near x 2000.5, y 500.0 mm of the drawing: 1000.00 mm2 stand outside" in text


def test_a_finished_part_that_is_not_of_the_drawing_is_told() -> None:
    text = told(changed(PLATE, 2, finished=box(1000, 0, 1900, 1000)))
    assert "piece 2, near x 1950.0, y 500.0 mm of the drawing: its finished part is not" in text


def test_pieces_of_one_form_with_different_outlines_are_told() -> None:
    assert "form 'plate': its pieces are parts of different outlines" in told(
        changed(PLATE, 2, part="lid")
    )


def test_seams_carry_no_allowance_but_the_outline_does() -> None:
    form = replace(PLATE.job.form, allowance_mm=10)
    halves = (
        (box(-10, -10, 1000, 1010), box(0, 0, 1000, 1000)),
        (box(1000, -10, 2010, 1010), box(1000, 0, 2000, 1000)),
    )
    plan = replace(
        PLATE,
        job=replace(PLATE.job, form=form),
        pieces=tuple(
            replace(one, outline=outline, finished=finished, allowance_mm=10)
            for one, (outline, finished) in zip(PLATE.pieces, halves, strict=True)
        ),
        seams=(edge(1, 2, (1000, -10), (1000, 1010), to_mm=100),),
    )
    assert told(plan) == ""
    short = changed(plan, 1, outline=box(-9, -10, 1000, 1010), finished=halves[0][1])
    assert "of the form stand in no piece 0 to 100 mm" in told(short)
    wide = changed(plan, 1, outline=box(-11, -10, 1000, 1010), finished=halves[0][1])
    assert "stand outside the form and its allowance" in told(wide)


# --- (c) copies --------------------------------------------------------------------------


def twice() -> Plan:
    """Return the plate twice over, each in two."""
    named = [
        replace(piece, number=piece.number + 2 * copy, section_of=f"plate {copy + 1}")
        for copy in (0, 1)
        for piece in PLATE.pieces
    ]
    job = replace(PLATE.job, parts=(PartSettings(name="plate", copies=2),))
    seams = (MIDDLE, replace(MIDDLE, pieces=(3, 4)))
    return replace(PLATE, job=job, pieces=tuple(named), seams=seams)


def test_copies_are_forms_not_pieces() -> None:
    plan = twice()
    assert told(plan) == ""
    assert check_nothing_dropped(plan).faults == ()
    one = replace(plan, job=PLATE.job)
    faults = [str(fault) for fault in check_nothing_dropped(one).faults]
    assert faults == ["outline 'plate': 2 forms are made, 1 asked for"]


def test_pieces_of_two_copies_do_not_meet() -> None:
    plan = replace(twice(), seams=(replace(MIDDLE, pieces=(1, 4)), replace(MIDDLE, pieces=(3, 4))))
    text = told(plan)
    assert "pieces 1 and 4: a seam is told, but these pieces do not meet" in text
    assert (
        "pieces 1 and 2, near x 1000.0, y 1000.0 mm of the drawing: they meet over 1000.0 mm"
        in text
    )


# --- (d) seams ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("plan", "text"),
    [
        (replace(PLATE, seams=()), "they meet over 1000.0 mm, but no seam is told"),
        (replace(BLOCK, seams=()), "they meet over 120000.0 mm2, but no seam is told"),
        (
            replace(PLATE, seams=(MIDDLE, MIDDLE)),
            "2000.0 mm of seam told, 1000.0 measured",
        ),
        (
            replace(PLATE, seams=(edge(2, 1, (1000, 0), (1000, 990), to_mm=100),)),
            "990.0 mm of seam told, 1000.0 measured",
        ),
        (
            replace(PLATE, seams=(edge(1, 2, (1001, 0), (1001, 1000), to_mm=100),)),
            "1000.0 mm of the seam told lie elsewhere",
        ),
        (
            replace(PLATE, seams=(replace(MIDDLE, to_mm=90),)),
            "a seam is told at 0 to 90 mm, they meet at 0 to 100 mm",
        ),
        (
            replace(PLATE, seams=(layer(1, 2, LEFT.outline, 100),)),
            "the seam told is of kind 'layer', it is 'edge'",
        ),
        (
            replace(BLOCK, seams=(layer(1, 2, FACE, 101),)),
            "a seam is told at 101 to 101 mm, they meet at 100 to 100 mm",
        ),
        (
            replace(BLOCK, seams=(layer(1, 2, box(0, 0, 400, 299), 100),)),
            "119600.0 mm2 of seam told, 120000.0 measured",
        ),
        (
            replace(BLOCK, seams=(layer(1, 2, box(0, 1, 400, 301), 100),)),
            "400.0 mm2 of the seam told lie elsewhere",
        ),
        (
            replace(HILL, seams=(*HILL_SEAMS, layer(1, 4, TOP, 60))),
            "pieces 1 and 4: a seam is told, but these pieces do not meet",
        ),
    ],
)
def test_a_seam_that_is_not_where_pieces_meet_is_told(plan: Plan, text: str) -> None:
    assert text in told(plan)


def test_a_seam_may_be_told_in_several_lines() -> None:
    lower = edge(1, 2, (1000, 0), (1000, 400), to_mm=100)
    upper = edge(2, 1, (1000, 1000), (1000, 400), to_mm=100)
    assert told(replace(PLATE, seams=(lower, upper))) == ""


def test_corners_that_touch_are_no_seam() -> None:
    quarters = [
        part(number, "plate", box(x, y, x + 1000, y + 500), 0, 100)
        for number, (x, y) in enumerate([(0, 0), (1000, 0), (0, 500), (1000, 500)], 1)
    ]
    assert sorted(joints(quarters)) == [(1, 2), (1, 3), (2, 4), (3, 4)]


def test_pieces_of_two_forms_never_meet_though_they_touch_in_the_drawing() -> None:
    one = part(1, "plate", box(0, 0, 1000, 500), 0, 100)
    other = part(2, "plate", box(1000, 0, 2000, 500), 0, 100)
    assert list(joints([one, other])) == [(1, 2)]
    assert joints([one, replace(other, section_of="another form")]) == {}


def test_seams_that_point_at_nothing_are_the_only_finding() -> None:
    stranger = replace(PLAN, seams=(replace(MIDDLE, pieces=(1, 9)),))
    assert "there is no piece of a seam 9" in str(checking.check_plan(stranger)[0].faults)
    bow_tie = Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])
    for place in (bow_tie, LineString()):
        proofs = checking.check_plan(replace(PLAN, seams=(replace(MIDDLE, place=place),)))
        assert len(proofs) == 1
        assert "seam of pieces 1 and 2: the seam's place is no valid shape" in str(
            proofs[0].faults[0]
        )


def test_regions_read_that_cannot_be_measured_are_the_only_finding() -> None:
    bow_tie = Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])
    traced = replace(PLAN.traced, contours=(Contour(height_mm=20, region=bow_tie),))
    proofs = checking.check_plan(replace(PLAN, traced=traced))
    assert len(proofs) == 1
    assert "contour at 20 mm: the region is no valid one" in str(proofs[0].faults[0])
    traced = replace(PLAN.traced, outlines=(Outline(name="frame", polygon=bow_tie),))
    proofs = checking.check_plan(replace(PLAN, traced=traced))
    assert "outline 'frame': the region is no valid one" in str(proofs[0].faults[0])


# --- (e) seams asked for, places kept clear, lifting ------------------------------------------


def test_seams_asked_for_must_be_there() -> None:
    assert told(asked(PLATE, at_x_mm=(1000,))) == ""
    assert told(asked(PLATE, at_x_mm=(2000, 2500), at_y_mm=(0, -30))) == ""  # meet nothing
    assert told(asked(PLATE, at_x_mm=(990,))) == (
        "piece 1: it runs across the seam asked for at x 990"
    )
    text = told(asked(PLATE, at_y_mm=(500,)))
    assert "piece 1: it runs across the seam asked for at y 500" in text
    assert "piece 2: it runs across the seam asked for at y 500" in text


def test_a_whole_piece_across_a_seam_asked_for_is_told() -> None:
    """The bar of the unparted plan lies from x = 120 to 220."""
    assert told(asked(PLAN, at_x_mm=(150,))) == (
        "piece 2: it runs across the seam asked for at x 150"
    )


def test_a_seam_through_a_place_kept_clear_is_told() -> None:
    """100 mm of the zone's height lie on the seam; one that ends at it is no fault."""
    face = Zone(x_mm=950, y_mm=200, width_mm=100, height_mm=100)
    beside = Zone(x_mm=1000, y_mm=200, width_mm=100, height_mm=100)
    assert "100.0 mm of seam run through the place to keep clear at 950, 200" in told(
        asked(PLATE, keep_clear=(face,))
    )
    assert told(asked(PLATE, keep_clear=(beside,))) == ""


def test_layers_may_lie_behind_a_place_kept_clear() -> None:
    assert told(asked(BLOCK, keep_clear=(Zone(x_mm=0, y_mm=0, width_mm=9, height_mm=9),))) == ""


def test_a_piece_heavier_than_may_be_lifted_is_told() -> None:
    """Half a plate is 100 litres of 15 kg/m3: 1.5 kg."""
    weak = Lift(one_person_kg=1.4, two_people_kg=1.6)
    plan = replace(PLATE, workshop=replace(WORKSHOP, lift=weak))
    assert told(plan) == ""
    assert told(asked(plan, lift="no limit")) == ""
    text = told(asked(plan, lift="one person"))
    assert "piece 1: it weighs 1.50 kg, 1.4 kg may be lifted" in text


# --- Foam left to carve -------------------------------------------------------------------


def carved(plan: Plan, litres: float | None) -> str:
    estimate = replace(plan.estimate, carve_litres=litres)
    faults = check_costs(replace(plan, estimate=estimate)).faults
    return "\n".join(str(fault) for fault in faults if "carve" in fault.where)


def test_foam_left_to_carve_is_that_over_the_middle_of_the_bounds() -> None:
    """30 litres of pieces less the middle of 30 and 11.4 litres: 9.3."""
    assert carved(HILL, 9.3) == ""
    assert carved(HILL, 9.4) == "estimate, carve_litres: 9.4 stated, 9.3 worked out"
    assert carved(HILL, None) == "estimate, carve_litres: not stated, though its forms are carved"
    assert carved(PLATE, 1.0) == "estimate, carve_litres: stated, though nothing is carved"
    assert carved(PLATE, None) == ""


def test_each_copy_is_carved() -> None:
    """A second hill, whole: 60 litres more, and 20.7 litres more stay."""
    whole = replace(part(5, "hill", BASE, 0, 100), section_of=None)
    assert carved(replace(HILL, pieces=(*STACK, whole)), 90 - 2 * 20.7) == ""


# --- Any polygon, any lines -----------------------------------------------------------------


@st.composite
def stars(draw: st.DrawFn) -> Polygon:
    """Return a star round 0, 0 with 3 to 12 corners 200 to 1000 mm off, some with a hole."""
    radii = draw(st.lists(st.floats(200, 1000), min_size=3, max_size=12))
    turns = np.linspace(0, 2 * math.pi, len(radii), endpoint=False)
    points = [(r * math.cos(t), r * math.sin(t)) for r, t in zip(radii, turns, strict=True)]
    star = Polygon(points)
    return star.difference(box(-20, -20, 25, 15)) if draw(st.booleans()) else star


Line = tuple[float, float]


@settings(max_examples=60, deadline=None)
@given(
    star=stars(),
    lines=st.lists(
        st.tuples(st.integers(0, 35).map(lambda n: 5.0 * n), st.integers(-150, 150)),
        min_size=1,
        max_size=4,
        unique=True,
    ),
    lost=st.integers(0, 99),
)
def test_any_form_split_by_any_lines_stands_up_and_lacks_what_is_lost(
    star: Polygon, lines: list[Line], lost: int
) -> None:
    """Outside authority: chords. What is glued is as long as the lines inside the form."""
    chords = shapely.union_all([_line(*line) for line in lines])
    shapes = [star]
    for line in lines:
        shapes = [one for shape in shapes for one in split(shape, _line(*line)).geoms]
    pieces = tuple(part(number, "star", one, 0, 80) for number, one in enumerate(shapes, 1))
    met = joints(pieces)
    glued = sum(joint.size for joint in met.values())
    chord_mm = shapely.length(shapely.intersection(chords, star))
    # Joints shorter than 0.1 mm are none; at corners an edge passes for touching 0.001 mm on.
    assert glued == pytest.approx(chord_mm, abs=0.2 * len(pieces) + 0.1)
    seams = tuple(
        Seam(pieces=pair, kind="edge", place=joint.place, from_mm=0, to_mm=80)
        for pair, joint in met.items()
    )
    plan = plan_of(star, pieces, seams, "flat", 80)
    assert told(plan) == ""
    if len(pieces) > 1:
        gone = pieces[lost % len(pieces)]
        left = tuple(one for one in pieces if one is not gone)
        if gone.outline.area > 3e-6 * star.area + 0.03:
            assert "of the form stand in no piece" in told(replace(plan, pieces=left, seams=()))
        moved = shapely.transform(gone.outline, lambda points: np.add(points, (0.5, 0.3)))
        if gone.outline.area > 1:
            assert told(changed(plan, gone.number, outline=moved)) != ""


def _line(turn_deg: float, off_mm: float) -> LineString:
    """Return a long line at `off_mm` from 0, 0."""
    turn = math.radians(turn_deg)
    along, across = (
        np.array([math.cos(turn), math.sin(turn)]),
        np.array([-math.sin(turn), math.cos(turn)]),
    )
    return LineString([off_mm * across - 3000 * along, off_mm * across + 3000 * along])


@settings(max_examples=40, deadline=None)
@given(
    star=stars(),
    rises=st.lists(st.integers(10, 60), min_size=2, max_size=5),
    layer_mm=st.integers(30, 120),
    at_x=st.integers(-100, 100),
    cut=st.none() | st.tuples(st.integers(0, 99), st.floats(1, 60)),
)
def test_any_relief_with_a_point_outside_its_pieces_is_told(
    star: Polygon, rises: list[int], layer_mm: int, at_x: int, cut: tuple[int, float] | None
) -> None:
    """Outside authority: points. Some points of the form are looked for in the pieces."""
    heights = [sum(rises[: n + 1]) for n in range(len(rises))]  # the last one is the peak
    shares = [1 - n / len(rises) for n in range(len(rises))]
    # Seen from 0, 0 every star shrinks into itself; its hole is filled for the contours.
    shell = Polygon(star.exterior)
    regions = [star] + [
        shapely.transform(shell, lambda points, by=share: points * by).intersection(star)
        for share in shares[1:]
    ]
    contours = tuple(
        Contour(height_mm=height, region=one)
        for height, region in zip(heights[:-1], regions[1:], strict=True)
        for one in shapely.get_parts(region)
    )
    sides = (box(-2000, -2000, at_x, 2000), box(at_x, -2000, 2000, 2000))
    pieces: list[Piece] = []
    for low in range(0, heights[-1], layer_mm):
        region = regions[sum(height <= low for height in heights)]
        for side in sides:
            for shape in shapely.get_parts(region.intersection(side)):
                if shape.area:
                    thick = min(layer_mm, heights[-1] - low)
                    pieces.append(part(len(pieces) + 1, "star", shape, low, thick))
    if cut is not None:
        number, less = cut[0] % len(pieces), cut[1]
        one = pieces[number]
        pieces[number] = replace(one, thickness_mm=max(one.thickness_mm - less, 1))
    seams = tuple(
        Seam(
            pieces=pair,
            kind=met.kind,
            place=met.place,
            from_mm=met.from_mm,
            to_mm=met.to_mm if met.kind == "edge" else met.from_mm,
        )
        for pair, met in joints(pieces).items()
    )
    text = told(plan_of(star, tuple(pieces), seams, "relief", heights[-1], contours))
    xs, ys = (
        axis.ravel() for axis in np.meshgrid(np.arange(-990, 990, 45), np.arange(-990, 990, 45))
    )
    upper = np.zeros(len(xs))
    for height, region in zip(heights, regions, strict=True):
        upper[shapely.contains_xy(region, xs, ys)] = height
    for z in np.arange(0.5, heights[-1], 3):
        held = np.zeros(len(xs), dtype=bool)
        for piece in pieces:
            if piece.from_mm <= z <= piece.from_mm + piece.thickness_mm:
                held |= shapely.intersects_xy(piece.outline, xs, ys)
        if ((upper > z) & ~held).any():
            assert "of the form stand in no piece" in text
    if cut is None:
        # A layer that ends above the next contour may be thicker than a corner of it needs.
        assert [line for line in text.splitlines() if "it ends" not in line] == []


def test_edges_within_rounding_of_the_form_do_not_mislead_the_check() -> None:
    """A part of a triangle that plain overlay holds to share nothing with the triangle."""
    turns = (0, 2 * math.pi / 3, 4 * math.pi / 3)
    star = Polygon([(200 * math.cos(turn), 200 * math.sin(turn)) for turn in turns])
    shapes = [star]
    for line in ((80.0, -91), (0.0, -97), (0.0, 0)):
        shapes = [one for shape in shapes for one in split(shape, _line(*line)).geoms]
    assert sum(shape.area for shape in shapes) == pytest.approx(star.area)
    pieces = tuple(part(number, "star", one, 0, 80) for number, one in enumerate(shapes, 1))
    text = told(plan_of(star, pieces, (), "flat", 80))
    assert [line for line in text.splitlines() if "no seam is told" not in line] == []


# --- With the planner's own plans -------------------------------------------------------------


def test_a_plan_parted_by_the_planner_holds_every_promise() -> None:
    """A plate of 700 x 200 mm does not fit a face of 380 x 280 mm in one."""
    outline = Outline(name="plate", polygon=box(0, 0, 700, 200))
    job = replace(JOB, seams=SeamSettings(at_x_mm=(350,)))
    plan = make_plan(job, WORKSHOP, replace(PLAN.traced, outlines=(outline,)), seconds=0.5)
    assert len(plan.pieces) >= 2
    found = checking.check_plan(plan)
    assert [str(fault) for finding in found for fault in finding.faults] == []


# --- Seam lines and clear places of the drawing -----------------------------------------


def drawn(plan: Plan, **traced: object) -> Plan:
    return replace(plan, traced=replace(plan.traced, **traced))  # type: ignore[arg-type]


def test_a_drawn_line_along_the_seam_holds_and_one_through_a_piece_does_not():
    assert proof(drawn(PLATE, seam_lines=(LineString([(1000, -5), (1000, 1000)]),))).passed
    words = told(drawn(PLATE, seam_lines=(LineString([(400, -5), (400, 1005)]),)))
    assert "it runs 999.8 mm across a seam line drawn" in words
    assert "piece 1" in words


def test_a_seam_through_a_drawn_clear_place_is_told():
    clear = shapely.Point(1000, 500).buffer(100)
    assert "200.0 mm of seam run through the place to keep clear" in told(
        drawn(PLATE, keep_clear=(clear,))
    )
