"""Water against IAPWS-95."""

import numpy as np
import pytest
from iapws import IAPWS95

from warmside.properties import water

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
