"""The exercise “Everyday use and upkeep”: its items and its job card. Never released."""

from functools import cache
from typing import Any

import numpy as np

from warmside.marking.exercise import Exercise
from warmside.marking.job_card import Draw, Entry, as_csv
from warmside.marking.wrong_turns import kelvin
from warmside.model.refrigerator import Installation, door_recovery
from warmside.units import BTU_PER_HOUR

from . import care, load, log, plan
from .care import NOTE, STOPS, WORKS
from .days import DOOR, FIRST_HOUR, SCENARIOS, SENSOR_WARM, SETTING, Day, days
from .load import HOLDS, LESS, MORE
from .log import LOG
from .plan import EARLIER, LASTS, LATER

ITEMS = (*load.ITEMS, *plan.ITEMS, *log.ITEMS, *care.ITEMS)
_BTU = BTU_PER_HOUR * 3600.0  # J
_RATIOS = {HOLDS: (0.82, 1.18), MORE: (1.5, 9.0), LESS: (0.2, 0.6)}  # minutes for each second
_BETWEEN = {LASTS: (24, 48), LATER: (25, 26, 28, 30), EARLIER: (18, 20, 22, 23)}  # h
_IN_THE_CAR = {  # minutes that may pass, and that are too many: in heat and else
    (True, False): (30, 50),
    (True, True): (70, 110),
    (False, False): (70, 110),
    (False, True): (135, 200),
}
_MILK_KEPT = 0.7  # of the days on which it can be


@cache
def _openings() -> dict[str, list[tuple[float, float, float, float]]]:
    """Return days [°F] and openings [s], what they let in [Btu], what is to spare [Btu/h], by letter."""
    outside, seconds = np.arange(64.0, 98.0), np.arange(15.0, 41.0, 5.0)
    again = door_recovery(Installation.of("8 cu ft"), kelvin(outside)[:, np.newaxis], seconds)
    found: dict[str, list[tuple[float, float, float, float]]] = {letter: [] for letter in _RATIOS}
    for (day, opening), joules in np.ndenumerate(again.heat):
        heat = round(float(joules) / _BTU, 1)
        spare = round(float(again.spare_cooling[day, opening]) / BTU_PER_HOUR)
        for letter, (low, high) in _RATIOS.items():
            if low < 60.0 * heat / spare / seconds[opening] < high:
                found[letter].append((float(outside[day]), float(seconds[opening]), heat, spare))
    return found


def _defrosts(draw: Draw) -> dict[str, float]:
    """Return the times of a defrost plan [h] whose hour of power-up isn't near midnight."""
    while True:
        times = {
            "first_defrost": draw.between(12, 40, 1),
            "defrost_takes": draw.pick([0.5, 1, 1.5, 2]),
            "cooking_from": draw.between(5.5, 8, 0.5),
        }
        if 1 < (times["cooking_from"] - times["defrost_takes"] - times["first_defrost"]) % 24 < 23:
            return times


def _rows(day: Day) -> list[dict[str, Any]]:
    return [
        {
            "hour": half / 2,
            "clock": f"{(FIRST_HOUR + half // 2) % 24:02d}:{30 * (half % 2):02d}",
            "sensor_F": float(day.sensor[half]),
            "air_F": float(day.air[half]),
            "milk_F": float(day.milk[half]),
            "run_min": int(day.runs[half]),
        }
        for half in range(day.milk.size)
    ]


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw the lines of a job card and its log."""
    outside, seconds, heat, spare = draw.pick(_openings()[draw.pick(list(_RATIOS))])
    times = _defrosts(draw)
    between = draw.pick(_BETWEEN[draw.pick([LASTS, LATER, EARLIER])])
    hot, too_long = draw.pick([True, False]), draw.pick([True, False])
    scenario = draw.pick(SCENARIOS)
    kept = scenario in (SENSOR_WARM, DOOR) and draw.between(0, 1, 0.01) < _MILK_KEPT
    day = draw.pick(days(scenario)[not kept])
    entries = (
        Entry("setting", "Thermostat", f"{SETTING:.0f} °F", "temperature"),
        Entry("outside", "Outside and in the room", f"{outside:.0f} °F", "temperature"),
        Entry("load", "Load weighs", f"{draw.between(10, 30, 1):.0f} lb", "mass"),
        Entry("load_temperature", "Load comes at", f"{draw.between(66, 88, 1):.0f} °F", "temperature"),
        Entry(
            "food_heat",
            "A pound of it takes for each °F",
            f"{draw.between(0.70, 0.88, 0.01):.2f} Btu/(lb °F)",
            "specific_heat",
        ),
        Entry("spare", "The unit has to spare", f"{spare} Btu/h", "power"),
        Entry("open_time", "Door open for", f"{seconds:.0f} s", "time"),
        Entry("door_heat", "The open door lets in", f"{heat:.1f} Btu", "energy"),
        Entry("first_defrost", "First defrost after", f"{times['first_defrost']:g} h", "time"),
        Entry("between_defrosts", "From one defrost to the next", f"{between} h", "time"),
        Entry("defrost_takes", "A defrost takes", f"{times['defrost_takes']:g} h", "time"),
        Entry("cooking_from", "People cook from", f"{times['cooking_from']:g} h", "time"),
        Entry("cooking_to", "People cook until", f"{draw.between(20, 22.5, 0.5):g} h", "time"),
        Entry(
            "car_temperature",
            "In the car it was",
            f"{draw.between(93, 108, 1) if hot else draw.between(70, 86, 1):.0f} °F",
            "temperature",
        ),
        Entry(
            "car_time",
            "The shopping stood there for",
            f"{draw.between(*_IN_THE_CAR[hot, too_long], 5):.0f} min",
            "time",
        ),
        Entry("next_stop", "Next stop", draw.pick(STOPS[draw.pick(list(STOPS))])),
        Entry("work", "Yearly work", draw.pick(WORKS[draw.pick(list(WORKS))])),
    )
    return entries, {LOG: as_csv(_rows(day))}


EXERCISE = Exercise("everyday_use", "Everyday use and upkeep", ITEMS, draw, by_hand=(NOTE,))
