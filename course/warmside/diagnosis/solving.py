"""What the model makes of drawn cases: each reading as it would be without a meter's error.

Each case is solved five times: as it stands at three ambients of a day, with the lower vent taken off, and in
a night without openings. Cup, freezer and duty are the day's means; all else is read at its mean ambient.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from warmside.data import load
from warmside.diagnosis import fault_effects
from warmside.diagnosis.fault_effects import Situation
from warmside.diagnosis.readings import ABSENT_BAFFLE, READINGS
from warmside.model.draught import Fan
from warmside.model.heat_source import heat_share
from warmside.model.installation import SIZES, Installation
from warmside.model.quantity import Choice, quantities
from warmside.model.running import felt_day
from warmside.model.steady import State, steady_state

FOOD_LIMIT = 279.26
"""Above that food is out of limits [K]; 43 °F."""
NAMES = tuple(READINGS)
_CABINETS = load("cabinets")
_NOMINAL_GAS = load("practice")["gas_pressure"]
_PANEL_HEIGHT = load("drawn_cases")["panel_height"]
_SEEN = tuple(
    f"{name}_temperature"
    for name in ("inlet_air", "condenser_air", "pocket_air", "side_air", "boiler", "absorber")
)


def installation_of(
    size: Any, heat_source: Any, situation: Mapping[str, Any], **changes: Any
) -> Installation:
    """Return the installation of a situation, or of many, but for what is changed."""
    declared = quantities(Installation)
    chosen = {name: values for name, values in situation.items() if name in declared} | changes
    fan = Fan(situation["fan_pressure"], situation["fan_free_flow"])
    return Installation.of(size, heat_source=heat_source, fan=fan, **chosen)


def heat_of(situation: Situation, size: np.ndarray, heat_source: np.ndarray) -> np.ndarray:
    """Return the heat of heater or gas [W]."""
    gas = Choice(size, SIZES, "size").of(_CABINETS["gas_heat_input"])
    burnt = gas * heat_share("gas", situation["gas_pressure"] / _NOMINAL_GAS) * situation["burner"]
    return np.where(heat_source == "gas", burnt, situation["voltage"] * _current(situation))


def true_readings(situation, size, heat_source, ambient):
    """Return the readings of all cases, which have failed, and which were found."""
    whole_width = np.select([size == name for name in SIZES], [_CABINETS["width"][name] for name in SIZES])
    shut, area, load = (situation[name] for name in ("lower_vent_blocked", "lower_vent_area", "load"))
    nothing = np.zeros_like(ambient)
    # as it stands through the day, with the lower vent taken off, and in a night without openings
    stands = installation_of(
        size,
        heat_source,
        situation,
        lower_vent_blocked=np.stack([shut, shut, shut, nothing, shut]),
        lower_vent_area=np.stack([area, area, area, whole_width * _PANEL_HEIGHT, area]),
        load=np.stack([load, load, load, load, nothing]),
    )
    afternoon, mean_of_day, night = felt_day(ambient, situation["swing"])
    states = steady_state(stands, np.stack([afternoon, mean_of_day, night, ambient, night]))
    day, mean, panel_off, quiet = slice(0, 3), 1, 3, 4
    duty, cup, freezer = _held(situation, stands, states)
    state = {name: getattr(states, name)[mean] for name in _SEEN}
    electric = heat_source != "gas"
    seen = {
        "cup": cup[day].mean(axis=0),
        "freezer": freezer[day].mean(axis=0),
        "duty": duty[day].mean(axis=0),
        "setting": situation["setting"],
        "vent_air": state["inlet_air_temperature"],
        "condenser_air": state["condenser_air_temperature"],
        "top_air": state["pocket_air_temperature"],
        "side_air": state["side_air_temperature"],
        "boiler": state["boiler_temperature"],
        "absorber": state["absorber_temperature"],
        "voltage": np.where(electric, situation["voltage"], np.nan),
        "current": np.where(electric, _current(situation), np.nan),
        "resistance": np.where(electric, situation["resistance"], np.nan),
        "fuse": np.where(electric, situation["fuse"], np.nan),
        "gas_pressure": np.where(electric, np.nan, situation["gas_pressure"]),
        "flame": np.where(electric, np.nan, _looks(situation["burner"], 0.9, 0.1)),
        "side_level": situation["side_tilt"],
        "front_level": situation["front_tilt"],
        "top_gap": situation["pocket_opening"] / whole_width,
        "side_gap": situation["side_gap"],
        "rear_gap": situation["rear_gap"],
        "baffle_gap": np.minimum(situation["baffle_gap"], ABSENT_BAFFLE),
        "lower_vent_look": _looks(situation["lower_vent_blocked"], 0.25, 0.6),
        "upper_vent_look": _looks(situation["upper_vent_blocked"], 0.25, 0.6),
        "fan": situation["fan_state"],
        "fins": _looks(situation["fin_fouling"], 0.15, 0.4),
        "seal": situation["door_seal"] > 0.1,
        "load": situation["food_place"],
        "frost": _looks(situation["frost"], 0.03, 0.09),
        "residue": situation["residue"],
        "panel_off_air": states.condenser_air_temperature[panel_off],
        "quiet_night_cup": cup[quiet],
    }
    readings = np.stack([seen[name] for name in NAMES], axis=-1).astype(float)
    return readings, states.failed[mean], states.converged.all(axis=0)


def _looks(values, first, second):
    """Return 0, 1 or 2 by which of two bounds are passed, in the direction from the first to the second."""
    if first < second:
        return np.add(values > first, values > second, dtype=float)
    return np.add(values < first, values < second, dtype=float)


def _held(situation, installation: Installation, state: State):
    """Duty and temperatures under the thermostat; it can't hold colder than the unit comes to."""
    held = situation["setting"] + situation["sensor_offset"]
    warm = state.surround_temperature + installation.load / installation.food_conductance
    with np.errstate(divide="ignore", invalid="ignore"):
        duty = (warm - held) / (warm - state.food_temperature)
    # what is failing is above the setting, or above the surroundings by a hair
    duty = np.where(state.food_temperature >= held, 1.0, np.clip(duty, 0.0, 1.0))
    food = warm - duty * (warm - state.food_temperature)
    around = state.freezer_surround_temperature
    return duty, food, around - duty * (around - state.freezer_temperature)


def _current(situation):
    flows = situation["fuse"] != fault_effects.FUSE_OPEN
    closed = situation["resistance"] < fault_effects.OPEN_CIRCUIT
    return np.where(flows & closed, situation["voltage"] / situation["resistance"], 0.0)
