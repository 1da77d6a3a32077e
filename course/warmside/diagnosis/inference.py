"""Which explanations fit what was read: Bayes over the bank of simulated cases.

The chance of an explanation is its prior times how well its cases in the bank would give the readings. A
case gives a reading with the meter's error, widened since the bank's cases are few and the differences
between installations are not: by a kernel for what the unit makes of everything, and by all that good
installations differ for what only shows an entry that none of the case's faults touches. How wide, and how
far the evidence counts, was set on cases held back so that what is said to be 80 % likely is right in 80 %.

All of it is the model's own world: a ceiling for what a technician can reach, no rate from the field.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.polynomial import Polynomial
from scipy.special import logsumexp

from warmside.diagnosis.bank import Bank
from warmside.diagnosis.drawing import label_of
from warmside.diagnosis.faults import FAULTS, Label, prior, title_of
from warmside.diagnosis.readings import AMBIENT_ERROR, READINGS, Readings, readable
from warmside.diagnosis.solving import NAMES
from warmside.diagnosis.storing import usual_bank
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES, SIZES

TIE_RATIO = 4.0
"""Explanations whose odds are nearer than that are a tie."""
TIE_LEAST = 0.1
"""What the first of a tie must be likely at least."""
SEPARATES = 0.25
"""Bits that a reading must be expected to tell between those of a tie, to count as separating them."""
CONTRADICTION = 2.0
"""Surprise above which readings contradict each other; one honest set of readings in a thousand has 1.5."""
_CASES, _CASES_OF_A_TIE, _LIKELIEST = 3000, 250, 4  # that stand for the posterior
_STEPS = 40  # into which a reading's values are divided


@dataclass(frozen=True)
class Smoothing:
    """How far the bank's few cases stand for all.

    Attributes
    ----------
    kernel : float
        Width of the kernel over the spread among installations in good order; 0 for none.
    ambient : float
        Width in ambient temperature [K]; inf where cases at all ambients count alike.
    nuisance : bool
        Whether readings that no fault of a case touches are widened by the whole nuisance.
    evidence : float
        Part of the logarithm of the evidence that counts.
    """

    kernel: float = 0.7
    ambient: float = 1.5
    nuisance: bool = True
    evidence: float = 0.9


SMOOTHING = Smoothing()
"""Set on cases held back; see tests/benchmarks/diagnosis_accuracy.py."""
NO_SMOOTHING = Smoothing(kernel=0.0, ambient=np.inf, nuisance=False, evidence=1.0)


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
    ties : tuple of Tie
        Among the likely ones.
    surprise : float
        Misfit of the best case, in squares of the error for each reading: about 1 and below where all is
        well, above `CONTRADICTION` where no explanation fits.
    """

    ranked: tuple[Ranked, ...]
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
    minutes : float
        What it takes.
    caution : str
        What can hurt.
    """

    name: str
    title: str
    gain: float
    minutes: float
    caution: str

    @property
    def gain_per_minute(self) -> float:
        """Information expected for each minute [bit/min]."""
        return self.gain / self.minutes


def explain(
    readings: Readings,
    bank: Bank | None = None,
    priors: Mapping[str, float] | None = None,
    *,
    remaining: Iterable[str] | None = None,
    smoothing: Smoothing = SMOOTHING,
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

    Returns
    -------
    Explanation

    Raises
    ------
    InputError
        If a prior or a name is wrong, or the bank holds no case of the size on the heat source.
    """
    remaining = _known(readings, remaining)
    posterior = _posterior(readings, usual_bank() if bank is None else bank, priors, smoothing)
    order = np.argsort(-posterior.probability, kind="stable")
    ranked = tuple(
        Ranked(posterior.field.labels[index], float(posterior.probability[index])) for index in order
    )
    return Explanation(ranked, _ties(posterior, ranked, remaining), posterior.surprise)


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
        offered.append(NextReading(name, one.title, gain, one.minutes, one.caution))
    return tuple(sorted(offered, key=lambda one: -one.gain_per_minute))


@dataclass(frozen=True, eq=False)
class Evidence:
    """What each reading of one refrigerator says by itself, so that any part of them is weighed quickly.

    Attributes
    ----------
    labels : tuple of Label
        What can be wrong.
    log_prior : numpy.ndarray
        Logarithm of how likely each label is before anything was read.
    starts, counts : numpy.ndarray of int
        Where each label's cases of the bank begin, and how many there are.
    before : numpy.ndarray
        Logarithm of the likelihood of each case by the ambient alone.
    by_reading : dict of str to numpy.ndarray
        What each reading adds to that.
    smoothing : Smoothing
        How far the bank's cases stand for all.
    """

    labels: tuple[Label, ...]
    log_prior: np.ndarray
    starts: np.ndarray
    counts: np.ndarray
    before: np.ndarray
    by_reading: dict[str, np.ndarray]
    smoothing: Smoothing

    def probabilities(self, names: Iterable[str]) -> np.ndarray:
        """Return how likely each label is by these readings alone; as `explain` has it."""
        logs = sum((self.by_reading[name] for name in names), start=self.before)
        most = np.maximum.reduceat(logs, self.starts)
        shifted = np.exp(logs - np.repeat(most, self.counts))
        sums = most + np.log(np.add.reduceat(shifted, self.starts)) - np.log(self.counts)
        weighed = self.log_prior + self.smoothing.evidence * sums
        return np.exp(weighed - logsumexp(weighed))


def evidence(
    readings: Readings,
    bank: Bank | None = None,
    priors: Mapping[str, float] | None = None,
    *,
    smoothing: Smoothing = SMOOTHING,
) -> Evidence:
    """Return what each of the readings says by itself; parameters and errors as in `explain`."""
    field = _field(usual_bank() if bank is None else bank, readings.size, readings.heat_source, smoothing)
    believed = prior(readings.size, readings.heat_source, priors)
    with np.errstate(divide="ignore"):
        log_prior = np.log([believed.get(label, 0.0) for label in field.labels])
    before, _ = _likelihood(readings.only(()), field, smoothing)
    by_reading = {
        name: _likelihood(readings.only((name,)), field, smoothing)[0] - before for name in readings.values
    }
    return Evidence(field.labels, log_prior, field.starts, field.counts, before, by_reading, smoothing)


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


# --- the bank, made ready ---------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Field:
    """The bank's cases of one size on one heat source, on the scales on which readings are compared.

    Attributes
    ----------
    labels : tuple of Label
        What can be wrong.
    label : numpy.ndarray of int
        Of each case, its number in `labels`; cases stand in this order.
    starts, counts : numpy.ndarray of int
        Where each label's cases begin, and how many there are.
    ambient : numpy.ndarray
        Of each case [K].
    centre : dict of str to numpy.ndarray
        What each case's reading is compared with, float32; numbers of choices, as int.
    width : dict of str to numpy.ndarray
        Standard deviation of the comparison for each label; none for choices.
    """

    labels: tuple[Label, ...]
    label: np.ndarray
    starts: np.ndarray
    counts: np.ndarray
    ambient: np.ndarray
    centre: dict[str, np.ndarray]
    width: dict[str, np.ndarray]


@lru_cache(maxsize=32)
def _field(bank: Bank, size: str, heat_source: str, smoothing: Smoothing) -> _Field:
    these = np.flatnonzero(
        (bank.size == SIZES.index(size)) & (bank.heat_source == HEAT_SOURCES.index(heat_source))
    )
    if not these.size:
        raise InputError(f"The bank holds no case of size {size} on {heat_source}; make one that does.")
    these = these[np.lexsort((bank.labels[these, 1], bank.labels[these, 0]))]
    rows, label = np.unique(bank.labels[these], axis=0, return_inverse=True)
    labels = tuple(label_of(row) for row in rows)
    counts = np.bincount(label.ravel(), minlength=len(labels))
    ambient = bank.ambient[these].astype(float)
    good = np.flatnonzero(label == labels.index(("none",))) if ("none",) in labels else slice(None)
    centre, width = {}, {}
    for name in readable(heat_source):
        reading, values = READINGS[name], bank.readings[these, NAMES.index(name)]
        if reading.choices:
            centre[name] = values.astype(int)
            continue
        compared = reading.compared(values.astype(float), ambient)
        spread = _spread(compared[good], ambient[good], bool(reading.shows))
        error = reading.error
        if reading.above_ambient:
            error = np.hypot(error, AMBIENT_ERROR)
        widths = np.full(len(labels), np.hypot(error, smoothing.kernel * spread))
        if smoothing.nuisance and reading.shows:
            untouched = np.array([not _touched(one, reading.shows) for one in labels])
            widths[untouched] = np.hypot(error, spread)
            compared = np.where(untouched[label], compared[good].mean(), compared)
        centre[name], width[name] = compared.astype(np.float32), widths
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
    return _Field(labels, label.ravel(), starts, counts, ambient, centre, width)


def _touched(label, shown):
    return any(not FAULTS[name].touches.isdisjoint(shown) for name in label)


def _spread(values, ambient, shown):
    """Standard deviation of what differs among installations in good order, at one ambient."""
    if shown or values.size < 8:
        return float(np.std(values))
    fit = Polynomial.fit(ambient, values, 2)
    left = np.abs(values - fit(ambient))
    return float(1.4826 * np.median(left))  # robust against the few beyond the cliff


# --- Bayes ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Posterior:
    field: _Field
    probability: np.ndarray  # of each label
    weight: np.ndarray  # of each case; they sum to the probability of its label
    surprise: float


def _posterior(readings, bank, priors, smoothing) -> _Posterior:
    field = _field(bank, readings.size, readings.heat_source, smoothing)
    believed = prior(readings.size, readings.heat_source, priors)
    with np.errstate(divide="ignore"):
        log_prior = np.log([believed.get(label, 0.0) for label in field.labels])
    if not np.isfinite(log_prior).any():
        raise InputError("priors: nothing that the bank holds is possible; give one of its faults more.")
    log_likelihood, misfit = _likelihood(readings, field, smoothing)
    evidence = _log_sums(log_likelihood, field) - np.log(field.counts)
    logs = log_prior + smoothing.evidence * evidence
    probability = np.exp(logs - logsumexp(logs))
    within = np.exp(log_likelihood - _log_sums(log_likelihood, field)[field.label])
    weight = probability[field.label] * within
    given = len(readings.values)
    return _Posterior(field, probability, weight, float(misfit.min() / given) if given else 0.0)


def _likelihood(readings, field, smoothing):
    """Logarithm of the likelihood of each case, and its misfit in squares of the errors."""
    log_likelihood = np.zeros(field.ambient.size)
    misfit = np.zeros(field.ambient.size)
    if np.isfinite(smoothing.ambient):
        width = np.hypot(smoothing.ambient, AMBIENT_ERROR)
        # far outside the bank's ambients its nearest ones count
        ambient = np.clip(readings.ambient, field.ambient.min(), field.ambient.max())
        log_likelihood -= 0.5 * ((field.ambient - ambient) / width) ** 2
    for name, value in readings.values.items():
        reading = READINGS[name]
        if reading.choices:
            seen = reading.confusion[:, reading.choices.index(value)]
            with np.errstate(divide="ignore"):
                chances = np.maximum(np.log(seen), -30.0)
            most = np.log(reading.confusion.max(axis=1))
            log_likelihood += chances[field.centre[name]]
            misfit += 2.0 * (most - chances)[field.centre[name]]
        else:
            compared = float(reading.compared(np.float64(value), np.float64(readings.ambient)))
            width = field.width[name]
            squares = ((field.centre[name] - compared) * (1.0 / width)[field.label]) ** 2
            misfit += squares
            log_likelihood -= 0.5 * squares + np.log(width)[field.label]
    return log_likelihood, misfit


def _log_sums(logs, field):
    """Logarithm of the sum over each label's cases."""
    most = np.maximum.reduceat(logs, field.starts)
    return most + np.log(np.add.reduceat(np.exp(logs - most[field.label]), field.starts))


# --- what to read next, and ties --------------------------------------------------------------------------


def _drawn(weight: np.ndarray, count: int) -> np.ndarray:
    """Draw cases by their weights, evenly spread over labels, the same each time."""
    reached = np.cumsum(weight)
    places = (np.arange(count) + 0.5) / count * reached[-1]
    return np.minimum(np.searchsorted(reached, places), weight.size - 1)


def _information(field: _Field, cases: np.ndarray, name: str) -> float:
    """Mutual information of explanation and reading over cases that count alike [bit].

    They stand in the order of their labels.
    """
    reading, label = READINGS[name], field.label[cases]
    if reading.choices:
        chance = reading.confusion[field.centre[name][cases]]
    else:
        chance = _chances(field.centre[name][cases], field.width[name][label])
    starts = np.flatnonzero(np.diff(label, prepend=-1))
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
