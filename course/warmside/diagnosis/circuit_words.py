"""Words of the check of a heater's circuit: cautions, what to measure next, values as people write them."""

from warmside.diagnosis.circuit_readings import OPEN
from warmside.hazards import FIRST, WORK

NEXT = {
    "supply_volts": "Volts at the supply, heater on.",
    "heater_volts": "Volts at the heater's leads, heater on.",
    "amps": "Amps with a clamp round one wire, heater on.",
    "drop_volts": "Volts along each wire from supply to heater, both added up, heater on.",
    "ground_ohms": "Ohms from each lead to the heater's sheath, made dead and leads off the board.",
    "ohms": "Ohms of the heater in the same state, less what the meter's leads show when they touch.",
    "fuse_ohms": "Ohms across the fuse, made dead and the fuse taken out.",
    "fuse_amps": "The amps that are printed on the fuse.",
    "fuse_rated_volts": "The volts that are printed on the fuse.",
    "holder_amps": "The amps that the fuse's holder or the instructions ask for.",
    "wire_area": "The gauge of the supply's wires.",
    "wire_length": "The length of the supply's wires, one way.",
}
"""How each reading is taken, in the order in which they are."""

_WORKS = ("volts_under_load", "battery", "vehicle_mains", "ohms", "reach_behind")


def cautions(source: str) -> tuple[str, ...]:
    """Return what is minded in taking these readings, each with the work that it belongs to."""
    works = [WORK[name] for name in _WORKS if source in WORK[name].heat_sources]
    return (*(f"{work.title}: {' '.join(work.sentences)}" for work in works), FIRST)


MAKE_DEAD = {
    "mains": "power off at the supply and prove it dead",
    "battery": "take off the battery's negative post and prove it dead",
}
"""What comes before hands go on it, by source."""


def make_dead(source: str) -> str:
    """Return what comes before hands go on it, as a sentence begins."""
    return capital(MAKE_DEAD[source])


def capital(sentence: str) -> str:
    """Return a sentence with a capital at its beginning."""
    return sentence[0].upper() + sentence[1:]


def volts(value: float) -> str:
    """Return a voltage as text."""
    return f"{value:.{4 if value >= 10.0 else 3}g} V" if value >= 0.01 else "0 V"


def amps(value: float) -> str:
    """Return a current as text."""
    return f"{value:.3g} A"


def ohms(value: float) -> str:
    """Return a resistance as text."""
    if value == OPEN:
        return "no connection"
    for factor, unit in ((1e6, "megohm"), (1e3, "kilohm")):
        if value >= factor:
            return f"{value / factor:.3g} {unit}"
    return f"{value:.3g} ohm"
