"""SVG files become raw curves: every shape, real sizes, groups as layers, y up."""

from __future__ import annotations

import math

import pytest
import shapely

from wirepath.drawing_file import read_traced
from wirepath.errors import DrawingError
from wirepath.model import Reading

FINE = Reading(curve_tolerance_mm=0.001)


@pytest.fixture
def svg(tmp_path):
    """Return a function that writes an SVG around some elements, and its path."""

    def save(inside, head='width="200mm" height="100mm" viewBox="0 0 400 200"'):
        path = tmp_path / "drawing.svg"
        path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{inside}</svg>')
        return path

    return save


def outline(path, reading=FINE):
    (only,) = read_traced(path, reading).outlines
    return only.polygon


# Two units are a millimetre in all of these.
SHAPES = {
    '<circle cx="200" cy="100" r="60"/>': math.pi * 30**2,
    '<ellipse cx="200" cy="100" rx="60" ry="20"/>': math.pi * 30 * 10,
    '<rect x="5" y="5" width="80" height="60"/>': 40 * 30,
    '<rect width="80" height="60" rx="20"/>': 40 * 30 - (4 - math.pi) * 10**2,
    '<polygon points="0,0 80,0 80,60"/>': 40 * 30 / 2,
    '<path d="M0,0 h80 v60 h-80 z"/>': 40 * 30,
    '<path d="M0 0 A 60 60 0 0 1 120 0 Z"/>': math.pi * 30**2 / 2,
    # A parabola's segment is two thirds of its box (Archimedes, Quadrature of the Parabola).
    '<path d="M0 0 Q 60 120 120 0 Z"/>': 2 / 3 * 60 * 30,
    # A cubic with controls straight above its ends: 3/20 (by integrating y dx) x 4 of the box.
    '<path d="M0 0 C 0 80 120 80 120 0 Z"/>': 3 / 5 * 60 * 40,
    '<path d="M0,0 h80 v60 h-80 z M20,20 v20 h20 v-20 z"/>': 40 * 30 - 100,
    '<g transform="rotate(30) scale(2 1)"><rect width="40" height="60"/></g>': 40 * 30,
}


@pytest.mark.parametrize(("shape", "area"), SHAPES.items())
def test_a_shape_has_its_area(svg, shape, area):
    assert outline(svg(shape)).area == pytest.approx(area, rel=1e-4)


def test_y_runs_up(svg):
    polygon = outline(svg('<path d="M0,0 L80,60 L0,60 Z"/>'))
    assert polygon.symmetric_difference(shapely.Polygon([(0, 0), (40, 0), (0, 30)])).area < 0.01


def test_a_size_in_real_units_is_taken_as_stated(svg):
    traced = read_traced(svg('<rect width="400" height="200"/>'), FINE)
    assert traced.units == "mm (stated in the drawing)"
    assert traced.outlines[0].polygon.bounds == pytest.approx((0, 0, 200, 100), abs=1e-3)


@pytest.mark.parametrize("head", ['viewBox="0 0 400 200"', 'width="400" height="200"', ""])
def test_without_real_units_one_unit_is_one_millimetre_and_told(svg, head):
    traced = read_traced(svg('<rect width="80" height="60"/>', head), FINE)
    assert traced.outlines[0].polygon.bounds == pytest.approx((0, 0, 80, 60), abs=1e-6)
    assert any("states no unit" in note.text for note in traced.notes)


def test_groups_are_layers_and_text_names_parts(svg):
    path = svg(
        '<g id="cut"><rect width="80" height="60"/></g>'
        '<g id="notes"><rect x="200" width="80" height="60"/><text x="210" y="30">PEAR</text></g>'
    )
    traced = read_traced(path, FINE)
    assert [(o.name, o.layer) for o in traced.outlines] == [("cut", "cut"), ("PEAR", "notes")]
    assert len(read_traced(path, Reading(outline_layers=("cut",))).outlines) == 1


def test_what_is_used_twice_is_there_twice_and_hidden_things_are_counted(svg):
    path = svg(
        '<defs><rect id="stone" width="20" height="20"/></defs>'
        '<use href="#stone"/><use href="#stone" x="50"/>'
        '<circle cx="300" cy="100" r="20" style="display:none"/>'
        '<circle cx="300" cy="100" r="20" visibility="hidden"/>'
    )
    traced = read_traced(path, FINE)
    assert len(traced.outlines) == 2
    counts = {count.kind: count for count in traced.counts}
    assert (counts["circle"].found, counts["circle"].ignored) == (2, 2)


def test_an_open_stroke_is_refused(svg):
    with pytest.raises(DrawingError, match="closes no outline"):
        read_traced(svg('<path d="M0 0 L80 0 L80 60"/>'), FINE)


@pytest.mark.parametrize(
    "content",
    [
        "",
        "not xml",
        "<svg",
        "<html/>",
        '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0 L nan 5 Z C"/></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg"><g id="a"><use href="#a"/></g></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg"><circle r="1e300"/></svg>',
    ],
)
def test_what_is_no_sound_svg_is_refused(tmp_path, content):
    path = tmp_path / "thing.svg"
    path.write_text(content)
    with pytest.raises(DrawingError, match=str(path)):
        read_traced(path, FINE)
