"""The days that the log of “The substance-temperature test” is drawn from: invented, by the model.

All states of a size are stepped through a day together, which takes hardly longer than one of them.
"""

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations, product
from typing import NamedTuple

import numpy as np

from warmside.data import load
from warmside.marking.wrong_turns import fahrenheit, kelvin
from warmside.model.cabinet import Thermostat
from warmside.model.refrigerator import Installation, cup_test
from warmside.model.sizes import SIZES, usual_rating

RATED, LIMIT = (
    {size: load("ratings").fields[name].given[usual_rating(size)] for size in SIZES}  # °F
    for name in ("rated_ambient", "food_limit")
)
BAND = load("limits").fields["cup_points_at_venting"].given  # °F

SCENARIOS = ("proven", "mild day", "venting", "hardly cooling", "spoiled")
PROVEN, MILD_DAY, VENTING, HARDLY_COOLING, SPOILED = SCENARIOS
HALF_RANGES = {8: 9.0, 20: 12.0}
"""Clock at which the cup is put in [h], and half of the span from the hottest to the coolest hour [°F]."""
HOTTER, HOT = (1.0, 1.5, 2.0, 2.5, 3.0), (-1.0, -3.0, -5.0, -7.0)
MILDER = (-6.0, -9.0, -12.0, -15.0, -18.0)
"""From the rating to the day's hottest hour [°F]."""
USUAL = 38.0
ABOUT_USUAL = tuple(USUAL + quarters / 4 for quarters in range(-4, 5))
"""Settings of the thermostat [°F]."""
PUT_IN, FOUND_OPEN_AT = (0.0, 60.0), 21.1 * 3600.0
NEVER, BRIEFLY, LONG = 0.0, 6 * 60.0, 45 * 60.0
LEFT_OPEN = dict.fromkeys(SCENARIOS, (NEVER,)) | {
    MILD_DAY: (NEVER, BRIEFLY),
    SPOILED: (LONG,),
}
"""When the door is opened, and how long it is left [s]. That only warms: a cold cup held all the same."""
CLEAR, APART = 1.5, 0.35  # °F from a limit, and of means of the air from each other


class Day(NamedTuple):
    """What two loggers would show, each minute from the start to the end [°F]."""

    first_hour: int
    air: np.ndarray
    ambient: np.ndarray


class Case(NamedTuple):
    """A refrigerator, what its day is to show, and its hottest hour and the setting [°F]."""

    scenario: str
    hottest: float
    setting: float
    changes: dict[str, float]


def cases(rated: float) -> Iterator[Case]:
    """Go through refrigerators of a rating; what their days don't show by the log is left out later."""
    shut = [
        {name: share}
        for name in ("lower_vent_blocked", "upper_vent_blocked", "fin_fouling")
        for share in (0.65, 0.7, 0.75, 0.8, 0.85)
    ]
    weak = [{"heat_share": share} for share in (0.3, 0.4, 0.5)]
    weak += [{"circulation": share} for share in (0.1, 0.15, 0.2)]
    for scenario, above, settings, states in (
        (PROVEN, HOTTER, ABOUT_USUAL, [{}]),
        (MILD_DAY, MILDER, ABOUT_USUAL, [{}]),
        (SPOILED, (*HOTTER, *MILDER), (USUAL,), [{}]),
        (VENTING, HOT, (USUAL,), shut),
        (HARDLY_COOLING, (*HOT, *MILDER), (USUAL,), weak),
    ):
        for by, setting, state in product(above, settings, states):
            yield Case(scenario, rated + by, setting, state)


@lru_cache(maxsize=16)
def days(size: str, first_hour: int, left_open: float) -> dict[str, list[Day]]:
    """Return the days of tests begun at this hour, by scenario, whose door was left open so long [s]."""
    chosen = [case for case in cases(RATED[size]) if left_open in LEFT_OPEN[case.scenario]]

    def column(name: str, otherwise: float) -> np.ndarray:
        return np.array([case.changes.get(name, otherwise) for case in chosen])

    installation = Installation.of(
        size,
        lower_vent_blocked=column("lower_vent_blocked", 0.0),
        upper_vent_blocked=column("upper_vent_blocked", 0.0),
        fin_fouling=column("fin_fouling", 0.0),
        circulation=column("circulation", 1.0),
        heat_input=Installation.of(size).heat_input * column("heat_share", 1.0),
    )
    half_range = HALF_RANGES[first_hour]
    test = cup_test(
        installation,
        kelvin(np.array([case.hottest for case in chosen]) - half_range),
        half_range=half_range / 1.8,
        start_of_day=first_hour * 3600.0,
        thermostat=Thermostat(setting=kelvin(np.array([case.setting for case in chosen]))),
        openings=[PUT_IN, (FOUND_OPEN_AT, left_open)] if left_open else [PUT_IN],
    )
    air, ambient = fahrenheit(test.food_air_temperature), fahrenheit(test.ambient_temperature)
    ambient = np.concatenate([ambient, ambient[:, :1]], axis=1)  # a day later it is the same again
    cup = fahrenheit(test.cup_temperature[:, -1])
    found: dict[str, list[Day]] = {scenario: [] for scenario in SCENARIOS}
    for case, one, outside, end, converged in zip(chosen, air, ambient, cup, test.converged, strict=True):
        if converged and shows(case.scenario, one, end, LIMIT[size], left_open) and lie_apart(one):
            found[case.scenario].append(Day(first_hour, one, outside))
    return found


def shows(scenario: str, air: np.ndarray, cup: float, limit: float, left_open: float) -> bool:
    """Whether a day shows clearly what it is to show; where it holds, it does so at all hours."""
    if scenario in (PROVEN, MILD_DAY):
        return cup < limit - CLEAR and bool(left_open or air[60:].max() < limit)
    if scenario == VENTING:
        return BAND[0] + CLEAR < cup < BAND[1] - CLEAR
    return cup > (limit if scenario == SPOILED else BAND[1]) + CLEAR


def lie_apart(air: np.ndarray) -> bool:
    """Whether the mean of the last six readings can't be mixed up with what may be taken for it."""
    readings = air[::60]
    means = readings[-6:].mean(), readings[-1], readings.mean()
    return all(abs(one - other) > APART for one, other in combinations(means, 2))
