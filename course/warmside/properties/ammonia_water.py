"""Boiling ammonia-water: equilibrium of liquid and vapour, and their enthalpies.

All states are saturated. A boiling liquid and the vapour in equilibrium with it are fixed by the pressure and
the ammonia mass fraction of the liquid; a table over these two holds temperature, relative volatility and
both enthalpies, as the international formulation IAPWS G4-01 gives them. `equilibrium` interpolates in it;
everything else solves for the pressure or the mass fraction that it needs, on the same table, so that round
trips close. At random points between the nodes, temperatures are within 0.002 K of the formulation and
enthalpies within 0.05 kJ/kg; the tests hold them to it.

Enthalpies are per kilogram, zero for the saturated liquid of each pure component at 273.16 K. Both phases and
all mass fractions share this zero, so differences may be taken across phases and compositions.

Range: 2 kPa to 4 MPa, and 250 K up to boiling at 4 MPa (523 K for water, 352 K for ammonia), all mass
fractions. Elsewhere the functions return nan and give an `AmmoniaWaterRangeWarning`. At the cold and watery
end of that range ice would form; the formulation describes the liquid that hasn't frozen, and nothing here
warns of it.

References
----------
R. Tillner-Roth, D. G. Friend, "A Helmholtz Free Energy Formulation of the Thermodynamic Properties of the
Mixture {Water + Ammonia}", J. Phys. Chem. Ref. Data 27 (1998) 63, adopted as IAPWS G4-01 (2001). The table is
made by ``assets/ammonia_water/make_table.py``.
"""

import warnings
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from warmside.properties.saturation import (
    LIQUID_ENTHALPY,
    TEMPERATURE,
    VAPOUR_ENTHALPY,
    VOLATILITY,
    saturation_table,
)

LOWEST_TEMPERATURE = 250.0
LOWEST_PRESSURE = 2e3
HIGHEST_PRESSURE = 4e6

_PRESSURE = (LOWEST_PRESSURE, HIGHEST_PRESSURE)
_ABSOLUTE_TEMPERATURE = (LOWEST_TEMPERATURE, 525.0)
_FRACTION = (0.0, 1.0)
_ROUNDING = 1e-9
_BLOCK = 8192  # points worked on at a time: their intermediate arrays stay in the processor's cache


class AmmoniaWaterRangeWarning(UserWarning):
    """A state outside the range of the table, or none at all; nan was returned."""


class Equilibrium(NamedTuple):
    """A boiling liquid and its vapour: temperature [K], mass fraction [kg/kg], enthalpies [J/kg]."""

    temperature: np.ndarray
    vapour_mass_fraction: np.ndarray
    liquid_enthalpy: np.ndarray
    vapour_enthalpy: np.ndarray


def equilibrium(pressure: ArrayLike, mass_fraction: ArrayLike) -> Equilibrium:
    """Everything about a boiling liquid and its vapour at once.

    Parameters
    ----------
    pressure : array_like
        Pressure [Pa], 2e3 to 4e6.
    mass_fraction : array_like
        Ammonia mass fraction of the liquid [kg/kg].

    Returns
    -------
    Equilibrium
        Temperature [K], ammonia mass fraction of the vapour [kg/kg], enthalpies of liquid and vapour [J/kg].

    Examples
    --------
    Solution with a fifth of ammonia at 20 bar: its vapour is mostly ammonia.

    >>> boiling = equilibrium(20e5, 0.2)
    >>> round(float(boiling.temperature) - 273.15), round(float(boiling.vapour_mass_fraction), 2)
    (158, 0.73)
    """
    return Equilibrium(*_each_block(_equilibrium, (pressure, _PRESSURE), (mass_fraction, _FRACTION)))


def bubble_temperature(pressure: ArrayLike, mass_fraction: ArrayLike) -> np.ndarray:
    """Temperature at which a liquid begins to boil.

    Parameters
    ----------
    pressure : array_like
        Pressure [Pa], 2e3 to 4e6.
    mass_fraction : array_like
        Ammonia mass fraction of the liquid [kg/kg].

    Returns
    -------
    numpy.ndarray
        Temperature [K]; nan outside the range, with an `AmmoniaWaterRangeWarning`.

    Examples
    --------
    Solution with a third of ammonia at 20 bar, in °C.

    >>> round(float(bubble_temperature(20e5, 0.33)) - 273.15)
    127
    """
    return _each_block(_bubble_temperature, (pressure, _PRESSURE), (mass_fraction, _FRACTION))[0]


def dew_temperature(pressure: ArrayLike, mass_fraction: ArrayLike) -> np.ndarray:
    """Temperature at which a vapour begins to condense.

    Parameters
    ----------
    pressure : array_like
        Pressure [Pa], 2e3 to 4e6.
    mass_fraction : array_like
        Ammonia mass fraction of the vapour [kg/kg].

    Returns
    -------
    numpy.ndarray
        Temperature [K]; nan outside the range, with an `AmmoniaWaterRangeWarning`.

    Examples
    --------
    Vapour with 95 % of ammonia at 20 bar, in °C.

    >>> round(float(dew_temperature(20e5, 0.95)) - 273.15)
    112
    """
    return _each_block(_dew_temperature, (pressure, _PRESSURE), (mass_fraction, _FRACTION))[0]


def bubble_pressure(temperature: ArrayLike, mass_fraction: ArrayLike) -> np.ndarray:
    """Pressure at which a liquid boils.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 250 and above.
    mass_fraction : array_like
        Ammonia mass fraction of the liquid [kg/kg].

    Returns
    -------
    numpy.ndarray
        Pressure [Pa]; nan outside the range, with an `AmmoniaWaterRangeWarning`.

    Examples
    --------
    Solution with a third of ammonia at 40 °C, in bar.

    >>> round(float(bubble_pressure(313.15, 0.33)) / 1e5, 2)
    2.0
    """
    return _each_block(_bubble_pressure, (temperature, _ABSOLUTE_TEMPERATURE), (mass_fraction, _FRACTION))[0]


def vapour_mass_fraction(pressure: ArrayLike, mass_fraction: ArrayLike) -> np.ndarray:
    """Ammonia in the vapour in equilibrium with a boiling liquid.

    Parameters
    ----------
    pressure : array_like
        Pressure [Pa], 2e3 to 4e6.
    mass_fraction : array_like
        Ammonia mass fraction of the liquid [kg/kg].

    Returns
    -------
    numpy.ndarray
        Ammonia mass fraction of the vapour [kg/kg]; nan outside the range, with an
        `AmmoniaWaterRangeWarning`.

    Examples
    --------
    >>> round(float(vapour_mass_fraction(20e5, 0.2)), 2)
    0.73
    """
    return equilibrium(pressure, mass_fraction).vapour_mass_fraction


def liquid_mass_fraction(pressure: ArrayLike, temperature: ArrayLike) -> np.ndarray:
    """Ammonia in the liquid that boils at a pressure and a temperature.

    Parameters
    ----------
    pressure : array_like
        Pressure [Pa], 2e3 to 4e6.
    temperature : array_like
        Temperature [K], between the boiling points of ammonia and of water at that pressure.

    Returns
    -------
    numpy.ndarray
        Ammonia mass fraction of the liquid [kg/kg]; nan outside the range or where no liquid boils, with an
        `AmmoniaWaterRangeWarning`.

    Examples
    --------
    What a boiler of 170 °C leaves in the solution at 20 bar.

    >>> round(float(liquid_mass_fraction(20e5, 443.15)), 2)
    0.15
    """
    return _each_block(_liquid_mass_fraction, (pressure, _PRESSURE), (temperature, _ABSOLUTE_TEMPERATURE))[0]


def liquid_enthalpy(temperature: ArrayLike, mass_fraction: ArrayLike) -> np.ndarray:
    """Enthalpy of a liquid at its boiling pressure.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 250 and above.
    mass_fraction : array_like
        Ammonia mass fraction of the liquid [kg/kg].

    Returns
    -------
    numpy.ndarray
        Enthalpy [J/kg], zero for each pure saturated liquid at 273.16 K; nan outside the range, with an
        `AmmoniaWaterRangeWarning`.

    Examples
    --------
    Heat that warms a kilogram of solution from 40 to 50 °C, in kJ.

    >>> round(float(liquid_enthalpy(323.15, 0.3) - liquid_enthalpy(313.15, 0.3)) / 1e3)
    44
    """
    return _each_block(_liquid_enthalpy, (temperature, _ABSOLUTE_TEMPERATURE), (mass_fraction, _FRACTION))[0]


def vapour_enthalpy(temperature: ArrayLike, mass_fraction: ArrayLike) -> np.ndarray:
    """Enthalpy of a vapour that is about to condense, which is at its dew pressure.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 250 and above.
    mass_fraction : array_like
        Ammonia mass fraction of the vapour [kg/kg].

    Returns
    -------
    numpy.ndarray
        Enthalpy [J/kg], zero for each pure saturated liquid at 273.16 K; nan outside the range, with an
        `AmmoniaWaterRangeWarning`.

    Notes
    -----
    Where the pressure and the liquid are known, `equilibrium` gives the same four times faster.

    Examples
    --------
    In kJ/kg.

    >>> round(float(vapour_enthalpy(373.15, 0.9)) / 1e3)
    1602
    """
    return _each_block(_vapour_enthalpy, (temperature, _ABSOLUTE_TEMPERATURE), (mass_fraction, _FRACTION))[0]


# What follows works on one block: one-dimensional arrays of values within the bounds of their kind.


def _equilibrium(pressure, mass_fraction):
    table = saturation_table()
    place = table.place(np.log(pressure), mass_fraction)
    temperature, volatility, liquid, vapour = (
        table.value(quantity, place)
        for quantity in (TEMPERATURE, VOLATILITY, LIQUID_ENTHALPY, VAPOUR_ENTHALPY)
    )
    odds = mass_fraction * np.exp(volatility)
    return _where(_warm(temperature), temperature, odds / (odds + 1.0 - mass_fraction), liquid, vapour)


def _bubble_temperature(pressure, mass_fraction):
    temperature = saturation_table().temperature(np.log(pressure), mass_fraction)
    return _where(_warm(temperature), temperature)


def _dew_temperature(pressure, mass_fraction):
    table = saturation_table()
    log_pressure = np.log(pressure)
    liquid = table.liquid_under_vapour(log_pressure, mass_fraction)
    known = ~np.isnan(liquid)
    temperature = table.temperature(log_pressure, np.where(known, liquid, 0.5))
    return _where(known & _warm(temperature), temperature)


def _bubble_pressure(temperature, mass_fraction):
    log_pressure = saturation_table().log_bubble_pressure(temperature, mass_fraction)
    return _where(_within(log_pressure), np.exp(log_pressure))


def _liquid_mass_fraction(pressure, temperature):
    return (saturation_table().liquid_mass_fraction(np.log(pressure), temperature),)


def _liquid_enthalpy(temperature, mass_fraction):
    table = saturation_table()
    log_pressure = table.log_bubble_pressure(temperature, mass_fraction)
    known = _within(log_pressure)
    place = table.place(np.where(known, log_pressure, table.middle), mass_fraction)
    return _where(known, table.value(LIQUID_ENTHALPY, place))


def _vapour_enthalpy(temperature, mass_fraction):
    table = saturation_table()
    log_pressure, liquid = table.state_of_vapour(temperature, mass_fraction)
    known = _within(log_pressure)
    place = table.place(np.where(known, log_pressure, table.middle), np.where(known, liquid, 0.5))
    return _where(known, table.value(VAPOUR_ENTHALPY, place))


def _warm(temperature):
    return temperature >= LOWEST_TEMPERATURE * (1.0 - _ROUNDING)


def _within(log_pressure):
    return _between(np.exp(log_pressure), *_PRESSURE)


def _between(values, low, high):
    return (values >= low * (1.0 - _ROUNDING)) & (values <= high * (1.0 + _ROUNDING))


def _where(known, *values):
    return tuple(np.where(known, value, np.nan) for value in values)


def _each_block(
    function: Callable,
    first: tuple[ArrayLike, tuple[float, float]],
    second: tuple[ArrayLike, tuple[float, float]],
) -> tuple[np.ndarray, ...]:
    """Call a function block by block on two arguments, each with its bounds; warn if a state isn't known."""
    arguments = np.broadcast_arrays(*(np.asarray(values, dtype=float) for values, _ in (first, second)))
    bounds = [limits for _, limits in (first, second)]
    flat = [argument.ravel() for argument in arguments]
    parts = []
    for start in range(0, max(flat[0].size, 1), _BLOCK):
        block = [values[start : start + _BLOCK] for values in flat]
        known = np.logical_and(
            *(_between(values, *limits) for values, limits in zip(block, bounds, strict=True))
        )
        if not known.all():
            block = [
                np.where(known, values, np.mean(limits)) for values, limits in zip(block, bounds, strict=True)
            ]
            parts.append(_where(known, *function(*block)))
        else:
            parts.append(function(*block))
    results = tuple(np.concatenate(part).reshape(arguments[0].shape)[()] for part in zip(*parts, strict=True))
    if np.any(np.isnan(results[0]) & ~np.isnan(arguments[0]) & ~np.isnan(arguments[1])):
        warnings.warn(
            f"Boiling ammonia-water is known from {LOWEST_PRESSURE:g} to {HIGHEST_PRESSURE:g} Pa and from "
            f"{LOWEST_TEMPERATURE:g} K up; elsewhere nan is returned.",
            AmmoniaWaterRangeWarning,
            stacklevel=3,
        )
    return results
