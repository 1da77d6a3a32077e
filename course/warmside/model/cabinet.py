"""The cabinet and what stands in it: a small linear network of heat capacities, stepped exactly.

Four nodes: freezer, food-compartment air with its liner, food load, and the cup of water. Between two
switching moments the network is linear with constant input, ``C dT/dt = A T + b``, so a step is a matrix
exponential and has no error of its own, however long it is.

The parameters are calibrated here to common practice and to plausible masses; they are no measurements. This
is a teaching model, not validated against measured refrigerators.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.linalg import expm
from scipy.signal import lfilter

from warmside.properties import water

NODES = ("freezer", "air", "load", "cup")
FREEZER, AIR, LOAD, CUP = range(4)


def cup_temperature(
    time: ArrayLike, start_temperature: ArrayLike, cabinet_temperature: ArrayLike, time_constant: ArrayLike
) -> np.ndarray:
    """Temperature of a lumped cup in a cabinet of constant temperature.

    Parameters
    ----------
    time : array_like
        Time since the cup was put in [s].
    start_temperature, cabinet_temperature : array_like
        Temperatures [K].
    time_constant : array_like
        Heat capacity of the cup over its conductance to the air [s].

    Returns
    -------
    numpy.ndarray
        Temperature of the water [K]; arguments broadcast.

    References
    ----------
    F. P. Incropera et al., Fundamentals of Heat and Mass Transfer, ch. 5 (lumped capacitance).
    """
    excess = np.subtract(start_temperature, cabinet_temperature)
    return cabinet_temperature + excess * np.exp(-np.divide(time, time_constant))


def time_constant(heat_capacity: ArrayLike, conductance: ArrayLike) -> np.ndarray:
    """Time constant of a lumped body.

    Parameters
    ----------
    heat_capacity : array_like
        Heat capacity [J/K].
    conductance : array_like
        Conductance to its surroundings [W/K].

    Returns
    -------
    numpy.ndarray
        Time constant [s].
    """
    return np.divide(heat_capacity, conductance)


def follow(
    air_temperature: ArrayLike, time_step: float, start_temperature: float, time_constant: float
) -> np.ndarray:
    """Temperature of a lumped cup in air that changes from step to step.

    Parameters
    ----------
    air_temperature : array_like
        Air temperature during each step [K], shape (..., n).
    time_step : float
        Length of a step [s].
    start_temperature : float
        Temperature of the water at the start [K].
    time_constant : float
        Time constant of the cup [s].

    Returns
    -------
    numpy.ndarray
        Temperature of the water [K] at the start and after each step, shape (..., n + 1).
    """
    air = np.asarray(air_temperature, dtype=float)
    left = np.exp(-time_step / time_constant)
    initial = np.full((*air.shape[:-1], 1), left * start_temperature)
    after, _ = lfilter([1.0 - left], [1.0, -left], air, zi=initial)
    return np.concatenate([np.full_like(initial, start_temperature), after], axis=-1)


def cup_heat_capacity(mass: ArrayLike) -> np.ndarray:
    """Heat capacity [J/K] of a cup that holds `mass` [kg] of water at 10 °C; the vessel is left out."""
    return np.asarray(mass, dtype=float) * water.specific_heat(283.15)


def cup_conductance(mass: ArrayLike) -> np.ndarray:
    """Conductance from a cup's water to the cabinet air.

    Parameters
    ----------
    mass : array_like
        Mass of the water [kg].

    Returns
    -------
    numpy.ndarray
        Conductance [W/K]: 0.132 W/K at 250 g, and as the surface of cups of one shape, the power 2/3 of the
        mass. Calibrated here; it gives time constants of 1.7, 2.2 and 3.5 h at 120, 250 and 1000 g.
    """
    return 0.132 * (np.asarray(mass, dtype=float) / 0.250) ** (2.0 / 3.0)


@dataclass(frozen=True)
class Cabinet:
    """Heat capacities, conductances and cooling of a cabinet.

    The defaults are those of eight cubic feet, calibrated here.

    Attributes
    ----------
    freezer_capacity, air_capacity, load_capacity : float
        Heat capacities of the freezer, of the food-compartment air with its liner, of the food [J/K].
    cup_mass : float
        Water in the cup [kg].
    freezer_conductance, food_conductance : float
        Conductances from the surroundings into freezer and food compartment [W/K].
    load_conductance : float
        Conductance between food and air [W/K].
    freezer_cooling, food_cooling : float
        Heat taken out of freezer and food compartment while the unit runs [W].
    """

    freezer_capacity: float = 14e3
    air_capacity: float = 13e3
    load_capacity: float = 35e3
    cup_mass: float = 0.250
    freezer_conductance: float = 0.40
    food_conductance: float = 0.95
    load_conductance: float = 2.5
    freezer_cooling: float = 20.0
    food_cooling: float = 48.0

    @property
    def capacities(self) -> np.ndarray:
        """Heat capacities of the nodes [J/K], shape (4,)."""
        cup = float(cup_heat_capacity(self.cup_mass))
        return np.array([self.freezer_capacity, self.air_capacity, self.load_capacity, cup])

    @property
    def conductances(self) -> np.ndarray:
        """Conductances between nodes [W/K], shape (4, 4), symmetric."""
        between = np.zeros((4, 4))
        between[AIR, LOAD] = between[LOAD, AIR] = self.load_conductance
        between[AIR, CUP] = between[CUP, AIR] = float(cup_conductance(self.cup_mass))
        return between

    @property
    def outer_conductances(self) -> np.ndarray:
        """Conductances from the nodes to the surroundings [W/K], shape (4,)."""
        return np.array([self.freezer_conductance, self.food_conductance, 0.0, 0.0])

    @property
    def rates(self) -> np.ndarray:
        """The matrix of ``dT/dt = rates @ T + inputs`` [1/s], shape (4, 4)."""
        between = self.conductances
        losses = np.diag(between.sum(axis=1) + self.outer_conductances)
        return (between - losses) / self.capacities[:, np.newaxis]

    def inputs(self, ambient_temperature: ArrayLike, heat: ArrayLike) -> np.ndarray:
        """Return the input term of the network.

        Parameters
        ----------
        ambient_temperature : array_like
            Temperature of the surroundings [K], shape (...).
        heat : array_like
            Heat put into the nodes, cooling negative [W], shape (..., 4).

        Returns
        -------
        numpy.ndarray
            ``b`` of ``dT/dt = A T + b`` [K/s], shape (..., 4).
        """
        outside = np.asarray(ambient_temperature, dtype=float)[..., np.newaxis]
        return (self.outer_conductances * outside + heat) / self.capacities

    def cooling(self) -> np.ndarray:
        """Heat put into the nodes while the unit runs [W], shape (4,): negative, it is taken out."""
        return np.array([-self.freezer_cooling, -self.food_cooling, 0.0, 0.0])


def exact_step(rates: ArrayLike, time_step: float) -> tuple[np.ndarray, np.ndarray]:
    """Matrices of an exact step of a linear network with constant input.

    Parameters
    ----------
    rates : array_like
        ``A`` of ``dT/dt = A T + b`` [1/s], shape (..., n, n).
    time_step : float
        Length of the step [s].

    Returns
    -------
    carry, gain : numpy.ndarray
        Shape (..., n, n): ``T(t + step) = carry @ T(t) + gain @ b``.

    Notes
    -----
    Both come out of one matrix exponential, that of ``[[A, 1], [0, 0]] * step``, which also holds where ``A``
    is singular.

    References
    ----------
    C. F. Van Loan, "Computing Integrals Involving the Matrix Exponential", IEEE Trans. Automat. Contr. 23
    (1978) 395.
    """
    rates = np.asarray(rates, dtype=float)
    n = rates.shape[-1]
    block = np.zeros((*rates.shape[:-2], 2 * n, 2 * n))
    block[..., :n, :n] = rates
    block[..., :n, n:] = np.eye(n)
    whole = expm(block * time_step)
    return whole[..., :n, :n], whole[..., :n, n:]


@dataclass(frozen=True)
class Thermostat:
    """A switch on the food-compartment air.

    Attributes
    ----------
    setting : float
        Middle of its band [K].
    swing : float
        Width of its band [K]: the unit starts at the upper edge and stops at the lower one.
    """

    setting: float
    swing: float


@dataclass(frozen=True)
class Run:
    """What a cabinet did.

    Attributes
    ----------
    time : numpy.ndarray
        Time [s], shape (n + 1,).
    temperatures : numpy.ndarray
        Temperatures of the nodes [K], shape (..., n + 1, 4), in the order of `NODES`.
    running : numpy.ndarray of bool
        Whether the unit ran during each step, shape (..., n).
    """

    time: np.ndarray
    temperatures: np.ndarray
    running: np.ndarray

    def of(self, node: str) -> np.ndarray:
        """Return the temperatures of one node [K], shape (..., n + 1)."""
        return self.temperatures[..., NODES.index(node)]


def run(
    cabinet: Cabinet,
    start: ArrayLike,
    ambient_temperature: ArrayLike,
    *,
    steps: int,
    time_step: float = 60.0,
    thermostat: Thermostat | None = None,
    heat: ArrayLike = 0.0,
) -> Run:
    """Let a cabinet run.

    Parameters
    ----------
    cabinet : Cabinet
        What it is made of.
    start : array_like
        Temperatures of the nodes at the start [K], shape (..., 4).
    ambient_temperature : array_like
        Temperature of the surroundings during each step [K]; broadcast to (..., steps).
    steps : int
        How many steps.
    time_step : float
        Length of a step [s].
    thermostat : Thermostat, optional
        Switches the unit between steps, so it acts up to one step late. Without one the unit never stops.
    heat : array_like
        Heat put into the nodes during each step besides the unit's cooling, as by an opened door [W];
        broadcast to (..., steps, 4).

    Returns
    -------
    Run
    """
    start = np.asarray(start, dtype=float)
    batch = start.shape[:-1]
    ambient = np.broadcast_to(ambient_temperature, (*batch, steps))
    heat = np.broadcast_to(heat, (*batch, steps, 4))
    carry, gain = exact_step(cabinet.rates, time_step)
    idle = cabinet.inputs(ambient, heat) @ gain.T
    cooled = cabinet.cooling() / cabinet.capacities @ gain.T

    temperatures = np.empty((*batch, steps + 1, 4))
    running = np.ones((*batch, steps), dtype=bool)
    temperatures[..., 0, :] = state = start
    on = np.ones(batch, dtype=bool)
    for step in range(steps):
        if thermostat is not None:
            air = state[..., AIR]
            on = np.where(on, air > thermostat.setting - thermostat.swing / 2, on)
            on = on | (air >= thermostat.setting + thermostat.swing / 2)
        running[..., step] = on
        state = state @ carry.T + idle[..., step, :] + on[..., np.newaxis] * cooled
        temperatures[..., step + 1, :] = state
    return Run(np.arange(steps + 1) * time_step, temperatures, running)


def day_and_night(
    time: ArrayLike, mean: float, half_range: float, hottest_at: float = 16 * 3600.0
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
    """
    return mean + half_range * np.cos(2 * np.pi * (np.asarray(time) - hottest_at) / 86400.0)
