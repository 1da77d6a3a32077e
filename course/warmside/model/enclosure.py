"""The space behind a refrigerator as an air path: how much air passes, how warm it gets, what it warms.

Openings, slots, fans and the weight of warm air are those of `warmside.model.draught`; here they are put
together.

Air comes in at the lower vent, is warmed by absorber and boiler, passes between the condenser's fins or by
them, and leaves in the wall or the roof. What drives it is the weight that it lost by being warmed; what
holds it back is every narrow place: ``k V³ - c V = a`` for the flow ``V``, momentum with energy, since the
draught is in proportion to heat over flow. Between the fins the air is warmer than beside them and draws
itself through, so that more of it takes that way than the openings alone would say. What both ways together
lose is the mean over the air that takes them, ``f³ kf + (1-f)³ kb`` with the part ``f`` between the fins: as
the draught is that of the mean column, no draught is counted twice.

Only a part of the air by-passing the fins mixes into what touches the tubes, and none beyond the depth that
their plume fills; this mixing is the least known number of the model, and calibrated like most others.

Left out, since nothing published says how large they are here: air that gets past the fins beside or over
the cabinet, an absorber that a part of the air doesn't reach, a speed of the air there that falls with the
depth of the space. Nothing is known of air that flows down: see `warmside.model.wind`.

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
>>> round(float(flow.total) * 3600), round(float(before) - 305.0, 1), round(float(around.food) - 305.0, 1)
(67, 9.6, 1.3)
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from warmside.arrays import Floats
from warmside.data import load
from warmside.model.draught import (
    Fan,
    Slot,
    buoyancy,
    drawn_share,
    effective_area,
    exchange_speed,
    loss,
    resistance,
    slot,
)
from warmside.properties import air

_SPLIT_STEPS = 5  # from where flow and split are first guessed to where they balance
_LEAST_DRIVE = 1e-9  # Pa m³/s; keeps a flow where nothing drives one
_LEAST_WAY = 1e-9  # m²; where nothing is open beside the fins
NO_FAN = Fan(0.0, 1.0)
_CALIBRATED = load("parameters").number


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
        Pressure lost over the square of the flow, with the fan's own, but for fins and by-pass [Pa/(m³/s)²].
    fin_resistance, bypass_resistance : float or numpy.ndarray
        The same of the ways between the fins and past them [Pa/(m³/s)²].
    help : float or numpy.ndarray
        Wind and fan at no flow [Pa]; negative against the draught.
    buoyancy : float or numpy.ndarray
        Draught of a column, over its height and the heat in it divided by the flow [Pa/(m W/(m³/s))].
    height_of_low_heat, height_of_high_heat : float or numpy.ndarray
        Heights of column that the heat given off before the condenser warms with its own rise alone, and
        that both heats warm together [m].
    absorber_height, fin_column : float or numpy.ndarray
        Heights over which the absorber warms the air, and over which that between the fins is the warmer [m].
    unmixed : float or numpy.ndarray
        Part of the air past the fins that has not mixed into the air at the tubes.
    fin_speed : float or numpy.ndarray
        Speed between the fins over the flow between them [1/m²].
    recirculation : float or numpy.ndarray
        Part of the air at the lower vent that has come round from the outlet.
    slot : Slot
        Of the gaps at the sides.
    slot_draught, slot_conductance : float or numpy.ndarray
        Of the same: draught over the air's rise [Pa/K], conductance over the speed [W/K/(m/s)].
    side_warmth, side_to_room : float or numpy.ndarray
        Of the same: how warm the air is that enters, as a part of the rise before the condenser; conductance
        to the room [W/K].
    pocket_exchange, pocket_wall, pocket_to_room : float or numpy.ndarray
        Of the space over the top: conductance into it over the root of the rise there [W/K^1.5], through its
        walls, and to the room [W/K].
    food_side_share, food_behind_share, freezer_top_share : float or numpy.ndarray
        Parts of the compartments' conductances that lead there.
    """

    ambient_temperature: Floats
    room_temperature: Floats
    capacity: Floats
    resistance: Floats
    fin_resistance: Floats
    bypass_resistance: Floats
    help: Floats
    buoyancy: Floats
    height_of_low_heat: Floats
    height_of_high_heat: Floats
    absorber_height: Floats
    fin_column: Floats
    unmixed: Floats
    fin_speed: Floats
    recirculation: Floats
    slot: Slot
    slot_draught: Floats
    slot_conductance: Floats
    side_warmth: Floats
    side_to_room: Floats
    pocket_exchange: Floats
    pocket_wall: Floats
    pocket_to_room: Floats
    food_side_share: Floats
    food_behind_share: Floats
    freezer_top_share: Floats

    @property
    def forced_share(self) -> Floats:
        """Part of the air that passes between the fins where it is as warm there as beside them."""
        return 1.0 / (1.0 + np.sqrt(self.fin_resistance / self.bypass_resistance))

    def both_ways(self, fin_share: Floats) -> Floats:
        """Resistance of fins and by-pass together [Pa/(m³/s)²]: the mean over the air that takes either."""
        past = 1.0 - fin_share
        through = fin_share * fin_share * fin_share * self.fin_resistance
        return through + past * past * past * self.bypass_resistance

    def tube_share(self, fin_share: Floats) -> Floats:
        """Part of the air that the heat at the tubes first mixes into, by the part between the fins."""
        return 1.0 - (1.0 - fin_share) * self.unmixed


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
    air_pressure: Floats = air.ATMOSPHERE,
    parameter: Callable[[str], Floats] = _CALIBRATED,
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
    air_pressure : float or numpy.ndarray
        Of the atmosphere [Pa].
    parameter : callable
        Value of a parameter in SI units, by its name in the table of parameters.

    Returns
    -------
    AirPath
    """
    density = air.density(ambient_temperature, air_pressure)
    capacity = density * air.specific_heat(ambient_temperature)
    lower, upper = (
        np.maximum(area, parameter("vent_leak_area")) * parameter("vent_discharge_coefficient")
        for area in (lower_area, upper_area)
    )
    behind = loss(np.multiply(width, cavity_depth), parameter("cavity_loss_coefficient"))
    fins = effective_area(fin_area, parameter("fin_loss_coefficient"))
    whole_gap = np.subtract(cavity_depth, parameter("fin_depth")) + parameter("bypass_without_baffle")
    bypass = effective_area(np.minimum(baffle_gap, whole_gap) * width, parameter("bypass_loss_coefficient"))
    # of the depth, by the warm air that rises at the tubes and spreads as a plume does
    reached = parameter("plume_spread") * np.divide(absorber_height, cavity_depth)
    half_condenser = parameter("condenser_height") / 2.0
    warmed = buoyancy(ambient_temperature, 1.0, air_pressure)
    return AirPath(
        ambient_temperature=ambient_temperature,
        room_temperature=room_temperature,
        capacity=capacity,
        resistance=resistance(density, loss(lower), loss(upper), behind) + fan.resistance,
        fin_resistance=resistance(density, loss(fins)),
        bypass_resistance=resistance(density, loss(np.maximum(bypass, _LEAST_WAY))),
        help=np.add(wind_pressure, fan.shut_off_pressure),
        buoyancy=warmed / capacity,
        # a heat that is given off evenly over a height warms half of that height, and all above
        height_of_low_heat=np.multiply(absorber_height, 0.5) + half_condenser,
        height_of_high_heat=half_condenser + np.asarray(outlet_height),
        absorber_height=absorber_height,
        fin_column=parameter("fin_draught_height"),
        unmixed=1.0 - parameter("mixing") * np.minimum(reached, 1.0),
        fin_speed=1.0 / fin_area,
        recirculation=recirculation,
        slot=slot(side_gap, parameter("side_gap_path"), ambient_temperature, air_pressure),
        slot_draught=warmed * np.multiply(side_height, parameter("side_gap_column")),
        slot_conductance=capacity * np.multiply(side_gap, side_height) / parameter("side_gap_stream"),
        side_warmth=parameter("side_gap_warmth"),
        side_to_room=parameter("side_gap_room_conductance"),
        pocket_exchange=capacity
        * np.asarray(pocket_area)
        * exchange_speed(
            parameter("pocket_height"), ambient_temperature, parameter("pocket_discharge_coefficient")
        ),
        pocket_wall=parameter("pocket_wall_conductance"),
        pocket_to_room=parameter("pocket_room_conductance"),
        food_side_share=parameter("food_side_share"),
        food_behind_share=parameter("food_behind_share"),
        freezer_top_share=parameter("freezer_top_share"),
    )


def in_thin_air(pressure: Floats, radiated_share: Floats) -> Floats:
    """Conductance to air under a pressure [Pa], over that to air under the standard atmosphere.

    Both in free convection, by the fourth root of Grashof's number, and in laminar flow past plates, by the
    root of Reynolds', it goes with the root of the density; what is radiated stays.

    Examples
    --------
    At 5000 ft, where four fifths are convected.

    >>> round(float(in_thin_air(84300.0, 0.2)), 2)
    0.93
    """
    return radiated_share + (1.0 - radiated_share) * np.sqrt(np.divide(pressure, air.ATMOSPHERE))


class Flow(NamedTuple):
    """Air that passes.

    Attributes
    ----------
    total : numpy.ndarray
        Volume flow at outside density [m³/s].
    fin_share : numpy.ndarray
        Part of it that passes between the fins.
    """

    total: Floats
    fin_share: Floats


def air_flow(path: AirPath, low_heat: Floats, high_heat: Floats) -> Flow:
    """Air that passes.

    Parameters
    ----------
    path : AirPath
        The enclosure.
    low_heat, high_heat : float or numpy.ndarray
        Heat given off to the air before the condenser, and at the condenser and above [W].

    Returns
    -------
    Flow
        The one positive root of ``k V³ - c V = a``. Without heat, fan or wind it is next to nothing.
    """
    columns = path.height_of_low_heat * low_heat + path.height_of_high_heat * (low_heat + high_heat)
    drive = np.maximum(path.buoyancy * columns, _LEAST_DRIVE)
    ratio = path.fin_resistance / path.bypass_resistance
    share = path.forced_share
    whole = path.resistance + path.both_ways(share)
    # from above the root, where Newton's steps only come down
    flow = np.cbrt(drive / whole) + np.sqrt(np.maximum(path.help, 0.0) / whole)
    lift = path.buoyancy * path.fin_column / path.bypass_resistance
    low_lift = lift * path.unmixed * np.maximum(low_heat, 0.0)
    high_lift = 0.5 * lift * np.maximum(high_heat, 0.0)
    for _ in range(_SPLIT_STEPS):
        square = flow * flow
        lift = (low_lift / path.tube_share(share) + high_lift / share) / (square * flow)
        share = drawn_share(ratio, lift)
        square = square * (path.resistance + path.both_ways(share))
        flow = flow - ((square - path.help) * flow - drive) / (3.0 * square - path.help)
    return Flow(flow, share)


def air_temperatures(
    path: AirPath, flow: Flow, low_heat: Floats, high_heat: Floats
) -> tuple[Floats, Floats, Floats]:
    """Air near the tubes.

    Parameters
    ----------
    path : AirPath
        The enclosure.
    flow : Flow
        Air that passes.
    low_heat, high_heat : float or numpy.ndarray
        Heat given off before the condenser, and at the condenser and above [W].

    Returns
    -------
    inlet, condenser, outlet : numpy.ndarray
        Temperatures at the lower vent, before the condenser, and above it [K].
    """
    stream = path.capacity * flow.total
    mixed_rise = (low_heat + high_heat) / (stream * (1.0 - path.recirculation))
    inlet = path.ambient_temperature + path.recirculation * mixed_rise
    near = stream * path.tube_share(flow.fin_share)
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
    beside = path.side_warmth * rise
    conductance = path.slot_conductance * path.slot.speed(path.slot_draught * beside)
    weight = conductance / (conductance + path.side_to_room)
    side = room + weight * (path.ambient_temperature + beside - room)

    above = np.maximum(outlet_air_temperature - path.ambient_temperature, 0.0)
    conductance = path.pocket_wall + path.pocket_exchange * np.sqrt(above)
    weight = conductance / (conductance + path.pocket_to_room)
    pocket = room + weight * (outlet_air_temperature - room)

    of_side, of_behind, of_top = path.food_side_share, path.food_behind_share, path.freezer_top_share
    behind = path.ambient_temperature + 0.5 * rise  # the mean over the way up
    food = room + of_side * (side - room) + of_behind * (behind - room)
    freezer = (1.0 - of_top) / 3.0 * (room + side + condenser_air_temperature) + of_top * pocket
    return Surroundings(food, freezer, side, pocket)
