"""Liquid water at atmospheric pressure: specific heat.

A polynomial in the temperature in °C over 100, fitted here to IAPWS-95 at 100 points of 0 to 99 °C and one
standard atmosphere, as the package ``iapws`` computes it. The largest deviation from that is 0.0032 %; the
tests hold it to that.

References
----------
W. Wagner, A. Pruß, "The IAPWS Formulation 1995 for the Thermodynamic Properties of Ordinary Water Substance",
J. Phys. Chem. Ref. Data 31 (2002) 387.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.properties.ranges import within

FREEZING_POINT = 273.15
BOILING_POINT = 373.124

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
