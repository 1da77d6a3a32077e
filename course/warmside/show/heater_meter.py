"""A meter on a heater's circuit: where it can be put, what can be wrong, and what it then shows."""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from warmside.model import heater_circuit as wiring
from warmside.model.heater_circuit import HeaterCircuit
from warmside.units import to_si, ureg

VOLTS, AMPS, OHMS = "volts", "amps", "ohms"
HEATERS = {
    "mains, two elements": ("8 cu ft", "mains"),
    "mains, one element": ("6 cu ft", "mains"),
    "battery": ("8 cu ft", "battery"),
}
"""Which heaters there are to measure: size and source by what people read."""
POINTS = {
    "A": (wiring.SUPPLY_LIVE, "supply, live"),
    "B": (wiring.TERMINAL, "end of the live wire"),
    "C": (wiring.FUSE_IN, "fuse, coming in"),
    "D": (wiring.FUSE_OUT, "fuse, going out"),
    "E": (wiring.BOARD, "board, live"),
    "F": (wiring.element_live(1), "element 1, live"),
    "G": (wiring.element_return(1), "element 1, return"),
    "H": (wiring.element_live(2), "element 2, live"),
    "J": (wiring.element_return(2), "element 2, return"),
    "K": (wiring.BOARD_RETURN, "board, return"),
    "L": (wiring.RETURN_TERMINAL, "end of the return wire"),
    "M": (wiring.SUPPLY_RETURN, "supply, return"),
    "N": (wiring.SHEATH, "metal sheath of the heater"),
}
"""Points for the probes by letter: name in the model, and what people read."""

IN_ORDER = "in order"
FAULTS = {
    IN_ORDER: "Nothing is wrong.",
    "low supply": "The supply is far too low under load.",
    "bad joint, live": "The joint between B and C has resistance: it takes volts, and gets hot.",
    "bad joint, return": "The joint between K and L has resistance: a return counts as much as a live wire.",
    "blown fuse": "The fuse has opened. Ask why before a new one goes in.",
    "element 1 open": "Element 1 is open. A second one, if there is one, goes on with half the heat.",
    "leakage to ground": "Element 1 leaks to its metal sheath. Leave it off, with power off at the supply.",
    "board not calling": "The switch on the board is open: the control asks for no heat.",
}
"""Faults to put in by name, and what is told when they are shown."""
_SECRET = (
    "bad joint, live",
    "element 1 open",
    "low supply",
    "leakage to ground",
    "blown fuse",
    "bad joint, return",
)
MYSTERIES = tuple(f"mystery {number}" for number in range(1, len(_SECRET) + 1))
NOTHING = "–"
"""What the display shows where the meter can't or mustn't be used."""
OPEN = "OL"
"""What the display shows for a resistance beyond its range."""
_LOW = {"mains": 104.0, "battery": 10.6}
_JOINT = {"mains": 4.0, "battery": 0.12}
_LEAK = 20e3  # ohm


@dataclass(frozen=True)
class MeterOnHeater:
    """Where the meter is, and on what.

    Attributes
    ----------
    heater : str
        One of `HEATERS`.
    fault : str
        One of `FAULTS` or `MYSTERIES`.
    shown : bool
        Whether the fault is told.
    isolated : bool
        Made dead and the supply's wires off the board, as for ohms; else on and under load.
    meter : str
        "volts", "amps" (a clamp round the live wire) or "ohms".
    red, black : str
        Letters of `POINTS`.
    ambient : float
        Outside [K].
    """

    heater: str = "mains, two elements"
    fault: str = IN_ORDER
    shown: bool = False
    isolated: bool = False
    meter: str = VOLTS
    red: str = "F"
    black: str = "G"
    ambient: float = to_si(ureg.Quantity(80, "degF"), "temperature")

    @property
    def source(self) -> str:
        """The heater's source: "mains" or "battery"."""
        return HEATERS[self.heater][1]

    @property
    def is_told(self) -> bool:
        """Whether what is wrong is known: it was put in by name, or asked for."""
        return self.shown or self.fault not in MYSTERIES

    @property
    def true_fault(self) -> str:
        """The fault by its name, also where it is a mystery."""
        return _SECRET[MYSTERIES.index(self.fault)] if self.fault in MYSTERIES else self.fault

    @property
    def circuit(self) -> HeaterCircuit:
        """The heater as it is wired, with what is wrong."""
        return heater_with(self.heater, self.true_fault)

    @property
    def in_order(self) -> "MeterOnHeater":
        """The same meter on a circuit in order."""
        return replace(self, fault=IN_ORDER)

    @property
    def missing(self) -> tuple[str, ...]:
        """Letters of the probes' points that this heater doesn't have."""
        letters = () if self.meter == AMPS else (self.red, self.black)
        return tuple(
            dict.fromkeys(each for each in letters if POINTS[each][0] not in self.circuit.circuit.points)
        )


SITUATIONS = {
    "In order": MeterOnHeater(),
    "Volts lost on the way": MeterOnHeater(red="A", black="F"),
    "Element 1 open: volts": MeterOnHeater(fault="element 1 open"),
    "Element 1 open: amps": MeterOnHeater(fault="element 1 open", meter=AMPS),
    "Bad joint": MeterOnHeater(fault="bad joint, live", red="B", black="C"),
    "Blown fuse": MeterOnHeater(fault="blown fuse", red="C", black="D"),
    "Battery’s way": MeterOnHeater(heater="battery", red="A", black="F"),
    "A mystery": MeterOnHeater(fault=MYSTERIES[0], red="A", black="M"),
}
"""Where to put the meter to see something, by what people read."""


@lru_cache(maxsize=64)
def heater_with(heater: str, fault: str) -> HeaterCircuit:
    """Return a heater's circuit, one of `HEATERS`, with a fault, one of `FAULTS`."""
    size, source = HEATERS[heater]
    sound = HeaterCircuit.of(size, source)
    changes: dict[str, dict[str, Any]] = {
        IN_ORDER: {},
        "low supply": {"voltage": _LOW[source]},
        "bad joint, live": {"joint": _JOINT[source]},
        "bad joint, return": {"return_joint": _JOINT[source]},
        "blown fuse": {"fuse_blown": True},
        "element 1 open": {"elements": (np.inf, *sound.elements[1:])},
        "leakage to ground": {"insulation": _LEAK},
        "board not calling": {"switched_on": False},
    }
    return sound.changed(**changes[fault])


class Reading(NamedTuple):
    """What a meter shows.

    Attributes
    ----------
    text : str
        As it stands on the display.
    value : float
        [V], [A] or [ohm]; inf where it is open, nan where the meter can't or mustn't be used.
    """

    text: str
    value: float


def reading(setting: MeterOnHeater) -> Reading:
    """Return what the meter shows: nothing where a point is missing, or for ohms on a live circuit.

    Examples
    --------
    >>> reading(MeterOnHeater()).text
    '118.5 V'
    >>> reading(MeterOnHeater(meter=OHMS)).text
    '–'
    """
    if setting.missing or (setting.meter == OHMS and not setting.isolated):
        return Reading(NOTHING, np.nan)
    circuit = setting.circuit.circuit
    (red, _), (black, _) = POINTS[setting.red], POINTS[setting.black]
    if setting.meter == AMPS:
        value = 0.0 if setting.isolated else circuit.amps("live wire")
        return Reading(amps_text(value), value)
    if setting.meter == VOLTS:
        value = 0.0 if setting.isolated else round(circuit.volts(red, black), 2) + 0.0  # no -0.00
        return Reading(volts_text(value), value)
    value = circuit.ohms(red, black, lifted=wiring.ISOLATED)
    return Reading(ohms_text(value), value)


def volts_text(volts: float) -> str:
    """Return volts as a meter shows them."""
    return f"{volts:.1f} V" if abs(volts) >= 20.0 else f"{volts:.2f} V"


def amps_text(amps: float) -> str:
    """Return amperes as a meter shows them."""
    return f"{amps:.2f} A" if abs(amps) < 10.0 else f"{amps:.1f} A"


def ohms_text(ohms: float) -> str:
    """Return a resistance as a meter shows it."""
    if np.isinf(ohms):
        return OPEN
    for factor, unit in ((1e6, "Mohm"), (1e3, "kohm")):
        if ohms >= factor:
            return f"{ohms / factor:.3g} {unit}"
    return f"{ohms:.1f} ohm" if ohms >= 10.0 else f"{ohms:.2f} ohm"
