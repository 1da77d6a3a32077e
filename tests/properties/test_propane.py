"""Propane: laws, shapes, edges."""

import numpy as np
import pytest

from warmside.properties import propane


def test_warmer_propane_has_more_pressure_up_to_the_critical_point():
    pressure = propane.saturation_pressure(np.linspace(215, 350, 500))
    assert (np.diff(pressure) > 0).all()
    assert pressure[0] > 0 and pressure[-1] < propane.CRITICAL_PRESSURE


def test_water_that_leaves_as_vapour_takes_a_twelfth_of_the_heat():
    lost = propane.higher_heating_value() - propane.lower_heating_value()
    assert lost / propane.higher_heating_value() == pytest.approx(1 / 12, rel=0.06)


def test_mass_is_kept_in_the_flame():
    """A kilogram of gas and its air weigh what the flue gas weighs."""
    molar = {"N2": 28.0134, "O2": 31.9988, "CO2": 44.0095, "H2O": 18.01528}
    for excess in (0.0, 0.5, 2.0):
        air = propane.stoichiometric_air() * (1 + excess)
        oxygen = 0.2095 * air - 5
        flue = 3 * molar["CO2"] + 4 * molar["H2O"] + oxygen * molar["O2"] + 0.7905 * air * molar["N2"]
        into = propane.MOLAR_MASS * 1e3 + air * (0.2095 * molar["O2"] + 0.7905 * molar["N2"])
        assert flue == pytest.approx(into, rel=1e-4)
        assert propane.flue_gas(excess) == pytest.approx(3 + 4 + oxygen + 0.7905 * air)


@pytest.mark.parametrize(
    ("function", "inside"), [(propane.saturation_pressure, 300.0), (propane.flue_gas, 0.5)]
)
def test_arrays_keep_their_shape(function, inside):
    assert function(np.full((2, 3), inside)).shape == (2, 3)
    assert np.ndim(function(inside)) == 0


@pytest.mark.parametrize(
    ("function", "outside", "inside"),
    [
        (propane.saturation_pressure, 214.0, 300.0),
        (propane.saturation_pressure, 351.0, 300.0),
        (propane.saturation_pressure, -40.0, 300.0),
        (propane.saturation_pressure, np.inf, 300.0),
        (propane.flue_gas, -0.1, 0.5),
        (propane.flue_gas, np.inf, 0.5),
    ],
)
def test_out_of_range_is_nan_with_a_warning(function, outside, inside):
    with pytest.warns(propane.PropaneRangeWarning, match="elsewhere nan is returned") as caught:
        assert np.isnan(function([inside, outside])).tolist() == [False, True]
    assert caught[0].filename == __file__


@pytest.mark.parametrize("function", [propane.saturation_pressure, propane.flue_gas])
def test_nan_in_nan_out_without_a_word(function, recwarn):
    assert np.isnan(function(np.nan))
    assert not recwarn.list
