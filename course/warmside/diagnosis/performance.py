"""Whether a refrigerator does what its plate says: from cup, freezer, ambient and rating, and nothing else.

What a refrigerator does is told before what may be wrong with it, and without any of the model: a cup of
water that stood a day, held against the limits of the rating.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from warmside.data import load
from warmside.diagnosis.readings import Readings
from warmside.units import from_si, show

_TABLE, _RATINGS = load("performance"), load("ratings")
_CUP, _FREEZER = "cup", "freezer"
_LIMITS = {_CUP: "food_limit", _FREEZER: "freezer_limit"}
_MARGINS = {_CUP: _TABLE.number("cup_margin"), _FREEZER: _TABLE.number("freezer_margin")}
OTHER_SOURCE = {"mains": "cup_on_gas", "battery": "cup_on_gas", "gas": "cup_on_mains"}
"""By heat source, the reading that tells how the cup stands on another one."""
DAY = _TABLE.number("proving_time")
"""How long a refrigerator runs before a cup proves anything [s]."""
TOO_COLD = _TABLE.number("too_cold")
"""A cup below this is too cold [K]."""
NEAR_RATING = _TABLE.number("near_rating")
"""At most so far below the rated ambient a day proves the rating [K]."""


class Place(StrEnum):
    """How a compartment stands to its limit."""

    GOOD = "good"
    OUT = "out"
    TOO_NEAR = "too near to tell"
    UNREAD = "not read"


class State(StrEnum):
    """What a refrigerator does, in a word or two."""

    TOO_COLD = "too cold"
    PROVEN = "proven"
    BEYOND = "beyond its rating"
    COLD_DAY = "too cold a day to judge the freezer"
    FAILS = "fails"
    FOOD_FAILS = "food fails, the freezer holds"
    FREEZER_FAILS = "the freezer fails"
    TOO_NEAR = "too near to tell"
    NOT_PROVEN = "not proven"


@dataclass(frozen=True)
class Performance:
    """What a refrigerator does, what that stands on, and what would prove it.

    Attributes
    ----------
    state : State
        In a word or two.
    rating_proven : bool
        Whether the day was hot enough, and the freezer cold enough, that the plate's promise is proven too.
    places : mapping of str to Place
        How cup and freezer stand to their limits.
    elsewhere : Place
        How the cup stands on another heat source.
    readings : Readings
        Of which it is said.
    """

    state: State
    rating_proven: bool
    places: Mapping[str, Place]
    elsewhere: Place
    readings: Readings

    @property
    def said(self) -> str:
        """What it does, in a sentence or two."""
        said = _FAILS[self.places[_FREEZER]] if self.state is State.FAILS else _SAID[self.state]
        return f"{said} It does what its rating promises." if self.rating_proven else said

    @property
    def stands_on(self) -> str:
        """What that stands on, in a sentence."""
        return _stands_on(self.readings)

    @property
    def would_prove(self) -> str:
        """What would prove it, in a sentence; empty where nothing more would."""
        return _would_prove(self.readings, self.state, self.rating_proven)

    @property
    def has_causes(self) -> bool:
        """Whether there are causes to look for: not where it holds, nor on a day that judges nothing."""
        return self.state not in (State.PROVEN, State.BEYOND, State.COLD_DAY)

    @property
    def fails(self) -> bool:
        """Whether something is wrong, whatever it is."""
        return self.state in (State.FAILS, State.FOOD_FAILS, State.FREEZER_FAILS)

    @property
    def may_condemn(self) -> bool:
        """Whether the cooling unit may come into question at all: no place is good, and the day is fair."""
        good = Place.GOOD in (*self.places.values(), self.elsewhere)
        return self.state is not State.BEYOND and not good


def rated_ambient(readings: Readings) -> float:
    """Return up to which ambient a refrigerator is to hold its food, by its plate [K]."""
    return _RATINGS.in_column("rated_ambient", readings.rating)


def performance(readings: Readings) -> Performance:
    """Say what a refrigerator does.

    Parameters
    ----------
    readings : Readings
        Of which cup, freezer, ambient, rating and hours running count.
    """
    places = {name: _place(readings, name, name) for name in _LIMITS}
    elsewhere = _place(readings, _CUP, OTHER_SOURCE[readings.heat_source])
    state = _state(readings, places)
    near_rating = readings.ambient >= rated_ambient(readings) - NEAR_RATING
    proven = state is State.PROVEN and near_rating and places[_FREEZER] is Place.GOOD
    return Performance(state, proven, places, elsewhere, readings)


def _place(readings: Readings, name: str, read: str) -> Place:
    if read not in readings.values:
        return Place.UNREAD
    return place_of(readings.rating, name, float(readings.values[read]))


def place_of(rating: str, name: str, temperature: float) -> Place:
    """Return how a cup or a freezer ("cup", "freezer") stands to the limit of a rating, by its "
    "temperature [K]."""
    over = temperature - _RATINGS.in_column(_LIMITS[name], rating)
    if over <= -_MARGINS[name]:
        return Place.GOOD
    return Place.OUT if over >= _MARGINS[name] else Place.TOO_NEAR


def _state(readings: Readings, places: Mapping[str, Place]) -> State:
    cup, freezer = places[_CUP], places[_FREEZER]
    out = Place.OUT in (cup, freezer)
    if cup is Place.GOOD and float(readings.values[_CUP]) < TOO_COLD:
        return State.TOO_COLD
    if out and readings.ambient > rated_ambient(readings) + _TABLE.number("ambient_margin"):
        return State.BEYOND
    if _is_short(readings):
        return State.NOT_PROVEN
    if cup is not Place.OUT and freezer is Place.OUT and readings.ambient < _TABLE.number("cold_day"):
        return State.COLD_DAY
    if cup is Place.GOOD and freezer in (Place.GOOD, Place.UNREAD):
        return State.PROVEN
    if cup is Place.OUT:
        return State.FOOD_FAILS if freezer is Place.GOOD else State.FAILS
    if freezer is Place.OUT:
        return State.FREEZER_FAILS
    return State.TOO_NEAR if Place.TOO_NEAR in (cup, freezer) else State.NOT_PROVEN


def _is_short(readings: Readings) -> bool:
    return readings.running is not None and readings.running < DAY


_SAID = {
    State.TOO_COLD: (
        "It cools, and too much: the cup is near freezing. Look at the setting, the control and its sensor."
    ),
    State.PROVEN: "Performance is proven for this day: it holds its food.",
    State.BEYOND: (
        "The day is beyond its rating: out there no refrigerator of this class is promised to hold, and "
        "a warm "
        "cup proves nothing against this one."
    ),
    State.COLD_DAY: (
        "The day is too cold to judge the freezer: the control is content with the food so soon that the "
        "unit hardly runs, and the freezer warms. In good order it does the same."
    ),
    State.FOOD_FAILS: "The food is warmer than its limit, while the freezer holds.",
    State.FREEZER_FAILS: "The freezer is warmer than its limit; the food is not known to be.",
    State.TOO_NEAR: "It is too near its limit to tell by a thermometer like this.",
    State.NOT_PROVEN: "Nothing is proven yet, neither for it nor against it.",
}
_FAILS = {
    Place.OUT: "It fails on this day: food and freezer are warmer than their limits.",
    Place.TOO_NEAR: (
        "It fails on this day: the food is warmer than its limit, and the freezer too near its own to tell."
    ),
    Place.UNREAD: "It fails on this day: the food is warmer than its limit; the freezer wasn't read.",
}


def _stands_on(readings: Readings) -> str:
    read = [
        f"{title} {_degrees(float(readings.values[name]))} against {_degrees(_limit(readings, name))}"
        for name, title in ((_CUP, "cup"), (_FREEZER, "freezer"))
        if name in readings.values
    ]
    if not read:
        return "Neither the cup nor the freezer was read."
    day = f"ambient {_degrees(readings.ambient)}, rated to {_degrees(rated_ambient(readings))}"
    return f"That stands on: {', '.join([*read, day])}; {_ran(readings)}."


def _ran(readings: Readings) -> str:
    if readings.running is None:
        return "taken as after a day's running, which wasn't said"
    return f"after {readings.running / 3600.0:.0f} hours of running"


def _would_prove(readings: Readings, state: State, proven: bool) -> str:
    if _is_short(readings):
        again = "let it run 24 with the door shut but for use, and read cup and freezer again."
        return f"Read {_ran(readings)}: {again}"
    if state is State.NOT_PROVEN or not (set(readings.values) & set(_LIMITS)):
        return (
            "A cup of water on the middle shelf, 24 hours of running and a thermometer would prove it; "
            "read the "
            "freezer, too."
        )
    if state is State.BEYOND:
        return f"Read it again on a day of at most {_degrees(rated_ambient(readings))}."
    if state is State.COLD_DAY:
        return (
            f"Read it again on a day of {_degrees(_TABLE.number('cold_day'))} or more, or a day after the "
            "control was set to its coldest."
        )
    if state is State.TOO_NEAR:
        return "Check the thermometer in ice water, and read cup and freezer again after another day."
    if state is State.PROVEN and not proven:
        freezer = "" if _FREEZER in readings.values else "; read the freezer, too"
        hot = rated_ambient(readings) - NEAR_RATING
        if readings.ambient < hot:
            return f"That it holds its rating would take a day of {_degrees(hot)} or more{freezer}."
        return "That it holds its rating would take the freezer's temperature, too."
    return ""


def _limit(readings: Readings, name: str) -> float:
    return _RATINGS.in_column(_LIMITS[name], readings.rating)


def _degrees(temperature: float) -> str:
    return show(from_si(temperature, "temperature"), digits=0)
