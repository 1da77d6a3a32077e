"""The way to each right answer of “Heat sources and circuits”, with a card's numbers. Never released."""

import math

from warmside.marking.exercise import Job
from warmside.marking.ways import Given, Way, figures, on_card, us

from .battery import SO, wire
from .fault import IN_WORDS, fault
from .gas import burns
from .mains import FUSE_CHOICE, fuse_rating, objections

PER_1000_FEET = {12: 1.62, 10: 1.02, 8: 0.641, 6: 0.403}
"""Ohms of stranded copper wire by gauge, as the text has them."""
LARGEST_FUSE = {12: 20, 10: 30, 8: 40, 6: 60}
"""Amps by gauge, as the text has them."""


def ohms(job: Job, source: str = "mains") -> float:
    """Ohms of a heater by its plate."""
    return us(job, f"{source}_plate_volts") ** 2 / job[f"{source}_plate_watts"]


def squared(job: Job, volts: float, resistance: float) -> str:
    return f"({figures(volts, 4)} V)² / {figures(resistance)} Ω = {figures(volts**2 / resistance)} W"


def heater_resistance(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"The plate's volts squared over its watts: ({on_card(job, 'mains_plate_volts')})² / "
        f"{on_card(job, 'mains_plate_watts')} = {figures(ohms(job))} Ω",
    )


def current_at_measured_volts(job: Job, given: Given) -> tuple[str, ...]:
    volts = us(job, "measured_volts")
    return (
        f"The ohms stay: {on_card(job, 'measured_volts')} / {figures(ohms(job))} Ω = "
        f"{figures(volts / ohms(job))} A",
    )


def heat_at_measured_volts(job: Job, given: Given) -> tuple[str, ...]:
    return ("Heat goes with the square of the volts.", squared(job, us(job, "measured_volts"), ohms(job)))


def open_element_resistance(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"Two alike side by side have half the ohms of one. One is left: 2 × {figures(ohms(job))} Ω = "
        f"{figures(2 * ohms(job))} Ω",
    )


def open_element_heat(job: Job, given: Given) -> tuple[str, ...]:
    return (
        "The one that is left has all the volts, and twice the ohms of both.",
        squared(job, us(job, "measured_volts"), 2 * ohms(job)),
    )


def rating(job: Job, given: Given) -> tuple[str, ...]:
    amps = job["mains_plate_watts"] / us(job, "mains_plate_volts")
    return (
        f"{on_card(job, 'mains_plate_watts')} / {on_card(job, 'mains_plate_volts')} = {figures(amps)} A, for "
        f"hours: 1.25 × {figures(amps)} A = {figures(1.25 * amps)} A.",
        f"The next size that is made: {fuse_rating(job):g} A",
    )


def fuse_choice(job: Job, given: Given) -> tuple[str, ...]:
    right = FUSE_CHOICE.key(job)
    others = [
        f"{letter} ({on_card(job, f'fuse_{letter}')}): {', '.join(one.value for one in found)}"
        for letter, found in objections(job).items()
        if found
    ]
    return (
        f"{right} ({on_card(job, f'fuse_{right}')}) has the circuit's volts and the rating of question 6.",
        f"The others: {'; '.join(others)}.",
    )


def run(job: Job) -> float:
    """Ohms of the run there and back, warm."""
    warm = 1.0 + 0.0022 * (us(job, "wire_temperature") - 68.0)
    return 2.0 * us(job, "wire_length") / 12.0 * PER_1000_FEET[gauge(job)] / 1000.0 * warm


def gauge(job: Job) -> int:
    return round(job["wire_gauge"])


def lost(job: Job) -> float:
    return us(job, "battery_volts") * run(job) / (run(job) + ohms(job, "battery"))


def drop_on_the_run(job: Job, given: Given) -> tuple[str, ...]:
    wire, heater = figures(run(job)), figures(ohms(job, "battery"))
    return (
        f"Wire there and back, warm: 2 × {on_card(job, 'wire_length')} × {PER_1000_FEET[gauge(job)]} Ω per "
        f"1,000 ft × (1 + 0.0022 × ({figures(us(job, 'wire_temperature'))} - 68)) = {wire} Ω.",
        f"Heater, by its plate: ({on_card(job, 'battery_plate_volts')})² / "
        f"{on_card(job, 'battery_plate_watts')} = {heater} Ω.",
        f"{on_card(job, 'battery_volts')} × {wire} / ({wire} + {heater}) = {figures(lost(job))} V",
    )


def volts_at_heater(job: Job, given: Given) -> tuple[str, ...]:
    left = us(job, "battery_volts") - lost(job)
    return (f"{on_card(job, 'battery_volts')} less {figures(lost(job))} V: {left:.2f} V",)


def wire_verdict(job: Job, given: Given) -> tuple[str, ...]:
    share, amps = 100.0 * lost(job) / us(job, "battery_volts"), us(job, "battery_plate_watts") / 12.0
    return (
        f"{figures(lost(job))} V of {on_card(job, 'battery_volts')} are {share:.1f} %; up to 5 % is right.",
        f"The plate asks for {figures(amps)} A; 125 % of that are {figures(1.25 * amps)} A. The largest fuse "
        f"for {gauge(job)} AWG is {LARGEST_FUSE[gauge(job)]} A.",
        f"So {SO[wire(job)]}.",
    )


def heat(job: Job) -> float:
    """Heat of the gas at 11 in w.c. by the rule of the text [Btu/h]."""
    return 1430.0 * (us(job, "orifice") / 0.0135) ** 2


def gas_heat(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"By the area of the hole: 1,430 Btu/h × ({on_card(job, 'orifice')} / 0.0135 in)² = "
        f"{figures(heat(job))} Btu/h",
    )


def low_pressure_heat(job: Job, given: Given) -> tuple[str, ...]:
    low = heat(job) * math.sqrt(us(job, "low_pressure") / 11.0)
    return (
        f"By the root of the pressure: {figures(heat(job))} Btu/h × √({on_card(job, 'low_pressure')} / "
        f"11 in w.c.) = {figures(low)} Btu/h",
    )


def lit(job: Job) -> tuple[list[int], int]:
    """How long each burn from the second to the last but one took, and all of that time [min]."""
    times = burns(job)[1:]
    return [out - begun for begun, out in times[:-1] if out is not None], times[-1][0] - times[0][0]


def burner_share(job: Job, given: Given) -> tuple[str, ...]:
    minutes, whole = lit(job)
    return (
        f"From the lighting of burn 2 to the last lighting are {whole} min.",
        f"({' + '.join(map(str, minutes))}) min / {whole} min = {100 * sum(minutes) / whole:.1f} %",
    )


def cylinder_days(job: Job, given: Given) -> tuple[str, ...]:
    minutes, whole = lit(job)
    gas, share = us(job, "cylinder_weighs") - us(job, "cylinder_tare"), sum(minutes) / whole
    hours = gas * 21600.0 / (heat(job) * share)
    return (
        f"{on_card(job, 'cylinder_weighs')} less {on_card(job, 'cylinder_tare')} are {figures(gas)} lb of "
        f"gas, with 21,600 Btu each: {figures(gas * 21600.0)} Btu.",
        f"{figures(heat(job))} Btu/h × {share:.3f} of the time = {figures(heat(job) * share)} Btu/h, so "
        f"{figures(hours)} h.",
        f"{figures(hours)} h / 24 = {figures(hours / 24.0)} days",
    )


def three_readings(job: Job, given: Given) -> tuple[str, ...]:
    supply, there, amps = (us(job, f"other_{name}") for name in ("supply", "heater", "amps"))
    gone = max(supply - there, 0.0) / supply
    through = f"volts over amps are {figures(there / amps)} Ω" if amps > 0.05 else "hardly a current flows"
    return (
        f"{on_card(job, 'other_supply')} at the supply (sound: 108 to 132 V); {100 * gone:.0f} % of it are "
        f"lost on the way to the heater (sound: up to 5 %); {through}, and the plate says "
        f"{job.card['other_plate']}.",
        f"So {IN_WORDS[fault(job)]}.",
    )


def first_step(job: Job, given: Given) -> tuple[str, ...]:
    return (
        "An ohmmeter belongs on dead leads alone: off at the supply, and proven dead with a meter that was "
        "tested on a live source before and after.",
    )


WAYS: dict[str, Way] = {
    "heater_resistance": heater_resistance,
    "current_at_measured_volts": current_at_measured_volts,
    "heat_at_measured_volts": heat_at_measured_volts,
    "open_element_resistance": open_element_resistance,
    "open_element_heat": open_element_heat,
    "fuse_rating": rating,
    "fuse_choice": fuse_choice,
    "drop_on_the_run": drop_on_the_run,
    "volts_at_heater": volts_at_heater,
    "wire": wire_verdict,
    "gas_heat": gas_heat,
    "low_pressure_heat": low_pressure_heat,
    "burner_share": burner_share,
    "cylinder_days": cylinder_days,
    "fault": three_readings,
    "first_step": first_step,
}
