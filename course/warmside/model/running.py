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
from warmside.model.cup import CUP_MASS, food_specific_heat
from warmside.model.defrost import TimedDefrost
from warmside.model.door import doorway_conductance
from warmside.model.installation import Installation
from warmside.model.steady import State, steady_state

_P = load("parameters").number
_DAY = 86400.0
_LEVELS = 9  # ambients between night and afternoon at which the unit is solved
_STEP = 60.0


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


def day_and_night(
    time: ArrayLike, mean: float, half_range: float, hottest_at: float = _P("hottest_hour")
) -> np.ndarray:
    """Ambient temperature over a day.

    Parameters
    ----------
    time : array_like
        Time of day [s].
    mean, half_range : float
        Mean temperature and half the span between night and afternoon [K].
    hottest_at : float
        Time of day of the highest temperature [s].

    Returns
    -------
    numpy.ndarray
        Temperature [K], a cosine.

    Examples
    --------
    At four in the morning and in the afternoon.

    >>> day_and_night([4 * 3600, 16 * 3600], 300.0, 8.0).tolist()
    [292.0, 308.0]
    """
    return mean + half_range * np.cos(2 * np.pi * (np.asarray(time) - hottest_at) / _DAY)


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

    Examples
    --------
    A day of 90 °F on average, 15 °F up and down, in °F.

    >>> (felt_day(305.37, 8.33) * 1.8 - 459.67).round().tolist()
    [98.0, 90.0, 82.0]
    """
    parts = np.cos(np.pi * (2 * np.arange(1, 4) - 1) / 6)
    mean, felt = np.asarray(mean_ambient, dtype=float), _P("felt_swing") * np.asarray(half_range, dtype=float)
    return np.stack([mean + part * felt for part in parts])


def cup_test(
    installation: Installation,
    ambient_temperature: ArrayLike,
    hours: float = 24.0,
    *,
    half_range: float = 0.0,
    start_of_day: float = 8 * 3600.0,
    cup_mass: float = CUP_MASS,
    cup_temperature: float = _P("cup_start"),
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

    Examples
    --------
    The cup after a night in a refrigerator of 8 cubic feet at 90 °F, its unit running all the time, in °F.

    >>> night = cup_test(Installation.of("8 cu ft"), 305.37, hours=12.0)
    >>> round(float(night.cup_temperature[-1]) * 1.8 - 459.67)
    29
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
    day = _Day(installation, mean, half_range, batch, thermostat)
    made_of = cabinet_of(installation, cup_mass)

    settling = round(_DAY / _STEP)
    begin = np.stack([np.broadcast_to(day.middle[name], batch) for name in _START], axis=-1)
    if thermostat is not None:
        begin[..., AIR:] = np.maximum(begin[..., AIR:], np.asarray(thermostat.setting)[..., np.newaxis])
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
        doorway=doorway_conductance(
            installation, openings, day.middle["food_temperature"], mean, steps, _STEP
        ),
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


def cabinet_of(installation: Installation, cup_mass: float = CUP_MASS) -> Cabinet:
    """Return the cabinet of a refrigerator with a cup in it [kg].

    Examples
    --------
    >>> cabinet_of(Installation.of("8 cu ft")).freezer_conductance
    0.36
    """
    return Cabinet(
        cup_mass=cup_mass,
        freezer_conductance=installation.of_size("freezer_conductance"),
        food_conductance=installation.food_conductance + installation.load,
        partition_conductance=installation.of_size("partition_conductance"),
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

    def __init__(
        self,
        installation: Installation,
        mean: np.ndarray,
        half_range: float,
        batch: tuple,
        thermostat: Thermostat | None,
    ):
        levels = np.linspace(-1.0, 1.0, _LEVELS) if half_range else np.zeros(1)
        ambients = mean + half_range * levels.reshape(-1, *[1] * len(batch))
        # the coils are as warm as in compartments that the thermostat keeps
        setting = None if thermostat is None else thermostat.setting
        state: State = steady_state(installation, ambients, setting=setting)
        self._installation = installation
        self._mean, self._half_range, self._levels = mean, half_range, levels
        self._states = {name: getattr(state, name) for name in _OVER_THE_DAY}
        middle = len(levels) // 2
        self.middle = {
            name: getattr(state, name)[middle] for name in ("food_temperature", "freezer_temperature")
        }
        self.failed = np.asarray(state.failed.any(axis=0))
        self.converged = np.asarray(state.converged.all(axis=0))

    def ambient(self, begin: float, steps: int) -> np.ndarray:
        """Ambient during each step [K], shape (..., steps), or (..., 1) where it stays."""
        if not self._half_range:
            return self._mean[..., np.newaxis]
        return self._mean[..., np.newaxis] + self._half_range * self._swing(begin, steps)

    def _swing(self, begin, steps):
        """Where between the coolest (-1) and the hottest (1) hour the day is during each step."""
        middles = begin + (np.arange(steps) + 0.5) * _STEP
        return day_and_night(middles, 0.0, 1.0)

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
        food_walls = np.asarray(this.food_conductance, dtype=float)[..., np.newaxis]
        freezer = walls[..., FREEZER] * (over["freezer_surround_temperature"] - ambient)
        food = food_walls * (over["surround_temperature"] - ambient) + heater
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
    added = mass * food_specific_heat(_P("food_water"))
    together = made_of.load_capacity + added
    mixed = (made_of.load_capacity * load_temperature + added * np.asarray(temperature)) / together
    conductance = made_of.load_conductance * together / made_of.load_capacity
    return replace(made_of, load_capacity=together, load_conductance=conductance), mixed
