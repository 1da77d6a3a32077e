"""What was measured on an electric heater, any of it, read from texts with units."""

import math
import re
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from warmside.data import load
from warmside.errors import InputError
from warmside.hazards import in_order
from warmside.model.checks import check_name, check_number
from warmside.model.circuit import check_area, gauge_area, in_parallel, wire_resistance
from warmside.model.fuse import Fuse
from warmside.model.heat_source import ELECTRIC, check_voltage, element_resistances, nominal_voltage
from warmside.model.sizes import cubic_feet
from warmside.units import KINDS as QUANTITIES
from warmside.units import read_quantity, to_si

_HEATERS, _CHECK = load("heaters"), load("circuit_check")
OPEN = math.inf
"""What an ohmmeter shows where there is no connection."""
_OPEN_WORDS = ("open", "ol", "o.l.", "infinite", "no connection")
_GAUGE = re.compile(r"\s*(?:(?:AWG|gauge|#)\s*(\d{1,3})|(\d{1,3})\s*(?:AWG|gauge|ga))\s*", re.IGNORECASE)
_GAUGE_EXAMPLE = "14 AWG"


@dataclass(frozen=True)
class CircuitReadings:
    """What was measured on an electric heater; None where it wasn't. Make one with `read` from texts.

    Attributes
    ----------
    size, source : str
        Nominal cubic feet, and "mains" or "battery".
    supply_volts, heater_volts : float or None
        At the supply and at the heater's leads, heater on [V].
    drop_volts : float or None
        Lost in both wires together, measured along them, heater on [V].
    amps : float or None
        Heater on [A].
    ohms : float or None
        Of the whole heater, isolated and cold; `OPEN` where the meter shows none [ohm].
    ground_ohms : float or None
        From the isolated heater to its sheath; `OPEN` where the meter shows none [ohm].
    fuse_ohms : float or None
        Across the fuse, taken out; `OPEN` when it has blown [ohm].
    fuse_amps, fuse_rated_volts : float or None
        What is printed on the fuse [A], [V].
    holder_amps : float or None
        What the holder or the instructions ask for [A].
    wire_area : float or None
        Copper of the supply's wires [m²].
    wire_length : float or None
        Of the supply's wires, one way [m].
    stop_signs : tuple of str
        Names of the stop signs that were met (`warmside.hazards.STOP_SIGNS`).
    """

    size: str
    source: str
    supply_volts: float | None = None
    heater_volts: float | None = None
    drop_volts: float | None = None
    amps: float | None = None
    ohms: float | None = None
    ground_ohms: float | None = None
    fuse_ohms: float | None = None
    fuse_amps: float | None = None
    fuse_rated_volts: float | None = None
    holder_amps: float | None = None
    wire_area: float | None = None
    wire_length: float | None = None
    stop_signs: tuple[str, ...] = ()

    @classmethod
    def read(
        cls, size: str, source: str, stop_signs: tuple[str, ...] = (), **texts: str
    ) -> "CircuitReadings":
        """Read what was measured from texts with units, such as ``supply_volts="118 V"``.

        Resistances may be ``"open"``; the wire's area may be a gauge, such as ``"14 AWG"``.

        Raises
        ------
        InputError
            One sentence that names the reading, what was read and what would be right.
        """
        for name in texts:
            if name not in KINDS:
                raise InputError(f"There is no reading “{name}”; there are {', '.join(KINDS)}.")
        values = {name: _value(name, text) for name, text in texts.items()}
        return cls(size, source, stop_signs=stop_signs, **values)

    def __post_init__(self) -> None:
        """Refuse what can't have been read, in one sentence."""
        cubic_feet(self.size, "size")
        check_name(self.source, ELECTRIC, "source")
        in_order(self.stop_signs)
        bounds = self._bounds()
        for name, kind in KINDS.items():
            value = getattr(self, name)
            if value is None:
                continue
            if name in bounds:
                least, most, wanted = bounds[name]
                number = check_number(value, name, least, most, wanted, _UNITS[kind])
            elif kind == "area":
                number = check_area(value, name)
            else:
                number = check_voltage(self.source, value, name)
            if number.ndim:
                raise InputError(f"{name} is several numbers; it must be one.")

    def _bounds(self) -> dict[str, tuple[float, float, str]]:
        """From and to what a reading can be, and the same in words."""
        least = _CHECK.number("least_ohms") * self.nominal_ohms
        most = _CHECK.number("most_amps") * self.nominal_amps
        rating = _range("fuse_amps", "from {:g} to {:g} A, as fuses are")
        resistance = 0.0, OPEN, "0 or more, or open"
        about = f"this heater has about {self.nominal_ohms:.3g} ohm, so see that no leads touch"
        return {
            "amps": (0.0, most, f"from 0 to {most:.3g} A, and is about {self.nominal_amps:.3g} A here"),
            "ohms": (least, OPEN, f"{least:.2g} ohm or more, or open: {about}"),
            "ground_ohms": resistance,
            "fuse_ohms": resistance,
            "fuse_amps": rating,
            "holder_amps": rating,
            "fuse_rated_volts": _range("fuse_volts", "from {:g} to {:g} V, as fuses are marked"),
            "wire_length": _range("wire_length", "from {:g} to {:g} m one way (4 in to 650 ft)"),
        }

    @cached_property
    def elements(self) -> tuple[float, ...]:
        """Nominal resistances of the heater's elements [ohm]."""
        return element_resistances(self.size, self.source)

    @cached_property
    def nominal_ohms(self) -> float:
        """Nominal resistance of the heater [ohm]."""
        return float(in_parallel(self.elements))

    @cached_property
    def nominal_amps(self) -> float:
        """Current of the heater at its nominal voltage [A]."""
        return nominal_voltage(self.source) / self.nominal_ohms

    @property
    def fuse(self) -> Fuse | None:
        """The fuse as it is marked, where both markings were read."""
        if self.fuse_amps is None or self.fuse_rated_volts is None:
            return None
        return Fuse(self.fuse_amps, self.fuse_rated_volts)

    @cached_property
    def wire_ohms(self) -> float | None:
        """Resistance of both wires worked out from area and length [ohm]."""
        if self.wire_area is None or self.wire_length is None:
            return None
        return float(wire_resistance(self.wire_area, 2.0 * self.wire_length, stranded=True))

    def of_source(self, quantity: str) -> float:
        """Return a quantity of the table of heaters for this source, in SI units."""
        return _HEATERS.in_column(quantity, self.source)

    def meter_doubt(self, row: str) -> float:
        """Return a doubt that the table of the check gives in accuracies of the meter, as a part."""
        return _CHECK.number(row) * self.of_source("meter_accuracy")

    @property
    def volts_at_heater(self) -> float | None:
        """Volts at the heater, measured or else what the way leaves of the supply's; None if not known."""
        if self.heater_volts is not None or self.supply_volts is None or self.drop_volts is None:
            return self.heater_volts
        left = self.supply_volts - self.drop_volts
        return left if left > self.meter_doubt("left_doubt") * self.supply_volts else 0.0

    @property
    def is_on(self) -> bool:
        """Whether the heater has volts, as far as was measured."""
        volts = self.volts_at_heater
        return volts is None or volts >= _CHECK.number("dead_share") * nominal_voltage(self.source)

    @property
    def no_supply(self) -> bool:
        """Whether the supply was found dead."""
        dead = _CHECK.number("dead_share") * nominal_voltage(self.source)
        return self.supply_volts is not None and self.supply_volts < dead

    @property
    def current_flows(self) -> bool:
        """Whether a current was measured."""
        return self.amps is not None and self.amps >= _CHECK.number("dead_share") * self.nominal_amps

    @property
    def no_current(self) -> bool:
        """Whether there was none where it was measured."""
        return self.amps is not None and not self.current_flows

    @property
    def blown(self) -> bool:
        """Whether the fuse was found open."""
        return self.fuse_ohms is not None and self.fuse_ohms > _CHECK.number("blown_fuse")

    @property
    def doubt_of_sum(self) -> float:
        """How far the volts at supply and heater may be off together [V]; 0 where one of them is missing."""
        if self.supply_volts is None or self.heater_volts is None:
            return 0.0
        return self.meter_doubt("sum_doubt") * (self.supply_volts + self.heater_volts)

    @property
    def lost_volts(self) -> tuple[float, float] | None:
        """Volts lost on the way, measured or else by difference, and their doubt [V]; None if not known."""
        if self.drop_volts is not None:
            return self.drop_volts, self.meter_doubt("drop_doubt") * self.drop_volts
        if self.supply_volts is None or self.heater_volts is None or self.no_supply:
            return None
        return max(self.supply_volts - self.heater_volts, 0.0), self.doubt_of_sum


KINDS = {
    "supply_volts": "voltage",
    "heater_volts": "voltage",
    "drop_volts": "voltage",
    "amps": "current",
    "ohms": "resistance",
    "ground_ohms": "resistance",
    "fuse_ohms": "resistance",
    "fuse_amps": "current",
    "fuse_rated_volts": "voltage",
    "holder_amps": "current",
    "wire_area": "area",
    "wire_length": "length",
}
"""The readings by name, with the kind of quantity that each is."""
_UNITS = {"voltage": "V", "current": "A", "resistance": "ohm", "length": "m"}


def _range(row: str, words: str) -> tuple[float, float, str]:
    least, most = _CHECK.numbers(row)
    return least, most, words.format(least, most)


def _value(name: str, text: Any) -> float:
    kind = KINDS[name]
    if kind == "resistance" and isinstance(text, str) and text.strip().lower() in _OPEN_WORDS:
        return OPEN
    try:
        if name == "wire_area" and isinstance(text, str) and (gauge := _GAUGE.fullmatch(text)):
            return float(gauge_area(float(gauge[1] or gauge[2])))
        return to_si(read_quantity(text, kind), kind)
    except InputError as problem:
        said = str(problem)
        if name == "wire_area":
            said = said.replace(QUANTITIES[kind].example, _GAUGE_EXAMPLE)
        raise InputError(f"{name}: {said}") from None
