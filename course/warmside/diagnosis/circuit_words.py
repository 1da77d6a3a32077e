"""Words of the check of a heater's circuit: cautions, what to measure next, values as people write them."""

from warmside.diagnosis.circuit_readings import OPEN

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

_ALWAYS = (
    "Local codes, the appliance's own instructions and licensed practice come before this check, which is a "
    "teaching tool.",
    "Make it dead before you touch it or measure ohms: switch off, unplug or disconnect, then test the meter "
    "on a live source, test the circuit, and test the meter again.",
    "Tubes and boiler are near 400 °F (200 °C), so let them cool.",
)
CAUTIONS = {
    "mains": (
        "Mains kills: live measurements and repairs are for licensed people, with a meter and leads made for "
        "mains.",
        *_ALWAYS,
    ),
    "battery": (
        "A battery drives hundreds of amps through a slipped tool: take off rings, cover its posts, and undo "
        "the minus first.",
        *_ALWAYS,
    ),
}


MAKE_DEAD = {
    "mains": "unplug it and prove it dead",
    "battery": "take off the battery's minus and prove it dead",
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
