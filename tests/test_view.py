"""The view: what is in the file, and what it does in a browser under a person's hands."""

import json
import re
import shutil
import subprocess
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from browser import CHROMIUM, Browser
from shapely import LineString, Polygon, box
from small_plan import places, renamed, spoken, two_blocks

import wirepath.view
from wirepath.errors import FileError
from wirepath.model import (
    Blank,
    FaceMark,
    MarkPair,
    Outline,
    RoughingCut,
    RoughingPlan,
    WireDirection,
)
from wirepath.sheets.steps import steps
from wirepath.view import write_view
from wirepath.view.wording import ENGLISH, LANGUAGES
from wirepath.wording import ENGLISH as SHEETS

PHONE, TABLET = (390, 844), (1024, 768)
NAMES = "job cut solid pieces order".split()

in_browser = pytest.mark.skipif(CHROMIUM is None, reason="chromium is not installed")


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    path = tmp_path_factory.mktemp("view") / "view.html"
    write_view(two_blocks(), path)
    return path


def plan_in(path):
    text = path.read_text(encoding="utf-8")
    found = re.search(r'<script type="application/json" id="plan">(.*?)</script>', text, re.DOTALL)
    return json.loads(found[1])


# --- The file ------------------------------------------------------------------------


def test_the_same_plan_gives_the_same_bytes(page, tmp_path):
    write_view(two_blocks(), tmp_path / "again.html")
    assert (tmp_path / "again.html").read_bytes() == page.read_bytes()


def test_the_file_names_no_address_but_those_of_xml(page):
    text = page.read_text(encoding="utf-8")
    assert set(re.findall(r"\w+://[\w./]+", text)) == {"http://www.w3.org/2000/svg"}
    assert not re.search(r"\bsrc(set)?=|\burl\(|@import|\bfetch\(|XMLHttp|WebSocket", text)


def test_the_policy_lets_nothing_in_but_the_page_s_own_script_and_style(page):
    # Content Security Policy Level 3: default-src 'none' denies every kind of request.
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page.read_text("utf-8"))[1]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert all(re.fullmatch(r"'(none|sha256-[\w+/]+=)'", source) for source in rules.values())


def test_the_page_has_a_language_and_a_title(page):
    text = page.read_text(encoding="utf-8")
    assert '<html lang="en">' in text
    assert "<title>Brackets</title>" in text


def test_a_name_cannot_become_markup(tmp_path):
    wild = '</script><b id="wild">&'
    write_view(renamed(two_blocks(), wild), tmp_path / "view.html")
    text = (tmp_path / "view.html").read_text(encoding="utf-8")
    assert text.count("</script>") == 2
    assert plan_in(tmp_path / "view.html")["job"] == wild
    assert "<title>&lt;/script&gt;" in text


def test_the_view_tells_the_steps_of_the_sheets_word_for_word(page):
    plan = two_blocks()
    for layout, shown in zip(plan.layouts, plan_in(page)["layouts"], strict=True):
        told = [step.text for step in steps(plan, layout, SHEETS)]
        assert [step["text"] for step in shown["steps"]] == told
        assert told


def test_every_piece_comes_free_at_one_step(page):
    frees = [
        step["frees"]
        for layout in plan_in(page)["layouts"]
        for step in layout["steps"]
        if step["frees"]
    ]
    assert sorted(frees) == [1, 2, 3, 4, 5]


def test_the_steps_take_as_long_as_the_wire_needs(page):
    plan = two_blocks()
    seconds = sum(step["seconds"] for one in plan_in(page)["layouts"] for step in one["steps"])
    # All moves at their feeds; what an overrun goes to and fro is told within its step,
    # and a pass begins with a lead-in that the way in speaks of.
    exact = sum(move.line.length / move.feed_mm_per_s for one in plan.passes for move in one.moves)
    assert seconds == pytest.approx(exact, rel=0.03)


def test_order_and_pieces_are_the_plan_s(page):
    plan, shown = two_blocks(), plan_in(page)
    (line,) = plan.estimate.order
    first = shown["order"]["rows"][0]
    assert (first[0], first[3], first[4]) == (line.stock, "2 x 30.00", "60.00")
    assert [one["number"] for one in shown["pieces"]] == [1, 2, 3, 4, 5]
    assert "400 x 300 x 180 mm" in shown["pieces"][0]["about"]


def test_where_inches_are_asked_for_no_size_goes_without_them(tmp_path):
    plan, rough = roughed_plan()
    paper = replace(plan.workshop.paper, inches=True)
    shop = replace(plan.workshop, paper=paper)
    write_view(replace(plan, workshop=shop, roughing=(rough,)), tmp_path / "view.html")
    data = plan_in(tmp_path / "view.html")
    texts = [one["about"] for one in (*data["layouts"], *data["pieces"])]
    texts += [row[2] for row in data["order"]["rows"][:-1]]
    texts += [row[2] for row in data["offcuts"]["rows"]]
    cuts = [cut for form in data["roughing"] for cut in form["cuts"]]
    texts += [text for cut in cuts for text in cut["texts"] if " mm" in text]
    texts += [mark for cut in cuts for row in cut["marks"] for mark in row[1:]]
    assert len(texts) > 6
    assert [text for text in texts if '"' not in text] == []


def test_a_changed_plan_keeps_other_ticks(page, tmp_path):
    write_view(renamed(two_blocks(), "Other"), tmp_path / "view.html")
    assert plan_in(tmp_path / "view.html")["id"] != plan_in(page)["id"]


def test_every_text_of_the_table_is_used(page):
    folder = Path(wirepath.view.__file__).parent
    sources = "".join(
        one.read_text(encoding="utf-8")
        for one in [*folder.glob("*.py"), *folder.glob("page/*")]
        if one.name != "wording.py"
    )
    names = [one.name for one in fields(ENGLISH)]
    unused = [
        name
        for name in names
        if not re.search(rf"\b{name}\b", sources) and not name.startswith("nav_")
    ]
    assert unused == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_page_speaks_the_language_of_the_paper(tmp_path, language):
    write_view(spoken(two_blocks(), language), tmp_path / "view.html")
    text = (tmp_path / "view.html").read_text(encoding="utf-8")
    assert f'<html lang="{language}">' in text
    assert plan_in(tmp_path / "view.html")["words"]["next"] == LANGUAGES[language].next


@pytest.mark.parametrize("language", ["de", "nl"])
def test_every_translation_has_the_places_of_the_english_text(language):
    assert places(LANGUAGES[language]) == places(ENGLISH)


def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(FileError, match="cannot be written"):
        write_view(two_blocks(), tmp_path / "none" / "view.html")


def roughed_plan():
    """A step of 400 x 100 x 60 mm in a blank of 500 x 200 x 100, and one profile over it.

    The wire lies along y; one looks along it and sees x to the right, z upwards.
    """
    form = box(50, 50, 450, 150)
    plan = two_blocks()
    plan = replace(
        plan,
        job=replace(plan.job, form=replace(plan.job.form, kind="relief", peak_mm=60.0)),
        traced=replace(plan.traced, outlines=(Outline(name="Step", polygon=form),)),
    )
    cut = RoughingCut(
        number=1,
        blank=1,
        kind="profile",
        direction=WireDirection(right=(1.0, 0.0, 0.0), up=(0.0, 0.0, 1.0), wire=(0.0, 1.0, 0.0)),
        datum=(0.0, 0.0),
        lines=(LineString([(-20, 61), (520, 61)]),),
        kept=(box(50, 0, 450, 61),),
        turn_deg=0.0,
        tilt_deg=0.0,
        length_mm=540.0,
        area_m2=0.1,
        longest_wire_mm=200.0,
        litres=4.0,
        marks=(
            MarkPair(
                number=1,
                first=FaceMark(face="bottom", along_mm=0.0, height_mm=61.0),
                second=FaceMark(face="top", along_mm=0.0, height_mm=61.0),
            ),
        ),
    )
    rough = RoughingPlan(
        name="Step",
        way="profiles",
        blanks=(Blank(x_mm=0, y_mm=0, width_mm=500, height_mm=200, thickness_mm=100),),
        cuts=(cut, replace(cut, number=2, kind="outline", litres=1.5, marks=())),
        kerf_mm=2.0,
        allowance_mm=0.0,
        block_litres=10.0,
        removable_litres=7.6,
        bound_litres=7.6,
        blanks_bound_litres=7.6,
        litres_off=5.5,
        carve_most_litres=2.1,
        carve_least_litres=2.1,
    )
    return plan, rough


@pytest.fixture(scope="module")
def rough_page(tmp_path_factory):
    path = tmp_path_factory.mktemp("rough") / "view.html"
    plan, rough = roughed_plan()
    write_view(replace(plan, roughing=(rough,)), path)
    return path


def test_the_wire_in_space_lies_along_its_direction(rough_page):
    (form,) = plan_in(rough_page)["roughing"]
    (strand,) = form["cuts"][0]["strands"]
    # From 60 mm before the block to 60 mm behind it, at the height of the line.
    assert strand["near"] == [-20, -60, 61, 520, -60, 61]
    assert strand["far"] == [-20, 260, 61, 520, 260, 61]
    assert form["cuts"][0]["shadow"][0:2] in ([0, 0], [500, 0], [0, 100], [500, 100])
    assert form["solid"]["box"] == [0, 0, 0, 500, 200, 100]


def test_a_relief_is_shown_as_its_contours_bound_it(rough_page):
    solid = plan_in(rough_page)["solids"][-1]
    assert solid["name"] == "Step, as its contours bound it"
    assert [layer["prisms"][0]["to"] for layer in solid["layers"]] == [60]


# --- In a browser ----------------------------------------------------------------------


@pytest.fixture(scope="module")
def browser():
    with Browser() as running:
        yield running


def text_of(browser, selector):
    return browser.run(f"document.querySelector({json.dumps(selector)}).textContent")


def forget(browser):
    browser.run("localStorage.clear()")


@in_browser
@pytest.mark.parametrize("size", [PHONE, TABLET])
@pytest.mark.parametrize("name", NAMES)
def test_every_section_opens_without_complaint_or_request(browser, page, name, size):
    browser.open(page, *size, anchor=f"#{name}")
    shown = browser.run("[...document.querySelectorAll('section')].filter(s => !s.hidden).length")
    assert shown == 1
    assert browser.run(f"!document.getElementById('show-{name}').hidden")
    assert browser.complaints() == []
    assert browser.requests() == [page.as_uri()]


@in_browser
@pytest.mark.parametrize("size", [PHONE, TABLET, (320, 568)])
@pytest.mark.parametrize("name", NAMES)
def test_nothing_reaches_out_of_the_screen(browser, page, name, size):
    browser.open(page, *size, anchor=f"#{name}")
    assert browser.run("document.documentElement.scrollWidth") <= size[0]


@in_browser
@pytest.mark.parametrize("size", [PHONE, TABLET])
@pytest.mark.parametrize("name", NAMES)
def test_everything_to_press_is_at_least_44_px(browser, page, name, size):
    # WCAG 2.2, success criterion 2.5.5 (enhanced): targets of 44 by 44 CSS pixels.
    # A checkbox counts with its label, which ticks it too.
    browser.open(page, *size, anchor=f"#{name}")
    small = browser.run(
        "[...document.querySelectorAll('button, select, a, input[type=range], label.tick')]"
        ".map(e => [e.id || e.textContent, e.getBoundingClientRect()])"
        ".filter(([, b]) => b.width && (b.width < 44 || b.height < 44)).map(([name]) => name)"
    )
    assert small == []


@in_browser
@pytest.mark.parametrize("language", ["de", "nl"])
@pytest.mark.parametrize("name", NAMES)
def test_longer_words_stay_on_the_screen_too(browser, tmp_path, language, name):
    write_view(spoken(two_blocks(), language), tmp_path / "view.html")
    browser.open(tmp_path / "view.html", 360, 640, anchor=f"#{name}")
    assert browser.run("document.documentElement.scrollWidth") <= 360
    clipped = browser.run(
        "[...document.querySelectorAll('button, a')]"
        ".filter(e => e.clientWidth && e.scrollWidth > e.clientWidth).map(e => e.textContent)"
    )
    assert clipped == []


@in_browser
def test_next_and_back_lead_through_the_steps(browser, page):
    browser.open(page, *PHONE, anchor="#cut")
    forget(browser)
    browser.open(page, *PHONE, anchor="#cut")
    told = [step["text"] for step in plan_in(page)["layouts"][0]["steps"]]
    assert text_of(browser, "#step-text") == told[0]
    assert browser.run("document.getElementById('back').disabled")
    browser.click("#next")
    browser.click("#next")
    assert text_of(browser, "#step-text") == told[2]
    browser.click("#back")
    assert text_of(browser, "#step-text") == told[1]
    assert text_of(browser, "#step-count") == f"Step 2 of {len(told)}"


@in_browser
def test_the_wire_stands_where_the_step_begins(browser, page):
    browser.open(page, *PHONE, anchor="#cut")
    step = plan_in(page)["layouts"][0]["steps"][3]
    browser.click("#steps li:nth-child(4) button")
    wire = browser.run(
        "['cx', 'cy'].map(n => Number(document.querySelector('.wire-now').getAttribute(n)))"
    )
    assert wire == step["points"][:2]


@in_browser
def test_playing_leads_the_wire_to_the_end(browser, page):
    browser.open(page, *PHONE, anchor="#cut")
    last = len(plan_in(page)["layouts"][0]["steps"])
    browser.click(f"#steps li:nth-child({last}) button")
    browser.click("#back")
    browser.click("#play")
    assert text_of(browser, "#play") == "Pause"
    browser.until("document.getElementById('play').textContent === 'Play'")
    assert text_of(browser, "#step-count") == f"Step {last} of {last}"


@in_browser
@pytest.mark.parametrize(("wish", "glides"), [("reduce", False), ("no-preference", True)])
def test_asked_for_less_motion_the_wire_does_not_glide(browser, page, wish, glides):
    media = [{"name": "prefers-reduced-motion", "value": wish}]
    browser.ask("Emulation.setEmulatedMedia", {"features": media})
    browser.open(page, *PHONE, anchor="#cut")
    browser.click("#steps li:nth-child(2) button")
    # Every place the wire is drawn at while this step plays, as the page itself sees it.
    browser.run(
        "window.seen = new Set(); new MutationObserver(() => "
        "document.getElementById('step-count').textContent.startsWith('Step 2 ') && "
        "window.seen.add(document.querySelector('.wire-now').getAttribute('cx')))"
        ".observe(document.querySelector('.wire-now'), {attributes: true})"
    )
    browser.click("#play")
    browser.until("!document.getElementById('step-count').textContent.startsWith('Step 2 ')")
    browser.click("#play")
    assert browser.run("window.seen.size > 1") == glides
    browser.ask("Emulation.setEmulatedMedia", {"features": []})


@in_browser
def test_the_keyboard_alone_does_it_all(browser, page):
    browser.open(page, *TABLET, anchor="#cut")
    browser.click("#steps li:nth-child(1) button")
    browser.run("document.getElementById('picture').focus()")
    browser.key("ArrowRight")
    assert text_of(browser, "#step-count").startswith("Step 2 ")
    browser.key(" ")
    assert text_of(browser, "#play") == "Pause"
    browser.key(" ")
    assert text_of(browser, "#play") == "Play"
    browser.key("+")
    assert browser.run("document.getElementById('picture').classList.contains('zoomed')")
    browser.key("0")
    assert not browser.run("document.getElementById('picture').classList.contains('zoomed')")


@in_browser
@pytest.mark.parametrize("name", NAMES)
def test_tab_reaches_everything_to_press_and_shows_where_it_is(browser, page, name):
    browser.open(page, *TABLET, anchor=f"#{name}")
    wanted = browser.run(
        "[...document.querySelectorAll('a, button, select, input, [tabindex]')]"
        ".filter(e => !e.disabled && e.getBoundingClientRect().width).length"
    )
    seen = []
    for _ in range(wanted):
        browser.key("Tab")
        outline = browser.run(
            "(() => { const e = document.activeElement; e.dataset.seen = '1'; "
            "return getComputedStyle(e).outlineStyle + getComputedStyle(e).outlineWidth; })()"
        )
        seen.append(outline)
    assert set(seen) == {"solid4px"}
    assert browser.run("document.querySelectorAll('[data-seen]').length") == wanted


@in_browser
def test_ticks_stay_when_the_page_is_opened_again(browser, page):
    browser.open(page, *PHONE, anchor="#pieces")
    forget(browser)
    browser.open(page, *PHONE, anchor="#pieces")
    assert text_of(browser, "#ticked") == "0 of 5 pieces ticked"
    browser.click("#piece-2")
    browser.click("#piece-4")
    browser.open(page, *PHONE, anchor="#pieces")
    assert text_of(browser, "#ticked") == "2 of 5 pieces ticked"
    assert browser.run(
        "[1,2,3,4,5].filter(n => document.getElementById(`piece-${n}`).checked)"
    ) == [
        2,
        4,
    ]
    # Ticked pieces show in the picture of their block too.
    assert browser.run("document.querySelectorAll('#picture .ticked').length") == 1


@in_browser
def test_all_ticks_go_only_when_pressed_twice(browser, page):
    browser.open(page, *PHONE, anchor="#pieces")
    forget(browser)
    browser.open(page, *PHONE, anchor="#pieces")
    browser.click("#piece-1")
    browser.click("#clear-ticks")
    assert text_of(browser, "#ticked") == "1 of 5 pieces ticked"
    browser.click("#clear-ticks")
    assert text_of(browser, "#ticked") == "0 of 5 pieces ticked"


@in_browser
def test_a_piece_can_be_ticked_where_it_comes_free(browser, page):
    browser.open(page, *PHONE, anchor="#cut")
    forget(browser)
    browser.open(page, *PHONE, anchor="#cut")
    steps_shown = plan_in(page)["layouts"][0]["steps"]
    place = next(i for i, step in enumerate(steps_shown) if step["frees"])
    assert browser.run("document.getElementById('freed-row').hidden")
    browser.click(f"#steps li:nth-child({place + 1}) button")
    browser.click("#freed")
    assert browser.run(f"document.getElementById('piece-{steps_shown[place]['frees']}').checked")


@in_browser
def test_the_other_block_has_its_own_steps(browser, page):
    browser.open(page, *PHONE, anchor="#cut")
    browser.run(
        "(() => { const s = document.getElementById('layout'); s.value = 1; "
        "s.dispatchEvent(new Event('change')); })()"
    )
    told = plan_in(page)["layouts"][1]["steps"]
    assert text_of(browser, "#step-count") == f"Step 1 of {len(told)}"
    assert browser.run(
        "[...document.querySelectorAll('#picture text')].map(t => t.textContent)"
    ) == [
        "4",
        "5",
    ]


@in_browser
def test_the_solid_picture_turns_by_hand_and_by_key(browser, page):
    def pixels():
        return browser.run("document.getElementById('solid-picture').toDataURL()")

    browser.open(page, *PHONE, anchor="#solid")
    seen = [pixels()]
    browser.drag("#solid-picture", 80, 30)
    seen.append(pixels())
    browser.run("document.getElementById('solid-picture').focus()")
    browser.key("ArrowLeft")
    seen.append(pixels())
    browser.click("#solid-turn button:last-child")
    seen.append(pixels())
    assert len(set(seen)) == 4


@in_browser
def test_from_the_front_the_solid_picture_is_the_layout(browser, page):
    # Block 1 is 1000 x 500 mm: its frame fills the canvas across and keeps that ratio.
    browser.open(page, *PHONE, anchor="#solid")
    browser.click("#solid-turn button:last-child")
    extent = browser.run(
        "(() => { const c = document.getElementById('solid-picture'), p = c.getContext('2d');"
        "const d = p.getImageData(0, 0, c.width, c.height).data; let x0=1e9,x1=-1,y0=1e9,y1=-1;"
        "for (let y = 0; y < c.height; y++) for (let x = 0; x < c.width; x++)"
        "if (d[(y * c.width + x) * 4 + 3] > 60) { x0=Math.min(x0,x); x1=Math.max(x1,x);"
        "y0=Math.min(y0,y); y1=Math.max(y1,y); } return [x1 - x0, y1 - y0]; })()"
    )
    assert extent[0] / extent[1] == pytest.approx(2.0, abs=0.03)


def test_a_block_gets_smaller_from_cut_to_cut(rough_page):
    (form,) = plan_in(rough_page)["roughing"]

    def litres(layers):
        return sum(
            Polygon(np.reshape(prism["rings"][0], (-1, 2))).area
            * (prism["to"] - prism["from"])
            / 1e6
            for layer in layers
            for prism in layer["prisms"]
        )

    for cut in form["cuts"]:
        states = form["blocks"][cut["blank"]]
        assert litres(states[cut["made"]]) <= litres(states[cut["made"] - 1])
    for states in form["blocks"].values():
        assert litres(states[-1]) < litres(states[0])


@in_browser
def test_the_block_is_shown_before_and_after_a_cut(browser, rough_page):
    browser.open(rough_page, *PHONE, anchor="#rough")
    drawn = "document.getElementById('rough-solid').toDataURL()"
    pictures = [browser.run(drawn)]
    for what in ("after", "form"):
        browser.click(f'#rough-what [data-what="{what}"]')
        pictures.append(browser.run(drawn))
    assert len(set(pictures)) == 3


@in_browser
def test_roughing_is_led_through_in_order(browser, rough_page):
    browser.open(rough_page, *PHONE, anchor="#rough")
    assert text_of(browser, "#rough-count") == "Cut 1 of 2"
    assert "Takes off 4.0 litres." in text_of(browser, "#rough-text")
    assert "bottom: 0 along, 61 from the back" in text_of(browser, "#rough-marks")
    browser.click("#rough-next")
    assert text_of(browser, "#rough-count") == "Cut 2 of 2"
    assert text_of(browser, "#rough-text").startswith("Outline, block 1.")
    assert browser.run("document.documentElement.scrollWidth") <= PHONE[0]
    assert browser.complaints() == []


@in_browser
def test_without_roughing_there_is_no_such_section(browser, page):
    browser.open(page, *PHONE, anchor="#rough")
    assert not browser.run("document.getElementById('show-job').hidden")
    assert "Rough" not in text_of(browser, "nav")


@in_browser
def test_text_is_dark_enough_on_its_ground(browser, page):
    # WCAG 2.2, success criterion 1.4.6 (enhanced): contrast of at least 7 : 1 for text;
    # relative luminance as defined there. 5 : 1 and more for what cannot be pressed now.
    browser.open(page, *PHONE, anchor="#job")

    def luminance(colour):
        parts = [int(one) / 255 for one in re.findall(r"\d+", colour)[:3]]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    names = ["--ink", "--press", "--wire", "--grey"]
    colours = browser.run(
        f"{json.dumps(names)}.map(n => {{ const e = document.createElement('i'); "
        "e.style.color = `var(${n})`; document.body.append(e); "
        "return getComputedStyle(e).color; })"
    )
    ratios = {n: 1.05 / (luminance(c) + 0.05) for n, c in zip(names, colours, strict=True)}
    assert min(ratios["--ink"], ratios["--press"]) > 7
    assert min(ratios.values()) > 6


@pytest.mark.skipif(shutil.which("node") is None, reason="node is not installed")
def test_the_script_is_sound_as_it_stands(page, tmp_path):
    text = page.read_text(encoding="utf-8")
    (tmp_path / "page.js").write_text(re.findall(r"<script>(.*?)</script>", text, re.DOTALL)[0])
    subprocess.run(["node", "--check", str(tmp_path / "page.js")], check=True)
