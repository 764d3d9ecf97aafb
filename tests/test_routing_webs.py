"""Thin waste beside links: led round where a way is, told where none is, and proved."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from foam_layouts import laid, layouts, plan_of
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, box
from taper_specimens import job, outline, shop, star, traced

from wirepath.checking.scene import scenes
from wirepath.checking.thin import check_thin
from wirepath.kerf import wire_lines
from wirepath.model import TaperSettings
from wirepath.planning import make_plan
from wirepath.routing import route, thin_places
from wirepath.routing.webs import Webs
from wirepath.sheets.steps import steps
from wirepath.wording import ENGLISH
from wirepath.workshop import Cutting, Rig

CUTTING = Cutting(kerf_mm=3.0, web_mm=4.0)
LEVEL = Rig(wire_lies="level")


def planned(layout, pieces, cutting=CUTTING, rig=LEVEL):
    lines = wire_lines(layout, pieces, cutting)
    passes = route(layout, lines, pieces, cutting, rig)
    layout = replace(layout, thin_waste=thin_places(layout, lines, passes, cutting))
    return plan_of(layout, pieces, passes, cutting=cutting)


def told(plan, cutting=CUTTING):
    return [str(fault) for fault in check_thin(scenes(plan), cutting.web_mm).faults]


def entry_of(plan):
    return next(m for one in plan.passes for m in one.moves if m.kind == "entry").line


@pytest.mark.parametrize(
    ("way", "thin"),
    [
        # Standing beside the slot: 3.5 mm to the edge less half a kerf = 2 mm.
        (LineString([(0, 3.5), (100, 3.5)]), 100),
        (LineString([(0, 5.6), (100, 5.6)]), 0),
        # The slot opens the edge: nothing stands.
        (LineString([(0, 1.5), (100, 1.5)]), 0),
        # Along the square's line, 5 mm off it: 5 - 3 = 2 mm.
        (LineString([(100, 193.5), (300, 193.5)]), 113),
        (LineString([(100, 190.0), (300, 190.0)]), 0),
        # Square to the edge it comes from.
        (LineString([(3, 0), (3, 6)]), 0),
    ],
)
def test_what_is_thin_is_measured_from_slot_to_slot_and_to_the_edge(way, thin):
    layout, pieces = laid([box(150, 200, 250, 300)], 500, 500)
    webs = Webs(layout, [line.ring for line in wire_lines(layout, pieces, CUTTING)], CUTTING)
    assert webs.thin_mm([way])[0] == pytest.approx(thin, abs=8)


def test_an_entry_rises_off_the_edge_that_it_would_run_along():
    # Before a level wire the foam stands on its lower edge: the wire comes from the side.
    plan = planned(*laid([box(100, 4, 300, 80)], 1000, 400))
    (_, y0), (_, y1) = entry_of(plan).coords
    assert y0 == y1 > 4 + 1.5
    assert plan.layouts[0].thin_waste == ()
    assert told(plan) == []


def test_where_every_way_is_thin_the_step_says_so():
    # A bar so low over the edge that every way from the side runs along the edge.
    cutting = replace(CUTTING, web_mm=12.0)
    plan = planned(*laid([box(100, 5, 300, 9)], 1000, 400), cutting)
    assert len(plan.layouts[0].thin_waste) == 1
    assert told(plan, cutting) == []
    texts = [step.text for step in steps(plan, plan.layouts[0], ENGLISH)]
    assert sum(ENGLISH.step_thin in text for text in texts) == 1
    silent = replace(plan, layouts=(replace(plan.layouts[0], thin_waste=()),))
    assert "thin waste stands" in told(silent, cutting)[0]


def test_thin_waste_where_the_wire_leans_over_along_the_edge_of_the_foam_is_told():
    # No trim: the taper stands at the edge, and the wire leans over along it.
    stone = star(random.Random(4), 9, 180.0, 0.4)
    asked = job(tapers=(TaperSettings(near="Stone", draft_mm=40.0),), thickness_mm=100.0)
    asked = replace(asked, layout=replace(asked.layout, turning="none"))
    tools = shop(kerf_mm=3.0, web_mm=8.0)
    tools = replace(tools, stock=tuple(replace(one, trim_mm=0.0) for one in tools.stock))
    plan = make_plan(asked, tools, traced([outline("Stone", stone)]), seconds=0.0)
    (layout,) = plan.layouts
    assert layout.thin_waste
    assert told(plan, tools.cutting) == []
    texts = [step.text for step in steps(plan, layout, ENGLISH) if ENGLISH.step_thin in step.text]
    assert len(texts) == 1
    assert "lean the wire over" in texts[0]
    silent = replace(plan, layouts=(replace(layout, thin_waste=()),))
    assert "thin waste stands" in told(silent, tools.cutting)[0]


def test_a_shop_without_webs_has_no_thin_waste():
    cutting = replace(CUTTING, web_mm=0.0)
    plan = planned(*laid([box(100, 5, 300, 9)], 1000, 400), cutting)
    assert plan.layouts[0].thin_waste == ()
    assert told(plan, cutting) == []


@settings(max_examples=20, deadline=None)
@given(scene=layouts(), level=st.booleans(), web=st.sampled_from([4.0, 12.0, 40.0]))
def test_on_any_layout_thin_waste_beside_links_is_told(scene, level, web):
    layout, pieces = scene
    cutting = replace(CUTTING, web_mm=web)
    if pieces:
        assert told(planned(layout, pieces, cutting, LEVEL if level else Rig()), cutting) == []
