"""Areas are overlaid on a grid everywhere: without one GEOS loses whole regions."""

import re
from pathlib import Path

import pytest
from shapely import GeometryCollection, LineString, Polygon, box

import wirepath
from wirepath import overlay

PACKAGE = Path(wirepath.__file__).parent

ON_PAPER_ONLY = {"sheets", "templates", "view", "pictures", "drawing_picture"}
"""These draw what others have worked out and proved."""

NOT_YET = {"tracing"}

TOO_SLOW = {
    "roughing/directions.py",
    "roughing/sections.py",
    "roughing/stack.py",
    "routing/slitting.py",
}
"""Sections and silhouettes of a roughing, taken by the thousand: on the grid, plans of the
benchmark's pear and bowl took 60 % more processor time. Litres and distances are proved. Ways
tried for slits, by the thousand too, lie straight across a piece: no edge lies along another."""

PLAIN = re.compile(r"shapely\.(union|union_all|intersection|difference|symmetric_difference)\(")

ONE = Polygon(
    [
        (-107.04728415911276, -149.40586031494968),
        (-157.04728415911276, -62.8033199365058),
        (-160.0, 110.37659076090438),
        (-115.97177866103777, 205.29532191354224),
        (-45.97177866103777, 257.25684614060856),
        (20.287735010306086, 268.098641850048),
        (136.23626256636007, 175.90751275433286),
        (159.97674889501621, 113.10419281782708),
        (202.9236519596575, -59.39381736535239),
        (192.92365195965746, -145.99635774379627),
        (-7.04728415911277, -149.40586031494968),
    ]
)
OTHER = Polygon(
    [
        (149.97674889501624, 26.50165243938322),
        (49.97674889501624, 26.50165243938325),
        (-65.97177866103775, 118.6927815350984),
        (-115.97177866103775, 205.29532191354227),
        (-45.971778661037774, 257.25684614060856),
        (20.28773501030608, 268.09864185004807),
        (124.76135783997796, 262.32699297448033),
        (148.5018441686341, 199.52367303797453),
        (159.97674889501621, 113.10419281782711),
    ]
)
"""Sums of the same corners, so edges lie within rounding of each other."""


def test_only_the_overlay_module_calls_the_overlays_of_shapely():
    plain = [
        f"{path.relative_to(PACKAGE)}: {found[0]}"
        for path in sorted(PACKAGE.rglob("*.py"))
        if path.name != "overlay.py"
        and str(path.relative_to(PACKAGE)) not in TOO_SLOW
        and path.relative_to(PACKAGE).parts[0].removesuffix(".py") not in ON_PAPER_ONLY | NOT_YET
        for found in PLAIN.finditer(path.read_text(encoding="utf-8"))
    ]
    assert plain == []


def test_a_union_holds_all_of_each_area():
    # Area by inclusion and exclusion, worked out on corners rounded to 1e-6 mm, where
    # GEOS agrees with itself. Without a grid the union comes out as 121 607 mm2.
    both = overlay.union([ONE, OTHER])
    assert both.area == pytest.approx(127_418.980, abs=0.001)
    assert both.buffer(1e-6).covers(ONE)
    assert both.buffer(1e-6).covers(OTHER)
    shared = overlay.intersection(ONE, OTHER).area
    assert both.area == pytest.approx(ONE.area + OTHER.area - shared)


def test_of_areas_mixed_with_lines_the_areas_are_overlaid():
    mixed = GeometryCollection([box(0, 0, 2, 2), LineString([(2, 1), (5, 1)])])
    assert overlay.difference(mixed, box(0, 0, 1, 2)).area == pytest.approx(2)
    assert overlay.union([mixed, box(2, 0, 3, 2)]).area == pytest.approx(6)
