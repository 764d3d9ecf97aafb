import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString

from wirepath.checking.following import follows, straight_steps

PLACE = st.tuples(st.floats(-10, 10), st.floats(-10, 10))
PAIR = st.tuples(PLACE, PLACE).filter(lambda pair: pair[0] != pair[1])


@given(edge=PAIR, steps=st.lists(PAIR, min_size=1, max_size=5), within=st.floats(0.01, 8))
def test_all_of_an_edge_that_follows_lies_near_one_step(edge, steps, within):
    told = follows(np.array([edge]), np.array(steps), np.full(len(steps), within))
    along = shapely.line_interpolate_point(LineString(edge), np.linspace(0, 1, 41), normalized=True)
    farthest = [float(shapely.distance(LineString(step), along).max()) for step in steps]
    assert bool(told[0]) == (min(farthest) <= within) or abs(min(farthest) - within) < 1e-9


def test_an_edge_from_one_step_to_another_past_a_corner_is_not_told():
    corner, _ = straight_steps(np.array([LineString([(0, 0), (10, 0), (10, 10)])]))
    chord = np.array([[(1.0, 0.0), (10.0, 9.0)]])
    assert not follows(chord, corner, np.full(2, 0.5)).any()


def test_only_steps_of_an_earlier_turn_count():
    lines = np.array([LineString([(0, 0), (10, 0)]), LineString([(10, 0), (0, 0)])])
    steps, turn = straight_steps(lines)
    assert follows(steps, steps, np.full(2, 0.1), before=(turn, turn)).tolist() == [False, True]


def test_steps_are_not_made_from_one_line_to_the_next():
    steps, line = straight_steps(
        np.array([LineString([(0, 0), (1, 0), (1, 1)]), LineString([(5, 5), (6, 5)])])
    )
    assert steps.tolist() == [[[0, 0], [1, 0]], [[1, 0], [1, 1]], [[5, 5], [6, 5]]]
    assert line.tolist() == [0, 0, 1]
