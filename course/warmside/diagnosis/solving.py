"""What the model makes of drawn cases: each reading as it would be without a meter's error.

Each case is solved six times with its thermostat: as it stands at three ambients of a day, with the lower
vent taken off, in a night without openings, and on another heat source that is in order. Cup, freezer and
duty are the day's means; all else is read while the unit runs, at the day's mean ambient.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from warmside.data import load
from warmside.diagnosis.fault_effects import Situation
from warmside.diagnosis.known import (
    Known,
    burner_pressure,
    flame,
    heater_current,
    heater_voltage,
    is_powered,
)
from warmside.diagnosis.readings import READINGS
from warmside.model.draught import Fan
from warmside.model.ensemble import members
from warmside.model.heat_source import heat_share
from warmside.model.installation import LITTLE_KNOWN, Installation
from warmside.model.quantity import Choice, quantities
from warmside.model.running import felt_day
from warmside.model.sizes import SIZES, usual_rating
from warmside.model.steady import steady_state

FOOD_LIMIT = load("ratings").in_column("food_limit", "T")
"""Above that food is out of limits [K]; the same in every size."""
_CABINETS = load("cabinets")
_NOMINAL_GAS = load("practice")["gas_pressure"]
_PANEL_HEIGHT = load("drawn_cases")["panel_height"]


def installation_of(
    size: Any, heat_source: Any, situation: Mapping[str, Any], **changes: Any
) -> Installation:
    """Return the installation of a situation, or of many, but for what is changed."""
    declared = quantities(Installation)
    chosen = {name: values for name, values in situation.items() if name in declared} | changes
    chosen["parameters"] = member_of(size, situation["member"])
    fan = Fan(situation["fan_pressure"], situation["fan_free_flow"])
    return Installation.of(size, heat_source=heat_source, fan=fan, **chosen)


def member_of(size: Any, number: Any) -> dict[str, Any]:
    """Return the parameters of plausible refrigerators of these sizes by their numbers (`ensemble`)."""
    sizes, numbers = Choice(size, SIZES, "size"), np.asarray(number).astype(int)
    of_size = {each: members(each, usual_rating(each)) for each in SIZES}
    return {name: sizes.of({each: of_size[each][name][numbers] for each in SIZES}) for name in LITTLE_KNOWN}


def heat_of(situation: Situation, size: np.ndarray, heat_source: np.ndarray) -> np.ndarray:
    """Return the heat of heater or gas [W]."""
    gas = _of_size("gas_heat_input", size)
    burnt = gas * heat_share("gas", burner_pressure(situation) / _NOMINAL_GAS) * flame(situation)
    return np.where(heat_source == "gas", burnt, heater_voltage(situation) * heater_current(situation))


def _of_size(quantity: str, size: np.ndarray) -> np.ndarray:
    return Choice(size, SIZES, "size").of(_CABINETS[quantity])


def true_readings(
    situation: Situation, size: np.ndarray, heat_source: np.ndarray, ambient: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the readings of all cases, which have failed, and which were found."""
    whole_width = _of_size("width", size)
    shut, area, load = (situation[name] for name in ("lower_vent_blocked", "lower_vent_area", "load"))
    nothing = np.zeros_like(ambient)
    other = np.where(heat_source == "gas", "mains", "gas")
    heat = situation["heat_input"]
    usual_heat = np.where(is_powered(situation), Installation.of(size, heat_source=other).heat_input, 0.0)
    # as it stands through the day, with the lower vent taken off, in a night without openings, on another
    # source
    stands = installation_of(
        size,
        np.stack([heat_source] * 5 + [other]),
        situation,
        lower_vent_blocked=np.stack([shut, shut, shut, nothing, shut, shut]),
        lower_vent_area=np.stack([area, area, area, whole_width * _PANEL_HEIGHT, area, area]),
        load=np.stack([load, load, load, load, nothing, load]),
        heat_input=np.stack([heat] * 5 + [usual_heat]),
    )
    afternoon, mean_of_day, night = felt_day(ambient, situation["swing"])
    held = situation["setting"] + situation["sensor_offset"]
    outside = np.stack([afternoon, mean_of_day, night, ambient, night, mean_of_day])
    states = steady_state(stands, outside, setting=held)
    known = Known(situation, whole_width, states)
    readings = [
        np.where(np.isin(heat_source, reading.heat_sources), reading.truth(known), np.nan)
        for reading in READINGS.values()
    ]
    found = np.all(states.converged, axis=0)
    return np.stack(readings, axis=-1).astype(float), known.at_mean("failed"), np.asarray(found)
