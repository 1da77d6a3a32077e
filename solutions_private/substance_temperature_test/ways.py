"""The way to each right answer of “The substance-temperature test”, with a card's numbers. Never released."""

import math

import numpy as np

from warmside.marking.exercise import Job
from warmside.marking.ways import Given, Way, figures, on_card, us

from .judgement import LOG, NEXT, PROVES, verdict, was_open


def pounds(job: Job) -> float:
    return us(job, "cup_water")


def drop(job: Job) -> float:
    """How far the water is above the cabinet at the start [°F]."""
    return us(job, "water_at_start") - us(job, "cabinet_air")


def hours(job: Job) -> float:
    """Time constant of the cup [h]."""
    return pounds(job) / us(job, "cup_conductance")


def error(job: Job) -> float:
    return us(job, "ice_reading") - 32.0


def column(job: Job, name: str) -> np.ndarray:
    return job.card.column(LOG, name)


def cup(job: Job) -> float:
    return float(column(job, "cup_F")[-1]) - error(job)


def thermometer_error(job: Job, given: Given) -> tuple[str, ...]:
    return (f"{on_card(job, 'ice_reading')} in ice water less 32 °F is {error(job):+.1f} °F.",)


def heat_from_water(job: Job, given: Given) -> tuple[str, ...]:
    weight, fall = pounds(job), drop(job)
    return (
        f"{on_card(job, 'cup_water')} over 16 is {figures(weight)} lb. It cools from "
        f"{on_card(job, 'water_at_start')} to {on_card(job, 'cabinet_air')}, by {figures(fall)} °F.",
        f"{figures(weight)} lb × 1 Btu/(lb °F) × {figures(fall)} °F = {figures(weight * fall)} Btu",
    )


def cup_time_constant(job: Job, given: Given) -> tuple[str, ...]:
    weight = figures(pounds(job))
    return (
        f"Heat capacity, {weight} lb × 1 Btu/(lb °F), over {on_card(job, 'cup_conductance')}.",
        f"{weight} / {figures(us(job, 'cup_conductance'))} = {figures(hours(job))} h",
    )


def cup_at_early_reading(job: Job, given: Given) -> tuple[str, ...]:
    air, after = us(job, "cabinet_air"), us(job, "reading_hour")
    left = math.exp(-after / hours(job))
    return (
        f"Of {figures(drop(job))} °F above the cabinet e^(-{figures(after)} h / {figures(hours(job))} h) = "
        f"{figures(left)} is left: {figures(drop(job) * left)} °F.",
        f"{figures(air)} °F + {figures(drop(job) * left)} °F = {air + drop(job) * left:.1f} °F",
    )


def hours_to_settle(job: Job, given: Given) -> tuple[str, ...]:
    settled = hours(job) * math.log(drop(job))
    return (
        f"{figures(drop(job))} °F shrink to 1 °F after ln({figures(drop(job))}) time constants.",
        f"{figures(hours(job))} h × {figures(math.log(drop(job)))} = {figures(settled)} h",
    )


def cup_at_24_hours(job: Job, given: Given) -> tuple[str, ...]:
    reading = column(job, "cup_F")[-1]
    return (f"{reading:.1f} °F at hour 24, less the error of {error(job):+.1f} °F: {cup(job):.1f} °F",)


def mean_air_last_6_hours(job: Job, given: Given) -> tuple[str, ...]:
    last = column(job, "cabinet_air_F")[-6:]
    return (
        f"Hours 19 to 24: ({' + '.join(f'{each:.1f}' for each in last)}) °F over 6 = {last.mean():.2f} °F",
    )


def highest_ambient(job: Job, given: Given) -> tuple[str, ...]:
    ambient = column(job, "ambient_F")
    return (f"The ambient is highest at hour {int(ambient.argmax())} of the log: {ambient.max():.1f} °F",)


def margin_below_limit(job: Job, given: Given) -> tuple[str, ...]:
    limit = us(job, "food_limit")
    return (f"Limit less corrected cup: {limit:.1f} °F - {cup(job):.1f} °F = {limit - cup(job):.1f} °F",)


def which_limit(job: Job, given: Given) -> tuple[str, ...]:
    return (
        "Who sets it, and for what: 43 °F at the rated ambient rates an appliance, 40 °F is advice for food "
        "at home, 41 °F a rule for those who sell food.",
    )


def judged(job: Job, given: Given) -> tuple[str, ...]:
    truth = verdict(job)
    said = (
        f"Corrected cup {cup(job):.1f} °F, limit {on_card(job, 'food_limit')}; hottest hour "
        f"{column(job, 'ambient_F').max():.1f} °F, rating {on_card(job, 'rated_ambient')}."
    )
    door = ("The remarks say that the door was found open, which warms the cup and never cools it.",)
    proves = (f"It proves: {PROVES[truth]}.", f"What comes next: {NEXT[truth]}.")
    return (said, *(door if was_open(job) else ()), *proves)


WAYS: dict[str, Way] = {
    "thermometer_error": thermometer_error,
    "heat_from_water": heat_from_water,
    "cup_time_constant": cup_time_constant,
    "cup_at_early_reading": cup_at_early_reading,
    "hours_to_settle": hours_to_settle,
    "cup_at_24_hours": cup_at_24_hours,
    "mean_air_last_6_hours": mean_air_last_6_hours,
    "highest_ambient": highest_ambient,
    "margin_below_limit": margin_below_limit,
    "which_limit": which_limit,
    "verdict": judged,
}
