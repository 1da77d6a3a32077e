"""Pure ammonia at saturation: pressure, temperature, latent heat.

A vapour-pressure equation of Wagner's form and a power series in the distance from the critical point, fitted
here to the equation of state of Gao et al. at 96 points of 200 to 390 K, as CoolProp 8.0.0 computes it. The
largest deviation from that is 0.02 % in pressure and 0.01 % in latent heat; the tests hold them to it. The
ammonia end of `warmside.properties.ammonia_water` is an older equation of state: its pressure is up to 0.06 %
higher between 250 and 345 K.

References
----------
K. Gao, J. Wu, I. H. Bell, E. W. Lemmon, "Thermodynamic Properties of Ammonia for Temperatures from the
Melting Line to 725 K and Pressures to 1000 MPa", J. Phys. Chem. Ref. Data 49 (2020) 013102.
W. Wagner, "New vapour pressure measurements for argon and nitrogen and a new method for establishing rational
vapour pressure equations", Cryogenics 13 (1973) 470.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.properties.ranges import within

MOLAR_MASS = load("constants").number("ammonia_molar_mass")  # [kg/mol]
CRITICAL_TEMPERATURE = 405.56
CRITICAL_PRESSURE = 11363391.0
LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = 200.0, 390.0

# Coefficient and exponent of 1 - T/Tc.
_VAPOUR_PRESSURE = ((-7.2812005, 1.0), (1.80883531, 1.5), (-1.27775291, 2.0), (-2.68823149, 4.0))
_LATENT_HEAT = ((1428953.60, 0.35), (2871757.94, 1.0), (-3072489.70, 4 / 3), (671019.718, 7 / 3))


class AmmoniaRangeWarning(UserWarning):
    """A state outside the range of the fits; nan was returned."""


def saturation_pressure(temperature: ArrayLike) -> np.ndarray:
    """Pressure at which ammonia boils.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 200 to 390.

    Returns
    -------
    numpy.ndarray
        Pressure [Pa]; nan outside the range, with an `AmmoniaRangeWarning`.

    Examples
    --------
    At 100 °F, in psi (absolute).

    >>> round(float(saturation_pressure(310.93)) / 6894.76)
    212
    """
    return np.exp(_log_pressure(_known(temperature)))


def saturation_temperature(pressure: ArrayLike) -> np.ndarray:
    """Temperature at which ammonia boils.

    Parameters
    ----------
    pressure : array_like
        Pressure [Pa], 8.61e3 to 8.60e6.

    Returns
    -------
    numpy.ndarray
        Temperature [K], the inverse of `saturation_pressure`; nan outside the range, with an
        `AmmoniaRangeWarning`.

    Examples
    --------
    At 25 bar, in °C.

    >>> round(float(saturation_temperature(25e5)) - 273.15, 1)
    58.2
    """
    lowest, highest = np.exp(_log_pressure(np.array([LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE])))
    wanted = np.log(_known(pressure, lowest, highest))
    inverse = np.full_like(wanted, 1.0 / 300.0)
    for _ in range(4):  # Newton in 1/T, in which ln p is nearly a line
        temperature = 1.0 / inverse
        inverse = inverse + (_log_pressure(temperature) - wanted) / _steepness(temperature)
    return 1.0 / inverse


def latent_heat(temperature: ArrayLike) -> np.ndarray:
    """Latent heat of vaporisation of ammonia.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 200 to 390.

    Returns
    -------
    numpy.ndarray
        Latent heat [J/kg]; nan outside the range, with an `AmmoniaRangeWarning`.

    Examples
    --------
    At 0 °C, in kJ/kg.

    >>> round(float(latent_heat(273.15)) / 1e3)
    1262
    """
    return _series(_LATENT_HEAT, 1.0 - _known(temperature) / CRITICAL_TEMPERATURE)


def _known(values, lowest=LOWEST_TEMPERATURE, highest=HIGHEST_TEMPERATURE):
    return within(
        values,
        lowest,
        highest,
        AmmoniaRangeWarning,
        f"Saturated ammonia is known from {LOWEST_TEMPERATURE:g} to {HIGHEST_TEMPERATURE:g} K; "
        "elsewhere nan is returned.",
    )


def _series(terms, distance):
    return sum(coefficient * distance**exponent for coefficient, exponent in terms)


def _log_pressure(temperature):
    reduced = temperature / CRITICAL_TEMPERATURE
    return np.log(CRITICAL_PRESSURE) + _series(_VAPOUR_PRESSURE, 1.0 - reduced) / reduced


def _steepness(temperature):
    """Return -d ln p / d(1/T) [K]."""
    reduced = temperature / CRITICAL_TEMPERATURE
    distance = 1.0 - reduced
    by_distance = sum(a * n * distance ** (n - 1.0) for a, n in _VAPOUR_PRESSURE)
    return -CRITICAL_TEMPERATURE * (_series(_VAPOUR_PRESSURE, distance) + reduced * by_distance)
