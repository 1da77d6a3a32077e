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

Examples
--------
A unit of eight cubic feet in air of 27 °C, once round from where the search begins: how warm its boiler is
[°C], what condenses [g/h], and whether the next round begins with a cooler absorber.

>>> from warmside.model.cycle_state import START, from_unknowns
>>> unit = Unit(
...     heat_input=325.0, charge_pressure=25e5, circulation=1.0, design_vapour_flow=5.8e-5, gas_flow=0.04,
...     absorber_conductance=18.0, condenser_conductance=13.0, boiler_loss_conductance=0.7,
...     freezer_conductance=0.4, food_conductance=0.95, freezer_coil_conductance=4.0,
...     food_coil_conductance=3.4)
>>> now = from_unknowns(np.array(START)[:, np.newaxis], unit, 300.0)
>>> state = cycle(now, unit, 300.0, 302.0, 302.0)
>>> condensate, _ = condensed(state, unit, 310.0, 12.0, 0.4)
>>> then = settled(state, unit, 305.0, condensate)
>>> round(float(state.boiler_temperature[0]) - 273.15), round(float(condensate[0]) * 3.6e6)
(175, 239)
>>> bool(then.absorber_temperature < now.absorber_temperature)
True
"""

from collections.abc import Callable
from functools import cache
from typing import NamedTuple

import numpy as np

from warmside.arrays import Floats
from warmside.data import load
from warmside.model.cycle_state import LOWER, UPPER, Cycle, Settling, Unit
from warmside.properties import ammonia, working_range

_P = load("parameters").number
_POOR, _RICH = load("parameters").numbers("equilibrium_fractions")
_LIQUID = _P("absorber_liquid_effectiveness")
_LATENT_HEAT = float(ammonia.latent_heat(_P("evaporation_temperature")))  # J/kg
_MOLAR_LATENT_HEAT = _LATENT_HEAT * ammonia.MOLAR_MASS  # J/mol


@cache
def _poorest() -> Callable[[np.ndarray], np.ndarray]:
    return working_range.solution_pressure_of(_POOR)


def cycle(
    now: Settling,
    unit: Unit,
    ambient_temperature: Floats,
    freezer_surroundings: Floats,
    food_surroundings: Floats,
) -> Cycle:
    """Go once round the cycle, from the absorber to the coils.

    Parameters
    ----------
    now : Settling
        Where the search stands.
    unit : Unit
        The unit and its heat.
    ambient_temperature : float or numpy.ndarray
        Of the air outside [K].
    freezer_surroundings, food_surroundings : float or numpy.ndarray
        Temperatures round the compartments [K]; heat put into a compartment besides counts as
        surroundings warmer by that heat over its conductance.

    Returns
    -------
    Cycle
        Consistent in its heats whatever `now` is; steady where its flows, rich gas and coil are those of
        `now`.
    """
    pressure = _total_pressure(now, unit, ambient_temperature)
    solution = _solution(now, unit)
    boiler = _boiler(now, unit, ambient_temperature, pressure, solution)
    weak_pressure = solution.weak_pressure + (1.0 - _P("absorber_gas_effectiveness")) * (
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


def _total_pressure(now: Settling, unit: Unit, ambient_temperature: Floats) -> Floats:
    """Pressure in the unit while it runs [Pa].

    The charge's gas is taken half at the absorber's temperature and half 10 K above the ambient; vapour that
    doesn't condense drives the hydrogen together, by a fifth at most.
    """
    left_over = (now.vapour_flow - now.condensate_flow) / unit.design_vapour_flow
    left_over = np.minimum(np.maximum(left_over, 0.0), 1.0)
    share = _P("warm_gas_share")
    warm = share * now.absorber_temperature + (1.0 - share) * (ambient_temperature + _P("cool_gas_rise"))
    return unit.charge_pressure * warm / _P("charging_temperature") * (1.0 + _P("pressure_rise") * left_over)


class _Solution(NamedTuple):
    ratio: Floats
    rich: Floats
    weak: Floats
    gas_pressure: Floats
    weak_pressure: Floats
    weak_enthalpy: Floats
    rich_enthalpy: Floats


def _solution(now, unit):
    """Solution to and from the boiler: what the pump lifts and what the absorber gives it."""
    threshold = _P("pump_threshold")
    shortfall = threshold * unit.design_vapour_flow / np.maximum(now.vapour_flow, 1e-12)
    lifted = unit.circulation * (_P("circulation_ratio") / (1.0 - threshold))
    returned = lifted * np.maximum(1.0 - shortfall, 0.0)  # weak solution for each unit of vapour
    ratio = 1.0 + returned
    # the charge holds too much ammonia for the absorber to become poorer than this
    poorest = _poorest()(now.absorber_temperature)
    gas_pressure = np.maximum(now.rich_gas_pressure, poorest)
    equilibrium = working_range.absorbed_fraction(now.absorber_temperature, gas_pressure)
    equilibrium = np.minimum(equilibrium, _RICH / _LIQUID)
    weak = (ratio * _LIQUID * equilibrium - 1.0) / np.maximum(returned - ratio * (1.0 - _LIQUID), 1e-3)
    weak = np.clip(weak, _P("weakest_solution"), _P("weak_over_equilibrium") * equilibrium)
    rich = weak + _LIQUID * (equilibrium - weak)
    ratio = np.maximum(ratio, (1.0 - weak) / (rich - weak))
    weak_pressure, weak_enthalpy = working_range.pressure_and_enthalpy(now.absorber_temperature, weak)
    rich_enthalpy = working_range.solution_enthalpy(now.absorber_temperature, rich)
    return _Solution(ratio, rich, weak, gas_pressure, weak_pressure, weak_enthalpy, rich_enthalpy)


class _Boiler(NamedTuple):
    temperature: Floats
    loss: Floats
    vapour_flow: Floats
    pumping: Floats
    rectifier_heat: Floats
    condensing_temperature: Floats
    condensing_enthalpy: Floats


def _boiler(now, unit, ambient_temperature, pressure, solution):
    """Boiler, solution heat exchanger and rectifier: how much vapour the heat makes."""
    log_pressure = np.log(pressure)
    hottest, hot_enthalpy = working_range.boiling_temperature_and_enthalpy(log_pressure, solution.weak)
    _, purity, liquid, vapour = working_range.boiling(log_pressure, solution.rich)
    raised = (1.0 - solution.rich) / (purity - solution.rich)  # vapour that rises for 1 that leaves
    rising = raised * vapour - (raised - 1.0) * liquid
    returned = solution.ratio - 1.0
    exchanged = _P("solution_exchanger_effectiveness") * returned * (hot_enthalpy - solution.weak_enthalpy)
    needed = rising + returned * hot_enthalpy - solution.ratio * solution.rich_enthalpy - exchanged

    conductance = unit.boiler_loss_conductance
    temperature = np.minimum(hottest, ambient_temperature + unit.heat_input / conductance)
    loss = conductance * (temperature - ambient_temperature)
    net = unit.heat_input - loss
    made = net / needed
    over_threshold = made / (_P("pump_threshold") * unit.design_vapour_flow)
    pumping = _logistic((over_threshold - _P("pump_stop")) / _P("pump_stop_width"))
    still = _P("still_boiling")
    slowed = np.where(unit.circulation < 1.0, still + (1.0 - still) * unit.circulation, 1.0)
    vapour_flow = made * pumping * slowed
    condensing_temperature, latent, dry = working_range.condensing(log_pressure)
    leaving = dry + _P("vapour_superheat")
    # vapour that doesn't leave condenses in the rectifier and runs back
    rectifier_heat = vapour_flow * (rising - leaving) + (net - vapour_flow * needed)
    condensing_enthalpy = latent + _P("vapour_superheat")
    return _Boiler(
        temperature, loss, vapour_flow, pumping, rectifier_heat, condensing_temperature, condensing_enthalpy
    )


class _Coils(NamedTuple):
    freezer_coldest: Floats
    food_coldest: Floats
    freezer_temperature: Floats
    food_temperature: Floats
    freezer_cooling: Floats
    food_cooling: Floats
    freezer_limit: Floats
    food_limit: Floats
    gas_pressure: Floats


def _coils(now, unit, pressure, rich_pressure, weak_pressure, freezer_surroundings, food_surroundings):
    """Find where ammonia evaporates, first in the freezer and then in the food compartment."""
    gas = unit.gas_flow * np.sqrt(np.maximum(rich_pressure - weak_pressure, 1.0) / _P("gas_driving_pressure"))
    carried = _MOLAR_LATENT_HEAT * gas  # heat for a rise of 1 in moles of ammonia for each of hydrogen
    poor = weak_pressure / (pressure - weak_pressure)
    supply = _LATENT_HEAT * now.condensate_flow

    # the gas that comes in warm costs the freezer some of its cold
    warm_gas = _P("gas_molar_heat") * (1.0 - _P("gas_exchanger_effectiveness")) * gas
    coupling = _in_series(unit.freezer_conductance, unit.freezer_coil_conductance)
    slope = coupling + warm_gas
    offered = coupling * freezer_surroundings + warm_gas * now.absorber_temperature
    saturation = _P("freezer_saturation")
    freezer_coldest = _newton(now.freezer_coil_coldest, pressure, saturation * carried, poor, slope, offered)
    share = _P("freezer_share") * supply
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
    saturated = np.minimum(saturated, 0.9 * pressure)  # keeps a search that strays from no hydrogen at all
    hydrogen = pressure - saturated
    surplus = carried * (saturated / hydrogen - before) + slope * coil - offered
    steepness = carried * pressure / (hydrogen * hydrogen) * rise + slope
    return np.minimum(np.maximum(coil - surplus / steepness, 10.0 * LOWER[-1]), 10.0 * UPPER[-1])


def condensed(
    state: Cycle,
    unit: Unit,
    condenser_air_temperature: Floats,
    fin_capacity_flow: Floats,
    fin_speed: Floats,
) -> tuple[Floats, Floats]:
    """What the condenser makes of the vapour.

    Parameters
    ----------
    state : Cycle
        Vapour, condensing temperature and pressure.
    unit : Unit
        The unit.
    condenser_air_temperature : float or numpy.ndarray
        Of the air before the fins [K].
    fin_capacity_flow : float or numpy.ndarray
        Heat capacity of the air that passes between the fins [W/K].
    fin_speed : float or numpy.ndarray
        Its speed there [m/s].

    Returns
    -------
    condensate_flow, most : numpy.ndarray
        What condenses, and what the air could take at most [kg/s]; less than that near where both are the
        same.
    """
    still = _P("condenser_still_share")
    with_speed = still + (1.0 - still) * np.sqrt(fin_speed / _P("condenser_air_speed"))
    conductance = unit.condenser_conductance * with_speed
    taken = fin_capacity_flow * -np.expm1(-conductance / fin_capacity_flow)
    most = taken * (state.condensing_temperature - condenser_air_temperature) / state.condensing_enthalpy
    width = _P("condensing_limit_width") * unit.design_vapour_flow
    apart = np.abs(state.vapour_flow - most) / width
    softened = np.minimum(state.vapour_flow, most) - width * np.log1p(np.exp(-apart))
    return np.maximum(softened, 0.0), most


def _in_series(first, second):
    return 1.0 / (1.0 / first + 1.0 / second)


def _logistic(x):
    return 1.0 / (1.0 + np.exp(-np.clip(x, -60.0, 60.0)))


def settled(state: Cycle, unit: Unit, absorber_air_temperature: Floats, condensate_flow: Floats) -> Settling:
    """Where the search stands after a round: what the next one starts from."""
    return Settling(
        absorber_air_temperature + state.absorber_heat / unit.absorber_conductance,
        state.vapour_flow,
        condensate_flow,
        state.rich_gas_pressure,
        state.freezer_coil_coldest,
        state.food_coil_coldest,
    )
