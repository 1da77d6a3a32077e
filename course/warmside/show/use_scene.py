"""The scene of a day of use: the cup's stage and day, with what is put in, opened, defrosted and set."""

from functools import cache
from typing import Any

import numpy as np

from warmside.data import load
from warmside.show.cup_because import tenths
from warmside.show.cup_scene import cup_costs, cup_details, day_scene, plausible_cups, scene_page
from warmside.show.enclosure import difference
from warmside.show.scene_lab import agreed
from warmside.show.substance_temperature import CupTest, day_of
from warmside.show.use_because import KEPT, Reasons, hours_above, kept
from warmside.units import ZERO_CELSIUS

_SAME = 1 / 1.8  # K; a change of the cup that a household thermometer doesn't show
_HOUR = 3600.0
MOST_HOURS = load("food_safety").number("hours_above") / _HOUR
"""Above 40 °F, after which food is thrown away [h]."""

use_details, use_costs = cup_details, cup_costs


@cache
def use_page() -> dict[str, Any]:
    """Return what the page is told once."""
    return scene_page()


def use_scene(test: CupTest, system: str = "US") -> dict[str, Any]:
    """Return what the page draws of a day of use: settings, sizes, temperatures of the day [SI], texts."""
    reasons = Reasons(test)
    day = reasons.day
    return {
        **day_scene(test, lambda time: _texts(reasons, time, system)),
        "limit": KEPT,
        "range_text": f"from {tenths(day.cup.min(), system)} to {tenths(day.cup.max(), system)}",
        "day_text": "" if not test.day_swing else f"{difference(test.day_swing, system)} up and down",
        "vent_text": "",
        "spans": "day",
        "sensor_text": _sensor(test, system),
    }


def _sensor(test: CupTest, system: str) -> str:
    if abs(test.sensor_error) < 0.1:
        return "sensor right"
    return f"sensor {difference(test.sensor_error, system)} {'warm' if test.sensor_error > 0 else 'cold'}"


def _texts(reasons: Reasons, time: float, system: str) -> dict[str, Any]:
    mark, says, good = _worth(reasons, time, system)
    return {
        "number": tenths(reasons.day.at("cup", time), system),
        "margin_text": mark,
        "margin_says": says,
        "good": good,
        "words": reasons.at(time, system),
    }


def _worth(reasons: Reasons, time: float, system: str) -> tuple[str, str, bool]:
    """Return what has become of food that stood beside the cup: mark, reason, and whether it is good."""
    limit, above = kept(system), hours_above(reasons.day, time) / _HOUR
    if above > MOST_HOURS:
        return "✘ throw it out", f"{above:.1f} h above {limit} so far", False
    if float(reasons.day.cup[: round(time / 60.0) + 1].min()) < ZERO_CELSIUS:
        return "✘ frozen", "what stands beside it too", False
    if above:
        return "✔ kept", f"{above:.1f} h above {limit} so far", True
    return "✔ kept", f"never above {limit} so far", True


def judge(before: CupTest, now: CupTest, said: int, system: str = "US") -> str:
    """Say whether a prediction for the cup at its worst was right: -1 colder, 0 the same, 1 warmer.

    It is right or wrong only where nine in ten plausible refrigerators agree.
    """
    old, new = (plausible_cups(one) for one in (before, now))
    warmer, colder = new.max(axis=1) - old.max(axis=1), new.min(axis=1) - old.min(axis=1)
    changes = np.where(np.abs(warmer) >= np.abs(colder), warmer, colder)
    words = {-1: "gets colder", 0: "stays the same", 1: "gets warmer"}
    verdict, turn = agreed(changes, _SAME, said, words)
    if turn is None:
        return verdict
    was, comes_to = (
        " to ".join(tenths(each, system) for each in day_of(one).range_of("cup", 0.0, 24 * _HOUR))
        for one in (before, now)
    )
    return f"{verdict}: it was {was} over the day, and is {comes_to}."
