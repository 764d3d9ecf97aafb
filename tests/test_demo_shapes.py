"""The demo drawings: they repeat byte for byte, say they are invented, and measure as meant."""

from __future__ import annotations

import importlib.util
import math
import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import ezdxf
import pytest
import shapely
from ezdxf.disassemble import recursive_decompose
from shapely import LineString, Polygon

from wirepath.drawing_file import read_traced
from wirepath.forming import make_pieces
from wirepath.job_file import read_job

FOLDER = Path(__file__).parent.parent / "demo_shapes"
NAMES = ("pear", "letters", "arch", "cornice")


@pytest.fixture(scope="module")
def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("draw_shapes", FOLDER / "draw_shapes.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def lines_of(name: str, layer: str) -> list[LineString]:
    """Return the layer's entities, blocks taken apart, flattened to 0.001."""
    found = []
    space = ezdxf.readfile(FOLDER / f"{name}.dxf").modelspace()
    for entity in recursive_decompose(space):
        if entity.dxf.layer != layer:
            continue
        path = ezdxf.path.make_path(entity)
        found.append(LineString([(p.x, p.y) for p in path.flattening(0.001)]))
    return found


def faces_of(name: str) -> list[Polygon]:
    """Return the closed faces of the outline layer, ends within 0.001 taken as met."""
    lines = shapely.set_precision(lines_of(name, "OUTLINE"), 0.001)
    faces, cuts, dangles, invalid = shapely.polygonize_full(list(lines))
    assert all(shapely.get_num_geometries(rest) == 0 for rest in (cuts, dangles, invalid))
    return list(faces.geoms)


@pytest.mark.parametrize("name", NAMES)
def test_the_committed_drawing_is_what_the_script_draws(
    name: str, script: ModuleType, tmp_path: Path
) -> None:
    if ezdxf.__version__ != script.EZDXF_VERSION:
        pytest.skip(f"drawn with ezdxf {script.EZDXF_VERSION}, here is {ezdxf.__version__}")
    script.write_all(tmp_path)
    assert (tmp_path / f"{name}.dxf").read_bytes() == (FOLDER / f"{name}.dxf").read_bytes()


@pytest.mark.parametrize("name", [*NAMES, "big_pear"])
def test_job_and_workshop_can_be_read_and_say_they_are_invented(name: str) -> None:
    job, workshop = read_job(FOLDER / f"{name}.toml")
    assert job.invented
    assert "invented" in workshop.name
    assert "INVENTED" in (FOLDER / "workshop.toml").read_text(encoding="utf-8")
    assert (FOLDER / job.drawing).is_file()


@pytest.mark.parametrize("name", NAMES)
def test_the_drawing_itself_says_it_is_invented(name: str) -> None:
    space = ezdxf.readfile(FOLDER / f"{name}.dxf").modelspace()
    assert any("INVENTED" in text.dxf.text for text in space.query("TEXT"))


def test_the_pear_closes_and_stands_2_6_m_tall() -> None:
    (outline,) = faces_of("pear")
    x0, y0, x1, y1 = (10 * value for value in outline.bounds)
    assert y1 - y0 == pytest.approx(2600, abs=5)
    assert x1 - x0 <= 1100


def test_the_big_pear_is_the_pear_4_m_tall_and_half_a_metre_thick() -> None:
    job, _ = read_job(FOLDER / "big_pear.toml")
    (form,) = make_pieces(job, read_traced(FOLDER / job.drawing, job.read))
    x0, y0, x1, y1 = form.finished.bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((1683, 4000), abs=0.1)
    assert form.thickness_mm == pytest.approx(500)


def test_the_workshops_with_a_van_and_with_a_bow_are_the_workshop_else() -> None:
    _, plain = read_job(FOLDER / "letters.toml")
    _, with_van = read_job(FOLDER / "big_pear.toml")
    _, with_bow = read_job(FOLDER / "pear.toml")
    assert with_van.van is not None
    assert replace(with_van, van=None) == plain
    assert with_bow.rig.kind == "bow"
    assert replace(with_bow, rig=plain.rig) == plain


def test_pear_contours_stand_every_25_mm_each_inside_the_one_below(script: ModuleType) -> None:
    space = ezdxf.readfile(FOLDER / "pear.dxf").modelspace()
    (outline,) = faces_of("pear")
    levels: dict[float, list[Polygon]] = {}
    for entity in space.query("LWPOLYLINE[layer=='CONTOURS']"):
        ring = Polygon([(x, y) for x, y in entity.get_points("xy")])
        assert entity.closed
        assert ring.is_valid
        levels.setdefault(10 * entity.dxf.elevation, []).append(ring)
    assert sorted(levels) == pytest.approx([25.0 * k for k in range(1, 12)])
    below = outline.buffer(0.01)
    for level in sorted(levels):
        region = shapely.union_all(levels[level])
        assert below.covers(region)
        below = region.buffer(0.01)


def test_the_words_close_and_have_their_counters() -> None:
    faces = faces_of("letters")
    outer = [face for face in faces if not any(_inside(face, other) for other in faces)]
    assert len(outer) == len("LANTERN") + len("FAIR") + 2
    # A twice, R twice, and the light in each of the two lanterns.
    assert sum(len(face.interiors) for face in outer) == 6
    height = {round(face.bounds[3] - face.bounds[1]) for face in outer}
    assert height == {400}


def _inside(face: Polygon, other: Polygon) -> bool:
    return (
        face is not other
        and Polygon(other.exterior).contains(face.representative_point())
        and (face.area < other.area)
    )


def test_every_stone_is_a_ring_sector_less_its_joints() -> None:
    # Closed formula: a sector of the ring is (R^2 - r^2) angle / 2; each joint takes
    # half its width times the depth on either side. The curves ezdxf draws through arcs
    # here stray up to 0.03 %, hence the tolerance.
    faces = sorted(faces_of("arch"), key=lambda face: face.area)
    stones = [face for face in faces if face.area == pytest.approx(faces[-2].area, rel=1e-4)]
    assert len(stones) == 12
    angle = math.radians((180 - 16) / 12)
    by_hand = (155**2 - 120**2) * angle / 2 - 0.2 * 35
    assert stones[0].area == pytest.approx(by_hand, rel=1e-3)


def test_the_clear_span_of_the_arch_is_2_4_m() -> None:
    inner = min(
        math.dist((0, 0), point)
        for face in faces_of("arch")
        for point in face.exterior.coords
        if point[1] > 1 and math.degrees(math.atan2(point[1], point[0])) < 80
    )
    assert 10 * 2 * inner == pytest.approx(2400, abs=0.1)


def test_the_cornice_measures_as_rectangles_and_quarter_circles() -> None:
    (profile,) = faces_of("cornice")
    quarter = math.pi / 4
    # From the bottom, in finished mm: strips between heights, less or plus the quarters.
    by_hand = (
        34 * 14
        + (70 * 36 - quarter * 36**2)
        + 80 * 10
        + (80 * 44 + quarter * 44**2)
        + 124 * 14
        + 196 * 34
        + 14 * 10
        + 204 * 8
        + (204 * 24 + quarter * 24**2)
        + (252 * 24 - quarter * 24**2)
        + 260 * 12
    )
    assert 4 * profile.area == pytest.approx(by_hand, rel=1e-4)
