"""What a meter shows and why, in one sentence: the reason follows from what lies between the probes.

A sentence rests on what the meter shows there, on the supply's volts and on the current, never on the
fault's name: of a mystery it says no more than a technician could read.
"""

from warmside.data import load
from warmside.hazards import WORK
from warmside.model.heat_source import nominal_voltage
from warmside.show.heater_meter import (
    AMPS,
    FAULTS,
    IN_ORDER,
    NOTHING,
    OHMS,
    OPEN,
    VOLTS,
    MeterOnHeater,
    amps_text,
    heater_with,
    ohms_text,
    reading,
    volts_text,
)

_HEATERS = load("heaters")
LIVE, RETURN, SHEATH = "ABCDEFH", "GJKLM", "N"
"""Letters of the points before the elements, behind them, and on their sheath."""
_PARTS = {"AB": "the live wire", "BC": "a joint", "CD": "the fuse", "DE": "the switch"}
_PARTS |= {"EF": "a lead", "EH": "a lead", "GK": "a lead", "JK": "a lead"}
_PARTS |= {"KL": "a joint", "LM": "the return wire"}
_CHAINS = "ABCDEF", "ABCDEH", "GKLM", "JKLM", "FEH", "GKJ"
_MORE = 1.04  # times the resistance of a circuit in order, from where it counts
_NO_CURRENT = 0.005  # A; less than that a clamp doesn't show


def because(setting: MeterOnHeater, system: str = "US") -> str:
    """Say in a sentence what the meter shows, and why.

    Examples
    --------
    >>> because(MeterOnHeater(red="K", black="K"))
    'It shows 0.00 V because both probes are on one point.'
    """
    del system  # volts, amps and ohms are the same in both
    shown = reading(setting).text
    it = "It shows nothing" if shown == NOTHING else f"It shows {shown}"
    return f"{it} because {_reason(setting)}.{_fault_told(setting)}"


def way_between(red: str, black: str) -> str:
    """Return the parts between two points on one side of the elements; nothing where these lie between.

    Examples
    --------
    >>> way_between("F", "C")
    'the fuse, the switch and a lead'
    """
    for chain in _CHAINS:
        if red in chain and black in chain:
            first, last = sorted((chain.index(red), chain.index(black)))
            parts = [_part(chain[at] + chain[at + 1]) for at in range(first, last)]
            return " and ".join(filter(None, (", ".join(parts[:-1]), parts[-1]))) if parts else ""
    return ""


def _part(ends: str) -> str:
    return _PARTS[ends] if ends in _PARTS else _PARTS[ends[::-1]]


def side_of(letter: str) -> str:
    """Return which of `LIVE`, `RETURN` and `SHEATH` a point belongs to."""
    return next(side for side in (LIVE, RETURN, SHEATH) if letter in side)


def supply_volts(setting: MeterOnHeater) -> float:
    """Return what the supply gives with the heater as it is, on [V]."""
    return setting.circuit.meter().supply_volts


def _reason(setting: MeterOnHeater) -> str:
    if setting.missing:
        return f"this heater has no point {' and no '.join(setting.missing)}: its second element isn’t there"
    if setting.meter == AMPS:
        return _amps(setting)
    if setting.meter == OHMS and not setting.isolated:
        return f"ohms are never measured on a live circuit. {WORK['ohms'].caution.removesuffix('.')}"
    if setting.red == setting.black:
        return "both probes are on one point"
    return _volts(setting) if setting.meter == VOLTS else _ohms(setting)


def _amps(setting: MeterOnHeater) -> str:
    if setting.isolated:
        return "the heater is off, and nothing flows"
    amps, sound = reading(setting).value, reading(setting.in_order).value
    if amps < _NO_CURRENT:
        return "the current’s way is open somewhere: follow the volts to where they stop"
    supply = supply_volts(setting)
    whole, right = supply / amps, supply_volts(setting.in_order) / sound
    meets = f"the supply’s {volts_text(supply)} meet {ohms_text(whole)} on the whole way"
    return f"{meets}, where {ohms_text(right)} belong" if whole > _MORE * right else meets


# --- volts ---


def _volts(setting: MeterOnHeater) -> str:
    if setting.isolated:
        return (
            "it is off at the supply and its wires are off the board. That proves it dead if the meter "
            "showed volts on a live source just before, and does just after"
        )
    sides = {side_of(setting.red), side_of(setting.black)}
    if SHEATH in sides:
        return _volts_to_sheath(setting, sides)
    return _volts_along(setting) if len(sides) == 1 else _volts_across(setting)


def _is_next_to_nothing(setting: MeterOnHeater) -> bool:
    return abs(reading(setting).value) < _most_drop(setting)


def _most_drop(setting: MeterOnHeater) -> float:
    """Return what good wires may take of the supply's volts [V]."""
    return float(_HEATERS.in_column("usual_drop", setting.source)) * nominal_voltage(setting.source)


def _volts_to_sheath(setting: MeterOnHeater, sides: set[str]) -> str:
    if RETURN in sides:
        return "ground ties the sheath to the supply’s return, and little lies between that and the probe"
    live = setting.red if setting.black == SHEATH else setting.black
    if _is_next_to_nothing(setting):
        return f"the supply’s volts don’t come as far as {live}, and the sheath is grounded"
    return f"the sheath is grounded, so that it stands on the return’s side, and {live} is live"


def _volts_along(setting: MeterOnHeater) -> str:
    """Between two points on one side of the elements."""
    way = way_between(setting.red, setting.black)
    lost, amps = abs(reading(setting).value), setting.circuit.circuit.amps("live wire")
    if amps < _NO_CURRENT:
        if lost > _most_drop(setting):
            return (
                f"the way is open between {setting.red} and {setting.black}: no current flows, so all of the "
                "supply’s volts stand across the gap"
            )
        return f"no current flows, and without one {way} takes no volts, good or bad"
    sound = abs(reading(setting.in_order).value)
    if lost > 2.0 * sound + 0.1 * _most_drop(setting):
        return (
            f"something between {setting.red} and {setting.black} has resistance: {amps_text(amps)} through "
            f"it lose {volts_text(lost)}, and make {lost * amps:.0f} W of heat there"
        )
    return f"that is all that {amps_text(amps)} lose in {way}"


def _volts_across(setting: MeterOnHeater) -> str:
    """From the live side of the elements to the other."""
    supply, there = supply_volts(setting), abs(reading(setting).value)
    if _is_next_to_nothing(setting):
        return "the supply’s volts don’t come to both points: go towards A and M to where they come back"
    if supply < _HEATERS.in_column("lowest_voltage", setting.source):
        share = 100.0 * (there / nominal_voltage(setting.source)) ** 2
        return (
            f"the supply gives no more than {volts_text(supply)} under load: heat goes as the square, so "
            f"that {share:.0f} % of it is left at most"
        )
    lost, sound = supply - there, supply_volts(setting.in_order) - abs(reading(setting.in_order).value)
    if lost > 2.0 * sound + 0.1 * _most_drop(setting):
        return (
            f"of the supply’s {volts_text(supply)}, {volts_text(lost)} are lost there or back: hold the "
            "probes along each to find where"
        )
    takes = f", but for {volts_text(lost)} lost on the way" if lost > 0.005 else ""
    return f"the supply’s volts stand there{takes}. Whether a current flows, volts don’t tell"


# --- ohms ---


def _ohms(setting: MeterOnHeater) -> str:
    shown, right = reading(setting), reading(setting.in_order)
    belong = f", where {right.text} belong" if shown.value > _MORE * right.value else ""
    sides = {side_of(setting.red), side_of(setting.black)}
    if SHEATH in sides:
        return _ohms_to_sheath(setting)
    if shown.text == OPEN and right.text == OPEN:
        return "the supply’s wires are off the board: nothing leads from one probe to the other"
    if shown.text == OPEN:
        return f"the way from {setting.red} to {setting.black} is open, where {right.text} belong"
    if len(sides) == 1:
        way = way_between(setting.red, setting.black)
        return f"the meter’s own small current goes through {way} alone{belong}"
    return f"the meter’s own small current goes through the heater alone{belong}"


def _ohms_to_sheath(setting: MeterOnHeater) -> str:
    other = setting.red if setting.black == SHEATH else setting.black
    shown = reading(setting).text
    if other in "LM":
        return "the ground wire joins the sheath to the supply’s return"
    if shown == OPEN:
        return f"nothing leads from {other} to the sheath, and nothing may"
    return "a current finds a way from the heater to its metal sheath, where none may: it stays off"


def _fault_told(setting: MeterOnHeater) -> str:
    if not setting.shown:
        return ""
    heat, right = (heater_with(setting.heater, fault).heat for fault in (setting.true_fault, IN_ORDER))
    told = f" What is wrong: {FAULTS[setting.true_fault]}"
    return f"{told} Left on, the boiler gets {heat:.0f} of {right:.0f} W."
