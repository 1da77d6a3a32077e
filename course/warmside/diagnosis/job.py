"""One real refrigerator's job: who stands before it, what was read, and what its plate says."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from warmside.data import load
from warmside.diagnosis.fault_effects import OPEN_CIRCUIT
from warmside.diagnosis.readings import Readings
from warmside.hazards import StopSign, in_order, signs_on
from warmside.model.heat_source import ELECTRIC, nominal_voltage
from warmside.model.installation import Installation

_OVERHEATED = load("job_sheet").number("overheated")


class Who(StrEnum):
    """Who does the job: an owner isn't asked for what is licensed people's."""

    OWNER = "owner"
    TECHNICIAN = "technician"


@dataclass(frozen=True)
class Plate:
    """What a rating plate says of the heater in use.

    Attributes
    ----------
    voltage, power : float
        [V] and [W].
    """

    voltage: float
    power: float

    @property
    def current(self) -> float:
        """What the heater draws [A]."""
        return self.power / self.voltage

    @property
    def resistance(self) -> float:
        """What the heater has [ohm]."""
        return self.voltage**2 / self.power


@dataclass(frozen=True, eq=False)
class Job:
    """What is known of one refrigerator.

    Attributes
    ----------
    readings : Readings
        As they were read.
    who : Who
        Who asks.
    signs : mapping of str to bool
        By name of a stop sign, whether it was found; those that nobody answered are missing.
    plate : Plate or None
        Of the heater in use; None where the usual one of the size is to do.
    note : str
        For oneself.
    gas_input : float or None
        Heat that the burner takes by the plate [W]; None where that isn't told.
    """

    readings: Readings
    who: Who = Who.TECHNICIAN
    signs: Mapping[str, bool] = field(default_factory=dict)
    plate: Plate | None = None
    note: str = ""
    gas_input: float | None = None

    @property
    def stops(self) -> tuple[StopSign, ...]:
        """The stop signs that were found, the most urgent first."""
        found = {name for name, answer in self.signs.items() if answer}
        on_heater = self.readings.heat_source in ELECTRIC
        if on_heater and float(self.readings.values.get("boiler", 0.0)) > _OVERHEATED:
            found.add("overheated")
        return in_order(found)

    @property
    def unanswered(self) -> tuple[StopSign, ...]:
        """The stop signs that nobody answered."""
        return tuple(sign for sign in signs_on(self.readings.heat_source) if sign.name not in self.signs)

    @property
    def factors(self) -> Mapping[str, float]:
        """By name of a reading, what makes one of this plate's heater that of the size's usual heater."""
        source = self.readings.heat_source
        if self.plate is None or source not in ELECTRIC:
            return {}
        heat = float(Installation.of(self.readings.like, heat_source=source).heat_input)
        usual = Plate(nominal_voltage(source), heat)
        volts = usual.voltage / self.plate.voltage
        return {
            "supply_voltage": volts,
            "voltage": volts,
            "current": usual.current / self.plate.current,
            "resistance": usual.resistance / self.plate.resistance,
        }

    @property
    def usual_gas_input(self) -> float:
        """Heat that the burners of those take that it is compared with [W]."""
        return float(Installation.of(self.readings.like, heat_source="gas").heat_input)

    @property
    def against_usual(self) -> Readings:
        """The readings as the size's usual heater would have given them: with these cases are compared."""
        factors = self.factors
        read = {
            name: float(self.readings.values[name]) * factor
            for name, factor in factors.items()
            if name in self.readings.values and float(self.readings.values[name]) < OPEN_CIRCUIT
        }
        return self.readings.adding(**read)
