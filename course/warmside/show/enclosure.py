"""The enclosure as an air path: what can be changed about it, and what the model makes of it, in words."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import cache, lru_cache
from typing import Any

import numpy as np

from warmside.data import load
from warmside.model import wind
from warmside.model.cabinet import Thermostat
from warmside.model.draught import Fan
from warmside.model.heat_source import heat_share
from warmside.model.installation import NO_BAFFLE, Installation
from warmside.model.refrigerator import State, steady_state
from warmside.model.running import felt_day
from warmside.show.air_ways import AirWays, air_ways
from warmside.units import from_si, show, to_si, ureg

_RATINGS = load("ratings")
_HEATERS, _PRACTICE = load("heaters"), load("practice")
_CORRECT = Installation.of("8 cu ft")
_FANS, _WINDS, _P = load("lab_fans"), load("lab_winds"), load("parameters").number
FANS, WINDS = _FANS.columns, _WINDS.columns
"""Fans and winds by name."""
THERMOSTAT = Thermostat().setting
"""What the thermostat holds the food at, where it doesn't stand at full demand [K]."""
_NEVER_REACHED = 0.0  # K; a setting at which the unit runs all the time
GRID = np.linspace(294.0, 324.0, 25)
"""Ambients of the curve [K]."""
_INSIDE = np.linspace(0.0, 1.0, 9)  # of a step of the grid


@dataclass(frozen=True)
class Enclosure:
    """A refrigerator in its enclosure, and the day. Lengths in m, temperatures in K.

    As it comes it is correct.

    Attributes
    ----------
    size, rating, outlet : str
        As in `Installation`.
    top_gap, side_gap, rear_gap, baffle_gap : float
        Over the top, at each side, behind the fins, and from the baffle to them [m].
    baffle, pocket_open : bool
        Whether there is a baffle; whether the space over the cabinet is open to the warm side.
    lower_blocked, upper_blocked : float
        Part of the vents that is shut.
    fan, wind : str
        One of `FANS` and of `WINDS`.
    heat_source : str
        "mains", "battery" or "gas".
    mains_voltage, battery_voltage, gas_pressure : float
        Volts at the heaters, and the burner's gas pressure above the air's [V, Pa]; the heat source's own
        counts.
    full_demand : bool
        Whether the unit runs all the time; else its thermostat stands at the usual setting.
    ambient, swing : float
        Mean outside, and half of what lies between night and afternoon [K].
    """

    size: str = _CORRECT.size
    rating: str = _CORRECT.rating
    outlet: str = _CORRECT.outlet
    top_gap: float = _CORRECT.top_gap
    side_gap: float = _CORRECT.side_gap
    rear_gap: float = _CORRECT.rear_gap
    baffle: bool = True
    baffle_gap: float = _CORRECT.baffle_gap
    pocket_open: bool = False
    lower_blocked: float = _CORRECT.lower_vent_blocked
    upper_blocked: float = _CORRECT.upper_vent_blocked
    fan: str = "none"
    wind: str = "calm"
    heat_source: str = _CORRECT.heat_source
    mains_voltage: float = float(_HEATERS["nominal_voltage"]["mains"])
    battery_voltage: float = float(_HEATERS["nominal_voltage"]["battery"])
    gas_pressure: float = float(_PRACTICE["gas_pressure"])
    full_demand: bool = False
    ambient: float = 312.0389  # 102 °F
    swing: float = 0.0

    @property
    def supply(self) -> float:
        """Volts or gas pressure of its heat source over the nominal."""
        field = SUPPLIES[self.heat_source]
        return getattr(self, field) / getattr(Enclosure, field)


SUPPLIES = {"mains": "mains_voltage", "battery": "battery_voltage", "gas": "gas_pressure"}
"""The field that counts, by heat source."""


def installation_of(*enclosures: Enclosure) -> Installation:
    """Return enclosures as one installation of arrays, shape (count, 1)."""

    def each(value: Callable[[Enclosure], Any]) -> np.ndarray:
        return np.array([[value(enclosure)] for enclosure in enclosures])

    size, rating, source = (
        each(value) for value in (lambda one: one.size, lambda one: one.rating, lambda one: one.heat_source)
    )
    nominal = Installation.of(size, rating=rating, heat_source=source)
    outlet, windy = each(lambda one: one.outlet), each(lambda one: _WINDS["speed"][one.wind])
    return nominal.changed(
        outlet=outlet,
        top_gap=each(lambda one: one.top_gap),
        side_gap=each(lambda one: one.side_gap),
        rear_gap=each(lambda one: one.rear_gap),
        baffle_gap=each(lambda one: one.baffle_gap if one.baffle else NO_BAFFLE),
        pocket_opening=nominal.of_size("width") * _P("pocket_depth") * each(lambda one: one.pocket_open),
        lower_vent_blocked=each(lambda one: one.lower_blocked),
        upper_vent_blocked=each(lambda one: one.upper_blocked),
        fan=Fan(
            each(lambda one: _FANS["shut_off_pressure"][one.fan]),
            each(lambda one: _FANS["free_speed"][one.fan]) * nominal.upper_vent_area,
        ),
        wind_pressure=each(lambda one: _WINDS["pressure"][one.wind]),
        recirculation=np.where(outlet == "wall", _comes_round(nominal, windy), 0.0),
        heat_input=nominal.heat_input * heat_share(source, each(lambda one: one.supply)),
    )


def _comes_round(nominal: Installation, speed: np.ndarray) -> np.ndarray:
    """Return the part of the air that a wind [m/s] brings back from an outlet in the wall."""
    heights = nominal.of_size("absorber_height"), nominal.of_size("wall_outlet_height")
    flow = _P("outlet_air_speed") * nominal.upper_vent_area
    return np.asarray(wind.recirculation(flow, speed, sum(heights) + _P("condenser_height")))


@dataclass(frozen=True, eq=False)
class Solved:
    """What the model makes of an enclosure.

    Attributes
    ----------
    now : State
        At the mean ambient, scalars.
    ways : AirWays
        Of the air there, scalars.
    food, food_low, food_high, freezer : float
        Means of the day, and the food's lowest and highest with the day's swing [K].
    duty : float
        Part of the day that the unit runs.
    holds : float
        Highest ambient at which the food compartment holds its limit at full demand [K]; nan for none.
    ambients, foods, freezers : numpy.ndarray
        The curve over the ambient [K], past the cliff too.
    duties : numpy.ndarray
        For what part of the time the unit runs at these ambients.
    """

    now: State
    ways: AirWays
    food: float
    food_low: float
    food_high: float
    freezer: float
    duty: float
    holds: float
    ambients: np.ndarray
    foods: np.ndarray
    freezers: np.ndarray
    duties: np.ndarray


_MOST_KNOWN = 4096
_known: dict[Enclosure, Solved] = {}


def solve(enclosure: Enclosure) -> Solved:
    """Solve an enclosure at its day's ambients and over all others."""
    return solve_all(enclosure)[0]


def solve_all(*enclosures: Enclosure) -> list[Solved]:
    """Solve several at once: fifty take little longer than one. What was solved before is known."""
    if len(_known) + len(enclosures) > _MOST_KNOWN:
        _known.clear()
    unknown = [one for one in dict.fromkeys(enclosures) if one not in _known]
    if unknown:
        _known.update(zip(unknown, _solve_anew(unknown), strict=True))
    return [_known[one] for one in enclosures]


def _solve_anew(enclosures: Sequence[Enclosure]) -> list[Solved]:
    installation = installation_of(*enclosures)
    days = [[one.ambient, *felt_day(one.ambient, one.swing)] for one in enclosures]
    grid = np.broadcast_to(GRID, (len(enclosures), GRID.size))
    setting = np.array([[_NEVER_REACHED if one.full_demand else THERMOSTAT] for one in enclosures])
    state = steady_state(installation, np.concatenate([days, grid], axis=1), setting=setting)
    ways = air_ways(installation, state, np.concatenate([days, grid], axis=1))
    limit = np.array([[_RATINGS["food_limit"][one.rating]] for one in enclosures])
    food, freezer, duty = state.food_temperature, state.freezer_temperature, state.duty
    # as at full demand: the thermostat's setting is below the limit
    held = (food[:, 4:] <= limit) & ~state.failed[:, 4:]
    holds = _holding(installation, held, limit)
    return [
        Solved(
            now=State(**{each.name: getattr(state, each.name)[one, 0] for each in fields(State)}),
            ways=AirWays(*(each[one, 0] for each in ways)),
            food=float(food[one, 1:4].mean()),
            food_low=float(food[one, 1:4].min()),
            food_high=float(food[one, 1:4].max()),
            freezer=float(freezer[one, 1:4].mean()),
            duty=float(duty[one, 1:4].mean()),
            holds=float(holds[one]),
            ambients=GRID,
            foods=food[one, 4:],
            freezers=freezer[one, 4:],
            duties=duty[one, 4:],
        )
        for one in range(len(enclosures))
    ]


def _holding(installation: Installation, held: np.ndarray, limit: np.ndarray) -> np.ndarray:
    """Highest ambient that holds at full demand [K], between the grid's last one that does and the next."""
    last = held.shape[1] - 1 - np.argmax(held[:, ::-1], axis=1)
    low = GRID[last]
    step = np.where(last < GRID.size - 1, GRID[1] - GRID[0], 0.0)
    state = steady_state(installation, low[:, np.newaxis] + step[:, np.newaxis] * _INSIDE)
    over = np.where(state.failed, np.inf, state.food_temperature) - limit
    # the first one over the limit, and how far before it the limit was passed
    first = np.argmax(np.c_[over > 0.0, np.ones(len(low), dtype=bool)], axis=1)
    rows = np.arange(len(low))
    before = over[rows, np.maximum(first - 1, 0)]
    after = over[rows, np.minimum(first, over.shape[1] - 1)]
    known = np.isfinite(after) & (after > 0.0) & (before <= 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(known, -before / (after - before), 0.0)
    place = (np.maximum(first - 1, 0) + part) * (_INSIDE[1] - _INSIDE[0])
    return np.where(held.any(axis=1), low + step * place, np.nan)


def without_effect(enclosure: Enclosure) -> set[str]:
    """Return the names of what makes no difference here: supplies of other heat sources, no baffle's gap."""
    idle = {field for source, field in SUPPLIES.items() if source != enclosure.heat_source}
    return idle if enclosure.baffle else idle | {"baffle_gap"}


# --- words ------------------------------------------------------------------------------------------------

SITUATIONS: dict[str, dict[str, Any]] = {
    "Correct": {},
    "No baffle": {"baffle": False},
    "Too deep": {"baffle": False, "rear_gap": 0.120},
    "Open pocket": {"pocket_open": True},
    "Blocked lower vent": {"lower_blocked": 0.75},
    "Wide sides": {"side_gap": 0.0254},
    "Weak fan in the way": {"fan": "weak"},
    "Hot afternoon": {"ambient": 313.15, "swing": 8.3333},
}
"""Situations to load, as changes to an eight-cubic-foot refrigerator in a correct enclosure."""
HONEST = "Teaching model, not validated on measured refrigerators"


def situation(name: str) -> Enclosure:
    """Return a situation by name."""
    return Enclosure(**SITUATIONS[name])


def difference(kelvin: float, system: str) -> str:
    """Return the size of a temperature difference as text."""
    sign, _, degree = degrees(system)
    return f"{abs(kelvin) / degree:.1f} {sign}"


def temperature(kelvin: float, system: str, digits: int = 0) -> str:
    """Return a temperature as text, in whole degrees; a scene needs a dozen at each move of a hand."""
    sign, zero, degree = degrees(system)
    return f"{(kelvin - zero) / degree:z.{digits}f} {sign}"


@cache
def degrees(system: str) -> tuple[str, float, float]:
    """Return the sign of a system's degrees, where they begin, and how large one is [K]."""
    unit, sign = {"US": ("degF", "°F"), "SI": ("degC", "°C")}[system]
    zero, one = (to_si(ureg.Quantity(value, unit), "temperature") for value in (0, 1))
    return sign, zero, one - zero


def minutes_an_hour(duty: float) -> str:
    """Return for how long a unit runs, as text."""
    minutes = round(60.0 * duty)
    return "all the time" if minutes == 60 else f"{minutes} min an hour"


@lru_cache(maxsize=8)
def finding(enclosure: Enclosure, system: str = "US") -> str:
    """Say what the food comes to, up to which ambient it holds, and what the air does."""
    solved = solve(enclosure)
    limit, rated = (_RATINGS[name][enclosure.rating] for name in ("food_limit", "rated_ambient"))
    rise = difference(float(solved.now.condenser_air_temperature) - enclosure.ambient, system)
    flow = show(from_si(float(solved.now.air_flow), "volume_flow"), system, kind="volume_flow")
    food = temperature(solved.food, system)
    swing = ""
    if enclosure.swing > 0.0:
        low, high = temperature(solved.food_low, system), temperature(solved.food_high, system)
        swing = f" on the day's mean ({low} to {high})"
    state = "is too warm" if solved.food > limit else "holds"
    if solved.food <= limit < solved.food_high:
        state = "passes its limit in the afternoon"
    demand = "At full demand and" if enclosure.full_demand else "Under its thermostat, at"
    outside = temperature(enclosure.ambient, system)
    said = f"{demand} {outside} outside, the food comes to {food}{swing} and {state}; "
    said += f"the unit runs {minutes_an_hour(solved.duty)}. "
    if np.isnan(solved.holds):
        said += f"It doesn't hold {temperature(limit, system)} at any ambient in the picture. "
    else:
        margin = solved.holds - rated
        beyond = "above" if margin >= 0 else "below"
        most = "at least " if solved.holds >= GRID[-1] else ""
        most += temperature(solved.holds, system)
        said += f"At full demand it holds {temperature(limit, system)} up to {most}, "
        said += f"{difference(margin, system)} {beyond} its rating. "
    return said + f"Air, while it runs: {flow}; below the condenser {rise} over the ambient."


def alt_text(enclosure: Enclosure, system: str = "US") -> str:
    """Describe the picture."""
    return (
        "Side section of the enclosure with the air's way and temperatures, and a chart of food and "
        f"freezer over the ambient. {finding(enclosure, system)}"
    )
