"""Liquid water at atmospheric pressure: density, specific heat, thermal conductivity.

Polynomials in the temperature in °C over 100, fitted here to IAPWS-95 (and to the IAPWS 2011 release for the
thermal conductivity) at 100 points of 0 to 99 °C and 101 325 Pa, as the package ``iapws`` computes them. The
largest deviation from those is 0.0012 % in density, 0.0032 % in specific heat, 0.011 % in conductivity; the
tests hold them to it.

References
----------
W. Wagner, A. Pruß, "The IAPWS Formulation 1995 for the Thermodynamic Properties of Ordinary Water Substance",
J. Phys. Chem. Ref. Data 31 (2002) 387. IAPWS R15-11, "Release on the IAPWS Formulation 2011 for the Thermal
Conductivity of Ordinary Water Substance".
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.properties.ranges import within

FREEZING_POINT = 273.15
BOILING_POINT = 373.124

_DENSITY = (999.85482, 6.1489376, -83.240876, 64.402165, -39.593195, 10.787721)
_SPECIFIC_HEAT = (4219.3103, -335.46138, 1125.9228, -2065.4472, 2313.3668, -1398.7321, 356.82739)
_CONDUCTIVITY = (0.5557103, 0.25299359, -0.24733094, 0.23320727, -0.16815218, 0.050837803)


class WaterRangeWarning(UserWarning):
    """A temperature at which water at atmospheric pressure is not liquid; nan was returned."""


def density(temperature: ArrayLike) -> np.ndarray:
    """Density of liquid water.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 273.15 to 373.12.

    Returns
    -------
    numpy.ndarray
        Density [kg/m³]; nan outside the range, with a `WaterRangeWarning`.
    """
    return _polynomial(_DENSITY, temperature)


def specific_heat(temperature: ArrayLike) -> np.ndarray:
    """Isobaric specific heat of liquid water.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 273.15 to 373.12.

    Returns
    -------
    numpy.ndarray
        Specific heat [J/(kg K)]; nan outside the range, with a `WaterRangeWarning`.
    """
    return _polynomial(_SPECIFIC_HEAT, temperature)


def thermal_conductivity(temperature: ArrayLike) -> np.ndarray:
    """Thermal conductivity of liquid water.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 273.15 to 373.12.

    Returns
    -------
    numpy.ndarray
        Thermal conductivity [W/(m K)]; nan outside the range, with a `WaterRangeWarning`.
    """
    return _polynomial(_CONDUCTIVITY, temperature)


def _polynomial(coefficients: tuple[float, ...], temperature: ArrayLike) -> np.ndarray:
    known = within(
        temperature,
        FREEZING_POINT,
        BOILING_POINT,
        WaterRangeWarning,
        f"Water at atmospheric pressure is liquid from {FREEZING_POINT} to {BOILING_POINT} K; "
        "elsewhere nan is returned.",
    )
    return np.polynomial.polynomial.polyval((known - FREEZING_POINT) / 100.0, coefficients)
