"""An electric heater as it is wired: supply, wires, fuse, switch on the board, elements, sheath and ground.

`HeaterCircuit` holds what can be right or wrong about it; its `circuit` is what a meter is put on, and
`meter` gives the readings that a technician takes. Lengths, joints and supplies are invented, of a usual
size: they stand in the tables of heaters and of wire.
"""

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

import numpy as np

from warmside.data import load
from warmside.errors import InputError
from warmside.model.checks import MORE_THAN_NOTHING, check_name, check_number
from warmside.model.circuit import gauge_area, wire_resistance
from warmside.model.fuse import Fuse
from warmside.model.heat_source import ELECTRIC, check_voltage, element_resistances
from warmside.model.network import Circuit, Part
from warmside.model.sizes import cubic_feet

_FUSES, _HEATERS, _WIRE = load("fuses"), load("heaters"), load("wire")
GOOD_CONTACT = _WIRE.number("good_contact")
"""Resistance of a fuse, a switch or a clean joint, each [ohm]."""
_GROUND = _WIRE.number("ground_path")
_ELEMENTS = "a tuple of resistances, each more than 0 and inf when open, such as (88.6, 88.6)"
_KINDS = (
    ("fuse", Fuse, "a Fuse, such as Fuse(5.0, 250.0)"),
    ("fuse_blown", bool | np.bool_, "True or False"),
    ("switched_on", bool | np.bool_, "True or False"),
)
USUAL_GAUGE = {source: int(_HEATERS.in_column("supply_gauge", source)) for source in ELECTRIC}
"""American wire gauge of the supply's wires, by source."""
ISOLATED = ("switch", "return joint")
"""Parts that are taken off to measure the heater alone, besides the supply."""

SUPPLY_LIVE, TERMINAL, FUSE_IN, FUSE_OUT, BOARD = (
    "supply live",
    "live terminal",
    "fuse in",
    "fuse out",
    "board live",
)
BOARD_RETURN, RETURN_TERMINAL, SUPPLY_RETURN = "board return", "return terminal", "supply return"
SHEATH, GROUND = "heater sheath", "ground"
_SOURCE_LIVE = "inside the supply"


def element_live(number: int) -> str:
    """Name of the point where an element's live lead ends; elements count from 1.

    Examples
    --------
    >>> element_live(1)
    'element 1 live'
    """
    return f"element {number} live"


def element_return(number: int) -> str:
    """Name of the point where an element's return lead begins; elements count from 1.

    Examples
    --------
    >>> element_return(1)
    'element 1 return'
    """
    return f"element {number} return"


@dataclass(frozen=True)
class Meter:
    """What a meter shows on a heater's circuit.

    Attributes
    ----------
    supply_volts, heater_volts : float
        At the supply and at the heater's leads, heater on [V].
    drop_volts : float
        Lost on the way, both wires together, heater on [V].
    amps : float
        In the supply's live wire, heater on [A].
    ohms : float
        Of the heater, isolated and cold; inf when open [ohm].
    ground_ohms : float
        From the isolated heater to its sheath [ohm].
    fuse_ohms : float
        Across the fuse, taken out; inf when it has blown [ohm].
    """

    supply_volts: float
    heater_volts: float
    drop_volts: float
    amps: float
    ohms: float
    ground_ohms: float
    fuse_ohms: float


@dataclass(frozen=True)
class HeaterCircuit:
    """An electric heater as it is wired. Make one with `HeaterCircuit.of`.

    Attributes
    ----------
    size, source : str
        Nominal cubic feet, and "mains" or "battery".
    voltage : float
        Of the supply without load [V].
    elements : tuple of float
        Resistances, side by side; inf when open [ohm].
    fuse : Fuse
        As it is marked.
    fuse_blown, switched_on : bool
        Whether the fuse has opened, and whether the board calls for heat.
    wire_area, wire_length, wire_temperature : float
        Copper of the supply's wires [m²], their length one way [m], and temperature [K].
    joint, return_joint : float
        Resistance of the supply's joints, live and return, beyond that of good ones [ohm].
    insulation : float
        Resistance from the first element to its sheath [ohm].
    """

    size: str
    source: str
    voltage: float
    elements: tuple[float, ...]
    fuse: Fuse
    fuse_blown: bool
    switched_on: bool
    wire_area: float
    wire_length: float
    wire_temperature: float
    joint: float
    return_joint: float
    insulation: float

    @classmethod
    def of(cls, size: str, source: str = "mains", **changes: Any) -> "HeaterCircuit":
        """Return a heater's circuit in good order, but for what is changed.

        Raises
        ------
        InputError
            One sentence, if something is unknown or impossible.
        """
        check_name(source, ELECTRIC, "The source of a heater's voltage")
        volts = _FUSES.number({"mains": "cartridge_voltage", "battery": "blade_voltage"}[source])
        usual: dict[str, Any] = dict(
            voltage=_HEATERS.in_column("supply_voltage", source),
            elements=element_resistances(size, source),
            fuse=Fuse(_HEATERS.in_column("supply_fuse", source), volts),
            fuse_blown=False,
            switched_on=True,
            wire_area=float(gauge_area(USUAL_GAUGE[source])),
            wire_length=_HEATERS.in_column("supply_length", source),
            wire_temperature=_WIRE.number("wire_temperature"),
            joint=0.0,
            return_joint=0.0,
            insulation=_HEATERS.in_column("sound_insulation", source),
        )
        _check_names(changes)
        return cls(size=size, source=source, **{**usual, **changes})

    def __post_init__(self):
        cubic_feet(self.size)
        check_voltage(self.source, self.voltage, "The supply's voltage")
        for name in ("joint", "return_joint", "insulation"):
            check_number(getattr(self, name), name, 0.0, np.inf, "0 or more, inf when it is open", "ohm")
        for name, kind, right in _KINDS:
            value = getattr(self, name)
            if not isinstance(value, kind):
                raise InputError(f"{name} is of the kind {type(value).__name__}; it must be {right}.")
        elements = check_number(self.elements, "elements", MORE_THAN_NOTHING, np.inf, _ELEMENTS, "ohm")
        if elements.ndim != 1:
            raise InputError(f"elements is one number or a table; it must be {_ELEMENTS}.")
        _ = self.one_wire

    def changed(self, **changes: Any) -> "HeaterCircuit":
        """Return the same with other changes."""
        _check_names(changes)
        return replace(self, **changes)

    @property
    def one_wire(self) -> float:
        """Resistance of the supply's wire, one way [ohm]."""
        return float(wire_resistance(self.wire_area, self.wire_length, self.wire_temperature, stranded=True))

    @cached_property
    def circuit(self) -> Circuit:
        """The parts and points that a meter is put on."""
        lead = _HEATERS.in_column("lead_resistance", self.source)
        parts = [
            Part("supply", _SOURCE_LIVE, SUPPLY_LIVE, _HEATERS.in_column("supply_resistance", self.source)),
            Part("live wire", SUPPLY_LIVE, TERMINAL, self.one_wire),
            Part("joint", TERMINAL, FUSE_IN, GOOD_CONTACT + self.joint),
            Part("fuse", FUSE_IN, FUSE_OUT, np.inf if self.fuse_blown else GOOD_CONTACT),
            Part("switch", FUSE_OUT, BOARD, GOOD_CONTACT if self.switched_on else np.inf),
            Part("return joint", BOARD_RETURN, RETURN_TERMINAL, GOOD_CONTACT + self.return_joint),
            Part("return wire", RETURN_TERMINAL, SUPPLY_RETURN, self.one_wire),
            Part("insulation", element_live(1), SHEATH, self.insulation),
            Part("ground wire", SHEATH, GROUND, _GROUND),
            Part("bond", GROUND, SUPPLY_RETURN, _GROUND),
        ]
        for number, resistance in enumerate(self.elements, start=1):
            parts += [
                Part(f"lead {number}", BOARD, element_live(number), lead),
                Part(f"element {number}", element_live(number), element_return(number), resistance),
                Part(f"return lead {number}", element_return(number), BOARD_RETURN, lead),
            ]
        return Circuit(tuple(parts), _SOURCE_LIVE, SUPPLY_RETURN, self.voltage)

    @property
    def heat(self) -> float:
        """Heat of the heater [W]."""
        heats = (
            self.circuit.volts(element_live(number), element_return(number)) ** 2 / resistance
            for number, resistance in enumerate(self.elements, start=1)
        )
        return float(sum(heats))

    def meter(self) -> Meter:
        """Return what a meter without error shows, each reading taken the way it should be."""
        circuit = self.circuit
        live, back = element_live(1), element_return(1)
        return Meter(
            supply_volts=circuit.volts(SUPPLY_LIVE, SUPPLY_RETURN),
            heater_volts=circuit.volts(live, back),
            drop_volts=circuit.volts(SUPPLY_LIVE, live) + circuit.volts(back, SUPPLY_RETURN),
            amps=circuit.amps("live wire"),
            ohms=circuit.ohms(BOARD, BOARD_RETURN, lifted=ISOLATED),
            ground_ohms=circuit.ohms(live, SHEATH, lifted=(*ISOLATED, "ground wire")),
            fuse_ohms=np.inf if self.fuse_blown else GOOD_CONTACT,
        )


def _check_names(changes):
    names = [field.name for field in fields(HeaterCircuit)]
    for name in changes:
        if name not in names:
            raise InputError(f"A heater's circuit has no “{name}”; it has {', '.join(names)}.")
