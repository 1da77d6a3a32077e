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
from warmside.model.installation import SIZES, Installation

_P = load("parameters").number
_RATINGS = load("ratings")
# unknowns: those of the cooling unit, and how far above the ambient the air before and above the condenser is
_START, _LOWER, _UPPER = (
    np.array([*unit, *air])[:, np.newaxis]
    for unit, air in (
        (cycle_state.START, (1.4, 1.8)),
        (cycle_state.LOWER, (-0.5, -0.5)),
        (cycle_state.UPPER, (20.0, 25.0)),
    )
)
_SHUT_FINS = 1e-6  # of the way between the fins where dirt has shut it all
AMBIENT_RANGE = load("parameters").numbers("ambient_range")
"""Ambient temperatures that the model takes [K]."""
_HOLDING_STEP, _HOLDING_PARTS, _HOLDING_TOLERANCE = 5.0, 8, 0.01  # K, parts of a step, K


@dataclass(frozen=True, eq=False)
class State:
    """What a refrigerator does when everything has settled.

    All fields are arrays of the shape to which installation and ambient broadcast, in SI units.

    Attributes
    ----------
    food_temperature, freezer_temperature : numpy.ndarray
        Of the compartments, with the unit running all the time [K].
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
    failed : numpy.ndarray of bool
        The unit's pump has stopped, or the food compartment is cooled by less than 10 K. The temperatures of
        a failed unit say no more than that.
    converged : numpy.ndarray of bool
        Whether the search ended, and no wind may turn the air (`warmside.model.wind`); else it is no result.
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
    failed: np.ndarray
    converged: np.ndarray


def steady_state(
    installation: Installation,
    ambient_temperature: ArrayLike,
    *,
    room_temperature: ArrayLike | None = None,
) -> State:
    """Let refrigerators run until nothing changes any more, without a thermostat.

    Parameters
    ----------
    installation : Installation
        One or many.
    ambient_temperature : array_like
        Of the air outside [K], 255 to 335; broadcasts with the installation.
    room_temperature : array_like, optional
        Of the air in front of the refrigerator [K]; the ambient where it isn't given.

    Returns
    -------
    State

    Raises
    ------
    InputError
        If a temperature is none that the model takes.

    Notes
    -----
    The state of a unit that already runs. A boiler short of heat may have a second one from a cold start.

    Examples
    --------
    Eight cubic feet at 110 °F, as it should be and with half of its lower vent shut: the food, in °F.

    >>> kinds = Installation.of("eight", lower_vent_blocked=np.array([0.0, 0.5]))
    >>> (steady_state(kinds, 316.48).food_temperature * 1.8 - 459.67).round().tolist()
    [40.0, 60.0]
    """
    room = ambient_temperature if room_temperature is None else room_temperature
    lowest, highest = AMBIENT_RANGE
    for name, temperature in (("ambient_temperature", ambient_temperature), ("room_temperature", room)):
        check_number(temperature, name, lowest, highest, f"from {lowest:g} to {highest:g} K", "K")
    shape = np.broadcast_shapes(installation.shape, np.shape(ambient_temperature), np.shape(room))
    system = _system(installation, ambient_temperature, room)
    result = _solve(_flatten(system, shape), int(np.prod(shape))).reshape(-1, *shape)
    by_name = dict(zip(_STATE_FIELDS, result, strict=True))
    for name in ("failed", "converged"):
        by_name[name] = by_name[name].astype(bool)
    return State(**by_name)


def holding_ambient(installation: Installation, food_limit: ArrayLike | None = None) -> np.ndarray:
    """Highest ambient at which refrigerators still hold a food temperature.

    Parameters
    ----------
    installation : Installation
        One or many.
    food_limit : array_like, optional
        Warmest that the food compartment may be [K]; broadcasts. What the size is rated for, 43 °F, where it
        isn't given.

    Returns
    -------
    numpy.ndarray
        Ambient temperature [K], to 0.01 K; nan where no ambient that the model takes (255 to 335 K) holds,
        and the highest of these where it holds even there.

    Notes
    -----
    Looked for from hot to cold in steps of 5 K and then in smaller ones: it may hold nowhere but in between.

    Examples
    --------
    In °F.

    >>> round(float(holding_ambient(Installation.of("eight"))) * 1.8 - 459.67)
    112
    """
    rated = _rating(installation, "food_limit")
    limit = np.asarray(rated if food_limit is None else food_limit, dtype=float)
    shape = np.broadcast_shapes(installation.shape, limit.shape)
    lowest, highest = AMBIENT_RANGE

    def hottest_held(ambients):
        """Return the number of the hottest ambient that holds, -1 for none; ambients from cold to hot."""
        state = steady_state(installation, ambients)
        held = (state.food_temperature <= limit) & state.converged & ~state.failed
        return len(ambients) - 1 - np.argmax(held[::-1], axis=0) - len(ambients) * ~held.any(axis=0)

    steps = round((highest - lowest) / _HOLDING_STEP)
    grid = np.linspace(lowest, highest, steps + 1)
    best = hottest_held(np.broadcast_to(grid.reshape(-1, *[1] * len(shape)), (steps + 1, *shape)))
    none, low, width = best < 0, grid[np.maximum(best, 0)], _HOLDING_STEP
    inside = np.arange(1, _HOLDING_PARTS).reshape(-1, *[1] * len(shape)) / _HOLDING_PARTS
    while width > _HOLDING_TOLERANCE:
        between = np.minimum(low + inside * width, highest)
        width /= _HOLDING_PARTS
        low = low + width * (1 + hottest_held(between))
    return np.where(none, np.nan, np.minimum(low, highest))


def margin_to_rating(installation: Installation) -> np.ndarray:
    """How far above its rated ambient a refrigerator holds its rated food temperature [K]; negative below.

    Examples
    --------
    With half of the lower vent shut, in °F.

    >>> round(float(margin_to_rating(Installation.of("eight", lower_vent_blocked=0.5))) * 1.8, 1)
    -2.1
    """
    return holding_ambient(installation) - _rating(installation, "rated_ambient")


def _rating(installation: Installation, quantity: str) -> Floats:
    """Return a quantity of the table of ratings for the installation's size, in SI units."""
    return installation.sizes.of({size: _RATINGS.in_column(quantity, size) for size in SIZES})


class _System(NamedTuple):
    unit: Unit
    path: AirPath
    load: Floats
    flue_heat: Floats


class _Round(NamedTuple):
    cycle: Cycle
    surroundings: Surroundings
    flow: Floats
    inlet: Floats
    condenser_air: Floats
    outlet: Floats
    most_condensate: Floats


def _system(installation, ambient, room):
    this = installation
    on_gas = this.sources.of({"mains": 0.0, "battery": 0.0, "gas": 1.0})
    thin_air = enclosure.in_thin_air(this.air_pressure, this.parameter("radiated_share"))
    ambient = np.asarray(ambient, dtype=float)[()]
    open_fins = np.maximum(np.subtract(1.0, this.fin_fouling), _SHUT_FINS)
    unit = Unit(
        heat_input=np.multiply(this.heat_input, 1.0 - on_gas * (1.0 - this.parameter("burner_efficiency"))),
        charge_pressure=this.charge_pressure,
        circulation=level.circulation(this.side_tilt, this.front_tilt) * this.circulation,
        design_vapour_flow=this.of_size("design_vapour_flow"),
        gas_flow=this.of_size("gas_flow"),
        absorber_conductance=this.of_size("absorber_conductance") * thin_air,
        condenser_conductance=this.of_size("condenser_conductance") * open_fins * thin_air,
        boiler_loss_conductance=this.of_size("boiler_loss_conductance") / np.asarray(this.boiler_insulation),
        freezer_conductance=this.of_size("freezer_conductance"),
        food_conductance=this.food_conductance,
        freezer_coil_conductance=this.of_size("freezer_coil_conductance"),
        food_coil_conductance=this.food_coil_conductance,
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
    flue = np.multiply(this.heat_input, on_gas * this.parameter("flue_share"))
    return _System(unit, path, this.load, flue)


def _flatten(parameters, shape):
    """Return the parameters as numbers, or as one-dimensional arrays over the cases."""
    if isinstance(parameters, tuple):
        return type(parameters)(*(_flatten(parameter, shape) for parameter in parameters))
    if np.ndim(parameters) == 0:
        return float(parameters)
    return np.ascontiguousarray(np.broadcast_to(parameters, shape), dtype=float).ravel()


def _round(x, system):
    """Go once round unit and enclosure."""
    unit, path = system.unit, system.path
    ambient = path.ambient_temperature
    now = from_unknowns(x[:-2], unit, ambient)
    condenser_air, outlet = ambient + 10.0 * x[-2], ambient + 10.0 * x[-1]
    around = enclosure.surroundings(path, condenser_air, outlet)
    loaded = around.food + system.load / unit.food_conductance
    cycle = cooling_unit.cycle(now, unit, ambient, around.freezer, loaded)
    low, high = _heats(cycle, system.flue_heat)
    flow = enclosure.air_flow(path, low, high)
    inlet, condenser_air, outlet = enclosure.air_temperatures(path, flow, low, high)
    fins = flow.total * flow.fin_share
    fin_flow, fin_speed = fins * path.capacity, fins * path.fin_speed
    condensate, most = cooling_unit.condensed(cycle, unit, condenser_air, fin_flow, fin_speed)
    absorber_air = inlet + 0.5 * (condenser_air - inlet)  # the mean over its height
    then = cooling_unit.settled(cycle, unit, absorber_air, condensate)
    details = _Round(cycle, around, flow.total, inlet, condenser_air, outlet, most)
    air = 0.1 * (condenser_air - ambient), 0.1 * (outlet - ambient)
    return np.array([*to_unknowns(then, unit, ambient), *air]), details


def _heats(cycle, flue_heat):
    """Heat given off to the air before the condenser, and at the condenser and above."""
    lost, rectified = _P("loss_share_low"), _P("rectifier_share_low")
    low = cycle.absorber_heat + lost * cycle.boiler_loss + rectified * cycle.rectifier_heat
    high = (
        cycle.condenser_heat
        + (1.0 - rectified) * cycle.rectifier_heat
        + (1.0 - lost) * cycle.boiler_loss
        + flue_heat
    )
    return low, high


def _solve(system, cases):
    start = np.repeat(_START, cases, axis=1)
    found = fixed_point.solve(fixed_point.Problem(_next, system, start, _LOWER, _UPPER))
    result = np.empty((len(_STATE_FIELDS), cases))
    for begin in range(0, cases, fixed_point.TOGETHER):
        these = slice(begin, begin + fixed_point.TOGETHER)
        part = fixed_point.select(system, these)
        _, end = _round(found.x[:, these], part)
        settled = found.converged[these] & ~wind.may_turn(part.path, *_heats(end.cycle, part.flue_heat))
        values = _described(end, part.unit, part.flue_heat) | {"converged": settled}
        for row, name in zip(result, _STATE_FIELDS, strict=True):
            row[these] = values[name]
    return result


def _next(x, system):
    return _round(x, system)[0]


def _described(end, unit, flue_heat):
    """Return the fields of `State` after a round, but for `converged`."""
    cycle, around = end.cycle, end.surroundings
    with np.errstate(divide="ignore"):
        reserve = end.most_condensate / cycle.vapour_flow
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
        "failed": (cycle.pumping < 0.5) | (cycle.food_cooling < _P("least_cooling") * unit.food_conductance),
    }


_STATE_FIELDS = tuple(State.__dataclass_fields__)
