"""Readings that can't be right together."""

import math
from collections.abc import Iterable, Iterator

from warmside.data import load
from warmside.diagnosis.fault_effects import OPEN_CIRCUIT
from warmside.diagnosis.readings import AMBIENT_ERROR, READINGS, Readings, as_text
from warmside.units import from_si, show

_SHEET = load("job_sheet")
_WARM_SIDE = ("vent_air", "condenser_air", "panel_off_air", "top_air", "side_air", "absorber", "boiler")
_COLDER_AND_WARMER = (
    ("absorber", "boiler", "the boiler is the hottest part"),
    ("vent_air", "condenser_air", "air warms on its way up"),
    ("freezer", "cup", "the freezer is the colder one while the unit works"),
)

Contradiction = tuple[tuple[str, ...], str]
"""Names of readings that can't be right together, and one sentence."""


def contradictions_in(readings: Readings) -> list[Contradiction]:
    """Return the readings that can't be right together."""
    return [
        *_below_ambient(readings),
        *_upside_down(readings),
        *_more_than_the_supply(readings),
        *_against_ohm(readings),
        *_through_open_fuse(readings),
        *_burning_while_locked_out(readings),
    ]


def _below_ambient(readings: Readings) -> Iterator[Contradiction]:
    ambient = show(from_si(readings.ambient, "temperature"))
    for name, value in _numbers(readings, _WARM_SIDE).items():
        if value < readings.ambient - _doubt(READINGS[name].error, AMBIENT_ERROR):
            yield (
                (name,),
                f"{_told(readings, name)}, colder than the ambient of {ambient}: nothing on the warm side "
                "is, so one of the two is wrong.",
            )


def _upside_down(readings: Readings) -> Iterator[Contradiction]:
    for colder, warmer, why in _COLDER_AND_WARMER:
        values = _numbers(readings, (colder, warmer))
        if len(values) < 2 or _tells_nothing(colder, values[warmer], readings.ambient):
            continue
        if values[colder] > values[warmer] + _doubt(READINGS[colder].error, READINGS[warmer].error):
            one, other = _told(readings, colder), _told(readings, warmer)
            yield (colder, warmer), f"{one}, and {other[0].lower()}{other[1:]}: {why}."


def _tells_nothing(colder: str, warmer: float, ambient: float) -> bool:
    """Whether a unit that has stalled, or a boiler that is idle, turns round what else holds."""
    stalled = colder == "freezer" and warmer > ambient - _SHEET.number("stalled_cup")
    idle = colder == "absorber" and warmer < ambient + _SHEET.number("idle_boiler")
    return stalled or idle


def _more_than_the_supply(readings: Readings) -> Iterator[Contradiction]:
    names = ("voltage", "supply_voltage")
    values = _numbers(readings, names)
    if len(values) == len(names):
        heater, supply = (values[name] for name in names)
        if heater > supply * math.exp(_doubt(*(READINGS[name].error for name in names))):
            yield (
                names,
                f"{_told(readings, 'voltage')}, more than its supply gives (supply_voltage, "
                f"{as_text('supply_voltage', supply)}): one of the two is wrong.",
            )


def _against_ohm(readings: Readings) -> Iterator[Contradiction]:
    names = ("voltage", "resistance", "current")
    values = _numbers(readings, names)
    if len(values) < 3 or readings.values.get("fuse", "good") != "good":
        return
    expected = values["voltage"] / values["resistance"]
    off = _doubt(*(READINGS[name].error for name in names))
    agree = expected * math.exp(-off) <= max(values["current"], 1e-9) <= expected * math.exp(off)
    idle = values["resistance"] >= OPEN_CIRCUIT or expected <= _SHEET.number("some_current")
    nothing = values["current"] <= _SHEET.number("some_current") and idle
    if not agree and not nothing:
        voltage, resistance, current = (as_text(name, values[name]) for name in names)
        yield (
            names,
            f"{voltage} at {resistance} make {expected:.3g} A, but {current} were read (voltage, resistance, "
            "current): one of the three is wrong, or a fuse or lead between them is open.",
        )


def _through_open_fuse(readings: Readings) -> Iterator[Contradiction]:
    current = _numbers(readings, ("current",)).get("current", 0.0)
    if readings.values.get("fuse") == "open" and current > _SHEET.number("flowing_current"):
        yield (
            ("fuse", "current"),
            f"The fuse is open (fuse), and {as_text('current', current)} flow (current): one of the two is "
            "wrong.",
        )


def _burning_while_locked_out(readings: Readings) -> Iterator[Contradiction]:
    if readings.values.get("lockout") == "lit" and readings.values.get("flame", "out") != "out":
        yield (
            ("lockout", "flame"),
            "The lockout light is lit (lockout), and the flame burns (flame): the two were not read at one "
            "moment, or one of them is wrong.",
        )


def _numbers(readings: Readings, names: Iterable[str]) -> dict[str, float]:
    """Those of these readings that were taken."""
    return {name: float(readings.values[name]) for name in names if name in readings.values}


def _doubt(*errors: float) -> float:
    """How far readings with these errors must lie apart to contradict each other."""
    return _SHEET.number("contradicts") * math.hypot(*errors)


def _told(readings: Readings, name: str) -> str:
    return f"{READINGS[name].title} ({name}) is at {as_text(name, readings.values[name])}"
