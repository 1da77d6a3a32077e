"""The cooling unit by itself on a bench, in free air and without an enclosure, as laboratories measure it.

The same equations as in the enclosure, with air of given temperatures around absorber and condenser, and the
coils loaded by a box that is kept at a temperature.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from warmside.arrays import Floats
from warmside.model import cooling_unit, fixed_point
from warmside.model.cycle_state import LOWER, START, UPPER, Cycle, Settling, Unit, from_unknowns, to_unknowns
from warmside.model.installation import Installation

PRESSURE, ROOM = 20.7e5, 295.15
"""Of the published bench [Pa, K]: ASME Heat Transfer Summer Conference 2017, V001T09A004, abstract."""
_AS_BUILT = (
    "design_vapour_flow",
    "gas_flow",
    "absorber_conductance",
    "condenser_conductance",
    "boiler_loss_conductance",
    "freezer_coil_conductance",
    "food_coil_conductance",
    "partition_conductance",
)
_AS_CALIBRATED = (
    "pressure_rise",
    "pump_threshold",
    "pump_bend",
    "wetting_exponent",
    "freezer_share",
    "condensing_limit_width",
    "condenser_still_share",
)
_STANDING = 298.15  # K, at which the charge's pressure is given
_BOX_CONDUCTANCE = 1e4  # W/K; the box keeps its temperature whatever the coils take
_FIN_CAPACITY_FLOW, _FIN_SPEED = 30.0, 0.45  # W/K, m/s: free air at the fins, at the speed of the calibration


class _Bench(NamedTuple):
    unit: Unit
    absorber_air: Floats
    box: float


def on_a_bench(
    heat_input: ArrayLike,
    *,
    absorber_air_temperature: ArrayLike = ROOM,
    box: float = ROOM,
    running_pressure: float = PRESSURE,
    built_as: Installation | None = None,
) -> tuple[Cycle, np.ndarray]:
    """Return the state of a unit on a bench.

    Parameters
    ----------
    heat_input : array_like
        Heat of the boiler [W], shape (cases,).
    absorber_air_temperature : array_like, optional
        Of the air at the absorber [K].
    box : float, optional
        What the coils stand in [K].
    running_pressure : float, optional
        About the pressure in the running unit [Pa].
    built_as : Installation, optional
        Whose unit; that of eight cubic feet where it isn't given.

    Returns
    -------
    state : Cycle
    converged : numpy.ndarray
        Whether it was found.

    Examples
    --------
    >>> state, converged = on_a_bench(400.0)
    >>> bool(converged.all()), round(float(state.cop[0]), 2)
    (True, 0.29)
    """
    whose = Installation.of("8 cu ft") if built_as is None else built_as
    heat, absorber_air = np.broadcast_arrays(np.asarray(heat_input, float), absorber_air_temperature)
    heat, absorber_air = np.atleast_1d(heat), np.atleast_1d(absorber_air)
    # the pressure at standstill that gives this one with a lukewarm absorber
    standing = running_pressure * _STANDING / (0.5 * (ROOM + 40.0) + 0.5 * (ROOM + 10.0))
    unit = Unit(
        heat_input=heat,
        charge_pressure=standing,
        circulation=1.0,
        freezer_conductance=_BOX_CONDUCTANCE,
        food_conductance=_BOX_CONDUCTANCE,
        **{name: whose.of_size(name) for name in _AS_BUILT},
        **{name: whose.parameter(name) for name in _AS_CALIBRATED},
    )
    start = np.repeat(np.array(START)[:, np.newaxis], heat.size, axis=1)
    lower, upper = (np.array(values)[:, np.newaxis] for values in (LOWER, UPPER))
    bench = _Bench(unit, absorber_air, box)
    found = fixed_point.solve(fixed_point.Problem(_once_round, bench, start, lower, upper))
    return _round(found.x, bench)[0], found.converged


def _round(x: np.ndarray, bench: _Bench) -> tuple[Cycle, Settling]:
    unit = bench.unit
    now = from_unknowns(x, unit, ROOM)
    state = cooling_unit.cycle(now, unit, ROOM, bench.box, bench.box)
    condensate, _ = cooling_unit.condensed(state, unit, ROOM, _FIN_CAPACITY_FLOW, _FIN_SPEED)
    return state, cooling_unit.settled(now, state, unit, bench.absorber_air, condensate)


def _once_round(x: np.ndarray, bench: _Bench) -> np.ndarray:
    return np.array(to_unknowns(_round(x, bench)[1], bench.unit, ROOM))
