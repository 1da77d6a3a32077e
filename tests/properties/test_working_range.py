"""The fast fits keep the errors that their docstrings name, against the tables they are fitted to."""

import warnings

import numpy as np
import pytest

from warmside.properties import ammonia, ammonia_water, working_range

POINTS = 20_000


@pytest.fixture(scope="module")
def boiling() -> tuple[np.ndarray, np.ndarray]:
    random = np.random.default_rng(1)
    pressure = np.exp(random.uniform(*np.log(working_range.BOILING_PRESSURES), POINTS))
    return pressure, random.uniform(*working_range.BOILING_FRACTIONS, POINTS)


@pytest.fixture(scope="module")
def absorbing() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    random = np.random.default_rng(2)
    temperature = random.uniform(*working_range.ABSORBING_TEMPERATURES, POINTS)
    fraction = random.uniform(*working_range.ABSORBING_FRACTIONS, POINTS)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ammonia_water.AmmoniaWaterRangeWarning)
        pressure = ammonia_water.bubble_pressure(temperature, fraction)
    known = ~np.isnan(pressure)  # the table begins at 0.2 bar
    return temperature[known], fraction[known], pressure[known]


def test_boiling_solution(boiling):
    pressure, fraction = boiling
    fitted = working_range.boiling(np.log(pressure), fraction)
    table = ammonia_water.equilibrium(pressure, fraction)
    for ours, theirs, error in zip(fitted, table, (0.05, 0.008, 400.0, 2000.0), strict=True):
        assert np.abs(ours - theirs).max() < error
    temperature, enthalpy = working_range.boiling_temperature_and_enthalpy(np.log(pressure), fraction)
    assert np.array_equal(temperature, fitted[0])
    assert np.array_equal(enthalpy, fitted[2])


def test_solution_in_the_absorber(absorbing):
    temperature, fraction, pressure = absorbing
    fitted, enthalpy = working_range.pressure_and_enthalpy(temperature, fraction)
    assert np.abs(fitted / pressure - 1.0).max() < 0.01
    assert np.abs(enthalpy - ammonia_water.liquid_enthalpy(temperature, fraction)).max() < 1200.0
    assert working_range.solution_enthalpy(temperature, fraction) == pytest.approx(enthalpy, rel=1e-9)


def test_pressure_over_solutions_of_one_fraction():
    temperature = np.linspace(*working_range.ABSORBING_TEMPERATURES, 50)
    both, _ = working_range.pressure_and_enthalpy(temperature, np.full(50, 0.25))
    assert working_range.solution_pressure_of(0.25)(temperature) == pytest.approx(both, rel=1e-9)


def test_solution_from_its_pressure(absorbing):
    temperature, fraction, pressure = (
        values[(absorbing[1] > 0.1) & (absorbing[1] < 0.4)] for values in absorbing
    )
    assert np.abs(working_range.absorbed_fraction(temperature, pressure) - fraction).max() < 0.001


def test_condensing_ammonia():
    pressure = np.linspace(*working_range.BOILING_PRESSURES, 500)
    temperature, latent, vapour = working_range.condensing(np.log(pressure))
    saturated = ammonia.saturation_temperature(pressure)
    assert np.abs(temperature - saturated).max() < 0.01
    assert np.abs(latent - ammonia.latent_heat(saturated)).max() < 500.0
    assert np.abs(vapour - ammonia_water.equilibrium(pressure, 1.0).vapour_enthalpy).max() < 500.0


def test_ammonia_in_a_coil():
    temperature = np.linspace(*working_range.COIL_TEMPERATURES, 500)
    pressure, slope = working_range.coil_pressure(temperature)
    assert np.abs(pressure / ammonia.saturation_pressure(temperature) - 1.0).max() < 0.003
    rise = (
        working_range.coil_pressure(temperature + 0.01)[0]
        - working_range.coil_pressure(temperature - 0.01)[0]
    )
    assert slope == pytest.approx(rise / 0.02, rel=1e-6)
