"""The days that the log of “Everyday use” is drawn from: invented, by the model.

A sensor that drifts is put together from runs with a sensor that is off by as much all day: a box follows its
thermostat within an hour, and drift takes many. All runs with the same door are stepped together.
"""

from collections.abc import Iterator
from functools import cache
from itertools import product
from typing import NamedTuple

import numpy as np

from warmside.marking.wrong_turns import fahrenheit, kelvin
from warmside.model.cabinet import Thermostat
from warmside.model.refrigerator import Installation, cup_test

SENSOR_WARM, SENSOR_COLD, DOOR, NO_MORE = SCENARIOS = (
    "sensor warm",
    "sensor cold",
    "door",
    "no more to give",
)
KEPT, MOST_HOURS = 40.0, 2.0
"""What milk is kept at [°F], and for how long it may be warmer [h] (USDA FSIS)."""
SETTING, SWING = 38.0, 4.0  # °F
FIRST_HOUR, HALF_RANGE = 8, 8.0  # clock; °F up and down
AMBIENTS = (80.0, 86.0)
_OFF = tuple(range(-12, 13, 4))  # °F; sensors that are run
_DOORS = {  # when the door is opened [h] and for how long [min]
    "once": ((1.5, 4),),
    "once, longer": ((1.5, 5),),
    "later": ((3.0, 3.5),),
    "twice": ((2.0, 10), (5.0, 10)),
}
_MOST, _BEGINS, _TAKES = (6.0, 7.0, 8.0, 9.0, 10.0, 11.0), (4.0, 5.0, 6.0), 6.0  # drift [°F, h, h]
_SMALL = (-1.8, -1.4, -1.0, -0.6, -0.4, 0.4, 0.6, 1.0, 1.4, 1.8)  # °F; errors of a sensor that will do
_WEAK = ((0.65, 86.0), (0.7, 86.0), (0.7, 92.0), (0.75, 92.0))  # share of the heat, mean outside [°F]
_MORE_OR_LESS = 0.5  # h; so near to two hours no log is drawn
_CLEAR = 0.09  # °F; no reading of the milk, to a tenth, is 40 °F


class Day(NamedTuple):
    """What a control and two loggers show, each half hour of a day from 8 am on.

    Attributes
    ----------
    sensor, air, milk : numpy.ndarray
        In °F, to a tenth.
    runs : numpy.ndarray of int
        For how many of the minutes before the unit ran.
    """

    sensor: np.ndarray
    air: np.ndarray
    milk: np.ndarray
    runs: np.ndarray

    @property
    def hours_above(self) -> float:
        """For how long the milk is above 40 °F, by readings [h]."""
        return float((self.milk > KEPT).sum()) / 2.0

    @property
    def thrown(self) -> bool:
        """Whether the milk goes."""
        return self.hours_above > MOST_HOURS


@cache
def days(scenario: str) -> dict[bool, list[Day]]:
    """Return a scenario's days, by whether the milk goes."""
    found: dict[bool, list[Day]] = {False: [], True: []}
    for day in _drawn(scenario):
        if abs(day.hours_above - MOST_HOURS) >= _MORE_OR_LESS and day.hours_above and _clear(day):
            found[day.thrown].append(day)
    return found


def _clear(day: Day) -> bool:
    return bool(np.all(np.abs(day.milk - KEPT) >= _CLEAR))


def _drawn(scenario: str) -> Iterator[Day]:
    for doors in _DOORS:
        runs = _runs(doors)
        if scenario == NO_MORE:
            for k in range(len(_WEAK)):
                one = _alone(runs, len(AMBIENTS) * len(_OFF) + k)
                if one[2][-720:].all():  # else it is not short of heat
                    yield _day(*one, np.full(49, _SMALL[k % len(_SMALL)]))
        for place in range(len(AMBIENTS)):
            if scenario == DOOR:
                quiet = _alone(runs, place * len(_OFF) + _OFF.index(0))
                yield from (_day(*quiet, np.full(49, off)) for off in _SMALL)
            elif scenario != NO_MORE:
                some = tuple(each[place * len(_OFF) :][: len(_OFF)] for each in runs)
                sign = 1 if scenario == SENSOR_WARM else -1
                for most, begins in product(_MOST, _BEGINS):
                    yield _drifting(some, _drift(sign * most, begins, _TAKES))


def _alone(runs: tuple[np.ndarray, ...], case: int) -> tuple[np.ndarray, ...]:
    return tuple(each[case] for each in runs)


def _drift(most: float, begins: float, takes: float) -> np.ndarray:
    """Return what a sensor feels too warm, at each minute [°F]: nothing, then more and more."""
    hours = np.arange(24 * 60 + 1) / 60.0
    return most * np.clip((hours - begins) / takes, 0.0, 1.0)


def _drifting(run: tuple[np.ndarray, ...], drift: np.ndarray) -> Day:
    place = (drift - _OFF[0]) / (_OFF[1] - _OFF[0])
    below = np.minimum(place.astype(int), len(_OFF) - 2)
    share = place - below
    minutes = np.arange(drift.size)
    mixed = [one[below, minutes] * (1 - share) + one[below + 1, minutes] * share for one in run]
    return _day(*mixed, drift[::30])


def _day(air: np.ndarray, milk: np.ndarray, running: np.ndarray, off: np.ndarray) -> Day:
    """Return the readings: air and minutes over the half hour before, the milk as it is."""
    halves = air[1:].reshape(48, 30).mean(axis=1)
    mean_air = np.round(np.concatenate([air[:1], halves]), 1)
    runs = np.concatenate([[30.0], 30.0 * running[1:].reshape(48, 30).mean(axis=1)])
    return Day(np.round(mean_air + off, 1), mean_air, np.round(milk[::30], 1), np.round(runs).astype(int))


@cache
def _runs(doors: str) -> tuple[np.ndarray, ...]:
    """Run boxes whose sensors are off by as much all day, on each day, and those that get too little heat.

    Returns air and milk [°F] and whether the unit runs, at each minute.
    """
    shares, weak_days = np.array(_WEAK).T
    ambients = np.concatenate([np.repeat(AMBIENTS, len(_OFF)), weak_days])
    settings = SETTING - np.concatenate([np.tile(_OFF, len(AMBIENTS)), np.zeros(len(_WEAK))])
    share = np.concatenate([np.ones(len(AMBIENTS) * len(_OFF)), shares])
    eight = Installation.of("8 cu ft")
    test = cup_test(
        Installation.of("8 cu ft", heat_input=share * eight.heat_input),
        kelvin(ambients),
        half_range=HALF_RANGE / 1.8,
        start_of_day=FIRST_HOUR * 3600.0,
        cup_temperature=kelvin(SETTING),
        thermostat=Thermostat(kelvin(settings), np.full(settings.size, SWING / 1.8)),
        openings=[(hour * 3600.0, 60.0 * minutes) for hour, minutes in _DOORS[doors]],
    )
    running = np.concatenate([test.running[:, :1], test.running], axis=1).astype(float)
    return fahrenheit(test.food_air_temperature), fahrenheit(test.cup_temperature), running
