"""Forms parted by seams: nothing lost, everything fits, the cheapest pattern on its raster."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from wirepath.errors import DrawingError, FitError, SettingsError
from wirepath.fitting import Room, refuse_misfits
from wirepath.forming import form_levels, make_pieces
from wirepath.model import (
    Contour,
    FormSettings,
    Job,
    Level,
    Outline,
    Piece,
    SeamSettings,
    Traced,
    Zone,
)
from wirepath.sectioning import seams, section
from wirepath.sectioning.buying import purchase
from wirepath.sectioning.raster import Body, Raster, raster_of
from wirepath.sectioning.rows import Rules, best_rows
from wirepath.workshop import Cutting, Foam, Stock, Wire, Workshop

PLAIN = SeamSettings()


def whole(shape: Polygon, thick: float = 200.0, **more: object) -> Piece:
    piece = Piece(
        number=1,
        name="Form",
        part="Form",
        finished=shape,
        outline=shape,
        thickness_mm=thick,
        allowance_mm=0.0,
        foam="EPS 15",
    )
    return replace(piece, **more)  # type: ignore[arg-type]


def flat_levels(piece: Piece) -> dict[str, tuple[Level, ...]]:
    return {piece.part: (Level(from_mm=0.0, to_mm=piece.thickness_mm, region=piece.finished),)}


def parted(
    piece: Piece, workshop: Workshop, seam_settings: SeamSettings = PLAIN, **more: object
) -> tuple[Piece, ...]:
    return section([piece], flat_levels(piece), workshop, seam_settings, **more)  # type: ignore[arg-type]


def assert_whole_again(parts: Sequence[Piece], form: Polygon) -> None:
    """The parts of one layer cover the form and do not overlap, to 1e-6 of its area."""
    assert sum(part.outline.area for part in parts) == pytest.approx(form.area, rel=1e-6)
    together = shapely.union_all([part.outline for part in parts])
    assert shapely.area(shapely.symmetric_difference(together, form)) < 1e-6 * form.area


# --- What is parted, and what is left alone -------------------------------------------


def test_what_fits_is_left_alone(workshop: Workshop) -> None:
    piece = whole(box(0, 0, 1000, 500))
    assert parted(piece, workshop) == (piece,)


def test_a_form_of_two_blocks_is_parted_in_the_middle(workshop: Workshop) -> None:
    parts = parted(whole(box(0, 0, 2000, 500)), workshop)
    assert [part.outline.bounds for part in parts] == [(0, 0, 1000, 500), (1000, 0, 2000, 500)]
    assert [(part.number, part.name, part.section_of) for part in parts] == [
        (1, "Form.1", "Form"),
        (2, "Form.2", "Form"),
    ]


def test_a_form_of_four_whole_blocks_takes_no_fifth(workshop: Workshop) -> None:
    # Four blocks hold 2000 x 1000 exactly: by area no pattern can do with fewer.
    parts = parted(whole(box(0, 0, 2000, 1000)), workshop, SeamSettings(staggered=False))
    assert len(parts) == 4
    assert all(part.outline.area == pytest.approx(1000 * 500) for part in parts)


def test_copies_are_parted_alike_and_all_numbers_count_on(workshop: Workshop) -> None:
    form = whole(box(0, 0, 1200, 500))
    small = whole(box(0, 0, 50, 50), name="Small", part="Small")
    pieces = [
        replace(form, name="Form 1"),
        replace(small, number=2),
        replace(form, number=3, name="Form 2"),
    ]
    parts = section(pieces, flat_levels(form) | flat_levels(small), workshop, PLAIN)
    assert [part.number for part in parts] == [1, 2, 3, 4, 5]
    assert [p.name for p in parts] == ["Form 1.1", "Form 1.2", "Small", "Form 2.1", "Form 2.2"]
    assert parts[0].outline == parts[3].outline


def test_the_allowance_is_left_outside_but_not_along_seams(workshop: Workshop) -> None:
    finished = box(10, 10, 1490, 390)
    piece = whole(box(0, 0, 1500, 400), finished=finished, allowance_mm=10.0)
    one, other = parted(piece, workshop)
    assert one.finished.area + other.finished.area == pytest.approx(finished.area)
    assert one.finished.bounds[2] == one.outline.bounds[2] == other.outline.bounds[0]


def test_a_form_no_seams_can_part_is_refused(workshop: Workshop) -> None:
    zone = Zone(x_mm=-10.0, y_mm=-10.0, width_mm=1600.0, height_mm=420.0)
    with pytest.raises(FitError, match="no seams part 1500 x 400 x 200 mm"):
        parted(whole(box(0, 0, 1500, 400)), workshop, SeamSettings(keep_clear=(zone,)))


def test_pieces_stay_under_what_one_person_lifts(workshop: Workshop) -> None:
    # The whole block weighs 1000 x 500 x 200 mm x 15 kg/m3 = 1.5 kg.
    light = replace(workshop, lift=replace(workshop.lift, one_person_kg=0.8))
    piece = whole(box(0, 0, 1000, 500))
    parts = parted(piece, light, SeamSettings(lift="one person"))
    assert len(parts) == 2
    assert all(part.volume_mm3 * 15 / 1e9 <= 0.8 for part in parts)


# --- Seams asked for, and places without ----------------------------------------------


def test_a_seam_asked_for_is_made_even_where_the_form_fits(workshop: Workshop) -> None:
    parts = parted(whole(box(0, 0, 900, 400)), workshop, SeamSettings(at_x_mm=(300.0,)))
    assert [part.outline.bounds[2] for part in parts] == [300, 900]


def test_a_seam_that_meets_nothing_or_a_face_is_refused_by_its_key(workshop: Workshop) -> None:
    face = Zone(x_mm=250.0, y_mm=100.0, width_mm=100.0, height_mm=100.0)
    asked = SeamSettings(at_x_mm=(300.0,), at_y_mm=(700.0,), keep_clear=(face,))
    with pytest.raises(SettingsError) as caught:
        parted(whole(box(0, 0, 900, 400)), workshop, asked)
    assert [(fault.where, fault.what) for fault in caught.value.faults] == [
        ("seams.at_x_mm", "the seam at x = 300 mm runs through a place to keep clear"),
        ("seams.at_y_mm", "the seam at y = 700 mm meets no form"),
    ]


def test_a_bent_seam_from_a_drawing_parts_the_form(workshop: Workshop) -> None:
    bent = LineString([(-1, 100), (500, 300), (901, 100)])
    form = box(0, 0, 900, 400)
    parts = parted(whole(form), workshop, fixed=[bent])
    assert len(parts) == 2
    assert_whole_again(parts, form)
    # By hand: under the seam, two trapezia, 500 and 400 long, from 100 + 200 / 501 and
    # 100 + 200 / 401 up to 300 mm high.
    below = 500 * (400 + 200 / 501) / 2 + 400 * (400 + 200 / 401) / 2
    assert max(part.outline.area for part in parts) == pytest.approx(below, rel=1e-9)


def test_no_seam_runs_through_a_place_to_keep_clear(workshop: Workshop) -> None:
    face = Zone(x_mm=550.0, y_mm=100.0, width_mm=500.0, height_mm=200.0)
    form = box(0, 0, 1600, 400)
    parts = parted(whole(form), workshop, SeamSettings(keep_clear=(face,)))
    zone = box(550, 100, 1050, 300)
    assert any(part.outline.covers(zone) for part in parts)
    assert_whole_again(parts, form)


# --- A wall ---------------------------------------------------------------------------


def corners_of_four(parts: Sequence[Piece]) -> int:
    ends = [tuple(np.round(p, 3)) for part in parts for p in part.outline.exterior.coords[:-1]]
    return sum(1 for end in set(ends) if ends.count(end) > 3)


def test_rows_are_staggered_like_brickwork(workshop: Workshop) -> None:
    form = box(0, 0, 3000, 1000)
    parts = parted(whole(form), workshop)
    assert_whole_again(parts, form)
    assert corners_of_four(parts) == 0
    upright = [
        (line.coords[0][0], line.bounds[1])
        for seam in seams(parts)
        for line in shapely.get_parts(seam.place)
        if line.bounds[3] - line.bounds[1] > line.bounds[2] - line.bounds[0]
    ]
    for (x, y), (other_x, other_y) in itertools.combinations(upright, 2):
        if y != other_y:
            assert abs(x - other_x) >= 150 - 1e-6


def test_without_stagger_four_may_meet(workshop: Workshop) -> None:
    parts = parted(whole(box(0, 0, 2000, 1000)), workshop, SeamSettings(staggered=False))
    assert corners_of_four(parts) == 1


# --- Random forms ---------------------------------------------------------------------

WORKSHOP = Workshop(
    name="Random",
    wire=Wire(length_mm=1400.0),
    cutting=Cutting(kerf_mm=1.2, web_mm=8.0),
    foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
    stock=(
        Stock(
            name="block",
            foam="EPS 15",
            length_mm=1200.0,
            width_mm=700.0,
            thickness_mm=400.0,
            price=30.0,
            trim_mm=10.0,
        ),
        Stock(
            name="board",
            foam="EPS 15",
            length_mm=1000.0,
            width_mm=600.0,
            thickness_mm=100.0,
            price=6.0,
        ),
    ),
)


SHORT_WIRE = replace(WORKSHOP, wire=Wire(length_mm=650.0))
"""No block is deeper along this wire than 650 mm."""


@st.composite
def forms(draw: st.DrawFn) -> Polygon:
    """Closed lines of 5 to 14 corners round a middle, up to 3 m across."""
    count = draw(st.integers(5, 14))
    reach = draw(st.lists(st.floats(250.0, 1500.0), min_size=count, max_size=count).map(np.array))
    angle = np.arange(count) * math.tau / count
    corners = np.stack([reach * np.cos(angle), reach * np.sin(angle)], axis=1)
    return Polygon(np.round(corners, 2))


@settings(max_examples=8, deadline=None)
@given(form=forms(), thick=st.floats(50.0, 390.0), turning=st.sampled_from(["quarter", "none"]))
def test_pieces_make_the_form_again_and_every_one_fits_a_block(
    form: Polygon, thick: float, turning: str
) -> None:
    parts = parted(whole(form, thick, turning=turning), WORKSHOP)
    # The layout's own judgement, written apart from the seams.
    refuse_misfits(parts, WORKSHOP)
    refuse_misfits(parts, WORKSHOP)
    edges = [seam for seam in seams(parts) if seam.kind == "edge"]
    # The deepest block that lies flat gives 380 mm: what is thicker comes in layers.
    for low in {part.from_mm for part in parts}:
        layer = [part for part in parts if part.from_mm == low]
        assert_whole_again(layer, form)
        # Each seam runs along two pieces: what they have more boundary than the form.
        glued = sum(float(shapely.length(seam.place)) for seam in edges if seam.from_mm == low)
        inner = (sum(part.outline.length for part in layer) - form.length) / 2
        assert glued == pytest.approx(inner, rel=1e-3, abs=1e-6)


def test_a_form_that_may_be_turned_is_parted_along_its_own_direction() -> None:
    bar = shapely.affinity.rotate(box(0, 0, 3000, 550), 30)
    parts = parted(whole(bar, 90.0, turning="any"), WORKSHOP)
    assert_whole_again(parts, bar)
    refuse_misfits(parts, WORKSHOP)
    # 3000 mm of a bar need three blocks of 1180 mm, so two seams straight across it.
    assert len(parts) == 3
    assert sum(seam.area_mm2 for seam in seams(parts)) == pytest.approx(2 * 550 * 90, rel=1e-3)


# --- Depth ----------------------------------------------------------------------------


def cone(radius: float, peak: float, steps: int) -> tuple[Job, Traced]:
    rings = [Point(0, 0).buffer(radius * (1 - k / steps), quad_segs=32) for k in range(steps)]
    job = Job(
        name="Cone",
        drawing="cone.dxf",
        workshop="w.toml",
        form=FormSettings(kind="relief", foam="EPS 15", peak_mm=peak),
    )
    contours = tuple(
        Contour(height_mm=peak * k / steps, region=ring) for k, ring in enumerate(rings) if k
    )
    return job, Traced(outlines=(Outline(name="Cone", polygon=rings[0]),), contours=contours)


def raised(levels: Sequence[Level], at_mm: float) -> shapely.Geometry:
    """The section of the form raised step by step, at a height."""
    return next(level.region for level in levels if level.to_mm > at_mm)


def test_a_piece_is_only_as_thick_as_the_form_inside_it() -> None:
    job, drawn = cone(1400.0, 380.0, 19)
    levels = form_levels(job, drawn)
    parts = section(make_pieces(job, drawn), levels, WORKSHOP, SeamSettings(share_slabs=False))
    assert_whole_again(parts, drawn.outlines[0].polygon)
    for part in parts:
        # Closed form: the cone stands 380 (1 - r / 1400) high at r, raised by one step.
        nearest = part.outline.distance(Point(0, 0))
        assert part.thickness_mm == pytest.approx(380 * (1 - nearest / 1400), abs=20 + 1e-6)
        assert part.thickness_mm >= 380 * (1 - nearest / 1400)
    assert len({part.thickness_mm for part in parts}) > 1


def test_shared_slabs_make_no_piece_thinner_and_buy_no_more() -> None:
    job, drawn = cone(1400.0, 380.0, 19)
    levels = form_levels(job, drawn)
    parts = section(make_pieces(job, drawn), levels, WORKSHOP, PLAIN)
    for part in parts:
        nearest = part.outline.distance(Point(0, 0))
        assert part.thickness_mm >= 380 * (1 - nearest / 1400)


def test_a_form_thicker_than_any_block_is_parted_into_layers() -> None:
    job, drawn = cone(500.0, 900.0, 30)
    (levels,) = form_levels(job, drawn).values()
    parts = section(make_pieces(job, drawn), {"Cone": levels}, SHORT_WIRE, PLAIN)
    refuse_misfits(parts, SHORT_WIRE)
    floors = sorted({part.from_mm for part in parts})
    assert floors[0] == 0
    assert len(floors) > 1
    for low in floors:
        on_it = [part for part in parts if part.from_mm == low]
        assert_whole_again(on_it, shapely.union_all([raised(levels, low + 1e-3)]))
    # Every part of the raised cone lies in some piece: each level, at its top.
    for level in levels:
        at = level.to_mm - 1e-3
        there = [p.outline for p in parts if p.from_mm <= at < p.from_mm + p.thickness_mm]
        missing = shapely.difference(level.region, shapely.union_all(there))
        assert shapely.area(missing) < 1e-6 * shapely.area(level.region)


def test_layers_are_glued_over_the_whole_of_the_upper_one() -> None:
    job, drawn = cone(250.0, 900.0, 30)
    parts = section(make_pieces(job, drawn), form_levels(job, drawn), SHORT_WIRE, PLAIN)
    floors = sorted({part.from_mm for part in parts})
    upper = sum(part.outline.area for part in parts if part.from_mm > 0)
    glued = [seam for seam in seams(parts) if seam.kind == "layer"]
    assert sorted({seam.from_mm for seam in glued}) == floors[1:]
    assert sum(seam.area_mm2 for seam in glued) == pytest.approx(upper, rel=1e-9)


def test_a_profile_longer_than_any_block_is_parted_along_its_length(workshop: Workshop) -> None:
    # Three blocks of 1000 mm along the wire, and no seam in the profile itself.
    profile = Polygon([(0, 0), (180, 0), (180, 60), (60, 180), (0, 180)])
    parts = parted(whole(profile, 3000.0), workshop)
    assert [(part.from_mm, part.thickness_mm) for part in parts] == [
        (0, 1000),
        (1000, 1000),
        (2000, 1000),
    ]
    assert all(part.outline.equals(profile) for part in parts)


def test_seams_of_neighbouring_layers_keep_apart() -> None:
    form = box(0, 0, 2000, 600)
    parts = parted(whole(form, 700.0), SHORT_WIRE)
    floors = sorted({part.from_mm for part in parts})
    assert len(floors) > 1
    places = [
        {round(part.outline.bounds[0], 3) for part in parts if part.from_mm == low} - {0.0}
        for low in floors
    ]
    for lower, upper in itertools.pairwise(places):
        assert all(abs(a - b) >= 150 - 1e-6 for a in lower for b in upper)


# --- Seams ----------------------------------------------------------------------------


def test_the_seam_of_two_halves_is_their_common_face(workshop: Workshop) -> None:
    parts = parted(whole(box(0, 0, 2000, 500)), workshop)
    (seam,) = seams(parts)
    assert seam.pieces == (1, 2)
    assert (seam.kind, seam.from_mm, seam.to_mm) == ("edge", 0, 200)
    assert seam.area_mm2 == pytest.approx(500 * 200)


def test_an_edge_seam_is_as_high_as_the_thinner_piece() -> None:
    one = whole(box(0, 0, 100, 100), 80.0, section_of="F")
    other = whole(box(100, 0, 200, 100), 50.0, section_of="F", number=2)
    (seam,) = seams([one, other])
    assert seam.area_mm2 == pytest.approx(100 * 50)


def test_pieces_of_different_forms_have_no_seam() -> None:
    one = whole(box(0, 0, 100, 100), section_of="F")
    assert seams([one, replace(one, number=2, section_of="G")]) == ()
    assert seams([whole(box(0, 0, 9, 9)), whole(box(9, 0, 18, 9), number=2)]) == ()


# --- The cheapest pattern -------------------------------------------------------------


def brute_force(raster: Raster, rules: Rules, price: float):
    """The least cost over every choice of rows and of cuts in each row, cell by cell."""
    top, rise, run = raster.top, raster.rise, raster.run
    columns, rows = top.shape
    areas = np.outer(np.diff(raster.xs), np.diff(raster.ys))
    cos, sin = rules.spread

    def fits(width: float, height: float, thick: float) -> bool:
        # Turned with the raster, a piece's box in the drawing is larger.
        wide, high = width * cos + height * sin, width * sin + height * cos
        ways = [(wide, high), (high, wide)] if rules.may_swap else [(wide, high)]
        return any(
            a <= w + 1e-6 and b <= h + 1e-6 and thick <= deep
            for w, h, deep in rules.rooms
            for a, b in ways
        )

    def piece(a: int, b: int, c: int, d: int) -> float:
        cells = top[a:b, c:d]
        full = np.argwhere(cells > 0)
        if not len(full):
            return 0.0
        (left, low), (right, high) = full.min(axis=0), full.max(axis=0) + 1
        width = raster.xs[a + right] - raster.xs[a + left]
        height = raster.ys[c + high] - raster.ys[c + low]
        thick = cells.max()
        if not fits(width, height, thick):
            return math.inf
        area = areas[a:b, c:d]
        if rules.blocks is None:
            return area[cells > 0].sum() * thick * rules.foam_per_mm3 + rules.piece_mm * price
        if (cells * area).sum() > rules.most_mm3:
            return math.inf
        slabs = (
            min(
                math.ceil(width / w) * math.ceil(height / h),
                math.ceil(height / w) * math.ceil(width / h),
            )
            * (whole * thick / deep)
            for w, h, deep, whole in rules.blocks
        )
        return min(slabs) + rules.piece_mm * price

    def cuts(count: int):
        for inner in itertools.product((False, True), repeat=count - 1):
            yield [0, *(k for k, cut in enumerate(inner, 1) if cut), count]

    strips = {
        (c, d): min(
            sum(piece(a, b, c, d) for a, b in itertools.pairwise(lines))
            + price * sum(rise[k, c:d].sum() for k in lines[1:-1])
            for lines in cuts(columns)
        )
        for c, d in itertools.combinations(range(rows + 1), 2)
    }
    return min(
        sum(strips[pair] for pair in itertools.pairwise(lines))
        + price * sum(run[:, k].sum() for k in lines[1:-1])
        for lines in cuts(rows)
    )


@settings(max_examples=30, deadline=None)
@given(
    heights=st.lists(st.sampled_from([0, 10, 20, 40]), min_size=20, max_size=20),
    price=st.floats(0.01, 5.0),
    grouped=st.booleans(),
)
def test_the_pattern_found_is_the_cheapest_of_all(
    heights: list[int], price: float, grouped: bool
) -> None:
    top = np.array(heights, dtype=float).reshape(5, 4)
    if not top.any():
        return
    cells = [
        (box(10 * i, 10 * j, 10 * i + 10, 10 * j + 10), top[i, j])
        for i in range(5)
        for j in range(4)
    ]
    steps = [
        (shapely.union_all([cell for cell, high in cells if high >= level]), level)
        for level in sorted({high for _, high in cells if high > 0})
    ]
    body = Body(outline=steps[0][0], steps=tuple(steps))
    raster = raster_of(body, np.arange(0.0, 51.0, 10.0), np.arange(0.0, 41.0, 10.0))
    assert (raster.top == top).all()
    rules = Rules(
        rooms=np.array([[30.0, 20.0, 40.0], [40.0, 40.0, 20.0]]),
        may_swap=True,
        spread=(1.0, 0.0),
        most_mm3=30_000.0 if grouped else math.inf,
        least_mm=0.0,
        foam_per_mm3=1.0,
        piece_mm=300.0,
        blocks=np.array([[20.0, 20.0, 40.0, 17e3], [10.0, 30.0, 20.0, 7e3]]) if grouped else None,
    )
    ((cost, rows),) = best_rows(raster, rules, [price], lap_mm=0.0)
    assert cost == pytest.approx(brute_force(raster, rules, price), rel=1e-9)
    assert rows[0].start == 0
    assert rows[-1].end == 4


TURNS_DEG = (0.0, 15.0, 30.0, 45.0, 60.0, 75.0, 90.0)


@settings(max_examples=6, deadline=None)
@given(
    corners=st.lists(st.tuples(st.integers(0, 60), st.integers(0, 40)), min_size=5, max_size=9),
    price=st.floats(0.01, 5.0),
    may_swap=st.booleans(),
    turned_upright=st.booleans(),
)
def test_the_pattern_found_is_the_cheapest_of_all_rows_cuts_and_turns(
    corners: list[tuple[int, int]], price: float, may_swap: bool, turned_upright: bool
) -> None:
    form = shapely.convex_hull(shapely.multipoints(corners))
    if form.area < 300:
        return
    core = shapely.affinity.scale(form, 0.5, 0.5)
    found, tried = [], []
    for turn in TURNS_DEG:
        outline, middle = (shapely.affinity.rotate(one, -turn, (0, 0)) for one in (form, core))
        body = Body(outline=outline, steps=((outline, 10.0), (middle, 20.0)))
        x0, y0, x1, y1 = outline.bounds
        raster = raster_of(body, np.linspace(x0, x1, 6), np.linspace(y0, y1, 5))
        angle = math.radians(turn)
        rules = Rules(
            rooms=np.array([[35.0, 25.0, 20.0], [50.0, 30.0, 10.0]]),
            may_swap=may_swap,
            spread=(1.0, 0.0) if turned_upright else (math.cos(angle), math.sin(angle)),
            most_mm3=math.inf,
            least_mm=0.0,
            foam_per_mm3=1.0,
            piece_mm=300.0,
        )
        patterns = best_rows(raster, rules, [price], lap_mm=0.0)
        found.append(patterns[0][0] if patterns else math.inf)
        tried.append(brute_force(raster, rules, price))
    assert found == pytest.approx(tried, rel=1e-9)
    assert min(found) == pytest.approx(min(tried), rel=1e-9)


def test_a_seam_is_as_long_as_the_form_is_wide_there() -> None:
    # A circle of radius 100: chords at x = 0 and x = 60 are 200 and 160 long (3-4-5).
    disc = Point(0, 0).buffer(100, quad_segs=256)
    body = Body(outline=disc, steps=((disc, 50.0),))
    raster = raster_of(body, np.array([-100.0, 0.0, 60.0, 100.0]), np.array([-100.0, 0.0, 100.0]))
    assert raster.rise.sum(axis=1) == pytest.approx([0, 200, 160, 0], abs=0.01)
    assert raster.rise[1] == pytest.approx([100, 100], abs=0.01)


# --- Blocks bought --------------------------------------------------------------------


def room(price: float, width: float, height: float, depth: float) -> Room:
    stock = Stock(
        name=f"{price:g}",
        foam="EPS 15",
        length_mm=width,
        width_mm=height,
        thickness_mm=depth,
        price=price,
    )
    return Room(
        stock=stock, wire_axis="thickness", width_mm=width, height_mm=height, depth_mm=depth
    )


def test_slabs_of_a_block_are_counted_with_a_kerf_between_them() -> None:
    # 100 + 1 + 100 + 1 + 100 = 302: three slabs from 302 mm, two from 301 mm.
    assert room(1.0, 1000, 500, 302).slabs(100, 1.0) == 3
    assert room(1.0, 1000, 500, 301).slabs(100, 1.0) == 2


def test_near_thicknesses_share_a_slab_where_that_saves_a_block() -> None:
    boxes = [(400.0, 400.0), (400.0, 400.0)]
    block = room(30.0, 1000, 500, 200)
    args = {"may_swap": True, "kerf_mm": 2.0, "web_mm": 8.0}
    shared = purchase(boxes, [180.0, 200.0], [block], **args)
    apart = purchase(boxes, [180.0, 200.0], [block], share_slabs=False, **args)
    assert shared is not None
    assert apart is not None
    assert (shared.price, shared.thick_mm) == (30, (200, 200))
    assert (apart.price, apart.thick_mm) == (60, (180, 200))


def test_boxes_that_fit_no_common_block_take_blocks_of_two_kinds() -> None:
    long, wide = room(20.0, 1200, 300, 100), room(30.0, 600, 600, 100)
    boxes = [(1100.0, 200.0), (500.0, 500.0)]
    found = purchase(boxes, [100.0] * 2, [long, wide], may_swap=True, kerf_mm=2.0, web_mm=8.0)
    assert found is not None
    assert (found.price, found.blocks) == (50, 2)


def test_the_cheaper_of_two_block_sizes_is_taken() -> None:
    boxes = [(400.0, 400.0)] * 3
    small, large = room(20.0, 500, 500, 100), room(45.0, 1300, 500, 100)
    found = purchase(boxes, [100.0] * 3, [small, large], may_swap=True, kerf_mm=2.0, web_mm=8.0)
    # Three small blocks cost 60; the large one holds 3 x 400 + 2 x 10 = 1220 mm for 45.
    assert found is not None
    assert (found.price, found.blocks) == (45, 1)


# --- Lines and places of the drawing -----------------------------------------------------


def test_a_slanted_line_parts_a_form_where_it_is_drawn(workshop: Workshop) -> None:
    # A square cut from corner region to corner region: two trapezia of (200 + 400) / 2 x 600.
    square = box(0, 0, 600, 600)
    line = LineString([(200, -5), (400, 605)])
    parts = parted(whole(square), workshop, fixed=[line])
    assert len(parts) == 2
    assert_whole_again(parts, square)
    assert sorted(round(part.outline.area) for part in parts) == [180_000, 180_000]


def test_a_bent_line_may_end_on_another_and_part_three_ways(workshop: Workshop) -> None:
    square = box(0, 0, 600, 600)
    bent = LineString([(0, 300), (300, 350), (600, 300)])
    # It ends 0.3 mm short of the other line: as drawn by hand.
    short = LineString([(300, 600), (300, 350.3)])
    parts = parted(whole(square), workshop, fixed=[bent, short])
    assert len(parts) == 3
    assert_whole_again(parts, square)


def test_a_line_to_the_finished_edge_is_run_on_through_the_allowance(workshop: Workshop) -> None:
    finished = box(20, 20, 780, 380)
    piece = whole(box(0, 0, 800, 400), finished=finished, allowance_mm=20.0)
    one, other = parted(piece, workshop, fixed=[LineString([(20, 20), (780, 380)])])
    assert one.outline.area + other.outline.area == pytest.approx(800 * 400)


def test_what_a_drawn_line_leaves_too_large_is_parted_further(workshop: Workshop) -> None:
    form = box(0, 0, 2400, 400)
    parts = parted(whole(form), workshop, fixed=[LineString([(500, -1), (550, 401)])])
    assert len(parts) == 3
    assert_whole_again(parts, form)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ([(300, -5), (300, 400)], "part nothing of 'Form'"),
        ([(900, 0), (900, 600)], "runs through no form"),
        ([(100, -5), (100, 605)], "200 mm through a place to keep clear"),
    ],
)
def test_lines_that_part_nothing_or_meet_a_clear_place_are_refused(
    workshop: Workshop, line: list[tuple[float, float]], words: str
) -> None:
    clear = Point(100, 300).buffer(100, quad_segs=64)
    with pytest.raises(DrawingError, match=words):
        parted(whole(box(0, 0, 600, 600)), workshop, fixed=[LineString(line)], keep_clear=[clear])


def test_a_line_from_the_edge_to_a_hole_alone_parts_nothing(workshop: Workshop) -> None:
    frame = box(0, 0, 600, 600) - box(200, 200, 400, 400)
    one = LineString([(300, 300), (300, -5)])
    with pytest.raises(DrawingError, match="199 mm of a seam line part nothing"):
        parted(whole(frame), workshop, fixed=[one])
    both = [one, LineString([(300, 300), (300, 605)])]
    assert len(parted(whole(frame), workshop, fixed=both)) == 2


def test_seams_keep_off_a_clear_place_of_any_shape(workshop: Workshop) -> None:
    clear = Point(1000, 250).buffer(150)
    parts = parted(whole(box(0, 0, 2000, 500), turning="any"), workshop, keep_clear=[clear])
    for part in parts:
        edge = shapely.intersection(part.outline.boundary, clear.buffer(-0.01))
        assert shapely.length(edge) == pytest.approx(0)
