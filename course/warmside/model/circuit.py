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

import numpy as np
from numpy.typing import ArrayLike
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from warmside.data import load
from warmside.errors import InputError
from warmside.properties.metals import REFERENCE_TEMPERATURE, copper_resistivity

_WIRE = load("wire")
_METER_RESISTANCE = 10e6  # ohm; of a usual voltmeter, so that loose ends read nothing
_METER_RANGE = 40e6  # ohm; more than that an ohmmeter shows as open
_LEAST_RESISTANCE = 1e-4  # ohm; as good as a joint gets
_THICKEST, _THINNEST = 0, 40
_LONGEST_WIRE = 1000.0  # m
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
    gauge = np.asarray(gauge, dtype=float)
    if not np.all((gauge >= _THICKEST) & (gauge <= _THINNEST)):
        raise InputError(
            f"The wire's gauge is {_first_outside(gauge, _THICKEST, _THINNEST):g}; it must be a number "
            "from "
            f"{_THICKEST} to {_THINNEST}, such as 14."
        )
    diameter = _WIRE["gauge_36_diameter"] * _WIRE["gauge_ratio"] ** ((36.0 - gauge) / 39.0)
    return np.pi / 4.0 * diameter**2


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
        Of the wire [K].
    stranded : bool, optional
        Whether it is of strands, which are laid in a spiral and so a little longer than the wire.

    Returns
    -------
    numpy.ndarray
        Resistance [ohm].

    Raises
    ------
    InputError
        If area or length is no length or area of a wire.
    """
    area, length = np.asarray(area, dtype=float), np.asarray(length, dtype=float)
    if not np.all((area > 1e-9) & (area < 1e-3)):
        raise InputError(
            f"The wire's area is {_first_outside(area * 1e6, 1e-3, 1e3):g} mm²; it must be an area of "
            "copper "
            "from 0.001 to 1000 mm²."
        )
    if not np.all((length >= 0.0) & (length <= _LONGEST_WIRE)):
        raise InputError(
            f"The wire's length is {_first_outside(length, 0.0, _LONGEST_WIRE):g} m; it must be from 0 to "
            f"{_LONGEST_WIRE:g} m, there and back."
        )
    lay = _WIRE["stranded_factor"] if stranded else 1.0
    return copper_resistivity(temperature) * lay * length / area


def heater_power(voltage: ArrayLike, resistance: ArrayLike) -> np.ndarray:
    """Heat of a heater [W] with a voltage [V] across its resistance [ohm, more than 0, inf when open]."""
    return np.square(voltage) / _checked_resistance(resistance)


def heater_current(voltage: ArrayLike, resistance: ArrayLike) -> np.ndarray:
    """Current of a heater [A] with a voltage [V] across its resistance [ohm, more than 0, inf when "
    "open]."""
    return np.asarray(voltage) / _checked_resistance(resistance)


def in_parallel(resistances: ArrayLike) -> np.ndarray:
    """Resistance of several side by side, along the last axis [ohm]; inf where all are open."""
    with np.errstate(divide="ignore"):
        return 1.0 / np.sum(1.0 / _checked_resistance(resistances), axis=-1)


def voltage_drop(supply_voltage: ArrayLike, heater: ArrayLike, wires: ArrayLike) -> np.ndarray:
    """Part of the supply voltage that wires and joints take.

    Parameters
    ----------
    supply_voltage : array_like
        At the source, under load [V].
    heater, wires : array_like
        Resistances of the heater and of all wires and joints, there and back [ohm].

    Returns
    -------
    numpy.ndarray
        What is lost on the way [V].
    """
    return np.multiply(supply_voltage, wires) / np.add(_checked_resistance(heater), wires)


def hours_on_battery(
    charge: ArrayLike, current: ArrayLike, usable: float = 0.5, other_current: ArrayLike = 0.0
) -> np.ndarray:
    """How long a battery lasts that nothing charges.

    Parameters
    ----------
    charge : array_like
        Of the full battery, as printed on it [A s].
    current : array_like
        Of the heater [A].
    usable : float, optional
        Fraction of the charge that may be used; half spares a lead battery (common practice, no source).
    other_current : array_like, optional
        Of all else that is on [A].

    Returns
    -------
    numpy.ndarray
        Time [s], from full; a lead battery that gives so much so quickly lasts shorter.
    """
    return np.multiply(charge, usable) / np.add(current, other_current)


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
        for part in self.parts:
            if not part.resistance >= 0.0:
                raise InputError(
                    f"The resistance of {part.name} is {part.resistance:g} ohm; it must be 0 or more."
                )
        if not (np.isfinite(self.voltage) and self.voltage >= 0.0):
            raise InputError(f"The source's voltage is {self.voltage:g} V; it must be 0 or more.")

    @property
    def points(self) -> tuple[str, ...]:
        """The named points, in the order they come up."""
        ends = [self.live, self.neutral, *(end for part in self.parts for end in (part.start, part.end))]
        return tuple(dict.fromkeys(ends))

    def part(self, name: str) -> Part:
        """Return the part of that name; KeyError if there is none."""
        return {part.name: part for part in self.parts}[name]

    def changed(self, **resistances: float) -> "Circuit":
        """Return the same with other resistances [ohm] of parts, by name with _ for spaces."""
        by_name = {name.replace("_", " "): value for name, value in resistances.items()}
        parts = (
            replace(part, resistance=by_name[part.name]) if part.name in by_name else part
            for part in self.parts
        )
        return replace(self, parts=tuple(parts))

    def volts(self, first: str, second: str) -> float:
        """What a voltmeter shows between two points [V], plus where the first is higher."""
        meter = Part("meter", first, second, _METER_RESISTANCE)
        levels = _levels(self.points, (*self.parts, meter), {self.live: self.voltage, self.neutral: 0.0})
        return float(levels[first] - levels[second])

    def amps(self, name: str) -> float:
        """Current through a part from its start to its end [A], as a clamp round it shows."""
        part = self.part(name)
        if np.isinf(part.resistance):
            return 0.0
        levels = _levels(self.points, self.parts, {self.live: self.voltage, self.neutral: 0.0})
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
        lifted = set(lifted)
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
    """Voltage of every point [V]: held ones as given, the others by Kirchhoff; those joined to none are "
    "0."""
    index = {point: number for number, point in enumerate(points)}
    closed = [part for part in parts if np.isfinite(part.resistance)]
    starts, ends = (np.array([index[end] for end in side], dtype=int) for side in _ends(closed))
    conductances = np.array([1.0 / max(part.resistance, _LEAST_RESISTANCE) for part in closed])
    count = len(points)
    both = (np.r_[starts, ends], np.r_[ends, starts])
    joined = coo_array((np.r_[conductances, conductances], both), shape=(count, count)).toarray()
    _, group = connected_components(joined, directed=False)
    fixed = np.array([index[point] for point in held])
    values = np.zeros(count)
    values[fixed] = list(held.values())
    free = np.array([n for n in range(count) if n not in fixed and group[n] in group[fixed]], dtype=int)
    if free.size:
        system = np.diag(joined.sum(axis=1)) - joined
        values[free] = np.linalg.solve(
            system[np.ix_(free, free)], joined[np.ix_(free, fixed)] @ values[fixed]
        )
    return dict(zip(points, values, strict=True))


def _ends(parts):
    return [part.start for part in parts], [part.end for part in parts]


def _checked_resistance(resistance):
    resistance = np.asarray(resistance, dtype=float)
    if not np.all(resistance > 0.0):
        raise InputError(
            f"The heater's resistance is {_first_outside(resistance, np.nextafter(0, 1), np.inf):g} ohm; "
            "it "
            "must be more than 0."
        )
    return resistance


def _first_outside(values, lowest, highest):
    values = np.atleast_1d(values)
    return float(values[~((values >= lowest) & (values <= highest))].flat[0])
