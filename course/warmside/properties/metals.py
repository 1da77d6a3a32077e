"""Copper as wires have it.

References
----------
IEC 60028:1925, *International standard of resistance for copper*: 1/58 ohm mm²/m at 20 °C, and 0.00393/K at
20 °C.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load

_WIRE = load("wire")
REFERENCE_TEMPERATURE = 293.15


def copper_resistivity(temperature: ArrayLike = REFERENCE_TEMPERATURE) -> np.ndarray:
    """Resistivity of annealed copper.

    Parameters
    ----------
    temperature : array_like
        Temperature of the metal [K], as in a wire: some -50 to 150 °C.

    Returns
    -------
    numpy.ndarray
        Resistivity [ohm m], a line through 20 °C.
    """
    rise = np.subtract(temperature, REFERENCE_TEMPERATURE)
    return _WIRE["resistivity"] * (1.0 + _WIRE["temperature_coefficient"] * rise)
