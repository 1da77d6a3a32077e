"""Items, keys, mistakes and job cards of the exercise “Heat sources and circuits”. Never released."""

import math
import re
from functools import lru_cache
from itertools import permutations

from warmside.data import load
from warmside.diagnosis.circuit_check import Fault, check_circuit
from warmside.diagnosis.circuit_readings import CircuitReadings
from warmside.marking.exercise import ByHand, Exercise, Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry, as_csv
from warmside.marking.wrong_turns import instead_of
from warmside.model.circuit import (
    gauge_area,
    heater_current,
    heater_power,
    in_parallel,
    voltage_drop,
    wire_resistance,
)
from warmside.model.fuse import BLADE, CARTRIDGE, Fuse, Objection, fuse_check, needed_rating, next_rating
from warmside.model.heat_source import Burner, drill_diameter, element_resistances, nominal_voltage
from warmside.model.heater_circuit import HeaterCircuit
from warmside.properties import propane
from warmside.properties.metals import REFERENCE_TEMPERATURE

LOG = "burner_log.csv"
MAINS, BATTERY = nominal_voltage("mains"), nominal_voltage("battery")
FUSES = load("fuses")
BTU_PER_HOUR = 1055.056 / 3600  # W
REFERENCE_DRILL = 80
USUAL_PRESSURE = float(load("practice")["gas_pressure"])
STANDARD_AIR = 101325.0  # Pa


def resistance_of_plate(job: Job, source: str) -> float:
    """Resistance of a heater that gives its plate's watts at its plate's volts."""
    return job[f"{source}_plate_volts"] ** 2 / job[f"{source}_plate_watts"]


# --- the mains heater -------------------------------------------------------------------------------------


def heater_resistance(job: Job) -> float:
    return resistance_of_plate(job, "mains")


def current_at_measured_volts(job: Job) -> float:
    return float(heater_current(job["measured_volts"], job.value("heater_resistance")))


def heat_at_measured_volts(job: Job) -> float:
    return float(heater_power(job["measured_volts"], job.value("heater_resistance")))


def open_element_resistance(job: Job) -> float:
    """Two equal elements side by side have twice the heater's resistance each; one of them is left."""
    each = 2.0 * job.value("heater_resistance")
    return float(in_parallel([each, math.inf]))


def open_element_heat(job: Job) -> float:
    return float(heater_power(job["measured_volts"], job.value("open_element_resistance")))


# --- its fuse ---------------------------------------------------------------------------------------------


def load_on_fuse(job: Job) -> float:
    """What the heater draws at its plate's volts, for hours."""
    return float(heater_current(job["mains_plate_volts"], job.value("heater_resistance")))


def fuse_rating(job: Job) -> float:
    return next_rating(load_on_fuse(job), CARTRIDGE)


def rating_for_minutes(load: float) -> float:
    """Return the smallest cartridge that carries a load for a while: no rule for hours."""
    return next_rating(load * FUSES["continuous_share"], CARTRIDGE)


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


# --- the long run from the battery ------------------------------------------------------------------------


def battery_resistance(job: Job) -> float:
    return resistance_of_plate(job, "battery")


def run_resistance(job: Job, ways: int = 2, temperature: float | None = None) -> float:
    """Resistance of the run, there and back unless told otherwise, at its own temperature [K]."""
    return float(
        wire_resistance(
            gauge_area(job["wire_gauge"]),
            ways * job["wire_length"],
            job["wire_temperature"] if temperature is None else temperature,
            stranded=True,
        )
    )


def drop_over(job: Job, wires: float) -> float:
    return float(voltage_drop(job["battery_volts"], battery_resistance(job), wires))


def drop_on_the_run(job: Job) -> float:
    return drop_over(job, run_resistance(job))


def volts_at_heater(job: Job) -> float:
    return job["battery_volts"] - job.value("drop_on_the_run")


def battery_heat(job: Job) -> float:
    return float(heater_power(job.value("volts_at_heater"), battery_resistance(job)))


# --- gas --------------------------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def heat_of(diameter: float, pressure: float = USUAL_PRESSURE) -> float:
    return float(Burner(diameter, pressure).heat)


def gas_heat(job: Job) -> float:
    return heat_of(job["orifice"])


def low_pressure_heat(job: Job) -> float:
    return job.value("gas_heat") * heat_of(job["orifice"], job["low_pressure"]) / gas_heat(job)


def gas_left(job: Job) -> float:
    return job["cylinder_weighs"] - job["cylinder_tare"]


def time_on(job: Job, contents: float, duty: float) -> float:
    """Time that this much gas lasts at the usual pressure."""
    whole = float(Burner(job["orifice"]).cylinder_time(contents, duty))
    return whole * gas_heat(job) / job.value("gas_heat")


def burns(job: Job) -> list[tuple[int, int | None]]:
    """When each burn of the log was lit and went out [min]; the last one is still lit."""
    rows = job.card.table(LOG)
    return [(int(row["lit_min"]), int(row["out_min"]) if row["out_min"] else None) for row in rows]


def share_lit(times: list[tuple[int, int | None]]) -> float:
    """Share of the time that the flame is on, from the first of these lightings to the last."""
    on = sum(out - lit for lit, out in times[:-1])
    return on / (times[-1][0] - times[0][0])


def burner_share(job: Job) -> float:
    return share_lit(burns(job)[1:])


def cylinder_days(job: Job) -> float:
    return time_on(job, gas_left(job), job.value("burner_share"))


# --- judgement --------------------------------------------------------------------------------------------

SOUND, LOW_SUPPLY, JOINT, HALF_OPEN, OPEN, INTERRUPTED = "abcdef"
LETTERS = {
    None: SOUND,
    Fault.LOW_SUPPLY: LOW_SUPPLY,
    Fault.JOINT: JOINT,
    Fault.ONE_OF_TWO_OPEN: HALF_OPEN,
    Fault.HEATER_OPEN: OPEN,
    Fault.INTERRUPTED: INTERRUPTED,
}


def fault(job: Job) -> str:
    return pointed_at(job.card["other_size"], job["other_supply"], job["other_heater"], job["other_amps"])


@lru_cache(maxsize=4096)
def pointed_at(size: str, supply_volts: float, heater_volts: float, amps: float) -> str:
    """What readings point at, by the project's own check; cached, as each mistake asks for it."""
    readings = CircuitReadings(
        size,
        "mains",
        supply_volts=supply_volts,
        heater_volts=heater_volts,
        drop_volts=supply_volts - heater_volts,
        amps=amps,
    )
    findings = check_circuit(readings).findings
    return LETTERS[findings[0].fault if findings else None]


ON_THE_WAY = "The meter is no better than 2 %, and figures are rounded on the way."
MIND_WATTS = "A watt is 3.41 Btu/h: look at the unit you wrote behind the number."

ITEMS = (
    Item(
        name="heater_resistance",
        title="Resistance of the mains heater",
        kind="resistance",
        points=1,
        key=heater_resistance,
        tolerance="2 %",
        why=ON_THE_WAY,
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
    ),
    Item(
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
    ),
    Item(
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
    ),
    Item(
        name="open_element_resistance",
        title="Ohms with one element open",
        kind="resistance",
        points=1,
        key=open_element_resistance,
        tolerance="2 %",
        why=ON_THE_WAY,
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
    ),
    Item(
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
    ),
    Item(
        name="fuse_rating",
        title="Rating of the heater's fuse",
        kind="current",
        points=2,
        key=fuse_rating,
        tolerance="0.05 A",
        why="Fuses come in fixed sizes; a rating is right or wrong.",
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
    ),
    Item(
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
    ),
    Item(
        name="drop_on_the_run",
        title="Volts lost on the long run",
        kind="voltage",
        points=3,
        key=drop_on_the_run,
        tolerance="1.5 %",
        why="The wire table has three figures, and figures are rounded on the way.",
        hint="Ohms of the wire there and back, warm; volts over these and the heater's ohms are the amps.",
        mistakes=(
            Mistake(
                "one way only",
                "The current goes there and back: count the length twice.",
                lambda job: drop_over(job, run_resistance(job, ways=1)),
                credit=0.5,
            ),
            Mistake(
                "the wire's temperature left out",
                "Warm copper has more ohms: 0.22 % more for each °F above 68 °F.",
                lambda job: drop_over(job, run_resistance(job, temperature=REFERENCE_TEMPERATURE)),
                credit=0.5,
            ),
            Mistake(
                "the plate's amps used",
                "Those flow at the plate's volts; here the battery's drive wires and heater together.",
                lambda job: job["battery_plate_watts"] / job["battery_plate_volts"] * run_resistance(job),
                credit=0.5,
            ),
        ),
    ),
    Item(
        name="volts_at_heater",
        title="Volts at the battery heater",
        kind="voltage",
        points=1,
        key=volts_at_heater,
        tolerance="0.1 V",
        why="A meter on such a circuit shows tenths of a volt.",
        hint="What stands at the battery, less what is lost on the way.",
        mistakes=(
            Mistake(
                "the loss added",
                "Volts are lost on the way: take them off.",
                lambda job: job["battery_volts"] + drop_on_the_run(job),
            ),
            Mistake(
                "half of the loss taken off",
                "The wire back loses as much as the wire there: take both off.",
                lambda job: job["battery_volts"] - drop_on_the_run(job) / 2.0,
                credit=0.5,
            ),
            Mistake(
                "nominal volts used in place of measured",
                "Start from what the meter shows at the battery, not from 12 V.",
                lambda job: job["battery_plate_volts"] - drop_on_the_run(job),
            ),
        ),
    ),
    Item(
        name="battery_heat",
        title="Heat of the battery heater",
        kind="power",
        points=2,
        key=battery_heat,
        tolerance="2 %",
        why=ON_THE_WAY,
        hint="Volts at the heater, squared, over the ohms that follow from its plate.",
        mistakes=(
            Mistake(
                "heat taken in step with the volts",
                "Heat goes with the square of the volts.",
                lambda job: job["battery_plate_watts"] * volts_at_heater(job) / job["battery_plate_volts"],
            ),
            Mistake(
                "volts of the battery used",
                "Part of the battery's volts is lost on the way: use what is left at the heater.",
                lambda job: float(heater_power(job["battery_volts"], battery_resistance(job))),
            ),
            Mistake(
                "the plate's watts given",
                "That is what it gives at 12 V; look at what it has.",
                lambda job: job["battery_plate_watts"],
            ),
            Mistake(
                "a number of watts written as Btu/h",
                MIND_WATTS,
                lambda job: battery_heat(job) * BTU_PER_HOUR,
            ),
        ),
    ),
    Item(
        name="gas_heat",
        title="Heat of the gas",
        kind="power",
        points=2,
        key=gas_heat,
        tolerance="2 %",
        why="Tables of orifices have three figures and differ by a percent.",
        hint="Heat goes with the area of the hole, so with the square of its diameter.",
        mistakes=(
            Mistake(
                "diameter not squared",
                "Gas goes through the area of the hole: square the ratio of the diameters.",
                lambda job: gas_heat(job) * drill_diameter(REFERENCE_DRILL) / job["orifice"],
            ),
            Mistake(
                "ratio turned upside down",
                "A wider hole lets more gas through: put the wider diameter on top.",
                lambda job: heat_of(drill_diameter(REFERENCE_DRILL) ** 2 / job["orifice"]),
            ),
            Mistake(
                "heat of the drill in the text given",
                "That is the heat of the 0.0135 in hole; yours is wider.",
                lambda job: heat_of(drill_diameter(REFERENCE_DRILL)),
            ),
            Mistake(
                "a number of Btu/h written as watts", MIND_WATTS, lambda job: gas_heat(job) / BTU_PER_HOUR
            ),
        ),
    ),
    Item(
        name="low_pressure_heat",
        title="Heat at low gas pressure",
        kind="power",
        points=2,
        key=low_pressure_heat,
        tolerance="2 %",
        why="A gas gauge is read to a tenth of an inch, and figures are rounded on the way.",
        hint="Heat goes with the square root of the gauge pressure.",
        mistakes=(
            Mistake(
                "heat taken in step with the pressure",
                "Flow through a hole goes with the square root of the pressure.",
                lambda job: gas_heat(job) * job["low_pressure"] / USUAL_PRESSURE,
            ),
            Mistake(
                "pressure squared",
                "The square root, not the square.",
                lambda job: gas_heat(job) * (job["low_pressure"] / USUAL_PRESSURE) ** 2,
            ),
            Mistake(
                "absolute pressure used, or no effect seen",
                "What drives gas through the hole is its pressure above the air's: what the gauge shows.",
                lambda job: (
                    gas_heat(job)
                    * math.sqrt((STANDARD_AIR + job["low_pressure"]) / (STANDARD_AIR + USUAL_PRESSURE))
                ),
            ),
        ),
    ),
    Item(
        name="burner_share",
        title="Share of the time that the burner is on",
        kind="fraction",
        points=2,
        key=burner_share,
        tolerance="4 %",
        why="The strip has a line each ten minutes and is read to two; four cycles are added up.",
        hint="Add up the minutes lit from burn 2 on, over the minutes from its lighting to the last one.",
        mistakes=(
            Mistake(
                "the long first burn counted in",
                "That burn cools down what was just loaded: begin at the lighting of burn 2.",
                lambda job: share_lit(burns(job)),
                credit=0.5,
            ),
            Mistake(
                "the share that it is out",
                "That is how long it rests. Asked is how long it burns.",
                lambda job: 1.0 - burner_share(job),
                credit=0.25,
            ),
            Mistake(
                "minutes lit over minutes out",
                "Divide by the whole time, lit and out together.",
                lambda job: burner_share(job) / (1.0 - burner_share(job)),
            ),
        ),
    ),
    Item(
        name="cylinder_days",
        title="Days on the cylinder",
        kind="time",
        points=2,
        key=cylinder_days,
        tolerance="2 %",
        why="Printed heating values of propane differ by half a percent, and figures are rounded.",
        hint="Pounds of gas × 21,600 Btu, over the heat for each hour that the burner is on.",
        mistakes=(
            Mistake(
                "the cylinder's own weight counted as gas",
                "Take the stamped tare weight off what the scale shows.",
                lambda job: time_on(job, job["cylinder_weighs"], job.value("burner_share")),
            ),
            Mistake(
                "burner taken to be on all the time",
                "It is on for a part of the time, so the gas lasts longer.",
                lambda job: time_on(job, gas_left(job), 1.0),
                credit=0.5,
            ),
            Mistake(
                "multiplied by the share of time on",
                "A burner that rests makes the gas last longer: divide by the share of time on.",
                lambda job: time_on(job, gas_left(job), 1.0) * job.value("burner_share"),
            ),
            Mistake(
                "lower heating value used",
                "Burners are rated by the higher heating value, about 21,600 Btu per pound.",
                lambda job: (
                    cylinder_days(job) * propane.lower_heating_value() / propane.higher_heating_value()
                ),
                credit=0.5,
            ),
            Mistake(
                "a number of hours written as days",
                "A day has 24 hours: look at the unit you wrote behind the number.",
                lambda job: cylinder_days(job) * 24.0,
            ),
        ),
    ),
    Item(
        name="fault",
        title="Fault by three readings",
        kind="choice",
        points=3,
        choices=tuple(LETTERS.values()),
        key=fault,
        hint="Is the supply right? Do its volts reach the heater? Are volts over amps the plate's ohms?",
        mistakes=(
            Mistake(
                "a fault passed over",
                "Volts at both ends, then volts over amps: one of them isn't as it should be.",
                instead_of(fault, SOUND),
            ),
            Mistake(
                "a heater condemned that no volts reach",
                "No volts stand at the heater, so it can't draw anything: look before it.",
                instead_of(fault, OPEN, INTERRUPTED),
            ),
            Mistake(
                "a heater called open that draws current",
                "Current flows, so the heater isn't open.",
                instead_of(fault, OPEN, SOUND, LOW_SUPPLY, JOINT, HALF_OPEN),
            ),
            Mistake(
                "an open heater taken for missing volts",
                "The volts are there at the heater's own leads, and no current flows.",
                instead_of(fault, INTERRUPTED, OPEN),
                credit=0.25,
            ),
            Mistake(
                "low amps put down to an element though the volts are low",
                "Volts over amps are the plate's ohms here: the heater is whole, it lacks volts.",
                instead_of(fault, HALF_OPEN, LOW_SUPPLY, JOINT),
                credit=0.25,
            ),
            Mistake(
                "a whole heater taken for half of one",
                "Volts over amps are the plate's ohms here: both elements work.",
                instead_of(fault, HALF_OPEN, SOUND),
            ),
            Mistake(
                "the site blamed for what is lost on the way",
                "The supply is right under load; the volts are lost between it and the heater.",
                instead_of(fault, LOW_SUPPLY, JOINT),
                credit=0.25,
            ),
            Mistake(
                "a joint blamed for a low supply",
                "Hardly any volts are lost on the way: they are missing at the supply already.",
                instead_of(fault, JOINT, LOW_SUPPLY),
                credit=0.25,
            ),
            Mistake(
                "a joint blamed though all volts arrive",
                "The heater has the supply's volts, so nothing is lost on the way.",
                instead_of(fault, JOINT, SOUND, HALF_OPEN, OPEN),
            ),
            Mistake(
                "a right supply called low",
                "Within 10 % of 120 V the supply is right.",
                instead_of(fault, LOW_SUPPLY, SOUND, HALF_OPEN, OPEN, INTERRUPTED),
            ),
        ),
    ),
    Item(
        name="first_step",
        title="First step before ohms",
        kind="choice",
        points=1,
        choices=tuple("abcd"),
        key=lambda job: "c",
        hint="Ask what makes sure that nothing is live, and that the meter would show it if it were.",
        mistakes=(
            Mistake(
                "ohms measured on a live circuit",
                "An ohmmeter on a live circuit burns out or hurts you: unplug and prove dead first.",
                lambda job: "a",
            ),
            Mistake(
                "an open fuse trusted",
                "With its fuse out one side may still be live: unplug and prove dead first.",
                lambda job: "b",
            ),
            Mistake(
                "a switch trusted",
                "A switch on the panel proves nothing: unplug and prove dead first.",
                lambda job: "d",
            ),
        ),
    ),
)

IN_WORDS = {
    SOUND: "nothing is wrong with this heater's circuit",
    LOW_SUPPLY: "the supply is low",
    JOINT: "volts are lost at a joint, plug or contact",
    HALF_OPEN: "one of two elements is open",
    OPEN: "the heater is open",
    INTERRUPTED: "no volts reach the heater",
}


def note_rubric(job: Job) -> tuple[str, ...]:
    readings = ", ".join(job.card.entry(f"other_{name}").text for name in ("supply", "heater", "amps"))
    return (
        f"On this card {IN_WORDS[fault(job)]}: {readings} at the supply, at the heater and in one wire.",
        "1: names that, with the readings it stands on.",
        "1: says what was done or is to be done next, in steps that fit it.",
        "1: says what is not the customer's to touch: gas, mains wiring, the sealed unit; and who may.",
        "1: plain words that somebody without the trade understands, no guess sold as a finding.",
        "A wrong answer to question 15 costs marks there; a note that follows from it may have all four.",
        "No mark at all for advice that could hurt, such as a larger fuse or work on live parts.",
    )


NOTE = ByHand(name="customer_note", title="Note to the customer", points=4, rubric=note_rubric)


# --- the job card -----------------------------------------------------------------------------------------

WATTS = [*range(210, 221, 5), *range(305, 341, 5), *range(400, 451, 5)]
"""Plates on which 125 % of the load passes a size of fuse that the load itself does not."""
RUNS = {12: (185, 220), 10: (270, 340), 8: (400, 440)}
"""Watts of battery heaters for which wire of a gauge is thin on a long run."""
TOO_LARGE = (10, 15)  # A
FIRST_BURN, CYCLE = (150, 200), (56, 76)  # min
CYCLES = 4  # whole ones, after the first burn


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw the lines of a job card and its burner log."""
    entries = (*mains(draw), *battery(draw), *gas(draw), *other_refrigerator(draw)[1])
    return entries, {LOG: burner_log(draw)}


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


def battery(draw: Draw) -> tuple[Entry, ...]:
    """Draw a battery heater at the end of a long thin run."""
    gauge = draw.pick(list(RUNS))
    watts = draw.between(*RUNS[gauge], 5)
    return (
        Entry("battery_plate_volts", "Battery heater: volts on its plate", f"{BATTERY:g} V", "voltage"),
        Entry("battery_plate_watts", "Battery heater: watts on its plate", f"{watts:.0f} W", "power"),
        Entry(
            "battery_volts",
            "Battery heater: volts at the battery, heater on",
            f"{draw.between(12.4, 12.7, 0.1):.1f} V",
            "voltage",
        ),
        Entry("wire_gauge", "Battery run: gauge of the wire (AWG)", f"{gauge}", "number"),
        Entry("wire_length", "Battery run: length one way", f"{draw.between(30, 38, 0.5):g} ft", "length"),
        Entry(
            "wire_temperature",
            "Battery run: temperature of the wire",
            f"{draw.between(110, 140, 5):.0f} °F",
            "temperature",
        ),
    )


def gas(draw: Draw) -> tuple[Entry, ...]:
    """Draw a burner with its cylinder."""
    tare = draw.between(16.5, 18.5, 0.1)
    return (
        Entry(
            "orifice",
            "Burner: diameter of the orifice",
            f"{draw.between(145, 185, 5) / 1e4:.4f} in",
            "length",
        ),
        Entry(
            "low_pressure",
            "Burner: gas pressure you measure, burner on",
            f"{draw.between(5.0, 8.5, 0.1):.1f} in w.c.",
            "pressure_difference",
        ),
        Entry(
            "cylinder_weighs",
            "Cylinder: weight on the scale",
            f"{tare + draw.between(8, 18, 0.1):.1f} lb",
            "mass",
        ),
        Entry("cylinder_tare", "Cylinder: tare weight stamped on it", f"{tare:.1f} lb", "mass"),
    )


def burner_log(draw: Draw) -> str:
    """Draw a log as CSV: one long burn, then cycles that are much alike, up to a last lighting."""
    share = draw.between(0.55, 0.65, 0.01)
    rows, lit, on = [], 0, draw.between(*FIRST_BURN, 1)
    for burn in range(1, CYCLES + 2):
        cycle = draw.between(*CYCLE, 1)
        rows.append({"burn": burn, "lit_min": lit, "out_min": lit + round(on)})
        lit += round(on + cycle * (1.0 - share))
        on = cycle * share + draw.between(-2, 2, 1)
    return as_csv([*rows, {"burn": CYCLES + 2, "lit_min": lit, "out_min": ""}])


def other_refrigerator(draw: Draw) -> tuple[Fault | None, tuple[Entry, ...]]:
    """Draw another refrigerator with one fault or none; return the fault and three readings of a meter."""
    given = draw.pick(list(LETTERS))
    heater = with_fault(draw, given)
    shown = heater.meter()
    watts = float(heater_power(MAINS, in_parallel(element_resistances(heater.size))))
    return given, (
        Entry("other_size", "Other refrigerator: cubic feet", heater.size),
        Entry("other_plate", "Other refrigerator: its plate", f"{watts:.0f} W at {MAINS:g} V, two elements"),
        Entry(
            "other_supply",
            "Other refrigerator: volts at the supply",
            f"{shown.supply_volts:.1f} V",
            "voltage",
        ),
        Entry(
            "other_heater",
            "Other refrigerator: volts at the heater",
            f"{shown.heater_volts:.1f} V",
            "voltage",
        ),
        Entry("other_amps", "Other refrigerator: amps in one wire", f"{shown.amps:.2f} A", "current"),
    )


def with_fault(draw: Draw, given: Fault | None) -> HeaterCircuit:
    """Draw a mains heater with two elements and one fault or none; supply and elements vary."""
    size = draw.pick(["eight", "eighteen"])
    spread = draw.between(0.96, 1.04, 0.005)
    heater = HeaterCircuit.of(
        size,
        voltage=draw.between(114, 125, 0.5),
        elements=tuple(spread * resistance for resistance in element_resistances(size)),
    )
    element = heater.elements[0]
    changes = {
        None: {},
        Fault.LOW_SUPPLY: {"voltage": draw.between(93, 104, 0.5)},
        Fault.JOINT: {draw.pick(["joint", "return_joint"]): draw.between(4.5, 8.0, 0.1)},
        Fault.ONE_OF_TWO_OPEN: {"elements": draw.pick([(math.inf, element), (element, math.inf)])},
        Fault.HEATER_OPEN: {"elements": (math.inf, math.inf)},
        Fault.INTERRUPTED: draw.pick([{"fuse_blown": True}, {"switched_on": False}]),
    }
    return heater.changed(**changes[given])


EXERCISE = Exercise("heat_sources_and_circuits", "Heat sources and circuits", ITEMS, draw, by_hand=(NOTE,))
