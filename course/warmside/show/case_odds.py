"""How each reading of a case moved the odds: bars that stand for the same from the first step to the last."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from warmside.diagnosis.faults import title_of
from warmside.diagnosis.leading import Proof
from warmside.diagnosis.readings import READINGS

MOST_BARS = 5
"""Bars with a name; one more stands for all the rest."""
_NOTICED = 0.05  # of a chance; less is hardly a change
EVERYTHING_ELSE = "Everything else"


class OddsStep(NamedTuple):
    """What is believed before any reading, or after one more.

    Attributes
    ----------
    name, title, shows : str
        The reading: its name, what it is, what it shows; name and shows are empty before any.
    minutes : float
        Spent so far [min].
    chances : tuple of float
        Of each bar, in the order of the bars.
    changed : str
        What the reading changed, in one sentence.
    """

    name: str
    title: str
    shows: str
    minutes: float
    chances: tuple[float, ...]
    changed: str


class Odds(NamedTuple):
    """The bars and the steps.

    Attributes
    ----------
    bars : tuple of str
        What each stands for, in all steps: first what is right, last all the rest.
    steps : tuple of OddsStep
        In the order of the readings.
    """

    bars: tuple[str, ...]
    steps: tuple[OddsStep, ...]


def odds(proof: Proof, shown: Sequence[tuple[str, str]]) -> Odds:
    """Return how the chances moved with readings, each by its name and what it shows.

    What is right is one bar, also where it is a tie; the other bars are what came to lead, or near to it.
    """
    names = [name for name, _ in shown]
    along = np.array([proof.evidence.probabilities(names[:count]) for count in range(len(names) + 1)])
    labels = list(proof.evidence.labels)
    right = np.array([label in proof.labels for label in labels])
    others = _rivals(np.where(right, -1.0, along))
    chances = np.column_stack([along[:, right].sum(axis=1), along[:, others]])
    chances = np.column_stack([chances, np.clip(1.0 - chances.sum(axis=1), 0.0, 1.0)])
    bars = ("; or ".join(map(title_of, proof.labels)), *(title_of(labels[at]) for at in others))
    spent = [step.minutes for step in proof.steps(names)]
    told = [("", "Before any reading", ""), *((name, READINGS[name].title, text) for name, text in shown)]
    steps = tuple(
        OddsStep(*reading, minutes, tuple(map(float, now)), _changed((*bars, EVERYTHING_ELSE), before, now))
        for reading, minutes, before, now in zip(told, spent, [None, *chances[:-1]], chances, strict=True)
    )
    return Odds((*bars, EVERYTHING_ELSE), steps)


def _rivals(along: np.ndarray) -> list[int]:
    """Return the explanations to show besides what is right: the likeliest others of the last steps first."""
    steps = [np.argsort(-chances, kind="stable").tolist() for chances in along[::-1]]
    by_place = [at for place in zip(*steps, strict=True) for at in place]
    return list(dict.fromkeys(by_place))[: MOST_BARS - 1]


def _changed(bars: Sequence[str], before: np.ndarray | None, now: np.ndarray) -> str:
    """Say in one sentence what changed most: up to two bars."""
    if before is None:
        leading = int(np.argmax(now[:-1]))
        return f"Of what is named here, the likeliest to begin with: {bars[leading]}, {now[leading]:.0%}."
    moved = np.abs(now - before)
    noticed = [at for at in np.argsort(-moved, kind="stable") if moved[at] >= _NOTICED][:2]
    told = "; ".join(f"{bars[at]}, from {before[at]:.0%} to {now[at]:.0%}" for at in noticed)
    return f"It changed: {told}." if told else "It changed hardly anything."
