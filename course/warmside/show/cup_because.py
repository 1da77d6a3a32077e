"""What a cup reads and why, in one sentence: the reason that moves the reading most."""

from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

from warmside.show.enclosure import difference, temperature
from warmside.show.substance_temperature import (
    RATING,
    CupTest,
    Day,
    Reader,
    Reading,
    cup_time_constant,
    day_of,
    days_of,
)
from warmside.units import ZERO_CELSIUS, from_si, show

_COUNTS = 0.6  # K; what moves the reading less is no reason
_HOUR = 3600.0
_ALWAYS = 0.97  # of the last hours; a unit that ran so much could not have been colder


def tenths(kelvin: float, system: str) -> str:
    """Return a temperature to a tenth of a degree as text."""
    return temperature(kelvin, system, 1)


class _Cause(NamedTuple):
    """A test read at a time, and the same with one thing put right."""

    test: CupTest
    now: Reading
    without: float  # K; what the thermometer would show
    time: float
    system: str

    @property
    def would(self) -> str:
        return f"it would read {tenths(self.without, self.system)}"


def _mass(kilograms: float, system: str) -> str:
    return show(from_si(kilograms, "mass"), system, kind="mass", digits=0)


def _too_early(it: _Cause) -> str:
    left = difference(it.now.left, it.system)
    constant = cup_time_constant(it.test.cup_mass) / _HOUR
    start = "the tap water’s warmth" if it.now.left > 0 else "the cold it was put in with"
    return (
        f"after {it.time / _HOUR:g} hours {left} of {start} are left: this cup needs {constant:.1f} hours "
        "to lose two thirds of it"
    )


def _thermometer(it: _Cause) -> str:
    way = "high" if it.test.thermometer_error > 0 else "low"
    return (
        f"the thermometer reads {difference(it.test.thermometer_error, it.system)} {way}: the water is at "
        f"{tenths(it.now.water, it.system)}"
    )


def _warm_load(it: _Cause) -> str:
    return f"warm food of {_mass(it.test.warm_load, it.system)} went in with it: without, {it.would}"


def _door(it: _Cause) -> str:
    once = it.test.door == "left open five minutes"
    said = "stood open five minutes" if once else "let warm air in again and again"
    return f"the door {said}: kept shut, {it.would}"


def _vent(it: _Cause) -> str:
    return (
        f"with {100.0 * it.test.lower_blocked:.0f} % of the lower vent shut the unit can’t lose its heat on "
        f"this day: with it open, {it.would}"
    )


def _setting(it: _Cause) -> str:
    if it.test.full_demand:
        return "the unit runs all the time and nothing stops it"
    return f"that is what the thermostat asks for: it stands at {tenths(it.test.setting, it.system)}"


def _too_hot(it: _Cause) -> str:
    _, high = day_of(it.test).range_of("outside", 0.0, it.time)
    return f"{tenths(high, it.system)} outside in the afternoon is more than the unit can do"


def _the_mean(it: _Cause) -> str:
    low, high = (tenths(air, it.system) for air in (it.now.air_low, it.now.air_high))
    return f"water follows the mean of the air, which went from {low} to {high} in two hours"


_PUT_RIGHT: dict[str, Callable[[_Cause], str]] = {
    "warm_load": _warm_load,
    "door": _door,
    "lower_blocked": _vent,
}


def put_right(test: CupTest) -> dict[str, CupTest]:
    """Return a test with each thing put right that lets heat in or keeps it there, by the field's name."""
    return {
        name: replace(test, **{name: getattr(CupTest, name)})
        for name in _PUT_RIGHT
        if getattr(test, name) != getattr(CupTest, name)
    }


def asked_for(test: CupTest) -> list[CupTest]:
    """Return the tests that the sentence on one looks at, to be run together."""
    return [test, *put_right(test).values()]


def because(test: CupTest, system: str = "US") -> str:
    """Say in a sentence what the thermometer shows at the hour of reading, and why.

    Examples
    --------
    >>> because(CupTest(reading_time=7200.0))[:69]
    'It reads 51.5 °F and tells little yet, because after 2 hours 12.6 °F '
    """
    return Reasons(test).at(test.reading_time, system)


class Reasons:
    """A test and the same with each thing put right, for a sentence at any hour."""

    def __init__(self, test: CupTest) -> None:
        others = put_right(test)
        days_of(test, *others.values())
        self._test, self.reader = test, Reader(test)
        self._others = {name: day_of(other) for name, other in others.items()}

    def at(self, time: float, system: str, now: Reading | None = None) -> str:
        """Return the sentence for a time since the cup was put in [s]."""
        test, now = self._test, now or self.reader.at(time)
        reason, without = self._reason(now, time)
        warmer = reason in _PUT_RIGHT.values()
        return f"{_state(now, warmer, system)} because {reason(_Cause(test, now, without, time, system))}."

    def _reason(self, now: Reading, time: float) -> tuple[Callable[[_Cause], str], float]:
        """Return what moves the reading most, and what it would be without that [K]."""
        test, error = self._test, self._test.thermometer_error
        if not now.is_settled:
            return _too_early, now.shown
        if now.misleads:
            return _thermometer, now.water
        waters = {name: day.at("cup", time) for name, day in self._others.items()}
        found = [(now.water - water, _PUT_RIGHT[name], water + error) for name, water in waters.items()]
        asked = _asked_for(test, self.reader.day, time)
        found.append((abs(asked) if now.holds else asked, _setting, now.shown))
        if now.holds:
            found.append((abs(error), _thermometer, now.water))
        size, reason, without = max(found, key=lambda one: one[0])
        if size < _COUNTS:
            return _the_mean if now.holds else _too_hot, now.shown
        return reason, without


def _asked_for(test: CupTest, day: Day, time: float) -> float:
    """Return how much warmer the thermostat's place makes the water than the usual one [K]."""
    if test.full_demand:
        return min(day.at("cup", time) - CupTest.setting, 0.0)
    if abs(test.setting - CupTest.setting) < _COUNTS:
        return 0.0
    last = day.running[max(round(time / 60.0) - 180, 0) : round(time / 60.0) + 1]
    return 0.0 if last.mean() > _ALWAYS else test.setting - CupTest.setting


def _state(now: Reading, warmer: bool, system: str) -> str:
    shown = tenths(now.shown, system)
    if not now.is_settled:
        return f"It reads {shown} and tells little yet,"
    if now.misleads:
        return f"It reads {shown}, on the wrong side of {tenths(RATING, system)},"
    if not now.holds:
        return f"The cup is too warm, at {shown},"
    if now.water < ZERO_CELSIUS:
        return f"The cup freezes at {shown}"
    return f"The cup holds, but at {shown}," if warmer else f"The cup holds at {shown}"
