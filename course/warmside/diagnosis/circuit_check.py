"""Do readings of an electric heater agree, which fault do they point at, what is to be measured next?

`check_circuit` says what `CircuitReadings` mean. A finding stands on readings that lie outside of what meter,
heater and wire allow, never on a hunch: where a reading is missing the check says what to measure next.
Thresholds are those of the tables heaters and circuit_check. A hazard ends the check.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from warmside.data import load
from warmside.diagnosis.circuit_readings import OPEN, CircuitReadings
from warmside.diagnosis.circuit_words import NEXT, amps, capital, cautions, make_dead, ohms, volts
from warmside.hazards import STOP_SIGNS, StopSign, in_order
from warmside.model.fuse import Objection, fuse_check
from warmside.model.heat_source import nominal_voltage

_CHECK = load("circuit_check")


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
    stops : tuple of StopSign
        What ends the job, the most urgent first: then what these ask for is all that is done.
    findings : tuple of Finding
        The gravest and surest first; empty where nothing is wrong. Where a hazard was found, that alone.
    consistent : tuple of str
        What was looked at and found in order.
    measure_next : tuple of str
        What to measure next, in this order; empty where nothing more would help.
    """

    cautions: tuple[str, ...]
    stops: tuple[StopSign, ...]
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
        Cautions, stop signs, findings, what is in order, what to measure next.
    """
    findings: list[Finding] = []
    consistent: list[str] = []
    for look in _LOOKS:
        said = look(readings)
        if isinstance(said, Finding):
            findings.append(said)
        elif said:
            consistent.append(said)
    grave = tuple(finding for finding in findings if finding.fault in (Fault.LEAKAGE, Fault.WRONG_FUSE))
    met = ("wrong_fuse",) if any(finding.fault is Fault.WRONG_FUSE for finding in grave) else ()
    stops = in_order([*readings.stop_signs, *met])
    if stops or grave:
        return CircuitReport(cautions(readings.source), stops, grave, consistent=(), measure_next=())
    left = () if findings else _missing(readings)
    return CircuitReport(cautions(readings.source), (), tuple(findings), tuple(consistent), left)


# --- one look each ---

Said = Finding | str | None
"""A finding, or a sentence on what is in order, or nothing where readings are missing."""


def _leakage(r: CircuitReadings) -> Said:
    if r.ground_ohms is None:
        return None
    least = r.of_source("insulation_resistance")
    if r.ground_ohms >= least * (1.0 - r.of_source("meter_accuracy")):
        return f"The heater is insulated from its sheath: {ohms(r.ground_ohms)}."
    off = {"mains": "power off at the supply", "battery": "the battery's negative post off"}[r.source]
    return Finding(
        Fault.LEAKAGE,
        f"The heater shows {ohms(r.ground_ohms)} to its sheath, where {ohms(least)} or more belong.",
        f"Leave the heater off, {off}, until a qualified person has replaced it and checked ground and "
        "protection.",
    )


def _wrong_fuse(r: CircuitReadings) -> Said:
    if r.fuse is None:
        return None
    objections = fuse_check(
        r.fuse, nominal_voltage(r.source), r.nominal_amps, r.holder_amps, wire_area=r.wire_area
    )
    marked = f"{r.fuse.current_rating:g} A {r.fuse.voltage_rating:g} V"
    if not objections:
        return (
            f"The fuse suits: {marked} for about {amps(r.nominal_amps)} at {nominal_voltage(r.source):g} V."
        )
    return Finding(
        Fault.WRONG_FUSE,
        f"The fuse is marked {marked}: {'; '.join(objections)}, so {_FUSE_HARM[objections[0]]}.",
        STOP_SIGNS["wrong_fuse"].steps[0],
    )


_FUSE_HARM = {
    Objection.VOLTAGE: "its arc may not go out when it opens",
    Objection.WIRE: "the wire can burn before it opens",
    Objection.TOO_LARGE: "a fault can go on without opening it",
    Objection.TOO_SMALL: "it will open though nothing is wrong",
}


def _agreement(r: CircuitReadings) -> Said:
    if r.amps is not None and r.current_flows and (against := _against_current(r)):
        return Finding(
            Fault.DISAGREEMENT,
            f"{amps(r.amps)} were measured, but {against}.",
            f"{make_dead(r.source)}, see that nothing bridges the fuse, then take both again with the "
            "clamp round one wire only.",
        )
    if r.heater_volts is None or r.amps is None or r.ohms is None or not r.is_on:
        return None
    if r.no_current:
        if r.ohms == OPEN:
            return None
        return Finding(
            Fault.DISAGREEMENT,
            f"{volts(r.heater_volts)} stand at a heater of {ohms(r.ohms)}, and no current flows: a "
            "reading is wrong, or a lead is broken between the meter's points and the element.",
            f"{make_dead(r.source)}, then take all three again at the heater's own leads, with the "
            "clamp round one wire only.",
        )
    hot, meter = r.heater_volts / r.amps, r.meter_doubt("all_readings")
    ohmmeter, warmer = _CHECK.number("ohmmeter"), _CHECK.number("cold_to_hot")
    lowest, highest = r.ohms * (1.0 - meter) - ohmmeter, r.ohms * (1.0 + meter + warmer) + ohmmeter
    made = f"{volts(r.heater_volts)} and {amps(r.amps)} make {ohms(hot)}"
    if lowest <= hot <= highest:
        return f"Volts, amps and ohms agree: {made}, and {ohms(r.ohms)} were measured."
    return Finding(
        Fault.DISAGREEMENT,
        f"{made}, but {ohms(r.ohms)} were measured, which is more than a meter can be off.",
        "Check the meter on a known source, isolate the heater from the board before you measure ohms, and "
        "take all three again.",
    )


def _against_current(r: CircuitReadings) -> str:
    """What says that no current can flow, and what follows."""
    at_heater = r.volts_at_heater
    if at_heater is not None and not r.is_on:
        return f"the heater has {volts(at_heater)}, so one of the two readings is wrong"
    if r.ohms == OPEN:
        return "the heater shows no connection, so one of the two readings is wrong"
    if r.fuse_ohms is not None and r.blown:
        return f"the fuse shows {ohms(r.fuse_ohms)}, so a reading is wrong or something bridges the fuse"
    return ""


def _sum_of_volts(r: CircuitReadings) -> Said:
    if r.supply_volts is None or r.heater_volts is None or r.drop_volts is None or not r.is_on:
        return None
    arrive = f"{volts(r.heater_volts)} at the heater and {volts(r.drop_volts)} lost on the way"
    off = abs(r.supply_volts - r.heater_volts - r.drop_volts)
    if off <= r.doubt_of_sum + r.of_source("meter_accuracy") * r.drop_volts:
        return f"The volts add up: {arrive} make the {volts(r.supply_volts)} of the supply."
    return Finding(
        Fault.DISAGREEMENT,
        f"{arrive} don't make the {volts(r.supply_volts)} that the supply shows.",
        "Take all three again one right after the other, heater on, since a supply can change in between.",
    )


def _fuse_blown(r: CircuitReadings) -> Said:
    if r.fuse_ohms is None or (r.blown and r.current_flows):
        return None
    if not r.blown:
        return f"The fuse conducts: {ohms(r.fuse_ohms)}."
    return Finding(
        Fault.FUSE_BLOWN,
        f"The fuse shows {ohms(r.fuse_ohms)} when taken out, so it has opened.",
        f"{make_dead(r.source)}, then measure heater and leads to ground and to each other before a new fuse "
        "of the right markings goes in, since a fuse opens for a reason.",
    )


def _interrupted(r: CircuitReadings) -> Said:
    at_heater = r.volts_at_heater
    if r.supply_volts is None or at_heater is None or r.no_supply or r.is_on or r.blown or r.current_flows:
        return None
    return Finding(
        Fault.INTERRUPTED,
        f"The supply has {volts(r.supply_volts)}, the heater {volts(at_heater)}.",
        "See whether the board calls for heat, then follow the voltage from the supply through fuse and "
        "switch: the fault lies between the last point that has it and the first that hasn't.",
    )


def _elements(r: CircuitReadings) -> Said:
    found = _heater_ohms(r)
    if found is None or isinstance(_agreement(r), Finding):
        return None
    measured, how, doubt = found
    if measured == OPEN:
        return Finding(
            Fault.HEATER_OPEN,
            f"The heater is open: {how}.",
            f"{make_dead(r.source)}, measure each element at its own leads, and have the heater replaced.",
        )
    count, ratio = len(r.elements), measured / r.nominal_ohms
    nominal = f"{ohms(r.nominal_ohms)} are right"
    if abs(ratio - 1.0) <= doubt:
        if doubt > _CHECK.number("tells_little"):
            return f"The heater isn't open: {how}, too little for an ordinary meter to tell more."
        return f"The heater's resistance is right: {how}, and {nominal}."
    if count > 1 and abs(ratio * (count - 1) / count - 1.0) <= doubt + _CHECK.number("cold_to_hot"):
        return Finding(
            Fault.ONE_OF_TWO_OPEN,
            f"{capital(how)}, about twice what is right ({ohms(r.nominal_ohms)}), so one of two elements "
            "is open.",
            f"{make_dead(r.source)}, take the leads off the board and measure each element alone.",
        )
    return Finding(
        Fault.WRONG_HEATER,
        f"{capital(how)}, but for this size {nominal}.",
        "Compare the heater's marking with the appliance's plate, since it may be the heater of another one.",
    )


def _supply(r: CircuitReadings) -> Said:
    if r.supply_volts is None:
        return None
    shown, mains = volts(r.supply_volts), r.source == "mains"
    heat = f"{100.0 * (r.supply_volts / nominal_voltage(r.source)) ** 2:.0f} % of the nominal heat"
    where = "at the pedestal" if mains else "at the battery's own posts with the engine running"
    if r.no_supply:
        return Finding(
            Fault.NO_SUPPLY,
            f"The supply shows {shown}.",
            f"Measure {where} and at each protection on the way, and touch nothing that you only take for "
            "dead.",
        )
    if r.supply_volts < r.of_source("lowest_voltage"):
        return Finding(
            Fault.LOW_SUPPLY,
            f"The supply shows {shown} under load, which makes {heat} at most.",
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
            f"The supply shows {shown}, which makes {heat}: heaters don't last at that.",
            f"Switch off, measure {where}, and have "
            + ("the site's keeper told." if mains else "the charging looked at."),
        )
    if not mains and r.supply_volts < r.of_source("charging_voltage"):
        return (
            f"The supply is right, {shown} under load, but nothing seems to charge the battery, which this "
            "heater empties in a few hours."
        )
    return f"The supply is right: {shown} under load."


def _drop(r: CircuitReadings) -> Said:
    if not r.is_on or r.no_current or r.lost_volts is None or isinstance(_sum_of_volts(r), Finding):
        return None
    (lost, doubt), nominal = r.lost_volts, nominal_voltage(r.source)
    if r.amps is None and r.heater_volts is None and lost > _CHECK.number("most_drop") * nominal:
        return None  # rather an interruption than a joint, which only the volts at both ends tell
    wire = r.wire_ohms
    most_amps = _CHECK.number("most_sound_current") * r.nominal_amps if r.amps is None else r.amps
    usual = r.of_source("usual_drop") * nominal
    may = usual if wire is None else wire * most_amps * (1.0 + _CHECK.number("wire_doubt"))
    shown = f"{volts(lost)} lost on the way" + ("" if r.amps is None else f" at {amps(r.amps)}")
    if lost <= may + doubt + r.of_source("contact_resistance") * most_amps:
        if doubt > usual:
            return f"The wires may be right: {shown}, by the difference of two larger readings."
        return f"The wires lose what they may: {shown}."
    cause = (
        "a joint has resistance, or the wire is too thin for its length"
        if wire is None
        else f"wire of that length would lose {volts(wire * most_amps)}, so a joint has resistance"
    )
    return Finding(
        Fault.JOINT,
        f"{capital(shown)}: {cause}.",
        "With the heater on, hold the meter across each joint, fuse and switch in turn until one shows those "
        "volts; it may be hot, and is proven dead before anybody touches it.",
    )


def _thin_wire(r: CircuitReadings) -> Said:
    if r.wire_ohms is None:
        return None
    loses, most = r.wire_ohms * r.nominal_amps, r.of_source("usual_drop") * nominal_voltage(r.source)
    if loses <= most:
        return f"The wire suits its length: about {volts(loses)} lost at {amps(r.nominal_amps)}."
    if (
        r.drop_volts is not None
        and r.amps is not None
        and r.is_on
        and r.current_flows
        and r.amps * most >= r.drop_volts * r.nominal_amps
    ):
        return f"The wire suits: it should lose {volts(loses)} by its length, but less was measured."
    return Finding(
        Fault.THIN_WIRE,
        f"Wire of that length and area loses {volts(loses)} at {amps(r.nominal_amps)}, where "
        f"{volts(most)} are usual at most.",
        "Have thicker wire laid, with a fuse that suits it: until then the heater can't give its heat.",
    )


_LOOKS: tuple[Callable[[CircuitReadings], Said], ...] = (
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


def _heater_ohms(r: CircuitReadings) -> tuple[float, str, float] | None:
    """Resistance of the heater by the best readings there are, how it was found, and its doubt as a part."""
    doubt = r.of_source("element_tolerance") + r.meter_doubt("element_doubt")
    if r.heater_volts is not None and r.amps is not None and r.is_on and _better_than_ohms(r):
        if r.no_current:
            return OPEN, f"{volts(r.heater_volts)} stand at it and no current flows", doubt
        hot = r.heater_volts / r.amps
        how = f"{volts(r.heater_volts)} and {amps(r.amps)} make {ohms(hot)}"
        return hot, how, doubt + _CHECK.number("cold_to_hot")
    if r.ohms is None:
        return None
    return r.ohms, f"isolated it shows {ohms(r.ohms)}", doubt + _CHECK.number("ohmmeter") / r.nominal_ohms


def _better_than_ohms(r: CircuitReadings) -> bool:
    """Whether volts and amps tell the resistance better than the ohmmeter, which has its leads in it."""
    return r.ohms is None or (r.source == "battery" and r.ohms != OPEN and r.current_flows)


def _missing(r: CircuitReadings) -> tuple[str, ...]:
    return tuple(words for name, words in NEXT.items() if getattr(r, name) is None)
