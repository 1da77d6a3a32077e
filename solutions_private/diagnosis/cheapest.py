"""The cheapest readings that decide a case: the least minutes after which the truth leads by nine to one.

All sets of up to `EXACT` readings are gone through in the order of their minutes, so that no such set is
cheaper than the one found; sets that some rivals alone already spoil are passed over, which is exact, since
further rivals can only spoil them more. Where no set of that size decides, readings are added greedily and
those that turn out not to be needed are left out again: then a cheaper set may exist.
"""

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import combinations

import numpy as np

from warmside.diagnosis.evidence import Evidence
from warmside.diagnosis.faults import Label
from warmside.diagnosis.leading import LEAD, chance, chances_along, minutes, proven
from warmside.diagnosis.readings import READINGS

EXACT = 4
"""Up to so many readings, no cheaper set than the one found decides the case."""
_AT_ONCE = 256  # sets
_MANY = 1000  # sets, from which on products of two readings are kept


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
    weights = _Weights(further, labels)
    found = _exact(weights, -math.inf, left)
    exact = found is not None
    if found is None:
        found = _greedy(weights)
        if found is None or minutes(found) > left or _exact(weights, left, math.inf) is not None:
            return None
    ordered = (*first, *_telling_first(further, labels, found))
    return Sufficient(ordered, chances_along(evidence, labels, ordered), exact)


def _exact(weights, beyond, most):
    """Return the cheapest of the sets that take more than `beyond` and at most `most` minutes, or None."""
    for sets in _by_minutes(weights.names, beyond, most):
        found = weights.first_led(sets)
        if found is not None:
            return [weights.names[number] for number in found if number < len(weights.names)]
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


@lru_cache(maxsize=8)
def _pairs(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Return which two numbers up to `count` each pair of a set may hold, and the pair's place by its two."""
    both = np.array([*combinations(range(count + 1), 2), (count, count)]).T
    place = np.zeros((count + 1, count + 1), dtype=int)
    place[tuple(both)] = np.arange(both.shape[1])
    return both, place


def _by_minutes(names: tuple[str, ...], beyond: float, most: float) -> Iterator[np.ndarray]:
    sets, takes = _sets(names)
    sets = sets[slice(*np.searchsorted(takes, [beyond, max(beyond, most)], side="right"))]
    for first in range(0, len(sets), _AT_ONCE):
        yield sets[first : first + _AT_ONCE]


class _Weights:
    """How likely explanations are by some readings, weighed for many sets of readings at once.

    Cases stand beside the likeliest of each reading, so that all are at most 1 and none is lost but what is
    impossible beside it.
    """

    def __init__(self, evidence: Evidence, labels: Collection[Label]) -> None:
        self._evidence, self.labels = evidence, labels
        self.names = tuple(evidence.by_reading)
        rows = np.array([*evidence.by_reading.values(), np.zeros_like(evidence.before)])
        self._logs = rows - rows.max(axis=1, keepdims=True)
        self._before = np.exp(evidence.before - evidence.before.max())
        self._is_wanted = np.array([label in labels for label in evidence.labels])
        self._wanted, others = np.flatnonzero(self._is_wanted), np.flatnonzero(~self._is_wanted)
        # those first that have spoilt the most sets
        self._rivals = list(others[np.argsort(-evidence.log_prior[others], kind="stable")])
        self._spoilt = dict.fromkeys(self._rivals, 0)
        self._rows: dict[int, np.ndarray] = {}
        self._weighed = dict.fromkeys(range(len(evidence.labels)), 0)
        self._products: dict[int, tuple[np.ndarray, np.ndarray]] = {}

    def first_led(self, sets: np.ndarray) -> np.ndarray | None:
        """Return the first of the sets by which the wanted explanations lead, or None."""
        wanted = np.logaddexp.reduce([self._weight(label, sets) for label in self._wanted], axis=0)
        possible = np.isfinite(wanted)
        sets, wanted = sets[possible], wanted[possible]
        rest = np.zeros(len(sets))
        for label in self._rivals:
            if not len(sets):
                break
            share = np.exp(np.minimum(self._weight(label, sets) - wanted, 50.0))
            rest = rest + share
            led = (LEAD * share <= 1.0) & (rest <= 1.0)
            self._spoilt[label] += int(np.sum(~led))
            sets, wanted, rest = sets[led], wanted[led], rest[led]
        self._rivals.sort(key=lambda label: -self._spoilt[label])
        return sets[0] if len(sets) else None

    def chances_with(self, chosen: Collection[str], further: Sequence[str]) -> np.ndarray:
        """Return how likely a wanted explanation is by the chosen readings and each of the further ones."""
        read = np.prod([self._before, *self._likely[[self.names.index(name) for name in chosen]]], axis=0)
        rows = self._likely[[self.names.index(name) for name in further]] * read
        told = _log(np.add.reduceat(rows, self._evidence.starts, axis=1) / self._evidence.counts)
        weighed = self._evidence.log_prior + self._evidence.smoothing.evidence * told
        chances = np.exp(weighed - np.logaddexp.reduce(weighed, axis=1, keepdims=True))
        return chances[:, self._is_wanted].sum(axis=1)

    def proven_by(self, names: Collection[str]) -> bool:
        """Tell whether the wanted explanations lead by these readings alone."""
        return proven(self._evidence, self.labels, names)

    @cached_property
    def _likely(self) -> np.ndarray:
        return np.exp(self._logs)

    def _weight(self, label: int, sets: np.ndarray) -> np.ndarray:
        """Logarithm of an explanation's weight by each of the sets; -inf where none of its cases fits."""
        start, count = self._evidence.starts[label], self._evidence.counts[label]
        if label not in self._rows:
            self._rows[label] = np.exp(self._logs[:, start : start + count])
        rows, before = self._rows[label], self._before[start : start + count]
        self._weighed[label] += len(sets)
        if self._weighed[label] > _MANY:
            told = self._by_products(label, rows, before, sets)
        else:
            likely = rows[sets[:, 0]] * before
            for column in sets.T[1:]:
                likely *= rows[column]
            told = likely.sum(axis=1)
        return self._evidence.log_prior[label] + self._evidence.smoothing.evidence * _log(told / count)

    def _by_products(self, label: int, rows: np.ndarray, before: np.ndarray, sets: np.ndarray) -> np.ndarray:
        both, place = _pairs(len(self.names))
        if label not in self._products:
            pairs = rows[both[0]] * rows[both[1]]
            self._products[label] = pairs * before, pairs
        first, second = self._products[label]
        a, b, c, d = sets.T
        return np.einsum("ij,ij->i", first[place[a, b]], second[place[c, d]])


def _log(likely: np.ndarray) -> np.ndarray:
    with np.errstate(divide="ignore"):
        return np.log(likely)


def _greedy(weights):
    chosen: list[str] = []
    left = list(weights.names)
    while not weights.proven_by(chosen):
        if not left:
            return None
        chances = weights.chances_with(chosen, left)
        odds = chances / np.maximum(1.0 - chances, 1e-9)
        best = left[int(np.argmax(odds / [READINGS[name].minutes for name in left]))]
        chosen.append(best)
        left.remove(best)
    for name in sorted(chosen, key=lambda name: -READINGS[name].minutes):
        without = [other for other in chosen if other != name]
        if weights.proven_by(without):
            chosen = without
    return chosen


def _telling_first(evidence, labels, names):
    left = list(names)
    ordered: list[str] = []
    while left:
        best = max(left, key=lambda name: chance(evidence, labels, [*ordered, name]))
        ordered.append(best)
        left.remove(best)
    return tuple(ordered)
