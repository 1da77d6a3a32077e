"""Part 1 of “Everyday use”: a load to cool, and what an opened door costs."""

from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.wrong_turns import fahrenheit, instead_of

HOLDS, MORE, LESS = "abc"
NEAR_ONE = (0.75, 1.25)
"""Between these, in minutes for each second, the rule holds."""


def drop(job: Job) -> float:
    return job["load_temperature"] - job["setting"]


def load_heat(job: Job) -> float:
    return job["load"] * job["food_heat"] * drop(job)


LOAD_HEAT = Item(
    name="load_heat",
    title="Heat to take out of the load",
    kind="energy",
    points=2,
    key=load_heat,
    tolerance="2 %",
    why="Three figures.",
    could_be=("150 Btu", "2000 Btu"),
    hint="Heat is weight, times what a pound takes for each °F, times the drop to the thermostat's setting.",
    mistakes=(
        Mistake(
            "start temperature taken in place of the drop",
            "It only cools down to the thermostat's setting: use the difference.",
            lambda job: job["load"] * job["food_heat"] * fahrenheit(job["load_temperature"]) / 1.8,
        ),
        Mistake(
            "food taken for water",
            "A pound of food takes less than a pound of water: the card says how much.",
            lambda job: job["load"] * 4186.8 * drop(job),
        ),
        Mistake(
            "°F taken as °C in the drop",
            "With kJ per kg and K the drop must be in K: divide the °F by what one K is.",
            lambda job: load_heat(job) * 1.8,
        ),
    ),
)


def load_hours(job: Job) -> float:
    return job.value("load_heat") / job["spare"]


LOAD_HOURS = Item(
    name="load_hours",
    title="Time to cool the load",
    kind="time",
    points=2,
    key=load_hours,
    tolerance="3 %",
    why="What is to spare is given with two figures.",
    hint="Divide the heat by what the unit has to spare in an hour.",
    mistakes=(
        Mistake(
            "turned upside down",
            "Divide the heat by what is to spare, not the other way round.",
            lambda job: 3600.0**2 / load_hours(job),
        ),
        Mistake(
            "hours written as minutes",
            "Btu over Btu per hour gives hours: check the unit behind the number.",
            lambda job: load_hours(job) / 60.0,
        ),
    ),
)


def recovery(job: Job) -> float:
    return job["door_heat"] / job["spare"]


RECOVERY = Item(
    name="recovery",
    title="Time to make up for the opening",
    kind="time",
    points=2,
    key=recovery,
    tolerance="3 %",
    why="Both numbers are given with two figures or three.",
    could_be=("3 min", "8 h"),
    hint="Divide the heat that the door let in by what the unit has to spare in an hour.",
    mistakes=(
        Mistake(
            "turned upside down",
            "Divide the heat by what is to spare, not the other way round.",
            lambda job: 3600.0**2 / recovery(job),
        ),
        Mistake(
            "hours written as minutes",
            "Btu over Btu per hour gives hours: check the unit behind the number.",
            lambda job: recovery(job) / 60.0,
        ),
        Mistake(
            "minutes written as hours",
            "It doesn't take days: check the unit behind the number.",
            lambda job: recovery(job) * 60.0,
        ),
    ),
)


def minutes_a_second(job: Job, recovers_in: float) -> float:
    return recovers_in / 60.0 / job["open_time"]


def rule(job: Job) -> str:
    found = minutes_a_second(job, job.value("recovery"))
    low, high = NEAR_ONE
    return LESS if found < low else MORE if found > high else HOLDS


SAYS = {
    HOLDS: "On this day the rule holds: about a minute for each second.",
    MORE: "On this day it takes more than a minute for each second: there is little to spare.",
    LESS: "On this day it takes less than a minute for each second: there is a lot to spare.",
}

RULE = Item(
    name="rule",
    title="A minute for each second?",
    kind="choice",
    points=1,
    key=rule,
    choices=(HOLDS, MORE, LESS),
    hint="Divide the minutes of your answer before this one by the seconds on the card.",
    decides=lambda job, given: SAYS[rule(job)],
    mistakes=(
        Mistake(
            "the rule taken to hold on any day",
            "Compare it with your own number of minutes, on this day.",
            instead_of(rule, HOLDS),
        ),
        Mistake(
            "taken to cost more than it does here",
            "Divide minutes by seconds once more.",
            instead_of(rule, MORE),
        ),
        Mistake(
            "taken to cost less than it does here",
            "Divide minutes by seconds once more.",
            instead_of(rule, LESS),
        ),
    ),
)

ITEMS = (LOAD_HEAT, LOAD_HOURS, RECOVERY, RULE)
