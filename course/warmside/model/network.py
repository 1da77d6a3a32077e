"""A circuit as a network of resistances, and what a meter shows between any two points of it.

A `Circuit` is a list of `Part`, each a resistance between two named points, and one source. Its voltages
come from Kirchhoff's laws, solved as one set of linear equations. A part that is open has a resistance of
inf.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from warmside.data import load
from warmside.errors import InputError
from warmside.model.checks import check_name, check_number
from warmside.model.circuit import check_volts

_WIRE = load("wire").number
_METER_RESISTANCE, _METER_RANGE = _WIRE("meter_resistance"), _WIRE("meter_range")
_LEAST_RESISTANCE = _WIRE("least_resistance")
_OPEN = np.inf


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
        check_volts(self.voltage, "The source's voltage")
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


def _levels(points: Collection[str], parts: Iterable[Part], held: Mapping[str, float]) -> dict[str, float]:
    """Voltage of every point [V]: held ones as given, others by Kirchhoff; 0 for those joined to none."""
    index = {point: number for number, point in enumerate(points)}
    joined = np.zeros((len(points), len(points)))
    around: dict[str, list[str]] = {point: [] for point in points}
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


def _reached(held: Iterable[str], around: Mapping[str, list[str]]) -> dict[str, None]:
    """The points that are joined to the held ones, these included."""
    reached, ahead = dict.fromkeys(held), list(held)
    while ahead:
        for point in around[ahead.pop()]:
            if point not in reached:
                reached[point] = None
                ahead.append(point)
    return reached
