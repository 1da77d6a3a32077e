"""What faults do to a situation.

A *situation* maps names to arrays: the fields of `Installation`, together with what sets the heat and what a
technician can see (`warmside.diagnosis.bank` draws it). An effect takes severities from 0 to 1 and the
situation, and gives the entries that it changes. How far each fault goes stands in the table severities.
"""

from collections.abc import Callable, Mapping

import numpy as np

from warmside.data import load
from warmside.model.installation import NO_BAFFLE

Situation = Mapping[str, np.ndarray]
Effect = Callable[[np.ndarray, Situation], dict[str, np.ndarray]]

FUSE_GOOD, FUSE_OPEN = 0, 1
FAN_NONE, FAN_UP, FAN_STOPPED, FAN_DOWN = 0, 1, 2, 3
LOAD_USUAL, LOAD_HEAVY, LOAD_AT_FINS, LOAD_PACKED = 0, 1, 2, 3
GAS_THERE, GAS_EMPTY, GAS_SHUT = 0, 1, 2
SPARKS, NO_SPARK = 0, 1
SENSOR_RIGHT, SENSOR_OFF, SENSOR_WRONG = 0, 1, 2
CONTROL_RESTS, CONTROL_STUCK = 0, 1
OPEN_CIRCUIT = 1e4
"""What an open heater counts as [ohm]."""

_SEVERITIES = load("severities")


def severity_of(row: str) -> tuple[float, float]:
    """Return the mildest and the severest of a row of the table."""
    mild, severe = _SEVERITIES.numbers(row)
    return mild, severe


def sets(entry: str, mild: float, severe: float) -> Effect:
    """Return an effect that sets an entry between two values."""
    return lambda severity, situation: {entry: mild + (severe - mild) * severity}


def multiplies(entry: str, mild: float, severe: float) -> Effect:
    """Return an effect that multiplies an entry by a factor between two values."""
    return lambda severity, situation: {entry: situation[entry] * (mild + (severe - mild) * severity)}


def _at(row: str, severity: np.ndarray) -> np.ndarray:
    mild, severe = severity_of(row)
    return mild + (severe - mild) * severity


def nothing(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Change nothing."""
    return {}


def baffle_missing(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Stand the baffle too far off, or take it away."""
    too_far = severity < _SEVERITIES.number("baffle_not_there")
    return {"baffle_gap": np.where(too_far, _at("baffle_missing", severity), NO_BAFFLE)}


def cavity_too_deep(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Widen the space behind; a baffle made for the usual depth stops short of the fins then."""
    deeper = _at("cavity_too_deep", severity)
    return {
        "rear_gap": situation["rear_gap"] + deeper,
        "baffle_gap": situation["baffle_gap"] + _SEVERITIES.number("cavity_baffle") * deeper,
    }


def fan_dead(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Stop the fan."""
    return {
        "fan_pressure": np.zeros_like(severity),
        "fan_state": np.full_like(severity, FAN_STOPPED),
    }


def fan_backwards(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Let the fan blow against the draught."""
    return {
        "fan_pressure": np.zeros_like(severity),
        "wind_pressure": _at("fan_backwards", severity),
        "fan_state": np.full_like(severity, FAN_DOWN),
    }


def out_of_level(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Lean it to the side or to the front, each from a little to a lot."""
    to_side = severity < _SEVERITIES.number("leaning_to_side") / 3.0
    share = np.mod(3.0 * severity, 1.0)
    leans = np.where(to_side, _at("lean_to_side", share), _at("lean_to_front", share))
    return {
        "side_tilt": np.where(to_side, leans, situation["side_tilt"]),
        "front_tilt": np.where(to_side, situation["front_tilt"], leans),
    }


def heater_dead(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Open the heater."""
    return {"resistance": np.full_like(severity, OPEN_CIRCUIT)}


def fuse_blown(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Open the fuse. One of the wrong kind is a stop sign, and shows in no reading."""
    return {"fuse": np.full_like(severity, FUSE_OPEN)}


def burner_weak(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Weaken the flame, or put it out."""
    burns = severity < _SEVERITIES.number("burner_out")
    return {"burner": np.where(burns, _at("burner_weak", severity), 0.0)}


def cylinder_empty(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Let the gas run out."""
    return {
        "gas_pressure": np.zeros_like(severity),
        "gas_supply": np.full_like(severity, GAS_EMPTY),
    }


def gas_valve_shut(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Shut a valve by hand, which is seen, or let the appliance's own stick, which is not."""
    by_hand = severity < _SEVERITIES.number("gas_valve_by_hand")
    return {
        "gas_pressure": np.zeros_like(severity),
        "gas_supply": np.where(by_hand, GAS_SHUT, situation["gas_supply"]).astype(float),
    }


def ignition_lockout(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Let the spark fail, so that the control locks the gas out."""
    return {"spark": np.full_like(severity, NO_SPARK)}


def still_air(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Pack the food so that its middle is warmer than the fins, where the sensor sits."""
    return {
        "air_inside": _at("still_air", severity),
        "sensor_offset": situation["sensor_offset"] + _at("still_air_warmer", severity),
        "food_place": np.full_like(severity, LOAD_PACKED),
    }


def control_stuck(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Let the control call for cold all the time, whatever it is set to."""
    return {
        "sensor_offset": np.full_like(severity, _SEVERITIES.number("control_stuck")),
        "control": np.full_like(severity, CONTROL_STUCK),
    }


def sensor_off(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Let a sensor that has drifted rest too soon, or one off its clip feel air warmer than the fins."""
    share = np.mod(2.0 * severity, 1.0)
    drifted = severity < _SEVERITIES.number("sensor_drifted")
    return {
        "sensor_offset": np.where(drifted, _at("sensor_warmer", share), _at("sensor_colder", share)),
        "sensor": np.where(drifted, SENSOR_WRONG, SENSOR_OFF).astype(float),
    }


def heavy_load(severity: np.ndarray, situation: Situation) -> dict[str, np.ndarray]:
    """Load it for a crowd that opens it all the time; food against the fins is seen, the model knows none."""
    spread = np.mod(4.0 * severity, 1.0) < _SEVERITIES.number("load_spread")
    return {
        "load": situation["load"] * _at("heavy_load", severity),
        "food_place": np.where(spread, LOAD_HEAVY, LOAD_AT_FINS).astype(float),
    }
