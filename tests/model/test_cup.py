"""The cup: the exponential, and what makes it slow."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.model.cup import cup_conductance, cup_heat_capacity, cup_temperature, follow, time_constant


def test_follow_is_the_closed_form_in_constant_air():
    times = np.arange(61) * 60.0
    assert follow(np.full(60, 277.0), 60.0, 295.0, 7000.0) == pytest.approx(
        cup_temperature(times, 295.0, 277.0, 7000.0), abs=1e-9
    )
    assert follow(np.full((2, 60), 277.0), 60.0, 295.0, 7000.0).shape == (2, 61)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.05, 2.0),
    st.floats(274.0, 330.0),
    st.floats(273.5, 290.0),
    st.floats(0, 48),
    st.floats(0.1, 10),
)
def test_a_cup_only_ever_comes_nearer(mass, start, cabinet, hours, more):
    tau = time_constant(cup_heat_capacity(mass), cup_conductance(mass))
    before = abs(cup_temperature(hours * 3600, start, cabinet, tau) - cabinet)
    after = abs(cup_temperature((hours + more) * 3600, start, cabinet, tau) - cabinet)
    assert after <= before
    larger = time_constant(cup_heat_capacity(2 * mass), cup_conductance(2 * mass))
    assert larger > tau


@pytest.mark.parametrize(("grams", "hours"), [(120, 1.8), (250, 2.2), (1000, 3.5)])
def test_time_constants_that_the_conductance_was_calibrated_to(grams, hours):
    # Not an outside check: it holds the calibration to its figures, within 5 %.
    tau = time_constant(cup_heat_capacity(grams / 1000), cup_conductance(grams / 1000))
    assert tau / 3600 == pytest.approx(hours, rel=0.05)
