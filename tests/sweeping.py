"""A wire that knows nothing but the rows of a coordinate file, swept over the block.

Test-only. Reads the CSV by itself and works in whole numbers with an offset and
clipping library of its own (pyclipper: Vatti's clipping algorithm, Comm. ACM 35(7),
1992), so that it shares neither code nor arithmetic with the planner or its check.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import pyclipper
from shapely import Polygon

SCALE = 10_000
"""Whole numbers to a millimetre: 0.1 micrometres."""

DEEP_MM = 0.05
"""How far the slot may reach into a piece, or keep off it."""

ROUNDING_MM = 0.002
"""Points stand in the file to 0.001 mm, so a slot's edge may shift by this much."""

Path2 = list[tuple[int, int]]
Box = tuple[int, int, int, int]


@dataclass(frozen=True)
class Row:
    number: int
    step: int
    move: str
    piece: int | None
    x: float
    y: float
    feed: float


def rows(path: Path) -> list[Row]:
    """Return the rows of a coordinate file, comments left out."""
    lines = [line for line in path.read_text().splitlines() if not line.startswith("#")]
    return [
        Row(
            int(row["pass"]),
            int(row["step"]),
            row["move"],
            int(row["piece"]) if row["piece"] else None,
            float(row["x_mm"]),
            float(row["y_mm"]),
            float(row["feed_mm_per_s"]),
        )
        for row in csv.DictReader(lines)
    ]


def whole(points: Sequence[tuple[float, float]]) -> Path2:
    return [(round(x * SCALE), round(y * SCALE)) for x, y in points]


def region(polygon: Polygon) -> list[Path2]:
    """Return the rings of a polygon, outer ring and holes turning opposite ways."""
    rings = [polygon.exterior, *polygon.interiors]
    paths = [whole(list(ring.coords)[:-1]) for ring in rings]
    return [
        path if pyclipper.Orientation(path) == (i == 0) else path[::-1]
        for i, path in enumerate(paths)
    ]


def offset(paths: list[Path2], by_mm: float) -> list[Path2]:
    tool = pyclipper.PyclipperOffset(arc_tolerance=0.001 * SCALE)
    tool.AddPaths(paths, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    return tool.Execute(by_mm * SCALE)


def sweep(lines: list[Path2], kerf_mm: float) -> list[Path2]:
    """Return what a round wire melts along open lines."""
    swept: list[Path2] = []
    for line in lines:
        tool = pyclipper.PyclipperOffset(arc_tolerance=0.001 * SCALE)
        tool.AddPath(line, pyclipper.JT_ROUND, pyclipper.ET_OPENROUND)
        swept += tool.Execute(kerf_mm / 2 * SCALE)
    return clip(pyclipper.CT_UNION, swept, [])


def clip(kind: int, subject: list[Path2], other: list[Path2]) -> list[Path2]:
    tool = pyclipper.Pyclipper()
    if not subject:
        return []
    tool.AddPaths(subject, pyclipper.PT_SUBJECT, True)
    if other:
        tool.AddPaths(other, pyclipper.PT_CLIP, True)
    return tool.Execute(kind, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)


def area_mm2(paths: list[Path2]) -> float:
    return float(sum(pyclipper.Area(path) for path in paths)) / SCALE**2


def lumps(block: list[Path2], slot: list[Path2]) -> list[list[Path2]]:
    """Return the foam that is left, each connected lump with its holes."""
    tool = pyclipper.Pyclipper()
    tool.AddPaths(block, pyclipper.PT_SUBJECT, True)
    if slot:
        tool.AddPaths(slot, pyclipper.PT_CLIP, True)
    tree = tool.Execute2(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    found: list[list[Path2]] = []

    def gather(node: pyclipper.PyPolyNode) -> None:
        for child in node.Childs:
            if not child.IsHole:
                found.append([child.Contour, *(hole.Contour for hole in child.Childs)])
            gather(child)

    gather(tree)
    return found


def lies(path: Path) -> tuple[int, float, float]:
    """Return how a setup's file says the block lies: quarter turns, and where its corner is."""
    (line,) = [one for one in path.read_text().splitlines() if one.startswith("# setup: ")]
    turn = int(line.split("turned ")[1].split()[0])
    x, y = line.split("corner at x ")[1].split(", y ")
    return turn // 90, float(x), float(y)


def unmoved(path: Path) -> list[Row]:
    """Return the rows of a setup's file as they are on the block."""
    quarters, x, y = lies(path)
    found = []
    for row in rows(path):
        at = complex(row.x - x, row.y - y) * (-1j) ** quarters
        found.append(replace(row, x=at.real, y=at.imag))
    return found


def setup_complaints(
    paths: Sequence[Path],
    *,
    face: Polygon,
    pieces: dict[int, Polygon],
    kerf_mm: float,
    lead_in_mm: float,
    reach: tuple[float, float, float, float],
    clamps: Sequence[Polygon] = (),
    error_mm: float = 1.0,
) -> list[str]:
    """Return what is wrong with the files of a layout's setups, taken together.

    `reach` is west, south, east, north of where the table gets. A block `error_mm` off its
    place in any one setup, any way, may not bite a piece of another; and what is left of it
    before each move holds all pieces still to cut in one lump.
    """
    told: list[str] = []
    west, south, east, north = reach
    everything: list[Row] = []
    owned: list[set[int]] = []
    block = region(face)
    for path in paths:
        for row in rows(path):
            if not (west - 0.01 <= row.x <= east + 0.01 and south - 0.01 <= row.y <= north + 0.01):
                told.append(f"{path.name}: x {row.x}, y {row.y} is out of reach")
                break
        told += [
            f"{path.name}: {one}"
            for one in clamp_complaints(path, clamps=list(clamps), kerf_mm=kerf_mm)
        ]
        here = unmoved(path)
        owned.append({row.piece for row in here if row.piece is not None and row.move == "outline"})
        wide = sweep(_lines(here)[0], kerf_mm + 2 * error_mm - 4 * ROUNDING_MM)
        for number in sorted(set(pieces) - owned[-1]):
            if clip(pyclipper.CT_INTERSECTION, region(pieces[number]), wide):
                told.append(f"{path.name}: off its marks it bites piece {number}")
        everything += here
        to_come = [pieces[number] for number in pieces if not any(number in one for one in owned)]
        left = lumps(block, sweep(_lines(everything)[0], kerf_mm))
        holding = {
            at
            for at, lump in enumerate(left)
            for one in to_come
            if clip(pyclipper.CT_INTERSECTION, lump, offset(region(one), -DEEP_MM))
        }
        if len(holding) > 1:
            told.append(f"after {path.name} the block is in {len(holding)} lumps")
    if sorted(number for one in owned for number in one) != sorted(pieces):
        told.append(f"pieces by setup: {owned}")
    return told + complaints_of(
        everything, face=face, pieces=pieces, kerf_mm=kerf_mm, lead_in_mm=lead_in_mm
    )


def complaints(
    path: Path,
    *,
    face: Polygon,
    pieces: dict[int, Polygon],
    kerf_mm: float,
    lead_in_mm: float,
) -> list[str]:
    """Return what is wrong with a coordinate file; `pieces` as they should come out."""
    return complaints_of(
        rows(path), face=face, pieces=pieces, kerf_mm=kerf_mm, lead_in_mm=lead_in_mm
    )


def complaints_of(
    read: list[Row],
    *,
    face: Polygon,
    pieces: dict[int, Polygon],
    kerf_mm: float,
    lead_in_mm: float,
) -> list[str]:
    """Return what is wrong with rows on the block; `pieces` as they should come out."""
    told: list[str] = []
    told += _ends(read, face, lead_in_mm, pieces)
    lines, kinds = _lines(read)
    told += _labels(lines, kinds, face)
    slits = sweep(
        [line for line, kind in zip(lines, kinds, strict=True) if kind == "slit"],
        kerf_mm + 2 * ROUNDING_MM,
    )
    everything = sweep(lines, kerf_mm)
    block = region(face)
    left = [lump for lump in lumps(block, everything) if area_mm2(lump) > 0.1]
    for number, polygon in pieces.items():
        piece = region(polygon)
        core = offset(piece, -DEEP_MM)
        bitten = clip(pyclipper.CT_INTERSECTION, core, everything)
        bitten = clip(pyclipper.CT_DIFFERENCE, bitten, slits)
        if area_mm2(bitten) > 1e-3:
            told.append(f"piece {number} is bitten: {area_mm2(bitten):.4f} mm2")
        own = [
            lump for lump in left if area_mm2(clip(pyclipper.CT_INTERSECTION, lump, core)) > 0.01
        ]
        if len(own) != 1:
            told.append(f"piece {number} comes out as {len(own)} lumps")
            continue
        closed = offset(offset(piece, kerf_mm / 2), DEEP_MM - kerf_mm / 2)
        extra = offset(clip(pyclipper.CT_DIFFERENCE, own[0], closed), -DEEP_MM)
        if area_mm2(extra) > 1e-3:
            told.append(f"piece {number} keeps {area_mm2(extra):.3f} mm2 of waste")
    return told


def _ends(
    read: list[Row], face: Polygon, lead_in_mm: float, pieces: dict[int, Polygon]
) -> list[str]:
    west, south, east, north = face.bounds
    told = []
    for number in sorted({row.number for row in read}):
        one = [row for row in read if row.number == number]
        if one[0].move == "thread":
            # The wire is threaded where it starts: it must be drawn out there again, and the
            # place must lie in a hole of the piece that is named, in waste.
            start, end = ((row.x, row.y) for row in (one[0], one[-1]))
            at = whole([start])[0]
            holes = [region(Polygon(ring)) for ring in pieces[one[0].piece or 0].interiors]
            if start != end:
                told.append(f"pass {number} ends elsewhere than where the wire was threaded")
            if not any(pyclipper.PointInPolygon(at, hole[0]) == 1 for hole in holes):
                told.append(f"pass {number} is threaded in no hole of piece {one[0].piece}")
            for name, piece in pieces.items():
                inside = [pyclipper.PointInPolygon(at, ring) for ring in region(piece)]
                if inside[0] and not any(inside[1:]):
                    told.append(f"pass {number} is threaded through piece {name}")
            continue
        for row in (one[0], one[-1]):
            out = max(west - row.x, row.x - east, south - row.y, row.y - north)
            if out < lead_in_mm - 1e-9:
                told.append(f"pass {number} has an end {out:.3f} mm outside the foam")
    return told


def _lines(read: list[Row]) -> tuple[list[Path2], list[str]]:
    """Return one open line for each step, from where the last one ended, and its kind."""
    lines: list[Path2] = []
    kinds: list[str] = []
    before: Row | None = None
    for row in read:
        if before is None or before.number != row.number:
            lines.append([])
            kinds.append(row.move)
        elif before.step != row.step:
            lines.append(whole([(before.x, before.y)]))
            kinds.append(row.move)
        lines[-1] += whole([(row.x, row.y)])
        before = row
    return lines, kinds


def _labels(lines: list[Path2], kinds: list[str], face: Polygon) -> list[str]:
    """Return moves in 'air' that run through the block, and 'slot' moves through fresh foam.

    What is melted grows move by move; of an old slot 0.1 mm round its centre counts.
    """
    told = []
    inner = offset(region(face), -0.01)
    old: list[tuple[Box, list[Path2]]] = []
    for index, (line, kind) in enumerate(zip(lines, kinds, strict=True)):
        trace = sweep([line], 0.002)
        if kind == "air" and clip(pyclipper.CT_INTERSECTION, trace, inner):
            told.append(f"step {index + 1} is called air and runs through foam")
        if kind in ("slot", "overrun"):
            here = bounds(line)
            near = [path for box_, paths in old if meet(box_, here) for path in paths]
            fresh = clip(pyclipper.CT_DIFFERENCE, trace, near)
            if clip(pyclipper.CT_INTERSECTION, fresh, inner):
                told.append(f"step {index + 1} is called {kind} and cuts fresh foam")
        old.append((bounds(line), sweep([line], 0.1)))
    return told


def bounds(line: Path2) -> Box:
    xs, ys = zip(*line, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def meet(one: Box, other: Box) -> bool:
    """Return whether two boxes come within a millimetre of each other."""
    return all(
        one[axis] - SCALE < other[axis + 2] and other[axis] - SCALE < one[axis + 2]
        for axis in (0, 1)
    )


def waste_held(
    path: Path, *, face: Polygon, pieces: dict[int, Polygon], kerf_mm: float
) -> list[str]:
    """Return the pieces that a lump of waste holds: it can be drawn off in no direction."""
    lines, _ = _lines(rows(path))
    left = [lump for lump in lumps(region(face), sweep(lines, kerf_mm)) if area_mm2(lump) > 20]
    cores = {number: offset(region(piece), -0.25 * kerf_mm) for number, piece in pieces.items()}
    plugs = [region(Polygon(ring)) for piece in pieces.values() for ring in piece.interiors]
    told = []
    for lump in left:
        if any(
            area_mm2(clip(pyclipper.CT_INTERSECTION, lump, core)) > 1 for core in cores.values()
        ):
            continue
        around = clip(pyclipper.CT_DIFFERENCE, offset(lump, 1.5 * kerf_mm), lump)
        for number, core in cores.items():
            if not clip(pyclipper.CT_INTERSECTION, around, core):
                continue
            if any(not clip(pyclipper.CT_DIFFERENCE, lump, plug) for plug in plugs):
                continue
            steps = [
                (3 * kerf_mm * math.cos(angle), 3 * kerf_mm * math.sin(angle))
                for angle in (math.tau / 72 * k for k in range(72))
            ]
            if not any(_clear(lump, core, step) for step in steps):
                told.append(f"piece {number} is held by waste of {area_mm2(lump):.0f} mm2")
    return told


def _clear(lump: list[Path2], core: list[Path2], step: tuple[float, float]) -> bool:
    dx, dy = (round(value * SCALE) for value in step)
    moved = [[(x + dx, y + dy) for x, y in ring] for ring in core]
    return area_mm2(clip(pyclipper.CT_INTERSECTION, lump, moved)) < 0.05


def fence_complaints(
    path: Path, *, face: Polygon, pieces: dict[int, Polygon], kerf_mm: float
) -> list[str]:
    """Return what is wrong with the cuts along a fence in a file, swept lump by lump.

    Each must run right through one lump, from rim to rim, square to it; in the end each piece
    lies in the rectangle round it. What is cut by hand later may only bite that lump.
    """
    told: list[str] = []
    foam = [region(face)]
    lines, kinds = _lines(rows(path))
    for index, (line, kind) in enumerate(zip(lines, kinds, strict=True), 1):
        tool = pyclipper.PyclipperOffset(arc_tolerance=0.001 * SCALE)
        tool.AddPath(line, pyclipper.JT_ROUND, pyclipper.ET_OPENBUTT)
        swept = tool.Execute((kerf_mm / 2 - ROUNDING_MM) * SCALE)
        bitten = [
            lump for lump in foam if area_mm2(clip(pyclipper.CT_INTERSECTION, lump, swept)) > 1.0
        ]
        if len(bitten) > 1 or (kind == "fence" and not bitten):
            told.append(f"step {index} ({kind}) cuts {len(bitten)} lumps")
        if kind != "fence" or len(bitten) != 1:
            continue
        (lump,) = bitten
        low_x, low_y, high_x, high_y = bounds(lump[0])
        (x0, y0), (x1, y1) = line
        upright = x0 == x1
        ends = sorted((y0, y1) if upright else (x0, x1))
        rims = [low_y, high_y] if upright else [low_x, high_x]
        if (not upright and y0 != y1) or max(
            abs(end - rim) for end, rim in zip(ends, rims, strict=True)
        ) > 3 * ROUNDING_MM * SCALE:
            told.append(f"step {index} does not run square from rim to rim")
        wide = clip(pyclipper.CT_UNION, sweep_flat(line, kerf_mm), [])
        foam.remove(lump)
        foam += [one for one in lumps(lump, wide) if area_mm2(one) > 1.0]
    if "fence" in kinds[kinds.count("fence") :]:
        told.append("cuts along the fence come after cuts by hand")
    for number, polygon in pieces.items():
        own = [
            lump
            for lump in foam
            if area_mm2(clip(pyclipper.CT_INTERSECTION, lump, region(polygon))) > 1.0
        ]
        west, south, east, north = (round(value * SCALE) for value in polygon.bounds)
        if len(own) != 1 or any(
            abs(a - b) > DEEP_MM * SCALE
            for a, b in zip(bounds(own[0][0]), (west, south, east, north), strict=True)
        ):
            told.append(f"piece {number} is not freed as its rectangle")
    return told


def sweep_flat(line: Path2, kerf_mm: float) -> list[Path2]:
    """Return what a straight cut melts between its two ends, and a hair beyond."""
    (x0, y0), (x1, y1) = line
    length = math.hypot(x1 - x0, y1 - y0)
    hair = 4 * ROUNDING_MM * SCALE / length
    dx, dy = round((x1 - x0) * hair), round((y1 - y0) * hair)
    tool = pyclipper.PyclipperOffset(arc_tolerance=0.001 * SCALE)
    ends = [(x0 - dx, y0 - dy), (x1 + dx, y1 + dy)]
    tool.AddPath(ends, pyclipper.JT_ROUND, pyclipper.ET_OPENBUTT)
    return tool.Execute(kerf_mm / 2 * SCALE)


def clamp_complaints(path: Path, *, clamps: list[Polygon], kerf_mm: float) -> list[str]:
    """Return the clamps that the wire of a file, or its slot, enters, in air or in foam."""
    lines, kinds = _lines(rows(path))
    told = []
    for number, clamp in enumerate(clamps, 1):
        for index, (line, kind) in enumerate(zip(lines, kinds, strict=True), 1):
            swept = sweep([line], kerf_mm - 4 * ROUNDING_MM)
            if clip(pyclipper.CT_INTERSECTION, swept, region(clamp)):
                told.append(f"step {index} ({kind}) enters clamp {number}")
    return told


def waiting_complaints(
    path: Path, *, at: tuple[float, float], face: Polygon, clamps: list[Polygon], kerf_mm: float
) -> list[str]:
    """Return what is wrong with how the passes of a file begin and end at a waiting place.

    Threaded passes apart. From the place to the straight step that leads into the foam, and
    from the one that leads out of it, what is swept meets neither foam nor clamps.
    """
    told = []
    read = rows(path)
    solid = [region(one) for one in (face, *clamps)]
    for number in sorted({row.number for row in read}):
        one = [row for row in read if row.number == number]
        if one[0].move == "thread":
            continue
        for word, way in (("start", one), ("end", one[::-1])):
            if math.dist((way[0].x, way[0].y), at) > ROUNDING_MM:
                told.append(f"pass {number} does not {word} where the wire waits")
            # A row is named after the way that leads to it, here also from it.
            count = next(i for i, row in enumerate(way) if row.move != "air")
            free = [(row.x, row.y) for row in way[: count - 1 if word == "start" else count]]
            swept = sweep([whole(free + free[-1:])], kerf_mm - 4 * ROUNDING_MM)
            if any(clip(pyclipper.CT_INTERSECTION, swept, one_solid) for one_solid in solid):
                told.append(f"pass {number}, {word}: the wire meets foam or a clamp")
    return told
