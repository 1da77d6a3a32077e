"""What the owner says: honest, in plain words, and never the answer. All of it is invented."""

from collections.abc import Sequence

import numpy as np

from warmside.data import load
from warmside.diagnosis.fault import Fault
from warmside.diagnosis.faults import FAULTS, Label
from warmside.diagnosis.readings import Readings
from warmside.diagnosis.solving import FOOD_LIMIT

_CASES = load("cases")

_SEASONS = (
    (_CASES.number("season_hot"), ("a heat wave in July", "the hottest week of August")),
    (_CASES.number("season_warm"), ("a warm day in June", "a warm day in early September")),
    (_CASES.number("season_mild"), ("a mild day in May", "a mild day in late September")),
    (0.0, ("a cool day in April", "a cool day in October")),
)

_HARDLY = (
    "It hardly cools at all.",
    "Nothing in it gets cold any more.",
    "It is more of a cupboard than a refrigerator.",
    "The milk is nearly as warm as the kitchen.",
)
_NOT_ENOUGH = (
    "It cools, but not enough: milk turns in two days.",
    "The butter is soft and the drinks are only cool.",
    "It isn't cold enough to keep meat.",
    "It used to be colder than this.",
)
_RUNS = (
    "It holds so far, but it runs without a pause.",
    "It is cold, but it never seems to rest.",
)
_DOUBTS = (
    "It seems cold today, but I want to be sure before our trip.",
    "I'd like to know whether all is well with it before summer.",
)

_BETTER_ON = {
    "mains": ("gas", ("It does better on gas than plugged in.", "We use gas now; plugged in it is worse.")),
    "battery": (
        "gas",
        (
            "It does better on gas than on the battery.",
            "Parked and on gas it is fine, it is the battery that it doesn't like.",
        ),
    ),
    "gas": (
        "mains",
        ("It does better plugged in than on gas.", "On a site with mains it is better than on gas."),
    ),
}
"""By what it runs on: what else it can run on, and what is said of a fault that doesn't occur there."""
_PLAIN = ("It is in use every day.",)
"""Of a fault that occurs whatever it runs on: true of any, and against nothing that is said of another."""

_BESIDES = (
    "We bought it used two years ago.",
    "It was serviced last spring.",
    "A friend says that the cooling unit is gone.",
    "A neighbor says that it needs a new charge.",
)
"""True, and no help."""


def season(ambient: float, random: np.random.Generator) -> str:
    """Return what kind of day it is at an ambient temperature [K]."""
    return _one(next(words for lowest, words in _SEASONS if ambient >= lowest), random)


def owners_words(label: Label, readings: Readings, level: int, random: np.random.Generator) -> str:
    """Return what the owner says.

    Parameters
    ----------
    label : Label
        What is wrong.
    readings : Readings
        What was read; the cup and the duty set the tone.
    level : int
        From 2 on there is something besides that is true and no help.
    random : numpy.random.Generator
        Picks the words.
    """
    said = [_one(_symptom(readings), random)]
    said += dict.fromkeys(_one(_noticed(FAULTS[name], readings), random) for name in label)
    if level >= 2:
        said.insert(1 + int(random.integers(len(said))), _one(_BESIDES, random))
    return " ".join(said)


def _symptom(readings: Readings) -> Sequence[str]:
    if _hardly_cools(readings):
        return _HARDLY
    if _is_warm(readings):
        return _NOT_ENOUGH
    return _RUNS if _value(readings, "duty") >= _CASES.number("runs_on") else _DOUBTS


def _noticed(fault: Fault, readings: Readings) -> Sequence[str]:
    """What is said of a fault: its own words, or what is true wherever it occurs."""
    if fault.noticed is not None:
        comes_and_goes = _is_warm(readings) and not _hardly_cools(readings)
        return (*fault.noticed.words, *(fault.noticed.by_the_hour if comes_and_goes else ()))
    other, words = _BETTER_ON[readings.heat_source]
    return words if other not in fault.heat_sources else _PLAIN


def _is_warm(readings: Readings) -> bool:
    return _value(readings, "cup") > FOOD_LIMIT


def _hardly_cools(readings: Readings) -> bool:
    return _value(readings, "cup") > _CASES.number("hardly_cools")


def _value(readings: Readings, name: str) -> float:
    return float(readings.values[name])


def _one(words: Sequence[str], random: np.random.Generator) -> str:
    return words[int(random.integers(len(words)))]
