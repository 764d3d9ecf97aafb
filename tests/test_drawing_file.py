"""DXF files on disk become raw curves: every kind, every plane, every insert, all counted."""

from __future__ import annotations

import csv
import io
import logging
import math
from pathlib import Path

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely
from ezdxf.math import Matrix44

from wirepath.drawing_file import read_drawing, read_survey, read_traced
from wirepath.errors import DrawingError, FileError
from wirepath.model import Reading

REAL = Path(__file__).parent.parent.parent / "shared" / "drawings"
FINE = Reading(curve_tolerance_mm=0.001)


@pytest.fixture
def write(tmp_path):
    """Return a function that saves what `draw(modelspace, document)` draws, and its path."""

    def save(draw, version="R2010", units=4, **how):
        document = ezdxf.new(version, units=units)
        draw(document.modelspace(), document)
        path = tmp_path / "drawing.dxf"
        document.saveas(path, **how)
        return path

    return save


def outline(path, reading=FINE):
    (only,) = read_traced(path, reading).outlines
    return only.polygon


def box(target, x=0.0, y=0.0, width=40.0, height=30.0, **attributes):
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    target.add_lwpolyline(corners, close=True, dxfattribs=attributes)


def count_of(path, kind, reading=FINE):
    counts = {count.kind: count for count in read_survey(path, reading).traced.counts}
    count = counts[kind]
    assert count.found == count.read + count.ignored + count.refused
    return count


# --- Curves, against their closed formulas ------------------------------------------


def test_a_circle_has_its_area(write):
    path = write(lambda msp, _: msp.add_circle((500, 500), 100))
    assert outline(path).area == pytest.approx(math.pi * 100**2, rel=2e-5)


def test_curves_stray_by_no_more_than_the_tolerance(write):
    path = write(lambda msp, _: msp.add_circle((0, 0), 1000))
    polygon = outline(path, Reading(curve_tolerance_mm=0.5))
    middles = shapely.line_interpolate_point(
        polygon.exterior, np.linspace(0, polygon.exterior.length, 5000)
    )
    strays = 1000 - shapely.distance(middles, shapely.Point(polygon.centroid))
    assert 0.3 < strays.max() <= 0.5 + 1e-6


def test_the_tolerance_holds_at_finished_size(write):
    path = write(lambda msp, _: msp.add_circle((0, 0), 1))
    polygon = outline(path, Reading(finished_width_mm=2000, curve_tolerance_mm=0.05))
    assert polygon.area == pytest.approx(math.pi * 1000**2, rel=1e-4)


def test_an_ellipse_has_its_area(write):
    path = write(lambda msp, _: msp.add_ellipse((0, 0), major_axis=(60, 80), ratio=0.3))
    assert outline(path).area == pytest.approx(math.pi * 100 * 30, rel=1e-4)


def test_half_an_ellipse_runs_counter_clockwise_from_its_start(write):
    def draw(msp, _):
        msp.add_ellipse((0, 0), (100, 0), 0.5, start_param=0, end_param=math.pi)
        msp.add_line((-100, 0), (100, 0))

    assert outline(write(draw)).area == pytest.approx(math.pi * 100 * 50 / 2, rel=1e-4)


def test_an_arc_runs_counter_clockwise_across_east(write):
    def draw(msp, _):
        msp.add_arc((0, 0), 100, 270, 90)
        msp.add_line((0, -100), (0, 100))

    assert outline(write(draw)).area == pytest.approx(math.pi * 100**2 / 2, rel=1e-4)


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_a_bulge_of_one_is_half_a_circle(write, version):
    def draw(msp, _):
        corners = [(0, 0, 1), (100, 0, 0), (100, 50, 0), (0, 50, 0)]
        if version == "R12":
            msp.add_polyline2d(corners, format="xyb", close=True)
        else:
            msp.add_lwpolyline(corners, format="xyb", close=True)

    # Positive bulge: counter-clockwise from corner to corner, so the arc hangs below.
    area = outline(write(draw, version=version)).area
    assert area == pytest.approx(100 * 50 + math.pi * 50**2 / 2, rel=1e-4)


def test_a_spline_agrees_with_the_library_that_wrote_it(write):
    points = [(0, 0, 0), (100, 30, 0), (180, -40, 0), (90, -120, 0), (10, -90, 0)]
    spline = None

    def draw(msp, _):
        nonlocal spline
        spline = msp.add_spline()
        spline.set_closed(points, degree=3)

    path = write(draw)
    reference = shapely.Polygon([(p.x, p.y) for p in spline.construction_tool().approximate(20000)])
    assert outline(path).area == pytest.approx(reference.area, rel=1e-4)


def test_a_quarter_circle_as_a_rational_spline_is_round(write):
    # Piegl and Tiller, The NURBS Book, ex. 7.2: weights 1, sqrt(1/2), 1 give a circle.
    def draw(msp, _):
        msp.add_rational_spline(
            [(100, 0), (100, 100), (0, 100)], weights=[1, math.sqrt(0.5), 1], degree=2
        )
        msp.add_line((0, 100), (0, 0))
        msp.add_line((0, 0), (100, 0))

    assert outline(write(draw)).area == pytest.approx(math.pi * 100**2 / 4, rel=1e-4)


def test_a_spline_through_fit_points_passes_them(write):
    fit = [(0, 0), (50, 40), (100, 0), (150, 60)]

    def draw(msp, _):
        msp.add_spline(fit)
        msp.add_lwpolyline([(150, 60), (150, -50), (0, -50), (0, 0)])

    polygon = outline(write(draw))
    shift = (0, 50)
    for x, y in fit:
        assert polygon.exterior.distance(shapely.Point(x + shift[0], y + shift[1])) < 0.01


@pytest.mark.parametrize("extrusion", [(0, 0, 1), (0, 0, -1), (0.3, -0.5, 0.8)])
@pytest.mark.parametrize("kind", ["arc", "circle", "ellipse", "polyline"])
def test_a_curve_in_any_plane_agrees_with_the_library_that_flattens_it(write, kind, extrusion):
    how = {"extrusion": extrusion}
    drawn = None

    def draw(msp, _):
        nonlocal drawn
        if kind == "arc":
            drawn = msp.add_arc((30, 40, 5), 50, 200, 20, dxfattribs=how)
        elif kind == "circle":
            drawn = msp.add_circle((30, 40, 5), 50, dxfattribs=how)
        elif kind == "ellipse":
            axis = np.cross(extrusion, (1, 2, 0.5)) * 40
            drawn = msp.add_ellipse((30, 40, 5), axis, 0.4, 0.5, 4, dxfattribs=how)
        else:
            corners = [(0, 0, 0.7), (50, 10, -0.4), (60, 70, 0)]
            drawn = msp.add_lwpolyline(corners, format="xyb", dxfattribs=how)

    path = write(draw)
    curves = ezdxf.path.make_path(drawn).flattening(0.001)
    theirs = shapely.LineString([(p.x, p.y) for p in curves])
    (ours,) = (curve.line for curve in read_drawing(path, FINE).curves)
    # make_path puts Bezier curves for arcs, off by 0.03 % of the radius.
    assert shapely.hausdorff_distance(ours, theirs, densify=0.01) < 0.03
    assert ours.length == pytest.approx(theirs.length, rel=1e-3)


# --- Planes and inserts -------------------------------------------------------------


def test_what_is_drawn_from_the_back_is_mirrored(write):
    def draw(msp, _):
        corners = [(0, 0), (40, 0), (0, 30)]
        msp.add_lwpolyline(corners, close=True, dxfattribs={"extrusion": (0, 0, -1)})

    # Seen from +z, x runs the other way: the right angle is at the right.
    polygon = outline(write(draw))
    assert polygon.equals(shapely.Polygon([(40, 0), (40, 30), (0, 0)]))


def test_a_circle_in_a_tilted_plane_is_read_as_it_looks_and_told(write):
    tilt = (0, math.sin(math.radians(60)), math.cos(math.radians(60)))
    path = write(lambda msp, _: msp.add_circle((0, 0), 100, dxfattribs={"extrusion": tilt}))
    traced = read_traced(path, FINE)
    assert traced.outlines[0].polygon.area == pytest.approx(math.pi * 100 * 50, rel=1e-4)
    assert any("tilted plane" in note.text for note in traced.notes)


INSERTS = {
    "moved": {},
    "scaled": {"xscale": 2, "yscale": 2, "zscale": 2},
    "mirrored": {"xscale": -1},
    "stretched": {"xscale": 3, "yscale": 0.5},
    "turned": {"rotation": 30},
    "turned, stretched, mirrored": {"xscale": -2, "yscale": 0.7, "rotation": 130},
    "drawn from the back": {"extrusion": (0, 0, -1), "rotation": 20},
}


@pytest.mark.parametrize("how", INSERTS.values(), ids=INSERTS.keys())
def test_an_insert_agrees_with_the_library_that_explodes_it(write, how):
    def draw(msp, document):
        block = document.blocks.new("LEAF", base_point=(5, 5))
        block.add_lwpolyline(
            [(0, 0, 0.4), (40, 0, 0), (40, 30, -0.2), (0, 30, 0)], "xyb", close=True
        )
        block.add_circle((10, 10), 4)
        msp.add_blockref("LEAF", (200, 100), dxfattribs=how)

    path = write(draw)
    ours = outline(path)
    exploded = ezdxf.readfile(path)
    for insert in exploded.modelspace().query("INSERT"):
        insert.explode()
    exploded.saveas(path)
    theirs = outline(path)
    assert len(ours.interiors) == 1
    assert ours.symmetric_difference(theirs).area < 0.002 * ours.length


def test_inserts_within_inserts_are_opened(write):
    def draw(msp, document):
        inner = document.blocks.new("INNER")
        box(inner, width=10, height=10)
        outer = document.blocks.new("OUTER")
        outer.add_blockref("INNER", (0, 0), dxfattribs={"xscale": 2, "yscale": 2})
        msp.add_blockref("OUTER", (0, 0), dxfattribs={"xscale": 3, "yscale": 1})

    assert outline(write(draw)).bounds == pytest.approx((0, 0, 60, 20))


def test_a_z_scale_of_nought_counts_as_one(write):
    def draw(msp, document):
        inner = document.blocks.new("INNER")
        box(inner)
        outer = document.blocks.new("OUTER")
        outer.add_blockref("INNER", (0, 0), dxfattribs={"zscale": 0})
        msp.add_blockref("OUTER", (0, 0), dxfattribs={"zscale": 0, "rotation": 90})

    assert outline(write(draw)).area == pytest.approx(1200)


def test_rows_and_columns_of_an_insert_are_all_there(write):
    def draw(msp, document):
        box(document.blocks.new("STONE"))
        how = {"row_count": 3, "column_count": 4, "row_spacing": 50, "column_spacing": 60}
        msp.add_blockref("STONE", (0, 0), dxfattribs={**how, "rotation": 90})

    path = write(draw)
    traced = read_traced(path, FINE)
    assert len(traced.outlines) == 12
    # Three columns of 60 turned upright and a box 40 wide: 220 high; two rows of 50: 130.
    bounds = shapely.total_bounds([o.polygon for o in traced.outlines])
    assert bounds == pytest.approx([0, 0, 130, 220])
    assert count_of(path, "LWPOLYLINE").read == 12


def test_a_block_that_holds_itself_is_refused_and_counted(write):
    def draw(msp, document):
        block = document.blocks.new("LOOP")
        box(block)
        block.add_blockref("LOOP", (10, 0))
        msp.add_blockref("LOOP", (0, 0))

    path = write(draw)
    assert len(read_survey(path, FINE).traced.outlines) == 1
    count = count_of(path, "INSERT")
    assert (count.read, count.refused) == (1, 1)
    assert "holds itself" in count.why


def test_what_a_block_holds_on_layer_nought_takes_the_layer_of_its_insert(write):
    def draw(msp, document):
        block = document.blocks.new("STONE")
        box(block, layer="0")
        box(block, x=100, layer="own")
        msp.add_blockref("STONE", (0, 0), dxfattribs={"layer": "arch"})

    assert [o.layer for o in read_traced(write(draw), FINE).outlines] == ["arch", "own"]


# --- What is seen, what is counted --------------------------------------------------


@pytest.mark.parametrize("state", ["off", "freeze"])
def test_layers_out_of_sight_are_not_read_and_told(write, state):
    def draw(msp, document):
        getattr(document.layers.add("ghost"), state)()
        box(msp)
        box(msp, x=100, layer="ghost")

    path = write(draw)
    traced = read_traced(path, FINE)
    assert len(traced.outlines) == 1
    assert any("layer 'ghost': 1 curves are not read" in note.text for note in traced.notes)
    assert count_of(path, "LWPOLYLINE").ignored == 1
    assert len(read_traced(path, Reading(hidden_layers=True)).outlines) == 2


def test_what_is_marked_invisible_or_never_printed_is_not_read(write):
    def draw(msp, _):
        box(msp)
        box(msp, x=100, invisible=1)
        box(msp, x=200, layer="Defpoints")

    assert len(read_traced(write(draw), FINE).outlines) == 1


def test_text_and_dimensions_are_counted_but_not_cut(write):
    def draw(msp, _):
        box(msp)
        msp.add_text("PEAR").set_placement((10, 10))
        msp.add_mtext("12 pcs").set_location((500, 10))
        msp.add_linear_dim(base=(0, -10), p1=(0, 0), p2=(40, 0)).render()
        msp.add_point((3, 3))

    path = write(draw)
    assert [o.name for o in read_traced(path, FINE).outlines] == ["PEAR"]
    for kind in ("TEXT", "MTEXT", "DIMENSION", "POINT"):
        count = count_of(path, kind)
        assert (count.found, count.ignored) == (1, 1)
        assert count.why


def test_meshes_are_handed_on(write):
    def draw(msp, _):
        box(msp, width=200, height=200)
        msp.add_3dface([(0, 0, 0), (40, 0, 0), (40, 30, 10), (0, 30, 10)])
        mesh = msp.add_mesh()
        with mesh.edit_data() as data:
            data.vertices = [(0, 0, 0), (10, 0, 0), (0, 10, 5)]
            data.faces = [(0, 1, 2)]
        from ezdxf.render.forms import cube

        cube().render_polyface(msp, dxfattribs={"layer": "cube"})

    path = write(draw)
    meshes = {mesh.layer: mesh for mesh in read_traced(path, Reading(scale=2)).meshes}
    assert len(meshes["0"].faces) == 2
    assert len(meshes["cube"].faces) == 6
    assert max(z for _, _, z in meshes["0"].points) == 20
    assert count_of(path, "3DFACE").read == 1


def test_a_drawing_of_nothing_but_a_mesh_says_so(write):
    path = write(lambda msp, _: msp.add_3dface([(0, 0, 0), (40, 0, 0), (40, 30, 10)]))
    with pytest.raises(DrawingError, match="no outline in the drawing; it holds 1 faces of a mesh"):
        read_traced(path, FINE)


def test_the_border_of_a_hatch_is_offered_and_read_where_asked(write):
    def draw(msp, _):
        hatch = msp.add_hatch()
        hatch.paths.add_polyline_path([(0, 0, 0), (100, 0, 1), (100, 50, 0), (0, 50, 0)])
        edges = hatch.paths.add_edge_path()
        edges.add_arc((30, 25), 10, 0, 360)

    path = write(draw)
    with pytest.raises(DrawingError, match="hatch_borders = true"):
        read_traced(path, FINE)
    polygon = outline(path, Reading(hatch_borders=True, curve_tolerance_mm=0.001))
    assert polygon.area == pytest.approx(5000 + math.pi * 625 / 2 - math.pi * 100, rel=1e-4)


def test_a_wide_polyline_is_told(write):
    def draw(msp, _):
        msp.add_lwpolyline([(0, 0), (90, 0), (90, 60)], close=True, dxfattribs={"const_width": 3})

    assert any("drawn with a width" in note.text for note in read_traced(write(draw), FINE).notes)


def test_printed_sheets_are_told(write):
    def draw(msp, document):
        box(msp)
        document.layout("Layout1").add_line((0, 0), (1, 1))

    assert any("paper space" in note.text for note in read_traced(write(draw), FINE).notes)


# --- Versions and damage ------------------------------------------------------------


@pytest.mark.parametrize("version", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
def test_every_version_reads_the_same(write, version):
    def draw(msp, _):
        msp.add_circle((70, 30), 10)
        for start, end in [((0, 0), (99, 0)), ((99, 0), (99, 99)), ((99, 99), (0, 0))]:
            msp.add_line(start, end)

    path = write(draw, version=version, units=0 if version == "R12" else 4)
    polygon = outline(path, Reading(units="mm"))
    assert len(polygon.interiors) == 1
    assert polygon.area == pytest.approx(99 * 99 / 2 - math.pi * 100, rel=1e-3)


def test_a_binary_file_reads_the_same(write):
    def draw(msp, _):
        msp.add_circle((50, 50), 20)

    as_text = outline(write(draw, units=1))
    as_binary = outline(write(draw, units=1, fmt="bin"))
    assert as_text == as_binary
    assert as_binary.bounds[2] == pytest.approx(40 * 25.4)


def test_a_header_without_unit_is_not_taken_for_metres(tmp_path):
    # ezdxf reports metre for a file that states nothing.
    path = tmp_path / "bare.dxf"
    path.write_text(
        "0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n50\n0\nENDSEC\n0\nEOF\n"
    )
    assert read_traced(path, FINE).units == "mm (assumed: the drawing states none)"


def test_a_file_cut_short_is_read_as_far_as_it_goes(write):
    def draw(msp, _):
        for k in range(20):
            box(msp, x=100 * k)

    path = write(draw)
    data = path.read_bytes()
    path.write_bytes(data[: data.index(b"ENTITIES") + 1200])
    found = read_survey(path, Reading(units="mm"))
    assert found.traced.outlines
    assert any("cut short" in note.text for note in found.traced.notes)


def test_one_broken_figure_costs_one_entity_not_the_file(write):
    def draw(msp, _):
        for k in range(3):
            box(msp, x=100 * k, width=40 + k)
        msp.add_polyline2d([(0, 50), (10, 50), (10, 77)], close=True)

    path = write(draw, version="R2000")
    text = path.read_bytes()
    path.write_bytes(text.replace(b"141.0", b"1x1.0").replace(b"77.0", b"7..0"))
    found = read_survey(path, FINE)
    assert [round(o.polygon.area) for o in found.traced.outlines] == [1200, 1260]
    assert count_of(path, "LWPOLYLINE").refused == 1
    assert count_of(path, "POLYLINE").refused == 1


def test_a_file_whose_model_space_has_lost_its_name_is_read_all_the_same(write):
    path = write(lambda msp, _: box(msp))
    path.write_bytes(path.read_bytes().replace(b"\nModel\n", b"\nModXl\n"))
    found = read_survey(path, FINE)
    assert [round(o.polygon.area) for o in found.traced.outlines] == [1200]
    assert any("damaged" in note.text for note in found.traced.notes)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "the file is empty"),
        (b"  \r\n ", "the file is empty"),
        (b"AC1032\x00\x00\x00 and so on", "this is a DWG, not a DXF"),
        (b"%PDF-1.7 ...", "this is not a DXF"),
        (b"AutoCAD Binary DXF\r\n\x1a\x00 garbage", "damaged beyond reading"),
        (b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nabc\n", "no outline"),
        ("Liste für den Schreiner".encode("latin-1"), "this is not a DXF"),
    ],
)
def test_what_is_no_drawing_is_refused_with_the_reason(tmp_path, content, says):
    path = tmp_path / "thing.dxf"
    path.write_bytes(content)
    with pytest.raises(DrawingError) as refused:
        read_traced(path, FINE)
    assert says in str(refused.value)
    assert str(path) in str(refused.value)


def test_a_missing_file_and_a_folder_are_told_apart(tmp_path):
    with pytest.raises(FileError, match="no such file"):
        read_traced(tmp_path / "none.dxf", FINE)
    with pytest.raises(FileError, match="is a folder"):
        read_traced(tmp_path, FINE)


def test_the_same_file_reads_the_same_twice(write):
    path = write(lambda msp, _: msp.add_circle((0, 0), 70))
    assert read_drawing(path, FINE) == read_drawing(path, FINE)


# --- Files meant to hurt ------------------------------------------------------------


def test_coordinates_that_are_no_numbers_are_refused_and_counted(write):
    def draw(msp, _):
        box(msp)
        msp.add_line((0, 0), (float("nan"), 5))
        msp.add_circle((0, 0), 1e300)
        msp.add_spline().control_points = [(0, 0), (0, 0), (0, 0), (0, 0)]

    path = write(draw)
    assert len(read_survey(path, FINE).traced.outlines) == 1
    assert [count_of(path, kind).refused for kind in ("LINE", "CIRCLE", "SPLINE")] == [1, 1, 1]


def test_inserts_that_multiply_are_refused_before_they_fill_the_memory(write):
    def draw(msp, document):
        box(document.blocks.new("B0"))
        for level in range(1, 12):
            block = document.blocks.new(f"B{level}")
            for k in range(10):
                block.add_blockref(f"B{level - 1}", (50 * k, 0))
        msp.add_blockref("B11", (0, 0))

    with pytest.raises(DrawingError, match="more than 4000000 points"):
        read_survey(write(draw), FINE)


def test_an_insert_of_a_thousand_million_copies_is_refused(write):
    def draw(msp, document):
        box(document.blocks.new("B"))
        how = {"row_count": 32000, "column_count": 32000, "row_spacing": 1, "column_spacing": 1}
        msp.add_blockref("B", (0, 0), dxfattribs=how)

    with pytest.raises(DrawingError, match="32000 rows and 32000 columns"):
        read_survey(write(draw), FINE)


def test_thousands_of_inserts_are_read(write):
    def draw(msp, document):
        box(document.blocks.new("B"), width=5, height=5)
        for k in range(2_000):
            msp.add_blockref("B", (10 * (k % 100), 10 * (k // 100)))

    assert len(read_traced(write(draw), FINE).outlines) == 2_000


def test_lines_that_all_cross_each_other_are_refused_with_the_reason(write):
    rng = np.random.default_rng(3)
    ends = rng.uniform(0, 1000, (2_500, 2, 2)).round(3)

    def draw(msp, _):
        for start, end in ends.tolist():
            msp.add_line(start, end)

    found = read_survey(write(draw), FINE)
    assert any("too often to be sorted out" in fault.what for fault in found.faults)


def test_one_line_that_crosses_itself_without_end_is_refused(write):
    corners = np.random.default_rng(4).uniform(0, 1000, (3_000, 2)).tolist()
    found = read_survey(write(lambda msp, _: msp.add_lwpolyline(corners, close=True)), FINE)
    assert any("crosses itself too often" in fault.what for fault in found.faults)


def test_a_layer_name_in_the_windows_code_page_can_be_printed(tmp_path):
    text = io.StringIO()
    document = ezdxf.new("R2010", units=4)
    document.layers.add("WXYZ")
    document.modelspace().add_circle((0, 0), 50, dxfattribs={"layer": "WXYZ"})
    document.write(text)
    path = tmp_path / "umlaut.dxf"
    # The file says it is UTF-8; 0xFC is u with two dots in Windows-1252 and no UTF-8.
    path.write_bytes(text.getvalue().encode().replace(b"WXYZ", b"T\xfcr"))
    (outline,) = read_traced(path, FINE).outlines
    assert outline.layer == "T\u00fcr"


def test_damaged_bytes_end_in_an_answer_or_a_refusal(caplog):
    """A short run; tests/benchmarks/reading holds the long one."""
    from benchmarks.reading.fuzzing import seeds, trials

    # What ezdxf logs quotes the damaged bytes, which parallel test runs cannot pass on.
    caplog.set_level(logging.CRITICAL + 1, logger="ezdxf")
    assert trials(seeds(), 60, seed=1).tracebacks == []


# --- Real drawings ------------------------------------------------------------------

EXPECTED = (
    list(csv.DictReader(io.StringIO((REAL / "expected.csv").read_text())))
    if (REAL / "expected.csv").exists()
    else []
)
SURE = [row for row in EXPECTED if row["confidence"] == "high"]


@pytest.mark.skipif(not SURE, reason="the real drawings are not here")
@pytest.mark.parametrize("row", SURE, ids=[row["file"] for row in SURE])
def test_a_real_drawing_gives_the_counts_and_area_worked_out_for_it(row):
    units = "mm" if "none" in row["units"] else None
    found = read_survey(REAL / row["file"], Reading(units=units))
    outlines = found.traced.outlines
    if "bow-tie" in row["outer_outlines"]:
        assert [o.polygon.area for o in outlines] == pytest.approx([2500, 2500])
        return
    assert len(outlines) == int(row["outer_outlines"])
    assert sum(len(o.polygon.interiors) for o in outlines) == int(row["holes"])
    area = sum(o.polygon.area for o in outlines)
    slack = 0.1 * float(row["total_loop_length_mm"] or 0)
    assert area == pytest.approx(float(row["area_mm2_fine(sagitta_0.001)"]), abs=slack + 1e-9)
    assert bool(found.open_lines) == bool(int(row["open_chains"]))


@pytest.mark.skipif(not REAL.exists(), reason="the real drawings are not here")
def test_every_real_drawing_ends_with_an_answer_or_a_refusal():
    for path in sorted(REAL.glob("*.[dD][xX][fF]")):
        found = read_survey(path, Reading())
        assert found.traced.outlines or found.faults, path
        for count in found.traced.counts:
            assert count.found == count.read + count.ignored + count.refused, (path, count)


def test_a_matrix_of_an_insert_is_that_of_the_library(write):
    from wirepath.drawing_file.entities import _matrix

    document = ezdxf.new()
    document.blocks.new("B", base_point=(3, 4))
    how = {"xscale": -2, "yscale": 0.7, "zscale": 3, "rotation": 130, "extrusion": (1, 2, 3)}
    insert = document.modelspace().add_blockref("B", (7, 8, 9), dxfattribs=how)
    ours = _matrix(insert, document.blocks.get("B"))
    assert np.allclose(list(ours), list(Matrix44(insert.matrix44())), atol=1e-9)
