"""Passes of a bow: from air to air, rests near enough, told by the stations of the templates."""

from __future__ import annotations

import re
from dataclasses import fields, replace
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from label_checks import faults as label_faults
from shapely import LineString, box
from taper_specimens import job, outline, shop, traced

from wirepath.bowing import rests, taken_off
from wirepath.checking import check_plan
from wirepath.model import Move, Pass
from wirepath.planning import make_plan
from wirepath.sheets import sheet_pages
from wirepath.sheets.bow_sheet import bow_pages
from wirepath.templates.parts import distinct_parts, faces
from wirepath.wording import ENGLISH, LANGUAGES
from wirepath.wording.bow import BOW, BowWords
from wirepath.workshop import Rig

BOW_RIG = Rig(kind="bow", pass_most_mm=1500.0)


@cache
def plan(rig=BOW_RIG):
    drawn = [outline(f"plate {k}", box(0, 300 * k, 450, 300 * k + 250)) for k in range(4)]
    return make_plan(job(), shop(rig=rig), traced(drawn), seconds=0.0)


def faults(one):
    return "\n".join(str(fault) for finding in check_plan(one) for fault in finding.faults)


def moves(*kinds_and_points):
    return tuple(
        Move(kind=kind, line=LineString(points), feed_mm_per_s=5.0)
        for kind, points in kinds_and_points
    )


def test_a_way_round_through_air_parts_two_passes_that_each_begin_and_end_in_air():
    one = Pass(
        layout=1,
        number=1,
        moves=moves(
            ("air", [(50, -20), (50, 0)]),
            ("entry", [(50, 0), (50, 50)]),
            ("slot", [(50, 50), (50, 0)]),
            ("air", [(50, 0), (50, -20), (120, -20)]),
            ("air", [(120, -20), (120, 40), (100, 40)]),
            ("entry", [(100, 40), (80, 40)]),
            ("slot", [(80, 40), (100, 40)]),
            ("air", [(100, 40), (120, 40)]),
        ),
    )
    first, second = taken_off([one])
    assert [move.kind for move in first.moves] == ["air", "entry", "slot", "air"]
    assert [move.kind for move in second.moves] == ["air", "entry", "slot", "air"]
    assert list(first.moves[-1].line.coords) == [(50, 0), (50, -20)]
    assert list(second.moves[0].line.coords) == [(120, 40), (100, 40)]
    assert [first.number, second.number] == [1, 2]


def test_people_rest_in_waste_rather_than_at_a_corner_and_there_rather_than_on_an_edge():
    way = Pass(
        layout=1,
        number=1,
        moves=moves(
            ("outline", [(0, 0), (700, 0), (700, 100)]),
            ("link", [(700, 100), (700, 150)]),
            ("outline", [(700, 150), (650, 150), (650, 900), (0, 900)]),
        ),
    )
    first, second = rests(way, 1000.0)
    # The link ends after 850 mm; the next corner comes 50 + 750 mm later.
    assert (first.after_mm, first.at) == (850.0, (700.0, 150.0))
    assert (second.after_mm, second.at) == (1650.0, (650.0, 900.0))
    (halfway,) = rests(replace(way, moves=moves(("outline", [(0, 0), (1500, 0)]))), 1000.0)
    assert halfway.at == (1000.0, 0.0)


@given(
    points=st.lists(st.tuples(st.integers(0, 900), st.integers(0, 900)), min_size=2, max_size=9),
    most=st.integers(200, 2000),
)
def test_no_stretch_between_rests_is_longer_than_asked(points, most):
    line = LineString(points)
    one = Pass(layout=1, number=1, moves=moves(("link", points)))
    stops = [0.0, *(rest.after_mm for rest in rests(one, float(most))), line.length]
    assert all(b - a <= most + 1e-3 for a, b in pairwise(stops))


def test_plates_cut_with_a_bow_are_proved_and_rested_on_the_way():
    made = plan()
    assert faults(made) == ""
    assert any(layout.rests for layout in made.layouts)
    assert not [move for one in made.passes for move in one.moves[1:-1] if move.kind == "air"]


def test_a_table_goes_on_through_air_without_rests():
    made = plan(Rig())
    assert not any(layout.rests for layout in made.layouts)


def test_a_rest_left_out_or_moved_off_the_way_is_told():
    made = plan()
    layout = made.layouts[0]
    without = replace(made, layouts=(replace(layout, rests=()), *made.layouts[1:]))
    assert "without a rest, 1500 mm are asked" in faults(without)
    first = layout.rests[0]
    moved = replace(first, at=(first.at[0] + 5, first.at[1]))
    wrong = replace(layout, rests=(moved, *layout.rests[1:]))
    assert "does not lie on its pass" in faults(replace(made, layouts=(wrong, *made.layouts[1:])))


def test_air_amid_a_pass_of_a_bow_is_told():
    made = plan()
    first, *others = made.passes
    twice = replace(first, moves=(*first.moves, *first.moves))
    made = replace(made, passes=(twice, *others))
    assert "through air in the middle of a pass" in faults(made)


def test_the_sheet_names_the_stations_that_the_templates_number():
    made = plan()
    own = {
        mark.label
        for part in distinct_parts(made, None)
        for face in faces(part.one, made.workshop.cutting, paired=True)
        for ring in face.stations
        for mark in ring
    }
    pages = [page for page in sheet_pages(made, ENGLISH) if "with the bow" in page.title]
    texts = [text.text for page in pages for text in page.texts]
    stretches = [text.split(" to ") for text in texts if re.fullmatch(r"A?\d+ to A?\d+", text)]
    assert stretches
    assert {label for pair in stretches for label in pair} <= own
    assert "rest" in texts
    told = " ".join(texts)
    assert "Two people, one at each end" in told


def test_a_short_bow_is_held_by_one_person():
    rig = replace(BOW_RIG, one_person_mm=1400.0)
    pages = sheet_pages(plan(rig), ENGLISH)
    told = " ".join(text.text for page in pages for text in page.texts)
    assert "One person holds the bow" in told


@pytest.mark.parametrize("language", ["de", "nl"])
def test_every_text_of_the_bow_is_there_in_each_language(language):
    from test_sheets_wording import places, texts

    for name in (field.name for field in fields(BowWords)):
        one, other = (texts(getattr(BOW[key], name)) for key in ("en", language))
        assert [places(text) for text in other] == [places(text) for text in one]
    assert set(BOW) == set(LANGUAGES)


@pytest.mark.parametrize("language", sorted(LANGUAGES))
def test_no_text_of_the_bow_meets_another_or_leaves_the_page(language):
    made = plan()
    paper = replace(made.workshop.paper, language=language)
    made = replace(made, workshop=replace(made.workshop, paper=paper))
    pages = bow_pages(made, made.layouts[:1], LANGUAGES[language])
    assert [fault for page in pages for fault in label_faults(page)] == []
