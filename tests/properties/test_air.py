"""Air: shapes and edges."""

import numpy as np
import pytest

from warmside.properties import air

FUNCTIONS = [air.density, air.specific_heat, air.viscosity]


@pytest.mark.parametrize("function", FUNCTIONS)
def test_arrays_keep_their_shape(function):
    assert function(np.full((2, 3), 300.0)).shape == (2, 3)
    assert np.ndim(function(300.0)) == 0


def test_density_broadcasts_and_goes_with_pressure_over_temperature():
    density = air.density(np.array([[280.0], [320.0]]), [80e3, 100e3, 120e3])
    assert density.shape == (2, 3)
    assert density[0] / density[1] == pytest.approx(320 / 280)
    assert density[:, 0] * 1.5 == pytest.approx(density[:, 2])


@pytest.mark.parametrize("function", FUNCTIONS)
@pytest.mark.parametrize("temperature", [219.0, 521.0, 0.0, np.inf])
def test_out_of_range_is_nan_with_a_warning(function, temperature):
    with pytest.warns(air.AirRangeWarning, match="220 to 520 K") as caught:
        assert np.isnan(function([300.0, temperature])).tolist() == [False, True]
    assert caught[0].filename == __file__


@pytest.mark.parametrize("function", FUNCTIONS)
def test_nan_in_nan_out_without_a_word(function, recwarn):
    assert np.isnan(function(np.nan))
    assert not recwarn.list


def test_the_atmosphere_thins_with_height_and_keeps_its_shape():
    pressure = air.standard_pressure(np.linspace(-1000, 11000, 50))
    assert (np.diff(pressure) < 0).all()
    assert air.standard_pressure(0.0) == air.ATMOSPHERE
    assert air.standard_pressure(np.zeros((2, 3))).shape == (2, 3)
    assert np.ndim(air.standard_pressure(1500)) == 0


@pytest.mark.parametrize("altitude", [-1001.0, 11001.0, 1e9, np.inf, -np.inf])
def test_no_atmosphere_is_known_elsewhere(altitude):
    with pytest.warns(air.AirRangeWarning, match="-1000 to 11000 m") as caught:
        assert np.isnan(air.standard_pressure([0.0, altitude])).tolist() == [False, True]
    assert caught[0].filename == __file__


def test_an_altitude_of_nan_is_nan_without_a_word(recwarn):
    assert np.isnan(air.standard_pressure(np.nan))
    assert not recwarn.list
