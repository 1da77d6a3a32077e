"""What can be wrong with a refrigerator that doesn't cool, alone and in pairs, and how likely each is.

How often a fault is met is invented and marked so: pass other priors where your own books say otherwise.
"""

from collections.abc import Mapping
from itertools import combinations

import numpy as np

from warmside.data import load
from warmside.diagnosis.fault import Catalogue, Fault
from warmside.diagnosis.fault_table import ENTRIES
from warmside.errors import InputError

Label = tuple[str, ...]
"""What is wrong: the name of one fault or of two, in the order of `FAULTS`; ``("none",)`` for nothing."""

NONE: Label = ("none",)
FAULTS = Catalogue(*ENTRIES)
PAIR_PRIOR = load("priors").number("pair")
"""How often two things are wrong at once. Invented."""


def title_of(label: Label) -> str:
    """Return what is wrong in the trade's words, such as ``"Fan dead, and side gaps"``."""
    first, *others = (FAULTS[name].title for name in label)
    return ", and ".join([first, *(other[0].lower() + other[1:] for other in others)])


def condemns(label: Label) -> bool:
    """Tell whether an explanation means that the cooling unit is gone."""
    return any(FAULTS[name].cost == "cooling unit" for name in label)


def possible(size: str, heat_source: str) -> tuple[str, ...]:
    """Return the names of the faults that a refrigerator of this size can have on this heat source."""
    return tuple(
        fault.name for fault in FAULTS.values() if size in fault.sizes and heat_source in fault.heat_sources
    )


def labels(size: str, heat_source: str) -> tuple[tuple[Label, ...], tuple[Label, ...]]:
    """Return what can be wrong: the single faults, and the pairs.

    Pairs are two faults of the installation or two of use, one of the installation with one of the heat
    source, and one of use with either or with one of the control; not two that change the same thing, such as
    a fan that stands still and blows down, nor one that leaves no heat, which hides all else until it is put
    right.
    """
    names = possible(size, heat_source)
    pairs = tuple((a, b) for a, b in combinations(names, 2) if _go_together(FAULTS[a], FAULTS[b]))
    return tuple((name,) for name in names), pairs


_PAIRS = (
    {"installation"},
    {"installation", "heat source"},
    {"use", "installation"},
    {"use", "heat source"},
    {"use"},
    {"use", "control"},
)


_CHANGED_TWICE = {"baffle_gap"}
"""A baffle may be missing in a space that is too deep."""


def _go_together(a: Fault, b: Fault) -> bool:
    heats = not (a.leaves_no_heat or b.leaves_no_heat)
    return {a.group, b.group} in _PAIRS and heats and a.touches & b.touches <= _CHANGED_TWICE


def prior(
    size: str,
    heat_source: str,
    priors: Mapping[str, float] | None = None,
    pair_prior: float = PAIR_PRIOR,
) -> dict[Label, float]:
    """How likely each explanation is before anything was read.

    Parameters
    ----------
    size, heat_source : str
        Of the refrigerator.
    priors : mapping of str to float, optional
        How often faults are met, relative to each other, in place of the invented values of the catalogue;
        faults left out keep theirs.
    pair_prior : float
        Share of cases in which two things are wrong.

    Returns
    -------
    dict of Label to float
        They sum to 1. A pair's is in proportion to the product of its faults'.

    Raises
    ------
    InputError
        If a fault is unknown, or a prior is no number from 0 on, or all are 0.
    """
    given = dict(priors or {})
    for name, value in given.items():
        if name not in FAULTS:
            raise InputError(f"priors: there is no fault “{name}”; there are {', '.join(FAULTS)}.")
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 <= value < np.inf:
            raise InputError(f"priors: {value!r} was read for {name}; write a number from 0 on.")
    weight = {name: float(given.get(name, FAULTS[name].prior)) for name in FAULTS}
    singles, pairs = labels(size, heat_source)
    one = {label: weight[label[0]] for label in singles}
    two = {label: weight[label[0]] * weight[label[1]] for label in pairs}
    if not sum(one.values()):
        raise InputError("priors: every fault has 0; give at least one of them more.")
    pair_share = pair_prior if sum(two.values()) else 0.0
    shares = {label: (1.0 - pair_share) * value / sum(one.values()) for label, value in one.items()}
    if pair_share:
        shares |= {label: pair_share * value / sum(two.values()) for label, value in two.items()}
    return shares
