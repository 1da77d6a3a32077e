"""Parts 2 and 3 of “The substance-temperature test”: the log, and what it proves."""

import numpy as np

from warmside.data import load
from warmside.marking.exercise import ByHand, Item, Job, Mistake
from warmside.marking.wrong_turns import fahrenheit, instead_of, kelvin, read_as_celsius

from .cup import MIND_UNITS

LOG = "temperature_log.csv"
VENTING_BAND = load("limits").fields["cup_points_at_venting"].given  # °F


def column(job: Job, name: str) -> np.ndarray:
    """Return a column of the temperature log in K, one value for each hour."""
    return kelvin(job.card.column(LOG, name))


# --- log ----------------------------------------------------------------------------------------------------


def cup_at_24_hours(job: Job) -> float:
    return column(job, "cup_F")[-1] - job.value("thermometer_error")


CUP_AT_24_HOURS = Item(
    name="cup_at_24_hours",
    title="Cup after 24 hours, corrected",
    kind="temperature",
    points=2,
    key=cup_at_24_hours,
    tolerance="0.2 °F",
    why="Two readings to a tenth of a degree each.",
    could_be=("25 °F", "115 °F"),
    hint="Read the cup's column at hour 24, then take the thermometer's error off.",
    mistakes=(
        Mistake(
            "thermometer's error not taken off",
            "The reading is right; now correct it by the error that the ice water showed.",
            lambda job: float(column(job, "cup_F")[-1]),
            credit=0.5,
        ),
        Mistake(
            "corrected the wrong way",
            "A thermometer that reads high needs its error taken off, not added.",
            lambda job: float(column(job, "cup_F")[-1]) + job.value("thermometer_error"),
            credit=0.5,
        ),
        Mistake(
            "°F taken as °C",
            MIND_UNITS,
            lambda job: read_as_celsius(cup_at_24_hours(job)),
        ),
    ),
)


def mean_air_last_6_hours(job: Job) -> float:
    return float(column(job, "cabinet_air_F")[-6:].mean())


MEAN_AIR_LAST_6_HOURS = Item(
    name="mean_air_last_6_hours",
    title="Mean cabinet air, last 6 hours",
    kind="temperature",
    points=2,
    key=mean_air_last_6_hours,
    tolerance="0.1 °F",
    why="Rounding of a mean of readings to a tenth of a degree.",
    hint="Add the cabinet-air readings of hours 19 to 24 and divide by six.",
    mistakes=(
        Mistake(
            "the last reading alone",
            "One reading catches the thermostat wherever it is; take the mean of the last six.",
            lambda job: float(column(job, "cabinet_air_F")[-1]),
        ),
        Mistake(
            "mean of the whole log",
            "Only hours 19 to 24 are asked.",
            lambda job: float(column(job, "cabinet_air_F").mean()),
        ),
        Mistake("°F taken as °C", MIND_UNITS, lambda job: read_as_celsius(mean_air_last_6_hours(job))),
    ),
)


def highest_ambient(job: Job) -> float:
    return float(column(job, "ambient_F").max())


HIGHEST_AMBIENT = Item(
    name="highest_ambient",
    title="Highest ambient",
    kind="temperature",
    points=1,
    key=highest_ambient,
    tolerance="0.2 °F",
    why="The log shows tenths of a degree.",
    could_be=("40 °F", "140 °F"),
    hint="Look down the ambient column for its highest value.",
    mistakes=(
        Mistake(
            "ambient at the hour of reading",
            "That is the ambient at hour 24; look for the highest of the whole log.",
            lambda job: float(column(job, "ambient_F")[-1]),
        ),
        Mistake(
            "mean ambient",
            "That is the mean; the rating is about the hottest hours.",
            lambda job: float(column(job, "ambient_F").mean()),
        ),
    ),
)


def margin_below_limit(job: Job) -> float:
    return job["food_limit"] - job.value("cup_at_24_hours")


MARGIN_BELOW_LIMIT = Item(
    name="margin_below_limit",
    title="Margin below the limit",
    kind="temperature_difference",
    points=2,
    key=margin_below_limit,
    tolerance="0.2 °F",
    why="Two readings to a tenth of a degree each.",
    hint="Take the corrected cup off the limit: plus means colder than the limit.",
    mistakes=(
        Mistake(
            "sign of the margin turned round",
            "The margin is limit less cup: plus when the cup is colder than the limit.",
            lambda job: -margin_below_limit(job),
            credit=0.5,
        ),
        Mistake(
            "32 taken off a temperature difference",
            "A difference in °F becomes °C by dividing by 1.8 alone; the 32 is only for temperatures.",
            lambda job: (margin_below_limit(job) * 1.8 - 32) / 1.8,
        ),
    ),
)


# --- judgement ----------------------------------------------------------------------------------------------


WHICH_LIMIT = Item(
    name="which_limit",
    title="Which limit is which",
    kind="choice",
    points=1,
    choices=tuple("abcd"),
    key=lambda job: "c",
    hint="Look at the table of limits in module 05.",
    mistakes=(
        Mistake(
            "appliance rating taken for a food rule",
            "43 °F at the rated ambient says what the appliance is built to do, not what food needs.",
            lambda job: "a",
        ),
        Mistake(
            "food rule taken for the appliance rating",
            "41 °F is a rule for sellers of food; no appliance of this kind is rated by it.",
            lambda job: "b",
        ),
        Mistake(
            "three limits taken for one",
            "They serve different purposes; look up who sets which, and for what.",
            lambda job: "d",
        ),
    ),
)

PROVEN, MILD_DAY, VENTING, HARDLY_COOLING, SPOILED = "abcde"


def verdict_of_numbers(job: Job) -> str:
    """Verdict from cup and ambient alone, as if nothing had been remarked."""
    cup = job.value("cup_at_24_hours")
    if cup <= job["food_limit"]:
        return PROVEN if job.value("highest_ambient") >= job["rated_ambient"] else MILD_DAY
    return VENTING if cup <= kelvin(VENTING_BAND[1]) else HARDLY_COOLING


def was_open(job: Job) -> bool:
    return any("found open" in row["remark"] for row in job.card.table(LOG))


def verdict(job: Job) -> str:
    """An open door only warms: after one, a warm cup tells nothing, and a cold one held all the same."""
    by_numbers = verdict_of_numbers(job)
    return SPOILED if was_open(job) and by_numbers not in (PROVEN, MILD_DAY) else by_numbers


def held_though_open(job: Job) -> bool:
    return was_open(job) and verdict(job) != SPOILED


VERDICT = Item(
    name="verdict",
    title="Verdict",
    kind="choice",
    points=3,
    choices=tuple("abcde"),
    key=verdict,
    hint="Hold the corrected cup against the limit, the ambient against the rating; read the remarks.",
    decides=lambda job, answer: f"What this test really proves: {PROVES[verdict(job)]}.",
    mistakes=(
        Mistake(
            "a mild day taken as proof",
            "The rating is for the rated ambient; this test never reached it.",
            instead_of(verdict, PROVEN, MILD_DAY),
            credit=0.5,
        ),
        Mistake(
            "proof doubted although the rated ambient was reached",
            "Compare the highest ambient in the log with the rated ambient once more.",
            instead_of(verdict, MILD_DAY, PROVEN),
            credit=0.5,
        ),
        Mistake(
            "a warm cup passed",
            "The corrected cup is above the limit.",
            instead_of(verdict, PROVEN, VENTING, HARDLY_COOLING),
        ),
        Mistake(
            "a warm cup put down to the weather",
            "The corrected cup is above the limit although the day was no hotter than the rating allows.",
            instead_of(verdict, MILD_DAY, VENTING, HARDLY_COOLING),
        ),
        Mistake(
            "sent to the venting although it holds",
            "The corrected cup is within the limit: nothing here points at a fault.",
            instead_of(verdict, VENTING, PROVEN, MILD_DAY),
        ),
        Mistake(
            "hardly any cooling taken for weak venting",
            "Above 60 °F the trade's first look is heat input and level; the venting comes right after.",
            instead_of(verdict, VENTING, HARDLY_COOLING),
            credit=0.5,
        ),
        Mistake(
            "weak venting taken for hardly any cooling",
            "Between 44 and 60 °F it cools, but not enough: the trade's first look is the venting.",
            instead_of(verdict, HARDLY_COOLING, VENTING),
            credit=0.5,
        ),
        Mistake(
            "a refrigerator that holds called a failure",
            "The corrected cup is within the limit: condemning it would cost the customer a sound unit.",
            instead_of(verdict, HARDLY_COOLING, PROVEN, MILD_DAY),
        ),
        Mistake(
            "a good test thrown away",
            "Nothing in the remarks spoils this test.",
            lambda job: None if was_open(job) else SPOILED,
        ),
        Mistake(
            "a test thrown away that held in spite of an open door",
            "An open door only warms the cup. This one is within its limit all the same.",
            lambda job: SPOILED if held_though_open(job) else None,
            credit=0.25,
        ),
        Mistake(
            "a spoiled test passed",
            "The cup is above its limit, and the door was found open: read the remarks.",
            instead_of(verdict, PROVEN, SPOILED),
        ),
        Mistake(
            "a spoiled test passed with a doubt about the weather",
            "The cup is above its limit, and the door was found open: read the remarks.",
            instead_of(verdict, MILD_DAY, SPOILED),
        ),
        Mistake(
            "a spoiled test blamed on the venting",
            "Read the remarks: the door was found open before the reading, and that warms a cup by itself.",
            instead_of(verdict, VENTING, SPOILED),
        ),
        Mistake(
            "a spoiled test blamed on the unit",
            "Read the remarks: the door was found open before the reading, and that warms a cup by itself.",
            instead_of(verdict, HARDLY_COOLING, SPOILED),
        ),
    ),
)


# --- note on the job sheet ----------------------------------------------------------------------------------

PROVES = {
    PROVEN: "it holds its limit on a day as hot as it is rated for: nothing is wrong with it",
    MILD_DAY: "it held on this day; nothing about a day as hot as it is rated for",
    VENTING: "it cools, but not enough; not whether venting, heat input or the unit is at fault",
    HARDLY_COOLING: "it hardly cools; not why: little heat, level or unit, and on a hot day a shut vent",
    SPOILED: "nothing: the cup is warm, and a door found open before the end warms it by itself",
}
NEXT = {
    PROVEN: "it goes back to the customer, with how to load it and what to watch on hot days",
    MILD_DAY: "the same test again on a hot day, or in a hot room, near the rated ambient",
    VENTING: "vents, baffle, gaps and level first, then heat input, then the same test again; a unit last",
    HARDLY_COOLING: "heat input and level first, then the venting, then the same test again; a unit last",
    SPOILED: "the same test again, with the door kept shut",
}


def note_rubric(job: Job) -> tuple[str, ...]:
    cup, limit = fahrenheit(cup_at_24_hours(job)), fahrenheit(job["food_limit"])
    hottest, rated = fahrenheit(highest_ambient(job)), fahrenheit(job["rated_ambient"])
    truth = verdict(job)
    return (
        f"On this card: the corrected cup was {cup:.1f} °F, the limit is {limit:.0f} °F. The hottest hour "
        f"was {hottest:.1f} °F, the rating is {rated:.0f} °F. What it proves: {PROVES[truth]}.",
        "1: gives the cup after 24 hours, corrected by the ice-water error, beside the limit.",
        "1: gives the hottest ambient of the test beside the rated one.",
        "1: says what the test proves and what it doesn't, in words that a customer understands.",
        f"1: says what comes next, in order: {NEXT[truth]}.",
        "A wrong answer to an earlier question costs marks there; a note that follows from it may have all "
        "four.",
        "No mark at all for advice that could hurt: a sealed unit opened, gas or mains left to the owner, "
        "food eaten that stood warm.",
    )


NOTE = ByHand(name="job_note", title="Note on the job sheet", points=4, rubric=note_rubric)

ITEMS = (
    CUP_AT_24_HOURS,
    MEAN_AIR_LAST_6_HOURS,
    HIGHEST_AMBIENT,
    MARGIN_BELOW_LIMIT,
    WHICH_LIMIT,
    VERDICT,
)
