"""The way to each right answer of “The absorption cycle”, with a card's numbers. Never released."""

import math

import numpy as np

from warmside.marking.exercise import Job
from warmside.marking.ways import Given, Way, figures, on_card, us
from warmside.marking.wrong_turns import kelvin
from warmside.properties.ammonia import latent_heat, saturation_pressure
from warmside.units import BTU, POUND, PSI

from .judgement import (
    COMES_BACK,
    LET_IT_TELL,
    NEXT,
    NO_SIGN,
    TILT_WORDS,
    off_level,
    tilt_verdict,
    unit_or_not,
)
from .log import HOT_AIR, LOG, NO_HEAT, STOPPED, steady_rows, what_happened

LINES = np.array([-20, -10, 0, 10, 20, 30, 40, 110, 120, 130, 140, 150, 160], float)
"""Temperatures of the notebook's table [°F]."""
PSI_OF = np.round(saturation_pressure(kelvin(LINES)) / PSI, 1)
HEAT_OF = np.round(latent_heat(kelvin(LINES)) / (BTU / POUND))
_WATT = 3.41


def whole(job: Job) -> float:
    return us(job, "gauge_pressure") + 14.7


def between(psi: float) -> tuple[int, float]:
    """Return the line of the table below a pressure, and where between the lines it lies [°F]."""
    below = int(np.searchsorted(PSI_OF, psi)) - 1
    return below, float(np.interp(psi, PSI_OF, LINES))


def part_at_coil(job: Job) -> float:
    return float(np.interp(us(job, "coil_temperature"), LINES, PSI_OF))


def cold(job: Job) -> float:
    return us(job, "freezer_cold") + us(job, "food_cold")


def heater(job: Job) -> float:
    """The heater's heat [Btu/h]."""
    return us_watts(job) * _WATT


def us_watts(job: Job) -> float:
    return float(on_card(job, "heater").split()[0])


def condensing_temperature(job: Job, given: Given) -> tuple[str, ...]:
    below, found = between(whole(job))
    return (
        f"{on_card(job, 'gauge_pressure')} and the air's 14.7 psi: {whole(job):.1f} psi absolute.",
        f"The table has {PSI_OF[below]:.1f} psi at {LINES[below]:.0f} °F and {PSI_OF[below + 1]:.1f} psi at "
        f"{LINES[below + 1]:.0f} °F. Between them lies {found:.1f} °F",
    )


def ammonia_part(job: Job, given: Given) -> tuple[str, ...]:
    at = us(job, "coil_temperature")
    below = int(np.searchsorted(LINES, at)) - 1
    return (
        f"The table has {PSI_OF[below]:.1f} psi at {LINES[below]:.0f} °F and {PSI_OF[below + 1]:.1f} psi at "
        f"{LINES[below + 1]:.0f} °F; at {at:.0f} °F that is {part_at_coil(job):.1f} psi",
    )


def hydrogen_part(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"{whole(job):.1f} psi in all, less ammonia's {part_at_coil(job):.1f} psi: "
        f"{whole(job) - part_at_coil(job):.0f} psi",
    )


def heat_leaving(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"The heater makes {us_watts(job):.0f} × 3.41 = {figures(heater(job), 4)} Btu/h. The coils take up "
        f"{on_card(job, 'freezer_cold')} and {on_card(job, 'food_cold')}.",
        f"Together {figures(heater(job) + cold(job), 4)} Btu/h",
    )


def absorber_heat(job: Job, given: Given) -> tuple[str, ...]:
    parts = ("condenser_heat", "rectifier_heat", "boiler_loss")
    rest = heater(job) + cold(job) - sum(us(job, name) for name in parts)
    taken = ", ".join(on_card(job, name) for name in parts)
    return (f"{figures(heater(job) + cold(job), 4)} Btu/h less {taken}: {figures(rest)} Btu/h",)


def cop(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"{cold(job):.0f} Btu/h over {figures(heater(job), 4)} Btu/h = {figures(cold(job) / heater(job))}",
    )


def compressor_power(job: Job, given: Given) -> tuple[str, ...]:
    watts = cold(job) / _WATT
    pays = on_card(job, "compressor_cop")
    return (
        f"{cold(job):.0f} Btu/h are {figures(watts)} W.",
        f"Over {pays} that is {figures(watts / float(pays))} W",
    )


def ammonia_flow(job: Job, given: Given) -> tuple[str, ...]:
    takes_up = float(np.interp(us(job, "coil_temperature"), LINES, HEAT_OF))
    return (
        f"At {on_card(job, 'coil_temperature')} a pound takes up {takes_up:.0f} Btu.",
        f"{cold(job):.0f} Btu/h over that, times 16 = {figures(16 * cold(job) / takes_up)} oz/h",
    )


def change_at(job: Job, given: Given) -> tuple[str, ...]:
    row = job.card.table(LOG)[steady_rows(job) - 1]
    hours, minutes = row["since"].split(":")
    return (
        f"Boiler and absorber last stand where they stood at the beginning at {row['since']}, by the clock "
        f"{row['clock']}.",
        f"{row['since']} in hours and minutes is {60 * int(hours) + int(minutes)} min",
    )


def said_of_log(job: Job, given: Given) -> tuple[str, ...]:
    boiler, absorber = (job.card.column(LOG, name) for name in ("boiler_F", "absorber_F"))
    went = (
        f"The boiler goes from {boiler[0]:.0f} to {boiler[-1]:.0f} °F, the absorber from {absorber[0]:.0f} "
        f"to {absorber[-1]:.0f} °F."
    )
    truth = what_happened(job)
    if truth == STOPPED:
        return (went, "Heat goes on, and nothing carries it to the absorber: nothing goes round.")
    if truth == NO_HEAT:
        return (went, "Both are as warm as the air in the end: there is no heat.")
    if truth == HOT_AIR:
        return (
            went,
            "Both get warmer: heat comes, the unit works, and the air behind it can't take it away.",
        )
    return (went, "Both fall and come back to where they were by themselves: the heat was away for a while.")


def tilt(job: Job, given: Given) -> tuple[str, ...]:
    rise, length = us(job, "level_raised"), us(job, "level_length")
    return (
        f"{on_card(job, 'level_raised')} over {on_card(job, 'level_length')} is {figures(rise / length)}.",
        f"Times 57.3: {figures(math.degrees(math.atan(rise / length)))} deg",
    )


def verdict_of_tilt(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"It leans {on_card(job, 'level_way')}; the level is good to half a degree: "
        f"{TILT_WORDS[tilt_verdict(job)]}.",
    )


def setting(job: Job, given: Given) -> tuple[str, ...]:
    runs = on_card(job, "runs")
    if "all the time" in runs:
        return (
            f"On your card {runs}: no setting asks for more. Look for what is missing: air, heat, level.",
        )
    return (f"On your card {runs}: with a colder setting it rests less and gets colder.",)


def after_off_level(job: Job, given: Given) -> tuple[str, ...]:
    said = {
        COMES_BACK: "The boiler cooked for hours, not days: what it lost comes back as it cools down.",
        LET_IT_TELL: "The boiler cooked for days: it may come back or not; a day of running tells.",
    }.get(off_level(job), "On the road every bend rocks the liquid along: nothing was lost.")
    return (f"On your card {on_card(job, 'off_level')}.", said)


def is_it_the_unit(job: Job, given: Given) -> tuple[str, ...]:
    met = on_card(job, "met")
    first = "No sign was met." if met == NO_SIGN else f"You met {met}: that comes before all else."
    return (first, f"So: {NEXT[unit_or_not(job)]}.")


WAYS: dict[str, Way] = {
    "condensing_temperature": condensing_temperature,
    "ammonia_part": ammonia_part,
    "hydrogen_part": hydrogen_part,
    "heat_leaving": heat_leaving,
    "absorber_heat": absorber_heat,
    "cop": cop,
    "compressor_power": compressor_power,
    "ammonia_flow": ammonia_flow,
    "change_at": change_at,
    "what_happened": said_of_log,
    "tilt": tilt,
    "tilt_verdict": verdict_of_tilt,
    "setting": setting,
    "off_level": after_off_level,
    "unit_or_not": is_it_the_unit,
}
