"""Large work in a second process: the same answer, and the same fault, as in the first."""

import pytest
from shapely import box
from test_gluing import flat, shop, traced

from wirepath import beside as module
from wirepath import planning
from wirepath.beside import beside
from wirepath.errors import Fault, FitError


def refused() -> None:
    raise FitError(Fault("too large", "stock", "buy larger blocks"))


@pytest.mark.parametrize("count", [1, 2])
def test_a_fault_found_beside_is_raised_whole(count, monkeypatch):
    monkeypatch.setattr(module, "cores", lambda: count)
    with beside(when=True) as hand_over, pytest.raises(FitError) as caught:
        hand_over(refused)()
    assert caught.value.faults == (Fault("too large", "stock", "buy larger blocks"),)


def test_a_plan_is_the_same_by_one_process_and_by_two(monkeypatch):
    monkeypatch.setattr(module, "cores", lambda: 2)
    monkeypatch.setattr(planning, "PIECES_BESIDE", 2)
    form = traced(box(0, 0, 1200, 600))
    one, two = (
        planning.make_plan(flat(), shop(), form, seconds=0, both_at_once=both)
        for both in (False, True)
    )
    assert repr(one) == repr(two)
