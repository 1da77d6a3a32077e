"""Copper: laws, shapes, edges."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.properties import metals
from warmside.properties.metals import copper_resistivity

temperatures = st.floats(metals.LOWEST_TEMPERATURE, metals.HIGHEST_TEMPERATURE)


@settings(deadline=None)
@given(temperatures, temperatures)
def test_warmer_copper_resists_more_along_a_line(one, other):
    middle = copper_resistivity((one + other) / 2.0)
    assert middle == pytest.approx((copper_resistivity(one) + copper_resistivity(other)) / 2.0)
    if other > one + 1e-6:
        assert copper_resistivity(other) > copper_resistivity(one) > 0


def test_arrays_keep_their_shape():
    assert copper_resistivity(np.full((2, 3), 300.0)).shape == (2, 3)
    assert np.ndim(copper_resistivity(300.0)) == np.ndim(copper_resistivity()) == 0


@pytest.mark.parametrize("temperature", [219.0, 431.0, 0.0, -40.0, np.inf])
def test_out_of_range_is_nan_with_a_warning(temperature):
    with pytest.warns(metals.CopperRangeWarning, match="220 to 430 K") as caught:
        assert np.isnan(copper_resistivity([300.0, temperature])).tolist() == [False, True]
    assert caught[0].filename == __file__


def test_nan_in_nan_out_without_a_word(recwarn):
    assert np.isnan(copper_resistivity(np.nan))
    assert not recwarn.list
