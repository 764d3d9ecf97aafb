"""Meshes as forms, against trimesh (its own volume, area, sections and files)."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from wirepath.checking.prisms import Prism
from wirepath.checking.roughing_proof import check_roughing
from wirepath.drawing_file import read_traced
from wirepath.errors import DrawingError, FileError
from wirepath.mesh_file import read_stl
from wirepath.model import Mesh, Reading
from wirepath.roughing import Tools, plan_roughing, snug_blank
from wirepath.roughing.stack import volume_mm3
from wirepath.slicing import mesh_levels, refuse_faulty, relief_levels, triangles
from wirepath.slicing.mesh import mesh_volume_mm3, surface_mm2

trimesh = pytest.importorskip("trimesh")


def solids():
    ring = trimesh.creation.torus(120, 40, major_sections=32, minor_sections=16)
    ring.apply_transform(trimesh.transformations.rotation_matrix(0.7, [1, 0.3, 0]))
    return {
        "ball": trimesh.creation.icosphere(subdivisions=2, radius=150),
        "box": trimesh.creation.box((300, 200, 100)),
        "cone": trimesh.creation.cone(100, 250, sections=40),
        "ring": ring,
    }


def as_mesh(solid, layer="solid") -> Mesh:
    return Mesh(
        layer=layer,
        points=tuple(map(tuple, solid.vertices.tolist())),
        faces=tuple(map(tuple, solid.faces.tolist())),
    )


@pytest.mark.parametrize("name", ["ball", "box", "cone", "ring"])
def test_volume_and_surface_are_those_of_the_other_library(name):
    solid = solids()[name]
    faces = triangles([as_mesh(solid)])
    assert mesh_volume_mm3(faces) == pytest.approx(solid.volume)
    assert surface_mm2(faces) == pytest.approx(solid.area)


@pytest.mark.parametrize("kind", ["stl", "stl_ascii"])
def test_both_kinds_of_stl_are_read(tmp_path, kind):
    solid = solids()["ring"]
    path = tmp_path / "ring.stl"
    data = solid.export(file_type=kind)
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    mesh = read_stl(path, scale=2.0)
    faces = triangles([mesh])
    assert mesh.layer == "ring"
    assert mesh_volume_mm3(faces) == pytest.approx(8 * solid.volume, rel=1e-5)
    refuse_faulty(mesh)


def refused(path, data) -> str:
    path.write_bytes(data)
    with pytest.raises(DrawingError) as error:
        read_traced(path, Reading(units="mm"))
    told = str(error.value)
    assert told.count(str(path)) == 1
    assert "export" in told
    return told


FACET = (
    "facet normal 0 0 1\n outer loop\n  vertex 0 0 0\n  vertex 9 0 0\n  vertex 0 9 0\n"
    " endloop\nendfacet\n"
)


def test_damaged_files_are_refused_in_words_that_name_the_file_once(tmp_path):
    path = tmp_path / "bad.stl"
    with pytest.raises(FileError, match="cannot be read"):
        read_stl(path)
    assert "cut off in its header" in refused(path, b"PK")
    assert "is no STL file" in refused(path, b"\x00" * 90)
    short = "solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0\nendloop\nendfacet\nendsolid"
    assert "line 6: face 1 lacks a corner" in refused(path, short.encode())
    holed = f"solid x\n{FACET.replace('9 0 0', '9 0')}endsolid".encode()
    assert "line 5: a corner lacks a figure" in refused(path, holed)
    four = FACET.replace(" endloop", "  vertex 0 0 0\n endloop")
    assert "line 7: face 1 lacks a corner or has one too many" in refused(
        path, f"solid x\n{four}endsolid x\n".encode()
    )
    assert "no faces" in refused(path, b"solid x\nendsolid x\n")


def test_a_text_file_cut_off_between_faces_or_solids_is_refused_with_its_last_line(tmp_path):
    path = tmp_path / "cut.stl"
    told = refused(path, f"solid vertex\n{FACET}{FACET}\n\n".encode())
    assert "line 15, its last: the file is cut off: it ends with 'endfacet'" in told
    second = f"solid a\n{FACET}endsolid a\nsolid b\n{FACET}"
    assert "line 17, its last" in refused(path, second.encode())
    path.write_text(f"{second}endsolid b\n")
    assert len(read_stl(path).faces) == 2


@pytest.mark.parametrize("change", [-50, -1, 2])
@pytest.mark.parametrize("head", [b"solid of bytes", b"made somewhere"])
def test_a_binary_file_must_be_as_long_as_its_count_says(tmp_path, change, head):
    data = head.ljust(80, b" ") + solids()["box"].export(file_type="stl")[80:]
    path = tmp_path / "box.stl"
    path.write_bytes(data)
    assert len(read_stl(path).faces) == 12
    wrong = data[:change] if change < 0 else data + b"\x00" * change
    told = refused(path, wrong)
    assert f"counts 12 faces, which take 684 bytes, but holds {684 + change} bytes" in told


def test_faces_with_two_corners_at_one_place_are_left_out_and_counted(tmp_path):
    path = tmp_path / "thin.stl"
    path.write_text(f"solid x\n{FACET}{FACET.replace('9 0 0', '0 0 0')}endsolid x\n")
    traced = read_traced(path, Reading(units="mm"))
    assert len(traced.meshes[0].faces) == 1
    (count,) = traced.counts
    assert (count.found, count.read, count.ignored) == (2, 1, 1)
    assert count.why == "two corners lie at one place"


def test_a_mesh_that_is_open_or_inside_out_is_refused():
    ball = as_mesh(solids()["ball"])
    with pytest.raises(DrawingError, match="3 edges have a face on one side only"):
        refuse_faulty(replace(ball, faces=ball.faces[1:]))
    with pytest.raises(DrawingError, match="inside out"):
        refuse_faulty(replace(ball, faces=tuple(face[::-1] for face in ball.faces)))


@pytest.mark.parametrize("name", ["ball", "box", "cone", "ring"])
def test_levels_hold_the_mesh_and_close_in_on_it(name):
    solid = solids()[name]
    faces = triangles([as_mesh(solid)])
    coarse, fine = (volume_mm3(mesh_levels(faces, spacing_mm=s)) for s in (20.0, 5.0))
    assert solid.volume * (1 - 1e-9) <= fine <= coarse
    assert fine < 1.15 * solid.volume
    points, _ = trimesh.sample.sample_surface(solid, 2000, seed=1)
    points[:, 2] -= solid.bounds[0, 2]
    for level in mesh_levels(faces, spacing_mm=10.0):
        here = points[(points[:, 2] > level.from_mm) & (points[:, 2] < level.to_mm)]
        room = shapely.buffer(level.region, 1e-6)
        assert shapely.contains_xy(room, here[:, 0], here[:, 1]).all()


def test_a_relief_from_an_open_surface_stands_on_its_back():
    x, y = np.meshgrid(np.linspace(-100, 100, 21), np.linspace(-100, 100, 21))
    z = 80 - (x**2 + y**2) / 400
    points = tuple(map(tuple, np.stack([x, y, z], axis=-1).reshape(-1, 3).tolist()))
    quads = tuple(
        (21 * j + i, 21 * j + i + 1, 21 * (j + 1) + i + 1, 21 * (j + 1) + i)
        for j in range(20)
        for i in range(20)
    )
    faces = triangles([Mesh(layer="relief", points=points, faces=quads)])
    # Over the square the mean of (x^2 + y^2) / 400 is 2 * 100^2 / 3 / 400.
    exact = 200 * 200 * (80 - 2 * 100**2 / 3 / 400)
    levels = relief_levels(faces, spacing_mm=2.0)
    assert levels[0].from_mm == 0
    assert exact < volume_mm3(levels) < exact + 2.1 * 200 * 200


def test_a_full_round_ball_is_roughed_on_all_sides():
    ball = solids()["ball"]
    levels = mesh_levels(triangles([as_mesh(ball)]), spacing_mm=10.0)
    blank = snug_blank(levels, margin_mm=40, front_mm=40, back_mm=40)
    bow = Tools(kerf_mm=2.0, wire_mm=600.0, by_hand=True, tilt_deg=75.0)
    plan = plan_roughing(
        levels, blank, bow, allowance_mm=15.0, way="with tilted profiles", compare=False
    )
    prisms = [Prism(low_mm=one.from_mm, high_mm=one.to_mm, region=one.region) for one in levels]
    found = check_roughing(plan, prisms, wire_mm=600.0)
    assert [str(fault) for finding in found for fault in finding.faults] == []
    # No wire takes less than the ball and its allowance leave.
    assert plan.left_litres > 4 / 3 * math.pi * 165**3 / 1e6
    assert plan.litres_off > 0.93 * plan.bound_litres
