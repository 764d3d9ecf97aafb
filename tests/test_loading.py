"""Boxes into a van: hand-checked weights, groups, refusals; any boxes lie inside and apart."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.affinity import rotate

from wirepath.assembling import glue_steps
from wirepath.errors import FitError, SettingsError
from wirepath.loading import plan_loads, refuse_no_van
from wirepath.loading.packing import pack
from wirepath.loading.parcels import Parcel, parcel
from wirepath.model import Piece, SeamSettings
from wirepath.sectioning import seams
from wirepath.workshop import Van, Workshop

VAN = Van(
    opening_width_mm=1430,
    opening_height_mm=1330,
    length_mm=2600,
    width_mm=1650,
    height_mm=1400,
    payload_kg=100,
)
"""As large as a medium van of the trade (common practice, no source): 1400 x 1300 pass."""

PLAIN = SeamSettings()


def piece(number: int, shape: Polygon, thick: float, form: str | None = None) -> Piece:
    return Piece(
        number=number,
        name=f"Form.{number}",
        part="Form",
        finished=shape,
        outline=shape,
        thickness_mm=thick,
        allowance_mm=0.0,
        foam="EPS 15",
        section_of=form,
    )


def row(count: int, width: float = 800.0, thick: float = 400.0) -> list[Piece]:
    """Pieces 1000 mm high side by side, of one form."""
    return [
        piece(k + 1, box(k * width, 0, (k + 1) * width, 1000), thick, "Form") for k in range(count)
    ]


def shop(workshop: Workshop, **van: float) -> Workshop:
    return replace(workshop, van=replace(VAN, **van))  # type: ignore[arg-type]


def test_a_load_weighs_what_arithmetic_says(workshop: Workshop) -> None:
    # 0.8 x 1.0 x 0.4 m at 15 kg/m3 is 4.8 kg; two pieces 9.6 kg.
    travel = plan_loads(row(2), (), shop(workshop), PLAIN)
    (load,) = travel.loads
    assert [item.weight_kg for item in load.items] == pytest.approx([4.8, 4.8])
    assert load.weight_kg == pytest.approx(9.6)


def test_payload_and_volume_bound_the_loads_from_below(workshop: Workshop) -> None:
    # Ten of 4.8 kg are 48 kg: at 10 kg a way no fewer than five; two go in each.
    travel = plan_loads(row(10), (), shop(workshop, payload_kg=10.0), PLAIN)
    assert (len(travel.loads), travel.fewest) == (5, 5)
    # 40 x 0.32 m3 = 12.8 m3; the van holds 2.6 x 1.65 x 1.4 = 6.006: no fewer than three.
    assert plan_loads(row(40), (), shop(workshop, payload_kg=900.0), PLAIN).fewest == 3


def test_a_slanting_piece_is_boxed_along_its_own_sides(workshop: Workshop) -> None:
    bar = rotate(box(0, 0, 2000, 300), 30)
    found = parcel([1], [piece(1, bar, 100.0)], workshop)
    assert found.sides == pytest.approx((2000, 300, 100))
    turned = rotate(bar, found.turn_deg, origin=(0, 0)).bounds
    assert turned[2] - turned[0] == pytest.approx(2000) or turned[3] - turned[1] == pytest.approx(
        2000
    )


def test_what_does_not_pass_the_door_is_refused_with_what_to_do(workshop: Workshop) -> None:
    big = piece(1, box(0, 0, 1500, 2000), 1450.0)
    with pytest.raises(FitError, match="does not go into the van: the opening lets 1400 x 1300"):
        plan_loads([big], (), shop(workshop), PLAIN)
    heavy = piece(1, box(0, 0, 1200, 1000), 500.0)  # 0.6 m3: 9 kg
    with pytest.raises(FitError, match=r"it weighs 9\.0 kg, the van may carry 8 kg"):
        plan_loads([heavy], (), shop(workshop, payload_kg=8.0), PLAIN)


def test_groups_grow_as_far_as_they_pass_the_door(workshop: Workshop) -> None:
    # Four of 800 in a row: two are 1600 long and 1000 high, three 2400, four 3200: too long.
    parts = row(4)
    steps = glue_steps(parts, seams(parts))
    wanted = SeamSettings(travel="groups")
    travel = plan_loads(parts, steps, shop(workshop), wanted)
    assert [step.place for step in travel.steps] == ["workshop", "workshop", "site"]
    assert {item.pieces for load in travel.loads for item in load.items} == {(1, 2, 3), (4,)}


def test_groups_stay_within_what_may_be_lifted(workshop: Workshop) -> None:
    parts = row(3)  # 4.8 kg each
    steps = glue_steps(parts, seams(parts))
    weak = replace(shop(workshop), lift=replace(workshop.lift, two_people_kg=10.0))
    travel = plan_loads(parts, steps, weak, SeamSettings(travel="groups"))
    assert {item.pieces for load in travel.loads for item in load.items} == {(1, 2), (3,)}


def test_groups_without_a_van_are_a_fault_and_pieces_without_one_no_loads(
    workshop: Workshop,
) -> None:
    with pytest.raises(SettingsError, match="has no van"):
        refuse_no_van(workshop, SeamSettings(travel="groups"))
    refuse_no_van(workshop, PLAIN)
    assert plan_loads(row(2), (), workshop, PLAIN).loads == ()


def test_what_is_glued_first_comes_first_and_lies_at_the_door(workshop: Workshop) -> None:
    parts = row(8, width=1200.0, thick=600.0)
    steps = glue_steps(parts, seams(parts))
    travel = plan_loads(parts, steps, shop(workshop), PLAIN)
    numbers = [[item.pieces[0] for item in load.items] for load in travel.loads]
    assert len(numbers) > 1
    # Of the first way the last that is loaded is the first that is glued.
    assert 1 in numbers[0]
    assert 8 in numbers[-1]
    first = travel.loads[0].items
    assert next(item for item in first if item.pieces == (1,)).x_mm == max(
        item.x_mm for item in first
    )


sizes = st.integers(50, 1300)


@settings(max_examples=40, deadline=None)
@given(boxes=st.lists(st.tuples(sizes, sizes, sizes), min_size=1, max_size=25))
def test_any_boxes_lie_inside_the_van_and_apart(boxes: list[tuple[int, int, int]]) -> None:
    parcels = [
        Parcel(
            pieces=(number,),
            sides=tuple(sorted(map(float, sides), reverse=True)),  # type: ignore[arg-type]
            turn_deg=0.0,
            weight_kg=sides[0] / 100,
            volume_mm3=1.0,
            rank=number,
        )
        for number, sides in enumerate(boxes, 1)
    ]
    loads = pack(parcels, VAN)
    assert sorted(n for load in loads for item in load.items for n in item.pieces) == list(
        range(1, len(boxes) + 1)
    )
    for load in loads:
        assert load.weight_kg <= VAN.payload_kg + 1e-6
        low = np.array([(i.x_mm, i.y_mm, i.z_mm) for i in load.items])
        high = low + np.array([(i.length_mm, i.width_mm, i.height_mm) for i in load.items])
        assert (low >= 0).all()
        assert (high <= np.array([2600, 1650, 1400]) + 1e-6).all()
        assert (high - low <= np.array([2600, 1400, 1300]) + 1e-6).all()
        meet = (np.minimum(high[:, None], high) > np.maximum(low[:, None], low) + 1e-6).all(axis=2)
        assert not np.triu(meet, 1).any()
        for item in load.items:
            sides = sorted((item.length_mm, item.width_mm, item.height_mm))
            assert sides == sorted(map(float, boxes[item.pieces[0] - 1]))
