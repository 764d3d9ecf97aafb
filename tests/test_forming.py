"""Outlines and contours -> pieces, levels and volumes, against closed formulas."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from wirepath.errors import DrawingError, SettingsError
from wirepath.forming import (
    allowance_notes,
    carve_litres,
    form_levels,
    levels,
    make_pieces,
    relief_volume,
)
from wirepath.model import (
    Contour,
    FormSettings,
    Job,
    LayoutSettings,
    Outline,
    PartSettings,
    Traced,
)

SQUARE = box(0, 0, 100, 100)


def job_of(form: FormSettings, *parts: PartSettings) -> Job:
    return Job(
        name="Test", drawing="test.dxf", workshop="w.toml", invented=True, form=form, parts=parts
    )


def flat(*parts: PartSettings, **more: float) -> Job:
    return job_of(FormSettings(kind="flat", foam="EPS 15", thickness_mm=50.0, **more), *parts)


def relief(*parts: PartSettings, peak_mm: float | None = 100.0, allowance_mm: float = 0.0) -> Job:
    form = FormSettings(kind="relief", foam="EPS 15", peak_mm=peak_mm, allowance_mm=allowance_mm)
    return job_of(form, *parts)


def traced(*shapes: Polygon, names: str = "ABCDE", contours: tuple[Contour, ...] = ()) -> Traced:
    return Traced(
        outlines=tuple(
            Outline(name=name, polygon=shape) for name, shape in zip(names, shapes, strict=False)
        ),
        contours=contours,
    )


# --- Pieces ---------------------------------------------------------------------------


def test_pieces_count_from_1_in_the_order_of_the_outlines() -> None:
    pieces = make_pieces(flat(), traced(SQUARE, box(200, 0, 250, 50)))
    assert [(piece.number, piece.name, piece.part) for piece in pieces] == [
        (1, "A", "A"),
        (2, "B", "B"),
    ]
    assert pieces[0].volume_mm3 == 100 * 100 * 50


def test_copies_share_their_part_and_are_numbered() -> None:
    job = flat(PartSettings(name="A", copies=2, thickness_mm=30.0, turning="none"))
    pieces = make_pieces(job, traced(SQUARE, SQUARE))
    assert [piece.name for piece in pieces] == ["A 1", "A 2", "B"]
    assert [piece.part for piece in pieces] == ["A", "A", "B"]
    assert [piece.thickness_mm for piece in pieces] == [30, 30, 50]
    assert [piece.turning for piece in pieces] == ["none", "none", "quarter"]


def test_copies_of_a_name_that_ends_with_a_figure_stay_apart_from_it() -> None:
    job = flat(PartSettings(name="A *", copies=2))
    drawn = Traced(outlines=tuple(Outline(name=f"A {k}", polygon=SQUARE) for k in (1, 2)))
    assert [p.name for p in make_pieces(job, drawn)] == ["A 1-1", "A 1-2", "A 2-1", "A 2-2"]


def test_an_exact_name_beats_a_pattern() -> None:
    job = flat(PartSettings(name="*", copies=2), PartSettings(name="A", copies=3))
    assert len(make_pieces(job, traced(SQUARE, SQUARE))) == 3 + 2


def test_a_profile_is_as_thick_as_it_is_long() -> None:
    job = job_of(FormSettings(kind="profile", foam="EPS 15", length_mm=1200.0, allowance_mm=5.0))
    assert make_pieces(job, traced(SQUARE))[0].thickness_mm == 1200


def test_a_relief_is_as_thick_as_its_peak_and_the_allowance() -> None:
    contour = Contour(height_mm=50.0, region=box(20, 20, 80, 80))
    (piece,) = make_pieces(relief(allowance_mm=15.0), traced(SQUARE, contours=(contour,)))
    assert piece.thickness_mm == 115
    assert piece.finished.equals(SQUARE)


convex = st.lists(
    st.tuples(st.floats(-200, 200), st.floats(-200, 200)), min_size=3, max_size=12, unique=True
).map(lambda points: shapely.MultiPoint(points).convex_hull)


@settings(max_examples=40, deadline=None)
@given(shape=convex, allowance=st.floats(0.5, 60))
def test_the_allowance_obeys_steiners_formula(shape: Polygon, allowance: float) -> None:
    # Steiner 1840: a convex body of area A and perimeter L widened by r has
    # A + L r + pi r^2. A quarter circle of 16 straight pieces loses 0.16 % of its area.
    if not isinstance(shape, Polygon) or shape.area < 100:
        return
    (piece,) = make_pieces(flat(allowance_mm=allowance), traced(shape))
    by_formula = shape.area + shape.length * allowance + math.pi * allowance**2
    assert piece.outline.area == pytest.approx(by_formula, abs=0.002 * math.pi * allowance**2)
    assert piece.outline.buffer(1e-6).covers(shape)


def test_holes_shrink_by_the_allowance() -> None:
    # A hole of 40 x 40 under 5 mm: 30 x 30, its corners sharp.
    ring = SQUARE.difference(box(30, 30, 70, 70))
    (piece,) = make_pieces(flat(allowance_mm=5.0), traced(ring))
    (hole,) = piece.outline.interiors
    assert Polygon(hole).area == pytest.approx(30 * 30, rel=1e-9)
    assert piece.outline.exterior.is_ccw
    assert not hole.is_ccw


def test_a_hole_that_closes_is_told_with_its_size_once_for_all_copies() -> None:
    ring = SQUARE.difference(box(45, 40, 55, 60))
    job = flat(PartSettings(name="A", copies=3), allowance_mm=6.0)
    pieces = make_pieces(job, traced(ring))
    (note,) = allowance_notes(pieces)
    assert not pieces[0].outline.interiors
    assert "'A'" in note.text
    assert "10.0 x 20.0 mm" in note.text
    assert note.at == (50, 50)


def test_a_notch_whose_mouth_closes_is_told() -> None:
    notched = SQUARE.difference(box(30, 30, 70, 70)).difference(box(48, 60, 52, 101))
    (note,) = allowance_notes(make_pieces(flat(allowance_mm=5.0), traced(notched)))
    assert "notch" in note.text


def test_without_allowance_nothing_is_told() -> None:
    ring = SQUARE.difference(box(45, 40, 55, 60))
    assert allowance_notes(make_pieces(flat(), traced(ring))) == ()


# --- Faults ---------------------------------------------------------------------------


def test_all_faults_of_the_settings_are_told_at_once() -> None:
    job = relief(
        PartSettings(name="Z", copies=2),
        PartSettings(name="A*"),
        PartSettings(name="?"),
        peak_mm=None,
    )
    with pytest.raises(SettingsError) as caught:
        make_pieces(job, traced(SQUARE))
    told = [(fault.where, fault.what) for fault in caught.value.faults]
    assert ("form", "a relief form needs peak_mm") in told
    assert ("parts[0].name", "no outline is called 'Z'") in told
    assert ("parts", "parts[1] and parts[2] both fit the outline 'A'") in told
    assert ("", "no contour lies in the outline 'A'") in told


def test_contours_of_a_flat_form_are_not_dropped_in_silence() -> None:
    contour = Contour(height_mm=20.0, region=box(20, 20, 80, 80))
    with pytest.raises(SettingsError, match="makes no use of them"):
        make_pieces(flat(), traced(SQUARE, contours=(contour,)))


def test_a_contour_above_the_peak_is_refused() -> None:
    contour = Contour(height_mm=120.0, region=box(20, 20, 80, 80))
    with pytest.raises(DrawingError, match="stands at 120 mm, above its peak of 100 mm"):
        make_pieces(relief(), traced(SQUARE, contours=(contour,)))


@pytest.mark.parametrize(
    ("region", "how"),
    [
        (box(50, 20, 110, 80), "crosses an outline"),
        (box(150, 20, 180, 80), "lies outside all outlines"),
    ],
)
def test_a_contour_that_leaves_its_outline_is_refused_with_its_place(
    region: Polygon, how: str
) -> None:
    inside = Contour(height_mm=20.0, region=box(20, 20, 80, 80))
    stray = Contour(height_mm=40.0, region=region)
    with pytest.raises(DrawingError, match=how) as caught:
        make_pieces(relief(), traced(SQUARE, contours=(inside, stray)))
    assert caught.value.faults[0].where.startswith("near x ")


def test_a_contour_traced_half_a_millimetre_outside_is_taken() -> None:
    contour = Contour(height_mm=20.0, region=box(-0.5, 20, 80, 80))
    drawn = traced(SQUARE, contours=(contour,))
    make_pieces(relief(), drawn)
    steps = form_levels(relief(), drawn)["A"]
    assert all(SQUARE.covers(step.region) for step in steps)


def test_a_drawing_without_outline_is_refused() -> None:
    with pytest.raises(DrawingError, match="no outline"):
        make_pieces(flat(), Traced(outlines=()))


# --- Levels and volumes ---------------------------------------------------------------


def cone(radius: float, height: float, steps: int) -> Traced:
    """Contours of a cone at equal steps of height."""
    rings = [Point(0, 0).buffer(radius * (1 - k / steps), quad_segs=64) for k in range(steps)]
    return traced(
        rings[0],
        contours=tuple(
            Contour(height_mm=height * k / steps, region=ring)
            for k, ring in enumerate(rings[1:], 1)
        ),
    )


def test_levels_raise_each_contour_to_the_next_one() -> None:
    inner, top = box(20, 20, 80, 80), box(40, 40, 60, 60)
    contours = [Contour(height_mm=70.0, region=top), Contour(height_mm=30.0, region=inner)]
    steps = levels(SQUARE, contours, top_mm=100.0)
    assert [(step.from_mm, step.to_mm) for step in steps] == [(0, 30), (30, 70), (70, 100)]
    assert [step.region.area for step in steps] == [100 * 100, 60 * 60, 20 * 20]


def test_two_hills_of_one_height_are_one_level() -> None:
    hills = [Contour(height_mm=30.0, region=box(x, 10, x + 20, 30)) for x in (10, 60)]
    steps = levels(SQUARE, hills, top_mm=50.0)
    assert len(steps) == 2
    assert steps[1].region.area == 2 * 20 * 20


def test_a_contour_at_nought_or_at_the_peak_changes_nothing() -> None:
    contours = [Contour(height_mm=h, region=box(10, 10, 90, 90)) for h in (0.0, 100.0)]
    assert levels(SQUARE, contours, top_mm=100.0) == levels(SQUARE, top_mm=100.0)


def test_steps_of_a_pyramid_bound_it_as_worked_out_by_hand() -> None:
    # Base 100 x 100, height 100, contours at 25, 50, 75: squares of 75, 50, 25.
    contours = [
        Contour(height_mm=h, region=box(h / 2, h / 2, 100 - h / 2, 100 - h / 2))
        for h in (25.0, 50.0, 75.0)
    ]
    bounds = relief_volume(levels(SQUARE, contours, top_mm=100.0))
    assert bounds.most_mm3 == 25 * (100**2 + 75**2 + 50**2 + 25**2)
    assert bounds.least_mm3 == 25 * (75**2 + 50**2 + 25**2)
    assert bounds.least_mm3 < 100**2 * 100 / 3 < bounds.most_mm3


@settings(max_examples=30, deadline=None)
@given(radius=st.floats(50, 1000), height=st.floats(20, 500), steps=st.integers(2, 24))
def test_a_cone_lies_between_its_bounds_which_close_in_as_one_step(
    radius: float, height: float, steps: int
) -> None:
    # Euclid XII.10: a cone is a third of its cylinder. The bounds differ by the lowest
    # step of the cylinder, since all but the first and last terms of the sums cancel.
    drawn = cone(radius, height, steps)
    bounds = relief_volume(form_levels(relief(peak_mm=height), drawn)["A"])
    base = drawn.outlines[0].polygon.area
    assert bounds.least_mm3 < base * height / 3 < bounds.most_mm3
    assert bounds.most_mm3 - bounds.least_mm3 == pytest.approx(base * height / steps, rel=1e-9)


def test_the_mean_of_the_bounds_nears_a_dome_with_the_square_of_the_steps() -> None:
    # Archimedes: a paraboloid is half its cylinder. Its section's area falls in a
    # straight line with height, so the trapezium rule, the mean, is exact.
    steps = 10
    rings = [Point(0, 0).buffer(400 * math.sqrt(1 - k / steps), quad_segs=64) for k in range(steps)]
    contours = [Contour(height_mm=20.0 * k, region=ring) for k, ring in enumerate(rings) if k]
    bounds = relief_volume(levels(rings[0], contours, top_mm=200.0))
    assert bounds.mean_mm3 == pytest.approx(rings[0].area * 200 / 2, rel=1e-9)


def test_carving_takes_off_what_the_pieces_hold_more_than_the_form() -> None:
    contours = (Contour(height_mm=50.0, region=box(0, 0, 100, 50)),)
    drawn = traced(SQUARE, contours=contours)
    job = relief(PartSettings(name="A", copies=2))
    # By hand: 1 litre a piece; the form between 0.25 l and 0.75 l, so 0.5 l left on each.
    assert carve_litres(job, drawn, make_pieces(job, drawn)) == pytest.approx(2 * 0.5)


def test_other_forms_have_nothing_to_carve() -> None:
    drawn = traced(SQUARE)
    assert carve_litres(flat(), drawn, make_pieces(flat(), drawn)) is None


def test_a_hollow_is_a_hole_in_its_level() -> None:
    rim = SQUARE.difference(box(30, 30, 70, 70))
    steps = levels(SQUARE, [Contour(height_mm=40.0, region=rim)], top_mm=60.0)
    assert steps[1].region.area == 100**2 - 40**2


def test_flip_and_turning_of_the_job_reach_the_pieces() -> None:
    job = replace(flat(), layout=LayoutSettings(turning="any", flip=True))
    (piece,) = make_pieces(job, traced(SQUARE))
    assert (piece.turning, piece.flip) == ("any", True)
