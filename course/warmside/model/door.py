"""The opened door of the food compartment: what it lets in, and how long the unit needs to make up for it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.errors import InputError
from warmside.model.draught import doorway_flow
from warmside.model.installation import Installation
from warmside.model.steady import steady_state
from warmside.properties import air, water

_P = load("parameters").number
_SETTING, _HUMIDITY = _P("thermostat_setting"), _P("room_humidity")
_CONSTANTS = load("constants").number
_LIGHTER = _CONSTANTS("water_molar_mass") / _CONSTANTS("air_molar_mass")  # than air, by molar mass


@dataclass(frozen=True, eq=False)
class DoorRecovery:
    """What an opened door costs.

    Attributes
    ----------
    heat : numpy.ndarray
        That the door let in [J].
    spare_cooling : numpy.ndarray
        What the unit can take out at the setting beyond what comes in through the walls [W].
    time : numpy.ndarray
        Until that heat is out again while the unit runs all the time [s]; inf where there is nothing to
        spare.
    failed, converged : numpy.ndarray of bool
        As in `warmside.model.steady.State`.
    """

    heat: np.ndarray
    spare_cooling: np.ndarray
    time: np.ndarray
    failed: np.ndarray
    converged: np.ndarray


def door_recovery(
    installation: Installation,
    ambient_temperature: ArrayLike,
    open_time: ArrayLike,
    *,
    setting: float = _SETTING,
) -> DoorRecovery:
    """How long it takes to make up for an opening of the food compartment's door.

    Parameters
    ----------
    installation : Installation
        One or many.
    ambient_temperature : array_like
        Of the air outside and in the room [K]; broadcasts.
    open_time : array_like
        How long the door stands open [s]; broadcasts.
    setting : float
        Food-compartment temperature to come back to [K]; about 38 °F by default.

    Returns
    -------
    DoorRecovery

    Examples
    --------
    Twenty seconds on a day of 80 °F, in minutes.

    >>> again = door_recovery(Installation.of("8 cu ft"), 299.8, 20.0)
    >>> round(float(again.time) / 60)
    20
    """
    if np.any(np.less(open_time, 0.0)):
        raise InputError("open_time of the door is below 0; it must be a time from 0 on, in s.")
    ambient = np.asarray(ambient_temperature, dtype=float)
    state = steady_state(installation, ambient, setting=setting)
    heat = door_energy(installation, open_time, setting, ambient) * np.maximum(ambient - setting, 0.0)
    cooling = np.minimum(
        installation.food_coil_conductance * (setting - state.food_coil_coldest),
        state.food_cooling_limit,
    )
    spare = (
        cooling
        - installation.food_conductance * (state.surround_temperature - setting)
        - np.multiply(installation.load, ambient - setting)
        - installation.of_size("partition_conductance") * (state.freezer_temperature - setting)
    )
    with np.errstate(divide="ignore"):
        time = np.where(spare > 0.0, heat / np.maximum(spare, 1e-9), np.inf)
    heat, spare, time = np.broadcast_arrays(heat, spare, time)
    failed, converged = (np.broadcast_to(flag, time.shape) for flag in (state.failed, state.converged))
    return DoorRecovery(heat, spare, time, failed, converged)


def moisture_share(
    inside_temperature: ArrayLike,
    outside_temperature: ArrayLike,
    relative_humidity: ArrayLike = _HUMIDITY,
) -> np.ndarray:
    """Heat of the moisture that condenses out of air that comes in, over what the air itself gives off.

    Where this heat is counted, the frost that the moisture becomes brings none again.

    Parameters
    ----------
    inside_temperature, outside_temperature : array_like
        Of the air [K], up to 338.15; what is below freezing counts as at it.
    relative_humidity : array_like
        Outside, 0 to 1.

    Returns
    -------
    numpy.ndarray
        0 where the air inside can hold all of it, or is no colder.

    Examples
    --------
    Into 38 °F from a room of 90 °F, half humid and as dry as a desert.

    >>> moisture_share(276.5, 305.4, np.array([0.5, 0.15])).round(2).tolist()
    [0.88, 0.0]
    """
    inside, outside = np.asarray(inside_temperature, float), np.asarray(outside_temperature, float)
    held, saturated = (
        water.saturation_pressure(np.maximum(each, water.FREEZING_POINT)) for each in (inside, outside)
    )
    brought = np.multiply(relative_humidity, saturated)
    shed = np.maximum(brought - held, 0.0)
    latent = _CONSTANTS("water_evaporation") * _LIGHTER * shed / (air.ATMOSPHERE - brought)
    colder = outside - inside
    sensible = air.specific_heat(outside) * np.maximum(colder, 1e-9)
    return np.where(colder > 0.0, latent / sensible, 0.0)


def door_energy(
    installation: Installation,
    open_time: ArrayLike,
    inside_temperature: ArrayLike,
    outside_temperature: ArrayLike,
) -> np.ndarray:
    """Heat that an open door lets in for each kelvin between inside and outside [J/K].

    The cold air falls out and is replaced once; from then on what is lost is what the warm air that keeps
    coming in gives to the liner and what stands in it. Moisture goes with the air, on both ways.

    Parameters
    ----------
    installation : Installation
        Of a size.
    open_time : array_like
        [s].
    inside_temperature, outside_temperature : array_like
        Of the air [K].

    Returns
    -------
    numpy.ndarray

    Examples
    --------
    Twenty seconds, in kJ/K.

    >>> round(float(door_energy(Installation.of("8 cu ft"), 20.0, 276.5, 305.4)) / 1e3, 1)
    1.0
    """
    width, height, volume, liner = (
        installation.of_size(name) for name in ("door_width", "door_height", "food_volume", "liner_area")
    )
    flow = doorway_flow(width, height, inside_temperature, outside_temperature)
    heat_of_air = air.density(inside_temperature) * air.specific_heat(inside_temperature)
    replaced = volume * -np.expm1(-flow * np.asarray(open_time) / volume)
    film = _P("liner_film_coefficient") * liner
    with np.errstate(divide="ignore"):
        steady = 1.0 / (1.0 / film + 1.0 / np.maximum(flow * heat_of_air, 1e-12))
    moist = 1.0 + moisture_share(inside_temperature, outside_temperature)
    return (heat_of_air * replaced + steady * open_time) * moist


def doorway_conductance(
    installation: Installation,
    openings: Sequence[tuple[float, float]],
    inside_temperature: ArrayLike,
    outside_temperature: ArrayLike,
    steps: int,
    time_step: float,
) -> np.ndarray | None:
    """Conductance through the door during each step of a test.

    Parameters
    ----------
    installation : Installation
        Of a size.
    openings : sequence of (float, float)
        When the door is opened and for how long [s].
    inside_temperature, outside_temperature : array_like
        Of the air [K], shape (...).
    steps : int
        How many steps.
    time_step : float
        Length of a step [s].

    Returns
    -------
    numpy.ndarray or None
        [W/K], shape (..., steps). None without openings.

    Raises
    ------
    InputError
        If an opening doesn't fall into the test.

    Examples
    --------
    Twenty seconds, a minute after the start, of three minutes.

    >>> doorway_conductance(Installation.of("8 cu ft"), [(60.0, 20.0)], 276.5, 305.4, 3, 60.0).round().tolist()
    [0.0, 17.0, 0.0]
    """
    if not openings:
        return None

    def let_in(length: float) -> np.ndarray:
        return door_energy(installation, length, inside_temperature, outside_temperature)

    conductance = np.zeros((*np.shape(let_in(1.0)), steps))
    for begin, length in openings:
        if not (0 <= begin < steps * time_step and length >= 0.0):
            raise InputError(
                f"An opening of the door at {begin:g} s for {length:g} s doesn't fall into the test; give "
                f"times from 0 to {steps * time_step:g} s and lengths from 0 on."
            )
        last = min(steps, math.ceil((begin + length) / time_step))
        for step in range(int(begin // time_step), last):
            open_before, open_by = (
                min(max(edge * time_step - begin, 0.0), length) for edge in (step, step + 1)
            )
            conductance[..., step] += (let_in(open_by) - let_in(open_before)) / time_step
    return conductance
