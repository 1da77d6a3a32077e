"""The cabinet and what stands in it: a small linear network of heat capacities, stepped exactly.

Four nodes: freezer, food-compartment air with its liner, food load, and the cup of water. While its inputs
are constant the network is linear, ``C dT/dt = A T + b``, so a step is a matrix exponential and has no error
of its own, however long it is. What the coils take out and what an open door lets in depend on the
temperatures; they are held over a step at what they are at its beginning, and that is the only error.

The parameters are calibrated here to common practice and to plausible masses; they are no measurements. This
is a teaching model, not validated against measured refrigerators.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from warmside.arrays import Floats
from warmside.data import load
from warmside.model.cup import CUP_MASS, cup_conductance, cup_heat_capacity

_P = load("parameters").number
_SHARED = (
    "freezer_heat_capacity",
    "food_heat_capacity",
    "load_heat_capacity",
    "load_conductance",
    "freezer_cooling",
    "food_cooling",
)
_OF_SIZE = ("freezer_conductance", "food_conductance", "partition_conductance")
_USUAL = {name: _P(name) for name in _SHARED} | {
    name: load("cabinets").in_column(name, "8 cu ft") for name in _OF_SIZE
}

NODES = ("freezer", "air", "load", "cup")
FREEZER, AIR, LOAD, CUP = range(4)


@dataclass(frozen=True)
class Cabinet:
    """Heat capacities, conductances and cooling of a cabinet.

    The defaults are those of eight cubic feet, calibrated here. Every field may be an array; they broadcast
    to a batch of cabinets.

    Attributes
    ----------
    freezer_capacity, air_capacity, load_capacity : float
        Heat capacities of the freezer, of the food-compartment air with its liner, of the food [J/K].
    cup_mass : float
        Water in the cup [kg].
    freezer_conductance, food_conductance : float
        Conductances from the surroundings into freezer and food compartment [W/K].
    partition_conductance : float
        Conductance between freezer and food compartment [W/K].
    load_conductance : float
        Conductance between food and air [W/K].
    freezer_cooling, food_cooling : float
        Heat taken out of freezer and food compartment while the unit runs, where it has no `Coils` [W].
    """

    freezer_capacity: Floats = _USUAL["freezer_heat_capacity"]
    air_capacity: Floats = _USUAL["food_heat_capacity"]
    load_capacity: Floats = _USUAL["load_heat_capacity"]
    cup_mass: Floats = CUP_MASS
    freezer_conductance: Floats = _USUAL["freezer_conductance"]
    food_conductance: Floats = _USUAL["food_conductance"]
    partition_conductance: Floats = _USUAL["partition_conductance"]
    load_conductance: Floats = _USUAL["load_conductance"]
    freezer_cooling: Floats = _USUAL["freezer_cooling"]
    food_cooling: Floats = _USUAL["food_cooling"]

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the batch; empty for one cabinet."""
        return np.broadcast_shapes(*(np.shape(value) for value in vars(self).values()))

    @property
    def capacities(self) -> np.ndarray:
        """Heat capacities of the nodes [J/K], shape (..., 4)."""
        cup = cup_heat_capacity(self.cup_mass)
        return _nodes(self.freezer_capacity, self.air_capacity, self.load_capacity, cup)

    @property
    def conductances(self) -> np.ndarray:
        """Conductances between nodes [W/K], shape (..., 4, 4), symmetric."""
        partition, load, cup = np.broadcast_arrays(
            self.partition_conductance, self.load_conductance, cup_conductance(self.cup_mass)
        )
        between = np.zeros((*load.shape, 4, 4))
        between[..., FREEZER, AIR] = between[..., AIR, FREEZER] = partition
        between[..., AIR, LOAD] = between[..., LOAD, AIR] = load
        between[..., AIR, CUP] = between[..., CUP, AIR] = cup
        return between

    @property
    def outer_conductances(self) -> np.ndarray:
        """Conductances from the nodes to the surroundings [W/K], shape (..., 4)."""
        return _nodes(self.freezer_conductance, self.food_conductance, 0.0, 0.0)

    @property
    def rates(self) -> np.ndarray:
        """The matrix of ``dT/dt = rates @ T + inputs`` [1/s], shape (..., 4, 4)."""
        between = self.conductances
        losses = (between.sum(axis=-1) + self.outer_conductances)[..., np.newaxis] * np.eye(4)
        return (between - losses) / self.capacities[..., np.newaxis]

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
        """Heat put into the nodes while the unit runs [W], shape (..., 4): negative, it is taken out."""
        return -_nodes(self.freezer_cooling, self.food_cooling, 0.0, 0.0)


def _nodes(*values: ArrayLike) -> np.ndarray:
    return np.stack(np.broadcast_arrays(*values), axis=-1).astype(float)


@dataclass(frozen=True)
class Coils:
    """The evaporator's two coils, as cold bodies that the compartments are coupled to while the unit runs.

    Attributes
    ----------
    freezer_conductance, food_conductance : array_like
        From the compartments to their coils [W/K], shape (...).
    freezer_temperature, food_temperature : array_like
        Of the coils during each step [K], shape (...) or (..., steps).
    freezer_most, food_most : array_like
        Most heat that their ammonia can take up during each step [W], shape (...) or (..., steps).
    """

    freezer_conductance: ArrayLike
    food_conductance: ArrayLike
    freezer_temperature: ArrayLike
    food_temperature: ArrayLike
    freezer_most: ArrayLike
    food_most: ArrayLike


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

    Examples
    --------
    A body with a time constant of an hour, an hour later: a share of 1/e is left.

    >>> carry, gain = exact_step([[-1 / 3600]], 3600.0)
    >>> round(float(carry[0, 0]), 3)
    0.368
    """
    from scipy.linalg import expm  # here, since it takes long to import

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

    setting: float = _P("thermostat_setting")
    swing: float = _P("thermostat_swing")


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
    coils: Coils | None = None,
    heat: ArrayLike = 0.0,
    allowed: ArrayLike = True,
    doorway: ArrayLike | None = None,
) -> Run:
    """Let a cabinet, or a batch of them, run.

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
    coils : Coils, optional
        What takes the heat out, colder or warmer as they are. Without them the unit takes out the cabinet's
        constant cooling.
    heat : array_like
        Heat put into the nodes during each step besides the unit's cooling, as by a heater [W]; broadcast to
        (..., steps, 4).
    allowed : array_like of bool
        Whether the unit may run during each step, not for a defrost; broadcast to (..., steps).
    doorway : array_like, optional
        Conductance from the surroundings to the food compartment's air through an open door during each step
        [W/K]; broadcast to (..., steps).

    Returns
    -------
    Run

    Examples
    --------
    Eight cubic feet from room temperature, for a day: the cup, in °C.

    >>> day = run(Cabinet(), [293.15] * 4, 300.0, steps=1440, thermostat=Thermostat(277.0, 2.0))
    >>> round(float(day.of("cup")[-1]) - 273.15)
    4
    """
    start = np.asarray(start, dtype=float)
    batch = np.broadcast_shapes(start.shape[:-1], cabinet.shape)
    cases = int(np.prod(batch))

    def by_step(values, *more):
        """Return values of shape (..., steps, *more) as (steps, *more, cases); views where they can be."""
        values = np.broadcast_to(values, (*batch, steps, *more))
        if all(stride == 0 for stride in values.strides[: len(batch)]):
            return np.broadcast_to(values[(0,) * len(batch)][..., np.newaxis], (steps, *more, cases))
        return np.moveaxis(values.reshape(cases, steps, *more), 0, -1)

    ambient, put_in, may_run = by_step(ambient_temperature), by_step(heat, 4), by_step(allowed)
    through_door = None if doorway is None else by_step(doorway)
    advance = _stepper(cabinet, time_step, batch)
    take_out = _cooling(cabinet, coils, by_step, batch)
    outer = _columns(cabinet.outer_conductances, batch)

    temperatures = np.empty((steps + 1, 4, cases))
    running = np.empty((steps, cases), dtype=bool)
    temperatures[0] = state = np.broadcast_to(_columns(start, batch), (4, cases))
    on = np.ones(cases, dtype=bool)
    for step in range(steps):
        if thermostat is not None:
            air = state[AIR]
            on = on & (air > thermostat.setting - thermostat.swing / 2)
            on |= air >= thermostat.setting + thermostat.swing / 2
        running[step] = runs = on & may_run[step]
        flux = outer * ambient[step] + put_in[step]
        flux[: AIR + 1] -= runs * take_out(step, state)
        if through_door is not None:
            flux[AIR] += through_door[step] * (ambient[step] - state[AIR])
        temperatures[step + 1] = state = advance(state, flux)
    return Run(
        np.arange(steps + 1) * time_step,
        np.moveaxis(temperatures, -1, 0).reshape(*batch, steps + 1, 4),
        np.moveaxis(running, -1, 0).reshape(*batch, steps),
    )


def _columns(values, batch):
    """Return values of shape (..., n) as (n, cases), or (n, 1) where they are the same for all cases."""
    values = np.asarray(values, dtype=float)
    if values.ndim > 1:
        values = np.broadcast_to(values, (*batch, values.shape[-1]))
    return np.ascontiguousarray(values.reshape(-1, values.shape[-1]).T)


def _stepper(cabinet, time_step, batch):
    """Return the function that takes states and heat flows, both (4, cases), one step on."""
    carry, gain = exact_step(cabinet.rates, time_step)
    gain = gain / cabinet.capacities[..., np.newaxis, :]
    if not cabinet.shape:
        return lambda state, flux: carry @ state + gain @ flux
    both = np.concatenate([carry, gain], axis=-1)
    both = np.moveaxis(np.broadcast_to(both, (*batch, 4, 8)).reshape(-1, 4, 8), 0, -1).copy()
    return lambda state, flux: np.einsum("ijn,jn->in", both, np.concatenate([state, flux]))


def _cooling(cabinet, coils, by_step, batch):
    """Return the function of step and states that gives the heat taken out of freezer and air (2, cases)."""
    if coils is None:
        constant = -_columns(cabinet.cooling(), batch)[: AIR + 1]
        return lambda step, state: constant

    def coil(conductance, temperature, most):
        conductance = np.broadcast_to(conductance, batch).reshape(-1)
        temperature, most = (by_step(_with_steps(values, batch)) for values in (temperature, most))
        return lambda step, node: np.minimum(conductance * (node - temperature[step]), most[step])

    freezer = coil(coils.freezer_conductance, coils.freezer_temperature, coils.freezer_most)
    food = coil(coils.food_conductance, coils.food_temperature, coils.food_most)
    return lambda step, state: np.array([freezer(step, state[FREEZER]), food(step, state[AIR])])


def _with_steps(values, batch):
    values = np.asarray(values, dtype=float)
    return values[..., np.newaxis] if values.ndim <= len(batch) else values
