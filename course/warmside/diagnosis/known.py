"""What the model knows of drawn cases, from which each reading tells its own truth."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from warmside.diagnosis.fault_effects import FUSE_OPEN, OPEN_CIRCUIT, Situation
from warmside.model.installation import Installation
from warmside.model.steady import State

_DAY, _MEAN, _PANEL_OFF, _QUIET = slice(0, 3), 1, 3, 4


@dataclass(frozen=True, eq=False)
class Known:
    """Cases that the model has solved five times over.

    Attributes
    ----------
    situation : mapping of str to numpy.ndarray
        As in `Cases`, each of shape (cases,).
    width : numpy.ndarray
        Of each cabinet [m].
    installation : Installation
        Of shape (5, cases), in the order of `states`.
    states : State
        Shape (5, cases): afternoon, mean of the day and night as it stands, then with the lower vent taken
        off, then in a night without openings.
    """

    situation: Situation
    width: np.ndarray
    installation: Installation
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
        return self._held[0][_DAY].mean(axis=0)

    @property
    def cup(self) -> np.ndarray:
        """Food temperature, mean of the day [K]."""
        return self._held[1][_DAY].mean(axis=0)

    @property
    def freezer(self) -> np.ndarray:
        """Freezer temperature, mean of the day [K]."""
        return self._held[2][_DAY].mean(axis=0)

    @property
    def quiet_night_cup(self) -> np.ndarray:
        """Food temperature after a night without openings [K]."""
        return self._held[1][_QUIET]

    @cached_property
    def _held(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Duty and temperatures under the thermostat; it can't hold colder than the unit comes to."""
        state = self.states
        held = self.situation["setting"] + self.situation["sensor_offset"]
        warm = state.surround_temperature + self.installation.load / self.installation.food_conductance
        with np.errstate(divide="ignore", invalid="ignore"):
            duty = (warm - held) / (warm - state.food_temperature)
        # what is failing is above the setting, or above the surroundings by a hair
        duty = np.where(state.food_temperature >= held, 1.0, np.clip(duty, 0.0, 1.0))
        food = warm - duty * (warm - state.food_temperature)
        around = state.freezer_surround_temperature
        return duty, food, around - duty * (around - state.freezer_temperature)


def heater_current(situation: Situation) -> np.ndarray:
    """Return the current that the heater draws in each case [A]."""
    flows = situation["fuse"] != FUSE_OPEN
    closed = situation["resistance"] < OPEN_CIRCUIT
    return np.where(flows & closed, situation["voltage"] / situation["resistance"], 0.0)
