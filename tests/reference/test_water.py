"""Water against IAPWS-95."""

import numpy as np
import pytest
from iapws import IAPWS95

from warmside.properties import water

# CoolProp 8.0.0, fluid Water (IAPWS-95), 101 325 Pa: t in °C, density, specific heat, thermal conductivity.
COOLPROP = [
    (4, 999.9749, 4207.5026, 0.5655),
    (5, 999.9666, 4205.0377, 0.5678),
    (10, 999.7025, 4195.1589, 0.5788),
    (20, 998.2072, 4184.0509, 0.5980),
]


@pytest.mark.parametrize(("celsius", "density", "specific_heat", "conductivity"), COOLPROP)
def test_values_of_another_library(celsius, density, specific_heat, conductivity):
    temperature = 273.15 + celsius
    assert water.density(temperature) == pytest.approx(density, rel=2e-5)
    assert water.specific_heat(temperature) == pytest.approx(specific_heat, rel=1e-4)
    assert water.thermal_conductivity(temperature) == pytest.approx(conductivity, rel=4e-4)


def test_stated_deviations_from_iapws_hold_between_the_fitted_points():
    # the package iapws 1.5 (IAPWS-95; IAPWS 2011 for the conductivity), off the points that were fitted
    temperatures = 273.15 + np.linspace(0.4, 98.7, 24)
    states = [IAPWS95(T=temperature, P=0.101325) for temperature in temperatures]
    for function, expected, stated in (
        (water.density, [state.rho for state in states], 1.2e-5),
        (water.specific_heat, [1000 * state.cp for state in states], 3.2e-5),
        (water.thermal_conductivity, [state.k for state in states], 1.1e-4),
    ):
        assert np.abs(function(temperatures) / expected - 1).max() <= stated * 1.05


def test_water_is_densest_near_4_degrees():
    # Textbook fact, 3.98 °C (from memory). The fit's 0.012 kg/m³ leaves about a kelvin of doubt.
    temperatures = np.arange(273.15, 283.15, 0.01)
    assert temperatures[np.argmax(water.density(temperatures))] - 273.15 == pytest.approx(3.98, abs=1.2)
