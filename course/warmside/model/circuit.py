"""Wires, joints and heaters as resistances, and what a meter shows between any two points of them.

A `Circuit` is a list of `Part`, each a resistance between two named points, and one source. Its voltages
come from Kirchhoff's laws, solved as one set of linear equations. A part that is open has a resistance of
inf.

References
----------
NFPA 70 (National Electrical Code), chapter 9, table 8, for wires; ASTM B258 for the American wire gauge.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.errors import InputError
from warmside.model.checks import MORE_THAN_NOTHING, check_name, check_number
from warmside.properties.metals import (
    HIGHEST_TEMPERATURE,
    LOWEST_TEMPERATURE,
    REFERENCE_TEMPERATURE,
    copper_resistivity,
)

_WIRE = load("wire")
_METER_RESISTANCE = 10e6  # ohm; of a usual voltmeter, so that loose ends read nothing
_METER_RANGE = 40e6  # ohm; more than that an ohmmeter shows as open
_LEAST_RESISTANCE = 1e-4  # ohm; as good as a joint gets
_THICKEST, _THINNEST = 0, 40
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
    """
    gauge = check_number(
        gauge,
        "The wire's gauge",
        _THICKEST,
        _THINNEST,
        f"a number from {_THICKEST} to {_THINNEST}, such as 14",
    )
    diameter = _WIRE["gauge_36_diameter"] * _WIRE["gauge_ratio"] ** ((36.0 - gauge) / 39.0)
    return np.pi / 4.0 * diameter**2


def check_area(area: ArrayLike, what: str = "The wire's area") -> np.ndarray:
    """Return areas of copper [m²], or raise an `InputError` where one is none of a wire."""
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
    lay = _WIRE["stranded_factor"] if stranded else 1.0
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
    """
    return np.square(_volts(voltage)) / _heater_ohms(resistance)


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
    """
    return _volts(voltage) / _heater_ohms(resistance)


def in_parallel(resistances: ArrayLike) -> np.ndarray:
    """Resistance of several side by side, along the last axis [ohm]; inf where all are open."""
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
    """
    wires = check_number(wires, "The resistance of the wires", 0.0, 1e9, "0 or more", "ohm")
    return _volts(supply_voltage) * wires / (_heater_ohms(heater) + wires)


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


@dataclass(frozen=True)
class Part:
    """A resistance between two points.

    Attributes
    ----------
    name : str
        What it is called.
    start, end : str
        The points that it joins.
    resistance : float
        [ohm], 0 or more; inf when open.
    """

    name: str
    start: str
    end: str
    resistance: float


@dataclass(frozen=True)
class Circuit:
    """Parts joined at points, with one source.

    Attributes
    ----------
    parts : tuple of Part
        All there is but the source.
    live, neutral : str
        The points of the source; on direct current plus and minus.
    voltage : float
        Of the source [V], as an effective value on alternating current.
    """

    parts: tuple[Part, ...]
    live: str
    neutral: str
    voltage: float

    def __post_init__(self):
        right = "0 or more, inf when it is open"
        for part in self.parts:
            check_number(part.resistance, f"The resistance of {part.name}", 0.0, _OPEN, right, "ohm")
        _volts(self.voltage, "The source's voltage")
        if len(self._by_name) < len(self.parts):
            raise InputError("Two parts of the circuit have one name; each must have its own.")
        if self.live == self.neutral:
            raise InputError(f"Both ends of the source are at {self.live}; it must stand between two points.")

    @cached_property
    def points(self) -> tuple[str, ...]:
        """The named points, in the order they come up."""
        ends = [self.live, self.neutral, *(end for part in self.parts for end in (part.start, part.end))]
        return tuple(dict.fromkeys(ends))

    @cached_property
    def _by_name(self) -> dict[str, Part]:
        return {part.name: part for part in self.parts}

    @cached_property
    def _unmetered(self) -> dict[str, float]:
        return _levels(self.points, self.parts, self._source)

    @property
    def _source(self) -> dict[str, float]:
        return {self.live: self.voltage, self.neutral: 0.0}

    def part(self, name: str) -> Part:
        """Return the part of that name; InputError if there is none."""
        check_name(name, self._by_name, "The part")
        return self._by_name[name]

    def changed(self, **resistances: float) -> "Circuit":
        """Return the same with other resistances [ohm] of parts, by name with _ for spaces."""
        new = {name.replace("_", " "): value for name, value in resistances.items()}
        changes = {name: replace(self.part(name), resistance=value) for name, value in new.items()}
        return replace(self, parts=tuple(changes.get(part.name, part) for part in self.parts))

    def volts(self, first: str, second: str) -> float:
        """What a voltmeter shows between two points [V], plus where the first is higher."""
        for point in (first, second):
            check_name(point, self.points, "The point")
        meter = Part("meter", first, second, _METER_RESISTANCE)
        levels = _levels(self.points, (*self.parts, meter), self._source)
        return float(levels[first] - levels[second])

    def amps(self, name: str) -> float:
        """Current through a part from its start to its end [A], as a clamp round it shows."""
        part = self.part(name)
        if np.isinf(part.resistance):
            return 0.0
        levels = self._unmetered
        return float((levels[part.start] - levels[part.end]) / max(part.resistance, _LEAST_RESISTANCE))

    def ohms(self, first: str, second: str, lifted: Iterable[str] = ()) -> float:
        """What an ohmmeter shows between two points with the source taken off.

        Parameters
        ----------
        first, second : str
            The points.
        lifted : iterable of str
            Names of parts that are taken off too.

        Returns
        -------
        float
            Resistance [ohm]; inf where a meter shows no connection.
        """
        for point in (first, second):
            check_name(point, self.points, "The point")
        lifted = tuple(lifted)
        for name in lifted:
            check_name(name, self._by_name, "The part")
        parts = [part for part in self.parts if part.name not in lifted]
        if first == second:
            return 0.0
        levels = _levels(self.points, parts, {first: 1.0, second: 0.0})
        current = 0.0
        for part in parts:
            if first in (part.start, part.end) and part.start != part.end and np.isfinite(part.resistance):
                fall = abs(levels[part.start] - levels[part.end])
                current += fall / max(part.resistance, _LEAST_RESISTANCE)
        return float(1.0 / current) if current > 1.0 / _METER_RANGE else _OPEN


def _levels(points, parts, held):
    """Voltage of every point [V]: held ones as given, others by Kirchhoff; 0 for those joined to none."""
    index = {point: number for number, point in enumerate(points)}
    joined = np.zeros((len(points), len(points)))
    around = {point: [] for point in points}
    for part in parts:
        if np.isfinite(part.resistance):
            start, end = index[part.start], index[part.end]
            conductance = 1.0 / max(part.resistance, _LEAST_RESISTANCE)
            joined[start, end] += conductance
            joined[end, start] += conductance
            around[part.start].append(part.end)
            around[part.end].append(part.start)
    values = np.zeros(len(points))
    fixed = [index[point] for point in held]
    values[fixed] = list(held.values())
    free = [index[point] for point in _reached(held, around) if point not in held]
    if free:
        system = np.diag(joined.sum(axis=1)) - joined
        known = joined[np.ix_(free, fixed)] @ values[fixed]
        values[free] = np.linalg.solve(system[np.ix_(free, free)], known)
    return dict(zip(points, values, strict=True))


def _reached(held, around):
    """The points that are joined to the held ones, these included."""
    reached, ahead = dict.fromkeys(held), list(held)
    while ahead:
        for point in around[ahead.pop()]:
            if point not in reached:
                reached[point] = None
                ahead.append(point)
    return reached


def _volts(voltage, what="The voltage"):
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
