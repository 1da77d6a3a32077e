"""Part 3 of “The absorption cycle”: the log of a sealed unit."""

from functools import lru_cache

import numpy as np

from warmside.data import load
from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, as_csv
from warmside.marking.wrong_turns import fahrenheit, instead_of, kelvin
from warmside.model.refrigerator import Installation, steady_state

LOG = "unit_log.csv"
_LAGS = load("unit_log")
_EACH, _LENGTH = 20, 12 * 60  # min
_MOVED = 2.0  # °F; of absorber or boiler: more than the log's rounding

STOPPED, NO_HEAT, RESTED, HOT_AIR = "abcd"
CHANGES = {
    STOPPED: {"circulation": 0.0},
    NO_HEAT: {"heat_input": 0.0},
    RESTED: {"heat_input": 0.0},  # for a while
    HOT_AIR: {"lower_vent_blocked": 0.85},
}
"""What the model is told of each; nine in ten plausible refrigerators settle on the same side."""


# --- reading ------------------------------------------------------------------------------------------------


def readings(job: Job) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return boiler, absorber and the air of the log [°F]."""
    boiler, absorber, air = (job.card.column(LOG, f"{name}_F") for name in ("boiler", "absorber", "air"))
    return boiler, absorber, air


def steady_rows(job: Job) -> int:
    """Return how many rows there are before anything moves."""
    boiler, absorber, _ = readings(job)
    moved = (np.abs(boiler - boiler[0]) > _MOVED) | (np.abs(absorber - absorber[0]) > _MOVED)
    return int(np.argmax(moved))


def change_at(job: Job) -> float:
    """Return when the log begins to change, after it began [s]: its last row as before."""
    return 60.0 * _EACH * (steady_rows(job) - 1)


def clock_began(job: Job) -> float:
    hours, minutes = job.card.table(LOG)[0]["clock"].split(":")
    return 3600.0 * int(hours) + 60.0 * int(minutes)


def settled_at(job: Job) -> float:
    """Return from when on both stay where they end [s]."""
    boiler, absorber, _ = readings(job)
    away = (np.abs(boiler - boiler[-1]) > _MOVED) | (np.abs(absorber - absorber[-1]) > _MOVED)
    return 60.0 * _EACH * (int(np.flatnonzero(away)[-1]) + 1)


CHANGE_AT = Item(
    name="change_at",
    title="When it begins",
    kind="time",
    points=2,
    key=change_at,
    tolerance="20 min",
    why="The log has a reading every 20 minutes.",
    hint="Go along the level part to its last point, then straight down to the hours.",
    mistakes=(
        Mistake(
            "the clock read in place of the hours since the log began",
            "That is the time of day. Asked is how long after the log began.",
            lambda job: clock_began(job) + change_at(job),
            credit=0.5,
        ),
        Mistake(
            "the end of the change read",
            "There it has come to rest again. Look for where it first leaves its level.",
            settled_at,
            credit=0.25,
        ),
        Mistake(
            "counted back from the log's end",
            "Count from where the log begins, at the left.",
            lambda job: 60.0 * _LENGTH - change_at(job),
            credit=0.25,
        ),
    ),
)


def what_happened(job: Job) -> str:
    boiler, absorber, _ = readings(job)
    if min(boiler) < boiler[0] - 50.0:
        return RESTED if boiler[-1] > boiler[0] - 10.0 else NO_HEAT
    return HOT_AIR if absorber[-1] > absorber[0] else STOPPED


WHAT_HAPPENED = Item(
    name="what_happened",
    title="What the log says",
    kind="choice",
    points=3,
    choices=(STOPPED, NO_HEAT, RESTED, HOT_AIR),
    key=what_happened,
    hint="Which way does the boiler go, which way the absorber, and do they come back by themselves?",
    mistakes=(
        Mistake(
            "a stopped circulation read where there is none",
            "Where nothing goes round, the boiler gets hotter and the absorber cooler, both for good.",
            instead_of(what_happened, STOPPED),
        ),
        Mistake(
            "lost heat read where the heat is there",
            "Without heat the boiler falls to the air's temperature and stays there.",
            instead_of(what_happened, NO_HEAT),
        ),
        Mistake(
            "a rest of the thermostat read where there is none",
            "After a rest both come back by themselves, to where they were.",
            instead_of(what_happened, RESTED),
        ),
        Mistake(
            "trapped warm air read where there is none",
            "In air that can't leave, boiler and absorber both get warmer.",
            instead_of(what_happened, HOT_AIR),
        ),
    ),
)


# --- the log ------------------------------------------------------------------------------------------------


@lru_cache(maxsize=64)
def settles(size: str, ambient: float, happened: str | None) -> tuple[float, float]:
    """Return where boiler and absorber settle, by the model [°F]."""
    changes = CHANGES[happened] if happened else {}
    state = steady_state(Installation.of(size, **changes), kelvin(ambient))
    return fahrenheit(float(state.boiler_temperature)), fahrenheit(float(state.absorber_temperature))


def follow(goals: np.ndarray, start: float, lag: float) -> np.ndarray:
    """Return what comes after its goals with a lag [min], minute by minute."""
    part, values = -np.expm1(-1.0 / lag), [start]
    for goal in goals[1:]:
        values.append(values[-1] + part * (goal - values[-1]))
    return np.array(values)


def unit_log(draw: Draw) -> str:
    """Draw an invented log of twelve hours in a hall of one temperature, in which one thing changes."""
    size, ambient = draw.pick(["8 cu ft", "18 cu ft"]), draw.between(74, 86, 1)
    happened = draw.pick(list(CHANGES))
    begins = _EACH * draw.pick([*range(9, 15), *range(22, 25)])
    lasts = _EACH * draw.pick([3, 4, 5]) if happened == RESTED else _LENGTH
    clock = 60 * draw.pick([6, 7, 8, 9]) + draw.pick([0, 20, 40])
    minutes = np.arange(_LENGTH + 1)
    changed = (minutes > begins) & (minutes <= begins + lasts)
    columns = []
    before, after = settles(size, ambient, None), settles(size, ambient, happened)
    for name, start, goal in zip(("boiler_lag", "absorber_lag"), before, after, strict=True):
        columns.append(follow(np.where(changed, goal, start), start, _LAGS.number(name) / 60.0))
    return as_csv(
        [
            {
                "since": hours_and_minutes(minute),
                "clock": f"{(clock + minute) // 60 % 24:02d}:{(clock + minute) % 60:02d}",
                "boiler_F": f"{columns[0][minute]:.0f}",
                "absorber_F": f"{columns[1][minute]:.0f}",
                "air_F": f"{ambient:.0f}",
            }
            for minute in range(0, _LENGTH + 1, _EACH)
        ]
    )


def hours_and_minutes(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02d}"


ITEMS = (CHANGE_AT, WHAT_HAPPENED)
