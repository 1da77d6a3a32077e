"""What an enclosure does to the food, in one sentence with its reason: the one that costs most."""

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from warmside.data import load
from warmside.show.departures import gained, mended
from warmside.show.enclosure import (
    SUPPLIES,
    Enclosure,
    Solved,
    difference,
    solve,
    solve_all,
    temperature,
)
from warmside.units import ZERO_CELSIUS, from_si, show

_RATINGS = load("ratings")
_COUNTS = 0.1  # K; what costs less is no reason
_COUNTS_MORE = 0.3  # K; what the model vouches for and costs as much goes before what it can't tell
BY_PRACTICE = frozenset(("baffle", "baffle_gap", "rear_gap"))
"""Departures of which practice says that they cost, and the model can't tell on most sizes."""


class _Cause(NamedTuple):
    """One enclosure, the same with a departure put right, and what a reason says of them."""

    now: Solved
    without: Solved
    enclosure: Enclosure
    system: str

    def warm(self, name: str) -> str:
        """Return one of the air's temperatures as text."""
        return temperature(float(getattr(self.now.now, name)), self.system)

    @property
    def flow(self) -> str:
        return flow_text(float(self.now.now.air_flow), self.system)

    @property
    def free(self) -> str:
        return flow_text(float(self.without.now.air_flow), self.system)

    @property
    def past(self) -> str:
        return percent(1.0 - float(self.now.ways.through))


def _less_air(start: str) -> Callable[[_Cause], str]:
    return lambda it: (
        f"{start} {it.flow} instead of {it.free}, and that air comes to the fins at "
        f"{it.warm('condenser_air_temperature')}"
    )


def _over_the_top(it: _Cause) -> str:
    return f"air of {it.warm('pocket_air_temperature')} lies over the cabinet and warms it from above"


def _wind(it: _Cause) -> str:
    if it.enclosure.wind == "along the wall":
        return f"the wind brings its own warm air back in below, at {it.warm('inlet_air_temperature')}"
    return f"the wind pushes against the draft: {it.flow} pass instead of {it.free}"


def _too_little_heat(it: _Cause) -> str:
    of_nominal = percent(it.enclosure.supply)
    return f"its heat source gets {of_nominal} of its volts or pressure, and heat is what drives the unit"


_REASONS: dict[str, Callable[[_Cause], str]] = {
    "baffle": lambda it: f"with no baffle {it.past} of the air goes past the fins",
    "baffle_gap": lambda it: f"the baffle stands wrong, and {it.past} of the air goes past the fins",
    "rear_gap": lambda it: f"it is deep behind the fins, and {it.past} of the air goes past them",
    "top_gap": _over_the_top,
    "pocket_open": _over_the_top,
    "side_gap": lambda it: f"air of {it.warm('side_air_temperature')} rises beside the cabinet and warms it",
    "lower_blocked": _less_air("the lower vent lets in"),
    "upper_blocked": _less_air("the outlet lets out"),
    "fan": lambda it: f"the fan stands in the way: {it.flow} pass where {it.free} would by themselves",
    "wind": _wind,
    **dict.fromkeys(SUPPLIES.values(), _too_little_heat),
}


def percent(part: float) -> str:
    """Return a part as whole per cent."""
    return f"{100.0 * part:.0f} %"


@lru_cache(maxsize=1024)
def flow_text(flow: float, system: str) -> str:
    """Return an air flow [m³/s] as text."""
    return show(from_si(flow, "volume_flow"), system, kind="volume_flow", digits=0)


def asked_for(enclosure: Enclosure) -> list[Enclosure]:
    """Return the enclosures that the sentence on one looks at, to be solved together."""
    return [enclosure, *mended(enclosure).values(), *_with_roof_vent(enclosure)]


def _with_roof_vent(enclosure: Enclosure) -> list[Enclosure]:
    """Return the same with its outlet in the roof, where it is in the wall."""
    return [replace(enclosure, outlet="roof")] if enclosure.outlet == "wall" else []


def dearest(enclosure: Enclosure) -> tuple[str, Solved] | None:
    """Return the departure that costs most, by its field, and the enclosure solved with it put right."""
    by_name = mended(enclosure)
    as_is, *others = solve_all(enclosure, *by_name.values())
    found = [
        (gained(as_is, other), as_is.food - other.food, name, other)
        for name, other in zip(by_name, others, strict=True)
    ]
    found = [one for one in found if one[0] > _COUNTS or one[1] > _COUNTS]
    vouched = [one for one in found if one[2] not in BY_PRACTICE and max(one[:2]) > _COUNTS_MORE]
    if not found:
        return None
    *_, name, other = max(vouched or found, key=lambda one: one[:2])
    return name, other


def too_warm(enclosure: Enclosure) -> bool:
    """Tell whether the food is beyond its limit on the day's mean."""
    return solve(enclosure).food > _RATINGS["food_limit"][enclosure.rating]


@lru_cache(maxsize=2048)
def because(enclosure: Enclosure, system: str = "US") -> str:
    """Say in one or two sentences what the food does and why.

    Examples
    --------
    >>> because(Enclosure())
    'The food holds because 89 % of the air, 39 cfm, goes through the fins and takes their heat along.'
    """
    solved, cause = solve(enclosure), dearest(enclosure)
    if cause is None:
        return f"{_state(enclosure, solved, system)} because {_as_it_should(enclosure, system)}."
    name, without = cause
    reason = _REASONS[name](_Cause(solved, without, enclosure, system))
    state = _state(enclosure, solved, system, 0.0 if name in BY_PRACTICE else gained(solved, without))
    if name in BY_PRACTICE:
        said = reason[0].upper() + reason[1:]
        return f"{state.rstrip(',')}. {said}: practice says that costs."
    if without.food > _RATINGS["food_limit"][enclosure.rating]:
        reason = f"{temperature(enclosure.ambient, system)} is more than it can do, and {reason}"
    return f"{state} because {reason}."


def _as_it_should(enclosure: Enclosure, system: str) -> str:
    """Say why food is as it is where nothing that departs is to blame."""
    solved = solve(enclosure)
    if solved.food < ZERO_CELSIUS:
        return "the unit runs all the time and nothing stops it"
    if solved.food_high > _RATINGS["food_limit"][enclosure.rating]:
        outside = temperature(enclosure.ambient + enclosure.swing, system)
        return f"{outside} outside is more than it can do, however it is built in"
    if np.isnan(solved.holds) or solved.holds < _RATINGS["rated_ambient"][enclosure.rating]:
        for roof in solve_all(*_with_roof_vent(enclosure)):
            if gained(solved, roof) > _COUNTS_MORE:
                higher = flow_text(float(roof.now.air_flow), system)
                flow = flow_text(float(solved.now.air_flow), system)
                return f"an outlet in the wall draws less: {flow} pass, with a vent in the roof {higher}"
        return "that is all that this cabinet can do, however it is built in"
    part = float(solved.ways.through)
    through = flow_text(part * float(solved.now.air_flow), system)
    helped = ", with the fan's help," if enclosure.fan != "none" else ","
    return f"{percent(part)} of the air, {through}{helped} goes through the fins and takes their heat along"


def _state(enclosure: Enclosure, solved: Solved, system: str, lost: float = 0.0) -> str:
    """Say what the food does, and what was lost [K] of the heat outside that it would hold."""
    limit, rated = (_RATINGS[name][enclosure.rating] for name in ("food_limit", "rated_ambient"))
    if solved.food > limit:
        return "The food is too warm"
    if solved.food < ZERO_CELSIUS:
        return f"The food freezes, at {temperature(solved.food, system)},"
    if enclosure.swing > 0.0 and solved.food_high > limit:
        high = temperature(solved.food_high, system)
        return f"The food holds on the day's mean, and comes to {high} in the afternoon,"
    if np.isnan(solved.holds) or solved.holds < rated:
        below = "all margin is gone"
        if not np.isnan(solved.holds):
            below = f"the limit is {difference(rated - solved.holds, system)} below the rating"
        return f"The food holds today, but {below},"
    return f"The food holds, with {difference(lost, system)} less to spare," if lost else "The food holds"
