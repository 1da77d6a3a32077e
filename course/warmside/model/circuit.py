"""Wires and heaters: resistance, heat, current, and what is lost on the way; how long a battery lasts.

How they stand together in a circuit is `warmside.model.network`'s.

References
----------
NFPA 70 (National Electrical Code), chapter 9, table 8, for wires; ASTM B258 for the American wire gauge.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.model.checks import MORE_THAN_NOTHING, check_number
from warmside.properties.metals import (
    HIGHEST_TEMPERATURE,
    LOWEST_TEMPERATURE,
    REFERENCE_TEMPERATURE,
    copper_resistivity,
)

_WIRE = load("wire").number
# between which an input is believed
_THICKEST, _THINNEST = 0, 40  # gauges
_THINNEST_AREA, _THICKEST_AREA = 1e-9, 1e-3  # m²
_LONGEST_WIRE = 1000.0  # m
_MOST_VOLTS, _MOST_AMPS = 1000.0, 1000.0
_MOST_CHARGE = 1e8  # A s; 28,000 Ah
_OPEN = np.inf


def gauge_area(gauge: ArrayLike) -> np.ndarray:
    """Area of the copper in a wire of an American wire gauge.

    Parameters
    ----------
    gauge : array_like
        Number of the gauge, 0 to 40.

    Returns
    -------
    numpy.ndarray
        Area [m²], of a solid wire: ASTM B258, 92 to the power of 1/39 from one gauge to the next.

    Raises
    ------
    InputError
        If there is no such gauge.

    Examples
    --------
    Gauge 14, in mm².

    >>> round(float(gauge_area(14)) * 1e6, 2)
    2.08
    """
    gauge = check_number(
        gauge,
        "The wire's gauge",
        _THICKEST,
        _THINNEST,
        f"a number from {_THICKEST} to {_THINNEST}, such as 14",
    )
    diameter = _WIRE("gauge_36_diameter") * _WIRE("gauge_ratio") ** ((36.0 - gauge) / 39.0)
    return np.pi / 4.0 * diameter**2


def check_area(area: ArrayLike, what: str = "The wire's area") -> np.ndarray:
    """Return areas of copper [m²], or raise an `InputError` where one is none of a wire.

    Examples
    --------
    >>> check_area(2.08e-6).item()
    2.08e-06
    """
    right = "an area of copper from 0.001 to 1000 mm², such as 2.08 mm² of gauge 14"
    return check_number(area, what, _THINNEST_AREA, _THICKEST_AREA, right, "mm²", 1e6)


def wire_resistance(
    area: ArrayLike, length: ArrayLike, temperature: ArrayLike = REFERENCE_TEMPERATURE, stranded: bool = False
) -> np.ndarray:
    """Resistance of a copper wire.

    Parameters
    ----------
    area : array_like
        Of its copper [m²], such as `gauge_area` gives.
    length : array_like
        Of all wire that the current goes through, there and back [m].
    temperature : array_like, optional
        Of the wire [K], as `copper_resistivity` knows it.
    stranded : bool, optional
        Whether it is of strands, which are laid in a spiral and so a little longer than the wire.

    Returns
    -------
    numpy.ndarray
        Resistance [ohm].

    Raises
    ------
    InputError
        If area, length or temperature is none of a wire.

    Examples
    --------
    Forty feet of gauge 10, there and back.

    >>> round(float(wire_resistance(gauge_area(10), 12.2)), 3)
    0.04
    """
    area = check_area(area)
    length = check_number(
        length, "The wire's length", 0.0, _LONGEST_WIRE, f"from 0 to {_LONGEST_WIRE:g} m, there and back", "m"
    )
    temperature = check_number(
        temperature,
        "The wire's temperature",
        LOWEST_TEMPERATURE,
        HIGHEST_TEMPERATURE,
        f"from {LOWEST_TEMPERATURE:g} to {HIGHEST_TEMPERATURE:g} K",
        "K",
    )
    lay = _WIRE("stranded_factor") if stranded else 1.0
    return copper_resistivity(temperature) * lay * length / area


def heater_power(voltage: ArrayLike, resistance: ArrayLike) -> np.ndarray:
    """Heat of a heater.

    Parameters
    ----------
    voltage : array_like
        Across it [V].
    resistance : array_like
        Its own [ohm], more than 0; inf when open.

    Returns
    -------
    numpy.ndarray
        Heat [W].

    Examples
    --------
    A heater of 44.3 ohm at 120 V and on a weak pedestal of 105 V.

    >>> heater_power([120.0, 105.0], 44.3).round().tolist()
    [325.0, 249.0]
    """
    return np.square(check_volts(voltage)) / _heater_ohms(resistance)


def heater_current(voltage: ArrayLike, resistance: ArrayLike) -> np.ndarray:
    """Current through a heater.

    Parameters
    ----------
    voltage : array_like
        Across it [V].
    resistance : array_like
        Its own [ohm], more than 0; inf when open.

    Returns
    -------
    numpy.ndarray
        Current [A].

    Examples
    --------
    >>> round(float(heater_current(120.0, 44.3)), 2)
    2.71
    """
    return check_volts(voltage) / _heater_ohms(resistance)


def in_parallel(resistances: ArrayLike) -> np.ndarray:
    """Resistance of several side by side, along the last axis [ohm]; inf where all are open.

    Examples
    --------
    Two elements side by side, and one of them open.

    >>> round(float(in_parallel([88.6, 88.6])), 1), round(float(in_parallel([88.6, np.inf])), 1)
    (44.3, 88.6)
    """
    with np.errstate(divide="ignore"):
        return 1.0 / np.sum(1.0 / np.atleast_1d(_heater_ohms(resistances)), axis=-1)


def voltage_drop(supply_voltage: ArrayLike, heater: ArrayLike, wires: ArrayLike) -> np.ndarray:
    """Part of the supply voltage that wires and joints take.

    Parameters
    ----------
    supply_voltage : array_like
        At the source, under load [V].
    heater : array_like
        Resistance of the heater [ohm], more than 0; inf when open.
    wires : array_like
        Resistance of all wires and joints, there and back [ohm].

    Returns
    -------
    numpy.ndarray
        What is lost on the way [V].

    Examples
    --------
    A battery's 13.6 V behind 0.05 ohm of wire.

    >>> round(float(voltage_drop(13.6, 0.457, 0.05)), 2)
    1.34
    """
    wires = check_number(wires, "The resistance of the wires", 0.0, 1e9, "0 or more", "ohm")
    return check_volts(supply_voltage) * wires / (_heater_ohms(heater) + wires)


def hours_on_battery(
    charge: ArrayLike, current: ArrayLike, usable: ArrayLike = 0.5, other_current: ArrayLike = 0.0
) -> np.ndarray:
    """How long a battery lasts that nothing charges.

    Parameters
    ----------
    charge : array_like
        Of the full battery, as printed on it [A s].
    current : array_like
        Of the heater [A].
    usable : array_like, optional
        Fraction of the charge that may be used; half spares a lead battery (common practice, no source).
    other_current : array_like, optional
        Of all else that is on [A].

    Returns
    -------
    numpy.ndarray
        Time [s], from full; inf where no current flows. A lead battery that gives so much so quickly lasts
        shorter.

    Examples
    --------
    A battery of 100 Ah and a heater of 26 A, in hours.

    >>> round(float(hours_on_battery(100 * 3600, 26.0)) / 3600, 1)
    1.9
    """
    charge = check_number(
        charge,
        "The battery's charge",
        MORE_THAN_NOTHING,
        _MOST_CHARGE,
        f"more than 0, to {_MOST_CHARGE:g} A s",
        "A s",
    )
    usable = check_number(usable, "The usable part of the charge", 0.0, 1.0, "a fraction from 0 to 1")
    amps = (
        check_number(each, what, 0.0, _MOST_AMPS, f"from 0 to {_MOST_AMPS:g} A", "A")
        for each, what in ((current, "The heater's current"), (other_current, "The other current"))
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        return charge * usable / sum(amps)


def check_volts(voltage: ArrayLike, what: str = "The voltage") -> np.ndarray:
    """Return voltages [V], or raise an `InputError` where one isn't believable.

    Examples
    --------
    >>> check_volts(120).item()
    120.0
    """
    return check_number(voltage, what, 0.0, _MOST_VOLTS, f"from 0 to {_MOST_VOLTS:g} V", "V")


def _heater_ohms(resistance):
    return check_number(
        resistance,
        "The heater's resistance",
        MORE_THAN_NOTHING,
        _OPEN,
        "more than 0, inf when it is open",
        "ohm",
    )
