"""What a case's readings prove, and which of them no proof does without.

Performance comes first: without the cup nobody knows that anything is wrong, nor later that it was put right.
A cooling unit takes every proof of `warmside.diagnosis.proofs`. That nothing is wrong takes cup and freezer
within their limits on a day near the rated one, and no more: it does what its rating promises.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from warmside.data import load
from warmside.diagnosis import storing
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.case_file import CaseFile
from warmside.diagnosis.evidence import Evidence, evidence
from warmside.diagnosis.faults import FAULTS, NONE, Label, condemns, title_of
from warmside.diagnosis.inference import Ranked, explain
from warmside.diagnosis.performance import performance
from warmside.diagnosis.proofs import proofs
from warmside.diagnosis.readings import Readings
from warmside.diagnosis.sufficient import Sufficient, chance, chances_along, cheapest, minutes, proven

_CASES = load("cases")
_PERFORMANCE = ("cup", "freezer")


@dataclass(frozen=True)
class Step:
    """What is believed after some readings.

    Attributes
    ----------
    name : str
        The reading that was taken last; empty before any.
    minutes : float
        Spent so far.
    leading : Label
        The likeliest explanation.
    chance, of_right : float
        How likely that is, and what is right.
    """

    name: str
    minutes: float
    leading: Label
    chance: float
    of_right: float


@dataclass(frozen=True, eq=False)
class Solved:
    """What a case's readings prove.

    Attributes
    ----------
    labels : tuple of Label
        What is wrong: one label, or those of a tie that no reading separates, the likeliest first.
    ranked : tuple of Ranked
        All explanations by all readings, the likeliest first.
    evidence : Evidence
        What each reading says by itself.
    needed : tuple of str
        Readings that no proof of it does without, in the order of work.
    performs : bool
        Whether these alone prove it: it does what its rating promises.
    """

    labels: tuple[Label, ...]
    ranked: tuple[Ranked, ...]
    evidence: Evidence
    needed: tuple[str, ...] = ()
    performs: bool = False

    @cached_property
    def cheapest(self) -> Sufficient:
        """The cheapest readings that prove it."""
        if self.performs:
            return Sufficient(self.needed, chances_along(self.evidence, self.labels, self.needed), True)
        found = cheapest(self.evidence, self.labels, self.needed)
        if found is None:
            raise RuntimeError(f"{self.labels} was taken as proven, and no readings prove it")
        return found

    def takes(self, least: float, most: float) -> bool:
        """Tell whether its cheapest readings take from `least` to `most` minutes; faster than `cheapest`."""
        if not self.performs and "cheapest" not in vars(self):
            found = cheapest(self.evidence, self.labels, self.needed, most)
            if found is None:
                return False
            if found.exact:  # then no limit changes it
                vars(self)["cheapest"] = found
        return least <= self.cheapest.minutes <= most

    @property
    def condemns(self) -> bool:
        """Whether the cooling unit is gone."""
        return any(condemns(label) for label in self.labels)

    def lacking(self, names: Collection[str]) -> tuple[str, ...]:
        """Return which readings are still needed besides these, whatever they say."""
        return tuple(name for name in self.needed if name not in names)

    def decided_by(self, names: Collection[str]) -> bool:
        """Tell whether these readings alone prove it."""
        if self.lacking(names):
            return False
        return self.performs or proven(self.evidence, self.labels, names)

    def ranked_by(self, names: Iterable[str]) -> list[tuple[Label, float]]:
        """Return explanations with their chances by these readings alone, the likeliest first."""
        chances = self.evidence.probabilities(names)
        order = np.argsort(-chances, kind="stable")
        return [(self.evidence.labels[number], float(chances[number])) for number in order]

    def steps(self, names: Sequence[str]) -> tuple[Step, ...]:
        """Return what is believed before any reading, and after each of these in this order."""
        return tuple(self._step(names[:count]) for count in range(len(names) + 1))

    def alone(self, names: Iterable[str]) -> tuple[Step, ...]:
        """Return what each of these readings says by itself."""
        return tuple(self._step((name,)) for name in names)

    def _step(self, names: Sequence[str]) -> Step:
        leading, likely = self.ranked_by(names)[0]
        of_right = chance(self.evidence, self.labels, names)
        return Step(names[-1] if names else "", minutes(names), leading, likely, of_right)

    @property
    def wrong_calls(self) -> tuple[tuple[str, str], ...]:
        """The likeliest wrong calls after the first of the cheapest readings, and what each costs."""
        right = [set(label) for label in self.labels]
        likeliest = [label for label, _ in self.ranked_by(self.cheapest.names[:1])]
        wrong = [label for label in likeliest if not any(one <= set(label) for one in right)]
        calls = [(title_of(label), cost_of(label)) for label in wrong[: int(_CASES.number("wrong_calls"))]]
        if not self.condemns:
            calls.append(("Condemning the cooling unit", "a cooling unit, for nothing"))
        return tuple(calls)


_COSTS = {
    "free": "time, and the fault remains",
    "small": "a small part or repair, and the fault remains",
    "hours of work": "hours of work, and the fault remains",
    "cooling unit": "a cooling unit, and the fault remains",
}


def cost_of(label: Label) -> str:
    """Return what it costs to take this for what is wrong."""
    order = list(_COSTS)
    return _COSTS[max((FAULTS[name].cost for name in label), key=order.index)]


def solved(case: CaseFile, bank: Bank | None = None) -> Solved | None:
    """Return what a case's readings prove; None where they prove nothing.

    Parameters
    ----------
    case : CaseFile
        The case.
    bank : Bank, optional
        The usual one by default.
    """
    return _solved(case, bank or storing.usual_bank())


@lru_cache(maxsize=40)  # some 2 MB each
def _solved(case: CaseFile, bank: Bank) -> Solved | None:
    return prove(case.readings, bank)


def prove(readings: Readings, bank: Bank, sought: Label | None = None) -> Solved | None:
    """Return what readings prove, taken as all that can be read; None where they prove nothing.

    Where something is sought, None also where it is neither the likeliest nor tied with that.
    """
    explanation = explain(readings, bank, remaining=())
    if explanation.contradictory:
        return None
    best = explanation.best.label
    tied: tuple[Label, ...] = next((tie.labels for tie in explanation.ties if tie.labels[0] == best), ())
    if sought is not None and sought not in (best, *tied):
        return None
    weighed = evidence(readings, bank)
    for wanted in ((best,), tied):
        if 0 < len(wanted) <= _CASES.number("largest_tie") and proven(weighed, wanted, readings.values):
            performs = wanted == (NONE,) and performance(readings.only(_PERFORMANCE)).rating_proven
            return Solved(wanted, explanation.ranked, weighed, needed(readings, wanted), performs)
    return None


def needed(readings: Readings, labels: Collection[Label]) -> tuple[str, ...]:
    """Return the readings that no proof of these labels does without, in the order of work."""
    if any(condemns(label) for label in labels):
        return tuple(name for proof in proofs(readings.only(())) for name in proof.missing)
    return _PERFORMANCE if NONE in labels else _PERFORMANCE[:1]
