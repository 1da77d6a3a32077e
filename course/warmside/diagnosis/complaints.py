"""What the owner says: honest, in plain words, and never the answer. All of it is invented."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from warmside.diagnosis.faults import Label
from warmside.diagnosis.readings import Readings
from warmside.diagnosis.solving import FOOD_LIMIT

_HARDLY_COOLS = 288.7  # K; 60 °F
_RUNS_ON = 0.85  # of the time
_HOT, _WARM, _MILD = 310.9, 302.6, 294.3  # K; 100, 85 and 70 °F

_SEASONS = (
    (_HOT, ("a heat wave in July", "the hottest week of August")),
    (_WARM, ("a warm day in June", "a warm day in early September")),
    (_MILD, ("a mild day in May", "a mild day in late September")),
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

_HEAT_CANT_LEAVE = (
    "Hot afternoons are the worst; a cool night helps.",
    "It is always at its best before breakfast.",
    "Parked in the shade it does better.",
)
_BY_THE_HOUR = "Fine at dawn, warm at four."  # where it comes and goes: neither cold nor warm for good
_WIRES = {
    "mains": ("It does better on gas than plugged in.", "We use gas now; plugged in it is worse."),
    "battery": (
        "It does better on gas than on the battery.",
        "Parked and on gas it is fine, it is the battery that it doesn't like.",
    ),
}
_GAS = ("It does better plugged in than on gas.", "On a site with mains it is better than on gas.")
_ON_ANYTHING = "It makes no difference what it runs on."
_SLOWLY = f"It has got slowly worse. {_ON_ANYTHING}"

HINTS: Mapping[str, Sequence[str]] = MappingProxyType(
    {
        **dict.fromkeys(
            (
                "lower_vent_blocked",
                "upper_vent_blocked",
                "baffle_missing",
                "cavity_too_deep",
                "pocket_open",
                "side_gaps",
                "fins_fouled",
                "fan_dead",
                "fan_backwards",
            ),
            _HEAT_CANT_LEAVE,
        ),
        "out_of_level": (
            "It has been like this since we parked on the slope.",
            "It began where we are parked now.",
            "On the road it was fine; since we stand here it isn't.",
        ),
        "gas_pressure_low": _GAS,
        "burner_weak": _GAS,
        "boiler_insulation_lost": (_SLOWLY, f"It isn't what it was. {_ON_ANYTHING}"),
        "circulation_blocked": (
            f"We left it running in the drive for weeks this spring. {_ON_ANYTHING}",
            f"It isn't what it was. {_ON_ANYTHING}",
        ),
        "charge_lost": (_SLOWLY, f"It faded within a month. {_ON_ANYTHING}"),
        "door_seal": (
            "We wipe water out of the bottom every week.",
            "In damp weather it is worse.",
        ),
        "heavy_load": (
            "We filled it for the whole family before we left.",
            "Full house this week; everybody helps themselves.",
            "At night, when nobody opens it, it does better.",
        ),
        "frost": (
            "It did well when we set out, and less each week since.",
            "We have been on the road for six weeks without a break.",
        ),
        "thermostat": (
            "It is the same by day and by night.",
            "It cools evenly, it just never gets really cold.",
        ),
        "none": (
            "The one in our kitchen at home is colder.",
            "I put warm drinks in last night, and they weren't cold by breakfast.",
            "We are new to this and don't know what it ought to do.",
        ),
    }
)
"""What the owner has noticed, by fault; those of a heater's circuit are told by its heat source."""

_BESIDES = (
    "We bought it used two years ago.",
    "It was serviced last spring.",
    "A friend says that the cooling unit is gone.",
    "A neighbour says that it needs a new charge.",
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
    said += dict.fromkeys(_one(_hints(name, readings), random) for name in label)
    if level >= 2:
        said.insert(1 + int(random.integers(len(said))), _one(_BESIDES, random))
    return " ".join(said)


def _symptom(readings):
    if readings.values["cup"] > _HARDLY_COOLS:
        return _HARDLY
    if readings.values["cup"] > FOOD_LIMIT:
        return _NOT_ENOUGH
    return _RUNS if readings.values["duty"] >= _RUNS_ON else _DOUBTS


def _hints(name, readings):
    hints = HINTS[name] if name in HINTS else _WIRES[readings.heat_source]
    comes_and_goes = FOOD_LIMIT < readings.values["cup"] <= _HARDLY_COOLS
    return (*hints, _BY_THE_HOUR) if hints is _HEAT_CANT_LEAVE and comes_and_goes else hints


def _one(words, random):
    return words[int(random.integers(len(words)))]
