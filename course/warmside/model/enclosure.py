"""The space behind a refrigerator as an air path: how much air passes, how warm it gets, what it warms.

Air comes in at the lower vent, is warmed by absorber and boiler, passes between the condenser's fins or by
them, and leaves in the wall or the roof. What drives it is the weight that it lost by being warmed; what
holds it back is every narrow place. Both are in one equation here, momentum with energy: ``k3 V³ - c1 V = a``
for the flow ``V``, since the draught is in proportion to heat over flow.

Only a part of the air by-passing the fins mixes into what touches the tubes; this mixing is the least known
number of the model, and calibrated like most others to the trade's common practice.
"""

from typing import NamedTuple

import numpy as np

from warmside.data import load
from warmside.model.draught import GRAVITY, SLOT_CONTRACTION
from warmside.properties import air

_PARAMETERS = load("parameters")
_MIXING = _PARAMETERS["mixing"]
_FIN_SPEED_SHARE = 1.0 / np.sqrt(_PARAMETERS["fin_loss_coefficient"])
_BYPASS_SPEED_SHARE = 1.0 / np.sqrt(_PARAMETERS["bypass_loss_coefficient"])
_NEWTON_STEPS = 5


class AirPath(NamedTuple):
    """Everything about an enclosure that stays as it is while heats and temperatures settle.

    Each is a number or an array of shape (cases,).

    Attributes
    ----------
    ambient_temperature, room_temperature : float or numpy.ndarray
        Of the air outside and in the room in front [K].
    capacity : float or numpy.ndarray
        Density times specific heat of the outside air [J/(m³ K)].
    resistance : float or numpy.ndarray
        ``k3``: pressure lost over the square of the flow, with the fan's own [Pa/(m³/s)²].
    help : float or numpy.ndarray
        ``c1``: wind and fan at no flow [Pa]; negative against the draught.
    buoyancy : float or numpy.ndarray
        Draught of a column, over its height and the heat in it divided by the flow [Pa/(m W/(m³/s))].
    height_of_low_heat, height_of_high_heat : float or numpy.ndarray
        Heights of column that the heat given off before the condenser warms with its own rise alone, and
        that both heats warm together [m].
    fin_share : float or numpy.ndarray
        Part of the air that passes between the fins.
    tube_share : float or numpy.ndarray
        Part of the air that the heat at the tubes first mixes into.
    fin_speed : float or numpy.ndarray
        Speed between the fins over the flow [1/m²].
    recirculation : float or numpy.ndarray
        Part of the air at the lower vent that has come round from the outlet.
    slot_inertia, slot_friction, slot_draught, slot_conductance : float or numpy.ndarray
        Of the gaps at the sides: `warmside.model.draught.slot_speed` in parts; ``rho/(2·0.36)``,
        ``12 mu L/s²``, draught over the air's rise [Pa/K], conductance over the speed.
    pocket_exchange : float or numpy.ndarray
        Conductance into the space over the top, over the root of the rise there [W/K^1.5].
    """

    ambient_temperature: np.ndarray
    room_temperature: np.ndarray
    capacity: np.ndarray
    resistance: np.ndarray
    help: np.ndarray
    buoyancy: np.ndarray
    height_of_low_heat: np.ndarray
    height_of_high_heat: np.ndarray
    fin_share: np.ndarray
    tube_share: np.ndarray
    fin_speed: np.ndarray
    recirculation: np.ndarray
    slot_inertia: np.ndarray
    slot_friction: np.ndarray
    slot_draught: np.ndarray
    slot_conductance: np.ndarray
    pocket_exchange: np.ndarray


def air_path(
    *,
    ambient_temperature,
    room_temperature,
    lower_area,
    upper_area,
    fin_area,
    baffle_gap,
    cavity_depth,
    width,
    absorber_height,
    outlet_height,
    side_gap,
    side_height,
    pocket_area,
    recirculation=0.0,
    wind_pressure=0.0,
    fan_pressure=0.0,
    fan_free_flow=1.0,
) -> AirPath:
    """Return the air path of an enclosure; all arguments broadcast.

    Parameters
    ----------
    ambient_temperature, room_temperature : array_like
        Of the air outside and in the room in front [K].
    lower_area, upper_area, fin_area : array_like
        Free areas of the vents and between the fins [m²]; the fins' more than 0.
    baffle_gap : array_like
        From the baffle's edge to the fins [m]; ``inf`` where there is no baffle.
    cavity_depth, width : array_like
        Of the space behind the cabinet [m].
    absorber_height, outlet_height, side_height : array_like
        Heights over which the absorber warms the air, of the outlet above the fins, of the gaps at the sides
        [m].
    side_gap : array_like
        Width of the gap on each side [m].
    pocket_area : array_like
        Opening from the warm side to the space over the cabinet [m²].
    recirculation : array_like
        Part of the air at the lower vent that has come round from the outlet, 0 to less than 1.
    wind_pressure : array_like
        On the lower vent less that on the upper [Pa].
    fan_pressure, fan_free_flow : array_like
        Shut-off pressure [Pa] and free flow [m³/s]; see `warmside.model.draught.Fan`.

    Returns
    -------
    AirPath
    """
    p = _PARAMETERS
    density, viscosity = air.density(ambient_temperature), air.viscosity(ambient_temperature)
    capacity = density * air.specific_heat(ambient_temperature)
    discharge = p["vent_discharge_coefficient"]
    lower, upper = (np.maximum(area, p["vent_leak_area"]) * discharge for area in (lower_area, upper_area))
    whole_gap = np.subtract(cavity_depth, p["fin_depth"]) + p["bypass_without_baffle"]
    fins = np.multiply(fin_area, _FIN_SPEED_SHARE)
    bypass = np.minimum(baffle_gap, whole_gap) * width * _BYPASS_SPEED_SHARE
    behind = p["cavity_loss_coefficient"] / np.square(np.multiply(width, cavity_depth))
    losses = 1.0 / lower**2 + 1.0 / upper**2 + behind + 1.0 / np.square(fins + bypass)
    fin_share = fins / (fins + bypass)
    half_condenser = p["condenser_height"] / 2.0
    with np.errstate(divide="ignore"):
        friction = 12.0 * viscosity * p["side_gap_path"] / np.square(np.maximum(side_gap, 1e-6))
    exchange = p["pocket_discharge_coefficient"] * np.sqrt(
        GRAVITY * p["pocket_height"] / np.asarray(ambient_temperature)
    )
    return AirPath(
        ambient_temperature=ambient_temperature,
        room_temperature=room_temperature,
        capacity=capacity,
        resistance=0.5 * density * losses + np.divide(fan_pressure, np.square(fan_free_flow)),
        help=np.add(wind_pressure, fan_pressure),
        buoyancy=density * GRAVITY / np.asarray(ambient_temperature) / capacity,
        height_of_low_heat=np.multiply(absorber_height, 0.5) + half_condenser,
        height_of_high_heat=half_condenser + np.asarray(outlet_height),
        fin_share=fin_share,
        tube_share=fin_share + (1.0 - fin_share) * _MIXING,
        fin_speed=_FIN_SPEED_SHARE / (fins + bypass),
        recirculation=recirculation,
        slot_inertia=density / (2.0 * SLOT_CONTRACTION),
        slot_friction=friction,
        slot_draught=density * GRAVITY * np.multiply(side_height, 0.25) / np.asarray(ambient_temperature),
        slot_conductance=capacity * np.multiply(side_gap, side_height) / 3.0,
        pocket_exchange=capacity * np.asarray(pocket_area) * exchange,
    )


def air_flow(path: AirPath, low_heat: np.ndarray, high_heat: np.ndarray) -> np.ndarray:
    """Air that passes.

    Parameters
    ----------
    path : AirPath
        The enclosure.
    low_heat, high_heat : array_like
        Heat given off to the air before the condenser, and at the condenser and above [W].

    Returns
    -------
    numpy.ndarray
        Volume flow at outside density [m³/s]: the one positive root of ``k3 V³ - c1 V = a``. Without heat,
        fan or wind it is next to nothing.
    """
    both = low_heat + high_heat
    drive = path.buoyancy * (path.height_of_low_heat * low_heat + path.height_of_high_heat * both)
    drive = np.maximum(drive, 1e-9)
    # from above the root, where Newton's steps only come down
    flow = np.cbrt(drive / path.resistance) + np.sqrt(np.maximum(path.help, 0.0) / path.resistance)
    for _ in range(_NEWTON_STEPS):
        square = path.resistance * (flow * flow)
        flow = flow - ((square - path.help) * flow - drive) / (3.0 * square - path.help)
    return flow


def air_temperatures(
    path: AirPath, flow: np.ndarray, low_heat: np.ndarray, high_heat: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Air near the tubes.

    Parameters
    ----------
    path : AirPath
        The enclosure.
    flow : array_like
        Volume flow [m³/s].
    low_heat, high_heat : array_like
        Heat given off before the condenser, and at the condenser and above [W].

    Returns
    -------
    inlet, condenser, outlet : numpy.ndarray
        Temperatures at the lower vent, before the condenser, and above it [K].
    """
    stream = path.capacity * flow
    mixed_rise = (low_heat + high_heat) / (stream * (1.0 - path.recirculation))
    inlet = path.ambient_temperature + path.recirculation * mixed_rise
    near = stream * path.tube_share
    condenser = inlet + low_heat / near
    return inlet, condenser, condenser + high_heat / near


class Surroundings(NamedTuple):
    """What the cabinet stands in.

    Attributes
    ----------
    food, freezer : numpy.ndarray
        Weighted temperatures round the two compartments [K].
    side, pocket : numpy.ndarray
        Temperatures in the gaps at the sides and over the top [K].
    """

    food: np.ndarray
    freezer: np.ndarray
    side: np.ndarray
    pocket: np.ndarray


def surroundings(
    path: AirPath, condenser_air_temperature: np.ndarray, outlet_air_temperature: np.ndarray
) -> Surroundings:
    """Return what the cabinet stands in, given the air before and above the condenser [K].

    A gap beside the cabinet lets warm air through against friction, which goes with the inverse square of the
    gap; the weight of that air against the room's is its conductance over that plus 0.8 W/K. The opening to
    the space over the top is an opening with air going both ways.
    """
    p, room = _PARAMETERS, path.room_temperature
    rise = np.maximum(condenser_air_temperature - path.ambient_temperature, 0.0)
    beside = p["side_gap_warmth"] * rise
    push = path.slot_draught * beside
    root = np.sqrt(path.slot_friction * path.slot_friction + 4.0 * path.slot_inertia * push)
    conductance = path.slot_conductance * (2.0 * push / (path.slot_friction + root))
    weight = conductance / (conductance + p["side_gap_room_conductance"])
    side = room + weight * (path.ambient_temperature + beside - room)

    above = np.maximum(outlet_air_temperature - path.ambient_temperature, 0.0)
    conductance = p["pocket_wall_conductance"] + path.pocket_exchange * np.sqrt(above)
    weight = conductance / (conductance + p["pocket_room_conductance"])
    pocket = room + weight * (outlet_air_temperature - room)

    of_room, of_side, of_behind = _FOOD_SHARES
    food = of_room * room + of_side * side + of_behind * (path.ambient_temperature + 0.5 * rise)
    of_room, of_side, of_behind, of_pocket = _FREEZER_SHARES
    freezer = of_room * room + of_side * side + of_behind * condenser_air_temperature + of_pocket * pocket
    return Surroundings(food, freezer, side, pocket)


_FOOD_SHARES = [float(share) for share in _PARAMETERS["food_surround_shares"]]
_FREEZER_SHARES = [float(share) for share in _PARAMETERS["freezer_surround_shares"]]
