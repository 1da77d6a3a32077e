"""What the model knows of drawn cases, from which each reading tells its own truth."""

from dataclasses import dataclass

import numpy as np

from warmside.data import load
from warmside.diagnosis.fault_effects import (
    FAN_DOWN,
    FUSE_OPEN,
    NO_SPARK,
    OPEN_CIRCUIT,
    Situation,
)
from warmside.model.steady import State

_DROPS_OUT = load("instruments").number("control_drops_out")
_NO_GAS = load("instruments").number("gas_pressure_least_told")

_DAY, _MEAN, _PANEL_OFF, _QUIET, _OTHER_SOURCE = slice(0, 3), 1, 3, 4, 5


@dataclass(frozen=True, eq=False)
class Known:
    """Cases that the model has solved six times over.

    Attributes
    ----------
    situation : mapping of str to numpy.ndarray
        As in `Cases`, each of shape (cases,).
    width : numpy.ndarray
        Of each cabinet [m].
    states : State
        With their thermostats, shape (6, cases): afternoon, mean of the day and night as it stands, then with
        the lower vent taken off, then in a night without openings, then on another heat source.
    """

    situation: Situation
    width: np.ndarray
    states: State

    def at_mean(self, name: str) -> np.ndarray:
        """Return a field of the state at the day's mean ambient."""
        return getattr(self.states, name)[_MEAN]

    def panel_off(self, name: str) -> np.ndarray:
        """Return a field of the state with the lower vent taken off."""
        return getattr(self.states, name)[_PANEL_OFF]

    @property
    def duty(self) -> np.ndarray:
        """Part of the day that it runs."""
        return self._over_the_day("duty")

    @property
    def cup(self) -> np.ndarray:
        """Food temperature, mean of the day [K]."""
        return self._over_the_day("food_temperature")

    @property
    def freezer(self) -> np.ndarray:
        """Freezer temperature, mean of the day [K]."""
        return self._over_the_day("freezer_temperature")

    @property
    def quiet_night_cup(self) -> np.ndarray:
        """Food temperature after a night without openings [K]."""
        return self.states.food_temperature[_QUIET]

    @property
    def cup_on_other_source(self) -> np.ndarray:
        """Food temperature on gas, where it runs on something else, or on mains, where it runs on gas [K]."""
        return self.states.food_temperature[_OTHER_SOURCE]

    def _over_the_day(self, name: str) -> np.ndarray:
        return getattr(self.states, name)[_DAY].mean(axis=0)


def is_powered(situation: Situation) -> np.ndarray:
    """Tell whether the control has the volts that it takes to hold relay and valve."""
    return situation["control_voltage"] >= _DROPS_OUT


def heater_voltage(situation: Situation) -> np.ndarray:
    """Return the volts at the heater, switched on, in each case [V]."""
    closed = is_powered(situation) & (situation["fuse"] != FUSE_OPEN)
    return np.where(closed, situation["voltage"] * situation["connection"], 0.0)


def heater_current(situation: Situation) -> np.ndarray:
    """Return the current that the heater draws in each case [A]."""
    closed = situation["resistance"] < OPEN_CIRCUIT
    return np.where(closed, heater_voltage(situation) / situation["resistance"], 0.0)


def burner_pressure(situation: Situation) -> np.ndarray:
    """Return the pressure of the gas at the burner, while it burns or tries to, in each case [Pa]."""
    return np.where(is_powered(situation), situation["gas_pressure"], 0.0)


def flame(situation: Situation) -> np.ndarray:
    """Return the part of its flame that burns in each case, whatever the gas pressure makes of it."""
    burns = (burner_pressure(situation) > _NO_GAS) & (situation["spark"] != NO_SPARK)
    return np.where(burns, situation["burner"], 0.0)


def wind_against(situation: Situation) -> np.ndarray:
    """Return how hard wind presses against the draught in each case, without what a fan does [Pa]."""
    return np.where(situation["fan_state"] == FAN_DOWN, 0.0, -situation["wind_pressure"])
