"""By which ways the air passes a condenser, and how warm it gets on each: what a scene of it draws."""

from typing import NamedTuple

import numpy as np

from warmside.arrays import Floats
from warmside.data import load
from warmside.model.installation import Installation
from warmside.model.refrigerator import State
from warmside.properties import air

_P = load("parameters").number


class AirWays(NamedTuple):
    """Parts of the air behind a refrigerator while it runs.

    Attributes
    ----------
    through : numpy.ndarray
        Part of it that passes between the fins.
    near : numpy.ndarray
        Part of it that touches the tubes: what passes between the fins, and what mixes into that. The rest
        stays as it came in.
    past_gap : numpy.ndarray
        How wide the way past the fins is, at its narrowest [m].
    """

    through: np.ndarray
    near: np.ndarray
    past_gap: np.ndarray


def air_ways(installation: Installation, state: State, ambient: Floats) -> AirWays:
    """Return by which ways the air of refrigerators passes, at temperatures outside [K].

    What touches the tubes carries all the heat off, and so follows from heat and temperatures; how much of
    it passes the fins, from how far air mixes in `warmside.model.enclosure`.

    Examples
    --------
    >>> from warmside.model.refrigerator import steady_state
    >>> eight = Installation.of("8 cu ft")
    >>> ways = air_ways(eight, steady_state(eight, 312.0), 312.0)
    >>> round(float(ways.through), 2), round(float(ways.near), 2)
    (0.89, 0.96)
    """
    given_off = (
        state.absorber_heat
        + state.boiler_loss
        + state.rectifier_heat
        + state.condenser_heat
        + state.flue_heat
    )
    stream = air.density(ambient) * air.specific_heat(ambient) * state.air_flow
    near = given_off / (stream * (state.outlet_air_temperature - state.inlet_air_temperature))
    depth = installation.cavity_depth
    reached = _P("plume_spread") * installation.of_size("absorber_height") / depth
    unmixed = 1.0 - _P("mixing") * np.minimum(reached, 1.0)
    through = 1.0 - (1.0 - near) / unmixed
    whole_gap = depth - _P("fin_depth") + _P("bypass_without_baffle")
    past_gap = np.minimum(installation.baffle_gap, whole_gap)
    shape = np.shape(through)
    return AirWays(*(np.broadcast_to(np.clip(each, 0.0, 1.0), shape) for each in (through, near, past_gap)))
