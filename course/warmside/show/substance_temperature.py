"""The substance-temperature test: a cup of water in a refrigerator over a day, and what comes of it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from warmside.data import load
from warmside.model.cabinet import Thermostat
from warmside.model.cup import cup_conductance, cup_heat_capacity, time_constant
from warmside.model.cup import cup_temperature as lumped_cup
from warmside.model.defrost import TimedDefrost
from warmside.model.ensemble import plausible
from warmside.model.installation import Installation
from warmside.model.running import CupTest as Ran
from warmside.model.running import cup_test
from warmside.units import read_quantity, to_si

HOURS = 24
SIZE = "8 cu ft"
SETTLED = 0.5 / 1.8  # K; of the start, what a household thermometer doesn't show
_LAST_HOURS = 6  # over which the air's mean is taken
_NEVER_REACHED = 0.0  # K; a setting at which the unit runs all the time
_MINUTE = 60.0


@dataclass(frozen=True)
class Limit:
    """A temperature that people hold a refrigerator against.

    Attributes
    ----------
    temperature : float
        In K.
    short, meaning, source : str
        A few words for a picture; what it is for; who says so.
    published : bool
        Whether there is a published source.
    """

    temperature: float
    short: str
    meaning: str
    source: str
    published: bool


# The two texts of the US Food and Drug Administration were read as other public pages quote them (a state
# code that takes over the Food Code; a page on refrigerators), not in the original.
LIMITS = (
    Limit(
        load("ratings").in_column("food_limit", "T"),
        "43 °F appliance rating",
        "What the food compartment should hold at the rated ambient: 110 °F for eight cubic feet and more, "
        "90 °F for six.",
        "common practice, no source",
        False,
    ),
    Limit(
        load("limits").number("food_code"),
        "41 °F rule for food sellers",
        "Cold holding of food that spoils, for those who sell it.",
        "US Food and Drug Administration, Food Code, 3-501.16(A)(2)",
        True,
    ),
    Limit(
        load("limits").number("consumer_refrigerator"),
        "40 °F advice for homes",
        "Refrigerators at home: 40 °F or colder. Freezers: 0 °F.",
        "US Food and Drug Administration, Refrigerator Thermometers: Cold Facts about Food Safety",
        True,
    ),
)
RATING = LIMITS[0].temperature
"""What the cup is held against in this lab [K]."""

_HOUR = 3600.0
DOORS: dict[str, tuple[tuple[float, float], ...]] = {
    "kept shut": (),
    "opened once an hour": tuple((hour * _HOUR, 30.0) for hour in range(1, 14)),
    "a busy day": tuple((hour * _HOUR / 2, 60.0) for hour in range(1, 28)),
    "left open five minutes": ((10 * _HOUR, 300.0),),
}
"""When the door is opened after the cup was put in, and for how long [s], by what people read. Invented."""

DEFROSTS: dict[str, TimedDefrost | None] = {
    "none": None,
    "two hours from 2 am": TimedDefrost(18 * _HOUR, 24 * _HOUR, 2 * _HOUR),
    "two hours from 4 pm": TimedDefrost(8 * _HOUR, 24 * _HOUR, 2 * _HOUR),
}
"""Timed defrosts after the cup was put in, by what people read. Invented."""


def _kelvin(text: str) -> float:
    return to_si(read_quantity(text, "temperature"), "temperature")


@dataclass(frozen=True)
class CupTest:
    """One test with a cup of water, put in at eight in the morning, in SI units.

    Attributes
    ----------
    cup_mass : float
        Water in the cup [kg].
    start_temperature : float
        Of the water [K].
    setting, swing : float
        What the thermostat holds the air at, and from where it starts the unit to where it stops it [K].
    full_demand : bool
        Whether the unit runs all the time.
    ambient, day_swing : float
        Mean outside, and half of what lies between night and afternoon [K].
    door : str
        One of `DOORS`.
    warm_load : float
        Food put in with the cup [kg].
    load_cooled : bool
        Whether that was cooled before; else it is as warm as the day.
    defrost : str
        One of `DEFROSTS`.
    sensor_error : float
        What the thermostat's sensor reads too high [K].
    lower_blocked : float
        Part of the lower vent that is shut.
    reading_time : float
        When the cup is read [s].
    thermometer_error : float
        What the thermometer reads too high [K].
    """

    cup_mass: float = to_si(read_quantity("8 oz", "mass"), "mass")
    start_temperature: float = _kelvin("70 °F")
    setting: float = _kelvin("38 °F")
    swing: float = 4 / 1.8
    full_demand: bool = False
    ambient: float = _kelvin("90 °F")
    day_swing: float = 10 / 1.8
    door: str = "kept shut"
    warm_load: float = 0.0
    load_cooled: bool = False
    defrost: str = "none"
    sensor_error: float = 0.0
    lower_blocked: float = 0.0
    reading_time: float = 86400.0
    thermometer_error: float = 0.0


COOLED = CupTest.setting
"""Food that was cooled before [K]."""
_POUNDS = to_si(read_quantity("20 lb", "mass"), "mass")
SITUATIONS = {
    "By practice": CupTest(),
    "Too soon": CupTest(reading_time=2 * _HOUR),
    "Warm shopping": CupTest(warm_load=_POUNDS, reading_time=12 * _HOUR),
    "Busy door": CupTest(door="a busy day", reading_time=10 * _HOUR),
    "Wide thermostat": CupTest(swing=10 / 1.8),
    "Wrong thermometer": CupTest(setting=_kelvin("41 °F"), thermometer_error=4 / 1.8),
    "Shut vent, mild": CupTest(lower_blocked=0.75, ambient=_kelvin("75 °F")),
    "Shut vent, hot": CupTest(lower_blocked=0.75, ambient=_kelvin("97 °F"), reading_time=12 * _HOUR),
}
"""Tests to load, by what people read."""


class Day(NamedTuple):
    """A refrigerator and the cup in it over a day; temperatures in K at each minute, shape (minutes + 1,).

    Attributes
    ----------
    cup, air, freezer, outside : numpy.ndarray
        Of the water, the food compartment's air, the freezer, and the air outside.
    running : numpy.ndarray of bool
        Whether the unit runs.
    """

    cup: np.ndarray
    air: np.ndarray
    freezer: np.ndarray
    outside: np.ndarray
    running: np.ndarray

    def at(self, name: str, time: float) -> float:
        """Return one of them at a time since the cup was put in [s]."""
        return float(getattr(self, name)[round(time / _MINUTE)])

    @property
    def mean_air(self) -> float:
        """Mean of the air over the last six hours, which is what the test is after [K]."""
        return float(self.air[-_LAST_HOURS * 60 :].mean())

    def range_of(self, name: str, since: float, until: float) -> tuple[float, float]:
        """Return the lowest and highest between two times since the cup was put in [s]."""
        some = getattr(self, name)[round(max(since, 0.0) / _MINUTE) : round(until / _MINUTE) + 1]
        return float(some.min()), float(some.max())


_MOST_KNOWN = 800  # some 60 KB each
_known: dict[CupTest, Day] = {}


def day_of(test: CupTest) -> Day:
    """Return what refrigerator and cup do during a test."""
    return days_of(test)[0]


def days_of(*tests: CupTest) -> list[Day]:
    """Return the days of several tests: those that `together` puts together take as long as one of them."""
    if len(_known) + len(tests) > _MOST_KNOWN:
        _known.clear()
    wanted = [_before_reading(test) for test in tests]
    for group in together(one for one in dict.fromkeys(wanted) if one not in _known):
        _known.update(zip(group, _run(group), strict=True))
    return [_known[one] for one in wanted]


def _before_reading(test: CupTest) -> CupTest:
    """Return a test without what makes no difference to the refrigerator."""
    if test.full_demand:
        test = replace(test, setting=CupTest.setting, swing=CupTest.swing, sensor_error=0.0)
    return replace(test, reading_time=0.0, thermometer_error=0.0)


def together(tests: Any) -> list[list[CupTest]]:
    """Return tests in groups that the model runs at once."""
    groups: dict[tuple, list[CupTest]] = {}
    for test in tests:
        same = (
            test.cup_mass,
            test.day_swing,
            test.door,
            test.warm_load,
            test.load_cooled,
            test.defrost,
        )
        groups.setdefault(same, []).append(test)
    return list(groups.values())


def run_ahead(tests: Iterable[CupTest]) -> None:
    """Run those of the tests where the model takes no longer for all than for one of them."""
    days_of(*(one for group in together(tests) if len(group) > 1 for one in group))


def _run(tests: Sequence[CupTest]) -> list[Day]:
    shut = np.array([one.lower_blocked for one in tests])
    ran = ran_in(Installation.of(SIZE, lower_vent_blocked=shut), tests)
    outside = np.broadcast_to(ran.ambient_temperature, ran.running.shape)
    return [
        Day(
            ran.cup_temperature[k],
            ran.food_air_temperature[k],
            ran.freezer_temperature[k],
            np.append(outside[k], outside[k, -1:]),
            np.append(ran.running[k], ran.running[k, -1:]),
        )
        for k in range(len(tests))
    ]


def ran_in(installation: Installation, tests: Sequence[CupTest]) -> Ran:
    """Run tests of one group in an installation of a shape that theirs broadcasts with."""

    def each(name: str) -> Any:
        return np.array([getattr(one, name) for one in tests])

    first = tests[0]
    asked_for = each("setting") - each("sensor_error")
    setting: Any = np.where(each("full_demand"), _NEVER_REACHED, asked_for)
    return cup_test(
        installation,
        each("ambient"),
        float(HOURS),
        half_range=first.day_swing,
        cup_mass=first.cup_mass,
        cup_temperature=each("start_temperature"),
        thermostat=Thermostat(setting, each("swing")),
        warm_load=first.warm_load,
        warm_load_temperature=COOLED if first.load_cooled else None,
        openings=DOORS[first.door],
        defrost=DEFROSTS[first.defrost],
        since_power_up=0.0,
    )


def plausible_days(test: CupTest, count: int) -> Ran:
    """Run a test in some plausible refrigerators of the size (`warmside.model.ensemble`)."""
    installation = Installation.of(SIZE, lower_vent_blocked=np.array([test.lower_blocked]))
    return ran_in(plausible(installation, count), [test])


@cache
def cup_time_constant(mass: float) -> float:
    """Return the time constant of a cup that holds some water [kg], in s."""
    return float(time_constant(cup_heat_capacity(mass), cup_conductance(mass)))


@dataclass(frozen=True)
class Reading:
    """What comes out of a test at an hour, in SI units.

    Attributes
    ----------
    shown, water : float
        What the thermometer shows, and the water's own temperature [K].
    left : float
        Of the water's start [K].
    air_low, air_high : float
        Coldest and warmest air in the two hours before [K].
    """

    shown: float
    water: float
    left: float
    air_low: float
    air_high: float

    @property
    def is_settled(self) -> bool:
        """Whether nothing of the start is left that a thermometer would show."""
        return abs(self.left) < SETTLED

    @property
    def holds(self) -> bool:
        """Whether the water is within the appliance's rating."""
        return self.water <= RATING

    @property
    def misleads(self) -> bool:
        """Whether the thermometer puts it on the wrong side of the rating."""
        return (self.shown <= RATING) != self.holds


class Reader:
    """Reads a test at any hour.

    Examples
    --------
    What is left of tap water of 70 °F after six hours, in °F.

    >>> round(1.8 * Reader(CupTest()).at(6 * 3600.0).left)
    2
    """

    def __init__(self, test: CupTest) -> None:
        self.day = day_of(test)
        self._error = test.thermometer_error
        excess = test.start_temperature - self.day.mean_air
        minutes = _MINUTE * np.arange(self.day.cup.size)
        self._left = lumped_cup(minutes, excess, 0.0, cup_time_constant(test.cup_mass))

    def at(self, time: float) -> Reading:
        """Return what the thermometer shows at a time since the cup was put in [s]."""
        water = self.day.at("cup", time)
        left = float(self._left[round(time / _MINUTE)])
        return Reading(water + self._error, water, left, *self.day.range_of("air", time - 2 * _HOUR, time))


def read_test(test: CupTest) -> Reading:
    """Return what the thermometer shows at the hour of reading."""
    return Reader(test).at(test.reading_time)
