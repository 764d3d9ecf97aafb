"""The sheets of gluing and loading, and what of them stands on layouts and in lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from browser import CHROMIUM, Browser
from label_checks import faults
from shapely import LineString, box

from wirepath.checking import check_files, check_plan
from wirepath.drawing_file import read_traced
from wirepath.geometry import place, place_line
from wirepath.lists import read_list, write_lists
from wirepath.model import (
    EntityCount,
    FormSettings,
    Job,
    Outline,
    Plan,
    Reading,
    Traced,
)
from wirepath.plan_folder import write_folder
from wirepath.planning import make_plan
from wirepath.report import plan_lines
from wirepath.sheets import sheet_pages
from wirepath.sheets.gluing_sheet import gluing_pages
from wirepath.sheets.loads_sheet import loads_pages
from wirepath.sheets.page import DASHES, Page
from wirepath.templates.drawing import template_pages
from wirepath.templates.parts import distinct_parts, faces, join_marks
from wirepath.templates.wording import LANGUAGES as TEMPLATES
from wirepath.view import write_view
from wirepath.view.joining import joinings
from wirepath.view.wording import LANGUAGES as VIEW
from wirepath.wording import ENGLISH, LANGUAGES
from wirepath.workshop import Cutting, Foam, Glue, Stock, Van, Wire, Workshop

VAN = Van(
    opening_width_mm=1230,
    opening_height_mm=1030,
    length_mm=2000,
    width_mm=1300,
    height_mm=1100,
    payload_kg=20,
)


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A plate of 2000 x 450 mm, too large for a block, with a slanting seam line drawn."""
    shop = Workshop(
        name="Paper workshop",
        wire=Wire(length_mm=1200.0),
        cutting=Cutting(kerf_mm=2.0, web_mm=8.0, feed_mm_per_s=5.0),
        foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
        stock=(
            Stock(
                name="block",
                foam="EPS 15",
                length_mm=1100.0,
                width_mm=500.0,
                thickness_mm=100.0,
                price=30.0,
            ),
        ),
        van=VAN,
        glue=Glue(name="glue of the shelf", set_min=30.0),
    )
    job = Job(
        name="Paper job",
        drawing="paper.dxf",
        workshop="workshop.toml",
        invented=True,
        form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=100.0),
    )
    traced = Traced(
        outlines=(Outline(name="Plate", polygon=box(0, 0, 2000, 450)),),
        seam_lines=(LineString([(980, -1), (1020, 451)]),),
        counts=(EntityCount(kind="LWPOLYLINE", found=2, read=2, ignored=0, refused=0),),
    )
    return make_plan(job, shop, traced, seconds=0)


def texts(pages: list[Page]) -> list[str]:
    return [text.text for page in pages for text in page.texts]


def test_the_plan_of_a_parted_plate_is_proved(plan: Plan) -> None:
    assert [f for finding in check_plan(plan) for f in finding.faults] == []
    assert len(plan.pieces) == 2


def test_the_map_gives_seams_marks_and_pins_and_the_steps_the_order(plan: Plan) -> None:
    told = texts(gluing_pages(plan, ENGLISH))
    # A slanting seam over 450 mm: 451.8 mm long; 100 mm thick: 4.5 dm2. A fifth of it is 90 mm.
    assert {"A", "1 and 2", "452", "4.5", "90, 271"} <= set(told)
    assert any("Glue piece 2 to piece 1 along A" in text for text in told)
    assert any("30 minutes" in text for text in told)


def test_without_a_time_the_label_is_referred_to(plan: Plan) -> None:
    shop = replace(plan.workshop, glue=Glue())
    told = " ".join(texts(gluing_pages(replace(plan, workshop=shop), ENGLISH)))
    assert "as long as the glue's label says" in told


def test_the_sheet_of_a_load_lists_every_box_with_its_weight(plan: Plan) -> None:
    told = texts(loads_pages(plan, ENGLISH))
    weights = [f"{item.weight_kg:.2f}" for load in plan.loads for item in load.items]
    assert set(weights) <= set(told)
    assert any("Loads: 1. By volume and" in text for text in told)
    assert loads_pages(replace(plan, workshop=replace(plan.workshop, van=None)), ENGLISH) == []


def test_a_box_behind_another_is_drawn_dashed_with_its_number_in_brackets(plan: Plan) -> None:
    (load,) = plan.loads
    first, second = load.items
    low = replace(
        second, x_mm=0.0, y_mm=first.width_mm + 10, z_mm=0.0, height_mm=200, length_mm=300
    )
    front = replace(first, x_mm=0.0, y_mm=0.0, z_mm=0.0, height_mm=400.0, length_mm=900.0)
    hid = replace(plan, loads=(replace(load, items=(front, low)),))
    (page,) = loads_pages(hid, ENGLISH)
    told = texts([page])
    assert "(2)" in told
    assert ENGLISH.load_dashed in told
    scale = float(page.scale.split(":")[1])
    dashed = np.concatenate([one.points for one in page.strokes if one.dashes == DASHES])
    assert np.ptp(dashed, axis=0) == pytest.approx((300 / scale, 200 / scale), abs=0.6)
    side = replace(low, y_mm=front.width_mm + 10, x_mm=front.length_mm + 10)
    (seen,) = loads_pages(replace(plan, loads=(replace(load, items=(front, side)),)), ENGLISH)
    assert not any(one.dashes for one in seen.strokes)
    assert ENGLISH.load_dashed not in texts([seen])


def test_no_line_of_a_load_is_empty_where_boxes_alike_hide_each_other(plan: Plan) -> None:
    (load,) = plan.loads
    one = load.items[0]
    alike = (one, replace(one, y_mm=one.y_mm + one.width_mm + 10))
    (page,) = loads_pages(replace(plan, loads=(replace(load, items=alike),)), ENGLISH)
    assert min(len(stroke.points) for stroke in page.strokes) > 1


@pytest.mark.parametrize("language", sorted(LANGUAGES))
def test_labels_on_maps_and_loads_do_not_overlap(plan: Plan, language: str) -> None:
    words = LANGUAGES[language]  # type: ignore[index]
    for page in (*gluing_pages(plan, words), *loads_pages(plan, words)):
        boxes = [text.box for text in page.texts]
        rims = np.array([(one.x0, one.y0, one.x1, one.y1) for one in boxes])
        shapes = shapely.box(*(rims + np.array([0.3, 0.9, -0.3, -0.9])).T)
        meet = shapely.intersects(shapes[:, None], shapes)
        crossed = [
            (page.texts[a].text, page.texts[b].text) for a, b in np.argwhere(np.triu(meet, 1))
        ]
        assert crossed == []
        assert shapely.total_bounds(shapes)[[0, 1]].min() >= 5.0
        assert shapely.total_bounds(shapes)[2] <= page.width_mm - 5.0


def test_a_layout_shows_the_top_the_front_and_the_marks_of_its_pieces(plan: Plan) -> None:
    told = texts(sheet_pages(plan, ENGLISH))
    assert told.count(ENGLISH.front_mark) == 2
    assert ENGLISH.key_seam_mark in told


def test_marks_lie_on_the_edge_of_the_piece_where_it_lies(plan: Plan) -> None:
    for layout in plan.layouts:
        for one in layout.placements:
            edge = place(plan.piece(one.piece).outline, one).exterior
            marks = place_line(LineString([mark.at for mark in plan.assembly.marks]), one)
            at = shapely.points(shapely.get_coordinates(marks))
            assert shapely.distance(at, edge).max() < 1e-3


def test_the_list_of_loads_says_what_the_plan_says(plan: Plan, tmp_path: Path) -> None:
    write_lists(plan, tmp_path)
    rows = read_list(tmp_path / "loads.csv")

    def told(rows: Sequence[Mapping[str, str]]) -> list[str]:
        findings = check_files(plan, {}, (), (), (), (), rows)
        return [str(f) for one in findings if "loads" in one.title for f in one.faults]

    assert told(rows) == []
    assert "is in the plan, but not in the list" in told(rows[1:])[0]
    wrong = [{**rows[0], "weight_kg": "9"}, *rows[1:]]
    assert "list of loads, box 1-1, weight_kg: '9' in the list" in told(wrong)[0]


def test_the_screen_tells_of_gluing_and_of_the_van(plan: Plan) -> None:
    told = "\n".join(plan_lines(plan))
    assert "gluing: 1 seams, 0.05 m2, in 1 steps; 2 pins" in told
    assert "van: 1 load, the heaviest 1.4 kg; no plan can do with fewer than 1" in told


def test_seams_drawn_in_a_file_are_planned_written_and_proved(plan: Plan, tmp_path: Path) -> None:
    document = ezdxf.new(units=4)  # mm
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (2000, 0), (2000, 450), (0, 450)], close=True)
    space.add_line((980, -20), (1020, 470), dxfattribs={"layer": "SEAM"})
    space.add_circle((300, 200), 90, dxfattribs={"layer": "FACE"})
    document.saveas(tmp_path / "plate.dxf")
    reading = Reading(seam_layers=("SEAM",), keep_clear_layers=("FACE",))
    traced = read_traced(tmp_path / "plate.dxf", reading)
    assert sum(count.read for count in traced.counts) == 3
    made = make_plan(replace(plan.job, read=reading), plan.workshop, traced, seconds=0)
    findings = write_folder(made, tmp_path / "plan", replace_old=False)
    assert [finding.title for finding in findings if not finding.passed] == []
    assert (tmp_path / "plan" / "loads.csv").is_file()
    assert len(made.seams) == 1


def test_templates_carry_the_marks_and_pins_of_seams_where_they_are(plan: Plan) -> None:
    for part in distinct_parts(plan, None):
        (face,) = faces(part.one, plan.workshop.cutting, paired=False, joins=join_marks(plan, part))
        west, south, _, _ = part.one.outline.buffer(plan.workshop.cutting.kerf_mm / 2).bounds
        told = [mark for mark in face.joins if not mark.is_pin]
        assert [mark.label for mark in told] == ["A", "A"]
        drawn = [mark.line.interpolate(0.5, normalized=True) for mark in told]
        wanted = [(mark.at[0] - west, mark.at[1] - south) for mark in plan.assembly.marks]
        assert [(at.x, at.y) for at in drawn] == [pytest.approx(at, abs=1e-3) for at in wanted]
        assert len(face.joins) == len(plan.assembly.marks) + len(plan.assembly.pins)
        pages = template_pages(plan, part, (face,), "A4", TEMPLATES["en"])
        assert "A" in texts(pages)
        assert [fault for page in pages for fault in faults(page)] == []


def test_a_template_says_where_nothing_is_left_on_for_carving(plan: Plan) -> None:
    (_, part) = distinct_parts(plan, None)
    grown = replace(
        part.one,
        outline=part.one.finished.union(
            part.one.finished.buffer(12).intersection(box(1100, 0, 9999, 999))
        ),
        allowance_mm=12.0,
    )
    part = replace(part, pieces=(grown,))
    drawn = faces(grown, plan.workshop.cutting, paired=False)
    told = " ".join(texts(template_pages(plan, part, drawn, "A3", TEMPLATES["en"])[:1]))
    assert "nothing is left on, at seams and sides cut finished: there it is 1 mm" in told


def test_the_view_tells_the_steps_of_gluing_word_for_word_and_every_box(plan: Plan) -> None:
    form, *loads = joinings(plan, VIEW["en"], ENGLISH)
    told = texts(gluing_pages(plan, ENGLISH))
    assert [step["texts"][0] in " ".join(told) for step in form["steps"]] == [True]
    assert [(seam["name"], len(seam["marks"])) for seam in form["seams"]] == [("A", 2)]
    placed = [tuple(step["at"] + step["size"]) for load in loads for step in load["steps"]]
    items = [item for load in plan.loads for item in load.items]
    assert placed == [
        pytest.approx((i.x_mm, i.y_mm, i.z_mm, i.length_mm, i.width_mm, i.height_mm), abs=0.05)
        for i in items
    ]


@pytest.mark.skipif(CHROMIUM is None, reason="chromium is not installed")
@pytest.mark.parametrize("size", [(390, 844), (1024, 768)])
def test_gluing_and_loading_are_led_through_step_by_step(
    plan: Plan, tmp_path: Path, size: tuple[int, int]
) -> None:
    write_view(plan, tmp_path / "view.html")
    with Browser() as browser:
        browser.open(tmp_path / "view.html", *size, anchor="#join")
        assert browser.run("document.documentElement.scrollWidth") <= size[0]
        now = "document.getElementById('join-text').textContent"
        assert "Glue piece 2 to piece 1 along A" in browser.run(now)
        assert browser.run("document.querySelectorAll('#join-picture .join-now').length") == 1
        browser.run(
            "(() => { const s = document.getElementById('join-which'); s.value = '1';"
            " s.dispatchEvent(new Event('change')); })()"
        )
        assert "Box 1" in browser.run(now)
        browser.run("document.getElementById('join-next').click()")
        assert "Box 2" in browser.run(now)
        # The place is kept: it is there again when the page is opened once more.
        browser.open(tmp_path / "view.html", *size, anchor="#join")
        assert "Box 2" in browser.run(now)
        assert browser.complaints() == []
