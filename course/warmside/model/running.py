"""A refrigerator as it is used: a cup of water over a day, warm food, opened doors, defrosts.

The cooling unit is taken as steady at every ambient of the day: it settles within an hour, the cabinet
takes many. The enclosure is taken as warm as when the unit runs, even while a thermostat has it stopped.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.errors import InputError
from warmside.model import cabinet as cabinets
from warmside.model.cabinet import AIR, CUP, FREEZER, LOAD, Cabinet, Coils, Thermostat
from warmside.model.defrost import TimedDefrost
from warmside.model.installation import Installation
from warmside.model.steady import State, steady_state
from warmside.properties import air

_P = load("parameters")
_DAY = 86400.0
_LEVELS = 9  # ambients between night and afternoon at which the unit is solved
_STEP = 60.0
_FELT_SWING = 0.65  # of a day's swing, by the mean of the food


@dataclass(frozen=True, eq=False)
class CupTest:
    """What a thermometer would have shown.

    Attributes
    ----------
    time : numpy.ndarray
        Since the cup was put in [s], shape (n + 1,).
    cup_temperature, food_air_temperature, food_temperature, freezer_temperature : numpy.ndarray
        Of the water, of the food compartment's air and of its food, and of the freezer [K], shape
        (..., n + 1).
    ambient_temperature : numpy.ndarray
        During each step [K], shape (..., n).
    running : numpy.ndarray of bool
        Whether the unit ran during each step, shape (..., n).
    failed, converged : numpy.ndarray of bool
        Whether the unit fails at some hour of the day; whether its states were all found; shape (...).
    """

    time: np.ndarray
    cup_temperature: np.ndarray
    food_air_temperature: np.ndarray
    food_temperature: np.ndarray
    freezer_temperature: np.ndarray
    ambient_temperature: np.ndarray
    running: np.ndarray
    failed: np.ndarray
    converged: np.ndarray


def felt_day(mean_ambient: ArrayLike, half_range: ArrayLike) -> np.ndarray:
    """Three ambients that stand for a day of which only the steady states are wanted.

    Parameters
    ----------
    mean_ambient : array_like
        [K].
    half_range : array_like
        Half the span of the ambient between night and afternoon [K]; broadcasts with it.

    Returns
    -------
    numpy.ndarray
        Afternoon, mean and night [K], shape (3, ...). The mean of the steady states at these is about the
        day's mean of the food as `cup_test` has it, within 3 K near the cliff: a cabinet's heat capacity
        lets through two thirds of the swing (calibrated here), and three points stand for a sine (Gauss and
        Chebyshev).
    """
    parts = np.cos(np.pi * (2 * np.arange(1, 4) - 1) / 6)
    mean, felt = np.asarray(mean_ambient, dtype=float), _FELT_SWING * np.asarray(half_range, dtype=float)
    return np.stack([mean + part * felt for part in parts])


def cup_test(
    installation: Installation,
    ambient_temperature: ArrayLike,
    hours: float = 24.0,
    *,
    half_range: float = 0.0,
    start_of_day: float = 8 * 3600.0,
    cup_mass: float = 0.250,
    cup_temperature: float = 293.15,
    thermostat: Thermostat | None = None,
    warm_load: float = 0.0,
    warm_load_temperature: float | None = None,
    openings: Sequence[tuple[float, float]] = (),
    defrost: TimedDefrost | None = None,
    since_power_up: float = 2 * _DAY,
) -> CupTest:
    """Put a cup of water into a refrigerator that has run for a day, and watch.

    Parameters
    ----------
    installation : Installation
        One or many.
    ambient_temperature : array_like
        Mean of the ambient over the day [K]; broadcasts with the installation.
    hours : float
        How long to watch.
    half_range : float
        Half the span of the ambient between night and afternoon [K].
    start_of_day : float
        Time of day at which the cup is put in [s].
    cup_mass : float
        Water in the cup [kg].
    cup_temperature : float
        Of that water at the start [K].
    thermostat : Thermostat, optional
        Without one the unit runs all the time.
    warm_load : float
        Food put in together with the cup [kg], with the specific heat of food that is four fifths water.
    warm_load_temperature : float, optional
        Its temperature [K]; the mean ambient where it isn't given.
    openings : sequence of (float, float)
        When the door of the food compartment is opened, since the cup was put in, and for how long [s].
    defrost : TimedDefrost, optional
        While one is on, the unit stands still.
    since_power_up : float
        From power-up to the cup [s], for the timed defrost.

    Returns
    -------
    CupTest
        At steps of one minute.

    Raises
    ------
    InputError
        If an input is impossible.
    """
    for name, value, right in (
        ("hours", hours, 0.0 < hours <= 24 * 31),
        ("half_range", half_range, 0.0 <= half_range <= 25.0),
        ("cup_mass", cup_mass, 0.0 < cup_mass <= 10.0),
        ("warm_load", warm_load, 0.0 <= warm_load <= 200.0),
        ("since_power_up", since_power_up, since_power_up >= 0.0),
    ):
        if not right:
            raise InputError(f"{name} of the cup test is {value}; {_RIGHT[name]}.")
    mean = np.asarray(ambient_temperature, dtype=float)
    batch = np.broadcast_shapes(installation.shape, mean.shape)
    day = _Day(installation, mean, half_range, batch)
    made_of = cabinet_of(installation, cup_mass)

    settling = round(_DAY / _STEP)
    begin = np.stack([np.broadcast_to(day.middle[name], batch) for name in _START], axis=-1)
    if thermostat is not None:
        begin[..., AIR:] = np.maximum(begin[..., AIR:], thermostat.setting)
    before = day.run(made_of, begin, start_of_day - _DAY, settling, thermostat)
    state = before.temperatures[..., -1, :].copy()
    state[..., CUP] = cup_temperature
    if warm_load:
        warmth = mean if warm_load_temperature is None else warm_load_temperature
        made_of, state[..., LOAD] = _loaded(made_of, state[..., LOAD], warm_load, warmth)

    steps = round(hours * 3600.0 / _STEP)
    time = np.arange(steps + 1) * _STEP
    defrosting = np.zeros(steps, dtype=bool)
    if defrost is not None:
        defrosting = defrost.active(since_power_up + time[:-1])
    after = day.run(
        made_of,
        state,
        start_of_day,
        steps,
        thermostat,
        allowed=~defrosting,
        heater=0.0 if defrost is None else defrost.heater * defrosting,
        doorway=_doorway(installation, openings, day.middle["food_temperature"], mean, steps),
    )
    ambient = np.broadcast_to(day.ambient(start_of_day, steps), (*batch, steps))
    return CupTest(
        time=time,
        cup_temperature=after.of("cup"),
        food_air_temperature=after.of("air"),
        food_temperature=after.of("load"),
        freezer_temperature=after.of("freezer"),
        ambient_temperature=ambient,
        running=after.running,
        failed=day.failed,
        converged=day.converged,
    )


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
    setting: float = 276.48,
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
        Food-compartment temperature to come back to [K]; 276.48 K is 38 °F.

    Returns
    -------
    DoorRecovery
    """
    if np.any(np.less(open_time, 0.0)):
        raise InputError("open_time of the door is below 0; it must be a time from 0 on, in s.")
    ambient = np.asarray(ambient_temperature, dtype=float)
    state = steady_state(installation, ambient)
    heat = door_energy(installation, open_time, setting, ambient) * np.maximum(ambient - setting, 0.0)
    cooling = np.minimum(
        installation.food_coil_conductance * (setting - state.food_coil_coldest),
        state.food_cooling_limit,
    )
    spare = (
        cooling - installation.food_conductance * (state.surround_temperature - setting) - installation.load
    )
    with np.errstate(divide="ignore"):
        time = np.where(spare > 0.0, heat / np.maximum(spare, 1e-9), np.inf)
    heat, spare, time = np.broadcast_arrays(heat, spare, time)
    failed, converged = (np.broadcast_to(flag, time.shape) for flag in (state.failed, state.converged))
    return DoorRecovery(heat, spare, time, failed, converged)


def door_energy(
    installation: Installation,
    open_time: ArrayLike,
    inside_temperature: ArrayLike,
    outside_temperature: ArrayLike,
) -> np.ndarray:
    """Heat that an open door lets in for each kelvin between inside and outside [J/K].

    The cold air falls out and is replaced once; from then on what is lost is what the warm air that keeps
    coming in gives to the liner and what stands in it.

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
    """
    width, height, volume, liner = (
        installation.of_size(name) for name in ("door_width", "door_height", "food_volume", "liner_area")
    )
    flow = cabinets.doorway_flow(width, height, inside_temperature, outside_temperature)
    heat_of_air = air.density(inside_temperature) * air.specific_heat(inside_temperature)
    replaced = volume * -np.expm1(-flow * np.asarray(open_time) / volume)
    film = _P["liner_film_coefficient"] * liner
    with np.errstate(divide="ignore"):
        steady = 1.0 / (1.0 / film + 1.0 / np.maximum(flow * heat_of_air, 1e-12))
    return heat_of_air * replaced + steady * open_time


def cabinet_of(installation: Installation, cup_mass: float = 0.250) -> Cabinet:
    """Return the cabinet of a refrigerator with a cup in it [kg]."""
    return Cabinet(
        cup_mass=cup_mass,
        freezer_conductance=installation.of_size("freezer_conductance"),
        food_conductance=installation.food_conductance,
    )


_START = ("freezer_temperature", "food_temperature", "food_temperature", "food_temperature")
_OVER_THE_DAY = (
    "freezer_coil_coldest",
    "food_coil_coldest",
    "freezer_cooling_limit",
    "food_cooling_limit",
    "surround_temperature",
    "freezer_surround_temperature",
)
_RIGHT = {
    "hours": "it must be more than 0 and at most 744",
    "half_range": "it must be from 0 to 25 K",
    "cup_mass": "it must be more than 0 and at most 10 kg",
    "warm_load": "it must be from 0 to 200 kg",
    "since_power_up": "it must be a time from 0 on, in s",
}


class _Day:
    """The unit over a day: solved at some ambients, and in between in proportion."""

    def __init__(self, installation: Installation, mean: np.ndarray, half_range: float, batch: tuple):
        levels = np.linspace(-1.0, 1.0, _LEVELS) if half_range else np.zeros(1)
        ambients = mean + half_range * levels.reshape(-1, *[1] * len(batch))
        state: State = steady_state(installation, ambients)
        self._installation = installation
        self._mean, self._half_range, self._levels = mean, half_range, levels
        self._states = {name: getattr(state, name) for name in _OVER_THE_DAY}
        middle = len(levels) // 2
        self.middle = {
            name: getattr(state, name)[middle] for name in ("food_temperature", "freezer_temperature")
        }
        self.failed, self.converged = state.failed.any(axis=0), state.converged.all(axis=0)

    def ambient(self, begin: float, steps: int) -> np.ndarray:
        """Ambient during each step [K], shape (..., steps), or (..., 1) where it stays."""
        if not self._half_range:
            return self._mean[..., np.newaxis]
        return self._mean[..., np.newaxis] + self._half_range * self._swing(begin, steps)

    def _swing(self, begin, steps):
        """Where between the coolest (-1) and the hottest (1) hour the day is during each step."""
        middles = begin + (np.arange(steps) + 0.5) * _STEP
        return cabinets.day_and_night(middles, 0.0, 1.0)

    def _over(self, name, begin, steps):
        """Return a quantity of the unit during each step, shape (..., steps)."""
        values = self._states[name]
        if not self._half_range:
            return values[0][..., np.newaxis]
        place = (self._swing(begin, steps) + 1.0) / 2.0 * (len(self._levels) - 1)
        below = np.minimum(place.astype(int), len(self._levels) - 2)
        share = place - below
        values = np.moveaxis(values, 0, -1)
        return values[..., below] * (1.0 - share) + values[..., below + 1] * share

    def run(
        self, cabinet, start, begin, steps, thermostat, *, allowed=True, heater=0.0, doorway=None
    ) -> cabinets.Run:
        """Let the cabinet run from a time of day on."""
        over = {name: self._over(name, begin, steps) for name in _OVER_THE_DAY}
        ambient = self.ambient(begin, steps)
        this = self._installation
        walls = cabinet.outer_conductances[..., np.newaxis, :]
        load = np.asarray(this.load, dtype=float)[..., np.newaxis]
        freezer = walls[..., FREEZER] * (over["freezer_surround_temperature"] - ambient)
        food = walls[..., AIR] * (over["surround_temperature"] - ambient) + load + heater
        freezer, food = np.broadcast_arrays(freezer, food)
        nothing = np.zeros_like(food)
        heat = np.stack([freezer, food, nothing, nothing], axis=-1)
        coils = Coils(
            freezer_conductance=this.of_size("freezer_coil_conductance"),
            food_conductance=this.food_coil_conductance,
            freezer_temperature=over["freezer_coil_coldest"],
            food_temperature=over["food_coil_coldest"],
            freezer_most=over["freezer_cooling_limit"],
            food_most=over["food_cooling_limit"],
        )
        return cabinets.run(
            cabinet,
            start,
            ambient,
            steps=steps,
            time_step=_STEP,
            thermostat=thermostat,
            coils=coils,
            heat=heat,
            allowed=allowed,
            doorway=doorway,
        )


def _loaded(made_of, load_temperature, mass, temperature):
    """Return the cabinet with warm food added to what is in it, and the temperature of both together."""
    added = mass * cabinets.food_specific_heat(0.8)
    together = made_of.load_capacity + added
    mixed = (made_of.load_capacity * load_temperature + added * np.asarray(temperature)) / together
    conductance = made_of.load_conductance * together / made_of.load_capacity
    return replace(made_of, load_capacity=together, load_conductance=conductance), mixed


def _doorway(installation, openings, inside, outside, steps):
    """Return the conductance through the open door during each step, shape (..., steps)."""
    if not openings:
        return None
    conductance = np.zeros((*np.shape(door_energy(installation, 1.0, inside, outside)), steps))
    for begin, length in openings:
        step = int(begin // _STEP)
        if not (0 <= step < steps and length >= 0.0):
            raise InputError(
                f"An opening of the door at {begin:g} s for {length:g} s doesn't fall into the test; give "
                f"times from 0 to {steps * _STEP:g} s and lengths from 0 on."
            )
        conductance[..., step] += door_energy(installation, length, inside, outside) / _STEP
    return conductance
