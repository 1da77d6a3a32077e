"""Part 3 of “Heat sources and circuits”: a long run from the battery."""

from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.model.circuit import (
    gauge_area,
    heater_power,
    voltage_drop,
    wire_resistance,
)
from warmside.properties.metals import REFERENCE_TEMPERATURE
from warmside.units import BTU_PER_HOUR

from .mains import BATTERY, MIND_WATTS, ON_THE_WAY, resistance_of_plate


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


DROP_ON_THE_RUN = Item(
    name="drop_on_the_run",
    title="Volts lost on the long run",
    kind="voltage",
    points=3,
    key=drop_on_the_run,
    tolerance="1.5 %",
    why="The wire table has three figures, and figures are rounded on the way.",
    could_be=("0.4 V", "6 V"),
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
)


def volts_at_heater(job: Job) -> float:
    return job["battery_volts"] - job.value("drop_on_the_run")


VOLTS_AT_HEATER = Item(
    name="volts_at_heater",
    title="Volts at the battery heater",
    kind="voltage",
    points=1,
    key=volts_at_heater,
    tolerance="0.1 V",
    why="A meter on such a circuit shows tenths of a volt.",
    could_be=("6 V", "15 V"),
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
)


def battery_heat(job: Job) -> float:
    return float(heater_power(job.value("volts_at_heater"), battery_resistance(job)))


BATTERY_HEAT = Item(
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
)


# --- lines of the job card ----------------------------------------------------------------------------------

RUNS = {12: (185, 220), 10: (270, 340), 8: (400, 440)}
"""Watts of battery heaters for which wire of a gauge is thin on a long run."""


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


ITEMS = (
    DROP_ON_THE_RUN,
    VOLTS_AT_HEATER,
    BATTERY_HEAT,
)
