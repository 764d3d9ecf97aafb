"""Random layouts, cut in every way at once: the written file keeps the promises.

Holes slit or threaded, waste whole, opened or in lumps, the wire upright or level, edges
shared, lines that begin where somebody asked: whatever comes together, the simulator that
reads the written file alone has nothing to tell.
"""

from __future__ import annotations

from dataclasses import replace

import sweeping
from foam_layouts import CUTTING, laid, layouts, plan_of
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from wirepath.coordinates import write_coordinates
from wirepath.errors import FitError
from wirepath.kerf import wire_lines
from wirepath.model import Layout, Piece
from wirepath.routing import drawn_out, route
from wirepath.workshop import Cutting, Rig

EXAMPLES = settings(
    max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)

ENTRIES = ["lower left", "upper right", "left", "right", "upper", "lower", None, None]


@st.composite
def ways(draw: st.DrawFn, *, web_mm: float = CUTTING.web_mm) -> tuple[Cutting, Rig]:
    """Draw how a layout is cut."""
    cutting = replace(
        CUTTING,
        web_mm=web_mm,
        holes=draw(st.sampled_from(["slit", "thread"])),
        waste=draw(st.sampled_from(["whole", "open", "lumps"])),
        overrun_mm=draw(st.sampled_from([0.0, 5.0])),
        lead_in_mm=draw(st.sampled_from([0.0, 20.0])),
    )
    return cutting, Rig(wire_lies=draw(st.sampled_from(["upright", "level"])))


@st.composite
def parted(draw: st.DrawFn) -> tuple[Layout, tuple[Piece, ...]]:
    """Draw a board parted again and again, one kerf apart; some of the parts have a hole."""
    to_do = [(0.0, 0.0, draw(st.sampled_from([150.0, 400.0])), 260.0)]
    parts: list[tuple[float, float, float, float]] = []
    while to_do:
        x, y, width, height = to_do.pop()
        if max(width, height) < 110 or (parts and draw(st.integers(0, 3)) == 0):
            parts.append((x, y, width, height))
            continue
        share, kerf = draw(st.sampled_from([0.35, 0.5, 0.6])), CUTTING.kerf_mm
        if width > height:
            at = round(share * width)
            to_do += [(x, y, at, height), (x + at + kerf, y, width - at - kerf, height)]
        else:
            at = round(share * height)
            to_do += [(x, y, width, at), (x, y + at + kerf, width, height - at - kerf)]
    outlines: list[Polygon] = []
    margin = draw(st.sampled_from([0.0, 1.5, 30.0]))
    for x, y, width, height in parts:
        outline = box(x, y, x + width, y + height)
        if min(width, height) > 70 and draw(st.booleans()):
            outline = outline.difference(box(x + 22, y + 25, x + width - 24, y + height - 20))
        outlines.append(outline)
    moved = [
        Polygon(
            [(x + margin, y + margin) for x, y in one.exterior.coords],
            [[(x + margin, y + margin) for x, y in ring.coords] for ring in one.interiors],
        )
        for one in outlines
    ]
    right = max(one.bounds[2] for one in moved) + margin
    return laid(moved, right, max(one.bounds[3] for one in moved) + margin)


def told(layout: Layout, pieces: tuple[Piece, ...], way: tuple[Cutting, Rig], folder) -> list[str]:
    """Return what the simulator tells of the file that is written."""
    cutting, rig = way
    lines = wire_lines(layout, pieces, cutting)
    passes = route(layout, lines, pieces, cutting, rig, lump_mm2=20_000.0)
    (path,) = write_coordinates(plan_of(layout, pieces, passes, cutting=cutting), folder)
    face = box(0, 0, layout.width_mm, layout.height_mm)
    outlines = {one.number: one.outline for one in pieces}
    found = sweeping.complaints(
        path, face=face, pieces=outlines, kerf_mm=3.0, lead_in_mm=cutting.lead_in_mm
    )
    if cutting.waste != "whole":
        drawn = drawn_out(lines, passes, face, cutting.kerf_mm)
        held = sweeping.waste_held(path, face=face, pieces=outlines, kerf_mm=3.0)
        found += [text for text in held if not any(f"piece {n} " in text for n in drawn)]
    return found


@EXAMPLES
@given(scene=layouts(), way=ways())
def test_on_any_layout_cut_in_any_way_every_piece_is_freed_and_none_bitten(scene, way, tmp_path):
    if scene[1]:
        assert told(*scene, way, tmp_path) == []


@EXAMPLES
@given(scene=parted(), way=ways(web_mm=0.0))
def test_pieces_that_share_edges_are_freed_whatever_the_way(scene, way, tmp_path):
    assert told(*scene, way, tmp_path) == []


@EXAMPLES
@given(scene=layouts(), way=ways(), data=st.data())
def test_wherever_lines_are_asked_to_begin_the_file_keeps_the_promises(scene, way, data, tmp_path):
    layout, pieces = scene
    assume(pieces)
    asked = tuple(replace(one, entry=data.draw(st.sampled_from(ENTRIES))) for one in pieces)
    try:
        found = told(layout, asked, way, tmp_path)
    except FitError:
        # No way with one bend at most leads there.
        return
    assert found == []
