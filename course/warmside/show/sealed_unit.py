"""A sealed unit of eight cubic feet: what can be changed about it, and what the model makes of it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields, replace
from functools import cache
from typing import NamedTuple

import numpy as np

from warmside.data import load
from warmside.model.cycle_points import CyclePoints, cycle_points
from warmside.model.installation import Installation
from warmside.model.refrigerator import State, steady_state
from warmside.show.enclosure import temperature
from warmside.units import to_si, ureg

SIZE = "8 cu ft"
NOMINAL = Installation.of(SIZE)
_RATINGS = load("ratings")
LIMIT, RATED = (float(_RATINGS.in_column(name, "T")) for name in ("food_limit", "rated_ambient"))
"""What the food may come to, and up to which ambient [K]."""
WARM, MIDDLE, COLD, ALWAYS = "warm", "middle", "cold", "coldest, runs all the time"
_SETTINGS = {WARM: 42.0, MIDDLE: 38.0, COLD: 34.0}  # °F
POINTS = {
    "boiler": "Boiler",
    "pump": "Bubble pump",
    "rectifier": "Rectifier",
    "condenser": "Condenser",
    "freezer": "Freezer’s coil",
    "food": "Food’s coil",
    "light": "Gas to the freezer",
    "heavy": "Gas to the absorber",
    "strong": "Strong solution",
    "weak": "Weak solution",
}
"""What can be read, in the order in which ammonia comes past."""
FLOWS = ("all", "ammonia", "hydrogen", "solution")
"""Which flow is followed."""


@dataclass(frozen=True)
class SealedUnit:
    """A unit, the heat it gets and the day. As it comes it is in order.

    Attributes
    ----------
    heat : float
        Of the heat that stands on the plate.
    ambient : float
        Of the air outside [K].
    tilt : float
        How far out of level it stands to the side [rad].
    charge : float
        Pressure of the charge over the usual one.
    setting : str
        Of the thermostat: `WARM`, `MIDDLE`, `COLD` or `ALWAYS`.
    point, flow : str
        What is read, one of `POINTS`, and what is followed, one of `FLOWS`: they change nothing.
    """

    heat: float = 1.0
    ambient: float = 310.928  # 100 °F
    tilt: float = 0.0
    charge: float = 1.0
    setting: str = ALWAYS
    point: str = "freezer"
    flow: str = "all"


def _kelvin(fahrenheit: float) -> float:
    return to_si(ureg.Quantity(fahrenheit, "degF"), "temperature")


SITUATIONS = {
    "In order": SealedUnit(),
    "Mild day": SealedUnit(ambient=_kelvin(75)),
    "Air too hot": SealedUnit(ambient=_kelvin(117)),
    "Too little heat": SealedUnit(heat=0.6),
    "More heat": SealedUnit(heat=1.3),
    "Out of level": SealedUnit(tilt=float(np.radians(5.0))),
    "Charge too low": SealedUnit(charge=0.7, ambient=_kelvin(105)),
    "Under its thermostat": SealedUnit(ambient=_kelvin(75), setting=MIDDLE),
}
"""What to load, by what people read."""


class Solved(NamedTuple):
    """What the model makes of a unit: its state, followed round the cycle."""

    state: State
    points: CyclePoints

    @property
    def is_known(self) -> bool:
        """Whether the model can tell what it does."""
        return bool(self.state.converged)

    @property
    def fails(self) -> bool:
        """Whether it hardly cools, so that its temperatures say no more than that."""
        return bool(self.state.failed)

    @property
    def holds(self) -> bool:
        """Whether the food keeps within its limit."""
        return self.is_known and not self.fails and float(self.state.food_temperature) <= LIMIT

    @property
    def condensed(self) -> float:
        """Part of the ammonia gas that turns to liquid."""
        gas = float(self.state.vapour_flow)
        return float(self.state.condensate_flow) / gas if gas > 0.0 else 1.0


def installation_of(*units: SealedUnit) -> Installation:
    """Return units as installations of one shape."""
    each = {name: np.array([getattr(one, name) for one in units]) for name in ("heat", "tilt", "charge")}
    return NOMINAL.changed(
        heat_input=each["heat"] * float(NOMINAL.heat_input),
        side_tilt=each["tilt"],
        charge_pressure=each["charge"] * float(NOMINAL.charge_pressure),
    )


def held(unit: SealedUnit) -> float:
    """Return what the thermostat holds [K]; 0 where the unit runs all the time."""
    return _kelvin(_SETTINGS[unit.setting]) if unit.setting in _SETTINGS else 0.0


_MOST_KNOWN = 4096
_known: dict[SealedUnit, Solved] = {}


def solve(unit: SealedUnit) -> Solved:
    """Return what the model makes of a unit."""
    return solve_all([unit])[0]


def solve_all(units: Iterable[SealedUnit]) -> list[Solved]:
    """Return what the model makes of some units, solved together."""
    keys = [replace(unit, point=SealedUnit.point, flow=SealedUnit.flow) for unit in units]
    new = list(dict.fromkeys(key for key in keys if key not in _known))
    if new:
        if len(_known) + len(new) > _MOST_KNOWN:
            _known.clear()
            new = list(dict.fromkeys(keys))
        state = states_of(new)
        _known.update((key, _single(state, place)) for place, key in enumerate(new))
    return [_known[key] for key in keys]


def states_of(units: list[SealedUnit], among: Callable[[Installation], Installation] | None = None) -> State:
    """Return the states of units; `among` may put others in their places, such as plausible ones."""
    installation = installation_of(*units)
    ambients, settings = np.array([one.ambient for one in units]), np.array([held(one) for one in units])
    return steady_state(among(installation) if among else installation, ambients, setting=settings)


def _single(state: State, place: int) -> Solved:
    one = State(**{each.name: getattr(state, each.name)[place] for each in fields(State)})
    return Solved(one, cycle_points(one))


# --- texts ------------------------------------------------------------------------------------------------


@cache
def _one(si_unit: str, unit: str) -> float:
    """Return how many of a unit one SI unit is; a scene needs forty texts at each move of a hand."""
    return float(ureg.Quantity(1.0, si_unit).m_as(unit))


def pressure_text(pascals: float, system: str) -> str:
    """Return an absolute pressure as text."""
    unit, digits = {"US": ("psi", 0), "SI": ("bar", 1)}[system]
    return f"{pascals * _one('Pa', unit):.{digits}f} {unit}"


def power_text(watts: float, system: str) -> str:
    """Return a heat flow as text."""
    unit, label = {"US": ("Btu/hour", "Btu/h"), "SI": ("W", "W")}[system]
    return f"{watts * _one('W', unit):z,.0f} {label}"


def gas_text(flow: float, system: str) -> str:
    """Return what flows of ammonia or hydrogen [kg/s] as text."""
    unit, label, digits = {"US": ("oz/hour", "oz/h", 1), "SI": ("g/hour", "g/h", 0)}[system]
    return f"{flow * _one('kg/s', unit):z.{digits}f} {label}"


def solution_text(flow: float, system: str) -> str:
    """Return what flows of solution [kg/s] as text."""
    unit, label = {"US": ("lb/hour", "lb/h"), "SI": ("kg/hour", "kg/h")}[system]
    return f"{flow * _one('kg/s', unit):z.1f} {label}"


def percent(part: float) -> str:
    """Return a part as text."""
    return f"{100.0 * part:z.0f} %"


def degrees_text(unit: SealedUnit) -> str:
    """Return how far it stands out of level, as text."""
    return f"{np.degrees(unit.tilt):.3g}°"


def food_text(solved: Solved, system: str) -> str:
    """Return what the food comes to, as far as the model can tell."""
    if not solved.is_known:
        return "can’t tell"
    return "not cooled" if solved.fails else temperature(float(solved.state.food_temperature), system)
