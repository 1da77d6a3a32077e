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
...     food_coil_conductance=3.4, partition_conductance=0.4, pressure_rise=0.2, pump_threshold=0.4,
...     pump_bend=1.0, wetting_exponent=1.6, freezer_share=0.62, condensing_limit_width=0.15,
...     condenser_still_share=0.35)
>>> now = from_unknowns(np.array(START)[:, np.newaxis], unit, 300.0)
>>> state = cycle(now, unit, 300.0, 302.0, 302.0)
>>> condensate, _ = condensed(state, unit, 310.0, 12.0, 0.4)
>>> then = settled(now, state, unit, 305.0, condensate)
>>> round(float(state.boiler_temperature[0]) - 273.15), round(float(condensate[0]) * 3.6e6)
(175, 237)
>>> bool(then.absorber_temperature < now.absorber_temperature)
True
"""

from collections.abc import Callable
from functools import cache
from typing import NamedTuple

import numpy as np

from warmside.arrays import Floats
from warmside.data import load
from warmside.model.bubble_pump import pump_lift
from warmside.model.cycle_state import COLDEST, Cycle, Settling, Unit
from warmside.properties import ammonia, working_range

_P = load("parameters").number
_POOR, _RICH = load("parameters").numbers("equilibrium_fractions")
_LIQUID = _P("absorber_liquid_effectiveness")
_LATENT_HEAT = float(ammonia.latent_heat(_P("evaporation_temperature")))  # J/kg
_MOLAR_LATENT_HEAT = _LATENT_HEAT * ammonia.MOLAR_MASS  # J/mol
_ABSORBER_TRANSFER = -np.log(1.0 - _P("absorber_gas_effectiveness"))  # units of transfer at the rating
_LEAST_DRIVING = 100.0  # Pa; makes the gas carry a milliwatt, and keeps its root from growing too steep
_CONDENSATE_STEP = 0.9  # of the way, since it overshoots near the condenser's limit


@cache
def _poorest() -> Callable[[np.ndarray], np.ndarray]:
    return working_range.solution_pressure_of(_POOR)


def cycle(
    now: Settling,
    unit: Unit,
    ambient_temperature: Floats,
    freezer_surroundings: Floats,
    food_surroundings: Floats,
    duty: Floats = 1.0,
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
        Temperatures round the compartments [K].
    duty : float or numpy.ndarray
        Part of the time that the unit runs. The cycle is that of a unit that runs, in compartments as cold as
        that makes them.

    Returns
    -------
    Cycle
        Consistent in its heats whatever `now` is; steady where its flows, rich gas and coil are those of
        `now`.
    """
    pressure = _total_pressure(now, unit, ambient_temperature)
    solution = _solution(now)
    boiler = _boiler(now, unit, ambient_temperature, pressure, solution)
    # less solution wets less of the absorber
    wetted = np.maximum(boiler.lift, _P("least_wetting")) ** unit.wetting_exponent
    weak_pressure = solution.weak_pressure + np.exp(-_ABSORBER_TRANSFER * wetted) * (
        solution.gas_pressure - solution.weak_pressure
    )
    freezer_side = _side(
        unit.freezer_conductance, freezer_surroundings, unit.partition_conductance, now.food_temperature, duty
    )
    coils = _coils(now, unit, pressure, weak_pressure, freezer_side, food_surroundings, duty)
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
        freezer_temperature=coils.freezer_box,
        food_temperature=coils.food_box,
        circulation_ratio=solution.ratio,
        rich_fraction=solution.rich,
        weak_fraction=solution.weak,
        rich_gas_pressure=coils.gas_pressure,
        weak_gas_pressure=weak_pressure,
        vapour_flow=boiler.vapour_flow,
        condensate_flow=now.condensate_flow,
        lift=boiler.lift,
        spread=solution.equilibrium - boiler.weak,
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
    return unit.charge_pressure * warm / _P("charging_temperature") * (1.0 + unit.pressure_rise * left_over)


class _Solution(NamedTuple):
    ratio: Floats
    rich: Floats
    weak: Floats
    equilibrium: Floats
    gas_pressure: Floats
    weak_pressure: Floats
    weak_enthalpy: Floats
    rich_enthalpy: Floats


def _solution(now):
    """Solution to and from the boiler: what the absorber gives it."""
    # the charge holds too much ammonia for the absorber to become poorer than this
    poorest = _poorest()(now.absorber_temperature)
    gas_pressure = np.maximum(now.rich_gas_pressure, poorest)
    equilibrium = working_range.absorbed_fraction(now.absorber_temperature, gas_pressure)
    equilibrium = np.minimum(equilibrium, _RICH / _LIQUID)
    weak = _between_poorest_and_equilibrium(equilibrium - now.spread, equilibrium)
    rich = weak + _LIQUID * (equilibrium - weak)
    ratio = (1.0 - weak) / (rich - weak)  # ammonia is kept
    weak_pressure, weak_enthalpy = working_range.pressure_and_enthalpy(now.absorber_temperature, weak)
    rich_enthalpy = working_range.solution_enthalpy(now.absorber_temperature, rich)
    return _Solution(
        ratio, rich, weak, equilibrium, gas_pressure, weak_pressure, weak_enthalpy, rich_enthalpy
    )


def _between_poorest_and_equilibrium(weak, equilibrium):
    return np.clip(weak, _P("weakest_solution"), _P("weak_over_equilibrium") * equilibrium)


class _Boiler(NamedTuple):
    temperature: Floats
    loss: Floats
    vapour_flow: Floats
    lift: Floats
    weak: Floats
    rectifier_heat: Floats
    condensing_temperature: Floats
    condensing_enthalpy: Floats


def _boiler(now, unit, ambient_temperature, pressure, solution):
    """Boiler, pump, solution heat exchanger and rectifier: how much vapour the heat makes."""
    log_pressure = np.log(pressure)
    hottest, hot_enthalpy = working_range.boiling_temperature_and_enthalpy(log_pressure, solution.weak)
    coolest, purity, liquid, vapour = working_range.boiling(log_pressure, solution.rich)
    raised = (1.0 - solution.rich) / (purity - solution.rich)  # vapour that rises for 1 that leaves
    rising = raised * vapour - (raised - 1.0) * liquid
    returned = solution.ratio - 1.0
    exchanged = _P("solution_exchanger_effectiveness") * returned * (hot_enthalpy - solution.weak_enthalpy)
    needed = rising + returned * hot_enthalpy - solution.ratio * solution.rich_enthalpy - exchanged

    conductance = unit.boiler_loss_conductance
    # the solution begins to boil where it comes in, and is hottest where it leaves
    mean = np.minimum(0.5 * (coolest + hottest), ambient_temperature + unit.heat_input / conductance)
    temperature = np.minimum(np.maximum(mean, 2.0 * mean - coolest), hottest)
    loss = conductance * (mean - ambient_temperature)
    net = unit.heat_input - loss
    pumping = net / (_P("pump_heat") * unit.design_vapour_flow)
    lift = unit.circulation * pump_lift(pumping, unit.pump_threshold, unit.pump_bend)
    lifted = _P("circulation_ratio") * unit.design_vapour_flow * lift  # weak solution
    by_heat = net / needed
    vapour_flow = np.minimum(by_heat, lifted / returned)
    # the weak solution that this heat makes of what is lifted
    ratio = 1.0 + lifted / np.maximum(by_heat, 1e-9 * unit.design_vapour_flow)
    weak = (ratio * _LIQUID * solution.equilibrium - 1.0) / np.maximum(
        ratio - 1.0 - ratio * (1.0 - _LIQUID), 1e-3
    )
    weak = _between_poorest_and_equilibrium(weak, solution.equilibrium)
    condensing_temperature, latent, dry = working_range.condensing(log_pressure)
    leaving = dry + _P("vapour_superheat")
    # vapour that doesn't leave condenses in the rectifier and runs back
    rectifier_heat = vapour_flow * (rising - leaving) + (net - vapour_flow * needed)
    return _Boiler(
        temperature,
        loss,
        vapour_flow,
        lift,
        weak,
        rectifier_heat,
        condensing_temperature,
        latent + _P("vapour_superheat"),
    )


class _Side(NamedTuple):
    """What a compartment exchanges heat with."""

    around: Floats  # its temperature without a coil [K]
    resistance: Floats  # how much colder a coil makes it, for each W while the unit runs [K/W]


def _side(walls, surroundings, partition, other_compartment, duty):
    both = walls + partition
    return _Side((walls * surroundings + partition * other_compartment) / both, duty / both)


class _Coils(NamedTuple):
    freezer_box: Floats
    food_box: Floats
    freezer_coldest: Floats
    food_coldest: Floats
    freezer_temperature: Floats
    food_temperature: Floats
    freezer_cooling: Floats
    food_cooling: Floats
    freezer_limit: Floats
    food_limit: Floats
    gas_pressure: Floats


def _coils(now, unit, pressure, weak_pressure, freezer_side, food_surroundings, duty):
    """Find where ammonia evaporates, first in the freezer and then in the food compartment."""
    # hydrogen goes round as ammonia makes it heavy, and the more of it the denser it is
    driving = np.sqrt(
        np.maximum(now.rich_gas_pressure - weak_pressure, _LEAST_DRIVING) / _P("gas_driving_pressure")
    )
    gas = unit.gas_flow * driving * (pressure / _P("gas_reference_pressure"))
    carried = _MOLAR_LATENT_HEAT * gas  # heat for a rise of 1 in moles of ammonia for each of hydrogen
    poor = weak_pressure / (pressure - weak_pressure)
    supply = _LATENT_HEAT * now.condensate_flow

    # the gas that comes in warm costs the freezer some of its cold; slow gas is exchanged better
    units = _P("gas_exchanger_effectiveness") / (1.0 - _P("gas_exchanger_effectiveness"))  # of transfer
    warm_gas = _P("gas_molar_heat") * gas * (driving / (driving + units))
    around, resistance = freezer_side
    coupling = 1.0 / (resistance + 1.0 / unit.freezer_coil_conductance)
    slope = coupling + warm_gas
    offered = coupling * around + warm_gas * now.absorber_temperature
    saturation = _P("freezer_saturation")
    freezer_coldest = _newton(now.freezer_coil_coldest, pressure, saturation * carried, poor, slope, offered)
    share = unit.freezer_share * supply
    evaporated = np.clip(offered - slope * freezer_coldest, 0.0, share)
    freezer = np.minimum((offered - evaporated) / slope, around)
    freezer_cooling = coupling * (around - freezer)
    freezer_limit = share - (evaporated - freezer_cooling)
    freezer_box = around - resistance * freezer_cooling

    richer = poor + evaporated / carried
    around, resistance = _side(
        unit.food_conductance, food_surroundings, unit.partition_conductance, freezer_box, duty
    )
    coupling = 1.0 / (resistance + 1.0 / unit.food_coil_conductance)
    offered = coupling * around
    food_coldest = _newton(now.food_coil_coldest, pressure, carried, richer, coupling, offered)
    left = supply - evaporated
    food = np.clip(food_coldest, around - left / coupling, around)
    food_cooling = coupling * (around - food)
    food_box = around - resistance * food_cooling

    richest = richer + food_cooling / carried
    gas_pressure = pressure * richest / (1.0 + richest)
    coldest, temperatures = (freezer_coldest, food_coldest), (freezer, food)
    cooling, limits = (freezer_cooling, food_cooling), (freezer_limit, left)
    return _Coils(freezer_box, food_box, *coldest, *temperatures, *cooling, *limits, gas_pressure)


def _newton(coil, pressure, carried, before, slope, offered):
    """Bring a coil nearer to where evaporation takes up the heat ``offered - slope T``."""
    saturated, rise = working_range.coil_pressure(coil)
    saturated = np.minimum(saturated, 0.9 * pressure)  # keeps a search that strays from no hydrogen at all
    hydrogen = pressure - saturated
    surplus = carried * (saturated / hydrogen - before) + slope * coil - offered
    steepness = carried * pressure / (hydrogen * hydrogen) * rise + slope
    # without ammonia a coil is as warm as what is round it, and never warmer
    return np.minimum(np.maximum(coil - surplus / steepness, COLDEST), offered / slope)


def pumping_heat(state: Cycle, unit: Unit) -> Floats:
    """Heat that makes the pump's bubbles, over that at the rating.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> unit = SimpleNamespace(design_vapour_flow=5.8e-5)
    >>> state = SimpleNamespace(heat_input=325.0, boiler_loss=100.0)
    >>> round(float(pumping_heat(state, unit)), 2)
    1.01
    """
    return (state.heat_input - state.boiler_loss) / (_P("pump_heat") * unit.design_vapour_flow)


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
    still = unit.condenser_still_share
    with_speed = still + (1.0 - still) * np.sqrt(fin_speed / _P("condenser_air_speed"))
    conductance = unit.condenser_conductance * with_speed
    taken = fin_capacity_flow * -np.expm1(-conductance / fin_capacity_flow)
    most = taken * (state.condensing_temperature - condenser_air_temperature) / state.condensing_enthalpy
    width = unit.condensing_limit_width * unit.design_vapour_flow
    apart = np.abs(state.vapour_flow - most) / width
    softened = np.minimum(state.vapour_flow, most) - width * np.log1p(np.exp(-apart))
    return np.maximum(softened, 0.0), most


def settled(
    now: Settling, state: Cycle, unit: Unit, absorber_air_temperature: Floats, condensate_flow: Floats
) -> Settling:
    """Where the search stands after a round from `now`: what the next one starts from."""
    # what the gas takes up goes with the inverse root of what drives it: between both lies the balance
    before = np.maximum(now.rich_gas_pressure - state.weak_gas_pressure, _LEAST_DRIVING)
    after = np.maximum(state.rich_gas_pressure - state.weak_gas_pressure, _LEAST_DRIVING)
    driving = after * np.sqrt(np.sqrt(before / after))
    return Settling(
        absorber_air_temperature + state.absorber_heat / unit.absorber_conductance,
        state.vapour_flow,
        state.condensate_flow + _CONDENSATE_STEP * (condensate_flow - state.condensate_flow),
        state.spread,
        state.weak_gas_pressure + driving,
        state.freezer_coil_coldest,
        state.food_coil_coldest,
        state.food_temperature,
    )
