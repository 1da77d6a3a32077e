"""The cup against worked values."""

import math

import numpy as np
import pytest
from iapws import IAPWS95

from warmside.model.cup import cup_heat_capacity, cup_temperature, time_constant

# Lumped capacitance (F. P. Incropera et al., Fundamentals of Heat and Mass Transfer, ch. 5), worked with
# CoolProp 8.0.0: 250 mL of water at 10 °C, hA = 8 x 0.03 W/K, from 20 °C in air of 4 °C.
TAU_HOURS = 1.21352


@pytest.fixture
def tau() -> float:
    return float(time_constant(cup_heat_capacity(0.249926), 8 * 0.03))


def test_time_constant(tau):
    assert tau / 3600 == pytest.approx(TAU_HOURS, rel=1e-3)


def test_the_water_in_a_cup_is_that_of_10_degrees():
    # IAPWS-95, as the package iapws computes it; at 20 °C it is 0.27 % less
    assert cup_heat_capacity(0.25) == pytest.approx(250 * IAPWS95(T=283.15, P=0.101325).cp, rel=1e-4)


@pytest.mark.parametrize(("hours", "celsius"), [(1, 11.0184), (5, 4.2598), (24, 4.0000)])
def test_temperature(tau, hours, celsius):
    assert cup_temperature(hours * 3600, 293.15, 277.15, tau) - 273.15 == pytest.approx(celsius, rel=1e-3)


def test_time_until_99_percent(tau):
    hours = 5.5884
    left = (cup_temperature(hours * 3600, 293.15, 277.15, tau) - 277.15) / 16
    assert left == pytest.approx(0.01, rel=1e-3)
    assert tau * math.log(100) / 3600 == pytest.approx(hours, rel=1e-3)


def test_one_time_constant_leaves_a_share_of_one_over_e():
    shares = cup_temperature(np.arange(4.0), 1.0, 0.0, 1.0)
    assert shares == pytest.approx([1, 0.3679, 0.1353, 0.0498], abs=5e-5)  # tables of e^-x
