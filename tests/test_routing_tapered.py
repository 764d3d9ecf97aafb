"""A taper cut from its own block, proved in space on the rows of its two-ended file."""

from __future__ import annotations

import csv
import math
from itertools import pairwise

import numpy as np
import pytest
from shapely import LineString, Polygon, box
from shapely.affinity import scale, translate

from wirepath.coordinates.two_ended import COLUMNS, two_ended_text
from wirepath.errors import FitError
from wirepath.kerf import KerfLaw, Ruled, TaperLine, paired, taper_line
from wirepath.routing.tapered import tapered_moves
from wirepath.workshop import Cutting

CUTTING = Cutting(kerf_mm=3.0, feed_mm_per_s=5.0)
STEADY = KerfLaw(a_mm=3.0, b_mm2_per_s=1e-9)
KEYSTONE = paired(
    Polygon([(90, 50), (210, 50), (250, 230), (50, 230)]),
    Polygon([(105, 60), (195, 60), (230, 220), (70, 220)]),
    300,
)


def rows_of(ruled: Ruled, width: float = 300, height: float = 280) -> list[dict[str, str]]:
    moves = tapered_moves(taper_line(ruled, CUTTING, STEADY), width, height, CUTTING)
    text = two_ended_text(
        moves,
        name="keystone",
        width_mm=width,
        height_mm=height,
        thickness_mm=ruled.thickness_mm,
        kerf_mm=3.0,
        feed_mm_per_s=5.0,
        invented=True,
    )
    lines = [line for line in text.split("\r\n") if line and not line.startswith("#")]
    assert tuple(lines[0].split(",")) == COLUMNS
    return list(csv.DictReader(lines))


def ends(row: dict[str, str]) -> np.ndarray:
    return np.array(
        [
            (float(row["x_near_mm"]), float(row["y_near_mm"])),
            (float(row["x_far_mm"]), float(row["y_far_mm"])),
        ]
    )


def wire_at(row: dict[str, str], share: float) -> np.ndarray:
    near, far = ends(row)
    return near + share * (far - near)


@pytest.mark.parametrize("share", np.linspace(0, 1, 9))
def test_at_every_depth_the_slot_spares_the_keystone_and_frees_it(share):
    rows = rows_of(KEYSTONE)
    section = KEYSTONE.section(share)
    way = LineString([wire_at(row, share) for row in rows])
    slot = way.buffer(1.5)
    assert slot.intersection(section.buffer(-0.05)).area == 0
    left = box(0, 0, 300, 280).difference(slot)
    own = [part for part in left.geoms if part.intersects(section.buffer(-0.05))]
    assert len(own) == 1
    # Leaning faces are kept off by a little more, measured at one depth: below 0.05 mm
    # of it would be wrong the other way.
    assert own[0].difference(section.buffer(0.2)).area < 1


def test_both_ends_start_and_end_outside_the_foam():
    rows = rows_of(KEYSTONE)
    for row in (rows[0], rows[-1]):
        for x, y in ends(row):
            assert max(-x, x - 300, -y, y - 280) >= CUTTING.lead_in_mm - 1e-9


def test_both_ends_take_the_same_time_on_every_row():
    rows = rows_of(KEYSTONE)
    for before, after in pairwise(rows):
        near, far = np.hypot(*(ends(after) - ends(before)).T)
        times = [
            length / float(after[key])
            for length, key in ((near, "feed_near_mm_per_s"), (far, "feed_far_mm_per_s"))
            if length > 0.01
        ]
        assert times == pytest.approx([times[0]] * len(times), rel=0.01)


def test_air_is_air_and_the_entry_is_short():
    rows = rows_of(KEYSTONE)
    foam = box(0.01, 0.01, 299.99, 279.99)
    entry_mm = 0.0
    for before, after in pairwise(rows):
        for a, b in zip(ends(before), ends(after), strict=True):
            if after["move"] == "air":
                assert not LineString([a, b]).intersects(foam)
            if after["move"] == "entry":
                entry_mm = max(entry_mm, math.dist(a, b))
    assert 0 < entry_mm < 60


def test_a_hook_is_entered_where_the_way_in_is_free_at_every_depth():
    hook = Polygon([(60, 60), (240, 60), (240, 220), (60, 220), (60, 180), (200, 180), (200, 100),
                    (60, 100)])  # fmt: skip
    ruled = paired(hook, translate(scale(hook, 0.9, 0.9), 5, 5), 300)
    rows = rows_of(ruled)
    for share in np.linspace(0, 1, 9):
        way = LineString([wire_at(row, share) for row in rows])
        assert way.distance(ruled.section(share)) > 1.45


def test_a_wire_twisted_by_half_a_turn_has_no_straight_way_in_and_is_refused():
    near = tuple(box(50, 50, 250, 230).exterior.coords)[:-1]
    far = near[2:] + near[:2]
    way = TaperLine(
        line=Ruled(near=near, far=far, thickness_mm=300),
        near_feeds=(5.0,) * 4,
        far_feeds=(5.0,) * 4,
    )
    with pytest.raises(FitError, match="no straight way leads in"):
        tapered_moves(way, 300, 280, CUTTING)
