"""What the cup was at its worst during a day of use, and why, in one sentence."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from warmside.data import load
from warmside.show.cup_because import tenths
from warmside.show.enclosure import difference, temperature
from warmside.show.substance_temperature import CupTest, Day, days_of
from warmside.units import from_si, show

KEPT = load("limits").number("consumer_refrigerator")
"""Above this time counts against food [K]."""
_COUNTS = 0.6  # K; what moves the cup less is no reason
_SWINGS = CupTest.swing / 2 + 0.2  # K; so far a thermostat lets the cup go by itself
_MINUTE, _HOUR = 60.0, 3600.0
_BEGINS = 8  # o'clock


def kept(system: str) -> str:
    """Return that limit as text."""
    return temperature(KEPT, system, int(system == "SI"))


def clock(time: float, system: str) -> str:
    """Return a time since the day's beginning [s] as people say it.

    Examples
    --------
    >>> clock(8.5 * 3600.0, "US"), clock(8.5 * 3600.0, "SI")
    ('4:30 pm', '16:30')
    """
    minutes = round(time / _MINUTE) + 60 * _BEGINS
    hour, past = minutes // 60 % 24, minutes % 60
    if system == "SI":
        return f"{hour}:{past:02d}"
    return f"{hour % 12 or 12}:{past:02d} {'am' if hour < 12 else 'pm'}"


def hours_above(day: Day, until: float, limit: float = KEPT) -> float:
    """Return for how long a cup was above a limit [K], from the day's beginning until a time [s].

    Examples
    --------
    Twenty pounds of food as warm as the day, in hours.

    >>> warm = day_of(replace(QUIET, warm_load=9.07))
    >>> round(hours_above(warm, 24 * 3600.0) / 3600.0)
    11
    """
    return float((day.cup[: round(until / _MINUTE)] > limit).sum()) * _MINUTE


QUIET = CupTest(start_temperature=CupTest.setting)
"""A day of use on which nothing happens, the cup as cold as the box from the start."""


class _Cause(NamedTuple):
    test: CupTest
    system: str


def _door(it: _Cause) -> str:
    if it.test.door == "left open five minutes":
        return "the door stood open five minutes: kept shut"
    return "the door let warm air in again and again: kept shut"


def _load(it: _Cause) -> str:
    mass = show(from_si(it.test.warm_load, "mass"), it.system, kind="mass", digits=0)
    return f"{mass} of food went in as warm as the day: cooled before"


def _defrost(it: _Cause) -> str:
    return f"the unit stood still for a defrost, {it.test.defrost}: without"


def _sensor(it: _Cause) -> str:
    off = difference(it.test.sensor_error, it.system)
    if it.test.sensor_error > 0:
        return f"the sensor feels {off} too warm, so the unit runs on: with it in place"
    return f"the sensor feels {off} too cold, so the unit stops too soon: with it in place"


def _setting(it: _Cause) -> str:
    stands, usual = (tenths(each.setting, it.system) for each in (it.test, QUIET))
    return f"the thermostat stands at {stands}: at {usual}"


_PUT_RIGHT: dict[str, tuple[Callable[[_Cause], str], dict[str, Any]]] = {
    "door": (_door, {"door": QUIET.door}),
    "warm_load": (_load, {"load_cooled": True}),
    "defrost": (_defrost, {"defrost": QUIET.defrost}),
    "sensor_error": (_sensor, {"sensor_error": QUIET.sensor_error}),
    "setting": (_setting, {"setting": QUIET.setting}),
}


def put_right(test: CupTest) -> dict[str, CupTest]:
    """Return a day with each thing put right that isn't, by the field's name."""
    return {
        name: replace(test, **right)
        for name, (_, right) in _PUT_RIGHT.items()
        if getattr(test, name) != getattr(QUIET, name) and not (name == "warm_load" and test.load_cooled)
    }


def asked_for(test: CupTest) -> list[CupTest]:
    """Return the days that the sentence on one looks at, to be run together."""
    return [test, *put_right(test).values()]


class Reasons:
    """A day of use and the same with each thing put right, for a sentence at any hour."""

    def __init__(self, test: CupTest) -> None:
        others = put_right(test)
        self.day, *put = days_of(test, *others.values())
        self._test, self._others = test, dict(zip(others, put, strict=True))

    def at(self, time: float, system: str) -> str:
        """Return the sentence for a time since the day's beginning [s]."""
        end = round(time / _MINUTE) + 1
        far = int(np.argmax(np.abs(self.day.cup[:end] - QUIET.setting)))
        worst, now = float(self.day.cup[far]), self.day.at("cup", time)
        if abs(worst - QUIET.setting) < _SWINGS:
            return (
                f"The cup holds at {tenths(now, system)} because the unit takes out what comes in, and has "
                "some to spare."
            )
        state = f"The cup is at {tenths(now, system)}"
        if abs(now - worst) > _COUNTS:
            state += f" by now, and was at {tenths(worst, system)} at {clock(far * _MINUTE, system)},"
        return f"{state} because {self._reason(far, worst, system)}."

    def _reason(self, far: int, worst: float, system: str) -> str:
        cups = {name: float(day.cup[far]) for name, day in self._others.items()}
        name = max(cups, key=lambda each: abs(worst - cups[each]), default="")
        if not name or abs(worst - cups[name]) < _COUNTS:
            outside = tenths(float(self.day.outside.max()), system)
            return f"on such a day, {outside} in the afternoon, the unit can do no more"
        said, _ = _PUT_RIGHT[name]
        return f"{said(_Cause(self._test, system))}, it would have been at {tenths(cups[name], system)}"


def because(test: CupTest, system: str = "US") -> str:
    """Say in a sentence what the cup was at its worst by the hour of reading, and why.

    Examples
    --------
    >>> because(replace(QUIET, warm_load=9.07))[:67]
    'The cup is at 37.8 °F by now, and was at 43.6 °F at 4:11 pm, becaus'
    """
    return Reasons(test).at(test.reading_time, system)
