"""What `read` tells of volumes: reliefs by their contours, hollows and overlaps of meshes."""

from dataclasses import replace
from pathlib import Path

import pytest
from shapely import box

from wirepath import report
from wirepath.forming import contour_volumes
from wirepath.job_file import read_job
from wirepath.model import Contour, Mesh, Outline, Traced

ROOT = Path(__file__).parent.parent


def cube(size, at=0.0, *, inward=False):
    """Return the points and faces of a cube with its lowest corner at x = y = z = `at`."""
    points = [(at + x, at + y, at + z) for x in (0, size) for y in (0, size) for z in (0, size)]
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    return points, [face[::-1] if inward else face for face in faces]


def joined(*cubes) -> Traced:
    points, faces = [], []
    for own, sides in cubes:
        faces += [tuple(len(points) + corner for corner in face) for face in sides]
        points += own
    return Traced(
        outlines=(), meshes=(Mesh(layer="cube", points=tuple(points), faces=tuple(faces)),)
    )


STEPS = Traced(
    outlines=(Outline(name="steps", polygon=box(0, 0, 100, 100)),),
    contours=(
        Contour(height_mm=10.0, region=box(0, 0, 50, 50)),
        Contour(height_mm=20.0, region=box(0, 0, 20, 20)),
    ),
)


def test_a_relief_is_told_up_to_its_highest_contour_where_no_job_tells_the_peak():
    bounds = contour_volumes(STEPS)["steps"]
    assert bounds.least_mm3 == pytest.approx(10 * 2500 + 10 * 400)
    assert bounds.most_mm3 == pytest.approx(10 * 10_000 + 10 * 2500)
    told = "\n".join(report.drawing_lines(STEPS, ()))
    assert "foam of 'steps': 0.03 to 0.12 litres, up to its highest contour" in told


def test_the_job_of_a_relief_tells_it_up_to_the_peak():
    job, _ = read_job(ROOT / "demo_shapes" / "pear.toml")
    job = replace(job, form=replace(job.form, peak_mm=30.0), parts=())
    bounds = report.drawing_data(STEPS, (), job)["reliefs"]["steps"]
    assert bounds["least_mm3"] == pytest.approx(10 * 2500 + 10 * 400)
    assert bounds["most_mm3"] == pytest.approx(10 * 10_000 + 10 * 2500 + 10 * 400)
    assert "highest contour" not in "\n".join(report.drawing_lines(STEPS, (), job))


def test_hollow_places_and_overlaps_of_a_mesh_are_told_in_litres():
    hollow = joined(cube(200), cube(100, 50.0, inward=True))
    told = "\n".join(report.drawing_lines(hollow, ()))
    assert "hollow places in 'cube': 1, 1.000 litres" in told
    assert "7.000" in told
    twice = joined(cube(200), cube(200, 100.0))
    told = "\n".join(report.drawing_lines(twice, ()))
    assert "shells of 'cube' overlap by 1.000 litres" in told
    assert "15.000" in told
