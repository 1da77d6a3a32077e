"""The scene of an enclosure: the numbers and texts that the page's script draws, by name."""

from functools import cache, lru_cache
from typing import Any

import numpy as np

from warmside.data import load
from warmside.model.ensemble import plausible
from warmside.model.refrigerator import steady_state
from warmside.model.sizes import calibrated
from warmside.show.because import dearest, flow_text, percent
from warmside.show.departures import MEMBERS, departures, departures_table, how_sure
from warmside.show.enclosure import (
    GRID,
    HONEST,
    THERMOSTAT,
    Enclosure,
    Solved,
    difference,
    installation_of,
    minutes_an_hour,
    solve,
    temperature,
)
from warmside.show.scene_lab import agreed
from warmside.units import from_si, show, to_si, ureg

_P, _RATINGS = load("parameters").number, load("ratings")
_FINS_ABOVE_ABSORBER = 0.2  # m; drawn, no part of the model
_FULL_DEMAND = 0.0  # K; a setting that is never reached
_TENTHS = 10.0, 90.0
_SAME = 1.1  # K; a change of the food that nobody notices
_UNITS = {"US": "°F", "SI": "°C"}
_AMBIENTS = {"US": range(70, 121, 10), "SI": range(25, 46, 5)}
_FOODS = {"US": range(20, 121, 20), "SI": range(0, 41, 10)}
HEAT_STEP = to_si(ureg.Quantity(10, "delta_degF"), "temperature_difference")
"""Of the air's colours, above the outside [K]."""


def marks(values: range, system: str) -> list[tuple[float, str]]:
    """Return marks of an axis: temperatures [K], and what stands there."""
    unit = {"US": "degF", "SI": "degC"}[system]
    return [(to_si(ureg.Quantity(value, unit), "temperature"), str(value)) for value in values]


@cache
def scene_page() -> dict[str, Any]:
    """Return what the page is told once: the chart's ambients and marks, and what the colours mean."""
    systems = {
        system: {
            "unit": unit,
            "ambients": marks(_AMBIENTS[system], system),
            "foods": marks(_FOODS[system], system),
            "heats": [_whole_degrees(step * HEAT_STEP, system) for step in range(5)],
        }
        for system, unit in _UNITS.items()
    }
    return {"ambients": GRID.tolist(), "heat_step": HEAT_STEP, "systems": systems, "honest": HONEST}


def _whole_degrees(kelvin: float, system: str) -> str:
    rise = from_si(kelvin, "temperature_difference")
    return show(rise, system, kind="temperature_difference", digits=0).split()[0]


def enclosure_scene(enclosure: Enclosure, system: str = "US") -> dict[str, Any]:
    """Return what the page draws of an enclosure: settings, sizes, air, temperatures [SI], and texts."""
    solved = solve(enclosure)
    now = solved.now
    through, near, past_gap = map(float, solved.ways)
    limit, rated = (float(_RATINGS[name][enclosure.rating]) for name in ("food_limit", "rated_ambient"))
    return {
        **{name: value for name, value in vars(enclosure).items() if isinstance(value, bool | float)},
        **{name: getattr(enclosure, name) for name in ("size", "outlet", "fan", "wind", "heat_source")},
        **sizes(enclosure),
        "flow": float(now.air_flow),
        "through": through,
        "near": near,
        "past_gap": past_gap,
        "inlet": float(now.inlet_air_temperature),
        "below": float(now.condenser_air_temperature),
        "above": float(now.outlet_air_temperature),
        "pocket": float(now.pocket_air_temperature),
        "side": float(now.side_air_temperature),
        "food": solved.food,
        "food_low": solved.food_low,
        "food_high": solved.food_high,
        "freezer": solved.freezer,
        "duty": solved.duty,
        "limit": limit,
        "rated": rated,
        "holds": None if np.isnan(solved.holds) else solved.holds,
        "foods": [round(float(food), 2) for food in solved.foods],
        **_texts(enclosure, solved, system),
        "through_text": percent(through),
        "past_text": percent(1.0 - through),
        "limit_text": temperature(limit, system),
        "number_label": f"At full demand it holds {temperature(limit, system)} up to",
        "rated_text": temperature(rated, system),
    }


def sizes(enclosure: Enclosure) -> dict[str, float]:
    """Return what the cutaway measures [m], vents by their free areas."""

    def of(quantity: str) -> float:
        return float(calibrated(quantity, enclosure.size, enclosure.rating))

    fins = of("absorber_height") + _FINS_ABOVE_ABSORBER
    fins_top = fins + _P("condenser_height")
    return {
        "width": of("width"),
        "side_height": of("side_height"),
        "absorber_height": of("absorber_height"),
        "fins": fins,
        "fins_top": fins_top,
        "fin_depth": _P("fin_depth"),
        "fin_area": of("fin_area"),
        "outlet_height": fins_top + of(f"{enclosure.outlet}_outlet_height"),
        "lower_vent": of("lower_vent_area") / of("width"),
        "upper_vent": of("upper_vent_area") / of("width"),
        "pocket_height": _P("pocket_height"),
    }


def _texts(enclosure: Enclosure, solved: Solved, system: str) -> dict[str, Any]:
    limit, rated = (_RATINGS[name][enclosure.rating] for name in ("food_limit", "rated_ambient"))
    now, margin = solved.now, solved.holds - rated
    number, against = "nowhere", "✘ no margin"
    if not np.isnan(solved.holds):
        number = temperature(solved.holds, system)
        beyond = "✔ +" if margin >= 0 else "✘ −"
        against = f"{beyond}{difference(margin, system)}"
    state, holds = "✔ holds", True
    if solved.food > limit:
        state, holds = "✘ too warm", False
    elif solved.food_high > limit:
        state, holds = f"✘ {temperature(solved.food_high, system)} in the afternoon", False
    warm = {
        f"{name}_text": temperature(float(getattr(now, f"{field}_air_temperature")), system)
        for name, field in (
            ("inlet", "inlet"),
            ("below", "condenser"),
            ("above", "outlet"),
            ("pocket", "pocket"),
            ("side", "side"),
        )
    }
    return {
        **warm,
        "number": number,
        "good": bool(margin >= 0),  # nan is no margin
        "margin_text": against,
        "margin_says": f"{'above' if margin >= 0 else 'below'} its rating",
        "food_text": temperature(solved.food, system),
        "food_good": holds,
        "state_text": state,
        "freezer_text": temperature(solved.freezer, system),
        "outside_text": temperature(enclosure.ambient, system),
        "flow_text": flow_text(float(now.air_flow), system),
        "runs_text": f"runs {minutes_an_hour(solved.duty)}",
    }


# --- what takes longer, once the hand rests ---------------------------------------------------------------


_KNOWN_SIZES: set[tuple[str, str]] = set()  # and ratings whose plausible refrigerators this kernel has


def scene_details(enclosure: Enclosure, system: str = "US") -> dict[str, Any]:
    """Return the chart's band, which holds eight in ten plausible refrigerators of the size, and a range.

    Nothing where these would have to be made first, in seconds; they come with the costs then.
    """
    if (enclosure.size, enclosure.rating) not in _KNOWN_SIZES:
        return {}
    low, high = _band(enclosure)
    return {
        "band": [[round(float(food), 2) for food in each] for each in (low, high)],
        "range_text": _range(enclosure, system),
    }


def scene_costs(enclosure: Enclosure, system: str = "US") -> dict[str, Any]:
    """Return how sure the model is of what the sentence names, what each departure costs, and the details."""
    _KNOWN_SIZES.add((enclosure.size, enclosure.rating))
    told = {"sure_text": _sureness(enclosure, system), "html": departures_table(enclosure, system)}
    return {**scene_details(enclosure, system), **told}


@lru_cache(maxsize=64)
def _band(enclosure: Enclosure) -> tuple[np.ndarray, np.ndarray]:
    """Return the food that all but one in ten are above, and below, over the ambients of the grid [K]."""
    low, high = np.percentile(_plausible_foods(enclosure, GRID), _TENTHS, axis=0)
    return low, high


def _plausible_foods(enclosure: Enclosure, ambients: np.ndarray) -> np.ndarray:
    """Return the food of plausible refrigerators at ambients [K], shape (members, ambients)."""
    setting = _FULL_DEMAND if enclosure.full_demand else THERMOSTAT
    some = plausible(installation_of(enclosure), MEMBERS)
    return steady_state(some, ambients, setting=setting).food_temperature[:, 0]


def _range(enclosure: Enclosure, system: str) -> str:
    """Say up to where eight in ten plausible refrigerators hold, from where the band passes the limit."""
    limit = _RATINGS["food_limit"][enclosure.rating]
    low, high = _band(enclosure)
    ends = [_crossing(foods, limit) for foods in (high, low)]
    if ends[0] is None:
        return "eight in ten plausible ones: the model can’t tell"
    low_text, high_text = ("more" if end is None else temperature(end, system) for end in ends)
    if low_text == high_text:
        return f"eight in ten plausible ones: {low_text}"
    return f"eight in ten plausible ones: {low_text.split()[0]} to {high_text}"


def _crossing(foods: np.ndarray, limit: float) -> float | None:
    """Return the ambient at which foods last pass a limit [K]; None where they don't."""
    over = np.flatnonzero(foods > limit)
    if not over.size or over[0] == 0:
        return None
    first = over[0]
    return float(np.interp(limit, foods[first - 1 : first + 1], GRID[first - 1 : first + 1]))


def _sureness(enclosure: Enclosure, system: str) -> str:
    """Say how sure the model is of the cost of the departure that the sentence names."""
    cause, costs = dearest(enclosure), departures(enclosure)
    if cause is None or not costs:
        return ""
    name, _ = cause
    one = next((cost for cost in costs if cost.field == name), costs[0])
    if not one.plausible.is_sure:
        return "How much, the model can’t tell."
    return f"Lost by it, {how_sure(one.plausible, system)}."


def judge(before: Enclosure, now: Enclosure, said: int, system: str = "US") -> str:
    """Say whether a prediction for the food was right: -1 colder, 0 the same, 1 warmer.

    It is right or wrong only where nine in ten plausible refrigerators agree.
    """
    words = {-1: "gets colder", 0: "stays the same", 1: "gets warmer"}
    foods = [_plausible_foods(one, np.array([one.ambient]))[:, 0] for one in (before, now)]
    verdict, turn = agreed(foods[1] - foods[0], _SAME, said, words)
    if turn is None:
        return verdict
    old, new = solve(before), solve(now)
    if turn:
        return f"{verdict}: {temperature(old.food, system)} to {temperature(new.food, system)}."
    limits = [temperature(each.holds, system) for each in (old, new) if not np.isnan(each.holds)]
    if len(limits) == 2 and limits[0] != limits[1]:
        return f"{verdict}. What moved is the limit: {limits[0]} to {limits[1]}."
    return f"{verdict}."
