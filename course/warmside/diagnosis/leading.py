"""What readings prove of given explanations, and how the chances move with each of them.

An explanation, or a tie of some, is proven when it leads: when it is `LEAD` times as likely as any other, and
likelier than all others together. What is right of a case isn't found here; whoever asks says what to hold
the readings against.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from warmside.data import load
from warmside.diagnosis.evidence import Evidence
from warmside.diagnosis.faults import Label, condemns
from warmside.diagnosis.readings import READINGS

LEAD = load("inference").number("lead")
"""How many times as likely as the next explanation one must be to be proven."""


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
class Proof:
    """Some explanations, held against readings.

    Attributes
    ----------
    labels : tuple of Label
        What is wrong: one label, or those of a tie.
    evidence : Evidence
        What each reading says by itself.
    needed : tuple of str
        Readings that no proof of it does without, in the order of work.
    performs : bool
        Whether these alone prove it: it does what its rating promises.
    """

    labels: tuple[Label, ...]
    evidence: Evidence
    needed: tuple[str, ...] = ()
    performs: bool = False

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


def minutes(names: Iterable[str]) -> float:
    """Return what readings take together [min]."""
    return sum(READINGS[name].minutes for name in names)


def chance(evidence: Evidence, labels: Collection[Label], names: Iterable[str]) -> float:
    """Return how likely one of these labels is by these readings alone."""
    wanted = [label in labels for label in evidence.labels]
    return float(evidence.probabilities(names)[wanted].sum())


def proven(evidence: Evidence, labels: Collection[Label], names: Iterable[str]) -> bool:
    """Tell whether these labels together lead by these readings alone."""
    probability = evidence.probabilities(names)
    wanted = np.array([label in labels for label in evidence.labels])
    together, others = probability[wanted].sum(), probability[~wanted]
    return bool(together >= LEAD * others.max(initial=0.0) and together >= others.sum())


def chances_along(evidence: Evidence, labels: Collection[Label], names: Iterable[str]) -> tuple[float, ...]:
    """Return how likely one of these labels is after each of these readings, taken in this order."""
    names = tuple(names)
    return tuple(chance(evidence, labels, names[: count + 1]) for count in range(len(names)))
