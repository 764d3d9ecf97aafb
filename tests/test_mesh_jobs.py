"""Jobs whose form is a mesh, from file to plan, against trimesh (its volume, area, sections)."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from label_checks import faults as label_faults
from typer.testing import CliRunner

from wirepath.assembling import glue_steps
from wirepath.checking import check_plan, check_rough_forms
from wirepath.checking.costs import check_costs
from wirepath.checking.files import check_files
from wirepath.checking.meshes import check_meshes
from wirepath.checking.parted import check_parted
from wirepath.cli import app
from wirepath.drawing_file import read_traced
from wirepath.errors import DrawingError, SettingsError
from wirepath.forming import form_levels, make_pieces
from wirepath.geometry import place
from wirepath.job_file import drawing_path, read_job
from wirepath.lists import read_list, write_lists
from wirepath.model import PartSettings, RoughingSettings
from wirepath.planning import make_plan
from wirepath.roughing import rough_forms
from wirepath.sectioning import seams, section
from wirepath.sheets.gluing_sheet import gluing_pages, pin_notes, step_text
from wirepath.sheets.layout_sheet import alike, layout_pages
from wirepath.slicing import shaped
from wirepath.varying import changes
from wirepath.wording import LANGUAGES
from wirepath.workshop import Lift

trimesh = pytest.importorskip("trimesh")

ROOT = Path(__file__).parent.parent


def lump(width=400.0, height=300.0, depth=120.0, fineness=3):
    """Return the front half of an ellipsoid, closed by a flat back."""
    solid = trimesh.creation.icosphere(subdivisions=fineness, radius=1.0)
    corners = solid.vertices * [width / 2, height / 2, depth]
    corners[:, 2] = np.maximum(corners[:, 2], 0.0)
    return trimesh.Trimesh(corners, solid.faces, process=False)


def stl(folder: Path, solid, name: str = "lump.stl") -> None:
    (folder / name).write_bytes(solid.export(file_type="stl"))


def job_file(folder: Path, *, drawing="lump.stl", read='units = "mm"\nmesh_step_mm = 20', form=""):
    (folder / "workshop.toml").write_text(
        (ROOT / "demo_shapes" / "workshop.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    path = folder / "job.toml"
    path.write_text(
        f'name = "Lump"\ndrawing = "{drawing}"\nworkshop = "workshop.toml"\ninvented = true\n'
        f'[read]\n{read}\n[form]\nkind = "relief"\nfoam = "EPS 15"\nallowance_mm = 10\n{form}\n',
        encoding="utf-8",
    )
    return path


def read(path: Path):
    job, workshop = read_job(path)
    shape, traced = shaped(job, read_traced(drawing_path(path, job), job.read))
    return shape, workshop, traced


def told(path: Path) -> dict:
    answer = CliRunner().invoke(app, ["read", str(path), "--json", "--quiet"])
    assert answer.exit_code == 0, answer.output
    return json.loads(answer.stdout)


def test_read_tells_size_surface_and_volume_as_the_other_library_does(tmp_path):
    solid = lump()
    stl(tmp_path, solid)
    (figures,) = told(job_file(tmp_path))["meshes"]
    assert figures["volume_mm3"] == pytest.approx(solid.volume, rel=1e-5)
    assert figures["surface_mm2"] == pytest.approx(solid.area, rel=1e-5)
    assert figures["size_mm"] == pytest.approx([400, 300, 120], rel=1e-5)
    assert figures["open_edges"] == 0


def test_contours_are_the_sections_that_the_other_library_cuts(tmp_path):
    solid = lump()
    stl(tmp_path, solid)
    job, _, traced = read(job_file(tmp_path))
    assert job.form.peak_mm == pytest.approx(120, abs=1e-4)
    assert [one.height_mm for one in traced.contours] == pytest.approx([20, 40, 60, 80, 100])
    for contour in traced.contours:
        section = solid.section(plane_origin=[0, 0, contour.height_mm], plane_normal=[0, 0, 1])
        flat, _ = section.to_2D()
        assert flat.area <= contour.region.area + 1e-3
        assert contour.region.area == pytest.approx(flat.area, rel=5e-3)


@pytest.mark.parametrize("kind", ["mesh", "faces", "polyface"])
def test_each_kind_of_mesh_in_a_dxf_makes_the_same_form(tmp_path, kind):
    solid = lump(fineness=2)
    stl(tmp_path, solid)
    _, _, wanted = read(job_file(tmp_path))
    drawing = ezdxf.new(units=ezdxf.units.MM)
    space = drawing.modelspace()
    space.add_lwpolyline([(0, 0), (900, 0), (900, 900)], dxfattribs={"layer": "NOTES"})
    if kind == "mesh":
        mesh = space.add_mesh(dxfattribs={"layer": "FIGURE"})
        with mesh.edit_data() as data:
            data.vertices, data.faces = solid.vertices.tolist(), solid.faces.tolist()
    elif kind == "faces":
        for face in solid.vertices[solid.faces]:
            space.add_3dface(face.tolist(), dxfattribs={"layer": "FIGURE"})
    else:
        from ezdxf.render import MeshBuilder

        builder = MeshBuilder()
        builder.vertices = [ezdxf.math.Vec3(v) for v in solid.vertices]
        builder.faces = solid.faces.tolist()
        builder.render_polyface(space, dxfattribs={"layer": "FIGURE"})
    drawing.saveas(tmp_path / "figure.dxf")
    path = job_file(
        tmp_path, drawing="figure.dxf", read='mesh_layers = ["FIG*"]\nmesh_step_mm = 20'
    )
    _, _, traced = read(path)
    assert [one.name for one in traced.outlines] == ["FIGURE"]
    assert [one.height_mm for one in traced.contours] == pytest.approx(
        [one.height_mm for one in wanted.contours], abs=1e-4
    )
    for one, other in zip(traced.contours, wanted.contours, strict=True):
        assert one.region.symmetric_difference(other.region).area < 5.0


def test_a_file_without_a_unit_is_refused_until_somebody_states_one(tmp_path):
    stl(tmp_path, lump())
    with pytest.raises(DrawingError, match="states no unit; at 1 unit = 1 mm the mesh would be"):
        read(job_file(tmp_path, read=""))
    for key, width in (
        ('units = "cm"', 4000),
        ("finished_width_mm = 800", 800),
        ("finished_height_mm = 150", 200),
        ('scale = 0.5\nunits = "mm"', 200),
        ("known_length = { start = [0, 0], end = [0, 30], length_mm = 60 }", 800),
    ):
        _, _, traced = read(job_file(tmp_path, read=f"{key}\nmesh_step_mm = 100"))
        west, south, east, _ = traced.outlines[0].polygon.bounds
        assert east - west == pytest.approx(width, abs=0.5)
        assert (west, south) == pytest.approx((0, 0), abs=0.3)


@pytest.mark.parametrize(
    ("front", "right", "up"),
    [
        ("z", 0, 1),
        ("-z", 0, 1),
        ("y", 0, 2),
        ("-y", 0, 2),
        ("x", 1, 2),
        ("-x", 1, 2),
    ],
)
def test_the_front_may_be_any_side_of_the_mesh(tmp_path, front, right, up):
    box = trimesh.creation.box((300, 200, 100))
    nose = trimesh.creation.box((40, 40, 40))
    axis = "xyz".index(front[-1])
    out = 1 if len(front) == 1 else -1
    place = np.zeros(3)
    place[axis] = out * (box.extents[axis] / 2 + 10)
    place[up] = box.extents[up] / 2 - 20
    nose.apply_translation(place)
    stl(tmp_path, trimesh.util.concatenate([box, nose]))
    _, _, traced = read(job_file(tmp_path, read=f'units = "mm"\nmesh_front = "{front}"'))
    west, south, east, north = traced.outlines[0].polygon.bounds
    assert (east - west, north - south) == pytest.approx(
        (box.extents[right], box.extents[up]), abs=0.5
    )
    # The nose stands out of the front, at the top and in the middle.
    nose_at = traced.contours[-1].region.bounds
    assert nose_at[3] == pytest.approx(north, abs=0.5)
    assert (nose_at[0] + nose_at[2]) / 2 == pytest.approx((west + east) / 2, abs=0.5)


def test_an_open_mesh_makes_a_relief_and_its_open_edges_are_told(tmp_path):
    solid = lump(fineness=2)
    solid.update_faces(solid.triangles_center[:, 2] > 1e-6)
    stl(tmp_path, solid)
    path = job_file(tmp_path)
    (figures,) = told(path)["meshes"]
    assert figures["volume_mm3"] is None
    assert figures["open_edges"] == len(trimesh.grouping.group_rows(solid.edges_sorted, 1))
    assert all(abs(z) < 1e-3 for _, _, z in figures["open_at"])
    _, _, traced = read(path)
    assert any("is open at" in note.text for note in traced.notes)


def test_a_hole_in_a_mesh_at_the_height_of_a_contour_is_filled_to_the_back(tmp_path):
    solid = trimesh.creation.icosphere(subdivisions=3, radius=1.0)
    corners = solid.vertices * [250, 180, 110]
    torn = trimesh.Trimesh(corners, solid.faces[4:], process=False)
    stl(tmp_path, torn)
    path = job_file(tmp_path, read='units = "mm"')
    job, _, traced = read(path)
    # Corners lie on the contour at 110 mm, to single precision.
    assert 110.0 in {contour.height_mm for contour in traced.contours}
    assert [str(fault) for one in check_meshes(job, traced) for fault in one.faults] == []


@pytest.mark.parametrize("lid", [False, True], ids=["walls alone", "walls and a lid"])
def test_walls_without_a_lid_stand_as_walls(tmp_path, lid):
    solid = trimesh.creation.cylinder(radius=200, height=150, sections=48)
    up = solid.face_normals[:, 2]
    kept = (np.abs(up) < 0.5) | ((up > 0.5) & lid)
    stl(tmp_path, trimesh.Trimesh(solid.vertices, solid.faces[kept], process=False))
    job, _, traced = read(job_file(tmp_path))
    assert [str(fault) for one in check_meshes(job, traced) for fault in one.faults] == []
    (outline,) = traced.outlines
    # Walls by themselves get 1 mm of foam on either side; with a lid all under it is foam.
    ring = 2 * np.pi * 200 * 2
    disk = np.pi * 200**2
    assert outline.polygon.area == pytest.approx(disk if lid else ring, rel=0.1)


def test_a_plate_lifts_the_mesh_off_the_back(tmp_path):
    stl(tmp_path, lump(fineness=2))
    job, _, traced = read(job_file(tmp_path, read='units = "mm"\nmesh_plate_mm = 30'))
    assert job.form.peak_mm == pytest.approx(150, abs=1e-4)
    assert traced.contours[0].height_mm == pytest.approx(40, abs=1e-4)


def test_lumps_of_one_mesh_are_parts_with_peaks_of_their_own(tmp_path):
    tall, low = lump(fineness=2), lump(depth=60, fineness=2)
    low.apply_translation([600, 0, 0])
    stl(tmp_path, trimesh.util.concatenate([tall, low]))
    job, workshop, traced = read(job_file(tmp_path))
    assert [one.name for one in traced.outlines] == ["lump 1", "lump 2"]
    plan = make_plan(replace(job, roughing=RoughingSettings(on=False)), workshop, traced, seconds=0)
    assert sorted(piece.thickness_mm for piece in plan.pieces) == pytest.approx([70, 130], abs=1e-3)


def test_what_a_mesh_cannot_have_is_refused_all_at_once(tmp_path):
    stl(tmp_path, lump(fineness=1))
    with pytest.raises(SettingsError) as refused:
        read_job(
            job_file(tmp_path, read='units = "mm"\ncontour_layers = ["C"]', form="peak_mm = 100")
        )
    told = "\n".join(map(str, refused.value.faults))
    assert "the form comes as a mesh, and so its peak" in told
    assert "contour_layers is given, but the form comes as a mesh" in told


def test_the_plan_of_a_mesh_is_proved_and_its_roughing_keeps_off_the_mesh(tmp_path):
    solid = lump(fineness=2)
    stl(tmp_path, solid)
    plan = make_plan(*read(job_file(tmp_path)), seconds=0)
    assert [str(f) for one in check_plan(plan) for f in one.faults] == []
    (rough,) = plan.roughing
    assert rough.cuts
    points, _ = trimesh.sample.sample_surface(solid, 3000, seed=1)
    points[:, :2] -= solid.bounds[0, :2]
    for cut in rough.cuts:
        seen = points @ np.array([cut.direction.right, cut.direction.up]).T - cut.datum
        gaps = shapely.distance(shapely.union_all(list(cut.lines)), shapely.points(seen))
        assert gaps.min() > 10.0


def test_the_check_fails_where_a_contour_cuts_into_the_mesh(tmp_path):
    stl(tmp_path, lump(fineness=2))
    job, _, traced = read(job_file(tmp_path))
    assert all(one.passed for one in check_meshes(job, traced))
    small = [
        replace(one, region=one.region.buffer(-1.0)) if index == 2 else one
        for index, one in enumerate(traced.contours)
    ]
    (finding,) = check_meshes(job, replace(traced, contours=tuple(small)))
    assert "stands outside the contour at 60 mm" in str(finding.faults[0])
    low = replace(job, form=replace(job.form, peak_mm=110.0))
    (finding,) = check_meshes(low, traced)
    assert "120.00 mm high" in str(finding.faults[0])


# --- Full round ----------------------------------------------------------------------


def bust(tmp_path, *, layer="layer_mm = 60", step=20, solid=None):
    """Return the job file of an egg that leans, 200 x 300 x 180 mm and a little more."""
    if solid is None:
        solid = trimesh.creation.icosphere(subdivisions=2, radius=100.0)
        solid.apply_scale([1.0, 1.5, 0.9])
        solid.apply_transform(trimesh.transformations.rotation_matrix(0.4, [1, 0, 0]))
    stl(tmp_path, solid, "bust.stl")
    path = job_file(
        tmp_path, drawing="bust.stl", read=f'units = "mm"\nmesh_step_mm = {step}', form=layer
    )
    path.write_text(path.read_text().replace('"relief"', '"full round"'), encoding="utf-8")
    return path, solid


@pytest.fixture(scope="module")
def layered(tmp_path_factory):
    """Return the plan of the egg in layers of 60 mm, and the egg."""
    path, solid = bust(tmp_path_factory.mktemp("bust"))
    return make_plan(*read(path), seconds=0), solid


def test_a_full_round_form_is_planned_in_layers_that_hold_it_and_its_allowance(layered):
    plan, solid = layered
    assert [str(f) for one in check_plan(plan) for f in one.faults] == []
    assert len(plan.pieces) == np.ceil((solid.extents[2] + 20) / 60)
    assert {piece.thickness_mm for piece in plan.pieces} == {60}
    # Ten millimetres off the surface, all round, there is still foam.
    points, faces = trimesh.sample.sample_surface(solid, 3000, seed=1)
    points = points + 9.9 * solid.face_normals[faces] - solid.bounds[0]
    backs = {one.name: one.from_mm for one in plan.traced.outlines}
    held = np.zeros(len(points), dtype=bool)
    for piece in plan.pieces:
        inside = (points[:, 2] >= backs[piece.part]) & (points[:, 2] <= backs[piece.part] + 60)
        held |= inside & shapely.contains_xy(piece.outline, points[:, 0], points[:, 1])
    assert held.all()


def two_balls(apart_mm: float):
    """Return balls of 120 mm beside each other, `apart_mm` between them."""
    ball = trimesh.creation.icosphere(subdivisions=2, radius=60.0)
    return ball + ball.copy().apply_translation([120.0 + apart_mm, 0.0, 0.0])


@pytest.mark.parametrize(("apart_mm", "lumps"), [(19.0, 1), (26.0, 2)])
def test_parts_of_a_layer_whose_allowances_meet_are_one_piece_of_foam(tmp_path, apart_mm, lumps):
    path, solid = bust(tmp_path, layer="layer_mm = 140", solid=two_balls(apart_mm))
    plan = make_plan(*read(path), seconds=0)
    assert len(plan.pieces) == lumps
    # As much foam as the widened shadows of both balls, and the neck between them at most.
    left, right = solid.split()
    ball = shapely.convex_hull(shapely.multipoints(left.vertices[:, :2])).buffer(10.0)
    other = shapely.convex_hull(shapely.multipoints(right.vertices[:, :2])).buffer(10.0)
    foam = sum(piece.outline.area for piece in plan.pieces)
    both = ball.union(other)
    around = both.convex_hull.area
    assert both.area - 1.0 <= foam < around
    assert [str(f) for one in check_plan(plan) for f in one.faults] == []


def test_a_full_round_form_of_lumps_apart_in_depth_is_refused_with_the_gap(tmp_path):
    upper = trimesh.creation.box((100.0, 100.0, 50.0)).apply_translation([0.0, 0.0, 150.0])
    path, _ = bust(tmp_path, solid=trimesh.creation.box((100.0, 100.0, 50.0)) + upper)
    with pytest.raises(DrawingError, match="nothing of it stands from 60 to 140 mm off its back"):
        read(path)


def test_layers_are_glued_to_one_form_from_the_back_by_marks_on_their_rims(layered):
    plan, solid = layered
    assert [(step.moved, step.onto) for step in plan.assembly.steps] == [
        ((2,), (1,)),
        ((3,), (1, 2)),
        ((4,), (1, 2, 3)),
    ]
    assert [seam.kind for seam in plan.seams] == ["layer"] * 3
    for seam, height in zip(plan.seams, (60, 120, 180), strict=True):
        one, other = (plan.piece(number).outline for number in seam.pieces)
        assert seam.from_mm == pytest.approx(height)
        assert seam.place.area == pytest.approx(one.intersection(other).area, rel=1e-6)
        assert seam.area_mm2 == pytest.approx(seam.place.area - seam.dry.area)
    for mark in plan.assembly.marks:
        assert shapely.Point(mark.at).distance(plan.seams[mark.seam - 1].place.boundary) < 0.01
    assert len(plan.assembly.marks) == 6
    foam = sum(piece.outline.area * 60 for piece in plan.pieces)
    assert plan.estimate.carve_litres == pytest.approx((foam - solid.volume) / 1e6, rel=1e-5)


def test_the_steps_of_gluing_layers_say_what_holds_them_without_pins(layered):
    plan, _ = layered
    bare = replace(plan, assembly=replace(plan.assembly, pins=()))
    for words in LANGUAGES.values():
        text = step_text(bare, plan.assembly.steps[0], words)
        assert words.gluing_step_no_pins_layer in text
        assert "A, B, C" in "".join(pin_notes(bare, [1, 2, 3], words))
        # One step through two faces: the pins of either hold both.
        once = replace(plan.assembly.steps[0], seams=(1, 2))
        pins = tuple(pin for pin in plan.assembly.pins if pin.seam == 2)
        joint = replace(plan, assembly=replace(plan.assembly, steps=(once,), pins=pins))
        assert len(pins) == 2
        assert list(pin_notes(joint, [1, 2], words)) == []


@pytest.mark.parametrize("most_kg", [100.0, 0.1])
def test_the_steps_of_gluing_layers_tell_dowels_weights_and_who_lifts(layered, most_kg):
    plan, _ = layered
    lift = Lift(one_person_kg=most_kg, two_people_kg=most_kg * 1.2)
    plan = replace(plan, workshop=replace(plan.workshop, lift=lift))
    told = " ".join(written(gluing_pages(plan, LANGUAGES["en"])[-1]))
    lengths = Counter(round(pin.end[2] - pin.start[2], 3) for pin in plan.assembly.pins)
    for length, count in lengths.items():
        assert f"{count} of 8 x {length:g} mm" in told
    weights = dict(plan.estimate.piece_weights_kg)
    last = "" if most_kg > 1 else ": more than two people: needs a trolley or a hoist"
    assert f"Then bust is one: {sum(weights.values()):.2f} kg{last}." in told
    assert f"{weights[2]:.2f} kg to move" in told
    assert "weights on that, all over alike" in told


def test_a_step_says_where_a_lump_goes_under_what_is_glued_already(layered):
    plan, _ = layered
    (first, *_), words = plan.assembly.steps, LANGUAGES["en"]
    assert words.gluing_step_under not in step_text(plan, first, words)
    turned = replace(first, moved=first.onto, onto=first.moved)
    assert words.gluing_step_under in step_text(plan, turned, words)


def written(page):
    return [text.text for text in page.texts]


@pytest.mark.parametrize("language", sorted(LANGUAGES))
def test_faces_between_layers_are_drawn_with_pins_measured_from_two_boards(layered, language):
    plan, _ = layered
    words = LANGUAGES[language]
    title = words.faces_title.format(form="bust")
    (page,) = [one for one in gluing_pages(plan, words) if one.title == title]
    assert plan.assembly.pins
    for pin in plan.assembly.pins:
        lower = plan.piece(min(plan.seams[pin.seam - 1].pieces)).outline
        assert f"{pin.start[0] - lower.bounds[0]:.0f}" in written(page)
        assert f"{pin.start[1] - lower.bounds[1]:.0f}" in written(page)
    assert label_faults(page) == []


def test_a_layout_lists_the_pins_of_its_layers_on_both_faces_from_the_datum_corner(layered):
    plan, _ = layered
    words = LANGUAGES["en"]
    told = [
        text
        for group in alike(plan)
        for p in layout_pages(plan, group, words)
        for text in written(p)
    ]
    assert words.pins_first in " ".join(told)
    for layout in plan.layouts:
        for one in layout.placements:
            for pin in plan.assembly.pins:
                seam = plan.seams[pin.seam - 1]
                if one.piece in seam.pieces:
                    spot = place(shapely.Point(*pin.start[:2]), one)
                    # Layers number from the back: the lower one has the pin in its front.
                    side = "front" if one.piece == min(seam.pieces) else "back"
                    row = [str(one.piece), "ABC"[pin.seam - 1], str(pin.number), side]
                    row += [
                        f"{spot.x:.0f}",
                        f"{spot.y:.0f}",
                        f"{(pin.end[2] - pin.start[2]) / 2:g}",
                    ]
                    assert any(told[k : k + len(row)] == row for k in range(len(told))), row


def test_the_list_of_pins_says_what_the_plan_says_and_is_told_where_it_does_not(layered, tmp_path):
    plan, _ = layered
    write_lists(plan, tmp_path)
    rows = list(read_list(tmp_path / "pins.csv"))
    assert len(rows) == 2 * len(plan.assembly.pins)

    def faults(rows):
        lists = [read_list(tmp_path / f"{name}.csv") for name in ("order", "pieces", "offcuts")]
        findings = check_files(plan, {}, *lists, pin_rows=rows)
        return [str(f) for one in findings if "list of pins" in one.title for f in one.faults]

    assert faults(rows) == []
    assert "is in the plan, but not in the list" in faults(rows[1:])[0]
    wrong = [{**rows[0], "right_mm": "1.0", "on": "edge"}, *rows[1:]]
    assert len(faults(wrong)) == 2


def test_each_copy_of_a_full_round_form_has_all_its_layers(tmp_path):
    path, _ = bust(tmp_path)
    job, _, traced = read(path)
    twice = replace(job, parts=(PartSettings(name="bust *", copies=2),))
    pieces = make_pieces(twice, traced)
    for form in ("bust 1", "bust 2"):
        own = [piece for piece in pieces if piece.section_of == form]
        assert [piece.from_mm for piece in own] == pytest.approx([0, 60, 120, 180])
    uneven = replace(job, parts=(PartSettings(name="bust layer 2", copies=2),))
    with pytest.raises(SettingsError, match="asked for 1 and 2 times"):
        make_pieces(uneven, traced)


def test_a_layer_larger_than_a_block_is_parted_and_still_one_of_the_form(tmp_path):
    path, _ = bust(tmp_path)
    job, workshop, traced = read(path)
    pieces = section(
        make_pieces(job, traced),
        form_levels(job, traced),
        workshop,
        replace(job.seams, at_x_mm=(100.0,)),
    )
    assert {piece.section_of for piece in pieces} == {"bust"}
    assert [piece.name for piece in pieces[2:4]] == ["bust layer 2.1", "bust layer 2.2"]
    assert sorted({piece.from_mm for piece in pieces}) == pytest.approx([0, 60, 120, 180])
    assert len(glue_steps(pieces, seams(pieces))) == len(pieces) - 1


def test_the_check_fails_where_a_layer_stands_elsewhere_or_in_another_form(layered):
    plan, _ = layered

    def told(**changes) -> str:
        second = replace(plan.piece(2), **changes)
        pieces = (plan.piece(1), second, *plan.pieces[2:])
        return str(check_parted(replace(plan, pieces=pieces)).faults)

    assert "mm2 of the form stand in no piece" in told(from_mm=65.0)
    assert "it lacks bust layer 2" in told(section_of="another")
    assert "it is a layer of no form" in told(section_of=None)
    carved = replace(plan.estimate, carve_litres=plan.estimate.carve_litres + 0.1)
    finding = check_costs(replace(plan, estimate=carved))
    assert "carve_litres" in str(finding.faults)


def test_sections_of_a_full_round_form_hold_those_that_the_other_library_cuts(tmp_path):
    path, solid = bust(tmp_path, step=10)
    _, _, traced = read(path)
    for one in traced.sections[1:-1]:
        rings = []
        for z in np.linspace(one.from_mm + 0.1, one.to_mm - 0.1, 3):
            cut = solid.section(plane_origin=[0, 0, solid.bounds[0, 2] + z], plane_normal=[0, 0, 1])
            rings += [shapely.Polygon(ring[:, :2] - solid.bounds[0, :2]) for ring in cut.discrete]
        seen = shapely.union_all(rings)
        assert shapely.buffer(one.region, 1e-3).covers(seen)
        assert one.region.area < 1.05 * seen.area


def test_a_full_round_form_is_roughed_out_of_one_block_from_all_sides(tmp_path):
    path, solid = bust(tmp_path, layer="", step=30)
    job, workshop, traced = read(path)
    plans = rough_forms(job, workshop, traced)
    (plan,) = plans
    findings = check_rough_forms(job, workshop, traced, plans)
    assert [str(fault) for one in findings for fault in one.faults] == []
    assert plan.blanks[0].from_mm == pytest.approx(-10)
    assert plan.blanks[0].thickness_mm == pytest.approx(solid.extents[2] + 20, abs=1e-2)
    # The volume is the mesh's own, not bounded by its sections.
    assert plan.carve_most_litres == pytest.approx(plan.left_litres - solid.volume / 1e6, abs=1e-3)
    assert sum(cut.kind == "profile" for cut in plan.cuts) >= 2


def test_an_open_mesh_makes_no_full_round_form_but_one_inside_out_is_turned(tmp_path):
    _, solid = bust(tmp_path)
    torn = trimesh.Trimesh(solid.vertices, solid.faces[1:], process=False)
    path, _ = bust(tmp_path, solid=torn)
    with pytest.raises(DrawingError, match=r"first near x .* mm: the mesh is not closed: 3 edges"):
        read(path)
    _, _, wanted = read(bust(tmp_path)[0])
    path, _ = bust(tmp_path, solid=trimesh.Trimesh(solid.vertices, solid.faces[:, ::-1]))
    _, _, traced = read(path)
    assert [str(note.text) for note in traced.notes if note.kind == "repair"] == [
        "faces of the mesh 'bust' turned round: 320 of 320 looked the wrong way"
    ]
    assert [one.region for one in traced.sections] == [one.region for one in wanted.sections]


def test_the_check_fails_where_sections_or_layers_do_not_hold_the_mesh(tmp_path):
    path, _ = bust(tmp_path)
    job, _, traced = read(path)
    assert all(one.passed for one in check_meshes(job, traced))
    sections = [*traced.sections]
    sections[4] = replace(sections[4], region=sections[4].region.buffer(-1.0))
    (finding,) = check_meshes(job, replace(traced, sections=tuple(sections)))
    assert "stands outside what is kept from" in str(finding.faults[0])
    assert "sections" in str(finding.faults[0])
    layers = [replace(one, polygon=one.polygon.buffer(-5.0)) for one in traced.outlines]
    (finding,) = check_meshes(job, replace(traced, outlines=tuple(layers)))
    assert "layers" in str(finding.faults[0])
    (finding,) = check_meshes(job, replace(traced, outlines=traced.outlines[:-1]))
    assert "nothing stands from" in str(finding.faults[0])


def test_a_change_of_scale_or_allowance_makes_the_layers_anew(layered):
    plan, solid = layered
    rows = {one.name: one for one in changes(plan, share=0.5)}
    for name, depth in (
        ("scale +50 %", 1.5 * solid.extents[2] + 20),
        ("allowance 15 mm", solid.extents[2] + 30),
    ):
        _, traced = shaped(rows[name].job, rows[name].traced)
        assert len(traced.outlines) == np.ceil(depth / 60)
        assert all(one.passed for one in check_meshes(rows[name].job, traced))
