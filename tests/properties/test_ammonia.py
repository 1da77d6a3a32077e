"""Pure ammonia: round trip, shapes, edges."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from warmside.properties import ammonia

EDGES = [
    (ammonia.saturation_pressure, 199.0, 300.0),
    (ammonia.saturation_pressure, 391.0, 300.0),
    (ammonia.latent_heat, 405.0, 300.0),
    (ammonia.latent_heat, -1.0, 300.0),
    (ammonia.saturation_temperature, 8.5e3, 1e6),
    (ammonia.saturation_temperature, 9e6, 1e6),
    (ammonia.saturation_temperature, 0.0, 1e6),
    (ammonia.saturation_temperature, np.inf, 1e6),
]


@given(st.floats(ammonia.LOWEST_TEMPERATURE, ammonia.HIGHEST_TEMPERATURE))
def test_temperature_comes_back_from_the_pressure(temperature):
    pressure = ammonia.saturation_pressure(temperature)
    assert ammonia.saturation_temperature(pressure) == pytest.approx(temperature, abs=1e-6)


def test_hotter_ammonia_has_more_pressure_and_less_latent_heat():
    temperature = np.linspace(200, 390, 500)
    assert (np.diff(ammonia.saturation_pressure(temperature)) > 0).all()
    assert (np.diff(ammonia.latent_heat(temperature)) < 0).all()


@pytest.mark.parametrize("function", [ammonia.saturation_pressure, ammonia.latent_heat])
def test_arrays_keep_their_shape(function):
    assert function(np.full((2, 3), 300.0)).shape == (2, 3)
    assert np.ndim(function(300.0)) == 0


@pytest.mark.parametrize(("function", "outside", "inside"), EDGES)
def test_out_of_range_is_nan_with_a_warning(function, outside, inside):
    with pytest.warns(ammonia.AmmoniaRangeWarning, match="200 to 390 K") as caught:
        assert np.isnan(function([inside, outside])).tolist() == [False, True]
    assert caught[0].filename == __file__


@pytest.mark.parametrize("function", [ammonia.saturation_pressure, ammonia.saturation_temperature])
def test_nan_in_nan_out_without_a_word(function, recwarn):
    assert np.isnan(function(np.nan))
    assert not recwarn.list
