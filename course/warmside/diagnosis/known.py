"""What the model knows of drawn cases, from which each reading tells its own truth."""

from dataclasses import dataclass

import numpy as np

from warmside.diagnosis.fault_effects import FUSE_OPEN, OPEN_CIRCUIT, Situation
from warmside.model.steady import State

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


def heater_current(situation: Situation) -> np.ndarray:
    """Return the current that the heater draws in each case [A]."""
    flows = situation["fuse"] != FUSE_OPEN
    closed = situation["resistance"] < OPEN_CIRCUIT
    return np.where(flows & closed, situation["voltage"] / situation["resistance"], 0.0)
