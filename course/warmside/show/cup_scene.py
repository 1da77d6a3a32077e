"""The scene of a cup test: the numbers and texts that the page's script draws, by name, over a day."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache, lru_cache
from typing import Any

import numpy as np

from warmside.show.because import percent
from warmside.show.cup_because import Reasons, tenths
from warmside.show.departures import MEMBERS
from warmside.show.enclosure import HONEST, Enclosure, degrees, difference, temperature
from warmside.show.enclosure_scene import marks, sizes
from warmside.show.lab import SYSTEMS
from warmside.show.scene_lab import agreed
from warmside.show.substance_temperature import (
    DOORS,
    HOURS,
    LIMITS,
    RATING,
    CupTest,
    Reader,
    Reading,
    day_of,
    plausible_days,
)

_EVERY = 5  # minutes between two numbers of a series
_BY_HOUR = 2  # texts an hour
_SAME = 1 / 1.8  # K; a change of the cup that a household thermometer doesn't show
_TENTHS = 10.0, 90.0
_SIZES = {**sizes(Enclosure()), "rear_gap": Enclosure.rear_gap}
_BEGINS = 8  # o'clock
_TEMPERATURES = {"US": range(-20, 131, 10), "SI": range(-30, 56, 5)}


@cache
def scene_page() -> dict[str, Any]:
    """Return what the page is told once: marks of the chart, its limits, and how the day is cut up."""
    systems = {
        system: {
            **dict(zip(("unit", "zero", "degree"), degrees(system), strict=True)),
            "temperatures": marks(_TEMPERATURES[system], system),
            "limits": [[limit.temperature, _limit(limit.temperature, system)] for limit in LIMITS],
        }
        for system in SYSTEMS
    }
    day = {"hours": HOURS, "minutes": _EVERY, "texts": _BY_HOUR, "begins": _BEGINS}
    return {"systems": systems, "honest": HONEST, "day": day, "scrub": "reading_time"}


def _limit(kelvin: float, system: str) -> str:
    return temperature(kelvin, system, int(system == "SI"))


def cup_scene(test: CupTest, system: str = "US") -> dict[str, Any]:
    """Return what the page draws of a test: settings, sizes, temperatures of the day [SI], texts."""
    reasons = Reasons(test)
    return {
        **day_scene(test, lambda time: _texts(reasons, time, system)),
        "limit": RATING,
        "day_text": "" if not test.day_swing else f"{difference(test.day_swing, system)} up and down",
        "vent_text": f"lower vent{f', {percent(test.lower_blocked)} shut' if test.lower_blocked else ''}",
    }


def day_scene(test: CupTest, texts: Callable[[float], dict[str, Any]]) -> dict[str, Any]:
    """Return what is drawn of a test's day: settings, sizes, temperatures [SI], and texts at a time [s]."""
    day = day_of(test)
    hours = np.arange(HOURS * _BY_HOUR + 1) / _BY_HOUR
    return {
        **vars(test),
        **_SIZES,
        **{name: _series(getattr(day, name)) for name in ("cup", "air", "freezer")},
        "outside_air": _series(day.outside),
        "runs": day.running[::_EVERY].astype(int).tolist(),
        "opened": _opened(test),
        "lowest": round(float(min(day.air.min(), day.cup.min())), 2),
        "highest": round(float(max(day.air.max(), day.cup.max())), 2),
        "hours": [texts(3600.0 * float(hour)) for hour in hours],
    }


def _series(temperatures: np.ndarray) -> list[float]:
    return np.round(temperatures[::_EVERY], 3).tolist()


def _opened(test: CupTest) -> list[int]:
    """Return at which numbers of a series the door stands open."""
    step = 60.0 * _EVERY
    spans = [(begin, begin + length) for begin, length in DOORS[test.door]]
    return [k for begin, end in spans for k in range(round(begin / step), int(np.ceil(end / step)))]


def _texts(reasons: Reasons, time: float, system: str) -> dict[str, Any]:
    """Return what the reading at a time is worth: number, mark, and sentence."""
    now = reasons.reader.at(time)
    mark, says, good = _worth(now, system)
    said = reasons.at(time, system, now)
    return {
        "number": tenths(now.shown, system),
        "margin_text": mark,
        "margin_says": says,
        "good": good,
        "words": said,
    }


def _worth(now: Reading, system: str) -> tuple[str, str, bool]:
    limit = _limit(RATING, system)
    if not now.is_settled:
        return "✘ too early", f"{difference(now.left, system)} of its start are left", False
    if now.misleads:
        return "✘ misread", f"settled; the water is at {tenths(now.water, system)}", False
    if now.holds:
        return "✔ settled", f"and within {limit}", True
    return "✘ settled", f"and warmer than {limit}", False


# --- what takes longer, once the hand rests ---------------------------------------------------------------


def cup_details(test: CupTest, system: str = "US") -> dict[str, Any]:
    """Return nothing: what plausible refrigerators do takes longer."""
    del test, system
    return {}


def cup_costs(test: CupTest, system: str = "US") -> dict[str, Any]:
    """Return between which temperatures the cup of eight in ten plausible refrigerators is, over the day."""
    del system
    cups = plausible_cups(test)
    low, high = np.percentile(cups, _TENTHS, axis=0) + test.thermometer_error
    return {"band": [_series(low), _series(high)]}


def plausible_cups(test: CupTest) -> np.ndarray:
    """Return the cups of plausible refrigerators over the day [K], shape (members, minutes + 1)."""
    return _cups(replace(test, reading_time=0.0, thermometer_error=0.0))


@lru_cache(maxsize=16)
def _cups(test: CupTest) -> np.ndarray:
    return plausible_days(test, MEMBERS).cup_temperature.reshape(MEMBERS, -1)


def judge(before: CupTest, now: CupTest, said: int, system: str = "US") -> str:
    """Say whether a prediction for the cup after a day was right: -1 colder, 0 the same, 1 warmer.

    It is right or wrong only where nine in ten plausible refrigerators agree.
    """
    old, new = (plausible_cups(one)[:, -1] for one in (before, now))
    verdict, turn = agreed(new - old, _SAME, said, {-1: "reads less", 0: "reads the same", 1: "reads more"})
    if turn is None:
        return verdict
    end = 3600.0 * HOURS
    was, comes_to = (tenths(Reader(one).at(end).shown, system) for one in (before, now))
    low, high = (tenths(each, system) for each in day_of(now).range_of("air", 0.0, end))
    return f"{verdict} after 24 hours: {was} and {comes_to}. The air went from {low} to {high}."
