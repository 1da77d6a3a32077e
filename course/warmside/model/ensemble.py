"""Refrigerators as plausible as the calibrated one: what the model knows, and how sure it is.

Of many numbers in the model nobody knows more than a range. Here all of them are drawn from their ranges in
the table `ensemble`, and what is drawn counts as a refrigerator only if it holds its rating when it is
correct: its condenser is found so that it does, with a little to spare. What all of them share is sure,
whatever the numbers are; where they differ the model can't tell.

Examples
--------
What two departures cost eight cubic feet, in °F of the ambient that it holds: the lower vent half shut, and a
missing baffle.

>>> costs = cost_of(Installation.of("8 cu ft", lower_vent_blocked=[0.5, 0.0], baffle_gap=[0.01, np.inf]))
>>> costs.is_sure.tolist()
[True, False]
>>> [round(float(cost[0]) * 1.8) for cost in (costs.low, costs.median, costs.high)]
[3, 4, 4]
"""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, NamedTuple

import numpy as np

from warmside import kept
from warmside.arrays import Floats
from warmside.data import load
from warmside.errors import InputError
from warmside.model.holding import holding_ambient
from warmside.model.installation import HEAT_SOURCES, LITTLE_KNOWN, Installation
from warmside.model.sizes import calibrated
from warmside.model.steady import State, steady_state

MEMBERS = 500
"""Refrigerators of a size."""
_RANGES, _CABINETS, _RATINGS = load("ensemble"), load("cabinets"), load("ratings")
_CONDENSER = "condenser_conductance"
_DRAWN = tuple(name for name in LITTLE_KNOWN if name != _CONDENSER)
_AT_THE_RATING = {  # what is looked at, and the table's range for it
    "food_temperature": "food_at_rating",
    "freezer_temperature": "freezer_at_rating",
    "boiler_temperature": "boiler_at_rating",
}
_MADE_BY, _SEED = "warmside.model.ensemble", 1717
_DRAWN_AT_ONCE = 1500
_HALVINGS = 12
_SHOWN = 0.05  # K; a tenth of a °F
_TENTHS = 10.0, 50.0, 90.0

Values = Mapping[str, np.ndarray]
"""Parameters by name, each of shape (members,)."""


@cache
def members(size: str, rating: str) -> Values:
    """Return the parameters of a size and rating's plausible refrigerators, as `Installation` takes them.

    Made once, in seconds, and kept in the user's cache folder.
    """
    version = kept.version(_MADE_BY, size, rating, MEMBERS, _SEED)
    file = kept.cache_folder() / f"ensemble-{version}.npz"
    found = kept.load_or_make(
        file, lambda: _made(size, rating), lambda stored: stored.keys() == set(LITTLE_KNOWN)
    )
    for values in found.values():
        values.flags.writeable = False
    return MappingProxyType(dict(found))


def plausible(installation: Installation, count: int = MEMBERS) -> Installation:
    """Return an installation's plausible refrigerators: the same in each of them.

    Parameters
    ----------
    installation : Installation
        One or many, all of one size and rating.
    count : int, optional
        How many of them, the same first ones each time.

    Returns
    -------
    Installation
        Of shape (count, ...) with the installation's own behind.

    Raises
    ------
    InputError
        If there is more than one size or rating.

    Examples
    --------
    >>> plausible(Installation.of("8 cu ft", side_gap=[0.006, 0.02, 0.025]), 40).shape
    (40, 3)
    """
    size, rating = (
        _the_one(each, what) for each, what in ((installation.size, "size"), (installation.rating, "rating"))
    )
    behind = (1,) * len(installation.shape)
    drawn = {name: values[:count].reshape(-1, *behind) for name, values in members(size, rating).items()}
    return installation.changed(parameters={**drawn, **installation.parameters})


def _the_one(names: Any, what: str) -> str:
    found = np.unique(names)
    if len(found) != 1:
        raise InputError(
            f"Plausible refrigerators are those of one {what}; {len(found)} were given: ask one by one."
        )
    return str(found[0])


class Cost(NamedTuple):
    """What something costs, over the plausible refrigerators; each a number or an array.

    Attributes
    ----------
    low, median, high : float or numpy.ndarray
        What it costs less than in one of ten, of two, and of ten but one [K]; inf where it holds no more.
    """

    low: Floats
    median: Floats
    high: Floats

    @property
    def is_sure(self) -> np.ndarray:
        """Whether nine in ten agree that it costs, or that it gains, by as much as a thermometer shows."""
        return np.asarray((np.asarray(self.low) > _SHOWN) | (np.asarray(self.high) < -_SHOWN))


def cost_of(departing: Installation, correct: Installation | None = None, count: int = MEMBERS) -> Cost:
    """Return by how much less heat outside refrigerators hold than as they should be.

    Parameters
    ----------
    departing : Installation
        One or many, all of one size and rating.
    correct : Installation, optional
        What to hold it against; one of that size as it should be, with its one heat source, where it isn't
        given.
    count : int, optional
        Over how many plausible refrigerators.

    Returns
    -------
    Cost
        In kelvins of ambient that holds.
    """
    if correct is None:
        this = departing.size, departing.rating, departing.heat_source
        one = (
            _the_one(each, what) for each, what in zip(this, ("size", "rating", "heat source"), strict=True)
        )
        shape, before = departing.shape, _held_as_it_should(*one)[:count]
    else:
        shape = np.broadcast_shapes(departing.shape, correct.shape)
        before = _held(correct, count)
    before, after = (_behind(held, shape) for held in (before, _held(departing, count)))
    cost = np.where(np.isneginf(after), np.inf, before - after)
    return Cost(*np.percentile(cost, _TENTHS, axis=0, method="nearest"))


def _held(installation: Installation, count: int) -> np.ndarray:
    """Return the ambients that all members hold, shape (count, *installation's); -inf for none."""
    return np.nan_to_num(holding_ambient(plausible(installation, count)), nan=-np.inf)


@cache
def _held_as_it_should(size: str, rating: str, heat_source: str) -> np.ndarray:
    return _held(Installation.of(size, rating=rating, heat_source=heat_source), MEMBERS)


def _behind(held: np.ndarray, shape: tuple[int, ...]) -> np.ndarray:
    """Return values of members with as many axes behind as a shape has."""
    return held.reshape(len(held), *(1,) * (len(shape) - held.ndim + 1), *held.shape[1:])


# --- drawing ----------------------------------------------------------------------------------------------


def _made(size: str, rating: str) -> dict[str, np.ndarray]:
    random = np.random.default_rng(_SEED)
    openings = calibrated("usual_load", size, rating)
    usual = Installation.of(size, rating=rating, load=openings)
    parts: list[dict[str, np.ndarray]] = []
    while sum(len(part[_CONDENSER]) for part in parts) < MEMBERS:
        parts.append(_accepted(usual, _drawn(usual, random)))
    return {name: np.concatenate([part[name] for part in parts])[:MEMBERS] for name in LITTLE_KNOWN}


def _drawn(usual: Installation, random: np.random.Generator) -> dict[str, np.ndarray]:
    ranges = {name: _RANGES.numbers(name) for name in (*_DRAWN, "spare")}
    values = {name: random.uniform(low, high, _DRAWN_AT_ONCE) for name, (low, high) in ranges.items()}
    for name in set(_DRAWN) & set(_CABINETS.fields):
        values[name] *= usual.of_size(name)
    return values


def _accepted(usual: Installation, drawn: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Return those that hold their rating with their spare and no more, and do so on each heat source."""
    spare = drawn.pop("spare")
    rated = _RATINGS.in_column("rated_ambient", usual.rating)
    drawn[_CONDENSER], accepted = _condenser(usual, drawn, rated + spare)
    for source in HEAT_SOURCES:
        state = steady_state(usual.changed(heat_source=source, parameters=drawn), rated)
        for name, limits in _AT_THE_RATING.items():
            low, high = _RANGES.numbers(limits)
            value = getattr(state, name)
            accepted &= state.converged & (value >= low) & (value <= high)
    return {name: values[accepted] for name, values in drawn.items()}


def _condenser(usual: Installation, drawn: Values, ambient: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the least condenser that holds at an ambient [W/K], and whether there is one in its range."""
    limit = _RATINGS.in_column("food_limit", usual.rating)
    known = usual.of_size(_CONDENSER)
    low, high = (np.full(ambient.shape, each * known) for each in _RANGES.numbers(_CONDENSER))

    def holds(conductance: np.ndarray) -> np.ndarray:
        state: State = steady_state(usual.changed(parameters={**drawn, _CONDENSER: conductance}), ambient)
        return (state.food_temperature <= limit) & state.converged & ~state.failed

    there = holds(high) & ~holds(low)
    for _ in range(_HALVINGS):
        middle = np.sqrt(low * high)
        held = holds(middle)
        low, high = np.where(held, low, middle), np.where(held, middle, high)
    return high, there
