"""What cannot be laid out at all is told at once, every fault of it."""

from dataclasses import replace

import pytest
from shapely import Polygon
from test_nesting import piece, rectangles, shop, stock

from wirepath.errors import FitError
from wirepath.nesting import lay_out


def test_empty_outlines_doubled_numbers_and_a_negative_web_are_all_told_at_once() -> None:
    workshop = shop(stock())
    workshop = replace(workshop, cutting=replace(workshop.cutting, web_mm=-1.0))
    pieces = (*rectangles((100, 100), (50, 50)), piece(Polygon(), 2))
    with pytest.raises(FitError) as raised:
        lay_out(pieces, workshop)
    said = [fault.what for fault in raised.value.faults]
    assert said == [
        "2 pieces have the number 2",
        "its outline is empty",
        "web_mm is -1: pieces cannot stand nearer than touching",
    ]
    assert all(fault.mend for fault in raised.value.faults)


def test_an_outline_that_crosses_itself_is_refused() -> None:
    bow = Polygon([(0, 0), (100, 100), (100, 0), (0, 80)])
    with pytest.raises(FitError, match="crosses or touches itself"):
        lay_out((piece(bow),), shop(stock()))
