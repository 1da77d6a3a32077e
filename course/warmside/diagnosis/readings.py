"""What a technician can measure or see, how far off it may be, and what it takes.

A `Reading` is a quantity with a meter's error, or a look with an honest chance to misjudge. One more is one
entry in `READINGS`, with its minutes, error or confusion in tables (reading_minutes, reading_errors,
reading_confusions), where its title stands too. `Readings` is what was found on one refrigerator; any may be
missing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from warmside.data import load
from warmside.diagnosis.fault_effects import OPEN_CIRCUIT
from warmside.diagnosis.known import (
    Known,
    burner_pressure,
    flame,
    heater_current,
    heater_voltage,
    is_powered,
    wind_against,
)
from warmside.diagnosis.reading import Reading, Truth, in_fahrenheit
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import RATINGS, cubic_feet, nearest, usual_rating
from warmside.model.steady import AMBIENT_RANGE

_MINUTES, _ERRORS = load("reading_minutes"), load("reading_errors")
_CONFUSIONS = load("reading_confusions")
_SHOWN = load("instruments")
_MINUTE = 60.0  # s
ABSENT_BAFFLE = _SHOWN.number("absent_baffle")
"""What a baffle that isn't there counts as in the reading of its gap [m]."""
AMBIENT_ERROR = _ERRORS.number("ambient")
"""Standard deviation of the ambient temperature [K]. Invented."""

_HOT = ("panel_off_running",)
_BEHIND = ("reach_behind",)
_LIVE = ("panel_off_running", "volts_under_load", "battery")
_LIVE_SUPPLY = ("volts_under_load", "battery")
_DEAD = ("reach_behind", "vehicle_mains", "battery", "ohms")
_ELECTRIC = ("mains", "battery")
_FOOD = "38 °F"  # what a cup shows, for example


_DIAL = {
    words: _SHOWN.number(f"dial_{mark}")
    for words, mark in {
        "coldest": "coldest",
        "about half": "half",
        "half": "half",
        "middle": "half",
        "warmest": "warmest",
    }.items()
}


def _state(name: str) -> Truth:
    return lambda known: known.at_mean(f"{name}_temperature")


def _entry(name: str) -> Truth:
    return lambda known: known.situation[name]


def _beyond(entry: str, bounds: str) -> Truth:
    """Return 0, 1 or 2 by which of two bounds are passed, in the direction from the first to the second."""
    return lambda known: _passed(known.situation[entry], bounds)


def _passed(values: np.ndarray, bounds: str) -> np.ndarray:
    first, second = _SHOWN.numbers(bounds)
    sign = 1.0 if first < second else -1.0
    return np.add(sign * values > sign * first, sign * values > sign * second, dtype=float)


def _locked_out(known: Known) -> np.ndarray:
    """Whether the light is lit: the control has its volts, has tried, and saw no flame."""
    return is_powered(known.situation) & (flame(known.situation) <= _SHOWN.numbers("flame_look")[1])


def _reading(name: str, kind: str, truth: Truth, **more: Any) -> Reading:
    entry = _MINUTES.fields[name]
    return Reading(name, entry.meaning, kind, _MINUTES.number(name) / _MINUTE, truth, **more)


def _meter(name, kind, truth, *, step=None, **more):
    step = _SHOWN.number(step or f"{name}_step")
    return _reading(name, kind, truth, error=_ERRORS.number(name), resolution=step, **more)


def _thermometer(name, truth, example="", *, step="thermometer_step", within="thermometer_range", **more):
    lowest, highest = _SHOWN.numbers(within)
    ends = {"lowest": lowest, "highest": highest, "digits": 1, "example": example}
    return _meter(name, "temperature", truth, step=step, **ends, **more)


def _probe(name, truth, example, **more):
    return _thermometer(name, truth, example, step="probe_step", above_ambient=True, **more)


def _tape(name, truth, shows, example, **more):
    more = {"highest": _SHOWN.number("tape_longest")} | more
    return _meter(name, "length", truth, step="tape_step", shows=(shows,), digits=0, example=example, **more)


def _level(name, shows):
    lowest, highest = _SHOWN.numbers("level_range")
    ends = {"lowest": lowest, "highest": highest, "digits": 1, "example": "1 deg"}
    return _meter(name, "angle", _entry(shows), step="level_step", shows=(shows,), **ends)


def _on_log(name, kind, truth, shows, works, heat_sources, **more):
    more = {"lowest_told": _SHOWN.number(f"{name}_least_told")} | more
    if "highest" not in more:
        more["highest"] = _SHOWN.number(f"{name}_highest")
    how = {"scale": "log", "shows": shows, "works": works, "heat_sources": heat_sources}
    return _meter(name, kind, truth, **how, **more)


def _look(name, truth, *shows, **more):
    table = _CONFUSIONS.fields[name]
    return _reading(name, "choice", truth, shows=shows, choices=table.names, confusion=table.value, **more)


_CATALOGUE = (
    _thermometer("cup", lambda known: known.cup, _FOOD, scale="cold", works=("food",)),
    _thermometer("freezer", lambda known: known.freezer, "12 °F", scale="cold"),
    _meter(
        "duty",
        "fraction",
        lambda known: known.duty,
        highest=1.0,
        digits=0,
        example="95 %",
        aliases={"always": 1.0, "all the time": 1.0, "about half": 0.5, "half the time": 0.5, "never": 0.0},
    ),
    _thermometer(
        "setting",
        _entry("setting"),
        "38 °F",
        step="probe_step",
        within="setting_range",
        shows=("setting",),
        aliases=_DIAL,
    ),
    _thermometer("vent_air", _state("inlet_air"), "97 °F", above_ambient=True),
    _probe("condenser_air", _state("condenser_air"), "112 °F", works=_HOT),
    _probe("top_air", _state("pocket_air"), "102 °F", works=_HOT),
    _probe("side_air", _state("side_air"), "97 °F", works=_HOT),
    _probe("boiler", _state("boiler"), "355 °F", works=_HOT),
    _probe("absorber", _state("absorber"), "122 °F", works=_HOT),
    _on_log("supply_voltage", "voltage", _entry("voltage"), ("voltage",), _LIVE_SUPPLY, _ELECTRIC, digits=1),
    _on_log(
        "voltage",
        "voltage",
        lambda known: heater_voltage(known.situation),
        ("voltage", "connection", "fuse", "control_voltage"),
        _LIVE,
        _ELECTRIC,
        digits=1,
    ),
    _on_log(
        "current",
        "current",
        lambda known: heater_current(known.situation),
        ("voltage", "connection", "resistance", "fuse", "control_voltage"),
        _LIVE,
        _ELECTRIC,
    ),
    _on_log(
        "resistance",
        "resistance",
        _entry("resistance"),
        ("resistance",),
        _DEAD,
        _ELECTRIC,
        highest=np.inf,
        words={"open": OPEN_CIRCUIT},
        aliases=dict.fromkeys(("ol", "o.l.", "infinite", "no reading"), OPEN_CIRCUIT),
    ),
    _look("fuse", _entry("fuse"), "fuse", works=_DEAD, heat_sources=_ELECTRIC),
    _on_log(
        "gas_pressure",
        "pressure_gauge",
        lambda known: burner_pressure(known.situation),
        ("gas_pressure", "control_voltage"),
        ("gas_work",),
        ("gas",),
        digits=1,
        example="11 in w.c.",
    ),
    _look("gas_supply", _entry("gas_supply"), "gas_supply", heat_sources=("gas",)),
    _look(
        "flame",
        lambda known: _passed(flame(known.situation), "flame_look"),
        *("burner", "gas_pressure", "spark", "control_voltage"),
        works=_HOT,
        heat_sources=("gas",),
    ),
    _look("spark", _entry("spark"), "spark", works=_HOT, heat_sources=("gas",)),
    _look(
        "lockout",
        _locked_out,
        *("burner", "gas_pressure", "spark", "control_voltage"),
        heat_sources=("gas",),
    ),
    _look(
        "flue_baffle",
        lambda known: known.situation["flue_baffle"] < _SHOWN.number("flue_baffle_there"),
        "flue_baffle",
        works=("reach_behind", "gas_work"),
        heat_sources=("gas",),
    ),
    _on_log(
        "control_voltage",
        "voltage",
        _entry("control_voltage"),
        ("control_voltage",),
        _HOT,
        ("mains", "gas"),
        digits=1,
        example="12.6 V",
    ),
    _look("sensor", _entry("sensor"), "sensor"),
    _look("control", _entry("control"), "control"),
    _level("side_level", "side_tilt"),
    _level("front_level", "front_tilt"),
    _tape(
        "top_gap",
        lambda known: known.situation["pocket_opening"] / known.width,
        "pocket_opening",
        "0 in",
        works=_BEHIND,
    ),
    _tape("side_gap", _entry("side_gap"), "side_gap", "1/4 in", works=_BEHIND),
    _tape("rear_gap", _entry("rear_gap"), "rear_gap", "1 in", works=_BEHIND),
    _tape(
        "baffle_gap",
        lambda known: np.minimum(known.situation["baffle_gap"], ABSENT_BAFFLE),
        "baffle_gap",
        "3/8 in",
        highest=np.inf,
        works=_BEHIND,
        words={"none": ABSENT_BAFFLE},
        aliases=dict.fromkeys(("missing", "no baffle", "gone"), ABSENT_BAFFLE),
    ),
    _look("lower_vent_look", _beyond("lower_vent_blocked", "vent_looks"), "lower_vent_blocked"),
    _look(
        "upper_vent_look", _beyond("upper_vent_blocked", "vent_looks"), "upper_vent_blocked", works=("roof",)
    ),
    _look(
        "wind",
        lambda known: wind_against(known.situation) > _SHOWN.number("wind_felt"),
        "wind_pressure",
    ),
    _look("fan", _entry("fan_state"), "fan_state", works=("panel_off_running", "fans")),
    _look("fins", _beyond("fin_fouling", "fins_look"), "fin_fouling", works=_BEHIND),
    _look(
        "jacket",
        lambda known: known.situation["boiler_insulation"] < _SHOWN.number("jacket_open"),
        "boiler_insulation",
        works=("reach_behind", "mineral_wool"),
    ),
    _look(
        "seal",
        lambda known: known.situation["door_seal"] > _SHOWN.number("seal_slips"),
        "door_seal",
    ),
    _look("load", _entry("food_place"), "food_place"),
    _look("frost", _beyond("frost", "frost_look"), "frost"),
    _probe(
        "panel_off_air",
        lambda known: known.panel_off("condenser_air_temperature"),
        "112 °F",
        works=_HOT,
    ),
    _thermometer("quiet_night_cup", lambda known: known.quiet_night_cup, _FOOD, scale="cold"),
    _thermometer(
        "cup_on_gas",
        lambda known: known.cup_on_other_source,
        _FOOD,
        scale="cold",
        works=("running_on_gas", "food"),
        heat_sources=_ELECTRIC,
    ),
    _thermometer(
        "cup_on_mains",
        lambda known: known.cup_on_other_source,
        _FOOD,
        scale="cold",
        works=("food",),
        heat_sources=("gas",),
    ),
)
READINGS: dict[str, Reading] = {reading.name: reading for reading in _CATALOGUE}


def column(name: str) -> int:
    """Return the column of a reading in a bank's readings, which stand in the order of `READINGS`."""
    return list(READINGS).index(name)


def readable(heat_source: str) -> tuple[str, ...]:
    """Return the names of the readings that can be taken with a heat source."""
    return tuple(name for name, reading in READINGS.items() if heat_source in reading.heat_sources)


@dataclass(frozen=True, eq=False)
class Readings:
    """What was found on one refrigerator.

    Attributes
    ----------
    size, heat_source, rating : str
        As in `Installation`; the rating that is usual for the size where none is given.
    ambient : float
        Air temperature outside at the hours of the readings [K].
    values : mapping of str to float or str
        By name of the reading: a number [SI] or one of its choices.
    running : float or None
        How long it had run when cup and freezer were read [s]; None where nobody said.

    Raises
    ------
    InputError
        One sentence that names the reading, and what would be right.
    """

    size: str
    heat_source: str
    ambient: float
    values: Mapping[str, float | str] = field(default_factory=dict)
    rating: str = ""
    running: float | None = None

    def __post_init__(self):
        cubic_feet(self.size, "size of the readings")
        object.__setattr__(self, "rating", self.rating or usual_rating(self.size))
        for what, given, allowed in (
            ("rating", self.rating, RATINGS),
            ("heat_source", self.heat_source, HEAT_SOURCES),
        ):
            if given not in allowed:
                raise InputError(
                    f"{what} of the readings is {given!r}; it must be one of {', '.join(allowed)}."
                )
        lowest, highest = AMBIENT_RANGE
        number = isinstance(self.ambient, int | float | np.floating) and not isinstance(self.ambient, bool)
        if not (number and lowest <= self.ambient <= highest):
            raise InputError(
                f"ambient of the readings is {self.ambient!r}; it must be a temperature from {lowest:g} to "
                f"{highest:g} K."
            )
        checked: dict[str, float | str] = {}
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
        return replace(self, values={**self.values, **values})

    def only(self, names: Iterable[str]) -> "Readings":
        """Return those of these names alone."""
        kept = {name: value for name, value in self.values.items() if name in set(names)}
        return replace(self, values=kept)

    @property
    def like(self) -> str:
        """The calibrated size that is most like this one: whose simulated cases it is compared with."""
        return nearest(self.size, self.rating)

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of the readings that could still be taken."""
        return tuple(name for name in readable(self.heat_source) if name not in self.values)


def from_text(name: str, text: str) -> float | str:
    """Read a reading as people write it; see `Reading.from_text`.

    Raises
    ------
    InputError
        One sentence, if there is no such reading, or the text isn't one.
    """
    if name not in READINGS:
        raise InputError(f"There is no reading “{name}”; there are {', '.join(READINGS)}.")
    return READINGS[name].from_text(text)


def as_text(name: str, value: float | str, system: str = "US") -> str:
    """Return a reading as people write it; see `Reading.as_text`."""
    return READINGS[name].as_text(value, system)


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
        name: _ambient(float(value), random) if name == "ambient" else READINGS[name].measured(value, random)
        for name, value in true_values.items()
    }


def _ambient(value: float, random: np.random.Generator) -> float:
    return in_fahrenheit(value + AMBIENT_ERROR * random.standard_normal(), _SHOWN.number("ambient_step"))
