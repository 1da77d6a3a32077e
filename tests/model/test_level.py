"""What standing out of level does to the circulation; the limits are common practice, no source."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from warmside.data import load
from warmside.model.level import circulation
from warmside.model.refrigerator import Installation, holding_ambient


def test_level_is_whole_and_half_is_where_it_was_set():
    assert circulation(0.0, 0.0) == 1.0
    assert circulation(np.radians(4.5), 0.0) == pytest.approx(0.5)
    assert circulation(0.0, np.radians([-9.0, 9.0])) == pytest.approx([0.5, 0.5])


@given(st.floats(0.0, 0.5), st.floats(0.0, 0.5), st.floats(0.001, 0.1))
def test_more_tilt_is_never_more_circulation(side, front, more):
    here = circulation(side, front)
    assert 0.0 < here <= 1.0
    assert circulation(side + more, front) < here or side + more < 0.01
    assert circulation(side, front + more) <= here


def test_within_the_trades_limits_most_of_the_margin_is_left_and_beyond_it_is_lost():
    limits = load("limits")
    level = holding_ambient(Installation.of("eight"))
    side, front = (
        level - holding_ambient(Installation.of("eight", **{name: limits[name] * np.array([1.0, 1.5])}))
        for name in ("side_tilt", "front_tilt")
    )
    for lost in (side, front):
        assert lost[0] < 6.0  # K
        assert lost[1] > 3.0 * lost[0]
