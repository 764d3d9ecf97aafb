"""Pieces that may be turned by any angle: the programme that turns them, and the search."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from shapely import Polygon, box
from test_nesting_search import QUARTERS, maps_of, outlines_of

from wirepath.nesting import any_angle
from wirepath.nesting.any_angle import shortest_of_any_angle
from wirepath.nesting.fields import Effort
from wirepath.nesting.improving import packed
from wirepath.nesting.maps import Maps
from wirepath.nesting.shapes import Turn, shifted, turned_on, turned_variants
from wirepath.nesting.strip import Strip
from wirepath.nesting.turning import press_turning

HOOK = Polygon([(0, 0), (300, 0), (300, 60), (60, 60), (60, 480), (0, 480)])


def free_maps(outlines: list[Polygon], turns: list[Turn], **sizes: float) -> Maps:
    maps = maps_of(outlines, turns, **sizes)
    maps.free = frozenset(range(len(outlines)))
    return maps


def test_a_variant_turned_on_is_the_variant_of_the_sum_of_both_angles() -> None:
    (given,) = turned_variants(HOOK, [Turn(20.0, flipped=True)])
    (told,) = turned_variants(HOOK, [Turn(53.0, flipped=True)])
    turned = turned_on(given, 33.0)
    assert turned.turn == told.turn
    assert turned.outline.normalize().equals_exact(told.outline.normalize(), 1e-9)
    assert turned.shift == pytest.approx(told.shift)
    assert sum(Polygon(part).area for part in turned.parts) == pytest.approx(HOOK.area)


def test_a_bar_that_leans_is_pressed_upright() -> None:
    # 100 x 60 at 75 degrees is 83.8 wide; upright it is 60, to a thousandth of a degree.
    maps = free_maps([box(0, 0, 100, 60)], [Turn(75.0)], short_mm=200)
    found = press_turning(
        maps, [0], np.array([[0.0, 0.0]]), height_mm=200, step_mm=20, effort=Effort(1e12)
    )
    assert found is not None
    variants, _, width_mm = found
    assert width_mm == pytest.approx(60.0, abs=0.01)
    assert maps.variants[variants[0]].turn.angle_deg == pytest.approx(90.0, abs=0.01)


def test_a_piece_of_no_free_kind_keeps_its_turn() -> None:
    maps = maps_of([box(0, 0, 100, 60)], [Turn(75.0)], short_mm=200)
    found = press_turning(
        maps, [0], np.array([[0.0, 0.0]]), height_mm=200, step_mm=20, effort=Effort(1e12)
    )
    assert found is not None
    assert found[0] == (0,)


def test_pieces_pressed_with_turning_keep_their_clearance_exactly() -> None:
    maps = free_maps([HOOK, box(0, 0, 90, 200)], [Turn(8.0)], short_mm=600, clearance_mm=10.0)
    spots = np.array([[0.0, 0.0], [350.0, 20.0], [150.0, 100.0], [500.0, 250.0]])
    loose = max(
        x + maps.variants[v].width_mm for v, (x, _) in zip([0, 1, 1, 0], spots, strict=True)
    )
    found = press_turning(maps, [0, 1, 1, 0], spots, height_mm=600, step_mm=10, effort=Effort(1e12))
    assert found is not None
    variants, at, width_mm = found
    assert width_mm < loose - 10
    laid = [shifted(maps.variants[v].outline, x, y) for v, (x, y) in zip(variants, at, strict=True)]
    for one, other in combinations(laid, 2):
        assert one.distance(other) >= 10.0 - 1e-6


def test_five_squares_lie_in_a_square_that_holds_four_of_them_upright() -> None:
    # The least is 2 + 1/sqrt(2) = 2.7071 sides, the fifth at 45 degrees: F. Göbel, Geometrical
    # packing and covering problems, Math. Centre Tracts 106 (1979); upright it is 3.
    maps = maps_of([box(0, 0, 100, 100)], QUARTERS, short_mm=280)
    assert packed(maps, [0] * 5, [(280.0, 280.0)], seed=0, effort=Effort(3e7)) is None
    maps.free = frozenset([0])
    answer = packed(maps, [0] * 5, [(280.0, 280.0)], seed=0, effort=Effort(5e8))
    assert answer is not None
    laid = [shifted(maps.variants[v].outline, x, y) for _, v, x, y in answer[0]]
    assert all(box(0, 0, 280, 280).buffer(1e-6).contains(one) for one in laid)
    assert max(one.intersection(other).area for one, other in combinations(laid, 2)) < 1e-3


def test_the_same_seed_gives_the_same_strip_of_any_angle() -> None:
    def shortest() -> tuple[Maps, Strip]:
        maps = free_maps([HOOK, box(0, 0, 90, 200)], QUARTERS, short_mm=600)
        kinds = [0, 1, 1, 0, 1]
        effort = Effort(6e7)
        return maps, shortest_of_any_angle(maps, kinds, height_mm=600, seed=3, effort=effort)

    maps, strip = shortest()
    assert strip == shortest()[1]
    laid = outlines_of(maps, strip)
    assert max(one.intersection(other).area for one, other in combinations(laid, 2)) < 1e-3


@pytest.mark.parametrize("spoilt", ["nothing", "shortest_strip", "_pressed"])
def test_no_strip_of_any_angle_is_wider_than_that_of_quarter_turns_on_the_way(
    spoilt: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    widths: list[float] = []
    search, press = any_angle.shortest_strip, any_angle._pressed

    def searched(*given: Any, **named: Any) -> Strip:
        found = search(*given, **named)
        widths.append(found.width_mm)
        worse = spoilt == "shortest_strip" and len(widths) > 1
        return replace(found, width_mm=400.0) if worse else found

    def pressed(*given: Any) -> Strip:
        found = press(*given)
        return replace(found, width_mm=500.0) if spoilt == "_pressed" else found

    monkeypatch.setattr(any_angle, "shortest_strip", searched)
    monkeypatch.setattr(any_angle, "_pressed", pressed)
    maps = free_maps([box(0, 0, 100, 100)], QUARTERS, short_mm=280)
    strip = shortest_of_any_angle(maps, [0] * 5, height_mm=280, seed=1, effort=Effort(2.5e8))
    assert len(widths) > 1  # quarter turns first, then new angles
    assert strip.width_mm <= widths[0]
