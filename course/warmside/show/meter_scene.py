"""The scene of a meter on a heater's circuit: the numbers and texts that the page's script draws, by name."""

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from warmside.data import load
from warmside.hazards import cautions_of
from warmside.model import heater_circuit as wiring
from warmside.model.heat_source import nominal_voltage
from warmside.model.installation import Installation
from warmside.model.refrigerator import steady_state
from warmside.show.enclosure import HONEST, THERMOSTAT, Enclosure, temperature
from warmside.show.enclosure_scene import sizes
from warmside.show.heater_meter import (
    AMPS,
    FAULTS,
    HEATERS,
    NOTHING,
    OHMS,
    POINTS,
    VOLTS,
    MeterOnHeater,
    heater_with,
    reading,
    volts_text,
)
from warmside.show.meter_because import supply_volts
from warmside.units import ureg

_HEATER_TABLE = load("heaters")
LIMIT = float(load("ratings").in_column("food_limit", "T"))
"""What the food compartment may come to [K]."""
_LABELS = {
    VOLTS: "The meter, on volts, shows",
    AMPS: "The clamp round the live wire shows",
    OHMS: "The meter, on ohms, shows",
}
_LITTLE = 0.03  # V or ohm that no meter is to be believed on


@cache
def scene_page() -> dict[str, Any]:
    """Return what the page is told once: what is asked before the meter shows it, and the points' names."""
    asks = {
        VOLTS: {
            "title": "What will the voltmeter show?",
            "answers": ["About 0 V", "In between", "Nearly all"],
            "note": "Nearly all that the supply gives, next to nothing of it, or a part?",
        },
        AMPS: {
            "title": "What will the clamp show?",
            "answers": ["Nothing", "Too little", "What belongs"],
            "note": "Held against the amps of this heater in order.",
        },
    }
    points = {letter: words for letter, (_, words) in POINTS.items()}
    return {"asks": asks, "points": points, "honest": HONEST}


def meter_scene(setting: MeterOnHeater, system: str = "US") -> dict[str, Any]:
    """Return what the page draws: settings, sizes and heat [SI], texts."""
    shown, right = reading(setting), reading(setting.in_order)
    mark, says, good = _worth(setting)
    heats = element_heats(setting)
    plate = plate_heat(setting)
    food = food_of(setting)
    size, source = HEATERS[setting.heater]
    known, there = setting.is_told, setting.circuit.circuit.points
    return {
        **vars(setting),
        **_sizes(size),
        "number": shown.text,
        "number_label": _LABELS[setting.meter],
        "in_order": right.text,
        "margin_text": mark,
        "margin_says": says,
        "good": good,
        "known": known,
        "points": [letter for letter, (point, _) in POINTS.items() if point in there],
        "elements": len(heats),
        "plate": plate,
        "plate_text": f"{plate:.0f} W",
        **_heat_told(setting),
        "food": round(food, 3),
        "food_text": temperature(food, system),
        "food_good": food <= LIMIT,
        "limit": LIMIT,
        "limit_text": temperature(LIMIT, system, int(system == "SI")),
        "outside_text": temperature(setting.ambient, system, int(system == "SI")),
        "supply_text": f"{nominal_voltage(source):g} V",
        "alternating": source == "mains",
        "wires_text": _wires(setting, system),
        "caution": caution(setting),
    }


@cache
def _sizes(size: str) -> dict[str, float]:
    return {**sizes(replace(Enclosure(), size=size)), "rear_gap": Enclosure.rear_gap}


def _wires(setting: MeterOnHeater, system: str) -> str:
    length, gauge = setting.circuit.wire_length, wiring.USUAL_GAUGE[setting.source]
    unit = {"US": "ft", "SI": "m"}[system]
    return f"wires: {ureg.Quantity(length, 'm').m_as(unit):.0f} {unit} of {gauge} AWG, one way"


def _heat_told(setting: MeterOnHeater) -> dict[str, Any]:
    """Return heat, current, and what stands open or gets hot; nothing of it while it is a mystery."""
    if not setting.is_told:
        return {"heat": None, "heat_text": "? W", "heats": [], "current": 0.0, "open": "", "hot": ""}
    heats, fault = element_heats(setting), setting.true_fault
    amps = 0.0 if setting.isolated else setting.circuit.circuit.amps("live wire")
    right = setting.in_order.circuit.circuit.amps("live wire")
    is_open = {"blown fuse": "fuse", "element 1 open": "element", "board not calling": "switch"}
    is_hot = {"bad joint, live": "BC", "bad joint, return": "KL"} if amps else {}
    return {
        "heat": round(sum(heats), 2),
        "heat_text": f"{sum(heats):.0f} W",
        "heats": [round(heat, 2) for heat in heats],
        "current": round(amps / right, 4),
        "open": is_open.get(fault, ""),
        "hot": is_hot.get(fault, ""),
    }


def element_heats(setting: MeterOnHeater) -> list[float]:
    """Return the heat of each element as things stand [W]."""
    heater = setting.circuit
    if setting.isolated:
        return [0.0] * len(heater.elements)
    volts = (
        heater.circuit.volts(wiring.element_live(number), wiring.element_return(number))
        for number in range(1, len(heater.elements) + 1)
    )
    return [each**2 / ohms for each, ohms in zip(volts, heater.elements, strict=True)]


def plate_heat(setting: MeterOnHeater) -> float:
    """Return the heat that stands on the plate [W]."""
    size, source = HEATERS[setting.heater]
    return float(np.asarray(Installation.of(size, heat_source=source).heat_input))


def _worth(setting: MeterOnHeater) -> tuple[str, str, bool]:
    """Return what a reading is worth beside that of a circuit in order: mark, words, whether it is right."""
    shown, right = reading(setting), reading(setting.in_order)
    if shown.text == NOTHING:
        return ("✘ no such point", "", False) if setting.missing else ("✘ live", "isolate it first", False)
    if shown.text == right.text:
        return "✔ as in order", "it shows the same there", True
    accuracy = float(_HEATER_TABLE.in_column("meter_accuracy", setting.source))
    near = max(accuracy * abs(right.value), _LITTLE)
    if np.isfinite([shown.value, right.value]).all() and abs(shown.value - right.value) <= near:
        return "≈ as in order", f"there {right.text}: too near to tell", True
    return "✘ not in order", f"there it shows {right.text}", False


# --- the food: what comes of the heat -----------------------------------------------------------------------

_FOODS: dict[tuple[str, float], dict[str, float]] = {}  # by heater and ambient: food by fault [K]


def food_of(setting: MeterOnHeater) -> float:
    """Return what the food comes to if the heater is left on as it is [K]."""
    solve([setting])
    return _FOODS[setting.heater, setting.ambient][setting.true_fault]


def solve(settings: Iterable[MeterOnHeater]) -> None:
    """Solve the refrigerators of some settings together, each with every fault."""
    wanted = {(each.heater, each.ambient) for each in settings} - _FOODS.keys()
    for heater in {heater for heater, _ in wanted}:
        ambients = sorted(ambient for name, ambient in wanted if name == heater)
        size, source = HEATERS[heater]
        heats = np.array([heater_with(heater, fault).heat for fault in FAULTS])
        weak = Installation.of(size, heat_source=source).changed(heat_input=heats)
        foods = steady_state(weak, np.array(ambients)[:, None], setting=THERMOSTAT).food_temperature
        for ambient, row in zip(ambients, foods, strict=True):
            _FOODS[heater, ambient] = dict(zip(FAULTS, map(float, row), strict=True))


# --- once the hand rests, and predictions -------------------------------------------------------------------


def caution(setting: MeterOnHeater) -> str:
    """Return the care that a work with the meter takes, at the moment that it is met."""
    if setting.meter == OHMS or setting.isolated:
        return f"⚠ {' '.join(cautions_of(['ohms'], setting.source))}"
    return f"⚠ {' '.join(cautions_of(['volts_under_load', 'battery'], setting.source))}"


def meter_details(setting: MeterOnHeater, system: str = "US") -> dict[str, Any]:
    """Return what the food has of it."""
    return {"range_text": f"left on, the food comes to {temperature(food_of(setting), system)}"}


def meter_costs(setting: MeterOnHeater, system: str = "US") -> dict[str, Any]:
    """Return nothing: a circuit takes no time."""
    del setting, system
    return {}


def kind_of(setting: MeterOnHeater) -> int:
    """Return which of the three answers a reading is: -1, 0 or 1, as in `scene_page`."""
    value = abs(reading(setting).value)
    if setting.meter == AMPS:
        whole = abs(reading(setting.in_order).value)
        near = float(_HEATER_TABLE.in_column("meter_accuracy", setting.source))
    else:
        whole = supply_volts(setting)
        near = float(_HEATER_TABLE.in_column("usual_drop", setting.source))
    if value <= near * whole:
        return -1
    return 1 if value >= (1.0 - near) * whole else 0


def judge(before: MeterOnHeater, now: MeterOnHeater, said: int, system: str = "US") -> str:
    """Say whether a prediction of what the meter shows was right: -1, 0 or 1, as in `scene_page`."""
    del before, system
    shown = reading(now)
    if now.meter == OHMS or np.isnan(shown.value):
        return ""
    verdict = "✔ Right" if kind_of(now) == said else "✘ No"
    beside = f"{reading(now.in_order).text} in order"
    if now.meter == VOLTS:
        beside = f"the supply gives {volts_text(0.0 if now.isolated else supply_volts(now))}"
    return f"{verdict}: {shown.text}, and {beside}."
