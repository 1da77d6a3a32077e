"""Ammonia and its solution within the range that an absorption refrigerator works in, fast.

Polynomials fitted, when first asked for, to `warmside.properties.ammonia_water` and
`warmside.properties.ammonia`. They take one-dimensional arrays, check no range, and go on smoothly outside
it, as the search for a steady state needs. Over the range that each function names, the largest differences
from what they are fitted to are those that it names; the tests hold them to these.
"""

import warnings
from collections.abc import Callable
from functools import cache

import numpy as np

from warmside.properties import ammonia, ammonia_water
from warmside.properties.polynomial import Polynomial

BOILING_PRESSURES = (8e5, 40e5)
BOILING_FRACTIONS = (0.04, 0.45)
ABSORBING_TEMPERATURES = (285.0, 400.0)
ABSORBING_FRACTIONS = (0.04, 0.45)
COIL_TEMPERATURES = (235.0, 330.0)

_PRESSURE = 25e5  # about which pressures are taken, in logarithms
_LOW_PRESSURE = 2e5  # the same for the pressure of ammonia in the absorber
_TEMPERATURE = 300.0


def boiling(log_pressure: np.ndarray, mass_fraction: np.ndarray) -> tuple[np.ndarray, ...]:
    """Boiling solution in boiler and rectifier.

    Parameters
    ----------
    log_pressure : numpy.ndarray
        Natural logarithm of the pressure in Pa; 8 to 40 bar.
    mass_fraction : numpy.ndarray
        Ammonia in the solution [kg/kg], 0.04 to 0.45.

    Returns
    -------
    temperature, vapour_mass_fraction, liquid_enthalpy, vapour_enthalpy : numpy.ndarray
        [K], [kg/kg], [J/kg], [J/kg], within 0.05 K, 0.008, 0.4 kJ/kg and 2 kJ/kg of the table.

    Examples
    --------
    A fifth of ammonia at 20 bar: °C, and ammonia in the vapour.

    >>> hot, vapour, _, _ = boiling(np.log([20e5]), np.array([0.2]))
    >>> round(float(hot[0]) - 273.15), round(float(vapour[0]), 2)
    (158, 0.73)
    """
    temperature, log_odds, liquid, vapour = _boiling()(log_pressure - np.log(_PRESSURE), mass_fraction)
    return temperature, 1.0 / (1.0 + np.exp(-log_odds)), liquid, vapour


def boiling_temperature_and_enthalpy(
    log_pressure: np.ndarray, mass_fraction: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Temperature [K] and enthalpy [J/kg] of a boiling solution; as `boiling`, of which it is a part.

    Examples
    --------
    >>> hot, _ = boiling_temperature_and_enthalpy(np.log([20e5]), np.array([0.2]))
    >>> round(float(hot[0]) - 273.15)
    158
    """
    temperature, _, liquid, _ = _boiling()(log_pressure - np.log(_PRESSURE), mass_fraction)
    return temperature, liquid


def pressure_and_enthalpy(
    temperature: np.ndarray, mass_fraction: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Pressure over a solution, and its enthalpy.

    Parameters
    ----------
    temperature : numpy.ndarray
        Temperature [K], 285 to 400.
    mass_fraction : numpy.ndarray
        Ammonia in the solution [kg/kg], 0.04 to 0.45.

    Returns
    -------
    pressure, enthalpy : numpy.ndarray
        [Pa], [J/kg], within 1 % and 1.2 kJ/kg of the table.

    Examples
    --------
    A third of ammonia at 40 °C, in bar.

    >>> pressure, _ = pressure_and_enthalpy(np.array([313.15]), np.array([0.33]))
    >>> round(float(pressure[0]) / 1e5, 1)
    2.0
    """
    log_pressure, enthalpy = _absorbing()(_TEMPERATURE / temperature - 1.0, mass_fraction)
    return np.exp(log_pressure), enthalpy


def solution_pressure_of(mass_fraction: float) -> Callable[[np.ndarray], np.ndarray]:
    """Return the function of temperature [K] that gives the pressure over solutions of one fraction [Pa].

    As `pressure_and_enthalpy`, of which it is a part.

    Examples
    --------
    >>> over_a_third = solution_pressure_of(0.33)
    >>> round(float(over_a_third(313.15)) / 1e5, 1)
    2.0
    """
    coefficients = _absorbing().of_first(mass_fraction)[0]
    return lambda temperature: np.exp(_horner(coefficients, _TEMPERATURE / temperature - 1.0))


def solution_enthalpy(temperature: np.ndarray, mass_fraction: np.ndarray) -> np.ndarray:
    """Enthalpy of a solution [J/kg]; as `pressure_and_enthalpy`, of which it is a part.

    Examples
    --------
    Heat that warms a kilogram from 40 to 50 °C, in kJ.

    >>> cool, warm = solution_enthalpy(np.array([313.15, 323.15]), np.array([0.3, 0.3]))
    >>> round(float(warm - cool) / 1e3)
    44
    """
    return _absorbing()(_TEMPERATURE / temperature - 1.0, mass_fraction, only=1)


def absorbed_fraction(temperature: np.ndarray, pressure: np.ndarray) -> np.ndarray:
    """Ammonia in a solution in equilibrium with its vapour.

    Parameters
    ----------
    temperature : numpy.ndarray
        Temperature [K], 285 to 400.
    pressure : numpy.ndarray
        Pressure of the ammonia over it [Pa]; such that the fraction is between 0.1 and 0.4.

    Returns
    -------
    numpy.ndarray
        Mass fraction [kg/kg], within 0.001 of the table.

    Examples
    --------
    In an absorber of 45 °C with ammonia at 2.5 bar over its solution.

    >>> round(float(absorbed_fraction(np.array([318.15]), np.array([2.5e5]))[0]), 2)
    0.34
    """
    return _absorbed()(_TEMPERATURE / temperature - 1.0, np.log(pressure / _LOW_PRESSURE), only=0)


def condensing(log_pressure: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Ammonia in the condenser.

    Parameters
    ----------
    log_pressure : numpy.ndarray
        Natural logarithm of the pressure in Pa; 8 to 40 bar.

    Returns
    -------
    temperature, latent_heat, vapour_enthalpy : numpy.ndarray
        [K], [J/kg], [J/kg]; within 0.01 K, 0.5 kJ/kg and 0.5 kJ/kg. The enthalpy is that of the ammonia end
        of the ammonia-water table, so that it may be taken from enthalpies of solutions.

    Examples
    --------
    At 25 bar, in °C and kJ/kg.

    >>> hot, latent, _ = condensing(np.log([25e5]))
    >>> round(float(hot[0]) - 273.15), round(float(latent[0]) / 1e3)
    (58, 1008)
    """
    return _horner(_condensing(), log_pressure - np.log(_PRESSURE))


def coil_pressure(temperature: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Pressure of ammonia that evaporates in a coil.

    Parameters
    ----------
    temperature : numpy.ndarray
        Temperature [K], 235 to 330.

    Returns
    -------
    pressure, slope : numpy.ndarray
        [Pa], within 0.3 %, and its derivative [Pa/K].

    Examples
    --------
    In a coil at -10 °C, in bar.

    >>> round(float(coil_pressure(263.15)[0]) / 1e5, 1)
    2.9
    """
    inverse = _TEMPERATURE / temperature
    cubic, square, linear, constant = _coil()
    distance = inverse - 1.0
    pressure = np.exp(((cubic * distance + square) * distance + linear) * distance + constant)
    steepness = (3.0 * cubic * distance + 2.0 * square) * distance + linear
    return pressure, -pressure * steepness * inverse / temperature


def _grid(first, second):
    return (axis.ravel() for axis in np.meshgrid(first, second))


@cache
def _boiling():
    log_pressure, fraction = _grid(np.log(np.geomspace(7e5, 40e5, 60)), np.linspace(0.02, 0.5, 60))
    state = ammonia_water.equilibrium(np.exp(log_pressure), fraction)
    log_odds = np.log(state.vapour_mass_fraction / (1.0 - state.vapour_mass_fraction))
    quantities = np.array([state.temperature, log_odds, state.liquid_enthalpy, state.vapour_enthalpy])
    return Polynomial(log_pressure - np.log(_PRESSURE), fraction, quantities, (3, 6))


def _solutions():
    """Return the states of solutions that an absorber could hold: temperature, fraction, pressure."""
    temperature, fraction = _grid(np.linspace(275.0, 410.0, 80), np.linspace(0.02, 0.5, 60))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ammonia_water.AmmoniaWaterRangeWarning)
        pressure = ammonia_water.bubble_pressure(temperature, fraction)
    known = ~np.isnan(pressure)
    return temperature[known], fraction[known], pressure[known]


@cache
def _absorbing():
    temperature, fraction, pressure = _solutions()
    quantities = np.array([np.log(pressure), ammonia_water.equilibrium(pressure, fraction).liquid_enthalpy])
    return Polynomial(_TEMPERATURE / temperature - 1.0, fraction, quantities, (3, 5))


@cache
def _absorbed():
    states = np.array(_solutions())
    temperature, fraction, pressure = states[:, (states[1] > 0.08) & (states[1] < 0.42)]
    return Polynomial(
        _TEMPERATURE / temperature - 1.0, np.log(pressure / _LOW_PRESSURE), fraction[np.newaxis], (3, 4)
    )


@cache
def _condensing():
    log_pressure = np.log(np.linspace(*BOILING_PRESSURES, 200))
    temperature = ammonia.saturation_temperature(np.exp(log_pressure))
    vapour = ammonia_water.equilibrium(np.exp(log_pressure), 1.0).vapour_enthalpy
    quantities = np.array([temperature, ammonia.latent_heat(temperature), vapour])
    return np.polyfit(log_pressure - np.log(_PRESSURE), quantities.T, 4)[:, :, np.newaxis]


@cache
def _coil():
    temperature = np.linspace(*COIL_TEMPERATURES, 200)
    return np.polyfit(_TEMPERATURE / temperature - 1.0, np.log(ammonia.saturation_pressure(temperature)), 3)


def _horner(coefficients, x):
    result = coefficients[0]
    for coefficient in coefficients[1:]:
        result = result * x + coefficient
    return result
