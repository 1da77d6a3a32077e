"""Part 5 of “Heat sources and circuits”: another refrigerator, and the note to the customer."""

import math
from functools import lru_cache

from warmside.diagnosis.circuit_check import Fault, check_circuit
from warmside.diagnosis.circuit_readings import CircuitReadings
from warmside.marking.exercise import ByHand, Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.marking.wrong_turns import instead_of
from warmside.model.circuit import (
    heater_power,
    in_parallel,
)
from warmside.model.heat_source import element_resistances
from warmside.model.heater_circuit import HeaterCircuit

from .mains import MAINS

SOUND, LOW_SUPPLY, JOINT, HALF_OPEN, OPEN, INTERRUPTED = "abcdef"
LETTERS = {
    None: SOUND,
    Fault.LOW_SUPPLY: LOW_SUPPLY,
    Fault.JOINT: JOINT,
    Fault.ONE_OF_TWO_OPEN: HALF_OPEN,
    Fault.HEATER_OPEN: OPEN,
    Fault.INTERRUPTED: INTERRUPTED,
}


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


def fault(job: Job) -> str:
    return pointed_at(job.card["other_size"], job["other_supply"], job["other_heater"], job["other_amps"])


FAULT = Item(
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
            "From 108 to 132 V a supply counts as in order, whatever the day then makes of it.",
            instead_of(fault, LOW_SUPPLY, SOUND, HALF_OPEN, OPEN, INTERRUPTED),
        ),
    ),
)


FIRST_STEP = Item(
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
            "An ohmmeter on a live circuit burns out or hurts you: switch its supply off and prove it dead.",
            lambda job: "a",
        ),
        Mistake(
            "an open fuse trusted",
            "With its fuse out one side may still be live: switch its supply off and prove it dead.",
            lambda job: "b",
        ),
        Mistake(
            "a switch trusted",
            "A switch on the panel proves nothing: switch its supply off and prove it dead.",
            lambda job: "d",
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


# --- lines of the job card ----------------------------------------------------------------------------------


def other_refrigerator(draw: Draw) -> tuple[Fault | None, tuple[Entry, ...]]:
    """Draw another refrigerator with one fault or none; return the fault and three readings of a meter."""
    given = draw.pick(list(LETTERS))
    heater = with_fault(draw, given)
    shown = heater.meter()
    watts = float(heater_power(MAINS, in_parallel(element_resistances(heater.size))))
    return given, (
        Entry("other_size", "Other refrigerator: size", heater.size),
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
    size = draw.pick(["8 cu ft", "18 cu ft"])
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


ITEMS = (
    FAULT,
    FIRST_STEP,
)
