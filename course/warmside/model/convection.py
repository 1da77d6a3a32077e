"""Free convection of air at upright plates and between them.

The model's conductances are calibrated. These published correlations say whether they are of a likely size,
and why a gap behind warm tubes may be too narrow as well as too wide.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.model.draught import GRAVITY
from warmside.properties import air


def rayleigh(length: ArrayLike, warmer_by: ArrayLike, film_temperature: ArrayLike) -> np.ndarray:
    """Rayleigh number of air.

    Parameters
    ----------
    length : array_like
        Height of a plate, or width of a channel [m].
    warmer_by : array_like
        How much warmer the surface is than the air [K].
    film_temperature : array_like
        Mean temperature of both [K].

    Returns
    -------
    numpy.ndarray
        ``g β ΔT L³/(ν α)``.
    """
    kinematic = air.viscosity(film_temperature) / air.density(film_temperature)
    diffusivity = air.thermal_conductivity(film_temperature) / (
        air.density(film_temperature) * air.specific_heat(film_temperature)
    )
    expansion = 1.0 / np.asarray(film_temperature, dtype=float)
    return GRAVITY * expansion * warmer_by * np.power(length, 3.0) / (kinematic * diffusivity)


def plate_nusselt(rayleigh_number: ArrayLike, prandtl_number: ArrayLike = 0.71) -> np.ndarray:
    """Nusselt number of an upright plate, over its height.

    References
    ----------
    S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1323; Incropera et al.,
    Fundamentals of Heat and Mass Transfer, eq. 9.26.
    """
    spread = (1.0 + np.power(0.492 / np.asarray(prandtl_number), 9.0 / 16.0)) ** (8.0 / 27.0)
    return (0.825 + 0.387 * np.power(rayleigh_number, 1.0 / 6.0) / spread) ** 2


def channel_nusselt(channel_rayleigh: ArrayLike, *, one_side: bool = False) -> np.ndarray:
    """Nusselt number between upright plates of one temperature, over the gap.

    Parameters
    ----------
    channel_rayleigh : array_like
        Rayleigh number over the gap, times gap over height.
    one_side : bool
        Whether one of the plates gives off no heat.

    References
    ----------
    A. Bar-Cohen and W. M. Rohsenow, J. Heat Transfer 106 (1984) 116; Incropera et al., eq. 9.47 and table
    9.3.
    """
    narrow = 144.0 if one_side else 576.0
    number = np.asarray(channel_rayleigh, dtype=float)
    return (narrow / number**2 + 2.87 / np.sqrt(number)) ** -0.5


def optimum_gap(height: ArrayLike, warmer_by: ArrayLike, film_temperature: ArrayLike) -> np.ndarray:
    """Gap between upright plates of one temperature that lets the most heat out of a given width [m].

    References
    ----------
    Bar-Cohen and Rohsenow as above: ``2.714 (Ra/(S³ L))^(-1/4)``.
    """
    over_gap_cubed = rayleigh(1.0, warmer_by, film_temperature)
    return 2.714 * np.power(over_gap_cubed / np.asarray(height), -0.25)
