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
    assert circulation(np.radians(3.9), 0.0) == pytest.approx(0.5)
    assert circulation(0.0, np.radians([-7.8, 7.8])) == pytest.approx([0.5, 0.5])


@given(st.floats(0.0, 0.5), st.floats(0.0, 0.5), st.floats(0.001, 0.1))
def test_more_tilt_is_never_more_circulation(side, front, more):
    here = circulation(side, front)
    assert 0.0 < here <= 1.0
    assert circulation(side + more, front) <= here
    assert circulation(side, front + more) <= here


@pytest.mark.parametrize("size", ["6 cu ft", "8 cu ft", "18 cu ft"])
@pytest.mark.parametrize("tilt", ["side_tilt", "front_tilt"])
def test_within_the_trades_limits_tilt_does_no_harm_and_beyond_them_all_is_lost(size, tilt):
    tilted = Installation.of(size, **{tilt: load("limits")[tilt] * np.array([0.0, 1.0, 1.5])})
    level, at_limit, beyond = holding_ambient(tilted)
    assert at_limit == pytest.approx(level, abs=0.2)  # K
    assert np.isnan(beyond) or beyond < level - 20.0
