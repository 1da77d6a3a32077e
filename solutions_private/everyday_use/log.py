"""Part 3 of “Everyday use”: a log with an opened door and a sensor, and what becomes of the food."""

import numpy as np

from warmside.data import load
from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.wrong_turns import instead_of, less_32

from .days import KEPT

LOG = "use_log.csv"
_SAFETY = load("food_safety").number
MOST, MOST_IN_HEAT, HEAT = (_SAFETY(name) for name in ("hours_above", "hours_above_in_heat", "heat"))
OFF = 3.0  # °F; a sensor that is off by less is not what ails the box
_LAST = 12  # readings: six hours
WARM, COLD, DOOR, NO_MORE = "abcd"
NEITHER, MILK, SHOPPING, BOTH = "abcd"


def column(job: Job, name: str) -> np.ndarray:
    return job.card.column(LOG, name)


def sensor_error(job: Job) -> float:
    return float(column(job, "sensor_F")[-1] - column(job, "air_F")[-1]) / 1.8


SENSOR_ERROR = Item(
    name="sensor_error",
    title="Error of the sensor at the end",
    kind="temperature_difference",
    points=2,
    key=sensor_error,
    tolerance="0.2 °F",
    why="Two readings to a tenth of a degree each.",
    hint="Take what the logger says at hour 24 off what the sensor says: plus where the sensor reads high.",
    mistakes=(
        Mistake(
            "sign turned round",
            "The error is what the sensor says less what the logger says.",
            lambda job: -sensor_error(job),
        ),
        Mistake(
            "the sensor's reading given as its error",
            "Take the logger's reading off it.",
            lambda job: float(column(job, "sensor_F")[-1]) / 1.8,
        ),
        Mistake(
            "32 taken off a difference",
            "A difference has no 32 in it.",
            lambda job: less_32(sensor_error(job)),
        ),
    ),
)


def hours_above(job: Job) -> float:
    return float((column(job, "milk_F") > KEPT).sum()) * 1800.0


HOURS_ABOVE = Item(
    name="hours_above",
    title="Milk above 40 °F",
    kind="time",
    points=2,
    key=hours_above,
    tolerance="4 %",
    why="Readings are counted; no one lies so near to the line that it could count either way.",
    could_be=("0.4 h", "25 h"),
    hint="Count the readings of the milk above the line. Each stands for half an hour.",
    mistakes=(
        Mistake(
            "readings counted as hours",
            "There are two readings in each hour.",
            lambda job: 2.0 * hours_above(job),
            credit=0.5,
        ),
        Mistake(
            "readings counted as quarter hours",
            "There are two readings in each hour.",
            lambda job: 0.5 * hours_above(job),
        ),
        Mistake(
            "hours written as minutes",
            "Check the unit behind the number.",
            lambda job: hours_above(job) / 60.0,
        ),
    ),
)


def log_verdict(job: Job) -> str:
    off = sensor_error(job) * 1.8
    if abs(off) > OFF:
        return WARM if off > 0 else COLD
    return NO_MORE if column(job, "run_min")[-_LAST:].min() >= 30 else DOOR


LOG_VERDICT = Item(
    name="log_verdict",
    title="What the log says",
    kind="choice",
    points=2,
    key=log_verdict,
    choices=(WARM, COLD, DOOR, NO_MORE),
    hint="Does the sensor agree with the logger at the end? If so, does the unit rest in the last hours?",
    mistakes=(
        Mistake(
            "a sensor that feels too warm taken for the cause",
            "Lay the sensor's line over the logger's: which is higher, and by how much?",
            instead_of(log_verdict, WARM),
        ),
        Mistake(
            "a sensor that feels too cold taken for the cause",
            "Lay the sensor's line over the logger's: which is lower, and by how much?",
            instead_of(log_verdict, COLD),
        ),
        Mistake(
            "the door taken for all of it",
            "The door shows as a peak. Look at what stays when it is over.",
            instead_of(log_verdict, DOOR),
        ),
        Mistake(
            "the unit blamed",
            "A unit that has no more to give runs without a rest, and the box is warm. Does this one?",
            instead_of(log_verdict, NO_MORE),
        ),
    ),
)


def shopping_goes(job: Job) -> bool:
    return job["car_time"] > (MOST_IN_HEAT if job["car_temperature"] > HEAT else MOST)


def which_goes(job: Job) -> str:
    milk, shopping = job.value("hours_above") > MOST, shopping_goes(job)
    return BOTH if milk and shopping else MILK if milk else SHOPPING if shopping else NEITHER


GOES = {
    NEITHER: "Both may stay: neither was too warm for too long.",
    MILK: "The milk goes, as it was above the line for too long; the shopping may stay.",
    SHOPPING: "The shopping goes, as it stood in the car for too long; the milk may stay.",
    BOTH: "Both go: each was too warm for too long.",
}

WHICH_GOES = Item(
    name="which_goes",
    title="What is thrown away",
    kind="choice",
    points=2,
    key=which_goes,
    choices=(NEITHER, MILK, SHOPPING, BOTH),
    hint="Hold your hours of milk, and the card's time in the car, against the rule. In heat it is stricter.",
    decides=lambda job, given: GOES[which_goes(job)],
    mistakes=(
        Mistake(
            "both kept",
            "Hold each of the two against the rule, with its own hours.",
            instead_of(which_goes, NEITHER),
        ),
        Mistake(
            "the milk alone thrown away",
            "Hold the car's heat against the rule: which time holds there?",
            instead_of(which_goes, MILK),
        ),
        Mistake(
            "the shopping alone thrown away",
            "Count for how long the milk was above the line.",
            instead_of(which_goes, SHOPPING),
        ),
        Mistake(
            "both thrown away",
            "What was warm for a short time may stay. Hold each against its own time.",
            instead_of(which_goes, BOTH),
        ),
    ),
)

ITEMS = (SENSOR_ERROR, HOURS_ABOVE, LOG_VERDICT, WHICH_GOES)
