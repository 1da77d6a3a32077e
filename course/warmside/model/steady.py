"""The refrigerator in its enclosure when everything has settled: unit and air path solved together."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from warmside.arrays import Floats
from warmside.data import load
from warmside.model import cooling_unit, cycle_state, enclosure, fixed_point, level, wind
from warmside.model.checks import check_number
from warmside.model.cycle_state import Cycle, Unit, from_unknowns, to_unknowns
from warmside.model.enclosure import AirPath, Surroundings
from warmside.model.installation import Installation

_P = load("parameters").number
# unknowns: those of the cooling unit, how far above the ambient the air before and above the condenser is,
# and, with a thermostat, for what part of the time the unit runs
_START, _STANDING, _DRIVEN, _LOWER, _UPPER = (
    np.array([*unit, *air])[:, np.newaxis]
    for unit, air in (
        (cycle_state.START, (1.4, 1.8, 1.0)),
        (cycle_state.STANDING, (0.2, 0.3, 1.0)),
        (cycle_state.DRIVEN, (3.0, 4.0, 0.1)),
        (cycle_state.LOWER, (-0.5, -0.5, 0.0)),
        (cycle_state.UPPER, (20.0, 25.0, 1.0)),
    )
)
_LITTLE_LIFT = 0.35  # over that at the rating, below which a second state is looked for
_HARDLY_LIFTS = 0.09  # below which that isn't one of a unit that is driven harder
_ROUGHLY = 1e-4  # to which a second state is looked for
_APART = 0.02  # K between compartments of states that count as two
_AIR, _DUTY = slice(8, 10), 10
_NEVER = 0.0  # K; the setting of a unit that runs all the time
_ALWAYS = 1.0 - 1e-6  # of the time
_LEAST_TAKEN = 1e-3  # W; a coil that takes nothing runs all the time where heat comes in
_SHUT_FINS = 1e-6  # of the way between the fins where dirt has shut it all
AMBIENT_RANGE = load("parameters").numbers("ambient_range")
"""Ambient temperatures that the model takes [K]."""


@dataclass(frozen=True, eq=False)
class State:
    """What a refrigerator does when everything has settled.

    All fields are arrays of the shape to which installation and ambient broadcast, in SI units.

    Attributes
    ----------
    food_temperature, freezer_temperature : numpy.ndarray
        Of the compartments [K]; what they come to on average where a thermostat stops the unit.
    air_flow : numpy.ndarray
        Air through the enclosure [m³/s].
    inlet_air_temperature, condenser_air_temperature, outlet_air_temperature : numpy.ndarray
        At the lower vent, before and above the condenser [K].
    surround_temperature, freezer_surround_temperature : numpy.ndarray
        Weighted round the food compartment and round the freezer [K].
    side_air_temperature, pocket_air_temperature : numpy.ndarray
        In the gaps at the sides and in the space over the top [K].
    boiler_temperature, absorber_temperature, condensing_temperature : numpy.ndarray
        [K].
    freezer_coil_temperature, food_coil_temperature : numpy.ndarray
        Where ammonia evaporates [K].
    freezer_coil_coldest, food_coil_coldest : numpy.ndarray
        What the same would come to if there were ammonia enough [K].
    pressure : numpy.ndarray
        Total pressure in the unit [Pa].
    rich_gas_pressure, weak_gas_pressure : numpy.ndarray
        Pressure of ammonia in the gas to and from the absorber [Pa].
    rich_fraction, weak_fraction : numpy.ndarray
        Ammonia in the solution to and from the boiler [kg/kg].
    circulation_ratio : numpy.ndarray
        Rich solution over vapour, by mass.
    vapour_flow, condensate_flow : numpy.ndarray
        Ammonia that leaves the rectifier, and what of it condenses [kg/s].
    condensing_reserve : numpy.ndarray
        What the condenser could condense at most over the vapour there is; near 1 and below it, the unit is
        at the cliff. inf without vapour.
    heat_input : numpy.ndarray
        Heat that reaches the boiler [W].
    boiler_loss, rectifier_heat, condenser_heat, absorber_heat, flue_heat : numpy.ndarray
        Heat given off to the enclosure's air [W].
    freezer_cooling, food_cooling : numpy.ndarray
        Heat taken out of the compartments [W].
    capacity : numpy.ndarray
        Both together [W].
    freezer_cooling_limit, food_cooling_limit : numpy.ndarray
        What could be taken out of the compartments at most with the ammonia that condenses [W].
    cop : numpy.ndarray
        Coefficient of performance: capacity over heat that reaches the boiler.
    duty : numpy.ndarray
        Part of the time that the unit runs; 1 without a thermostat. Flows, heats and coils are those while it
        runs.
    failed : numpy.ndarray of bool
        The unit runs all the time, and the food compartment is less than 5 K colder than it would be without
        it, or the freezer is warmer than the food compartment. The temperatures of a failed unit say no more
        than that.
    converged : numpy.ndarray of bool
        Whether the search ended in one state, wherever it began, and no wind may turn the air
        (`warmside.model.wind`); without it the rest is no result. A pump that is about to stall may have two.
    """

    food_temperature: np.ndarray
    freezer_temperature: np.ndarray
    air_flow: np.ndarray
    inlet_air_temperature: np.ndarray
    condenser_air_temperature: np.ndarray
    outlet_air_temperature: np.ndarray
    surround_temperature: np.ndarray
    freezer_surround_temperature: np.ndarray
    side_air_temperature: np.ndarray
    pocket_air_temperature: np.ndarray
    boiler_temperature: np.ndarray
    absorber_temperature: np.ndarray
    condensing_temperature: np.ndarray
    freezer_coil_temperature: np.ndarray
    food_coil_temperature: np.ndarray
    freezer_coil_coldest: np.ndarray
    food_coil_coldest: np.ndarray
    pressure: np.ndarray
    rich_gas_pressure: np.ndarray
    weak_gas_pressure: np.ndarray
    rich_fraction: np.ndarray
    weak_fraction: np.ndarray
    circulation_ratio: np.ndarray
    vapour_flow: np.ndarray
    condensate_flow: np.ndarray
    condensing_reserve: np.ndarray
    heat_input: np.ndarray
    boiler_loss: np.ndarray
    rectifier_heat: np.ndarray
    condenser_heat: np.ndarray
    absorber_heat: np.ndarray
    flue_heat: np.ndarray
    freezer_cooling: np.ndarray
    food_cooling: np.ndarray
    capacity: np.ndarray
    freezer_cooling_limit: np.ndarray
    food_cooling_limit: np.ndarray
    cop: np.ndarray
    duty: np.ndarray
    failed: np.ndarray
    converged: np.ndarray


def steady_state(
    installation: Installation,
    ambient_temperature: ArrayLike,
    *,
    room_temperature: ArrayLike | None = None,
    setting: ArrayLike | None = None,
) -> State:
    """Let refrigerators run until nothing changes any more.

    Parameters
    ----------
    installation : Installation
        One or many.
    ambient_temperature : array_like
        Of the air outside [K], 255 to 335; broadcasts with the installation.
    room_temperature : array_like, optional
        Of the air in front of the refrigerator [K]; the ambient where it isn't given.
    setting : array_like, optional
        Temperature of the food compartment that a thermostat holds where the unit can [K]; broadcasts.
        Without one the unit runs all the time.

    Returns
    -------
    State

    Raises
    ------
    InputError
        If a temperature is none that the model takes.

    Examples
    --------
    Eight cubic feet at 110 °F, as it should be and with half of its lower vent shut: the food, in °F.

    >>> kinds = Installation.of("8 cu ft", lower_vent_blocked=np.array([0.0, 0.5]))
    >>> (steady_state(kinds, 316.48).food_temperature * 1.8 - 459.67).round().tolist()
    [38.0, 55.0]

    Kept at 37 °F on a day of 75 °F: the part of the time that it runs.

    >>> float(steady_state(Installation.of("8 cu ft"), 297.04, setting=275.93).duty.round(1))
    0.5
    """
    room = ambient_temperature if room_temperature is None else room_temperature
    lowest, highest = AMBIENT_RANGE
    for name, temperature in (("ambient_temperature", ambient_temperature), ("room_temperature", room)):
        check_number(temperature, name, lowest, highest, f"from {lowest:g} to {highest:g} K", "K")
    held = _NEVER if setting is None else setting
    shape = np.broadcast_shapes(installation.shape, *map(np.shape, (ambient_temperature, room, held)))
    system = _system(installation, ambient_temperature, room, held)
    result = _solve(fixed_point.flatten(system, shape), int(np.prod(shape))).reshape(-1, *shape)
    by_name = dict(zip(_STATE_FIELDS, result, strict=True))
    for name in ("failed", "converged"):
        by_name[name] = by_name[name].astype(bool)
    return State(**by_name)


class _System(NamedTuple):
    unit: Unit
    path: AirPath
    openings: Floats  # part of the food compartment's conductance that opened doors are
    flue_heat: Floats
    setting: Floats


class _Round(NamedTuple):
    cycle: Cycle
    surroundings: Surroundings
    food_side: Floats  # the surroundings of the food compartment with the room that comes in by the door
    flow: Floats
    inlet: Floats
    condenser_air: Floats
    outlet: Floats
    most_condensate: Floats
    duty: Floats


def _system(installation, ambient, room, setting):
    this = installation
    thin_air = enclosure.in_thin_air(this.air_pressure, this.parameter("radiated_share"))
    ambient = np.asarray(ambient, dtype=float)[()]
    open_fins = np.maximum(np.subtract(1.0, this.fin_fouling), _SHUT_FINS)
    unit = Unit(
        heat_input=np.multiply(this.heat_input, this.boiler_share),
        charge_pressure=this.charge_pressure,
        circulation=level.circulation(this.side_tilt, this.front_tilt) * this.circulation,
        design_vapour_flow=this.of_size("design_vapour_flow"),
        gas_flow=this.of_size("gas_flow"),
        absorber_conductance=this.of_size("absorber_conductance") * thin_air,
        condenser_conductance=this.of_size("condenser_conductance") * open_fins * thin_air,
        boiler_loss_conductance=this.of_size("boiler_loss_conductance") / np.asarray(this.boiler_insulation),
        freezer_conductance=this.of_size("freezer_conductance"),
        food_conductance=this.food_conductance + this.load,
        freezer_coil_conductance=this.of_size("freezer_coil_conductance"),
        food_coil_conductance=this.food_coil_conductance,
        partition_conductance=this.of_size("partition_conductance"),
        pressure_rise=this.parameter("pressure_rise"),
        pump_threshold=this.parameter("pump_threshold"),
        pump_bend=this.parameter("pump_bend"),
        wetting_exponent=this.parameter("wetting_exponent"),
        freezer_share=this.parameter("freezer_share"),
        condensing_limit_width=this.parameter("condensing_limit_width"),
        condenser_still_share=this.parameter("condenser_still_share"),
    )
    width = this.of_size("width")
    path = enclosure.air_path(
        ambient_temperature=ambient,
        room_temperature=np.asarray(room, dtype=float)[()],
        lower_area=np.multiply(this.lower_vent_area, np.subtract(1.0, this.lower_vent_blocked)),
        upper_area=np.multiply(this.upper_vent_area, np.subtract(1.0, this.upper_vent_blocked)),
        fin_area=this.of_size("fin_area") * open_fins,
        baffle_gap=this.baffle_gap,
        cavity_depth=this.cavity_depth,
        width=width,
        absorber_height=this.of_size("absorber_height"),
        outlet_height=this.outlet_height,
        side_gap=this.side_gap,
        side_height=this.of_size("side_height"),
        pocket_area=np.add(this.pocket_opening, np.multiply(width, this.top_gap)),
        recirculation=this.recirculation,
        wind_pressure=this.wind_pressure,
        fan=enclosure.NO_FAN if this.fan is None else this.fan,
        air_pressure=this.air_pressure,
        parameter=this.parameter,
    )
    flue = np.multiply(this.heat_input, this.flue_share)
    openings = np.divide(this.load, unit.food_conductance)
    return _System(unit, path, openings, flue, np.asarray(setting, dtype=float)[()])


def _round(x, system):
    """Go once round unit and enclosure."""
    unit, path = system.unit, system.path
    ambient = path.ambient_temperature
    held = _held(system)
    now = from_unknowns(x, unit, ambient)
    condenser_air, outlet = ambient + 10.0 * x[_AIR]
    duty = x[_DUTY] if held else np.ones(x.shape[1])
    around = enclosure.surroundings(path, condenser_air, outlet)
    food_side = around.food + system.openings * (path.room_temperature - around.food)
    cycle = cooling_unit.cycle(now, unit, ambient, around.freezer, food_side, duty)
    low, high = _heats(cycle, system.flue_heat)
    flow = enclosure.air_flow(path, low, high)
    inlet, condenser_air, outlet = enclosure.air_temperatures(path, flow, low, high)
    fins = flow.total * flow.fin_share
    fin_flow, fin_speed = fins * path.capacity, fins * path.fin_speed
    condensate, most = cooling_unit.condensed(cycle, unit, condenser_air, fin_flow, fin_speed)
    absorber_air = inlet + 0.5 * (condenser_air - inlet)  # the mean over its height
    then = cooling_unit.settled(now, cycle, unit, absorber_air, condensate)
    details = _Round(cycle, around, food_side, flow.total, inlet, condenser_air, outlet, most, duty)
    air = 0.1 * (condenser_air - ambient), 0.1 * (outlet - ambient)
    wanted = (_wanted_duty(cycle, unit, system.setting, duty),) if held else ()
    return np.array([*to_unknowns(then, unit, ambient), *air, *wanted]), details


def _wanted_duty(cycle, unit, setting, duty):
    """Part of the time that a unit must run to hold a setting: heat that comes in over what it takes out."""
    walls = unit.food_conductance + unit.partition_conductance
    comes_in = duty * cycle.food_cooling + walls * (cycle.food_temperature - setting)
    taken = np.minimum(
        unit.food_coil_conductance * (setting - cycle.food_coil_coldest), cycle.food_cooling_limit
    )
    return np.clip(comes_in / np.maximum(taken, _LEAST_TAKEN), 0.0, 1.0)


def _heats(cycle, flue_heat):
    """Heat given off to the air before the condenser, and at the condenser and above."""
    lost, rectified = _P("loss_share_low"), _P("rectifier_share_low")
    low = cycle.absorber_heat + lost * cycle.boiler_loss + rectified * cycle.rectifier_heat
    high = cycle.condenser_heat + (1.0 - rectified) * cycle.rectifier_heat + (1.0 - lost) * cycle.boiler_loss
    return low, high + flue_heat


def _held(system):
    """Tell whether a thermostat is among the cases, so that the duty is an unknown."""
    return np.ndim(system.setting) > 0 or system.setting > _NEVER


def _next(x, system):
    return _round(x, system)[0]


def _found(system, start, tolerance=fixed_point.TOLERANCE):
    """Solve from these unknowns, shape (unknowns, cases)."""
    some = slice(None if _held(system) else _DUTY)
    bounds = _LOWER[some], _UPPER[some]
    return fixed_point.solve(fixed_point.Problem(_next, system, start[some], *bounds, tolerance))


def _solve(system, cases):
    found = _found(system, np.repeat(_START, cases, axis=1))
    result = np.empty((len(_STATE_FIELDS), cases))
    little, some = ~found.converged, ~found.converged
    for begin in range(0, cases, fixed_point.TOGETHER):
        these = slice(begin, begin + fixed_point.TOGETHER)
        cycle = _write(result, system, found, these)
        little[these] |= (cycle.heat_input > 0.0) & (cycle.lift < _LITTLE_LIFT)
        some[these] |= little[these] & (cycle.lift > _HARDLY_LIFTS)
    # a pump that lifts little may stay as it begins: then neither is a result
    lost, apart = ~found.converged, np.zeros(cases, dtype=bool)
    for start, doubtful in ((_STANDING, little), (_DRIVEN, some)):
        again = np.flatnonzero(doubtful)
        other = _found(fixed_point.select(system, again), np.repeat(start, again.size, axis=1), _ROUGHLY)
        differ = np.abs(other.x - found.x[:, again])[cycle_state.FOOD] > cycle_state.COLD * _APART
        apart[again] |= differ & other.converged & found.converged[again]
        here = other.converged & ~found.converged[again]
        found.x[:, again[here]] = other.x[:, here]
        found.converged[again] |= other.converged
    lost = np.flatnonzero(lost & found.converged)
    found.x[:, lost] = _found(fixed_point.select(system, lost), found.x[:, lost]).x
    found.converged[apart] = False
    _write(result, system, found, np.concatenate([lost, np.flatnonzero(apart)]))
    return result


def _write(result, system, found, which):
    """Write what was found for these cases into the result; return their cycles."""
    part = fixed_point.select(system, which)
    _, end = _round(found.x[:, which], part)
    turns = wind.may_turn(part.path, *_heats(end.cycle, part.flue_heat))
    values = _described(end, part.flue_heat) | {"converged": found.converged[which] & ~turns}
    for row, name in zip(result, _STATE_FIELDS, strict=True):
        row[which] = values[name]
    return end.cycle


def _described(end, flue_heat):
    """Return the fields of `State` after a round, but for `converged`."""
    cycle, around = end.cycle, end.surroundings
    with np.errstate(divide="ignore"):
        reserve = end.most_condensate / cycle.vapour_flow
    hardly_cools = end.food_side - cycle.food_temperature < _P("least_cooling")
    no_freezer = cycle.freezer_temperature > cycle.food_temperature
    return {
        **cycle._asdict(),
        "air_flow": end.flow,
        "inlet_air_temperature": end.inlet,
        "condenser_air_temperature": end.condenser_air,
        "outlet_air_temperature": end.outlet,
        "surround_temperature": around.food,
        "freezer_surround_temperature": around.freezer,
        "side_air_temperature": around.side,
        "pocket_air_temperature": around.pocket,
        "condensing_reserve": reserve,
        "flue_heat": flue_heat,
        "capacity": cycle.capacity,
        "cop": cycle.cop,
        "duty": end.duty,
        "failed": (end.duty > _ALWAYS) & (hardly_cools | no_freezer),
    }


_STATE_FIELDS = tuple(State.__dataclass_fields__)
