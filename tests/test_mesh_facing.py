"""Faces that look the wrong way are turned, against trimesh's own meshes and volumes."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_mesh_overlaps import as_mesh

from wirepath.model import Mesh
from wirepath.slicing import measured
from wirepath.tracing.facing import edges_of, outward

trimesh = pytest.importorskip("trimesh")


def ball(radius, x=0.0):
    solid = trimesh.creation.icosphere(subdivisions=1, radius=radius)
    solid.apply_translation([x, 0, 0])
    return solid


def inside_out(solid):
    return trimesh.Trimesh(solid.vertices, solid.faces[:, ::-1], process=False)


def flipped(mesh, places):
    return replace(
        mesh,
        faces=tuple(f[::-1] if k in places else f for k, f in enumerate(mesh.faces)),
    )


@settings(max_examples=20)
@given(st.sets(st.integers(0, 159)))
def test_whichever_faces_are_turned_the_solid_is_the_same_and_its_volume(places):
    solid = as_mesh(ball(100), ball(40, x=300))
    mesh, notes = outward(flipped(solid, places))
    assert mesh.faces == solid.faces
    figures = measured(mesh)
    assert figures.is_solid
    assert figures.volume_mm3 == pytest.approx(ball(100).volume + ball(40).volume)
    assert bool(notes) == bool(places)
    if places:
        assert f"{len(places)} of 160 looked the wrong way" in notes[0].text


def test_a_hollow_stays_a_hollow_also_where_the_whole_is_inside_out():
    hollow = as_mesh(ball(100), inside_out(ball(60)))
    assert outward(hollow) == (hollow, ())
    wanted = ball(100).volume - ball(60).volume
    for mesh in (hollow, flipped(hollow, range(160)), flipped(hollow, {1, 2, 90, 100})):
        turned, _ = outward(mesh)
        assert measured(turned).volume_mm3 == pytest.approx(wanted)
        assert measured(turned).is_solid


def test_one_lump_inside_out_is_turned_and_the_other_let_be():
    mesh, (note,) = outward(as_mesh(inside_out(ball(100)), ball(50, x=400)))
    assert measured(mesh).volume_mm3 == pytest.approx(ball(100).volume + ball(50).volume)
    assert note.kind == "repair"
    assert "80 of 160" in note.text


def test_boxes_that_touch_along_an_edge_are_turned_each_by_itself():
    one, other = (trimesh.creation.box((100, 100, 100)) for _ in range(2))
    other.apply_translation([100, 100, 0])
    mesh, _ = outward(flipped(as_mesh(one, inside_out(other)), {0, 13}))
    assert measured(mesh).is_solid
    assert measured(mesh).volume_mm3 == pytest.approx(2e6)


def test_faces_of_many_corners_and_needles_between_others_are_turned_too():
    points = [(x, y, z) for z in (0, 9) for x, y in ((0, 0), (9, 0), (9, 9), (0, 9))]
    points.append((4.0, 0, 0))
    faces = ((3, 2, 1, 0), (4, 5, 6, 7), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7))
    # The front side has a corner more than the bottom: a needle without area closes the seam.
    front = ((0, 8, 5, 4), (8, 1, 5), (0, 1, 8))
    mesh = Mesh(layer="box", points=tuple(points), faces=(*faces, *front))
    assert measured(mesh).volume_mm3 == pytest.approx(729)
    turned, (note,) = outward(flipped(mesh, {0, 5, 7}))
    assert turned.faces == mesh.faces
    assert "3 of 8" in note.text


def test_an_open_mesh_stays_as_it_is_and_only_its_rim_is_told_open():
    torn = as_mesh(ball(100))
    torn = flipped(replace(torn, faces=torn.faces[1:]), {5, 9})
    assert outward(torn) == (torn, ())
    assert measured(torn).open_edges == 3


def test_a_surface_with_one_side_only_is_refused():
    # The real projective plane by six corners (Mobius 1886, from memory): closed, and its
    # faces cannot all look one way.
    faces = "012 023 034 045 051 124 235 341 452 513".split()
    points = np.random.default_rng(1).uniform(0, 100, (6, 3))
    mesh = Mesh(
        layer="plane",
        points=tuple(map(tuple, points.tolist())),
        faces=tuple(tuple(int(c) for c in face) for face in faces),
    )
    assert set(edges_of(mesh).shared_by()) == {2}
    assert outward(mesh) == (mesh, ())
    assert measured(mesh).open_edges > 0
