"""Dry air near atmospheric pressure: density, specific heat, viscosity.

Range: 220 to 520 K; elsewhere nan with an `AirRangeWarning`. Water vapour is left out: at 35 °C and 60 %
relative humidity it makes air about 1.3 % lighter.

References
----------
U.S. Standard Atmosphere 1976, NOAA-S/T 76-1562, equation 51 (viscosity). The specific heat is a cubic fitted
here to E. W. Lemmon, R. T. Jacobsen, S. G. Penoncello, D. G. Friend, J. Phys. Chem. Ref. Data 29 (2000) 331,
as CoolProp 8.0.0 computes it at one standard atmosphere; largest deviation 0.011 %.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.properties.ranges import within

_CONSTANTS = load("constants").number
GAS_CONSTANT = _CONSTANTS("gas_constant") / _CONSTANTS("air_molar_mass")  # of dry air [J/(kg K)]
ATMOSPHERE = _CONSTANTS("atmosphere")
LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = 220.0, 520.0
LOWEST_ALTITUDE, HIGHEST_ALTITUDE = -1000.0, 11000.0


class AirRangeWarning(UserWarning):
    """A temperature outside the range; nan was returned."""


def density(temperature: ArrayLike, pressure: ArrayLike = ATMOSPHERE) -> np.ndarray:
    """Density of dry air as an ideal gas, right to 0.2 % near atmospheric pressure.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 220 to 520.
    pressure : array_like, optional
        Pressure [Pa].

    Returns
    -------
    numpy.ndarray
        Density [kg/m³]; nan outside the range, with an `AirRangeWarning`.

    Examples
    --------
    Air at 60 °F, and on a day of 100 °F in the mountains [kg/m³].

    >>> round(float(density(288.7)), 3), round(float(density(310.9, 84300.0)), 3)
    (1.223, 0.945)
    """
    return np.asarray(pressure, dtype=float) / (GAS_CONSTANT * _known(temperature))


def specific_heat(temperature: ArrayLike) -> np.ndarray:
    """Isobaric specific heat of dry air at atmospheric pressure.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 220 to 520.

    Returns
    -------
    numpy.ndarray
        Specific heat [J/(kg K)]; nan outside the range, with an `AirRangeWarning`.

    Examples
    --------
    >>> round(float(specific_heat(300.0)))
    1006
    """
    hundreds = (_known(temperature) - 300.0) / 100.0
    return 1006.33995 + hundreds * (3.73497985 + hundreds * (4.18769708 - 0.0863907811 * hundreds))


def viscosity(temperature: ArrayLike) -> np.ndarray:
    """Dynamic viscosity of dry air, right to 0.5 % up to 320 K and to 1.6 % up to 520 K.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 220 to 520.

    Returns
    -------
    numpy.ndarray
        Viscosity [Pa s]; nan outside the range, with an `AirRangeWarning`.

    Examples
    --------
    >>> round(float(viscosity(300.0)) * 1e6, 1)
    18.5
    """
    kelvins = _known(temperature)
    return 1.458e-6 * kelvins**1.5 / (kelvins + 110.4)


def standard_pressure(altitude: ArrayLike) -> np.ndarray:
    """Pressure of the atmosphere at an altitude.

    Parameters
    ----------
    altitude : array_like
        Height above the sea [m], -1000 to 11,000; geopotential height, which at 4500 m is 3 m less than that
        of a tape, 0.05 % of the pressure.

    Returns
    -------
    numpy.ndarray
        Pressure of the standard atmosphere [Pa]: U.S. Standard Atmosphere 1976, equation 33a, a lapse of
        6.5 K each km from 288.15 K; nan outside the range, with an `AirRangeWarning`.

    Examples
    --------
    At 5000 ft, in psi.

    >>> round(float(standard_pressure(1524.0)) / 6894.76, 1)
    12.2
    """
    lapsed = np.multiply(0.0065 / 288.15, _known_altitude(altitude))
    return ATMOSPHERE * (1.0 - lapsed) ** 5.25588


def _known(temperature: ArrayLike) -> np.ndarray:
    return within(
        temperature,
        LOWEST_TEMPERATURE,
        HIGHEST_TEMPERATURE,
        AirRangeWarning,
        f"Air is known from {LOWEST_TEMPERATURE:g} to {HIGHEST_TEMPERATURE:g} K; elsewhere nan is returned.",
    )


def _known_altitude(altitude: ArrayLike) -> np.ndarray:
    return within(
        altitude,
        LOWEST_ALTITUDE,
        HIGHEST_ALTITUDE,
        AirRangeWarning,
        f"The atmosphere is known from {LOWEST_ALTITUDE:g} to {HIGHEST_ALTITUDE:g} m; elsewhere nan is "
        "returned.",
    )
