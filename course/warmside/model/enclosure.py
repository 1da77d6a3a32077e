"""The space behind a refrigerator as an air path: how much air passes, how warm it gets, what it warms.

Openings, slots, fans and the weight of warm air are those of `warmside.model.draught`; here they are put
together.

Air comes in at the lower vent, is warmed by absorber and boiler, passes between the condenser's fins or by
them, and leaves in the wall or the roof. What drives it is the weight that it lost by being warmed; what
holds it back is every narrow place. Both are in one equation here, momentum with energy: ``k3 V³ - c1 V = a``
for the flow ``V``, since the draught is in proportion to heat over flow.

Only a part of the air by-passing the fins mixes into what touches the tubes; this mixing is the least known
number of the model, and calibrated like most others to the trade's common practice.

Examples
--------
Eight cubic feet on a day of 90 °F, 200 W given off below the condenser and 110 W at it and above: the air in
m³/h, how much warmer it is before the condenser and how much warmer the food compartment's surroundings [K].

>>> path = air_path(
...     ambient_temperature=305.0, room_temperature=305.0, lower_area=0.075, upper_area=0.065,
...     fin_area=0.05, baffle_gap=0.01, cavity_depth=0.105, width=0.6, absorber_height=0.9,
...     outlet_height=0.6, side_gap=0.006, side_height=1.35, pocket_area=0.0)
>>> flow = air_flow(path, 200.0, 110.0)
>>> _, before, after = air_temperatures(path, flow, 200.0, 110.0)
>>> around = surroundings(path, before, after)
>>> round(float(flow) * 3600), round(float(before) - 305.0, 1), round(float(around.food) - 305.0, 1)
(68, 9.6, 1.4)
"""

from typing import NamedTuple

import numpy as np

from warmside.arrays import Floats
from warmside.data import load
from warmside.model.draught import (
    Fan,
    Slot,
    buoyancy,
    effective_area,
    exchange_speed,
    loss,
    resistance,
    slot,
)
from warmside.properties import air

_P = load("parameters").number
_FOOD_SHARES = load("parameters").numbers("food_surround_shares")
_FREEZER_SHARES = load("parameters").numbers("freezer_surround_shares")
_SIDE_WARMTH, _SIDE_TO_ROOM = _P("side_gap_warmth"), _P("side_gap_room_conductance")
_POCKET_WALL, _POCKET_TO_ROOM = _P("pocket_wall_conductance"), _P("pocket_room_conductance")
_NEWTON_STEPS = 5  # from where the flow is first guessed to the last digits
_LEAST_DRIVE = 1e-9  # Pa m³/s; keeps a flow where nothing drives one
NO_FAN = Fan(0.0, 1.0)


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
    slot : Slot
        Of the gaps at the sides.
    slot_draught, slot_conductance : float or numpy.ndarray
        Of the same: draught over the air's rise [Pa/K], conductance over the speed [W/K/(m/s)].
    pocket_exchange : float or numpy.ndarray
        Conductance into the space over the top, over the root of the rise there [W/K^1.5].
    """

    ambient_temperature: Floats
    room_temperature: Floats
    capacity: Floats
    resistance: Floats
    help: Floats
    buoyancy: Floats
    height_of_low_heat: Floats
    height_of_high_heat: Floats
    fin_share: Floats
    tube_share: Floats
    fin_speed: Floats
    recirculation: Floats
    slot: Slot
    slot_draught: Floats
    slot_conductance: Floats
    pocket_exchange: Floats


def air_path(
    *,
    ambient_temperature: Floats,
    room_temperature: Floats,
    lower_area: Floats,
    upper_area: Floats,
    fin_area: Floats,
    baffle_gap: Floats,
    cavity_depth: Floats,
    width: Floats,
    absorber_height: Floats,
    outlet_height: Floats,
    side_gap: Floats,
    side_height: Floats,
    pocket_area: Floats,
    recirculation: Floats = 0.0,
    wind_pressure: Floats = 0.0,
    fan: Fan = NO_FAN,
) -> AirPath:
    """Return the air path of an enclosure; all arguments broadcast.

    Parameters
    ----------
    ambient_temperature, room_temperature : float or numpy.ndarray
        Of the air outside and in the room in front [K].
    lower_area, upper_area, fin_area : float or numpy.ndarray
        Free areas of the vents and between the fins [m²]; the fins' more than 0.
    baffle_gap : float or numpy.ndarray
        From the baffle's edge to the fins [m]; ``inf`` where there is no baffle.
    cavity_depth, width : float or numpy.ndarray
        Of the space behind the cabinet [m].
    absorber_height, outlet_height, side_height : float or numpy.ndarray
        Heights over which the absorber warms the air, of the outlet above the fins, of the gaps at the sides
        [m].
    side_gap : float or numpy.ndarray
        Width of the gap on each side [m].
    pocket_area : float or numpy.ndarray
        Opening from the warm side to the space over the cabinet [m²].
    recirculation : float or numpy.ndarray
        Part of the air at the lower vent that has come round from the outlet, 0 to less than 1.
    wind_pressure : float or numpy.ndarray
        On the lower vent less that on the upper [Pa].
    fan : Fan
        One that helps the draught.

    Returns
    -------
    AirPath
    """
    density = air.density(ambient_temperature)
    capacity = density * air.specific_heat(ambient_temperature)
    lower, upper = (
        np.maximum(area, _P("vent_leak_area")) * _P("vent_discharge_coefficient")
        for area in (lower_area, upper_area)
    )
    behind = loss(np.multiply(width, cavity_depth), _P("cavity_loss_coefficient"))
    fins = effective_area(fin_area, _P("fin_loss_coefficient"))
    whole_gap = np.subtract(cavity_depth, _P("fin_depth")) + _P("bypass_without_baffle")
    bypass = effective_area(np.minimum(baffle_gap, whole_gap) * width, _P("bypass_loss_coefficient"))
    fin_share = fins / (fins + bypass)
    half_condenser = _P("condenser_height") / 2.0
    return AirPath(
        ambient_temperature=ambient_temperature,
        room_temperature=room_temperature,
        capacity=capacity,
        resistance=resistance(density, loss(lower), loss(upper), behind, loss(fins + bypass))
        + fan.resistance,
        help=np.add(wind_pressure, fan.shut_off_pressure),
        buoyancy=buoyancy(ambient_temperature) / capacity,
        # a heat that is given off evenly over a height warms half of that height, and all above
        height_of_low_heat=np.multiply(absorber_height, 0.5) + half_condenser,
        height_of_high_heat=half_condenser + np.asarray(outlet_height),
        fin_share=fin_share,
        tube_share=fin_share + (1.0 - fin_share) * _P("mixing"),
        fin_speed=effective_area(1.0, _P("fin_loss_coefficient")) / (fins + bypass),
        recirculation=recirculation,
        slot=slot(side_gap, _P("side_gap_path"), ambient_temperature),
        slot_draught=buoyancy(ambient_temperature, np.multiply(side_height, _P("side_gap_column"))),
        slot_conductance=capacity * np.multiply(side_gap, side_height) / _P("side_gap_stream"),
        pocket_exchange=capacity
        * np.asarray(pocket_area)
        * exchange_speed(_P("pocket_height"), ambient_temperature, _P("pocket_discharge_coefficient")),
    )


def air_flow(path: AirPath, low_heat: Floats, high_heat: Floats) -> Floats:
    """Air that passes.

    Parameters
    ----------
    path : AirPath
        The enclosure.
    low_heat, high_heat : float or numpy.ndarray
        Heat given off to the air before the condenser, and at the condenser and above [W].

    Returns
    -------
    numpy.ndarray
        Volume flow at outside density [m³/s]: the one positive root of ``k3 V³ - c1 V = a``. Without heat,
        fan or wind it is next to nothing.
    """
    both = low_heat + high_heat
    drive = path.buoyancy * (path.height_of_low_heat * low_heat + path.height_of_high_heat * both)
    drive = np.maximum(drive, _LEAST_DRIVE)
    # from above the root, where Newton's steps only come down
    flow = np.cbrt(drive / path.resistance) + np.sqrt(np.maximum(path.help, 0.0) / path.resistance)
    for _ in range(_NEWTON_STEPS):
        square = path.resistance * (flow * flow)
        flow = flow - ((square - path.help) * flow - drive) / (3.0 * square - path.help)
    return flow


def air_temperatures(
    path: AirPath, flow: Floats, low_heat: Floats, high_heat: Floats
) -> tuple[Floats, Floats, Floats]:
    """Air near the tubes.

    Parameters
    ----------
    path : AirPath
        The enclosure.
    flow : float or numpy.ndarray
        Volume flow [m³/s].
    low_heat, high_heat : float or numpy.ndarray
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

    food: Floats
    freezer: Floats
    side: Floats
    pocket: Floats


def surroundings(
    path: AirPath, condenser_air_temperature: Floats, outlet_air_temperature: Floats
) -> Surroundings:
    """Return what the cabinet stands in, given the air before and above the condenser [K].

    A gap beside the cabinet lets warm air through against friction, which goes with the inverse square of the
    gap; the weight of that air against the room's is its conductance over that plus the one to the room. The
    opening to the space over the top is an opening with air going both ways.
    """
    room = path.room_temperature
    rise = np.maximum(condenser_air_temperature - path.ambient_temperature, 0.0)
    beside = _SIDE_WARMTH * rise
    conductance = path.slot_conductance * path.slot.speed(path.slot_draught * beside)
    weight = conductance / (conductance + _SIDE_TO_ROOM)
    side = room + weight * (path.ambient_temperature + beside - room)

    above = np.maximum(outlet_air_temperature - path.ambient_temperature, 0.0)
    conductance = _POCKET_WALL + path.pocket_exchange * np.sqrt(above)
    weight = conductance / (conductance + _POCKET_TO_ROOM)
    pocket = room + weight * (outlet_air_temperature - room)

    of_room, of_side, of_behind = _FOOD_SHARES
    behind = path.ambient_temperature + 0.5 * rise  # the mean over the way up
    food = of_room * room + of_side * side + of_behind * behind
    of_room, of_side, of_behind, of_pocket = _FREEZER_SHARES
    freezer = of_room * room + of_side * side + of_behind * condenser_air_temperature + of_pocket * pocket
    return Surroundings(food, freezer, side, pocket)
