"""Which explanations fit what was read: Bayes over the bank of simulated cases.

The chance of an explanation is its prior times how well its cases in the bank would give the readings (see
`warmside.diagnosis.evidence`). How wide these are taken, and how far the evidence counts, was set on cases
held back so that what is said to be 80 % likely is right in 80 %.

All of it is the model's own world: a ceiling for what a technician can reach, no rate from the field.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from warmside.data import load
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.evidence import (
    SMOOTHING,
    Evidence,
    Field,
    Smoothing,
    field_of,
    likelihood,
    log_of_something_else,
    log_priors,
    log_sums,
)
from warmside.diagnosis.faults import Label, title_of
from warmside.diagnosis.reading import Reading
from warmside.diagnosis.readings import READINGS, Readings, readable
from warmside.diagnosis.storing import usual_bank
from warmside.errors import InputError
from warmside.hazards import WORK

_TABLE, _CARE = load("inference"), load("care")
TIE_RATIO = _TABLE.number("tie_ratio")
"""Explanations whose odds are nearer than that are a tie."""
TIE_LEAST = _TABLE.number("tie_least")
"""What the first of a tie must be likely at least."""
SEPARATES = _TABLE.number("separates")
"""Bits that a reading must be expected to tell between those of a tie, to count as separating them."""
CONTRADICTION = _TABLE.number("contradiction")
"""Surprise above which readings contradict each other; one honest set of readings in a thousand has 1.5."""
_MINUTE = 60.0  # s
_CASES, _CASES_OF_A_TIE, _LIKELIEST = 3000, 250, 4  # that stand for the posterior
_STEPS = 40  # into which a reading's values are divided


@dataclass(frozen=True)
class Ranked:
    """An explanation with its chance.

    Attributes
    ----------
    label : Label
        Names of the faults.
    probability : float
        After the readings.
    """

    label: Label
    probability: float

    @property
    def title(self) -> str:
        """The same in the trade's words."""
        return title_of(self.label)


@dataclass(frozen=True)
class Tie:
    """Explanations that what was read doesn't separate.

    Attributes
    ----------
    labels : tuple of Label
        The likeliest first.
    separated_by : tuple of str
        Readings still to be taken that would, the best first; empty where nothing left would.
    """

    labels: tuple[Label, ...]
    separated_by: tuple[str, ...]


@dataclass(frozen=True)
class Explanation:
    """What the readings say.

    Attributes
    ----------
    ranked : tuple of Ranked
        All explanations, the likeliest first.
    something_else : float
        How likely it is that the cause is none of them.
    ties : tuple of Tie
        Among the likely ones.
    surprise : float
        Misfit of the best case, in squares of the error for each reading: about 1 and below where all is
        well, above `CONTRADICTION` where no explanation fits.
    """

    ranked: tuple[Ranked, ...]
    something_else: float
    ties: tuple[Tie, ...]
    surprise: float

    @property
    def best(self) -> Ranked:
        """The likeliest explanation."""
        return self.ranked[0]

    @property
    def contradictory(self) -> bool:
        """Whether the readings contradict each other: none of the explanations fits them."""
        return self.surprise > CONTRADICTION

    def of_fault(self, name: str) -> float:
        """How likely a fault is, alone or with another."""
        return float(sum(one.probability for one in self.ranked if name in one.label))


@dataclass(frozen=True)
class NextReading:
    """What to read next, and what it is expected to tell.

    Attributes
    ----------
    name, title : str
        Of the reading.
    gain : float
        Information expected from it [bit].
    minutes, effort : float
        What it takes [min]; and with so much more as the care it asks for makes of it.
    caution : str
        What can hurt.
    """

    name: str
    title: str
    gain: float
    minutes: float
    effort: float
    caution: str

    @property
    def gain_per_minute(self) -> float:
        """Information expected for each minute of effort [bit/min]."""
        return self.gain / self.effort


def explain(
    readings: Readings,
    bank: Bank | None = None,
    priors: Mapping[str, float] | None = None,
    *,
    remaining: Iterable[str] | None = None,
    smoothing: Smoothing = SMOOTHING,
    something_else: float = 0.0,
    weighed: Evidence | None = None,
) -> Explanation:
    """Rank what may be wrong by how well it explains what was read.

    Parameters
    ----------
    readings : Readings
        Any may be missing.
    bank : Bank, optional
        Of simulated cases; the usual one by default, made on first use.
    priors : mapping of str to float, optional
        How often faults are met; see `faults.prior`.
    remaining : iterable of str, optional
        Readings that could still be taken; all that weren't by default. Ties are told by these.
    smoothing : Smoothing, optional
        How far the bank's cases stand for all.
    something_else : float, optional
        How likely it is, before anything was read, that the cause is in no catalogue; a simulated case has
        none such.
    weighed : Evidence, optional
        What `evidence` returns for the same, where it is there already.

    Returns
    -------
    Explanation

    Raises
    ------
    InputError
        If a prior or a name is wrong, or the bank holds no case of the size on the heat source.
    """
    remaining = _known(readings, remaining)
    bank = usual_bank() if bank is None else bank
    posterior = _posterior(readings, bank, priors, smoothing, something_else, weighed)
    order = np.argsort(-posterior.probability, kind="stable")
    ranked = tuple(
        Ranked(posterior.field.labels[index], float(posterior.probability[index])) for index in order
    )
    ties = _ties(posterior, ranked, remaining)
    return Explanation(ranked, posterior.something_else, ties, posterior.surprise)


def next_reading(
    readings: Readings,
    bank: Bank | None = None,
    priors: Mapping[str, float] | None = None,
    *,
    remaining: Iterable[str] | None = None,
    smoothing: Smoothing = SMOOTHING,
) -> tuple[NextReading, ...]:
    """Rank the readings that could be taken by the information expected for each minute.

    Parameters
    ----------
    readings, bank, priors, remaining, smoothing
        As in `explain`.

    Returns
    -------
    tuple of NextReading
        The best first; the mutual information of explanation and reading, given what was read.
    """
    names = _known(readings, remaining)
    posterior = _posterior(readings, usual_bank() if bank is None else bank, priors, smoothing)
    cases = _drawn(posterior.weight, _CASES)
    offered = []
    for name in names:
        one, gain = READINGS[name], max(_information(posterior.field, cases, name), 0.0)
        caution = " ".join(one.cautions(readings.heat_source))
        effort = one.minutes + _care(one, readings.heat_source)
        offered.append(NextReading(name, one.title, gain, one.minutes, effort, caution))
    return tuple(sorted(offered, key=lambda one: -one.gain_per_minute))


def _care(reading: Reading, heat_source: str) -> float:
    """Return by how many minutes more a reading counts, for the care that it asks for."""
    works = [
        work for work in reading.works if work in _CARE.fields and heat_source in WORK[work].heat_sources
    ]
    return max((_CARE.number(work) / _MINUTE for work in works), default=0.0)


def _known(readings, remaining):
    if remaining is None:
        return readings.missing
    possible = readable(readings.heat_source)
    for name in remaining:
        if name not in possible:
            raise InputError(
                f"“{name}” is no reading that can be taken on {readings.heat_source}; "
                f"there are {', '.join(possible)}."
            )
    return tuple(name for name in remaining if name not in readings.values)


# --- Bayes ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Posterior:
    field: Field
    probability: np.ndarray  # of each label
    weight: np.ndarray  # of each case; they sum to the probability of its label
    something_else: float
    surprise: float


def _posterior(readings, bank, priors, smoothing, something_else=0.0, weighed=None) -> _Posterior:
    field = field_of(bank, readings.like, readings.heat_source, smoothing)
    log_prior = weighed.log_prior if weighed else log_priors(readings, field, priors)
    if not np.isfinite(log_prior).any():
        raise InputError("priors: nothing that the bank holds is possible; give one of its faults more.")
    if weighed:
        log_likelihood, misfit = weighed.log_likelihood(readings.values), weighed.misfit
    else:  # which keeps no reading apart, and so takes half as long
        log_likelihood, misfit = likelihood(readings, field, smoothing)
    sums = log_sums(log_likelihood, field)
    told = sums - np.log(field.counts)
    logs = log_prior + smoothing.evidence * told
    known = float(np.logaddexp.reduce(logs))
    elsewhere = 0.0
    if something_else:
        fits = smoothing.evidence * log_of_something_else(readings, field, log_prior, smoothing)
        either = np.log(something_else) + fits, np.log1p(-something_else) + known
        elsewhere = float(np.exp(either[0] - np.logaddexp(*either)))
    probability = (1.0 - elsewhere) * np.exp(logs - known)
    within = np.exp(log_likelihood - sums[field.label])
    weight = probability[field.label] * within
    given = len(readings.values)
    surprise = float(misfit.min() / given) if given else 0.0
    return _Posterior(field, probability, weight, elsewhere, surprise)


# --- what to read next, and ties --------------------------------------------------------------------------


def _drawn(weight: np.ndarray, count: int) -> np.ndarray:
    """Draw cases by their weights, evenly spread over labels, the same each time."""
    reached = np.cumsum(weight)
    places = (np.arange(count) + 0.5) / count * reached[-1]
    return np.minimum(np.searchsorted(reached, places), weight.size - 1)


def _information(field: Field, cases: np.ndarray, name: str) -> float:
    """Mutual information of explanation and reading over cases that count alike [bit].

    They stand in the order of their labels.
    """
    reading = READINGS[name]
    if reading.choices:
        chance = reading.confusion[field.centre[name][cases]]
    else:
        chance = _chances(field.centre[name][cases], field.width[name][cases])
    starts = np.flatnonzero(np.diff(field.label[cases], prepend=-1))
    return mutual_information(np.add.reduceat(chance, starts, axis=0))


def _chances(centre, width):
    """Chance of each case to be read in each of the steps that cover them all."""
    lowest, highest = float((centre - 3.0 * width).min()), float((centre + 3.0 * width).max())
    steps, step = np.linspace(lowest, highest, _STEPS, dtype=np.float32, retstep=True)
    away = (steps - centre[:, np.newaxis]) / np.maximum(width, 0.5 * step).astype(np.float32)[:, np.newaxis]
    chance = np.exp(-0.5 * away * away)
    return chance / chance.sum(axis=1, keepdims=True)


def mutual_information(joint: np.ndarray) -> float:
    """Mutual information of rows and columns [bit].

    Parameters
    ----------
    joint : array_like
        Chances of each row with each column; they needn't sum to 1.

    Returns
    -------
    float
        How much the column is expected to tell of the row.
    """
    joint = np.asarray(joint, dtype=float) / np.sum(joint, dtype=float)
    apart = joint.sum(axis=1, keepdims=True) * joint.sum(axis=0, keepdims=True)
    some = joint > 0.0
    return float(np.sum(joint[some] * np.log2(joint[some] / apart[some])))


def _ties(posterior, ranked, remaining):
    """Group the likely explanations whose odds are near, and look which readings would separate them."""
    groups: list[list[Ranked]] = []
    for one in ranked:
        if groups and groups[-1][0].probability <= TIE_RATIO * one.probability:
            groups[-1].append(one)
        elif one.probability >= TIE_LEAST:
            groups.append([one])
        else:
            break
    several = [tuple(one.label for one in group) for group in groups if len(group) > 1]
    return tuple(Tie(labels, _separating(posterior, labels, remaining)) for labels in several)


def _separating(posterior, labels, remaining):
    """Readings that would tell the likeliest of these from each other, taken as equally likely."""
    field = posterior.field
    numbers = sorted(field.labels.index(label) for label in labels[:_LIKELIEST])
    cases = [
        start + _drawn(posterior.weight[start : start + count], _CASES_OF_A_TIE)
        for start, count in zip(field.starts[numbers], field.counts[numbers], strict=True)
    ]
    told = {name: _information(field, np.concatenate(cases), name) for name in remaining}
    enough = [name for name in remaining if told[name] >= SEPARATES]
    return tuple(sorted(enough, key=lambda name: -told[name]))
