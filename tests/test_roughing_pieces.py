"""Roughing in a plan: the plan's own pieces, before they are glued; and its proof."""

import shutil
from dataclasses import replace
from functools import cache

import pytest
from shapely import Point
from shapely.affinity import scale, translate

from wirepath.checking import check_plan
from wirepath.checking.costs import check_costs
from wirepath.checking.prisms import raised_prisms
from wirepath.checking.roughed import check_roughed
from wirepath.checking.roughing_proof import check_roughing
from wirepath.coordinates import read_roughing_coordinates
from wirepath.errors import FitError
from wirepath.estimating import roughing_figures
from wirepath.lists import read_list
from wirepath.model import (
    Contour,
    EntityCount,
    FormSettings,
    Job,
    Level,
    Outline,
    PartSettings,
    Plan,
    RoughingSettings,
    SeamSettings,
    Traced,
)
from wirepath.plan_folder import prove_folder, write_folder
from wirepath.planning import make_plan
from wirepath.roughing import rough_pieces, tools_of
from wirepath.roughing.directions import slanting
from wirepath.sheets import sheet_pages
from wirepath.wording import LANGUAGES
from wirepath.wording.roughing import ENGLISH, note_text
from wirepath.workshop import Cutting, Foam, Lift, Offcuts, Order, Rig, Stock, Wire, Workshop

SHOP = Workshop(
    name="Paper workshop",
    wire=Wire(length_mm=450.0),
    rig=Rig(kind="bow"),
    cutting=Cutting(kerf_mm=2.0, feed_mm_per_s=5.0, setup_min=10.0),
    foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
    stock=(
        Stock(
            name="block",
            foam="EPS 15",
            length_mm=500.0,
            width_mm=400.0,
            thickness_mm=150.0,
            price=30.0,
        ),
    ),
    offcuts=Offcuts(keep_length_mm=100.0, keep_width_mm=40.0, keep_thickness_mm=20.0),
    order=Order(currency="crowns", hour_price=60.0),
)


def job(**settings) -> Job:
    return Job(
        name="Hill",
        drawing="hill.dxf",
        workshop="workshop.toml",
        form=FormSettings(kind="relief", foam="EPS 15", peak_mm=100.0, allowance_mm=10.0),
        seams=SeamSettings(at_x_mm=(300.0,)),
        **settings,
    )


def hill() -> Traced:
    """Return an oval hill, 600 x 300 mm, in four contours 25 mm apart."""
    disc = Point(0, 0).buffer(1, quad_segs=6)
    regions = [translate(scale(disc, 300 * s, 150 * s), 300, 150) for s in (1.0, 0.9, 0.7, 0.4)]
    return Traced(
        outlines=(Outline(name="Hill", polygon=regions[0]),),
        contours=tuple(
            Contour(height_mm=25.0 * k, region=region) for k, region in enumerate(regions[1:], 1)
        ),
        counts=(EntityCount(kind="LWPOLYLINE", found=4, read=4, ignored=0, refused=0),),
    )


@cache
def plan() -> Plan:
    return planned(job())


def planned(asked: Job, shop: Workshop = SHOP) -> Plan:
    return make_plan(asked, shop, hill(), seconds=0.0)


@cache
def roughed(**settings):
    """Return the roughing of the pieces of `plan` under other settings."""
    asked = job(roughing=RoughingSettings(**settings))
    (rough,) = rough_pieces(asked, SHOP, hill(), plan().pieces, plan().seams)
    return rough


def with_roughing(rough, **settings) -> str:
    """Return the faults of the plan with another roughing, and the settings that ask for it."""
    asked = job(roughing=RoughingSettings(**settings))
    changed = replace(plan(), job=asked, roughing=(rough,))
    return "\n".join(str(fault) for finding in check_roughed(changed) for fault in finding.faults)


def faults_of(broken: Plan) -> str:
    return "\n".join(str(f) for finding in check_plan(broken) for f in finding.faults)


def with_rough(**changes) -> Plan:
    (rough,) = plan().roughing
    return replace(plan(), roughing=(replace(rough, **changes),))


def test_the_pieces_of_a_relief_are_roughed_and_all_is_proved():
    (rough,) = plan().roughing
    assert rough.name == "Hill"
    assert rough.forms == ("Hill",)
    assert [blank.pieces for blank in rough.blanks] == [(1,), (2,)]
    assert {cut.blank for cut in rough.cuts} == {1, 2}
    assert rough.bulk_share > 0.6
    assert faults_of(plan()) == ""


def test_no_cut_goes_round_an_outline_that_stands_already():
    assert {cut.kind for cut in plan().roughing[0].cuts} <= {"profile", "tilted profile"}


def test_what_is_taken_off_is_the_pieces_foam_and_nothing_beside_it():
    (rough,) = plan().roughing
    assert rough.block_litres == pytest.approx(sum(p.volume_mm3 for p in plan().pieces) / 1e6)
    as_they_are = next(row for row in rough.rows if row.way == "pieces as planned")
    assert (as_they_are.litres_off, as_they_are.cuts) == (pytest.approx(0.0), 0)
    # The oval fills pi / 4 of its box; foam beside it is no litre that a cut could free.
    assert rough.block_litres < 0.85 * sum(b.width_mm * b.height_mm for b in rough.blanks) * 0.11e-3


def test_the_estimate_tells_litres_cuts_and_hours_and_pays_for_them():
    told, (rough,) = plan().estimate.roughing, plan().roughing
    assert told.cuts == len(rough.cuts)
    assert told.litres_off == pytest.approx(rough.litres_off)
    bare = planned(job(roughing=RoughingSettings(on=False)))
    minutes = told.cutting_min + told.setup_min
    assert plan().estimate.labour_price == pytest.approx(bare.estimate.labour_price + minutes)
    left = bare.estimate.carve_litres - rough.litres_off
    assert plan().estimate.carve_litres == pytest.approx(left)
    assert bare.roughing == ()
    assert faults_of(bare) == ""


def test_hours_of_carving_go_by_the_users_own_rate():
    (rough,) = plan().roughing
    figures = roughing_figures(SHOP, (replace(rough, forms=("A", "B")),), 10.0)
    assert figures.carve_most_hours == pytest.approx(2 * rough.carve_most_litres / 10)
    assert figures.cuts == 2 * len(rough.cuts)
    assert plan().estimate.roughing.carve_most_hours is None


def test_an_offcut_for_two_people_is_told_through_a_plan_and_on_its_sheet():
    lumps = [lump.weight_kg for cut in plan().roughing[0].cuts for lump in cut.offcuts]
    most_kg = 0.9 * max(lumps)
    weak = replace(SHOP, lift=Lift(one_person_kg=most_kg, two_people_kg=50.0))
    anyone = replace(job(), seams=replace(job().seams, lift="no limit"))
    made = planned(anyone, weak)
    (rough,) = made.roughing
    heavy = [cut for cut in rough.cuts if any(lump.weight_kg > most_kg for lump in cut.offcuts)]
    assert heavy
    told = [cut for cut in rough.cuts if any(note.kind == "two people" for note in cut.notes)]
    assert told == heavy
    assert faults_of(made) == ""
    start = f"Roughing, cut {heavy[0].number} of"
    pages = [page for page in sheet_pages(made, LANGUAGES["en"]) if page.title.startswith(start)]
    text = " ".join(one.text for page in pages for one in page.texts)
    assert note_text(next(n for n in heavy[0].notes if n.kind == "two people"), ENGLISH) in text


def test_copies_are_roughed_alike_and_told_once():
    made = planned(job(parts=(PartSettings(name="Hill", copies=2),)))
    (rough,) = made.roughing
    assert rough.forms == ("Hill 1", "Hill 2")
    assert made.estimate.roughing.litres_off == pytest.approx(2 * rough.litres_off)
    assert faults_of(made) == ""


def test_a_stop_rule_in_litres_makes_fewer_cuts():
    few = roughed(least_litres_per_cut=0.5)
    assert 0 < len(few.cuts) < len(plan().roughing[0].cuts)
    none = roughed(least_litres_per_m2=500.0)
    assert (none.cuts, none.way) == ((), "pieces as planned")
    assert with_roughing(none, least_litres_per_m2=500.0) == ""


def test_cuts_that_take_longer_than_carving_are_left_out_where_the_rate_is_known():
    rate, litres, minutes = 4.0, [], []
    for one in (roughed(least_litres_per_cut=0.05), roughed(carving_litres_per_hour=rate)):
        figures = roughing_figures(SHOP, (one,), rate)
        litres.append(figures.litres_off)
        minutes.append(figures.cutting_min + figures.setup_min)
    carved_min = (litres[0] - litres[1]) / rate * 60
    assert 0 < carved_min < minutes[0] - minutes[1]


def test_more_allowance_for_roughing_leaves_more_foam():
    thick = roughed(allowance_mm=25.0)
    assert thick.litres_off < plan().roughing[0].litres_off
    assert with_roughing(thick, allowance_mm=25.0) == ""


def test_an_unknown_way_is_refused_and_the_ways_are_named():
    with pytest.raises(FitError) as told:
        roughed(way="by axe")
    assert "pieces as planned, then profiles" in told.value.faults[0].mend


def test_the_glued_form_is_roughed_as_one_and_glue_lines_are_told():
    rough = roughed(way="glued, then profiles")
    assert [blank.pieces for blank in rough.blanks] == [(1, 2)]
    assert any(note.kind == "glue line" for cut in rough.cuts for note in cut.notes)
    assert with_roughing(rough) == ""


@pytest.mark.parametrize(
    ("way", "blanks"),
    [("pieces as planned, then flat cuts", [(1,), (2,)]), ("glued, then flat cuts", [(1, 2)])],
)
def test_with_a_straight_edge_alone_pieces_or_the_glued_form_get_flat_cuts(way, blanks):
    rough = roughed(way=way)
    assert [blank.pieces for blank in rough.blanks] == blanks
    assert {cut.kind for cut in rough.cuts} == {"corner"}
    assert all(len(cut.lines) == 1 for cut in rough.cuts)
    assert max(cut.longest_wire_mm for cut in rough.cuts) <= SHOP.wire.length_mm
    assert rough.litres_off > 0
    assert with_roughing(rough, way=way) == ""


def test_pieces_in_layers_are_roughed_each_at_its_height():
    """A tower, 300 mm high, of three round pieces on top of each other."""

    def disc(radius):
        return Point(0, 0).buffer(radius, quad_segs=6)

    tower = Traced(
        outlines=(Outline(name="Hill", polygon=disc(100)),),
        contours=tuple(Contour(height_mm=50.0 * k, region=disc(100 - 15 * k)) for k in range(1, 6)),
    )
    one_by_one = RoughingSettings(way="pieces as planned, then profiles")
    tall = replace(job(roughing=one_by_one), form=replace(job().form, peak_mm=300.0))
    pieces = tuple(
        replace(
            plan().pieces[0],
            number=number,
            outline=disc(radius),
            thickness_mm=height,
            from_mm=low,
        )
        for number, radius, low, height in ((1, 111, 0, 110), (2, 96, 110, 100), (3, 66, 210, 100))
    )
    (rough,) = rough_pieces(tall, SHOP, tower, pieces)
    assert [blank.from_mm for blank in rough.blanks] == [0, 110, 210]
    assert {cut.blank for cut in rough.cuts} == {1, 2, 3}
    prisms = raised_prisms(disc(100), tower.contours, peak_mm=300.0)
    proof = check_roughing(rough, prisms, wire_mm=450.0)
    assert [str(fault) for finding in proof for fault in finding.faults] == []


# --- That the check can fail -------------------------------------------------------------


def test_no_roughing_where_it_is_asked_is_told():
    assert "piece 1: the piece is roughed 0 times" in faults_of(replace(plan(), roughing=()))


def test_roughing_that_nobody_asked_for_is_told():
    assert "which the job does not ask for" in with_roughing(plan().roughing[0], on=False)


def test_a_blank_of_another_shape_than_its_piece_is_told():
    (rough,) = plan().roughing
    one, other = rough.blanks
    moved = Level(from_mm=0, to_mm=110, region=translate(one.foam[0].region, 2, 0))
    blanks = (replace(one, foam=(moved,)), other)
    assert "piece 1 has another outline" in faults_of(with_rough(blanks=blanks))
    thin = (replace(one, foam=(replace(one.foam[0], to_mm=100.0),)), other)
    assert "piece 1 stands at other heights" in faults_of(with_rough(blanks=thin))
    assert "its blanks hold pieces" in faults_of(with_rough(blanks=(one,)))


def test_a_copy_that_is_no_copy_is_told():
    assert "there is no such form" in faults_of(with_rough(forms=("Hill", "Dale")))


def test_another_kerf_or_allowance_than_asked_is_told():
    assert "the kerf is 1 mm, 2 mm are asked" in faults_of(with_rough(kerf_mm=1.0))
    assert "the allowance is 5 mm, 10 mm are asked" in faults_of(with_rough(allowance_mm=5.0))


def test_a_tilt_that_a_table_cannot_reach_is_told():
    (rough,) = plan().roughing
    tilted = replace(rough.cuts[0], direction=slanting(0.0, 30.0))
    table = replace(
        plan(),
        workshop=replace(SHOP, rig=Rig(kind="table")),
        roughing=(replace(rough, cuts=(tilted,)),),
    )
    assert "tilted by 30.0 degrees, the rig by 0 at most" in faults_of(table)


def test_a_rig_that_tilts_less_makes_and_is_allowed_less():
    def shop(kind, tilt_deg=None):
        return replace(SHOP, rig=Rig(kind=kind, tilt_deg=tilt_deg))

    asked = [shop("table"), shop("table", 30.0), shop("bow"), shop("bow", 15.0)]
    assert [tools_of(one, "EPS 15").tilt_deg for one in asked] == [0.0, 30.0, 75.0, 15.0]
    (rough,) = plan().roughing
    tilted = replace(rough, cuts=(replace(rough.cuts[0], direction=slanting(0.0, 30.0)),))
    told = [faults_of(replace(plan(), workshop=one, roughing=(tilted,))) for one in asked]
    assert ["the rig by" in text for text in told] == [True, False, False, True]


def test_a_cut_into_the_form_and_into_its_glued_face_is_told():
    (rough,) = plan().roughing
    first = rough.cuts[0]
    low = replace(
        first,
        kept=tuple(translate(part, 0, -30) for part in first.kept),
        lines=tuple(translate(line, 0, -30) for line in first.lines),
    )
    text = faults_of(with_rough(cuts=(low, *rough.cuts[1:])))
    assert f"roughing cut 1 ({first.kind})" in text
    assert "takes foam off its face to piece" in text


def test_figures_of_the_estimate_that_are_not_the_roughings_are_told():
    told = plan().estimate.roughing
    for name in ("cuts", "foam_mm", "litres_off", "carve_least_litres", "setup_min"):
        wrong = replace(told, **{name: getattr(told, name) + 1})
        finding = check_costs(replace(plan(), estimate=replace(plan().estimate, roughing=wrong)))
        assert f"estimate, roughing, {name}" in str(finding.faults)
    none = replace(plan(), estimate=replace(plan().estimate, roughing=None))
    assert "roughing without it" in str(check_costs(none).faults)


def test_flat_forms_get_no_roughing():
    form = FormSettings(kind="flat", foam="EPS 15", thickness_mm=100.0)
    flat = replace(job(), form=form)
    assert rough_pieces(flat, SHOP, hill(), plan().pieces, plan().seams) == ()


# --- Files -----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    table = replace(SHOP, rig=Rig(kind="table"))
    path = tmp_path_factory.mktemp("hill") / "plan"
    made = planned(job(), table)
    write_folder(made, path, replace_old=False)
    return made, path


def test_each_cut_on_a_table_has_its_file_that_reads_back(folder):
    made, path = folder
    (rough,) = made.roughing
    files = sorted((path / "coordinates").glob("roughing-*.csv"))
    assert [file.name for file in files] == [
        f"roughing-01-cut-{cut.number:02}.csv" for cut in rough.cuts
    ]
    read = read_roughing_coordinates(files[0])
    assert (read.turn_deg, read.tilt_deg) == (rough.cuts[0].turn_deg, rough.cuts[0].tilt_deg)
    assert read.lines[0].equals_exact(rough.cuts[0].lines[0], 0.001)
    assert all(finding.passed for finding in prove_folder(path))


def test_a_file_of_a_cut_that_was_changed_is_told(folder, tmp_path):
    _, path = folder
    copy = shutil.copytree(path, tmp_path / "plan")
    file = copy / "coordinates" / "roughing-01-cut-01.csv"
    lines = file.read_text(encoding="utf-8").splitlines()
    number, right, up = lines[-2].split(",")
    lines[-2] = f"{number},{right},{float(up) - 40:.3f}"
    file.write_text("\n".join(lines), encoding="utf-8")
    faults = "\n".join(str(f) for finding in prove_folder(copy) for f in finding.faults)
    assert "another point on a line in its file" in faults
    file.unlink()
    faults = "\n".join(str(f) for finding in prove_folder(copy) for f in finding.faults)
    assert "roughing 1, cut 1: has no file" in faults


def test_offcuts_of_roughing_worth_keeping_stand_in_the_list(folder):
    made, path = folder
    kept = [lump for cut in made.roughing[0].cuts for lump in cut.offcuts if lump.keep]
    rows = [row for row in read_list(path / "offcuts.csv") if row["number"].startswith("R")]
    assert [row["weight_kg"] for row in rows] == [f"{lump.weight_kg:.3f}" for lump in kept]


def test_the_sheets_have_a_page_for_every_cut(folder):
    made, _ = folder
    titles = [page.title for page in sheet_pages(made, LANGUAGES["en"])]
    for cut in made.roughing[0].cuts:
        name = made.piece(cut.blank).name
        start = (
            f"Roughing, cut {cut.number} of {len(made.roughing[0].cuts)}: piece {cut.blank} {name}"
        )
        assert any(title.startswith(start) for title in titles)
