"""Items, keys, mistakes and job cards of the exercise “The substance-temperature test”. Never released."""

import math

import numpy as np

from warmside.data import load
from warmside.marking.exercise import ByHand, Exercise, Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry, as_csv
from warmside.marking.temperature_log import temperature_log
from warmside.marking.wrong_turns import fahrenheit, instead_of, kelvin, read_as_celsius
from warmside.model.cup import cup_temperature, time_constant
from warmside.properties import water

LOG = "temperature_log.csv"
RATINGS = load("ratings").fields
RATING = RATINGS["rated_ambient"].given  # °F by size
FOOD_LIMIT = RATINGS["food_limit"].given  # °F by size, at the rated ambient
LIMIT_LABEL = "Food-compartment limit at that ambient"
VENTING_BAND = load("limits").fields["cup_points_at_venting"].given  # °F


def column(job: Job, name: str) -> np.ndarray:
    """Return a column of the temperature log in K, one value for each hour."""
    return kelvin(job.card.column(LOG, name))


# --- the cup by calculation --------------------------------------------------------------------------------


def thermometer_error(job: Job) -> float:
    return job["ice_reading"] - water.FREEZING_POINT


def heat_capacity(job: Job) -> float:
    """Heat capacity of the water in the cup in J/K."""
    mean = (job["water_at_start"] + job["cabinet_air"]) / 2
    return job["cup_water"] * float(water.specific_heat(mean))


def heat_from_water(job: Job) -> float:
    return heat_capacity(job) * (job["water_at_start"] - job["cabinet_air"])


def cup_time_constant(job: Job) -> float:
    return float(time_constant(heat_capacity(job), job["cup_conductance"]))


def excess_at_start(job: Job) -> float:
    return job["water_at_start"] - job["cabinet_air"]


def share_left(job: Job) -> float:
    """Share of the excess temperature that is left at the early reading."""
    return math.exp(-job["reading_hour"] / job.value("cup_time_constant"))


def cup_at_early_reading(job: Job) -> float:
    return float(
        cup_temperature(
            job["reading_hour"], job["water_at_start"], job["cabinet_air"], job.value("cup_time_constant")
        )
    )


def hours_to_settle(job: Job) -> float:
    return job.value("cup_time_constant") * math.log(excess_at_start(job) * 1.8)


# --- the log -----------------------------------------------------------------------------------------------


def cup_at_24_hours(job: Job) -> float:
    return column(job, "cup_F")[-1] - job.value("thermometer_error")


def mean_air_last_6_hours(job: Job) -> float:
    return float(column(job, "cabinet_air_F")[-6:].mean())


def highest_ambient(job: Job) -> float:
    return float(column(job, "ambient_F").max())


def margin_below_limit(job: Job) -> float:
    return job["food_limit"] - job.value("cup_at_24_hours")


# --- judgement ---------------------------------------------------------------------------------------------

PROVEN, MILD_DAY, VENTING, HARDLY_COOLING, SPOILED = "abcde"


def verdict_of_numbers(job: Job) -> str:
    """Verdict from cup and ambient alone, as if nothing had been remarked."""
    cup = job.value("cup_at_24_hours")
    if cup <= job["food_limit"]:
        return PROVEN if job.value("highest_ambient") >= job["rated_ambient"] else MILD_DAY
    return VENTING if cup <= kelvin(VENTING_BAND[1]) else HARDLY_COOLING


def was_spoiled(job: Job) -> bool:
    return any("found open" in row["remark"] for row in job.card.table(LOG))


def verdict(job: Job) -> str:
    return SPOILED if was_spoiled(job) else verdict_of_numbers(job)


def spoiled_but(given: str):
    """Return a mistake's path: `given` on a spoiled test."""
    return lambda job: given if was_spoiled(job) else None


MIND_UNITS = "A number of °F needs °F behind it: write “38.5 degF”, or convert it to °C first."
WRITE_HOURS = "Ounces and Btu per hour give hours here: check the unit you wrote behind the number."

ITEMS = (
    Item(
        name="thermometer_error",
        title="Error of the thermometer",
        kind="temperature_difference",
        points=1,
        key=thermometer_error,
        tolerance="0.1 °F",
        why="The thermometer shows tenths of a degree.",
        hint="Ice water is 32 °F. How much does the thermometer read above or below that?",
        mistakes=(
            Mistake(
                "sign of the error turned round",
                "The error is what it reads less what is true: a thermometer that reads high has a plus.",
                lambda job: -thermometer_error(job),
                credit=0.5,
            ),
            Mistake(
                "the reading itself given as the error",
                "Take 32 °F off the reading: what is left is the error.",
                lambda job: fahrenheit(job["ice_reading"]) / 1.8,
            ),
            Mistake(
                "32 taken off a temperature difference",
                "A difference in °F becomes °C by dividing by 1.8 alone; the 32 is only for temperatures.",
                lambda job: (thermometer_error(job) * 1.8 - 32) / 1.8,
            ),
        ),
    ),
    Item(
        name="heat_from_water",
        title="Heat that leaves the water",
        kind="energy",
        points=2,
        key=heat_from_water,
        tolerance="2 %",
        why="Three figures, and 1 Btu/(lb °F) against the specific heat of water at its temperature.",
        hint="Heat is weight × 1 Btu per lb and °F × the drop in temperature. Weigh in pounds: 16 oz to one.",
        mistakes=(
            Mistake(
                "start temperature taken in place of the drop",
                "The water only gives off heat on its way down to the cabinet's temperature: use the drop.",
                lambda job: heat_capacity(job) * fahrenheit(job["water_at_start"]) / 1.8,
            ),
            Mistake(
                "ounces taken as pounds",
                "Divide the ounces by 16 to get pounds.",
                lambda job: heat_from_water(job) * 16,
            ),
            Mistake(
                "°F taken as °C in the drop",
                "With 4.19 kJ per kg and K the drop must be in K: divide the °F by 1.8.",
                lambda job: heat_from_water(job) * 1.8,
            ),
            Mistake(
                "32 taken off the drop",
                "A drop in °F becomes °C by dividing by 1.8 alone; the 32 is only for temperatures.",
                lambda job: heat_capacity(job) * (excess_at_start(job) * 1.8 - 32) / 1.8,
            ),
        ),
    ),
    Item(
        name="cup_time_constant",
        title="Time constant of the cup",
        kind="time",
        points=2,
        key=cup_time_constant,
        tolerance="3 %",
        why="The cup's conductance is given with two figures.",
        hint="Time constant is heat capacity of the water (Btu per °F) over the cup's conductance.",
        mistakes=(
            Mistake(
                "turned upside down",
                "Divide the heat capacity by the conductance, not the other way round.",
                lambda job: 3600.0**2 / cup_time_constant(job),
            ),
            Mistake("hours written as minutes", WRITE_HOURS, lambda job: cup_time_constant(job) / 60),
            Mistake(
                "ounces taken as pounds",
                "Divide the ounces by 16 to get pounds.",
                lambda job: cup_time_constant(job) * 16,
            ),
        ),
    ),
    Item(
        name="cup_at_early_reading",
        title="Cup at the early reading",
        kind="temperature",
        points=2,
        key=cup_at_early_reading,
        tolerance="0.5 °F",
        why="Rounding of the time constant to two figures.",
        hint="What is left of the excess is e to the power of minus time over time constant.",
        mistakes=(
            Mistake(
                "the excess given as the temperature",
                "That is how far the cup is above the cabinet; add the cabinet's temperature.",
                lambda job: kelvin(excess_at_start(job) * 1.8 * share_left(job)),
                credit=0.5,
            ),
            Mistake(
                "share cooled off taken for the share left",
                "e to the power of minus t over tau is what is left of the excess, not what is gone.",
                lambda job: job["cabinet_air"] + excess_at_start(job) * (1 - share_left(job)),
            ),
            Mistake("°F taken as °C", MIND_UNITS, lambda job: read_as_celsius(cup_at_early_reading(job))),
        ),
    ),
    Item(
        name="hours_to_settle",
        title="Time until within 1 °F",
        kind="time",
        points=2,
        key=hours_to_settle,
        tolerance="3 %",
        why="The cup's conductance is given with two figures.",
        hint="Ask when the excess has shrunk to 1 °F: time constant × natural logarithm of the excess in °F.",
        mistakes=(
            Mistake(
                "logarithm to the base ten",
                "Use the natural logarithm (ln).",
                lambda job: job.value("cup_time_constant") * math.log10(excess_at_start(job) * 1.8),
            ),
            Mistake("hours written as minutes", WRITE_HOURS, lambda job: hours_to_settle(job) / 60),
            Mistake(
                "one time constant given",
                "After one time constant 37 % of the excess is still there; go on until 1 °F is left.",
                lambda job: job.value("cup_time_constant"),
            ),
        ),
    ),
    Item(
        name="cup_at_24_hours",
        title="Cup after 24 hours, corrected",
        kind="temperature",
        points=2,
        key=cup_at_24_hours,
        tolerance="0.2 °F",
        why="Two readings to a tenth of a degree each.",
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
    ),
    Item(
        name="mean_air_last_6_hours",
        title="Mean cabinet air, last 6 hours",
        kind="temperature",
        points=2,
        key=mean_air_last_6_hours,
        tolerance="0.15 °F",
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
    ),
    Item(
        name="highest_ambient",
        title="Highest ambient",
        kind="temperature",
        points=1,
        key=highest_ambient,
        tolerance="0.2 °F",
        why="The log shows tenths of a degree.",
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
    ),
    Item(
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
    ),
    Item(
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
    ),
    Item(
        name="verdict",
        title="Verdict",
        kind="choice",
        points=3,
        choices=tuple("abcde"),
        key=verdict,
        hint="Hold the corrected cup against the limit, the ambient against the rating; read the remarks.",
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
                "Above 60 °F it hardly cools at all: check heat input and level before the venting.",
                instead_of(verdict, VENTING, HARDLY_COOLING),
                credit=0.5,
            ),
            Mistake(
                "weak venting taken for hardly any cooling",
                "Between 44 and 60 °F it cools, but not enough: look at the venting first.",
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
                instead_of(verdict, SPOILED),
            ),
            Mistake(
                "a spoiled test passed",
                "Read the remarks: the door was found open shortly before the reading.",
                spoiled_but(PROVEN),
            ),
            Mistake(
                "a spoiled test passed with a doubt about the weather",
                "Read the remarks: the door was found open shortly before the reading.",
                spoiled_but(MILD_DAY),
            ),
            Mistake(
                "a spoiled test blamed on the venting",
                "Read the remarks: the door was found open shortly before the reading.",
                spoiled_but(VENTING),
            ),
            Mistake(
                "a spoiled test blamed on the unit",
                "Read the remarks: the door was found open shortly before the reading.",
                spoiled_but(HARDLY_COOLING),
            ),
        ),
    ),
)

PROVES = {
    PROVEN: "it holds its limit on a day as hot as it is rated for: nothing is wrong with it",
    MILD_DAY: "it held on this day; nothing about a day as hot as it is rated for",
    VENTING: "it cools, but not enough; not whether venting, heat input or the unit is at fault",
    HARDLY_COOLING: "it hardly cools; not why",
    SPOILED: "nothing, since the door was found open shortly before the end",
}
NEXT = {
    PROVEN: "it goes back to the customer, with how to load it and what to watch on hot days",
    MILD_DAY: "the same test again on a hot day, or in a hot room, near the rated ambient",
    VENTING: "vents, baffle, gaps and level first, then the same test again; a unit last",
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


# --- the job card ------------------------------------------------------------------------------------------

SCENARIOS = {
    # cabinet air at the day's mean ambient (°F); its rise per °F of ambient; swing of the thermostat (°F)
    "proven": ((36.0, 39.0), 0.10, 2.0),
    "mild day": ((35.0, 38.0), 0.10, 2.0),
    "venting": ((47.5, 54.0), 0.35, 0.3),
    "hardly cooling": ((64.0, 72.0), 0.50, 0.3),
    "spoiled": ((36.0, 39.0), 0.10, 2.0),
}


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw the lines of a job card and its temperature log.

    A log whose corrected cup lies within 1 °F of a limit is drawn again: nobody should win or lose by a
    rounding.
    """
    size = draw.pick(list(RATING))
    start = draw.between(62, 80, 1)
    error = draw.pick([-2.0, -1.6, -1.2, -0.8, 0.8, 1.2, 1.6, 2.0])
    entries = (
        Entry("size", "Refrigerator", f"{size} cubic feet, absorption, on mains"),
        Entry("rated_ambient", "Rated ambient", f"{RATING[size]} °F", "temperature"),
        Entry("food_limit", LIMIT_LABEL, f"{FOOD_LIMIT[size]} °F", "temperature"),
        Entry("ice_reading", "Your thermometer in ice water reads", f"{32 + error:.1f} °F", "temperature"),
        Entry("cup_water", "Water in the cup weighs", f"{draw.between(4.5, 8.5, 0.1):.1f} oz", "mass"),
        Entry("water_at_start", "Water at the start", f"{start:.0f} °F", "temperature"),
        Entry("cabinet_air", "Cabinet air, steady", f"{draw.between(36, 46, 1):.0f} °F", "temperature"),
        Entry(
            "cup_conductance",
            "Conductance from cup to air",
            f"{draw.between(0.20, 0.30, 0.01):.2f} Btu/(h °F)",
            "heat_conductance",
        ),
        Entry("reading_hour", "Early reading after", f"{draw.pick([2, 3])} h", "time"),
    )
    scenario = draw.pick(list(SCENARIOS))
    while True:
        log = drawn_log(draw, scenario, RATING[size], start, error)
        true_cup = log[-1]["cup_F"] - error
        if all(abs(true_cup - limit) > 1.0 for limit in (FOOD_LIMIT[size], *VENTING_BAND)):
            return entries, {LOG: as_csv(log)}


def drawn_log(draw: Draw, scenario: str, rated: float, start: float, error: float) -> list[dict]:
    """Return an invented log of 24 hours: what the thermometer in the cup, and two loggers, would show."""
    (low, high), rise, swing = SCENARIOS[scenario]
    first_hour = draw.pick([7, 8, 9, 18, 19])
    hottest = rated + draw.between(1, 4, 0.5) if scenario == "proven" else rated - draw.between(6, 18, 0.5)
    half_range = draw.between(8, 13, 0.5)
    mean_air = draw.between(low, high, 0.1)
    phase = draw.between(0, 1, 0.01)
    tau = draw.between(1.8, 2.4, 0.1) * 3600.0
    opened = draw.pick([21, 22]) if scenario == "spoiled" else None

    return temperature_log(
        first_hour=first_hour,
        hottest=hottest,
        half_range=half_range,
        mean_air=mean_air,
        rise=rise,
        swing=swing,
        phase=phase,
        time_constant=tau,
        start=start,
        error=error,
        opened=opened,
    )


EXERCISE = Exercise(
    "substance_temperature_test", "The substance-temperature test", ITEMS, draw, by_hand=(NOTE,)
)
