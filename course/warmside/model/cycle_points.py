"""What goes where in a sealed unit: flows and partial pressures, out of a steady state.

A `State` says what a unit does as a whole; here it is followed round its loops, point by point. Nothing is
assumed that the state doesn't hold already: ammonia and heat are kept.
"""

from typing import NamedTuple

import numpy as np

from warmside.data import load
from warmside.model.steady import State
from warmside.properties import ammonia

_LATENT_HEAT = float(ammonia.latent_heat(load("parameters").number("evaporation_temperature")))  # J/kg
HYDROGEN_MOLAR_MASS = 2.01588e-3
"""Of hydrogen, H2 [kg/mol]; IUPAC, conventional atomic weight 1.00794, rounded."""


class CyclePoints(NamedTuple):
    """Flows and partial pressures in a unit; arrays of the state's shape.

    Attributes
    ----------
    freezer_evaporated, food_evaporated : numpy.ndarray
        Ammonia that evaporates in each coil [kg/s].
    unused : numpy.ndarray
        Liquid ammonia that both coils leave over; it runs back to the absorber [kg/s].
    hydrogen_flow : numpy.ndarray
        Hydrogen that goes round [kg/s].
    freezer_gas_pressure : numpy.ndarray
        Ammonia's part of the pressure in the gas that leaves the freezer's coil [Pa].
    rich_flow, weak_flow : numpy.ndarray
        Solution to the boiler and from it [kg/s].
    freezer_wet, food_wet : numpy.ndarray
        Part of each coil that has liquid to evaporate; 1 where there is enough.
    """

    freezer_evaporated: np.ndarray
    food_evaporated: np.ndarray
    unused: np.ndarray
    hydrogen_flow: np.ndarray
    freezer_gas_pressure: np.ndarray
    rich_flow: np.ndarray
    weak_flow: np.ndarray
    freezer_wet: np.ndarray
    food_wet: np.ndarray


def cycle_points(state: State) -> CyclePoints:
    """Follow ammonia, hydrogen and solution round a unit.

    Parameters
    ----------
    state : State
        One or many.

    Returns
    -------
    CyclePoints

    Notes
    -----
    The hydrogen takes up what evaporates: its flow is that of the ammonia over the rise of moles of ammonia
    for each mole of hydrogen, p/(P - p).

    Examples
    --------
    Eight cubic feet at 110 °F: what evaporates in the freezer's coil, in the food's, and what is left [g/h].

    >>> from warmside.model.refrigerator import Installation, steady_state
    >>> points = cycle_points(steady_state(Installation.of("8 cu ft"), 316.483))
    >>> [round(float(each) * 3.6e6) for each in points[:3]]
    [94, 93, 12]
    """
    supply = _LATENT_HEAT * state.condensate_flow
    freezer = np.maximum(supply - state.food_cooling_limit, 0.0) / _LATENT_HEAT
    food = state.food_cooling / _LATENT_HEAT
    both = freezer + food
    poor, rich = (
        pressure / (state.pressure - pressure)
        for pressure in (state.weak_gas_pressure, state.rich_gas_pressure)
    )
    rise = rich - poor
    goes = (both > 0.0) & (rise > 0.0)
    moles = np.divide(both / ammonia.MOLAR_MASS, rise, out=np.zeros_like(both), where=goes)
    between = poor + rise * np.divide(freezer, both, out=np.zeros_like(both), where=goes)
    return CyclePoints(
        freezer_evaporated=freezer,
        food_evaporated=food,
        unused=np.maximum(state.condensate_flow - both, 0.0),
        hydrogen_flow=HYDROGEN_MOLAR_MASS * moles,
        freezer_gas_pressure=state.pressure * between / (1.0 + between),
        rich_flow=state.circulation_ratio * state.vapour_flow,
        weak_flow=(state.circulation_ratio - 1.0) * state.vapour_flow,
        freezer_wet=_wet(
            state.freezer_temperature, state.freezer_coil_temperature, state.freezer_coil_coldest
        ),
        food_wet=_wet(state.food_temperature, state.food_coil_temperature, state.food_coil_coldest),
    )


def _wet(box: np.ndarray, coil: np.ndarray, coldest: np.ndarray) -> np.ndarray:
    """Return how much of what a coil could do it does."""
    could = box - coldest
    done = np.divide(box - coil, could, out=np.zeros_like(could), where=could > 0.0)
    return np.clip(done, 0.0, 1.0)
