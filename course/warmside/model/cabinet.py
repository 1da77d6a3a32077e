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
from scipy.linalg import expm
from scipy.signal import lfilter

from warmside.data import load
from warmside.model.draught import GRAVITY
from warmside.properties import water

_PARAMETERS, _CABINETS = load("parameters"), load("cabinets")

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


def food_specific_heat(water_fraction: ArrayLike) -> np.ndarray:
    """Specific heat of food above freezing.

    Parameters
    ----------
    water_fraction : array_like
        Water in it [kg/kg], 0 to 1.

    Returns
    -------
    numpy.ndarray
        Specific heat [J/(kg K)], ``837 + 3349 w``.

    References
    ----------
    J. E. Siebel, Specific heat of various products, Ice and Refrigeration 2 (1892) 256, as given in the
    ASHRAE Handbook, Refrigeration, and in textbooks of food engineering.
    """
    return 837.0 + 3349.0 * np.asarray(water_fraction, dtype=float)


def box_conductance(
    width: ArrayLike, depth: ArrayLike, height: ArrayLike, thickness: ArrayLike, conductivity: ArrayLike
) -> np.ndarray:
    """Conductance of the insulation round a box, without films, seals and frames.

    Parameters
    ----------
    width, depth, height : array_like
        Inner dimensions [m], each more than a fifth of the thickness.
    thickness : array_like
        Of the insulation [m].
    conductivity : array_like
        Of the insulation [W/(m K)]; 0.020 to 0.026 for aged polyurethane foam.

    Returns
    -------
    numpy.ndarray
        Conductance [W/K]: walls ``A/t``, twelve edges ``0.54 l``, eight corners ``0.15 t``.

    References
    ----------
    F. P. Incropera et al., Fundamentals of Heat and Mass Transfer, table 4.1, cases 8 and 9.
    """
    width, depth, height, thickness = (np.asarray(v, float) for v in (width, depth, height, thickness))
    walls = 2.0 * (width * depth + width * height + depth * height) / thickness
    edges = 0.54 * 4.0 * (width + depth + height)
    return conductivity * (walls + edges + 8.0 * 0.15 * thickness)


def doorway_flow(
    width: ArrayLike, height: ArrayLike, inside_temperature: ArrayLike, outside_temperature: ArrayLike
) -> np.ndarray:
    """Air that an open doorway exchanges: cold air falls out below, warm air comes in above.

    Parameters
    ----------
    width, height : array_like
        Of the doorway [m].
    inside_temperature, outside_temperature : array_like
        Temperatures of the air [K].

    Returns
    -------
    numpy.ndarray
        Volume flow of the cold air [m³/s]; 0 where it isn't colder inside.

    References
    ----------
    W. B. Gosney and H. A. L. Olama, Heat and enthalpy gains through cold room doorways, Proc. Inst.
    Refrigeration 72 (1975) 31: ``0.221 A sqrt(g H) (1 - rho_o/rho_i)^0.5 (2/(1 + (rho_i/rho_o)^(1/3)))^1.5``.
    """
    ratio = np.divide(inside_temperature, outside_temperature)  # of densities, outside over inside
    lighter = np.maximum(1.0 - ratio, 0.0)
    spread = (2.0 / (1.0 + ratio ** (-1.0 / 3.0))) ** 1.5
    area = np.multiply(width, height)
    return _PARAMETERS["door_discharge"] * area * np.sqrt(GRAVITY * height * lighter) * spread


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
    return _PARAMETERS["cup_conductance"] * (np.asarray(mass, dtype=float) / 0.250) ** (2.0 / 3.0)


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
    load_conductance : float
        Conductance between food and air [W/K].
    freezer_cooling, food_cooling : float
        Heat taken out of freezer and food compartment while the unit runs, where it has no `Coils` [W].
    """

    freezer_capacity: float = _PARAMETERS["freezer_heat_capacity"]
    air_capacity: float = _PARAMETERS["food_heat_capacity"]
    load_capacity: float = _PARAMETERS["load_heat_capacity"]
    cup_mass: float = 0.250
    freezer_conductance: float = _CABINETS["freezer_conductance"]["eight"]
    food_conductance: float = _CABINETS["food_conductance"]["eight"]
    load_conductance: float = _PARAMETERS["load_conductance"]
    freezer_cooling: float = 20.0
    food_cooling: float = 48.0

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
        load, cup = np.broadcast_arrays(self.load_conductance, cup_conductance(self.cup_mass))
        between = np.zeros((*load.shape, 4, 4))
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

    ambient, heat, allowed = by_step(ambient_temperature), by_step(heat, 4), by_step(allowed)
    doorway = None if doorway is None else by_step(doorway)
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
        running[step] = runs = on & allowed[step]
        flux = outer * ambient[step] + heat[step]
        flux[: AIR + 1] -= runs * take_out(step, state)
        if doorway is not None:
            flux[AIR] += doorway[step] * (ambient[step] - state[AIR])
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
