"""A picture of what the reader made of a drawing, faults as numbered marks with a list."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Shape
from shapely import Polygon

from wirepath.model import Note
from wirepath.picture_file import save_figure
from wirepath.tracing import Survey

PAGE_MM = (420.0, 297.0)
"""A3, landscape (ISO 216)."""

MOST_LINES = 60
"""As many as fit down the page beside the drawing; faults past them are counted."""

# Greys that stay apart on a black and white printer; what matters differs in shape too.
FOAM, HOLE, INK, PALE = "0.82", "1.0", "0.0", "0.45"


def write_picture(survey: Survey, path: Path) -> None:
    """Write the picture of a survey to `path`: PDF, PNG or SVG by its ending.

    Raises FileError where it cannot be written or has another ending.
    """
    save_figure(picture(survey), path)


def picture(survey: Survey) -> Figure:
    """Return the picture: the drawing with its marks at the left, what they mean at the right."""
    width, height = (side / 25.4 for side in PAGE_MM)
    figure = Figure(figsize=(width, height))
    axes = figure.add_axes((0.05, 0.07, 0.60, 0.86))
    axes.set_aspect("equal", adjustable="datalim")
    axes.set_xlabel("x, mm at finished size")
    axes.set_ylabel("y, mm")
    axes.grid(color="0.9", linewidth=0.5)
    axes.set_axisbelow(True)
    _draw_shapes(axes, survey)
    for number, place in enumerate(survey.places, start=1):
        if place is not None:
            _mark(axes, *place, str(number))
    repairs = [note for note in survey.traced.notes if note.kind == "repair" and note.at]
    axes.plot(*_columns(repairs), "D", color=INK, markerfacecolor="none", markersize=6)
    _write_list(figure, survey, len(repairs))
    return figure


def _draw_shapes(axes: Any, survey: Survey) -> None:
    traced = survey.traced
    for outline in traced.outlines:
        axes.add_patch(_patch(outline.polygon, facecolor=FOAM, edgecolor=INK, linewidth=0.8))
    contours = [contour.region.boundary for contour in traced.contours]
    axes.add_collection(LineCollection(_lines(contours), colors=PALE, linewidths=0.6))
    axes.add_collection(
        LineCollection(_lines(survey.open_lines), colors=INK, linewidths=1.6, linestyles="dashed")
    )
    zones = [zone.boundary for zone in traced.keep_clear]
    for lines, style in ((traced.seam_lines, "dashdot"), (zones, "dotted")):
        axes.add_collection(
            LineCollection(_lines(lines), colors=INK, linewidths=1.2, linestyles=style)
        )
    axes.add_collection(LineCollection(_lines(traced.finished_lines), colors=INK, linewidths=3.0))
    for outline in traced.outlines if len(traced.outlines) <= 60 else ():
        spot = shapely.point_on_surface(outline.polygon)
        axes.text(
            *spot.coords[0],
            outline.name[:24],
            ha="center",
            va="center",
            fontsize=7,
            parse_math=False,
            bbox={"facecolor": "1.0", "edgecolor": "none", "pad": 0.5, "alpha": 0.7},
        )
    axes.autoscale_view()


def _patch(polygon: Polygon, **looks: Any) -> PathPatch:
    rings = [polygon.exterior, *polygon.interiors]
    return PathPatch(
        Shape.make_compound_path(*(Shape(np.asarray(r.coords), closed=True) for r in rings)),
        **looks,
    )


def _lines(geometries: Sequence[shapely.Geometry]) -> list[Any]:
    return [
        shapely.get_coordinates(part)
        for geometry in geometries
        for part in np.atleast_1d(shapely.get_parts(geometry))
    ]


def _mark(axes: Any, x: float, y: float, number: str) -> None:
    """Draw a cross at the place, and its number in a ring beside it."""
    axes.plot([x], [y], "x", color=INK, markersize=9, markeredgewidth=2)
    axes.annotate(
        number,
        (x, y),
        xytext=(11, 11),
        textcoords="offset points",
        ha="center",
        va="center",
        fontsize=9,
        fontweight="bold",
        bbox={"boxstyle": "circle", "facecolor": "1.0", "edgecolor": INK, "linewidth": 1.2},
    )


def _columns(notes: Sequence[Note]) -> tuple[list[float], list[float]]:
    places = [note.at for note in notes if note.at]
    return [x for x, _ in places], [y for _, y in places]


def _write_list(figure: Figure, survey: Survey, repairs: int) -> None:
    """Write what was found, and what each number stands for, down the right of the page."""
    lines = _summary(survey)
    if repairs:
        lines.append(f"diamonds: {repairs} repairs")
    lines += ["", "Faults, by their numbers:" if survey.faults else "No faults."]
    for number, fault in enumerate(survey.faults, start=1):
        where = f" ({fault.where.removeprefix('near ')})" if fault.where else ""
        told = textwrap.wrap(f"{number}  {fault.what}{where}", 64, subsequent_indent="    ")
        if len(lines) + len(told) >= MOST_LINES:
            lines.append(f"... and {len(survey.faults) - number + 1} more")
            break
        lines += told
    figure.text(
        0.67, 0.93, "\n".join(lines), va="top", fontsize=8.5, linespacing=1.35, parse_math=False
    )


def _summary(survey: Survey) -> list[str]:
    traced = survey.traced
    holes = sum(len(outline.polygon.interiors) for outline in traced.outlines)
    lines = [f"outlines: {len(traced.outlines)}, holes: {holes}"]
    if traced.contours:
        low, high = traced.contours[0].height_mm, traced.contours[-1].height_mm
        lines.append(f"contours: {len(traced.contours)}, from {low:g} to {high:g} mm")
    if traced.outlines:
        low_x, low_y, high_x, high_y = shapely.total_bounds(
            np.array([outline.polygon for outline in traced.outlines], dtype=object)
        )
        lines.append(f"size: {high_x - low_x:.1f} x {high_y - low_y:.1f} mm")
    if traced.seam_lines or traced.keep_clear:
        lines.append(
            f"seam lines: {len(traced.seam_lines)} (dash-dot), "
            f"places to keep clear: {len(traced.keep_clear)} (dotted)"
        )
    if traced.finished_lines:
        lines.append(f"edges to be cut finished: {len(traced.finished_lines)} (thick)")
    return [*lines, f"unit: {traced.units}", "", "grey: foam; dashed: open lines"]
