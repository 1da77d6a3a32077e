"""What a case's readings prove, and which of them no proof does without.

Performance comes first: without the cup nobody knows that anything is wrong, nor later that it was put right.
A cooling unit takes every proof of `warmside.diagnosis.proofs`. That nothing is wrong takes cup and freezer
within their limits on a day near the rated one, and no more: it does what its rating promises.
"""

from collections import deque
from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property, lru_cache

from warmside.data import load
from warmside.diagnosis import storing
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.evidence import evidence
from warmside.diagnosis.faults import NONE, Label, condemns, title_of
from warmside.diagnosis.inference import Ranked, explain
from warmside.diagnosis.leading import Proof, chances_along, minutes, proven
from warmside.diagnosis.performance import performance
from warmside.diagnosis.proofs import proofs
from warmside.diagnosis.readings import Readings
from warmside.show.case_debrief import cost_of

from .case_file import CaseFile
from .cheapest import Sufficient, cheapest

_CASES = load("cases")
_PERFORMANCE = ("cup", "freezer")
Short = deque[tuple[str, ...]]
"""Sets of readings that decided other cases too soon."""


@dataclass(frozen=True, eq=False)
class Solved(Proof):
    """What a case's readings prove: one label, or those of a tie that no reading separates.

    Attributes
    ----------
    ranked : tuple of Ranked
        All explanations by all readings, the likeliest first.
    """

    ranked: tuple[Ranked, ...] = ()

    @cached_property
    def cheapest(self) -> Sufficient:
        """The cheapest readings that prove it."""
        if self.performs:
            return Sufficient(self.needed, chances_along(self.evidence, self.labels, self.needed), True)
        found = cheapest(self.evidence, self.labels, self.needed)
        if found is None:
            raise RuntimeError(f"{self.labels} was taken as proven, and no readings prove it")
        return found

    def takes(self, least: float, most: float, short: Short | None = None) -> bool:
        """Tell whether its cheapest readings take from `least` to `most` minutes; faster than `cheapest`.

        Readings that decide a case too soon are kept in `short`; those of cases like it are tried first.
        """
        short = Short() if short is None else short
        if any(minutes(names) < least and self._is_decided_by(names) for names in short):
            return False
        if not self.performs and "cheapest" not in vars(self):
            found = cheapest(self.evidence, self.labels, self.needed, most)
            if found is None:
                return False
            vars(self)["cheapest"] = found  # no limit changes it
        if self.cheapest.exact and self.cheapest.minutes < least:
            short.appendleft(self.cheapest.names)
        return least <= self.cheapest.minutes <= most

    def _is_decided_by(self, names: tuple[str, ...]) -> bool:
        return self.evidence.by_reading.keys() >= set(names) and self.decided_by(names)

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
    weighed = evidence(readings, bank)
    explanation = explain(readings, bank, remaining=(), weighed=weighed)
    if explanation.contradictory:
        return None
    best = explanation.best.label
    tied: tuple[Label, ...] = next((tie.labels for tie in explanation.ties if tie.labels[0] == best), ())
    if sought is not None and sought not in (best, *tied):
        return None
    for wanted in ((best,), tied):
        if 0 < len(wanted) <= _CASES.number("largest_tie") and proven(weighed, wanted, readings.values):
            performs = wanted == (NONE,) and performance(readings.only(_PERFORMANCE)).rating_proven
            return Solved(wanted, weighed, needed(readings, wanted), performs, explanation.ranked)
    return None


def needed(readings: Readings, labels: Collection[Label]) -> tuple[str, ...]:
    """Return the readings that no proof of these labels does without, in the order of work."""
    if any(condemns(label) for label in labels):
        return tuple(name for proof in proofs(readings.only(())) for name in proof.missing)
    return _PERFORMANCE if NONE in labels else _PERFORMANCE[:1]
