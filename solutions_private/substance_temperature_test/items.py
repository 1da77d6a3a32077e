"""The exercise “The substance-temperature test”: its items and its job card. Never released."""

import math
from typing import Any

from warmside.marking.exercise import Exercise
from warmside.marking.job_card import Draw, Entry, as_csv
from warmside.marking.temperature_log import logged
from warmside.model.cup import cup_heat_capacity, time_constant
from warmside.units import BTU_PER_HOUR, OUNCE

from . import cup, judgement
from .days import FOUND_OPEN_AT, HALF_RANGES, LEFT_OPEN, LIMIT, RATED, SCENARIOS, days
from .judgement import LOG, NOTE, VENTING_BAND

LIMIT_LABEL = "Food-compartment limit at that ambient"

ITEMS = (*cup.ITEMS, *judgement.ITEMS)


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw the lines of a job card and its temperature log.

    A log whose corrected cup lies within 1 °F of a limit is drawn again: nobody should win or lose by a
    rounding.
    """
    size = draw.pick(list(RATED))
    start = draw.between(62, 76, 1)
    error = draw.pick([-2.0, -1.6, -1.2, -0.8, 0.8, 1.2, 1.6, 2.0])
    ounces, conductance = draw.between(4.5, 8.5, 0.1), draw.between(0.20, 0.30, 0.01)
    entries = (
        Entry("size", "Refrigerator", f"{size}, absorption, on mains"),
        Entry("thermostat", "Thermostat", "at its usual setting, about 38 °F"),
        Entry("rated_ambient", "Rated ambient", f"{RATED[size]} °F", "temperature"),
        Entry("food_limit", LIMIT_LABEL, f"{LIMIT[size]} °F", "temperature"),
        Entry("ice_reading", "Your thermometer in ice water reads", f"{32 + error:.1f} °F", "temperature"),
        Entry("cup_water", "Water in the cup weighs", f"{ounces:.1f} oz", "mass"),
        Entry("water_at_start", "Water at the start", f"{start:.0f} °F", "temperature"),
        Entry("cabinet_air", "Cabinet air, steady", f"{draw.between(36, 41, 1):.0f} °F", "temperature"),
        Entry(
            "cup_conductance",
            "Conductance from cup to air",
            f"{conductance:.2f} Btu/(h °F)",
            "heat_conductance",
        ),
        Entry("reading_hour", "Early reading after", f"{draw.pick([2, 3])} h", "time"),
    )
    tau = float(time_constant(cup_heat_capacity(ounces * OUNCE), conductance * BTU_PER_HOUR * 1.8))
    scenario = draw.pick(list(SCENARIOS))
    while True:
        log = drawn_log(draw, scenario, size, tau, start, error)
        true_cup = log[-1]["cup_F"] - error
        if all(abs(true_cup - limit) > 1.0 for limit in (LIMIT[size], *VENTING_BAND)):
            return entries, {LOG: as_csv(log)}


def drawn_log(
    draw: Draw, scenario: str, size: str, tau: float, start: float, error: float
) -> list[dict[str, Any]]:
    """Return an invented log of 24 hours: what the thermometer in the cup, and two loggers, would show."""
    left_open = draw.pick(LEFT_OPEN[scenario])
    day = draw.pick(days(size, draw.pick(list(HALF_RANGES)), left_open)[scenario])
    remarks = {0: "cup put in, door shut"}
    if left_open:
        remarks[math.ceil((FOUND_OPEN_AT + left_open) / 3600.0)] = "door found open, shut again"
    return logged(day.first_hour, day.air, day.ambient, tau, start, error, remarks)


EXERCISE = Exercise(
    "substance_temperature_test", "The substance-temperature test", ITEMS, draw, by_hand=(NOTE,)
)
