"""What a technician can measure or see, how far off it may be, and what it takes.

A `Reading` is a quantity with a meter's error, or a look with an honest chance to misjudge. Errors, chances
and minutes are invented, of the size that common practice holds. `Readings` is what was found on one
refrigerator; any may be missing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

import numpy as np

from warmside.diagnosis import fault_effects
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES, SIZES
from warmside.model.steady import AMBIENT_RANGE
from warmside.units import from_si, read_quantity, show, to_si

ABSENT_BAFFLE = 0.15
"""What a baffle that isn't there counts as in the reading of its gap [m]."""
_ZERO_FAHRENHEIT = 255.3722222  # K; thermometers round from there
_FAHRENHEIT = 1 / 1.8  # K
_COLD_ENOUGH = 285.0  # K; a compartment above that hardly cools, and how much above says little
_LITTLE = 0.15


@dataclass(frozen=True, eq=False)
class Reading:
    """One thing to measure or to look at.

    Attributes
    ----------
    name, title : str
        What code and what the trade call it.
    kind : str
        A kind of `warmside.units.KINDS`, or "choice".
    minutes : float
        Work that it takes, with what waiting keeps one from other work. Invented.
    caution : str
        What can hurt; empty where nothing does.
    choices : tuple of str
        What a look may find; empty for a quantity.
    confusion : numpy.ndarray
        Chance to report each choice (columns) where another is true (rows). Invented.
    error : float
        Standard deviation of the meter and of where it is held [SI], or as a fraction where `scale` is
        "log". Invented.
    resolution : float
        Step that the meter shows [SI].
    lowest, highest : float
        Between which a value makes sense [SI].
    scale : str
        On which values are compared: "linear"; "log", with `lowest_told` as the least that the meter tells
        from nothing; "cold", which tells little between compartments that hardly cool.
    above_ambient : bool
        Whether it is compared as its rise above the ambient.
    shows : tuple of str
        Entries of a situation that it shows by itself, whatever the unit does with them; empty where it
        shows what the unit makes of everything.
    heat_sources : tuple of str
        With which it can be taken.
    """

    name: str
    title: str
    kind: str
    minutes: float
    caution: str = ""
    choices: tuple[str, ...] = ()
    confusion: np.ndarray | None = None
    error: float = 0.0
    resolution: float = 0.0
    lowest: float = 0.0
    highest: float = 0.0
    scale: str = "linear"
    lowest_told: float = 0.0
    above_ambient: bool = False
    shows: tuple[str, ...] = ()
    heat_sources: tuple[str, ...] = HEAT_SOURCES

    def compared(self, values: np.ndarray, ambient: np.ndarray) -> np.ndarray:
        """Return values [SI] on the scale on which they are compared."""
        if self.above_ambient:
            return values - ambient
        if self.scale == "log":
            return np.log(np.maximum(values, self.lowest_told))
        if self.scale == "cold":
            return np.minimum(values, _COLD_ENOUGH + _LITTLE * (values - _COLD_ENOUGH))
        return values

    def check(self, value: Any) -> float | str:
        """Return a value as it is kept: a number [SI], or one of the choices.

        Raises
        ------
        InputError
            One sentence, if it is neither.
        """
        if self.choices:
            if value not in self.choices:
                raise InputError(
                    f"{self.name} of the readings is {value!r}; it must be one of {', '.join(self.choices)}."
                )
            return value
        if isinstance(value, bool) or not isinstance(value, int | float | np.floating | np.integer):
            raise InputError(f"{self.name} of the readings is {value!r}; it must be a number, in SI units.")
        if not self.lowest <= value <= self.highest:
            raise InputError(
                f"{self.name} of the readings is {value:.6g}; it must be from {self.lowest:g} to "
                f"{self.highest:g}, in SI units (K, V, A, ohm, Pa, m, rad or a fraction)."
            )
        return float(value)


_HOT = "Tubes come near 200 °C: no skin, no sleeves."
_MAINS = "Live mains: licensed people only; unplug and prove dead before you touch."
_GAS = "Gas: no flame when it smells; measuring pressure is for a qualified gas technician."
_FLAME = "Burner running: hot, and no face at the port."
_ROOF = "Ladder and roof edge."
_ELECTRIC = ("mains", "battery")
_SOLUTION = "Where it smells of ammonia: leave, air, and shut off heat and power; open nothing."


def _thermometer(name, title, minutes, error, *, half_degrees=1, caution="", **more):
    return Reading(
        name,
        title,
        "temperature",
        minutes,
        caution,
        error=error,
        resolution=half_degrees * _FAHRENHEIT / 2.0,
        lowest=230.0,
        highest=620.0,
        **more,
    )


def _tape(name, title, minutes, error, shows, highest=2.0, **more):
    step = 0.0254 / 16
    return Reading(
        name,
        title,
        "length",
        minutes,
        error=error,
        resolution=step,
        highest=highest,
        shows=shows,
        **more,
    )


def _look(name, title, minutes, choices, confusion, shows, caution="", **more):
    table = np.array(confusion, dtype=float)
    table.flags.writeable = False
    return Reading(name, title, "choice", minutes, caution, choices, table, shows=shows, **more)


_VENT = ("open", "partly shut", "mostly shut")

READINGS: Mapping[str, Reading] = MappingProxyType(
    {
        reading.name: reading
        for reading in (
            _thermometer("cup", "Cup of water in the food compartment, after a day", 10, 0.5, scale="cold"),
            _thermometer("freezer", "Freezer", 5, 0.7, scale="cold"),
            Reading(
                "duty",
                "Part of the time that it runs",
                "fraction",
                15,
                error=0.06,
                resolution=0.05,
                highest=1.0,
            ),
            Reading(
                "setting",
                "What the control is set to hold",
                "temperature",
                1,
                error=0.6,
                resolution=_FAHRENHEIT,
                lowest=250.0,
                highest=300.0,
                shows=("setting",),
            ),
            _thermometer("vent_air", "Air at the lower vent", 3, 0.6, above_ambient=True),
            _thermometer(
                "condenser_air",
                "Air just below the condenser",
                10,
                1.0,
                caution=_HOT,
                half_degrees=2,
                above_ambient=True,
            ),
            _thermometer("top_air", "Air over the top", 8, 1.0, half_degrees=2, above_ambient=True),
            _thermometer("side_air", "Air at the side", 8, 0.8, half_degrees=2, above_ambient=True),
            _thermometer("boiler", "Boiler", 10, 4.0, caution=_HOT, half_degrees=2, above_ambient=True),
            _thermometer("absorber", "Absorber", 8, 1.5, caution=_HOT, half_degrees=2, above_ambient=True),
            Reading(
                "voltage",
                "Volts at the heater's supply, under load",
                "voltage",
                8,
                _MAINS,
                error=0.008,
                resolution=0.1,
                highest=300.0,
                scale="log",
                lowest_told=1.0,
                shows=("voltage",),
                heat_sources=_ELECTRIC,
            ),
            Reading(
                "current",
                "Amperes of the heater",
                "current",
                6,
                _MAINS,
                error=0.025,
                resolution=0.01,
                highest=100.0,
                scale="log",
                lowest_told=0.05,
                shows=("voltage", "resistance", "fuse"),
                heat_sources=_ELECTRIC,
            ),
            Reading(
                "resistance",
                "Ohms of the heater, cold and isolated",
                "resistance",
                10,
                _MAINS,
                error=0.02,
                resolution=0.01,
                highest=np.inf,
                scale="log",
                lowest_told=0.05,
                shows=("resistance",),
                heat_sources=_ELECTRIC,
            ),
            _look(
                "fuse",
                "Heater's fuse: continuity and marking",
                4,
                ("good", "open", "wrong kind"),
                [[0.97, 0.01, 0.02], [0.01, 0.99, 0.0], [0.08, 0.0, 0.92]],
                ("fuse",),
                _MAINS,
                heat_sources=_ELECTRIC,
            ),
            Reading(
                "gas_pressure",
                "Gas pressure under load",
                "pressure_gauge",
                15,
                _GAS,
                error=0.025,
                resolution=249.0889 / 10,
                highest=20_000.0,
                scale="log",
                lowest_told=50.0,
                shows=("gas_pressure",),
                heat_sources=("gas",),
            ),
            _look(
                "flame",
                "Flame",
                3,
                ("steady blue", "weak or yellow", "out"),
                [[0.92, 0.08, 0.0], [0.20, 0.79, 0.01], [0.0, 0.01, 0.99]],
                ("burner",),
                _FLAME,
                heat_sources=("gas",),
            ),
            Reading(
                "side_level",
                "Level, side to side",
                "angle",
                2,
                error=float(np.radians(0.4)),
                resolution=float(np.radians(0.1)),
                lowest=-0.6,
                highest=0.6,
                shows=("side_tilt",),
            ),
            Reading(
                "front_level",
                "Level, front to back",
                "angle",
                2,
                error=float(np.radians(0.4)),
                resolution=float(np.radians(0.1)),
                lowest=-0.6,
                highest=0.6,
                shows=("front_tilt",),
            ),
            _tape("top_gap", "Opening over the top", 8, 0.006, ("pocket_opening",)),
            _tape("side_gap", "Gap at the sides", 5, 0.0012, ("side_gap",)),
            _tape("rear_gap", "Gap behind the tubes", 6, 0.003, ("rear_gap",)),
            _tape(
                "baffle_gap",
                "Gap from the baffle to the fins",
                8,
                0.003,
                ("baffle_gap",),
                highest=np.inf,
                caution=_HOT,
            ),
            _look(
                "lower_vent_look",
                "Look at the lower vent",
                3,
                _VENT,
                [[0.94, 0.05, 0.01], [0.14, 0.76, 0.10], [0.03, 0.17, 0.80]],
                ("lower_vent_blocked",),
            ),
            _look(
                "upper_vent_look",
                "Look at the upper vent or roof outlet",
                10,
                _VENT,
                [[0.93, 0.06, 0.01], [0.28, 0.62, 0.10], [0.14, 0.22, 0.64]],
                ("upper_vent_blocked",),
                _ROOF,
            ),
            _look(
                "fan",
                "Fan",
                4,
                ("none fitted", "blows up", "stopped", "blows down"),
                [
                    [0.996, 0.0, 0.004, 0.0],
                    [0.0, 0.97, 0.0, 0.03],
                    [0.02, 0.0, 0.98, 0.0],
                    [0.0, 0.15, 0.0, 0.85],
                ],
                ("fan_state",),
                "Fingers and sleeves away from the blades.",
            ),
            _look(
                "fins",
                "Look at the condenser's fins",
                6,
                ("clean", "dusty", "matted"),
                [[0.88, 0.11, 0.01], [0.12, 0.74, 0.14], [0.02, 0.18, 0.80]],
                ("fin_fouling",),
                _HOT,
            ),
            _look(
                "seal",
                "Slip test of the door's seal",
                4,
                ("grips", "slips"),
                [[0.94, 0.06], [0.12, 0.88]],
                ("door_seal",),
            ),
            _look(
                "load",
                "Look into the food compartment",
                1,
                ("usual", "heavy", "against the fins"),
                [[0.88, 0.09, 0.03], [0.25, 0.65, 0.10], [0.15, 0.10, 0.75]],
                ("food_place",),
            ),
            _look(
                "frost",
                "Frost on the food compartment's fins",
                1,
                ("none", "thin", "thick"),
                [[0.93, 0.07, 0.0], [0.12, 0.80, 0.08], [0.01, 0.14, 0.85]],
                ("frost",),
            ),
            _look(
                "residue",
                "Ammonia smell or yellow residue",
                2,
                ("none", "smell", "yellow residue"),
                [[0.98, 0.015, 0.005], [0.25, 0.75, 0.0], [0.10, 0.10, 0.80]],
                ("residue",),
                _SOLUTION,
            ),
            _thermometer(
                "panel_off_air",
                "Air just below the condenser, half an hour after the lower vent was taken off",
                35,
                1.0,
                caution=_HOT,
                half_degrees=2,
                above_ambient=True,
            ),
            _thermometer(
                "quiet_night_cup",
                "Cup after a night without openings or warm food",
                20,
                0.5,
                scale="cold",
            ),
        )
    }
)
AMBIENT_ERROR = 0.5
"""Standard deviation of the ambient temperature [K]. Invented."""


def readable(heat_source: str) -> tuple[str, ...]:
    """Return the names of the readings that can be taken with a heat source."""
    return tuple(name for name, reading in READINGS.items() if heat_source in reading.heat_sources)


@dataclass(frozen=True, eq=False)
class Readings:
    """What was found on one refrigerator.

    Attributes
    ----------
    size, heat_source : str
        As in `Installation`.
    ambient : float
        Air temperature outside at the hours of the readings [K].
    values : mapping of str to float or str
        By name of the reading: a number [SI] or one of its choices.

    Raises
    ------
    InputError
        One sentence that names the reading, and what would be right.
    """

    size: str
    heat_source: str
    ambient: float
    values: Mapping[str, float | str] = field(default_factory=dict)

    def __post_init__(self):
        for name, value, allowed in (
            ("size", self.size, SIZES),
            ("heat_source", self.heat_source, HEAT_SOURCES),
        ):
            if value not in allowed:
                raise InputError(
                    f"{name} of the readings is {value!r}; it must be one of {', '.join(allowed)}."
                )
        lowest, highest = AMBIENT_RANGE
        number = isinstance(self.ambient, int | float | np.floating) and not isinstance(self.ambient, bool)
        if not (number and lowest <= self.ambient <= highest):
            raise InputError(
                f"ambient of the readings is {self.ambient!r}; it must be a temperature from {lowest:g} to "
                f"{highest:g} K."
            )
        checked = {}
        for name, value in self.values.items():
            if name not in READINGS:
                raise InputError(f"There is no reading “{name}”; there are {', '.join(READINGS)}.")
            reading = READINGS[name]
            if self.heat_source not in reading.heat_sources:
                raise InputError(
                    f"{name} was read on {self.heat_source}; it is a reading on "
                    f"{' or '.join(reading.heat_sources)}."
                )
            checked[name] = reading.check(value)
        object.__setattr__(self, "values", MappingProxyType(checked))

    def adding(self, **values: float | str) -> "Readings":
        """Return these with others added, or in place of earlier ones."""
        return Readings(self.size, self.heat_source, self.ambient, {**self.values, **values})

    def only(self, names: Iterable[str]) -> "Readings":
        """Return those of these names alone."""
        kept = {name: value for name, value in self.values.items() if name in set(names)}
        return Readings(self.size, self.heat_source, self.ambient, kept)

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of the readings that could still be taken."""
        return tuple(name for name in readable(self.heat_source) if name not in self.values)


def from_text(name: str, text: str) -> float | str:
    """Read a reading as people write it, such as ``"41 °F"``, ``"44 ohm"`` or ``"mostly shut"``.

    A baffle that isn't there is ``"none"``, a heater that is open ``"open"``.

    Raises
    ------
    InputError
        One sentence, if there is no such reading, or the text isn't one.
    """
    if name not in READINGS:
        raise InputError(f"There is no reading “{name}”; there are {', '.join(READINGS)}.")
    reading, said = READINGS[name], str(text).strip().lower()
    if (name, said) in _SAID:
        return _SAID[name, said]
    if reading.choices:
        return reading.check(said)
    return reading.check(to_si(read_quantity(text, reading.kind), reading.kind))


def words_for(name: str) -> tuple[str, ...]:
    """Return the words that stand for a value of a reading which is otherwise a number, such as "open"."""
    return tuple(word for of, word in _SAID if of == name)


def as_text(name: str, value: float | str, system: str = "US") -> str:
    """Return a reading as people write it, which `from_text` reads back.

    Parameters
    ----------
    name : str
        Of the reading.
    value : float or str
        A number [SI], or one of its choices.
    system : {"US", "SI"}
        Units to show it in: ``"38.5 °F"`` and ``"1 5/16 in"``, or ``"3.6 °C"`` and ``"33 mm"``.
    """
    reading = READINGS[name]
    if reading.choices:
        return str(value)
    for (of, said), least in _SAID.items():
        if of == name and value >= least:
            return said
    if reading.kind == "length" and system == "US":
        return _sixteenths(value)
    digits = {"temperature": 1, "fraction": 0, "angle": 1, "voltage": 1, "pressure_gauge": 1, "length": 0}
    return show(from_si(value, reading.kind), system, kind=reading.kind, digits=digits.get(reading.kind, 2))


def _sixteenths(metres: float) -> str:
    whole, rest = divmod(round(metres / 0.0254 * 16), 16)
    parts = 16
    while rest and rest % 2 == 0:
        rest, parts = rest // 2, parts // 2
    fraction = f"{rest}/{parts}" if rest else ""
    return f"{' '.join(part for part in (str(whole) if whole or not rest else '', fraction) if part)} in"


_SAID = {("baffle_gap", "none"): ABSENT_BAFFLE, ("resistance", "open"): fault_effects.OPEN_CIRCUIT}


def measure(true_values: Mapping[str, float | str], random: np.random.Generator) -> dict[str, float | str]:
    """Read as people and meters do: with error, and in the steps that the meter shows.

    Parameters
    ----------
    true_values : mapping of str to float or str
        By name of the reading; "ambient" [K] may be among them.
    random : numpy.random.Generator
        Where errors are drawn from.

    Returns
    -------
    dict of str to float or str
    """
    return {
        name: _ambient(value, random) if name == "ambient" else _measured(READINGS[name], value, random)
        for name, value in true_values.items()
    }


def _ambient(value, random):
    return _rounded(value + AMBIENT_ERROR * random.standard_normal(), _FAHRENHEIT / 2.0, _ZERO_FAHRENHEIT)


def _measured(reading, value, random):
    if reading.choices:
        chances = reading.confusion[reading.choices.index(value)]
        return reading.choices[int(random.choice(len(chances), p=chances))]
    if reading.name == "resistance" and value >= fault_effects.OPEN_CIRCUIT:
        return fault_effects.OPEN_CIRCUIT
    if reading.name == "baffle_gap" and value >= ABSENT_BAFFLE:
        return ABSENT_BAFFLE
    error = reading.error * random.standard_normal()
    read = value * np.exp(error) if reading.scale == "log" else value + error
    zero = _ZERO_FAHRENHEIT if reading.kind == "temperature" else 0.0
    return float(np.clip(_rounded(read, reading.resolution, zero), reading.lowest, reading.highest))


def _rounded(value, step, zero):
    return float(zero + step * np.round((value - zero) / step))
