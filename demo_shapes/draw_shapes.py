"""Draws the demo: pear, letters, arch and cornice of an invented Lantern Fair.

    python demo_shapes/draw_shapes.py [FOLDER]

writes pear.dxf, letters.dxf, arch.dxf and cornice.dxf beside this file, or into FOLDER.
The same bytes come out each time: nothing in the files depends on clock or machine.
All shapes are our own and invented. They are drawn the way such drawings arrive: at
different scales and units, from mixed entities, with blocks, notes and dimensions.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from pathlib import Path

import ezdxf
import numpy as np
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts import BaseLayout
from ezdxf.math import bulge_to_arc, global_bspline_interpolation
from numpy.typing import NDArray
from shapely import LineString, Polygon, union_all

EZDXF_VERSION = "1.4.5"
"""The committed drawings were written with this version; another may word a file differently."""

Point = tuple[float, float]
Vertex = tuple[float, float, float]
"""x, y and the bulge towards the next vertex: the tangent of a quarter of the arc's angle."""

INVENTED = "LANTERN FAIR - INVENTED DEMO DRAWING"


def main() -> None:
    """Write all four drawings."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    write_all(folder)


def write_all(folder: Path) -> None:
    """Write all four drawings into `folder`."""
    ezdxf.options.write_fixed_meta_data_for_testing = True
    drawings = {"pear": pear, "letters": letters, "arch": arch, "cornice": cornice}
    for name, draw in drawings.items():
        draw().saveas(folder / f"{name}.dxf")


# --- Drawing in general --------------------------------------------------------------

LAYERS = {
    # name: (colour number, lineweight in 1/100 mm)
    "OUTLINE": (7, 50),
    "CONTOURS": (3, 18),
    "NAMES": (2, 18),
    "GUIDES": (8, 13),
    "REFERENCE": (8, 18),
    "DIMENSIONS": (4, 13),
    "NOTES": (6, 18),
}


def new_drawing(units: int) -> Drawing:
    """Return an empty R2000 drawing; `units` is $INSUNITS: 4 for mm, 5 for cm."""
    doc = ezdxf.new("R2000", units=units)
    for name, (colour, weight) in LAYERS.items():
        doc.layers.add(name, color=colour, lineweight=weight)
    return doc


def tidy(points: Iterable[Sequence[float]]) -> list[tuple[float, ...]]:
    """Return `points` rounded to 0.001, so that no machine's last digit gets into a file."""
    return [tuple(round(float(value), 3) + 0.0 for value in point) for point in points]


def tidy_path(path: Iterable[Vertex]) -> list[Vertex]:
    """Return `path` on the same raster, its bulges to nine places."""
    return [(round(x, 3) + 0.0, round(y, 3) + 0.0, round(bulge, 9) + 0.0) for x, y, bulge in path]


def rounded(corners: Sequence[Sequence[float]]) -> list[Vertex]:
    """Return the closed path through `corners`, (x, y) or (x, y, fillet radius) each."""
    path: list[Vertex] = []
    for index, corner in enumerate(corners):
        x, y = corner[:2]
        radius = corner[2] if len(corner) > 2 else 0.0
        if radius == 0.0:
            path.append((x, y, 0.0))
            continue
        before, after = corners[index - 1], corners[(index + 1) % len(corners)]
        a = np.array([before[0] - x, before[1] - y]) / math.dist(before[:2], (x, y))
        b = np.array([after[0] - x, after[1] - y]) / math.dist(after[:2], (x, y))
        inside = math.acos(float(a @ b))
        reach = radius / math.tan(inside / 2)
        turns_left = a[0] * b[1] - a[1] * b[0] < 0
        bulge = math.tan((math.pi - inside) / 4) * (1 if turns_left else -1)
        path.append((x + a[0] * reach, y + a[1] * reach, bulge))
        path.append((x + b[0] * reach, y + b[1] * reach, 0.0))
    return path


def add_polyline(
    space: BaseLayout, path: Sequence[Vertex], layer: str, *, closed: bool = True, z: float = 0.0
) -> None:
    """Add `path` as one LWPOLYLINE, at elevation `z`."""
    space.add_lwpolyline(
        tidy_path(path), format="xyb", close=closed, dxfattribs={"layer": layer, "elevation": z}
    )


def add_loose(
    space: BaseLayout, path: Sequence[Vertex], layer: str, *, closed: bool = True
) -> None:
    """Add `path` as single LINEs and ARCs, every other one of them, then the rest.

    That is how much of what arrives is drawn: no two neighbours follow each other.
    """
    corners = tidy_path(path)
    ends = [*corners[1:], corners[0]] if closed else corners[1:]
    legs = list(zip(corners, ends, strict=False))
    for start, end in legs[::2] + legs[1::2]:
        if start[2] == 0.0:
            space.add_line(start[:2], end[:2], dxfattribs={"layer": layer})
        else:
            centre, first, last, radius = bulge_to_arc(start[:2], end[:2], start[2])
            space.add_arc(
                (round(centre.x, 9), round(centre.y, 9)),
                round(radius, 9),
                round(math.degrees(first), 9),
                round(math.degrees(last), 9),
                dxfattribs={"layer": layer},
            )


def add_spline(space: BaseLayout, points: Sequence[Sequence[float]], layer: str) -> None:
    """Add a cubic SPLINE that passes through `points`."""
    curve = global_bspline_interpolation([(x, y, 0.0) for x, y in points])
    spline = space.add_open_spline(tidy(curve.control_points), dxfattribs={"layer": layer})
    spline.knots = [round(float(knot), 9) for knot in curve.knots()]


def add_text(
    space: BaseLayout,
    text: str,
    at: Point,
    height: float,
    layer: str,
    *,
    turn: float = 0.0,
    align: TextEntityAlignment = TextEntityAlignment.MIDDLE_CENTER,
) -> None:
    """Add one line of text."""
    attributes = {"layer": layer, "rotation": turn}
    space.add_text(text, height=height, dxfattribs=attributes).set_placement(at, align=align)


def add_dimension(
    space: BaseLayout, start: Point, end: Point, away: float, text: str, height: float
) -> None:
    """Add a dimension drawn as lines, `away` to the left of the line from `start` to `end`."""
    along = np.subtract(end, start) / math.dist(start, end)
    left = np.array([-along[1], along[0]])
    ends = [np.add(point, left * away) for point in (start, end)]
    attributes = {"layer": "DIMENSIONS"}
    space.add_line(*tidy(ends), dxfattribs=attributes)
    for point, foot, back in ((start, ends[0], along), (end, ends[1], -along)):
        side = math.copysign(height, away)
        space.add_line(
            *tidy([np.add(point, left * side * 0.6), foot + left * side * 0.6]),
            dxfattribs=attributes,
        )
        wing = left * height * 0.22
        tip = foot + back * height * 1.3
        space.add_solid(tidy([foot, tip + wing, tip - wing, tip - wing]), dxfattribs=attributes)
    turn = math.degrees(math.atan2(along[1], along[0]))
    upside = 180.0 if not -90.0 < turn <= 90.0 else 0.0
    middle = (ends[0] + ends[1]) / 2 + left * math.copysign(height, away)
    add_text(space, text, (middle[0], middle[1]), height, "DIMENSIONS", turn=turn + upside)


def on_circle(radius: float, degrees: float) -> Point:
    """Return the point of the circle about 0, 0 at `degrees`, counter-clockwise from x."""
    return (
        radius * math.cos(math.radians(degrees)),
        radius * math.sin(math.radians(degrees)),
    )


# --- The pear: a relief 2.6 m tall, drawn 1:10 ---------------------------------------

PEAR_STEP_MM = 25.0
PEAR_PEAK_MM = 300.0
PEAR_SCALE = 10.0

BODY_TOP_MM = 2090.0
FILLET_MM = 34.0

Lump = Callable[[float], Polygon]
"""Gives the region of one lump of the pear that stands at least so many mm high."""


def pear() -> Drawing:
    """Return the pear's drawing: outline as splines, contours with their elevation."""
    doc = new_drawing(units=4)
    space = doc.modelspace()
    lumps: tuple[Lump, ...] = (body, stalk, leaf)
    outline = pear_region(lumps, 0.0)
    for run in smooth_runs(np.asarray(outline.exterior.coords)):
        add_spline(space, run / PEAR_SCALE, "OUTLINE")
    level = PEAR_STEP_MM
    while level < PEAR_PEAK_MM:
        for lump in parts(pear_region(lumps, level)):
            ring = lump.exterior.simplify(0.15)
            path = [(x / PEAR_SCALE, y / PEAR_SCALE, 0.0) for x, y in ring.coords[:-1]]
            add_polyline(space, path, "CONTOURS", z=level / PEAR_SCALE)
        level += PEAR_STEP_MM
    annotate_pear(space, outline)
    return doc


def body_half_width(share: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return half the pear's width at `share` of its height: a round bulb, a hollow neck."""
    swell = 1450 + 356 * share - 5640 * share**2 + 4849 * share**3 - 210 * share**4
    return np.asarray(np.sqrt(np.clip(share * (1 - share), 0, None)) * swell)


def body_axis(share: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far the pear leans to the left at `share` of its height."""
    return np.asarray(-70 * share**2.2)


def body(level: float) -> Polygon:
    """Return where the fruit stands at least `level` high: a crest with rounded flanks."""
    share = (1 - np.cos(np.linspace(0, math.pi, 16_001))) / 2  # dense at the round ends
    width = body_half_width(share)
    crest = PEAR_PEAK_MM * (width / width.max()) ** 0.8
    return ridge(
        np.stack([body_axis(share), BODY_TOP_MM * share], axis=1),
        width,
        crest,
        level,
        across=np.tile([1.0, 0.0], (len(share), 1)),
    )


def stalk(level: float) -> Polygon:
    """Return where the stalk stands at least `level` high: bent, thicker at its cut end."""
    share = np.linspace(0, 1, 601)
    axis = np.stack(
        [-75 + 30 * share + 150 * share**2.2, 1980 + 605 * share - 20 * share**3], axis=1
    )
    width = 33 + 26 * share**4 + 14 * (1 - share) ** 3
    crest = 66 + 24 * (1 - share)
    return ridge(axis, width, crest, level)


def leaf(level: float) -> Polygon:
    """Return where the leaf stands at least `level` high: pointed, with a bent mid rib."""
    share = np.linspace(0, 1, 801)
    axis = np.stack([-58 + 600 * share, 2165 + 330 * share - 245 * share**2.4], axis=1)
    width = 118 * np.sin(math.pi * share**0.85) ** 1.1 + 16 * (1 - share) ** 6
    crest = 30 + 42 * np.sin(math.pi * share) ** 0.7
    return ridge(axis, width, crest, level)


def ridge(
    axis: NDArray[np.float64],
    half_width: NDArray[np.float64],
    crest: NDArray[np.float64],
    level: float,
    across: NDArray[np.float64] | None = None,
) -> Polygon:
    """Return where z = crest (1 - (d / half_width)^2)^0.8 is at least `level`.

    `axis` (N, 2) is the line of the crest, d the distance from it along `across`,
    which is square to the axis unless given.
    """
    if across is None:
        along = np.gradient(axis, axis=0)
        along /= np.linalg.norm(along, axis=1)[:, None]
        across = np.stack([along[:, 1], -along[:, 0]], axis=1)
    keep = crest > level
    if not keep.any():
        return Polygon()
    reach = half_width[keep] * np.sqrt(1 - (level / crest[keep]) ** 1.25)
    side = across[keep] * reach[:, None]
    ring = np.concatenate([axis[keep] + side, (axis[keep] - side)[::-1]])
    return Polygon(ring).buffer(0)


def pear_region(lumps: Sequence[Lump], level: float) -> Polygon:
    """Return where any lump stands at least `level` high, inner corners rounded off."""
    region = union_all([lump(level) for lump in lumps])
    return region.buffer(FILLET_MM, quad_segs=32).buffer(-FILLET_MM, quad_segs=32)


def parts(region: Polygon) -> list[Polygon]:
    """Return the separate polygons of `region`, from left to right."""
    found = [part for part in getattr(region, "geoms", [region]) if part.area > 200]
    return sorted(found, key=lambda part: part.bounds)


def smooth_runs(ring: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Return the runs of `ring` between its corners, as points some 24 mm apart."""
    ring = np.asarray(LineString(ring).simplify(0.02).coords)[:-1]
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    turn = np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
    )
    corners = np.flatnonzero(np.abs(turn) > math.radians(25))
    ring = np.roll(ring, -corners[0], axis=0)
    stops = [*(corners - corners[0]), len(ring)]
    ring = np.concatenate([ring, ring[:1]])
    runs = []
    for start, stop in pairwise(stops):
        line = LineString(ring[start : stop + 1])
        count = max(4, round(line.length / 24))
        runs.append(
            np.array(
                [line.interpolate(k / count, normalized=True).coords[0] for k in range(count + 1)]
            )
        )
    return runs


def annotate_pear(space: BaseLayout, outline: Polygon) -> None:
    """Add what else stands on such a sheet: squares, dimensions, heights, notes."""
    x0, y0, x1, y1 = (value / PEAR_SCALE for value in outline.bounds)
    attributes = {"layer": "GUIDES"}
    for x in np.arange(-60.0, 61.0, 20.0):
        space.add_line((x, -5), (x, 265), dxfattribs=attributes)
    for y in np.arange(0.0, 261.0, 20.0):
        space.add_line((-65, y), (65, y), dxfattribs=attributes)
    add_dimension(space, (x0, y0), (x0, y1), 16, f"{10 * (y1 - y0):.0f}", 4)
    add_dimension(space, (x0, y0), (x1, y0), -16, f"{10 * (x1 - x0):.0f}", 4)
    marks = {100: body(100.0), 200: body(200.0)}
    spots = {level: (region.bounds[2] / PEAR_SCALE, 54.0) for level, region in marks.items()}
    for row, (level, spot) in enumerate([*spots.items(), (300, (-1.0, 54.0))]):
        foot = (72.0, 40.0 + 9 * row)
        space.add_line(*tidy([spot, foot]), dxfattribs={"layer": "NOTES"})
        add_text(space, f"+ {level}", (80, foot[1]), 4, "NOTES")
    add_text(space, "Pear", (-2, 40), 6, "NAMES")
    notes = (
        INVENTED,
        "PEAR, RELIEF, 1:10",
        "CONTOURS EVERY 25 ABOVE THE FLAT BACK, PEAK 300",
        "ALL FIGURES WRITTEN OUT ARE FINISHED SIZES IN MM",
    )
    for row, note in enumerate(notes):
        add_text(space, note, (-62, 292 - 7 * row), 4, "NOTES", align=TextEntityAlignment.LEFT)


# --- The letters: full size, 400 mm tall ---------------------------------------------

CAP_MM = 400.0
SERIF_MM = 56.0
BRACKET_MM = 26.0
LETTER_GAP_MM = 44.0

_FOOT = [(0, 0), (200, 0), (200, 56), (150, 56, 26)]
_HEAD = [(150, 344, 26), (200, 344), (200, 400), (0, 400), (0, 344), (50, 344, 26)]
_LEFT = [(50, 56, 26), (0, 56)]
_TOP_ARM = [(150, 316, 18), (240, 316, 18), (252, 262), (290, 262), (290, 400), (0, 400)]
_BOTTOM_ARM = [(0, 0), (290, 0), (290, 138), (252, 138), (240, 84, 18), (150, 84, 18)]

STRAIGHT_LETTERS: dict[str, tuple[float, Point, list[Sequence[float]]]] = {
    # letter: (width, where its name stands, corners as (x, y) or (x, y, fillet radius))
    "I": (200, (100, 200), [*_FOOT, *_HEAD, *_LEFT]),
    "L": (290, (100, 200), [*_BOTTOM_ARM, *_HEAD, *_LEFT]),
    "E": (
        290,
        (100, 280),
        [
            *_BOTTOM_ARM,
            *[(150, 166, 18), (192, 166, 12), (192, 138), (228, 138), (228, 262), (192, 262)],
            *[(192, 234, 12), (150, 234, 18)],
            *_TOP_ARM,
            *[(0, 344), (50, 344, 26)],
            *_LEFT,
        ],
    ),
    "F": (
        290,
        (100, 280),
        [
            *_FOOT,
            *[(150, 154, 18), (192, 154, 12), (192, 126), (228, 126), (228, 250), (192, 250)],
            *[(192, 222, 12), (150, 222, 18)],
            *_TOP_ARM,
            *[(0, 344), (50, 344, 26)],
            *_LEFT,
        ],
    ),
    "T": (
        330,
        (165, 200),
        [
            *[(65, 0), (265, 0), (265, 56), (215, 56, 26), (215, 316, 18), (280, 316, 18)],
            *[(292, 262), (330, 262), (330, 400), (0, 400), (0, 262), (38, 262), (50, 316, 18)],
            *[(115, 316, 18), (115, 56, 26), (65, 56)],
        ],
    ),
    "N": (
        372,
        (186, 200),
        [
            *[(0, 0), (156, 0), (156, 56), (116, 56, 26), (116, 262, 9), (256, 0), (330, 0)],
            *[(330, 344, 26), (372, 344), (372, 400), (216, 400), (216, 344), (256, 344, 26)],
            *[(256, 138, 9), (116, 400), (0, 400), (0, 344), (42, 344, 26), (42, 56, 26)],
            *[(0, 56)],
        ],
    ),
    "A": (
        400,
        (200, 345),
        [
            *[(0, 0), (160, 0), (160, 52), (128, 52, 16), (142.5, 98, 14), (257.5, 98, 14)],
            *[(272, 52, 16), (240, 52), (240, 0), (400, 0), (400, 52), (360, 52, 24)],
            *[(250, 400), (150, 400), (40, 52, 24), (0, 52)],
        ],
    ),
}


def letters() -> Drawing:
    """Return the drawing of the words LANTERN FAIR between two lanterns, letters as blocks."""
    doc = new_drawing(units=4)
    space = doc.modelspace()
    for name, (_, at, corners) in STRAIGHT_LETTERS.items():
        block = doc.blocks.new(name)
        draw = add_loose if name in "LTN" else add_polyline
        draw(block, rounded(corners), "OUTLINE")
        add_text(block, name, at, 40, "NAMES")
    counter = rounded([(162, 158, 10), (238, 158, 10), (200, 278, 8)])
    add_loose(doc.blocks.get("A"), counter, "OUTLINE")
    letter_r(doc.blocks.new("R"))
    lantern(doc.blocks.new("LANTERN"))

    widths = {name: width for name, (width, _, _) in STRAIGHT_LETTERS.items()} | {"R": 366}
    right = write_word(space, "LANTERN", widths, 0.0, 560.0)
    word = sum(widths[name] for name in "FAIR") + 3 * LETTER_GAP_MM
    left = (right - word) / 2
    write_word(space, "FAIR", widths, left, 0.0, mirrored="A")
    attributes = {"layer": "0"}
    space.add_blockref("LANTERN", (left - 330, 0), dxfattribs=attributes)
    space.add_blockref("LANTERN", (left + word + 330, 0), dxfattribs=attributes | {"xscale": -1})
    annotate_letters(space, right)
    return doc


def write_word(
    space: BaseLayout,
    word: str,
    widths: dict[str, float],
    x: float,
    y: float,
    mirrored: str = "",
) -> float:
    """Insert the letters of `word` from `x` on, those in `mirrored` reversed; return its end."""
    for name in word:
        # R is drawn at half size, so its blocks stand here at twice theirs.
        scale = 2.0 if name == "R" else 1.0
        turned = name in mirrored
        at = (x + widths[name] if turned else x, y)
        scales = {"xscale": -scale if turned else scale, "yscale": scale}
        space.add_blockref(name, at, dxfattribs={"layer": "0"} | scales)
        x += widths[name] + LETTER_GAP_MM
    return x - LETTER_GAP_MM


def letter_r(block: BaseLayout) -> None:
    """Draw the R at half size: lines, an arc for the bowl, splines for the leg."""
    join = (204 + 0.6 * 112, 288 - 0.8 * 112)  # on the bowl: a 3-4-5 triangle
    foot = [(352, 0), (366, 44)]
    outer = [(366, 44), (334, 60), (320, 104), (306, 156), join]
    inner = [(150, 176), (196, 162), (214, 116), (224, 62), (256, 14), (300, 0)]
    stem = rounded(
        [(150, 176), *[(0, 400), (0, 344), (50, 344, 26), (50, 56, 26), (0, 56)], *_FOOT]
    )
    # `rounded` closes the ring from the stem's foot to the leg; the bowl and leg come between.
    lines = [*stem[1:], (150, 176, 0.0)]
    half = [(x / 2, y / 2, bulge) for x, y, bulge in lines]
    add_loose(block, half, "OUTLINE", closed=False)
    block.add_line((0, 200), (102, 200), dxfattribs={"layer": "OUTLINE"})
    low = round(math.degrees(-math.atan2(4, 3)), 9)
    block.add_arc((102, 144), 56, low, 90, dxfattribs={"layer": "OUTLINE"})
    add_spline(block, [(x / 2, y / 2) for x, y in outer], "OUTLINE")
    add_spline(block, [(x / 2, y / 2) for x, y in inner], "OUTLINE")
    add_polyline(
        block, [(x / 2, y / 2, 0.0) for x, y in [(300, 0), *foot]], "OUTLINE", closed=False
    )
    counter = [(75, 123, 0.0), (102, 123, 1.0), (102, 165, 0.0), (75, 165, 0.0)]
    add_polyline(block, counter, "OUTLINE")
    add_text(block, "R", (50, 80), 20, "NAMES")


def lantern(block: BaseLayout) -> None:
    """Draw a lantern 240 mm wide with a round light in it."""
    body_path = [
        *[(48, 0, 0.0), (192, 0, 0.0), (192, 34, 0.0), (168, 34, 0.0), (168, 52, 0.42)],
        *[(168, 272, 0.0), (168, 290, 0.0), (224, 290, -0.2), (146, 362, 0.0)],
        *[(146, 374, 1.0), (94, 374, 0.0), (94, 362, -0.2), (16, 290, 0.0), (72, 290, 0.0)],
        *[(72, 272, 0.42), (72, 52, 0.0), (72, 34, 0.0), (48, 34, 0.0)],
    ]
    add_polyline(block, body_path, "OUTLINE")
    block.add_circle((120, 162), 56, dxfattribs={"layer": "OUTLINE"})
    add_text(block, "Lantern", (120, 248), 22, "NAMES")


def annotate_letters(space: BaseLayout, right: float) -> None:
    """Add base and cap lines, dimensions and notes."""
    for y in (0, CAP_MM, 560, 560 + CAP_MM):
        space.add_line((-80, y), (right + 80, y), dxfattribs={"layer": "GUIDES"})
    add_dimension(space, (0, 960), (right, 960), 90, f"{right:.0f}", 40)
    add_dimension(space, (0, 560), (0, 960), 130, "400", 40)
    for row, note in enumerate(
        (INVENTED, "LETTERS, FULL SIZE, MM, 100 THICK", "BOARD LETTERS OF OUR OWN DRAWING")
    ):
        add_text(space, note, (0, 1250 - 60 * row), 36, "NOTES", align=TextEntityAlignment.LEFT)


# --- The arch: 2.4 m clear, drawn in centimetres -------------------------------------

SPAN_CM = 240.0
RING_CM = 35.0
JOINT_CM = 0.2
STONES = 12
KEY_DEG = 16.0


def arch() -> Drawing:
    """Return the stage arch: one stone INSERTed round, a tapered keystone, an impost."""
    doc = new_drawing(units=5)
    space = doc.modelspace()
    inner, outer = SPAN_CM / 2, SPAN_CM / 2 + RING_CM
    step = (180.0 - KEY_DEG) / STONES
    stone = doc.blocks.new("VOUSSOIR")
    add_polyline(stone, wedge(inner, outer, step), "OUTLINE")
    add_text(stone, "Voussoir", ((inner + outer) / 2, 0), 4, "NAMES", turn=90)
    for side in (0.0, 90.0 + KEY_DEG / 2):
        for index in range(STONES // 2):
            turn = side + (index + 0.5) * step
            space.add_blockref("VOUSSOIR", (0, 0), dxfattribs={"layer": "0", "rotation": turn})
    key = wedge(inner - 5, outer + 9, KEY_DEG)
    add_polyline(space, [(-y, x, bulge) for x, y, bulge in key], "OUTLINE")
    doc.layers.add("BACK", color=1, lineweight=25)
    # Standing out in front, flush with the ring at the back; its sides stay plumb.
    back = wedge(inner, outer, KEY_DEG)
    add_polyline(space, [(-y, x, bulge) for x, y, bulge in back], "BACK")
    add_text(space, "Keystone", (0, (inner + outer) / 2 + 2), 4, "NAMES")

    impost = [
        *[(-18, 0, 0.0), (18, 0, 0.0), (18, 3.5, -math.tan(math.pi / 8)), (22, 7.5, 0.0)],
        *[(24, 7.5, 0.0), (24, 16, 0.0), (-24, 16, 0.0), (-24, 7.5, 0.0)],
        *[(-22, 7.5, -math.tan(math.pi / 8)), (-18, 3.5, 0.0)],
    ]
    middle = (inner + outer) / 2
    under = -16 - JOINT_CM
    placed = [(x + middle, y + under, bulge) for x, y, bulge in impost]
    add_loose(space, placed, "OUTLINE")
    add_text(space, "Impost", (middle, under + 11.5), 4, "NAMES")
    add_polyline(space, [(x - 2 * middle, y, bulge) for x, y, bulge in placed], "REFERENCE")
    annotate_arch(space, inner, outer, under)
    return doc


def wedge(inner: float, outer: float, degrees: float) -> list[Vertex]:
    """Return a stone of the ring about the x axis, half a joint short at either side."""
    path = []
    for radius, sign in ((inner, -1), (outer, -1), (outer, 1), (inner, 1)):
        # The joint has parallel sides: the same width at the inner and the outer face.
        angle = degrees / 2 - math.degrees(math.asin(JOINT_CM / 2 / radius))
        path.append((*on_circle(radius, sign * angle), angle))
    bulges = (
        0.0,
        math.tan(math.radians(path[1][2]) / 2),
        0.0,
        -math.tan(math.radians(path[3][2]) / 2),
    )
    return [(x, y, bulge) for (x, y, _), bulge in zip(path, bulges, strict=True)]


def annotate_arch(space: BaseLayout, inner: float, outer: float, under: float) -> None:
    """Add piers, centre lines, dimensions and notes."""
    attributes = {"layer": "REFERENCE"}
    for side in (-1, 1):
        for x in (inner + 1.5, outer - 1.5):
            space.add_line((side * x, under), (side * x, under - 60), dxfattribs=attributes)
    guides = {"layer": "GUIDES"}
    space.add_line((-outer - 20, 0), (outer + 20, 0), dxfattribs=guides)
    space.add_line((0, -30), (0, outer + 20), dxfattribs=guides)
    add_dimension(space, (-inner, 0), (inner, 0), -40, "2400 CLEAR", 6)
    add_dimension(space, (-outer, under - 4), (-inner, under - 4), -36, "350", 6)
    for row, note in enumerate(
        (
            INVENTED,
            "STAGE ARCH, DRAWN IN CM, 300 THICK",
            "RIGHT IMPOST DRAWN, MAKE TWO",
            "KEYSTONE TAPERS TO THE BACK",
        )
    ):
        add_text(
            space,
            note,
            (-outer, outer + 40 - 9 * row),
            5,
            "NOTES",
            align=TextEntityAlignment.LEFT,
        )


# --- The cornice: a profile 260 x 220 mm, drawn 1:2 ----------------------------------


def cornice() -> Drawing:
    """Return the cornice's profile from lines and arcs: cavetto, ovolo, corona, cyma."""
    doc = new_drawing(units=4)
    space = doc.modelspace()
    quarter = math.tan(math.pi / 8)
    full = [
        *[(0, 0, 0.0), (34, 0, 0.0), (34, 14, -quarter)],  # fillet, then cavetto
        *[(70, 50, 0.0), (80, 50, 0.0), (80, 60, quarter)],  # fillet, then ovolo
        *[(124, 104, 0.0), (124, 118, 0.0), (182, 118, 0.0), (182, 108, 0.0)],  # soffit, drip
        *[(196, 108, 0.0), (196, 152, 0.0), (204, 152, 0.0)],  # corona, fillet
        *[(204, 160, quarter), (228, 184, -quarter), (252, 208, 0.0)],  # cyma recta
        *[(260, 208, 0.0), (260, 220, 0.0), (0, 220, 0.0)],  # fillet, top, wall side
    ]
    half = [(x / 2, y / 2, bulge) for x, y, bulge in full]
    add_loose(space, half, "OUTLINE")
    add_text(space, "Cornice", (38, 88), 7, "NAMES")
    space.add_line((0, -12), (0, 130), dxfattribs={"layer": "REFERENCE"})
    for y in range(-12, 130, 8):
        space.add_line((0, y), (-6, y - 6), dxfattribs={"layer": "REFERENCE"})
    add_dimension(space, (0, 110), (130, 110), 14, "260", 4)
    add_dimension(space, (130, 0), (130, 110), -14, "220", 4)
    for row, note in enumerate(
        (
            INVENTED,
            "CORNICE, PROFILE, 1:2, RUN IN LENGTHS OF 1200",
            "FIGURES ARE FINISHED SIZES IN MM",
        )
    ):
        add_text(space, note, (0, 158 - 7 * row), 4, "NOTES", align=TextEntityAlignment.LEFT)
    return doc


if __name__ == "__main__":
    main()
