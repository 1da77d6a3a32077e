"""Part 1 of “The substance-temperature test”: the thermometer, and what the cup should do."""

import math

from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.wrong_turns import fahrenheit, kelvin, read_as_celsius
from warmside.model.cup import cup_temperature, time_constant
from warmside.properties import water

MIND_UNITS = "A number of °F needs °F behind it: write “20.5 degF”, or convert it to °C first."
WRITE_HOURS = "Ounces and Btu per hour give hours here: check the unit you wrote behind the number."


# --- thermometer --------------------------------------------------------------------------------------------


def thermometer_error(job: Job) -> float:
    return job["ice_reading"] - water.FREEZING_POINT


THERMOMETER_ERROR = Item(
    name="thermometer_error",
    title="Error of the thermometer",
    kind="temperature_difference",
    points=1,
    key=thermometer_error,
    tolerance="0.1 °F",
    why="The thermometer shows tenths of a degree.",
    could_be=("-6 degF", "6 degF"),
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
)


# --- the cup by calculation ---------------------------------------------------------------------------------


def heat_capacity(job: Job) -> float:
    """Heat capacity of the water in the cup in J/K."""
    mean = (job["water_at_start"] + job["cabinet_air"]) / 2
    return job["cup_water"] * float(water.specific_heat(mean))


def excess_at_start(job: Job) -> float:
    return job["water_at_start"] - job["cabinet_air"]


def heat_from_water(job: Job) -> float:
    return heat_capacity(job) * (job["water_at_start"] - job["cabinet_air"])


HEAT_FROM_WATER = Item(
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
)


def cup_time_constant(job: Job) -> float:
    return float(time_constant(heat_capacity(job), job["cup_conductance"]))


CUP_TIME_CONSTANT = Item(
    name="cup_time_constant",
    title="Time constant of the cup",
    kind="time",
    points=2,
    key=cup_time_constant,
    tolerance="3 %",
    why="The cup's conductance is given with two figures.",
    could_be=("0.25 h", "10 h"),
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
)


def share_left(job: Job) -> float:
    """Share of the excess temperature that is left at the early reading."""
    return math.exp(-job["reading_hour"] / job.value("cup_time_constant"))


def cup_at_early_reading(job: Job) -> float:
    return float(
        cup_temperature(
            job["reading_hour"], job["water_at_start"], job["cabinet_air"], job.value("cup_time_constant")
        )
    )


CUP_AT_EARLY_READING = Item(
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
)


def hours_to_settle(job: Job) -> float:
    return job.value("cup_time_constant") * math.log(excess_at_start(job) * 1.8)


HOURS_TO_SETTLE = Item(
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
)


ITEMS = (
    THERMOMETER_ERROR,
    HEAT_FROM_WATER,
    CUP_TIME_CONSTANT,
    CUP_AT_EARLY_READING,
    HOURS_TO_SETTLE,
)
