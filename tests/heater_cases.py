"""Random heaters, each with one fault or none, what a meter shows on them, and how bad input is refused."""

import re
from collections.abc import Callable, Iterator

import numpy as np
import pytest

from warmside.diagnosis.circuit_check import Fault
from warmside.diagnosis.circuit_readings import CircuitReadings
from warmside.errors import InputError
from warmside.model.circuit import gauge_area
from warmside.model.fuse import Fuse, next_rating
from warmside.model.heat_source import nominal_voltage
from warmside.model.heater_circuit import HeaterCircuit
from warmside.units import Q_

METER_ERROR = 0.02
FAULTS = (
    Fault.HEATER_OPEN,
    Fault.ONE_OF_TWO_OPEN,
    Fault.JOINT,
    Fault.LOW_SUPPLY,
    Fault.HIGH_SUPPLY,
    Fault.WRONG_FUSE,
    Fault.FUSE_BLOWN,
    Fault.LEAKAGE,
    Fault.THIN_WIRE,
)
_GAUGES = {
    "mains": {"6 cu ft": 14, "8 cu ft": 14, "18 cu ft": 14},
    "battery": {"6 cu ft": 8, "8 cu ft": 6, "18 cu ft": 4},
}


def cases(count: int, seed: int, fault: Fault | None) -> Iterator[tuple[HeaterCircuit, CircuitReadings]]:
    """Heaters with a fault, or with none, and the readings of a meter that is up to 2 % off."""
    random = np.random.default_rng(seed)
    for _ in range(count):
        heater, holder = _with_fault(_healthy(random, fault), fault, random)
        yield (
            heater,
            take_readings(heater, lambda: random.uniform(1.0 - METER_ERROR, 1.0 + METER_ERROR), holder),
        )


def _healthy(random: np.random.Generator, fault: Fault | None) -> HeaterCircuit:
    only = {Fault.ONE_OF_TWO_OPEN: ["mains"], Fault.THIN_WIRE: ["battery"]}
    source = str(random.choice(only.get(fault, ["mains", "battery"])))
    sizes = ["8 cu ft", "18 cu ft"] if fault is Fault.ONE_OF_TWO_OPEN else ["6 cu ft", "8 cu ft", "18 cu ft"]
    size = str(random.choice(sizes))
    usual = HeaterCircuit.of(size, source)
    kind = "cartridge" if source == "mains" else "blade"
    load = sum(nominal_voltage(source) / resistance for resistance in usual.elements)
    lowest, highest = {"mains": (112.0, 126.0), "battery": (13.0, 14.6)}[source]
    return usual.changed(
        voltage=random.uniform(lowest, highest),
        elements=tuple(r * random.uniform(0.95, 1.05) for r in usual.elements),
        fuse=Fuse(next_rating(load, kind), 250.0 if source == "mains" else 32.0),
        wire_area=float(gauge_area(_GAUGES[source][size])),
        wire_length=random.uniform(2.0, 6.0),
        wire_temperature=random.uniform(290.0, 325.0),
        insulation=10.0 ** random.uniform(6.5, 8.0),
    )


def _with_fault(heater, fault, random):
    """The heater with the fault, and what its fuse holder asks for [A]."""
    holder, mains = heater.fuse.current_rating, heater.source == "mains"
    if fault is Fault.HEATER_OPEN:
        heater = heater.changed(elements=(np.inf,) * len(heater.elements))
    elif fault is Fault.ONE_OF_TWO_OPEN:
        heater = heater.changed(elements=tuple(random.permutation([np.inf, heater.elements[1]])))
    elif fault is Fault.JOINT:
        resistance = random.uniform(0.8, 8.0) if mains else random.uniform(0.03, 0.3)
        heater = heater.changed(**{str(random.choice(["joint", "return_joint"])): resistance})
    elif fault is Fault.LOW_SUPPLY:
        heater = heater.changed(voltage=random.uniform(92.0, 105.0) if mains else random.uniform(9.5, 11.7))
    elif fault is Fault.HIGH_SUPPLY:
        heater = heater.changed(voltage=random.uniform(137.0, 150.0) if mains else random.uniform(16.2, 18.0))
    elif fault is Fault.WRONG_FUSE:
        blade = Fuse(holder, 32.0) if mains else Fuse(holder * 2.0, 32.0)
        wrong = [blade, Fuse(holder * 2.0, heater.fuse.voltage_rating), Fuse(1.0, heater.fuse.voltage_rating)]
        heater = heater.changed(fuse=wrong[random.integers(3)])
    elif fault is Fault.FUSE_BLOWN:
        heater = heater.changed(fuse_blown=True)
    elif fault is Fault.LEAKAGE:
        heater = heater.changed(insulation=10.0 ** random.uniform(3.5, 5.9))
    elif fault is Fault.THIN_WIRE:
        heater = heater.changed(wire_length=random.uniform(12.0, 20.0))
    return heater, holder


def is_one_sentence(text: str) -> bool:
    """Whether a text is one sentence with one full stop; what it quotes aside."""
    plain = re.sub(r"“.*”", "x", text, flags=re.DOTALL)
    return plain.endswith(".") and not re.search(r"[.!?]\s+[A-Z]|\.\.|[!?\n]", plain)


NOT_A_NUMBER = [
    np.nan,
    "abc",
    "",
    "12",
    None,
    True,
    [],
    [[1.0], [1.0, 2.0]],
    {},
    "1" * 1000,
    object(),
    10**400,
    1j,
    Q_(5.0, "V"),
]
"""What stands where a number belongs."""


def refused(match: str, function, *arguments, **named) -> None:
    """An InputError of one sentence that names the field, whatever is wrong."""
    with pytest.raises(InputError, match=match) as error:
        function(*arguments, **named)
    assert is_one_sentence(str(error.value)), str(error.value)
    assert len(str(error.value)) < 400


def take_readings(
    heater: HeaterCircuit,
    meter_factor: Callable[[], float] = lambda: 1.0,
    holder_amps: float | None = None,
) -> CircuitReadings:
    """Take all readings of a modelled heater, as a technician would.

    Parameters
    ----------
    heater : HeaterCircuit
        Its circuit.
    meter_factor : callable, optional
        Called for each reading: what the meter shows over what is true.
    holder_amps : float, optional
        What the fuse's holder asks for [A].
    """
    shown = {name: max(value, 0.0) * meter_factor() for name, value in vars(heater.meter()).items()}
    return CircuitReadings(
        heater.size,
        heater.source,
        **shown,
        fuse_amps=heater.fuse.current_rating,
        fuse_rated_volts=heater.fuse.voltage_rating,
        holder_amps=holder_amps,
        wire_area=heater.wire_area,
        wire_length=heater.wire_length,
    )
