"""What each departure from a correct installation costs, and how sure the model is of that."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from warmside.data import load
from warmside.model.ensemble import Cost, cost_of
from warmside.show.enclosure import (
    GRID,
    Enclosure,
    Solved,
    installation_of,
    situation,
    solve_all,
    without_effect,
)
from warmside.show.enclosure_picture import enclosure_picture


@dataclass(frozen=True)
class Departure:
    """What one departure from a correct installation costs.

    Attributes
    ----------
    field : str
        Of the enclosure.
    title : str
        In words.
    duty, food, holds : float
        If this one alone is put right: for how much less of the day the unit runs, by how much the food is
        colder [K], and by how much more heat outside it holds at full demand [K].
    plausible : Cost
        What `holds` is over the plausible refrigerators of that size.
    is_a_rule : bool
        Whether a rule of the trade is departed from.
    """

    field: str
    title: str
    duty: float
    food: float
    holds: float
    plausible: Cost
    is_a_rule: bool


_LIMITS = load("limits")
_DEPARTURES: dict[str, tuple[str, Callable[[Any], bool]]] = {
    # what departs, in words, and whether a value does; right is what an enclosure has as it comes
    "top_gap": ("gap over the top", lambda gap: gap > _LIMITS["top_gap"]),
    "side_gap": ("gaps at the sides", lambda gap: gap > _LIMITS["side_gap"] + 1e-4),
    "rear_gap": ("too deep behind", lambda gap: gap > _LIMITS["rear_gap"] + 1e-4),
    "baffle": ("no baffle", lambda there: not there),
    "baffle_gap": (
        "baffle's distance",
        lambda gap: not _LIMITS["baffle_gap"][0] - 1e-4 <= gap <= _LIMITS["baffle_gap"][1] + 1e-4,
    ),
    "pocket_open": ("open space over the top", bool),
    "lower_blocked": ("lower vent shut in part", lambda part: part > 0.0),
    "upper_blocked": ("outlet shut in part", lambda part: part > 0.0),
    "fan": ("fan", lambda fan: fan != "none"),
    "wind": ("wind", lambda wind: wind != "calm"),
    "mains_voltage": ("volts at the heater", lambda volts: volts != Enclosure.mains_voltage),
    "battery_voltage": ("volts at the heater", lambda volts: volts != Enclosure.battery_voltage),
    "gas_pressure": ("gas pressure", lambda pressure: abs(pressure - Enclosure.gas_pressure) > 10.0),
}
_RULES = ("top_gap", "side_gap", "rear_gap", "baffle", "baffle_gap", "pocket_open")
MEMBERS = 60
"""Plausible refrigerators that a lab asks, so that nobody waits."""


def mended(enclosure: Enclosure) -> dict[str, Enclosure]:
    """Return what departs from a correct enclosure, by its field: the same with that alone put right."""
    idle = without_effect(enclosure)
    return {
        name: replace(enclosure, **{name: getattr(Enclosure, name)})
        for name, (_, departs) in _DEPARTURES.items()
        if name not in idle and departs(getattr(enclosure, name))
    }


def gained(as_is: Solved, other: Solved) -> float:
    """Return by how much more heat outside another enclosure holds at full demand [K]."""
    return float(np.diff(np.nan_to_num([as_is.holds, other.holds], nan=GRID[0]))[0])


@lru_cache(maxsize=64)
def departures(enclosure: Enclosure) -> tuple[Departure, ...]:
    """What each departure costs, the dearest first; a fan or a wind that helps less than nothing."""
    by_name = mended(enclosure)
    if not by_name:
        return ()
    as_is, *others = solve_all(enclosure, *by_name.values())
    costs = cost_of(installation_of(enclosure), installation_of(*by_name.values()), MEMBERS)
    found = [
        Departure(
            field=name,
            title=_DEPARTURES[name][0],
            duty=as_is.duty - other.duty,
            food=as_is.food - other.food,
            holds=gained(as_is, other),
            plausible=Cost(*(np.asarray(each)[place, 0] for each in costs)),
            is_a_rule=name in _RULES,
        )
        for place, (name, other) in enumerate(zip(by_name, others, strict=True))
    ]
    return tuple(sorted(found, key=lambda one: (-one.holds, -one.food, -one.duty)))


CAN_NOT_TELL = "the model can’t tell"
"""Of a departure that gains as well as costs, among plausible refrigerators."""


def how_sure(cost: Cost, system: str = "US", is_a_rule: bool = True) -> str:
    """Return in words how sure the model is of a cost; a rule of practice stands, whether it is or not."""
    if not cost.is_sure:
        return f"practice says so; {CAN_NOT_TELL}" if is_a_rule else CAN_NOT_TELL
    unit, factor = ("°F", 1.8) if system == "US" else ("°C", 1.0)
    low, high = cost.low * factor, cost.high * factor
    if np.isinf(high):
        return f"sure: {low:z.1f} {unit} or more" if np.isfinite(low) else "sure"
    return f"sure: {low:z.1f} to {high:z.1f} {unit}"


def picture_and_costs(name: str) -> str:
    """Return the picture of a situation of the lab, by its name, and the table of what it costs, as HTML."""
    return enclosure_picture(situation(name)) + departures_table(situation(name))


def departures_table(enclosure: Enclosure, system: str = "US") -> str:
    """Return the table of what each departure costs, as HTML."""
    rows = departures(enclosure)
    unit, factor = ("°F", 1.8) if system == "US" else ("°C", 1.0)
    if not rows:
        return "<p>Nothing departs from a correct installation.</p>"
    body = "".join(
        f"<tr><th scope='row'>{one.title}</th><td>{one.holds * factor:z.1f} {unit}</td>"
        f"<td>{one.food * factor:z.1f} {unit}</td><td>{60.0 * one.duty:z.0f} min an hour</td>"
        f"<td>{how_sure(one.plausible, system, one.is_a_rule)}</td></tr>"
        for one in rows
    )
    titles = (
        "Departure",
        "Margin at full demand, more by",
        "Food now, colder by",
        "Runs less by",
        "How sure",
    )
    head = "".join(f"<th scope='col'>{title}</th>" for title in titles)
    return (
        "<table><caption>What each departure costs in this model, worst first: what putting it right alone "
        "would give. How sure: what eight in ten plausible refrigerators would gain"
        f"</caption><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )
