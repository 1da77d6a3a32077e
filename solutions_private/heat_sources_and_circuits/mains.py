"""Parts 1 and 2 of “Heat sources and circuits”: the mains heater, and its fuse."""

import math
import re
from itertools import permutations

from warmside.data import load
from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.model.circuit import (
    heater_current,
    heater_power,
    in_parallel,
)
from warmside.model.fuse import BLADE, CARTRIDGE, Fuse, Objection, fuse_check, needed_rating, next_rating
from warmside.model.heat_source import nominal_voltage
from warmside.units import BTU_PER_HOUR

MAINS, BATTERY = nominal_voltage("mains"), nominal_voltage("battery")
FUSES = load("fuses")
ON_THE_WAY = "The meter is no better than 2 %, and figures are rounded on the way."
MIND_WATTS = "A watt is 3.41 Btu/h: look at the unit you wrote behind the number."


def resistance_of_plate(job: Job, source: str) -> float:
    """Resistance of a heater that gives its plate's watts at its plate's volts."""
    return job[f"{source}_plate_volts"] ** 2 / job[f"{source}_plate_watts"]


# --- the mains heater ---------------------------------------------------------------------------------------


def heater_resistance(job: Job) -> float:
    return resistance_of_plate(job, "mains")


HEATER_RESISTANCE = Item(
    name="heater_resistance",
    title="Resistance of the mains heater",
    kind="resistance",
    points=1,
    key=heater_resistance,
    tolerance="2 %",
    why=ON_THE_WAY,
    could_be=("15 ohm", "150 ohm"),
    hint="Watts are volts squared over ohms, so ohms are the plate's volts squared over its watts.",
    mistakes=(
        Mistake(
            "measured volts used with the plate's watts",
            "The plate's watts belong to the plate's volts: use that pair, not what you measured.",
            lambda job: job["measured_volts"] ** 2 / job["mains_plate_watts"],
            credit=0.5,
        ),
        Mistake(
            "one element in place of the heater",
            "That is one element; two side by side have half of it.",
            lambda job: 2.0 * heater_resistance(job),
            credit=0.5,
        ),
        Mistake(
            "the current given as a resistance",
            "Watts over volts are amps. Go on: volts over amps are ohms.",
            lambda job: job["mains_plate_watts"] / job["mains_plate_volts"],
        ),
    ),
)


def current_at_measured_volts(job: Job) -> float:
    return float(heater_current(job["measured_volts"], job.value("heater_resistance")))


CURRENT_AT_MEASURED_VOLTS = Item(
    name="current_at_measured_volts",
    title="Current at the measured volts",
    kind="current",
    points=2,
    key=current_at_measured_volts,
    tolerance="2 %",
    why=ON_THE_WAY,
    hint="The heater's ohms stay what they are. Divide the volts at the heater by them.",
    mistakes=(
        Mistake(
            "nominal volts used in place of measured",
            "The plate's volts don't stand at this heater: use what the meter shows there.",
            lambda job: float(heater_current(job["mains_plate_volts"], heater_resistance(job))),
        ),
        Mistake(
            "watts taken as fixed",
            "At low volts a heater draws less, not more. Its ohms are fixed, its watts are not.",
            lambda job: job["mains_plate_watts"] / job["measured_volts"],
        ),
        Mistake(
            "turned upside down",
            "Volts over ohms, not ohms over volts.",
            lambda job: heater_resistance(job) / job["measured_volts"],
        ),
    ),
)


def heat_at_measured_volts(job: Job) -> float:
    return float(heater_power(job["measured_volts"], job.value("heater_resistance")))


HEAT_AT_MEASURED_VOLTS = Item(
    name="heat_at_measured_volts",
    title="Heat at the measured volts",
    kind="power",
    points=2,
    key=heat_at_measured_volts,
    tolerance="2 %",
    why=ON_THE_WAY,
    hint="Heat goes with the square of the volts: volts squared over ohms, or volts times amps.",
    mistakes=(
        Mistake(
            "heat taken in step with the volts",
            "Fewer volts push fewer amps as well, so the heat falls with the square of the volts.",
            lambda job: job["mains_plate_watts"] * job["measured_volts"] / job["mains_plate_volts"],
        ),
        Mistake(
            "the plate's watts given",
            "That is what it gives at its plate's volts; here are fewer.",
            lambda job: job["mains_plate_watts"],
        ),
        Mistake(
            "a number of watts written as Btu/h",
            MIND_WATTS,
            lambda job: heat_at_measured_volts(job) * BTU_PER_HOUR,
        ),
        Mistake(
            "a number of Btu/h written as watts",
            MIND_WATTS,
            lambda job: heat_at_measured_volts(job) / BTU_PER_HOUR,
        ),
    ),
)


def open_element_resistance(job: Job) -> float:
    """Two equal elements side by side have twice the heater's resistance each; one of them is left."""
    each = 2.0 * job.value("heater_resistance")
    return float(in_parallel([each, math.inf]))


OPEN_ELEMENT_RESISTANCE = Item(
    name="open_element_resistance",
    title="Ohms with one element open",
    kind="resistance",
    points=1,
    key=open_element_resistance,
    tolerance="2 %",
    why=ON_THE_WAY,
    could_be=("30 ohm", "300 ohm"),
    hint="Side by side, two equal elements have half the ohms of one. One is left: how much is that?",
    mistakes=(
        Mistake(
            "parallel taken for series",
            "The elements stand side by side: with one path fewer the ohms go up, not down.",
            lambda job: heater_resistance(job) / 2.0,
        ),
        Mistake(
            "no change seen",
            "Only one path is left, so the meter shows more than the whole heater's ohms.",
            heater_resistance,
        ),
        Mistake(
            "doubled twice",
            "One element has twice the ohms of both together, not four times.",
            lambda job: 4.0 * heater_resistance(job),
        ),
    ),
)


def open_element_heat(job: Job) -> float:
    return float(heater_power(job["measured_volts"], job.value("open_element_resistance")))


OPEN_ELEMENT_HEAT = Item(
    name="open_element_heat",
    title="Heat with one element open",
    kind="power",
    points=2,
    key=open_element_heat,
    tolerance="2 %",
    why=ON_THE_WAY,
    hint="The volts at the heater stay; put the ohms of the one element that is left under them.",
    mistakes=(
        Mistake(
            "no heat lost",
            "One of two equal elements gives nothing any more.",
            heat_at_measured_volts,
        ),
        Mistake(
            "half of the plate's watts",
            "Half is right, but of the heat at the measured volts.",
            lambda job: job["mains_plate_watts"] / 2.0,
            credit=0.5,
        ),
        Mistake(
            "the volts halved as well",
            "Side by side each element has all the volts, whether the other one works or not.",
            lambda job: heat_at_measured_volts(job) / 4.0,
        ),
        Mistake(
            "a number of watts written as Btu/h",
            MIND_WATTS,
            lambda job: open_element_heat(job) * BTU_PER_HOUR,
        ),
    ),
)


# --- its fuse -----------------------------------------------------------------------------------------------


def load_on_fuse(job: Job) -> float:
    """What the heater draws at its plate's volts, for hours."""
    return float(heater_current(job["mains_plate_volts"], job.value("heater_resistance")))


def fuse_rating(job: Job) -> float:
    return next_rating(load_on_fuse(job), CARTRIDGE)


def rating_for_minutes(load: float) -> float:
    """Return the smallest cartridge that carries a load for a while: no rule for hours."""
    return next_rating(load * FUSES["continuous_share"], CARTRIDGE)


TOO_MUCH = "Such a fuse is too large for this heater: wire and board burn before it opens."
TOO_LITTLE = "Such a fuse is too small for this heater: it opens after a while, though nothing is wrong."

FUSE_RATING = Item(
    name="fuse_rating",
    title="Rating of the heater's fuse",
    kind="current",
    points=2,
    key=fuse_rating,
    tolerance="0.05 A",
    why="Fuses come in fixed sizes; a rating is right or wrong.",
    decides=lambda job, rating: TOO_MUCH if rating > fuse_rating(job) else TOO_LITTLE,
    hint="Take 125 % of the amps at the plate's volts, then the next size that is made.",
    mistakes=(
        Mistake(
            "the rule for hours left out",
            "This heater is on for hours: its fuse must be good for 125 % of the load.",
            lambda job: rating_for_minutes(load_on_fuse(job)),
        ),
        Mistake(
            "no size that is made",
            "125 % of the load is right; now take the next size up from the list.",
            lambda job: float(needed_rating(load_on_fuse(job))),
            credit=0.5,
        ),
        Mistake(
            "the load itself given",
            "That is what the heater draws: take 125 % of it, then the next size that is made.",
            load_on_fuse,
        ),
    ),
)


def objections(job: Job) -> dict[str, tuple[Objection, ...]]:
    """What is wrong with each fuse of the box, by its letter; a wrong rating is not carried on."""
    load = job["mains_plate_watts"] / job["mains_plate_volts"]
    marked = {
        letter: re.fullmatch(r"([\d.]+) A, (\d+) V, .*", job.card[f"fuse_{letter}"]) for letter in "abcd"
    }
    return {
        letter: fuse_check(
            Fuse(float(marking[1]), float(marking[2])),
            job["mains_plate_volts"],
            load,
            holder_rating=next_rating(load, CARTRIDGE),
        )
        for letter, marking in marked.items()
    }


def fuse_with(*wrong: Objection):
    """Return a path: the letter of the fuse that has just these faults."""
    return lambda job: next(letter for letter, found in objections(job).items() if found == wrong)


FUSE_CHOICE = Item(
    name="fuse_choice",
    title="Choice of the fuse",
    kind="choice",
    points=2,
    choices=tuple("abcd"),
    key=fuse_with(),
    hint="A fuse has two ratings. Compare its volts with the circuit's, then its amps with the load.",
    mistakes=(
        Mistake(
            "an automotive fuse in a mains circuit",
            "Its amps are right, its volts are not: at 120 V its arc need not go out, and it burns.",
            fuse_with(Objection.VOLTAGE),
        ),
        Mistake(
            "a fuse too small for hours",
            "It carries the load for a while, then it opens: take 125 % of the load.",
            fuse_with(Objection.TOO_SMALL),
        ),
        Mistake(
            "a larger fuse to be on the safe side",
            "A larger fuse lets wire and board burn before it opens: take the size that is asked for.",
            fuse_with(Objection.TOO_LARGE),
        ),
    ),
)


# --- lines of the job card ----------------------------------------------------------------------------------

WATTS = [*range(210, 221, 5), *range(305, 341, 5), *range(400, 451, 5)]
"""Plates on which 125 % of the load passes a size of fuse that the load itself does not."""
TOO_LARGE = (10, 15)  # A


def mains(draw: Draw) -> tuple[Entry, ...]:
    """Draw a mains heater on low volts, and the box of fuses."""
    watts = draw.pick(WATTS)
    right = next_rating(watts / MAINS, CARTRIDGE)
    box = [
        f"{right:g} A, {FUSES['cartridge_voltage']:g} V, {CARTRIDGE}",
        f"{right:g} A, {FUSES['blade_voltage']:g} V, automotive {BLADE}",
        f"{rating_for_minutes(watts / MAINS):g} A, {FUSES['cartridge_voltage']:g} V, {CARTRIDGE}",
        f"{draw.pick(TOO_LARGE):g} A, {FUSES['cartridge_voltage']:g} V, {CARTRIDGE}",
    ]
    order = draw.pick(list(permutations(box)))
    return (
        Entry("mains_plate_volts", "Mains heater: volts on its plate", f"{MAINS:g} V", "voltage"),
        Entry("mains_plate_watts", "Mains heater: watts on its plate", f"{watts} W", "power"),
        Entry("mains_elements", "Mains heater: elements", "two alike, side by side"),
        Entry(
            "measured_volts",
            "Mains heater: volts you measure at it, heater on",
            f"{draw.between(98, 109.5, 0.1):.1f} V",
            "voltage",
        ),
        *(
            Entry(f"fuse_{letter}", f"Box of fuses: fuse {letter}", text)
            for letter, text in zip("abcd", order, strict=True)
        ),
    )


ITEMS = (
    HEATER_RESISTANCE,
    CURRENT_AT_MEASURED_VOLTS,
    HEAT_AT_MEASURED_VOLTS,
    OPEN_ELEMENT_RESISTANCE,
    OPEN_ELEMENT_HEAT,
    FUSE_RATING,
    FUSE_CHOICE,
)
