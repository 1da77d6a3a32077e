"""Do readings of an electric heater agree, which fault do they point at, what is to be measured next?

`check_circuit` says what `CircuitReadings` mean. A finding stands on readings that lie outside of what meter,
heater and wire allow, never on a hunch: where a reading is missing the check says what to measure next.
Thresholds are those of the table of heaters.
"""

from dataclasses import dataclass
from enum import StrEnum

from warmside.data import load
from warmside.diagnosis.circuit_readings import OPEN, CircuitReadings
from warmside.model.fuse import Objection, fuse_check
from warmside.model.heat_source import nominal_voltage

_HEATERS = load("heaters")
_DEAD_SHARE = 0.03  # of the nominal current or voltage; less is none
_BLOWN_OHMS = 10.0  # ohm; a fuse that shows more has opened
_CONTACTS = {"mains": 0.15, "battery": 0.02}  # ohm; of fuse, switch, leads and clean joints together
_OHMMETER = 0.3  # ohm; its leads and its last digit, a lot on a battery's heater
_WIRE_DOUBT = 0.35  # of the wire's resistance; lengths are paced, not measured
_MOST_DROP = 0.5  # of the nominal voltage; what a joint takes at most without being an interruption
_MOST_SOUND_AMPS = 1.25  # nominal currents; of a sound heater at the highest voltage
_COLD_TO_HOT = 0.06  # rise of an element's resistance when hot; from memory
_ALL_READINGS = 3.3  # times one reading's doubt: volts over amps against ohms


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
    off = {"mains": "with the cord unplugged", "battery": "with the battery's minus off"}[r.source]
    return Finding(
        Fault.LEAKAGE,
        f"The heater shows {_ohms(r.ground_ohms)} to its sheath, where {_ohms(least)} or more belong.",
        f"Leave the heater off, {off}, until a qualified person has replaced it and checked ground and "
        "protection.",
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
            f"The fuse suits: {marked} for about {_amps(r.nominal_amps)} at {nominal_voltage(r.source):g} V."
        )
    return Finding(
        Fault.WRONG_FUSE,
        f"The fuse is marked {marked}: {'; '.join(objections)}, so {_FUSE_HARM[objections[0]]}.",
        f"{_make_dead(r)}, then put in a fuse of the current and the voltage that holder and instructions "
        "ask for, and look what else was changed when this one went in.",
    )


_FUSE_HARM = {
    Objection.VOLTAGE: "its arc may not go out when it opens",
    Objection.WIRE: "the wire can burn before it opens",
    Objection.TOO_LARGE: "a fault can go on without opening it",
    Objection.TOO_SMALL: "it will open though nothing is wrong",
}


def _agreement(r: CircuitReadings):
    if _current_flows(r) and (against := _against_current(r)):
        return Finding(
            Fault.DISAGREEMENT,
            f"{_amps(r.amps)} were measured, but {against}.",
            f"{_make_dead(r)}, see that nothing bridges the fuse, then take both again with the clamp "
            "round one wire only.",
        )
    if None in (r.heater_volts, r.amps, r.ohms) or not _is_on(r):
        return None
    if _no_current(r):
        if r.ohms == OPEN:
            return None
        return Finding(
            Fault.DISAGREEMENT,
            f"{_volts(r.heater_volts)} stand at a heater of {_ohms(r.ohms)}, and no current flows: a "
            "reading is wrong, or a lead is broken between the meter's points and the element.",
            f"{_make_dead(r)}, then take all three again at the heater's own leads, with the clamp "
            "round one wire only.",
        )
    hot, meter = r.heater_volts / r.amps, _ALL_READINGS * r.of_source("meter_accuracy")
    lowest, highest = r.ohms * (1.0 - meter) - _OHMMETER, r.ohms * (1.0 + meter + _COLD_TO_HOT) + _OHMMETER
    made = f"{_volts(r.heater_volts)} and {_amps(r.amps)} make {_ohms(hot)}"
    if lowest <= hot <= highest:
        return f"Volts, amps and ohms agree: {made}, and {_ohms(r.ohms)} were measured."
    return Finding(
        Fault.DISAGREEMENT,
        f"{made}, but {_ohms(r.ohms)} were measured, which is more than a meter can be off.",
        "Check the meter on a known source, isolate the heater from the board before you measure ohms, and "
        "take all three again.",
    )


def _against_current(r):
    """What says that no current can flow, and what follows."""
    if not _is_on(r):
        return f"the heater has {_volts(_heater_volts(r))}, so one of the two readings is wrong"
    if r.ohms == OPEN:
        return "the heater shows no connection, so one of the two readings is wrong"
    if _blown(r):
        return f"the fuse shows {_ohms(r.fuse_ohms)}, so a reading is wrong or something bridges the fuse"
    return ""


def _sum_of_volts(r: CircuitReadings):
    if None in (r.supply_volts, r.heater_volts, r.drop_volts) or not _is_on(r):
        return None
    arrive = f"{_volts(r.heater_volts)} at the heater and {_volts(r.drop_volts)} lost on the way"
    off = abs(r.supply_volts - r.heater_volts - r.drop_volts)
    if off <= _doubt_of_sum(r) + r.of_source("meter_accuracy") * r.drop_volts:
        return f"The volts add up: {arrive} make the {_volts(r.supply_volts)} of the supply."
    return Finding(
        Fault.DISAGREEMENT,
        f"{arrive} don't make the {_volts(r.supply_volts)} that the supply shows.",
        "Take all three again one right after the other, heater on, since a supply can change in between.",
    )


def _fuse_blown(r: CircuitReadings):
    if r.fuse_ohms is None or (_blown(r) and _current_flows(r)):
        return None
    if not _blown(r):
        return f"The fuse conducts: {_ohms(r.fuse_ohms)}."
    return Finding(
        Fault.FUSE_BLOWN,
        f"The fuse shows {_ohms(r.fuse_ohms)} when taken out, so it has opened.",
        f"{_make_dead(r)}, then measure heater and leads to ground and to each other before a new fuse "
        "of the right markings goes in, since a fuse opens for a reason.",
    )


def _interrupted(r: CircuitReadings):
    if r.supply_volts is None or _no_supply(r) or _is_on(r) or _blown(r) or _current_flows(r):
        return None
    return Finding(
        Fault.INTERRUPTED,
        f"The supply has {_volts(r.supply_volts)}, the heater {_volts(_heater_volts(r))}.",
        "See whether the board calls for heat, then follow the voltage from the supply through fuse and "
        "switch: the fault lies between the last point that has it and the first that hasn't.",
    )


def _elements(r: CircuitReadings):
    measured, how, doubt = _heater_ohms(r)
    if measured is None or isinstance(_agreement(r), Finding):
        return None
    if measured == OPEN:
        return Finding(
            Fault.HEATER_OPEN,
            f"The heater is open: {how}.",
            f"{_make_dead(r)}, measure each element at its own leads, and have the heater replaced.",
        )
    count, ratio = len(r.elements), measured / r.nominal_ohms
    nominal = f"{_ohms(r.nominal_ohms)} are right"
    if abs(ratio - 1.0) <= doubt:
        if doubt > 0.5:
            return f"The heater isn't open: {how}, too little for an ordinary meter to tell more."
        return f"The heater's resistance is right: {how}, and {nominal}."
    if count > 1 and abs(ratio * (count - 1) / count - 1.0) <= doubt + _COLD_TO_HOT:
        return Finding(
            Fault.ONE_OF_TWO_OPEN,
            f"{_capital(how)}, about twice what is right ({_ohms(r.nominal_ohms)}), so one of two elements "
            "is open.",
            f"{_make_dead(r)}, take the leads off the board and measure each element alone.",
        )
    return Finding(
        Fault.WRONG_HEATER,
        f"{_capital(how)}, but for this size {nominal}.",
        "Compare the heater's marking with the appliance's plate, since it may be the heater of another one.",
    )


def _supply(r: CircuitReadings):
    if r.supply_volts is None:
        return None
    volts, mains = _volts(r.supply_volts), r.source == "mains"
    heat = f"{100.0 * (r.supply_volts / nominal_voltage(r.source)) ** 2:.0f} % of the nominal heat"
    where = "at the pedestal" if mains else "at the battery's own posts with the engine running"
    if _no_supply(r):
        return Finding(
            Fault.NO_SUPPLY,
            f"The supply shows {volts}.",
            f"Measure {where} and at each protection on the way, and touch nothing that you only take for "
            "dead.",
        )
    if r.supply_volts < r.of_source("lowest_voltage"):
        return Finding(
            Fault.LOW_SUPPLY,
            f"The supply shows {volts} under load, which makes {heat} at most.",
            f"Measure {where} with other loads off and on, to tell "
            + (
                "the site from the vehicle's own wiring."
                if mains
                else "an empty battery from a charger or wiring at fault."
            ),
        )
    if r.supply_volts > r.of_source("highest_voltage"):
        return Finding(
            Fault.HIGH_SUPPLY,
            f"The supply shows {volts}, which makes {heat}: heaters don't last at that.",
            f"Switch off, measure {where}, and have "
            + ("the site's keeper told." if mains else "the charging looked at."),
        )
    if not mains and r.supply_volts < r.of_source("charging_voltage"):
        return (
            f"The supply is right, {volts} under load, but nothing seems to charge the battery, which this "
            "heater empties in a few hours."
        )
    return f"The supply is right: {volts} under load."


def _drop(r: CircuitReadings):
    if not _is_on(r) or _no_current(r) or isinstance(_sum_of_volts(r), Finding):
        return None
    lost, doubt = _lost_volts(r)
    if lost is None:
        return None
    if r.amps is None and r.heater_volts is None and lost > _MOST_DROP * nominal_voltage(r.source):
        return None  # rather an interruption than a joint, which only the volts at both ends tell
    wire = r.wire_ohms
    amps = _MOST_SOUND_AMPS * r.nominal_amps if r.amps is None else r.amps
    usual = r.of_source("usual_drop") * nominal_voltage(r.source)
    may = usual if wire is None else wire * amps * (1.0 + _WIRE_DOUBT)
    shown = f"{_volts(lost)} lost on the way" + ("" if r.amps is None else f" at {_amps(r.amps)}")
    if lost <= may + doubt + _CONTACTS[r.source] * amps:
        if doubt > usual:
            return f"The wires may be right: {shown}, by the difference of two larger readings."
        return f"The wires lose what they may: {shown}."
    cause = (
        "a joint has resistance, or the wire is too thin for its length"
        if wire is None
        else f"wire of that length would lose {_volts(wire * amps)}, so a joint has resistance"
    )
    return Finding(
        Fault.JOINT,
        f"{_capital(shown)}: {cause}.",
        "With the heater on, hold the meter across each joint, fuse and switch in turn until one shows those "
        f"volts; it may be hot, so {_make_dead(r, capital=False)} before you touch it.",
    )


def _thin_wire(r: CircuitReadings):
    if r.wire_ohms is None:
        return None
    loses, most = r.wire_ohms * r.nominal_amps, r.of_source("usual_drop") * nominal_voltage(r.source)
    if loses <= most:
        return f"The wire suits its length: about {_volts(loses)} lost at {_amps(r.nominal_amps)}."
    if (
        r.drop_volts is not None
        and _is_on(r)
        and _current_flows(r)
        and r.amps * most >= r.drop_volts * r.nominal_amps
    ):
        return f"The wire suits: it should lose {_volts(loses)} by its length, but less was measured."
    return Finding(
        Fault.THIN_WIRE,
        f"Wire of that length and area loses {_volts(loses)} at {_amps(r.nominal_amps)}, where "
        f"{_volts(most)} are usual at most.",
        "Have thicker wire laid, with a fuse that suits it: until then the heater can't give its heat.",
    )


_LOOKS = (
    _leakage,
    _wrong_fuse,
    _agreement,
    _sum_of_volts,
    _fuse_blown,
    _interrupted,
    _elements,
    _supply,
    _drop,
    _thin_wire,
)


def _heater_volts(r):
    """Volts at the heater, measured or else what the way leaves of the supply's; None where not known."""
    if r.heater_volts is not None or r.supply_volts is None or r.drop_volts is None:
        return r.heater_volts
    left = r.supply_volts - r.drop_volts
    return left if left > 3.0 * r.of_source("meter_accuracy") * r.supply_volts else 0.0


def _is_on(r):
    volts = _heater_volts(r)
    return volts is None or volts >= _DEAD_SHARE * nominal_voltage(r.source)


def _no_supply(r):
    return r.supply_volts is not None and r.supply_volts < _DEAD_SHARE * nominal_voltage(r.source)


def _no_current(r):
    return r.amps is not None and not _current_flows(r)


def _current_flows(r):
    return r.amps is not None and r.amps >= _DEAD_SHARE * r.nominal_amps


def _blown(r):
    return r.fuse_ohms is not None and r.fuse_ohms > _BLOWN_OHMS


def _heater_ohms(r):
    """Resistance of the heater by the best readings there are, how it was found, and its doubt as a part."""
    doubt = r.of_source("element_tolerance") + 2.5 * r.of_source("meter_accuracy")
    live = r.heater_volts is not None and r.amps is not None and _is_on(r)
    if live and (r.ohms is None or (r.source == "battery" and r.ohms != OPEN and _current_flows(r))):
        if _no_current(r):
            return OPEN, f"{_volts(r.heater_volts)} stand at it and no current flows", doubt
        hot = r.heater_volts / r.amps
        how = f"{_volts(r.heater_volts)} and {_amps(r.amps)} make {_ohms(hot)}"
        return hot, how, doubt + _COLD_TO_HOT
    return (
        r.ohms,
        "" if r.ohms is None else f"isolated it shows {_ohms(r.ohms)}",
        doubt + _OHMMETER / r.nominal_ohms,
    )


def _lost_volts(r):
    """Volts lost on the way, measured or else by difference, and the doubt of that."""
    if r.drop_volts is not None:
        return r.drop_volts, 2.0 * r.of_source("meter_accuracy") * r.drop_volts
    if r.supply_volts is None or r.heater_volts is None or _no_supply(r):
        return None, 0.0
    return max(r.supply_volts - r.heater_volts, 0.0), _doubt_of_sum(r)


def _doubt_of_sum(r):
    return 1.1 * r.of_source("meter_accuracy") * (r.supply_volts + r.heater_volts)


def _missing(r):
    return tuple(words for name, words in _NEXT.items() if getattr(r, name) is None)


_NEXT = {
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

_ALWAYS = (
    "Local codes, the appliance's own instructions and licensed practice come before this check, which is a "
    "teaching tool.",
    "Make it dead before you touch it or measure ohms: switch off, unplug or disconnect, then test the meter "
    "on a live source, test the circuit, and test the meter again.",
    "Tubes and boiler are near 400 °F (200 °C), so let them cool.",
)
_CAUTIONS = {
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


def _make_dead(r, capital=True):
    how = {
        "mains": "unplug it and prove it dead",
        "battery": "take off the battery's minus and prove it dead",
    }
    return _capital(how[r.source]) if capital else how[r.source]


def _capital(sentence: str) -> str:
    return sentence[0].upper() + sentence[1:]


def _volts(value: float) -> str:
    return f"{value:.{4 if value >= 10.0 else 3}g} V" if value >= 0.01 else "0 V"


def _amps(value: float) -> str:
    return f"{value:.3g} A"


def _ohms(value: float) -> str:
    if value == OPEN:
        return "no connection"
    for factor, unit in ((1e6, "megohm"), (1e3, "kilohm")):
        if value >= factor:
            return f"{value / factor:.3g} {unit}"
    return f"{value:.3g} ohm"
