"""Whole searched layouts of any job, held against shapely alone."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.affinity import rotate, scale, translate
from test_nesting import CLEARANCE, piece, shop, star, stock

from wirepath.model import Layout, Piece, Turning
from wirepath.nesting import lay_out
from wirepath.workshop import Blocked

SLACK_MM = 1e-6
STEP_DEG = {"none": 360.0, "half": 180.0, "quarter": 90.0}

KNOT = Blocked(x_mm=400, y_mm=200, width_mm=60, height_mm=50)
GLUE = Blocked(corners=((700, 0), (900, 0), (760, 140)))
SHOP = shop(
    replace(stock(), blocked=(KNOT, GLUE), price=9.0),
    stock(name="clear", price=10.0),
    stock(620, 520, 123, name="small", price=3.0),
)


def with_hole(outline: Polygon, share: float) -> Polygon:
    """Return the outline less a small one of its own form, where that is inside."""
    hole = scale(outline, share, share, origin=outline.representative_point())
    return outline.difference(hole) if outline.buffer(-2).contains(hole) else outline


@st.composite
def jobs(draw: st.DrawFn) -> tuple[Piece, ...]:
    pieces: list[Piece] = []
    for _ in range(draw(st.integers(1, 4))):
        corners, size = draw(st.integers(3, 9)), draw(st.integers(50, 190))
        outline = star(corners, size / 2, size, draw(st.integers(0, 999)))
        if draw(st.booleans()):
            outline = with_hole(outline, draw(st.floats(0.2, 0.7)))
        turning: Turning = draw(st.sampled_from(["none", "half", "quarter", "any"]))
        thickness, flip = draw(st.sampled_from([60.0, 100.0])), draw(st.booleans())
        for _ in range(draw(st.integers(1, 3))):
            number = len(pieces) + 1
            pieces.append(
                piece(outline, number, thickness_mm=thickness, turning=turning, flip=flip)
            )
    return tuple(pieces)


def laid_by_shapely(layout: Layout, pieces: tuple[Piece, ...]) -> list[Polygon]:
    """Return the outlines as the layout's words say: flipped, turned, moved."""
    found = []
    for one in layout.placements:
        outline = pieces[one.piece - 1].outline
        if one.flipped:
            outline = scale(outline, -1.0, 1.0, origin=(0, 0))
        outline = rotate(outline, one.angle_deg, origin=(0, 0))
        found.append(translate(outline, one.x_mm, one.y_mm))
    return found


@settings(max_examples=3, deadline=None)
@given(jobs(), st.integers(0, 99))
def test_a_searched_layout_of_any_job_holds_by_shapely_alone(
    pieces: tuple[Piece, ...], seed: int
) -> None:
    blocks, layouts = lay_out(pieces, SHOP, seed=seed, seconds=0.15)
    laid = Counter(one.piece for layout in layouts for one in layout.placements)
    assert laid == Counter(range(1, len(pieces) + 1))
    for layout in layouts:
        outlines = laid_by_shapely(layout, pieces)
        trim = layout.trim_mm - SLACK_MM
        face = box(trim, trim, layout.width_mm - trim, layout.height_mm - trim)
        assert all(face.contains(one) for one in outlines)
        assert all(
            one.distance(other) > CLEARANCE - SLACK_MM for one, other in combinations(outlines, 2)
        )
        assert all(a.intersection(b).area == 0.0 for a, b in combinations(outlines, 2))
        if blocks[layout.block - 1].stock == "block":
            for area in (KNOT.polygon, GLUE.polygon):
                assert all(one.intersection(area).area < 1e-3 for one in outlines)
        for one in layout.placements:
            given_piece = pieces[one.piece - 1]
            assert given_piece.turning == "any" or (
                one.angle_deg % STEP_DEG[given_piece.turning] == 0.0
            )
            assert given_piece.flip or not one.flipped
            assert given_piece.thickness_mm == layout.thickness_mm


def test_rings_lie_inside_rings_inside_rings() -> None:
    # 40 mm of foam; each ring's hole holds the next with 10 mm all round and 1 to spare.
    rings = [box(0, 0, side, side) - box(40, 40, side - 40, side - 40) for side in (480, 379, 278)]
    some = [*rings, box(0, 0, 177, 177)]
    pieces = tuple(piece(one, number) for number, one in enumerate(some, 1))
    workshop = shop(stock(500, 500, 120))
    blocks, (layout,) = lay_out(pieces, workshop, seconds=0.1)
    assert len(blocks) == 1
    outlines = laid_by_shapely(layout, pieces)
    assert shapely.union_all(outlines).bounds == outlines[0].bounds
