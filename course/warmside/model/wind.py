"""What wind, or a fan that blows the wrong way, does to the air behind a refrigerator.

Wind presses on the openings (`Installation.wind_pressure`), may turn the flow, and may bring the warm air of
an outlet in the wall back to the lower vent (`Installation.recirculation`). The model knows no flow that has
turned; here stands where it may.

Examples
--------
Eight cubic feet that give off 200 W before the condenser and 110 W at it and above, against pressures of 0.3
and 2 Pa.

>>> from warmside.model.enclosure import air_path
>>> path = air_path(
...     ambient_temperature=305.0, room_temperature=305.0, lower_area=0.075, upper_area=0.065,
...     fin_area=0.05, baffle_gap=0.01, cavity_depth=0.105, width=0.6, absorber_height=0.9,
...     outlet_height=0.6, side_gap=0.006, side_height=1.35, pocket_area=0.0,
...     wind_pressure=np.array([-0.3, -2.0]))
>>> may_turn(path, 200.0, 110.0).tolist()
[False, True]
"""

import numpy as np

from warmside.arrays import Floats
from warmside.data import load
from warmside.model.enclosure import AirPath

_P = load("parameters").number
_LITTLE_HEAT = 1.0  # W; warms the air by less than 0.1 K


def may_turn(path: AirPath, low_heat: Floats, high_heat: Floats) -> np.ndarray:
    """Tell where wind or fan press down so hard that air may as well flow down, against the draught.

    Parameters
    ----------
    path : AirPath
        The enclosure.
    low_heat, high_heat : float or numpy.ndarray
        Heat given off before the condenser, and at the condenser and above [W].

    Returns
    -------
    numpy.ndarray of bool

    Notes
    -----
    Air that flows down loses ``k V²`` on its way, and the same heats warm it and so hold it up by ``a/V``: at
    least ``3 (k a²/4)^(1/3)`` together. A lesser pressure can't keep it going down. With more, air may flow
    either way, and which it does depends on what was before (reference 1).

    References
    ----------
    .. [1] Y. Li and A. Delsante, Natural ventilation induced by combined wind and thermal forces, Building
           and Environment 36 (2001) 59, from memory.
    """
    above_absorber = path.height_of_low_heat - 0.5 * path.absorber_height  # to the condenser's middle
    low_column, high_column = 0.5 * path.absorber_height, path.absorber_height + above_absorber
    held_up = path.buoyancy * (low_column * low_heat + high_column * high_heat)
    whole = path.resistance + path.both_ways(path.forced_share)
    warmed = np.add(low_heat, high_heat) > _LITTLE_HEAT  # else nothing hangs on which way the air goes
    return np.asarray(warmed & (-path.help > 3.0 * np.cbrt(0.25 * whole * np.square(held_up))))


def recirculation(flow: Floats, speed: Floats, distance: Floats) -> Floats:
    """Most of the air at an inlet that wind may bring there from an outlet in the same wall.

    Parameters
    ----------
    flow : float or numpy.ndarray
        Air that leaves the outlet, more than 0 [m³/s].
    speed : float or numpy.ndarray
        Of the wind [m/s].
    distance : float or numpy.ndarray
        Between outlet and inlet, along the wall [m].

    Returns
    -------
    numpy.ndarray
        A part of the inlet's air, 0 in still air, where warm air rises from an outlet above the inlet. With
        an awning or a topper over the outlet, which holds it, nothing is known.

    Notes
    -----
    ``1/(1 + sqrt(B U S²/V))²``: the least dilution at a distance S downwind of an opening without a jet
    (reference 1), here with the inlet straight downwind. A wind that is slow beside the speed at which warm
    air rises doesn't carry it down: times ``U²/(U² + u²)``, which is no published formula. On average over
    the winds it is a fraction of this.

    References
    ----------
    .. [1] ASHRAE Handbook, HVAC Applications, chapter "Building Air Intake and Exhaust Design", after D. J.
           Wilson: critical dilution along a wall, from memory.

    Examples
    --------
    A wall's outlet 1.2 m over its inlet, 75 m³/h, in still air and in winds of 1 and 4 m/s.

    >>> recirculation(75 / 3600, np.array([0.0, 1.0, 4.0]), 1.2).round(2).tolist()
    [0.0, 0.1, 0.04]
    """
    spread = _P("wall_plume_spread") * speed * np.square(distance) / flow
    carried = np.square(speed) / (np.square(speed) + np.square(_P("wall_plume_rise")))
    return carried / np.square(1.0 + np.sqrt(spread))
