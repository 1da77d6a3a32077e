"""Readings of an electric heater: do they agree with each other, which fault do they point at, what is
next?

`CircuitReadings` holds what was measured, any of it; `check_circuit` says what it means. A finding stands
on readings that lie outside of what meter, heater and wire allow, never on a hunch: where a reading is
missing the check says what to measure next. Thresholds are those of the tables heaters and fuses.
"""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from warmside.data import load
from warmside.errors import InputError
from warmside.model.circuit import gauge_area, in_parallel, wire_resistance
from warmside.model.fuse import Fuse, Objection, fuse_check
from warmside.model.heat_source import ELECTRIC, check_voltage, element_resistances, nominal_voltage
from warmside.model.heater_circuit import HeaterCircuit
from warmside.model.installation import SIZES
from warmside.units import read_quantity, to_si

_HEATERS, _FUSES = load("heaters"), load("fuses")
OPEN = math.inf
"""What an ohmmeter shows where there is no connection."""
_OPEN_WORDS = ("open", "ol", "o.l.", "infinite", "no reading")
_DEAD_SHARE = 0.03  # of the nominal current or voltage; less is none
_BLOWN_OHMS = 10.0  # ohm; a fuse that shows more has opened
_LEAST_OHMS_SHARE = 0.05  # of the nominal resistance; less is two leads that touch
_MOST_AMPS = 5.0  # nominal currents; more would have opened any fuse
_CONTACTS = {"mains": 0.15, "battery": 0.02}  # ohm; of fuse, switch, leads and clean joints together
_WIRE_DOUBT = 0.25  # of the wire's resistance; lengths are paced, not measured
_COLD_TO_HOT = 0.06  # rise of an element's resistance when hot; from memory


class Fault(StrEnum):
    """What readings of a heater's circuit can point at."""

    LEAKAGE = "leakage to ground"
    DISAGREEMENT = "readings that contradict each other"
    FUSE_BLOWN = "blown fuse"
    WRONG_FUSE = "wrong fuse"
    HEATER_OPEN = "heater open"
    ONE_OF_TWO_OPEN = "one of two elements open"
    WRONG_HEATER = "heater of the wrong resistance"
    NO_SUPPLY = "no supply"
    LOW_SUPPLY = "low supply"
    HIGH_SUPPLY = "high supply"
    JOINT = "high-resistance joint"
    THIN_WIRE = "wire too thin for its length"
    INTERRUPTED = "interruption between supply and heater"


@dataclass(frozen=True)
class Finding:
    """A fault that readings point at.

    Attributes
    ----------
    fault : Fault
        Which.
    because : str
        One sentence: which readings say so.
    next_step : str
        One sentence: what to do or to measure, with its caution.
    """

    fault: Fault
    because: str
    next_step: str


@dataclass(frozen=True)
class CircuitReport:
    """What readings of a heater's circuit say.

    Attributes
    ----------
    cautions : tuple of str
        To be read first.
    findings : tuple of Finding
        The gravest and surest first; empty where nothing is wrong.
    consistent : tuple of str
        What was looked at and found in order.
    measure_next : tuple of str
        What to measure next, in this order; empty where nothing more would help.
    """

    cautions: tuple[str, ...]
    findings: tuple[Finding, ...]
    consistent: tuple[str, ...]
    measure_next: tuple[str, ...]


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

    @classmethod
    def read(cls, size: str, source: str, **texts: str) -> "CircuitReadings":
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
        return cls(size, source, **{name: _value(name, text) for name, text in texts.items()})

    def __post_init__(self):
        if self.size not in SIZES:
            raise InputError(f"size is “{self.size}”; it must be one of {', '.join(SIZES)}.")
        if self.source not in ELECTRIC:
            raise InputError(f"source is “{self.source}”; it must be one of {', '.join(ELECTRIC)}.")
        for name in ("supply_volts", "heater_volts", "drop_volts"):
            if getattr(self, name) is not None:
                check_voltage(self.source, getattr(self, name), name)
        if self.wire_area is not None:
            wire_resistance(self.wire_area, 1.0)
        if self.wire_length is not None:
            wire_resistance(1e-6, self.wire_length)
        for name, (lowest, highest, right) in self._bounds().items():
            value = getattr(self, name)
            if value is not None and not lowest <= value <= highest:
                raise InputError(f"{name} is {value:g} {_UNITS[KINDS[name]]}; {right}.")

    def _bounds(self):
        least, most = _LEAST_OHMS_SHARE * self.nominal_ohms, _MOST_AMPS * self.nominal_amps
        rated = 0.1, 500.0, "a fuse carries from 0.1 to 500 A"
        return {
            "amps": (
                0.0,
                most,
                f"this heater draws about {self.nominal_amps:.3g} A, never more than {most:.3g} A",
            ),
            "ohms": (
                least,
                OPEN,
                f"this heater has about {self.nominal_ohms:.3g} ohm; see that no leads touch",
            ),
            "ground_ohms": (0.0, OPEN, "a resistance is 0 or more"),
            "fuse_ohms": (0.0, OPEN, "a resistance is 0 or more"),
            "fuse_amps": rated,
            "holder_amps": rated,
            "fuse_rated_volts": (1.0, 1000.0, "a fuse is marked with 1 to 1000 V"),
        }

    @property
    def elements(self) -> tuple[float, ...]:
        """Nominal resistances of the heater's elements [ohm]."""
        return element_resistances(self.size, self.source)

    @property
    def nominal_ohms(self) -> float:
        """Nominal resistance of the heater [ohm]."""
        return float(in_parallel(self.elements))

    @property
    def nominal_amps(self) -> float:
        """Current of the heater at its nominal voltage [A]."""
        return nominal_voltage(self.source) / self.nominal_ohms

    @property
    def fuse(self) -> Fuse | None:
        """The fuse as it is marked, where both markings were read."""
        if self.fuse_amps is None or self.fuse_rated_volts is None:
            return None
        return Fuse(self.fuse_amps, self.fuse_rated_volts)

    @property
    def wire_ohms(self) -> float | None:
        """Resistance of both wires as reckoned from area and length [ohm]."""
        if self.wire_area is None or self.wire_length is None:
            return None
        return float(wire_resistance(self.wire_area, 2.0 * self.wire_length, stranded=True))

    def of_source(self, quantity: str) -> float:
        """Return a quantity of the table of heaters for this source, in SI units."""
        return _HEATERS[quantity][self.source]


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
_UNITS = {"voltage": "V", "current": "A", "resistance": "ohm"}


def check_circuit(readings: CircuitReadings) -> CircuitReport:
    """Say what readings of a heater's circuit mean.

    Parameters
    ----------
    readings : CircuitReadings
        Any of them.

    Returns
    -------
    CircuitReport
        Cautions, findings, what is in order, what to measure next.
    """
    findings, consistent = [], []
    for look in _LOOKS:
        said = look(readings)
        if isinstance(said, Finding):
            findings.append(said)
        elif said:
            consistent.append(said)
    return CircuitReport(
        cautions=_CAUTIONS[readings.source],
        findings=tuple(findings),
        consistent=tuple(consistent),
        measure_next=() if findings else _missing(readings),
    )


# --- one look each: a finding, or a sentence on what is in order, or nothing where readings are missing ---


def _leakage(r: CircuitReadings):
    if r.ground_ohms is None:
        return None
    least = r.of_source("insulation_resistance")
    if r.ground_ohms >= least * (1.0 - r.of_source("meter_accuracy")):
        return f"The heater is insulated from its sheath: {_ohms(r.ground_ohms)}."
    return Finding(
        Fault.LEAKAGE,
        f"From the heater to its sheath are {_ohms(r.ground_ohms)}; {_ohms(least)} and more are asked for.",
        "Leave it off and the cord unplugged: the heater is to be replaced by a qualified person, who also "
        "checks ground wire and protection.",
    )


def _ohms_law(r: CircuitReadings):
    if None in (r.heater_volts, r.amps, r.ohms) or not _is_on(r):
        return None
    if _no_current(r):
        if r.ohms == OPEN:
            return None
        return Finding(
            Fault.DISAGREEMENT,
            f"{r.heater_volts:.3g} V stand at a heater of {_ohms(r.ohms)}, and no current flows: one of "
            "the three "
            "readings is wrong, or a lead is broken between the meter's points and the element.",
            "Prove it dead, then take all three again at the heater's own leads, clamp round one wire only.",
        )
    hot = r.heater_volts / r.amps
    off = hot / r.ohms
    meter = 3.0 * r.of_source("meter_accuracy") * 1.1
    if 1.0 - meter <= off <= 1.0 + meter + _COLD_TO_HOT:
        return f"Volts, amps and ohms agree: {r.heater_volts:.3g} V / {r.amps:.3g} A = {_ohms(hot)}."
    return Finding(
        Fault.DISAGREEMENT,
        f"{r.heater_volts:.3g} V and {r.amps:.3g} A make {_ohms(hot)}, but {_ohms(r.ohms)} were "
        "measured: more "
        "than a meter is off.",
        "Check the meter on a known source, isolate the heater from the board before you measure ohms, "
        "and take "
        "all three again.",
    )


def _fuse_blown(r: CircuitReadings):
    if r.fuse_ohms is None:
        return None
    if r.fuse_ohms <= _BLOWN_OHMS:
        return f"The fuse conducts: {_ohms(r.fuse_ohms)}."
    return Finding(
        Fault.FUSE_BLOWN,
        f"Taken out, the fuse shows {_ohms(r.fuse_ohms)}: it has opened.",
        "A fuse opens for a reason: with the cord unplugged measure heater and leads to ground and to each "
        "other before a new one of the same markings goes in.",
    )


def _wrong_fuse(r: CircuitReadings):
    if r.fuse is None:
        return None
    objections = fuse_check(
        r.fuse, nominal_voltage(r.source), r.nominal_amps, r.holder_amps, wire_area=r.wire_area
    )
    marked = f"{r.fuse_amps:g} A {r.fuse_rated_volts:g} V"
    if not objections:
        return (
            f"The fuse suits: {marked} for about {r.nominal_amps:.3g} A at {nominal_voltage(r.source):g} V."
        )
    why = "the arc need not go out" if objections[0] is Objection.VOLTAGE else "it can't do its work"
    return Finding(
        Fault.WRONG_FUSE,
        f"A fuse of {marked}: {'; '.join(objections)}, so {why}.",
        "Put in one of the current and the voltage that holder and instructions ask for; ask what else was "
        "changed when this one went in.",
    )


def _elements(r: CircuitReadings):
    measured, how = _heater_ohms(r)
    if measured is None:
        return None
    if measured == OPEN:
        return Finding(
            Fault.HEATER_OPEN,
            f"The heater is open: {how}.",
            "Unplug it, prove it dead, measure each element at its own leads, and have the heater replaced.",
        )
    count, ratio = len(r.elements), measured / r.nominal_ohms
    doubt = r.of_source("element_tolerance") + 2.5 * r.of_source("meter_accuracy")
    if abs(ratio - 1.0) <= doubt + (_COLD_TO_HOT if r.ohms is None else 0.0):
        return f"The heater's resistance is right: {how}, nominally {_ohms(r.nominal_ohms)}."
    if count > 1 and abs(ratio * (count - 1) / count - 1.0) <= doubt + _COLD_TO_HOT:
        return Finding(
            Fault.ONE_OF_TWO_OPEN,
            f"{how[0].upper()}{how[1:]}: twice the nominal {_ohms(r.nominal_ohms)}, so one of two "
            "elements is open.",
            "Unplug it, prove it dead, take the leads off the board and measure each element alone.",
        )
    return Finding(
        Fault.WRONG_HEATER,
        f"{how[0].upper()}{how[1:]}, but this size has {_ohms(r.nominal_ohms)}.",
        "Compare the marking of the heater with the appliance's plate: it may be another one's.",
    )


def _supply(r: CircuitReadings):
    if r.supply_volts is None:
        return None
    low, high = r.of_source("lowest_voltage"), r.of_source("highest_voltage")
    share = (r.supply_volts / nominal_voltage(r.source)) ** 2
    heat = f"{share:.0%} of the nominal heat"
    where = "at the pedestal" if r.source == "mains" else "at the battery's own posts, engine running,"
    if r.supply_volts < _DEAD_SHARE * nominal_voltage(r.source):
        return Finding(
            Fault.NO_SUPPLY,
            f"The supply shows {r.supply_volts:.3g} V.",
            f"Measure {where} and at each protection on the way; don't touch what you take for dead.",
        )
    if r.supply_volts < low:
        return Finding(
            Fault.LOW_SUPPLY,
            f"The supply shows {r.supply_volts:.4g} V under load: {heat}.",
            f"Measure again {where} with other loads off: is it the site, or the vehicle's own wiring?",
        )
    if r.supply_volts > high:
        return Finding(
            Fault.HIGH_SUPPLY,
            f"The supply shows {r.supply_volts:.4g} V: {heat}, and heaters don't last at that.",
            f"Switch off and measure {where}; have the supply looked at by its keeper.",
        )
    return f"The supply is right: {r.supply_volts:.4g} V under load."


def _drop(r: CircuitReadings):
    if r.drop_volts is None or r.amps is None or not _is_on(r) or _no_current(r):
        return None
    lost = r.drop_volts / r.amps
    doubt = 2.0 * r.of_source("meter_accuracy") * lost + _CONTACTS[r.source]
    wire = r.wire_ohms
    if wire is None:
        too_much = r.drop_volts > r.of_source("usual_drop") * nominal_voltage(r.source) + doubt * r.amps
    else:
        too_much = lost > wire * (1.0 + _WIRE_DOUBT) + doubt
    if not too_much:
        return f"The wires lose what they should: {r.drop_volts:.3g} V at {r.amps:.3g} A."
    should = "" if wire is None else f", where wire of that length should lose {wire * r.amps:.2g} V"
    return Finding(
        Fault.JOINT,
        f"{r.drop_volts:.3g} V are lost on the way at {r.amps:.3g} A{should}: a joint has resistance.",
        "With the heater on, hold the meter across one joint, fuse and switch after the other: the bad "
        "one shows "
        "the volts. It may be hot. Unplug before you touch it.",
    )


def _thin_wire(r: CircuitReadings):
    if r.wire_ohms is None:
        return None
    loses = r.wire_ohms * r.nominal_amps
    most = r.of_source("usual_drop") * nominal_voltage(r.source)
    if loses <= most:
        return f"The wire suits its length: about {loses:.2g} V lost at {r.nominal_amps:.3g} A."
    return Finding(
        Fault.THIN_WIRE,
        f"Wire of that length and area loses {loses:.2g} V at {r.nominal_amps:.3g} A; {most:.2g} V are "
        "usual at most.",
        "Have thicker wire laid, fused for its gauge; until then that heater can't give its heat.",
    )


def _interrupted(r: CircuitReadings):
    if r.supply_volts is None or r.heater_volts is None or _is_on(r):
        return None
    if r.supply_volts < _DEAD_SHARE * nominal_voltage(r.source) or _blown(r):
        return None
    return Finding(
        Fault.INTERRUPTED,
        f"The supply shows {r.supply_volts:.4g} V, the heater {r.heater_volts:.2g} V.",
        "Does the board call for heat? Then follow the voltage from the supply through fuse and switch: "
        "between "
        "the last point that has it and the first that hasn't lies the fault.",
    )


_LOOKS = (
    _leakage,
    _wrong_fuse,
    _fuse_blown,
    _interrupted,
    _ohms_law,
    _elements,
    _supply,
    _drop,
    _thin_wire,
)


def _is_on(r):
    return r.heater_volts is None or r.heater_volts >= _DEAD_SHARE * nominal_voltage(r.source)


def _no_current(r):
    return r.amps is not None and r.amps < _DEAD_SHARE * r.nominal_amps


def _blown(r):
    return r.fuse_ohms is not None and r.fuse_ohms > _BLOWN_OHMS


def _heater_ohms(r):
    """Resistance of the heater by the best reading there is, and how it was found."""
    if r.ohms is not None:
        return r.ohms, f"isolated it shows {_ohms(r.ohms)}"
    if r.heater_volts is None or r.amps is None or not _is_on(r):
        return None, ""
    if _no_current(r):
        return OPEN, f"{r.heater_volts:.3g} V stand at it and no current flows"
    hot = r.heater_volts / r.amps
    return hot, f"{r.heater_volts:.3g} V and {r.amps:.3g} A make {_ohms(hot)}"


def _missing(r):
    return tuple(words for name, words in _NEXT.items() if getattr(r, name) is None)


_NEXT = {
    "supply_volts": "Volts at the supply, heater on.",
    "heater_volts": "Volts at the heater's leads, heater on.",
    "amps": "Amps with a clamp round one wire, heater on.",
    "fuse_amps": "Read what is printed on the fuse: its amps,",
    "fuse_rated_volts": "and its volts.",
    "ohms": "Unplugged, proven dead, leads off the board: ohms of the heater.",
    "ground_ohms": "In the same state: ohms from each lead to the heater's sheath.",
    "fuse_ohms": "In the same state, fuse taken out: ohms across it.",
    "drop_volts": "Heater on: volts along each wire from supply to heater, both added up.",
    "wire_area": "Gauge of the supply's wires,",
    "wire_length": "and their length one way.",
}

_ALWAYS = (
    "Local codes, the appliance's own instructions and licensed practice come before this check, which "
    "is a "
    "teaching tool.",
    "Isolate and prove dead before you touch or measure ohms: switch off, unplug or disconnect, test the "
    "meter on "
    "a live source, test the circuit, test the meter again.",
    "Tubes and boiler are near 400 °F (200 °C). Let them cool.",
)
_CAUTIONS = {
    "mains": (
        "Mains kills. Live measurements and repairs are for licensed people; use a meter and leads made "
        "for mains.",
        *_ALWAYS,
    ),
    "battery": (
        "A battery drives hundreds of amps through a slipped tool: cover its posts, take off rings, and "
        "undo the "
        "minus first.",
        *_ALWAYS,
    ),
}


def _ohms(value: float) -> str:
    if value == OPEN:
        return "no connection"
    for factor, unit in ((1e6, "megohm"), (1e3, "kilohm")):
        if value >= factor:
            return f"{value / factor:.3g} {unit}"
    return f"{value:.3g} ohm"


def _value(name: str, text: Any) -> float:
    kind = KINDS[name]
    if kind == "resistance" and isinstance(text, str) and text.strip().lower() in _OPEN_WORDS:
        return OPEN
    if name == "wire_area" and isinstance(text, str):
        gauge = re.fullmatch(r"\s*(?:AWG|gauge|#)?\s*(\d+)\s*(?:AWG|gauge|ga)?\s*", text, re.IGNORECASE)
        if gauge:
            return float(gauge_area(float(gauge[1])))
    try:
        return to_si(read_quantity(text, kind), kind)
    except InputError as problem:
        raise InputError(f"{name}: {problem}") from None


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
    shown = {name: value * meter_factor() for name, value in vars(heater.meter()).items()}
    shown["amps"], shown["heater_volts"] = max(shown["amps"], 0.0), max(shown["heater_volts"], 0.0)
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
