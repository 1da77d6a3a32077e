"""Water: specific heat of the liquid at atmospheric pressure, and pressure of its vapour.

A polynomial in the temperature in °C over 100, fitted here to IAPWS-95 at 100 points of 0 to 99 °C and one
standard atmosphere, as the package ``iapws`` computes it. The largest deviation from that is 0.0032 %; the
tests hold it to that. The vapour's pressure is the formula that meteorologists use.

References
----------
W. Wagner, A. Pruß, "The IAPWS Formulation 1995 for the Thermodynamic Properties of Ordinary Water Substance",
J. Phys. Chem. Ref. Data 31 (2002) 387. World Meteorological Organization, Guide to Meteorological
Instruments and Methods of Observation, WMO-No. 8, annex 4.B (vapour pressure).
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.properties.ranges import within

HOTTEST_AIR = 338.15
FREEZING_POINT = 273.15
BOILING_POINT = 373.124

_TRIPLE = 611.2  # Pa at 0 °C, the first number of the formula
_SPECIFIC_HEAT = (4219.3103, -335.46138, 1125.9228, -2065.4472, 2313.3668, -1398.7321, 356.82739)


class WaterRangeWarning(UserWarning):
    """A temperature at which water at atmospheric pressure is not liquid; nan was returned."""


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

    Examples
    --------
    At 10 °C.

    >>> round(float(specific_heat(283.15)))
    4195
    """
    return _polynomial(_SPECIFIC_HEAT, temperature)


def saturation_pressure(temperature: ArrayLike) -> np.ndarray:
    """Pressure of water vapour over liquid water.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 273.15 to 338.15.

    Returns
    -------
    numpy.ndarray
        Pressure [Pa], within 0.5 % of IAPWS-95; nan outside the range, with a `WaterRangeWarning`.

    Examples
    --------
    At 30 °C, in hPa.

    >>> round(float(saturation_pressure(303.15)) / 100, 1)
    42.3
    """
    known = within(
        temperature,
        FREEZING_POINT,
        HOTTEST_AIR,
        WaterRangeWarning,
        f"The pressure of water vapor is known from {FREEZING_POINT} to {HOTTEST_AIR} K; elsewhere nan is "
        "returned.",
    )
    celsius = known - FREEZING_POINT
    return _TRIPLE * np.exp(17.62 * celsius / (243.12 + celsius))


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
