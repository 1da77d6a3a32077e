"""The cheapest readings that decide a case: the least minutes after which the truth leads by nine to one.

All sets of up to `EXACT` readings are gone through in the order of their minutes, so that no such set is
cheaper than the one found; sets that some rivals alone already spoil are passed over, which is exact, since
further rivals can only spoil them more. Where no set of that size decides, readings are added greedily and
those that turn out not to be needed are left out again: then a cheaper set may exist.
"""

import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np

from warmside.diagnosis.evidence import Evidence
from warmside.diagnosis.faults import Label
from warmside.diagnosis.leading import LEAD, chance, chances_along, minutes, proven
from warmside.diagnosis.readings import READINGS

EXACT = 4
"""Up to so many readings, no cheaper set than the one found decides the case."""
_AT_ONCE = 256  # sets


@dataclass(frozen=True)
class Sufficient:
    """Readings that decide a case.

    Attributes
    ----------
    names : tuple of str
        In the order of work: those that are needed anyway, then the one that tells most.
    chances : tuple of float
        How likely the truth is after each.
    exact : bool
        Whether no cheaper set of up to `EXACT` readings, besides those that are needed anyway, decides it.
    """

    names: tuple[str, ...]
    chances: tuple[float, ...]
    exact: bool

    @property
    def minutes(self) -> float:
        """What they take together."""
        return minutes(self.names)


def cheapest(
    evidence: Evidence, labels: Collection[Label], needed: Iterable[str] = (), most: float = math.inf
) -> Sufficient | None:
    """Return the cheapest readings that prove these labels; None where none do.

    Parameters
    ----------
    evidence : Evidence
        What each reading says.
    labels : collection of Label
        What is to be proven.
    needed : iterable of str
        Readings that no proof does without, in the order of work.
    most : float, optional
        Minutes beyond which none are looked for.
    """
    first = tuple(needed)
    further = evidence.given(first)
    left = most - minutes(first)
    found = _exact(further, labels, left)
    exact = found is not None
    if found is None:
        found = _greedy(further, labels)
        if found is None or minutes(found) > left:
            return None
    ordered = (*first, *_telling_first(further, labels, found))
    return Sufficient(ordered, chances_along(evidence, labels, ordered), exact)


def _exact(evidence, labels, most):
    names = tuple(evidence.by_reading)
    rivals = _Rivals(evidence, labels)
    for sets in _by_minutes(names, most):
        found = rivals.first_led(sets)
        if found is not None:
            return [names[number] for number in found if number < len(names)]
    return None


@lru_cache(maxsize=8)
def _sets(names: tuple[str, ...]) -> tuple[np.ndarray, np.ndarray]:
    """Sets of up to `EXACT` numbers of `names`, filled up with len(names), by minutes, and these."""
    filled = [
        (*chosen, *[len(names)] * (EXACT - size))
        for size in range(EXACT + 1)
        for chosen in combinations(range(len(names)), size)
    ]
    sets = np.array(filled)
    takes = np.array([*(READINGS[name].minutes for name in names), 0.0])[sets].sum(axis=1)
    order = np.argsort(takes, kind="stable")
    return sets[order], takes[order]


def _by_minutes(names: tuple[str, ...], most: float) -> Iterator[np.ndarray]:
    sets, takes = _sets(names)
    sets = sets[: np.searchsorted(takes, most, side="right")]
    for first in range(0, len(sets), _AT_ONCE):
        yield sets[first : first + _AT_ONCE]


class _Rivals:
    """The explanations that the wanted ones have to lead, those first that have spoilt the most sets."""

    def __init__(self, evidence: Evidence, labels: Collection[Label]) -> None:
        self._evidence = evidence
        # beside the likeliest case of each reading, so that all are at most 1 and none is lost but what is
        # impossible beside it
        rows = np.array([*evidence.by_reading.values(), np.zeros_like(evidence.before)])
        before = np.exp(evidence.before - evidence.before.max())
        rows = np.exp(rows - rows.max(axis=1, keepdims=True))
        ends = evidence.starts + evidence.counts
        cases = [slice(start, end) for start, end in zip(evidence.starts, ends, strict=True)]
        self._likely = [(before[these], np.ascontiguousarray(rows[:, these])) for these in cases]
        wanted = [label in labels for label in evidence.labels]
        self._wanted = np.flatnonzero(wanted)
        others = np.flatnonzero(np.logical_not(wanted))
        self._order = list(others[np.argsort(-evidence.log_prior[others], kind="stable")])
        self._spoilt = dict.fromkeys(self._order, 0)

    def first_led(self, sets: np.ndarray) -> np.ndarray | None:
        """Return the first of the sets by which the wanted explanations lead, or None."""
        wanted = np.logaddexp.reduce([self._weight(label, sets) for label in self._wanted], axis=0)
        possible = np.isfinite(wanted)
        sets, wanted = sets[possible], wanted[possible]
        rest = np.zeros(len(sets))
        for label in self._order:
            if not len(sets):
                break
            share = np.exp(np.minimum(self._weight(label, sets) - wanted, 50.0))
            rest = rest + share
            led = (LEAD * share <= 1.0) & (rest <= 1.0)
            self._spoilt[label] += int(np.sum(~led))
            sets, wanted, rest = sets[led], wanted[led], rest[led]
        self._order.sort(key=lambda label: -self._spoilt[label])
        return sets[0] if len(sets) else None

    def _weight(self, label: int | np.integer, sets: np.ndarray) -> np.ndarray:
        """Logarithm of an explanation's weight by each of the sets; -inf where none of its cases fits."""
        before, rows = self._likely[label]
        likely = rows[sets[:, 0]] * before
        for column in sets.T[1:]:
            likely *= rows[column]
        with np.errstate(divide="ignore"):
            told = np.log(likely.mean(axis=1))
        return self._evidence.log_prior[label] + self._evidence.smoothing.evidence * told


def _greedy(evidence, labels):
    chosen: list[str] = []
    left = list(evidence.by_reading)
    while not proven(evidence, labels, chosen):
        if not left:
            return None
        best = max(left, key=lambda name: _odds(evidence, labels, [*chosen, name]) / READINGS[name].minutes)
        chosen.append(best)
        left.remove(best)
    for name in sorted(chosen, key=lambda name: -READINGS[name].minutes):
        without = [other for other in chosen if other != name]
        if proven(evidence, labels, without):
            chosen = without
    return chosen


def _odds(evidence, labels, names):
    probable = chance(evidence, labels, names)
    return probable / max(1.0 - probable, 1e-9)


def _telling_first(evidence, labels, names):
    left = list(names)
    ordered: list[str] = []
    while left:
        best = max(left, key=lambda name: chance(evidence, labels, [*ordered, name]))
        ordered.append(best)
        left.remove(best)
    return tuple(ordered)
