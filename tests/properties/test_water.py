"""Water: shapes and edges."""

import numpy as np
import pytest

from warmside.properties import water

FUNCTIONS = [water.specific_heat]


@pytest.mark.parametrize("function", FUNCTIONS)
def test_arrays_broadcast(function):
    temperatures = np.full((2, 3), 283.15)
    assert function(temperatures).shape == (2, 3)
    assert function(283.15) == pytest.approx(function(temperatures)[0, 0])


@pytest.mark.parametrize("function", FUNCTIONS)
@pytest.mark.parametrize("temperature", [273.1, 373.2, -1.0, 1e9, np.inf])
def test_ice_and_steam_are_nan_with_a_warning(function, temperature):
    with pytest.warns(water.WaterRangeWarning, match="liquid from 273.15"):
        assert np.isnan(function(temperature))
    with pytest.warns(water.WaterRangeWarning):
        assert np.isnan(function([283.15, temperature])).tolist() == [False, True]


@pytest.mark.parametrize("function", FUNCTIONS)
def test_nan_in_nan_out_without_a_word(function, recwarn):
    assert np.isnan(function(np.nan))
    assert not recwarn.list
