"""How large the drawing is to be: its unit, its scale, and whether that can be true."""

from __future__ import annotations

import fnmatch
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from wirepath.errors import Fault
from wirepath.model import Mesh, MeshFront, Note, Reading
from wirepath.tracing.drawing import Curve, Drawing
from wirepath.units import MM_PER_UNIT

LEAST_MM, MOST_MM = 25.0, 20_000.0
"""Common practice, no source: a drawing for foam that is smaller or larger than this was
not drawn in the unit it is thought to be in, unless somebody says so."""

MOST_SURE_MM = 100_000.0
"""100 m: past this even a stated unit or scale is taken for a slip."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizing:
    """Millimetres at finished size for a drawing unit, where that comes from, what is odd."""

    mm_per_unit: float
    scale: float
    units: str
    notes: tuple[Note, ...] = ()
    faults: tuple[Fault, ...] = ()


Role = Literal[
    "outline",
    "contour",
    "far face",
    "mark",
    "side outline",
    "top outline",
    "seam",
    "keep clear",
    "finished",
]
"""What the lines of a layer stand for."""

FRONTED: dict[MeshFront, NDArray[np.float64]] = {
    "z": np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1.0]]),
    "-z": np.array([[-1, 0, 0], [0, 1, 0], [0, 0, -1.0]]),
    "x": np.array([[0, 1, 0], [0, 0, 1], [1, 0, 0.0]]),
    "-x": np.array([[0, -1, 0], [0, 0, 1], [-1, 0, 0.0]]),
    "y": np.array([[-1, 0, 0], [0, 0, 1], [0, 1, 0.0]]),
    "-y": np.array([[1, 0, 0], [0, 0, 1], [0, -1, 0.0]]),
}
"""Turns, no mirrors: rows are what becomes x (to the right), y (up) and z (out of the front).
Seen along x or y, the mesh's z stays up, as figures stand; seen along z, its y does."""

FORM_ROLES = ("outline", "contour", "far face")
"""The roles of lines that the form's own size is measured by."""


def mm_per_unit(drawing: Drawing, reading: Reading) -> float:
    """Return millimetres at finished size for one unit of the drawing."""
    return size_up(drawing, reading).mm_per_unit


def size_up(drawing: Drawing, reading: Reading) -> Sizing:
    """Return how the drawing is sized: by the job, else by the drawing, else 1 unit = 1 mm."""
    unit_mm, units, sure = _unit(drawing, reading)
    width, height = _extent(drawing, reading)
    faults: list[Fault] = []
    notes: list[Note] = []
    scale = reading.scale or 1.0
    if reading.known_length is not None:
        drawn = math.dist(reading.known_length.start, reading.known_length.end) * unit_mm
        if drawn > 0:
            scale = reading.known_length.length_mm / drawn
        else:
            faults.append(
                Fault("the two points are the same", "known_length", "pick two points apart")
            )
    for key, asked, drawn in (
        ("finished_width_mm", reading.finished_width_mm, width * unit_mm),
        ("finished_height_mm", reading.finished_height_mm, height * unit_mm),
    ):
        if asked is None or not (width or height):
            continue
        if drawn > 1e-9 * asked:
            scale = asked / drawn
        else:
            faults.append(
                Fault(
                    f"{key} is {asked:g}, but what is drawn has no such extent",
                    key,
                    "give the other one",
                )
            )
    ways = ("scale", "known_length", "finished_width_mm", "finished_height_mm")
    given = [key for key in ways if getattr(reading, key) is not None]
    if len(given) > 1:
        faults.append(
            Fault(
                f"{' and '.join(given)} are all given, but each fixes the size",
                "read",
                "keep one of them",
            )
        )
    fixed = bool(given)
    factor = unit_mm * scale
    size = f"{_plain(width * factor)} x {_plain(height * factor)} mm"
    largest = max(width, height) * factor
    if not sure and not fixed and not mesh_forms(drawing, reading):
        notes.append(
            Note(
                kind="warning",
                text=f"the drawing states no unit: 1 unit is taken as 1 mm, finished size {size}",
            )
        )
    if not sure and not fixed and mesh_forms(drawing, reading):
        faults.append(
            Fault(
                f"the file states no unit; at 1 unit = 1 mm the mesh would be {size}",
                "units",
                "state it: units = 'mm' (or cm, m, inch, foot), or finished_width_mm = the real "
                "width",
            )
        )
    elif drawing.curves and largest:
        faults += _implausible(largest, size, units, sure, fixed, reading, drawing)
    if not 1e-9 < factor < 1e15:
        factor, scale = 1.0, 1.0
    return Sizing(
        mm_per_unit=factor, scale=scale, units=units, notes=tuple(notes), faults=tuple(faults)
    )


def wanted(curves: Sequence[Curve], reading: Reading) -> list[bool]:
    """Return for each curve whether the job wants it: by its layer, by whether it is seen."""
    roles = {layer: role(layer, reading) for layer in {curve.layer for curve in curves}}
    return [
        roles[curve.layer] is not None
        and (not curve.hidden or reading.hidden_layers)
        and (not curve.is_border or reading.hatch_borders)
        for curve in curves
    ]


def role(layer: str, reading: Reading) -> Role | None:
    """Return what a layer's curves stand for; None where the job wants none of them.

    Outlines are those of a layer that a pattern names or, without patterns, that no other
    key names.
    """
    if matches(layer, reading.seam_layers):
        return "seam"
    if matches(layer, reading.keep_clear_layers):
        return "keep clear"
    if matches(layer, reading.finished_layers):
        return "finished"
    if matches(layer, reading.contour_layers):
        return "contour"
    if matches(layer, reading.far_layers):
        return "far face"
    if matches(layer, reading.mark_layers):
        return "mark"
    if matches(layer, reading.side_layers):
        return "side outline"
    if matches(layer, reading.top_layers):
        return "top outline"
    if reading.mesh_layers:
        return None
    if not reading.outline_layers or matches(layer, reading.outline_layers):
        return "outline"
    return None


def mesh_forms(drawing: Drawing, reading: Reading) -> tuple[Mesh, ...]:
    """Return the meshes that are forms, their fronts towards z, in the drawing's own unit."""
    return tuple(
        _fronted(mesh, reading.mesh_front)
        for mesh in drawing.meshes
        if drawing.is_mesh or matches(mesh.layer, reading.mesh_layers)
    )


def _fronted(mesh: Mesh, front: MeshFront) -> Mesh:
    """Return a mesh turned so that its axis `front` points to z and what was up stays up."""
    points = np.array(mesh.points) @ FRONTED[front].T + 0.0
    return replace(mesh, points=tuple(map(tuple, points.tolist())), is_form=True)


def matches(layer: str, patterns: tuple[str, ...]) -> bool:
    """Return whether a layer's name fits one of the patterns; case does not count, as in DXF."""
    name = layer.casefold()
    return any(fnmatch.fnmatchcase(name, pattern.casefold()) for pattern in patterns)


def _unit(drawing: Drawing, reading: Reading) -> tuple[float, str, bool]:
    """Return the unit in mm, its name with the reason, and whether anybody stated it."""
    if reading.units is not None:
        return MM_PER_UNIT[reading.units], f"{reading.units} (given in the job)", True
    if drawing.stated_unit is not None and drawing.stated_unit_mm is not None:
        return drawing.stated_unit_mm, f"{drawing.stated_unit} (stated in the drawing)", True
    return 1.0, "mm (assumed: the drawing states none)", False


def _plain(length: float) -> str:
    """Return a length to four figures, without a power of ten."""
    return f"{float(f'{length:.4g}'):.12g}"


def _extent(drawing: Drawing, reading: Reading) -> tuple[float, float]:
    """Return width and height of the forms: seams may run out of them."""
    wants = wanted(drawing.curves, reading)
    lines = [
        curve.line
        for curve, is_read in zip(drawing.curves, wants, strict=True)
        if is_read and role(curve.layer, reading) in FORM_ROLES
    ]
    forms = mesh_forms(drawing, reading)
    if forms:
        width, height, _ = np.ptp(np.concatenate([mesh.points for mesh in forms]), axis=0)
        return float(width), float(height)
    if not lines:
        return 0.0, 0.0
    low_x, low_y, high_x, high_y = shapely.total_bounds(np.array(lines)).tolist()
    return high_x - low_x, high_y - low_y


def _implausible(
    largest: float,
    size: str,
    units: str,
    sure: bool,
    fixed: bool,
    reading: Reading,
    drawing: Drawing,
) -> list[Fault]:
    mend = "state it: units = 'mm' (or cm, m, inch, foot), or finished_width_mm = the real width"
    if largest > MOST_SURE_MM:
        what = f"the finished size would be {size}; more than 100 m is taken for a slip"
        if drawing.stated_unit == "m" and reading.units is None:
            what += " (many programs write metre where nobody chose a unit)"
        return [Fault(what, f"units: {units}", mend)]
    if fixed or reading.units is not None:
        return []
    if not sure and not LEAST_MM <= largest <= MOST_MM:
        return [
            Fault(f"the drawing states no unit, and at 1 unit = 1 mm would be {size}", "", mend)
        ]
    if drawing.stated_unit == "m" and largest > MOST_MM:
        return [
            Fault(
                f"the finished size would be {size}; many programs write metre where nobody "
                "chose a unit",
                f"units: {units}",
                mend,
            )
        ]
    return []
