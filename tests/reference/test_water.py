"""Water against IAPWS-95."""

import numpy as np
import pytest
from iapws import IAPWS95
from real_fluids import ON_ONE_WORKER, HAPropsSI

from warmside.model.door import moisture_share
from warmside.properties import water

pytestmark = ON_ONE_WORKER

# CoolProp 8.0.0, fluid Water (IAPWS-95), 101 325 Pa: t in °C, specific heat.
COOLPROP = [(4, 4207.5026), (5, 4205.0377), (10, 4195.1589), (20, 4184.0509)]


@pytest.mark.parametrize(("celsius", "specific_heat"), COOLPROP)
def test_values_of_another_library(celsius, specific_heat):
    assert water.specific_heat(273.15 + celsius) == pytest.approx(specific_heat, rel=1e-4)


def test_stated_deviation_from_iapws_holds_between_the_fitted_points():
    # the package iapws 1.5 (IAPWS-95), off the points that were fitted
    temperatures = 273.15 + np.linspace(0.4, 98.7, 24)
    expected = [1000 * IAPWS95(T=temperature, P=0.101325).cp for temperature in temperatures]
    assert np.abs(water.specific_heat(temperatures) / expected - 1).max() <= 3.2e-5 * 1.05


def test_pressure_of_vapour_from_freezing_to_60_degrees():
    # the package iapws 1.5 (IAPWS-95), saturation
    temperatures = np.linspace(274.0, 338.0, 20)
    expected = [1e6 * IAPWS95(T=temperature, x=1).P for temperature in temperatures]
    assert water.saturation_pressure(temperatures) == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize(("fahrenheit", "humidity"), [(80.0, 0.5), (100.0, 0.3), (110.0, 0.6)])
def test_moisture_that_condenses_from_air_that_is_cooled(fahrenheit, humidity):
    # CoolProp's humid air (Herrmann, Kretzschmar, Gatley 2009): what the air sheds, by 2500.9 kJ/kg
    outside, inside = (fahrenheit + 459.67) / 1.8, (38.0 + 459.67) / 1.8
    brought = HAPropsSI("W", "T", outside, "P", 101325.0, "R", humidity)
    kept = HAPropsSI("W", "T", inside, "P", 101325.0, "R", 1.0)
    sensible = HAPropsSI("cp", "T", outside, "P", 101325.0, "R", 0.0) * (outside - inside)
    expected = 2500.9e3 * (brought - kept) / sensible
    assert moisture_share(inside, outside, humidity) == pytest.approx(expected, rel=0.03)
