"""Propane: pressure in the cylinder, and what burning it gives and takes.

The vapour pressure is an equation of Wagner's form, fitted here to the equation of state of Lemmon et al. at
80 points of 215 to 350 K, as CoolProp 8.0.0 computes it; the largest deviation is 0.006 %. Bottled gas holds
lighter gases as well and stands at 11 to 15 % more than pure propane.

References
----------
E. W. Lemmon, M. O. McLinden, W. Wagner, "Thermodynamic Properties of Propane. III", J. Chem. Eng. Data 54
(2009) 3141.
W. Wagner, "New vapour pressure measurements for argon and nitrogen and a new method for establishing rational
vapour pressure equations", Cryogenics 13 (1973) 470.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.properties.ranges import within

_FUELS = load("fuels")
MOLAR_MASS = load("constants").number("propane_molar_mass")  # [kg/mol]
CRITICAL_TEMPERATURE = 369.89
CRITICAL_PRESSURE = 4251200.0
LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = 215.0, 350.0
_VAPOUR_PRESSURE = ((-6.78565738, 1.0), (1.75382699, 1.5), (-1.43225828, 2.2), (-2.6563893, 4.8))

# by volume of propane, all as gases
_OXYGEN, _CARBON_DIOXIDE, _WATER = (
    _FUELS.number(f"combustion_{name}") for name in ("oxygen", "carbon_dioxide", "water")
)
_MOST_EXCESS = 100.0


class PropaneRangeWarning(UserWarning):
    """A state outside the range of the fit; nan was returned."""


def saturation_pressure(temperature: ArrayLike) -> np.ndarray:
    """Pressure of pure propane over its liquid, as in a cylinder.

    Parameters
    ----------
    temperature : array_like
        Temperature of the liquid [K], 215 to 350.

    Returns
    -------
    numpy.ndarray
        Absolute pressure [Pa]; nan outside the range, with a `PropaneRangeWarning`.

    Examples
    --------
    In a cylinder at 70 °F, in psi above the air's.

    >>> round((float(saturation_pressure(294.26)) - 101325) / 6894.76)
    110
    """
    reduced = _known_temperature(temperature) / CRITICAL_TEMPERATURE
    series = sum(a * (1.0 - reduced) ** n for a, n in _VAPOUR_PRESSURE)
    return CRITICAL_PRESSURE * np.exp(series / reduced)


def higher_heating_value() -> float:
    """Heat of burning with the water condensed [J/kg]; gas is sold and rated by it.

    Examples
    --------
    In Btu/lb.

    >>> round(higher_heating_value() / 2326, -2)
    21600.0
    """
    return _FUELS.number("combustion_enthalpy") / MOLAR_MASS


def lower_heating_value() -> float:
    """Heat of burning with the water left as vapour, at 25 °C [J/kg].

    Examples
    --------
    A twelfth less than the higher one.

    >>> round(lower_heating_value() / higher_heating_value(), 2)
    0.92
    """
    return (_FUELS.number("combustion_enthalpy") - _WATER * _FUELS.number("water_latent_heat")) / MOLAR_MASS


def stoichiometric_air() -> float:
    """Volume of dry air that a volume of propane gas needs to burn [m³/m³].

    Examples
    --------
    >>> round(stoichiometric_air(), 1)
    23.9
    """
    return _OXYGEN / load("constants").number("air_oxygen")


def flue_gas(excess_air: ArrayLike = 0.0) -> np.ndarray:
    """Volume of what leaves the burner.

    Parameters
    ----------
    excess_air : array_like
        Air beyond what burning needs, as a fraction of that; 0 to 100.

    Returns
    -------
    numpy.ndarray
        Volume of a volume of propane's flue gas, its water as vapour, all at one temperature [m³/m³]; nan
        outside the range, with a `PropaneRangeWarning`: with less air than it needs gas burns to other
        things, carbon monoxide among them.

    Examples
    --------
    With half as much air again as burning needs.

    >>> round(float(flue_gas(0.5)), 1)
    37.8
    """
    air = stoichiometric_air() * np.add(1.0, _known_excess(excess_air))
    return _CARBON_DIOXIDE + _WATER + air - _OXYGEN


def _known_temperature(temperature):
    return within(
        temperature,
        LOWEST_TEMPERATURE,
        HIGHEST_TEMPERATURE,
        PropaneRangeWarning,
        f"Propane over its liquid is known from {LOWEST_TEMPERATURE:g} to {HIGHEST_TEMPERATURE:g} K; "
        "elsewhere nan is returned.",
    )


def _known_excess(excess_air):
    return within(
        excess_air,
        0.0,
        _MOST_EXCESS,
        PropaneRangeWarning,
        f"Flue gas is known for an excess of air from 0 to {_MOST_EXCESS:g}; elsewhere nan is returned.",
    )
