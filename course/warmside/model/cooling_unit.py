"""The steady cycle of an absorption cooling unit: ammonia, water and hydrogen, heat in and gravity.

The boiler drives ammonia out of the solution; its bubbles lift the solution round. The rectifier sends the
water back, the condenser makes the vapour liquid at the full pressure. In the coils liquid meets hydrogen,
where its own pressure is low: it evaporates cold, first in the freezer, then in the food compartment. The
absorber takes it out of the hydrogen again. The total pressure is the same everywhere, and nothing moves but
by weight.

Failure is a cliff: when the air before the condenser is too warm, not all vapour condenses, and the food
compartment's coil, which comes second, starves.

Equations and parameters are calibrated to the trade's common practice. This is a teaching model, not
validated against measured units.
"""

from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.model import fixed_point
from warmside.properties import ammonia, working_range

_P = load("parameters")
_POOR, _RICH = (float(fraction) for fraction in _P["equilibrium_fractions"])
_LIQUID = _P["absorber_liquid_effectiveness"]
_LATENT_HEAT = float(ammonia.latent_heat(_P["evaporation_temperature"]))  # J/kg
_MOLAR_LATENT_HEAT = _LATENT_HEAT * ammonia.MOLAR_MASS  # J/mol
_CHARGING_TEMPERATURE = 298.15


@cache
def _poorest():
    return working_range.solution_pressure_of(_POOR)


class Unit(NamedTuple):
    """A cooling unit, the heat it gets, and what its coils are coupled to.

    Each is a number or an array of shape (cases,).

    Attributes
    ----------
    heat_input : float or numpy.ndarray
        Heat that reaches the boiler [W].
    charge_pressure : float or numpy.ndarray
        Pressure of the charge at 25 °C, standing [Pa].
    circulation : float or numpy.ndarray
        What is left of the solution's circulation, 1 in good order and level.
    design_vapour_flow : float or numpy.ndarray
        Ammonia that leaves the rectifier at the rating [kg/s].
    gas_flow : float or numpy.ndarray
        Hydrogen that goes round at the rating [mol/s].
    absorber_conductance, condenser_conductance : float or numpy.ndarray
        To the air [W/K]; the condenser's at the air speed of its definition.
    boiler_loss_conductance : float or numpy.ndarray
        Through the boiler's insulation [W/K].
    freezer_conductance, food_conductance : float or numpy.ndarray
        From the surroundings into the compartments [W/K].
    freezer_coil_conductance, food_coil_conductance : float or numpy.ndarray
        From the compartments to their coils [W/K].
    """

    heat_input: np.ndarray
    charge_pressure: np.ndarray
    circulation: np.ndarray
    design_vapour_flow: np.ndarray
    gas_flow: np.ndarray
    absorber_conductance: np.ndarray
    condenser_conductance: np.ndarray
    boiler_loss_conductance: np.ndarray
    freezer_conductance: np.ndarray
    food_conductance: np.ndarray
    freezer_coil_conductance: np.ndarray
    food_coil_conductance: np.ndarray


class Settling(NamedTuple):
    """What settles in the search for a steady cycle; arrays of shape (cases,).

    Attributes
    ----------
    absorber_temperature : numpy.ndarray
        Of the solution that leaves the absorber [K].
    vapour_flow, condensate_flow : numpy.ndarray
        Ammonia that leaves the rectifier, and what of it condenses [kg/s].
    rich_gas_pressure : numpy.ndarray
        Pressure of the ammonia in the gas that comes to the absorber [Pa].
    freezer_coil_coldest, food_coil_coldest : numpy.ndarray
        What the coils would come to if there were ammonia enough [K].
    """

    absorber_temperature: np.ndarray
    vapour_flow: np.ndarray
    condensate_flow: np.ndarray
    rich_gas_pressure: np.ndarray
    freezer_coil_coldest: np.ndarray
    food_coil_coldest: np.ndarray


# The same as unknowns of which a change of one matters: temperatures of solution and air as 10 K above the
# ambient, flows over that at the rating, pressures in bar, temperatures of the coils in 10 K.
START = (1.8, 1.05, 1.0, 3.25, 24.8, 26.2)
"""Where the search begins: a unit that runs."""
LOWER = (0.0, 0.0, 0.0, 0.0001, 20.5, 20.5)
UPPER = (12.0, 6.0, 6.0, 15.0, 40.0, 40.0)
"""Between which the unknowns are looked for."""


def from_unknowns(x: np.ndarray, unit: Unit, ambient_temperature: np.ndarray) -> Settling:
    """Return what the unknowns stand for; `x` has shape (6, cases)."""
    return Settling(
        ambient_temperature + 10.0 * x[0],
        unit.design_vapour_flow * x[1],
        unit.design_vapour_flow * x[2],
        1e5 * x[3],
        10.0 * x[4],
        10.0 * x[5],
    )


def to_unknowns(then: Settling, unit: Unit, ambient_temperature: np.ndarray) -> tuple[np.ndarray, ...]:
    """Return the rows of unknowns that stand for this."""
    return (
        0.1 * (then.absorber_temperature - ambient_temperature),
        then.vapour_flow / unit.design_vapour_flow,
        then.condensate_flow / unit.design_vapour_flow,
        1e-5 * then.rich_gas_pressure,
        0.1 * then.freezer_coil_coldest,
        0.1 * then.food_coil_coldest,
    )


class Cycle(NamedTuple):
    """State of a cycle; arrays of shape (cases,).

    Attributes
    ----------
    pressure : numpy.ndarray
        The total pressure [Pa].
    boiler_temperature, absorber_temperature, condensing_temperature : numpy.ndarray
        [K].
    condensing_enthalpy : numpy.ndarray
        Heat that vapour gives off when it condenses [J/kg].
    freezer_coil_temperature, food_coil_temperature : numpy.ndarray
        Where ammonia evaporates [K].
    freezer_coil_coldest, food_coil_coldest : numpy.ndarray
        What the same would come to if there were ammonia enough [K].
    freezer_temperature, food_temperature : numpy.ndarray
        Of the compartments [K].
    circulation_ratio : numpy.ndarray
        Rich solution over vapour, by mass.
    rich_fraction, weak_fraction : numpy.ndarray
        Ammonia in the solution to and from the boiler [kg/kg].
    rich_gas_pressure, weak_gas_pressure : numpy.ndarray
        Pressure of the ammonia in the gas to and from the absorber [Pa].
    vapour_flow, condensate_flow : numpy.ndarray
        Ammonia that leaves the rectifier, and what of it condensed on the last round [kg/s].
    pumping : numpy.ndarray
        Near 1 where the pump lifts, near 0 where it has stopped.
    heat_input, boiler_loss, rectifier_heat, condenser_heat, absorber_heat : numpy.ndarray
        [W], given off to the air but for the first.
    freezer_cooling, food_cooling : numpy.ndarray
        Heat taken out of the compartments [W].
    freezer_cooling_limit, food_cooling_limit : numpy.ndarray
        What could be taken out of them at most with the ammonia that condenses [W].
    """

    pressure: np.ndarray
    boiler_temperature: np.ndarray
    absorber_temperature: np.ndarray
    condensing_temperature: np.ndarray
    condensing_enthalpy: np.ndarray
    freezer_coil_temperature: np.ndarray
    food_coil_temperature: np.ndarray
    freezer_coil_coldest: np.ndarray
    food_coil_coldest: np.ndarray
    freezer_temperature: np.ndarray
    food_temperature: np.ndarray
    circulation_ratio: np.ndarray
    rich_fraction: np.ndarray
    weak_fraction: np.ndarray
    rich_gas_pressure: np.ndarray
    weak_gas_pressure: np.ndarray
    vapour_flow: np.ndarray
    condensate_flow: np.ndarray
    pumping: np.ndarray
    heat_input: np.ndarray
    boiler_loss: np.ndarray
    rectifier_heat: np.ndarray
    condenser_heat: np.ndarray
    absorber_heat: np.ndarray
    freezer_cooling: np.ndarray
    food_cooling: np.ndarray
    freezer_cooling_limit: np.ndarray
    food_cooling_limit: np.ndarray

    @property
    def capacity(self) -> np.ndarray:
        """Heat taken out of both compartments [W]."""
        return self.freezer_cooling + self.food_cooling

    @property
    def cop(self) -> np.ndarray:
        """Coefficient of performance: capacity over heat input; 0 without heat."""
        heat = np.asarray(self.heat_input, dtype=float)
        return np.divide(self.capacity, heat, out=np.zeros_like(self.capacity), where=heat > 0)


def cycle(
    now: Settling,
    unit: Unit,
    ambient_temperature: np.ndarray,
    freezer_surroundings: np.ndarray,
    food_surroundings: np.ndarray,
) -> Cycle:
    """Go once round the cycle, from the absorber to the coils.

    Parameters
    ----------
    now : Settling
        Where the search stands.
    unit : Unit
        The unit and its heat.
    ambient_temperature : array_like
        Of the air outside [K].
    freezer_surroundings, food_surroundings : array_like
        Temperatures round the compartments [K]; heat put into a compartment besides counts as
        surroundings warmer by that heat over its conductance.

    Returns
    -------
    Cycle
        Consistent in its heats whatever `now` is; steady where its flows, rich gas and coil are those of
        `now`.
    """
    pressure = total_pressure(now, unit, ambient_temperature)
    solution = _solution(now, unit)
    boiler = _boiler(now, unit, ambient_temperature, pressure, solution)
    weak_pressure = solution.weak_pressure + (1.0 - _P["absorber_gas_effectiveness"]) * (
        solution.gas_pressure - solution.weak_pressure
    )
    coils = _coils(
        now, unit, pressure, solution.gas_pressure, weak_pressure, freezer_surroundings, food_surroundings
    )
    condenser_heat = now.condensate_flow * boiler.condensing_enthalpy
    cooling = coils.freezer_cooling + coils.food_cooling
    absorber_heat = unit.heat_input - boiler.loss + cooling - condenser_heat - boiler.rectifier_heat
    return Cycle(
        pressure=pressure,
        boiler_temperature=boiler.temperature,
        absorber_temperature=now.absorber_temperature,
        condensing_temperature=boiler.condensing_temperature,
        condensing_enthalpy=boiler.condensing_enthalpy,
        freezer_coil_temperature=coils.freezer_temperature,
        food_coil_temperature=coils.food_temperature,
        freezer_coil_coldest=coils.freezer_coldest,
        food_coil_coldest=coils.food_coldest,
        freezer_temperature=freezer_surroundings - coils.freezer_cooling / unit.freezer_conductance,
        food_temperature=food_surroundings - coils.food_cooling / unit.food_conductance,
        circulation_ratio=solution.ratio,
        rich_fraction=solution.rich,
        weak_fraction=solution.weak,
        rich_gas_pressure=coils.gas_pressure,
        weak_gas_pressure=weak_pressure,
        vapour_flow=boiler.vapour_flow,
        condensate_flow=now.condensate_flow,
        pumping=boiler.pumping,
        heat_input=unit.heat_input,
        boiler_loss=boiler.loss,
        rectifier_heat=boiler.rectifier_heat,
        condenser_heat=condenser_heat,
        absorber_heat=absorber_heat,
        freezer_cooling=coils.freezer_cooling,
        food_cooling=coils.food_cooling,
        freezer_cooling_limit=coils.freezer_limit,
        food_cooling_limit=coils.food_limit,
    )


def total_pressure(now: Settling, unit: Unit, ambient_temperature: np.ndarray) -> np.ndarray:
    """Pressure in the unit while it runs [Pa].

    The charge's gas is taken half at the absorber's temperature and half 10 K above the ambient; vapour that
    doesn't condense drives the hydrogen together, by a fifth at most.
    """
    left_over = (now.vapour_flow - now.condensate_flow) / unit.design_vapour_flow
    left_over = np.minimum(np.maximum(left_over, 0.0), 1.0)
    warm = 0.5 * now.absorber_temperature + 0.5 * (ambient_temperature + 10.0)
    return unit.charge_pressure * warm / _CHARGING_TEMPERATURE * (1.0 + _P["pressure_rise"] * left_over)


class _Solution(NamedTuple):
    ratio: np.ndarray
    rich: np.ndarray
    weak: np.ndarray
    gas_pressure: np.ndarray
    weak_pressure: np.ndarray
    weak_enthalpy: np.ndarray
    rich_enthalpy: np.ndarray


def _solution(now, unit):
    """Solution to and from the boiler: what the pump lifts and what the absorber gives it."""
    threshold = _P["pump_threshold"]
    shortfall = threshold * unit.design_vapour_flow / np.maximum(now.vapour_flow, 1e-12)
    lifted = unit.circulation * (_P["circulation_ratio"] / (1.0 - threshold))
    returned = lifted * np.maximum(1.0 - shortfall, 0.0)  # weak solution for each unit of vapour
    ratio = 1.0 + returned
    # the charge holds too much ammonia for the absorber to become poorer than this
    poorest = _poorest()(now.absorber_temperature)
    gas_pressure = np.maximum(now.rich_gas_pressure, poorest)
    equilibrium = working_range.absorbed_fraction(now.absorber_temperature, gas_pressure)
    equilibrium = np.minimum(equilibrium, _RICH / _LIQUID)
    weak = (ratio * _LIQUID * equilibrium - 1.0) / np.maximum(returned - ratio * (1.0 - _LIQUID), 1e-3)
    weak = np.clip(weak, _P["weakest_solution"], 0.9 * equilibrium)
    rich = weak + _LIQUID * (equilibrium - weak)
    ratio = np.maximum(ratio, (1.0 - weak) / (rich - weak))
    weak_pressure, weak_enthalpy = working_range.pressure_and_enthalpy(now.absorber_temperature, weak)
    rich_enthalpy = working_range.solution_enthalpy(now.absorber_temperature, rich)
    return _Solution(ratio, rich, weak, gas_pressure, weak_pressure, weak_enthalpy, rich_enthalpy)


class _Boiler(NamedTuple):
    temperature: np.ndarray
    loss: np.ndarray
    vapour_flow: np.ndarray
    pumping: np.ndarray
    rectifier_heat: np.ndarray
    condensing_temperature: np.ndarray
    condensing_enthalpy: np.ndarray


def _boiler(now, unit, ambient_temperature, pressure, solution):
    """Boiler, solution heat exchanger and rectifier: how much vapour the heat makes."""
    log_pressure = np.log(pressure)
    hottest, hot_enthalpy = working_range.boiling_temperature_and_enthalpy(log_pressure, solution.weak)
    _, purity, liquid, vapour = working_range.boiling(log_pressure, solution.rich)
    raised = (1.0 - solution.rich) / (purity - solution.rich)  # vapour that rises for 1 that leaves
    rising = raised * vapour - (raised - 1.0) * liquid
    returned = solution.ratio - 1.0
    exchanged = _P["solution_exchanger_effectiveness"] * returned * (hot_enthalpy - solution.weak_enthalpy)
    needed = rising + returned * hot_enthalpy - solution.ratio * solution.rich_enthalpy - exchanged

    conductance = unit.boiler_loss_conductance
    temperature = np.minimum(hottest, ambient_temperature + unit.heat_input / conductance)
    loss = conductance * (temperature - ambient_temperature)
    net = unit.heat_input - loss
    made = net / needed
    over_threshold = made / (_P["pump_threshold"] * unit.design_vapour_flow)
    pumping = _logistic((over_threshold - _P["pump_stop"]) / _P["pump_stop_width"])
    still = _P["still_boiling"]
    slowed = np.where(unit.circulation < 1.0, still + (1.0 - still) * unit.circulation, 1.0)
    vapour_flow = made * pumping * slowed
    condensing_temperature, latent, dry = working_range.condensing(log_pressure)
    leaving = dry + _P["vapour_superheat"]
    # vapour that doesn't leave condenses in the rectifier and runs back
    rectifier_heat = vapour_flow * (rising - leaving) + (net - vapour_flow * needed)
    condensing_enthalpy = latent + _P["vapour_superheat"]
    return _Boiler(
        temperature, loss, vapour_flow, pumping, rectifier_heat, condensing_temperature, condensing_enthalpy
    )


class _Coils(NamedTuple):
    freezer_coldest: np.ndarray
    food_coldest: np.ndarray
    freezer_temperature: np.ndarray
    food_temperature: np.ndarray
    freezer_cooling: np.ndarray
    food_cooling: np.ndarray
    freezer_limit: np.ndarray
    food_limit: np.ndarray
    gas_pressure: np.ndarray


def _coils(now, unit, pressure, rich_pressure, weak_pressure, freezer_surroundings, food_surroundings):
    """Find where ammonia evaporates, first in the freezer and then in the food compartment."""
    gas = unit.gas_flow * np.sqrt(np.maximum(rich_pressure - weak_pressure, 1.0) / _P["gas_driving_pressure"])
    carried = _MOLAR_LATENT_HEAT * gas  # heat for a rise of 1 in moles of ammonia for each of hydrogen
    poor = weak_pressure / (pressure - weak_pressure)
    supply = _LATENT_HEAT * now.condensate_flow

    # the gas that comes in warm costs the freezer some of its cold
    warm_gas = _P["gas_molar_heat"] * (1.0 - _P["gas_exchanger_effectiveness"]) * gas
    coupling = _in_series(unit.freezer_conductance, unit.freezer_coil_conductance)
    slope = coupling + warm_gas
    offered = coupling * freezer_surroundings + warm_gas * now.absorber_temperature
    saturation = _P["freezer_saturation"]
    freezer_coldest = _newton(now.freezer_coil_coldest, pressure, saturation * carried, poor, slope, offered)
    share = _P["freezer_share"] * supply
    freezer = np.clip(freezer_coldest, (offered - share) / slope, offered / slope)
    evaporated = offered - slope * freezer
    freezer_cooling = coupling * (freezer_surroundings - freezer)
    freezer_limit = share - warm_gas * (now.absorber_temperature - freezer)

    richer = poor + evaporated / carried
    coupling = _in_series(unit.food_conductance, unit.food_coil_conductance)
    offered = coupling * food_surroundings
    food_coldest = _newton(now.food_coil_coldest, pressure, carried, richer, coupling, offered)
    left = supply - evaporated
    food = np.clip(food_coldest, food_surroundings - left / coupling, food_surroundings)
    food_cooling = coupling * (food_surroundings - food)

    richest = richer + food_cooling / carried
    gas_pressure = pressure * richest / (1.0 + richest)
    return _Coils(
        freezer_coldest,
        food_coldest,
        freezer,
        food,
        freezer_cooling,
        food_cooling,
        freezer_limit,
        left,
        gas_pressure,
    )


def _newton(coil, pressure, carried, before, slope, offered):
    """Bring a coil nearer to where evaporation takes up the heat ``offered - slope T``."""
    saturated, rise = working_range.coil_pressure(coil)
    saturated = np.minimum(saturated, 0.9 * pressure)
    hydrogen = pressure - saturated
    surplus = carried * (saturated / hydrogen - before) + slope * coil - offered
    steepness = carried * pressure / (hydrogen * hydrogen) * rise + slope
    return np.minimum(np.maximum(coil - surplus / steepness, 10.0 * LOWER[-1]), 10.0 * UPPER[-1])


def condensed(
    state: Cycle,
    unit: Unit,
    condenser_air_temperature: np.ndarray,
    fin_capacity_flow: np.ndarray,
    fin_speed: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """What the condenser makes of the vapour.

    Parameters
    ----------
    state : Cycle
        Vapour, condensing temperature and pressure.
    unit : Unit
        The unit.
    condenser_air_temperature : array_like
        Of the air before the fins [K].
    fin_capacity_flow : array_like
        Heat capacity of the air that passes between the fins [W/K].
    fin_speed : array_like
        Its speed there [m/s].

    Returns
    -------
    condensate_flow, most : numpy.ndarray
        What condenses, and what the air could take at most [kg/s]; less than that near where both are the
        same.
    """
    still = _P["condenser_still_share"]
    with_speed = still + (1.0 - still) * np.sqrt(fin_speed / _P["condenser_air_speed"])
    conductance = unit.condenser_conductance * with_speed
    taken = fin_capacity_flow * -np.expm1(-conductance / fin_capacity_flow)
    most = taken * (state.condensing_temperature - condenser_air_temperature) / state.condensing_enthalpy
    width = _P["condensing_limit_width"] * unit.design_vapour_flow
    apart = np.abs(state.vapour_flow - most) / width
    softened = np.minimum(state.vapour_flow, most) - width * np.log1p(np.exp(-apart))
    return np.maximum(softened, 0.0), most


def _in_series(first, second):
    return 1.0 / (1.0 / first + 1.0 / second)


def _logistic(x):
    return 1.0 / (1.0 + np.exp(-np.clip(x, -60.0, 60.0)))


def steady_cycle(
    unit: Unit,
    ambient_temperature: ArrayLike,
    *,
    absorber_air_temperature: ArrayLike,
    condenser_air_temperature: ArrayLike,
    fin_capacity_flow: ArrayLike,
    fin_speed: ArrayLike,
    freezer_surroundings: ArrayLike,
    food_surroundings: ArrayLike,
) -> tuple[Cycle, np.ndarray, np.ndarray]:
    """Return the steady cycle of a unit in air of given temperatures, as on a test bench.

    Parameters
    ----------
    unit : Unit
        The unit and its heat.
    ambient_temperature, absorber_air_temperature, condenser_air_temperature : array_like
        Of the air outside, round the absorber and before the condenser [K].
    fin_capacity_flow, fin_speed : array_like
        Of the air between the condenser's fins [W/K], [m/s].
    freezer_surroundings, food_surroundings : array_like
        Round the compartments [K].

    Returns
    -------
    state : Cycle
        Arrays of the shape to which all arguments broadcast.
    condensing_limit : numpy.ndarray
        What the condenser could condense at most [kg/s].
    converged : numpy.ndarray of bool
        Whether the search ended.
    """
    air = (
        ambient_temperature,
        absorber_air_temperature,
        condenser_air_temperature,
        fin_capacity_flow,
        fin_speed,
        freezer_surroundings,
        food_surroundings,
    )
    everything = np.broadcast_arrays(*unit, *air)
    shape = everything[0].shape
    flat = [np.ascontiguousarray(array, dtype=float).ravel() for array in everything]
    bench = _Bench(Unit(*flat[: len(unit)]), *flat[len(unit) :])
    cases = flat[0].size
    start = np.repeat(np.array(START)[:, np.newaxis], cases, axis=1)
    bounds = (np.array(values)[:, np.newaxis] for values in (LOWER, UPPER))
    found = fixed_point.solve(fixed_point.Problem(_on_bench, bench, start, *bounds))
    now = from_unknowns(found.x, bench.unit, bench.ambient)
    state = cycle(now, bench.unit, bench.ambient, bench.freezer_surroundings, bench.food_surroundings)
    _, most = condensed(state, bench.unit, bench.condenser_air, bench.fin_capacity_flow, bench.fin_speed)
    shaped = Cycle(*(np.broadcast_to(array, cases).reshape(shape) for array in state))
    return shaped, most.reshape(shape), found.converged.reshape(shape)


class _Bench(NamedTuple):
    unit: Unit
    ambient: np.ndarray
    absorber_air: np.ndarray
    condenser_air: np.ndarray
    fin_capacity_flow: np.ndarray
    fin_speed: np.ndarray
    freezer_surroundings: np.ndarray
    food_surroundings: np.ndarray


def _on_bench(x, bench):
    now = from_unknowns(x, bench.unit, bench.ambient)
    state = cycle(now, bench.unit, bench.ambient, bench.freezer_surroundings, bench.food_surroundings)
    condensate, _ = condensed(
        state, bench.unit, bench.condenser_air, bench.fin_capacity_flow, bench.fin_speed
    )
    then = settled(state, bench.unit, bench.absorber_air, condensate)
    return np.array(to_unknowns(then, bench.unit, bench.ambient))


def settled(
    state: Cycle, unit: Unit, absorber_air_temperature: np.ndarray, condensate_flow: np.ndarray
) -> Settling:
    """Where the search stands after a round: what the next one starts from."""
    return Settling(
        absorber_air_temperature + state.absorber_heat / unit.absorber_conductance,
        state.vapour_flow,
        condensate_flow,
        state.rich_gas_pressure,
        state.freezer_coil_coldest,
        state.food_coil_coldest,
    )
