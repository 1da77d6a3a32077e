"""The rules of the trade, each with a departure from it, and whether the model says what the trade says.

The rules are common practice, no source. Each is judged by what a departure from it costs the plausible
refrigerators (`warmside.model.ensemble`) of three sizes. A rule that the model can't tell isn't refuted: the
model doesn't know enough.
"""

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from warmside import kept
from warmside.data import load
from warmside.model.ensemble import MEMBERS, Cost, cost_of
from warmside.model.installation import NO_BAFFLE, Installation
from warmside.model.sizes import SIZES

VERDICTS = ("comes out", "likely", "can't tell")
_MADE_BY = "warmside.model.trade_rules"
_DEPARTURES = load("trade_rules")
_AMOUNT = {name: np.asarray(field.value) for name, field in _DEPARTURES.fields.items()}
_SIGNS = {"inch": " in", "percent": " %", "degree": "°", "m**2": " m²"}


class Rule(NamedTuple):
    """A rule of the trade and a departure from it.

    Attributes
    ----------
    words, departure : str
        The rule, and how it is departed from.
    changes : callable
        The fields that differ from those of a correct `Installation`, by name; none where that departs
        already.
    """

    words: str
    departure: str
    changes: Callable[[Installation], Mapping[str, Any]]


class Judged(NamedTuple):
    """What a departure costs, and what follows for the rule.

    Attributes
    ----------
    costs : mapping of str to Cost
        By size [K]; without those that the rule isn't for.
    verdict : str
        One of `VERDICTS`.
    """

    costs: Mapping[str, Cost]
    verdict: str


def _said(name: str, which: int = 0) -> str:
    """Return the amount of a departure as the trade says it: 1/16 in."""
    field = _DEPARTURES.fields[name]
    number = np.atleast_1d(field.given)[which]
    amount = str(Fraction(float(number))) if field.unit == "inch" else f"{number:g}"
    return amount + _SIGNS[field.unit]


def _fixed(**changes: Any) -> Callable[[Installation], Mapping[str, Any]]:
    return lambda correct: changes


def _deeper(correct: Installation) -> dict[str, Any]:
    return {"rear_gap": correct.rear_gap + _AMOUNT["deeper"]}


def _outlet_in_the_wall(correct: Installation) -> dict[str, Any]:
    return {} if correct.outlet == "wall" else {"outlet": "wall"}


_HALF, _INCH = _AMOUNT["side_gaps"]
_NEAR, _FAR = _AMOUNT["near_and_far_baffle"]
_SHUT = f"{_said('vent_shut')} of it shut"
RULES: Mapping[str, Rule] = {
    "lower_vent": Rule("The lower vent is free", _SHUT, _fixed(lower_vent_blocked=_AMOUNT["vent_shut"])),
    "upper_vent": Rule("The upper vent is free", _SHUT, _fixed(upper_vent_blocked=_AMOUNT["vent_shut"])),
    "fins": Rule(
        "The fins are clean",
        f"dirt shuts {_said('fins_fouled')} of the way between them",
        _fixed(fin_fouling=_AMOUNT["fins_fouled"]),
    ),
    "outlet": Rule(
        "The outlet is high above the fins", "in the wall in place of the roof", _outlet_in_the_wall
    ),
    "comes_in_again": Rule(
        "No warm air comes in again below",
        f"{_said('comes_in_again')} of the air has come round",
        _fixed(recirculation=_AMOUNT["comes_in_again"]),
    ),
    "top": Rule("The top is closed off", f"{_said('open_top')} open", _fixed(top_gap=_AMOUNT["open_top"])),
    "pocket": Rule(
        "The space under a roof outlet is closed off",
        f"open to the warm side, {_said('open_pocket')}",
        _fixed(pocket_opening=_AMOUNT["open_pocket"]),
    ),
    "side_half": Rule("At the sides 1/4 in at most", _said("side_gaps", 0), _fixed(side_gap=_HALF)),
    "side_inch": Rule("At the sides 1/4 in at most", _said("side_gaps", 1), _fixed(side_gap=_INCH)),
    "baffle": Rule("A baffle", "none", _fixed(baffle_gap=NO_BAFFLE)),
    "depth_without_baffle": Rule(
        "Not too deep behind the fins, where no baffle stands",
        f"{_said('deeper')} deeper, no baffle",
        lambda correct: {**_deeper(correct), "baffle_gap": NO_BAFFLE},
    ),
    "depth_with_baffle": Rule(
        "Not too deep behind the fins, though a baffle stands there", f"{_said('deeper')} deeper", _deeper
    ),
    "near_baffle": Rule(
        "The baffle not too near the fins", _said("near_and_far_baffle", 0), _fixed(baffle_gap=_NEAR)
    ),
    "far_baffle": Rule(
        "The baffle not too far from the fins", _said("near_and_far_baffle", 1), _fixed(baffle_gap=_FAR)
    ),
    "level": Rule(
        "It stands level",
        f"{_said('out_of_level')} out, to the side",
        _fixed(side_tilt=_AMOUNT["out_of_level"]),
    ),
    "heat": Rule(
        "It gets its nominal heat",
        f"{_said('heat_left')} of it",
        lambda correct: {"heat_input": correct.heat_input * _AMOUNT["heat_left"]},
    ),
    "several": Rule(
        "Top, sides and baffle at once",
        f"{_said('open_top')} open over the top, {_said('side_gaps', 1)} at the sides, no baffle",
        _fixed(top_gap=_AMOUNT["open_top"], side_gap=_INCH, baffle_gap=NO_BAFFLE),
    ),
}
"""In the order of what they are about: vents and fins, gaps, baffle and depth, the rest."""


@cache
def judged(count: int = MEMBERS) -> Mapping[str, Judged]:
    """Return what departing from each rule costs, and the verdict on it.

    Parameters
    ----------
    count : int, optional
        Over how many plausible refrigerators of each size.

    Returns
    -------
    mapping of str to Judged
        By the names of `RULES`. Made once, with all members in a minute or two, and kept in the user's cache
        folder.
    """
    file = kept.cache_folder() / f"trade_rules-{kept.version(_MADE_BY, count)}.npz"
    tenths = kept.load_or_make(
        file, lambda: {size: _costs(size, count) for size in SIZES}, lambda stored: set(stored) == set(SIZES)
    )
    found: dict[str, Judged] = {}
    for index, name in enumerate(RULES):
        each = {size: Cost(*(float(cost) for cost in tenths[size][:, index])) for size in SIZES}
        costs = {size: cost for size, cost in each.items() if not np.isnan(cost.median)}
        found[name] = Judged(costs, verdict(costs.values()))
    return found


def _costs(size: str, count: int) -> np.ndarray:
    """Return the costs of all departures, shape (3, rules); nan where a correct one departs already."""
    correct = Installation.of(size)
    changes = [rule.changes(correct) for rule in RULES.values()]
    fields = sorted({name for each in changes for name in each})
    columns = {
        field: [changed.get(field, getattr(correct, field)) for changed in changes] for field in fields
    }
    costs = np.array(cost_of(correct.changed(**columns), count=count))
    return np.where([bool(each) for each in changes], costs, np.nan)


def verdict(costs: Iterable[Cost]) -> str:
    """Return what costs of one departure, one for each size, say of the rule.

    Examples
    --------
    >>> sure, unsure = Cost(0.5, 1.0, 2.0), Cost(-0.5, 0.3, 1.0)
    >>> verdict([sure, sure]), verdict([sure, unsure]), verdict([unsure, unsure])
    ('comes out', 'likely', "can't tell")
    """
    costs = list(costs)
    sure = [bool(cost.is_sure) and cost.low > 0.0 for cost in costs]
    if all(sure):
        return VERDICTS[0]
    if any(sure) and all(cost.median > 0.0 for cost in costs):
        return VERDICTS[1]
    return VERDICTS[2]
