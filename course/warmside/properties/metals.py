"""Copper as wires have it.

References
----------
IEC 60028:1925, *International standard of resistance for copper*: 1/58 ohm mm²/m at 20 °C, and 0.00393/K at
20 °C.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.properties.ranges import within

_WIRE = load("wire")
REFERENCE_TEMPERATURE = 293.15
LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = 220.0, 430.0


class CopperRangeWarning(UserWarning):
    """A temperature at which no wire is used; nan was returned."""


def copper_resistivity(temperature: ArrayLike = REFERENCE_TEMPERATURE) -> np.ndarray:
    """Resistivity of annealed copper.

    Parameters
    ----------
    temperature : array_like
        Temperature of the metal [K], 220 to 430.

    Returns
    -------
    numpy.ndarray
        Resistivity [ohm m], a line through 20 °C; nan outside the range, with a `CopperRangeWarning`.

    Examples
    --------
    Cold, and as warm as in a hot vehicle, in ohm mm²/m.

    >>> round(float(copper_resistivity()) * 1e6, 4), round(float(copper_resistivity(323.15)) * 1e6, 4)
    (0.0172, 0.0193)
    """
    rise = np.subtract(_known(temperature), REFERENCE_TEMPERATURE)
    return _WIRE.number("resistivity") * (1.0 + _WIRE.number("temperature_coefficient") * rise)


def _known(temperature):
    return within(
        temperature,
        LOWEST_TEMPERATURE,
        HIGHEST_TEMPERATURE,
        CopperRangeWarning,
        f"Copper is known from {LOWEST_TEMPERATURE:g} to {HIGHEST_TEMPERATURE:g} K; elsewhere nan is "
        "returned.",
    )
