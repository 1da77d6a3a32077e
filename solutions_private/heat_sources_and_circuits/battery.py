"""Part 3 of “Heat sources and circuits”: a long run from the battery."""

from warmside.data import load
from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.marking.wrong_turns import kelvin
from warmside.model.circuit import gauge_area, voltage_drop, wire_resistance
from warmside.model.fuse import needed_rating, wire_fuse
from warmside.properties.metals import REFERENCE_TEMPERATURE
from warmside.units import FOOT

from .mains import BATTERY, resistance_of_plate


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
    could_be=("0.1 V", "4 V"),
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
    hint="What stands at the battery, less what is lost on the way.",
    mistakes=(
        Mistake(
            "the loss added",
            "Volts are lost on the way: take them off.",
            lambda job: job["battery_volts"] + drop_on_the_run(job),
        ),
        Mistake(
            "nominal volts used in place of measured",
            "Start from what the meter shows at the battery, not from 12 V.",
            lambda job: job["battery_plate_volts"] - drop_on_the_run(job),
        ),
    ),
)


# --- is this wire acceptable? -------------------------------------------------------------------------------

MOST_LOST = load("heaters").in_column("usual_drop", "battery")
ACCEPTABLE, LOSES, BURNS, LOSES_AND_BURNS = "abcd"
VERDICTS = {
    (False, False): ACCEPTABLE,
    (True, False): LOSES,
    (False, True): BURNS,
    (True, True): LOSES_AND_BURNS,
}
"""By whether too many volts are lost, and whether the fuse that the heater needs is too large for it."""


def loses(job: Job) -> bool:
    """Whether more of the battery's volts is lost than wires may take."""
    return bool(job.value("drop_on_the_run") > MOST_LOST * job["battery_volts"])


def burns(job: Job) -> bool:
    """Whether 125 % of the plate's amps ask for a larger fuse than this gauge may have."""
    amps = job["battery_plate_watts"] / job["battery_plate_volts"]
    return bool(needed_rating(amps) > wire_fuse(float(gauge_area(job["wire_gauge"]))))


def wire(job: Job, *turned: str) -> str:
    """Verdict on the wire; `turned` names what is judged the wrong way round."""
    found = {"loses": loses(job), "burns": burns(job)}
    return VERDICTS[tuple(value ^ (name in turned) for name, value in found.items())]


SO = {
    ACCEPTABLE: "this wire loses few enough volts, and may have the fuse that the heater needs",
    LOSES: "this wire may have the fuse that the heater needs, but too many volts are lost",
    BURNS: "few enough volts are lost, but the heater needs a larger fuse than this gauge may have",
    LOSES_AND_BURNS: "too many volts are lost, and the heater needs a larger fuse than this gauge may have",
}

WIRE = Item(
    name="wire",
    title="Is this wire acceptable?",
    kind="choice",
    points=2,
    choices=tuple(SO),
    key=wire,
    decides=lambda job, answer: f"What is so: {SO[wire(job)]}.",
    hint="Two questions: what part of the battery's volts is lost, and which fuse must the wire bear?",
    mistakes=(
        Mistake(
            "the lost volts judged wrong",
            "Hold the volts lost against 5 % of those at the battery.",
            lambda job: wire(job, "loses"),
            credit=0.25,
        ),
        Mistake(
            "the wire's fuse judged wrong",
            "Take 125 % of the plate's amps, and hold that against the largest fuse for this gauge.",
            lambda job: wire(job, "burns"),
            credit=0.25,
        ),
        Mistake(
            "both judged wrong",
            "Begin anew: volts lost against 5 %, and 125 % of the plate's amps against the gauge's fuse.",
            lambda job: wire(job, "loses", "burns"),
        ),
    ),
)


# --- lines of the job card ----------------------------------------------------------------------------------

RUNS = {
    (12, ACCEPTABLE): (185, 190),
    (10, ACCEPTABLE): (195, 275),
    (8, ACCEPTABLE): (290, 365),
    (6, ACCEPTABLE): (380, 440),
    (12, BURNS): (205, 280),
    (10, BURNS): (305, 380),
    (8, BURNS): (400, 440),
}
"""Watts of battery heaters whose fuse a gauge may have, and of those whose fuse is too large for it."""
SHARES = {False: (0.032, 0.044), True: (0.06, 0.08)}
"""What the run loses of the battery's volts: within 5 %, and beyond; neither hangs on a rounding."""


def battery(draw: Draw) -> tuple[Entry, ...]:
    """Draw a battery heater at the end of a run that is right, too long, too thin for its fuse, or both."""
    lost, fuse = draw.pick(list(VERDICTS))
    gauge, _ = run = draw.pick([each for each in RUNS if each[1] == (BURNS if fuse else ACCEPTABLE)])
    watts, temperature = draw.between(*RUNS[run], 5), draw.between(110, 140, 5)
    share = draw.between(*SHARES[lost], 0.002)
    ohms = BATTERY**2 / watts * share / (1.0 - share)
    foot = wire_resistance(gauge_area(gauge), 2.0 * FOOT, kelvin(temperature), stranded=True)
    return (
        Entry("battery_plate_volts", "Battery heater: volts on its plate", f"{BATTERY:g} V", "voltage"),
        Entry("battery_plate_watts", "Battery heater: watts on its plate", f"{watts:.0f} W", "power"),
        Entry(
            "battery_volts",
            "Battery heater: volts at the battery, heater on, engine running",
            f"{draw.between(13.8, 14.3, 0.1):.1f} V",
            "voltage",
        ),
        Entry("wire_gauge", "Battery run: gauge of the wire (AWG)", f"{gauge}", "number"),
        Entry(
            "wire_length", "Battery run: length one way", f"{round(2.0 * ohms / foot) / 2.0:g} ft", "length"
        ),
        Entry(
            "wire_temperature",
            "Battery run: temperature of the wire",
            f"{temperature:.0f} °F",
            "temperature",
        ),
    )


ITEMS = (
    DROP_ON_THE_RUN,
    VOLTS_AT_HEATER,
    WIRE,
)
