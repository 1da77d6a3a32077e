"""Dry air as an ideal gas at temperatures met around a refrigerator.

References
----------
US Standard Atmosphere, 1976 (NOAA-S/T 76-1562): molar mass, viscosity and thermal conductivity. The tests
hold these to CoolProp within 0.2 % in density and 1.5 % in viscosity and conductivity over 250 to 400 K.
"""

import numpy as np
from numpy.typing import ArrayLike

MOLAR_GAS_CONSTANT = 8.314462618
MOLAR_MASS = 0.0289652
GAS_CONSTANT = MOLAR_GAS_CONSTANT / MOLAR_MASS
SPECIFIC_HEAT = 1006.0
"""Isobaric specific heat [J/(kg K)], constant within 0.9 % over 250 to 400 K."""
ATMOSPHERE = 101325.0


def density(temperature: ArrayLike, pressure: ArrayLike = ATMOSPHERE) -> np.ndarray:
    """Density of dry air.

    Parameters
    ----------
    temperature : array_like
        Temperature [K].
    pressure : array_like
        Absolute pressure [Pa].

    Returns
    -------
    numpy.ndarray
        Density [kg/m³].
    """
    return np.divide(pressure, GAS_CONSTANT * np.asarray(temperature, dtype=float))


def viscosity(temperature: ArrayLike) -> np.ndarray:
    """Dynamic viscosity of air [Pa s] at a temperature [K], by Sutherland's law."""
    temperature = np.asarray(temperature, dtype=float)
    return 1.458e-6 * temperature**1.5 / (temperature + 110.4)


def thermal_conductivity(temperature: ArrayLike) -> np.ndarray:
    """Thermal conductivity of air [W/(m K)] at a temperature [K]."""
    temperature = np.asarray(temperature, dtype=float)
    return 2.64638e-3 * temperature**1.5 / (temperature + 245.4 * 10.0 ** (-12.0 / temperature))
