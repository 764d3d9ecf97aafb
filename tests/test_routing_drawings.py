"""Drawings that others have made: the wire's way round what was read of them."""

from __future__ import annotations

from pathlib import Path

import pytest
import sweeping
from foam_layouts import laid, plan_of
from shapely import box
from shapely.affinity import translate

from wirepath.coordinates import write_coordinates
from wirepath.drawing_file import read_traced
from wirepath.model import Reading
from wirepath.workshop import Cutting

DRAWINGS = Path(__file__).parents[2] / "shared" / "drawings"

CUTTING = Cutting(kerf_mm=1.2, web_mm=8.0)


@pytest.mark.skipif(not DRAWINGS.is_dir(), reason="no collection of drawings beside the repository")
@pytest.mark.parametrize("name", ["forms", "name_email", "snowflake", "design_A", "arrayed-holes"])
def test_every_outline_of_a_foreign_drawing_comes_free_and_unbitten(name, tmp_path):
    (path,) = DRAWINGS.rglob(f"*__{name}.dxf")
    traced = read_traced(path, Reading(finished_width_mm=1500.0))
    outlines, x = [], 20.0
    for outline in traced.outlines:
        west, south, east, _ = outline.polygon.bounds
        outlines.append(translate(outline.polygon, x - west, 20 - south))
        x += east - west + CUTTING.kerf_mm + CUTTING.web_mm
    height = max(outline.bounds[3] for outline in outlines) + 20
    layout, pieces = laid(outlines, x + 20, height)
    (file,) = write_coordinates(plan_of(layout, pieces, cutting=CUTTING), tmp_path)
    told = sweeping.complaints(
        file,
        face=box(0, 0, layout.width_mm, layout.height_mm),
        pieces={one.number: one.outline for one in pieces},
        kerf_mm=CUTTING.kerf_mm,
        lead_in_mm=CUTTING.lead_in_mm,
    )
    assert told == []
