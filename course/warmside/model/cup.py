"""The cup of water in a refrigerator and the food beside it: bodies of one temperature each.

A lumped body follows the air around it by an exponential; how fast, says its time constant.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.properties import water

_P = load("parameters").number
CUP_MASS = _P("cup_mass")
"""Water in a usual cup [kg]."""


def time_constant(heat_capacity: ArrayLike, conductance: ArrayLike) -> np.ndarray:
    """Time constant of a lumped body.

    Parameters
    ----------
    heat_capacity : array_like
        Heat capacity [J/K].
    conductance : array_like
        Conductance to its surroundings [W/K].

    Returns
    -------
    numpy.ndarray
        Time constant [s].

    Examples
    --------
    A cup of half a pint, in hours.

    >>> round(float(time_constant(cup_heat_capacity(0.25), cup_conductance(0.25))) / 3600, 1)
    2.2
    """
    return np.divide(heat_capacity, conductance)


def cup_temperature(
    time: ArrayLike, start_temperature: ArrayLike, cabinet_temperature: ArrayLike, time_constant: ArrayLike
) -> np.ndarray:
    """Temperature of a lumped cup in a cabinet of constant temperature.

    Parameters
    ----------
    time : array_like
        Time since the cup was put in [s].
    start_temperature, cabinet_temperature : array_like
        Temperatures [K].
    time_constant : array_like
        Heat capacity of the cup over its conductance to the air [s].

    Returns
    -------
    numpy.ndarray
        Temperature of the water [K]; arguments broadcast.

    References
    ----------
    F. P. Incropera et al., Fundamentals of Heat and Mass Transfer, ch. 5 (lumped capacitance).

    Examples
    --------
    Tap water of 68 °F after 8 hours at 38 °F, in °F.

    >>> kelvin = cup_temperature(8 * 3600, 293.15, 276.48, 2.2 * 3600)
    >>> round(float(kelvin) * 1.8 - 459.67)
    39
    """
    excess = np.subtract(start_temperature, cabinet_temperature)
    return cabinet_temperature + excess * np.exp(-np.divide(time, time_constant))


def follow(
    air_temperature: ArrayLike, time_step: float, start_temperature: float, time_constant: float
) -> np.ndarray:
    """Temperature of a lumped cup in air that changes from step to step.

    Parameters
    ----------
    air_temperature : array_like
        Air temperature during each step [K], shape (..., n).
    time_step : float
        Length of a step [s].
    start_temperature : float
        Temperature of the water at the start [K].
    time_constant : float
        Time constant of the cup [s].

    Returns
    -------
    numpy.ndarray
        Temperature of the water [K] at the start and after each step, shape (..., n + 1).

    Examples
    --------
    Eight hours of air at 38 °F, in °F.

    >>> kelvin = follow([276.48] * 480, 60.0, 293.15, 2.2 * 3600)
    >>> round(float(kelvin[-1]) * 1.8 - 459.67)
    39
    """
    air = np.asarray(air_temperature, dtype=float)
    left = np.exp(-time_step / time_constant)
    initial = np.full((*air.shape[:-1], 1), left * start_temperature)
    from scipy.signal import lfilter  # here, since it takes half a second to import

    after, _ = lfilter([1.0 - left], [1.0, -left], air, zi=initial)
    return np.concatenate([np.full_like(initial, start_temperature), after], axis=-1)


def cup_heat_capacity(mass: ArrayLike) -> np.ndarray:
    """Heat capacity [J/K] of a cup that holds `mass` [kg] of water at 10 °C; the vessel is left out.

    Examples
    --------
    >>> round(float(cup_heat_capacity(0.25)))
    1049
    """
    return np.asarray(mass, dtype=float) * water.specific_heat(_P("cup_water_temperature"))


def cup_conductance(mass: ArrayLike) -> np.ndarray:
    """Conductance from a cup's water to the cabinet air.

    Parameters
    ----------
    mass : array_like
        Mass of the water [kg].

    Returns
    -------
    numpy.ndarray
        Conductance [W/K]: 0.132 W/K at 250 g, and as the surface of cups of one shape, the power 2/3 of the
        mass. Calibrated here; it gives time constants of 1.7, 2.2 and 3.5 h at 120, 250 and 1000 g.

    Examples
    --------
    Half a pint and a quart.

    >>> cup_conductance([0.25, 1.0]).round(2).tolist()
    [0.13, 0.33]
    """
    return _P("cup_conductance") * (np.asarray(mass, dtype=float) / CUP_MASS) ** (2.0 / 3.0)


def food_specific_heat(water_fraction: ArrayLike) -> np.ndarray:
    """Specific heat of food above freezing.

    Parameters
    ----------
    water_fraction : array_like
        Water in it [kg/kg], 0 to 1.

    Returns
    -------
    numpy.ndarray
        Specific heat [J/(kg K)], ``837 + 3349 w``.

    References
    ----------
    J. E. Siebel, Specific heat of various products, Ice and Refrigeration 2 (1892) 256, as given in the
    ASHRAE Handbook, Refrigeration, and in textbooks of food engineering.

    Examples
    --------
    Food that is four fifths water.

    >>> round(float(food_specific_heat(0.8)))
    3516
    """
    return 837.0 + 3349.0 * np.asarray(water_fraction, dtype=float)
