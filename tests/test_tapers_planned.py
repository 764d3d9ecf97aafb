"""Plans with tapers, proved from the files as written; and the proof shown to fail."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, box
from shapely.affinity import rotate, scale, translate
from taper_specimens import KEYSTONE_BACK, KEYSTONE_FRONT, job, outline, shop, star, traced

from wirepath.checking import check_files, check_plan
from wirepath.checking.scene import scenes
from wirepath.coordinates import read_coordinates, word_text, write_coordinates
from wirepath.errors import FileError, FitError, SettingsError
from wirepath.job_file import read_job
from wirepath.kerf import settled, taper_line
from wirepath.model import PartSettings, Plan, Ruled, TaperSettings
from wirepath.planning import make_plan
from wirepath.workshop import Files, Rig, TestCut, Workshop


@cache
def plan() -> Plan:
    """A keystone between two plates, on one slab."""
    drawn = traced(
        [
            outline("key", KEYSTONE_FRONT),
            outline("plate", box(300, 0, 480, 200)),
            outline("slat", box(300, 300, 700, 340)),
        ],
        far=[outline("key", KEYSTONE_BACK)],
    )
    return make_plan(job(), shop(), drawn, seconds=0.0)


def faults(one: Plan) -> str:
    return "\n".join(str(fault) for finding in check_plan(one) for fault in finding.faults)


def as_written(one: Plan, folder) -> Plan:
    passes = [read_coordinates(path).passes for path in write_coordinates(one, folder)]
    return replace(one, passes=tuple(found for own in passes for found in own))


def with_far(one: Plan, moved) -> Plan:
    """The plan with the far end of every tapered outline moved."""
    passes = []
    for own in one.passes:
        moves = [
            replace(move, far=moved(move.far))
            if move.far is not None and move.kind == "outline"
            else move
            for move in own.moves
        ]
        passes.append(replace(own, moves=tuple(moves)))
    return replace(one, passes=tuple(passes))


SLOTS = (TestCut(feed_mm_per_s=4.0, kerf_mm=1.6), TestCut(feed_mm_per_s=8.0, kerf_mm=1.0))
"""Two slots on k = 0.40 + 4.80 / feed, worked out on paper."""


def slotted() -> Workshop:
    """The shop with a kerf from its own test cuts, at 5 mm/s: 0.40 + 4.80 / 5 = 1.36 mm."""
    cutting = replace(shop().cutting, kerf_mm=0.0, test_cuts=SLOTS)
    return settled(replace(shop(), cutting=cutting), "EPS 15")


# --- Proved ------------------------------------------------------------------------


def test_a_keystone_shares_a_slab_with_plates_and_is_proved_from_its_file(tmp_path):
    made = plan()
    assert len(made.layouts) == 1
    written = as_written(made, tmp_path)
    assert faults(written) == ""
    passes = {layout.number: written.passes for layout in made.layouts}
    finding = check_files(made, passes, [], [], [])[0]
    assert finding.passed, finding.faults


@settings(max_examples=6, deadline=None)
@given(seed=st.integers(0, 10**6), convex=st.booleans(), kerf_mm=st.sampled_from([1.2, 3.0]))
def test_no_ruling_enters_any_pair_of_faces_however_they_lie(seed, convex, kerf_mm):
    rng = random.Random(seed)
    near = star(rng, rng.randint(4, 10), 110, 0.1 if convex else 0.35)
    far = star(rng, rng.randint(4, 10), rng.uniform(70, 120), 0.1)
    if convex:
        near, far = near.convex_hull, scale(near.convex_hull, 0.8, 0.8)
    far = translate(rotate(far, rng.uniform(-8, 8)), rng.uniform(-20, 20), rng.uniform(-20, 20))
    drawn = traced([outline("stone", near), outline("plate", box(200, 0, 400, 90))],
                   far=[outline("stone", far)])  # fmt: skip
    try:
        made = make_plan(job(flip=True), shop(kerf_mm=kerf_mm), drawn, seconds=0.0)
    except FitError:
        # Hollows tighter than so wide a slot are refused, never cut wrong.
        assume(not convex)
        return
    assert faults(made) == ""


def test_the_same_job_gives_the_same_bytes(tmp_path):
    texts = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        plan.cache_clear()
        (path,) = write_coordinates(plan(), tmp_path / name)
        texts.append(path.read_bytes())
    assert texts[0] == texts[1]


def test_the_balance_counts_the_ruled_solid_and_not_what_it_stands_in():
    made = plan()
    key = made.pieces[0]
    assert key.volume_mm3 < 0.95 * key.outline.area * 300
    weight = dict(made.estimate.piece_weights_kg)[1]
    assert weight == pytest.approx(key.volume_mm3 * 15e-9)


# --- The proof can fail ------------------------------------------------------------


def test_a_far_end_that_runs_a_tenth_too_near_is_told_with_its_depth():
    inward = with_far(plan(), lambda line: scale(line, 0.999, 0.999))
    text = faults(inward)
    assert "the slot of a move 'outline' reaches" in text
    assert "300 mm behind the near face" in text
    assert ", 0 mm behind the near face: the slot of" not in text


def test_a_far_end_that_keeps_off_leaves_foam_and_is_told():
    text = faults(with_far(plan(), lambda line: scale(line, 1.03, 1.03)))
    assert "misses the outline" in text


def test_ends_out_of_step_twist_the_wire_into_the_piece():
    def late(line: LineString) -> LineString:
        points = shapely.get_coordinates(line)
        return LineString(np.concatenate((points[1:], points[:1])))

    assert "into the piece" in faults(with_far(plan(), late))


def test_faces_and_volumes_other_than_drawn_are_told():
    made = plan()
    key = made.pieces[0]
    moved = replace(key.taper.finished, far=tuple((x + 1, y) for x, y in key.taper.finished.far))
    other = replace(key, taper=replace(key.taper, finished=moved))
    assert "its far face is not what the drawing" in faults(
        replace(made, pieces=(other, *made.pieces[1:]))
    )
    thin = replace(made.estimate, piece_weights_kg=((1, 0.1), *made.estimate.piece_weights_kg[1:]))
    assert "piece 1, weight_kg" in faults(replace(made, estimate=thin))
    dropped = replace(made.traced, far=(*made.traced.far, outline("lost", box(0, 0, 9, 9))))
    assert "far face of no piece" in faults(replace(made, traced=dropped))


def test_rulings_that_cross_are_told():
    made = plan()
    key = made.pieces[0]
    twisted = replace(key.taper.cut, far=key.taper.cut.far[2:] + key.taper.cut.far[:2])
    other = replace(key, taper=replace(key.taper, cut=twisted))
    assert "shrinks to nothing between its faces" in faults(
        replace(made, pieces=(other, *made.pieces[1:]))
    )


def test_a_table_whose_ends_move_alike_is_told():
    made = plan()
    alike = replace(made.workshop, rig=Rig())
    assert "which this table cannot do" in faults(replace(made, workshop=alike))


# --- Files -------------------------------------------------------------------------


def test_figures_are_those_of_the_ends_and_come_back_to_the_faces(tmp_path):
    made = plan()
    (path,) = write_coordinates(made, tmp_path)
    file = read_coordinates(path)
    assert file.gaps is not None
    assert (file.gaps.near_mm, file.gaps.far_mm) == (100, 500)
    for here, there in zip(made.passes[0].moves, file.passes[0].moves, strict=True):
        assert here.kind == there.kind
        far = here.far or here.line
        assert shapely.get_coordinates(there.far or there.line) == pytest.approx(
            shapely.get_coordinates(far), abs=0.005
        )
        assert there.length_mm == pytest.approx(here.length_mm, abs=0.01)


def test_ends_that_would_not_arrive_together_are_refused(tmp_path):
    (path,) = write_coordinates(plan(), tmp_path)
    lines = path.read_text("utf-8").split("\n")
    row = next(i for i, line in enumerate(lines) if ",outline," in line)
    fields = lines[row].split(",")
    fields[7] = str(float(fields[7]) * 2)
    lines[row] = ",".join(fields)
    path.write_text("\n".join(lines), "utf-8")
    with pytest.raises(FileError, match="do not take the same time"):
        read_coordinates(path)


def test_word_files_lead_both_ends_by_time():
    made = plan()
    text = word_text(replace(made, workshop=replace(made.workshop, files=Files())), made.layouts[0])
    assert "G21 G90 G17 G93" in text
    moves = [line for line in text.splitlines() if line.startswith("G1 ")]
    assert all({word[0] for word in line.split()} == set("GXYUVF") for line in moves)
    # Minutes are one over F; the first point of the pass is one it was brought to by hand.
    minutes = sum(1 / float(line.rpartition("F")[2]) for line in moves[1:])
    seconds = sum(move.seconds for one in made.passes for move in one.moves)
    assert minutes * 60 == pytest.approx(seconds, rel=0.01)


def test_foam_that_reaches_past_the_far_end_is_refused():
    near = Rig(two_ended=True, ends_apart_mm=320.0, near_gap_mm=100.0)
    drawn = traced([outline("key", KEYSTONE_FRONT)], far=[outline("key", KEYSTONE_BACK)])
    with pytest.raises(FitError, match="reaches past the far end"):
        make_plan(job(), shop(rig=near), drawn, seconds=0.0)


def test_a_table_with_one_drive_is_told_what_can_cut_a_taper(tmp_path):
    (tmp_path / "w.toml").write_text(
        'name = "w"\n[wire]\nlength_mm = 900\n[cutting]\nkerf_mm = 2\n[[foams]]\nname = "E"\n'
        'kind = "EPS"\ndensity_kg_per_m3 = 15\n[[stock]]\nname = "b"\nfoam = "E"\n'
        "length_mm = 900\nwidth_mm = 500\nthickness_mm = 100\nprice = 1\n"
    )
    (tmp_path / "j.toml").write_text(
        'name = "j"\ndrawing = "d.dxf"\nworkshop = "w.toml"\n[form]\nkind = "flat"\nfoam = "E"\n'
        'thickness_mm = 100\n[[tapers]]\nnear = "s"\ndraft_mm = 5\n'
    )
    with pytest.raises(SettingsError, match="cut with a bow along two templates"):
        read_job(tmp_path / "j.toml")


def test_every_depth_is_looked_at_no_further_apart_than_25_mm():
    own = [scene for scene in scenes(plan()) if scene.layout.number == 1]
    shares = [scene.share for scene in own]
    assert (shares[0], shares[-1]) == (0, 1)
    assert np.diff(shares).max() * 300 <= 25 + 1e-9
    assert sum(scene.weight for scene in own) == pytest.approx(1)


# --- The law of the test cuts ------------------------------------------------------


def test_the_slower_end_melts_what_the_test_cuts_say_and_not_all_with_one_over_the_feed():
    cutting = slotted().cutting
    assert (cutting.kerf_mm, cutting.kerf_base_mm) == pytest.approx((1.36, 0.4))
    # A cone from radius 100 to 50: the far end goes at half the feed, 2.5 mm/s, and melts
    # 0.40 + 4.80 / 2.5 = 2.32 mm, not 2 x 1.36. It leans by 50 in 300.
    turn = np.linspace(0, 2 * np.pi, 181)[:-1]
    ring = np.column_stack((np.cos(turn), np.sin(turn)))
    cone = Ruled(
        near=tuple(map(tuple, 100 * ring)), far=tuple(map(tuple, 50 * ring)), thickness_mm=300.0
    )
    line = taper_line(cone, cutting).line
    off = [np.hypot(*np.array(side).T).mean() for side in (line.near, line.far)]
    lean = np.sqrt(1 + (50 / 300) ** 2)
    assert off[0] - 100 == pytest.approx(1.36 / 2 * lean, abs=0.03)
    assert off[1] - 50 == pytest.approx(2.32 / 2 * lean, abs=0.03)


def test_a_taper_cut_by_the_law_of_the_test_cuts_is_proved_and_a_base_of_ones_own_is_told():
    made = make_plan(job(), slotted(), plan().traced, seconds=0.0)
    assert faults(made) == ""
    cutting = replace(made.workshop.cutting, kerf_base_mm=0.0)
    told = faults(replace(made, workshop=replace(made.workshop, cutting=cutting)))
    assert "0.000 mm stated, 0.400 mm by the test cuts" in told
    # With 1 / feed alone the wire's slower end would melt into the piece.
    assert "reaches" in told


@pytest.mark.parametrize(
    ("part", "allowance_mm", "what"),
    [
        (PartSettings(name="key", entry="lower left"), 0.0, "where the wire begins on a taper"),
        (PartSettings(name="k*", entry_at=(0.0, 0.0)), 0.0, "where the wire begins on a taper"),
        (PartSettings(name="key", finished_sides=("lower",)), 5.0, "keeps its allowance all round"),
    ],
)
def test_what_a_taper_cannot_have_is_a_fault_of_the_job(part, allowance_mm, what):
    asked = replace(job(allowance_mm=allowance_mm), parts=(part,))
    with pytest.raises(SettingsError, match=what):
        make_plan(asked, shop(), plan().traced, seconds=0.0)


@pytest.mark.parametrize("waste", ["open", "lumps"])
def test_pieces_that_waste_holds_anywhere_in_the_depth_of_a_taper_are_drawn_out(waste):
    tools = shop()
    tools = replace(tools, cutting=replace(tools.cutting, waste=waste))
    notched = box(0, 0, 200, 200).difference(box(60, 80, 140, 200))
    stones = [outline("Stone", notched), outline("Block", box(300, 0, 420, 150))]
    asked = job(tapers=(TaperSettings(near="Stone", draft_mm=-8.0),))
    plan = make_plan(asked, tools, traced(stones), seconds=0.0)
    assert [str(fault) for one in check_plan(plan) for fault in one.faults] == []
    (layout,) = plan.layouts
    assert layout.drawn_out
    silent = replace(plan, layouts=(replace(layout, drawn_out=()),))
    told = [str(fault) for one in check_plan(silent) for fault in one.faults]
    assert any("waste holds the piece fast" in one for one in told)
